//! A ball and its ride as JSON: `quarterstop.ball/2`.
//!
//! In: a venue, a [`BallPlan`], how the ball was struck. Out: one object, units in the
//! keys, absent values `null`. Keys may be added under the same number; a change of
//! meaning gets the next.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::ball::physics::Ride;
use crate::jobs::ball::{BackdropSpan, BallPlan, SwayEffect};
use crate::output::air::AirOut;
use crate::output::json::JsonError;
use crate::output::words;
use crate::venue::Venue;

use super::{name, thing, word};

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.ball/2";

/// A ball in the air and the ride of the iris.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop ball")]
pub struct BallFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Program and version.
    pub written_by: &'static str,
    pub venue: String,
    pub camera: String,
    /// While it follows the ball.
    pub horizontal_fov_deg: f64,
    /// Of the strike, RFC 3339.
    pub time: String,
    /// "clear", "cumulus", "thin", "broken" or "overcast".
    pub sky: &'static str,
    pub air: AirOut,
    pub sun_azimuth_deg: f64,
    /// Apparent.
    pub sun_apparent_elevation_deg: f64,
    pub flight: FlightOut,
    /// Fastest turn of the camera's axis, and when.
    pub fastest_turn_deg_per_s: Option<f64>,
    pub fastest_turn_s: Option<f64>,
    /// What is behind the ball, in order of time without gaps.
    pub behind: Vec<BehindOut>,
    /// Keeps the background on level.
    pub ride_for_background: Option<RideOut>,
    /// Only keeps the ball to be seen.
    pub ride_for_ball: Option<RideOut>,
    pub nd_stops: f64,
    pub t_at_strike: Option<f64>,
    pub t_most_closed: Option<f64>,
    /// How much more than the landing needs the iris may be closed before the darkest kit
    /// loses its detail.
    pub black_room_stops: f64,
    /// First and last time with the sun in frame.
    pub sun_in_frame_s: Option<[f64; 2]>,
    /// What the sway of what the camera stands on does; null where nothing sways.
    pub sway: Option<SwayOut>,
    /// Sky is set so far under white.
    pub sky_under_white_stops: f64,
    /// Times over its threshold that the ball's contrast has to be.
    pub visibility: f64,
}

/// The ball's flight.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FlightOut {
    /// "golf", "football", "rugby", "cricket" or "tennis".
    pub ball: &'static str,
    pub speed_m_per_s: f64,
    pub lasts_s: f64,
    pub carry_m: f64,
    pub apex_m: f64,
    pub apex_s: f64,
    pub lands_at_deg: f64,
    /// In the field's axes: along, across, up.
    pub from_m: [f64; 3],
    pub to_m: [f64; 3],
    /// What it flies into.
    pub stopped_by: Option<String>,
}

/// Sway to either side, and least and most of the ride over it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SwayOut {
    pub sway_m: f64,
    pub sway_deg: f64,
    pub hand_starts_s: Option<[f64; 2]>,
    pub most_stops: [f64; 2],
    pub back_s: [f64; 2],
    /// Changes of the background come so much sooner or later; null where other backgrounds
    /// come.
    pub changes_by_s: Option<f64>,
    /// The ball is off the middle by so much of half the picture's width.
    pub off_middle_share: f64,
}

/// One background over some time.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BehindOut {
    pub from_s: f64,
    pub until_s: f64,
    /// "turf_in_sun", "turf_in_shade", "ground_in_sun", "ground_in_shade", "thing_in_sun",
    /// "thing_in_shade", "through", "land" or "sky".
    pub behind: &'static str,
    pub thing: Option<String>,
    /// "the ground" where it rises between.
    pub hidden_by: Option<String>,
    pub darkest_cd_per_m2: f64,
    pub brightest_cd_per_m2: f64,
}

/// A ride. Times are since the strike, negative before it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RideOut {
    pub rate_stops_per_s: f64,
    pub delay_s: f64,
    pub hand_starts_s: Option<f64>,
    pub iris_starts_s: Option<f64>,
    /// Most closed against the strike, and when.
    pub most_stops: f64,
    pub most_s: f64,
    pub hand_opens_s: Option<f64>,
    pub back_s: f64,
    pub left_at_landing_stops: f64,
    /// With which a ride that starts at the strike does it all; null where none does.
    pub least_rate_stops_per_s: Option<f64>,
}

/// JSON Schema (draft 2020-12) of the file.
pub fn schema() -> serde_json::Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    settings.into_generator().into_root_schema_for::<BallFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// [`JsonError`] where the writer refuses.
pub fn write(venue: &Venue, plan: &BallPlan) -> Result<Vec<u8>, JsonError> {
    let mut bytes = serde_json::to_vec(&file(venue, plan))?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn file(venue: &Venue, plan: &BallPlan) -> BallFile {
    let fastest = plan.fastest();
    let rides = &plan.rides;
    BallFile {
        format: FORMAT,
        written_by: concat!("quarterstop ", env!("CARGO_PKG_VERSION")),
        venue: venue.title.clone(),
        camera: plan.post.name.clone(),
        horizontal_fov_deg: plan.post.horizontal_fov_deg,
        time: words::local_time(plan.at),
        sky: words::sky(plan.sky),
        air: AirOut::of(&plan.air),
        sun_azimuth_deg: plan.sun.azimuth.degrees(),
        sun_apparent_elevation_deg: plan.sun.apparent_elevation.degrees(),
        flight: flight(venue, plan),
        fastest_turn_deg_per_s: fastest.map(|l| l.turn_deg_per_s),
        fastest_turn_s: fastest.map(|l| l.t_s),
        behind: plan.stretches().iter().map(|s| behind(venue, s)).collect(),
        ride_for_background: rides.background.as_ref().map(ride),
        ride_for_ball: rides.ball_only.as_ref().map(ride),
        nd_stops: rides.setting.nd_stops,
        t_at_strike: rides.setting.t_at_strike,
        t_most_closed: rides.setting.t_most_closed,
        sway: plan.sway.as_ref().map(|effect| sway(plan, effect)),
        black_room_stops: rides.black_room_stops,
        sun_in_frame_s: plan.sun_in_frame().map(|(from, until)| [from, until]),
        sky_under_white_stops: plan.sky_under_stops,
        visibility: plan.visibility,
    }
}

fn flight(venue: &Venue, plan: &BallPlan) -> FlightOut {
    let (flight, frame) = (&plan.flight, venue.field.frame);
    let place = |t: f64| {
        let at = frame.to_field(flight.at(t).at);
        [at.along_m, at.across_m, at.up_m]
    };
    let apex = flight.apex();
    FlightOut {
        ball: plan.ball.kind.word(),
        speed_m_per_s: flight.at(0.0).velocity.length(),
        lasts_s: flight.lasts_s(),
        carry_m: flight.carry_m(),
        apex_m: apex.at.z,
        apex_s: apex.t_s,
        lands_at_deg: flight.lands_at_deg(),
        from_m: place(0.0),
        to_m: place(flight.lasts_s()),
        stopped_by: plan.stopped_by.and_then(|by| name(venue, by)).map(str::to_owned),
    }
}

fn sway(plan: &BallPlan, effect: &SwayEffect) -> SwayOut {
    let pair = |(low, high): (f64, f64)| [low, high];
    SwayOut {
        sway_m: plan.post.sway.metres,
        sway_deg: plan.post.sway.degrees,
        hand_starts_s: effect.hand_starts_s.map(pair),
        most_stops: pair(effect.most_stops),
        back_s: pair(effect.back_s),
        changes_by_s: effect.changes_by_s,
        off_middle_share: effect.off_middle_share,
    }
}

fn behind(venue: &Venue, stretch: &BackdropSpan) -> BehindOut {
    BehindOut {
        from_s: stretch.from_s,
        until_s: stretch.until_s,
        behind: word(stretch.behind),
        thing: thing(venue, stretch.behind).map(str::to_owned),
        hidden_by: stretch.hidden_by.map(|by| by.name(venue).to_owned()),
        darkest_cd_per_m2: stretch.background.0.cd_per_m2(),
        brightest_cd_per_m2: stretch.background.1.cd_per_m2(),
    }
}

fn ride(ride: &Ride) -> RideOut {
    RideOut {
        rate_stops_per_s: ride.rate_stops_per_s,
        delay_s: ride.delay_s,
        hand_starts_s: ride.hand_starts_s,
        iris_starts_s: ride.iris_starts_s,
        most_stops: ride.most.stops,
        most_s: ride.most.t_s,
        hand_opens_s: ride.hand_opens_s,
        back_s: ride.back_s,
        left_at_landing_stops: ride.left_at_landing,
        least_rate_stops_per_s: ride.least_rate,
    }
}
