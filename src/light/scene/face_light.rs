//! Light on faces but for the sun's own, and what ground sends to them.

use crate::light::receivers::Receivers;
use crate::light::tristimulus::Tristimulus;

use super::GroundReflectances;

/// All light on a face but the sun's own, lx.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceLight {
    pub as_it_is: Tristimulus,
    /// Were all the ground that it sees in the sun, and in shade.
    pub ground_in_sun: Tristimulus,
    pub ground_in_shade: Tristimulus,
}

/// Light on receivers: `shade` is all but what they get from sunlit ground, which gets
/// `horizontal` from the sun, lx, on the share `in_sun` of each of its spots.
pub(super) fn on_faces(
    receivers: &Receivers,
    shade: Vec<Tristimulus>,
    (horizontal, reflects): (Tristimulus, GroundReflectances),
    in_sun: &[f32],
) -> Vec<FaceLight> {
    let sunlit = receivers.sunlit_views(in_sun);
    let all = shade.into_iter().zip(sunlit).zip(receivers.ground_views());
    let face = |((shade, sunlit), views): ((Tristimulus, [f64; 2]), [f64; 2])| FaceLight {
        as_it_is: shade + ground_reflected(horizontal, reflects, sunlit),
        ground_in_sun: shade + ground_reflected(horizontal, reflects, views),
        ground_in_shade: shade,
    };
    all.map(face).collect()
}

/// Light on a face from ground that gets an illuminance all over, lx. `views` is how much of
/// what the face sees is ground of either kind: a half in all for an upright face in the
/// open.
pub fn ground_reflected(
    on_ground: Tristimulus,
    reflects: GroundReflectances,
    views: [f64; 2],
) -> Tristimulus {
    on_ground.tinted(reflects[0]) * views[0] + on_ground.tinted(reflects[1]) * views[1]
}

/// The sum of some lights by their weights.
pub(super) fn weighted(light: &[Tristimulus], weights: &[(usize, f64)]) -> Tristimulus {
    let at = |i: usize| light.get(i).copied().unwrap_or(Tristimulus::ZERO);
    weights.iter().map(|&(i, weight)| at(i) * weight).sum()
}

pub(super) fn mean(light: &[Tristimulus], first: usize) -> Tristimulus {
    light.iter().take(first).copied().sum::<Tristimulus>() * (1.0 / first.max(1) as f64)
}
