//! The working of a box: what is in it, line by line, against the room it gives.

use super::{BoxError, CAUTION, Contents, Fill, fill, fill_at_most};
use crate::circuit::RuleSet;
use crate::shown::{Fill as _, ask, exact, line};
use crate::working::{Line, Missing, Verdict, Working};
use rust_decimal::Decimal;

/// The room of a box with what adds to it and takes from it; cubic inches.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Room {
    /// The box itself, all gangs; `None` where it is not known.
    pub volume: Option<Decimal>,
    /// Marked volumes of plaster rings, raised covers and extension rings.
    pub added: Vec<Decimal>,
    /// Unmarked metal barriers, half a cubic inch each.
    pub metal_barriers: u32,
    /// Unmarked nonmetallic barriers, one cubic inch each.
    pub other_barriers: u32,
}

impl Room {
    /// Box plus rings less barriers, never below zero; `None` without a box.
    ///
    /// `V = box + added - 0.5 metal barriers - 1 other barriers`, cubic inches.
    /// Source: NEC 314.16(A).
    pub fn total(&self) -> Option<Decimal> {
        let mut sum = self.volume?;
        for added in &self.added {
            sum = sum.checked_add(*added)?;
        }
        let barriers = Decimal::from(self.metal_barriers) * Decimal::new(5, 1)
            + Decimal::from(self.other_barriers);
        Some(sum.checked_sub(barriers)?.max(Decimal::ZERO))
    }
}

/// What a box holds against what it may hold. `unsaid` names the kinds of contents that nobody has
/// spoken of: they count nothing, and the working says so.
///
/// Source: NEC 314.16(A) and (B); see [`fill`].
/// # Errors
/// [`BoxError`] for a size or count that cannot be read.
pub fn check(
    edition: RuleSet,
    contents: &Contents,
    room: &Room,
    unsaid: &[&'static str],
) -> Result<Working, BoxError> {
    let mut working = Working::new("Box fill");
    working.cautions.push(CAUTION.into());
    if !contents.bonding_jumpers.is_empty() && edition == RuleSet::Nec2023 {
        working.cautions.push(
            "NEC 2023 no longer names bonding jumpers; they are counted here as grounding conductors."
                .into(),
        );
    }
    let fill = fill(edition, contents)?;
    for part in &fill.parts {
        let each = format!("{} x {} AWG", exact(part.allowances), part.size);
        working.lines.push(
            line(part.key, part.what)
                .value(exact(part.volume), "in3")
                .rule(
                    "allowances of the conductor's volume",
                    format!("NEC {}", part.section),
                )
                .note(each),
        );
    }
    for what in unsaid {
        working.missing.push(Missing {
            what: (*what).into(),
            why: "what is not listed counts nothing".into(),
            how: "open the box dead and look; say none where there are none".into(),
        });
    }
    let most = fill_at_most(edition, contents)?;
    judge(&mut working, contents, (&fill, most), room, unsaid);
    Ok(working)
}

/// Key, label, size that counts, source.
const RULES: [(&str, &str, &str, &str); 6] = [
    (
        "conductors",
        "Conductors",
        "each at its own size",
        "NEC 314.16(B)(1)",
    ),
    (
        "clamps",
        "Clamps",
        "the largest conductor in the box",
        "NEC 314.16(B)(2)",
    ),
    (
        "fittings",
        "Studs and hickeys",
        "the largest conductor in the box",
        "NEC 314.16(B)(3)",
    ),
    (
        "yokes",
        "Devices",
        "the largest conductor wired to that device",
        "NEC 314.16(B)(4)",
    ),
    (
        "egc",
        "Grounding conductors",
        "the largest of them",
        "NEC 314.16(B)(5)",
    ),
    (
        "blocks",
        "Terminal blocks",
        "the largest conductor on the block",
        "NEC 314.16(B)(6), 2023",
    ),
];

/// Which size counts for what. Source: NEC 314.16(B).
pub fn rule() -> Working {
    let mut working = Working::new("Box fill");
    working.cautions.push(CAUTION.into());
    for (key, label, rule, source) in RULES {
        working.lines.push(line(key, label).rule(rule, source));
    }
    working
}

fn judge(
    working: &mut Working,
    contents: &Contents,
    (fill, most): (&Fill, Option<Decimal>),
    room: &Room,
    unsaid: &[&'static str],
) {
    let rule = "all volumes together are not more than the box gives";
    let shown = line("fill", "Room taken").rule(rule, "NEC 314.16(A), 314.16(B)");
    if contents.is_empty() {
        return ask(
            working,
            shown,
            "what is in the box",
            "nothing listed is not nothing there",
            "open the box dead and count conductors, clamps, devices and grounds",
        );
    }
    let taken = most.unwrap_or(fill.total);
    let shown = shown.value(exact(taken), "in3");
    let Some(volume) = room.total() else {
        return ask(
            working,
            shown,
            "the box, by trade size or marked volume",
            "only a box has a limit to hold the contents against",
            "read the volume stamped in the box, or measure it",
        );
    };
    let shown = shown
        .limit(format!("{} in3", exact(volume)))
        .margin(format!("{} in3", exact(volume - taken)));
    if fill.device_open && fill.total <= volume && most.is_none_or(|most| most > volume) {
        return ask(
            working,
            shown,
            "largest conductor on each device",
            "a device counts twice the largest conductor wired to it, not the largest in the box",
            "look at the terminals of the device",
        );
    }
    working.lines.push(verdict(shown, taken <= volume, unsaid));
}

fn verdict(shown: Line, fits: bool, unsaid: &[&'static str]) -> Line {
    if !fits {
        shown.judge(
            Verdict::Beyond,
            "Fit a larger box or an extension ring, or take conductors out.",
        )
    } else if unsaid.is_empty() {
        shown.judge(Verdict::Within, "The contents fit the box.")
    } else {
        let note = format!("Fits as listed. Nothing was said of {}.", unsaid.join(", "));
        shown.judge(Verdict::WithinNote, note)
    }
}
