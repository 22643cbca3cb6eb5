//! A ball and its ride as CSV: one row a look.
//!
//! In: a venue and a [`BallPlan`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header
//! row).

use crate::jobs::ball::{BallPlan, Look};
use crate::output::csv::{CsvError, cells};
use crate::output::words::fixed;
use crate::venue::Venue;

use super::{thing, word};

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 26] = [
    ("t_s", "s", "since the strike"),
    ("along_m", "m", "of the ball, in the field's axes"),
    ("across_m", "m", "of the ball"),
    ("up_m", "m", "of the ball"),
    ("distance_m", "m", "from the camera"),
    ("pan_deg", "degree", "of the camera's axis, clockwise from true north"),
    ("tilt_deg", "degree", "of the camera's axis, over the horizon"),
    ("turn_deg_per_s", "degree/s", "how fast the axis turns"),
    ("pan_deg_per_s", "degree/s", "how fast the pan head turns, positive to the right"),
    ("tilt_deg_per_s", "degree/s", "the same for tilt, positive up"),
    ("size_deg", "degree", "of the ball from the camera"),
    ("share_of_width", "0 to 1", "of the ball, of the picture's width"),
    ("behind", "word", "what is behind the ball"),
    ("thing", "name", "what that is called in the venue file"),
    ("hidden_by", "name", "what hides the ball from the camera; the ground where it rises between"),
    ("background_cd_per_m2", "cd/m2", "of what is behind"),
    ("ball_cd_per_m2", "cd/m2", "of the ball, mean over its disc"),
    ("ball_in_sun", "0 to 1", "direct light that reaches the ball; empty without direct sun"),
    ("level_stops", "stop", "closed against the strike, with this background on level"),
    ("ride_stops", "stop", "closed against the strike, in the ride for the background"),
    ("visible_stops", "stop", "least closed with which the ball is seen; empty where none does"),
    ("ball_ride_stops", "stop", "closed, in the ride for the ball alone"),
    ("contrast_on_level", "ratio", "of the ball on the screen with its background on level"),
    ("needed_contrast", "ratio", "for the ball to be seen there"),
    ("sun_off_axis_deg", "degree", "between axis and sun; empty where it does not reach the lens"),
    ("sun_in_frame", "0 or 1", "whether the sun is in the picture"),
];

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses.
pub fn csv(venue: &Venue, plan: &BallPlan) -> Result<Vec<u8>, CsvError> {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(COLUMNS.map(|c| c.0))?;
    for (i, look) in plan.looks.iter().enumerate() {
        writer.write_record(cells::row(row(venue, plan, i, look)))?;
    }
    writer.into_inner().map_err(|e| CsvError::from(csv::Error::from(e.into_error())))
}

fn row(venue: &Venue, plan: &BallPlan, i: usize, look: &Look) -> [String; 26] {
    let at = venue.field.frame.to_field(look.at);
    let rides = &plan.rides;
    let or_empty =
        |value: Option<f64>, digits| value.map_or_else(String::new, |v| fixed(v, digits));
    let ride = |ride: &Option<crate::jobs::ball::physics::Ride>| {
        or_empty(ride.as_ref().and_then(|r| r.points.get(i)).map(|p| p.stops), 3)
    };
    [
        fixed(look.t_s, 3),
        fixed(at.along_m, 2),
        fixed(at.across_m, 2),
        fixed(at.up_m, 2),
        fixed(look.distance_m, 2),
        fixed(look.pan.degrees(), 3),
        fixed(look.tilt.degrees(), 3),
        fixed(look.turn_deg_per_s, 2),
        fixed(look.pan_deg_per_s, 2),
        fixed(look.tilt_deg_per_s, 2),
        fixed(look.size_deg, 4),
        fixed(look.share_of_width, 6),
        word(look.behind).to_owned(),
        thing(venue, look.behind).unwrap_or_default().to_owned(),
        look.hidden_by.map_or(String::new(), |by| by.name(venue).to_owned()),
        fixed(look.background.cd_per_m2(), 1),
        fixed(look.ball.cd_per_m2(), 1),
        or_empty(look.ball_in_sun, 2),
        or_empty(rides.level.get(i).map(|n| n.stops), 3),
        ride(&rides.background),
        or_empty(rides.visible.get(i).copied().flatten(), 3),
        ride(&rides.ball_only),
        or_empty(rides.contrast_on_level.get(i).copied(), 4),
        or_empty(rides.needed_contrast.get(i).copied(), 4),
        or_empty(look.sun_off_axis_deg, 2),
        if look.sun_in_frame { "1" } else { "0" }.to_owned(),
    ]
}
