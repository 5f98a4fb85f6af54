//! Answers and shown lines put down together, and quantities read in metric or in the trade's units.

use super::{Figure, Given, Trouble};
use crate::motor::MotorError;
use crate::shown::{Fill, figure};
use crate::units::{
    G_PER_OUNCE, M_PER_FOOT, M_S_PER_FPM, M3_S_PER_CFM, MM_PER_INCH, N_PER_LBF, NM_PER_IN_LB,
    PA_PER_INWG, WATTS_PER_HP,
};
use crate::working::{Line, Working};
use serde_json::Value;

/// A quantity that is read and answered in two units; the field's name is its stem and the ending.
#[derive(Clone, Copy, Debug)]
pub(super) struct Quantity {
    ending: &'static str,
    unit: &'static str,
    places: usize,
    trade_ending: &'static str,
    trade_unit: &'static str,
    trade_places: usize,
    /// Metric units in one of the trade's.
    factor: f64,
}

const fn quantity(
    (ending, unit, places): (&'static str, &'static str, usize),
    (trade_ending, trade_unit, trade_places): (&'static str, &'static str, usize),
    factor: f64,
) -> Quantity {
    Quantity {
        ending,
        unit,
        places,
        trade_ending,
        trade_unit,
        trade_places,
        factor,
    }
}

pub(super) const FLOW: Quantity = quantity(("m3_s", "m³/s", 4), ("cfm", "cfm", 1), M3_S_PER_CFM);
pub(super) const PRESSURE: Quantity = quantity(("pa", "Pa", 2), ("inwg", "inwg", 4), PA_PER_INWG);
pub(super) const POWER: Quantity = quantity(("w", "W", 1), ("hp", "hp", 4), WATTS_PER_HP);
pub(super) const LENGTH: Quantity = quantity(("mm", "mm", 2), ("in", "in", 4), MM_PER_INCH);
pub(super) const VELOCITY: Quantity =
    quantity(("m_s", "m/s", 3), ("fpm", "ft/min", 1), M_S_PER_FPM);
pub(super) const HEIGHT: Quantity = quantity(("m", "m", 2), ("ft", "ft", 2), M_PER_FOOT);
pub(super) const FORCE: Quantity = quantity(("n", "N", 2), ("lb", "lb", 2), N_PER_LBF);
pub(super) const TORQUE: Quantity =
    quantity(("n_m", "N m", 2), ("in_lb", "in-lb", 1), NM_PER_IN_LB);
pub(super) const GREASE: Quantity = quantity(("g", "g", 3), ("oz", "oz", 4), G_PER_OUNCE);
pub(super) const VIBRATION: Quantity =
    quantity(("mm_s", "mm/s", 2), ("in_s", "in/s", 3), MM_PER_INCH);

impl Quantity {
    /// The field `stem_ending`, in either unit, turned into the metric one.
    pub fn read(self, given: &Given, stem: &str) -> Result<Option<f64>, Trouble> {
        let names = [self.ending, self.trade_ending].map(|ending| format!("{stem}_{ending}"));
        let [metric, trade] = &names;
        one_of(given, metric, trade)?;
        match given.not_negative(metric)? {
            Some(value) => Ok(Some(value)),
            None => Ok(given.not_negative(trade)?.map(|value| value * self.factor)),
        }
    }

    /// As [`Quantity::read`], above zero.
    pub fn positive(self, given: &Given, stem: &str) -> Result<Option<f64>, Trouble> {
        match self.read(given, stem)? {
            Some(value) if value <= 0.0 => Err(Trouble::of(
                self.given_name(given, stem),
                "Give a number above zero",
            )),
            read => Ok(read),
        }
    }

    /// As [`Quantity::positive`], and it must be there.
    pub fn need(self, given: &Given, stem: &str) -> Result<f64, Trouble> {
        let name = format!("{stem}_{}", self.ending);
        given.need(&name, self.positive(given, stem)?)
    }

    fn given_name(self, given: &Given, stem: &str) -> String {
        let metric = format!("{stem}_{}", self.ending);
        if given.has(&metric) {
            metric
        } else {
            format!("{stem}_{}", self.trade_ending)
        }
    }
}

fn one_of(given: &Given, metric: &str, trade: &str) -> Result<(), Trouble> {
    if given.has(metric) && given.has(trade) {
        let words = format!("Give {metric} or {trade}, not both");
        return Err(Trouble::of(trade, words));
    }
    Ok(())
}

/// A temperature, `stem_c` or `stem_f`, in °C.
pub(super) fn temperature(given: &Given, stem: &str) -> Result<Option<f64>, Trouble> {
    let (metric, trade) = (format!("{stem}_c"), format!("{stem}_f"));
    one_of(given, &metric, &trade)?;
    match given.number(&metric)? {
        Some(celsius) => Ok(Some(celsius)),
        None => Ok(given.number(&trade)?.map(|f| (f - 32.0) / 1.8)),
    }
}

/// To twelve figures, so that turning inches into millimetres and back leaves no trace; no zero has a
/// sign.
fn tidy(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value) + 0.0
}

/// The same for every figure among the answers.
pub(super) fn tidied(mut figure: Figure) -> Figure {
    for value in figure.answers.values_mut() {
        tidy_value(value);
    }
    figure
}

fn tidy_value(value: &mut Value) {
    match value {
        Value::Number(number) if number.is_f64() => {
            if let Some(tidied) = number.as_f64().map(tidy) {
                *value = tidied.into();
            }
        }
        Value::Array(items) => items.iter_mut().for_each(tidy_value),
        _ => {}
    }
}

/// Trouble where both ways to tell one thing were used.
pub(super) fn not_both(given: &Given, one: &str, other: &str) -> Result<(), Trouble> {
    one_of(given, one, other)
}

/// A figure that a calculation refused, as the sentence about it.
pub(super) fn refused(error: MotorError) -> Trouble {
    Trouble::new(format!("Check the figures: {error}"))
}

/// Answers with their working; each told figure is both.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    figure: Figure,
    beyond_reckoning: bool,
}

impl Sheet {
    /// An empty one.
    pub fn new(title: &'static str) -> Sheet {
        Sheet {
            figure: Figure::new(Working::new(title)),
            beyond_reckoning: false,
        }
    }

    /// One whose working already stands.
    pub fn on(working: Working) -> Sheet {
        Sheet {
            figure: Figure::new(working),
            beyond_reckoning: false,
        }
    }

    /// The working, for verdicts and what is missing.
    pub fn working(&mut self) -> &mut Working {
        &mut self.figure.working
    }

    /// Nothing has been put down yet.
    pub fn is_empty(&self) -> bool {
        self.figure.answers.is_empty() && self.figure.working.lines.is_empty()
    }

    /// An answer without a line of its own.
    pub fn answer(&mut self, name: impl Into<String>, value: impl Into<Value>) {
        self.figure.answers.insert(name.into(), value.into());
    }

    /// A figure as answer only.
    pub fn number(&mut self, name: impl Into<String>, value: f64) {
        self.beyond_reckoning |= !value.is_finite();
        self.answer(name, tidy(value));
    }

    /// An answer by the line's key, with its line.
    pub fn tell(&mut self, line: Line, value: f64, places: usize, unit: &'static str) {
        self.number(line.key.to_string(), value);
        self.working()
            .lines
            .push(line.value(figure(value, places), unit));
    }

    /// A quantity by the line's key, answered in both units and shown in both.
    pub fn quantity(&mut self, line: Line, quantity: Quantity, value: f64) {
        let trade = value / quantity.factor;
        self.number(format!("{}_{}", line.key, quantity.ending), value);
        self.number(format!("{}_{}", line.key, quantity.trade_ending), trade);
        let words = format!(
            "{} {}",
            figure(trade, quantity.trade_places),
            quantity.trade_unit
        );
        let note = match line.note.is_empty() {
            true => words,
            false => format!("{words}. {}", line.note),
        };
        let shown = line.value(figure(value, quantity.places), quantity.unit);
        self.working().lines.push(shown.note(note));
    }

    /// A word as answer, with its line.
    pub fn word(&mut self, line: Line, value: impl Into<String>) {
        let value = value.into();
        self.answer(line.key.to_string(), value.clone());
        self.working().lines.push(line.value(value, ""));
    }

    /// A caution.
    pub fn caution(&mut self, words: &'static str) {
        self.working().cautions.push(words.into());
    }

    /// The figure; trouble where a told number is beyond all reckoning.
    pub fn done(self) -> Result<Figure, Trouble> {
        if self.beyond_reckoning {
            return Err(Trouble::new(
                "No figure comes out of these numbers: check them for a slip of the point",
            ));
        }
        Ok(self.figure)
    }
}
