//! Why a request is refused, in the words of the command line.
//!
//! In: errors of the stages and of the server itself. Out: a status of HTTP and a body
//! `{"problems": [...]}`; each problem names its key and its line where it has them.

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use serde_json::{Value, json};

use super::workspace::Broken;
use crate::solar::ClockError;
use crate::venue::{DraftError, Problem, VenueError};

/// One thing that is wrong.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ProblemOut {
    /// The whole of it in one sentence.
    pub text: String,
    /// The path of the key, `stand[1].back_height_m`.
    pub key: Option<String>,
    /// Of the venue file, from 1.
    pub line: Option<usize>,
    pub found: Option<String>,
    pub allowed: Option<String>,
    pub help: Option<String>,
}

impl ProblemOut {
    /// A sentence about nothing in particular of the file.
    pub fn of(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// A sentence about one key.
    pub fn at(key: impl Into<String>, text: impl Into<String>) -> Self {
        Self { key: Some(key.into()), ..Self::of(text) }
    }

    fn in_file(line: usize, problem: &Problem) -> Self {
        let place = problem.place();
        let at = if place.is_empty() { String::new() } else { format!("{place}: ") };
        let help = problem.help.clone().filter(|help| !help.is_empty());
        let more = help.as_ref().map_or_else(String::new, |help| format!("; {help}"));
        Self {
            text: format!("{at}found {}; allowed: {}{more}", problem.found, problem.allowed),
            key: Some(problem.key.clone()).filter(|key| !key.is_empty()),
            line: Some(line),
            found: Some(problem.found.clone()),
            allowed: Some(problem.allowed.clone()),
            help,
        }
    }
}

/// A request that is not done.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// What was sent is wrong: the user can mend it.
    #[error("{}", first(.0))]
    Input(Vec<ProblemOut>),
    /// A file that does not read as a ground, with its text for a person to mend.
    #[error("`{}`: {}", .0.file, first(&.0.problems))]
    Broken(Box<Broken>),
    /// A wall time that clocks show twice, with both readings.
    #[error("{text}")]
    Twice { text: String, zone_names: [String; 2] },
    /// The ground has moved on, or something is in the way; the ground as it is now.
    #[error("{text}")]
    Conflict { text: String, ground: Option<Box<Value>> },
    /// No request that this server knows.
    #[error("{0}")]
    BadRequest(String),
    #[error("{0}")]
    Unauthorized(&'static str),
    #[error("{0}")]
    Forbidden(&'static str),
    #[error("{0}")]
    NotFound(String),
    #[error("a request may have {limit} bytes at most; send less")]
    TooLarge { limit: usize },
    #[error("too many requests a second; wait a moment and try again")]
    TooMany,
    #[error("{0}")]
    Busy(&'static str),
    #[error("the request was given up after {seconds} s; try again, or make the ground simpler")]
    TooLong { seconds: u64 },
    /// Our own failure.
    #[error("{0}; this is a fault of the program")]
    Internal(String),
}

fn first(problems: &[ProblemOut]) -> String {
    problems.first().map_or_else(|| "refused".to_owned(), |problem| problem.text.clone())
}

impl Refused {
    /// One sentence about what was sent.
    pub fn input(text: impl Into<String>) -> Self {
        Self::Input(vec![ProblemOut::of(text)])
    }

    /// The ground is no longer the one that was asked about.
    pub fn old(asked: u64, now: u64) -> Self {
        Self::Conflict {
            text: format!("the ground has changed since (revision {asked}, now {now})"),
            ground: None,
        }
    }

    fn status(&self) -> StatusCode {
        match self {
            Self::Input(_) | Self::Broken(_) | Self::Twice { .. } => {
                StatusCode::UNPROCESSABLE_ENTITY
            }
            Self::Conflict { .. } => StatusCode::CONFLICT,
            Self::BadRequest(_) => StatusCode::BAD_REQUEST,
            Self::Unauthorized(_) => StatusCode::UNAUTHORIZED,
            Self::Forbidden(_) => StatusCode::FORBIDDEN,
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::TooLarge { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            Self::TooMany => StatusCode::TOO_MANY_REQUESTS,
            Self::Busy(_) | Self::TooLong { .. } => StatusCode::SERVICE_UNAVAILABLE,
            Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// The body as JSON.
    pub fn body(&self) -> Value {
        match self {
            Self::Input(problems) => json!({ "problems": problems }),
            Self::Broken(broken) => json!({
                "problems": broken.problems,
                "broken": { "file": broken.file, "text": broken.text },
            }),
            Self::Twice { text, zone_names: [first, second] } => json!({
                "problems": [ProblemOut::of(text.clone())],
                "choices": [
                    { "fold": "first", "zone_name": first },
                    { "fold": "second", "zone_name": second },
                ],
            }),
            Self::Conflict { text, ground: Some(ground) } => {
                json!({ "problems": [ProblemOut::of(text.clone())], "ground": ground })
            }
            other => json!({ "problems": [ProblemOut::of(other.to_string())] }),
        }
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let kind = [(header::CONTENT_TYPE, "application/json")];
        (self.status(), kind, self.body().to_string()).into_response()
    }
}

/// All problems of a venue file, each by itself.
pub fn of_venue(error: &VenueError) -> Vec<ProblemOut> {
    match error {
        VenueError::Mistakes(mistakes) => {
            mistakes.by_line().map(|(line, problem)| ProblemOut::in_file(line, problem)).collect()
        }
        other => vec![ProblemOut::of(other.to_string())],
    }
}

impl From<VenueError> for Refused {
    fn from(error: VenueError) -> Self {
        Self::Input(of_venue(&error))
    }
}

impl From<DraftError> for Refused {
    fn from(error: DraftError) -> Self {
        let key = match &error {
            DraftError::NoSuchDimension { address, .. }
            | DraftError::NotANumber { address, .. }
            | DraftError::OutOfReach { address, .. } => address.to_string(),
        };
        Self::Input(vec![ProblemOut::at(key, error.to_string())])
    }
}

impl From<ClockError> for Refused {
    fn from(error: ClockError) -> Self {
        match &error {
            ClockError::Skipped { .. } => Self::input(error.to_string()),
            ClockError::Twice { at, zone, earlier, later } => Self::Twice {
                text: format!(
                    "{} on {} occurs twice in {zone}: the clocks go back then; choose which is meant",
                    at.format("%H:%M"),
                    at.format("%Y-%m-%d")
                ),
                zone_names: [earlier, later].map(|at| at.format("%Z").to_string()),
            },
        }
    }
}

impl From<tokio::task::JoinError> for Refused {
    fn from(error: tokio::task::JoinError) -> Self {
        Self::Internal(format!("work on the request ended early ({error})"))
    }
}
