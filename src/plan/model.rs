//! The result of the main job.

use chrono::DateTime;
use chrono_tz::Tz;
use geo::{MultiLineString, MultiPolygon};

use crate::camera::CameraView;
use crate::geometry::{ShadeShare, Shadow};
use crate::light::{Daylight, Sky};
use crate::solar::{Sun, SunState};

/// A moment of the programme that people plan by.
#[derive(Debug, Clone, PartialEq)]
pub struct Milestone {
    /// "kickoff", "half-time", ...
    pub name: String,
    pub at: DateTime<Tz>,
}

/// Sun, shadow, light and splits over a window of time.
#[derive(Debug, Clone)]
pub struct MatchPlan {
    pub sky: Sky,
    /// In order of time.
    pub milestones: Vec<Milestone>,
    /// In order of time, equal steps.
    pub instants: Vec<Instant>,
    /// In the order of [`crate::venue::Venue::cameras`].
    pub covers: Vec<Cover>,
    /// Rise, noon and set of the day.
    pub day: SunDay,
}

/// The part of the field of play a camera covers.
#[derive(Debug, Clone)]
pub struct Cover {
    pub region: MultiPolygon<f64>,
    /// Area, m2; 0 where the camera sees nothing of the field.
    pub area_m2: f64,
    /// Share of each zone that the camera covers, in the order of
    /// [`crate::venue::Venue::zones`], 0 to 1.
    pub zone_shares: Vec<f64>,
}

/// Rise and set of a day at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SunDay {
    RisesAndSets {
        rise: DateTime<Tz>,
        noon: DateTime<Tz>,
        set: DateTime<Tz>,
    },
    /// Up all day.
    PolarDay { noon: DateTime<Tz> },
    /// Down all day.
    PolarNight { noon: DateTime<Tz> },
}

/// Everything at one time.
#[derive(Debug, Clone)]
pub struct Instant {
    pub at: DateTime<Tz>,
    pub sun: Sun,
    pub sun_state: SunState,
    pub daylight: Daylight,
    /// On the turf.
    pub turf: PlaneShade,
    /// At face height.
    pub face: PlaneShade,
    /// In the order of [`crate::venue::Venue::cameras`].
    pub cameras: Vec<CameraView>,
}

/// Shadow on one plane, with its shares.
#[derive(Debug, Clone)]
pub struct PlaneShade {
    pub shadow: Shadow,
    /// Line between full sun and shade inside the field, without the field's
    /// own boundary.
    pub edge: MultiLineString<f64>,
    /// Of the whole field of play.
    pub field: ShadeShare,
    /// In the order of [`crate::venue::Venue::zones`].
    pub zones: Vec<ShadeShare>,
}
