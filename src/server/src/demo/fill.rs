//! Fills an empty database with the demo shop.

use super::{PASSWORD, SIGN_INS, history, plans, queries, registers, stores};
use crate::audit::audit;
use crate::clock::{Clock, DAY};
use crate::config::Config;
use crate::db::Db;
use crate::people::queries::NewPerson;
use crate::people::{PersonId, Role, password};
use crate::shop::{self, Shop, Units};
use crate::state::AppState;
use calc::circuit::RuleSet;
use std::collections::HashMap;

pub const NAME: &str = "Holmgate Pottery and Arts House";

fn holmgate() -> Shop {
    Shop {
        name: NAME.to_owned(),
        time_zone: "America/Chicago".to_owned(),
        rule_set: RuleSet::Nec2023,
        rule_note: "No local amendments for motor circuits.".to_owned(),
        units: Units::Us,
        currency: "USD".to_owned(),
    }
}

/// Writes the whole demo shop into an empty database, its history ending at `clock`'s now.
///
/// The shop's own row is written last, in the same transaction as the history: a database without
/// it was left half way and is to be cleared and filled again.
///
/// # Errors
/// One sentence: what of the demo's data does not read, or what the database said.
pub async fn fill(app_db: &Db, clock: &Clock, cheap_passwords: bool) -> Result<(), String> {
    let now = clock.now();
    let shop = holmgate();
    let sql = |e: sqlx::Error| format!("The demo cannot be written: {e}");
    let people = people(app_db, now, cheap_passwords).await?;
    let supervisor = people
        .get("maren")
        .copied()
        .ok_or("the demo has no supervisor")?;
    // A clock of its own walks through last year.
    let past = Clock::fixed(now);
    let config = Config {
        folder: std::path::PathBuf::new(), // no photo is taken while filling
        base_path: String::new(),
        public_url: "http://127.0.0.1".to_owned(),
        cheap_passwords,
        proxy: None,
        demo: true,
    };
    let app = AppState::new(config, app_db.clone(), past, Some(shop.clone()), "");
    let zone = app.zone();
    let jobs = history::data()?;
    let mut tx = app_db.begin_write().await.map_err(sql)?;
    let made = registers::fill(&mut tx, now, &zone, supervisor).await?;
    stores::open(&mut tx, &made, &people, now).await?;
    let by_job = |key: &str, which: usize| jobs.iter().any(|job| job.is_of(key, which));
    crate::procedures::starter::install(&mut tx, now - 400 * DAY)
        .await
        .map_err(sql)?;
    let items = plans::fill(&mut tx, &made, &people, now, &zone, by_job).await?;
    history::fill(&app, &mut tx, &made, &items, &jobs, now).await?;
    stores::of_jobs(&app, &mut tx, now).await?;
    stores::bought(&app, &mut tx, now).await?;
    super::ways::fill(&app, &mut tx, &made, now).await?;
    super::wide_plans::fill(&mut tx, now, &zone)
        .await
        .map_err(sql)?;
    crate::preventive::make_ahead_in(&mut tx, zone.date(now))
        .await
        .map_err(|e| e.to_string())?;
    super::rounds::fill(&mut tx, &made, &people, now, &zone)
        .await
        .map_err(sql)?;
    super::integrations::fill(&mut tx, &people, now)
        .await
        .map_err(sql)?;
    super::telling::fill(&mut tx).await.map_err(sql)?;
    shop::queries::insert(&mut tx, &shop, now - 400 * DAY)
        .await
        .map_err(sql)?;
    tx.commit().await.map_err(sql)
}

/// Takes out what is there, to start over.
///
/// # Errors
/// What the database said.
pub async fn clear(db: &Db) -> Result<(), String> {
    let sql = |e: sqlx::Error| format!("The demo cannot be cleared: {e}");
    let mut tx = db.begin_write().await.map_err(sql)?;
    queries::clear(&mut tx).await.map_err(sql)?;
    tx.commit().await.map_err(sql)
}

/// The people, in a transaction of their own: the gate looks them up from outside the one that
/// writes the history.
async fn people(db: &Db, now: i64, cheap: bool) -> Result<HashMap<String, PersonId>, String> {
    let zone = crate::clock::Zone::utc();
    let hash = password::hash(PASSWORD, cheap).await?;
    let sql = |e: sqlx::Error| format!("The demo's people cannot be written: {e}");
    let mut tx = db.begin_write().await.map_err(sql)?;
    let mut people = HashMap::new();
    for (at, sign_in) in SIGN_INS.iter().enumerate() {
        let role = Role::named(sign_in.role).ok_or(format!("no role {:?}", sign_in.role))?;
        let works = matches!(role, Role::Technician | Role::Supervisor);
        let days = 500 + 37 * i64::try_from(at).unwrap_or(0);
        let person = NewPerson {
            sign_in_name: sign_in.name.to_owned(),
            name: sign_in.person.to_owned(),
            role,
            password_hash: hash.clone(),
            authorised_on: works.then(|| zone.date(now - days * DAY)),
            qualified_on: works.then(|| zone.date(now - (days - 20) * DAY)),
            hours_a_day: (role != Role::Reporter).then_some(8.0),
        };
        let at = now - 400 * DAY;
        let id = crate::people::queries::insert(&mut tx, &person, at)
            .await
            .map_err(sql)?;
        let detail = serde_json::json!({ "name": sign_in.person, "role": sign_in.role });
        let by = people.get("maren").copied();
        audit(&mut tx, at, by, ("people", id.0), "add", &detail)
            .await
            .map_err(sql)?;
        people.insert(sign_in.name.to_owned(), id);
    }
    tx.commit().await.map_err(sql)?;
    Ok(people)
}
