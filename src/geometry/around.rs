//! The bodies in each direction over the ground from one point, or from a few close together.
//!
//! In: obstacles, points and some directions over the ground, local frame, metres; then
//! rays from one of the points that go up or down over one of those directions. Out: what
//! each meets. Of the boxes around the bodies only those that a direction crosses are asked,
//! and of these only those whose range of elevations holds the ray: for a thousand rays from
//! one place that is cheaper than a walk down the tree of boxes for each.

use glam::{DVec2, DVec3};

use crate::geometry::obstacles::{Obstacles, RayHits, RayProgress};
use crate::geometry::ray::{RayHit, SKIN_M};

/// Boxes are taken to be so much larger all around, metres.
const MARGIN_M: f64 = 1e-6;
/// Sines of elevation may be off by this.
const MARGIN_SINE: f64 = 1e-9;

/// What stands around some points.
pub(super) struct NearbyObstacles<'a> {
    obstacles: &'a Obstacles,
    at: &'a [DVec3],
    /// The box around the points.
    from: [DVec3; 2],
    directions: &'a [DVec2],
    /// For each point, from it to each plane of all convex bodies along the plane's normal,
    /// metres: negative outside.
    gaps_m: Vec<f64>,
    /// Which of `found` stand in each direction; `None` until it is asked for.
    of_direction: Vec<Option<(usize, usize)>>,
    found: Vec<InTheWay>,
    /// Sides of the convex ones among them.
    sides: Vec<PlaneNormal>,
    sight: RayProgress,
}

/// How much of a plane's normal lies along a direction, and how much is upright.
#[derive(Clone, Copy)]
struct PlaneNormal {
    along: f64,
    up: f64,
}

/// A body whose box a direction crosses.
#[derive(Clone, Copy)]
struct InTheWay {
    obstacle: u32,
    /// To the box, over the ground.
    from_m: f64,
    /// Sines of the elevations between which the box lies in that direction.
    low: f64,
    high: f64,
    /// Its sides, from one to the next; none for what is not convex.
    sides: (u32, u32),
}

impl<'a> NearbyObstacles<'a> {
    /// Directions are unit vectors, none of them along an axis of the frame.
    pub fn new(obstacles: &'a Obstacles, at: &'a [DVec3], directions: &'a [DVec2]) -> Self {
        let planes = || obstacles.iter().flat_map(|obstacle| obstacle.planes());
        let gap_m = |at: &'a DVec3| planes().map(|(normal, offset)| offset - normal.dot(*at));
        Self {
            obstacles,
            at,
            from: [
                at.iter().copied().fold(DVec3::INFINITY, DVec3::min),
                at.iter().copied().fold(DVec3::NEG_INFINITY, DVec3::max),
            ],
            directions,
            gaps_m: at.iter().flat_map(gap_m).collect(),
            of_direction: vec![None; directions.len()],
            found: Vec::new(),
            sides: Vec::new(),
            sight: RayProgress::default(),
        }
    }

    /// What a ray from one of the points over one of the directions meets within a distance,
    /// metres. It goes so far over the ground and so far up, a metre in all.
    pub fn look(
        &mut self,
        (point, direction): (usize, usize),
        (over_ground, up): (f64, f64),
        within_m: f64,
    ) -> RayHits {
        let (from, to) = self.in_direction(direction);
        let toward = (self.directions[direction] * over_ground).extend(up);
        let gaps_m = &self.gaps_m[point * self.obstacles.planes()..];
        let mut ends_m = within_m;
        self.sight.clear();
        for one in &self.found[from..to] {
            if one.from_m > ends_m * over_ground + MARGIN_M {
                break;
            }
            if !(one.low..=one.high).contains(&up) {
                continue;
            }
            let index = one.obstacle as usize;
            let obstacle = &self.obstacles[index];
            let sides = &self.sides[one.sides.0 as usize..one.sides.1 as usize];
            let met = if sides.is_empty() {
                self.sight.ask(index, obstacle, (self.at[point], toward), within_m)
            } else {
                let gaps_m = &gaps_m[self.obstacles.first_plane(index)..];
                meet(sides, gaps_m, (over_ground, up)).and_then(|(distance_m, side)| {
                    let normal =
                        side.and_then(|i| obstacle.planes().get(i)).map_or(-toward, |p| p.0);
                    self.sight.take(
                        index,
                        (RayHit { distance_m, normal }, obstacle.passes(toward).share()),
                        within_m,
                    )
                })
            };
            if let Some(m) = met {
                ends_m = ends_m.min(m);
            }
        }
        self.sight.look()
    }

    /// What stands in a direction, nearest boxes first.
    fn in_direction(&mut self, direction: usize) -> (usize, usize) {
        if let Some(found) = self.of_direction[direction] {
            return found;
        }
        let start = self.found.len();
        let toward = self.directions[direction];
        let per_metre = toward.recip();
        for (obstacle, [low, high]) in self.obstacles.boxes().iter().enumerate() {
            // as it lies from any of the points
            let (low, high) = (*low - self.from[1] - MARGIN_M, *high - self.from[0] + MARGIN_M);
            // where a line over the ground enters and leaves the box
            let (a, b) = (low.truncate() * per_metre, high.truncate() * per_metre);
            let (near_m, far_m) = (a.min(b).max_element().max(0.0), a.max(b).min_element());
            if near_m <= far_m {
                let sine = |up_m: f64, m: f64| up_m / (up_m * up_m + m * m).sqrt();
                let highest = sine(high.z, if high.z > 0.0 { near_m } else { far_m });
                let lowest = sine(low.z, if low.z < 0.0 { near_m } else { far_m });
                let first = self.sides.len() as u32;
                let of = &self.obstacles[obstacle];
                let side = |normal: DVec3| PlaneNormal {
                    along: normal.truncate().dot(toward),
                    up: normal.z,
                };
                self.sides.extend(of.planes().iter().map(|(normal, _)| side(*normal)));
                self.found.push(InTheWay {
                    obstacle: obstacle as u32,
                    from_m: near_m,
                    low: lowest - MARGIN_SINE,
                    high: highest + MARGIN_SINE,
                    sides: (first, self.sides.len() as u32),
                });
            }
        }
        self.found[start..].sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        *self.of_direction[direction].insert((start, self.found.len()))
    }
}

/// Where a ray meets a convex body and by which side, as [`super::Obstacle::met`] has it; no
/// side for a ray from inside.
fn meet(
    sides: &[PlaneNormal],
    gaps_m: &[f64],
    (over_ground, up): (f64, f64),
) -> Option<(f64, Option<usize>)> {
    let (mut enter_m, mut leave_m) = (SKIN_M, f64::INFINITY);
    let mut met = None;
    for (i, (side, gap_m)) in sides.iter().zip(gaps_m).enumerate() {
        let speed = side.along * over_ground + side.up * up;
        if *gap_m < 0.0 {
            if speed > -1e-12 {
                return None;
            }
            let at_m = gap_m / speed;
            if at_m > enter_m {
                (enter_m, met) = (at_m, Some(i));
            }
        } else if speed >= 1e-12 {
            leave_m = leave_m.min(gap_m / speed);
        } else {
            continue;
        }
        if leave_m - enter_m <= SKIN_M {
            return None;
        }
    }
    Some((enter_m, met))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::base::units::Transmittance;
    use crate::geometry::Obstacle;
    use crate::venue::{Body, Part, Passes, Shape};

    fn same(a: &Option<(usize, RayHit)>, b: &Option<(usize, RayHit)>) -> bool {
        match (a, b) {
            (None, None) => true,
            (Some((i, a)), Some((j, b))) => {
                let apart_m = (a.distance_m - b.distance_m).abs();
                i == j && apart_m < 1e-9 && a.normal.distance(b.normal) < 1e-9
            }
            _ => false,
        }
    }

    /// Rays from many places meet what the tree of boxes says, to a nanometre.
    #[test]
    fn it_meets_what_the_tree_of_boxes_meets() {
        let panel = |x: f64, y: f64, z: f64, passes: f64| {
            let corners = [(0.0, 0.0), (9.0, 1.0), (8.0, 5.0), (-1.0, 4.0)];
            let corners = corners.map(|(u, v)| DVec3::new(x + u, y + v, z + 0.4 * v));
            let body = Body {
                shape: Shape::Sheet { corners: corners.to_vec() },
                part: Part::Panel,
                passes: Passes::Always(Transmittance::from_share(passes)),
                reflectance: 0.3,
                scatters: 0.0,
                lit: None,
            };
            Obstacle::new(&body, Transmittance::from_share(passes))
        };
        let places = [(-20.0, 3.0), (4.0, -15.0), (0.0, 0.0), (12.0, 2.0), (-3.0, 14.0)];
        let block = |x: f64, y: f64, passes: f64| {
            let corner = |i: usize| {
                let [u, v, w] = [i & 1, i >> 1 & 1, i >> 2].map(|side| side as f64);
                DVec3::new(x + 5.0 * u - v, y + u + 4.0 * v, 3.0 * w + 0.5 * u)
            };
            let faces = [
                [0, 1, 3, 2],
                [4, 5, 7, 6],
                [0, 1, 5, 4],
                [2, 3, 7, 6],
                [0, 2, 6, 4],
                [1, 3, 7, 5],
            ];
            let body = Body {
                shape: Shape::Convex {
                    vertices: (0..8).map(corner).collect(),
                    faces: faces.map(Vec::from).to_vec(),
                },
                part: Part::Panel,
                passes: Passes::Always(Transmittance::from_share(passes)),
                reflectance: 0.3,
                scatters: 0.0,
                lit: None,
            };
            Obstacle::new(&body, Transmittance::from_share(passes))
        };
        let blocks = [block(-9.0, -3.0, 0.0), block(6.0, 6.0, 0.5), block(1.0, -11.0, 0.0)];
        let panels = places.iter().enumerate().filter_map(|(i, &(x, y))| {
            panel(x, y, 1.5 * i as f64, if i % 2 == 0 { 0.0 } else { 0.4 })
        });
        let obstacles: Obstacles = panels.chain(blocks.into_iter().flatten()).collect();
        let angles = (0..16).map(|i| TAU * (f64::from(i) + 0.5) / 16.0);
        let directions: Vec<DVec2> = angles.map(DVec2::from_angle).collect();
        let mut met = 0;
        let from = [DVec3::new(0.5, 1.0, 1.7), DVec3::new(-4.0, -6.0, 0.01), DVec3::Z * 4.0];
        let mut together = NearbyObstacles::new(&obstacles, &from, &directions);
        for (point, at) in from.into_iter().enumerate() {
            let only = [at];
            let mut around = NearbyObstacles::new(&obstacles, &only, &directions);
            for (i, direction) in directions.iter().enumerate() {
                for step in -9..10 {
                    let sine = 0.1 * f64::from(step) + 0.013;
                    let flat = *direction * (1.0 - sine * sine).sqrt();
                    let toward = flat.extend(sine);
                    for within_m in [f64::INFINITY, 12.0] {
                        let (ray, wanted) =
                            ((flat.length(), sine), obstacles.look(at, toward, within_m));
                        let beside = together.look((point, i), ray, within_m);
                        let got = around.look((0, i), ray, within_m);
                        assert!(same(&beside.nearest, &wanted.nearest), "{beside:?} {wanted:?}");
                        assert_eq!(beside.through, wanted.through);
                        assert!(same(&got.nearest, &wanted.nearest), "{got:?} {wanted:?}");
                        assert!(same(&got.opaque, &wanted.opaque), "{got:?} {wanted:?}");
                        assert_eq!(got.through, wanted.through);
                        met += usize::from(got.nearest.is_some());
                    }
                }
            }
        }
        assert!(met > 50, "{met}");
    }
}
