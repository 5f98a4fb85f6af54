//! Fit: one candidate motor judged for one machine, attribute by attribute.
//!
//! Three references are held against the candidate: the old plate, what the site really supplies
//! and needs, and the driven part. Where the site or the driven part is known it beats the old
//! plate; where it is not, the old plate stands in, because the old motor worked there.
//!
//! Two doors, one set of rules: [`judge`] makes no text and is for ranking, [`explain`] writes
//! everything down. Both run the same functions over a different sink and cannot disagree.
//!
//! Unknown values: what the candidate cannot violate is no question; everything else is, and the
//! verdict is `NotKnownYet`. Taking a value away never improves a verdict (only `DoNotFit` may
//! turn into `NotKnownYet`), as long as the old plate and the site do not contradict each other.
//! Two exceptions. The site's classification as a hazardous location: known and classified,
//! nothing is matched automatically (`DoNotFit`, or `NotKnownYet` for a listing of identical
//! text); unknown, it is a caution and no block, because a fan in an ordinary building must be
//! judgeable. An old motor that is itself listed counts as a classified place. And the highest
//! speed of a wheel: known, the torque balance of a stronger motor is held against it; unknown,
//! a rise within 5 % of the plate speeds is a caution.
//!
//! Where each rule is judged (numbers of the match rules, then the keys of the lines):
//!
//! | rule | file | lines |
//! |---|---|---|
//! | 1 to 3 supply | `supply` | `voltage` `phases` `frequency` |
//! | 4 power, 7 taps, 24 service factor | `load` | `power` `taps` `service_factor` |
//! | 5 and 6 speed, direct and belt | `speed` | `speed` |
//! | 8 speed control | `supply` | `control` |
//! | 9 type, 23 duty, 25 protection, 26 bearing, 27 capacitor, 29 efficiency | `kind` | their names |
//! | 10 amps and overload | `amps` | `amps` |
//! | 11 and 12 turning, 21 enclosure, 22 heat, 28 hazardous | `place` | `rotation` `reversible` `enclosure` `ambient` `insulation` `hazardous` |
//! | 13 frame, 14 mount, 15 studs, 20 body | `shape` | `frame` `mount` `studs` `body` |
//! | 16 to 19 shaft | `shaft` | `shaft_diameter` `shaft_length` `shaft_form` `double_shaft` |
//!
//! Where this differs from the rules on purpose:
//! - 4: a candidate up to 4 % below the old plate with an unknown load is a question, not refused:
//!   1/4 hp and 0.18 kW are one rating in the two systems, and only the load tells.
//! - 5: a rise above 5 % with an unknown wheel limit is a question, not refused: the limit can be
//!   looked up, and the answer may be yes.
//! - 6: a motor sheave below the frame's smallest is not refused: the work names the smallest and
//!   the driven sheave that goes with it.
//! - 11: a candidate that can be reversed needs no viewing end: it is set by a bump test.
//! - 21 and 26: drain plugs, rain shield, oil holes are cautions; every motor there needs them.
//! - 28: an identical listing is a question for a qualified person, a stricter one is refused.
//! - 29: an efficiency floor warns and never blocks: it binds who makes and sells a new motor, and
//!   the plate does not tell when it was made.

mod amps;
mod attribute;
mod changes;
pub mod dimensions;
mod floors;
mod frames;
mod kind;
mod known;
mod load;
mod place;
mod question;
mod say;
mod shaft;
mod shape;
mod sieve;
mod sieve_rules;
mod sink;
mod speed;
mod supply;
#[cfg(test)]
mod tests;
mod traits;
mod work;

pub use changes::{changes, may_overload};
pub use sieve::{Cut, Misfit, Sieve};
pub use traits::{Column, REVISION, Traits};

use crate::installation::Installation;
use crate::plate::Plate;
use crate::working::{Verdict, Working};
use known::Facts;
use sink::{Sheet, Sink, Tally};

/// What a motor is wanted for: the old motor's plate and the machine it served.
#[derive(Clone, Copy, Debug)]
pub struct Need<'a> {
    /// Plate of the motor to be replaced.
    pub old: &'a Plate,
    /// The machine it served.
    pub installation: &'a Installation,
}

/// Sorts candidates of the *same* verdict, best first, by its fields in their order: fewer blocks,
/// fewer questions, fewer items of work, nearer plate speed, less power to spare. It never moves a
/// candidate past a better verdict. All fields are whole numbers, so the order is total.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Order {
    /// Attributes that forbid fitting.
    pub blocks: u16,
    /// Attributes that wait for an answer.
    pub questions: u16,
    /// Items of named work.
    pub work: u16,
    /// Difference of plate speeds, in millionths of the old; greatest where not known.
    pub speed: u32,
    /// Plate power over what is needed, in millionths; greatest where not known.
    pub oversize: u32,
}

/// A verdict without its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Judgement {
    /// The worst verdict of all attributes.
    pub verdict: Verdict,
    /// Its place among candidates of the same verdict.
    pub order: Order,
}

/// Judges one candidate without making any text.
///
/// Runs the 29 attribute rules; the worst attribute is the verdict. Valid for any input: what is
/// not a possible value (zero, negative, infinite, NaN) counts as not known. No errors.
/// Source: each rule names its own, see [`explain`].
pub fn judge(need: &Need, candidate: &Plate) -> Judgement {
    let facts = Facts::new(need, candidate);
    let mut tally = Tally::default();
    rules(&facts, &mut tally);
    let millionths = |value: f64| (value * 1e6).clamp(0.0, f64::from(u32::MAX)) as u32;
    let ratio = |value: Option<f64>, base: Option<f64>| value.zip(base).map(|(v, b)| v / b - 1.0);
    let speed = ratio(facts.new_speed, facts.old_speed);
    let oversize = ratio(facts.new_power, facts.taken().or(facts.old_power));
    Judgement {
        verdict: tally.verdict.unwrap_or(Verdict::NotKnownYet),
        order: Order {
            blocks: tally.blocks,
            questions: tally.questions,
            work: tally.work,
            speed: speed.map_or(u32::MAX, |s| millionths(s.abs())),
            oversize: oversize.map_or(u32::MAX, millionths),
        },
    }
}

/// Judges one candidate and shows the working: a line for each of the 29 attributes with value,
/// limit, margin, rule, source and named work; what is missing; cautions.
///
/// Its verdict is that of [`judge`]. No errors.
pub fn explain(need: &Need, candidate: &Plate) -> Working {
    let mut sheet = Sheet(Working::new("Fit of the candidate motor"));
    rules(&Facts::new(need, candidate), &mut sheet);
    for caution in CAUTIONS {
        sheet.caution(|| (*caution).into());
    }
    sheet.0
}

const CAUTIONS: &[&str] = &[
    "De-energise, lock, tag and have it proved dead by a qualified person before opening.",
    "The adopted local code, the licensed electrician and the makers' instructions rule.",
    "After fitting: rotation, amps against the plate, supply volts, vibration, guard in place.",
];

/// Every attribute once, in the order people read them.
fn rules(f: &Facts, sink: &mut impl Sink) {
    supply::voltage(f, sink);
    supply::phases(f, sink);
    supply::frequency(f, sink);
    load::power(f, sink);
    speed::speed(f, sink);
    load::taps(f, sink);
    supply::control(f, sink);
    kind::motor_type(f, sink);
    amps::amps_line(f, sink);
    place::rotation(f, sink);
    place::reversing(f, sink);
    shape::frame(f, sink);
    shape::mount(f, sink);
    shape::studs(f, sink);
    shaft::shaft_diameter(f, sink);
    shaft::shaft_length(f, sink);
    shaft::shaft_form(f, sink);
    shaft::double_shaft(f, sink);
    shape::body(f, sink);
    place::enclosure(f, sink);
    place::ambient(f, sink);
    place::insulation(f, sink);
    kind::duty(f, sink);
    load::service_factor(f, sink);
    kind::protection(f, sink);
    kind::bearing(f, sink);
    kind::capacitor(f, sink);
    place::hazardous(f, sink);
    kind::efficiency(f, sink);
}

/// All candidates, best first: by verdict, then by [`Order`]. Equal ones keep the order given.
pub fn rank<'a, I>(
    need: &Need,
    candidates: impl IntoIterator<Item = (I, &'a Plate)>,
) -> Vec<(I, Judgement)> {
    let mut ranked: Vec<_> = candidates
        .into_iter()
        .map(|(id, plate)| (id, judge(need, plate)))
        .collect();
    ranked.sort_by_key(|(_, judgement)| (judgement.verdict.severity(), judgement.order));
    ranked
}
