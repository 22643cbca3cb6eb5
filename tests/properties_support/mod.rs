//! Grounds by chance, for properties that hold on all of them. Invented throughout.
//!
//! A ground is made in field axes, so that the same ground can be turned, mirrored and
//! added to. What is compared is not one area but that of twelve cells of the field, each
//! a region of its own: two shadows with equal shares in all of them lie at one place.

use chrono::NaiveDate;
use geo::MultiPolygon;
use glam::DVec3;
use proptest::prelude::*;

use crate::support;
use quarterstop::base::frame::{FieldFrame, FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{Caster, OverlayScratch, Region, ShadeShare, Shadow};
use quarterstop::venue::{Part, Shape, Venue};

/// The longest field of these grounds, metres.
pub const MAX_LENGTH_M: f64 = 128.0;
/// Bodies of a ground by chance.
pub const MAX_THINGS: usize = 8;
/// Two ways to the same shadow may differ by the rounding of corners to the grid of the
/// field, which has 2^-22 m at 128 m: the overlay may move a corner by some cells (it
/// starts at one and doubles where lines meet at flat angles), along outlines of at most
/// 600 m (the way around the field, and as much within) for each of eight bodies, twice
/// over. 4 cells x 600 m x 8 x 2 = 9e-3 m2.
pub const TOLERANCE_M2: f64 = 9e-3;

/// Where the sun stands, degrees; the azimuth from the field's bearing, so that sun and
/// ground turn together.
#[derive(Debug, Clone, Copy)]
pub struct SunAt {
    pub from_bearing: f64,
    pub elevation: f64,
}

/// Something that stands at the field, field axes, metres and degrees.
#[derive(Debug, Clone, Copy)]
pub struct Thing {
    pub form: Form,
    pub at: [f64; 2],
    pub half: [f64; 2],
    pub turned: f64,
    pub bottom: f64,
    pub height: f64,
    pub passes: f64,
}

#[derive(Debug, Clone, Copy)]
pub enum Form {
    /// An upright box.
    Box,
    /// A box that is smaller at its top.
    Stump,
    /// A plate, one side `height` over the other.
    Plate,
    /// An upright sheet.
    Screen,
}

/// A field with things around and over it.
#[derive(Debug, Clone)]
pub struct Ground {
    pub half: [f64; 2],
    pub bearing: f64,
    pub things: Vec<Thing>,
}

/// Which way a ground is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    AsItIs,
    /// Left and right changed, and with them the bearing's turn from north.
    Mirrored,
}

impl Thing {
    fn ring(&self, hand: Hand, up: f64, scale: f64) -> Vec<FieldPoint> {
        let (sin, cos) = self.turned.to_radians().sin_cos();
        let corner = |x: f64, y: f64| {
            let (x, y) = (x * self.half[0] * scale, y * self.half[1] * scale);
            let across_m = self.at[1] + x * sin + y * cos;
            FieldPoint {
                along_m: self.at[0] + x * cos - y * sin,
                across_m: if hand == Hand::Mirrored { -across_m } else { across_m },
                up_m: up,
            }
        };
        let mut ring = vec![corner(-1., -1.), corner(1., -1.), corner(1., 1.), corner(-1., 1.)];
        if hand == Hand::Mirrored {
            ring.reverse();
        }
        ring
    }

    fn shape(&self, frame: FieldFrame, hand: Hand) -> Shape {
        let local = |ring: Vec<FieldPoint>| -> Vec<DVec3> {
            ring.into_iter().map(|p| frame.to_local(p)).collect()
        };
        let top = self.bottom + self.height;
        let lower = self.ring(hand, self.bottom, 1.0);
        let upper = |scale: f64| self.ring(hand, top, scale);
        match self.form {
            Form::Box => support::between_rings(&local(lower), &local(upper(1.0))),
            Form::Stump => support::between_rings(&local(lower), &local(upper(0.5))),
            Form::Plate => {
                let mut corners = lower;
                // the first side of the ring, whichever way it runs
                let raised = if hand == Hand::Mirrored { [0, 1] } else { [2, 3] };
                raised.into_iter().for_each(|i| corners[i].up_m = top);
                Shape::Sheet { corners: local(corners) }
            }
            Form::Screen => {
                let upper = upper(1.0);
                let at = |i: usize| if hand == Hand::Mirrored { 3 - i } else { i };
                let corners = vec![lower[at(0)], lower[at(1)], upper[at(1)], upper[at(0)]];
                Shape::Sheet { corners: local(corners) }
            }
        }
    }
}

impl Ground {
    pub fn venue(&self, hand: Hand) -> Venue {
        let bearing = if hand == Hand::Mirrored { -self.bearing } else { self.bearing };
        let [x, y] = self.half;
        let mut venue = support::open_field(&[[-x, -y], [x, -y], [x, y], [-x, y]], bearing);
        let frame = venue.field.frame;
        for thing in &self.things {
            let part = if matches!(thing.form, Form::Plate) { Part::Roof } else { Part::Solid };
            let body = support::body(part, thing.shape(frame, hand), thing.passes);
            venue.occluders.push(support::occluder("thing", vec![body]));
        }
        venue
    }

    pub fn with(&self, more: &[Thing]) -> Self {
        let things = self.things.iter().chain(more).cloned().collect();
        Self { things, ..self.clone() }
    }

    /// Shares of twelve cells and of the field, and what they weigh, m2.
    pub fn shares(&self, hand: Hand, sun: SunAt, height_m: f64) -> Shares {
        let venue = self.venue(hand);
        let shadow = cast(&venue, sun, hand, height_m);
        let frame = venue.field.frame;
        let cell = |i: usize| {
            let (column, row) = ((i % 4) as f64, (i / 4) as f64);
            let x = |c: f64| self.half[0] * (c / 2.0 - 1.0);
            let y = |r: f64| {
                let y = self.half[1] * (r / 1.5 - 1.0);
                if hand == Hand::Mirrored { -y } else { y }
            };
            let ring = [(0., 0.), (1., 0.), (1., 1.), (0., 1.)];
            let ring = ring.map(|(c, r)| [x(column + c), y(row + r)]);
            Region::new(&MultiPolygon(vec![support::polygon(frame, &ring)]))
        };
        let cells: Vec<Region> = (0..12).map(cell).collect();
        Shares {
            area_m2: shadow.field_area_m2,
            field: shadow.field_share(),
            cells: cells.iter().map(|c| (c.area_m2(), c.share(&shadow))).collect(),
        }
    }
}

/// The shadow of a ground by a sun that turns and mirrors with it.
pub fn cast(venue: &Venue, sun: SunAt, hand: Hand, height_m: f64) -> Shadow {
    let way = if hand == Hand::Mirrored { -1.0 } else { 1.0 };
    let azimuth = venue.field.frame.bearing().degrees() + way * sun.from_bearing;
    let toward = direction(Azimuth::from_degrees(azimuth), Elevation::from_degrees(sun.elevation));
    Caster::new(venue, date(), height_m).cast(toward, &mut OverlayScratch::default())
}

pub fn date() -> NaiveDate {
    support::date()
}

/// How much of a field and of its cells is shaded.
#[derive(Debug, Clone)]
pub struct Shares {
    pub area_m2: f64,
    pub field: ShadeShare,
    pub cells: Vec<(f64, ShadeShare)>,
}

impl Shares {
    /// Areas, m2: opaque, shaded, and lost light as if it were area; of the field, then of
    /// each cell.
    pub fn areas(&self) -> Vec<[f64; 3]> {
        let of = |(area, share): (f64, &ShadeShare)| {
            [share.opaque, share.shaded, 1.0 - share.mean_transmission].map(|s| s * area)
        };
        let field = std::iter::once((self.area_m2, &self.field));
        field.chain(self.cells.iter().map(|(area, share)| (*area, share))).map(of).collect()
    }

    /// By how much another differs at the most, m2.
    pub fn off_m2(&self, other: &Self) -> f64 {
        let pairs = self.areas().into_iter().zip(other.areas());
        pairs.flat_map(|(a, b)| [0, 1, 2].map(|i| (a[i] - b[i]).abs())).fold(0.0, f64::max)
    }

    /// By how much another has less of anything, m2.
    pub fn lost_m2(&self, other: &Self) -> f64 {
        let pairs = self.areas().into_iter().zip(other.areas());
        pairs.flat_map(|(a, b)| [0, 1, 2].map(|i| a[i] - b[i])).fold(0.0, f64::max)
    }
}

/// A sun anywhere above the horizon, with those places that are special more often.
pub fn suns() -> impl Strategy<Value = SunAt> {
    let azimuth = prop_oneof![
        3 => 0.0..360.0,
        1 => (0_u32..8).prop_map(|i| 45.0 * f64::from(i)),
    ];
    let elevation = prop_oneof![
        6 => 2.0..88.0,
        1 => 0.001..2.0,
        1 => 88.0..90.0,
        1 => Just(45.0),
        1 => Just(90.0),
    ];
    (azimuth, elevation).prop_map(|(from_bearing, elevation)| SunAt { from_bearing, elevation })
}

pub fn heights() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), Just(1.7), 0.0..10.0]
}

pub fn things(
    count: impl Into<proptest::collection::SizeRange>,
) -> impl Strategy<Value = Vec<Thing>> {
    proptest::collection::vec(thing(), count)
}

pub fn thing() -> impl Strategy<Value = Thing> {
    let form =
        prop_oneof![Just(Form::Box), Just(Form::Stump), Just(Form::Plate), Just(Form::Screen),];
    let passes = prop_oneof![3 => Just(0.0), 2 => (1_u32..5).prop_map(|i| 0.2 * f64::from(i))];
    // round numbers more often than not: things in line and in touch
    let length = |low: i32, high: i32| {
        prop_oneof![(low..high).prop_map(f64::from), f64::from(low)..f64::from(high),]
    };
    let at = (length(-80, 80), length(-60, 60));
    let half = (length(1, 30), length(1, 12));
    let turned = prop_oneof![Just(0.0), Just(90.0), 0.0..360.0];
    (form, at, half, turned, length(0, 12), length(1, 30), passes).prop_map(
        |(form, at, half, turned, bottom, height, passes)| Thing {
            form,
            at: at.into(),
            half: half.into(),
            turned,
            bottom,
            height,
            passes,
        },
    )
}

pub fn grounds() -> impl Strategy<Value = Ground> {
    let half = (10.0..MAX_LENGTH_M / 2.0, 5.0..MAX_LENGTH_M / 3.0);
    (half, 0.0..360.0, things(0..=MAX_THINGS)).prop_map(|(half, bearing, things)| Ground {
        half: half.into(),
        bearing,
        things,
    })
}
