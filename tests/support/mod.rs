//! Grounds made by formula, for tests and benchmarks. Invented throughout.
#![allow(dead_code)]

use chrono::NaiveDate;
use chrono_tz::Tz;
use geo::{Coord, LineString, Polygon};
use glam::DVec3;

use quarterstop::base::frame::{FieldFrame, FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::venue::*;

pub fn date() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 4, 17).unwrap()
}

pub fn place() -> Place {
    Place {
        latitude_deg: 52.0,
        longitude_deg: -0.5,
        height_m: 50.0,
        zone: Tz::Europe__London,
        pressure_hpa: 1007.0,
        temperature_c: 15.0,
    }
}

/// A field of the given outline in field axes, nothing around it.
pub fn open_field(outline: &[[f64; 2]], bearing_deg: f64) -> Venue {
    let frame = FieldFrame::new(Azimuth::from_degrees(bearing_deg));
    Venue {
        title: "Open field".into(),
        place: place(),
        field: Field {
            sport: Sport::Free,
            frame,
            outline: polygon(frame, outline),
            playing_area: polygon(frame, outline),
            surrounds: polygon(frame, outline),
            markings: Vec::new(),
            marks: Vec::new(),
            surface: PlayingSurface::Grass,
            surface_reflectance: 0.06,
            surrounds_surface: PlayingSurface::Grass,
            surrounds_reflectance: 0.06,
            declination: None,
        },
        zones: Vec::new(),
        occluders: Vec::new(),
        cameras: Vec::new(),
        horizon: Horizon::default(),
        air: None,
        floodlights: None,
        fixture: None,
        moments: Vec::new(),
        production: None,
        subject: Default::default(),
        operators: Vec::new(),
        candidates: Vec::new(),
        surveyed: Vec::new(),
        meshes: Vec::new(),
        unusual: Vec::new(),
        beside: Vec::new(),
        changes: Changes::default(),
        hole: None,
        relief: None,
    }
}

pub fn polygon(frame: FieldFrame, outline: &[[f64; 2]]) -> Polygon<f64> {
    let mut coords: Vec<Coord<f64>> = outline
        .iter()
        .map(|p| {
            let q = frame.to_local(FieldPoint::on_ground(p[0], p[1]));
            Coord { x: q.x, y: q.y }
        })
        .collect();
    coords.push(coords[0]);
    Polygon::new(LineString(coords), Vec::new())
}

/// 105 x 68 m, bearing 20 degrees.
pub fn football() -> Venue {
    open_field(&[[-52.5, -34.0], [52.5, -34.0], [52.5, 34.0], [-52.5, 34.0]], 20.0)
}

pub fn occluder(name: &str, bodies: Vec<Body>) -> Occluder {
    Occluder { name: name.into(), kind: OccluderKind::Solid, bodies }
}

pub fn body(part: Part, shape: Shape, transmittance: f64) -> Body {
    let passes = Passes::Always(Transmittance::from_share(transmittance));
    Body {
        part,
        shape,
        passes,
        reflectance: 0.3_f64.min(1.0 - transmittance),
        scatters: 0.0,
        lit: None,
    }
}

/// A convex prism-like body between a lower and an upper ring of equal length,
/// both anticlockwise seen from above.
pub fn between_rings(lower: &[DVec3], upper: &[DVec3]) -> Shape {
    let n = lower.len();
    let vertices = lower.iter().chain(upper).copied().collect();
    let mut faces: Vec<Vec<usize>> =
        (0..n).map(|i| vec![i, (i + 1) % n, n + (i + 1) % n, n + i]).collect();
    faces.push((0..n).rev().collect());
    faces.push((n..2 * n).collect());
    Shape::Convex { vertices, faces }
}

/// An upright prism over a footprint in the local frame.
pub fn prism(footprint: &[[f64; 2]], bottom_m: f64, top_m: f64) -> Shape {
    let ring = |z: f64| footprint.iter().map(|p| DVec3::new(p[0], p[1], z)).collect::<Vec<_>>();
    between_rings(&ring(bottom_m), &ring(top_m))
}

/// A ring of `segments` around a football field: deck, back wall and roof each.
pub fn bowl(segments: usize, roof_transmittance: f64) -> Venue {
    let mut venue = football();
    let frame = venue.field.frame;
    let at = |i: usize, out_m: f64, up_m: f64| {
        let angle = std::f64::consts::TAU * (i % segments) as f64 / segments as f64;
        // scaled copies of one ellipse: chords stay parallel, so roofs are planar
        let scale = 1.0 + out_m / 57.0;
        frame.to_local(FieldPoint {
            along_m: 66.0 * scale * angle.cos(),
            across_m: 48.0 * scale * angle.sin(),
            up_m,
        })
    };
    for i in 0..segments {
        let j = i + 1;
        let lower = [at(i, 0.0, 0.0), at(i, 32.0, 0.0), at(j, 32.0, 0.0), at(j, 0.0, 0.0)];
        let upper = [at(i, 0.0, 1.5), at(i, 32.0, 22.0), at(j, 32.0, 22.0), at(j, 0.0, 1.5)];
        let sheet = |corners: [DVec3; 4]| Shape::Sheet { corners: corners.to_vec() };
        let wall =
            sheet([at(i, 32.0, 22.0), at(j, 32.0, 22.0), at(j, 32.0, 29.0), at(i, 32.0, 29.0)]);
        let roof =
            sheet([at(i, 4.0, 31.0), at(i, 32.0, 29.0), at(j, 32.0, 29.0), at(j, 4.0, 31.0)]);
        let mut bodies = vec![
            body(Part::Deck, between_rings(&lower, &upper), 0.0),
            body(Part::BackWall, wall, 0.0),
        ];
        if roof_transmittance < 1.0 {
            bodies.push(body(Part::Roof, roof, roof_transmittance));
        }
        venue.occluders.push(occluder(&format!("segment {i}"), bodies));
    }
    venue
}

/// Toward the suns of a spring afternoon. Benchmarks take all of them in turn, so that no
/// single lucky instant is measured.
pub fn afternoon_suns() -> [DVec3; 8] {
    let suns = [
        (180.0, 46.0),
        (200.0, 44.0),
        (220.0, 38.0),
        (235.0, 31.0),
        (248.0, 23.0),
        (259.0, 15.0),
        (269.0, 8.0),
        (276.0, 3.0),
    ];
    suns.map(|(azimuth, elevation)| {
        direction(Azimuth::from_degrees(azimuth), Elevation::from_degrees(elevation))
    })
}

/// A small generator of repeatable numbers in 0..1 (xorshift64*).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }
}

/// The names of a table's columns, as its header has them.
pub fn names_of(columns: Vec<quarterstop::output::table::ColumnDoc>) -> Vec<String> {
    columns.into_iter().map(|column| column.name).collect()
}
