//! The data of the interactive page: one object, in field axes.
//!
//! In: [`BriefReport`]. Out: [`BoardData`], ready to be written as JSON. Points are
//! `[along, across]` or `[along, across, up]` metres; shadow rings are flat lists of
//! whole decimetres, which keeps two hours and a half of shadows small. Per-instant
//! lists are all of one length.

use std::borrow::Cow;

use chrono::NaiveDate;
use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon, Simplify};
use glam::DVec3;
use serde::Serialize;

use crate::base::frame::{FieldFrame, area_vector};
use crate::camera::{Interval, SplitState, Verdict};
use crate::engine::{Instant, MatchPlan};
use crate::jobs::crew::CameraBrief;
use crate::jobs::forecast::report::{minute_words, note, stretch_line, stretch_words};
use crate::jobs::forecast::{DayOutlook, Either, ForecastMinute, ForecastStretch};
use crate::light;
use crate::signal::Primaries;
use crate::solar::SunState;
use crate::venue::{Body, Part, PlayingSurface, Shape, Venue};

use super::heights::{HeightsData, heights};
use super::words::{clock, clock_s, cue_key, epoch_s, lens_key, uncertain_s, verdict_key};
use super::{BriefReport, words};

/// Shadow rings lose corners that lie this near to the line between their neighbours,
/// metres: half of the decimetre that they are rounded to.
const SMOOTH_M: f64 = 0.05;

/// The page works out the light on each face from all others: the largest faces of
/// meshes, up to so many, keep that quick on a tablet.
const MAX_MESH_FACES: usize = 600;

/// The whole object.
#[derive(Debug, Serialize)]
pub(super) struct BoardData {
    title: String,
    heading: String,
    /// Tells this venue and fixture from others on the same device.
    venue_key: String,
    epoch_s: Vec<i64>,
    clock: Vec<String>,
    zone: String,
    milestones: Vec<Stone>,
    /// Stops of play, first and last second.
    breaks: Vec<[i64; 2]>,
    field: FieldData,
    stands: Vec<StandData>,
    faces: Vec<FaceData>,
    /// Small faces of meshes that are not among them.
    faces_left_out: usize,
    /// What stands from later instants on, where something moves.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    later: Vec<LaterData>,
    /// Azimuth clockwise from the along axis and elevation, degrees; 1 while it shines.
    sun: Vec<(f64, f64, u8)>,
    shadow: Vec<ShadowData>,
    shaded_share: Vec<f64>,
    penumbra_m: Vec<Option<f64>>,
    cameras: Vec<CameraData>,
    operators: Vec<OperatorData>,
    cues: Vec<CueData>,
    /// Seconds ahead to warn of most cues; none without cues.
    usual_lead_s: Option<f64>,
    forecast: Option<ForecastData>,
    cautions: Vec<&'static str>,
}

/// What stands from an instant on.
#[derive(Debug, Serialize)]
struct LaterData {
    from: usize,
    stands: Vec<StandData>,
    faces: Vec<FaceData>,
}

/// What the forecast of the day says.
#[derive(Debug, Serialize)]
struct ForecastData {
    stretches: Vec<StretchData>,
    /// Of each instant, in words.
    minutes: Vec<String>,
    /// Odds of sun, 0 to 1.
    sun: Vec<Option<f64>>,
    note: String,
    /// From then on it tells nothing; none where it does to the end.
    silent_from_s: Option<i64>,
    /// In the order of the brief.
    cameras: Vec<EitherData>,
}

/// What a camera sets in either light and the split to be expected, by instant; T-numbers
/// with the ND of the brief.
#[derive(Debug, Serialize)]
struct EitherData {
    widest_t: f64,
    narrowest_t: f64,
    sun_t: Vec<Option<f64>>,
    shade_t: Vec<Option<f64>>,
    cloud_t: Vec<Option<f64>>,
    /// Stops, 0 without an edge in shot: mean over the skies, 10th and 90th percentile.
    split: Vec<Option<[f64; 3]>>,
}

/// What a forecast says by itself, for a page that has the plan already.
#[derive(Debug, Serialize)]
pub(super) struct OutlookData {
    epoch_s: Vec<i64>,
    #[serde(flatten)]
    said: ForecastData,
}

#[derive(Debug, Serialize)]
struct StretchData {
    from_s: i64,
    until_s: i64,
    expect: &'static str,
    words: String,
    /// Without its times.
    odds: String,
}

#[derive(Debug, Serialize)]
struct Stone {
    name: String,
    epoch_s: i64,
    clock: String,
}

#[derive(Debug, Serialize)]
struct FieldData {
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
struct StandData {
    name: String,
    part: &'static str,
    outline: Vec<[f64; 2]>,
    passes: f64,
}

#[derive(Debug, Serialize)]
struct FaceData {
    corners: Vec<[f64; 3]>,
    tone: &'static str,
    passes: f64,
}

#[derive(Debug, Serialize)]
struct ShadowData {
    opaque: Vec<Vec<i32>>,
    dimmed: Vec<DimmedData>,
}

#[derive(Debug, Serialize)]
struct DimmedData {
    passes: f64,
    rings: Vec<Vec<i32>>,
}

#[derive(Debug, Serialize)]
struct CameraData {
    name: String,
    at: [f64; 3],
    operator: String,
    /// A sentence where most of its cover is hidden from it; else empty.
    #[serde(skip_serializing_if = "String::is_empty")]
    hidden: String,
    cover: Vec<Vec<[f64; 2]>>,
    aims: Vec<[f64; 2]>,
    hfov_deg: f64,
    aspect: f64,
    split_turf: Vec<Option<f64>>,
    split_subject: Vec<Option<f64>>,
    in_shot: Vec<u8>,
    /// Of the lens: an iris that is asked for wider than that is wide open.
    widest_t: f64,
    t_sun: Vec<Option<f64>>,
    t_shade: Vec<Option<f64>>,
    /// Where dimmed light makes a side.
    t_dimmed: Vec<Option<f64>>,
    /// Of the picture, 0 to 1.
    dimmed_share: Vec<Option<f64>>,
    t_set: Vec<Option<f64>>,
    /// Half of what is unknown of the air, 8 clear days of 10: how far the iris may be off,
    /// stops; of the one iris, else of the side that is less known.
    t_uncertain: Vec<Option<f64>>,
    nd: Vec<f64>,
    verdict: Vec<&'static str>,
    /// What the outputs do, where there are several.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    outputs: Vec<String>,
    lens: Vec<&'static str>,
    /// Turf in sun and in shade, seats in sun and in shade, sky: linear, 1 is white.
    level: Vec<Option<[f64; 5]>>,
}

#[derive(Debug, Serialize)]
struct OperatorData {
    name: String,
    cameras: Vec<usize>,
}

#[derive(Debug, Serialize)]
struct CueData {
    id: String,
    epoch_s: i64,
    clock: String,
    what: String,
    detail: String,
    kind: &'static str,
    /// Whether a hand acts on it in play, or sets something for play to come.
    key_action: bool,
    /// "play" or "outside".
    during: &'static str,
    cameras: Vec<usize>,
    operators: Vec<String>,
    lead_s: f64,
    uncertain_s: Option<f64>,
}

/// Puts the object together.
pub(super) fn board_data(report: &BriefReport<'_>) -> BoardData {
    let (venue, plan, brief) = (report.venue, report.plan, report.brief);
    let date = plan.instants.first().map(|i| i.at.date_naive()).unwrap_or_default();
    let start = plan.instants.first().map_or(0, |i| epoch_s(i.at));
    let zone = plan.instants.first().map_or(String::new(), |i| i.at.format("UTC%:z").to_string());
    let stone = |m: &crate::engine::Milestone| Stone {
        name: m.name.clone(),
        epoch_s: epoch_s(m.at),
        clock: clock(m.at),
    };
    let first = plan.instants.first().map_or(Cow::Borrowed(venue), |i| venue.at(i.at));
    let (faces, faces_left_out) = faces(&first, date);
    BoardData {
        title: venue.title.clone(),
        heading: words::heading(report),
        venue_key: format!("{} {start}", venue.title),
        epoch_s: plan.instants.iter().map(|i| epoch_s(i.at)).collect(),
        clock: plan.instants.iter().map(|i| clock(i.at)).collect(),
        zone,
        milestones: plan.milestones.iter().map(stone).collect(),
        breaks: brief.breaks.iter().map(|b| [epoch_s(b.from), epoch_s(b.until)]).collect(),
        field: field(venue),
        stands: stands(&first, date),
        faces,
        faces_left_out,
        later: later(venue, plan),
        sun: plan.instants.iter().map(|i| sun(report, i)).collect(),
        shadow: plan.instants.iter().map(|i| shadow(venue, i)).collect(),
        shaded_share: plan.instants.iter().map(|i| rounded(i.turf.field.shaded, 3)).collect(),
        penumbra_m: plan
            .instants
            .iter()
            .map(|i| i.turf.penumbra_range_m().map(|range| rounded(range.1, 2)))
            .collect(),
        cameras: brief.cameras.iter().filter_map(|c| camera(report, c)).collect(),
        operators: brief
            .desk
            .operators
            .iter()
            .map(|o| OperatorData { name: o.name.clone(), cameras: o.cameras.clone() })
            .collect(),
        cues: cues(report),
        usual_lead_s: words::usual_lead_s(&brief.cues).map(f64::ceil),
        forecast: report.forecast.map(|day| forecast(report, day)),
        cautions: crate::output::cautions::CAUTIONS.to_vec(),
    }
}

/// What a forecast says of the instants of a plan.
pub(super) fn outlook(report: &BriefReport<'_>, day: &DayOutlook) -> OutlookData {
    OutlookData {
        epoch_s: day.minutes.iter().map(|minute| epoch_s(minute.at)).collect(),
        said: forecast(report, day),
    }
}

fn forecast(report: &BriefReport<'_>, day: &DayOutlook) -> ForecastData {
    let stretch = |stretch: &ForecastStretch| StretchData {
        from_s: epoch_s(stretch.from),
        until_s: epoch_s(stretch.until),
        expect: stretch.expect.word(),
        words: stretch_line(stretch),
        odds: stretch_words(stretch),
    };
    ForecastData {
        stretches: day.stretches.iter().map(stretch).collect(),
        minutes: day.minutes.iter().map(minute_words).collect(),
        sun: day.minutes.iter().map(|m| Some(rounded(m.sky.states?.sun(), 3))).collect(),
        note: note(report.venue, day),
        silent_from_s: day.silent_from.map(epoch_s),
        cameras: report.brief.cameras.iter().enumerate().map(|(k, c)| either(day, k, c)).collect(),
    }
}

fn either(day: &DayOutlook, position: usize, camera: &CameraBrief) -> EitherData {
    let t = |of: fn(&Either) -> Option<f64>| {
        let each = day.minutes.iter().map(|m| m.either.get(position)?.as_ref().and_then(of));
        each.map(|t| t.map(|t| rounded(t, 2))).collect()
    };
    let split = |minute: &ForecastMinute| {
        let split = minute.splits.get(camera.camera)?;
        let (low, high) = (split.percentile(10.0)?, split.percentile(90.0)?);
        Some([split.expected()?, low, high].map(|stops| rounded(stops, 2)))
    };
    EitherData {
        widest_t: camera.rig.widest_t,
        narrowest_t: camera.rig.narrowest_t,
        sun_t: t(|e| e.sun_t),
        shade_t: t(|e| e.shade_t),
        cloud_t: t(|e| e.cloud_t),
        split: day.minutes.iter().map(split).collect(),
    }
}

fn field(venue: &Venue) -> FieldData {
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

fn stands(venue: &Venue, date: NaiveDate) -> Vec<StandData> {
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
                part: part(body.part),
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
fn later(venue: &Venue, plan: &MatchPlan) -> Vec<LaterData> {
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
fn faces(venue: &Venue, date: NaiveDate) -> (Vec<FaceData>, usize) {
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

fn part(part: Part) -> &'static str {
    match part {
        Part::Deck | Part::BackWall | Part::EndWall => "deck",
        Part::Roof => "roof",
        Part::Solid | Part::Trunk | Part::Mesh => "solid",
        Part::Crown => "crown",
        Part::Panel => "panel",
    }
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

fn sun(report: &BriefReport<'_>, instant: &Instant) -> (f64, f64, u8) {
    let bearing = report.venue.field.frame.bearing().degrees();
    let azimuth = (instant.sun.azimuth.degrees() - bearing).rem_euclid(360.0);
    let shines = instant.sun_state == SunState::Up && !report.plan.sky.hides_sun();
    let elevation = instant.sun.apparent_elevation.degrees();
    (rounded(azimuth, 2), rounded(elevation, 2), u8::from(shines))
}

fn shadow(venue: &Venue, instant: &Instant) -> ShadowData {
    let (frame, shadow) = (venue.field.frame, &instant.turf.ground);
    let ground = Polygon::new(venue.field.surrounds.exterior().clone(), Vec::new());
    let rings = |frame, region: &MultiPolygon<f64>| rings(frame, &region.intersection(&ground));
    let dimmed = shadow
        .dimmed
        .iter()
        .map(|d| DimmedData { passes: d.transmittance.share(), rings: rings(frame, &d.region) });
    ShadowData { opaque: rings(frame, &shadow.opaque), dimmed: dimmed.collect() }
}

/// All rings of a region, flat, in whole decimetres.
fn rings(frame: FieldFrame, region: &MultiPolygon<f64>) -> Vec<Vec<i32>> {
    let region = region.simplify(SMOOTH_M);
    let rings = region.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    let flat = |ring: &LineString<f64>| {
        let open = ring.0.len().saturating_sub(1);
        let corners = ring.0.iter().take(open).map(|c| frame.to_field(DVec3::new(c.x, c.y, 0.0)));
        corners.flat_map(|p| [p.along_m, p.across_m].map(|v| (v * 10.0).round() as i32)).collect()
    };
    rings.map(flat).filter(|flat: &Vec<i32>| flat.len() >= 6).collect()
}

fn camera(report: &BriefReport<'_>, brief: &CameraBrief) -> Option<CameraData> {
    let (venue, plan) = (report.venue, report.plan);
    let post = venue.cameras.get(brief.camera)?;
    let frame = venue.field.frame;
    let desk = &report.brief.desk;
    let operator = desk.operator_of(brief.camera).and_then(|o| desk.operators.get(o));
    let t_of =
        |white: &dyn Fn(&crate::camera::Exposure) -> Option<crate::base::units::Luminance>| {
            let each = brief.exposures.iter().enumerate().map(|(i, exposure)| {
                let t = brief.t_at(&report.brief.spans, i, white(exposure.as_ref()?)?)?;
                Some(rounded(t, 2))
            });
            each.collect::<Vec<_>>()
        };
    let views = || plan.instants.iter().filter_map(|i| i.cameras.get(brief.camera));
    let split = |state: &SplitState| match state {
        SplitState::InShot(s) | SplitState::Latent(s, _) => Some(rounded(s.stops(), 2)),
        SplitState::NoEdge => None,
    };
    let nd = |i| brief.setting_at(&report.brief.spans, i).map_or(0.0, |s| s.nd_stops);
    let verdict = |e: &Option<crate::camera::Exposure>| verdict_key(e.map(|e| e.verdict));
    let dimmed_share = |e: &Option<crate::camera::Exposure>| e.map(|e| rounded(e.shares.dimmed, 3));
    Some(CameraData {
        name: post.name.clone(),
        at: at3(frame, post.at),
        operator: operator.map_or(String::new(), |o| o.name.clone()),
        hidden: report.hidden(brief.camera).map(str::to_owned).collect(),
        cover: plan.covers.get(brief.camera).map_or_else(Vec::new, |cover| {
            cover.region.simplify(SMOOTH_M).0.iter().map(|p| ring(frame, p.exterior())).collect()
        }),
        aims: post.aims.iter().map(|a| at(frame, Coord { x: a.x, y: a.y })).collect(),
        hfov_deg: post.horizontal_fov_deg,
        aspect: post.aspect,
        split_turf: views().map(|v| split(&v.turf.state)).collect(),
        split_subject: views().map(|v| split(&v.subject.state)).collect(),
        in_shot: views().map(|v| u8::from(v.turf.state.in_shot().is_some())).collect(),
        widest_t: rounded(brief.rig.widest_t, 2),
        t_sun: t_of(&|e| e.sun),
        t_shade: t_of(&|e| Some(e.shade)),
        t_dimmed: t_of(&|e| e.dimmed_side()),
        dimmed_share: brief.exposures.iter().map(dimmed_share).collect(),
        t_set: t_of(&|e| Some(e.one.white)),
        t_uncertain: (0..plan.instants.len()).map(|i| uncertain_stops(brief, i)).collect(),
        nd: (0..plan.instants.len()).map(nd).collect(),
        verdict: brief.exposures.iter().map(verdict).collect(),
        outputs: super::outputs::by_instant(report, brief),
        lens: brief.lens.iter().map(|l| lens_key(l.state)).collect(),
        level: plan.instants.iter().enumerate().map(|(i, _)| level(report, brief, i)).collect(),
    })
}

/// Half the range of the iris that an instant asks for, stops.
fn uncertain_stops(brief: &CameraBrief, index: usize) -> Option<f64> {
    let range = brief.ranges.get(index)?.as_ref()?;
    let verdict = brief.exposures.get(index)?.as_ref()?.verdict;
    let half = |range: Interval| 0.5 * (range.high / range.low).log2();
    let stops = match (verdict, range.sun) {
        (Verdict::Hold, _) => half(range.one),
        (_, Some(sun)) => half(sun).max(half(range.shade)),
        (_, None) => half(range.shade),
    };
    stops.is_finite().then(|| rounded(stops, 2))
}

/// Levels of what the camera's-eye view tones, at the one iris for both of an instant.
fn level(report: &BriefReport<'_>, brief: &CameraBrief, index: usize) -> Option<[f64; 5]> {
    let levels = report.brief.levels(report.venue, report.plan, brief.camera, index)?;
    let all =
        [levels.turf_sun, levels.turf_shade, levels.seats_sun, levels.seats_shade, levels.sky];
    Some(all.map(|level| rounded(level, 4)))
}

fn cues(report: &BriefReport<'_>) -> Vec<CueData> {
    let name = |o: &usize| report.brief.desk.operators.get(*o).map(|o| o.name.clone());
    let cues = report.brief.cues.iter().enumerate();
    cues.map(|(number, cue)| CueData {
        id: format!("c{}", number + 1),
        epoch_s: epoch_s(cue.at),
        clock: clock_s(cue.at),
        what: cue.what.clone(),
        detail: words::moving_words(cue),
        kind: cue_key(cue.kind),
        key_action: cue.is_key_action(),
        during: words::during_key(cue.during),
        cameras: cue.cameras.clone(),
        operators: cue.operators.iter().filter_map(name).collect(),
        lead_s: cue.lead_s.ceil(),
        uncertain_s: uncertain_s(cue.sure),
    })
    .collect()
}

fn ring(frame: FieldFrame, ring: &LineString<f64>) -> Vec<[f64; 2]> {
    let open = ring.0.len().saturating_sub(1);
    ring.0.iter().take(open).map(|c| at(frame, *c)).collect()
}

fn open_line(frame: FieldFrame, line: &LineString<f64>) -> Vec<[f64; 2]> {
    line.0.iter().map(|c| at(frame, *c)).collect()
}

fn at(frame: FieldFrame, c: Coord<f64>) -> [f64; 2] {
    let p = frame.to_field(DVec3::new(c.x, c.y, 0.0));
    [rounded(p.along_m, 2), rounded(p.across_m, 2)]
}

fn at3(frame: FieldFrame, p: DVec3) -> [f64; 3] {
    let p = frame.to_field(p);
    [p.along_m, p.across_m, p.up_m].map(|v| rounded(v, 2))
}

fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10.0_f64.powi(decimals);
    // minus nought is nought
    (value * scale).round() / scale + 0.0
}
