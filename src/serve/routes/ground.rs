//! The ground that is open: what stands on it, what looks suspicious, its shade and light.
//!
//! In: a revision and an instant in local time. Out: JSON with points in field axes, metres.

use axum::extract::State;
use serde::Deserialize;

use super::request::{Answer, Asked, Revision, Shared, answer};
use crate::serve::drawn::occluder_of;
use crate::serve::problem::Refused;
use crate::serve::shadow::{Fold, apart, instant};
use crate::serve::workspace::no_ground;
use crate::serve::{Work, plan};

#[derive(Deserialize)]
pub(super) struct At {
    revision: u64,
    at: String,
    fold: Option<Fold>,
}

pub(super) async fn ground(State(live): Shared) -> Answer {
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

pub(super) async fn check(State(live): Shared, Asked(asked): Asked<Revision>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let findings = live.work(Work::Heavy, move |live, wanted| {
        live.still(&ground, wanted)?;
        Ok(ground.findings())
    });
    answer(&findings.await?)
}

pub(super) async fn shadow(State(live): Shared, Asked(asked): Asked<At>) -> Answer {
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
pub(super) struct AtWithTable {
    revision: u64,
    at: String,
    fold: Option<Fold>,
    /// The table of what is about to be moved, such as `stand[0]`.
    table: String,
}

pub(super) async fn shadow_apart(State(live): Shared, Asked(asked): Asked<AtWithTable>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let at = instant(&ground.venue, &asked.at, asked.fold)?;
    let index = occluder_of(&ground.venue, &asked.table)
        .ok_or_else(|| Refused::input("table: nothing on the ground stands under that name"))?;
    let parts =
        live.work(Work::Quick, move |_, _| Ok(apart(&ground.venue, ground.revision, at, index)));
    answer(&parts.await?)
}

pub(super) async fn light(State(live): Shared, Asked(asked): Asked<At>) -> Answer {
    let ground = live.ground_at(asked.revision)?;
    let at = instant(&ground.venue, &asked.at, asked.fold)?;
    let light = live.work(Work::Prompt, move |live, wanted| {
        plan::instant(&ground, at, &|| live.still(&ground, wanted))
    });
    answer(&light.await?)
}
