//! Commands that plan every field of a site where none is named.
//!
//! In: options of a command, and the command. Out: its files in a folder a field, and
//! `fields.html` over all of them; of the file of one field what the command does by itself.

use std::path::{Path, PathBuf};
use std::{fs, io};

use serde::Serialize;

use crate::base::files::{FileName, FileSet};
use crate::base::slug::unique_slugs;
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::jobs::agreement::page::inline;
use crate::jobs::brief::options::BriefOptions;
use crate::jobs::check::options::{CheckOptions, FieldOption};
use crate::jobs::match_plan::options::MatchOptions;
use crate::jobs::starts::command::StartsOptions;
#[cfg(feature = "parquet")]
use crate::jobs::year::options::YearOptions;
use crate::output::cautions::CAUTIONS;
use crate::output::paper;
use crate::output::text::files;
use crate::venue::{self, VenueOrSite};

const PAGE: &str = include_str!("fields.html");
/// Pictures of a field that the page shows; the folder has all.
const MAX_PICTURES: usize = 6;

/// Options of a command that can be asked for all fields.
pub(super) trait OfFields: Clone {
    /// What folders are called.
    const WHAT: &'static str;
    /// The one file that is planned.
    fn venue(&self) -> Option<&Path>;
    fn field(&mut self) -> &mut FieldOption;
    /// Where the files go; `None` where none are written.
    fn folder(&mut self) -> Option<&mut Option<PathBuf>>;
}

macro_rules! of_fields {
    ($options:ty, $what:literal, $($when:ident).*) => {
        impl OfFields for $options {
            const WHAT: &'static str = $what;

            fn venue(&self) -> Option<&Path> {
                Some(&self.$($when.)*venue)
            }

            fn field(&mut self) -> &mut FieldOption {
                &mut self.$($when.)*field
            }

            fn folder(&mut self) -> Option<&mut Option<PathBuf>> {
                Some(&mut self.$($when.)*into)
            }
        }
    };
}

of_fields!(MatchOptions, "match", plan.when);
of_fields!(BriefOptions, "brief", plan.when);
#[cfg(feature = "parquet")]
of_fields!(YearOptions, "year",);

impl OfFields for CheckOptions {
    const WHAT: &'static str = "check";

    fn venue(&self) -> Option<&Path> {
        // several documents are none
        (!self.json).then_some(&self.venue)
    }

    fn field(&mut self) -> &mut FieldOption {
        &mut self.field
    }

    fn folder(&mut self) -> Option<&mut Option<PathBuf>> {
        self.into.is_some().then_some(&mut self.into)
    }
}

impl OfFields for StartsOptions {
    const WHAT: &'static str = "starts";

    fn venue(&self) -> Option<&Path> {
        match self.venues.as_slice() {
            [venue] => Some(venue),
            _ => None,
        }
    }

    fn field(&mut self) -> &mut FieldOption {
        &mut self.field
    }

    fn folder(&mut self) -> Option<&mut Option<PathBuf>> {
        Some(&mut self.into)
    }
}

/// Runs a command, for a site of which no field is named once a field.
///
/// # Errors
/// [`Failure`] of the first field that has one; what is done by then stays.
pub(super) fn each<O: OfFields>(
    options: &O,
    run: impl Fn(&O) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let mut asked = options.clone();
    let open = asked.field().field.is_none();
    let site = options.venue().filter(|path| open && venue::is_site_file(path));
    let Some(path) = site else { return run(options) };
    let VenueOrSite::Site(site) = venue::read_all(path).map_err(Failure::venue)? else {
        return run(options);
    };
    let names = || site.fields.iter().map(|field| field.name.as_str());
    let slugs = unique_slugs(names(), "field");
    let stem = FieldOption::default().stem(path);
    let base = match asked.folder() {
        Some(Some(folder)) => Some(folder.clone()),
        Some(None) => Some(Path::new("output").join(format!("{stem}-{}", O::WHAT))),
        None => None,
    };
    for (name, slug) in names().zip(&slugs) {
        asked.field().field = Some(name.to_owned());
        if let (Some(into), Some(base)) = (asked.folder(), &base) {
            *into = Some(base.join(slug));
        }
        run(&asked)?;
        print("\n")?;
    }
    let Some(base) = base else { return Ok(()) };
    let fields: Vec<FieldPart> = names()
        .zip(&slugs)
        .map(|(name, slug)| FieldPart::of(name, slug, &base))
        .collect::<Result<_, _>>()
        .map_err(Failure::VenueAgain)?;
    let mut set = FileSet::open(&base, &Inputs::of([path]))?;
    let html = html(&site.title, O::WHAT, fields).map_err(Failure::internal)?;
    set.stage(FileName::new("fields", "html"), html.as_bytes())?;
    let written = set.commit()?;
    print(&files(&base, &written, ink()))
}

/// A field on the page.
#[derive(Debug, Serialize)]
struct FieldPart {
    name: String,
    folder: String,
    files: Vec<String>,
    pictures: Vec<PagePicture>,
}

/// A picture, as the page carries it.
#[derive(Debug, Serialize)]
struct PagePicture {
    name: String,
    base64: String,
}

impl FieldPart {
    fn of(name: &str, slug: &str, base: &Path) -> io::Result<Self> {
        let folder = base.join(slug);
        let entries = fs::read_dir(&folder)?.flatten().filter(|entry| entry.path().is_file());
        let mut files: Vec<String> =
            entries.filter_map(|entry| entry.file_name().into_string().ok()).collect();
        files.retain(|name| !name.starts_with('.'));
        files.sort();
        let drawn = files.iter().filter(|file| file.ends_with(".svg"));
        // those of an instant, named by its time, are many, and differ from field to field
        let over_all = drawn.filter(|file| !is_of_instant(file.trim_end_matches(".svg")));
        let pictures = over_all.take(MAX_PICTURES).map(|file| {
            let name = file.trim_end_matches(".svg").to_owned();
            Ok(PagePicture { name, base64: inline(&fs::read(folder.join(file))?) })
        });
        let pictures = pictures.collect::<io::Result<_>>()?;
        Ok(Self { name: name.to_owned(), folder: slug.to_owned(), files, pictures })
    }
}

/// Whether a name ends with a time, as that of a picture of an instant does.
fn is_of_instant(stem: &str) -> bool {
    let end = stem.rsplit('-').next().unwrap_or_default();
    end.len() >= 4 && end.bytes().all(|byte| byte.is_ascii_digit())
}

fn html(title: &str, what: &str, fields: Vec<FieldPart>) -> Result<String, minijinja::Error> {
    let mut pages = paper::pages();
    pages.add_template("fields.html", PAGE)?;
    let context = minijinja::context! {
        title => title,
        what => what,
        fields => minijinja::value::Serde(fields),
        cautions => CAUTIONS.to_vec(),
    };
    pages.get_template("fields.html")?.render(context)
}
