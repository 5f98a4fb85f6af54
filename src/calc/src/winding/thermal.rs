//! Heat and insulation: classes and their rises, life, hot surroundings and height.

use crate::shown::{Fill, ask, figure, line, positive};
use crate::tables::equipment::{CLASSES, ClassRow};
use crate::units::{Celsius, Kelvins, Metres};
use crate::working::{Line, Verdict, Working};

/// Air a motor is made for unless its plate says otherwise. Source: NEMA MG 1 12.42.
pub const REFERENCE_AMBIENT: Celsius = Celsius(40.0);
/// Height up to which nothing is derated: 3300 ft. Source: NEMA MG 1 14.4, from memory.
pub const FREE_HEIGHT: Metres = Metres(1005.84);
/// Height up to which a motor of service factor 1.15 runs at 1.0: 9000 ft.
/// Source: NEMA MG 1 14.4.2, from memory.
pub const SERVICE_FACTOR_HEIGHT: Metres = Metres(2743.2);
/// Height to which the rules here are read: 9900 ft.
pub const HIGHEST: Metres = Metres(3017.52);
/// 9000 ft in metres falls a hair beside the limit in binary.
const HAIR: f64 = 1e-6;

/// How a motor is built, as far as its rise goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Build {
    /// Service factor 1.0.
    Plain,
    /// Service factor above 1.0, at the service-factor load.
    ServiceFactor,
    /// Totally enclosed, not ventilated.
    NotVentilated,
    /// Frame smaller than 42.
    SmallFrame,
}

fn class(letter: &str) -> Option<&'static ClassRow> {
    let letter = letter.trim();
    CLASSES
        .iter()
        .find(|row| row.letter.eq_ignore_ascii_case(letter))
}

/// Temperature of a thermal class, such as 155 °C for F. Source: NEMA MG 1; IEC 60085.
pub fn class_temperature(letter: &str) -> Option<Celsius> {
    class(letter).map(|row| Celsius(row.temperature))
}

/// Highest rise by resistance at 40 °C for a class and build; `None` where none is listed.
///
/// Never worked out of class less ambient less hot spot: that gives 70, not 60 K, for class A.
/// Source: NEMA MG 1 12.42 and 12.43 (E: IEC 60034-1); not ventilated and small frames from memory.
pub fn rise_limit(letter: &str, build: Build) -> Option<Kelvins> {
    let column = match build {
        Build::Plain => 0,
        Build::ServiceFactor => 1,
        Build::NotVentilated => 2,
        Build::SmallFrame => 3,
    };
    class(letter)?.rises[column].map(Kelvins)
}

/// Life of insulation at another temperature: `L = L0 2^((t0 - t)/10)`, hours.
///
/// A rule of thumb for comparing, not a warranty. Valid near the reference, for temperatures from 0 to
/// 400 °C; `None` outside. Source: common practice (halving for each 10 K).
pub fn life(reference: Celsius, hours: f64, at: Celsius) -> Option<f64> {
    let usable = |t: Celsius| (0.0..=400.0).contains(&t.0);
    if !(usable(reference) && usable(at)) {
        return None;
    }
    let life = positive(hours)? * 2f64.powf((reference.0 - at.0) / 10.0);
    life.is_finite().then_some(life)
}

/// The rise that is left of a limit in hotter air and at a height.
///
/// `(rise - (ambient - 40)) (1 - 0.01 (h - 1000)/100)`: the excess of the air over 40 °C comes off,
/// and 1 % for each 100 m (330 ft) above 1000 m (3300 ft); cooler air adds nothing. Valid to 3017 m
/// (9900 ft) and for air from -40 to 100 °C; zero where nothing is left. Source: NEMA MG 1 12.42.3,
/// 12.42.4, 12.43.3, 14.4; from memory.
pub fn rise_left(limit: Kelvins, ambient: Celsius, height: Metres) -> Option<Kelvins> {
    let (ambient, height) = place(ambient, height)?;
    let hot = (ambient - REFERENCE_AMBIENT.0).max(0.0);
    let share = if height > FREE_HEIGHT.0 + HAIR {
        1.0 - 0.01 * (height - 1000.0) / 100.0
    } else {
        1.0
    };
    Some(Kelvins((positive(limit.0)? - hot).max(0.0) * share))
}

fn place(ambient: Celsius, height: Metres) -> Option<(f64, f64)> {
    let usable =
        (-40.0..=100.0).contains(&ambient.0) && (-500.0..=HIGHEST.0 + HAIR).contains(&height.0);
    usable.then_some((ambient.0, height.0))
}

/// Whether the full rating is kept: air of at most 40 °C to 3300 ft, 30 °C to 6600 ft, 20 °C to
/// 9900 ft. `None` outside the range of [`rise_left`]. Source: NEMA MG 1 14.4.3, from memory.
pub fn full_rating(ambient: Celsius, height: Metres) -> Option<bool> {
    let (ambient, height) = place(ambient, height)?;
    let most = if height <= FREE_HEIGHT.0 + HAIR {
        40.0
    } else if height <= 2.0 * FREE_HEIGHT.0 + HAIR {
        30.0
    } else {
        20.0
    };
    Some(ambient <= most)
}

/// The service factor that may be used: the marked one where the full rating is kept to 3300 ft, 1.0
/// of a marked 1.15 or more to 9000 ft in air of 40 °C, or where cooler air keeps the rating.
/// `None` where none may be used without derating. Source: NEMA MG 1 14.4.2, 14.4.3; from memory.
pub fn usable_service_factor(marked: f64, ambient: Celsius, height: Metres) -> Option<f64> {
    let marked = positive(marked).filter(|factor| *factor >= 1.0)?;
    let (air, h) = place(ambient, height)?;
    if h <= FREE_HEIGHT.0 + HAIR && air <= REFERENCE_AMBIENT.0 {
        return Some(marked);
    }
    let strong =
        marked >= 1.15 - 1e-9 && h <= SERVICE_FACTOR_HEIGHT.0 + HAIR && air <= REFERENCE_AMBIENT.0;
    (strong || full_rating(ambient, height)?).then_some(1.0)
}

/// Where a motor stands. Blank is not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Site {
    /// Hottest air around it.
    pub ambient: Option<Celsius>,
    /// Height over the sea.
    pub height: Option<Metres>,
    /// Rise its class allows at 40 °C.
    pub limit: Option<Kelvins>,
    /// Marked service factor.
    pub service_factor: Option<f64>,
    /// Power it gives, percent of its plate.
    pub load_percent: Option<f64>,
}

/// A motor of 40 °C in its surroundings.
///
/// Source: NEMA MG 1 12.42, 12.43, 14.4, from memory; 14.37.1.
pub fn check(site: &Site) -> Working {
    let mut working = Working::new("Hot surroundings and height");
    working
        .cautions
        .push("For motors made for 40 °C and 1000 m; a plate that says otherwise decides.".into());
    rating(&mut working, site);
    if let Some(load) = site.load_percent.filter(|load| load.is_finite()) {
        working.lines.push(load_line(load, site.service_factor));
    }
    working
}

fn load_line(load: f64, service_factor: Option<f64>) -> Line {
    let shown = line("load", "Power taken")
        .value(figure(load, 1), "% of the plate")
        .limit("100 %")
        .rule(
            "above the plate: shorter life, other speed and current",
            "NEMA MG 1 14.37.1",
        );
    if load <= 100.0 + 1e-9 {
        shown.judge(Verdict::Within, "Not above the plate.")
    } else if service_factor.is_some_and(|factor| load <= 100.0 * factor + 1e-9) {
        let note = "On the service factor: the motor's life is shorter; lower the load.";
        shown.judge(Verdict::WithinNote, note)
    } else {
        let note = "Above plate and service factor: lower the load.";
        shown.judge(Verdict::Beyond, note)
    }
}

fn rating(working: &mut Working, site: &Site) {
    let shown = line("rating", "Full rating").rule(
        "air of 40 °C to 3300 ft, 30 °C to 6600 ft, 20 °C to 9900 ft",
        "NEMA MG 1 14.4; from memory",
    );
    let (Some(ambient), Some(height)) = (site.ambient, site.height) else {
        let what = match site.ambient {
            None => "hottest air around the motor",
            Some(_) => "height over the sea",
        };
        let why = "hot or thin air takes less heat away";
        let how = "measure the air on the hottest day; take the height from a map";
        return ask(working, shown, what, why, how);
    };
    let Some(full) = full_rating(ambient, height) else {
        let what = "air from -40 to 100 °C and a height to 3017 m";
        let why = "the rules here go no further";
        return ask(working, shown, what, why, "ask the maker for this place");
    };
    let place = format!("{} °C at {} m", figure(ambient.0, 1), figure(height.0, 0));
    let marked = site.service_factor;
    let factor = marked.and_then(|sf| usable_service_factor(sf, ambient, height));
    let (verdict, note) = match (full, factor) {
        (true, _) => (Verdict::Within, "The full rating is kept."),
        (false, Some(_)) => (
            Verdict::WithinNote,
            "Usable at its plate power only: the service factor is taken up by the height.",
        ),
        (false, None) => (
            Verdict::Beyond,
            "Use less than the plate power, by the lower rise; ask the maker how much.",
        ),
    };
    working
        .lines
        .push(shown.value(place, "").judge(verdict, note));
    let left = site
        .limit
        .and_then(|limit| rise_left(limit, ambient, height));
    working.lines.extend(left.map(left_line));
}

fn left_line(left: Kelvins) -> Line {
    line("rise", "Rise that is left")
        .value(figure(left.0, 1), "K")
        .rule(
            "less the air over 40 °C, less 1 % for each 100 m above 1000 m",
            "NEMA MG 1 12.42.3, 12.43.3, 14.4; from memory",
        )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn hotter_air_and_height_take_from_the_rise() {
        let of = |t, h| rise_left(Kelvins(105.0), Celsius(t), Metres(h)).map(|k| k.0);
        assert_eq!(of(50.0, 0.0), Some(95.0));
        assert_eq!(of(20.0, 1000.0), Some(105.0));
        assert!((of(40.0, 2000.0).expect("a rise") - 94.5).abs() < 1e-9);
        assert_eq!(of(40.0, 4000.0), None);
    }

    #[test]
    fn the_service_factor_pays_for_the_height() {
        let of = |sf, t, h| usable_service_factor(sf, Celsius(t), Metres(h));
        assert_eq!(of(1.25, 40.0, 500.0), Some(1.25));
        assert_eq!(of(1.15, 40.0, 2743.0), Some(1.0));
        assert_eq!(of(1.0, 40.0, 2000.0), None);
        assert_eq!(of(1.0, 30.0, 2000.0), Some(1.0));
    }

    proptest! {
        #[test]
        fn hotter_or_higher_is_never_better(t in -30.0f64..90.0, h in 0.0f64..2900.0, hotter in 0.0f64..10.0,
            higher in 0.0f64..100.0, sf in prop::option::of(1.0f64..1.4)) {
            let of = |t, h| {
                let site = Site {
                    ambient: Some(Celsius(t)), height: Some(Metres(h)), limit: Some(Kelvins(80.0)),
                    service_factor: sf, load_percent: None,
                };
                check(&site).verdict().map(Verdict::severity)
            };
            prop_assert!(of(t + hotter, h + higher) >= of(t, h));
            let left = |t, h| rise_left(Kelvins(80.0), Celsius(t), Metres(h)).map(|k| k.0);
            prop_assert!(left(t + hotter, h + higher) <= left(t, h));
        }

        #[test]
        fn ten_kelvin_hotter_halves_the_life(t0 in 80.0f64..180.0, hours in 1000.0f64..50_000.0, t in 50.0f64..200.0) {
            let of = |t| life(Celsius(t0), hours, Celsius(t)).expect("a life");
            prop_assert!((of(t) / of(t + 10.0) - 2.0).abs() < 1e-9);
        }

        #[test]
        fn no_figure_panics(a: f64, b: f64, c: f64, d: f64) {
            let _ = life(Celsius(a), b, Celsius(c));
            let _ = rise_left(Kelvins(a), Celsius(b), Metres(c));
            let _ = check(&Site {
                ambient: Some(Celsius(a)), height: Some(Metres(b)), limit: Some(Kelvins(c)),
                service_factor: Some(d), load_percent: Some(a),
            });
        }
    }
}
