//! A session without a listener, for programs and tests that speak to it directly.
//!
//! In: the settings of a session, then requests. Out: answers as a browser gets them, through
//! the same guard and routes. The file on the disc is not followed between requests.

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode, header};
use hyper::service::Service;
use hyper_util::service::TowerToHyperService;

use super::grounds::{FoundGrounds, Grounds};
use super::guard::Guard;
use super::session::Session;
use super::{ServeError, ServeSettings};

/// Bytes of an answer that are read.
const MAX_ANSWER: usize = 64 * 1024 * 1024;

/// What came back.
#[derive(Debug)]
pub struct Reply {
    pub status: StatusCode,
    pub headers: HeaderMap,
    /// Empty for a stream of events, which does not end.
    pub body: Vec<u8>,
}

/// A session that is asked in the same process.
pub struct InProcess {
    router: Router,
    grounds: Arc<Grounds>,
}

impl InProcess {
    /// Opens a session; `settings.port` is only the one that it answers to by name.
    ///
    /// # Errors
    /// As [`super::run`], but for the port.
    pub fn open(settings: &ServeSettings) -> Result<Self, ServeError> {
        let found = FoundGrounds::of(settings)?;
        let session = Arc::new(Session::new(Guard::new(settings.port)?, settings.several));
        let grounds = Arc::new(Grounds::new(session, found, settings));
        Ok(Self { router: grounds.router(), grounds })
    }

    /// Asks as the page does, with its cookie and headers. Must be called on a runtime of
    /// tokio.
    ///
    /// # Errors
    /// An address that is none, or an answer that breaks off.
    pub async fn ask(
        &self,
        method: &str,
        address: &str,
        body: Vec<u8>,
    ) -> Result<Reply, Box<dyn std::error::Error + Send + Sync>> {
        let request = Request::builder()
            .method(method)
            .uri(address)
            .header(header::HOST, self.grounds.session.guard.host())
            .header(header::COOKIE, self.grounds.session.guard.cookie())
            .header(header::CONTENT_TYPE, "application/json")
            .header("x-quarterstop", "live")
            .body(Body::from(body))?;
        let service = TowerToHyperService::new(self.router.clone());
        let response = service.call(request).await?;
        let (parts, body) = response.into_parts();
        let kind = parts.headers.get(header::CONTENT_TYPE);
        let endless = kind.is_some_and(|kind| kind.as_bytes().starts_with(b"text/event-stream"));
        let body = match endless {
            true => Vec::new(),
            false => to_bytes(body, MAX_ANSWER).await?.to_vec(),
        };
        Ok(Reply { status: parts.status, headers: parts.headers, body })
    }
}
