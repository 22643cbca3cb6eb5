//! Light of sky and surroundings on the flat faces of bodies.
//!
//! In: a face of an obstacle and the light scene; some lights to try with. Out: nodes on the
//! face, closer together where the light between them bends, and the light anywhere on it.
//!
//! A face is cut into triangles, each of which is halved across its longest side until light
//! in the middle of its sides is nearly what their ends make of it, in every light that is
//! tried. Values are exact at nodes, those in the middles counted, and of second order between.

use glam::{DVec2, DVec3};
use rustc_hash::FxHashMap;

use crate::geometry::{Obstacle, Obstacles};
use crate::light::{FaceLight, Receivers, Scene, SceneLight, Tristimulus};

/// Sides are no longer than this to begin with, metres, and no shorter at the end.
const LONGEST_M: f64 = 6.0;
const SHORTEST_M: f64 = 1.0;
/// Light in the middle of a side may differ from that of its ends by this share.
const TOLERANCE: f64 = 0.05;
/// Nodes of one face at most.
const MAX_NODES: usize = 900;
/// A node on the rim of a face is asked for so far inside of it, and so far over it, metres.
const INSET_M: f64 = 0.04;
const OVER_M: f64 = 0.002;
/// Corners of a body lie on a face within this, metres.
const ON_FACE_M: f64 = 1e-4;

/// A face with its nodes.
pub(super) struct FaceNet {
    axes: [DVec3; 2],
    points: Vec<DVec2>,
    /// Whether the place of a node lies free, not inside of another body.
    free: Vec<bool>,
    triangles: Vec<Triangle>,
    /// The first ones that are no part of another.
    roots: usize,
    /// In the order of the nodes, round by round.
    near: Vec<Receivers>,
    /// Where light comes in that the body scatters through.
    far: Option<Receivers>,
    normal: DVec3,
}

/// Three nodes, and the two halves.
#[derive(Clone, Copy)]
struct Triangle {
    nodes: [u32; 3],
    /// In the middle of the side from each node to the next, where they were asked for.
    middles: Option<[u32; 3]>,
    halves: Option<[u32; 2]>,
}

/// A triangle, the weights of its nodes at a place, and the least of them.
type Place = (usize, [f64; 3], f64);

/// Light at the nodes of a face at an instant, lx.
pub(super) struct LitFace {
    near: Vec<Tristimulus>,
    far: Vec<Tristimulus>,
}

/// What is known while a net is made.
struct Builder<'a> {
    scene: &'a Scene,
    obstacle: &'a Obstacle,
    plane: (DVec3, f64),
    axes: [DVec3; 2],
    middle: DVec2,
    tried: &'a [SceneLight],
    points: Vec<DVec2>,
    free: Vec<bool>,
    /// Under each light that is tried, lx.
    values: Vec<Vec<f64>>,
    kept: Vec<Receivers>,
    sides: FxHashMap<(u32, u32), u32>,
    triangles: Vec<Triangle>,
}

impl FaceNet {
    /// `None` for a face without extent.
    pub fn new(
        scene: &Scene,
        obstacle: &Obstacle,
        face: usize,
        tried: &[SceneLight],
    ) -> Option<Self> {
        let plane = obstacle.face(face)?;
        let (normal, offset) = plane;
        let first = normal.any_orthonormal_vector();
        let axes = [first, normal.cross(first)];
        let on = |p: &&DVec3| (normal.dot(**p) - offset).abs() < ON_FACE_M;
        let flat = |p: &DVec3| DVec2::new(p.dot(axes[0]), p.dot(axes[1]));
        let ring = hull(obstacle.corners().iter().filter(on).map(flat).collect());
        if ring.len() < 3 {
            return None;
        }
        let middle = ring.iter().copied().sum::<DVec2>() / ring.len() as f64;
        let mut builder = Builder {
            scene,
            obstacle,
            plane,
            axes,
            middle,
            tried,
            points: vec![middle],
            free: Vec::new(),
            values: Vec::new(),
            kept: Vec::new(),
            sides: FxHashMap::default(),
            triangles: Vec::new(),
        };
        builder.points.extend(&ring);
        let count = ring.len() as u32;
        for i in 0..count {
            let nodes = [0, 1 + i, 1 + (i + 1) % count];
            builder.triangles.push(Triangle { nodes, middles: None, halves: None });
        }
        let roots = builder.triangles.len();
        builder.cut();
        builder.refine();
        let (far, near) = builder.receivers();
        let Builder { points, free, triangles, .. } = builder;
        Some(Self { axes, points, free, triangles, roots, near, far, normal })
    }

    /// Light at the nodes, that of floodlights counted.
    pub fn lit(&self, light: &SceneLight) -> LitFace {
        LitFace {
            near: self.near.iter().flat_map(|near| on(light, near, self.normal)).collect(),
            far: self.far.as_ref().map_or_else(Vec::new, |far| on(light, far, -self.normal)),
        }
    }

    /// How many nodes.
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// Light at a place of the face: on it, and on its far side where that counts, lx.
    pub fn light(&self, of: &LitFace, at: DVec3) -> [Tristimulus; 2] {
        let at = DVec2::new(at.dot(self.axes[0]), at.dot(self.axes[1]));
        let place = |index: usize| {
            let weights = self.weights(&self.triangles[index], at);
            (index, weights, weights.into_iter().fold(f64::INFINITY, f64::min))
        };
        let further_in = |a: Place, b: Place| if b.2 >= a.2 { b } else { a };
        let roots = (0..self.roots).map(place).reduce(further_in);
        let Some(mut best) = roots else { return [Tristimulus::ZERO; 2] };
        while let Some(halves) = self.triangles[best.0].halves {
            let [a, b] = halves.map(|half| place(half as usize));
            best = further_in(b, a);
        }
        let (index, weights, _) = best;
        let triangle = &self.triangles[index];
        let weights = weights.map(|w| w.clamp(0.0, 1.0));
        let all_free = |nodes: [u32; 3]| nodes.into_iter().all(|node| self.free[node as usize]);
        let bent = triangle.middles.filter(|m| all_free(triangle.nodes) && all_free(*m));
        let sum = |values: &[Tristimulus]| match bent {
            Some(middles) => quadratic(values, (triangle.nodes, middles), weights),
            None => self.linear(values, triangle.nodes, weights),
        };
        [sum(&of.near), sum(&of.far)]
    }

    /// Between the three nodes, as far as they lie free.
    fn linear(&self, values: &[Tristimulus], nodes: [u32; 3], weights: [f64; 3]) -> Tristimulus {
        let (mut light, mut whole) = (Tristimulus::ZERO, 0.0);
        for (node, weight) in nodes.into_iter().zip(weights) {
            let node = node as usize;
            if let (true, Some(value)) = (self.free[node], values.get(node)) {
                light += *value * weight;
                whole += weight;
            }
        }
        if whole > 1e-9 { light * (1.0 / whole) } else { light }
    }

    #[inline(always)] // a pixel on a face asks often
    fn weights(&self, triangle: &Triangle, at: DVec2) -> [f64; 3] {
        let [a, b, c] = triangle.nodes.map(|i| self.points[i as usize]);
        let twice = (b - a).perp_dot(c - a);
        let twice = if twice.abs() < 1e-12 { 1e-12 } else { twice };
        let second = (at - a).perp_dot(c - a) / twice;
        let third = (b - a).perp_dot(at - a) / twice;
        [1.0 - second - third, second, third]
    }
}

/// Between three nodes and the middles of their sides: the polynomial of second order through
/// all six (any handbook of finite elements).
fn quadratic(
    values: &[Tristimulus],
    (nodes, middles): ([u32; 3], [u32; 3]),
    w: [f64; 3],
) -> Tristimulus {
    let of = |node: u32| values.get(node as usize).copied().unwrap_or_default();
    let mut light = Tristimulus::ZERO;
    for i in 0..3 {
        light += of(nodes[i]) * (w[i] * (2.0 * w[i] - 1.0));
        light += of(middles[i]) * (4.0 * w[i] * w[(i + 1) % 3]);
    }
    light
}

/// All light but the sun's own on receivers that face one way, lx.
pub(super) fn on(light: &SceneLight, receivers: &Receivers, normal: DVec3) -> Vec<Tristimulus> {
    let faces: Vec<FaceLight> = light.on(receivers);
    let views = receivers.ground_views();
    let all = faces.iter().zip(views);
    all.map(|(face, ground)| face.as_it_is + light.floodlights_on(normal, ground, None)).collect()
}

impl Builder<'_> {
    /// Halves triangles until no side is too long.
    fn cut(&mut self) {
        let mut next = 0;
        while next < self.triangles.len() {
            if self.longest(next).1 > LONGEST_M && self.points.len() < MAX_NODES / 2 {
                let middle = self.middle_of(next);
                self.halve(next, middle);
            }
            next += 1;
        }
        self.ask();
    }

    /// Halves them until light is linear over each.
    fn refine(&mut self) {
        let mut open: Vec<usize> =
            (0..self.triangles.len()).filter(|i| self.triangles[*i].halves.is_none()).collect();
        while !open.is_empty() && self.points.len() < MAX_NODES {
            open.retain(|i| self.longest(*i).1 > SHORTEST_M);
            for index in &open {
                self.triangles[*index].middles = Some([0, 1, 2].map(|s| self.middle(*index, s)));
            }
            self.ask();
            let mut next = Vec::new();
            for index in open {
                if self.bends(index) {
                    let first = self.triangles.len();
                    let middle = self.middle_of(index);
                    self.halve(index, middle);
                    next.extend([first, first + 1]);
                }
            }
            open = next;
        }
    }

    /// Which side of a triangle is the longest, and its length, metres.
    fn longest(&self, triangle: usize) -> (usize, f64) {
        let nodes = self.triangles[triangle].nodes;
        let length = |i: usize| {
            let (a, b) = (nodes[i] as usize, nodes[(i + 1) % 3] as usize);
            self.points[a].distance(self.points[b])
        };
        (0..3)
            .map(|i| (i, length(i)))
            .fold((0, 0.0), |best, one| if one.1 > best.1 + 1e-9 { one } else { best })
    }

    /// The node in the middle of the longest side.
    fn middle_of(&mut self, triangle: usize) -> u32 {
        let (side, _) = self.longest(triangle);
        self.middle(triangle, side)
    }

    /// The node in the middle of a side.
    fn middle(&mut self, triangle: usize, side: usize) -> u32 {
        let nodes = self.triangles[triangle].nodes;
        let (a, b) = (nodes[side], nodes[(side + 1) % 3]);
        let next = self.points.len() as u32;
        let node = *self.sides.entry((a.min(b), a.max(b))).or_insert(next);
        if node == next {
            self.points.push(0.5 * (self.points[a as usize] + self.points[b as usize]));
        }
        node
    }

    fn halve(&mut self, triangle: usize, middle: u32) {
        let (side, _) = self.longest(triangle);
        let nodes = self.triangles[triangle].nodes;
        let (a, b, c) = (nodes[side], nodes[(side + 1) % 3], nodes[(side + 2) % 3]);
        let first = self.triangles.len() as u32;
        self.triangles[triangle].halves = Some([first, first + 1]);
        self.triangles.push(Triangle { nodes: [a, middle, c], middles: None, halves: None });
        self.triangles.push(Triangle { nodes: [middle, b, c], middles: None, halves: None });
    }

    /// Whether light in the middle of a side is other than what its ends make of it.
    fn bends(&self, triangle: usize) -> bool {
        let Triangle { nodes, middles, .. } = self.triangles[triangle];
        let Some(middles) = middles else { return false };
        let free = |nodes: [u32; 3]| nodes.map(|node| self.free[node as usize]);
        let all = [free(nodes), free(middles)].concat();
        if !all.iter().all(|free| *free) {
            return all.iter().any(|free| *free);
        }
        let off = |side: usize| {
            let [a, b, m] = [nodes[side], nodes[(side + 1) % 3], middles[side]]
                .map(|i| &self.values[i as usize]);
            let all = a.iter().zip(b).zip(m);
            let off = all.map(|((a, b), m)| (0.5 * (a + b) - m).abs() / m.max(1e-9));
            off.fold(0.0, f64::max)
        };
        (0..3).map(off).fold(0.0, f64::max) > TOLERANCE
    }

    /// Place and facing of a node, a little inside of the face.
    fn place(&self, point: DVec2) -> DVec3 {
        let to = self.middle - point;
        let inset = to.normalize_or_zero() * INSET_M.min(0.25 * to.length());
        let at = point + inset;
        let (normal, offset) = self.plane;
        self.axes[0] * at.x + self.axes[1] * at.y + normal * (offset + OVER_M)
    }

    /// Asks for the light at the nodes that are new.
    fn ask(&mut self) {
        let new = self.values.len();
        let normal = self.plane.0;
        let at: Vec<DVec3> = self.points[new..].iter().map(|p| self.place(*p)).collect();
        if at.is_empty() {
            return;
        }
        let facing: Vec<(DVec3, DVec3)> = at.iter().map(|at| (*at, normal)).collect();
        let receivers = self.scene.receivers(&facing);
        let lit: Vec<Vec<Tristimulus>> =
            self.tried.iter().map(|light| on(light, &receivers, normal)).collect();
        for (i, at) in at.iter().enumerate() {
            self.values.push(lit.iter().map(|all| all[i].lux()).collect());
            self.free.push(!is_buried(self.scene.obstacles(), *at + normal * INSET_M));
        }
        self.kept.push(receivers);
    }

    /// Those of all nodes: on the far side where that counts, and on the face.
    fn receivers(&mut self) -> (Option<Receivers>, Vec<Receivers>) {
        let normal = self.plane.0;
        let far = (self.obstacle.scatters() > 0.0).then(|| {
            let far = |p: &DVec2| {
                let at = self.place(*p) - normal * OVER_M;
                (self.obstacle.far_side(at, normal) - normal * OVER_M, -normal)
            };
            self.scene.receivers(&self.points.iter().map(far).collect::<Vec<_>>())
        });
        (far, std::mem::take(&mut self.kept))
    }
}

fn is_buried(obstacles: &Obstacles, at: DVec3) -> bool {
    obstacles.iter().any(|obstacle| obstacle.holds(at))
}

/// Corners of the convex hull, anticlockwise.
fn hull(mut points: Vec<DVec2>) -> Vec<DVec2> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup_by(|a, b| a.distance(*b) < ON_FACE_M);
    let half = |points: &mut dyn Iterator<Item = DVec2>| {
        let mut chain: Vec<DVec2> = Vec::new();
        for p in points {
            while let [.., a, b] = chain.as_slice()
                && (*b - *a).perp_dot(p - *b) <= 1e-9
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut lower = half(&mut points.iter().copied());
    lower.extend(half(&mut points.iter().rev().copied()));
    lower
}
