//! The best set of positions: each good for itself, all of them well matched.
//!
//! In: what each place costs alone, what each pair costs together, which table each place
//! belongs to, how many places and how far apart. Out: the cheapest set, and whether it
//! is proven.
//!
//! Branch and bound: places are taken in order of what they add to the set so far; since
//! pairs never cost less than nothing, a set cannot become cheaper than what it has plus
//! the cheapest additions that are left. Work is counted, not timed, so that the answer
//! is the same on every machine.

use glam::DVec3;

/// Largest set.
pub const MAX_IN_SET: usize = 10;
/// More places than this are not searched for sets: their pairs would fill the memory.
pub const MAX_IN_SEARCH: usize = 2_000;
/// Additions looked at before the search is called off.
const MAX_WORK: u64 = 300_000_000;

/// What to search.
pub struct SetRequest<'a> {
    /// How many places.
    pub count: usize,
    /// What each place costs alone, at least 0; `None` for one that cannot be in a set.
    pub alone: &'a [Option<f64>],
    /// What two places cost together, at least 0.
    pub together: &'a dyn Fn(usize, usize) -> f64,
    /// The table that each place belongs to.
    pub table: &'a [usize],
    /// How many places of each table a set may have.
    pub most: &'a [usize],
    /// Where the places are, metres.
    pub at: &'a [DVec3],
    /// Least distance between two places of a set, metres.
    pub apart_m: f64,
}

/// The cheapest set found.
#[derive(Debug, Clone, PartialEq)]
pub struct BestSet {
    /// Indices of its places, in order.
    pub places: Vec<usize>,
    pub cost: f64,
    /// Whether no other set can be cheaper; `false` where the search was called off.
    pub proven: bool,
}

/// Why there can be no set.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SetError {
    #[error(
        "a set of {count} positions cannot be made: the tables [[candidate]] allow {allowed}; ask \
         for fewer, or state `most` in a table"
    )]
    TooFew { count: usize, allowed: usize },
    #[error("a set of {count} positions is more than {MAX_IN_SET}; ask for fewer")]
    TooLarge { count: usize },
    #[error(
        "the best set is searched among {MAX_IN_SEARCH} places at most, not {places}; take a \
         longer every_m, or leave --set out"
    )]
    TooManyPlaces { places: usize },
}

/// Whether sets of a size can be searched for: from the number of places and the most of
/// each table.
///
/// # Errors
/// [`SetError`].
pub fn check(count: usize, tables: impl Iterator<Item = (usize, usize)>) -> Result<(), SetError> {
    let (mut places, mut allowed) = (0, 0);
    for (of_table, most) in tables {
        places += of_table;
        allowed += most.min(of_table);
    }
    match count {
        n if n > MAX_IN_SET => Err(SetError::TooLarge { count }),
        n if n > allowed => Err(SetError::TooFew { count, allowed }),
        _ if places > MAX_IN_SEARCH => Err(SetError::TooManyPlaces { places }),
        _ => Ok(()),
    }
}

/// The cheapest set; `None` where none keeps the distance.
pub fn best_set(request: &SetRequest<'_>) -> Option<BestSet> {
    let open: Vec<Addition> = (0..request.alone.len())
        .filter_map(|place| Some(Addition { place, adds: request.alone[place]? }))
        .collect();
    let mut search = Search { request, chosen: Vec::new(), best: None, work: 0 };
    search.go(open, 0.0);
    let (mut places, cost) = search.best?;
    places.sort_unstable();
    Some(BestSet { places, cost, proven: search.work < MAX_WORK })
}

/// A place that could be taken, and what it would add to the set so far.
#[derive(Clone, Copy)]
struct Addition {
    place: usize,
    adds: f64,
}

struct Search<'r, 'a> {
    request: &'r SetRequest<'a>,
    chosen: Vec<usize>,
    best: Option<(Vec<usize>, f64)>,
    work: u64,
}

impl Search<'_, '_> {
    fn go(&mut self, mut open: Vec<Addition>, cost: f64) {
        let missing = self.request.count - self.chosen.len();
        if missing == 0 {
            if self.best.as_ref().is_none_or(|best| cost < best.1) {
                self.best = Some((self.chosen.clone(), cost));
            }
            return;
        }
        open.sort_by(|a, b| a.adds.total_cmp(&b.adds).then(a.place.cmp(&b.place)));
        for (i, addition) in open.iter().enumerate() {
            let Some(cheapest) = open.get(i..i + missing) else { return };
            let least: f64 = cheapest.iter().map(|a| a.adds).sum();
            if self.best.as_ref().is_some_and(|best| cost + least >= best.1) {
                return;
            }
            self.work += open.len() as u64;
            if self.work >= MAX_WORK {
                return;
            }
            self.chosen.push(addition.place);
            let left = open[i + 1..].iter().filter_map(|a| self.after(*a, addition.place));
            let left: Vec<Addition> = left.collect();
            self.go(left, cost + addition.adds);
            self.chosen.pop();
        }
    }

    /// What is left of an addition when `taken` has been taken as the last one.
    fn after(&self, addition: Addition, taken: usize) -> Option<Addition> {
        let request = self.request;
        let place = addition.place;
        let table = request.table[place];
        let of_table = self.chosen.iter().filter(|c| request.table[**c] == table).count();
        let near = request.at[place].distance(request.at[taken]) < request.apart_m;
        (of_table < request.most[table] && !near)
            .then(|| Addition { place, adds: addition.adds + (request.together)(place, taken) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every set there is.
    fn brute(request: &SetRequest<'_>) -> Option<f64> {
        fn grow(r: &SetRequest<'_>, from: usize, set: &mut Vec<usize>, best: &mut Option<f64>) {
            if set.len() == r.count {
                let alone: f64 = set.iter().filter_map(|&i| r.alone[i]).sum();
                let mut together = 0.0;
                for (n, &a) in set.iter().enumerate() {
                    together += set[..n].iter().map(|&b| (r.together)(a, b)).sum::<f64>();
                }
                let cost = alone + together;
                *best = Some(best.map_or(cost, |b| b.min(cost)));
                return;
            }
            for i in from..r.alone.len() {
                let of_table = set.iter().filter(|&&s| r.table[s] == r.table[i]).count();
                let near = set.iter().any(|&s| r.at[s].distance(r.at[i]) < r.apart_m);
                if r.alone[i].is_some() && of_table < r.most[r.table[i]] && !near {
                    set.push(i);
                    grow(r, i + 1, set, best);
                    set.pop();
                }
            }
        }
        let mut best = None;
        grow(request, 0, &mut Vec::new(), &mut best);
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]
        #[test]
        fn the_search_finds_what_trying_all_sets_finds(
            count in 1_usize..5,
            places in prop::collection::vec(
                (prop::option::weighted(0.9, 0.0_f64..3.0), 0_usize..3, 0.0_f64..30.0), 1..13),
            pairs in prop::collection::vec(0.0_f64..1.5, 13 * 13),
            most in prop::collection::vec(1_usize..4, 3),
            apart_m in 0.0_f64..6.0,
        ) {
            let alone: Vec<Option<f64>> = places.iter().map(|p| p.0).collect();
            let table: Vec<usize> = places.iter().map(|p| p.1).collect();
            let at: Vec<DVec3> = places.iter().map(|p| DVec3::X * p.2).collect();
            let together = |a: usize, b: usize| pairs[a.min(b) * 13 + a.max(b)];
            let request = SetRequest {
                count, alone: &alone, together: &together, table: &table, most: &most, at: &at,
                apart_m,
            };
            let (found, wanted) = (best_set(&request), brute(&request));
            prop_assert_eq!(found.is_some(), wanted.is_some());
            if let (Some(found), Some(wanted)) = (found, wanted) {
                prop_assert!(found.proven);
                prop_assert!((found.cost - wanted).abs() < 1e-9, "{} {}", found.cost, wanted);
            }
        }
    }

    #[test]
    fn sets_that_cannot_be_are_refused_with_the_reason() {
        let few = check(3, [(40, 1), (10, 1)].into_iter()).unwrap_err();
        assert!(few.to_string().contains("allow 2"), "{few}");
        assert!(check(2, [(40, 1), (10, 1)].into_iter()).is_ok());
        assert!(matches!(check(11, [(40, 20)].into_iter()), Err(SetError::TooLarge { .. })));
        let many = check(2, [(MAX_IN_SEARCH, 1), (1, 1)].into_iter());
        assert!(matches!(many, Err(SetError::TooManyPlaces { .. })));
    }
}
