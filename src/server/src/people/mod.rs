//! People: who they are, their roles, signing in and out.

pub mod command;
pub mod cookies;
pub mod edit;
pub mod factor;
pub mod kind;
pub mod links;
pub mod me;
pub mod other;
pub mod password;
pub mod queries;
pub mod session;
pub mod sign_in;
pub mod tablet;
pub mod throttle;

use crate::error::AppError;
use serde::{Deserialize, Serialize};
use time::Date;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, sqlx::Type)]
#[sqlx(transparent)]
#[serde(transparent)]
pub struct PersonId(pub i64);

/// What a person may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    Reporter,
    Technician,
    Storekeeper,
    Supervisor,
    Auditor,
    Keeper,
}

impl Role {
    pub const ALL: [Role; 6] = [
        Role::Reporter,
        Role::Technician,
        Role::Storekeeper,
        Role::Supervisor,
        Role::Auditor,
        Role::Keeper,
    ];

    /// The word in the database, on pages and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Role::Reporter => "reporter",
            Role::Technician => "technician",
            Role::Storekeeper => "storekeeper",
            Role::Supervisor => "supervisor",
            Role::Auditor => "auditor",
            Role::Keeper => "keeper",
        }
    }

    pub fn named(word: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|role| role.word() == word)
    }

    /// The page this person starts on.
    pub fn home(self) -> &'static str {
        match self {
            Role::Reporter => "/report",
            Role::Technician => "/today",
            Role::Storekeeper => "/shelf",
            Role::Supervisor => "/desk",
            Role::Auditor => "/ledger",
            Role::Keeper => "/shop",
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    pub id: PersonId,
    pub sign_in_name: String,
    pub name: String,
    pub role: Role,
    /// Day of training for energy control; `None`: not authorised.
    pub authorised_on: Option<Date>,
    /// Day of qualification for work on or near live parts; `None`: not qualified.
    pub qualified_on: Option<Date>,
    /// `None`: nobody has said.
    pub hours_a_day: Option<f64>,
    pub closed: bool,
}

impl Person {
    /// A program's row: no person's sign-in name has a blank.
    pub fn is_integration(&self) -> bool {
        self.sign_in_name.starts_with("integration ")
    }
}

/// The person behind this request; asking for it sends a visitor to sign in.
#[derive(Clone, Debug)]
pub struct CurrentUser {
    pub person: Person,
    pub visitor: session::Visitor,
}

impl CurrentUser {
    /// # Errors
    /// [`AppError::Forbidden`] unless the person has one of the roles.
    pub fn require(&self, roles: &[Role]) -> Result<(), AppError> {
        if roles.contains(&self.person.role) {
            Ok(())
        } else {
            Err(AppError::Forbidden(
                "Your role does not allow this. Ask a supervisor.",
            ))
        }
    }

    /// Everybody who works here may look; a reporter sees only the report page.
    pub fn require_staff(&self) -> Result<(), AppError> {
        if self.person.role == Role::Reporter {
            Err(AppError::Forbidden(
                "Your role does not allow this. Ask a supervisor.",
            ))
        } else {
            Ok(())
        }
    }

    pub fn id(&self) -> PersonId {
        self.person.id
    }
}
