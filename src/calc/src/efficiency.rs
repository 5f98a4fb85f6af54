//! Least efficiency that United States law asks of a newly made motor, 10 CFR 431.25 and 431.446.

use crate::shown::{Fill, ask, exact, line};
use crate::tables::{decimal, rows};
use crate::units::Watts;
use crate::working::{Verdict, Working};
use rust_decimal::Decimal;
use std::sync::LazyLock;

/// Which part of the law.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// 10 CFR 431.25 Table 5: integral-horsepower polyphase motors, 1 hp and above.
    Integral,
    /// 10 CFR 431.446(a): small open polyphase motors.
    SmallPolyphase,
    /// 10 CFR 431.446(a): small open capacitor-start motors, CSIR and CSCR.
    SmallCapacitorStart,
}

impl Part {
    /// Where it is printed.
    pub fn source(self) -> &'static str {
        match self {
            Part::Integral => "10 CFR 431.25 Table 5",
            Part::SmallPolyphase | Part::SmallCapacitorStart => "10 CFR 431.446(a)",
        }
    }

    fn word(self, open: bool) -> &'static str {
        match (self, open) {
            (Part::Integral, true) => "open",
            (Part::Integral, false) => "enclosed",
            (Part::SmallPolyphase, _) => "polyphase",
            (Part::SmallCapacitorStart, _) => "capacitor-start (CSIR and CSCR)",
        }
    }

    fn table(self) -> &'static [Row] {
        match self {
            Part::Integral => &INTEGRAL,
            _ => &SMALL,
        }
    }
}

/// One rating of the tables.
struct Row {
    kind: String,
    hp: Decimal,
    kw: Decimal,
    poles: u32,
    /// `None` where the table prints that there is none.
    percent: Option<Decimal>,
    confidence: String,
}

fn read(text: &str, [kind, hp, kw, poles, percent]: [usize; 5]) -> Vec<Row> {
    let row = |cells: Vec<String>| {
        Some(Row {
            kind: cells.get(kind)?.clone(),
            hp: decimal(cells.get(hp)?)?,
            kw: decimal(cells.get(kw)?)?,
            poles: cells.get(poles)?.parse().ok()?,
            percent: decimal(cells.get(percent)?),
            confidence: cells.get(5).cloned().unwrap_or_else(|| "confirmed".into()),
        })
    };
    rows(text).into_iter().filter_map(row).collect()
}

static SMALL: LazyLock<Vec<Row>> = LazyLock::new(|| {
    read(
        include_str!("tables/efficiency_10cfr431_446.csv"),
        [0, 1, 2, 3, 4],
    )
});
static INTEGRAL: LazyLock<Vec<Row>> = LazyLock::new(|| {
    read(
        include_str!("tables/efficiency_10cfr431_25.csv"),
        [3, 0, 1, 2, 4],
    )
});

/// A power as it is marked; the law reads kilowatts in its own way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Marked {
    /// Horsepower.
    Hp(Decimal),
    /// Kilowatts.
    Kw(Decimal),
}

impl Marked {
    /// Horsepower from watts, to three decimals.
    pub fn of(power: Watts) -> Option<Marked> {
        let hp = crate::shown::positive(power.hp())?;
        Decimal::from_f64_retain(hp).map(|hp| Marked::Hp(hp.round_dp(3)))
    }
}

/// The listed rating that a power is taken as, in horsepower.
///
/// At or above the midpoint of two listed ratings the higher one counts, below it the lower one. A
/// kilowatt figure that is listed beside a rating is that rating; any other is turned to horsepower by
/// `1 kW = 1/0.746 hp`, cut off after three decimals. A power within 0.5 % of a listed one is that one:
/// plates round. `None` outside the listed ratings.
/// Source: 10 CFR 431.446(b) and 431.25(g) for the midpoint; the kilowatt clause partly from memory.
pub fn deemed(part: Part, power: Marked) -> Option<Decimal> {
    let table = part.table();
    let hp = match power {
        Marked::Hp(hp) => hp,
        Marked::Kw(kw) => match table.iter().find(|row| row.kw == kw) {
            Some(row) => return Some(row.hp),
            None => kw.checked_div(Decimal::new(746, 3))?.trunc_with_scale(3),
        },
    };
    if hp <= Decimal::ZERO || hp > Decimal::from(100_000) {
        return None;
    }
    let room = Decimal::new(5, 3);
    let close = |row: &&Row| (row.hp - hp).abs() <= row.hp * room;
    if let Some(row) = table.iter().find(close) {
        return Some(row.hp);
    }
    let below = table
        .iter()
        .map(|row| row.hp)
        .filter(|listed| *listed < hp)
        .max()?;
    let above = table
        .iter()
        .map(|row| row.hp)
        .filter(|listed| *listed > hp)
        .min()?;
    Some(if hp + hp >= below + above {
        above
    } else {
        below
    })
}

/// A least efficiency.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// The listed rating that counts, hp.
    pub rating_hp: Decimal,
    /// Least efficiency at full load, percent: nominal in 431.25, average in 431.446.
    pub percent: Decimal,
    /// Which part of the law.
    pub part: Part,
    /// How well the figure is known.
    pub confidence: String,
}

/// Least efficiency at full load for a rating, or `None` where the compiled tables list none: 431.25 is
/// compiled from 1 to 100 hp and 2 to 8 poles (8 poles to 75 hp), 431.446 from 1/4 to 3 hp and 2 to 6 poles.
///
/// 431.446 covers open motors only; an enclosed one has no floor in it. 60 Hz motors only.
/// Source: 10 CFR 431.25 Table 5; 10 CFR 431.446(a).
pub fn floor(part: Part, power: Marked, poles: u32, open: bool) -> Option<Floor> {
    if part != Part::Integral && !open {
        return None;
    }
    let rating = deemed(part, power)?;
    let row = part
        .table()
        .iter()
        .find(|row| row.hp == rating && row.poles == poles && row.kind == part.word(open))?;
    Some(Floor {
        rating_hp: rating,
        percent: row.percent?,
        part,
        confidence: row.confidence.clone(),
    })
}

/// How a motor stands before the law.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Three-phase induction.
    Polyphase,
    /// Capacitor-start, with or without a run capacitor.
    CapacitorStart,
    /// Permanent split capacitor, shaded pole, split phase, electronically commutated, direct current.
    Other,
}

/// What is asked of the law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// Kind of the motor.
    pub kind: Kind,
    /// Power as marked.
    pub power: Marked,
    /// Poles.
    pub poles: u32,
    /// Open (`true`) or enclosed.
    pub open: bool,
    /// Digits of the NEMA frame number: two-digit frames are small motors, three-digit ones integral.
    pub frame_digits: Option<u32>,
    /// Efficiency marked on the motor, percent.
    pub marked: Option<Decimal>,
}

/// The listed rating the motor's power is taken as; `None` for a kind that no part covers.
/// Source: see [`deemed`].
pub fn rating(asked: &Question) -> Option<Decimal> {
    parts(asked)
        .iter()
        .find_map(|part| deemed(*part, asked.power))
}

/// Every floor that can hold for the motor: one, none, or two where the frame decides and is not known.
///
/// An open three-phase motor of 1 to 3 hp falls under 431.446 in a two-digit NEMA frame and under 431.25
/// in a three-digit one. Source: 10 CFR 431.12, definitions, from memory.
pub fn floors(asked: &Question) -> Vec<Floor> {
    parts(asked)
        .iter()
        .filter_map(|part| floor(*part, asked.power, asked.poles, asked.open))
        .collect()
}

fn parts(asked: &Question) -> &'static [Part] {
    match (asked.kind, asked.frame_digits) {
        (Kind::Other, _) => &[],
        (Kind::CapacitorStart, _) => &[Part::SmallCapacitorStart],
        (Kind::Polyphase, Some(2)) if asked.open => &[Part::SmallPolyphase],
        (Kind::Polyphase, Some(3)) => &[Part::Integral],
        (Kind::Polyphase, _) => &[Part::SmallPolyphase, Part::Integral],
    }
}

/// The floors laid open, and the marked efficiency against them.
///
/// The law binds who makes and sells a new motor; it forbids nobody to run an old one.
/// Source: 10 CFR 431.25 and 431.446.
pub fn working(asked: &Question) -> Working {
    let mut working = Working::new("Least efficiency of a new motor");
    working.cautions.push(
        "The law is of the United States and binds the making and selling of new 60 Hz motors; special \
         kinds are exempt. Check the current text."
            .into(),
    );
    let found = floors(asked);
    if found.is_empty() {
        working.lines.push(
            line("floor", "Least efficiency")
                .value("none found", "")
                .rule("listed kinds and ratings only", "10 CFR 431.25, 431.446")
                .note(match asked.kind {
                    Kind::Other => "These parts of the law do not cover this kind of motor.",
                    _ => "The compiled tables list no such rating, poles and enclosure.",
                }),
        );
        return working;
    }
    for floor in &found {
        let shown = line("floor", "Least efficiency at full load")
            .value(exact(floor.percent), "%")
            .rule(
                "rating at or above the midpoint takes the higher row",
                format!("{}, {}", floor.part.source(), floor.confidence),
            )
            .note(format!("As a {} hp motor.", exact(floor.rating_hp)));
        working.lines.push(shown);
    }
    let percents = || found.iter().map(|floor| floor.percent);
    if let (Some(low), Some(high)) = (percents().min(), percents().max()) {
        judge_marked(&mut working, asked.marked, low, high);
    }
    working
}

/// The working for a kind that these parts of the law do not cover, whatever its power and poles.
/// Source: 10 CFR 431.25 and 431.446, kinds listed.
pub fn not_covered() -> Working {
    let mut working = Working::new("Least efficiency of a new motor");
    working.lines.push(
        line("floor", "Least efficiency")
            .value("none found", "")
            .rule("listed kinds only", "10 CFR 431.25, 431.446")
            .note("These parts of the law do not cover this kind of motor."),
    );
    working
}

fn judge_marked(working: &mut Working, marked: Option<Decimal>, low: Decimal, high: Decimal) {
    let mut shown = line("marked", "Marked efficiency")
        .limit(format!("at least {} %", exact(high)))
        .rule("at least the floor", "10 CFR 431");
    if let Some(marked) = marked {
        shown = shown.value(exact(marked), "%");
    }
    match marked {
        None if low == high => {}
        Some(marked) if marked >= high => working
            .lines
            .push(shown.judge(Verdict::Within, "At or above the floor.")),
        Some(marked) if marked < low => working
            .lines
            .push(shown.judge(Verdict::Beyond, "Below the floor: may not be sold as new.")),
        _ => ask(
            working,
            shown,
            "digits of the NEMA frame number",
            "an open motor of 1 to 3 hp has one floor in a two-digit frame and another in a three-digit one",
            "read the frame on the plate",
        ),
    }
}

/// The one floor that holds: `None` where there is none, or two that differ.
pub fn single(found: &[Floor]) -> Option<Decimal> {
    let first = found.first()?.percent;
    found
        .iter()
        .all(|floor| floor.percent == first)
        .then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hp(text: &str) -> Marked {
        Marked::Hp(text.parse().expect("a number"))
    }

    #[test]
    fn kilowatts_are_read_as_the_law_reads_them() {
        let kw = |text: &str| deemed(Part::SmallPolyphase, Marked::Kw(text.parse().expect("kW")));
        assert_eq!(kw("0.18"), Some(Decimal::new(25, 2)));
        // 0.6 / 0.746 is 0.804 hp, nearer to 3/4 than to 1.
        assert_eq!(kw("0.6"), Some(Decimal::new(75, 2)));
        assert_eq!(kw("0.1"), None);
        assert_eq!(kw("5"), None);
    }

    #[test]
    fn the_frame_decides_for_an_open_motor_of_one_horsepower() {
        let mut asked = Question {
            kind: Kind::Polyphase,
            power: hp("1"),
            poles: 4,
            open: true,
            frame_digits: None,
            marked: Some(Decimal::new(84, 0)),
        };
        assert_eq!(floors(&asked).len(), 2);
        assert_eq!(working(&asked).verdict(), Some(Verdict::NotKnownYet));
        asked.frame_digits = Some(2);
        assert_eq!(working(&asked).verdict(), Some(Verdict::Within));
        asked.frame_digits = Some(3);
        assert_eq!(working(&asked).verdict(), Some(Verdict::Beyond));
        asked.kind = Kind::Other;
        assert!(floors(&asked).is_empty());
        assert_eq!(working(&asked).verdict(), None);
    }

    proptest! {
        #[test]
        fn more_power_is_never_deemed_less(a in 1u32..40_000, more in 0u32..40_000) {
            let at = |thousandths: u32| deemed(Part::Integral, Marked::Hp(Decimal::new(thousandths.into(), 3)));
            if let (Some(less), Some(greater)) = (at(a), at(a + more)) {
                prop_assert!(greater >= less);
            }
        }

        #[test]
        fn nothing_panics(watts in any::<f64>(), poles in any::<u32>(), open in any::<bool>()) {
            if let Some(power) = Marked::of(Watts(watts)) {
                for part in [Part::Integral, Part::SmallPolyphase, Part::SmallCapacitorStart] {
                    let _ = floor(part, power, poles, open);
                }
            }
            let _ = deemed(Part::Integral, Marked::Kw(Decimal::MAX));
            let _ = deemed(Part::Integral, Marked::Hp(Decimal::MIN));
        }
    }
}
