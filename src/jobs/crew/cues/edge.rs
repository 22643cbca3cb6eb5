//! Cues of the edge on the ground: marks, zones, the field, the playing area, covers.

use chrono::TimeDelta;
use geo::{Contains, Coord, MultiPolygon, Point};
use glam::DVec3;
use rayon::prelude::*;

use crate::camera::{CameraEye, Present};
use crate::geometry::{OverlayScratch, Region, Shadow};
use crate::jobs::crew::STEADY_MIN;
use crate::jobs::crew::known::{DatedChange, OfCamera, QuestionSubject, lock};
use crate::jobs::crew::lead::{EdgeMotion, moving};
use crate::jobs::crew::uncertain::{AnswerChange, Casts, Off, flips};
use crate::venue::Sport;

use super::{Cue, CueInputs, CueKind, Urgency, What};

/// What is left of a zone in full sun, or in shade, when it counts as none: half a
/// percent.
const NOTHING_LEFT: f64 = 0.005;
/// A zone is a camera's when it covers so much of it.
const COVERS_ZONE: f64 = 0.2;

/// How far inside of the boundary its marks are looked at, toward the centre of play,
/// metres.
const INSIDE_M: f64 = 0.2;

const CORNERS_OF_A_BOX: usize = 4;
/// A line is looked at in so many equal steps: two and a half metres on a football
/// field.
const LINE_PLACES: usize = 42;

/// A question that a shadow on the turf answers.
struct Question<'a> {
    kind: CueKind,
    /// What to say when the answer becomes yes, and when it becomes no.
    yes: Option<String>,
    no: Option<String>,
    cameras: Vec<usize>,
    about: About<'a>,
}

/// What is asked of the shadow.
enum About<'a> {
    /// Is this place out of full sun?
    Place(Coord<f64>),
    /// Is every one of these places out of full sun?
    AllOf(Vec<Coord<f64>>),
    /// Is any of them?
    AnyOf(Vec<Coord<f64>>),
    /// Is less of this region than stated in full sun?
    AllShaded(Region),
    /// Is less of this region than stated out of full sun?
    AllSunlit(Region),
    /// Does more than one class of light take more than a sliver of what this camera shows?
    Both { camera: usize, eye: &'a CameraEye },
}

impl Question<'_> {
    /// What is known of it under its number.
    fn subject(&self, number: usize) -> QuestionSubject {
        match self.about {
            About::Both { camera, .. } => QuestionSubject::Camera(camera, OfCamera::BothSides),
            _ => QuestionSubject::Ground(number),
        }
    }
}

impl About<'_> {
    fn answer(&self, shadow: &Shadow) -> bool {
        match self {
            Self::Place(at) => is_shaded(shadow, *at),
            Self::AllOf(places) => places.iter().all(|at| is_shaded(shadow, *at)),
            Self::AnyOf(places) => places.iter().any(|at| is_shaded(shadow, *at)),
            Self::AllShaded(region) => region.share(shadow).shaded > 1.0 - NOTHING_LEFT,
            Self::AllSunlit(region) => region.share(shadow).shaded < NOTHING_LEFT,
            Self::Both { eye, .. } => {
                let ends = eye.shares(shadow).present(Present::NONE).ends();
                ends.is_some_and(|(bright, dark)| bright != dark)
            }
        }
    }
}

fn is_shaded(shadow: &Shadow, at: Coord<f64>) -> bool {
    shadow.transmission_at(at).share() < 1.0
}

pub(super) fn cues(ground: &CueInputs<'_>) -> Vec<Cue> {
    let Some(casts) = ground.casts() else { return Vec::new() };
    let questions: Vec<Question<'_>> =
        [marks, lines, zones, covers].into_iter().flat_map(|of| of(ground)).collect();
    let one = |bench: &mut OverlayScratch, (number, question): (usize, &Question<'_>)| {
        let subject = question.subject(number);
        asked(ground, &casts, (question, subject), bench)
    };
    let asked = questions.par_iter().enumerate().map_init(OverlayScratch::default, one);
    asked.flatten().collect()
}

fn asked(
    ground: &CueInputs<'_>,
    casts: &Casts<'_>,
    (question, subject): (&Question<'_>, QuestionSubject),
    bench: &mut OverlayScratch,
) -> Vec<Cue> {
    let known = ground.known.of(subject);
    let mut known = lock(&known);
    let about = &question.about;
    let instants = ground.plan.instants.iter();
    let answers: Vec<bool> =
        instants.map(|i| known.answer(i.at, || about.answer(&i.turf.ground))).collect();
    let mut find = |flip| {
        let answer = |at, off: Off| about.answer(&casts.shadow(at, off, bench));
        let change = ground.crossing(flip, casts, answer);
        DatedChange { change, moving: moves(ground, casts, about, change, bench) }
    };
    let flips = flips(&ground.times, &answers).into_iter();
    let mut found: Vec<DatedChange> = flips.map(|flip| known.change(flip, || find(flip))).collect();
    if matches!(about, About::Both { .. }) {
        found = lasting(found);
    }
    let cue = |DatedChange { change, moving }: DatedChange| {
        let what = if change.to { &question.yes } else { &question.no };
        let sure = ground.sure_of(&change);
        let cameras = question.cameras.clone();
        let what = What::new(question.kind, Urgency::Know, what.clone()?);
        let mut cue = ground.cue(change.at, what, cameras, sure);
        cue.moving = moving;
        Some(cue)
    };
    found.into_iter().filter_map(cue).collect()
}

/// Without those that are taken back before [`STEADY_MIN`] is over: slats and leaves take
/// turns, and no hand works to them.
fn lasting(changes: Vec<DatedChange>) -> Vec<DatedChange> {
    let mut kept: Vec<DatedChange> = Vec::new();
    for found in changes {
        let since = |last: &DatedChange| found.change.at - last.change.at;
        match kept.last() {
            Some(last) if since(last) < TimeDelta::minutes(STEADY_MIN) => {
                kept.pop();
            }
            _ => kept.push(found),
        }
    }
    kept
}

/// How the edge moves on from a mark.
fn moves(
    ground: &CueInputs<'_>,
    casts: &Casts<'_>,
    about: &About<'_>,
    change: AnswerChange,
    bench: &mut OverlayScratch,
) -> Option<EdgeMotion> {
    match about {
        About::Place(at) => moving(ground.prepared.venue, casts, *at, change.at, bench),
        _ => None,
    }
}

/// What cues of a mark say, and their subjects: the edge brings shade, the edge brings sun.
pub fn mark_words(mark: &str) -> [String; 2] {
    [format!("edge reaches {mark}: into shade"), format!("edge leaves {mark}: into sun")]
}

fn marks<'a>(ground: &CueInputs<'a>) -> Vec<Question<'a>> {
    let question = |mark: &crate::venue::Mark| {
        let covers = ground.plan.covers.iter().enumerate();
        let seeing = covers.filter(|(_, cover)| cover.region.contains(&Point(mark.at)));
        let [reaches, leaves] = mark_words(&mark.name);
        Question {
            kind: CueKind::Mark,
            yes: Some(reaches),
            no: Some(leaves),
            cameras: seeing.map(|(camera, _)| camera).collect(),
            about: About::Place(inside(mark.at)),
        }
    };
    ground.prepared.venue.field.marks.iter().map(question).collect()
}

/// A mark on the boundary counts as the turf just inside of it: shadows end at the
/// boundary, and a point on it is on neither side.
fn inside(at: Coord<f64>) -> Coord<f64> {
    let distance = at.x.hypot(at.y);
    if distance > INSIDE_M { at * (1.0 - INSIDE_M / distance) } else { at }
}

/// The lines that bound the field of play, by the names of the sport, and those of the
/// playing area where it has any.
fn lines<'a>(ground: &CueInputs<'a>) -> Vec<Question<'a>> {
    let field = &ground.prepared.venue.field;
    let (side, end) = match field.sport {
        Sport::Football | Sport::RugbyUnion => ("touchline", "goal line"),
        Sport::Hockey => ("sideline", "backline"),
        Sport::Tennis => ("sideline", "baseline"),
        // a boundary without corners
        Sport::Cricket | Sport::Golf | Sport::Free => return Vec::new(),
    };
    let mut questions = lines_of(ground, &field.outline, (Some(side), end));
    if field.sport == Sport::RugbyUnion {
        questions.extend(lines_of(ground, &field.playing_area, (None, "dead-ball line")));
    }
    questions
}

/// Lines of an outline with four corners; sides without a name are left out, and so is
/// an outline that something stands in.
fn lines_of<'a>(
    ground: &CueInputs<'a>,
    outline: &geo::Polygon<f64>,
    (side, end): (Option<&str>, &str),
) -> Vec<Question<'a>> {
    let field = &ground.prepared.venue.field;
    if outline.exterior().0.len() != CORNERS_OF_A_BOX + 1 {
        return Vec::new();
    }
    let mut questions = Vec::new();
    for pair in outline.exterior().0.windows(2) {
        let ends = [pair[0], pair[1]].map(|c| field.frame.to_field(DVec3::new(c.x, c.y, 0.0)));
        let middle = (
            0.5 * (ends[0].along_m + ends[1].along_m),
            0.5 * (ends[0].across_m + ends[1].across_m),
        );
        let name = match middle {
            (along, across) if across.abs() > along.abs() => {
                let Some(side) = side else { continue };
                format!("{side} {}", if across > 0.0 { "left" } else { "right" })
            }
            (along, _) => format!("{end} {}", if along > 0.0 { "ahead" } else { "behind" }),
        };
        let place = |i: usize| {
            let share = i as f64 / LINE_PLACES as f64;
            inside(pair[0] + (pair[1] - pair[0]) * share)
        };
        let places: Vec<Coord<f64>> = (0..=LINE_PLACES).map(place).collect();
        let seen = |cover: &crate::camera::Coverage| {
            places.iter().any(|at| cover.region.contains(&Point(*at)))
        };
        let covers = ground.plan.covers.iter().enumerate();
        let cameras: Vec<usize> =
            covers.filter(|(_, cover)| seen(cover)).map(|(camera, _)| camera).collect();
        questions.push(Question {
            kind: CueKind::Mark,
            yes: Some(format!("edge reaches {name}")),
            no: Some(format!("{name} fully sunlit")),
            cameras: cameras.clone(),
            about: About::AnyOf(places.clone()),
        });
        questions.push(Question {
            kind: CueKind::Mark,
            yes: Some(format!("{name} fully shaded")),
            no: Some(format!("sun reaches {name}")),
            cameras,
            about: About::AllOf(places),
        });
    }
    questions
}

fn zones<'a>(ground: &CueInputs<'a>) -> Vec<Question<'a>> {
    let venue = ground.prepared.venue;
    let region = |outline: &geo::Polygon<f64>| Region::new(&MultiPolygon(vec![outline.clone()]));
    let mut questions = Vec::new();
    let mut pair = |name: &str, outline: &geo::Polygon<f64>, cameras: Vec<usize>| {
        questions.push(Question {
            kind: CueKind::Zone,
            yes: Some(format!("{name} fully shaded")),
            no: Some(format!("first sun on {name}")),
            cameras: cameras.clone(),
            about: About::AllShaded(region(outline)),
        });
        questions.push(Question {
            kind: CueKind::Zone,
            yes: Some(format!("{name} fully sunlit")),
            no: Some(format!("first shade on {name}")),
            cameras,
            about: About::AllSunlit(region(outline)),
        });
    };
    let every = (0..venue.cameras.len()).collect();
    pair("the field", &venue.field.outline, every);
    if venue.field.playing_area != venue.field.outline {
        let every = (0..venue.cameras.len()).collect();
        pair("the playing area", &venue.field.playing_area, every);
    }
    for (index, zone) in venue.zones.iter().enumerate() {
        let covers = ground.plan.covers.iter().enumerate();
        let covering = covers.filter(|(_, cover)| {
            cover.zone_shares.get(index).is_some_and(|share| *share >= COVERS_ZONE)
        });
        pair(&zone.name, &zone.outline, covering.map(|(camera, _)| camera).collect());
    }
    questions
}

fn covers<'a>(ground: &CueInputs<'a>) -> Vec<Question<'a>> {
    let seeing =
        |camera: &usize| ground.plan.covers.get(*camera).is_some_and(|cover| cover.area_m2 > 0.0);
    let eyes = ground
        .prepared
        .lit
        .cameras
        .iter()
        .map(|camera| &camera.eye)
        .enumerate()
        .filter(|(camera, _)| seeing(camera));
    let question = |(camera, eye): (usize, &'a CameraEye)| {
        let name = ground.name(camera);
        Question {
            kind: CueKind::Coverage,
            yes: Some(format!("edge enters shot of {name}")),
            no: Some(format!("edge leaves shot of {name}")),
            cameras: vec![camera],
            about: About::Both { camera, eye },
        }
    };
    eyes.map(question).collect()
}
