//! What can be asked, and how it is answered.
//!
//! In: requests that the guard let through. Out: JSON of the ground, of shadows, plans and
//! jobs. Whatever takes time runs on threads for it, so many at once.

mod edits;
mod files;
mod ground;
mod plans;
mod request;

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::routing::{get, post};

use crate::serve::session::{nothing_here, other_method};
use crate::serve::{Live, page};

pub use request::MAX_BODY;
pub(super) use request::{Answer, Sent, Shared, answer, json_text};

/// All that this machine may ask of a ground; a guard comes before it.
pub fn router<S: Clone + Send + Sync + 'static>(live: Arc<Live>) -> Router<S> {
    Router::new()
        .route("/", get(|| async { page::file("live.html") }))
        .route("/live/{name}", get(|Path(name): Path<String>| async move { page::file(&name) }))
        .route("/api/ground", get(ground::ground))
        .route("/api/schema", get(|| async { answer(&crate::venue::schema()) }))
        .route("/api/check", get(ground::check))
        .route("/api/shadow", get(ground::shadow))
        .route("/api/shadow/apart", get(ground::shadow_apart))
        .route("/api/instant", get(ground::light))
        .route("/api/plan", get(plans::board))
        .route("/api/outlook", get(plans::row_camera))
        .route("/api/picture", get(plans::draw))
        .route("/api/forecast", get(plans::forecast))
        .route("/api/events", get(|State(live): Shared| async move { live.events.stream() }))
        .route("/api/edit", post(edits::edit))
        .route("/api/text", post(edits::text))
        .route("/api/table", post(edits::table))
        .route("/api/undo", post(edits::undo))
        .route("/api/redo", post(edits::redo))
        .route("/api/files", get(files::list))
        .route("/api/new", post(files::new))
        .route("/api/open", post(files::open))
        .route("/api/mend", post(files::mend))
        .route("/api/dropped/{name}", post(files::drop_file))
        .route("/api/jobs", get(|State(live): Shared| async move { answer(&live.jobs.list()) }))
        .route("/api/jobs", post(files::begin))
        .route("/api/jobs/{id}/stop", post(files::stop))
        .route("/api/jobs/{id}/files/{name}", get(files::file))
        .route("/wall", get(|| async { page::file("wall.html") }))
        .route("/api/day/passes", get(crate::serve::day::share::passes))
        .merge(crate::serve::day::routes::router())
        .fallback(nothing_here)
        .method_not_allowed_fallback(other_method)
        .layer(DefaultBodyLimit::max(MAX_BODY))
        .with_state(live)
}
