//! The command `sheet`: what it says, what it escapes, what its drawings measure, and how a browser shows it.

use crate::support::{json_on, root, samples, tool, tool_in, tool_on};
use base64::Engine;
use insertwright::cli::DEMO_JOB;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

fn sheet(job: &str, args: &[&str]) -> String {
    let run = tool_on(job, "sheet", args);
    assert!([0, 1, 4].contains(&run.code), "{}", run.err);
    run.out
}

fn starter(name: &str) -> String {
    tool(&["new", name]).out
}

/// The attributes of every element of a name, in order.
fn elements(html: &str, name: &str) -> Vec<BTreeMap<String, String>> {
    let open = format!("<{name} ");
    html.match_indices(&open)
        .map(|(at, _)| {
            let tag = &html[at + open.len()..];
            let tag = &tag[..tag.find('>').expect("an end")];
            tag.split("\" ")
                .filter_map(|pair| pair.split_once("=\""))
                .map(|(k, v)| {
                    (
                        k.trim().to_string(),
                        v.trim_end_matches(['"', '/']).to_string(),
                    )
                })
                .collect()
        })
        .collect()
}

/// One drawing of a sheet.
fn drawing<'h>(html: &'h str, name: &str) -> &'h str {
    let from = html.find(&format!("data-drawing=\"{name}\"")).expect(name);
    let from = html[..from].rfind("<svg").expect("its start");
    let to = html[from..].find("</svg>").expect("its end");
    &html[from..from + to]
}

fn number(of: &BTreeMap<String, String>, key: &str) -> f64 {
    of[key]
        .parse()
        .unwrap_or_else(|_| panic!("{key} in {of:?}"))
}

#[test]
fn bounds_of_the_window_lie_where_the_report_says() {
    let (json, _) = json_on(DEMO_JOB, "torque", &[]);
    let html = sheet(DEMO_JOB, &[]);
    let window = drawing(&html, "window");
    let paper = &elements(&html, "svg")
        .into_iter()
        .find(|e| e["data-drawing"] == "window")
        .expect("it");
    let (scale, left) = (number(paper, "data-scale"), number(paper, "data-left"));
    let mut marks = 0;
    for bound in json["window"]["bounds"].as_array().expect("bounds") {
        let (id, side) = (
            bound["id"].as_str().expect("id"),
            bound["side"].as_str().expect("side"),
        );
        let row = window
            .find(&format!("data-bound=\"{id}\" data-side=\"{side}\""))
            .unwrap_or_else(|| panic!("{id}"));
        let row = &window[row..][..window[row..].find("</g>").expect("its end")];
        assert!(row.contains(if side == "low" { "≥" } else { "≤" }), "{row}");
        if let Some(mark) = elements(row, "line")
            .iter()
            .find(|l| l["class"].contains("mark"))
        {
            let drawn = (number(mark, "x1") - left) / scale;
            let torque = bound["torque"]["value"].as_f64().expect("a torque");
            assert!(
                (drawn - torque).abs() < 0.01 * torque,
                "{id}: {drawn} {torque}"
            );
            marks += 1;
        }
    }
    assert!(marks >= 3, "{marks}");
}

#[test]
fn radii_of_the_seat_are_those_of_the_report() {
    for job in [DEMO_JOB.to_string(), starter("boss")] {
        let (json, _) = json_on(&job, "check", &[]);
        let html = sheet(&job, &[]);
        let paper = elements(&html, "svg")
            .into_iter()
            .find(|e| e["data-drawing"] == "face")
            .expect("it");
        let scale = number(&paper, "data-scale");
        let circles = elements(drawing(&html, "face"), "circle");
        let radius = |name: &str| {
            let found = circles.iter().find(|c| c["data-name"] == name).expect("it");
            number(found, "r") / scale
        };
        let area =
            std::f64::consts::PI * (radius("seat-outer").powi(2) - radius("seat-inner").powi(2));
        let reported = json["values"]["seat.area"]["value"]
            .as_f64()
            .expect("an area");
        assert!(
            (area - reported).abs() < 2e-3 * reported,
            "{area} {reported}"
        );
    }
}

/// The sheet's checks are those of `check`, figure by figure, and so are those of its Markdown.
#[test]
fn figures_are_the_same_in_every_form() {
    for job in [
        DEMO_JOB.to_string(),
        starter("boss"),
        starter("crank-sleeve"),
    ] {
        let text = tool_on(&job, "check", &["--format", "markdown"]).out;
        let html = sheet(&job, &[]);
        let (json, _) = json_on(&job, "check", &[]);
        for check in json["checks"].as_array().expect("checks") {
            let id = check["id"].as_str().expect("an id");
            let row = text
                .lines()
                .find(|l| l.contains(&format!("[{id}] |")))
                .unwrap_or_else(|| panic!("{id}"));
            let cells: Vec<&str> = row.split('|').map(str::trim).skip(2).take(5).collect();
            let at = html
                .find(&format!("[{id}]</th>"))
                .unwrap_or_else(|| panic!("{id}"));
            let end = at + html[at..].find("</tr>").expect("its end");
            let shown: Vec<String> = html[at..end]
                .split("<td")
                .skip(1)
                .map(|c| {
                    c[c.find('>').expect("an end") + 1..]
                        .replace("</td>", "")
                        .replace('\u{a0}', " ")
                })
                .collect();
            assert_eq!(shown, cells, "{id}");
            if let Some(ratio) = check["ratio"].as_f64() {
                let printed: f64 = cells[2].parse().unwrap_or(ratio);
                assert!(
                    (printed - ratio).abs() <= 0.051 * ratio.abs().max(1e-9),
                    "{id}: {printed} {ratio}"
                );
            }
        }
    }
}

#[test]
fn nothing_of_a_job_becomes_markup() {
    let evil = "<script>alert(1)</script><img src=x onerror=alert(1)>\\\" &amp; </title>";
    let job = DEMO_JOB
        .replace(
            "Invented data; a scenario to look at, not a part to build",
            evil,
        )
        .replace("Moulded glass-fibre", &format!("{evil} Moulded"))
        .replace(
            "source = \"invented for the demonstration\"",
            &format!("source = \"{evil}\""),
        )
        .replace("demonstration film", "<b>film</b>")
        .replace("assembled dry", "<i>dry</i>")
        .replace(
            "[condition]",
            "[record]\ndone = \"<u>all</u>\"\n\n[condition]",
        );
    let html = sheet(&job, &["--variants", "--scatter", "64"]);
    for tag in [
        "<script",
        "<img",
        "<b>film",
        "<i>",
        "<u>",
        "onerror=alert(1)>",
        "&amp;amp; </title>",
    ] {
        assert!(!html.contains(tag), "{tag} stands in the sheet");
    }
    assert!(html.contains("&#60;script&#62;") || html.contains("&lt;script&gt;"));
    assert_eq!(
        html.matches("</title>").count() - html.matches("<title id").count(),
        1
    );
}

/// One file: nothing is fetched, no script, and a policy that names the style by its hash.
#[test]
fn the_sheet_stands_by_itself() {
    let html = sheet(
        DEMO_JOB,
        &["--variants", "--scatter", "64", "--paper", "a4"],
    );
    // A name, not an address.
    let html = html.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
    for part in [
        "src=", "href=", "@import", "http", "<script", "<link", "<iframe", "style=\"", " on",
    ] {
        let found = html.match_indices(part).find(|(i, _)| {
            let tag = html[..*i].rfind('<').unwrap_or(0);
            !html[tag..*i].contains('>') && !html[tag..*i].contains("<meta")
        });
        assert_eq!(found, None, "{part}");
    }
    let style =
        &html[html.find("<style>").expect("a style") + 7..html.find("</style>").expect("its end")];
    let hash = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(style));
    assert!(html.contains(&format!(
        "default-src 'none'; style-src 'sha256-{hash}'; base-uri 'none'; form-action 'none'"
    )));
    assert!(!style.contains("url("));
}

#[test]
fn the_fingerprint_is_that_of_the_file() {
    let html = sheet(DEMO_JOB, &[]);
    let hash: String = Sha256::digest(DEMO_JOB)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    assert!(html.contains(&hash) && html.contains(env!("CARGO_PKG_VERSION")));
    assert_eq!(
        html,
        sheet(DEMO_JOB, &[]),
        "the same job gives the same sheet"
    );
}

/// A refused job shows why, and no figure that could be taken for a margin.
#[test]
fn a_refused_job_shows_no_torque() {
    let html = tool(&["sheet", "valid/cracked.toml"]);
    assert_eq!(html.code, 1);
    let body = &html.out[html.out.find("<main>").expect("main")..];
    let (stop, verdict) = (
        body.find("Stop. Refused").expect("a stop"),
        body.find("Verdict: ").expect("a verdict"),
    );
    assert!(stop < verdict, "the refusal stands first");
    assert!(
        body.contains("No torque") && !body.contains("<svg"),
        "a figure in a refused job"
    );
    // Unconfirmed preconditions stand first as well.
    let open = sheet(&starter("boss"), &[]);
    let body = &open[open.find("<main>").expect("main")..];
    assert!(body.find("Not confirmed").expect("it") < body.find("Verdict: ").expect("it"));
}

#[test]
fn the_order_is_that_of_the_work() {
    let html = sheet(DEMO_JOB, &[]);
    let mut last = 0;
    for part in [
        "Verdict: marginal",
        "Torque at the fitting",
        "40 N·m",
        "Turn anticlockwise",
        "Before any margin",
        "clears nothing",
        "Checks: reserve",
        "Window of torques",
        "What it rests on",
        "Assumed, because",
        "Not examined",
        "Cautions",
        "Sources of the rows",
        "SHA-256",
    ] {
        let at = html[last..]
            .find(part)
            .unwrap_or_else(|| panic!("{part} is not behind the rest"));
        last += at;
    }
}

/// Landmarks, headings without gaps, headed cells, drawings with a text of their own.
#[test]
fn it_can_be_read_aloud() {
    let html = sheet(DEMO_JOB, &["--variants", "--scatter", "64"]);
    assert!(html.contains("<html lang=\"en\">"));
    for landmark in ["<header>", "<main>", "<footer>", "<h1>"] {
        assert_eq!(html.matches(landmark).count(), 1, "{landmark}");
    }
    for section in elements(&html, "section") {
        let id = format!("id=\"{}\"", section["aria-labelledby"]);
        assert_eq!(html.matches(&id).count(), 1, "{id}");
    }
    let drawings = elements(&html, "svg");
    assert!(drawings.len() >= 9, "{}", drawings.len());
    for svg in drawings {
        assert_eq!(svg["role"], "img");
        for id in svg["aria-labelledby"].split(' ') {
            assert_eq!(html.matches(&format!("id=\"{id}\"")).count(), 1, "{id}");
        }
    }
    for cell in elements(&html, "th") {
        assert!(cell.contains_key("scope"), "{cell:?}");
    }
}

/// The text is dark enough for its ground: at least 4.5 to 1, as the common guideline for contrast asks.
#[test]
fn text_has_contrast() {
    let style = std::fs::read_to_string(root().join("templates/sheet.css")).expect("the style");
    let light = |hex: &str| {
        let wide: String = if hex.len() == 3 {
            hex.chars().flat_map(|c| [c, c]).collect()
        } else {
            hex.into()
        };
        let channel = |i: usize| {
            let v = f64::from(u8::from_str_radix(&wide[i..i + 2], 16).expect("hex")) / 255.0;
            if v <= 0.04045 {
                v / 12.92
            } else {
                ((v + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
    };
    // The darkest ground that a text stands on is that of the window.
    let ground = light("ececec");
    let mut seen = 0;
    for rule in style.split('}') {
        for part in rule.split(['{', ';']) {
            if let Some(hex) = part.trim().strip_prefix("color: #") {
                assert!((ground + 0.05) / (light(hex) + 0.05) >= 4.5, "{hex}");
                seen += 1;
            }
        }
    }
    assert!(seen >= 2, "{seen}");
}

/// Every label of a drawing lies inside it, even in a wide face.
#[test]
fn no_label_is_cut_off() {
    let jobs = [
        DEMO_JOB.to_string(),
        starter("boss"),
        starter("crank-sleeve"),
        starter("damaged-sleeve"),
        std::fs::read_to_string(root().join("tests/bench/uneven-seat.toml")).expect("a job"),
    ];
    for (job, units) in jobs.iter().zip(["metric", "imperial"].into_iter().cycle()) {
        let html = sheet(job, &["--scatter", "64", "--units", units]);
        for svg in html.split("<svg").skip(1) {
            let svg = &svg[..svg.find("</svg>").expect("its end")];
            let view = svg
                .split("viewBox=\"")
                .nth(1)
                .expect("a box")
                .split('"')
                .next()
                .expect("it");
            let width: f64 = view
                .split(' ')
                .nth(2)
                .expect("a width")
                .parse()
                .expect("a number");
            for text in svg.split("<text ").skip(1) {
                let tag = &text[..text.find('>').expect("its end")];
                let label = text[text.find('>').expect("it") + 1..]
                    .split("</text>")
                    .next()
                    .expect("it")
                    .trim();
                let at: f64 = tag
                    .split(" x=\"")
                    .nth(1)
                    .or(tag.split("x=\"").nth(1))
                    .expect("x")
                    .split('"')
                    .next()
                    .expect("x")
                    .parse()
                    .expect("x");
                let wide = 6.6 * label.chars().count() as f64;
                let (from, to) = if tag.contains("\"end\"") {
                    (at - wide, at)
                } else if tag.contains("\"middle\"") {
                    (at - wide / 2.0, at + wide / 2.0)
                } else {
                    (at, at + wide)
                };
                assert!(
                    from >= -4.0 && to <= width + 4.0,
                    "{label}: {from} to {to} of {width}"
                );
            }
        }
    }
}

#[test]
fn it_is_written_and_opened() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = tool_in(folder.path(), &["sheet", "-o", "sheet.html"]);
    assert_eq!((run.code, run.out.as_str()), (0, ""));
    assert_eq!(
        tool_in(folder.path(), &["sheet", "-o", "sheet.html"]).code,
        2,
        "overwritten"
    );
    assert_eq!(
        tool_in(folder.path(), &["sheet", "--open"]).code,
        2,
        "nothing to open"
    );
    assert_eq!(
        tool_in(folder.path(), &["sheet", "--seed", "2"]).code,
        2,
        "a seed of nothing"
    );
    for (_, path) in samples("invalid").into_iter().take(5) {
        assert_eq!(tool(&["sheet", &path]).code, 2, "{path}");
    }
}

/// `--open` hands the file to whatever opens files on the machine.
#[cfg(target_os = "linux")]
#[test]
fn open_hands_the_file_over() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    let script = folder.path().join("xdg-open");
    std::fs::write(
        &script,
        "#!/bin/sh\necho \"$1\" > opened.part && mv opened.part opened\n",
    )
    .expect("a script");
    std::fs::set_permissions(&script, std::fs::Permissions::from_mode(0o755)).expect("to run");
    let path = format!("{}:/usr/bin:/bin", folder.path().display());
    let status = crate::support::command(folder.path())
        .env("PATH", path)
        .args(["sheet", "--open", "-o", "sheet.html"])
        .status()
        .expect("it runs");
    assert_eq!(status.code(), Some(0));
    let opened = folder.path().join("opened");
    for _ in 0..100 {
        if opened.exists() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    let said = std::fs::read_to_string(opened).expect("something was opened");
    assert!(said.trim().ends_with("sheet.html"), "{said}");
}

/// A browser that prints, where there is one.
fn browser() -> Option<PathBuf> {
    let paths = std::env::var_os("PATH").unwrap_or_default();
    let found = std::env::split_paths(&paths)
        .flat_map(|p| ["chromium", "chromium-browser"].map(|name| p.join(name)))
        .find(|p| p.is_file());
    if found.is_none() {
        // Past the capture of the test's output: whoever runs the tests is to see it.
        let _ = writeln!(
            std::io::stderr(),
            "\nSKIPPED: no `chromium` on this machine, so no sheet was opened or printed by a browser"
        );
    }
    found
}

fn browse(browser: &Path, folder: &Path, args: &[&str], page: &str) -> String {
    let output = Command::new(browser)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--disable-component-update",
            "--no-first-run",
            "--enable-logging=stderr",
        ])
        .arg(format!(
            "--user-data-dir={}",
            folder.join("profile").display()
        ))
        .args(args)
        .arg(format!("file://{}", folder.join(page).display()))
        .output()
        .expect("the browser starts");
    assert!(output.status.success(), "{output:?}");
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Opens every sheet without a message, and prints it on both papers: two pages for one side, one more for variants
/// and for a study.
#[test]
fn a_browser_opens_and_prints_every_sheet() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    for (name, file) in [
        ("crank-sleeve", "c.toml"),
        ("boss", "b.toml"),
        ("damaged-sleeve", "d.toml"),
    ] {
        assert_eq!(tool_in(folder.path(), &["new", name, "-o", file]).code, 0);
    }
    let jobs = root().join("tests/jobs/valid");
    for name in ["two-sides.toml", "cracked.toml"] {
        std::fs::copy(jobs.join(name), folder.path().join(name)).expect("a copy");
    }
    let wanted: [(&[&str], usize); 7] = [
        (&[], 2),
        (&["c.toml"], 2),
        (&["b.toml"], 2),
        (&["d.toml"], 2),
        (&["cracked.toml"], 2),
        (&["two-sides.toml"], 4),
        (&["--variants", "--scatter", "500"], 4),
    ];
    for (paper, size) in [("a4", "594.95996 841.91998"), ("letter", "612 792")] {
        for (args, pages) in wanted {
            let mut all = vec!["sheet", "--paper", paper, "--force", "-o", "sheet.html"];
            all.extend(args);
            let run = tool_in(folder.path(), &all);
            assert!([0, 1, 4].contains(&run.code), "{args:?}: {}", run.err);
            let pdf = folder.path().join("sheet.pdf");
            let to = format!("--print-to-pdf={}", pdf.display());
            let said = browse(
                &browser,
                folder.path(),
                &["--no-pdf-header-footer", &to],
                "sheet.html",
            );
            assert!(!said.contains("CONSOLE"), "{args:?} on {paper}:\n{said}");
            let printed =
                String::from_utf8_lossy(&std::fs::read(&pdf).expect("a file")).into_owned();
            let count = printed
                .lines()
                .filter(|l| l.trim_end().ends_with("/Type /Page"))
                .count();
            assert_eq!(count, pages, "{args:?} on {paper}");
            assert!(printed.contains(&format!("[0 0 {size}]")), "{paper}");
        }
    }
}
