//! Splits, settings and verdicts followed at steps of seconds: nothing that a crew reads
//! may change faster than its cause, which is the sun's way and what the edge passes over.
//!
//! What the edge passes over is counted here by rays through points of the picture, which
//! share no code with the areas and weights of the library.

use std::f64::consts::LN_2;

use chrono::{DateTime, TimeDelta, TimeZone};
use chrono_tz::Tz;
use geo::{Contains, Coord, Point};

use quarterstop::base::units::Stops;
use quarterstop::camera::{
    ClassShares, Exposure, FULL_SHARE, LightClass, Pinhole, Present, Rig, SLIVER_LEFT_SHARE,
    SLIVER_SHARE, Split, SplitState, exposure, sweep as axes,
};
use quarterstop::engine::{Instant, MatchPlan, Prepared, Settings};
use quarterstop::geometry::Shadow;
use quarterstop::jobs::crew::{BriefSettings, STEADY_MIN, brief};
use quarterstop::light::{Air, Sky};
use quarterstop::venue::{CameraPost, Venue};
use quarterstop::{engine, solar};

/// Steps of the light model itself, each side: a piece of a stand is lit or not by one place
/// of it, and to double their number changes no split of the demos by more (DEVELOPERS.md,
/// "Light").
const PIECES_STOPS: f64 = 0.03;
/// The clear sky's brightness changes by no more than this a radian that the sun moves:
/// `1 + c (exp(d x) - ...)` of ISO 15469:2004, type 12, with d = -3.
const SKY_PER_RADIAN: f64 = 3.0;
/// Stands reflect no more than this of what they get, as these grounds have them.
const STANDS_REFLECT: f64 = 0.4;
/// Points of the picture that a camera's shares are counted on.
const POINTS: usize = 6000;
/// Between instants, s.
const STEP_S: i64 = 10;

fn ground(bodies: &str) -> Venue {
    let text = format!(
        "title = \"Ground\"\n[place]\nlatitude_deg = 51.0\nlongitude_deg = 0.0\nheight_m = 0.0\n\
         zone = \"Europe/London\"\n[field]\nsport = \"football\"\nbearing_deg = 0.0\n{bodies}\
         [[camera]]\nname = \"1\"\nat = [0.0, 52.0, 16.0]\naim = [[-30.0, 0.0], [30.0, \
         0.0]]\nhorizontal_fov_deg = 30.0\n\
         [[camera]]\nname = \"2\"\nat = [-75.0, 0.0, 8.0]\nhorizontal_fov_deg = 40.0\n"
    );
    quarterstop::venue::parse(&text, "ground.toml").unwrap_or_else(|e| panic!("{e}"))
}

/// An upright panel over the left touchline, from and to so many metres along.
fn panel(name: &str, (from, to): (f64, f64), (bottom, top): (f64, f64), passes: f64) -> String {
    format!(
        "[[panel]]\nname = \"{name}\"\ncorners = [[{from:.2}, 37.0, {bottom:.2}], [{to:.2}, 37.0, \
         {bottom:.2}], [{to:.2}, 37.0, {top:.2}], [{from:.2}, 37.0, {top:.2}]]\ntransmittance = \
         {passes:.2}\n"
    )
}

/// A stand in the west with an opaque roof and, on its front edge, a truss drawn as upright
/// panels of transmittance 0.6, behind which the afternoon's sun goes down.
fn truss() -> Venue {
    let mut bodies = String::from(
        "[[solid]]\nname = \"West Stand\"\nfootprint = [[-60.0, 42.0], [60.0, 42.0], [60.0, \
         62.0], [-60.0, 62.0]]\ntop_m = 14.0\n\
         [[panel]]\nname = \"roof\"\ncorners = [[-60.0, 38.0, 19.0], [60.0, 38.0, 19.0], [60.0, \
         62.0, 18.0], [-60.0, 62.0, 18.0]]\n",
    );
    for i in 0..12 {
        let from = 10.0 * f64::from(i) - 60.0;
        bodies += &panel(&format!("truss {i}"), (from, from + 10.0), (19.5, 23.0), 0.6);
    }
    ground(&bodies)
}

/// Reproducible numbers of 0 to 1 (Numerical Recipes, 2nd ed., section 7.1: a linear
/// congruential generator).
struct Dice(u32);

impl Dice {
    fn roll(&mut self, from: f64, to: f64) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        from + (to - from) * f64::from(self.0 >> 8) / f64::from(1_u32 << 24)
    }
}

/// Opaque slats, panels of several transmittances and trees in leaf along the west.
fn generated(seed: u32) -> Venue {
    let mut dice = Dice(seed);
    let mut bodies = String::new();
    let mut at = -55.0;
    let mut count = 0;
    while at < 55.0 {
        let to = at + dice.roll(0.6, 6.0);
        let bottom = dice.roll(6.0, 16.0);
        let top = bottom + dice.roll(0.4, 5.0);
        let passes = [0.0, 0.0, 0.3, 0.6, 0.85][dice.roll(0.0, 4.999) as usize];
        bodies += &panel(&format!("panel {count}"), (at, to), (bottom, top), passes);
        at = to + dice.roll(0.3, 5.0);
        count += 1;
    }
    for tree in 0..4 {
        bodies += &format!(
            "[[tree]]\nname = \"tree {tree}\"\nat = [{:.1}, {:.1}]\ntrunk_height_m = \
             {:.1}\ncrown_height_m = {:.1}\ncrown_radius_m = {:.1}\nin_leaf_transmittance = {:.2}\n",
            dice.roll(-50.0, 50.0),
            dice.roll(40.0, 48.0),
            dice.roll(2.0, 4.0),
            dice.roll(6.0, 12.0),
            dice.roll(2.0, 4.0),
            dice.roll(0.05, 0.4)
        );
    }
    ground(&bodies)
}

fn at(hour: u32, minute: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 9, 30, hour, minute, 0).unwrap()
}

fn settings(from: DateTime<Tz>, until: DateTime<Tz>, step_s: i64) -> Settings {
    Settings {
        from,
        until,
        step: TimeDelta::seconds(step_s),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: Vec::new(),
    }
}

fn run(prepared: &Prepared<'_>, from: DateTime<Tz>, until: DateTime<Tz>, step_s: i64) -> MatchPlan {
    prepared.run(&settings(from, until, step_s), |_, _| {}).unwrap()
}

/// Points of the pictures of a sweep that show the field, spread by a sequence of Halton
/// (Numerische Mathematik 2, 1960), with what each takes of the picture.
fn points(venue: &Venue, post: &CameraPost) -> Vec<(Coord<f64>, f64)> {
    let radical = |base: usize, mut i: usize| {
        let (mut value, mut digit) = (0.0, 1.0 / base as f64);
        while i > 0 {
            value += digit * (i % base) as f64;
            i /= base;
            digit /= base as f64;
        }
        value
    };
    let axes = axes(post);
    let point = |i: usize| {
        // a frame by a base of its own: frames in turn would show each the same part of its
        // picture again and again, where their number has a factor of 2 or 3
        let frame = (radical(5, i + 1) * axes.len() as f64) as usize;
        let eye = Pinhole::along(post, axes[frame]);
        let (u, v) = (2.0 * radical(2, i + 1) - 1.0, 2.0 * radical(3, i + 1) - 1.0);
        let (u, v) = (u * eye.half_width, v * eye.half_height);
        let ray = eye.forward + eye.right * u + eye.up * v;
        let hit = eye.at + ray * (-eye.at.z / ray.z);
        let at = Coord { x: hit.x, y: hit.y };
        // solid angle of equal areas of the picture
        let weight = (1.0 + u * u + v * v).powf(-1.5);
        (ray.z < 0.0 && venue.field.surrounds.contains(&Point(at))).then_some((at, weight))
    };
    let mut all: Vec<(Coord<f64>, f64)> = (0..POINTS).filter_map(point).collect();
    let sum: f64 = all.iter().map(|(_, weight)| weight).sum();
    all.iter_mut().for_each(|(_, weight)| *weight /= sum);
    all
}

fn transmissions(points: &[(Coord<f64>, f64)], shadow: &Shadow) -> Vec<f64> {
    points.iter().map(|(at, _)| shadow.transmission_at(*at).share()).collect()
}

fn shares(points: &[(Coord<f64>, f64)], through: &[f64]) -> [f64; 3] {
    let mut shares = [0.0; 3];
    for ((_, weight), through) in points.iter().zip(through) {
        let class = if *through >= 1.0 { 0 } else { usize::from(*through <= 0.0) + 1 };
        shares[class] += weight;
    }
    shares
}

/// How much more a share may be than was counted of so many points: the count lies three
/// standard deviations, roots of the mean, under its mean.
fn counted(share: f64, points: usize) -> f64 {
    let count = share * points as f64;
    (4.5 + 3.0 * (count + 2.25).sqrt()) / points as f64
}

fn classes(shares: &ClassShares) -> [f64; 3] {
    [shares.sun, shares.dimmed, shares.shade]
}

/// What the sun alone may do to each side between two instants, stops: `[full sun, shade]`.
fn by_the_sun(a: &Instant, b: &Instant, split: &Split) -> [f64; 2] {
    let log = |f: fn(&Instant) -> f64| (f(b) / f(a)).log2().abs();
    let direct = log(|i| i.daylight.direct_normal.lux());
    let diffuse = log(|i| i.daylight.diffuse_horizontal.lux());
    let angle = a.sun.toward().angle_between(b.sun.toward());
    let beam = a.daylight.direct_normal.lux().max(b.daylight.direct_normal.lux()) * angle / LN_2;
    let lux = |side: Option<quarterstop::camera::Side>| side.unwrap().light.lux();
    let stands = STANDS_REFLECT * beam / lux(split.shaded);
    let shade = direct + diffuse + SKY_PER_RADIAN * angle / LN_2 + stands + PIECES_STOPS;
    [shade + direct + beam / lux(split.sunlit), shade]
}

/// What may have been seen of a camera's splits at two instants, for a message.
struct Step<'a> {
    before: &'a Split,
    after: &'a Split,
    /// Share of the picture in which the direct light changed.
    passed: f64,
    sun: [f64; 2],
    what: String,
}

impl Step<'_> {
    /// By how much a class's side may move, stops.
    fn side(&self, class: LightClass) -> f64 {
        let [sun, shade] = self.sun;
        match class {
            LightClass::Sun => sun,
            LightClass::Shade => shade,
            LightClass::Dimmed => {
                let lux = |side: Option<quarterstop::camera::Side>| side.unwrap().light.lux();
                let shares = [self.before.shares, self.after.shares];
                let least = shares.map(|s| s.dimmed).into_iter().fold(f64::INFINITY, f64::min);
                let dark = shares.map(|s| s.transmittance).into_iter().fold(1.0, f64::min);
                // the mean transmittance moves by what changed over what it is the mean of
                let through = (self.passed / least.max(1e-9)).min(1.0);
                let (full, shade) = (lux(self.after.sunlit), lux(self.after.shaded));
                let least = shade + dark * (full - shade);
                sun.max(self.sun[1]) + through * (full - shade) / least / LN_2
            }
        }
    }

    fn check_split(&self) {
        for split in [self.before, self.after] {
            let stops = split.state.in_shot().or(split.state.latent()).unwrap().stops();
            assert!(stops >= 0.0, "{}: {stops}", self.what);
            for class in [LightClass::Sun, LightClass::Dimmed, LightClass::Shade] {
                let (share, ends) = (split.shares.share(class), split.between.unwrap());
                let side = split.state.in_shot().is_some() && [ends.0, ends.1].contains(&class);
                assert!(!side || share >= SLIVER_LEFT_SHARE, "{}: {class:?} {share}", self.what);
            }
        }
        let stops = |split: &Split| split.state.in_shot().or(split.state.latent());
        let (x, y) = (stops(self.before).unwrap().stops(), stops(self.after).unwrap().stops());
        if self.before.between == self.after.between {
            let (bright, dark) = self.after.between.unwrap();
            let bound = self.side(bright) + self.side(dark);
            assert!((x - y).abs() <= bound, "{}: {x} to {y}, at most {bound}", self.what);
        } else {
            self.check_change_of_sides();
        }
    }

    /// Where a split is between other classes than before, a class has just passed the
    /// limit for its own reason.
    fn check_change_of_sides(&self) {
        let (before, after) = (&self.before.shares, &self.after.shares);
        let passed = [LightClass::Sun, LightClass::Dimmed, LightClass::Shade].iter().any(|&c| {
            let (a, b) = (before.share(c), after.share(c));
            let comes = a < SLIVER_SHARE && b >= SLIVER_SHARE;
            comes || a >= SLIVER_LEFT_SHARE && b < SLIVER_LEFT_SHARE
        });
        assert!(passed, "{}: {:?} to {:?}", self.what, self.before, self.after);
    }

    fn check_one_setting(&self, before: &Exposure, after: &Exposure) {
        let log = |e: &Exposure| e.one.white.cd_per_m2().log2();
        let counts = |class| (before.shares.counts(class) - after.shares.counts(class)).abs();
        let classes = [LightClass::Sun, LightClass::Dimmed, LightClass::Shade];
        let drawn: f64 = classes.iter().map(|c| counts(*c)).sum();
        let spread = |e: &Exposure| Stops::between(e.sun.unwrap(), e.opaque).unwrap().stops();
        let face =
            |s: &Split| (s.sunlit.unwrap().light.lux() / s.shaded.unwrap().light.lux()).log2();
        let widest = [spread(before), spread(after), face(self.before), face(self.after)];
        let widest = widest.into_iter().fold(0.0, f64::max);
        let counted =
            |c: &&LightClass| before.shares.counts(**c) > 0.0 || after.shares.counts(**c) > 0.0;
        let own = classes.iter().filter(counted);
        let own = own.map(|c| self.side(*c)).fold(0.0, f64::max);
        let (moved, bound) = ((log(before) - log(after)).abs(), own + widest * drawn);
        assert!(moved <= bound, "{}: one setting moved {moved}, at most {bound}", self.what);
    }
}

/// Follows every camera of a plan; returns how often a split in shot was compared, and how
/// often it changed sides.
fn follow(venue: &Venue, plan: &MatchPlan) -> (usize, usize) {
    let (mut compared, mut changed) = (0, 0);
    for (camera, post) in venue.cameras.iter().enumerate() {
        let points = points(venue, post);
        let rig = Rig::of(&post.exposure);
        for of_turf in [true, false] {
            let split = |i: &'_ Instant| match of_turf {
                true => i.cameras[camera].turf,
                false => i.cameras[camera].subject,
            };
            let through = |i: &Instant| {
                transmissions(&points, if of_turf { &i.turf.ground } else { &i.face.ground })
            };
            let mut last = plan.instants.first().map(through).unwrap();
            for pair in plan.instants.windows(2) {
                let (before, after) = (split(&pair[0]), split(&pair[1]));
                let now = through(&pair[1]);
                let changes = points.iter().zip(last.iter().zip(&now));
                let passed: f64 =
                    changes.filter(|(_, (a, b))| a != b).map(|((_, weight), _)| weight).sum();
                let passed = passed + counted(passed, points.len());
                last = now;
                if before.sunlit.is_none() || after.sunlit.is_none() {
                    continue;
                }
                let what = format!("{} {} turf {of_turf} {}", venue.title, post.name, pair[1].at);
                for (a, b) in classes(&before.shares).iter().zip(classes(&after.shares)) {
                    assert!((a - b).abs() <= passed, "{what}: share {a} to {b}, {passed}");
                }
                let sun = by_the_sun(&pair[0], &pair[1], &after);
                let step = Step { before: &before, after: &after, passed, sun, what };
                step.check_split();
                compared += usize::from(after.state.in_shot().is_some());
                changed += usize::from(before.between != after.between);
                if of_turf {
                    // whites are those of faces, in the classes of the turf
                    let views = [&pair[0], &pair[1]].map(|i| &i.cameras[camera]);
                    let faces = views.map(|v| Split { shares: v.turf.shares, ..v.subject });
                    let on_faces = by_the_sun(&pair[0], &pair[1], &faces[1]);
                    let sun = [sun[0].max(on_faces[0]), sun[1].max(on_faces[1])];
                    let step = Step { before: &faces[0], after: &faces[1], sun, ..step };
                    let [before, after] =
                        views.map(|view| exposure(view, &rig, &venue.subject).unwrap());
                    step.check_one_setting(&before, &after);
                }
            }
            let last = plan.instants.last().unwrap();
            let (own, by_points) = (split(last).shares, shares(&points, &through(last)));
            for (own, counts) in classes(&own).into_iter().zip(by_points) {
                let off = counted(counts, points.len()) + CELL_SHARE;
                assert!((own - counts).abs() < off, "{own} against {counts} by points");
            }
        }
    }
    (compared, changed)
}

/// Within a cell that only some frames of a pan show, the shade of all of it counts, and of
/// shares that are a few cells this is left.
const CELL_SHARE: f64 = 0.02;

/// Stretches of two minutes in which some camera's sides change, at most so many.
fn transitions(
    prepared: &Prepared<'_>,
    from: DateTime<Tz>,
    until: DateTime<Tz>,
) -> Vec<DateTime<Tz>> {
    const STRETCHES: usize = 4;
    let coarse = run(prepared, from, until, 120);
    let changes = coarse.instants.windows(2).filter(|pair| {
        let cameras = pair[0].cameras.iter().zip(&pair[1].cameras);
        cameras.into_iter().any(|(a, b)| {
            a.turf.between != b.turf.between
                || std::mem::discriminant(&a.turf.state) != std::mem::discriminant(&b.turf.state)
        })
    });
    let all: Vec<DateTime<Tz>> = changes.map(|pair| pair[0].at).collect();
    let every = all.len().div_ceil(STRETCHES).max(1);
    all.into_iter().step_by(every).collect()
}

/// A truss of transmittance 0.6 comes into shot before the roof does. Once the split of the
/// turf fell from 2.76 to 0.87 stops in ten seconds here, and that of a subject from 3.79 to
/// 0.89, since means over different places were compared and half a percent of the turf was
/// a side.
#[test]
fn a_truss_before_the_roof_does_not_swing_the_split() {
    let venue = truss();
    let prepared = Prepared::new(&venue, at(13, 0).date_naive());
    let (mut compared, mut changed) = (0, 0);
    for from in transitions(&prepared, at(13, 0), at(17, 0)) {
        let plan = run(&prepared, from, from + TimeDelta::seconds(240), STEP_S);
        let (splits, changes) = follow(&venue, &plan);
        (compared, changed) = (compared + splits, changed + changes);
    }
    assert!(compared > 40 && changed > 0, "{compared} {changed}");
}

#[test]
fn generated_grounds_of_slats_panels_and_leaves_follow_their_cause() {
    let (mut compared, mut changed) = (0, 0);
    for seed in [3, 14, 159] {
        let venue = generated(seed);
        let prepared = Prepared::new(&venue, at(13, 0).date_naive());
        for from in transitions(&prepared, at(14, 0), at(17, 40)) {
            let plan = run(&prepared, from, from + TimeDelta::seconds(120), 5);
            let (splits, changes) = follow(&venue, &plan);
            (compared, changed) = (compared + splits, changed + changes);
        }
    }
    assert!(compared > 300 && changed > 0, "{compared} {changed}");
}

#[test]
fn the_demos_follow_their_cause() {
    for name in ["football", "tennis"] {
        let path = format!("venues/{name}-demo.toml");
        let venue = quarterstop::venue::read(std::path::Path::new(&path)).unwrap();
        let fixture = venue.fixture.unwrap();
        let start = solar::resolve(venue.place.zone, fixture.date, fixture.start, None).unwrap();
        let (from, until) = engine::programme(&venue).window_from(start);
        let prepared = Prepared::new(&venue, fixture.date);
        let mut compared = 0;
        for from in transitions(&prepared, from, until) {
            let plan = run(&prepared, from, from + TimeDelta::seconds(120), STEP_S);
            compared += follow(&venue, &plan).0;
        }
        assert!(compared > 0, "{name}");
    }
}

/// Half a percent of the cover in shade is reported as a share, and as nothing else.
#[test]
fn a_sliver_is_a_share_and_nothing_else() {
    let shares = |shade: f64| ClassShares { sun: 1.0 - shade, shade, ..ClassShares::NOTHING };
    for shade in [0.0004, 0.005, 0.0199] {
        let sides = shares(shade).present(Present::NONE);
        assert_eq!(sides.ends(), Some((LightClass::Sun, LightClass::Sun)), "{shade}");
        assert_eq!(shares(shade).counts(LightClass::Shade), 0.0, "{shade}");
    }
    let both = Some((LightClass::Sun, LightClass::Shade));
    let there = shares(SLIVER_SHARE).present(Present::NONE);
    assert_eq!(there.ends(), both);
    // what was there stays until half of that
    assert_eq!(shares(1.01 * SLIVER_LEFT_SHARE).present(there).ends(), both);
    assert!(!shares(0.99 * SLIVER_LEFT_SHARE).present(there).shade);
    assert!((shares(FULL_SHARE).counts(LightClass::Shade) - 1.0).abs() < 1e-12);
}

/// Through a truss and then a roof, verdicts last, and a side that never took more than a
/// sliver has none. The plan has a step of ten seconds.
#[test]
fn verdicts_last_through_truss_and_roof() {
    let venue = truss();
    let prepared = Prepared::new(&venue, at(13, 0).date_naive());
    let plan = run(&prepared, at(13, 10), at(13, 40), STEP_S);
    let brief = brief(&prepared, &plan, &BriefSettings::default()).unwrap();
    let least = (STEADY_MIN * 60 / STEP_S) as usize;
    for camera in &brief.cameras {
        let given: Vec<_> = camera.exposures.iter().flatten().map(|e| e.verdict).collect();
        let runs: Vec<usize> = given.chunk_by(|a, b| a == b).map(<[_]>::len).collect();
        assert!(runs[..runs.len() - 1].iter().all(|run| *run >= least), "{runs:?}");
        for (exposure, instant) in camera.exposures.iter().zip(&plan.instants) {
            let exposure = exposure.unwrap();
            assert!(exposure.ride.unwrap().stops() >= 0.0);
            let shares = exposure.shares;
            let sliver = shares.sun.max(shares.shade).max(shares.dimmed) > 1.0 - SLIVER_LEFT_SHARE;
            let state = instant.cameras[camera.camera].turf.state;
            assert!(!sliver || matches!(state, SplitState::Latent(..)), "{shares:?} {state:?}");
            let one = exposure.one;
            assert!(!sliver || one.over.stops() + one.under.stops() < 1e-9, "{one:?}");
        }
    }
}
