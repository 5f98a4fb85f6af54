//! A plate read as people type or dictate it: every part of the text is a value, a word that is
//! not used, or is said not to be understood.

mod bare;
mod build;
mod capacitor;
mod choose;
mod codes;
mod degrees;
mod fact;
mod hazard;
mod labelled;
mod labels;
mod lettered;
mod lex;
mod marks;
mod measures;
mod not_used;
mod phrases;
mod rotation;
mod scan;
mod size;
mod spoken;
mod taps;
mod turning;
mod units;
mod wording;
mod words;

use super::Plate;
use serde::Serialize;
use std::ops::Range;

/// A part of the text that was understood.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Understood {
    /// As typed.
    pub text: String,
    /// Where it stands, in bytes.
    pub at: Range<usize>,
    /// The plate's fields it speaks of; empty for what is not used.
    pub fields: Vec<&'static str>,
    /// What it means, in words.
    pub words: String,
}

/// A part of the text that was not understood.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct NotUnderstood {
    /// As typed.
    pub text: String,
    /// Where it stands, in bytes.
    pub at: Range<usize>,
    /// Why, in a few words.
    pub why: String,
}

/// Something that was read and could mean something else, or was given twice.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Doubt {
    /// The plate's field.
    pub field: &'static str,
    /// What to look at, in one sentence.
    pub words: String,
}

/// A text read as a plate.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Reading {
    /// The values, each with how it is known.
    pub plate: Plate,
    /// What was understood, in the order of the text.
    pub understood: Vec<Understood>,
    /// What was not, in the order of the text.
    pub not_understood: Vec<NotUnderstood>,
    /// What to look at again.
    pub doubts: Vec<Doubt>,
}

/// Reads a plate from text: `1/6 HP 1075RPM 208-230V 1.2A 60HZ 1PH CWSE 5MFD/370V TEAO`.
///
/// Order, case and blanks do not count; a label may stand before its value (`HP: 1/6`) and a unit
/// behind it (`1/6 HP`); numbers may be said in words. A value given twice and differently is left
/// unknown, with a doubt. Every letter and figure of the text is in exactly one of `understood` and
/// `not_understood`; the rest are blanks and parting signs.
/// Valid for: any text; what is longer than 20 000 bytes is not read beyond that.
/// Source: plate marks of NEMA MG 1 1.70 and 10.39, IEC 60034-1 clause 10 (from memory), and common
/// practice of the trade. Metric horsepower (`PS`, `CV`) is 735.49875 W (NIST SP 811).
pub fn read(text: &str) -> Reading {
    let scanned = scan::scan(text);
    build::build(scanned)
}
