//! Ready-made fields of play against the laws of each sport. The figures were
//! typed in from memory of the laws named beside them, in the laws' own units
//! where those are not metres.

use quarterstop::venue::outlines::{Beyond, Outline, outline, outline_with, sizes, surrounds};
use quarterstop::venue::{Sport, parse};

const YARD_M: f64 = 0.9144;
const FOOT_M: f64 = 0.3048;

fn zone<'o>(field: &'o Outline, name: &str) -> &'o [[f64; 2]] {
    let found = field.zones.iter().find(|(n, _)| n == name);
    &found.unwrap_or_else(|| panic!("no zone {name:?}")).1
}

fn mark(field: &Outline, name: &str) -> [f64; 2] {
    field.marks.iter().find(|(n, _)| n == name).unwrap_or_else(|| panic!("no mark {name:?}")).1
}

/// Extent of a ring: least and most along, least and most across.
fn extent(ring: &[[f64; 2]]) -> [f64; 4] {
    let values = |i: usize| ring.iter().map(move |p| p[i]);
    [
        values(0).fold(f64::INFINITY, f64::min),
        values(0).fold(f64::NEG_INFINITY, f64::max),
        values(1).fold(f64::INFINITY, f64::min),
        values(1).fold(f64::NEG_INFINITY, f64::max),
    ]
}

fn close(found: [f64; 4], wanted: [f64; 4], within_m: f64) {
    let off = found.iter().zip(wanted).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(off <= within_m, "{found:?}, wanted {wanted:?}");
}

fn area_m2(ring: &[[f64; 2]]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    0.5 * ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>()
}

/// Whether a straight marking runs between two points, either way.
fn has_line(field: &Outline, a: [f64; 2], b: [f64; 2]) -> bool {
    let near = |p: [f64; 2], q: [f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]) < 0.01;
    field.markings.iter().any(|line| {
        line.windows(2)
            .any(|w| (near(w[0], a) && near(w[1], b)) || (near(w[0], b) && near(w[1], a)))
    })
}

/// IFAB Laws of the Game, Law 1: goals 8 yd wide (7.32 m), goal area 6 yd (5.5 m)
/// and penalty area 18 yd (16.5 m) from each post and into the field, penalty
/// mark 12 yd (11 m), circle and arc 10 yd (9.15 m).
#[test]
fn football_is_as_law_1_draws_it() {
    let field = outline(Sport::Football, 105.0, 68.0).unwrap();
    close(extent(&field.boundary), [-52.5, 52.5, -34.0, 34.0], 0.0);
    // 7.32 + 2 x 16.5 = 40.32 m; 7.32 + 2 x 5.5 = 18.32 m
    close(extent(zone(&field, "penalty area ahead")), [36.0, 52.5, -20.16, 20.16], 1e-9);
    close(extent(zone(&field, "penalty area behind")), [-52.5, -36.0, -20.16, 20.16], 1e-9);
    close(extent(zone(&field, "goal area ahead")), [47.0, 52.5, -9.16, 9.16], 1e-9);
    let mouth = extent(zone(&field, "goalmouth behind"));
    assert!((mouth[3] - mouth[2] - 8.0 * YARD_M).abs() < 0.005, "{mouth:?}");
    assert_eq!(mark(&field, "penalty spot ahead"), [41.5, 0.0]);
    close(extent(zone(&field, "centre circle")), [-9.15, 9.15, -9.15, 9.15], 1e-9);
    assert!(field.markings.iter().any(|m| m.len() > 10
        && m.iter().all(|p| {
            // the arc: 9.15 m from the penalty mark, outside the penalty area
            ((p[0] - 41.5).hypot(p[1]) - 9.15).abs() < 1e-9 && p[0] <= 36.0 + 1e-9
        })));
}

/// The metric figures of Law 1 are the yards of its older text, rounded.
#[test]
fn football_in_yards_agrees_to_the_rounding() {
    let field = outline(Sport::Football, 110.0 * YARD_M, 75.0 * YARD_M).unwrap();
    let area = extent(zone(&field, "penalty area ahead"));
    assert!((area[1] - area[0] - 18.0 * YARD_M).abs() < 0.05);
    assert!((area[3] - area[2] - 44.0 * YARD_M).abs() < 0.1);
    let spot = 55.0 * YARD_M - mark(&field, "penalty spot ahead")[0];
    assert!((spot - 12.0 * YARD_M).abs() < 0.03);
}

/// Laws of the Game (World Rugby), Law 1, plan of the field: 100 by 70 m at most,
/// 22 m lines, 10 m lines, 5 m and 15 m dash lines.
#[test]
fn rugby_union_is_as_law_1_draws_it() {
    let field = outline(Sport::RugbyUnion, 100.0, 70.0).unwrap();
    close(extent(&field.boundary), [-50.0, 50.0, -35.0, 35.0], 0.0);
    close(extent(zone(&field, "22 ahead")), [28.0, 50.0, -35.0, 35.0], 1e-9);
    for at in [0.0, 10.0, -10.0, 28.0, -28.0, 45.0, -45.0] {
        assert!(has_line(&field, [at, -35.0], [at, 35.0]), "no line across at {at} m");
    }
    for at in [30.0, -30.0, 20.0, -20.0] {
        assert!(has_line(&field, [-50.0, at], [50.0, at]), "no line along at {at} m");
    }
    assert_eq!(mark(&field, "posts behind"), [-50.0, 0.0]);
}

/// ITF Rules of Tennis, rule 1: 78 ft long, 36 ft wide for doubles and 27 ft for
/// singles; service lines 21 ft from the net.
#[test]
fn tennis_is_as_rule_1_draws_it() {
    let field = outline(Sport::Tennis, 23.77, 10.97).unwrap();
    let (x, y) = (78.0 * FOOT_M / 2.0, 36.0 * FOOT_M / 2.0);
    close(extent(&field.boundary), [-x, x, -y, y], 0.005);
    let (service, single) = (21.0 * FOOT_M, 27.0 * FOOT_M / 2.0);
    close(extent(zone(&field, "service box ahead left")), [0.0, service, 0.0, single], 0.005);
    close(extent(zone(&field, "service box behind right")), [-service, 0.0, -single, 0.0], 0.005);
    close(extent(zone(&field, "backcourt ahead")), [service, x, -single, single], 0.005);
    assert!(has_line(&field, [6.40, -4.115], [6.40, 4.115]), "service line");
    assert!(has_line(&field, [0.0, -5.485], [0.0, 5.485]), "net");
}

/// FIH Rules of Hockey, field specifications: 91.40 by 55.00 m, 22.90 m lines,
/// circles 14.63 m from the posts, which stand 3.66 m apart; spot at 6.475 m.
#[test]
fn hockey_is_as_its_specifications_draw_it() {
    let field = outline(Sport::Hockey, 91.40, 55.00).unwrap();
    close(extent(&field.boundary), [-45.7, 45.7, -27.5, 27.5], 1e-9);
    let half = 14.63 + 3.66 / 2.0;
    let circle = zone(&field, "shooting circle ahead");
    close(extent(circle), [45.7 - 14.63, 45.7, -half, half], 1e-9);
    // two quarter circles and the rectangle between them, less what chords of 5
    // degrees cut off
    let whole = std::f64::consts::PI * 14.63 * 14.63 / 2.0 + 3.66 * 14.63;
    assert!((area_m2(circle) / whole - 1.0).abs() < 0.002, "{} of {whole}", area_m2(circle));
    close(extent(zone(&field, "23 metres behind")), [-45.7, -22.8, -27.5, 27.5], 1e-9);
    assert!((mark(&field, "penalty spot ahead")[0] - 39.225).abs() < 1e-9);
}

/// MCC Laws of Cricket: Law 6.1, pitch 22 yd by 10 ft; Law 7.2, bowling crease
/// 8 ft 8 in; Law 7.3, popping crease 4 ft in front of it.
#[test]
fn cricket_is_as_laws_6_and_7_draw_it() {
    let field = outline(Sport::Cricket, 150.0, 140.0).unwrap();
    close(extent(&field.boundary), [-75.0, 75.0, -70.0, 70.0], 1e-9);
    let (x, y) = (11.0 * YARD_M, 5.0 * FOOT_M);
    close(extent(zone(&field, "pitch")), [-x, x, -y, y], 0.005);
    let crease = (8.0 + 8.0 / 12.0) * FOOT_M / 2.0;
    assert!(has_line(&field, [x, -crease], [x, crease]), "bowling crease");
    let popping = x - 4.0 * FOOT_M;
    assert!(has_line(&field, [popping, -1.83], [popping, 1.83]), "popping crease");
}

/// Laws of the Game (World Rugby), Law 1, plan: an in-goal of 6 to 22 m, as wide as the
/// field of play, so at most 144 m from one dead-ball line to the other; 10 m is the least
/// of Law 1.2 (c) before 2017. Law 1.3 (e): a perimeter of 5 m.
#[test]
fn the_playing_area_of_rugby_ends_at_the_dead_ball_lines() {
    let field = outline(Sport::RugbyUnion, 100.0, 70.0).unwrap();
    close(extent(&field.playing_area), [-60.0, 60.0, -35.0, 35.0], 1e-9);
    close(extent(zone(&field, "in-goal behind")), [-60.0, -50.0, -35.0, 35.0], 1e-9);
    assert!(has_line(&field, [60.0, -35.0], [60.0, 35.0]), "dead-ball line");
    assert_eq!(mark(&field, "dead-ball line ahead"), [60.0, 0.0]);
    assert_eq!(surrounds(Sport::RugbyUnion), Beyond::all_around(5.0));
    let deepest = Beyond { ends_m: 22.0, sides_m: 0.0 };
    let field = outline_with(Sport::RugbyUnion, (100.0, 70.0), deepest).unwrap();
    close(extent(&field.playing_area), [-72.0, 72.0, -35.0, 35.0], 1e-9);
}

/// ITF Rules of Tennis, Appendix IX, and ITF Technical Booklet (2015), table 5: 21 ft from
/// the baseline to the backstop and 12 ft from the sideline to the sidestop.
#[test]
fn the_playing_area_of_tennis_ends_at_the_stops() {
    let field = outline(Sport::Tennis, 23.77, 10.97).unwrap();
    let (x, y) = ((39.0 + 21.0) * FOOT_M, (18.0 + 12.0) * FOOT_M);
    close(extent(&field.playing_area), [-x, x, -y, y], 0.01);
    close(
        extent(zone(&field, "run-back ahead")),
        [39.0 * FOOT_M, x, -18.0 * FOOT_M, 18.0 * FOOT_M],
        0.01,
    );
    close(extent(zone(&field, "side run right")), [-x, x, -y, -18.0 * FOOT_M], 0.01);
}

/// FIH Rules of Hockey, specification 1.2: run-offs of 5 m outside the back-lines and 4 m
/// outside the side-lines are recommended; with the field 101.40 by 63.00 m.
#[test]
fn the_playing_area_of_hockey_holds_the_run_offs() {
    let field = outline(Sport::Hockey, 91.40, 55.00).unwrap();
    close(extent(&field.playing_area), [-50.7, 50.7, -31.5, 31.5], 1e-9);
    close(extent(zone(&field, "run-off left")), [-50.7, 50.7, 27.5, 31.5], 1e-9);
    close(extent(zone(&field, "run-off behind")), [-50.7, -45.7, -27.5, 27.5], 1e-9);
}

/// IFAB Law 1.1 and MCC Law 19.1: football is played within its lines, cricket within its
/// boundary. Playing conditions of cricket internationals, clause 19.2: 3 yd or more from
/// the rope to the fence. IFAB Law 9: the ball is out when it has wholly crossed the line.
#[test]
fn football_and_cricket_are_played_within_their_fields() {
    for sport in [Sport::Football, Sport::Cricket] {
        let usual = sizes(sport).unwrap().usual;
        let field = outline(sport, usual.0, usual.1).unwrap();
        assert_eq!(field.playing_area, field.boundary, "{sport:?}");
    }
    assert!(surrounds(Sport::Cricket).ends_m >= 3.0 * YARD_M);
}

#[test]
fn every_zone_is_anticlockwise_and_on_the_playing_area_and_every_mark_too() {
    let all = [Sport::Football, Sport::RugbyUnion, Sport::Tennis, Sport::Hockey, Sport::Cricket];
    for sport in all {
        let usual = sizes(sport).unwrap().usual;
        let field = outline(sport, usual.0, usual.1).unwrap();
        assert!(area_m2(&field.boundary) > 0.0, "{sport:?}");
        let bounds = extent(&field.playing_area);
        let inside = |p: &[f64; 2]| {
            p[0] >= bounds[0] - 1e-9
                && p[0] <= bounds[1] + 1e-9
                && p[1] >= bounds[2] - 1e-9
                && p[1] <= bounds[3] + 1e-9
        };
        for (name, ring) in &field.zones {
            assert!(area_m2(ring) > 0.0, "{sport:?}: {name}");
            assert!(ring.iter().all(inside), "{sport:?}: {name}");
        }
        for (name, at) in &field.marks {
            assert!(inside(at), "{sport:?}: {name}");
        }
    }
}

fn told(field: &str) -> String {
    let text = format!(
        "title = \"x\"\n[place]\nlatitude_deg = 50.0\nlongitude_deg = 0.0\nheight_m = 0.0\n\
         zone = \"Etc/UTC\"\n[field]\nbearing_deg = 0.0\n{field}\n"
    );
    parse(&text, "ground.toml").map_or_else(|e| e.to_string(), |_| String::new())
}

/// Sizes outside the laws are refused by the name of the law; both at once.
#[test]
fn sizes_the_laws_do_not_allow_are_refused() {
    let report = told("sport = \"football\"\nlength_m = 89.0\nwidth_m = 91.0");
    for part in ["2 mistakes", "89 m", "90 to 120 m", "91 m", "45 to 90 m", "Law 1.3"] {
        assert!(report.contains(part), "{part:?} in {report}");
    }
    // the limits themselves are allowed
    assert_eq!(told("sport = \"football\"\nlength_m = 90.0\nwidth_m = 45.0"), "");
    assert_eq!(told("sport = \"football\"\nlength_m = 120.0\nwidth_m = 90.0"), "");
    let rugby = told("sport = \"rugby_union\"\nlength_m = 101.0");
    assert!(rugby.contains("94 to 100 m") && rugby.contains("World Rugby"), "{rugby}");
    let tennis = told("sport = \"tennis\"\nwidth_m = 8.23");
    assert!(tennis.contains("10.97 m") && tennis.contains("ITF"), "{tennis}");
    let hockey = told("sport = \"hockey\"\nlength_m = 90.0");
    assert!(hockey.contains("91.4 m") && hockey.contains("FIH"), "{hockey}");
    let cricket = told("sport = \"cricket\"\nlength_m = 40.0");
    assert!(cricket.contains("60 to 250 m") && cricket.contains("Law 19"), "{cricket}");
}

#[test]
fn a_free_field_states_its_corners_and_only_those() {
    let square = "corners = [[-20.0, -20.0], [20.0, -20.0], [20.0, 20.0], [-20.0, 20.0]]";
    assert_eq!(told(&format!("sport = \"free\"\n{square}")), "");
    assert!(told("sport = \"free\"").contains("a free field without corners"));
    let both = told(&format!("sport = \"free\"\n{square}\nlength_m = 40.0"));
    assert!(both.contains("corners beside length_m"), "{both}");
    let extra = told(&format!("sport = \"tennis\"\n{square}"));
    assert!(extra.contains("state sport = \"free\""), "{extra}");
    let unknown = told("sport = \"footbal\"");
    assert!(unknown.contains("did you mean \"football\"?"), "{unknown}");
}
