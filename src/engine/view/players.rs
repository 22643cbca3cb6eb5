//! Where players stand in a picture.
//!
//! In: the frame of a camera and what stands at the venue. Out: players where the camera
//! looks; where that is hidden or too far off, on the ground of play that is seen nearest to
//! it in the picture, and which of the two it was.

use glam::DVec3;

use super::figures::{Figure, lined_up};
use super::scene::ViewScene;
use crate::base::frame::plan_view;
use crate::camera::Pinhole;
use crate::engine::surroundings::SEEN_THROUGH;

/// Farther off than this no player is set up, metres.
const FARTHEST_M: f64 = 250.0;
/// Places of the picture that are tried, across and up, and the share of the frame that they
/// keep to: players fit into the picture there.
const TRIED: [usize; 2] = [33, 25];
const WITHIN: f64 = 0.85;
/// What is seen of a player who counts as seen, metres over the ground.
const CHEST_M: f64 = 1.2;
const FEET_M: f64 = 0.1;

/// Why players stand where they stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Placing {
    /// Where the camera looks.
    AtAim,
    /// Beside it: something stands before it.
    AimHidden,
    /// Before it: it looks past the ground or too far.
    AimFarOff,
    /// Nowhere: no ground of play is near enough and seen.
    Nowhere,
}

impl Placing {
    /// In words, for a picture; `None` where they stand as expected.
    pub fn words(self) -> Option<&'static str> {
        match self {
            Self::AtAim => None,
            Self::AimHidden => Some("aim hidden: players beside it"),
            Self::AimFarOff => Some("aim far off: players nearer by"),
            Self::Nowhere => Some("no ground of play in sight: no players"),
        }
    }
}

impl ViewScene {
    /// Players for the picture of a camera.
    pub fn players(&self, eye: &Pinhole) -> (Vec<Figure>, Placing) {
        let aim_m = self.obstacles().ground_m(eye.at, eye.forward);
        let is_near = aim_m <= FARTHEST_M;
        let aim = eye.at + eye.forward * aim_m;
        if is_near && self.shows(eye, aim, &[CHEST_M]) {
            return (self.lined_up(eye, aim), Placing::AtAim);
        }
        let place = |i: usize, count: usize| WITHIN * (2.0 * i as f64 / (count - 1) as f64 - 1.0);
        let all = (0..TRIED[0]).flat_map(|x| (0..TRIED[1]).map(move |y| (x, y)));
        let all = all.map(|(x, y)| [place(x, TRIED[0]), place(y, TRIED[1])]);
        let mut all: Vec<[f64; 2]> = all.collect();
        let away = |[x, y]: &[f64; 2]| (x * eye.half_width).hypot(y * eye.half_height);
        all.sort_by(|a, b| away(a).total_cmp(&away(b)));
        let found = all.into_iter().find_map(|[x, y]| {
            let aside = eye.right * (x * eye.half_width) + eye.up * (y * eye.half_height);
            let toward = (eye.forward + aside).normalize();
            let ground_m = self.obstacles().ground_m(eye.at, toward);
            let at = eye.at + toward * Some(ground_m).filter(|m| *m <= FARTHEST_M)?;
            let is_free = self.ground.kind(at.x, at.y) == 0;
            (is_free && self.shows(eye, at, &[FEET_M, CHEST_M])).then_some(at)
        });
        match found {
            Some(at) if is_near => (self.lined_up(eye, at), Placing::AimHidden),
            Some(at) => (self.lined_up(eye, at), Placing::AimFarOff),
            None => (Vec::new(), Placing::Nowhere),
        }
    }

    /// Players in a row, each on the ground under it.
    fn lined_up(&self, eye: &Pinhole, middle: DVec3) -> Vec<Figure> {
        let mut figures = lined_up(eye, middle);
        if self.obstacles().is_on_relief() {
            for figure in &mut figures {
                figure.at = self.obstacles().on_ground(plan_view(figure.at));
            }
        }
        figures
    }

    /// Whether enough passes what stands before a place at some heights over the ground, metres.
    fn shows(&self, eye: &Pinhole, at: DVec3, heights_m: &[f64]) -> bool {
        heights_m.iter().all(|up| {
            let to = at + DVec3::Z * *up - eye.at;
            let toward = to.normalize_or(eye.forward);
            self.obstacles().look(eye.at, toward, to.length()).passes() >= SEEN_THROUGH
        })
    }
}
