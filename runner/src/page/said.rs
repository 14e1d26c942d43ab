//! What somebody at a car was told last.

/// Said where a step was pressed on a page that did not know of the one before.
pub(super) const MEANWHILE: &str =
    "something else was done at this car in between; look at it, and press once more.";

/// The answer to the last thing that was asked for.
#[derive(Clone, Debug, Default)]
pub(super) struct Said {
    pub words: String,
    /// It was not done, and the words say why.
    pub is_refusal: bool,
}

impl Said {
    /// Something was done, and came to this.
    pub fn done(words: impl Into<String>) -> Self {
        Self {
            words: quoted(&words.into()),
            is_refusal: false,
        }
    }

    /// Something was not done.
    pub fn refused(why: impl Into<String>) -> Self {
        Self {
            words: format!("Not done: {}", quoted(&why.into())),
            is_refusal: true,
        }
    }
}

/// What a terminal puts between backticks, as a page has it.
pub(super) fn quoted(words: &str) -> String {
    let mut opens = true;
    let letter = |letter: char| match letter {
        '`' => {
            opens = !opens;
            if opens { '\u{2019}' } else { '\u{2018}' }
        }
        other => other,
    };
    words.chars().map(letter).collect()
}
