//! Cues and settings as CSV (RFC 4180: UTF-8, comma, CRLF, one header row).
//!
//! In: [`Report`]. Out: one row a cue, and one row for each camera and instant.

use crate::camera::Interval;
use crate::jobs::brief::CameraBrief;
use crate::output::air::source;
use crate::output::csv::{CsvError, table};
use crate::output::words::{fixed, local_time};

use super::Report;
use super::words::{
    cue_key, during_key, lens_key, lit_words, uncertain_s, urgency_key, verdict_key,
};

/// Name, unit and meaning of each column of `cues.csv`.
pub const CUE_COLUMNS: [(&str, &str, &str); 11] = [
    ("time", "RFC 3339", "when, with the venue's offset"),
    ("what", "text", "what happens"),
    ("kind", "word", "edge, zone, cover, lens, verdict, split, lamps, balance, forecast or break"),
    ("cameras", "text", "names with \"; \" between"),
    ("operators", "text", "names with \"; \" between"),
    ("ready_before_s", "s", "to be warned so long ahead"),
    ("uncertain_s", "s", "either way; empty where it may not come at all"),
    ("edge_m_per_min", "m/min", "speed of the edge across itself; empty for other cues"),
    ("edge_toward", "text", "the stand or side that it moves toward"),
    ("urgency", "word", "act, at_break (to set while play is stopped) or know (nothing to set)"),
    ("during", "word", "play, or outside: before kickoff, at half-time, after the end"),
];

/// Name, unit and meaning of each column of `settings.csv`.
pub const SETTING_COLUMNS: [(&str, &str, &str); 31] = [
    ("time", "RFC 3339", "instant, with the venue's offset"),
    ("camera", "text", "name"),
    ("operator", "text", "name"),
    ("verdict", "word", "hold, ride, choose, or none where nothing is in the cover"),
    ("nd_stops", "stop", "ND of this run of play"),
    ("gain_db", "dB", "gain of this run of play"),
    ("sun_t", "T-number", "for the sunlit side; empty without direct sun"),
    ("shade_t", "T-number", "for the shaded side"),
    ("one_t", "T-number", "the one iris for both that is least bad for all in the cover"),
    ("one_over_stops", "stop", "what the bright side is over with it"),
    ("one_under_stops", "stop", "what the dim side is under with it"),
    ("beyond_camera_stops", "stop", "kit beyond what the camera keeps; negative is room"),
    ("mixed_frames", "0 to 1", "share of the pan with both sides in frame"),
    ("lens", "word", "clear, shaded, on_element or in_frame: the sun and the lens"),
    ("sun_off_axis_deg", "degree", "least angle of sun and axis over the pan"),
    ("subject_lit", "word", "front-lit, side-lit or back-lit"),
    ("sun_at_camera", "0 to 1", "share of direct light at the operator's place"),
    ("verdict_may_be", "words", "other verdicts that the air may make, with \"; \" between"),
    ("sun_t_low", "T-number", "10th percentile of sun_t for what is unknown of the air"),
    ("sun_t_high", "T-number", "90th percentile of sun_t"),
    ("shade_t_low", "T-number", "10th percentile of shade_t"),
    ("shade_t_high", "T-number", "90th percentile of shade_t"),
    ("one_t_low", "T-number", "10th percentile of one_t"),
    ("one_t_high", "T-number", "90th percentile of one_t"),
    ("aerosol_500nm", "depth", "aerosol optical depth at 500 nm that is assumed"),
    ("water_cm", "cm", "precipitable water that is assumed"),
    ("air_source", "word", "default, climatology, venue_file or options: who stated the air"),
    ("dimmed_t", "T-number", "in dimmed light; empty where nothing is dimmed"),
    ("sun_picture_share", "0 to 1", "share of the picture in full sun, mean over the pan"),
    ("dimmed_picture_share", "0 to 1", "the same under translucent bodies only"),
    ("shade_picture_share", "0 to 1", "the same without direct light"),
];

/// `cues.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no plan should cause.
pub fn cues(told: &Report<'_>) -> Result<Vec<u8>, CsvError> {
    let camera = |c: &usize| told.venue.cameras.get(*c).map(|c| c.name.as_str());
    let operator = |o: &usize| told.brief.desk.operators.get(*o).map(|o| o.name.as_str());
    let rows = told.brief.cues.iter().map(|cue| {
        let moving = cue.moving.as_ref();
        vec![
            local_time(cue.at),
            cue.what.clone(),
            cue_key(cue.kind).to_owned(),
            cue.cameras.iter().filter_map(camera).collect::<Vec<_>>().join("; "),
            cue.operators.iter().filter_map(operator).collect::<Vec<_>>().join("; "),
            fixed(cue.lead_s.ceil(), 0),
            uncertain_s(cue.sure).map_or_else(String::new, |s| fixed(s.ceil(), 0)),
            moving.map_or_else(String::new, |m| fixed(m.m_per_min, 2)),
            moving.map_or_else(String::new, |m| m.toward.clone()),
            urgency_key(cue.urgency).to_owned(),
            during_key(cue.during).to_owned(),
        ]
    });
    table(CUE_COLUMNS.map(|c| c.0), rows)
}

/// `settings.csv`.
///
/// # Errors
/// As [`cues`].
pub fn settings(told: &Report<'_>) -> Result<Vec<u8>, CsvError> {
    let count = told.plan.instants.len();
    let rows = told
        .brief
        .cameras
        .iter()
        .flat_map(|camera| (0..count).filter_map(move |index| setting(told, camera, index)));
    table(SETTING_COLUMNS.map(|c| c.0), rows)
}

fn setting(told: &Report<'_>, camera: &CameraBrief, index: usize) -> Option<Vec<String>> {
    let instant = told.plan.instants.get(index)?;
    let view = instant.cameras.get(camera.camera)?;
    let exposure = *camera.exposures.get(index)?;
    let lens = camera.lens.get(index)?;
    let spans = &told.brief.spans;
    let setting = camera.setting_at(spans, index)?;
    let desk = &told.brief.desk;
    let operator = desk.operator_of(camera.camera).and_then(|o| desk.operators.get(o));
    let maybe =
        |value: Option<f64>, decimals| value.map_or_else(String::new, |v| fixed(v, decimals));
    let t = |white: Option<crate::base::units::Luminance>| {
        maybe(white.and_then(|w| camera.t_at(spans, index, w)), 2)
    };
    let one = exposure.map(|e| e.one);
    let range = camera.ranges.get(index).and_then(Option::as_ref);
    let ends = |white: Option<Interval>| -> [String; 2] {
        let t = white.and_then(|white| camera.t_between(spans, index, white));
        [maybe(t.map(|t| t.0), 2), maybe(t.map(|t| t.1), 2)]
    };
    let [sun_low, sun_high] = ends(range.and_then(|r| r.sun));
    let [shade_low, shade_high] = ends(range.map(|r| r.shade));
    let [one_low, one_high] = ends(range.map(|r| r.one));
    let may_be = camera.other_verdicts(index).into_iter().map(|v| verdict_key(Some(v)));
    let air = &told.plan.air;
    Some(vec![
        local_time(instant.at),
        told.venue.cameras.get(camera.camera)?.name.clone(),
        operator.map_or_else(String::new, |o| o.name.clone()),
        verdict_key(exposure.map(|e| e.verdict)).to_owned(),
        fixed(setting.nd_stops, 2),
        fixed(setting.gain_db, 1),
        t(exposure.and_then(|e| e.sun)),
        t(exposure.map(|e| e.shade)),
        t(one.map(|o| o.white)),
        maybe(one.map(|o| o.over.stops()), 2),
        maybe(one.map(|o| o.under.stops()), 2),
        maybe(one.map(|o| o.beyond.stops()), 2),
        fixed(view.mixed_frames, 2),
        lens_key(lens.state).to_owned(),
        maybe(lens.off_axis_deg, 1),
        lens.subject.map_or_else(String::new, |s| lit_words(s).to_owned()),
        maybe(lens.at_camera.map(|t| t.share()), 2),
        may_be.collect::<Vec<_>>().join("; "),
        sun_low,
        sun_high,
        shade_low,
        shade_high,
        one_low,
        one_high,
        fixed(air.aerosol_500nm, 3),
        fixed(air.water_cm, 2),
        source(air.known.source).to_owned(),
        t(exposure.and_then(|e| e.dimmed)),
        maybe(exposure.map(|e| e.shares.sun), 4),
        maybe(exposure.map(|e| e.shares.dimmed), 4),
        maybe(exposure.map(|e| e.shares.shade), 4),
    ])
}
