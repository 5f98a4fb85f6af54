//! What a token opens: areas, each to read or to write.

/// One scope of a token.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Scope {
    MachinesRead,
    MachinesWrite,
    JobsRead,
    JobsWrite,
    ReportersRead,
    DueRead,
    MetersRead,
    MetersWrite,
    FigureRead,
}

impl Scope {
    pub const ALL: [Scope; 9] = [
        Scope::MachinesRead,
        Scope::MachinesWrite,
        Scope::JobsRead,
        Scope::JobsWrite,
        Scope::ReportersRead,
        Scope::DueRead,
        Scope::MetersRead,
        Scope::MetersWrite,
        Scope::FigureRead,
    ];

    /// The word in the database, in the contract and in refusals.
    pub fn word(self) -> &'static str {
        match self {
            Scope::MachinesRead => "machines:read",
            Scope::MachinesWrite => "machines:write",
            Scope::JobsRead => "jobs:read",
            Scope::JobsWrite => "jobs:write",
            Scope::ReportersRead => "reporters:read",
            Scope::DueRead => "due:read",
            Scope::MetersRead => "meters:read",
            Scope::MetersWrite => "meters:write",
            Scope::FigureRead => "figure:read",
        }
    }

    /// What it opens, on pages and in the contract.
    pub fn words(self) -> &'static str {
        match self {
            Scope::MachinesRead => "read machines and places",
            Scope::MachinesWrite => "add and change machines",
            Scope::JobsRead => "read jobs and their entries",
            Scope::JobsWrite => "report, and add entries to jobs",
            Scope::ReportersRead => "read who reported, and how to reach them",
            Scope::DueRead => "read what is due",
            Scope::MetersRead => "read meters",
            Scope::MetersWrite => "enter meter readings",
            Scope::FigureRead => "calculate",
        }
    }

    pub fn named(word: &str) -> Option<Scope> {
        Scope::ALL.into_iter().find(|scope| scope.word() == word)
    }

    /// As stored: words with blanks between.
    pub fn listed(text: &str) -> Vec<Scope> {
        text.split_whitespace().filter_map(Scope::named).collect()
    }

    pub fn written(scopes: &[Scope]) -> String {
        let words: Vec<&str> = scopes.iter().map(|scope| scope.word()).collect();
        words.join(" ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scopes_read_back_as_they_were_written_and_unknown_words_open_nothing() {
        let written = Scope::written(&Scope::ALL);
        assert_eq!(Scope::listed(&written), Scope::ALL);
        assert_eq!(
            Scope::listed("jobs:read everything jobs"),
            [Scope::JobsRead]
        );
    }
}
