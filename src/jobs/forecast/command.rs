//! `quarterstop forecast`: what the forecast of the day makes of a match.
//!
//! In: a venue file, a forecast. Out: a table by minute, JSON, and a summary on stdout.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::base::files::{FileName, FileSet};
use crate::base::units::Stops;
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::command::sky;
use crate::command::sky::{AirWord, air_word};
use crate::command::window::Window;
use crate::engine::{DEFAULT_HOLD_STOPS, MatchPlan, Prepared};
use crate::jobs::crew;
use crate::jobs::crew::{Brief, BriefSettings};
use crate::jobs::match_plan::options::WhenOptions;
use crate::jobs::match_plan::planning;
use crate::jobs::match_plan::planning::{PlanningSettings, VenueMatch};
use crate::jobs::match_plan::reading::ReadingOptions;
use crate::light::{AirByDate, Sky};
use crate::venue::Venue;
use crate::weather::forecast;
use crate::weather::forecast::Forecast;
use crate::{jobs, output};

use super::report::{data, left_out_words, table, text};
use super::{DayOutlook, UnderSky, skies};

/// Options of `quarterstop forecast`.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  quarterstop forecast venues/football-demo.toml venues/football-demo-forecast.csv

The file is CSV with a header, columns in any order: a time (time with an offset, time_utc or
time_local), member where there are several, and any of cover_total, cover_low, cover_middle,
cover_high (_percent, _oktas, _tenths, _share), direct_normal_w_m2, direct_horizontal_w_m2,
diffuse_w_m2, global_w_m2, wind, wind_cloud (_m_s, _km_h, _kn, _mph), visibility_km,
temperature_c, dew_point_c, water_cm or water_mm; latitude_deg and longitude_deg are checked.")]
pub struct ForecastOptions {
    #[command(flatten)]
    pub when: WhenOptions,

    /// The forecast (CSV)
    #[arg(value_name = "FORECAST")]
    pub forecast: PathBuf,

    /// What is in the air, as in `quarterstop match`
    #[arg(long, value_name = "AIR,...", value_delimiter = ',', value_parser = air_word)]
    pub air: Vec<AirWord>,

    #[command(flatten)]
    pub readings: ReadingOptions,
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(crate) fn run(options: &ForecastOptions) -> Result<(), Failure> {
    let VenueMatch { venue, date, window, programme } = planning::occasion(&options.when)?;
    let forecast = read(&options.forecast, &venue, &window)?;
    planning::refuse_polar_night(&venue, date)?;
    let air = sky::air(&venue, &options.air)?.on(date);
    let air =
        options.readings.over(air, &venue, (&window, options.when.repeated), Some(&forecast))?;
    let folder = planning::folder(&options.when, &window, "-forecast");
    let inputs =
        jobs::check::command::inputs(&options.when.venue, &venue).and([options.forecast.clone()]);
    let mut set = FileSet::open(&folder, &inputs)?;
    let progress = Progress::of("the match under each sky that is possible");
    let prepared = planning::prepare(&venue, date);
    let milestones = programme.milestones_from(window.start);
    let settings = PlanningSettings {
        step_minutes: 1,
        sky: Sky::Clear,
        air,
        hold: Stops::from_stops(DEFAULT_HOLD_STOPS),
        milestones,
        window,
    };
    let plan = planning::plan(&prepared, settings.clone(), |_, _| {})?;
    let operators = Some(1).filter(|_| venue.operators.is_empty());
    let brief_settings = BriefSettings { operators, ..BriefSettings::default() };
    let brief = crew::brief(&prepared, &plan, &brief_settings)?;
    let day = outlook(&forecast, &venue, &prepared, settings, (&plan, &brief))?;
    drop(progress);
    set.stage(FileName::new("forecast", "csv"), &table::csv(&venue, &day)?)?;
    set.stage(FileName::new("forecast", "json"), &data::write(&venue, &day)?)?;
    let names = set.commit()?;
    let ink = ink();
    let text = text::text(&venue, &day, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}

/// Reads a forecast for a venue and a match.
///
/// # Errors
/// [`Failure::Input`] for one that is unsound, of another place or another day.
pub(crate) fn read(path: &Path, venue: &Venue, window: &Window) -> Result<Forecast, Failure> {
    let failure = |e| Failure::input(e);
    let text = forecast::text(path).map_err(failure)?;
    let file = path.display().to_string();
    let within = (window.from.to_utc(), window.until.to_utc());
    let forecast = super::checked((&text, &file), venue, within).map_err(failure)?;
    warn(left_out_words(&forecast));
    Ok(forecast)
}

/// What the forecast makes of a match, from what the cameras see under each sky that it
/// holds possible; `planned` are plan and brief of a clear sky.
///
/// # Errors
/// [`Failure`] where nothing can be planned.
pub(crate) fn outlook(
    forecast: &Forecast,
    venue: &Venue,
    prepared: &Prepared<'_>,
    settings: PlanningSettings,
    planned: (&MatchPlan, &Brief),
) -> Result<DayOutlook, Failure> {
    let airs = AirByDate::from(settings.air);
    let window = (settings.window.from.to_utc(), settings.window.until.to_utc());
    let states = skies(forecast, &venue.place, &airs, window);
    let skies: Vec<Sky> = states.iter().map(|state| state.sky()).collect();
    let views = planning::views_under(prepared, settings, &skies)?;
    let under = states.into_iter().zip(views).map(|(state, views)| UnderSky { state, views });
    let under: Vec<UnderSky> = under.collect();
    Ok(DayOutlook::new(forecast, venue, &airs, &under, planned))
}
