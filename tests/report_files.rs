//! Files appear whole or not at all.

use std::fs;
use std::path::Path;

use tempfile::tempdir;

use quarterstop::base::files::{FileName, FileSet, FilesError, write_one};
use quarterstop::base::target::{Existing, Inputs, TargetError};

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn nothing_is_visible_before_the_commit_and_all_after_it() {
    let home = tempdir().unwrap();
    let folder = home.path().join("a/b");
    let mut set = FileSet::open(&folder, &Inputs::none()).unwrap();
    set.stage(FileName::new("match", "csv"), b"one").unwrap();
    set.stage(FileName::new("match", "json"), b"two").unwrap();
    let visible: Vec<String> =
        names(&folder).into_iter().filter(|n| n.starts_with("match")).collect();
    assert!(visible.is_empty(), "{visible:?}");
    let written = set.commit().unwrap();
    let written: Vec<&str> = written.iter().map(FileName::as_str).collect();
    assert_eq!(written, ["match.csv", "match.json"]);
    assert_eq!(names(&folder), ["match.csv", "match.json"]);
    assert_eq!(fs::read(folder.join("match.json")).unwrap(), b"two");
}

#[test]
fn a_set_given_up_leaves_no_file_and_no_folder() {
    let home = tempdir().unwrap();
    let folder = home.path().join("new/inner");
    let mut set = FileSet::open(&folder, &Inputs::none()).unwrap();
    set.stage(FileName::new("match", "csv"), b"one").unwrap();
    drop(set);
    assert!(names(home.path()).is_empty());
}

#[test]
fn a_set_given_up_leaves_older_files_as_they_were() {
    let home = tempdir().unwrap();
    fs::write(home.path().join("match.csv"), b"older").unwrap();
    let mut set = FileSet::open(home.path(), &Inputs::none()).unwrap();
    set.stage(FileName::new("match", "csv"), b"newer").unwrap();
    drop(set);
    assert_eq!(names(home.path()), ["match.csv"]);
    assert_eq!(fs::read(home.path().join("match.csv")).unwrap(), b"older");
}

#[test]
fn files_of_the_same_name_are_replaced_and_others_kept() {
    let home = tempdir().unwrap();
    fs::write(home.path().join("match.csv"), b"older and longer").unwrap();
    fs::write(home.path().join("notes.txt"), b"mine").unwrap();
    let mut set = FileSet::open(home.path(), &Inputs::none()).unwrap();
    set.stage(FileName::new("match", "csv"), b"newer").unwrap();
    set.commit().unwrap();
    assert_eq!(fs::read(home.path().join("match.csv")).unwrap(), b"newer");
    assert_eq!(fs::read(home.path().join("notes.txt")).unwrap(), b"mine");
}

#[test]
fn a_folder_in_place_of_one_file_keeps_the_whole_set_back() {
    let home = tempdir().unwrap();
    fs::create_dir(home.path().join("match.json")).unwrap();
    let mut set = FileSet::open(home.path(), &Inputs::none()).unwrap();
    set.stage(FileName::new("match", "csv"), b"one").unwrap();
    let error = set.stage(FileName::new("match", "json"), b"two").unwrap_err();
    assert!(matches!(error, FilesError::Target(TargetError::Folder { .. })), "{error}");
    assert!(error.to_string().contains("match.json"));
    drop(set);
    assert_eq!(names(home.path()), ["match.json"]);
}

#[test]
fn a_file_in_place_of_the_folder_is_named() {
    let home = tempdir().unwrap();
    let file = home.path().join("taken");
    fs::write(&file, b"mine").unwrap();
    for folder in [file.clone(), file.join("deeper")] {
        let error = FileSet::open(&folder, &Inputs::none()).unwrap_err();
        assert!(matches!(error, FilesError::FileInPlace { .. }), "{error}");
        assert!(error.to_string().contains(&*file.to_string_lossy()));
        assert!(error.to_string().contains("--into"));
    }
    assert_eq!(fs::read(&file).unwrap(), b"mine");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    /// The root user writes where it likes, so there the check has no meaning.
    fn bound_by_permissions(folder: &Path) -> bool {
        fs::write(folder.join("probe"), b"").is_err()
    }

    #[test]
    fn a_read_only_folder_is_named_and_stays_as_it_was() {
        let home = tempdir().unwrap();
        let folder = home.path().join("locked");
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("match.csv"), b"older").unwrap();
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o555)).unwrap();
        if bound_by_permissions(&folder) {
            let error = FileSet::open(&folder, &Inputs::none()).unwrap_err();
            assert!(matches!(error, FilesError::Write { .. }), "{error}");
            assert!(error.to_string().contains("locked"));
            assert_eq!(names(&folder), ["match.csv"]);
            let below = FileSet::open(&folder.join("below"), &Inputs::none()).unwrap_err();
            assert!(matches!(below, FilesError::Folder { .. }), "{below}");
        }
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o755)).unwrap();
        assert_eq!(fs::read(folder.join("match.csv")).unwrap(), b"older");
    }

    /// Nobody, not even the root user, makes a folder in /proc (proc(5)).
    #[cfg(target_os = "linux")]
    #[test]
    fn a_folder_that_cannot_be_made_is_named() {
        let error =
            FileSet::open(Path::new("/proc/quarterstop/inner"), &Inputs::none()).unwrap_err();
        assert!(matches!(error, FilesError::Folder { .. }), "{error}");
        assert!(error.to_string().contains("/proc/quarterstop/inner"));
        // an existing one that takes no file
        let error = FileSet::open(Path::new("/proc"), &Inputs::none()).unwrap_err();
        assert!(matches!(error, FilesError::Write { .. }), "{error}");
        assert!(error.to_string().contains("`/proc`"));
    }

    /// Outputs are for the whole crew: like any file a program makes, open to
    /// read unless the user's mask says otherwise.
    #[test]
    fn outputs_have_the_rights_of_an_ordinary_file() {
        let home = tempdir().unwrap();
        let ordinary = home.path().join("ordinary");
        fs::write(&ordinary, b"").unwrap();
        let mut set = FileSet::open(home.path(), &Inputs::none()).unwrap();
        set.stage(FileName::new("match", "csv"), b"one").unwrap();
        set.commit().unwrap();
        let mode = |p: &Path| fs::metadata(p).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&home.path().join("match.csv")), mode(&ordinary));
    }
}

/// Hundreds of files wait to be renamed without being held open.
#[test]
fn a_set_may_hold_more_files_than_a_process_may_open() {
    #[cfg(target_os = "linux")]
    let open = || fs::read_dir("/proc/self/fd").unwrap().count();
    #[cfg(not(target_os = "linux"))]
    let open = || 0;
    let home = tempdir().unwrap();
    let before = open();
    let mut set = FileSet::open(home.path(), &Inputs::none()).unwrap();
    for i in 0..300 {
        set.stage(FileName::new(&format!("field-{i}"), "svg"), b"picture").unwrap();
    }
    // other tests of this program open files meanwhile, but no three hundred
    assert!(open() < before + 150, "{before} open files before, {} now", open());
    assert_eq!(set.commit().unwrap().len(), 300);
    assert_eq!(names(home.path()).len(), 300);
}

#[test]
fn inputs_are_never_written_over_by_a_set_or_a_single_file() {
    let home = tempdir().unwrap();
    let list = home.path().join("season.csv");
    fs::write(&list, b"mine").unwrap();
    let inputs = Inputs::of([&list]);
    let mut set = FileSet::open(home.path(), &inputs).unwrap();
    set.stage(FileName::new("season", "html"), b"page").unwrap();
    let error = set.stage(FileName::new("season", "csv"), b"table").unwrap_err();
    assert!(matches!(error, FilesError::Target(TargetError::Input { .. })), "{error}");
    drop(set);
    for existing in [Existing::Keep, Existing::Replace] {
        let error = write_one(&list, b"table", &inputs, existing).unwrap_err();
        assert!(error.is_usage() && error.to_string().contains("season.csv"), "{error}");
    }
    assert_eq!(names(home.path()), ["season.csv"]);
    assert_eq!(fs::read(&list).unwrap(), b"mine");
}

#[test]
fn names_cannot_leave_the_folder() {
    for hostile in ["../up", "/etc/hosts", "a\\b", "..", ".", "", "nul\0", "c:evil"] {
        let name = FileName::new(hostile, "csv");
        assert!(
            name.as_str().bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'.'),
            "{name}"
        );
        assert_eq!(name.as_str().matches('.').count(), 1, "{name}");
    }
}
