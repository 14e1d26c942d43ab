//! `coldtrail author seal` and `unseal`: a bundle of one's own on its way to other instructors, and back into files.

use std::fs::{self, File, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use scenarios::load::LARGEST_BYTES;
use scenarios::{Bundle, Library};

use crate::bundle;
use crate::cli::records::OfficeArgs;
use crate::cli::{EXIT_OK, Streams};
use crate::records::packs::{LARGEST_PACK, seal, unseal};
use crate::records::{Identity, Keys, PublicKey, Recipient};
use crate::show;

/// What `coldtrail author seal` is asked.
#[derive(Args, Clone, Debug)]
pub struct SealArgs {
    /// The bundle, a folder or one text file
    #[arg(value_name = "BUNDLE")]
    own: PathBuf,
    /// The pack to write
    file: PathBuf,
    /// An office to seal it for, age1..., as `coldtrail records keys` prints it there; one for each
    #[arg(long = "to", value_name = "RECIPIENT", required = true)]
    recipients: Vec<String>,
    /// The folder of the office that signs; left out, the one in the system's data folder
    #[arg(long, value_name = "FOLDER")]
    records: Option<PathBuf>,
}

/// What `coldtrail author unseal` is asked.
#[derive(Args, Clone, Debug)]
pub struct UnsealArgs {
    /// The pack
    file: PathBuf,
    /// The public key of the office that signed it, as `coldtrail records keys` prints it there
    #[arg(long, value_name = "KEY")]
    from: String,
    /// Where the bundle goes: a folder, or one text file where the name has an ending such as `.bundle`
    #[arg(long, value_name = "PATH")]
    out: PathBuf,
    /// The folder of the office it is sealed for; left out, the one in the system's data folder
    #[arg(long, value_name = "FOLDER")]
    records: Option<PathBuf>,
}

/// Seals a bundle that can be loaded as it is.
///
/// # Errors
/// The bundle's mistakes, each at its place; or a sentence on why there is no pack.
pub fn sealed(args: &SealArgs, streams: &Streams<'_>) -> Result<(String, u8), String> {
    let own = bundle::read(&args.own)?;
    // A pack stands alone: what it builds on is what every program has built in.
    Library::builtin()
        .and_then(|library| library.with(&own))
        .map_err(|errors| errors.to_string())?;
    let mut recipients = Vec::new();
    for text in &args.recipients {
        let one = Recipient::read(text).ok_or_else(|| {
            format!("{text:?} is no recipient: one is `age1` and 58 letters and digits, as `coldtrail records keys` prints it")
        })?;
        recipients.push(one);
    }
    let keys = Keys::open(&office(&args.records, streams)?).map_err(|why| why.to_string())?;
    let bytes = seal(&own, &keys, &recipients).map_err(|why| why.to_string())?;
    write_file(&args.file, &bytes)?;
    let count = own.files().len();
    let text = format!(
        "{} is written: {count} file{} for {} office{}. Who opens it needs --from {}\n",
        args.file.display(),
        if count == 1 { "" } else { "s" },
        recipients.len(),
        if recipients.len() == 1 { "" } else { "s" },
        keys.public_key()
    );
    Ok((show::wrapped(&text, streams.width), EXIT_OK))
}

/// Opens a pack and writes the bundle in it.
///
/// # Errors
/// A sentence on why it is not opened; then nothing is written.
pub fn unsealed(args: &UnsealArgs, streams: &Streams<'_>) -> Result<(String, u8), String> {
    let shown = args.file.display();
    let from = PublicKey::read(&args.from)
        .ok_or("a public key has 64 digits, 0 to 9 and a to f".to_owned())?;
    let bytes = read(&args.file).map_err(|why| format!("{shown} cannot be read: {why}"))?;
    let folder = office(&args.records, streams)?;
    let identity = Identity::open_or_make(&folder).map_err(|why| why.to_string())?;
    let own = unseal(&bytes, &identity, &from)
        .map_err(|why| format!("{shown} is not unsealed: {why}"))?;
    if args.out.extension().is_some() {
        let text = own.to_text().map_err(|errors| errors.to_string())?;
        if text.len() > LARGEST_BYTES {
            return Err(format!(
                "{} would be larger than the {} KiB that one file may have: name a folder",
                args.out.display(),
                LARGEST_BYTES / 1024
            ));
        }
        write_file(&args.out, text.as_bytes())?;
    } else {
        write_folder(&args.out, &own)?;
    }
    let mut text = format!("{} is written:\n", args.out.display());
    for (name, _) in own.files() {
        text.push_str("  ");
        text.push_str(&name);
        text.push('\n');
    }
    Ok((text, EXIT_OK))
}

/// The folder of an office that is there.
fn office(named: &Option<PathBuf>, streams: &Streams<'_>) -> Result<PathBuf, String> {
    let at = OfficeArgs {
        records: named.clone(),
        store: None,
    };
    let folder = at.folder(streams)?;
    if Keys::are_in(&folder) {
        return Ok(folder);
    }
    Err(format!(
        "there is no office in {}: `coldtrail records new` sets one up",
        folder.display()
    ))
}

/// A file's bytes; one more than a pack may have, where there are more.
fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let most = LARGEST_PACK as u64 + 1;
    File::open(path)?.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Writes a file that is not there yet, whole or not at all.
fn write_file(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let file = OpenOptions::new().write(true).create_new(true).open(path);
    let mut file = file.map_err(|why| not_written(path, &why))?;
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    written.map_err(|why| {
        let _ = fs::remove_file(path);
        not_written(path, &why)
    })
}

/// Writes a bundle into a folder that is not there yet, whole or not at all.
fn write_folder(path: &Path, own: &Bundle) -> Result<(), String> {
    fs::create_dir(path).map_err(|why| not_written(path, &why))?;
    // The names were checked when the pack was read: each is a plain one in one of a bundle's folders.
    let written = own.files().into_iter().try_for_each(|(name, text)| {
        let file = path.join(name);
        if let Some(folder) = file.parent() {
            fs::create_dir_all(folder).map_err(|why| not_written(folder, &why))?;
        }
        write_file(&file, text.as_bytes())
    });
    if written.is_err() {
        let _ = fs::remove_dir_all(path);
    }
    written
}

fn not_written(path: &Path, why: &std::io::Error) -> String {
    let shown = path.display();
    if why.kind() == std::io::ErrorKind::AlreadyExists {
        return format!("{shown} is there already, and stays as it is: name another");
    }
    format!("{shown} cannot be written: {why}")
}
