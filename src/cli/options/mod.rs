//! What can be asked for.
//!
//! In: command-line words. Out: typed options; clap refuses what has the wrong
//! form, everything that needs the venue is checked later.

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::cli::shell::{CompletionsOptions, ManualOptions};
use crate::jobs::agreement::options::AgreementOptions;
use crate::jobs::ball::command::BallOptions;
use crate::jobs::brief::options::BriefOptions;
use crate::jobs::changed::command::ChangedOptions;
use crate::jobs::check::options::CheckOptions;
use crate::jobs::clouds::command::CloudsOptions;
use crate::jobs::fit::options::FitOptions;
use crate::jobs::forecast::command::ForecastOptions;
use crate::jobs::import::horizon::HorizonOptions;
use crate::jobs::import::mesh::MeshOptions;
use crate::jobs::import::outlines::OutlineOptions;
#[cfg(feature = "parquet")]
use crate::jobs::league::command::LeagueOptions;
use crate::jobs::look_up::options::LookUpOptions;
use crate::jobs::match_plan::options::MatchOptions;
use crate::jobs::matching::options::MatchingOptions;
use crate::jobs::odds::command::OddsOptions;
use crate::jobs::on_air::options::OnAirOptions;
use crate::jobs::order::options::OrderOptions;
use crate::jobs::places::command::PlacesOptions;
use crate::jobs::positions::options::PositionsOptions;
use crate::jobs::sensitivity::options::SensitivityOptions;
use crate::jobs::starts::command::StartsOptions;
use crate::jobs::states::options::StatesOptions;
#[cfg(feature = "parquet")]
use crate::jobs::year::options::YearOptions;

#[cfg(feature = "serve")]
use super::live_command::LiveOptions;

/// Where sun and shade lie on the field of play, and how many stops apart they
/// are, camera by camera.
#[derive(Debug, Parser)]
#[command(name = "quarterstop", version, arg_required_else_help = true)]
#[command(after_help = "Example:\n  quarterstop match venues/football-demo.toml")]
pub struct Options {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Timeline, pictures, tables and a summary for one match
    ///
    /// Date and start come from the `[fixture]` of the venue file where the
    /// options leave them open. Times are the venue's own wall clock.
    Match(MatchOptions),
    /// The crew's brief for one match: what to set, who rides what, when to act
    ///
    /// Pages for paper and tablet, cues as a calendar and a table, the same choices of
    /// date, start and sky as `match`.
    Brief(BriefOptions),
    /// As it will look on air: pictures through the cameras in SDR and HDR
    ///
    /// In colour, in the light of each minute: what clips, what is crushed, three settings side
    /// by side, a strip through the match, levels at named places.
    OnAir(Box<OnAirOptions>),
    /// One page for the director before the match: what to expose for, to tick and sign
    ///
    /// Three moments at which a compromise is needed, each with the camera that matters most:
    /// exposed for the sun, between and for the shade, with what is lost in plain words.
    Agreement(Box<AgreementOptions>),
    /// A day's order of play: the plan that follows play from field to field of a site
    ///
    /// What is on air when, how each camera is set when the programme comes to its field, what
    /// changes on cameras that turn from one field to another, and what to do meanwhile.
    Order(OrderOptions),
    /// Which cameras are hard to cut to each other when, and what to trim
    ///
    /// For every pair that sees a place in common: difference in stops and mired of the same
    /// face through the match, red and blue gain, gain and lift for each output.
    Matching(MatchingOptions),
    /// Which state of what moves is best when: a roof open or shut
    ///
    /// Every choice of states of the `[[moving]]` tables through one match, in the parts that
    /// `starts` counts; the best for each run of play and for all of it, and why.
    States(StatesOptions),
    /// Compare the places of `[[candidate]]` tables: where a camera should stand
    ///
    /// One match, or the same start on many days. The split that each place would
    /// see, back light, sun in the lens, how well it matches the cameras that are
    /// fixed, and the best set of positions.
    Positions(PositionsOptions),
    /// A year at a venue: every few minutes of every day, as a table and as pictures
    ///
    /// Shares of field and zones, splits, the sun and each lens, by date and time of day.
    /// Goes on where an earlier run stopped; --shard spreads it over machines.
    #[cfg(feature = "parquet")]
    Year(YearOptions),
    /// What to measure first: what each number of the venue file does to the times
    ///
    /// Times at which sun or shade reaches marks of the field and lenses, and how far
    /// each length and angle moves them; a list for the recce, in that order.
    Sensitivity(SensitivityOptions),
    /// Look up from a place: roofline, paths of the sun, when it is lit
    ///
    /// A picture for each camera, mark or point of the field, with the skyline as a
    /// table and everything as JSON.
    LookUp(LookUpOptions),
    /// The high ball: what stands behind it, and the ride of the iris
    ///
    /// A flight from a place to a place, followed by a camera: pan and tilt, what is behind
    /// the ball and how bright, when to close, how far, when to be back.
    Ball(Box<BallOptions>),
    /// Fit numbers of a venue file to what was seen on a recce
    ///
    /// Shadow edges met with a tape and a watch, shadows of poles, angles and bearings tell
    /// heights, reaches and bearings, each with its error, and what to look at next.
    Fit(FitOptions),
    /// Rank start times: which time on which date keeps sun and shade out of the way
    ///
    /// One venue or many, a range of times on some dates or a list of fixtures. What
    /// each start costs and why, the best and worst days, what a shift buys; with
    /// weather files what is to be expected. A page and a calendar to send on.
    Starts(StartsOptions),
    /// Grounds side by side over a year: how often which start is in hard light
    ///
    /// Every start of every day at many venues, kept as a data set by venue and month that
    /// engines read in place; a table of sums, and a page with the year of each ground.
    /// Parts can be spread over workers; an interrupted run goes on.
    #[cfg(feature = "parquet")]
    League(LeagueOptions),
    /// Cloud that comes and goes: how often, how fast, whether a hand follows
    ///
    /// Changes between sun and shade in an hour and in each half, lengths of spells, how
    /// fast the light falls and comes back for each camera, and what to set for either.
    Clouds(CloudsOptions),
    /// The forecast of the day over a match: sun or cloud by minute, what to prepare for
    ///
    /// From a table of hours (CSV), several members side by side: likelihood of sun, expected
    /// splits with their range, settings for either light, when it stops telling anything.
    Forecast(ForecastOptions),
    /// What changed for a fixture: between two venue files, or two dates
    Changed(ChangedOptions),
    /// How likely sun is, month by month and hour by hour, from weather files (EPW)
    Odds(OddsOptions),
    /// Draw, change and plan a ground on a page in the browser
    ///
    /// Every number can be changed; shadow, splits and verdicts follow. The venue file stays
    /// the truth: each change is written to it at once. The page is for this machine only;
    /// Ctrl-C ends it.
    #[cfg(feature = "serve")]
    Live(LiveOptions),
    /// Read and check a venue file, say what it holds and what looks suspicious
    ///
    /// What is wrong leaves with exit code 2; what is only suspicious does not.
    Check(CheckOptions),
    /// List marks, zones and areas by name, of a venue or of a sport
    ///
    /// The names are what `looks_at` and other keys and options take.
    Places(PlacesOptions),
    /// Print the JSON Schema of a file format
    Schema(SchemaOptions),
    /// Print completions for a shell
    Completions(CompletionsOptions),
    /// Write pages for `man`, one for each command
    Manual(ManualOptions),
    /// Import external data
    #[command(subcommand)]
    Import(Import),
}

/// What can be brought in.
#[derive(Debug, Subcommand)]
pub enum Import {
    /// Outlines with heights from a map (GeoJSON)
    Outlines(OutlineOptions),
    /// The skyline of the land around, from a list (CSV) or from terrain (SRTM, GeoTIFF)
    Horizon(HorizonOptions),
    /// A model of a stand (OBJ, glTF)
    Mesh(MeshOptions),
}

/// Options of `quarterstop schema`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  quarterstop schema venue > venue.schema.json")]
pub struct SchemaOptions {
    /// The format, or a table by the usual name of its file
    #[arg(value_enum, value_name = "FORMAT")]
    pub format: FormatChoice,
}

/// A format with a schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FormatChoice {
    /// The venue file that you write
    Venue,
    /// The file of a site of several fields that you write
    Site,
    /// The JSON that `quarterstop match` writes
    Match,
    /// The JSON that `quarterstop brief` writes
    Brief,
    /// The JSON that `quarterstop matching` writes
    Matching,
    /// The JSON that `quarterstop states` writes
    States,
    /// The JSON that `quarterstop order` writes
    Order,
    /// The JSON that `quarterstop positions` writes
    Positions,
    /// The JSON that `quarterstop on-air` writes
    OnAir,
    /// The JSON that `quarterstop sensitivity` writes
    Sensitivity,
    /// The JSON that `quarterstop look-up` writes
    LookUp,
    /// The JSON that `quarterstop places --json` prints
    Places,
    /// The JSON that `quarterstop ball` writes
    Ball,
    /// The JSON that `quarterstop ball --hours` and `--towers` write
    BallHours,
    /// The columns of the tables that `quarterstop year` writes
    #[cfg(feature = "parquet")]
    Year,
    /// The JSON that `quarterstop check --json` prints
    Check,
    /// The file of observations that you write for `quarterstop fit`
    Seen,
    /// The JSON that `quarterstop fit` writes
    Fit,
    /// The file of weights that you write for `quarterstop starts`
    Costs,
    /// The file of rules that you write for `quarterstop starts`
    Rules,
    /// The JSON that `quarterstop starts` writes
    Starts,
    /// The columns of the tables that `quarterstop league` writes
    #[cfg(feature = "parquet")]
    League,
    /// The JSON that `quarterstop clouds` writes
    Clouds,
    /// The JSON that `quarterstop forecast` writes
    Forecast,
    /// The columns of `match.csv`
    #[value(name = "match.csv")]
    MatchCsv,
    /// The columns of `dusk.csv`, from daylight to floodlights
    #[value(name = "dusk.csv")]
    DuskCsv,
    /// The columns of a light map
    #[value(name = "light.csv")]
    LightCsv,
    /// The columns of `cues.csv`
    #[value(name = "cues.csv")]
    CuesCsv,
    /// The columns of `settings.csv`
    #[value(name = "settings.csv")]
    SettingsCsv,
    /// The columns of `matching.csv`
    #[value(name = "matching.csv")]
    MatchingCsv,
    /// The columns of `states.csv`
    #[value(name = "states.csv")]
    StatesCsv,
    /// The columns of `order.csv`
    #[value(name = "order.csv")]
    OrderCsv,
    /// The columns of `positions.csv`
    #[value(name = "positions.csv")]
    PositionsCsv,
    /// The columns of `sensitivity.csv`
    #[value(name = "sensitivity.csv")]
    SensitivityCsv,
    /// The columns of the levels that `quarterstop on-air` writes
    #[value(name = "on-air.csv")]
    OnAirCsv,
    /// The columns of the skyline that `quarterstop look-up` writes
    #[value(name = "look-up.csv")]
    SkylineCsv,
    /// The columns that `quarterstop places --csv` prints
    #[value(name = "places.csv")]
    PlacesCsv,
    /// The columns of a ball
    #[value(name = "ball.csv")]
    BallCsv,
    /// The columns of `ball --hours` and `--towers`
    #[value(name = "hours.csv")]
    HoursCsv,
    /// The columns of `clouds.csv`
    #[value(name = "clouds.csv")]
    CloudsCsv,
    /// The columns of `forecast.csv`
    #[value(name = "forecast.csv")]
    ForecastCsv,
    /// The columns of `year.csv`
    #[value(name = "year.csv")]
    #[cfg(feature = "parquet")]
    YearCsv,
    /// The columns of `starts.csv`
    #[value(name = "starts.csv")]
    StartsCsv,
    /// The columns of `season.csv`
    #[value(name = "season.csv")]
    SeasonCsv,
    /// The columns of `league.csv`
    #[value(name = "league.csv")]
    #[cfg(feature = "parquet")]
    LeagueCsv,
    /// The columns of `odds --csv`
    #[value(name = "odds.csv")]
    OddsCsv,
    /// The columns of `odds --minutes --csv`
    #[value(name = "changes.csv")]
    ChangesCsv,
    /// The columns of `changed --csv`
    #[value(name = "changed.csv")]
    ChangedCsv,
}
