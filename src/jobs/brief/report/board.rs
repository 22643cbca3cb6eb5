//! The interactive page: one HTML file without any reference outside of itself.

use crate::jobs::forecast::DayOutlook;
use crate::output::front;

use super::{BriefReport, BriefReportError, board_data};

const PAGE: &str = include_str!("board/page.html");
const STYLE: &str = include_str!("board/style.css");
/// In this order, behind what the live page draws with too; the first holds what all others
/// use.
const SCRIPTS: [&str; 8] = [
    include_str!("board/time.js"),
    include_str!("board/plan.js"),
    include_str!("board/place.js"),
    include_str!("board/forecast.js"),
    include_str!("board/camera.js"),
    include_str!("board/light.js"),
    include_str!("board/eye.js"),
    include_str!("board/cues.js"),
];
/// Only where there are outputs to state.
const OUTPUTS: &str = include_str!("board/outputs.js");
/// Last, as it starts the page.
const MAIN: &str = include_str!("board/main.js");

/// The whole page.
///
/// # Errors
/// [`BriefReportError`] where a library refuses, which no venue should cause.
pub fn html(report: &BriefReport<'_>) -> Result<String, BriefReportError> {
    let mut pages = minijinja::Environment::new();
    pages.add_template("board.html", PAGE)?;
    let data = data(report)?;
    let safe = minijinja::Value::from_safe_string;
    let context = minijinja::context! {
        title => report.venue.title.clone(),
        skins => minijinja::value::Serde(super::faces::skins(report, &report.brief.cameras)),
        style => safe(format!("{}{STYLE}", front::COLOURS)),
        script => safe(format!("\"use strict\";\n{}{}", front::script(), scripts(report).join("\n"))),
        data => safe(inside_script(&data)),
    };
    Ok(pages.get_template("board.html")?.render(context)?)
}

fn scripts(report: &BriefReport<'_>) -> Vec<&'static str> {
    let several = report.venue.production.as_ref().is_some_and(|p| p.makes.len() > 1);
    SCRIPTS.into_iter().chain(several.then_some(OUTPUTS)).chain([MAIN]).collect()
}

/// The data of the page by itself, as JSON.
///
/// # Errors
/// [`BriefReportError`] where a library refuses, which no venue should cause.
pub fn data(report: &BriefReport<'_>) -> Result<String, BriefReportError> {
    Ok(serde_json::to_string(&board_data::board_data(report))?)
}

/// What a forecast says of the plan of [`data`], by itself, as JSON.
///
/// # Errors
/// [`BriefReportError`] where a library refuses, which no venue should cause.
pub fn outlook(report: &BriefReport<'_>, day: &DayOutlook) -> Result<String, BriefReportError> {
    Ok(serde_json::to_string(&board_data::outlook(report, day))?)
}

/// JSON that no HTML parser takes for the end of a script or for a comment: the sign
/// that opens a tag is written as its escape, which JSON reads back as the same.
///
/// ```
/// use quarterstop::jobs::brief::report::board::inside_script;
/// assert_eq!(inside_script(r#"{"a":"</script>"}"#), "{\"a\":\"\\u003c/script>\"}");
/// ```
pub fn inside_script(json: &str) -> String {
    json.replace('<', "\\u003c")
}
