//! What the job's page shows of the work in detail: steps, parts, repeats, follow-ups, fixes.

use super::repeats::Repeats;
use super::step_list::{self, Tally};
use super::{parts, review};
use crate::clock::date_words;
use crate::error::AppError;
use crate::jobs::queries::{self, Fix, FollowUp};
use crate::jobs::steps::JobView;
use crate::jobs::{JobId, codes};
use crate::state::AppState;

pub struct Beside {
    pub tally: Tally,
    /// The parts as found on this job, in words; those left bad apart.
    pub parts: Vec<String>,
    pub left: Vec<String>,
    pub repeats: Repeats,
    /// Nothing was found before, and it is back: what to do about it.
    pub no_fault: String,
    pub review_owed: bool,
    pub follow_ups: Vec<FollowUp>,
    pub follows: Option<FollowUp>,
    pub fixes: Vec<FixShown>,
    /// What would prevent the recorded cause.
    pub suggested: String,
}

/// A temporary fix with its day in words.
pub struct FixShown {
    pub fix: Fix,
    pub until: String,
    pub overdue: bool,
}

impl FixShown {
    pub fn of(fix: Fix, today: time::Date) -> FixShown {
        FixShown {
            until: date_words(fix.until_on),
            overdue: fix.overdue(today),
            fix,
        }
    }
}

/// The jobs of a list as links want them.
pub fn links(jobs: &[JobId]) -> Vec<i64> {
    jobs.iter().map(|job| job.0).collect()
}

impl Beside {
    pub async fn load(app: &AppState, view: &JobView) -> Result<Beside, AppError> {
        let job = &view.job;
        let rows = match job.machine_id {
            Some(machine) => parts::newest(queries::parts_of_machine(&app.db, machine).await?),
            None => Vec::new(),
        };
        let (left, fine): (Vec<_>, Vec<_>) = rows
            .into_iter()
            .filter(|row| row.job_id == job.id)
            .partition(|row| row.found == "bad_and_left");
        let again = review::of_job(app, job).await?;
        let (made, of): (Vec<_>, Vec<_>) = queries::follow_ups(&app.db, job.id)
            .await?
            .into_iter()
            .partition(|f| f.job_id == job.id);
        let fixes = queries::open_fixes(&app.db).await?;
        Ok(Beside {
            tally: step_list::tally(app, job.id).await?,
            parts: fine.iter().map(queries::PartRow::words).collect(),
            left: left.iter().map(queries::PartRow::words).collect(),
            no_fault: review::no_fault(app, &again, job),
            repeats: again.repeats,
            review_owed: again.review_owed,
            follow_ups: made,
            follows: of.into_iter().next(),
            fixes: fixes
                .into_iter()
                .filter(|fix| {
                    fix.job_id == job.id
                        || (fix.machine_id.is_some() && fix.machine_id == job.machine_id)
                })
                .map(|fix| FixShown::of(fix, view.today))
                .collect(),
            suggested: if job.cause_at.is_some() {
                codes::suggested_action(&job.component, &job.mode, &job.mechanism, &job.cause)
                    .unwrap_or_default()
                    .to_owned()
            } else {
                String::new()
            },
        })
    }
}
