//! What speaks against writing a fit down as surveyed.

use super::judge::UNLIKELY;
use super::result::{Fit, FitVerdict};

/// A reason not to take the numbers as fact.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Objection {
    #[error(
        "the observations disagree: a chi-square of {chi_square:.1} or more has a chance of \
         {} by accident, and under {:.0} % counts as none", percent(*.chance), 100.0 * UNLIKELY
    )]
    Disagree { chi_square: f64, chance: f64 },
    #[error("{label} does not fit the others: the chance of that is {}", percent(*.chance))]
    Outlier { label: String, chance: f64 },
    #[error("the search did not converge")]
    NotConverged,
    #[error("{label}: {why}")]
    LeftOut { label: String, why: String },
    #[error("{name} stopped at a limit")]
    AtLimit { name: String },
    #[error("{name} is not plausible at {value:.2} {unit}: {why}")]
    Implausible { name: String, value: f64, unit: &'static str, why: String },
    #[error(
        "a slip would explain the observations as well, with numbers nearer to the file's: {what}"
    )]
    Ambiguous { what: String },
    #[error(
        "{unknown} rests on one observation, and all observations agree as well where that is \
         read otherwise: {what}"
    )]
    RestsOnOne { unknown: String, what: String },
}

impl Fit {
    /// Everything that speaks against writing the numbers into a venue file. Stated
    /// errors are judged by chi-square and the observation farthest out, relative ones by
    /// the latter; both at [`UNLIKELY`].
    pub fn objections(&self) -> Vec<Objection> {
        let mut all = Vec::new();
        if let (FitVerdict::TooFarOff, Some(chance)) = (self.verdict, self.chance) {
            all.push(Objection::Disagree { chi_square: self.chi_square, chance });
        }
        if all.is_empty() {
            all.extend(self.outlier());
        }
        if !self.settled {
            all.push(Objection::NotConverged);
        }
        all.extend(
            self.left_out
                .iter()
                .filter(|l| l.contradicts)
                .map(|l| Objection::LeftOut { label: l.label.clone(), why: l.why.clone() }),
        );
        let stopped = self.unknowns.iter().filter(|u| u.at_limit);
        all.extend(stopped.map(|u| Objection::AtLimit { name: u.name.clone() }));
        all.extend(self.implausible.iter().map(|i| Objection::Implausible {
            name: i.name.clone(),
            value: i.value,
            unit: i.unit.symbol(),
            why: i.why.clone(),
        }));
        // an agreeing fit is explained only where its numbers moved far
        if all.is_empty() && self.suspect.is_none() {
            let other = self.explanations.first();
            all.extend(other.map(|e| match &self.rests_on_one {
                Some(unknown) => {
                    Objection::RestsOnOne { unknown: unknown.clone(), what: e.what.clone() }
                }
                None => Objection::Ambiguous { what: e.what.clone() },
            }));
        }
        all
    }

    /// An observation that does not fit the others, though all together may pass.
    fn outlier(&self) -> Option<Objection> {
        let suspect = self.suspect.iter().map(|s| (&s.label, s.chance));
        let rows = self.observations.iter().filter_map(|o| Some((&o.label, o.chance?)));
        let farthest = suspect.chain(rows).min_by(|a, b| a.1.total_cmp(&b.1));
        farthest
            .filter(|(_, chance)| *chance < UNLIKELY)
            .map(|(label, chance)| Objection::Outlier { label: label.clone(), chance })
    }
}

fn percent(chance: f64) -> String {
    match 100.0 * chance {
        p if p < 0.01 => "under 0.01 %".to_owned(),
        p => format!("{p:.2} %"),
    }
}
