//! `quarterstop import mesh`: a model of a stand into a venue file.
//!
//! In: an OBJ or glTF file, a venue file, and where the model stands. Out: a venue
//! file with the model beside it, and on stdout what was brought in and left out.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::base::frame::FieldPoint;
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::print;
use crate::command::progress::Progress;
use crate::command::words::within;
use crate::import::mesh::{MeshImportError, MeshWish, import};
use crate::jobs::check::report::meshes;
use crate::jobs::check::report::meshes::MeshGroups;
use crate::venue::mesh::{MeshPlace, UpAxis};

/// Options of `quarterstop import mesh`.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  quarterstop import mesh west.obj --metres-per-unit 0.001 --up z --at 0,45,0 --turned-deg 90 \\
    --onto ground.toml --into ground-2.toml

At 0 degrees the file's x axis runs along the field's bearing. With z up its y axis then runs
to the left of someone who looks that way, with y up its z axis to the right.")]
pub struct MeshOptions {
    /// Model (Wavefront .obj, glTF 2.0 .gltf or .glb)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,

    /// Add to this venue; everything in it stays
    #[arg(long, value_name = "VENUE")]
    pub onto: PathBuf,

    /// Venue file to write; the model is copied beside it unless it lies there
    #[arg(long, value_name = "VENUE")]
    pub into: PathBuf,

    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,

    /// Length of the file's unit: 0.001 for millimetres, 1 for glTF
    #[arg(long, value_name = "M", value_parser = unit)]
    pub metres_per_unit: f64,

    /// Axis of the file that points up; of glTF it is y
    #[arg(long, value_enum)]
    pub up: UpChoice,

    /// Where the file's origin lies in field axes, metres
    #[arg(long, value_name = "ALONG,ACROSS,UP", value_parser = point, default_value = "0,0,0")]
    #[arg(allow_hyphen_values = true)]
    pub at: FieldMetres,

    /// Turn clockwise as seen from above, degrees
    #[arg(long, value_name = "DEG", value_parser = turn, default_value_t = 0.0)]
    #[arg(allow_negative_numbers = true)]
    pub turned_deg: f64,

    /// Name in the venue file [default: that of the file]
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    pub name: Option<String>,

    /// Share of light that passes, 0 to 1: a closed piece once, else each face once
    #[arg(long, value_name = "SHARE", value_parser = share, default_value_t = 0.0)]
    pub transmittance: f64,

    /// Share of light that its surface throws back, 0 to 1 [default: 0.3]
    #[arg(long, value_name = "SHARE", value_parser = share, verbatim_doc_comment)]
    pub reflectance: Option<f64>,

    /// Group, object or node of the file that counts, the others do not; may come
    /// several times
    #[arg(long, value_name = "GROUP")]
    pub only: Vec<String>,

    /// Group, object or node of the file that does not count; may come several times
    #[arg(long, value_name = "GROUP")]
    pub without: Vec<String>,
}

/// The axis that points up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UpChoice {
    Y,
    Z,
}

/// A place in field axes, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldMetres([f64; 3]);

fn unit(text: &str) -> Result<f64, String> {
    within(text, 1e-6, 1e4, "a unit is a number of metres")
}

fn turn(text: &str) -> Result<f64, String> {
    within(text, -360.0, 360.0, "a turn is a number of degrees")
}

fn share(text: &str) -> Result<f64, String> {
    within(text, 0.0, 1.0, "a share is a number")
}

fn point(text: &str) -> Result<FieldMetres, String> {
    let form = |_| "a place is ALONG,ACROSS,UP in metres, each within 5000".to_owned();
    let numbers: Result<Vec<f64>, String> =
        text.split(',').map(|part| within(part, -5e3, 5e3, "")).collect();
    let numbers = numbers.map_err(form)?;
    <[f64; 3]>::try_from(numbers).map(FieldMetres).map_err(|_| form(String::new()))
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then.
pub(crate) fn run(options: &MeshOptions) -> Result<(), Failure> {
    let progress = Progress::of("model");
    progress.report(0, 1);
    let (text, before) = super::words::venue_text(&options.onto)?;
    let FieldMetres([along_m, across_m, up_m]) = options.at;
    let inputs = Inputs::of([&options.file, &options.onto]);
    let (inputs, existing) = super::words::replacing(options.replace, inputs, Some(&options.onto));
    let wish = MeshWish {
        file: options.file.clone(),
        into: options.into.clone(),
        inputs,
        existing,
        name: options.name.clone(),
        place: MeshPlace {
            metres_per_unit: options.metres_per_unit,
            up: match options.up {
                UpChoice::Y => UpAxis::Y,
                UpChoice::Z => UpAxis::Z,
            },
            at: FieldPoint { along_m, across_m, up_m },
            turned_deg: options.turned_deg,
        },
        transmittance: options.transmittance,
        reflectance: options.reflectance,
        only: options.only.clone(),
        without: options.without.clone(),
    };
    let note = import(&text, &wish).map_err(|e| match e {
        MeshImportError::Save(e) => Failure::Save(e),
        other => Failure::Input(other.into()),
    })?;
    drop(progress);
    super::words::warn_of_written(&options.into, Some(&before));
    let into = options.into.display();
    print(&format!("{}Written: {into}\n", meshes::text(&note, MeshGroups::All)))
}
