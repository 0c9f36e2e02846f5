//! Listening on a socket until told to stop.

use std::net::SocketAddr;

use tokio::net::TcpListener;

use crate::{App, build_app};

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

/// Serves pages on `address` until the process is interrupted; calls `ready` with the address in use
/// once requests are answered.
///
/// # Errors
/// [`ServeError::Bind`] when the address is taken or forbidden; [`ServeError::Io`] otherwise.
pub fn serve(
    app: App,
    address: SocketAddr,
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
        let service = build_app(app).into_make_service_with_connect_info::<SocketAddr>();
        axum::serve(listener, service)
            .with_graceful_shutdown(told_to_stop())
            .await?;
        Ok(())
    })
}

async fn told_to_stop() {
    if tokio::signal::ctrl_c().await.is_err() {
        // Without the signal there is only the hard way to stop; serve until then.
        std::future::pending::<()>().await;
    }
}
