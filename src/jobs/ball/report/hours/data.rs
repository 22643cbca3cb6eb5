//! Hours and places as JSON: `quarterstop.ball-hours/2`.
//!
//! In: a venue and a [`Comparison`]. Out: one object, units in the keys, absent values
//! `null`. Keys may be added under the same number; a change of meaning gets the next.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::ball::{
    BallHour, BallPenaltyPart, BallPenaltyParts, Comparison, ShotScore, SiteHours,
};
use crate::output::air::AirOut;
use crate::output::json::JsonError;
use crate::output::words;
use crate::venue::Venue;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.ball-hours/2";

/// Rides of a hole's shots over the hours of a day, from one camera or several places.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop ball hours")]
pub struct BallHoursFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Program and version.
    pub written_by: &'static str,
    pub venue: String,
    /// YYYY-MM-DD in the venue's zone.
    pub date: String,
    /// "clear", "cumulus", "thin", "broken" or "overcast".
    pub sky: &'static str,
    pub air: AirOut,
    /// "golf", "football", "rugby", "cricket" or "tennis".
    pub ball: &'static str,
    /// That the iris does.
    pub rate_stops_per_s: f64,
    /// Times over its threshold that the ball's contrast has to be.
    pub visibility: f64,
    /// What each part of penalty is multiplied by.
    pub weights: PartsOut,
    /// Names of the shots, in the order of `shots` below.
    pub shots: Vec<String>,
    /// The lowest mean penalty first.
    pub places: Vec<PlaceOut>,
}

/// Parts of penalty, or their weights.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PartsOut {
    /// Stops to close for the background.
    pub close: f64,
    /// How much faster than it can the iris would have to be, 0 to 3.
    pub rate: f64,
    /// Stops that blacks are crushed by when the ball is down.
    pub landing: f64,
    /// Share of the flight with too little contrast.
    pub unseen: f64,
    /// Share of the flight behind something.
    pub hidden: f64,
    /// Share of the flight with the sun in frame, sway counted.
    pub sun_in_frame: f64,
    /// Share of the flight with the sun on the front element, not in frame.
    pub sun_near: f64,
}

/// A camera, or a place of a candidate.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlaceOut {
    pub name: String,
    /// `null` for a camera that is there now.
    pub candidate: Option<String>,
    /// `[along, across, up]`, field axes.
    pub at_m: [f64; 3],
    pub horizontal_fov_deg: f64,
    pub sway_m: f64,
    pub sway_deg: f64,
    /// Over the hours.
    pub mean_penalty: f64,
    /// The same under its earlier name.
    pub mean_trouble: f64,
    /// Times of the hours, the lowest penalty first, RFC 3339.
    pub best_first: Vec<String>,
    /// In order of time.
    pub hours: Vec<HourOut>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct HourOut {
    /// RFC 3339.
    pub time: String,
    pub sun_azimuth_deg: f64,
    /// Apparent.
    pub sun_apparent_elevation_deg: f64,
    /// Sum of the parts by their weights.
    pub penalty: f64,
    /// The same under its earlier name.
    pub trouble: f64,
    /// Mean over the shots.
    pub parts: PartsOut,
    pub shots: Vec<ShotOut>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct ShotOut {
    pub parts: PartsOut,
    /// With which a ride from the strike on does it all; null where none does.
    pub least_rate_stops_per_s: Option<f64>,
    /// Since the strike; null where nothing is to close.
    pub hand_starts_s: Option<f64>,
    pub left_at_landing_stops: f64,
}

/// JSON Schema (draft 2020-12) of the file.
pub fn schema() -> serde_json::Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    settings.into_generator().into_root_schema_for::<BallHoursFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// [`JsonError`] where the writer refuses.
pub fn write(venue: &Venue, found: &Comparison) -> Result<Vec<u8>, JsonError> {
    let mut weights = BallPenaltyParts::default();
    BallPenaltyPart::ALL.iter().for_each(|part| weights.set(*part, found.weights.get(*part)));
    let ranked = found.ranked();
    let file = BallHoursFile {
        format: FORMAT,
        written_by: concat!("quarterstop ", env!("CARGO_PKG_VERSION")),
        venue: venue.title.clone(),
        date: found.date.to_string(),
        sky: words::sky(found.settings.sky),
        air: AirOut::of(&found.settings.air),
        ball: found.settings.ball.kind.word(),
        rate_stops_per_s: found.settings.rate,
        visibility: found.settings.visibility,
        weights: parts(&weights),
        shots: found.shots.clone(),
        places: ranked.iter().map(|i| place(venue, &found.sites[*i])).collect(),
    };
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn parts(parts: &BallPenaltyParts) -> PartsOut {
    PartsOut {
        close: parts.get(BallPenaltyPart::Close),
        rate: parts.get(BallPenaltyPart::Rate),
        landing: parts.get(BallPenaltyPart::Landing),
        unseen: parts.get(BallPenaltyPart::Unseen),
        hidden: parts.get(BallPenaltyPart::Hidden),
        sun_in_frame: parts.get(BallPenaltyPart::SunInFrame),
        sun_near: parts.get(BallPenaltyPart::SunNear),
    }
}

fn place(venue: &Venue, site: &SiteHours) -> PlaceOut {
    let post = &site.site.post;
    let at = venue.field.frame.to_field(post.at);
    let candidate = site.site.candidate.and_then(|c| venue.candidates.get(c));
    let time = |i: usize| words::local_time(site.hours[i].at);
    PlaceOut {
        name: post.name.clone(),
        candidate: candidate.map(|c| c.name.clone()),
        at_m: [at.along_m, at.across_m, at.up_m],
        horizontal_fov_deg: post.horizontal_fov_deg,
        sway_m: post.sway.metres,
        sway_deg: post.sway.degrees,
        mean_penalty: site.mean(),
        mean_trouble: site.mean(),
        best_first: site.ranked().into_iter().map(time).collect(),
        hours: site.hours.iter().map(hour).collect(),
    }
}

fn hour(hour: &BallHour) -> HourOut {
    HourOut {
        time: words::local_time(hour.at),
        sun_azimuth_deg: hour.sun.0.degrees(),
        sun_apparent_elevation_deg: hour.sun.1.degrees(),
        penalty: hour.penalty,
        trouble: hour.penalty,
        parts: parts(&hour.parts),
        shots: hour.shots.iter().map(shot).collect(),
    }
}

fn shot(shot: &ShotScore) -> ShotOut {
    ShotOut {
        parts: parts(&shot.parts),
        least_rate_stops_per_s: shot.least_rate,
        hand_starts_s: shot.hand_starts_s,
        left_at_landing_stops: shot.left_at_landing,
    }
}
