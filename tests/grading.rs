//! The grade: what earns marks, what costs them, and that no fault's name has a part in it.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::bank;
use runner::action::{Action, Conclusion};
use runner::bay::Bay;
use runner::grade::{Grade, Support, Weights, grade, judge};
use runner::safety::SlipKind;
use scenarios::Case;

/// Gauges, superheat and the vents of a car at 1500 rpm, ten minutes after it was switched on.
const SESSION: &str = "wear glasses\nwear gloves\ngauges connect\ngauges open\nengine idle\nac on\n\
    blower 4\nair recirculate\ndoors open\nengine 1500 rpm\nwait 10 min\ngauges read\n\
    clamp evaporator-outlet\nclamp liquid-line\nthermometer centre-vent\nlook condenser-fan\n\
    engine off\ngauges close\ngauges disconnect\n";

fn actions(words: &str) -> Vec<Action> {
    words
        .lines()
        .map(|line| Action::parse(line).unwrap_or_else(|error| panic!("{line}: {error}")))
        .collect()
}

fn graded(case: &str, words: &str) -> Grade {
    let case = Case::deal(bank(), case, 3).unwrap();
    grade(bank(), &case, &actions(words), &Weights::default(), &mut ()).unwrap()
}

fn concluding(case: &str, conclusion: &str) -> Grade {
    graded(case, &format!("{SESSION}conclude {conclusion}"))
}

#[test]
fn the_parts_add_up_to_a_hundred() {
    let weights = Weights::default();
    let parts = weights.diagnosis + weights.evidence + weights.safety;
    assert_eq!(parts, 100.0);
    assert_eq!(weights.component + weights.mode + weights.cause, 1.0);
}

/// (case, conclusion, share of the diagnosis in percent, what is said first).
#[test]
fn a_part_of_the_answer_earns_its_part() {
    let table = [
        (
            "every-summer",
            "undercharge cause leak-condenser",
            100,
            "Right: low on refrigerant.",
        ),
        (
            "every-summer",
            "undercharge",
            80,
            "Right: low on refrigerant.",
        ),
        (
            "every-summer",
            "undercharge cause leak-hose",
            80,
            "Right: low on refrigerant.",
        ),
        (
            "every-summer",
            "overcharge cause leak-condenser",
            60,
            "The component is right (refrigerant charge), what is wrong with it is not: you said too much refrigerant; in the car: low on refrigerant.",
        ),
        (
            "every-summer",
            "charge",
            40,
            "The component is right (refrigerant charge); what is wrong with it you left open. In the car: low on refrigerant.",
        ),
        (
            "every-summer",
            "leak-condenser",
            20,
            "You named what lies behind it (leaking condenser) and not what it led to: low on refrigerant. That earns the cause's part.",
        ),
        (
            "every-summer",
            "fan-dead cause leak-condenser",
            20,
            "Not right: you said condenser fan that does not turn; in the car: low on refrigerant.",
        ),
        (
            "every-summer",
            "no-fault",
            0,
            "Not right: you said nothing is broken; in the car: low on refrigerant.",
        ),
        (
            "school-run",
            "valve-stuck-shut",
            100,
            "Right: valve stuck nearly shut.",
        ),
        (
            "school-run",
            "valve-stuck-shut cause loop-debris",
            100,
            "Right: valve stuck nearly shut.",
        ),
        (
            "school-run",
            "expansion-valve",
            50,
            "The component is right (expansion valve); what is wrong with it you left open. In the car: valve stuck nearly shut.",
        ),
        (
            "school-run",
            "undercharge",
            0,
            "Not right: you said low on refrigerant; in the car: valve stuck nearly shut.",
        ),
        ("hot-day-out", "no-fault", 100, "Right: nothing is broken."),
        (
            "hot-day-out",
            "undercharge",
            0,
            "Not right: you said low on refrigerant; in the car: nothing is broken.",
        ),
    ];
    for (case, words, percent, reason) in table {
        let case = Case::deal(bank(), case, 1).unwrap();
        let judged = judge(bank(), &case, Some(&conclusion(words)));
        let share = judged.share(&Weights::default());
        assert!(
            (100.0 * share - f64::from(percent)).abs() < 1e-9,
            "{words}: {share}"
        );
        assert_eq!(judged.reasons[0], reason, "{words}");
    }
}

fn conclusion(words: &str) -> Conclusion {
    match Action::parse(&format!("conclude {words}")) {
        Ok(Action::Conclude(conclusion)) => conclusion,
        other => panic!("{words}: {other:?}"),
    }
}

/// Every part that is lost has its sentence.
#[test]
fn the_cause_is_spoken_of() {
    let said = |case: &str, words: &str| {
        let case = Case::deal(bank(), case, 1).unwrap();
        judge(bank(), &case, Some(&conclusion(words))).reasons[1].clone()
    };
    assert_eq!(
        said("every-summer", "undercharge cause leak-condenser"),
        "Right root cause: leaking condenser."
    );
    assert_eq!(
        said("every-summer", "undercharge"),
        "Something led to this: leaking condenser. You named no root cause; a repair that leaves it comes back."
    );
    assert_eq!(
        said("every-summer", "undercharge cause leak-hose"),
        "Root cause: you said leaking discharge hose; it was leaking condenser. A repair that leaves it comes back."
    );
    assert_eq!(
        said("school-run", "valve-stuck-shut cause loop-debris"),
        "You also named debris from a dying compressor as the root cause; nothing of the kind is in this car. No marks lost."
    );
}

/// Two faults with nothing between them are both in the car, whichever is named first.
#[test]
fn two_faults_may_be_named_in_either_order() {
    let case = Case::deal(bank(), "home-made", 1).unwrap();
    let judged = |words: &str| judge(bank(), &case, Some(&conclusion(words)));
    for (first, second) in [("overcharge", "air-in-loop"), ("air-in-loop", "overcharge")] {
        let both = judged(&format!("{first} cause {second}"));
        assert_eq!(both.share(&Weights::default()), 1.0, "{both:?}");
        assert!(both.reasons[1].starts_with("Right as well: "), "{both:?}");
        let one = judged(first);
        assert!(
            (one.share(&Weights::default()) - 0.8).abs() < 1e-12,
            "{one:?}"
        );
        assert!(
            one.reasons[1].starts_with("Something else is wrong"),
            "{one:?}"
        );
    }
    let round = Case::deal(bank(), "every-summer", 1).unwrap();
    let round = judge(
        bank(),
        &round,
        Some(&conclusion("leak-condenser cause undercharge")),
    );
    assert_eq!(
        round.reasons[1],
        "Both are in the car, the other way round: leaking condenser led to low on refrigerant."
    );
    assert_eq!(round.share(&Weights::default()), 1.0);
}

#[test]
fn giving_up_earns_safety_alone() {
    let given_up = graded("school-run", SESSION);
    assert_eq!(given_up.mark.diagnosis, 0.0);
    assert_eq!(given_up.mark.evidence, 0.0);
    assert_eq!(given_up.mark.total, Weights::default().safety);
}

/// Readings that fit only ever rule more out; none is a guess, and a guess earns no evidence.
#[test]
fn more_evidence_never_lowers_its_mark() {
    let steps = [
        "",
        " because 5",
        " because 5 4",
        " because 5 4 2",
        " because 5 4 2 1",
    ];
    let mut last = 0.0;
    for (index, because) in steps.iter().enumerate() {
        let grade = concluding("school-run", &format!("valve-stuck-shut{because}"));
        let against = |support| support == Support::SpeaksAgainst;
        let relied_on = &grade.evidence.relied_on;
        assert!(
            !relied_on.iter().any(|one| against(one.support)),
            "{because}"
        );
        assert!(
            grade.mark.evidence >= last,
            "{because}: {}",
            grade.mark.evidence
        );
        assert!(index > 0 || grade.mark.evidence == 0.0);
        let standing = grade.evidence.standing.len();
        assert!(index > 0 || standing == grade.evidence.rivals);
        last = grade.mark.evidence;
    }
    assert!(
        last > 25.0,
        "both gauges and the superheat prove much: {last}"
    );
}

/// Undercharge was concluded on a car whose valve is stuck: the low gauge contradicts it.
#[test]
fn a_reading_that_speaks_against_costs() {
    let support = |grade: &Grade, number: usize| {
        let relied_on = &grade.evidence.relied_on;
        let reliance = relied_on.iter().find(|one| one.number == number);
        reliance.expect("relied on").support
    };
    let without = concluding("school-run", "undercharge because 6");
    assert_ne!(support(&without, 6), Support::SpeaksAgainst);
    let with = concluding("school-run", "undercharge because 6 1");
    assert_eq!(support(&with, 1), Support::SpeaksAgainst);
    assert!(without.mark.evidence > 0.0);
    let alone = concluding("school-run", "undercharge because 1");
    assert_eq!(alone.mark.evidence, 0.0);
    // Half of what is relied on contradicts: half of what the two rule out together is lost.
    let gone = 1.0 - standing_weight(&with);
    assert!((with.evidence.share - 0.5 * gone).abs() < 1e-9);
}

/// Share of the rivals, by how often a shop sees them, that are still standing.
fn standing_weight(grade: &Grade) -> f64 {
    let concluded = grade.conclusion.as_ref().map(|one| one.fault.as_str());
    const HEALTHY: f64 = 3.0;
    let prior = |id: &str| {
        bank()
            .catalogue()
            .get(id)
            .map_or(HEALTHY, |mode| mode.prior)
    };
    // A fault of a part the car does not have is no rival.
    let healthy = &Case::deal(bank(), "school-run", 3).unwrap().healthy;
    let modes = bank().catalogue().modes();
    let modes = modes.filter(|mode| mode.concerns(healthy));
    let modes = modes.map(|mode| mode.id.as_str());
    let all: f64 = modes
        .chain(["no-fault"])
        .filter(|id| Some(*id) != concluded)
        .map(prior)
        .sum();
    let standing: f64 = grade.evidence.standing.iter().map(|id| prior(id)).sum();
    standing / all
}

/// Each unsafe act, played on a car, and the slips it has to be.
#[test]
fn every_slip_is_caught_and_costs_what_it_says() {
    use SlipKind::{
        BareEyesUnderLamp, BurntHand, CouplingLeftOpen, EngineRunningAtPorts, GaugesLeftOn,
        HandNearBelt, NoGlasses, NoGloves, OpenedChargedLoop, VacuumGaugeUnderPressure,
    };
    let safe = "wear glasses\nwear gloves\n";
    let hot = "engine 2500 rpm\nac on\nblower 4\nwait 10 min\n";
    let table: [(String, &[SlipKind]); 24] = [
        (
            format!(
                "{safe}gauges connect\ngauges open\ngauges read\ngauges close\ngauges disconnect"
            ),
            &[],
        ),
        ("wear gloves\ngauges connect".into(), &[NoGlasses]),
        ("wear glasses\ngauges connect".into(), &[NoGloves]),
        (
            format!("{safe}engine idle\ngauges connect"),
            &[EngineRunningAtPorts],
        ),
        (
            format!("{safe}gauges connect\ngauges open\ngauges disconnect"),
            &[CouplingLeftOpen],
        ),
        (
            format!("{safe}gauges connect\nconclude no-fault"),
            &[GaugesLeftOn],
        ),
        ("feel belt\nfeel clutch-hub".into(), &[]),
        ("engine idle\nfeel belt".into(), &[HandNearBelt]),
        ("engine idle\nfeel clutch-hub".into(), &[HandNearBelt]),
        (format!("{hot}feel discharge-hose"), &[BurntHand]),
        (format!("wear gloves\n{hot}feel discharge-hose"), &[]),
        (format!("{hot}feel suction-hose"), &[]),
        (format!("{safe}loosen liquid-line"), &[OpenedChargedLoop]),
        (
            "loosen liquid-line".into(),
            &[NoGlasses, NoGloves, OpenedChargedLoop],
        ),
        (
            format!("{safe}gauges connect\nengine 2500 rpm\ngauges disconnect"),
            &[EngineRunningAtPorts],
        ),
        (
            format!("{safe}engine idle\nloosen liquid-line"),
            &[HandNearBelt, OpenedChargedLoop],
        ),
        ("lamp liquid-line".into(), &[BareEyesUnderLamp]),
        ("wear glasses\nlamp liquid-line".into(), &[]),
        ("recover 5 min".into(), &[NoGlasses, NoGloves]),
        (
            format!("{safe}engine idle\nidentifier vapour"),
            &[EngineRunningAtPorts],
        ),
        ("wear gloves\ndye add".into(), &[NoGlasses]),
        (
            "wear glasses\nvacuum-gauge read".into(),
            &[NoGloves, VacuumGaugeUnderPressure],
        ),
        (
            format!("{hot}infrared compressor-discharge tape"),
            &[BurntHand],
        ),
        (format!("{hot}infrared compressor-discharge bare"), &[]),
    ];
    let case = Case::deal(bank(), "school-run", 3).unwrap();
    for (script, kinds) in table {
        let mut bay = Bay::new(bank(), &case).unwrap();
        for action in actions(&script) {
            bay.act(&action).unwrap();
        }
        let found: Vec<SlipKind> = bay.slips().iter().map(|slip| slip.kind).collect();
        assert_eq!(found, kinds, "{script}");
    }
    // The same session, once with a hand at the running belt and couplings left on.
    let good = concluding("school-run", "valve-stuck-shut because 1 2");
    let unsafe_end = SESSION
        .replace("wait 10 min\n", "wait 10 min\nfeel belt\n")
        .replace("gauges close\ngauges disconnect\n", "");
    let unsafe_words = format!("{unsafe_end}conclude valve-stuck-shut because 2 3");
    let bad = graded("school-run", &unsafe_words);
    let cost = HandNearBelt.cost() + GaugesLeftOn.cost();
    assert_eq!(bad.mark.safety, Weights::default().safety - cost);
    assert_eq!(good.mark.safety, Weights::default().safety);
    assert_eq!(
        bad.mark.total,
        bad.mark.diagnosis + bad.mark.evidence + bad.mark.safety
    );
}

#[test]
fn an_emptied_loop_may_be_opened_and_a_charged_one_loses_its_gas() {
    let case = Case::deal(bank(), "school-run", 3).unwrap();
    let mut bay = Bay::new(bank(), &case).unwrap();
    let mut slips = Vec::new();
    let mut opened = Vec::new();
    for action in actions(
        "wear glasses\nwear gloves\nloosen liquid-line\nwait 60 min\nwait 60 min\nloosen suction-hose\n"
            .replace("suction-hose", "compressor-suction")
            .as_str(),
    ) {
        let outcome = bay.act(&action).unwrap();
        slips.push(outcome.slips.len());
        opened.extend(outcome.opened);
    }
    // The first hisses, the second finds nothing left.
    assert!(
        opened[0].escaped_kg > 0.05 && opened[0].over_pa > 5e3,
        "{opened:?}"
    );
    assert!(opened[1].escaped_kg < 1e-3, "{opened:?}");
    assert_eq!(opened.len(), 2);
    assert_eq!(slips, [0, 0, 1, 0, 0, 0]);
    let lost = bay.refrigerant_lost_kg();
    let held = case.healthy.label_charge_kg * case.healthy.charge_share;
    assert!(lost > 0.8 * held && lost < held, "{lost} of {held} kg");
}
