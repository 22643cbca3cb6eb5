//! What an exposure leaves of skin from dark to light.
//!
//! In: what a camera sees, the luminance at white, the rig. Out: a [`SkinLight`] for every skin
//! in every class of light that makes a side in the cover.
//!
//! A skin belongs where Report ITU-R BT.2408 has faces of its kind: the range of HLG signal of
//! its table, taken back through the curve of BT.2100 to stops under reference white. So the
//! same range holds for SDR, of which the report states none.

use crate::base::units::Luminance;
use crate::camera::class::{LightClass, SLIVER_SHARE};
use crate::camera::rig::Rig;
use crate::camera::setting::{LOOKS_WRONG_STOPS, dimmed};
use crate::camera::split::{CameraView, Side};
use crate::signal::{LEVELS, PlacedTone};
use crate::venue::{Skin, Skins};

/// What a setting makes of a skin. Later ones are worse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SkinVerdict {
    /// Within its levels, or no farther outside than looks right.
    Fits,
    /// More than [`LOOKS_WRONG_STOPS`] over them.
    TooBright,
    /// More than [`LOOKS_WRONG_STOPS`] under them.
    TooDark,
    /// Brighter than the output keeps.
    Clips,
    /// Darker than the darkest tone with detail.
    Lost,
}

/// One skin in one class of light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkinLight {
    pub skin: Skin,
    pub class: LightClass,
    /// Over white, negative under it.
    pub over_white_stops: f64,
    /// Outside of its levels, negative under them, 0 within.
    pub off_stops: f64,
    pub verdict: SkinVerdict,
}

/// Skins in every class of light that the picture shows.
pub fn skin_lights(view: &CameraView, rig: &Rig, skins: Skins, white: Luminance) -> Vec<SkinLight> {
    let (split, shares) = (&view.subject, view.turf.shares);
    let sun_is_out = split.sunlit.is_some();
    let sides = [
        (LightClass::Sun, split.sunlit, shares.sun),
        (LightClass::Dimmed, dimmed(split, &shares), shares.dimmed),
        (LightClass::Shade, split.shaded, if sun_is_out { shares.shade } else { 1.0 }),
    ];
    let shown = sides.into_iter().filter(|(.., share)| *share >= SLIVER_SHARE);
    let lit = shown.filter_map(|(class, side, _)| Some((class, side?)));
    let of = |(class, side): (LightClass, Side)| {
        skins.iter().filter_map(move |skin| skin_light(skin, class, side, rig, white))
    };
    lit.flat_map(of).collect()
}

fn skin_light(
    skin: Skin,
    class: LightClass,
    side: Side,
    rig: &Rig,
    white: Luminance,
) -> Option<SkinLight> {
    let matt = side.light.lux() * skin.luminous() / std::f64::consts::PI;
    let luminance = Luminance::from_cd_per_m2(matt);
    let over_white_stops = Rig::level(luminance, white).log2();
    let [low, high] = belongs(skin)?;
    let off_stops = (over_white_stops - high).max(0.0) + (over_white_stops - low).min(0.0);
    let verdict = match over_white_stops {
        stops if !stops.is_finite() => return None,
        stops if stops > rig.knee_stops => SkinVerdict::Clips,
        stops if stops < -rig.under_white_stops => SkinVerdict::Lost,
        _ if off_stops > LOOKS_WRONG_STOPS => SkinVerdict::TooBright,
        _ if off_stops < -LOOKS_WRONG_STOPS => SkinVerdict::TooDark,
        _ => SkinVerdict::Fits,
    };
    Some(SkinLight { skin, class, over_white_stops, off_stops, verdict })
}

/// Stops over white of the darkest and of the brightest face of its kind.
fn belongs(skin: Skin) -> Option<[f64; 2]> {
    let placed = match skin {
        Skin::Dark => PlacedTone::DarkSkin,
        Skin::Medium => PlacedTone::MediumSkin,
        Skin::Light => PlacedTone::LightSkin,
    };
    LEVELS.iter().find(|level| level.placed == placed).map(|level| level.over_white_stops())
}
