//! The one result type: what was judged, against which limit, by which rule, and what is missing.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// Text that is nearly always a literal; owned only where a figure is put into it.
pub type Text = Cow<'static, str>;

/// One judgement. Fits use `Same` … `DoNotFit`; circuits and proofs use `Within` … `Beyond`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Like the old one in every judged attribute.
    Same,
    /// Fits as it is, though not alike.
    Suits,
    /// Fits after the named work.
    SuitsAfterWork,
    /// Inside the limit.
    Within,
    /// Inside the limit, with something to read or to do.
    WithinNote,
    /// An input is missing.
    NotKnownYet,
    /// Must not be fitted.
    DoNotFit,
    /// Over the limit.
    Beyond,
}

impl Verdict {
    /// Rank from best (0) to worst (4); the worst line rules the whole.
    pub fn severity(self) -> u8 {
        match self {
            Verdict::Same | Verdict::Within => 0,
            Verdict::Suits | Verdict::WithinNote => 1,
            Verdict::SuitsAfterWork => 2,
            Verdict::NotKnownYet => 3,
            Verdict::DoNotFit | Verdict::Beyond => 4,
        }
    }

    /// The words shown to people.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Same => "same",
            Verdict::Suits => "suits",
            Verdict::SuitsAfterWork => "suits after work",
            Verdict::Within => "within",
            Verdict::WithinNote => "within, note",
            Verdict::NotKnownYet => "not known yet",
            Verdict::DoNotFit => "do not fit",
            Verdict::Beyond => "beyond",
        }
    }

    /// The worse of two; the first one where they are equally bad.
    pub fn worse(self, other: Verdict) -> Verdict {
        if other.severity() > self.severity() {
            other
        } else {
            self
        }
    }
}

/// One shown step: a value, the limit it is held against, the margin, the rule and its source.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Stable name of the line, such as `voltage`; used in JSON and in tests.
    pub key: Text,
    /// What people read, such as `Supply voltage`.
    pub label: Text,
    /// The figure found, as text.
    pub value: Text,
    /// Unit of value; empty where it has none.
    pub unit: Text,
    /// What it is held against.
    pub limit: Text,
    /// What is left to the limit.
    pub margin: Text,
    /// The rule in a few words.
    pub rule: Text,
    /// Where the rule comes from: standard and section, `common practice` or `from memory`.
    pub source: Text,
    /// `None` for a line that informs and judges nothing.
    pub verdict: Option<Verdict>,
    /// Why this verdict, in one sentence.
    pub note: Text,
    /// Named work that makes it fit, with dimensions.
    pub work: Vec<Text>,
}

/// An input nobody has given yet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Missing {
    /// What is missing.
    pub what: Text,
    /// Why it matters.
    pub why: Text,
    /// How to find it out.
    pub how: Text,
}

/// A calculation laid open.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Working {
    /// What was calculated.
    pub title: Text,
    /// The steps, in the order in which they are read.
    pub lines: Vec<Line>,
    /// What nobody has given yet.
    pub missing: Vec<Missing>,
    /// What holds whatever the figures say.
    pub cautions: Vec<Text>,
}

impl Working {
    /// An empty working of this title.
    pub fn new(title: impl Into<Text>) -> Self {
        Working {
            title: title.into(),
            ..Working::default()
        }
    }

    /// The worst of the judged lines; `None` when nothing was judged.
    pub fn verdict(&self) -> Option<Verdict> {
        self.lines
            .iter()
            .filter_map(|line| line.verdict)
            .reduce(Verdict::worse)
    }

    /// All named work, in the order of the lines.
    pub fn work(&self) -> impl Iterator<Item = &Text> {
        self.lines.iter().flat_map(|line| line.work.iter())
    }

    /// The first line of this key.
    pub fn line(&self, key: &str) -> Option<&Line> {
        self.lines.iter().find(|line| line.key == key)
    }
}
