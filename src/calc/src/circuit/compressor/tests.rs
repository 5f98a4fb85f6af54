//! Compressors: whichever is greater, and nothing better than a note from memory.

use super::*;
use crate::circuit::check as check_circuit;
use crate::installation::{Circuit, Control, Installation};
use crate::plate::{Field, MotorType, Plate};
use crate::units::Volts;
use crate::working::Verdict;
use proptest::prelude::*;

fn dec(text: &str) -> Decimal {
    text.parse().expect("a figure")
}

fn plate(rated: &str, selection: Option<&str>) -> Compressor {
    Compressor {
        rated_load: Some(dec(rated)),
        selection: selection.map(dec),
        selection_marked: Some(selection.is_some()),
        ..Compressor::default()
    }
}

fn fitted() -> Fitted {
    Fitted {
        others: Some(Vec::new()),
        conductor: Some(dec("30")),
        device: Some(dec("35")),
        will_not_start: false,
        disconnect: Some(dec("30")),
        overload: Some((CompressorOverload::Relay, Some(dec("25")))),
    }
}

#[test]
fn the_greater_current_sizes_the_circuit_and_the_rated_one_the_overload() {
    let design = design_current(&plate("18", Some("20"))).expect("a current");
    assert_eq!(design, dec("20"));
    assert_eq!(conductor_min(design), dec("25"));
    let most = device_max(design, &[]).expect("a device");
    assert_eq!((most.first, most.ceiling), (dec("35"), dec("45")));
    assert_eq!(disconnect_least(design), dec("23"));
    assert_eq!(
        overload_trip_max(dec("18"), CompressorOverload::Relay),
        dec("25.2")
    );
    assert_eq!(
        overload_trip_max(dec("18"), CompressorOverload::Device),
        dec("22.5")
    );
    let with_fan = conductor_min_of_several(dec("20"), &[dec("1.5")]);
    assert_eq!(with_fan, Some(dec("26.5")));
    let small = device_max(dec("4"), &[]).expect("a device");
    assert_eq!(small.first, dec("15"));
}

#[test]
fn a_selection_current_nobody_looked_for_is_asked_for() {
    let mut open = plate("18", None);
    assert_eq!(design_current(&open), Ok(dec("18")));
    open.selection_marked = None;
    assert_eq!(design_current(&open), Err(NoCurrent::Selection));
    let working = check(&open, &fitted());
    assert_eq!(working.verdict(), Some(Verdict::NotKnownYet));
}

#[test]
fn nothing_is_better_than_a_note() {
    let working = check(&plate("18", Some("20")), &fitted());
    assert_eq!(working.verdict(), Some(Verdict::WithinNote));
    let marked = Compressor {
        max_device: Some(dec("30")),
        ..plate("18", Some("20"))
    };
    let working = check(&marked, &fitted());
    assert_eq!(working.verdict(), Some(Verdict::Beyond));
    let raised = Fitted {
        device: Some(dec("45")),
        ..fitted()
    };
    let working = check(&plate("18", Some("20")), &raised);
    assert_eq!(working.verdict(), Some(Verdict::NotKnownYet));
}

#[test]
fn the_circuit_check_knows_a_compressor_a_drive_and_an_electronic_motor() {
    let circuit = Circuit {
        volts: Some(Volts(240.0)),
        phases: Some(1),
        ..Circuit::default()
    };
    let mut installation = Installation::default();
    installation.driven.compressor = Some(plate("18", Some("20")));
    let of = |installation: &Installation, motor: &Plate| {
        check_circuit(RuleSet::Nec2023, motor, installation, &circuit)
    };
    let working = of(&installation, &Plate::default());
    assert_eq!(
        working.line("design").map(|line| line.value.as_ref()),
        Some("20")
    );
    assert_eq!(working.verdict(), Some(Verdict::NotKnownYet));
    assert!(working.line("current").is_none());
    let iec = check_circuit(
        RuleSet::Iec60364,
        &Plate::default(),
        &installation,
        &circuit,
    );
    assert!(iec.line("compressor").is_some());
    installation.driven.compressor = None;
    installation.site.control = Some(Control::FrequencyDrive);
    let working = of(&installation, &Plate::default());
    assert!(working.line("electronic").is_some());
    let motor = Plate {
        motor_type: Field::read(MotorType::ElectronicallyCommutated),
        ..Plate::default()
    };
    installation.site.control = None;
    let working = of(&installation, &motor);
    assert!(working.line("electronic").is_some());
    assert_eq!(working.verdict(), Some(Verdict::NotKnownYet));
}

fn amps() -> impl Strategy<Value = Option<Decimal>> {
    prop::option::of((0i64..2_000_000).prop_map(|milli| Decimal::new(milli, 3)))
}

proptest! {
    #[test]
    fn a_larger_device_is_never_judged_better(rated in amps(), selection in amps(), marked: Option<bool>,
        device in 0i64..500_000, more in 0i64..500_000, tried: bool, most in amps()) {
        let compressor = Compressor {
            rated_load: rated, selection, selection_marked: marked, max_device: most,
            ..Compressor::default()
        };
        let of = |device| {
            let fitted = Fitted {
                device: Some(Decimal::new(device, 3)),
                will_not_start: tried,
                ..fitted()
            };
            check(&compressor, &fitted).line("device").and_then(|line| line.verdict)
        };
        let (small, large) = (of(device + 1), of(device + 1 + more));
        prop_assert!(large.map(Verdict::severity) >= small.map(Verdict::severity));
    }

    #[test]
    fn no_figure_panics(rated: i128, others in prop::collection::vec(any::<i64>(), 0..5)) {
        let wild = Decimal::try_from_i128_with_scale(rated, 0).unwrap_or(Decimal::MAX);
        let others: Vec<Decimal> = others.into_iter().map(Decimal::from).chain([Decimal::MAX]).collect();
        let compressor = Compressor { rated_load: Some(wild), selection: Some(Decimal::MAX), min_circuit: Some(wild), ..Compressor::default() };
        let fitted = Fitted { others: Some(others.clone()), conductor: Some(Decimal::MIN), device: Some(wild), disconnect: Some(wild), overload: Some((CompressorOverload::Device, Some(wild))), ..Fitted::default() };
        let _ = check(&compressor, &fitted);
        let _ = device_max(wild, &others);
        let _ = conductor_min_of_several(wild, &others);
    }
}
