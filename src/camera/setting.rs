//! What to set: white on either side of the edge, whether one setting serves both,
//! and what it costs.
//!
//! In: a [`CameraView`], a [`Rig`], the [`Subject`] in front of it. Out: an
//! [`Exposure`]: the luminance in cd/m2 that belongs at white on either side, the
//! least bad single setting, and a [`Verdict`].
//!
//! Skin is set so many stops under white, turf where it lies beside skin in the same
//! light or where the file puts it. A setting is *kept* by the camera when the
//! brightest kit on the bright side stays under white and knee, and the darkest kit
//! on the dim side above what the camera still shows.

use super::rig::Rig;
use super::split::{CameraView, OneSide, Side, Split, SplitState};
use crate::units::{Luminance, Stops};
use crate::venue::{ExposesFor, Subject};

/// Sides no further apart than this are served by one setting, a quarter of a stop
/// off either way: what cameras are matched to (common practice, no source).
pub const ONE_SETTING_STOPS: f64 = 0.5;
/// A side that is off by more than this looks wrong, not only unmatched (common
/// practice, no source).
pub const LOOKS_WRONG_STOPS: f64 = 1.0;
/// Where at least this share of the frames shows both sides, no hand can follow.
pub const MIXED_FRAMES: f64 = 0.5;

/// What a camera is to do at one instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// One setting serves all that is in shot.
    Hold,
    /// The sides come one after the other as the camera pans: follow with the iris.
    Ride,
    /// Both sides are in frame and no setting serves both: expose for one.
    Choose,
}

/// What belongs at white, and what one setting would cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// Luminance to put at white on the sunlit side; `None` without direct sun.
    pub sun: Option<Luminance>,
    /// On the shaded side.
    pub shade: Luminance,
    /// What is in the cover.
    pub sides: SidesInCover,
    /// Sun over shade, stops: how far a ride goes. `None` without direct sun.
    pub ride: Option<Stops>,
    /// The setting to hold, where one has to serve.
    pub one: OneSetting,
    pub verdict: Verdict,
}

/// Which sides of the edge a cover holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SidesInCover {
    Both,
    Only(OneSide),
    /// No direct sun: one kind of light.
    NoSun,
}

/// One setting for all that is in the cover.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneSetting {
    /// Luminance at white.
    pub white: Luminance,
    /// How much too bright the bright side and how much too dark the dim side is,
    /// stops, 0 or more.
    pub over: Stops,
    pub under: Stops,
    /// How much more than the camera keeps lies between the brightest and the
    /// darkest kit, stops; negative where there is room.
    pub beyond: Stops,
}

impl OneSetting {
    /// Whether the camera keeps detail in the brightest and in the darkest kit.
    pub fn keeps_all(&self) -> bool {
        self.beyond.stops() <= 0.0
    }
}

/// What to set at an instant; `None` where the camera sees nothing of the field.
pub fn exposure(view: &CameraView, rig: &Rig, subject: &Subject) -> Option<Exposure> {
    let white = |turf: Option<Side>, face: Option<Side>| white(rig, subject, turf?, face?);
    let shade = white(view.turf.shaded, view.subject.shaded)?;
    let sun = white(view.turf.sunlit, view.subject.sunlit);
    let sides = in_cover(&view.turf, sun);
    let shown = match (sides, sun) {
        (SidesInCover::Both, Some(sun)) => vec![sun, shade],
        (SidesInCover::Only(OneSide::AllSunlit), Some(sun)) => vec![sun],
        _ => vec![shade],
    };
    let one = one_setting(&shown, kit(view, sides, subject)?, rig)?;
    let verdict = match sides {
        SidesInCover::Both => verdict(&one, view.mixed_frames),
        _ => Verdict::Hold,
    };
    let ride = sun.and_then(|sun| Stops::between(sun, shade));
    Some(Exposure { sun, shade, sides, ride, one, verdict })
}

fn in_cover(turf: &Split, sun: Option<Luminance>) -> SidesInCover {
    match (turf.state, sun) {
        (SplitState::InShot(_), Some(_)) => SidesInCover::Both,
        (SplitState::Latent(_, side), Some(_)) => SidesInCover::Only(side),
        _ => SidesInCover::NoSun,
    }
}

/// Luminance that belongs at white on one side.
fn white(rig: &Rig, subject: &Subject, turf: Side, face: Side) -> Option<Luminance> {
    // a surface that lies at white where skin lies as far under it as stated
    let at_white = subject.skin_reflectance * subject.skin_under_white_stops.exp2();
    let lit = |side: Side| side.light.lux() * at_white / std::f64::consts::PI;
    let skin = lit(face);
    let grass = match subject.turf_under_white_stops {
        Some(stops) => turf.luminance.cd_per_m2() * stops.exp2(),
        None => lit(turf),
    };
    let white = match rig.exposes_for {
        ExposesFor::Skin => skin,
        ExposesFor::Turf => grass,
        ExposesFor::Both => (skin * grass).sqrt(),
    };
    (white > 0.0).then(|| Luminance::from_cd_per_m2(white))
}

/// Luminances of the darkest and of the brightest kit in the cover.
fn kit(view: &CameraView, sides: SidesInCover, subject: &Subject) -> Option<(f64, f64)> {
    let lit = |side: Option<Side>| side.map(|s| s.light.lux() / std::f64::consts::PI);
    let (sun, shade) = (lit(view.subject.sunlit), lit(view.subject.shaded));
    let (low, high) = match sides {
        SidesInCover::Both => (sun?.min(shade?), sun?.max(shade?)),
        SidesInCover::Only(OneSide::AllSunlit) => (sun?, sun?),
        SidesInCover::Only(OneSide::AllShaded) | SidesInCover::NoSun => (shade?, shade?),
    };
    Some((low * subject.black_kit_reflectance, high * subject.white_kit_reflectance))
}

/// The setting between the sides that is off by the same on both, moved as far as
/// needed to keep the kit; half way where it cannot be kept.
fn one_setting(shown: &[Luminance], (dark, bright): (f64, f64), rig: &Rig) -> Option<OneSetting> {
    let log = |l: &Luminance| l.cd_per_m2().log2();
    let (low, high) = shown
        .iter()
        .map(log)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)));
    let (least, most) = (bright.log2() - rig.knee_stops, dark.log2() + rig.under_white_stops);
    let beyond = least - most;
    if ![low, high, beyond].iter().all(|v| v.is_finite()) {
        return None;
    }
    let middle = 0.5 * (low + high);
    let set = match beyond <= 0.0 {
        true => middle.clamp(least, most),
        false => 0.5 * (least + most),
    };
    Some(OneSetting {
        white: Luminance::from_cd_per_m2(set.exp2()),
        over: Stops::from_stops((high - set).max(0.0)),
        under: Stops::from_stops((set - low).max(0.0)),
        beyond: Stops::from_stops(beyond),
    })
}

fn verdict(one: &OneSetting, mixed_frames: f64) -> Verdict {
    let off = one.over.stops().max(one.under.stops());
    if off <= 0.5 * ONE_SETTING_STOPS && one.keeps_all() {
        Verdict::Hold
    } else if mixed_frames < MIXED_FRAMES {
        Verdict::Ride
    } else if off <= LOOKS_WRONG_STOPS && one.keeps_all() {
        Verdict::Hold
    } else {
        Verdict::Choose
    }
}
