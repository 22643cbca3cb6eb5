//! What holds of every shadow, on grounds by chance.

use crate::properties_support;
use crate::support;

use geo::Area;
use glam::DVec3;
use properties_support::{
    Form, Ground, Hand, SunAt, TOLERANCE_M2, Thing, cast, grounds, heights, suns, thing, things,
};
use proptest::prelude::*;
use quarterstop::geometry::{Region, Shadow};
use quarterstop::venue::{Part, Shape};

/// One ground and sun in the dev build takes half a millisecond.
fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, ..ProptestConfig::default() }
}

/// Areas of parts of a shadow agree with the polygons that are drawn of it, m2.
fn polygons_off_m2(shadow: &Shadow) -> f64 {
    let dimmed: f64 = shadow.dimmed.iter().map(|d| d.region.unsigned_area()).sum();
    let opaque = shadow.opaque.unsigned_area();
    let parts = (opaque - shadow.opaque_area_m2).abs();
    parts.max((opaque + dimmed - shadow.shaded.unsigned_area()).abs())
}

proptest! {
    #![proptest_config(cases(192))]

    #[test]
    fn shares_lie_between_nothing_and_all(
        ground in grounds(), sun in suns(), height in heights(),
    ) {
        let venue = ground.venue(Hand::AsItIs);
        let shadow = cast(&venue, sun, Hand::AsItIs, height);
        let all = ground.shares(Hand::AsItIs, sun, height);
        let each = all.cells.iter().map(|c| c.1).chain([all.field]);
        for share in each {
            // sums of shares in floating point
            const DUST: f64 = 1e-9;
            let (opaque, shaded) = (share.opaque, share.shaded);
            let lost = 1.0 - share.mean_transmission;
            prop_assert!(0.0 <= opaque && opaque <= shaded && shaded <= 1.0, "{share:?}");
            prop_assert!(opaque <= lost + DUST && lost <= shaded + DUST, "{share:?}");
        }
        prop_assert!(polygons_off_m2(&shadow) < TOLERANCE_M2, "{}", polygons_off_m2(&shadow));
    }

    #[test]
    fn a_mirrored_ground_has_a_mirrored_shadow(
        ground in grounds(), sun in suns(), height in heights(),
    ) {
        let one = ground.shares(Hand::AsItIs, sun, height);
        let other = ground.shares(Hand::Mirrored, sun, height);
        prop_assert!(one.off_m2(&other) < TOLERANCE_M2, "{} m2", one.off_m2(&other));
    }

    #[test]
    fn a_ground_that_turns_with_the_sun_keeps_its_shadow(
        ground in grounds(), sun in suns(), height in heights(), turn in 0.0..360.0,
    ) {
        let one = ground.shares(Hand::AsItIs, sun, height);
        let turned = Ground { bearing: ground.bearing + turn, ..ground };
        let other = turned.shares(Hand::AsItIs, sun, height);
        prop_assert!(one.off_m2(&other) < TOLERANCE_M2, "{} m2", one.off_m2(&other));
    }

    #[test]
    fn more_things_never_make_less_shade(
        ground in grounds(), more in things(1..4), sun in suns(), height in heights(),
    ) {
        let before = ground.shares(Hand::AsItIs, sun, height);
        let after = ground.with(&more).shares(Hand::AsItIs, sun, height);
        prop_assert!(before.lost_m2(&after) < TOLERANCE_M2, "{} m2", before.lost_m2(&after));
    }

    #[test]
    fn what_stands_twice_shades_once_where_nothing_passes(
        ground in grounds(), sun in suns(), height in heights(), times in 2_usize..5,
    ) {
        let opaque = |t: &Thing| Thing { passes: 0.0, ..*t };
        let things: Vec<Thing> = ground.things.iter().map(opaque).collect();
        let once = Ground { things: things.clone(), ..ground.clone() };
        let often = Ground { things: things.repeat(times), ..ground };
        let (once, often) =
            (once.shares(Hand::AsItIs, sun, height), often.shares(Hand::AsItIs, sun, height));
        prop_assert!(once.off_m2(&often) < TOLERANCE_M2, "{} m2", once.off_m2(&often));
    }

    /// Light that passes two of the same is dimmed twice: arithmetic.
    #[test]
    fn what_dims_twice_dims_by_the_square(
        ground in grounds(), dims in thing(), sun in suns(), height in heights(),
    ) {
        let of = |passes: f64, times: usize| {
            let thing = Thing { passes, ..dims };
            let things = vec![thing; times];
            Ground { things, ..ground.clone() }.shares(Hand::AsItIs, sun, height)
        };
        let (twice, square) = (of(0.6, 2), of(0.6 * 0.6, 1));
        prop_assert!(twice.off_m2(&square) < TOLERANCE_M2, "{} m2", twice.off_m2(&square));
    }

    /// A box cut through its middle: the halves share a face, corner for corner.
    #[test]
    fn a_thing_cut_in_two_shades_as_it_did(
        ground in grounds(), cut in thing(), sun in suns(), height in heights(),
    ) {
        let whole = Thing { form: Form::Box, passes: 0.0, ..cut };
        let (sin, cos) = whole.turned.to_radians().sin_cos();
        let half = whole.half[0] / 2.0;
        let part = |way: f64| Thing {
            at: [whole.at[0] + way * half * cos, whole.at[1] + way * half * sin],
            half: [half, whole.half[1]],
            ..whole
        };
        let one = ground.with(std::slice::from_ref(&whole)).shares(Hand::AsItIs, sun, height);
        let two = ground.with(&[part(-1.0), part(1.0)]).shares(Hand::AsItIs, sun, height);
        prop_assert!(one.off_m2(&two) < TOLERANCE_M2, "{} m2", one.off_m2(&two));
    }

    /// Zones that tile a field, cut at any places: their shades add up to the field's.
    #[test]
    fn zones_that_tile_the_field_add_up(
        ground in grounds(), sun in suns(), height in heights(),
        cuts in proptest::collection::vec((0.01..0.99_f64, any::<bool>()), 0..9),
    ) {
        let venue = ground.venue(Hand::AsItIs);
        let shadow = cast(&venue, sun, Hand::AsItIs, height);
        let [x, y] = ground.half;
        let mut tiles = vec![[-x, -y, x, y]];
        for (i, (share, along)) in cuts.into_iter().enumerate() {
            let [x0, y0, x1, y1] = tiles.remove(i / 2);
            let (x, y) = (x0 + share * (x1 - x0), y0 + share * (y1 - y0));
            tiles.extend(match along {
                true => [[x0, y0, x, y1], [x, y0, x1, y1]],
                false => [[x0, y0, x1, y], [x0, y, x1, y1]],
            });
        }
        let mut sums = [0.0; 4];
        for [x0, y0, x1, y1] in tiles {
            let ring = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
            let outline = support::polygon(venue.field.frame, &ring);
            let zone = Region::new(&geo::MultiPolygon(vec![outline]));
            let share = zone.share(&shadow);
            let parts = [1.0, share.opaque, share.shaded, share.mean_transmission];
            for (sum, part) in sums.iter_mut().zip(parts) {
                *sum += part * zone.area_m2();
            }
        }
        let (field, area) = (shadow.field_share(), shadow.field_area_m2);
        let whole = [1.0, field.opaque, field.shaded, field.mean_transmission].map(|s| s * area);
        for (sum, whole) in sums.into_iter().zip(whole) {
            prop_assert!((sum - whole).abs() < TOLERANCE_M2, "{sums:?} against {whole:?}");
        }
    }

    /// A wall along the whole of a side and beyond: its shade is a strip as deep as its
    /// height over the tangent of the elevation, less the way to the field. Source: shadow
    /// length = height / tan(elevation), any surveying handbook. From a sun that has just
    /// risen to one almost overhead.
    #[test]
    fn a_long_wall_throws_a_strip(
        depth in 5.0..40.0_f64, away in 0.0..20.0_f64, wall in 1.0..30.0_f64,
        power in -4.0..1.95_f64, bearing in 0.0..360.0,
    ) {
        let elevation = 10_f64.powf(power);
        let screen = Thing {
            form: Form::Screen,
            at: [0.0, -depth - away + 0.5],
            // the first side of the ring is the screen: half a metre behind its middle
            half: [200.0, 0.5],
            turned: 0.0,
            bottom: 0.0,
            height: wall,
            passes: 0.0,
        };
        let ground = Ground { half: [50.0, depth], bearing, things: vec![screen] };
        // the sun stands behind the wall, to the right of the field
        let sun = SunAt { from_bearing: 90.0, elevation };
        let shares = ground.shares(Hand::AsItIs, sun, 0.0);
        let strip = (wall / elevation.to_radians().tan() - away).clamp(0.0, 2.0 * depth);
        let found = shares.field.opaque * shares.area_m2;
        prop_assert!((found - 100.0 * strip).abs() < TOLERANCE_M2, "{found} m2 for {strip} m");
    }

    /// Straight under the sun a thing shades what it stands over: shadows of plates are
    /// their plans, screens have none. Plans are joined by crate `geo`, which shares the
    /// engine of the overlay but neither its grid nor the meshes.
    #[test]
    fn the_sun_overhead_draws_the_plan(ground in grounds()) {
        use geo::{BooleanOps, MultiPolygon, unary_union};
        let opaque = |t: &Thing| Thing { passes: 0.0, ..*t };
        let ground = Ground { things: ground.things.iter().map(opaque).collect(), ..ground };
        let venue = ground.venue(Hand::AsItIs);
        let plans = ground.things.iter().filter(|t| !matches!(t.form, Form::Screen)).map(|t| {
            let (sin, cos) = t.turned.to_radians().sin_cos();
            let ring = [(-1., -1.), (1., -1.), (1., 1.), (-1., 1.)].map(|(x, y)| {
                let (x, y) = (x * t.half[0], y * t.half[1]);
                [t.at[0] + x * cos - y * sin, t.at[1] + x * sin + y * cos]
            });
            support::polygon(venue.field.frame, &ring)
        });
        let plans: Vec<_> = plans.collect();
        let field = MultiPolygon(vec![venue.field.outline.clone()]);
        let expected = unary_union(&plans).intersection(&field).unsigned_area();
        let sun = SunAt { from_bearing: 0.0, elevation: 90.0 };
        let shadow = cast(&venue, sun, Hand::AsItIs, 0.0);
        // the cosine of 90 degrees is 6e-17: what is 50 m up moves by nothing
        prop_assert!(
            (shadow.opaque_area_m2 - expected).abs() < TOLERANCE_M2,
            "{} against {expected}", shadow.opaque_area_m2
        );
    }

    /// Slivers: thinner than the grid of the field, flat, or without any area. They shade
    /// no more than their own width, and what else stands there not less.
    #[test]
    fn slivers_do_no_harm(
        ground in grounds(), mut slivers in things(1..6), power in -12.0..-2.0_f64,
        flat in any::<bool>(), sun in suns(), height in heights(),
    ) {
        let width = 10_f64.powf(power);
        for sliver in &mut slivers {
            sliver.half[1] = width / 2.0;
            if flat {
                sliver.height = width;
            }
        }
        let before = ground.shares(Hand::AsItIs, sun, height);
        let after = ground.with(&slivers).shares(Hand::AsItIs, sun, height);
        prop_assert!(before.lost_m2(&after) < TOLERANCE_M2, "{} m2", before.lost_m2(&after));
        let share = after.field;
        prop_assert!(share.opaque <= share.shaded && share.shaded <= 1.0, "{share:?}");
        if sun.elevation == 90.0 {
            let screens = |t: &&Thing| !matches!(t.form, Form::Screen);
            let most: f64 =
                slivers.iter().filter(screens).map(|t| 2.0 * t.half[0] * width).sum();
            let more = (after.field.shaded - before.field.shaded) * before.area_m2;
            prop_assert!(more <= most + TOLERANCE_M2, "{more} m2 of {most} m2");
        }
    }
}

/// Sheets and boxes whose corners lie on one line or at one point.
#[test]
fn things_without_extent_throw_no_shadow() {
    let sun = SunAt { from_bearing: 33.0, elevation: 40.0 };
    let points = [
        vec![DVec3::new(1.0, 2.0, 5.0); 3],
        vec![DVec3::new(0.0, 0.0, 5.0), DVec3::new(4.0, 4.0, 6.0), DVec3::new(8.0, 8.0, 7.0)],
        vec![DVec3::new(0.0, 0.0, 5.0), DVec3::new(4.0, 4.0, 6.0)],
        Vec::new(),
    ];
    for corners in points {
        let mut venue = support::football();
        let mut shapes = vec![Shape::Sheet { corners: corners.clone() }];
        if corners.len() > 2 {
            shapes.push(support::between_rings(&corners, &corners));
        }
        for shape in shapes {
            let body = support::body(Part::Panel, shape, 0.0);
            venue.occluders.push(support::occluder("nothing", vec![body]));
        }
        for height in [0.0, 1.7, 5.5] {
            let shadow = cast(&venue, sun, Hand::AsItIs, height);
            assert!(shadow.opaque_area_m2.abs() < TOLERANCE_M2, "{corners:?}");
            assert_eq!(shadow.field_share().mean_transmission, 1.0);
        }
    }
}

/// A pile of the same roof over the whole field: sums of areas do not run over.
#[test]
fn a_hundred_roofs_on_top_of_each_other() {
    for passes in [0.0, 0.6] {
        let roof = Thing {
            form: Form::Plate,
            at: [0.0, 0.0],
            half: [300.0, 300.0],
            turned: 0.0,
            bottom: 20.0,
            height: 1.0,
            passes,
        };
        let ground = Ground { half: [52.5, 34.0], bearing: 20.0, things: vec![roof; 100] };
        let share = ground.shares(Hand::AsItIs, SunAt { from_bearing: 70.0, elevation: 50.0 }, 0.0);
        assert_eq!(share.field.shaded, 1.0);
        // from the 55th on layers are no longer told apart: 6e-13 is left by then
        let through = f64::powi(passes, 100);
        assert!((share.field.mean_transmission - through).abs() < 1e-9, "{:?}", share.field);
    }
}

/// Ten thousand boxes over a field, apart from each other: under a sun overhead their
/// plans add up, and under any sun no more than the sum of their shadows is in shade.
#[test]
fn ten_thousand_solids() {
    let (half, side) = ([60.0, 40.0], 0.4);
    let things = (0..10_000).map(|i| Thing {
        form: Form::Box,
        at: [f64::from(i % 100) * 1.2 - 59.4, f64::from(i / 100) * 0.8 - 39.6],
        half: [side / 2.0; 2],
        turned: 0.0,
        bottom: 8.0,
        height: 0.5,
        passes: 0.0,
    });
    let ground = Ground { half, bearing: 77.0, things: things.collect() };
    let venue = ground.venue(Hand::AsItIs);
    let shaded = |sun: SunAt, height: f64| {
        cast(&venue, sun, Hand::AsItIs, height).field_share().shaded * 4.0 * half[0] * half[1]
    };
    let plans = 10_000.0 * side * side;
    // each outline may be off by the cell of the grid, 2^-22 m, all around
    let rounding = 10_000.0 * 4.0 * side * 4.0 * f64::exp2(-22.0);
    let overhead = shaded(SunAt { from_bearing: 0.0, elevation: 90.0 }, 0.0);
    assert!((overhead - plans).abs() < rounding, "{overhead} against {plans}");
    // along the bearing at 45 degrees each is longer by its height
    let along = shaded(SunAt { from_bearing: 0.0, elevation: 45.0 }, 8.0);
    let most = plans + 10_000.0 * side * 0.5;
    // one row of a hundred throws its shadow off the field at most
    assert!(along <= most + rounding && along > 0.98 * most, "{along} of {most}");
}
