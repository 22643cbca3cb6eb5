//! How much sunlit ground receivers see.
//!
//! In: what each receiver sees of each spot of the ground (sr, weighted by the cosine), once
//! a venue; then, per instant, the share of the sun's light at each spot, 0 to 1. Out: for each
//! receiver and kind of ground the sunlit part as a share of an evenly bright surrounding.
//!
//! Spots lie in rows and shadows have edges, so runs of spots get the same share. Sums over all
//! spots before each are kept, receivers side by side: a run costs two of them, however long it
//! is.

use std::f64::consts::PI;

/// Sums over spots, ready for runs.
#[derive(Debug, Clone)]
pub(super) struct SunlitViews {
    receivers: usize,
    /// Which kind of ground each spot is.
    kinds: Vec<u8>,
    /// Of each spot, and behind the last: what each receiver sees of all spots before it, sr.
    before: Vec<f32>,
}

impl SunlitViews {
    /// Of receivers that see spots of the first and of the second kind of ground.
    pub fn new<'a>(receivers: impl IntoIterator<Item = [&'a [(u32, f32)]; 2]>) -> Self {
        let receivers: Vec<_> = receivers.into_iter().collect();
        let seen = receivers.iter().flatten().copied().flatten();
        let spots = seen.map(|(spot, _)| *spot as usize + 1).max().unwrap_or(0);
        let count = receivers.len();
        let mut kinds = vec![0; spots];
        let mut before = vec![0.0_f32; (spots + 1) * count];
        let mut factors = vec![0.0; spots];
        for (i, of_kinds) in receivers.into_iter().enumerate() {
            factors.fill(0.0);
            for (kind, seen) in (0..).zip(of_kinds) {
                for &(spot, factor) in seen {
                    factors[spot as usize] += f64::from(factor);
                    kinds[spot as usize] = kind;
                }
            }
            let mut sum = 0.0;
            for (factor, row) in factors.iter().zip(before.chunks_exact_mut(count.max(1)).skip(1)) {
                sum += factor;
                row[i] = sum as f32;
            }
        }
        Self { receivers: count, kinds, before }
    }

    /// Under the share of the sun's light at each spot.
    pub fn under(&self, in_sun: &[f32]) -> Vec<[f64; 2]> {
        let mut sums = [(); 2].map(|()| vec![0.0_f32; self.receivers]);
        let spots = in_sun.len().min(self.kinds.len());
        let sum_before = |spot: usize| &self.before[spot * self.receivers..][..self.receivers];
        let mut first = 0;
        while first < spots {
            let (share, kind) = (in_sun[first], self.kinds[first]);
            let alike = |spot: &usize| in_sun[*spot] == share && self.kinds[*spot] == kind;
            let end = first + 1 + (first + 1..spots).take_while(alike).count();
            if share != 0.0 {
                let both = sum_before(first).iter().zip(sum_before(end));
                let sums = sums[usize::from(kind)].iter_mut().zip(both);
                sums.for_each(|(sum, (before, through))| *sum += share * (through - before));
            }
            first = end;
        }
        let [of_first, of_second] = sums;
        let share = |sr: f32| f64::from(sr) / PI;
        of_first.into_iter().zip(of_second).map(|(a, b)| [share(a), share(b)]).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Runs of every length, both kinds, spots that nobody sees, more shares than spots: what
    /// plain sums over the spots say.
    #[test]
    fn runs_add_up_to_sums_over_spots() {
        let dice = |i: u32| (i.wrapping_mul(2_654_435_761) >> 8) % 1000;
        // two spots of five are of the second kind
        let lists: Vec<[Vec<(u32, f32)>; 2]> = (0..7)
            .map(|receiver| {
                let seen = (0..300_u32).filter(|spot| dice(spot * 7 + receiver) < 600);
                let factor = |spot: u32| (spot, dice(spot + 1000 * receiver) as f32 * 1e-5);
                let (second, first) = seen.map(factor).partition(|(spot, _)| spot / 3 % 5 < 2);
                [first, second]
            })
            .collect();
        let views = SunlitViews::new(lists.iter().map(|[a, b]| [a.as_slice(), b.as_slice()]));
        for instant in 0..40 {
            let share = |spot: u32| match dice(spot / (1 + instant) + 77 * instant) {
                0..400 => 1.0,
                400..700 => 0.0,
                other => other as f32 * 1e-3,
            };
            let in_sun: Vec<f32> = (0..310).map(share).collect();
            for (got, lists) in views.under(&in_sun).into_iter().zip(&lists) {
                for (got, list) in got.into_iter().zip(lists) {
                    let one = |(spot, factor): &(u32, f32)| {
                        f64::from(*factor) * f64::from(in_sun[*spot as usize])
                    };
                    let plain = list.iter().map(one).sum::<f64>() / PI;
                    assert!((got - plain).abs() < 1e-6, "{got} {plain}");
                }
            }
        }
    }
}
