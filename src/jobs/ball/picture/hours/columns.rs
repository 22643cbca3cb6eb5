//! One camera over the day: columns of penalty, then stops to close and the rate needed, shot
//! by shot.

use chrono::Timelike;

use crate::base::plane::dashes;
use crate::jobs::ball::picture::chart::{BallChart, UNDER, number};
use crate::jobs::ball::{BallHour, BallPenaltyPart, Comparison, ShotScore, SiteHours};
use crate::output::draw::legend::{Legend, LegendEntry};
use crate::output::draw::palette::{
    BLUE, BLUISH_GREEN, INK, MUTED, ORANGE, REDDISH_PURPLE, VERMILLION,
};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};

use super::{MARGIN, RIGHT, ink_on, legend, sign};

const LEFT: f64 = 170.0;
const COLUMNS_PX: f64 = 560.0;
const LINES_PX: f64 = 320.0;
/// Share of the time between two hours that a column takes.
const COLUMN_SHARE: f64 = 0.72;
/// No rate higher than this is drawn, stops a second.
const MAX_RATE: f64 = 20.0;

/// Draws it; gives where it ends.
pub(super) fn draw(sketch: &mut Sketch, found: &Comparison, site: &SiteHours, top: f64) -> f64 {
    let mut bottom = stacked(sketch, found, site, top);
    bottom = legend(sketch, bottom + 10.0);
    let stops = |shot: &ShotScore| Some(shot.close_stops);
    let title = "Stops to close for the background, against the strike";
    let unit = |v: f64| format!("{} stops", number(v));
    bottom = lines(sketch, site, bottom + 60.0, (title, &unit), &stops, None);
    let rate = |shot: &ShotScore| shot.least_rate.map(|r| r.min(MAX_RATE));
    let title = "Rate that a ride from the strike on needs, and what the iris does (dashed)";
    let unit = |v: f64| format!("{} stops/s", number(v));
    let iris = Some(found.settings.rate);
    bottom = lines(sketch, site, bottom + 60.0, (title, &unit), &rate, iris);
    shots(sketch, found, bottom + 24.0)
}

/// Hours of the clock since midnight.
fn hours(hour: &BallHour) -> f64 {
    f64::from(hour.at.num_seconds_from_midnight()) / 3600.0
}

fn span(site: &SiteHours) -> (f64, f64, f64) {
    let times: Vec<f64> = site.hours.iter().map(hours).collect();
    let apart = times.windows(2).map(|w| w[1] - w[0]).fold(f64::INFINITY, f64::min);
    let apart = if apart.is_finite() { apart } else { 1.0 };
    let first = times.first().copied().unwrap_or(0.0);
    let last = times.last().copied().unwrap_or(first);
    (first - 0.7 * apart, last + 0.7 * apart, apart)
}

fn clock(v: f64) -> String {
    let minutes = (60.0 * v).round() as i64;
    format!("{:02}:{:02}", minutes.div_euclid(60), minutes.rem_euclid(60))
}

fn stacked(sketch: &mut Sketch, found: &Comparison, site: &SiteHours, top: f64) -> f64 {
    let (from, until, apart) = span(site);
    let most = site.hours.iter().map(|h| h.penalty).fold(0.1, f64::max);
    let area = PxBox { left: LEFT, top, right: RIGHT, bottom: top + COLUMNS_PX };
    // room for the word over the best column
    let chart = BallChart { area, x: (from, until), y: (0.0, 1.16 * most) };
    chart.grid(sketch);
    let half = 0.5 * COLUMN_SHARE * apart;
    for hour in &site.hours {
        let mut under = 0.0;
        for part in BallPenaltyPart::ALL {
            let over = under + found.weights.weighed(&hour.parts, part);
            let ([left, bottom], [right, top]) =
                (chart.px(hours(hour) - half, under), chart.px(hours(hour) + half, over));
            under = over;
            if bottom - top < 0.5 {
                continue;
            }
            let piece = PxBox { left, top, right, bottom };
            let (colour, letter, _) = sign(part);
            sketch.fill(piece.ring(), colour);
            let lettering = Lettering::of(23.0).bold().align(Align::Middle).colour(ink_on(part));
            if piece.height() > 24.0 && piece.width() > lettering.width(letter) + 4.0 {
                sketch.text(letter, piece.middle(), lettering);
            }
        }
    }
    if let Some(best) = site.ranked().first().and_then(|i| site.hours.get(*i)) {
        let [at, y] = chart.px(hours(best), best.penalty);
        let text = format!("best {}", best.at.format("%H:%M"));
        let lettering = Lettering::of(24.0).bold();
        let width = lettering.width(&text) + 20.0;
        let x = at.clamp(area.left + 0.5 * width + 4.0, area.right - 0.5 * width - 4.0);
        let plate = PxBox::around([x, area.top + 30.0], width, 36.0);
        sketch.stroke([[at, plate.bottom], [at, y - 4.0]], 3, INK);
        sketch.tag(&text, plate, lettering);
    }
    let penalty = |v: f64| format!("{v:.1}");
    let title = "Penalty by the hour, with the score breakdown (the lower the better)";
    chart.axes(sketch, title, ("local time", &clock), &penalty);
    area.bottom + UNDER
}

/// A colour for each shot; the first five differ, further ones repeat them.
fn colour(shot: usize) -> plotters::style::RGBColor {
    [BLUE, VERMILLION, BLUISH_GREEN, REDDISH_PURPLE, ORANGE][shot % 5]
}

fn lines(
    sketch: &mut Sketch,
    site: &SiteHours,
    top: f64,
    (title, unit): (&str, &dyn Fn(f64) -> String),
    value: &dyn Fn(&ShotScore) -> Option<f64>,
    level: Option<f64>,
) -> f64 {
    let (from, until, _) = span(site);
    let all = site.hours.iter().flat_map(|h| h.shots.iter().filter_map(value));
    let most = all.chain(level).fold(1.0, f64::max);
    let area = PxBox { left: LEFT, top, right: RIGHT, bottom: top + LINES_PX };
    let chart = BallChart { area, x: (from, until), y: (0.0, 1.12 * most) };
    chart.grid(sketch);
    if let Some(level) = level {
        let ends = [chart.px(from, level), chart.px(until, level)];
        dashes(&ends, 22.0, 14.0).into_iter().for_each(|dash| sketch.stroke(dash, 4, INK));
    }
    let count = site.hours.first().map_or(0, |h| h.shots.len());
    for shot in 0..count {
        let mut line: Vec<Px> = Vec::new();
        for hour in &site.hours {
            match hour.shots.get(shot).and_then(value) {
                Some(v) => line.push(chart.px(hours(hour), v)),
                None => sketch.stroke(std::mem::take(&mut line), 5, colour(shot)),
            }
        }
        let marks = line.clone();
        sketch.stroke(line, 5, colour(shot));
        for at in marks {
            mark(sketch, at, shot);
        }
    }
    chart.axes(sketch, title, ("local time", &clock), unit);
    area.bottom + UNDER
}

/// A disc for the first shot, a square for the second, and so on in turn.
fn mark(sketch: &mut Sketch, at: Px, shot: usize) {
    match shot % 2 {
        0 => sketch.disc(at, 8.0, colour(shot)),
        _ => sketch.fill(PxBox::around(at, 15.0, 15.0).ring(), colour(shot)),
    }
}

fn shots(sketch: &mut Sketch, found: &Comparison, top: f64) -> f64 {
    let text = Lettering::of(24.0);
    let entries: Vec<LegendEntry<'_>> = found
        .shots
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let name = fitted(name, 420.0, 24.0, Weight::Regular);
            LegendEntry::new(name, move |sketch, plate| {
                let [middle, y] = plate.middle();
                sketch.stroke(vec![[plate.left, y], [plate.right, y]], 5, colour(i));
                mark(sketch, [middle, y], i);
            })
        })
        .collect();
    let legend = Legend { left: MARGIN, right: RIGHT, sample: [64.0, 28.0], row: 44.0, text };
    let y = legend.draw(sketch, top - 6.0, &entries) + 22.0;
    let most = format!("rates over {MAX_RATE:.0} stops/s are drawn as that");
    sketch.text(most, [MARGIN, y], text.colour(MUTED));
    y + 26.0
}
