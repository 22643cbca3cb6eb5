//! The page itself: HTML, style and modules inside the program.
//!
//! In: a name. Out: the file. Debug builds read it from the folder that the environment
//! variable [`FROM_FOLDER`] names, so that the page can be edited while the server runs.

use axum::http::header;
use axum::response::{IntoResponse, Response};

use crate::output::front;
use crate::serve::problem::Refused;

/// Names a folder with the files of the page, for who edits them.
pub const FROM_FOLDER: &str = "QUARTERSTOP_LIVE_PAGE";

macro_rules! files {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("page/", $name)))),*]
    };
}

/// All files of the page.
const FILES: &[(&str, &str)] = files![
    "add.js",
    "api.js",
    "bearing.js",
    "bring.js",
    "cameras.js",
    "check.js",
    "dom.js",
    "drag.js",
    "exchange.js",
    "fieldlist.js",
    "fields.js",
    "forecast.js",
    "grounds.css",
    "grounds.html",
    "grounds.js",
    "handles.js",
    "history.js",
    "jobs.js",
    "keep.js",
    "live.css",
    "live.html",
    "main.js",
    "mend.js",
    "newground.js",
    "observe.js",
    "pictures.js",
    "planmarks.js",
    "planview.js",
    "recce.js",
    "section.js",
    "state.js",
    "text.js",
    "theme.js",
    "things.js",
    "through.js",
    "timeline.js",
    "times.js",
    "units.js",
    "wall.css",
    "wall.html",
    "wall.js",
    "wallcuts.js",
    "walldata.js",
    "wallenter.js",
    "wallmoves.js",
    "wallsky.js",
    "walltiles.js",
];

/// What the board of the brief draws with as well.
const SHARED: &[(&str, &str)] = front::FILES;

/// The content type of a name.
pub fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "csv" => "text/csv; charset=utf-8",
        "ics" => "text/calendar; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "pdf" => "application/pdf",
        "txt" | "toml" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// A file of the page.
///
/// # Errors
/// [`Refused::NotFound`] for a name that there is not.
pub fn file(name: &str) -> Result<Response, Refused> {
    let known = FILES.iter().chain(SHARED).find(|(known, _)| *known == name);
    let text = match from_folder(name) {
        Some(text) => Some(text),
        None => known.map(|(_, text)| (*text).to_owned()),
    };
    let text = text.ok_or_else(|| Refused::NotFound("the page has no such file".to_owned()))?;
    Ok(([(header::CONTENT_TYPE, kind(name))], text).into_response())
}

/// A file of the folder of who edits the page; never in a release.
fn from_folder(name: &str) -> Option<String> {
    if !cfg!(debug_assertions) {
        return None;
    }
    let folder = std::path::PathBuf::from(std::env::var_os(FROM_FOLDER)?);
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let sound = name.chars().all(plain) && !name.starts_with('.');
    let read = |folder: &std::path::Path| std::fs::read_to_string(folder.join(name)).ok();
    sound.then(|| read(&folder).or_else(|| read(&folder.join("../../output/front"))))?
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Modules that are named in the head are asked for at once, not one wave after another.
    #[test]
    fn the_head_names_every_module() {
        let page = |wanted: &str| FILES.iter().find(|(name, _)| *name == wanted).unwrap().1;
        let (live, wall) = (page("live.html"), page("wall.html"));
        let main = ["main.js", "wall.js", "grounds.js"];
        let modules = FILES.iter().chain(SHARED).map(|(name, _)| *name);
        let named = modules.filter(|name| name.ends_with(".js"));
        for name in named.filter(|name| !main.contains(name)) {
            let html = if name.starts_with("wall") { wall } else { live };
            let link = format!("<link rel=\"modulepreload\" href=\"/live/{name}\">");
            assert!(html.contains(&link), "{link}");
        }
    }

    #[test]
    fn all_files_of_the_page_are_in_the_program() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/serve/page");
        let mut there: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        there.sort();
        assert_eq!(there, FILES.iter().map(|(name, _)| *name).collect::<Vec<_>>());
    }
}
