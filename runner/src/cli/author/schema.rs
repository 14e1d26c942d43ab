//! `coldtrail author schema`: the form of a file, for an editor to complete and check.

use clap::{Args, ValueEnum};
use scenarios::Bank;
use scenarios::schema::{KINDS, Kind, schema};

use crate::cli::EXIT_OK;

/// What `coldtrail author schema` is asked.
#[derive(Args, Clone, Debug)]
pub struct SchemaArgs {
    /// The kind of file
    #[arg(value_enum, default_value = "case")]
    kind: Named,
}

/// A kind of file as the command line names it: the names are those of [`KINDS`].
#[derive(Clone, Copy, Debug)]
struct Named(usize);

impl ValueEnum for Named {
    fn value_variants<'a>() -> &'a [Self] {
        const ALL: [Named; KINDS.len()] = {
            let mut all = [Named(0); KINDS.len()];
            let mut index = 0;
            while index < all.len() {
                all[index] = Named(index);
                index += 1;
            }
            all
        };
        &ALL
    }

    fn to_possible_value(&self) -> Option<clap::builder::PossibleValue> {
        let (name, _) = KINDS.get(self.0)?;
        Some(clap::builder::PossibleValue::new(*name))
    }
}

/// Prints a schema.
///
/// # Errors
/// A sentence where it cannot be written as JSON.
pub fn run(bank: &Bank, args: &SchemaArgs) -> Result<(String, u8), String> {
    let kind = KINDS.get(args.kind.0).map_or(Kind::Case, |(_, kind)| *kind);
    let text = serde_json::to_string_pretty(&schema(kind, bank));
    let text = text.map_err(|error| error.to_string())?;
    Ok((text + "\n", EXIT_OK))
}
