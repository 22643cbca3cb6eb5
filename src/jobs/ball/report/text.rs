//! A ball and its ride as the command prints it.

use std::fmt::Write;

use crate::jobs::ball::physics::Ride;
use crate::jobs::ball::{BackdropSpan, BallPlan, SwayEffect, SwayRange};
use crate::output::text::{Ink, fit, wrapped};
use crate::output::words::nd_in_full;
use crate::venue::Venue;

use super::name;

/// Pixels of a picture line that sizes are told in (ITU-R BT.709).
const LINE_PX: f64 = 1920.0;

/// Flight, camera, backgrounds, rides, sun. `struck` says how the ball was struck.
pub fn text(venue: &Venue, plan: &BallPlan, struck: &str, ink: Ink) -> String {
    let mut text = heading(ink, &format!("The ball: {}", plan.ball.kind.word()));
    text += &wrapped("  ", struck);
    text += &wrapped("  ", &flight(venue, plan));
    text += &heading(ink, &format!("Camera {}", plan.post.name));
    text += &wrapped("  ", &camera(plan));
    text += &wrapped("  ", &sun(plan));
    if let Some(effect) = &plan.sway {
        text += &wrapped("  ", &sway(plan, effect));
    }
    text += &heading(ink, "Behind the ball");
    for stretch in plan.stretches() {
        text += &wrapped("  ", &behind(venue, &stretch));
    }
    text += &heading(ink, "The ride");
    if let Some(ride) = &plan.rides.background {
        text += &wrapped("  ", &format!("Background on level: {}", ride_text(plan, ride)));
    }
    if let Some(ride) = &plan.rides.ball_only {
        text += &wrapped("  ", &format!("Ball to be seen: {}", for_ball(plan, ride)));
    }
    text += &wrapped("  ", &lens(plan));
    text
}

fn heading(ink: Ink, text: &str) -> String {
    ink.heading(&fit(text, 80)) + "\n"
}

fn flight(venue: &Venue, plan: &BallPlan) -> String {
    let (flight, apex) = (&plan.flight, plan.flight.apex());
    let mut text = format!(
        "In the air for {:.1} s over {:.0} m, highest {:.1} m at {:.1} s",
        flight.lasts_s(),
        flight.carry_m(),
        apex.at.z,
        apex.t_s
    );
    let _ = match plan.stopped_by.and_then(|by| name(venue, by)) {
        Some(thing) => write!(text, "; then it meets {thing}."),
        None => write!(text, "; it comes down at {:.0} degrees.", flight.lands_at_deg()),
    };
    text
}

fn camera(plan: &BallPlan) -> String {
    let range = |of: fn(&crate::jobs::ball::BallLook) -> f64| {
        let values = plan.looks.iter().map(of);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)))
    };
    let tilt = range(|l| l.tilt.degrees());
    let px = range(|l| l.share_of_width * LINE_PX);
    let pans = crate::jobs::ball::pans(&plan.looks);
    let (from, to) = (pans.first().copied().unwrap_or(0.0), pans.last().copied().unwrap_or(0.0));
    let side = if to >= from { "right" } else { "left" };
    let mut text = format!(
        "Pans {:.0} degrees to the {side}, tilts from {:.0} to {:.0} degrees",
        (to - from).abs(),
        tilt.0,
        tilt.1
    );
    if let Some(fastest) = plan.fastest() {
        let _ = write!(
            text,
            ", turns by up to {:.0} degrees a second (at {:.1} s)",
            fastest.turn_deg_per_s, fastest.t_s
        );
    }
    let _ = write!(
        text,
        ". {:.1} degrees wide, the ball is {:.1} to {:.1} pixels of {LINE_PX:.0}.",
        plan.post.horizontal_fov_deg, px.0, px.1
    );
    text
}

fn sun(plan: &BallPlan) -> String {
    let near = plan.sun_on_element();
    match (plan.sun_in_frame(), near) {
        (Some((from, until)), _) => format!(
            "CAUTION: the sun is in frame from {from:.1} to {until:.1} s. Do not follow the ball \
             there; never look at the sun through a viewfinder or lens."
        ),
        (None, Some((look, off))) => format!(
            "CAUTION: the sun comes within {off:.0} degrees of the axis (at {:.1} s) and may reach \
             the front element: veiling flare, and no eye at an optical sight.",
            look.t_s
        ),
        (None, None) => "The sun does not reach the front element on the way.".to_owned(),
    }
}

fn sway(plan: &BallPlan, effect: &SwayEffect) -> String {
    let sway = plan.post.sway;
    let mut text = format!(
        "Sway of {:.2} m and {:.1} degrees each way: the ball is off the middle by up to {:.0} % of \
         half the picture's width",
        sway.metres,
        sway.degrees,
        100.0 * effect.off_middle_share
    );
    let _ = match effect.changes_by_s {
        Some(by) => write!(text, ", backgrounds change up to {by:.2} s sooner or later"),
        None => write!(text, ", other backgrounds come behind the ball"),
    };
    let _ = write!(text, ", the ride closes by {} stops", between(effect.most_stops));
    if let Some(starts) = effect.hand_starts_s {
        let _ = write!(text, " and the hand begins at {} s", between(starts));
    }
    text + "."
}

/// "2.2 to 2.4", or "2.2" where both read the same.
fn between((low, high): SwayRange) -> String {
    let (low, high) = (format!("{low:.1}"), format!("{high:.1}"));
    if low == high { low } else { format!("{low} to {high}") }
}

fn behind(venue: &Venue, s: &BackdropSpan) -> String {
    let (low, high) = (s.background.0.cd_per_m2(), s.background.1.cd_per_m2());
    let mut text = format!("{:.2} to {:.2} s: {}", s.from_s, s.until_s, s.behind.words(venue));
    let _ = match high > 1.02 * low {
        true => write!(text, ", {low:.0} to {high:.0} cd/m2"),
        false => write!(text, ", {high:.0} cd/m2"),
    };
    if let Some(thing) = s.hidden_by.map(|by| by.name(venue)) {
        let _ = write!(text, "; the ball is hidden by {thing}");
    }
    text
}

/// "2.1 s before the strike" or "at 0.4 s".
fn when(t: f64) -> String {
    match t < -0.05 {
        true => format!("{:.1} s before the strike", -t),
        false => format!("at {:.1} s", t.max(0.0)),
    }
}

fn ride_text(plan: &BallPlan, ride: &Ride) -> String {
    let (Some(hand), Some(iris)) = (ride.hand_starts_s, ride.iris_starts_s) else {
        return "no closing is needed.".to_owned();
    };
    let mut text = format!(
        "close by {:.1} stops. With {:.1} stops a second and {:.1} s of delay the hand begins {} \
         (the iris {}), the iris is there {}",
        ride.most.stops,
        ride.rate_stops_per_s,
        ride.delay_s,
        when(hand),
        when(iris),
        when(ride.most.t_s)
    );
    text += &match ride.hand_opens_s {
        Some(opens) => {
            format!(" and the hand begins to open {}. {}", when(opens), landing(plan, ride))
        }
        None => ". The landing needs about as much.".to_owned(),
    };
    text += " ";
    text += &match ride.least_rate {
        Some(rate) => {
            format!("Starting at the strike needs {rate:.1} stops/s.")
        }
        None => "No iris does all of it from the strike on.".to_owned(),
    };
    text
}

fn landing(plan: &BallPlan, ride: &Ride) -> String {
    let (left, room) = (ride.left_at_landing, plan.rides.black_room_stops);
    if left <= 0.05 {
        return format!("It is back {}, before the ball is down.", when(ride.back_s));
    }
    let blacks = match left > room {
        true => format!("blacks crushed, {room:.1} stops spare"),
        false => format!("blacks not crushed, {room:.1} stops spare"),
    };
    format!(
        "When the ball is down the picture is still {left:.1} stops too dark until {:.1} s: {blacks}.",
        ride.back_s
    )
}

fn for_ball(plan: &BallPlan, ride: &Ride) -> String {
    let mut text = match ride.hand_starts_s {
        None => "the setting at the strike shows it wherever any does.".to_owned(),
        Some(hand) => format!(
            "close by {:.1} stops, the hand begins {}, back {}.",
            ride.most.stops,
            when(hand),
            when(ride.back_s)
        ),
    };
    let lost: Vec<String> =
        lost(plan).iter().map(|(from, until)| format!("{from:.1} to {until:.1} s")).collect();
    if !lost.is_empty() {
        let _ = write!(text, " No setting shows it from {}.", lost.join(", "));
    }
    text
}

/// Times at which no setting shows the ball though nothing hides it.
fn lost(plan: &BallPlan) -> Vec<(f64, f64)> {
    let mut all: Vec<(f64, f64)> = Vec::new();
    let mut open = false;
    for (look, least) in plan.looks.iter().zip(&plan.rides.visible) {
        let lost = least.is_none() && look.hidden_by.is_none();
        match (lost, open, all.last_mut()) {
            (true, true, Some(last)) => last.1 = look.t_s,
            (true, ..) => all.push((look.t_s, look.t_s)),
            _ => {}
        }
        open = lost;
    }
    all
}

fn lens(plan: &BallPlan) -> String {
    let s = &plan.rides.setting;
    let (Some(at), Some(closed)) = (s.t_at_strike, s.t_most_closed) else {
        return "There is no light to set for.".to_owned();
    };
    let nd = if s.nd_stops > 0.0 { nd_in_full(s.nd_stops) } else { "no ND".into() };
    let mut text = format!("With {nd}: T{at:.1} at the strike, T{closed:.1} at the most");
    if s.runs_out() {
        let _ = write!(text, ", which is more than the lens closes (T{:.0})", s.narrowest_t);
    }
    text + "."
}
