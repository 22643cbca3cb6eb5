//! From options to a ball in the air.
//!
//! In: which ball, from where, how it is struck, the wind. Out: a flight in the local
//! frame, and the strike in words; everything that is wrong at once.

use geo::Centroid;
use glam::DVec3;

use crate::base::frame::{FieldPoint, direction};
use crate::base::units::{Azimuth, Elevation};
use crate::command::point::PlacePoint;
use crate::jobs::ball::physics::{
    Aim, Ball, BallKind, Flight, FlightAir, FlightShape, Launch, Stroke, fly_over, strokes, through,
};
use crate::venue::{Sport, Venue};

use super::{BallChoice, BallOptions, BallPlace};

/// No ball leaves faster: the fastest, golf balls of long-drive contests, leave at about
/// 100 m/s (from memory).
const MAX_STRIKE_M_PER_S: f64 = 120.0;

/// A strike of a ball.
pub(crate) struct Strike {
    /// Of the shot in the file; "the ball" where options say how it is struck.
    pub name: String,
    pub ball: Ball,
    pub flight: Flight,
    /// How it was struck, and through what air.
    pub told: String,
}

/// What is wrong with a strike.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct StrikeError(String);

/// From where to where, and how.
struct Asked {
    name: String,
    from: DVec3,
    to: DVec3,
    /// Whether it comes down at a stated height, not on the ground.
    to_height: bool,
    stroke: Option<String>,
}

/// The ball in the air: as the options say, else a shot of the hole.
///
/// # Errors
/// [`StrikeError`] with everything that is wrong.
pub(crate) fn strike(options: &BallOptions, venue: &Venue) -> Result<Strike, StrikeError> {
    let all = asked(options, venue)?;
    let first = all.into_iter().next();
    struck(options, venue, first.ok_or_else(|| StrikeError(NO_STRIKE.to_owned()))?)
}

/// Every shot asked for: that of the options, else all of the hole.
///
/// # Errors
/// [`StrikeError`] with what is wrong with the first that cannot be.
pub(crate) fn strikes(options: &BallOptions, venue: &Venue) -> Result<Vec<Strike>, StrikeError> {
    let all = asked(options, venue)?;
    all.into_iter().map(|asked| struck(options, venue, asked)).collect()
}

const NO_STRIKE: &str = "nothing says where the ball is struck\n  give --from and --to, or a file \
                         with a [[hole.shot]]";

fn asked(options: &BallOptions, venue: &Venue) -> Result<Vec<Asked>, StrikeError> {
    if let (Some(from), Some(to)) = (&options.from, &options.to) {
        return Ok(vec![by_options(options, venue, from, to)?]);
    }
    let shots = venue.hole.as_ref().map_or(&[][..], |hole| hole.shots.as_slice());
    let wanted = options.shot.as_deref().map(str::trim);
    let known = || shots.iter().map(|s| s.name.as_str()).collect::<Vec<_>>().join(", ");
    let all: Vec<Asked> = shots
        .iter()
        .filter(|shot| wanted.is_none_or(|name| shot.name == name))
        .map(|shot| Asked {
            name: shot.name.clone(),
            from: shot.from,
            to: shot.to,
            to_height: false,
            stroke: shot.stroke.clone(),
        })
        .collect();
    match (wanted, all.is_empty(), shots.is_empty()) {
        (_, false, _) => Ok(all),
        (Some(name), true, false) => Err(StrikeError(format!(
            "no shot \"{name}\" at this hole\n  choose one of: {}",
            known()
        ))),
        _ => Err(StrikeError(NO_STRIKE.to_owned())),
    }
}

fn by_options(
    options: &BallOptions,
    venue: &Venue,
    from: &BallPlace,
    to: &BallPlace,
) -> Result<Asked, StrikeError> {
    let mut wrong = Vec::new();
    let mut keep = |found: Result<DVec3, String>| found.map_err(|e| wrong.push(e)).ok();
    let (at, onto) = (keep(place(venue, from)), keep(place(venue, to)));
    // what else is wrong is told at once
    let kind = kind(options.ball, venue.field.sport).map_err(|e| wrong.push(e)).ok();
    if let Some(Err(e)) = kind.map(|kind| stroke(options, options.stroke.as_deref(), kind)) {
        wrong.push(e);
    }
    match (at, onto, wrong.is_empty()) {
        (Some(from), Some(onto), true) => Ok(Asked {
            name: "the ball".to_owned(),
            from,
            to: onto,
            to_height: matches!(to, BallPlace::At(PlacePoint { up_m: Some(_), .. })),
            stroke: options.stroke.clone(),
        }),
        _ => Err(StrikeError(wrong.join("\n"))),
    }
}

fn struck(options: &BallOptions, venue: &Venue, asked: Asked) -> Result<Strike, StrikeError> {
    let kind = kind(options.ball, venue.field.sport).map_err(StrikeError)?;
    let (stroke, source) = stroke(options, asked.stroke.as_deref(), kind).map_err(StrikeError)?;
    let mut ball = kind.ball();
    ball.reflectance = options.ball_reflectance.unwrap_or(ball.reflectance);
    let lift = DVec3::Z * ball.radius_m;
    let (from, to) = (asked.from + lift, asked.to + lift);
    let way = DVec3::new(to.x - from.x, to.y - from.y, 0.0);
    let Some(toward) = way.try_normalize().filter(|_| way.length() > 0.5) else {
        let same = "the ball starts and ends at the same place\n  give --to another place";
        return Err(StrikeError(same.to_owned()));
    };
    let air = air(options, venue);
    let launch = launch(options, &ball, (from, to), toward, &stroke, &air)?;
    let flight = fly_over(&ball, &launch, &air, |x, y| match asked.to_height {
        true => to.z,
        false => venue.ground_m(x, y) + lift.z,
    });
    let told = summary(options, &launch, &source, &air);
    Ok(Strike { name: asked.name, ball, flight, told })
}

fn launch(
    options: &BallOptions,
    ball: &Ball,
    (from, to): (DVec3, DVec3),
    toward: DVec3,
    stroke: &Stroke,
    air: &FlightAir,
) -> Result<Launch, StrikeError> {
    let shape = match (options.apex_m, options.hang_s) {
        (None, None) => return Ok(stroke.launch(from, toward)),
        (Some(metres), None) => FlightShape::Apex { metres },
        (None, Some(seconds)) => FlightShape::Hang { seconds },
        (Some(apex_m), Some(hang_s)) => FlightShape::Both { apex_m, hang_s },
    };
    let back_spin_rpm = options.back_spin_rpm.unwrap_or(0.0);
    let aim = Aim { from, to, shape, back_spin_rpm };
    let launch = through(ball, &aim, air).map_err(|e| StrikeError(e.to_string()))?;
    let speed = launch.velocity.length();
    if speed > MAX_STRIKE_M_PER_S {
        return Err(StrikeError(format!(
            "such a flight would begin at {speed:.0} m/s; no ball is struck faster than \
             {MAX_STRIKE_M_PER_S:.0} m/s\n  check --apex-m, --hang-s and the places"
        )));
    }
    Ok(launch)
}

/// A mark, the middle of a zone or a point, on the ground where no height is stated.
fn place(venue: &Venue, asked: &BallPlace) -> Result<DVec3, String> {
    match asked {
        BallPlace::At(at) => {
            let on = FieldPoint::on_ground(at.along_m, at.across_m);
            let on = grounded(venue, venue.field.frame.to_local(on));
            let at = on.with_z(at.up_m.unwrap_or(on.z));
            match at.z < on.z - 1e-6 {
                true => Err(format!(
                    "a ball starts and ends at {} m or more, which is the ground there",
                    (100.0 * on.z).ceil() / 100.0 + 0.0
                )),
                false => Ok(at),
            }
        }
        BallPlace::Mark(name) if name == "centre of play" => Ok(grounded(venue, DVec3::ZERO)),
        BallPlace::Mark(name) => {
            let mark = venue.field.marks.iter().find(|mark| mark.name == *name).map(|m| m.at);
            let zone = || {
                let zone = venue.zones.iter().find(|zone| zone.name == *name)?;
                zone.outline.centroid().map(|middle| middle.0)
            };
            let at = mark.or_else(zone).map(|at| DVec3::new(at.x, at.y, 0.0));
            at.map(|at| grounded(venue, at)).ok_or_else(|| {
                let marks = venue.field.marks.iter().map(|m| m.name.as_str());
                let zones = venue.zones.iter().map(|z| z.name.as_str());
                format!(
                    "no mark \"{name}\" on the field of play, and no zone\n  choose one of: {}, \
                     or ALONG,ACROSS",
                    marks.chain(zones).collect::<Vec<_>>().join(", ")
                )
            })
        }
    }
}

/// A place on the ground.
fn grounded(venue: &Venue, at: DVec3) -> DVec3 {
    at.with_z(venue.ground_m(at.x, at.y))
}

fn kind(asked: Option<BallChoice>, sport: Sport) -> Result<BallKind, String> {
    let of_sport = match sport {
        Sport::Football => Some(BallKind::Football),
        Sport::RugbyUnion => Some(BallKind::Rugby),
        Sport::Tennis => Some(BallKind::Tennis),
        Sport::Cricket => Some(BallKind::Cricket),
        Sport::Golf => Some(BallKind::Golf),
        Sport::Hockey | Sport::Free => None,
    };
    asked.map(BallChoice::kind).or(of_sport).ok_or_else(|| {
        let words = BallKind::ALL.map(BallKind::word).join(", ");
        format!("the field's sport does not say which ball flies\n  give --ball: {words}")
    })
}

/// The stroke asked for, and where its numbers come from.
fn stroke(
    options: &BallOptions,
    named: Option<&str>,
    kind: BallKind,
) -> Result<(Stroke, String), String> {
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
    let found = match named {
        Some(name) => own.clone().find(|s| s.name == name.trim()),
        None => own.clone().next(),
    };
    found.map(|s| (spun(s.stroke), format!("{}; {}", s.name, s.source))).ok_or_else(|| {
        let known: Vec<&str> = own.map(|s| s.name).collect();
        let asked = named.unwrap_or_default();
        format!(
            "no stroke \"{asked}\" of a {} ball\n  choose one of: {}, or give --speed-m-per-s and \
             --angle-deg",
            kind.word(),
            known.join(", ")
        )
    })
}

fn air(options: &BallOptions, venue: &Venue) -> FlightAir {
    let from = Azimuth::from_degrees(options.wind_from_deg.unwrap_or(0.0));
    let wind = -direction(from, Elevation::from_degrees(0.0));
    FlightAir::at(&venue.place).with_wind(wind * options.wind_m_per_s.unwrap_or(0.0))
}

fn summary(options: &BallOptions, launch: &Launch, source: &str, air: &FlightAir) -> String {
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
