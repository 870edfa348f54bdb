//! Running the program as a user does, and keeping what it says.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a run came to.
#[derive(Debug, PartialEq, Eq)]
pub struct Run {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// The folder of this package.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The program with nothing inherited that changes its output.
pub fn command(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_insertwright"));
    command
        .current_dir(folder)
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR_FORCE")
        .env("COLUMNS", "80");
    command
}

/// Runs the program in a folder, with a text on standard input.
pub fn tool_with(folder: &Path, args: &[&str], input: &[u8]) -> Run {
    let mut child = command(folder)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // A program that never reads its input may have gone already; that is its right.
    let _ = child.stdin.take().expect("a pipe").write_all(input);
    let output = child.wait_with_output().expect("the program ends");
    let run = Run {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).expect("results are UTF-8"),
        err: String::from_utf8(output.stderr).expect("messages are UTF-8"),
    };
    assert!(
        !run.err.contains("panicked") && run.code != 101,
        "{args:?} panicked:\n{}",
        run.err
    );
    run
}

/// Runs the program in a folder.
pub fn tool_in(folder: &Path, args: &[&str]) -> Run {
    tool_with(folder, args, b"")
}

/// Runs a command on a job given on standard input.
pub fn tool_on(job: &str, command: &str, args: &[&str]) -> Run {
    let mut all = vec![command, "-"];
    all.extend(args);
    tool_with(&root(), &all, job.as_bytes())
}

/// The same with its result as JSON, and the exit code.
pub fn json_on(job: &str, command: &str, args: &[&str]) -> (serde_json::Value, i32) {
    let mut all = vec!["--format", "json"];
    all.extend(args);
    let run = tool_on(job, command, &all);
    let value = serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{e}: {}", run.err));
    (value, run.code)
}

/// The sheet of a job, whatever its verdict.
pub fn sheet(job: &str, args: &[&str]) -> String {
    let run = tool_on(job, "sheet", args);
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
    run.out
}

/// A job to start from.
pub fn starter(name: &str) -> String {
    tool(&["new", name]).out
}

/// A damaged sleeve of which everything that can be looked at is answered.
pub fn looked_at() -> String {
    std::fs::read_to_string(root().join("tests/jobs/damaged-sleeve.toml")).expect("a job")
}

/// Runs the program among the sample jobs.
pub fn tool(args: &[&str]) -> Run {
    tool_in(&root().join("tests/jobs"), args)
}

/// Compares a text with the one kept under `snapshots`.
pub fn keep(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path(root().join("snapshots"));
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, text));
}

/// The sample jobs of a folder, sorted: name without its ending, and path from `tests/jobs`.
pub fn samples(folder: &str) -> Vec<(String, String)> {
    let mut found: Vec<(String, String)> =
        std::fs::read_dir(root().join("tests/jobs").join(folder))
            .expect("the folder of samples")
            .map(|entry| entry.expect("a sample").file_name())
            .map(|name| name.into_string().expect("a plain name"))
            .filter(|name| name.ends_with(".toml"))
            .map(|name| {
                (
                    name.trim_end_matches(".toml").to_string(),
                    format!("{folder}/{name}"),
                )
            })
            .collect();
    found.sort();
    found
}

/// Words that no text of the program may say of a part, found whole and in any case.
pub fn promises(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric() && c != '_')
        .filter(|word| {
            ["safe", "safely", "approved", "certified", "guaranteed"]
                .contains(&word.to_lowercase().as_str())
        })
        .map(str::to_string)
        .collect()
}

/// A JSON text with its numbers to six figures: the last ones differ between machines and mean nothing.
pub fn six_figures(text: &str) -> String {
    fn round(value: &mut serde_json::Value) {
        match value {
            serde_json::Value::Number(n) if n.is_f64() => {
                let short = format!("{:.5e}", n.as_f64().unwrap_or(f64::NAN)).parse::<f64>();
                *value = short.map_or(serde_json::Value::Null, serde_json::Value::from);
            }
            serde_json::Value::Array(list) => list.iter_mut().for_each(round),
            serde_json::Value::Object(map) => map.values_mut().for_each(round),
            _ => {}
        }
    }
    match serde_json::from_str::<serde_json::Value>(text) {
        Ok(mut value) => {
            round(&mut value);
            format!("{value:#}\n")
        }
        Err(_) => text.to_string(),
    }
}

/// The ids of a list of checks or cautions.
pub fn ids(list: &serde_json::Value) -> Vec<&str> {
    let list = list.as_array().map_or(&[][..], Vec::as_slice);
    list.iter()
        .filter_map(|entry| entry["id"].as_str())
        .collect()
}
