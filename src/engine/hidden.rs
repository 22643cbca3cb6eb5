//! How much of what a camera covers is hidden from it, and by what.
//!
//! In: [`Surroundings`], a camera position. Out: shares of its cover, by rays to places all over
//! it. Something that lets less than half pass straight on hides as well.

use chrono::NaiveDate;
use glam::DVec3;

use super::surroundings::Surroundings;
use crate::camera::cover_ground;
use crate::geometry::{SampleGrid, Terrain};
use crate::venue::{CameraPost, Venue};

/// More of the cover than this behind something, and what is planned for the camera is for
/// ground that it does not see.
const BLOCKED_SHARE: f64 = 0.5;
/// Less of the ground than this is nothing, m2.
const NOTHING_M2: f64 = 0.5;
/// Places of the cover that are looked at, and over the turf by this, metres.
const PLACES: f64 = 400.0;
const OVER_TURF_M: f64 = 0.1;

/// What hides the cover of a camera; shares from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hidden {
    /// Of the cover, by anything.
    pub share: f64,
    /// What hides the most, index into [`crate::venue::Venue::occluders`].
    pub thing: usize,
    /// Of the cover, by that.
    pub thing_share: f64,
}

impl Hidden {
    /// `None` for a camera that covers nothing of the ground.
    pub fn from(surroundings: &Surroundings<'_>, post: &CameraPost) -> Option<Self> {
        let venue = surroundings.venue();
        let terrain = Terrain::of(venue);
        let cover = cover_ground(post, &venue.field, &venue.zones, &terrain);
        if cover.area_m2 < NOTHING_M2 {
            return None;
        }
        let lattice = SampleGrid::over(&cover.region, cover.area_m2, PLACES);
        let mut hidden = vec![0_usize; venue.occluders.len()];
        for place in lattice.places() {
            let to = terrain.at([place.x, place.y]) + DVec3::Z * OVER_TURF_M - post.at;
            let Some(toward) = to.try_normalize() else { continue };
            let owner = surroundings.blocked(post.at, toward, to.length());
            if let Some(count) = owner.and_then(|o| hidden.get_mut(o.occluder)) {
                *count += 1;
            }
        }
        let all = lattice.places().len().max(1) as f64;
        let share = hidden.iter().sum::<usize>() as f64 / all;
        let worst = hidden.iter().enumerate().max_by_key(|(_, count)| **count);
        let (thing, count) = worst.map_or((0, 0), |(thing, count)| (thing, *count));
        Some(Self { share, thing, thing_share: count as f64 / all })
    }

    /// Whether what is planned for the camera is for ground that it does not see.
    pub fn blocks(&self) -> bool {
        self.share > BLOCKED_SHARE
    }

    /// Cameras of a venue that are blocked, by index, with the leaves of a date.
    pub fn of_blocked(venue: &Venue, date: NaiveDate) -> Vec<(usize, Self)> {
        let around = Surroundings::new(venue, date);
        let cameras = venue.cameras.iter().enumerate();
        let hidden = cameras.filter_map(|(i, post)| Some((i, Self::from(&around, post)?)));
        hidden.filter(|(_, hidden)| hidden.blocks()).collect()
    }
}
