//! What the demo's calendars show, and when its shift ends.

use crate::db::Tx;
use crate::telling::calendar::{Shown, queries};
use crate::telling::mail;

pub async fn fill(tx: &mut Tx) -> sqlx::Result<()> {
    let uid = uuid::Uuid::now_v7().to_string();
    queries::begin_rules(tx, &uid).await?;
    let shown = Shown {
        shows_tag: true,
        shows_work: true,
        version: 1,
        ..Shown::default()
    };
    queries::set_shown(tx, &shown).await?;
    mail::queries::set_shift_end(tx, Some(15 * 60 + 30)).await
}
