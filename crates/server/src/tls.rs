//! Serving under TLS: the certificate and key as the club has them, a certificate of its own making, and
//! a listener that shakes hands apart from accepting, so that one slow client keeps nobody waiting.
//!
//! TLS 1.2 and 1.3 with the library's own choice of suites; its arithmetic is ring's, which needs no
//! more than the C compiler that the database needs anyway.

use std::io;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use axum::serve::Listener;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio_rustls::server::TlsStream;

/// How long a handshake may take.
const HANDSHAKE_MOST: Duration = Duration::from_secs(10);
/// Handshakes done and not yet served.
const QUEUE: usize = 64;

/// Why a certificate or key cannot serve.
#[derive(Debug, thiserror::Error)]
pub enum TlsError {
    /// A file that cannot be read, or holds something else.
    #[error("{path}: no {what} in PEM there ({why})")]
    Pem {
        /// The file.
        path: PathBuf,
        /// What was looked for.
        what: &'static str,
        /// What was found.
        why: String,
    },
    /// Certificate and key do not fit, or are of a kind that is not taken.
    #[error("certificate {certificate} and key {key} cannot serve: {why}")]
    Pair {
        /// The certificate's file.
        certificate: PathBuf,
        /// The key's file.
        key: PathBuf,
        /// Why not.
        why: String,
    },
    /// A certificate that could not be made.
    #[error("the certificate could not be made: {0}")]
    Making(String),
}

/// A certificate with its key, ready to serve under.
#[derive(Clone)]
pub struct Tls(Arc<ServerConfig>);

impl Tls {
    /// Reads a certificate (with those it hangs on, if any) and its key from PEM files.
    ///
    /// # Errors
    /// [`TlsError`] naming the file and what was wrong with it.
    pub fn read(certificate: &Path, key: &Path) -> Result<Self, TlsError> {
        let pem = |path: &Path, what, why: String| TlsError::Pem {
            path: path.to_owned(),
            what,
            why,
        };
        let chain = CertificateDer::pem_file_iter(certificate)
            .and_then(Iterator::collect::<Result<Vec<_>, _>>)
            .map_err(|error| pem(certificate, "certificate", error.to_string()))?;
        if chain.is_empty() {
            let why = "the file holds none".to_owned();
            return Err(pem(certificate, "certificate", why));
        }
        let secret = PrivateKeyDer::from_pem_file(key)
            .map_err(|error| pem(key, "private key", error.to_string()))?;
        let pair = |error: tokio_rustls::rustls::Error| TlsError::Pair {
            certificate: certificate.to_owned(),
            key: key.to_owned(),
            why: error.to_string(),
        };
        let config = ServerConfig::builder_with_provider(default_provider().into())
            .with_safe_default_protocol_versions()
            .map_err(pair)?
            .with_no_client_auth()
            .with_single_cert(chain, secret)
            .map_err(pair)?;
        Ok(Self(config.into()))
    }

    /// A listener that hands on connections whose handshake is done.
    pub(crate) fn listen(self, plain: TcpListener) -> TlsListener {
        let (done, connections) = channel(QUEUE);
        let address = plain.local_addr();
        let acceptor = TlsAcceptor::from(self.0);
        tokio::spawn(accept(plain, acceptor, done));
        TlsListener {
            connections,
            address,
        }
    }
}

async fn accept(mut plain: TcpListener, acceptor: TlsAcceptor, done: Sender<Connected>) {
    while !done.is_closed() {
        // Trouble with one connection is waited out by the listener itself.
        let (stream, address) = tokio::select! {
            own = Listener::accept(&mut plain) => own,
            () = done.closed() => return,
        };
        let (acceptor, done) = (acceptor.clone(), done.clone());
        tokio::spawn(async move {
            let shaken = tokio::time::timeout(HANDSHAKE_MOST, acceptor.accept(stream)).await;
            if let Ok(Ok(stream)) = shaken {
                // Nobody takes it when the server is being stopped.
                drop(done.send((stream, address)).await);
            }
        });
    }
}

type Connected = (TlsStream<TcpStream>, SocketAddr);

/// Connections under TLS.
pub(crate) struct TlsListener {
    connections: Receiver<Connected>,
    address: io::Result<SocketAddr>,
}

impl Listener for TlsListener {
    type Io = TlsStream<TcpStream>;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> Connected {
        match self.connections.recv().await {
            Some(own) => own,
            // The task that accepts ends only with this listener.
            None => std::future::pending().await,
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        match &self.address {
            Ok(address) => Ok(*address),
            Err(error) => Err(io::Error::new(error.kind(), error.to_string())),
        }
    }
}

/// A certificate that its own key has signed, and that key, both in PEM.
pub struct SelfSigned {
    /// The certificate.
    pub certificate: String,
    /// The key; whoever has it can pass for the server.
    pub key: String,
    /// The certificate's SHA-256, as browsers show it.
    pub fingerprint: String,
}

/// Makes a certificate for these names and addresses, with a fresh key (ECDSA on P-256).
///
/// # Errors
/// [`TlsError::Making`] for a name that none can be made for.
pub fn self_signed(names: &[String], from: jiff::civil::Date) -> Result<SelfSigned, TlsError> {
    use sha2::{Digest, Sha256};
    let making = |error: rcgen::Error| TlsError::Making(error.to_string());
    let mut wanted = rcgen::CertificateParams::new(names.to_vec()).map_err(making)?;
    let day = |date: jiff::civil::Date| {
        let part = |own: i8| u8::try_from(own).unwrap_or(1);
        rcgen::date_time_ymd(i32::from(date.year()), part(date.month()), part(date.day()))
    };
    // A day early for clocks that are behind; 398 days is what browsers take at the most.
    wanted.not_before = day(from.yesterday().unwrap_or(from));
    wanted.not_after = day(from.saturating_add(jiff::ToSpan::days(397)));
    wanted.distinguished_name = rcgen::DistinguishedName::new();
    let name = names.first().map_or("gradeworthy", String::as_str);
    wanted
        .distinguished_name
        .push(rcgen::DnType::CommonName, name);
    wanted.extended_key_usages = vec![rcgen::ExtendedKeyUsagePurpose::ServerAuth];
    let key = rcgen::KeyPair::generate().map_err(making)?;
    let certificate = wanted.self_signed(&key).map_err(making)?;
    let digest = Sha256::digest(certificate.der());
    let pairs: Vec<_> = digest.iter().map(|byte| format!("{byte:02X}")).collect();
    Ok(SelfSigned {
        certificate: certificate.pem(),
        key: key.serialize_pem(),
        fingerprint: pairs.join(":"),
    })
}

#[cfg(test)]
mod tests;
