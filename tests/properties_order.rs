//! The order of tables in a venue file means nothing: shares, splits and cues of the demo
//! are those of the same file with its tables in any other order.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;
use proptest::prelude::*;

use quarterstop::geometry::ShadeShare;
use quarterstop::venue::Venue;
use quarterstop::{jobs, venue};

use crate::plan_brief::in_steps;

/// Sums run in another order: of areas in m2 over a field of 7140 m2, and of some hundred
/// terms of light.
const SHARE: f64 = 1e-6;
const STOPS: f64 = 1e-4;
/// A cue is found to half a second and rounded to whole ones.
const CUE_S: i64 = 2;

/// The file with the tables of each kind in another order.
fn shuffled(text: &str, mut seed: u64) -> String {
    let mut file: toml::Table = text.parse().unwrap();
    let mut below = |n: usize| {
        // xorshift64 (Marsaglia, Journal of Statistical Software 8(14), 2003)
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        (seed % n as u64) as usize
    };
    for (_, value) in file.iter_mut() {
        if let toml::Value::Array(tables) = value
            && tables.iter().all(toml::Value::is_table)
        {
            (1..tables.len()).rev().for_each(|i| tables.swap(i, below(i + 1)));
        }
    }
    toml::to_string(&file).unwrap()
}

/// All that is compared, by names: no index depends on the order then.
struct Report {
    /// Field and zones on the turf, by instant and name.
    shares: BTreeMap<(DateTime<Tz>, String), ShadeShare>,
    /// Turf and subject, by instant and camera; `None` without an edge in shot.
    splits: BTreeMap<(DateTime<Tz>, String), [Option<f64>; 2]>,
    /// By kind and words.
    cues: Vec<(String, String, DateTime<Tz>)>,
}

fn told(venue: &Venue) -> Report {
    let (plan, brief) = in_steps(venue, TimeDelta::minutes(5));
    let mut told = Report { shares: BTreeMap::new(), splits: BTreeMap::new(), cues: Vec::new() };
    for instant in &plan.instants {
        told.shares.insert((instant.at, "the field".into()), instant.turf.field);
        for (zone, share) in venue.zones.iter().zip(&instant.turf.zones) {
            told.shares.insert((instant.at, zone.name.clone()), *share);
        }
        for (camera, view) in venue.cameras.iter().zip(&instant.cameras) {
            let stops = [&view.turf, &view.subject].map(|s| Some(s.state.in_shot()?.stops()));
            told.splits.insert((instant.at, camera.name.clone()), stops);
        }
    }
    let cue = |cue: &jobs::crew::Cue| (format!("{:?}", cue.kind), cue.what.clone(), cue.at);
    told.cues = brief.cues.iter().map(cue).collect();
    told.cues.sort();
    told
}

proptest! {
    // each case is a whole brief
    #![proptest_config(ProptestConfig { cases: 3, ..ProptestConfig::default() })]

    #[test]
    fn tables_may_come_in_any_order(seed in 1_u64..) {
        let text = include_str!("../venues/football-demo.toml");
        let other = shuffled(text, seed);
        let [one, two] = [text, &other].map(|t| told(&venue::parse(t, "demo").unwrap()));
        prop_assert!(one.shares.keys().eq(two.shares.keys()));
        for ((key, a), b) in one.shares.iter().zip(two.shares.values()) {
            let off = [a.opaque - b.opaque, a.shaded - b.shaded];
            prop_assert!(off.iter().all(|d| d.abs() < SHARE), "{key:?}: {a:?} {b:?}");
        }
        prop_assert!(one.splits.keys().eq(two.splits.keys()));
        for ((key, a), b) in one.splits.iter().zip(two.splits.values()) {
            for pair in a.iter().zip(b) {
                let same = match pair {
                    (Some(a), Some(b)) => (a - b).abs() < STOPS,
                    (a, b) => a.is_none() && b.is_none(),
                };
                prop_assert!(same, "{key:?}: {pair:?}");
            }
        }
        prop_assert_eq!(one.cues.len(), two.cues.len());
        for (a, b) in one.cues.iter().zip(&two.cues) {
            prop_assert_eq!((&a.0, &a.1), (&b.0, &b.1));
            prop_assert!((a.2 - b.2).num_seconds().abs() <= CUE_S, "{:?} {:?}", a, b);
        }
    }
}
