//! `quarterstop completions` and `quarterstop manual`: help for the shell.
//!
//! In: the options themselves. Out: a script for a shell on stdout; pages for `man` in a
//! folder, one for each command.

use std::io;
use std::path::PathBuf;

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use crate::base::files::{FileName, FileSet};
use crate::base::target::Inputs;
use crate::cli::options::Options;
use crate::command::failure::Failure;
use crate::command::print::print;
use crate::output;
use crate::output::text::Ink;

/// Options of `quarterstop completions`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop completions bash > ~/.local/share/bash-completion/completions/quarterstop
  quarterstop completions zsh > ~/.zfunc/_quarterstop")]
pub struct CompletionsOptions {
    /// Which shell
    #[arg(value_enum, value_name = "SHELL")]
    pub shell: Shell,
}

/// Options of `quarterstop manual`.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  quarterstop manual --into ~/.local/share/man/man1")]
pub struct ManualOptions {
    /// Folder for the pages
    #[arg(long, value_name = "FOLDER")]
    pub into: PathBuf,
}

/// Prints the script.
///
/// # Errors
/// [`Failure`] when stdout cannot be written.
pub(super) fn completions(options: &CompletionsOptions) -> Result<(), Failure> {
    let mut script = Vec::new();
    clap_complete::generate(options.shell, &mut Options::command(), "quarterstop", &mut script);
    print(&String::from_utf8_lossy(&script))
}

/// Writes a page for the program and one for each command.
///
/// # Errors
/// [`Failure`]; no page is written or replaced then.
pub(super) fn manual(options: &ManualOptions) -> Result<(), Failure> {
    let mut program = Options::command();
    program.build();
    let mut pages = Vec::new();
    collect(&program, "quarterstop", &mut pages);
    let mut set = FileSet::open(&options.into, &Inputs::none())?;
    for (name, command) in pages {
        let mut page = Vec::new();
        set_page(&command, &mut page).map_err(Failure::Stdout)?;
        set.stage(FileName::new(&name, "1"), &page)?;
    }
    let names = set.commit()?;
    print(&output::text::files(&options.into, &names, Ink::Plain))
}

fn set_page(command: &clap::Command, page: &mut Vec<u8>) -> io::Result<()> {
    clap_mangen::Man::new(command.clone()).render(page)
}

fn collect(command: &clap::Command, name: &str, pages: &mut Vec<(String, clap::Command)>) {
    pages.push((name.to_owned(), command.clone()));
    for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help") {
        collect(sub, &format!("{name}-{}", sub.get_name()), pages);
    }
}
