//! A value and where in the text it was written.

use std::borrow::Borrow;
use std::borrow::Cow;
use std::ops::Range;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Deserialize;

/// A value with the bytes of the text it was read from. It is the TOML crate's own, in a coat of
/// ours so that it can tell a schema what it looks like: just as the value does.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord)]
#[serde(transparent)]
pub struct Spanned<T>(toml::Spanned<T>);

impl<T> Spanned<T> {
    /// A value that was read from these bytes.
    pub(crate) fn new(span: Range<usize>, value: T) -> Self {
        Self(toml::Spanned::new(span, value))
    }

    /// The bytes it was read from.
    pub fn span(&self) -> Range<usize> {
        self.0.span()
    }

    /// The value.
    pub fn get_ref(&self) -> &T {
        self.0.get_ref()
    }

    /// The value, without its place.
    pub fn into_inner(self) -> T {
        self.0.into_inner()
    }
}

impl Borrow<str> for Spanned<String> {
    fn borrow(&self) -> &str {
        self.get_ref()
    }
}

impl<T: JsonSchema> JsonSchema for Spanned<T> {
    fn inline_schema() -> bool {
        T::inline_schema()
    }

    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }

    fn schema_id() -> Cow<'static, str> {
        T::schema_id()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        T::json_schema(generator)
    }
}
