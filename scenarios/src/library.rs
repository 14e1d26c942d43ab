//! All there is to practise on: the bank and the questions, and a bundle beside them.

use crate::question::Questions;
use crate::{Bank, BankErrors, Bundle};

/// The bank and the questions.
#[derive(Clone, Debug)]
pub struct Library {
    /// Vehicles, faults and cases.
    pub bank: Bank,
    /// Questions of the knowledge round.
    pub questions: Questions,
}

impl Library {
    /// What is built in.
    ///
    /// # Errors
    /// [`BankErrors`] where a file is wrong; none is as shipped.
    pub fn builtin() -> Result<Self, BankErrors> {
        Self::of(Bank::builtin(), Questions::builtin())
    }

    /// The same with a bundle beside it.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file, names that are taken among them.
    pub fn with(self, bundle: &Bundle) -> Result<Self, BankErrors> {
        Self::of(self.bank.with(bundle), self.questions.with(bundle))
    }

    /// Both, or all that is wrong with either.
    fn of(
        bank: Result<Bank, BankErrors>,
        questions: Result<Questions, BankErrors>,
    ) -> Result<Self, BankErrors> {
        match (bank, questions) {
            (Ok(bank), Ok(questions)) => Ok(Self { bank, questions }),
            (bank, questions) => {
                let errors = [bank.err(), questions.err()].into_iter().flatten();
                Err(BankErrors(errors.flat_map(|one| one.0).collect()))
            }
        }
    }
}
