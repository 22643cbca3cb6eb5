//! Values with their odds.
//!
//! In: values and how likely each is. Out: expected value and percentiles.

/// A distribution over a few values.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Spread {
    /// Value and weight, rising values.
    values: Vec<(f64, f64)>,
    weight: f64,
}

impl Spread {
    /// From values and weights; what is not finite or has no weight does not count.
    ///
    /// ```
    /// use quarterstop::weather::Spread;
    /// // three days in four with 2.4 stops, else no edge at all
    /// let split = Spread::of([(2.4, 0.75), (0.0, 0.25)]);
    /// assert!((split.expected().unwrap() - 1.8).abs() < 1e-12);
    /// assert_eq!((split.percentile(10.0), split.percentile(90.0)), (Some(0.0), Some(2.4)));
    /// ```
    pub fn of(values: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let counts =
            |(value, weight): &(f64, f64)| value.is_finite() && weight.is_finite() && *weight > 0.0;
        let mut values: Vec<(f64, f64)> = values.into_iter().filter(counts).collect();
        values.sort_by(|a, b| a.0.total_cmp(&b.0));
        let weight = values.iter().map(|v| v.1).sum();
        Self { values, weight }
    }

    /// Sum of values times odds; `None` without any.
    pub fn expected(&self) -> Option<f64> {
        let sum: f64 = self.values.iter().map(|(value, weight)| value * weight).sum();
        (self.weight > 0.0).then(|| sum / self.weight)
    }

    /// The least value that at least `per_cent` of the weight lies at or under (the
    /// inverse of the distribution function); `None` without values.
    pub fn percentile(&self, per_cent: f64) -> Option<f64> {
        // sums of weights such as 0.1 must not miss a whole by their rounding
        let asked = self.weight * per_cent.clamp(0.0, 100.0) / 100.0 - 1e-9 * self.weight;
        let mut under = 0.0;
        let reached = self.values.iter().find(|(_, weight)| {
            under += weight;
            under >= asked
        });
        reached.or(self.values.last()).map(|(value, _)| *value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_are_values_that_were_put_in() {
        let tens = Spread::of((1..=10).map(|i| (f64::from(i), 0.1)));
        assert_eq!(tens.percentile(10.0), Some(1.0));
        assert_eq!(tens.percentile(50.0), Some(5.0));
        assert_eq!(tens.percentile(90.0), Some(9.0));
        assert_eq!(tens.percentile(100.0), Some(10.0));
        assert!((tens.expected().unwrap() - 5.5).abs() < 1e-12);
    }

    #[test]
    fn nothing_has_no_expectation() {
        let none = Spread::of([(f64::NAN, 1.0), (2.0, 0.0)]);
        assert_eq!((none.expected(), none.percentile(50.0)), (None, None));
    }
}
