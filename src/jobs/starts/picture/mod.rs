//! What each start costs.
//!
//! In: a venue, its fixtures, what their starts cost. Out: a picture of 2000 by 1414
//! pixels: for a few days bars that show what the cost is made of, for more of them a
//! table of colours.

mod bars;
pub mod moments;
mod table;

use chrono::{NaiveTime, Timelike};

use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::palette::{INK, MUTED};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::{Costed, Fixture, Profile, Ranked};

const SIZE: (u32, u32) = (2000, 1414);
const PAGE: PxBox = PxBox { left: 40.0, top: 30.0, right: 1960.0, bottom: 1384.0 };
/// Days that get bars.
const MAX_BARS: usize = 3;

/// What to draw: fixtures of all venues, and which venue.
#[derive(Debug, Clone, Copy)]
pub struct Costs<'a> {
    pub venue: &'a Venue,
    /// Index of the venue.
    pub index: usize,
    pub fixtures: &'a [Fixture],
    pub ranked: &'a [Ranked],
    pub profile: &'a Profile,
    /// Minutes from one start to the next.
    pub every_min: u32,
    /// What the costs hold for.
    pub under: &'a str,
}

/// One day of the picture.
struct Line<'a> {
    fixture: &'a Fixture,
    ranked: &'a Ranked,
}

/// Draws the starts of one venue.
///
/// # Errors
/// The drawing library's own failures.
pub fn starts(costs: &Costs<'_>) -> Result<Picture, RenderError> {
    let Costs { venue, .. } = *costs;
    let here = costs.ranked.iter().filter_map(|ranked| {
        let fixture = costs.fixtures.get(ranked.fixture).filter(|f| f.venue == costs.index)?;
        Some(Line { fixture, ranked })
    });
    let mut lines: Vec<Line<'_>> = here.collect();
    lines.sort_by_key(|line| (line.fixture.date, line.ranked.fixture));
    let mut sketch = Sketch::default();
    if lines.len() <= MAX_BARS {
        header(&mut sketch, costs, "What start times cost, with the breakdown");
        bars::draw(&mut sketch, venue, &lines, costs.profile);
    } else {
        header(&mut sketch, costs, "What start times cost: the brighter the better");
        table::draw(&mut sketch, venue, &lines, costs.every_min);
    }
    let title = format!("What start times cost at {}", venue.title);
    canvas::draw(SIZE, &title, &description(venue, &lines), &sketch)
}

fn clock(venue: &Venue, start: &Costed) -> NaiveTime {
    start.at.with_timezone(&venue.place.zone).time()
}

fn minute(time: NaiveTime) -> f64 {
    f64::from(time.hour() * 60 + time.minute())
}

fn description(venue: &Venue, lines: &[Line<'_>]) -> String {
    let best = |line: &Line<'_>| {
        let best = line.ranked.best(line.fixture, venue.place.zone)?;
        let (date, at) = (line.fixture.date, clock(venue, best).format("%H:%M"));
        Some(format!("{date}: best at {at}, cost {:.1}", best.cost()))
    };
    let first: Vec<String> = lines.iter().filter_map(best).take(5).collect();
    format!("Cost of start times by day. {}.", first.join("; "))
}

fn header(sketch: &mut Sketch, costs: &Costs<'_>, words: &str) {
    let rows = [
        (costs.venue.title.as_str(), 46.0, Weight::Bold, INK, 30.0),
        (words, 27.0, Weight::Regular, INK, 86.0),
        (costs.under, 27.0, Weight::Regular, MUTED, 126.0),
    ];
    for (text, size, weight, colour, down) in rows {
        let text = fitted(text, PAGE.width(), size, weight);
        let lettering = Lettering { size, weight, colour, align: Align::Left };
        sketch.text(text, [PAGE.left, PAGE.top + down], lettering);
    }
}
