//! What the marks of the timeline of light mean.

use crate::jobs::match_plan::picture::timeline::chart::{MILESTONE, no_sun};
use crate::jobs::match_plan::picture::timeline::legend::{SAMPLE_PX, draw_with};
use crate::jobs::match_plan::picture::timeline::scene::{Pen, Rect, TimelineScene};
use crate::output::words::capital;
use crate::solar::SunState;
use crate::venue::PlayingSurface;

use super::panels::floodlight_bar;
use super::{panels, swing};

const NOTES: &str = "Subject: an upright grey surface at 1.7 m that faces the \
    camera. Under cloud: a thick cloud 20 degrees wide over the sun, the sky around it as it is. \
    Balanced to the shade, the sunlit side needs the trims with the other sign. Floodlights that \
    are lit are counted in everything.";

#[derive(Debug, Clone, Copy)]
enum LightSample {
    Line(&'static [Pen]),
    FloodlightState,
    NoSun,
    Milestone,
}

/// Draws the legend; gives its bottom.
pub(super) fn draw(scene: &mut TimelineScene, surface: PlayingSurface, top: f64) -> f64 {
    let surface = surface.short_name();
    let of = |words: &str| format!("{surface} {words}");
    let entries = [
        (LightSample::Line(&panels::SUN), of("in full sun")),
        (LightSample::Line(&panels::SHADE), of("in opaque shade")),
        (LightSample::Line(&panels::CLOUD), of("under cloud")),
        (LightSample::Line(&panels::RED), "red gain".to_owned()),
        (LightSample::Line(&panels::BLUE), "blue gain".to_owned()),
        (LightSample::Line(&swing::TURF), format!("swing on {surface}")),
        (LightSample::Line(&swing::SUBJECT), "swing on a subject, by camera".to_owned()),
        (LightSample::FloodlightState, "floodlights lit".to_owned()),
        (LightSample::NoSun, "no direct sun: behind the skyline, down".to_owned()),
        (LightSample::Milestone, "moment of the match".to_owned()),
    ];
    let notes = format!("{}: horizontal. {NOTES}", capital(surface));
    draw_with(scene, top, &entries, sample, &notes)
}

fn sample(scene: &mut TimelineScene, sample: LightSample, left: f64, middle: f64) {
    let right = left + SAMPLE_PX;
    let rect = Rect { left, top: middle - 12.0, right, bottom: middle + 12.0 };
    let centre = 0.5 * (left + right);
    match sample {
        LightSample::Line(pens) => {
            for pen in pens {
                scene.line(&[(left, middle), (right, middle)], *pen);
            }
        }
        LightSample::FloodlightState => floodlight_bar(scene, left, right, middle + 8.0),
        LightSample::NoSun => {
            no_sun(scene, Rect { right: centre, ..rect }, SunState::BehindSkyline);
            no_sun(scene, Rect { left: centre, ..rect }, SunState::Down);
        }
        LightSample::Milestone => {
            scene.line(&[(centre, rect.top), (centre, rect.bottom)], MILESTONE)
        }
    }
}
