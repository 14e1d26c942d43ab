//! Kinds of work: the groups that menu and help show, each with its first words.

/// A kind of work in the bay.
#[derive(Clone, Copy, Debug)]
pub struct WorkKind {
    /// Its group in help, one word; several kinds may share one.
    pub group: &'static str,
    /// What it is, as the menu says it.
    pub words: &'static str,
    /// First words of its actions.
    pub verbs: &'static [&'static str],
}

/// Every kind of work, in the order menu and help show them; each action's first word is in one.
pub const KINDS: &[WorkKind] = &[
    WorkKind {
        group: "car",
        words: "Set the car up, drive it, let time pass",
        verbs: &[
            "engine",
            "ac",
            "blower",
            "air",
            "temperature",
            "doors",
            "road",
            "shop-fan",
            "wait",
        ],
    },
    WorkKind {
        group: "senses",
        words: "Look, listen, feel, smell",
        verbs: &["look", "listen", "feel", "smell"],
    },
    WorkKind {
        group: "pressures",
        words: "Protection, pressures, what the refrigerant is",
        verbs: &[
            "wear",
            "ventilation",
            "gauges",
            "vacuum-gauge",
            "identifier",
        ],
    },
    WorkKind {
        group: "instruments",
        words: "Temperatures and moving air",
        verbs: &[
            "clamp",
            "infrared",
            "thermometer",
            "air-speed",
            "hygrometer",
        ],
    },
    WorkKind {
        group: "electrics",
        words: "Electrics, clutch and belt",
        verbs: &[
            "meter",
            "scan",
            "feeler",
            "tachometer",
            "belt-tension",
            "pulley-line",
        ],
    },
    WorkKind {
        group: "leaks",
        words: "Find a leak",
        verbs: &["leak-search", "dye", "lamp", "wipe", "soap"],
    },
    WorkKind {
        group: "loop",
        words: "Recover, evacuate, charge, open the loop",
        verbs: &["recover", "evacuate", "charge", "warm-cylinder", "loosen"],
    },
    WorkKind {
        group: "fault",
        words: "Name a suspect, ask for a hint, name the fault",
        verbs: &["suspect", "hint", "conclude"],
    },
    WorkKind {
        group: "repair",
        words: "Repair, once it is said what is wrong: data, parts, joints",
        verbs: &[
            "service-data",
            "remove",
            "compare",
            "fit",
            "carry-over",
            "seal",
            "torque",
            "mend",
        ],
    },
    WorkKind {
        group: "finish",
        words: "Repair: flush, oil, press for leaks, give the car back",
        verbs: &[
            "call-in",
            "caps",
            "flush",
            "oil",
            "turn-hub",
            "press",
            "hand-over",
        ],
    },
];

/// The group that a first word is in.
#[must_use]
pub fn group_of(verb: &str) -> Option<&'static str> {
    let mut kinds = KINDS.iter();
    let kind = kinds.find(|kind| kind.verbs.contains(&verb));
    kind.map(|kind| kind.group)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::action::{COMMANDS, WORK};

    #[test]
    fn every_action_has_its_kind_of_work() {
        let mut listed: Vec<_> = KINDS.iter().flat_map(|kind| kind.verbs).copied().collect();
        let mut all: Vec<_> = COMMANDS.iter().chain(WORK).map(|one| one.verb).collect();
        listed.sort_unstable();
        all.sort_unstable();
        assert_eq!(listed, all);
        // `help` tells a group from an action by its name.
        assert!(KINDS.iter().all(|kind| !all.contains(&kind.group)));
    }
}
