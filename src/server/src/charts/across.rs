//! Bars that lie: a line of words over each, so that long words have room on a phone.

use super::svg::escaped;
use super::{Bars, figure};
use std::fmt::Write;

const WIDTH: f64 = 360.0;
/// Where the longest bar ends; its figure stands behind it.
const LONGEST: f64 = 300.0;
const LINE: f64 = 34.0;

/// Draws the first part of each bar lying, the figure at its end. What is not known says so.
pub fn lying(chart: &Bars) -> String {
    let value = |parts: &[Option<f64>]| parts.first().copied().flatten().filter(|v| v.is_finite());
    let values = chart.bars.iter().filter_map(|bar| value(&bar.parts));
    let top = values.fold(0.0, f64::max);
    let (mut body, mut y) = (String::new(), 4.0);
    for bar in &chart.bars {
        let (length, words) = match value(&bar.parts) {
            Some(value) if top > 0.0 => (value.max(0.0) / top * LONGEST, figure(value)),
            Some(value) => (0.0, figure(value)),
            None => (0.0, "not known".to_owned()),
        };
        // Writing into a string does not fail.
        let _written = write!(
            body,
            "<text x=\"0\" y=\"{:.1}\">{}</text><rect class=\"bar full\" x=\"0\" y=\"{:.1}\" \
             width=\"{length:.1}\" height=\"10\"/><text x=\"{:.1}\" y=\"{:.1}\">{words}</text>",
            y + 10.0,
            escaped(&bar.label),
            y + 15.0,
            length + 6.0,
            y + 24.0,
        );
        y += LINE;
    }
    format!(
        "<svg class=\"chart\" viewBox=\"0 0 {WIDTH} {y}\" role=\"img\" \
         xmlns=\"http://www.w3.org/2000/svg\"><title>{}</title><desc>{}</desc>{body}</svg>",
        escaped(&chart.title),
        escaped(&chart.desc)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::charts::Bar;

    #[test]
    fn the_longest_bar_is_whole_and_what_is_not_known_says_so() {
        let bar = |label: &str, value: Option<f64>| Bar {
            label: label.to_owned(),
            parts: vec![value],
        };
        let svg = lying(&Bars {
            bars: vec![bar("a <b>", Some(4.0)), bar("c", Some(1.0)), bar("d", None)],
            ..Bars::default()
        });
        assert!(
            svg.contains("width=\"300.0\"") && svg.contains("width=\"75.0\""),
            "{svg}"
        );
        assert!(svg.contains("a &lt;b&gt;") && svg.contains(">not known<"));
        assert!(!lying(&Bars::default()).contains("NaN"));
    }
}
