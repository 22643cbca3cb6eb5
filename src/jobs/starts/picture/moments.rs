//! The field at moments of a match, small, for a page.
//!
//! In: a venue, a day, times. Out: paths for SVG in field axes, metres: along to the right,
//! across upward. Under a clear sky; shade is a share of the field of play.

use std::fmt::Write;

use chrono::{DateTime, Utc};
use geo::{LineString, MultiPolygon};
use glam::DVec3;
use serde::Serialize;

use crate::base::frame::FieldFrame;
use crate::geometry::{Caster, OverlayScratch, ShadeShare, TURF_HEIGHT_M};
use crate::solar;
use crate::solar::SunState;
use crate::venue::{ByStanding, Venue};

/// Room around the field of play, metres.
const MARGIN_M: f64 = 2.0;

/// The field at one time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FieldMoment {
    pub clock: String,
    /// Outline of the field and its shade, as the `d` of paths, even-odd.
    pub field: String,
    pub opaque: String,
    pub dimmed: String,
    /// Of the field, not in full sun, percent.
    pub shaded_percent: u32,
    pub sun_is_up: bool,
}

/// Moments at one venue, and the box around all of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Moments {
    pub view_box: String,
    pub all: Vec<FieldMoment>,
}

/// The field at some times of one day.
pub fn moments(venue: &Venue, times: &[DateTime<Utc>]) -> Moments {
    let frame = venue.field.frame;
    let field = path(frame, std::iter::once(venue.field.outline.exterior()));
    let date = times.first().map(|at| at.with_timezone(&venue.place.zone).date_naive());
    let cast = |date| ByStanding::new(venue, date, |v| Caster::new(v, date, TURF_HEIGHT_M));
    let casters = date.map(cast);
    let mut bench = OverlayScratch::default();
    let mut moment = |at: &DateTime<Utc>, casters: &ByStanding<Caster>| {
        let caster = casters.at(venue, at.with_timezone(&venue.place.zone));
        let sun = solar::position(&venue.place, *at);
        let is_up = solar::state(&sun, &venue.horizon) == SunState::Up;
        let shadow = if is_up { caster.cast(sun.toward(), &mut bench) } else { caster.darkness() };
        let share = if is_up { shadow.field_share() } else { ShadeShare::ALL_SHADE };
        let dimmed = shadow.dimmed.iter().flat_map(|dimmed| rings(&dimmed.region));
        FieldMoment {
            clock: at.with_timezone(&venue.place.zone).format("%H:%M").to_string(),
            field: field.clone(),
            opaque: path(frame, rings(&shadow.opaque)),
            dimmed: path(frame, dimmed),
            shaded_percent: (100.0 * share.shaded).round() as u32,
            sun_is_up: is_up,
        }
    };
    let all = casters.iter().flat_map(|casters| times.iter().map(move |at| (at, casters)));
    let all = all.map(|(at, casters)| moment(at, casters)).collect();
    Moments { view_box: view_box(venue), all }
}

fn rings(area: &MultiPolygon<f64>) -> impl Iterator<Item = &LineString<f64>> {
    area.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
}

fn view_box(venue: &Venue) -> String {
    let frame = venue.field.frame;
    let corners = venue.field.outline.exterior().0.iter();
    let corners: Vec<(f64, f64)> = corners.map(|c| drawn(frame, c.x, c.y)).collect();
    let least = |of: fn(&(f64, f64)) -> f64| corners.iter().map(of).fold(f64::INFINITY, f64::min);
    let most =
        |of: fn(&(f64, f64)) -> f64| corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let (left, top) = (least(|c| c.0) - MARGIN_M, least(|c| c.1) - MARGIN_M);
    let (right, bottom) = (most(|c| c.0) + MARGIN_M, most(|c| c.1) + MARGIN_M);
    format!("{left:.1} {top:.1} {:.1} {:.1}", right - left, bottom - top)
}

/// A place of the local frame on the page: along to the right, across upward.
fn drawn(frame: FieldFrame, x: f64, y: f64) -> (f64, f64) {
    let p = frame.to_field(DVec3::new(x, y, 0.0));
    (p.along_m, -p.across_m)
}

fn path<'a>(frame: FieldFrame, rings: impl Iterator<Item = &'a LineString<f64>>) -> String {
    let mut d = String::new();
    for ring in rings {
        let open = ring.0.len().saturating_sub(1);
        for (i, c) in ring.0.iter().take(open).enumerate() {
            let (x, y) = drawn(frame, c.x, c.y);
            // writing into a string does not fail
            let _ = write!(d, "{}{x:.1} {y:.1}", if i == 0 { 'M' } else { 'L' });
        }
        d.push('Z');
    }
    d
}
