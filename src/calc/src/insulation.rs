//! Insulation resistance of a winding: its least value, its temperature, and the test itself.

use crate::shown::{Fill, ask, figure, line, positive};
use crate::units::{Celsius, Megohms, Volts};
use crate::working::{Verdict, Working};

/// Above this one-minute reading a polarization index says nothing. Source: IEEE 43.
pub const INDEX_LIMIT: Megohms = Megohms(5000.0);

/// What holds whatever is measured.
pub const CAUTIONS: [&str; 2] = [
    "Isolate, lock and prove dead first; after the test hold the winding earthed until it is \
     discharged. The test voltage can kill.",
    "Never test insulation through electronics: part drives, electronic motors, controllers, \
     capacitors and surge arresters from the winding first.",
];

/// Kinds of winding that have a least value of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Winding {
    /// Random-wound stator, as in nearly every motor below 1 kV.
    RandomWound,
    /// Form-wound a.c. winding or d.c. armature, made after about 1970.
    FormWound,
    /// Made before about 1970, or a field winding.
    OldOrField,
}

/// The least insulation resistance for a kind of winding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Least {
    /// At 40 °C after one minute. Where the kind is not known: the value no winding may be below.
    pub megohm: Megohms,
    /// The value that would do for every kind the winding may be of.
    pub enough: Megohms,
    /// How it comes about, in a few words.
    pub why: &'static str,
}

/// Least insulation resistance at 40 °C after one minute.
///
/// `kV + 1` megohms for windings made before about 1970 and field windings, with `kV` the rated
/// voltage between lines; 100 for form-wound windings from 1 kV on; 5 for random-wound windings and
/// everything below 1 kV. No winding may be below `kV + 1`: that is the answer where the kind is not
/// known, with the value that would do for every kind beside it. `None` where the voltage is needed
/// and not given. Fractional-horsepower motors are outside the standard's scope; 5 megohms for them
/// is common practice. Source: IEEE 43.
pub fn least(winding: Option<Winding>, rated_kv: Option<f64>) -> Option<Least> {
    let kv = rated_kv.and_then(positive);
    let floor = kv.map(|kv| kv + 1.0);
    let low = kv.map(|kv| kv < 1.0);
    let of = |megohm: f64, why| {
        let megohm = megohm.max(floor.unwrap_or(0.0));
        Some(Least {
            megohm: Megohms(megohm),
            enough: Megohms(megohm),
            why,
        })
    };
    match winding {
        Some(Winding::RandomWound) => of(5.0, "random-wound"),
        Some(Winding::FormWound) if low? => of(5.0, "form-wound below 1 kV"),
        Some(Winding::FormWound) => of(100.0, "form-wound, 1 kV and above"),
        Some(Winding::OldOrField) => of(floor?, "kV + 1: before about 1970, or a field"),
        None => Some(Least {
            megohm: Megohms(floor?),
            enough: Megohms(floor?.max(if low? { 5.0 } else { 100.0 })),
            why: "kV + 1, below which no winding may be; its kind may ask for more",
        }),
    }
}

/// Factor to 40 °C: `K = 0.5^((40 - T)/10)`, with `T` the temperature of the winding, °C.
///
/// The halving rule: insulation resistance halves for each 10 K. Valid for windings above the dew
/// point from about 10 to 60 °C, taken here from -20 to 120 °C; `None` outside. The other formula of
/// the 2013 edition for thermosetting insulation was not confirmed and is not used.
/// Source: IEEE 43 (halving rule).
pub fn factor_to_40(temperature: Celsius) -> Option<f64> {
    (-20.0..=120.0)
        .contains(&temperature.0)
        .then(|| 0.5f64.powf((40.0 - temperature.0) / 10.0))
}

/// A reading at 40 °C: `R40 = K R`, megohms. Source: IEEE 43.
pub fn at_40(reading: Megohms, temperature: Celsius) -> Option<Megohms> {
    Some(Megohms(positive(reading.0)? * factor_to_40(temperature)?))
}

/// Direct test voltage for the rated voltage between lines: lowest and highest, volts.
///
/// Below 1 kV 500; to 2.5 kV 500 to 1000; to 5 kV 1000 to 2500; to 12 kV 2500 to 5000; above 5000
/// to 10 000. Source: IEEE 43.
pub fn test_voltage(rated: Volts) -> Option<(Volts, Volts)> {
    let rated = positive(rated.0)?;
    let (low, high) = match rated {
        v if v < 1000.0 => (500.0, 500.0),
        v if v <= 2500.0 => (500.0, 1000.0),
        v if v <= 5000.0 => (1000.0, 2500.0),
        v if v <= 12_000.0 => (2500.0, 5000.0),
        _ => (5000.0, 10_000.0),
    };
    Some((Volts(low), Volts(high)))
}

/// Polarization index: the reading after ten minutes over that after one.
///
/// Not valid where the one-minute reading is above 5000 megohms; not needed for small motors.
/// Source: IEEE 43.
pub fn polarization_index(one_minute: Megohms, ten_minutes: Megohms) -> Option<f64> {
    let one = positive(one_minute.0)?;
    let index = positive(ten_minutes.0)? / one;
    (one <= INDEX_LIMIT.0 && index.is_finite()).then_some(index)
}

/// Least polarization index: 1.5 for class A, 2.0 from class B up; `None` for other letters.
/// Source: IEEE 43.
pub fn least_index(class: &str) -> Option<f64> {
    match class {
        "A" => Some(1.5),
        "B" | "F" | "H" | "N" => Some(2.0),
        _ => None,
    }
}

/// What is known of a test. Blank is not known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Test {
    /// Reading after one minute.
    pub reading: Option<Megohms>,
    /// Temperature of the winding.
    pub temperature: Option<Celsius>,
    /// Rated voltage between lines, kilovolts.
    pub rated_kv: Option<f64>,
    /// Kind of the winding.
    pub winding: Option<Winding>,
    /// Electronics are connected to the winding.
    pub electronics: Option<bool>,
}

/// No insulation test through electronics.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "No insulation test through electronics: disconnect the drive, controller or electronic motor \
     from the winding, then test the winding alone"
)]
pub struct ThroughElectronics;

/// A reading against the least value at 40 °C. Nothing is judged, and no test voltage is told, until
/// it is said that no electronics are connected.
///
/// Source: IEEE 43; below 1 hp `common practice`.
/// # Errors
/// [`ThroughElectronics`] where electronics are connected.
pub fn check(test: &Test) -> Result<Working, ThroughElectronics> {
    if test.electronics == Some(true) {
        return Err(ThroughElectronics);
    }
    let mut working = Working::new("Insulation resistance");
    working.cautions.extend(CAUTIONS.map(Into::into));
    let apart = test.electronics == Some(false);
    if !apart {
        ask(
            &mut working,
            line("electronics", "Electronics on the winding")
                .rule("no test through electronics", "common practice"),
            "whether electronics are connected to the winding",
            "the test voltage destroys electronics, and a reading through them says nothing",
            "follow the leads: drive, speed controller, electronic motor, soft starter",
        );
    }
    let volts = test.rated_kv.map(|kv| Volts(kv * 1000.0));
    if let (true, Some((low, high))) = (apart, volts.and_then(test_voltage)) {
        working.lines.push(
            line("test_voltage", "Direct test voltage")
                .value(
                    format!("{} to {}", figure(low.0, 0), figure(high.0, 0)),
                    "V",
                )
                .rule("by rated voltage, for one minute", "IEEE 43"),
        );
    }
    let corrected = correction(&mut working, test);
    judge(&mut working, test, corrected, apart);
    Ok(working)
}

fn correction(working: &mut Working, test: &Test) -> Option<Megohms> {
    let reading = test.reading?;
    let shown = line("corrected", "Reading at 40 °C").rule("K = 0.5^((40 - T)/10)", "IEEE 43");
    let factor = test.temperature.and_then(factor_to_40);
    match (factor, test.temperature.and_then(|t| at_40(reading, t))) {
        (Some(factor), Some(corrected)) => {
            let note = format!("{} megohm x {}", figure(reading.0, 2), figure(factor, 4));
            working
                .lines
                .push(shown.value(figure(corrected.0, 2), "megohm").note(note));
            Some(corrected)
        }
        _ => {
            ask(
                working,
                shown,
                "temperature of the winding, -20 to 120 °C",
                "insulation resistance halves for each 10 K",
                "measure it on the winding or the body after standing",
            );
            None
        }
    }
}

fn judge(working: &mut Working, test: &Test, corrected: Option<Megohms>, apart: bool) {
    let shown = line("least", "Least insulation resistance").rule(
        "at 40 °C after one minute, by kind of winding",
        "IEEE 43; below 1 hp common practice",
    );
    let Some(least) = least(test.winding, test.rated_kv) else {
        let what = "rated voltage and kind of the winding";
        let how = "read the plate; motors below 1 kV are random-wound";
        return ask(working, shown, what, "the least value depends on them", how);
    };
    let shown = shown.limit(format!("{} megohm", figure(least.megohm.0, 2)));
    let Some(corrected) = corrected else {
        working.lines.push(shown.note(least.why));
        return;
    };
    let shown = shown
        .value(figure(corrected.0, 2), "megohm")
        .margin(format!(
            "{} megohm",
            figure(corrected.0 - least.megohm.0, 2)
        ));
    let holds = |least: Megohms| corrected.0 >= least.0 * (1.0 - 1e-9);
    if holds(least.megohm) && !holds(least.enough) {
        let why = "a form-wound winding from 1 kV on needs 100 megohm, a random-wound one 5";
        let how = "motors below 1 kV are random-wound; ask the maker about larger ones";
        return ask(working, shown, "kind of the winding", why, how);
    }
    let (verdict, note) = match (holds(least.megohm), apart) {
        (false, _) => (
            Verdict::Beyond,
            "Do not energise: dry or clean the winding and test again, or replace the motor.",
        ),
        (true, true) => (Verdict::Within, "The winding holds the least value."),
        (true, false) => (
            Verdict::NotKnownYet,
            "The figure would do, if nothing but the winding was measured.",
        ),
    };
    working.lines.push(shown.judge(verdict, note));
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn test(reading: f64, temperature: f64) -> Test {
        Test {
            reading: Some(Megohms(reading)),
            temperature: Some(Celsius(temperature)),
            rated_kv: Some(0.48),
            winding: Some(Winding::RandomWound),
            electronics: Some(false),
        }
    }

    fn verdict(test: &Test) -> Option<Verdict> {
        check(test).expect("no electronics").verdict()
    }

    #[test]
    fn electronics_are_refused_and_asked_about() {
        let mut open = test(500.0, 25.0);
        assert_eq!(verdict(&open), Some(Verdict::Within));
        open.electronics = None;
        assert_eq!(verdict(&open), Some(Verdict::NotKnownYet));
        assert!(check(&open).expect("asked").line("test_voltage").is_none());
        open.electronics = Some(true);
        assert_eq!(check(&open), Err(ThroughElectronics));
    }

    #[test]
    fn the_kind_decides_between_five_and_a_hundred() {
        let of = |winding, kv| least(winding, Some(kv)).map(|least| least.megohm.0);
        let form = Some(Winding::FormWound);
        assert!((of(None, 4.16).expect("kV + 1") - 5.16).abs() < 1e-9);
        assert_eq!(of(form, 4.16), Some(100.0));
        assert_eq!(of(form, 0.48), Some(5.0));
        assert_eq!(of(Some(Winding::RandomWound), 0.48), Some(5.0));
        let open = Test {
            winding: None,
            rated_kv: Some(4.16),
            ..test(50.0, 40.0)
        };
        assert_eq!(verdict(&open), Some(Verdict::NotKnownYet));
    }

    fn value() -> impl Strategy<Value = Option<f64>> {
        prop::option::of(prop_oneof![3 => 0.1f64..2000.0, 1 => any::<f64>()])
    }

    proptest! {
        #[test]
        fn a_lower_reading_is_never_judged_better(high in 0.1f64..500.0, share in 0.01f64..1.0,
            t in -20.0f64..120.0, kv in prop::option::of(0.1f64..15.0),
            kind in prop::sample::select(vec![None, Some(Winding::RandomWound), Some(Winding::FormWound), Some(Winding::OldOrField)]),
            electronics in prop::sample::select(vec![None, Some(false)])) {
            let of = |reading| {
                let test = Test { rated_kv: kv, winding: kind, electronics, ..test(reading, t) };
                let working = check(&test).expect("no electronics");
                working.line("least").and_then(|line| line.verdict).map(Verdict::severity)
            };
            prop_assert!(of(high * share) >= of(high));
        }

        #[test]
        fn a_colder_winding_counts_for_less(t in -20.0f64..119.0, more in 0.0f64..1.0) {
            prop_assert!(factor_to_40(Celsius(t + more)) >= factor_to_40(Celsius(t)));
            let twice = factor_to_40(Celsius(t + 10.0)).zip(factor_to_40(Celsius(t)));
            if let Some((warm, cold)) = twice {
                prop_assert!((warm / cold - 2.0).abs() < 1e-9);
            }
        }

        #[test]
        fn no_figure_panics(reading in value(), t in value(), kv in value(), e: Option<bool>) {
            let test = Test {
                reading: reading.map(Megohms), temperature: t.map(Celsius), rated_kv: kv,
                winding: None, electronics: e,
            };
            let checked = check(&test);
            prop_assert_eq!(checked.is_err(), e == Some(true));
            if e.is_none() {
                prop_assert!(checked.expect("asked").verdict().map(Verdict::severity) >= Some(3));
            }
        }
    }
}
