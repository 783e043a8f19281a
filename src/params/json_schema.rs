//! JSON Schema (draft 2020-12) of the parameter file, for completion and hints in editors.
//!
//! Written here, from the definitions of the keys: crates such as `schemars` derive a schema from Rust types, and ranges, units,
//! reasons and sources are part of those definitions, not of types.
//!
//! The schema is looser than the reader: it cannot know the unit of a bare length, so a bare number need only be
//! right in one of the two, and it does not look into lengths that carry their own unit.

use serde_json::{Map, Value, json};

use super::kinds::Range;
use super::load::entries;
use super::reference::{About, Entry, Need};
use crate::standards::threads::THREADS;
use crate::units::{MM_PER_INCH, Units};

const NUMBER: &str = r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?(/\d+(\.\d*)?| \d+/\d+)?";

/// The schema of a whole parameter file.
pub fn json_schema() -> Value {
    let mut schema = object(&entries());
    schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".into(), json!("Tail housing parameters"));
    schema.insert(
        "$defs".into(),
        json!({
            "length_with_unit": {
                "type": "string",
                "pattern": format!("^{NUMBER} ?(mm|cm|in|inch|inches|\")?$"),
            },
            "angle_with_unit": { "type": "string", "pattern": format!("^{NUMBER} ?(deg|degrees|°)?$") },
            "density_with_unit": { "type": "string", "pattern": format!("^{NUMBER} ?(kg/m3|kg/m\\^3|kg/m³)?$") },
            "percent_with_unit": { "type": "string", "pattern": format!("^{NUMBER} ?%?$") },
            "thread": { "enum": THREADS.iter().map(|t| t.name).collect::<Vec<_>>() },
        }),
    );
    Value::Object(schema)
}

fn object(entries: &[Entry]) -> Map<String, Value> {
    let properties: Map<_, _> = entries.iter().map(|e| (e.key.to_owned(), property(e))).collect();
    let required: Vec<_> = entries.iter().filter(|e| e.need == Need::Required).map(|e| e.key).collect();
    let mut object = Map::new();
    object.insert("type".into(), json!("object"));
    object.insert("properties".into(), Value::Object(properties));
    object.insert("required".into(), json!(required));
    object.insert("additionalProperties".into(), json!(false));
    object
}

fn property(entry: &Entry) -> Value {
    let mut schema = match &entry.about {
        About::Section(children) => object(children),
        other => shape(other),
    };
    schema.insert("description".into(), json!(description(entry)));
    if !entry.example.is_empty() {
        schema.insert("examples".into(), json!([example(entry)]));
    }
    Value::Object(schema)
}

fn description(entry: &Entry) -> String {
    let mut text = entry.doc.to_owned();
    let plain_kind = !matches!(entry.about, About::Section(_) | About::Thread | About::Choice(_));
    if plain_kind {
        text.push_str(&format!(" Allowed: {}.", entry.about.allowed(Units::Mm)));
    }
    let words = if let About::Several { of, .. } = &entry.about { of } else { &entry.about };
    if let About::Choice(rows) = words {
        let rows: Vec<_> = rows.iter().map(|(name, doc)| format!("{name}: {doc}")).collect();
        text.push_str(&format!(" {}.", rows.join("; ")));
    }
    if let Need::Default { value, .. } = &entry.need {
        text.push_str(&format!(" Default: {value}."));
    }
    text
}

/// The example as a number where it is one.
fn example(entry: &Entry) -> Value {
    let text = entry.example;
    match (&entry.about, text.parse::<f64>(), text.parse::<bool>()) {
        (About::Several { .. }, ..) => json!(text.trim_matches(['[', ']']).split(", ").collect::<Vec<_>>()),
        (About::Text { .. } | About::Choice(_) | About::Thread | About::Fit, ..) => json!(text),
        (About::Count(_), Ok(number), _) => json!(number as u32),
        (_, Ok(number), _) => json!(number),
        (_, _, Ok(flag)) => json!(flag),
        _ => json!(text),
    }
}

fn shape(about: &About) -> Map<String, Value> {
    let schema = match about {
        About::Length(range) => json!({ "anyOf": [bare_length(range), reference("length_with_unit")] }),
        About::Hole(range) => {
            json!({ "anyOf": [reference("thread"), bare_length(range), reference("length_with_unit")] })
        }
        About::Angle(range) => json!({ "anyOf": [number("number", range), reference("angle_with_unit")] }),
        About::Density(range) => {
            json!({ "anyOf": [number("number", range), reference("density_with_unit")] })
        }
        About::Percent(range) => {
            json!({ "anyOf": [number("number", range), reference("percent_with_unit")] })
        }
        About::Factor(range) => number("number", range),
        About::Count(range) => number("integer", range),
        About::Measure(scale, range) => {
            let pattern = format!("^{NUMBER} ?({})?$", scale.spellings());
            json!({ "anyOf": [number("number", range), { "type": "string", "pattern": pattern }] })
        }
        About::Fit => json!({
            "type": "string",
            "pattern": "^([A-Z]{1,2}[0-9]+/[a-z]{1,2}[0-9]+|[A-Za-z]{2}[0-9])$",
        }),
        About::Flag => json!({ "type": "boolean" }),
        About::Text { longest } => json!({ "type": "string", "minLength": 1, "maxLength": longest }),
        About::Choice(rows) => json!({ "enum": rows.iter().map(|(name, _)| *name).collect::<Vec<_>>() }),
        About::Thread => reference("thread"),
        About::Several { most, of } => json!({
            "type": "array", "minItems": 1, "maxItems": most, "items": Value::Object(shape(of)),
        }),
        About::Section(children) => Value::Object(object(children)),
        About::List { least, most, of } => json!({
            "type": "array", "minItems": least, "maxItems": most, "items": Value::Object(object(of)),
        }),
    };
    match schema {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

fn reference(name: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{name}") })
}

fn number(kind: &str, range: &Range) -> Value {
    json!({ "type": kind, "minimum": range.least, "maximum": range.most })
}

/// Bounds of a bare length that hold in both units.
fn bare_length(range: &Range) -> Value {
    let least = range.least.min(range.least / MM_PER_INCH);
    let most = range.most.max(range.most / MM_PER_INCH);
    json!({ "type": "number", "minimum": least, "maximum": most })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_is_described() {
        fn walk(schema: &Value, seen: &mut usize) {
            if let Some(properties) = schema.get("properties").and_then(Value::as_object) {
                for (key, property) in properties {
                    *seen += 1;
                    assert!(property["description"].as_str().is_some_and(|d| d.len() > 10), "{key}");
                    walk(property, seen);
                }
            }
            if let Some(items) = schema.get("items") {
                walk(items, seen);
            }
        }
        let mut seen = 0;
        walk(&json_schema(), &mut seen);
        assert_eq!(seen, super::super::reference::paths(&entries()).len(), "all keys");
    }

    #[test]
    fn a_list_of_words_is_an_array_of_choices() {
        let forms = &json_schema()["properties"]["forms"];
        assert_eq!(forms["items"]["enum"][4], "core-box", "{forms}");
        assert_eq!(forms["examples"][0][4], "core-box", "{forms}");
        assert!(forms["description"].as_str().is_some_and(|d| d.contains("core-box: ")), "{forms}");
    }
}
