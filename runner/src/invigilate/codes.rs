//! Access codes: what a candidate types to come to their sitting.
//!
//! A code is worked out of the office's secret, the form, the candidate and the number of the attempt, so that
//! nothing has to be stored, and every process with the office's keys knows the same.

use crate::records::Keys;

/// Letters and digits that cannot be taken for one another, five bits each.
const DIGITS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// Digits of a code: 80 bits.
const LENGTH: usize = 16;
/// Digits between two hyphens.
const GROUP: usize = 4;

/// The code of an attempt at a form.
#[must_use]
pub fn code(keys: &Keys, form: &str, candidate: &str, attempt: u32) -> String {
    let number = attempt.to_string();
    let bytes = keys.derived("access code", &[form, candidate, &number]);
    let digits = bytes.iter().take(LENGTH);
    let digits: String = digits
        .map(|byte| char::from(DIGITS[usize::from(byte % 32)]))
        .collect();
    grouped(&digits)
}

fn grouped(digits: &str) -> String {
    let mut code = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && index % GROUP == 0 {
            code.push('-');
        }
        code.push(digit);
    }
    code
}

/// A code as it was typed, in the form that codes are written in: small letters, spaces, and what looks like a digit
/// are forgiven.
///
/// ```
/// use runner::invigilate::codes::read;
/// assert_eq!(read(" 7k3m 9qxa-0o1l vvvv"), "7K3M-9QXA-0011-VVVV");
/// ```
#[must_use]
pub fn read(typed: &str) -> String {
    let digits = typed.chars().filter(char::is_ascii_alphanumeric);
    let digits = digits
        .take(2 * LENGTH)
        .map(|digit| match digit.to_ascii_uppercase() {
            'O' => '0',
            'I' | 'L' => '1',
            other => other,
        });
    grouped(&digits.collect::<String>())
}
