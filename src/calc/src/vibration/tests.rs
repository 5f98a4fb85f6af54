use super::*;
use crate::working::Verdict;
use proptest::prelude::*;

fn at(velocity: f64, category: Category, support: Support) -> Option<Verdict> {
    let input = VibrationInput {
        velocity: Some(MillimetresPerSecond(velocity)),
        category: Some(category),
        support: Some(support),
        ..VibrationInput::default()
    };
    check(&input).verdict()
}

#[test]
fn limits_belong_to_the_better_side() {
    use Category::{Bv2, Bv3};
    use Support::{Flexible, Rigid};
    assert_eq!(at(4.5, Bv3, Rigid), Some(Verdict::Within));
    assert_eq!(at(4.51, Bv3, Rigid), Some(Verdict::WithinNote));
    assert_eq!(at(7.1, Bv3, Rigid), Some(Verdict::WithinNote));
    assert_eq!(at(7.2, Bv3, Rigid), Some(Verdict::Beyond));
    assert_eq!(at(9.0, Bv2, Flexible), Some(Verdict::Within));
}

fn fan(value: f64, unit: VelocityUnit, measure: Option<Measure>) -> VibrationInput {
    VibrationInput {
        reading: Some(Velocity {
            value,
            unit,
            measure,
        }),
        category: Some(Category::Bv3),
        support: Some(Support::Rigid),
        ..VibrationInput::default()
    }
}

#[test]
fn peak_is_held_against_peak_and_inches_against_inches() {
    let rms = |v| band(&fan(v, VelocityUnit::MmS, Some(Measure::Rms)));
    let peak = |v| band(&fan(v, VelocityUnit::MmS, Some(Measure::Peak)));
    assert_eq!(rms(6.4), Some(Band::AboveStartUp));
    // 4.5 r.m.s. times 1.414 would be 6.36; the table's peak is 6.4.
    assert_eq!(peak(6.4), Some(Band::Satisfactory));
    assert_eq!(peak(6.41), Some(Band::AboveStartUp));
    let inches = |v| band(&fan(v, VelocityUnit::InS, Some(Measure::Peak)));
    assert_eq!(inches(0.252), Some(Band::Satisfactory));
    assert_eq!(inches(0.51), Some(Band::Shutdown));
    let unknown = fan(1.0, VelocityUnit::MmS, None);
    assert_eq!(check(&unknown).verdict(), Some(Verdict::NotKnownYet));
}

#[test]
fn bv_2_is_shut_down_by_its_own_history() {
    let mut input = VibrationInput {
        category: Some(Category::Bv2),
        stage: Some(Stage::Shutdown),
        ..fan(3.0, VelocityUnit::MmS, Some(Measure::Rms))
    };
    assert_eq!(check(&input).verdict(), Some(Verdict::NotKnownYet));
    input.own_shutdown = Some(MillimetresPerSecond(12.0));
    assert_eq!(check(&input).verdict(), Some(Verdict::Within));
    input.own_shutdown = Some(MillimetresPerSecond(2.0));
    assert_eq!(check(&input).verdict(), Some(Verdict::Beyond));
}

#[test]
fn part_3_does_not_judge_a_small_machine() {
    let mut input = VibrationInput {
        judged_as: Some(JudgedAs::IndustrialMachine),
        power: Some(Watts(11_000.0)),
        ..fan(1.0, VelocityUnit::MmS, Some(Measure::Rms))
    };
    let working = check(&input);
    assert_eq!(working.verdict(), Some(Verdict::NotKnownYet));
    assert!(working.lines[0].limit.contains("outside the scope"));
    input.judged_as = Some(JudgedAs::Machine);
    assert_eq!(check(&input).verdict(), Some(Verdict::Within));
}

#[test]
fn a_bare_motor_is_judged_inside_its_shaft_heights_only() {
    let mut input = VibrationInput {
        judged_as: Some(JudgedAs::BareMotor),
        motor_basis: Some(MotorBasis::IecAFree),
        ..fan(1.6, VelocityUnit::MmS, Some(Measure::Rms))
    };
    assert_eq!(check(&input).verdict(), Some(Verdict::NotKnownYet));
    input.shaft_height = Some(Millimetres(90.0));
    assert_eq!(check(&input).verdict(), Some(Verdict::Within));
    input.shaft_height = Some(Millimetres(40.0));
    assert_eq!(check(&input).verdict(), Some(Verdict::NotKnownYet));
    let mut nema = VibrationInput {
        motor_basis: Some(MotorBasis::NemaResilient),
        reading: Some(Velocity {
            value: 0.15,
            unit: VelocityUnit::InS,
            measure: Some(Measure::Peak),
        }),
        speed: Some(Rpm(1725.0)),
        ..input
    };
    assert_eq!(check(&nema).verdict(), Some(Verdict::Within));
    nema.speed = Some(Rpm(1140.0));
    assert_eq!(check(&nema).verdict(), Some(Verdict::Beyond));
    nema.reading = Some(Velocity::rms(MillimetresPerSecond(1.0)));
    assert_eq!(check(&nema).verdict(), Some(Verdict::NotKnownYet));
}

const DELETIONS: [fn(&mut VibrationInput); 9] = [
    |v| v.speed = None,
    |v| v.reading = None,
    |v| {
        if let Some(read) = &mut v.reading {
            read.measure = None;
        }
    },
    |v| v.category = None,
    |v| v.support = None,
    |v| v.power = None,
    |v| v.machine_class = None,
    |v| v.motor_basis = None,
    |v| v.shaft_height = None,
];

const KINDS: [JudgedAs; 4] = [
    JudgedAs::Fan,
    JudgedAs::Machine,
    JudgedAs::IndustrialMachine,
    JudgedAs::BareMotor,
];

fn any_input() -> impl Strategy<Value = VibrationInput> {
    let value = prop_oneof![0.0..30.0f64, any::<f64>()];
    let parts = (
        prop::bool::ANY,
        prop::bool::ANY,
        prop::option::of(prop::sample::select(Category::ALL.to_vec())),
        prop::option::of(prop::bool::ANY),
        prop::option::of(prop::sample::select(Stage::ALL.to_vec())),
        prop::option::of(prop_oneof![10.0..1e6f64, any::<f64>()]),
        prop::option::of(0.0..20.0f64),
        prop::option::of(prop::sample::select(MotorBasis::ALL.to_vec())),
    );
    (value, prop::sample::select(&KINDS[..]), parts).prop_map(|(value, judged, p)| VibrationInput {
        reading: Some(Velocity {
            value,
            unit: if p.0 {
                VelocityUnit::MmS
            } else {
                VelocityUnit::InS
            },
            measure: Some(if p.1 { Measure::Rms } else { Measure::Peak }),
        }),
        judged_as: Some(judged),
        category: p.2,
        support: p.3.map(|rigid| {
            if rigid {
                Support::Rigid
            } else {
                Support::Flexible
            }
        }),
        stage: p.4,
        power: p.5.map(Watts),
        own_shutdown: p.6.map(MillimetresPerSecond),
        motor_basis: p.7,
        shaft_height: Some(Millimetres(100.0)),
        speed: Some(Rpm(1725.0)),
        ..VibrationInput::default()
    })
}

proptest! {
    #[test]
    fn a_higher_reading_is_never_better(input in any_input(), by in 0.0..20.0f64) {
        let mut higher = input.clone();
        if let Some(read) = &mut higher.reading {
            read.value += by;
        }
        let severity = |input| check(input).verdict().map(Verdict::severity);
        let both = input.read().is_some() && higher.read().is_some();
        prop_assert!(!both || severity(&higher) >= severity(&input));
    }

    #[test]
    fn deleting_an_input_is_never_better(input in any_input(), which in 0..DELETIONS.len()) {
        let before = check(&input).verdict().expect("a verdict");
        let mut less = input.clone();
        DELETIONS[which](&mut less);
        // Without its category a fan may be judged by its power: another limit, not fewer facts.
        prop_assume!(which != 3 || less.fan_category().is_none());
        let after = check(&less).verdict().expect("a verdict");
        let fell_open = before == Verdict::Beyond && after == Verdict::NotKnownYet;
        prop_assert!(after.severity() >= before.severity() || fell_open, "{before:?} {after:?}");
    }

    #[test]
    fn an_inch_reading_keeps_its_band(value in 0.0..30.0f64, measure in prop::bool::ANY) {
        let measure = Some(if measure { Measure::Rms } else { Measure::Peak });
        let metric = band(&fan(value, VelocityUnit::MmS, measure));
        let inch = band(&fan(value / MM_PER_INCH, VelocityUnit::InS, measure));
        let near = |limit: f64| (value - limit).abs() < 0.02;
        let limits = [4.5, 6.4, 7.1, 10.2, 9.0, 12.7];
        prop_assert!(metric == inch || limits.into_iter().any(near));
    }
}
