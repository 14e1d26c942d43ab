//! The grade: what earns marks, what costs them, and that no fault's name has a part in it.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::LazyLock;

use coldtrail_checks::stand::bank;
use coldtrail_checks::tours::{Followed, actions, graded};
use runner::action::{Action, Conclusion};
use runner::bay::Bay;
use runner::evidence::follow::Follower;
use runner::evidence::layout::Spread;
use runner::grade::{Claim, Diagnosis, Grade, Verdict, judge};
use runner::safety::SlipKind;
use scenarios::Case;

/// Gauges, superheat and the vents of a car at 1500 rpm, ten minutes after it was switched on.
const SESSION: &str = "wear glasses\nwear gloves\ngauges connect\ngauges open\nengine idle\nac on\n\
    blower 4\nair recirculate\ndoors open\nengine 1500 rpm\nwait 10 min\ngauges read\n\
    clamp evaporator-outlet\nclamp liquid-line\nthermometer centre-vent\nlook condenser-fan\n\
    engine off\ngauges close\ngauges disconnect\n";

fn school_run() -> Case {
    Case::deal(bank(), "school-run", 3).unwrap()
}

/// The session followed, to be concluded in several ways.
static FOLLOWED: LazyLock<Followed<'static>> =
    LazyLock::new(|| Followed::new(bank(), school_run(), SESSION));

fn concluding(conclusion: &str) -> Grade {
    FOLLOWED.ending(&format!("conclude {conclusion}"))
}

fn share(judged: &Diagnosis) -> f64 {
    judged.share(&bank().marks().diagnosis)
}

#[test]
fn the_parts_add_up_to_a_hundred() {
    let weights = bank().marks().weights;
    let parts = [
        weights.diagnosis,
        weights.evidence,
        weights.calibration,
        weights.efficiency,
        weights.safety,
    ];
    assert_eq!(parts.iter().sum::<f64>(), 100.0);
    let shares = bank().marks().diagnosis;
    assert!((shares.component + shares.mode + shares.cause - 1.0).abs() < 1e-12);
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
        let judged = judge(bank(), &case, Some(&conclusion(words)), &[]);
        let share = share(&judged);
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
        judge(bank(), &case, Some(&conclusion(words)), &[]).reasons[1].clone()
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
    let judged = |words: &str| judge(bank(), &case, Some(&conclusion(words)), &[]);
    for (first, second) in [("overcharge", "air-in-loop"), ("air-in-loop", "overcharge")] {
        let both = judged(&format!("{first} cause {second}"));
        assert_eq!(share(&both), 1.0, "{both:?}");
        assert!(both.reasons[1].starts_with("Right as well: "), "{both:?}");
        let one = judged(first);
        assert!((share(&one) - 0.8).abs() < 1e-12, "{one:?}");
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
        &[],
    );
    assert_eq!(
        round.reasons[1],
        "Both are in the car, the other way round: leaking condenser led to low on refrigerant."
    );
    assert_eq!(share(&round), 1.0);
}

/// What no check tells from the fault in the car counts as right, and it is said why.
#[test]
fn what_no_check_tells_apart_counts_as_right() {
    let case = school_run();
    let alike = ["undercharge".to_owned()];
    let judged = judge(bank(), &case, Some(&conclusion("undercharge")), &alike);
    assert_eq!(share(&judged), 1.0);
    assert_eq!(
        judged.reasons[0],
        "Counts as right: no check on this car tells low on refrigerant from valve stuck nearly shut, which is in it."
    );
}

/// Half of what the readings taken prove is counted, and the work was not done to its end.
#[test]
fn giving_up_earns_half_of_the_evidence_alone() {
    let given_up = FOLLOWED.ending("");
    let moment = given_up.trace.last().unwrap();
    let proved = had(moment.of_truth, prior_of(&given_up));
    let weights = bank().marks().weights;
    assert!((given_up.mark.evidence - 0.5 * weights.evidence * proved).abs() < 1e-9);
    assert!(given_up.mark.evidence > 5.0, "{:?}", given_up.mark);
    assert_eq!(given_up.evidence.verdict, Verdict::GaveUp);
    assert_eq!((given_up.mark.diagnosis, given_up.mark.safety), (0.0, 0.0));
    assert_eq!(given_up.mark.calibration, 0.0, "nothing was stated");
}

/// How far a probability goes to prove something: half by bits, half by how near it comes.
fn had(probability: f64, prior: f64) -> f64 {
    let sure = bank().marks().reader.sure;
    let by_bits = (probability / prior).log2() / (sure / prior).log2();
    let near = (probability - prior) / (sure - prior);
    0.5 * (by_bits.clamp(0.0, 1.0) + near.clamp(0.0, 1.0))
}

/// How likely what counts as right was before anything was read.
fn prior_of(grade: &Grade) -> f64 {
    let follower = Follower::new(bank(), &school_run(), Spread::Healthy).unwrap();
    let mut right = grade.alike.clone();
    right.push(grade.diagnosis.true_mode.clone());
    let claim = Claim::of_modes(follower.explanations(), &right);
    claim.probability(&follower.weigh(&[]).belief())
}

/// Readings that fit only ever prove more; none is a guess, and a guess earns no evidence.
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
        let grade = concluding(&format!("valve-stuck-shut{because}"));
        assert!(
            grade.mark.evidence >= last,
            "{because}: {}",
            grade.mark.evidence
        );
        assert!(index > 0 || grade.mark.evidence == 0.0);
        last = grade.mark.evidence;
    }
    assert!(
        last > 15.0,
        "both gauges and the superheat prove much: {last}"
    );
}

/// Undercharge was concluded on a car whose valve is stuck. Both gauges contradict it: short of charge,
/// the car would have cut out before its low side fell so far.
#[test]
fn readings_that_speak_against_the_conclusion_earn_half() {
    let wrongly = concluding("undercharge because 1 2");
    let rightly = concluding("valve-stuck-shut because 1 2");
    for reliance in &wrongly.evidence.relied_on {
        assert!(reliance.bits() < -1.0, "{reliance:?}");
    }
    assert_eq!(wrongly.evidence.verdict, Verdict::Misread);
    // The same readings prove the same of the car, whatever is concluded from them.
    assert_eq!(wrongly.evidence.of_truth, rightly.evidence.of_truth);
    let had = had(rightly.evidence.of_truth, prior_of(&rightly));
    // Having them is half; the other half goes as far as they make the conclusion likeliest.
    let half = wrongly.evidence.share / had;
    assert!((0.5..0.55).contains(&half), "{half}");
    assert!(rightly.evidence.share / had > 0.9, "{:?}", rightly.evidence);
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
    let good = concluding("valve-stuck-shut because 1 2");
    let unsafe_end = SESSION
        .replace("wait 10 min\n", "wait 10 min\nfeel belt\n")
        .replace("gauges close\ngauges disconnect\n", "");
    let unsafe_words = format!("{unsafe_end}conclude valve-stuck-shut because 2 3");
    let bad = graded(bank(), &school_run(), &unsafe_words);
    let cost = HandNearBelt.cost() + GaugesLeftOn.cost();
    let safety = bank().marks().weights.safety;
    assert_eq!(bad.mark.safety, safety - cost);
    assert_eq!(good.mark.safety, safety);
    let parts = [
        bad.mark.diagnosis,
        bad.mark.evidence,
        bad.mark.calibration,
        bad.mark.efficiency,
        bad.mark.safety,
    ];
    assert!((bad.mark.total - parts.iter().sum::<f64>()).abs() < 1e-9);
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
