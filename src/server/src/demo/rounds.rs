//! The demo's meter of starts, and a round that waits to be walked.

use super::queries;
use super::registers::Made;
use crate::clock::{DAY, Millis, Zone};
use crate::db::Tx;
use crate::people::PersonId;
use crate::rounds;
use crate::shop::closed_queries as closed;
use std::collections::HashMap;

/// Days ago and what the pump's counter showed.
const STARTS: &[(i64, f64)] = &[
    (118, 20_410.0),
    (88, 21_120.0),
    (57, 21_790.0),
    (26, 22_515.0),
];

pub async fn fill(
    tx: &mut Tx,
    made: &Made,
    people: &HashMap<String, PersonId>,
    now: Millis,
    zone: &Zone,
) -> sqlx::Result<()> {
    let (Some(pump), Some(tobin), Some(maren)) = (
        made.machines.get("H-04"),
        people.get("tobin"),
        people.get("maren"),
    ) else {
        return Ok(());
    };
    let meter = queries::meter(tx, *pump, "Starts", "starts").await?;
    for (days, value) in STARTS {
        let on = zone.date(now - days * DAY);
        queries::meter_reading(tx, meter, on, *value, *tobin).await?;
    }
    closed::set_weekdays(tx, &[6, 7]).await?;
    let winter = zone.date(now + 30 * DAY);
    closed::add(tx, winter, "Winter closing").await?;
    let items = queries::due_by(tx, zone.date(now + 21 * DAY)).await?;
    rounds::queries::insert(tx, "Mill, before the winter", &items, *maren, now - DAY).await?;
    Ok(())
}
