//! `quarterstop year`: every instant of a span of days at a venue.
//!
//! In: a venue file and what is asked. Out: a folder with a data set of columnar files, a
//! month each; once all days are there, a CSV of them and pictures by date and time of day.
//! A month goes through memory at a time, so that the span may be long.

use std::convert::Infallible;
use std::fs;
use std::path::{Path, PathBuf};

use chrono::{Datelike, Months, NaiveDate, TimeDelta};

use crate::base::files::{FileName, FileSet};
use crate::base::limits::MAX_SEASON_DAYS;
use crate::base::slug::unique_slugs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::command::{progress, sky};
use crate::engine::season::{Season, Wanted, Weather, dates};
use crate::venue::Venue;
use crate::venue::mesh::files_of;
use crate::{engine, jobs, output, solar};

use super::YearGrid;
use super::options::{ShowWord, YearOptions};
use super::picture::{YearWindow, YearWords};
use super::report::{
    CsvRows, Facts, Grids, Manifest, Shard, Store, StoreError, YearFigure, YearRequest, fingerprint,
};

/// Days that a picture shows at most: each has a pixel of its width. Of a longer span it
/// shows the first year, as the others hardly differ.
const MAX_PICTURE_DAYS: i64 = 366 * 4;
/// Shown through its first camera where nothing is said.
const DEFAULT_CAMERA: usize = 0;

/// Runs the command.
///
/// # Errors
/// [`Failure`]; blocks that are done by then stay.
pub(crate) fn run(options: &YearOptions) -> Result<(), Failure> {
    let venue = jobs::check::command::read_venue(&options.venue, &options.field)?;
    let venue = options.held.hold(venue)?;
    let ask = ask(options, &venue)?;
    let figures = figures(options, &venue)?;
    let mut file = fs::read_to_string(&options.venue).map_err(Failure::VenueAgain)?;
    if !options.held.state.is_empty() {
        // another state is another ground
        file += &format!("\0held {:?}", options.held.state);
    }
    let models = files_of(&options.venue, &venue.meshes);
    let models = models.iter().map(|model| fs::read(model).map(|bytes| fingerprint(&bytes)));
    let models = models.collect::<Result<Vec<u64>, _>>().map_err(Failure::VenueAgain)?;
    let folder = folder(options, &ask);
    let manifest = Manifest::new(&venue, &file, &models, &ask);
    let mut store = Store::open(&folder, (&venue, &ask.venue), manifest)?;
    let shard = options.shard.unwrap_or(Shard::WHOLE);
    let all: Vec<NaiveDate> = dates(ask.first, ask.last).collect();
    let own = all.iter().enumerate().filter(|(day, _)| shard.has(*day)).map(|(_, date)| *date);
    let own: Vec<NaiveDate> = own.collect();
    let missing = store.missing(own.iter().copied());
    work(&venue, &ask, &missing, (shard, &folder), &mut store)?;
    let left = store.missing(all.iter().copied());
    let mut text = heading(&venue, &ask, shard);
    text += &format!(
        "{} of {} days worked out now, {} were there before.\n",
        missing.len(),
        own.len(),
        own.len() - missing.len()
    );
    if !left.is_empty() {
        let first = left.first().map_or_else(String::new, |d| d.format("%Y-%m-%d").to_string());
        text += &format!(
            "{} of {} days are not in {} yet, the first of them {first}; the table and the \
             pictures are made by the run that completes them.\n",
            left.len(),
            all.len(),
            folder.display()
        );
        return print(&text);
    }
    let mut set = FileSet::open(&folder, &jobs::check::command::inputs(&options.venue, &venue))?;
    let until = drawn_until(&ask);
    let mut grids = Grids::new(&venue, &figures, ask.step_min, until);
    text += &output::text::wrapped("", &written(&store, &mut grids, &mut set)?.words());
    if let Some(until) = until {
        text += &format!("Pictures show the first year of the span, the days before {until}.\n");
    }
    pictures(&venue, &ask, &grids.done(), &mut set)?;
    let names = set.commit()?;
    let ink = ink();
    print(&format!(
        "{text}\n{}\n{}",
        output::text::cautions(ink),
        output::text::files(&folder, &names, ink)
    ))
}

/// Writes the CSV, a month at a time, and fills the grids of the pictures on the way.
fn written(store: &Store, grids: &mut Grids<'_>, set: &mut FileSet) -> Result<Facts, Failure> {
    let mut facts = Facts::default();
    set.stage_with(FileName::new("year", "csv"), |out| -> Result<(), Failure> {
        let mut rows = CsvRows::new(store.columns(), out)?;
        store.each(|table| -> Result<(), Failure> {
            facts.add(&table);
            grids.add(&table);
            Ok(rows.add(&table)?)
        })?;
        Ok(rows.finish()?)
    })?;
    Ok(facts)
}

/// The first day that pictures do not show; `None` where they show all.
fn drawn_until(ask: &YearRequest) -> Option<NaiveDate> {
    let days = (ask.last - ask.first).num_days() + 1;
    (days > MAX_PICTURE_DAYS).then(|| ask.first.checked_add_months(Months::new(12)))?
}

/// Works out days in blocks.
fn work(
    venue: &Venue,
    ask: &YearRequest,
    missing: &[NaiveDate],
    (shard, folder): (Shard, &Path),
    store: &mut Store,
) -> Result<(), StoreError> {
    let season = Season::new(venue, ask.weather, Wanted::EVERYTHING);
    let progress = Progress::of("days of the year");
    let step = TimeDelta::minutes(i64::from(ask.step_min));
    let mut done = 0;
    let shown = folder.display();
    for block in store.blocks(missing, ask.step_min) {
        let mut table = store.table();
        let Ok(()) = season.days(block.iter().copied(), step, |day| {
            table.add(&day.rows);
            if let Some(date) = missing.get(done) {
                progress.at(date.format("%Y-%m-%d").to_string());
            }
            done += 1;
            progress.report(done, missing.len());
            Ok::<(), Infallible>(())
        });
        store.keep(block, &table, shard)?;
        progress::keeps(format!(
            "the first {done} of these days are kept in {shown}; the same command goes on there"
        ));
    }
    Ok(())
}

fn pictures(
    venue: &Venue,
    ask: &YearRequest,
    figures: &[(YearFigure, YearGrid)],
    set: &mut FileSet,
) -> Result<(), Failure> {
    let titles: Vec<String> = figures.iter().map(|(figure, _)| figure.title(venue)).collect();
    let names = unique_slugs(titles.iter().map(String::as_str), "figure");
    let window = window(venue);
    let progress = Progress::of("pictures");
    for (place, (((_, grid), title), name)) in figures.iter().zip(&titles).zip(&names).enumerate() {
        let words = YearWords {
            figure: title.clone(),
            basis: format!(
                "{}, {}, every {} min",
                ask.weather.sky,
                ask.weather.air.caption(),
                ask.step_min
            ),
        };
        let picture =
            super::picture::year(venue, grid, &words, window).map_err(Failure::picture)?;
        set.stage(FileName::new(name, "svg"), picture.svg.as_bytes())?;
        set.stage(FileName::new(name, "png"), &picture.png().map_err(Failure::picture)?)?;
        progress.report(place + 1, figures.len());
    }
    Ok(())
}

/// Start and end of play of the file's fixture; `None` without one.
fn window(venue: &Venue) -> Option<YearWindow> {
    let fixture = venue.fixture?;
    let start = solar::resolve(venue.place.zone, fixture.date, fixture.start, None).ok()?;
    let length = TimeDelta::minutes(engine::programme(venue).length_min().into());
    Some(YearWindow { start, end: start.checked_add_signed(length)? })
}

fn heading(venue: &Venue, ask: &YearRequest, shard: Shard) -> String {
    let day = |date: NaiveDate| date.format("%-d %B %Y").to_string();
    let mut when = format!(
        "{} to {}, every {} min, {}, {}. {}",
        day(ask.first),
        day(ask.last),
        ask.step_min,
        ask.weather.sky,
        venue.place.zone.name(),
        ask.weather.air.statement().trim_end_matches('.')
    );
    if shard != Shard::WHOLE {
        when += &format!(", shard {} of {}", shard.number, shard.of);
    }
    output::text::titled(&venue.title, &format!("{when}."), ink())
}

fn ask(options: &YearOptions, venue: &Venue) -> Result<YearRequest, Failure> {
    let year = options.year.or(venue.fixture.map(|fixture| fixture.date.year()));
    let of_year = |month, day| year.and_then(|year| NaiveDate::from_ymd_opt(year, month, day));
    let first = options.first_date.or(of_year(1, 1)).ok_or(Failure::NoYear)?;
    let last = options.last_date.or(of_year(12, 31)).ok_or(Failure::NoYear)?;
    let days = (last - first).num_days() + 1;
    if !(1..=MAX_SEASON_DAYS).contains(&days) {
        return Err(Failure::Span { first, last, most: MAX_SEASON_DAYS });
    }
    let weather = Weather {
        sky: sky::sky(options.sky, options.direct_share)?,
        air: sky::air(venue, &options.air)?,
    };
    Ok(YearRequest { venue: name(options), first, last, step_min: options.step, weather })
}

/// The figures asked for; every name that the venue does not have at once.
fn figures(options: &YearOptions, venue: &Venue) -> Result<Vec<YearFigure>, Failure> {
    if options.show.is_empty() {
        let mut usual = vec![YearFigure::Field, YearFigure::Mixed];
        if venue.cameras.len() > DEFAULT_CAMERA {
            usual.extend([YearFigure::Turf(DEFAULT_CAMERA), YearFigure::Lens(DEFAULT_CAMERA)]);
        }
        return Ok(usual);
    }
    let mut wrong = Vec::new();
    let mut find = |names: Vec<&str>, kind: &str, asked: &str| {
        let found = names.iter().position(|name| *name == asked);
        if found.is_none() {
            wrong.push(format!("no {kind} \"{asked}\"\n  choose one of: {}", names.join(", ")));
        }
        found
    };
    let cameras = || venue.cameras.iter().map(|camera| camera.name.as_str()).collect();
    let zones = || venue.zones.iter().map(|zone| zone.name.as_str()).collect();
    let figure = |word: &ShowWord| match word {
        ShowWord::Field => Some(YearFigure::Field),
        ShowWord::Mixed => Some(YearFigure::Mixed),
        ShowWord::Zone(name) => find(zones(), "zone", name).map(YearFigure::Zone),
        ShowWord::Turf(name) => find(cameras(), "camera", name).map(YearFigure::Turf),
        ShowWord::Subject(name) => find(cameras(), "camera", name).map(YearFigure::Subject),
        ShowWord::Lens(name) => find(cameras(), "camera", name).map(YearFigure::Lens),
    };
    let figures: Vec<YearFigure> = options.show.iter().filter_map(figure).collect();
    if wrong.is_empty() { Ok(figures) } else { Err(Failure::Show(wrong.join("\n"))) }
}

fn folder(options: &YearOptions, ask: &YearRequest) -> PathBuf {
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let whole = ask.first.ordinal() == 1
        && ask.last.month() == 12
        && ask.last.day() == 31
        && ask.first.year() == ask.last.year();
    let span = match whole {
        true => ask.first.format("%Y").to_string(),
        false => format!("{}-{}", ask.first.format("%Y-%m-%d"), ask.last.format("%Y-%m-%d")),
    };
    Path::new("output").join(format!("{}-year-{span}", ask.venue))
}

/// What folders call the venue: after its file and field.
fn name(options: &YearOptions) -> String {
    options.field.stem(&options.venue)
}

impl From<super::report::StoreError> for Failure {
    fn from(error: super::report::StoreError) -> Self {
        let usage = error.is_usage();
        Self::of(error, usage)
    }
}
