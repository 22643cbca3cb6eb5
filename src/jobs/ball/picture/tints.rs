//! Colours of backgrounds, one each, in the order in which they come up.
//!
//! In: a venue and a plan. Out: a colour for each [`Backdrop`], what is played on as other
//! pictures have it. Sun is lighter than shade, sky lightest, so that they stay apart in grey.

use plotters::style::RGBColor;

use crate::jobs::ball::{Backdrop, BallPlan, SunOrShade};
use crate::output::draw::palette::lit_colour;
use crate::venue::{PlayingSurface, Venue};

const SKY: RGBColor = RGBColor(225, 239, 250);
const TURF_SUN: RGBColor = RGBColor(122, 200, 150);
const TURF_SHADE: RGBColor = RGBColor(0, 110, 80);
const GROUND_SUN: RGBColor = RGBColor(190, 220, 180);
const GROUND_SHADE: RGBColor = RGBColor(90, 125, 95);
/// Far from every surface: clay and sand are near each other as it is.
const THING_SUN: RGBColor = RGBColor(209, 186, 222);
const THING_SHADE: RGBColor = RGBColor(112, 94, 130);
const THROUGH: RGBColor = RGBColor(245, 240, 170);
const LAND: RGBColor = RGBColor(196, 188, 172);

/// What there is, in order.
pub(super) struct Tints {
    pub all: Vec<Backdrop>,
    turf: [RGBColor; 2],
    ground: [RGBColor; 2],
}

impl Tints {
    /// Those behind the ball first, then those around.
    pub fn of(venue: &Venue, plan: &BallPlan) -> Self {
        let behind = plan.looks.iter().map(|look| look.behind);
        let mut all: Vec<Backdrop> = Vec::new();
        for backdrop in behind.chain(plan.view.cells.iter().copied()) {
            if !all.contains(&backdrop) {
                all.push(backdrop);
            }
        }
        Self { all, turf: turf(venue.field.surface), ground: ground(venue.field.surrounds_surface) }
    }

    pub fn colour(&self, backdrop: Backdrop) -> RGBColor {
        match backdrop {
            Backdrop::Sky => SKY,
            Backdrop::Turf(SunOrShade::Sun) => self.turf[0],
            Backdrop::Turf(SunOrShade::Shade) => self.turf[1],
            Backdrop::Ground(SunOrShade::Sun) => self.ground[0],
            Backdrop::Ground(SunOrShade::Shade) => self.ground[1],
            Backdrop::Thing { lit: SunOrShade::Sun, .. } => THING_SUN,
            Backdrop::Thing { lit: SunOrShade::Shade, .. } => THING_SHADE,
            Backdrop::Through { .. } => THROUGH,
            Backdrop::Land => LAND,
        }
    }
}

/// What is played on, in sun and in shade.
fn turf(surface: PlayingSurface) -> [RGBColor; 2] {
    let lit = lit_colour(surface);
    match surface {
        PlayingSurface::Grass | PlayingSurface::Acrylic => [TURF_SUN, TURF_SHADE],
        _ => [lit, each(lit, |part| part / 2)],
    }
}

/// The ground around that, lighter.
fn ground(surface: PlayingSurface) -> [RGBColor; 2] {
    let lit = lit_colour(surface);
    match surface {
        PlayingSurface::Grass | PlayingSurface::Acrylic => [GROUND_SUN, GROUND_SHADE],
        _ => [each(lit, |part| part + (u8::MAX - part) / 2), each(lit, |part| part / 5 * 3)],
    }
}

fn each(colour: RGBColor, of: impl Fn(u8) -> u8) -> RGBColor {
    RGBColor(of(colour.0), of(colour.1), of(colour.2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Green is what grass is, and acrylic, which is drawn as grass.
    #[test]
    fn clay_and_sand_are_not_green() {
        let is_green = |RGBColor(red, green, blue): RGBColor| green > red && green > blue;
        for surface in [PlayingSurface::Clay, PlayingSurface::Sand, PlayingSurface::Asphalt] {
            let all = turf(surface).into_iter().chain(ground(surface));
            assert!(!all.into_iter().any(is_green), "{surface:?}");
            assert_eq!(turf(surface)[0], lit_colour(surface), "{surface:?}");
        }
        assert!(turf(PlayingSurface::Grass).into_iter().all(is_green));
    }
}
