//! Skylines: terrain against trigonometry and geodesics, lists, and files that mean
//! no good.

use proptest::prelude::*;
use quarterstop::import::geodesy::Geographic;
use quarterstop::import::horizon::profile::{
    REFRACTION, SeenHorizon, Viewpoint, gaussian_radius_m, look,
};
use quarterstop::import::horizon::thin::thin;
use quarterstop::import::horizon::tile::{System, TerrainTile, TileGround};
use quarterstop::import::horizon::{csv, geotiff, hgt, table};
use quarterstop::venue;

const DEGREES: &[u8] = include_bytes!("data/terrain_degrees.tif");
const UTM: &[u8] = include_bytes!("data/terrain_utm.tif");
const PLACE: (f64, f64) = (52.31, -0.42);

fn around(near_m: f64, far_m: f64, every_deg: f64) -> Viewpoint {
    Viewpoint {
        from: Geographic::new(PLACE.0, PLACE.1).unwrap(),
        eye_m: 1.7,
        ground_m: None,
        near_m,
        far_m,
        every_deg,
    }
}

/// The invented land of tests/reference/make_terrain_values.py.
fn land(lat: f64, lon: f64) -> f64 {
    let ridge = 180.0 * (-((lat - 52.365) / 0.008).powi(2)).exp();
    let hill = |at: f64, on: f64, up: f64, wide: f64| {
        up * (-(((lat - at).powi(2) + (0.61 * (lon - on)).powi(2)) / (wide * wide))).exp()
    };
    40.0 + ridge + hill(52.29, -0.48, 220.0, 0.006) + hill(52.275, -0.39, 120.0, 0.01)
}

/// A tile of SRTM at 3 arc-seconds over a square degree.
fn srtm(corner: (f64, f64), height: impl Fn(f64, f64) -> f64) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(2 * 1201 * 1201);
    for row in 0..1201 {
        for column in 0..1201 {
            let lat = corner.0 + 1.0 - f64::from(row) / 1200.0;
            let lon = corner.1 + f64::from(column) / 1200.0;
            let height = height(lat, lon).round() as i16;
            bytes.extend(height.to_be_bytes());
        }
    }
    bytes
}

fn highest(seen: &SeenHorizon, azimuth: f64) -> f64 {
    let near = |ray: &&quarterstop::import::horizon::profile::HorizonRay| {
        (ray.azimuth_deg - azimuth).abs() < 1e-9
    };
    seen.rays.iter().find(near).unwrap().highest.unwrap().0
}

/// A ridge of 500 m along a parallel, over land at 0 m. Seen due north, its crest is
/// a meridian arc away: 0.25 degree from 52.5 N is 27819.799 m by geographiclib 2.1,
/// Geodesic.WGS84.Inverse(52.5, -0.5, 52.75, -0.5). Curvature with refraction takes
/// 0.0675 K^2 metres off its height, K in kilometres (Ghilani and Wolf, Elementary
/// Surveying, levelling, from memory, for a refraction of 0.14); with 0.13 it is
/// 0.87 / 0.86 of that. The rule is rounded to a part in 300, 0.2 m or 0.0004 degree
/// here.
#[test]
fn a_ridge_is_as_high_as_the_handbook_says() {
    let arc_m: f64 = 27_819.799;
    let ridge = |lat: f64, _: f64| if (lat - 52.75).abs() < 1e-6 { 500.0 } else { 0.0 };
    let tile = hgt::read(&srtm((52.0, -1.0), ridge), "N52W001.hgt").unwrap();
    let from = Geographic::new(52.5, -0.5).unwrap();
    let seen = look(&[tile], &Viewpoint { from, ..around(500.0, 30_000.0, 1.0) }).unwrap();
    assert_eq!(seen.terrain_m, Some(0.0));
    let drop = 0.0675 * (arc_m / 1000.0).powi(2) * 0.87 / 0.86;
    let expected = ((500.0 - 1.7 - drop) / arc_m).atan().to_degrees();
    let found = highest(&seen, 0.0);
    assert!((found - expected).abs() < 0.001, "{found} against {expected}");
    // without curvature it would be 0.1 degree higher: the check would see it
    assert!((500.0_f64 - 1.7).atan2(arc_m).to_degrees() - expected > 0.1);
    // to the south there is the plain, which drops away: the dip of the horizon of an
    // eye at 1.7 m is sqrt(2 h (1 - k) / R) (navigation tables, 1.76' sqrt(h): 0.0382)
    let dip = (2.0 * 1.7 * (1.0 - REFRACTION) / gaussian_radius_m(52.5)).sqrt().to_degrees();
    assert!((highest(&seen, 180.0) + dip).abs() < 0.001);
    assert!((dip - 0.0382).abs() < 0.001, "{dip}");
}

/// pyproj 3.7.2 (PROJ's geodesics), point by point of a bilinear grid eight times as
/// fine: see tests/data/README.md. Its points are 12 m apart, 0.14 degree at the
/// steepest hill; rays are 0.1 degree apart. The flank of that hill rises 0.26 degree
/// of elevation in a degree of azimuth: half of either misses 0.02 and 0.013.
#[test]
fn terrain_is_seen_as_point_by_point() {
    let tile = geotiff::read(DEGREES, "terrain_degrees.tif").unwrap();
    let seen = look(&[tile], &around(300.0, 6_500.0, 0.1)).unwrap();
    let values = include_str!("data/terrain_skyline.csv");
    let mut sectors = 0;
    for line in values.lines().skip(2) {
        let (from, elevation) = line.split_once(',').unwrap();
        let (from, elevation): (f64, f64) = (from.parse().unwrap(), elevation.parse().unwrap());
        let inside = seen.rays.iter().filter(|r| (from..=from + 2.0).contains(&r.azimuth_deg));
        let found = inside.map(|r| r.highest.unwrap().0).fold(f64::MIN, f64::max);
        assert!((found - elevation).abs() < 0.033, "{from}: {found} {elevation}");
        sectors += 1;
    }
    assert_eq!(sectors, 180);
}

/// The same land three ways: a tile of SRTM, posts of it as a GeoTIFF in degrees
/// (both whole metres) and cells of 100 m in UTM (pyproj 3.7.2, tifffile 2026.3.3).
#[test]
fn tiles_of_the_same_land_agree() {
    let hgt = hgt::read(&srtm((52.0, -1.0), land), "N52W001.hgt").unwrap();
    let tiff = geotiff::read(DEGREES, "terrain_degrees.tif").unwrap();
    let utm = geotiff::read(UTM, "terrain_utm.tif").unwrap();
    assert_eq!(utm.system, System::Utm { zone: 30, south: false });
    assert_eq!((tiff.voids(), utm.voids(), hgt.voids()), (12, 0, 0));
    let how = around(300.0, 6_500.0, 1.0);
    let [hgt, tiff, utm] = [hgt, tiff, utm].map(|tile| look(&[tile], &how).unwrap());
    for ((a, b), c) in hgt.rays.iter().zip(&tiff.rays).zip(&utm.rays) {
        let (a, b, c) = (a.highest.unwrap().0, b.highest.unwrap().0, c.highest.unwrap().0);
        // the same posts; their longitudes differ by rounding in the file
        assert!((a - b).abs() < 1e-4, "{a} {b}");
        // other cells over the same hills: chords of 100 m cut 1.5 m off a crest with a
        // radius of curvature of 900 m, at 4 km 0.02 degree; whole metres as much again
        assert!((a - c).abs() < 0.06, "{a} {c}");
    }
}

/// Height at the very place of a post and half way between: arithmetic.
#[test]
fn heights_between_posts_are_bilinear() {
    let tile = TerrainTile {
        file: "t".into(),
        system: System::Geographic,
        north_west: [179.0, 1.0],
        step: [1.0, 1.0],
        columns: 2,
        rows: 2,
        heights: vec![10.0, 20.0, 30.0, f32::NAN],
    };
    assert_eq!(tile.ground([179.0, 1.0]), TileGround::Height(10.0));
    assert_eq!(tile.ground([179.5, 1.0]), TileGround::Height(15.0));
    assert_eq!(tile.ground([179.0, 0.25]), TileGround::Height(25.0));
    assert_eq!(tile.ground([179.5, 0.5]), TileGround::Void);
    // across the date line it is the same place
    assert_eq!(tile.ground([-180.5, 1.0]), TileGround::Height(15.0));
    // half a step around belongs to it
    assert_eq!(tile.ground([178.6, 1.4]), TileGround::Height(10.0));
    assert_eq!(tile.ground([178.4, 1.0]), TileGround::Outside);
    assert_eq!(tile.ground([f64::NAN, 1.0]), TileGround::Outside);
}

#[test]
fn voids_and_ends_of_tiles_are_told_apart() {
    let hole = |lat: f64, lon: f64| {
        if (52.33..52.35).contains(&lat) && (-0.43..-0.41).contains(&lon) { -32768.0 } else { 40.0 }
    };
    let tile = hgt::read(&srtm((52.0, -1.0), hole), "N52W001.hgt").unwrap();
    let seen = look(&[tile], &around(300.0, 40_000.0, 5.0)).unwrap();
    let ray = |azimuth: f64| seen.rays.iter().find(|r| r.azimuth_deg == azimuth).unwrap();
    // 0.02 degree of a meridian: 2.2 km
    assert!((ray(0.0).void_m - 2_225.0).abs() < 200.0, "{}", ray(0.0).void_m);
    assert_eq!(ray(90.0).void_m, 0.0);
    // the tile ends 0.42 degree to the east: 28.6 km (cos 52.31 x 111.3 km x 0.42 = 28.6)
    assert!((ray(90.0).outside_m - (40_000.0 - 28_640.0)).abs() < 200.0, "{}", ray(90.0).outside_m);
    assert!(seen.missing.contains("N52E000") && seen.missing.contains("N51W001"));
    assert!(!seen.missing.contains("N52W001"));
}

#[test]
fn places_without_terrain_are_refused() {
    let tile = || hgt::read(&srtm((52.0, -1.0), |_, _| 5.0), "N52W001.hgt").unwrap();
    let at = |lat: f64, lon: f64| Viewpoint {
        from: Geographic::new(lat, lon).unwrap(),
        ..around(300.0, 10_000.0, 5.0)
    };
    let error = look(&[tile()], &at(10.5, 20.5)).unwrap_err().to_string();
    assert!(error.contains("N10E020") && error.contains("--ground-m"), "{error}");
    let far = Viewpoint { ground_m: Some(10.0), ..at(10.5, 20.5) };
    assert!(look(&[tile()], &far).unwrap_err().to_string().contains("no terrain between"));
    assert!(look(&[tile()], &at(86.0, 0.0)).unwrap_err().to_string().contains("85"));
    // a UTM tile is nowhere on the other side of the earth
    let utm = geotiff::read(UTM, "terrain_utm.tif").unwrap();
    assert!(look(&[utm], &at(-52.31, 179.58)).is_err());
}

#[test]
fn hostile_tiles_say_why() {
    for (bytes, name, said) in [
        (vec![0; 100], "N52W001.hgt", "100 bytes"),
        (vec![0; 2_884_801], "N52W001.hgt", "2884801 bytes"),
        (vec![0; 2_884_802], "hill.hgt", "south-west corner"),
        (vec![0; 2_884_802], "N99W001.hgt", "south-west corner"),
        (vec![0; 2_884_802], "N5\u{e9}W001.hgt", "south-west corner"),
    ] {
        let error = hgt::read(&bytes, name).unwrap_err().to_string();
        assert!(error.contains(said) && error.contains(name), "{error}");
    }
    for cut in [0, 4, 8, 60, 200, DEGREES.len() / 2] {
        let error = geotiff::read(&DEGREES[..cut], "t.tif").unwrap_err().to_string();
        assert!(error.starts_with("t.tif: "), "{cut}: {error}");
    }
    // every byte of the head turned over: an error or a tile, never a panic
    for i in 0..600.min(DEGREES.len()) {
        let mut bytes = DEGREES.to_vec();
        bytes[i] ^= 0xff;
        let _ = geotiff::read(&bytes, "t.tif");
    }
    for (width, length, said) in [
        (4_000_000_000, 4_000_000_000, "at most 160000000"),
        (20_000, 20_000, "20000 x 20000 heights; at most 160000000"),
        (12_000, 12_000, "no coordinate system"),
        (12_000, 1, "12000 x 1 heights"),
        (0, 0, ""),
    ] {
        let error = geotiff::read(&tiff_of(width, length), "t.tif").unwrap_err().to_string();
        assert!(error.starts_with("t.tif: ") && error.contains(said), "{error}");
    }
}

/// A TIFF of one strip that claims a size and holds ten bytes (TIFF 6.0, section 3).
fn tiff_of(width: u32, length: u32) -> Vec<u8> {
    let entries: [(u16, u32); 9] = [
        (256, width),
        (257, length),
        (258, 16),
        (259, 1),
        (262, 1),
        (273, 8),
        (277, 1),
        (278, length),
        (279, 10),
    ];
    let mut bytes = b"II*\0\x14\0\0\0".to_vec();
    bytes.extend([0; 12]);
    bytes.extend((entries.len() as u16).to_le_bytes());
    for (tag, value) in entries {
        bytes.extend(tag.to_le_bytes());
        // LONG, one of them
        bytes.extend([4, 0, 1, 0, 0, 0]);
        bytes.extend(value.to_le_bytes());
    }
    bytes.extend([0; 4]);
    bytes
}

/// GeoKeys: OGC GeoTIFF 1.1 (OGC 19-008r4), annex B: 1024 model, 2048 and 3072
/// systems, 3076 and 4099 units.
#[test]
fn other_systems_are_refused() {
    let key_place = |bytes: &[u8], key: u16| {
        let entry = key.to_le_bytes();
        let long = |i: &usize| {
            bytes[*i..].starts_with(&entry) && bytes[i + 2..].starts_with(&[0, 0, 1, 0])
        };
        (0..bytes.len() - 8).find(long).unwrap() + 6
    };
    for (file, key, value, said) in [
        (DEGREES, 2048, 4277, "EPSG 4277"),
        (DEGREES, 1024, 3, "model 3"),
        (DEGREES, 2054, 9105, "EPSG 9105"),
        (UTM, 3072, 27700, "EPSG 27700"),
        (UTM, 3076, 9003, "EPSG 9003"),
        (UTM, 3072, 32767, "model"),
    ] {
        let mut bytes = file.to_vec();
        let at = key_place(&bytes, key);
        bytes[at..at + 2].copy_from_slice(&(value as u16).to_le_bytes());
        let error = geotiff::read(&bytes, "t.tif").unwrap_err().to_string();
        let said = if value == 32767 { "EPSG 32767" } else { said };
        assert!(error.contains(said) && error.contains("EPSG 4326"), "{error}");
    }
}

#[test]
fn lists_are_read_as_people_write_them() {
    for text in [
        "10,1\n200,2.5\n",
        "# a survey\n\n10 ; 1\r\n200 ; 2.5\r\n",
        "10\t1\n200\t2.5",
        "  10   1\n 200   2.5",
        "elevation_deg,azimuth_deg,note\n1,10,tower\n2.5,200,\"wood\"\n",
        "\u{feff}Azimuth,Elevation\n200,2.5\n370,1\n",
        "az;el\n-160;2.5\n10;1\n10;1\n",
    ] {
        assert_eq!(csv::read(text, "l.csv", None).unwrap(), [[10.0, 1.0], [200.0, 2.5]], "{text}");
    }
    // 359 magnetic with 2 degrees east is 1 true
    let turned = csv::read("359,1\n90,2\n", "l.csv", Some(2.0)).unwrap();
    assert_eq!(turned, [[1.0, 1.0], [92.0, 2.0]]);
}

#[test]
fn mistakes_in_lists_are_told_together() {
    let error = csv::read("10,1\n20,95\n30,x\n400000,1\n10,2\nnan,inf\n", "l.csv", None);
    let error = error.unwrap_err().to_string();
    for said in ["line 2", "95 degrees", "line 3", "line 4", "line 5", "line 6"] {
        assert!(error.contains(said), "{said}: {error}");
    }
    for (text, said) in [
        ("", "no point"),
        ("# nothing\n", "no point"),
        ("height,width\n1,2\n", "header"),
        ("10\n20\n", "line 1"),
        ("10;2,5\n", "decimal point"),
    ] {
        let error = csv::read(text, "l.csv", None).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    }
    let many = "10,99\n".repeat(200_000);
    let error = csv::read(&many, "l.csv", None).unwrap_err().to_string();
    assert!(error.len() < 2_000 && error.contains("more"), "{error}");
}

#[test]
fn a_venue_keeps_all_but_its_skyline() {
    let text = include_str!("../venues/football-demo.toml");
    let skyline = vec![[5.0, 1.25], [200.0, 3.0]];
    let about = vec!["from a list".to_owned()];
    let placed = table::onto(text, &skyline, &about).unwrap();
    assert!(placed.replaced);
    let (before, rest) = placed.text.split_once("# from a list\n[horizon]\n").unwrap();
    assert!(text.starts_with(before));
    let after = &rest[rest.find("[floodlights]").unwrap()..];
    assert!(text.ends_with(after));
    let read = venue::parse(&placed.text, "v").unwrap();
    let points: Vec<[f64; 2]> =
        read.horizon.profile.iter().map(|(a, e)| [a.degrees(), e.degrees()]).collect();
    assert_eq!(points, skyline);

    let bare = text.replace("[horizon] ", "[old] ");
    let bare: String = {
        let from = bare.find("[old]").unwrap();
        let to = bare.find("[floodlights]").unwrap();
        format!("{}{}# the end", &bare[..from], &bare[to..])
    };
    let placed = table::onto(&bare, &skyline, &about).unwrap();
    assert!(!placed.replaced && placed.text.starts_with(&bare));
    assert_eq!(venue::parse(&placed.text, "v").unwrap().horizon.profile.len(), 2);

    // written in one line, where a table could not stand
    let line = bare.replace("\n[place]", "horizon = { profile = [[0.0, 1.0]] }\n[place]");
    let placed = table::onto(&line, &skyline, &about).unwrap();
    assert_eq!(venue::parse(&placed.text, "v").unwrap().horizon.profile.len(), 2);
    assert!(table::onto("title = ", &skyline, &about).is_err());
}

/// Height of a thinned skyline at an azimuth: linear, around north.
fn at(skyline: &[[f64; 2]], azimuth: f64) -> f64 {
    let n = skyline.len();
    let next = skyline.iter().position(|p| p[0] >= azimuth).unwrap_or(n);
    let (a, b) = (skyline[(next + n - 1) % n], skyline[next % n]);
    let span = (b[0] - a[0]).rem_euclid(360.0);
    let share = if span == 0.0 { 0.0 } else { (azimuth - a[0]).rem_euclid(360.0) / span };
    a[1] + share * (b[1] - a[1])
}

proptest! {
    #[test]
    fn thinning_keeps_its_word(
        heights in prop::collection::vec(-2.0_f64..12.0, 2..200),
        smooth in 0.0_f64..1.0,
        tolerance in 0.01_f64..2.0,
    ) {
        let n = heights.len();
        let mut height = 0.0;
        let skyline: Vec<[f64; 2]> = heights.iter().enumerate().map(|(i, h)| {
            height = smooth * height + (1.0 - smooth) * h;
            [360.0 * i as f64 / n as f64, height]
        }).collect();
        let thinned = thin(&skyline, tolerance);
        for [azimuth, height] in &skyline {
            let off = (at(&thinned, *azimuth) - height).abs();
            prop_assert!(off <= tolerance + 1e-9, "{} at {}: {}", off, azimuth, tolerance);
        }
        prop_assert!(thinned.iter().all(|p| skyline.contains(p)));
        prop_assert!(thinned.windows(2).all(|w| w[0][0] < w[1][0]));
    }
}
