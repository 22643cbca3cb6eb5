//! Primary rays of a picture: what each pixel shows of what stands.
//!
//! In: obstacles and the frame of a picture, local frame, metres; then rays through the
//! frame. Out: what each meets, near to far up to the first thing that nothing passes.
//!
//! The frame is cut into tiles. Each lists the bodies whose outline reaches into it, nearest
//! first, so a ray asks the few bodies of its tile, where a walk down a tree of boxes would
//! ask more. Meshes have their own tree below that.

use glam::{DVec2, DVec3};

use crate::geometry::hull::{convex_hull, sides};
use crate::geometry::obstacles::Obstacles;

/// What is less far in front than this is behind the picture, metres.
const NEAR_M: f64 = 1e-3;
/// A tile lists what is this much of the frame outside of it, too: rounding.
const MARGIN: f64 = 1e-6;
/// Bodies of more corners are taken for the box around them.
const MAX_CORNERS: usize = 64;

/// The frame of a picture: unit vectors at right angles, and half its size as tangents.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PictureFrame {
    /// Entrance pupil, metres.
    pub at: DVec3,
    pub forward: DVec3,
    pub right: DVec3,
    pub up: DVec3,
    pub half_width: f64,
    pub half_height: f64,
}

impl PictureFrame {
    /// Unit vector of the ray through a place of the frame, -1 to 1, right and up positive.
    pub fn ray(&self, image: [f64; 2]) -> DVec3 {
        let across = self.right * (image[0] * self.half_width);
        (self.forward + across + self.up * (image[1] * self.half_height)).normalize()
    }

    /// How far in front of the lens a point lies, metres.
    fn depth_m(&self, point: DVec3) -> f64 {
        (point - self.at).dot(self.forward)
    }

    /// Image coordinates of a point in front of the lens.
    fn image(&self, point: DVec3) -> [f64; 2] {
        let (ray, depth) = (point - self.at, self.depth_m(point));
        let x = ray.dot(self.right) / (depth * self.half_width);
        [x, ray.dot(self.up) / (depth * self.half_height)]
    }
}

/// Something that a ray of a picture meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PictureHit {
    /// Index of the obstacle.
    pub obstacle: usize,
    /// Which of its faces, see [`crate::geometry::Obstacle::met_face`].
    pub face: usize,
    pub distance_m: f64,
    /// Unit vector out of the surface, toward the lens.
    pub normal: DVec3,
    /// Share of the light from behind that passes straight on, 0 to 1.
    pub passes: f64,
}

/// Rays of one picture.
pub struct PictureRays<'a> {
    obstacles: &'a Obstacles,
    frame: PictureFrame,
    tiles: Tiles,
    /// Distance to the box around each body and its index, tile by tile, nearest first.
    listed: Vec<(f64, u32)>,
    starts: Vec<u32>,
}

/// How the frame is cut, from its top left.
#[derive(Debug, Clone, Copy)]
struct Tiles {
    /// Width and height of each, image coordinates.
    size: DVec2,
    count: [usize; 2],
}

impl<'a> PictureRays<'a> {
    /// `tile` is the width and the height of a tile in image coordinates.
    pub fn new(obstacles: &'a Obstacles, frame: PictureFrame, tile: [f64; 2]) -> Self {
        let count = tile.map(|size| ((2.0 / size - MARGIN).ceil() as usize).max(1));
        let tiles = Tiles { size: tile.into(), count };
        let nearest_m = |[low, high]: &[DVec3; 2]| frame.at.clamp(*low, *high).distance(frame.at);
        let mut order: Vec<(f64, u32)> = obstacles.boxes().iter().map(nearest_m).zip(0..).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut reached: Vec<(u32, (f64, u32))> = Vec::new();
        for body in order {
            let index = body.1 as usize;
            let corners = obstacles[index].corners();
            let outline = outline(&frame, corners, &obstacles.boxes()[index]);
            tiles.reached_by(&outline, |tile| reached.push((tile as u32, body)));
        }
        let mut starts = vec![0_u32; count[0] * count[1] + 1];
        reached.iter().for_each(|(tile, _)| starts[*tile as usize + 1] += 1);
        for tile in 1..starts.len() {
            starts[tile] += starts[tile - 1];
        }
        let mut next = starts.clone();
        let mut listed = vec![(0.0, 0); reached.len()];
        for (tile, body) in reached {
            listed[next[tile as usize] as usize] = body;
            next[tile as usize] += 1;
        }
        Self { obstacles, frame, tiles, listed, starts }
    }

    pub fn frame(&self) -> &PictureFrame {
        &self.frame
    }

    /// What the ray through a place of the frame (-1 to 1 each) meets within a distance, near
    /// to far, up to the first thing that nothing passes.
    pub fn hits(&self, image: [f64; 2], toward: DVec3, within_m: f64, hits: &mut Vec<PictureHit>) {
        hits.clear();
        let mut ends_m = within_m;
        let [column, row] = self.tiles.of(image.into());
        let tile = row * self.tiles.count[0] + column;
        let [from, until] = [self.starts[tile], self.starts[tile + 1]];
        for &(nearest_m, index) in &self.listed[from as usize..until as usize] {
            if nearest_m > ends_m {
                break;
            }
            let obstacle = &self.obstacles[index as usize];
            let Some((hit, face)) = obstacle.met_face(self.frame.at, toward) else { continue };
            if hit.distance_m > ends_m {
                continue;
            }
            let passes = match obstacle.is_opaque() {
                true => 0.0,
                false => obstacle.transmission(self.frame.at, toward),
            };
            if passes == 0.0 {
                ends_m = hit.distance_m;
            }
            let (distance_m, normal) = (hit.distance_m, hit.normal);
            hits.push(PictureHit { obstacle: index as usize, face, distance_m, normal, passes });
        }
        if hits.len() > 1 {
            hits.sort_by(|a, b| {
                a.distance_m.total_cmp(&b.distance_m).then(a.obstacle.cmp(&b.obstacle))
            });
            if let Some(end) = hits.iter().position(|hit| hit.passes == 0.0) {
                hits.truncate(end + 1);
            }
        }
    }
}

impl Tiles {
    /// Column and row of the tile that a place lies in; the nearest for one outside.
    fn of(&self, image: DVec2) -> [usize; 2] {
        let from_corner = DVec2::new(image.x + 1.0, 1.0 - image.y) / self.size;
        let [x, y] = from_corner.to_array();
        [(x as usize).min(self.count[0] - 1), (y as usize).min(self.count[1] - 1)]
    }

    /// Every tile that a convex ring, anticlockwise, reaches into.
    fn reached_by(&self, ring: &[DVec2], mut each: impl FnMut(usize)) {
        let low = ring.iter().copied().fold(DVec2::INFINITY, DVec2::min) - MARGIN;
        let high = ring.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max) + MARGIN;
        let is_outside = low.cmpgt(DVec2::ONE).any() || high.cmplt(DVec2::NEG_ONE).any();
        if ring.len() < 3 || is_outside {
            return;
        }
        let sides = sides(ring);
        let half = 0.5 * self.size;
        let first = self.of(DVec2::new(low.x, high.y));
        let last = self.of(DVec2::new(high.x, low.y));
        for row in first[1]..=last[1] {
            for column in first[0]..=last[0] {
                let from_corner = self.size * DVec2::new(column as f64 + 0.5, row as f64 + 0.5);
                let middle = DVec2::new(from_corner.x - 1.0, 1.0 - from_corner.y);
                let is_beyond = |(normal, offset): &(DVec2, f64)| {
                    normal.dot(middle) - offset > normal.abs().dot(half) + MARGIN
                };
                if !sides.iter().any(is_beyond) {
                    each(row * self.count[0] + column);
                }
            }
        }
    }
}

/// The convex outline of a body in image coordinates, anticlockwise; empty behind the lens.
fn outline(frame: &PictureFrame, corners: &[DVec3], bounds: &[DVec3; 2]) -> Vec<DVec2> {
    let corner = |i: usize| DVec3::new(bounds[i & 1].x, bounds[i >> 1 & 1].y, bounds[i >> 2 & 1].z);
    let of_box = [0, 1, 2, 3, 4, 5, 6, 7].map(corner);
    let is_known = (1..=MAX_CORNERS).contains(&corners.len());
    let corners = if is_known { corners } else { &of_box };
    let depth_m = |p: &DVec3| frame.depth_m(*p);
    let (ahead, behind): (Vec<DVec3>, Vec<DVec3>) =
        corners.iter().partition(|p| depth_m(p) > NEAR_M);
    // where it is cut off in front of the lens
    let cut = ahead.iter().flat_map(|p| behind.iter().map(move |q| (p, q)));
    let cut = cut.map(|(p, q)| {
        let share = (depth_m(p) - NEAR_M) / (depth_m(p) - depth_m(q));
        *p + (*q - *p) * share
    });
    let mut points: Vec<[f64; 2]> = ahead.iter().map(|p| frame.image(*p)).collect();
    points.extend(cut.map(|p| frame.image(p)));
    let mut hull = Vec::with_capacity(points.len());
    convex_hull(&mut points, &mut hull);
    hull.into_iter().map(DVec2::from).collect()
}
