//! The password of whoever looks after sittings, kept as an Argon2id hash in the office's folder.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};

const FILE: &str = "proctor.argon2";
/// Fewest characters (NIST SP 800-63B-4, from memory, asks for 15 where nothing else is asked for; 12 with the limit on
/// attempts is a choice of ours).
pub const FEWEST: usize = 12;
/// Most bytes that are hashed.
pub const MOST_BYTES: usize = 1024;
/// Bytes of salt (RFC 9106, 3.1: 16 are recommended).
const SALT: usize = 16;

/// Why a password cannot be set or held against one.
#[derive(Debug, PartialEq, Eq)]
pub enum PasswordError {
    /// It is too short or too long.
    Length,
    /// None has been set.
    None,
    /// The file cannot be used, and why.
    File(PathBuf, String),
    /// It cannot be hashed, and why.
    Hash(String),
}

impl std::fmt::Display for PasswordError {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Length => write!(
                out,
                "a password has at least {FEWEST} characters and at most {MOST_BYTES} bytes: a few words in a row are easy to keep in mind"
            ),
            Self::None => out.write_str(
                "nobody has set the password of whoever looks after sittings: `coldtrail records password` sets it",
            ),
            Self::File(path, why) => write!(out, "{} cannot be used: {why}", path.display()),
            Self::Hash(why) => write!(out, "the password cannot be hashed: {why}"),
        }
    }
}

impl std::error::Error for PasswordError {}

/// Whether an office has a password.
#[must_use]
pub fn is_set(office: &Path) -> bool {
    office.join(FILE).exists()
}

/// Sets the password, in place of one that was set.
///
/// # Errors
/// [`PasswordError`]; the old one then stands.
pub fn set(office: &Path, password: &str) -> Result<(), PasswordError> {
    if password.chars().count() < FEWEST || password.len() > MOST_BYTES {
        return Err(PasswordError::Length);
    }
    let failed = |why: &dyn std::fmt::Display| PasswordError::Hash(why.to_string());
    let mut salt = [0; SALT];
    getrandom::fill(&mut salt).map_err(|why| failed(&why))?;
    let salt = SaltString::encode_b64(&salt).map_err(|why| failed(&why))?;
    // Argon2id with 19 MiB and two passes: the crate's default, and OWASP's advice (from memory).
    let hash = Argon2::default().hash_password(password.as_bytes(), &salt);
    let hash = hash.map_err(|why| failed(&why))?.to_string();
    let (file, new) = (office.join(FILE), office.join("proctor.argon2.new"));
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let written = options.open(&new).and_then(|mut to| {
        to.write_all(format!("{hash}\n").as_bytes())?;
        to.sync_all()
    });
    written
        .and_then(|()| std::fs::rename(&new, &file))
        .map_err(|why| PasswordError::File(file, why.to_string()))
}

/// Whether it is the password. Takes some tens of milliseconds and 19 MiB.
///
/// # Errors
/// [`PasswordError`] where there is none, or it cannot be read.
pub fn is_right(office: &Path, password: &str) -> Result<bool, PasswordError> {
    let file = office.join(FILE);
    let text = match std::fs::read_to_string(&file) {
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => return Err(PasswordError::None),
        Err(why) => return Err(PasswordError::File(file, why.to_string())),
        Ok(text) => text,
    };
    let kept = PasswordHash::new(text.trim());
    let kept = kept.map_err(|why| PasswordError::File(file, why.to_string()))?;
    if password.len() > MOST_BYTES {
        return Ok(false);
    }
    let held = Argon2::default().verify_password(password.as_bytes(), &kept);
    Ok(held.is_ok())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn the_password_and_no_other_is_right() {
        let folder = std::env::temp_dir().join(format!("coldtrail-proctor-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        assert_eq!(is_right(&folder, "anything"), Err(PasswordError::None));
        assert_eq!(set(&folder, "too short"), Err(PasswordError::Length));
        set(&folder, "four words in a row").unwrap();
        assert_eq!(is_right(&folder, "four words in a row"), Ok(true));
        assert_eq!(is_right(&folder, "four words in a rov"), Ok(false));
        set(&folder, "other words in a row").unwrap();
        assert_eq!(is_right(&folder, "four words in a row"), Ok(false));
        let text = std::fs::read_to_string(folder.join(FILE)).unwrap();
        assert!(
            text.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{text}"
        );
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_hash_made_elsewhere_is_understood() {
        // PyPI argon2-cffi 25.1.0, which is the reference implementation in C:
        // `PasswordHasher(time_cost=2, memory_cost=19456, parallelism=1).hash("four words in a row")`.
        const MADE: &str = "$argon2id$v=19$m=19456,t=2,p=1$rEScJcmOWSVHf6ulq6KCFw$3j5aukWMUKDNVCpoT8J3QZjg8WWkbQVXSnmgkuSLIzk";
        let folder = std::env::temp_dir().join(format!("coldtrail-argon2-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join(FILE), MADE).unwrap();
        assert_eq!(is_right(&folder, "four words in a row"), Ok(true));
        assert_eq!(is_right(&folder, "five words in a row"), Ok(false));
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
