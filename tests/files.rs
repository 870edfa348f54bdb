//! Results whole or not at all, whatever the disk does; inputs without an end.

use crate::support::{Run, command, tool_in, tool_with};
use std::path::Path;
use std::process::{Command, Stdio};

/// What stands in a folder.
fn listing(folder: &Path) -> Vec<String> {
    let list = std::fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = list
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into())
        .collect();
    names.sort();
    names
}

/// Runs a script in a folder of which it may replace what is mounted, or says why not.
#[cfg(target_os = "linux")]
fn with_mounts(folder: &Path, script: &str) -> Option<String> {
    let unshare = |script: &str| {
        Command::new("unshare")
            .args(["--map-root-user", "--mount", "sh", "-c", script, "sh"])
            .arg(env!("CARGO_BIN_EXE_insertwright"))
            .current_dir(folder)
            .stdin(Stdio::null())
            .output()
    };
    let may = unshare("mount -t tmpfs -o size=64k none . && cd . && : > probe");
    if !may.is_ok_and(|o| o.status.success()) {
        eprintln!("SKIPPED: a small file system of its own cannot be mounted here");
        return None;
    }
    let output = unshare(script).expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(
        output.status.success(),
        "{}{}",
        text(&output.stdout),
        text(&output.stderr)
    );
    Some(text(&output.stdout) + &text(&output.stderr))
}

/// On a full disk nothing is written: neither a new file nor over one that is there, and nothing is left behind.
#[test]
#[cfg(target_os = "linux")]
fn a_full_disk() {
    let folder = tempfile::tempdir().expect("a folder");
    let script = r#"
        mount -t tmpfs -o size=24k none "$PWD" && cd "$PWD" || exit 9
        echo mine > there.html
        "$1" sheet -o new.html; echo "code $?"
        "$1" sheet -o there.html --force; echo "code $?"
        "$1" sweep --vary fitting.bearing_outboard=0mm..9mm:3000 --format csv -o new.csv; echo "code $?"
        "$1" check -o small.txt >/dev/null; echo "code $?"
        cat there.html; ls -A
    "#;
    let Some(said) = with_mounts(folder.path(), script) else {
        return;
    };
    assert_eq!(said.matches("code 3").count(), 3, "{said}");
    assert_eq!(said.matches("nothing was written").count(), 3, "{said}");
    assert!(said.contains("\nmine\nsmall.txt\nthere.html\n"), "{said}");
    assert!(!said.contains("panicked"), "{said}");
}

/// A file system that is only read, which stops even those whom no permission stops.
#[test]
#[cfg(target_os = "linux")]
fn a_disk_that_is_only_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let script = r#"
        mount -t tmpfs -o size=64k none "$PWD" && cd "$PWD" || exit 9
        echo mine > there.txt
        mount -o remount,ro "$PWD" || exit 9
        "$1" check -o new.txt; echo "code $?"
        "$1" check -o there.txt --force; echo "code $?"
        "$1" check -o there.txt; echo "code $?"
        cat there.txt; ls -A
    "#;
    let Some(said) = with_mounts(folder.path(), script) else {
        return;
    };
    assert_eq!(said.matches("code 3").count(), 2, "{said}");
    assert_eq!(said.matches("code 2").count(), 1, "{said}");
    assert!(said.contains("\nmine\nthere.txt\n"), "{said}");
}

/// Killed in the middle of writing: the file that was there is the file that is there.
#[test]
#[cfg(unix)]
fn killed_while_writing() {
    let folder = tempfile::tempdir().expect("a folder");
    let there = folder.path().join("force.csv");
    std::fs::write(&there, "mine").expect("written");
    let vary = "pedalling.force=200N..2000N:1000000000";
    let mut child = command(folder.path())
        .args(["sweep", "--vary", vary, "--format", "csv"])
        .args(["-o", "force.csv", "--force"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    // It has begun as soon as something of its own stands beside the file and is not empty.
    let begun = || {
        let list = std::fs::read_dir(folder.path()).expect("a folder");
        list.filter_map(Result::ok)
            .filter(|e| e.file_name() != "force.csv")
            .any(|e| e.metadata().is_ok_and(|m| m.len() > 0))
    };
    while !begun() {
        assert!(child.try_wait().expect("a child").is_none(), "it ended");
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    child.kill().expect("killed");
    child.wait().expect("gone");
    assert_eq!(std::fs::read_to_string(&there).expect("read"), "mine");
}

/// A name that can be no file is said before anything is computed, and not when it is to be put in place.
#[test]
fn names_that_are_no_file() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["", ".", "..", "new/", "new/.", "/"] {
        let run = tool_in(folder.path(), &["check", "-o", name]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{name}: {}", run.err);
    }
    let long = "x".repeat(300);
    let run = tool_in(folder.path(), &["check", "-o", &long]);
    assert_eq!((run.code, run.out.as_str()), (3, ""), "{}", run.err);
    assert!(run.err.contains("cannot be looked at"), "{}", run.err);
    assert!(listing(folder.path()).is_empty());
}

/// A new file is open to whom its owner lets new files be open; a file that is replaced stays as private as it was.
#[test]
#[cfg(unix)]
fn a_result_is_as_private_as_its_owner_wants() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    let mode = |name: &str| {
        let meta = std::fs::metadata(folder.path().join(name)).expect("a file");
        meta.permissions().mode() & 0o777
    };
    let under = |mask: &str, args: &str| {
        let script = format!("umask {mask}; \"$1\" {args}");
        let status = Command::new("sh")
            .args(["-c", &script, "sh", env!("CARGO_BIN_EXE_insertwright")])
            .current_dir(folder.path())
            .status();
        assert!(status.is_ok_and(|s| s.success()), "{args}");
    };
    under("022", "new boss -o usual.toml");
    under("077", "new boss -o private.toml");
    assert_eq!((mode("usual.toml"), mode("private.toml")), (0o644, 0o600));
    under("022", "new boss -o private.toml --force");
    assert_eq!(mode("private.toml"), 0o600);
}

/// Inputs that never end are read no further than an input may go.
#[test]
#[cfg(unix)]
fn inputs_without_an_end() {
    let folder = tempfile::tempdir().expect("a folder");
    let zero = || Stdio::from(std::fs::File::open("/dev/zero").expect("the device"));
    for args in [
        &["check", "/dev/zero"][..],
        &["check", "-"],
        &["merge", "/dev/zero"],
        &["new", "--ask"],
    ] {
        let output = command(folder.path()).args(args).stdin(zero()).output();
        let output = output.expect("it ends");
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{args:?}: {said}");
        assert!(output.stdout.is_empty(), "{args:?}");
        assert!(said.contains("goes on after"), "{args:?}: {said}");
    }
    // The end of what is read may cut a letter in two; it is still too long, and not "no text".
    let umlauts = format!("# {}", "ä".repeat(1 << 20));
    let run: Run = tool_with(folder.path(), &["check", "-"], umlauts.as_bytes());
    assert_eq!(run.code, 2);
    assert!(run.err.contains("goes on after"), "{}", run.err);
}

/// Very many mistakes and very many rows are answered, and in few words: no step looks at all of them for each.
#[test]
fn very_many_of_a_thing() {
    let folder = tempfile::tempdir().expect("a folder");
    let many = |n: usize, one: &dyn Fn(usize) -> String| {
        let mut job = insertwright::cli::DEMO_JOB.to_string();
        (0..n).for_each(|i| job.push_str(&one(i)));
        assert!(job.len() < 1 << 20);
        tool_with(folder.path(), &["check", "-"], job.as_bytes())
    };
    let run = many(50_000, &|i| format!("[zz{i}]\na=1\n"));
    assert_eq!(run.code, 2);
    assert!(
        run.err
            .contains("50000 findings, of which the first 100 are shown")
    );
    assert!(run.err.len() < 1 << 20, "{}", run.err.len());
    let run = many(15_000, &|i| format!("[material.m{i}]\nE=\"70 GPa\"\n"));
    assert_eq!(run.code, 2, "rows without a source");
    assert!(run.err.len() < 1 << 20, "{}", run.err.len());
    let run = many(9_000, &|i| {
        format!(
            "[[variant]]\nname=\"v{i}\"\nset={{\"tightening.torque\"=\"{}.5 N·m\"}}\n",
            30 + i % 9
        )
    });
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
    // A word as long as a job may be is compared with no other.
    let word = "x".repeat(900_000);
    for key in ["fitting.bore=1 ", "insert.material=", "job.side=", ""] {
        let job = match key.split_once('=') {
            Some((path, value)) => {
                let (table, key) = path.split_once('.').expect("a path");
                format!("[{table}]\n{key} = \"{value}{word}\"\n")
            }
            None => format!("[{word}]\n"),
        };
        let run = tool_with(folder.path(), &["check", "-"], job.as_bytes());
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{key}");
    }
}
