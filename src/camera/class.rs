//! Three classes of light on what a camera shows, and which of them make a side.
//!
//! In: what a shadow does to each place of a cover, and the places' weights. Out:
//! [`ClassShares`], and from them the classes [`Present`] and how much each counts for a
//! setting.

use crate::geometry::CellShade;

/// A class that takes less than this share of what a camera shows is a sliver: it makes no
/// side, no verdict and no cue, and is reported as a share. One fiftieth of the picture of a
/// fixed camera is a strip that lies wholly in the margin of 3.5 % which production leaves
/// free of action on each side (EBU R 95, 16:9 action safe area, from memory); of a camera
/// that pans it is a tenth of the picture in one frame of five.
pub const SLIVER_SHARE: f64 = 0.02;
/// A class that made a side stays one until it takes less than this: half of
/// [`SLIVER_SHARE`], so that an edge which trembles at the limit does not flicker.
pub const SLIVER_LEFT_SHARE: f64 = 0.5 * SLIVER_SHARE;
/// From this share on a class counts in full for a setting; from [`SLIVER_SHARE`] up to it
/// in proportion, so that no setting jumps when a class appears (common practice, no source:
/// a tenth of the picture is worth a compromise).
pub const FULL_SHARE: f64 = 0.1;

/// How the direct light arrives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LightClass {
    /// With nothing in the way.
    Sun,
    /// Through translucent bodies: roofs, trusses drawn as panels, leaves.
    Dimmed,
    /// Not at all.
    Shade,
}

/// Shares of what a camera shows by class, 0 to 1; they sum to 1, or are all 0 where it
/// shows nothing of the field.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ClassShares {
    pub sun: f64,
    pub dimmed: f64,
    pub shade: f64,
    /// Mean transmittance of the dimmed part; 0 without one.
    pub transmittance: f64,
}

impl ClassShares {
    /// Nothing of the field in the cover.
    pub const NOTHING: Self = Self { sun: 0.0, dimmed: 0.0, shade: 0.0, transmittance: 0.0 };
    /// No direct light anywhere.
    pub const ALL_SHADE: Self = Self { shade: 1.0, ..Self::NOTHING };

    /// Of cells with their weights, which sum to 1.
    pub(super) fn of<'a>(cells: impl Iterator<Item = (f64, &'a CellShade)>) -> Self {
        let (mut shares, mut through) = (Self::NOTHING, 0.0);
        for (weight, cell) in cells {
            shares.sun += weight * cell.sun;
            shares.dimmed += weight * cell.dimmed;
            shares.shade += weight * cell.opaque;
            through += weight * cell.through_dimmed;
        }
        if shares.dimmed > 0.0 {
            shares.transmittance = (through / shares.dimmed).clamp(0.0, 1.0);
        }
        shares
    }

    /// Share of a class.
    pub fn share(&self, class: LightClass) -> f64 {
        match class {
            LightClass::Sun => self.sun,
            LightClass::Dimmed => self.dimmed,
            LightClass::Shade => self.shade,
        }
    }

    /// How much a class counts for a setting, 0 to 1: nothing as a sliver, in full from
    /// [`FULL_SHARE`] on.
    pub fn counts(&self, class: LightClass) -> f64 {
        ((self.share(class) - SLIVER_SHARE) / (FULL_SHARE - SLIVER_SHARE)).clamp(0.0, 1.0)
    }

    /// The classes that make a side, where `before` made one the instant before.
    pub fn present(&self, before: Present) -> Present {
        let is = |class: LightClass, was: bool| {
            self.share(class) >= if was { SLIVER_LEFT_SHARE } else { SLIVER_SHARE }
        };
        Present {
            sun: is(LightClass::Sun, before.sun),
            dimmed: is(LightClass::Dimmed, before.dimmed),
            shade: is(LightClass::Shade, before.shade),
        }
    }
}

/// Classes that take more than a sliver.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub struct Present {
    pub sun: bool,
    pub dimmed: bool,
    pub shade: bool,
}

impl Present {
    pub const NONE: Self = Self { sun: false, dimmed: false, shade: false };

    /// Brightest and darkest; `None` without any.
    pub fn ends(&self) -> Option<(LightClass, LightClass)> {
        let all = [
            (self.sun, LightClass::Sun),
            (self.dimmed, LightClass::Dimmed),
            (self.shade, LightClass::Shade),
        ];
        let mut there = all.into_iter().filter_map(|(is, class)| is.then_some(class));
        let first = there.next()?;
        Some((first, there.next_back().unwrap_or(first)))
    }
}
