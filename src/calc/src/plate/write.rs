//! A plate as one line of text, in the order in which plates are copied; `read` takes it back.

use super::{
    Bearing, Direction, Duty, Enclosure, Field, How, MotorType, Mount, Plate, Position, Protection,
    Rotation, SeenFrom, ShaftForm, StudEnd, read,
};
use crate::units::Watts;

/// The plate as text: `1/6 HP, 208/230 V, 1.2 A, 1075 RPM, 60 HZ, 1 PH, CW SE`.
///
/// Every known value is written with its unit and with how it is known where it was not read on the
/// plate (`1.3 A MEASURED`); what could not be read is written so; what was never looked at is left
/// out. Figures are written in full, so that `read(write(p)).plate == p` for every plate whose texts
/// are as `read` gives them. Unreadable marks that have no name of their own on a plate (form of the
/// shaft, end of the studs, speed control) are left out. Source: common practice.
pub fn write(plate: &Plate) -> String {
    let mut line = Line::default();
    ratings(&mut line, plate);
    limits(&mut line, plate);
    turning(&mut line, plate);
    words(&mut line, plate);
    codes(&mut line, plate);
    shape(&mut line, plate);
    dimensions(&mut line, plate);
    line.parts.join(", ")
}

#[derive(Default)]
struct Line {
    parts: Vec<String>,
}

impl Line {
    /// A value, and the name under which it is unreadable; an empty name has none.
    fn put<T>(&mut self, field: &Field<T>, name: &str, say: impl FnOnce(&T) -> String) {
        match field {
            Field::Unknown => {}
            Field::Unreadable if name.is_empty() => {}
            Field::Unreadable => self.parts.push(format!("{name} UNREADABLE")),
            Field::Known { value, how } => {
                let how = match how {
                    How::Read => "",
                    How::Measured => " MEASURED",
                    How::OldRecord => " OLD RECORD",
                    How::Assumed => " ASSUMED",
                };
                let said = say(value);
                if !said.is_empty() {
                    self.parts.push(format!("{said}{how}"));
                }
            }
        }
    }
}

fn list<T: Copy>(values: &[T], figure: impl Fn(T) -> f64) -> String {
    let values: Vec<String> = values.iter().map(|v| figure(*v).to_string()).collect();
    values.join("/")
}

/// Horsepower where the stamped figure says it exactly, else watts.
fn power(watts: Watts) -> String {
    let words = watts.hp_words().to_uppercase();
    if read(&words).plate.power == Field::read(watts) {
        words
    } else {
        format!("{} W OUTPUT", watts.0)
    }
}

fn ratings(line: &mut Line, plate: &Plate) {
    let more = &plate.more;
    match &more.tap_powers {
        Field::Known { .. } => line.put(&more.tap_powers, "", |v| {
            format!("{} W OUTPUT", list(v, |w| w.0))
        }),
        _ => line.put(&plate.power, "HP", |v| power(*v)),
    }
    line.put(&more.input_power, "INPUT", |v| format!("INPUT {} W", v.0));
    line.put(&plate.volts, "VOLTS", |v| format!("{} V", list(v, |v| v.0)));
    line.put(&more.connection, "CONN", |v| format!("CONN {v}"));
    line.put(&plate.amps, "AMPS", |v| format!("{} A", list(v, |v| v.0)));
    line.put(&more.tap_amps, "", |v| {
        format!("HI/LO {} A", list(v, |v| v.0))
    });
    line.put(&more.service_factor_amps, "SFA", |v| {
        format!("SFA {}", list(v, |v| v.0))
    });
    line.put(&more.locked_rotor_amps, "LRA", |v| {
        format!("LRA {}", list(v, |v| v.0))
    });
    match &more.speeds_by_frequency {
        Field::Known { .. } => {
            line.put(&more.speeds_by_frequency, "", |v| {
                format!("{} RPM", list(v, |v| v.0))
            });
        }
        _ => line.put(&plate.speeds, "RPM", |v| {
            format!("{} RPM", list(v, |v| v.0))
        }),
    }
    line.put(&more.speed_count, "SPD", |v| format!("{v} SPD"));
    line.put(&more.poles, "POLES", |v| format!("{v} POLE"));
    line.put(&plate.frequency, "HZ", |v| {
        format!("{} HZ", list(v, |v| v.0))
    });
    line.put(&plate.phases, "PH", |v| format!("{v} PH"));
    line.put(&plate.efficiency, "EFF", |v| format!("EFF {v} %"));
    line.put(&plate.power_factor, "PF", |v| format!("PF {v}"));
}

fn limits(line: &mut Line, plate: &Plate) {
    line.put(&plate.service_factor, "SF", |v| format!("SF {v}"));
    line.put(&plate.capacitor, "CAP", |v| format!("{} MFD", v.0));
    line.put(&plate.capacitor_volts, "CAP VOLTS", |v| {
        format!("CAP VOLTS {} V", v.0)
    });
    line.put(&plate.ambient, "AMB", |v| format!("AMB {} C", v.0));
    line.put(&plate.rise, "RISE", |v| format!("RISE {} C", v.0));
}

fn turning(line: &mut Line, plate: &Plate) {
    let reversible = |flag: &bool| if *flag { "REV" } else { "NOT REV" }.to_owned();
    line.put(&plate.more.reversible, "", reversible);
    if plate
        .rotation
        .value()
        .is_some_and(|rotation| rotation.reversible)
    {
        line.parts.push("REV".to_owned());
    }
    line.put(
        &plate.rotation,
        "ROT",
        |Rotation {
             direction,
             seen_from,
             ..
         }| {
            let turns = match direction {
                Direction::Clockwise => "CW",
                Direction::CounterClockwise => "CCW",
            };
            let end = match seen_from {
                SeenFrom::ShaftEnd => " SE",
                SeenFrom::LeadEnd => " LE",
                SeenFrom::NotStated => "",
            };
            format!("{turns}{end}")
        },
    );
}

fn words(line: &mut Line, plate: &Plate) {
    line.put(&plate.motor_type, "TYPE", |v| kind(*v).to_owned());
    line.put(&plate.enclosure, "ENCL", |v| enclosure(*v).to_owned());
    line.put(&plate.more.enclosure_mark, "", String::clone);
    line.put(&plate.insulation, "INS", |v| format!("INS {v:?}"));
    line.put(&plate.more.duty_code, "", String::clone);
    line.put(&plate.duty, "DUTY", |v| {
        match v {
            Duty::Continuous => "CONT",
            Duty::Intermittent => "INT",
        }
        .to_owned()
    });
    line.put(&plate.more.duty_minutes, "", |v| format!("{v} MIN"));
    line.put(&plate.protection, "PROT", |v| protection(*v).to_owned());
    line.put(&plate.bearing, "BRG", |v| {
        match v {
            Bearing::Ball => "BALL BRG",
            Bearing::Sleeve => "SLEEVE BRG",
        }
        .to_owned()
    });
    let yes = |yes: &'static str, no: &'static str| {
        move |flag: &bool| if *flag { yes } else { no }.to_owned()
    };
    line.put(
        &plate.speed_control,
        "",
        yes("SPEED CONTROL OK", "NO SPEED CONTROL"),
    );
    line.put(
        &plate.capacitor_included,
        "",
        yes("CAP INCLUDED", "CAP NOT INCLUDED"),
    );
}

fn codes(line: &mut Line, plate: &Plate) {
    let more = &plate.more;
    line.put(&plate.code_letter, "CODE", |v| format!("CODE {v}"));
    line.put(&more.design_letter, "DES", |v| format!("DES {v}"));
    line.put(&more.ip_code, "", String::clone);
    line.put(&more.cooling_code, "", String::clone);
    line.put(&more.efficiency_class, "", String::clone);
    line.put(&plate.hazardous_listing, "HAZ LOC", |v| {
        format!("HAZ LOC {v}")
    });
    line.put(&plate.frame, "FR", |v| format!("FR {v}"));
    line.put(&more.mounting_code, "IM", |v| format!("IM {v}"));
}

fn shape(line: &mut Line, plate: &Plate) {
    line.put(&plate.mount, "MOUNT", |v| mount(*v).to_owned());
    line.put(&plate.position, "POSITION", |v| position(*v).to_owned());
    line.put(&plate.bolt_circle, "BOLT CIRCLE", |v| {
        format!("BOLT CIRCLE {} MM", v.0)
    });
    line.put(&plate.stud_count, "STUD COUNT", |v| {
        format!("STUD COUNT {v}")
    });
    line.put(&plate.stud_thread, "STUD THREAD", |v| {
        format!("STUD THREAD {v}")
    });
    line.put(&plate.stud_length, "STUD LENGTH", |v| {
        format!("STUD LENGTH {} MM", v.0)
    });
    line.put(&plate.stud_end, "", |v| {
        match v {
            StudEnd::ShaftEnd => "STUD END SHAFT",
            StudEnd::LeadEnd => "STUD END LEAD",
            StudEnd::Both => "STUD END BOTH",
        }
        .to_owned()
    });
}

fn dimensions(line: &mut Line, plate: &Plate) {
    line.put(&plate.shaft_diameter, "SHAFT DIA", |v| {
        format!("SHAFT DIA {} MM", v.0)
    });
    line.put(&plate.shaft_length, "SHAFT LENGTH", |v| {
        format!("SHAFT LENGTH {} MM", v.0)
    });
    line.put(&plate.shaft_form, "", |v| {
        match v {
            ShaftForm::Round => "ROUND SHAFT",
            ShaftForm::Flat => "FLAT SHAFT",
            ShaftForm::Keyed => "KEYED SHAFT",
        }
        .to_owned()
    });
    line.put(&plate.double_shaft, "", |v| {
        if *v { "DOUBLE SHAFT" } else { "SINGLE SHAFT" }.to_owned()
    });
    line.put(&plate.body_diameter, "BODY DIA", |v| {
        format!("BODY DIA {} MM", v.0)
    });
    line.put(&plate.body_length, "BODY LENGTH", |v| {
        format!("BODY LENGTH {} MM", v.0)
    });
}

fn kind(kind: MotorType) -> &'static str {
    match kind {
        MotorType::ShadedPole => "SHADED POLE",
        MotorType::SplitPhase => "SPLIT PHASE",
        MotorType::PermanentSplitCapacitor => "PSC",
        MotorType::CapacitorStart => "CAP START",
        MotorType::CapacitorStartCapacitorRun => "CAP START CAP RUN",
        MotorType::ThreePhaseInduction => "POLYPHASE INDUCTION",
        MotorType::ElectronicallyCommutated => "ECM",
        MotorType::DirectCurrent => "DC MOTOR",
    }
}

fn enclosure(enclosure: Enclosure) -> &'static str {
    match enclosure {
        Enclosure::OpenDripProof => "ODP",
        Enclosure::OpenAirOver => "OPAO",
        Enclosure::TotallyEnclosedFanCooled => "TEFC",
        Enclosure::TotallyEnclosedNonVentilated => "TENV",
        Enclosure::TotallyEnclosedAirOver => "TEAO",
        Enclosure::ExplosionProof => "XP",
    }
}

fn protection(protection: Protection) -> &'static str {
    match protection {
        Protection::NoProtector => "NO PROTECTOR",
        Protection::Automatic => "AUTO RESET",
        Protection::Manual => "MANUAL RESET",
        Protection::Impedance => "IMPEDANCE PROTECTED",
        Protection::Thermostat => "THERMOSTAT",
    }
}

fn mount(mount: Mount) -> &'static str {
    match mount {
        Mount::Studs => "STUD MOUNT",
        Mount::Feet => "FOOT MOUNT",
        Mount::CFace => "C FACE",
        Mount::BellyBand => "BELLY BAND",
        Mount::Yoke => "YOKE MOUNT",
        Mount::Flange => "FLANGE MOUNT",
    }
}

fn position(position: Position) -> &'static str {
    match position {
        Position::Any => "ANY POSITION",
        Position::Horizontal => "SHAFT HORIZONTAL",
        Position::ShaftUp => "SHAFT UP",
        Position::ShaftDown => "SHAFT DOWN",
    }
}
