//! A car run for a table.

use std::fmt;
use std::sync::Arc;

use scenarios::Case;
use sim_core::car::Car;
use sim_core::fluid::Fluid;
use sim_core::random::Draws;

use crate::action::{Action, Control};
use crate::record::{Cell, Channel, Row, columns};
use crate::session::{Refusal, Session, Watcher};

/// One thing done to the car, and the line of the script that asked for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Line of the script, from 1.
    pub line: usize,
    /// What is done.
    pub what: Doing,
}

/// What may be done in a run: it has every instrument in it already.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// Turn a control.
    Turn(Control),
    /// Let time pass, s.
    Wait(f64),
}

/// What to run, how long, and how often to write a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Time between rows, s.
    pub every_s: f64,
    /// Rows after the one at 0 s.
    pub intervals: usize,
    /// Controls turned at 0 s, all at once.
    pub at_start: Vec<Control>,
    /// What follows, each action taking the time it takes in practice.
    pub then: Vec<Step>,
    /// Whether the last column names the faults and how bad they are.
    pub label: bool,
}

/// Why a run did not come to its end.
#[derive(Clone, Debug, PartialEq)]
pub struct NotRun<E> {
    /// Line of the script it was at.
    pub line: Option<usize>,
    /// What stood in the way.
    pub why: Obstacle<E>,
}

/// What stood in the way.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle<E> {
    /// The car does not allow it, or the model could not follow.
    Refused(Refusal),
    /// A row could not be handed on.
    Row(E),
}

impl<E: fmt::Display> fmt::Display for NotRun<E> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        match &self.why {
            Obstacle::Refused(refusal) => refusal.fmt(f),
            Obstacle::Row(error) => error.fmt(f),
        }
    }
}

/// First stream of the seed that rows draw their errors from: behind those that make the car and
/// those of practice's readings.
const ROW_STREAM: u64 = 1 << 32;

/// Runs a car and hands on the columns' names, then a row at 0 s and after every interval.
///
/// A row shows the car before what is done at that very moment: the first one the car as it was
/// handed over. The errors of a row come from a stream of its own, so a row does not depend on
/// how many cells earlier ones had.
///
/// # Errors
/// [`NotRun`] where the car refuses an action, stalls, or `take` gives an error.
pub fn record<E>(
    case: &Case,
    fluid: Arc<Fluid>,
    plan: &Plan,
    mut take: impl FnMut(Row) -> Result<(), E>,
) -> Result<(), NotRun<E>> {
    let mut session = Session::of(case, fluid);
    // A table holds right uses: at a height its gauge set has been zeroed in the air there.
    session.zero_gauges();
    let channels = Tips(Channel::all(session.car()));
    let label = plan.label.then(|| label(case));
    let names = names(&channels, label.is_some());
    let row = |why| NotRun {
        line: None,
        why: Obstacle::Row(why),
    };
    take(names.into_iter().map(Cell::Word).collect()).map_err(row)?;
    let mut run = Run {
        session,
        channels,
        seed: case.seed,
        every_s: plan.every_s,
        intervals: plan.intervals,
        rows: 0,
        elapsed_s: 0.0,
        label,
    };
    take(run.row()).map_err(row)?;
    for control in &plan.at_start {
        run.session
            .turn(control)
            .map_err(|refusal| refused(None, refusal))?;
    }
    for step in &plan.then {
        let line = Some(step.line);
        let seconds = match &step.what {
            Doing::Wait(seconds) => *seconds,
            Doing::Turn(control) => run
                .session
                .turn(control)
                .map_err(|refusal| refused(line, refusal))?,
        };
        run.pass(seconds, line, &mut take)?;
    }
    run.pass(f64::INFINITY, None, &mut take)
}

fn refused<E>(line: Option<usize>, refusal: Refusal) -> NotRun<E> {
    NotRun {
        line,
        why: Obstacle::Refused(refusal),
    }
}

fn names(channels: &Tips, label: bool) -> Vec<String> {
    let mut names = vec!["time_s".to_owned()];
    names.extend(columns::CONTROLS.iter().map(|(name, _)| (*name).to_owned()));
    for channel in &channels.0 {
        let name = channel.name();
        names.extend([format!("{name}_true"), format!("{name}_read")]);
    }
    names.extend(columns::STATE.iter().map(|(name, _)| (*name).to_owned()));
    if label {
        names.push("faults".to_owned());
    }
    names
}

/// What is wrong with the car, for whoever makes labelled data and asked for it.
fn label(case: &Case) -> String {
    let faults: Vec<String> = case
        .present()
        .map(|(mode, severity)| format!("{}={severity}", mode.id))
        .collect();
    if faults.is_empty() {
        "none".to_owned()
    } else {
        faults.join(";")
    }
}

/// Every instrument's tip, following the car from step to step.
struct Tips(Vec<Channel>);

impl Watcher for Tips {
    fn watch(&mut self, car: &Car, step_s: f64) {
        for channel in &mut self.0 {
            channel.follow(car, step_s);
        }
    }
}

struct Run {
    session: Session,
    channels: Tips,
    seed: u64,
    every_s: f64,
    intervals: usize,
    /// Rows written.
    rows: usize,
    elapsed_s: f64,
    label: Option<String>,
}

impl Run {
    /// Lets time pass, no longer than the run, with a row wherever one is due.
    fn pass<E>(
        &mut self,
        seconds: f64,
        line: Option<usize>,
        take: &mut impl FnMut(Row) -> Result<(), E>,
    ) -> Result<(), NotRun<E>> {
        let end_s = self.elapsed_s + seconds;
        while self.rows <= self.intervals {
            // Counted from 0 s each time, so that no rounding gathers.
            let due_s = self.rows as f64 * self.every_s;
            // What is left of a microsecond is rounding.
            if due_s > end_s + 1e-6 {
                return self.advance_to(end_s, line);
            }
            self.advance_to(due_s, line)?;
            let row = self.row();
            take(row).map_err(|why| NotRun {
                line,
                why: Obstacle::Row(why),
            })?;
        }
        Ok(())
    }

    fn advance_to<E>(&mut self, at_s: f64, line: Option<usize>) -> Result<(), NotRun<E>> {
        let seconds = at_s - self.elapsed_s;
        if seconds > 0.0 {
            self.session
                .perform(&Action::Wait(seconds), &mut self.channels)
                .map_err(|refusal| refused(line, refusal))?;
            self.elapsed_s = at_s;
        }
        Ok(())
    }

    fn row(&mut self) -> Row {
        let car = self.session.car();
        let mut draws = Draws::new(self.seed, ROW_STREAM + self.rows as u64);
        let mut row = vec![Cell::time(self.elapsed_s)];
        row.extend(columns::CONTROLS.iter().map(|(_, cell)| cell(car)));
        for channel in &self.channels.0 {
            row.extend(channel.cells(car, &mut draws));
        }
        row.extend(columns::STATE.iter().map(|(_, cell)| cell(car)));
        row.extend(self.label.clone().map(Cell::Word));
        self.rows += 1;
        row
    }
}
