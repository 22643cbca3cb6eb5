//! `quarterstop match`: the main job.
//!
//! In: a venue file and options. Out: timeline and field pictures (SVG, PNG),
//! `match.csv`, `match.json`, and the summary on stdout.

use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::{NaiveDate, NaiveTime, Timelike};
use rayon::prelude::*;

use crate::base::files::{FileName, FileSet};
use crate::base::slug::unique_slugs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::engine::{Hidden, MatchPlan, Prepared};
use crate::output::draw::Picture;
use crate::venue::Venue;
use crate::{jobs, output};

use super::dusk::Dusk;
use super::options::MatchOptions;
use super::planning::ReadyPlan;
use super::report::{csv, json, map_csv, summary};
use super::{LightMap, ReferencePoint, planning};

/// Runs the main job.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(crate) fn run(options: &MatchOptions) -> Result<(), Failure> {
    let ReadyPlan { venue, date, mut settings } = planning::ready(&options.plan, options.hold)?;
    let resolve = |date: NaiveDate, time: NaiveTime| {
        super::planning::resolve(venue.place.zone, date, time, options.plan.when.repeated)
    };
    if let Some(at) = options.at {
        let at = resolve(date, at)?;
        (settings.window.from, settings.window.until) = (at, at);
    }
    let repeated = options.plan.when.repeated;
    settings.air =
        options.readings.over(settings.air, &venue, (&settings.window, repeated), None)?;
    let window = settings.window;
    let picture_times = super::pictured::times(&options.pictures_at, &window, resolve)?;
    planning::refuse_polar_night(&venue, date)?;

    let progress = Progress::of("sun, shadow and splits");
    let prepared = super::planning::prepare(&venue, date);
    let reference = reference(&venue, &prepared, options.count_from.as_deref())?;
    let plan = super::planning::plan(&prepared, settings, |done, all| progress.report(done, all))?;
    drop(progress);
    warn(planning::sunless(&plan));

    let folder = planning::folder(&options.plan.when, &window, "");
    let indices = super::pictured::indices(&plan, &picture_times);
    let maps = light_maps(&prepared, &plan, &indices, &reference);
    let hidden = Hidden::of_blocked(&venue, date);
    let names = write(
        &venue,
        &plan,
        &Pictured {
            indices,
            maps,
            hidden: &hidden,
            draw: if options.data_only { Draw::Nothing } else { Draw::All },
        },
        FileSet::open(&folder, &jobs::check::command::inputs(&options.plan.when.venue, &venue))?,
    )?;
    warn(left_over(&folder, &names));
    let ink = ink();
    let text = summary::text(&venue, &plan, &hidden, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}

/// Draws and writes everything; names in the order people look at them.
fn write(
    venue: &Venue,
    plan: &MatchPlan,
    pictured: &Pictured<'_>,
    // a folder that cannot be written is found before the drawing starts
    mut set: FileSet,
) -> Result<Vec<FileName>, Failure> {
    for (name, bytes) in drawn(venue, plan, pictured)? {
        set.stage(name, &bytes)?;
    }
    for (name, map) in pictured.names("light").iter().zip(&pictured.maps) {
        set.stage(FileName::new(name, "csv"), &map_csv::write(map)?)?;
    }
    set.stage(FileName::new("match", "csv"), &csv::write(venue, plan)?)?;
    if let Some(dusk) = Dusk::of(plan).filter(|_| !venue.cameras.is_empty()) {
        set.stage(FileName::new("dusk", "csv"), &super::report::dusk::csv(venue, &dusk)?)?;
    }
    let json = json::write(venue, plan, &pictured.maps, pictured.hidden)?;
    set.stage(FileName::new("match", "json"), &json)?;
    Ok(set.commit()?)
}

/// What to say where pictures of an earlier run, perhaps of another sky, stay
/// beside the new ones. They are not deleted: the folder is the user's.
fn left_over(folder: &Path, names: &[FileName]) -> Option<String> {
    let is_picture = |name: &str| {
        let of_time = ["field-", "light-", "dusk."].iter().any(|stem| name.starts_with(stem));
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

/// Instants that get pictures of the field, and their light; what cameras do not see.
struct Pictured<'a> {
    /// Of instants, in order of time.
    indices: Vec<usize>,
    /// In the same order.
    maps: Vec<LightMap>,
    /// Cameras, by index, from which most of their cover is hidden.
    hidden: &'a [(usize, Hidden)],
    draw: Draw,
}

/// Whether pictures are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Draw {
    All,
    /// Tables and data alone.
    Nothing,
}

impl Pictured<'_> {
    /// `field-1545`, `light-1545` ...; a time that comes twice where clocks go back
    /// still gets two names.
    fn names(&self, what: &str) -> Vec<String> {
        let name = |map: &LightMap| {
            let seconds = if map.at.second() == 0 { "%H%M" } else { "%H%M%S" };
            format!("{what}-{}", map.at.format(seconds))
        };
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

fn drawn(venue: &Venue, plan: &MatchPlan, pictured: &Pictured<'_>) -> Result<Vec<Drawn>, Failure> {
    let fields = pictured.indices.iter().map(|i| Drawing::Field(*i));
    let maps = pictured.maps.iter().map(Drawing::LightMap);
    if pictured.draw == Draw::Nothing {
        return Ok(Vec::new());
    }
    let over_time =
        [("timeline".to_owned(), Drawing::Timeline), ("light".to_owned(), Drawing::LightTimeline)];
    // one instant has no course
    let over_time = over_time.into_iter().filter(|_| plan.instants.len() > 1);
    let drawings: Vec<(String, Drawing)> = over_time
        .chain(pictured.names("field").into_iter().zip(fields))
        .chain(pictured.names("light").into_iter().zip(maps))
        .collect();

    let progress = Progress::of("pictures");
    let (done, all) = (AtomicUsize::new(0), drawings.len());
    let pairs: Result<Vec<[Drawn; 2]>, Failure> = drawings
        .par_iter()
        .map(|(name, drawing)| {
            let picture = match drawing {
                Drawing::Timeline => timeline(venue, plan)?,
                Drawing::LightTimeline => light_timeline(venue, plan)?,
                Drawing::Field(index) => field(venue, plan, *index)?,
                Drawing::LightMap(map) => light_map(venue, map)?,
            };
            progress.report(done.fetch_add(1, Ordering::Relaxed) + 1, all);
            let png = picture.png().map_err(Failure::picture)?;
            Ok([
                (FileName::new(name, "svg"), picture.svg.into_bytes()),
                (FileName::new(name, "png"), png),
            ])
        })
        .collect();
    Ok(pairs?.into_iter().flatten().collect())
}

/// The point that light maps count from.
pub(crate) fn reference(
    venue: &Venue,
    prepared: &Prepared<'_>,
    asked: Option<&str>,
) -> Result<ReferencePoint, Failure> {
    prepared.reference(asked).ok_or_else(|| Failure::NoSuchMark {
        asked: asked.unwrap_or_default().to_owned(),
        known: venue.field.marks.iter().map(|mark| mark.name.clone()).collect(),
    })
}

/// Light at the instants of `indices`.
pub(crate) fn light_maps(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    indices: &[usize],
    reference: &ReferencePoint,
) -> Vec<LightMap> {
    let times = indices.iter().filter_map(|i| plan.instants.get(*i)).map(|i| i.at);
    times.map(|at| prepared.light_map(at, plan.sky, &plan.air, reference.clone(), None)).collect()
}

pub(crate) fn timeline(venue: &Venue, plan: &MatchPlan) -> Result<Picture, Failure> {
    super::picture::timeline(venue, plan).map_err(Failure::picture)
}

pub(crate) fn field(venue: &Venue, plan: &MatchPlan, index: usize) -> Result<Picture, Failure> {
    super::picture::field(venue, plan, index).map_err(Failure::picture)
}

pub(crate) fn light_timeline(venue: &Venue, plan: &MatchPlan) -> Result<Picture, Failure> {
    super::picture::timeline::light_timeline(venue, plan).map_err(Failure::picture)
}

pub(crate) fn light_map(venue: &Venue, map: &LightMap) -> Result<Picture, Failure> {
    super::picture::field::light_map(venue, map).map_err(Failure::picture)
}
