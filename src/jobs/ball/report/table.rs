//! A ball and its ride as CSV: one row a look.
//!
//! In: a venue and a [`BallPlan`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header
//! row).

use crate::base::frame::FieldPoint;
use crate::jobs::ball::physics::Ride;
use crate::jobs::ball::{BallLook, BallPlan};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::venue::Venue;

use super::{thing, word};

/// A look and where it stands in the flight.
struct Row<'a> {
    venue: &'a Venue,
    plan: &'a BallPlan,
    index: usize,
    look: &'a BallLook,
}

impl Row<'_> {
    fn at(&self) -> FieldPoint {
        self.venue.field.frame.to_field(self.look.at)
    }

    fn ride(&self, ride: &Option<Ride>) -> Option<f64> {
        ride.as_ref().and_then(|r| r.points.get(self.index)).map(|p| p.stops)
    }
}

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let mut list = of_look();
    list.extend(of_light());
    list
}

/// Where ball and camera are.
fn of_look<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        number("t_s", ("s", 3), "since the strike", |r: &Row<'a>| Some(r.look.t_s)),
        number("along_m", ("m", 2), "of the ball, in the field's axes", |r: &Row<'a>| {
            Some(r.at().along_m)
        }),
        number("across_m", ("m", 2), "of the ball", |r: &Row<'a>| Some(r.at().across_m)),
        number("up_m", ("m", 2), "of the ball", |r: &Row<'a>| Some(r.at().up_m)),
        number("distance_m", ("m", 2), "from the camera", |r: &Row<'a>| Some(r.look.distance_m)),
        number(
            "pan_deg",
            ("degree", 3),
            "of the camera's axis, clockwise from true north",
            |r: &Row<'a>| Some(r.look.pan.degrees()),
        ),
        number(
            "tilt_deg",
            ("degree", 3),
            "of the camera's axis, over the horizon",
            |r: &Row<'a>| Some(r.look.tilt.degrees()),
        ),
        number("turn_deg_per_s", ("degree/s", 2), "how fast the axis turns", |r: &Row<'a>| {
            Some(r.look.turn_deg_per_s)
        }),
        number(
            "pan_deg_per_s",
            ("degree/s", 2),
            "how fast the pan head turns, positive to the right",
            |r: &Row<'a>| Some(r.look.pan_deg_per_s),
        ),
        number(
            "tilt_deg_per_s",
            ("degree/s", 2),
            "the same for tilt, positive up",
            |r: &Row<'a>| Some(r.look.tilt_deg_per_s),
        ),
        number("size_deg", ("degree", 4), "of the ball from the camera", |r: &Row<'a>| {
            Some(r.look.size_deg)
        }),
        number(
            "share_of_width",
            ("0 to 1", 6),
            "of the ball, of the picture's width",
            |r: &Row<'a>| Some(r.look.share_of_width),
        ),
        text("behind", "word", "what is behind the ball", |r: &Row<'a>| {
            word(r.look.behind).to_owned()
        }),
        text("thing", "name", "what that is called in the venue file", |r: &Row<'a>| {
            thing(r.venue, r.look.behind).unwrap_or_default().to_owned()
        }),
        text(
            "hidden_by",
            "name",
            "what hides the ball from the camera; the ground where it rises between",
            |r: &Row<'a>| r.look.hidden_by.map_or(String::new(), |by| by.name(r.venue).to_owned()),
        ),
    ]
}

/// What is behind the ball, and the ride of the iris.
fn of_light<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        number("background_cd_per_m2", ("cd/m2", 1), "of what is behind", |r: &Row<'a>| {
            Some(r.look.background.cd_per_m2())
        }),
        number("ball_cd_per_m2", ("cd/m2", 1), "of the ball, mean over its disc", |r: &Row<'a>| {
            Some(r.look.ball.cd_per_m2())
        }),
        number(
            "ball_in_sun",
            ("0 to 1", 2),
            "direct light that reaches the ball; empty without direct sun",
            |r: &Row<'a>| r.look.ball_in_sun,
        ),
        number(
            "level_stops",
            ("stop", 3),
            "closed against the strike, with this background on level",
            |r: &Row<'a>| r.plan.rides.level.get(r.index).map(|n| n.stops),
        ),
        number(
            "ride_stops",
            ("stop", 3),
            "closed against the strike, in the ride for the background",
            |r: &Row<'a>| r.ride(&r.plan.rides.background),
        ),
        number(
            "visible_stops",
            ("stop", 3),
            "least closed with which the ball is seen; empty where none does",
            |r: &Row<'a>| r.plan.rides.visible.get(r.index).copied().flatten(),
        ),
        number(
            "ball_ride_stops",
            ("stop", 3),
            "closed, in the ride for the ball alone",
            |r: &Row<'a>| r.ride(&r.plan.rides.ball_only),
        ),
        number(
            "contrast_on_level",
            ("ratio", 4),
            "of the ball on the screen with its background on level",
            |r: &Row<'a>| r.plan.rides.contrast_on_level.get(r.index).copied(),
        ),
        number("needed_contrast", ("ratio", 4), "for the ball to be seen there", |r: &Row<'a>| {
            r.plan.rides.needed_contrast.get(r.index).copied()
        }),
        number(
            "sun_off_axis_deg",
            ("degree", 2),
            "between axis and sun; empty where it does not reach the lens",
            |r: &Row<'a>| r.look.sun_off_axis_deg,
        ),
        number(
            "sun_in_frame",
            ("0 or 1", 0),
            "whether the sun is in the picture",
            |r: &Row<'a>| Some(f64::from(u8::from(r.look.sun_in_frame))),
        ),
    ]
}

/// Its columns.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses.
pub fn csv(venue: &Venue, plan: &BallPlan) -> Result<Vec<u8>, CsvError> {
    let rows = plan.looks.iter().enumerate();
    table::csv(&of_row(), rows.map(|(index, look)| Row { venue, plan, index, look }))
}
