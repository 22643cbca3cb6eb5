//! What can happen on the day, and how it is written down.
//!
//! In: what someone enters. Out: [`LogEntry`]s and the lines of the log ([`Line`]). Things
//! are named as in the venue file; times carry their offset from UTC.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::base::units::Transmittance;
use crate::jobs::crew::operator_names;
use crate::light::Sky;
use crate::venue::{CameraPost, StatedExposure, Venue};

use super::correct::Correction;

/// The share of direct light that passes a thin cloud where nobody measures it (common
/// practice, no source); the same as `--sky thin`.
pub const THIN_CLOUD_PASSES: f64 = 0.5;

/// What a person may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Looks only.
    See,
    /// Enters for the cameras of one operator.
    Operate,
    /// Enters everything.
    Lead,
}

/// Who entered something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    pub role: Role,
    /// The operator; empty for others.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
}

impl Person {
    /// Who leads a ground, or the day.
    pub fn lead() -> Self {
        Self { role: Role::Lead, name: String::new() }
    }
}

/// The sky as someone at the ground sees it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SkyNow {
    #[default]
    Clear,
    Thin,
    /// A cloud in front of the sun; it will pass.
    CloudOverSun,
    Broken,
    Overcast,
}

impl SkyNow {
    /// The sky that light is worked out for.
    pub fn sky(self) -> Sky {
        match self {
            Self::Clear => Sky::Clear,
            Self::Thin => Sky::Thin(Transmittance::from_share(THIN_CLOUD_PASSES)),
            Self::CloudOverSun => Sky::Cumulus,
            Self::Broken => Sky::Broken,
            Self::Overcast => Sky::Overcast,
        }
    }

    /// Whether it is over in a moment, so that nothing ahead is planned by it.
    pub fn passes(self) -> bool {
        self == Self::CloudOverSun
    }
}

/// The light that an iris was set for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LightOn {
    Sun,
    Shade,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "snake_case")]
pub enum Event {
    /// A moment of the match, by its number in the course of play: kickoff, half-time.
    Moment {
        moment: usize,
        name: String,
        /// Whether it is still to come, at another time than planned.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        expected: bool,
        /// ND that was in each camera when play started, stops.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        nd_stops: BTreeMap<String, f64>,
    },
    /// Play stops where no break is due: an injury, rain.
    PlayStopped,
    PlayGoesOn,
    Sky {
        sky: SkyNow,
    },
    Floodlights {
        lit: bool,
    },
    /// What is really in a camera.
    Nd {
        camera: String,
        nd_stops: f64,
    },
    /// Where an iris really is.
    Iris {
        camera: String,
        t_number: f64,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        light: Option<LightOn>,
    },
    CameraOut {
        camera: String,
    },
    CameraBack {
        camera: String,
        /// ND that was in what stood in for it, stops.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        nd_stops: Option<f64>,
    },
    /// Another camera takes the place of one: a camera of the file, which leaves its own
    /// place, or a spare that the file does not know. From a moment of play on, a camera
    /// of the file comes over to a place that is out until then.
    CameraSwapped {
        camera: String,
        stand_in: String,
        /// Of a spare whose data sheet says something else than the camera it stands for.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        t_number_at_2000_lx: Option<f64>,
        /// By its number in the course of play; now where it is left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from_moment: Option<usize>,
    },
    LensChanged {
        camera: String,
        horizontal_fov_deg: f64,
    },
    /// A camera goes over to a place of another ground of the day; its own is empty from
    /// then on. The log of that ground has a [`Event::CameraComesOver`] with the same id.
    CameraGoesOver {
        camera: String,
        /// Grounds are named by their files.
        to_ground: String,
        to_place: String,
        /// The id.
        moved: String,
        /// At a moment of play of this ground; now where both are left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from_moment: Option<usize>,
        /// At a moment of play of the other ground, by its number there ...
        #[serde(default, skip_serializing_if = "Option::is_none")]
        to_moment: Option<usize>,
        /// ... which is expected then.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        expected: Option<DateTime<FixedOffset>>,
    },
    /// A camera of another ground serves a place of this one from now on.
    CameraComesOver {
        /// The place.
        camera: String,
        from_ground: String,
        from_camera: String,
        moved: String,
        /// What the file of its own ground states of it.
        exposure: Box<StatedExposure>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from_moment: Option<usize>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        expected: Option<DateTime<FixedOffset>>,
    },
    /// A camera that went over is in its own place again.
    CameraGoesHome {
        camera: String,
        from_ground: String,
        from_place: String,
        moved: String,
        /// The id of what ends.
        ends: String,
    },
    /// A camera of another ground leaves a place.
    CameraLeaves {
        /// The place.
        camera: String,
        to_ground: String,
        moved: String,
        ends: String,
    },
    /// The moment of the other ground at which a camera goes over is expected at another
    /// time. Written by the server.
    MoveExpected {
        moved: String,
        expected: DateTime<FixedOffset>,
    },
    /// The edge of the shadow passes a mark of the field.
    EdgePasses {
        mark: String,
    },
    /// Readings of a light meter on the turf, level, lx.
    Light {
        #[serde(default, skip_serializing_if = "Option::is_none")]
        sun_lx: Option<f64>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        shade_lx: Option<f64>,
    },
    /// The model's light is corrected from here on, for one sky: what was learned from the
    /// entries, accepted. Stops over the model itself, not over corrections before.
    LightCorrected {
        sky: SkyNow,
        #[serde(flatten)]
        light: Correction,
    },
    /// Takes an entry back; taking that back brings it again.
    Undo {
        #[serde(rename = "takes_back")]
        entry: u64,
    },
}

/// An event with its place in the log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LogEntry {
    /// From 1, without gaps.
    pub entry: u64,
    /// When it happened.
    pub at: DateTime<FixedOffset>,
    /// When it was entered.
    pub entered: DateTime<FixedOffset>,
    pub by: Person,
    #[serde(flatten)]
    pub what: Event,
}

/// What the log is about: its first line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Opening {
    /// [`super::FORMAT`].
    pub format: String,
    pub venue: String,
    pub zone: String,
    /// The planned start.
    pub start: DateTime<FixedOffset>,
}

/// A cue that has come.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CueLine {
    pub at: DateTime<FixedOffset>,
    /// Tells it from all others of the day.
    pub id: String,
    pub what: String,
    /// Whether a hand acts on it.
    pub key_action: bool,
    pub cameras: Vec<String>,
    pub operators: Vec<String>,
    /// Number of the last entry of the plan that it is of.
    pub after_entry: u64,
}

/// Who has which camera: settled with the first plan, kept for the day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OperatorsLine {
    pub at: DateTime<FixedOffset>,
    /// The operator of each camera.
    pub operators: BTreeMap<String, String>,
}

impl OperatorsLine {
    /// Of a venue, from the operators of its cameras, by index.
    pub fn of(venue: &Venue, at: DateTime<FixedOffset>, operator_of: &[Option<usize>]) -> Self {
        let names = operator_names(venue, None);
        let pairs = venue.cameras.iter().zip(operator_of);
        let named = pairs.filter_map(|(camera, operator)| {
            Some((camera.name.clone(), names.get((*operator)?)?.clone()))
        });
        Self { at, operators: named.collect() }
    }

    /// Camera by camera its operator, by index; open for a camera or an operator that the
    /// file has no more.
    pub fn operator_of(&self, venue: &Venue) -> Vec<Option<usize>> {
        let names = operator_names(venue, None);
        let of = |camera: &CameraPost| {
            let operator = self.operators.get(&camera.name)?;
            names.iter().position(|name| name == operator)
        };
        venue.cameras.iter().map(of).collect()
    }
}

/// A line of the log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "line", rename_all = "snake_case")]
pub enum Line {
    Opening(Opening),
    Entry(LogEntry),
    Cue(CueLine),
    Operators(OperatorsLine),
}
