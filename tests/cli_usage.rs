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
            for option in options {
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
        (&["match", "v.toml", "--step", "0"], "1..=60"),
        (&["match", "v.toml", "--step", "61"], "1..=60"),
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

#[test]
fn the_schema_of_the_match_file_is_json() {
    let output = quarterstop().args(["schema", "match"]).assert().success();
    let schema: serde_json::Value = serde_json::from_slice(&output.get_output().stdout).unwrap();
    jsonschema::meta::validate(&schema).unwrap();
    assert_eq!(schema, quarterstop::report::schema());
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
