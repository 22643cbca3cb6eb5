//! What an instant costs, minute for minute, in one sky.
//!
//! In: a [`SeasonRow`] of the season's engine. Out: a [`Glimpse`]: the few facts that the parts
//! of the cost are counted from.

use crate::base::units::Elevation;
use crate::camera::{CameraView, Interval, LensState, Rig, Split, Verdict, exposure};
use crate::engine::season::{SeasonRow, Splits, Wanted, Weather};
use crate::light::FloodlightState;
use crate::venue::Venue;

/// Dusk and dawn: the sun's centre between these elevations, degrees. Six under the
/// horizon is the end of civil twilight (The Astronomical Almanac); as much over it is
/// where lamps and daylight come near each other (common practice, no source).
pub const DUSK_DEG: (f64, f64) = (-6.0, 6.0);

/// What the parts of the cost need in a sky with sun.
pub(crate) const WANTED: Wanted = Wanted {
    field: true,
    splits: Splits::TurfAndSubject,
    lenses: true,
    floodlight: true,
    ..Wanted::NOTHING
};
/// And for how far a split may be off.
pub(crate) const WANTED_RANGES: Wanted =
    Wanted { splits: Splits::TurfAndSubject, ranges: true, ..Wanted::NOTHING };
/// And in a sky that hides it.
pub(crate) const WANTED_WITHOUT_SUN: Wanted = Wanted { floodlight: true, ..Wanted::NOTHING };

/// Facts of an instant.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Glimpse {
    pub sun: bool,
    pub mixed: bool,
    pub choose: bool,
    pub main_lens: bool,
    pub dusk: bool,
    /// The sun is down and no floodlights are lit.
    pub dark: bool,
    /// Widest split in shot either way, stops, and the camera that has it.
    pub split: Option<(f64, usize)>,
}

/// A venue's cameras as the cost asks them.
pub(crate) struct Watcher<'v> {
    venue: &'v Venue,
    rigs: Vec<Rig>,
    /// Index of the main camera; `None` without any.
    main: Option<usize>,
}

impl<'v> Watcher<'v> {
    pub fn new(venue: &'v Venue, main: Option<&str>) -> Self {
        let named = |name: &str| venue.cameras.iter().position(|c| c.name == name);
        let first = (!venue.cameras.is_empty()).then_some(0);
        Self {
            venue,
            rigs: venue
                .cameras
                .iter()
                .map(|post| Rig::of(&post.exposure).shaded_on(venue.production.as_ref()))
                .collect(),
            main: main.and_then(named).or(first),
        }
    }

    /// Name of the main camera.
    pub fn main_camera(&self) -> Option<&'v str> {
        Some(self.venue.cameras.get(self.main?)?.name.as_str())
    }

    pub fn glimpse(&self, row: &SeasonRow, weather: &Weather) -> Glimpse {
        let sun = row.sun_is_out(weather);
        let dusk = row.floodlight == Some(FloodlightState::Lit) && is_dusk(row.sun.true_elevation);
        let dark = row.floodlight.is_some_and(|lights| lights.leaves_dark(row.sun_state));
        if !sun {
            return Glimpse { dusk, dark, ..Glimpse::default() };
        }
        let views = || row.cameras.iter().filter_map(|camera| camera.view.as_ref());
        let main = self.main.and_then(|main| row.cameras.get(main)?.lens);
        let splits = views().enumerate().filter_map(|(i, view)| Some((widest(view)?, i)));
        Glimpse {
            sun,
            dusk,
            dark,
            mixed: row.field_is_mixed() == Some(true),
            choose: views().zip(&self.rigs).any(|(view, rig)| {
                exposure(view, rig, &self.venue.subject)
                    .is_some_and(|exposure| exposure.verdict == Verdict::Choose)
            }),
            main_lens: matches!(main, Some(LensState::InFrame | LensState::OnElement)),
            // the first of equals
            split: splits.reduce(|most, next| if next.0 > most.0 { next } else { most }),
        }
    }
}

fn is_dusk(elevation: Elevation) -> bool {
    (DUSK_DEG.0..=DUSK_DEG.1).contains(&elevation.degrees())
}

/// Of turf and subject, in shot.
pub(crate) fn widest(view: &CameraView) -> Option<f64> {
    widest_split(view).map(|(stops, _)| stops)
}

/// The same with its range, where the view has ranges.
pub(crate) fn widest_range(view: &CameraView) -> Option<Interval> {
    widest_split(view)?.1.range?.stops.map(Interval::either_way)
}

fn widest_split(view: &CameraView) -> Option<(f64, &Split)> {
    let in_shot = |split: &Split| Some(split.state.in_shot()?.stops().abs());
    let splits = [&view.turf, &view.subject].into_iter();
    let splits = splits.filter_map(|split| Some((in_shot(split)?, split)));
    splits.filter(|(stops, _)| stops.is_finite()).reduce(|a, b| if b.0 > a.0 { b } else { a })
}
