//! The connections from the home network: TLS for all of them, so many at once, none that dawdles.
//!
//! Whoever begins without TLS is shown the way (RFC 9110, 307). A connection from an address that is none of a home is
//! closed unread. Nothing here fails once it listens: a connection that cannot be taken is dropped.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::extract::connect_info::Connected;
use axum::serve::{IncomingStream, Listener};
use rustls::ServerConfig;
use tokio::io::{AsyncRead, AsyncWrite, AsyncWriteExt, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc};
use tokio::time::{sleep, timeout};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;

use super::is_of_the_home;

/// How many connections at once: a browser opens six, and one a page stays open.
const MOST: usize = 64;
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
        let free = Arc::new(Semaphore::new(MOST));
        for end in ends {
            tokio::spawn(take(
                end,
                TlsAcceptor::from(Arc::clone(&config)),
                Arc::clone(&free),
                give.clone(),
            ));
        }
        Ok(HomeWire { taken, address })
    }
}

async fn take(
    end: TcpListener,
    acceptor: TlsAcceptor,
    free: Arc<Semaphore>,
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
        let Ok(permit) = Arc::clone(&free).try_acquire_owned() else {
            continue;
        };
        let (acceptor, give) = (acceptor.clone(), give.clone());
        tokio::spawn(async move {
            if let Ok(Some(stream)) = timeout(PATIENCE, begun(stream, &acceptor)).await {
                // The server is gone: so is the connection.
                let _ = give
                    .send((
                        Held {
                            stream,
                            _permit: permit,
                        },
                        peer,
                    ))
                    .await;
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

/// A connection with its place among those that may be open.
pub struct Held {
    stream: TlsStream<TcpStream>,
    _permit: OwnedSemaphorePermit,
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
