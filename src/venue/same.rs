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
            && self.lies_on_same_relief(other)
            && bodies(self) == bodies(other)
            && mine.zip(theirs).all(|(a, b)| a.stands_as(date, (b, on)))
    }

    /// Whether the ground is as high everywhere as that of another venue.
    pub fn lies_on_same_relief(&self, other: &Self) -> bool {
        match (&self.relief, &other.relief) {
            (Some(a), Some(b)) => std::sync::Arc::ptr_eq(a, b) || a.lies_as(b),
            (a, b) => a.is_none() && b.is_none(),
        }
    }
}

impl Field {
    fn lies_as(&self, other: &Self) -> bool {
        self.is_played_on_as(other)
            && self.surrounds == other.surrounds
            && (self.surrounds_surface, self.surrounds_reflectance)
                == (other.surrounds_surface, other.surrounds_reflectance)
    }

    /// Whether play is on the same ground as in another venue, whatever lies around it.
    pub fn is_played_on_as(&self, other: &Self) -> bool {
        self.frame == other.frame
            && self.outline == other.outline
            && self.playing_area == other.playing_area
            && (self.surface, self.surface_reflectance)
                == (other.surface, other.surface_reflectance)
    }
}

impl Body {
    fn stands_as(&self, date: NaiveDate, (other, on): (&Self, NaiveDate)) -> bool {
        self.part == other.part
            && self.shape == other.shape
            && self.passes.through(date) == other.passes.through(on)
            && self.reflectance == other.reflectance
            && self.scatters == other.scatters
            && self.lit == other.lit
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
