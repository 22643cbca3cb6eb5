//! One revision of the ground, and what pages hear of it.
//!
//! In: the text of a venue file. Out: the checked venue with what is worked out from it,
//! each thing once, and its JSON: points in field axes, metres; azimuths in degrees.

use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use chrono::{NaiveDate, NaiveDateTime};
use serde_json::{Value, json};

use crate::engine::Prepared;
use crate::engine::view::ViewScene;
use crate::jobs::check;
use crate::serve::drawn::drawn;
use crate::serve::shadow::Shades;
use crate::serve::workspace::Current;
use crate::serve::{through, workspace};
use crate::venue::{ByStanding, Dimension, Draft, Standing, Unit, Venue, VenueError};

/// Dates for which shadows are kept ready.
const MAX_DATES: usize = 4;

self_cell::self_cell! {
    /// A venue prepared for a date, with the venue that it borrows.
    pub struct PreparedGround {
        owner: Arc<Venue>,
        #[covariant]
        dependent: Prepared,
    }
}

/// What throws shadows on a date, whatever moves on it.
pub type DayShades = ByStanding<Shades>;

/// Which field of a site is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldWish {
    pub name: String,
    /// Where it stood among the fields.
    pub index: usize,
}

/// A revision of the ground.
pub struct Ground {
    pub revision: u64,
    /// The text of the file, as it is on the disc.
    pub text: String,
    pub draft: Draft,
    pub venue: Arc<Venue>,
    drawn: OnceLock<Value>,
    shades: Mutex<Vec<(NaiveDate, Arc<DayShades>)>>,
    prepared: Mutex<Option<(NaiveDate, Arc<PreparedGround>)>>,
    /// That of a revision before, for what the changes since do not touch.
    before: Mutex<Option<Arc<PreparedGround>>>,
    /// Ready for pictures through cameras.
    view: Mutex<Option<(NaiveDate, Standing, Arc<ViewScene>)>>,
    kept_view: Mutex<through::KeptViews>,
}

impl std::fmt::Debug for Ground {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Ground").field("revision", &self.revision).finish_non_exhaustive()
    }
}

impl Ground {
    /// Reads a text that lies in a folder; `name` is what messages call it. Of a site it is
    /// the field asked for, else the one that stands in its place, else the first.
    ///
    /// # Errors
    /// [`VenueError`] with all problems.
    pub fn read(
        revision: u64,
        text: &str,
        (name, folder): (&str, &Path),
        asked: Option<&FieldWish>,
    ) -> Result<Self, VenueError> {
        let read = |field: Option<&str>| Draft::parse_field_in(text, name, Some(folder), field);
        let draft = match read(asked.map(|wish| wish.name.as_str())) {
            Err(VenueError::WhichField { known, .. }) => {
                let place = asked.map_or(0, |wish| wish.index);
                read(known.get(place).or(known.first()).map(String::as_str))
            }
            Err(VenueError::NoFields { .. }) => read(None),
            other => other,
        }?;
        let venue = Arc::new(draft.venue()?);
        venue.plannable(name)?;
        Ok(Self {
            revision,
            text: text.to_owned(),
            draft,
            venue,
            drawn: OnceLock::new(),
            shades: Mutex::default(),
            prepared: Mutex::default(),
            before: Mutex::default(),
            view: Mutex::default(),
            kept_view: Mutex::default(),
        })
    }

    /// Takes over what is prepared of the revision before.
    pub fn follows(self, before: &Self) -> Self {
        let last = |kept: &Mutex<Option<Arc<PreparedGround>>>| kept.try_lock().ok()?.clone();
        // one that is just being prepared is not waited for
        let prepared =
            before.prepared.try_lock().ok().and_then(|kept| Some(kept.as_ref()?.1.clone()));
        let prepared = prepared.or_else(|| last(&before.before));
        Self { before: Mutex::new(prepared), ..self }
    }

    /// What throws shadows on a date.
    pub fn shades(&self, date: NaiveDate) -> Arc<DayShades> {
        let mut kept = lock(&self.shades);
        if let Some((_, shades)) = kept.iter().find(|(of, _)| *of == date) {
            return Arc::clone(shades);
        }
        let shades = Arc::new(ByStanding::new(&self.venue, date, |venue| Shades::new(venue, date)));
        if kept.len() >= MAX_DATES {
            kept.remove(0);
        }
        kept.push((date, Arc::clone(&shades)));
        shades
    }

    /// The venue prepared for a date; whoever asks second waits for the first.
    pub fn prepared(&self, date: NaiveDate) -> Arc<PreparedGround> {
        let mut kept = lock(&self.prepared);
        if let Some((_, prepared)) = kept.as_ref().filter(|(of, _)| *of == date) {
            return Arc::clone(prepared);
        }
        let venue = Arc::clone(&self.venue);
        // left where it is until this is done: a first look is taken in its light
        let last = kept.take().map(|(_, prepared)| prepared).or_else(|| lock(&self.before).clone());
        let prepared = Arc::new(PreparedGround::new(venue, |venue| match &last {
            Some(last) => Prepared::after(venue, date, last.borrow_dependent()),
            None => Prepared::new(venue, date),
        }));
        *kept = Some((date, Arc::clone(&prepared)));
        *lock(&self.before) = None;
        prepared
    }

    /// For a first look: the venue prepared where that is done, else in the light of the
    /// revision before; else as [`Ground::prepared`].
    pub fn prepared_roughly(&self, date: NaiveDate) -> Arc<PreparedGround> {
        self.in_light_of_before(date).unwrap_or_else(|| self.prepared(date))
    }

    fn in_light_of_before(&self, date: NaiveDate) -> Option<Arc<PreparedGround>> {
        // while it is being prepared the lock is held, and what was before is in use
        if let Ok(kept) = self.prepared.try_lock()
            && let Some((_, prepared)) = kept.as_ref().filter(|(of, _)| *of == date)
        {
            return Some(Arc::clone(prepared));
        }
        let before = lock(&self.before).clone()?;
        let made = PreparedGround::try_new(Arc::clone(&self.venue), |venue| {
            Prepared::in_light_of(venue, date, before.borrow_dependent()).ok_or(())
        });
        made.ok().map(Arc::new)
    }

    /// Lets go of what takes much room; it is made again when it is asked for.
    pub fn rest(&self) {
        if let (Ok(mut kept), Ok(mut before)) = (self.prepared.try_lock(), self.before.try_lock()) {
            (*kept, *before) = (None, None);
        }
        if let Ok(mut kept) = self.shades.try_lock() {
            kept.clear();
        }
        if let Ok(mut kept) = self.view.try_lock() {
            *kept = None;
        }
        if let Ok(mut kept) = self.kept_view.try_lock() {
            *kept = through::KeptViews::default();
        }
    }

    /// The venue ready for pictures of what stands at a time, of any time of its day.
    pub fn view(&self, at: NaiveDateTime, make: impl FnOnce() -> ViewScene) -> Arc<ViewScene> {
        let (date, standing) = (at.date(), self.venue.standing(at));
        let mut kept = lock(&self.view);
        let same = kept.as_ref().filter(|(of, stands, _)| *of == date && *stands == standing);
        if let Some((.., view)) = same {
            return Arc::clone(view);
        }
        let view = Arc::new(make());
        *kept = Some((date, standing, Arc::clone(&view)));
        view
    }

    /// What pictures through cameras keep from one to the next.
    pub fn kept_view<T>(&self, look: impl FnOnce(&mut through::KeptViews) -> T) -> T {
        look(&mut lock(&self.kept_view))
    }

    /// What is drawn of it: field, things and cameras.
    pub fn drawn(&self) -> &Value {
        self.drawn.get_or_init(|| drawn(&self.venue, self.draft.values()))
    }

    /// Everything that looks suspicious.
    pub fn findings(&self) -> Value {
        let findings = check::check(&self.venue);
        json!({
            "revision": self.revision,
            "findings": suspicions(&self.venue, &findings.suspicions),
            "gaps": findings.gaps.len(),
        })
    }
}

/// What a panic elsewhere left is made again where it is asked for.
fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Current {
    /// All that pages know of the ground.
    pub fn to_json(&self) -> Value {
        let (ground, venue) = (&self.ground, &self.ground.venue);
        let fixture = venue.fixture;
        let mut all = json!({
            "revision": ground.revision,
            "title": venue.title,
            "text": ground.text,
            "zone": venue.place.zone.name(),
            "date": fixture.map(|f| f.date.format("%Y-%m-%d").to_string()),
            "start": fixture.map(|f| f.start.format("%H:%M").to_string()),
            "place": {
                "latitude_deg": venue.place.latitude_deg,
                "longitude_deg": venue.place.longitude_deg,
                "elevation_m": venue.place.height_m,
            },
            "sport": venue.field.sport.word(),
            "dimensions": ground.draft.dimensions().iter().map(dimension).collect::<Vec<_>>(),
            "values": ground.draft.values(),
            "field": ground.draft.part().map(|part| &part.name),
            "fields": ground.draft.part().map(|part| &part.all),
            "findings": suspicions(venue, &check::slips(venue)),
        });
        let standing: &workspace::FileStanding = &self.standing;
        let standing = serde_json::to_value(standing).unwrap_or_default();
        if let Some(map) = all.as_object_mut() {
            for part in [&standing, ground.drawn()] {
                map.extend(part.as_object().cloned().unwrap_or_default());
            }
        }
        all
    }
}

fn suspicions(venue: &Venue, found: &[check::Suspicion]) -> Vec<Value> {
    let each = found.iter().map(|suspicion| crate::jobs::check::report::told(venue, suspicion));
    each.map(|told| {
        json!({
            "text": format!("{}: {}", told.place, told.what),
            "question": told.mend,
            "why": told.why,
            "kind": told.kind,
            "place": told.place,
        })
    })
    .collect()
}

fn dimension(dimension: &Dimension) -> Value {
    let limit = |value: f64| value.is_finite().then_some(value);
    json!({
        "address": dimension.key,
        "name": crate::jobs::sensitivity::effect_name(&dimension.address),
        "unit": match dimension.unit {
            Unit::Metre => "m",
            Unit::Degree => "deg",
            Unit::Second => "s",
            Unit::One => "1",
        },
        "value": dimension.value,
        "min": limit(dimension.limits.0),
        "max": limit(dimension.limits.1),
        "line": dimension.line,
        "usual": dimension.line.is_none(),
        "stated": dimension.line.is_some(),
    })
}
