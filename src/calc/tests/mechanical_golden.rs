//! Fan figures against the computed reference tables.

use calc::fan::{self, FanPoint};
use calc::units::{Millimetres, Rpm, Watts};
use std::collections::HashMap;

fn rows(name: &str) -> Vec<HashMap<String, String>> {
    let path = format!(
        "{}/../../tests/reference/mechanical/{name}",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut file = csv::Reader::from_path(path).expect("reference table");
    let rows: Vec<_> = file.deserialize().collect::<Result<_, _>>().expect("rows");
    assert!(!rows.is_empty());
    rows
}

fn number(row: &HashMap<String, String>, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|_| panic!("{column} of {row:?}"))
}

#[track_caller]
fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "got {got}, want {want}");
}

#[test]
fn direct_drive_speed_changes() {
    for row in rows("direct_drive_speed_change.csv") {
        let n = |column: &str| Rpm(number(&row, column));
        let r = fan::speed_change(n("old_speed_rpm"), n("new_speed_rpm")).unwrap();
        near(r.flow, number(&row, "flow_ratio"), 1e-6);
        near(r.pressure, number(&row, "pressure_ratio"), 1e-6);
        near(r.power, number(&row, "power_ratio"), 1e-6);
    }
}

#[test]
fn fan_laws_with_diameter_and_density() {
    for row in rows("fan_law_golden.csv") {
        let n = |column: &str| number(&row, column);
        // The laws are ratios: the table's own units pass straight through.
        let from = FanPoint {
            flow_m3_s: n("Q1_cfm"),
            pressure_pa: n("P1_inwg"),
            power: Watts(n("bhp1")),
            speed: Rpm(n("n1_rpm")),
            diameter: Millimetres(n("D1_in")),
            density_kg_m3: n("rho1_lb_ft3"),
        };
        let to = fan::fan_laws(
            &from,
            Rpm(n("n2_rpm")),
            Millimetres(n("D2_in")),
            n("rho2_lb_ft3"),
        )
        .unwrap();
        near(to.flow_m3_s, n("Q2_cfm"), 1e-4);
        near(to.pressure_pa, n("P2_inwg"), 1e-6);
        near(to.power.0, n("bhp2"), 1e-6);
    }
}

#[test]
fn tip_speeds_and_sheaves() {
    for row in rows("tip_speed_golden.csv") {
        let d = Millimetres::from_inches(number(&row, "diameter_in"));
        let v = fan::tip_speed(d, Rpm(number(&row, "speed_rpm"))).unwrap();
        near(v.0, number(&row, "tip_speed_m_s"), 1e-4);
    }
    for row in rows("sheave_speed_golden.csv") {
        let inches = |column: &str| Millimetres::from_inches(number(&row, column));
        let motor = Rpm(number(&row, "motor_speed_rpm"));
        let (d1, d2) = (
            inches("motor_pitch_diameter_in"),
            inches("fan_pitch_diameter_in"),
        );
        near(
            fan::driven_speed(motor, d1, d2).unwrap().0,
            number(&row, "fan_speed_rpm"),
            0.001,
        );
        let belt = fan::tip_speed(d1, motor).unwrap().0 * 60.0 / 0.3048;
        near(belt, number(&row, "belt_speed_fpm"), 0.01);
    }
}

#[test]
fn impossible_inputs_are_errors() {
    for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
        assert!(fan::speed_change(Rpm(1750.0), Rpm(bad)).is_err());
        assert!(fan::tip_speed(Millimetres(bad), Rpm(1750.0)).is_err());
    }
}
