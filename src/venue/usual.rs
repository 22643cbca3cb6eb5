//! Numbers that few grounds have: feet for metres, a digit too many.
//!
//! In: the tables of a venue file. Out: for each stand, bowl, tree, camera and gantry the
//! numbers that lie outside of what grounds usually have. None of it is an error; it is
//! asked about.
//!
//! A small ground in feet has no number that no ground in metres has. Where several numbers
//! of a file together are such as only feet make usual, and none is such as feet make
//! impossible, all of them are asked about.

use super::file::{RoofTable, Section, VenueFile};

/// Metres of a foot (international foot of 1959, exact).
pub const FOOT_M: f64 = 0.3048;

/// From a line of play to a front row; an athletics track and its run-offs take 50 m.
const SETBACK_M: [f64; 2] = [0.0, 60.0];
const DEPTH_M: [f64; 2] = [1.0, 80.0];
/// An upper tier has its front row high up.
const FRONT_M: [f64; 2] = [0.0, 30.0];
const BACK_M: [f64; 2] = [0.5, 50.0];
const ROOF_M: [f64; 2] = [2.5, 55.0];
const OVERHANG_M: [f64; 2] = [-60.0, 30.0];
/// Slope of the seating: EN 13200-1:2019 allows 35 degrees (from memory), of which tiers
/// of old are over; the low end is terracing.
const RAKE_DEG: [f64; 2] = [2.0, 40.0];
const CAMERA_M: [f64; 2] = [0.0, 45.0];
const TREE_M: [f64; 2] = [2.0, 45.0];
const CROWN_M: [f64; 2] = [0.3, 18.0];

/// Most grounds in metres, a narrower range, and the least that a number in feet may come to
/// in metres. Common practice, no source.
struct Mostly {
    range: [f64; 2],
    least_of_feet: f64,
    /// Whether it is much the same on small grounds and on large ones.
    of_any_ground: bool,
}

const SETBACK: Mostly = Mostly { range: [2.0, 15.0], least_of_feet: 1.0, of_any_ground: true };
const DEPTH: Mostly = Mostly { range: [4.0, 45.0], least_of_feet: 2.5, of_any_ground: false };
const FRONT: Mostly = Mostly { range: [0.3, 3.0], least_of_feet: 0.4, of_any_ground: true };
const BACK: Mostly = Mostly { range: [1.5, 25.0], least_of_feet: 1.0, of_any_ground: false };
/// People stand in the highest row.
const ROOM: Mostly = Mostly { range: [2.2, 8.0], least_of_feet: 2.0, of_any_ground: true };
const LENS: Mostly = Mostly { range: [1.2, 25.0], least_of_feet: 0.8, of_any_ground: false };
const TREE: Mostly = Mostly { range: [4.0, 30.0], least_of_feet: 2.5, of_any_ground: false };
/// So many numbers of a file speak for feet, at least a half of those that are looked at,
/// and so many of them are of any ground.
const FEET_FROM: usize = 4;
const FEET_OF_ANY_GROUND: usize = 2;

/// What of one table is unusual.
#[derive(Debug, Clone, PartialEq)]
pub struct UnusualSize {
    /// The thing's name.
    pub name: String,
    pub odd: Vec<Odd>,
}

impl UnusualSize {
    /// Whether all that is odd would be usual in feet.
    pub fn fits_feet(&self) -> bool {
        let fits = |odd: &Odd| {
            let metres = odd.value * FOOT_M;
            odd.unit == "m" && (odd.usual[0]..=odd.usual[1]).contains(&metres)
        };
        let mut lengths = self.odd.iter().filter(|odd| odd.unit == "m").peekable();
        lengths.peek().is_some() && lengths.all(fits)
    }
}

/// A number outside of its usual range, which is common practice without a source but for
/// the slope of seating.
#[derive(Debug, Clone, PartialEq)]
pub struct Odd {
    /// The key, or what follows from several, such as "slope of the seating".
    pub what: &'static str,
    pub value: f64,
    pub usual: [f64; 2],
    /// "m" or "degrees".
    pub unit: &'static str,
}

/// All that is unusual in a file, in its order.
pub(super) fn unusual(file: &VenueFile) -> Vec<UnusualSize> {
    let stands = file.stand.iter().map(|stand| {
        let setback = metres("setback_m", stand.setback_m, SETBACK_M);
        sized(&stand.name, setback.into_iter().chain(section(&stand.section)))
    });
    let bowls = file.bowl.iter().map(|bowl| sized(&bowl.name, section(&bowl.section)));
    let trees = file.tree.iter().map(|tree| {
        let height = tree.trunk_height_m + tree.crown_height_m;
        let odd = [
            metres("height of trunk and crown", height, TREE_M),
            metres("crown_radius_m", tree.crown_radius_m, CROWN_M),
        ];
        sized(&tree.name, odd.into_iter().flatten())
    });
    let gantries = file.gantry.iter().map(|gantry| {
        let odd = [gantry.from[2], gantry.to[2]].map(|up| metres("height of an end", up, CAMERA_M));
        sized(&gantry.name, odd.into_iter().flatten())
    });
    let cameras = file.camera.iter().map(|camera| {
        let up = camera.at.and_then(|at| metres("height of the lens", at[2], CAMERA_M));
        sized(&camera.name, up)
    });
    let all = stands.chain(bowls).chain(trees).chain(gantries).chain(cameras);
    let mut found: Vec<UnusualSize> = all.filter(|size| !size.odd.is_empty()).collect();
    for more in all_in_feet(file) {
        match found.iter_mut().find(|size| size.name == more.name) {
            Some(size) => {
                let known: Vec<&str> = size.odd.iter().map(|odd| odd.what).collect();
                let new = more.odd.into_iter().filter(|odd| !known.contains(&odd.what));
                let new: Vec<Odd> = new.collect();
                size.odd.extend(new);
            }
            None => found.push(more),
        }
    }
    found
}

/// A number that tells feet from metres: whose, its name, its value.
type StatedNumber<'a> = (&'a str, &'static str, f64, Mostly);

/// What asks for feet, where the whole file does; empty else.
fn all_in_feet(file: &VenueFile) -> Vec<UnusualSize> {
    let telling = telling(file);
    let feet = |(_, _, value, mostly): &&StatedNumber| {
        let [low, high] = mostly.range;
        *value > high && (low..=high).contains(&(value * FOOT_M))
    };
    let metres = |(_, _, value, mostly): &StatedNumber| {
        *value > 0.0 && value * FOOT_M < mostly.least_of_feet
    };
    let found: Vec<&StatedNumber> = telling.iter().filter(feet).collect();
    let of_any_ground = found.iter().filter(|(.., mostly)| mostly.of_any_ground).count();
    let asked = found.len() >= FEET_FROM
        && 2 * found.len() >= telling.len()
        && of_any_ground >= FEET_OF_ANY_GROUND
        && !telling.iter().any(metres);
    let mut sizes: Vec<UnusualSize> = Vec::new();
    for (name, what, value, mostly) in found.into_iter().filter(|_| asked) {
        let odd = Odd { what, value: *value, usual: mostly.range, unit: "m" };
        match sizes.iter_mut().find(|size| size.name == name.trim()) {
            Some(size) => size.odd.push(odd),
            None => sizes.push(sized(name, [odd])),
        }
    }
    sizes
}

fn telling(file: &VenueFile) -> Vec<StatedNumber<'_>> {
    let mut all: Vec<StatedNumber<'_>> = Vec::new();
    let stands = file.stand.iter().map(|s| (s.name.as_str(), &s.section, Some(s.setback_m)));
    let bowls = file.bowl.iter().map(|b| (b.name.as_str(), &b.section, None));
    for (name, section, setback_m) in stands.chain(bowls) {
        all.extend(setback_m.map(|value| (name, "setback_m", value, SETBACK)));
        all.push((name, "depth_m", section.depth_m, DEPTH));
        all.push((name, "front_height_m", section.front_height_m, FRONT));
        all.push((name, "back_height_m", section.back_height_m, BACK));
        if let Some(roof) = &section.roof {
            let lowest_m = roof.front_height_m.min(roof.back_height_m);
            let room_m = lowest_m - section.back_height_m;
            all.push((name, "room between the highest row and the roof", room_m, ROOM));
        }
    }
    for tree in &file.tree {
        let height_m = tree.trunk_height_m + tree.crown_height_m;
        all.push((tree.name.as_str(), "height of trunk and crown", height_m, TREE));
    }
    for camera in &file.camera {
        let up_m = camera.at.map(|at| at[2]);
        all.extend(up_m.map(|up| (camera.name.as_str(), "height of the lens", up, LENS)));
    }
    all
}

fn sized(name: &str, odd: impl IntoIterator<Item = Odd>) -> UnusualSize {
    UnusualSize { name: name.trim().to_owned(), odd: odd.into_iter().collect() }
}

fn section(section: &Section) -> Vec<Odd> {
    let rise = section.back_height_m - section.front_height_m;
    let rake_deg = rise.atan2(section.depth_m).to_degrees();
    let mut odd = vec![
        metres("depth_m", section.depth_m, DEPTH_M),
        metres("front_height_m", section.front_height_m, FRONT_M),
        metres("back_height_m", section.back_height_m, BACK_M),
        // a flat deck is a platform, not seating
        outside("slope of the seating", rake_deg, RAKE_DEG, "degrees").filter(|_| rise > 0.0),
    ];
    if let Some(roof) = &section.roof {
        odd.push(metres("roof.front_height_m", roof.front_height_m, ROOF_M));
        odd.push(metres("roof.back_height_m", roof.back_height_m, ROOF_M));
        odd.push(metres("roof.overhang_m", roof.overhang_m, OVERHANG_M));
        let known = odd.iter().flatten().any(|odd| odd.what.starts_with("roof."));
        odd.push(roof_in_feet(roof, section.back_height_m).filter(|_| !known));
    }
    odd.into_iter().flatten().collect()
}

/// A roof so far over its own rows that its height was meant in feet, which leaves a usual
/// room: both numbers are usual by themselves. A roof over a tier that has a table of its own
/// is as far, so twice the usual room is let pass.
fn roof_in_feet(roof: &RoofTable, back_height_m: f64) -> Option<Odd> {
    let lowest_m = roof.front_height_m.min(roof.back_height_m);
    let usual = ROOM.range.map(|room_m| back_height_m + room_m);
    let meant = (usual[0]..=usual[1]).contains(&(lowest_m * FOOT_M));
    let what = "lowest height of the roof over these rows";
    (meant && lowest_m > back_height_m + 2.0 * ROOM.range[1]).then_some(Odd {
        what,
        value: lowest_m,
        usual,
        unit: "m",
    })
}

fn metres(what: &'static str, value: f64, usual: [f64; 2]) -> Option<Odd> {
    outside(what, value, usual, "m")
}

fn outside(what: &'static str, value: f64, usual: [f64; 2], unit: &'static str) -> Option<Odd> {
    let odd = Odd { what, value, usual, unit };
    (!(usual[0]..=usual[1]).contains(&value)).then_some(odd)
}
