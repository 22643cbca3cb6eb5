//! Why a command stopped, and whose turn it is.
//!
//! In: errors of the stages, of the options and of the file system. Out: a
//! message with advice, and an exit code.

use std::io;
use std::path::PathBuf;

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::base::files::FilesError;
use crate::import::write::SaveError;
use crate::output::csv::CsvError;
use crate::output::json::JsonError;

#[cfg(feature = "serve")]
use crate::venue::VenueError;

/// An error of another stage, which words itself.
type BoxedError = Box<dyn std::error::Error + Send + Sync>;

/// Why a command stopped.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A stage or a job refuses what it was given; the error says what and how to mend it.
    #[error("{0}")]
    Input(BoxedError),
    /// A job could not do what it should with sound input.
    #[error("{0}")]
    Internal(BoxedError),
    /// The venue file could not be read or is not valid.
    #[error("{0}")]
    Venue(BoxedError),
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
    #[error("`{}` would be written twice by this run\n  choose another file", path.display())]
    TwoOutputs { path: PathBuf },
    #[error(transparent)]
    Save(#[from] SaveError),
    #[error("a picture could not be drawn: {0}")]
    Picture(BoxedError),
    #[error(transparent)]
    Csv(#[from] CsvError),
    #[error(transparent)]
    Json(#[from] JsonError),
    #[error(transparent)]
    Schema(#[from] serde_json::Error),
    #[error(transparent)]
    Files(#[from] FilesError),
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
    /// What a stage or a job refuses.
    pub(crate) fn input(error: impl Into<BoxedError>) -> Self {
        Self::Input(error.into())
    }

    /// What a job could not do.
    pub(crate) fn internal(error: impl Into<BoxedError>) -> Self {
        Self::Internal(error.into())
    }

    /// What a job refuses where `usage` says so, else what it could not do.
    #[cfg(any(feature = "parquet", feature = "serve"))]
    pub(crate) fn of(error: impl Into<BoxedError>, usage: bool) -> Self {
        if usage { Self::Input(error.into()) } else { Self::Internal(error.into()) }
    }

    /// A picture that could not be drawn.
    pub(crate) fn picture(error: impl Into<BoxedError>) -> Self {
        Self::Picture(error.into())
    }

    /// A venue file that cannot be read.
    pub(crate) fn venue(error: impl Into<BoxedError>) -> Self {
        Self::Venue(error.into())
    }

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
            Failure::Input(_)
            | Failure::Venue(_)
            | Failure::NoFixture { .. }
            | Failure::NoDay
            | Failure::NoYear
            | Failure::Span { .. }
            | Failure::Show(_)
            | Failure::Places(_)
            | Failure::DirectShare
            | Failure::NoSuchMark { .. }
            | Failure::Window(_)
            | Failure::TwoOutputs { .. }
            | Failure::NoSunrise { .. } => 2,
            Failure::Save(error) if error.is_usage() => 2,
            Failure::Files(error) if error.is_usage() => 2,
            Failure::Internal(_)
            | Failure::Save(_)
            | Failure::VenueAgain(_)
            | Failure::Picture(_)
            | Failure::Csv(_)
            | Failure::Json(_)
            | Failure::Schema(_)
            | Failure::Files(_)
            | Failure::Stdout(_) => 1,
        }
    }
}
