//! What the penalty of places is made of: stacked bars beside the drawing.

use plotters::style::RGBColor;

use crate::jobs::match_plan::picture::field::layout::{CAMERAS, COMPASS};
use crate::jobs::positions::{PenaltyPart, Positions, ScoredPosition};
use crate::output::draw::palette::{
    BLUE, BLUISH_GREEN, INK, MUTED, ORANGE, PAPER, REDDISH_PURPLE, RULE, SKY_BLUE, VERMILLION,
    YELLOW,
};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::venue::{Candidate, Venue};

const HEADING_PX: f64 = 40.0;
const ROW_PX: f64 = 66.0;
const BAR_PX: f64 = 30.0;
/// Room for the number behind a bar.
const NUMBER_PX: f64 = 76.0;
/// Places of a candidate that are shown.
const MAX_PLACES: usize = 3;
const LEGEND_PX: f64 = 218.0;

/// The whole column.
const COLUMN: PxBox =
    PxBox { left: COMPASS.left, top: COMPASS.top, right: COMPASS.right, bottom: CAMERAS.bottom };

/// The letter of a candidate: "A", "B", ... and numbers after "Z".
pub(super) fn letter(candidate: usize) -> String {
    match u8::try_from(candidate).ok().filter(|n| *n < 26) {
        Some(n) => char::from(b'A' + n).to_string(),
        None => (candidate + 1).to_string(),
    }
}

/// Colour and letter of a part; letters stand in the bars, so that grey print tells
/// parts apart.
fn sign(part: PenaltyPart) -> (RGBColor, &'static str, &'static str) {
    match part {
        PenaltyPart::Split => (VERMILLION, "S", "Split in shot"),
        PenaltyPart::Mismatch => (SKY_BLUE, "M", "Mismatch to others"),
        PenaltyPart::BackLit => (ORANGE, "B", "Subjects back-lit"),
        PenaltyPart::SunInFrame => (YELLOW, "F", "Sun in frame"),
        PenaltyPart::SunOnLens => (REDDISH_PURPLE, "L", "Sun on the lens"),
        PenaltyPart::Hidden => (BLUE, "H", "View hidden"),
        PenaltyPart::OwnSun => (BLUISH_GREEN, "O", "Camera in the sun"),
    }
}

struct Row<'a> {
    name: String,
    site: &'a ScoredPosition,
}

/// Candidates with what is there now and their best places, as many as have room.
pub(super) fn list(sketch: &mut Sketch, venue: &Venue, positions: &Positions) {
    let title = Lettering::of(27.0).bold();
    sketch.text("Score breakdown", [COLUMN.left, COLUMN.top + 14.0], title);
    let bottom = COLUMN.bottom - LEGEND_PX;
    let room = bottom - COLUMN.top - HEADING_PX;
    let count = venue.candidates.len().max(1) as f64;
    // what each candidate can have: its heading, and rows
    let rows = ((room / count - HEADING_PX) / ROW_PX).floor().max(0.0) as usize;
    let groups: Vec<(usize, &Candidate, Vec<Row>)> = venue
        .candidates
        .iter()
        .enumerate()
        .map(|(i, candidate)| (i, candidate, group(venue, positions, i, rows.max(1))))
        .collect();
    let most = groups.iter().flat_map(|g| &g.2).filter_map(|row| row.site.penalty);
    let most = most.fold(0.0, f64::max).max(1e-9);
    let mut y = COLUMN.top + HEADING_PX;
    for (number, candidate, rows) in groups {
        let needed = HEADING_PX + ROW_PX * rows.len() as f64;
        if y + needed > bottom {
            let more = venue.candidates.len() - number;
            let text = format!("and {more} more: see positions.csv");
            sketch.text(text, [COLUMN.left, y + 20.0], Lettering::of(25.0).colour(MUTED));
            break;
        }
        heading(sketch, number, candidate, y + 20.0);
        y += HEADING_PX;
        for row in rows {
            bar(sketch, positions, &row, most, y);
            y += ROW_PX;
        }
    }
    legend(sketch, bottom + 20.0);
}

fn heading(sketch: &mut Sketch, number: usize, candidate: &Candidate, y: f64) {
    let bold = Lettering::of(25.0).bold();
    let letter = letter(number);
    let plate = PxBox::around([COLUMN.left + 20.0, y], bold.width(&letter) + 20.0, 34.0);
    sketch.tag(&letter, plate, bold);
    let room = COLUMN.width() - 60.0;
    let name = fitted(&candidate.name, room, 25.0, Weight::Bold);
    sketch.text(name, [plate.right + 14.0, y], bold);
}

/// What is there now, the best places and the worst.
fn group<'a>(venue: &Venue, positions: &'a Positions, number: usize, most: usize) -> Vec<Row<'a>> {
    let of = |s: &&ScoredPosition| s.candidate == Some(number) && s.penalty.is_some();
    let mut places: Vec<&ScoredPosition> = positions.sites.iter().filter(of).collect();
    let penalty = |s: &ScoredPosition| s.penalty.unwrap_or(f64::INFINITY);
    places.sort_by(|a, b| penalty(a).total_cmp(&penalty(b)));
    let named = |site: &'a ScoredPosition, what: &str| {
        let at = venue.field.frame.to_field(site.post.at);
        let [along, across, up] = [at.along_m, at.across_m, at.up_m].map(super::metres);
        let name = format!("{what} at {along}, {across}, {up} m");
        Row { name, site }
    };
    let candidate = venue.candidates.get(number);
    let now = candidate.and_then(|c| positions.sites.get(c.instead_of?));
    let mut rows: Vec<Row> = Vec::new();
    rows.extend(places.first().map(|s| named(s, "Best,")));
    rows.extend(now.map(|site| Row { name: format!("Now, {}", site.post.name), site }));
    rows.extend(places.iter().take(MAX_PLACES).skip(1).map(|s| named(s, "Next,")));
    if let Some(worst) = places.get(MAX_PLACES..).and_then(<[_]>::last) {
        rows.push(named(worst, "Worst,"));
    }
    rows.truncate(most);
    rows
}

fn bar(sketch: &mut Sketch, positions: &Positions, row: &Row, most: f64, top: f64) {
    let text = Lettering::of(22.0);
    let name = fitted(&row.name, COLUMN.width(), 22.0, Weight::Regular);
    sketch.text(name, [COLUMN.left, top + 13.0], text);
    let (y, width) = (top + 28.0, COLUMN.width() - NUMBER_PX);
    let mut left = COLUMN.left;
    for part in PenaltyPart::ALL {
        let length = width * positions.weights.weighed(&row.site.parts, part) / most;
        if length < 0.5 {
            continue;
        }
        let (colour, letter, _) = sign(part);
        let piece = PxBox { left, top: y, right: left + length, bottom: y + BAR_PX };
        sketch.fill(piece.ring(), colour);
        let lettering = Lettering::of(21.0).bold().align(Align::Middle).colour(ink_on(part));
        if lettering.width(letter) + 4.0 < length {
            sketch.text(letter, piece.middle(), lettering);
        }
        left += length;
        sketch.stroke([[left, y], [left, y + BAR_PX - 1.0]], 2, PAPER);
    }
    sketch.stroke([[COLUMN.left, y - 3.0], [COLUMN.left, y + BAR_PX + 3.0]], 2, RULE);
    let penalty = row.site.penalty.map_or_else(|| "-".to_owned(), |t| format!("{t:.2}"));
    let number = Lettering::of(25.0).bold();
    sketch.text(penalty, [left + 10.0, y + 0.5 * BAR_PX], number);
}

/// Letters that are read on their colour: the darker ones take paper.
fn ink_on(part: PenaltyPart) -> RGBColor {
    match part {
        PenaltyPart::Split | PenaltyPart::Hidden | PenaltyPart::OwnSun => PAPER,
        _ => INK,
    }
}

fn legend(sketch: &mut Sketch, top: f64) {
    let text = Lettering::of(22.0);
    let column = COLUMN.width() / 2.0;
    for (i, part) in PenaltyPart::ALL.into_iter().enumerate() {
        let (colour, letter, name) = sign(part);
        let (x, y) = (COLUMN.left + column * (i / 4) as f64, top + 44.0 * (i % 4) as f64 + 16.0);
        let patch = PxBox::around([x + 16.0, y], 32.0, 30.0);
        sketch.fill(patch.ring(), colour);
        let inside = Lettering::of(21.0).bold().align(Align::Middle).colour(ink_on(part));
        sketch.text(letter, patch.middle(), inside);
        sketch.text(name, [x + 44.0, y], text);
    }
}
