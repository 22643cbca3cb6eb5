//! What looks suspicious in a venue that is sound.
//!
//! In: a checked venue. Out: a list of [`Suspicion`]s: things that may be meant, and
//! more often are a slip of the tape or of the keyboard; and [`SkylineGap`]s between stands
//! where the sun slips through. Angles are degrees, lengths metres, local frame.
//!
//! What the reader refuses is not asked again: a roof under its deck, a solid or a
//! stand on the field, a missing declination, sizes beyond the law, zones outside, a
//! camera under ground or in something solid.

mod bodies;
mod cameras;
#[cfg(feature = "cli")]
pub mod command;
mod compass;
mod field;
mod gaps;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
mod place;
pub mod questions;
pub mod report;
mod rims;
mod zones;

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;

use crate::base::units::{Azimuth, Elevation, Lux};
use crate::engine::{Hidden, Surroundings};
use crate::venue::{FloodlightUse, UnusualSize, Venue};

pub use bodies::HEADROOM_M;
pub use compass::declination_deg;
pub use gaps::{GapFrom, SkylineGap, YearSpan};
pub use questions::{CameraAt, Half, Kickoff, PlaceAt, Questions, ThingAt, questions};

/// A day in leaf at either side of the equator, where the file names no date.
const DAY_WITHOUT_FIXTURE: Option<NaiveDate> = NaiveDate::from_ymd_opt(2027, 6, 21);

/// Everything that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Findings {
    pub suspicions: Vec<Suspicion>,
    pub gaps: Vec<SkylineGap>,
    /// The date that gaps are told for: the fixture's.
    pub date: Option<NaiveDate>,
}

/// Something that may be a slip. Indices are those of [`Venue::occluders`] and
/// [`Venue::cameras`].
#[derive(Debug, Clone, PartialEq)]
pub enum Suspicion {
    /// The sun's noon is far from the zone's.
    ZoneOffLongitude { off_h: f64, guess: Option<PlaceSlip> },
    /// The place lies far from that of its zone, or with another sign much nearer to it.
    PlaceFarFromZone { km: f64, guess: Option<PlaceSlip> },
    /// A declination that neither the bearing nor the skyline asks for.
    DeclinationUnused { degrees: f64 },
    /// A declination that the magnetic field of the Earth does not have there.
    DeclinationOff { stated_deg: f64, model_deg: f64 },
    /// Numbers that few grounds have.
    UnusualSize { size: UnusualSize },
    /// Moments of the file that end the match long before its sport does.
    EarlyEnd { moment: String, count: usize, after_min: u32, usual_min: u32 },
    /// A horizon that no land around a ground has.
    OddHorizon { azimuth: Azimuth, elevation: Elevation },
    /// The sun is down and no floodlights are lit while it is played.
    DarkFixture {
        from: DateTime<Tz>,
        until: DateTime<Tz>,
        /// Of a clear sky on level ground in the open, at both times.
        daylight: [Lux; 2],
        /// When those of the file are on.
        floodlights: Option<FloodlightUse>,
    },
    /// A start between late evening and early morning.
    NightStart { start: DateTime<Tz> },
    /// The long side of a free field lies off its bearing.
    LongSideOffBearing { off_deg: f64, long_m: f64, short_m: f64 },
    /// The outline of a free field is not around the centre of play.
    OffCentre { along_m: f64, across_m: f64 },
    /// Too little room between the deck and the roof over it.
    LowRoof { thing: usize, headroom_m: f64 },
    /// Something over the field of play.
    OverField { thing: usize, area_m2: f64, lowest_m: f64 },
    /// A crown over the field of play.
    CrownOverField { thing: usize, area_m2: f64, lowest_m: f64 },
    /// Two things in one place.
    Overlap { things: [usize; 2], area_m2: f64 },
    /// So many pairs of things in one place that the others are not looked for.
    MoreOverlaps { listed: usize },
    /// A solid in the air with nothing under it.
    Floating { thing: usize, bottom_m: f64 },
    /// Something that stops no light.
    StopsNothing { thing: usize },
    /// A crown that is darker bare than in leaf.
    LeavesReversed { thing: usize },
    /// A camera that has nothing of the field in frame.
    SeesNothing { camera: usize },
    /// A camera low over the field of play itself.
    OnField { camera: usize },
    /// A camera over the roof that it is under, or so it seems.
    OverRoof { camera: usize, thing: usize, by_m: f64 },
    /// A shutter that is open for longer than a frame.
    SlowShutter { camera: usize, frames_per_s: f64, shutter_one_over: f64 },
    /// A model of which more than half lies under the ground.
    MeshUnderGround { name: String, share: f64, lowest_m: f64 },
    /// A camera in the middle of something that lets light through.
    InsideSomething { camera: usize, thing: usize },
    /// Most of what a camera covers is behind something.
    Blocked { camera: usize, hidden: Hidden },
    /// Two cameras at one place.
    SamePlace { cameras: [usize; 2], apart_m: f64 },
    /// Every operator has cameras of their own, and this one is nobody's.
    NobodyOperates { camera: usize },
}

/// How a place may have been written down wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PlaceSlip {
    /// East for west.
    SignOfLongitude,
    /// North for south.
    SignOfLatitude,
    /// Both of them.
    BothSigns,
    /// Latitude and longitude exchanged.
    Exchanged,
}

/// The suspicions that cost nothing to look for and spoil every plan: of these each
/// command warns. [`check`] has them too.
pub fn slips(venue: &Venue) -> Vec<Suspicion> {
    let mut slips = place::slips(venue);
    slips.extend(bodies::slips(venue));
    slips.extend(cameras::slips(venue));
    slips
}

/// Looks for everything that is suspicious.
pub fn check(venue: &Venue) -> Findings {
    let fixture = venue.fixture.map(|f| f.date);
    let date = fixture.or(DAY_WITHOUT_FIXTURE).unwrap_or_default();
    let surroundings = Surroundings::new(venue, date);
    let mut suspicions = slips(venue);
    suspicions.extend(place::suspicions(venue));
    suspicions.extend(field::suspicions(venue));
    suspicions.extend(bodies::suspicions(venue, date));
    suspicions.extend(cameras::suspicions(&surroundings));
    Findings { suspicions, gaps: gaps::gaps(&surroundings, date), date: fixture }
}
