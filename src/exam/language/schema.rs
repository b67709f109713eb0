//! The language as a JSON Schema, for editors that complete and check TOML.

use serde_json::{Map, Value, json};

use super::{Default, Key, Kind, Part, SECTIONS, names, parts, sounds};

/// The sign of the schema's own language: draft 7, which editors of TOML read.
const DRAFT: &str = "http://json-schema.org/draft-07/schema#";

/// Writes the schema.
///
/// Whatever it refuses a reader refuses too. The other way round it cannot see whether there are
/// enough chords to draw from, or whether a name is one of the script's own.
pub fn schema() -> String {
    let parts = parts();
    let mut definitions = Map::new();
    let mut root = Map::new();

    for part in &parts {
        match part.path {
            "" => root = object(part),
            "section" => {}
            _ => drop(definitions.insert(part.id.to_owned(), object(part).into())),
        }
    }
    for section in SECTIONS {
        let mut of = object(section.part);
        if let (Some(cell), Some(properties)) = (section.cell, properties(&mut of)) {
            drop(properties.insert("cells".to_owned(), cells(cell.id)));
        }
        drop(definitions.insert(branch(section), of.into()));
    }
    drop(definitions.insert("section".to_owned(), section()));
    drop(root.insert("$schema".to_owned(), DRAFT.into()));
    drop(root.insert("title".to_owned(), "An exam script".into()));
    drop(root.insert("definitions".to_owned(), definitions.into()));

    let mut text = serde_json::to_string_pretty(&Value::from(root)).unwrap_or_default();
    text.push('\n');
    text
}

/// The name of a kind of section among the definitions.
fn branch(section: &super::Section) -> String {
    match (section.asks, section.cell) {
        ([], _) | (_, None) => format!("{}-section", section.word),
        (_, Some(cell)) => format!("{}-section-of-{}s", section.word, cell.id),
    }
}

fn properties(object: &mut Map<String, Value>) -> Option<&mut Map<String, Value>> {
    object.get_mut("properties")?.as_object_mut()
}

/// A table that takes these keys and no other.
fn object(part: &Part) -> Map<String, Value> {
    let mut properties = Map::new();
    let mut required = Vec::new();

    for key in part.all_keys() {
        drop(properties.insert(key.name.to_owned(), property(key)));
        if key.default == Default::Required {
            required.push(Value::from(key.name));
        }
    }
    let mut object = Map::new();
    let both = ["group", "roots"].map(|name| properties.contains_key(name));
    drop(object.insert("type".to_owned(), "object".into()));
    if !part.says.is_empty() {
        drop(object.insert("description".to_owned(), part.says.into()));
    }
    drop(object.insert("properties".to_owned(), properties.into()));
    if !required.is_empty() {
        drop(object.insert("required".to_owned(), required.into()));
    }
    if both == [true, true] {
        drop(object.insert("not".to_owned(), json!({ "required": ["group", "roots"] })));
    }
    if part.id == "form" {
        let hands = json!([{ "required": ["left"] }, { "required": ["right"] }]);
        drop(object.insert("anyOf".to_owned(), hands));
    }
    drop(object.insert("additionalProperties".to_owned(), false.into()));

    object
}

/// A key: what can stand after it, and what is to be told of it.
fn property(key: &Key) -> Value {
    let mut property = value(key.kind);
    let mut says = key.says.to_owned();

    if !key.unit.is_empty() {
        says.push_str(&format!(" Unit: {}.", key.unit));
    }
    if let Default::Else(words) = key.default {
        says.push_str(&format!(" If left out: {words}."));
    }
    drop(property.insert("description".to_owned(), says.into()));
    if let Default::Is(value) = key.default
        && let Some(value) = read(value)
    {
        drop(property.insert("default".to_owned(), value));
    }
    if let Some(example) = read(key.example) {
        match property.get_mut("examples").and_then(Value::as_array_mut) {
            Some(examples) if examples.contains(&example) => {}
            Some(examples) => examples.insert(0, example),
            None => drop(property.insert("examples".to_owned(), json!([example]))),
        }
    }

    property.into()
}

/// Reads a value of TOML as one of JSON.
fn read(value: &str) -> Option<Value> {
    let table: toml::Table = toml::from_str(&format!("value = {value}")).ok()?;

    serde_json::to_value(table.get("value")?).ok()
}

/// A bound, without a point where it is whole.
fn bound(bound: f64) -> Value {
    if bound.fract() == 0.0 {
        (bound as i64).into()
    } else {
        bound.into()
    }
}

/// What can stand as a value.
fn value(kind: Kind) -> Map<String, Value> {
    let value = match kind {
        Kind::Line => json!({ "type": "string", "pattern": "\\S" }),
        Kind::Label | Kind::Text | Kind::Degrees => json!({ "type": "string" }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Whole(from, to) => json!({ "type": "integer", "minimum": from, "maximum": to }),
        Kind::Number(from, to) => {
            json!({ "type": "number", "minimum": bound(from), "maximum": bound(to) })
        }
        Kind::Word(words, also) => {
            let all: Vec<&str> = words.iter().chain(also).copied().collect();
            json!({ "type": "string", "enum": all })
        }
        Kind::Member => json!({ "type": "integer", "enum": [1, 3, 5, 7] }),
        Kind::Ask => ask(),
        Kind::Quality => {
            let examples: Vec<&str> = names::QUALITIES
                .iter()
                .filter(|text| !text.is_empty())
                .copied()
                .collect();
            json!({ "type": "string", "examples": examples })
        }
        Kind::Root => json!({ "type": "string", "pattern": "^[A-G][b♭#♯♮]?$" }),
        Kind::Name(of) => match names::known(of) {
            known if known.is_empty() => json!({ "type": "string" }),
            known => json!({ "type": "string", "examples": known }),
        },
        Kind::Options => {
            let texts = json!({ "type": "array", "items": { "type": "string" }, "minItems": 1 });
            json!({ "anyOf": [texts, { "type": "array", "items": texts, "minItems": 2, "maxItems": 2 }] })
        }
        Kind::List(of, least, most) => {
            let mut list = json!({ "type": "array", "items": value(*of), "minItems": least });
            if most < usize::MAX
                && let Some(list) = list.as_object_mut()
            {
                drop(list.insert("maxItems".to_owned(), most.into()));
            }
            list
        }
        Kind::Groups => json!({
            "type": "object",
            "additionalProperties": value(Kind::List(&Kind::Root, 1, 12)),
        }),
        // Beside a bare reference nothing else would count.
        Kind::Table(id) => json!({ "allOf": [{ "$ref": format!("#/definitions/{id}") }] }),
        Kind::Tables("section") => {
            json!({ "type": "array", "minItems": 1, "items": { "$ref": "#/definitions/section" } })
        }
        Kind::Tables(id) => {
            json!({ "type": "array", "items": { "$ref": format!("#/definitions/{id}") } })
        }
    };

    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

/// One question, or two that go together.
fn ask() -> Value {
    let all: Vec<&str> = SECTIONS
        .iter()
        .flat_map(|section| section.asks)
        .copied()
        .collect();

    json!({ "anyOf": [
        { "type": "string", "enum": all },
        { "type": "array", "minItems": 1, "maxItems": 1, "items": { "enum": all } },
        {
            "type": "array",
            "minItems": 2,
            "maxItems": 2,
            "uniqueItems": true,
            "items": { "enum": sounds::TOGETHER },
        },
    ] })
}

fn cells(id: &str) -> Value {
    json!({
        "type": "array",
        "minItems": 1,
        "items": { "$ref": format!("#/definitions/{id}") },
        "description": "The cells: what is asked, and how often.",
    })
}

/// A section: all its keys in words, for completion; what holds for its kind, for checking.
fn section() -> Value {
    let mut keys = Map::new();
    let mut of_cells = Map::new();
    let mut rules = Vec::new();

    for section in SECTIONS {
        for key in section.part.all_keys() {
            tell(&mut keys, key, section.word);
        }
        for key in section.cell.iter().flat_map(|cell| cell.all_keys()) {
            tell(&mut of_cells, key, section.word);
        }
        let mut condition = json!({ "kind": { "const": section.word } });
        let mut needed = vec!["kind"];
        if !section.asks.is_empty() {
            let one = json!({ "enum": section.asks });
            condition["ask"] = json!({ "anyOf": [one, { "type": "array", "contains": one }] });
            needed.push("ask");
        }
        rules.push(json!({
            "if": { "properties": condition, "required": needed },
            "then": { "$ref": format!("#/definitions/{}", branch(section)) },
        }));
    }
    // Without a known question none of the rules above holds.
    rules.push(json!({
        "if": { "properties": { "kind": { "const": "ear" } }, "required": ["kind"] },
        "then": { "properties": { "ask": ask() }, "required": ["ask"] },
    }));
    for key in super::sections::COMMON {
        drop(keys.insert(key.name.to_owned(), property(key)));
    }
    drop(keys.insert(
        "cells".to_owned(),
        json!({
            "description": "The cells: what is asked, and how often.",
            "items": { "properties": of_cells },
        }),
    ));

    json!({
        "type": "object",
        "properties": keys,
        "required": ["id", "title", "kind"],
        "allOf": rules,
    })
}

/// Adds what a key does to what is known of it, with the kind of section it is said of.
fn tell(keys: &mut Map<String, Value>, key: &Key, word: &str) {
    let said = keys
        .get(key.name)
        .and_then(|known| known["description"].as_str())
        .unwrap_or_default();
    let says = if said.contains(key.says) {
        said.to_owned()
    } else if said.is_empty() {
        format!("{word}: {}", key.says)
    } else {
        format!("{said}\n\n{word}: {}", key.says)
    };

    drop(keys.insert(key.name.to_owned(), json!({ "description": says })));
}
