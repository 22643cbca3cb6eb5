//! Lengths of clouds and of the gaps between them.
//!
//! In: the shortest and the longest, km. Out: their mean, and lengths drawn at random.
//!
//! Lengths of clouds along a line have a density of `x^-1.66` over four decades: R. Wood and
//! P. R. Field, "The distribution of cloud horizontal sizes", J. Climate 24 (2011), 4800:
//! exponent 1.66 +- 0.04 from 0.1 to 1500 km (from memory of the abstract). Shadows on the
//! ground are as long as their clouds down to about 750 m, under which thin edges let light
//! through (W. B. Mol and others, J. Geophys. Res. Atmos. 128, 2023, e2022JD037894).

/// Of the density.
const EXPONENT: f64 = 1.66;
/// Longer than any cloud or gap counts for here, km.
const MAX_CLOUD_KM: f64 = 1e5;
/// Halvings that find a length to a millionth.
const HALVINGS: usize = 60;

/// A power law between two lengths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerLaw {
    pub shortest_km: f64,
    pub longest_km: f64,
}

impl PowerLaw {
    /// The law with a mean length; its longest follows. A mean at or under the shortest gives
    /// lengths of about the shortest.
    pub fn with_mean(shortest_km: f64, mean_km: f64) -> Self {
        let of = |longest_km| Self { shortest_km, longest_km };
        let (mut low, mut high) = (shortest_km * 1.001, MAX_CLOUD_KM);
        for _ in 0..HALVINGS {
            let middle = (low * high).sqrt();
            if of(middle).mean_km() < mean_km { low = middle } else { high = middle }
        }
        of(low)
    }

    /// Mean length, km.
    ///
    /// ```
    /// use quarterstop::jobs::clouds::PowerLaw;
    /// // the integral of x^-0.66 over that of x^-1.66, from 0.1 to 100
    /// let law = PowerLaw { shortest_km: 0.1, longest_km: 100.0 };
    /// assert!((law.mean_km() - 1.858).abs() < 0.001);
    /// assert!((PowerLaw::with_mean(0.1, law.mean_km()).longest_km - 100.0).abs() < 0.01);
    /// ```
    pub fn mean_km(&self) -> f64 {
        let (tail, moment) = (EXPONENT - 1.0, 2.0 - EXPONENT);
        let (low, high) = (self.shortest_km, self.longest_km);
        tail / moment * (high.powf(moment) - low.powf(moment))
            / (low.powf(-tail) - high.powf(-tail))
    }

    /// A length by its share of all lengths, 0 to 1.
    pub fn at_share(&self, share: f64) -> f64 {
        self.quantile(share, -(EXPONENT - 1.0))
    }

    /// The length around a point by its share of all points: long ones hold more points.
    pub fn around_point(&self, share: f64) -> f64 {
        self.quantile(share, 2.0 - EXPONENT)
    }

    /// Inverse of the distribution whose integral goes as a power of the length.
    fn quantile(&self, share: f64, power: f64) -> f64 {
        let (low, high) = (self.shortest_km.powf(power), self.longest_km.powf(power));
        (low + share.clamp(0.0, 1.0) * (high - low)).powf(1.0 / power)
    }
}
