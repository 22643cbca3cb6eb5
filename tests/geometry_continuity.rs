//! Area must be continuous in the sun's place.
//!
//! Checked against plane geometry: when the sun moves, each corner of a shadow
//! moves by a known distance, and the shaded area can change by no more than
//! that distance times the length of the edges that move. Floating-point
//! overlays were seen to drop pieces where segments of a bowl touch.

use geo::{Euclidean, Length};
use glam::DVec3;

use crate::support;
use quarterstop::base::frame::direction;
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{Caster, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::venue::Venue;

const STEP_DEG: f64 = 0.01;

fn perimeter_m(region: &geo::MultiPolygon<f64>) -> f64 {
    let rings = region.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    rings.map(|ring| Euclidean.length(ring)).sum()
}

/// Sweeps the sun in steps of 0.01 degree and compares each change of area with
/// what the moving edges allow. Returns the worst ratio of the two.
fn sweep(venue: &Venue, highest_m: f64, from: (f64, f64), step: (f64, f64), count: usize) -> f64 {
    let caster = Caster::new(venue, support::date(), TURF_HEIGHT_M);
    let mut bench = OverlayScratch::default();
    let mut before: Option<(f64, f64, f64, DVec3)> = None;
    let mut worst = 0.0_f64;
    for i in 0..count {
        let (az, el) = (from.0 + step.0 * i as f64, from.1 + step.1 * i as f64);
        let sun = direction(Azimuth::from_degrees(az), Elevation::from_degrees(el));
        let shadow = caster.cast(sun, &mut bench);
        let share = shadow.field_share();
        let area = share.shaded * caster.field_area_m2();
        let opaque = share.opaque * caster.field_area_m2();
        let run = DVec3::new(sun.x / sun.z, sun.y / sun.z, 0.0);
        let edge = perimeter_m(&shadow.shaded).max(perimeter_m(&shadow.opaque));
        if let Some((area_before, opaque_before, edge_before, run_before)) = before {
            let moved = highest_m * run.distance(run_before);
            // a millimetre square for rounding on the grid
            let allowed = moved * edge.max(edge_before) + 1e-6 * edge;
            let change = (area - area_before).abs().max((opaque - opaque_before).abs());
            assert!(
                change <= allowed,
                "area jumps by {change:.3} m2 where {allowed:.3} m2 are possible, at azimuth {az} elevation {el}"
            );
            worst = worst.max(change / allowed);
        }
        before = Some((area, opaque, edge, run));
    }
    worst
}

/// Sweeps up through elevation at each azimuth and around at each elevation.
fn sweeps(venue: &Venue, highest_m: f64, azimuths: &[f64], elevations: &[f64]) {
    let up = azimuths.iter().map(|&az| sweep(venue, highest_m, (az, 2.0), (0.0, STEP_DEG), 4000));
    let around =
        elevations.iter().map(|&el| sweep(venue, highest_m, (90.0, el), (STEP_DEG, 0.0), 9000));
    let worst = up.chain(around).fold(0.0, f64::max);
    assert!(worst > 0.05, "the bound is never approached: {worst}");
}

#[test]
fn touching_segments_of_a_bowl() {
    let azimuths = [3.0, 77.0, 110.0, 200.0, 251.3, 290.0, 333.3];
    sweeps(&support::bowl(64, 0.0), 31.0, &azimuths, &[1.0, 7.5, 20.0, 33.0]);
}

#[test]
fn bowl_of_512_segments_with_a_translucent_ring() {
    sweeps(&support::bowl(512, 0.4), 31.0, &[251.0], &[20.0]);
}

#[test]
fn coincident_and_overlapping_bodies() {
    let mut venue = support::bowl(64, 0.4);
    let twins = venue.occluders.clone();
    venue.occluders.extend(twins); // every body twice at the same place
    let half_turned = support::bowl(48, 0.0).occluders;
    venue.occluders.extend(half_turned); // and another ring through it
    sweeps(&venue, 31.0, &[77.0, 251.3], &[7.5]);
}
