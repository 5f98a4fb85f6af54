//! Topics of upkeep: planned work in its window, failures that came back, backlog.

use super::lost::answer;
use crate::figure::{Figure, Subject, Takes, Topic, want};
use crate::life::{compliance, sig};
use crate::shown::{Fill, line};
use crate::working::Working;

pub(super) const PM_COMPLIANCE: Topic = Topic {
    name: "pm_compliance",
    title: "Planned work done in its window",
    what: "Share of the planned jobs due in a period that were done in their window, three ways.",
    subject: Subject::Life,
    wants: &[
        want("due", "Due in the period", Takes::Whole),
        want("done_in_window", "Done in their window", Takes::Whole),
        want("done_late", "Done late", Takes::Whole).note("blank is unknown"),
        want("not_done", "Not done", Takes::Whole).note("blank is unknown"),
        want("waived", "Waived with a reason", Takes::Whole).note("blank is unknown"),
    ],
    answers: &[
        answer("strict", "", "in window / due"),
        answer("excluding_waived", "", "in window / (due - waived)"),
        answer("done_at_all", "", "(in window + late) / due"),
        answer("unaccounted", "", "jobs due of which nothing is said"),
    ],
    run: |given| {
        let planned = compliance::Planned {
            due: given.need_whole("due")?,
            in_window: given.need_whole("done_in_window")?,
            late: given.whole("done_late")?,
            not_done: given.whole("not_done")?,
            waived: given.whole("waived")?,
        };
        let found = compliance::compliance(planned)?;
        Ok(Figure::new(compliance::working(planned, &found))
            .with_some("strict", found.strict)
            .with_some("excluding_waived", found.excluding_waived)
            .with_some("done_at_all", found.done_at_all)
            .with_some("unaccounted", found.unaccounted))
    },
};

pub(super) const REPEAT_FAILURE: Topic = Topic {
    name: "repeat_failure",
    title: "Failures that came back",
    what: "Counts failures of one unit and mode that came within a window after the one before.",
    subject: Subject::Life,
    wants: &[
        want("window_days", "Window", Takes::Whole)
            .unit("d")
            .note("30 is usual; the last day counts"),
        want("failure_dates", "Dates of failure", Takes::Dates).note("one unit, one failure mode"),
        want("returned_dates", "Dates of return to service", Takes::Dates)
            .note("one for each failure, same order; blank counts from the failures"),
    ],
    answers: &[
        answer("repeats", "", "failures that came back"),
        answer("rate", "", "came back / failures; absent without failures"),
        answer("gaps_days", "d", "days from one to the next"),
    ],
    run: |given| {
        let window = given.need_whole("window_days")?;
        let window = u32::try_from(window).unwrap_or(u32::MAX);
        let failed = given.need("failure_dates", given.dates("failure_dates")?)?;
        let returned = given.dates("returned_dates")?.unwrap_or_default();
        let found = compliance::repeats(window, &failed, &returned)?;
        Ok(Figure::new(compliance::repeats_working(window, &found))
            .with("repeats", found.repeats)
            .with_some("rate", found.rate)
            .with("gaps_days", found.gaps))
    },
};

pub(super) const BACKLOG_WEEKS: Topic = Topic {
    name: "backlog_weeks",
    title: "Weeks of work waiting",
    what: "How many weeks the open work would take the crew.",
    subject: Subject::Life,
    wants: &[
        want("open_hours", "Estimated hours of open work", Takes::Number)
            .unit("h")
            .note("authorised and not done; zero or above"),
        want("crew", "People", Takes::Number).note("above zero"),
        want("hours_per_week", "Paid hours a week, each", Takes::Number)
            .unit("h")
            .note("above zero, at most 168"),
        want(
            "share_on_tools",
            "Share of paid time on the tools",
            Takes::Number,
        )
        .note("above 0, at most 1; measured, not hoped for"),
    ],
    answers: &[answer(
        "weeks",
        "wk",
        "open hours / hours on the tools a week",
    )],
    run: |given| {
        let open = given.need_number("open_hours")?;
        let crew = given.need_number("crew")?;
        let hours = given.need_number("hours_per_week")?;
        let share = given.need_number("share_on_tools")?;
        let weeks = compliance::backlog_weeks(open, crew, hours, share)?;
        let mut working = Working::new("Weeks of work waiting");
        working.lines.push(
            line("weeks", "Backlog")
                .value(sig(weeks), "weeks")
                .rule(
                    "open hours / (people x hours x share on the tools)",
                    "common practice",
                )
                .note("Only jobs with an estimate are in it."),
        );
        Ok(Figure::new(working).with("weeks", weeks))
    },
};
