//! Every kind of sheet in a real browser: opened, looked at by an accessibility engine, printed, and read again.
//!
//! `browser/look.mjs` drives the machine's own Chromium; `.ci/run` installs it and what the script needs.

use crate::support::{looked_at, root, sheet, starter};
use insertwright::cli::DEMO_JOB;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What it takes, as paths.
struct Tools {
    chromium: PathBuf,
    node: PathBuf,
    pdftotext: PathBuf,
    /// The folder with the modules of the script.
    modules: PathBuf,
}

/// The oldest Node.js that the modules run on.
const NODE: u32 = 20;

/// What it takes, where it is all there; else says what is missing, past the capture of the test's output: whoever runs
/// the tests is to see it.
fn tools() -> Option<Tools> {
    let paths = std::env::var_os("PATH").unwrap_or_default();
    let on_path = |names: &[&str]| {
        std::env::split_paths(&paths)
            .flat_map(|p| names.iter().map(move |n| p.join(n)))
            .find(|p| p.is_file())
    };
    let new_enough = |node: &PathBuf| {
        let said = Command::new(node).arg("--version").output().ok()?;
        let said = String::from_utf8_lossy(&said.stdout).into_owned();
        let major = said
            .trim_start_matches('v')
            .split('.')
            .next()?
            .parse::<u32>();
        major.ok().filter(|major| *major >= NODE)
    };
    let chromium = on_path(&["chromium", "chromium-browser"]);
    let node = on_path(&["node", "nodejs"]).filter(|node| new_enough(node).is_some());
    let pdftotext = on_path(&["pdftotext"]);
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent();
    let modules = target.map(|t| t.join("browser"));
    let engine = |m: &PathBuf| {
        let modules = m.join("node_modules");
        modules.join("axe-core").is_dir() && modules.join("playwright-core").is_dir()
    };
    let modules = modules.filter(engine);
    let missing: Vec<&str> = [
        (chromium.is_none(), "no `chromium`"),
        (node.is_none(), "no `node` 20 or later"),
        (
            modules.is_none(),
            "no accessibility engine (`npm ci` of tests/browser in target/browser)",
        ),
        (pdftotext.is_none(), "no `pdftotext` (poppler-utils)"),
    ]
    .into_iter()
    .filter_map(|(is, what)| is.then_some(what))
    .collect();
    if !missing.is_empty() {
        let said = format!(
            "{}: no sheet was opened, read or printed by a browser",
            missing.join(", ")
        );
        // Where all of it was installed, leaving it out is a failure.
        assert!(std::env::var_os("INSERTWRIGHT_BROWSER").is_none(), "{said}");
        let _ = writeln!(std::io::stderr(), "\nSKIPPED: {said}");
    }
    Some(Tools {
        chromium: chromium?,
        node: node?,
        pdftotext: pdftotext?,
        modules: modules?,
    })
}

/// What the script says of a sheet.
#[derive(Deserialize)]
struct Look {
    name: String,
    requests: Vec<String>,
    said: Vec<String>,
    cut: Vec<String>,
    words: Vec<String>,
    smallest: f64,
    violations: Vec<String>,
    rules: Vec<String>,
}

fn look(tools: &Tools, folder: &Path, files: &[String]) -> Vec<Look> {
    let output = Command::new(&tools.node)
        .arg(root().join("tests/browser/look.mjs"))
        .args([&tools.modules, &tools.chromium])
        .arg(folder)
        .args(files.iter().map(|f| folder.join(f)))
        .output()
        .expect("the script starts");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// A page of print: its size in points, and every word with the box around it.
struct Page {
    size: (f64, f64),
    words: Vec<(String, [f64; 4])>,
}

fn printed(tools: &Tools, pdf: &Path) -> Vec<Page> {
    let output = Command::new(&tools.pdftotext)
        .arg("-bbox")
        .args([pdf, Path::new("-")])
        .output()
        .expect("it runs");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let number = |line: &str, key: &str| -> f64 {
        let from = line.find(&format!("{key}=\"")).expect(key) + key.len() + 2;
        let to = from + line[from..].find('"').expect("its end");
        line[from..to].parse().expect("a number")
    };
    let mut pages: Vec<Page> = Vec::new();
    for line in text.lines().map(str::trim) {
        if line.starts_with("<page ") {
            pages.push(Page {
                size: (number(line, "width"), number(line, "height")),
                words: Vec::new(),
            });
        } else if let Some(rest) = line.strip_prefix("<word ") {
            let (tag, word) = rest.split_once('>').expect("a tag");
            let word = word.trim_end_matches("</word>").replace("&lt;", "<");
            let word = word
                .replace("&gt;", ">")
                .replace("&quot;", "\"")
                .replace("&apos;", "'")
                .replace("&amp;", "&");
            let ends = ["xMin", "yMin", "xMax", "yMax"].map(|key| number(tag, key));
            pages.last_mut().expect("a page").words.push((word, ends));
        }
    }
    pages
}

/// A word without what print puts around it between the entries of a list.
fn bare(word: &str) -> String {
    word.trim_matches([';', ':', '.', ',', '–', '!'])
        .to_string()
}

/// Words that the page shows and the print does not, or less often.
fn lost(look: &Look, pages: &[Page]) -> Vec<String> {
    let mut left: BTreeMap<String, usize> = BTreeMap::new();
    let all = || pages.iter().flat_map(|p| &p.words);
    for (word, _) in all() {
        *left.entry(bare(word)).or_default() += 1;
    }
    let mut take = |word: &str| match left.get_mut(word) {
        Some(n) if *n > 0 => {
            *n -= 1;
            true
        }
        _ => false,
    };
    // A hash may be broken over two lines anywhere, another word behind a hyphen.
    let run: String = all().map(|w| w.0.as_str()).collect();
    let mut out = Vec::new();
    for word in look.words.iter().map(|w| bare(w)) {
        let mut hyphens = word.match_indices('-').map(|(at, _)| word.split_at(at + 1));
        let found = word.is_empty()
            || take(&word)
            || word.len() == 64 && run.contains(&word)
            || hyphens.any(|(head, tail)| take(head) && take(tail));
        if !found {
            out.push(word);
        }
    }
    out
}

const MM: f64 = 72.0 / 25.4;

/// Every kind of sheet, with how many pages it takes: two for one side, one more for a further side, for variants and
/// for a study.
fn kinds() -> Vec<(&'static str, String, &'static [&'static str], usize)> {
    let sample =
        |name: &str| std::fs::read_to_string(root().join("tests").join(name)).expect("a job");
    let evil = "<script>alert(1)</script> <img src=http://example.invalid/x onerror=alert(1)> &amp; </title>";
    let marked = DEMO_JOB.replace(
        "Invented data; a scenario to look at, not a part to build",
        evil,
    );
    vec![
        ("one-side", DEMO_JOB.to_string(), &[], 2),
        (
            "imperial",
            DEMO_JOB.to_string(),
            &["--units", "imperial"],
            2,
        ),
        (
            "on-the-frame",
            DEMO_JOB.replace("\"0.15 ± 0.05 mm", "\"-0.15 ± 0.05 mm"),
            &[],
            2,
        ),
        ("unconfirmed", starter("crank-sleeve"), &[], 2),
        ("boss", starter("boss"), &[], 2),
        ("not-met", looked_at(), &[], 2),
        ("gaps", sample("jobs/valid/cases-and-gaps.toml"), &[], 2),
        (
            "crowfoot",
            sample("jobs/valid/maker-list-and-crowfoot.toml"),
            &[],
            2,
        ),
        ("refused", sample("jobs/valid/cracked.toml"), &[], 2),
        ("markup", marked, &[], 2),
        (
            "uneven-study",
            sample("bench/uneven-seat.toml"),
            &["--scatter", "200"],
            3,
        ),
        ("two-sides", sample("jobs/valid/two-sides.toml"), &[], 3),
        (
            "two-sides-study",
            sample("jobs/valid/two-sides.toml"),
            &["--scatter", "200"],
            4,
        ),
        (
            "all",
            DEMO_JOB.to_string(),
            &["--variants", "--scatter", "200"],
            4,
        ),
    ]
}

#[test]
fn every_sheet_opens_reads_and_prints() {
    let Some(tools) = tools() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let papers = [("a4", (594.96, 841.92)), ("letter", (612.0, 792.0))];
    let mut files = Vec::new();
    for (kind, job, args, _) in kinds() {
        for (paper, _) in papers {
            let html = sheet(&job, &[args, &["--paper", paper]].concat());
            let file = format!("{kind}-{paper}.html");
            std::fs::write(folder.path().join(&file), html).expect("written");
            files.push(file);
        }
    }
    let looks = look(&tools, folder.path(), &files);
    assert_eq!(looks.len(), files.len());
    let wanted = kinds()
        .into_iter()
        .flat_map(|k| papers.map(|(_, size)| (k.3, size)));
    for (look, (count, size)) in looks.iter().zip(wanted) {
        let name = &look.name;
        assert_eq!(look.requests, [""; 0], "{name}: requests beyond the file");
        assert_eq!(look.said, [""; 0], "{name}: messages");
        assert_eq!(look.violations, [""; 0], "{name}: hard to reach or to read");
        assert_eq!(look.cut, [""; 0], "{name}: cut off or in the way");
        for rule in [
            "color-contrast",
            "heading-order",
            "region",
            "svg-img-alt",
            "landmark-one-main",
        ] {
            // A refused job has no drawing, and of the second paper only the print is looked at.
            let drawn = rule != "svg-img-alt" || !name.starts_with("refused");
            let applies = drawn && name.ends_with("a4");
            assert!(
                !applies || look.rules.iter().any(|r| r == rule),
                "{name}: {rule} was not looked at"
            );
        }
        // Nothing smaller than 7.5 points: it is read at a bench.
        assert!(
            look.smallest >= 7.49,
            "{name}: letters of {} points",
            look.smallest
        );

        let pages = printed(&tools, &folder.path().join(format!("{name}.pdf")));
        assert_eq!(pages.len(), count, "{name}: pages");
        assert_eq!(lost(look, &pages), [""; 0], "{name}: not in print");
        for (i, page) in pages.iter().enumerate() {
            assert!(
                (page.size.0 - size.0).abs() < 1.0 && (page.size.1 - size.1).abs() < 1.0,
                "{name}: {:?}",
                page.size
            );
            for (word, [left, top, right, bottom]) in &page.words {
                let inside = *left >= 10.0 * MM - 1.0
                    && *right <= page.size.0 - 10.0 * MM + 2.0
                    && *top >= 10.0 * MM - 2.0
                    && *bottom <= page.size.1;
                assert!(
                    inside,
                    "{name}, page {}: {word} lies at {left} {top}",
                    i + 1
                );
            }
            // Loose pages say what they belong to.
            let foot: Vec<&str> = page
                .words
                .iter()
                .filter(|(_, [_, top, ..])| *top > page.size.1 - 12.0 * MM)
                .map(|(word, _)| word.as_str())
                .collect();
            let foot = foot.join(" ");
            let number = format!("page {} of {count}", i + 1);
            assert!(
                foot.contains(&number) && foot.contains("SHA-256"),
                "{name}: {foot}"
            );
        }
    }
}

/// What these tests look for is found where it is: a request, a message, a pale text, a label outside its drawing, a word
/// that is not printed.
#[test]
fn what_is_wrong_is_found() {
    let Some(tools) = tools() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let html = sheet(DEMO_JOB, &["--paper", "a4"]);
    let put = |html: &str, what: &str| html.replace("</main>", &format!("{what}</main>"));
    let picture = "<img src=\"http://127.0.0.1:9/x.png\" alt=\"x\">";
    let policy = html.find("<meta http-equiv").expect("a policy");
    let end = policy + html[policy..].find('>').expect("its end") + 1;
    let open = format!("{}{}", &html[..policy], &html[end..]);
    let wrong = "<p style=\"color:#bbb\">pale</p><p style=\"font-size:5pt\">small</p><img src=\"http://127.0.0.1:9/y.png\">\
        <svg viewBox=\"0 0 50 20\" width=\"50\"><text x=\"45\" y=\"10\">outside</text><text x=\"2\" y=\"10\">one</text><text x=\"4\" y=\"10\">other</text></svg>\
        <p style=\"width:3em;white-space:nowrap\">far too long for its box</p><p style=\"position:absolute;left:300mm\">unseen</p>";
    std::fs::write(folder.path().join("policy.html"), put(&html, picture)).expect("written");
    std::fs::write(folder.path().join("open-a4.html"), put(&open, wrong)).expect("written");
    let files = ["policy.html".to_string(), "open-a4.html".to_string()];
    let looks = look(&tools, folder.path(), &files);
    assert!(
        looks[0]
            .said
            .iter()
            .any(|m| m.contains("Content Security Policy")),
        "{:?}",
        looks[0].said
    );
    let found = &looks[1];
    assert_eq!(found.requests, ["http://127.0.0.1:9/y.png"]);
    for rule in ["color-contrast", "image-alt"] {
        assert!(
            found.violations.iter().any(|v| v.starts_with(rule)),
            "{rule}"
        );
    }
    for part in [
        "outside its drawing: outside",
        "over \"other\"",
        "wider than its box: far too",
        "beyond the page: unseen",
    ] {
        assert!(
            found.cut.iter().any(|c| c.contains(part)),
            "{part}: {:#?}",
            found.cut
        );
    }
    assert!(found.smallest < 6.0);
    let mut pages = printed(&tools, &folder.path().join("policy.pdf"));
    let page = pages.last_mut().expect("a page");
    let at = page
        .words
        .iter()
        .position(|w| w.0 == "Cautions")
        .expect("a heading");
    page.words.remove(at);
    assert_eq!(lost(&looks[0], &pages), ["Cautions"]);
}
