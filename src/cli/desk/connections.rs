//! Connections: how many there may be, and how long one may wait without a request.

use std::io;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

/// A connection whose next request has not come, or whose head is not whole, after so long is
/// closed.
const MOST_WAIT: Duration = Duration::from_secs(10);
/// So many connections are open at once; the next ones wait until one is closed.
const MOST_CONNECTIONS: usize = 512;
/// Where none can be taken, as when the system has no room for one, it is tried again after
/// so long.
const TRY_AGAIN: Duration = Duration::from_millis(100);

/// Answers the connections of `listener` through `routes` until the program ends.
///
/// # Errors
/// Never in practice: only when no connection may be counted any more.
pub(super) async fn serve(listener: TcpListener, routes: Router) -> io::Result<()> {
    let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let service = TowerToHyperService::new(routes);
    loop {
        let held = Arc::clone(&room).acquire_owned().await.map_err(io::Error::other)?;
        let Ok((stream, _)) = listener.accept().await else {
            tokio::time::sleep(TRY_AGAIN).await;
            continue;
        };
        let service = service.clone();
        tokio::spawn(async move {
            let _held = held;
            let mut server = http1::Builder::new();
            server.timer(TokioTimer::new()).header_read_timeout(MOST_WAIT);
            // One that breaks off concerns nobody but its other end.
            let _ = server.serve_connection(TokioIo::new(stream), service).await;
        });
    }
}
