//! The ride of the iris that a flight asks for.
//!
//! In: how many stops the iris has to be closed by at each time, what it can do in a
//! second, how long a hand's order takes. Out: a [`Ride`]: the latest start, how far, when
//! it is back, and what is left when the ball is down.

/// Stops by which the iris has to be closed at a time, against its place at the strike;
/// negative is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    pub t_s: f64,
    pub stops: f64,
}

/// Where the iris is at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RidePoint {
    pub t_s: f64,
    pub stops: f64,
}

/// The ride that is never less closed than needed and at each time the least closed that
/// the iris can do: `max over all needs of (need - rate x |time between|)`.
#[derive(Debug, Clone, PartialEq)]
pub struct Ride {
    pub rate_stops_per_s: f64,
    pub delay_s: f64,
    /// At the times of the needs.
    pub points: Vec<RidePoint>,
    /// Most closed, and since when.
    pub most: RidePoint,
    /// When an iris that is held at the strike's place has to begin to close, and when the
    /// hand has to; negative is before the strike. `None` where no need is over that place
    /// by more than [`SMALL_STOPS`].
    pub iris_starts_s: Option<f64>,
    pub hand_starts_s: Option<f64>,
    /// When the hand begins to open again; `None` where the landing needs about as much.
    pub hand_opens_s: Option<f64>,
    /// When the iris is at what the landing needs; after the landing where it is late.
    pub back_s: f64,
    /// More closed than needed at the landing.
    pub left_at_landing: f64,
    /// The least rate with which a ride that starts at the strike does it all, and is
    /// back at the landing, stops a second. `None` where no rate does.
    pub least_rate: Option<f64>,
}

/// A need over that of strike or landing by less than this starts no ride and keeps none,
/// stops: crews match cameras to a quarter of a stop (common practice, no source).
pub const SMALL_STOPS: f64 = 0.25;
/// Stops that count as nothing.
const NOTHING: f64 = 1e-9;

impl Ride {
    /// Plans a ride; `None` without needs. The last need is that of the landing, the
    /// first that of the strike.
    ///
    /// ```
    /// use quarterstop::jobs::ball::physics::{Need, Ride};
    /// // by hand: three stops are needed from 2 s to 4 s, the ball is down at 6 s, an iris
    /// // does 2 stops a second and an order takes half a second. It has to move at
    /// // 2 - 3 / 2 = 0.5 s, the hand at 0 s; it may open from 4 s, so the hand at 3.5 s, and
    /// // is back at 5.5 s.
    /// let need = |t_s, stops| Need { t_s, stops };
    /// let needs = [need(0.0, 0.0), need(1.999, 0.0), need(2.0, 3.0), need(4.0, 3.0),
    ///     need(4.001, 0.0), need(6.0, 0.0)];
    /// let ride = Ride::plan(&needs, 2.0, 0.5).unwrap();
    /// let near = |a: Option<f64>, b: f64| (a.unwrap() - b).abs() < 1e-9;
    /// assert!(near(ride.iris_starts_s, 0.5) && near(ride.hand_starts_s, 0.0));
    /// assert!(near(ride.hand_opens_s, 3.5) && (ride.back_s - 5.5).abs() < 1e-9);
    /// assert_eq!(ride.left_at_landing, 0.0);
    /// // a start at the strike needs 3 stops in 2 s
    /// assert!((ride.least_rate.unwrap() - 1.5).abs() < 1e-9);
    /// ```
    pub fn plan(needs: &[Need], rate_stops_per_s: f64, delay_s: f64) -> Option<Self> {
        let (first, last) = (needs.first()?, needs.last()?);
        let rate = rate_stops_per_s;
        let at = |t: f64| {
            let held = needs.iter().map(|n| n.stops - rate * (t - n.t_s).abs());
            held.fold(f64::NEG_INFINITY, f64::max)
        };
        let points: Vec<RidePoint> =
            needs.iter().map(|n| RidePoint { t_s: n.t_s, stops: at(n.t_s) }).collect();
        let most = points.iter().copied().reduce(|a, b| if b.stops > a.stops { b } else { a })?;
        let closing = needs.iter().filter(|n| n.stops > first.stops + SMALL_STOPS);
        let starts = closing.map(|n| n.t_s - (n.stops - first.stops) / rate);
        let iris_starts_s = starts.reduce(f64::min);
        let since = needs.iter().rfind(|n| n.stops >= most.stops - NOTHING).map(|n| n.t_s);
        let backs = needs.iter().map(|n| n.t_s + (n.stops - last.stops) / rate);
        let least_rate = least_rate(needs, first, last);
        Some(Self {
            rate_stops_per_s: rate,
            delay_s,
            most,
            iris_starts_s,
            hand_starts_s: iris_starts_s.map(|t| t - delay_s),
            hand_opens_s: since
                .filter(|_| most.stops > last.stops + SMALL_STOPS)
                .map(|t| t - delay_s),
            back_s: back(needs, last, backs),
            left_at_landing: at(last.t_s) - last.stops,
            points,
            least_rate,
        })
    }
}

/// When the last of the needs over the landing's by more than [`SMALL_STOPS`] is let go.
fn back(needs: &[Need], last: &Need, backs: impl Iterator<Item = f64>) -> f64 {
    let over = needs.iter().zip(backs).filter(|(n, _)| n.stops > last.stops + SMALL_STOPS);
    over.map(|(_, back)| back)
        .fold(f64::NEG_INFINITY, f64::max)
        .max(needs.first().map_or(0.0, |n| n.t_s))
}

fn least_rate(needs: &[Need], first: &Need, last: &Need) -> Option<f64> {
    let mut rate = 0.0_f64;
    for need in needs {
        for (from, to) in [(first, need.t_s - first.t_s), (last, last.t_s - need.t_s)] {
            let stops = need.stops - from.stops;
            if stops > NOTHING {
                if to <= 0.0 {
                    return None;
                }
                rate = rate.max(stops / to);
            }
        }
    }
    Some(rate)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn needs(pairs: &[(f64, f64)]) -> Vec<Need> {
        pairs.iter().map(|&(t_s, stops)| Need { t_s, stops }).collect()
    }

    /// Worked by hand: 4 stops from 1 s on, down at 3 s, 1 stop a second, order 0.4 s. The
    /// iris has to move 3 s before the strike, the hand at -3.4 s; it opens from 2 s (the
    /// hand at 1.6 s), needs 4 s, is back at 6 s; at 3 s it is 3 stops too dark.
    #[test]
    fn a_slow_iris_starts_before_the_strike_and_is_late() {
        let needs = needs(&[(0.0, 0.0), (1.0, 4.0), (2.0, 4.0), (2.5, 0.0), (3.0, 0.0)]);
        let ride = Ride::plan(&needs, 1.0, 0.4).unwrap();
        assert_eq!(ride.iris_starts_s, Some(-3.0));
        assert!((ride.hand_starts_s.unwrap() + 3.4).abs() < 1e-12);
        assert!((ride.hand_opens_s.unwrap() - 1.6).abs() < 1e-12);
        assert_eq!((ride.back_s, ride.left_at_landing), (6.0, 3.0));
        assert_eq!(ride.least_rate, Some(4.0));
    }

    #[test]
    fn the_ride_is_never_less_closed_than_needed_nor_faster_than_the_iris() {
        let wave: Vec<(f64, f64)> = (0..200)
            .map(|i| f64::from(i) * 0.03)
            .map(|t| (t, 2.0 * (3.0 * t).sin() + if t > 3.0 { 1.5 } else { 0.0 }))
            .collect();
        let needs = needs(&wave);
        let ride = Ride::plan(&needs, 2.5, 0.0).unwrap();
        for (point, need) in ride.points.iter().zip(&needs) {
            assert!(point.stops >= need.stops - 1e-12);
        }
        for pair in ride.points.windows(2) {
            let slope = (pair[1].stops - pair[0].stops) / (pair[1].t_s - pair[0].t_s);
            assert!(slope.abs() <= 2.5 + 1e-9);
        }
    }

    #[test]
    fn nothing_to_do_starts_nothing() {
        let ride = Ride::plan(&needs(&[(0.0, 0.0), (5.0, 0.0)]), 3.0, 1.0).unwrap();
        assert_eq!((ride.iris_starts_s, ride.hand_opens_s, ride.back_s), (None, None, 0.0));
        assert_eq!(ride.least_rate, Some(0.0));
        assert_eq!(Ride::plan(&[], 3.0, 1.0), None);
        // a step at the strike itself cannot be met from there
        let step = needs(&[(0.0, 0.0), (0.0, 2.0), (3.0, 0.0)]);
        assert_eq!(Ride::plan(&step, 3.0, 1.0).unwrap().least_rate, None);
    }
}
