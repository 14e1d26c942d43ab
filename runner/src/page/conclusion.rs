//! A conclusion as a form sends it: its readings come as many fields of one name, which only the raw text of the form
//! tells.

use super::answers::No;

/// A conclusion in words, before anybody is held to it.
pub(super) struct Concluded {
    pub token: String,
    /// As it would be typed.
    pub words: String,
}

/// Reads the raw text of a form.
pub(super) fn read(bytes: &[u8]) -> Result<Concluded, No> {
    let fields: Vec<(String, String)> =
        serde_urlencoded::from_bytes(bytes).map_err(|why| No::Wrong(why.to_string()))?;
    let field = |name: &str| {
        let mut found = fields.iter().filter(|(key, _)| key == name);
        found.next().map(|(_, value)| value.as_str())
    };
    let mut words = format!("conclude {}", field("fault").unwrap_or_default());
    if let Some(cause) = field("cause").filter(|cause| !cause.is_empty()) {
        words.push_str(&format!(" cause {cause}"));
    }
    let because = fields.iter().filter(|(key, _)| key == "because");
    let because: Vec<&str> = because.map(|(_, value)| value.as_str()).collect();
    if !because.is_empty() {
        words.push_str(&format!(" because {}", because.join(" ")));
    }
    Ok(Concluded {
        token: field("token").unwrap_or_default().to_owned(),
        words,
    })
}
