//! Topics of units that are repaired: trend, current rate, failures of a fleet by age.

use super::{
    CONFIDENCE, END, ENDS, EVENTS, SIDES, SYSTEMS, TERMINATION, asked, confidence, ended, limit,
    limit_pair, list, renamed, sides, whole,
};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, want};
use crate::life::growth::{self, Estimate, PowerLaw};
use crate::life::repairable::{self, Quoted};
use crate::life::trend::{self, Trends};
use crate::life::{Limits, mcf};
use serde_json::{Value, json};

const fn answer(name: &'static str, what: &'static str) -> Answer {
    Answer {
        name,
        unit: "",
        what,
    }
}

pub(super) const FAILURE_RATE: Topic = Topic {
    name: "failure_rate",
    title: "How often a repaired unit fails",
    what: "Tests for a trend first, then gives the constant rate or the current one, with limits.",
    subject: Subject::Life,
    wants: &[EVENTS, END, CONFIDENCE, SIDES, TERMINATION],
    answers: &[
        answer("failures", "failures counted"),
        answer("finding", "steady, worse, better or too_few"),
        answer("basis", "constant, current or none: which rate is given"),
        answer(
            "mtbf",
            "constant mean time between failures; null without failures",
        ),
        answer(
            "mtbf_now",
            "mean time between failures at the end, where there is a trend",
        ),
        answer("lower", "lower limit of the mean given"),
        answer(
            "upper",
            "upper limit of it; null where not asked or none exists",
        ),
        answer("beta", "shape of the power law, where there is a trend"),
        answer("laplace_u", "Laplace's u; above zero is getting worse"),
        answer("laplace_p_two_sided", "its chance without a trend"),
        answer(
            "mil_p_improving",
            "chance by the handbook's test, getting better",
        ),
        answer(
            "mil_p_degrading",
            "chance by the handbook's test, getting worse",
        ),
    ],
    run: rate,
};

fn rate(given: &Given) -> Result<Figure, Trouble> {
    let events = given.need_numbers("events")?;
    let asked = asked(given)?;
    let confidence = asked.map(|(confidence, _)| confidence);
    let found = repairable::judge(
        &events,
        given.number("end")?,
        ended(given)?,
        confidence,
        sides(given)?,
    )?;
    let mut figure = Figure::new(repairable::working(&found, asked))
        .with("failures", found.failures)
        .with("finding", found.finding.word());
    if let Some(trends) = &found.trends {
        figure = figure
            .with("laplace_u", trends.laplace_u)
            .with("laplace_p_two_sided", trends.laplace_p)
            .with("mil_p_improving", trends.p_improving)
            .with("mil_p_degrading", trends.p_degrading);
    }
    let (figure, limits) = match &found.quoted {
        Quoted::Constant(rate) => (
            figure.with("basis", "constant").with("mtbf", rate.mtbf),
            rate.limits,
        ),
        Quoted::Current(law) => (
            figure
                .with("basis", "current")
                .with("mtbf_now", law.mtbf())
                .with("beta", law.beta),
            law.mtbf_limits,
        ),
        Quoted::Neither(_) => (figure.with("basis", "none"), Limits::default()),
    };
    let (lower, upper) = limit_pair(asked.is_some(), limits);
    Ok(figure.with_some("lower", lower).with_some("upper", upper))
}

pub(super) const TREND_TESTS: Topic = Topic {
    name: "trend_tests",
    title: "Is a repaired unit getting better or worse?",
    what: "Three tests for a trend in the failures of one unit.",
    subject: Subject::Life,
    wants: &[EVENTS, END, TERMINATION],
    answers: &[
        answer("laplace_u", "Laplace's u; above zero is getting worse"),
        answer("laplace_p_two_sided", "its chance without a trend"),
        answer("mil_chi2", "2 sum ln(T/t)"),
        answer("mil_df", "its degrees of freedom"),
        answer(
            "mil_p_improving",
            "chance of so large a value without a trend",
        ),
        answer(
            "mil_p_degrading",
            "chance of so small a value without a trend",
        ),
        answer("reversals", "pairs of gaps of which the later is longer"),
        answer("reversals_max", "pairs"),
        answer("reversals_expected", "expected without a trend"),
        answer("reversals_p_improving", "chance of so many without a trend"),
        answer("reversals_p_degrading", "chance of so few without a trend"),
        answer("finding", "steady, worse, better or too_few"),
    ],
    run: |given| {
        let events = given.need_numbers("events")?;
        let found = trend::tests(&events, given.number("end")?, ended(given)?)?;
        let figure = Figure::new(trend::working(found.as_ref()));
        Ok(match found {
            Some(found) => tests(figure, &found),
            None => figure.with("finding", "too_few"),
        })
    },
};

fn tests(figure: Figure, found: &Trends) -> Figure {
    figure
        .with("laplace_u", found.laplace_u)
        .with("laplace_p_two_sided", found.laplace_p)
        .with("mil_chi2", found.chi2)
        .with("mil_df", found.df)
        .with("mil_p_improving", found.p_improving)
        .with("mil_p_degrading", found.p_degrading)
        .with("reversals", found.reversals)
        .with("reversals_max", found.reversals_max)
        .with("reversals_expected", found.reversals_expected)
        .with("reversals_p_improving", found.reversals_p_improving)
        .with("reversals_p_degrading", found.reversals_p_degrading)
        .with("finding", found.finding().word())
}

const BETA: Answer = answer("beta", "shape; above 1 is getting worse");
const BETA_LOWER: Answer = answer("beta_lower", "lower limit of the shape");
const BETA_UPPER: Answer = answer("beta_upper", "upper limit of the shape");
const MTBF_AT_END: Answer = answer(
    "mtbf_at_end",
    "mean time between failures of one unit at the end",
);
const MTBF_LOWER: Answer = answer("mtbf_lower", "its lower limit");
const MTBF_UPPER: Answer = answer("mtbf_upper", "its upper limit; null where none exists");
const W2: Answer = answer("w2", "Cramer-von Mises statistic of the fit");
const COUNT: Answer = answer("n", "events");

pub(super) const POWER_LAW_MODIFIED: Topic = Topic {
    name: "power_law_modified_mle",
    title: "Power law of one repaired unit, less biased",
    what: "Shape, scale and current mean time between failures of one unit, with limits.",
    subject: Subject::Life,
    wants: &[EVENTS, END, TERMINATION, CONFIDENCE, SIDES],
    answers: &[
        BETA,
        BETA_LOWER,
        BETA_UPPER,
        answer(
            "improvement_slope",
            "1 - beta; above zero is getting better",
        ),
        answer("a", "scale: expected count a t^beta"),
        MTBF_AT_END,
        MTBF_LOWER,
        MTBF_UPPER,
        W2,
        COUNT,
    ],
    run: |given| {
        let events = given.need_numbers("events")?;
        let ends: Vec<f64> = given.number("end")?.into_iter().collect();
        let (ended, asked) = (ended(given)?, asked(given)?);
        let law = growth::fit(&[events], &ends, ended, Estimate::Modified, asked)
            .map_err(|refused| renamed(refused, &[("systems", "events"), ("ends", "end")]))?;
        Ok(power(
            &law,
            asked.is_some(),
            Figure::new(growth::working(&law, asked)),
        )
        .with("improvement_slope", 1.0 - law.beta)
        .with_some("a", law.lambda))
    },
};

fn power(law: &PowerLaw, asked: bool, figure: Figure) -> Figure {
    figure
        .with("beta", law.beta)
        .with_some("beta_lower", limit(asked, law.beta_limits.lower))
        .with_some("beta_upper", limit(asked, law.beta_limits.upper))
        .with_some("mtbf_at_end", law.mtbf())
        .with_some("mtbf_lower", limit(asked, law.mtbf_limits.lower))
        .with_some("mtbf_upper", limit(asked, law.mtbf_limits.upper))
        .with_some("w2", law.w2)
        .with("n", law.events)
}

pub(super) const POWER_LAW_MLE: Topic = Topic {
    name: "power_law_mle",
    title: "Power law of one or more repaired units, plain",
    what: "Shape, scale and current rate of like units: by events / sum ln(T/t), the maximum likelihood given each unit's count, and by the whole likelihood.",
    subject: Subject::Life,
    wants: &[
        SYSTEMS,
        ENDS,
        TERMINATION,
        CONFIDENCE,
        SIDES,
        want("next", "Time ahead", Takes::Number)
            .note("zero or above; blank gives the failures of the next 500 alone"),
    ],
    answers: &[
        BETA,
        BETA_LOWER,
        BETA_UPPER,
        answer("lam", "scale of one unit: expected count lam t^beta"),
        answer("beta_unbiased", "less biased shape"),
        answer(
            "intensity_at_end",
            "failures a unit of time of one unit at the (last) end",
        ),
        MTBF_AT_END,
        MTBF_LOWER,
        MTBF_UPPER,
        answer(
            "mtbf_at_200",
            "mtbf_at_end named for its age, here an end at 200",
        ),
        answer(
            "expected_events_next_500",
            "failures of one unit expected in the next 500",
        ),
        answer(
            "expected_events_next",
            "failures of one unit expected in the time ahead",
        ),
        answer(
            "beta_full_ml",
            "shape by the whole likelihood; beta is that given each unit's count",
        ),
        answer("lam_full_ml", "its scale, a unit"),
        answer(
            "mtbf_at_end_full_ml",
            "mean time between failures of one unit at the (last) end, by it",
        ),
        W2,
        COUNT,
    ],
    run: plain,
};

fn plain(given: &Given) -> Result<Figure, Trouble> {
    let systems = given.need("systems", given.number_lists("systems")?)?;
    let ends = given.numbers("ends")?.unwrap_or_default();
    let (ended, asked) = (ended(given)?, asked(given)?);
    let next = given.not_negative("next")?;
    let law = growth::fit(&systems, &ends, ended, Estimate::Plain, asked)
        .map_err(|refused| renamed(refused, &[("events", "systems"), ("end", "ends")]))?;
    let named = format!("mtbf_at_{}", crate::shown::figure(law.end, 6));
    Ok(power(
        &law,
        asked.is_some(),
        Figure::new(growth::working(&law, asked)),
    )
    .with_some("lam", law.lambda)
    .with_some("beta_unbiased", law.beta_unbiased)
    .with("intensity_at_end", law.intensity)
    .with_some(&named, law.mtbf())
    .with_some("expected_events_next_500", law.expected(500.0))
    .with_some(
        "expected_events_next",
        next.and_then(|next| law.expected(next)),
    )
    .with_some("beta_full_ml", law.full.map(|full| full.beta))
    .with_some("lam_full_ml", law.full.and_then(|full| full.lambda))
    .with_some("mtbf_at_end_full_ml", law.full.map(|full| full.mtbf)))
}

pub(super) const MEAN_CUMULATIVE: Topic = Topic {
    name: "mean_cumulative_function",
    title: "Failures a unit by age, for a fleet",
    what: "Mean cumulative failures of repaired units that were watched for different times.",
    subject: Subject::Life,
    wants: &[SYSTEMS, ENDS, CONFIDENCE],
    answers: &[
        answer("steps", "pairs of age and failures a unit up to it"),
        answer("watched", "units still watched at each"),
        answer(
            "lower",
            "lower two-sided limit at each; null with one unit watched",
        ),
        answer(
            "upper",
            "upper two-sided limit at each; null with one unit watched",
        ),
    ],
    run: |given| {
        let systems = given.need("systems", given.number_lists("systems")?)?;
        let ends = given.need_numbers("ends")?;
        let asked = confidence(given)?;
        let steps = mcf::mean_cumulative(&systems, &ends, asked)?;
        let pairs: Vec<Value> = steps
            .iter()
            .map(|step| json!([whole(step.age), step.mean]))
            .collect();
        let watched: Vec<usize> = steps.iter().map(|step| step.watched).collect();
        let lower = asked.map(|_| list(steps.iter().map(|step| step.limits.lower)));
        let upper = asked.map(|_| list(steps.iter().map(|step| step.limits.upper)));
        Ok(Figure::new(mcf::working(systems.len(), &steps, asked))
            .with("steps", pairs)
            .with("watched", watched)
            .with_some("lower", lower)
            .with_some("upper", upper))
    },
};
