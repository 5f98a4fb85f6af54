//! The demo's plan on a kind: every pump is listened to.

use crate::clock::{DAY, Millis, Zone};
use crate::db::Tx;
use crate::preventive::NewPlan;
use crate::preventive::wide::queries::{self, Scope};
use calc::due::{Every, Rule};

pub async fn fill(tx: &mut Tx, now: Millis, zone: &Zone) -> sqlx::Result<()> {
    let new = NewPlan {
        machine_id: crate::machines::MachineId(0),
        action: "Listen at the bearings and look at the seal".to_owned(),
        why: "A seal that weeps is changed before the bearing is wet".to_owned(),
        rule: Rule::Calendar {
            every: Every::Months(2),
        },
        anchor_on: zone.date(now + 20 * DAY),
        window_days: 6,
        minutes: Some(10),
        steps: "Listen with the rod at both bearings.\nWipe the seal and look again.".to_owned(),
        made_from_job: None,
        since_on: None,
        included_in: None,
        needs: crate::preventive::Needs::default(),
    };
    let kind = Scope::Kind("pump".to_owned());
    queries::insert(tx, &kind, &new, now - 3 * DAY).await?;
    Ok(())
}
