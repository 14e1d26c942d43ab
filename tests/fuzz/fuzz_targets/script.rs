//! Any text as the lines of a script: each is an action, which reads back from its own words, or a
//! sentence that says why not.
#![no_main]

use libfuzzer_sys::fuzz_target;
use runner::action::Action;

fuzz_target!(|text: &str| {
    for line in text.lines() {
        match Action::parse(line) {
            Ok(action) => assert_eq!(Action::parse(&action.to_string()).as_ref(), Ok(&action)),
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
});
