//! A sieve before the fit: which candidates a few columns already rule out, so that the full rules
//! need not be asked about two hundred thousand motors.
//!
//! The promise: a candidate that the sieve rules out is `DoNotFit` by [`super::judge`]. The
//! reverse is not promised: much of what passes does not fit either. A column that is not known
//! rules nothing out; the one apparent exception is the listing for a hazardous location, where an
//! unmarked plate counts as not listed by the rule itself.
//!
//! Values out of a short list (type, mount, enclosure, …) are ruled out by running the rule itself
//! over each of them; limits of figures are taken from the rules' own constants in
//! `sieve_rules`, widened by a millionth so that rounding decides nothing.

use super::traits::{Column, Traits};

/// A comparison with one column. It does not hold where the column is not known.
#[derive(Clone, Debug, PartialEq)]
pub enum Cut {
    /// The value is below.
    Below(Column, f64),
    /// The value is above.
    Above(Column, f64),
    /// The value is known and another one.
    Other(Column, f64),
    /// The value is one of these.
    OneOf(Column, Vec<f64>),
    /// The listing for a hazardous location is not this text.
    Unlisted(String),
}

impl Cut {
    fn holds(&self, traits: &Traits) -> bool {
        let is =
            |column: &Column, test: &dyn Fn(f64) -> bool| traits.get(*column).is_some_and(test);
        match self {
            Cut::Below(column, limit) => is(column, &|value| value < *limit),
            Cut::Above(column, limit) => is(column, &|value| value > *limit),
            Cut::Other(column, wanted) => is(column, &|value| value != *wanted),
            Cut::OneOf(column, values) => is(column, &|value| values.contains(&value)),
            Cut::Unlisted(listing) => traits.listing != *listing,
        }
    }
}

/// Comparisons that together rule a candidate out.
pub type Misfit = Vec<Cut>;

/// What rules a candidate out for one machine. Made by [`Sieve::new`] in `sieve_rules`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sieve {
    /// Any one of them is enough.
    pub misfits: Vec<Misfit>,
}

impl Sieve {
    /// Whether the columns alone show that the candidate does not fit.
    pub fn rules_out(&self, traits: &Traits) -> bool {
        let all_hold = |misfit: &Misfit| misfit.iter().all(|cut| cut.holds(traits));
        self.misfits.iter().any(all_hold)
    }
}
