//! Testing for absence of voltage: which pairs to measure, and whether the record is whole.

use crate::shown::{Fill, ask, figure, line};
use crate::units::Volts;
use crate::working::{Text, Verdict, Working};
use serde::{Deserialize, Serialize};
use time::OffsetDateTime;

/// Above this a reading is not taken as effectively zero. `common practice`: no standard gives a
/// figure; a high-impedance meter shows a few volts coupled from neighbouring live wires, so this is
/// small enough that nothing real hides below it and a ghost reading is looked into.
pub const EFFECTIVELY_ZERO: Volts = Volts(3.0);

/// How the machine is supplied, for the pairs to be measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Conductors {
    /// Line, neutral, earth.
    SinglePhase,
    /// Two lines and earth, with or without neutral (120/240 V, or two legs of 208 V).
    SplitPhase {
        /// A neutral is run to the machine.
        neutral: bool,
    },
    /// Three lines and earth, with or without neutral.
    ThreePhase {
        /// A neutral is run to the machine.
        neutral: bool,
    },
}

/// The pairs, in the order in which they are measured and typed.
///
/// Every conductor against every other one and against earth.
/// Source: common practice; 29 CFR 1910.333(b)(2)(iv)(B) asks for the test itself.
pub fn pairs(conductors: Conductors) -> &'static [&'static str] {
    match conductors {
        Conductors::SinglePhase => &["L-N", "L-E", "N-E"],
        Conductors::SplitPhase { neutral: false } => &["L1-L2", "L1-E", "L2-E"],
        Conductors::SplitPhase { neutral: true } => {
            &["L1-L2", "L1-E", "L2-E", "L1-N", "L2-N", "N-E"]
        }
        Conductors::ThreePhase { neutral: false } => {
            &["L1-L2", "L2-L3", "L3-L1", "L1-E", "L2-E", "L3-E"]
        }
        Conductors::ThreePhase { neutral: true } => &[
            "L1-L2", "L2-L3", "L3-L1", "L1-E", "L2-E", "L3-E", "L1-N", "L2-N", "L3-N", "N-E",
        ],
    }
}

/// One typed reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DeadReading {
    /// The pair, such as `L1-E`.
    pub pair: String,
    /// What the tester showed; `None` where nothing is typed.
    pub volts: Option<Volts>,
}

/// The tester proved on a source known to be live.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LiveProof {
    /// What the tester showed.
    pub volts: Option<Volts>,
    /// The live source it was shown on.
    pub source: Option<String>,
    /// When it was done.
    #[serde(default, with = "time::serde::timestamp::option")]
    pub at: Option<OffsetDateTime>,
}

/// The whole record of one test.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct DeadTest {
    /// How the machine is supplied.
    pub conductors: Option<Conductors>,
    /// The tester, by its number.
    pub tester: Option<String>,
    /// The tester shown live before the readings.
    pub proved_before: Option<LiveProof>,
    /// The readings, one for each pair.
    pub readings: Vec<DeadReading>,
    /// The tester shown live after the readings.
    pub proved_after: Option<LiveProof>,
}

/// Whether the record is whole and every reading is at or below `threshold`; it says what was
/// recorded and never more.
///
/// `threshold` is the shop's; [`EFFECTIVELY_ZERO`] is the suggestion. Source: common practice;
/// proving before and after: 29 CFR 1910.333(b)(2)(iv)(B) (required above 600 V, good practice below).
pub fn judge(test: &DeadTest, threshold: Volts) -> Working {
    let mut working = Working::new("Test for absence of voltage");
    working.cautions.push(
        "This shows what was recorded. A qualified person at the work place decides, and tests again \
         after every absence."
            .into(),
    );
    let shown =
        line("tester", "Tester").rule("named, so that it can be found again", "common practice");
    match test
        .tester
        .as_deref()
        .map(str::trim)
        .filter(|id| !id.is_empty())
    {
        Some(id) => working.lines.push(
            shown
                .value(id.to_owned(), "")
                .judge(Verdict::Within, "The tester is named."),
        ),
        None => ask(
            &mut working,
            shown,
            "tester number",
            "a reading counts only with the instrument that gave it",
            "read the number on the tester",
        ),
    }
    let before = proof(
        &mut working,
        "proved_before",
        "Proved before",
        test.proved_before.as_ref(),
    );
    judge_pairs(&mut working, test, threshold);
    let after = proof(
        &mut working,
        "proved_after",
        "Proved after",
        test.proved_after.as_ref(),
    );
    if let (Some(before), Some(after)) = (before, after) {
        let shown = line("order", "Order of the proofs").rule(
            "the second proof is not earlier than the first",
            "common practice",
        );
        working.lines.push(if after >= before {
            shown.judge(Verdict::Within, "Proved, tested, proved again.")
        } else {
            shown.judge(
                Verdict::Beyond,
                "Prove the tester again now and repeat the test.",
            )
        });
    }
    working
}

/// One proof on a live source; its time where the proof is whole.
fn proof(
    working: &mut Working,
    key: &'static str,
    label: &'static str,
    proof: Option<&LiveProof>,
) -> Option<OffsetDateTime> {
    let shown = line(key, label).rule(
        "the tester shows a source known to be live",
        "29 CFR 1910.333(b)(2)(iv)(B); common practice",
    );
    let volts = proof.and_then(|p| p.volts).filter(|v| v.0.is_finite());
    let source = proof
        .and_then(|p| p.source.as_deref())
        .map(str::trim)
        .filter(|source| !source.is_empty());
    let (Some(volts), Some(source), Some(at)) = (volts, source, proof.and_then(|p| p.at)) else {
        ask(
            working,
            shown,
            format!("{}: volts, source and time", label.to_lowercase()),
            "a dead tester shows zero on a live wire",
            "test a source known to be live, and type what the tester shows",
        );
        return None;
    };
    // 50 V to earth is where the rules begin to ask for de-energising (29 CFR 1910.333(a)(1)); a
    // source below it proves little about the tester (common practice).
    let shown = shown.value(figure(volts.0, 1), "V").limit("over 50 V");
    working.lines.push(if volts.0.abs() > 50.0 {
        shown.judge(Verdict::Within, format!("Proved on {source}."))
    } else {
        shown.judge(
            Verdict::Beyond,
            "Take another tester: this one did not show a live source. Repeat the whole test.",
        )
    });
    Some(at)
}

fn judge_pairs(working: &mut Working, test: &DeadTest, threshold: Volts) {
    let Some(conductors) = test.conductors else {
        let shown = line("pairs", "Pairs measured");
        return ask(
            working,
            shown,
            "single phase, split phase or three phase, and whether there is a neutral",
            "it decides which pairs are measured",
            "count the conductors in the box",
        );
    };
    let threshold = if threshold.0.is_finite() {
        threshold.0.max(0.0)
    } else {
        EFFECTIVELY_ZERO.0
    };
    let expected = pairs(conductors);
    let extra = test
        .readings
        .iter()
        .filter(|r| !expected.iter().any(|pair| same(pair, &r.pair)));
    for reading in extra {
        judge_pair(working, reading.pair.clone().into(), &[reading], threshold);
    }
    for pair in expected {
        let found: Vec<_> = test
            .readings
            .iter()
            .filter(|r| same(pair, &r.pair))
            .collect();
        judge_pair(working, (*pair).into(), &found, threshold);
    }
}

/// A pair typed either way round is the same pair; so is `G` for `E`.
fn same(pair: &str, typed: &str) -> bool {
    let typed = typed.trim().to_ascii_uppercase().replace('G', "E");
    let turned = typed.split_once('-').map(|(a, b)| format!("{b}-{a}"));
    typed == pair || turned.as_deref() == Some(pair)
}

/// The highest of the readings of one pair rules; one that was left blank leaves the pair open.
fn judge_pair(working: &mut Working, pair: Text, readings: &[&DeadReading], threshold: f64) {
    let mut shown = line("pair", "Volts").rule("effectively zero", "common practice");
    shown.label = format!("Volts {pair}").into();
    shown.key = format!("pair_{pair}").into();
    let typed: Option<Vec<f64>> = readings
        .iter()
        .map(|r| r.volts.map(|v| v.0.abs()).filter(|v| v.is_finite()))
        .collect();
    let highest = readings
        .iter()
        .filter_map(|r| r.volts.map(|v| v.0.abs()).filter(|v| v.is_finite()))
        .reduce(f64::max);
    let limit = format!("{} V", figure(threshold, 1));
    match (highest, typed) {
        (Some(volts), _) if volts > threshold => working.lines.push(
            shown.value(figure(volts, 2), "V").limit(limit).judge(
                Verdict::Beyond,
                "Do not touch: find the other source or the wrong disconnect. Where ghost volts are \
                 suspected, repeat with a low-impedance tester and record both readings.",
            ),
        ),
        (Some(volts), Some(_)) if volts > 0.0 => working.lines.push(
            shown.value(figure(volts, 2), "V").limit(limit).judge(
                Verdict::Within,
                "Recorded as shown; a high-impedance tester picks up a little from nearby wires.",
            ),
        ),
        (Some(volts), Some(_)) => working.lines.push(
            shown
                .value(figure(volts, 2), "V")
                .limit(limit)
                .judge(Verdict::Within, "Recorded as shown."),
        ),
        _ => ask(
            working,
            shown,
            format!("reading {pair}"),
            "a pair that was not measured may be live",
            "measure it at the work place and type what the tester shows",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn proved(at: i64) -> Option<LiveProof> {
        Some(LiveProof {
            volts: Some(Volts(121.0)),
            source: Some("outlet beside the door".into()),
            at: OffsetDateTime::from_unix_timestamp(at).ok(),
        })
    }

    fn whole(conductors: Conductors) -> DeadTest {
        DeadTest {
            conductors: Some(conductors),
            tester: Some("V-3".into()),
            proved_before: proved(100),
            readings: pairs(conductors)
                .iter()
                .map(|pair| DeadReading {
                    pair: (*pair).into(),
                    volts: Some(Volts(0.2)),
                })
                .collect(),
            proved_after: proved(100),
        }
    }

    #[test]
    fn a_whole_record_is_within_and_never_called_safe() {
        for conductors in [
            Conductors::SinglePhase,
            Conductors::SplitPhase { neutral: true },
            Conductors::SplitPhase { neutral: false },
            Conductors::ThreePhase { neutral: false },
            Conductors::ThreePhase { neutral: true },
        ] {
            let working = judge(&whole(conductors), EFFECTIVELY_ZERO);
            assert_eq!(working.verdict(), Some(Verdict::Within), "{conductors:?}");
            assert!(!format!("{working:?}").to_lowercase().contains("safe"));
        }
    }

    #[test]
    fn each_gap_leaves_it_open_and_a_live_pair_rules() {
        let conductors = Conductors::ThreePhase { neutral: false };
        for gap in 0..4 {
            let mut test = whole(conductors);
            match gap {
                0 => test.tester = Some("  ".into()),
                1 => test.proved_before = None,
                2 => drop(test.readings.pop()),
                _ => test.proved_after = None,
            }
            let verdict = judge(&test, EFFECTIVELY_ZERO).verdict();
            assert_eq!(verdict, Some(Verdict::NotKnownYet), "gap {gap}");
        }
        let mut test = whole(conductors);
        test.readings.push(DeadReading {
            pair: "e-l3".into(),
            volts: Some(Volts(118.0)),
        });
        let working = judge(&test, EFFECTIVELY_ZERO);
        assert_eq!(working.verdict(), Some(Verdict::Beyond));
        assert!(
            working
                .line("pair_L3-E")
                .is_some_and(|l| l.note.starts_with("Do not touch"))
        );
    }

    #[test]
    fn a_proof_made_before_the_first_one_is_refused() {
        let mut test = whole(Conductors::SinglePhase);
        test.proved_after = proved(99);
        assert_eq!(
            judge(&test, EFFECTIVELY_ZERO).verdict(),
            Some(Verdict::Beyond)
        );
    }
}
