//! The demo's procedures, parts and temporary fixes, entered as people would at the machine.

use super::history::{JobData, Walk};
use super::instruments;
use crate::clock::DAY;
use crate::instruments::used::Used;
use crate::jobs::JobId;
use crate::jobs::body::{Body, LiveTest, Reading};
use crate::jobs::detail::{Answer, Detail, PartFound};
use crate::machines::MachineId;
use crate::people::Person;
use crate::procedures::{self, Judged, Step, Takes, starter};
use serde::Deserialize;

/// What was worked by procedure on a job of `data/history.json`.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct DetailData {
    /// The procedure's name in the starter set.
    procedure: String,
    /// One a step: the reading or word, `done`, `n/a: why`, or blank for not looked at.
    answers: Vec<String>,
    /// Part, found, reason, note.
    parts: Vec<[String; 4]>,
    /// What was taken from the shelf: part and how many.
    took: Vec<(String, i64)>,
    /// What was rigged, and for how many days.
    temporary: Option<(String, i64)>,
    /// Finding and action of the review of its cause.
    pub(super) review: Option<[String; 2]>,
}

/// The steps before the locks, behind them, and after the run test.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum When {
    Before,
    Locked,
    After,
}

fn when(steps: &[Step], at: usize) -> When {
    let first = steps.iter().position(|step| step.locked);
    if steps[at].locked {
        When::Locked
    } else if first.is_some_and(|first| at < first) {
        When::Before
    } else {
        When::After
    }
}

impl Walk<'_> {
    /// The job takes its procedure, if it works by one.
    pub(super) async fn take(
        &mut self,
        data: &JobData,
        job: JobId,
        to: &Person,
    ) -> Result<(), String> {
        let name = &data.detail.procedure;
        if name.is_empty() {
            return Ok(());
        }
        let steps = starter::steps(name).ok_or("no such procedure")?;
        if steps.len() != data.detail.answers.len() {
            return Err(format!("{} steps, other answers", steps.len()));
        }
        let id = procedures::queries::named(self.tx, name)
            .await
            .map_err(|e| e.to_string())?;
        let body = Body::Detail(Detail::ProcedureTaken {
            procedure_id: id.ok_or("the procedure is not installed")?,
            revision: 1,
            name: name.clone(),
            steps,
        });
        self.add(job, to, 1, body).await.map(|_| ())
    }

    /// Answers the steps whose time it is.
    pub(super) async fn steps(
        &mut self,
        data: &JobData,
        job: JobId,
        to: &Person,
        now: When,
    ) -> Result<(), String> {
        let Some(steps) = starter::steps(&data.detail.procedure) else {
            return Ok(());
        };
        for (at, step) in steps.iter().enumerate() {
            if when(&steps, at) != now {
                continue;
            }
            let said = data.detail.answers.get(at).map_or("", String::as_str);
            let position = i64::try_from(at + 1).unwrap_or(0);
            let with = instruments::in_hand(self.made, "CM-2", self.app, self.made.now);
            let body = Body::Detail(answer(position, step, said, (now, to, with)));
            self.add(job, to, 2, body).await?;
        }
        Ok(())
    }

    /// The parts looked over behind the locks, and what was rigged.
    pub(super) async fn parts(
        &mut self,
        data: &JobData,
        job: JobId,
        machine: MachineId,
        to: &Person,
    ) -> Result<(), String> {
        self.take_parts(&data.detail.took, job, to).await?;
        let part = |[part, found, reason, note]: &[String; 4]| PartFound {
            part: part.clone(),
            found: found.clone(),
            reason: reason.clone(),
            note: note.clone(),
        };
        let parts: Vec<PartFound> = data.detail.parts.iter().map(part).collect();
        if !parts.is_empty() {
            let body = Body::Detail(Detail::PartsInspected {
                machine_id: machine,
                parts,
                before_power: false,
            });
            self.add(job, to, 5, body).await?;
        }
        if let Some((what, days)) = data.detail.temporary.clone() {
            let until = self.app.zone().date(self.app.clock.now() + days * DAY);
            let body = Body::Detail(Detail::Temporary { what, until });
            self.add(job, to, 2, body).await?;
        }
        Ok(())
    }
}

fn answer(
    position: i64,
    step: &Step,
    said: &str,
    (now, to, with): (When, &Person, Used),
) -> Detail {
    let reason = said.strip_prefix("n/a: ");
    let answer = match (reason, said, step.takes) {
        (Some(_), ..) => Answer::DoesNotApply,
        (None, "", _) => Answer::NotLookedAt,
        (None, _, Takes::Tick) => Answer::Done,
        (None, _, Takes::Reading) => Answer::Reading,
        (None, _, Takes::Choice) => Answer::Choice,
    };
    let reading = (answer == Answer::Reading).then(|| Reading {
        point: step.text.clone(),
        quantity: step.quantity.clone(),
        as_shown: said.to_owned(),
        value: step.figure(said),
    });
    let live = (step.live() && reading.is_some()).then(|| {
        let precautions = "Gloves, face shield, one hand at the meter".to_owned();
        LiveTest::new(to.id, precautions, with)
    });
    Detail::StepDone {
        position,
        answer,
        outside: reading.is_some()
            && matches!(step.judge(said), Judged::Outside | Judged::NotJudged),
        choice: if answer == Answer::Choice {
            said.to_owned()
        } else {
            String::new()
        },
        reading,
        as_found: now == When::Before && answer.carried_out(),
        why: reason.unwrap_or_default().to_owned(),
        same_read_again: false,
        before_power: false,
        live,
        used: None,
    }
}
