//! Which results are plausible.
//!
//! In: numbers for the unknowns. Out: those that no ground has, in words. Limits of
//! the venue file only keep out what cannot be drawn; these say what is built. A
//! number that the file itself begins outside of them is not judged: somebody drew
//! it so.
//!
//! The ranges are common practice, no source, and wide: what they catch is an edge
//! tied to the wrong hour or place, not an unusual ground.

use crate::venue::{Address, Part, Venue};

use super::ground::{TrialGround, TrialGrounds};
use super::result::Implausible;
use super::seen::{Observations, Quantity, Unknown};

/// Table, key, least, most (metres).
const RANGES: [(&str, &str, f64, f64); 17] = [
    ("stand", "setback_m", 0.0, 80.0),
    ("stand", "length_m", 3.0, 400.0),
    ("stand", "depth_m", 1.0, 120.0),
    ("stand", "front_height_m", 0.0, 20.0),
    ("stand", "back_height_m", 0.3, 80.0),
    ("bowl", "inner_along_m", 10.0, 250.0),
    ("bowl", "inner_across_m", 10.0, 250.0),
    ("bowl", "depth_m", 1.0, 120.0),
    ("bowl", "front_height_m", 0.0, 20.0),
    ("bowl", "back_height_m", 0.3, 80.0),
    ("roof", "front_height_m", 2.2, 100.0),
    ("roof", "back_height_m", 2.2, 100.0),
    ("roof", "overhang_m", -80.0, 60.0),
    ("roof", "gap_m", 0.0, 30.0),
    ("solid", "top_m", 0.2, 400.0),
    ("tree", "trunk_height_m", 0.0, 60.0),
    ("tree", "crown_height_m", 0.3, 60.0),
];
/// A watch that is set by a phone or the radio is off by less, seconds.
const WATCH_S: f64 = 600.0;
/// A compass away from steel reads no farther off, degrees.
const COMPASS_DEG: f64 = 20.0;
/// Height of a pole that somebody holds or sets up, metres.
const POLE_M: (f64, f64) = (0.1, 30.0);

/// What is not plausible about these numbers; nothing where no ground can be built.
pub(super) fn implausible(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    numbers: &[f64],
) -> Vec<Implausible> {
    let mut found: Vec<Implausible> = Vec::new();
    let begins: Vec<f64> = seen.unknowns.iter().map(|u| u.start).collect();
    for (unknown, &value) in seen.unknowns.iter().zip(numbers) {
        if let Some((least, most)) = range(unknown)
            && !(least..=most).contains(&value)
            && (least..=most).contains(&unknown.start)
        {
            found.push(of(unknown, value, format!("{least} to {most} is plausible")));
        }
    }
    if let (Ok(ground), Ok(begin)) = (grounds.with(numbers), grounds.with(&begins)) {
        for (unknown, &value) in seen.unknowns.iter().zip(numbers) {
            if found.iter().all(|f| f.name != unknown.name)
                && let Some(why) = under_its_rows(unknown, &ground, &begin)
            {
                found.push(of(unknown, value, why));
            }
        }
    }
    found
}

fn of(unknown: &Unknown, value: f64, why: String) -> Implausible {
    Implausible { name: unknown.name.clone(), value, unit: unknown.unit, why }
}

/// What is plausible for an unknown by itself.
fn range(unknown: &Unknown) -> Option<(f64, f64)> {
    match &unknown.quantity {
        Quantity::Watch => Some((-WATCH_S, WATCH_S)),
        Quantity::Compass => Some((-COMPASS_DEG, COMPASS_DEG)),
        Quantity::Pole(_) => Some(POLE_M),
        Quantity::Dimension(address) => {
            let (table, key) = table_and_key(address)?;
            let known = RANGES.iter().find(|(t, k, ..)| *t == table && *k == key);
            known.map(|(.., least, most)| (*least, *most))
        }
    }
}

/// `stand."A".roof.gap_m` is the roof's `gap_m`, `stand."A".depth_m` the stand's.
fn table_and_key(address: &Address) -> Option<(&str, &str)> {
    match address.parts() {
        [_, _, inner, key] => Some((inner, key)),
        [table, _, key] => Some((table, key)),
        _ => None,
    }
}

/// A roof lies over every row of its own deck: people sit between them.
fn under_its_rows(
    unknown: &Unknown,
    ground: &TrialGround<'_>,
    begin: &TrialGround<'_>,
) -> Option<String> {
    let Quantity::Dimension(address) = &unknown.quantity else { return None };
    let (table, key) = table_and_key(address)?;
    if !key.ends_with("height_m") || !["roof", "stand", "bowl"].contains(&table) {
        return None;
    }
    let name = address.parts().get(1)?;
    let (roof, rows) = roof_and_rows(&ground.venue, name)?;
    let (roof_before, rows_before) = roof_and_rows(&begin.venue, name)?;
    (roof < rows && roof_before >= rows_before).then(|| {
        format!("its roof would come down to {roof:.1} m, under the highest row at {rows:.1} m")
    })
}

/// The lowest of a thing's roof and the highest of its rows, metres.
fn roof_and_rows(venue: &Venue, name: &str) -> Option<(f64, f64)> {
    let thing = venue.occluders.iter().find(|o| o.name == name)?;
    let heights = |part: Part| {
        let bodies = thing.bodies.iter().filter(move |b| b.part == part);
        bodies.flat_map(|b| b.shape.points().iter().map(|p| p.z))
    };
    let roof = heights(Part::Roof).reduce(f64::min)?;
    Some((roof, heights(Part::Deck).reduce(f64::max)?))
}
