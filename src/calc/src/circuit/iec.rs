//! The IEC 60364 lines of the circuit check.

use super::current::{as_f64, plate_amps};
use super::drop::METRES_PER_KFT;
use super::{Feed, judge_motor_volts, switches};
use crate::installation::{Circuit, DeviceKind, Installation, Metal, OverloadKind};
use crate::plate::{Plate, Protection};
use crate::shown::{Fill, ask, exact, figure, line, plausible, plausible_load, positive};
use crate::tables::{decimal, iec};
use crate::units::{Celsius, Metres, Volts};
use crate::working::{Verdict, Working};
use rust_decimal::Decimal;

/// Resistivity of copper in service, ohm mm²/m. Source: IEC 60364-5-52 annex G.
const RHO_COPPER: f64 = 0.0225;
/// Reactance per metre where nothing better is known, ohm/m. `from memory`, annex G.
const REACTANCE: f64 = 0.000_08;
/// Cosine of the phase angle where nothing better is known. Source: IEC 60364-5-52 annex G.
const COS_PHI: f64 = 0.8;

/// A current-carrying capacity with its steps.
#[derive(Clone, Debug, PartialEq)]
pub struct IecCapacity {
    /// Capacity from the table at 30 °C, amperes.
    pub table: Decimal,
    /// Factor for the ambient temperature.
    pub ambient: Decimal,
    /// Factor for circuits bunched together.
    pub grouping: Decimal,
    /// `Iz` in amperes.
    pub corrected: Decimal,
    /// Which table and how well the figure is known.
    pub source: String,
}

/// Capacity of a copper conductor: `Iz = It f g`.
///
/// `area` mm² (1.5 to 16), `method` A1 to E, `loaded` 2 or 3 conductors, insulation 70 °C (PVC) or
/// 90 °C (XLPE), `f` for the air temperature (between two rows the hotter one), `g` for bunched
/// circuits (between two rows the larger number). `None` where the tables list nothing.
/// Source: IEC 60364-5-52 tables B.52.2 to B.52.5, B.52.10, B.52.14, B.52.17.
pub fn iec_capacity(
    area: Decimal,
    method: &str,
    loaded: u8,
    insulation: Celsius,
    ambient: Celsius,
    circuits: u32,
) -> Option<IecCapacity> {
    let xlpe = insulation.0.is_finite() && insulation.0 >= 90.0;
    if !xlpe && !(70.0..90.0).contains(&insulation.0) {
        return None;
    }
    let name = if xlpe { "xlpe_90c" } else { "pvc_70c" };
    let method = method.trim().to_ascii_uppercase();
    let cell = iec::CAPACITY.iter().find(|cell| {
        cell.insulation == name
            && cell.loaded == loaded
            && cell.method == method
            && cell.area_mm2 == area
    })?;
    let (_, pvc, xl) = iec::AMBIENT.iter().find(|(at, ..)| ambient.0 <= *at)?;
    let (_, grouping) = iec::GROUPING
        .iter()
        .find(|(n, _)| circuits > 0 && circuits <= *n)?;
    let factor = if xlpe { *xl } else { *pvc };
    Some(IecCapacity {
        table: cell.amps,
        ambient: factor,
        grouping: *grouping,
        corrected: cell.amps * factor * *grouping,
        source: format!("IEC 60364-5-52 {}, {}", cell.table, cell.confidence),
    })
}

/// A size written as `2.5`, `2.5 mm2` or `2,5 mm²`.
fn area(text: &str) -> Option<Decimal> {
    let text = text.trim().to_lowercase().replace(',', ".");
    plausible(decimal(
        text.trim_end_matches("mm2").trim_end_matches("mm²"),
    )?)
}

/// Volts lost in copper: `b (ρ L cos φ / S + λ L sin φ) I`, with `b` 2 on one phase and 1 on three
/// phases; on three phases this is line to neutral and is multiplied by the root of three.
/// Source: IEC 60364-5-52 annex G.
pub fn iec_drop(phases: u8, amps: f64, area_mm2: f64, one_way: Metres) -> Option<Volts> {
    let length = positive(one_way.0).filter(|l| *l < METRES_PER_KFT * 1000.0)?;
    let sin = (1.0 - COS_PHI * COS_PHI).sqrt();
    let ohms = RHO_COPPER * length * COS_PHI / positive(area_mm2)? + REACTANCE * length * sin;
    let factor = match phases {
        1 => 2.0,
        3 => 3f64.sqrt(),
        _ => return None,
    };
    Some(Volts(factor * ohms * positive(amps)?))
}

pub(super) fn check(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    circuit: &Circuit,
    feed: Feed,
) {
    let Some((phases, volts)) = feed.both() else {
        return;
    };
    let shown = line("current", "Design current").rule(
        "plate current and all other loads; there is no table of motors",
        "IEC 60364-4-43",
    );
    let plate = plate_amps(motor, volts);
    let others = circuit.other_motors.as_ref().and_then(|motors| {
        let mut sum = plausible_load(circuit.other_continuous?)?
            + plausible_load(circuit.other_noncontinuous?)?;
        for amps in motors {
            sum = sum.checked_add(plausible_load(*amps)?)?;
        }
        Some(sum)
    });
    let (Some(plate), Some(others)) = (plate, others) else {
        return ask(
            working,
            shown,
            "plate current at the circuit's voltage, and the other loads of the circuit",
            "device and conductors serve the sum; zero is an answer, a blank is not",
            "read the plate; switch the circuit off and see what stops",
        );
    };
    let design = plate + others;
    working.lines.push(
        shown
            .value(exact(design), "A")
            .note("the plate counts under this rule set"),
    );
    judge_device(working, circuit, plate, design);
    judge_capacity(working, circuit, phases, design);
    judge_overload(working, motor, installation, plate);
    switches::judge_isolator(working, installation, design);
    let shown = line("drop", "Voltage drop").rule(
        "5 % on a public network, 8 % on a private one; advice",
        "IEC 60364-5-52 G.52.1",
    );
    let lost = (|| {
        let area = as_f64(area(circuit.size.as_deref()?)?)?;
        if circuit.metal? != Metal::Copper {
            return None;
        }
        iec_drop(phases, as_f64(design)?, area, circuit.one_way?)
    })();
    let Some(lost) = lost else {
        return ask(
            working,
            shown,
            "one-way length and mm² of the copper run",
            "a long thin run leaves the motor short of volts",
            "measure the run from the board to the machine",
        );
    };
    let percent = 100.0 * lost.0 / volts.0;
    let shown = shown
        .value(figure(percent, 2), "%")
        .limit("5 %")
        .margin(format!("{} V lost", figure(lost.0, 2)));
    working.lines.push(if percent <= 5.0 + 1e-9 {
        shown.judge(Verdict::Within, "Inside the advice for a public network.")
    } else {
        shown.judge(
            Verdict::WithinNote,
            "Consider larger conductors: more than 5 % is lost.",
        )
    });
    judge_motor_volts(working, motor, volts, lost);
}

fn judge_device(working: &mut Working, circuit: &Circuit, plate: Decimal, design: Decimal) {
    let shown = line("device", "Protective device").rule(
        "design current not above the rating",
        "IEC 60364-4-43 clause 433.1",
    );
    let rating = circuit.device_rating.and_then(plausible);
    let curve = match circuit.device {
        Some(DeviceKind::MiniatureBreakerB) => Some("B"),
        Some(DeviceKind::MiniatureBreakerC) => Some("C"),
        Some(DeviceKind::MiniatureBreakerD) => Some("D"),
        _ => None,
    };
    let fuse = circuit.device == Some(DeviceKind::GgFuse);
    let Some(rating) = rating.filter(|_| curve.is_some() || fuse) else {
        return ask(
            working,
            shown,
            "kind and rating of the protective device, as an IEC type",
            "the rating stands between design current and capacity",
            "read the device at the board: curve letter or gG, and amperes",
        );
    };
    let shown = shown
        .value(exact(rating), "A")
        .limit(format!("at least {} A", exact(design)))
        .margin(format!("{} A", exact(rating - design)));
    working.lines.push(if rating < design {
        shown.judge(
            Verdict::Beyond,
            "Take load off the circuit, or have a larger device chosen with its conductors.",
        )
    } else {
        shown.judge(
            Verdict::Within,
            "The rating is not below the design current.",
        )
    });
    let start = plate * Decimal::from(6);
    let shown = line("start", "Start against the breaker").rule(
        "six times the plate current against the magnetic band",
        "IEC 60898-1; common practice",
    );
    let Some(hold) = curve.and_then(iec::curve).map(|c| c.holds * rating) else {
        working.lines.push(shown.judge(
            Verdict::WithinNote,
            "A gG fuse has no magnetic band; watch the first starts.",
        ));
        return;
    };
    let shown = shown
        .value(exact(start), "A")
        .limit(format!("holds to {} A", exact(hold)))
        .margin(format!("{} A", exact(hold - start)));
    working.lines.push(if start <= hold {
        shown.judge(Verdict::Within, "The breaker holds while the motor starts.")
    } else {
        shown.judge(
            Verdict::WithinNote,
            "The breaker may trip at the start; a slower curve holds, if the fault loop allows it.",
        )
    });
}

fn judge_capacity(working: &mut Working, circuit: &Circuit, phases: u8, design: Decimal) {
    let shown = line("conductor", "Conductor").rule(
        "rating not above the capacity after ambient and grouping",
        "IEC 60364-5-52 annex B; 60364-4-43 clause 433.1",
    );
    if circuit.metal == Some(Metal::Aluminium) {
        return ask(
            working,
            shown,
            "capacity of the aluminium conductors",
            "the tables held here are for copper only",
            "have a licensed electrician state the capacity",
        );
    }
    let loaded = if phases == 3 { 3 } else { 2 };
    let found = (|| {
        circuit.metal?;
        iec_capacity(
            area(circuit.size.as_deref()?)?,
            circuit.method.as_deref()?,
            loaded,
            circuit.insulation?,
            circuit.ambient?,
            circuit.conductors_in_raceway?.div_ceil(u32::from(loaded)),
        )
    })();
    let rating = circuit.device_rating.and_then(plausible);
    let (Some(found), Some(rating)) = (found, rating) else {
        return ask(
            working,
            shown,
            "mm² (1.5 to 16), copper, method, insulation, air temperature, conductors together, rating",
            "the capacity follows from all of them; the tables held here list no others",
            "read the print on the cable and look along the run",
        );
    };
    let need = rating.max(design);
    let shown = shown
        .value(exact(found.corrected), "A")
        .limit(format!("at least {} A", exact(need)))
        .margin(format!("{} A", exact(found.corrected - need)));
    let steps = format!(
        "{} A x {} x {} ({})",
        exact(found.table),
        exact(found.ambient),
        exact(found.grouping),
        found.source
    );
    working.lines.push(if found.corrected >= need {
        shown.judge(Verdict::Within, steps)
    } else {
        shown.judge(
            Verdict::Beyond,
            format!("Pull a larger cable or have a smaller device chosen: {steps}."),
        )
    });
}

fn judge_overload(
    working: &mut Working,
    motor: &Plate,
    installation: &Installation,
    plate: Decimal,
) {
    let shown = line("overload", "Overload protection").rule(
        "set to the plate current, or the protector inside the motor",
        "IEC 60204-1 clause 7.3",
    );
    let protected = match motor.protection.value() {
        Some(Protection::Automatic | Protection::Manual | Protection::Impedance) => Some(true),
        Some(_) => Some(false),
        None => None,
    };
    let Some(overload) = &installation.overload else {
        return ask(
            working,
            shown,
            "overload device of the machine",
            "a motor without one burns out when its wheel jams",
            "look in the starter and on the motor's plate",
        );
    };
    let line = match (
        overload.kind,
        overload.setting.and_then(plausible),
        protected,
    ) {
        (OverloadKind::Separate, Some(setting), _) => {
            let shown = shown
                .value(exact(setting), "A")
                .limit(format!("{} A", exact(plate)))
                .margin(format!("{} A", exact(plate - setting)));
            if setting > plate {
                let note = format!("Set the overload device to {} A.", exact(plate));
                shown.judge(Verdict::Beyond, note)
            } else {
                shown.judge(
                    Verdict::Within,
                    "The setting is not above the plate current.",
                )
            }
        }
        (OverloadKind::InMotor | OverloadKind::NoDevice, _, Some(true)) => shown.judge(
            Verdict::Within,
            "The plate names a protector inside the motor.",
        ),
        (OverloadKind::InMotor | OverloadKind::NoDevice, _, Some(false)) => shown.judge(
            Verdict::Beyond,
            format!(
                "Fit an overload device set to {} A, or a protected motor.",
                exact(plate)
            ),
        ),
        _ => {
            return ask(
                working,
                shown,
                "overload setting, or the protector inside the motor",
                "one of the two must save the winding",
                "read the dial, or the motor's plate",
            );
        }
    };
    working.lines.push(line);
}
