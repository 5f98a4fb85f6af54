//! What the circuit check shows.

use super::{Check, DecisionInput};
use crate::clock::date_words;
use crate::error::AppError;
use crate::form::FieldErrors;
use crate::jobs::body::{Body, verdict_word};
use crate::jobs::gate::{self, Surroundings};
use crate::jobs::{State, queries, record};
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::shelf::pages::words;
use crate::state::AppState;
use askama::Template;
use calc::working::Verdict;

/// The last check in the timeline for the motor that is chosen now.
pub struct Recorded {
    pub person: String,
    pub at: String,
    pub rule_set: String,
    pub verdict: Verdict,
}

pub struct Decision {
    pub licensed_person: String,
    pub licence: String,
    pub decision: String,
    pub noted_by: String,
    pub at: String,
}

#[derive(Template)]
#[template(path = "circuit_check/show.html")]
pub struct CheckPage {
    layout: Layout,
    check: Check,
    /// The chosen motor's plate in one line.
    plate: String,
    recorded: Option<Recorded>,
    decision: Option<Decision>,
    /// Why the check cannot be recorded now; `None`: it can.
    refusal: Option<String>,
    entry: String,
    decision_entry: String,
    input: DecisionInput,
    errors: FieldErrors,
}

impl CheckPage {
    pub async fn new(
        app: &AppState,
        user: &CurrentUser,
        check: Check,
        input: DecisionInput,
        errors: FieldErrors,
    ) -> Result<Page<Self>, AppError> {
        let (recorded, decision) = timeline(app, &check).await?;
        let refusal = check.body().and_then(|body| {
            gate::check(
                &check.case.job,
                &body,
                Some(&user.person),
                &Surroundings::default(),
            )
            .err()
            .map(|refusal| refusal.message)
        });
        Ok(Page(CheckPage {
            layout: Layout::new(app, &user.visitor, ""),
            plate: check
                .motor
                .as_ref()
                .map_or_else(String::new, |motor| words(app, &motor.plate)),
            check,
            recorded,
            decision,
            refusal,
            entry: record::new_id(app.clock.now()),
            decision_entry: record::new_id(app.clock.now()),
            input,
            errors,
        }))
    }

    /// What to do about the verdict, in one or two sentences.
    fn sentence(&self) -> String {
        let rules = self.check.shop.rule_set.words();
        match self.check.verdict() {
            None => String::new(),
            Some(Verdict::Within) => {
                format!("The recorded figures keep the limits of {rules} in every line below.")
            }
            Some(Verdict::WithinNote) => format!(
                "The recorded figures keep the limits of {rules}; read the notes below before \
                 going on."
            ),
            Some(Verdict::NotKnownYet) => {
                let missing = self.check.working.as_ref().map_or(0, |w| w.missing.len());
                let figures = match missing {
                    1 => "One figure is".to_owned(),
                    missing => format!("{missing} figures are"),
                };
                format!(
                    "{figures} missing. The motor is not fitted until nothing is, or until a \
                     licensed person has decided."
                )
            }
            Some(_) => "At least one line is beyond its limit. Choose another motor, or have the \
                        circuit put right, or ask a licensed electrician for a decision."
                .to_owned(),
        }
    }

    /// The lines that are beyond, with what to do about each.
    fn beyond(&self) -> Vec<String> {
        let lines = self.check.working.iter().flat_map(|working| &working.lines);
        lines
            .filter(|line| line.verdict == Some(Verdict::Beyond))
            .map(|line| format!("{}: {}", line.label, line.note))
            .collect()
    }

    fn bad(&self) -> bool {
        self.check.verdict() == Some(Verdict::Beyond)
    }

    fn held(&self) -> bool {
        self.check.case.job.state == State::Held
            && self.check.case.job.held_for.as_deref() == Some("circuit")
    }

    /// The figures have changed since the check was recorded.
    fn stale(&self) -> bool {
        self.recorded
            .as_ref()
            .is_some_and(|recorded| Some(recorded.verdict) != self.check.verdict())
    }

    fn feed_words(&self) -> String {
        let machine = &self.check.case.machine;
        match machine.feed_proved_on {
            Some(day) if machine.feed_proved_by.is_empty() => {
                format!("Proved on {} to feed the machine", date_words(day))
            }
            Some(day) => format!(
                "Proved on {} by {} to feed the machine",
                date_words(day),
                machine.feed_proved_by
            ),
            None => "Nobody has proved that this circuit feeds the machine. Prove it before you \
                     rely on this check"
                .to_owned(),
        }
    }
}

async fn timeline(
    app: &AppState,
    check: &Check,
) -> Result<(Option<Recorded>, Option<Decision>), AppError> {
    let zone = app.zone();
    let (mut recorded, mut decision) = (None, None);
    let chosen = check.case.job.chosen_motor_id;
    let stands = chosen.is_some() && check.case.job.circuit_motor_id == chosen;
    if !stands {
        return Ok((None, None));
    }
    for entry in queries::entries(&app.db, check.case.job.id).await? {
        if entry.set_aside.is_some() {
            continue;
        }
        let at = zone.minute_words(entry.received_at);
        match entry.body {
            Body::CircuitChecked {
                motor_id,
                rule_set,
                verdict,
                ..
            } if Some(motor_id) == chosen => {
                recorded = Some(Recorded {
                    person: entry.person,
                    at,
                    rule_set,
                    verdict,
                });
                decision = None;
            }
            Body::CircuitDecided {
                motor_id,
                licensed_person,
                licence,
                decision: words,
            } if Some(motor_id) == chosen => {
                let noted_by = entry.person;
                decision = Some(Decision {
                    licensed_person,
                    licence,
                    decision: words,
                    noted_by,
                    at,
                });
            }
            _ => {}
        }
    }
    debug_assert!(recorded.as_ref().is_none_or(|r| {
        check.case.job.circuit_verdict.as_deref() == Some(verdict_word(r.verdict))
    }));
    Ok((recorded, decision))
}
