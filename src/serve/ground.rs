//! One revision of the ground, and what pages are told of it.
//!
//! In: the text of a venue file. Out: the checked venue with what is worked out from it,
//! each thing once, and its JSON: points in field axes, metres; azimuths in degrees.

use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use chrono::{NaiveDate, NaiveDateTime};
use geo::{ConvexHull, Coord, LineString, MultiPoint, Point, Simplify};
use glam::DVec3;
use serde::Serialize;
use serde_json::{Value, json};

use crate::base::frame::FieldFrame;
use crate::camera::cover_ground;
use crate::engine::Prepared;
use crate::engine::view::ViewScene;
use crate::geometry::Terrain;
use crate::jobs::check;
use crate::serve::shadow::Shades;
use crate::serve::workspace::Current;
use crate::serve::{through, workspace};
use crate::venue::{
    Body, ByStanding, CameraPost, Dimension, Draft, Occluder, OccluderKind, Part, Shape, Standing,
    Unit, Venue, VenueError,
};

/// Outlines of covers lose corners that lie this near to the line between their
/// neighbours, metres.
const SMOOTH_M: f64 = 0.05;
/// Dates for which shadows are kept ready.
const MAX_DATES: usize = 4;
/// A day in leaf, for what asks for no date.
const ANY_DATE: Option<NaiveDate> = NaiveDate::from_ymd_opt(2027, 6, 21);

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
    kept_view: Mutex<through::Kept>,
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
            *kept = through::Kept::default();
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
    pub fn kept_view<T>(&self, look: impl FnOnce(&mut through::Kept) -> T) -> T {
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
        let standing: &workspace::Standing = &self.standing;
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

/// A point on the ground in field axes, to a tenth of a millimetre.
pub fn flat(frame: FieldFrame, c: Coord<f64>) -> [f64; 2] {
    let p = frame.to_field(DVec3::new(c.x, c.y, 0.0));
    [p.along_m, p.across_m].map(rounded)
}

fn point(frame: FieldFrame, p: DVec3) -> [f64; 3] {
    let p = frame.to_field(p);
    [p.along_m, p.across_m, p.up_m].map(rounded)
}

fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4 + 0.0
}

/// Corners of a ring, not closed.
pub fn ring(frame: FieldFrame, ring: &LineString<f64>) -> Vec<[f64; 2]> {
    let open = ring.0.len().saturating_sub(1);
    ring.0.iter().take(open).map(|c| flat(frame, *c)).collect()
}

fn drawn(venue: &Venue, values: &Value) -> Value {
    let (field, frame) = (&venue.field, venue.field.frame);
    let line = |line: &LineString<f64>| -> Vec<[f64; 2]> {
        line.0.iter().map(|c| flat(frame, *c)).collect()
    };
    let marks = field.marks.iter().map(|m| json!({ "name": m.name, "at": flat(frame, m.at) }));
    let zone = |z: &crate::venue::Zone| json!({ "name": z.name, "outline": ring(frame, z.outline.exterior()) });
    json!({
        "north_deg": (360.0 - frame.bearing().degrees()) % 360.0,
        "bearing_deg": frame.bearing().degrees(),
        "outline": ring(frame, field.outline.exterior()),
        "playing_area": ring(frame, field.playing_area.exterior()),
        "surrounds": ring(frame, field.surrounds.exterior()),
        "lines": field.markings.iter().map(line).collect::<Vec<_>>(),
        "marks": marks.collect::<Vec<_>>(),
        "zones": venue.zones.iter().map(zone).collect::<Vec<_>>(),
        "beside": venue.beside.iter().map(zone).collect::<Vec<_>>(),
        "stands": things(venue, values),
        "cameras": cameras(venue, values),
    })
}

/// Everything that throws a shadow.
#[derive(Debug, Serialize)]
struct Thing {
    table: String,
    name: String,
    kind: &'static str,
    /// Of all but the roof.
    outline: Vec<[f64; 2]>,
    roof: Option<Vec<[f64; 2]>>,
    top_m: f64,
    /// Each piece by itself, the lowest first.
    parts: Vec<Piece>,
}

#[derive(Debug, Serialize)]
struct Piece {
    part: &'static str,
    outline: Vec<[f64; 2]>,
    top_m: f64,
    /// Share of the direct light that passes.
    passes: f64,
}

fn kind(kind: OccluderKind) -> &'static str {
    match kind {
        OccluderKind::Stand => "stand",
        OccluderKind::Corner => "corner",
        OccluderKind::Bowl => "bowl",
        OccluderKind::Grandstand => "grandstand",
        OccluderKind::Solid => "solid",
        OccluderKind::Tree => "tree",
        OccluderKind::Panel => "panel",
        OccluderKind::Mesh => "mesh",
    }
}

fn part(part: Part) -> &'static str {
    match part {
        Part::Deck | Part::BackWall | Part::EndWall => "deck",
        Part::Roof => "roof",
        Part::Solid | Part::Trunk | Part::Mesh => "solid",
        Part::Crown => "crown",
        Part::Panel => "panel",
    }
}

/// The table of a thing, `stand[0]`; of what a site has beside the field, which its own tables do
/// not state, `shared.stand[0]`.
fn table_of(values: &Value, table: String) -> String {
    let place = table.trim_end_matches(']').split_once('[');
    let stated = |(of, i): (&str, &str)| values.get(of)?.get(i.parse::<usize>().ok()?);
    if place.and_then(stated).is_some() { table } else { format!("shared.{table}") }
}

/// Things in the order of the file, each with the table that states it.
pub fn things(venue: &Venue, values: &Value) -> Value {
    let date = venue.fixture.map(|f| f.date).or(ANY_DATE).unwrap_or_default();
    let things = venue.occluders.iter().zip(tables(venue));
    // what is not there on that day has no outline
    let things = things.filter(|(occluder, _)| !occluder.bodies.is_empty());
    let all: Vec<Thing> = things
        .map(|(occluder, table)| thing(venue.field.frame, occluder, table_of(values, table), date))
        .collect();
    serde_json::to_value(all).unwrap_or_default()
}

/// Tables of the file that state the occluders, in their order.
fn tables(venue: &Venue) -> impl Iterator<Item = String> {
    let mut counts: Vec<(OccluderKind, usize)> = Vec::new();
    venue.occluders.iter().map(move |occluder| {
        let known = counts.iter().position(|(kind, _)| *kind == occluder.kind);
        let known = known.unwrap_or_else(|| {
            counts.push((occluder.kind, 0));
            counts.len() - 1
        });
        let (of, count) = &mut counts[known];
        *count += 1;
        format!("{}[{}]", kind(*of), *count - 1)
    })
}

/// The index of the occluder that a table of the file states.
pub fn occluder_of(venue: &Venue, table: &str) -> Option<usize> {
    tables(venue).position(|of| of == table)
}

fn thing(frame: FieldFrame, occluder: &Occluder, table: String, date: NaiveDate) -> Thing {
    let kind = kind(occluder.kind);
    let hull = |roof: bool| {
        let bodies = occluder.bodies.iter().filter(|b| (b.part == Part::Roof) == roof);
        let points: Vec<Point<f64>> =
            bodies.flat_map(|b| b.shape.points()).map(|p| Point::new(p.x, p.y)).collect();
        (points.len() > 2).then(|| ring(frame, MultiPoint(points).convex_hull().exterior()))
    };
    let mut parts: Vec<Piece> =
        occluder.bodies.iter().flat_map(|body| pieces(frame, body, date)).collect();
    parts.sort_by(|a, b| a.top_m.total_cmp(&b.top_m));
    Thing {
        table,
        name: occluder.name.clone(),
        kind,
        outline: hull(false).unwrap_or_default(),
        roof: hull(true),
        top_m: parts.last().map_or(0.0, |piece| piece.top_m),
        parts,
    }
}

fn pieces(frame: FieldFrame, body: &Body, date: NaiveDate) -> Vec<Piece> {
    let points = body.shape.points();
    let outlines = match &body.shape {
        Shape::Mesh(mesh) => mesh.plan_pieces().0.clone(),
        Shape::Convex { .. } | Shape::Sheet { .. } => {
            let flat = points.iter().map(|p| Point::new(p.x, p.y)).collect();
            vec![MultiPoint(flat).convex_hull()]
        }
    };
    let top_m = rounded(points.iter().map(|p| p.z).fold(0.0, f64::max));
    let piece = |outline: geo::Polygon<f64>| Piece {
        part: part(body.part),
        outline: ring(frame, outline.exterior()),
        top_m,
        passes: body.passes.on(date).share(),
    };
    outlines.into_iter().map(piece).filter(|piece| piece.outline.len() > 2).collect()
}

/// Cameras with what they cover.
pub fn cameras(venue: &Venue, values: &Value) -> Value {
    let table = |i: usize| table_of(values, format!("camera[{i}]"));
    let each = venue.cameras.iter().enumerate();
    Value::Array(each.map(|(i, post)| camera(venue, table(i), post)).collect())
}

fn camera(venue: &Venue, table: String, post: &CameraPost) -> Value {
    let frame = venue.field.frame;
    let terrain = Terrain::of(venue);
    let cover = cover_ground(post, &venue.field, &venue.zones, &terrain).region.simplify(SMOOTH_M);
    let rings: Vec<Vec<[f64; 2]>> = cover.0.iter().map(|p| ring(frame, p.exterior())).collect();
    let aims: Vec<[f64; 2]> =
        post.aims.iter().map(|a| flat(frame, Coord { x: a.x, y: a.y })).collect();
    json!({
        "table": table,
        "name": post.name,
        "at": point(frame, post.at),
        "aim": aims.first(),
        "aims": aims,
        "hfov_deg": post.horizontal_fov_deg,
        "frame": rings.iter().max_by_key(|ring| ring.len()),
        "cover": rings,
    })
}
