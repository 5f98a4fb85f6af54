//! Permits of a job.

use crate::clock::Millis;
use crate::db::Tx;
use crate::jobs::JobId;
use crate::jobs::control::body::Control;
use crate::on_tx;

/// The permit of a `PermitOpened` entry.
pub async fn insert_permit(
    tx: &mut Tx,
    entry_id: &str,
    job: JobId,
    control: &Control,
) -> sqlx::Result<()> {
    const SQL: &str = "INSERT INTO permits (entry_id, job_id, permit_kind, number, issued_by,
            issued_to, valid_from, valid_to, conditions)
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    let Control::PermitOpened {
        permit_kind,
        number,
        issued_by,
        issued_to,
        valid_from,
        valid_to,
        conditions,
    } = control
    else {
        return Ok(());
    };
    on_tx!(tx, conn => sqlx::query(SQL)
        .bind(entry_id)
        .bind(job)
        .bind(permit_kind)
        .bind(number)
        .bind(issued_by)
        .bind(issued_to)
        .bind(*valid_from)
        .bind(*valid_to)
        .bind(conditions)
        .execute(conn)
        .await
        .map(|_| ()))
}

pub async fn close_permit(tx: &mut Tx, of: &str, by: &str, at: Millis) -> sqlx::Result<()> {
    const SQL: &str = "UPDATE permits SET closed_entry_id = $2, closed_at = $3
        WHERE entry_id = $1 AND closed_at IS NULL";
    on_tx!(tx, conn => sqlx::query(SQL).bind(of).bind(by).bind(at).execute(conn).await
        .map(|_| ()))
}
