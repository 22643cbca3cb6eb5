//! The branch and bound: puts cameras with operators, counts the work, and bounds what is left.

use super::Proof;
use super::sheet::{DeskProblem, Score, ones, squares};

/// The work done in a search, and whether it ran out.
#[derive(Clone, Copy)]
pub(super) struct Budget {
    pub(super) nodes: usize,
    limit: usize,
    steps: usize,
    out: bool,
}

impl Budget {
    pub(super) const fn new(limit: usize) -> Self {
        Self { limit, nodes: 0, steps: 0, out: false }
    }

    /// Counts one node and its steps; `false` when that is more than the limits allow.
    const fn spend(&mut self, steps: usize) -> bool {
        self.out = self.out || self.steps >= self.limit;
        if !self.out {
            self.nodes += 1;
            self.steps += steps;
        }
        !self.out
    }

    pub(super) const fn proof(self) -> Proof {
        if self.out { Proof::BestFound } else { Proof::Best }
    }
}

/// One branch and bound: cameras are put with operators, most-ridden first.
pub(super) struct Search<'a> {
    sheet: &'a DeskProblem,
    pub(super) order: Vec<usize>,
    /// Only a plan whose score is less than this is of use.
    beat: Score,
    first_only: bool,
    pub(super) found: Option<(Score, Vec<usize>)>,
    pub(super) budget: Budget,
    pub(super) place: Vec<usize>,
    load: Vec<usize>,
    count: Vec<usize>,
    /// What each operator rides so far.
    union: Vec<Vec<u64>>,
    /// Clashes so far at each instant, and the instants where one more is one too many.
    clash: Vec<usize>,
    tight: Vec<u64>,
    /// The sum over instants of the greater of clashes so far and those nobody can avoid.
    clashes: usize,
    total: usize,
    /// For each camera and operator, what it would add now to the clashes nobody can avoid.
    adds: Vec<usize>,
}

/// What was there before a camera was put.
pub(super) struct Before {
    union: Vec<u64>,
    adds: Vec<usize>,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        sheet: &'a DeskProblem,
        fixed: &[Option<usize>],
        beat: Score,
        first_only: bool,
        budget: Budget,
    ) -> Self {
        let tight_word = |word: &[usize]| {
            word.iter().enumerate().fold(0, |bits, (t, &spare)| bits | u64::from(spare == 0) << t)
        };
        let mut search = Self {
            sheet,
            order: sheet.order(fixed),
            beat,
            first_only,
            found: None,
            budget,
            place: vec![0; fixed.len()],
            load: vec![0; sheet.k],
            count: vec![0; sheet.k],
            union: vec![vec![0; sheet.words]; sheet.k],
            clash: vec![0; sheet.spare.len()],
            tight: sheet.spare.chunks(64).map(tight_word).collect(),
            clashes: sheet.spare.iter().sum(),
            total: sheet.weight.iter().sum(),
            adds: vec![0; fixed.len() * sheet.k],
        };
        for (camera, op) in fixed.iter().enumerate() {
            if let Some(op) = *op {
                search.put(camera, op, 0);
            }
        }
        search
    }

    /// Puts a camera with an operator, with those from `depth` on left to put; the answer is what
    /// [`Self::take_back`] needs.
    pub(super) fn put(&mut self, camera: usize, op: usize, depth: usize) -> Before {
        let before = Before { union: self.union[op].clone(), adds: self.adds.clone() };
        let mut tighter = Vec::new();
        for (w, (&mask, all)) in
            self.sheet.masks[camera].iter().zip(&mut self.union[op]).enumerate()
        {
            let was = self.tight[w];
            for bit in bits(mask & *all) {
                let t = w * 64 + bit;
                self.clashes += usize::from(self.clash[t] >= self.sheet.spare[t]);
                self.clash[t] += 1;
                self.tight[w] |= u64::from(self.clash[t] >= self.sheet.spare[t]) << bit;
            }
            if self.tight[w] != was {
                tighter.push((w, self.tight[w] & !was));
            }
            *all |= mask;
        }
        self.place[camera] = op;
        self.load[op] += self.sheet.weight[camera];
        self.count[op] += 1;
        for &other in self.order.iter().skip(depth) {
            let mask = &self.sheet.masks[other];
            let adds = &mut self.adds[other * self.sheet.k..][..self.sheet.k];
            for &(w, fresh) in &tighter {
                for (add, union) in adds.iter_mut().zip(&self.union) {
                    *add += (mask[w] & union[w] & fresh).count_ones() as usize;
                }
            }
            let both = mask.iter().zip(&self.union[op]).zip(&self.tight);
            adds[op] = ones(both.map(|((mask, all), tight)| mask & all & tight));
        }
        before
    }

    fn take_back(&mut self, camera: usize, op: usize, before: Before) {
        for (w, (&mask, &all)) in self.sheet.masks[camera].iter().zip(&before.union).enumerate() {
            for bit in bits(mask & all) {
                let t = w * 64 + bit;
                self.clash[t] -= 1;
                let tight = self.clash[t] >= self.sheet.spare[t];
                self.clashes -= usize::from(tight);
                if !tight {
                    self.tight[w] &= !(1 << bit);
                }
            }
        }
        (self.union[op], self.adds) = (before.union, before.adds);
        self.load[op] -= self.sheet.weight[camera];
        self.count[op] -= 1;
    }

    /// What a camera would add with each operator who may still have one, and those operators.
    fn open(&self, camera: usize) -> impl Iterator<Item = (usize, usize)> + Clone {
        let adds = self.adds[camera * self.sheet.k..].iter().copied().zip(0..self.sheet.k);
        adds.filter(|&(_, op)| self.count[op] < self.sheet.most)
    }

    /// A score no plan below this node can beat. Operators only ever ride more and instants only
    /// ever get tighter, so each camera left adds at least what it would add now; loads and counts
    /// are evened out as if the rest could be dealt in single instants and cameras.
    pub(super) fn bound(&self, depth: usize) -> Score {
        let left = self.order.get(depth..).unwrap_or_default();
        let least_added = |&c: &usize| self.open(c).map(|(add, _)| add).min().unwrap_or(0);
        let clashes = self.clashes + left.iter().map(least_added).sum::<usize>();
        let loads = level(&self.load, self.total - self.load.iter().sum::<usize>());
        let counts = level(&self.count, left.len());
        [clashes, loads.iter().copied().max().unwrap_or(0), squares(&loads), squares(&counts)]
    }

    /// Whether a camera left has nowhere to go when no clash more than the bound's may be added:
    /// with every operator where it adds least, the load is too heavy.
    fn stuck(&self, depth: usize) -> bool {
        self.order.iter().skip(depth).any(|&camera| {
            let least = self.open(camera).map(|(add, _)| add).min();
            let mut cheapest = self.open(camera).filter(|(add, _)| Some(*add) == least);
            !cheapest.any(|(_, op)| self.load[op] + self.sheet.weight[camera] <= self.beat[1])
        })
    }

    /// The operators from `from` on that may have the camera at this depth, most promising first,
    /// each after what it would add and its load. Of operators without a camera only the first is
    /// among them: the others are the same plans with names exchanged.
    pub(super) fn choices(&self, depth: usize, from: usize) -> Vec<(usize, usize, usize)> {
        let wanting = |count: &usize| self.sheet.least.saturating_sub(*count);
        let urgent = self.count.iter().map(wanting).sum::<usize>() >= self.order.len() - depth;
        let blank = self.count.iter().position(|&count| count == 0);
        let mut choices: Vec<_> = self
            .open(self.order[depth])
            .filter(|&(_, op)| op >= from && (self.count[op] > 0 || blank == Some(op)))
            .filter(|&(_, op)| !urgent || self.count[op] < self.sheet.least)
            .map(|(add, op)| (add, self.load[op], op))
            .collect();
        choices.sort_unstable();
        choices
    }

    /// Of equal cameras the later one never goes to an earlier operator, for the same reason.
    fn twin_operator(&self, depth: usize) -> Option<usize> {
        let (twin, camera) = (self.order[depth.checked_sub(1)?], self.order[depth]);
        (self.sheet.masks[twin] == self.sheet.masks[camera]).then(|| self.place[twin])
    }

    pub(super) fn descend(&mut self, depth: usize) {
        let steps = self.place.len() * (self.sheet.k + self.sheet.words);
        let settled = self.first_only && self.found.is_some();
        if settled || !self.budget.spend(steps) {
            return;
        }
        let bound = self.bound(depth);
        if bound >= self.beat || bound[0] == self.beat[0] && self.stuck(depth) {
            return;
        }
        let Some(&camera) = self.order.get(depth) else {
            self.beat = bound;
            self.found = Some((bound, self.place.clone()));
            return;
        };
        let others = bound[0] - self.open(camera).map(|(add, _)| add).min().unwrap_or(0);
        for (add, load, op) in self.choices(depth, self.twin_operator(depth).unwrap_or(0)) {
            if [others + add, load + self.sheet.weight[camera], 0, 0] >= self.beat {
                continue;
            }
            let before = self.put(camera, op, depth + 1);
            self.descend(depth + 1);
            self.take_back(camera, op, before);
        }
    }
}

/// Deals `rest` more out one by one, always to the lowest.
fn level(so_far: &[usize], rest: usize) -> Vec<usize> {
    let mut levels = so_far.to_vec();
    levels.sort_unstable();
    let mut rest = rest;
    for n in 1..=levels.len() {
        // The first n stand level; raise them to the next one, or as far as the rest goes.
        let rise = levels.get(n).map_or(usize::MAX, |next| next - levels[0]);
        let (each, over) = (rest / n, rest % n);
        if each < rise {
            for (i, low) in levels[..n].iter_mut().enumerate() {
                *low += each + usize::from(i < over);
            }
            break;
        }
        levels[..n].iter_mut().for_each(|low| *low += rise);
        rest -= rise * n;
    }
    levels
}

/// The places of the bits set in a word.
fn bits(word: u64) -> impl Iterator<Item = usize> {
    std::iter::successors(Some(word), |rest| Some(rest & rest.wrapping_sub(1)))
        .take_while(|rest| *rest != 0)
        .map(|rest| rest.trailing_zeros() as usize)
}
