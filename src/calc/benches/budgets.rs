//! What the calculations cost, beside what they may: `cargo bench -p brasstag-calc`.
//!
//! Budgets on two cores of an ordinary server, single-threaded: fit over 10,000 candidates 10 ms;
//! one circuit check 20 µs; ten years of due dates for 1,000 plans 20 ms; a Weibull fit of 1,000
//! ages 5 ms.

use calc::circuit::{RuleSet, check};
use calc::due::{Every, Meter, MonthDay, Rule, Season, upcoming};
use calc::figure;
use calc::fit::{Need, rank};
use calc::installation::{Circuit, Installation};
use calc::plate::Plate;
use divan::Bencher;
use serde_json::{Map, Value, json};
use time::macros::date;
use time::{Date, Duration, Weekday};

fn main() {
    divan::main();
}

fn plate(power_w: f64, speed: f64, volts: f64, amps: f64) -> Plate {
    let read = |value: Value| json!({"known": {"value": value, "how": "read"}});
    let value = json!({
        "power": read(json!(power_w)),
        "speeds": read(json!([speed])),
        "volts": read(json!([volts])),
        "amps": read(json!([amps])),
        "phases": read(json!(1)),
        "frequency": read(json!([60.0])),
        "motor_type": read(json!("permanent_split_capacitor")),
        "shaft_diameter": read(json!(12.7)),
        "service_factor": read(json!(1.0)),
    });
    serde_json::from_value(value).expect("a plate")
}

fn installation() -> Installation {
    serde_json::from_value(json!({
        "driven": {"drive": "direct", "air_mover": true, "hub_bore": 12.7, "wheel_limit": 1300.0,
            "shaft_power": 110.0, "shaft_power_at": 1075.0},
        "site": {"nominal_volts": 115.0, "measured_volts": 118.0, "phases": 1, "frequency": 60.0,
            "ambient": 40.0},
    }))
    .expect("an installation")
}

/// Candidates of many powers, speeds and voltages, none alike.
fn candidates() -> Vec<Plate> {
    let mut list = Vec::with_capacity(10_000);
    for n in 0..10_000u32 {
        let power = 60.0 + f64::from(n % 97) * 4.0;
        let speed = [1075.0, 1050.0, 1140.0, 1550.0, 825.0][n as usize % 5] + f64::from(n % 7);
        let volts = [115.0, 208.0, 230.0, 460.0][n as usize % 4];
        list.push(plate(power, speed, volts, 1.0 + f64::from(n % 31) / 10.0));
    }
    list
}

#[divan::bench]
fn fit_over_10_000_candidates(bencher: Bencher) {
    let (old, machine, candidates) = (
        plate(124.3, 1075.0, 115.0, 2.1),
        installation(),
        candidates(),
    );
    let need = Need {
        old: &old,
        installation: &machine,
    };
    bencher.bench_local(|| rank(&need, candidates.iter().enumerate()).len());
}

#[divan::bench]
fn circuit_check(bencher: Bencher) {
    let (motor, machine) = (plate(249.0, 1725.0, 115.0, 6.0), installation());
    let circuit: Circuit = serde_json::from_value(json!({
        "volts": 120.0, "phases": 1, "device": "inverse_time_breaker", "device_rating": "20",
        "poles": 1, "size": "12", "metal": "copper", "insulation": 90.0, "terminals": 60.0,
        "one_way": 28.0, "ambient": 38.0, "conductors_in_raceway": 4, "other_motors": [],
        "other_continuous": "0", "other_noncontinuous": "0", "shares_outlets": false,
    }))
    .expect("a circuit");
    let working = check(RuleSet::Nec2023, &motor, &machine, &circuit);
    assert!(
        working
            .line("conductor")
            .is_some_and(|line| line.verdict.is_some())
    );
    bencher.bench_local(|| check(RuleSet::Nec2023, &motor, &machine, &circuit).verdict());
}

/// Plans of every kind, each with an anchor of its own.
fn plans() -> Vec<(Rule, Date)> {
    let rule = |n: u32| match n % 6 {
        0 => Rule::Calendar {
            every: Every::Months(1 + n % 12),
        },
        1 => Rule::AfterDone {
            every: Every::Days(20 + n % 90),
        },
        2 => Rule::NthWeekday {
            nth: 2,
            weekday: Weekday::Tuesday,
            every_months: 1 + n % 6,
        },
        3 => Rule::Months {
            months: vec![4, 10],
            day: 31,
        },
        4 => Rule::InSeason {
            every: Every::Weeks(2 + n % 6),
            season: Season {
                start: MonthDay { month: 10, day: 1 },
                end: MonthDay { month: 4, day: 30 },
            },
        },
        _ => Rule::BeforeSeason {
            start: MonthDay { month: 11, day: 1 },
            lead_days: 30,
        },
    };
    (0..1000u32)
        .map(|n| {
            (
                rule(n),
                date!(2024 - 01 - 31) + Duration::days(i64::from(n % 365)),
            )
        })
        .collect()
}

#[divan::bench]
fn ten_years_of_due_dates_for_1_000_plans(bencher: Bencher) {
    let (plans, meter) = (plans(), Meter::default());
    let from = date!(2026 - 01 - 01);
    let until = date!(2036 - 01 - 01);
    bencher.bench_local(|| {
        plans
            .iter()
            .map(|(rule, anchor)| {
                let list = upcoming(rule, *anchor, Some(*anchor), from, &meter, 200);
                list.iter().take_while(|due| due.on < until).count()
            })
            .sum::<usize>()
    });
}

#[divan::bench]
fn weibull_fit_of_1_000_ages(bencher: Bencher) {
    let topic = figure::find("weibull_mle_right_censored").expect("the topic");
    // Quantiles of a Weibull distribution with shape 1.7 and scale 8000, the last quarter removed.
    let age = |n: u32| 8000.0 * (-(1.0 - f64::from(n) / 1001.0).ln()).powf(1.0 / 1.7);
    let failures: Vec<Value> = (1..=750).map(|n| age(n).into()).collect();
    let censored: Vec<Value> = (0..250).map(|_| age(751).into()).collect();
    let mut input = Map::new();
    input.insert("failures".into(), failures.into());
    input.insert("censored".into(), censored.into());
    bencher.bench_local(|| figure::answer(topic, &input).map(|figure| figure.answers.len()));
}
