//! The class table: who stands where, and how far the form can be relied on.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::text::{PAGE, Side, filled, plain};
use super::{Verdict, html, text, wall};
use crate::figures::competency::{CompetencyMark, competencies, weakest};
use crate::figures::decision::{Decision, decision};
use crate::figures::enough::{FAIR_FROM, FEWEST};
use crate::figures::matrix::Matrix;
use crate::figures::reliability::{NoReliability, Reliability, reliability};
use crate::figures::rows::{Sitting, Sittings};
use crate::figures::standard::Standing;

/// A sitting's line.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassRow {
    /// Who sat, as the page calls them.
    pub name: String,
    /// The sitting's id.
    pub sitting: String,
    /// Weighted mean mark, 0 to 100.
    pub mark: f64,
    /// What was decided; `None` of a sitting that earns no verdict.
    pub verdict: Option<Verdict>,
    /// Where the mark stands beside the pass mark.
    pub standing: Standing,
    /// Slips grave enough to fail for.
    pub grave_slips: u32,
    /// Hints taken.
    pub hints: u32,
    /// Time at the wall, ms.
    pub wall_ms: u64,
    /// The competency with the lowest mark.
    pub weakest: Option<CompetencyMark>,
}

/// What the form says of itself.
#[derive(Clone, Debug, PartialEq)]
pub struct FormFacts {
    /// Its title.
    pub title: String,
    /// The mark that passes, 0 to 100.
    pub cut: f64,
    /// Its standard error; 0 where no panel set it.
    pub cut_error: f64,
    /// Weights of its tasks; a task without one has weight 1.
    pub weights: BTreeMap<u32, f64>,
    /// Sittings of another text of this form than the one that is here.
    pub sat_otherwise: usize,
    /// Names of competencies by id; an id stands for itself where it has none.
    pub competencies: BTreeMap<String, String>,
}

impl FormFacts {
    /// What the page calls a competency.
    fn name<'a>(&'a self, id: &'a str) -> &'a str {
        self.competencies.get(id).map_or(id, String::as_str)
    }

    /// A sitting's weighted mean mark.
    #[must_use]
    pub fn mark(&self, sitting: &Sitting<'_>) -> f64 {
        let (mut sum, mut weights) = (0.0, 0.0);
        for result in &sitting.results {
            let weight = self.weights.get(&result.task).copied().unwrap_or(1.0);
            sum += weight * result.mark;
            weights += weight;
        }
        if weights > 0.0 { sum / weights } else { 0.0 }
    }
}

/// A class on a form.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassReport {
    /// The form.
    pub form: FormFacts,
    /// Sittings, best mark first; of the same mark, by name.
    pub rows: Vec<ClassRow>,
    /// The form's reliability, from everybody's first sitting.
    pub reliability: Result<Reliability, NoReliability>,
    /// How reliable the decision by the mark is; of too few people nothing is told.
    pub decision: Option<Decision>,
    /// Marks of the class by competency, weakest first.
    pub competencies: Vec<CompetencyMark>,
}

/// The report of all sittings on one form. `names` are what people are called, by candidate; `verdicts`
/// what was decided, by sitting.
#[must_use]
pub fn class(
    form: FormFacts,
    sittings: &Sittings<'_>,
    names: &BTreeMap<String, String>,
    verdicts: &BTreeMap<String, Verdict>,
) -> ClassReport {
    let matrix = Matrix::of(&sittings.first_of_each()).weighted(&form.weights);
    let reliability = reliability(&matrix);
    let error = reliability.as_ref().map_or(0.0, |it| it.standard_error);
    let mut rows: Vec<ClassRow> = sittings
        .all()
        .iter()
        .map(|sitting| {
            let mark = form.mark(sitting);
            let name = names.get(sitting.candidate()).map(String::as_str);
            ClassRow {
                name: name.unwrap_or(sitting.candidate()).to_owned(),
                sitting: sitting.id().to_owned(),
                mark,
                verdict: verdicts.get(sitting.id()).cloned(),
                standing: Standing::of(mark, error, form.cut, form.cut_error),
                grave_slips: sitting.grave_slips(),
                hints: sitting.results.iter().map(|one| one.hints).sum(),
                wall_ms: sitting.results.iter().map(|one| one.wall_ms).sum(),
                weakest: weakest(sitting),
            }
        })
        .collect();
    rows.sort_by(|a, b| b.mark.total_cmp(&a.mark).then_with(|| a.name.cmp(&b.name)));
    let results = sittings.all().iter().flat_map(|one| &one.results).copied();
    let mut competencies = competencies(results);
    competencies.sort_by(|a, b| a.mark.total_cmp(&b.mark));
    ClassReport {
        decision: reliability
            .as_ref()
            .ok()
            .filter(|it| it.people >= FEWEST)
            .and_then(|it| decision(it, form.cut)),
        form,
        rows,
        reliability,
        competencies,
    }
}

const HEADS: [(&str, bool); 7] = [
    ("name", false),
    ("mark", true),
    ("verdict", false),
    ("grave", true),
    ("hints", true),
    ("min", true),
    ("weakest in", false),
];

impl ClassReport {
    fn cells(&self, row: &ClassRow) -> Vec<String> {
        let verdict = match (&row.verdict, self.is_near(row)) {
            (Some(verdict), false) if verdict.passes => "pass",
            (Some(verdict), true) if verdict.passes => "pass, near",
            (Some(_), false) => "fail",
            (Some(_), true) => "fail, near",
            (None, _) => "-",
        };
        let weakest = row
            .weakest
            .as_ref()
            .map(|it| format!("{} {:.0}", self.form.name(&it.competency), it.mark));
        vec![
            row.name.clone(),
            format!("{:.1}", row.mark),
            verdict.to_owned(),
            row.grave_slips.to_string(),
            row.hints.to_string(),
            wall(row.wall_ms),
            weakest.unwrap_or_default(),
        ]
    }

    /// Whether the mark alone decided, and nearly the other way. Where another rule decided, how near the mark
    /// was is no comfort; of too few people nobody knows what is near.
    fn is_near(&self, row: &ClassRow) -> bool {
        let enough = self
            .reliability
            .as_ref()
            .is_ok_and(|it| it.people >= FEWEST);
        let decided = row.verdict.as_ref();
        enough
            && row.standing.is_near()
            && decided.is_some_and(|it| it.passes == row.standing.passes)
    }

    /// What the table cannot say by itself, a paragraph each.
    fn remarks(&self) -> Vec<String> {
        let mut remarks = Vec::new();
        let form = &self.form;
        let mut cut = format!("Pass mark {:.1}", form.cut);
        if form.cut_error > 0.0 {
            let _ = write!(
                cut,
                ", set by a panel with a standard error of {:.1}",
                form.cut_error
            );
        }
        cut.push('.');
        if self.rows.iter().any(|row| self.is_near(row)) {
            cut.push_str(" `near`: within one standard error of it, so another form might as well have said the opposite; look at the whole report before much depends on it.");
        }
        cut.push_str(" `grave`: slips grave enough to fail for, whatever the mark.");
        remarks.push(cut);
        if form.sat_otherwise > 0 {
            remarks.push(format!(
                "Sittings of another text of this form than the one that is here: {}. Their verdicts stand as they were given; pass mark and weights above are not theirs.",
                form.sat_otherwise
            ));
        }
        match &self.reliability {
            Ok(found) => {
                let few = if found.people < FAIR_FROM {
                    format!(" With {} people this is a hint only.", found.people)
                } else {
                    String::new()
                };
                let left_out = match found.left_out {
                    0 => String::new(),
                    count => format!(" Sittings that lack a task and are not counted: {count}."),
                };
                remarks.push(format!(
                    "Reliability (alpha) {:.2}, 95 % interval {:.2} to {:.2}, from {} people and {} tasks; standard error of a mark {:.1}.{few}{left_out}",
                    found.alpha, found.low, found.high, found.people, found.tasks, found.standard_error
                ));
            }
            Err(why) => remarks.push(format!("No reliability: {why}.")),
        }
        if let Some(found) = &self.decision {
            remarks.push(format!(
                "On another form of the same blueprint {:.0} of 100 would get the same verdict by the mark (kappa {:.2}); about {:.0} of 100 pass by luck and {:.0} fail by it.",
                100.0 * found.consistency,
                found.kappa,
                100.0 * found.false_pass,
                100.0 * found.false_fail
            ));
        }
        remarks
    }

    fn competency_rows(&self) -> Vec<Vec<String>> {
        self.competencies
            .iter()
            .map(|one| {
                let name = self.form.name(&one.competency).to_owned();
                vec![name, format!("{:.1}", one.mark), one.tasks.to_string()]
            })
            .collect()
    }

    /// The report as text.
    #[must_use]
    pub fn text(&self) -> String {
        let mut page = filled(&plain(&self.form.title));
        page.push_str(&"-".repeat(PAGE));
        page.push('\n');
        let heads = HEADS.map(|(head, _)| head.to_owned()).to_vec();
        let rows = self.rows.iter().map(|row| self.cells(row));
        let rows: Vec<Vec<String>> = [heads].into_iter().chain(rows).collect();
        page.push_str(&text::table(&sides(&HEADS), &rows));
        for remark in self.remarks() {
            page.push('\n');
            page.push_str(&filled(&remark));
        }
        if !self.competencies.is_empty() {
            let heads = COMPETENCY_HEADS.map(|(head, _)| head.to_owned()).to_vec();
            let rows: Vec<Vec<String>> =
                [heads].into_iter().chain(self.competency_rows()).collect();
            page.push('\n');
            page.push_str(&text::table(&sides(&COMPETENCY_HEADS), &rows));
        }
        page
    }

    /// The report as a page.
    #[must_use]
    pub fn html(&self) -> String {
        let mut body = format!("<h1>{}</h1>\n", html::escaped(&self.form.title));
        let _ = writeln!(
            body,
            "<p class=\"under\">The class: {} sittings</p>",
            self.rows.len()
        );
        let rows: Vec<Vec<String>> = self.rows.iter().map(|row| self.cells(row)).collect();
        body.push_str(&html::table(&HEADS, &rows));
        for remark in self.remarks() {
            let _ = writeln!(body, "<p>{}</p>", html::escaped(&remark));
        }
        if !self.competencies.is_empty() {
            body.push_str("<h2>By competency, weakest first</h2>\n");
            body.push_str(&html::table(&COMPETENCY_HEADS, &self.competency_rows()));
        }
        html::page(&self.form.title, &body)
    }
}

const COMPETENCY_HEADS: [(&str, bool); 3] = [
    ("competency", false),
    ("mean mark", true),
    ("results", true),
];

/// Sides of a table's columns.
pub(super) fn sides(heads: &[(&str, bool)]) -> Vec<Side> {
    heads
        .iter()
        .map(|(_, right)| if *right { Side::Right } else { Side::Left })
        .collect()
}
