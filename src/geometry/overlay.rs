//! Polygon overlay on an integer grid that stays the same for a venue.
//!
//! In: rings in field axes (metres along, metres across). Out: rings in the
//! same axes and areas in m2.
//!
//! Floating-point overlays choose their grid from each input, so the same
//! corner rounds differently from one instant to the next and touching edges
//! stop touching; area is then lost without a word. Here the grid belongs to
//! the field: equal coordinates stay equal at every instant, coincident edges
//! cancel exactly, and areas are summed in integers.

use geo::{Coord, LineString, MultiPolygon, Polygon};
use glam::DVec2;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::{Precision, Solver};
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::{IntContour, IntShapes};

use crate::base::frame::{FieldFrame, FieldPoint};

/// Bits for half of the field's extent: leaves room for sums and differences
/// of coordinates in 32 bits.
const HALF_EXTENT_BITS: i32 = 28;

/// The grid: field axes in metres to integers and back.
#[derive(Debug, Clone, Copy)]
pub(super) struct OverlayGrid {
    centre: [f64; 2],
    per_metre: f64,
    frame: FieldFrame,
}

impl OverlayGrid {
    /// A grid fine enough to use the integer range over a box in field axes.
    pub fn over(min: [f64; 2], max: [f64; 2], frame: FieldFrame) -> Self {
        let half = (0.5 * (max[0] - min[0]).max(max[1] - min[1])).max(1e-3);
        // a power of two, so that scaling does not round
        let exponent = HALF_EXTENT_BITS - half.log2().ceil() as i32;
        Self {
            centre: [0.5 * (min[0] + max[0]), 0.5 * (min[1] + max[1])],
            per_metre: f64::from(exponent).exp2(),
            frame,
        }
    }

    /// Nearest grid point.
    pub fn snap(&self, p: [f64; 2]) -> IntPoint {
        IntPoint {
            x: ((p[0] - self.centre[0]) * self.per_metre).round() as i32,
            y: ((p[1] - self.centre[1]) * self.per_metre).round() as i32,
        }
    }

    /// Back to field axes.
    pub fn axes(&self, p: IntPoint) -> [f64; 2] {
        [
            f64::from(p.x) / self.per_metre + self.centre[0],
            f64::from(p.y) / self.per_metre + self.centre[1],
        ]
    }

    /// Size of a grid cell, metres.
    pub fn cell_m(&self) -> f64 {
        1.0 / self.per_metre
    }

    /// Back to the local frame (x east, y north).
    pub fn coord(&self, p: IntPoint) -> Coord<f64> {
        let [along_m, across_m] = self.axes(p);
        let local = self.frame.to_local(FieldPoint::on_ground(along_m, across_m));
        Coord { x: local.x, y: local.y }
    }

    /// Area of shapes, m2, holes subtracted.
    pub fn area_m2(&self, shapes: &[Vec<IntContour>]) -> f64 {
        let twice: i128 = shapes.iter().flatten().map(|ring| twice_area(ring)).sum();
        twice as f64 * 0.5 / (self.per_metre * self.per_metre)
    }

    /// Shapes as polygons in the local frame.
    pub fn polygons(&self, shapes: &[Vec<IntContour>]) -> MultiPolygon<f64> {
        let ring = |contour: &IntContour| -> LineString<f64> {
            let mut coords = Vec::with_capacity(contour.len() + 1);
            coords.extend(contour.iter().map(|&p| self.coord(p)));
            coords.extend(coords.first().copied());
            LineString(coords)
        };
        let polygon = |shape: &Vec<IntContour>| {
            let (outer, holes) = shape.split_first()?;
            Some(Polygon::new(ring(outer), holes.iter().map(ring).collect()))
        };
        MultiPolygon(shapes.iter().filter_map(polygon).collect())
    }
}

/// Twice the signed area of a ring in grid cells; coordinates have at most 30 bits, so
/// the difference of two products fits 64. Their sum need not: one ring may run many
/// times around the box, under a pile of equal sheets.
fn twice_area(ring: &[IntPoint]) -> i128 {
    let Some(&last) = ring.last() else { return 0 };
    let mut previous = last;
    let mut sum = 0_i128;
    for &p in ring {
        let twice = i64::from(previous.x) * i64::from(p.y) - i64::from(p.x) * i64::from(previous.y);
        sum += i128::from(twice);
        previous = p;
    }
    sum
}

/// Whether a ring is nowhere much wider than some cells.
pub(super) fn is_sliver(ring: &[IntPoint], width: f64) -> bool {
    let side = |(a, b): (&IntPoint, &IntPoint)| f64::from(a.x - b.x).hypot(f64::from(a.y - b.y));
    let length: f64 = ring.iter().zip(ring.iter().cycle().skip(1)).map(side).sum();
    (twice_area(ring) as f64).abs() < width * length
}

/// Takes out of shapes what is no wider than some cells: rings, and where a ring goes there and
/// back. Areas change by less than their rings' length in that width.
pub(super) fn without_hairs(shapes: &mut IntShapes, width: f64) {
    let is_there = |ring: &IntContour| ring.len() > 2 && !is_sliver(ring, width);
    shapes.iter_mut().flatten().for_each(|ring| cut_hairs(ring, width));
    shapes.retain(|shape| shape.first().is_some_and(is_there));
    shapes.iter_mut().for_each(|shape| shape.retain(is_there));
}

fn cut_hairs(ring: &mut IntContour, width: f64) {
    let way = |a: IntPoint, b: IntPoint| DVec2::new(f64::from(b.x - a.x), f64::from(b.y - a.y));
    let is_tip = |a: IntPoint, b: IntPoint, c: IntPoint| {
        let (there, back) = (way(a, b), way(b, c));
        let longer = there.length().max(back.length());
        there.dot(back) < 0.0 && there.perp_dot(back).abs() < width * longer
    };
    let mut unchanged = 0;
    while unchanged < 2 && ring.len() > 2 {
        let mut kept: IntContour = Vec::with_capacity(ring.len());
        for p in ring.iter() {
            while let [.., a, b] = kept[..]
                && is_tip(a, b, *p)
            {
                kept.pop();
            }
            kept.push(*p);
        }
        unchanged = if kept.len() == ring.len() { unchanged + 1 } else { 0 };
        // the next round begins elsewhere
        let turn = kept.len() / 2;
        kept.rotate_left(turn);
        *ring = kept;
    }
}

/// Closed loops on the grid, one after the other in one buffer, each with the number of
/// what throws it. The loops of one thing enclose its shadow; those of another never take
/// any of it away.
#[derive(Debug, Clone, Default)]
pub(super) struct Loops {
    points: Vec<IntPoint>,
    ends: Vec<usize>,
    things: Vec<u32>,
}

impl Loops {
    pub fn clear(&mut self) {
        self.points.clear();
        self.ends.clear();
        self.things.clear();
    }

    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// Puts a loop of a thing on the grid.
    pub fn push(&mut self, grid: &OverlayGrid, thing: u32, ring: &[[f64; 2]]) {
        self.points.extend(ring.iter().map(|&p| grid.snap(p)));
        self.ends.push(self.points.len());
        self.things.push(thing);
    }

    /// How many loops.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// What throws each loop.
    pub fn things(&self) -> &[u32] {
        &self.things
    }

    /// A loop by its number.
    pub fn get(&self, index: usize) -> &[IntPoint] {
        let start = index.checked_sub(1).and_then(|before| self.ends.get(before)).copied();
        let end = self.ends.get(index).copied().unwrap_or(0);
        self.points.get(start.unwrap_or(0)..end).unwrap_or_default()
    }

    /// Each loop.
    pub fn iter(&self) -> impl Iterator<Item = &[IntPoint]> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(start, &end)| &self.points[start..end])
    }

    /// Area weighed with the winding number, m2: a place under two counts twice.
    pub fn wound_area_m2(&self, grid: &OverlayGrid) -> f64 {
        let twice: i128 = self.iter().map(twice_area).sum();
        twice as f64 * 0.5 / (grid.per_metre * grid.per_metre)
    }

    /// Area of the box around all loops, m2.
    pub fn box_area_m2(&self, grid: &OverlayGrid) -> f64 {
        let start = IntPoint::new(i32::MAX, i32::MAX);
        let end = IntPoint::new(i32::MIN, i32::MIN);
        let (low, high) = self.points.iter().fold((start, end), |(low, high), p| {
            let low = IntPoint::new(low.x.min(p.x), low.y.min(p.y));
            (low, IntPoint::new(high.x.max(p.x), high.y.max(p.y)))
        });
        let side = |low: i32, high: i32| (f64::from(high) - f64::from(low)) / grid.per_metre;
        if self.points.is_empty() { 0.0 } else { side(low.x, high.x) * side(low.y, high.y) }
    }

    /// At least the length of all loops, m: both legs of each side, which is at most a
    /// half more.
    pub fn length_m(&self, grid: &OverlayGrid) -> f64 {
        let side = |a: &IntPoint, b: &IntPoint| f64::from((a.x - b.x).abs() + (a.y - b.y).abs());
        let length = |ring: &[IntPoint]| -> f64 {
            ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| side(a, b)).sum()
        };
        self.iter().map(length).sum::<f64>() / grid.per_metre
    }
}

/// An overlay whose buffers are kept between instants.
pub(super) struct OverlayBuffers {
    overlay: Overlay,
}

impl Default for OverlayBuffers {
    fn default() -> Self {
        // the finest tolerance that still ends: it starts at one cell and doubles
        // from pass to pass; without the doubling two passes can undo each other
        // for ever
        let solver = Solver { precision: Precision::HIGH, ..Solver::default() };
        Self { overlay: Overlay::new_custom(256, IntOverlayOptions::default(), solver) }
    }
}

/// Which operand a ring belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Operand {
    First,
    Second,
}

impl OverlayBuffers {
    /// Forgets all rings.
    pub fn clear(&mut self) -> &mut Self {
        self.overlay.clear();
        self
    }

    /// Adds one ring, anticlockwise for area, clockwise for a hole.
    pub fn add(&mut self, ring: &[IntPoint], operand: Operand) -> &mut Self {
        let side = match operand {
            Operand::First => ShapeType::Subject,
            Operand::Second => ShapeType::Clip,
        };
        self.overlay.add_contour(ring, side);
        self
    }

    /// Adds all loops.
    pub fn add_loops(&mut self, loops: &Loops, operand: Operand) -> &mut Self {
        for ring in loops.iter() {
            self.add(ring, operand);
        }
        self
    }

    /// Adds whole shapes.
    pub fn add_shapes(&mut self, shapes: &[Vec<IntContour>], operand: Operand) -> &mut Self {
        for ring in shapes.iter().flatten() {
            self.add(ring, operand);
        }
        self
    }

    /// One operation over what has been added; the rings are used up.
    pub fn shapes(&mut self, rule: OverlayRule) -> IntShapes {
        self.overlay.overlay(rule, FillRule::NonZero)
    }

    /// Where anticlockwise rings outnumber clockwise ones.
    pub fn positive(&mut self) -> IntShapes {
        self.overlay.overlay(OverlayRule::Subject, FillRule::Positive)
    }

    /// Several operations over the same rings, which are split only once.
    pub fn several<const N: usize>(&mut self, rules: [OverlayRule; N]) -> [IntShapes; N] {
        let mut buffer = self.overlay.boolean_buffer.take().unwrap_or_default();
        let result = match self.overlay.build_graph_view(FillRule::NonZero) {
            Some(graph) => rules.map(|rule| graph.extract_shapes(rule, &mut buffer)),
            None => rules.map(|_| Vec::new()),
        };
        self.overlay.boolean_buffer = Some(buffer);
        result
    }
}
