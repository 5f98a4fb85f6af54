//! What an address narrows a figure down to: days on the shop's calendar, a place, a kind, a machine.

use crate::clock::{Millis, date_value};
use crate::error::AppError;
use crate::form;
use crate::machines;
use crate::preventive::pages::day;
use crate::state::AppState;
use serde::{Deserialize, Serialize};
use time::{Date, Duration, Month};

/// As it stands in the address; all of it may be left out.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, Serialize)]
#[serde(default)]
pub struct Filter {
    /// First and last day.
    pub from: String,
    pub to: String,
    pub place: String,
    pub kind: String,
    /// A machine's tag.
    pub machine: String,
    /// The parts of a figure whose jobs are asked for, with `|` between; empty for all.
    pub key: String,
    /// The second division, the same way.
    pub sub: String,
    /// The list goes on behind this job: when it was reported, a full stop, its number.
    pub before: String,
}

impl Filter {
    /// The address's own part with some of it changed, what is empty left out.
    pub fn with(&self, changes: &[(&str, &str)]) -> String {
        let mut pairs = vec![
            ("from", self.from.as_str()),
            ("to", self.to.as_str()),
            ("place", self.place.as_str()),
            ("kind", self.kind.as_str()),
            ("machine", self.machine.as_str()),
            ("key", self.key.as_str()),
            ("sub", self.sub.as_str()),
        ];
        for (name, value) in changes {
            pairs.retain(|(known, _)| known != name);
            pairs.push((name, value));
        }
        pairs.retain(|(_, value)| !value.is_empty());
        serde_html_form::to_string(&pairs).unwrap_or_default()
    }
}

/// What is counted among. Zero and empty stand for all.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    pub first: Date,
    pub last: Date,
    pub from: Millis,
    pub until: Millis,
    pub machine: i64,
    pub place: i64,
    pub kind: String,
}

/// A part of a span with the words for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    pub label: String,
    pub first: Date,
    pub last: Date,
}

impl Span {
    /// `26 Nov 2025 to 25 Nov 2026`
    pub fn words(&self) -> String {
        format!("{} to {}", day(&self.first), day(&self.last))
    }

    /// The months of the span, the first and last cut off where it begins and ends; its years where
    /// the months would be more than 36.
    pub fn pieces(&self) -> Vec<Piece> {
        let months = pieces(self.first, self.last, true);
        if months.len() > 36 {
            return pieces(self.first, self.last, false);
        }
        months
    }

    /// The same with other days.
    pub fn within(&self, app: &AppState, first: Date, last: Date) -> Span {
        let zone = app.zone();
        let starts = |day: Option<Date>| day.and_then(|day| zone.instant(day, 0, 0));
        Span {
            first,
            last,
            from: starts(Some(first)).unwrap_or(self.from),
            until: starts(last.next_day()).unwrap_or(self.until),
            ..self.clone()
        }
    }

    /// Days with both ends.
    pub fn days(&self) -> i64 {
        (self.last - self.first).whole_days() + 1
    }
}

fn pieces(first: Date, last: Date, by_month: bool) -> Vec<Piece> {
    let mut found = Vec::new();
    let mut at = first;
    while at <= last && found.len() < 400 {
        let december = if by_month {
            at.month()
        } else {
            Month::December
        };
        let end = Date::from_calendar_date(at.year(), december, 1)
            .ok()
            .and_then(|of| of.replace_day(december.length(at.year())).ok())
            .unwrap_or(last);
        let label = if by_month {
            format!("{} {}", &at.month().to_string()[..3], at.year())
        } else {
            at.year().to_string()
        };
        found.push(Piece {
            label,
            first: at,
            last: end.min(last),
        });
        let Some(next) = end.next_day() else { break };
        at = next;
    }
    found
}

/// A year that ends today, where the address names no days.
fn usual(today: Date) -> (Date, Date) {
    (today.saturating_sub(Duration::days(364)), today)
}

/// Reads the address; what of it cannot be read is said in the sentence and left out. The days that
/// are counted stand in the filter afterwards.
pub async fn read(app: &AppState, filter: &mut Filter) -> Result<(Span, String), AppError> {
    let mut note = String::new();
    let mut date = |text: &str| {
        form::optional_date(text).unwrap_or_else(|message| {
            note = message;
            None
        })
    };
    let (from, to) = (date(&filter.from), date(&filter.to));
    let last = to.unwrap_or_else(|| app.today());
    let first = from.unwrap_or_else(|| usual(last).0);
    let (first, last) = if first > last {
        note =
            "The first day lies after the last; the two are taken the other way round.".to_owned();
        (last, first)
    } else {
        (first, last)
    };
    let machine = match filter.machine.trim() {
        "" => 0,
        tag => match machines::queries::find_by_tag(&app.db, tag).await? {
            Some(machine) => machine.id.0,
            None => {
                note = format!("No machine has the tag {tag}.");
                -1
            }
        },
    };
    if note.is_empty() || from.is_some() && to.is_some() {
        filter.from = date_value(first);
        filter.to = date_value(last);
    }
    let clean = |text: &str| text.replace('\0', "");
    filter.kind = clean(&filter.kind);
    filter.key = clean(&filter.key);
    filter.sub = clean(&filter.sub);
    let span = Span {
        first,
        last,
        from: i64::MIN,
        until: i64::MAX,
        machine,
        // A place that is no number has nothing in it.
        place: match filter.place.as_str() {
            "" => 0,
            id => id.parse().unwrap_or(-1),
        },
        kind: filter.kind.clone(),
    };
    Ok((span.within(app, first, last), note))
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn pieces_cover_the_span_without_gap_or_overlap() {
        let (first, last) = (date!(2025 - 11 - 26), date!(2026 - 11 - 25));
        for by_month in [true, false] {
            let found = pieces(first, last, by_month);
            assert_eq!(found[0].first, first);
            assert_eq!(found[found.len() - 1].last, last);
            for pair in found.windows(2) {
                assert_eq!(pair[0].last.next_day(), Some(pair[1].first));
            }
        }
        let months = pieces(first, last, true);
        assert_eq!((months.len(), months[3].label.as_str()), (13, "Feb 2026"));
        assert_eq!(months[3].last, date!(2026 - 02 - 28));
        assert_eq!(pieces(first, first, true).len(), 1);
    }

    #[test]
    fn an_address_keeps_what_is_not_changed_and_leaves_out_what_is_empty() {
        let filter = Filter {
            from: "2026-01-01".to_owned(),
            kind: "fan".to_owned(),
            ..Filter::default()
        };
        assert_eq!(
            filter.with(&[("key", "a|b")]),
            "from=2026-01-01&kind=fan&key=a%7Cb"
        );
        assert_eq!(filter.with(&[("kind", "")]), "from=2026-01-01");
    }
}
