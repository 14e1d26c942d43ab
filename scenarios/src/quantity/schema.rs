//! What a quantity looks like to an editor: a pattern of numbers and units, with an example.

use schemars::{Schema, json_schema};

use super::{Dimension, UNITS, spellings};

/// A sign as a number may bear it, and none as one that is not negative may not.
const SIGNED: &str = "[+−-]?";
const UNSIGNED: &str = "\\+?";
const NUMBER: &str = "([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][+−-]?[0-9]+)?";

/// The schema of a quantity of a dimension; every text it takes is read, but for numbers that are
/// too large or below zero where none is.
pub(super) fn quantity_schema(dimension: Dimension) -> Schema {
    let units = UNITS.iter().filter(|unit| unit.measures(dimension));
    let spelt: Vec<String> = units.flat_map(spellings).map(pattern_of).collect();
    let pattern = format!("^\\s*{SIGNED}{NUMBER}\\s*({})\\s*$", spelt.join("|"));
    json_schema!({
        "type": "string",
        "description": format!("{} with its unit", dimension.name()),
        "pattern": pattern,
        "maxLength": 80,
        "examples": [dimension.example()],
    })
}

/// The same schema with no minus sign, or above or from zero where it is one of plain numbers.
pub(crate) fn unsigned(schema: &mut Schema, bound: &str) {
    let pattern = schema.get("pattern").and_then(|pattern| pattern.as_str());
    match pattern.map(|pattern| pattern.replacen(SIGNED, UNSIGNED, 1)) {
        Some(pattern) => schema.insert("pattern".to_owned(), pattern.into()),
        None => schema.insert(bound.to_owned(), 0.into()),
    };
}

/// A unit's spelling as a pattern: what a keyboard writes in two ways is taken in both.
fn pattern_of(unit: &str) -> String {
    let mut pattern = String::new();
    for c in unit.replace("ohm", "Ω").chars() {
        match c {
            ' ' => pattern.push_str("[\\s·⋅]+"),
            '2' => pattern.push_str("[2²]"),
            '3' => pattern.push_str("[3³]"),
            'Ω' => pattern.push_str("(ohm|Ω|\u{2126})"),
            '°' => pattern.push_str("[°º]"),
            'µ' => pattern.push_str("[µμ]"),
            '(' | ')' | '.' | '+' => {
                pattern.push('\\');
                pattern.push(c);
            }
            other => pattern.push(other),
        }
    }
    pattern
}
