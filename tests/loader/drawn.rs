//! Documents drawn from a JSON Schema: whatever it takes, with texts and lists kept short.

use proptest::prelude::*;
use proptest::string::string_regex;
use serde_json::{Map, Value};

/// Values of a schema.
pub fn of(root: &Value, schema: &Value) -> BoxedStrategy<Value> {
    if let Some(path) = schema["$ref"].as_str() {
        return of(root, root.pointer(&path[1..]).expect("a definition"));
    }
    for key in ["anyOf", "oneOf"] {
        if let Some(choices) = schema[key].as_array() {
            let known = |choice: &&Value| choice["type"] != "null";
            let choices: Vec<_> = choices
                .iter()
                .filter(known)
                .map(|one| of(root, one))
                .collect();
            return proptest::strategy::Union::new(choices).boxed();
        }
    }
    if !schema["const"].is_null() {
        return Just(schema["const"].clone()).boxed();
    }
    if let Some(choices) = schema["enum"].as_array() {
        return proptest::sample::select(choices.clone()).boxed();
    }
    let kind = match &schema["type"] {
        Value::Array(kinds) => kinds[0].as_str(),
        kind => kind.as_str(),
    };
    let within = |unbounded: f64, name: &str| schema[name].as_f64().unwrap_or(unbounded);
    match kind.expect("a type") {
        "string" => match schema["pattern"].as_str() {
            Some(pattern) => {
                // Some digits and spaces of as many as there may be.
                let inner = pattern.trim_start_matches('^').trim_end_matches('$');
                let inner = inner.replace("\\s*", "\\s{0,2}");
                // Of the many spaces those that every reader of schemas counts as one.
                let inner = inner.replace("[\\s", "[ \\t").replace("\\s", "[ \\t]");
                let inner = inner.replace("]*", "]{0,4}").replace("]+", "]{1,4}");
                let drawn = string_regex(&inner).expect("a pattern");
                drawn.prop_map(Value::from).boxed()
            }
            None => "\\PC{0,24}".prop_map(Value::from).boxed(),
        },
        "boolean" => any::<bool>().prop_map(Value::from).boxed(),
        "integer" => {
            let range = within(0.0, "minimum") as i64..=within(9999.0, "maximum") as i64;
            range.prop_map(Value::from).boxed()
        }
        "number" => {
            let least = within(within(-1e6, "minimum"), "exclusiveMinimum");
            let range = least..=within(1e6, "maximum");
            range.prop_map(Value::from).boxed()
        }
        "array" => match schema["prefixItems"].as_array() {
            Some(items) => {
                let items: Vec<_> = items.iter().map(|item| of(root, item)).collect();
                items.prop_map(Value::from).boxed()
            }
            None => {
                let least = schema["minItems"].as_u64().unwrap_or(0) as usize;
                let most = schema["maxItems"].as_u64().unwrap_or(u64::MAX) as usize;
                let count = least..=most.min(least + 3);
                let items = proptest::collection::vec(of(root, &schema["items"]), count);
                items.prop_map(Value::from).boxed()
            }
        },
        "object" => object(root, schema),
        other => panic!("{other}"),
    }
}

fn object(root: &Value, schema: &Value) -> BoxedStrategy<Value> {
    let required: Vec<&str> = schema["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let mut fields = Vec::new();
    for (name, field) in schema["properties"].as_object().into_iter().flatten() {
        let value = of(root, field);
        let value = match required.contains(&name.as_str()) {
            true => value.prop_map(Some).boxed(),
            false => proptest::option::of(value).boxed(),
        };
        fields.push((Just(name.clone()), value));
    }
    let others = &schema["additionalProperties"];
    let more = match others.is_object() {
        true => proptest::collection::vec(("[a-z-]{1,12}", of(root, others)), 0..4).boxed(),
        false => Just(Vec::new()).boxed(),
    };
    let object = (fields, more).prop_map(|(fields, more)| {
        let known = fields
            .into_iter()
            .filter_map(|(name, value)| Some((name, value?)));
        Value::Object(known.chain(more).collect::<Map<_, _>>())
    });
    object.boxed()
}

/// A good document with the values at some of its places drawn anew, each as the schema has it there: it
/// gets past the first mistakes, where one that is drawn from nothing hardly does.
pub fn grafted(root: &Value, good: &Value) -> BoxedStrategy<Value> {
    let mut places = Vec::new();
    walk(root, root, good, String::new(), &mut places);
    let (root, good) = (root.clone(), good.clone());
    let one = proptest::sample::select(places).prop_flat_map(move |(place, schema)| {
        let drawn = of(&root, &schema);
        drawn.prop_map(move |value| (place.clone(), value))
    });
    let grafts = proptest::collection::vec(one, 1..4);
    let grown = grafts.prop_map(move |grafts| {
        let mut document = good.clone();
        for (place, value) in grafts {
            // One before it may have taken the place away.
            if let Some(there) = document.pointer_mut(&place) {
                *there = value;
            }
        }
        document
    });
    grown.boxed()
}

/// Every place below a value with the schema of what stands there.
fn walk(
    root: &Value,
    schema: &Value,
    value: &Value,
    at: String,
    places: &mut Vec<(String, Value)>,
) {
    let Some(schema) = chosen(root, schema, value) else {
        return;
    };
    match value {
        Value::Object(fields) => {
            for (name, inner) in fields {
                let own = schema["properties"].get(name);
                let own = own.unwrap_or(&schema["additionalProperties"]);
                let at = format!("{at}/{}", name.replace('~', "~0").replace('/', "~1"));
                places.push((at.clone(), own.clone()));
                walk(root, own, inner, at, places);
            }
        }
        Value::Array(items) => {
            for (index, inner) in items.iter().enumerate() {
                let own = schema["prefixItems"].get(index);
                let own = own.unwrap_or(&schema["items"]);
                let at = format!("{at}/{index}");
                places.push((at.clone(), own.clone()));
                walk(root, own, inner, at, places);
            }
        }
        _ => {}
    }
}

/// The form of a schema that a table or list has, behind references and choices; none for plain values.
fn chosen<'a>(root: &'a Value, schema: &'a Value, value: &Value) -> Option<&'a Value> {
    if let Some(path) = schema["$ref"].as_str() {
        return chosen(root, root.pointer(&path[1..])?, value);
    }
    for key in ["anyOf", "oneOf"] {
        if let Some(choices) = schema[key].as_array() {
            return choices.iter().find_map(|one| chosen(root, one, value));
        }
    }
    let wanted = match value {
        Value::Object(_) => "object",
        Value::Array(_) => "array",
        _ => return None,
    };
    let is = |kind: &Value| kind == wanted;
    let fits = is(&schema["type"])
        || schema["type"]
            .as_array()
            .is_some_and(|all| all.iter().any(is));
    fits.then_some(schema)
}
