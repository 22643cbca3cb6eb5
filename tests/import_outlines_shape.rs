//! Outlines of maps against shapely and against a venue typed by hand.

use crate::import_support;

use geo::{Area, BooleanOps};
use import_support::{AROUND, bring, cast, drawn, read, stated};
use quarterstop::import::geodesy::{Geographic, LocalPlane};
use quarterstop::import::outlines::{field, source};
use quarterstop::venue::{self, Venue};
use serde_json::{Value, json};

fn values() -> Value {
    serde_json::from_str(include_str!("data/outline_values.json")).unwrap()
}

/// shapely 2.2.0 and geographiclib 2.1: see tests/data/README.md. Courts are cut in
/// two here and are one polygon with holes there; roofs are panels here and hulls
/// there.
///
/// Tolerance: coordinates have 1e-10 degree, 0.01 mm, and are whole centimetres, so
/// nothing is lost but where hips and tips are rounded: half a centimetre of height
/// at 9 degrees is 3 cm along the shadow of a corner, on a side of at most 24 m.
#[test]
fn shadows_are_those_of_shapely() {
    const TOLERANCE_M2: f64 = 0.05;
    let data = values();
    let (centre, bearing) = (&data["centre"], data["bearing_deg"].as_f64().unwrap());
    let mut shaded = 0;
    for case in data["cases"].as_array().unwrap() {
        let name = &case["feature"]["id"];
        let place = [centre[0].as_f64().unwrap(), centre[1].as_f64().unwrap()];
        let imported = bring(&case["feature"].to_string(), stated(place[0], place[1], bearing));
        assert!(imported.left_out.is_empty(), "{name}: {:?}", imported.left_out);
        let venue = read(&imported);
        for sun in case["suns"].as_array().unwrap() {
            let sun: Vec<f64> =
                sun.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
            let area = cast(&venue, sun[0], sun[1]).unsigned_area();
            let off = (area - sun[2]).abs();
            assert!(off < TOLERANCE_M2, "{name}, sun {sun:?}: {area} m2");
            shaded += usize::from(sun[2] > 10.0);
        }
    }
    assert!(shaded > 60, "only {shaded} suns throw a shadow on the field");
}

/// The map of the demo ground was made from these numbers with geographiclib 2.1
/// (tests/reference); a venue typed by hand from them throws the same shadow.
#[test]
fn a_map_and_a_venue_typed_by_hand_throw_the_same_shadow() {
    let imported = bring(AROUND, drawn());
    let venue = read(&imported);
    let by_hand = "title = \"By hand\"\n\
        [place]\nlatitude_deg = 52.31\nlongitude_deg = -0.42\nheight_m = 38.0\nzone = \"Europe/London\"\n\
        [field]\nsport = \"football\"\nlength_m = 105.0\nwidth_m = 68.0\nbearing_deg = 12.7\n\
        [[solid]]\nname = \"stand\"\nfootprint = [[-50.0, 40.0], [50.0, 40.0], [50.0, 66.0], [-50.0, 66.0]]\ntop_m = 19.0\n\
        [[solid]]\nname = \"angle\"\nfootprint = [[-90.0, -60.0], [-60.0, -60.0], [-60.0, -52.0], [-78.0, -52.0], [-78.0, -30.0], [-90.0, -30.0]]\ntop_m = 9.5\n\
        [[solid]]\nname = \"hung\"\nfootprint = [[61.0, -20.0], [71.0, -20.0], [71.0, 20.0], [61.0, 20.0]]\nbottom_m = 6.0\ntop_m = 14.0\n\
        [[solid]]\nname = \"mast\"\ncentre = [66.0, 52.0]\nradius_m = 0.6\ntop_m = 38.0\n\
        [[panel]]\nname = \"cover\"\ncorners = [[-40.0, -58.0, 9.0], [40.0, -58.0, 9.0], [40.0, -42.0, 9.0], [-40.0, -42.0, 9.0]]\n";
    let by_hand = venue::parse(by_hand, "by hand").unwrap();
    let named = [
        ("stand", "Mill Stand"),
        ("angle", "industrial 1"),
        ("hung", "building 1"),
        ("mast", "North-west mast"),
        ("cover", "Orchard cover"),
    ];
    let find = |venue: &Venue, name: &str| {
        venue.occluders.iter().find(|o| o.name == name).unwrap().clone()
    };
    let mut same = by_hand.clone();
    same.occluders = named.iter().map(|(_, name)| find(&venue, name)).collect();
    for (typed, drawn) in named {
        let (typed, drawn) = (find(&by_hand, typed), find(&venue, drawn));
        assert_eq!(typed.bodies.len(), drawn.bodies.len());
        for point in typed.bodies.iter().flat_map(|b| b.shape.points()) {
            let near = drawn.bodies.iter().flat_map(|b| b.shape.points());
            let near = near.map(|p| (p - point).length()).fold(f64::MAX, f64::min);
            assert!(near < 0.01, "{}: {point} is {near} m off", drawn.name);
        }
    }
    for (azimuth, elevation) in [(282.7, 12.0), (250.0, 20.0), (12.7, 15.0), (100.0, 9.0)] {
        let (a, b) = (cast(&by_hand, azimuth, elevation), cast(&same, azimuth, elevation));
        assert!(a.unsigned_area() > 100.0);
        // a centimetre along the edge: less than its length of 500 m times 1 cm
        assert!(a.xor(&b).unsigned_area() < 5.0 * 0.01, "sun {azimuth} {elevation}");
    }
}

/// shapely 2.2.0, minimum_rotated_rectangle, over fields from 75 south to 75 north,
/// some across the date line.
#[test]
fn a_field_of_play_lies_as_its_rectangle() {
    let data = values();
    let fields = data["fields"].as_array().unwrap();
    assert!(fields.len() >= 20);
    for drawn in fields {
        let number = |v: &Value| v.as_f64().unwrap();
        let feature = json!({
            "type": "Feature", "properties": { "leisure": "pitch" },
            "geometry": { "type": "Polygon", "coordinates": [drawn["ring"]] },
        });
        let features = source::read(&feature.to_string()).unwrap();
        let found = &field::all(&features).unwrap()[0];
        // coordinates have 1e-10 degree; a chord of 60 m is as long as its arc
        assert!((found.length_m - number(&drawn["length_m"])).abs() < 1e-3);
        assert!((found.width_m - number(&drawn["width_m"])).abs() < 1e-3);
        let turn = found.bearing_deg - number(&drawn["bearing_deg"]);
        // north turns between the middle of the rectangle and that of the script,
        // up to 2 m apart: tan(75) * 2 m / R
        assert!(((turn + 90.0).rem_euclid(180.0) - 90.0).abs() < 1e-4, "{turn}");
        let there = LocalPlane::new(found.centre).unwrap();
        let centre =
            Geographic::new(number(&drawn["centre"][0]), number(&drawn["centre"][1])).unwrap();
        assert!(there.to_local(centre, 0.0).unwrap().length() < 1e-3);
    }
}
