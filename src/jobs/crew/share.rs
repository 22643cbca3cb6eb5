//! Who rides which camera.
//!
//! In: the operators and the verdicts of all cameras. Out: a [`Desk`]: each operator's
//! cameras and load, so that nobody rides two at once where that can be avoided.

use crate::camera::{Exposure, Verdict};
use crate::venue::Venue;

use super::desk::{Proof, Request, assign, usual_least};
use super::{BriefError, BriefSettings, CameraBrief};

/// Cameras per operator where the file names none (common practice, no source).
const CAMERAS_EACH: usize = 3;

/// The desk with its operators.
#[derive(Debug, Clone, PartialEq)]
pub struct Desk {
    pub operators: Vec<DeskShare>,
    /// Instants at which someone has more than one camera to ride, counted once for each
    /// camera beyond the first.
    pub clashes: usize,
    pub proof: Proof,
    /// Whether the operators are assumed, not stated.
    pub assumed: bool,
}

/// One operator's share.
#[derive(Debug, Clone, PartialEq)]
pub struct DeskShare {
    pub name: String,
    /// Indices of cameras, in order.
    pub cameras: Vec<usize>,
    /// Instants with a camera to ride, added up over the cameras.
    pub load: usize,
    /// Cameras to ride at each instant.
    pub rides: Vec<usize>,
}

impl Desk {
    /// The operator of a camera.
    pub fn operator_of(&self, camera: usize) -> Option<usize> {
        self.operators.iter().position(|o| o.cameras.contains(&camera))
    }
}

/// "A", "B" ... and numbers after "Z".
fn lettered(index: usize) -> String {
    let letter = u8::try_from(index).ok().filter(|i| *i < 26).map(|i| char::from(b'A' + i));
    letter.map_or_else(|| (index + 1).to_string(), String::from)
}

/// Whether a hand is needed: the iris moves, or a side has to be chosen again and again.
pub(super) fn needs_hand(exposure: &Option<Exposure>) -> bool {
    exposure.is_some_and(|e| e.verdict != Verdict::Hold)
}

/// Names of operators: those of the file, else letters, for so many or as usual.
pub fn operator_names(venue: &Venue, asked: Option<usize>) -> Vec<String> {
    match venue.operators.is_empty() {
        true => {
            let count = asked.unwrap_or_else(|| venue.cameras.len().div_ceil(CAMERAS_EACH));
            (0..count).map(lettered).collect()
        }
        false => venue.operators.iter().map(|o| o.name.clone()).collect(),
    }
}

pub(super) fn desk(
    venue: &Venue,
    cameras: &[CameraBrief],
    settings: &BriefSettings,
) -> Result<Desk, BriefError> {
    let (asked, kept) = (settings.operators, &settings.settled.operator_of);
    let rides: Vec<Vec<bool>> =
        cameras.iter().map(|c| c.exposures.iter().map(needs_hand).collect()).collect();
    let assumed = venue.operators.is_empty();
    if asked.is_some() && !assumed {
        return Err(BriefError::OperatorsStated { count: venue.operators.len() });
    }
    if let Some(operators) = asked.filter(|asked| assumed && *asked > cameras.len()) {
        return Err(BriefError::TooManyOperators { operators, cameras: cameras.len() });
    }
    let names = operator_names(venue, asked);
    let stated = |camera| venue.operators.iter().position(|o| o.cameras.contains(&camera));
    let fixed: Vec<Option<usize>> = (0..cameras.len())
        .map(|camera| kept.get(camera).copied().flatten().or_else(|| stated(camera)))
        .collect();
    let least = usual_least(cameras.len(), names.len());
    let request =
        Request { rides: &rides, operators: names.len(), least, most: None, fixed: &fixed };
    let plan = assign(&request)?;
    let share = |(operator, name): (usize, String)| {
        let owned = plan.operator_of.iter().enumerate().filter(|(_, o)| **o == operator);
        let cameras: Vec<usize> = owned.map(|(camera, _)| camera).collect();
        let instants = rides.first().map_or(0, Vec::len);
        let at = |i: usize| {
            let ridden = |c: &&usize| rides.get(**c).and_then(|r| r.get(i)).copied() == Some(true);
            cameras.iter().filter(ridden).count()
        };
        let rides: Vec<usize> = (0..instants).map(at).collect();
        let load = plan.loads.get(operator).copied().unwrap_or(0);
        DeskShare { name, cameras, load, rides }
    };
    Ok(Desk {
        operators: names.into_iter().enumerate().map(share).collect(),
        clashes: plan.clashes,
        proof: plan.proof,
        assumed,
    })
}
