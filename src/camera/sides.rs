//! Sun, dimmed light and shade on the same places of a cover.
//!
//! In: light on what is shown in full sun and in opaque shade, how much of what is shown
//! each class of light takes. Out: a [`Split`].
//!
//! Like is compared with like: each side is the mean over *all* places of the cover, facings
//! and weights the same, of what the light is there in that class. A place that lies in that
//! class counts as it is, with whatever ground before it the sun reaches. For a place in the
//! sun the shaded side is worked out, for a shaded one the sunlit: the direct light is taken
//! away or added, on the target and on the ground before it, and everything else (sky,
//! stands) stays as it is at that instant. A place under translucent bodies gets the mean
//! transmittance of the dimmed part of the direct light. So a shaded side is never brighter
//! than the sunlit one, and an edge that moves on changes shares, not sides.

use super::class::{ClassShares, Present};
use super::split::{Side, Split, Swing};
use crate::light::Tristimulus;

/// Light on what is shown, mean over all its places, lx on the target's plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct MeanLight {
    /// All light in opaque shade: each place as it is where it lies there, else as it would
    /// be in the middle of it.
    pub in_shade: Tristimulus,
    /// What the sun adds in full sun, straight and from the ground.
    pub sun_adds: Tristimulus,
    /// All light when a cloud covers the sun; `None` where it is hidden anyhow, or where
    /// it was not asked for.
    pub covered: Option<Tristimulus>,
}

/// What a split is made of.
pub(super) struct Sides {
    /// `None` where nothing is shown.
    pub light: Option<MeanLight>,
    /// Of the target, 0 to 1.
    pub reflectance: f64,
    /// How much of what is shown each class takes.
    pub shares: ClassShares,
    /// Whether there is direct light at all.
    pub sun_out: bool,
}

impl Sides {
    /// The split, with `flood` added to all sides.
    pub fn split(&self, flood: Tristimulus) -> Split {
        let Some(MeanLight { in_shade, sun_adds, covered }) = self.light else {
            return Split::NOTHING;
        };
        let side = |light: Tristimulus| Side::of_matt(light + flood, self.reflectance);
        if !self.sun_out {
            let (shaded, shares) = (Some(side(in_shade)), ClassShares::ALL_SHADE);
            return Split { shaded, shares, flood, ..Split::NOTHING };
        }
        let in_sun = in_shade + sun_adds;
        let dimmed = in_shade + sun_adds * self.shares.transmittance;
        let mut split = Split {
            sunlit: Some(side(in_sun)),
            dimmed: (self.shares.dimmed > 0.0).then(|| side(dimmed)),
            shaded: Some(side(in_shade)),
            shares: self.shares,
            flood,
            swing: covered.and_then(|c| Swing::between(in_sun + flood, c + flood)),
            ..Split::NOTHING
        };
        split.settle(Present::NONE);
        split
    }
}
