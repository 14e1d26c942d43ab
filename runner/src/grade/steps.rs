//! How a repair was done: each step of good work that this one called for, and whether it was done in its
//! place. The steps are the trade's (common practice, no source, but where one is named); the maker's
//! procedure comes first.

use std::collections::BTreeSet;

use sim_core::car::TestGas;
use sim_core::instruments::{Check, Value};
use sim_core::repair::{Job, Kind};

use crate::action::{Action, Control, EngineSpeed, GaugeStep, Work};
use crate::bay::Bay;
use crate::grade::step_kind::StepKind;
use crate::safety::SlipKind;
use crate::workshop::high_voltage;

/// A step of good work.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What was to be done.
    pub kind: StepKind,
    /// It was, in its place.
    pub done: bool,
}

/// At least so long a pump has to draw, s: half an hour (common practice, no source).
const EVACUATED_S: f64 = 1800.0;
/// What a charge may be off by, kg: SAE J2788 asks a machine for 15 g, and as much for the scales' reading.
const CHARGE_OFF_KG: f64 = 0.03;

/// What the oil in a loop may be off by, as a share of the label's amount (common practice, no source).
const OIL_OFF_SHARE: f64 = 0.2;
/// Oil of another kind from which the amount says nothing any more, as a share of all the oil.
pub(super) const FOREIGN_SHARE: f64 = 0.05;

/// The steps that the repair after the first `concluded` actions called for.
pub(super) fn steps(
    bay: &Bay,
    (concluded, concluded_s): (usize, f64),
    (needed, done): (&BTreeSet<Job>, &BTreeSet<Job>),
) -> Vec<Step> {
    let actions = bay.actions();
    let repair = actions.get(concluded..).unwrap_or_default();
    let bench = bay.workshop().bench();
    let first = |is: &dyn Fn(&Action) -> bool| repair.iter().position(is);
    let last = |is: &dyn Fn(&Action) -> bool| repair.iter().rposition(is);
    let before = |one: Option<usize>, other: Option<usize>| match (one, other) {
        (Some(one), Some(other)) => one < other,
        (Some(_), None) => true,
        (None, _) => false,
    };
    let is_work = |action: &Action| matches!(action, Action::Work(work) if is_spanner(work));
    let opens = |action: &Action| {
        matches!(action, Action::Work(Work::Remove(job)) if job.info().kind == Kind::InLoop)
            || matches!(action, Action::Work(Work::Seal(..)))
    };
    let recovers = |action: &Action| matches!(action, Action::Recover(_));
    let charges = |action: &Action| matches!(action, Action::Charge(..));
    let pumps = |action: &Action| matches!(action, Action::Evacuate(true));
    let identifies = |action: &Action| matches!(action, Action::Identify(_));
    let reads_data = |action: &Action| matches!(action, Action::Work(Work::ServiceData));
    let (opened, recovered, charged) = (first(&opens), first(&recovers), first(&charges));
    let mut steps = Vec::new();
    let mut step = |applies: bool, kind: StepKind, done: bool| {
        if applies {
            steps.push(Step { kind, done });
        }
    };
    let identified = actions.iter().position(identifies);
    let recovered_at = recovered.map(|index| index + concluded);
    step(
        recovered.is_some(),
        StepKind::Identified,
        before(identified, recovered_at) && identified.is_some(),
    );
    let data = actions.iter().position(reads_data);
    let worked_at = first(&|action| is_work(action) || charges(action));
    step(
        worked_at.is_some(),
        StepKind::ReadData,
        data.is_some() && before(data, worked_at.map(|index| index + concluded)),
    );
    let blown = |kind: SlipKind| {
        let slips = bay.slips().iter();
        slips
            .filter(|slip| slip.at_s > concluded_s)
            .any(|slip| slip.kind == kind)
    };
    let ever_recovered = actions.iter().position(recovers);
    step(
        opened.is_some(),
        StepKind::Recovered,
        ever_recovered.is_some()
            && before(ever_recovered, opened.map(|index| index + concluded))
            && !blown(SlipKind::OpenedChargedLoop)
            && !blown(SlipKind::OpenedUnderGas),
    );
    let motor = high_voltage(bay.session());
    let fitted: Vec<Job> = bench.fitted.iter().map(|one| one.job).collect();
    let replaced = fitted.iter().filter(|job| job.info().kind != Kind::Care);
    step(
        replaced.count() > 0,
        StepKind::Compared,
        bench.fitted.iter().all(|one| one.compared),
    );
    step(
        opened.is_some(),
        StepKind::Sealed,
        bench.joints.values().all(|joint| joint.is_sound()),
    );
    step(
        fitted.contains(&Job::Compressor) && !motor,
        StepKind::Turned,
        before(
            last(&|action| matches!(action, Action::Work(Work::TurnHub))),
            last(&starts),
        ),
    );
    step(
        motor && fitted.contains(&Job::Compressor),
        StepKind::Isolated,
        !blown(SlipKind::HighVoltage),
    );
    let oil = bay.session().car().oil_share();
    let oil_moved = recovered.is_some() || opened.is_some();
    let foreign = bay.session().car().spec().oil.foreign_share;
    let added = |action: &Action| matches!(action, Action::Work(Work::AddOil(..)));
    step(
        oil_moved || first(&added).is_some(),
        StepKind::Oiled,
        (oil - 1.0).abs() <= OIL_OFF_SHARE && foreign < FOREIGN_SHARE,
    );
    step(
        recovered.is_some() || opened.is_some(),
        StepKind::Aired,
        aired(actions, concluded, &|action| {
            recovers(action) || opens(action)
        }),
    );
    let pipes = [Job::DischargeHose, Job::LiquidLine];
    step(
        pipes.iter().any(|job| needed.contains(job)),
        StepKind::Flushed,
        pipes
            .iter()
            .all(|job| !needed.contains(job) || done.contains(job)),
    );
    let tight =
        bench.joints.values().all(|joint| joint.is_sound()) && bay.session().car().is_shut();
    let presses = |action: &Action| matches!(action, Action::Work(Work::Press(gas, _)) if *gas != TestGas::Air);
    step(
        opened.is_some(),
        StepKind::Pressed,
        before(last(&presses), last(&pumps)) && tight,
    );
    step(
        opened.is_some() || recovered.is_some() || charged.is_some(),
        StepKind::Evacuated,
        longest_pump_s(bay, concluded) >= EVACUATED_S,
    );
    let holds = |action: &Action| matches!(action, Action::Check(Check::Vacuum));
    let shut = last(&|action| matches!(action, Action::Evacuate(false)));
    let held = last(&holds);
    step(
        opened.is_some() || recovered.is_some() || charged.is_some(),
        StepKind::Held,
        shut.is_some()
            && before(shut, held)
            && before(held, last(&charges))
            && held.is_some_and(|index| held_vacuum(bay, index + concluded)),
    );
    let car = bay.session().car();
    let off_kg = car
        .charged_since_vacuum_kg()
        .map_or(f64::INFINITY, |kg| (kg - car.spec().label_charge_kg).abs());
    step(
        opened.is_some() || recovered.is_some() || charged.is_some(),
        StepKind::Charged,
        off_kg <= CHARGE_OFF_KG,
    );
    let proof = last(&|action| is_work(action) || charges(action)).map_or(0, |index| index + 1);
    let after = repair.get(proof..).unwrap_or_default();
    let vents = after
        .iter()
        .any(|action| matches!(action, Action::Check(Check::VentTemperature(_))));
    let gauges = after
        .iter()
        .any(|action| matches!(action, Action::Gauges(GaugeStep::Read | GaugeStep::Watch)));
    let ran = after.iter().any(starts) || bay.setup().engine_rev_s > 0.0;
    step(true, StepKind::Proved, ran && vents && gauges);
    let searches = after.iter().any(|action| {
        matches!(
            action,
            Action::Check(Check::LeakSearch(..) | Check::Soap(_) | Check::Lamp(_))
        )
    });
    step(opened.is_some(), StepKind::Searched, searches && tight);
    steps
}

fn starts(action: &Action) -> bool {
    match action {
        Action::Turn(Control::Engine(speed)) => *speed != EngineSpeed::Off,
        Action::Turn(Control::Road(m_s)) => *m_s > 0.0,
        _ => false,
    }
}

/// Whether a step changes the car.
fn is_spanner(work: &Work) -> bool {
    !matches!(
        work,
        Work::ServiceData | Work::Compare(_) | Work::HandOver | Work::LetOut
    )
}

/// Whether the bay's ventilation or the workshop fan ran at every action of a kind after the conclusion.
fn aired(actions: &[Action], concluded: usize, kind: &dyn Fn(&Action) -> bool) -> bool {
    let (mut fan, mut ventilation) = (false, false);
    actions.iter().enumerate().all(|(index, action)| {
        match action {
            Action::Turn(Control::ShopFan(on)) => fan = *on,
            // Who drives off leaves the fan behind, switched off.
            Action::Turn(Control::Road(m_s)) if *m_s > 0.0 => fan = false,
            Action::Ventilate(on) => ventilation = *on,
            _ => {}
        }
        fan || ventilation || index < concluded || !kind(action)
    })
}

/// Whether a vacuum gauge read in an action showed a vacuum that keeps water from staying.
fn held_vacuum(bay: &Bay, action: usize) -> bool {
    let mut notes = bay.notes().iter().filter(|note| note.action == action);
    notes.any(|note| match note.reading.value {
        Value::Number { shown, .. } => shown <= HELD_BELOW_PA,
        _ => false,
    })
}

/// Vacuum that counts as held, Pa: water boils below freezing at it (common practice, no source).
const HELD_BELOW_PA: f64 = 600.0;

/// Longest time a pump drew in one go, s.
fn longest_pump_s(bay: &Bay, concluded: usize) -> f64 {
    let mut longest: f64 = 0.0;
    let mut drawing = None;
    for action in bay.actions().get(concluded..).unwrap_or_default() {
        match action {
            Action::Evacuate(true) => drawing = Some(0.0),
            Action::Evacuate(false) => drawing = None,
            other => {
                if let Some(seconds) = &mut drawing {
                    *seconds += other.seconds();
                }
            }
        }
        longest = longest.max(drawing.unwrap_or(0.0));
    }
    longest
}
