//! `coldtrail records password`: the password of whoever looks after sittings on the page.

use crate::cli::Streams;
use crate::cli::prompt::{Stop, say};
use crate::invigilate::proctor;
use crate::records::Office;

/// Asks twice, and sets it. At a terminal nothing that is typed is shown; from a file it is two lines.
pub(super) fn set(office: &Office, streams: &mut Streams<'_>) -> Result<String, String> {
    let first = typed(streams, "The new password, which is not shown: ")?;
    let again = typed(streams, "Once more: ")?;
    if first != again {
        return Err("the two were not the same; nothing was changed".to_owned());
    }
    proctor::set(office.folder(), &first).map_err(|why| why.to_string())?;
    Ok("The password is set; only a hash of it is kept.\n".to_owned())
}

fn typed(streams: &mut Streams<'_>, prompt: &str) -> Result<String, String> {
    let unread = |why: std::io::Error| format!("the terminal cannot be read: {why}");
    if streams.input_is_terminal {
        say(streams, prompt).map_err(|stop| match stop {
            Stop::Broken(why) | Stop::Over(why) => why,
            Stop::Leave | Stop::GiveUp => "nothing was changed".to_owned(),
        })?;
        return rpassword::read_password().map_err(unread);
    }
    let mut line = String::new();
    streams.input.read_line(&mut line).map_err(unread)?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}
