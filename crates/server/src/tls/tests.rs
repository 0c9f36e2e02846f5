//! A client that trusts the certificate is served; a cookie is then for TLS only.

use std::sync::Arc;

use jiff::civil::date;
use tempfile::TempDir;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio_rustls::TlsConnector;
use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConfig, RootCertStore};

use super::*;
use crate::club::{Club, PASSWORD};

fn made(folder: &TempDir) -> (PathBuf, PathBuf) {
    let names = ["localhost".to_owned(), "127.0.0.1".to_owned()];
    // Valid on the day of the test: the client checks it against the real clock.
    let made = self_signed(
        &names,
        jiff::Timestamp::now()
            .to_zoned_datetime(jiff::tz::TimeZone::UTC)
            .date(),
    );
    let made = made.expect("made");
    assert_eq!(made.fingerprint.len(), 32 * 3 - 1);
    let paths = (
        folder.path().join("certificate.pem"),
        folder.path().join("key.pem"),
    );
    std::fs::write(&paths.0, made.certificate).expect("written");
    std::fs::write(&paths.1, made.key).expect("written");
    paths
}

fn client(certificate: &Path) -> TlsConnector {
    let mut roots = RootCertStore::empty();
    for own in CertificateDer::pem_file_iter(certificate).expect("a file") {
        roots.add(own.expect("a certificate")).expect("an anchor");
    }
    let config = ClientConfig::builder_with_provider(default_provider().into())
        .with_safe_default_protocol_versions()
        .expect("versions")
        .with_root_certificates(roots)
        .with_no_client_auth();
    TlsConnector::from(Arc::new(config))
}

async fn ask(client: &TlsConnector, address: SocketAddr, request: &str) -> io::Result<String> {
    let stream = TcpStream::connect(address).await?;
    let name = ServerName::try_from("localhost").expect("a name");
    let mut stream = client.connect(name, stream).await?;
    stream.write_all(request.as_bytes()).await?;
    let mut answer = String::new();
    // A server that closes without a farewell has still said everything.
    drop(stream.read_to_string(&mut answer).await);
    Ok(answer)
}

#[test]
fn a_client_signs_in_over_tls_and_its_cookie_is_for_tls_only() {
    let folder = TempDir::new().expect("a folder");
    let (certificate, key) = made(&folder);
    let tls = Tls::read(&certificate, &key).expect("a pair");
    let club = Club::under_tls();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    runtime.block_on(async {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("an address");
        tokio::spawn(crate::serve::run(club.app.clone(), tls.listen(listener)));
        let client = client(&certificate);
        let head = "host: localhost\r\nconnection: close\r\n";
        let page = ask(
            &client,
            address,
            &format!("GET /sign-in HTTP/1.1\r\n{head}\r\n"),
        )
        .await;
        assert!(page.expect("served").starts_with("HTTP/1.1 200"));
        let form = format!("name=Member+lead&password={}", PASSWORD.replace(' ', "+"));
        let post = format!(
            "POST /sign-in HTTP/1.1\r\n{head}origin: https://localhost\r\n\
             content-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n{form}",
            form.len()
        );
        let answer = ask(&client, address, &post).await.expect("served");
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
        assert!(
            answer.contains("; HttpOnly; SameSite=Lax; Secure"),
            "{answer}"
        );

        // One that does not speak TLS keeps nobody else waiting, and is told nothing.
        let mut plain = TcpStream::connect(address).await.expect("connected");
        let silent = TcpStream::connect(address).await.expect("connected");
        plain
            .write_all(b"GET /sign-in HTTP/1.1\r\n\r\n")
            .await
            .expect("sent");
        let mut said = Vec::new();
        drop(plain.read_to_end(&mut said).await);
        assert!(!said.windows(4).any(|own| own == b"HTTP"));
        let page = ask(
            &client,
            address,
            &format!("GET /sign-in HTTP/1.1\r\n{head}\r\n"),
        )
        .await;
        assert!(page.expect("served").starts_with("HTTP/1.1 200"));
        drop(silent);
    });
}

#[test]
fn a_client_that_was_not_shown_the_certificate_does_not_trust_it() {
    let folder = TempDir::new().expect("a folder");
    let other = TempDir::new().expect("a folder");
    let (certificate, key) = made(&folder);
    let (stranger, _) = made(&other);
    let tls = Tls::read(&certificate, &key).expect("a pair");
    let club = Club::under_tls();
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    runtime.block_on(async {
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("an address");
        tokio::spawn(crate::serve::run(club.app.clone(), tls.listen(listener)));
        let refused = ask(&client(&stranger), address, "GET / HTTP/1.1\r\n\r\n").await;
        assert!(refused.is_err(), "{refused:?}");
    });
}

#[test]
fn a_file_that_is_no_certificate_or_not_the_keys_is_named() {
    let folder = TempDir::new().expect("a folder");
    let (certificate, key) = made(&folder);
    let other = TempDir::new().expect("a folder");
    let (_, other_key) = made(&other);
    let said = |certificate: &Path, key: &Path| match Tls::read(certificate, key) {
        Ok(_) => String::new(),
        Err(error) => error.to_string(),
    };
    assert!(
        said(&key, &key).contains("no certificate in PEM"),
        "{}",
        said(&key, &key)
    );
    assert!(said(&certificate, &certificate).contains("no private key in PEM"));
    assert!(
        said(&certificate, &other_key).contains("cannot serve"),
        "{}",
        said(&certificate, &other_key)
    );
    assert!(said(&folder.path().join("none.pem"), &key).contains("none.pem"));
    assert!(self_signed(&["not a n\u{e4}me".to_owned()], date(2026, 11, 25)).is_err());
}
