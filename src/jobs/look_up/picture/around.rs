//! What stands around, as filled shapes.
//!
//! In: the runs of what is seen in each azimuth. Out: marks. Runs of one thing in
//! neighbouring azimuths are joined to strips; where a run parts or two join, one strip
//! ends and others begin. So nothing has holes, and sky under a roof stays sky.

use plotters::style::RGBColor;

use crate::engine::{ElevationSpan, SeenInDirection};
use crate::geometry::PANORAMA_STEP_DEG;
use crate::jobs::look_up::LookUp;
use crate::output::draw::clip;
use crate::output::draw::palette::{BLUISH_GREEN, ORANGE};
use crate::output::draw::sketch::{Px, Sketch};
use crate::venue::{OccluderKind, Venue};

use super::chart::SkyChart;

pub(super) const SKY: RGBColor = RGBColor(239, 245, 250);
pub(super) const LAND: RGBColor = RGBColor(196, 188, 172);
pub(super) const OPAQUE: RGBColor = RGBColor(178, 183, 190);
pub(super) const DIMMED: RGBColor = RGBColor(251, 241, 214);
pub(super) const LEAVES: RGBColor = RGBColor(205, 228, 205);
/// Around opaque things.
pub(super) const RIM: RGBColor = RGBColor(84, 90, 99);
pub(super) const HATCH_PX: f64 = 13.0;

/// A thing over neighbouring azimuths.
pub(super) struct Strip {
    pub seen: SeenInDirection,
    /// First column of the chart, counted from its left border.
    first: usize,
    runs: Vec<ElevationSpan>,
    /// Whether the thing goes on beyond the ends in other strips.
    joined: [bool; 2],
}

/// The columns of a chart from its left to its right border: degrees from the middle
/// and the runs there.
pub(super) fn columns<'l>(look: &'l LookUp, chart: &SkyChart) -> Vec<(f64, &'l [ElevationSpan])> {
    let count = look.runs.len();
    let half = (chart.half_deg / PANORAMA_STEP_DEG).ceil() as i64;
    let half = half.min(count as i64 / 2);
    // the column whose left border is the middle of the chart
    let middle = (chart.centre_deg / PANORAMA_STEP_DEG).round() as i64;
    let column = |i: i64| {
        let index = (middle + i).rem_euclid(count.max(1) as i64) as usize;
        let turn = (i as f64 + 0.5) * PANORAMA_STEP_DEG;
        Some((turn, look.runs.get(index)?.as_slice()))
    };
    (-half..half).filter_map(column).collect()
}

/// Strips of all that is not sky.
pub(super) fn strips(columns: &[(f64, &[ElevationSpan])]) -> Vec<Strip> {
    let mut done: Vec<Strip> = Vec::new();
    let mut open: Vec<Strip> = Vec::new();
    for (index, (_, runs)) in columns.iter().enumerate() {
        let runs: Vec<ElevationSpan> =
            runs.iter().copied().filter(|run| run.seen != SeenInDirection::Sky).collect();
        let meets = |strip: &Strip, run: &ElevationSpan| {
            let last = strip.runs.last();
            strip.seen == run.seen && last.is_some_and(|l| l.from < run.until && run.from < l.until)
        };
        let mut next: Vec<Strip> = Vec::new();
        for run in &runs {
            let before = open.iter().filter(|strip| meets(strip, run)).count();
            let alone = open.iter().position(|strip| {
                meets(strip, run) && runs.iter().filter(|r| meets(strip, r)).count() == 1
            });
            match alone.filter(|_| before == 1) {
                Some(position) => {
                    let mut strip = open.swap_remove(position);
                    strip.runs.push(*run);
                    next.push(strip);
                }
                None => next.push(Strip {
                    seen: run.seen,
                    first: index,
                    runs: vec![*run],
                    joined: [before > 0, false],
                }),
            }
        }
        for mut strip in open {
            strip.joined[1] = runs.iter().any(|run| meets(&strip, run));
            done.push(strip);
        }
        open = next;
    }
    done.extend(open);
    done
}

impl Strip {
    /// Upper and lower limit, left to right.
    pub fn limits(&self, chart: &SkyChart, columns: &[(f64, &[ElevationSpan])]) -> [Vec<Px>; 2] {
        let half = 0.5 * PANORAMA_STEP_DEG;
        let turn = |i: usize| columns.get(self.first + i).map_or(0.0, |(turn, _)| *turn);
        let line = |limit: fn(&ElevationSpan) -> f64| {
            let last = self.runs.len().saturating_sub(1);
            let ends = [(0, -half), (last, half)].map(|(i, by)| (turn(i) + by, i));
            let middles = (0..=last).map(|i| (turn(i), i));
            let all = std::iter::once(ends[0]).chain(middles).chain([ends[1]]);
            let at = |(turn, i): (f64, usize)| Some(chart.px(turn, limit(self.runs.get(i)?)));
            all.filter_map(at).collect::<Vec<Px>>()
        };
        [line(|run| run.until.degrees()), line(|run| run.from.degrees())]
    }
}

/// Draws everything but the sky's own colour; gives the lines around things.
pub(super) fn draw(
    sketch: &mut Sketch,
    venue: &Venue,
    chart: &SkyChart,
    columns: &[(f64, &[ElevationSpan])],
) -> Vec<Vec<Px>> {
    let mut rims = Vec::new();
    let strips = strips(columns);
    for strip in &strips {
        let [upper, lower] = strip.limits(chart, columns);
        let ring: Vec<Px> = upper.iter().chain(lower.iter().rev()).copied().collect();
        let ring = clip::ring_in(&ring, &chart.area);
        if ring.len() < 3 {
            continue;
        }
        let (fill, hatch) = look(strip.seen, venue);
        sketch.fill(ring.clone(), fill);
        if let Some(colour) = hatch {
            for stroke in clip::hatching(&[ring], HATCH_PX) {
                sketch.stroke(stroke, 1, colour);
            }
        }
    }
    for strip in &strips {
        let [upper, lower] = strip.limits(chart, columns);
        let (pen, colour) = match strip.seen {
            SeenInDirection::Opaque { .. } => (3, RIM),
            _ => (1, RIM),
        };
        let end = |i: usize, joined: bool| {
            let pair =
                if i == 0 { [upper.first(), lower.first()] } else { [upper.last(), lower.last()] };
            match (joined, pair) {
                (false, [Some(a), Some(b)]) => vec![*a, *b],
                _ => Vec::new(),
            }
        };
        let ends = [end(0, strip.joined[0]), end(1, strip.joined[1])];
        for line in [upper.clone(), lower.clone()].into_iter().chain(ends) {
            for piece in clip::line_in(&line, &chart.area) {
                sketch.stroke(piece.clone(), pen, colour);
                rims.push(piece);
            }
        }
    }
    rims
}

/// Fill and hatching.
pub(super) fn look(seen: SeenInDirection, venue: &Venue) -> (RGBColor, Option<RGBColor>) {
    match seen {
        SeenInDirection::Sky => (SKY, None),
        SeenInDirection::Land => (LAND, None),
        SeenInDirection::Opaque { .. } => (OPAQUE, None),
        SeenInDirection::Dimmed { by } if is_tree(venue, by) => (LEAVES, Some(BLUISH_GREEN)),
        SeenInDirection::Dimmed { .. } => (DIMMED, Some(ORANGE)),
    }
}

pub(super) fn is_tree(venue: &Venue, thing: usize) -> bool {
    venue.occluders.get(thing).is_some_and(|o| o.kind == OccluderKind::Tree)
}
