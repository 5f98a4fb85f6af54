//! Every worked example whose topic is built, run from the CSV.

use calc::circuit::{RuleSet, current, device, drop, load, overload, wire};
use calc::circuit::{disconnect_min, general_switch_min, iec_capacity, snap_switch_limit};
use calc::installation::{DeviceKind, Metal};
use calc::supply;
use calc::units::{Celsius, Metres, Volts};
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};
use serde_json::Value;

/// Topics of the CSV that belong to other modules or are not built here.
const ELSEWHERE: [&str; 2] = ["box_fill", "insulation_resistance"];

struct Case {
    id: String,
    topic: String,
    rule: String,
    input: Value,
    expected: Value,
}

fn cases() -> Vec<Case> {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/reference/electrical/worked-examples.csv"
    );
    let mut reader = csv::Reader::from_path(path).expect("the examples are there");
    reader
        .records()
        .map(|row| {
            let row = row.expect("a readable row");
            Case {
                id: row[0].to_owned(),
                topic: row[1].to_owned(),
                rule: row[2].to_owned(),
                input: serde_json::from_str(&row[4]).expect("input"),
                expected: serde_json::from_str(&row[5]).expect("expected"),
            }
        })
        .collect()
}

fn dec(value: &Value) -> Decimal {
    value
        .as_f64()
        .and_then(Decimal::from_f64)
        .expect("a figure")
}

fn num(value: Decimal) -> f64 {
    value.to_f64().expect("a figure")
}

fn hp(text: &str) -> f64 {
    text.split_whitespace()
        .map(|part| match part.split_once('/') {
            Some((a, b)) => a.parse::<f64>().expect("hp") / b.parse::<f64>().expect("hp"),
            None => part.parse().expect("hp"),
        })
        .sum()
}

fn kind(text: &str) -> DeviceKind {
    match text {
        "inverse_time_breaker" => DeviceKind::InverseTimeBreaker,
        "nontime_delay_fuse" => DeviceKind::NonTimeDelayFuse,
        "dual_element_fuse" | "time_delay_fuse" => DeviceKind::DualElementFuse,
        other => panic!("device {other}"),
    }
}

fn flc(v: &Value) -> Decimal {
    let phases = v["phases"].as_u64().expect("phases") as u8;
    let volts = Volts(v["volts"].as_f64().expect("volts"));
    current::table_flc(phases, hp(v["hp"].as_str().expect("hp")), volts).expect("a table current")
}

fn row(v: &Value) -> device::MotorRow {
    if v["type"] == "wound_rotor" {
        device::MotorRow::WoundRotor
    } else if v["phases"] == 3 {
        device::MotorRow::Polyphase
    } else {
        device::MotorRow::SinglePhase
    }
}

fn column(v: &Value) -> Celsius {
    Celsius(v["terminal_c"].as_f64().unwrap_or(75.0))
}

fn metres(v: &Value) -> Metres {
    Metres(v["one_way_ft"].as_f64().unwrap_or(1.0) * 0.3048)
}

/// What we answer for one expected field; `None` where nothing here computes it.
fn answer(case: &Case, key: &str, rule_set: RuleSet) -> Option<Value> {
    let v = &case.input;
    let number = |value: Decimal| Some(Value::from(num(value)));
    let limit = |name: &str| device::device_limit(rule_set, row(v), kind(name), flc(v));
    match (case.topic.as_str(), key) {
        ("motor_branch" | "overload" | "switch" | "group", "flc_a") => number(flc(v)),
        ("motor_branch", "min_conductor_ampacity_a") => number(load::branch_conductor_min(flc(v))),
        ("motor_branch", "cu_size" | "cu_ampacity_a") => {
            let need = load::branch_conductor_min(flc(v));
            let (size, amps) = wire::smallest_size(Metal::Copper, column(v), need)?;
            if key == "cu_size" {
                Some(size.name.clone().into())
            } else {
                number(amps)
            }
        }
        ("motor_branch", "overload_max_a") => {
            let percent = overload::overload_percent(None, None).highest;
            number(overload::overload_max(dec(&v["nameplate_a"]), percent))
        }
        ("motor_branch", "ocpd_calc_a") => number(limit(v["ocpd"].as_str()?)?.calculated),
        ("motor_branch", "ocpd_max_a") => number(limit(v["ocpd"].as_str()?)?.highest),
        ("motor_branch", "disconnect_min_a") => number(disconnect_min(flc(v))),
        ("motor_branch", key) if key.ends_with("_calc_a") => {
            number(limit(key.trim_end_matches("_calc_a"))?.calculated)
        }
        ("motor_branch", key) if key.ends_with("_max_a") => {
            number(limit(key.trim_end_matches("_max_a"))?.highest)
        }
        ("overload", "ultimate_trip_max_a") => number(overload::protector_max(flc(v))),
        ("overload", key) => {
            let percent = overload::overload_percent(v["service_factor"].as_f64(), None);
            match key {
                "overload_max_a" => number(overload::overload_max(
                    dec(&v["nameplate_a"]),
                    percent.highest,
                )),
                "overload_step_up_pct" => Some(percent.stepped_up.into()),
                "overload_pct" => Some(percent.highest.into()),
                _ => None,
            }
        }
        ("several_motors", key) => several(v, key, rule_set),
        ("ampacity", key) => {
            let size = wire::find_size(v["size"].as_str()?)?;
            let ambient = v["ambient_c"]
                .as_f64()
                .or_else(|| v["ambient_f"].as_f64().map(|f| (f - 32.0) / 1.8))
                .unwrap_or(30.0);
            let count = v["ccc"].as_u64().unwrap_or(3) as u32;
            let insulation = Celsius(v["insulation_c"].as_f64()?);
            let at = |ambient, count| {
                wire::ampacity(size, Metal::Copper, insulation, Celsius(ambient), count).ok()
            };
            match key {
                "ampacity_a" => number(at(ambient, count)?.corrected),
                "temperature_only_a" => number(at(ambient, 3)?.corrected),
                "ccc_only_a" => number(at(30.0, count)?.corrected),
                "ocpd_max_a" => number(wire::small_conductor_device(size, Metal::Copper)?),
                _ => None,
            }
        }
        ("voltage_drop", key) => voltage_drop(v, key),
        ("egc", key) => egc(v, key),
        ("locked_rotor", key) => locked_rotor(v, key),
        ("voltage_unbalance", key) => {
            let v: Vec<f64> = v["v"]
                .as_array()?
                .iter()
                .filter_map(Value::as_f64)
                .collect();
            let (mean, percent) = supply::unbalance([Volts(v[0]), Volts(v[1]), Volts(v[2])])?;
            Some(if key == "average_v" { mean.0 } else { percent }.into())
        }
        ("voltage_tolerance", key) => tolerance(v, key),
        ("continuous_load", key) => {
            let need = load::continuous_device_min(Decimal::ZERO, dec(&v["continuous_a"]))?;
            match key {
                "standard_rating_a" => number(device::next_rating(
                    rule_set,
                    DeviceKind::InverseTimeBreaker,
                    need,
                )?),
                _ => number(need),
            }
        }
        ("iec_ampacity", size) => number(
            iec_capacity(
                size.parse().ok()?,
                v["method"].as_str()?,
                v["loaded"].as_u64()? as u8,
                Celsius(70.0),
                Celsius(v["ambient_c"].as_f64()?),
                1,
            )?
            .corrected,
        ),
        ("switch", "limit_a") => number(snap_switch_limit(dec(&v["switch_a"]))),
        ("switch", "required_a") => number(general_switch_min(flc(v))),
        ("switch", "ok") => Some(if v["switch"] == "general_use" {
            (dec(&v["switch_a"]) >= general_switch_min(flc(v))).into()
        } else {
            (flc(v) <= snap_switch_limit(dec(&v["switch_a"]))).into()
        }),
        ("group", "ok") => {
            let power = hp(v["hp"].as_str()?);
            let device = dec(&v["ocpd_a"]);
            let ok = load::small_motor_group(&[flc(v)], Some(power), device, v["volts"].as_f64()?);
            Some(ok.into())
        }
        ("permissible_load", key) => {
            let limit = load::fixed_equipment_limit(dec(&v["circuit_a"]))?;
            if key == "ok" {
                Some((dec(&v["fixed_motor_a"]) <= limit).into())
            } else {
                number(limit)
            }
        }
        _ => None,
    }
}

fn several(v: &Value, key: &str, rule_set: RuleSet) -> Option<Value> {
    let motors = v["motors"].as_array().cloned().unwrap_or_default();
    let list: Vec<Decimal> = v["motor_flc_a"].as_array().map_or_else(
        || motors.iter().map(flc).collect(),
        |amps| amps.iter().map(dec).collect(),
    );
    let load = |key: &str| {
        v[key]
            .as_f64()
            .and_then(Decimal::from_f64)
            .unwrap_or_default()
    };
    let need = load::several_motors_min(
        &list,
        load("other_noncontinuous_a"),
        load("other_continuous_a"),
    )?;
    let number = |value: Decimal| Some(Value::from(num(value)));
    let size = |celsius| wire::smallest_size(Metal::Copper, Celsius(celsius), need);
    let fuse = DeviceKind::NonTimeDelayFuse;
    let branch = |i: usize| device::device_limit(rule_set, row(&motors[i]), fuse, list[i]);
    let trip = |i: usize| {
        let rise = motors[i]["temp_rise_c"].as_f64().map(Celsius);
        let percent = overload::overload_percent(motors[i]["service_factor"].as_f64(), rise);
        number(overload::overload_max(
            dec(&motors[i]["nameplate_a"]),
            percent.highest,
        ))
    };
    let feeder = || {
        let others: Vec<Decimal> = list[1..].to_vec();
        device::feeder_device(rule_set, fuse, branch(0)?.highest, &others)
    };
    match key {
        "min_ampacity_a" | "feeder_min_ampacity_a" | "feeder_min_a" => number(need),
        "cu_size" => Some(size(75.0)?.0.name.clone().into()),
        "cu_size_60c" => Some(size(60.0)?.0.name.clone().into()),
        "cu_size_75c" => Some(size(75.0)?.0.name.clone().into()),
        "cu_ampacity_a" => number(size(75.0)?.1),
        "group_430_53_a_ok" => {
            let volts = v["volts"].as_f64()?;
            Some(load::small_motor_group(&list, None, dec(&v["ocpd_a"]), volts).into())
        }
        "branch_25hp_min_a" => number(load::branch_conductor_min(list[0])),
        "branch_30hp_min_a" => number(load::branch_conductor_min(list[1])),
        "fuse_25hp_calc_a" => number(branch(0)?.calculated),
        "fuse_25hp_a" => number(branch(0)?.highest),
        "fuse_25hp_ceiling_calc_a" => number(branch(0)?.ceiling_calculated),
        "fuse_25hp_ceiling_a" => number(branch(0)?.ceiling?),
        "fuse_30hp_a" => number(branch(1)?.highest),
        "overload_25hp_a" => trip(0),
        "overload_30hp_a" => trip(1),
        "feeder_fuse_calc_a" => number(feeder()?.0),
        "feeder_fuse_a" => number(feeder()?.1),
        _ => None,
    }
}

fn voltage_drop(v: &Value, key: &str) -> Option<Value> {
    let phases = v["phases"].as_u64()? as u8;
    let amps = v["amps"].as_f64()?;
    let cmil = || {
        v["size"]
            .as_str()
            .and_then(wire::find_size)
            .map(|s| f64::from(s.cmil))
    };
    let lost = || match v["method"].as_str()? {
        "K" => drop::drop_k(phases, v["k"].as_f64()?, amps, metres(v), cmil()?),
        _ => drop::drop_volts(phases, amps, v["ohm_per_kft"].as_f64()?, metres(v)),
    };
    match key {
        "drop_v" => Some(lost()?.0.into()),
        "drop_pct" => Some((100.0 * lost()?.0 / v["volts"].as_f64()?).into()),
        "max_one_way_ft" => {
            let limit = Volts(v["limit_v"].as_f64()?);
            let run = drop::longest_run(phases, amps, v["ohm_per_kft"].as_f64()?, limit)?;
            Some((run.0 / 0.3048).into())
        }
        "min_cmil" | "size_for_drop" => {
            let limit = Volts(v["source_v"].as_f64()? * v["limit_pct"].as_f64()? / 100.0);
            let area = drop::area_for_drop(phases, v["k"].as_f64()?, amps, metres(v), limit)?;
            if key == "min_cmil" {
                return Some(area.into());
            }
            let mut sizes = ["14", "12", "10", "8", "6"].into_iter();
            Some(
                sizes
                    .find(|s| wire::find_size(s).is_some_and(|s| f64::from(s.cmil) >= area))?
                    .into(),
            )
        }
        "min_conductor_ampacity_a" => Some(num(load::branch_conductor_min(dec(&v["amps"]))).into()),
        _ => None,
    }
}

fn egc(v: &Value, key: &str) -> Option<Value> {
    let (cu, al) = device::grounding_conductor(dec(&v["ocpd_a"]))?;
    let enlarged = || {
        let original = wire::find_size(v["original"].as_str()?)?;
        let increased = wire::find_size(v["increased"].as_str()?)?;
        device::enlarged_grounding(wire::find_size(cu)?, original, increased)
    };
    match key {
        "cu" | "base_egc" => Some(cu.into()),
        "al" => Some(al.into()),
        "required_cmil" => Some(enlarged()?.0.into()),
        "egc" => Some(enlarged()?.1.name.clone().into()),
        _ => None,
    }
}

fn locked_rotor(v: &Value, key: &str) -> Option<Value> {
    let power = v["hp"]
        .as_f64()
        .or_else(|| Some(v["kw"].as_f64()? / 0.746))?;
    let letter = v["letter"].as_str()?.chars().next()?;
    let (low, high) = current::code_letter(letter)?;
    let volts = Volts(v["volts"].as_f64()?);
    let highest = current::locked_rotor(letter, power, volts, v["phases"].as_u64()? as u8)?;
    let at = |kva: f64| highest * kva / high.unwrap_or(kva);
    let middle = f64::midpoint(low, high?);
    let chosen = if v["use"] == "mid" { middle } else { high? };
    match key {
        "kva" => Some((chosen * power).into()),
        "lrc_a" => Some(at(chosen).into()),
        "lrc_max_a" => Some(highest.into()),
        "lrc_mid_a" => Some(at(middle).into()),
        "lrc_min_a" => Some(at(low).into()),
        "hp" => Some((v["kw"].as_f64()? / 0.746).into()),
        _ => None,
    }
}

fn tolerance(v: &Value, key: &str) -> Option<Value> {
    let limits = || supply::limits(Volts(v["nameplate_v"].as_f64()?));
    let both = || {
        supply::combined(
            v["voltage_dev_pct"].as_f64()?,
            v["frequency_dev_pct"].as_f64()?,
        )
    };
    let lost = || Some(v["source_v"].as_f64()? * v["total_drop_pct"].as_f64()? / 100.0);
    match key {
        "min_v" => Some(limits()?.0.0.into()),
        "max_v" => Some(limits()?.1.0.into()),
        "sum_abs_pct" => Some(both()?.0.into()),
        "acceptable" => Some(both()?.1.into()),
        "max_drop_v" => Some(lost()?.into()),
        "min_load_v" => Some((v["source_v"].as_f64()? - lost()?).into()),
        _ => None,
    }
}

/// To a thousandth, for figures that were printed rounded; limits are held exactly in a test below.
fn agrees(expected: &Value, found: &Value) -> bool {
    match (expected.as_f64(), found.as_f64()) {
        (Some(expected), Some(found)) => {
            (expected - found).abs() <= (expected.abs() * 1e-3).max(0.005)
        }
        _ => expected == found,
    }
}

#[test]
fn worked_examples_in_every_edition() {
    let mut failures = Vec::new();
    let mut seen = 0;
    for case in cases() {
        if ELSEWHERE.contains(&case.topic.as_str()) {
            continue;
        }
        for rule_set in [RuleSet::Nec2017, RuleSet::Nec2020, RuleSet::Nec2023] {
            for (key, expected) in case.expected.as_object().expect("an object") {
                seen += 1;
                let found = answer(&case, key, rule_set);
                if !found.as_ref().is_some_and(|found| agrees(expected, found)) {
                    failures.push(format!(
                        "{} {} {key}: expected {expected}, found {found:?} ({})",
                        case.id,
                        rule_set.words(),
                        case.rule
                    ));
                }
            }
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert!(seen > 250, "only {seen} figures were checked");
}

#[test]
fn equality_at_the_limit_is_exact() {
    let flc = Decimal::from(28);
    assert_eq!(load::branch_conductor_min(flc), Decimal::from(35));
    let limit = device::device_limit(
        RuleSet::Nec2023,
        device::MotorRow::SinglePhase,
        DeviceKind::InverseTimeBreaker,
        flc,
    );
    assert_eq!(
        limit.map(|l| (l.calculated, l.highest)),
        Some((70.into(), 70.into()))
    );
}

#[test]
fn voltage_tolerance_table() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../tests/reference/mechanical/voltage_tolerance_cases.csv"
    );
    let mut reader = csv::Reader::from_path(path).expect("the cases are there");
    for row in reader.records().map(|row| row.expect("a readable row")) {
        let figure = |i: usize| row[i].parse::<f64>().expect("a figure");
        let inside = supply::within(Volts(figure(0)), Volts(figure(1)));
        assert_eq!(inside, Some(row[5].starts_with("inside")), "{row:?}");
    }
}

#[test]
fn the_208_volt_column_is_its_own() {
    let at = |volts| current::table_flc(3, 5.0, Volts(volts)).map(num);
    assert_eq!(
        (at(208.0), at(240.0), at(480.0)),
        (Some(16.7), Some(15.2), Some(7.6))
    );
    assert_eq!(at(300.0), None);
    assert_eq!(current::table_flc(3, 0.25, Volts(208.0)), None);
}
