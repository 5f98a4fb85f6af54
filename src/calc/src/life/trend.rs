//! Trend tests on the failures of one repaired unit: do they come closer, or further apart?

use super::{Ended, Refused, dist, finite, watched};
use crate::shown::{Fill, figure, line};
use crate::working::{Verdict, Working};

const SOURCE: &str = "NIST/SEMATECH e-Handbook 8.2.3.4";
/// A trend is taken as shown at this two-sided chance or below. Source: common practice.
pub const SIGNIFICANT: f64 = 0.05;
/// Fewest events (after dropping one that ended the time) on which a trend is judged.
/// Source: common practice; with fewer the tests see almost nothing.
pub const FEWEST: usize = 3;
/// Fewest events on which no trend shown is called steady. Source: common practice.
pub const FEWEST_STEADY: usize = 5;

/// Three tests of the same question.
#[derive(Clone, Debug, PartialEq)]
pub struct Trends {
    /// Events in the sums, `n`: one less than given where a failure ended the time.
    pub events: usize,
    /// Laplace's `u`; above zero is getting worse.
    pub laplace_u: f64,
    /// Two-sided chance of so large a `u` without a trend.
    pub laplace_p: f64,
    /// `2 sum ln(T/t)`; small is getting worse, large better.
    pub chi2: f64,
    /// Its degrees of freedom, `2n`.
    pub df: u64,
    /// Chance of so large a value without a trend: small speaks for getting better.
    pub p_improving: f64,
    /// Chance of so small a value without a trend: small speaks for getting worse.
    pub p_degrading: f64,
    /// Pairs of gaps of which the later is longer.
    pub reversals: u64,
    /// Pairs there are.
    pub reversals_max: u64,
    /// Half of them: what is expected without a trend.
    pub reversals_expected: f64,
    /// Chance of so many reversals without a trend: small speaks for getting better.
    pub reversals_p_improving: f64,
    /// Chance of so few reversals without a trend: small speaks for getting worse.
    pub reversals_p_degrading: f64,
    /// All events lie at one age: nothing can be told of their order.
    pub one_age: bool,
}

/// What the tests say together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finding {
    /// No trend shown: a constant rate may be quoted.
    Steady,
    /// Failures come closer together.
    Worse,
    /// Failures come further apart.
    Better,
    /// Too few events to tell.
    TooFew,
}

impl Finding {
    /// The word of the answer.
    pub fn word(self) -> &'static str {
        match self {
            Finding::Steady => "steady",
            Finding::Worse => "worse",
            Finding::Better => "better",
            Finding::TooFew => "too_few",
        }
    }
}

impl Trends {
    /// The finding: a trend is shown where Laplace's test or the handbook's chi-squared test has a
    /// two-sided chance of [`SIGNIFICANT`] or less; its direction is that of the surer test. The
    /// reversal count is told, and decides nothing. With fewer than [`FEWEST_STEADY`] events, or all at
    /// one age, no trend shown is no proof of a steady rate.
    pub fn finding(&self) -> Finding {
        if self.events < FEWEST {
            return Finding::TooFew;
        }
        let chi2_p = 2.0 * self.p_improving.min(self.p_degrading);
        let (p, worse) = if self.laplace_p <= chi2_p {
            (self.laplace_p, self.laplace_u > 0.0)
        } else {
            (chi2_p, self.p_degrading < self.p_improving)
        };
        match (p <= SIGNIFICANT, worse) {
            (false, _) if self.events < FEWEST_STEADY || self.one_age => Finding::TooFew,
            (false, _) => Finding::Steady,
            (true, true) => Finding::Worse,
            (true, false) => Finding::Better,
        }
    }
}

/// Runs the tests on the ages `t` of a unit at its events, watched to the age `T`.
///
/// Laplace: `u = (mean t - T/2) / (T sqrt(1/(12 n)))`. Handbook (MIL-HDBK-189): `2 sum ln(T/t)` on
/// `2n` degrees of freedom. Reversals: pairs of gaps, the first one counted from age zero, with the
/// later gap longer; exact chances up to 40 gaps, normal beyond. Where a failure ended the time,
/// the last event is left out of the sums and its age is `T`. `Ok(None)` without an event left.
/// # Errors
/// See [`watched`].
/// Source: NIST/SEMATECH e-Handbook 8.2.3.4.
pub fn tests(events: &[f64], end: Option<f64>, ended: Ended) -> Result<Option<Trends>, Refused> {
    let (all, end) = watched(events, end, ended)?;
    let events = match ended {
        Ended::Time => all.as_slice(),
        Ended::Failure => all.split_last().map_or(&[][..], |(_, rest)| rest),
    };
    if events.is_empty() {
        return Ok(None);
    }
    let n = events.len() as f64;
    let mean = events.iter().map(|t| t / end).sum::<f64>() / n;
    let u = (mean - 0.5) * (12.0 * n).sqrt();
    let chi2 = 2.0 * events.iter().map(|t| (end / t).ln()).sum::<f64>();
    let df = 2 * events.len() as u64;
    let gaps: Vec<f64> = all
        .iter()
        .scan(0.0, |last, t| Some(t - std::mem::replace(last, *t)))
        .collect();
    let reversals = rising_pairs(&gaps);
    let max = pairs(gaps.len());
    let (above, below) = reversal_chances(reversals, gaps.len());
    Ok(finite(chi2).map(|chi2| Trends {
        events: events.len(),
        laplace_u: u,
        laplace_p: (2.0 * dist::normal_above(u.abs())).min(1.0),
        chi2,
        df,
        p_improving: dist::chi2_above(chi2, df as f64),
        p_degrading: dist::chi2_cdf(chi2, df as f64),
        reversals,
        reversals_max: max,
        reversals_expected: max as f64 / 2.0,
        reversals_p_improving: above,
        reversals_p_degrading: below,
        one_age: events.iter().all(|t| Some(t) == events.first()),
    }))
}

fn pairs(n: usize) -> u64 {
    let n = n as u64;
    n * n.saturating_sub(1) / 2
}

/// Pairs of which the later is longer, counted through a tree of ranks: `n log n`.
fn rising_pairs(gaps: &[f64]) -> u64 {
    let mut sorted = gaps.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mut tree = vec![0u64; gaps.len() + 1];
    let mut found = 0;
    for gap in gaps {
        let mut at = sorted.partition_point(|other| other < gap);
        let mut put = at + 1;
        while at > 0 {
            found += tree[at];
            at &= at - 1;
        }
        while put < tree.len() {
            tree[put] += 1;
            put += put & put.wrapping_neg();
        }
    }
    found
}

/// Chance of at least, and of at most, so many rising pairs among `n` gaps in any order.
fn reversal_chances(reversals: u64, n: usize) -> (f64, f64) {
    if n > 40 {
        let size = n as f64;
        let mean = size * (size - 1.0) / 4.0;
        let deviation = (size * (size - 1.0) * (2.0 * size + 5.0) / 72.0).sqrt();
        let off = reversals as f64 - mean;
        return (
            dist::normal_above((off - 0.5) / deviation),
            dist::normal_above((-off - 0.5) / deviation),
        );
    }
    // Share of the orders of k gaps with each count of rising pairs, k growing to n.
    let mut share = vec![1.0];
    for k in 2..=n {
        let mut next = vec![0.0; share.len() + k - 1];
        for (at, part) in share.iter().enumerate() {
            for more in 0..k {
                next[at + more] += part / k as f64;
            }
        }
        share = next;
    }
    let at = (reversals as usize).min(share.len() - 1);
    let sum = |part: &[f64]| part.iter().sum::<f64>().min(1.0);
    (sum(&share[at..]), sum(&share[..=at]))
}

/// The tests as lines.
pub fn working(found: Option<&Trends>) -> Working {
    let mut working = Working::new("Is the unit getting better or worse?");
    push(&mut working, found);
    working
}

/// The lines of the tests and their finding.
pub(crate) fn push(working: &mut Working, found: Option<&Trends>) {
    let Some(found) = found else {
        working.lines.push(
            line("trend", "Trend")
                .rule("the tests need at least one event before the end", SOURCE)
                .judge(Verdict::NotKnownYet, "No event to test."),
        );
        return;
    };
    push_tests(working, found);
    push_finding(working, found.finding());
}

fn push_tests(working: &mut Working, found: &Trends) {
    let chance = |p: f64| format!("chance {} % without a trend", figure(100.0 * p, 2));
    working.lines.push(
        line("laplace", "Laplace's u")
            .value(figure(found.laplace_u, 3), "")
            .limit(chance(found.laplace_p))
            .rule(
                "(mean age of events - T/2) / (T sqrt(1/(12 n))); above 0 is getting worse",
                SOURCE,
            ),
    );
    working.lines.push(
        line("handbook", "Handbook chi-squared")
            .value(figure(found.chi2, 3), "")
            .limit(chance(
                (2.0 * found.p_improving.min(found.p_degrading)).min(1.0),
            ))
            .rule(
                "2 sum ln(T/t) on 2n degrees of freedom; small is getting worse",
                SOURCE,
            )
            .note(format!("{} degrees of freedom.", found.df)),
    );
    working.lines.push(
        line("reversals", "Reversals")
            .value(found.reversals.to_string(), "")
            .limit(format!(
                "{} expected of {}",
                figure(found.reversals_expected, 1),
                found.reversals_max
            ))
            .rule(
                "pairs of gaps of which the later is longer; few is getting worse",
                SOURCE,
            ),
    );
}

fn push_finding(working: &mut Working, finding: Finding) {
    let (verdict, note) = match finding {
        Finding::Steady => (
            Verdict::Within,
            "No trend shown: a constant rate may be quoted.",
        ),
        Finding::Worse => (
            Verdict::Beyond,
            "Getting worse: quote the current rate, not a constant one, and look for the cause.",
        ),
        Finding::Better => (
            Verdict::WithinNote,
            "Getting better: quote the current rate, not a constant one.",
        ),
        Finding::TooFew => (
            Verdict::NotKnownYet,
            "Too few events to show a trend: steady is not shown either.",
        ),
    };
    working.lines.push(
        line("trend", "Trend")
            .value(finding.word().replace('_', " "), "")
            .limit("two-sided chance of 5 % or less in either of the first two tests")
            .rule("test for a trend before quoting a constant rate", SOURCE)
            .judge(verdict, note),
    );
}

#[cfg(test)]
mod the_tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    /// NIST 8.2.3.4: ten repairs, 33 reversals of 45, handbook value 37.23: getting better.
    #[test]
    fn the_handbook_case_is_getting_better() {
        let events = [
            5.0, 40.0, 43.0, 175.0, 389.0, 712.0, 747.0, 795.0, 1299.0, 1478.0,
        ];
        let found = tests(&events, Some(1500.0), Ended::Time)
            .expect("read")
            .expect("a test");
        assert_eq!((found.reversals, found.reversals_max), (33, 45));
        assert!((found.chi2 - 37.23).abs() < 0.005);
        assert_eq!(found.finding(), Finding::Better);
    }

    #[test]
    fn chances_of_reversals_are_exact() {
        // Of the six orders of three gaps one has no rising pair, and one has three.
        let (above, below) = reversal_chances(0, 3);
        assert!((above - 1.0).abs() < 1e-12 && (below - 1.0 / 6.0).abs() < 1e-12);
        let (above, _) = reversal_chances(3, 3);
        assert!((above - 1.0 / 6.0).abs() < 1e-12);
    }

    #[test]
    fn the_failure_that_ended_the_time_is_left_out_of_the_sums() {
        let found = tests(&[10.0, 20.0, 40.0], None, Ended::Failure)
            .expect("read")
            .expect("a test");
        assert_eq!((found.events, found.df, found.reversals_max), (2, 4, 3));
        assert!((found.chi2 - 2.0 * (4f64.ln() + 2f64.ln())).abs() < 1e-12);
        assert_eq!(found.finding(), Finding::TooFew);
        assert_eq!(tests(&[10.0], None, Ended::Failure), Ok(None));
    }

    proptest! {
        #[test]
        fn later_events_never_look_better(events in vec(1.0f64..99.0, 3..30), by in 0.0f64..1.0) {
            let later: Vec<f64> = events.iter().map(|t| t + by * (100.0 - t)).collect();
            let test = |events: &[f64]| {
                tests(events, Some(100.0), Ended::Time).expect("read").expect("a test")
            };
            let (before, after) = (test(&events), test(&later));
            prop_assert!(after.laplace_u >= before.laplace_u - 1e-9);
            prop_assert!(after.chi2 <= before.chi2 + 1e-9);
        }

        #[test]
        fn reversals_count_pairs(gaps in vec(0.0f64..5.0, 0..40)) {
            let mut slow = 0;
            for (at, later) in gaps.iter().enumerate() {
                slow += gaps[..at].iter().filter(|earlier| later > earlier).count() as u64;
            }
            prop_assert_eq!(rising_pairs(&gaps), slow);
            let (above, below) = reversal_chances(slow, gaps.len());
            prop_assert!(above + below >= 1.0 - 1e-9);
        }

        #[test]
        fn no_events_panic(events in vec(any::<f64>(), 0..6), end in any::<f64>(), failed: bool) {
            let ended = if failed { Ended::Failure } else { Ended::Time };
            if let Ok(found) = tests(&events, Some(end), ended) {
                working(found.as_ref());
                if let Some(found) = found {
                    prop_assert!(found.laplace_u.is_finite() && found.chi2.is_finite());
                }
            }
        }
    }
}
