//! Rugby union: World Rugby, Laws of the Game, Law 1 (The Ground).

use super::{Beyond, ENDS, Outline, SIDES, Sizes, closed, grown_box, halves, rectangle, strips};

/// Law 1, plan of the field: field of play 94 to 100 m by 68 to 70 m, without
/// the in-goal areas.
pub(super) const SIZES: Sizes = Sizes {
    length: (94.0, 100.0),
    width: (68.0, 70.0),
    usual: (100.0, 70.0),
    law: "World Rugby Laws of the Game, Law 1",
    // Law 1, plan: an in-goal of 6 to 22 m, as wide as the field of play; 10 m is the
    // least that editions before 2017 asked for where practicable (Law 1.2 (c))
    playing_area: Beyond { ends_m: 10.0, sides_m: 0.0 },
};

/// Law 1, plan: from the goal line to the dead-ball line.
pub(crate) const IN_GOAL_M: (f64, f64) = (6.0, 22.0);

/// Law 1.3 (e): a perimeter area of 5 m or more where practicable.
pub(super) const SURROUNDS: Beyond = Beyond::all_around(5.0);

/// Law 1: lines across the field, from the goal line or the half-way line.
const TWENTY_TWO_M: f64 = 22.0;
const TEN_FROM_HALF_WAY_M: f64 = 10.0;
const FIVE_M: f64 = 5.0;
/// Law 1: dash lines along the field, from the touchlines.
const FIFTEEN_M: f64 = 15.0;

pub(super) fn outline(length_m: f64, width_m: f64, playing: Beyond) -> Outline {
    let (x, y) = (length_m / 2.0, width_m / 2.0);
    let boundary = rectangle([-x, -y], [x, y]);
    let across = |at: f64| vec![[at, -y], [at, y]];
    let along = |at: f64| vec![[-x, at], [x, at]];
    let playing_area = grown_box(length_m, width_m, playing);
    // touch-in-goal and dead-ball lines
    let mut markings = vec![closed(&playing_area), closed(&boundary), across(0.0)];
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
        marks.push((format!("dead-ball line {end}"), [sign * (x + playing.ends_m), 0.0]));
        for (side, across) in SIDES {
            marks.push((format!("corner flag {end} {side}"), [sign * x, across * y]));
        }
    }
    zones.extend(strips((length_m, width_m), playing, ("in-goal", "touch-in-goal")));
    Outline { boundary, playing_area, markings, zones, marks }
}
