//! Steps of an axis: 1, 2 or 5 times a power of ten, so that people can read between them.

/// The axis upward.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    pub low: f64,
    pub high: f64,
    pub step: f64,
}

impl Axis {
    /// From zero, or from below it, to over the highest figure in four to six steps.
    pub fn over(values: impl Iterator<Item = f64>) -> Self {
        let (mut low, mut high) = (0.0_f64, 0.0_f64);
        for value in values.filter(|v| v.is_finite()) {
            low = low.min(value);
            high = high.max(value);
        }
        if high - low <= 0.0 {
            high = low + 1.0;
        }
        let step = step((high - low) / 5.0);
        Axis {
            low: (low / step).floor() * step,
            high: (high / step).ceil() * step,
            step,
        }
    }

    pub fn ticks(&self) -> Vec<f64> {
        let mut ticks = Vec::new();
        let mut number = 0_u8;
        loop {
            let tick = self.low + f64::from(number) * self.step;
            if tick > self.high + self.step * 1e-6 || number > 20 {
                return ticks;
            }
            ticks.push(tick);
            number += 1;
        }
    }

    /// How far up a figure stands, from 0 to 1.
    pub fn share(&self, value: f64) -> f64 {
        share(value, (self.low, self.high))
    }
}

/// The next of 1, 2, 5, 10 … at or over the raw step.
fn step(raw: f64) -> f64 {
    let power = 10_f64.powf(raw.log10().floor());
    let found = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|step| step * power >= raw * (1.0 - 1e-9));
    found.unwrap_or(10.0) * power
}

/// The first and last of some places; one place alone gets room on both sides.
pub fn span(places: impl Iterator<Item = f64>) -> (f64, f64) {
    let known = places.filter(|at| at.is_finite());
    let (first, last) = known.fold((f64::INFINITY, f64::NEG_INFINITY), |(first, last), at| {
        (first.min(at), last.max(at))
    });
    if first > last {
        (0.0, 1.0)
    } else if last - first <= 0.0 {
        (first - 1.0, last + 1.0)
    } else {
        (first, last)
    }
}

pub fn share(value: f64, (low, high): (f64, f64)) -> f64 {
    ((value - low) / (high - low)).clamp(0.0, 1.0)
}

/// A figure as short as it reads exactly: `12`, `0.5`, `1500`.
pub fn figure(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_reach_over_the_highest() {
        let axis = Axis::over([11.8, 2.0].into_iter());
        assert_eq!((axis.low, axis.high, axis.step), (0.0, 15.0, 5.0));
        let axis = Axis::over([-3.0, 4.0].into_iter());
        assert_eq!(axis.ticks(), [-4.0, -2.0, 0.0, 2.0, 4.0]);
        assert_eq!(Axis::over([].into_iter()).ticks().len(), 6);
    }

    #[test]
    fn figures_are_short() {
        assert_eq!(figure(12.0), "12");
        assert_eq!(figure(0.5), "0.5");
        assert_eq!(figure(-0.0), "0");
    }
}
