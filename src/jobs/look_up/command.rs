//! `quarterstop look-up`: what stands around a place, and when the sun reaches it.
//!
//! In: a venue file, places and a date. Out: for each place a picture, the skyline as
//! CSV, everything as JSON, and a summary on stdout.

use std::path::{Path, PathBuf};

use chrono::{NaiveDate, TimeDelta};

use crate::base::files::{FileName, FileSet};
use crate::base::frame::FieldPoint;
use crate::base::slug::unique_slugs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::engine::{Spot, SpotError, Surroundings, find, point};
use crate::jobs::match_plan::planning;
use crate::output::draw::Picture;
use crate::venue::Venue;
use crate::{engine, jobs, output};

use super::options::LookUpOptions;
use super::{LookUp, NOON, TimeWindow, report};

/// Where one looks up from when nothing is said.
const DEFAULT_PLACE: &str = "centre of play";

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(crate) fn run(options: &LookUpOptions) -> Result<(), Failure> {
    let venue = jobs::check::command::read_venue(&options.venue, &options.field)?;
    let venue = options.held.hold(venue)?;
    let date = options.date.or(venue.fixture.map(|f| f.date)).ok_or(Failure::NoDay)?;
    let window = window(options, &venue, date)?;
    let venue = match window {
        Some((start, _)) => venue.at(start).into_owned(),
        None => venue.standing_at(date.and_time(NOON)).into_owned(),
    };
    let surroundings = Surroundings::new(&venue, date);
    let spots = spots(options, &surroundings)?;
    let folder = folder(options, date);
    let mut set = FileSet::open(&folder, &jobs::check::command::inputs(&options.venue, &venue))?;
    let names: Vec<String> = spots.iter().map(|s| format!("look-up-{}", s.name)).collect();
    let names = unique_slugs(names.iter().map(String::as_str), "look-up");
    let ink = ink();
    let mut text = ink_heading(&venue, date, ink);
    let progress = Progress::of("what stands around");
    let count = spots.len();
    for (i, (spot, name)) in spots.into_iter().zip(&names).enumerate() {
        let look = LookUp::new(&surroundings, spot, date, window);
        let picture = look_up(&venue, &look)?;
        set.stage(FileName::new(name, "svg"), picture.svg.as_bytes())?;
        set.stage(FileName::new(name, "png"), &picture.png().map_err(Failure::picture)?)?;
        set.stage(FileName::new(name, "csv"), &report::csv(&venue, &look)?)?;
        set.stage(FileName::new(name, "json"), &report::write(&venue, &look)?)?;
        text += &report::text(&venue, &look, ink);
        progress.report(i + 1, count);
    }
    drop(progress);
    let names = set.commit()?;
    let cautions = output::text::cautions(ink);
    print(&format!("{text}\n{cautions}\n{}", output::text::files(&folder, &names, ink)))
}

fn ink_heading(venue: &Venue, date: NaiveDate, ink: output::text::Ink) -> String {
    let when = format!("{}, {}", date.format("%A %-d %B %Y"), venue.place.zone.name());
    output::text::titled(&venue.title, &when, ink)
}

/// Start and end of the fixture; `None` where neither option nor file says when it
/// starts.
fn window(
    options: &LookUpOptions,
    venue: &Venue,
    date: NaiveDate,
) -> Result<Option<TimeWindow>, Failure> {
    let Some(start) = options.start.or(venue.fixture.map(|f| f.start)) else { return Ok(None) };
    let start = planning::resolve(venue.place.zone, date, start, options.repeated)?;
    let length = TimeDelta::minutes(engine::programme(venue).length_min().into());
    Ok(start.checked_add_signed(length).map(|end| (start, end)))
}

/// The places asked for; everything that is wrong with them at once.
fn spots(options: &LookUpOptions, surroundings: &Surroundings<'_>) -> Result<Vec<Spot>, Failure> {
    let named = options.place.iter().map(|name| find(surroundings, name, options.eye_m));
    let stated = options.at.iter().map(|at| {
        let up_m = at.up_m.unwrap_or(options.eye_m);
        point(surroundings, FieldPoint { along_m: at.along_m, across_m: at.across_m, up_m })
    });
    let mut all: Vec<Result<Spot, SpotError>> = named.chain(stated).collect();
    if all.is_empty() {
        all.push(find(surroundings, DEFAULT_PLACE, options.eye_m));
    }
    let wrong: Vec<String> =
        all.iter().filter_map(|spot| Some(spot.as_ref().err()?.to_string())).collect();
    if !wrong.is_empty() {
        return Err(Failure::Places(wrong.join("\n")));
    }
    Ok(all.into_iter().flatten().collect())
}

fn folder(options: &LookUpOptions, date: NaiveDate) -> PathBuf {
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let stem = options.field.stem(&options.venue);
    Path::new("output").join(format!("{stem}-{}-look-up", date.format("%Y-%m-%d")))
}

pub(crate) fn look_up(venue: &Venue, look: &LookUp) -> Result<Picture, Failure> {
    super::picture::look_up(venue, look).map_err(Failure::picture)
}
