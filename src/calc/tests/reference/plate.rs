//! Reference tables: plates as they are marked, and what motors of each type have.

use super::table::{Check, Held, Outcome, Row, ask, near, printed};
use calc::motor::{at_shaft_end, opposite};
use calc::plate::{Direction, Field, MotorType, Reading, Rotation, SeenFrom, ip_meaning, read};
use serde_json::{Value, json};

tables! {
    typical: "mechanical/efficiency_power_factor_typical.csv", "usual efficiency and power factor by motor type; power factor mostly from memory", Check::Rows(typical_row);
    published: "mechanical/psc_published_ratings_derived.csv", "published ratings of small fan motors, computed columns", Check::Rows(published_row);
    rotations: "mechanical/rotation_conventions.csv", "NEMA MG 1, IEC 60034-8, AMCA 99 and plate marks of the trade", Check::Rows(rotation_row);
    enclosures: "mechanical/enclosures.csv", "enclosures as abbreviated on plates; IEC 60034-5 and 60034-6 codes from memory", Check::Rows(enclosure_row);
    ip_code: "mechanical/ip_code_digits.csv", "IEC 60529 and IEC 60034-5, from memory", Check::Rows(ip_row);
}

fn plate(text: &str) -> Result<Value, String> {
    ask("plate", &json!({ "text": text }))
}

/// The first line of the working under this key, as value and verdict.
fn line(answer: &Value, key: &str) -> Result<(String, String), String> {
    let lines = answer["working"]["lines"].as_array().ok_or("no lines")?;
    let line = lines
        .iter()
        .find(|line| line["key"] == key)
        .ok_or_else(|| format!("no line {key}"))?;
    let text = |name: &str| line[name].as_str().unwrap_or("").to_owned();
    Ok((text("value"), text("verdict")))
}

fn must(holds: bool, why: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(why()) }
}

/// Words on a plate that give the table's type, and phases.
fn marked(kind: &str) -> Result<&'static str, String> {
    Ok(match kind {
        "shaded pole" => "SHADED POLE 1 PH",
        "PSC" => "PSC 1 PH",
        "split phase" => "SPLIT PHASE 1 PH",
        "capacitor start induction run" => "CAP START 1 PH",
        "capacitor start capacitor run" => "CAP START CAP RUN 1 PH",
        "three-phase NEMA B" => "3 PH INDUCTION DES B",
        "ECM / EC" => "ECM 1 PH",
        other => return Err(format!("{other} is no type")),
    })
}

fn hp(text: &str) -> Result<f64, String> {
    let reading = read(&format!("{text} HP"));
    reading
        .plate
        .power
        .value()
        .map(|power| power.hp())
        .ok_or_else(|| format!("{text} is no power"))
}

/// A plate in the middle of the row is within; one whose amperes are far too few or too many is not.
fn typical_row(row: &Row) -> Outcome {
    let kind = marked(row.text("motor_type"))?;
    let size = row.text("size_range").trim_end_matches(" hp");
    let (from, to) = size.split_once('-').ok_or("no range")?;
    let power = (hp(from)? * hp(to)?).sqrt();
    let of = |column: &str| {
        if column.ends_with("percent") {
            100.0
        } else {
            1.0
        }
    };
    let share = |column: &str| row.need(column) / of(column);
    let low = share("efficiency_min_percent") * share("power_factor_min");
    let high = share("efficiency_max_percent") * share("power_factor_max");
    let root = if kind.starts_with('3') {
        3f64.sqrt()
    } else {
        1.0
    };
    let watts = power * 745.699_872;
    let amps = |product: f64| watts / (root * 230.0 * product);
    let text = |product: f64| format!("{kind} {watts:.4} W OUTPUT 230 V {:.5} A", amps(product));
    let verdict =
        |product: f64| -> Result<String, String> { Ok(line(&plate(&text(product))?, "power")?.1) };
    for (product, want) in [
        (low * 1.001, "within"),
        ((low * high).sqrt(), "within"),
        (high * 0.999, "within"),
        (low / 1.3, "within_note"),
        (low / 1.6, "beyond"),
        (high * 1.6, "beyond"),
    ] {
        let got = verdict(product)?;
        must(got == want, || {
            format!("{}: {got}, not {want}", text(product))
        })?;
    }
    let middle = (share("efficiency_min_percent") + share("efficiency_max_percent")) / 2.0;
    let input = format!("INPUT {:.4} W", watts / middle);
    middle_efficiency(&format!("{} {input}", text((low * high).sqrt())), middle)
}

fn middle_efficiency(text: &str, middle: f64) -> Outcome {
    let (efficiency, judged) = line(&plate(text)?, "efficiency")?;
    must(judged == "within", || {
        format!("{text}: efficiency {judged}")
    })?;
    let efficiency = efficiency.parse().map_err(|_| "no efficiency")?;
    near(middle * 100.0, efficiency, 0.06)
}

/// The published figures, read as a plate: the computed columns come out, and a power factor over 1
/// is called impossible.
fn published_row(row: &Row) -> Outcome {
    let text = format!(
        "PSC 1 PH {} HP {} RPM {} V {} A INPUT {} W",
        row.text("output_hp"),
        row.text("high_speed_rpm"),
        row.text("volts_V"),
        row.text("full_load_amps_A"),
        row.text("input_power_W"),
    );
    let answer = plate(&text)?;
    let figure = |name: &str| answer[name].as_f64().ok_or_else(|| format!("no {name}"));
    row.agrees("output_power_W", figure("power_w")?)?;
    near(row.need("input_power_W"), figure("input_power_w")?, 0.0)?;
    let (factor, verdict) = line(&answer, "input_power_factor")?;
    printed(
        row.text("power_factor"),
        factor.parse().map_err(|_| "no power factor")?,
    )?;
    let (efficiency, judged) = line(&answer, "efficiency")?;
    let efficiency: f64 = efficiency.parse().map_err(|_| "no efficiency")?;
    near(row.need("efficiency_fraction") * 100.0, efficiency, 0.11)?;
    must(judged == "within", || {
        format!("{text}: efficiency {judged}")
    })?;
    let (_, power) = line(&answer, "power")?;
    must(power == "within", || format!("{text}: power {power}"))?;
    let impossible = row.need("power_factor") > 1.0;
    must((verdict == "beyond") == impossible, || {
        format!("{text}: power factor {verdict}")
    })?;
    must((answer["plausible"] == "beyond") == impossible, || {
        format!("{}", answer["plausible"])
    })?;
    Ok(Held::Agrees)
}

fn rotation(text: &str) -> Result<Rotation, String> {
    let reading = read(text);
    must(reading.not_understood.is_empty(), || {
        format!("{text}: {:?}", reading.not_understood)
    })?;
    reading
        .plate
        .rotation
        .value()
        .copied()
        .ok_or_else(|| format!("{text}: no rotation"))
}

/// All of these turn so, seen from the shaft end.
fn turn(texts: &[&str], want: Option<Direction>) -> Outcome {
    for text in texts {
        let got = at_shaft_end(rotation(text)?);
        must(got == want, || format!("{text}: {got:?}, not {want:?}"))?;
        let answer = plate(text)?;
        let said = answer["rotation_at_shaft_end"].as_str();
        let words = want.map(|direction| match direction {
            Direction::Clockwise => "clockwise",
            Direction::CounterClockwise => "counter_clockwise",
        });
        must(said == words, || format!("{text}: {said:?}"))?;
    }
    Ok(Held::Agrees)
}

fn reversible(texts: &[&str]) -> Outcome {
    for text in texts {
        let answer = plate(text)?;
        must(answer["reversible"] == true, || {
            format!("{text} is reversible")
        })?;
        must(answer["not_understood"] == json!([]), || {
            format!("{text}: {}", answer["not_understood"])
        })?;
    }
    Ok(Held::Agrees)
}

fn rotation_row(row: &Row) -> Outcome {
    use Direction::{Clockwise, CounterClockwise};
    let marking = row.text("marking");
    let all: Vec<&str> = marking.split(" / ").collect();
    match marking {
        "CW SE / CWSE / CWOE / CWDE / CWPE" => turn(&all, Some(Clockwise)),
        "CCW SE / CCWSE / CCWOE / CCWDE / CCWPE" => turn(&all, Some(CounterClockwise)),
        "CW LE / CWLE" => turn(&all, Some(CounterClockwise)),
        "CCW LE / CCWLE" => turn(&all, Some(Clockwise)),
        "CW OLE / CWOSE" => {
            turn(&["CW OLE", "CWOLE"], Some(Clockwise))?;
            turn(&["CWOSE", "CW OSE"], Some(CounterClockwise))
        }
        "CW/CCW, REV, reversible" => {
            let all: Vec<&str> = marking.split(", ").collect();
            reversible(&all)
        }
        "ECW / ECCW" => {
            reversible(&all)?;
            let ways = [rotation("ECW")?.direction, rotation("ECCW")?.direction];
            must(ways == [Clockwise, CounterClockwise], || {
                format!("{ways:?}")
            })?;
            turn(&all, None)
        }
        _ => rotation_rule(row),
    }
}

/// The rows that are rules and no marks.
fn rotation_rule(row: &Row) -> Outcome {
    use Direction::{Clockwise, CounterClockwise};
    let marking = row.text("marking");
    let starts = |start: &str| marking.starts_with(start);
    if starts("bare CW") {
        for text in ["CW", "CCW"] {
            must(!read(text).doubts.is_empty(), || {
                format!("{text} is in doubt")
            })?;
        }
        turn(&["CW", "CCW"], None)
    } else if starts("NEMA MG 1 standard") {
        turn(
            &[
                "CCW facing the end opposite the drive",
                "CW facing shaft end",
            ],
            Some(Clockwise),
        )
    } else if starts("NEMA three-phase") {
        let plate = read("3 PH 460 V 1750 RPM POLYPHASE").plate;
        must(plate.rotation == Field::Unknown, || {
            format!("{:?}", plate.rotation)
        })?;
        Ok(Held::Agrees)
    } else if starts("IEC 60034-8") || starts("two shaft ends") {
        turn(
            &["clockwise drive end", "CW D-end", "CW DE"],
            Some(Clockwise),
        )?;
        turn(&["CW N-end", "CW NDE"], Some(CounterClockwise))
    } else if starts("fan wheel") {
        // The wheel turns with the shaft; from the motor's side, behind the shaft, it is seen the other way.
        let shaft = at_shaft_end(rotation("CWSE")?).ok_or("no direction")?;
        must(opposite(shaft) == CounterClockwise, || format!("{shaft:?}"))?;
        let behind = Rotation {
            direction: opposite(shaft),
            seen_from: SeenFrom::LeadEnd,
            reversible: false,
        };
        must(at_shaft_end(behind) == Some(shaft), || {
            format!("{behind:?}")
        })?;
        Ok(Held::Agrees)
    } else {
        Err(format!("not known: {marking}"))
    }
}

fn understood(text: &str) -> Result<Reading, String> {
    let reading = read(text);
    must(reading.not_understood.is_empty(), || {
        format!("{text}: {:?}", reading.not_understood)
    })?;
    Ok(reading)
}

/// Each abbreviation is read, means what its name in full means, and its codes are read as well.
fn enclosure_row(row: &Row) -> Outcome {
    let name = row.text("name");
    let name = name.split(" (").next().unwrap_or(name);
    let name = name.split(", no ").next().unwrap_or(name);
    for mark in row
        .text("abbreviation")
        .split(['/', ' '])
        .filter(|mark| !mark.is_empty())
    {
        let mark = mark.trim_matches(|c: char| !c.is_alphanumeric());
        if mark.is_empty() || mark.chars().any(char::is_lowercase) {
            continue;
        }
        let short = understood(mark)?.plate;
        let known =
            short.enclosure != Field::Unknown || short.more.enclosure_mark != Field::Unknown;
        must(known, || format!("{mark} is an enclosure"))?;
        if mark.starts_with("WP") {
            must(
                short.more.enclosure_mark == Field::read(mark.to_owned()),
                || format!("{short:?}"),
            )?;
            continue;
        }
        let full = understood(name)?.plate;
        must(full == short, || {
            format!("{mark} is {short:?}, {name} is {full:?}")
        })?;
    }
    codes(row.text("usual_IP_and_IC_code"))
}

/// Every IP and IC code of the cell is read.
fn codes(cell: &str) -> Outcome {
    for code in cell.split(|c: char| !c.is_alphanumeric()) {
        let reading = read(code);
        let plate = &reading.plate.more;
        if code.starts_with("IP") {
            must(plate.ip_code == Field::read(code.to_owned()), || {
                format!("{code}: {plate:?}")
            })?;
        } else if code.starts_with("IC") {
            must(plate.cooling_code == Field::read(code.to_owned()), || {
                format!("{code}: {plate:?}")
            })?;
        }
    }
    Ok(Held::Agrees)
}

fn ip_row(row: &Row) -> Outcome {
    let digit = row.text("digit");
    let first = row.text("position") == "first digit";
    let texts = if first {
        [
            format!("IP{digit}4"),
            format!("IP{digit}X"),
            format!("ip {digit}5"),
        ]
    } else {
        [
            format!("IP5{digit}"),
            format!("IPX{digit}"),
            format!("ip 2{digit}"),
        ]
    };
    for text in texts {
        let answer = plate(&text)?;
        let code = answer["ip_code"]
            .as_str()
            .ok_or_else(|| format!("{text} is no code"))?;
        let plain = text.to_uppercase().replace(' ', "");
        must(code == plain, || format!("{text}: {code}"))?;
        let meaning = ip_meaning(code).ok_or_else(|| format!("{code} has no meaning"))?;
        let part = if first { meaning.solids } else { meaning.water };
        must(part == row.text("protects_against"), || {
            format!("{code}: {part}")
        })?;
        let said = &answer[if first { "ip_solids" } else { "ip_water" }];
        must(said == part, || format!("{code}: {said}"))?;
    }
    Ok(Held::Agrees)
}

#[test]
fn every_type_of_the_table_is_a_type_of_the_plate() {
    assert!(marked("universal").is_err());
    let plate = read("3 PH INDUCTION DES B").plate;
    assert_eq!(
        plate.motor_type,
        Field::read(MotorType::ThreePhaseInduction)
    );
}
