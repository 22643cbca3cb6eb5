//! Connections: accepted on the loopback address, bounded, ended cleanly.
//!
//! In: a listener and the router. Out: answers, until it is told to stop; then what runs is
//! given a moment to end. Heads of requests that do not come are not waited for, so that
//! connections which say nothing cannot hold the places of others.

use std::future::Future;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::Extension;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};

use super::day::share::Peer;

/// Connections at the same time.
const MAX_CONNECTIONS: usize = 256;
/// For the head of a request; also how long a connection may be idle.
const HEAD_PATIENCE: Duration = Duration::from_secs(20);
/// For what still runs at the end.
const LAST_WORK: Duration = Duration::from_secs(2);
/// After the system could give no connection.
const BREATHER: Duration = Duration::from_millis(100);
/// Bytes of a head.
const MAX_HEAD: usize = 16 * 1024;

/// Serves until `stop` is done.
pub async fn serve(listener: TcpListener, router: Router, stop: impl Future<Output = ()>) {
    let places = Arc::new(Semaphore::new(MAX_CONNECTIONS));
    let (end, ends) = watch::channel(false);
    tokio::pin!(stop);
    loop {
        let place = tokio::select! {
            () = &mut stop => break,
            place = Arc::clone(&places).acquire_owned() => place,
        };
        let accepted = tokio::select! {
            () = &mut stop => break,
            accepted = listener.accept() => accepted,
        };
        match (accepted, place) {
            (Ok((stream, from)), Ok(place)) => {
                let router = router.clone().layer(Extension(Peer(from.ip())));
                tokio::spawn(connection(stream, router, ends.clone(), place));
            }
            // out of file handles, or a peer that left at once
            _ => tokio::time::sleep(BREATHER).await,
        }
    }
    end.send_replace(true);
    let all = MAX_CONNECTIONS as u32;
    let _ = tokio::time::timeout(LAST_WORK, places.acquire_many(all)).await;
}

/// One connection to its end. What goes wrong with it is the peer's.
async fn connection(
    stream: TcpStream,
    router: Router,
    mut ends: watch::Receiver<bool>,
    _place: OwnedSemaphorePermit,
) {
    let _ = stream.set_nodelay(true);
    let service = TowerToHyperService::new(router);
    let mut builder = http1::Builder::new();
    builder.timer(TokioTimer::new()).header_read_timeout(HEAD_PATIENCE).max_buf_size(MAX_HEAD);
    let connection = builder.serve_connection(TokioIo::new(stream), service);
    tokio::pin!(connection);
    tokio::select! {
        _ = &mut connection => return,
        _ = ends.wait_for(|ends| *ends) => connection.as_mut().graceful_shutdown(),
    }
    let _ = connection.await;
}
