//! `quarterstop ball --hours` and `--towers`: the best hours for a hole's shots, and places for
//! a camera compared.
//!
//! In: a venue file, its shots or one strike, a day. Out: a table, JSON, a picture and a
//! summary for each of the two.

use chrono::{NaiveDate, NaiveTime};
use clap::Args;

use crate::base::files::{FileName, FileSet};
use crate::base::slug::unique_slugs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::command::words::{time_of_day, whole, within};
use crate::jobs::ball::{
    BallCamera, BallPenaltyPart, BallWeights, CompareSettings, Comparison, ShotFlown,
};
use crate::jobs::match_plan::planning;
use crate::output::draw::Picture;
use crate::venue::Venue;
use crate::{jobs, output};

use super::strike::strikes;
use super::{BallOptions, camera, folder, settings};

/// Options of the comparison.
#[derive(Debug, Args)]
pub struct CompareOptions {
    /// Rank the hours of the day for the camera's ride
    #[arg(long)]
    pub hours: bool,

    /// Compare the candidates of the file, and the cameras there are, over the same hours
    #[arg(long)]
    pub towers: bool,

    /// Minutes from one time to the next, for --hours and --towers
    #[arg(long, value_name = "MINUTES", default_value_t = 30)]
    #[arg(value_parser = whole::<u32>(1, 240))]
    pub every: u32,

    /// First time that counts, for --hours and --towers [default: sunrise]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day, verbatim_doc_comment)]
    pub earliest: Option<NaiveTime>,

    /// Last time that counts [default: sunset]
    #[arg(long, value_name = "HH:MM", value_parser = time_of_day, verbatim_doc_comment)]
    pub latest: Option<NaiveTime>,

    /// Another weight of a part of penalty: close, rate, landing, unseen, hidden,
    /// sun_in_frame or sun_near
    #[arg(long, value_name = "PART=NUMBER", value_parser = weight)]
    pub weigh: Vec<(BallPenaltyPart, f64)>,
}

impl CompareOptions {
    pub(crate) fn asked(&self) -> bool {
        self.hours || self.towers
    }

    fn weights(&self) -> BallWeights {
        let each = self.weigh.iter();
        each.fold(BallWeights::default(), |weights, (part, weight)| weights.with(*part, *weight))
    }
}

fn weight(text: &str) -> Result<(BallPenaltyPart, f64), String> {
    let (word, weight) = text.split_once('=').unwrap_or((text, ""));
    let part = BallPenaltyPart::of_word(word.trim()).ok_or_else(|| {
        let words: Vec<&str> = BallPenaltyPart::ALL.iter().map(|p| p.word()).collect();
        format!("a part is one of {}", words.join(", "))
    })?;
    Ok((part, within(weight, 0.0, 100.0, "a weight is PART=NUMBER, a number")?))
}

/// Runs the comparison.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames themselves
/// fail.
pub(crate) fn run(options: &BallOptions) -> Result<(), Failure> {
    let venue = jobs::check::command::read_venue(&options.venue, &options.field)?;
    let venue = options.held.hold(venue)?;
    let date = options.date.or(venue.fixture.map(|f| f.date)).ok_or(Failure::NoDay)?;
    let camera = camera(options.camera.as_deref(), &venue)?;
    let folder = folder(options, &date.format("%Y-%m-%d").to_string());
    let mut set = FileSet::open(&folder, &jobs::check::command::inputs(&options.venue, &venue))?;
    let asked = asked(options, &venue, date, camera)?;
    let prepared = planning::prepare(&venue, date);
    let mut told = String::new();
    let ink = ink();
    let mut kinds = Vec::new();
    if options.compare.hours {
        let sites = vec![now(&venue, camera)];
        let stem = format!("hours-{}", sites[0].post.name);
        kinds.push((stem, sites));
    }
    if options.compare.towers {
        kinds.push(("towers".to_owned(), towers(&venue)?));
    }
    let names = unique_slugs(kinds.iter().map(|(stem, _)| stem.as_str()), "ball");
    for (name, (_, sites)) in names.iter().zip(kinds) {
        let asked = CompareSettings { sites: with_fov(options, sites), ..asked.clone() };
        let progress = Progress::of("hours of the day");
        let found =
            Comparison::new(&prepared, date, &asked, |done, all| progress.report(done, all));
        let found = found.map_err(Failure::input)?;
        drop(progress);
        let picture = ball_hours_picture(&venue, &found)?;
        set.stage(FileName::new(name, "svg"), picture.svg.as_bytes())?;
        set.stage(FileName::new(name, "png"), &picture.png().map_err(Failure::picture)?)?;
        set.stage(FileName::new(name, "csv"), &jobs::ball::report::hours::csv(&venue, &found)?)?;
        set.stage(FileName::new(name, "json"), &jobs::ball::report::hours::write(&venue, &found)?)?;
        told += &jobs::ball::report::hours::text(&venue, &found, ink);
        told.push('\n');
    }
    let names = set.commit()?;
    let when = format!("{}, {}", date.format("%A %-d %B %Y"), venue.place.zone.name());
    let head = output::text::titled(&venue.title, &when, ink);
    let cautions = output::text::cautions(ink);
    print(&format!("{head}{told}{cautions}\n{}", output::text::files(&folder, &names, ink)))
}

/// All but the places.
fn asked(
    options: &BallOptions,
    venue: &Venue,
    date: NaiveDate,
    camera: usize,
) -> Result<CompareSettings, Failure> {
    let struck = strikes(options, venue).map_err(Failure::input)?;
    let clock = (options.compare.earliest, options.compare.latest);
    let times = super::times_with_sun(venue, date, options.compare.every, clock);
    let no_hours = || Failure::input(crate::jobs::ball::CompareError::NoHours);
    let at = *times.first().ok_or_else(no_hours)?;
    let first = struck.first().map(|s| (s.ball, s.flight.clone()));
    let ride = settings(options, venue, (at, camera), first.ok_or_else(no_hours)?)?;
    let shots = struck.into_iter().map(|s| ShotFlown { name: s.name, flight: s.flight });
    Ok(CompareSettings {
        sites: Vec::new(),
        shots: shots.collect(),
        times,
        ride,
        weights: options.compare.weights(),
    })
}

/// A camera as it stands.
fn now(venue: &Venue, camera: usize) -> BallCamera {
    BallCamera { post: venue.cameras[camera].clone(), candidate: None }
}

/// Every place of every candidate, and the cameras there are.
fn towers(venue: &Venue) -> Result<Vec<BallCamera>, Failure> {
    if venue.candidates.is_empty() {
        return Err(Failure::Places(
            "the venue file has no candidate to compare\n  add a [[candidate]]".to_owned(),
        ));
    }
    let places = venue.candidates.iter().enumerate().flat_map(|(i, candidate)| {
        candidate
            .posts
            .iter()
            .map(move |post| BallCamera { post: post.clone(), candidate: Some(i) })
    });
    Ok(places.chain((0..venue.cameras.len()).map(|camera| now(venue, camera))).collect())
}

/// The width of the picture that the options ask for.
fn with_fov(options: &BallOptions, mut sites: Vec<BallCamera>) -> Vec<BallCamera> {
    for site in &mut sites {
        site.post.horizontal_fov_deg = options.fov_deg.unwrap_or(site.post.horizontal_fov_deg);
    }
    sites
}

pub(crate) fn ball_hours_picture(venue: &Venue, found: &Comparison) -> Result<Picture, Failure> {
    jobs::ball::picture::ball_hours(venue, found).map_err(Failure::picture)
}
