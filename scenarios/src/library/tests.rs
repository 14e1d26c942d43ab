use super::*;
use crate::schema::KINDS;

fn library() -> Library {
    Library::builtin().unwrap_or_else(|errors| panic!("{errors}"))
}

const QUESTION: &str = "version = 1\ntitle = \"Ours\"\n[[question]]\nid = \"ours\"\nkind = \"single\"\n\
    text = \"What?\"\nright = [\"a\"]\nwrong = [\"b\", \"c\"]\nexplanation = \"So.\"\n\
    source = \"Common practice, no source\"\ntags = [\"cycle\"]\n";

/// What a loaded library says of a file is what reading everything again would, and it stays as it is.
#[test]
fn one_file_is_held_against_what_is_there() {
    let library = library();
    let case = include_str!("../../bank/school-run.toml");
    let vehicle = include_str!("../../vehicles/saloon.toml");
    let fault = include_str!("../../faults/fan.toml");
    let own = fault.replace("id = \"", "id = \"our-");
    let table = [
        (Kind::Case, "cases/ours.toml", case, ""),
        (
            Kind::Case,
            "cases/school-run.toml",
            case,
            "a case called `school-run`",
        ),
        (Kind::Vehicle, "vehicles/ours.toml", vehicle, ""),
        (
            Kind::Vehicle,
            "vehicles/saloon.toml",
            vehicle,
            "a vehicle called `saloon`",
        ),
        (Kind::Faults, "faults/ours.toml", &own, ""),
        (
            Kind::Faults,
            "faults/ours.toml",
            fault,
            "two faults are called",
        ),
        (Kind::Questions, "questions/ours.toml", QUESTION, ""),
        (
            Kind::Questions,
            "questions/safety.toml",
            QUESTION,
            "a topic called `safety`",
        ),
    ];
    for _ in 0..2 {
        for (kind, name, text, message) in table {
            let file = SourceFile { name, text };
            let read = library.check(kind, &file, &Marked::default());
            let told = read.err().map_or(String::new(), |error| error.to_string());
            assert!(told.contains(message), "{name}: {told}");
            assert_eq!(told.is_empty(), message.is_empty(), "{name}: {told}");
        }
    }
    let nothing = SourceFile {
        name: "x.toml",
        text: "nothing = 1",
    };
    for (_, kind) in KINDS {
        assert!(library.check(*kind, &nothing, &Marked::default()).is_err());
    }
}

#[test]
fn a_bundle_is_checked_as_it_would_be_added() {
    let library = library();
    let other = QUESTION.replace("\"ours\"", "\"others\"");
    let good = format!("-- questions/a.toml --\n{QUESTION}-- questions/b.toml --\n{other}");
    let twice = format!("-- questions/a.toml --\n{QUESTION}-- questions/b.toml --\n{QUESTION}");
    let both = format!("{twice}-- cases/school-run.toml --\nversion = 1\n");
    for (text, files) in [(good, 0), (twice, 1), (both, 2)] {
        let bundle = Bundle::from_text("ours.bundle", &text).expect("a bundle");
        let checked = library.check_bundle(&bundle).err();
        assert_eq!(checked.as_ref().map_or(0, |errors| errors.0.len()), files);
        assert_eq!(checked, library.clone().with(&bundle).err());
    }
}
