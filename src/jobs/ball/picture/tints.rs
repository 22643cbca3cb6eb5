//! Colours of backgrounds, one each, in the order in which they come up.
//!
//! In: a plan. Out: a colour for each [`Backdrop`]. Sun is lighter than shade, sky
//! lightest, so that they stay apart in grey.

use plotters::style::RGBColor;

use crate::jobs::ball::{Backdrop, BallPlan, SunOrShade};

const SKY: RGBColor = RGBColor(225, 239, 250);
const TURF_SUN: RGBColor = RGBColor(122, 200, 150);
const TURF_SHADE: RGBColor = RGBColor(0, 110, 80);
const GROUND_SUN: RGBColor = RGBColor(190, 220, 180);
const GROUND_SHADE: RGBColor = RGBColor(90, 125, 95);
const THING_SUN: RGBColor = RGBColor(233, 200, 140);
const THING_SHADE: RGBColor = RGBColor(120, 105, 95);
const THROUGH: RGBColor = RGBColor(245, 240, 170);
const LAND: RGBColor = RGBColor(196, 188, 172);

/// What there is, in order.
pub(super) struct Tints {
    pub all: Vec<Backdrop>,
}

impl Tints {
    /// Those behind the ball first, then those around.
    pub fn of(plan: &BallPlan) -> Self {
        let behind = plan.looks.iter().map(|look| look.behind);
        let mut all: Vec<Backdrop> = Vec::new();
        for backdrop in behind.chain(plan.view.cells.iter().copied()) {
            if !all.contains(&backdrop) {
                all.push(backdrop);
            }
        }
        Self { all }
    }

    pub fn colour(backdrop: Backdrop) -> RGBColor {
        match backdrop {
            Backdrop::Sky => SKY,
            Backdrop::Turf(SunOrShade::Sun) => TURF_SUN,
            Backdrop::Turf(SunOrShade::Shade) => TURF_SHADE,
            Backdrop::Ground(SunOrShade::Sun) => GROUND_SUN,
            Backdrop::Ground(SunOrShade::Shade) => GROUND_SHADE,
            Backdrop::Thing { lit: SunOrShade::Sun, .. } => THING_SUN,
            Backdrop::Thing { lit: SunOrShade::Shade, .. } => THING_SHADE,
            Backdrop::Through { .. } => THROUGH,
            Backdrop::Land => LAND,
        }
    }
}
