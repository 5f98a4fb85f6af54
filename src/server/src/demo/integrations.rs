//! Two programs with a token, which nobody has: the keeper makes a new one to try.

use crate::api::caller::{BEGINS, hash};
use crate::api::queries::{self, NewIntegration};
use crate::api::scopes::Scope;
use crate::clock::{DAY, HOUR};
use crate::db::Tx;
use crate::people::session::new_token;
use crate::people::{PersonId, Role};
use std::collections::HashMap;

pub async fn fill(tx: &mut Tx, people: &HashMap<String, PersonId>, now: i64) -> sqlx::Result<()> {
    let Some(keeper) = people.get("wren").copied() else {
        return Ok(());
    };
    let meters: &[Scope] = &[Scope::MachinesRead, Scope::MetersRead, Scope::MetersWrite];
    let board: &[Scope] = &[Scope::JobsRead, Scope::DueRead];
    for (name, role, scopes, days, ended) in [
        ("Run-hour counters", Role::Technician, meters, 90, false),
        ("Board in the hall", Role::Auditor, board, 300, true),
    ] {
        let token = format!("{BEGINS}{}", new_token());
        let new = NewIntegration {
            name,
            role,
            scopes,
            a_minute: 600,
            token_hash: &hash(&token),
            token_end: &token[token.len() - 4..],
            expires_at: now + (365 - days) * DAY,
        };
        let id = queries::insert(tx, &new, keeper, now - days * DAY).await?;
        queries::used(tx, id, now - 3 * HOUR - days * DAY / 2).await?;
        if ended {
            queries::revoke(tx, id, keeper, now - 60 * DAY).await?;
        }
    }
    Ok(())
}
