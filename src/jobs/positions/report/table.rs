//! `positions.csv`: one row a place (RFC 4180: UTF-8, comma, CRLF, one header row).
//!
//! In: [`PositionsReport`]. Out: bytes. Columns that depend on what was asked carry it in their
//! names.

use crate::base::frame::FieldPoint;
use crate::base::slug::unique_ids;
use crate::jobs::positions::{PenaltyPart, ScoredPosition};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text, yes_or_no};

use super::PositionsReport;

/// A place and where it stands in the list.
struct Row<'a> {
    report: &'a PositionsReport<'a>,
    index: usize,
    site: &'a ScoredPosition,
}

impl Row<'_> {
    fn at(&self) -> FieldPoint {
        self.report.place(self.site)
    }

    fn left_out(&self) -> Option<usize> {
        let candidates = &self.report.venue.candidates;
        self.site.candidate.and_then(|c| candidates.get(c)).map(|c| c.left_out)
    }
}

/// The columns for limits of splits and fixed cameras of these names.
fn of_row<'a>(
    over: &[String],
    parts: &[(String, PenaltyPart)],
    cameras: &[String],
) -> Vec<Column<'a, Row<'a>>> {
    let mut list = of_place();
    list.extend(of_penalty());
    for (index, stops) in over.iter().enumerate() {
        list.push(number(
            format!("split_over_{stops}_min"),
            ("min", 1),
            "of play with a split in shot over so many stops",
            move |r: &Row<'a>| r.site.over_min.get(index).copied(),
        ));
    }
    for (index, stops) in over.iter().enumerate() {
        list.push(number(
            format!("split_over_{stops}_share"),
            ("0 to 1", 4),
            "the same as a share of play",
            move |r: &Row<'a>| {
                let play_min = r.report.positions.play_min.max(f64::MIN_POSITIVE);
                r.site.over_min.get(index).map(|minutes| minutes / play_min)
            },
        ));
    }
    list.extend(PenaltyPart::ALL.map(|part| {
        let (unit, meaning) = part.column();
        number(format!("part_{}", part.word()), (unit, 4), meaning, move |r: &Row<'a>| {
            Some(r.site.parts.get(part))
        })
    }));
    list.extend(parts.iter().map(|(name, part)| {
        let part = *part;
        number(
            format!("weighed_{name}"),
            ("number", 4),
            "what each part adds to the penalty",
            move |r: &Row<'a>| Some(r.report.positions.weights.weighed(&r.site.parts, part)),
        )
    }));
    list.extend(cameras.iter().enumerate().map(|(index, camera)| {
        number(
            format!("gap_{camera}_stops"),
            ("stop", 3),
            "mean difference to a fixed camera; empty without a common place",
            move |r: &Row<'a>| r.site.gaps.get(index).copied().flatten(),
        )
    }));
    list.extend(of_rest());
    list
}

fn of_place<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        text(
            "position",
            "text",
            "name of the place, or of a camera that is there now",
            |r: &Row<'a>| r.site.post.name.clone(),
        ),
        text(
            "candidate",
            "text",
            "the table it belongs to; empty for a camera that is there now",
            |r: &Row<'a>| r.report.candidate(r.site).unwrap_or_default().to_owned(),
        ),
        number("along_m", ("m", 2), "where the lens is, field axes", |r: &Row<'a>| {
            Some(r.at().along_m)
        }),
        number("across_m", ("m", 2), "the same, to the left", |r: &Row<'a>| Some(r.at().across_m)),
        number("up_m", ("m", 2), "the same, over the field", |r: &Row<'a>| Some(r.at().up_m)),
        number("horizontal_fov_deg", ("degree", 2), "width of its picture", |r: &Row<'a>| {
            Some(r.site.post.horizontal_fov_deg)
        }),
        number("cover_m2", ("m2", 0), "of the field of play that it covers", |r: &Row<'a>| {
            Some(r.site.cover_m2)
        }),
    ]
}

fn of_penalty<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        number(
            "penalty",
            ("number", 4),
            "weighed sum of the parts, the lower the better; empty without a cover",
            |r: &Row<'a>| r.site.penalty,
        ),
        yes_or_no("pick", "lowest penalty of its candidate", |r: &Row<'a>| {
            r.report.is_pick(r.index)
        }),
        yes_or_no(
            "unbeaten",
            "no other place is as good in every part and better in one",
            |r: &Row<'a>| r.report.is_on_front(r.index),
        ),
        yes_or_no("in_set", "in the best set", |r: &Row<'a>| r.report.is_in_set(r.index)),
        number(
            "widest_split_stops",
            ("stop", 2),
            "in shot while play runs; empty where none is",
            |r: &Row<'a>| r.site.widest.map(|w| w.stops()),
        ),
    ]
}

fn of_rest<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        number(
            "left_out",
            ("number", 0),
            "places of its candidate that lie inside of something",
            |r: &Row<'a>| r.left_out().map(|n| n as f64),
        ),
        number(
            "widest_split_stops_low",
            ("stop", 2),
            "10th percentile of widest_split_stops for the unknown air",
            |r: &Row<'a>| r.site.widest_range.map(|range| range.low),
        ),
        number(
            "widest_split_stops_high",
            ("stop", 2),
            "90th percentile of widest_split_stops",
            |r: &Row<'a>| r.site.widest_range.map(|range| range.high),
        ),
        number("trouble", ("number", 4), "penalty under its earlier name", |r: &Row<'a>| {
            r.site.penalty
        }),
    ]
}

/// Its columns; `<stops>`, `<part>` and `<camera>` stand for what was asked for, the parts of
/// the penalty and the ids of the cameras that are fixed.
pub fn columns() -> Vec<ColumnDoc> {
    let family = |name: &str| [name.to_owned()];
    let part = ("<part>".to_owned(), PenaltyPart::Split);
    docs(&of_row(&family("<stops>"), &[part], &family("<camera>")))
}

/// `positions.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(report: &PositionsReport<'_>) -> Result<Vec<u8>, CsvError> {
    let positions = report.positions;
    // "2" or "2.5"
    let over: Vec<String> = positions.over.iter().map(|o| o.stops().to_string()).collect();
    let parts = PenaltyPart::ALL.map(|part| (part.word().to_owned(), part));
    let cameras = unique_ids(report.fixed(), "camera");
    let rows = positions.sites.iter().enumerate();
    let rows = rows.map(|(index, site)| Row { report, index, site });
    table::csv(&of_row(&over, &parts, &cameras), rows)
}
