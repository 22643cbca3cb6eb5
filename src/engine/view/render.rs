//! The picture itself, pixel by pixel.
//!
//! In: a [`ViewScene`], the [`ViewLight`] of an instant and a [`View`]. Out: a
//! [`LinearPicture`].
//!
//! One ray goes through the middle of each pixel. Where neighbours show other things, or
//! light of another strength, four more do. Edges of shadows are soft by themselves; those
//! that meshes throw are looked at anew near where sun and shade meet.

use std::sync::{Arc, PoisonError};

use glam::DVec3;
use rayon::prelude::*;

use super::faces::{FaceNet, LitFace};
use super::figures::{Figure, FigurePart};
use super::globe::{Globe, LitGlobe};
use super::instant::ViewLight;
use super::nodes::{LitNodes, MeshNodes};
use super::scene::{FaceKey, ViewScene};
use crate::base::units::Azimuth;
use crate::camera::Pinhole;
use crate::geometry::{MeshEdges, PictureFrame, PictureHit, PictureRays, SunDisc, TURF_HEIGHT_M};
use crate::light::{GroundLight, Tristimulus};
use crate::solar::{SUN_DIAMETER_DEG, skyline_elevation};
use crate::venue::Part;

/// Every so many pixels a first ray finds out which faces are in the picture.
const FIRST_EVERY: usize = 3;
/// Neighbours whose light differs by this factor are an edge.
const EDGE_RATIO: f32 = 1.12;
/// Places of the rays of an edge's pixel, pixels from its middle: a turned square.
const SUBPIXELS: [[f64; 2]; 4] =
    [[-0.125, -0.375], [0.375, -0.125], [0.125, 0.375], [-0.375, 0.125]];
/// Rays toward the sun start so far over a surface, metres.
const OVER_M: f64 = 1e-4;
/// Edges that meshes throw are looked at anew so many pixels around at most.
const MAX_SOFT_PX: usize = 12;
/// Of far land half is the air before it (our choice, no source).
const HAZE: f64 = 0.5;
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
pub enum Seen {
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

/// A picture before any camera: light as it is.
#[derive(Debug, Clone)]
pub struct LinearPicture {
    /// Width and height, pixels.
    pub size: [usize; 2],
    /// Tristimulus values, cd/m2, row by row from the top left.
    pub light: Vec<[f32; 3]>,
    pub seen: Vec<Seen>,
    /// Share of the sun's light that arrives at what is seen, 0 to 1; 0 without sun.
    pub sun: Vec<f32>,
}

/// A face with its light, where it is known.
type KnownFace = Option<(Arc<FaceNet>, LitFace)>;

/// A face that a ray met, and where: index of the obstacle, place, facing.
type Met = (FaceKey, (usize, DVec3, DVec3));

/// One ray's find.
#[derive(Debug, Clone, Copy)]
struct Sample {
    light: Tristimulus,
    seen: Seen,
    sun: f32,
    /// What neighbours are compared by.
    id: u32,
    /// Whether a mesh is near the way to the sun, and where the place is.
    by_mesh: bool,
    distance_m: f32,
}

/// A place that a pixel shows first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    pub at: DVec3,
    pub normal: DVec3,
    /// Index of the obstacle; `None` for the ground.
    pub obstacle: Option<usize>,
    /// Share of light from behind that passes it, 0 to 1.
    pub passes: f64,
}

/// All that the rays of one picture ask.
struct Tracer<'a> {
    scene: &'a ViewScene,
    light: &'a ViewLight,
    view: &'a View,
    rays: PictureRays<'a>,
    disc: SunDisc<'a>,
    ground: GroundLight,
    lit: Vec<Vec<KnownFace>>,
    nodes: &'a MeshNodes,
    lit_nodes: LitNodes,
    globe: Option<LitGlobe>,
    sun_radius: f64,
    /// Highest sine of elevation of the skyline.
    skyline_sine: f64,
    is_mesh: Vec<bool>,
}

impl View {
    fn frame(&self) -> PictureFrame {
        let Pinhole { at, forward, right, up, half_width, half_height } = self.eye;
        PictureFrame { at, forward, right, up, half_width, half_height }
    }

    /// Image coordinates of a place in pixels from the top left.
    fn image(&self, x: f64, y: f64) -> [f64; 2] {
        [2.0 * x / self.size[0] as f64 - 1.0, 1.0 - 2.0 * y / self.size[1] as f64]
    }
}

impl ViewScene {
    /// What the middle of a pixel shows first of ground and bodies; `None` for the sky.
    pub fn spot(&self, view: &View, x: usize, y: usize) -> Option<Spot> {
        let rays = PictureRays::new(self.obstacles(), view.frame());
        let image = view.image(x as f64 + 0.5, y as f64 + 0.5);
        let toward = rays.frame().ray(image);
        let ground_m = ground_distance(view.eye.at, toward);
        let mut hits = Vec::new();
        rays.hits(image, toward, ground_m, &mut hits);
        if let Some(hit) = hits.first() {
            let at = view.eye.at + toward * hit.distance_m;
            let (normal, obstacle) = (hit.normal, Some(hit.obstacle));
            return Some(Spot { at, normal, obstacle, passes: hit.passes });
        }
        let at = view.eye.at + toward * ground_m;
        ground_m.is_finite().then_some(Spot { at, normal: DVec3::Z, obstacle: None, passes: 0.0 })
    }

    /// Takes a picture.
    pub fn picture(&self, light: &ViewLight, view: &View) -> LinearPicture {
        let rays = PictureRays::new(self.obstacles(), view.frame());
        let (faces, places) = self.shown(&rays, view);
        self.know(&faces, &places);
        let mut samples = Vec::new();
        let mut missing: Vec<Met> = Vec::new();
        // faces that the first rays missed are few, and found at once
        for _ in 0..3 {
            let keys: Vec<FaceKey> = missing.iter().map(|m| m.0).collect();
            let on_meshes: Vec<(usize, DVec3, DVec3)> = missing.iter().map(|m| m.1).collect();
            self.know(&keys, &on_meshes);
            let nodes = self.nodes.read().unwrap_or_else(PoisonError::into_inner);
            let faces: Vec<FaceKey> = faces.iter().copied().chain(keys).collect();
            let tracer = Tracer::new(self, light, view, &faces, &nodes);
            missing = tracer.trace(&mut samples);
            if missing.is_empty() {
                tracer.soften(&mut samples);
                tracer.smooth(&mut samples);
                break;
            }
        }
        LinearPicture {
            size: view.size,
            light: samples.iter().map(|s: &Sample| s.light.values().map(|v| v as f32)).collect(),
            seen: samples.iter().map(|s| s.seen).collect(),
            sun: samples.iter().map(|s| s.sun).collect(),
        }
    }

    /// Faces that some rays through the picture meet, and places on meshes.
    fn shown(&self, rays: &PictureRays, view: &View) -> (Vec<FaceKey>, Vec<(usize, DVec3, DVec3)>) {
        let [width, height] = view.size;
        let rows: Vec<usize> = (0..height).step_by(FIRST_EVERY).collect();
        let of_row = |y: &usize| {
            let (mut hits, mut found) = (Vec::new(), Vec::new());
            for x in (0..width).step_by(FIRST_EVERY) {
                let image = view.image(x as f64 + 0.5, *y as f64 + 0.5);
                let toward = rays.frame().ray(image);
                rays.hits(image, toward, ground_distance(view.eye.at, toward), &mut hits);
                for hit in &hits {
                    let at = view.eye.at + toward * hit.distance_m;
                    found.push((key_of(hit), (hit.obstacle, at, hit.normal)));
                }
            }
            found
        };
        let found: Vec<Vec<Met>> = rows.par_iter().map(of_row).collect();
        let (mut faces, mut places) = (Vec::new(), Vec::new());
        let mut known = rustc_hash::FxHashSet::default();
        for (key, place) in found.into_iter().flatten() {
            if self.obstacles()[place.0].corners().is_empty() {
                places.push(place);
            } else if known.insert(key) {
                faces.push(key);
            }
        }
        (faces, places)
    }
}

fn key_of(hit: &PictureHit) -> FaceKey {
    (hit.obstacle as u32, hit.face as u32)
}

fn ground_distance(at: DVec3, toward: DVec3) -> f64 {
    if toward.z < 0.0 && at.z > TURF_HEIGHT_M {
        (at.z - TURF_HEIGHT_M) / -toward.z
    } else {
        f64::INFINITY
    }
}

impl<'a> Tracer<'a> {
    fn new(
        scene: &'a ViewScene,
        light: &'a ViewLight,
        view: &'a View,
        faces: &[FaceKey],
        nodes: &'a MeshNodes,
    ) -> Self {
        let obstacles = scene.obstacles();
        let count = |i: usize| obstacles[i].corners().len().max(2);
        let mut lit: Vec<Vec<KnownFace>> =
            (0..obstacles.len()).map(|i| (0..count(i) * 2).map(|_| None).collect()).collect();
        let made: Vec<_> = faces
            .par_iter()
            .filter_map(|key| {
                let net = scene.face(*key)?;
                let lit = net.lit(&light.light);
                Some((*key, net, lit))
            })
            .collect();
        for (key, net, of) in made {
            if let Some(place) = lit[key.0 as usize].get_mut(key.1 as usize) {
                *place = Some((net, of));
            }
        }
        let globe = view.figures.first().map(|figure| {
            let of = view.figures.len() as f64;
            let middle = view.figures.iter().map(|f| f.at).sum::<DVec3>() / of;
            let _ = figure;
            Globe::new(&scene.scene, middle + DVec3::Z * FIGURE_M).lit(&light.light)
        });
        let skyline = scene.horizon.profile.iter().map(|(_, e)| e.radians().sin());
        Self {
            rays: PictureRays::new(obstacles, view.frame()),
            disc: SunDisc::new(obstacles, light.toward_sun),
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

    /// All pixels, by the ray through the middle; gives faces that are not known yet.
    fn trace(&self, samples: &mut Vec<Sample>) -> Vec<Met> {
        let [width, height] = self.view.size;
        let of_row = |y: usize| {
            let (mut hits, mut missing) = (Vec::new(), Vec::new());
            let mut row = Vec::with_capacity(width);
            for x in 0..width {
                let place = [x as f64 + 0.5, y as f64 + 0.5];
                row.push(self.sample(place, MeshEdges::Hard, &mut hits, &mut missing));
            }
            (row, missing)
        };
        let rows: Vec<_> = (0..height).into_par_iter().map(of_row).collect();
        let mut missing = Vec::new();
        samples.clear();
        for (row, not_known) in rows {
            samples.extend(row);
            missing.extend(not_known);
        }
        missing
    }

    /// Looks anew at pixels near where meshes let sun and shade meet.
    fn soften(&self, samples: &mut [Sample]) {
        if !samples.iter().any(|s| s.by_mesh) || !self.light.sun_is_out() {
            return;
        }
        let [width, height] = self.view.size;
        let mut anew = vec![false; samples.len()];
        let differ =
            |a: &Sample, b: &Sample| (a.by_mesh || b.by_mesh) && (a.sun - b.sun).abs() > 0.2;
        let pixel = 2.0 * self.view.eye.half_width / width as f64;
        for y in 0..height {
            for x in 0..width {
                let here = &samples[y * width + x];
                let beside = [
                    (x + 1 < width).then(|| y * width + x + 1),
                    (y + 1 < height).then(|| (y + 1) * width + x),
                ];
                for other in beside.into_iter().flatten().filter(|i| differ(here, &samples[*i])) {
                    let shaded = if here.sun < samples[other].sun { y * width + x } else { other };
                    let reach = self.blur_px(shaded, &samples[shaded], pixel);
                    for v in y.saturating_sub(reach)..(y + reach + 1).min(height) {
                        for u in x.saturating_sub(reach)..(x + reach + 1).min(width) {
                            anew[v * width + u] = true;
                        }
                    }
                }
            }
        }
        self.again(samples, &anew, &[[0.0; 2]]);
    }

    /// How many pixels the edge that shades a place is soft over.
    fn blur_px(&self, index: usize, sample: &Sample, pixel: f64) -> usize {
        let width = self.view.size[0];
        let image = self.view.image((index % width) as f64 + 0.5, (index / width) as f64 + 0.5);
        let from = self.view.eye.at + self.rays.frame().ray(image) * f64::from(sample.distance_m);
        let sun = self.light.toward_sun;
        let look = self.scene.obstacles().look(from + sun * 0.01, sun, f64::INFINITY);
        let away_m = look.nearest.map_or(0.0, |(_, hit)| hit.distance_m);
        // low suns draw the edge out over level ground
        let wide_m = away_m * self.sun_radius / sun.z.max(0.1);
        ((wide_m / (pixel * f64::from(sample.distance_m)).max(1e-6)).ceil() as usize)
            .clamp(1, MAX_SOFT_PX)
    }

    /// Looks by more rays where neighbours differ.
    fn smooth(&self, samples: &mut [Sample]) {
        let [width, height] = self.view.size;
        let mut anew = vec![false; samples.len()];
        let differ = |a: &Sample, b: &Sample| {
            let (p, q) = (a.light.y as f32, b.light.y as f32);
            a.id != b.id || p.max(q) > EDGE_RATIO * p.min(q)
        };
        for y in 0..height {
            for x in 0..width {
                let i = y * width + x;
                if x + 1 < width && differ(&samples[i], &samples[i + 1]) {
                    (anew[i], anew[i + 1]) = (true, true);
                }
                if y + 1 < height && differ(&samples[i], &samples[i + width]) {
                    (anew[i], anew[i + width]) = (true, true);
                }
            }
        }
        self.again(samples, &anew, &SUBPIXELS);
    }

    /// Replaces the light of some pixels by the mean over rays beside their middle.
    fn again(&self, samples: &mut [Sample], anew: &[bool], beside: &[[f64; 2]]) {
        let width = self.view.size[0];
        let rows = samples.par_chunks_mut(width).zip(anew.par_chunks(width)).enumerate();
        rows.for_each(|(y, (row, anew))| {
            let (mut hits, mut missing) = (Vec::new(), Vec::new());
            for (x, (sample, _)) in
                row.iter_mut().zip(anew).enumerate().filter(|(_, (_, anew))| **anew)
            {
                let (mut sum, mut sun, mut count) = (Tristimulus::ZERO, 0.0, 0.0);
                for [u, v] in beside {
                    let place = [x as f64 + 0.5 + u, y as f64 + 0.5 + v];
                    let before = missing.len();
                    let one = self.sample(place, MeshEdges::Soft, &mut hits, &mut missing);
                    if missing.len() == before {
                        sum += one.light;
                        sun += one.sun;
                        count += 1.0;
                    }
                }
                if count > 0.0 {
                    sample.light = sum * (1.0 / count);
                    sample.sun = sun / count as f32;
                }
            }
        });
    }

    /// What comes from one place of the picture, pixels from its top left.
    fn sample(
        &self,
        [x, y]: [f64; 2],
        edges: MeshEdges,
        hits: &mut Vec<PictureHit>,
        missing: &mut Vec<Met>,
    ) -> Sample {
        let image = self.view.image(x, y);
        let toward = self.rays.frame().ray(image);
        let eye = self.view.eye.at;
        let ground_m = ground_distance(eye, toward);
        let figures = self.view.figures.iter().enumerate();
        let figure = figures
            .filter_map(|(i, figure)| Some((i, figure.met(eye, toward)?)))
            .filter(|(_, hit)| hit.distance_m < ground_m)
            .min_by(|a, b| a.1.distance_m.total_cmp(&b.1.distance_m));
        let ends_m = figure.as_ref().map_or(ground_m, |(_, hit)| hit.distance_m);
        self.rays.hits(image, toward, ends_m, hits);
        let (mut light, mut through) = (Tristimulus::ZERO, 1.0);
        let mut first: Option<Sample> = None;
        let mut add = |one: Sample, passes: f64| {
            light += one.light * through;
            through *= passes;
            first.get_or_insert(one);
        };
        for hit in hits.iter() {
            let one = self.body(hit, eye + toward * hit.distance_m, edges, missing);
            add(one, hit.passes);
        }
        if hits.last().is_none_or(|hit| hit.passes > 0.0) {
            add(
                match figure {
                    Some((index, hit)) => {
                        let at = eye + toward * hit.distance_m;
                        self.figure(index, at, (hit.normal, hit.part), hit.distance_m)
                    }
                    None if ground_m.is_finite() => {
                        self.on_ground([x, y], eye + toward * ground_m, ground_m, edges)
                    }
                    None => self.sky(toward),
                },
                0.0,
            );
        }
        let mut sample = first.unwrap_or_else(|| self.sky(toward));
        sample.light = light;
        // what lies behind something translucent makes edges, too
        sample.id = sample.id.wrapping_mul(31).wrapping_add(hits.len() as u32);
        sample
    }

    fn body(
        &self,
        hit: &PictureHit,
        at: DVec3,
        edges: MeshEdges,
        missing: &mut Vec<Met>,
    ) -> Sample {
        let obstacle = &self.scene.obstacles()[hit.obstacle];
        let [mut near, mut far] = match self.is_mesh[hit.obstacle] {
            true => {
                if !self.nodes.knows(hit.obstacle, at, hit.normal) {
                    missing.push((key_of(hit), (hit.obstacle, at, hit.normal)));
                }
                let place = (hit.obstacle, at, hit.normal);
                [self.nodes.light(&self.lit_nodes, place), Tristimulus::ZERO]
            }
            false => match self.lit[hit.obstacle].get(hit.face) {
                Some(Some((net, lit))) => net.light(lit, at),
                _ => {
                    missing.push((key_of(hit), (hit.obstacle, at, hit.normal)));
                    [Tristimulus::ZERO; 2]
                }
            },
        };
        let cosine = hit.normal.dot(self.light.toward_sun);
        let (mut sun, mut by_mesh) = (0.0, false);
        let scatters = obstacle.scatters();
        if self.light.sun_is_out() && (cosine > 0.0 || scatters > 0.0) {
            let direct = self.light.direct_normal * cosine.abs();
            if cosine > 0.0 {
                (sun, by_mesh) =
                    self.disc.share(at + hit.normal * OVER_M, Some(hit.obstacle), edges);
                near += direct * sun;
            } else {
                let other = obstacle.far_side(at, hit.normal) - hit.normal * OVER_M;
                (sun, by_mesh) = self.disc.share(other, Some(hit.obstacle), edges);
                far += direct * sun;
            }
        }
        let reflected = near.tinted(self.scene.reflects[hit.obstacle]);
        Sample {
            light: (reflected + far * scatters) * std::f64::consts::FRAC_1_PI,
            seen: Seen::Body(obstacle.part()),
            sun: sun as f32,
            id: 16 + ((hit.obstacle as u32) << 6) + hit.face as u32,
            by_mesh,
            distance_m: at.distance(self.view.eye.at) as f32,
        }
    }

    fn on_ground(&self, [x, y]: [f64; 2], at: DVec3, ground_m: f64, edges: MeshEdges) -> Sample {
        let ground = &self.scene.ground;
        let kind = ground.kind(at.x, at.y);
        let mut light = self.scene.net.light(&self.ground, at.x, at.y)
            + self.light.light.floodlight().horizontal;
        let (mut sun, mut by_mesh) = (0.0, false);
        if self.light.sun_is_out() {
            (sun, by_mesh) = self.disc.share(at, None, edges);
            if sun > 0.0 {
                sun *= self.past_figures(at);
            }
            light += self.light.light.direct_horizontal * sun;
        }
        let moved = |dx: f64, dy: f64| {
            let toward = self.rays.frame().ray(self.view.image(x + dx, y + dy));
            let on = self.view.eye.at + toward * ground_distance(self.view.eye.at, toward);
            let (u, v) = (on.x - at.x, on.y - at.y);
            if u.is_finite() && v.is_finite() { [u, v] } else { [1e3, 1e3] }
        };
        let line = match kind {
            0 => ground.line_share(at.x, at.y, || [moved(0.5, 0.0), moved(0.0, 0.5)]),
            _ => 0.0,
        };
        let bare = ground.reflects[kind];
        let reflects = [0, 1, 2].map(|i| bare[i] + (ground.line[i] - bare[i]) * line);
        let seen = match (line > 0.5, kind) {
            (true, _) => Seen::Line,
            (_, 0) => Seen::Turf,
            _ => Seen::Surrounds,
        };
        let id = if seen == Seen::Surrounds { 2 } else { 1 };
        Sample {
            light: light.tinted(reflects) * std::f64::consts::FRAC_1_PI,
            seen,
            sun: sun as f32,
            id,
            by_mesh,
            distance_m: ground_m as f32,
        }
    }

    fn past_figures(&self, at: DVec3) -> f64 {
        let figures = self.view.figures.iter();
        let leaves = figures.map(|f| f.leaves(at, self.light.toward_sun, self.sun_radius));
        leaves.fold(1.0, f64::min)
    }

    fn figure(
        &self,
        index: usize,
        at: DVec3,
        (normal, part): (DVec3, FigurePart),
        distance_m: f64,
    ) -> Sample {
        let Some(figure) = self.view.figures.get(index) else { return self.sky(normal) };
        let mut light = self.globe.as_ref().map_or(Tristimulus::ZERO, |globe| globe.light(normal));
        let cosine = normal.dot(self.light.toward_sun);
        let mut sun = 0.0;
        if self.light.sun_is_out() && cosine > 0.0 {
            let over = at + normal * 0.01;
            (sun, _) = self.disc.share(over, None, MeshEdges::Hard);
            let blocked = |f: &Figure| f.met(over, self.light.toward_sun).is_some();
            if sun > 0.0 && self.view.figures.iter().any(blocked) {
                sun = 0.0;
            }
            light += self.light.direct_normal * (cosine * sun);
        }
        let reflects = match part {
            FigurePart::Kit => figure.kit.reflects(&self.scene.subject),
            FigurePart::Skin => figure.skin.reflects(),
        };
        Sample {
            light: light.tinted(reflects) * std::f64::consts::FRAC_1_PI,
            seen: Seen::Figure(index as u8, part),
            sun: sun as f32,
            id: 4 + 2 * index as u32 + u32::from(part == FigurePart::Skin),
            by_mesh: false,
            distance_m: distance_m as f32,
        }
    }

    fn sky(&self, toward: DVec3) -> Sample {
        let mut sample = Sample {
            light: self.light.sky.colour_toward(toward),
            seen: Seen::Sky,
            sun: 0.0,
            id: 0,
            by_mesh: false,
            distance_m: f32::INFINITY,
        };
        if toward.z < self.skyline_sine {
            let azimuth = Azimuth::from_degrees(toward.x.atan2(toward.y).to_degrees());
            if toward.z < skyline_elevation(&self.scene.horizon, azimuth).radians().sin() {
                let land = self.light.open_light().tinted(self.scene.ground.reflects[1]);
                let land = land * std::f64::consts::FRAC_1_PI;
                sample.light = land * (1.0 - HAZE) + sample.light * HAZE;
                (sample.seen, sample.id) = (Seen::Land, 3);
                return sample;
            }
        }
        let cosine = toward.dot(self.light.toward_sun);
        if self.light.sun_is_out()
            && cosine > 0.0
            && (1.0 - cosine * cosine).sqrt() < self.sun_radius
        {
            let solid = std::f64::consts::PI * self.sun_radius * self.sun_radius;
            sample.light += self.light.direct_normal * (1.0 / solid);
            (sample.seen, sample.id) = (Seen::Sun, 15);
        }
        sample
    }
}
