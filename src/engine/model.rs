//! The result of the main job.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::base::units::Stops;
use crate::camera::{CameraView, Coverage};
use crate::geometry::{EdgeLine, ShadeShare, Shadow};
use crate::light::{Air, Daylight, FloodlightState, Sky, Tristimulus};
use crate::solar::{Sun, SunDay, SunState};
use crate::venue::Play;

/// A moment of the programme that people plan by.
#[derive(Debug, Clone, PartialEq)]
pub struct Milestone {
    /// "kickoff", "half-time", ...
    pub name: String,
    pub at: DateTime<Tz>,
    /// What happens to play.
    pub play: Play,
}

/// Sun, shadow, light and splits over a window of time.
#[derive(Debug, Clone)]
pub struct MatchPlan {
    pub sky: Sky,
    pub air: Air,
    /// What the floodlight is asked to hold splits under.
    pub hold: Stops,
    /// In order of time.
    pub milestones: Vec<Milestone>,
    /// In order of time, equal steps.
    pub instants: Vec<Instant>,
    /// In the order of [`crate::venue::Venue::cameras`].
    pub covers: Vec<Coverage>,
    /// Rise, noon and set of the day.
    pub day: SunDay,
    /// Sky view factors over the field of play.
    pub sky_view: SkyGrid,
}

/// Sky view factor of the turf on a lattice of the field.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyGrid {
    /// Distance between neighbouring places, metres.
    pub spacing_m: f64,
    /// Local frame (x east, y north, metres) and sky view factor, 0 to 1.
    pub places: Vec<(geo::Coord<f64>, f64)>,
}

/// Everything at one time.
#[derive(Debug, Clone)]
pub struct Instant {
    pub at: DateTime<Tz>,
    pub sun: Sun,
    pub sun_state: SunState,
    pub daylight: Daylight,
    pub floodlight: FloodlightState,
    /// Mean light on the turf.
    pub field_light: FieldLight,
    /// On the turf.
    pub turf: PlaneShade,
    /// At face height.
    pub face: PlaneShade,
    /// In the order of [`crate::venue::Venue::cameras`].
    pub cameras: Vec<CameraView>,
    /// Light on a face at each mark of the field toward each camera that covers it,
    /// lx: by mark, then by camera.
    pub faces: Vec<Vec<Option<Tristimulus>>>,
}

/// Light on the turf, mean over the field of play, floodlights counted; lx on the
/// horizontal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldLight {
    /// In full sun; `None` without direct sun.
    pub in_sun: Option<Tristimulus>,
    /// In opaque shade.
    pub in_shade: Tristimulus,
    /// When a cloud covers the sun that now shines.
    pub under_cloud: Option<Tristimulus>,
}

/// Shadow on one plane, with its shares.
#[derive(Debug, Clone)]
pub struct PlaneShade {
    /// On the field of play.
    pub shadow: Shadow,
    /// On all of the ground: the box, in field axes, around the surrounds.
    pub ground: Shadow,
    /// Line between full sun and shade inside the field, without the field's
    /// own boundary.
    pub edge: Vec<EdgeLine>,
    /// Of the whole field of play.
    pub field: ShadeShare,
    /// Of the playing area, the field of play counted.
    pub playing_area: ShadeShare,
    /// Of all of the ground that is planned, the playing area counted.
    pub surrounds: ShadeShare,
    /// In the order of [`crate::venue::Venue::zones`].
    pub zones: Vec<ShadeShare>,
}

impl PlaneShade {
    /// Narrowest and widest penumbra along the edge, metres; `None` without an
    /// edge inside the field.
    pub fn penumbra_range_m(&self) -> Option<(f64, f64)> {
        let widths = self.edge.iter().flat_map(|edge| edge.penumbra_m.iter().flatten().copied());
        widths.fold(None, |range, width| match range {
            None => Some((width, width)),
            Some((low, high)) => Some((width.min(low), width.max(high))),
        })
    }
}
