//! Primary rays of a picture: what each pixel shows of what stands.
//!
//! In: obstacles and the frame of a picture, local frame, metres; then rays through the
//! frame. Out: what each meets, near to far up to the first thing that nothing passes.
//!
//! The frame is cut into tiles. Each lists the bodies whose box may be seen in it, nearest
//! first, so a ray asks the few bodies of its tile, where a walk down a tree of boxes would
//! ask more. Meshes have their own tree below that.

use glam::{DVec2, DVec3};

use crate::geometry::obstacles::Obstacles;

/// Tiles across the picture and up, at most.
const TILES: [usize; 2] = [48, 27];
/// Corners of a box less far in front than this are behind the picture, metres.
const NEAR_M: f64 = 0.05;
/// A tile lists what is this much of the frame outside of it, too: rounding.
const MARGIN: f64 = 1e-6;

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

    /// Image coordinates of a point; `None` behind the lens.
    fn image(&self, point: DVec3) -> Option<DVec2> {
        let ray = point - self.at;
        let depth = ray.dot(self.forward);
        (depth > NEAR_M).then(|| {
            let x = ray.dot(self.right) / (depth * self.half_width);
            DVec2::new(x, ray.dot(self.up) / (depth * self.half_height))
        })
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
    /// Distance to the box around each body and its index, tile by tile, nearest first.
    listed: Vec<(f64, u32)>,
    starts: Vec<usize>,
}

impl<'a> PictureRays<'a> {
    pub fn new(obstacles: &'a Obstacles, frame: PictureFrame) -> Self {
        let mut tiles: Vec<Vec<(f64, u32)>> = vec![Vec::new(); TILES[0] * TILES[1]];
        for (index, bounds) in obstacles.boxes().iter().enumerate() {
            let Some([low, high]) = shown(&frame, obstacles[index].corners(), bounds) else {
                continue;
            };
            let nearest = frame.at.clamp(bounds[0], bounds[1]).distance(frame.at);
            for row in low[1]..=high[1] {
                for column in low[0]..=high[0] {
                    tiles[row * TILES[0] + column].push((nearest, index as u32));
                }
            }
        }
        let (mut listed, mut starts) = (Vec::new(), vec![0]);
        for mut tile in tiles {
            tile.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            listed.extend(tile);
            starts.push(listed.len());
        }
        Self { obstacles, frame, listed, starts }
    }

    pub fn frame(&self) -> &PictureFrame {
        &self.frame
    }

    /// What the ray through a place of the frame (-1 to 1 each) meets within a distance, near
    /// to far, up to the first thing that nothing passes.
    pub fn hits(&self, image: [f64; 2], toward: DVec3, within_m: f64, hits: &mut Vec<PictureHit>) {
        hits.clear();
        let mut ends_m = within_m;
        let tile = tile_of(image[1], 1) * TILES[0] + tile_of(image[0], 0);
        for &(nearest_m, index) in &self.listed[self.starts[tile]..self.starts[tile + 1]] {
            if nearest_m > ends_m {
                break;
            }
            let obstacle = &self.obstacles[index as usize];
            let Some((hit, face)) = obstacle.met_face(self.frame.at, toward) else { continue };
            if hit.distance_m > ends_m {
                continue;
            }
            let passes = match obstacle.passes().is_opaque() {
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

/// The tile that an image coordinate lies in, across (0) or up (1).
fn tile_of(image: f64, axis: usize) -> usize {
    let count = TILES[axis];
    ((0.5 * (image + 1.0) * count as f64).max(0.0) as usize).min(count - 1)
}

/// First and last column and row of tiles that a body may be seen in; `None` where it lies
/// outside of the frame.
fn shown(frame: &PictureFrame, corners: &[DVec3], bounds: &[DVec3; 2]) -> Option<[[usize; 2]; 2]> {
    let corner = |i: usize| DVec3::new(bounds[i & 1].x, bounds[i >> 1 & 1].y, bounds[i >> 2 & 1].z);
    let of_box: Vec<DVec3> = (0..8).map(corner).collect();
    let corners = if corners.is_empty() { &of_box } else { corners };
    let ahead = corners.iter().filter(|p| (**p - frame.at).dot(frame.forward) > NEAR_M).count();
    if ahead == 0 {
        return None;
    }
    let (mut low, mut high) = (DVec2::NEG_INFINITY, DVec2::INFINITY);
    if ahead == corners.len() {
        (low, high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        for image in corners.iter().filter_map(|p| frame.image(*p)) {
            (low, high) = (low.min(image), high.max(image));
        }
    }
    let (low, high) = (low - MARGIN, high + MARGIN);
    let outside = low.x > 1.0 || low.y > 1.0 || high.x < -1.0 || high.y < -1.0;
    let tile =
        |image: DVec2| [tile_of(image.x.clamp(-1.0, 1.0), 0), tile_of(image.y.clamp(-1.0, 1.0), 1)];
    (!outside).then(|| [tile(low), tile(high)])
}
