//! Checked numbers as an editor sees them.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::{List, NotNegative, Positive, Share, TurnsPerSecond, Version};
use crate::quantity::{Ratio, RotationalSpeed, unsigned};

macro_rules! checked {
    ($([$($generic:tt)*] $type:ty, $name:expr, |$generator:ident| $schema:expr;)*) => {$(
        impl<$($generic)*> JsonSchema for $type {
            fn schema_name() -> Cow<'static, str> {
                Cow::Owned($name)
            }

            fn json_schema($generator: &mut SchemaGenerator) -> Schema {
                $schema
            }
        }
    )*};
}

checked! {
    [Q: JsonSchema] Positive<Q>, format!("Positive{}", Q::schema_name()), |generator| {
        without_sign::<Q>(generator, "exclusiveMinimum")
    };
    [Q: JsonSchema] NotNegative<Q>, format!("NotNegative{}", Q::schema_name()), |generator| {
        without_sign::<Q>(generator, "minimum")
    };
    [] Share, "Share".to_owned(), |generator| without_sign::<Ratio>(generator, "minimum");
    [] TurnsPerSecond, "TurnsPerSecond".to_owned(), |generator| {
        without_sign::<RotationalSpeed>(generator, "minimum")
    };
    [] Version, "Version".to_owned(), |_generator| {
        json_schema!({ "type": "integer", "const": 1, "description": "The version of the form." })
    };
}

impl<T: JsonSchema, const MOST: usize> JsonSchema for List<T, MOST> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        Cow::Owned(format!("UpTo{MOST}{}", T::schema_name()))
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut schema = Vec::<T>::json_schema(generator);
        schema.insert("maxItems".to_owned(), MOST.into());
        schema
    }
}

fn without_sign<Q: JsonSchema>(generator: &mut SchemaGenerator, bound: &str) -> Schema {
    let mut schema = Q::json_schema(generator);
    unsigned(&mut schema, bound);
    schema
}
