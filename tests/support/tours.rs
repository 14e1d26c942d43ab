//! One cache of tours for all tests, and gradings by it: a tour takes seconds to make.

use std::path::PathBuf;
use std::sync::OnceLock;

use runner::action::Action;
use runner::bay::Bay;
use runner::cache::TourCache;
use runner::evidence::reader::Reader;
use runner::grade::{Grade, grade};
use scenarios::{Bank, Case};

use crate::golden;

/// Where the tests keep tours; the folder may be deleted at any time.
#[must_use]
pub fn folder() -> PathBuf {
    golden::path("target/tmp/tours")
}

/// The tours.
pub fn tours() -> &'static TourCache {
    static TOURS: OnceLock<TourCache> = OnceLock::new();
    TOURS.get_or_init(|| TourCache::new(Some(folder())))
}

/// Actions as they would be typed, a line each.
///
/// # Panics
/// When a line is none.
#[must_use]
pub fn actions(words: &str) -> Vec<Action> {
    words
        .lines()
        .map(|line| Action::parse(line).unwrap_or_else(|error| panic!("{line}: {error}")))
        .collect()
}

/// The grade of a session.
///
/// # Panics
/// When it cannot be graded.
#[must_use]
pub fn graded(bank: &Bank, case: &Case, words: &str) -> Grade {
    let graded = grade(bank, case, &actions(words), None, tours(), &());
    graded.unwrap_or_else(|why| panic!("{why}"))
}

/// A session followed once, to be ended in several ways: following is what takes time.
pub struct Followed<'a> {
    bank: &'a Bank,
    case: Case,
    words: String,
    reader: Reader,
}

impl<'a> Followed<'a> {
    /// Follows a session that ends without a conclusion.
    ///
    /// # Panics
    /// When it cannot be played.
    #[must_use]
    pub fn new(bank: &'a Bank, case: Case, words: &str) -> Self {
        let (reader, _) = followed(bank, &case, &actions(words));
        Self {
            bank,
            case,
            words: words.trim_end().to_owned(),
            reader,
        }
    }

    /// Its grade when it goes on with these lines.
    ///
    /// # Panics
    /// When they cannot be graded.
    #[must_use]
    pub fn ending(&self, lines: &str) -> Grade {
        let actions = actions(format!("{}\n{lines}", self.words).trim_end());
        let reader = Some(self.reader.clone());
        let graded = grade(self.bank, &self.case, &actions, reader, tours(), &());
        graded.unwrap_or_else(|why| panic!("{why}"))
    }
}

/// A bay in which actions were taken, and a reader that followed them.
///
/// # Panics
/// When one is not taken.
#[must_use]
pub fn followed(bank: &Bank, case: &Case, actions: &[Action]) -> (Reader, Bay) {
    let mut bay = Bay::new(bank, case).unwrap_or_else(|error| panic!("{error}"));
    for action in actions {
        if let Err(why) = bay.act(action) {
            panic!("{action}: {why}");
        }
    }
    let mut reader = Reader::new(bank, case).unwrap_or_else(|error| panic!("{error}"));
    reader.follow(bay.actions(), bay.notes(), &());
    (reader, bay)
}
