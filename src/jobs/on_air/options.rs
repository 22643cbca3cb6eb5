//! Options of `quarterstop on-air`.

use chrono::NaiveTime;
use clap::{Args, ValueEnum};

use super::expose::Expose;
use crate::command::words::{time_of_day, whole, within};
use crate::jobs::match_plan::options::PlanOptions;
use crate::signal::Output;

/// Options of `quarterstop on-air`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop on-air venues/football-demo.toml
  quarterstop on-air ground.toml --camera \"1 main wide\" --minute 16:05 --expose shade
  quarterstop on-air ground.toml --camera \"2 main tight\" --along 0 --zoom-deg 6 --hdr pq")]
pub struct OnAirOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    /// Name of a camera to look through; may come several times [default: all]
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    pub camera: Vec<String>,

    /// Minutes to show, with commas between
    /// [default: four, evenly from the start to the end of play, none in a break]
    #[arg(long = "minute", value_name = "HH:MM,...", value_delimiter = ',')]
    #[arg(value_parser = time_of_day, verbatim_doc_comment)]
    pub minutes: Vec<NaiveTime>,

    /// Where in its sweep a camera looks: 0 at its first aim, 1 at its last
    #[arg(long, value_name = "SHARE", default_value_t = 0.5, value_parser = share)]
    pub along: f64,

    /// Horizontal field of view, degrees [default: that of the venue file]
    #[arg(long, value_name = "DEGREES", value_parser = zoom, verbatim_doc_comment)]
    pub zoom_deg: Option<f64>,

    /// What the iris is set for
    #[arg(long, value_enum, value_name = "SIDE", default_value_t = Expose::Between)]
    pub expose: Expose,

    /// What is balanced to white [default: what the iris is set for]
    #[arg(long, value_enum, value_name = "SIDE", verbatim_doc_comment)]
    pub white: Option<Expose>,

    /// Kind of HDR [default: what the venue's production makes, else hlg]
    #[arg(long, value_enum, value_name = "KIND")]
    pub hdr: Option<HdrChoice>,

    /// Width of a picture, pixels, 160 to 1920
    #[arg(long, value_name = "PIXELS", default_value_t = 960)]
    #[arg(value_parser = whole::<u32>(160, 1920))]
    pub width: u32,

    /// Write strips and data alone, no single pictures
    #[arg(long)]
    pub strips_only: bool,
}

/// Kind of HDR.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum HdrChoice {
    /// Hybrid log-gamma
    Hlg,
    /// Perceptual quantisation
    Pq,
}

impl HdrChoice {
    pub(crate) fn output(self) -> Output {
        match self {
            Self::Hlg => Output::Hlg,
            Self::Pq => Output::Pq,
        }
    }
}

fn share(text: &str) -> Result<f64, String> {
    within(text, 0.0, 1.0, "a share of the sweep")
}

fn zoom(text: &str) -> Result<f64, String> {
    within(text, 0.5, 120.0, "a field of view in degrees")
}
