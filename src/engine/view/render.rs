//! The picture itself, pixel by pixel.
//!
//! In: a [`ViewScene`], the [`ViewLight`] of an instant and a [`View`]. Out: a
//! [`LinearPicture`].
//!
//! One ray goes through the middle of each pixel (`shade`), tile by tile (`tile`): what is
//! the same all over a tile is asked once. Where neighbours show other things, or light of
//! another strength, four more rays go (`refine`).

use glam::DVec3;
use rayon::prelude::*;

use super::aimed::Aimed;
use super::figures::{Figure, FigurePart};
use super::globe::LitGlobe;
use super::instant::ViewLight;
use super::nodes::{LitNodes, MeshNodes};
use super::scene::{FaceKey, KnownFace, ViewScene};
use super::tile::{Scratch, TILE_PX};
use crate::base::frame::plan_view;
use crate::camera::Pinhole;
use crate::geometry::{MeshEdges, PictureFrame, PictureRays, SunDisc};
use crate::light::{GroundLight, Tristimulus};
use crate::solar::SUN_DIAMETER_DEG;
use crate::venue::Part;

/// Height at which players take their light, metres.
const FIGURE_M: f64 = 1.2;

/// What to take a picture of.
#[derive(Debug, Clone)]
pub struct View {
    pub eye: Pinhole,
    /// Width and height, pixels.
    pub size: [usize; 2],
    pub figures: Vec<Figure>,
}

/// What a pixel shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PixelContent {
    Sky,
    Sun,
    /// Beyond the ground: the skyline's hills.
    Land,
    Turf,
    Surrounds,
    Line,
    Body(Part),
    /// Which figure, and what of it.
    Figure(u8, FigurePart),
}

impl PixelContent {
    /// Whether it is ground of play or a line on it.
    pub fn is_play(self) -> bool {
        matches!(self, Self::Turf | Self::Line)
    }
}

/// A picture before any camera: light as it is.
#[derive(Debug, Clone)]
pub struct LinearPicture {
    /// Width and height, pixels.
    pub size: [usize; 2],
    /// Tristimulus values, cd/m2, row by row from the top left.
    pub light: Vec<[f32; 3]>,
    pub seen: Vec<PixelContent>,
    /// Share of the sun's light that arrives at what is seen, 0 to 1; 0 without sun.
    pub sun: Vec<f32>,
}

/// A face that a ray hit, and where: index of the obstacle, place, facing.
pub(super) type FaceHit = (FaceKey, (usize, DVec3, DVec3));

/// One ray's find.
#[derive(Debug, Clone, Copy)]
pub(super) struct RaySample {
    pub light: Tristimulus,
    pub seen: PixelContent,
    pub sun: f32,
    /// What neighbours are compared by.
    pub id: u32,
    /// Whether a mesh is near the way to the sun.
    pub by_mesh: bool,
    /// Whether the light of all that it shows is known.
    pub is_known: bool,
}

impl RaySample {
    const UNKNOWN: Self = Self {
        light: Tristimulus::ZERO,
        seen: PixelContent::Sky,
        sun: 0.0,
        id: 0,
        by_mesh: false,
        is_known: false,
    };
}

/// A place that a pixel shows first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceSpot {
    pub at: DVec3,
    pub normal: DVec3,
    /// Index of the obstacle; `None` for the ground.
    pub obstacle: Option<usize>,
    /// Share of light from behind that passes it, 0 to 1.
    pub passes: f64,
}

/// All that the rays of one picture ask.
pub(super) struct Tracer<'a> {
    pub aimed: &'a Aimed<'a>,
    pub scene: &'a ViewScene,
    pub light: &'a ViewLight,
    pub view: &'a View,
    pub disc: SunDisc<'a>,
    pub ground: GroundLight,
    /// By body and face, where they are known.
    pub lit: Vec<Vec<Option<KnownFace>>>,
    pub nodes: &'a MeshNodes,
    pub lit_nodes: LitNodes,
    pub globe: Option<LitGlobe>,
    pub sun_radius: f64,
    /// Highest sine of elevation of the skyline.
    pub skyline_sine: f64,
    pub is_mesh: Vec<bool>,
}

impl View {
    pub(super) fn frame(&self) -> PictureFrame {
        let Pinhole { at, forward, right, up, half_width, half_height } = self.eye;
        PictureFrame { at, forward, right, up, half_width, half_height }
    }

    /// Width and height of a tile, image coordinates.
    pub(super) fn tile(&self) -> [f64; 2] {
        self.size.map(|pixels| (2 * TILE_PX) as f64 / pixels as f64)
    }

    /// Image coordinates of a place in pixels from the top left.
    pub(super) fn image(&self, x: f64, y: f64) -> [f64; 2] {
        [2.0 * x / self.size[0] as f64 - 1.0, 1.0 - 2.0 * y / self.size[1] as f64]
    }
}

impl ViewScene {
    /// What the middle of a pixel shows first of ground and bodies; `None` for the sky.
    pub fn spot(&self, view: &View, x: usize, y: usize) -> Option<SurfaceSpot> {
        let rays = PictureRays::new(self.obstacles(), view.frame(), view.tile());
        let image = view.image(x as f64 + 0.5, y as f64 + 0.5);
        let toward = rays.frame().ray(image);
        let ground_m = self.obstacles().ground_m(view.eye.at, toward);
        let mut hits = Vec::new();
        rays.hits(image, toward, ground_m, &mut hits);
        if let Some(hit) = hits.first() {
            let at = view.eye.at + toward * hit.distance_m;
            let (normal, obstacle) = (hit.normal, Some(hit.obstacle));
            return Some(SurfaceSpot { at, normal, obstacle, passes: hit.passes });
        }
        let at = view.eye.at + toward * ground_m;
        let normal = self.obstacles().ground_normal(plan_view(at));
        ground_m.is_finite().then_some(SurfaceSpot { at, normal, obstacle: None, passes: 0.0 })
    }

    /// Takes a picture.
    pub fn picture(&self, light: &ViewLight, view: &View) -> LinearPicture {
        self.aimed(view).picture(light)
    }
}

impl Aimed<'_> {
    /// Takes a picture in the light of an instant.
    pub fn picture(&self, light: &ViewLight) -> LinearPicture {
        let mut samples = vec![RaySample::UNKNOWN; self.met.len()];
        let (mut faces, mut on_meshes) = (self.faces.clone(), self.on_meshes.clone());
        // faces that the first rays missed are few, and found at once
        for _ in 0..3 {
            self.scene.know(&faces, &on_meshes);
            let nodes = self.scene.nodes();
            let tracer = Tracer::new(self, light, &faces, &nodes);
            let unknown: Vec<bool> = samples.iter().map(|sample| !sample.is_known).collect();
            let missing = tracer.trace(&mut samples, &unknown);
            if missing.is_empty() {
                tracer.soften(&mut samples);
                tracer.smooth(&mut samples);
                break;
            }
            faces.extend(each_once(&missing));
            on_meshes = missing.into_iter().map(|(_, place)| place).collect();
        }
        let samples = samples.par_iter().with_min_len(4096);
        let parts =
            samples.map(|s: &RaySample| (s.light.values().map(|v| v as f32), (s.seen, s.sun)));
        let (light, (seen, sun)) = parts.unzip();
        LinearPicture { size: self.view.size, light, seen, sun }
    }
}

/// The faces that were hit. Hundreds of pixels show one of them, and its nodes are wanted once.
fn each_once(hits: &[FaceHit]) -> Vec<FaceKey> {
    let keys: rustc_hash::FxHashSet<FaceKey> = hits.iter().map(|hit| hit.0).collect();
    keys.into_iter().collect()
}

impl<'a> Tracer<'a> {
    fn new(
        aimed: &'a Aimed<'a>,
        light: &'a ViewLight,
        faces: &[FaceKey],
        nodes: &'a MeshNodes,
    ) -> Self {
        let (scene, view) = (aimed.scene, aimed.view);
        let obstacles = scene.obstacles();
        let count = |i: usize| obstacles[i].corners().len().max(2);
        let mut lit: Vec<Vec<Option<KnownFace>>> =
            (0..obstacles.len()).map(|i| (0..count(i) * 2).map(|_| None).collect()).collect();
        let made = || scene.lit(light, faces);
        let globe = || {
            (!view.figures.is_empty()).then(|| {
                let middle = view.figures.iter().map(|f| f.at).sum::<DVec3>();
                let middle = middle / view.figures.len() as f64;
                scene.globe(middle + DVec3::Z * FIGURE_M).lit(&light.light)
            })
        };
        let disc = || SunDisc::new(obstacles, light.toward_sun);
        let (made, (globe, disc)) = rayon::join(made, || rayon::join(globe, disc));
        for (key, known) in made {
            if let Some(place) = lit[key.0 as usize].get_mut(key.1 as usize) {
                *place = Some(known);
            }
        }
        let skyline = scene.horizon.profile.iter().map(|(_, e)| e.radians().sin());
        Self {
            aimed,
            disc,
            ground: scene.net.lit(&light.light.turf, light.open_sky),
            lit_nodes: nodes.lit(&light.light),
            nodes,
            globe,
            lit,
            sun_radius: (0.5 * SUN_DIAMETER_DEG.to_radians()).tan(),
            skyline_sine: skyline.fold(0.0, f64::max),
            is_mesh: obstacles.iter().map(|o| o.corners().is_empty()).collect(),
            scene,
            light,
            view,
        }
    }

    /// The pixels that are wanted, by the ray through the middle; gives faces that are not
    /// known yet.
    fn trace(&self, samples: &mut [RaySample], wanted: &[bool]) -> Vec<FaceHit> {
        self.each(samples, wanted, |pixel, sample, scratch| {
            let before = scratch.missing.len();
            let met = &self.aimed.met[self.aimed.index(pixel)];
            *sample = self.along(met, MeshEdges::Hard, scratch);
            sample.is_known = scratch.missing.len() == before;
        })
    }

    /// Works on the pixels that are wanted, tile by tile; gives faces that are not known yet.
    pub(super) fn each(
        &self,
        samples: &mut [RaySample],
        wanted: &[bool],
        work: impl Fn([usize; 2], &mut RaySample, &mut Scratch) + Sync,
    ) -> Vec<FaceHit> {
        let width = self.view.size[0].max(1);
        let of_band = |(band, (samples, wanted)): (usize, (&mut [RaySample], &[bool]))| {
            let mut scratch = Scratch::default();
            let (top, rows) = (band * TILE_PX, samples.len() / width);
            for left in (0..width).step_by(TILE_PX) {
                let right = (left + TILE_PX).min(width);
                let pixels = (0..rows).flat_map(|row| (left..right).map(move |x| (row, x)));
                let mut open = pixels.filter(|(row, x)| wanted[row * width + x]).peekable();
                if open.peek().is_some() {
                    self.enter(&mut scratch, [left, top], [right, top + rows]);
                }
                for (row, x) in open {
                    work([x, top + row], &mut samples[row * width + x], &mut scratch);
                }
            }
            scratch.missing
        };
        let bands = samples.par_chunks_mut(width * TILE_PX);
        let bands = bands.zip(wanted.par_chunks(width * TILE_PX)).enumerate();
        bands.flat_map_iter(of_band).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_face_that_many_pixels_show_is_asked_for_once() {
        let hit = |key: FaceKey, x: f64| (key, (key.0 as usize, DVec3::X * x, DVec3::Z));
        let hits: Vec<FaceHit> = (0..300).map(|i| hit((7, i % 2), f64::from(i))).collect();
        let mut keys = each_once(&hits);
        keys.sort_unstable();
        assert_eq!(keys, [(7, 0), (7, 1)]);
    }
}
