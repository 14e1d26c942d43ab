//! Reading on after a mistake, so that all mistakes of a file come in one go.
//!
//! Serde stops at the first thing that does not fit. Here what does not fit is put right by the
//! type's own schema (an unknown field taken out, a missing one put in, a wrong value replaced by
//! an example), and the text is read again. What was put right is only ever looked past: it never
//! becomes part of a case, since a file with a problem is refused.

use std::borrow::Cow;
use std::ops::Range;

use schemars::{JsonSchema, SchemaGenerator};
use serde::de::DeserializeOwned;
use serde_json::Value;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::words::explain;
use crate::{Problem, nearest};

/// Mistakes looked past; a file with more is answered with those.
const MOST_MISTAKES: usize = 64;

/// What could be read past the mistakes.
pub(crate) struct Recovered<T> {
    /// The value, with examples where the mistakes were; none where nothing could be put right.
    pub value: Option<T>,
    /// The mistakes.
    pub problems: Vec<Problem>,
    /// Where something was put right: what is said of these places afterwards means nothing.
    pub put_right: Vec<Range<usize>>,
}

/// Reads a table that is known to hold a mistake.
pub(super) fn read<T: DeserializeOwned + JsonSchema>(
    mut table: Spanned<DeTable<'_>>,
) -> Recovered<T> {
    let schema = SchemaGenerator::default().into_root_schema_for::<T>();
    let schema = Form {
        root: schema.as_value(),
    };
    let mut found = Recovered {
        value: None,
        problems: Vec::new(),
        put_right: Vec::new(),
    };
    let mut around = Vec::new();
    while found.problems.len() < MOST_MISTAKES {
        let error = match T::deserialize(toml::Deserializer::from(table.clone())) {
            Ok(value) => {
                found.value = Some(value);
                break;
            }
            Err(error) => error,
        };
        let span = error.span().filter(|span| *span != (0..0));
        let known = span.as_ref().is_some_and(|span| {
            let mut seen = found.put_right.iter();
            seen.any(|before| before == span)
        });
        // A table may lack several fields; anything else said twice of a place is about our repair.
        let missing = error.message().strip_prefix("missing field `");
        let missing = missing.and_then(|rest| rest.strip_suffix('`'));
        if known && missing.is_none() {
            break;
        }
        let mut problem = explain(&error);
        problem.span.clone_from(&span);
        if found.problems.contains(&problem) {
            break;
        }
        found.problems.push(problem);
        let mut repair = Repair {
            form: &schema,
            at: span.clone(),
            missing,
            around: Vec::new(),
        };
        if !repair.table(table.get_mut(), schema.root, span.is_none()) {
            break;
        }
        around.append(&mut repair.around);
        found.put_right.extend(span);
    }
    // What is said of a table as a whole may be about an example in it.
    found.put_right.append(&mut around);
    found
}

/// A type's form, as its schema has it.
struct Form<'a> {
    root: &'a Value,
}

impl<'a> Form<'a> {
    /// A schema without references, and the first of those that may be chosen from.
    fn resolved(&self, mut schema: &'a Value) -> &'a Value {
        // Schemas of types nest, and never this deep.
        for _ in 0..16 {
            let next = schema
                .get("$ref")
                .and_then(Value::as_str)
                .and_then(|path| self.root.pointer(path.strip_prefix('#')?))
                .or_else(|| chosen(schema, "anyOf"))
                .or_else(|| chosen(schema, "oneOf"));
            match next {
                Some(next) => schema = next,
                None => break,
            }
        }
        schema
    }

    fn field(&self, schema: &'a Value, name: &str) -> Option<&'a Value> {
        let schema = self.resolved(schema);
        let field = schema.get("properties").and_then(|all| all.get(name));
        field.or_else(|| {
            let others = schema.get("additionalProperties")?;
            others.is_object().then_some(others)
        })
    }

    fn item(&self, schema: &'a Value, index: usize) -> Option<&'a Value> {
        // Where one value or a list of them may stand, a list was written.
        let choices = schema.get("anyOf").and_then(Value::as_array);
        let mut choices = choices.into_iter().flatten();
        let list = choices.find(|choice| choice.get("items").is_some());
        let schema = self.resolved(list.unwrap_or(schema));
        let own = schema.get("prefixItems").and_then(|items| items.get(index));
        own.or_else(|| schema.get("items"))
    }

    /// A value of this form.
    fn example(&self, schema: &'a Value, at: &Range<usize>) -> Option<DeValue<'static>> {
        let schema = self.resolved(schema);
        let text = |key: &str| {
            let value = schema.get(key)?;
            let value = value.get(0).unwrap_or(value);
            Some(DeValue::String(Cow::Owned(value.as_str()?.to_owned())))
        };
        if let Some(text) = text("enum")
            .or_else(|| text("examples"))
            .or_else(|| text("const"))
        {
            return Some(text);
        }
        let kind = schema.get("type")?;
        let kind = kind.get(0).unwrap_or(kind).as_str()?;
        let plain = |text: &'static str| {
            let value = DeValue::parse(text).ok()?;
            Some(value.into_inner())
        };
        match kind {
            "string" => Some(DeValue::String(Cow::Borrowed("x"))),
            // Between every bound there is: above 0 and below 1, above a half.
            "number" => plain("0.75"),
            "integer" => plain("1"),
            "boolean" => Some(DeValue::Boolean(false)),
            "array" => {
                let Some(Value::Array(items)) = schema.get("prefixItems") else {
                    return plain("[]");
                };
                let mut list = plain("[]")?;
                if let DeValue::Array(list) = &mut list {
                    for item in items {
                        list.push(Spanned::new(at.clone(), self.example(item, at)?));
                    }
                }
                Some(list)
            }
            "object" => {
                let mut table = DeTable::new();
                let fields = schema.get("required").and_then(Value::as_array);
                for name in fields.into_iter().flatten().filter_map(Value::as_str) {
                    let value = self.example(self.field(schema, name)?, at)?;
                    let key = Spanned::new(at.clone(), Cow::Owned(name.to_owned()));
                    table.insert(key, Spanned::new(at.clone(), value));
                }
                Some(DeValue::Table(table))
            }
            _ => None,
        }
    }
}

fn chosen<'a>(schema: &'a Value, key: &str) -> Option<&'a Value> {
    let choices = schema.get(key)?.as_array()?;
    let null = |choice: &&Value| choice.get("type").and_then(Value::as_str) != Some("null");
    choices.iter().find(null)
}

/// One mistake to look past.
struct Repair<'a> {
    form: &'a Form<'a>,
    /// Where it is; none for the outermost table.
    at: Option<Range<usize>>,
    /// The field that is missing there.
    missing: Option<&'a str>,
    /// The tables and lists that it is in.
    around: Vec<Range<usize>>,
}

impl<'a> Repair<'a> {
    /// Finds the place below a table and puts it right; says whether it did. `here` where the table
    /// is the place.
    fn table(&mut self, table: &mut DeTable<'_>, schema: &'a Value, here: bool) -> bool {
        if here && let Some(name) = self.missing {
            let at = self.at.clone().unwrap_or_default();
            let field = self.form.field(schema, name);
            let Some(value) = field.and_then(|field| self.form.example(field, &at)) else {
                return false;
            };
            let key = Spanned::new(at.clone(), Cow::Owned(name.to_owned()));
            return table.insert(key, Spanned::new(at, value)).is_none();
        }
        let mut keys = table.keys();
        let unknown = keys.find(|key| Some(key.span()) == self.at).cloned();
        if let Some(key) = unknown
            && self.missing.is_none()
        {
            return self.misspelt(table, schema, &key);
        }
        table.iter_mut().any(|(key, value)| {
            let field = self.form.field(schema, key.get_ref());
            field.is_some_and(|field| self.value(value, field))
        })
    }

    /// Takes an unknown field out, and takes it for the one that was probably meant where that is not
    /// there: a slip of spelling is not a missing field too.
    fn misspelt(
        &self,
        table: &mut DeTable<'_>,
        schema: &'a Value,
        key: &Spanned<Cow<'_, str>>,
    ) -> bool {
        let Some(value) = table.remove(key.get_ref().as_ref()) else {
            return false;
        };
        let fields = self.form.resolved(schema).get("properties");
        let names = fields.and_then(Value::as_object).into_iter();
        let names = names.flat_map(|fields| fields.keys()).map(String::as_str);
        if let Some(meant) = nearest(key.get_ref(), names)
            && !table.contains_key(meant)
        {
            table.insert(
                Spanned::new(key.span(), Cow::Owned(meant.to_owned())),
                value,
            );
        }
        true
    }

    fn value(&mut self, value: &mut Spanned<DeValue<'_>>, schema: &'a Value) -> bool {
        let span = value.span();
        let here = Some(&span) == self.at.as_ref();
        match value.get_mut() {
            DeValue::Table(table) if here && self.missing.is_some() => {
                return self.table(table, schema, true);
            }
            _ if here && self.missing.is_none() => {
                let Some(example) = self.form.example(schema, &span) else {
                    return false;
                };
                *value.get_mut() = example;
                return true;
            }
            _ => {}
        }
        let done = match value.get_mut() {
            DeValue::Table(table) => self.table(table, schema, false),
            DeValue::Array(items) => items.iter_mut().enumerate().any(|(index, item)| {
                let form = self.form.item(schema, index);
                form.is_some_and(|form| self.value(item, form))
            }),
            _ => false,
        };
        if done {
            self.around.push(span);
        }
        done
    }
}
