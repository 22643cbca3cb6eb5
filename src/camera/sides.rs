//! Sun, dimmed light and shade on the same places of a cover.
//!
//! In: light on each sample in full sun and in opaque shade, the samples' weights, how much
//! of what is shown each class of light takes. Out: a [`Split`].
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

/// Light on one sample, lx on its plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lit {
    /// Of the sample; those of all samples sum to 1.
    pub weight: f64,
    /// Direct light with nothing in the way.
    pub direct: Tristimulus,
    /// All but the direct light in the sun and in shade: as it is where the place lies on
    /// that side, else as it would be in the middle of it.
    pub rest_if_sun: Tristimulus,
    pub rest_if_shade: Tristimulus,
    /// All light when a cloud covers the sun; `None` where it is hidden anyhow.
    pub covered: Option<Tristimulus>,
}

impl Lit {
    /// What the sun adds to the light in opaque shade, never less than nothing.
    fn sun_adds(&self) -> Tristimulus {
        let ground = self.rest_if_sun - self.rest_if_shade;
        let brighter = ground.x >= 0.0 && ground.y >= 0.0 && ground.z >= 0.0;
        if brighter { self.direct + ground } else { self.direct }
    }
}

/// What a split is made of.
pub(super) struct Sides<'a> {
    pub lit: &'a [Lit],
    /// Of the target, 0 to 1.
    pub reflectance: f64,
    /// How much of what is shown each class takes.
    pub shares: ClassShares,
    /// Whether there is direct light at all.
    pub sun_out: bool,
}

impl Sides<'_> {
    /// The split, with `flood` added to all sides.
    pub fn split(&self, flood: Tristimulus) -> Split {
        if self.lit.is_empty() {
            return Split::NOTHING;
        }
        let side = |light: Tristimulus| Side::of_matt(light + flood, self.reflectance);
        let shade = self.mean(|lit| lit.rest_if_shade);
        if !self.sun_out {
            let (shaded, shares) = (Some(side(shade)), ClassShares::ALL_SHADE);
            return Split { shaded, shares, flood, ..Split::NOTHING };
        }
        let adds = self.mean(Lit::sun_adds);
        let dimmed = shade + adds * self.shares.transmittance;
        let covered = self.lit.iter().all(|lit| lit.covered.is_some());
        let covered = covered.then(|| self.mean(|lit| lit.covered.unwrap_or(Tristimulus::ZERO)));
        let mut split = Split {
            sunlit: Some(side(shade + adds)),
            dimmed: (self.shares.dimmed > 0.0).then(|| side(dimmed)),
            shaded: Some(side(shade)),
            shares: self.shares,
            flood,
            swing: covered.and_then(|c| Swing::between(shade + adds + flood, c + flood)),
            ..Split::NOTHING
        };
        split.settle(Present::NONE);
        split
    }

    fn mean(&self, of: impl Fn(&Lit) -> Tristimulus) -> Tristimulus {
        self.lit.iter().fold(Tristimulus::ZERO, |sum, lit| sum + of(lit) * lit.weight)
    }
}
