//! The bodies in each direction over the ground from one point.
//!
//! In: obstacles, a point and some directions over the ground, local frame, metres; then
//! rays from that point that go up or down over one of those directions. Out: what each
//! meets. Of the boxes around the bodies only those that a direction crosses are asked, and
//! of these only those whose range of elevations holds the ray: for a thousand rays from one
//! place that is cheaper than a walk down the tree of boxes for each.

use glam::{DVec2, DVec3};

use super::obstacles::{Look, Obstacles, Sight};

/// Boxes are taken to be so much larger all around, metres.
const MARGIN_M: f64 = 1e-6;
/// Sines of elevation may be off by this.
const MARGIN_SINE: f64 = 1e-9;

/// What stands around a point.
pub(super) struct Around<'a> {
    obstacles: &'a Obstacles,
    at: DVec3,
    directions: &'a [DVec2],
    /// Which of `found` stand in each direction; `None` until it is asked for.
    of_direction: Vec<Option<(usize, usize)>>,
    found: Vec<InTheWay>,
    sight: Sight,
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
}

impl<'a> Around<'a> {
    /// Directions are unit vectors, none of them along an axis of the frame.
    pub fn new(obstacles: &'a Obstacles, at: DVec3, directions: &'a [DVec2]) -> Self {
        Self {
            obstacles,
            at,
            directions,
            of_direction: vec![None; directions.len()],
            found: Vec::new(),
            sight: Sight::default(),
        }
    }

    /// What a ray over one of the directions meets within a distance, metres.
    pub fn look(&mut self, direction: usize, toward: DVec3, within_m: f64) -> Look {
        let (from, to) = self.in_direction(direction);
        let over_ground = toward.truncate().length();
        let mut ends_m = within_m;
        self.sight.clear();
        for one in &self.found[from..to] {
            if one.from_m > ends_m * over_ground + MARGIN_M {
                break;
            }
            if (one.low..=one.high).contains(&toward.z) {
                let index = one.obstacle as usize;
                let obstacle = &self.obstacles[index];
                if let Some(m) = self.sight.ask(index, obstacle, (self.at, toward), within_m) {
                    ends_m = ends_m.min(m);
                }
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
        let per_metre = self.directions[direction].recip();
        for (obstacle, [low, high]) in self.obstacles.boxes().iter().enumerate() {
            let (low, high) = (*low - self.at - MARGIN_M, *high - self.at + MARGIN_M);
            // where a line over the ground enters and leaves the box
            let (a, b) = (low.truncate() * per_metre, high.truncate() * per_metre);
            let (near_m, far_m) = (a.min(b).max_element().max(0.0), a.max(b).min_element());
            if near_m <= far_m {
                let sine = |up_m: f64, m: f64| up_m / (up_m * up_m + m * m).sqrt();
                let highest = sine(high.z, if high.z > 0.0 { near_m } else { far_m });
                let lowest = sine(low.z, if low.z < 0.0 { near_m } else { far_m });
                self.found.push(InTheWay {
                    obstacle: obstacle as u32,
                    from_m: near_m,
                    low: lowest - MARGIN_SINE,
                    high: highest + MARGIN_SINE,
                });
            }
        }
        self.found[start..].sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
        *self.of_direction[direction].insert((start, self.found.len()))
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::geometry::Obstacle;
    use crate::units::Transmittance;
    use crate::venue::{Body, Part, Passes, Shape};

    /// Rays from many places meet what the tree of boxes says, to the last bit.
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
            };
            Obstacle::new(&body, Transmittance::from_share(passes))
        };
        let places = [(-20.0, 3.0), (4.0, -15.0), (0.0, 0.0), (12.0, 2.0), (-3.0, 14.0)];
        let panels = places.iter().enumerate().filter_map(|(i, &(x, y))| {
            panel(x, y, 1.5 * i as f64, if i % 2 == 0 { 0.0 } else { 0.4 })
        });
        let obstacles: Obstacles = panels.collect();
        let angles = (0..16).map(|i| TAU * (f64::from(i) + 0.5) / 16.0);
        let directions: Vec<DVec2> = angles.map(DVec2::from_angle).collect();
        let mut met = 0;
        for at in [DVec3::new(0.5, 1.0, 1.7), DVec3::new(-4.0, -6.0, 0.01), DVec3::Z * 4.0] {
            let mut around = Around::new(&obstacles, at, &directions);
            for (i, direction) in directions.iter().enumerate() {
                for step in -9..10 {
                    let sine = 0.1 * f64::from(step) + 0.013;
                    let flat = *direction * (1.0 - sine * sine).sqrt();
                    let toward = flat.extend(sine);
                    for within_m in [f64::INFINITY, 12.0] {
                        let (got, wanted) = (
                            around.look(i, toward, within_m),
                            obstacles.look(at, toward, within_m),
                        );
                        assert_eq!(got.nearest, wanted.nearest);
                        assert_eq!(got.opaque, wanted.opaque);
                        assert_eq!(got.through, wanted.through);
                        met += usize::from(got.nearest.is_some());
                    }
                }
            }
        }
        assert!(met > 50, "{met}");
    }
}
