//! The plan form: plain fields, one group per kind of rule.

use super::{NewPlan, Plan};
use crate::clock::date_value;
use crate::form::{self, FieldErrors};
use crate::machines::MachineId;
use calc::due::{Every, MonthDay, Rule, Season};
use serde::Deserialize;
use time::{Date, Weekday};

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct PlanInput {
    /// The machine's tag.
    pub machine: String,
    pub action: String,
    pub why: String,
    pub kind: String,
    pub count: String,
    pub unit: String,
    pub nth: String,
    pub weekday: String,
    pub hours: String,
    pub season_start: String,
    pub season_end: String,
    pub lead_days: String,
    pub anchor_on: String,
    pub window_days: String,
    pub minutes: String,
    pub steps: String,
    pub ended: String,
    pub version: String,
    /// A wide plan's kind of machine or place.
    pub on_kind: String,
    pub on_place: String,
    pub months: String,
    pub month_day: String,
    /// The longer plan that covers this one.
    pub included_in: String,
    pub changed_because: String,
    /// `yes`, `no` or not said.
    pub lock: String,
    pub procedure: String,
    pub hard_days: String,
    pub crew: String,
    pub skills: String,
    pub parts: String,
    pub access: String,
    /// The button that asks for the next dates only.
    pub preview: String,
}

pub const KINDS: &[(&str, &str)] = &[
    (
        "calendar",
        "Every so often from a date; the dates never move",
    ),
    ("after_done", "So long after it was last done"),
    ("nth_weekday", "On a weekday of the month"),
    ("before_season", "Some days before a season, each year"),
    ("in_season", "So long after the last, inside a season only"),
    ("meter", "After so many run hours"),
    (
        "meter_or_calendar",
        "Run hours or the calendar, whichever comes first",
    ),
];

pub const UNITS: &[(&str, &str)] = &[
    ("days", "days"),
    ("weeks", "weeks"),
    ("months", "months"),
    ("years", "years"),
];

pub const NTHS: &[(&str, &str)] = &[
    ("1", "first"),
    ("2", "second"),
    ("3", "third"),
    ("4", "fourth"),
    ("-1", "last"),
];

pub const WEEKDAYS: &[(&str, &str)] = &[
    ("Monday", "Monday"),
    ("Tuesday", "Tuesday"),
    ("Wednesday", "Wednesday"),
    ("Thursday", "Thursday"),
    ("Friday", "Friday"),
    ("Saturday", "Saturday"),
    ("Sunday", "Sunday"),
];

fn weekday(word: &str) -> Option<Weekday> {
    use Weekday::{Friday, Monday, Saturday, Sunday, Thursday, Tuesday, Wednesday};
    [
        Monday, Tuesday, Wednesday, Thursday, Friday, Saturday, Sunday,
    ]
    .into_iter()
    .find(|day| day.to_string() == word)
}

/// A day of the year as people type it: `10-01`.
fn month_day(text: &str) -> Option<MonthDay> {
    let (month, day) = text.trim().split_once('-')?;
    let at = MonthDay {
        month: month.parse().ok()?,
        day: day.parse().ok()?,
    };
    // 2024 has a 29 February.
    let month = time::Month::try_from(at.month).ok()?;
    Date::from_calendar_date(2024, month, at.day)
        .is_ok()
        .then_some(at)
}

impl PlanInput {
    /// The form of a plan that is there.
    pub fn of(plan: &Plan) -> PlanInput {
        let mut input = PlanInput {
            machine: plan.tag.clone(),
            action: plan.action.clone(),
            why: plan.why.clone(),
            anchor_on: date_value(plan.anchor_on),
            window_days: plan.window_days.to_string(),
            minutes: plan.minutes.map(|m| m.to_string()).unwrap_or_default(),
            steps: plan.steps.clone(),
            ended: if plan.ended_on.is_some() {
                "yes".to_owned()
            } else {
                String::new()
            },
            version: plan.version.to_string(),
            included_in: plan
                .included_in
                .map(|id| id.to_string())
                .unwrap_or_default(),
            ..PlanInput::default()
        };
        input.put_rule(&plan.rule);
        input.put_needs(&plan.needs);
        input
    }

    fn put_every(&mut self, every: Every) {
        let (count, unit) = match every {
            Every::Days(n) => (n, "days"),
            Every::Weeks(n) => (n, "weeks"),
            Every::Months(n) => (n, "months"),
            Every::Years(n) => (n, "years"),
        };
        self.count = count.to_string();
        self.unit = unit.to_owned();
    }

    fn put_rule(&mut self, rule: &Rule) {
        let day = |at: MonthDay| format!("{:02}-{:02}", at.month, at.day);
        let mut kind = "";
        match rule {
            Rule::Calendar { every } => {
                kind = "calendar";
                self.put_every(*every);
            }
            Rule::AfterDone { every } => {
                kind = "after_done";
                self.put_every(*every);
            }
            Rule::InSeason { every, season } => {
                kind = "in_season";
                self.put_every(*every);
                self.season_start = day(season.start);
                self.season_end = day(season.end);
            }
            Rule::BeforeSeason { start, lead_days } => {
                kind = "before_season";
                self.season_start = day(*start);
                self.lead_days = lead_days.to_string();
            }
            Rule::NthWeekday {
                nth,
                weekday,
                every_months,
            } => {
                kind = "nth_weekday";
                self.nth = nth.to_string();
                self.weekday = weekday.to_string();
                self.count = every_months.to_string();
                self.unit = "months".to_owned();
            }
            Rule::Meter { every } => {
                kind = "meter";
                self.hours = every.to_string();
            }
            Rule::FirstOf { rules } => {
                for rule in rules {
                    self.put_rule(rule);
                }
                kind = "meter_or_calendar";
            }
            Rule::Months { months, day } => {
                kind = "months";
                let months: Vec<String> = months.iter().map(u8::to_string).collect();
                self.months = months.join(", ");
                self.month_day = day.to_string();
            }
            // Has no form of its own; the page says so by asking for the rule again.
            Rule::Recurrence { .. } => {}
        }
        self.kind = kind.to_owned();
    }

    fn every(&self, errors: &mut FieldErrors) -> Every {
        let count = errors.take("count", form::optional_count(&self.count));
        let count = count
            .and_then(|n| u32::try_from(n).ok())
            .filter(|n| (1..=5000).contains(n));
        if count.is_none() {
            errors.add("count", "Enter how many, as 3");
        }
        let count = count.unwrap_or(1);
        match self.unit.as_str() {
            "days" => Every::Days(count),
            "weeks" => Every::Weeks(count),
            "months" => Every::Months(count),
            "years" => Every::Years(count),
            _ => {
                errors.add("unit", "Choose days, weeks, months or years");
                Every::Months(count)
            }
        }
    }

    fn season(&self, field: &str, text: &str, errors: &mut FieldErrors) -> MonthDay {
        month_day(text).unwrap_or_else(|| {
            errors.add(field, "Enter month and day, as 10-01");
            MonthDay { month: 1, day: 1 }
        })
    }

    fn months(&self, errors: &mut FieldErrors) -> Rule {
        let read = |text: &str| text.trim().parse().ok().filter(|m| (1..=12).contains(m));
        let months: Option<Vec<u8>> = self.months.split(',').map(read).collect();
        if months.is_none() {
            errors.add("months", "Enter the months by number, as 1, 4, 7, 10");
        }
        let day = self.month_day.trim().parse().ok();
        let day = day.filter(|day| (1..=31).contains(day));
        if day.is_none() {
            errors.add("month_day", "Enter the day of the month, 1 to 31");
        }
        Rule::Months {
            months: months.unwrap_or_default(),
            day: day.unwrap_or(1),
        }
    }

    fn hours(&self, errors: &mut FieldErrors) -> f64 {
        let hours = errors.take("hours", form::optional_number(&self.hours));
        hours.filter(|h| *h > 0.0).unwrap_or_else(|| {
            errors.add("hours", "Enter the run hours between two services, as 500");
            1.0
        })
    }

    fn rule(&self, errors: &mut FieldErrors) -> Rule {
        match self.kind.as_str() {
            "calendar" => Rule::Calendar {
                every: self.every(errors),
            },
            "after_done" => Rule::AfterDone {
                every: self.every(errors),
            },
            "nth_weekday" => {
                let nth = self
                    .nth
                    .parse()
                    .ok()
                    .filter(|n: &i8| *n != 0 && (-5..=5).contains(n));
                let weekday = weekday(&self.weekday);
                if nth.is_none() || weekday.is_none() {
                    errors.add("weekday", "Choose which weekday of the month");
                }
                let months = errors
                    .take("count", form::optional_count(&self.count))
                    .unwrap_or(1);
                Rule::NthWeekday {
                    nth: nth.unwrap_or(1),
                    weekday: weekday.unwrap_or(Weekday::Monday),
                    every_months: u32::try_from(months.clamp(1, 120)).unwrap_or(1),
                }
            }
            "months" => self.months(errors),
            "before_season" => {
                let lead = errors.take("lead_days", form::optional_count(&self.lead_days));
                if lead.is_none() {
                    errors.add("lead_days", "Enter how many days before, as 28");
                }
                Rule::BeforeSeason {
                    start: self.season("season_start", &self.season_start, errors),
                    lead_days: u32::try_from(lead.unwrap_or(0).clamp(0, 366)).unwrap_or(0),
                }
            }
            "in_season" => {
                let start = self.season("season_start", &self.season_start, errors);
                let end = self.season("season_end", &self.season_end, errors);
                Rule::InSeason {
                    every: self.every(errors),
                    season: Season { start, end },
                }
            }
            "meter" => Rule::Meter {
                every: self.hours(errors),
            },
            "meter_or_calendar" => Rule::FirstOf {
                rules: vec![
                    Rule::Meter {
                        every: self.hours(errors),
                    },
                    Rule::Calendar {
                        every: self.every(errors),
                    },
                ],
            },
            _ => {
                errors.add("kind", "Choose when it is due");
                Rule::Calendar {
                    every: Every::Months(12),
                }
            }
        }
    }

    /// # Errors
    /// What is wrong, by field.
    pub fn parse(&self, machine_id: MachineId) -> Result<NewPlan, FieldErrors> {
        let mut errors = FieldErrors::default();
        let action = form::required(&self.action, "Enter what is to be done");
        let action = errors.take("action", action);
        let rule = self.rule(&mut errors);
        let anchor = form::date(&self.anchor_on, "Enter the first date").map(Some);
        let anchor_on = errors.take("anchor_on", anchor).unwrap_or(Date::MIN);
        let window = errors.take("window_days", form::optional_count(&self.window_days));
        let minutes = errors.take("minutes", form::optional_count(&self.minutes));
        let needs = self.needs(window.unwrap_or(0), &mut errors);
        errors.or(NewPlan {
            machine_id,
            action,
            why: self.why.trim().to_owned(),
            rule,
            anchor_on,
            window_days: window.unwrap_or(0),
            minutes,
            steps: self.steps.trim().to_owned(),
            made_from_job: None,
            since_on: None,
            included_in: self.included_in.parse().ok(),
            needs,
        })
    }
}
