//! The shadow of one instant, for drawing: no light, so that it can follow a pointer.
//!
//! In: a venue, a wall time. Out: rings in field axes (metres), shares of the areas, and
//! the sun (degrees, azimuth clockwise from true north). Shares are those of `match`.

use std::cell::RefCell;

use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, Utc};
use chrono_tz::Tz;
use geo::{BooleanOps, BoundingRect, Coord, MultiPolygon, Polygon, Rect, Simplify};
use serde::{Deserialize, Serialize};

use crate::geometry::{Caster, OverlayScratch, Region, ShadeShare, Shadow, TURF_HEIGHT_M};
use crate::serve::drawn::ring;
use crate::serve::problem::Refused;
use crate::solar;
use crate::solar::{Repeated, SunState};
use crate::venue::{Changes, Venue};

/// Rings lose corners that lie this near to the line between their neighbours, metres.
const SMOOTH_M: f64 = 0.02;
/// A thing that is moved about brings shadow from no farther than this, metres.
const MOVES_M: f64 = 100.0;
/// Years that the page plans for.
const YEARS: std::ops::RangeInclusive<i32> = 1950..=2150;

thread_local! {
    /// Scratch space of the thread.
    static BENCH: RefCell<OverlayScratch> = RefCell::default();
}

/// Which of two equal wall times is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fold {
    First,
    Second,
}

/// The instant of a wall time at a venue.
///
/// # Errors
/// [`Refused::Input`] for a text that is no time, or one that clocks skip;
/// [`Refused::Twice`] for one that they show twice.
pub fn instant(venue: &Venue, at: &str, fold: Option<Fold>) -> Result<DateTime<Tz>, Refused> {
    let forms = ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M"];
    let read = |form: &&str| NaiveDateTime::parse_from_str(at, form).ok();
    let time = forms.iter().find_map(read).ok_or_else(|| {
        let shown: String = at.chars().take(40).collect();
        Refused::input(format!("found \"{shown}\"; allowed: a time such as 2027-09-18T16:10"))
    })?;
    resolve(venue, time, fold)
}

/// The same for a date and a time.
///
/// # Errors
/// As [`instant`].
pub fn resolve(
    venue: &Venue,
    at: NaiveDateTime,
    fold: Option<Fold>,
) -> Result<DateTime<Tz>, Refused> {
    if !YEARS.contains(&at.year()) {
        let text = format!("the year {}; allowed: {} to {}", at.year(), YEARS.start(), YEARS.end());
        return Err(Refused::input(format!("found {text}")));
    }
    let repeated = fold.map(|fold| match fold {
        Fold::First => Repeated::Earlier,
        Fold::Second => Repeated::Later,
    });
    Ok(solar::resolve(venue.place.zone, at.date(), at.time(), repeated)?)
}

/// What throws shadows on the turf on one date.
#[derive(Debug)]
pub struct Shades {
    field: Caster,
    ground: Caster,
    playing_area: Region,
    surrounds: Region,
    /// Where shadows are drawn.
    drawn_on: Polygon<f64>,
}

/// The shadow of an instant.
#[derive(Debug, Serialize)]
pub struct ShadowOut {
    pub revision: u64,
    /// RFC 3339 with the venue's offset.
    pub at: String,
    pub zone_name: String,
    pub sun: LiveSunOut,
    /// Rings of the opaque shade, even-odd.
    pub shade: Vec<Vec<[f64; 2]>>,
    pub dimmed: Vec<LiveDimmedOut>,
    /// Of the field of play, not in full sun.
    pub shaded_share: f64,
    /// Of the field of play, under translucent bodies only.
    pub dimmed_share: f64,
    pub shares: SharesOut,
}

#[derive(Debug, Serialize)]
pub struct LiveSunOut {
    pub azimuth_deg: f64,
    /// With refraction.
    pub elevation_deg: f64,
    pub up: bool,
    pub state: &'static str,
}

#[derive(Debug, Serialize)]
pub struct LiveDimmedOut {
    /// Share of the direct light that arrives.
    pub passes: f64,
    pub rings: Vec<Vec<[f64; 2]>>,
}

/// The shadow of one thing, and that of all others: while a hand moves the thing about, its
/// shadow moves with it.
#[derive(Debug, Serialize)]
pub struct ApartOut {
    pub revision: u64,
    /// Also where nothing is drawn: it may be moved to where something is.
    pub own: RingsOut,
    pub rest: RingsOut,
}

#[derive(Debug, Default, Serialize)]
pub struct RingsOut {
    pub shade: Vec<Vec<[f64; 2]>>,
    pub dimmed: Vec<LiveDimmedOut>,
}

/// Shadows of an occluder, by index, and of the others.
pub fn apart(venue: &Venue, revision: u64, at: DateTime<Tz>, index: usize) -> ApartOut {
    let mut rest = venue.at(at).into_owned();
    // what is drawn apart stands as it does then
    rest.changes = Changes::default();
    let own = rest.occluders.remove(index);
    let mut alone = Venue { occluders: vec![own], ..rest.clone() };
    alone.field.surrounds = grown(&venue.field.surrounds);
    let [own, rest] = [&alone, &rest].map(|venue| {
        let sun = solar::position(&venue.place, at.with_timezone(&Utc));
        if solar::state(&sun, &venue.horizon) != SunState::Up {
            return RingsOut::default();
        }
        let shades = Shades::new(venue, at.date_naive());
        let shadow = BENCH.with_borrow_mut(|bench| shades.ground.cast(sun.toward(), bench));
        let (shade, dimmed) = shades.rings(venue, &shadow);
        RingsOut { shade, dimmed }
    });
    ApartOut { revision, own, rest }
}

/// The box around an area and [`MOVES_M`] to each side.
fn grown(area: &Polygon<f64>) -> Polygon<f64> {
    let Some(bounds) = area.bounding_rect() else { return area.clone() };
    let by = Coord { x: MOVES_M, y: MOVES_M };
    Rect::new(bounds.min() - by, bounds.max() + by).to_polygon()
}

#[derive(Debug, Serialize)]
pub struct SharesOut {
    pub field: LiveShareOut,
    pub playing_area: LiveShareOut,
    pub surrounds: LiveShareOut,
}

/// The three shares that `match` writes.
#[derive(Debug, Serialize)]
pub struct LiveShareOut {
    pub opaque: f64,
    pub shaded: f64,
    pub mean_transmission: f64,
}

impl From<ShadeShare> for LiveShareOut {
    fn from(share: ShadeShare) -> Self {
        let ShadeShare { opaque, shaded, mean_transmission } = share;
        Self { opaque, shaded, mean_transmission }
    }
}

impl Shades {
    /// Prepares a venue as it stands on a date.
    pub fn new(venue: &Venue, date: NaiveDate) -> Self {
        let region = |area: &Polygon<f64>| Region::new(&MultiPolygon(vec![area.clone()]));
        let field = &venue.field;
        Self {
            field: Caster::new(venue, date, TURF_HEIGHT_M),
            ground: Caster::over_ground(venue, date, TURF_HEIGHT_M),
            playing_area: region(&field.playing_area),
            surrounds: region(&field.surrounds),
            drawn_on: Polygon::new(field.surrounds.exterior().clone(), Vec::new()),
        }
    }

    /// Share of the field of play that is not in full sun, as [`ShadowOut::shaded_share`].
    pub fn field_share(&self, venue: &Venue, at: DateTime<Tz>) -> f64 {
        let sun = solar::position(&venue.place, at.with_timezone(&Utc));
        if solar::state(&sun, &venue.horizon) != SunState::Up {
            return ShadeShare::ALL_SHADE.shaded;
        }
        let shadow = BENCH.with_borrow_mut(|bench| self.field.cast(sun.toward(), bench));
        shadow.field_share().shaded
    }

    /// The shadow at one instant.
    pub fn at(&self, venue: &Venue, revision: u64, at: DateTime<Tz>) -> ShadowOut {
        let sun = solar::position(&venue.place, at.with_timezone(&Utc));
        let state = solar::state(&sun, &venue.horizon);
        let up = state == SunState::Up;
        let (on_field, ground) = match up {
            true => BENCH.with_borrow_mut(|bench| {
                (self.field.cast(sun.toward(), bench), self.ground.cast(sun.toward(), bench))
            }),
            false => (self.field.darkness(), self.ground.darkness()),
        };
        let share = |region: &Region| match up {
            true => region.share(&ground),
            false => ShadeShare::ALL_SHADE,
        };
        let field = if up { on_field.field_share() } else { ShadeShare::ALL_SHADE };
        let (shade, dimmed) = self.rings(venue, &ground);
        ShadowOut {
            revision,
            at: at.to_rfc3339_opts(chrono::SecondsFormat::Secs, false),
            zone_name: at.format("%Z").to_string(),
            sun: LiveSunOut {
                azimuth_deg: sun.azimuth.degrees(),
                elevation_deg: sun.apparent_elevation.degrees(),
                up,
                state: crate::output::words::sun_state(state),
            },
            shade,
            dimmed,
            shaded_share: field.shaded,
            dimmed_share: field.shaded - field.opaque,
            shares: SharesOut {
                field: field.into(),
                playing_area: share(&self.playing_area).into(),
                surrounds: share(&self.surrounds).into(),
            },
        }
    }

    fn rings(&self, venue: &Venue, shadow: &Shadow) -> (Vec<Vec<[f64; 2]>>, Vec<LiveDimmedOut>) {
        let frame = venue.field.frame;
        let rings = |region: &MultiPolygon<f64>| -> Vec<Vec<[f64; 2]>> {
            let region = region.intersection(&self.drawn_on).simplify(SMOOTH_M);
            let all = region.0.iter();
            let rings = all.flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
            rings.map(|line| ring(frame, line)).filter(|ring| ring.len() > 2).collect()
        };
        let dimmed = shadow
            .dimmed
            .iter()
            .map(|d| LiveDimmedOut { passes: d.transmittance.share(), rings: rings(&d.region) });
        (rings(&shadow.opaque), dimmed.collect())
    }
}
