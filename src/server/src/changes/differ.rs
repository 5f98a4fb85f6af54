//! What an audit line says, field by field. Pure.

use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// One field, before and after.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    pub name: String,
    pub before: String,
    pub after: String,
}

pub const NOT_KNOWN: &str = "not known";

/// Fields that differ. A line holds `was` and `is`, or the new values with `was` beside them; one that
/// adds something has no `was`.
pub fn fields(detail: &Value) -> Vec<Field> {
    let Value::Object(all) = detail else {
        return Vec::new();
    };
    let (was, is) = sides(all);
    let (mut before, mut after) = (BTreeMap::new(), BTreeMap::new());
    flat(&was, "", &mut before);
    flat(&is, "", &mut after);
    let mut names: Vec<&String> = before.keys().chain(after.keys()).collect();
    names.sort();
    names.dedup();
    let words = |side: &BTreeMap<String, String>, name: &str| {
        side.get(name)
            .cloned()
            .unwrap_or_else(|| NOT_KNOWN.to_owned())
    };
    names
        .into_iter()
        .filter(|name| before.get(*name) != after.get(*name))
        .map(|name| Field {
            name: name.clone(),
            before: words(&before, name),
            after: words(&after, name),
        })
        .collect()
}

fn sides(all: &Map<String, Value>) -> (Value, Value) {
    let was = all.get("was").cloned().unwrap_or(Value::Null);
    let mut rest = all.clone();
    rest.remove("was");
    match rest.remove("is") {
        Some(Value::Object(mut is)) => {
            is.extend(rest);
            (was, Value::Object(is))
        }
        // `was` and `is` are single values: the field is what the act names.
        Some(is) => {
            rest.insert("value".to_owned(), is);
            let mut before = Map::new();
            before.insert("value".to_owned(), was);
            (Value::Object(before), Value::Object(rest))
        }
        None => (was, Value::Object(rest)),
    }
}

/// Every leaf by its path in words; what is not known has no leaf. A plate's value and how it is
/// known make one leaf.
fn flat(value: &Value, path: &str, into: &mut BTreeMap<String, String>) {
    match value {
        Value::Null => {}
        Value::Object(all) => match (all.get("value"), all.get("how")) {
            (Some(value), Some(Value::String(how))) => {
                let how = how.replace('_', " ");
                into.insert(path.to_owned(), format!("{} ({how})", plain(value)));
            }
            _ => {
                for (name, value) in all {
                    // A plate's field says `known` before its value.
                    let name = if name == "known" { "" } else { name };
                    flat(value, &joined(path, name), into);
                }
            }
        },
        value => {
            let text = plain(value);
            if !text.is_empty() {
                into.insert(path.to_owned(), text);
            }
        }
    }
}

fn joined(path: &str, name: &str) -> String {
    let name = name.replace('_', " ");
    match (path.is_empty(), name.is_empty()) {
        (true, _) => name,
        (_, true) => path.to_owned(),
        _ => format!("{path}: {name}"),
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        Value::Array(all) => all.iter().map(plain).collect::<Vec<_>>().join(", "),
        Value::Object(all) => all
            .iter()
            .map(|(name, value)| format!("{name} {}", plain(value)))
            .collect::<Vec<_>>()
            .join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn field(name: &str, before: &str, after: &str) -> Field {
        Field {
            name: name.to_owned(),
            before: before.to_owned(),
            after: after.to_owned(),
        }
    }

    #[test]
    fn only_what_differs_is_said_and_a_blank_is_not_known() {
        let detail = json!({
            "was": { "tag": "F-1", "facts": { "site": { "phases": null, "nominal_volts": 115.0 } } },
            "is": { "tag": "F-1", "facts": { "site": { "phases": 1, "nominal_volts": null } } },
        });
        assert_eq!(
            fields(&detail),
            [
                field("facts: site: nominal volts", "115.0", NOT_KNOWN),
                field("facts: site: phases", NOT_KNOWN, "1"),
            ]
        );
    }

    #[test]
    fn a_plate_says_how_each_value_is_known() {
        let detail = json!({
            "was": { "plate": { "amps": "unknown" } },
            "is": { "plate": { "amps": { "known": { "value": [1.8], "how": "old_record" } } } },
        });
        assert_eq!(
            fields(&detail),
            [field("plate: amps", "unknown", "1.8 (old record)")]
        );
    }

    #[test]
    fn values_beside_was_and_bare_values_are_read_too() {
        let beside = json!({ "name": "LP-2", "was": { "name": "LP-1" } });
        assert_eq!(fields(&beside), [field("name", "LP-1", "LP-2")]);
        let bare = json!({ "was": false, "is": true, "note": "feeds the pump" });
        assert_eq!(
            fields(&bare),
            [
                field("note", NOT_KNOWN, "feeds the pump"),
                field("value", "no", "yes"),
            ]
        );
        assert!(fields(&json!([1])).is_empty());
    }
}
