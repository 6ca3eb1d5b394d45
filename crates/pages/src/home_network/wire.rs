//! The connections from the home network: TLS for all of them, so many at once, none that dawdles.
//!
//! Whoever begins without TLS is shown the way (RFC 9110, 307). A connection from an address that is none of a home is
//! closed unread. Nothing here fails once it listens: a connection that cannot be taken is dropped.

use std::collections::HashMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll};
use std::time::Duration;

use axum::extract::connect_info::Connected;
use axum::serve::{IncomingStream, Listener};
use rustls::ServerConfig;
use tokio::io::{AsyncRead, AsyncWrite, AsyncWriteExt, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::mpsc;
use tokio::time::{sleep, timeout};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;

use super::is_of_the_home;
use crate::bench::lock;

/// How many connections at once: a browser opens six, and one a page stays open.
const MOST: usize = 96;
/// How many of them from one address, so that nobody shuts the others out.
const MOST_OF_ONE: usize = 24;
/// How long the beginning of a connection may take.
const PATIENCE: Duration = Duration::from_secs(10);
/// What TLS begins with: a record of a handshake (RFC 8446, section 5.1).
const HANDSHAKE: u8 = 22;

/// Who is at the other end.
#[derive(Debug, Clone, Copy)]
pub struct HomePeer(pub SocketAddr);

/// The listening ends of all addresses.
pub struct HomeWire {
    taken: mpsc::Receiver<(Held, SocketAddr)>,
    address: SocketAddr,
}

impl HomeWire {
    /// Takes connections at these ends. Must be asked inside of the runtime.
    pub fn at(ends: Vec<TcpListener>, config: Arc<ServerConfig>) -> io::Result<HomeWire> {
        let first = ends.first().map(TcpListener::local_addr);
        let address = first.ok_or(io::ErrorKind::AddrNotAvailable)??;
        let (give, taken) = mpsc::channel(8);
        let places = Arc::new(Places::default());
        for end in ends {
            tokio::spawn(take(
                end,
                TlsAcceptor::from(Arc::clone(&config)),
                Arc::clone(&places),
                give.clone(),
            ));
        }
        Ok(HomeWire { taken, address })
    }
}

async fn take(
    end: TcpListener,
    acceptor: TlsAcceptor,
    places: Arc<Places>,
    give: mpsc::Sender<(Held, SocketAddr)>,
) {
    loop {
        let Ok((stream, peer)) = end.accept().await else {
            // Too many files are open, or the connection is gone already.
            sleep(Duration::from_millis(100)).await;
            continue;
        };
        if !is_of_the_home(peer.ip()) {
            continue;
        }
        let Some(place) = Places::taken_by(&places, peer.ip()) else {
            continue;
        };
        let (acceptor, give) = (acceptor.clone(), give.clone());
        tokio::spawn(async move {
            if let Ok(Some(stream)) = timeout(PATIENCE, begun(stream, &acceptor)).await {
                // The server is gone: so is the connection.
                let held = Held {
                    stream,
                    _place: place,
                };
                let _ = give.send((held, peer)).await;
            }
        });
    }
}

/// A connection that speaks TLS; any other is shown the way and ends.
async fn begun(mut stream: TcpStream, acceptor: &TlsAcceptor) -> Option<TlsStream<TcpStream>> {
    let mut first = [0u8; 1];
    if stream.peek(&mut first).await.ok()? == 0 {
        return None;
    }
    if first[0] == HANDSHAKE {
        return acceptor.accept(stream).await.ok();
    }
    let own = stream.local_addr().ok()?;
    let answer = format!(
        "HTTP/1.1 307 Temporary Redirect\r\nLocation: https://{own}/\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
    );
    stream.write_all(answer.as_bytes()).await.ok()?;
    stream.shutdown().await.ok()?;
    // What was asked is read to its end: a connection closed upon unread bytes is reset, and the answer lost.
    let mut asked = tokio::io::AsyncReadExt::take(stream, 64 << 10);
    tokio::io::copy(&mut asked, &mut tokio::io::sink())
        .await
        .ok()?;
    None
}

impl Listener for HomeWire {
    type Io = Held;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Held, SocketAddr) {
        match self.taken.recv().await {
            Some(taken) => taken,
            // Nobody takes connections any more: the runtime ends.
            None => std::future::pending().await,
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        Ok(self.address)
    }
}

impl Connected<IncomingStream<'_, HomeWire>> for HomePeer {
    fn connect_info(stream: IncomingStream<'_, HomeWire>) -> HomePeer {
        HomePeer(*stream.remote_addr())
    }
}

/// The connections that are open, by their addresses.
#[derive(Default)]
struct Places {
    taken: Mutex<HashMap<IpAddr, usize>>,
}

/// The place of one connection; it is free again when this goes.
struct Place {
    of: Arc<Places>,
    address: IpAddr,
}

impl Places {
    /// A place for a connection of this address, if one is free.
    fn taken_by(own: &Arc<Places>, address: IpAddr) -> Option<Place> {
        let mut taken = lock(&own.taken);
        let all: usize = taken.values().sum();
        let of_one = taken.get(&address).copied().unwrap_or(0);
        if all >= MOST || of_one >= MOST_OF_ONE {
            return None;
        }
        taken.insert(address, of_one + 1);
        Some(Place {
            of: Arc::clone(own),
            address,
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = lock(&self.of.taken);
        if let Some(count) = taken.get_mut(&self.address) {
            *count -= 1;
            if *count == 0 {
                taken.remove(&self.address);
            }
        }
    }
}

/// A connection with its place among those that may be open.
pub struct Held {
    stream: TlsStream<TcpStream>,
    _place: Place,
}

impl AsyncRead for Held {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, into)
    }
}

impl AsyncWrite for Held {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write(context, bytes)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_address_takes_no_more_than_its_share_and_gives_it_back() {
        let own = Arc::new(Places::default());
        let address = |last: u8| IpAddr::from([192, 168, 1, last]);
        let take = |last: u8, count: usize| -> Vec<Place> {
            (0..count)
                .filter_map(|_| Places::taken_by(&own, address(last)))
                .collect()
        };
        let first = take(1, 100);
        assert_eq!(first.len(), MOST_OF_ONE);
        let others: Vec<Place> = (2..20).flat_map(|last| take(last, 10)).collect();
        assert_eq!(first.len() + others.len(), MOST, "of all there are so many");
        drop(first);
        assert_eq!(take(1, 100).len(), MOST_OF_ONE);
        drop(others);
        assert!(
            lock(&own.taken).is_empty(),
            "nothing is kept of those that went"
        );
    }
}
