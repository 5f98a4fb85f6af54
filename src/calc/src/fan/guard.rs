//! Guards of fan blades: the height rule, the largest opening, and openings against distance.

use crate::shown::{Fill, ask, figure, line};
use crate::units::Millimetres;
use crate::working::{Line, Verdict, Working};
use serde::{Deserialize, Serialize};

/// Below this height of the blades' periphery above floor or working level the guard rule applies:
/// 7 ft. Source: 29 CFR 1910.212(a)(5).
pub const REACH: Millimetres = Millimetres(2_133.6);
/// Largest opening of such a guard, 1/2 in. Source: 29 CFR 1910.212(a)(5).
pub const LARGEST_OPENING: Millimetres = Millimetres(12.7);

const RULE: &str = "29 CFR 1910.212(a)(5)";

/// Distance over, distance up to, and largest opening, all in inches.
/// Source: 29 CFR 1910.217 Table O-10, from memory.
const TABLE_O10: &[(f64, f64, f64)] = &[
    (0.5, 1.5, 0.25),
    (1.5, 2.5, 0.375),
    (2.5, 3.5, 0.5),
    (3.5, 5.5, 0.625),
    (5.5, 6.5, 0.75),
    (6.5, 7.5, 0.875),
    (7.5, 12.5, 1.25),
    (12.5, 15.5, 1.5),
    (15.5, 17.5, 1.875),
    (17.5, 31.5, 2.125),
];

/// Largest opening at a distance from opening to hazard, so that a hand does not reach it.
///
/// Distances above 1/2 in and up to 31 1/2 in; `None` outside, and at 1/2 in and below the table
/// allows no opening. Made for power presses and used as good practice elsewhere.
/// Source: 29 CFR 1910.217 Table O-10, from memory.
pub fn opening_at(distance: Millimetres) -> Option<Millimetres> {
    let inches = distance.inches();
    TABLE_O10
        .iter()
        // 1 1/2 in belongs to the nearer row, also where millimetres round it.
        .find(|(over, to, _)| inches > over + 1e-9 && inches <= to + 1e-9)
        .map(|(.., opening)| Millimetres::from_inches(*opening))
}

/// Whether the guard rule bites: periphery of the blades less than 7 ft above floor or working
/// level; exactly 7 ft is not less. `None` for no figure. Source: 29 CFR 1910.212(a)(5).
pub fn needs_guard(height: Millimetres) -> Option<bool> {
    (height.0.is_finite() && height.0 >= 0.0).then_some(height.0 < REACH.0 - 1e-6)
}

/// What is known of a fan and its guard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct GuardInput {
    /// Lowest point of the blades' periphery above the floor or the working level.
    pub height: Option<Millimetres>,
    /// A guard is there.
    pub guarded: Option<bool>,
    /// Widest opening of the guard; on ring guards the clear space between rings.
    pub opening: Option<Millimetres>,
    /// From the guard's opening to the blades.
    pub distance: Option<Millimetres>,
    /// The fan stands inside a closed unit.
    pub enclosed: Option<bool>,
}

/// A fan's guard against the height rule and the opening table.
///
/// Source: 29 CFR 1910.212(a)(5), its interpretation letters, and 1910.217 Table O-10.
pub fn check(input: &GuardInput) -> Working {
    let mut working = Working::new("Guard of the blades");
    judge_height(&mut working, input);
    if let Some(distance) = input.distance {
        working.lines.push(judge_distance(distance, input.opening));
    }
    for caution in [
        "Lock out and wait until the wheel stands before a guard is opened or taken off (29 CFR 1910.147).",
        "A low speed does not take the duty to guard away (interpretation letter of 1975).",
        "On guards of concentric rings the space between the rings counts as the opening (interpretation letter of 2003).",
        "Local rules and the fan maker's instructions may ask for more; the stricter counts.",
    ] {
        working.cautions.push(caution.into());
    }
    working
}

fn judge_height(working: &mut Working, input: &GuardInput) {
    let shown = line("guard", "Guard").rule(
        "blades less than 7 ft above floor or working level: guarded, no opening over 1/2 in",
        RULE,
    );
    let bites = input.height.and_then(needs_guard);
    if input.enclosed == Some(true) {
        working.lines.push(
            line("enclosed", "Inside a closed unit")
                .value("yes", "")
                .rule("the stricter reading is applied", "interpretation letters of 1977 and 1992")
                .note("The letters conflict: one leaves enclosed fans to 1910.212(a)(1) and 1910.219, the other applies (a)(5). Whoever opens the unit stands before open blades."),
        );
    }
    match bites {
        None => ask(
            working,
            shown,
            "height of the blades above floor or working level",
            "below 7 ft the blades must be guarded with no opening over 1/2 in",
            "measure from the floor, platform or roof on which people stand or work to the lowest point of the blades' periphery",
        ),
        Some(false) => {
            let height = input.height.map_or_else(String::new, |h| figure(h.0, 0));
            working.lines.push(
                shown.value(height, "mm").limit("under 2134 mm (7 ft)").judge(
                    Verdict::WithinNote,
                    "Not less than 7 ft: (a)(5) does not apply; the general duty to guard, 1910.212(a)(1), still does.",
                ),
            );
        }
        Some(true) => judge_opening(working, shown, input),
    }
}

fn judge_opening(working: &mut Working, shown: Line, input: &GuardInput) {
    let shown = shown.limit("12.7 mm (1/2 in)");
    // An opening that was measured is an opening of a guard.
    match (
        input.guarded,
        input.opening.filter(|o| o.0.is_finite() && o.0 >= 0.0),
    ) {
        (Some(false), _) => working.lines.push(shown.value("none", "").judge(
            Verdict::Beyond,
            "Guard it before it runs: no opening over 1/2 in.",
        )),
        (_, None) => ask(
            working,
            shown,
            "widest opening of the guard, or that there is none",
            "a guard with a wider opening than 1/2 in does not count",
            "measure the clear space between wires or rings with the fan locked out",
        ),
        (_, Some(opening)) => {
            let shown = shown
                .value(figure(opening.0, 2), "mm")
                .margin(format!("{} mm", figure(LARGEST_OPENING.0 - opening.0, 2)));
            working
                .lines
                .push(if opening.0 <= LARGEST_OPENING.0 + 1e-6 {
                    shown.judge(Verdict::Within, "No opening over 1/2 in.")
                } else {
                    shown.judge(
                        Verdict::Beyond,
                        "The openings are too wide: fit a guard or mesh with none over 1/2 in.",
                    )
                });
        }
    }
}

fn judge_distance(distance: Millimetres, opening: Option<Millimetres>) -> Line {
    let shown = line("opening_at_distance", "Opening at this distance").rule(
        "the farther the hazard, the wider the opening may be",
        "29 CFR 1910.217 Table O-10, from memory; made for presses, used as good practice",
    );
    let Some(limit) = opening_at(distance) else {
        return shown.value("no row", "").note(
            "The table runs from above 1/2 in to 31 1/2 in; nearer than that no opening is allowed.",
        );
    };
    let shown = shown.limit(format!(
        "{} mm ({} in)",
        figure(limit.0, 2),
        figure(limit.inches(), 3)
    ));
    match opening {
        None => shown.value("not given", ""),
        Some(opening) if opening.0 <= limit.0 + 1e-6 => shown
            .value(figure(opening.0, 2), "mm")
            .judge(Verdict::Within, "Not wider than the table allows here."),
        Some(opening) => shown.value(figure(opening.0, 2), "mm").judge(
            Verdict::WithinNote,
            "Fingers can reach the blades through it: fit a closer mesh or set the guard farther off.",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn verdict(height: Option<f64>, opening: Option<f64>) -> Option<Verdict> {
        check(&GuardInput {
            height: height.map(Millimetres),
            opening: opening.map(Millimetres),
            ..GuardInput::default()
        })
        .verdict()
    }

    #[test]
    fn seven_feet_is_not_less_than_seven_feet() {
        assert_eq!(verdict(Some(2133.6), None), Some(Verdict::WithinNote));
        assert_eq!(verdict(Some(2133.0), Some(12.7)), Some(Verdict::Within));
        assert_eq!(verdict(Some(2133.0), Some(12.8)), Some(Verdict::Beyond));
        assert_eq!(verdict(Some(2133.0), None), Some(Verdict::NotKnownYet));
        assert_eq!(verdict(None, Some(6.0)), Some(Verdict::NotKnownYet));
    }

    #[test]
    fn a_fan_without_guard_is_beyond() {
        let input = GuardInput {
            height: Some(Millimetres(1500.0)),
            guarded: Some(false),
            ..GuardInput::default()
        };
        assert_eq!(check(&input).verdict(), Some(Verdict::Beyond));
    }

    proptest! {
        #[test]
        fn lower_blades_and_wider_openings_are_never_judged_better(
            height in 0.0..4000.0f64, opening in 0.0..60.0f64, distance in 0.0..900.0f64,
        ) {
            let at = |height, opening, distance| {
                let input = GuardInput {
                    height: Some(Millimetres(height)),
                    opening: Some(Millimetres(opening)),
                    distance: Some(Millimetres(distance)),
                    ..GuardInput::default()
                };
                check(&input).verdict().map_or(0, Verdict::severity)
            };
            let here = at(height, opening, distance);
            prop_assert!(at(height, opening + 1.0, distance) >= here);
            // Above 7 ft the note about the general duty stands where `within` stood below it.
            if height < REACH.0 || here > 1 {
                prop_assert!(at((height - 100.0).max(0.0), opening, distance) >= here);
            }
        }

        #[test]
        fn no_figure_breaks_it(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
            let input = GuardInput {
                height: Some(Millimetres(a)),
                opening: Some(Millimetres(b)),
                distance: Some(Millimetres(c)),
                ..GuardInput::default()
            };
            prop_assert!(check(&input).verdict().is_some());
        }
    }
}
