//! The door: how connections are taken in. Each may be silent only so long, and only so many may be silent at once.

use std::collections::VecDeque;
use std::convert::Infallible;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll};
use std::time::Duration;

use axum::Router;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::ConnectInfo;
use axum::http::{Request, Response};
use hyper::body::{Frame, Incoming, SizeHint};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Notify, OwnedSemaphorePermit, Semaphore};
use tokio_rustls::TlsAcceptor;
use tower::ServiceExt;

use crate::guard::Encrypted;
use crate::shared::unpoisoned;

/// How long a connection may be silent before the head of a request is whole, at first and between requests.
const SILENT: Duration = Duration::from_secs(10);
/// Most connections from this machine, and most from others, whose request has not been let in yet: beyond them the one
/// that has been silent longest is closed. A browser opens six.
const MOST_SILENT: usize = 32;
/// Most requests under way, pages that listen included.
const MOST_INSIDE: usize = 128;

/// Connections by number, the longest silent first, and how each is closed.
type Silent = VecDeque<(u64, Arc<Notify>)>;

/// The door of one opening.
#[derive(Debug)]
pub(crate) struct Door {
    /// Connections whose request has not been let in, from this machine and from others.
    silent: Mutex<[Silent; 2]>,
    next: AtomicU64,
    inside: Arc<Semaphore>,
}

/// A connection's place at the door.
#[derive(Debug, Clone)]
pub(crate) struct Place {
    door: Arc<Door>,
    id: u64,
    which: usize,
    end: Arc<Notify>,
}

/// A request under way; its connection is silent again when it is answered.
#[derive(Debug)]
pub(crate) struct Inside {
    place: Place,
    _seat: OwnedSemaphorePermit,
}

/// Takes a connection off the list when it ends.
struct Leaving(Place);

impl Door {
    fn new() -> Arc<Door> {
        let inside = Arc::new(Semaphore::new(MOST_INSIDE));
        Arc::new(Door { silent: Mutex::default(), next: AtomicU64::new(0), inside })
    }

    fn place(self: &Arc<Door>, here: bool) -> Place {
        let id = self.next.fetch_add(1, Ordering::Relaxed);
        let place = Place { door: self.clone(), id, which: usize::from(!here), end: Arc::default() };
        place.wait();
        place
    }
}

impl Place {
    fn wait(&self) {
        let silent = &mut unpoisoned(&self.door.silent)[self.which];
        silent.push_back((self.id, self.end.clone()));
        let more = silent.len().saturating_sub(MOST_SILENT);
        silent.drain(..more).for_each(|longest| longest.1.notify_one());
    }

    fn leave(&self) {
        unpoisoned(&self.door.silent)[self.which].retain(|s| s.0 != self.id);
    }

    /// Lets the connection's request in; none where too many are under way.
    pub(crate) fn let_in(&self) -> Option<Inside> {
        let seat = self.door.inside.clone().try_acquire_owned().ok()?;
        self.leave();
        Some(Inside { place: self.clone(), _seat: seat })
    }
}

impl Drop for Inside {
    fn drop(&mut self) {
        self.place.wait();
    }
}

impl Drop for Leaving {
    fn drop(&mut self) {
        self.0.leave();
    }
}

/// An answer's body, and the request that is under way until it is sent.
struct Held {
    body: Body,
    _inside: Inside,
}

/// The answer keeps its request under way until it is sent or given up.
pub(crate) fn held(answer: Response<Body>, inside: Inside) -> Response<Body> {
    answer.map(|body| Body::new(Held { body, _inside: inside }))
}

impl HttpBody for Held {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        Pin::new(&mut self.body).poll_frame(cx)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        HttpBody::size_hint(&self.body)
    }
}

/// Serves until the program ends.
pub(crate) async fn serve(listener: TcpListener, tls: Option<TlsAcceptor>, app: Router) -> std::io::Result<()> {
    let door = Door::new();
    loop {
        match listener.accept().await {
            Ok((stream, from)) => {
                let place = door.place(from.ip().is_loopback());
                // This machine speaks to itself unencrypted.
                match tls.clone().filter(|_| !from.ip().is_loopback()) {
                    None => drop(tokio::spawn(connected(stream, from, place, false, app.clone()))),
                    Some(tls) => drop(tokio::spawn(encrypted(tls, stream, from, place, app.clone()))),
                }
            }
            // No room for another socket just now: those that are silent end soon.
            Err(_) => tokio::time::sleep(Duration::from_millis(100)).await,
        }
    }
}

/// Agrees on a key first, within the time that a connection may be silent.
async fn encrypted(tls: TlsAcceptor, stream: TcpStream, from: SocketAddr, place: Place, app: Router) {
    let end = place.end.clone();
    let agreed = tokio::select! {
        agreed = tokio::time::timeout(SILENT, tls.accept(stream)) => agreed,
        () = end.notified() => return place.leave(),
    };
    match agreed {
        Ok(Ok(stream)) => connected(stream, from, place, true, app).await,
        _ => place.leave(),
    }
}

async fn connected<S>(stream: S, from: SocketAddr, place: Place, encrypted: bool, app: Router)
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let stream = TokioIo::new(stream);
    let end = place.end.clone();
    let _leaving = Leaving(place.clone());
    let service = service_fn(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(ConnectInfo(from));
        request.extensions_mut().insert(place.clone());
        request.extensions_mut().insert(Encrypted(encrypted));
        let answer: Answering = Box::pin(app.clone().oneshot(request.map(Body::new)));
        answer
    });
    let connection =
        http1::Builder::new().timer(TokioTimer::new()).header_read_timeout(SILENT).serve_connection(stream, service);
    tokio::select! {
        _ = connection => {}
        () = end.notified() => {}
    }
}

type Answering = Pin<Box<dyn Future<Output = Result<Response<Body>, Infallible>> + Send>>;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn the_longest_silent_are_closed_and_those_let_in_are_not() {
        let door = Door::new();
        let first = door.place(true);
        let inside = first.let_in().unwrap();
        let others: Vec<Place> = (0..=MOST_SILENT).map(|_| door.place(true)).collect();
        let from_afar = door.place(false);
        let silent = |p: &Place| unpoisoned(&door.silent)[p.which].iter().any(|s| s.0 == p.id);
        assert!(!silent(&others[0]) && others[1..].iter().all(silent), "the longest silent is closed");
        assert!(silent(&from_afar), "those of other machines are counted by themselves");
        drop(inside);
        assert!(silent(&first) && !silent(&others[1]), "answered, it is silent again");
        first.leave();
        let under_way: Vec<Inside> = (0..MOST_INSIDE).map(|_| others[5].let_in().unwrap()).collect();
        assert!(first.let_in().is_none(), "too many under way");
        drop(under_way);
        assert!(first.let_in().is_some());
    }
}
