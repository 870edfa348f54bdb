//! Every file of the fuzzing corpus, the starters and all sample jobs through the functions that the fuzz targets run.

use crate::support::root;
use std::path::{Path, PathBuf};

#[path = "../fuzz/entries.rs"]
mod entries;

/// The files of some folders, sorted.
fn files(folders: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for folder in folders {
        let before = found.len();
        let folder = root().join(folder);
        let list = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{folder:?}: {e}"));
        found.extend(
            list.map(|entry| entry.expect("an entry").path())
                .filter(|p| p.is_file()),
        );
        assert!(found.len() > before, "nothing in {folder:?}");
    }
    found.sort();
    found
}

/// Runs each file, and says which it was where that ends in a panic.
fn each(folders: &[&str], run: fn(&[u8])) {
    for path in files(folders) {
        let bytes = std::fs::read(&path).expect("a file of the corpus");
        let answered = std::panic::catch_unwind(|| run(&bytes));
        assert!(answered.is_ok(), "{}", name(&path));
    }
}

fn name(path: &Path) -> String {
    path.strip_prefix(root())
        .unwrap_or(path)
        .display()
        .to_string()
}

/// The fuzzer hands over text alone; what is not text is refused before.
fn text(bytes: &[u8], run: fn(&str)) {
    if let Ok(text) = std::str::from_utf8(bytes) {
        run(text);
    }
}

#[test]
fn quantities() {
    each(&["fuzz/corpus/quantity"], |b| text(b, entries::quantity));
}

#[test]
fn jobs() {
    let folders = [
        "fuzz/corpus/job",
        "fuzz/corpus/check",
        "fuzz/corpus/seat",
        "tests/jobs/valid",
        "tests/jobs/invalid",
        "src/cli/starters",
    ];
    each(&folders, |b| text(b, entries::job));
}

#[test]
fn rows() {
    each(&["fuzz/corpus/rows", "tables"], |b| text(b, entries::rows));
}

#[test]
fn checks() {
    let folders = [
        "fuzz/corpus/check",
        "fuzz/corpus/job",
        "tests/jobs/valid",
        "src/cli/starters",
    ];
    each(&folders, |b| text(b, entries::whole_check));
}

#[test]
fn seats() {
    let folders = [
        "fuzz/corpus/seat",
        "fuzz/corpus/check",
        "tests/jobs/valid",
        "src/cli/starters",
    ];
    each(&folders, |b| text(b, entries::whole_seat));
}

#[test]
fn contacts() {
    each(&["fuzz/corpus/contact"], entries::contact);
}
