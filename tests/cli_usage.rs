//! The real binary: help, usage errors and what needs no venue.

use assert_cmd::Command;
use clap::CommandFactory;
use predicates::prelude::*;
use predicates::str::contains;

use quarterstop::cli::Options;

fn quarterstop() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.env_remove("NO_COLOR");
    command
}

/// Every command that does something, as words.
fn commands(of: &clap::Command, words: &[String], all: &mut Vec<Vec<String>>) {
    let subs: Vec<_> = of.get_subcommands().filter(|sub| sub.get_name() != "help").collect();
    if subs.is_empty() || words.is_empty() {
        all.push(words.to_vec());
    }
    for sub in subs {
        commands(sub, &[words, &[sub.get_name().to_owned()]].concat(), all);
    }
}

#[test]
fn every_help_has_an_example_that_parses() {
    let mut all = Vec::new();
    commands(&Options::command(), &[], &mut all);
    assert!(all.len() >= 18, "{all:?}");
    for words in all {
        let help = quarterstop().args(&words).arg("--help").assert().success().stderr("");
        let help = String::from_utf8(help.get_output().stdout.clone()).unwrap();
        let (_, examples) = help.split_once("Example").unwrap_or_else(|| panic!("{words:?}"));
        let examples = examples.replace("\\\n", " ");
        let lines = examples.lines().filter(|line| line.trim_start().starts_with("quarterstop "));
        let mut count = 0;
        for line in lines {
            let typed = line.split(" > ").next().unwrap_or_default().replace('"', "");
            // a name in quotes falls apart here, and so do its options: enough to know that
            // every option of the example is one of the command's
            let known = Options::command();
            let mut command = &known;
            for word in typed.split_whitespace().skip(1) {
                command = command.find_subcommand(word).unwrap_or(command);
            }
            let options = typed.split_whitespace().filter_map(|word| word.strip_prefix("--"));
            for option in options.filter_map(|option| option.split('=').next()) {
                let is = |arg: &clap::Arg| arg.get_long() == Some(option);
                assert!(command.get_arguments().any(is), "--{option} in {line}");
            }
            count += 1;
        }
        assert!(count > 0, "{words:?}");
    }
}

#[test]
fn completions_and_manual_name_every_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        quarterstop()
            .args(["completions", shell])
            .assert()
            .success()
            .stdout(contains("look-up").and(contains("pictures-at")))
            .stderr("");
    }
    let folder = tempfile::tempdir().unwrap();
    quarterstop()
        .args(["manual", "--into"])
        .arg(folder.path())
        .assert()
        .success()
        .stdout(contains("quarterstop-import-mesh.1"));
    let mut all = Vec::new();
    commands(&Options::command(), &[], &mut all);
    for words in all {
        let name = [&["quarterstop".to_owned()][..], &words].concat().join("-");
        let page = std::fs::read_to_string(folder.path().join(format!("{name}.1"))).unwrap();
        let sections = [".SH NAME", ".SH SYNOPSIS", ".SH OPTIONS"];
        assert!(sections.iter().all(|section| page.contains(section)), "{name}");
    }
}

#[test]
fn the_example_of_the_main_job_comes_without_options() {
    quarterstop()
        .args(["match", "--help"])
        .assert()
        .stdout(contains("\n  quarterstop match venues/football-demo.toml\n"));
}

#[test]
fn usage_errors_leave_with_2_and_say_what_is_allowed() {
    for (words, said) in [
        (&["match"][..], "VENUE"),
        (&["match", "v.toml", "--step", "0"], "a whole number from 1 to 60"),
        (&["match", "v.toml", "--step", "61"], "a whole number from 1 to 60"),
        (&["match", "v.toml", "--step", "-1"], "--step"),
        (&["match", "v.toml", "--start", "25:00"], "from 00:00 to 23:59"),
        (&["match", "v.toml", "--from", "15.00"], "HH:MM"),
        (&["match", "v.toml", "--until", ""], "--until"),
        (&["match", "v.toml", "--date", "2026-02-30"], "in the calendar"),
        (&["match", "v.toml", "--date", "30/06/2026"], "YYYY-MM-DD"),
        (&["match", "v.toml", "--pictures-at", "15:00,16:70"], "16:70"),
        (&["match", "v.toml", "--sky", "foggy"], "overcast"),
        (&["match", "v.toml", "--repeated", "twice"], "earlier"),
        (&["match", "v.toml", "--intro", "x"], "--into"),
        (&["schema", "csv"], "venue"),
        (&["check"], "VENUE"),
        (&["march", "v.toml"], "match"),
        (&[], "Usage"),
    ] {
        quarterstop().args(words).assert().code(2).stdout("").stderr(contains(said));
    }
}

/// Words that some reader of a standard library says, which name neither what was found
/// nor what is allowed.
const RAW: [&str; 10] = [
    "invalid digit",
    "invalid float",
    "cannot parse",
    "number too",
    "line 0",
    "error: :",
    "ParseIntError",
    "ParseFloatError",
    "Utf8Error",
    "Os {",
];
/// Values that few options take.
const JUNK: [&str; 14] = [
    "",
    " ",
    "x",
    "1e",
    "1.5.2",
    "-",
    "0x10",
    "NaN",
    "inf",
    "-1",
    "99999999999999999999",
    "1,2,x",
    "a=b=c",
    "\u{fffd}\u{1f3df}",
];

/// What clap says to some words, if it refuses them.
fn refusal(words: Vec<std::ffi::OsString>) -> Option<clap::Error> {
    use clap::Parser;
    Options::try_parse_from(words).err()
}

/// Every option of every command with every junk value: what is refused says which option,
/// what was found and more than the raw words of a parser.
#[test]
fn junk_in_any_option_is_refused_in_words() {
    let mut all = Vec::new();
    commands(&Options::command(), &[], &mut all);
    let (mut asked, mut refused) = (0, 0);
    for words in all.iter().filter(|words| !words.is_empty()) {
        let known = Options::command();
        let command = words.iter().fold(&known, |c, word| c.find_subcommand(word).unwrap());
        let options = command.get_arguments().filter(|arg| arg.get_action().takes_values());
        for option in options.filter_map(|arg| arg.get_long()) {
            for junk in JUNK {
                let given = format!("--{option}={junk}");
                let line =
                    [&["quarterstop".to_owned()][..], &words[..], std::slice::from_ref(&given)]
                        .concat();
                asked += 1;
                let Some(error) = refusal(line.into_iter().map(Into::into).collect()) else {
                    continue;
                };
                let told = error.to_string();
                for raw in RAW {
                    assert!(!told.contains(raw), "{words:?} {given}: {told}");
                }
                let of_value =
                    [clap::error::ErrorKind::ValueValidation, clap::error::ErrorKind::InvalidValue];
                if of_value.contains(&error.kind()) {
                    refused += 1;
                    assert!(told.contains(&format!("--{option}")), "{words:?} {given}: {told}");
                    let found = junk.split(',').any(|piece| told.contains(piece.trim()));
                    assert!(found, "{words:?} {given}: {told}");
                    assert!(told.lines().next().unwrap().len() > 30, "{given}: {told}");
                }
            }
        }
    }
    assert!(asked > 1000 && refused > 500, "{asked} asked, {refused} refused");
}

/// Bytes that are no text, which only some systems hand on.
#[cfg(unix)]
#[test]
fn options_that_are_no_text_are_refused_in_words() {
    use std::os::unix::ffi::OsStringExt;
    for option in ["--step", "--date", "--start", "--air", "--hold"] {
        let given = [option.as_bytes(), b"=\xff\xfe"].concat();
        let given = std::ffi::OsString::from_vec(given);
        let words = vec!["quarterstop".into(), "match".into(), "v.toml".into(), given];
        let told = refusal(words).unwrap().to_string();
        assert!(told.contains("UTF-8") && RAW.iter().all(|raw| !told.contains(raw)), "{told}");
    }
}

#[test]
fn the_schema_of_the_match_file_is_json() {
    let output = quarterstop().args(["schema", "match"]).assert().success();
    let schema: serde_json::Value = serde_json::from_slice(&output.get_output().stdout).unwrap();
    jsonschema::meta::validate(&schema).unwrap();
    assert_eq!(schema, quarterstop::jobs::match_plan::report::json::schema());
}

/// A reader such as `head` that has seen enough.
#[cfg(unix)]
#[test]
fn a_closed_pipe_is_no_error() {
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_quarterstop"))
        .args(["schema", "match"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty(), "{:?}", output.stderr);
}

/// On Linux every write to /dev/full fails for want of space (full(4)).
#[cfg(target_os = "linux")]
#[test]
fn a_full_disc_behind_stdout_is_our_failure() {
    use std::fs::OpenOptions;
    use std::process::Command;
    let full = OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_quarterstop"))
        .args(["schema", "match"])
        .stdout(full)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("standard output"));
}
