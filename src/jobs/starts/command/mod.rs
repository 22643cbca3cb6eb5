//! `quarterstop starts`: which start time on which date.
//!
//! In: venue files and dates, or a list of fixtures; a cost profile; weather files. Out:
//! tables, JSON, a page, a calendar, pictures, and a summary on stdout.

mod asked;
mod forecast;
mod resume;

use std::path::{Path, PathBuf};

use chrono::{NaiveDate, NaiveTime, Utc};
use clap::Args;

use crate::base::files::{FileName, FileSet};
use crate::base::slug::unique_slugs;
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress;
use crate::command::progress::Progress;
use crate::command::words::{day, time_of_day, whole};
use crate::jobs::check::options::{FieldOption, StateOption};
use crate::output::draw::Picture;
use crate::output::ics::Earlier;
use crate::venue::Venue;
use crate::venue::mesh::files_of;
use crate::weather::Odds;
use crate::{jobs, output};

use super::picture::Costs as StartCosts;
use super::report::{StartsReport, UnderRules, calendar, data, page, table};
use super::season::{NoSeason, Schedule};
use super::{OddsFrom, Profile, StartsError, StartsRun, read_profile};
use asked::{asked, listed, rules};
use resume::Folder;

/// Venues that get a picture.
const MAX_PICTURES: usize = 60;

/// Options of `quarterstop starts`.
#[derive(Debug, Clone, Args)]
#[command(after_help = "Examples:
  quarterstop starts ground.toml --from-time 12:00 --to-time 19:30
  quarterstop starts ground.toml --date 2027-08-14 --last-date 2028-05-20 --every-days 7 \\
    --from-time 12:00 --to-time 19:30 --odds weather.epw
  quarterstop starts --fixtures season.csv --costs costs.toml --into season")]
pub struct StartsOptions {
    /// Venue files (TOML)
    #[arg(value_name = "VENUE", required_unless_present = "fixtures")]
    #[arg(conflicts_with = "fixtures")]
    pub venues: Vec<PathBuf>,

    #[command(flatten)]
    pub field: FieldOption,

    #[command(flatten)]
    pub held: StateOption,

    /// List of fixtures (CSV with a header): date, venue (a file, from the list's
    /// folder), earliest, latest, duration_min, start (fixed or free), and where
    /// wanted planned, fixture (a name), teams, crew and truck
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    #[arg(conflicts_with_all = ["date", "last_date", "also_on", "from_time", "to_time", "planned", "duration_min"])]
    pub fixtures: Option<PathBuf>,

    /// Day of the match [default: the fixture's]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub date: Option<NaiveDate>,

    /// Also the days from --date up to this one, --every-days apart
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub last_date: Option<NaiveDate>,

    /// Days between those of --last-date
    #[arg(long, value_name = "DAYS", default_value_t = 7)]
    #[arg(value_parser = whole::<u32>(1, 366))]
    pub every_days: u32,

    /// Also these days, with commas between
    #[arg(long, value_name = "YYYY-MM-DD,...", value_delimiter = ',', value_parser = day)]
    pub also_on: Vec<NaiveDate>,

    /// Earliest start, on the venue's clocks
    #[arg(long, value_name = "HH:MM", default_value = "12:00", value_parser = time_of_day)]
    pub from_time: NaiveTime,

    /// Latest start
    #[arg(long, value_name = "HH:MM", default_value = "19:30", value_parser = time_of_day)]
    pub to_time: NaiveTime,

    /// Minutes from one start to the next, 1 to 240
    #[arg(long, value_name = "MINUTES", default_value_t = 15)]
    #[arg(value_parser = whole::<u32>(1, 240))]
    pub every_min: u32,

    /// Start that is planned now: savings and shifts are counted from it, also where it
    /// lies outside of --from-time and --to-time
    /// [default: the fixture's, else the earliest]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day, verbatim_doc_comment)]
    pub planned: Option<NaiveTime>,

    /// Minutes of play, as one run
    /// [default: the course of play of the venue file or its sport]
    #[arg(long, value_name = "MINUTES", verbatim_doc_comment)]
    #[arg(value_parser = whole::<u32>(5, 720))]
    pub duration_min: Option<u32>,

    /// Minutes from one counted instant to the next, 1 to 60
    #[arg(long, value_name = "MINUTES", default_value_t = 5)]
    #[arg(value_parser = whole::<u32>(1, 60))]
    pub step: u32,

    /// What counts how much (TOML; `quarterstop schema costs`)
    #[arg(long, value_name = "FILE")]
    pub costs: Option<PathBuf>,

    /// What the season must keep to and what is wished for (TOML; `quarterstop schema
    /// rules`): slots, rests, ways, hours. All fixtures are then placed together
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    pub rules: Option<PathBuf>,

    /// Weather file (EPW), or a folder of such files for one place; may come several
    /// times, each venue takes the nearest place [default: a clear sky]
    #[arg(long, value_name = "EPW", verbatim_doc_comment)]
    pub odds: Vec<PathBuf>,

    /// Forecast of the day (CSV, see `quarterstop forecast`); may come several times, each
    /// venue takes the first that is for its place. It goes before --odds for fixtures all
    /// of whose starts it tells
    #[arg(long, value_name = "FORECAST", verbatim_doc_comment)]
    pub forecast: Vec<PathBuf>,

    /// Folder for the files; an interrupted run with the same folder goes on
    /// [default: output/VENUE-starts or output/LIST-starts]
    #[arg(long, value_name = "FOLDER", verbatim_doc_comment)]
    pub into: Option<PathBuf>,
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, but what was worked out is kept
/// for the next run with the same inputs.
pub(crate) fn run(options: &StartsOptions) -> Result<(), Failure> {
    let profile = match &options.costs {
        Some(path) => read_profile(path).map_err(Failure::venue)?,
        None => Profile::default(),
    };
    let (paths, venues, fixtures, ties) = match &options.fixtures {
        Some(list) => listed(list, (&options.field, &options.held))?,
        None => asked(options)?,
    };
    let rules = match &options.rules {
        Some(path) => Some(rules(path, &venues, &fixtures, &ties)?),
        None => None,
    };
    let sources = all_odds(options)?;
    let told_by =
        forecast::Fixtures { venues: &venues, fixtures: &fixtures, every_min: options.every_min };
    let forecasts = told_by.forecasts(&options.forecast)?;
    let mut warnings = warnings(&sources, &venues);
    warnings.extend(told_by.warnings(&forecasts));
    warnings.iter().for_each(|warning| warn(Some(warning.clone())));
    let odds: Vec<Option<&Odds>> = venues.iter().map(|venue| nearest(&sources, venue)).collect();
    let run = StartsRun {
        venues: &venues,
        fixtures: &fixtures,
        every_min: options.every_min,
        step_min: options.step,
        profile: &profile,
        odds: odds.clone(),
        forecasts: forecasts.iter().map(Option::as_ref).collect(),
    };
    run.check().map_err(starts_failure)?;
    let schedule = rules
        .as_ref()
        .map(|rules| Schedule::new(rules, &venues, &fixtures, &ties, options.every_min));
    let list = options.fixtures.as_ref().map(|list| list.display().to_string());
    let no_season = |schedule: &Schedule<'_>, why: &NoSeason| {
        Failure::Input(super::report::no_season(schedule, why, list.as_deref()).into())
    };
    if let Some(schedule) = &schedule {
        // before hours of work, not after
        let checked = schedule.check().map_err(NoSeason::Conflict);
        checked.map_err(|why| no_season(schedule, &why))?;
    }
    let folder = folder(options, &paths);
    let weather = options.odds.iter().chain(&options.forecast);
    let lists = options.fixtures.iter().chain(&options.costs).chain(&options.rules).chain(weather);
    let models = paths.iter().zip(&venues).flat_map(|(p, v)| files_of(p, &v.meshes));
    let inputs = Inputs::of(lists.chain(&paths)).and(models);
    let mut set = FileSet::open(&folder, &inputs)?;
    let named = paths.iter().zip(&venues);
    let models = named.flat_map(|(path, venue)| files_of(path, &venue.meshes)).collect();
    let kept = Folder::open(
        &folder,
        &[&paths, &options.odds, &options.forecast, &models],
        &(&fixtures, &profile, options.every_min, options.step, &options.field, &options.held),
    )?;
    let progress = Progress::of("fixtures ranked");
    let ranked = run.ranked(&kept, |done, all| {
        progress.report(done, all);
        if done > 0 {
            let folder = folder.display();
            progress::keeps(format!(
                "what is done is kept in {folder}; the same command goes on there"
            ));
        }
    })?;
    drop(progress);
    let placement = match &schedule {
        Some(schedule) => Some(schedule.placed(&ranked).map_err(|why| no_season(schedule, &why))?),
        None => None,
    };
    let under_rules = schedule.as_ref().zip(placement.as_ref());
    let report = StartsReport {
        venues: &venues,
        fixtures: &fixtures,
        ranked: &ranked,
        profile: &profile,
        odds: &odds,
        warnings: &warnings,
        under_rules: under_rules.map(|(schedule, placement)| UnderRules { schedule, placement }),
        every_min: options.every_min,
        step_min: options.step,
    };
    stage(&mut set, &report, &folder)?;
    let names = set.commit()?;
    kept.clear();
    let ink = ink();
    let text = super::report::summary::text(&report, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}

fn starts_failure(error: StartsError) -> Failure {
    Failure::input(error)
}

fn stage(set: &mut FileSet, report: &StartsReport<'_>, folder: &Path) -> Result<(), Failure> {
    let slugs = unique_slugs(report.venues.iter().map(|v| v.title.as_str()), "venue");
    for (index, (venue, slug)) in report.venues.iter().zip(slugs).enumerate().take(MAX_PICTURES) {
        let from = report.odds_from(index);
        let under = match [OddsFrom::Forecast, OddsFrom::Weather].map(|odds| from.contains(&odds)) {
            [true, true] => "To be expected with the forecast, or else the odds of a weather file",
            [true, false] => "To be expected with the forecast of the day",
            [false, true] => "To be expected with the odds of sun of a weather file",
            [false, false] => "Under a clear sky",
        };
        let picture = starts_picture(&StartCosts {
            venue,
            index,
            fixtures: report.fixtures,
            ranked: report.ranked,
            profile: report.profile,
            every_min: report.every_min,
            under,
        })?;
        let name = match report.venues.len() {
            1 => "starts".to_owned(),
            _ => format!("starts-{slug}"),
        };
        set.stage(FileName::new(&name, "svg"), picture.svg.as_bytes())?;
        set.stage(FileName::new(&name, "png"), &picture.png().map_err(Failure::picture)?)?;
    }
    set.stage(FileName::new("starts", "csv"), &table::starts(report)?)?;
    set.stage(FileName::new("season", "csv"), &table::season(report)?)?;
    set.stage(FileName::new("season", "html"), page::html(report)?.as_bytes())?;
    let name = FileName::new("season", "ics");
    // the new calendar counts on from the one that it replaces
    let earlier = Earlier::at(&folder.join(name.as_str()));
    match calendar::ics(report, Utc::now(), &earlier) {
        Some(text) => set.stage(name, text.as_bytes())?,
        None => warn(Some(format!("no fixture to write into {name}: it is left as it is"))),
    }
    set.stage(FileName::new("starts", "json"), &data::write(report)?)?;
    Ok(())
}

/// Odds of each place.
fn all_odds(options: &StartsOptions) -> Result<Vec<Odds>, Failure> {
    options.odds.iter().map(|path| jobs::odds::command::odds(path)).collect()
}

/// What is doubtful about the odds, for the terminal and for everything that is handed
/// on: hours that were moved, venues far from the weather's place.
fn warnings(sources: &[Odds], venues: &[Venue]) -> Vec<String> {
    let moved = sources.iter().flat_map(|odds| jobs::odds::report::warnings(odds, None));
    let far = venues
        .iter()
        .filter_map(|venue| jobs::odds::command::warnings_for(nearest(sources, venue)?, venue));
    moved.chain(far).collect()
}

fn nearest<'a>(all: &'a [Odds], venue: &Venue) -> Option<&'a Odds> {
    let km = |odds: &&Odds| odds.km_from(&venue.place);
    all.iter().min_by(|a, b| km(a).total_cmp(&km(b)))
}

fn folder(options: &StartsOptions, paths: &[PathBuf]) -> PathBuf {
    use crate::base::slug::slug;
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let named = options.fixtures.as_ref().or(paths.first());
    let stem = named.and_then(|p| p.file_stem()).map(|s| s.to_string_lossy());
    Path::new("output")
        .join(format!("{}-starts", slug(stem.as_deref().unwrap_or_default(), "season")))
}

/// What starts cost at one venue.
pub(crate) fn starts_picture(costs: &super::picture::Costs<'_>) -> Result<Picture, Failure> {
    super::picture::starts(costs).map_err(Failure::picture)
}

impl From<crate::jobs::starts::report::page::StartsPageError> for Failure {
    fn from(error: crate::jobs::starts::report::page::StartsPageError) -> Self {
        Self::internal(error)
    }
}
