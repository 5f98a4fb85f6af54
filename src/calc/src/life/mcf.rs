//! The mean cumulative function of a fleet: failures a unit by age, however long each was watched.

use super::{
    Confidence, Ended, Limits, Refused, Sides, counts, dist, finite, refuse, sig, watched,
};
use crate::shown::{Fill, line};
use crate::working::Working;

/// One step of the function.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Age.
    pub age: f64,
    /// Units still watched at it.
    pub watched: usize,
    /// Events at it.
    pub events: usize,
    /// Events a unit up to it.
    pub mean: f64,
    /// Limits of the mean; absent with fewer than two units watched.
    pub limits: Limits,
}

/// Mean cumulative function: each event adds `1 / (units still watched)`.
///
/// A unit whose watch ends at the very age of an event is still counted. Limits are two-sided and
/// normal on the logarithm, from the variance between units
/// `sum over units (sum over steps (1/watched) (own events - mean events))^2`. At most 1000 units.
/// # Errors
/// See [`watched`]; as many ends as units. Source: textbook (mean cumulative function; Lawless and
/// Nadeau's variance).
pub fn mean_cumulative(
    systems: &[Vec<f64>],
    ends: &[f64],
    confidence: Option<Confidence>,
) -> Result<Vec<Step>, Refused> {
    if systems.is_empty() || systems.len() > 1000 {
        return refuse("systems", "Give the events of 1 to 1000 units");
    }
    if systems.len() != ends.len() {
        return refuse("ends", "Give one end for each unit");
    }
    if systems.iter().map(Vec::len).sum::<usize>() > super::MOST {
        return refuse("systems", "Give at most 20 000 events");
    }
    let mut events: Vec<(f64, usize)> = Vec::new();
    for (unit, (list, end)) in systems.iter().zip(ends).enumerate() {
        let (list, _) = watched(list, Some(*end), Ended::Time).map_err(|refused| Refused {
            field: if refused.field == "end" {
                "ends"
            } else {
                "systems"
            },
            ..refused
        })?;
        events.extend(list.into_iter().map(|at| (at, unit)));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    let z = confidence.and_then(|c| dist::normal_quantile(1.0 - c.tail(Sides::Two)));
    Ok(steps(&events, ends, z))
}

fn steps(events: &[(f64, usize)], ends: &[f64], z: Option<f64>) -> Vec<Step> {
    let mut off = vec![0.0; ends.len()];
    let mut mean = 0.0;
    let mut found = Vec::new();
    for group in events.chunk_by(|a, b| a.0 == b.0) {
        let age = group[0].0;
        let at_risk = ends.iter().filter(|end| **end >= age).count();
        let share = group.len() as f64 / at_risk as f64;
        mean += share;
        for (unit, end) in ends.iter().enumerate() {
            if *end >= age {
                off[unit] -= share / at_risk as f64;
            }
        }
        for (_, unit) in group {
            off[*unit] += 1.0 / at_risk as f64;
        }
        let variance: f64 = off.iter().map(|part| part * part).sum();
        let limits = match z {
            Some(z) if at_risk > 1 => {
                let width = (z * variance.sqrt() / mean).exp();
                Limits {
                    lower: finite(mean / width),
                    upper: finite(mean * width),
                }
            }
            _ => Limits::default(),
        };
        found.push(Step {
            age,
            watched: at_risk,
            events: group.len(),
            mean,
            limits,
        });
    }
    found
}

/// The function as lines; long ones are shown by their ends.
pub fn working(units: usize, steps: &[Step], confidence: Option<Confidence>) -> Working {
    let mut working = Working::new("Failures a unit by age");
    let events = steps.iter().map(|step| step.events as u64).sum();
    working
        .lines
        .push(line("units", "Units").value(units.to_string(), ""));
    counts(&mut working, events, None);
    let shown = steps.iter().enumerate();
    for (_, step) in shown.filter(|(at, _)| *at < 12 || at + 3 > steps.len()) {
        let mut step_line = line("mean", "Failures a unit up to this age")
            .value(format!("{} at {}", sig(step.mean), sig(step.age)), "")
            .rule("each event adds 1 / (units still watched)", "textbook")
            .note(format!(
                "{} at this age of {} {} still watched.",
                step.events,
                step.watched,
                if step.watched == 1 { "unit" } else { "units" },
            ));
        if let (Some(c), Some(_)) = (confidence, step.limits.lower) {
            step_line = step_line.limit(format!(
                "{} at {}",
                step.limits.words(),
                c.words(Sides::Two)
            ));
        }
        working.lines.push(step_line);
    }
    if confidence.is_none() {
        super::ask_confidence(&mut working);
    }
    working
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    #[test]
    fn units_that_leave_shrink_the_divisor() {
        let steps = mean_cumulative(&[vec![10.0], vec![30.0]], &[20.0, 40.0], None).expect("read");
        assert_eq!(steps.iter().map(|s| s.mean).collect::<Vec<_>>(), [0.5, 1.5]);
    }

    proptest! {
        #[test]
        fn it_only_rises_and_its_limits_bracket_it(
            systems in vec(vec(0.1f64..100.0, 0..10), 1..8), late in 0.0f64..50.0,
        ) {
            let ends: Vec<f64> = systems
                .iter()
                .enumerate()
                .map(|(at, events)| events.iter().copied().fold(1.0, f64::max) + late * at as f64)
                .collect();
            let confidence = Confidence::new(0.9).ok();
            let steps = mean_cumulative(&systems, &ends, confidence).expect("read");
            working(systems.len(), &steps, confidence);
            let mut last = 0.0;
            for step in steps {
                prop_assert!(step.mean > last);
                last = step.mean;
                prop_assert!(step.limits.lower.is_none_or(|lower| lower <= step.mean));
                prop_assert!(step.limits.upper.is_none_or(|upper| upper >= step.mean));
            }
        }

        #[test]
        fn no_events_panic(systems in vec(vec(any::<f64>(), 0..3), 0..3), ends in vec(any::<f64>(), 0..3)) {
            let _ = mean_cumulative(&systems, &ends, None);
        }
    }
}
