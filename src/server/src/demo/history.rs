//! A year of work, written through the same gate and fold as everything else: the clock walks
//! through the year and people add entries.

use super::plans::Items;
use super::registers::{MachineData, Made};
use crate::clock::{Clock, DAY, HOUR, MINUTE, Millis};
use crate::db::Tx;
use crate::jobs::JobId;
use crate::jobs::body::{Body, HoldReason, LiveTest, Reading};
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::machines::MachineId;
use crate::people::{self, Person};
use crate::preventive;
use crate::state::AppState;
use calc::fit::Need;
use calc::plate::Plate;
use calc::working::Verdict;
use serde::Deserialize;

/// One job of `data/history.json`.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct JobData {
    machine: String,
    days_ago: i64,
    words: String,
    reporter: String,
    contact: String,
    /// Sign-in name of the technician.
    to: String,
    scope: String,
    minutes: Option<i64>,
    running: String,
    condition: String,
    /// What was done, one entry each.
    done: Vec<String>,
    /// The shelf bin of a motor that was fitted.
    fit: Option<String>,
    cause: Option<[String; 4]>,
    evidence: String,
    note: String,
    /// The due item it was made from: the plan's key and which of its past dates.
    plan: Option<String>,
    past: usize,
    /// The state it is left in.
    until: String,
    hold: Option<HoldReason>,
    why: String,
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
fn entry_id(at: Millis, count: u64) -> String {
    let mut bytes = [0_u8; 10];
    bytes[2..].copy_from_slice(&count.to_be_bytes());
    let millis = u64::try_from(at).unwrap_or(0);
    uuid::Builder::from_unix_timestamp_millis(millis, &bytes)
        .into_uuid()
        .to_string()
}

struct Walk<'a> {
    app: &'a AppState,
    tx: &'a mut Tx,
    made: &'a Made,
    count: u64,
    locks: i64,
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
    async fn add(
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
        self.add(job, planner, 5, Body::HandedOut { to: to.id, on })
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
        self.add(job, planner, 10, Body::SignedOff { note })
            .await
            .map(|_| ())
    }

    async fn work(
        &mut self,
        data: &JobData,
        row: &MachineData,
        job: JobId,
        machine: MachineId,
        to: &Person,
    ) -> Result<(), String> {
        let tag_read = data.machine.clone();
        let confirmed = Body::UnitConfirmed {
            tag_read,
            method: "read the tag".to_owned(),
        };
        self.add(job, to, 10, confirmed).await?;
        let found = Body::AsFound {
            running: data.running.clone(),
            condition: data.condition.clone(),
            guard: "complete".to_owned(),
            readings: Vec::new(),
            live: None,
        };
        self.add(job, to, 4, found).await?;
        if let Some(reason) = data.hold {
            let note = data.why.clone();
            return self
                .add(job, to, 20, Body::Held { reason, note })
                .await
                .map(|_| ());
        }
        let locks = self.isolate(row, job, machine, to).await?;
        let mut plate = self.plate(&data.machine)?;
        if let Some(bin) = &data.fit {
            plate = self.fit(data, row, job, machine, to, (bin, &plate)).await?;
        }
        for what in &data.done {
            self.add(job, to, 15, Body::WorkDone { what: what.clone() })
                .await?;
        }
        let clear = Body::ReadyToLift {
            tools_clear: true,
            guards_on: true,
            people_clear: to.name.clone(),
            people_told: row.told().to_owned(),
        };
        self.add(job, to, 12, clear).await?;
        for lock in locks {
            self.add(job, to, 1, Body::LockOff { lock }).await?;
        }
        let energised = Body::Energised {
            machine_id: machine,
            note: String::new(),
        };
        self.add(job, to, 2, energised).await?;
        if data.until == "test_owed" {
            let due_on = self.app.zone().date(self.app.clock.now() + 5 * DAY);
            let why = data.why.clone();
            return self
                .add(job, to, 6, Body::TestOwed { due_on, why })
                .await
                .map(|_| ());
        }
        let proof = self.proof(row, machine, to, plate)?;
        self.add(job, to, 22, proof).await?;
        let back = Body::BackInService {
            guards_on: true,
            people_told: row.told().to_owned(),
            accepted_by: data.reporter.replace("plan", "Porter"),
        };
        self.add(job, to, 5, back).await?;
        if let Some([component, mode, mechanism, cause]) = data.cause.clone() {
            let evidence = data.evidence.clone();
            let body = Body::Cause {
                component,
                mode,
                mechanism,
                cause,
                evidence,
            };
            self.add(job, to, 8, body).await?;
        }
        Ok(())
    }

    /// Locks on every source, then the dead test; answers with the lock entries.
    async fn isolate(
        &mut self,
        row: &MachineData,
        job: JobId,
        machine: MachineId,
        to: &Person,
    ) -> Result<Vec<String>, String> {
        let who = row.told().to_owned();
        self.add(job, to, 6, Body::PeopleTold { who }).await?;
        let mut locks = Vec::new();
        let made = self.made;
        for key in &row.sources {
            let source = made
                .shop
                .sources
                .iter()
                .find(|s| s.key == *key)
                .ok_or("no source")?;
            self.locks += 1;
            let body = Body::LockOn {
                machine_id: machine,
                source_id: *made.sources.get(key).ok_or("no source row")?,
                lock_number: format!("{}{:02}", &to.name[..1], 1 + self.locks % 12),
                label_read: source.label().to_owned(),
                seen_off: true,
                relieved: source.relieved_how.clone(),
            };
            locks.push(self.add(job, to, 3, body).await?);
        }
        let electrical = row
            .sources
            .iter()
            .filter_map(|key| made.shop.sources.iter().find(|s| s.key == *key))
            .find(|s| s.dead_test != "none")
            .ok_or("no electrical source")?;
        let body = super::tests_taken::dead(&electrical.dead_test, machine, self.app);
        self.add(job, to, 9, body).await?;
        Ok(locks)
    }

    fn plate(&self, key: &str) -> Result<Plate, String> {
        self.made
            .specs
            .get(key)
            .ok_or(format!("no motor {key:?}"))?
            .plate()
    }

    async fn fit(
        &mut self,
        data: &JobData,
        row: &MachineData,
        job: JobId,
        machine: MachineId,
        to: &Person,
        (bin, old): (&str, &Plate),
    ) -> Result<Plate, String> {
        let made = self.made;
        let new = self.plate(bin)?;
        let motor_id = *made.motors.get(bin).ok_or("no such motor")?;
        let need = Need {
            old,
            installation: &row.facts,
        };
        let working = calc::fit::explain(&need, &new);
        let chosen = Body::MotorChosen {
            motor_id,
            motor_name: made.specs[bin].name.clone(),
            verdict: working.verdict().unwrap_or(Verdict::NotKnownYet),
            changes: calc::fit::changes(&need, &new),
            working,
        };
        self.add(job, to, 15, chosen).await?;
        let circuit = made
            .shop
            .circuits
            .iter()
            .find(|c| format!("{}/{}", c.panel, c.number) == row.circuit)
            .ok_or("no circuit")?;
        let rule_set = self.app.shop().ok_or("no shop")?.rule_set;
        let working = calc::circuit::check(rule_set, &new, &row.facts, &circuit.facts);
        let checked = Body::CircuitChecked {
            motor_id,
            rule_set: rule_set.words().to_owned(),
            verdict: working.verdict().unwrap_or(Verdict::NotKnownYet),
            working,
        };
        self.add(job, to, 3, checked).await?;
        let work_done = format!("{} fitted, wheel back at its mark", made.specs[bin].name);
        let fitted = Body::MotorFitted {
            machine_id: machine,
            motor_id,
            work_done,
        };
        self.add(job, to, 40, fitted)
            .await
            .map_err(|e| format!("{} {e}", data.machine))?;
        Ok(new)
    }

    fn proof(
        &self,
        row: &MachineData,
        machine: MachineId,
        to: &Person,
        plate: Plate,
    ) -> Result<Body, String> {
        let on = self.app.today();
        let input = super::tests_taken::run(&row.facts, plate, on)
            .ok_or("the motor's plate gives no amps for the run test")?;
        let working = calc::proof::judge(&input);
        let verdict = working.verdict().unwrap_or(Verdict::NotKnownYet);
        if !matches!(verdict, Verdict::Within | Verdict::WithinNote) {
            return Err(format!("the run test is {}: {working:?}", verdict.words()));
        }
        let live = LiveTest {
            qualified_person: to.id,
            instrument: "Clamp meter CM-2".to_owned(),
            precautions: "Gloves, face shield, one hand at the meter".to_owned(),
        };
        let readings: Vec<Reading> = super::tests_taken::readings(&input);
        Ok(Body::Proof {
            machine_id: machine,
            readings,
            input,
            live,
            verdict,
            working,
        })
    }
}
