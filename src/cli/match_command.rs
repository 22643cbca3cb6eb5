//! `quarterstop match`: the main job.
//!
//! In: a venue file and options. Out: timeline and field pictures (SVG, PNG),
//! `match.csv`, `match.json`, and the summary on stdout.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::light::Sky;
use crate::plan::MatchPlan;
use crate::report::files::{FileName, FileSet};
use crate::report::slug::{slug, unique_slugs};
use crate::report::{csv, json, summary};
use crate::solar::{SunDay, SunState};
use crate::venue::Venue;

use super::failure::Failure;
use super::options::{MatchOptions, SkyChoice};
use super::pictures;
use super::progress::Progress;
use super::run::{ink, print};
use super::stages::{self, Settings};
use super::window::{Asked, Window, window};

/// Runs the main job.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(super) fn run(options: &MatchOptions) -> Result<(), Failure> {
    let venue = stages::read_venue(&options.venue)?;
    let asked = asked(options, &venue)?;
    let resolve = |date: NaiveDate, time: NaiveTime| {
        stages::resolve(venue.place.zone, date, time, options.repeated)
    };
    let programme = stages::programme(&venue, &options.moment);
    let window = window(asked, stages::usual_window(&programme), resolve)?;
    let picture_times = pictures::times(&options.pictures_at, &window, resolve)?;
    refuse_polar_night(&venue, asked.date)?;

    let settings = Settings {
        window,
        step_minutes: options.step,
        sky: match options.sky {
            SkyChoice::Clear => Sky::Clear,
            SkyChoice::Overcast => Sky::Overcast,
        },
        milestones: programme.milestones_from(window.start),
    };
    let progress = Progress::of("sun, shadow and splits");
    let plan = stages::plan(&venue, settings, |done, all| progress.tell(done, all))?;
    drop(progress);
    warn(sunless(&plan));

    let folder = folder(options, &window);
    let indices = pictures::indices(&plan, &picture_times);
    let names = write(&venue, &plan, &indices, &folder)?;
    warn(left_over(&folder, &names));
    let ink = ink();
    let text = summary::text(&venue, &plan, ink);
    print(&format!("{text}\n{}", summary::files(&folder, &names, ink)))
}

fn warn(warning: Option<String>) {
    if let Some(warning) = warning {
        // eprintln! would panic where stderr is closed
        let _ = writeln!(io::stderr(), "warning: {warning}");
    }
}

fn asked(options: &MatchOptions, venue: &Venue) -> Result<Asked, Failure> {
    let date = options.date.or(venue.fixture.map(|f| f.date));
    let start = options.start.or(venue.fixture.map(|f| f.start));
    Ok(Asked {
        date: date.ok_or(Failure::NoFixture { what: "date" })?,
        start: start.ok_or(Failure::NoFixture { what: "start" })?,
        from: options.from,
        until: options.until,
    })
}

fn refuse_polar_night(venue: &Venue, date: NaiveDate) -> Result<(), Failure> {
    match stages::sun_day(&venue.place, date)? {
        SunDay::PolarNight { noon } => {
            let sun = stages::sun_at(&venue.place, noon)?;
            Err(Failure::NoSunrise {
                venue: venue.title.clone(),
                date,
                noon,
                elevation_deg: sun.apparent_elevation.degrees(),
            })
        }
        _ => Ok(()),
    }
}

/// What to say where no direct sun reaches the venue in the whole window.
fn sunless(plan: &MatchPlan) -> Option<String> {
    let clock = |at: DateTime<Tz>| at.format("%H:%M").to_string();
    if plan.instants.iter().any(|i| i.sun_state == SunState::Up) {
        return None;
    }
    let why = match plan.instants.iter().all(|i| i.sun_state == SunState::Down) {
        true => "the sun is down",
        false => "the sun is down or behind the skyline",
    };
    let day = match plan.day {
        SunDay::RisesAndSets { rise, set, .. } => {
            format!("; it rises at {} and sets at {}", clock(rise), clock(set))
        }
        SunDay::OnlyRises { rise, .. } => format!("; it rises at {}", clock(rise)),
        SunDay::OnlySets { set, .. } => format!("; it sets at {}", clock(set)),
        SunDay::PolarDay { .. } | SunDay::PolarNight { .. } => String::new(),
    };
    Some(format!("{why} in the whole window{day}"))
}

/// The folder asked for, or one named after the venue file, day and start.
fn folder(options: &MatchOptions, window: &Window) -> PathBuf {
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let stem = options.venue.file_stem().map(|s| s.to_string_lossy());
    let stem = slug(stem.as_deref().unwrap_or_default(), "venue");
    let start = window.start.format("%Y-%m-%d-%H%M");
    Path::new("output").join(format!("{stem}-{start}"))
}

/// Draws and writes everything; names in the order people look at them.
fn write(
    venue: &Venue,
    plan: &MatchPlan,
    indices: &[usize],
    folder: &Path,
) -> Result<Vec<FileName>, Failure> {
    // a folder that cannot be written is found before the drawing starts
    let mut set = FileSet::open(folder)?;
    for (name, bytes) in drawn(venue, plan, indices)? {
        set.stage(name, &bytes)?;
    }
    set.stage(FileName::new("match", "csv"), &csv::write(venue, plan)?)?;
    set.stage(FileName::new("match", "json"), &json::write(venue, plan)?)?;
    Ok(set.commit()?)
}

/// What to say where pictures of an earlier run, perhaps of another sky, stay
/// beside the new ones. They are not deleted: the folder is the user's.
fn left_over(folder: &Path, names: &[FileName]) -> Option<String> {
    let is_picture = |name: &str| {
        name.starts_with("field-") && (name.ends_with(".svg") || name.ends_with(".png"))
    };
    let old = std::fs::read_dir(folder)
        .ok()?
        .flatten()
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| is_picture(name) && names.iter().all(|n| n.as_str() != name))
        .count();
    let files = if old == 1 { "file" } else { "files" };
    (old > 0).then(|| {
        let folder = folder.display();
        format!("`{folder}` holds {old} picture {files} of an earlier run")
    })
}

/// One picture to draw: the timeline, or the field at an instant.
#[derive(Debug, Clone, Copy)]
enum Drawing {
    Timeline,
    Field(usize),
}

type Drawn = (FileName, Vec<u8>);

fn drawn(venue: &Venue, plan: &MatchPlan, indices: &[usize]) -> Result<Vec<Drawn>, Failure> {
    let instants = indices.iter().filter_map(|i| plan.instants.get(*i));
    let times: Vec<String> = instants.map(|i| i.at.format("field-%H%M").to_string()).collect();
    // a time that comes twice where clocks go back still gets two names
    let field_names = unique_slugs(times.iter().map(String::as_str), "field");
    let drawings: Vec<(String, Drawing)> = [("timeline".to_owned(), Drawing::Timeline)]
        .into_iter()
        .chain(field_names.into_iter().zip(indices.iter().map(|i| Drawing::Field(*i))))
        .collect();

    let progress = Progress::of("pictures");
    let (done, all) = (AtomicUsize::new(0), drawings.len());
    let pairs: Result<Vec<[Drawn; 2]>, Failure> = drawings
        .par_iter()
        .map(|(name, drawing)| {
            let picture = match drawing {
                Drawing::Timeline => stages::timeline(venue, plan)?,
                Drawing::Field(index) => stages::field(venue, plan, *index)?,
            };
            progress.tell(done.fetch_add(1, Ordering::Relaxed) + 1, all);
            Ok([
                (FileName::new(name, "svg"), picture.svg.into_bytes()),
                (FileName::new(name, "png"), picture.png),
            ])
        })
        .collect();
    Ok(pairs?.into_iter().flatten().collect())
}
