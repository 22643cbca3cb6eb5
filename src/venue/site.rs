//! A site: several fields at one place, each a venue, and the order of play of its day.
//!
//! Every venue has all that stands on the site among its occluders, in its own local frame, so
//! no later stage has to know of sites.

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;
use glam::DVec3;

use super::model::Venue;

/// Several fields at one place.
#[derive(Debug, Clone)]
pub struct Site {
    pub title: String,
    /// One or more, in the order of the file.
    pub fields: Vec<SiteField>,
    /// What is played when, if the file says.
    pub order: Option<Order>,
}

/// A field of a site.
#[derive(Debug, Clone)]
pub struct SiteField {
    pub name: String,
    /// Its centre over the origin of the site: x east, y north, z up, metres.
    pub at: DVec3,
    /// The field with all that stands on the site around it. Its fixture and moments are
    /// those of the order of play, where there is one.
    pub venue: Venue,
    /// Names of cameras of the site that serve it; they are among those of the venue.
    pub served_by: Vec<String>,
}

/// A day's order of play.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    pub date: NaiveDate,
    /// In order of time.
    pub plays: Vec<SiteMatch>,
    /// In order of time, without overlap.
    pub on_air: Vec<OnAir>,
}

/// A match.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteMatch {
    pub name: String,
    /// Index of [`Site::fields`].
    pub field: usize,
    pub from: DateTime<Tz>,
    /// By its expected length.
    pub until: DateTime<Tz>,
    /// Whether it waits for the match before on its field, so that it moves with that.
    pub follows: bool,
}

/// A stretch in which a field is on air.
#[derive(Debug, Clone, PartialEq)]
pub struct OnAir {
    /// Index of [`Site::fields`].
    pub field: usize,
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
}

impl Site {
    /// The cameras of the site that serve more than one field: name, indices of the fields.
    pub fn shared_cameras(&self) -> Vec<(&str, Vec<usize>)> {
        let mut all: Vec<(&str, Vec<usize>)> = Vec::new();
        for (index, field) in self.fields.iter().enumerate() {
            for name in &field.served_by {
                match all.iter_mut().find(|(known, _)| known == name) {
                    Some((_, fields)) => fields.push(index),
                    None => all.push((name, vec![index])),
                }
            }
        }
        all.retain(|(_, fields)| fields.len() > 1);
        all
    }
}

/// What a file of the ground holds.
#[derive(Debug, Clone)]
pub enum VenueOrSite {
    One(Box<Venue>),
    Site(Site),
}
