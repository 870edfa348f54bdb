//! Wrong jobs: one mistake per file under `jobs/invalid`, named after the mistake.
//!
//! Each goes through the program itself: exit 2, nothing on standard output, nothing written, and the
//! whole message under `snapshots`.

use crate::support::{keep, samples, tool, tool_in, tool_with};
use insertwright::job::{Document, resolve};
use proptest::prelude::*;
use std::path::Path;

/// The files of a folder, for a look at what was written.
fn listing(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

/// Asserts that a call is refused as wrong input and keeps what it says.
fn refused(name: &str, args: &[&str]) {
    let run = tool(args);
    assert_eq!(run.code, 2, "{name}: {args:?}\n{}{}", run.out, run.err);
    assert_eq!(run.out, "", "{name}: results beside an error");
    assert!(!run.err.is_empty(), "{name}: refused without a word");
    keep(&format!("wrong-{name}"), &shorten(&run.err));
}

/// Rows of digits are cut, so that the kept message stays readable.
fn shorten(text: &str) -> String {
    text.replace(&"1".repeat(400), "11…11")
        .replace(&"^".repeat(400), "^^…^^")
}

#[test]
fn every_invalid_job_is_refused() {
    let samples = samples("invalid");
    assert!(samples.len() > 60, "only {} samples", samples.len());
    let folder = tempfile::tempdir().expect("a folder");
    for (name, path) in &samples {
        refused(name, &["check", path]);
        let target = folder.path().join("result.json");
        let run = tool(&[
            "check",
            path,
            "--format",
            "json",
            "-o",
            target.to_str().expect("a path"),
        ]);
        assert_eq!(run.code, 2, "{name}");
        assert_eq!(
            listing(folder.path()),
            Vec::<String>::new(),
            "{name} wrote something"
        );
    }
}

/// Every message of a file says which line it is about.
#[test]
fn findings_name_the_place() {
    for (name, path) in samples("invalid") {
        let run = tool(&["check", &path]);
        let located =
            run.err.contains(&format!("{path}:")) || run.err.contains(&format!("{path}: "));
        assert!(located, "{name}: no place in\n{}", run.err);
    }
}

/// All mistakes of a file come in one run.
#[test]
fn every_mistake_is_reported_in_one_run() {
    let run = tool(&["check", "invalid/many-mistakes.toml"]);
    for expected in [
        "lefthand",
        "10.5",
        "42 N",
        "flange_diametre",
        "buttered",
        "scale|without a unit",
        "voids",
    ] {
        assert!(
            expected.split('|').any(|e| run.err.contains(e)),
            "{expected} is not in\n{}",
            run.err
        );
    }
    assert!(run.err.matches("\nerror").count() + 1 >= 7, "{}", run.err);
}

#[test]
fn calls_that_name_no_job() {
    refused("missing-file", &["check", "no-such-file.toml"]);
    refused("folder", &["check", "valid"]);
    refused("empty-name", &["check", ""]);
}

#[test]
fn wrong_overrides() {
    for (name, argument) in [
        ("set-unknown-path", "fitting.flange_diametre=44 mm"),
        ("set-unknown-table", "fixture.bore=44 mm"),
        ("set-bad-value", "fitting.flange_diameter=44 N"),
        ("set-bare-number", "fitting.flange_diameter=44"),
        ("set-without-equals", "fitting.flange_diameter"),
        ("set-table", "fitting=44 mm"),
        ("set-empty-value", "fitting.bore="),
        ("set-empty", ""),
        ("set-element-that-does-not-follow", "seat.gap[3].gap=0.1 mm"),
        ("set-element-without-its-place", "seat.gap[0].gap=0.1 mm"),
        ("set-element-bad-index", "seat.gap[x].gap=0.1 mm"),
        ("set-element-negative-index", "seat.gap[-1].gap=0.1 mm"),
        ("set-element-not-closed", "seat.gap[0.gap=0.1 mm"),
        ("set-index-on-a-table", "fitting[0].bore=20 mm"),
        ("set-wrong-flag", "condition.no_crack=perhaps"),
        ("set-wrong-word", "thread.hand=both"),
        ("set-impossible", "fitting.bore=60 mm"),
    ] {
        refused(name, &["check", "--set", argument]);
    }
}

/// An element of an array can be given and changed from the command line.
#[test]
fn overrides_reach_into_arrays() {
    let run = tool(&[
        "check",
        "--set",
        "seat.gap[0].at=3:00",
        "--set",
        "seat.gap[0].gap=0 .. 0.03 mm",
    ]);
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
    let run = tool(&[
        "check",
        "valid/cases-and-gaps.toml",
        "--set",
        "seat.gap[1].gap=0.03 .. 0.05 mm",
    ]);
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
}

#[test]
fn jobs_beyond_every_size() {
    let folder = tempfile::tempdir().expect("a folder");
    let large = format!("# {}\n{}", "x".repeat(1 << 20), insertwright::cli::DEMO_JOB);
    std::fs::write(folder.path().join("large.toml"), &large).expect("written");
    let run = tool_in(folder.path(), &["check", "large.toml"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    keep(
        "wrong-job-over-1-mebibyte",
        &run.err.replace(&large.len().to_string(), "[bytes]"),
    );
    let run = tool_with(folder.path(), &["check", "-"], large.as_bytes());
    assert_eq!((run.code, run.out.as_str()), (2, ""));

    let mut many = insertwright::cli::DEMO_JOB.to_string();
    many.push_str("\n[seat]\ngap = [\n");
    for _ in 0..10_001 {
        many.push_str("{at=\"1:00\",gap=\"1 mm\"},\n");
    }
    many.push_str("]\n");
    std::fs::write(folder.path().join("many.toml"), &many).expect("written");
    let run = tool_in(folder.path(), &["check", "many.toml"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(
        run.err.contains("10001") && run.err.contains("10000"),
        "{}",
        &run.err[..300.min(run.err.len())]
    );
}

/// Deep nesting must neither overflow the stack nor take long.
#[test]
fn deep_nesting_is_refused() {
    for text in [
        format!("a = {}{}", "[".repeat(50_000), "]".repeat(50_000)),
        format!("a = {}", "{ a = ".repeat(50_000)),
        format!("[{}a]\n", "a.".repeat(50_000)),
    ] {
        let run = tool_with(Path::new("."), &["check", "-"], text.as_bytes());
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{}", &text[..20]);
    }
}

#[test]
fn results_never_overwrite() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    std::fs::write(at("there.txt"), "mine").expect("written");
    std::fs::create_dir(at("folder")).expect("made");
    let go = |args: &[&str]| tool_in(folder.path(), args);

    for command in [
        &["check", "-o", "there.txt"][..],
        &["new", "boss", "-o", "there.txt"],
    ] {
        let run = go(command);
        assert_eq!((run.code, run.out.as_str()), (2, ""));
        assert!(run.err.contains("--force"), "{}", run.err);
        assert_eq!(
            std::fs::read_to_string(at("there.txt")).expect("read"),
            "mine"
        );
    }
    for forced in [&[][..], &["--force"]] {
        let mut args = vec!["check", "-o", "folder"];
        args.extend(forced);
        let run = go(&args);
        assert_eq!((run.code, run.out.as_str()), (2, ""));
        assert!(run.err.contains("folder"), "{}", run.err);
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(at("there.txt"), at("link.txt")).expect("linked");
        std::os::unix::fs::symlink(at("nowhere.txt"), at("dangling.txt")).expect("linked");
        for name in ["link.txt", "dangling.txt"] {
            let run = go(&["check", "-o", name, "--force"]);
            assert_eq!((run.code, run.out.as_str()), (2, ""), "{name}");
        }
        assert_eq!(
            std::fs::read_to_string(at("there.txt")).expect("read"),
            "mine"
        );
        assert!(!at("nowhere.txt").exists());
    }
    let run = go(&["check", "-o", "there.txt", "--force"]);
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
    assert!(
        std::fs::read_to_string(at("there.txt"))
            .expect("read")
            .contains("Verdict")
    );
    // Nothing temporary is left behind.
    assert!(
        !listing(folder.path())
            .iter()
            .any(|n| n.starts_with(".insertwright"))
    );
}

/// A result that cannot be written: exit 3, and which.
#[test]
fn a_folder_that_cannot_be_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = tool_in(folder.path(), &["check", "-o", "no/such/folder/result.txt"]);
    assert_eq!((run.code, run.out.as_str()), (3, ""), "{}", run.err);
    assert!(run.err.contains("result.txt") && run.err.contains("nothing was written"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let locked = folder.path().join("locked");
        std::fs::create_dir(&locked).expect("made");
        std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o555)).expect("set");
        // Who may do everything is not stopped by permissions; then there is nothing to see here.
        if std::fs::write(locked.join("probe"), "").is_err() {
            let run = tool_in(folder.path(), &["check", "-o", "locked/result.txt"]);
            assert_eq!((run.code, run.out.as_str()), (3, ""), "{}", run.err);
            assert!(run.err.contains("locked/result.txt"));
            assert_eq!(listing(&locked), Vec::<String>::new());
        }
        std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o755)).expect("set");
    }
    #[cfg(target_os = "linux")]
    {
        let full = std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("the device");
        let status = crate::support::command(folder.path())
            .arg("check")
            .stdout(full)
            .stderr(std::process::Stdio::null())
            .status()
            .expect("it runs");
        assert_eq!(status.code(), Some(3), "standard output that takes nothing");
    }
}

#[test]
fn valid_jobs_are_judged() {
    for (name, path) in samples("valid") {
        let run = tool(&["check", &path]);
        assert!(
            [0, 1, 4].contains(&run.code),
            "{name}: {}\n{}",
            run.code,
            run.err
        );
        assert_eq!(run.err, "", "{name}");
    }
}

/// Parses, resolves and, where it resolves, assesses a text.
fn through(text: &str, set: &[String]) {
    let (mut document, mut found) = Document::parse("a job", text);
    for argument in set {
        found.extend(document.set(argument));
    }
    match resolve(&document) {
        Ok(job) => {
            for side in &job.sides {
                let _ = insertwright::assess::assess(&side.assembly);
            }
        }
        Err(more) => found.extend(more),
    }
    let _ = insertwright::present::diagnose::render(&document, &found, false);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 128, ..ProptestConfig::default() })]

    /// A job with a piece cut out, doubled or replaced is answered without a panic.
    #[test]
    fn a_damaged_job_is_answered(from in 0usize..1800, len in 0usize..40, put in "[\\PC\\n]{0,12}") {
        let text = insertwright::cli::DEMO_JOB;
        let floor = |mut i: usize| { i = i.min(text.len()); while !text.is_char_boundary(i) { i -= 1; } i };
        let (a, b) = (floor(from), floor(from + len));
        through(&format!("{}{put}{}", &text[..a], &text[b..]), &[]);
    }

    /// Any override is answered, and so is any size.
    #[test]
    fn any_override_is_answered(
        path in proptest::sample::select(insertwright::job::schema::KEYS.iter().map(|k| k.path.replace("[]", "[0]")).collect::<Vec<_>>()),
        value in prop_oneof!["\\PC{0,20}", (-1e9f64..1e9).prop_map(|v| format!("{v} mm")), (-1e6f64..1e6).prop_map(|v| format!("{v}")), (0.0f64..100.0).prop_map(|v| format!("{v} %"))],
    ) {
        through(insertwright::cli::DEMO_JOB, &[format!("{path}={value}")]);
    }
}
