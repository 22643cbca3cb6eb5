//! Actions of one operator at the same moment: moved where they can wait, else listed.

use chrono::{DateTime, TimeZone};
use chrono_tz::Tz;

use quarterstop::jobs::crew::cues::{During, Sure};
use quarterstop::jobs::crew::{AtOnce, Cue, CueKind, Urgency, at_once, one_after_the_other};
use quarterstop::jobs::match_plan::play::Break;

fn at(second: i64) -> DateTime<Tz> {
    Tz::UTC.timestamp_opt(1_800_000_000 + second, 0).unwrap()
}

fn cue(second: i64, kind: CueKind, camera: usize, operator: usize) -> Cue {
    let urgency = if kind == CueKind::Setting { Urgency::AtBreak } else { Urgency::Act };
    Cue {
        at: at(second),
        kind,
        urgency,
        during: During::Play,
        what: String::new(),
        subject: String::new(),
        ordinal: 1,
        cameras: vec![camera],
        operators: vec![operator],
        lead_s: 10.0,
        moving: None,
        sure: Sure::Exact,
    }
}

#[test]
fn filters_of_one_operator_are_changed_one_after_the_other_within_the_break() {
    let pause = Break { name: "half-time".to_owned(), from: at(0), until: at(40) };
    let all = [(0, 0), (1, 1), (2, 0), (3, 0), (4, 0)];
    let mut cues: Vec<Cue> =
        all.iter().map(|(camera, operator)| cue(0, CueKind::Setting, *camera, *operator)).collect();
    one_after_the_other(&mut cues, &[pause]);
    let of = |camera: usize| cues.iter().find(|c| c.cameras == [camera]).unwrap().at;
    assert_eq!([0, 1, 2, 3].map(of), [at(0), at(0), at(15), at(30)]);
    // the break is over: better at its beginning than in play
    assert_eq!(of(4), at(0));
    assert!(cues.windows(2).all(|w| w[0].at <= w[1].at));
}

#[test]
fn actions_of_one_operator_at_the_same_moment_are_listed() {
    let kind = CueKind::Verdict;
    let cues = [
        cue(0, kind, 0, 0),
        cue(10, kind, 1, 1),
        cue(14, kind, 2, 0),
        cue(15, kind, 3, 0),
        cue(100, kind, 0, 0),
        cue(100, kind, 1, 1),
        // a roof that moves is for all, and nobody's hand is asked for
        Cue { cameras: vec![0, 1, 2, 3], ..cue(200, CueKind::Move, 0, 0) },
    ];
    let found = at_once(&cues, 2);
    assert_eq!(found, [AtOnce { operator: 0, at: at(0), cameras: vec![0, 2] }]);
}
