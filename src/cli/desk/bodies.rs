//! The body of a request: how large it may be, and how long it may take to arrive.
//!
//! Bytes count against one budget as they arrive, so that a body which stops arriving holds
//! no more than it has sent, and keeps nobody else from sending.

use std::sync::Arc;
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::{Request, State as Shared};
use axum::http::{HeaderMap, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use http_body_util::BodyExt;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::{Instant, timeout_at};

use crate::cli::desk::uploads::{Answered, Refused};

/// A body that sends nothing for so long is given up.
const MOST_STILL: Duration = Duration::from_secs(10);
/// A body that is not whole after so long is given up: 200 MB pass between two programs of one
/// machine in seconds.
const MOST_WHOLE: Duration = Duration::from_secs(120);
/// The budget is counted in so many bytes.
const CHUNK: usize = 1 << 10;

/// How large a body may be, and the budget that it counts against.
#[derive(Clone)]
pub(super) struct BodyLimit {
    /// Bytes.
    pub(super) most: usize,
    /// Of all bodies that arrive, in chunks of 1 KB.
    pub(super) budget: Arc<Semaphore>,
}

/// A budget of `bytes` for all bodies that arrive at once.
pub(super) fn budget(bytes: usize) -> Arc<Semaphore> {
    Arc::new(Semaphore::new(bytes / CHUNK))
}

/// Passes a request on when all of its body is there, or says why not.
pub(super) async fn receive(
    Shared(limit): Shared<BodyLimit>,
    request: Request,
    next: Next,
) -> Response {
    let (head, body) = request.into_parts();
    match read(&head.headers, body, &limit).await {
        // What was read is dropped from the budget only when it was answered.
        Ok((bytes, _held)) => {
            next.run(Request::from_parts(head, Body::from(bytes))).await
        }
        Err(refused) => refused.into_response(),
    }
}

async fn read(
    headers: &HeaderMap,
    mut body: Body,
    limit: &BodyLimit,
) -> Answered<(Bytes, Option<OwnedSemaphorePermit>)> {
    let declared =
        headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    if declared.and_then(|length| length.parse().ok()).unwrap_or(0) > limit.most {
        return Err(Refused::too_large(limit.most));
    }
    let end = Instant::now() + MOST_WHOLE;
    let mut bytes: Vec<u8> = Vec::new();
    let mut held: Option<OwnedSemaphorePermit> = None;
    loop {
        let until = end.min(Instant::now() + MOST_STILL);
        let frame = match timeout_at(until, body.frame()).await {
            Err(_) => return Err(Refused::too_slow()),
            Ok(None) => return Ok((bytes.into(), held)),
            Ok(Some(Err(_))) => return Err(Refused::not_whole()),
            Ok(Some(Ok(frame))) => frame,
        };
        let Ok(data) = frame.into_data() else { continue };
        if bytes.len() + data.len() > limit.most {
            return Err(Refused::too_large(limit.most));
        }
        bytes.extend_from_slice(&data);
        charge(&bytes, &mut held, limit)?;
    }
}

/// Takes from the budget what `bytes` hold beyond what is `held` already.
fn charge(
    bytes: &[u8],
    held: &mut Option<OwnedSemaphorePermit>,
    limit: &BodyLimit,
) -> Answered<()> {
    let has = held.as_ref().map_or(0, OwnedSemaphorePermit::num_permits);
    let more = bytes.len().div_ceil(CHUNK).saturating_sub(has);
    let busy = || Refused::busy("other files are arriving: try again in a moment");
    let more = u32::try_from(more).map_err(|_| busy())?;
    let taken = Arc::clone(&limit.budget).try_acquire_many_owned(more);
    let taken = taken.map_err(|_| busy())?;
    match held {
        Some(held) => held.merge(taken),
        None => *held = Some(taken),
    }
    Ok(())
}
