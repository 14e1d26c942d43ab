//! Records: the journal in which every action of an examination is on disk before its reading is
//! shown, and the stores behind it.
//!
//! Read in this order: an [`entry`] is a link of a sitting's chain; a [`result`] is what a "graded"
//! entry says, as a row; a [`store`] keeps both ([`sqlite`] in a file, [`postgres`] for a school with many
//! rooms); [`journal`] writes from many threads and answers when it is durable; [`keys`] are the
//! office's; [`heads`] keeps the end of each chain outside the database; [`verify`] finds what was
//! changed; [`export`], [`exchange`] and [`xapi`] take records elsewhere; [`office`] puts all that together.
//!
//! No part of this room reads the wall clock but [`office::now_ms`]; names of people are in one table and nowhere else.

pub mod entry;

pub mod result;

pub mod error;

pub mod store;

mod sql;

pub mod migrate;

pub mod sqlite;

pub mod postgres;

mod place;

pub mod journal;

pub mod keys;

pub mod identity;

pub mod heads;

pub mod verify;

pub mod export;

pub mod exchange;

pub mod packs;

pub mod xapi;

pub mod office;

pub use entry::{Draft, Entry};
pub use error::StoreError;
pub use heads::{Head, Heads};
pub use identity::{Identity, Recipient};
pub use journal::{Appended, Journal};
pub use keys::{Keys, PublicKey};
pub use office::Office;
pub use result::ResultRow;
pub use store::{Filter, Person, Sitting, Store};
pub use verify::{Fault, Report};

/// Bytes as hexadecimal text, two lower-case digits each.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// The bytes that hexadecimal text stands for, when there are exactly so many.
#[must_use]
pub fn unhex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let digits = text.as_bytes();
    if digits.len() != 2 * N {
        return None;
    }
    let mut bytes = [0; N];
    for (byte, pair) in bytes.iter_mut().zip(digits.chunks(2)) {
        let digit = |at: usize| char::from(pair[at]).to_digit(16);
        *byte = u8::try_from(digit(0)? * 16 + digit(1)?).ok()?;
    }
    Some(bytes)
}
