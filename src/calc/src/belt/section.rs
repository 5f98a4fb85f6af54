//! What the name of a belt says: its section and, by family, its inside or outside length.

use crate::shown::{Fill, figure, line};
use crate::units::{MM_PER_INCH, Millimetres};
use crate::working::{Verdict, Working};
use std::f64::consts::PI;

/// What the number of a belt's name counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counts {
    /// Inside length in inches; outside is longer by this many.
    InsideInches(u8),
    /// Outside length in tenths of an inch.
    OutsideTenths,
    /// Effective outside length in tenths of an inch.
    EffectiveTenths,
}

impl Counts {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Counts::InsideInches(_) => "inside length in inches",
            Counts::OutsideTenths => "outside length in tenths of an inch",
            Counts::EffectiveTenths => "effective outside length in tenths of an inch",
        }
    }
}

/// A section of V-belt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Its name, as `A`, `4L`, `3V`.
    pub name: &'static str,
    /// Its name with cogs, where there is one.
    pub cogged: Option<&'static str>,
    /// Width at the top, inches.
    pub top_width_in: f64,
    /// Thickness, inches.
    pub thickness_in: f64,
    /// What its number counts.
    pub counts: Counts,
    /// Pitch diameter of a sheave under its outside diameter, inches; `None` where none is known.
    pub pitch_under_outside_in: Option<f64>,
    /// A section of the same cross-section that is not the same belt.
    pub not_the_same: Option<&'static str>,
}

const fn section(
    name: &'static str,
    top_width_in: f64,
    thickness_in: f64,
    counts: Counts,
) -> Section {
    Section {
        name,
        cogged: None,
        top_width_in,
        thickness_in,
        counts,
        pitch_under_outside_in: None,
        not_the_same: None,
    }
}

impl Section {
    const fn cogged(mut self, name: &'static str) -> Section {
        self.cogged = Some(name);
        self
    }
    const fn sheave(mut self, under: f64) -> Section {
        self.pitch_under_outside_in = Some(under);
        self
    }
    const fn unlike(mut self, other: &'static str) -> Section {
        self.not_the_same = Some(other);
        self
    }
}

/// All sections. Widths, thicknesses and meaning of the number: belt practice (RMA). The step from
/// outside to pitch diameter: RMA sheave standards, from memory.
pub static SECTIONS: &[Section] = &[
    section("3L", 0.375, 0.2188, Counts::OutsideTenths),
    section("4L", 0.5, 0.3125, Counts::OutsideTenths).unlike("A"),
    section("5L", 0.656_25, 0.375, Counts::OutsideTenths).unlike("B"),
    section("A", 0.5, 0.3125, Counts::InsideInches(2))
        .cogged("AX")
        .sheave(0.25)
        .unlike("4L"),
    section("B", 0.656_25, 0.4062, Counts::InsideInches(3))
        .cogged("BX")
        .sheave(0.35)
        .unlike("5L"),
    section("C", 0.875, 0.5312, Counts::InsideInches(4))
        .cogged("CX")
        .sheave(0.4),
    section("D", 1.25, 0.75, Counts::InsideInches(5)).sheave(0.6),
    section("3V", 0.375, 0.3125, Counts::EffectiveTenths)
        .cogged("3VX")
        .sheave(0.05),
    section("5V", 0.625, 0.5312, Counts::EffectiveTenths)
        .cogged("5VX")
        .sheave(0.1),
    section("8V", 1.0, 0.875, Counts::EffectiveTenths).sheave(0.2),
];

/// A section by name, cogged or not, and whether the name is that of the cogged belt.
pub fn find(name: &str) -> Option<(&'static Section, bool)> {
    let name = name.trim();
    SECTIONS.iter().find_map(|section| {
        if section.name.eq_ignore_ascii_case(name) {
            return Some((section, false));
        }
        let cogged = section.cogged?.eq_ignore_ascii_case(name);
        cogged.then_some((section, true))
    })
}

/// A belt by its name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Named {
    /// Its section.
    pub section: &'static Section,
    /// It has cogs.
    pub cogged: bool,
    /// The number behind the section.
    pub number: f64,
    /// Inside length where the number gives it.
    pub inside: Option<Millimetres>,
    /// Outside length.
    pub outside: Millimetres,
}

/// Reads `A42`, `AX42`, `4L420`, `3V500`: section, then number.
///
/// A, B, C, D count the inside length in inches, and the outside is 2, 3, 4, 5 in longer; 3L, 4L, 5L
/// and 3V, 5V, 8V count the outside length in tenths of an inch. `None` for any other name. The length
/// along the pitch line, which the centres follow from, is in neither: see the belt's data sheet.
/// Source: belt practice (RMA).
pub fn read_name(name: &str) -> Option<Named> {
    let name = name.trim();
    let split = name.rfind(|c: char| !c.is_ascii_digit() && c != '.')?;
    let (letters, number) = name.split_at_checked(split + 1)?;
    let (section, cogged) = find(letters.trim_end_matches([' ', '-']))?;
    let number: f64 = number.parse().ok()?;
    if !(number > 0.0 && number <= 10_000.0) {
        return None;
    }
    let (inside, outside) = match section.counts {
        Counts::InsideInches(more) => (Some(number), number + f64::from(more)),
        Counts::OutsideTenths | Counts::EffectiveTenths => (None, number / 10.0),
    };
    Some(Named {
        section,
        cogged,
        number,
        inside: inside.map(Millimetres::from_inches),
        outside: Millimetres::from_inches(outside),
    })
}

/// Pitch diameter of a sheave from its outside diameter, for belts of this section.
///
/// `None` where no step is known, or the sheave is smaller than the step. A sheave for both A and B
/// belts follows its own data. Source: RMA sheave standards, from memory.
pub fn pitch_diameter(section: &Section, outside: Millimetres) -> Option<Millimetres> {
    let pitch = outside.0 - Millimetres::from_inches(section.pitch_under_outside_in?).0;
    (pitch.is_finite() && pitch > 0.0).then_some(Millimetres(pitch))
}

/// Room that is left about a named belt's length for stretch and the travel of the motor's base, 2 %.
/// Source: common practice.
pub const TAKE_UP: f64 = 0.02;
/// A named belt farther off than this is another belt, 10 %. Source: common practice.
pub const ABSURD: f64 = 0.1;

/// Holds a named belt against the pitch length that sheaves and centres need.
///
/// The pitch line lies between inside and outside length. Inside that range and [`TAKE_UP`] about it:
/// within. Up to [`ABSURD`] outside the range: a note, since the name does not tell the pitch
/// length. Farther: beyond. Source: common practice.
pub(crate) fn judge_length(working: &mut Working, named: &Named, needed: Millimetres) {
    let high = named.outside.0;
    let low = named.inside.map_or_else(
        || high - 2.0 * PI * named.section.thickness_in * MM_PER_INCH,
        |inside| inside.0,
    );
    let inches = |mm: f64| figure(mm / MM_PER_INCH, 1);
    let shown = line("belt_fits", "Named belt against the length needed")
        .value(figure(needed.0, 1), "mm")
        .limit(format!("{} to {} mm", figure(low, 1), figure(high, 1)))
        .margin(format!("{} in needed", inches(needed.0)))
        .rule(
            "pitch length needed between inside and outside length of the belt, 2 % take-up",
            "common practice",
        );
    let off = |share: f64| needed.0 < low * (1.0 - share) || needed.0 > high * (1.0 + share);
    working.lines.push(if off(ABSURD) {
        shown.judge(
            Verdict::Beyond,
            format!(
                "This belt does not go on: the drive needs about {} in along the pitch line.",
                inches(needed.0)
            ),
        )
    } else if off(TAKE_UP) {
        shown.judge(
            Verdict::WithinNote,
            format!(
                "Doubtful: about {} in along the pitch line is needed, more than the take-up off this \
                 belt. Look its pitch length up, and measure the sheaves again.",
                inches(needed.0)
            ),
        )
    } else {
        shown.judge(
            Verdict::Within,
            "Inside what the name tells; the pitch length itself stands in the belt's data.",
        )
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_named_belt_is_held_against_the_geometry() {
        let at = |inches: f64| {
            let mut working = Working::default();
            let belt = read_name("A42").expect("a belt");
            judge_length(&mut working, &belt, Millimetres(inches * MM_PER_INCH));
            working.verdict()
        };
        assert_eq!(at(43.3), Some(Verdict::Within));
        assert_eq!(at(46.0), Some(Verdict::WithinNote));
        assert_eq!(at(40.0), Some(Verdict::WithinNote));
        assert_eq!(at(60.0), Some(Verdict::Beyond));
        assert_eq!(at(30.0), Some(Verdict::Beyond));
    }

    use proptest::prelude::*;

    fn lengths(name: &str) -> Option<(&'static str, bool, Option<f64>, f64)> {
        let named = read_name(name)?;
        let inside = named.inside.map(|mm| mm.inches().round());
        let outside = (named.outside.inches() * 10.0).round() / 10.0;
        Some((named.section.name, named.cogged, inside, outside))
    }

    #[test]
    fn names_are_read_by_family() {
        assert_eq!(lengths("A42"), Some(("A", false, Some(42.0), 44.0)));
        assert_eq!(lengths("bx55"), Some(("B", true, Some(55.0), 58.0)));
        assert_eq!(lengths("4L420"), Some(("4L", false, None, 42.0)));
        assert_eq!(lengths("5VX850"), Some(("5V", true, None, 85.0)));
        assert_eq!(lengths("A-42"), Some(("A", false, Some(42.0), 44.0)));
        for bad in ["", "42", "A", "Q42", "4L", "A0", "é9"] {
            assert_eq!(lengths(bad), None, "{bad}");
        }
    }

    #[test]
    fn four_l_is_not_a() {
        let (a, _) = find("A").expect("listed");
        let (four_l, _) = find("4L").expect("listed");
        assert_eq!(a.top_width_in, four_l.top_width_in);
        assert_eq!(a.not_the_same, Some("4L"));
        assert_ne!(lengths("A42").map(|l| l.3), lengths("4L420").map(|l| l.3));
    }

    proptest! {
        #[test]
        fn no_name_breaks_it(name in "\\PC{0,12}", outside in any::<f64>()) {
            if let Some(named) = read_name(&name) {
                prop_assert!(named.outside.0.is_finite());
                let _ = pitch_diameter(named.section, Millimetres(outside));
            }
        }
    }
}
