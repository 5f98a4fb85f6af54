//! `/preventive/learning/replacement`: whether replacing a part by age pays, where the data allow it.

use super::READERS;
use super::queries::{self, Failed};
use crate::clock::{DAY, Millis};
use crate::error::AppError;
use crate::form;
use crate::jobs::codes;
use crate::machines::KINDS;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use calc::life::trend::{self, Finding};
use calc::life::{Ages, Ended, FEW, age, weibull_fit};
use calc::working::Working;
use serde::Deserialize;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    pub kind: String,
    pub component: String,
    /// How many times as much a failure costs as a planned replacement.
    pub ratio: String,
}

#[derive(Template)]
#[template(path = "preventive/replacement.html")]
struct ReplacementPage {
    layout: Layout,
    asked: Asked,
    note: String,
    /// Machines with a failure, failures, ages between two failures, parts still running.
    counts: Option<(usize, usize, usize, usize)>,
    /// What can be said, in one sentence.
    verdict: String,
    workings: Vec<Working>,
}

impl ReplacementPage {
    fn kinds(&self) -> &'static [(&'static str, &'static str)] {
        KINDS
    }

    fn components(&self) -> Vec<&'static str> {
        codes::components()
    }
}

/// Failures gone through at most.
const MOST: i64 = 20_000;

/// Ages in days: from one failure of the part to the next on the same machine, and from the last one to
/// now. The age at the first failure is not known, because nobody wrote when that part went in.
pub fn ages(failed: &[Failed], now: Millis) -> (Vec<f64>, Vec<f64>) {
    let days = |from: Millis, to: Millis| (to - from) as f64 / DAY as f64;
    let (mut failures, mut running) = (Vec::new(), Vec::new());
    for machine in failed.chunk_by(|a, b| a.machine_id == b.machine_id) {
        for pair in machine.windows(2) {
            let age = days(pair[0].reported_at, pair[1].reported_at);
            if age > 0.0 {
                failures.push(age);
            }
        }
        running.extend(
            machine
                .last()
                .map(|last| days(last.reported_at, now).max(0.0)),
        );
    }
    (failures, running)
}

/// Trend first: whether ages at failure grow or shrink in the order in which they came.
fn changes(failed: &[Failed], now: Millis) -> Option<(Finding, Working)> {
    let first = failed.iter().map(|f| f.reported_at).min()?;
    let days = |at: Millis| (at - first) as f64 / DAY as f64;
    // The first failure starts the watch; those after it are the events.
    let mut events: Vec<f64> = failed.iter().map(|f| days(f.reported_at)).collect();
    events.retain(|at| *at > 0.0);
    events.sort_by(f64::total_cmp);
    let found = trend::tests(&events, Some(days(now)), Ended::Time).ok()?;
    let finding = found.as_ref().map_or(Finding::TooFew, |t| t.finding());
    Some((finding, trend::working(found.as_ref())))
}

/// What the failures allow to be said, and the workings behind it.
fn judge(failed: &[Failed], ratio: Option<f64>, now: Millis) -> (String, Vec<Working>) {
    let say = |text: &str| text.to_owned();
    let Some((finding, working)) = changes(failed, now) else {
        return (
            say("No failure of this part is written down: nothing can be said."),
            Vec::new(),
        );
    };
    let mut workings = vec![working];
    match finding {
        Finding::Worse => {
            return (
                say(
                    "Failures come closer together: the machines change, and one life for the part would mislead. Find the cause first.",
                ),
                workings,
            );
        }
        Finding::Better => {
            return (
                say(
                    "Failures come further apart: the machines change, and one life for the part would mislead.",
                ),
                workings,
            );
        }
        Finding::Steady | Finding::TooFew => {}
    }
    let (failures, running) = ages(failed, now);
    if (failures.len() as u64) < FEW {
        let text = format!(
            "{} known ages at failure; fewer than {FEW} do not allow a life. No interval is suggested.",
            failures.len()
        );
        return (text, workings);
    }
    let fitted =
        Ages::new(&failures, &running).and_then(|ages| Ok((weibull_fit::fit(&ages)?, ages)));
    let Ok((Some(fit), ages)) = fitted else {
        return (
            say("The ages hold no shape: no interval is suggested."),
            workings,
        );
    };
    workings.push(weibull_fit::working(&ages, Some(&fit)));
    if fit.beta.lower.is_none_or(|lower| lower <= 1.0) {
        return (
            say(
                "Wear is not shown: the lower limit of the shape is not above 1, so an old part may fail no sooner than a new one. Run to failure, or look at condition.",
            ),
            workings,
        );
    }
    let Some(ratio) = ratio else {
        return (
            say(
                "Wear is shown. Say how many times as much a failure costs as a planned replacement, and the age follows; it is never assumed.",
            ),
            workings,
        );
    };
    match age::replacement(fit.law, 1.0, ratio) {
        Ok(found) => {
            let text = match found.best {
                Ok(best) => format!(
                    "Replacing at about {:.0} days costs least; from {:.0} days on it is within 5 %. Ages are calendar days in place of running hours.",
                    best.age, best.from
                ),
                Err(_) => {
                    say("Replacing by age does not pay: run to failure, or look at condition.")
                }
            };
            workings.push(age::working(fit.law, &found));
            (text, workings)
        }
        Err(refused) => (refused.to_string(), workings),
    }
}

pub async fn show(
    user: CurrentUser,
    State(app): State<AppState>,
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    user.require(READERS)?;
    let mut note = String::new();
    let ratio = form::optional_number(&asked.ratio).unwrap_or_else(|message| {
        note = message;
        None
    });
    let (mut counts, mut verdict, mut workings) = (None, String::new(), Vec::new());
    if !asked.kind.is_empty() && !asked.component.is_empty() {
        let clean = |text: &str| text.replace('\0', "");
        let (kind, component) = (clean(&asked.kind), clean(&asked.component));
        let failed = queries::failed(&app.db, &kind, &component, MOST).await?;
        let now = app.clock.now();
        let (failures, running) = ages(&failed, now);
        counts = Some((running.len(), failed.len(), failures.len(), running.len()));
        (verdict, workings) = judge(&failed, ratio, now);
    }
    let page = ReplacementPage {
        layout: Layout::new(&app, &user.visitor, "Preventive"),
        asked,
        note,
        counts,
        verdict,
        workings,
    };
    Ok(Page(page).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn failed(machine_id: i64, days: &[i64]) -> Vec<Failed> {
        let one = |day: &i64| Failed {
            machine_id,
            tag: format!("F-{machine_id}"),
            reported_at: day * DAY,
        };
        days.iter().map(one).collect()
    }

    #[test]
    fn the_first_age_is_not_known_and_the_last_part_still_runs() {
        let of = [failed(1, &[100, 160, 250]), failed(2, &[300])].concat();
        let (failures, running) = ages(&of, 400 * DAY);
        assert_eq!(failures, [60.0, 90.0]);
        assert_eq!(running, [150.0, 100.0]);
    }

    #[test]
    fn few_failures_suggest_nothing_and_the_ratio_is_never_assumed() {
        let (text, _) = judge(&failed(1, &[10, 110, 220]), Some(5.0), 300 * DAY);
        assert!(text.contains("fewer than 5"), "{text}");
        // Five machines whose part lasts a hundred days, each in its own time.
        let wearing: Vec<Failed> = (1..=5)
            .flat_map(|m| {
                let days: Vec<i64> = (0..6)
                    .map(|n| m * 17 + n * 100 + (m * n * 7) % 11)
                    .collect();
                failed(m, &days)
            })
            .collect();
        let now = 640 * DAY;
        let (text, _) = judge(&wearing, None, now);
        assert!(
            text.starts_with("Wear is shown. Say how many times"),
            "{text}"
        );
        let (text, workings) = judge(&wearing, Some(8.0), now);
        assert!(text.starts_with("Replacing at about"), "{text}");
        assert_eq!(workings.len(), 3);
        let (text, _) = judge(&wearing, Some(1.0), now);
        assert!(text.contains("does not pay"), "{text}");
        assert!(judge(&[], Some(2.0), now).0.contains("nothing can be said"));
    }
}
