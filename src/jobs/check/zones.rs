//! Where time zones lie: the place that each is named after, or its most populous one.
//!
//! In: the name of a zone or a place. Out: distances in kilometres on the sphere. The
//! table is `zone.tab` of the time zone database, release 2025b, which is in the public
//! domain and maintained by the Internet Assigned Numbers Authority; it stands beside
//! this file as it was published.

use std::str::FromStr;
use std::sync::LazyLock;

use chrono_tz::Tz;
use geo::{Distance, Haversine, Point};

const TABLE: &str = include_str!("zone.tab");

/// A zone and the place of its row.
#[derive(Debug, Clone, Copy)]
pub(super) struct ZonePlace {
    pub zone: Tz,
    /// Degrees, longitude and latitude.
    pub at: Point<f64>,
}

static ROWS: LazyLock<Vec<ZonePlace>> =
    LazyLock::new(|| TABLE.lines().filter(|line| !line.starts_with('#')).filter_map(row).collect());

/// Country, coordinates and name, with tabs between: `GB +513030-0000731 Europe/London`.
fn row(line: &str) -> Option<ZonePlace> {
    let mut cells = line.split('\t').skip(1);
    let (at, zone) = (cells.next()?, cells.next()?);
    let second = 1 + at.get(1..)?.find(['+', '-'])?;
    let (latitude, longitude) = at.split_at(second);
    let zone = Tz::from_str(zone).ok()?;
    Some(ZonePlace { zone, at: Point::new(degrees(longitude, 3)?, degrees(latitude, 2)?) })
}

/// Degrees of `+DDMM`, `+DDMMSS` and the same with three digits of degrees (ISO 6709).
fn degrees(text: &str, whole: usize) -> Option<f64> {
    let (sign, digits) = text.split_at(1);
    let part = |from: usize, to: usize| digits.get(from..to)?.parse::<f64>().ok();
    let seconds = part(whole + 2, whole + 4).unwrap_or(0.0);
    let size = part(0, whole)? + part(whole, whole + 2)? / 60.0 + seconds / 3600.0;
    Some(if sign == "-" { -size } else { size })
}

/// All zones with a place.
pub(super) fn all() -> &'static [ZonePlace] {
    &ROWS
}

/// The place of a zone, where the table has one: zones by offset alone have none.
pub(super) fn place_of(zone: Tz) -> Option<ZonePlace> {
    all().iter().copied().find(|row| row.zone == zone)
}

/// The row that lies nearest to a place.
pub(super) fn nearest(at: Point<f64>) -> Option<ZonePlace> {
    all().iter().copied().min_by(|a, b| km(a.at, at).total_cmp(&km(b.at, at)))
}

/// Kilometres between two places, degrees.
pub(super) fn km(a: Point<f64>, b: Point<f64>) -> f64 {
    Haversine.distance(a, b) / 1000.0
}
