//! What is the same in two venues, for work that a change does not touch.

use chrono::NaiveDate;

use super::{Body, CameraPost, Field, Venue};

impl Venue {
    /// Whether all that throws shadows, hides the sky and gives light back, and the ground
    /// itself, is on a date what it is in another venue on another date.
    pub fn stands_as(&self, date: NaiveDate, (other, on): (&Self, NaiveDate)) -> bool {
        let bodies = |venue: &Self| venue.occluders.iter().map(|o| o.bodies.len()).sum::<usize>();
        let mine = self.occluders.iter().flat_map(|o| &o.bodies);
        let theirs = other.occluders.iter().flat_map(|o| &o.bodies);
        self.field.lies_as(&other.field)
            && bodies(self) == bodies(other)
            && mine.zip(theirs).all(|(a, b)| a.stands_as(date, (b, on)))
    }
}

impl Field {
    /// Whether the ground itself lies and is made as in another venue.
    pub fn lies_as(&self, other: &Self) -> bool {
        let ground = |field: &Self| {
            (
                field.surface,
                field.surface_reflectance,
                field.surrounds_surface,
                field.surrounds_reflectance,
            )
        };
        self.frame == other.frame
            && self.outline == other.outline
            && self.playing_area == other.playing_area
            && self.surrounds == other.surrounds
            && ground(self) == ground(other)
    }
}

impl Body {
    fn stands_as(&self, date: NaiveDate, (other, on): (&Self, NaiveDate)) -> bool {
        self.part == other.part
            && self.shape == other.shape
            && self.passes.on(date) == other.passes.on(on)
            && self.reflectance == other.reflectance
            && self.scatters == other.scatters
    }
}

impl CameraPost {
    /// Whether it shows what another one shows, however it exposes it.
    pub fn sees_as(&self, other: &Self) -> bool {
        let view = |post: &Self| {
            (post.at, post.horizontal_fov_deg, post.aspect, post.floodlight.map(|lux| lux.lux()))
        };
        view(self) == view(other) && self.aims == other.aims
    }
}
