//! The knowledge round: short questions dealt by a seed, answered, graded and explained.
//!
//! A round is made by [`Round::deal`], answers go in by [`Round::answer`], and [`Round::result`] is what
//! came of it: the same seed and the same answers give the same result. What is absent: reading a file
//! or a terminal, which the command line does.

mod chart;
mod page;
mod picture;
mod round;

pub use page::{asked, result_page, screen, sentence, told};
pub use picture::picture;
pub use round::{Outcome, Round, RoundResult, TopicResult};
