//! What holds of every circuit check, whatever is given or left out.

use super::*;
use proptest::prelude::*;

/// Inputs that another one makes unneeded here: service factor and rise do for each other, a
/// capacitor-start motor counts alike with and without a fan, the code's own terminal column is noted.
const SPARED: [usize; 5] = [6, 7, 23, 30, 32];

#[test]
fn every_blank_leaves_a_whole_scene_open() {
    for (which, delete) in DELETIONS.iter().enumerate() {
        let working = judged(delete);
        if !SPARED.contains(&which) {
            assert_eq!(
                working.verdict(),
                Some(Verdict::NotKnownYet),
                "{which}: {working:#?}"
            );
            assert!(!working.missing.is_empty(), "{which}");
        }
    }
}

/// Deletes one input after another.
const DELETIONS: [fn(&mut Scene); 33] = [
    |s| s.0.power = Field::Unknown,
    |s| s.0.volts = Field::Unknown,
    |s| s.0.amps = Field::Unreadable,
    |s| s.0.phases = Field::Unknown,
    |s| s.0.speeds = Field::Unknown,
    |s| s.0.motor_type = Field::Unknown,
    |s| s.0.service_factor = Field::Unknown,
    |s| s.0.rise = Field::Unknown,
    |s| s.0.protection = Field::Unknown,
    |s| s.0.code_letter = Field::Unknown,
    |s| s.1.disconnect = None,
    |s| s.1.overload = None,
    |s| s.1.site.control = None,
    |s| s.1.site.control_amps = None,
    |s| s.1.site.control_locked_rotor = None,
    |s| s.1.site.restart_can_hurt = None,
    |s| s.2.volts = None,
    |s| s.2.phases = None,
    |s| s.2.device = None,
    |s| s.2.device_rating = None,
    |s| s.2.size = None,
    |s| s.2.metal = None,
    |s| s.2.insulation = None,
    |s| s.2.terminals = None,
    |s| s.2.one_way = None,
    |s| s.2.ambient = None,
    |s| s.2.conductors_in_raceway = None,
    |s| s.2.other_continuous = None,
    |s| s.2.other_motors = None,
    |s| s.2.shares_outlets = None,
    |s| s.2.method = None,
    |s| s.1.disconnect.iter_mut().for_each(|d| d.in_sight = None),
    |s| s.1.driven.air_mover = None,
];

fn figure() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => 0.1f64..60.0,
        2 => prop::sample::select(vec![115.0, 120.0, 208.0, 230.0, 240.0, 480.0, 75.0, 90.0]),
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, -3.0, 0.0, 1e300, 1e-300]),
    ]
}

fn amount() -> impl Strategy<Value = Decimal> {
    prop_oneof![
        6 => (0i64..600).prop_map(|tenths| Decimal::new(tenths, 1)),
        1 => prop::sample::select(vec![Decimal::MAX, Decimal::MIN, Decimal::ZERO]),
    ]
}

prop_compose! {
    fn any_scene()(
        iec in any::<bool>(),
        f in prop::collection::vec(figure(), 14),
        d in prop::collection::vec(amount(), 7),
        pick in prop::collection::vec(0usize..8, 10),
        keep in prop::collection::vec(prop::bool::weighted(0.92), 24),
        yes in prop::collection::vec(any::<bool>(), 4),
    ) -> Scene {
        use MotorType::{CapacitorStart, ElectronicallyCommutated, PermanentSplitCapacitor};
        let mut s = if iec { iec_scene() } else { scene() };
        let change = |i: usize| !keep[i];
        if change(0) { s.0.power = Field::read(Watts::from_hp(f[0] / 10.0)); }
        if change(1) { s.0.volts = Field::read(vec![Volts(f[1]), Volts(f[2])]); }
        if change(2) { s.0.amps = Field::read(vec![Amps(f[3])]); }
        if change(3) { s.0.phases = Field::read([1, 3, 0, 2][pick[0] % 4]); }
        if change(4) { s.0.speeds = Field::read(vec![Rpm(f[4] * 30.0)]); }
        if change(5) {
            let kinds = [CapacitorStart, PermanentSplitCapacitor, MotorType::ThreePhaseInduction,
                ElectronicallyCommutated];
            s.0.motor_type = Field::read(kinds[pick[1] % 4]);
        }
        if change(6) { s.0.service_factor = Field::read(f[5]); }
        if change(7) { s.0.protection = Field::read([Protection::NoProtector,
            Protection::Automatic, Protection::Manual, Protection::Thermostat][pick[2] % 4]); }
        if change(8) { s.0.code_letter = Field::read(['A', 'G', 'V', 'I'][pick[3] % 4]); }
        if change(9) { s.2.volts = Some(Volts(f[6])); }
        if change(10) { s.2.phases = Some([1, 3, 0][pick[4] % 3]); }
        if change(11) { s.2.device = Some([DeviceKind::InverseTimeBreaker,
            DeviceKind::DualElementFuse, DeviceKind::InstantaneousTripBreaker,
            DeviceKind::GgFuse][pick[5] % 4]); }
        if change(12) { s.2.device_rating = Some(d[0]); }
        if change(13) { s.2.size = Some(["14", "10", "1/0", "1.5", "6", "x"][pick[6] % 6].into()); }
        if change(14) { s.2.terminals = Some(Celsius(f[7])); }
        if change(15) { s.2.one_way = Some(Metres(f[8])); }
        if change(16) { s.2.ambient = Some(Celsius(f[9])); }
        if change(17) { s.2.conductors_in_raceway = Some(pick[7] as u32 * 7); }
        if change(18) { s.2.other_motors = Some(vec![d[1], d[2]]); }
        if change(19) { s.2.other_continuous = Some(d[3]); }
        if change(20) { s.2.shares_outlets = Some(yes[0]); }
        if change(21) {
            s.1.disconnect = Some(Disconnect {
                kind: [DisconnectKind::GeneralUseSwitch, DisconnectKind::BranchBreaker,
                    DisconnectKind::PlugAndSocket,
                    DisconnectKind::MotorCircuitSwitch][pick[8] % 4],
                rating: Some(d[4]),
                horsepower: Some(d[5]),
                in_sight: Some(yes[1]),
            });
        }
        if change(22) {
            s.1.overload = Some(Overload {
                kind: [OverloadKind::Separate, OverloadKind::InMotor,
                    OverloadKind::NoDevice][pick[9] % 3],
                setting: Some(d[6]),
                range: None,
                manual_reset: Some(yes[2]),
            });
            s.1.site.restart_can_hurt = Some(yes[3]);
        }
        s.1.driven.air_mover = [Some(true), Some(false), None][pick[0] % 3];
        if change(23) { s.1.site.control_amps = Some(Amps(f[10])); }
        s
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    /// Nothing panics, and a blank never makes a judgement better.
    #[test]
    fn deleting_an_input_never_improves(
        scene in any_scene(),
        set in prop::sample::select(RuleSet::ALL.to_vec()),
    ) {
        let before = check(set, &scene.0, &scene.1, &scene.2).verdict().expect("a verdict");
        for (which, delete) in DELETIONS.iter().enumerate() {
            let mut less = scene.clone();
            delete(&mut less);
            let after = check(set, &less.0, &less.1, &less.2).verdict().expect("a verdict");
            let fell_open = before == Verdict::Beyond && after == Verdict::NotKnownYet;
            prop_assert!(
                after.severity() >= before.severity() || fell_open,
                "deletion {which}: {before:?} became {after:?}"
            );
        }
    }

    /// More load never asks for a smaller conductor.
    #[test]
    fn more_load_never_a_smaller_conductor(
        amps in 1u32..3000, more in 0u32..2000, other in 0u32..500,
        ambient in 0.0f64..55.0, count in 1u32..50,
    ) {
        let size = |tenths: u32| {
            let flc = Decimal::new(i64::from(tenths), 1);
            let need = load::several_motors_min(&[flc], Decimal::from(other), Decimal::ZERO)?;
            wire::smallest_under(
                Metal::Copper, Celsius(90.0), Celsius(ambient), count,
                Some(Celsius(75.0)), need, need,
            ).map(|size| size.cmil)
        };
        let (small, large) = (size(amps), size(amps + more));
        prop_assert!(large.is_none() || (small.is_some() && small <= large));
    }

    /// Figures of any kind give an answer or none, never a panic.
    #[test]
    fn small_functions_never_panic(
        a in any::<f64>(), b in any::<f64>(), c in any::<f64>(), d in amount(), n in any::<u8>(),
    ) {
        use calc::circuit::{current, device, drop, overload, iec_capacity, iec_drop};
        use calc::supply;
        let _ = current::table_flc(n, a, Volts(b));
        let _ = current::locked_rotor(char::from(n), a, Volts(b), n);
        let _ = drop::drop_of("12", Metal::Copper, n, a, Metres(b));
        let _ = drop::area_for_drop(n, a, b, Metres(c), Volts(a));
        let _ = device::feeder_device(RuleSet::Nec2020, DeviceKind::GgFuse, d, &[d, d]);
        let _ = overload::overload_max(d, 140);
        let _ = load::several_motors_min(&[d, d], d, d);
        let _ = iec_capacity(d, "B2", n, Celsius(a), Celsius(b), u32::from(n));
        let _ = iec_drop(n, a, b, Metres(c));
        let _ = supply::unbalance([Volts(a), Volts(b), Volts(c)]);
        let _ = supply::derating(a);
    }
}
