//! Listens on 127.0.0.1.
//!
//! Fails where an address is taken or may not be used; then nothing is served.

use std::fmt;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;

use crate::bench::Bench;
use crate::router::router;
use crate::watch::watch;

/// Where to listen.
pub struct Serving {
    /// The port on 127.0.0.1; 0 takes a free one.
    pub port: u16,
}

/// Why nothing is served.
#[derive(Debug)]
pub enum ServeError {
    /// An address cannot be listened on.
    Address {
        /// The address.
        address: SocketAddr,
        /// What the system said.
        said: String,
    },
    /// The server ended by itself.
    Ended {
        /// What the system said.
        said: String,
    },
}

impl fmt::Display for ServeError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ServeError::Address { address, said } => {
                write!(out, "{address} cannot be listened on: {said}")
            }
            ServeError::Ended { said } => write!(out, "the server ended: {said}"),
        }
    }
}

impl std::error::Error for ServeError {}

/// Serves until the program is told to end. `ready` is called once with the address that answers.
pub fn serve(
    bench: Arc<Bench>,
    serving: Serving,
    ready: impl FnOnce(SocketAddr),
) -> Result<(), ServeError> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|error| ServeError::Ended {
            said: error.to_string(),
        })?;
    runtime.block_on(async {
        let here = SocketAddr::from((Ipv4Addr::LOCALHOST, serving.port));
        let (plain, here) = bound(here)?;
        ready(here);
        watch(Arc::clone(&bench));
        let routes = router(bench).into_make_service_with_connect_info::<SocketAddr>();
        let ended = |error: std::io::Error| ServeError::Ended {
            said: error.to_string(),
        };
        let plain = tokio::net::TcpListener::from_std(plain).map_err(ended)?;
        let plain = axum::serve(plain, routes).into_future();
        tokio::select! {
            done = plain => done.map_err(ended),
            _ = tokio::signal::ctrl_c() => Ok(()),
        }
    })
}

fn bound(address: SocketAddr) -> Result<(std::net::TcpListener, SocketAddr), ServeError> {
    let fault = |error: std::io::Error| ServeError::Address {
        address,
        said: error.to_string(),
    };
    let socket = std::net::TcpListener::bind(address).map_err(fault)?;
    socket.set_nonblocking(true).map_err(fault)?;
    let address = socket.local_addr().map_err(fault)?;
    Ok((socket, address))
}
