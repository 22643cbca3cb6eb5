//! Files of the session's folder: which there are, new ones, copies of the demo grounds.
//!
//! In: names without any path. Out: files in the folder of the session and nowhere else;
//! a file that is there is never written over.

use std::fs;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde_json::{Map, Value as Json, json};

use super::edit::text_of_new;
use super::problem::{ProblemOut, Refused};
use super::workspace::check;
use crate::base::target::{Existing, Inputs};
use crate::import::write::save;

/// Files that are listed.
const MAX_LISTED: usize = 500;
/// Files that are looked into for being a venue.
const MAX_LOOKED_AT: usize = 2_000;
/// Bytes of a file that is looked into.
const MAX_LOOKED_BYTES: u64 = 1024 * 1024;
/// Characters of a name.
const MAX_NAME: usize = 80;

/// Grounds that the program brings, all invented.
const DEMOS: [(&str, &str); 3] = [
    ("football-demo", include_str!("../../venues/football-demo.toml")),
    ("tennis-demo", include_str!("../../venues/tennis-demo.toml")),
    ("golf-demo", include_str!("../../venues/golf-demo.toml")),
];

/// What a new ground begins with.
#[derive(Debug, Clone, Deserialize)]
pub struct NewGround {
    #[serde(default)]
    pub template: Option<String>,
    pub title: String,
    pub sport: String,
    pub latitude_deg: f64,
    pub longitude_deg: f64,
    pub zone: String,
    pub bearing_deg: f64,
    /// Above sea level, metres.
    #[serde(default)]
    pub height_m: Option<f64>,
    #[serde(default)]
    pub date: Option<String>,
    #[serde(default)]
    pub start: Option<String>,
    /// More keys of `[field]`, such as `length_m` or `corners`.
    #[serde(default)]
    pub field: Map<String, Json>,
    pub file: String,
}

/// A name of a file in the folder; never a way out of it.
///
/// # Errors
/// [`Refused::Input`] with what a name may be.
pub fn plain_name(name: &str, extensions: &[&str]) -> Result<String, Refused> {
    let name = name.trim();
    let sound = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' ');
    let extension = name.rsplit_once('.').map(|(_, extension)| extension.to_ascii_lowercase());
    let known = extension.is_some_and(|e| extensions.contains(&e.as_str()));
    let short = name.chars().count() <= MAX_NAME;
    if short && known && !name.starts_with('.') && name.chars().all(sound) {
        return Ok(name.to_owned());
    }
    let shown: String = name.chars().take(MAX_NAME).collect();
    let endings = extensions.join(", .");
    let text = format!(
        "found the file name \"{shown}\"; allowed: letters, digits, spaces, - and _, up to \
         {MAX_NAME} of them, without a folder, ending in .{endings}"
    );
    Err(Refused::Input(vec![ProblemOut::at("file", text)]))
}

/// A file of the folder that exists, and does not lead out of it.
///
/// # Errors
/// [`Refused::NotFound`], [`Refused::Input`] for a name that is none.
pub fn existing(folder: &Path, name: &str, extensions: &[&str]) -> Result<PathBuf, Refused> {
    let name = plain_name(name, extensions)?;
    let missing = || Refused::NotFound(format!("there is no file `{name}` in the folder"));
    let path = folder.join(&name);
    let real = path.canonicalize().map_err(|_| missing())?;
    let home = folder.canonicalize().map_err(|_| missing())?;
    if real.parent() != Some(home.as_path()) || !real.is_file() {
        return Err(missing());
    }
    Ok(path)
}

/// Venue files of the folder, and the demo grounds.
pub fn list(folder: &Path) -> Json {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten().take(MAX_LOOKED_AT);
    let mut files: Vec<String> = entries
        .filter_map(|entry| {
            let name = entry.file_name().into_string().ok()?;
            let sound = plain_name(&name, &["toml"]).is_ok() && is_venue(&entry.path());
            sound.then_some(name)
        })
        .collect();
    files.sort();
    files.truncate(MAX_LISTED);
    let demos: Vec<&str> = DEMOS.iter().map(|(name, _)| *name).collect();
    json!({ "folder": folder.display().to_string(), "files": files, "demos": demos })
}

/// Whether a file looks like one that says where a field lies, or several.
fn is_venue(path: &Path) -> bool {
    let small = fs::metadata(path).is_ok_and(|m| m.is_file() && m.len() <= MAX_LOOKED_BYTES);
    small
        && fs::read_to_string(path).is_ok_and(|text| {
            let has = |head: &str| text.lines().any(|line| line.trim_start().starts_with(head));
            has("[place]") && (has("[field]") || has("[[field]]"))
        })
}

/// Copies a demo ground into the folder under a free name.
///
/// # Errors
/// [`Refused::NotFound`] for a demo that there is not; [`Refused::Input`] where the folder
/// cannot be written to.
pub fn copy_demo(folder: &Path, demo: &str) -> Result<PathBuf, Refused> {
    let known = DEMOS.iter().find(|(name, _)| *name == demo);
    let (name, text) =
        known.ok_or_else(|| Refused::NotFound(format!("there is no demo ground `{demo}`")))?;
    for number in 1..1000 {
        let file = match number {
            1 => format!("{name}.toml"),
            more => format!("{name}-{more}.toml"),
        };
        let path = folder.join(file);
        match save(&path, text, &Inputs::none(), Existing::Keep) {
            Ok(()) => return Ok(path),
            Err(error) if error.is_usage() => {}
            Err(error) => return Err(Refused::input(error.to_string())),
        }
    }
    Err(Refused::input("the folder holds too many copies of this demo ground; remove some"))
}

/// Makes the file of a new ground.
///
/// # Errors
/// [`Refused::Input`] with all problems of what was stated, or where there is such a file.
pub fn create(folder: &Path, new: &NewGround) -> Result<PathBuf, Refused> {
    if let Some(template) = new.template.as_deref().filter(|t| *t != "empty") {
        let text = format!("template: found \"{template}\"; allowed: \"empty\"");
        return Err(Refused::Input(vec![ProblemOut::at("template", text)]));
    }
    let name = plain_name(&new.file, &["toml"])?;
    let text = text_of_new(new)?;
    check(&text, &name, folder)?;
    let path = folder.join(&name);
    save(&path, &text, &Inputs::none(), Existing::Keep).map_err(|error| {
        match error.is_usage() {
            true => {
                let text = format!("there is a file `{name}` already; choose another name");
                Refused::Input(vec![ProblemOut::at("file", text)])
            }
            false => Refused::input(error.to_string()),
        }
    })?;
    Ok(path)
}
