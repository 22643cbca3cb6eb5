//! `quarterstop league`: grounds side by side over years.
//!
//! In: venue files or a list of grounds, weather files, what is asked. Out: a partitioned data set of starts; once all parts
//! are there, a table of sums and a page.

use std::path::PathBuf;

use chrono::{Months, NaiveDate};

use crate::base::files::{FileName, FileSet};
use crate::base::limits::MAX_SEASON_DAYS;
use crate::base::slug::unique_slugs;
use crate::command::failure::{Failure, WindowError};
use crate::command::print::{ink, print, warn};
use crate::command::progress;
use crate::command::progress::Progress;
use crate::jobs::starts::{Profile, read_profile};
use crate::output;
use crate::venue::mesh::files_of;

use super::ground::LeagueSources;
pub use super::options::LeagueOptions;
use super::page;
use super::part::{LeagueRequest, VenueMonth, check, worked_out};
use super::store::{PartError, is_kept, keep, read};
use super::tally::Tally;

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
    let sources = LeagueSources::of(options)?;
    let slugs = slugs(&sources.venues)?;
    let all = VenueMonth::all(&slugs, &ask);
    let folder = &options.into;
    let missing: Vec<&VenueMonth> = all.iter().filter(|part| !is_kept(folder, part)).collect();
    if options.parts {
        return print(&missing.iter().map(|part| part.name() + "\n").collect::<String>());
    }
    if !options.part.is_empty() {
        let asked = named(&options.part, &all)?;
        let own: Vec<&VenueMonth> =
            missing.into_iter().filter(|part| asked.contains(part)).collect();
        let there = asked.len() - own.len();
        work(&sources, (&ask, folder), &own)?;
        let plural = |n: usize| if n == 1 { "1 part".to_owned() } else { format!("{n} parts") };
        return print(&format!("{} worked out, {there} there before\n", plural(own.len())));
    }
    work(&sources, (&ask, folder), &missing)?;
    report(&sources, (&ask, folder), &all)
}

/// Works out parts, a year of a venue at once.
fn work(
    sources: &LeagueSources,
    (ask, folder): (&LeagueRequest, &PathBuf),
    parts: &[&VenueMonth],
) -> Result<(), Failure> {
    let progress = Progress::of("months of venues");
    let mut done = 0;
    for index in 0..sources.venues.len() {
        let own: Vec<VenueMonth> =
            parts.iter().filter(|part| part.venue == index).map(|part| (*part).clone()).collect();
        if own.is_empty() {
            continue;
        }
        let ground = sources.ground(index, ask)?;
        check(&ground.venue, ask).map_err(Failure::input)?;
        for some in own.chunks(PARTS_AT_ONCE) {
            let rows = worked_out(&ground.venue, ground.odds.as_deref(), some, ask);
            for (part, rows) in some.iter().zip(rows) {
                keep(folder, part, &ground.inputs, &rows)?;
                done += 1;
                progress.report(done, parts.len());
            }
            let shown = folder.display();
            progress::keeps(format!(
                "{done} months of venues are kept in {shown}; the same command goes on there"
            ));
        }
    }
    Ok(())
}

/// Sums, the table and the page, out of the parts.
fn report(
    sources: &LeagueSources,
    (ask, folder): (&LeagueRequest, &PathBuf),
    all: &[VenueMonth],
) -> Result<(), Failure> {
    let mut tally = Tally::default();
    let mut grounds = Vec::with_capacity(sources.venues.len());
    let (mut models, mut warned) = (Vec::new(), Vec::<String>::new());
    for (index, path) in sources.venues.iter().enumerate() {
        let ground = sources.ground(index, ask)?;
        for part in all.iter().filter(|part| part.venue == index) {
            tally.add(index, &read(folder, part, &ground.inputs)?);
        }
        models.extend(files_of(path, &ground.venue.meshes));
        // grounds that share weather share what is doubtful about its hours
        for warning in ground.warnings() {
            if !warned.contains(&warning) {
                warn(Some(warning.clone()));
                warned.push(warning);
            }
        }
        grounds.push(page::PageGround::of(&ground, &ask.profile));
    }
    let titles: Vec<&str> = grounds.iter().map(|ground| ground.title.as_str()).collect();
    let mut set = FileSet::open(folder, &sources.inputs(models))?;
    set.stage(FileName::new("league", "csv"), &tally.csv(&titles)?)?;
    let told = page::Told { ask, grounds: &grounds, tally: &tally };
    set.stage(FileName::new("league", "html"), page::html(&told)?.as_bytes())?;
    let names = set.commit()?;
    let ink = ink();
    print(&format!(
        "{}\n{}\n{}",
        page::summary(&told, ink),
        output::text::cautions(ink),
        output::text::files(folder, &names, ink)
    ))
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
fn named<'a>(names: &[String], all: &'a [VenueMonth]) -> Result<Vec<&'a VenueMonth>, Failure> {
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

fn ask(options: &LeagueOptions) -> Result<LeagueRequest, Failure> {
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
    if !(1..=MAX_SEASON_DAYS).contains(&days) {
        return Err(Failure::Span { first, last, most: MAX_SEASON_DAYS });
    }
    let profile = match &options.costs {
        Some(path) => read_profile(path).map_err(Failure::venue)?,
        None => Profile::default(),
    };
    Ok(LeagueRequest {
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

impl From<page::LeaguePageError> for Failure {
    fn from(error: page::LeaguePageError) -> Self {
        Self::internal(error)
    }
}
