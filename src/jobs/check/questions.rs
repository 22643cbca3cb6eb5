//! How a venue file says that the ground lies, for people to say whether it is so.
//!
//! In: a checked venue. Out: [`Questions`]: on which side each thing and each camera is,
//! where the bearing points, and where shadows lie at the start of play. Nothing is judged:
//! left and right swapped, a bearing reversed or a sign slipped make a sound ground that is
//! another one, which only those can see who know the place. Local frame, metres.

use chrono::{DateTime, NaiveDate, TimeZone};
use chrono_tz::Tz;
use geo::{BooleanOps, Coord, LineString, Point, Polygon};
use glam::DVec3;

use crate::base::frame::{FieldFrame, FieldPoint, plan_view};
use crate::base::units::Azimuth;
use crate::geometry::{Caster, OverlayScratch, Region, Shadow, TURF_HEIGHT_M};
use crate::solar;
use crate::solar::{Sun, SunState};
use crate::venue::{Field, Occluder, OccluderKind, Venue};

use super::zones::km;
use super::{compass, place, zones};

/// Things that are asked about one by one.
const MAX_THINGS: usize = 12;
/// Things farther from the field than this do not widen the plan, metres.
const NEAR_M: f64 = 120.0;
/// Ground shown beyond the outermost of them, metres.
const MARGIN_M: f64 = 12.0;
/// A half has the shadow where so much of it is there.
const MIN_HALF_SHARE: f64 = 0.65;

/// What is to be confirmed.
#[derive(Debug, Clone)]
pub struct Questions {
    pub place: Option<PlaceAt>,
    /// Of the field's long axis, true.
    pub bearing: Azimuth,
    /// Magnetic declination by the model, degrees, where a compass is of use.
    pub declination_deg: Option<f64>,
    /// The start of play; `None` without a fixture.
    pub kickoff: Option<Kickoff>,
    /// Stands, bowls and models, at most twelve of them, and how many there are beside.
    pub things: Vec<ThingAt>,
    pub more_things: usize,
    pub cameras: Vec<CameraAt>,
    /// The ground that a plan of all this shows: low and high corner, x east, y north.
    pub plan_m: [Coord<f64>; 2],
}

/// Where the ground lies from the place that its zone is named after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaceAt {
    pub km: f64,
    /// From there to the ground.
    pub toward: Azimuth,
}

/// Sun and shade at the start of play.
#[derive(Debug, Clone)]
pub struct Kickoff {
    pub at: DateTime<Tz>,
    pub sun: Sun,
    pub state: SunState,
    /// Everything that stands there, on all of the ground shown.
    pub shadow: Shadow,
    /// Share of the field in shade.
    pub share: f64,
}

/// A half of the field, for someone who looks along its bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Half {
    Ahead,
    Behind,
    Left,
    Right,
}

impl Half {
    /// As the file writes the side.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ahead => "ahead",
            Self::Behind => "behind",
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

/// A stand or model.
#[derive(Debug, Clone, PartialEq)]
pub struct ThingAt {
    /// In [`Venue::occluders`].
    pub thing: usize,
    /// From the middle of the field, and on which side of it; `None` around it.
    pub lies: Option<(Azimuth, Half)>,
    /// Its highest point, metres.
    pub top_m: f64,
    /// Share of the field that it shades at the start of play, and the half that has most
    /// of that, if one has.
    pub shade: Option<(f64, Option<Half>)>,
}

/// A camera.
#[derive(Debug, Clone, PartialEq)]
pub struct CameraAt {
    /// In [`Venue::cameras`].
    pub camera: usize,
    /// From the centre of play: way, half of the field, metres.
    pub toward: Azimuth,
    pub half: Half,
    pub distance_m: f64,
    pub up_m: f64,
    /// The middle of where it looks.
    pub looks: Azimuth,
    /// The sun at the start of play, clockwise from there, -180 to 180 degrees.
    pub sun_off_deg: Option<f64>,
}

/// Works out what is to be confirmed.
pub fn questions(venue: &Venue) -> Questions {
    let plan_m = plan(venue);
    let kickoff = kickoff(venue, plan_m);
    let mut shown: Vec<usize> = (0..venue.occluders.len())
        .filter(|i| {
            let kind = venue.occluders[*i].kind;
            kind.is_stand() || kind == OccluderKind::Mesh
        })
        // what is not there on the day of the fixture is on no side
        .filter(|i| !venue.occluders[*i].bodies.is_empty())
        .collect();
    let more_things = shown.len().saturating_sub(MAX_THINGS);
    shown.truncate(MAX_THINGS);
    let date = place::date(venue);
    Questions {
        place: place_at(venue),
        bearing: venue.field.frame.bearing(),
        declination_deg: date.and_then(|date| compass::declination_deg(&venue.place, date)),
        things: shown.into_iter().map(|i| thing(venue, i, kickoff.as_ref())).collect(),
        more_things,
        cameras: (0..venue.cameras.len())
            .filter_map(|i| camera(venue, i, kickoff.as_ref()))
            .collect(),
        kickoff,
        plan_m,
    }
}

fn place_at(venue: &Venue) -> Option<PlaceAt> {
    let here = Point::new(venue.place.longitude_deg, venue.place.latitude_deg);
    let home = zones::place_of(venue.place.zone)?.at;
    let (east, north) = (here.x() - home.x(), here.y() - home.y());
    let east = (east + 180.0).rem_euclid(360.0) - 180.0;
    let across = here.y().to_radians().cos();
    let toward = Azimuth::from_degrees((east * across).atan2(north).to_degrees());
    Some(PlaceAt { km: km(here, home), toward })
}

/// The field, and what stands and sees near it.
fn plan(venue: &Venue) -> [Coord<f64>; 2] {
    let field = &venue.field.outline.exterior().0;
    let ends = |points: &mut dyn Iterator<Item = Coord<f64>>| {
        let start = [Coord { x: f64::MAX, y: f64::MAX }, Coord { x: f64::MIN, y: f64::MIN }];
        points.fold(start, |[low, high], p| {
            [
                Coord { x: low.x.min(p.x), y: low.y.min(p.y) },
                Coord { x: high.x.max(p.x), y: high.y.max(p.y) },
            ]
        })
    };
    let [low, high] = ends(&mut field.iter().copied());
    let near = |p: &Coord<f64>| {
        (low.x - NEAR_M..=high.x + NEAR_M).contains(&p.x)
            && (low.y - NEAR_M..=high.y + NEAR_M).contains(&p.y)
    };
    let bodies = venue.occluders.iter().flat_map(|o| &o.bodies);
    let points = bodies.flat_map(|body| body.shape.points()).map(|p| plan_view(*p));
    let cameras = venue.cameras.iter().map(|c| plan_view(c.at));
    let mut all = field.iter().copied().chain(points.chain(cameras).filter(near));
    let [low, high] = ends(&mut all);
    let margin = Coord { x: MARGIN_M, y: MARGIN_M };
    [low - margin, high + margin]
}

fn kickoff(venue: &Venue, plan_m: [Coord<f64>; 2]) -> Option<Kickoff> {
    let fixture = venue.fixture?;
    let at = venue.place.zone.from_local_datetime(&fixture.date.and_time(fixture.start));
    let at = at.earliest()?;
    let sun = solar::position(&venue.place, at);
    let wide = widened(venue, plan_m);
    let shadow = cast(&wide, fixture.date, &sun);
    let share = Region::new(&venue.field.outline.clone().into()).share(&shadow).shaded;
    Some(Kickoff { at, sun, state: solar::state(&sun, &venue.horizon), shadow, share })
}

/// The venue with all of the plan for its field.
fn widened(venue: &Venue, [low, high]: [Coord<f64>; 2]) -> Venue {
    let ring = [low, Coord { x: high.x, y: low.y }, high, Coord { x: low.x, y: high.y }, low];
    let outline = Polygon::new(LineString::from(ring.to_vec()), Vec::new());
    let field = Field {
        frame: FieldFrame::new(Azimuth::from_degrees(90.0)),
        outline,
        ..venue.field.clone()
    };
    Venue { field, ..venue.clone() }
}

fn cast(venue: &Venue, date: NaiveDate, sun: &Sun) -> Shadow {
    let caster = Caster::new(venue, date, TURF_HEIGHT_M);
    caster.cast(sun.toward(), &mut OverlayScratch::default())
}

fn thing(venue: &Venue, index: usize, kickoff: Option<&Kickoff>) -> ThingAt {
    let occluder = &venue.occluders[index];
    let points = || occluder.bodies.iter().flat_map(|body| body.shape.points());
    let count = points().count().max(1) as f64;
    let middle = points().sum::<DVec3>() / count;
    let top_m = points().map(|p| p.z).fold(f64::MIN, f64::max);
    let lit = kickoff.filter(|kickoff| kickoff.state == SunState::Up);
    ThingAt {
        thing: index,
        lies: (occluder.kind != OccluderKind::Bowl)
            .then(|| (azimuth(middle), half_of(venue, middle))),
        top_m,
        shade: lit.map(|kickoff| shade_of(venue, occluder, kickoff)),
    }
}

/// Way from the centre of play.
fn azimuth(toward: DVec3) -> Azimuth {
    Azimuth::from_degrees(toward.x.atan2(toward.y).to_degrees())
}

/// On which side of the field something is, by how far beyond its ends and sides.
fn half_of(venue: &Venue, at: DVec3) -> Half {
    let p = venue.field.frame.to_field(at);
    let [along, across] = extent(venue);
    match p.along_m.abs() - along > p.across_m.abs() - across {
        true if p.along_m >= 0.0 => Half::Ahead,
        true => Half::Behind,
        false if p.across_m >= 0.0 => Half::Left,
        false => Half::Right,
    }
}

/// Half of the field along and across, metres.
fn extent(venue: &Venue) -> [f64; 2] {
    let corners = venue.field.outline.exterior().0.iter();
    let points = corners.map(|c| venue.field.frame.to_field(DVec3::new(c.x, c.y, 0.0)));
    points.fold([0.0; 2], |[along, across]: [f64; 2], p| {
        [along.max(p.along_m.abs()), across.max(p.across_m.abs())]
    })
}

/// What of the field a thing shades by itself, and which half has most of it.
fn shade_of(venue: &Venue, occluder: &Occluder, kickoff: &Kickoff) -> (f64, Option<Half>) {
    let alone = Venue { occluders: vec![occluder.clone()], ..venue.clone() };
    let shadow = cast(&alone, kickoff.at.date_naive(), &kickoff.sun);
    let all = shadow.field_share().shaded;
    let [along, across] = extent(venue);
    let halves = [
        (Half::Ahead, [0.0, -across], [along, across]),
        (Half::Behind, [-along, -across], [0.0, across]),
        (Half::Left, [-along, 0.0], [along, across]),
        (Half::Right, [-along, -across], [along, 0.0]),
    ];
    let field_m2 = shadow.field_area_m2;
    let of = halves.map(|(half, low, high)| {
        let corner = |along_m, across_m| {
            let p = venue.field.frame.to_local(FieldPoint::on_ground(along_m, across_m));
            Coord { x: p.x, y: p.y }
        };
        let ring = vec![
            corner(low[0], low[1]),
            corner(high[0], low[1]),
            corner(high[0], high[1]),
            corner(low[0], high[1]),
        ];
        let half_field = Polygon::new(ring.into(), Vec::new()).intersection(&venue.field.outline);
        let region = Region::new(&half_field);
        (half, region.share(&shadow).shaded * region.area_m2() / field_m2.max(1e-9))
    });
    let most = of.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let half =
        most.filter(|(_, share)| all > 0.0 && *share > MIN_HALF_SHARE * all).map(|(half, _)| half);
    (all, half)
}

fn camera(venue: &Venue, index: usize, kickoff: Option<&Kickoff>) -> Option<CameraAt> {
    let post = venue.cameras.get(index)?;
    let aims = post.aims.iter().map(|aim| (*aim - post.at).with_z(0.0).normalize_or_zero());
    let looks = azimuth(aims.sum());
    let lit = kickoff.filter(|kickoff| kickoff.state == SunState::Up);
    let off =
        |sun: &Sun| (sun.azimuth.degrees() - looks.degrees() + 180.0).rem_euclid(360.0) - 180.0;
    Some(CameraAt {
        camera: index,
        toward: azimuth(post.at),
        half: half_of(venue, post.at),
        distance_m: post.at.with_z(0.0).length(),
        up_m: post.at.z,
        looks,
        sun_off_deg: lit.map(|kickoff| off(&kickoff.sun)),
    })
}
