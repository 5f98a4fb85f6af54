//! Topics of the constant rate.

use super::{CONFIDENCE, SIDES, TERMINATION, confidence, ended, limit_pair, sides, whole};
use crate::figure::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};
use crate::life::Sides;
use crate::life::rate::{self, Rate};
use crate::life::sig;
use crate::shown::{Fill, line};
use crate::working::Working;

const COUNT: Want = want("failures", "Failures", Takes::Whole)
    .note("removals are not failures; 0 gives a lower limit alone");
const MTBF: Answer = Answer {
    name: "mtbf",
    unit: "",
    what: "mean operating time between failures; null without failures",
};
const RATE: Answer = Answer {
    name: "rate",
    unit: "",
    what: "failures a unit of time",
};
const LOWER: Answer = Answer {
    name: "lower",
    unit: "",
    what: "lower limit of the mean",
};
const UPPER: Answer = Answer {
    name: "upper",
    unit: "",
    what: "upper limit of the mean; null where it was not asked or does not exist",
};

pub(super) const EXP_MTBF: Topic = Topic {
    name: "exp_mtbf",
    title: "Mean time between failures, constant rate",
    what: "Mean operating time between failures with its limits, while the rate is constant.",
    subject: Subject::Life,
    wants: &[
        want("total_time", "Operating time of all units", Takes::Number)
            .note("above zero, any one unit of time"),
        COUNT,
        CONFIDENCE,
        SIDES,
        TERMINATION,
    ],
    answers: &[MTBF, RATE, LOWER, UPPER],
    run: |given| {
        let time = given.need_positive("total_time")?;
        let failures = given.need_whole("failures")?;
        let confidence = confidence(given)?;
        let rate = rate::mtbf(time, failures, confidence, sides(given)?, ended(given)?)?;
        Ok(answer(&rate, "Mean time between failures, constant rate"))
    },
};

pub(super) const EXP_MTBF_POOLED: Topic = Topic {
    name: "exp_mtbf_pooled",
    title: "Mean time between failures of several like units",
    what: "As exp_mtbf, with the times and failures of like units each added up first.",
    subject: Subject::Life,
    wants: &[
        want("unit_hours", "Operating time of each unit", Takes::Numbers)
            .note("zero or above, any one unit of time"),
        COUNT,
        CONFIDENCE,
        SIDES,
        TERMINATION,
    ],
    answers: &[
        MTBF,
        RATE,
        LOWER,
        UPPER,
        Answer {
            name: "total_time",
            unit: "",
            what: "operating time of all units",
        },
    ],
    run: |given| {
        let hours = given.need_numbers("unit_hours")?;
        let failures = given.need_whole("failures")?;
        let confidence = confidence(given)?;
        let rate = rate::pooled(&hours, failures, confidence, sides(given)?, ended(given)?)?;
        let figure = answer(&rate, "Mean time between failures of several like units");
        Ok(figure.with("total_time", whole(rate.total_time)))
    },
};

fn answer(rate: &Rate, title: &'static str) -> Figure {
    let (lower, upper) = limit_pair(rate.confidence.is_some(), rate.limits);
    // Without failures an upper limit was asked that does not exist; a lower one was not asked.
    let lower = lower.filter(|_| rate.failures > 0 || rate.sides != Sides::Upper);
    Figure::new(rate::working(rate, title))
        .with("mtbf", rate.mtbf)
        .with_some("rate", rate.rate())
        .with_some("lower", lower)
        .with_some("upper", upper)
}

pub(super) const EXP_RELIABILITY: Topic = Topic {
    name: "exp_reliability",
    title: "Chance to run without failure, constant rate",
    what: "Chance that a unit of constant rate runs a given time without failure.",
    subject: Subject::Life,
    wants: &[
        want(
            "mtbf",
            "Mean operating time between failures",
            Takes::Number,
        )
        .note("above zero; a lower limit gives a careful answer"),
        want("t", "Time to run", Takes::Number).note("zero or above, same unit of time"),
    ],
    answers: &[
        Answer {
            name: "p_survive",
            unit: "",
            what: "chance of no failure",
        },
        Answer {
            name: "p_fail",
            unit: "",
            what: "chance of a failure",
        },
    ],
    run: reliability,
};

fn reliability(given: &Given) -> Result<Figure, Trouble> {
    let mtbf = given.need_positive("mtbf")?;
    let t = given.need("t", given.not_negative("t")?)?;
    let Some((survive, fail)) = rate::survive(mtbf, t) else {
        return Err(Trouble::of("mtbf", "Give a mean time above zero"));
    };
    let mut working = Working::new("Chance to run without failure");
    working.lines.push(
        line("p_survive", "Chance of no failure")
            .value(format!("{} %", sig(100.0 * survive)), "")
            .rule("exp(-time / mean time)", "IEC 61703; textbook")
            .note("Holds only while the rate is constant."),
    );
    Ok(Figure::new(working)
        .with("p_survive", survive)
        .with("p_fail", fail))
}
