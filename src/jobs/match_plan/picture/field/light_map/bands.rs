//! Bands of equal stops and their scale: each is as far under as over its number.
//!
//! Colours run from dark to bright in the map "cividis", made for colour-blind
//! readers (Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018), as approximated by
//! crate `colorous`. Lightness rises with the light, so bands keep their order in
//! grey print.

use contour::ContourBuilder;
use geo::{BooleanOps, Coord, LineString, MapCoords, MultiPolygon, Polygon};
use glam::DVec3;
use plotters::style::RGBColor;

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::jobs::match_plan::picture::field::layout::PlanView;
use crate::jobs::match_plan::{LightMap, MapGrid};
use crate::output::draw::clip;
use crate::output::draw::palette::{INK, MUTED};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::error::RenderError;
use crate::venue::Field;

use super::words;

/// Widths of a band, stops: the finest that needs no more bands than these.
const STEPS: [f64; 5] = [0.25, 0.5, 1.0, 2.0, 4.0];
const MAX_BANDS: usize = 14;
const SWATCH_PX: f64 = 84.0;

/// Bands from the darkest to the brightest light of a map.
pub(crate) struct Bands {
    /// Lower limit of the darkest band, stops.
    from: f64,
    step: f64,
    count: usize,
}

impl Bands {
    /// `None` where the map holds no light.
    pub fn of(map: &LightMap) -> Option<Self> {
        let stops = (0..map.light.len()).filter_map(|node| map.stops(node)).map(|s| s.stops());
        let (low, high) = stops.fold(None, |range: Option<(f64, f64)>, v| {
            let (low, high) = range.unwrap_or((v, v));
            Some((low.min(v), high.max(v)))
        })?;
        let bands = |&step: &f64| {
            let from = step * ((low / step).round() - 0.5);
            Self { from, step, count: (((high - from) / step).floor() as usize) + 1 }
        };
        let fit = STEPS.iter().map(bands).find(|b| b.count <= MAX_BANDS);
        fit.or_else(|| STEPS.last().map(bands))
    }

    fn colour(&self, band: usize) -> RGBColor {
        let share = (band as f64 + 0.5) / self.count as f64;
        let c = colorous::CIVIDIS.eval_continuous(share);
        RGBColor(c.r, c.g, c.b)
    }

    /// Fills all of the ground that is planned with its bands.
    pub fn draw(
        &self,
        sketch: &mut Sketch,
        view: &PlanView,
        map: &LightMap,
        field: &Field,
    ) -> Result<(), RenderError> {
        let whole = Polygon::new(field.surrounds.exterior().clone(), Vec::new());
        sketch.fill(view.line(whole.exterior()), self.colour(0));
        let limits: Vec<f64> = (1..self.count).map(|i| self.from + i as f64 * self.step).collect();
        let levels = ContourBuilder::new(map.grid.along, map.grid.across, true)
            .contours(&filled(map, self.from), &limits)
            .map_err(RenderError::drawing)?;
        let outline = MultiPolygon(vec![whole]);
        let mut rings: Vec<(f64, Vec<Px>, RGBColor)> = Vec::new();
        for (i, level) in levels.iter().enumerate() {
            let region = placed(level.geometry(), &map.grid, field.frame).intersection(&outline);
            for polygon in &region {
                let outer = std::iter::once((polygon.exterior(), i + 1));
                let holes = polygon.interiors().iter().map(|ring| (ring, i));
                for (ring, band) in outer.chain(holes) {
                    rings.push(inside(view, ring, self.colour(band)));
                }
            }
        }
        // limits of one field only nest: drawn from large to small, each ring paints
        // its inside and a hole becomes the darker band again
        rings.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (_, ring, colour) in rings {
            sketch.fill(ring, colour);
        }
        Ok(())
    }

    /// Swatches with their stops and lx, brightest on top.
    pub fn scale(&self, sketch: &mut Sketch, map: &LightMap, surface: &str, area: &PxBox) {
        let title = format!("Light on the {surface}");
        sketch.text(title, [area.left, area.top + 14.0], Lettering::of(27.0).bold());
        let text = Lettering::of(25.0);
        let (stops_right, lux_right) = (area.left + SWATCH_PX + 120.0, area.right - 40.0);
        let heads = area.top + 56.0;
        let muted = text.colour(MUTED).align(Align::Right);
        sketch.text("stops", [stops_right, heads], muted);
        sketch.text("lx", [lux_right, heads], muted);
        let top = heads + 34.0;
        let row = ((area.bottom - top - 16.0) / self.count as f64).min(44.0);
        let swatch = |i: usize| PxBox {
            left: area.left,
            top: top + i as f64 * row,
            right: area.left + SWATCH_PX,
            bottom: top + (i as f64 + 1.0) * row,
        };
        for i in 0..self.count {
            sketch.fill(swatch(i).ring(), self.colour(self.count - 1 - i));
        }
        let bar = PxBox { bottom: swatch(self.count - 1).bottom, ..swatch(0) };
        sketch.outline(bar.ring(), 2, INK);
        // as many numbers as have room
        let every = (30.0 / row).ceil() as usize;
        for i in (0..self.count).step_by(every) {
            let y = swatch(i).middle()[1];
            let stops = self.from + ((self.count - i) as f64 - 0.5) * self.step;
            let lux = map.reference_light.lux() * stops.exp2();
            let right = text.align(Align::Right);
            sketch.text(words::stops_text(stops), [stops_right, y], right);
            sketch.text(words::lux_text(lux), [lux_right, y], right);
        }
    }
}

/// Values for every node; what lies outside of the ground has the value of the
/// nearest place in its row, else the lowest.
fn filled(map: &LightMap, lowest: f64) -> Vec<f64> {
    let along = map.grid.along;
    let own: Vec<Option<f64>> =
        (0..map.grid.count()).map(|node| map.stops(node).map(|s| s.stops())).collect();
    let near = |node: usize| -> f64 {
        let (row, column) = (node / along * along, node % along);
        let by_distance = (0..along)
            .filter_map(|c| own.get(row + c).copied().flatten().map(|v| (c.abs_diff(column), v)));
        by_distance.min_by_key(|(distance, _)| *distance).map_or(lowest, |(_, v)| v)
    };
    own.iter().enumerate().map(|(node, v)| v.unwrap_or_else(|| near(node))).collect()
}

/// From the grid of the contours, whose nodes are the middles of unit cells, to the
/// local frame.
fn placed(region: &MultiPolygon<f64>, grid: &MapGrid, frame: FieldFrame) -> MultiPolygon<f64> {
    region.map_coords(|c| {
        let point = FieldPoint::on_ground(
            grid.along_from_m + (c.x - 0.5) * grid.spacing_m,
            grid.across_from_m + (c.y - 0.5) * grid.spacing_m,
        );
        let p: DVec3 = frame.to_local(point);
        Coord { x: p.x, y: p.y }
    })
}

fn inside(view: &PlanView, ring: &LineString<f64>, colour: RGBColor) -> (f64, Vec<Px>, RGBColor) {
    let ring = view.line(ring);
    (clip::area(&ring), ring, colour)
}
