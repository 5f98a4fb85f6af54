//! Starting and stopping the server.

pub mod healthy;
pub mod listen;
pub mod logs;
pub mod metrics;

use crate::backup::{schedule, upgrade};
use crate::clock::Clock;
use crate::config::{Config, Settings};
use crate::db::Db;
use crate::photos::store::Store;
use crate::state::AppState;
use crate::telling::mail::{Mail, sending};
use crate::{config, motors, people, photos, preventive, routes, shop};
use std::net::TcpListener;
use std::path::PathBuf;
use std::time::Duration;

/// What stopped the program, in one sentence.
pub type Failure = String;

/// The folder of the shop's files, made if missing.
pub fn folder(settings: &Settings, default: &str) -> Result<PathBuf, Failure> {
    let folder = settings.folder_or(default);
    std::fs::create_dir_all(&folder)
        .map_err(|e| format!("The folder {} cannot be made: {e}", folder.display()))?;
    Ok(folder)
}

/// The address of the database that the settings name.
pub fn database_url(settings: &Settings, default_folder: &str) -> Result<String, Failure> {
    match (&settings.database_url, &settings.database_url_file) {
        (Some(url), _) => Ok(url.clone()),
        (None, Some(file)) => config::secret(file),
        (None, None) => {
            let file = folder(settings, default_folder)?.join("brasstag.sqlite");
            Ok(format!("sqlite:{}", file.display()))
        }
    }
}

/// Opens the database that the settings name and brings it up to date, after a backup where one is
/// due.
pub async fn open(settings: &Settings, default_folder: &str) -> Result<Db, Failure> {
    let url = database_url(settings, default_folder)?;
    let db = Db::open(&url)
        .await
        .map_err(|e| format!("The database cannot be opened: {e}"))?;
    let backups = match &settings.backup.folder {
        Some(folder) => folder.clone(),
        None => folder(settings, default_folder)?.join("backups"),
    };
    upgrade::bring_up_to_date(&db, &backups, Clock::System.now()).await?;
    Ok(db)
}

/// Serves until the process is told to stop, then lets running requests finish.
pub async fn run(settings: &Settings, db: Db, demo: bool) -> Result<(), Failure> {
    let listener = TcpListener::bind(settings.listen)
        .map_err(|e| format!("Cannot listen on {}: {e}", settings.listen))?;
    let address = listener.local_addr().map_err(|e| e.to_string())?;
    let config = Config::new(settings, address, demo)?;
    let photos = Store::of(&settings.photos, config.folder.join("photos"))?;
    let shop = shop::queries::find(&db)
        .await
        .map_err(|e| format!("The shop: {e}"))?;
    let code = people::session::new_token()[..8].to_owned();
    let fresh = shop.is_none();
    let app = AppState::new(config, db.clone(), Clock::System, shop, &code).with_photos(photos);
    let app = app.with_daily_backup(settings.backup.daily());
    let app = app.with_mail(Mail::of(&settings.mail)?);

    let tls = listen::Tls::of(settings);
    let scheme = if tls.is_some() { "https" } else { "http" };
    println!("Listening on {scheme}://{address}{}", app.config.base_path);
    if fresh {
        println!(
            "This shop is empty. Set it up at {}",
            app.public_url("/set-up")
        );
        println!("Set-up code: {code}");
    }
    match photos::taking::sweep(&app).await {
        Ok(0) => {}
        Ok(swept) => tracing::info!(swept, "photo files without a row removed"),
        Err(error) => tracing::warn!(error, "photo files not looked through"),
    }
    if let Some(at) = settings.metrics_listen {
        metrics::serve(at, db.clone()).await?;
    }
    let ahead = preventive::keep_ahead(app.clone());
    let sending = sending::keep_sending(app.clone());
    let filling = motors::search::keep_filled(app.clone());
    let drain = Duration::from_secs(settings.drain_seconds);
    let daily = app.daily_backup.as_deref().cloned();
    let backing_up = daily.map(|daily| schedule::keep_backed_up(app.clone(), daily));
    let stopping = told_to_stop(app.clone(), drain);
    let served = listen::serve(listener, tls, routes::router(app), stopping).await;
    ahead.abort();
    filling.abort();
    sending.abort();
    if let Some(backing_up) = backing_up {
        backing_up.abort();
    }
    db.close().await;
    served
}

/// Returns when connections are to be turned away: `drain` after the process was told to stop. In
/// between `/readyz` says no and every answer closes its connection.
async fn told_to_stop(app: AppState, drain: Duration) {
    use tokio::signal::unix::{SignalKind, signal};
    let terminated = async {
        match signal(SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    tokio::select! {
        _ = tokio::signal::ctrl_c() => {}
        () = terminated => {}
    }
    tracing::info!("stopping: running requests finish first");
    app.stop();
    tokio::time::sleep(drain).await;
}
