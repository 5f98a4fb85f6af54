//! Ready for the season: what has to be done before it begins and is not done yet.

use super::missed_queries::{self as queries, SeasonItem, Seasonal};
use crate::clock::date_words;
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::{CurrentUser, Role};
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use calc::due::{self, MonthDay, Rule};
use time::{Date, Duration};

/// A season that began no longer ago than this and was not prepared is still shown.
const LOOK_BACK: i64 = 90;

/// One plan and the season it is for.
#[derive(Clone, Debug, PartialEq)]
struct Line {
    plan: Seasonal,
    place: String,
    start: Date,
    /// The day on which its work falls due.
    due_on: Option<Date>,
    stands: String,
    job_id: Option<i64>,
    days: i64,
    ready: bool,
}

impl Line {
    /// The season has begun.
    fn begun(&self) -> bool {
        self.days < 0
    }

    fn left(&self) -> String {
        match self.days {
            0 => "begins today".to_owned(),
            1 => "1 day left".to_owned(),
            days if days > 0 => format!("{days} days left"),
            days => format!("began {} days ago", -days),
        }
    }
}

#[derive(Template)]
#[template(path = "preventive/season.html")]
struct SeasonPage {
    layout: Layout,
    waiting: Vec<Line>,
    ready: Vec<Line>,
}

/// The begin of a season: of one that began lately and was not prepared, else of the next one.
fn begins(at: MonthDay, year: i32) -> Option<Date> {
    due::before_season(at, 0, year).ok()
}

/// The work of one season, from the items of its plan.
fn line(plan: Seasonal, items: &[SeasonItem], today: Date, place: String) -> Option<Line> {
    let rule: Rule = serde_json::from_str(&plan.rule).ok()?;
    let (start, lead) = match rule {
        Rule::BeforeSeason { start, lead_days } => (start, i64::from(lead_days)),
        // The first date within the season.
        Rule::InSeason { season, .. } => (season.start, 0),
        _ => return None,
    };
    let in_season = lead == 0;
    let of = |begin: Date| {
        let from = begin - Duration::days(lead);
        let until = begin + Duration::days(if in_season { LOOK_BACK } else { 0 });
        items.iter().find(move |item| {
            item.plan_id == plan.id && item.due_on >= from && item.due_on <= until
        })
    };
    let years = [today.year() - 1, today.year(), today.year() + 1];
    let begun = years.into_iter().filter_map(|year| begins(start, year));
    let all: Vec<Date> = begun
        .filter(|begin| (today - *begin).whole_days() <= LOOK_BACK)
        .collect();
    let done = |begin: &Date| of(*begin).is_some_and(|item| item.state == "done");
    let past = all
        .iter()
        .find(|b| **b <= today && of(**b).is_some() && !done(b));
    let begin = *past.or_else(|| all.iter().find(|begin| **begin > today))?;
    let item = of(begin);
    let stands = match item {
        None => "not due yet".to_owned(),
        Some(item) => match item.state.as_str() {
            "could_not" => format!("could not be done: {}", item.note),
            "open" if item.job_id.is_some() => "job made".to_owned(),
            "open" => "open".to_owned(),
            other => other.to_owned(),
        },
    };
    let (job_id, ready) = (item.and_then(|item| item.job_id), done(&begin));
    let due_on = item.map(|item| item.due_on);
    Some(Line {
        due_on: due_on.or((!in_season).then(|| begin - Duration::days(lead))),
        place,
        start: begin,
        stands,
        job_id,
        days: (begin - today).whole_days(),
        ready,
        plan: plan.clone(),
    })
}

impl SeasonPage {
    fn day(&self, day: &Date) -> String {
        date_words(*day)
    }
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(&[
        Role::Technician,
        Role::Supervisor,
        Role::Auditor,
        Role::Keeper,
    ])?;
    let today = app.today();
    let places = crate::machines::queries::places(&app.db).await?;
    let items = queries::season_items(&app.db, today - Duration::days(500)).await?;
    let mut lines: Vec<Line> = queries::seasonal(&app.db)
        .await?
        .into_iter()
        .filter_map(|plan| {
            let place = places.iter().find(|place| place.id == plan.place_id);
            let place = place.map(|place| place.path.clone()).unwrap_or_default();
            line(plan, &items, today, place)
        })
        .collect();
    lines.sort_by(|a, b| (a.start, &a.plan.tag).cmp(&(b.start, &b.plan.tag)));
    let (ready, waiting) = lines.into_iter().partition(|line| line.ready);
    Ok(Page(SeasonPage {
        layout: Layout::new(&app, &user.visitor, "Preventive"),
        waiting,
        ready,
    })
    .into_response())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn plan() -> Seasonal {
        let rule = Rule::BeforeSeason {
            start: MonthDay { month: 10, day: 1 },
            lead_days: 28,
        };
        Seasonal {
            id: 1,
            tag: "U-1".to_owned(),
            machine: "Unit heater".to_owned(),
            place_id: 1,
            action: "Check".to_owned(),
            rule: serde_json::to_string(&rule).expect("json"),
        }
    }

    fn item(due_on: Date, state: &str) -> SeasonItem {
        SeasonItem {
            plan_id: 1,
            due_on,
            state: state.to_owned(),
            note: String::new(),
            job_id: None,
        }
    }

    fn on(today: Date, items: &[SeasonItem]) -> Line {
        line(plan(), items, today, String::new()).expect("a line")
    }

    #[test]
    fn days_are_counted_to_the_season_and_a_missed_one_stays_on_the_list() {
        let due = date!(2026 - 09 - 03);
        let found = on(date!(2026 - 09 - 10), &[item(due, "open")]);
        assert_eq!(
            (found.left().as_str(), found.ready),
            ("21 days left", false)
        );
        assert_eq!(found.stands, "open");
        let found = on(date!(2026 - 09 - 10), &[item(due, "done")]);
        assert!(found.ready);
        let found = on(date!(2026 - 10 - 25), &[item(due, "missed")]);
        assert_eq!(found.left(), "began 24 days ago");
        let found = on(date!(2026 - 10 - 25), &[item(due, "done")]);
        assert_eq!((found.start, found.ready), (date!(2027 - 10 - 01), false));
        assert_eq!(found.due_on, Some(date!(2027 - 09 - 03)));
        assert_eq!(found.stands, "not due yet");
    }
}
