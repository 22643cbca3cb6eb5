//! Options of `quarterstop positions`.

use chrono::NaiveDate;
use clap::Args;

use crate::command::words::{apart, day, stops, whole, within};
use crate::jobs::match_plan::options::PlanOptions;

use super::PenaltyPart;

/// Options of `quarterstop positions`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop positions venues/football-demo.toml
  quarterstop positions ground.toml --last-date 2028-05-20 --every-days 14 --step 5
  quarterstop positions ground.toml --weigh back_lit=2,own_sun=0 --over 1.5,3 --set 2")]
pub struct PositionsOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    /// Also the days from --date up to this one, --every-days apart
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub last_date: Option<NaiveDate>,

    /// Days between those of --last-date
    #[arg(long, value_name = "DAYS", default_value_t = 7)]
    #[arg(value_parser = whole::<u32>(1, 366))]
    pub every_days: u32,

    /// Also these days, with commas between
    #[arg(long, value_name = "YYYY-MM-DD,...", value_delimiter = ',', value_parser = day)]
    pub also_on: Vec<NaiveDate>,

    /// Splits to count the minutes over, stops, with commas between; the first
    /// counts in the penalty
    #[arg(long, value_name = "STOPS,...", value_delimiter = ',', value_parser = stops)]
    #[arg(default_values_t = [2.0, 3.0], verbatim_doc_comment)]
    pub over: Vec<f64>,

    /// Weights of parts of penalty other than the usual: split, mismatch, back_lit,
    /// sun_in_frame, sun_on_lens, hidden, own_sun; such as "split=2,own_sun=0"
    #[arg(long, value_name = "PART=WEIGHT,...", value_delimiter = ',', value_parser = weight)]
    #[arg(verbatim_doc_comment)]
    pub weigh: Vec<(PenaltyPart, f64)>,

    /// Positions of the best set [default: one of each candidate, if there are several]
    #[arg(long, value_name = "COUNT")]
    #[arg(value_parser = whole::<u32>(1, 10))]
    pub set: Option<u32>,

    /// Positions of a set are at least so far apart, metres
    #[arg(long, value_name = "METRES", default_value_t = 3.0, value_parser = apart)]
    pub apart_m: f64,
}

pub(crate) fn weight(text: &str) -> Result<(PenaltyPart, f64), String> {
    let (word, weight) = text.split_once('=').unwrap_or((text, ""));
    let part = PenaltyPart::of_word(word.trim()).ok_or_else(|| {
        let words: Vec<&str> = PenaltyPart::ALL.iter().map(|p| p.word()).collect();
        format!("a part is one of {}", words.join(", "))
    })?;
    Ok((part, within(weight, 0.0, 100.0, "a weight is PART=NUMBER, a number")?))
}
