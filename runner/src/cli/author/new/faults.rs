//! What is wrong with the car: found by its part or by a word, and how bad it is.

use scenarios::{Bank, Mode};

use super::NewArgs;
use super::questions::{ends, settle};
use crate::author::draft::{Draft, DraftFault, around};
use crate::cli::Streams;
use crate::cli::menu::choose;
use crate::cli::prompt::{Stop, ask, say};
use crate::cli::which_car::did_you_mean;

/// Takes faults and causes from the options.
///
/// # Errors
/// A sentence that names the option.
pub(super) fn options(draft: &mut Draft, bank: &Bank, args: &NewArgs) -> Result<(), String> {
    if args.vehicle.is_none() {
        settle_vehicle(draft, bank, args);
    }
    let faults = args.faults.iter().map(|text| ("--fault", text));
    let causes = args.causes.iter().map(|text| ("--cause", text));
    for (option, text) in faults.chain(causes) {
        let told = |why: String| format!("{option}: {why}");
        let (mode, severity) = text.split_once('=').ok_or_else(|| {
            told(format!(
                "write a fault and how bad it is, such as `{text}=0.5`"
            ))
        })?;
        let fault = DraftFault {
            mode: mode.to_owned(),
            severity: numbers(severity).map_err(told)?,
            is_cause: option == "--cause",
        };
        settle(draft, bank, |draft| draft.faults.push(fault)).map_err(told)?;
    }
    Ok(())
}

/// Puts the first vehicle into a draft that can have all the faults, where none is named.
fn settle_vehicle(draft: &mut Draft, bank: &Bank, args: &NewArgs) {
    let given = args.faults.iter().chain(&args.causes);
    let ids = given.filter_map(|text| text.split_once('=').map(|(id, _)| id));
    let modes: Vec<&Mode> = ids.filter_map(|id| bank.catalogue().get(id)).collect();
    let mut vehicles = bank.vehicles();
    let fits = vehicles.find(|one| modes.iter().all(|mode| mode.concerns(&one.spec)));
    if let Some(vehicle) = fits {
        vehicle.id.clone_into(&mut draft.vehicle);
    }
}

/// Asks for a fault, how bad it is, and what led to it where something often does.
///
/// # Errors
/// [`Stop`] where nobody answers any more.
pub(super) fn ask_faults(
    draft: &mut Draft,
    bank: &Bank,
    streams: &mut Streams<'_>,
) -> Result<(), Stop> {
    let Some(mode) = ask_mode(draft, bank, streams)? else {
        return Ok(());
    };
    ask_severity(draft, bank, mode, false, streams)?;
    let others = often_with(draft, bank, mode);
    if others.is_empty() {
        return Ok(());
    }
    let listed: Vec<_> = others
        .iter()
        .map(|one| (one.name.clone(), one.id.clone()))
        .collect();
    say(streams, "\n")?;
    loop {
        let question = "Did something lead to it that is in the car as well? A shop often finds:";
        let Some(answer) = choose(streams, question, &listed, "for nothing")? else {
            return Ok(());
        };
        match others.iter().find(|one| one.id == answer) {
            Some(cause) => return ask_severity(draft, bank, cause, true, streams),
            None => say(
                streams,
                &format!("No shop finds `{answer}` with it: choose one of these, or none.\n"),
            )?,
        }
    }
}

/// Modes of the car that the bank says are found with this one.
fn often_with<'a>(draft: &Draft, bank: &'a Bank, mode: &Mode) -> Vec<&'a Mode> {
    let groups = bank.together().iter();
    let pairs = groups.filter(|group| group.modes.len() == 2 && group.modes[0] == mode.id);
    let ids = pairs.filter_map(|group| group.modes.get(1));
    let concerned = modes(draft, bank);
    ids.filter_map(|id| concerned.iter().copied().find(|mode| mode.id == *id))
        .collect()
}

/// Every mode the car can have.
fn modes<'a>(draft: &Draft, bank: &'a Bank) -> Vec<&'a Mode> {
    let Some(vehicle) = bank.vehicle(&draft.vehicle) else {
        return Vec::new();
    };
    let all = bank.catalogue().modes();
    all.filter(|mode| mode.concerns(&vehicle.spec)).collect()
}

/// The mode chosen; `None` for a car that is sound.
fn ask_mode<'a>(
    draft: &Draft,
    bank: &'a Bank,
    streams: &mut Streams<'_>,
) -> Result<Option<&'a Mode>, Stop> {
    let modes = modes(draft, bank);
    let mut parts: Vec<(String, String)> = Vec::new();
    for component in bank.components() {
        let count = modes
            .iter()
            .filter(|mode| mode.component.id == component.id)
            .count();
        if count > 0 {
            parts.push((
                format!("{} ({count})", component.name),
                component.id.clone(),
            ));
        }
    }
    say(streams, "\n")?;
    loop {
        let question =
            "What is wrong with it? A number for the part, or a word to look for, such as `leak`.";
        let Some(answer) = choose(streams, question, &parts, "for nothing at all")? else {
            return Ok(None);
        };
        let found: Vec<&Mode> = if parts.iter().any(|(_, id)| *id == answer) {
            let of_part = modes.iter().filter(|mode| mode.component.id == answer);
            of_part.copied().collect()
        } else {
            looked_for(&modes, &answer)
        };
        if found.is_empty() {
            let near = bank.catalogue().nearest(&answer);
            let elsewhere = bank.catalogue().get(&answer).is_some();
            let why = if elsewhere {
                format!(
                    "`{}` has no part that `{answer}` is a fault of.",
                    draft.vehicle
                )
            } else {
                format!(
                    "Nothing of this car is found for `{answer}`{}",
                    did_you_mean(near)
                )
            };
            say(streams, &format!("{why}\n\n"))?;
            continue;
        }
        if let Some(mode) = choose_mode(&found, streams)? {
            return Ok(Some(mode));
        }
    }
}

fn choose_mode<'a>(
    found: &[&'a Mode],
    streams: &mut Streams<'_>,
) -> Result<Option<&'a Mode>, Stop> {
    let listed: Vec<_> = found
        .iter()
        .map(|mode| (mode.name.clone(), mode.id.clone()))
        .collect();
    say(streams, "\n")?;
    loop {
        let Some(answer) = choose(streams, "Which of these?", &listed, "to go back")? else {
            return Ok(None);
        };
        let again = looked_for(found, &answer);
        match again.as_slice() {
            [one] => return Ok(Some(one)),
            [] => say(streams, &format!("None of these is called `{answer}`.\n"))?,
            _ => say(
                streams,
                &format!("`{answer}` may be several of these: take a number.\n"),
            )?,
        }
    }
}

/// The mode of an id, or else all that have every word in their names: those first whose own name has
/// it, then those whose part's name has it.
fn looked_for<'a>(modes: &[&'a Mode], answer: &str) -> Vec<&'a Mode> {
    if let Some(mode) = modes.iter().copied().find(|mode| mode.id == answer) {
        return vec![mode];
    }
    let answer = answer.to_lowercase();
    let has_all = |mode: &&Mode| {
        let names = [&mode.id, &mode.name, &mode.mode, &mode.component.name];
        let names = names.map(|name| name.to_lowercase());
        answer
            .split_whitespace()
            .all(|word| names.iter().any(|name| name.contains(word)))
    };
    let mut found: Vec<&Mode> = modes.iter().copied().filter(has_all).collect();
    found.sort_by_key(|mode| !mode.name.to_lowercase().contains(answer.as_str()));
    found
}

fn ask_severity(
    draft: &mut Draft,
    bank: &Bank,
    mode: &Mode,
    is_cause: bool,
    streams: &mut Streams<'_>,
) -> Result<(), Stop> {
    let scale = &mode.severity;
    let (low, high) = around(scale);
    let question = format!(
        "\nHow bad is it ({})? From {} ({}) to 1 ({}); {} ({}) is usual. `{low} to {high}` has it drawn.\n",
        scale.meaning,
        scale.least,
        scale.show(scale.least),
        scale.show(1.0),
        scale.typical,
        scale.show(scale.typical)
    );
    say(streams, &question)?;
    loop {
        let answer = ask(streams, &format!("[{}] > ", scale.typical))?;
        let answer = if answer.is_empty() {
            scale.typical.to_string()
        } else {
            answer
        };
        let settled = numbers(&answer).and_then(|severity| {
            let fault = DraftFault {
                mode: mode.id.clone(),
                severity,
                is_cause,
            };
            settle(draft, bank, |draft| draft.faults.push(fault))
        });
        match settled {
            Ok(()) => return Ok(()),
            Err(why) => say(streams, &format!("{why}\n"))?,
        }
    }
}

/// A severity, or the ends of a range of them, as a file has them.
fn numbers(answer: &str) -> Result<Vec<String>, String> {
    let number = |text: String| match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(format!("{value:?}")),
        _ => Err(format!(
            "`{text}` is no number: give one above 0 and up to 1, such as 0.5"
        )),
    };
    ends(answer).into_iter().map(number).collect()
}
