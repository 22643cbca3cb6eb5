//! Numbers that few grounds have: feet for metres, a digit too many.
//!
//! In: the tables of a venue file. Out: for each stand, bowl, tree, camera and gantry the
//! numbers that lie outside of what grounds usually have. None of it is an error; it is
//! asked about.

use super::file::{Section, VenueFile};

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
    all.filter(|size| !size.odd.is_empty()).collect()
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
    }
    odd.into_iter().flatten().collect()
}

fn metres(what: &'static str, value: f64, usual: [f64; 2]) -> Option<Odd> {
    outside(what, value, usual, "m")
}

fn outside(what: &'static str, value: f64, usual: [f64; 2], unit: &'static str) -> Option<Odd> {
    let odd = Odd { what, value, usual, unit };
    (!(usual[0]..=usual[1]).contains(&value)).then_some(odd)
}
