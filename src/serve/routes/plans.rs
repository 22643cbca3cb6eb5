//! Plans of a match, what a forecast means for them, and pictures.
//!
//! In: a revision, a day and a start in local time, minutes between instants; of pictures what
//! they show and from where. Out: the data object of the board, an outlook, SVG.

use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use chrono::{NaiveDate, NaiveTime};
use serde::Deserialize;

use super::request::{Answer, Asked, Shared, answer, json_text};
use crate::jobs::on_air::{Expose, Framing};
use crate::serve::ground::Ground;
use crate::serve::outlook::outlook;
use crate::serve::picture::PictureWish;
use crate::serve::plan::Occasion;
use crate::serve::problem::Refused;
use crate::serve::shadow::{Fold, instant};
use crate::serve::through::{self, CameraShot, Signal};
use crate::serve::{Work, page, picture, plan};

#[derive(Deserialize)]
pub(super) struct AskedPlan {
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

pub(super) async fn board(State(live): Shared, Asked(asked): Asked<AskedPlan>) -> Answer {
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
pub(super) async fn forecast(State(live): Shared) -> Answer {
    let ground = live.current()?.ground;
    answer(&live.work(Work::Quick, move |live, _| Ok(live.forecasts.told(&ground))).await?)
}

pub(super) async fn row_camera(State(live): Shared, Asked(asked): Asked<AskedPlan>) -> Answer {
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
pub(super) struct AskedPicture {
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
    fn wish(self, ground: &Ground) -> Result<PictureWish, Refused> {
        if let Kind::Matching = self.kind {
            let date = self.at.get(..10).unwrap_or(&self.at).to_owned();
            let (revision, fold, step) = (self.revision, self.fold, self.step);
            let start = self.start.unwrap_or_default();
            let asked = AskedPlan { revision, date, start, step, first_look: false, fold };
            return Ok(PictureWish::Matching(occasion(&asked)?));
        }
        let at = instant(&ground.venue, &self.at, self.fold)?;
        Ok(match self.kind {
            Kind::LookUp => PictureWish::LookUp { at, place: self.place },
            Kind::Through => PictureWish::Through(CameraShot {
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
            Kind::Light | Kind::Matching => PictureWish::Light(at),
        })
    }
}

pub(super) async fn draw(State(live): Shared, Asked(asked): Asked<AskedPicture>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let wish = asked.wish(&ground)?;
    let work = if matches!(wish, PictureWish::Matching(_)) { Work::Heavy } else { Work::Prompt };
    let svg = live.work(work, move |live, wanted| {
        picture::svg(&ground, &wish, &|| live.still(&ground, wanted))
    });
    Ok(([(header::CONTENT_TYPE, page::kind("a.svg"))], svg.await?).into_response())
}
