//! The certificate: read and judged at the start, read again when it is renewed.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use axum_server::accept::{Accept, DefaultAcceptor};
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use futures_util::future::BoxFuture;
use tokio::net::TcpStream;
use x509_parser::pem::Pem;
use x509_parser::time::ASN1Time;

use crate::connections::answer_and_close;

/// The files, and what is served from them.
#[derive(Clone, Debug)]
pub struct Certificate {
    chain: PathBuf,
    key: PathBuf,
    read: (Vec<u8>, Vec<u8>),
    config: RustlsConfig,
}

/// Days before the end from which it is said at every start.
const SOON: i64 = 14;
/// How often the files are looked at.
const AGAIN: Duration = Duration::from_secs(60);

impl Certificate {
    /// Reads a chain and its key.
    ///
    /// # Errors
    /// When a file cannot be read, the two do not belong together, or the
    /// certificate is not valid now: phones would refuse it.
    pub async fn open(chain: &Path, key: &Path) -> Result<Self> {
        let read = (
            file(chain, "the certificate").await?,
            file(key, "the key of the certificate").await?,
        );
        valid_now(&read.0).with_context(|| format!("the certificate {}", chain.display()))?;
        let config = RustlsConfig::from_pem(read.0.clone(), read.1.clone())
            .await
            .map_err(|error| fault(&error, chain, key))?;
        // Only what is spoken here is offered (RFC 7301): browsers take HTTP/2
        // where they can have it.
        let mut offered = rustls::ServerConfig::clone(&config.get_inner());
        offered.alpn_protocols = vec![b"http/1.1".to_vec()];
        config.reload_from_config(Arc::new(offered));
        Ok(Self {
            chain: chain.to_path_buf(),
            key: key.to_path_buf(),
            read,
            config,
        })
    }

    /// Takes up renewed files within a minute, again and again. What is not good
    /// is said and not taken: the one in use stays.
    pub async fn keep_fresh(mut self) {
        loop {
            tokio::time::sleep(AGAIN).await;
            self.look_again().await;
        }
    }

    async fn look_again(&mut self) {
        match Self::open(&self.chain, &self.key).await {
            Ok(new) if new.read == self.read => {}
            Ok(new) => {
                self.config.reload_from_config(new.config.get_inner());
                self.read = new.read;
                tracing::info!("the renewed certificate is in use");
            }
            Err(error) => tracing::error!(error = format!("{error:#}"), "the certificate"),
        }
    }

    /// What speaks TLS on a connection.
    #[must_use]
    pub fn door(&self) -> Door {
        Door(RustlsAcceptor::new(self.config.clone()))
    }
}

async fn file(path: &Path, what: &str) -> Result<Vec<u8>> {
    let read = tokio::fs::read(path).await;
    read.with_context(|| format!("{what}, {}, cannot be read", path.display()))
}

/// Judges the first certificate of a chain by this machine's clock.
fn valid_now(chain: &[u8]) -> Result<()> {
    let pem = Pem::iter_from_buffer(chain)
        .next()
        .context("holds no certificate in PEM form (-----BEGIN CERTIFICATE-----)")??;
    let certificate = pem
        .parse_x509()
        .context("is not one: its first block is something else")?;
    let (now, validity) = (ASN1Time::now(), certificate.validity());
    if now > validity.not_after {
        bail!(
            "ended on {}: phones refuse it. Renew it and start again",
            validity.not_after
        );
    }
    if now < validity.not_before {
        bail!(
            "begins only on {}: phones refuse it until then. Is this machine's clock right?",
            validity.not_before
        );
    }
    let left = (validity.not_after.timestamp() - now.timestamp()) / 86_400;
    if left < SOON {
        tracing::warn!(days = left, "the certificate ends soon: renew it");
    }
    Ok(())
}

fn fault(error: &io::Error, chain: &Path, key: &Path) -> anyhow::Error {
    let (chain, key) = (chain.display(), key.display());
    let rustls = error
        .get_ref()
        .and_then(|inner| inner.downcast_ref::<rustls::Error>());
    match rustls {
        Some(rustls::Error::InconsistentKeys(_)) => anyhow::anyhow!(
            "the key {key} is not that of the certificate {chain}: give the two that were made together"
        ),
        _ => anyhow::anyhow!(
            "the certificate {chain} or its key {key} is of no use: {error}. Both are in PEM form, the key without a password"
        ),
    }
}

/// Lets connections in that speak TLS, and tells others what to do.
#[derive(Clone, Debug)]
pub struct Door(RustlsAcceptor<DefaultAcceptor>);

/// Longest wait for the first byte of a connection.
const FIRST_BYTE: Duration = Duration::from_secs(10);
/// The first byte of a TLS connection: a handshake record (RFC 8446 section 5.1).
const HANDSHAKE: u8 = 22;
const PLAIN: &str = "The collector says: This address speaks https, write https:// before it.\n";

impl<S: Send + 'static> Accept<TcpStream, S> for Door {
    type Stream = <RustlsAcceptor as Accept<TcpStream, S>>::Stream;
    type Service = <RustlsAcceptor as Accept<TcpStream, S>>::Service;
    type Future = BoxFuture<'static, io::Result<(Self::Stream, Self::Service)>>;

    fn accept(&self, mut stream: TcpStream, service: S) -> Self::Future {
        let inner = self.0.clone();
        Box::pin(async move {
            let mut first = [0];
            let peeked = tokio::time::timeout(FIRST_BYTE, stream.peek(&mut first));
            let seen = peeked.await.map_err(|_| io::ErrorKind::TimedOut)??;
            if seen == 1 && first != [HANDSHAKE] {
                answer_and_close(&mut stream, "400 Bad Request", PLAIN).await;
                return Err(io::ErrorKind::InvalidData.into());
            }
            inner.accept(stream, service).await
        })
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn made() -> (String, String) {
        let made = rcgen::generate_simple_self_signed(["localhost".to_owned()]).unwrap();
        (made.cert.pem(), made.signing_key.serialize_pem())
    }

    #[tokio::test]
    async fn renewed_files_are_taken_up_and_bad_ones_are_not() {
        let _ = rustls::crypto::ring::default_provider().install_default();
        let place = tempfile::tempdir().unwrap();
        let (chain, key) = (place.path().join("chain"), place.path().join("key"));
        let put = |made: &(String, String)| {
            std::fs::write(&chain, &made.0).unwrap();
            std::fs::write(&key, &made.1).unwrap();
        };
        let (first, second) = (made(), made());
        put(&first);
        let mut certificate = Certificate::open(&chain, &key).await.unwrap();
        let in_use = certificate.config.get_inner();
        certificate.look_again().await;
        assert!(Arc::ptr_eq(&in_use, &certificate.config.get_inner()));
        // Half of a renewal: the new chain beside the old key.
        put(&(second.0.clone(), first.1.clone()));
        certificate.look_again().await;
        assert!(Arc::ptr_eq(&in_use, &certificate.config.get_inner()));
        put(&second);
        certificate.look_again().await;
        let renewed = certificate.config.get_inner();
        assert!(!Arc::ptr_eq(&in_use, &renewed));
        std::fs::remove_file(&key).unwrap();
        certificate.look_again().await;
        assert!(Arc::ptr_eq(&renewed, &certificate.config.get_inner()));
    }
}
