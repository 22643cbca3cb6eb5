//! The strike that makes a ball fly as it was seen to fly.
//!
//! In: from where to where, and how high or for how long (metres, seconds), the wind. Out:
//! a [`Launch`], found by Newton's method on the flight itself; with both a height and a
//! time, the back spin as well.

use glam::DVec3;

use super::air::FlightAir;
use super::flight::{Flight, GRAVITY, Launch, fly};
use super::kind::Ball;

/// How near the flight has to come: metres of place and height, 2 mm.
const NEAR_M: f64 = 2e-3;
const NEAR_S: f64 = 2e-3;
const ROUNDS: usize = 60;
/// Back spin that is looked at, revolutions a minute: top spin to back spin.
const SPINS_RPM: (f64, f64) = (-6000.0, 10_000.0);
/// Steps in which the spin is looked for before it is halved.
const SPIN_STEPS: usize = 16;
/// Step of the differences, m/s.
const DIFFERENCE: f64 = 1e-3;

/// What is known of a flight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FlightShape {
    /// Highest point of the ball's middle over the ground.
    Apex { metres: f64 },
    /// From the strike to the ground.
    Hang { seconds: f64 },
    /// Both.
    Both { apex_m: f64, hang_s: f64 },
}

/// What a flight has to do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    pub from: DVec3,
    /// The ball's middle when it is down.
    pub to: DVec3,
    pub shape: FlightShape,
    /// Used where the shape does not settle it.
    pub back_spin_rpm: f64,
}

/// Why there is no such flight.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AimError {
    #[error(
        "the ball cannot be {apex_m} m high at the most when it starts or lands higher\n  \
         give a greater apex"
    )]
    TooLow { apex_m: f64 },
    #[error(
        "no flight of this ball goes that far with that apex or hang time in this wind\n  \
         check the places, or give a greater apex or hang time"
    )]
    NoSuchFlight,
    #[error(
        "no flight of this ball has that apex and that hang time together, with any spin from \
         {} to {} revolutions a minute\n  give only one of the two", SPINS_RPM.0, SPINS_RPM.1
    )]
    Apart,
}

/// The launch whose flight does what is asked.
///
/// # Errors
/// [`AimError`] where no strike does.
pub fn through(ball: &Ball, aim: &Aim, air: &FlightAir) -> Result<Launch, AimError> {
    match aim.shape {
        FlightShape::Both { apex_m, hang_s } => {
            let apex = Aim { shape: FlightShape::Apex { metres: apex_m }, ..*aim };
            both(ball, &apex, air, hang_s)
        }
        _ => one(ball, aim, air),
    }
}

/// Apex held by the launch, hang time by the spin.
fn both(ball: &Ball, aim: &Aim, air: &FlightAir, hang_s: f64) -> Result<Launch, AimError> {
    let at = |rpm: f64| {
        let launch = one(ball, &Aim { back_spin_rpm: rpm, ..*aim }, air).ok()?;
        Some((fly(ball, &launch, air, aim.to.z).lasts_s() - hang_s, launch))
    };
    let rpm = |i: usize| SPINS_RPM.0 + (SPINS_RPM.1 - SPINS_RPM.0) * i as f64 / SPIN_STEPS as f64;
    let found: Vec<(f64, f64)> =
        (0..=SPIN_STEPS).filter_map(|i| Some((rpm(i), at(rpm(i))?.0))).collect();
    let change = found.windows(2).filter(|w| w[0].1.signum() != w[1].1.signum());
    // of several spins the smallest is the likeliest
    let nearest = change.min_by(|a, b| {
        let middle = |w: &[(f64, f64)]| (w[0].0 + w[1].0).abs();
        middle(a).total_cmp(&middle(b))
    });
    let (mut low, mut high) = nearest.map(|w| (w[0], w[1])).ok_or(AimError::Apart)?;
    let mut best = None;
    for _ in 0..ROUNDS {
        let middle = 0.5 * (low.0 + high.0);
        let (off, launch) = at(middle).ok_or(AimError::Apart)?;
        best = Some(launch);
        if off.abs() < NEAR_S {
            break;
        }
        if off.signum() == low.1.signum() { low = (middle, off) } else { high = (middle, off) }
    }
    best.ok_or(AimError::Apart)
}

/// Newton's method on the three parts of the velocity.
fn one(ball: &Ball, aim: &Aim, air: &FlightAir) -> Result<Launch, AimError> {
    if let FlightShape::Apex { metres } = aim.shape
        && metres <= aim.from.z.max(aim.to.z)
    {
        return Err(AimError::TooLow { apex_m: metres });
    }
    let mut velocity = in_vacuum(aim);
    let launch = |velocity: DVec3| spun(aim, velocity);
    let miss = |velocity: DVec3| {
        let flight = fly(ball, &launch(velocity), air, aim.to.z);
        misses(aim, &flight)
    };
    let mut now = miss(velocity);
    for _ in 0..ROUNDS {
        if now.truncate().length() < NEAR_M && now.z.abs() < NEAR_M {
            return Ok(launch(velocity));
        }
        let column = |axis: DVec3| (miss(velocity + axis * DIFFERENCE) - now) / DIFFERENCE;
        let slopes = glam::DMat3::from_cols(column(DVec3::X), column(DVec3::Y), column(DVec3::Z));
        if slopes.determinant().abs() < 1e-9 {
            break;
        }
        let full = slopes.inverse() * -now;
        // shorter steps until it gets better
        let tried = (0..8).map(|i| velocity + full * 0.5_f64.powi(i)).map(|v| (v, miss(v)));
        let better = tried.into_iter().find(|(v, m)| v.z > 0.0 && m.length() < now.length());
        let Some((next, missed)) = better else { break };
        (velocity, now) = (next, missed);
    }
    Err(AimError::NoSuchFlight)
}

/// By how much the landing (x, y) and the shape (z) are missed.
fn misses(aim: &Aim, flight: &Flight) -> DVec3 {
    let place = flight.end().at - aim.to;
    let shape = match aim.shape {
        FlightShape::Apex { metres } | FlightShape::Both { apex_m: metres, .. } => {
            height(flight) - metres
        }
        FlightShape::Hang { seconds } => flight.lasts_s() - seconds,
    };
    DVec3::new(place.x, place.y, shape)
}

/// The apex between the points: where the parabola of the two around it is highest.
fn height(flight: &Flight) -> f64 {
    let apex = flight.apex();
    apex.at.z + apex.velocity.z * apex.velocity.z / (2.0 * GRAVITY)
}

/// The strike without any air.
fn in_vacuum(aim: &Aim) -> DVec3 {
    let fall = |from: f64| (2.0 * from.max(1e-3) / GRAVITY).sqrt();
    let (up, hang) = match aim.shape {
        FlightShape::Apex { metres } | FlightShape::Both { apex_m: metres, .. } => {
            let rise = fall(metres - aim.from.z);
            (GRAVITY * rise, rise + fall(metres - aim.to.z))
        }
        FlightShape::Hang { seconds } => {
            let drop = aim.from.z - aim.to.z;
            ((0.5 * GRAVITY * seconds * seconds - drop) / seconds, seconds)
        }
    };
    let way = aim.to - aim.from;
    DVec3::new(way.x / hang, way.y / hang, up.max(0.1))
}

fn spun(aim: &Aim, velocity: DVec3) -> Launch {
    let flat = DVec3::new(velocity.x, velocity.y, 0.0);
    let toward = flat.try_normalize().unwrap_or(DVec3::Y);
    // back spin is along the right, as in a stroke's launch
    let rad_per_s = aim.back_spin_rpm * std::f64::consts::TAU / 60.0;
    Launch { at: aim.from, velocity, spin: toward.cross(DVec3::Z) * rad_per_s }
}
