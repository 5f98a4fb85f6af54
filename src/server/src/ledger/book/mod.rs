//! The figures: each with its definition, its counts, what is left out, and the jobs behind it.

pub mod about;
pub mod csv_file;
pub mod due;
pub mod due_queries;
pub mod pages;
pub mod queries;
pub mod rows;
pub mod span;
pub mod tally;

/// A figure that is counted among jobs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    Backlog,
    Response,
    Share,
    Repeats,
    Modes,
    Codes,
    Proved,
    Due,
    Restored,
}

impl Figure {
    pub const ALL: [Figure; 9] = [
        Figure::Backlog,
        Figure::Response,
        Figure::Restored,
        Figure::Due,
        Figure::Share,
        Figure::Repeats,
        Figure::Modes,
        Figure::Codes,
        Figure::Proved,
    ];

    /// Its word in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Figure::Backlog => "backlog",
            Figure::Response => "response",
            Figure::Share => "preventive-share",
            Figure::Repeats => "repeats",
            Figure::Modes => "failure-modes",
            Figure::Codes => "codes",
            Figure::Proved => "proved",
            Figure::Due => "planned-work",
            Figure::Restored => "restoration",
        }
    }

    pub fn named(word: &str) -> Option<Figure> {
        Figure::ALL.into_iter().find(|figure| figure.word() == word)
    }
}
