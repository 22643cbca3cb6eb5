//! The match at a glance: how much of the field lies in shade, without any light.
//!
//! In: a revision of the ground, when play begins. Out: the keys of the plan's data that need
//! no light, at a coarse step. It takes a hundredth of a plan's time and stands in for it until
//! the plan is there.

use chrono::TimeDelta;
use serde_json::{Value, json};

use crate::engine;
use crate::jobs::brief::report::words::{clock, epoch_s};
use crate::serve::ground::Ground;
use crate::serve::plan::Occasion;
use crate::serve::problem::Refused;
use crate::serve::shadow::resolve;

/// The share of the field in shade through a match, and its milestones.
///
/// # Errors
/// [`Refused`] for times that are none, or work that nobody wants any more.
pub fn outlook(
    ground: &Ground,
    occasion: &Occasion,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<Value, Refused> {
    let venue = &ground.venue;
    let start = resolve(venue, occasion.date.and_time(occasion.start), occasion.fold)?;
    let programme = engine::programme(venue);
    let (from, until) = programme.window_from(start);
    let step = TimeDelta::minutes(occasion.step_min.into());
    let shades = ground.shades(occasion.date);
    let times: Vec<_> = std::iter::successors(Some(from), |at| at.checked_add_signed(step))
        .take_while(|at| *at <= until)
        .collect();
    let mut shaded_share = Vec::with_capacity(times.len());
    for at in &times {
        go_on()?;
        shaded_share.push(shades.at(venue, *at).field_share(venue, *at));
    }
    let stone = |m: &engine::Milestone| json!({ "name": m.name, "epoch_s": epoch_s(m.at), "clock": clock(m.at) });
    Ok(json!({
        "epoch_s": times.iter().map(|at| epoch_s(*at)).collect::<Vec<_>>(),
        "clock": times.iter().map(|at| clock(*at)).collect::<Vec<_>>(),
        "milestones": programme.milestones_from(start).iter().map(stone).collect::<Vec<_>>(),
        "shaded_share": shaded_share,
        "cameras": [],
        "cues": [],
    }))
}
