//! Two people who said the same of a job without seeing each other's words: both are kept, the later
//! is not acted on, and the job's page shows it.

use super::JobId;
use super::body::Body;
use super::control::body::Control;
use super::gate::Refusal;
use super::queries;
use crate::db::Tx;
use crate::people::PersonId;

/// Entries of which the job holds one answer, so that a later one takes the earlier one's place. All
/// others stand side by side.
fn one_answer(body: &Body) -> bool {
    matches!(
        body,
        Body::Planned { .. }
            | Body::HandedOut { .. }
            | Body::PrioritySet { .. }
            | Body::AsFound { .. }
            | Body::Cause { .. }
            | Body::Control(Control::PermitsNeeded { .. })
    )
}

/// Why it is set aside: somebody else has answered the same since this person looked.
pub async fn since(
    tx: &mut Tx,
    job: JobId,
    body: &Body,
    seen: Option<i64>,
    by: PersonId,
) -> sqlx::Result<Option<Refusal>> {
    let (Some(seen), true) = (seen, one_answer(body)) else {
        return Ok(None);
    };
    let other = queries::same_by_another(tx, job, seen, body.kind(), by).await?;
    Ok(other.map(|(number, name)| Refusal {
        field: "form",
        message: format!(
            "{name} had written the same down in the meantime, entry {number}: compare the two, and \
             record once more what holds"
        ),
    }))
}
