//! What readings of the day teach: estimates, what accepting them does, and undoing it.

use chrono::{DateTime, TimeZone};
use chrono_tz::Tz;

use crate::day_support::entries;
use quarterstop::jobs::day::{
    Correction, DayPlan, DayState, Event, IrisSays, Learned, LightOn, Planner, SkyNow, Survey,
    iris_misses,
};
use quarterstop::venue::{Draft, Venue};
use quarterstop::{engine, jobs};

fn clock(h: u32, m: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 10, 16, h, m, 0).unwrap()
}

fn draft() -> Draft {
    Draft::read(std::path::Path::new("venues/football-demo.toml")).unwrap()
}

fn state(venue: &Venue, all: &[(DateTime<Tz>, Event)]) -> DayState {
    let state = DayState::replay(venue, &engine::programme(venue), &entries(all));
    assert!(state.objections.is_empty(), "{:?}", state.objections);
    state
}

/// T-number of a camera at a minute.
fn t(plan: &DayPlan, camera: usize, at: DateTime<Tz>, light: LightOn) -> f64 {
    let index = plan.plan.instants.iter().position(|i| i.at == at).unwrap();
    let camera = &plan.brief.cameras[camera];
    let exposure = camera.exposures[index].unwrap();
    let white = match light {
        LightOn::Sun => exposure.sun.unwrap(),
        LightOn::Shade => exposure.shade,
    };
    camera.t_at(&plan.brief.spans, index, white).unwrap()
}

fn iris(venue: &Venue, camera: usize, t_number: f64, light: LightOn) -> Event {
    Event::Iris { camera: venue.cameras[camera].name.clone(), t_number, light: Some(light) }
}

/// Shade three tenths of a stop darker than planned: irises open by that, whatever camera.
#[test]
fn irises_of_matched_cameras_say_how_far_the_light_is_off() {
    let venue = draft().venue().unwrap();
    let mut planner = Planner::new(&venue, clock(15, 0));
    let plain = planner.plan(&state(&venue, &[]), clock(15, 10)).unwrap();
    let darker =
        |camera: usize| t(&plain, camera, clock(15, 10), LightOn::Shade) * (-0.3_f64 / 2.0).exp2();
    let mut story: Vec<(DateTime<Tz>, Event)> = (0..4)
        .map(|camera| (clock(15, 10), iris(&venue, camera, darker(camera), LightOn::Shade)))
        .collect();
    let now = clock(15, 11);
    let after = state(&venue, &story);
    let with_readings = planner.plan(&after, now).unwrap();
    // readings alone change nothing
    assert_eq!(with_readings.brief.cues, plain.brief.cues);
    let learned = Learned::of(&with_readings, &after, now);
    let shade = learned.shade.unwrap();
    assert!((shade.stops + 0.3).abs() < 1e-6, "{shade:?}");
    // the standard error of a mean of four, each a quarter of a stop
    assert!((shade.error - 0.125).abs() < 1e-9, "{shade:?}");
    assert_eq!((shade.readings, learned.sun), (4, None));
    // accepted, all that is ahead follows, and what is past stays
    let light = learned.correction(Correction::default()).unwrap();
    assert_eq!(light, Correction { sun_stops: 0.0, shade_stops: -0.3 });
    story.push((clock(15, 12), Event::LightCorrected { sky: SkyNow::Clear, light }));
    let accepted = state(&venue, &story);
    let corrected = planner.plan(&accepted, clock(15, 13)).unwrap();
    for at in [clock(15, 5), clock(15, 11)] {
        let both = [&plain, &corrected].map(|p| t(p, 1, at, LightOn::Shade));
        assert_eq!(both[0], both[1]);
    }
    // in opaque shade, with the ND that is planned for it
    let log = |p: &DayPlan, light| {
        let index = p.plan.instants.iter().position(|i| i.at == clock(15, 30)).unwrap();
        let camera = &p.brief.cameras[1];
        let exposure = camera.exposures[index].unwrap();
        let white = match light {
            LightOn::Sun => exposure.sun.unwrap(),
            LightOn::Shade => exposure.opaque,
        };
        let t = camera.t_at(&p.brief.spans, index, white).unwrap();
        2.0 * t.log2() + camera.setting_at(&p.brief.spans, index).unwrap().nd_stops
    };
    let moved = log(&corrected, LightOn::Shade) - log(&plain, LightOn::Shade);
    assert!((moved + 0.3).abs() < 1e-9, "{moved}");
    let stays = log(&corrected, LightOn::Sun) - log(&plain, LightOn::Sun);
    assert!(stays.abs() < 1e-9, "{stays}");
    // it is not learned twice: a reading that is as planned now says the same
    let as_planned = t(&corrected, 2, clock(15, 20), LightOn::Shade);
    story.push((clock(15, 20), iris(&venue, 2, as_planned, LightOn::Shade)));
    let later = state(&venue, &story);
    let misses = iris_misses(&corrected, &later);
    let last = misses.iter().find(|m| m.at == clock(15, 20)).unwrap();
    assert!(last.stops.abs() < 1e-9 && (last.over_model + 0.3).abs() < 1e-9, "{last:?}");
    // under another sky it does not count
    assert_eq!(later.correction(clock(15, 30), SkyNow::Overcast), Correction::default());
    // and taken back, the plan is as it was
    story.push((clock(15, 21), Event::Undo { entry: 5 }));
    let undone = planner.plan(&state(&venue, &story), clock(15, 21)).unwrap();
    assert_eq!(undone.brief.cues, plain.brief.cues);
}

/// A lens at an end of its range only bounds the light: wide open in the shade it may be any
/// darker, closed all the way in the sun any brighter. Neither teaches an offset, though both
/// stand in the list; one that is within its range beside them teaches by itself.
#[test]
fn an_iris_at_an_end_of_its_lens_teaches_nothing() {
    let venue = draft().venue().unwrap();
    let mut planner = Planner::new(&venue, clock(15, 0));
    let plain = planner.plan(&state(&venue, &[]), clock(15, 10)).unwrap();
    let lens = plain.brief.cameras[0].rig.lens();
    let mut story = vec![
        (clock(15, 10), iris(&venue, 0, lens.widest_t, LightOn::Shade)),
        (clock(15, 10), iris(&venue, 1, lens.narrowest_t, LightOn::Sun)),
    ];
    let learned = |story: &[(DateTime<Tz>, Event)], planner: &mut Planner<'_>| {
        let state = state(&venue, story);
        let made = planner.plan(&state, clock(15, 11)).unwrap();
        (Learned::of(&made, &state, clock(15, 11)), iris_misses(&made, &state))
    };
    let (told, misses) = learned(&story, &mut planner);
    assert_eq!((told.sun, told.shade), (None, None));
    let says: Vec<IrisSays> = misses.iter().map(|miss| miss.says).collect();
    assert_eq!(says, [IrisSays::AsMuchOrLess, IrisSays::AsMuchOrMore]);
    assert!(misses.iter().all(|miss| miss.stops.abs() > 0.5), "{misses:?}");
    let planned = t(&plain, 2, clock(15, 10), LightOn::Shade);
    assert!(planned > lens.widest_t && planned < lens.narrowest_t, "T{planned}");
    story.push((clock(15, 10), iris(&venue, 2, planned, LightOn::Shade)));
    let (told, _) = learned(&story, &mut planner);
    let shade = told.shade.unwrap();
    assert!(shade.stops.abs() < 1e-9 && shade.readings == 1, "{shade:?}");
}

/// A light meter in sun and in shade.
#[test]
fn a_light_meter_corrects_both_sides() {
    let venue = draft().venue().unwrap();
    let mut planner = Planner::new(&venue, clock(15, 0));
    let plain = planner.plan(&state(&venue, &[]), clock(15, 10)).unwrap();
    let light = plain.plan.instants.iter().find(|i| i.at == clock(15, 10)).unwrap().field_light;
    let reading = Event::Light {
        sun_lx: Some(light.in_sun.unwrap().lux() * 0.2_f64.exp2()),
        shade_lx: Some(light.in_shade.lux() * (-0.4_f64).exp2()),
    };
    let after = state(&venue, &[(clock(15, 10), reading)]);
    let made = planner.plan(&after, clock(15, 11)).unwrap();
    let learned = Learned::of(&made, &after, clock(15, 11));
    assert!((learned.sun.unwrap().stops - 0.2).abs() < 1e-6);
    assert!((learned.shade.unwrap().stops + 0.4).abs() < 1e-6);
    // nothing is learned of a sky that was not there
    let grey = [
        (clock(15, 10), Event::Light { sun_lx: None, shade_lx: Some(5000.0) }),
        (clock(15, 12), Event::Sky { sky: SkyNow::Overcast }),
    ];
    let after = state(&venue, &grey);
    let made = planner.plan(&after, clock(15, 13)).unwrap();
    assert_eq!(Learned::of(&made, &after, clock(15, 13)).shade, None);
}

/// A roof that is lower than the file says: its edge comes to marks at the times of that
/// ground, and `fit` finds it from them.
#[test]
fn edges_at_marks_find_the_roof_that_throws_them() {
    let stated = draft();
    let mut real = stated.clone();
    let roof = "stand.\"Mill Stand\".roof.front_height_m".parse().unwrap();
    let height = real.value(&roof).unwrap();
    real.set(&roof, height - 0.8).unwrap();
    let (venue, truth) = (stated.venue().unwrap(), real.venue().unwrap());
    let there = Planner::new(&truth, clock(15, 0)).plan(&state(&truth, &[]), clock(14, 50));
    let there = there.unwrap();
    let marks = venue.field.marks.iter().map(|m| m.name.clone());
    let passes = marks.filter_map(|mark| {
        let words = jobs::crew::mark_words(&mark);
        let cue = there.brief.cues.iter().find(|cue| words.contains(&cue.subject))?;
        Some((cue.at, Event::EdgePasses { mark }))
    });
    let mut story: Vec<(DateTime<Tz>, Event)> = passes.collect();
    story.sort_by_key(|(at, _)| *at);
    assert!(story.len() >= 2, "{story:?}");
    let seen = state(&venue, &story);
    let here = Planner::new(&venue, clock(15, 0)).plan(&seen, clock(17, 0)).unwrap();
    let learned = Learned::of(&here, &seen, clock(17, 0));
    assert!(learned.edges.iter().any(|miss| miss.planned.is_some_and(|at| at != miss.at)));
    let survey = Survey::of(&stated, &venue, &seen).unwrap().unwrap();
    let found = survey.numbers.iter().find(|n| n.what.contains("Mill Stand")).unwrap();
    assert!(found.from == height && (found.to - (height - 0.8)).abs() < 2.0 * found.error);
    assert!(found.to < height - 0.2, "{found:?}");
    let mut written = stated.clone();
    survey.write_into(&mut written).unwrap();
    assert!((written.value(&roof).unwrap() - found.to).abs() < 0.06);
    assert!(written.text().contains("fitted"), "{}", written.text());
}
