//! The demo's parts: on the shelf, on the lists of machines, kept and taken for jobs.

use super::history::{Walk, entry_id};
use super::queries;
use super::registers::Made;
use crate::clock::{DAY, Millis};
use crate::db::Tx;
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::stores::Stores;
use crate::jobs::stores::body::Moved;
use crate::people::{self, Person, PersonId};
use crate::state::AppState;
use crate::stores::amount::Amount;
use crate::stores::form::PartChange;
use crate::stores::queries::{self as stock, Move, NewPurchase, Step};
use crate::stores::{Item, PartId};
use std::collections::HashMap;
use time::Duration;

/// Name, kind, facts, bin, standing, lead days, price, at first, days to its date (0: none).
type PartData = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    Option<i64>,
    Option<i64>,
    i64,
    i64,
);

const PARTS: &[PartData] = &[
    (
        "Belt A42",
        "belt",
        "A section, 42 in inside",
        "B-1",
        "held",
        Some(6),
        Some(1140),
        6,
        1500,
    ),
    (
        "Belt A51",
        "belt",
        "A section, 51 in inside",
        "B-1",
        "held",
        Some(6),
        Some(1290),
        4,
        420,
    ),
    (
        "Belt 3L310",
        "belt",
        "3L section, 31 in outside",
        "B-2",
        "held",
        Some(9),
        None,
        2,
        0,
    ),
    (
        "Bearing 6203 sealed",
        "bearing",
        "17 x 40 x 12 mm, two seals",
        "B-4",
        "held",
        Some(4),
        Some(870),
        6,
        0,
    ),
    (
        "Bearing 6205 sealed",
        "bearing",
        "25 x 52 x 15 mm, two seals",
        "B-4",
        "held",
        Some(4),
        Some(1160),
        4,
        0,
    ),
    (
        "Pillow block 3/4",
        "bearing",
        "3/4 in bore, set screw",
        "B-5",
        "to_buy",
        Some(12),
        Some(3450),
        0,
        0,
    ),
    (
        "Run capacitor 5 µF",
        "capacitor",
        "5 µF, 370 V, round",
        "C-1",
        "held",
        Some(3),
        Some(690),
        5,
        1100,
    ),
    (
        "Run capacitor 7.5 µF",
        "capacitor",
        "7.5 µF, 370 V, oval",
        "C-1",
        "held",
        Some(3),
        Some(780),
        2,
        38,
    ),
    (
        "Filter 16 x 20 x 2",
        "filter",
        "Pleated, 2 in",
        "D-1",
        "held",
        Some(7),
        Some(540),
        24,
        0,
    ),
    (
        "Filter bag, dust collector",
        "filter",
        "Long bag, 8 in collar",
        "D-2",
        "to_buy",
        Some(21),
        Some(6200),
        1,
        0,
    ),
    (
        "Line thermostat, heating",
        "thermostat",
        "Bimetal, 120 V, 16 A",
        "C-3",
        "held",
        Some(10),
        Some(3380),
        2,
        0,
    ),
    (
        "Pump seal 5/8",
        "seal",
        "Carbon on ceramic, 5/8 in shaft",
        "B-7",
        "held",
        Some(14),
        Some(2790),
        3,
        900,
    ),
    (
        "Pump seal 1/2, old style",
        "seal",
        "Carbon on ceramic, 1/2 in shaft",
        "B-7",
        "ended",
        None,
        None,
        1,
        0,
    ),
    (
        "Contactor 3-pole 25 A",
        "contactor",
        "120 V coil",
        "C-4",
        "held",
        Some(5),
        Some(4150),
        1,
        0,
    ),
];

/// Tag, where in it, part, how many.
const LISTS: &[(&str, &str, &str, i64)] = &[
    ("G-01", "belt 1", "Belt A42", 1),
    ("G-01", "shaft bearings", "Pillow block 3/4", 2),
    ("C-01", "belt 1", "Belt A42", 1),
    ("C-02", "belt 1", "Belt 3L310", 1),
    ("C-02", "filter bank", "Filter 16 x 20 x 2", 4),
    ("K-06", "belt 1", "Belt A51", 1),
    ("L-01", "belt 1", "Belt A51", 1),
    ("L-01", "motor, drive end", "Bearing 6205 sealed", 1),
    ("L-01", "motor, other end", "Bearing 6203 sealed", 1),
    ("L-02", "belt 1", "Belt A42", 1),
    ("L-02", "motor, drive end", "Bearing 6205 sealed", 1),
    ("H-01", "seal", "Pump seal 5/8", 1),
    ("H-02", "seal", "Pump seal 5/8", 1),
    ("G-02", "seal", "Pump seal 1/2, old style", 1),
    ("K-04", "run capacitor", "Run capacitor 5 µF", 1),
    ("K-05", "run capacitor", "Run capacitor 5 µF", 1),
    ("O-01", "run capacitor", "Run capacitor 7.5 µF", 1),
    ("O-01", "filter bank", "Filter 16 x 20 x 2", 2),
    ("U-02", "thermostat", "Line thermostat, heating", 1),
    ("S-02", "filter bags", "Filter bag, dust collector", 2),
    ("A-01", "contactor", "Contactor 3-pole 25 A", 1),
];

fn sql(e: sqlx::Error) -> String {
    format!("The demo's parts cannot be written: {e}")
}

fn change(part: &PartData) -> PartChange {
    let &(name, kind, facts, bin, standing, lead_days, price_minor, ..) = part;
    let ended = standing == "ended";
    PartChange {
        name: name.to_owned(),
        kind: kind.to_owned(),
        description: facts.to_owned(),
        maker_number: String::new(),
        unit: "piece".to_owned(),
        bins: bin.to_owned(),
        standing: standing.to_owned(),
        last_buy: if ended {
            "Ended last spring; no stock at either supplier"
        } else {
            ""
        }
        .to_owned(),
        lead_days,
        price_minor,
        order_at: None,
        critical: kind == "seal" && !ended,
    }
}

/// Parts, their first lots and the lists of machines, before the history begins.
pub(super) async fn open(
    tx: &mut Tx,
    made: &Made,
    people: &HashMap<String, PersonId>,
    now: Millis,
) -> Result<(), String> {
    let at = now - 399 * DAY;
    let by = people.get("maren").copied().ok_or("no supervisor")?;
    queries::first_counts(tx, by, at).await.map_err(sql)?;
    let today = crate::clock::Zone::utc().date(now);
    let mut ids: HashMap<&str, PartId> = HashMap::new();
    for part in PARTS {
        let &(name, .., price, first, days) = part;
        let id = stock::insert_part(tx, &change(part), at)
            .await
            .map_err(sql)?;
        ids.insert(name, id);
        if first == 0 {
            continue;
        }
        let amount = Amount(first * 1000);
        let mut lot = Move::new(Item::Part(id), "received", amount, at);
        lot.cost_minor = amount.cost(price);
        lot.expires_on = (days > 0).then(|| today + Duration::days(days));
        lot.person = Some(by);
        stock::insert_move(tx, &lot).await.map_err(sql)?;
    }
    for (tag, place, part, n) in LISTS {
        let machine = *made.machines.get(*tag).ok_or(format!("no machine {tag}"))?;
        let part = *ids.get(part).ok_or(format!("no part {part}"))?;
        let amount = Amount(n * 1000);
        stock::insert_line(tx, machine, place, part, amount, "")
            .await
            .map_err(sql)?;
    }
    Ok(())
}

async fn moved(tx: &mut Tx, name: &str, n: i64) -> Result<Moved, String> {
    let id = queries::part_named(tx, name).await.map_err(sql)?;
    let id = id.ok_or(format!("no part {name:?}"))?;
    let part = stock::part_in(tx, id)
        .await
        .map_err(sql)?
        .ok_or("it was just there")?;
    let amount = Amount(n * 1000);
    Ok(Moved {
        item: Item::Part(id),
        name: part.name,
        amount,
        unit: part.unit,
        cost_minor: amount.cost(part.price_minor),
    })
}

impl Walk<'_> {
    /// What was taken from the shelf for a job of the history.
    pub(super) async fn take_parts(
        &mut self,
        took: &[(String, i64)],
        job: JobId,
        to: &Person,
    ) -> Result<(), String> {
        for (name, n) in took {
            let moved = moved(self.tx, name, *n).await?;
            let body = Body::Stores(Stores::PartIssued { moved });
            self.add(job, to, 1, body).await?;
        }
        Ok(())
    }
}

/// One thing ordered for the shelf and late, one that the waiting job needs.
pub(super) async fn bought(app: &AppState, tx: &mut Tx, now: Millis) -> Result<(), String> {
    let staff = people::queries::list(&app.db).await.map_err(sql)?;
    let by = staff.iter().find(|p| p.sign_in_name == "maren");
    let by = by.ok_or("no supervisor")?;
    let part = queries::part_named(tx, "Pillow block 3/4")
        .await
        .map_err(sql)?;
    let mut new = NewPurchase {
        job: None,
        part,
        what: "Pillow block 3/4".to_owned(),
        amount: Amount(2000),
        why: "Those of the spray booth fan run rough".to_owned(),
    };
    let at = now - 15 * DAY;
    let id = stock::insert_purchase(tx, &new, by.id, at)
        .await
        .map_err(sql)?;
    let today = app.zone().date(now);
    let ordered = Step::Ordered {
        number: "H-118".to_owned(),
        supplier: "Millside Drives".to_owned(),
        expected_on: today - Duration::days(2),
        cost_minor: Some(6900),
    };
    for (version, step) in [(1, Step::Approved), (2, ordered)] {
        stock::step_purchase(tx, id, version, &step, by.id, at + DAY)
            .await
            .map_err(sql)?;
    }
    let jobs = queries::open_jobs(tx, "L-02").await.map_err(sql)?;
    let Some(job) = jobs.first() else {
        return Ok(());
    };
    new = NewPurchase {
        job: Some(*job),
        part: None,
        what: "Sheave for the return fan, 8.4 in".to_owned(),
        amount: Amount(1000),
        why: "Grooves worn through".to_owned(),
    };
    let id = stock::insert_purchase(tx, &new, by.id, now - DAY)
        .await
        .map_err(sql)?;
    let entry = NewEntry {
        id: entry_id(now, 900_010),
        body: Body::Stores(Stores::BuyingStep {
            purchase_id: id,
            step: "needed".to_owned(),
            words: format!("1 x {}", new.what),
        }),
        corrects: None,
        device_at: None,
        seen: None,
    };
    match record::add_within(app, tx, *job, by, entry).await {
        Ok(Outcome::Added(_)) => Ok(()),
        other => Err(format!("L-02: {other:?}")),
    }
}

/// The job that waits for a part has one kept; another took two belts and brought one back.
pub(super) async fn of_jobs(app: &AppState, tx: &mut Tx, now: Millis) -> Result<(), String> {
    let staff = people::queries::list(&app.db).await.map_err(sql)?;
    let by = staff.iter().find(|p| p.sign_in_name == "ilse");
    let by = by.ok_or("no technician")?;
    let two = moved(tx, "Belt A42", 2).await?;
    let one = moved(tx, "Belt A42", 1).await?;
    let kept = moved(tx, "Bearing 6205 sealed", 1).await?;
    let note = "The second was not needed".to_owned();
    for (n, tag, body) in [
        (1, "L-02", Stores::PartReserved { moved: kept }),
        (2, "G-01", Stores::PartIssued { moved: two }),
        (3, "G-01", Stores::PartReturned { moved: one, note }),
    ] {
        let jobs = queries::open_jobs(tx, tag).await.map_err(sql)?;
        let Some(job) = jobs.first() else {
            continue;
        };
        let new = NewEntry {
            id: entry_id(now, 900_000 + n),
            body: Body::Stores(body),
            corrects: None,
            device_at: None,
            seen: None,
        };
        match record::add_within(app, tx, *job, by, new).await {
            Ok(Outcome::Added(_)) => {}
            other => return Err(format!("{tag}: {other:?}")),
        }
    }
    Ok(())
}
