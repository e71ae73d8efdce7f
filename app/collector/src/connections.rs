//! Who gets in at all: so many connections at a time, each with an end.

use std::future::Future as _;
use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use axum_server::accept::Accept;
use futures_util::future::BoxFuture;
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _, ReadBuf};
use tokio::net::TcpStream;
use tokio::time::Sleep;
use tower_service::Service;

use crate::share::{Bound, Share};

/// Lets so many connections in at a time, and tells the others to come later.
#[derive(Clone, Debug)]
pub struct ConnectionLimit<A> {
    next: A,
    room: Arc<Bound>,
    /// Whether every connection is a proxy's, who asks for many.
    behind_proxy: bool,
    /// Whether others can be told: not in the middle of a TLS handshake.
    plain: bool,
}

impl<A> ConnectionLimit<A> {
    /// As many as there is room for, handed to the next one.
    #[must_use]
    pub fn new(next: A, room: Arc<Bound>, behind_proxy: bool, plain: bool) -> Self {
        Self {
            next,
            room,
            behind_proxy,
            plain,
        }
    }
}

impl<A, S> Accept<TcpStream, S> for ConnectionLimit<A>
where
    A: Accept<TcpStream, S> + Clone + Send + 'static,
    A::Future: Send,
    A::Stream: AsyncRead + AsyncWrite + Unpin,
    S: Send + 'static,
{
    type Stream = Heard<A::Stream>;
    type Service = Held<A::Service>;
    type Future = BoxFuture<'static, io::Result<(Self::Stream, Self::Service)>>;

    fn accept(&self, mut stream: TcpStream, service: S) -> Self::Future {
        let (next, plain) = (self.next.clone(), self.plain);
        let peer = stream.peer_addr().ok().map(|a| a.ip());
        let room = self.room.take(peer.filter(|_| !self.behind_proxy), 1);
        Box::pin(async move {
            let Some(share) = room else {
                if plain {
                    let (status, words) = (
                        "503 Service Unavailable\r\nretry-after: 5",
                        "The collector says: Too many connections, try again in 5 s.\n",
                    );
                    answer_and_close(&mut stream, status, words).await;
                }
                return Err(io::ErrorKind::ConnectionRefused.into());
            };
            let (stream, service) = next.accept(stream, service).await?;
            let share = Arc::new(share);
            Ok((Heard::new(stream), Held { service, share }))
        })
    }
}

/// The service of a connection, and its place among the others.
#[derive(Clone, Debug)]
pub struct Held<S> {
    service: S,
    /// Given back with the last of the connection.
    #[allow(dead_code)]
    share: Arc<Share>,
}

impl<S: Service<R>, R> Service<R> for Held<S> {
    type Response = S::Response;
    type Error = S::Error;
    type Future = S::Future;

    fn poll_ready(&mut self, context: &mut Context<'_>) -> Poll<Result<(), S::Error>> {
        self.service.poll_ready(context)
    }

    fn call(&mut self, request: R) -> S::Future {
        self.service.call(request)
    }
}

/// Longest time in which somebody who is answered takes nothing of it.
const DEAF: Duration = Duration::from_secs(15);

/// A connection that ends when nothing of what is written gets through.
#[derive(Debug)]
pub struct Heard<S> {
    stream: S,
    /// Until when something must get through; only while it does not.
    until: Option<Pin<Box<Sleep>>>,
}

impl<S> Heard<S> {
    const fn new(stream: S) -> Self {
        let until = None;
        Self { stream, until }
    }

    /// Ends the wait of a writer that goes on too long.
    fn in_time<T>(
        &mut self,
        context: &mut Context<'_>,
        written: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if written.is_ready() {
            self.until = None;
            return written;
        }
        let sleep = || Box::pin(tokio::time::sleep(DEAF));
        let until = self.until.get_or_insert_with(sleep);
        match until.as_mut().poll(context) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Heard<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, into)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Heard<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.in_time(context, written)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let flushed = Pin::new(&mut self.stream).poll_flush(context);
        self.in_time(context, flushed)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let ended = Pin::new(&mut self.stream).poll_shutdown(context);
        self.in_time(context, ended)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        pieces: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write_vectored(context, pieces);
        self.in_time(context, written)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}

/// Longest time for an answer to a connection that is not let in.
const PARTING: Duration = Duration::from_secs(2);

/// Answers a connection that is not let in, whatever it sent.
pub(crate) async fn answer_and_close(stream: &mut TcpStream, status: &str, words: &str) {
    let length = words.len();
    let answer = format!(
        "HTTP/1.1 {status}\r\ncontent-type: text/plain\r\ncontent-length: {length}\r\nconnection: close\r\n\r\n{words}"
    );
    let whole = async {
        stream.write_all(answer.as_bytes()).await?;
        stream.shutdown().await?;
        // What was sent is read, some of it: a connection closed on unread bytes
        // is reset, and the answer lost.
        let mut rest = stream.take(1 << 16);
        tokio::io::copy(&mut rest, &mut tokio::io::sink()).await
    };
    // However that goes, the connection ends.
    let _ = tokio::time::timeout(PARTING, whole).await;
}
