//! What is asked for beside the safety record, by the job's size and the machine's criticality.

use super::Touches;

/// Asked for before sign-off; whatever is not may still be given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Component, mode, mechanism and cause.
    pub cause: bool,
    /// Hours by kind.
    pub time: bool,
    /// The whole fit working for a motor.
    pub fit: bool,
}

/// Longer than this, a job is not small: its time and cause are worth having. Common practice.
pub const SMALL_MINUTES: i64 = 60;

/// The rule: an emergency, a machine of high criticality where anything was opened, full work (or of
/// unknown extent) and like-for-like swaps ask for the cause. Work that opened nothing does not; work
/// behind a guard only where it was planned for more than an hour. Hours by kind are asked for where
/// the work is full, or behind a guard and longer than an hour. The fit working belongs to full work.
pub fn asked(
    touches: Touches,
    minutes_planned: Option<i64>,
    criticality: Option<&str>,
    emergency: bool,
) -> Asked {
    let opened = touches > Touches::Nothing;
    let long = opened && minutes_planned.is_some_and(|minutes| minutes > SMALL_MINUTES);
    let high = opened && criticality == Some("high");
    let electrical = touches >= Touches::LikeForLike;
    Asked {
        cause: emergency || high || electrical || long,
        time: touches == Touches::Full || long,
        fit: touches.needs().fit,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_work_is_asked_for_little_and_what_matters_for_all() {
        let small = |touches| asked(touches, Some(30), Some("ordinary"), false);
        for touches in [Touches::Nothing, Touches::Guard] {
            let asked = small(touches);
            assert!(!asked.cause && !asked.time && !asked.fit, "{touches:?}");
        }
        assert!(small(Touches::LikeForLike).cause && !small(Touches::LikeForLike).time);
        let full = small(Touches::Full);
        assert!(full.cause && full.time && full.fit);
        assert!(asked(Touches::Guard, Some(30), Some("high"), false).cause);
        assert!(!asked(Touches::Nothing, None, Some("high"), false).cause);
        assert!(asked(Touches::Nothing, None, None, true).cause);
        let long = asked(Touches::Guard, Some(90), None, false);
        assert!(long.cause && long.time && !long.fit);
    }
}
