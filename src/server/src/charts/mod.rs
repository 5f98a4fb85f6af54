//! Charts as SVG, made here from figures alone: pure, no database, no clock.
//!
//! [`lines`] draws readings over time with limit lines and gaps for what is not known; [`bars`] draws
//! one bar a group, which may be stacked of several parts; [`lying`] has room for long words. Both print in black and white, read at
//! 360 px, and carry a title and a description. Put the answer into a template with `|safe` (every
//! text in it is escaped here), and always put the same figures as a table beneath.

mod across;
mod axis;
mod svg;

use axis::Axis;
use svg::Drawing;

pub use across::lying;
pub use axis::figure;

/// A figure at a place on the axis across; `None` is not known and leaves a gap, never a zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    pub at: f64,
    pub value: Option<f64>,
}

/// Readings that belong together, such as those of one bearing; told apart by mark and dashes.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    pub label: String,
    pub points: Vec<Point>,
}

/// A line across the whole chart that a figure should not pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    pub label: String,
    pub value: f64,
}

/// What [`lines`] draws.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lines {
    pub title: String,
    /// One or two sentences for whoever does not see the picture.
    pub desc: String,
    pub unit: String,
    pub series: Vec<Series>,
    pub limits: Vec<Limit>,
    /// Marks on the axis across with their words, such as dates.
    pub across: Vec<(f64, String)>,
}

/// One bar with the words under it; several parts are stacked, `None` is not known.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    pub label: String,
    pub parts: Vec<Option<f64>>,
}

/// What [`bars`] draws.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bars {
    pub title: String,
    pub desc: String,
    pub unit: String,
    pub bars: Vec<Bar>,
    pub limits: Vec<Limit>,
    /// Names of the parts where bars are stacked; empty for plain bars.
    pub parts: Vec<String>,
}

/// Readings with their limits. The axis upward starts at zero and reaches over every reading and
/// limit; with a figure below zero it starts there.
pub fn lines(chart: &Lines) -> String {
    let known = chart.series.iter().flat_map(|s| &s.points);
    let values = known.filter_map(|point| point.value);
    let axis = Axis::over(values.chain(chart.limits.iter().map(|limit| limit.value)));
    let ats = chart.series.iter().flat_map(|s| &s.points).map(|p| p.at);
    let span = axis::span(ats.chain(chart.across.iter().map(|(at, _)| *at)));
    let mut drawing = Drawing::new(&chart.title, &chart.desc, &chart.unit, axis);
    for (at, words) in &chart.across {
        drawing.across(axis::share(*at, span), words);
    }
    drawing.limits(&chart.limits);
    for (number, series) in chart.series.iter().enumerate() {
        let places = series
            .points
            .iter()
            .map(|point| (axis::share(point.at, span), point.value));
        drawing.series(number, places);
    }
    let labels: Vec<&str> = chart.series.iter().map(|s| s.label.as_str()).collect();
    drawing.done(
        if labels.len() > 1 { &labels } else { &[] },
        svg::Key::Marks,
    )
}

/// Bars from zero, side by side, with their limits. A bar of which nothing is known says so.
pub fn bars(chart: &Bars) -> String {
    let tops = chart.bars.iter().filter_map(Bar::top);
    let axis = Axis::over(tops.chain(chart.limits.iter().map(|limit| limit.value)));
    let mut drawing = Drawing::new(&chart.title, &chart.desc, &chart.unit, axis);
    for (number, bar) in chart.bars.iter().enumerate() {
        drawing.bar(number, chart.bars.len(), bar);
    }
    drawing.limits(&chart.limits);
    let parts: Vec<&str> = chart.parts.iter().map(String::as_str).collect();
    drawing.done(&parts, svg::Key::Fills)
}

impl Bar {
    /// The height of what is known of it.
    fn top(&self) -> Option<f64> {
        let known = self.parts.iter().flatten();
        known
            .copied()
            .filter(|v| v.is_finite())
            .reduce(|a, b| a + b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn vibration(values: &[Option<f64>]) -> Lines {
        let points = (0_u8..).zip(values).map(|(at, value)| Point {
            at: f64::from(at),
            value: *value,
        });
        Lines {
            title: "Vibration <b>".to_owned(),
            desc: "Falls & rises".to_owned(),
            unit: "mm/s".to_owned(),
            series: vec![Series {
                label: "drive end".to_owned(),
                points: points.collect(),
            }],
            limits: vec![Limit {
                label: "alarm 11.8".to_owned(),
                value: 11.8,
            }],
            across: vec![(0.0, "1 Jan".to_owned()), (4.0, "5 Jan".to_owned())],
        }
    }

    #[test]
    fn what_is_not_known_leaves_a_gap() {
        let whole = lines(&vibration(&[Some(2.0), Some(3.0), Some(4.0)]));
        assert_eq!(whole.matches("<polyline").count(), 1);
        let gap = lines(&vibration(&[
            Some(2.0),
            Some(3.0),
            None,
            Some(4.0),
            Some(5.0),
        ]));
        assert_eq!(gap.matches("<polyline").count(), 2);
        assert_eq!(gap.matches("class=\"mark\"").count(), 4);
    }

    #[test]
    fn the_axis_reaches_over_the_limit_and_every_text_is_escaped() {
        let svg = lines(&vibration(&[Some(2.0)]));
        assert!(svg.contains(">15<"), "{svg}");
        assert!(svg.contains("alarm 11.8"));
        assert!(svg.contains("Vibration &lt;b&gt;") && svg.contains("Falls &amp; rises"));
        assert!(!svg.contains("<b>") && !svg.contains("style="));
    }

    #[test]
    fn no_figures_at_all_still_make_a_picture() {
        for svg in [lines(&Lines::default()), bars(&Bars::default())] {
            assert!(svg.starts_with("<svg") && svg.ends_with("</svg>"));
            assert!(!svg.contains("NaN") && !svg.contains("inf"));
        }
        let strange = lines(&vibration(&[Some(f64::NAN), Some(f64::INFINITY)]));
        assert!(!strange.contains("NaN") && !strange.contains("inf"));
    }

    #[test]
    fn a_bar_of_which_nothing_is_known_says_so() {
        let svg = bars(&Bars {
            bars: vec![
                Bar {
                    label: "Jan".to_owned(),
                    parts: vec![Some(3.0), Some(1.0)],
                },
                Bar {
                    label: "Feb".to_owned(),
                    parts: vec![None],
                },
                Bar {
                    label: "Mar".to_owned(),
                    parts: vec![Some(0.0)],
                },
            ],
            parts: vec!["planned".to_owned(), "not planned".to_owned()],
            ..Bars::default()
        });
        assert_eq!(svg.matches("not known").count(), 1);
        assert_eq!(svg.matches("class=\"bar").count(), 3 + 2); // two parts, a zero, the key
        assert!(svg.contains("not planned"));
    }
}
