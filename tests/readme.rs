//! Every command that the README shows is run as it stands there.

use crate::support::{root, tool_in};

/// The commands of the README's `sh` blocks, in order.
fn commands() -> Vec<String> {
    let text = std::fs::read_to_string(root().join("README.md")).expect("the README");
    let mut inside = false;
    let mut found = Vec::new();
    for line in text.lines() {
        match line.trim() {
            "```sh" => inside = true,
            "```" => inside = false,
            command if inside && !command.is_empty() && !command.starts_with('#') => {
                found.push(command.to_string())
            }
            _ => {}
        }
    }
    found
}

/// Cuts a command line as a shell would, as far as the README needs.
fn words(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quote = None;
    for c in line.chars() {
        match (quote, c) {
            (None, '"' | '\'') => quote = Some(c),
            (Some(q), c) if q == c => quote = None,
            (None, ' ') => out.push(String::new()),
            (_, c) => out.last_mut().expect("one word at least").push(c),
        }
    }
    out.retain(|w| !w.is_empty());
    out
}

#[test]
fn every_command_of_the_readme_works() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut run_count = 0;
    for line in commands() {
        let line = line.split(" #").next().unwrap_or("").trim();
        let words = words(line);
        let args: Vec<&str> = words.iter().map(String::as_str).collect();
        let args = match args.as_slice() {
            ["cargo", "run", "--release", "--", rest @ ..] | ["insertwright", rest @ ..] => rest,
            // Run by `.ci/run`, which runs these tests; and the one that puts the program in place.
            ["cargo", "test" | "install", ..] => continue,
            other => panic!("the README shows {other:?}, which nothing tests"),
        };
        let run = tool_in(folder.path(), args);
        assert!(
            [0, 1, 4].contains(&run.code),
            "{line}: exit {}\n{}",
            run.code,
            run.err
        );
        assert!(
            !run.out.is_empty() || line.contains(" -o "),
            "{line} prints nothing"
        );
        run_count += 1;
    }
    assert!(run_count >= 8, "only {run_count} commands were found");
}

/// The test command is there once, for people and for `.ci/run` alike.
#[test]
fn the_test_command_is_there_once() {
    let tests: Vec<String> = commands()
        .into_iter()
        .filter(|c| c.starts_with("cargo test"))
        .collect();
    assert_eq!(tests, ["cargo test --release"]);
}

/// What the README says about units, exit codes and checks must not fall behind the program.
#[test]
fn the_readme_keeps_up() {
    let text = std::fs::read_to_string(root().join("README.md")).expect("the README");
    for command in [
        "check",
        "torque",
        "compare",
        "sweep",
        "explain",
        "tables",
        "new",
        "sheet",
        "schema",
        "completions",
        "man",
        "self-test",
    ] {
        assert!(
            text.contains(&format!("`{command}`")),
            "{command} is not in the README"
        );
    }
    for code in 0..=4 {
        assert!(text.contains(&format!("| {code} |")), "exit code {code}");
    }
    for line in text
        .lines()
        .skip_while(|l| !l.contains("| quantity |"))
        .take_while(|l| l.starts_with('|'))
    {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let Some(kind) = insertwright::units::Kind::ALL
            .into_iter()
            .find(|k| k.name().ends_with(cells[1]))
        else {
            continue;
        };
        for example in cells[2].split("`").skip(1).step_by(2) {
            if let Err(e) = insertwright::units::parse::read(example, kind) {
                panic!("{example} as {}: {}", kind.name(), e.message);
            }
        }
    }
}
