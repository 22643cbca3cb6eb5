//! Rugby union: World Rugby, Laws of the Game, Law 1 (The Ground).

use super::{ENDS, Outline, Sizes, closed, halves, rectangle};

/// Law 1, plan of the field: field of play 94 to 100 m by 68 to 70 m, without
/// the in-goal areas.
pub(super) const SIZES: Sizes = Sizes {
    length: (94.0, 100.0),
    width: (68.0, 70.0),
    usual: (100.0, 70.0),
    law: "World Rugby Laws of the Game, Law 1",
};

/// Law 1: lines across the field, from the goal line or the half-way line.
const TWENTY_TWO_M: f64 = 22.0;
const TEN_FROM_HALF_WAY_M: f64 = 10.0;
const FIVE_M: f64 = 5.0;
/// Law 1: dash lines along the field, from the touchlines.
const FIFTEEN_M: f64 = 15.0;

pub(super) fn outline(length_m: f64, width_m: f64) -> Outline {
    let (x, y) = (length_m / 2.0, width_m / 2.0);
    let boundary = rectangle([-x, -y], [x, y]);
    let across = |at: f64| vec![[at, -y], [at, y]];
    let along = |at: f64| vec![[-x, at], [x, at]];
    let mut markings = vec![closed(&boundary), across(0.0)];
    for inset in [FIVE_M, FIFTEEN_M] {
        markings.extend([along(y - inset), along(inset - y)]);
    }
    let mut zones = halves(length_m, width_m);
    let mut marks = vec![("centre spot".to_owned(), [0.0, 0.0])];
    for (end, sign) in ENDS {
        for at in [x - TWENTY_TWO_M, TEN_FROM_HALF_WAY_M, x - FIVE_M] {
            markings.push(across(sign * at));
        }
        let twenty_two = rectangle([sign * (x - TWENTY_TWO_M), -y], [sign * x, y]);
        zones.push((format!("22 {end}"), twenty_two));
        let five = rectangle([sign * (x - FIVE_M), -y], [sign * x, y]);
        zones.push((format!("goal line {end}"), five));
        marks.push((format!("posts {end}"), [sign * x, 0.0]));
        marks.push((format!("22 line {end}"), [sign * (x - TWENTY_TWO_M), 0.0]));
    }
    Outline { boundary, markings, zones, marks }
}
