//! Rows of a season against the plan's own instants, and what they promise.

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;
use rayon::ThreadPoolBuilder;
use season_support::{bowl, clear, date, instants, support};

use crate::season_support;
use quarterstop::base::units::{Lux, Stops, Transmittance};
use quarterstop::camera::{Present, SLIVER_LEFT_SHARE, SLIVER_SHARE, Split, SplitState, lens_view};
use quarterstop::engine::season::{Season, SeasonRow, Splits, Wanted, Weather};
use quarterstop::engine::{Instant, Prepared, Settings};
use quarterstop::geometry::{Obstacle, OverlayScratch, ShadeShare, transmission_toward};
use quarterstop::light::{AirByDate, FloodlightState, Sky};
use quarterstop::solar;
use quarterstop::solar::SunState;
use quarterstop::venue::{FloodlightUse, Floodlights, Leaves, Passes, Venue};

/// Splits come from the same places of the cover in the same shade; what differs is the
/// light of sky and stands, linear between nodes of the sun's grid.
const SPLIT_TOLERANCE_STOPS: f64 = 0.05;

/// A bowl of which one segment is a row of trees, with floodlights.
fn ground() -> Venue {
    let mut venue = bowl(24, 0.4);
    venue.occluders[5].bodies[0].passes = Passes::Leaves(Leaves {
        in_leaf: Transmittance::from_share(0.1),
        bare: Transmittance::from_share(0.6),
        from: (4, 20),
        to: (11, 10),
    });
    venue.floodlights = Some(Floodlights {
        horizontal: Lux::from_lux(1500.0),
        vertical: Lux::from_lux(1200.0),
        colour_temperature_k: 5600.0,
        when: FloodlightUse::BelowDaylight(Lux::from_lux(9000.0)),
    });
    venue
}

fn days() -> Vec<NaiveDate> {
    vec![date(2027, 1, 14), date(2027, 3, 28), date(2027, 6, 21), date(2027, 10, 31)]
}

fn full(venue: &Venue, times: &[DateTime<Tz>], weather: &Weather) -> Vec<Instant> {
    let mut bench = OverlayScratch::default();
    let mut all = Vec::new();
    for day in days() {
        let prepared = Prepared::new(venue, day);
        let on = times.iter().filter(|at| at.date_naive() == day);
        let air = weather.air.on(day);
        all.extend(on.map(|at| prepared.instant(*at, weather.sky, &air, &mut bench)));
    }
    all
}

#[test]
fn rows_are_the_plans_instants() {
    let venue = ground();
    for sky in [Sky::Clear, Sky::Broken] {
        let weather = Weather { sky, ..clear() };
        let season = Season::new(&venue, weather, Wanted::EVERYTHING);
        let times = instants(&venue, &days(), 25);
        let rows = season.rows(&times);
        let full = full(&venue, &times, &weather);
        assert_eq!((rows.len(), full.len()), (times.len(), times.len()));
        let mut off = Vec::new();
        for (row, full) in rows.iter().zip(&full) {
            assert_eq!((row.at, row.sun, row.sun_state), (full.at, full.sun, full.sun_state));
            // shadows and shares are the same code: to the last bit
            assert_eq!(row.field, Some(full.turf.field), "{}", row.at);
            assert_eq!(row.zones, full.turf.zones, "{}", row.at);
            assert_eq!(row.floodlight, Some(full.floodlight), "{}", row.at);
            cameras(&venue, row, full, &mut off);
        }
        off.sort_by(f64::total_cmp);
        let of = |share: usize| off[(off.len() * share / 100).min(off.len() - 1)];
        println!(
            "{sky:?}: {} splits, half within {:.4}, 99 % {:.4}, worst {:.4} stop",
            off.len(),
            of(50),
            of(99),
            of(100)
        );
        assert!(off.len() > 500);
        assert!(of(100) < SPLIT_TOLERANCE_STOPS, "{}", of(100));
        assert!(rows.iter().any(|row| row.floodlight == Some(FloodlightState::Lit)));
    }
}

/// Cameras of one instant; differences of splits are collected.
fn cameras(venue: &Venue, row: &SeasonRow, full: &Instant, off: &mut Vec<f64>) {
    let toward = row.sun.toward();
    let date = row.at.date_naive();
    for ((camera, view), post) in row.cameras.iter().zip(&full.cameras).zip(&venue.cameras) {
        let own = camera.view.unwrap();
        match row.sun_state {
            SunState::Up => {
                assert_eq!(own.shaded_share, view.shaded_share, "{} {}", post.name, row.at)
            }
            // the plan cuts the dark field with the cover, which rounds
            _ => assert!((own.shaded_share - view.shaded_share).abs() < 1e-9),
        }
        assert_eq!(own.mixed_frames, view.mixed_frames, "{} {}", post.name, row.at);
        for (own, full) in [(own.turf, view.turf), (own.subject, view.subject)] {
            off.extend(difference(&own, &full));
        }
        let expected = match row.sun_state {
            SunState::Up => {
                let obstacles = Obstacle::all_of(venue, date);
                lens_view(post, toward, transmission_toward(&obstacles, post.at, toward)).state
            }
            _ => quarterstop::camera::LensState::Clear,
        };
        assert_eq!(camera.lens, Some(expected), "{} {}", post.name, row.at);
    }
}

fn difference(own: &Split, full: &Split) -> Option<f64> {
    match (own.state, full.state) {
        (SplitState::InShot(a), SplitState::InShot(b)) => Some((a.stops() - b.stops()).abs()),
        (SplitState::Latent(a, side), SplitState::Latent(b, other)) => {
            assert_eq!(side, other);
            Some((a.stops() - b.stops()).abs())
        }
        (SplitState::NoEdge, SplitState::NoEdge) => None,
        other => panic!("{other:?}"),
    }
}

/// The same minutes of all demos in `match` and in `year`, where nobody states the air: four
/// days of each, of which none is the middle of a season. Ranges are worked out from coarser
/// tables: nine of ten ends lie within a tenth of a stop.
#[test]
fn match_and_year_agree_on_the_demos() {
    for demo in ["football", "tennis", "golf"] {
        let file = format!("{}/venues/{demo}-demo.toml", env!("CARGO_MANIFEST_DIR"));
        let venue = quarterstop::venue::read(std::path::Path::new(&file)).unwrap();
        let airs = AirByDate::typical(&venue.place);
        let weather = Weather { sky: Sky::Clear, air: airs };
        let season = Season::new(&venue, weather, Wanted::EVERYTHING);
        let (mut off, mut ends) = (Vec::new(), Vec::new());
        for day in [date(2027, 2, 20), date(2027, 5, 30), date(2027, 8, 31), date(2027, 11, 5)] {
            let times = instants(&venue, &[day], 60);
            let up = |at: &DateTime<Tz>| {
                let sun = solar::position(&venue.place, at.with_timezone(&chrono::Utc));
                sun.apparent_elevation.degrees() > 2.0
            };
            let times: Vec<DateTime<Tz>> = times.into_iter().filter(up).collect();
            let prepared = Prepared::new(&venue, day);
            // one by one: a plan of several lets a side that was there stay
            let instant = |at: DateTime<Tz>| {
                let settings = Settings {
                    from: at,
                    until: at,
                    step: chrono::TimeDelta::hours(1),
                    sky: Sky::Clear,
                    air: airs.on(day),
                    hold: Stops::from_stops(2.0),
                    milestones: Vec::new(),
                };
                prepared.run(&settings, |_, _| ()).unwrap().instants.remove(0)
            };
            for row in season.rows(&times) {
                let full = instant(row.at);
                assert_eq!(row.at, full.at);
                for (own, full) in row.cameras.iter().zip(&full.cameras) {
                    let own = own.view.unwrap();
                    for (own, full) in [(own.turf, full.turf), (own.subject, full.subject)] {
                        let stops = |split: &Split| split.state.in_shot();
                        let Some((a, b)) = stops(&own).zip(stops(&full)) else { continue };
                        off.push((a.stops() - b.stops()).abs());
                        // none where hazy air leaves no direct sun
                        let range = |split: &Split| split.range.and_then(|range| range.stops);
                        let Some((own, full)) = range(&own).zip(range(&full)) else { continue };
                        assert!(own.low < a.stops() && a.stops() < own.high, "{own:?} {a:?}");
                        ends.extend([(own.low - full.low).abs(), (own.high - full.high).abs()]);
                    }
                }
            }
        }
        off.sort_by(f64::total_cmp);
        ends.sort_by(f64::total_cmp);
        let (worst, most) = (off[off.len() - 1], ends[ends.len() * 9 / 10]);
        println!("{demo}: {} splits within {worst:.4}, nine ends of ten {most:.4}", off.len());
        assert!(off.len() > 20, "{demo}: {}", off.len());
        assert!(ends.len() > 9 * 2 * off.len() / 10, "{demo}: {} {}", ends.len(), off.len());
        assert!(worst < SPLIT_TOLERANCE_STOPS, "{demo}: {worst}");
        assert!(most < 0.1, "{demo}: {most}");
    }
}

#[test]
fn what_is_not_wanted_is_not_told_and_changes_nothing_else() {
    let venue = ground();
    let times = instants(&venue, &days()[..2], 60);
    let all = Season::new(&venue, clear(), Wanted::EVERYTHING).rows(&times);
    let turf = Wanted { field: true, splits: Splits::Turf, ..Wanted::NOTHING };
    let some = Season::new(&venue, clear(), turf).rows(&times);
    for (all, some) in all.iter().zip(&some) {
        assert_eq!(all.field, some.field);
        assert!(some.zones.is_empty() && some.floodlight.is_none());
        for (all, some) in all.cameras.iter().zip(&some.cameras) {
            let (all, view) = (all.view.unwrap(), some.view.unwrap());
            let without_range = Split { range: None, ..all.turf };
            assert_eq!((without_range, all.mixed_frames), (view.turf, view.mixed_frames));
            assert_eq!((view.subject, some.lens), (Split::NOTHING, None));
        }
    }
    let none = Season::new(&venue, clear(), Wanted::NOTHING).rows(&times);
    assert!(none.iter().all(|row| row.field.is_none() && row.cameras.is_empty()));
}

#[test]
fn rows_are_the_same_bit_for_bit_whatever_the_threads_and_the_order() {
    let venue = ground();
    let times = instants(&venue, &days()[1..3], 40);
    let with = |threads: usize, times: &[DateTime<Tz>]| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| Season::new(&venue, clear(), Wanted::EVERYTHING).rows(times))
    };
    let one = with(1, &times);
    assert_eq!(one, with(3, &times));
    let backward: Vec<DateTime<Tz>> = times.iter().rev().copied().collect();
    let mut turned = with(2, &backward);
    turned.reverse();
    assert_eq!(one, turned);
}

/// A plan keeps a side down to half of the limit; rows know no row before, and have the limit
/// itself, also where they are asked for minute by minute.
#[test]
fn rows_stand_alone_and_have_the_plain_limit_of_a_side() {
    let venue = ground();
    let season = Season::new(&venue, clear(), Wanted::EVERYTHING);
    let rows = season.rows(&instants(&venue, &days(), 1));
    let (mut edges, mut slivers) = (0, 0);
    for row in rows.iter().filter(|row| row.sun_state == SunState::Up) {
        for turf in row.cameras.iter().map(|camera| camera.view.unwrap().turf) {
            let sides = turf.shares.present(Present::NONE).ends();
            let edge = sides.is_some_and(|(bright, dark)| bright != dark);
            assert_eq!(turf.state.in_shot().is_some(), edge, "{} {:?}", row.at, turf.shares);
            edges += usize::from(edge);
            let small = SLIVER_LEFT_SHARE..SLIVER_SHARE;
            let shares = [turf.shares.sun, turf.shares.dimmed, turf.shares.shade];
            slivers += usize::from(shares.iter().any(|share| small.contains(share)));
        }
    }
    assert!(edges > 0 && slivers > 0, "{edges} {slivers}");
    let alone = season.rows(&[rows[rows.len() / 2].at]);
    assert_eq!(alone[0], rows[rows.len() / 2]);
}

#[test]
fn leaves_change_rows_on_their_dates_and_grounds_are_shared_between_skies() {
    let venue = ground();
    let wanted = Wanted { field: true, ..Wanted::NOTHING };
    let season = Season::new(&venue, clear(), wanted);
    let dim = |rows: Vec<SeasonRow>| -> f64 {
        rows.iter().filter_map(|row| row.field).map(|f| f.mean_transmission).sum()
    };
    let of = |day| dim(season.rows(&instants(&venue, &[day], 15)));
    // the day before the leaves come, and that day: nearly the same sun
    let (bare, leaf) = (of(date(2027, 4, 19)), of(date(2027, 4, 20)));
    assert!(bare > leaf + 0.05, "{bare} {leaf}");
    let broken = season.under(Weather { sky: Sky::Broken, ..clear() });
    let times = instants(&venue, &[date(2027, 4, 20)], 15);
    assert_eq!(dim(broken.rows(&times)), leaf);
}

#[test]
fn a_ground_without_occluders_has_no_shade_at_any_time_of_the_year() {
    let mut venue = support::football();
    venue.cameras = bowl(8, 0.0).cameras;
    let wanted = Wanted { field: true, splits: Splits::Turf, lenses: true, ..Wanted::NOTHING };
    let season = Season::new(&venue, clear(), wanted);
    let mut days: Vec<NaiveDate> = (1..=12).map(|month| date(2027, month, 9)).collect();
    days.push(date(2028, 2, 29));
    let rows = season.rows(&instants(&venue, &days, 20));
    let mut up = 0;
    for row in rows.iter().filter(|row| row.sun_state == SunState::Up) {
        up += 1;
        let none = ShadeShare { opaque: 0.0, shaded: 0.0, mean_transmission: 1.0 };
        assert_eq!(row.field, Some(none), "{}", row.at);
        assert_eq!(row.field_is_mixed(), Some(false));
        for camera in &row.cameras {
            let view = camera.view.unwrap();
            assert_eq!((view.shaded_share, view.mixed_frames), (0.0, 0.0), "{}", row.at);
            assert_eq!(view.turf.state.in_shot(), None);
        }
    }
    assert!(up > 400);
}
