//! A year of work, written through the same gate and fold as everything else: the clock walks
//! through the year and people add entries.

use super::detail::DetailData;
use super::plans::Items;
use super::registers::Made;
use crate::clock::{Clock, DAY, HOUR, MINUTE, Millis};
use crate::db::Tx;
use crate::jobs::JobId;
use crate::jobs::body::{Body, HoldReason};
use crate::jobs::detail::Detail;
use crate::jobs::priority::Urgency;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::people::{self, Person};
use crate::preventive;
use crate::state::AppState;
use serde::Deserialize;

/// One job of `data/history.json`.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct JobData {
    pub(super) machine: String,
    days_ago: i64,
    words: String,
    pub(super) reporter: String,
    contact: String,
    /// Sign-in name of the technician.
    to: String,
    scope: String,
    minutes: Option<i64>,
    pub(super) running: String,
    pub(super) condition: String,
    /// What was done, one entry each.
    pub(super) done: Vec<String>,
    /// The shelf bin of a motor that was fitted.
    pub(super) fit: Option<String>,
    pub(super) cause: Option<[String; 4]>,
    pub(super) evidence: String,
    note: String,
    /// The due item it was made from: the plan's key and which of its past dates.
    plan: Option<String>,
    past: usize,
    /// The state it is left in.
    pub(super) until: String,
    pub(super) hold: Option<HoldReason>,
    pub(super) why: String,
    pub(super) detail: DetailData,
}

impl JobData {
    pub fn is_of(&self, plan: &str, which: usize) -> bool {
        self.plan.as_deref() == Some(plan) && self.past == which
    }
}

#[derive(Deserialize)]
struct HistoryData {
    jobs: Vec<JobData>,
}

/// # Errors
/// Says what of the compiled-in file does not read.
pub fn data() -> Result<Vec<JobData>, String> {
    let data: HistoryData = serde_json::from_str(include_str!("data/history.json"))
        .map_err(|e| format!("history.json: {e}"))?;
    Ok(data.jobs)
}

/// The same entry ids for the same moment, so that two demos of one day are alike.
pub(super) fn entry_id(at: Millis, count: u64) -> String {
    let mut bytes = [0_u8; 10];
    bytes[2..].copy_from_slice(&count.to_be_bytes());
    let millis = u64::try_from(at).unwrap_or(0);
    uuid::Builder::from_unix_timestamp_millis(millis, &bytes)
        .into_uuid()
        .to_string()
}

pub(super) struct Walk<'a> {
    pub(super) app: &'a AppState,
    pub(super) tx: &'a mut Tx,
    pub(super) made: &'a Made,
    count: u64,
    pub(super) locks: i64,
}

/// Works every job of the list, oldest first.
pub async fn fill(
    app: &AppState,
    tx: &mut Tx,
    made: &Made,
    items: &Items,
    jobs: &[JobData],
    now: Millis,
) -> Result<(), String> {
    let staff = people::queries::list(&app.db)
        .await
        .map_err(|e| e.to_string())?;
    let mut walk = Walk {
        app,
        tx,
        made,
        count: 0,
        locks: 0,
    };
    // On the wall of this shop about nine in the morning, and never later than now.
    let morning = now - now % DAY + 15 * HOUR;
    let mut dated: Vec<(Millis, Option<i64>, &JobData)> = Vec::new();
    for job in jobs {
        let item = match &job.plan {
            Some(key) => items.get(&(key.clone(), job.past)).copied(),
            None => None,
        };
        // Planned work is made a job the day before it is due.
        let days = match item {
            Some((_, due)) => (app.zone().date(now) - due).whole_days() + 1,
            None => job.days_ago,
        };
        let at = (morning - days * DAY).min(now - days.max(1) * HOUR * 4);
        dated.push((at, item.map(|(id, _)| id), job));
    }
    dated.sort_by_key(|(at, ..)| *at);
    for (at, item, job) in dated {
        walk.job(job, at, now, item, &staff)
            .await
            .map_err(|e| format!("history of {}, {} days ago: {e}", job.machine, job.days_ago))?;
    }
    Ok(())
}

impl Walk<'_> {
    fn at(&self, at: Millis) {
        if let Clock::Fixed(clock) = &self.app.clock {
            clock.store(at, std::sync::atomic::Ordering::Relaxed);
        }
    }

    fn entry(&mut self, body: Body) -> NewEntry {
        self.count += 1;
        let id = entry_id(self.app.clock.now(), self.count);
        NewEntry {
            id,
            body,
            corrects: None,
            device_at: None,
            seen: None,
        }
    }

    /// Adds an entry some minutes after the last one; a refusal is a mistake in the demo's data.
    pub(super) async fn add(
        &mut self,
        job: JobId,
        by: &Person,
        minutes: i64,
        body: Body,
    ) -> Result<String, String> {
        self.app.clock.advance(minutes * MINUTE);
        let kind = body.kind();
        let new = self.entry(body);
        let id = new.id.clone();
        match record::add_within(self.app, self.tx, job, by, new).await {
            Ok(Outcome::Added(_)) => Ok(id),
            Ok(Outcome::Refused(refusal)) => Err(format!(
                "{kind} refused at {}: {}",
                refusal.field, refusal.message
            )),
            Ok(other) => Err(format!("{kind}: {other:?}")),
            Err(e) => Err(format!("{kind}: {e:?}")),
        }
    }

    async fn job(
        &mut self,
        data: &JobData,
        at: Millis,
        now: Millis,
        item: Option<i64>,
        staff: &[Person],
    ) -> Result<(), String> {
        let person = |name: &str| {
            staff
                .iter()
                .find(|p| p.sign_in_name == name)
                .ok_or(format!("no person {name:?}"))
        };
        let made = self.made;
        let machine = *made.machines.get(&data.machine).ok_or("no such machine")?;
        let row = made
            .shop
            .machines
            .iter()
            .find(|m| m.tag == data.machine)
            .ok_or("no data")?;
        let planner = person("maren")?;
        self.at(at);
        let reported = self.entry(Body::Reported {
            place_id: None,
            machine_id: Some(machine),
            due_item_id: item,
            words: data.words.clone(),
            reporter: if item.is_some() {
                planner.name.clone()
            } else {
                data.reporter.clone()
            },
            contact: data.contact.clone(),
            urgency: Urgency::default(),
        });
        let by = item.map(|_| planner);
        let job = record::report_within(self.tx, by, &reported, at)
            .await
            .map_err(|e| format!("{e:?}"))?;
        if let Some(item) = item {
            preventive::queries::link_job(self.tx, item, job)
                .await
                .map_err(|e| e.to_string())?;
        }
        match data.until.as_str() {
            "reported" => return Ok(()),
            "turned_down" => {
                let reason = data.why.clone();
                return self
                    .add(job, planner, 50, Body::TurnedDown { reason })
                    .await
                    .map(|_| ());
            }
            _ => {}
        }
        let to = person(&data.to)?;
        let planned = Body::Planned {
            machine_id: machine,
            scope: data.scope.clone(),
            minutes: data.minutes,
            steps: String::new(),
        };
        self.add(job, planner, 25, planned).await?;
        let today = data.until == "handed_out";
        let zone = self.app.zone();
        let on = zone.date(if today { now } else { at + DAY.min(now - at) });
        self.add(
            job,
            planner,
            5,
            Body::HandedOut {
                to: to.id,
                on,
                partner: None,
            },
        )
        .await?;
        if today {
            return Ok(());
        }
        self.at((at + 20 * HOUR)
            .min(now - 5 * HOUR)
            .max(self.app.clock.now()));
        self.work(data, row, job, machine, to).await?;
        if data.until != "signed_off" {
            return Ok(());
        }
        self.app.clock.advance(3 * HOUR);
        let note = data.note.clone();
        self.add(job, planner, 10, Body::SignedOff { note }).await?;
        if let Some([finding, action]) = data.detail.review.clone() {
            let body = Body::Detail(Detail::CauseReviewed { finding, action });
            self.add(job, planner, 20, body).await?;
        }
        Ok(())
    }
}
