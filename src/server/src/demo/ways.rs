//! The demo's other ways of working: a place alone, small work, an outside firm, a permit, a handover,
//! a follow-up.

use super::history::entry_id;
use super::queries;
use super::registers::Made;
use crate::clock::{Clock, DAY, HOUR, MINUTE, Millis};
use crate::db::Tx;
use crate::jobs::JobId;
use crate::jobs::body::{Body, HoldReason};
use crate::jobs::control::body::Control;
use crate::jobs::detail::Detail;
use crate::jobs::priority::Urgency;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::stores::Stores;
use crate::jobs::ways::{Touches, Ways};
use crate::machines::MachineId;
use crate::people::{self, Person};
use crate::state::AppState;
use time::Duration;

pub(super) fn sql(e: sqlx::Error) -> String {
    format!("The demo's other jobs cannot be written: {e}")
}

pub(super) struct Story<'a> {
    pub(super) app: &'a AppState,
    pub(super) tx: &'a mut Tx,
    made: &'a Made,
    staff: Vec<Person>,
    count: u64,
    pub(super) now: Millis,
}

/// Everything of this file, after the history and the shelf.
pub(super) async fn fill(
    app: &AppState,
    tx: &mut Tx,
    made: &Made,
    now: Millis,
) -> Result<(), String> {
    let staff = people::queries::list(&app.db).await.map_err(sql)?;
    let mut story = Story {
        app,
        tx,
        made,
        staff,
        count: 910_000,
        now,
    };
    story.warranties().await?;
    story.documents().await?;
    story.whistle().await?;
    story.leak().await?;
    story.compressor().await?;
    story.roof().await?;
    story.threads().await?;
    story.waiting().await?;
    story.buying().await?;
    story.alternate().await?;
    story.at(now);
    Ok(())
}

impl Story<'_> {
    fn at(&self, at: Millis) {
        if let Clock::Fixed(clock) = &self.app.clock {
            clock.store(at, std::sync::atomic::Ordering::Relaxed);
        }
    }

    pub(super) fn person(&self, name: &str) -> Result<Person, String> {
        let found = self.staff.iter().find(|p| p.sign_in_name == name);
        found.cloned().ok_or(format!("no person {name:?}"))
    }

    pub(super) fn machine(&self, tag: &str) -> Result<MachineId, String> {
        let found = self.made.machines.get(tag).copied();
        found.ok_or(format!("no machine {tag:?}"))
    }

    fn entry(&mut self, body: Body) -> NewEntry {
        self.count += 1;
        NewEntry {
            id: entry_id(self.app.clock.now(), self.count),
            body,
            corrects: None,
            device_at: None,
            seen: None,
        }
    }

    /// Some minutes after the last one; a refusal is a mistake in the demo.
    async fn add(&mut self, job: JobId, by: &str, body: Body) -> Result<String, String> {
        self.app.clock.advance(7 * MINUTE);
        let by = self.person(by)?;
        let kind = body.kind();
        let new = self.entry(body);
        let id = new.id.clone();
        match record::add_within(self.app, self.tx, job, &by, new).await {
            Ok(Outcome::Added(_)) => Ok(id),
            other => Err(format!("{kind} of job {}: {other:?}", job.0)),
        }
    }

    /// A report so many days ago, about nine in the morning.
    async fn report(
        &mut self,
        days: i64,
        machine: Option<&str>,
        place: Option<&str>,
        (words, reporter): (&str, &str),
    ) -> Result<JobId, String> {
        let morning = self.now - self.now % DAY + 15 * HOUR;
        let at = (morning - days * DAY).min(self.now - days.max(1) * 5 * HOUR);
        self.at(at);
        let machine_id = machine.map(|tag| self.machine(tag)).transpose()?;
        let place = place.map(|key| self.made.places.get(key).copied().ok_or("no such place"));
        let new = self.entry(Body::Reported {
            place_id: place.transpose()?,
            machine_id,
            due_item_id: None,
            words: words.to_owned(),
            reporter: reporter.to_owned(),
            contact: String::new(),
            urgency: Urgency::default(),
        });
        record::report_within(self.tx, None, &new, at)
            .await
            .map_err(|e| format!("{e:?}"))
    }

    async fn plan(&mut self, job: JobId, tag: &str, scope: &str, to: &str) -> Result<(), String> {
        let planned = Body::Planned {
            machine_id: self.machine(tag)?,
            scope: scope.to_owned(),
            minutes: Some(45),
            steps: String::new(),
        };
        self.add(job, "maren", planned).await?;
        self.hand_out(job, to).await
    }

    async fn hand_out(&mut self, job: JobId, to: &str) -> Result<(), String> {
        let on = self.app.today();
        let to = self.person(to)?.id;
        let body = Body::HandedOut {
            to,
            on,
            partner: None,
        };
        self.add(job, "maren", body).await.map(|_| ())
    }

    /// Small work by the short way: nothing opened.
    async fn whistle(&mut self) -> Result<(), String> {
        let words = ("The grille in studio 1 whistles", "Studio 1");
        let job = self.report(41, Some("S-01"), None, words).await?;
        let touches = Ways::TouchesSet {
            touches: Touches::Nothing,
            why: "A look at the grille alone".to_owned(),
        };
        self.plan(job, "S-01", "Look why the grille whistles", "ilse")
            .await?;
        self.add(job, "maren", Body::Ways(touches)).await?;
        let confirmed = Body::UnitConfirmed {
            tag_read: "S-01".to_owned(),
            method: "read the tag".to_owned(),
            roof: None,
        };
        self.add(job, "ilse", confirmed).await?;
        let done = Ways::Finished {
            done: "Blades of the grille were bent to one side; set straight".to_owned(),
            checked: "No whistle with the fan at full speed".to_owned(),
            checked_by: "Ilse Farrow".to_owned(),
            found: "Blades of the grille bent to one side".to_owned(),
        };
        self.add(job, "ilse", Body::Ways(done)).await?;
        self.sign_off(job).await
    }

    async fn sign_off(&mut self, job: JobId) -> Result<(), String> {
        let note = String::new();
        let body = Body::SignedOff { note };
        self.add(job, "maren", body).await.map(|_| ())
    }

    /// A place alone.
    async fn leak(&mut self) -> Result<(), String> {
        let words = ("Water on the floor under the sink", "Café, Nell");
        let job = self.report(6, None, Some("cafe"), words).await?;
        let planned = Ways::PlacePlanned {
            place_id: *self.made.places.get("cafe").ok_or("no café")?,
            scope: "Find the leak under the sink and stop it".to_owned(),
            minutes: Some(30),
        };
        self.add(job, "maren", Body::Ways(planned)).await?;
        self.hand_out(job, "tobin").await?;
        let done = Ways::Finished {
            done: "Nut of the trap tightened, washer changed".to_owned(),
            checked: "Sink filled and let go twice; dry".to_owned(),
            checked_by: "Tobin Rusk".to_owned(),
            found: "The cupboard floor is soft; somebody should look at it".to_owned(),
        };
        self.add(job, "tobin", Body::Ways(done)).await.map(|_| ())
    }

    /// With an outside firm, under warranty.
    async fn compressor(&mut self) -> Result<(), String> {
        let words = ("Compressor starts every two minutes", "Glaze room");
        let job = self.report(5, Some("A-01"), None, words).await?;
        self.plan(job, "A-01", "Find why it cycles", "tobin")
            .await?;
        let id = queries::warranty_of(self.tx, self.machine("A-01")?)
            .await
            .map_err(sql)?;
        let answer = Stores::WarrantyAnswered {
            warranty_id: id.ok_or("no warranty")?,
            covers: "Pump end and pressure switch, by Weir Street Air".to_owned(),
            answer: "claim".to_owned(),
            why: "Called Friday; they come with a switch".to_owned(),
        };
        self.add(job, "ilse", Body::Stores(answer)).await?;
        let removed = Stores::UnitRemoved {
            what: "Pressure switch, old".to_owned(),
            goes: "warranty".to_owned(),
            sent_to: "Weir Street Air".to_owned(),
            back_by: Some(self.app.today() + Duration::days(14)),
        };
        self.add(job, "ilse", Body::Stores(removed)).await?;
        let firm = Ways::OutsideFirm {
            firm: "Weir Street Air".to_owned(),
            contact: "Their yard, mornings".to_owned(),
            our_procedure: "Isolation sheet of A-01 handed over on paper".to_owned(),
            their_procedure: "Their lock card, read and kept with the job".to_owned(),
            left_for_us: "Belt guard back on, receiver drained".to_owned(),
        };
        self.add(job, "ilse", Body::Ways(firm)).await?;
        let held = Body::Held {
            reason: HoldReason::OutsideFirm,
            note: "They bring the switch".to_owned(),
        };
        self.add(job, "ilse", held).await.map(|_| ())
    }

    /// A permit for the roof, open now.
    async fn roof(&mut self) -> Result<(), String> {
        let Some(job) = self.open_job("R-01").await? else {
            return Ok(());
        };
        self.at(self.now - 40 * MINUTE);
        let kinds = vec!["roof".to_owned()];
        let needed = Control::PermitsNeeded { kinds };
        self.add(job, "maren", Body::Control(needed)).await?;
        let opened = Control::PermitOpened {
            permit_kind: "roof".to_owned(),
            number: "R-27".to_owned(),
            issued_by: "Maren Oake".to_owned(),
            issued_to: "Tobin Rusk".to_owned(),
            valid_from: self.now - HOUR,
            valid_to: self.now + 8 * HOUR,
            conditions: "Not above 25 mph wind; second person at the hatch".to_owned(),
        };
        self.add(job, "tobin", Body::Control(opened))
            .await
            .map(|_| ())
    }

    async fn open_job(&mut self, tag: &str) -> Result<Option<JobId>, String> {
        let jobs = queries::open_jobs(self.tx, tag).await.map_err(sql)?;
        Ok(jobs.first().copied())
    }

    /// The strapped guard is followed up.
    async fn threads(&mut self) -> Result<(), String> {
        let Some(of) = self.open_job("G-01").await? else {
            return Ok(());
        };
        let words = (
            "Drill new threads for the two screws of the belt guard",
            "Ilse Farrow",
        );
        let job = self.report(3, Some("G-01"), None, words).await?;
        let from = "the belt guard".to_owned();
        let made = Detail::FollowUpMade { job, from };
        self.add(of, "ilse", Body::Detail(made)).await.map(|_| ())
    }

    /// The return fan's job waits: its hours are nobody's.
    async fn waiting(&mut self) -> Result<(), String> {
        let Some(job) = self.open_job("L-02").await? else {
            return Ok(());
        };
        self.at(self.now - HOUR);
        let spent = Body::TimeSpent {
            person: None,
            spent: "part".to_owned(),
            from: self.now - 5 * DAY,
            to: self.now - 2 * DAY,
            note: "Belt not in the county".to_owned(),
        };
        self.add(job, "tobin", spent).await.map(|_| ())
    }
}
