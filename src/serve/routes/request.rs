//! How requests are read and answers are written.
//!
//! In: bodies of JSON, bounded in bytes and in time, and what stands behind the `?` of an
//! address. Out: the types that handlers take, JSON, refusals.

use std::sync::Arc;
use std::time::Duration;

use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Query, Request, State};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use crate::serve::Live;
use crate::serve::problem::Refused;

/// Bytes of a request.
pub const MAX_BODY: usize = 1024 * 1024;
/// For the body of a request to arrive.
const BODY_PATIENCE: Duration = Duration::from_secs(15);

pub(in crate::serve) type Shared = State<Arc<Live>>;
pub(in crate::serve) type Answer = Result<Response, Refused>;

pub(in crate::serve) fn answer(value: &impl Serialize) -> Answer {
    let text = serde_json::to_string(value).map_err(|e| Refused::Internal(e.to_string()))?;
    Ok(json_text(text))
}

pub(in crate::serve) fn json_text(text: impl Into<axum::body::Body>) -> Response {
    ([(header::CONTENT_TYPE, "application/json")], text.into()).into_response()
}

/// A body of JSON.
pub(in crate::serve) struct Sent<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Sent<T> {
    type Rejection = Refused;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refused> {
        let bytes = tokio::time::timeout(BODY_PATIENCE, Bytes::from_request(request, state)).await;
        let seconds = BODY_PATIENCE.as_secs();
        let bytes = bytes.map_err(|_| Refused::TooLong { seconds })?;
        let bytes = bytes.map_err(|e| match e.status() {
            StatusCode::PAYLOAD_TOO_LARGE => Refused::TooLarge { limit: MAX_BODY },
            _ => Refused::BadRequest(e.body_text()),
        })?;
        serde_json::from_slice(&bytes).map(Self).map_err(|e| {
            Refused::BadRequest(format!("the request is not the JSON that is expected: {e}"))
        })
    }
}

/// What stands behind the `?` of an address.
pub(super) struct Asked<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Asked<T> {
    type Rejection = Refused;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refused> {
        let found = Query::<T>::try_from_uri(&parts.uri);
        found.map(|Query(asked)| Self(asked)).map_err(|e| Refused::BadRequest(e.body_text()))
    }
}

#[derive(Deserialize)]
pub(super) struct Revision {
    pub revision: u64,
}
