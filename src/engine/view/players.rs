//! Where players stand in a picture.
//!
//! In: the frame of a camera and what stands at the venue. Out: a row of players where the
//! camera looks; where that or some of the row is hidden, heads would be cut or it is too far
//! off, on the ground of play that is seen nearest to it in the picture, and which it was.

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
/// And of a row all of which is seen; heads end at the second.
const FACE_M: f64 = 1.65;
const HEAD_M: f64 = 1.85;

/// Why players stand where they stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Placing {
    /// Where the camera looks.
    AtAim,
    /// There, too, with their heads out of the frame: no place shows all of them.
    HeadsOut,
    /// Beside it: something stands before it.
    AimHidden,
    /// Beside it: some of the row would be hidden there, or heads out of the frame.
    RowCut,
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
            Self::HeadsOut => Some("heads out of the frame"),
            Self::AimHidden => Some("aim hidden: players beside it"),
            Self::RowCut => Some("players beside the aim"),
            Self::AimFarOff => Some("aim far off: players nearer by"),
            Self::Nowhere => Some("no ground of play in sight: no players"),
        }
    }
}

impl ViewScene {
    /// Players for the picture of a camera: the first place where all of the row that falls
    /// within the frame is seen with its heads, else the first whose middle is seen.
    pub fn players(&self, eye: &Pinhole) -> (Vec<Figure>, Placing) {
        let aim_m = self.obstacles().ground_m(eye.at, eye.forward);
        let is_near = aim_m <= FARTHEST_M;
        let aim = eye.at + eye.forward * aim_m;
        let is_seen = is_near && self.shows(eye, aim, &[CHEST_M]);
        let aimed_at = is_seen.then(|| self.lined_up(eye, aim));
        let mut middle_seen = None;
        if let Some(row) = aimed_at {
            if self.shows_row(eye, &row) {
                return (row, Placing::AtAim);
            }
            middle_seen = Some((row, Placing::AtAim));
        }
        let placing = match (is_seen, is_near) {
            (true, _) => Placing::RowCut,
            (_, true) => Placing::AimHidden,
            _ => Placing::AimFarOff,
        };
        for at in self.places(eye) {
            let row = self.lined_up(eye, at);
            let is_whole = heads_in_frame(eye, &row);
            // rays are asked last: they cost the most
            if (is_whole || middle_seen.is_none()) && self.shows(eye, at, &[FEET_M, CHEST_M]) {
                if is_whole && self.shows_row(eye, &row) {
                    return (row, placing);
                }
                middle_seen.get_or_insert((row, placing));
            }
        }
        match middle_seen {
            Some((row, Placing::AtAim)) if !heads_in_frame(eye, &row) => (row, Placing::HeadsOut),
            seen => seen.unwrap_or((Vec::new(), Placing::Nowhere)),
        }
    }

    /// Ground of play that may be seen, from the middle of the picture outward.
    fn places(&self, eye: &Pinhole) -> impl Iterator<Item = DVec3> {
        let place = |i: usize, count: usize| WITHIN * (2.0 * i as f64 / (count - 1) as f64 - 1.0);
        let all = (0..TRIED[0]).flat_map(|x| (0..TRIED[1]).map(move |y| (x, y)));
        let all = all.map(|(x, y)| [place(x, TRIED[0]), place(y, TRIED[1])]);
        let mut all: Vec<[f64; 2]> = all.collect();
        let away = |[x, y]: &[f64; 2]| (x * eye.half_width).hypot(y * eye.half_height);
        all.sort_by(|a, b| away(a).total_cmp(&away(b)));
        all.into_iter().filter_map(|[x, y]| {
            let aside = eye.right * (x * eye.half_width) + eye.up * (y * eye.half_height);
            let toward = (eye.forward + aside).normalize();
            let ground_m = self.obstacles().ground_m(eye.at, toward);
            let at = eye.at + toward * Some(ground_m).filter(|m| *m <= FARTHEST_M)?;
            (self.ground.kind(at.x, at.y) == 0).then_some(at)
        })
    }

    /// Whether all of a row that falls within the frame is seen with its heads.
    fn shows_row(&self, eye: &Pinhole, row: &[Figure]) -> bool {
        heads_in_frame(eye, row)
            && row
                .iter()
                .filter(|one| is_across(eye, one))
                .all(|one| self.shows(eye, one.at, &[CHEST_M, FACE_M]))
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

/// Whether a player falls within the frame from side to side.
fn is_across(eye: &Pinhole, one: &Figure) -> bool {
    eye.project(one.at + DVec3::Z * CHEST_M).is_some_and(|[x, _]| x.abs() <= 1.0)
}

/// Whether those of a row who fall within the frame have their heads in it, and some do.
fn heads_in_frame(eye: &Pinhole, row: &[Figure]) -> bool {
    let mut across = row.iter().filter(|one| is_across(eye, one)).peekable();
    let head = |one: &Figure| eye.project(one.at + DVec3::Z * HEAD_M);
    across.peek().is_some() && across.all(|one| head(one).is_some_and(|[_, y]| y.abs() <= 1.0))
}
