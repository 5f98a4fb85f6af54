//! The drawing itself, in units of which 360 make the width of a phone.

use super::axis::{Axis, figure};
use super::{Bar, Limit};
use std::fmt::Write;

const WIDTH: f64 = 360.0;
const LEFT: f64 = 34.0;
const RIGHT: f64 = 348.0;
const TOP: f64 = 22.0;
const BOTTOM: f64 = 172.0;
const LINE: f64 = 15.0;
/// Ways to tell series apart without colour.
const DASHES: [&str; 4] = ["none", "6 3", "2 3", "9 3 2 3"];
const FILLS: [&str; 4] = ["full", "open", "half", "light"];

/// How the key shows its parts.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Key {
    Marks,
    Fills,
}

pub struct Drawing {
    axis: Axis,
    title: String,
    desc: String,
    body: String,
}

pub fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '&' => safe.push_str("&amp;"),
            '"' => safe.push_str("&quot;"),
            c => safe.push(c),
        }
    }
    safe
}

fn across(share: f64) -> f64 {
    LEFT + 8.0 + share * (RIGHT - LEFT - 16.0)
}

/// Writing into a string does not fail.
fn put(body: &mut String, args: std::fmt::Arguments<'_>) {
    let _written = body.write_fmt(args);
}

impl Drawing {
    pub fn new(title: &str, desc: &str, unit: &str, axis: Axis) -> Self {
        let mut drawing = Drawing {
            title: escaped(title),
            desc: escaped(desc),
            body: String::new(),
            axis,
        };
        let body = &mut drawing.body;
        if !unit.is_empty() {
            put(
                body,
                format_args!("<text x=\"2\" y=\"12\">{}</text>", escaped(unit)),
            );
        }
        for tick in drawing.axis.ticks() {
            let y = BOTTOM - drawing.axis.share(tick) * (BOTTOM - TOP);
            put(
                body,
                format_args!(
                    "<line class=\"grid\" x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\"/>\
                     <text class=\"end\" x=\"{:.1}\" y=\"{:.1}\">{}</text>",
                    LEFT - 4.0,
                    y + 4.0,
                    figure(tick)
                ),
            );
        }
        put(
            body,
            format_args!("<path class=\"frame\" d=\"M{LEFT} {TOP}V{BOTTOM}H{RIGHT}\"/>"),
        );
        drawing
    }

    fn up(&self, value: f64) -> f64 {
        BOTTOM - self.axis.share(value) * (BOTTOM - TOP)
    }

    /// A mark on the axis across; words at its ends stay inside the picture.
    pub fn across(&mut self, share: f64, words: &str) {
        let x = across(share);
        let class = match share {
            share if share < 0.15 => "start",
            share if share > 0.85 => "end",
            _ => "mid",
        };
        put(
            &mut self.body,
            format_args!(
                "<line class=\"frame\" x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{BOTTOM}\" y2=\"{:.1}\"/>\
                 <text class=\"{class}\" x=\"{x:.1}\" y=\"{:.1}\">{}</text>",
                BOTTOM + 4.0,
                BOTTOM + 16.0,
                escaped(words)
            ),
        );
    }

    /// Thick dashed lines with their words at the right, over the line.
    pub fn limits(&mut self, limits: &[Limit]) {
        for limit in limits.iter().filter(|limit| limit.value.is_finite()) {
            let y = self.up(limit.value);
            put(
                &mut self.body,
                format_args!(
                    "<line class=\"limit\" x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\"/>\
                     <text class=\"end over\" x=\"{RIGHT}\" y=\"{:.1}\">{}</text>",
                    y - 3.0,
                    escaped(&limit.label)
                ),
            );
        }
    }

    pub fn series(&mut self, number: usize, places: impl Iterator<Item = (f64, Option<f64>)>) {
        let mut run: Vec<(f64, f64)> = Vec::new();
        let mut marks = String::new();
        for (share, value) in places {
            match value.filter(|v| v.is_finite()) {
                Some(value) => {
                    let at = (across(share), self.up(value));
                    mark(&mut marks, number, at);
                    run.push(at);
                }
                None => self.run(number, &mut run),
            }
        }
        self.run(number, &mut run);
        self.body.push_str(&marks);
    }

    fn run(&mut self, number: usize, run: &mut Vec<(f64, f64)>) {
        if run.len() > 1 {
            let dash = DASHES[number % DASHES.len()];
            put(
                &mut self.body,
                format_args!("<polyline class=\"run\" stroke-dasharray=\"{dash}\" points=\""),
            );
            for (x, y) in run.iter() {
                put(&mut self.body, format_args!("{x:.1},{y:.1} "));
            }
            self.body.push_str("\"/>");
        }
        run.clear();
    }

    pub fn bar(&mut self, number: usize, of: usize, bar: &Bar) {
        let share = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
        let room = (RIGHT - LEFT - 8.0) / share(of.max(1));
        let left = LEFT + 4.0 + room * share(number);
        let (width, middle) = (room * 0.7, left + room * 0.5);
        let mut sum = 0.0;
        for (part, value) in bar.parts.iter().enumerate() {
            let Some(value) = value.filter(|v| v.is_finite()) else {
                continue;
            };
            let (low, high) = (self.up(sum), self.up(sum + value));
            sum += value;
            put(
                &mut self.body,
                format_args!(
                    "<rect class=\"bar {}\" x=\"{:.1}\" y=\"{:.1}\" width=\"{width:.1}\" height=\"{:.1}\"/>",
                    FILLS[part % FILLS.len()],
                    left + room * 0.15,
                    low.min(high),
                    (low - high).abs()
                ),
            );
        }
        if bar.parts.iter().all(Option::is_none) {
            put(
                &mut self.body,
                format_args!(
                    "<text class=\"turned\" transform=\"translate({:.1} {:.1}) rotate(-90)\">not known</text>",
                    middle + 4.0,
                    BOTTOM - 4.0
                ),
            );
        }
        // Words that would run into each other are left to the table beneath.
        let every = of.div_ceil(7).max(1);
        if number.is_multiple_of(every) {
            put(
                &mut self.body,
                format_args!(
                    "<text class=\"mid\" x=\"{middle:.1}\" y=\"{:.1}\">{}</text>",
                    BOTTOM + 16.0,
                    escaped(&bar.label)
                ),
            );
        }
    }

    /// The finished picture, with a key where several things are to be told apart.
    pub fn done(mut self, labels: &[&str], key: Key) -> String {
        let mut y = BOTTOM + 34.0;
        for (number, label) in labels.iter().enumerate() {
            match key {
                Key::Marks => {
                    let dash = DASHES[number % DASHES.len()];
                    put(
                        &mut self.body,
                        format_args!(
                            "<line class=\"run\" stroke-dasharray=\"{dash}\" x1=\"{LEFT}\" x2=\"{:.1}\" y1=\"{y:.1}\" y2=\"{y:.1}\"/>",
                            LEFT + 30.0
                        ),
                    );
                    mark(&mut self.body, number, (LEFT + 15.0, y));
                }
                Key::Fills => put(
                    &mut self.body,
                    format_args!(
                        "<rect class=\"bar {}\" x=\"{LEFT}\" y=\"{:.1}\" width=\"24\" height=\"9\"/>",
                        FILLS[number % FILLS.len()],
                        y - 5.0
                    ),
                ),
            }
            put(
                &mut self.body,
                format_args!(
                    "<text x=\"{:.1}\" y=\"{:.1}\">{}</text>",
                    LEFT + 38.0,
                    y + 4.0,
                    escaped(label)
                ),
            );
            y += LINE;
        }
        let height = if labels.is_empty() { BOTTOM + 24.0 } else { y };
        format!(
            "<svg class=\"chart\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" \
             xmlns=\"http://www.w3.org/2000/svg\"><title>{}</title><desc>{}</desc>{}</svg>",
            self.title, self.desc, self.body
        )
    }
}

/// Disc, square, triangle, ring: told apart in black and white.
fn mark(body: &mut String, number: usize, (x, y): (f64, f64)) {
    match number % 4 {
        0 => put(
            body,
            format_args!("<circle class=\"mark\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\"/>"),
        ),
        1 => put(
            body,
            format_args!(
                "<rect class=\"mark\" x=\"{:.1}\" y=\"{:.1}\" width=\"6\" height=\"6\"/>",
                x - 3.0,
                y - 3.0
            ),
        ),
        2 => put(
            body,
            format_args!(
                "<path class=\"mark\" d=\"M{x:.1} {:.1}l4 7h-8z\"/>",
                y - 4.0
            ),
        ),
        _ => put(
            body,
            format_args!("<circle class=\"mark ring\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\"/>"),
        ),
    }
}
