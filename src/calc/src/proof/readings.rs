//! Which readings are accepted: figures that can be, from an instrument in calibration that can read them.

use super::{ProofInput, Quantity, Reading};
use crate::shown::{Fill, ask, line};
use crate::supply::plate_at;
use crate::units::Volts;
use crate::working::Working;

/// The figures of accepted instruments; `None` where one is blank or its instrument is not accepted,
/// which is then said on a line.
pub(super) fn accepted(
    working: &mut Working,
    input: &ProofInput,
    readings: Option<&[Reading]>,
    what: Quantity,
) -> Option<Vec<f64>> {
    let readings = readings?;
    for reading in readings {
        mind(working, reading, what);
        if !(can_read(working, input, reading, what) && in_date(working, input, reading, what)) {
            return None;
        }
    }
    readings
        .iter()
        .map(|reading| what.possible(reading.value?))
        .collect()
}

/// The instrument as people name it.
fn name(reading: &Reading) -> String {
    let number = reading
        .instrument
        .as_deref()
        .filter(|name| !name.trim().is_empty());
    match (number, reading.kind) {
        (Some(number), Some(kind)) => format!("{number} ({})", kind.words()),
        (Some(number), None) => number.to_owned(),
        (None, Some(kind)) => kind.words().to_owned(),
        (None, None) => "the instrument".to_owned(),
    }
}

fn mind(working: &mut Working, reading: &Reading, what: Quantity) {
    let Some(note) = reading.kind.and_then(|kind| kind.mind(what)) else {
        return;
    };
    if !working.cautions.iter().any(|caution| caution == note) {
        working.cautions.push(note.into());
    }
}

fn can_read(working: &mut Working, input: &ProofInput, reading: &Reading, what: Quantity) -> bool {
    let why = reading
        .kind
        .and_then(|kind| kind.cannot_read(what, input.drive_fed));
    let Some(why) = why else { return true };
    let name = name(reading);
    let shown = line(what.meter_key(), what.meter())
        .value(name.clone(), "")
        .rule("an instrument that can read this", "common practice");
    let wanted = format!("a reading by another instrument than {name}");
    ask(
        working,
        shown,
        wanted,
        why,
        "repeat the reading with an instrument made for it",
    );
    false
}

fn in_date(working: &mut Working, input: &ProofInput, reading: &Reading, what: Quantity) -> bool {
    let Some(due) = reading.calibration_due else {
        return true;
    };
    let name = name(reading);
    let shown = line(what.meter_key(), what.meter())
        .value(name.clone(), "")
        .limit(format!("calibrated until {due}"))
        .rule(
            "calibration in date on the day of the test",
            "DOE-STD-1065-94",
        );
    match input.date {
        Some(date) if date <= due => return true,
        Some(_) => ask(
            working,
            shown,
            format!("a reading by an instrument in calibration, not {name}"),
            "its calibration had ended on the day of the test",
            "repeat the reading with an instrument in date",
        ),
        None => ask(
            working,
            shown,
            "day of the test",
            "the calibration of the instrument is held against it",
            "enter the day",
        ),
    }
    false
}

/// Low volts on a high-impedance meter may be a voltage coupled into an open wire.
pub(super) fn ghost_volts(working: &mut Working, input: &ProofInput, volts: Option<&[f64]>) {
    let high = input
        .volts
        .iter()
        .flatten()
        .any(|reading| reading.kind.is_some_and(|kind| kind.high_impedance()));
    let low = volts.unwrap_or_default().iter().any(|read| {
        plate_at(&input.motor, Volts(*read)).is_some_and(|plate| *read < 0.9 * plate.volts.0)
    });
    if high && low {
        working.cautions.push(
            "A high-impedance meter also shows ghost volts, coupled into an open wire from its \
             neighbours: repeat low readings on a low-impedance range."
                .into(),
        );
    }
}
