//! Conductors of motors that do not run continuously.

use crate::shown::{Fill, exact, line, plausible};
use crate::tables::nec;
use crate::working::Working;
use rust_decimal::Decimal;

/// Service that the machine asks of its motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Service {
    /// Short time, such as a valve or a lift gate.
    ShortTime,
    /// Intermittent, such as a freight lift.
    Intermittent,
    /// Periodic, such as a roll.
    Periodic,
    /// Varying.
    Varying,
}

/// Time for which the motor is rated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimeRating {
    /// Five minutes.
    Minutes5,
    /// Fifteen minutes.
    Minutes15,
    /// Thirty or sixty minutes.
    Minutes30Or60,
    /// Continuous.
    Continuous,
}

/// Percentage of the plate current that the conductors must carry; `None` where the table lists
/// nothing (short-time service of a continuous motor).
///
/// A motor counts as continuous unless what it drives cannot load it continuously.
/// Source: NEC 430.22(E), from one transcription.
pub fn duty_percent(service: Service, rating: TimeRating) -> Option<Decimal> {
    let name = match service {
        Service::ShortTime => "short_time",
        Service::Intermittent => "intermittent",
        Service::Periodic => "periodic",
        Service::Varying => "varying",
    };
    let (_, cells) = nec::DUTY.iter().find(|(service, _)| service == name)?;
    let column = match rating {
        TimeRating::Minutes5 => 0,
        TimeRating::Minutes15 => 1,
        TimeRating::Minutes30Or60 => 2,
        TimeRating::Continuous => 3,
    };
    cells[column]
}

/// Percentage and smallest conductor ampacity in amperes, `p I / 100` of the plate current.
/// Source: NEC 430.22(E).
pub fn duty_cycle(
    service: Service,
    rating: TimeRating,
    plate_amps: Decimal,
) -> Option<(Decimal, Decimal, Working)> {
    let percent = duty_percent(service, rating)?;
    let plate = plausible(plate_amps)?;
    let least = plate * percent * Decimal::new(1, 2);
    let mut working = Working::new("Conductors of a motor not in continuous duty");
    working.cautions.push(super::CAUTION.into());
    working.lines.push(
        line("conductor_min", "Conductor ampacity, at least")
            .value(exact(least), "A")
            .limit(format!("{} % of {} A", exact(percent), exact(plate)))
            .rule(
                "percentage of the plate current by service and time rating",
                "NEC 430.22(E), read in one place only",
            )
            .note(
                "Only where what is driven cannot load the motor continuously; otherwise 125 % of the \
                 full-load current.",
            ),
    );
    Some((percent, least, working))
}
