//! What can be asked, and how it is answered.
//!
//! In: requests that the guard let through. Out: JSON of the ground, of shadows, plans and
//! jobs. Whatever takes time runs on threads for it, so many at once.

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, FromRequest, FromRequestParts, Path, Query, Request, State};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use chrono::{NaiveDate, NaiveTime};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::jobs::on_air::{Expose, Framing};
use crate::serve::drawn::{cameras, occluder_of, things};
use crate::serve::edit::{Change, NewNumber, NewTable, NewValue};
use crate::serve::files::NewGround;
use crate::serve::ground::Ground;
use crate::serve::jobs::JobRequest;
use crate::serve::outlook::outlook;
use crate::serve::picture::Wish;
use crate::serve::plan::Occasion;
use crate::serve::problem::Refused;
use crate::serve::session::{nothing_here, other_method};
use crate::serve::shadow::{Fold, Shades, apart, instant};
use crate::serve::through::{self, Signal, Through};
use crate::serve::workspace::{Cause, no_ground};
use crate::serve::{Live, Work, files, jobs, page, picture, plan};

/// Bytes of a request.
pub const MAX_BODY: usize = 1024 * 1024;
/// For the body of a request to arrive.
const BODY_PATIENCE: Duration = Duration::from_secs(15);
/// Bytes of a file of a job.
const MAX_FILE: u64 = 512 * 1024 * 1024;
/// A page of a job that is looked at: its own scripts, and nothing of this server.
const OPENED: &str = "sandbox allow-scripts allow-modals allow-downloads; default-src 'none'; \
    script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: blob:; font-src data:; \
    frame-ancestors 'none'";

type Shared = State<Arc<Live>>;
pub(super) type Answer = Result<Response, Refused>;

/// All that this machine may ask of a ground; a guard comes before it.
pub fn router<S: Clone + Send + Sync + 'static>(live: Arc<Live>) -> Router<S> {
    Router::new()
        .route("/", get(|| async { page::file("live.html") }))
        .route("/live/{name}", get(|Path(name): Path<String>| async move { page::file(&name) }))
        .route("/api/ground", get(ground))
        .route("/api/schema", get(|| async { answer(&crate::venue::schema()) }))
        .route("/api/check", get(check))
        .route("/api/shadow", get(shadow))
        .route("/api/shadow/apart", get(shadow_apart))
        .route("/api/instant", get(light))
        .route("/api/plan", get(board))
        .route("/api/outlook", get(row_camera))
        .route("/api/picture", get(draw))
        .route("/api/forecast", get(forecast))
        .route("/api/events", get(|State(live): Shared| async move { live.events.stream() }))
        .route("/api/edit", post(edit))
        .route("/api/text", post(text))
        .route("/api/table", post(table))
        .route("/api/undo", post(undo))
        .route("/api/redo", post(redo))
        .route("/api/files", get(list))
        .route("/api/new", post(new))
        .route("/api/open", post(open))
        .route("/api/mend", post(mend))
        .route("/api/dropped/{name}", post(drop_file))
        .route("/api/jobs", get(|State(live): Shared| async move { answer(&live.jobs.list()) }))
        .route("/api/jobs", post(begin))
        .route("/api/jobs/{id}/stop", post(stop))
        .route("/api/jobs/{id}/files/{name}", get(file))
        .route("/wall", get(|| async { page::file("wall.html") }))
        .route("/api/day/passes", get(super::day::share::passes))
        .merge(super::day::routes::router())
        .fallback(nothing_here)
        .method_not_allowed_fallback(other_method)
        .layer(DefaultBodyLimit::max(MAX_BODY))
        .with_state(live)
}

pub(super) fn answer(value: &impl Serialize) -> Answer {
    let text = serde_json::to_string(value).map_err(|e| Refused::Internal(e.to_string()))?;
    Ok(json_text(text))
}

pub(super) fn json_text(text: impl Into<axum::body::Body>) -> Response {
    ([(header::CONTENT_TYPE, "application/json")], text.into()).into_response()
}

/// A body of JSON.
pub(super) struct Sent<T>(pub T);

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
struct Asked<T>(T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Asked<T> {
    type Rejection = Refused;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refused> {
        let found = Query::<T>::try_from_uri(&parts.uri);
        found.map(|Query(asked)| Self(asked)).map_err(|e| Refused::BadRequest(e.body_text()))
    }
}

#[derive(Deserialize)]
struct Revision {
    revision: u64,
}

#[derive(Deserialize)]
struct At {
    revision: u64,
    at: String,
    fold: Option<Fold>,
}

async fn ground(State(live): Shared) -> Answer {
    let Ok(current) = live.current() else {
        // no ground, or one that waits to be mended
        let none = live.work(Work::Quick, |live, _| {
            let broken = live.workspace().broken().cloned();
            Err(broken.map_or_else(no_ground, |broken| Refused::Broken(Box::new(broken))))
        });
        return none.await;
    };
    live.work(Work::Quick, move |_, _| Ok(current.to_json())).await.and_then(|all| answer(&all))
}

async fn check(State(live): Shared, Asked(asked): Asked<Revision>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let findings = live.work(Work::Heavy, move |live, wanted| {
        live.still(&ground, wanted)?;
        Ok(ground.findings())
    });
    answer(&findings.await?)
}

async fn shadow(State(live): Shared, Asked(asked): Asked<At>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let at = instant(&ground.venue, &asked.at, asked.fold)?;
    let shadow = live.work(Work::Quick, move |_, _| {
        Ok(ground.shades(at.date_naive()).at(&ground.venue, at).at(
            &ground.venue,
            ground.revision,
            at,
        ))
    });
    answer(&shadow.await?)
}

#[derive(Deserialize)]
struct AtWithTable {
    revision: u64,
    at: String,
    fold: Option<Fold>,
    /// The table of what is about to be moved, such as `stand[0]`.
    table: String,
}

async fn shadow_apart(State(live): Shared, Asked(asked): Asked<AtWithTable>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let at = instant(&ground.venue, &asked.at, asked.fold)?;
    let index = occluder_of(&ground.venue, &asked.table)
        .ok_or_else(|| Refused::input("table: nothing on the ground stands under that name"))?;
    let parts =
        live.work(Work::Quick, move |_, _| Ok(apart(&ground.venue, ground.revision, at, index)));
    answer(&parts.await?)
}

async fn light(State(live): Shared, Asked(asked): Asked<At>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let at = instant(&ground.venue, &asked.at, asked.fold)?;
    let light = live.work(Work::Prompt, move |live, wanted| {
        plan::instant(&ground, at, &|| live.still(&ground, wanted))
    });
    answer(&light.await?)
}

#[derive(Deserialize)]
struct AskedPlan {
    revision: u64,
    date: String,
    start: String,
    step: Option<u32>,
    /// See [`plan::Look::First`].
    #[serde(default)]
    first_look: bool,
    fold: Option<Fold>,
}

/// The occasion of a question.
fn occasion(asked: &AskedPlan) -> Result<Occasion, Refused> {
    let wrong = |what: &str, found: &str, allowed: &str| {
        let shown: String = found.chars().take(40).collect();
        Refused::input(format!("{what}: found \"{shown}\"; allowed: {allowed}"))
    };
    let date = NaiveDate::parse_from_str(&asked.date, "%Y-%m-%d")
        .map_err(|_| wrong("date", &asked.date, "a day such as 2027-09-18"))?;
    let start = NaiveTime::parse_from_str(&asked.start, "%H:%M")
        .map_err(|_| wrong("start", &asked.start, "a time such as 15:30"))?;
    let step_min = plan::step(asked.step.unwrap_or(1))?;
    let look = if asked.first_look { plan::Look::First } else { plan::Look::Whole };
    let (revision, fold) = (asked.revision, asked.fold);
    Ok(Occasion { revision, date, start, fold, step_min, look, forecast: 0 })
}

async fn board(State(live): Shared, Asked(asked): Asked<AskedPlan>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let mut occasion = occasion(&asked)?;
    // a ground that has moved away from its forecast is planned all the same
    let held = live.forecasts.of(&ground).ok().flatten();
    occasion.forecast = held.as_ref().map_or(0, |held| held.number);
    let kept = live.plans.place(&occasion);
    let made = kept.get_or_try_init(|| {
        live.work(Work::Heavy, move |live, wanted| {
            let forecast = held.as_ref().map(|held| &*held.forecast);
            plan::board(&ground, &occasion, forecast, &|| live.still(&ground, wanted))
        })
    });
    let made = made.await?;
    Ok(json_text(made.to_string()))
}

/// The forecast that plans are made with, null without one.
async fn forecast(State(live): Shared) -> Answer {
    let ground = live.current()?.ground;
    answer(&live.work(Work::Quick, move |live, _| Ok(live.forecasts.told(&ground))).await?)
}

async fn row_camera(State(live): Shared, Asked(asked): Asked<AskedPlan>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let occasion = occasion(&asked)?;
    let row_camera = live.work(Work::Quick, move |live, wanted| {
        outlook(&ground, &occasion, &|| live.still(&ground, wanted))
    });
    answer(&row_camera.await?)
}

/// Which picture.
#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Kind {
    Light,
    Through,
    LookUp,
    Matching,
}

#[derive(Deserialize)]
struct AskedPicture {
    revision: u64,
    at: String,
    fold: Option<Fold>,
    kind: Kind,
    /// What is looked through, with aim, zoom, iris and signal; where in its sweep it looks, 0
    /// to 1; horizontal field of view, degrees.
    camera: Option<usize>,
    along: Option<f64>,
    zoom_deg: Option<f64>,
    expose: Option<Expose>,
    signal: Option<Signal>,
    /// What is looked up from.
    place: Option<String>,
    /// Start of the match whose cameras are matched, and the minutes between its instants.
    start: Option<String>,
    step: Option<u32>,
}

impl AskedPicture {
    fn wish(self, ground: &Ground) -> Result<Wish, Refused> {
        if let Kind::Matching = self.kind {
            let date = self.at.get(..10).unwrap_or(&self.at).to_owned();
            let (revision, fold, step) = (self.revision, self.fold, self.step);
            let start = self.start.unwrap_or_default();
            let asked = AskedPlan { revision, date, start, step, first_look: false, fold };
            return Ok(Wish::Matching(occasion(&asked)?));
        }
        let at = instant(&ground.venue, &self.at, self.fold)?;
        Ok(match self.kind {
            Kind::LookUp => Wish::LookUp { at, place: self.place },
            Kind::Through => Wish::Through(Through {
                at,
                camera: self.camera.unwrap_or_default(),
                framing: through::check(Framing {
                    along: self.along.unwrap_or(Framing::default().along),
                    zoom_deg: self.zoom_deg,
                })?,
                expose: self.expose.unwrap_or(Expose::Between),
                nd_stops: None,
                signal: self.signal.unwrap_or_default(),
                under: None,
            }),
            Kind::Light | Kind::Matching => Wish::Light(at),
        })
    }
}

async fn draw(State(live): Shared, Asked(asked): Asked<AskedPicture>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let wish = asked.wish(&ground)?;
    let work = if matches!(wish, Wish::Matching(_)) { Work::Heavy } else { Work::Prompt };
    let svg = live.work(work, move |live, wanted| {
        picture::svg(&ground, &wish, &|| live.still(&ground, wanted))
    });
    Ok(([(header::CONTENT_TYPE, page::kind("a.svg"))], svg.await?).into_response())
}

#[derive(Deserialize)]
struct Edit {
    revision: u64,
    set: Vec<NewNumber>,
    #[serde(default)]
    preview: bool,
    at: Option<String>,
    fold: Option<Fold>,
}

async fn edit(State(live): Shared, Sent(sent): Sent<Edit>) -> Answer {
    if sent.preview {
        return preview(live, sent).await;
    }
    live.change(sent.revision, Change::Numbers(sent.set)).await.and_then(|all| answer(&all))
}

/// What an edit would look like; nothing is kept.
async fn preview(live: Arc<Live>, sent: Edit) -> Answer {
    let ground = live.ground_at(sent.revision)?;
    let shown = live.work(Work::Quick, move |live, wanted| {
        live.still(&ground, wanted)?;
        let changed = Change::Numbers(sent.set).of(&ground.draft)?;
        let draft = &ground.draft;
        let venue = draft.reread(&changed.text)?;
        let shadow = match &sent.at {
            None => Value::Null,
            Some(at) => {
                let at = instant(&venue, at, sent.fold)?;
                let shades = Shades::new(&venue.at(at), at.date_naive());
                let shadow = shades.at(&venue, ground.revision, at);
                serde_json::to_value(shadow).map_err(|e| Refused::Internal(e.to_string()))?
            }
        };
        let values = draft.values();
        Ok(json!({
            "stands": things(&venue, values),
            "cameras": cameras(&venue, values),
            "shadow": shadow,
        }))
    });
    answer(&shown.await?)
}

#[derive(Deserialize)]
struct NewText {
    revision: u64,
    text: String,
}

async fn text(State(live): Shared, Sent(sent): Sent<NewText>) -> Answer {
    live.change(sent.revision, Change::Text(sent.text)).await.and_then(|all| answer(&all))
}

#[derive(Deserialize)]
struct Table {
    revision: u64,
    add: Option<NewTable>,
    remove: Option<String>,
    set_value: Option<NewValue>,
    set_values: Option<Vec<NewValue>>,
}

async fn table(State(live): Shared, Sent(sent): Sent<Table>) -> Answer {
    let change = match sent {
        Table { add: Some(table), .. } => Change::Add(table),
        Table { remove: Some(address), .. } => Change::Remove(address),
        Table { set_value: Some(value), .. } => Change::Values(vec![value]),
        Table { set_values: Some(values), .. } => Change::Values(values),
        _ => return Err(Refused::BadRequest("send add, remove, set_value or set_values".into())),
    };
    live.change(sent.revision, change).await.and_then(|all| answer(&all))
}

async fn undo(State(live): Shared, Sent(sent): Sent<Revision>) -> Answer {
    let all = live.edit(Cause::Undo, move |workspace| workspace.undo(sent.revision));
    answer(&all.await?)
}

async fn redo(State(live): Shared, Sent(sent): Sent<Revision>) -> Answer {
    let all = live.edit(Cause::Redo, move |workspace| workspace.redo(sent.revision));
    answer(&all.await?)
}

async fn list(State(live): Shared) -> Answer {
    let folder = live.folder().to_owned();
    let all = live.work(Work::Quick, move |_, _| Ok(files::list(&folder)));
    answer(&all.await?)
}

/// The grounds of a day are the files of its folder, each with a screen of its own.
fn may_open(live: &Live) -> Result<(), Refused> {
    match live.session.several {
        false => Ok(()),
        true => Err(Refused::input(
            "this ground belongs to a day of several; open other files in another session",
        )),
    }
}

async fn new(State(live): Shared, Sent(sent): Sent<NewGround>) -> Answer {
    may_open(&live)?;
    let all = live.edit(Cause::Open, move |workspace| {
        let path = files::create(workspace.folder(), &sent)?;
        workspace.open(path, None).map(|()| true)
    });
    answer(&all.await?)
}

#[derive(Deserialize)]
struct Open {
    file: Option<String>,
    demo: Option<String>,
    /// Of a site; the first when absent.
    field: Option<String>,
}

async fn open(State(live): Shared, Sent(sent): Sent<Open>) -> Answer {
    may_open(&live)?;
    let all = live.edit(Cause::Open, move |workspace| {
        let folder = workspace.folder().to_owned();
        let path = match (&sent.file, &sent.demo) {
            (Some(file), None) => files::existing(&folder, file, &["toml"])?,
            (None, Some(demo)) => files::copy_demo(&folder, demo)?,
            _ => return Err(Refused::BadRequest("send file or demo".into())),
        };
        workspace.open(path, sent.field.as_deref()).map(|()| true)
    });
    answer(&all.await?)
}

#[derive(Deserialize)]
struct Mended {
    text: String,
}

async fn mend(State(live): Shared, Sent(sent): Sent<Mended>) -> Answer {
    let all = live.edit(Cause::Open, move |workspace| workspace.mend(sent.text).map(|()| true));
    answer(&all.await?)
}

async fn drop_file(State(live): Shared, Path(name): Path<String>, request: Request) -> Answer {
    live.dropped.keep(&name, request.into_body()).await?;
    answer(&json!({ "file": name }))
}

async fn begin(State(live): Shared, Sent(sent): Sent<JobRequest>) -> Answer {
    if sent.new_file.is_some() {
        may_open(&live)?;
    }
    let started = tokio::task::spawn_blocking(move || {
        jobs::start(&live, &sent).map(|id| json!({ "id": id }))
    });
    answer(&started.await??)
}

async fn stop(State(live): Shared, Path(id): Path<u64>, Sent(_): Sent<Value>) -> Answer {
    live.jobs.stop(id)?;
    answer(&json!({ "id": id }))
}

#[derive(Deserialize)]
struct HowOpened {
    open: Option<u8>,
}

async fn file(
    State(live): Shared,
    Path((id, name)): Path<(u64, String)>,
    Asked(how): Asked<HowOpened>,
) -> Answer {
    let path = live.jobs.file(id, &name)?;
    let bytes = live.work(Work::Quick, move |_, _| match bounded::read(&path, MAX_FILE) {
        Ok(Bounded::Whole(bytes)) => Ok(bytes),
        Ok(Bounded::Larger { .. } | Bounded::Folder) => {
            Err(Refused::input("the file is too large for the page; use the command"))
        }
        Err(error) => Err(Refused::NotFound(format!("the file is gone: {error}"))),
    });
    let bytes = bytes.await?;
    let kind = page::kind(&name).to_owned();
    let opened = how.open == Some(1);
    let shown = if opened { "inline" } else { "attachment" };
    let plain: String = name.chars().filter(|c| c.is_ascii() && *c != '"').collect();
    let mut response = (
        [
            (header::CONTENT_TYPE, kind),
            (header::CONTENT_DISPOSITION, format!("{shown}; filename=\"{plain}\"")),
        ],
        bytes,
    )
        .into_response();
    let policy = header::HeaderValue::from_static(OPENED);
    response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
    Ok(response)
}
