//! Two invented suppliers' lists, about five hundred motors made by rule: the demo needs a crowd to
//! search, and no real list is copied.

use super::spec::{Spec, number};

/// A motor of a list with its price in cents and its days to arrive.
pub struct Offered {
    pub list: usize,
    pub spec: Spec,
    pub price: Option<i64>,
    pub lead_days: Option<i64>,
}

/// Names of the lists, by `Offered::list`.
pub const LISTS: [(&str, &str); 2] = [
    (
        "Rowan list",
        "Fan and blower motors for direct drive. Lead times from their counter.",
    ),
    (
        "Tarn list",
        "General-purpose motors on feet and faces. Prices without freight.",
    ),
];

/// What a motor of this kind turns into shaft power: efficiency times power factor.
fn yield_of(kind: &str, hp: f64) -> f64 {
    match kind {
        "shaded_pole" => 0.28 * 0.60,
        "permanent_split_capacitor" if hp < 0.16 => 0.50 * 0.92,
        "permanent_split_capacitor" => 0.57 * 0.95,
        "split_phase" => 0.58 * 0.62,
        "capacitor_start" => 0.62 * 0.66,
        "capacitor_start_capacitor_run" => 0.76 * 0.92,
        "electronically_commutated" => 0.76 * 0.62,
        _ if hp < 1.0 => 0.75 * 0.68,
        _ => 0.83 * 0.78,
    }
}

/// Amps at each of the volts, to a tenth (below 2 A to five hundredths).
fn amps(kind: &str, hp: f64, volts: &str, phases: &str) -> String {
    let root = if phases == "3" { 3f64.sqrt() } else { 1.0 };
    let of = |v: &str| {
        let exact = hp * 745.7 / (v.parse::<f64>().unwrap_or(1.0) * root * yield_of(kind, hp));
        let step = if exact < 2.0 { 20.0 } else { 10.0 };
        format!("{}", (exact * step).round() / step)
    };
    volts.split('/').map(of).collect::<Vec<_>>().join("/")
}

/// A letter that agrees with the locked-rotor kVA of such motors.
fn code(hp: f64, phases: &str) -> &'static str {
    match (phases, hp) {
        ("3", hp) if hp < 1.0 => "L",
        ("3", hp) if hp < 3.0 => "K",
        ("3", _) => "J",
        (_, hp) if hp < 0.5 => "N",
        (_, hp) if hp < 1.0 => "L",
        _ => "J",
    }
}

fn common(kind: &str, hp: &str, volts: &str, phases: &str, rpm: u32) -> Spec {
    let power = number(hp).unwrap_or(0.0);
    let text = str::to_owned;
    Spec {
        hp: text(hp),
        volts: text(volts),
        amps: amps(kind, power, volts, phases),
        phases: text(phases),
        hz: text("60"),
        rpm: rpm.to_string(),
        kind: text(kind),
        duty: text("continuous"),
        double_shaft: text("no"),
        ..Spec::default()
    }
}

/// A capacitor for a permanent-split motor: about 20 µF a horsepower at 230 V, four times at 115 V.
fn capacitor(hp: f64, volts: &str) -> (String, String) {
    let at_115 = volts == "115";
    let want = if at_115 { 60.0 * hp } else { 24.0 * hp };
    let made = [
        3.0, 4.0, 5.0, 6.0, 7.5, 10.0, 12.5, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0,
    ];
    let near = made.iter().copied().find(|uf| *uf >= want).unwrap_or(50.0);
    (format!("{near}"), "370".to_owned())
}

/// Direct-drive fan motors: five sizes of shaft and body, two enclosures, three ways of turning.
fn rowan(out: &mut Vec<Offered>) {
    const POWERS: &[&str] = &[
        "1/20", "1/15", "1/12", "1/10", "1/8", "1/6", "1/5", "1/4", "1/3", "1/2", "3/4",
    ];
    const TURNS: &[(&str, &str)] = &[("cw r", "rev"), ("cw", "cw"), ("ccw", "ccw")];
    for (at, hp) in POWERS.iter().enumerate() {
        let power = number(hp).unwrap_or(0.0);
        let kind = if power < 0.09 {
            "shaded_pole"
        } else {
            "permanent_split_capacitor"
        };
        for volts in ["115", "208/230"] {
            for (pole, rpm) in [(6, 1075_u32), (4, 1550), (8, 825)] {
                for (which, (turns, mark)) in TURNS.iter().enumerate() {
                    // A shaded-pole motor turns one way for ever.
                    if *mark == "rev" && (kind == "shaded_pole" || pole == 8) {
                        continue;
                    }
                    let closed = (at + which + pole) % 2 == 0 || power >= 0.24 && *mark == "rev";
                    out.push(fan_motor(
                        out.len(),
                        kind,
                        hp,
                        volts,
                        rpm,
                        (turns, mark),
                        closed,
                    ));
                }
            }
            if power > 0.16 {
                for gap in 0..4 {
                    out.push(hot_motor(out.len(), hp, volts, gap));
                }
            }
        }
    }
}

fn fan_motor(
    number_in_list: usize,
    kind: &str,
    hp: &str,
    volts: &str,
    rpm: u32,
    (turns, mark): (&str, &str),
    closed: bool,
) -> Offered {
    let power = number(hp).unwrap_or(0.0);
    let text = str::to_owned;
    let mut spec = common(kind, hp, volts, "1", rpm);
    spec.name = format!(
        "Rowan list {hp}-{rpm}-{}-{}-{mark}",
        volts.replace('/', "+"),
        if closed { "closed" } else { "open" }
    );
    spec.turns = text(turns);
    spec.mount = text("studs");
    spec.studs = text("4");
    spec.stud_end = text(if number_in_list % 5 == 3 {
        "lead_end"
    } else {
        "shaft_end"
    });
    let large = power > 0.7;
    spec.frame = text(if large {
        "48"
    } else if power > 0.12 {
        "48Y"
    } else {
        "42Y"
    });
    spec.circle_in = text(if power > 0.12 { "3.70" } else { "2.84" });
    spec.thread = text(if power > 0.12 { "10-32" } else { "8-32" });
    spec.stud_in = text(if number_in_list % 4 == 1 {
        "1.75"
    } else {
        "1.25"
    });
    spec.shaft_in = text(if large {
        "5/8"
    } else if power > 0.09 {
        "1/2"
    } else {
        "5/16"
    });
    spec.shaft_length_in = text(if number_in_list % 6 == 2 { "5" } else { "3" });
    spec.shaft_form = text("flat");
    spec.body_in = text(if power > 0.12 { "5.6" } else { "3.9" });
    spec.body_length_in = format!("{:.1}", 3.2 + 4.0 * power);
    spec.enclosure = text(if closed {
        "totally_enclosed_air_over"
    } else {
        "open_air_over"
    });
    spec.ambient_c = text(if closed && !number_in_list.is_multiple_of(3) {
        "60"
    } else {
        "40"
    });
    spec.class = text(if closed { "F" } else { "B" });
    spec.sf = text("1");
    spec.protection = text("automatic");
    spec.bearing = text(if number_in_list.is_multiple_of(2) {
        "ball"
    } else {
        "sleeve"
    });
    spec.position = text(if number_in_list % 7 == 4 {
        "horizontal"
    } else {
        "any"
    });
    if kind == "permanent_split_capacitor" {
        (spec.uf, spec.cap_volts) = capacitor(power, volts);
        spec.speed_control = text(if number_in_list.is_multiple_of(3) {
            "yes"
        } else {
            "no"
        });
    }
    // Lists have gaps; what is not printed stays unknown until somebody asks.
    match number_in_list % 11 {
        5 => spec.body_length_in.clear(),
        8 => spec.ambient_c.clear(),
        9 => spec.stud_end.clear(),
        _ => {}
    }
    let base = 8_400.0 + 21_000.0 * power + if closed { 2_600.0 } else { 0.0 };
    Offered {
        list: 0,
        spec,
        price: (number_in_list % 13 != 12).then_some(base as i64 / 50 * 50),
        lead_days: Some([1, 2, 2, 4, 7][number_in_list % 5]),
    }
}

/// A series for hot exhaust, printed on a card with a different gap each: `hot-0` is complete.
fn hot_motor(number_in_list: usize, hp: &str, volts: &str, gap: usize) -> Offered {
    let kind = "permanent_split_capacitor";
    let mut offered = fan_motor(
        number_in_list,
        kind,
        hp,
        volts,
        1075,
        ("ccw r", "rev"),
        true,
    );
    let spec = &mut offered.spec;
    spec.name = format!("Rowan list {hp}-1075-{}-hot-{gap}", volts.replace('/', "+"));
    spec.ambient_c = "70".to_owned();
    spec.class = "H".to_owned();
    spec.bearing = "ball".to_owned();
    spec.position = "any".to_owned();
    spec.stud_end = "shaft_end".to_owned();
    spec.body_length_in = format!("{:.1}", 3.4 + 4.0 * number(hp).unwrap_or(0.0));
    match gap {
        1 => spec.body_length_in.clear(),
        2 => spec.stud_end.clear(),
        3 => spec.turns = "cw".to_owned() + " unsaid",
        _ => {}
    }
    offered.price = offered.price.map(|cents| cents + 6_400);
    offered.lead_days = Some(9);
    offered
}

/// General-purpose motors: kinds, powers, poles, enclosures and frames.
fn tarn(out: &mut Vec<Offered>) {
    let single: &[(&str, &[&str])] = &[
        ("split_phase", &["1/6", "1/4", "1/3", "1/2"]),
        (
            "capacitor_start",
            &["1/4", "1/3", "1/2", "3/4", "1", "1 1/2"],
        ),
        (
            "capacitor_start_capacitor_run",
            &["1", "1 1/2", "2", "3", "5"],
        ),
    ];
    for (kind, powers) in single {
        for hp in *powers {
            for rpm in [3450, 1725, 1140] {
                for closed in [false, true] {
                    for feet in [true, false] {
                        general(out, kind, hp, "1", rpm, closed, feet);
                    }
                }
            }
        }
    }
    for hp in ["1/4", "1/3", "1/2", "3/4", "1", "1 1/2", "2", "3", "5"] {
        for rpm in [3500, 1755, 1165] {
            for closed in [false, true] {
                for feet in [true, false] {
                    general(out, "three_phase_induction", hp, "3", rpm, closed, feet);
                }
            }
        }
    }
}

fn general(
    out: &mut Vec<Offered>,
    kind: &str,
    hp: &str,
    phases: &str,
    rpm: u32,
    closed: bool,
    feet: bool,
) {
    let power = number(hp).unwrap_or(0.0);
    let count = out.len();
    let text = str::to_owned;
    let three = phases == "3";
    let volts = match (three, power < 0.3) {
        (true, _) => "208/230/460",
        (false, true) => "115",
        (false, false) => "115/230",
    };
    let mut spec = common(kind, hp, volts, phases, rpm);
    let enclosure = if closed { "TEFC" } else { "ODP" };
    let base = if feet { "feet" } else { "face" };
    let start = match kind {
        "split_phase" => "split",
        "capacitor_start" => "cap",
        "capacitor_start_capacitor_run" => "two-cap",
        _ => "three",
    };
    spec.name = format!("Tarn list {hp}-{rpm}-{start}-{enclosure}-{base}").replace("1 1/2", "1.5");
    spec.turns = text("ccw r");
    let slow = rpm < 1200;
    let (frame, shaft, length) = match power {
        p if p >= 4.9 => ("184T", "1 1/8", "2 3/4"),
        p if p >= 2.9 => ("182T", "1 1/8", "2 3/4"),
        p if p >= 1.4 => ("145T", "7/8", "2 1/4"),
        p if p >= 0.9 => ("143T", "7/8", "2 1/4"),
        p if p >= 0.45 || slow => ("56", "5/8", "1 7/8"),
        _ => ("48", "1/2", "1 1/2"),
    };
    spec.frame = format!("{frame}{}", if feet { "" } else { "C" });
    spec.mount = text(if feet { "feet" } else { "c_face" });
    if !feet {
        spec.circle_in = text(if frame == "48" { "3.75" } else { "5.875" });
    }
    spec.shaft_in = text(shaft);
    spec.shaft_length_in = text(length);
    spec.shaft_form = text(if frame == "48" { "flat" } else { "keyed" });
    let body = match frame {
        "48" => (5.6, 9.0),
        "56" => (6.5, 11.0),
        "143T" | "145T" => (7.2, 12.5),
        _ => (8.8, 15.0),
    };
    spec.body_in = format!("{}", body.0);
    spec.body_length_in = format!("{}", body.1 + if closed { 1.0 } else { 0.0 });
    spec.enclosure = text(if closed {
        "totally_enclosed_fan_cooled"
    } else {
        "open_drip_proof"
    });
    spec.ambient_c = text("40");
    spec.class = text(if closed || three { "F" } else { "B" });
    spec.sf = text(if closed { "1" } else { "1.15" });
    spec.protection = text(match (three, count % 4) {
        (true, _) => "no_protector",
        (false, 0) => "manual",
        (false, 1) => "no_protector",
        _ => "automatic",
    });
    spec.bearing = text("ball");
    spec.position = text("any");
    spec.speed_control = text(if three && closed { "yes" } else { "no" });
    spec.code = text(code(power, phases));
    if kind.starts_with("capacitor") {
        spec.cap_with = text("yes");
    }
    if three {
        spec.percent = format!("{}", 70.0 + 4.0 * power.min(4.0));
    }
    let price = 14_500.0 + 11_500.0 * power + if closed { 4_200.0 } else { 0.0 };
    out.push(Offered {
        list: 1,
        spec,
        price: (count % 17 != 3).then_some(price as i64 / 50 * 50),
        lead_days: (count % 19 != 7).then_some([1, 3, 3, 5, 10, 21][count % 6]),
    });
}

/// Every motor of both lists, always the same.
pub fn offered() -> Vec<Offered> {
    let mut out = Vec::new();
    rowan(&mut out);
    tarn(&mut out);
    out
}
