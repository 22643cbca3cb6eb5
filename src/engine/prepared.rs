//! A venue prepared for one day: everything that no instant changes.
//!
//! In: a venue and a date, and, where there is one, a venue prepared before. Out:
//! [`Prepared`]. Where something moves during the day each standing is prepared by itself, and
//! [`Prepared::at`] gives the one of a time. What only the ground decides (rays between stands, what throws shadows) is
//! kept apart from what each camera decides: of a venue prepared before all is taken over
//! that no change between both has touched.

use std::borrow::Cow;
use std::sync::Arc;

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;
use geo::{MultiPolygon, Polygon};

use super::casters::Casters;
use super::lit_venue::{LitVenue, Marks, PreparedCamera};
use crate::camera::{EyeFaces, MarkReceivers};
use crate::geometry::{Obstacle, Region, ShadeShare, Shadow, ZoneRegion};
use crate::light::{DaylightCoefficients, LightSum, Scene, Sharing};
use crate::venue::{CameraPost, Standing, Venue};

/// A venue prepared for one day.
pub struct Prepared<'v> {
    pub(crate) venue: &'v Venue,
    date: NaiveDate,
    pub(crate) turf: Arc<Casters>,
    pub(crate) face: Arc<Casters>,
    pub(crate) areas: GroundAreas,
    pub(crate) lit: LitVenue,
    /// Of the mean light on the field of play.
    pub(crate) field: Arc<DaylightCoefficients>,
    pub(crate) marks: Option<Arc<MarkReceivers>>,
    standing: Standing,
    /// What stands at other times of the day.
    others: Vec<Prepared<'v>>,
}

/// Areas of the ground that shares are told of.
pub(crate) struct GroundAreas {
    playing_area: Region,
    surrounds: Region,
    zones: Vec<ZoneRegion>,
}

/// Shares of these areas.
pub(crate) struct AreaShares {
    pub playing_area: ShadeShare,
    pub surrounds: ShadeShare,
    pub zones: Vec<ShadeShare>,
}

impl GroundAreas {
    fn new(venue: &Venue) -> Self {
        let field = &venue.field;
        let zones = venue.zones.iter();
        Self {
            playing_area: region(&field.playing_area),
            surrounds: region(&field.surrounds),
            zones: zones.map(|z| ZoneRegion::new(&z.outline, &field.outline)).collect(),
        }
    }

    /// Under the shadows on the field of play and on all of the ground.
    pub fn shares(&self, field: &Shadow, ground: &Shadow) -> AreaShares {
        AreaShares {
            playing_area: self.playing_area.share(ground),
            surrounds: self.surrounds.share(ground),
            zones: self.zones.iter().map(|zone| zone.share(field, ground)).collect(),
        }
    }

    /// Without any direct light.
    pub fn dark(&self) -> AreaShares {
        AreaShares {
            playing_area: ShadeShare::ALL_SHADE,
            surrounds: ShadeShare::ALL_SHADE,
            zones: vec![ShadeShare::ALL_SHADE; self.zones.len()],
        }
    }
}

fn region(area: &Polygon<f64>) -> Region {
    Region::new(&MultiPolygon(vec![area.clone()]))
}

impl<'v> Prepared<'v> {
    /// Prepares a venue as it stands on a date (trees drop their leaves).
    pub fn new(venue: &'v Venue, date: NaiveDate) -> Self {
        Self::on_ground(venue, date, Sharing::Own, None)
    }

    /// The same for a few cameras or, with shared faces, for hundreds.
    pub fn sharing(venue: &'v Venue, date: NaiveDate, sharing: Sharing) -> Self {
        Self::on_ground(venue, date, sharing, None)
    }

    /// The same as [`Prepared::new`] out of a venue prepared before: what stands as it stood,
    /// and each camera that sees what it saw, is taken over.
    pub fn after(venue: &'v Venue, date: NaiveDate, before: &Prepared<'_>) -> Self {
        let alone = matches!(before.lit.faces, EyeFaces::Own);
        Self::on_ground(venue, date, Sharing::Own, Some(before).filter(|_| alone))
    }

    /// What stands at a time of the day.
    pub fn at(&self, at: DateTime<Tz>) -> &Self {
        if self.others.is_empty() {
            return self;
        }
        let when = at.with_timezone(&self.venue.place.zone).naive_local();
        self.in_standing(&self.venue.standing(when)).unwrap_or(self)
    }

    fn in_standing(&self, standing: &Standing) -> Option<&Self> {
        std::iter::once(self).chain(&self.others).find(|one| one.standing == *standing)
    }

    /// One of the standings in which all is as it is in a venue on a date.
    fn standing_as(&self, venue: &Venue, date: NaiveDate) -> Option<&Self> {
        std::iter::once(self)
            .chain(&self.others)
            .find(|one| venue.stands_as(date, (&stood(one.venue, &one.standing), one.date)))
    }

    /// A first look at a ground on which something was moved: what throws shadows stands as
    /// it does now; what sky and stands send, and what cameras cover of the surrounds, is
    /// still that of a venue prepared before. `None` where the field itself is another.
    pub fn in_light_of(venue: &'v Venue, date: NaiveDate, before: &Prepared<'_>) -> Option<Self> {
        let alone = matches!(before.lit.faces, EyeFaces::Own);
        let same = venue.field.is_played_on_as(&before.venue.field)
            && venue.lies_on_same_relief(before.venue);
        if date != before.date || !alone || !same {
            return None;
        }
        let one = |standing: Standing| {
            let stands = stood(venue, &standing);
            let (turf, face) = rayon::join(
                || Casters::on_turf(&stands, date),
                || Casters::at_faces(&stands, date),
            );
            let before = before.in_standing(&standing).unwrap_or(before);
            let ground = Self::same_ground(venue, (date, standing), before);
            Self { turf, face, ..ground }.with_cameras(Some(before))
        };
        let (first, others) = venue.standings_on(date);
        Some(Self { others: others.into_iter().map(one).collect(), ..one(first) })
    }

    /// On the ground of a venue prepared before, without cameras.
    fn same_ground(
        venue: &'v Venue,
        (date, standing): (NaiveDate, Standing),
        before: &Prepared<'_>,
    ) -> Self {
        Self {
            venue,
            date,
            turf: Arc::clone(&before.turf),
            face: Arc::clone(&before.face),
            areas: GroundAreas::new(venue),
            lit: LitVenue { cameras: Vec::new(), ..before.lit.clone() },
            field: Arc::clone(&before.field),
            marks: before.marks.clone(),
            standing,
            others: Vec::new(),
        }
    }

    fn with_cameras(self, before: Option<&Prepared<'_>>) -> Self {
        let Self { venue, lit, marks, .. } = self;
        let compared = Marks { all: &venue.field.marks, shared: marks.as_ref() };
        let known = |post: &CameraPost| before.and_then(|before| before.same_camera(venue, post));
        Self { lit: lit.with_cameras(venue, compared, known), marks, ..self }
    }

    fn on_ground(
        venue: &'v Venue,
        date: NaiveDate,
        sharing: Sharing,
        before: Option<&Prepared<'_>>,
    ) -> Self {
        let one = |standing| Self::in_one(venue, (date, standing), sharing, before);
        let (first, others) = venue.standings_on(date);
        Self { others: others.into_iter().map(one).collect(), ..one(first) }
    }

    /// One standing of a day.
    fn in_one(
        venue: &'v Venue,
        (date, standing): (NaiveDate, Standing),
        sharing: Sharing,
        before: Option<&Prepared<'_>>,
    ) -> Self {
        let stands = stood(venue, &standing);
        let before = before.and_then(|before| before.standing_as(&stands, date));
        let marks = &venue.field.marks;
        let ground = match before {
            Some(before) => Self::same_ground(venue, (date, standing), before),
            None => {
                let scene = || Scene::new(&stands, Obstacle::all_of(&stands, date));
                let casts = || (Casters::on_turf(&stands, date), Casters::at_faces(&stands, date));
                let (scene, (turf, face)) = rayon::join(scene, casts);
                Self {
                    venue,
                    date,
                    turf,
                    face,
                    areas: GroundAreas::new(venue),
                    field: Arc::new(scene.coefficients(&[mean_over_field(&scene)])),
                    marks: MarkReceivers::shared(marks, &scene, sharing),
                    lit: LitVenue::new(Arc::new(scene), sharing),
                    standing,
                    others: Vec::new(),
                }
            }
        };
        ground.with_cameras(before)
    }

    /// The camera that sees what this one sees of another venue on the same ground.
    fn same_camera(&self, venue: &Venue, post: &CameraPost) -> Option<Arc<PreparedCamera>> {
        let around = self.venue.zones == venue.zones && self.venue.field.marks == venue.field.marks;
        let posts = self.venue.cameras.iter().zip(&self.lit.cameras).filter(|_| around);
        posts.filter(|(old, _)| old.sees_as(post)).map(|(_, camera)| Arc::clone(camera)).next()
    }
}

/// The venue in a standing.
fn stood<'v>(venue: &'v Venue, standing: &Standing) -> Cow<'v, Venue> {
    match venue.changes.is_empty() {
        true => Cow::Borrowed(venue),
        false => Cow::Owned(venue.standing_as(standing)),
    }
}

fn mean_over_field(scene: &Scene) -> LightSum<'static> {
    let inside = scene.places().inside();
    LightSum::Turf((0..inside).map(|place| (place, 1.0 / inside as f64)).collect())
}
