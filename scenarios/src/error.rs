//! What is wrong with a file, each problem where it is.

use std::fmt;
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use crate::load::is_hidden;

/// Problems beyond this many are counted and not drawn.
const MOST_SHOWN: usize = 20;

/// One thing wrong with a file: a sentence, the place, and a word beside the place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// What is wrong, in a sentence without a full stop.
    pub message: String,
    /// The bytes of the text it is about; none where it is about the file as a whole.
    pub span: Option<Range<usize>>,
    /// What to do, written beside the place; below the drawing where there is no place.
    pub label: Option<String>,
}

impl Problem {
    /// A problem with the file as a whole.
    ///
    /// ```
    /// use scenarios::Problem;
    /// let problem = Problem::new("no fault is called `low-chrage`")
    ///     .at(7..19)
    ///     .label("did you mean `low-charge`?");
    /// assert_eq!(problem.span, Some(7..19));
    /// ```
    pub fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            span: None,
            label: None,
        }
    }

    /// Places the problem; `toml::Spanned` gives the span of a value.
    #[must_use]
    pub fn at(mut self, span: Range<usize>) -> Self {
        self.span = Some(span);
        self
    }

    /// Says beside the place what to do.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }
}

/// All that is wrong with one file. Its `Display` draws each problem at its line.
///
/// ```
/// use scenarios::{LoadError, Problem};
/// let text = "kind = \"low-chrage\"\n";
/// let problem = Problem::new("no fault is called `low-chrage`")
///     .at(7..19)
///     .label("did you mean `low-charge`?");
/// let error = LoadError::new("my-case.toml", text, vec![problem]);
/// assert_eq!(error.to_string(), "\
/// error: no fault is called `low-chrage`
///  --> my-case.toml:1:8
///   |
/// 1 | kind = \"low-chrage\"
///   |        ^^^^^^^^^^^^ did you mean `low-charge`?");
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LoadError {
    file_name: String,
    text: String,
    problems: Vec<Problem>,
}

impl std::error::Error for LoadError {}

impl LoadError {
    /// The problems found in `text`, which was read from `file_name`.
    pub fn new(file_name: &str, text: &str, problems: Vec<Problem>) -> Self {
        // A hostile name may not rewrite the terminal; the drawing takes care of the text.
        let visible = |c| {
            if is_hidden(c) {
                char::REPLACEMENT_CHARACTER
            } else {
                c
            }
        };
        Self {
            file_name: file_name.chars().map(visible).collect(),
            text: text.to_owned(),
            problems,
        }
    }

    /// What is wrong, in the order found.
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// The line, from 1, a problem is on.
    ///
    /// ```
    /// use scenarios::{LoadError, Problem};
    /// let problem = Problem::new("no field is called `b` here").at(6..7);
    /// let error = LoadError::new("x.toml", "a = 1\nb = 2\n", vec![problem]);
    /// assert_eq!(error.line(&error.problems()[0]), Some(2));
    /// ```
    pub fn line(&self, problem: &Problem) -> Option<usize> {
        let start = problem.span.as_ref()?.start.min(self.text.len());
        let before = self.text.as_bytes().get(..start)?;
        Some(1 + before.iter().filter(|byte| **byte == b'\n').count())
    }

    fn draw(&self, problem: &Problem) -> String {
        let title = Level::ERROR.primary_title(problem.message.as_str());
        let mut group = Group::with_title(title);
        match &problem.span {
            Some(span) => {
                let mut mark = AnnotationKind::Primary.span(self.on_one_line(span));
                if let Some(label) = &problem.label {
                    mark = mark.label(label.as_str());
                }
                let snippet = Snippet::source(self.text.as_str())
                    .path(self.file_name.as_str())
                    .annotation(mark);
                group = group.element(snippet);
            }
            None => {
                group = group.element(Origin::path(self.file_name.as_str()));
                if let Some(label) = &problem.label {
                    group = group.element(Level::HELP.message(label.as_str()));
                }
            }
        }
        Renderer::plain().render(&[group])
    }

    /// The part of a span on its first line: a mark under half a file shows nothing.
    /// Whatever the span, the result lies in the text and on character boundaries.
    fn on_one_line(&self, span: &Range<usize>) -> Range<usize> {
        let inside = |at: usize| {
            let mut at = at.min(self.text.len());
            while !self.text.is_char_boundary(at) {
                at -= 1;
            }
            at
        };
        let start = inside(span.start);
        let marked = self.text.get(start..inside(span.end)).unwrap_or_default();
        let length = marked.find(['\n', '\r']).unwrap_or(marked.len());
        start..start + length
    }
}

impl fmt::Display for LoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.problems.iter().take(MOST_SHOWN).enumerate() {
            if index > 0 {
                f.write_str("\n\n")?;
            }
            f.write_str(&self.draw(problem))?;
        }
        match self.problems.len().saturating_sub(MOST_SHOWN) {
            0 => Ok(()),
            1 => f.write_str("\n\nand 1 more problem"),
            more => write!(f, "\n\nand {more} more problems"),
        }
    }
}
