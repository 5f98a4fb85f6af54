//! What is typed of one person's hours, absences and skills.

use super::queries;
use crate::audit::audit;
use crate::db::Tx;
use crate::error::AppError;
use crate::form::{self, FieldErrors, Fields};
use crate::people::CurrentUser;
use crate::people::PersonId;
use crate::state::AppState;
use serde_json::json;
use time::Date;

/// What one of the page's forms asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    Hours(Vec<Option<i64>>),
    Away(Date, Date, String),
    Skill(String, Date, Option<Date>),
    WithdrawAbsence(i64),
    WithdrawSkill(i64),
}

fn minutes(text: &str) -> Result<Option<i64>, String> {
    match form::optional_number(text)? {
        Some(hours) if !(0.0..=24.0).contains(&hours) => {
            Err("Enter the hours of that day, as 7.5; 0 where it is free".to_owned())
        }
        hours => Ok(hours.map(|hours| (hours * 60.0).round() as i64)),
    }
}

/// # Errors
/// What is wrong, by field.
pub fn read(fields: &Fields) -> Result<Change, FieldErrors> {
    let mut errors = FieldErrors::default();
    let number = |name: &str| fields.get(name).parse().unwrap_or(0);
    match fields.get("what") {
        "hours" => {
            let day = |n: i64| {
                let name = format!("hours-{n}");
                (minutes(fields.get(&name)), name)
            };
            let mut all = Vec::new();
            for (read, name) in (1..=7).map(day) {
                all.push(errors.take(&name, read));
            }
            errors.or(Change::Hours(all))
        }
        "away" => {
            let from = form::date(fields.get("from_on"), "Enter the first day away").map(Some);
            let from = errors.take("from_on", from);
            let until = errors.take("until_on", form::optional_date(fields.get("until_on")));
            let until = until.or(from);
            if until < from {
                errors.add("until_on", "The last day lies before the first");
            }
            match (from, until) {
                (Some(from), Some(until)) => {
                    errors.or(Change::Away(from, until, fields.get("why").to_owned()))
                }
                _ => Err(errors),
            }
        }
        "skill" => {
            let skill = form::required(fields.get("skill"), "Enter what it is, as gas");
            let skill = errors.take("skill", skill);
            let from = form::date(fields.get("valid_from"), "Enter its first day").map(Some);
            let from = errors.take("valid_from", from);
            let until = errors.take(
                "valid_until",
                form::optional_date(fields.get("valid_until")),
            );
            if until.is_some() && until < from {
                errors.add("valid_until", "It ends before it begins");
            }
            match from {
                Some(from) => errors.or(Change::Skill(skill, from, until)),
                None => Err(errors),
            }
        }
        "absence_wrong" => Ok(Change::WithdrawAbsence(number("id"))),
        "skill_wrong" => Ok(Change::WithdrawSkill(number("id"))),
        _ => Err(FieldErrors::of("form", "Reload the page and try again")),
    }
}

/// Writes it with its line in the audit list.
///
/// # Errors
/// [`AppError::Stale`] where what is withdrawn is not there any more.
pub async fn keep(
    app: &AppState,
    tx: &mut Tx,
    user: &CurrentUser,
    person: PersonId,
    change: Change,
) -> Result<(), AppError> {
    let at = app.clock.now();
    let (act, detail, stands) = match change {
        Change::Hours(all) => {
            for (weekday, minutes) in (1..).zip(&all) {
                queries::set_hours(tx, person, weekday, *minutes).await?;
            }
            ("work_hours", json!({ "minutes": all }), true)
        }
        Change::Away(from, until, why) => {
            queries::insert_absence(tx, person, (from, until), &why, at).await?;
            let detail =
                json!({ "from": from.to_string(), "until": until.to_string(), "why": why });
            ("absence", detail, true)
        }
        Change::Skill(skill, from, until) => {
            queries::insert_skill(tx, person, &skill, (from, until), at).await?;
            let until = until.map(|until| until.to_string());
            let detail = json!({ "skill": skill, "from": from.to_string(), "until": until });
            ("skill", detail, true)
        }
        Change::WithdrawAbsence(id) => {
            let stood = queries::withdraw_absence(tx, person, id, at).await?;
            ("absence_withdrawn", json!({ "absence": id }), stood)
        }
        Change::WithdrawSkill(id) => {
            let stood = queries::withdraw_skill(tx, person, id, at).await?;
            ("skill_withdrawn", json!({ "skill": id }), stood)
        }
    };
    if !stands {
        return Err(AppError::Stale);
    }
    audit(tx, at, Some(user.id()), ("person", person.0), act, &detail).await?;
    Ok(())
}
