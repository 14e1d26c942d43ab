//! Sessions with a repair, from a script to what became of the car: without the diagnosis' grade, which
//! takes seconds.

use runner::action::Action;
use runner::bay::Bay;
use runner::grade::Repair;
use runner::show;
use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};

/// Plays a script on its case and weighs the repair.
///
/// # Panics
/// Where a line is not taken.
#[must_use]
pub fn played(bank: &Bank, name: &str, script: &str) -> Repair {
    let first = script.lines().next().unwrap_or_default();
    let words: Vec<&str> = first.split_whitespace().collect();
    let [_, _, _, id, _, seed] = words.as_slice() else {
        panic!("{name}: the first line does not say how to play it");
    };
    let seed = seed.parse().expect("a seed");
    let case = Case::deal(bank, id, seed).expect("a case of the bank");
    let mut bay = Bay::new(bank, &case).expect("a known refrigerant");
    let mut concluded = None;
    for (number, line) in script.lines().enumerate() {
        let words = line.split('#').next().unwrap_or("").trim();
        if words.is_empty() {
            continue;
        }
        let number = number + 1;
        let action = Action::parse(words).unwrap_or_else(|why| panic!("{name}:{number}: {why}"));
        let outcome = bay
            .act(&action)
            .unwrap_or_else(|why| panic!("{name}:{number}: `{words}`: {why}"));
        for note in outcome.notes {
            println!("    {words}: {}", show::note(&note, UnitSystem::Si));
        }
        if matches!(action, Action::Conclude(_)) {
            concluded = Some(bay.clone());
        }
    }
    let concluded = concluded.expect("a conclusion");
    Repair::weigh(bank, &case, &concluded, bay).expect("a car that can be driven on")
}
