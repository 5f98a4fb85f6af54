//! When planned work is due: calendar, from completion, season, weekday, run hours, whichever first.
//!
//! Dates only, without a time of day, so that no clock change can move them; [`zone`] and
//! [`rrule`] serve the few plans that name an hour.

mod closed;
mod grid;
mod meter;
mod nested;
mod next;
#[cfg(test)]
mod properties;
pub mod rrule;
mod rule;
mod window;
mod words;
pub mod zone;

pub use closed::{Closed, Shift, shift};
pub use grid::{add, before_season, chained, fixed_next, grid_after};
pub use meter::{
    Meter, MeterReading, Prediction, Refusal, Replacement, Trigger, beyond_rollover, continuous,
    doubtful_return, forecast, predict, rate_least_squares, recent, refusal, whichever_first,
};
pub use nested::{Service, Visit, drift, visits};
pub use next::{next, upcoming};
pub use rule::{Due, Every, MonthDay, NoDue, Rule, Season};
pub use window::{
    Standing, ThreeInARow, Timing, quarter_late, standing, tenth, tenth_in_total, three_in_a_row,
    timing, window,
};
