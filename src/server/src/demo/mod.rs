//! The demo shop: an invented pottery and arts house with a broken kiln-hall fan.

mod bought;
pub mod command;
mod detail;
mod fill;
mod history;
mod instruments;
mod integrations;
mod plans;
mod queries;
pub mod registers;
mod rounds;
pub mod spec;
mod stores;
pub mod suppliers;
mod telling;
mod tests_taken;
mod visit;
mod ways;
mod wide_plans;

pub use fill::{NAME, fill};

/// A sign-in of the demo, shown on the terminal and on the demo's sign-in page.
#[derive(Debug)]
pub struct SignIn {
    pub name: &'static str,
    pub person: &'static str,
    pub role: &'static str,
}

/// All demo people share one password, printed when the demo starts.
pub const PASSWORD: &str = "clay and copper";

pub const SIGN_INS: &[SignIn] = &[
    SignIn {
        name: "maren",
        person: "Maren Oake",
        role: "supervisor",
    },
    SignIn {
        name: "tobin",
        person: "Tobin Rusk",
        role: "technician",
    },
    SignIn {
        name: "ilse",
        person: "Ilse Farrow",
        role: "technician",
    },
    SignIn {
        name: "dov",
        person: "Dov Pell",
        role: "storekeeper",
    },
    SignIn {
        name: "quill",
        person: "Quill Asher",
        role: "auditor",
    },
    SignIn {
        name: "wren",
        person: "Wren Haldane",
        role: "keeper",
    },
    SignIn {
        name: "piet",
        person: "Piet Lund",
        role: "reporter",
    },
];
