//! Who gets in at all: so many connections at a time, each with an end.

use std::io;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use axum_server::accept::Accept;
use futures_util::future::BoxFuture;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tower_service::Service;

/// Lets so many connections in at a time, and tells the others to come later.
#[derive(Clone, Debug)]
pub struct Bounded<A> {
    next: A,
    room: Arc<Semaphore>,
    /// Whether others can be told: not in the middle of a TLS handshake.
    plain: bool,
}

impl<A> Bounded<A> {
    /// So many at a time, handed to the next one.
    #[must_use]
    pub fn new(next: A, most: usize, plain: bool) -> Self {
        Self {
            next,
            room: Arc::new(Semaphore::new(most.min(Semaphore::MAX_PERMITS))),
            plain,
        }
    }
}

impl<A, S> Accept<TcpStream, S> for Bounded<A>
where
    A: Accept<TcpStream, S> + Clone + Send + 'static,
    A::Future: Send,
    S: Send + 'static,
{
    type Stream = A::Stream;
    type Service = Held<A::Service>;
    type Future = BoxFuture<'static, io::Result<(Self::Stream, Self::Service)>>;

    fn accept(&self, mut stream: TcpStream, service: S) -> Self::Future {
        let (next, plain) = (self.next.clone(), self.plain);
        let room = self.room.clone().try_acquire_owned();
        Box::pin(async move {
            let Ok(permit) = room else {
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
            let permit = Arc::new(permit);
            Ok((stream, Held { service, permit }))
        })
    }
}

/// The service of a connection, and its place among the others.
#[derive(Clone, Debug)]
pub struct Held<S> {
    service: S,
    /// Given back with the last of the connection.
    #[allow(dead_code)]
    permit: Arc<OwnedSemaphorePermit>,
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
