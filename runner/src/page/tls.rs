//! TLS: a certificate that somebody brings, or one of our own that browsers ask about once.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;

use axum_server::tls_rustls::RustlsConfig;
use rcgen::{CertificateParams, CertifiedKey, DnType, KeyPair};
use rustls::ServerConfig;
use rustls::crypto::ring::default_provider;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use sha2::{Digest, Sha256};

use super::NotServed;

/// A certificate with what is above it, and its key, in PEM.
#[derive(Clone)]
pub struct Certificate {
    /// The certificate, and those that signed it.
    pub chain: String,
    /// Its key.
    pub key: String,
}

impl std::fmt::Debug for Certificate {
    // Nothing that is printed may hold a secret.
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(&self.chain)
    }
}

const CHAIN: &str = "page.certificate.pem";
const KEY: &str = "page.key.pem";

fn failed(why: impl std::fmt::Display) -> NotServed {
    NotServed::Certificate(why.to_string())
}

impl Certificate {
    /// One that somebody brings.
    ///
    /// # Errors
    /// [`NotServed::Certificate`] where a file cannot be read.
    pub fn read(chain: &Path, key: &Path) -> Result<Self, NotServed> {
        let text = |path: &Path| {
            std::fs::read_to_string(path)
                .map_err(|why| failed(format!("{}: {why}", path.display())))
        };
        Ok(Self {
            chain: text(chain)?,
            key: text(key)?,
        })
    }

    /// The office's own, for these names; made where there is none yet, and kept, so that browsers ask once.
    ///
    /// # Errors
    /// [`NotServed::Certificate`] where it cannot be made or written.
    pub fn own(office: &Path, names: &[String]) -> Result<Self, NotServed> {
        let (chain, key) = (office.join(CHAIN), office.join(KEY));
        if chain.exists() && key.exists() {
            return Self::read(&chain, &key);
        }
        let mut params = CertificateParams::new(names).map_err(failed)?;
        params
            .distinguished_name
            .push(DnType::CommonName, "coldtrail");
        let signing_key = KeyPair::generate().map_err(failed)?;
        let cert = params.self_signed(&signing_key).map_err(failed)?;
        let CertifiedKey { cert, signing_key } = CertifiedKey { cert, signing_key };
        let made = Self {
            chain: cert.pem(),
            key: signing_key.serialize_pem(),
        };
        for (path, text) in [(&key, &made.key), (&chain, &made.chain)] {
            let mut options = OpenOptions::new();
            options.write(true).create(true).truncate(true);
            #[cfg(unix)]
            std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
            let written = options.open(path).and_then(|mut file| {
                file.write_all(text.as_bytes())?;
                file.sync_all()
            });
            written.map_err(|why| failed(format!("{}: {why}", path.display())))?;
        }
        Ok(made)
    }

    fn ders(&self) -> Result<Vec<CertificateDer<'static>>, NotServed> {
        let chain = CertificateDer::pem_slice_iter(self.chain.as_bytes());
        let chain = chain.collect::<Result<Vec<_>, _>>();
        chain.map_err(failed)
    }
}

/// SHA-256 of a certificate, as browsers show it.
///
/// # Errors
/// [`NotServed::Certificate`] where it is none.
pub fn fingerprint(certificate: &Certificate) -> Result<String, NotServed> {
    let ders = certificate.ders()?;
    let der = ders.first().ok_or_else(|| failed("it is none"))?;
    let digest = Sha256::digest(der);
    let pairs: Vec<String> = digest.iter().map(|byte| format!("{byte:02X}")).collect();
    Ok(pairs.join(":"))
}

/// What serves with a certificate.
pub(super) fn config(certificate: Certificate) -> Result<RustlsConfig, NotServed> {
    let chain = certificate.ders()?;
    let key = PrivateKeyDer::from_pem_slice(certificate.key.as_bytes()).map_err(failed)?;
    let config = ServerConfig::builder_with_provider(Arc::new(default_provider()))
        .with_safe_default_protocol_versions()
        .map_err(failed)?
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .map_err(failed)?;
    let mut config = config;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(RustlsConfig::from_config(Arc::new(config)))
}
