//! Stretches of time in which an answer stays the same.

use chrono::{DateTime, TimeDelta, Utc};

/// Cuts a window into stretches of one answer each, in order and without gaps; an
/// answer that comes and goes within one step is not seen. Changes are found to the
/// second by halving: a stretch begins at the first second with its answer.
pub(crate) fn stretches<K: PartialEq + Copy>(
    from: DateTime<Utc>,
    until: DateTime<Utc>,
    step: TimeDelta,
    answer: impl Fn(DateTime<Utc>) -> K,
) -> Vec<(DateTime<Utc>, DateTime<Utc>, K)> {
    let mut found = Vec::new();
    let (mut begun, mut at) = (from, from);
    let mut now = answer(from);
    while at < until {
        let next = (at + step).min(until);
        let then = answer(next);
        // an answer in between may differ from both ends
        while now != then {
            let (mut before, mut after) = (at, next);
            while (after - before).num_seconds() > 1 {
                let middle = before + TimeDelta::seconds((after - before).num_seconds() / 2);
                if answer(middle) == now { before = middle } else { after = middle }
            }
            found.push((begun, after, now));
            (begun, at, now) = (after, after, answer(after));
        }
        at = next;
    }
    if begun < until {
        found.push((begun, until, now));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;

    #[test]
    fn changes_are_found_to_the_second_and_leave_no_gaps() {
        let start = Utc.with_ymd_and_hms(2027, 1, 1, 0, 0, 0).unwrap();
        let second = |t: DateTime<Utc>| (t - start).num_seconds();
        // three answers within one step, and one that lasts to the end
        let answer = |t| match second(t) {
            ..605 => 'a',
            605..617 => 'b',
            617..2000 => 'c',
            _ => 'a',
        };
        let end = start + TimeDelta::seconds(3605);
        let all = stretches(start, end, TimeDelta::seconds(30), answer);
        let plain: Vec<(i64, i64, char)> =
            all.iter().map(|(a, b, k)| (second(*a), second(*b), *k)).collect();
        assert_eq!(plain, [(0, 605, 'a'), (605, 617, 'b'), (617, 2000, 'c'), (2000, 3605, 'a')]);
    }
}
