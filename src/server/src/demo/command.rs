//! `brasstag demo`: makes the demo shop in a folder of its own and serves it.

use super::fill::{NAME, clear, fill};
use super::{PASSWORD, SIGN_INS, queries};
use crate::clock::Clock;
use crate::config::{DEMO_FOLDER as FOLDER, Settings};
use crate::db::Db;
use crate::serve::{self, Failure};
use crate::shop;

/// # Errors
/// One sentence that says what stopped it.
pub async fn run(settings: &Settings, fresh: bool) -> Result<(), Failure> {
    let db = serve::open(settings, FOLDER).await?;
    prepare(&db, fresh, settings.password_cost == "test").await?;
    println!("{}", welcome());
    serve::run(settings, db, true).await
}

/// Goes on with a demo that is there, finishes one that was left half way, fills an empty database,
/// and touches nothing else.
///
/// # Errors
/// Where the database holds another shop, or cannot be written.
pub async fn prepare(db: &Db, fresh: bool, cheap_passwords: bool) -> Result<(), Failure> {
    let sql = |e: sqlx::Error| format!("The database does not answer: {e}");
    let shop = shop::queries::find(db).await.map_err(sql)?;
    match shop {
        Some(shop) if shop.name != NAME => {
            return Err(format!(
                "This database holds the shop {:?}, not the demo; nothing was changed. Name another \
                 database or folder for the demo.",
                shop.name
            ));
        }
        Some(_) if !fresh => return Ok(()),
        Some(_) => clear(db).await?,
        None if queries::empty(db).await.map_err(sql)? => {}
        // No shop's row, but rows: a demo that was stopped while it was being filled, if its people
        // are the demo's and nobody else's.
        None => {
            let people = crate::people::queries::list(db).await.map_err(sql)?;
            let ours = |name: &str| SIGN_INS.iter().any(|s| s.name == name);
            if people.is_empty()
                || !people
                    .iter()
                    .all(|p| p.is_integration() || ours(&p.sign_in_name))
            {
                return Err(
                    "This database is not empty and not the demo; nothing was changed. Name \
                            another database or folder for the demo."
                        .to_owned(),
                );
            }
            clear(db).await?;
        }
    }
    fill(db, &Clock::System, cheap_passwords).await
}

fn welcome() -> String {
    let mut lines = vec![
        format!("The demo shop: {NAME}. Everything in it is invented."),
        String::new(),
        format!("Sign-ins, all with the password  {PASSWORD}"),
    ];
    lines.extend(
        SIGN_INS
            .iter()
            .map(|s| format!("  {:6} {:13} {}", s.name, s.person, s.role)),
    );
    lines.extend(
        [
            "",
            "Begin like this: open the address below without signing in, go to Report, and report",
            "that the kiln-hall extract fan K-04 does not run. Then sign in as maren, plan the job",
            "and hand it to tobin; sign in as tobin and work it through on Today.",
            "The same folder started again goes on where you stopped; --fresh starts over.",
        ]
        .map(str::to_owned),
    );
    lines.join("\n")
}
