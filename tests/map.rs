//! The map in DEVELOPERS.md against the folders of `src`, and the folders against their
//! order: none uses one that comes later.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn folders(of: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(of).unwrap().map(|entry| entry.unwrap());
    let folders = entries.filter(|entry| entry.path().is_dir());
    folders.map(|entry| entry.file_name().into_string().unwrap()).collect()
}

/// The first column of the table of the map under the row that begins with `head`.
fn rows(head: &str) -> Vec<String> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let (_, table) = text.split_once(head).unwrap();
    let rows = table.lines().skip(2).take_while(|line| line.starts_with("| `"));
    rows.map(|line| line.split('`').nth(1).unwrap().to_owned()).collect()
}

fn files(of: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(of).unwrap().map(|entry| entry.unwrap().path());
    entries
        .flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] })
        .filter(|path| path.extension().is_some_and(|e| e == "rs"))
        .collect()
}

/// The names after `prefix` in the code of a file, comments and tests left out.
fn used(file: &Path, prefix: &str) -> BTreeSet<String> {
    let text = fs::read_to_string(file).unwrap();
    let code = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
    let code: String = lines.flat_map(|line| [line, "\n"]).collect();
    let name = |text: &str| -> String {
        text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
    };
    let mut names = BTreeSet::new();
    for rest in code.split(prefix).skip(1) {
        let Some(group) = rest.strip_prefix('{') else {
            names.insert(name(rest));
            continue;
        };
        let (mut depth, mut start) = (0, true);
        for (i, c) in group.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => start = true,
                c if start && depth == 0 && !c.is_whitespace() => {
                    names.insert(name(&group[i..]));
                    start = false;
                }
                _ => {}
            }
        }
    }
    names
}

#[test]
fn the_map_lists_all_folders() {
    let source = root().join("src");
    assert_eq!(rows("| folder | in |").into_iter().collect::<BTreeSet<_>>(), folders(&source));
    let jobs: BTreeSet<String> = rows("| job | what").into_iter().collect();
    assert_eq!(jobs, folders(&source.join("jobs")));
}

#[test]
fn no_folder_uses_a_later_one() {
    let order = rows("| folder | in |");
    for (place, folder) in order.iter().enumerate() {
        for file in files(&root().join("src").join(folder)) {
            let used = used(&file, "crate::");
            for later in &order[place + 1..] {
                assert!(!used.contains(later), "{} uses {later}", file.display());
            }
        }
    }
}

#[test]
fn jobs_use_each_other_in_no_circle() {
    let jobs = root().join("src/jobs");
    let uses: BTreeMap<String, BTreeSet<String>> = folders(&jobs)
        .into_iter()
        .map(|job| {
            let files = files(&jobs.join(&job));
            let used = files.iter().flat_map(|f| {
                let direct = used(f, "crate::jobs::");
                let by_name = used(f, " jobs::").into_iter().chain(used(f, "(jobs::"));
                direct.into_iter().chain(by_name).collect::<Vec<_>>()
            });
            let others: BTreeSet<String> = used.filter(|other| *other != job).collect();
            (job, others)
        })
        .collect();
    let mut left: BTreeSet<&str> = uses.keys().map(String::as_str).collect();
    // takes away what uses nothing that is left
    while let Some(done) = left
        .iter()
        .copied()
        .find(|job| !uses[*job].iter().any(|other| left.contains(other.as_str())))
    {
        left.remove(done);
    }
    // what uses the circle is no part of it
    while let Some(above) =
        left.iter().copied().find(|job| !left.iter().any(|other| uses[*other].contains(*job)))
    {
        left.remove(above);
    }
    assert!(left.is_empty(), "{left:?} use each other");
}
