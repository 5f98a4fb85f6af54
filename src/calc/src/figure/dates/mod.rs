//! Topics. Due dates and meters.

mod clock;
mod grace;
mod hold;
mod intervals;
mod meter_read;
mod meters;
mod plan;
mod plan_rule;
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

#[cfg(test)]
mod tests {
    use super::TOPICS;
    use crate::figure::{Takes, run};
    use proptest::prelude::*;
    use serde_json::{Map, Value, json};

    /// Values that a field might be given, right or wrong.
    fn values() -> impl Strategy<Value = Value> {
        let texts = [
            "2024-02-29",
            "2024-01-31T09:00:00",
            "FREQ=MONTHLY;BYDAY=-1FR",
            "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30",
            "America/New_York",
            "10-01",
            "following",
            "nearest",
            "1/2",
            "",
        ];
        prop_oneof![
            Just(Value::Null),
            any::<i64>().prop_map(Value::from),
            (0u32..400).prop_map(Value::from),
            any::<f64>().prop_map(Value::from),
            proptest::sample::select(texts.to_vec()).prop_map(Value::from),
            proptest::sample::select(vec![
                json!({"months": 1}),
                json!({"days": 1_000_000}),
                json!({"date": "2024-01-20", "old_final": 8390, "new_start": 12}),
                json!([["2024-01-01", 8200], ["2024-01-31", 8100]]),
                json!([["2024-01-01", 1e12], ["2024-01-31", 1e12]]),
                json!(["05-01", "09-30"]),
                json!(["Sat", "Sun"]),
                json!(["2024-02-29"]),
                json!([1, 2, 3, 1e9]),
                json!([]),
                json!({"kind": "first_of", "rules": [{"kind": "meter", "every": 1e-300}]}),
                json!([{"name": "a", "anchor": "2024-01-31", "every": {"days": 1}}]),
            ]),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]
        /// No topic panics, whatever its fields are given.
        #[test]
        fn topics_never_panic(at in 0..TOPICS.len(), list in proptest::collection::vec(values(), 14)) {
            let topic = &TOPICS[at];
            let fields: Map<String, Value> = topic
                .wants
                .iter()
                .zip(list)
                .map(|(want, value)| (want.name.to_owned(), value))
                .collect();
            let _ = run(topic, &Value::Object(fields));
        }
    }

    #[test]
    fn every_topic_says_what_it_reads_and_answers() {
        for topic in TOPICS {
            assert!(
                !topic.answers.is_empty() && topic.what.ends_with('.'),
                "{}",
                topic.name
            );
            for want in topic.wants {
                let vague =
                    matches!(want.takes, Takes::Json | Takes::Group(_)) && want.note.is_empty();
                assert!(!vague, "{} {}", topic.name, want.name);
            }
        }
    }
}
