//! `brasstag person …`: the way in when nobody can sign in any more. Answers in plain sentences.

use super::edit::sign_in_name;
use super::queries::NewPerson;
use super::{PersonId, Role, factor, links, other, password, queries};
use crate::audit::audit;
use crate::clock::Clock;
use crate::config::PersonAct;
use crate::db::{self, Db};
use crate::jobs;
use serde_json::json;

/// Does what the command line asked; `typed` is what standard input held.
///
/// # Errors
/// One sentence that says why nothing was changed.
pub async fn run(
    db: &Db,
    clock: &Clock,
    act: &PersonAct,
    typed: &str,
    cheap: bool,
) -> Result<String, String> {
    match act {
        PersonAct::Add {
            sign_in_name,
            name,
            role,
        } => {
            let hash = hash(typed, cheap).await?;
            add(db, clock, sign_in_name, name, role, hash).await
        }
        PersonAct::Role { sign_in_name, role } => change_role(db, clock, sign_in_name, role).await,
        PersonAct::NewPassword { sign_in_name } => {
            let hash = hash(typed, cheap).await?;
            new_password(db, clock, sign_in_name, &hash).await
        }
        PersonAct::Close { sign_in_name } => close(db, clock, sign_in_name).await,
        PersonAct::NewLink { sign_in_name } => new_link(db, clock, sign_in_name).await,
        PersonAct::ResetSecondFactor { sign_in_name } => {
            reset_second_factor(db, clock, sign_in_name).await
        }
    }
}

/// Whether the command reads a password from standard input.
pub fn wants_password(act: &PersonAct) -> bool {
    matches!(act, PersonAct::Add { .. } | PersonAct::NewPassword { .. })
}

async fn hash(typed: &str, cheap: bool) -> Result<String, String> {
    let new = typed.lines().next().unwrap_or("").trim_end_matches('\r');
    password::check_new(new, password::Around::default())
        .map_err(|e| format!("This password will not do. {e}."))?;
    password::hash(new, cheap).await
}

fn failed(cause: sqlx::Error) -> String {
    format!("The database refused: {cause}")
}

fn role_named(word: &str) -> Result<Role, String> {
    let all: Vec<&str> = Role::ALL.iter().map(|role| role.word()).collect();
    Role::named(word).ok_or_else(|| format!("{word:?} is no role. Roles: {}.", all.join(", ")))
}

async fn find(db: &Db, name: &str) -> Result<PersonId, String> {
    let found = queries::find_by_sign_in(db, name).await.map_err(failed)?;
    found.ok_or_else(|| format!("Nobody signs in as {name:?}."))
}

async fn add(
    db: &Db,
    clock: &Clock,
    name_typed: &str,
    name: &str,
    role: &str,
    password_hash: String,
) -> Result<String, String> {
    let sign_in_name = sign_in_name(name_typed)?;
    let role = role_named(role)?;
    let new = NewPerson {
        sign_in_name: sign_in_name.clone(),
        name: name.trim().to_owned(),
        role,
        password_hash,
        authorised_on: None,
        qualified_on: None,
        hours_a_day: None,
    };
    let now = clock.now();
    let mut tx = db.begin_write().await.map_err(failed)?;
    let id = match queries::insert(&mut tx, &new, now).await {
        Err(e) if db::is_duplicate(&e) => {
            return Err(format!("Somebody signs in as {sign_in_name:?} already."));
        }
        inserted => inserted.map_err(failed)?,
    };
    let detail = json!({ "sign_in_name": sign_in_name, "role": role.word() });
    audit(&mut tx, now, None, ("people", id.0), "add", &detail)
        .await
        .map_err(failed)?;
    tx.commit().await.map_err(failed)?;
    Ok(format!(
        "{} signs in as {sign_in_name}, {}.",
        new.name,
        role.word()
    ))
}

async fn change_role(db: &Db, clock: &Clock, name: &str, role: &str) -> Result<String, String> {
    let role = role_named(role)?;
    let id = find(db, name).await?;
    let mut tx = db.begin_write().await.map_err(failed)?;
    queries::set_role(&mut tx, id, role).await.map_err(failed)?;
    factor::queries::demand(&mut tx).await.map_err(failed)?;
    let detail = json!({ "role": role.word() });
    let thing = ("people", id.0);
    audit(&mut tx, clock.now(), None, thing, "change", &detail)
        .await
        .map_err(failed)?;
    tx.commit().await.map_err(failed)?;
    Ok(format!("{name} is {} now.", role.word()))
}

async fn new_password(db: &Db, clock: &Clock, name: &str, hash: &str) -> Result<String, String> {
    let id = find(db, name).await?;
    let mut tx = db.begin_write().await.map_err(failed)?;
    queries::set_password(&mut tx, id, hash, clock.now())
        .await
        .map_err(failed)?;
    let thing = ("people", id.0);
    audit(
        &mut tx,
        clock.now(),
        None,
        thing,
        "new password",
        &json!({}),
    )
    .await
    .map_err(failed)?;
    tx.commit().await.map_err(failed)?;
    Ok(format!(
        "{name} has a new password, and every session has ended."
    ))
}

fn link_words(name: &str, link: &str) -> String {
    format!(
        "{name} sets a new password, once and within three days, at the shop's address followed by \
         {link}"
    )
}

async fn new_link(db: &Db, clock: &Clock, name: &str) -> Result<String, String> {
    let id = find(db, name).await?;
    let now = clock.now();
    let mut tx = db.begin_write().await.map_err(failed)?;
    let link = links::make(&mut tx, id, None, now).await.map_err(failed)?;
    let thing = ("people", id.0);
    audit(&mut tx, now, None, thing, "password link", &json!({}))
        .await
        .map_err(failed)?;
    tx.commit().await.map_err(failed)?;
    Ok(link_words(name, &link))
}

async fn reset_second_factor(db: &Db, clock: &Clock, name: &str) -> Result<String, String> {
    let id = find(db, name).await?;
    let mut tx = db.begin_write().await.map_err(failed)?;
    let link = other::reset_factor(&mut tx, id, None, clock.now())
        .await
        .map_err(failed)?;
    tx.commit().await.map_err(failed)?;
    let link = link_words(name, &link);
    Ok(format!(
        "{name} is asked for no code any more, and the old password opens nothing. {link}"
    ))
}

async fn close(db: &Db, clock: &Clock, name: &str) -> Result<String, String> {
    let id = find(db, name).await?;
    let now = clock.now();
    let mut tx = db.begin_write().await.map_err(failed)?;
    queries::close(&mut tx, id, now).await.map_err(failed)?;
    // Looked at after the person's row is held: only the owner takes a lock off.
    if jobs::queries::standing_of_person(&mut tx, id)
        .await
        .map_err(failed)?
        > 0
    {
        return Err(format!(
            "A lock of {name} still stands. It comes off first, by its owner."
        ));
    }
    audit(&mut tx, now, None, ("people", id.0), "close", &json!({}))
        .await
        .map_err(failed)?;
    tx.commit().await.map_err(failed)?;
    Ok(format!(
        "{name} can no longer sign in. What {name} did stays."
    ))
}
