//! `quarterstop ball`: the high ball and the ride of the iris.
//!
//! In: a venue file, a camera, a strike, a time. Out: a picture, the looks as CSV, the
//! whole as JSON, and a summary on stdout.

mod compare;
mod strike;

use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use clap::{Args, ValueEnum};

use crate::base::files::{FileName, FileSet};
use crate::base::slug::unique_slugs;
use crate::command::failure::Failure;
use crate::command::point::{PlacePoint, place_point};
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::command::sky;
use crate::command::sky::{AirWord, SkyChoice, air_word};
use crate::command::words::{day, direct_share, time_of_day, within};
use crate::engine::Prepared;
use crate::jobs::check::options::{FieldOption, StateOption};
use crate::jobs::match_plan::options::RepeatedChoice;
use crate::jobs::match_plan::planning;
use crate::output::draw::Picture;
use crate::venue::Venue;
use crate::{jobs, output};

use super::physics::{Ball, BallKind, Flight, Screen};
use super::{
    BallPlan, BallSettings, DEFAULT_RATE, DEFAULT_SKY_UNDER_STOPS, DEFAULT_VISIBILITY, report,
};
use compare::CompareOptions;
use strike::strike;

/// Options of `quarterstop ball`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop ball venues/football-demo.toml --camera \"1 main wide\" --from -47,0 --to 10,8
  quarterstop ball ground.toml --camera \"1 main wide\" --from \"centre spot\" --to 40,5 --apex-m 22
  quarterstop ball venues/golf-demo.toml --camera \"1 hoist\" --shot \"tee shot\"
  quarterstop ball venues/golf-demo.toml --camera \"1 hoist\" --hours
  quarterstop ball venues/golf-demo.toml --towers")]
pub struct BallOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    #[command(flatten)]
    pub field: FieldOption,

    #[command(flatten)]
    pub held: StateOption,

    /// Camera that follows the ball [default: the first of the file]
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    pub camera: Option<String>,

    /// Where the ball is struck: a mark or zone of the field, or metres along the field's
    /// bearing, across to the left of it, up; else a shot of the file's hole is flown
    #[arg(long, value_name = "PLACE", value_parser = ball_place, allow_hyphen_values = true)]
    #[arg(requires = "to")]
    pub from: Option<BallPlace>,

    /// Where it goes: struck by a stroke it flies toward this place, by --apex-m or
    /// --hang-s it lands there
    #[arg(long, value_name = "PLACE", value_parser = ball_place, allow_hyphen_values = true)]
    #[arg(requires = "from")]
    pub to: Option<BallPlace>,

    /// A shot of the hole by its name in the file [default: the first; of --hours and
    /// --towers all]
    #[arg(long, value_name = "NAME", conflicts_with = "from", verbatim_doc_comment)]
    pub shot: Option<String>,

    /// The ball [default: that of the field's sport]
    #[arg(long, value_enum, value_name = "BALL", verbatim_doc_comment)]
    pub ball: Option<BallChoice>,

    /// A stroke by its name, such as driver, 7 iron, goal kick, place kick, big hit, lob
    /// [default: the usual one of the ball]
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    #[arg(conflicts_with_all = ["speed_m_per_s", "apex_m", "hang_s"], requires = "from")]
    pub stroke: Option<String>,

    /// Speed of the ball as it leaves, 1 to 110
    #[arg(long, value_name = "SPEED", value_parser = speed, requires = "angle_deg")]
    #[arg(conflicts_with_all = ["apex_m", "hang_s"], requires = "from")]
    pub speed_m_per_s: Option<f64>,

    /// Angle over the horizontal, 0 to 89
    #[arg(long, value_name = "DEGREES", value_parser = angle, requires = "speed_m_per_s")]
    pub angle_deg: Option<f64>,

    /// Back spin, revolutions a minute; negative is top spin
    #[arg(long, value_name = "RPM", value_parser = rpm, allow_negative_numbers = true)]
    pub back_spin_rpm: Option<f64>,

    /// Side spin, revolutions a minute; positive curves to the right
    #[arg(long, value_name = "RPM", value_parser = rpm, allow_negative_numbers = true)]
    #[arg(conflicts_with_all = ["apex_m", "hang_s"])]
    pub side_spin_rpm: Option<f64>,

    /// How high the ball was, metres; the strike is found
    #[arg(long, value_name = "METRES", value_parser = apex, requires = "from")]
    pub apex_m: Option<f64>,

    /// How long it was in the air, seconds; the strike is found, with --apex-m its spin
    /// as well
    #[arg(long, value_name = "SECONDS", value_parser = hang, requires = "from")]
    pub hang_s: Option<f64>,

    /// Wind, the same at all heights
    #[arg(long, value_name = "SPEED", value_parser = wind, requires = "wind_from_deg")]
    pub wind_m_per_s: Option<f64>,

    /// Where the wind comes from, degrees clockwise from true north
    #[arg(long, value_name = "DEGREES", value_parser = bearing, requires = "wind_m_per_s")]
    pub wind_from_deg: Option<f64>,

    /// Width of the picture while the camera follows the ball [default: that of the file]
    #[arg(long, value_name = "DEGREES", value_parser = fov)]
    pub fov_deg: Option<f64>,

    /// Day [default: the fixture's]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day, verbatim_doc_comment)]
    pub date: Option<NaiveDate>,

    /// Time of the strike [default: start of the fixture]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day, verbatim_doc_comment)]
    pub at: Option<NaiveTime>,

    /// Which one is meant where clocks go back and the time comes twice
    #[arg(long, value_enum, value_name = "WHICH")]
    pub repeated: Option<RepeatedChoice>,

    /// Sky to plan for
    #[arg(long, value_enum, default_value_t = SkyChoice::Clear)]
    pub sky: SkyChoice,

    /// Share of the direct light that thin cloud lets through, 0.02 to 1
    #[arg(long, value_name = "SHARE", value_parser = direct_share)]
    pub direct_share: Option<f64>,

    /// What is in the air, as for `match` [default: that of the venue file]
    #[arg(long, value_name = "AIR,...", value_delimiter = ',', value_parser = air_word)]
    pub air: Vec<AirWord>,

    /// Stops a second that the iris does
    #[arg(long, value_name = "STOPS", value_parser = rate, default_value_t = DEFAULT_RATE)]
    pub rate: f64,

    /// Seconds from the hand to the iris [default: that of the camera]
    #[arg(long, value_name = "SECONDS", value_parser = delay)]
    pub delay_s: Option<f64>,

    /// Stops under white that sky is set to
    #[arg(long, value_name = "STOPS", value_parser = under)]
    #[arg(default_value_t = DEFAULT_SKY_UNDER_STOPS)]
    pub sky_under: f64,

    /// How many times over the threshold of seeing the ball's contrast has to be
    #[arg(long, value_name = "TIMES", value_parser = visibility)]
    #[arg(default_value_t = DEFAULT_VISIBILITY)]
    pub visibility: f64,

    /// Share of light that the ball throws back, 0.01 to 1 [default: that of the ball]
    #[arg(long, value_name = "SHARE", value_parser = reflectance)]
    pub ball_reflectance: Option<f64>,

    /// Hours and places compared
    #[command(flatten)]
    pub compare: CompareOptions,

    /// Folder for the files [default: output/VENUE-YYYY-MM-DD-HHMM-ball, without the time
    /// for --hours and --towers]
    #[arg(long, value_name = "FOLDER", verbatim_doc_comment)]
    pub into: Option<PathBuf>,
}

/// A ball as an option names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum BallChoice {
    Golf,
    Football,
    Rugby,
    Cricket,
    Tennis,
}

impl BallChoice {
    pub(crate) fn kind(self) -> BallKind {
        match self {
            Self::Golf => BallKind::Golf,
            Self::Football => BallKind::Football,
            Self::Rugby => BallKind::Rugby,
            Self::Cricket => BallKind::Cricket,
            Self::Tennis => BallKind::Tennis,
        }
    }
}

/// Where a ball starts or ends.
#[derive(Debug, Clone, PartialEq)]
pub enum BallPlace {
    Mark(String),
    At(PlacePoint),
}

fn ball_place(text: &str) -> Result<BallPlace, String> {
    let pointed = text.contains(',') && !text.chars().any(char::is_alphabetic);
    match pointed {
        true => place_point(text).map(BallPlace::At),
        false => Ok(BallPlace::Mark(text.trim().to_owned())),
    }
}

fn speed(text: &str) -> Result<f64, String> {
    within(text, 1.0, 110.0, "a speed is a number of m/s")
}

fn angle(text: &str) -> Result<f64, String> {
    within(text, 0.0, 89.0, "an angle is a number of degrees")
}

fn rpm(text: &str) -> Result<f64, String> {
    within(text, -15_000.0, 15_000.0, "a spin is a number of revolutions a minute")
}

fn apex(text: &str) -> Result<f64, String> {
    within(text, 0.5, 120.0, "an apex is a number of metres")
}

fn hang(text: &str) -> Result<f64, String> {
    within(text, 0.3, 15.0, "a hang time is a number of seconds")
}

fn wind(text: &str) -> Result<f64, String> {
    within(text, 0.0, 30.0, "a wind is a number of m/s")
}

fn bearing(text: &str) -> Result<f64, String> {
    within(text, 0.0, 360.0, "a bearing is a number of degrees")
}

fn fov(text: &str) -> Result<f64, String> {
    within(text, 0.3, 120.0, "a width is a number of degrees")
}

fn rate(text: &str) -> Result<f64, String> {
    within(text, 0.1, 50.0, "a rate is a number of stops a second")
}

fn delay(text: &str) -> Result<f64, String> {
    within(text, 0.0, 30.0, "a delay is a number of seconds")
}

fn under(text: &str) -> Result<f64, String> {
    within(text, -1.0, 5.0, "stops under white are a number")
}

fn visibility(text: &str) -> Result<f64, String> {
    within(text, 1.0, 100.0, "a visibility is a number")
}

fn reflectance(text: &str) -> Result<f64, String> {
    within(text, 0.01, 1.0, "a reflectance is a number")
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames themselves
/// fail.
pub(crate) fn run(options: &BallOptions) -> Result<(), Failure> {
    if options.compare.asked() {
        return compare::run(options);
    }
    let venue = jobs::check::command::read_venue(&options.venue, &options.field)?;
    let venue = options.held.hold(venue)?;
    let date = options.date.or(venue.fixture.map(|f| f.date)).ok_or(Failure::NoDay)?;
    let time = options.at.or(venue.fixture.map(|f| f.start));
    let time = time.ok_or(Failure::NoFixture { what: "start" })?;
    let at = planning::resolve(venue.place.zone, date, time, options.repeated)?;
    let camera = camera(options.camera.as_deref(), &venue)?;
    let struck = strike(options, &venue).map_err(Failure::input)?;
    let folder = folder(options, &at.format("%Y-%m-%d-%H%M").to_string());
    let mut set = FileSet::open(&folder, &jobs::check::command::inputs(&options.venue, &venue))?;
    let settings = settings(options, &venue, (at, camera), (struck.ball, struck.flight))?;
    let progress = Progress::of("the ball");
    progress.report(0, 2);
    let prepared = planning::prepare(&venue, date);
    progress.report(1, 2);
    let plan = ball(&prepared, date, &settings)?;
    let picture = ball_picture(&venue, &plan)?;
    let stem = format!("ball-{}", plan.post.name);
    let names = unique_slugs([stem.as_str()], "ball");
    for name in &names {
        set.stage(FileName::new(name, "svg"), picture.svg.as_bytes())?;
        set.stage(FileName::new(name, "png"), &picture.png().map_err(Failure::picture)?)?;
        set.stage(FileName::new(name, "csv"), &report::csv(&venue, &plan)?)?;
        set.stage(FileName::new(name, "json"), &report::write(&venue, &plan)?)?;
    }
    drop(progress);
    let names = set.commit()?;
    let ink = ink();
    let when = format!("{}, {}", at.format("%A %-d %B %Y, %H:%M"), venue.place.zone.name());
    let head = output::text::titled(&venue.title, &when, ink);
    let text = report::text(&venue, &plan, &struck.told, ink);
    let cautions = output::text::cautions(ink);
    print(&format!("{head}{text}\n{cautions}\n{}", output::text::files(&folder, &names, ink)))
}

/// What is asked, for a time, a camera and a ball in the air.
pub(crate) fn settings(
    options: &BallOptions,
    venue: &Venue,
    (at, camera): (DateTime<Tz>, usize),
    (ball, flight): (Ball, Flight),
) -> Result<BallSettings, Failure> {
    Ok(BallSettings {
        at,
        sky: sky::sky(options.sky, options.direct_share)?,
        air: sky::air(venue, &options.air)?.on(at.date_naive()),
        camera,
        fov_deg: options.fov_deg,
        ball,
        flight,
        rate: options.rate,
        delay_s: options.delay_s,
        sky_under_stops: options.sky_under,
        visibility: options.visibility,
        screen: Screen::default(),
    })
}

/// Index of the camera asked for.
pub(crate) fn camera(asked: Option<&str>, venue: &Venue) -> Result<usize, Failure> {
    let known = || {
        let names: Vec<&str> = venue.cameras.iter().map(|c| c.name.as_str()).collect();
        names.join(", ")
    };
    match asked {
        None if venue.cameras.is_empty() => Err(Failure::Places(
            "the venue file has no camera to follow the ball\n  add a [[camera]]".to_owned(),
        )),
        None => Ok(0),
        Some(name) => venue.cameras.iter().position(|c| c.name == name.trim()).ok_or_else(|| {
            Failure::Places(format!(
                "no camera \"{name}\" at this venue\n  choose one of: {}",
                known()
            ))
        }),
    }
}

/// The folder asked for, else one for a venue and a time.
pub(crate) fn folder(options: &BallOptions, when: &str) -> PathBuf {
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let stem = options.field.stem(&options.venue);
    Path::new("output").join(format!("{stem}-{when}-ball"))
}

pub(crate) fn ball(
    prepared: &Prepared<'_>,
    date: NaiveDate,
    settings: &BallSettings,
) -> Result<BallPlan, Failure> {
    BallPlan::new(prepared, date, settings).map_err(Failure::input)
}

pub(crate) fn times_with_sun(
    venue: &Venue,
    date: NaiveDate,
    every_min: u32,
    clock: (Option<NaiveTime>, Option<NaiveTime>),
) -> Vec<DateTime<Tz>> {
    super::times_with_sun(&venue.place, date, every_min, clock)
}

pub(crate) fn ball_picture(venue: &Venue, plan: &BallPlan) -> Result<Picture, Failure> {
    super::picture::ball(venue, plan).map_err(Failure::picture)
}
