//! Any text as a file of one kind, or as a bundle: read, or refused with problems whose places lie in the
//! text and can be drawn.
//!
//! The first byte says of which kind the rest is, so that a text is read once and not ten times: a letter
//! of [`LETTERS`], and any other byte stands for one of them too.
#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use runner::cli::syllabus::with_marked;
use scenarios::schema::Kind;
use scenarios::{Bundle, Library, LoadError, SourceFile};

/// Read once; nothing a target does changes it.
static LIBRARY: LazyLock<Library> = LazyLock::new(|| Library::builtin().expect("files as shipped"));

/// Kinds by their letters; none for a bundle.
const LETTERS: [(u8, Option<Kind>); 10] = [
    (b'c', Some(Kind::Case)),
    (b'v', Some(Kind::Vehicle)),
    (b'f', Some(Kind::Faults)),
    (b'p', Some(Kind::Components)),
    (b't', Some(Kind::Together)),
    (b'l', Some(Kind::Competencies)),
    (b'm', Some(Kind::Marks)),
    (b'k', Some(Kind::Counter)),
    (b'q', Some(Kind::Questions)),
    (b's', Some(Kind::Syllabus)),
    (b'b', None),
];

fn kind(letter: u8) -> Option<Kind> {
    let known = LETTERS.iter().find(|(known, _)| *known == letter);
    known.unwrap_or(&LETTERS[usize::from(letter) % LETTERS.len()]).1
}

fn told(error: &LoadError, text: &str) {
    assert!(!error.problems().is_empty());
    for problem in error.problems() {
        if let Some(span) = &problem.span {
            assert!(text.get(span.clone()).is_some(), "{span:?}");
        }
    }
    assert!(error.to_string().starts_with("error: "));
}

fuzz_target!(|bytes: &[u8]| {
    let Some((letter, rest)) = bytes.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(rest) else {
        return;
    };
    let library = &*LIBRARY;
    let Some(kind) = kind(*letter) else {
        let read = Bundle::from_text("a.bundle", text);
        if let Err(errors) = read.and_then(|bundle| library.check_bundle(&bundle)) {
            assert!(!errors.0.is_empty() && !errors.to_string().is_empty());
        }
        return;
    };
    let file = SourceFile { name: "a.toml", text };
    if let Err(error) = with_marked(|marked| library.check(kind, &file, marked)) {
        told(&error, text);
    }
});
