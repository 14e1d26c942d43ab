//! What a case's title and file name give away.

use super::Scenario;
use crate::fault::Catalogue;

/// Words up to this length ("the", "does") are everybody's.
const EVERYBODYS: usize = 4;

impl Scenario {
    /// Words of the title or the file name that name a fault or a part that is in the car: a learner reads
    /// both before the first check.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// let case = bank.case("school-run").unwrap();
    /// assert!(case.gives_away(bank.catalogue()).is_empty());
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn gives_away(&self, catalogue: &Catalogue) -> Vec<String> {
        let words = |text: &str| -> Vec<String> {
            let text = text.to_lowercase();
            let words = text.split(|c: char| !c.is_alphanumeric());
            let words = words.filter(|word| word.len() > EVERYBODYS);
            words.map(str::to_owned).collect()
        };
        let modes = self.faults.iter();
        let modes = modes.filter_map(|one| catalogue.get(&one.mode_id));
        let told: Vec<String> = modes
            .flat_map(|mode| {
                let component = &mode.component;
                [
                    &mode.id,
                    &mode.name,
                    &mode.mode,
                    &component.id,
                    &component.name,
                ]
            })
            .flat_map(|text| words(text))
            .collect();
        let mut said = words(&format!("{} {}", self.id, self.title));
        said.retain(|word| told.contains(word));
        said.dedup();
        said
    }
}
