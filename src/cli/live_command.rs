//! `quarterstop live`: the page on which a ground is drawn, changed and planned.
//!
//! In: a venue file or a folder. Out: the address of the page on stdout, and a server until
//! Ctrl-C. Jobs of the page are commands of this program: here is what they may be asked.

use std::any::TypeId;
use std::ffi::OsString;
use std::io;
use std::io::Write;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Command as Child, Stdio};

use chrono::{NaiveTime, Utc};
use clap::{Arg, ArgAction, Args, CommandFactory, Parser};
use serde_json::Value as Json;

use crate::cli::options::Options;
use crate::command::failure::Failure;
use crate::command::print::print;
use crate::command::window::Window;
use crate::command::words::whole;
use crate::jobs::check::options::FieldOption;
use crate::serve::day::clock::Clock;
use crate::serve::forecast::Given;
use crate::serve::jobs::{JobPlace, JobRequest};
use crate::serve::problem::{ProblemOut, Refused};
use crate::serve::{ServeSettings, dropped, files};
use crate::venue::{Venue, VenueOrSite};
use crate::{engine, jobs, serve, solar, weather};

/// Options of `quarterstop live`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop live venues/football-demo.toml
  quarterstop live --folder grounds --no-browser
  quarterstop live venues/tennis-site-demo.toml --field 'Court 2'
  quarterstop live ground.toml --share --forecast hours.csv
  quarterstop live tournament --share
  quarterstop live ground.toml --share=10.0.0.5:8123 --rehearse 14:40 --speed 10")]
pub struct LiveOptions {
    /// Venue file to open (TOML); the page offers files and a new ground without one. A folder
    /// is offered, or, shared or rehearsed, one day of all grounds in it
    #[arg(value_name = "VENUE")]
    pub venue: Option<PathBuf>,

    #[command(flatten)]
    pub field: FieldOption,

    /// Folder in which files are opened and made [default: the one you are in]
    #[arg(long, value_name = "FOLDER", conflicts_with = "venue")]
    pub folder: Option<PathBuf>,

    /// Port on the loopback address [default: a free one]
    #[arg(long, value_name = "PORT", default_value_t = 0, hide_default_value = true)]
    #[arg(value_parser = whole::<u16>(0, u16::MAX))]
    pub port: u16,

    /// Print the address only
    #[arg(long)]
    pub no_browser: bool,

    /// Let screens of the truck's network follow the day, with codes [default address: all of
    /// this machine, a free port]
    #[arg(long, value_name = "ADDRESS:PORT", num_args = 0..=1, require_equals = true)]
    #[arg(default_missing_value = "0.0.0.0:0")]
    pub share: Option<SocketAddr>,

    /// Forecast of the day (CSV, see `quarterstop forecast`): odds of sun by minute and what to
    /// set under cloud on the wall and on the page, which take a newer one as well
    #[arg(long, value_name = "FORECAST", requires = "venue", verbatim_doc_comment)]
    pub forecast: Option<PathBuf>,

    /// Rehearse the day of the fixture from this time on, with a log of its own
    #[arg(long, value_name = "HH:MM", requires = "venue", value_parser = clock_time)]
    pub rehearse: Option<NaiveTime>,

    /// How fast a rehearsal runs
    #[arg(long, value_name = "TIMES", requires = "rehearse", default_value_t = 1)]
    #[arg(value_parser = whole::<u16>(1, 120))]
    pub speed: u16,
}

/// A time of day.
fn clock_time(text: &str) -> Result<NaiveTime, String> {
    NaiveTime::parse_from_str(text, "%H:%M").map_err(|_| "give a time such as 14:40".to_owned())
}

/// The clock of the day.
fn clock(options: &LiveOptions, venue: Option<&Venue>) -> Result<Clock, Failure> {
    let Some(time) = options.rehearse else { return Ok(Clock::Real) };
    let venue = venue.ok_or(Failure::NoFixture { what: "match" })?;
    let fixture = venue.fixture.ok_or(Failure::NoFixture { what: "match" })?;
    let from =
        solar::resolve(venue.place.zone, fixture.date, time, None).map_err(Failure::input)?;
    Ok(Clock::rehearsal(from.with_timezone(&Utc), f64::from(options.speed)))
}

/// The forecast of the day, read as every command reads one: what is wrong with it is printed
/// before anything is served.
fn forecast(options: &LiveOptions, venue: Option<&Venue>) -> Result<Option<Given>, Failure> {
    let (Some(path), Some(venue)) = (&options.forecast, venue) else { return Ok(None) };
    let fixture = venue.fixture.ok_or(Failure::NoFixture { what: "match" })?;
    let start = solar::resolve(venue.place.zone, fixture.date, fixture.start, None)
        .map_err(Failure::input)?;
    let (from, until) = engine::programme(venue).window_from(start);
    jobs::forecast::command::read(path, venue, &Window { start, from, until })?;
    let text = weather::forecast::text(path).map_err(Failure::input)?;
    Ok(Some(Given { file: path.display().to_string(), text }))
}

/// The first ground of a folder that states when it is played.
fn first_ground(folder: &Path) -> Option<Venue> {
    let files = serve::grounds::venue_files(folder).ok()?;
    let mut venues = files.iter().filter_map(|file| crate::venue::read(file).ok());
    venues.find(|venue| venue.fixture.is_some())
}

/// The field that is named, else the first of a site: the page has a choice of them.
fn first_field(venue: &Path, asked: &FieldOption) -> FieldOption {
    match (asked.field.is_none(), crate::venue::read_all(venue)) {
        (true, Ok(VenueOrSite::Site(site))) => {
            FieldOption { field: site.fields.first().map(|field| field.name.clone()) }
        }
        _ => asked.clone(),
    }
}

/// Commands that the page may run.
const COMMANDS: [&str; 17] = [
    "match",
    "brief",
    "matching",
    "on-air",
    "positions",
    "year",
    "sensitivity",
    "look-up",
    "ball",
    "fit",
    "starts",
    "changed",
    "odds",
    "places",
    "import outlines",
    "import horizon",
    "import mesh",
];
/// Options that name a file or folder to write.
const OUTPUTS: [&str; 3] = ["into", "json", "csv"];
/// Kinds of files that options may name.
const INPUTS: [&str; 4] = ["toml", "csv", "epw", "json"];

/// Runs the command until it is ended.
///
/// # Errors
/// [`Failure`] where the file, the folder or the port cannot be used.
pub(super) fn run(options: &LiveOptions) -> Result<(), Failure> {
    let whole_folder = options.venue.as_ref().filter(|path| path.is_dir());
    let several = whole_folder.is_some() && (options.share.is_some() || options.rehearse.is_some());
    let mut read = None;
    let folder = match (&options.venue, &options.folder) {
        (Some(folder), _) if whole_folder.is_some() => {
            // its day is rehearsed, and a forecast is held to its hours
            if options.rehearse.is_some() || options.forecast.is_some() {
                let none = Failure::NoFixture { what: "match" };
                read = Some(first_ground(folder).ok_or(none)?);
            }
            folder.clone()
        }
        (Some(venue), _) => {
            // the same messages as every command has, with the lines of the file; a text with
            // mistakes is mended on the page
            let first = first_field(venue, &options.field);
            match jobs::check::command::read_venue(venue, &first) {
                Ok(venue) => read = Some(venue),
                Err(failure)
                    if failure.is_of_text()
                        && options.rehearse.is_none()
                        && options.forecast.is_none() =>
                {
                    let mend = "the page shows the text, to mend it there";
                    // eprintln! would panic where stderr is closed
                    let _ = writeln!(io::stderr(), "warning: {failure}\n  {mend}");
                }
                Err(failure) => return Err(failure),
            }
            let parent = venue.parent().filter(|parent| !parent.as_os_str().is_empty());
            parent.unwrap_or(Path::new(".")).to_owned()
        }
        (None, Some(folder)) => folder.clone(),
        (None, None) => PathBuf::from("."),
    };
    let settings = ServeSettings {
        venue: options.venue.clone().filter(|_| whole_folder.is_none()),
        field: options.field.field.clone(),
        folder,
        port: options.port,
        rules: job_words,
        several,
        share: options.share,
        clock: clock(options, read.as_ref())?,
        forecast: forecast(options, read.as_ref())?,
    };
    serve::run(&settings, |address| {
        // nobody reads the address where stdout is closed
        let _ = print(&format!("{address}\n"));
        if !options.no_browser {
            open_browser(address);
        }
    })?;
    Ok(())
}

/// Opens the page where there is a browser; without one the address is printed anyhow.
fn open_browser(address: &str) {
    let words: &[&str] = if cfg!(target_os = "macos") {
        &["open", address]
    } else if cfg!(windows) {
        &["rundll32", "url.dll,FileProtocolHandler", address]
    } else if ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some()) {
        &["xdg-open", address]
    } else {
        return;
    };
    let started = start(words);
    if let Ok(mut child) = started {
        std::thread::spawn(move || child.wait());
    }
}

fn start(words: &[&str]) -> io::Result<std::process::Child> {
    let (program, rest) = words.split_first().ok_or(io::ErrorKind::NotFound)?;
    Child::new(program)
        .args(rest)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
}

/// The words of a job: what the command line allows, with paths in the session's folder and
/// in the job's own.
///
/// # Errors
/// [`Refused::Input`] in the words of the command line.
fn job_words(request: &JobRequest, place: &JobPlace) -> Result<Vec<OsString>, Refused> {
    let unknown = || {
        let known = COMMANDS.join(", ");
        let text = format!("found the command \"{}\"; allowed: {known}", request.command);
        Refused::Input(vec![ProblemOut::at("command", text)])
    };
    if !COMMANDS.contains(&request.command.as_str()) {
        return Err(unknown());
    }
    let all = Options::command();
    let path: Vec<&str> = request.command.split(' ').collect();
    let found = path.iter().try_fold(&all, |command, name| command.find_subcommand(name));
    let command = found.ok_or_else(unknown)?;
    let imports = path.first() == Some(&"import");
    let mut words = vec![OsString::from("quarterstop")];
    words.extend(path.iter().map(OsString::from));
    for arg in command.get_positionals() {
        for path in positional(arg, request, place)? {
            words.push(path.into_os_string());
        }
    }
    if imports {
        words.extend(venues_of_import(request, place));
    }
    for (name, value) in &request.options {
        let arg = command.get_arguments().find(|arg| is_named(arg, name));
        let arg = arg.ok_or_else(|| at(name, "no option of this command".to_owned()))?;
        if arg.is_positional() {
            continue;
        }
        for word in option(arg, value, place)? {
            words.push(word);
        }
    }
    let writes = |arg: &Arg| arg.get_long() == Some("into") && request.command != "fit" && !imports;
    let takes = |long: &str| command.get_arguments().any(|arg| arg.get_long() == Some(long));
    if let Some(field) = place.field.as_ref().filter(|_| takes("field")) {
        words.push(format!("--field={field}").into());
    }
    if command.get_arguments().any(writes) {
        let mut word = OsString::from("--into=");
        word.push(&place.into);
        words.push(word);
    }
    match Options::try_parse_from(&words) {
        Ok(_) => Ok(words.split_off(1)),
        Err(error) => Err(Refused::input(first_part(&error.to_string()))),
    }
}

fn at(name: &str, text: String) -> Refused {
    Refused::Input(vec![ProblemOut::at(name, format!("{name}: {text}"))])
}

fn is_named(arg: &Arg, name: &str) -> bool {
    match name.strip_prefix("--") {
        Some(long) => arg.get_long() == Some(long),
        None => arg.is_positional() && value_name(arg) == Some(name),
    }
}

fn value_name(arg: &Arg) -> Option<&str> {
    arg.get_value_names()?.first().map(|name| name.as_str())
}

fn is_path(arg: &Arg) -> bool {
    arg.get_value_parser().type_id() == TypeId::of::<PathBuf>()
}

/// The venue that an import adds to, and the one that it writes, which the server takes.
fn venues_of_import(request: &JobRequest, place: &JobPlace) -> Vec<OsString> {
    let word = |option: &str, path: &Path| {
        let mut word = OsString::from(option);
        word.push(path);
        word
    };
    let onto = request.new_file.is_none().then(|| word("--onto=", &place.venue));
    onto.into_iter().chain([word("--into=", &place.brought)]).collect()
}

/// The open file for a venue, else files of the folder that the request names.
fn positional(arg: &Arg, request: &JobRequest, place: &JobPlace) -> Result<Vec<PathBuf>, Refused> {
    let name = value_name(arg).unwrap_or_default();
    let missing = || at(name, "missing; name a file of the folder".to_owned());
    match request.options.get(name) {
        Some(Json::String(file)) => Ok(vec![input(file, place)?]),
        Some(Json::Array(files)) => {
            files.iter().map(|file| input(file.as_str().ok_or_else(missing)?, place)).collect()
        }
        None if ["VENUE", "OLD", "NEW"].contains(&name) => Ok(vec![place.venue.clone()]),
        _ => Err(missing()),
    }
}

/// A file that came with the request, or one of the session's folder.
fn input(name: &str, place: &JobPlace) -> Result<PathBuf, Refused> {
    let given = [INPUTS.as_slice(), &dropped::KINDS].concat();
    files::existing(&place.given, name, &given)
        .or_else(|_| files::existing(&place.folder, name, &INPUTS))
}

/// The words of one option.
fn option(arg: &Arg, value: &Json, place: &JobPlace) -> Result<Vec<OsString>, Refused> {
    let long = arg.get_long().unwrap_or_default();
    let flag = !matches!(arg.get_action(), ArgAction::Set | ArgAction::Append);
    let name = format!("--{long}");
    let words = |text: String| -> Result<OsString, Refused> {
        let mut word = OsString::from(format!("{name}="));
        match (is_path(arg), OUTPUTS.contains(&long)) {
            (false, _) => word.push(text),
            (true, false) => word.push(input(&text, place)?),
            (true, true) => word.push(place.into.join(files::plain_name(&text, &INPUTS)?)),
        }
        Ok(word)
    };
    match value {
        Json::Bool(true) if flag => Ok(vec![name.into()]),
        Json::Bool(false) | Json::Null => Ok(Vec::new()),
        _ if flag => Err(at(&name, "takes no value".to_owned())),
        Json::String(text) => Ok(vec![words(text.clone())?]),
        Json::Number(number) => Ok(vec![words(number.to_string())?]),
        Json::Array(all) => all
            .iter()
            .map(|value| match value {
                Json::String(text) => words(text.clone()),
                Json::Number(number) => words(number.to_string()),
                _ => Err(at(&name, "send texts or numbers".to_owned())),
            })
            .collect(),
        Json::Bool(true) | Json::Object(_) => Err(at(&name, "needs a value".to_owned())),
    }
}

/// What is wrong, without the usage of a terminal.
fn first_part(message: &str) -> String {
    let part = message.split("\n\n").next().unwrap_or(message);
    part.trim_start_matches("error: ").split_whitespace().collect::<Vec<_>>().join(" ")
}

impl From<crate::serve::ServeError> for Failure {
    fn from(error: crate::serve::ServeError) -> Self {
        let usage = error.is_usage();
        Self::of(error, usage)
    }
}
