//! What each figure means: title, definition, the parts it has, and which of them are divided.

use super::Figure;
use crate::jobs::body::HoldReason;
use crate::jobs::priority::Level;
use crate::machines::KINDS;

/// The words of a figure.
pub struct About {
    pub title: &'static str,
    /// What is counted, among what, and what is not.
    pub definition: &'static str,
    /// Where the definition comes from.
    pub source: &'static str,
    /// What the number in front counts; empty where there is no share.
    pub counts: &'static str,
    /// What it is divided by.
    pub of: &'static str,
    /// The parts above the line; empty: all.
    pub above: &'static [&'static str],
    /// The parts below the line; empty: all.
    pub below: &'static [&'static str],
    /// Its parts in order. Empty: as they come, the most frequent first.
    pub parts: &'static [(&'static str, &'static str)],
    /// What parts are called, and what the second division is called; empty: there is none.
    pub part: &'static str,
    pub sub: &'static str,
    /// What is added up beside the count; empty: nothing.
    pub sum: &'static str,
    /// How much of it makes an hour.
    pub hour: f64,
}

const PLAIN: About = About {
    title: "",
    definition: "",
    source: "Common practice.",
    counts: "",
    of: "",
    above: &[],
    below: &[],
    parts: &[],
    part: "",
    sub: "",
    sum: "",
    hour: 3_600_000.0,
};

const BACKLOG: About = About {
    title: "Backlog",
    definition: "Jobs that are not over today, by what each waits for and by how long ago it was reported. \
        The days above do not matter here; a report that was turned down or joined to another is over.",
    source: "Common practice: authorised work not done; DOE-STD-1050 asks for it to be watched by age.",
    counts: "jobs open",
    part: "Waits for",
    sub: "Reported",
    sum: "hours planned",
    hour: 60.0,
    parts: &[
        ("reported", "somebody to look at the report"),
        ("planned", "being handed out"),
        ("handed_out", "its turn: handed out, not begun"),
        ("held_part", "a part"),
        ("held_access", "access"),
        ("held_weather", "weather"),
        ("held_outside_firm", "an outside firm"),
        ("held_circuit", "a decision on the circuit"),
        ("held_other", "another reason, in words on the job"),
        ("isolated", "the repair: locked off"),
        ("on_test", "its run test"),
        ("test_owed", "a test that is owed"),
        ("back_in_service", "its sign-off"),
    ],
    ..PLAIN
};

const RESPONSE: About = About {
    title: "Response against target",
    definition: "Corrective jobs reported in these days: was somebody at the machine within the target of \
        the job's level? The clock runs from the report (from a later one that made it more urgent) and \
        pauses only while the job is held with a person's reason. Jobs that nobody judged, that still have \
        time, or on which nobody wrote down being there are counted apart and not in the share.",
    source: "Common practice (mean time to acknowledge has the same ends); targets are the shop's own.",
    counts: "attended within the target",
    of: "jobs whose target can be judged",
    above: &["in_time"],
    below: &["in_time", "late", "overdue"],
    part: "Outcome",
    sub: "Level",
    parts: &[
        ("in_time", "attended within the target"),
        ("late", "attended later"),
        ("overdue", "nobody there yet, past the target"),
        ("runs", "nobody there yet, time left"),
        ("paused", "held, with its reason"),
        ("not_written", "over, but nobody wrote down being there"),
        ("not_judged", "nobody judged how urgent it is"),
    ],
    ..PLAIN
};

const SHARE: About = About {
    title: "Preventive share",
    definition: "Jobs reported or made from a due item in these days: those made from a due item, among \
        all. The hours are people's, as written on these jobs whenever they were spent; a job without \
        written hours adds none and is counted as such. Due work ticked off on a round makes no job.",
    source: "EN 13306 for preventive and corrective; EN 15341 divides the hours.",
    counts: "jobs made from due work",
    of: "all jobs of these days",
    above: &["planned"],
    part: "Kind of work",
    sub: "Begun as",
    sum: "hours written",
    parts: &[("planned", "preventive"), ("corrective", "corrective")],
    ..PLAIN
};

const RESTORED: About = About {
    title: "Time to restoration",
    definition: "Corrective jobs reported in these days: the time from the report until the machine was \
        back in service. When it failed is not known, so detection is left out. Whether the machine stood \
        still all the time is not recorded: this is the time until it was restored, not its down time. \
        Jobs whose machine is not back have no time yet and are counted apart.",
    source: "IEC 60050-192-07-23, counted from the report in place of the failure.",
    counts: "jobs whose machine is back",
    of: "",
    above: &["back"],
    below: &["back"],
    part: "Machine",
    sub: "Level",
    sum: "hours from report to back in service",
    parts: &[("back", "back in service"), ("not_back", "not back yet")],
    ..PLAIN
};

const DUE: About = About {
    title: "Planned work done in its window",
    definition: "Due items dated in these days: those done no later than their date and window, among all \
        whose window has passed or that are closed. Missed means nobody did it and nobody said why: it \
        stays in the count and is never taken for waived. What is still within its window is counted apart.",
    source: "Common practice: done in window / due in the period.",
    counts: "done in the window",
    of: "due items that can be judged",
    above: &["in_window"],
    below: &[
        "in_window",
        "late",
        "done_some_day",
        "could_not",
        "waived",
        "missed_reason",
        "missed",
        "overdue",
    ],
    part: "Outcome",
    parts: &[
        ("in_window", "done in the window"),
        ("late", "done later"),
        ("done_some_day", "done, the day is not written"),
        ("could_not", "could not be done, with a reason"),
        ("waived", "waived by a person"),
        ("missed_reason", "missed, with a reason"),
        ("missed", "missed, without a reason"),
        ("overdue", "open, past the window"),
        ("not_yet", "open, still within the window"),
    ],
    ..PLAIN
};

const REPEATS: About = About {
    title: "Repeats",
    definition: "Corrective jobs reported in these days that followed another corrective job on the same \
        machine within 90 days of its report, whatever the fault was. The earlier one may lie before these \
        days. Planned work does not count; a job whose machine nobody has named is counted apart.",
    source: "Common practice: 30 days for small plant, 90 for large.",
    counts: "repeats",
    of: "corrective jobs on a known machine",
    above: &["repeat"],
    below: &["repeat", "first"],
    part: "Came",
    parts: &[
        ("repeat", "within 90 days of another"),
        ("first", "with none in the 90 days before"),
        ("no_machine", "machine not named"),
    ],
    ..PLAIN
};

const MODES: About = About {
    title: "Failure modes by kind of machine",
    definition: "Corrective jobs reported in these days whose machine is back in service, by the component \
        and failure mode written down, and by the machine's kind. Jobs without a code are counted as such.",
    source: "ISO 14224 for component and mode; the list of codes is the shop's.",
    counts: "jobs with a failure mode",
    of: "repaired jobs",
    part: "Component and mode",
    sub: "Kind",
    ..PLAIN
};

const CODES: About = About {
    title: "Causes that say nothing",
    definition: "Corrective jobs reported in these days whose machine is back in service, by what the cause \
        code says. Not examined, looked for and not found, other, and nothing at all are different answers; \
        each is allowed, and much of one is a question to put to the form and not to the people.",
    source: "ISO 14224 keeps unknown apart from other; watching the share is common practice.",
    counts: "say unknown, not examined, other, or nothing",
    of: "repaired jobs",
    above: &["unknown", "not_examined", "other", "blank"],
    part: "Cause",
    parts: &[
        ("named", "a cause is named"),
        ("unknown", "looked for, not found"),
        ("not_examined", "not examined"),
        ("other", "other, or a sign in place of a word"),
        ("blank", "nothing written yet"),
    ],
    ..PLAIN
};

const PROVED: About = About {
    title: "Given back proved",
    definition: "Jobs reported in these days that went back into service or owe a test: those whose run test \
        showed the machine within its limits, among those that need a test. A test that is owed is no \
        closed job and stands apart; so does work that touched nothing and needs no test.",
    source: "DOE-STD-1065: a test with limits before the machine is given back.",
    counts: "proved within limits",
    of: "jobs that need a test",
    above: &["proved"],
    below: &["proved", "not_shown", "untested", "owed"],
    part: "Test",
    sub: "Kind of work",
    parts: &[
        ("proved", "proved within limits"),
        ("not_shown", "tested, not shown to be within limits"),
        ("untested", "closed without a test"),
        ("owed", "test owed"),
        ("not_needed", "no test needed: nothing was touched"),
    ],
    ..PLAIN
};

const SUBS: &[(&str, &str)] = &[
    ("week", "less than 7 days ago"),
    ("month", "7 to 29 days ago"),
    ("quarter", "30 to 89 days ago"),
    ("older", "90 days ago or more"),
    ("not_judged", "not judged"),
    ("corrective", "corrective"),
    ("planned", "preventive"),
    ("emergency", "emergency: work before paper"),
    ("ordinary", "ordinary"),
    ("no_machine", "machine not named"),
];

impl Figure {
    pub fn about(self) -> &'static About {
        match self {
            Figure::Backlog => &BACKLOG,
            Figure::Response => &RESPONSE,
            Figure::Share => &SHARE,
            Figure::Repeats => &REPEATS,
            Figure::Modes => &MODES,
            Figure::Codes => &CODES,
            Figure::Proved => &PROVED,
            Figure::Due => &DUE,
            Figure::Restored => &RESTORED,
        }
    }

    /// The words of a part.
    pub fn part_words(self, key: &str) -> String {
        let known = self.about().parts.iter().find(|(word, _)| *word == key);
        match (known, key) {
            (Some((_, words)), _) => (*words).to_owned(),
            (None, "not_coded") => "nothing written".to_owned(),
            (None, key) => match key.strip_prefix("held_") {
                Some(reason) => HoldReason::words_of(reason).to_owned(),
                None => key.to_owned(),
            },
        }
    }

    /// The words of a second part.
    pub fn sub_words(self, sub: &str) -> String {
        let level = Level::named(sub).map(Level::words);
        let of = |list: &[(&'static str, &'static str)]| {
            list.iter()
                .find(|(word, _)| *word == sub)
                .map(|(_, words)| *words)
        };
        level
            .or_else(|| of(SUBS))
            .or_else(|| of(KINDS))
            .unwrap_or(sub)
            .to_owned()
    }

    /// Whether a part stands above the line of the share.
    pub fn above(self, key: &str) -> bool {
        let above = self.about().above;
        match self {
            Figure::Modes => key != "not_coded",
            _ => above.is_empty() || above.contains(&key),
        }
    }

    pub fn below(self, key: &str) -> bool {
        let below = self.about().below;
        below.is_empty() || below.contains(&key)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_above_the_line_stands_below_it_too() {
        for figure in Figure::ALL {
            let about = figure.about();
            for key in about.above {
                assert!(figure.below(key), "{key} of {figure:?}");
                assert!(about.parts.iter().any(|(word, _)| word == key), "{key}");
            }
            assert!(!about.definition.is_empty() && !about.source.is_empty());
            assert_eq!(Figure::named(figure.word()), Some(figure));
        }
    }
}
