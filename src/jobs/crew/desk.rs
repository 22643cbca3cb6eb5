//! Shares cameras out among the operators at the racks desk.
//!
//! In: for each camera, at which of a row of equal time steps ("instants") it has to be ridden; how
//! many operators there are; how few and how many cameras one may have; and the cameras whose
//! operator is already settled. Out: the operator of every camera (counted from 0), the clashes and
//! the loads, both in camera-instants, and whether the search proved that nothing is better.
//!
//! One plan is better than another by the first of these five that differs:
//! 1. fewer clashes: at each instant, what an operator has to ride beyond one camera;
//! 2. a lighter load (ridden instants) for the operator with the heaviest;
//! 3. a smaller sum of squared loads;
//! 4. a smaller sum of squared camera counts;
//! 5. the earlier list of operators, read in camera order, so that exactly one plan is the answer.
//!
//! A branch and bound settles parts 1 to 4, then part 5 is settled camera by camera: could this one
//! go to an earlier operator, with those before it held, at no loss? Both stop at stated limits of
//! counted work, never of time, so the answer is the same on every machine.

mod search;
mod sheet;

use crate::base::limits::{MAX_CAMERAS, MAX_OPERATORS};

use search::{Budget, Search};
use sheet::DeskProblem;

/// The most steps the search for parts 1 to 4 takes. A node takes as many as there are cameras,
/// times the sum of operators and 64-instant words: 28 cameras, 8 operators and 151 instants make
/// 308, so that up to 130 000 nodes are visited.
pub const STEP_LIMIT: usize = 40_000_000;
/// The most steps settling part 5 takes, counted alike.
pub const ORDER_STEP_LIMIT: usize = 15_000_000;

/// What a desk plan is to be made for.
#[derive(Debug, Clone, Copy)]
pub struct Request<'a> {
    /// Camera by camera, whether it must be ridden at each instant; a short row ends in `false`.
    pub rides: &'a [Vec<bool>],
    /// The number of operators.
    pub operators: usize,
    /// The fewest cameras an operator may have; see [`usual_least`].
    pub least: usize,
    /// The most cameras an operator may have, if that is limited.
    pub most: Option<usize>,
    /// Camera by camera, the operator it is settled on. Cameras past its end are free; entries past
    /// the last camera are not read.
    pub fixed: &'a [Option<usize>],
}

/// How sure the search is of parts 1 to 4 of the order given at the top of this module.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// No plan has fewer clashes or falls more evenly.
    Best,
    /// The best plan found before a limit; a better one has not been ruled out.
    BestFound,
}

/// Who looks after which camera.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeskPlan {
    /// Camera by camera, its operator.
    pub operator_of: Vec<usize>,
    /// Camera-instants beyond one at once, over all operators.
    pub clashes: usize,
    /// Operator by operator, the camera-instants to be ridden.
    pub loads: Vec<usize>,
    /// Whether a better plan is ruled out.
    pub proof: Proof,
    /// Whether an equally good plan with an earlier list of operators is ruled out too (part 5).
    pub order_settled: bool,
    /// The search nodes visited, for all five parts.
    pub nodes: usize,
}

/// Why no desk plan can be made. The numbers inside count cameras and operators from 0; the text
/// counts them from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DeskError {
    /// There is nobody to give a camera to.
    #[error("the desk has no operators; give it at least one")]
    NoOperators,
    /// More cameras or operators than the search takes.
    #[error(
        "a desk plan takes up to {MAX_CAMERAS} cameras and {MAX_OPERATORS} operators, not \
         {cameras} and {operators}"
    )]
    TooLarge { cameras: usize, operators: usize },
    /// Too few cameras for every operator to have the least.
    #[error(
        "the least per operator is {least}, which needs a desk of {needed} cameras with the \
         settled ones as they are; it has {cameras}"
    )]
    TooFew { cameras: usize, needed: usize, least: usize },
    /// Too many cameras for the operators to take.
    #[error(
        "the most per operator is {most}, which leaves room for {room} cameras; the desk has \
         {cameras}"
    )]
    TooMany { cameras: usize, room: usize, most: usize },
    /// Too many cameras are settled on one operator.
    #[error(
        "{cameras} cameras are settled on operator {}, and the most per operator is {most}",
        operator + 1
    )]
    TooManyFixed { operator: usize, cameras: usize, most: usize },
    /// A camera is settled on an operator who is not there.
    #[error(
        "camera {} is settled on operator {}, and the desk has only {operators}",
        camera + 1,
        operator.saturating_add(1)
    )]
    NoSuchOperator { camera: usize, operator: usize, operators: usize },
}

/// The least cameras per operator when nothing is said: 2, or fewer if there are not enough.
pub fn usual_least(cameras: usize, operators: usize) -> usize {
    cameras.checked_div(operators).unwrap_or(0).min(2)
}

/// Shares the cameras out.
///
/// # Errors
/// When there are no operators, when the limits or the settled cameras leave no plan, or when the
/// desk is larger than [`MAX_CAMERAS`] by [`MAX_OPERATORS`].
pub fn assign(request: &Request) -> Result<DeskPlan, DeskError> {
    let (sheet, fixed) = DeskProblem::check(request)?;
    let mut best = sheet.polish(&fixed);
    let mut score = sheet.score(&best);
    let mut search = Search::new(&sheet, &fixed, score, false, Budget::new(STEP_LIMIT));
    search.descend(0);
    if let Some((found, place)) = search.found.take() {
        (score, best) = (found, place);
    }
    let (proof, first_nodes) = (search.budget.proof(), search.budget.nodes);
    let mut budget = Budget::new(ORDER_STEP_LIMIT);
    let mut held = fixed;
    let mut blank: Vec<bool> = (0..sheet.k).map(|op| !held.contains(&Some(op))).collect();
    for camera in 0..held.len() {
        if held[camera].is_none() {
            let first_blank = blank.iter().position(|&b| b);
            let worth_trying = |&op: &usize| !blank[op] || first_blank == Some(op);
            for op in (0..best[camera]).filter(worth_trying) {
                held[camera] = Some(op);
                let as_good = [score[0], score[1], score[2], score[3] + 1];
                let mut search = Search::new(&sheet, &held, as_good, true, budget);
                search.descend(0);
                budget = search.budget;
                if let Some((found, place)) = search.found {
                    (score, best) = (found, place);
                    break;
                }
            }
            held[camera] = Some(best[camera]);
        }
        blank[best[camera]] = false;
    }
    let order_settled = proof == Proof::Best && budget.proof() == Proof::Best;
    let (clashes, loads) = (sheet.score(&best)[0], sheet.loads(&best));
    let nodes = first_nodes + budget.nodes;
    Ok(DeskPlan { operator_of: best, clashes, loads, proof, order_settled, nodes })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &[&str]) -> Vec<Vec<bool>> {
        text.iter().map(|row| row.chars().map(|c| c == '#').collect()).collect()
    }

    fn plan(rides: &[Vec<bool>], operators: usize, fixed: &[Option<usize>]) -> DeskPlan {
        let least = usual_least(rides.len(), operators);
        assign(&Request { rides, operators, least, most: None, fixed }).unwrap()
    }

    #[test]
    fn two_operators_part_the_cameras_that_are_ridden_at_once() {
        // The first two cameras go apart and so do the last two; of the two ways to do that, which
        // are equally even, the earlier list is the answer.
        let rides = rows(&["##..", "##..", "..##", "..#."]);
        let free = plan(&rides, 2, &[]);
        assert_eq!(free.operator_of, [0, 1, 0, 1]);
        assert_eq!((free.clashes, free.loads), (0, vec![4, 3]));
        assert_eq!((free.proof, free.order_settled), (Proof::Best, true));
        let held = plan(&rides, 2, &[None, None, None, Some(0)]);
        assert_eq!((held.operator_of, held.loads), (vec![0, 1, 1, 0], vec![3, 4]));
    }

    #[test]
    fn a_clash_nobody_can_avoid_is_counted_and_evenness_gives_way_to_clashes() {
        // Three at once for two operators: one clash. The fourth camera clashes with none of them
        // only where one of them is alone, however heavy that leaves the load.
        let three = plan(&rows(&["#", "#", "#"]), 2, &[]);
        assert_eq!((three.operator_of, three.clashes), (vec![0, 0, 1], 1));
        let rides = rows(&["####..", "####..", "....##", "...#.#"]);
        let uneven = plan(&rides, 3, &[]);
        assert_eq!((uneven.operator_of, uneven.clashes), (vec![0, 1, 0, 2], 0));
        assert_eq!(uneven.loads, [6, 4, 2]);
    }

    #[test]
    fn a_desk_without_cameras_or_instants_has_a_plan() {
        assert_eq!(plan(&[], 3, &[Some(9)]).loads, [0, 0, 0]);
        assert_eq!(plan(&rows(&["", "", "", ""]), 2, &[]).operator_of, [0, 0, 1, 1]);
        assert_eq!([usual_least(28, 8), usual_least(5, 3), usual_least(4, 0)], [2, 1, 0]);
    }
}
