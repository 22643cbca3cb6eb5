//! The sheet as a page: HTML that prints on one side of A4 and needs nothing from outside.
//!
//! In: [`AgreementSheet`]. Out: one HTML file.

use base64::Engine as _;
use serde::Serialize;

use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};

const PAGE: &str = include_str!("sheet.html");
const STYLE: &str = include_str!("style.css");

/// All that is on the sheet.
#[derive(Debug, Serialize)]
pub struct AgreementSheet {
    pub title: String,
    /// Date, zone, sky.
    pub heading: String,
    /// What the pictures are.
    pub note: String,
    /// At most [`super::MOMENTS`].
    pub moments: Vec<MomentPart>,
}

/// A moment.
#[derive(Debug, Serialize)]
pub struct MomentPart {
    /// "15:20".
    pub time: String,
    pub camera: String,
    pub reason: String,
    /// How far apart sun and shade are, what the brief says.
    pub state: String,
    /// What keeps the picture from showing players where the camera looks; empty where they
    /// stand there in sight.
    pub aside: String,
    /// Other cameras that need a hand then.
    pub others: String,
    /// Whether there is a choice of settings.
    pub choice: bool,
    /// For the sun, between, for the shade; one where only one light is in shot.
    pub settings: Vec<SettingPart>,
}

/// A picture at one setting.
#[derive(Debug, Serialize)]
pub struct SettingPart {
    /// "for the sun".
    pub name: String,
    /// Iris, ND, balance.
    pub set: String,
    /// What is lost.
    pub lost: Vec<String>,
    /// SDR as PNG, base64.
    pub png: String,
    pub size: [usize; 2],
}

/// Bytes of a PNG as the page carries them.
pub fn inline(png: &[u8]) -> String {
    base64::engine::general_purpose::STANDARD.encode(png)
}

/// The page.
///
/// # Errors
/// Where the template fails: a fault of the program.
pub fn html(sheet: &AgreementSheet) -> Result<String, minijinja::Error> {
    let mut pages = paper::pages();
    pages.add_template("sheet.html", PAGE)?;
    let context = minijinja::context! {
        sheet => minijinja::value::Serde(sheet),
        style => minijinja::Value::from_safe_string(STYLE.to_owned() + &foot_style()),
        cautions => CAUTIONS.to_vec(),
    };
    pages.get_template("sheet.html")?.render(context)
}
