//! What a page asks a job to do, and the folders that it gets.
//!
//! In: a command with options, texts and dropped files. Out: the words of a command line that
//! the rules of the program allow, and the place where it reads and writes.

use std::ffi::OsString;
use std::path::PathBuf;
use std::{fs, io};

use serde::Deserialize;
use serde_json::{Map, Value as Json};

use crate::serve::dropped::Dropped;
use crate::serve::files::plain_name;
use crate::serve::problem::Refused;

/// Text files that come with a request.
const MAX_GIVEN: usize = 4;

/// A command to run.
#[derive(Debug, Clone, Deserialize)]
pub struct JobRequest {
    pub command: String,
    /// By their long names; true for one without a value, a list for one that repeats.
    #[serde(default)]
    pub options: Map<String, Json>,
    /// Texts that options may name, such as observations.
    #[serde(default)]
    pub files: Map<String, Json>,
    /// Files that were dropped on the page, and that options name.
    #[serde(default)]
    pub dropped: Vec<String>,
    /// The venue file that an import makes, where it adds to none.
    #[serde(default)]
    pub new_file: Option<String>,
}

/// Where a job reads and writes.
#[derive(Debug, Clone)]
pub struct JobPlace {
    /// The file that is open.
    pub venue: PathBuf,
    /// The field of a site that is shown.
    pub field: Option<String>,
    /// The folder of the session.
    pub folder: PathBuf,
    /// Texts that came with the request.
    pub given: PathBuf,
    /// For what the job writes.
    pub into: PathBuf,
    /// The venue file that an import writes.
    pub brought: PathBuf,
}

/// Makes the words of a command, or says what is wrong with the request.
pub type JobRules = fn(&JobRequest, &JobPlace) -> Result<Vec<OsString>, Refused>;

/// Makes the folders of a job, with the texts that came with it.
pub(super) fn prepare(
    request: &JobRequest,
    place: &JobPlace,
    dropped: &Dropped,
    rules: JobRules,
) -> Result<Vec<OsString>, Refused> {
    let failed = |e: io::Error| Refused::input(format!("no folder for the job: {e}"));
    fs::create_dir_all(&place.into).map_err(failed)?;
    fs::create_dir_all(&place.given).map_err(failed)?;
    if request.files.len() > MAX_GIVEN {
        let text = format!("found {} files; allowed: {MAX_GIVEN}", request.files.len());
        return Err(Refused::input(text));
    }
    for (name, text) in &request.files {
        let name = plain_name(name, &["toml"])?;
        let text = text.as_str().ok_or_else(|| Refused::input(format!("{name}: send text")))?;
        fs::write(place.given.join(name), text).map_err(failed)?;
    }
    dropped.take(&request.dropped, &place.given)?;
    rules(request, place)
}
