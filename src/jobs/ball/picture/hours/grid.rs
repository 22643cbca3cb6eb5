//! Several places over the day: a row a place, a cell an hour, bright where there is little
//! penalty.
//!
//! Colours are the map "cividis" (Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018) of crate
//! `colorous`; the numbers stand in the cells, so that nothing hangs on colour.

use plotters::style::RGBColor;

use crate::jobs::ball::{Comparison, SiteHours};
use crate::output::draw::palette::{INK, MUTED, PAPER};
use crate::output::draw::scale::{cividis, colour_bar};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::venue::Venue;

use super::{MARGIN, RIGHT};

const NAMES_PX: f64 = 470.0;
const MEAN_PX: f64 = 120.0;
const HEAD_PX: f64 = 60.0;
const ROW_PX: f64 = 74.0;
/// Rows that are drawn; the files hold all.
const MAX_ROWS: usize = 24;
/// Cells narrower than this carry no number, pixels.
const NUMBER_PX: f64 = 38.0;

struct Scale(f64, f64);

impl Scale {
    fn share(&self, penalty: f64) -> f64 {
        let width = self.1 - self.0;
        if width > 0.0 { ((penalty - self.0) / width).clamp(0.0, 1.0) } else { 0.0 }
    }

    fn colour(&self, penalty: f64) -> RGBColor {
        cividis(self.share(penalty))
    }

    fn ink(&self, penalty: f64) -> RGBColor {
        if self.share(penalty) > 0.45 { PAPER } else { INK }
    }
}

/// Draws it; gives where it ends.
pub(super) fn draw(sketch: &mut Sketch, venue: &Venue, found: &Comparison, top: f64) -> f64 {
    let ranked = found.ranked();
    let all = || found.sites.iter().flat_map(|s| s.hours.iter().map(|h| h.penalty));
    let scale = Scale(all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
    let count = found.sites.first().map_or(0, |s| s.hours.len()).max(1);
    let left = MARGIN + NAMES_PX;
    let width = (RIGHT - MEAN_PX - left) / count as f64;
    let title = "Penalty, the best place first (the lower the better)";
    sketch.text(title, [MARGIN, top - 30.0], Lettering::of(28.0).bold());
    head(sketch, found, (left, width), top + 24.0);
    let mut y = top + HEAD_PX;
    for index in ranked.iter().take(MAX_ROWS) {
        row(sketch, venue, &found.sites[*index], &scale, (left, width, y));
        y += ROW_PX;
    }
    if ranked.len() > MAX_ROWS {
        let more = format!("and {} more: see the table", ranked.len() - MAX_ROWS);
        sketch.text(more, [MARGIN, y + 20.0], Lettering::of(24.0).colour(MUTED));
        y += 40.0;
    }
    key(sketch, &scale, y + 20.0)
}

/// Times over the columns, as many as have room.
fn head(sketch: &mut Sketch, found: &Comparison, (left, width): (f64, f64), y: f64) {
    let lettering = Lettering::of(24.0).align(Align::Middle);
    let every = (86.0 / width).ceil().max(1.0) as usize;
    let hours = found.sites.first().map_or(&[][..], |s| s.hours.as_slice());
    for (i, hour) in hours.iter().enumerate().step_by(every) {
        let x = left + (i as f64 + 0.5) * width;
        sketch.text(hour.at.format("%H:%M").to_string(), [x, y], lettering);
    }
    let mean = Lettering::of(24.0).bold().align(Align::Right);
    sketch.text("mean", [RIGHT, y], mean);
}

fn row(
    sketch: &mut Sketch,
    venue: &Venue,
    site: &SiteHours,
    scale: &Scale,
    (left, width, top): (f64, f64, f64),
) {
    let post = &site.site.post;
    let now = if site.site.candidate.is_none() { " (now)" } else { "" };
    let name = format!("{}{now}", post.name);
    let name = fitted(&name, NAMES_PX - 20.0, 25.0, Weight::Bold);
    sketch.text(name, [MARGIN, top + 22.0], Lettering::of(25.0).bold());
    let at = venue.field.frame.to_field(post.at);
    // never "-0"
    let [along, across, up] = [at.along_m, at.across_m, at.up_m].map(|m| m.round() + 0.0);
    let place = format!("at {along:.0}, {across:.0}, {up:.0} m");
    sketch.text(place, [MARGIN, top + 50.0], Lettering::of(23.0).colour(MUTED));
    let best = site.ranked().first().copied();
    for (i, hour) in site.hours.iter().enumerate() {
        let x = left + i as f64 * width;
        let cell = PxBox { left: x, top: top + 4.0, right: x + width, bottom: top + ROW_PX - 4.0 };
        sketch.fill(cell.ring(), scale.colour(hour.penalty));
        if width >= NUMBER_PX {
            let ink = scale.ink(hour.penalty);
            let text = format!("{:.1}", hour.penalty);
            let lettering = Lettering::of(23.0).align(Align::Middle).colour(ink);
            sketch.text(text, cell.middle(), lettering);
        }
        if best == Some(i) {
            sketch.outline(cell.grown(-3.0).ring(), 3, scale.ink(hour.penalty));
        }
    }
    let mean = Lettering::of(25.0).bold().align(Align::Right);
    sketch.text(format!("{:.2}", site.mean()), [RIGHT, top + 0.5 * ROW_PX], mean);
}

/// The scale; gives where it ends.
fn key(sketch: &mut Sketch, scale: &Scale, top: f64) -> f64 {
    let bar = PxBox { left: MARGIN, top, right: MARGIN + 420.0, bottom: top + 34.0 };
    let text = Lettering::of(24.0);
    let [low, high] = [scale.0, scale.1].map(|v| format!("{v:.2}"));
    let under = colour_bar(sketch, &bar, [&low, "penalty", &high], text);
    let beside = [bar.right + 40.0, bar.middle()[1]];
    sketch.text("framed: the best hour of each place", beside, text);
    under + 30.0
}
