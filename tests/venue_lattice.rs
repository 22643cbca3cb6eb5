//! Lattices against modelled ones: bars as bodies of their own whose shadows are exact, and
//! bars thrown at random that single rays meet or miss; then the same share by every way the
//! program asks for it, and messages about files that say it wrong.

use chrono::NaiveDate;
use geo::{Area, BooleanOps, Coord, LineString, MultiPolygon, Polygon};
use glam::DVec3;

use quarterstop::base::frame::{FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{
    Caster, LevelLine, MeshEdges, Obstacle, OverlayScratch, Shadow, SunDisc, crossings_along,
};
use quarterstop::venue::{BarSection, BarWays, Lattice, Venue, parse};

const GROUND: &str = r#"title = "Ground"
[place]
latitude_deg = 52.0
longitude_deg = 0.0
height_m = 50.0
zone = "Europe/London"
[field]
sport = "football"
length_m = 105.0
width_m = 68.0
bearing_deg = 0.0
"#;

/// The width, depth and pitch of modelled bars, metres: a fifth is closed by bars of one way.
const WIDTH_M: f64 = 0.25;
const DEPTH_M: f64 = 0.4;
const PITCH_M: f64 = 1.25;
/// Corners of shadows lie on a grid of under a micrometre, here along some 400 m of edges in a
/// region of 30 m2 and more.
const ROUNDING: f64 = 1e-6 * 400.0 / 30.0;

fn venue(more: &str) -> Venue {
    parse(&format!("{GROUND}{more}"), "ground.toml").unwrap()
}

fn date() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 4, 17).unwrap()
}

fn toward(azimuth_deg: f64, elevation_deg: f64) -> DVec3 {
    direction(Azimuth::from_degrees(azimuth_deg), Elevation::from_degrees(elevation_deg))
}

fn shadow(venue: &Venue, sun: DVec3) -> Shadow {
    Caster::new(venue, date(), 0.0).cast(sun, &mut OverlayScratch::default())
}

fn solid(i: usize, along: [f64; 2], across: [f64; 2], up: [f64; 2]) -> String {
    let [[a, b], [c, d]] = [along, across];
    format!(
        "[[solid]]\nname = \"{i}\"\nfootprint = [[{a}, {c}], [{b}, {c}], [{b}, {d}], [{a}, {d}]]\n\
         bottom_m = {}\ntop_m = {}\n",
        up[0], up[1]
    )
}

fn panel(name: &str, corners: &[DVec3], more: &str) -> String {
    let corners: Vec<String> =
        corners.iter().map(|c| format!("[{}, {}, {}]", c.x, c.y, c.z)).collect();
    format!("[[panel]]\nname = \"{name}\"\ncorners = [{}]\n{more}", corners.join(", "))
}

/// The share of a piece of the lattice's plane, by its corners in field axes, that the shadows
/// of its bars leave.
fn open_share(venue: &Venue, piece: [DVec3; 4], sun: DVec3) -> f64 {
    let ground = piece.map(|p| {
        let p = FieldPoint { along_m: p.x, across_m: p.y, up_m: p.z };
        let p = venue.field.frame.to_local(p);
        let q = p - sun * (p.z / sun.z);
        Coord { x: q.x, y: q.y }
    });
    let piece = MultiPolygon(vec![Polygon::new(LineString(ground.to_vec()), Vec::new())]);
    let area = piece.unsigned_area();
    assert!(area > 30.0, "{area}");
    1.0 - shadow(venue, sun).opaque.intersection(&piece).unsigned_area() / area
}

/// The share that a lattice panel lets through at the middle of its own shadow.
fn panel_share(venue: &Venue, middle: DVec3, sun: DVec3) -> f64 {
    let p = FieldPoint { along_m: middle.x, across_m: middle.y, up_m: middle.z };
    let p = venue.field.frame.to_local(p);
    let q = p - sun * (p.z / sun.z);
    shadow(venue, sun).transmission_at(Coord { x: q.x, y: q.y }).share()
}

fn lattice_key(openness: f64, ways: &str) -> String {
    format!(
        "lattice = {{ openness = {openness}, bar_width_m = {WIDTH_M}, bar_depth_m = {DEPTH_M}{ways} }}\n"
    )
}

/// A level grid of bars under the sky, each bar a solid: over whole periods the shadows leave
/// what the panel passes, under every sun, to the rounding of shadows.
#[test]
fn a_level_grid_passes_what_its_bars_leave() {
    let bars = 24;
    let mut bodies = String::new();
    let half = 0.5 * PITCH_M * bars as f64;
    for i in 0..bars {
        let at = -half + PITCH_M * (i as f64 + 0.5);
        let (bar, long, up) =
            ([at - 0.5 * WIDTH_M, at + 0.5 * WIDTH_M], [-half, half], [4.0, 4.0 + DEPTH_M]);
        bodies += &solid(2 * i, bar, long, up);
        bodies += &solid(2 * i + 1, long, bar, up);
    }
    let modelled = venue(&bodies);
    let corners = |half: f64| {
        let up = 4.0 + 0.5 * DEPTH_M;
        [[-half, -half], [half, -half], [half, half], [-half, half]]
            .map(|[x, y]| DVec3::new(x, y, up))
    };
    let ways = ", bars_deg = [0.0, 90.0]";
    let stated = venue(&panel("Grid", &corners(half), &lattice_key(0.64, ways)));
    let mut shut = 0;
    for elevation in [12.0, 20.0, 28.0, 36.0, 45.0, 55.0, 65.0, 75.0, 85.0] {
        for azimuth in (0..36).map(|i| 3.0 + 10.0 * f64::from(i)) {
            let sun = toward(azimuth, elevation);
            let got = panel_share(&stated, corners(half)[0] * DVec3::Z, sun);
            let wanted = open_share(&modelled, corners(4.0 * PITCH_M), sun);
            assert!((got - wanted).abs() < ROUNDING, "{azimuth} {elevation}: {got} {wanted}");
            shut += usize::from(got == 0.0);
        }
    }
    assert!((10..200).contains(&shut), "{shut}");
}

/// Bars of an upright truss that rise by an angle, through nodes around a middle: the four
/// long sides of each as opaque panels.
fn sloping_bars(way_deg: f64, middle: DVec3, other: DVec3) -> String {
    let (sin, cos) = way_deg.to_radians().sin_cos();
    let (along, wide) = (DVec3::new(cos, 0.0, sin), DVec3::new(-sin, 0.0, cos));
    let mut all = String::new();
    for j in -4..=4 {
        let at = middle + other * f64::from(j);
        let edge = |end: f64, side: f64, deep: f64| {
            at + along * (5.2 * end)
                + wide * (0.5 * WIDTH_M * side)
                + DVec3::Y * (0.5 * DEPTH_M * deep)
        };
        let round = [[1.0, 1.0], [1.0, -1.0], [-1.0, -1.0], [-1.0, 1.0], [1.0, 1.0]];
        for (side, pair) in round.windows(2).enumerate() {
            let [[a, b], [c, d]] = [pair[0], pair[1]];
            let corners = [edge(-1.0, a, b), edge(1.0, a, b), edge(1.0, c, d), edge(-1.0, c, d)];
            all += &panel(&format!("{way_deg} {j} {side}"), &corners, "");
        }
    }
    all
}

/// A truss beside the pitch: diagonals at 60 and 120 degrees leave what the panel says under
/// every sun that throws its shadow on the pitch. With level chords through the same nodes
/// shares of two ways still multiply exactly; of what all three close together only is it
/// known that it is no more than what two of them close, and that is how far off it may be.
#[test]
fn a_truss_of_diagonals_passes_what_its_bars_leave() {
    let middle = DVec3::new(0.0, 35.0, 10.0);
    let apart = PITCH_M / 60.0_f64.to_radians().sin();
    let way = |deg: f64| DVec3::new(deg.to_radians().cos(), 0.0, deg.to_radians().sin()) * apart;
    let (rising, falling) = (way(60.0), way(120.0));
    let diagonals = sloping_bars(60.0, middle, falling) + &sloping_bars(120.0, middle, rising);
    let chorded = venue(&(diagonals.clone() + &sloping_bars(0.0, middle, rising)));
    let diagonals = venue(&diagonals);
    let piece = [[-2.0, -2.0], [2.0, -2.0], [2.0, 2.0], [-2.0, 2.0]]
        .map(|[a, b]| middle + rising * a + falling * b);
    let frame = [[-6.0, -6.0], [6.0, -6.0], [6.0, 6.0], [-6.0, 6.0]]
        .map(|[x, z]| middle + DVec3::new(x, 0.0, z));
    let stated =
        |openness: f64, ways: &str| venue(&panel("Truss", &frame, &lattice_key(openness, ways)));
    let two = stated(0.64, ", bars_deg = [60.0, 120.0]");
    let three = stated(0.512, ", bars_deg = [0.0, 60.0, 120.0]");
    for elevation in [14.0, 19.0, 25.0, 33.0] {
        for azimuth in (0..13).map(|i| 228.0 + 7.0 * f64::from(i)) {
            let sun = toward(azimuth, elevation);
            let (got, wanted) =
                (panel_share(&two, middle, sun), open_share(&diagonals, piece, sun));
            assert!((got - wanted).abs() < ROUNDING, "{azimuth} {elevation}: {got} {wanted}");
            // what each way closes, by its bars alone: level, rising, falling
            let run = diagonals.field.frame.to_field(sun);
            let closes = |deg: f64| {
                let (sin, cos) = f64::to_radians(deg).sin_cos();
                let sideways = (run.up_m * cos - run.along_m * sin) / run.across_m;
                ((WIDTH_M + DEPTH_M * sideways.abs()) / PITCH_M).min(1.0)
            };
            let mut closed = [0.0, 60.0, 120.0].map(closes);
            closed.sort_by(f64::total_cmp);
            let (all, least) = (closed.iter().product::<f64>(), closed[0] * closed[1]);
            let (got, wanted) =
                (panel_share(&three, middle, sun), open_share(&chorded, piece, sun));
            let off = wanted - got;
            let allowed = all - least - ROUNDING..=all + ROUNDING;
            assert!(allowed.contains(&off), "{azimuth} {elevation}: {got} {wanted} {closed:?}");
        }
    }
}

/// Numbers from 0 to 1, the same in every run (64-bit linear congruential generator of Knuth,
/// The Art of Computer Programming, volume 2, 3.3.4, table 1).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Bars thrown all ways at random, each a body that a ray meets or misses: of many rays the
/// share that passes is the formula's, to four standard errors of so many rays.
#[test]
fn bars_thrown_at_random_pass_what_is_stated() {
    const RAYS: u32 = 20_000;
    const REACH_M: f64 = 4.0;
    let mut numbers = Numbers(11);
    let openness = 0.6_f64;
    // so many metres of bars in a square metre leave the openness square on
    let length_per_m2 = -openness.ln() / WIDTH_M;
    for angle_deg in [0.0_f64, 30.0, 50.0, 65.0] {
        let ray = DVec3::new(angle_deg.to_radians().sin(), 0.0, angle_deg.to_radians().cos());
        for section in
            [BarSection::Round, BarSection::Rectangle { depth_over_width: DEPTH_M / WIDTH_M }]
        {
            let mut passed = 0;
            for _ in 0..RAYS {
                // lines that meet a disc: 2 R L / 2 pi for each way, all ways over half a turn
                let mean = 2.0 * REACH_M * length_per_m2;
                let mut is_open = true;
                let mut waits = 0.0;
                loop {
                    waits -= (1.0 - numbers.next()).ln();
                    if waits > mean {
                        break;
                    }
                    let (sin, cos) = (std::f64::consts::PI * numbers.next()).sin_cos();
                    let offset_m = REACH_M * (2.0 * numbers.next() - 1.0);
                    is_open &= !meets(DVec3::new(cos, sin, 0.0), offset_m, ray, section);
                }
                passed += u32::from(is_open);
            }
            let share = f64::from(passed) / f64::from(RAYS);
            let ways = BarWays::All;
            let wanted = Lattice { openness, section, normal: DVec3::Z, ways }.toward(ray).share();
            let error = (wanted * (1.0 - wanted) / f64::from(RAYS)).sqrt();
            assert!(
                (share - wanted).abs() < 4.0 * error,
                "{angle_deg} {section:?}: {share} {wanted} {error}"
            );
        }
    }
}

/// Whether a ray through the origin meets a bar around the line at an offset along `across`.
fn meets(across: DVec3, offset_m: f64, ray: DVec3, section: BarSection) -> bool {
    // in the plane square to the bar: u across it, z through the lattice
    let (u, z) = (ray.dot(across), ray.z);
    match section {
        BarSection::Round => (offset_m * z).abs() / u.hypot(z) < 0.5 * WIDTH_M,
        BarSection::Rectangle { .. } => {
            // the stretch of the ray between the faces of the lattice
            let far = 0.5 * DEPTH_M * u / z;
            offset_m - far.abs() < 0.5 * WIDTH_M && offset_m + far.abs() > -0.5 * WIDTH_M
        }
    }
}

/// One lattice asked by shadow, ray, sun's disc and line: the same share, that of the formula.
#[test]
fn every_way_to_ask_has_the_same_share() {
    let corners = [[-8.0, 36.0, 6.0], [8.0, 36.0, 6.0], [8.0, 39.0, 14.0], [-8.0, 39.0, 14.0]]
        .map(DVec3::from);
    let venue = venue(&panel("Raker", &corners, &lattice_key(0.7, "")));
    let quarterstop::venue::Passes::Lattice(lattice) = venue.occluders[0].bodies[0].passes else {
        panic!("no lattice")
    };
    let obstacles = Obstacle::all_of(&venue, date());
    let middle =
        venue.field.frame.to_local(FieldPoint { along_m: 0.0, across_m: 37.5, up_m: 10.0 });
    let mut seen = Vec::new();
    for (azimuth, elevation) in [(270.0, 40.0), (245.0, 22.0), (290.0, 31.0), (262.0, 55.0)] {
        let sun = toward(azimuth, elevation);
        let wanted = lattice.toward(sun).share();
        let at = middle - sun * (middle.z / sun.z);
        let by_shadow = shadow(&venue, sun).transmission_at(Coord { x: at.x, y: at.y }).share();
        let by_ray = obstacles.transmission(at, sun).share();
        let by_disc = SunDisc::new(&obstacles, sun).share(at, None, MeshEdges::Soft).0;
        let line = LevelLine { from: at - DVec3::Y * 30.0, along: DVec3::Y };
        let by_line = crossings_along(&venue, date(), line, sun);
        let by_line = by_line.iter().map(|c| c.after.share()).fold(1.0, f64::min);
        for got in [by_shadow, by_ray, by_disc, by_line] {
            assert!((got - wanted).abs() < 1e-9, "{azimuth}: {got} {wanted}");
        }
        seen.push(wanted);
    }
    seen.sort_by(f64::total_cmp);
    assert!(seen[3] - seen[0] > 0.1, "{seen:?}");
}

/// Rakers at each point of a line and a truss along it, by tables of a grandstand.
#[test]
fn grandstands_have_lattices_along_them_and_at_each_point() {
    let bars = "lattice = { openness = 0.5, bar_width_m = 0.2, bars_deg = [0.0] }\n";
    let venue = venue(&format!(
        "[[grandstand]]\nname = \"West\"\nline = [[-40.0, 40.0], [0.0, 40.0], [40.0, 40.0]]\n\
         [[grandstand.layer]]\npart = \"deck\"\nprofile = [[0.0, 1.0], [20.0, 10.0]]\n\
         [[grandstand.layer]]\npart = \"wall\"\nprofile = [[3.0, 15.0], [3.0, 18.0]]\n{bars}\
         [[grandstand.end]]\nat = \"each\"\nprofile = [[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [0.0, 1.0]]\n\
         reflectance = 0.4\n{bars}"
    ));
    let of = |part: quarterstop::venue::Part| {
        let bodies = venue.occluders[0].bodies.iter();
        bodies.filter(|body| body.part == part).collect::<Vec<_>>()
    };
    let (truss, rakers) =
        (of(quarterstop::venue::Part::BackWall), of(quarterstop::venue::Part::EndWall));
    assert_eq!((truss.len(), rakers.len()), (2, 3));
    assert!((rakers[0].reflectance - 0.2).abs() < 1e-12);
    // level bars of both: a ray level with them sees the openness, one that rises sees less
    let passes = |body: &quarterstop::venue::Body, way: [f64; 3]| {
        let way = DVec3::from(way).normalize();
        let way = FieldPoint { along_m: way.x, across_m: way.y, up_m: way.z };
        body.passes.through(date()).toward(venue.field.frame.to_local(way)).share()
    };
    for (body, level, rising) in [
        (truss[0], [0.7, 1.0, 0.0], [0.0, 1.0, 1.0]),
        (rakers[1], [1.0, 0.7, 0.0], [1.0, 0.0, 1.0]),
    ] {
        assert!((passes(body, level) - 0.5).abs() < 1e-9);
        // round bars from 45 degrees take the root of 2 of their width
        assert!((passes(body, rising) - (1.0 - 0.5 * 2.0_f64.sqrt())).abs() < 1e-9);
    }
    // both bays of the truss have one lattice, and so one mesh in a shadow
    assert_eq!(truss[0].passes, truss[1].passes);
}

#[test]
fn lattices_that_cannot_be_are_refused_with_key_and_what_is_allowed() {
    let corners = [[-8.0, 36.0, 6.0], [8.0, 36.0, 6.0], [8.0, 36.0, 14.0]].map(DVec3::from);
    for (keys, wanted) in [
        ("lattice = { openness = 1.2, bar_width_m = 0.2 }", ["lattice.openness", "0.99"]),
        ("lattice = { openness = 0.0, bar_width_m = 0.2 }", ["lattice.openness", "0.01"]),
        (
            "lattice = { openness = 0.5, bar_width_m = 0.2, bar_depth_m = 0.0 }",
            ["lattice.bar_depth_m", "0.001"],
        ),
        ("lattice = { openness = 0.5, bar_width_m = -0.2 }", ["lattice.bar_width_m", "0.001"]),
        ("lattice = { openness = 0.5 }", ["lattice", "bar_width_m"]),
        ("lattice = { openness = 0.5, bar_width_m = 0.2, pitch_m = 1.0 }", ["lattice", "pitch_m"]),
        (
            "transmittance = 0.4\nlattice = { openness = 0.5, bar_width_m = 0.2 }",
            ["panel[0].transmittance", "0.4 beside a lattice"],
        ),
        (
            "scattered_share = 0.4\nlattice = { openness = 0.5, bar_width_m = 0.2 }",
            ["panel[0].scattered_share", "0.4 beside a lattice"],
        ),
        (
            "luminance_cd_m2 = 900.0\nlattice = { openness = 0.5, bar_width_m = 0.2 }",
            ["panel[0].luminance_cd_m2", "nothing passes"],
        ),
        (
            "lattice = { openness = 0.5, bar_width_m = 0.2, bars_deg = [] }",
            ["lattice.bars_deg", "1 to 4 ways"],
        ),
        (
            "lattice = { openness = 0.5, bar_width_m = 0.2, bars_deg = [10.0, 190.0] }",
            ["lattice.bars_deg[1]", "-180 to 180"],
        ),
        (
            "lattice = { openness = 0.5, bar_width_m = 0.2, bars_deg = [-90.0, 90.0] }",
            ["lattice.bars_deg[1]", "each way once"],
        ),
    ] {
        let text = format!("{GROUND}{}", panel("P", &corners, keys));
        let error = parse(&text, "ground.toml").unwrap_err().to_string();
        assert!(wanted.iter().all(|part| error.contains(part)), "{wanted:?}\n{error}");
        assert!(error.contains("ground.toml:"), "{error}");
    }
}
