//! At what age to replace a wearing part before it fails, and when to overhaul.

use super::weibull::Weibull;
use super::{Refused, dist, finite, refuse, sig};
use crate::shown::{Fill, figure, line};
use crate::working::Working;

/// Why there is no age at which replacing pays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoAge {
    /// The hazard does not rise.
    ShapeNotAboveOne,
    /// A planned replacement costs as much as a failure, or more.
    PreventiveNotCheaper,
    /// The best age lies beyond the range of numbers.
    BeyondAnyLife,
}

impl NoAge {
    /// The word of the answer.
    pub fn word(self) -> &'static str {
        match self {
            NoAge::ShapeNotAboveOne => "shape_not_above_1",
            NoAge::PreventiveNotCheaper => "preventive_not_cheaper",
            NoAge::BeyondAnyLife => "beyond_any_life",
        }
    }

    fn sentence(self) -> &'static str {
        match self {
            NoAge::ShapeNotAboveOne => {
                "Run to failure: an old part fails no sooner than a new one."
            }
            NoAge::PreventiveNotCheaper => {
                "Run to failure: a planned replacement is no cheaper than a failure."
            }
            NoAge::BeyondAnyLife => "Run to failure: the best age lies beyond any part's life.",
        }
    }
}

/// The best age and what it saves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Best {
    /// The age of least cost.
    pub age: f64,
    /// Cost a unit of time at it.
    pub cost_rate: f64,
    /// Part of the run-to-failure cost that it saves; `None` where that cost is out of range.
    pub saving: Option<f64>,
    /// Youngest age within 5 % of the least cost.
    pub from: f64,
    /// Oldest age within 5 % of the least cost; `None` where running to failure is within it too.
    pub to: Option<f64>,
    /// Hardly a part in a million reaches the age: running to failure comes to the same.
    pub beyond_any_life: bool,
}

/// Replace by age, or run to failure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Replacement {
    /// The best age, or why there is none.
    pub best: Result<Best, NoAge>,
    /// Cost a unit of time of running to failure; `None` where the mean life is out of range.
    pub run_to_failure: Option<f64>,
}

struct Costs {
    law: Weibull,
    preventive: f64,
    failure: f64,
    mean: f64,
}

impl Costs {
    /// Mean time in service of a part replaced at age `t`: the integral of `R` from 0 to `t`.
    fn served(&self, t: f64) -> f64 {
        self.mean * dist::gamma_below(1.0 / self.law.beta, (t / self.law.eta).powf(self.law.beta))
    }

    /// `[Cp R(t) + Cf F(t)] / served(t)`.
    fn rate(&self, t: f64) -> f64 {
        let failed = self.law.failed(t).unwrap_or(1.0);
        let survived = self.law.survival(t).unwrap_or(0.0);
        (self.preventive * survived + self.failure * failed) / self.served(t)
    }

    /// `h(t) served(t) - F(t)`, rising from 0 without end while the shape is above 1.
    fn gain(&self, t: f64) -> f64 {
        let hazard = self.law.hazard(t).unwrap_or(f64::MAX);
        hazard * self.served(t) - self.law.failed(t).unwrap_or(1.0)
    }

    /// Halves `low..high` (by their ratio) down to where `past` turns true.
    fn turn(&self, mut low: f64, mut high: f64, past: impl Fn(f64) -> bool) -> f64 {
        for _ in 0..200 {
            let middle = low.sqrt() * high.sqrt();
            if past(middle) {
                high = middle;
            } else {
                low = middle;
            }
            if high / low < 1.0 + 1e-13 {
                break;
            }
        }
        low.sqrt() * high.sqrt()
    }

    fn best(&self) -> Result<Best, NoAge> {
        if self.law.beta <= 1.0 {
            return Err(NoAge::ShapeNotAboveOne);
        }
        if self.preventive >= self.failure {
            return Err(NoAge::PreventiveNotCheaper);
        }
        let goal = self.preventive / (self.failure - self.preventive);
        // One part in a million is still alive at this age.
        let lived = self.law.quantile(1.0 - 1e-6).ok_or(NoAge::BeyondAnyLife)?;
        let far = || std::iter::successors(Some(lived), |t| finite(t * 2.0));
        let most = far()
            .find(|t| self.gain(*t) >= goal)
            .filter(|_| goal.is_finite())
            .ok_or(NoAge::BeyondAnyLife)?;
        let least = most * 1e-12;
        let age = self.turn(least, most, |t| self.gain(t) >= goal);
        let cost_rate = self.rate(age);
        let dear = 1.05 * cost_rate;
        let from = self.turn(least, age, |t| self.rate(t) <= dear);
        let to = (self.rate(most) > dear).then(|| self.turn(age, most, |t| self.rate(t) > dear));
        let found = Best {
            age,
            cost_rate,
            saving: finite(1.0 - cost_rate / (self.failure / self.mean)),
            from,
            to,
            beyond_any_life: age > lived,
        };
        let held = finite(age).and(finite(cost_rate)).and(finite(from));
        held.map(|_| found).ok_or(NoAge::BeyondAnyLife)
    }
}

/// Age at which replacing a part costs least, all told.
///
/// Least of `[Cp R(t) + Cf F(t)] / integral of R`, which is where
/// `h(t) integral R - F(t) = Cp / (Cf - Cp)`. None where the shape is 1 or less, where the planned
/// cost `Cp` is not below the cost of a failure `Cf`, or where the best age lies beyond the range of
/// numbers. An age that hardly one part in a million reaches is given and marked. Running to failure costs `Cf / mean life`. Costs above zero in one
/// money; ages in the unit of `eta`. The curve is flat: the range within 5 % of the least cost says
/// more than the age.
/// # Errors
/// A cost that is not above zero. Source: textbook, age replacement.
pub fn replacement(law: Weibull, preventive: f64, failure: f64) -> Result<Replacement, Refused> {
    if !(preventive > 0.0 && preventive.is_finite()) {
        return refuse(
            "cost_preventive",
            "Give the cost of a planned replacement, above zero",
        );
    }
    if !(failure > 0.0 && failure.is_finite()) {
        return refuse("cost_failure", "Give the cost of a failure, above zero");
    }
    let Some(mean) = law.mean().filter(|mean| *mean > 0.0) else {
        let reason = if law.beta <= 1.0 {
            NoAge::ShapeNotAboveOne
        } else {
            NoAge::BeyondAnyLife
        };
        return Ok(Replacement {
            best: Err(reason),
            run_to_failure: None,
        });
    };
    let costs = Costs {
        law,
        preventive,
        failure,
        mean,
    };
    Ok(Replacement {
        best: costs.best(),
        run_to_failure: finite(failure / mean),
    })
}

/// Interval between overhauls where failures between them are patched and leave the age as it was:
/// `eta (Cp / (Cf (beta - 1)))^(1/beta)`.
///
/// `Cp` is the cost of an overhaul and `Cf` that of a patch, above zero in one money. None
/// where the shape is 1 or less: overhauling gains nothing.
/// # Errors
/// A cost that is not above zero. Source: textbook, minimal repair.
pub fn overhaul(law: Weibull, overhaul: f64, patch: f64) -> Result<Result<f64, NoAge>, Refused> {
    if !(overhaul > 0.0 && overhaul.is_finite()) {
        return refuse("cost_overhaul", "Give the cost of an overhaul, above zero");
    }
    if !(patch > 0.0 && patch.is_finite()) {
        return refuse("cost_patch", "Give the cost of a patch repair, above zero");
    }
    if law.beta <= 1.0 {
        return Ok(Err(NoAge::ShapeNotAboveOne));
    }
    let share = overhaul / (patch * (law.beta - 1.0));
    let interval = finite(law.eta * share.powf(1.0 / law.beta)).filter(|age| *age > 0.0);
    Ok(interval.ok_or(NoAge::BeyondAnyLife))
}

/// The interval between overhauls as lines.
pub fn overhaul_working(law: Weibull, found: Result<f64, NoAge>) -> Working {
    let mut working = Working::new("When to overhaul");
    working.lines.push(
        line("beta", "Shape")
            .value(sig(law.beta), "")
            .note(law.shape_words()),
    );
    let shown = line("interval", "Time between overhauls").rule(
        "eta (overhaul / (patch (beta - 1)))^(1/beta)",
        "textbook, minimal repair",
    );
    working.lines.push(match found {
        Ok(interval) => shown.value(sig(interval), ""),
        Err(NoAge::ShapeNotAboveOne) => {
            shown.note("The shape is not above 1: overhauling gains nothing.")
        }
        Err(_) => shown.note("Beyond the range of numbers: overhauling gains nothing."),
    });
    working
}

/// The judgement as lines.
pub fn working(law: Weibull, found: &Replacement) -> Working {
    let mut working = Working::new("Replace by age, or run to failure");
    working.lines.push(
        line("beta", "Shape")
            .value(sig(law.beta), "")
            .note(law.shape_words()),
    );
    let run = line("run_to_failure_cost_rate", "Cost of running to failure")
        .rule("cost of a failure / mean life", "textbook");
    working.lines.push(match found.run_to_failure {
        Some(cost) => run.value(sig(cost), "").note("In money a unit of time."),
        None => run.note("Too spread out for a mean life."),
    });
    let age = line("optimal_age", "Age of least cost").rule(
        "least of (planned cost x alive + failure cost x failed) / mean time in service",
        "textbook",
    );
    match found.best {
        Err(reason) => working
            .lines
            .push(age.value("none", "").note(reason.sentence())),
        Ok(best) => push_best(&mut working, age, &best),
    }
    working.cautions.push(
        "Only for a part whose failure costs money and hurts nobody; where it can hurt, cost does not decide.".into(),
    );
    working
}

fn push_best(working: &mut Working, age: crate::working::Line, best: &Best) {
    let range = match best.to {
        Some(to) => format!("{} to {} within 5 %", sig(best.from), sig(to)),
        None => format!(
            "{} and later within 5 %, running to failure too",
            sig(best.from)
        ),
    };
    working.lines.push(
        age.value(sig(best.age), "")
            .limit(range)
            .note(if best.beyond_any_life {
                "Hardly one part in a million lives that long: running to failure comes to the same."
            } else {
                "The cost is flat about it: any age of the range will do."
            }),
    );
    let saved = best.saving.map_or_else(String::new, |saving| {
        format!(
            "{} % saved against running to failure",
            figure(100.0 * saving, 1)
        )
    });
    working.lines.push(
        line("cost_rate", "Cost at that age")
            .value(sig(best.cost_rate), "")
            .margin(saved),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn law(beta: f64, eta: f64) -> Weibull {
        Weibull::new(beta, eta).expect("a law")
    }

    #[test]
    fn no_age_without_wear_or_without_a_cheaper_plan() {
        let reason = |beta, preventive, failure| {
            let found = replacement(law(beta, 1000.0), preventive, failure).expect("costs");
            found.best.expect_err("no age").word()
        };
        assert_eq!(reason(1.0, 1.0, 5.0), "shape_not_above_1");
        assert_eq!(reason(0.7, 5.0, 5.0), "shape_not_above_1");
        assert_eq!(reason(2.5, 5.0, 5.0), "preventive_not_cheaper");
        assert_eq!(reason(1.001, 1.0, 1.5), "beyond_any_life");
        let far = replacement(law(1.3, 1000.0), 10.0, 11.0).expect("costs");
        let far = far.best.expect("an age");
        assert!(far.beyond_any_life && far.age.is_finite() && far.to.is_none());
    }

    #[test]
    fn the_range_costs_five_percent_more_at_its_ends() {
        let law = law(2.5, 1000.0);
        let best = replacement(law, 1.0, 5.0)
            .expect("costs")
            .best
            .expect("an age");
        let costs = Costs {
            law,
            preventive: 1.0,
            failure: 5.0,
            mean: law.mean().expect("a mean"),
        };
        for end in [best.from, best.to.expect("an end")] {
            assert!((costs.rate(end) / best.cost_rate - 1.05).abs() < 1e-6);
        }
    }

    #[test]
    fn overhaul_follows_the_closed_form() {
        let found = overhaul(law(2.0, 1000.0), 400.0, 100.0).expect("costs");
        assert!((found.expect("an age") - 2000.0).abs() < 1e-9);
        let none = overhaul(law(1.0, 1000.0), 1.0, 1.0).expect("costs");
        assert_eq!(none, Err(NoAge::ShapeNotAboveOne));
    }

    proptest! {
        #[test]
        fn no_other_age_is_cheaper(
            beta in 1.2f64..8.0, eta in 1.0f64..1e5, ratio in 1.5f64..50.0, other in 0.01f64..1.0,
        ) {
            let law = law(beta, eta);
            if let Ok(best) = replacement(law, 1.0, ratio).expect("costs").best {
                let costs = Costs { law, preventive: 1.0, failure: ratio, mean: law.mean().expect("a mean") };
                let at = eta * 2.0 * other;
                prop_assert!(costs.rate(at) >= best.cost_rate * (1.0 - 1e-9));
                prop_assert!(best.from <= best.age && best.to.is_none_or(|to| to >= best.age));
                prop_assert!(best.saving.expect("a saving") >= -1e-9);
            }
        }

        #[test]
        fn no_input_panics(beta in any::<f64>(), eta in any::<f64>(), a in any::<f64>(), b in any::<f64>()) {
            if let Ok(law) = Weibull::new(beta, eta) {
                if let Ok(found) = replacement(law, a, b) {
                    working(law, &found);
                    if let Ok(best) = found.best {
                        prop_assert!(best.age.is_finite() && best.cost_rate.is_finite());
                    }
                }
                if let Ok(found) = overhaul(law, a, b) {
                    overhaul_working(law, found);
                    prop_assert!(found.is_err() || found.is_ok_and(f64::is_finite));
                }
            }
        }
    }
}
