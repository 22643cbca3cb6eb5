//! The desk's problem once checked, its score, and a good first plan. Instants are bits of words.

use crate::base::limits::{MAX_CAMERAS, MAX_OPERATORS};

use super::search::{Budget, Search};
use super::{DeskError, Request};

/// The most steps spent on improving the first plan, before the search.
const POLISH_LIMIT: usize = 5_000_000;

/// Parts 1 to 4: clashes, heaviest load, squared loads, squared camera counts. Less is better.
pub(super) type Score = [usize; 4];

/// The checked problem; cameras and operators are below the limits, so plain indexing is safe.
pub(super) struct DeskProblem {
    pub(super) masks: Vec<Vec<u64>>,
    pub(super) weight: Vec<usize>,
    /// At each instant, the clashes nobody can avoid: rides there beyond the operators there are.
    pub(super) spare: Vec<usize>,
    pub(super) k: usize,
    pub(super) least: usize,
    pub(super) most: usize,
    pub(super) words: usize,
}

impl DeskProblem {
    pub(super) fn check(request: &Request) -> Result<(Self, Vec<Option<usize>>), DeskError> {
        let (cameras, k, least) = (request.rides.len(), request.operators, request.least);
        let most = request.most.unwrap_or(usize::MAX);
        if k == 0 {
            return Err(DeskError::NoOperators);
        }
        if cameras > MAX_CAMERAS || k > MAX_OPERATORS {
            return Err(DeskError::TooLarge { cameras, operators: k });
        }
        let fixed: Vec<Option<usize>> =
            request.fixed.iter().copied().chain(std::iter::repeat(None)).take(cameras).collect();
        let mut count = vec![0; k];
        for (camera, operator) in fixed.iter().enumerate() {
            if let Some(operator) = *operator {
                *count.get_mut(operator).ok_or(DeskError::NoSuchOperator {
                    camera,
                    operator,
                    operators: k,
                })? += 1;
            }
        }
        let needed = count.iter().fold(0, |sum: usize, &c| sum.saturating_add(least.max(c)));
        if needed > cameras {
            return Err(DeskError::TooFew { cameras, needed, least });
        }
        if let Some(operator) = count.iter().position(|&c| c > most) {
            return Err(DeskError::TooManyFixed { operator, cameras: count[operator], most });
        }
        let room = most.saturating_mul(k);
        if cameras > room {
            return Err(DeskError::TooMany { cameras, room, most });
        }
        let words = request.rides.iter().map(Vec::len).max().unwrap_or(0).div_ceil(64);
        let mut spare = vec![0_usize; words * 64];
        let mut masks = vec![vec![0_u64; words]; cameras];
        for (row, mask) in request.rides.iter().zip(&mut masks) {
            for (t, _) in row.iter().enumerate().filter(|(_, ridden)| **ridden) {
                mask[t / 64] |= 1 << (t % 64);
                spare[t] += 1;
            }
        }
        spare.iter_mut().for_each(|rides| *rides = rides.saturating_sub(k));
        let weight = masks.iter().map(|mask| ones(mask.iter().copied())).collect();
        Ok((Self { masks, weight, spare, k, least, most, words }, fixed))
    }

    pub(super) fn loads(&self, place: &[usize]) -> Vec<usize> {
        let mut loads = vec![0; self.k];
        place.iter().zip(&self.weight).for_each(|(&op, weight)| loads[op] += weight);
        loads
    }

    fn counts(&self, place: &[usize]) -> Vec<usize> {
        let mut counts = vec![0; self.k];
        place.iter().for_each(|&op| counts[op] += 1);
        counts
    }

    pub(super) fn score(&self, place: &[usize]) -> Score {
        let (loads, counts) = (self.loads(place), self.counts(place));
        let mut union = vec![0_u64; self.k * self.words];
        for (&op, mask) in place.iter().zip(&self.masks) {
            union[op * self.words..].iter_mut().zip(mask).for_each(|(all, one)| *all |= one);
        }
        let clashes = loads.iter().sum::<usize>() - ones(union.iter().copied());
        [clashes, loads.iter().copied().max().unwrap_or(0), squares(&loads), squares(&counts)]
    }

    /// The free cameras, most-ridden first, with equal ones side by side.
    pub(super) fn order(&self, fixed: &[Option<usize>]) -> Vec<usize> {
        let mut order: Vec<usize> = (0..fixed.len()).filter(|&c| fixed[c].is_none()).collect();
        order.sort_by(|&a, &b| {
            let heavier = self.weight[b].cmp(&self.weight[a]);
            heavier.then_with(|| self.masks[a].cmp(&self.masks[b])).then(a.cmp(&b))
        });
        order
    }

    /// A good first plan: each camera where it clashes and weighs least, then moves and swaps for
    /// as long as they help, from that plan and from shaken copies of the best so far.
    pub(super) fn polish(&self, fixed: &[Option<usize>]) -> Vec<usize> {
        let mut start = Search::new(self, fixed, [usize::MAX; 4], true, Budget::new(0));
        let free = start.order.clone();
        for (depth, &camera) in free.iter().enumerate() {
            if let Some(&(_, _, op)) = start.choices(depth, 0).first() {
                start.put(camera, op, depth + 1);
            }
        }
        let floor = Search::new(self, fixed, [usize::MAX; 4], true, Budget::new(0)).bound(0);
        let (mut steps, mut seed) = (0, 0x5EED_u64);
        let mut best = start.place;
        let mut best_score = self.improve(&mut best, &free, &mut steps);
        for _ in 0..60 {
            if best_score == floor || free.len() < 2 {
                break;
            }
            let mut shaken = best.clone();
            for _ in 0..3 {
                let [a, b] = [0; 2].map(|_| {
                    seed ^= seed << 13;
                    seed ^= seed >> 7;
                    seed ^= seed << 17;
                    free[(seed % free.len() as u64) as usize]
                });
                shaken.swap(a, b);
            }
            let score = self.improve(&mut shaken, &free, &mut steps);
            if score < best_score {
                (best, best_score) = (shaken, score);
            }
        }
        best
    }

    /// Moves and swaps free cameras for as long as that helps.
    fn improve(&self, place: &mut [usize], free: &[usize], steps: &mut usize) -> Score {
        let mut score = self.score(place);
        let mut better = true;
        while std::mem::take(&mut better) {
            for (i, &a) in free.iter().enumerate() {
                for target in 0..self.k + i {
                    let swapped = target.checked_sub(self.k).map(|j| free[j]);
                    let (old, op) = (place[a], swapped.map_or(target, |b| place[b]));
                    if op == old || *steps > POLISH_LIMIT {
                        continue;
                    }
                    *steps += (place.len() + self.k) * self.words.max(1);
                    place[a] = op;
                    if let Some(b) = swapped {
                        place[b] = old;
                    }
                    let counts = if swapped.is_none() { self.counts(place) } else { vec![] };
                    let kept = counts.iter().all(|c| (self.least..=self.most).contains(c));
                    let now = if kept { self.score(place) } else { score };
                    if now < score {
                        (score, better) = (now, true);
                        continue;
                    }
                    place[a] = old;
                    if let Some(b) = swapped {
                        place[b] = op;
                    }
                }
            }
        }
        score
    }
}

pub(super) fn squares(values: &[usize]) -> usize {
    values.iter().fold(0, |sum: usize, v| sum.saturating_add(v.saturating_mul(*v)))
}

pub(super) fn ones(words: impl Iterator<Item = u64>) -> usize {
    words.map(|word| word.count_ones() as usize).sum()
}
