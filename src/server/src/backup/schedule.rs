//! The backup of each day: when it is due, and the task that makes it, once over several processes.

use super::keep::{self, Keep};
use super::{Tried, queries, write};
use crate::clock::{DAY, HOUR, MINUTE, Millis, Zone};
use crate::state::AppState;
use std::path::PathBuf;
use std::str::FromStr;
use std::time::Duration;

/// After a failure it is tried again.
const AGAIN_AFTER: Millis = 15 * MINUTE;
/// A backup a day, and some time to make it.
pub const TOO_OLD: Millis = DAY + 2 * HOUR;

/// A time of day on the shop's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimeOfDay {
    pub hour: u8,
    pub minute: u8,
}

impl FromStr for TimeOfDay {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let read = || {
            let (hour, minute) = text.trim().split_once(':')?;
            let (hour, minute) = (hour.parse().ok()?, minute.parse().ok()?);
            (hour < 24 && minute < 60).then_some(TimeOfDay { hour, minute })
        };
        read().ok_or_else(|| "a time of day such as 02:00".to_owned())
    }
}

/// Where and when, as the settings say.
#[derive(Clone, Debug)]
pub struct Daily {
    pub folder: PathBuf,
    pub at: TimeOfDay,
    pub keep: Keep,
}

/// The last time at or before now at which a backup was due.
pub fn last_due(at: TimeOfDay, zone: &Zone, now: Millis) -> Millis {
    let today = zone.date(now);
    let on = |day| zone.instant(day, at.hour, at.minute);
    let due = on(today).filter(|due| *due <= now);
    due.or_else(|| on(today.previous_day()?))
        .unwrap_or(now - DAY)
}

/// Whether one is to be made now. What was made at a time yet to come was made by a wrong clock.
fn wanted(last: Option<&Tried>, good: Option<&Tried>, due: Millis, now: Millis) -> bool {
    let since = |tried: Option<&Tried>, from: Millis| {
        tried.is_some_and(|t| t.tried_at >= from && t.tried_at <= now + MINUTE)
    };
    !since(good, due) && !since(last, now - AGAIN_AFTER)
}

/// Makes the backup that is due, if one is; answers with what was tried.
pub async fn make_due(app: &AppState, daily: &Daily) -> sqlx::Result<Option<Tried>> {
    let (now, zone) = (app.clock.now(), app.zone());
    let due = last_due(daily.at, &zone, now);
    let look = async || -> sqlx::Result<bool> {
        let last = queries::last(&app.db).await?;
        let good = queries::last_good(&app.db).await?;
        Ok(wanted(last.as_ref(), good.as_ref(), due, now))
    };
    if app.shop().is_none() || !look().await? {
        return Ok(None);
    }
    let Some(_alone) = queries::try_alone(&app.db).await? else {
        return Ok(None);
    };
    // Another process may have made it a moment ago.
    if !look().await? {
        return Ok(None);
    }
    let tried = make(app, daily, now, &zone).await;
    queries::note(&app.db, &tried).await?;
    Ok(Some(tried))
}

async fn make(app: &AppState, daily: &Daily, now: Millis, zone: &Zone) -> Tried {
    let file = daily.folder.join(keep::name_at(now));
    let made = match std::fs::create_dir_all(&daily.folder) {
        Ok(()) => write::make(&app.db, Some(&app.photos), now, &file).await,
        Err(e) => Err(e.into()),
    };
    let mut tried = Tried {
        tried_at: now,
        file: file.display().to_string(),
        bytes: None,
        row_count: None,
        problem: None,
    };
    match made {
        Ok(made) => {
            tried.bytes = i64::try_from(made.bytes).ok();
            tried.row_count = i64::try_from(made.rows).ok();
            match write::rotate(&daily.folder, daily.keep, zone) {
                Ok(gone) => tracing::info!(file = tried.file, gone, "backup made"),
                Err(e) => tracing::error!(error = &e as &dyn std::error::Error, "old backups stay"),
            }
        }
        Err(e) => {
            tracing::error!(error = &e as &dyn std::error::Error, "backup failed");
            tried.problem = Some(e.to_string());
        }
    }
    tried
}

/// Looks once a minute, for as long as the server runs.
pub fn keep_backed_up(app: AppState, daily: Daily) -> tokio::task::JoinHandle<()> {
    tokio::spawn(async move {
        let mut minute = tokio::time::interval(Duration::from_secs(60));
        minute.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            minute.tick().await;
            if let Err(cause) = make_due(&app, &daily).await {
                tracing::error!(
                    error = &cause as &dyn std::error::Error,
                    "backup not looked at"
                );
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2026-11-25 12:00 UTC.
    const NOON: Millis = 1_795_608_000_000;

    fn tried(at: Millis, problem: Option<&str>) -> Tried {
        Tried {
            tried_at: at,
            file: String::new(),
            bytes: None,
            row_count: None,
            problem: problem.map(str::to_owned),
        }
    }

    #[test]
    fn it_is_due_once_a_day_at_the_shops_time() {
        let at: TimeOfDay = "02:30".parse().expect("a time");
        let utc = Zone::utc();
        assert_eq!(last_due(at, &utc, NOON), NOON - 9 * HOUR - 30 * MINUTE);
        let early = NOON - 10 * HOUR;
        assert_eq!(last_due(at, &utc, early), NOON - 33 * HOUR - 30 * MINUTE);
        let chicago = Zone::named("America/Chicago").expect("a zone");
        assert_eq!(last_due(at, &chicago, NOON), NOON - 3 * HOUR - 30 * MINUTE);
        assert!("24:00".parse::<TimeOfDay>().is_err());
        assert!("half past two".parse::<TimeOfDay>().is_err());
    }

    #[test]
    fn a_failure_is_tried_again_and_a_wrong_clock_stops_nothing() {
        let due = NOON - HOUR;
        assert!(wanted(None, None, due, NOON));
        let good = tried(due + MINUTE, None);
        assert!(!wanted(Some(&good), Some(&good), due, NOON));
        let failed = tried(NOON - MINUTE, Some("no room"));
        assert!(!wanted(Some(&failed), None, due, NOON));
        let earlier = tried(NOON - 20 * MINUTE, Some("no room"));
        assert!(wanted(Some(&earlier), None, due, NOON));
        // The clock was a year ahead and is right again.
        let ahead = tried(NOON + 365 * DAY, None);
        assert!(wanted(Some(&ahead), Some(&ahead), due, NOON));
    }
}
