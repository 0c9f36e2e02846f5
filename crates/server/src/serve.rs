//! Listening on a socket until told to stop.

use std::net::SocketAddr;

use axum::extract::connect_info::Connected;
use axum::serve::{IncomingStream, Listener};
use tokio::net::TcpListener;

use crate::tls::{Tls, TlsListener};
use crate::{App, build_app, keeping};

/// Why serving ended other than by being told to.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The address cannot be listened on.
    #[error(
        "cannot listen on {address}: {source}; is another server running? choose another --port"
    )]
    Bind {
        /// The address.
        address: SocketAddr,
        /// What the system said.
        source: std::io::Error,
    },
    /// The system refused something else.
    #[error("the server stopped: {0}")]
    Io(#[from] std::io::Error),
}

/// Where a request came from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct From(pub(crate) SocketAddr);

impl Connected<IncomingStream<'_, TcpListener>> for From {
    fn connect_info(stream: IncomingStream<'_, TcpListener>) -> Self {
        Self(*stream.remote_addr())
    }
}

impl Connected<IncomingStream<'_, TlsListener>> for From {
    fn connect_info(stream: IncomingStream<'_, TlsListener>) -> Self {
        Self(*stream.remote_addr())
    }
}

/// Serves pages on `address`, under TLS where a certificate is given, until the process is interrupted;
/// calls `ready` with the address in use once requests are answered. Meanwhile the day's copy of the
/// record is looked after.
///
/// # Errors
/// [`ServeError::Bind`] when the address is taken or forbidden; [`ServeError::Io`] otherwise.
pub fn serve(
    app: App,
    address: SocketAddr,
    tls: Option<Tls>,
    ready: impl FnOnce(SocketAddr),
) -> Result<(), ServeError> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        let listener = TcpListener::bind(address)
            .await
            .map_err(|source| ServeError::Bind { address, source })?;
        ready(listener.local_addr()?);
        tokio::spawn(keeping::look_after(app.clone()));
        match tls {
            Some(tls) => run(app, tls.listen(listener)).await,
            None => run(app, listener).await,
        }
    })
}

/// Answers until told to stop.
pub(crate) async fn run<L>(app: App, listener: L) -> Result<(), ServeError>
where
    L: Listener<Addr = SocketAddr>,
    From: for<'a> Connected<IncomingStream<'a, L>>,
{
    let service = build_app(app).into_make_service_with_connect_info::<From>();
    axum::serve(listener, service)
        .with_graceful_shutdown(told_to_stop())
        .await?;
    Ok(())
}

async fn told_to_stop() {
    if tokio::signal::ctrl_c().await.is_err() {
        // Without the signal there is only the hard way to stop; serve until then.
        std::future::pending::<()>().await;
    }
}
