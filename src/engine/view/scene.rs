//! A venue prepared for pictures: what no instant and no camera changes.
//!
//! In: a [`Prepared`] venue and the lights of some instants to try with. Out: [`ViewScene`],
//! which keeps the nodes of every face that a picture has shown.

use std::sync::{Arc, Mutex, PoisonError, RwLock};

use glam::DVec3;
use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::faces::{FaceNet, LitFace};
use super::globe::Globe;
use super::ground::MarkedGround;
use super::instant::ViewLight;
use super::nodes::MeshNodes;
use crate::engine::Prepared;
use crate::geometry::Obstacles;
use crate::light::{GroundNet, Scene, SceneLight};
use crate::venue::{Horizon, Subject};

/// Places of players that are kept, and lights.
const MAX_GLOBES: usize = 64;
const MAX_LIGHTS: usize = 16;

/// An obstacle and its face.
pub(super) type FaceKey = (u32, u32);
/// A face with its light at an instant.
pub(super) type KnownFace = (Arc<FaceNet>, Arc<LitFace>);
type LitFaces = FxHashMap<FaceKey, KnownFace>;

/// A venue ready for pictures of any camera at any instant of its day.
pub struct ViewScene {
    pub(super) scene: Arc<Scene>,
    pub(super) net: GroundNet,
    pub(super) ground: MarkedGround,
    pub(super) horizon: Horizon,
    pub(super) subject: Subject,
    /// Shared by pictures that are being taken; what is new goes into a copy.
    nodes: RwLock<Arc<MeshNodes>>,
    /// Reflectances of each obstacle.
    pub(super) reflects: Vec<[f64; 3]>,
    faces: RwLock<FxHashMap<FaceKey, Option<Arc<FaceNet>>>>,
    /// By the place of each, the latest last.
    globes: Mutex<Vec<(DVec3, Arc<Globe>)>>,
    tried: Vec<SceneLight>,
    /// The light on faces by the number of the light, the latest last.
    lit: Mutex<Vec<(u64, LitFaces)>>,
}

impl std::fmt::Debug for ViewScene {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ViewScene").finish_non_exhaustive()
    }
}

impl ViewScene {
    /// Prepares a venue. Faces get nodes until the light of each of `tried` is smooth between.
    pub fn new(prepared: &Prepared<'_>, tried: &[&ViewLight]) -> Self {
        let scene = Arc::clone(&prepared.lit.scene);
        let venue = prepared.venue;
        let reflects = scene.obstacles().iter();
        let reflects =
            reflects.map(|o| super::colours::of_part(o.part(), o.reflectance())).collect();
        Self {
            net: GroundNet::new(scene.places()),
            ground: MarkedGround::new(&venue.field),
            horizon: venue.horizon.clone(),
            subject: venue.subject,
            nodes: RwLock::default(),
            faces: RwLock::default(),
            globes: Mutex::default(),
            tried: tried.iter().map(|light| light.light.clone()).collect(),
            lit: Mutex::default(),
            reflects,
            scene,
        }
    }

    /// What stands.
    pub fn obstacles(&self) -> &Obstacles {
        self.scene.obstacles()
    }

    /// Makes the nodes of faces that have none yet.
    pub(super) fn know(&self, wanted: &[FaceKey], on_meshes: &[(usize, DVec3, DVec3)]) {
        let missing: Vec<FaceKey> = {
            let faces = self.faces.read().unwrap_or_else(PoisonError::into_inner);
            wanted.iter().copied().filter(|key| !faces.contains_key(key)).collect()
        };
        let net = |key: &FaceKey| {
            let obstacle = self.obstacles().get(key.0 as usize)?;
            FaceNet::new(&self.scene, obstacle, key.1 as usize, &self.tried).map(Arc::new)
        };
        let made: Vec<_> = missing.par_iter().map(|key| (*key, net(key))).collect();
        if !made.is_empty() {
            self.faces.write().unwrap_or_else(PoisonError::into_inner).extend(made);
        }
        let new: Vec<(usize, DVec3, DVec3)> = {
            let nodes = self.nodes();
            let unknown = |(obstacle, at, normal): &&(usize, DVec3, DVec3)| {
                !nodes.knows(*obstacle, *at, *normal)
            };
            on_meshes.iter().filter(unknown).copied().collect()
        };
        if !new.is_empty() {
            let mut nodes = self.nodes.write().unwrap_or_else(PoisonError::into_inner);
            Arc::make_mut(&mut nodes).add(&self.scene, &new);
        }
    }

    /// The nodes of a face, where they are known.
    pub(super) fn face(&self, key: FaceKey) -> Option<Arc<FaceNet>> {
        let faces = self.faces.read().unwrap_or_else(PoisonError::into_inner);
        faces.get(&key).cloned().flatten()
    }

    /// Faces that have nodes, with their light at an instant; what a picture of that instant
    /// asked for before is kept.
    pub(super) fn lit(&self, light: &ViewLight, wanted: &[FaceKey]) -> Vec<(FaceKey, KnownFace)> {
        let all = || self.lit.lock().unwrap_or_else(PoisonError::into_inner);
        let of =
            |all: &[(u64, LitFaces)]| all.iter().position(|(number, _)| *number == light.number);
        let (mut found, mut missing) = (Vec::with_capacity(wanted.len()), Vec::new());
        {
            let all = all();
            let kept = of(&all).map(|index| &all[index].1);
            for key in wanted {
                match kept.and_then(|kept| kept.get(key)) {
                    Some(known) => found.push((*key, known.clone())),
                    None => missing.push(*key),
                }
            }
        }
        // worked out without the lock: it is work for all threads
        let lit = |key: &FaceKey| {
            let net = self.face(*key)?;
            let lit = Arc::new(net.lit(&light.light));
            Some((*key, (net, lit)))
        };
        let made: Vec<(FaceKey, KnownFace)> = missing.par_iter().filter_map(lit).collect();
        let mut all = all();
        let index = of(&all).unwrap_or_else(|| {
            if all.len() == MAX_LIGHTS {
                all.remove(0);
            }
            all.push((light.number, LitFaces::default()));
            all.len() - 1
        });
        all[index].1.extend(made.iter().cloned());
        found.extend(made);
        found
    }

    /// Receivers of all facings at a place.
    pub(super) fn globe(&self, at: DVec3) -> Arc<Globe> {
        let globes = || self.globes.lock().unwrap_or_else(PoisonError::into_inner);
        let known = globes().iter().find(|(of, _)| *of == at).map(|(_, globe)| Arc::clone(globe));
        // made without the lock: its rays are work for all threads
        known.unwrap_or_else(|| {
            let made = Arc::new(Globe::new(&self.scene, at));
            let mut globes = globes();
            if globes.len() == MAX_GLOBES {
                globes.remove(0);
            }
            globes.push((at, Arc::clone(&made)));
            made
        })
    }

    /// The nodes on meshes, as they are known now.
    pub(super) fn nodes(&self) -> Arc<MeshNodes> {
        Arc::clone(&self.nodes.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// Nodes of all faces that pictures have shown.
    pub fn nodes_on_faces(&self) -> usize {
        let faces = self.faces.read().unwrap_or_else(PoisonError::into_inner);
        faces.values().flatten().map(|net| net.len()).sum()
    }
}

impl Prepared<'_> {
    /// The light scene that all of it is asked of.
    pub fn light_scene(&self) -> &Scene {
        &self.lit.scene
    }

    pub fn venue(&self) -> &crate::venue::Venue {
        self.venue
    }
}
