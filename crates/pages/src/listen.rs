//! Listens on 127.0.0.1, and on the home network where it was asked for.
//!
//! Fails where an address is taken or may not be used, where this computer has no address in a home network, and where
//! the folder of devices cannot be used; then nothing is served.

use std::fmt;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::{Duration, Instant};

use benchwork::Trouble;

use crate::bench::Bench;
use crate::home_network::{
    AtHome, Certificate, Home, HomePeer, HomeWire, is_of_the_home, own_addresses,
};
use crate::router::router;
use crate::watch::watch;

/// How long a thread that works pages out waits for the next one. The memory that it had goes to the next thread once it has
/// ended; threads that wait for long each keep their own.
const IDLE: Duration = Duration::from_millis(2);

/// Where to listen.
#[derive(Default)]
pub struct Serving {
    /// The port on 127.0.0.1; 0 takes a free one.
    pub port: u16,
    /// The home network, if it is asked for.
    pub home: Option<AtHome>,
}

/// What answers.
#[derive(Debug, Clone)]
pub struct Answering {
    /// Whether the restoration is still to be begun, on the pages.
    pub begins: bool,
    /// On this computer.
    pub here: SocketAddr,
    /// On the home network.
    pub home: Option<AnsweringHome>,
}

/// How a device of the home network gets in.
#[derive(Debug, Clone)]
pub struct AnsweringHome {
    /// The addresses of the first page.
    pub pages: Vec<String>,
    /// The address with the words in it, for a camera.
    pub pairing_page: String,
    /// The words; none where the system has no random source.
    pub words: String,
    /// Minutes that they hold.
    pub minutes: u64,
    /// The print of what vouches for the certificate (SHA-256).
    pub print: String,
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
    /// The home network cannot be opened.
    Home(Trouble),
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
            ServeError::Home(_) => out.write_str("the home network cannot be opened"),
            ServeError::Ended { said } => write!(out, "the server ended: {said}"),
        }
    }
}

impl std::error::Error for ServeError {}

impl From<std::io::Error> for ServeError {
    fn from(error: std::io::Error) -> ServeError {
        ServeError::Ended {
            said: error.to_string(),
        }
    }
}

/// Serves until the program is told to end. `ready` is called once with the addresses that answer.
pub fn serve(
    bench: Arc<Bench>,
    serving: Serving,
    ready: impl FnOnce(Answering),
) -> Result<(), ServeError> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .thread_keep_alive(IDLE)
        .enable_all()
        .build()?;
    runtime.block_on(async {
        let (here, address) = bound(SocketAddr::from((Ipv4Addr::LOCALHOST, serving.port)))?;
        let home = match &serving.home {
            Some(at) => Some(opened(&bench, at)?),
            None => None,
        };
        ready(Answering {
            begins: !bench.is_begun(),
            here: address,
            home: bench.home().map(|home| answering(home)),
        });
        watch(Arc::clone(&bench));
        let routes = router(bench);
        let own = routes
            .clone()
            .into_make_service_with_connect_info::<SocketAddr>();
        let here = axum::serve(here, own).into_future();
        let at_home = async {
            match home {
                Some(wire) => {
                    let own = routes.into_make_service_with_connect_info::<HomePeer>();
                    axum::serve(wire, own).await
                }
                None => std::future::pending().await,
            }
        };
        tokio::select! {
            done = here => done.map_err(ServeError::from),
            done = at_home => done.map_err(ServeError::from),
            _ = tokio::signal::ctrl_c() => Ok(()),
        }
    })
}

/// Listens on the home network.
fn opened(bench: &Bench, at: &AtHome) -> Result<HomeWire, ServeError> {
    let addresses = addresses(at).map_err(ServeError::Home)?;
    let now = bench.now().map_err(ServeError::Home)?;
    let made = Certificate::made(&at.folder, &addresses, &now);
    let (certificate, vouched) = made.map_err(ServeError::Home)?;
    let config = certificate.config().map_err(ServeError::Home)?;
    let mut ends = Vec::new();
    let mut names = Vec::new();
    for address in addresses {
        let (end, name) = bound(SocketAddr::from((address, at.port)))?;
        ends.push(end);
        names.push(name);
    }
    let wire = HomeWire::at(ends, config)?;
    let home = Home::open(at, names, vouched, Instant::now()).map_err(ServeError::Home)?;
    bench.at_home(home);
    Ok(wire)
}

/// The addresses to listen on: those that were named, or those that this computer has.
fn addresses(at: &AtHome) -> Result<Vec<IpAddr>, Trouble> {
    let foreign: Vec<String> = at
        .addresses
        .iter()
        .filter(|address| !is_of_the_home(**address))
        .map(ToString::to_string)
        .collect();
    if !foreign.is_empty() {
        return Err(Trouble::input(
            format!("{} is no address of a home network", foreign.join(", ")),
            "the pages never answer to the world; name an address such as 192.168.1.20",
        ));
    }
    let found = match at.addresses.is_empty() {
        true => own_addresses()?,
        false => at.addresses.clone(),
    };
    match found.is_empty() {
        true => Err(Trouble::input(
            "this computer has no address in a home network",
            "join the network first, or leave --home away",
        )),
        false => Ok(found),
    }
}

fn answering(home: &Home) -> AnsweringHome {
    let code = home.code(Instant::now()).unwrap_or_default();
    AnsweringHome {
        pages: home.pages(),
        pairing_page: home.pairing_page(&code),
        words: code.words,
        minutes: code.minutes,
        print: home.vouched().print.clone(),
    }
}

fn bound(address: SocketAddr) -> Result<(tokio::net::TcpListener, SocketAddr), ServeError> {
    let fault = |error: std::io::Error| ServeError::Address {
        address,
        said: error.to_string(),
    };
    let socket = std::net::TcpListener::bind(address).map_err(fault)?;
    socket.set_nonblocking(true).map_err(fault)?;
    let address = socket.local_addr().map_err(fault)?;
    let socket = tokio::net::TcpListener::from_std(socket).map_err(fault)?;
    Ok((socket, address))
}
