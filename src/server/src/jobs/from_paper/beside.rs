//! What stands beside the work on the sheet: permits, interlocks restored, and time.

use super::slots::{Paper, Slot, id, under, written};
use crate::clock::date_value;
use crate::form::{FieldErrors, Fields};
use crate::jobs::body::Body;
use crate::jobs::control::PermitStands;
use crate::jobs::control::body::{Control, PERMITS, permit_words};
use crate::jobs::control::permits;
use crate::jobs::returning;
use crate::jobs::spells_form::{KINDS, TimeInput};
use crate::jobs::steps::JobView;

/// Rows for time on the sheet.
pub const TIMES: usize = 3;

/// A permit with a line on the sheet: one that the work needs and that was not open when the sheet
/// was printed, or one that is to be closed.
pub struct PermitLine {
    /// In the names of its fields: the kind, or the entry that opened it.
    pub key: String,
    pub words: String,
    /// It is written down on the paper when it is opened.
    pub opens: bool,
}

/// The permits of a job that paper can open or close.
pub fn permit_lines(view: &JobView) -> Vec<PermitLine> {
    let now = view.control.now;
    let needed = |kind: &str| {
        view.job
            .permits_needed
            .split_whitespace()
            .any(|k| k == kind)
    };
    let open = |kind: &str| {
        let mut all = view.control.permits.iter();
        all.any(|p| p.permit_kind == kind && p.stands(now) == PermitStands::Open)
    };
    let lacking = PERMITS
        .iter()
        .filter(|(kind, _)| needed(kind) && !open(kind))
        .map(|(kind, words)| PermitLine {
            key: (*kind).to_owned(),
            words: format!("{words} permit"),
            opens: true,
        });
    let standing = view.control.permits.iter();
    let standing = standing
        .filter(|permit| permit.stands(now) != PermitStands::Closed)
        .map(|permit| PermitLine {
            key: permit.entry_id.clone(),
            words: format!(
                "{} permit {}",
                permit_words(&permit.permit_kind),
                permit.number
            ),
            opens: false,
        });
    lacking.chain(standing).collect()
}

fn opened_prefix(line: &PermitLine) -> String {
    format!("permit_{}_", line.key)
}

/// The fields with what the paper says once for all of it.
fn with(fields: &Fields, said: &[(&str, &str)]) -> Fields {
    let mut all = fields.clone();
    let said = said.iter();
    all.0
        .extend(said.map(|(name, value)| ((*name).to_owned(), (*value).to_owned())));
    all
}

impl Paper<'_> {
    pub(super) fn permits_opened(&self, slots: &mut Vec<Slot>) {
        let day = date_value(self.moment.today);
        for line in self.permits.iter().filter(|line| line.opens) {
            let name = format!("Opened: {}", line.words);
            self.add(slots, name, &opened_prefix(line), |fields| {
                let said = [
                    ("permit_kind", line.key.as_str()),
                    ("from_day", day.as_str()),
                    ("to_day", day.as_str()),
                ];
                permits::opened(&with(fields, &said), self.zone).map(Body::Control)
            });
        }
    }

    /// Permits closed and interlocks restored, before the machine serves again.
    pub(super) fn before_return(&self, slots: &mut Vec<Slot>) {
        for line in self.permits {
            let name = format!("Closed: {}", line.words);
            let prefix = format!("permitoff_{}_", line.key);
            self.add(slots, name, &prefix, |fields| {
                let by = fields.get("closed_by").to_owned();
                let note = fields.get("note").to_owned();
                let of = self.opened_by(line)?;
                Ok(Body::Control(Control::PermitClosed { of, by, note }))
            });
        }
        self.add(slots, "Interlocks restored", "inter_", |fields| {
            returning::restored(fields, &self.view.control.interlocks)
        });
    }

    /// The entry that opened it: of this very paper, or recorded before.
    fn opened_by(&self, line: &PermitLine) -> Result<String, FieldErrors> {
        if !line.opens {
            return Ok(line.key.clone());
        }
        let prefix = opened_prefix(line);
        if written(&under(self.fields, &prefix)) {
            return Ok(id(self.fields.get("entry"), &prefix));
        }
        Err(FieldErrors::of(
            "closed_by",
            "This permit is not written down as opened",
        ))
    }

    pub(super) fn time(&self, slots: &mut Vec<Slot>) {
        for at in 0..TIMES {
            let name = format!("Time, line {}", at + 1);
            self.add(slots, name, &format!("time{at}_"), |fields| {
                let of = |name: &str| fields.get(name).to_owned();
                let input = TimeInput {
                    person: self.writer.0.to_string(),
                    spent: of("spent"),
                    day: date_value(self.moment.today),
                    from: of("from"),
                    to: of("to"),
                    note: of("note"),
                    ..TimeInput::default()
                };
                input.parse(self.zone, self.now)
            });
        }
    }
}

/// What time goes on, as the typing-in page offers it.
pub fn time_kinds() -> Vec<(&'static str, &'static str)> {
    KINDS
        .iter()
        .map(|(word, words, ..)| (*word, *words))
        .collect()
}
