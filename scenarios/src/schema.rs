//! The form of each kind of file as a JSON Schema (2020-12), for editors to complete and check.
//!
//! Schemas come from the types that files are read into, so they cannot part ways. A schema takes
//! all that can be read; what one field asks of another only reading finds out.

use schemars::transform::{Transform, transform_subschemas};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::Value;

use crate::load::{LONGEST_LIST, LONGEST_TEXT_BYTES};
use crate::question::{ChartKind, Corner, Formula, Refrigerant};
use crate::syllabus::topic_names;
use crate::{
    Bank, competency, counter, fault, form, marks, question, scenario, syllabus, together, vehicle,
};

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A case.
    Case,
    /// A vehicle.
    Vehicle,
    /// Failure modes.
    Faults,
    /// Components a fault can be at.
    Components,
    /// Faults that travel together.
    Together,
    /// What cases train.
    Competencies,
    /// How a mark is made.
    Marks,
    /// The parts counter.
    Counter,
    /// Questions of the knowledge round.
    Questions,
    /// Forms of assessments.
    Form,
    /// What rules ask for, and what covers it.
    Syllabus,
}

/// Every kind of file with its name.
pub const KINDS: &[(&str, Kind)] = &[
    ("case", Kind::Case),
    ("vehicle", Kind::Vehicle),
    ("fault", Kind::Faults),
    ("component", Kind::Components),
    ("together", Kind::Together),
    ("competency", Kind::Competencies),
    ("marks", Kind::Marks),
    ("counter", Kind::Counter),
    ("question", Kind::Questions),
    ("form", Kind::Form),
    ("syllabus", Kind::Syllabus),
];

/// The schema of a kind of file; a bank's names are offered where a file names a vehicle, a
/// fault or a component, and others are taken too, since a bundle brings its own.
///
/// ```
/// use scenarios::{Bank, schema::{Kind, schema}};
/// let case = schema(Kind::Case, &Bank::builtin()?);
/// assert_eq!(case["$schema"], "https://json-schema.org/draft/2020-12/schema");
/// assert_eq!(case["properties"]["level"]["maximum"], 3);
/// # Ok::<(), scenarios::BankErrors>(())
/// ```
#[must_use]
pub fn schema(kind: Kind, bank: &Bank) -> Value {
    let mut schema = match kind {
        Kind::Case => of::<scenario::Written>(),
        Kind::Vehicle => of::<vehicle::Written>(),
        Kind::Faults => of::<fault::File>(),
        Kind::Components => of::<fault::Components>(),
        Kind::Together => of::<together::File>(),
        Kind::Competencies => of::<competency::File>(),
        Kind::Marks => of::<marks::Written>(),
        Kind::Counter => of::<counter::File>(),
        Kind::Questions => of::<question::read::File>(),
        Kind::Form => of::<form::read::File>(),
        Kind::Syllabus => of::<syllabus::File>(),
    };
    let vehicles: Vec<&str> = bank.vehicles().map(|one| one.id.as_str()).collect();
    let modes: Vec<&str> = bank
        .catalogue()
        .modes()
        .map(|one| one.id.as_str())
        .collect();
    let components: Vec<&str> = bank
        .components()
        .iter()
        .map(|one| one.id.as_str())
        .collect();
    let competencies = bank.competencies().iter();
    let competencies: Vec<&str> = competencies.map(|one| one.id.as_str()).collect();
    match kind {
        Kind::Case => {
            offer(&mut schema, "/properties/vehicle", &vehicles);
            offer(&mut schema, "/$defs/WrittenFault/properties/mode", &modes);
            let place = "/properties/competencies/items";
            offer(&mut schema, place, &competencies);
        }
        Kind::Faults => {
            offer(
                &mut schema,
                "/$defs/Written/properties/component",
                &components,
            );
        }
        Kind::Together => {
            offer(&mut schema, "/$defs/Written/properties/modes/items", &modes);
        }
        Kind::Questions => offer_in_questions(&mut schema),
        Kind::Form => {
            let cases: Vec<&str> = bank.cases().map(|one| one.id.as_str()).collect();
            let slot = "/$defs/WrittenCases/properties";
            offer(&mut schema, &format!("{slot}/from/items"), &cases);
            offer(
                &mut schema,
                &format!("{slot}/competencies/items"),
                &competencies,
            );
        }
        Kind::Syllabus => {
            let place = "/$defs/WrittenTopic/properties/components/items";
            offer(&mut schema, place, &components);
        }
        Kind::Vehicle | Kind::Components | Kind::Competencies | Kind::Marks | Kind::Counter => {}
    }
    schema
}

fn offer_in_questions(schema: &mut Value) {
    let formulas: Vec<&str> = Formula::all().map(|one| one.name).collect();
    let refrigerants = Refrigerant::ALL.map(Refrigerant::name);
    let topics: Vec<&str> = topic_names().iter().map(String::as_str).collect();
    let lists: [(&str, &[&str]); 5] = [
        ("formula", &formulas),
        ("chart", &ChartKind::ALL.map(ChartKind::name)),
        ("corner", &Corner::ALL.map(Corner::name)),
        ("refrigerants/items", &refrigerants),
        ("syllabus/items", &topics),
    ];
    for (field, names) in lists {
        offer(schema, &format!("/$defs/Written/properties/{field}"), names);
    }
}

/// The schema of a type, with the bounds that every file has.
fn of<T: JsonSchema>() -> Value {
    let mut schema = SchemaGenerator::default().into_root_schema_for::<T>();
    bounded(&mut schema);
    schema.to_value()
}

fn bounded(schema: &mut Schema) {
    struct Bounds;
    impl Transform for Bounds {
        fn transform(&mut self, schema: &mut Schema) {
            bounded(schema);
        }
    }
    // A character has a byte at least, so nothing that can be read is refused.
    let is = |kind: &str| match schema.get("type") {
        Some(Value::String(one)) => one == kind,
        Some(Value::Array(some)) => some.iter().any(|one| one == kind),
        _ => false,
    };
    let bound = if is("string") && schema.get("enum").is_none() && schema.get("const").is_none() {
        Some(("maxLength", LONGEST_TEXT_BYTES))
    } else if is("array") && schema.get("prefixItems").is_none() {
        Some(("maxItems", LONGEST_LIST))
    } else {
        None
    };
    if let Some((name, most)) = bound
        && schema.get(name).is_none()
    {
        schema.insert(name.to_owned(), most.into());
    }
    transform_subschemas(&mut Bounds, schema);
}

/// Offers names at a place of a schema, and takes any other.
fn offer(schema: &mut Value, place: &str, names: &[&str]) {
    if let Some(Value::Object(field)) = schema.pointer_mut(place) {
        let own: Vec<Value> = vec![
            serde_json::json!({ "enum": names }),
            serde_json::json!({ "type": "string" }),
        ];
        field.insert("anyOf".to_owned(), own.into());
    }
}
