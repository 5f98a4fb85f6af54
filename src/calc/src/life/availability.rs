//! Up and down time of a unit, and how availabilities combine.

use super::{Refused, finite, refuse, sig};
use crate::shown::{Fill, figure, line};
use crate::working::Working;

/// Spans of time with overlapping and touching ones made into one, in order.
///
/// Down time that two people wrote down, or that two faults share, is counted once. A span whose
/// end is not after its start, or is no number, is left out. Source: common practice.
pub fn merge(spans: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut spans: Vec<(f64, f64)> = spans
        .iter()
        .copied()
        .filter(|(from, to)| from.is_finite() && to.is_finite() && to > from)
        .collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut merged: Vec<(f64, f64)> = Vec::new();
    for (from, to) in spans {
        match merged.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}

/// The parts of spans that lie within a window; what lies outside is cut off.
/// Source: common practice.
pub fn clip(spans: &[(f64, f64)], window: (f64, f64)) -> Vec<(f64, f64)> {
    spans
        .iter()
        .map(|(from, to)| (from.max(window.0), to.min(window.1)))
        .filter(|(from, to)| to > from)
        .collect()
}

/// Time up and down within a window.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Window.
    pub window: (f64, f64),
    /// Down spans in it, clipped and merged.
    pub down: Vec<(f64, f64)>,
    /// Down time.
    pub down_time: f64,
    /// Up time.
    pub up_time: f64,
    /// `up / (up + down)`.
    pub availability: f64,
    /// Down time over down spans; `None` without one.
    pub mean_down_time: Option<f64>,
}

/// Measured availability `up / (up + down)` over a window of required time.
///
/// Down spans are merged and clipped to the window first; time in which the unit could run and only
/// something outside was missing is not down and must not be among them. Times in one unit.
/// # Errors
/// A window whose end is not after its start; a span whose end lies before its start; more than
/// 20 000 spans. Source: IEC 61703; IEC 60050-192-02-21 (down time).
pub fn measured(window: (f64, f64), down: &[(f64, f64)]) -> Result<Measured, Refused> {
    let length = window.1 - window.0;
    if !(length > 0.0 && length.is_finite()) {
        return refuse("window_end", "The window must end after it starts");
    }
    if down.len() > super::MOST {
        return refuse("down", "Give at most 20 000 spans of down time");
    }
    if !down
        .iter()
        .all(|(from, to)| from.is_finite() && to.is_finite() && to >= from)
    {
        return refuse(
            "down",
            "A span of down time ends before it starts; correct it",
        );
    }
    let down = merge(&clip(down, window));
    let down_time: f64 = down
        .iter()
        .map(|(from, to)| to - from)
        .sum::<f64>()
        .min(length);
    let events = down.len();
    Ok(Measured {
        window,
        down_time,
        up_time: length - down_time,
        availability: (length - down_time) / length,
        mean_down_time: (events > 0).then(|| down_time / events as f64),
        down,
    })
}

/// Inherent availability `MTBF / (MTBF + MTTR)`: mean operating time between failures and mean
/// repair time, in one unit; no waiting and no preventive work. `None` unless the first is above
/// zero and the second zero or above. Source: textbook; IEC 61703.
pub fn inherent(mtbf: f64, repair: f64) -> Option<f64> {
    let given = mtbf > 0.0 && mtbf.is_finite() && repair >= 0.0 && repair.is_finite();
    given.then(|| mtbf / (mtbf + repair)).and_then(finite)
}

fn shares(list: &[f64]) -> bool {
    !list.is_empty() && list.len() <= 1000 && list.iter().all(|a| (0.0..=1.0).contains(a))
}

/// All needed: product of the availabilities. `None` unless each of 1 to 1000 is 0 to 1; units
/// independent. Source: IEC 61703; textbook.
pub fn series(a: &[f64]) -> Option<f64> {
    shares(a).then(|| a.iter().product())
}

/// One is enough: `1 - product of (1 - a)`. `None` as for [`series`]. Source: IEC 61703; textbook.
pub fn parallel(a: &[f64]) -> Option<f64> {
    shares(a).then(|| 1.0 - a.iter().map(|a| 1.0 - a).product::<f64>())
}

/// At least `k` of the units up: the binomial sum, for unlike units step by step.
///
/// `None` as for [`series`], and for `k` above the number of units. Independent units.
/// Source: IEC 61703; textbook.
pub fn at_least(k: usize, a: &[f64]) -> Option<f64> {
    if !shares(a) || k > a.len() {
        return None;
    }
    let mut up = vec![1.0];
    for share in a {
        let mut next = vec![0.0; up.len() + 1];
        for (count, part) in up.iter().enumerate() {
            next[count] += part * (1.0 - share);
            next[count + 1] += part * share;
        }
        up = next;
    }
    Some(up[k..].iter().sum::<f64>().min(1.0))
}

/// The measured availability as lines.
pub fn working(found: &Measured, given: usize, unit: &'static str) -> Working {
    let mut working = Working::new("Availability over a window");
    working
        .lines
        .push(line("window", "Required time").value(sig(found.window.1 - found.window.0), unit));
    working.lines.push(
        line("down_time", "Down time")
            .value(sig(found.down_time), unit)
            .rule(
                "clip to the window, merge what overlaps, then add",
                "common practice",
            )
            .note(format!(
                "{given} spans given, {} after merging.",
                found.down.len()
            )),
    );
    let mean =
        line("mean_down_time", "Mean down time").rule("down time / spans", "common practice");
    working.lines.push(match found.mean_down_time {
        Some(time) => mean.value(sig(time), unit),
        None => mean.note("Never down in the window."),
    });
    working.lines.push(
        line("availability", "Availability")
            .value(figure(100.0 * found.availability, 4), "%")
            .rule("up / (up + down)", "IEC 61703")
            .note("Measured: all down time counts, waiting and planned work too."),
    );
    working
}

/// Units together as lines.
pub fn together_working(series: f64, parallel: f64, k_of_n: Option<f64>) -> Working {
    let mut working = Working::new("Availability of units together");
    let rows = [
        (
            "series",
            "All needed",
            "product of the availabilities",
            Some(series),
        ),
        (
            "parallel",
            "One is enough",
            "1 - product of (1 - a)",
            Some(parallel),
        ),
        (
            "k_of_n",
            "At least k up",
            "sum over the ways of being up",
            k_of_n,
        ),
    ];
    for (key, label, rule, value) in rows {
        if let Some(value) = value {
            working.lines.push(
                line(key, label)
                    .value(figure(100.0 * value, 5), "%")
                    .rule(rule, "IEC 61703; textbook"),
            );
        }
    }
    working.cautions.push(
        "Holds where units fail on their own: one supply or one roof for all breaks it.".into(),
    );
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    #[test]
    fn down_time_is_clipped_and_counted_once() {
        let found = measured(
            (0.0, 100.0),
            &[(-5.0, 10.0), (8.0, 12.0), (12.0, 14.0), (90.0, 130.0)],
        );
        let found = found.expect("in order");
        assert_eq!(found.down, [(0.0, 14.0), (90.0, 100.0)]);
        assert_eq!((found.down_time, found.availability), (24.0, 0.76));
        assert_eq!(found.mean_down_time, Some(12.0));
        assert!(measured((0.0, 100.0), &[(10.0, 5.0)]).is_err());
        assert!(measured((0.0, 0.0), &[]).is_err());
    }

    #[test]
    fn two_of_three_like_units() {
        let found = at_least(2, &[0.9; 3]).expect("a share");
        assert!((found - 0.972).abs() < 1e-12);
        assert_eq!(at_least(4, &[0.9; 3]), None);
        assert_eq!(series(&[]), None);
    }

    proptest! {
        #[test]
        fn more_down_time_is_never_better(
            down in vec((0.0f64..100.0, 0.0f64..20.0), 0..12), more in (0.0f64..100.0, 0.0f64..20.0),
        ) {
            let spans = |list: &[(f64, f64)]| -> Vec<(f64, f64)> {
                list.iter().map(|(from, long)| (*from, from + long)).collect()
            };
            let before = measured((10.0, 90.0), &spans(&down)).expect("in order");
            let mut list = down.clone();
            list.push(more);
            let after = measured((10.0, 90.0), &spans(&list)).expect("in order");
            prop_assert!(after.availability <= before.availability + 1e-12);
            prop_assert!((0.0..=1.0).contains(&after.availability));
            prop_assert_eq!(merge(&after.down), after.down.clone());
        }

        #[test]
        fn k_of_n_lies_between_series_and_parallel(a in vec(0.0f64..=1.0, 1..8)) {
            let n = a.len();
            prop_assert!((at_least(n, &a).expect("all") - series(&a).expect("all")).abs() < 1e-12);
            prop_assert!((at_least(1, &a).expect("one") - parallel(&a).expect("one")).abs() < 1e-12);
            for k in 1..n {
                prop_assert!(at_least(k + 1, &a) <= at_least(k, &a));
            }
        }

        #[test]
        fn no_input_panics(a in vec(any::<f64>(), 0..4), b in any::<f64>(), c in any::<f64>()) {
            let spans: Vec<(f64, f64)> = a.iter().map(|from| (*from, b)).collect();
            if let Ok(found) = measured((b, c), &spans) {
                prop_assert!(found.availability.is_finite());
                working(&found, spans.len(), "h");
            }
            merge(&spans);
            prop_assert!(series(&a).is_none_or(f64::is_finite));
            prop_assert!(inherent(b, c).is_none_or(f64::is_finite));
        }
    }
}
