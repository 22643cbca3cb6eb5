//! Why rules cannot be kept: the smallest set of fixtures and rules that conflict.
//!
//! In: a part of an [`Instance`] that nothing solves. Out: a [`Conflict`].
//!
//! First a set from which nothing can be left out: fixtures and rules are left out one by
//! one, and stay out where what is left still conflicts. Then whether it is the smallest
//! there is, by implicit hitting sets (Ignatiev, Previti, Liffiton and Marques-Silva,
//! Smallest MUS Extraction with Minimal Hitting Set Dualization, CP 2015): every set that
//! conflicts has something of each set whose absence makes the season possible, so a
//! smallest set that hits all of those found so far either conflicts itself, and is the
//! smallest, or shows one more of them. Work is bounded by a count of questions.

use std::collections::BTreeSet;

use super::instance::Instance;
use super::solve::{HoldFilter, PartOutcome, solve};

/// Questions whether a set conflicts.
const MAX_QUESTIONS: usize = 3_000;
/// Nodes of one question.
const MAX_NODES: u64 = 200;
/// Steps of one search for a smallest set that hits all others.
const MAX_STEPS: usize = 200_000;

/// A fixture or a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ConflictMember {
    Fixture(usize),
    Rule(usize),
}

/// What cannot hold together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Fixtures, then rules.
    pub members: Vec<ConflictMember>,
    /// Whether no smaller set conflicts.
    pub is_smallest: bool,
}

struct Kept<'a>(&'a BTreeSet<ConflictMember>);

impl HoldFilter for Kept<'_> {
    fn fixture(&self, index: usize) -> bool {
        self.0.contains(&ConflictMember::Fixture(index))
    }

    fn rule(&self, index: usize) -> bool {
        self.0.contains(&ConflictMember::Rule(index))
    }
}

/// The conflict of a part that [`PartOutcome::Impossible`] was said of.
pub(super) fn conflict(instance: &Instance, part: &[usize]) -> Conflict {
    let all = members(instance, part);
    let mut asker = Asker { instance, part, questions: 0, is_sure: true };
    // rules first: what is left names as few of them as it can
    let mut set = all.clone();
    for member in all.iter().rev() {
        let without: BTreeSet<ConflictMember> =
            set.iter().copied().filter(|m| m != member).collect();
        if asker.conflicts(&without) {
            set = without;
        }
    }
    let smaller = asker.smallest(&all, set.len());
    let members = match &smaller {
        Smallest::Found(found) => found,
        _ => &set,
    };
    Conflict {
        members: members.iter().copied().collect(),
        is_smallest: !matches!(smaller, Smallest::Open) && asker.is_sure,
    }
}

/// All that a part has to do with.
fn members(instance: &Instance, part: &[usize]) -> BTreeSet<ConflictMember> {
    let here = |i: &usize| part.contains(i);
    let bans = instance.bans.iter().filter(|ban| here(&ban.fixture)).map(|ban| ban.rule);
    let pairs = instance.pairs.iter().filter(|pair| here(&pair.fixtures[0])).map(|pair| pair.rule);
    let counts = instance
        .counts
        .iter()
        .filter(|count| count.of.iter().map(|(i, _)| i).chain(&count.day).any(here));
    let rules = bans.chain(pairs).chain(counts.map(|count| count.rule));
    part.iter()
        .copied()
        .map(ConflictMember::Fixture)
        .chain(rules.map(ConflictMember::Rule))
        .collect()
}

enum Smallest {
    Found(BTreeSet<ConflictMember>),
    /// None smaller than what is known.
    NoneSmaller,
    Open,
}

struct Asker<'a> {
    instance: &'a Instance,
    part: &'a [usize],
    questions: usize,
    /// Whether every question had an answer.
    is_sure: bool,
}

impl Asker<'_> {
    fn conflicts(&mut self, set: &BTreeSet<ConflictMember>) -> bool {
        self.questions += 1;
        match solve(self.instance, self.part, &|_, _| 0.0, &Kept(set), MAX_NODES) {
            PartOutcome::Impossible => true,
            PartOutcome::Season { .. } => false,
            PartOutcome::Open => {
                self.is_sure = false;
                false
            }
        }
    }

    /// A conflicting set of the fewest members, under a size that is known.
    fn smallest(&mut self, all: &BTreeSet<ConflictMember>, known: usize) -> Smallest {
        let mut to_hit: Vec<Vec<ConflictMember>> = Vec::new();
        loop {
            let hitting = match hitting_set(&to_hit, known) {
                Hitting::Set(set) => set,
                Hitting::NoneSmaller => return Smallest::NoneSmaller,
                Hitting::Open => return Smallest::Open,
            };
            if self.conflicts(&hitting) {
                return Smallest::Found(hitting);
            }
            // as much more as goes without conflict; the rest is one more to be hit
            let mut possible = hitting;
            for member in all {
                if possible.insert(*member) && self.conflicts(&possible) {
                    possible.remove(member);
                }
                if self.questions > MAX_QUESTIONS {
                    return Smallest::Open;
                }
            }
            to_hit.push(all.difference(&possible).copied().collect());
        }
    }
}

enum Hitting {
    Set(BTreeSet<ConflictMember>),
    NoneSmaller,
    Open,
}

/// A set of the fewest members that has one of each, with fewer than `under` members.
fn hitting_set(to_hit: &[Vec<ConflictMember>], under: usize) -> Hitting {
    let mut steps = 0;
    for size in 0..under {
        let mut set = BTreeSet::new();
        if hit(to_hit, size, &mut set, &mut steps) {
            return Hitting::Set(set);
        }
        if steps > MAX_STEPS {
            return Hitting::Open;
        }
    }
    Hitting::NoneSmaller
}

fn hit(
    to_hit: &[Vec<ConflictMember>],
    room: usize,
    set: &mut BTreeSet<ConflictMember>,
    steps: &mut usize,
) -> bool {
    *steps += 1;
    let missed = to_hit.iter().find(|one| !one.iter().any(|member| set.contains(member)));
    let Some(missed) = missed else { return true };
    if room == 0 || *steps > MAX_STEPS {
        return false;
    }
    for member in missed {
        set.insert(*member);
        if hit(to_hit, room - 1, set, steps) {
            return true;
        }
        set.remove(member);
    }
    false
}
