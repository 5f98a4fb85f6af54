//! The contract: OpenAPI 3.1, made from the handlers, the shapes and the table.

use super::{
    change_jobs, change_machines, entries, figure, jobs, machines, problem, scopes::Scope, table,
};
use crate::state::AppState;
use axum::Json;
use axum::extract::State;
use serde_json::{Value, json};
use std::sync::OnceLock;
use utoipa::OpenApi;

const ABOUT: &str = "The record of a shop that keeps machines running, for other programs. Send a \
    token as `Authorization: Bearer bt_…`; the keeper makes one under Shop, Integrations, with the \
    scopes and the role that it acts as. Cookies are not looked at, and other origins are not let in.\n\n\
    `null` is not known, and never zero. Instants are UTC (RFC 3339), days are days of the shop's \
    calendar, figures have their unit in their name or beside them, numbers and ids of records never \
    change. Lists come a page at a time: `next_cursor`, and the whole address in the header `Link`. \
    Every refusal is a problem (RFC 9457) with one sentence for people, and each refused field.\n\n\
    What is recorded about isolation is what people recorded, never a permission to touch anything.";

#[derive(OpenApi)]
#[openapi(
    info(title = "Brasstag", version = "1"),
    paths(
        machines::list_machines,
        change_machines::add_machine,
        machines::show_machine,
        change_machines::change_machine,
        machines::list_places,
        machines::list_meters,
        change_machines::enter_reading,
        jobs::list_jobs,
        change_jobs::report_fault,
        jobs::show_job,
        jobs::list_entries,
        change_jobs::add_entry,
        jobs::list_due,
        figure::list_topics,
        figure::calculate,
    ),
    components(schemas(problem::Problem, entries::EntryBody))
)]
struct Contract;

/// `GET /api/v1/openapi.json`: for anybody; it says nothing about the shop.
pub async fn serve(State(app): State<AppState>) -> Json<Value> {
    let mut contract = contract().clone();
    contract["servers"] = json!([{ "url": app.url("/api/v1") }]);
    Json(contract)
}

/// The contract without the address of this shop.
pub fn contract() -> &'static Value {
    static MADE: OnceLock<Value> = OnceLock::new();
    MADE.get_or_init(made)
}

fn made() -> Value {
    let mut contract = serde_json::to_value(Contract::openapi()).unwrap_or_default();
    contract["info"]["description"] = json!(ABOUT);
    let scopes: Vec<String> = Scope::ALL
        .iter()
        .map(|scope| format!("`{}` {}", scope.word(), scope.words()))
        .collect();
    contract["components"]["securitySchemes"] = json!({ "token": {
        "type": "http", "scheme": "bearer",
        "description": format!("A token of an integration. Scopes: {}.", scopes.join("; ")),
    }});
    contract["components"]["responses"] = json!({ "Refused": {
        "description": "Refused; nothing was changed",
        "content": { problem::PROBLEM: { "schema": { "$ref": "#/components/schemas/Problem" } } },
    }});
    if let Some(shapes) = contract["components"]["schemas"].as_object_mut() {
        shapes
            .iter_mut()
            .for_each(|(name, shape)| whole(name, shape));
    }
    let kinds = &mut contract["components"]["schemas"]["EntryBody"]["oneOf"];
    for kind in kinds.as_array_mut().into_iter().flatten() {
        kind["additionalProperties"] = json!(false);
    }
    for row in table::TABLE {
        let method = row.method.to_ascii_lowercase();
        let operation = &mut contract["paths"][row.path][&method];
        if operation.is_object() {
            complete(operation, row);
        }
    }
    contract
}

/// The shapes of answers, which have all their fields: what is not known is there as null.
const ANSWERS: [&str; 8] = [
    "Machine", "Place", "Job", "Entry", "Due", "Meter", "Fact", "Reporter",
];
/// Left out by what the token may see, or by the kind of the entry.
const LEFT_OUT: [&str; 2] = ["reporter", "body"];

fn whole(name: &str, shape: &mut Value) {
    if !ANSWERS.contains(&name) && !name.starts_with("Page_") {
        return;
    }
    let fields = shape["properties"].as_object();
    let names = fields.into_iter().flat_map(|fields| fields.keys());
    let there: Vec<&String> = names
        .filter(|field| !LEFT_OUT.contains(&field.as_str()))
        .collect();
    shape["required"] = json!(there);
}

/// What every operation says that the table knows: scope, roles, refusals.
fn complete(operation: &mut Value, row: &table::Operation) {
    operation["security"] = json!([{ "token": [row.scope.word()] }]);
    let roles: Vec<&str> = row.roles.iter().map(|role| role.word()).collect();
    operation["x-roles"] = json!(roles);
    let mut refusals = vec!["400", "401", "403", "408", "429", "500"];
    if row.path.contains('{') {
        refusals.push("404");
    }
    if operation.get("requestBody").is_some() {
        refusals.extend(["413", "415", "422"]);
    }
    match row.method {
        "POST" => refusals.push("409"),
        "PATCH" => refusals.extend(["409", "412", "428"]),
        _ => {}
    }
    for status in refusals {
        operation["responses"][status] = json!({ "$ref": "#/components/responses/Refused" });
    }
    let changes = row.method == "POST" && row.scope != Scope::FigureRead;
    if changes {
        repeatable(operation);
    }
    let shows_one = row.method == "GET" && row.path.ends_with("{id}");
    if shows_one || row.method == "PATCH" {
        let tag = json!({ "description": "Which version this is", "schema": { "type": "string" } });
        operation["responses"]["200"]["headers"]["ETag"] = tag;
    }
    if shows_one {
        let description = "Not changed since the version named by If-None-Match";
        operation["responses"]["304"] = json!({ "description": description });
    }
}

/// A change that may be sent again with the same key.
fn repeatable(operation: &mut Value) {
    let key = json!({
        "name": "Idempotency-Key", "in": "header", "required": false,
        "description": "Made by the sender for this one request. The same key with the same body is \
            answered as the first time, for a day; with another body it is refused.",
        "schema": { "type": "string", "minLength": 1, "maxLength": 255, "pattern": "^[!-~]+$" },
    });
    match operation["parameters"].as_array_mut() {
        Some(parameters) => parameters.push(key),
        None => operation["parameters"] = json!([key]),
    }
    let at = json!({ "description": "Where it is read", "schema": { "type": "string" } });
    operation["responses"]["201"]["headers"]["Location"] = at;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn operations() -> Vec<(String, String, Value)> {
        let paths = contract()["paths"].as_object().expect("paths").clone();
        let methods = |(path, item): (String, Value)| {
            let item = item.as_object().expect("an item").clone();
            item.into_iter()
                .map(move |(method, operation)| (method.to_uppercase(), path.clone(), operation))
        };
        paths.into_iter().flat_map(methods).collect()
    }

    #[test]
    fn the_contract_has_the_operations_of_the_table_and_no_others() {
        for row in table::TABLE {
            let is = |(m, p, _): &(String, String, Value)| m == row.method && p == row.path;
            assert!(operations().iter().any(is), "{} {}", row.method, row.path);
        }
        for (method, path, operation) in operations() {
            assert!(table::find(&method, &path).is_some(), "{method} {path}");
            assert!(
                operation["summary"].is_string(),
                "{method} {path} says what it does"
            );
            assert!(operation["responses"]["401"].is_object(), "{method} {path}");
        }
    }

    #[test]
    fn every_field_that_is_a_figure_says_its_unit() {
        let shapes = contract()["components"]["schemas"]
            .as_object()
            .expect("shapes");
        for (name, shape) in shapes {
            let Some(fields) = shape["properties"].as_object() else {
                continue;
            };
            for (field, of) in fields {
                if of["type"].to_string().contains("\"number\"") {
                    let said = of["description"].as_str().unwrap_or("");
                    assert!(
                        said.contains("`unit`"),
                        "{name}.{field} has a unit beside it"
                    );
                }
            }
        }
    }
}
