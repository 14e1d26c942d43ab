//! What a case trains: the names that results are counted by.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::checked::Version;
use crate::fault::is_kebab;
use crate::spanned::Spanned;
use crate::{LoadError, Problem, load};

/// Something a person can be good at.
#[derive(Clone, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(deny_unknown_fields)]
pub struct Competency {
    /// Its name in files.
    pub id: String,
    /// What it is called on a page.
    pub name: String,
}

/// A file as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    competency: Vec<Spanned<Competency>>,
}

impl Competency {
    /// Reads every competency of a file, in its order.
    ///
    /// # Errors
    /// A [`LoadError`] where an id is none or is there twice, or a name says nothing.
    pub fn read_all(file_name: &str, text: &str) -> Result<Vec<Self>, LoadError> {
        let file: File = load::parse(file_name, text)?;
        let mut problems = Vec::new();
        let mut all: Vec<Self> = Vec::new();
        for written in file.competency {
            let span = written.span();
            let one = written.into_inner();
            let wrong = if !is_kebab(&one.id) {
                Some("an id is made of small letters, digits and single hyphens".to_owned())
            } else if all.iter().any(|known| known.id == one.id) {
                Some(format!("two competencies are called `{}`", one.id))
            } else if one.name.trim().is_empty() {
                Some(format!("`{}` needs a name", one.id))
            } else {
                None
            };
            problems.extend(wrong.map(|why| Problem::new(why).at(span)));
            all.push(one);
        }
        if problems.is_empty() {
            Ok(all)
        } else {
            Err(LoadError::new(file_name, text, problems))
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn read(entries: &[(&str, &str)]) -> Result<Vec<Competency>, LoadError> {
        let entry = |(id, name): &(&str, &str)| {
            format!("[[competency]]\nid = \"{id}\"\nname = \"{name}\"\n")
        };
        let text: String = entries.iter().map(entry).collect();
        Competency::read_all("a.toml", &format!("version = 1\n{text}"))
    }

    #[test]
    fn names_are_read_in_their_order() {
        let all = read(&[("leaks", "finding the leak"), ("drive", "belts")]).unwrap();
        let ids: Vec<&str> = all.iter().map(|one| &*one.id).collect();
        assert_eq!(ids, ["leaks", "drive"]);
    }

    #[test]
    fn what_is_wrong_is_said_at_its_place() {
        let said = [
            (&[("Leaks", "x")][..], "small letters"),
            (&[("leaks", "x"), ("leaks", "y")], "two competencies"),
            (&[("leaks", " ")], "needs a name"),
        ];
        for (entries, words) in said {
            let error = read(entries).unwrap_err().to_string();
            assert!(
                error.contains(words) && error.contains("a.toml:"),
                "{error}"
            );
        }
    }
}
