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
//!
//! Classes of light count by what they take of the picture ([`ClassShares::counts`]): a
//! sliver not at all, a tenth of it in full, between them in proportion. So the one setting
//! and what it costs move evenly with the edge.

use crate::base::units::{Luminance, Stops};
use crate::camera::class::{ClassShares, LightClass, SLIVER_SHARE};
use crate::camera::rig::Rig;
use crate::camera::split::{CameraView, OneSide, Side, Split, SplitState};
use crate::venue::{ExposesFor, Subject};

/// Sides no further apart than this are served by one setting, a quarter of a stop
/// off either way: what cameras are matched to (common practice, no source).
pub const ONE_SETTING_STOPS: f64 = 0.5;
/// A side that is off by more than this looks wrong, not only unmatched (common
/// practice, no source).
pub const LOOKS_WRONG_STOPS: f64 = 1.0;
/// Where at least this share of the frames shows both sides, no hand can follow.
pub const MIXED_FRAMES: f64 = 0.5;
/// A verdict stays until a limit in stops is passed by this much: a tenth of a stop is no
/// more than the marks on a lens resolve (common practice, no source).
pub const VERDICT_HYSTERESIS_STOPS: f64 = 0.1;
/// ... and until [`MIXED_FRAMES`] is passed by this share of the frames.
pub const VERDICT_HYSTERESIS_FRAMES: f64 = 0.1;

/// What a camera is to do at one instant.
/// Later ones ask more of a hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
    /// In dimmed light; `None` where nothing is dimmed.
    pub dimmed: Option<Luminance>,
    /// In opaque shade.
    pub opaque: Luminance,
    /// On the shaded side: in opaque shade; in dimmed light where that is there in its
    /// place, and between the two while one gives way to the other.
    pub shade: Luminance,
    /// How much each class of light takes of the picture.
    pub shares: ClassShares,
    /// What is in the cover.
    pub sides: SidesInCover,
    /// Sun over shade, stops, 0 or more: how far a ride goes. `None` without direct sun.
    pub ride: Option<Stops>,
    /// The setting to hold, where one has to serve.
    pub one: OneSetting,
    pub verdict: Verdict,
}

impl Exposure {
    /// White in dimmed light; `None` where no more than a sliver is dimmed.
    pub fn dimmed_side(&self) -> Option<Luminance> {
        self.dimmed.filter(|_| self.shares.dimmed >= SLIVER_SHARE)
    }

    /// White of each class that makes a side in the cover, with how much it counts for a
    /// setting, over 0 to 1.
    pub fn in_cover(&self) -> impl Iterator<Item = (Luminance, f64)> {
        let (shares, no_sun) = (self.shares, self.sun.is_none());
        let classes = [
            (self.sun, LightClass::Sun),
            (self.dimmed, LightClass::Dimmed),
            (Some(self.opaque), LightClass::Shade),
        ];
        let counted = move |(white, class): (Option<Luminance>, LightClass)| {
            Some((white?, if no_sun { 1.0 } else { shares.counts(class) }))
        };
        classes.into_iter().filter_map(counted).filter(|(_, counts)| *counts > 0.0)
    }
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
    /// stops, 0 or more. A side that is only coming into the cover counts in part.
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

/// What to set at an instant that nothing is known to come before; `None` where the camera
/// sees nothing of the field.
pub fn exposure(view: &CameraView, rig: &Rig, subject: &Subject) -> Option<Exposure> {
    exposure_after(view, rig, subject, None)
}

/// What to set at an instant where `held` was the verdict before it; `None` where the camera
/// sees nothing of the field.
pub fn exposure_after(
    view: &CameraView,
    rig: &Rig,
    subject: &Subject,
    held: Option<Verdict>,
) -> Option<Exposure> {
    let Sought { sun, dimmed, opaque, whites, kit } = sought(view, rig, subject)?;
    let shares = view.turf.shares;
    let one = one_setting(whites, kit, rig)?;
    let sides = in_cover(&view.turf, sun);
    let verdict = match sides {
        SidesInCover::Both => verdict(&one, rig, view.mixed_frames, held),
        _ => Verdict::Hold,
    };
    // dimmed light stands for the shade as far as it counts and opaque shade does not
    let in_place = shares.counts(LightClass::Dimmed) * (1.0 - shares.counts(LightClass::Shade));
    let shade = dimmed.map_or(opaque, |dimmed| {
        let stops = (dimmed.cd_per_m2() / opaque.cd_per_m2()).log2();
        Luminance::from_cd_per_m2(opaque.cd_per_m2() * (in_place * stops).exp2())
    });
    let ride = sun.and_then(|sun| Stops::between(sun, shade));
    Some(Exposure { sun, dimmed, opaque, shade, shares, sides, ride, one, verdict })
}

/// What an iris that is set leaves of an output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetFor {
    /// The iris that is set, as one setting for this output; `beyond` is how far the worse kit
    /// lies outside of what is kept, negative where both are kept.
    pub one: OneSetting,
    /// Whether no side looks wrong with it and all kit is kept, whatever is in frame with what.
    pub holds: bool,
}

/// What an iris that puts `white` at white leaves of the output that `rig` is for; `None`
/// where the camera sees nothing of the field.
pub fn set_for(
    view: &CameraView,
    rig: &Rig,
    subject: &Subject,
    white: Luminance,
) -> Option<SetFor> {
    let Sought { whites, kit, .. } = sought(view, rig, subject)?;
    let set = white.cd_per_m2().log2();
    let (least, most) = kept(kit, rig);
    let beyond = (least - set).max(set - most);
    let one = setting_at(set, whites, beyond)?;
    Some(SetFor { one, holds: off(&one, rig) <= LOOKS_WRONG_STOPS && one.keeps_all() })
}

/// What sides and kit ask of an iris.
struct Sought {
    sun: Option<Luminance>,
    dimmed: Option<Luminance>,
    opaque: Luminance,
    /// Whites of the darkest and of the brightest side, stops.
    whites: (f64, f64),
    /// The darkest and the brightest kit, stops.
    kit: (f64, f64),
}

fn sought(view: &CameraView, rig: &Rig, subject: &Subject) -> Option<Sought> {
    let shares = view.turf.shares;
    let white = |turf: Option<Side>, face: Option<Side>| white(rig, subject, turf?, face?);
    let opaque = white(view.turf.shaded, view.subject.shaded)?;
    let sun = white(view.turf.sunlit, view.subject.sunlit);
    let [turf_dimmed, face_dimmed] = [view.turf, view.subject].map(|s| dimmed(&s, &shares));
    let dimmed = white(turf_dimmed, face_dimmed);
    let log = |white: Luminance| white.cd_per_m2().log2();
    let whites = ends((sun.map(log), dimmed.map(log), log(opaque)), &shares);
    let log = |side: Side| side.light.lux().log2();
    let faces = (view.subject.sunlit.map(log), face_dimmed.map(log), log(view.subject.shaded?));
    let (dim, bright) = ends(faces, &shares);
    let kit = |stops: f64, reflectance: f64| stops + (reflectance / std::f64::consts::PI).log2();
    let kit = (kit(dim, subject.black_kit_reflectance), kit(bright, subject.white_kit_reflectance));
    Some(Sought { sun, dimmed, opaque, whites, kit })
}

/// The side in dimmed light with the mean transmittance of the dimmed turf; `None` where
/// there is none.
pub(super) fn dimmed(split: &Split, shares: &ClassShares) -> Option<Side> {
    split.mixed(shares.transmittance).filter(|_| shares.dimmed > 0.0)
}

/// From the darkest to the brightest of the classes' values in stops (sun, dimmed, shade),
/// each as far as it counts: a class that begins to count draws its end toward itself, so
/// both ends move by no more than the classes' spread times the change of what they count.
fn ends((sun, dimmed, shade): (Option<f64>, Option<f64>, f64), shares: &ClassShares) -> (f64, f64) {
    let Some(sun) = sun else { return (shade, shade) };
    let toward = |from: f64, to: f64, class: LightClass| from + shares.counts(class) * (to - from);
    let through = |from: f64| dimmed.map_or(from, |d| toward(from, d, LightClass::Dimmed));
    let low = toward(through(sun), shade, LightClass::Shade);
    let high = toward(through(shade), sun, LightClass::Sun);
    (low, high)
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

/// The setting between the sides that is off by the same on both, as far as both look wrong
/// alike, moved as far as needed to keep the kit; half way where it cannot be kept. All in
/// stops: whites of the darkest and of the brightest side, the darkest and the brightest kit.
fn one_setting((low, high): (f64, f64), kit: (f64, f64), rig: &Rig) -> Option<OneSetting> {
    let (least, most) = kept(kit, rig);
    let beyond = least - most;
    // off on both by the same share of what either may be off
    let [over, under] = [rig.looks_wrong_over_stops, LOOKS_WRONG_STOPS];
    let middle = low * (over / (over + under)) + high * (under / (over + under));
    let set = match beyond <= 0.0 {
        true => middle.clamp(least, most),
        false => 0.5 * (least + most),
    };
    setting_at(set, (low, high), beyond)
}

/// Between which settings the darkest and the brightest kit are kept; the first is over the
/// second where no setting does.
fn kept((dark, bright): (f64, f64), rig: &Rig) -> (f64, f64) {
    (bright - rig.knee_stops, dark + rig.under_white_stops)
}

/// A setting beside the whites of both sides; all in stops.
fn setting_at(set: f64, (low, high): (f64, f64), beyond: f64) -> Option<OneSetting> {
    [low, high, set, beyond].iter().all(|v| v.is_finite()).then(|| OneSetting {
        white: Luminance::from_cd_per_m2(set.exp2()),
        over: Stops::from_stops((high - set).max(0.0)),
        under: Stops::from_stops((set - low).max(0.0)),
        beyond: Stops::from_stops(beyond),
    })
}

/// How far the worse side is off, in stops of an output in which both sides look wrong alike.
fn off(one: &OneSetting, rig: &Rig) -> f64 {
    let over = one.over.stops() * (LOOKS_WRONG_STOPS / rig.looks_wrong_over_stops);
    over.max(one.under.stops())
}

/// The verdict, where limits give way in favour of the one held before.
fn verdict(one: &OneSetting, rig: &Rig, mixed_frames: f64, held: Option<Verdict>) -> Verdict {
    let stops = match held {
        Some(Verdict::Hold) => VERDICT_HYSTERESIS_STOPS,
        Some(Verdict::Ride | Verdict::Choose) => -VERDICT_HYSTERESIS_STOPS,
        None => 0.0,
    };
    let frames = match held {
        Some(Verdict::Ride) => VERDICT_HYSTERESIS_FRAMES,
        Some(Verdict::Choose) => -VERDICT_HYSTERESIS_FRAMES,
        _ => 0.0,
    };
    let off = off(one, rig);
    let holds = |limit: f64| off <= limit + stops && one.beyond.stops() <= stops;
    if holds(0.5 * ONE_SETTING_STOPS) {
        Verdict::Hold
    } else if mixed_frames < MIXED_FRAMES + frames {
        Verdict::Ride
    } else if holds(LOOKS_WRONG_STOPS) {
        Verdict::Hold
    } else {
        Verdict::Choose
    }
}
