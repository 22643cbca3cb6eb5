//! The brief as JSON: `quarterstop.brief/1`.
//!
//! In: [`BriefReport`]. Out: one object, units in the keys, absent values `null`. The structs
//! are the format; [`schema`] derives its JSON Schema from them. Keys may be added
//! under the same number; a change of meaning gets the next one.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::crew::cues::Cue;
use crate::jobs::crew::desk::Proof;
use crate::jobs::crew::{CameraBrief, DeskShare, Holds, PairGap, SpanSetting};
use crate::jobs::forecast::report::data::{DayOut, day_out};
use crate::jobs::match_plan::play::PlaySpan;
use crate::output::air::AirOut;
use crate::output::words::local_time;

use super::faces::{ShortOut, SkinOut, short_outs, skin_outs};
use super::outputs::{OutputOut, ProductionOut, output_outs};
use super::words::{DimmedSpan, cue_key, during_key, uncertain_s, urgency_key};
use super::{BriefReport, BriefReportError};

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.brief/1";

/// What the crew needs before a match.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop brief")]
pub struct BriefFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    pub air: AirOut,
    /// What is made of the cameras' pictures; not there unless the venue file says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub production: Option<ProductionOut>,
    /// Runs of play that one setting of ND serves.
    pub runs_of_play: Vec<SpanOut>,
    pub cameras: Vec<CameraOut>,
    pub operators: Vec<OperatorOut>,
    /// Camera-instants that someone has to ride beyond one at once.
    pub clashes: usize,
    /// Whether no better desk exists; false where the search stopped at its limit.
    pub desk_proved_best: bool,
    /// Pairs of cameras with a place in common, the worst first.
    pub pairs: Vec<PairOut>,
    /// Widest difference between all cameras at one place, at each instant.
    pub spread: Vec<SpreadOut>,
    /// In order of time.
    pub cues: Vec<CueOut>,
    /// What the forecast of the day makes of it; null without one.
    pub forecast: Option<DayOut>,
}

/// A run of play.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SpanOut {
    pub name: String,
    /// RFC 3339.
    pub from: String,
    /// RFC 3339.
    pub until: String,
}

/// What one camera sets.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CameraOut {
    pub name: String,
    /// Keys of the exposure that the venue file leaves open and that are assumed.
    pub assumed: Vec<&'static str>,
    /// In the order of the runs of play.
    pub settings: Vec<SettingOut>,
    /// In the order in which they are made; not there unless the venue file states a
    /// production.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outputs: Vec<OutputOut>,
    /// When a lens that loses light at its long end has too little for one iris for both sides.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub short_of_light: Vec<ShortOut>,
    /// Skins that are not where they belong while play runs, where the venue file names any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub skins: Vec<SkinOut>,
}

/// ND and gain of a run of play.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SettingOut {
    pub nd_stops: f64,
    pub gain_db: f64,
    /// Smallest and largest T-number that the sides in the cover ask for.
    pub t_range: Option<[f64; 2]>,
    /// "preferred", "reachable" or "beyond".
    pub iris_stays: &'static str,
    /// Light under translucent bodies; null where it makes no side in the cover.
    pub dimmed: Option<DimmedOut>,
}

/// Dimmed light in a run of play, over the instants at which it takes at least 2 % of the
/// picture.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DimmedOut {
    /// First and last of these instants, RFC 3339.
    pub from: String,
    pub until: String,
    /// Smallest and largest T-number that puts white at white there.
    pub t_range: [f64; 2],
    /// Smallest and largest share of the picture, 0 to 1.
    pub picture_share: [f64; 2],
    /// Smallest and largest mean share of the direct light that arrives, 0 to 1.
    pub transmittance: [f64; 2],
}

/// Someone at the irises.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OperatorOut {
    pub name: String,
    pub cameras: Vec<String>,
    /// Instants with a camera to ride, added up over the cameras.
    pub load: usize,
    /// The most cameras to ride at once.
    pub most_at_once: usize,
}

/// Two cameras against each other.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PairOut {
    pub cameras: [String; 2],
    /// First over second at the worst, stops.
    pub worst_stops: f64,
    pub worst_at: String,
    pub worst_place: String,
    /// First and last times of runs over a quarter of a stop.
    pub apart: Vec<[String; 2]>,
}

/// All cameras against each other at an instant.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SpreadOut {
    pub time: String,
    pub stops: f64,
    pub mired: f64,
    pub place: Option<String>,
}

/// One cue.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CueOut {
    pub time: String,
    pub kind: &'static str,
    /// "act", "at_break" (to set while play is stopped) or "know" (nothing to set).
    pub urgency: &'static str,
    /// "play", or "outside": before kickoff, at half-time, after the end.
    pub during: &'static str,
    pub what: String,
    pub cameras: Vec<String>,
    pub operators: Vec<String>,
    pub ready_before_s: f64,
    /// Null where it may not come at all with roofs 1 m or a bearing 1 degree off.
    pub uncertain_s: Option<f64>,
    pub edge_m_per_min: Option<f64>,
    pub edge_toward: Option<String>,
}

/// JSON Schema (draft 2020-12) of the format.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<BriefFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// [`BriefReportError::Json`] where the writer refuses, which no plan should cause.
pub fn write(report: &BriefReport<'_>) -> Result<Vec<u8>, BriefReportError> {
    let mut bytes = serde_json::to_vec(&brief_file(report))?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn brief_file(report: &BriefReport<'_>) -> BriefFile {
    let brief = report.brief;
    let mark = |index: usize| report.venue.field.marks.get(index).map(|m| m.name.clone());
    let spread = report.plan.instants.iter().zip(&brief.matching.spread);
    BriefFile {
        format: FORMAT,
        venue: report.venue.title.clone(),
        air: AirOut::of(&report.plan.air),
        production: report.venue.production.as_ref().map(ProductionOut::of),
        runs_of_play: brief
            .spans
            .iter()
            .map(|span| SpanOut {
                name: span.name.clone(),
                from: local_time(span.from),
                until: local_time(span.until),
            })
            .collect(),
        cameras: brief.cameras.iter().map(|c| camera(report, c)).collect(),
        operators: brief.desk.operators.iter().map(|o| operator(report, o)).collect(),
        clashes: brief.desk.clashes,
        desk_proved_best: brief.desk.proof == Proof::Best,
        pairs: brief.matching.pairs.iter().map(|p| pair(report, p)).collect(),
        spread: spread
            .map(|(instant, spread)| SpreadOut {
                time: local_time(instant.at),
                stops: spread.stops.stops(),
                mired: spread.mired,
                place: spread.mark.and_then(mark),
            })
            .collect(),
        cues: brief.cues.iter().map(|c| cue(report, c)).collect(),
        forecast: report.forecast.map(|day| day_out(report.venue, day)),
    }
}

fn name(report: &BriefReport<'_>, camera: usize) -> String {
    report.venue.cameras.get(camera).map_or_else(String::new, |c| c.name.clone())
}

fn camera(report: &BriefReport<'_>, brief: &CameraBrief) -> CameraOut {
    let setting = |(s, span): (&SpanSetting, &PlaySpan)| SettingOut {
        nd_stops: s.nd_stops,
        gain_db: s.gain_db,
        t_range: s.t_range.map(|(low, high)| [low, high]),
        iris_stays: match s.holds {
            Holds::Preferred => "preferred",
            Holds::Reachable => "reachable",
            Holds::Beyond => "beyond",
        },
        dimmed: DimmedSpan::of(report, brief, span).map(|of| dimmed(report, &of)),
    };
    CameraOut {
        name: name(report, brief.camera),
        assumed: brief.rig.assumed.clone(),
        settings: brief.settings.iter().zip(&report.brief.spans).map(setting).collect(),
        outputs: output_outs(report, brief),
        short_of_light: short_outs(report, brief),
        skins: skin_outs(report, brief),
    }
}

fn dimmed(report: &BriefReport<'_>, span: &DimmedSpan) -> DimmedOut {
    let at = |index: usize| {
        report.plan.instants.get(index).map_or_else(String::new, |i| local_time(i.at))
    };
    DimmedOut {
        from: at(span.instants.0),
        until: at(span.instants.1),
        t_range: span.t.into(),
        picture_share: span.picture_share.into(),
        transmittance: span.transmittance.into(),
    }
}

fn operator(report: &BriefReport<'_>, share: &DeskShare) -> OperatorOut {
    OperatorOut {
        name: share.name.clone(),
        cameras: share.cameras.iter().map(|c| name(report, *c)).collect(),
        load: share.load,
        most_at_once: share.rides.iter().copied().max().unwrap_or(0),
    }
}

fn pair(report: &BriefReport<'_>, pair: &PairGap) -> PairOut {
    let (stops, at, mark) = pair.worst;
    let place = report.venue.field.marks.get(mark);
    PairOut {
        cameras: [pair.cameras.0, pair.cameras.1].map(|c| name(report, c)),
        worst_stops: stops.stops(),
        worst_at: local_time(at),
        worst_place: place.map_or_else(String::new, |m| m.name.clone()),
        apart: pair.apart.iter().map(|(from, to)| [local_time(*from), local_time(*to)]).collect(),
    }
}

fn cue(report: &BriefReport<'_>, cue: &Cue) -> CueOut {
    let operator = |o: &usize| report.brief.desk.operators.get(*o).map(|o| o.name.clone());
    CueOut {
        time: local_time(cue.at),
        kind: cue_key(cue.kind),
        urgency: urgency_key(cue.urgency),
        during: during_key(cue.during),
        what: cue.what.clone(),
        cameras: cue.cameras.iter().map(|c| name(report, *c)).collect(),
        operators: cue.operators.iter().filter_map(operator).collect(),
        ready_before_s: cue.lead_s.ceil(),
        uncertain_s: uncertain_s(cue.sure),
        edge_m_per_min: cue.moving.as_ref().map(|m| m.m_per_min),
        edge_toward: cue.moving.as_ref().map(|m| m.toward.clone()),
    }
}
