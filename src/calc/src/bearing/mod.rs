//! Rolling and sleeve bearings: life, load, and the positions in which they may run.

pub mod grease;

use crate::motor::{MotorError, positive};
use crate::shown::{Fill, ask, figure, line};
use crate::units::Rpm;
use crate::working::{Line, Verdict, Working};

/// What rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rolling {
    /// Balls.
    Ball,
    /// Rollers or needles.
    Roller,
}

impl Rolling {
    /// Exponent of the life equation: 3 for balls, 10/3 for rollers. Source: ISO 281.
    pub fn exponent(self) -> f64 {
        match self {
            Rolling::Ball => 3.0,
            Rolling::Roller => 10.0 / 3.0,
        }
    }
}

/// Basic rating life in million turns: `L10 = (C/P)^p`, which nine of ten bearings reach.
///
/// `C` dynamic load rating and `P` equivalent load in one unit. Meant for `P` up to `C/2`.
/// Source: ISO 281.
/// # Errors
/// [`MotorError::NotPositive`] for a load, or loads so far apart that no figure comes out.
pub fn rating_life(kind: Rolling, rating: f64, load: f64) -> Result<f64, MotorError> {
    let ratio = positive("load rating", rating)? / positive("load", load)?;
    positive("rating life", ratio.powf(kind.exponent()))
}

/// Life in hours: `10^6 L/(60 n)`, `L` in million turns, `n` in rpm. Source: ISO 281.
/// # Errors
/// [`MotorError::NotPositive`] for any input.
pub fn hours(million_turns: f64, speed: Rpm) -> Result<f64, MotorError> {
    let turns = 1e6 * positive("life", million_turns)?;
    Ok(turns / (60.0 * positive("speed", speed.0)?))
}

/// Load rating that a load needs to last: `C = P (60 n h/10^6)^(1/p)`, in the unit of the load.
/// Source: ISO 281, turned round.
/// # Errors
/// [`MotorError::NotPositive`] for any input.
pub fn rating_for(
    kind: Rolling,
    load: f64,
    speed: Rpm,
    wanted_hours: f64,
) -> Result<f64, MotorError> {
    let n = positive("speed", speed.0)?;
    let turns = 60.0 * n * positive("wanted hours", wanted_hours)? / 1e6;
    Ok(positive("load", load)? * turns.powf(1.0 / kind.exponent()))
}

/// Equivalent load of a radial bearing, `P = max(Fr, X Fr + Y Fa)`, in the unit of the loads; `X`, `Y` of
/// the bearing's table.
///
/// Never below the radial load: a small thrust takes nothing off it. With `X = 1` and `Y = 0` it is the
/// radial load alone, as below the table's limit `e`.
/// Source: ISO 281.
/// # Errors
/// [`MotorError::NotPositive`] for a load or factor below zero, or a sum that is not above zero.
pub fn equivalent_load(radial: f64, axial: f64, x: f64, y: f64) -> Result<f64, MotorError> {
    for (what, value) in [
        ("radial load", radial),
        ("axial load", axial),
        ("factor X", x),
        ("factor Y", y),
    ] {
        if !(value.is_finite() && value >= 0.0) {
            return Err(MotorError::NotPositive { what, value });
        }
    }
    positive("equivalent load", radial.max(x * radial + y * axial))
}

/// Holds the load against the load rating, both in one unit.
///
/// Up to `C/2`: within. Above: a note, the equation does not hold there. Above `C`: beyond. Below
/// `0.02 C` a note: the rolling elements may slide. Source: ISO 281; `0.02 C` common practice.
pub(crate) fn judge_load(working: &mut Working, rating: f64, load: f64) {
    let shown = line("load", "Load against the load rating")
        .value(figure(100.0 * load / rating, 2), "% of C")
        .limit("2 % to 50 %")
        .rule("0.02 C to C/2", "ISO 281; 0.02 C common practice");
    let share = load / rating;
    working.lines.push(if share > 1.0 {
        shown.judge(
            Verdict::Beyond,
            "The load is above C: the bearing is far too small, and no life can be reckoned.",
        )
    } else if share > 0.5 {
        shown.judge(
            Verdict::WithinNote,
            "The equation is meant for loads up to half of C: take the life as a rough figure.",
        )
    } else if share < 0.02 {
        shown.judge(
            Verdict::WithinNote,
            "So light a load lets the rolling elements slide instead of roll: the life reckoned is not \
             reached by load alone.",
        )
    } else {
        shown.judge(Verdict::Within, "The equation of the life holds here.")
    });
}

/// Reliability in percent and factor.
const RELIABILITY: [(f64, f64); 6] = [
    (90.0, 1.0),
    (95.0, 0.64),
    (96.0, 0.55),
    (97.0, 0.47),
    (98.0, 0.37),
    (99.0, 0.25),
];

/// Factor on the life for a reliability of 90, 95, 96, 97, 98 or 99 %: `L = a1 L10`.
///
/// `None` for any other figure; nothing is interpolated. Source: ISO 281:2007, from memory.
pub fn reliability_factor(percent: f64) -> Option<f64> {
    let found = RELIABILITY.iter().find(|(at, _)| *at == percent);
    found.map(|(_, factor)| *factor)
}

/// Holds a life against the hours wanted of it.
pub(crate) fn judge_life(working: &mut Working, life_h: f64, wanted_h: f64) {
    let shown = line("wanted_life", "Life against the hours wanted")
        .value(figure(life_h, 0), "h")
        .limit(format!("{} h", figure(wanted_h, 0)))
        .margin(format!("{} h", figure(life_h - wanted_h, 0)))
        .rule("life at least the hours wanted", "ISO 281");
    working.lines.push(if life_h >= wanted_h * (1.0 - 1e-9) {
        shown.judge(
            Verdict::Within,
            "Long enough by calculation; dirt, water and old grease end most bearings sooner.",
        )
    } else {
        shown.judge(
            Verdict::Beyond,
            "Too short: a higher load rating, less load or less speed.",
        )
    });
}

/// Kinds of motor and fan bearings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Sleeve with an oil film.
    Sleeve,
    /// Ball or other rolling bearing.
    Ball,
    /// Ball bearing with shields or seals.
    SealedBall,
    /// Bearing and housing in one piece.
    Unit,
}

/// How the shaft lies or hangs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Position {
    /// Level.
    Horizontal,
    /// Upright, end up.
    ShaftUp,
    /// Upright, end down.
    ShaftDown,
}

/// What is known of a bearing's place; `None` where nobody has said.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Place {
    /// How the shaft lies.
    pub position: Option<Position>,
    /// A belt pulls at the shaft.
    pub belt: Option<bool>,
    /// A heavy wheel hangs on an upright shaft.
    pub heavy_wheel: Option<bool>,
    /// Water reaches it.
    pub wet: Option<bool>,
    /// The plate says that it may run in all positions (or in this one).
    pub plate_allows: Option<bool>,
}

const PRACTICE: &str = "common practice";

/// Whether this kind of bearing suits its place, line by line.
///
/// Sleeve bearings need their oil film: level without more, upright only where the plate says so, and
/// no side pull above light loads. Ball bearings run in every position; belts, heavy upright wheels
/// and water ask for a check. Source: common practice.
pub fn judge_place(working: &mut Working, kind: Kind, place: &Place) {
    judge_position(working, kind, place);
    match (kind, place.belt) {
        (Kind::Sleeve, Some(true)) => working.lines.push(suits("belt", "Belt drive").value("side pull", "").judge(
            Verdict::Beyond,
            "Not above light loads: side pull breaks the oil film, and the oil hole must not face the pull. Use ball bearings.",
        )),
        (Kind::Ball | Kind::SealedBall, Some(true)) => working.lines.push(suits("belt", "Belt drive").value("side pull", "").judge(
            Verdict::WithinNote,
            "Suits; check the overhung load and the smallest sheave that the motor allows.",
        )),
        (Kind::Sleeve, None) => ask(
            working,
            suits("belt", "Belt drive"),
            "whether a belt pulls at the shaft",
            "side pull breaks the oil film of a sleeve bearing",
            "look at the drive",
        ),
        _ => {}
    }
    let ball = matches!(kind, Kind::Ball | Kind::SealedBall);
    if ball && place.heavy_wheel == Some(true) && place.position != Some(Position::Horizontal) {
        working.lines.push(
            suits("thrust", "Heavy wheel on an upright shaft")
                .value("thrust", "")
                .judge(
                    Verdict::WithinNote,
                    "Check that the bearing carries the wheel's weight along the shaft.",
                ),
        );
    }
    if place.wet == Some(true) {
        working.lines.push(judge_water(kind));
    }
}

fn suits(key: &'static str, label: &'static str) -> Line {
    line(key, label).rule("bearing against its place", PRACTICE)
}

fn judge_water(kind: Kind) -> Line {
    let shown = suits("water", "Wet place").value("wet", "");
    match kind {
        Kind::SealedBall => shown.judge(
            Verdict::WithinNote,
            "Suits with a slinger and the drain hole at the lowest point; the drain plug moves with the mounting.",
        ),
        Kind::Unit => shown.judge(Verdict::WithinNote, "Only as its marking says."),
        Kind::Sleeve | Kind::Ball => shown.judge(
            Verdict::Beyond,
            "Open to water: use sealed or shielded ball bearings with a slinger.",
        ),
    }
}

fn judge_position(working: &mut Working, kind: Kind, place: &Place) {
    let shown = suits("position", "Shaft position");
    match (kind, place.position) {
        (Kind::Ball | Kind::SealedBall, _) => working.lines.push(shown.value("any", "").judge(
            Verdict::Within,
            "Ball bearings carry radial load and moderate thrust in every position.",
        )),
        (Kind::Unit, _) => judge_by_plate(
            working,
            shown.value("as marked", ""),
            place.plate_allows,
            "a unit bearing runs only as its plate is marked",
        ),
        (Kind::Sleeve, Some(Position::Horizontal)) => {
            working.lines.push(shown.value("horizontal", "").judge(
                Verdict::Within,
                "The oil film lies at the bottom, and wick or reservoir feed it.",
            ));
        }
        (Kind::Sleeve, Some(Position::ShaftUp)) => judge_by_plate(
            working,
            shown.value("shaft up", ""),
            place.plate_allows,
            "the oil drains: it needs a thrust washer and an oil feed for all positions",
        ),
        (Kind::Sleeve, Some(Position::ShaftDown)) => judge_by_plate(
            working,
            shown.value("shaft down", ""),
            place.plate_allows,
            "the wheel hangs on the thrust face and the oil drains",
        ),
        (Kind::Sleeve, None) => ask(
            working,
            shown,
            "shaft position",
            "a sleeve bearing keeps its oil only level, unless its plate says more",
            "look at the machine: level, shaft end up or shaft end down",
        ),
    }
}

/// A position that only the plate can allow.
fn judge_by_plate(working: &mut Working, shown: Line, allowed: Option<bool>, why: &'static str) {
    match allowed {
        Some(true) => working
            .lines
            .push(shown.judge(Verdict::Within, "The plate allows this position.")),
        Some(false) => working.lines.push(shown.judge(Verdict::Beyond, why)),
        None => ask(
            working,
            shown,
            "whether the plate allows all positions",
            why,
            "read the plate: it says all-position, or names its mounting",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place(kind: Kind, place: Place) -> Option<Verdict> {
        let mut working = Working::default();
        judge_place(&mut working, kind, &place);
        working.verdict()
    }

    #[test]
    fn half_the_load_is_eight_times_the_life() {
        let one = rating_life(Rolling::Ball, 10.0, 2.0).expect("a life");
        let half = rating_life(Rolling::Ball, 10.0, 1.0).expect("a life");
        assert!((half / one - 8.0).abs() < 1e-9);
    }

    #[test]
    fn the_equivalent_load_is_never_below_the_radial_load() {
        assert_eq!(equivalent_load(5.0, 0.1, 0.56, 1.5), Ok(5.0));
        assert_eq!(equivalent_load(5.0, 4.0, 0.56, 1.5), Ok(0.56 * 5.0 + 6.0));
    }

    #[test]
    fn the_load_is_held_against_the_rating() {
        let at = |load| {
            let mut working = Working::default();
            judge_load(&mut working, 10.0, load);
            working.verdict()
        };
        assert_eq!(at(0.19), Some(Verdict::WithinNote));
        assert_eq!(at(0.2), Some(Verdict::Within));
        assert_eq!(at(5.0), Some(Verdict::Within));
        assert_eq!(at(5.1), Some(Verdict::WithinNote));
        assert_eq!(at(10.1), Some(Verdict::Beyond));
    }

    #[test]
    fn a_sleeve_bearing_upright_waits_for_its_plate() {
        let up = Place {
            position: Some(Position::ShaftUp),
            belt: Some(false),
            ..Place::default()
        };
        assert_eq!(place(Kind::Sleeve, up), Some(Verdict::NotKnownYet));
        let allowed = |plate| Place {
            plate_allows: Some(plate),
            ..up
        };
        assert_eq!(place(Kind::Sleeve, allowed(true)), Some(Verdict::Within));
        assert_eq!(place(Kind::Sleeve, allowed(false)), Some(Verdict::Beyond));
        assert_eq!(place(Kind::Ball, up), Some(Verdict::Within));
    }

    proptest! {
        #[test]
        fn more_load_or_speed_never_lives_longer(
            rating in 1.0..200.0f64, load in 0.1..100.0f64, more in 1.0..3.0f64,
            n in 10.0..4000.0f64, roller in any::<bool>(),
        ) {
            let kind = if roller { Rolling::Roller } else { Rolling::Ball };
            let life = rating_life(kind, rating, load).expect("a life");
            prop_assert!(rating_life(kind, rating, load * more).expect("a life") <= life);
            let here = hours(life, Rpm(n)).expect("hours");
            prop_assert!(hours(life, Rpm(n * more)).expect("hours") <= here);
            let back = rating_for(kind, load, Rpm(n), here).expect("a rating");
            prop_assert!((back / rating - 1.0).abs() < 1e-9);
        }

        #[test]
        fn more_reliability_never_lives_longer(a in 0usize..6, b in 0usize..6) {
            let (low, high) = (RELIABILITY[a.min(b)], RELIABILITY[a.max(b)]);
            prop_assert!(reliability_factor(high.0) <= reliability_factor(low.0));
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in any::<f64>()) {
            let _ = rating_life(Rolling::Roller, a, b).and_then(|life| hours(life, Rpm(c)));
            let _ = rating_for(Rolling::Ball, a, Rpm(b), c);
            let _ = equivalent_load(a, b, c, d);
            judge_load(&mut Working::default(), a, b);
            let _ = reliability_factor(a);
            judge_life(&mut Working::default(), a, b);
        }
    }
}
