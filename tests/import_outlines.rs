//! Outlines of maps: heights, reasons, names, and files that mean no good.

use crate::import_support;

use geo::Area;
use import_support::*;
use proptest::prelude::*;
use quarterstop::import::outlines::{FieldChoice, Goal, NewVenue, OutlineError, import, text};
use quarterstop::venue::{self, OccluderKind, Shape, Sport};
use serde_json::{Value, json};

/// Open map data: Key:height, Key:building:levels, Simple 3D Buildings (the wiki of
/// OpenStreetMap, from memory): `height` with the roof, levels without.
#[test]
fn heights_come_from_what_the_map_says() {
    for (tags, bottom, top) in [
        (json!({ "building": "yes", "height": "12.5 m" }), 0.0, 12.5),
        (json!({ "building": "yes", "height": 9 }), 0.0, 9.0),
        (json!({ "building": "yes", "height": "40'" }), 0.0, 12.19),
        (json!({ "building": "yes", "height": "20", "min_height": "4" }), 4.0, 20.0),
        (json!({ "building": "yes", "building:levels": "4" }), 0.0, 12.0),
        (json!({ "building": "yes", "building:levels": "4", "roof:levels": "1" }), 0.0, 15.0),
        (json!({ "building": "yes", "building:levels": "4", "roof:height": "2.5" }), 0.0, 14.5),
        (
            json!({ "building": "yes", "building:levels": "4", "building:min_level": "2" }),
            6.0,
            12.0,
        ),
        (json!({ "building": "yes", "height": "10", "building:levels": "9" }), 0.0, 10.0),
        // the turf is at 38 m
        (json!({ "building": "yes", "height": "10", "ele": "41.5" }), 3.5, 13.5),
        (json!({ "height": "10" }), 0.0, 10.0),
    ] {
        let imported = bring_value(json!([square(tags.clone())]));
        let venue = read(&imported);
        let points = venue.occluders[0].bodies.iter().flat_map(|b| b.shape.points());
        let heights: Vec<f64> = points.map(|p| p.z).collect();
        let low = heights.iter().copied().fold(f64::MAX, f64::min);
        let high = heights.iter().copied().fold(f64::MIN, f64::max);
        assert!((low - bottom).abs() < 1e-9 && (high - top).abs() < 1e-9, "{tags}: {low} {high}");
    }
}

#[test]
fn nothing_is_left_out_without_a_word() {
    let imported = bring(AROUND, drawn());
    let all: Vec<Value> =
        serde_json::from_str::<Value>(AROUND).unwrap()["features"].as_array().unwrap().clone();
    let listed = text(&imported, &wish());
    let field = "way/1 \"Umbra Park\"";
    assert!(listed.contains(field));
    for feature in all {
        let id = feature["id"].as_str().unwrap();
        let table = format!("# {id}: ");
        let left_out = imported.left_out.iter().flat_map(|g| &g.features);
        let left_out = left_out.filter(|f| f.split(' ').next() == Some(id)).count();
        let written = imported.text.lines().filter(|l| l.starts_with(&table)).count();
        match id {
            "way/1" => assert_eq!((left_out, written), (0, 0)),
            _ => assert!((left_out > 0) != (written > 0), "{id}: {left_out}, {written}"),
        }
    }
    // the reasons stand in the file as well
    for reason in why(&imported) {
        let words: String = imported.text.lines().filter_map(|l| l.strip_prefix('#')).collect();
        let squeezed = |t: &str| t.split_whitespace().collect::<String>();
        assert!(squeezed(&words).contains(&squeezed(reason)), "{reason}");
    }
    for tables in ["[[solid]]", "[[panel]]", "[[tree]]"] {
        for above in imported.text.split(tables).take(imported.text.matches(tables).count()) {
            let comment = above.trim_end().lines().last().unwrap();
            assert!(comment.starts_with("# way/") && comment.contains(" = \""), "{comment}");
        }
    }
}

#[test]
fn reasons_name_what_is_wrong() {
    let ring = |points: &[[f64; 2]]| {
        let ring: Vec<[f64; 2]> =
            points.iter().map(|p| [10.0018 + p[0] / 1e4, p[1] / 1e4]).collect();
        json!({ "type": "Polygon", "coordinates": [ring] })
    };
    let tall = || json!({ "building": "yes", "height": "9" });
    for (geometry, tags, reason) in [
        (ring(&[[0., 0.], [1., 1.], [1., 0.], [0., 1.], [0., 0.]]), tall(), "self-intersection"),
        (ring(&[[0., 0.], [2., 2.], [3., 0.], [0., 1.], [0., 0.]]), tall(), "self-intersection"),
        (ring(&[[0., 0.], [1., 0.]]), tall(), "2 points"),
        (ring(&[]), tall(), "0 points"),
        (ring(&[[0., 0.], [0., 0.], [0., 0.], [0., 0.]]), tall(), "fewer than 3"),
        (json!({ "type": "Polygon", "coordinates": [] }), tall(), "without a ring"),
        (ring(&[[0., 0.], [1e300, 0.], [1., 1.], [0., 0.]]), tall(), "longitude and latitude"),
        (json!({ "type": "Point", "coordinates": [10.0018, 0.0] }), tall(), "as a point"),
        (
            json!({ "type": "LineString", "coordinates": [[10.0018, 0.0], [10.0019, 0.0]] }),
            tall(),
            "no wall",
        ),
        (json!(null), tall(), "no geometry"),
        (
            ring(&[[0., 0.], [1., 0.], [1., 1.], [0., 0.]]),
            json!({ "building": "yes" }),
            "no height",
        ),
        (
            ring(&[[0., 0.], [1., 0.], [1., 1.], [0., 0.]]),
            json!({ "building": "yes", "height": "tall" }),
            "height = \"tall\" is no length",
        ),
        (
            ring(&[[0., 0.], [1., 0.], [1., 1.], [0., 0.]]),
            json!({ "building": "yes", "height": "3", "min_height": "5" }),
            "not over its underside",
        ),
        // the field of play reaches 150 m: half a stand on it
        (
            ring(&[[-6., 0.], [-4., 0.], [-4., 1.], [-6., 1.], [-6., 0.]]),
            tall(),
            "on the field of play",
        ),
        (ring(&[[90., 0.], [91., 0.], [91., 1.], [90., 0.]]), tall(), "farther than 400 m"),
    ] {
        let imported = bring_value(json!([at_equator(geometry.clone(), tags)]));
        assert_eq!(imported.written, Default::default(), "{geometry}");
        assert!(why(&imported)[0].contains(reason), "{geometry}: {:?}", why(&imported));
        read(&imported);
    }
}

#[test]
fn what_reaches_onto_the_field_is_cut_back() {
    // 140 to 190 m to the east of the middle, of which 10 m on the field
    let ring = json!([
        [10.00125763, 0.0],
        [10.00170678, 0.0],
        [10.00170678, 0.0001],
        [10.00125763, 0.0001],
        [10.00125763, 0.0]
    ]);
    let stand = at_equator(
        json!({ "type": "Polygon", "coordinates": [ring] }),
        json!({ "building": "grandstand", "height": "12" }),
    );
    let imported = bring_value(json!([stand]));
    assert_eq!(imported.written.solids, 1);
    assert!(
        imported.simplified.iter().any(|g| g.what.contains("cut off")),
        "{:?}",
        imported.simplified
    );
    let nearest = read(&imported).occluders[0].bodies[0]
        .shape
        .points()
        .iter()
        .map(|p| p.x)
        .fold(f64::MAX, f64::min);
    assert!((150.0..150.05).contains(&nearest), "{nearest}");
}

#[test]
fn parts_stand_for_their_building() {
    let at = |from: f64, to: f64, tags: Value| {
        let (from, to) = (10.0018 + from / 1e4, 10.0018 + to / 1e4);
        let ring = json!([[from, 0.0], [to, 0.0], [to, 0.0001], [from, 0.0001], [from, 0.0]]);
        at_equator(json!({ "type": "Polygon", "coordinates": [ring] }), tags)
    };
    let whole = at(0.0, 1.0, json!({ "building": "yes", "height": "30" }));
    let low = at(0.0, 0.7, json!({ "building:part": "yes", "height": "8" }));
    let high = at(0.7, 1.0, json!({ "building:part": "yes", "height": "30" }));
    let imported = bring_value(json!([whole, low, high]));
    assert_eq!(imported.written.solids, 2);
    assert!(why(&imported)[0].contains("its parts stand for it"), "{:?}", why(&imported));
    // a small part does not stand for the whole
    let corner = at(0.7, 1.0, json!({ "building:part": "yes", "height": "30" }));
    let imported =
        bring_value(json!([square(json!({ "building": "yes", "height": "30" })), corner]));
    assert_eq!(imported.written.solids, 2);
    assert!(imported.left_out.is_empty());
}

/// The list on the terminal is short; the file names all but what says itself.
#[test]
fn long_lists_are_cut_where_nothing_is_lost() {
    let unknown = |i: usize| {
        let mut feature = square(json!({ "building": "yes" }));
        feature["id"] = json!(format!("way/{i:04}"));
        feature
    };
    let mut features: Vec<Value> = (0..300).map(unknown).collect();
    features.push(square(json!({ "building": "yes", "height": "9" })));
    let imported = bring_value(Value::Array(features));
    assert_eq!(imported.left_out[0].features.len(), 300);
    let printed = text(&imported, &wish());
    assert!(printed.contains("way/0019") && !printed.contains("way/0020"));
    let words: Vec<&str> = printed.split_whitespace().collect();
    assert!(words.join(" ").contains("and 280 more"));
    assert!((0..300).all(|i| imported.text.contains(&format!("way/{i:04}"))));
}

/// A venue file that its own reader would refuse for its size is not written.
#[test]
fn a_wall_without_end_is_too_long() {
    let point = |i: i32| [10.0018 + f64::from(i % 2) * 1e-5, f64::from(i) * 1e-7];
    let line: Vec<[f64; 2]> = (0..40_000).map(point).collect();
    let wall = at_equator(
        json!({ "type": "LineString", "coordinates": line }),
        json!({ "barrier": "wall", "height": "2" }),
    );
    let error = import(&wall.to_string(), Goal::New(stated(0.0, 10.0, 0.0)), &wish()).unwrap_err();
    assert!(matches!(error, OutlineError::TooLong { .. }), "{error}");
    assert!(error.to_string().contains("--within-m"));
}

#[test]
fn names_are_unique_and_cannot_break_the_file() {
    let evil = "x\"]\n[place]\nlatitude_deg = 1\u{2028}# \u{0007}";
    let tags = || json!({ "building": "yes", "height": "9", "name": evil });
    let mut features = vec![square(tags()), square(tags())];
    features.push(square(json!({ "building": "a\nb", "height": "9\n[field]", "name": "" })));
    features.push(square(json!({ "building": "house", "height": "9" })));
    features.push(square(json!({ "building": "house", "height": "9", "name": "house 1" })));
    features[0]["id"] = json!("way/1\n[[camera]]");
    let long = "long ".repeat(100);
    features.push(square(json!({ "building": "house", "height": "9", "name": long })));
    let imported = bring_value(Value::Array(features));
    let venue = read(&imported);
    let mut names: Vec<&str> = venue.occluders.iter().map(|o| o.name.as_str()).collect();
    assert_eq!(names.len(), 5, "{:?}", imported.left_out);
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), 5);
    assert!(venue.cameras.is_empty() && venue.place.latitude_deg == 0.0);
}

#[test]
fn a_venue_that_is_there_keeps_every_byte() {
    let text = include_str!("../venues/football-demo.toml");
    let venue = venue::parse(text, "demo").unwrap();
    let imported = import(AROUND, Goal::Onto { text, venue: &venue }, &wish()).unwrap();
    assert!(imported.text.starts_with(text.trim_end()), "{}", imported.text);
    let again = read(&imported);
    let solids = again.occluders.iter().filter(|o| o.kind == OccluderKind::Solid).count();
    assert_eq!(solids, 4 + imported.written.solids);
    // both have a Mill Stand; the venue's own has rake and roof
    let there = |g: &&quarterstop::import::outlines::FeatureGroup| g.what.contains("Mill Stand");
    let left_out = imported.left_out.iter().find(there).unwrap();
    assert_eq!(left_out.features, ["way/2 \"Mill Stand\""]);
    assert!(!again.occluders.iter().any(|o| o.name.starts_with("Mill Stand 2")));
    // the map's field is the venue's: bearing 12 magnetic, 0.7 declination
    assert!(imported.told[0].contains("lies 0.0 m"), "{:?}", imported.told);
    assert!(
        imported.told[0].contains("turned by +0.0") || imported.told[0].contains("turned by -0.0")
    );
    assert_eq!(imported.told.len(), 1);
}

/// Files of another system keep their line ends, and what is added is TOML in any case.
#[test]
fn a_venue_with_other_line_ends_is_a_venue_afterwards() {
    let text = include_str!("../venues/football-demo.toml").replace('\n', "\r\n");
    let venue = venue::parse(&text, "demo").unwrap();
    let imported = import(AROUND, Goal::Onto { text: &text, venue: &venue }, &wish()).unwrap();
    let lines = |text: &str| text.trim_end().lines().map(str::to_owned).collect::<Vec<_>>();
    assert!(lines(&imported.text).starts_with(&lines(&text)));
    read(&imported);
}

#[test]
fn a_venue_beside_the_map_is_told() {
    let text = include_str!("../venues/football-demo.toml").replace("-0.42", "-0.4203");
    let venue = venue::parse(&text, "demo").unwrap();
    let imported = import(AROUND, Goal::Onto { text: &text, venue: &venue }, &wish()).unwrap();
    // 0.0003 degree of longitude at 52.31 N: 20.5 m
    assert!(imported.told[0].contains("20.5 m east"), "{:?}", imported.told);
    assert!(imported.told[1].contains("mend latitude_deg"));
}

#[test]
fn comments_at_the_end_and_tables_in_one_line() {
    let head = "title = \"T\"\nsolid = [{ name = \"a\", centre = [0.0, 300.0], radius_m = 1.0, top_m = 2.0 }]\n";
    let rest = "[place]\nlatitude_deg = 52.31\nlongitude_deg = -0.42\nheight_m = 38.0\nzone = \"Europe/London\"\n\
                [field]\nsport = \"football\"\nbearing_deg = 12.7\n# the end";
    let both = format!("{head}{rest}");
    let venue = venue::parse(&both, "v").unwrap();
    let error = import(AROUND, Goal::Onto { text: &both, venue: &venue }, &wish()).unwrap_err();
    assert!(matches!(error, OutlineError::InlineTable { .. }), "{error}");
    assert!(error.to_string().contains("[[solid]]"));
    let text = format!("title = \"T\"\n{rest}");
    let venue = venue::parse(&text, "v").unwrap();
    let imported = import(AROUND, Goal::Onto { text: &text, venue: &venue }, &wish()).unwrap();
    assert!(imported.text.starts_with(&format!("{text}\n")));
    read(&imported);
}

#[test]
fn trees_masts_and_walls() {
    let venue = read(&bring(AROUND, drawn()));
    let find = |name: &str| venue.occluders.iter().find(|o| o.name == name).unwrap();
    // two pieces along the line: one panel each
    for (name, height) in [("wall 1 part 1", 2.4), ("wall 1 part 2", 2.4)] {
        let Shape::Sheet { corners } = &find(name).bodies[0].shape else { panic!("{name}") };
        assert_eq!(corners.len(), 4);
        assert!(corners.iter().any(|p| (p.z - height).abs() < 1e-9));
    }
    let top = |name: &str| {
        let points = find(name).bodies.iter().flat_map(|b| b.shape.points());
        points.map(|p| p.z).fold(f64::MIN, f64::max)
    };
    assert!((top("North-west mast") - 38.0).abs() < 1e-9);
    assert!((top("tree 1") - 18.0).abs() < 1e-9);
    let january = chrono::NaiveDate::from_ymd_opt(2027, 1, 10).unwrap();
    let june = chrono::NaiveDate::from_ymd_opt(2027, 6, 10).unwrap();
    // deciduous and needleleaved
    let passes = |name: &str, day| find(name).bodies[0].passes.on(day).share();
    assert!(passes("tree 1", january) > passes("tree 1", june));
    assert_eq!(passes("tree 2", january), passes("tree 2", june));
}

#[test]
fn fields_of_play_are_chosen() {
    let pitch = |id: &str, name: &str, sport: &str, east: f64, (length, width): (f64, f64)| {
        let (x, y) = (length / 2.0 / 111_319.49, width / 2.0 / 110_574.3);
        let at = 10.0 + east / 111_319.49;
        json!({
            "type": "Feature", "id": id,
            "properties": { "leisure": "pitch", "sport": sport, "name": name },
            "geometry": { "type": "Polygon", "coordinates":
                [[[at - x, -y], [at + x, -y], [at + x, y], [at - x, y], [at - x, -y]]] },
        })
    };
    let both =
        |a: Value, b: Value| json!({ "type": "FeatureCollection", "features": [a, b] }).to_string();
    let two = both(
        pitch("way/1", "Upper", "soccer", 0.0, (105.0, 68.0)),
        pitch("way/2", "Courts", "tennis", 200.0, (36.6, 18.3)),
    );
    let bring = |text: &str, new: NewVenue| import(text, Goal::New(new), &wish());
    let error = bring(&two, drawn()).unwrap_err().to_string();
    assert!(
        error.contains("--field") && error.contains("Upper") && error.contains("Courts"),
        "{error}"
    );
    let named = |name: &str| new_venue(FieldChoice::Drawn { named: Some(name.into()) });
    let error = bring(&two, named("Lower")).unwrap_err().to_string();
    assert!(error.contains("Lower") && error.contains("Upper"), "{error}");
    let by_name = bring(&two, named("upper")).unwrap();
    assert_eq!(read(&by_name).field.sport, Sport::Football);
    assert!((read(&by_name).field.frame.bearing().degrees() - 90.0).abs() < 1e-6);
    // a court is drawn with its surround: ITF Rules of Tennis, rule 1: 23.77 x 10.97 m
    let court = bring(&two, named("way/2")).unwrap();
    let area = read(&court).field.outline.unsigned_area();
    assert!((area - 23.77 * 10.97).abs() < 0.01, "{area}");
    assert!(court.told.iter().any(|t| t.contains("surround")), "{:?}", court.told);
    // by sport
    let by_sport = bring(&two, NewVenue { sport: Some(Sport::Tennis), ..drawn() }).unwrap();
    assert_eq!(read(&by_sport).field.sport, Sport::Tennis);
    // a small one is refused for its sport, and taken as it is drawn
    let small = pitch("way/3", "Small", "soccer", 0.0, (60.0, 40.0)).to_string();
    let error = bring(&small, drawn()).unwrap_err().to_string();
    assert!(error.contains("IFAB") && error.contains("--sport free"), "{error}");
    let free = bring(&small, NewVenue { sport: Some(Sport::Free), ..drawn() }).unwrap();
    assert!((read(&free).field.outline.unsigned_area() - 2400.0).abs() < 2.0);
    // none at all, and no height
    let none = square(json!({ "building": "yes", "height": "9" })).to_string();
    assert!(bring(&none, drawn()).unwrap_err().to_string().contains("--centre"));
    let error = bring(&two, NewVenue { height_m: None, ..named("Upper") }).unwrap_err();
    assert!(error.to_string().contains("--height-m"), "{error}");
}

#[test]
fn files_that_cannot_be_read_say_why() {
    let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
    let nested = format!(
        "{}{{\"type\":\"Point\",\"coordinates\":[0,0]}}{}",
        "{\"type\":\"GeometryCollection\",\"geometries\":[".repeat(5_000),
        "]}".repeat(5_000)
    );
    let crs = |name: &str| {
        json!({ "type": "FeatureCollection", "features": [],
            "crs": { "type": "name", "properties": { "name": name } } })
        .to_string()
    };
    for (text, said) in [
        ("", "no GeoJSON"),
        ("title = 1", "no GeoJSON"),
        ("{}", "no GeoJSON"),
        ("{\"type\": \"Topology\"}", "no GeoJSON"),
        ("{\"type\": \"Point\", \"coordinates\": [1e999, 0]}", "no GeoJSON"),
        ("{\"type\": \"FeatureCollection\", \"features\": 7}", "no GeoJSON"),
        (&deep, "no GeoJSON"),
        (&nested, "no GeoJSON"),
        ("{\"type\": \"FeatureCollection\", \"features\": []}", "no feature"),
        (&crs("urn:ogc:def:crs:EPSG::27700"), "coordinate system"),
        (&crs("urn:ogc:def:crs:OGC:1.3:CRS84"), "no feature"),
    ] {
        let error = import(text, Goal::New(drawn()), &wish()).unwrap_err().to_string();
        assert!(error.contains(said), "{said}: {error}");
        assert!(error.len() < 700, "{error}");
    }
}

#[test]
fn the_date_line_and_collections_are_no_border() {
    // a hall 100 m wide across 180 degrees, on the equator, 200 m north of the field
    let ring = json!([
        [179.99955, 0.0018],
        [-179.99955, 0.0018],
        [-179.99955, 0.0020],
        [179.99955, 0.0020],
        [179.99955, 0.0018]
    ]);
    let hall = json!({
        "type": "Feature", "properties": { "building": "yes", "height": "9" },
        "geometry": { "type": "GeometryCollection", "geometries": [
            { "type": "MultiPolygon", "coordinates": [[ring]] } ] },
    });
    let imported = bring(&hall.to_string(), stated(0.0, -180.0, 0.0));
    let venue = read(&imported);
    let xs: Vec<f64> = venue.occluders[0].bodies[0].shape.points().iter().map(|p| p.x).collect();
    let width =
        xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min);
    // 0.0009 degree of the equator
    assert!((width - 0.0009 * 111_319.49).abs() < 0.011, "{width}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever a map draws and says, the result is a venue, and every feature is in
    /// it or listed.
    #[test]
    fn any_map_gives_a_venue(
        rings in prop::collection::vec(
            prop::collection::vec((-40_i32..40, -40_i32..40), 0..9), 1..4),
        height in prop::option::of("[0-9]{1,4}|-?[0-9.]{1,6} ?(m|ft|')?|\\PC{0,8}"),
        shape in prop::sample::select(vec!["flat", "gabled", "hipped", "pyramidal", "skillion", "dome"]),
        kind in prop::sample::select(vec!["building", "building:part", "barrier", "natural", "man_made"]),
        value in prop::sample::select(vec!["yes", "roof", "wall", "tree", "mast", "house"]),
        roof in "[0-9]{1,2}|",
        toward in "[0-9]{1,3}|NE|x|",
    ) {
        let rings: Vec<Vec<[f64; 2]>> = rings.iter().map(|ring| {
            let point = |p: &(i32, i32)| {
                [10.002 + f64::from(p.0) * 1e-5, f64::from(p.1) * 1e-5]
            };
            ring.iter().chain(ring.first()).map(point).collect()
        }).collect();
        let tags = json!({ kind: value, "height": height, "roof:shape": shape,
            "roof:height": roof, "roof:direction": toward, "name": height });
        let feature = at_equator(json!({ "type": "Polygon", "coordinates": rings }), tags);
        let imported = bring_value(json!([feature]));
        read(&imported);
        let written = imported.written.solids + imported.written.panels + imported.written.trees;
        prop_assert_eq!(written > 0, imported.left_out.is_empty());
    }
}
