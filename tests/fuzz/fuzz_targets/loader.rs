//! Any text as a file of each kind, and as a bundle: read, or refused with problems whose places lie
//! in the text and can be drawn.
#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use scenarios::{Bank, Bundle, Catalogue, Counter, LoadError, Marks, Scenario, Together, Vehicle};

static BANK: LazyLock<Bank> = LazyLock::new(|| Bank::builtin().expect("a bank"));

fn told<T>(read: Result<T, LoadError>, text: &str) {
    let Err(error) = read else {
        return;
    };
    assert!(!error.problems().is_empty());
    for problem in error.problems() {
        if let Some(span) = &problem.span {
            assert!(text.get(span.clone()).is_some(), "{span:?}");
        }
    }
    assert!(!error.to_string().is_empty());
}

fuzz_target!(|text: &str| {
    let bank = &*BANK;
    told(Scenario::read("a.toml", "a", text, bank.known()), text);
    told(Vehicle::read("a.toml", "a", text, bank.counter()), text);
    told(Catalogue::default().add("a.toml", text, bank.components()), text);
    told(Counter::read("a.toml", text), text);
    told(Marks::read("a.toml", text), text);
    told(Together::read_all("a.toml", text, bank.catalogue()), text);
    if let Ok(bundle) = Bundle::from_text("a.bundle", text)
        && let Err(errors) = bank.clone().with(&bundle)
    {
        assert!(!errors.to_string().is_empty());
    }
});
