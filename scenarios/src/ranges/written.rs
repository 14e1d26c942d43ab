//! How ranges stand in a file: a value by itself, or a list.

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{self, Deserialize, Deserializer, Error, IntoDeserializer, Visitor};

use super::{Range, Reach, Varied};
use crate::checked::{NotNegative, Positive, Share};
use crate::spanned::Spanned;

/// One value, or a list of some, each with its place.
#[derive(Debug)]
pub(crate) struct OneOrMore<T>(pub(crate) Vec<Spanned<T>>);

impl<T> OneOrMore<T> {
    /// Places of the values in the file, with the values.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &Spanned<T>> + Clone {
        self.0.iter()
    }
}

impl OneOrMore<String> {
    /// The first, and the range where there are more.
    pub(crate) fn split(self, of: Varied) -> (String, Option<Range>) {
        let names: Vec<String> = self.0.into_iter().map(Spanned::into_inner).collect();
        let first = names.first().cloned().unwrap_or_default();
        let reach = Reach::AnyOf(names.clone());
        (first, (names.len() > 1).then_some(Range { of, reach }))
    }
}

enum Raw<T> {
    One(T),
    More(Vec<Spanned<T>>),
}

struct RawVisitor<T>(PhantomData<T>);

macro_rules! as_one {
    ($($visit:ident: $type:ty),*) => {$(
        fn $visit<E: Error>(self, value: $type) -> Result<Raw<T>, E> {
            T::deserialize(value.into_deserializer()).map(Raw::One)
        }
    )*};
}

impl<'de, T: Deserialize<'de>> Visitor<'de> for RawVisitor<T> {
    type Value = Raw<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value or a list of values")
    }

    as_one!(visit_str: &str, visit_string: String, visit_bool: bool, visit_i64: i64, visit_u64: u64, visit_f64: f64);

    fn visit_map<A: de::MapAccess<'de>>(self, map: A) -> Result<Raw<T>, A::Error> {
        T::deserialize(MapAccessDeserializer::new(map)).map(Raw::One)
    }

    fn visit_seq<A: de::SeqAccess<'de>>(self, list: A) -> Result<Raw<T>, A::Error> {
        Vec::deserialize(SeqAccessDeserializer::new(list)).map(Raw::More)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Raw<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(RawVisitor(PhantomData))
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for OneOrMore<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let raw = Spanned::<Raw<T>>::deserialize(deserializer)?;
        let span = raw.span();
        match raw.into_inner() {
            Raw::One(value) => Ok(Self(vec![Spanned::new(span, value)])),
            Raw::More(values) if values.is_empty() => {
                Err(D::Error::custom("this list must hold something"))
            }
            Raw::More(values) => Ok(Self(values)),
        }
    }
}

/// A value by itself or a list of values of the same form.
fn one_or_list(one: &Schema, list: serde_json::Value) -> Schema {
    let mut array = json_schema!({ "type": "array", "items": one });
    if let (Some(array), Some(more)) = (array.as_object_mut(), list.as_object()) {
        array.extend(more.clone());
    }
    json_schema!({ "anyOf": [one, array] })
}

impl<T: JsonSchema> JsonSchema for OneOrMore<T> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        format!("OneOrMore_{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let one = generator.subschema_for::<T>();
        one_or_list(&one, serde_json::json!({ "minItems": 1 }))
    }
}

impl<T: JsonSchema> JsonSchema for Drawn<T> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        format!("Drawn_{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let one = generator.subschema_for::<T>();
        one_or_list(&one, serde_json::json!({ "minItems": 2, "maxItems": 2 }))
    }
}

/// The form of a severity: more than 0, 1 at most, or two of those.
pub(crate) fn severity_schema(_generator: &mut SchemaGenerator) -> Schema {
    let one = json_schema!({ "type": "number", "exclusiveMinimum": 0, "maximum": 1 });
    one_or_list(&one, serde_json::json!({ "minItems": 2, "maxItems": 2 }))
}

/// A quantity, or the two between which it is drawn.
#[derive(Debug)]
pub(crate) struct Drawn<T>(OneOrMore<T>);

impl<T: Copy + Into<f64>> Drawn<T> {
    /// The values as written, one or two, with their places in the file.
    pub(crate) fn ends(&self) -> impl Iterator<Item = (f64, std::ops::Range<usize>)> {
        self.0
            .iter()
            .map(|end| ((*end.get_ref()).into(), end.span()))
    }

    /// The value, or the low end of the range together with the range.
    pub(crate) fn split(&self, of: Varied) -> (f64, Option<Range>) {
        let ends: Vec<f64> = self.ends().map(|(value, _)| value).collect();
        match ends[..] {
            [low, high] => {
                let reach = Reach::Between(low, high);
                (low, Some(Range { of, reach }))
            }
            _ => (ends.first().copied().unwrap_or(0.0), None),
        }
    }
}

impl<'de, T: Deserialize<'de> + Copy + Into<f64>> Deserialize<'de> for Drawn<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let values = Spanned::<Raw<T>>::deserialize(deserializer)?;
        let span = values.span();
        let list = match values.into_inner() {
            Raw::One(value) => return Ok(Self(OneOrMore(vec![Spanned::new(span, value)]))),
            Raw::More(list) => list,
        };
        match &list[..] {
            [low, high] if (*low.get_ref()).into() < (*high.get_ref()).into() => {
                Ok(Self(OneOrMore(list)))
            }
            [_, _] => Err(D::Error::custom(
                "a range goes from its low end to its high end",
            )),
            _ => Err(D::Error::custom(
                "a range has two values, its low end and its high end",
            )),
        }
    }
}

impl From<Share> for f64 {
    fn from(share: Share) -> Self {
        share.0
    }
}

impl<Q: Into<f64>> From<Positive<Q>> for f64 {
    fn from(positive: Positive<Q>) -> Self {
        positive.0.into()
    }
}

impl<Q: Into<f64>> From<NotNegative<Q>> for f64 {
    fn from(quantity: NotNegative<Q>) -> Self {
        quantity.0.into()
    }
}
