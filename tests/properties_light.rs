//! What holds of light and splits, whatever the sun and the lamps do.

use chrono::{TimeZone, Utc};
use glam::DVec3;
use properties_support::date;
use proptest::prelude::*;

use crate::camera_split::{daylight, half_shaded, views_with};
use crate::{properties_support, season_support};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::engine::{Instant, Prepared};
use quarterstop::geometry::OverlayScratch;
use quarterstop::light::{Air, FloodlightLight, Sky, Tristimulus};
use quarterstop::solar::{Sun, SunState};

proptest! {
    // a camera is prepared for each case, which casts rays from half the field
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    /// Lamps add the same to both sides, so the more they give, the nearer the sides.
    #[test]
    fn the_split_falls_with_the_floodlight(
        sun_lux in 5_000.0..100_000.0_f64, sky_lux in 2_000.0..30_000.0_f64,
        elevation in 12.0..60.0_f64, flood in 10.0..4_000.0_f64, more in 1.1..8.0_f64,
        along in -60.0..60.0_f64, side in prop_oneof![Just(-90.0), Just(90.0)],
    ) {
        let light = daylight(sun_lux, sky_lux, elevation);
        let venue = half_shaded(elevation);
        let at = DVec3::new(along, side, 30.0);
        let floodlight = [0.0, flood, flood * more].map(|lux| FloodlightLight {
            horizontal: Tristimulus::of_daylight(lux),
            toward_camera: Tristimulus::of_daylight(0.7 * lux),
        });
        let views = views_with(&venue, at, (180.0, elevation), &light, floodlight);
        let splits = views.map(|view| {
            [view.turf, view.subject].map(|s| s.state.in_shot().unwrap().stops())
        });
        for kind in [0, 1] {
            let [none, some, much] = [0, 1, 2].map(|i| splits[i][kind]);
            prop_assert!(0.0 < much && much < some && some < none, "{splits:?}");
        }
    }
}

/// A bowl with cameras and zones, under the sun at an elevation, degrees.
fn under(prepared: &Prepared<'_>, elevation_deg: f64, sky: Sky) -> Instant {
    let elevation = Elevation::from_degrees(elevation_deg);
    let sun = Sun {
        azimuth: Azimuth::from_degrees(251.0),
        apparent_elevation: elevation,
        true_elevation: elevation,
    };
    let state = if elevation_deg > 0.0 { SunState::Up } else { SunState::Down };
    let at = Utc.from_utc_datetime(&date().and_hms_opt(16, 0, 0).unwrap());
    let at = at.with_timezone(&chrono_tz::Europe::London);
    prepared.under(at, (sun, state), sky, &Air::default(), &mut OverlayScratch::default())
}

/// From under the horizon over it to the zenith: every number is a number, every share a
/// share, and what a camera sees is told.
#[test]
fn light_stays_finite_from_the_horizon_to_the_zenith() {
    let mut venue = season_support::bowl(12, 0.4);
    venue.cameras.truncate(2);
    let prepared = Prepared::new(&venue, date());
    let elevations =
        [-18.0, -0.9, -1e-9, 0.0, 1e-12, 1e-7, 1e-4, 6e-4, 0.01, 0.3, 45.0, 89.999_999, 90.0];
    for elevation in elevations {
        for sky in [Sky::Clear, Sky::Overcast] {
            let instant = under(&prepared, elevation, sky);
            for plane in [&instant.turf, &instant.face] {
                for share in plane.zones.iter().chain([&plane.field]) {
                    let within = 0.0..=1.0;
                    assert!(within.contains(&share.shaded), "{elevation}: {share:?}");
                    assert!(within.contains(&share.mean_transmission), "{elevation}: {share:?}");
                }
            }
            let in_shade = instant.field_light.in_shade.lux();
            assert!(in_shade.is_finite() && in_shade >= 0.0, "{elevation}: {in_shade}");
            for camera in &instant.cameras {
                for split in [&camera.turf, &camera.subject] {
                    for side in [&split.sunlit, &split.shaded].into_iter().flatten() {
                        let luminance = side.luminance.cd_per_m2();
                        assert!(luminance.is_finite() && luminance >= 0.0, "{elevation}");
                    }
                    if let Some(stops) = split.state.in_shot() {
                        assert!(stops.stops().is_finite() && elevation > 0.0, "{elevation}");
                    }
                }
            }
        }
    }
}
