//! What screens ask about the day.
//!
//! In: requests that a guard let through, with the [`Person`] that it knows. Out: JSON of
//! the state and of the plan; entries.

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Extension, Query, State};
use axum::http::header;
use axum::response::IntoResponse;
use axum::routing::{get, post};
use chrono::DateTime;
use chrono_tz::Tz;
use serde::Deserialize;
use serde_json::json;

use crate::base::read::clean;
use crate::jobs::day::{DayPlan, Event, Person, Role, at_local, venue_with_lenses};
use crate::serve::edit::Change;
use crate::serve::events::PageEvent;
use crate::serve::forecast::{Given, HeldOut};
use crate::serve::grounds::Access;
use crate::serve::problem::Refused;
use crate::serve::routes::{Answer, Sent, Shared, answer, json_text};
use crate::serve::shadow::Fold;
use crate::serve::{Live, Work, page, through};
use crate::solar::Repeated;
use crate::venue::Venue;
use crate::weather::forecast::MAX_MB;

use super::data;

const ONLY_THE_DAY: &str =
    "only who leads the day moves cameras between grounds, or takes that back";

type Who = Extension<Person>;

/// Bytes of a forecast, as JSON writes its text.
const MAX_FORECAST: usize = 2 * MAX_MB as usize * 1024 * 1024;

/// What both doors have: this machine's and the network's.
pub fn router() -> Router<Arc<Live>> {
    Router::new()
        .route("/api/day", get(state))
        .route("/api/day/plan", get(plan))
        .route(
            "/api/day/events",
            get(|State(live): Shared| async move { live.events.day_stream() }),
        )
        .route("/api/day/enter", post(enter))
        .route("/api/day/picture", get(picture))
        .route("/api/day/cuts", get(cuts))
        .route("/api/day/page", get(after))
        .route("/api/day/survey", post(survey))
        .route(
            "/api/day/forecast",
            // a table of hours is larger than an entry
            get(outlook).post(forecast).layer(DefaultBodyLimit::max(MAX_FORECAST)),
        )
}

async fn state(State(live): Shared, Extension(person): Who) -> Answer {
    let told = live.work(Work::Quick, move |live, _| {
        let ground = live.current()?.ground;
        let mut told = live.with_day(|day, live| Ok(data::state(day, &live.day.clock, &person)))?;
        told["forecast"] = live.forecasts.told(&ground);
        Ok(told)
    });
    answer(&told.await?)
}

/// What the forecast means for the present plan, null without one.
async fn outlook(State(live): Shared) -> Answer {
    // one screen asks, the others find it done
    let _turn = live.looking.lock().await;
    loop {
        let text = live.work(Work::Heavy, |live, _| {
            let held = live.forecasts.of(&live.current()?.ground).ok().flatten();
            let Some(held) = held else {
                return Ok(Some("null".into()));
            };
            live.with_day(|_, _| Ok(()))?;
            live.day.replan()?;
            live.day.look_ahead(&held)
        });
        if let Some(text) = text.await? {
            return Ok(json_text(text.to_string()));
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NewForecast {
    file: String,
    /// Left out to go on without a forecast.
    text: Option<String>,
}

/// Takes a newer forecast, or goes on without one.
async fn forecast(
    State(live): Shared,
    Extension(person): Who,
    Sent(sent): Sent<NewForecast>,
) -> Answer {
    if person.role != Role::Lead {
        return Err(Refused::Forbidden("your code does not allow this entry"));
    }
    let taken = live.work(Work::Quick, move |live, _| {
        let NewForecast { file, text } = sent;
        let Some(text) = text else {
            live.forecasts.remove();
            return Ok(None);
        };
        let given = Given { file: clean(&file), text };
        live.forecasts.take(&live.current()?.ground, given).map(Some)
    });
    let taken = taken.await?;
    live.events.send(PageEvent::Forecast { file: taken.as_ref().map(HeldOut::file) });
    answer(&taken)
}

/// The plan of the present state, made where it is not yet.
async fn plan(State(live): Shared) -> Answer {
    let text = live.work(Work::Heavy, |live, _| {
        live.with_day(|_, _| Ok(()))?;
        live.day.replan()?;
        live.with_day(|day, _| Ok(day.plan_text.clone()))
    });
    let text = text.await?.ok_or_else(|| Refused::Internal("a day without a plan".into()))?;
    Ok(json_text(text.to_string()))
}

#[derive(Deserialize)]
struct AskedPicture {
    /// By its place in the venue file.
    camera: usize,
}

/// A venue, its plan and a time.
type Planned = (Arc<Venue>, Arc<DayPlan>, DateTime<Tz>);

/// The venue as its lenses are, the plan that is there, and now.
fn as_planned(live: &Live) -> Result<Planned, Refused> {
    let (venue, plan, now) = live.with_day(|day, live| {
        let venue = venue_with_lenses(&day.venue, &day.state);
        let venue = venue.map_or_else(|| Arc::clone(&day.venue), Arc::new);
        Ok((venue, day.plan.clone(), day.now(&live.day.clock)))
    })?;
    Ok((venue, plan.ok_or(Refused::Busy("the plan is not made yet"))?, now))
}

/// What a camera sees now, by the plan that is there.
async fn picture(State(live): Shared, Query(asked): Query<AskedPicture>) -> Answer {
    let svg = live.work(Work::Prompt, move |live, wanted| {
        let (venue, plan, now) = as_planned(live)?;
        let wish = data::through(&venue, &plan, asked.camera, now)?;
        let ground = live.current()?.ground;
        through::svg(&ground, &wish, &|| live.still(&ground, wanted))
    });
    Ok(([(header::CONTENT_TYPE, page::kind("a.svg"))], svg.await?).into_response())
}

#[derive(Deserialize)]
struct AskedCuts {
    /// By its place in the venue file; all cameras without it.
    camera: Option<usize>,
}

/// Which cameras are hard to cut to each other now, by the plan that is there.
async fn cuts(State(live): Shared, Query(asked): Query<AskedCuts>) -> Answer {
    let found = live.work(Work::Prompt, move |live, _| {
        let (venue, plan, now) = as_planned(live)?;
        Ok(data::cuts(&venue, &plan, asked.camera, now))
    });
    answer(&found.await?)
}

/// Planned against happened, as a file to keep.
async fn after(State(live): Shared) -> Answer {
    let html = live
        .work(Work::Quick, |live, _| live.with_day(|day, live| data::page(day, &live.day.clock)));
    let kept = "attachment; filename=\"planned-and-happened.html\"";
    let headers =
        [(header::CONTENT_TYPE, page::kind("a.html")), (header::CONTENT_DISPOSITION, kept)];
    Ok((headers, html.await?).into_response())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Accepts {}

/// Writes what edges say about roofs and the bearing into the venue file, as one change
/// that can be undone there.
async fn survey(
    State(live): Shared,
    Extension(person): Who,
    Sent(Accepts {}): Sent<Accepts>,
) -> Answer {
    if person.role != Role::Lead {
        return Err(Refused::Forbidden("your code does not allow this entry"));
    }
    let made = live.work(Work::Quick, |live, _| {
        live.with_day(|day, _| {
            let nothing = || Refused::input("no edges say anything new about the venue");
            let survey = day.survey.clone().map_err(Refused::input)?.ok_or_else(nothing)?;
            let mut draft = day.ground.draft.clone();
            survey.write_into(&mut draft).map_err(|e| Refused::input(e.to_string()))?;
            Ok((day.revision, draft.text()))
        })
    });
    let (revision, text) = made.await?;
    let what = "numbers from edges of the day".to_owned();
    live.change(revision, Change::Brought { text, what }).await?;
    answer(&json!({}))
}

#[derive(Deserialize)]
struct NewEntry {
    what: Event,
    /// A time of day; now where it is left out.
    at: Option<String>,
    fold: Option<Fold>,
}

async fn enter(
    State(live): Shared,
    Extension(person): Who,
    Extension(access): Extension<Access>,
    Sent(sent): Sent<NewEntry>,
) -> Answer {
    let number = live.work(Work::Quick, move |live, _| {
        let moved = live.with_day(|day, _| {
            if sent.what.is_of_the_day() {
                return Err(Refused::Forbidden(ONLY_THE_DAY));
            }
            Ok(day.undoes_move(&sent.what)?.map(str::to_owned))
        })?;
        match (moved, &access) {
            (Some(moved), Access::Day(grounds)) => {
                grounds.take_back(&moved, &person)?;
                grounds.announce_others(&live.name);
                live.with_day(|day, _| Ok(day.state.last_entry))
            }
            (Some(_), Access::Ground) => Err(Refused::Forbidden(ONLY_THE_DAY)),
            (None, _) => live.with_day(|day, live| {
                let now = day.now(&live.day.clock);
                let at = time(day.start, &sent, now)?;
                day.enter(sent.what, at, now, &person)
            }),
        }
    });
    let number = number.await?;
    // every screen first, then the plan
    live.events.send(PageEvent::Day { entry: number, planned: false });
    // another ground may hang on it
    live.session.entered.notify_one();
    tokio::spawn(live.plan_the_day(number));
    answer(&json!({ "entry": number }))
}

fn time(start: DateTime<Tz>, sent: &NewEntry, now: DateTime<Tz>) -> Result<DateTime<Tz>, Refused> {
    let Some(text) = &sent.at else { return Ok(now) };
    let repeated = sent.fold.map(|fold| match fold {
        Fold::First => Repeated::Earlier,
        Fold::Second => Repeated::Later,
    });
    let date = start.date_naive();
    at_local(start.timezone(), date, text, repeated).map_err(|error| match error {
        crate::jobs::day::LocalTimeError::Clock(clock) => clock.into(),
        other => Refused::input(other.to_string()),
    })
}
