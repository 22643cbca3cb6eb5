//! The local frame against geodesics and against the worked example of EPSG.

use glam::DVec3;
use quarterstop::import::geodesy::{Geographic, LocalPlane};

/// A chord of 400 m is shorter than its arc by 400^3 / 24R^2 = 7e-8 m, and its
/// horizontal part by another 400^3 / 8R^2 = 2e-7 m; geodesics and rotations keep
/// 1e-8 m. A tenth of a millimetre is far over all of that, and a hundredth of the
/// centimetre that files are written in.
const TOLERANCE_M: f64 = 1e-4;

fn geodesics() -> Vec<[f64; 6]> {
    let table = include_str!("data/geodesy_local.csv");
    let rows = table.lines().skip(2).map(|line| {
        let values: Vec<f64> = line.split(',').map(|v| v.parse().unwrap()).collect();
        values.try_into().unwrap()
    });
    rows.collect()
}

/// geographiclib 2.1 (Python), Geodesic.WGS84.Direct: see tests/data/README.md.
#[test]
fn distances_and_azimuths_are_those_of_geodesics() {
    let rows = geodesics();
    assert_eq!(rows.len(), 240);
    for [lat1, lon1, azimuth, distance, lat2, lon2] in rows {
        let plane = LocalPlane::new(Geographic::new(lat1, lon1).unwrap()).unwrap();
        let p = plane.to_local(Geographic::new(lat2, lon2).unwrap(), 0.0).unwrap();
        let (sin, cos) = azimuth.to_radians().sin_cos();
        let off = (p.truncate() - glam::DVec2::new(distance * sin, distance * cos)).length();
        assert!(off < TOLERANCE_M, "{lat1} {lon1} {azimuth} {distance}: {p} is {off} m off");
        // the earth falls away by d^2 / 2R: R lies between 6335 and 6400 km
        let fall = distance * distance / 2.0;
        assert!((fall / 6.400e6 - 1e-8..fall / 6.335e6 + 1e-8).contains(&-p.z), "{}", p.z);
    }
}

#[test]
fn there_and_back() {
    for [lat1, lon1, .., lat2, lon2] in geodesics() {
        let plane = LocalPlane::new(Geographic::new(lat1, lon1).unwrap()).unwrap();
        let local = plane.to_local(Geographic::new(lat2, lon2).unwrap(), 0.0).unwrap();
        let back = plane.to_geographic(local).unwrap();
        let again = plane.to_local(back, 0.0).unwrap();
        assert!((again - local).length() < TOLERANCE_M, "{lat1} {lon1}: {local} {again}");
    }
}

/// EPSG methods 9836 and 9837 (geocentric and geographic to topocentric), worked
/// example of IOGP 373-7-2, Geomatics Guidance Note 7-2, printed in the remarks of
/// method 9836 in the EPSG data set. Latitude, longitude and height of the point are
/// from memory; PROJ 9 (pyproj 3.7.2) makes the printed geocentric coordinates of
/// them to the millimetre. The origin printed there, (3652755.3058, 319574.6799,
/// 5201547.3536), lies 200 m over the ellipsoid at 55 N, 5 E; ours lies on it.
#[test]
fn the_worked_example_of_epsg() {
    let plane = LocalPlane::new(Geographic::new(55.0, 5.0).unwrap()).unwrap();
    let latitude = 53.0 + 48.0 / 60.0 + 33.82 / 3600.0;
    let longitude = 2.0 + 7.0 / 60.0 + 46.38 / 3600.0;
    let p = plane.to_local(Geographic::new(latitude, longitude).unwrap(), 73.0).unwrap();
    let printed = DVec3::new(-189_013.869, -128_642.040, -4_220.171 + 200.0);
    // printed to a millimetre
    assert!((p - printed).abs().max_element() < 0.001, "{p}");
}

#[test]
fn what_is_no_place_is_refused() {
    for (latitude, longitude) in
        [(90.1, 0.0), (f64::NAN, 0.0), (0.0, f64::NAN), (0.0, 1e308), (-91.0, 0.0)]
    {
        let error = Geographic::new(latitude, longitude).unwrap_err();
        assert!(error.to_string().contains("no place"), "{error}");
    }
}
