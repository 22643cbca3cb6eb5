//! Why a command stopped, and whose turn it is.
//!
//! In: errors of the stages, of the options and of the file system. Out: a
//! message with advice, and an exit code.

use std::io;
use std::path::PathBuf;

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::import::write::SaveError;
use crate::report::brief::BriefReportError;
use crate::report::csv::CsvError;
use crate::report::files::FilesError;
use crate::report::json::JsonError;
use crate::report::sensitivity::list::ListError;
use crate::report::starts::page::PageError;
use crate::report::year::StoreError;
#[cfg(feature = "serve")]
use crate::venue::VenueError;

/// An error of another stage, which words itself.
type Told = Box<dyn std::error::Error + Send + Sync>;

/// Why a command stopped.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The venue file could not be read or is not valid.
    #[error("{0}")]
    Venue(Told),
    /// A time that the venue's clocks do not show, or show twice.
    #[error("{0}")]
    Clock(Told),
    /// The plan could not be made from these settings.
    #[error("{0}")]
    Plan(Told),
    #[error(
        "no {what} to plan for: the venue file has no [fixture]\n  \
         give --date YYYY-MM-DD and --start HH:MM, or add a [fixture] to the file"
    )]
    NoFixture { what: &'static str },
    #[error(
        "no date to look at: the venue file has no [fixture]\n  \
         give --date YYYY-MM-DD, or add a [fixture] to the file"
    )]
    NoDay,
    #[error(
        "no year to look at: the venue file has no [fixture]\n  \
         give --year YYYY, or --first-date and --last-date"
    )]
    NoYear,
    #[error(
        "the span from {first} to {last} does not fit\n  \
         give a --last-date on or after --first-date, at most {most} days in all"
    )]
    Span { first: NaiveDate, last: NaiveDate, most: i64 },
    /// Pictures of what the venue does not have.
    #[error("{0}")]
    Show(String),
    #[error(transparent)]
    Year(#[from] StoreError),
    #[error("the venue file, or a model that it names, could not be read again: {0}")]
    VenueAgain(io::Error),
    /// Places that cannot be looked up from.
    #[error("{0}")]
    Places(String),
    #[error("--direct-share is about thin cloud; add --sky thin or leave it out")]
    DirectShare,
    #[error(
        "no mark \"{asked}\" on the field of play\n  choose one of: {}", known.join(", ")
    )]
    NoSuchMark { asked: String, known: Vec<String> },
    #[error("{0}")]
    Window(#[from] WindowError),
    #[error(
        "the sun does not rise at {venue} on {date}: it is highest at {}, {:.1} degrees {} the \
         horizon\n  choose another day with --date",
        noon.format("%H:%M"),
        elevation_deg.abs(),
        if *elevation_deg < 0.0 { "under" } else { "over" }
    )]
    NoSunrise { venue: String, date: NaiveDate, noon: DateTime<Tz>, elevation_deg: f64 },
    /// A ball, its strike or its camera that cannot be.
    #[error("{0}")]
    Ball(Told),
    /// Observations could not be fitted.
    #[error("{0}")]
    Fit(Told),
    #[error("`{}` would be written twice by this run\n  choose another file", path.display())]
    TwoOutputs { path: PathBuf },
    /// The crew's brief could not be made.
    #[error("{0}")]
    Brief(Told),
    #[error("{0}")]
    Positions(Told),
    #[error("{0}")]
    Sensitivity(Told),
    #[error(transparent)]
    MeasuringList(#[from] ListError),
    #[error(transparent)]
    BriefReport(#[from] BriefReportError),
    /// Starts that cannot be ranked.
    #[error("{0}")]
    Starts(Told),
    /// A list of fixtures with mistakes.
    #[error("{0}")]
    Fixtures(Told),
    #[error(transparent)]
    SeasonPage(#[from] PageError),
    /// Weather files that give no odds of sun.
    #[error("{0}")]
    Weather(Told),
    /// Files of others that cannot be brought in.
    #[error("{0}")]
    Import(Told),
    #[error(transparent)]
    Save(#[from] SaveError),
    #[error("a picture could not be drawn: {0}")]
    Picture(Told),
    #[error(transparent)]
    Csv(#[from] CsvError),
    #[error(transparent)]
    Json(#[from] JsonError),
    #[error(transparent)]
    Schema(#[from] serde_json::Error),
    #[error(transparent)]
    Files(#[from] FilesError),
    #[cfg(feature = "serve")]
    #[error(transparent)]
    Serve(#[from] crate::serve::ServeError),
    #[error("cannot write to standard output: {0}")]
    Stdout(io::Error),
}

/// A window of time, or a time in it, that cannot be planned.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WindowError {
    #[error(
        "the window is empty: it begins and ends at {}\n  \
         give --until a later time (the next day at the most)",
        .at.format("%H:%M")
    )]
    Empty { at: NaiveTime },
    #[error(
        "the window ends before it begins: from {} until {}\n  \
         give both --from and --until; an --until earlier than --from means the next day",
        from.format("%Y-%m-%d %H:%M"),
        until.format("%Y-%m-%d %H:%M")
    )]
    Reversed { from: DateTime<Tz>, until: DateTime<Tz> },
    #[error(
        "the window is longer than 24 hours: from {} until {}\n  \
         give --from and --until at most a day apart",
        from.format("%Y-%m-%d %H:%M %Z"),
        until.format("%Y-%m-%d %H:%M %Z")
    )]
    TooLong { from: DateTime<Tz>, until: DateTime<Tz> },
    #[error(
        "the latest start, {}, is before the earliest, {}\n  give a later --to-time",
        to.format("%H:%M"),
        from.format("%H:%M")
    )]
    StartsReversed { from: NaiveTime, to: NaiveTime },
    #[error(
        "more than {most} matches\n  choose fewer days: a longer --every-days, an earlier --last-date"
    )]
    TooManyMatches { most: usize },
    #[error("the date {date} is out of the calendar's range\n  choose another day with --date")]
    NoSuchDay { date: NaiveDate },
    #[error(
        "no picture at {}: it is outside the window, {} to {}\n  \
         choose a time inside with --pictures-at, or a wider window with --from and --until",
        .at.format("%H:%M"),
        from.format("%Y-%m-%d %H:%M"),
        until.format("%Y-%m-%d %H:%M")
    )]
    PictureOutside { at: NaiveTime, from: DateTime<Tz>, until: DateTime<Tz> },
}

impl Failure {
    /// Whether the text of a venue file is what is wrong, which a person can mend.
    #[cfg(feature = "serve")]
    pub fn is_of_text(&self) -> bool {
        let Self::Venue(told) = self else { return false };
        let error = told.downcast_ref::<VenueError>();
        matches!(error, Some(VenueError::Mistakes(_) | VenueError::Empty { .. }))
    }

    /// 2 where the input or the options have to change, 1 for everything else.
    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::Venue(_)
            | Failure::Clock(_)
            | Failure::Plan(_)
            | Failure::NoFixture { .. }
            | Failure::NoDay
            | Failure::NoYear
            | Failure::Span { .. }
            | Failure::Show(_)
            | Failure::Places(_)
            | Failure::DirectShare
            | Failure::NoSuchMark { .. }
            | Failure::Window(_)
            | Failure::Brief(_)
            | Failure::Positions(_)
            | Failure::Sensitivity(_)
            | Failure::Ball(_)
            | Failure::Fit(_)
            | Failure::TwoOutputs { .. }
            | Failure::Import(_)
            | Failure::Weather(_)
            | Failure::Starts(_)
            | Failure::Fixtures(_)
            | Failure::NoSunrise { .. } => 2,
            Failure::Save(error) if error.is_usage() => 2,
            Failure::Files(error) if error.is_usage() => 2,
            Failure::Year(error) if error.is_usage() => 2,
            #[cfg(feature = "serve")]
            Failure::Serve(error) if error.is_usage() => 2,
            #[cfg(feature = "serve")]
            Failure::Serve(_) => 1,
            Failure::Save(_)
            | Failure::Year(_)
            | Failure::VenueAgain(_)
            | Failure::Picture(_)
            | Failure::MeasuringList(_)
            | Failure::SeasonPage(_)
            | Failure::BriefReport(_)
            | Failure::Csv(_)
            | Failure::Json(_)
            | Failure::Schema(_)
            | Failure::Files(_)
            | Failure::Stdout(_) => 1,
        }
    }
}
