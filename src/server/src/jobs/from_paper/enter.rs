//! The parts of the paper, written one after the other in one transaction with the mark that they came
//! from paper.

use super::Head;
use super::slots::{self, Slot};
use crate::error::AppError;
use crate::form::{FieldErrors, Fields};
use crate::jobs::JobId;
use crate::jobs::body::Body;
use crate::jobs::detail::Detail;
use crate::jobs::record::{self, NewEntry, Outcome};
use crate::jobs::step_page::renamed;
use crate::people::Person;
use crate::state::AppState;

/// What became of the parts.
#[derive(Default)]
pub struct Done {
    /// Name and prefix of what was taken.
    pub taken: Vec<(String, String)>,
    /// Name and reason of what was not.
    pub left: Vec<(String, String)>,
    pub errors: FieldErrors,
}

impl Done {
    fn refuse(&mut self, slot: &Slot, errors: &FieldErrors) {
        let reasons: Vec<&str> = errors.all().map(|(_, message)| message).collect();
        self.left.push((slot.name.clone(), reasons.join("; ")));
        let errors = renamed(errors, |field| format!("{}{field}", slot.prefix));
        for (field, message) in errors.all() {
            self.errors.add(field, message);
        }
    }

    /// What stays on the page: the head and what was refused.
    pub fn without_taken(&self, mut fields: Fields) -> Fields {
        let taken = |name: &str| {
            self.taken
                .iter()
                .any(|(_, prefix)| name.starts_with(prefix))
        };
        fields.0.retain(|(name, _)| !taken(name));
        fields
    }
}

/// Why a part is not typed in for another person.
fn owners_only(head: &Head, typer: &Person, body: &Body) -> Option<FieldErrors> {
    let energy = matches!(body, Body::LockOff { .. } | Body::Energised { .. });
    (energy && head.writer.id != typer.id).then(|| {
        FieldErrors::of(
            "form",
            format!(
                "Locks come off and power comes on by the person's own hand: {} types this in",
                head.writer.name
            ),
        )
    })
}

pub async fn enter(
    app: &AppState,
    typer: &Person,
    job: JobId,
    head: &Head,
    base: &str,
    slots: Vec<Slot>,
) -> Result<Done, AppError> {
    let mut done = Done::default();
    let mut ids = Vec::new();
    let (mut added, mut motor_changed) = (false, false);
    let mut tx = app.db.begin_write().await?;
    for slot in slots {
        let body = match &slot.body {
            Ok(Body::Proof { .. }) if motor_changed => Err(FieldErrors::of(
                "form",
                "The motor has just changed, and with it the plate. Send this part once more",
            )),
            Ok(body) => owners_only(head, typer, body).map_or_else(|| Ok(body.clone()), Err),
            Err(errors) => Err(errors.clone()),
        };
        let body = match body {
            Ok(body) => body,
            Err(errors) => {
                done.refuse(&slot, &errors);
                continue;
            }
        };
        let fits = matches!(body, Body::MotorFitted { .. });
        let new = NewEntry {
            id: slot.id.clone(),
            body,
            corrects: None,
            device_at: Some(head.moment.now),
            seen: None,
        };
        match record::add_within(app, &mut tx, job, &head.writer, new).await? {
            Outcome::Refused(refusal) | Outcome::SetAside(_, refusal) => {
                done.refuse(&slot, &FieldErrors::of(refusal.field, refusal.message));
            }
            outcome => {
                motor_changed |= fits;
                added |= matches!(outcome, Outcome::Added(_));
                ids.push(slot.id.clone());
                done.taken.push((slot.name, slot.prefix));
            }
        }
    }
    if added {
        mark(app, &mut tx, (job, typer), head, base, ids).await?;
        tx.commit().await?;
    }
    Ok(done)
}

/// The mark: who wrote, who typed, on which sheet, and which entries they are.
async fn mark(
    app: &AppState,
    tx: &mut crate::db::Tx,
    (job, typer): (JobId, &Person),
    head: &Head,
    base: &str,
    entries: Vec<String>,
) -> Result<(), AppError> {
    let new = NewEntry {
        id: slots::id(base, &entries.join(" ")),
        body: Body::Detail(Detail::FromPaper {
            writer: head.writer.id,
            writer_name: head.writer.name.clone(),
            written_on: head.written_on,
            sheet: head.code.to_string(),
            changed: head.changed.clone(),
            entries,
        }),
        corrects: None,
        device_at: None,
        seen: None,
    };
    match record::add_within(app, tx, job, typer, new).await? {
        Outcome::Added(_) | Outcome::Already(_) => Ok(()),
        // Nothing of the paper stays without its mark.
        Outcome::Refused(refusal) | Outcome::SetAside(_, refusal) => {
            Err(AppError::BadRequest(refusal.message))
        }
    }
}
