//! Cues of the sun and the lenses.

use chrono::DateTime;
use chrono_tz::Tz;
use glam::DVec3;
use rayon::prelude::*;

use crate::camera::{LensState, lens_view};
use crate::jobs::crew::known::{DatedChange, OfCamera, QuestionSubject, lock};
use crate::jobs::crew::uncertain::{Casts, Off, flips};
use crate::venue::CameraPost;

use super::{Cue, CueInputs, CueKind, Urgency, What};

/// What to say of a state of a lens that begins, and that ends.
const STATES: [(LensState, OfCamera, &str, &str); 2] = [
    (LensState::InFrame, OfCamera::SunInFrame, "sun enters frame of", "sun leaves frame of"),
    (
        LensState::OnElement,
        OfCamera::SunOnElement,
        "sun on the front element of",
        "sun leaves the front element of",
    ),
];

pub(super) fn cues(ground: &CueInputs<'_>) -> Vec<Cue> {
    let Some(casts) = ground.casts() else { return Vec::new() };
    let cameras = ground.prepared.venue.cameras.par_iter().enumerate();
    cameras.flat_map_iter(|(camera, post)| of(ground, &casts, camera, post)).collect()
}

fn of(ground: &CueInputs<'_>, casts: &Casts<'_>, camera: usize, post: &CameraPost) -> Vec<Cue> {
    let Some(brief) = ground.cameras.get(camera) else { return Vec::new() };
    let mut cues = Vec::new();
    for (wanted, subject, begins, ends) in STATES {
        let known = ground.known.of(QuestionSubject::Camera(camera, subject));
        let mut known = lock(&known);
        // the sun in frame is on the element as well
        let has = |state: LensState| {
            state == wanted || (wanted == LensState::OnElement && state == LensState::InFrame)
        };
        let states: Vec<bool> = brief.lens.iter().map(|l| has(l.state)).collect();
        let answer = |at, off| state(ground, casts, post, at, off).is_some_and(has);
        for flip in flips(&ground.times, &states) {
            let find =
                || DatedChange { change: ground.crossing(flip, casts, answer), moving: None };
            let DatedChange { change, .. } = known.change(flip, find);
            // a flag or a hood is for a hand; that the sun has gone is not
            let (what, urgency) =
                if change.to { (begins, Urgency::Act) } else { (ends, Urgency::Know) };
            let sure = ground.sure_of(&change);
            let what = What::new(CueKind::Lens, urgency, format!("{what} {}", post.name));
            cues.push(ground.cue(change.at, what, vec![camera], sure));
        }
    }
    cues
}

/// The lens at any time, on a ground that may be off: roofs higher by a metre are a
/// camera lower by one.
fn state(
    ground: &CueInputs<'_>,
    casts: &Casts<'_>,
    post: &CameraPost,
    at: DateTime<Tz>,
    off: Off,
) -> Option<LensState> {
    let toward = off.sun(casts.sun(at)?);
    let place = post.at - DVec3::Z * off.higher_m;
    let reaches = ground.prepared.at(at).lit.scene.transmission(place, toward);
    Some(lens_view(post, toward, reaches).state)
}
