//! Many instants at one venue.
//!
//! In: a venue, the [`Weather`] that results hold for, what is [`Wanted`], any list of
//! instants. Out: one compact [`SeasonRow`] an instant, in the order asked for and the same
//! bit for bit whatever the number of threads.
//!
//! [`crate::engine::Prepared::instant`] tells everything of an instant and draws lines; a
//! [`Season`] tells shares and splits only, and no more of them than is wanted. Shadows
//! and shares of the field and of zones are the same to the last bit. Light comes from
//! [`crate::light::BySun`], so splits differ by some hundredths of a stop at the most;
//! `tests/season_rows.rs` holds them to that.
//!
//! ```
//! use quarterstop::light::{Air, Sky};
//! use quarterstop::engine::season::{Season, Splits, Wanted, Weather, instants_of};
//! use chrono::{NaiveDate, TimeDelta};
//! # let file = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/tennis-demo.toml");
//! let venue = quarterstop::venue::read(std::path::Path::new(file)).unwrap();
//! let weather = Weather { sky: Sky::Clear, air: Air::default().into() };
//! let wanted = Wanted { field: true, ..Wanted::NOTHING };
//! let season = Season::new(&venue, weather, wanted);
//! let date = NaiveDate::from_ymd_opt(2027, 6, 21).unwrap();
//! let rows = season.rows(&instants_of(venue.place.zone, date, TimeDelta::hours(1)));
//! assert_eq!(rows.len(), 24);
//! // at midnight all of it lies in the dark
//! assert_eq!(rows[0].field.unwrap().shaded, 1.0);
//! ```

mod days;
mod ground;
mod range;
mod run;

pub use days::{SeasonDay, dates, instants_of};
pub use run::Season;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::camera::{CameraView, LensState};
use crate::geometry::ShadeShare;
use crate::light::{AirByDate, FloodlightState, Sky};
use crate::solar::{Sun, SunState};
use crate::venue::Venue;

/// Each side must take this share of the field as ground to lie on it: half a percent. What
/// makes a side for a camera is [`crate::camera::SLIVER_SHARE`] of its pictures.
pub const FIELD_SIDE_SHARE: f64 = 0.005;

/// Sky and air that results hold for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weather {
    pub sky: Sky,
    pub air: AirByDate,
}

/// What is worked out at each instant; what is not wanted costs nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Wanted {
    /// Shares of the field of play.
    pub field: bool,
    /// Shares of each zone.
    pub zones: bool,
    /// What each camera sees.
    pub splits: Splits,
    /// The sun and each lens.
    pub lenses: bool,
    /// How far splits may be off for what is unknown of the air.
    pub ranges: bool,
    /// Whether floodlights are lit. Splits count lit ones in any case.
    pub floodlight: bool,
}

/// How much of what a camera sees is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Splits {
    None,
    /// Turf, mixed frames and the shaded share of the cover.
    Turf,
    /// The same, and a subject that faces the camera.
    TurfAndSubject,
}

impl Wanted {
    /// Only where the sun is.
    pub const NOTHING: Self = Self {
        field: false,
        zones: false,
        splits: Splits::None,
        lenses: false,
        ranges: false,
        floodlight: false,
    };
    /// All there is.
    pub const EVERYTHING: Self = Self {
        field: true,
        zones: true,
        splits: Splits::TurfAndSubject,
        lenses: true,
        ranges: true,
        floodlight: true,
    };

    /// What of it there is at a venue: nothing of cameras where it has none, which needs no
    /// light.
    fn at(self, venue: &Venue) -> Self {
        match venue.cameras.is_empty() {
            true => Self { splits: Splits::None, lenses: false, ranges: false, ..self },
            false => self,
        }
    }
}

/// One instant.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonRow {
    pub at: DateTime<Tz>,
    pub sun: Sun,
    pub sun_state: SunState,
    /// Turf of the field of play; all shade while the sun is not up. `None` where it is
    /// not wanted.
    pub field: Option<ShadeShare>,
    /// In the order of the venue's zones, on the turf; empty where not wanted.
    pub zones: Vec<ShadeShare>,
    /// In the order of the venue's cameras; empty where neither splits nor lenses are
    /// wanted.
    pub cameras: Vec<CameraRow>,
    /// `None` where it is not wanted.
    pub floodlight: Option<FloodlightState>,
}

impl SeasonRow {
    /// Whether direct light reaches the ground, by the sun's place and the sky asked
    /// for.
    pub fn sun_is_out(&self, weather: &Weather) -> bool {
        self.sun_state == SunState::Up && !weather.sky.hides_sun()
    }

    /// Whether sun and shade both lie on the field, each on half a percent of it at
    /// least; never while the sun is not up. `None` where the field is not wanted.
    pub fn field_is_mixed(&self) -> Option<bool> {
        let shaded = self.field?.shaded;
        let both = (FIELD_SIDE_SHARE..=1.0 - FIELD_SIDE_SHARE).contains(&shaded);
        Some(both && self.sun_state == SunState::Up)
    }
}

/// One camera at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameraRow {
    /// Shares and splits; [`CameraRow::DARK`]'s without direct sun. The subject's are
    /// [`crate::camera::Split::NOTHING`] where only turf is wanted, and there is no swing
    /// under a cloud. `None` where splits are not wanted.
    pub view: Option<CameraView>,
    /// `None` where it is not wanted.
    pub lens: Option<LensState>,
}

impl CameraRow {
    /// What a camera sees without direct sun: no edge, and no light told.
    pub const DARK: CameraView = CameraView {
        shaded_share: 1.0,
        mixed_frames: 0.0,
        turf: crate::camera::Split::NOTHING,
        subject: crate::camera::Split::NOTHING,
    };
}
