//! The ground and what stands on it, for the interactive page.
//!
//! In: a [`Venue`] as it stands at an instant. Out: outlines in field axes, metres, and faces for
//! the picture through a camera.

use chrono::NaiveDate;
use glam::DVec3;
use serde::Serialize;

use crate::base::frame::area_vector;
use crate::engine::{Instant, MatchPlan};
use crate::jobs::brief::report::heights::{HeightsData, heights};
use crate::light;
use crate::signal::Primaries;
use crate::venue::{Body, Part, PlayingSurface, Shape, Venue};

use super::points::{at, at3, open_line, ring, rounded};

/// The page works out the light on each face from all others: the largest faces of
/// meshes, up to so many, keep that quick on a tablet.
const MAX_MESH_FACES: usize = 600;

/// What stands from an instant on.
#[derive(Debug, Serialize)]
pub(super) struct LaterData {
    from: usize,
    stands: Vec<StandData>,
    faces: Vec<FaceData>,
}

#[derive(Debug, Serialize)]
pub(super) struct FieldData {
    outline: Vec<[f64; 2]>,
    playing_area: Vec<[f64; 2]>,
    /// All of the ground that is planned: its outer rim.
    surrounds: Vec<[f64; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    heights: Option<HeightsData>,
    lines: Vec<Vec<[f64; 2]>>,
    marks: Vec<Named<[f64; 2]>>,
    zones: Vec<ZoneData>,
    /// True north, degrees clockwise from the along axis.
    north_deg: f64,
    /// What is played on, in a word.
    surface: &'static str,
    /// Its colour in daylight: linear red, green and blue of BT.709 for a luminance of 1.
    tint: [f64; 3],
}

#[derive(Debug, Serialize)]
struct Named<T> {
    name: String,
    at: T,
}

#[derive(Debug, Serialize)]
struct ZoneData {
    name: String,
    outline: Vec<[f64; 2]>,
}

#[derive(Debug, Serialize)]
pub(super) struct StandData {
    name: String,
    part: &'static str,
    outline: Vec<[f64; 2]>,
    passes: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct FaceData {
    corners: Vec<[f64; 3]>,
    tone: &'static str,
    passes: f64,
}

pub(super) fn field(venue: &Venue) -> FieldData {
    let frame = venue.field.frame;
    let marks = venue.field.marks.iter();
    let zone = |z: &crate::venue::Zone| ZoneData {
        name: z.name.clone(),
        outline: ring(frame, z.outline.exterior()),
    };
    let surrounds = ring(frame, venue.field.surrounds.exterior());
    FieldData {
        heights: heights(venue, &surrounds),
        outline: ring(frame, venue.field.outline.exterior()),
        playing_area: ring(frame, venue.field.playing_area.exterior()),
        surrounds,
        lines: venue.field.markings.iter().map(|line| open_line(frame, line)).collect(),
        marks: marks.map(|m| Named { name: m.name.clone(), at: at(frame, m.at) }).collect(),
        zones: venue.zones.iter().map(zone).collect(),
        north_deg: rounded(360.0 - frame.bearing().degrees(), 2) % 360.0,
        surface: venue.field.surface.short_name(),
        tint: tint(venue.field.surface),
    }
}

/// A surface under D65, as pictures through a camera have it.
fn tint(surface: PlayingSurface) -> [f64; 3] {
    let white = Primaries::Bt709.to_xyz([1.0; 3]);
    let [x, y, z] = light::reflectances(surface, 1.0);
    let colour = Primaries::Bt709.from_xyz([x * white[0], y * white[1], z * white[2]]);
    colour.map(|part| rounded(part.max(0.0), 3))
}

pub(super) fn stands(venue: &Venue, date: NaiveDate) -> Vec<StandData> {
    use geo::{ConvexHull, MultiPoint, Point};
    let named = venue.occluders.iter().flat_map(|o| o.bodies.iter().map(|b| (&o.name, b)));
    let mut all: Vec<(f64, StandData)> = named
        .flat_map(|(name, body)| {
            let points = body.shape.points();
            let outlines = match &body.shape {
                Shape::Mesh(mesh) => mesh.plan_pieces().0.clone(),
                _ => {
                    let hull = MultiPoint(points.iter().map(|p| Point::new(p.x, p.y)).collect());
                    vec![hull.convex_hull()]
                }
            };
            let top = points.iter().map(|p| p.z).fold(0.0, f64::max);
            let data = move |outline: geo::Polygon<f64>| StandData {
                name: name.clone(),
                part: body.part.on_plan(),
                outline: ring(venue.field.frame, outline.exterior()),
                passes: body.passes.on(date).share(),
            };
            outlines.into_iter().map(move |outline| (top, data(outline)))
        })
        .collect();
    // what is higher lies over what is lower
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all.into_iter().map(|(_, data)| data).filter(|s| s.outline.len() > 2).collect()
}

/// What stands from each move on.
pub(super) fn later(venue: &Venue, plan: &MatchPlan) -> Vec<LaterData> {
    let standing = |instant: &Instant| venue.standing(instant.at.naive_local());
    let steps = plan.instants.windows(2).enumerate();
    let moved = steps.filter(|(_, pair)| standing(&pair[0]) != standing(&pair[1]));
    let later = moved.map(|(before, pair)| {
        let (venue, date) = (venue.at(pair[1].at), pair[1].at.date_naive());
        let (stands, faces) = (stands(&venue, date), faces(&venue, date).0);
        LaterData { from: before + 1, stands, faces }
    });
    later.collect()
}

/// Faces for the picture, and how many of meshes are left out for being small.
pub(super) fn faces(venue: &Venue, date: NaiveDate) -> (Vec<FaceData>, usize) {
    let frame = venue.field.frame;
    let face = |body: &Body, corners: Vec<DVec3>| FaceData {
        corners: corners.into_iter().map(|p| at3(frame, p)).collect(),
        tone: tone(body.part),
        passes: body.passes.on(date).share(),
    };
    let (mut all, mut of_meshes) = (Vec::new(), Vec::new());
    for body in venue.occluders.iter().flat_map(|o| &o.bodies) {
        match &body.shape {
            Shape::Sheet { corners } => all.push(face(body, corners.clone())),
            Shape::Convex { vertices, faces } => all.extend(faces.iter().map(|ring| {
                face(body, ring.iter().filter_map(|&i| vertices.get(i).copied()).collect())
            })),
            Shape::Mesh(mesh) => of_meshes.extend(mesh.flats().iter().map(|ring| {
                let corners: Vec<DVec3> =
                    ring.iter().map(|&i| mesh.vertices()[i as usize]).collect();
                (area_vector(corners.iter().copied()).length(), body, corners)
            })),
        }
    }
    of_meshes.sort_by(|a, b| b.0.total_cmp(&a.0));
    let left_out = of_meshes.len().saturating_sub(MAX_MESH_FACES);
    of_meshes.truncate(MAX_MESH_FACES);
    all.extend(of_meshes.into_iter().map(|(_, body, corners)| face(body, corners)));
    (all, left_out)
}

fn tone(part: Part) -> &'static str {
    match part {
        Part::Deck => "seats",
        Part::BackWall | Part::EndWall => "wall",
        Part::Roof => "roof",
        Part::Solid | Part::Trunk | Part::Mesh => "solid",
        Part::Crown => "crown",
        Part::Panel => "panel",
    }
}
