//! The one table of what programs may ask: which scope and which roles each operation needs. A route
//! that is not in it is refused, and a test holds it against the router and the contract.

use super::scopes::Scope;
use crate::people::Role;

#[derive(Debug)]
pub struct Operation {
    pub method: &'static str,
    /// Below `/api/v1`.
    pub path: &'static str,
    pub scope: Scope,
    pub roles: &'static [Role],
}

const STAFF: &[Role] = &[
    Role::Technician,
    Role::Storekeeper,
    Role::Supervisor,
    Role::Auditor,
    Role::Keeper,
];
const ANYBODY: &[Role] = &Role::ALL;
const WORKERS: &[Role] = &[Role::Technician, Role::Supervisor];
const SUPERVISOR: &[Role] = &[Role::Supervisor];
/// Who works with plans and meters.
const PLANS: &[Role] = &[
    Role::Technician,
    Role::Supervisor,
    Role::Auditor,
    Role::Keeper,
];

const fn row(
    method: &'static str,
    path: &'static str,
    scope: Scope,
    roles: &'static [Role],
) -> Operation {
    Operation {
        method,
        path,
        scope,
        roles,
    }
}

#[rustfmt::skip]
pub const TABLE: &[Operation] = &[
    row("GET", "/machines", Scope::MachinesRead, STAFF),
    row("POST", "/machines", Scope::MachinesWrite, SUPERVISOR),
    row("GET", "/machines/{id}", Scope::MachinesRead, STAFF),
    row("PATCH", "/machines/{id}", Scope::MachinesWrite, SUPERVISOR),
    row("GET", "/places", Scope::MachinesRead, STAFF),
    row("GET", "/machines/{id}/meters", Scope::MetersRead, PLANS),
    row("POST", "/meters/{id}/readings", Scope::MetersWrite, WORKERS),
    row("GET", "/jobs", Scope::JobsRead, STAFF),
    row("POST", "/jobs", Scope::JobsWrite, ANYBODY),
    row("GET", "/jobs/{id}", Scope::JobsRead, STAFF),
    row("GET", "/jobs/{id}/entries", Scope::JobsRead, STAFF),
    row("POST", "/jobs/{id}/entries", Scope::JobsWrite, WORKERS),
    row("GET", "/due", Scope::DueRead, PLANS),
    row("GET", "/figure", Scope::FigureRead, STAFF),
    row("POST", "/figure/{topic}", Scope::FigureRead, STAFF),
];

/// The row of an operation; asking for the headers alone is reading.
pub fn find(method: &str, path: &str) -> Option<&'static Operation> {
    let method = if method == "HEAD" { "GET" } else { method };
    TABLE
        .iter()
        .find(|row| row.method == method && row.path == path)
}
