//! Design current, device and capacity under IEC 60364: `Ib <= In <= Iz` and `I2 <= 1.45 Iz`.

use super::CAUTION;
use super::iec_wire::{
    Curve, IecCapacity, IecRun, curve, curve_letter, iec_capacity, listed_areas, next_iec_rating,
    resistivity, second_current,
};
use crate::installation::DeviceKind;
use crate::shown::{Fill, ask, exact, figure, line, plausible};
use crate::units::Celsius;
use crate::working::{Missing, Verdict, Working};
use rust_decimal::Decimal;

/// Where a cable runs. Blanks of ambient and number are asked for; the tables' 30 °C and one circuit
/// are used.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid {
    /// Method A1 to E.
    pub method: String,
    /// Loaded conductors, 2 or 3.
    pub loaded: u8,
    /// Rating of the insulation.
    pub insulation: Celsius,
    /// Hottest air.
    pub ambient: Option<Celsius>,
    /// Circuits bunched together.
    pub circuits: Option<u32>,
}

impl Laid {
    /// Capacity of one area; `None` where the tables list nothing.
    pub fn capacity(&self, area: Decimal) -> Option<IecCapacity> {
        iec_capacity(
            area,
            &self.method,
            self.loaded,
            self.insulation,
            self.ambient.unwrap_or(Celsius(30.0)),
            self.circuits.unwrap_or(1),
        )
    }

    /// Every area the tables list, with its capacity, smallest first.
    pub fn capacities(&self) -> Vec<(Decimal, IecCapacity)> {
        let mut all: Vec<_> = listed_areas(self.insulation, &self.method, self.loaded)
            .filter_map(|area| Some((area, self.capacity(area)?)))
            .collect();
        all.sort_by_key(|(area, _)| *area);
        all
    }

    pub(crate) fn ask(&self, working: &mut Working) {
        if self.ambient.is_none() {
            working.missing.push(Missing {
                what: "hottest air around the cable".into(),
                why: "the tables' own 30 °C was used".into(),
                how: "measure or look along the run".into(),
            });
        }
        if self.circuits.is_none() {
            working.missing.push(Missing {
                what: "circuits bunched together".into(),
                why: "one circuit alone was taken; each further one lowers the capacity".into(),
                how: "count the cables along the run".into(),
            });
        }
    }
}

/// Capacities of all areas with their steps.
pub fn capacities_working(laid: &Laid) -> Working {
    let mut working = Working::new("Current-carrying capacity, IEC 60364");
    working.cautions.push(CAUTION.into());
    laid.ask(&mut working);
    for (area, capacity) in laid.capacities() {
        working.lines.push(capacity_line(area, &capacity));
    }
    working
}

fn capacity_line(area: Decimal, capacity: &IecCapacity) -> crate::working::Line {
    line("capacity", "Capacity Iz")
        .value(exact(capacity.corrected), "A")
        .limit(format!(
            "{} mm²: {} A x {} x {}",
            exact(area),
            exact(capacity.table),
            exact(capacity.ambient),
            exact(capacity.grouping)
        ))
        .rule(
            "table, air, circuits bunched together; round down",
            capacity.source.clone(),
        )
}

/// A circuit to be judged.
#[derive(Clone, Debug, PartialEq)]
pub struct IecCircuit {
    /// Design current.
    pub design: Decimal,
    /// Starting current, where a motor starts on it.
    pub start: Option<Decimal>,
    /// Kind of device.
    pub device: Option<DeviceKind>,
    /// Its rating.
    pub rating: Option<Decimal>,
    /// How the cable is laid.
    pub laid: Option<Laid>,
    /// Its area.
    pub area: Option<Decimal>,
}

/// What the circuit gives.
#[derive(Clone, Debug, Default)]
pub struct IecAnswer {
    /// Usual rating at or above the design current.
    pub next_rating: Option<Decimal>,
    /// Capacity of the cable.
    pub capacity: Option<IecCapacity>,
    /// Current that surely opens the device.
    pub second: Option<Decimal>,
    /// Curve of the breaker.
    pub curve: Option<&'static Curve>,
    /// `Ib <= In`.
    pub design_ok: Option<bool>,
    /// `In <= Iz`.
    pub rating_ok: Option<bool>,
    /// `I2 <= 1.45 Iz`.
    pub second_ok: Option<bool>,
    /// The start stays below the magnetic band.
    pub start_ok: Option<bool>,
    /// Smallest area for this device.
    pub smallest: Option<Decimal>,
}

/// `Ib <= In <= Iz`, `I2 <= 1.45 Iz`, and the start against the magnetic band.
///
/// For miniature breakers the second follows from the first; for gG fuses it does not.
/// Source: IEC 60364-4-43 clause 433.1, IEC 60898-1; `None` for an impossible current.
pub fn iec_circuit(circuit: &IecCircuit) -> Option<(IecAnswer, Working)> {
    let design = plausible(circuit.design)?;
    let rating = circuit.rating.and_then(plausible);
    let capacity = circuit
        .laid
        .as_ref()
        .zip(circuit.area)
        .and_then(|(laid, area)| laid.capacity(area));
    let iz = capacity.as_ref().map(|capacity| capacity.corrected);
    let curve = circuit.device.and_then(curve_letter).and_then(curve);
    let second = circuit
        .device
        .zip(rating)
        .and_then(|(device, rating)| Some(second_current(device, rating)? * rating));
    let bound = Decimal::new(145, 2);
    let serves = |iz: Decimal| {
        rating.is_some_and(|rating| rating <= iz) && second.is_none_or(|i2| i2 <= bound * iz)
    };
    let answer = IecAnswer {
        next_rating: next_iec_rating(design),
        second,
        curve,
        design_ok: rating.map(|rating| design <= rating),
        rating_ok: rating.zip(iz).map(|(rating, iz)| rating <= iz),
        second_ok: second.zip(iz).map(|(i2, iz)| i2 <= bound * iz),
        start_ok: curve
            .zip(rating)
            .zip(circuit.start.and_then(plausible))
            .map(|((curve, rating), start)| start <= curve.holds * rating),
        smallest: rating.and(circuit.laid.as_ref()).and_then(|laid| {
            let all = laid.capacities().into_iter();
            all.filter(|(_, capacity)| serves(capacity.corrected))
                .map(|(area, _)| area)
                .next()
        }),
        capacity,
    };
    let working = working(circuit, design, rating, &answer);
    Some((answer, working))
}

fn working(
    circuit: &IecCircuit,
    design: Decimal,
    rating: Option<Decimal>,
    answer: &IecAnswer,
) -> Working {
    let mut working = Working::new("Circuit by IEC 60364");
    working.cautions.push(CAUTION.into());
    let shown = line("device", "Design current and device")
        .value(exact(design), "A")
        .rule("Ib not above In", "IEC 60364-4-43 clause 433.1");
    match (rating, answer.design_ok) {
        (Some(rating), Some(ok)) => working.lines.push(judge(
            shown
                .limit(format!("{} A", exact(rating)))
                .margin(format!("{} A", exact(rating - design))),
            ok,
            "The device carries the design current.",
            "Have a larger device chosen with its conductors, or take load off.",
        )),
        _ => {
            let next = answer.next_rating.map_or("none".into(), exact);
            ask(
                &mut working,
                shown.limit(format!("next usual rating {next} A")),
                "rating of the protective device",
                "it stands between design current and capacity",
                "read the device at the board",
            );
        }
    }
    cable_lines(&mut working, circuit, rating, answer);
    start_line(&mut working, circuit, rating, answer);
    working
}

fn cable_lines(
    working: &mut Working,
    circuit: &IecCircuit,
    rating: Option<Decimal>,
    answer: &IecAnswer,
) {
    if let Some(laid) = &circuit.laid {
        laid.ask(working);
    }
    let (Some(capacity), Some(area)) = (&answer.capacity, circuit.area) else {
        return ask(
            working,
            line("capacity", "Capacity Iz").rule("table and factors", "IEC 60364-5-52 annex B"),
            "mm² (1.5 to 16 copper), method, insulation and loaded conductors",
            "the capacity follows from all of them; the tables held here list no others",
            "read the print on the cable and look along the run",
        );
    };
    working.lines.push(capacity_line(area, capacity));
    let smallest = answer.smallest.map_or("none of the tables".into(), |area| {
        format!("{} mm²", exact(area))
    });
    if let (Some(rating), Some(ok)) = (rating, answer.rating_ok) {
        working.lines.push(judge(
            line("rating", "Device and capacity")
                .value(exact(rating), "A")
                .limit(format!("{} A", exact(capacity.corrected)))
                .margin(format!("{} A", exact(capacity.corrected - rating)))
                .rule("In not above Iz", "IEC 60364-4-43 clause 433.1"),
            ok,
            "The cable carries what the device lets through.",
            &format!("Smallest cable for this device: {smallest}."),
        ));
    }
    if let (Some(second), Some(ok)) = (answer.second, answer.second_ok) {
        let bound = capacity.corrected * Decimal::new(145, 2);
        working.lines.push(judge(
            line("second", "Current that surely opens the device")
                .value(exact(second), "A")
                .limit(format!("{} A (1.45 Iz)", exact(bound)))
                .margin(format!("{} A", exact(bound - second)))
                .rule(
                    "I2 not above 1.45 Iz",
                    "IEC 60364-4-43 clause 433.1; gG: IEC 60269-1, from memory",
                ),
            ok,
            "A small overload opens the device in time.",
            &format!("Smallest cable for this device: {smallest}."),
        ));
    }
}

fn start_line(
    working: &mut Working,
    circuit: &IecCircuit,
    rating: Option<Decimal>,
    answer: &IecAnswer,
) {
    let (Some(curve), Some(rating)) = (answer.curve, rating) else {
        return;
    };
    let holds = exact(curve.holds * rating);
    let shown = line("start", "Start against the magnetic band")
        .limit(format!(
            "holds to {holds} A, acts by {} A",
            exact(curve.acts * rating)
        ))
        .rule("starting current below the band", "IEC 60898-1");
    working.lines.push(match (circuit.start, answer.start_ok) {
        (Some(start), Some(true)) => shown
            .value(exact(start), "A")
            .judge(Verdict::Within, "The breaker holds while the motor starts."),
        (Some(start), Some(false)) => shown.value(exact(start), "A").judge(
            Verdict::WithinNote,
            "It may trip at the start; a slower curve holds, if the fault loop allows it.",
        ),
        _ => shown.note("No starting current was given; six times the plate current is usual."),
    });
}

fn judge(
    shown: crate::working::Line,
    ok: bool,
    good: &'static str,
    bad: &str,
) -> crate::working::Line {
    if ok {
        shown.judge(Verdict::Within, good)
    } else {
        shown.judge(Verdict::Beyond, bad.to_owned())
    }
}

/// The line of a voltage drop by annex G.
pub(crate) fn drop_line(percent: f64, lost: f64, limit: f64) -> crate::working::Line {
    let shown = line("drop", "Voltage drop")
        .value(figure(percent, 3), "%")
        .limit(format!("{} %", figure(limit, 1)))
        .margin(format!("{} V lost", figure(lost, 3)))
        .rule(
            "3 and 5 % on a public network, 6 and 8 % on a private supply; advice",
            "IEC 60364-5-52 G.52.1",
        );
    if percent <= limit + 1e-9 {
        shown.judge(Verdict::Within, "Inside the advice.")
    } else if percent > 10.0 + 1e-9 {
        shown.judge(
            Verdict::Beyond,
            "Fit larger conductors: more than 10 % is lost, beyond what a motor stands.",
        )
    } else {
        shown.judge(Verdict::WithinNote, "Consider larger conductors.")
    }
}

/// The formula of annex G with its figures.
pub(crate) fn lost_line(run: &IecRun, lost: f64) -> crate::working::Line {
    let root = if run.phases == 3 { "1.732 x " } else { "2 x " };
    line("lost", "Volts lost")
        .value(figure(lost, 3), "V")
        .limit(format!(
            "{root}({} x {} m x {} / {} mm² + {} x {} m x sin) x {} A",
            figure(resistivity(run.metal), 4),
            figure(run.one_way.0, 1),
            figure(run.cos_phi, 3),
            figure(run.area_mm2, 2),
            figure(run.reactance, 6),
            figure(run.one_way.0, 1),
            figure(run.amps, 3)
        ))
        .rule(
            "b (rho L cos / S + lambda L sin) I, between lines; lambda from memory",
            "IEC 60364-5-52 annex G",
        )
}
