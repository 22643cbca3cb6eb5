//! Light on the turf, place by place, at one time: soft edges and all.
//!
//! In: a [`Prepared`] venue, a time, sky and air, a point of reference. Out: a
//! [`LightMap`]: illuminance of the turf on a grid along the field's own axes, and
//! the profile across the edge nearest to the point of reference, in stops against
//! metres.
//!
//! The sun is a disc of 0.533 degree. Its shadow is cast from evenly spread points
//! of the disc and the shares of direct light are averaged, so penumbras come out
//! of the geometry itself, through translucent roofs as well. Of models with many
//! triangles rays to the same points say it, which do not cost more for more of them. The
//! disc is taken as evenly bright.

mod soft_shadow;

use chrono::DateTime;
use chrono_tz::Tz;
use geo::{Contains, Coord, Point, Polygon};
use glam::DVec3;
use rayon::prelude::*;

use crate::base::frame::FieldPoint;
use crate::base::plane::nearest_on;
use crate::base::units::Stops;
use crate::engine::Prepared;
use crate::geometry::{OverlayScratch, Shadow, edge_of};
use crate::light::{Air, FloodlightLight, FloodlightState, SceneLight, Sky, Tristimulus};
use crate::solar;
use crate::solar::{Sun, SunState};

use soft_shadow::SoftShadow;

/// Points of the sun's disc that cast shadows: for a map, in steps of 2 % of the
/// direct light across a penumbra, and for a profile.
const SUN_POINTS: usize = 48;
const PROFILE_SUN_POINTS: usize = 600;
/// Finest spacing of a map, metres, and about how many places it has on the field of play.
const FINEST_M: f64 = 0.1;
const PLACES: f64 = 7200.0;
/// A profile reaches this many times half the penumbra to either side of the edge,
/// and at least so far, metres.
const PROFILE_REACH: f64 = 2.0;
const MIN_REACH_M: f64 = 0.5;
/// A cell is no new one for less of its width than this.
const ROUNDING: f64 = 1e-6;
/// An edge with a penumbra under this is the foot of what throws it, metres.
const SHARP_M: f64 = 0.002;
/// Points of a profile.
const PROFILE_POINTS: usize = 81;

/// The point that stops count from.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferencePoint {
    pub name: String,
    pub at: Coord<f64>,
}

/// Illuminance of all of the ground that is planned.
#[derive(Debug, Clone)]
pub struct LightMap {
    pub at: DateTime<Tz>,
    pub sun: Sun,
    pub sun_state: SunState,
    pub sky: Sky,
    pub air: Air,
    pub floodlight: FloodlightState,
    pub reference: ReferencePoint,
    /// On the turf at the point of reference, lx.
    pub reference_light: Tristimulus,
    pub grid: MapGrid,
    /// At each node of the grid, lx; `None` outside of the ground that is planned.
    pub light: Vec<Option<Tristimulus>>,
    /// Across the edge nearest to the point of reference; `None` without an edge.
    pub profile: Option<EdgeProfile>,
}

impl LightMap {
    /// Stops over the point of reference at a node; `None` outside of the ground that is
    /// planned and in darkness.
    pub fn stops(&self, node: usize) -> Option<Stops> {
        stops_over(self.light.get(node).copied().flatten()?, self.reference_light)
    }
}

fn stops_over(light: Tristimulus, reference: Tristimulus) -> Option<Stops> {
    let lit = light.lux() > 0.0 && reference.lux() > 0.0;
    lit.then(|| Stops::from_stops((light.lux() / reference.lux()).log2()))
}

/// A grid along the field's axes, metres from the centre of play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapGrid {
    /// The first node.
    pub along_from_m: f64,
    pub across_from_m: f64,
    /// Between nodes, both ways.
    pub spacing_m: f64,
    /// Nodes along; node `i` is the `i % along`th along and the `i / along`th
    /// across.
    pub along: usize,
    pub across: usize,
}

impl MapGrid {
    /// Where a node is in field axes.
    pub fn node(&self, node: usize) -> FieldPoint {
        let step = |i: usize| i as f64 * self.spacing_m;
        FieldPoint::on_ground(
            self.along_from_m + step(node % self.along),
            self.across_from_m + step(node / self.along),
        )
    }

    /// Nodes in all.
    pub fn count(&self) -> usize {
        self.along * self.across
    }
}

/// Light on the turf on a straight line across an edge.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeProfile {
    /// Where it crosses the edge, local frame (x east, y north), metres.
    pub at: Coord<f64>,
    /// Full width of the penumbra there, metres.
    pub penumbra_m: f64,
    /// From shade to sun.
    pub points: Vec<ProfilePoint>,
}

/// One point of a profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfilePoint {
    /// From the edge, positive into the sun, metres.
    pub metres: f64,
    /// Share of the direct light that arrives, 0 to 1.
    pub transmission: f64,
    /// On the turf, lx.
    pub light: Tristimulus,
    /// Over the light at the sunlit end.
    pub stops: Stops,
}

/// A place on an edge.
struct EdgePiece {
    at: Coord<f64>,
    along: Coord<f64>,
    penumbra_m: f64,
}

/// Light at one time, ready to be asked for any place.
struct Now {
    light: SceneLight,
    soft: SoftShadow,
    toward_sun: DVec3,
}

impl Prepared<'_> {
    /// The point of reference of a name: a mark of the field, the centre of play
    /// where none is named. `None` for a name that no mark has.
    pub fn reference(&self, name: Option<&str>) -> Option<ReferencePoint> {
        let marks = &self.venue.field.marks;
        let mark = match name {
            Some(name) => Some(marks.iter().find(|m| m.name == name)?),
            None => marks.iter().find(|m| m.at.x.hypot(m.at.y) < 0.5),
        };
        Some(mark.map_or_else(
            || ReferencePoint { name: "centre of play".into(), at: Coord { x: 0.0, y: 0.0 } },
            |mark| ReferencePoint { name: mark.name.clone(), at: mark.at },
        ))
    }

    /// Light on the turf at a time, in places `spacing_m` apart; at a spacing that
    /// suits the field where none is stated.
    pub fn light_map(
        &self,
        at: DateTime<Tz>,
        sky: Sky,
        air: &Air,
        reference: ReferencePoint,
        spacing_m: Option<f64>,
    ) -> LightMap {
        let this = self.at(at);
        let place = &this.venue.place;
        let sun = solar::position(place, at.with_timezone(&chrono::Utc));
        let sun_state = solar::state(&sun, &this.venue.horizon);
        let sky_light = this.sky_light(at, (&sun, sun_state), sky, air);
        let lit = sky_light.daylight.direct_normal.lux() > 0.0;
        let soft = this.soft_shadow(&sun, if lit { SUN_POINTS } else { 0 });
        let hard = match lit {
            true => this.turf.ground.cast(sun.toward(), &mut OverlayScratch::default()),
            false => this.turf.ground.darkness(),
        };
        let floodlights = this.venue.floodlights.as_ref();
        let floodlight = FloodlightState::at(floodlights, at, &sky_light.daylight);
        let light = this
            .lit
            .scene
            .at(&sky_light, &hard)
            .with_floodlight(FloodlightLight::of(floodlights, floodlight));
        let mut now = Now { light, soft, toward_sun: sun.toward() };
        let grid = this.grid(spacing_m);
        let (reference_light, light) =
            (this.light_at(&now, reference.at).1, this.over(&grid, &now));
        let edge = if lit { this.nearest_edge(&hard, &sun, reference.at) } else { None };
        let profile = edge.and_then(|edge| {
            now.soft = this.soft_shadow(&sun, PROFILE_SUN_POINTS);
            this.profile(&now, &edge)
        });
        LightMap {
            at,
            sun,
            sun_state,
            sky,
            air: *air,
            floodlight,
            reference,
            reference_light,
            grid,
            light,
            profile,
        }
    }

    fn grid(&self, spacing_m: Option<f64>) -> MapGrid {
        let frame = self.venue.field.frame;
        let range = |area: &Polygon<f64>, of: fn(&FieldPoint) -> f64| {
            let corners = area.exterior().0.iter();
            let values = corners.map(|c| of(&frame.to_field(DVec3::new(c.x, c.y, 0.0))));
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)))
        };
        let field = &self.venue.field;
        let extent = |area| (range(area, |p| p.along_m), range(area, |p| p.across_m));
        let length = |range: (f64, f64)| range.1 - range.0;
        let (along, across) = extent(&field.outline);
        let usual = (length(along) * length(across) / PLACES).sqrt();
        let spacing_m = spacing_m.unwrap_or(usual).max(FINEST_M);
        let (along, across) = extent(&field.surrounds);
        let (length, width) = (length(along), length(across));
        // nodes lie in the middle of cells that cover the ground
        let count = |length: f64| (length / spacing_m - ROUNDING).ceil().max(1.0) as usize;
        let (n, m) = (count(length), count(width));
        let from = |range: (f64, f64), n: usize| {
            0.5 * (range.0 + range.1) - 0.5 * (n - 1) as f64 * spacing_m
        };
        MapGrid {
            along_from_m: from(along, n),
            across_from_m: from(across, m),
            spacing_m,
            along: n,
            across: m,
        }
    }

    fn over(&self, grid: &MapGrid, now: &Now) -> Vec<Option<Tristimulus>> {
        let outline = &self.venue.field.surrounds;
        let frame = self.venue.field.frame;
        let node = |i: usize| {
            let at = frame.to_local(grid.node(i));
            let at = Coord { x: at.x, y: at.y };
            outline.contains(&Point(at)).then(|| self.light_at(now, at).1)
        };
        (0..grid.count()).into_par_iter().map(node).collect()
    }

    /// Share of the direct light, and all light, on the turf at a place.
    fn light_at(&self, now: &Now, at: Coord<f64>) -> (f64, Tristimulus) {
        let transmission = now.soft.transmission_at(at);
        let incident = transmission * self.lit.scene.incidence(at, now.toward_sun);
        (transmission, now.light.on_turf(&self.lit.scene.places().weights(at), incident))
    }

    /// The piece of edge nearest to a place.
    fn nearest_edge(&self, hard: &Shadow, sun: &Sun, near: Coord<f64>) -> Option<EdgePiece> {
        let ground = &self.turf.ground;
        let edge = edge_of(ground, hard, sun, ground.ends_at());
        // the line where a stand meets the ground is none between sun and shade
        let open = |piece: &EdgePiece| {
            piece.penumbra_m > SHARP_M && self.venue.field.surrounds.contains(&Point(piece.at))
        };
        let crossing = edge
            .iter()
            .flat_map(|e| e.line.0.windows(2).zip(&e.penumbra_m))
            .filter_map(|(w, penumbra)| Some((w[0], w[1], (*penumbra)?)))
            .map(|(a, b, penumbra_m)| EdgePiece {
                at: nearest_on(a, b, near),
                along: b - a,
                penumbra_m,
            });
        crossing.filter(open).min_by(|x, y| distance(x.at, near).total_cmp(&distance(y.at, near)))
    }

    fn profile(
        &self,
        now: &Now,
        &EdgePiece { at, along, penumbra_m }: &EdgePiece,
    ) -> Option<EdgeProfile> {
        let length = along.x.hypot(along.y);
        let across = Coord { x: -along.y / length, y: along.x / length };
        let reach = (0.5 * PROFILE_REACH * penumbra_m).max(MIN_REACH_M);
        let place = |d: f64| Coord { x: at.x + d * across.x, y: at.y + d * across.y };
        let (ahead, behind) =
            (now.soft.transmission_at(place(reach)), now.soft.transmission_at(place(-reach)));
        let sunward = if ahead >= behind { 1.0 } else { -1.0 };
        let point = |i: usize| {
            let metres = reach * (2.0 * i as f64 / (PROFILE_POINTS - 1) as f64 - 1.0);
            let (transmission, light) = self.light_at(now, place(sunward * metres));
            (metres, transmission, light)
        };
        let sampled: Vec<(f64, f64, Tristimulus)> = (0..PROFILE_POINTS).map(point).collect();
        let sunlit = sampled.last()?.2;
        let points = sampled.into_iter().filter_map(|(metres, transmission, light)| {
            let stops = stops_over(light, sunlit)?;
            Some(ProfilePoint { metres, transmission, light, stops })
        });
        Some(EdgeProfile { at, penumbra_m, points: points.collect() })
    }
}

fn distance(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}
