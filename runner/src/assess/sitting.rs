//! A candidate's sitting: the tasks a seed drew, and what has been done at them.

use std::fmt;

use scenarios::form::{Form, Item, Task};
use scenarios::question::{Dealt, NotAnAnswer};
use scenarios::units::UnitSystem;
use scenarios::{Case, DealError, Library};
use sim_core::fluid::FluidError;

use crate::action::{Action, Control, EngineSpeed, GaugeStep, NotAnAction, Work};
use crate::bay::{Bay, NotTaken, Outcome};

/// Something a candidate does.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// Something in the bay.
    Act(Action),
    /// An answer to the question that waits, as typed.
    Answer(String),
    /// Goes on to the next task; what is not done of this one stays so.
    Leave,
    /// Ends the sitting.
    HandIn,
    /// Whoever looks after the sitting gives it so many minutes more.
    MoreTime(u32),
}

/// Kinds of steps as a journal names them.
const ACTED: &str = "acted";
const ANSWERED: &str = "answered";
const LEFT: &str = "left";
/// The kind of the entry that hands a sitting in.
pub const HANDED_IN: &str = "handed-in";
/// The kind of an entry that gives a sitting more time; its words are the minutes.
pub const MORE_TIME: &str = "more-time";

impl Step {
    /// Its kind and its words, as a journal keeps it.
    #[must_use]
    pub fn written(&self) -> (&'static str, String) {
        match self {
            Self::Act(action) => (ACTED, action.to_string()),
            Self::Answer(typed) => (ANSWERED, typed.clone()),
            Self::Leave => (LEFT, String::new()),
            Self::HandIn => (HANDED_IN, String::new()),
            Self::MoreTime(minutes) => (MORE_TIME, format!("{minutes} min")),
        }
    }

    /// A step from a journal; none where the kind is not a step's.
    ///
    /// # Errors
    /// [`NotAnAction`] where the words are none.
    pub fn read(kind: &str, words: &str) -> Result<Option<Self>, NotAnAction> {
        Ok(Some(match kind {
            ACTED => Self::Act(Action::parse(words)?),
            ANSWERED => Self::Answer(words.to_owned()),
            LEFT => Self::Leave,
            HANDED_IN => Self::HandIn,
            MORE_TIME => Self::MoreTime(minutes(words)),
            _ => return Ok(None),
        }))
    }
}

/// Minutes as [`Step::MoreTime`] is written; what is none gives nothing.
#[must_use]
pub fn minutes(words: &str) -> u32 {
    let number = words.split(' ').next().unwrap_or_default();
    number.parse().unwrap_or_default()
}

/// Minutes in ms.
#[must_use]
pub fn minutes_ms(minutes: u32) -> i64 {
    i64::from(minutes) * 60_000
}

/// A task with what was done at it.
#[derive(Clone, Debug)]
pub enum Given {
    /// A car in the bay.
    Case {
        /// The car.
        case: Box<Case>,
        /// Whether it is repaired and given back, too.
        repair: bool,
        /// What was done to it.
        actions: Vec<Action>,
    },
    /// A question.
    Question {
        /// It.
        dealt: Box<Dealt>,
        /// What was answered.
        answer: Option<String>,
    },
}

/// What a step gave the candidate.
#[derive(Clone, Debug, PartialEq)]
pub enum Taken {
    /// What an action showed.
    Acted(Box<Outcome>),
    /// The answer is taken; whether it is right nobody says before the end.
    Answered,
    /// The next task.
    Left,
    /// The end.
    HandedIn,
    /// There are so many minutes more.
    MoreTime(u32),
}

/// Why a step was not taken; the sitting is as it was.
#[derive(Clone, Debug, PartialEq)]
pub enum Refused {
    /// The bay does not take the action.
    NotTaken(NotTaken),
    /// It is no answer to the question.
    NotAnAnswer(NotAnAnswer),
    /// This form allows no hints.
    NoHints,
    /// The time on the shop clock for this car is over.
    ///
    /// Whether its diagnosis is concluded decides what is left to do.
    ShopTimeOver {
        /// It is concluded.
        is_concluded: bool,
    },
    /// The time for the sitting is over.
    WallTimeOver,
    /// A question waits, and not a car.
    QuestionWaits,
    /// A car waits, and not a question.
    CarWaits,
    /// The sitting has been handed in.
    HandedIn,
    /// The car cannot be brought in.
    NotBegun(NotBegun),
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotTaken(why) => why.fmt(f),
            Self::NotAnAnswer(why) => f.write_str(&why.0),
            Self::NoHints => f.write_str("this form allows no hints"),
            Self::ShopTimeOver { is_concluded } => write!(
                f,
                "the time on the shop clock for this car is over. What leaves it safe can still be done (engine off, couplings shut and off, pump off, test gas let out, caps on); then {}",
                if *is_concluded {
                    "`hand-over` the car, or `give-up`: leave it, and go on"
                } else {
                    "`conclude` what the readings show, or `give-up`: leave it, and go on"
                }
            ),
            Self::WallTimeOver => {
                f.write_str("the time for this sitting is over: it is handed in as it stands")
            }
            Self::QuestionWaits => f.write_str("a question waits for its answer, not a car"),
            Self::CarWaits => f.write_str("a car waits in the bay, not a question"),
            Self::HandedIn => f.write_str("this sitting has been handed in"),
            Self::NotBegun(why) => why.fmt(f),
        }
    }
}

impl std::error::Error for Refused {}

/// Why a sitting cannot be begun.
#[derive(Clone, Debug, PartialEq)]
pub enum NotBegun {
    /// A case cannot be dealt.
    Case(DealError),
    /// A question of this id cannot be dealt.
    Question(String),
    /// A car's refrigerant is not known.
    Fluid(FluidError),
}

impl fmt::Display for NotBegun {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Case(error) => error.fmt(f),
            Self::Question(id) => write!(f, "the question `{id}` cannot be dealt"),
            Self::Fluid(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for NotBegun {}

impl From<FluidError> for NotBegun {
    fn from(error: FluidError) -> Self {
        Self::Fluid(error)
    }
}

/// A candidate's sitting.
#[derive(Clone, Debug)]
pub struct Sitting<'a> {
    library: &'a Library,
    form: &'a Form,
    units: UnitSystem,
    started_ms: i64,
    /// The latest moment there was: a clock that is set back gives nobody more time.
    latest_ms: i64,
    /// Time that was given beyond the form's, ms.
    more_ms: i64,
    /// Safety slips so far, over all cars.
    slips: usize,
    tasks: Vec<Task>,
    given: Vec<Given>,
    at: usize,
    /// The car in the bay, with the index of the task it belongs to: it stays until another task's is
    /// brought in, so that its last step can be told.
    bay: Option<(usize, Box<Bay>)>,
    handed_in: bool,
}

impl<'a> Sitting<'a> {
    /// A sitting begun at a moment on the wall clock, in milliseconds since 1970.
    ///
    /// # Errors
    /// [`NotBegun`] where a task cannot be dealt.
    pub fn new(
        library: &'a Library,
        form: &'a Form,
        (seed, units): (u64, UnitSystem),
        started_ms: i64,
    ) -> Result<Self, NotBegun> {
        let tasks = form.draw(seed);
        let given = tasks.iter().map(|task| match &task.item {
            Item::Case { id, repair } => {
                let case = Case::deal(&library.bank, id, task.seed).map_err(NotBegun::Case)?;
                Ok(Given::Case {
                    case: Box::new(case),
                    repair: *repair,
                    actions: Vec::new(),
                })
            }
            Item::Question(id) => {
                let question = library.questions.question(id);
                let dealt = question.and_then(|one| one.deal(task.seed, units));
                let dealt = dealt.ok_or_else(|| NotBegun::Question(id.clone()))?;
                Ok(Given::Question {
                    dealt: Box::new(dealt),
                    answer: None,
                })
            }
        });
        let given = given.collect::<Result<Vec<_>, NotBegun>>()?;
        Ok(Self {
            library,
            form,
            units,
            started_ms,
            latest_ms: started_ms,
            more_ms: 0,
            slips: 0,
            tasks,
            given,
            at: 0,
            bay: None,
            handed_in: false,
        })
    }

    /// The same, begun at another moment; nothing has been done in it yet.
    #[must_use]
    pub fn from(mut self, started_ms: i64) -> Self {
        self.started_ms = started_ms;
        self.latest_ms = started_ms;
        self
    }

    /// Kind and words of the step taken last, as a journal keeps it: with every fault by its id.
    #[must_use]
    pub fn written(&self, step: &Step) -> (&'static str, String) {
        match (step, self.bay().and_then(|bay| bay.actions().last())) {
            (Step::Act(_), Some(action)) => (ACTED, action.to_string()),
            _ => step.written(),
        }
    }

    /// Brings the car of the task that waits into the bay, where it is a car and not there yet.
    fn bring_in(&mut self) -> Result<(), NotBegun> {
        if self.bay.as_ref().is_some_and(|(of, _)| *of == self.at) {
            return Ok(());
        }
        self.bay = match self.given.get(self.at) {
            Some(Given::Case { case, .. }) => {
                let bay = Bay::new(&self.library.bank, case)?;
                Some((self.at, Box::new(bay)))
            }
            _ => None,
        };
        Ok(())
    }

    /// Carries a step out at a moment on the wall clock.
    ///
    /// # Errors
    /// [`Refused`]; the sitting is then as it was.
    pub fn take(&mut self, step: &Step, wall_ms: i64) -> Result<Taken, Refused> {
        if self.handed_in {
            return Err(Refused::HandedIn);
        }
        let is_candidates = !matches!(step, Step::HandIn | Step::MoreTime(_));
        if is_candidates && self.left_ms(wall_ms) < 0 {
            return Err(Refused::WallTimeOver);
        }
        self.latest_ms = self.latest_ms.max(wall_ms);
        match step {
            Step::Act(action) => self.act(action).map(|one| Taken::Acted(Box::new(one))),
            Step::Answer(typed) => {
                let Some(Given::Question { dealt, answer }) = self.given.get_mut(self.at) else {
                    return Err(Refused::CarWaits);
                };
                dealt.read(typed).map_err(Refused::NotAnAnswer)?;
                *answer = Some(typed.trim().to_owned());
                self.at += 1;
                Ok(Taken::Answered)
            }
            Step::Leave => {
                self.at += 1;
                Ok(Taken::Left)
            }
            Step::HandIn => {
                self.handed_in = true;
                Ok(Taken::HandedIn)
            }
            Step::MoreTime(minutes) => {
                self.more_ms += minutes_ms(*minutes);
                Ok(Taken::MoreTime(*minutes))
            }
        }
    }

    fn act(&mut self, action: &Action) -> Result<Outcome, Refused> {
        self.bring_in().map_err(Refused::NotBegun)?;
        let (
            Some((_, bay)),
            Some(Given::Case {
                repair, actions, ..
            }),
        ) = (&mut self.bay, self.given.get_mut(self.at))
        else {
            return Err(Refused::QuestionWaits);
        };
        if *action == Action::Hint && !self.form.hints {
            return Err(Refused::NoHints);
        }
        let ends = matches!(
            action,
            Action::Suspect { .. } | Action::Conclude(_) | Action::Work(Work::HandOver)
        );
        if bay.clock_s() >= self.form.shop_s && !ends && !makes_safe(action) {
            let is_concluded = bay.conclusion().is_some();
            return Err(Refused::ShopTimeOver { is_concluded });
        }
        let outcome = bay.act(action).map_err(Refused::NotTaken)?;
        self.slips += outcome.slips.len();
        // As the bay keeps it: with every fault by its id.
        actions.extend(bay.actions().last().cloned());
        let over = bay.handed_over() || (bay.conclusion().is_some() && !*repair);
        if over {
            self.at += 1;
        }
        Ok(outcome)
    }

    /// The task that waits: its number from 1, and it. None when all have been done.
    ///
    /// # Errors
    /// [`NotBegun`] where the next car cannot be brought in.
    pub fn waits(&mut self) -> Result<Option<(usize, &Given)>, NotBegun> {
        if self.handed_in {
            return Ok(None);
        }
        self.bring_in()?;
        Ok(self.given.get(self.at).map(|given| (self.at + 1, given)))
    }

    /// The car in the bay; just after the last step of a task it is still that task's.
    #[must_use]
    pub fn bay(&self) -> Option<&Bay> {
        self.bay.as_ref().map(|(_, bay)| &**bay)
    }

    /// The task that waits, by its number from 1; one more than there are when all have been done.
    #[must_use]
    pub fn at(&self) -> usize {
        self.at + 1
    }

    /// The form.
    #[must_use]
    pub fn form(&self) -> &'a Form {
        self.form
    }

    /// The units it is sat in.
    #[must_use]
    pub fn units(&self) -> UnitSystem {
        self.units
    }

    /// What there is to deal from.
    #[must_use]
    pub fn library(&self) -> &'a Library {
        self.library
    }

    /// Every task, with what was done at it.
    #[must_use]
    pub fn given(&self) -> &[Given] {
        &self.given
    }

    /// Every task as it was drawn.
    #[must_use]
    pub fn tasks(&self) -> &[Task] {
        &self.tasks
    }

    /// Whether it has been handed in.
    #[must_use]
    pub fn is_handed_in(&self) -> bool {
        self.handed_in
    }

    /// Safety slips so far, over all cars.
    #[must_use]
    pub fn slips(&self) -> usize {
        self.slips
    }

    /// Time given beyond the form's, ms.
    #[must_use]
    pub fn more_ms(&self) -> i64 {
        self.more_ms
    }

    /// Time left on the wall at a moment, ms; negative when it is over.
    #[must_use]
    pub fn left_ms(&self, wall_ms: i64) -> i64 {
        let limit_ms = (self.form.wall_s * 1000.0) as i64;
        limit_ms + self.more_ms - wall_ms.max(self.latest_ms).saturating_sub(self.started_ms)
    }
}

/// Whether an action leaves a car safer than it stood, and finds nothing out: nobody's time is too short for that.
fn makes_safe(action: &Action) -> bool {
    matches!(
        action,
        Action::Turn(Control::Engine(EngineSpeed::Off) | Control::AirConditioning(false))
            | Action::Gauges(GaugeStep::Close | GaugeStep::Disconnect)
            | Action::Evacuate(false)
            | Action::Work(Work::LetOut | Work::Caps(true))
    )
}
