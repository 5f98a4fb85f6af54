//! The demo's test instruments: two in date, one whose calibration ended, and one that was found wrong
//! after it had been used.

use super::registers::Made;
use crate::clock::{DAY, Millis, Zone};
use crate::db::Tx;
use crate::instruments::form::{NewCalibration, NewInstrument};
use crate::instruments::used::Used;
use crate::instruments::{InstrumentId, queries};
use crate::people::PersonId;
use crate::state::AppState;
use std::collections::HashMap;

/// From so many days ago on the tester V-1 is no longer used; it was then found wrong.
const CHANGED: i64 = 150;

struct One {
    number: &'static str,
    kind: &'static str,
    measures: &'static str,
    note: &'static str,
    /// Days ago, how it was found, and days from now until when.
    calibrations: &'static [(i64, &'static str, Option<i64>)],
}

const ALL: &[One] = &[
    One {
        number: "V-3",
        kind: "voltage_tester",
        measures: "Volts to 1000, low impedance",
        note: "In the red case at the tool crib",
        calibrations: &[(225, "within", Some(140))],
    },
    One {
        number: "CM-2",
        kind: "clamp_meter",
        measures: "Amps to 400, volts to 600",
        note: "",
        calibrations: &[(390, "within", None), (165, "within", Some(200))],
    },
    One {
        number: "IT-1",
        kind: "insulation_tester",
        measures: "Megohms at 500 V and 1000 V",
        note: "Booked for calibration",
        calibrations: &[(379, "within", Some(-14))],
    },
    One {
        number: "V-1",
        kind: "voltage_tester",
        measures: "Volts to 600",
        note: "Away for repair",
        calibrations: &[(380, "within", None), (CHANGED, "off", None)],
    },
];

pub async fn fill(
    tx: &mut Tx,
    now: Millis,
    zone: &Zone,
    by: PersonId,
) -> sqlx::Result<HashMap<String, InstrumentId>> {
    let day = |days: i64| zone.date(now - days * DAY);
    let mut made = HashMap::new();
    for one in ALL {
        let new = NewInstrument {
            number: one.number.to_owned(),
            kind: one.kind.to_owned(),
            measures: one.measures.to_owned(),
            note: one.note.to_owned(),
            ..NewInstrument::default()
        };
        let id = queries::insert(tx, &new, now - 395 * DAY).await?;
        for (at, (ago, found, until)) in (1_i64..).zip(one.calibrations) {
            let off = *found == "off";
            let calibration = NewCalibration {
                done_on: day(*ago),
                found: (*found).to_owned(),
                by_whom: "Calder Bench, the county's meter room".to_owned(),
                certificate: format!("CB-{}{ago}", one.number.len()),
                due_on: until.map(|until| day(-until)),
                note: if off { "Reads 8 V low at 120 V" } else { "" }.to_owned(),
            };
            queries::insert_calibration(tx, id, &calibration, by, now - ago * DAY).await?;
            let says = (calibration.due_on, off.then_some(calibration.done_on));
            queries::calibrated(tx, id, says, at).await?;
        }
        made.insert(one.number.to_owned(), id);
    }
    Ok(made)
}

/// The instrument in hand on the day of the app's clock.
pub fn in_hand(made: &Made, number: &'static str, app: &AppState, now: Millis) -> Used {
    let old = number == "V-3" && app.clock.now() < now - CHANGED * DAY;
    let number = if old { "V-1" } else { number };
    Used {
        id: made.instruments.get(number).copied(),
        number: number.to_owned(),
        due: Some(app.today() + time::Duration::days(120)),
    }
}
