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

use crate::plan::{LightMap, MatchPlan};
use crate::report::files::{FileName, FileSet};
use crate::report::slug::{slug, unique_slugs};
use crate::report::{csv, json, map_csv, summary};
use crate::solar::{SunDay, SunState};
use crate::units::Stops;
use crate::venue::Venue;

use super::failure::Failure;
use super::options::MatchOptions;
use super::pictures;
use super::progress::Progress;
use super::run::{ink, print};
use super::sky;
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
        sky: sky::sky(options.sky, options.direct_share)?,
        air: sky::air(&venue, &options.air),
        hold: Stops::from_stops(options.hold),
        milestones: programme.milestones_from(window.start),
    };
    let progress = Progress::of("sun, shadow and splits");
    let prepared = stages::prepare(&venue, asked.date);
    let reference = stages::reference(&venue, &prepared, options.count_from.as_deref())?;
    let plan = stages::plan(&prepared, settings, |done, all| progress.tell(done, all))?;
    drop(progress);
    warn(sunless(&plan));

    let folder = folder(options, &window);
    let indices = pictures::indices(&plan, &picture_times);
    let maps = stages::light_maps(&prepared, &plan, &indices, &reference);
    let names = write(&venue, &plan, &Pictured { indices, maps }, &folder)?;
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
    pictured: &Pictured,
    folder: &Path,
) -> Result<Vec<FileName>, Failure> {
    // a folder that cannot be written is found before the drawing starts
    let mut set = FileSet::open(folder)?;
    for (name, bytes) in drawn(venue, plan, pictured)? {
        set.stage(name, &bytes)?;
    }
    for (name, map) in pictured.names("light").iter().zip(&pictured.maps) {
        set.stage(FileName::new(name, "csv"), &map_csv::write(map)?)?;
    }
    set.stage(FileName::new("match", "csv"), &csv::write(venue, plan)?)?;
    set.stage(FileName::new("match", "json"), &json::write(venue, plan, &pictured.maps)?)?;
    Ok(set.commit()?)
}

/// What to say where pictures of an earlier run, perhaps of another sky, stay
/// beside the new ones. They are not deleted: the folder is the user's.
fn left_over(folder: &Path, names: &[FileName]) -> Option<String> {
    let is_picture = |name: &str| {
        let of_time = name.starts_with("field-") || name.starts_with("light-");
        of_time && [".svg", ".png", ".csv"].iter().any(|kind| name.ends_with(kind))
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
        format!("`{folder}` holds {old} {files} of an earlier run")
    })
}

/// Instants that get pictures of the field, and their light.
struct Pictured {
    /// Of instants, in order of time.
    indices: Vec<usize>,
    /// In the same order.
    maps: Vec<LightMap>,
}

impl Pictured {
    /// `field-1545`, `light-1545` ...; a time that comes twice where clocks go back
    /// still gets two names.
    fn names(&self, what: &str) -> Vec<String> {
        let name = |map: &LightMap| format!("{what}-{}", map.at.format("%H%M"));
        let names: Vec<String> = self.maps.iter().map(name).collect();
        unique_slugs(names.iter().map(String::as_str), what)
    }
}

/// One picture to draw: over time, or of the field at an instant.
#[derive(Clone, Copy)]
enum Drawing<'a> {
    Timeline,
    LightTimeline,
    Field(usize),
    LightMap(&'a LightMap),
}

type Drawn = (FileName, Vec<u8>);

fn drawn(venue: &Venue, plan: &MatchPlan, pictured: &Pictured) -> Result<Vec<Drawn>, Failure> {
    let fields = pictured.indices.iter().map(|i| Drawing::Field(*i));
    let maps = pictured.maps.iter().map(Drawing::LightMap);
    let drawings: Vec<(String, Drawing)> =
        [("timeline".to_owned(), Drawing::Timeline), ("light".to_owned(), Drawing::LightTimeline)]
            .into_iter()
            .chain(pictured.names("field").into_iter().zip(fields))
            .chain(pictured.names("light").into_iter().zip(maps))
            .collect();

    let progress = Progress::of("pictures");
    let (done, all) = (AtomicUsize::new(0), drawings.len());
    let pairs: Result<Vec<[Drawn; 2]>, Failure> = drawings
        .par_iter()
        .map(|(name, drawing)| {
            let picture = match drawing {
                Drawing::Timeline => stages::timeline(venue, plan)?,
                Drawing::LightTimeline => stages::light_timeline(venue, plan)?,
                Drawing::Field(index) => stages::field(venue, plan, *index)?,
                Drawing::LightMap(map) => stages::light_map(venue, map)?,
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
