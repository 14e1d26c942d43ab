//! `coldtrail records class`: who stands where on a form, and how its tasks did.

use std::collections::BTreeMap;

use scenarios::Library;
use scenarios::form::Form;

use super::rows::results;
use crate::figures::item::items;
use crate::figures::report::class::{FormFacts, class};
use crate::figures::report::tasks;
use crate::figures::rows::Sittings;
use crate::invigilate::open::hash_of;
use crate::records::Office;
use crate::records::hex;
use crate::records::store::Filter;

/// What a form says of itself to a page of figures.
pub(super) fn facts(library: &Library, form: &Form) -> FormFacts {
    let competencies = library.bank.competencies().iter();
    // Every seed draws the same weights: they are the slots'.
    let weights = (1..)
        .zip(form.draw(0))
        .map(|(task, one)| (task, one.weight));
    FormFacts {
        title: form.title.clone(),
        cut: form.pass.mark,
        cut_error: form.pass.standard_error.unwrap_or(0.0),
        weights: weights.collect(),
        sat_otherwise: 0,
        competencies: competencies
            .map(|one| (one.id.clone(), one.name.clone()))
            .collect(),
    }
}

/// The class on a form, and its tasks.
pub(crate) struct Pages {
    /// Both as text.
    pub text: String,
    /// The class as one page of HTML.
    pub class: String,
    /// The tasks likewise.
    pub tasks: String,
}

/// The class on a form, and its tasks.
///
/// # Errors
/// A sentence where nobody has finished it.
pub(crate) fn pages(library: &Library, office: &Office, form: &Form) -> Result<Pages, String> {
    let filter = Filter {
        form: Some(form.id.clone()),
        ..Filter::default()
    };
    let found = results(library, office, &filter).map_err(|why| why.to_string())?;
    if found.rows.is_empty() {
        return Err(format!("nobody has finished the form `{}` yet", form.id));
    }
    let sittings = Sittings::of(&found.rows).map_err(|why| why.to_string())?;
    let people = office.store().people().map_err(|why| why.to_string())?;
    let names: BTreeMap<String, String> = people
        .into_iter()
        .map(|person| (person.id, person.name))
        .collect();
    let now = hex(&hash_of(form));
    let others = found.texts.iter().filter(|(text, _)| **text != now);
    let facts = FormFacts {
        sat_otherwise: others.map(|(_, count)| count).sum(),
        ..facts(library, form)
    };
    let report = class(facts, &sittings, &names, &found.verdicts);
    let of_tasks = items(&sittings.first_of_each());
    let text = format!("{}\n{}", report.text(), tasks::text(&of_tasks));
    Ok(Pages {
        text,
        class: report.html(),
        tasks: tasks::html(&form.title, &of_tasks),
    })
}
