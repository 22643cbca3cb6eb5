//! `quarterstop league`: grounds side by side over years.
//!
//! In: venue files and what is asked. Out: a partitioned data set of starts; once all parts
//! are there, a table of sums and a page.

use std::fs;
use std::path::{Path, PathBuf};

use chrono::{Months, NaiveDate};

use crate::base::files::{FileName, FileSet};
use crate::base::meaning::meaning;
use crate::base::slug::unique_slugs;
use crate::base::target::Inputs;
use crate::command::failure::{Failure, WindowError};
use crate::command::print::{ink, print};
use crate::command::progress;
use crate::command::progress::Progress;
use crate::jobs::starts::{Profile, read_profile};
use crate::jobs::year::report::fingerprint;
use crate::venue::Venue;
use crate::venue::mesh::files_of;
use crate::{jobs, output};

pub use super::options::LeagueOptions;
use super::page;
use super::part::{Ask, Part, check, worked_out};
use super::store::{FORMAT, PartError, is_kept, keep, read};
use super::tally::Tally;

/// Days of a run: a century.
const MAX_DAYS: i64 = 36_525;
/// Parts that are worked out together, and lost together by an interruption: a year of
/// one venue, so that memory does not grow with the span.
const PARTS_AT_ONCE: usize = 12;
const MAX_VENUES: usize = 1_000;

/// Runs the command.
///
/// # Errors
/// [`Failure`]; parts that are done by then stay.
pub(crate) fn run(options: &LeagueOptions) -> Result<(), Failure> {
    let ask = ask(options)?;
    let slugs = slugs(&options.venues)?;
    let all = Part::all(&slugs, &ask);
    let folder = &options.into;
    let missing: Vec<&Part> = all.iter().filter(|part| !is_kept(folder, part)).collect();
    if options.parts {
        return print(&missing.iter().map(|part| part.name() + "\n").collect::<String>());
    }
    if !options.part.is_empty() {
        let asked = named(&options.part, &all)?;
        let own: Vec<&Part> = missing.into_iter().filter(|part| asked.contains(part)).collect();
        let there = asked.len() - own.len();
        work(options, &ask, &own)?;
        let plural = |n: usize| if n == 1 { "1 part".to_owned() } else { format!("{n} parts") };
        return print(&format!("{} worked out, {there} there before\n", plural(own.len())));
    }
    work(options, &ask, &missing)?;
    report(options, &ask, &all)
}

/// Works out parts, a year of a venue at once.
fn work(options: &LeagueOptions, ask: &Ask, parts: &[&Part]) -> Result<(), Failure> {
    let progress = Progress::of("months of venues");
    let mut done = 0;
    for (index, path) in options.venues.iter().enumerate() {
        let own: Vec<Part> =
            parts.iter().filter(|part| part.venue == index).map(|part| (*part).clone()).collect();
        if own.is_empty() {
            continue;
        }
        let (venue, inputs) = read_ground(path, ask)?;
        check(&venue, ask).map_err(Failure::input)?;
        for some in own.chunks(PARTS_AT_ONCE) {
            for (part, rows) in some.iter().zip(worked_out(&venue, some, ask)) {
                keep(&options.into, part, &inputs, &rows)?;
                done += 1;
                progress.report(done, parts.len());
            }
            let folder = options.into.display();
            progress::keeps(format!(
                "{done} months of venues are kept in {folder}; the same command goes on there"
            ));
        }
    }
    Ok(())
}

/// Sums, the table and the page, out of the parts.
fn report(options: &LeagueOptions, ask: &Ask, all: &[Part]) -> Result<(), Failure> {
    let mut tally = Tally::default();
    let mut venues = Vec::with_capacity(options.venues.len());
    let mut models = Vec::new();
    for (index, path) in options.venues.iter().enumerate() {
        let (venue, inputs) = read_ground(path, ask)?;
        for part in all.iter().filter(|part| part.venue == index) {
            tally.add(index, &read(&options.into, part, &inputs)?);
        }
        models.extend(files_of(path, &venue.meshes));
        venues.push(page::Ground::of(&venue, &ask.profile));
    }
    let titles: Vec<&str> = venues.iter().map(|venue| venue.title.as_str()).collect();
    let inputs = Inputs::of(options.venues.iter().chain(&options.costs)).and(models);
    let mut set = FileSet::open(&options.into, &inputs)?;
    set.stage(FileName::new("league", "csv"), &tally.csv(&titles)?)?;
    let html = page::html(ask, &venues, &tally)?;
    set.stage(FileName::new("league", "html"), html.as_bytes())?;
    let names = set.commit()?;
    let ink = ink();
    print(&format!(
        "{}\n{}\n{}",
        page::summary(ask, &venues, &tally, ink),
        output::text::cautions(ink),
        output::text::files(&options.into, &names, ink)
    ))
}

/// A venue, and the hash of all that its rows are made from.
fn read_ground(path: &Path, ask: &Ask) -> Result<(Venue, String), Failure> {
    let venue = jobs::check::command::read_venue(path)?;
    let mut all = meaning(&fs::read(path).map_err(Failure::VenueAgain)?).into_owned();
    for model in files_of(path, &venue.meshes) {
        let bytes = fs::read(model).map_err(Failure::VenueAgain)?;
        all.extend(format!("\0model {:016x}", fingerprint(&bytes)).into_bytes());
    }
    // the span is not in it: a part stands for its month, and is the same in a longer span
    let asked = (ask.from, ask.until, ask.every_min, ask.step_min, ask.duration_min, &ask.profile);
    let program = concat!("quarterstop ", env!("CARGO_PKG_VERSION"));
    all.extend(format!("\0{FORMAT} {program} {asked:?}").into_bytes());
    Ok((venue, format!("{:016x}", fingerprint(&all))))
}

/// Folder names of the venues, after their files.
fn slugs(paths: &[PathBuf]) -> Result<Vec<String>, Failure> {
    if paths.len() > MAX_VENUES {
        return Err(Failure::Input(
            format!("{} venues; at most {MAX_VENUES} are compared at once", paths.len()).into(),
        ));
    }
    let stems: Vec<String> =
        paths.iter().map(|p| p.file_stem().unwrap_or_default().to_string_lossy().into()).collect();
    Ok(unique_slugs(stems.iter().map(String::as_str), "venue"))
}

/// The parts of these names; every name that there is not at once.
fn named<'a>(names: &[String], all: &'a [Part]) -> Result<Vec<&'a Part>, Failure> {
    let find = |name: &String| all.iter().find(|part| part.name() == *name).ok_or(name.clone());
    let (found, wrong): (Vec<_>, Vec<_>) = names.iter().map(find).partition(Result::is_ok);
    let wrong: Vec<String> = wrong.into_iter().filter_map(Result::err).collect();
    if wrong.is_empty() {
        return Ok(found.into_iter().flatten().collect());
    }
    let words: Vec<String> = wrong.iter().map(|name| format!("no part \"{name}\"")).collect();
    let help = "--parts lists those that are missing";
    Err(Failure::Input(format!("{}\n  {help}", words.join("\n")).into()))
}

fn ask(options: &LeagueOptions) -> Result<Ask, Failure> {
    if options.to_time < options.from_time {
        return Err(
            WindowError::StartsReversed { from: options.from_time, to: options.to_time }.into()
        );
    }
    // whole months, so that a part is the same in whatever span it lies
    let of_year = |month| options.year.and_then(|y| NaiveDate::from_ymd_opt(y, month, 1));
    let first = options.first_month.or(of_year(1)).ok_or(Failure::NoYear)?;
    let last = options.last_month.or(of_year(12)).ok_or(Failure::NoYear)?;
    let last = last.checked_add_months(Months::new(1)).and_then(|next| next.pred_opt());
    let last = last.ok_or(Failure::NoYear)?;
    let days = (last - first).num_days() + 1;
    if !(1..=MAX_DAYS).contains(&days) {
        return Err(Failure::Span { first, last, most: MAX_DAYS });
    }
    let profile = match &options.costs {
        Some(path) => read_profile(path).map_err(Failure::venue)?,
        None => Profile::default(),
    };
    Ok(Ask {
        first,
        last,
        from: options.from_time,
        until: options.to_time,
        every_min: options.every_min,
        step_min: options.step,
        duration_min: options.duration_min,
        profile,
    })
}

impl From<PartError> for Failure {
    fn from(error: PartError) -> Self {
        let usage = error.is_usage();
        Self::of(error, usage)
    }
}

impl From<page::PageError> for Failure {
    fn from(error: page::PageError) -> Self {
        Self::internal(error)
    }
}
