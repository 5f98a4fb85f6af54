//! Topics of parts that are replaced: lives, curves, the age to replace.

use super::{CENSORED, CONFIDENCE, FAILURES, confidence, limit_pair, list};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::life::weibull::Weibull;
use crate::life::weibull_fit::{self, Fit};
use crate::life::{Ages, age, sig, survival};
use crate::shown::{Fill, line};
use crate::working::Working;

const BETA: Want = want("beta", "Shape", Takes::Number).note("above zero; above 1 is wear");
const ETA: Want = want("eta", "Characteristic life", Takes::Number)
    .note("age by which 63.2 % have failed, above zero, any one unit of time");

const fn answer(name: &'static str, what: &'static str) -> Answer {
    Answer {
        name,
        unit: "",
        what,
    }
}

fn ages(given: &Given) -> Result<Ages, Trouble> {
    let failed = given.need_numbers("failures")?;
    let removed = given.numbers("censored")?.unwrap_or_default();
    Ok(Ages::new(&failed, &removed)?)
}

fn law(given: &Given) -> Result<Weibull, Trouble> {
    Ok(Weibull::new(
        given.need_number("beta")?,
        given.need_number("eta")?,
    )?)
}

pub(super) const WEIBULL_MLE: Topic = Topic {
    name: "weibull_mle_right_censored",
    title: "Life of a part from its ages, with removals",
    what: "Shape and characteristic life of a replaced part by maximum likelihood.",
    subject: Subject::Life,
    wants: &[FAILURES, CENSORED],
    answers: &[
        answer(
            "beta",
            "shape; null with fewer than two different ages at failure",
        ),
        answer(
            "eta",
            "age by which 63.2 % have failed; null without a shape",
        ),
        answer("loglik", "log-likelihood"),
        answer("aic", "Akaike's criterion"),
        answer("mean", "mean life"),
        answer("sd", "standard deviation of life"),
        answer("b10", "age by which 10 % have failed"),
        answer("median", "age by which half have failed"),
        answer("beta_lower95", "lower 95 % two-sided limit of the shape"),
        answer("beta_upper95", "upper 95 % two-sided limit of the shape"),
        answer("eta_lower95", "lower 95 % two-sided limit of the life"),
        answer("eta_upper95", "upper 95 % two-sided limit of the life"),
        answer("n_failures", "failures"),
        answer("n_removals", "removals"),
        answer("reason", "why there is no shape"),
    ],
    run: |given| {
        let ages = ages(given)?;
        let fit = weibull_fit::fit(&ages)?;
        let figure = Figure::new(weibull_fit::working(&ages, fit.as_ref()))
            .with("n_failures", ages.failed().len())
            .with("n_removals", ages.removed().len());
        Ok(match fit {
            Some(fit) => fitted(figure, &fit),
            None => figure
                .with("beta", None::<f64>)
                .with("eta", None::<f64>)
                .with("reason", "fewer_than_two_distinct_failure_ages"),
        })
    },
};

fn fitted(figure: Figure, fit: &Fit) -> Figure {
    figure
        .with("beta", fit.law.beta)
        .with("eta", fit.law.eta)
        .with("loglik", fit.loglik)
        .with("aic", fit.aic)
        .with_some("mean", fit.law.mean())
        .with_some("sd", fit.law.deviation())
        .with_some("b10", fit.law.quantile(0.1))
        .with_some("median", fit.law.quantile(0.5))
        .with_some("beta_lower95", fit.beta.lower)
        .with_some("beta_upper95", fit.beta.upper)
        .with_some("eta_lower95", fit.eta.lower)
        .with_some("eta_upper95", fit.eta.upper)
}

pub(super) const WEIBULL_ASSUMED: Topic = Topic {
    name: "weibull_assumed_shape",
    title: "Life of a part of an assumed shape",
    what: "Characteristic life from one failure or none, with a shape known from like parts.",
    subject: Subject::Life,
    wants: &[
        want("beta", "Assumed shape", Takes::Number).note("above 0, at most 100; from like parts"),
        FAILURES,
        CENSORED,
        CONFIDENCE,
    ],
    answers: &[
        answer(
            "eta",
            "age by which 63.2 % have failed; null without failures",
        ),
        answer("eta_lower", "its lower one-sided limit"),
        answer(
            "eta_upper",
            "its upper one-sided limit; null without failures",
        ),
    ],
    run: |given| {
        let beta = given.need_number("beta")?;
        let found = weibull_fit::assumed(&ages(given)?, beta, confidence(given)?)?;
        let (lower, upper) = limit_pair(found.confidence.is_some(), found.limits);
        Ok(Figure::new(weibull_fit::assumed_working(&found))
            .with("eta", found.eta)
            .with_some("eta_lower", lower)
            .with_some("eta_upper", upper))
    },
};

pub(super) const WEIBULL_FUNCTIONS: Topic = Topic {
    name: "weibull_functions",
    title: "Chance to survive, and hazard, at given ages",
    what: "What a Weibull life says at each age: share alive, hazard, and chance to run on.",
    subject: Subject::Life,
    wants: &[
        BETA,
        ETA,
        want("t", "Ages", Takes::Numbers).note("zero or above, same unit of time"),
        want("more", "To run on for", Takes::Number)
            .note("zero or above; blank gives the chance of 300 more alone"),
    ],
    answers: &[
        answer("reliability", "share alive at each age"),
        answer(
            "hazard",
            "failures a unit of time at each age; null where it has no bound",
        ),
        answer(
            "conditional_300_more",
            "chance to run 300 more from each age",
        ),
        answer(
            "conditional_more",
            "chance to run on for `more` from each age",
        ),
        answer("mean", "mean life"),
        answer("sd", "standard deviation of life"),
        answer("b10", "age by which 10 % have failed"),
        answer("median", "age by which half have failed"),
    ],
    run: functions,
};

fn functions(given: &Given) -> Result<Figure, Trouble> {
    let law = law(given)?;
    let ages = given.need_numbers("t")?;
    if ages.len() > crate::life::MOST || ages.iter().any(|t| *t < 0.0) {
        return Err(Trouble::of("t", "Give at most 20 000 ages, zero or above"));
    }
    let more = given.not_negative("more")?;
    let mut working = Working::new("A Weibull life at given ages");
    for t in ages.iter().take(20) {
        let hazard = law.hazard(*t).map_or("without bound".to_owned(), sig);
        working.lines.push(
            line("reliability", "Share alive")
                .value(sig(law.survival(*t).unwrap_or(0.0)), "")
                .rule("exp(-(t/eta)^beta)", "NIST/SEMATECH e-Handbook 8.1.6.2")
                .note(format!("At {}; hazard {hazard}.", sig(*t))),
        );
    }
    let run_on = |more: f64| list(ages.iter().map(|t| law.conditional(*t, more)));
    Ok(Figure::new(working)
        .with("reliability", list(ages.iter().map(|t| law.survival(*t))))
        .with("hazard", list(ages.iter().map(|t| law.hazard(*t))))
        .with("conditional_300_more", run_on(300.0))
        .with_some("conditional_more", more.map(run_on))
        .with_some("mean", law.mean())
        .with_some("sd", law.deviation())
        .with_some("b10", law.quantile(0.1))
        .with_some("median", law.quantile(0.5)))
}

pub(super) const PRODUCT_LIMIT: Topic = Topic {
    name: "product_limit",
    title: "Share still alive by age, with removals",
    what: "The product-limit curve of a replaced part, with no assumed shape.",
    subject: Subject::Life,
    wants: &[FAILURES, CENSORED, CONFIDENCE],
    answers: &[
        answer("times", "ages at failure"),
        answer("survival", "share alive after each"),
        answer("at_risk", "parts that reached each"),
        answer("failed", "failures at each"),
        answer(
            "lower",
            "lower two-sided limit of each share; null where nothing is left",
        ),
        answer(
            "upper",
            "upper two-sided limit of each share; null where nothing is left",
        ),
        answer(
            "median",
            "age by which half have failed; absent while fewer have",
        ),
    ],
    run: |given| {
        let ages = ages(given)?;
        let asked = confidence(given)?;
        let steps = survival::product_limit(&ages, asked);
        let at_risk: Vec<usize> = steps.iter().map(|step| step.at_risk).collect();
        let failed: Vec<usize> = steps.iter().map(|step| step.failed).collect();
        let lower = asked.map(|_| list(steps.iter().map(|step| step.limits.lower)));
        let upper = asked.map(|_| list(steps.iter().map(|step| step.limits.upper)));
        Ok(Figure::new(survival::working(&ages, &steps, asked))
            .with("times", list(steps.iter().map(|step| Some(step.age))))
            .with(
                "survival",
                list(steps.iter().map(|step| Some(step.survival))),
            )
            .with("at_risk", at_risk)
            .with("failed", failed)
            .with_some("lower", lower)
            .with_some("upper", upper)
            .with_some("median", survival::median(&steps)))
    },
};

pub(super) const AGE_REPLACEMENT: Topic = Topic {
    name: "age_replacement",
    title: "Replace a part by age, or run it to failure",
    what: "The age at which planned replacement costs least, what it saves, and how exact it is.",
    subject: Subject::Life,
    wants: &[
        BETA,
        ETA,
        want(
            "cost_preventive",
            "Cost of a planned replacement",
            Takes::Number,
        )
        .note("above zero, all told: part, hours, stop"),
        want("cost_failure", "Cost of a failure", Takes::Number)
            .note("above zero, same money: part, call-out, damage, loss"),
    ],
    answers: &[
        answer(
            "optimal_age",
            "age of least cost; null means run to failure",
        ),
        answer("cost_rate", "cost a unit of time at it"),
        answer(
            "run_to_failure_cost_rate",
            "cost a unit of time without replacing by age",
        ),
        answer("saving_fraction", "part of that cost which it saves"),
        answer("range_from", "youngest age within 5 % of the least cost"),
        answer(
            "range_to",
            "oldest age within 5 %; null where running to failure is too",
        ),
        answer("reason", "why there is no such age"),
        answer(
            "beyond_any_life",
            "true where hardly a part in a million reaches that age",
        ),
    ],
    run: |given| {
        let law = law(given)?;
        let planned = given.need_number("cost_preventive")?;
        let found = age::replacement(law, planned, given.need_number("cost_failure")?)?;
        let figure = Figure::new(age::working(law, &found))
            .with_some("run_to_failure_cost_rate", found.run_to_failure);
        Ok(match found.best {
            Ok(best) => figure
                .with("optimal_age", best.age)
                .with("cost_rate", best.cost_rate)
                .with_some("saving_fraction", best.saving)
                .with("range_from", best.from)
                .with("range_to", best.to)
                .with_some("beyond_any_life", best.beyond_any_life.then_some(true)),
            Err(reason) => figure
                .with("optimal_age", None::<f64>)
                .with("reason", reason.word()),
        })
    },
};

/// A figure under either of two names.
fn either(given: &Given, name: &str, other: &str) -> Result<f64, Trouble> {
    match (given.number(name)?, given.number(other)?) {
        (Some(_), Some(_)) => Err(Trouble::of(
            other,
            format!("Give {name} or {other}, not both"),
        )),
        (one, two) => given.need(name, one.or(two)),
    }
}

pub(super) const OVERHAUL_INTERVAL: Topic = Topic {
    name: "overhaul_interval",
    title: "When to overhaul a unit that is patched between",
    what: "Interval between overhauls where patch repairs leave the unit as worn as it was.",
    subject: Subject::Life,
    wants: &[
        BETA,
        ETA,
        want("cost_overhaul", "Cost of an overhaul", Takes::Number).note("above zero"),
        want("cost_patch", "Cost of a patch repair", Takes::Number).note("above zero, same money"),
        want("cost_preventive", "Cost of an overhaul", Takes::Number)
            .note("another name of cost_overhaul"),
        want("cost_failure", "Cost of a patch repair", Takes::Number)
            .note("another name of cost_patch"),
    ],
    answers: &[
        answer(
            "interval",
            "time between overhauls; null where overhauling gains nothing",
        ),
        answer("reason", "why there is none"),
    ],
    run: |given| {
        let law = law(given)?;
        let cost = either(given, "cost_overhaul", "cost_preventive")?;
        let found = age::overhaul(law, cost, either(given, "cost_patch", "cost_failure")?)?;
        Ok(Figure::new(age::overhaul_working(law, found))
            .with("interval", found.ok())
            .with_some("reason", found.err().map(age::NoAge::word)))
    },
};
