//! Nominal voltages and what a supply may be about them: ANSI C84.1, IEC 60038, IEC 60034-1.

use crate::shown::{Fill, ask, figure, line, positive};
use crate::tables::equipment::SERVICE_VOLTAGES;
use crate::units::Volts;
use crate::working::{Line, Verdict, Working};

/// Nominal voltage from line to neutral and between lines. Source: IEC 60038.
pub const IEC_NOMINAL: (Volts, Volts) = (Volts(230.0), Volts(400.0));
/// Share by which a supply may be off. Source: IEC 60038.
pub const IEC_TOLERANCE: f64 = 0.10;

/// Limits of one range, volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lowest at the service.
    pub service_min: f64,
    /// Highest at the service.
    pub service_max: f64,
    /// Lowest at the load where the circuit feeds lighting.
    pub load_min_lighting: f64,
    /// Lowest at the load without lighting.
    pub load_min: f64,
    /// Highest at the load.
    pub load_max: f64,
}

/// Limits of a nominal voltage: range A, the normal one, and range B, for a short time.
///
/// Volts. Valid for 120, 208, 240, 480 and 600 V; `None` otherwise. The form of 1995: from 2006 on
/// the limit with lighting is dropped (from memory). Source: ANSI C84.1.
pub fn ranges(nominal: Volts) -> Option<(Range, Range)> {
    let row = SERVICE_VOLTAGES.iter().find(|row| row[0] == nominal.0)?;
    let range = |at: usize| Range {
        service_min: row[at],
        service_max: row[at + 1],
        load_min_lighting: row[at + 2],
        load_min: row[at + 3],
        load_max: row[at + 4],
    };
    Some((range(1), range(6)))
}

/// Where a voltage was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Point {
    /// At the service entrance.
    Service,
    /// At the load, on a circuit that feeds lighting too.
    LoadWithLighting,
    /// At the load, on a circuit without lighting.
    Load,
}

/// How a measured voltage stands to the ranges.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// Inside range A.
    RangeA,
    /// Outside range A, inside range B.
    RangeB,
    /// Outside both.
    Outside,
}

/// The range in which a voltage lies; limits belong to it. `None` for a nominal voltage outside the
/// table. Source: ANSI C84.1.
pub fn stands(nominal: Volts, point: Point, measured: Volts) -> Option<Stands> {
    let (a, b) = ranges(nominal)?;
    let measured = positive(measured.0)?;
    let inside = |range: &Range| {
        let (low, high) = match point {
            Point::Service => (range.service_min, range.service_max),
            Point::LoadWithLighting => (range.load_min_lighting, range.load_max),
            Point::Load => (range.load_min, range.load_max),
        };
        measured >= low - 1e-6 && measured <= high + 1e-6
    };
    Some(match (inside(&a), inside(&b)) {
        (true, _) => Stands::RangeA,
        (_, true) => Stands::RangeB,
        _ => Stands::Outside,
    })
}

/// Zones of a motor's supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// Voltage within 5 %, frequency within 2 %: continuous running.
    A,
    /// Voltage within 10 %, frequency from 5 % below to 3 % above: not for long.
    B,
    /// Beyond both.
    Outside,
}

impl Zone {
    /// The word for it.
    pub fn words(self) -> &'static str {
        match self {
            Zone::A => "A",
            Zone::B => "B",
            Zone::Outside => "outside",
        }
    }
}

/// The zone of a deviation of voltage and frequency in percent of the plate.
///
/// Only the bounds of the zones are known here. Their figure also cuts the corners where voltage and
/// frequency deviate in opposite directions: there the answer is the better zone it may have, and
/// the second value is false. Source: IEC 60034-1, bounds from memory.
pub fn zone(voltage_percent: f64, frequency_percent: f64) -> Option<(Zone, bool)> {
    if !(voltage_percent.is_finite() && frequency_percent.is_finite()) {
        return None;
    }
    let within = |value: f64, low: f64, high: f64| value >= low - 1e-6 && value <= high + 1e-6;
    let zone = if within(voltage_percent, -5.0, 5.0) && within(frequency_percent, -2.0, 2.0) {
        Zone::A
    } else if within(voltage_percent, -10.0, 10.0) && within(frequency_percent, -5.0, 3.0) {
        Zone::B
    } else {
        Zone::Outside
    };
    let opposite = voltage_percent * frequency_percent < 0.0;
    Some((zone, zone == Zone::Outside || !opposite))
}

/// Volts lost and left: `lost = U p / 100`, `left = U - lost`, with `p` in percent from 0 to 100.
///
/// The NEC's 3 % for a branch and 5 % in all are advice (informational notes), not limits.
/// `None` outside that. Source: definition; NEC 210.19 informational note.
pub fn dropped(source: Volts, percent: f64) -> Option<(Volts, Volts)> {
    let source = positive(source.0)?;
    if !(0.0..=100.0).contains(&percent) {
        return None;
    }
    let lost = source * percent / 100.0;
    Some((Volts(lost), Volts(source - lost)))
}

/// The line of a zone: its bounds, and where the figure leaves it open. Source: IEC 60034-1, from
/// memory.
pub(crate) fn zone_line(voltage_percent: f64, frequency_percent: f64) -> Option<Line> {
    let (zone, sure) = zone(voltage_percent, frequency_percent)?;
    let shown = line("iec_zone", "Zone of the supply").rule(
        "A within 5 % and 2 %; B within 10 %, frequency from 5 % below to 3 % above",
        "IEC 60034-1; from memory",
    );
    Some(if sure {
        shown.value(zone.words(), "")
    } else {
        shown.note(
            "Voltage and frequency deviate in opposite directions: the standard's figure decides.",
        )
    })
}

/// The line of a voltage drop. Source: NEC 210.19 informational note.
pub(crate) fn drop_line(source: Volts, percent: f64) -> Option<Line> {
    let (lost, left) = dropped(source, percent)?;
    Some(
        line("drop", "Voltage left at the load")
            .value(figure(left.0, 2), "V")
            .margin(format!("{} V lost", figure(lost.0, 2)))
            .rule(
                "source less drop; 3 % in the branch and 5 % in all are advice",
                "NEC 210.19 informational note",
            ),
    )
}

/// A nominal voltage, the plate that belongs to it, and how a measured one stands.
///
/// Source: IEEE 141 table 3-7, ANSI C84.1.
pub fn check(
    nominal: Volts,
    plate: Option<Volts>,
    point: Option<Point>,
    measured: Option<Volts>,
) -> Working {
    let mut working = Working::new("Nominal voltage");
    if let Some(plate) = plate {
        working.lines.push(
            line("plate", "Plate voltage for it")
                .value(figure(plate.0, 1), "V")
                .rule(
                    "a plate stands below the nominal voltage",
                    "IEEE 141 table 3-7",
                ),
        );
    }
    if [IEC_NOMINAL.0, IEC_NOMINAL.1].contains(&nominal) {
        let (low, high) = (nominal.0 * 90.0 / 100.0, nominal.0 * 110.0 / 100.0);
        working.lines.push(
            line("iec", "Supply")
                .value(format!("{} to {}", figure(low, 1), figure(high, 1)), "V")
                .rule("10 % about the nominal voltage", "IEC 60038"),
        );
    }
    if let Some((a, b)) = ranges(nominal) {
        working.lines.push(range_line("range_a", "Range A", &a));
        working.lines.push(range_line("range_b", "Range B", &b));
        if let Some(measured) = measured {
            judge(&mut working, nominal, point, measured);
        }
    }
    working
}

fn range_line(key: &'static str, label: &'static str, range: &Range) -> Line {
    let (low, high) = (range.service_min, range.service_max);
    line(key, label)
        .value(format!("{low} to {high}"), "V")
        .rule("at the service", "ANSI C84.1, form of 1995")
        .note(format!(
            "At the load {} to {} V, from {} V where it feeds lighting.",
            range.load_min, range.load_max, range.load_min_lighting
        ))
}

fn judge(working: &mut Working, nominal: Volts, point: Option<Point>, measured: Volts) {
    let shown = line("measured", "Measured voltage")
        .value(figure(measured.0, 1), "V")
        .rule(
            "inside range A; range B for a short time only",
            "ANSI C84.1",
        );
    match point.and_then(|point| stands(nominal, point, measured)) {
        Some(Stands::RangeA) => working
            .lines
            .push(shown.judge(Verdict::Within, "Inside range A.")),
        Some(Stands::RangeB) => working.lines.push(shown.judge(
            Verdict::WithinNote,
            "Range B only: have the supply corrected soon.",
        )),
        Some(Stands::Outside) => working.lines.push(shown.judge(
            Verdict::Beyond,
            "Outside both ranges: have the supply corrected at once.",
        )),
        None => ask(
            working,
            shown,
            "where it was measured: service, or load with or without lighting",
            "the limits differ by the drop inside the building",
            "say at which point the meter was put",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_measured_voltage_stands_in_its_range() {
        let of = |measured| stands(Volts(208.0), Point::Load, Volts(measured));
        assert_eq!(of(187.0), Some(Stands::RangeA));
        assert_eq!(of(186.0), Some(Stands::RangeB));
        assert_eq!(of(179.0), Some(Stands::Outside));
        assert_eq!(stands(Volts(277.0), Point::Load, Volts(277.0)), None);
    }

    #[test]
    fn opposite_deviations_leave_the_zone_open() {
        assert_eq!(zone(4.0, 1.0), Some((Zone::A, true)));
        assert_eq!(zone(4.0, -1.0), Some((Zone::A, false)));
        assert_eq!(zone(-9.0, -4.0), Some((Zone::B, true)));
        assert_eq!(zone(0.0, 4.0), Some((Zone::Outside, true)));
        assert_eq!(zone(-11.0, 1.0), Some((Zone::Outside, true)));
    }

    fn rank(stands: Stands) -> u8 {
        match stands {
            Stands::RangeA => 0,
            Stands::RangeB => 1,
            Stands::Outside => 2,
        }
    }

    proptest! {
        #[test]
        fn farther_off_never_stands_better(nominal in prop::sample::select(vec![120.0, 208.0, 240.0, 480.0, 600.0]),
            off in 0.0f64..0.2, more in 0.0f64..0.2, low: bool) {
            let at = |share: f64| {
                let volts = nominal * if low { 1.0 - share } else { 1.0 + share };
                stands(Volts(nominal), Point::Service, Volts(volts)).map(rank)
            };
            prop_assert!(at(off + more) >= at(off));
        }

        #[test]
        fn lost_and_left_are_the_whole(volts in 1.0f64..1000.0, percent in 0.0f64..100.0) {
            let (lost, left) = dropped(Volts(volts), percent).expect("a drop");
            prop_assert!((lost.0 + left.0 - volts).abs() < 1e-9);
        }

        #[test]
        fn no_figure_panics(a: f64, b: f64) {
            let _ = zone(a, b);
            let _ = dropped(Volts(a), b);
            let _ = stands(Volts(a), Point::Service, Volts(b));
            let _ = check(Volts(a), Some(Volts(b)), None, Some(Volts(b)));
        }

        #[test]
        fn more_unbalance_never_leaves_more_power(a in 0.0f64..6.0, more in 0.0f64..3.0) {
            let (small, large) = (crate::supply::derating(a), crate::supply::derating(a + more));
            match (small, large) {
                (Some(small), Some(large)) => prop_assert!(large <= small),
                (None, large) => prop_assert_eq!(large, None),
                _ => {}
            }
        }
    }
}
