//! A venue prepared for pictures: what no instant and no camera changes.
//!
//! In: a [`Prepared`] venue and the lights of some instants to try with. Out: [`ViewScene`],
//! which keeps the nodes of every face that a picture has shown.

use std::sync::{Arc, Mutex, PoisonError, RwLock};

use glam::DVec3;
use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::faces::FaceNet;
use super::globe::Globe;
use super::ground::Ground;
use super::instant::ViewLight;
use super::nodes::MeshNodes;
use crate::engine::Prepared;
use crate::geometry::Obstacles;
use crate::light::{GroundNet, Scene, SceneLight};
use crate::venue::{Horizon, Subject};

/// Places of players that are kept.
const MAX_GLOBES: usize = 64;

/// An obstacle and its face.
pub(super) type FaceKey = (u32, u32);

/// A venue ready for pictures of any camera at any instant of its day.
pub struct ViewScene {
    pub(super) scene: Arc<Scene>,
    pub(super) net: GroundNet,
    pub(super) ground: Ground,
    pub(super) horizon: Horizon,
    pub(super) subject: Subject,
    pub(super) nodes: RwLock<MeshNodes>,
    /// Reflectances of each obstacle.
    pub(super) reflects: Vec<[f64; 3]>,
    faces: RwLock<FxHashMap<FaceKey, Option<Arc<FaceNet>>>>,
    /// By the place of each, the latest last.
    globes: Mutex<Vec<(DVec3, Arc<Globe>)>>,
    tried: Vec<SceneLight>,
}

impl std::fmt::Debug for ViewScene {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ViewScene").finish_non_exhaustive()
    }
}

impl ViewScene {
    /// Prepares a venue. Faces get nodes until the light of each of `tried` is smooth between.
    pub fn new(prepared: &Prepared<'_>, tried: &[&ViewLight]) -> Self {
        let scene = Arc::clone(&prepared.scene);
        let venue = prepared.venue;
        let reflects = scene.obstacles().iter();
        let reflects =
            reflects.map(|o| super::colours::of_part(o.part(), o.reflectance())).collect();
        Self {
            net: GroundNet::new(scene.places()),
            ground: Ground::new(&venue.field),
            horizon: venue.horizon.clone(),
            subject: venue.subject,
            nodes: RwLock::default(),
            faces: RwLock::default(),
            globes: Mutex::default(),
            tried: tried.iter().map(|light| light.light.clone()).collect(),
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
            let nodes = self.nodes.read().unwrap_or_else(PoisonError::into_inner);
            let unknown = |(obstacle, at, normal): &&(usize, DVec3, DVec3)| {
                !nodes.knows(*obstacle, *at, *normal)
            };
            on_meshes.iter().filter(unknown).copied().collect()
        };
        if !new.is_empty() {
            let mut nodes = self.nodes.write().unwrap_or_else(PoisonError::into_inner);
            nodes.add(&self.scene, &new);
        }
    }

    /// The nodes of a face, where they are known.
    pub(super) fn face(&self, key: FaceKey) -> Option<Arc<FaceNet>> {
        let faces = self.faces.read().unwrap_or_else(PoisonError::into_inner);
        faces.get(&key).cloned().flatten()
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

    /// Nodes of all faces that pictures have shown.
    pub fn nodes(&self) -> usize {
        let faces = self.faces.read().unwrap_or_else(PoisonError::into_inner);
        faces.values().flatten().map(|net| net.len()).sum()
    }
}

impl Prepared<'_> {
    /// The light scene that all of it is asked of.
    pub fn light_scene(&self) -> &Scene {
        &self.scene
    }

    pub fn venue(&self) -> &crate::venue::Venue {
        self.venue
    }
}
