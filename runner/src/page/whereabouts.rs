//! What an address of a car's page says beyond the car: the place one stands at, what is about to be concluded, and what
//! is watched.

use serde::{Deserialize, Serialize};

use super::watch::Watch;

/// What follows the question mark of a car's address.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
pub(super) struct Where {
    /// A place of the car.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// A conclusion in words, before anybody is held to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sure: Option<String>,
    /// A reading that is watched, the looks to come, and the steps taken before the next: an address that is opened
    /// later finds others, and lets no time pass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    watch: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    left: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    after: Option<u64>,
}

impl Where {
    /// At a place of the car.
    pub fn at(place: Option<&str>) -> Self {
        Self {
            at: place.map(str::to_owned),
            ..Self::default()
        }
    }

    /// Before a conclusion.
    pub fn sure(words: String) -> Self {
        Self {
            sure: Some(words),
            ..Self::default()
        }
    }

    /// The same with a watch that goes on after so many steps.
    pub fn watching(mut self, watch: Option<&Watch>, steps: u64) -> Self {
        self.watch = watch.map(Watch::words);
        self.left = watch.map(|watch| watch.left);
        self.after = watch.map(|_| steps);
        self
    }

    /// The watch that goes on now.
    pub fn watch(&self, steps: u64) -> Option<Watch> {
        let watch = Watch::asked(self.watch.as_deref()?, self.left?)?;
        (self.after == Some(steps)).then_some(watch)
    }

    /// What follows an address, the question mark included.
    pub fn query(&self) -> String {
        match serde_urlencoded::to_string(self) {
            Ok(query) if !query.is_empty() => format!("?{query}"),
            _ => String::new(),
        }
    }
}
