//! From options to a ball in the air.
//!
//! In: which ball, from where, how it is struck, the wind. Out: a flight in the local
//! frame, and the strike in words; everything that is wrong at once.

use glam::DVec3;

use super::ball_command::{BallChoice, BallOptions, BallPlace};
use crate::ball::{Aim, Air, Ball, BallKind, Flight, Launch, Shape, Stroke, fly, strokes, through};
use crate::frame::{FieldPoint, direction};
use crate::units::{Azimuth, Elevation};
use crate::venue::{Sport, Venue};

/// A strike of a ball.
pub(super) struct Strike {
    pub ball: Ball,
    pub flight: Flight,
    /// How it was struck, and through what air.
    pub told: String,
}

/// What is wrong with a strike.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct StrikeError(String);

/// The ball in the air.
///
/// # Errors
/// [`StrikeError`] with everything that is wrong.
pub(super) fn strike(options: &BallOptions, venue: &Venue) -> Result<Strike, StrikeError> {
    let mut wrong = Vec::new();
    let mut keep = |found: Result<DVec3, String>| found.map_err(|e| wrong.push(e)).ok();
    let (from, to) = (keep(place(venue, &options.from)), keep(place(venue, &options.to)));
    let kind = kind(options.ball, venue.field.sport).map_err(|e| wrong.push(e)).ok();
    let stroke = kind.and_then(|kind| stroke(options, kind).map_err(|e| wrong.push(e)).ok());
    let (Some(from), Some(to), Some(kind), Some((stroke, source))) = (from, to, kind, stroke)
    else {
        return Err(StrikeError(wrong.join("\n")));
    };
    let mut ball = kind.ball();
    ball.reflectance = options.ball_reflectance.unwrap_or(ball.reflectance);
    let lift = DVec3::Z * ball.radius_m;
    let (from, to) = (from + lift, to + lift);
    let way = DVec3::new(to.x - from.x, to.y - from.y, 0.0);
    let Some(toward) = way.try_normalize().filter(|_| way.length() > 0.5) else {
        let same = "the ball starts and ends at the same place\n  give --to another place";
        return Err(StrikeError(same.to_owned()));
    };
    let air = air(options, venue);
    let launch = launch(options, &ball, (from, to), toward, &stroke, &air)?;
    let flight = fly(&ball, &launch, &air, lift.z.max(to.z));
    let told = told(options, &launch, &source, &air);
    Ok(Strike { ball, flight, told })
}

fn launch(
    options: &BallOptions,
    ball: &Ball,
    (from, to): (DVec3, DVec3),
    toward: DVec3,
    stroke: &Stroke,
    air: &Air,
) -> Result<Launch, StrikeError> {
    let shape = match (options.apex_m, options.hang_s) {
        (None, None) => return Ok(stroke.launch(from, toward)),
        (Some(metres), None) => Shape::Apex { metres },
        (None, Some(seconds)) => Shape::Hang { seconds },
        (Some(apex_m), Some(hang_s)) => Shape::Both { apex_m, hang_s },
    };
    let back_spin_rpm = options.back_spin_rpm.unwrap_or(0.0);
    let aim = Aim { from, to, shape, back_spin_rpm };
    through(ball, &aim, air).map_err(|e| StrikeError(e.to_string()))
}

/// A mark of the field or a point, on the ground where no height is stated.
fn place(venue: &Venue, asked: &BallPlace) -> Result<DVec3, String> {
    match asked {
        BallPlace::At(at) => {
            let point = FieldPoint {
                along_m: at.along_m,
                across_m: at.across_m,
                up_m: at.up_m.unwrap_or(0.0),
            };
            match point.up_m < 0.0 {
                true => Err("a ball starts and ends at 0 m or more".to_owned()),
                false => Ok(venue.field.frame.to_local(point)),
            }
        }
        BallPlace::Mark(name) if name == "centre of play" => Ok(DVec3::ZERO),
        BallPlace::Mark(name) => {
            let mark = venue.field.marks.iter().find(|mark| mark.name == *name);
            mark.map(|mark| DVec3::new(mark.at.x, mark.at.y, 0.0)).ok_or_else(|| {
                let known: Vec<&str> = venue.field.marks.iter().map(|m| m.name.as_str()).collect();
                format!(
                    "no mark \"{name}\" on the field of play\n  choose one of: {}, or \
                     ALONG,ACROSS",
                    known.join(", ")
                )
            })
        }
    }
}

fn kind(asked: Option<BallChoice>, sport: Sport) -> Result<BallKind, String> {
    let of_sport = match sport {
        Sport::Football => Some(BallKind::Football),
        Sport::RugbyUnion => Some(BallKind::Rugby),
        Sport::Tennis => Some(BallKind::Tennis),
        Sport::Cricket => Some(BallKind::Cricket),
        Sport::Hockey | Sport::Free => None,
    };
    asked.map(BallChoice::kind).or(of_sport).ok_or_else(|| {
        let words = BallKind::ALL.map(BallKind::word).join(", ");
        format!("the field's sport does not say which ball flies\n  give --ball: {words}")
    })
}

/// The stroke asked for, and where its numbers come from.
fn stroke(options: &BallOptions, kind: BallKind) -> Result<(Stroke, String), String> {
    let own = strokes().iter().filter(|s| s.kind == kind);
    let spun = |stroke: Stroke| Stroke {
        back_spin_rpm: options.back_spin_rpm.unwrap_or(stroke.back_spin_rpm),
        side_spin_rpm: options.side_spin_rpm.unwrap_or(stroke.side_spin_rpm),
        ..stroke
    };
    if let (Some(speed_m_per_s), Some(angle_deg)) = (options.speed_m_per_s, options.angle_deg) {
        let stated = Stroke { speed_m_per_s, angle_deg, back_spin_rpm: 0.0, side_spin_rpm: 0.0 };
        return Ok((spun(stated), "as stated".to_owned()));
    }
    let named = match &options.stroke {
        Some(name) => own.clone().find(|s| s.name == name.trim()),
        None => own.clone().next(),
    };
    named.map(|s| (spun(s.stroke), format!("{}; {}", s.name, s.source))).ok_or_else(|| {
        let known: Vec<&str> = own.map(|s| s.name).collect();
        let asked = options.stroke.as_deref().unwrap_or_default();
        format!(
            "no stroke \"{asked}\" of a {} ball\n  choose one of: {}, or give --speed-m-per-s and \
             --angle-deg",
            kind.word(),
            known.join(", ")
        )
    })
}

fn air(options: &BallOptions, venue: &Venue) -> Air {
    let from = Azimuth::from_degrees(options.wind_from_deg.unwrap_or(0.0));
    let wind = -direction(from, Elevation::from_degrees(0.0));
    Air::at(&venue.place).with_wind(wind * options.wind_m_per_s.unwrap_or(0.0))
}

fn told(options: &BallOptions, launch: &Launch, source: &str, air: &Air) -> String {
    let v = launch.velocity;
    let fitted = options.apex_m.is_some() || options.hang_s.is_some();
    let source = if fitted { "found for what was seen of the flight" } else { source };
    let rpm = launch.spin.length() * 60.0 / std::f64::consts::TAU;
    let mut text = format!(
        "Struck at {:.1} m/s, {:.1} degrees up, {rpm:.0} revolutions a minute ({source}). Air \
         {:.3} kg/m3",
        v.length(),
        v.z.atan2(v.x.hypot(v.y)).to_degrees(),
        air.density_kg_per_m3
    );
    text += &match (options.wind_m_per_s, options.wind_from_deg) {
        (Some(speed), Some(from)) if speed > 0.0 => {
            format!(", wind {speed:.1} m/s from {from:.0} degrees.")
        }
        _ => ", no wind.".to_owned(),
    };
    text
}
