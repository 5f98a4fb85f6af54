//! Topics. Due dates and meters.

mod clock;
mod grace;
mod hold;
mod intervals;
mod meters;
mod plan;
mod read;
mod recurrence;
mod seasons;

use super::{Answer, Figure, Given, Subject, Takes, Topic, Trouble, Want, want};

pub(super) static TOPICS: &[Topic] = &[
    plan::DUE,
    plan::NESTED,
    plan::CLOSED_DAY,
    intervals::ANCHORED,
    intervals::CHAINED,
    intervals::FIXED,
    intervals::FLOATING,
    intervals::DRIFT,
    seasons::RESTART,
    seasons::BEFORE,
    seasons::MEMBERSHIP,
    meters::PREDICT,
    meters::DUAL,
    meters::CONTINUITY,
    meters::REJECT,
    meters::LEAST_SQUARES,
    grace::STATUS,
    grace::EACH_SIDE,
    grace::IN_TOTAL,
    grace::FROM_LAST,
    hold::QUARTER_LATE,
    hold::THREE,
    hold::HARD_LIMIT,
    recurrence::RRULE,
    recurrence::RRULE_DATE,
    recurrence::RRULE_UTC,
    clock::TO_UTC,
    clock::TO_LOCAL,
    clock::ELAPSED,
];

const PRACTICE: &str = "common practice";
const CALENDAR_ONLY: &str =
    "Dates are planned, not promised: a machine that runs hot, loud or unsteady is looked at now.";

const fn answer(name: &'static str, unit: &'static str, what: &'static str) -> Answer {
    Answer { name, unit, what }
}
