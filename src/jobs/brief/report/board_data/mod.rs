//! The data of the interactive page: one object, in field axes.
//!
//! In: [`BriefReport`]. Out: [`BoardData`], ready to be written as JSON. Points are
//! `[along, across]` or `[along, across, up]` metres; shadow rings are flat lists of
//! whole decimetres, which keeps two hours and a half of shadows small. Per-instant
//! lists are all of one length.

mod camera;
mod forecast;
mod ground;
mod points;

use std::borrow::Cow;

use geo::{BooleanOps, LineString, MultiPolygon, Polygon, Simplify};
use glam::DVec3;
use serde::Serialize;

use crate::base::frame::FieldFrame;
use crate::engine::Instant;
use crate::jobs::brief::report::words::{clock, clock_s, cue_key, epoch_s, uncertain_s};
use crate::jobs::brief::report::{BriefReport, words};
use crate::solar::SunState;
use crate::venue::Venue;

use camera::{CameraData, camera};
pub(super) use forecast::outlook;
use forecast::{ForecastData, forecast};
use ground::{FaceData, FieldData, LaterData, StandData, faces, field, later, stands};
use points::rounded;

/// Shadow rings lose corners that lie this near to the line between their neighbours,
/// metres: half of the decimetre that they are rounded to.
const SMOOTH_M: f64 = 0.05;

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

#[derive(Debug, Serialize)]
struct Stone {
    name: String,
    epoch_s: i64,
    clock: String,
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
