//! `positions.csv`: one row a place (RFC 4180: UTF-8, comma, CRLF, one header row).
//!
//! In: [`Report`]. Out: bytes. Columns that depend on what was asked carry it in their
//! names.

use crate::base::slug::unique_ids;
use crate::jobs::positions::{Part, Site};
use crate::output::csv::{CsvError, table};
use crate::output::words::fixed;

use super::Report;

/// Name, unit and meaning of each column; `<stops>` and `<camera>` stand for what was
/// asked for and for the ids of the cameras that are fixed.
pub const COLUMNS: [(&str, &str, &str); 27] = [
    ("position", "text", "name of the place, or of a camera that is there now"),
    ("candidate", "text", "the table it belongs to; empty for a camera that is there now"),
    ("along_m", "m", "where the lens is, field axes"),
    ("across_m", "m", "the same, to the left"),
    ("up_m", "m", "the same, over the field"),
    ("horizontal_fov_deg", "degree", "width of its picture"),
    ("cover_m2", "m2", "of the field of play that it covers"),
    ("penalty", "number", "weighed sum of the parts, the lower the better; empty without a cover"),
    ("pick", "yes or no", "lowest penalty of its candidate"),
    ("unbeaten", "yes or no", "no other place is as good in every part and better in one"),
    ("in_set", "yes or no", "in the best set"),
    ("widest_split_stops", "stop", "in shot while play runs; empty where none is"),
    ("split_over_<stops>_min", "min", "of play with a split in shot over so many stops"),
    ("split_over_<stops>_share", "0 to 1", "the same as a share of play"),
    ("part_split", "0 to 1", "share of play with a split over the first of these"),
    ("part_mismatch", "stop", "mean difference to the fixed cameras, same subject"),
    ("part_back_lit", "0 to 1", "share of play with subjects lit from behind"),
    ("part_sun_in_frame", "0 to 1", "share of play with the sun in frame"),
    ("part_sun_on_lens", "0 to 1", "share of play with the sun on the front element"),
    ("part_hidden", "0 to 1", "share of the cover that something hides"),
    ("part_own_sun", "0 to 1", "share of play with the sun on camera and operator"),
    ("weighed_<part>", "number", "what each part adds to the penalty"),
    (
        "gap_<camera>_stops",
        "stop",
        "mean difference to a fixed camera; empty without a common place",
    ),
    ("left_out", "number", "places of its candidate that lie inside of something"),
    ("widest_split_stops_low", "stop", "10th percentile of widest_split_stops for the unknown air"),
    ("widest_split_stops_high", "stop", "90th percentile of widest_split_stops"),
    ("trouble", "number", "penalty under its earlier name"),
];

/// `positions.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(told: &Report<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = told.positions.sites.iter().enumerate().map(|(i, site)| row(told, i, site));
    table(header(told), rows)
}

fn header(told: &Report<'_>) -> Vec<String> {
    let cameras = unique_ids(told.fixed(), "camera");
    let mut header = Vec::new();
    for (name, ..) in COLUMNS {
        if name.contains("<stops>") {
            let over = told.positions.over.iter();
            header.extend(over.map(|o| name.replace("<stops>", &number(o.stops()))));
        } else if name.contains("<part>") {
            header.extend(Part::ALL.iter().map(|p| name.replace("<part>", p.word())));
        } else if name.contains("<camera>") {
            header.extend(cameras.iter().map(|c| name.replace("<camera>", c)));
        } else {
            header.push(name.to_owned());
        }
    }
    header
}

/// "2" or "2.5", for the name of a column.
fn number(value: f64) -> String {
    format!("{value}")
}

fn row(told: &Report<'_>, index: usize, site: &Site) -> Vec<String> {
    let positions = told.positions;
    let at = told.place(site);
    let yes = |is: bool| if is { "yes" } else { "no" }.to_owned();
    let table = site.candidate.and_then(|c| told.venue.candidates.get(c));
    let play_min = positions.play_min.max(f64::MIN_POSITIVE);
    let penalty = site.penalty.map_or_else(String::new, |penalty| fixed(penalty, 4));
    let mut row = vec![
        site.post.name.clone(),
        told.candidate(site).unwrap_or_default().to_owned(),
        fixed(at.along_m, 2),
        fixed(at.across_m, 2),
        fixed(at.up_m, 2),
        fixed(site.post.horizontal_fov_deg, 2),
        fixed(site.cover_m2, 0),
        penalty.clone(),
        yes(told.is_pick(index)),
        yes(told.is_on_front(index)),
        yes(told.is_in_set(index)),
        site.widest.map_or_else(String::new, |w| fixed(w.stops(), 2)),
    ];
    row.extend(site.over_min.iter().map(|minutes| fixed(*minutes, 1)));
    row.extend(site.over_min.iter().map(|minutes| fixed(minutes / play_min, 4)));
    row.extend(Part::ALL.iter().map(|p| fixed(site.parts.get(*p), 4)));
    row.extend(Part::ALL.iter().map(|p| fixed(positions.weights.weighed(&site.parts, *p), 4)));
    row.extend(site.gaps.iter().map(|g| g.map_or_else(String::new, |g| fixed(g, 3))));
    row.push(table.map_or_else(String::new, |c| c.left_out.to_string()));
    let ends = [site.widest_range.map(|r| r.low), site.widest_range.map(|r| r.high)];
    row.extend(ends.map(|end| end.map_or_else(String::new, |stops| fixed(stops, 2))));
    row.push(penalty);
    row
}
