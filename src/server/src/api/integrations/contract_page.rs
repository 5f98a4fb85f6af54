//! `/shop/integrations/contract`: the contract for people, made from the same document.

use super::READERS;
use crate::api::{document, scopes::Scope, table};
use crate::error::AppError;
use crate::page::{Layout, Page};
use crate::people::CurrentUser;
use crate::state::AppState;
use askama::Template;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use serde_json::Value;

/// One operation as people read it.
struct Shown {
    method: &'static str,
    path: &'static str,
    what: String,
    more: String,
    scope: &'static str,
    roles: String,
    asks: Vec<Field>,
    sends: Vec<Field>,
    answers: String,
}

/// One field of a query, a body or a shape.
struct Field {
    name: String,
    takes: String,
    says: String,
}

/// One shape of JSON.
struct Shape {
    name: String,
    says: String,
    fields: Vec<Field>,
}

#[derive(Template)]
#[template(path = "api/contract.html")]
struct ContractPage {
    layout: Layout,
    about: Vec<String>,
    operations: Vec<Shown>,
    shapes: Vec<Shape>,
    scopes: Vec<(&'static str, &'static str)>,
    api: String,
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

fn last(reference: &Value) -> String {
    let name = text(reference);
    name.rsplit('/').next().unwrap_or_default().to_owned()
}

/// What a schema takes, in a few words.
fn takes(schema: &Value) -> String {
    if schema["$ref"].is_string() {
        return last(&schema["$ref"]);
    }
    for of in ["oneOf", "anyOf"] {
        if let Some(all) = schema[of].as_array() {
            let words: Vec<String> = all.iter().map(takes).collect();
            return words.join(" or ");
        }
    }
    if let Some(options) = schema["enum"].as_array() {
        let words: Vec<String> = options.iter().map(text).collect();
        return words.join(", ");
    }
    let word = |of: &str| match (of, schema["format"].as_str()) {
        ("array", _) => format!("list of {}", takes(&schema["items"])),
        ("string", Some("date")) => "day".to_owned(),
        ("string", Some("date-time")) => "instant".to_owned(),
        ("string", Some("uuid")) => "id (UUID)".to_owned(),
        ("string", _) => "text".to_owned(),
        ("integer", _) => "whole number".to_owned(),
        ("boolean", _) => "true or false".to_owned(),
        (other, _) => other.to_owned(),
    };
    match &schema["type"] {
        Value::String(of) => word(of),
        Value::Array(all) => {
            let words: Vec<String> = all
                .iter()
                .map(|of| word(of.as_str().unwrap_or("")))
                .collect();
            words.join(" or ")
        }
        _ => "anything".to_owned(),
    }
}

fn fields(schema: &Value) -> Vec<Field> {
    let must: Vec<String> = schema["required"]
        .as_array()
        .map(|names| names.iter().map(text).collect())
        .unwrap_or_default();
    let Some(all) = schema["properties"].as_object() else {
        return Vec::new();
    };
    all.iter()
        .map(|(name, of)| Field {
            name: name.clone(),
            takes: match must.contains(name) {
                true => takes(of),
                false => format!("{}; may be left out", takes(of)),
            },
            says: text(&of["description"]),
        })
        .collect()
}

/// The fields of a shape; of one that is one of several, those of each with its kind in front.
fn all_fields(schema: &Value) -> Vec<Field> {
    let Some(variants) = schema["oneOf"].as_array() else {
        return fields(schema);
    };
    let mut all = Vec::new();
    for variant in variants {
        let kind = &variant["properties"]["kind"];
        let kind = kind["enum"][0].as_str().or(kind["const"].as_str());
        let kind = kind.unwrap_or_default();
        let own = fields(variant)
            .into_iter()
            .filter(|field| field.name != "kind");
        all.extend(own.map(|field| Field {
            name: format!("{kind}: {}", field.name),
            ..field
        }));
    }
    all
}

fn shown(contract: &Value, row: &'static table::Operation) -> Shown {
    let operation = &contract["paths"][row.path][row.method.to_ascii_lowercase()];
    let parameters = operation["parameters"]
        .as_array()
        .cloned()
        .unwrap_or_default();
    let asks = parameters
        .iter()
        .filter(|asked| asked["in"] != "path")
        .map(|asked| Field {
            name: text(&asked["name"]),
            takes: takes(&asked["schema"]),
            says: text(&asked["description"]),
        })
        .collect();
    let body = &operation["requestBody"]["content"];
    let body = body.as_object().and_then(|all| all.values().next());
    let sends = body.map(|body| {
        let schema = &body["schema"];
        let name = last(&schema["$ref"]);
        all_fields(
            contract["components"]["schemas"]
                .get(&name)
                .unwrap_or(schema),
        )
    });
    let roles: Vec<&str> = row.roles.iter().map(|role| role.word()).collect();
    let answer = ["200", "201"]
        .iter()
        .find_map(|status| operation["responses"].get(*status));
    Shown {
        method: row.method,
        path: row.path,
        what: text(&operation["summary"]),
        more: text(&operation["description"]),
        scope: row.scope.word(),
        roles: roles.join(", "),
        asks,
        sends: sends.unwrap_or_default(),
        answers: answer.map_or_else(String::new, |answer| text(&answer["description"])),
    }
}

pub async fn show(user: CurrentUser, State(app): State<AppState>) -> Result<Response, AppError> {
    user.require(READERS)?;
    let contract = document::contract();
    let shapes = contract["components"]["schemas"].as_object();
    let shapes = shapes.into_iter().flatten();
    let page = ContractPage {
        layout: Layout::new(&app, &user.visitor, "Shop"),
        about: text(&contract["info"]["description"])
            .split("\n\n")
            .map(str::to_owned)
            .collect(),
        operations: table::TABLE
            .iter()
            .map(|row| shown(contract, row))
            .collect(),
        shapes: shapes
            .filter(|(name, _)| !name.starts_with("Page_"))
            .map(|(name, schema)| Shape {
                name: name.clone(),
                says: text(&schema["description"]),
                fields: all_fields(schema),
            })
            .collect(),
        scopes: Scope::ALL
            .map(|scope| (scope.word(), scope.words()))
            .to_vec(),
        api: app.public_url("/api/v1"),
    };
    Ok(Page(page).into_response())
}
