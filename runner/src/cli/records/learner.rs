//! `coldtrail records learner`: how a person does over time, how sure they are, and what to practise next.

use std::fmt::Write as _;

use scenarios::Library;

use super::export::person;
use super::rows::results;
use crate::figures::calibration::{BINS, curve};
use crate::figures::next::{Subject, next};
use crate::figures::progress::{Change, progress};
use crate::figures::report::text::{Side, table};
use crate::grade::name_of;
use crate::records::Office;
use crate::records::office::now_ms;
use crate::records::store::Filter;

/// What is named of what to practise: nobody practises twenty things next.
const NEXT_TOLD: usize = 6;

/// The page of a person; `by` is a day by which it has to be known, Unix s.
pub(super) fn page(
    library: &Library,
    office: &Office,
    name: &str,
    by: Option<i64>,
) -> Result<String, String> {
    let person = person(office, name)?;
    let filter = Filter {
        candidate: Some(person.id.clone()),
        ..Filter::default()
    };
    let found = results(library, office, &filter).map_err(|why| why.to_string())?;
    let rows = found.rows;
    if rows.is_empty() {
        return Err(format!("{} has finished no sitting yet", person.name));
    }
    let bank = &library.bank;
    let named = |id: &str| {
        let mut all = bank.competencies().iter();
        all.find(|one| one.id == id)
            .map_or(id, |one| &one.name)
            .to_owned()
    };
    let mut page = format!("{}\n\n", person.name);

    let heads = ["competency", "sittings", "before", "lately", ""].map(str::to_owned);
    let mut lines = vec![heads.to_vec()];
    for one in progress(&rows) {
        let change = match one.change {
            Change::Better => "better",
            Change::Worse => "worse",
            Change::NotTold => "no more than luck",
            Change::TooFew => "too few to tell",
        };
        lines.push(vec![
            named(&one.competency),
            one.steps.len().to_string(),
            one.before
                .map_or("-".to_owned(), |mark| format!("{mark:.0}")),
            format!("{:.0}", one.recent),
            change.to_owned(),
        ]);
    }
    let sides = [
        Side::Left,
        Side::Right,
        Side::Right,
        Side::Right,
        Side::Left,
    ];
    page.push_str(&table(&sides, &lines));

    let stated: Vec<_> = rows
        .iter()
        .flat_map(|row| &row.confidences)
        .copied()
        .collect();
    page.push_str("\nHow sure, and how often it was so\n");
    match curve(&stated, BINS) {
        None => page.push_str("  No confidence was stated.\n"),
        Some(curve) => {
            for bin in &curve.bins {
                let _ = writeln!(
                    page,
                    "  said {:>3.0} %, was so {:>3.0} % of {}",
                    100.0 * bin.stated,
                    100.0 * bin.so,
                    bin.count
                );
            }
            let _ = writeln!(
                page,
                "  Brier's score {:.2}: 0 is best, 0.25 is fifty-fifty on everything.",
                curve.brier
            );
        }
    }

    page.push_str("\nTo practise next, and how likely what was learnt then is still there\n");
    for one in next(&rows, now_ms() / 1000, by).iter().take(NEXT_TOLD) {
        let subject = match &one.subject {
            Subject::Competency(id) => named(id),
            Subject::FailureMode(id) => name_of(bank, id),
        };
        let _ = write!(page, "  {:>3.0} %  {subject}", 100.0 * one.now);
        if by.is_some() {
            let _ = write!(
                page,
                "; on the day {:.0} %, practised now {:.0} %",
                100.0 * one.left_alone,
                100.0 * one.practised
            );
        }
        page.push('\n');
    }
    page.push_str("How fast things fade was fitted to other people's cards, not to work in a bay: take the order, not the number.\n");
    Ok(page)
}
