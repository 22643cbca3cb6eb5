//! A ball through the air.
//!
//! In: a [`Ball`], a [`Launch`], the [`FlightAir`]. Out: a [`Flight`]: points in steps of
//! [`STEP_S`], from the strike to the ground, local frame, metres and seconds.
//!
//! Forces: weight, drag against the speed through the air, lift at right angles to spin
//! and speed. `a = g - k v (Cd v_vector - Cl axis x v_vector)`, `k = density area / (2
//! mass)` (Mehta, Annual Review of Fluid Mechanics 17, 1985). Integrated by the classical
//! method of Runge and Kutta of fourth order.

use glam::DVec3;

use super::air::FlightAir;
use super::kind::Ball;

/// Standard gravity, m/s2 (3rd CGPM, 1901).
pub(super) const GRAVITY: f64 = 9.806_65;
/// Step of the integration, s: halving it moves no landing of the tests by a millimetre.
pub(super) const STEP_S: f64 = 0.005;
/// No flight is followed for longer, s.
pub const MAX_FLIGHT_S: f64 = 30.0;
/// A ball that rises leaves the ground it was struck from within this, s.
const LEAVES_S: f64 = 0.05;
/// Slower than this through the air, m/s, the air does nothing.
const STILL: f64 = 1e-9;

/// How a ball leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Launch {
    /// Its middle, local frame, metres.
    pub at: DVec3,
    /// m/s.
    pub velocity: DVec3,
    /// Along the axis by the right hand, rad/s.
    pub spin: DVec3,
}

/// The ball at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlightPoint {
    /// Since the strike.
    pub t_s: f64,
    pub at: DVec3,
    /// m/s.
    pub velocity: DVec3,
}

/// A whole flight; at least one point.
#[derive(Debug, Clone, PartialEq)]
pub struct Flight {
    points: Vec<FlightPoint>,
}

#[derive(Debug, Clone, Copy)]
struct State {
    at: DVec3,
    velocity: DVec3,
    spin: DVec3,
}

/// Follows a ball until its middle is down at `ground_m` again, or [`MAX_FLIGHT_S`].
pub fn fly(ball: &Ball, launch: &Launch, air: &FlightAir, ground_m: f64) -> Flight {
    fly_over(ball, launch, air, |_, _| ground_m)
}

/// The same over ground that rises and falls: `ground_m` is the height of the ball's middle
/// when it lies at a place (x, y). A ball that still rises lands where it meets a slope.
pub fn fly_over(
    ball: &Ball,
    launch: &Launch,
    air: &FlightAir,
    ground_m: impl Fn(f64, f64) -> f64,
) -> Flight {
    let over = |s: &State| s.at.z - ground_m(s.at.x, s.at.y);
    let mut state = State { at: launch.at, velocity: launch.velocity, spin: launch.spin };
    let point = |t_s: f64, s: &State| FlightPoint { t_s, at: s.at, velocity: s.velocity };
    let mut points = vec![point(0.0, &state)];
    let steps = (MAX_FLIGHT_S / STEP_S) as usize;
    for i in 1..=steps {
        let next = step(ball, air, &state, STEP_S);
        let t_s = i as f64 * STEP_S;
        if over(&next) <= 0.0 && (next.velocity.z < 0.0 || t_s > LEAVES_S) {
            let end = landing(ball, air, &state, over);
            points.push(point(t_s - STEP_S + end.0, &end.1));
            break;
        }
        points.push(point(t_s, &next));
        state = next;
    }
    Flight { points }
}

/// The part of a step that ends on the ground, by halving.
fn landing(
    ball: &Ball,
    air: &FlightAir,
    before: &State,
    over: impl Fn(&State) -> f64,
) -> (f64, State) {
    let (mut low, mut high) = (0.0, STEP_S);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if over(&step(ball, air, before, middle)) > 0.0 { low = middle } else { high = middle }
    }
    (high, step(ball, air, before, high))
}

fn step(ball: &Ball, air: &FlightAir, s: &State, h: f64) -> State {
    let slope = |s: &State| (s.velocity, acceleration(ball, air, s), slowing(ball, air, s));
    let along = |k: &(DVec3, DVec3, DVec3), h: f64| State {
        at: s.at + k.0 * h,
        velocity: s.velocity + k.1 * h,
        spin: s.spin + k.2 * h,
    };
    let a = slope(s);
    let b = slope(&along(&a, 0.5 * h));
    let c = slope(&along(&b, 0.5 * h));
    let d = slope(&along(&c, h));
    let mean = |a: DVec3, b: DVec3, c: DVec3, d: DVec3| (a + 2.0 * (b + c) + d) / 6.0;
    along(&(mean(a.0, b.0, c.0, d.0), mean(a.1, b.1, c.1, d.1), mean(a.2, b.2, c.2, d.2)), h)
}

fn acceleration(ball: &Ball, air: &FlightAir, s: &State) -> DVec3 {
    let weight = -GRAVITY * DVec3::Z;
    let through = s.velocity - air.wind;
    let speed = through.length();
    if speed < STILL {
        return weight;
    }
    let across = s.spin.cross(through / speed);
    let found = ball.coefficients(speed, ball.radius_m * across.length() / speed);
    let k = 0.5 * air.density_kg_per_m3 * ball.area_m2() / ball.mass_kg * speed;
    let lift = across.try_normalize().unwrap_or(DVec3::ZERO) * (found.lift * speed);
    weight - through * (k * found.drag) + lift * k
}

fn slowing(ball: &Ball, air: &FlightAir, s: &State) -> DVec3 {
    let speed = (s.velocity - air.wind).length();
    s.spin * (-ball.spin_loss() * speed / ball.radius_m)
}

impl Flight {
    /// In order of time.
    pub fn points(&self) -> &[FlightPoint] {
        &self.points
    }

    /// From the strike to the ground, s.
    pub fn lasts_s(&self) -> f64 {
        self.points.last().map_or(0.0, |p| p.t_s)
    }

    /// Where it ends.
    pub fn end(&self) -> FlightPoint {
        self.at(self.lasts_s())
    }

    /// The highest point.
    pub fn apex(&self) -> FlightPoint {
        let highest = self.points.iter().max_by(|a, b| a.at.z.total_cmp(&b.at.z));
        highest.copied().unwrap_or_else(|| self.at(0.0))
    }

    /// Over the ground, from the strike to the end, metres.
    pub fn carry_m(&self) -> f64 {
        let way = self.end().at - self.at(0.0).at;
        way.x.hypot(way.y)
    }

    /// Angle to the ground at the end, degrees.
    pub fn lands_at_deg(&self) -> f64 {
        let v = self.end().velocity;
        (-v.z).atan2(v.x.hypot(v.y)).to_degrees()
    }

    /// At a time, within the flight; cubic between the points, which have speeds.
    pub fn at(&self, t_s: f64) -> FlightPoint {
        let none = FlightPoint { t_s: 0.0, at: DVec3::ZERO, velocity: DVec3::ZERO };
        let (Some(first), Some(last)) = (self.points.first(), self.points.last()) else {
            return none;
        };
        let t_s = t_s.clamp(first.t_s, last.t_s);
        let next = self.points.partition_point(|p| p.t_s <= t_s);
        let (Some(a), Some(b)) = (self.points.get(next.saturating_sub(1)), self.points.get(next))
        else {
            return *last;
        };
        let h = b.t_s - a.t_s;
        let u = (t_s - a.t_s) / h;
        let (u2, u3) = (u * u, u * u * u);
        let at = a.at * (2.0 * u3 - 3.0 * u2 + 1.0)
            + a.velocity * (h * (u3 - 2.0 * u2 + u))
            + b.at * (3.0 * u2 - 2.0 * u3)
            + b.velocity * (h * (u3 - u2));
        FlightPoint { t_s, at, velocity: a.velocity.lerp(b.velocity, u) }
    }

    /// The same, ended at a time.
    pub fn until(&self, t_s: f64) -> Self {
        let end = self.at(t_s);
        let mut points: Vec<FlightPoint> =
            self.points.iter().take_while(|p| p.t_s < end.t_s).copied().collect();
        points.push(end);
        Self { points }
    }
}
