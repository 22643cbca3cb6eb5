//! Pairs of cameras: what is known beforehand of twins, and the trims put to use.

use quarterstop::jobs::crew::MATCHED_STOPS;
use quarterstop::jobs::matching::report::{MatchingReport, data, table};
use quarterstop::jobs::matching::{MatchedPairs, matched_pairs};
use quarterstop::signal::{BlackStretch, CameraCurve, Making, Output};
use quarterstop::venue::{Venue, parse};

use crate::plan_brief::of_demo;

/// The football demo with another camera where the first one stands, and a production.
fn demo() -> Venue {
    let text = std::fs::read_to_string("venues/football-demo.toml").unwrap();
    let start = text.find("[[camera]]").unwrap();
    let end = start + 10 + text[start + 10..].find("\n[[").unwrap();
    let twin = text[start..end].replacen("name = \"1 main wide\"", "name = \"twin\"", 1);
    assert!(twin.contains("twin"), "{twin}");
    let more = "[production]\nmakes = [\"sdr\", \"hlg\"]\nsdr_from = \"camera\"\n";
    parse(&format!("{text}\n{twin}\n{more}"), "demo.toml").unwrap()
}

/// A filter of +131 mired (the usual conversion from 5500 K to 3200 K, common practice, no
/// source) before the twin alone: the pair differs by it, and the twin takes red off and blue
/// on; before both it changes nothing but what each sees.
#[test]
fn filters_before_the_lenses_count_in_colour_and_trims() {
    let with = |cameras: &[&str]| {
        let mut venue = demo();
        for camera in &mut venue.cameras {
            if cameras.contains(&camera.name.as_str()) {
                camera.exposure.filter_mired = Some(131.0);
            }
        }
        let (plan, brief) = of_demo(&venue);
        let pairs = matched_pairs(&venue, &plan, &brief).pairs;
        let twin = venue.cameras.iter().position(|c| c.name == "twin").unwrap();
        let twins = pairs.into_iter().find(|p| p.cameras == (0, twin)).unwrap();
        twins.gaps.into_iter().flatten().collect::<Vec<_>>()
    };
    let (bare, one, both) = (with(&[]), with(&["twin"]), with(&["twin", "1 main wide"]));
    assert!(bare.len() > 100);
    for gap in &one {
        // to the step of the table that a temperature is found by
        assert!((gap.mired.unwrap() + 131.0).abs() < 1.0, "{gap:?}");
        let trims = gap.trims.unwrap();
        assert!(trims.red < -0.3 && trims.blue > 0.5, "{trims:?}");
    }
    for (gap, bare) in both.iter().zip(&bare) {
        assert!(gap.mired.unwrap().abs() < 1e-6 && gap.trims.unwrap().red.abs() < 1e-9);
        assert!((gap.light.stops() - bare.light.stops()).abs() < 1e-12);
    }
}

#[test]
fn twins_match_and_trims_bring_the_second_to_the_first() {
    let venue = demo();
    let (plan, brief) = of_demo(&venue);
    let MatchedPairs { outputs, pairs, at_ends } = matched_pairs(&venue, &plan, &brief);
    assert_eq!(outputs, [Output::Sdr, Output::Hlg]);
    let twin = venue.cameras.iter().position(|c| c.name == "twin").unwrap();
    let twins = pairs.iter().find(|p| p.cameras == (0, twin)).unwrap();
    assert_eq!(twins.hard(), 0);
    for gap in twins.gaps.iter().flatten() {
        assert!(gap.light.stops().abs() < 1e-9 && gap.picture.stops().abs() < 1e-9);
        assert!(gap.mired.is_none_or(|mired| mired.abs() < 1e-6));
        assert!(
            gap.outputs
                .iter()
                .all(|t| { t.is_some_and(|t| (t.gain - 1.0).abs() < 1e-9 && t.lift.abs() < 1e-9) })
        );
    }
    // by each camera's own split and iris, the trims worked out backward
    let (mut checked, mut matchless) = (0, 0);
    for pair in &pairs {
        for (index, gap) in pair.gaps.iter().enumerate() {
            let Some(gap) = gap else { continue };
            let faces = &plan.instants[index].faces[gap.mark];
            let lux = |camera: usize| faces[camera].unwrap().lux();
            let (a, b) = pair.cameras;
            assert!((gap.light.stops() - (lux(a) / lux(b)).log2()).abs() < 1e-9);
            let white = |camera: usize| brief.cameras[camera].exposures[index].unwrap().one.white;
            let iris = (white(b).cd_per_m2() / white(a).cd_per_m2()).log2();
            assert!((gap.picture.stops() - gap.light.stops() - iris).abs() < 1e-9);
            let skin = |camera: usize, in_sun: bool| {
                let split = &plan.instants[index].cameras[camera].subject;
                let side = if in_sun { split.sunlit } else { split.shaded };
                let lux = side?.light.lux() * venue.subject.skin_reflectance;
                Some(lux / std::f64::consts::PI / white(camera).cd_per_m2())
            };
            let ways = [
                Making::Sdr(CameraCurve::keeping(2.0)),
                Making::Hdr(Output::Hlg, BlackStretch::OFF),
            ];
            for (making, trim) in ways.iter().zip(&gap.outputs) {
                let Some(trim) = trim else {
                    matchless += 1;
                    continue;
                };
                assert!((0.5..=2.0).contains(&trim.gain), "{trim:?}");
                if trim.lift == 0.0 {
                    continue;
                }
                for in_sun in [true, false] {
                    let (Some(first), Some(second)) = (skin(a, in_sun), skin(b, in_sun)) else {
                        continue;
                    };
                    let trimmed = trim.gain * making.of_level(second) + trim.lift;
                    assert!((trimmed - making.of_level(first)).abs() < 1e-9, "{making:?}");
                    checked += 1;
                }
            }
        }
    }
    assert!(checked > 1000 && matchless > 10, "{checked} {matchless}");
    // the hardest first
    let hard: Vec<usize> = pairs.iter().map(|pair| pair.hard()).collect();
    assert!(hard.windows(2).all(|two| two[0] >= two[1]), "{hard:?}");
    assert!(pairs[0].worst().unwrap().1.picture.stops().abs() > MATCHED_STOPS);
    let found = MatchedPairs { outputs, pairs, at_ends };
    let told = MatchingReport { venue: &venue, plan: &plan, pairs: &found };
    let json: serde_json::Value = serde_json::from_slice(&data::write(&told).unwrap()).unwrap();
    assert!(jsonschema::is_valid(&data::schema(), &json));
    let gaps: usize = found.pairs.iter().map(|p| p.gaps.iter().flatten().count()).sum();
    let csv = table::csv(&told).unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_slice());
    assert_eq!(reader.headers().unwrap().len(), table::columns().len() + 2);
    let rows: Result<Vec<_>, _> = reader.records().collect();
    assert_eq!(rows.unwrap().len(), gaps);
}
