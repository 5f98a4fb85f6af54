//! Two ways to hear the same rules: a tally that makes no text, and a sheet that writes all of it.

use super::attribute::Attribute;
use super::question::Question;
use super::work::Work;
use crate::working::{Line, Missing, Text, Verdict, Working};

/// What a line says beyond its verdict; made only where somebody will read it.
#[derive(Default)]
pub(super) struct Said {
    pub value: Text,
    pub limit: Text,
    pub margin: Text,
    pub note: Text,
}

impl Said {
    pub fn of(value: impl Into<Text>, note: impl Into<Text>) -> Self {
        Said {
            value: value.into(),
            note: note.into(),
            ..Said::default()
        }
    }
    pub fn limit(mut self, limit: impl Into<Text>) -> Self {
        self.limit = limit.into();
        self
    }
    pub fn margin(mut self, margin: impl Into<Text>) -> Self {
        self.margin = margin.into();
        self
    }
}

/// Where the rules report to. Verdict, work and questions go to both kinds of sink alike, so the
/// two doors cannot come to different ends; the text closure runs only for the sheet.
pub(super) trait Sink {
    fn line(
        &mut self,
        attribute: &'static Attribute,
        verdict: Option<Verdict>,
        work: &[Work],
        say: impl FnOnce() -> Said,
    );
    fn missing(&mut self, question: &'static Question);
    fn caution(&mut self, say: impl FnOnce() -> Text);

    /// A judged line without work.
    fn judge(
        &mut self,
        attribute: &'static Attribute,
        verdict: Verdict,
        say: impl FnOnce() -> Said,
    ) {
        self.line(attribute, Some(verdict), &[], say);
    }

    /// A line that suits after the named work.
    fn work(&mut self, attribute: &'static Attribute, work: &[Work], say: impl FnOnce() -> Said) {
        self.line(attribute, Some(Verdict::SuitsAfterWork), work, say);
    }

    /// A line that cannot be judged before the question is answered.
    fn ask(&mut self, attribute: &'static Attribute, question: &'static Question) {
        self.line(attribute, Some(Verdict::NotKnownYet), &[], || {
            Said::of("not known", question.why)
        });
        self.missing(question);
    }
}

/// Counts only. Used for ranking thousands of candidates.
#[derive(Default)]
pub(super) struct Tally {
    pub verdict: Option<Verdict>,
    pub blocks: u16,
    pub questions: u16,
    pub work: u16,
}

impl Sink for Tally {
    fn line(
        &mut self,
        _: &'static Attribute,
        verdict: Option<Verdict>,
        work: &[Work],
        _: impl FnOnce() -> Said,
    ) {
        let Some(verdict) = verdict else { return };
        self.verdict = Some(self.verdict.map_or(verdict, |worst| worst.worse(verdict)));
        self.blocks += u16::from(verdict == Verdict::DoNotFit);
        self.questions += u16::from(verdict == Verdict::NotKnownYet);
        self.work += work.len() as u16;
    }
    fn missing(&mut self, _: &'static Question) {}
    fn caution(&mut self, _: impl FnOnce() -> Text) {}
}

/// Writes everything down.
pub(super) struct Sheet(pub Working);

impl Sink for Sheet {
    fn line(
        &mut self,
        attribute: &'static Attribute,
        verdict: Option<Verdict>,
        work: &[Work],
        say: impl FnOnce() -> Said,
    ) {
        let mut said = say();
        if said.note.ends_with(' ') {
            said.note = said.note.trim_end().to_owned().into();
        }
        // Words such as `none needed` carry no unit.
        let figure = said.value.contains(|c: char| c.is_ascii_digit());
        let unit = if figure { attribute.unit } else { "" };
        self.0.lines.push(Line {
            key: attribute.key.into(),
            label: attribute.label.into(),
            value: said.value,
            unit: unit.into(),
            limit: said.limit,
            margin: said.margin,
            rule: attribute.rule.into(),
            source: attribute.source.into(),
            verdict,
            note: said.note,
            work: work
                .iter()
                .map(|work| Text::Owned(work.to_string()))
                .collect(),
        });
    }
    fn missing(&mut self, question: &'static Question) {
        // Several rules may wait for the same answer; people are asked once.
        if self
            .0
            .missing
            .iter()
            .all(|known| known.what != question.what)
        {
            self.0.missing.push(Missing {
                what: question.what.into(),
                why: question.why.into(),
                how: question.how.into(),
            });
        }
    }
    fn caution(&mut self, say: impl FnOnce() -> Text) {
        let text = say();
        if !self.0.cautions.contains(&text) {
            self.0.cautions.push(text);
        }
    }
}
