//! Sentences about what was learned.
//!
//! In: estimates. Out: words with their errors.

use crate::engine::Programme;
use crate::jobs::day::{EdgeMiss, Estimate, Event, Learned, LightOn, SkyNow, SurveyedNumber};
use crate::output::words::{counted, nd_or_clear};
use crate::venue::Unit;

/// What is under this is as planned, stops.
const SAME_STOPS: f64 = 0.05;

/// The sky as people say it.
pub fn sky(sky: SkyNow) -> &'static str {
    match sky {
        SkyNow::Clear => "clear sky",
        SkyNow::Thin => "thin cloud",
        SkyNow::CloudOverSun => "a cloud over the sun",
        SkyNow::Broken => "broken cloud",
        SkyNow::Overcast => "overcast sky",
    }
}

fn readings(count: usize) -> String {
    counted(count, "reading", "readings")
}

fn side(name: &str, estimate: &Estimate) -> String {
    let Estimate { stops, error, readings: count } = *estimate;
    let off = match stops {
        s if s.abs() < SAME_STOPS => "as modelled".to_owned(),
        s => {
            let unit = if s.abs() > 1.0 { "stops" } else { "stop" };
            let way = if s < 0.0 { "darker" } else { "brighter" };
            format!("{:.1} {unit} {way} than modelled", s.abs())
        }
    };
    format!("{name} is {off} (standard error {error:.1}, {})", readings(count))
}

/// What was learned about light; nothing without readings.
pub fn light(learned: &Learned) -> Vec<String> {
    let sides = [("sun", &learned.sun), ("shade", &learned.shade)];
    let each = sides.iter().filter_map(|(name, e)| Some(side(name, e.as_ref()?)));
    each.map(|said| format!("under {}, {said}", sky(learned.sky))).collect()
}

/// An edge that was seen beside the plan.
pub fn edge(miss: &EdgeMiss) -> String {
    let at = miss.at.format("%H:%M:%S");
    let Some(planned) = miss.planned else {
        return format!("edge at {} {at}; none was planned near that time", miss.mark);
    };
    let late_s = (miss.at - planned).num_seconds();
    match late_s {
        0 => format!("edge at {} {at}, as planned", miss.mark),
        s if s < 0 => format!("edge at {} {at}, {} s earlier than planned", miss.mark, -s),
        s => format!("edge at {} {at}, {s} s later than planned", miss.mark),
    }
}

/// A number that edges have corrected.
pub fn number(found: &SurveyedNumber) -> String {
    let by = found.to - found.from;
    let unit = found.unit.symbol();
    let way = match (found.unit, by < 0.0) {
        (Unit::Metre, true) => "lower",
        (Unit::Metre, false) => "higher",
        (_, true) => "less",
        (_, false) => "more",
    };
    let SurveyedNumber { what, to, error, .. } = found;
    let by = by.abs();
    format!("{what}: {by:.1} {unit} {way}, {to:.2} {unit} (standard error {error:.1})")
}

/// An entry in a few words.
pub fn entry(what: &Event, programme: &Programme) -> String {
    match what {
        Event::Moment { name, expected: false, .. } => name.clone(),
        Event::Moment { name, expected: true, .. } => format!("{name} expected"),
        Event::PlayStopped => "play stopped".to_owned(),
        Event::PlayGoesOn => "play goes on".to_owned(),
        Event::Sky { sky: now } => format!("sky: {}", sky(*now)),
        Event::Floodlights { lit: true } => "floodlights on".to_owned(),
        Event::Floodlights { lit: false } => "floodlights off".to_owned(),
        Event::Nd { camera, nd_stops } => format!("{camera}: {} in", nd_or_clear(*nd_stops)),
        Event::Iris { camera, t_number, light } => match light {
            Some(LightOn::Sun) => format!("{camera}: T{t_number} in sun"),
            Some(LightOn::Shade) => format!("{camera}: T{t_number} in shade"),
            None => format!("{camera}: T{t_number}"),
        },
        Event::CameraOut { camera } => format!("{camera} out"),
        Event::CameraBack { camera, .. } => format!("{camera} back"),
        Event::CameraSwapped { camera, stand_in, from_moment, .. } => {
            let moment = from_moment.and_then(|number| programme.moments.get(number));
            let from = moment.map_or_else(String::new, |m| format!(" from {}", m.name));
            format!("{stand_in} takes over {camera}{from}")
        }
        Event::CameraGoesOver { camera, to_ground, to_place, .. } => {
            format!("{camera} goes over to {to_place} of {to_ground}")
        }
        Event::CameraComesOver { camera, from_ground, from_camera, .. } => {
            format!("{from_camera} of {from_ground} takes over {camera}")
        }
        Event::CameraGoesHome { camera, from_ground, .. } => {
            format!("{camera} home from {from_ground}")
        }
        Event::CameraLeaves { camera, to_ground, .. } => {
            format!("{camera}: the camera of {to_ground} leaves")
        }
        Event::MoveExpected { expected, .. } => {
            format!("move between grounds expected at {}", expected.format("%H:%M"))
        }
        Event::LensChanged { camera, horizontal_fov_deg } => {
            format!("{camera}: lens of {horizontal_fov_deg} degrees")
        }
        Event::EdgePasses { mark } => format!("edge passes {mark}"),
        Event::Light { sun_lx, shade_lx } => {
            let side = |lx: &Option<f64>, name| lx.map(|lx| format!("{lx:.0} lx in {name}"));
            let sides = [side(sun_lx, "sun"), side(shade_lx, "shade")];
            format!("light: {}", sides.into_iter().flatten().collect::<Vec<_>>().join(", "))
        }
        Event::LightCorrected { sky: of, light } => format!(
            "light under {} corrected: sun {:+.2}, shade {:+.2} stops",
            sky(*of),
            light.sun_stops,
            light.shade_stops
        ),
        Event::Undo { entry } => format!("entry {entry} taken back"),
    }
}
