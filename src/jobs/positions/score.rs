//! What a place costs, and what the cost is made of.
//!
//! In: parts of penalty, each a share of play from 0 to 1 but for the mismatch, which is
//! in stops; weights. Out: one number, the lower the better, and the places that no other
//! beats in everything.

/// A part of penalty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PenaltyPart {
    /// Share of play with a split in shot over the first of the stated ones.
    Split,
    /// Share of play with the sun in frame somewhere between the aims.
    SunInFrame,
    /// Share of play with the sun on the front element, not in frame.
    SunOnLens,
    /// Share of play with subjects lit from behind.
    BackLit,
    /// Share of the cover that something hides from the lens.
    Hidden,
    /// Share of play with the sun on the camera and its operator.
    OwnSun,
    /// Mean difference to the cameras that are fixed, for the same subject, stops.
    Mismatch,
}

impl PenaltyPart {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 7] = [
        Self::Split,
        Self::Mismatch,
        Self::BackLit,
        Self::SunInFrame,
        Self::SunOnLens,
        Self::Hidden,
        Self::OwnSun,
    ];

    /// One word for options, columns and keys.
    ///
    /// ```
    /// use quarterstop::jobs::positions::PenaltyPart;
    /// let words: Vec<_> = PenaltyPart::ALL.iter().map(|p| p.word()).collect();
    /// assert!(words.contains(&"back_lit"));
    /// assert_eq!(PenaltyPart::of_word("own_sun"), Some(PenaltyPart::OwnSun));
    /// ```
    pub fn word(self) -> &'static str {
        match self {
            Self::Split => "split",
            Self::SunInFrame => "sun_in_frame",
            Self::SunOnLens => "sun_on_lens",
            Self::BackLit => "back_lit",
            Self::Hidden => "hidden",
            Self::OwnSun => "own_sun",
            Self::Mismatch => "mismatch",
        }
    }

    /// Unit and meaning of its column.
    pub fn column(self) -> (&'static str, &'static str) {
        match self {
            Self::Split => ("0 to 1", "share of play with a split over the first of these"),
            Self::Mismatch => ("stop", "mean difference to the fixed cameras, same subject"),
            Self::BackLit => ("0 to 1", "share of play with subjects lit from behind"),
            Self::SunInFrame => ("0 to 1", "share of play with the sun in frame"),
            Self::SunOnLens => ("0 to 1", "share of play with the sun on the front element"),
            Self::Hidden => ("0 to 1", "share of the cover that something hides"),
            Self::OwnSun => ("0 to 1", "share of play with the sun on camera and operator"),
        }
    }

    /// The part of a word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|part| part.word() == word)
    }

    fn index(self) -> usize {
        Self::ALL.iter().position(|part| *part == self).unwrap_or(0)
    }
}

/// A number for each part.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct PenaltyParts([f64; PenaltyPart::ALL.len()]);

impl PenaltyParts {
    pub fn get(&self, part: PenaltyPart) -> f64 {
        self.0[part.index()]
    }

    pub fn set(&mut self, part: PenaltyPart, value: f64) {
        self.0[part.index()] = value;
    }
}

/// How much each part counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PositionWeights(PenaltyParts);

impl Default for PositionWeights {
    /// A minute with a split counts one; the sun in frame stops the camera's use, and
    /// what it cannot see it cannot show: two; the rest can be lived with (common
    /// practice, no source).
    fn default() -> Self {
        let mut weights = PenaltyParts::default();
        for (part, weight) in [
            (PenaltyPart::Split, 1.0),
            (PenaltyPart::Mismatch, 0.5),
            (PenaltyPart::BackLit, 0.5),
            (PenaltyPart::SunInFrame, 2.0),
            (PenaltyPart::SunOnLens, 0.5),
            (PenaltyPart::Hidden, 2.0),
            (PenaltyPart::OwnSun, 0.1),
        ] {
            weights.set(part, weight);
        }
        Self(weights)
    }
}

impl PositionWeights {
    pub fn get(&self, part: PenaltyPart) -> f64 {
        self.0.get(part)
    }

    /// With another weight for a part; under 0 counts as 0.
    pub fn with(mut self, part: PenaltyPart, weight: f64) -> Self {
        self.0.set(part, weight.max(0.0));
        self
    }

    /// What a part adds to the penalty.
    pub fn weighed(&self, parts: &PenaltyParts, part: PenaltyPart) -> f64 {
        self.get(part) * parts.get(part)
    }

    /// The whole penalty.
    pub fn penalty(&self, parts: &PenaltyParts) -> f64 {
        PenaltyPart::ALL.iter().map(|part| self.weighed(parts, *part)).sum()
    }
}

/// Which of some places no other beats: one that is as good in every part that counts and
/// better in one. Indices into `places`, in order.
pub fn undominated(places: &[PenaltyParts], weights: &PositionWeights) -> Vec<usize> {
    let counting: Vec<PenaltyPart> =
        PenaltyPart::ALL.into_iter().filter(|part| weights.get(*part) > 0.0).collect();
    let beats = |a: &PenaltyParts, b: &PenaltyParts| {
        counting.iter().all(|p| a.get(*p) <= b.get(*p))
            && counting.iter().any(|p| a.get(*p) < b.get(*p))
    };
    let beaten = |i: usize| places.iter().any(|other| beats(other, &places[i]));
    (0..places.len()).filter(|&i| !beaten(i)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(split: f64, back_lit: f64) -> PenaltyParts {
        let mut parts = PenaltyParts::default();
        parts.set(PenaltyPart::Split, split);
        parts.set(PenaltyPart::BackLit, back_lit);
        parts
    }

    #[test]
    fn the_penalty_is_the_weighed_sum() {
        let weights = PositionWeights::default().with(PenaltyPart::BackLit, 0.25);
        assert_eq!(weights.penalty(&parts(0.5, 0.4)), 0.5 + 0.1);
    }

    #[test]
    fn a_place_that_is_beaten_in_everything_that_counts_is_off_the_front() {
        let places = [parts(0.1, 0.9), parts(0.5, 0.5), parts(0.6, 0.5), parts(0.9, 0.1)];
        let all = PositionWeights::default();
        assert_eq!(undominated(&places, &all), [0, 1, 3]);
        // equals stay together
        assert_eq!(undominated(&[parts(0.1, 0.1), parts(0.1, 0.1)], &all), [0, 1]);
        assert_eq!(undominated(&places, &all.with(PenaltyPart::BackLit, 0.0)), [0]);
    }
}
