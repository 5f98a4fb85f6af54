//! Calibrations of an instrument, and the readings that one found wrong puts in doubt.

use super::pages::ShowPage;
use super::queries::{self, Calibration, UseRow};
use super::{Instrument, InstrumentId, form};
use crate::audit::audit;
use crate::clock::{Millis, date_words};
use crate::error::AppError;
use crate::form::Fields;
use crate::page::Page;
use crate::people::CurrentUser;
use crate::state::AppState;
use crate::stores::KEEPERS;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use time::{Date, Duration};

/// Readings that one page shows for one stretch of time.
const SHOWN: usize = 100;

/// A stretch of days in which readings were taken with the instrument.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The day it was last known right; `None`: never.
    pub from: Option<Date>,
    /// The last day; `None`: until now.
    pub until: Option<Date>,
    /// It was found wrong at the end.
    pub wrong: bool,
}

/// The stretch since the last good calibration, and each that ended with the instrument found wrong;
/// the newest first. `all` is newest first too.
pub fn stretches(all: &[Calibration]) -> Vec<Stretch> {
    let right_before = |at: usize| {
        let earlier = all[at..].iter().find(|one| one.found != "off");
        earlier.map(|one| one.done_on)
    };
    let wrong_now = all.first().is_some_and(|one| one.found == "off");
    let mut found = vec![Stretch {
        from: right_before(0),
        until: None,
        wrong: wrong_now,
    }];
    for (at, one) in all.iter().enumerate() {
        let put_right = one.found == "adjusted";
        // What was found wrong earlier and put right by this one is in doubt until this day.
        let off_before = all.get(at + 1).is_some_and(|before| before.found == "off");
        if put_right || (one.found == "within" && off_before) {
            found.push(Stretch {
                from: right_before(at + 1),
                until: Some(one.done_on),
                wrong: true,
            });
        }
    }
    found
}

/// Readings of one stretch.
pub struct Doubt {
    pub heading: String,
    pub wrong: bool,
    pub lines: Vec<Line>,
    pub more: bool,
}

pub struct Line {
    pub job: i64,
    pub tag: String,
    pub what: &'static str,
    pub when: String,
    pub person: String,
    pub readings: String,
}

pub async fn taken_with(
    app: &AppState,
    one: &Instrument,
    calibrations: &[Calibration],
) -> Result<Vec<Doubt>, AppError> {
    let mut doubts = Vec::new();
    for stretch in stretches(calibrations) {
        let zone = app.zone();
        let begins = |day: Date| zone.instant(day, 0, 0).unwrap_or(0);
        let from: Millis = stretch.from.map_or(0, begins);
        let until = stretch
            .until
            .map_or(Millis::MAX, |day| begins(day + Duration::DAY));
        let most = i64::try_from(SHOWN + 1).unwrap_or(0);
        let mut rows = queries::uses(&app.db, one, (from, until), most).await?;
        let more = rows.len() > SHOWN;
        rows.truncate(SHOWN);
        let mut lines = Vec::new();
        for row in rows {
            lines.push(line(app, row).await?);
        }
        let since = match stretch.from {
            Some(day) => format!("since it was right on {}", date_words(day)),
            None => "as far back as the record goes".to_owned(),
        };
        let heading = match (stretch.wrong, stretch.until) {
            (true, Some(day)) => {
                format!(
                    "In doubt: read with it {since}, until it was put right on {}",
                    date_words(day)
                )
            }
            (true, None) => format!("In doubt: read with it {since}"),
            (false, _) => format!("Read with it {since}"),
        };
        doubts.push(Doubt {
            heading,
            wrong: stretch.wrong,
            lines,
            more,
        });
    }
    Ok(doubts)
}

async fn line(app: &AppState, row: UseRow) -> Result<Line, AppError> {
    let readings = queries::readings(&app.db, &row.entry_id).await?;
    let shown = readings.iter().map(|(point, quantity, as_shown)| {
        let unit = match quantity.as_str() {
            "volts" => "V",
            "amps" => "A",
            "mm_s" => "mm/s",
            other => other,
        };
        format!("{point} {as_shown} {unit}")
    });
    Ok(Line {
        job: row.job_id,
        tag: row.tag.unwrap_or_default(),
        what: match row.kind.as_str() {
            "dead_test" => "dead test",
            "proof" => "proof",
            "as_found" => "as found",
            _ => "step",
        },
        when: app.zone().minute_words(row.used_at),
        person: row.person.unwrap_or_default(),
        readings: shown.collect::<Vec<_>>().join(", "),
    })
}

/// `POST /instruments/{id}/calibrations`
pub async fn record(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<i64>,
    fields: Fields,
) -> Result<Response, AppError> {
    user.require(KEEPERS)?;
    let id = InstrumentId(id);
    let one = queries::find(&app.db, id).await?;
    let one = one.ok_or(AppError::NotFound)?;
    let new = match form::calibration(&fields, app.today()) {
        Ok(new) => new,
        Err(errors) => {
            let page = ShowPage::load(&app, &user, id, fields, errors).await?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(page)).into_response());
        }
    };
    let earlier = queries::calibrations(&app.db, id).await?;
    // One that is written down late changes nothing of what a newer one said.
    let newest = earlier.iter().all(|known| known.done_on <= new.done_on);
    let says = if newest {
        let off = (new.found == "off").then_some(new.done_on);
        (new.due_on, off)
    } else {
        (one.due_on, one.found_off_on)
    };
    let version = fields.get("version").parse().unwrap_or(0);
    let now = app.clock.now();
    let mut tx = app.db.begin_write().await?;
    if !queries::calibrated(&mut tx, id, says, version).await? {
        return Err(AppError::Stale);
    }
    queries::insert_calibration(&mut tx, id, &new, user.id(), now).await?;
    let whose = Some(user.id());
    audit(
        &mut tx,
        now,
        whose,
        ("instruments", id.0),
        "calibrated",
        &new,
    )
    .await?;
    tx.commit().await?;
    Ok(Redirect::to(&app.url(&format!("/instruments/{}", id.0))).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn found(list: &[(Date, &str)]) -> Vec<Stretch> {
        let all: Vec<Calibration> = list
            .iter()
            .map(|(done_on, found)| Calibration {
                done_on: *done_on,
                found: (*found).to_owned(),
                by_whom: String::new(),
                certificate: String::new(),
                due_on: None,
                note: String::new(),
                person: None,
            })
            .collect();
        stretches(&all)
    }

    #[test]
    fn what_was_read_since_it_was_last_right_is_in_doubt_once_it_is_found_wrong() {
        let (may, june, july) = (
            date!(2026 - 05 - 01),
            date!(2026 - 06 - 01),
            date!(2026 - 07 - 01),
        );
        let stretch = |from, until, wrong| Stretch { from, until, wrong };
        assert_eq!(found(&[]), [stretch(None, None, false)]);
        assert_eq!(found(&[(may, "within")]), [stretch(Some(may), None, false)]);
        let off = found(&[(june, "off"), (may, "within")]);
        assert_eq!(off, [stretch(Some(may), None, true)]);
        let put_right = found(&[(june, "adjusted"), (may, "within")]);
        assert_eq!(
            put_right,
            [
                stretch(Some(june), None, false),
                stretch(Some(may), Some(june), true)
            ]
        );
        let later = found(&[(july, "within"), (june, "off"), (may, "within")]);
        assert_eq!(
            later,
            [
                stretch(Some(july), None, false),
                stretch(Some(may), Some(july), true)
            ]
        );
    }
}
