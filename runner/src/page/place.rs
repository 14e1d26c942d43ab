//! Where a page listens, and which requests are for it.

use std::net::SocketAddr;

use axum::http::HeaderMap;
use axum::http::header::{HOST, ORIGIN};

/// Where a page listens.
#[derive(Clone, Debug)]
pub struct Place {
    /// The address.
    pub at: SocketAddr,
    /// Over TLS.
    pub secure: bool,
    /// SHA-256 of the certificate, for people to compare.
    pub fingerprint: Option<String>,
}

impl Place {
    /// A place on this machine, without TLS: nobody else hears it.
    #[must_use]
    pub fn here(at: SocketAddr) -> Self {
        Self {
            at,
            secure: false,
            fingerprint: None,
        }
    }

    /// How its addresses begin.
    #[must_use]
    pub fn scheme(&self) -> &'static str {
        if self.secure { "https" } else { "http" }
    }

    /// Whether a request is for this page, and from it where it says from where it is.
    ///
    /// On this machine alone, its own name has to stand in the request: another site's name could be made to point
    /// here. On a network this machine has names that it does not know; there, nobody is let in without a code, and
    /// a browser does not send what lets them in under another site's name.
    pub(super) fn is_ours(&self, headers: &HeaderMap) -> bool {
        let text = |name| {
            headers
                .get(name)
                .map(|value| value.to_str().unwrap_or_default())
        };
        let Some(host) = text(HOST) else {
            return false;
        };
        if self.at.ip().is_loopback() {
            let own = [self.at.to_string(), format!("localhost:{}", self.at.port())];
            if !own.iter().any(|one| one == host) {
                return false;
            }
        }
        text(ORIGIN).is_none_or(|origin| origin == format!("{}://{host}", self.scheme()))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn asked(place: &Place, host: &str, origin: Option<&str>) -> bool {
        let mut headers = HeaderMap::new();
        headers.insert(HOST, host.parse().unwrap());
        if let Some(origin) = origin {
            headers.insert(ORIGIN, origin.parse().unwrap());
        }
        place.is_ours(&headers)
    }

    #[test]
    fn another_host_and_another_origin_are_refused() {
        let here = Place::here("127.0.0.1:8137".parse().unwrap());
        assert!(asked(&here, "127.0.0.1:8137", None));
        assert!(asked(
            &here,
            "localhost:8137",
            Some("http://localhost:8137")
        ));
        assert!(!asked(&here, "elsewhere.example", None));
        assert!(!asked(
            &here,
            "127.0.0.1:8137",
            Some("http://elsewhere.example")
        ));
        assert!(!asked(&here, "127.0.0.1:8137", Some("null")));
        let network = Place {
            at: "192.0.2.7:8137".parse().unwrap(),
            secure: true,
            fingerprint: None,
        };
        assert!(asked(
            &network,
            "bench.local:8137",
            Some("https://bench.local:8137")
        ));
        assert!(!asked(
            &network,
            "bench.local:8137",
            Some("http://bench.local:8137")
        ));
        assert!(!asked(
            &network,
            "bench.local:8137",
            Some("https://elsewhere.example")
        ));
    }
}
