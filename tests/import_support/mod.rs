//! Maps and venues for the tests of imports. Invented throughout.
#![allow(dead_code)]

use serde_json::{Value, json};

use quarterstop::base::frame::direction;
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{Caster, OverlayScratch};
use quarterstop::import::geodesy::Geographic;
use quarterstop::import::outlines::{
    DEFAULT_WITHIN_M, FieldChoice, Goal, HeightRule, Imported, NewVenue, Wish, import,
};
use quarterstop::venue;
use quarterstop::venue::{Sport, Venue};

pub const AROUND: &str = include_str!("../../venues/football-demo-outlines.geojson");

pub fn wish() -> Wish {
    Wish { source: "map.geojson".into(), within_m: DEFAULT_WITHIN_M, rule: HeightRule::default() }
}

pub fn new_venue(field: FieldChoice) -> NewVenue {
    NewVenue {
        title: None,
        zone: "Europe/London".into(),
        height_m: Some(38.0),
        sport: None,
        length_m: None,
        width_m: None,
        field,
    }
}

pub fn drawn() -> NewVenue {
    new_venue(FieldChoice::Drawn { named: None })
}

/// A free field of 300 x 300 m with its bearing, at a place.
pub fn stated(latitude: f64, longitude: f64, bearing_deg: f64) -> NewVenue {
    let centre = Geographic::new(latitude, longitude).unwrap();
    NewVenue {
        sport: Some(Sport::Free),
        length_m: Some(300.0),
        width_m: Some(300.0),
        ..new_venue(FieldChoice::Stated { centre, bearing_deg })
    }
}

pub fn bring(geojson: &str, new: NewVenue) -> Imported {
    import(geojson, Goal::New(new), &wish()).unwrap()
}

pub fn bring_value(features: Value) -> Imported {
    let all = json!({ "type": "FeatureCollection", "features": features });
    bring(&all.to_string(), stated(0.0, 10.0, 0.0))
}

pub fn read(imported: &Imported) -> Venue {
    venue::parse(&imported.text, "imported").unwrap()
}

/// A feature on the equator at 10 E, where a degree of longitude is 111319.49 m
/// (a pi / 180 with a = 6378137 m): far outside the field, 200 m to the east.
pub fn at_equator(geometry: Value, tags: Value) -> Value {
    json!({ "type": "Feature", "id": "f", "geometry": geometry, "properties": tags })
}

pub fn square(tags: Value) -> Value {
    let ring = json!([
        [10.0018, 0.0],
        [10.0019, 0.0],
        [10.0019, 0.0001],
        [10.0018, 0.0001],
        [10.0018, 0.0]
    ]);
    at_equator(json!({ "type": "Polygon", "coordinates": [ring] }), tags)
}

pub fn why(imported: &Imported) -> Vec<&str> {
    imported.left_out.iter().map(|g| g.what.as_str()).collect()
}

pub fn cast(venue: &Venue, azimuth: f64, elevation: f64) -> geo::MultiPolygon<f64> {
    let date = chrono::NaiveDate::from_ymd_opt(2027, 6, 1).unwrap();
    let caster = Caster::new(venue, date, 0.0);
    let sun = direction(Azimuth::from_degrees(azimuth), Elevation::from_degrees(elevation));
    caster.cast(sun, &mut OverlayScratch::default()).shaded
}
