//! A day's order as a page: HTML that needs nothing from outside, for a screen and for paper.
//!
//! In: [`DayOrder`] and its picture. Out: one HTML file.

use serde::Serialize;

use crate::jobs::brief::report::words::{clock, sure_words};
use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};

use super::report::{LENGTHS, handling, heading, set_words, turn_words};
use super::{DayOrder, OnAirStretch, StretchCue};

const PAGE: &str = include_str!("order.html");
const STYLE: &str = include_str!("style.css");

#[derive(Serialize)]
struct StretchPart {
    from: String,
    until: String,
    field: String,
    matches: String,
    before: Vec<CuePart>,
    turns: Vec<TurnPart>,
    cameras: Vec<CameraPart>,
    actions: Vec<CuePart>,
    others: Vec<CuePart>,
}

#[derive(Serialize)]
struct CuePart {
    time: String,
    what: String,
    sure: String,
}

#[derive(Serialize)]
struct TurnPart {
    name: String,
    what: String,
}

#[derive(Serialize)]
struct CameraPart {
    name: String,
    set: String,
    handling: String,
}

fn stretch_part(day: &DayOrder<'_>, stretch: &OnAirStretch) -> StretchPart {
    let cues = |keep: &dyn Fn(&StretchCue) -> bool| {
        let kept = stretch.cues.iter().filter(|told| keep(told));
        let part = |told: &StretchCue| CuePart {
            time: clock(told.cue.at),
            what: told.cue.what.clone(),
            sure: sure_words(told.cue.sure),
        };
        kept.map(part).collect()
    };
    let turns = stretch.cameras.iter().filter_map(|camera| {
        Some(TurnPart { name: camera.name.clone(), what: turn_words(day, camera)? })
    });
    let cameras = stretch.cameras.iter().map(|camera| CameraPart {
        name: camera.name.clone(),
        set: set_words(&camera.setting),
        handling: handling(camera),
    });
    StretchPart {
        from: clock(stretch.on_air.from),
        until: clock(stretch.on_air.until),
        field: day.field_name(stretch.on_air.field).to_owned(),
        matches: match stretch.matches.is_empty() {
            true => "no match".to_owned(),
            false => stretch.matches.join(", "),
        },
        before: cues(&|told| !told.on_air),
        turns: turns.collect(),
        cameras: cameras.collect(),
        actions: cues(&|told| told.on_air && told.cue.is_key_action()),
        others: cues(&|told| told.on_air && !told.cue.is_key_action()),
    }
}

/// The page; `svg` is the picture of [`super::picture::lanes`].
///
/// # Errors
/// Where the template fails: a fault of the program.
pub fn html(day: &DayOrder<'_>, svg: &str) -> Result<String, minijinja::Error> {
    let mut pages = paper::pages();
    pages.add_template("order.html", PAGE)?;
    let stretches: Vec<StretchPart> =
        day.stretches.iter().map(|stretch| stretch_part(day, stretch)).collect();
    let context = minijinja::context! {
        title => &day.site.title,
        heading => heading(day),
        lengths => LENGTHS,
        stretches => minijinja::value::Serde(stretches),
        picture => minijinja::Value::from_safe_string(svg.to_owned()),
        style => minijinja::Value::from_safe_string(STYLE.to_owned() + &foot_style()),
        cautions => CAUTIONS.to_vec(),
    };
    pages.get_template("order.html")?.render(context)
}
