//! `quarterstop year`: every instant of a span of days at a venue.
//!
//! In: a venue file and what is asked. Out: a folder with blocks of days as columnar
//! files; once all days are there, a CSV of them and pictures by date and time of day.

use std::convert::Infallible;
use std::fs;
use std::path::{Path, PathBuf};

use chrono::{Datelike, NaiveDate, TimeDelta};

use crate::base::files::{FileName, FileSet};
use crate::base::slug::{slug, unique_slugs};
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::command::{progress, sky};
use crate::engine::season::{Season, Wanted, Weather, dates};
use crate::venue::Venue;
use crate::venue::mesh::files_of;
use crate::{engine, jobs, output, solar};

use super::options::{ShowWord, YearOptions};
use super::picture::{YearWindow, YearWords};
use super::report::{
    Ask, CsvRows, Figure, Manifest, Shard, Store, StoreError, Table, fingerprint, grid,
};

/// Days of one file: about a month, half a second of work on a football ground, which
/// is what an interruption can lose.
const BLOCK_DAYS: usize = 30;
/// Fewer days where they would have more cells than this, which is what memory holds at once:
/// 20 cameras minute by minute.
const BLOCK_CELLS: usize = 5_000_000;
/// More days than this are refused.
const MAX_DAYS: i64 = 366 * 4;
/// Shown through its first camera where nothing is said.
const DEFAULT_CAMERA: usize = 0;

/// Runs the command.
///
/// # Errors
/// [`Failure`]; blocks that are done by then stay.
pub(crate) fn run(options: &YearOptions) -> Result<(), Failure> {
    let venue = jobs::check::command::read_venue(&options.venue)?;
    let ask = ask(options, &venue)?;
    let figures = figures(options, &venue)?;
    let file = fs::read_to_string(&options.venue).map_err(Failure::VenueAgain)?;
    let models = files_of(&options.venue, &venue.meshes);
    let models = models.iter().map(|model| fs::read(model).map(|bytes| fingerprint(&bytes)));
    let models = models.collect::<Result<Vec<u64>, _>>().map_err(Failure::VenueAgain)?;
    let folder = folder(options, &ask);
    let manifest = Manifest::new(&venue, &file, &models, &ask);
    let mut store = Store::open(&folder, &venue, manifest)?;
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
    let table = written(&store, &figures, &mut set)?;
    text += &facts(&table);
    pictures(&venue, &ask, &table, &figures, &mut set)?;
    let names = set.commit()?;
    let ink = ink();
    print(&format!(
        "{text}\n{}\n{}",
        output::text::cautions(ink),
        output::text::files(&folder, &names, ink)
    ))
}

/// Writes the CSV, a block at a time; gives back the columns that figures and facts read.
fn written(store: &Store, figures: &[Figure], set: &mut FileSet) -> Result<Table, Failure> {
    let wanted = Figure::columns(&[figures, &[Figure::Field]].concat());
    let columns = store.columns().iter().filter(|column| wanted.contains(&column.what));
    let mut kept = Table::new(columns.cloned().collect());
    set.stage_with(FileName::new("year", "csv"), |out| -> Result<(), Failure> {
        let mut rows = CsvRows::new(store.columns(), out)?;
        store.each(|table| -> Result<(), Failure> {
            kept.join_own(&table);
            Ok(rows.add(&table)?)
        })?;
        Ok(rows.finish()?)
    })?;
    Ok(kept)
}

/// Days of a file that has so many columns, and a row every so many minutes.
fn block_days(columns: usize, step_min: u32) -> usize {
    let of_day = columns * (24 * 60_usize).div_ceil(step_min.max(1) as usize);
    (BLOCK_CELLS / of_day.max(1)).clamp(1, BLOCK_DAYS)
}

/// Works out days in blocks.
fn work(
    venue: &Venue,
    ask: &Ask,
    missing: &[NaiveDate],
    (shard, folder): (Shard, &Path),
    store: &mut Store,
) -> Result<(), StoreError> {
    let season = Season::new(venue, ask.weather, Wanted::EVERYTHING);
    let progress = Progress::of("days of the year");
    let step = TimeDelta::minutes(i64::from(ask.step_min));
    let mut done = 0;
    let shown = folder.display();
    for block in missing.chunks(block_days(store.columns().len(), ask.step_min)) {
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
    ask: &Ask,
    table: &Table,
    figures: &[Figure],
    set: &mut FileSet,
) -> Result<(), Failure> {
    let titles: Vec<String> = figures.iter().map(|figure| figure.title(venue)).collect();
    let names = unique_slugs(titles.iter().map(String::as_str), "figure");
    let window = window(venue);
    let progress = Progress::of("pictures");
    for (place, ((figure, title), name)) in figures.iter().zip(&titles).zip(&names).enumerate() {
        let words = YearWords {
            figure: title.clone(),
            basis: format!(
                "{}, {}, every {} min",
                ask.weather.sky,
                ask.weather.air.caption(),
                ask.step_min
            ),
        };
        let grid = grid(venue, table, *figure, ask.step_min);
        let picture =
            super::picture::year(venue, &grid, &words, window).map_err(Failure::picture)?;
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

fn heading(venue: &Venue, ask: &Ask, shard: Shard) -> String {
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
    output::text::titled(&venue.title, &when, ink())
}

/// A few sums over the table.
fn facts(table: &Table) -> String {
    use crate::jobs::year::report::{Share, What};
    let states = table.of(What::SunState).unwrap_or_default();
    let shaded = table.of(What::Field(Share::Shaded)).unwrap_or_default();
    let up = states.iter().zip(shaded).filter(|(state, _)| state.word() == Some("up"));
    let (count, sum) = up.fold((0_usize, 0.0), |(count, sum), (_, shaded)| {
        (count + 1, sum + shaded.number().unwrap_or(0.0))
    });
    let mean = 100.0 * sum / count.max(1) as f64;
    format!(
        "{} instants, {count} of them with the sun up; then {mean:.1} % of the field lies in \
         shade on average.\n",
        table.len()
    )
}

fn ask(options: &YearOptions, venue: &Venue) -> Result<Ask, Failure> {
    let year = options.year.or(venue.fixture.map(|fixture| fixture.date.year()));
    let of_year = |month, day| year.and_then(|year| NaiveDate::from_ymd_opt(year, month, day));
    let first = options.first_date.or(of_year(1, 1)).ok_or(Failure::NoYear)?;
    let last = options.last_date.or(of_year(12, 31)).ok_or(Failure::NoYear)?;
    let days = (last - first).num_days() + 1;
    if !(1..=MAX_DAYS).contains(&days) {
        return Err(Failure::Span { first, last, most: MAX_DAYS });
    }
    let weather = Weather {
        sky: sky::sky(options.sky, options.direct_share)?,
        air: sky::air(venue, &options.air)?,
    };
    Ok(Ask { first, last, step_min: options.step, weather })
}

/// The figures asked for; every name that the venue does not have at once.
fn figures(options: &YearOptions, venue: &Venue) -> Result<Vec<Figure>, Failure> {
    if options.show.is_empty() {
        let mut usual = vec![Figure::Field, Figure::Mixed];
        if venue.cameras.len() > DEFAULT_CAMERA {
            usual.extend([Figure::Turf(DEFAULT_CAMERA), Figure::Lens(DEFAULT_CAMERA)]);
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
        ShowWord::Field => Some(Figure::Field),
        ShowWord::Mixed => Some(Figure::Mixed),
        ShowWord::Zone(name) => find(zones(), "zone", name).map(Figure::Zone),
        ShowWord::Turf(name) => find(cameras(), "camera", name).map(Figure::Turf),
        ShowWord::Subject(name) => find(cameras(), "camera", name).map(Figure::Subject),
        ShowWord::Lens(name) => find(cameras(), "camera", name).map(Figure::Lens),
    };
    let figures: Vec<Figure> = options.show.iter().filter_map(figure).collect();
    if wrong.is_empty() { Ok(figures) } else { Err(Failure::Show(wrong.join("\n"))) }
}

fn folder(options: &YearOptions, ask: &Ask) -> PathBuf {
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let stem = options.venue.file_stem().map(|s| s.to_string_lossy());
    let stem = slug(stem.as_deref().unwrap_or_default(), "venue");
    let whole = ask.first.ordinal() == 1
        && ask.last.month() == 12
        && ask.last.day() == 31
        && ask.first.year() == ask.last.year();
    let span = match whole {
        true => ask.first.format("%Y").to_string(),
        false => format!("{}-{}", ask.first.format("%Y-%m-%d"), ask.last.format("%Y-%m-%d")),
    };
    Path::new("output").join(format!("{stem}-year-{span}"))
}

impl From<super::report::StoreError> for Failure {
    fn from(error: super::report::StoreError) -> Self {
        let usage = error.is_usage();
        Self::of(error, usage)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_a_month_or_what_memory_takes() {
        assert_eq!(block_days(150, 5), BLOCK_DAYS);
        assert_eq!(block_days(100, 1), BLOCK_DAYS);
        assert_eq!(block_days(500, 1), 6);
        assert_eq!(block_days(50_000, 1), 1);
    }
}
