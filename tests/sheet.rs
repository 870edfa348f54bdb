//! The command `sheet`: what it says, and what it escapes. Its drawings are measured in `drawings.rs`.

use crate::drawings::elements;
use crate::support::{json_on, root, samples, sheet, starter, tool, tool_in, tool_on};
use base64::Engine;
use insertwright::cli::DEMO_JOB;
use sha2::{Digest, Sha256};

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
            // A torque in the makers' range is neither demand nor capacity.
            let stated = id == "torque.maker";
            for (cell, key) in cells.iter().zip(["demand", "capacity"]).filter(|_| !stated) {
                if let Some(value) = check[key]["value"].as_f64() {
                    let printed = cell.split(' ').next().expect("a number");
                    let printed: f64 = printed.parse().expect("a number");
                    assert!(
                        (printed - value).abs() <= 5e-4 * value.abs(),
                        "{id}: {cell}"
                    );
                }
            }
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

/// Markdown says no other number than the text at a terminal, and none less.
#[test]
fn markdown_has_the_numbers_of_the_text() {
    let numbers = |text: &str| {
        let cut = text.split(|c: char| !c.is_ascii_digit() && c != '.');
        let bare = cut.map(|n| n.trim_matches('.').to_string());
        let mut list: Vec<String> = bare.filter(|n| !n.is_empty()).collect();
        list.sort();
        list
    };
    let mut jobs = vec![DEMO_JOB.to_string()];
    jobs.extend(["boss", "crank-sleeve", "damaged-sleeve"].map(starter));
    for (_, path) in samples("valid") {
        jobs.push(std::fs::read_to_string(root().join("tests/jobs").join(path)).expect("a job"));
    }
    for job in jobs {
        let [text, markdown] = ["text", "markdown"]
            .map(|format| numbers(&tool_on(&job, "check", &["--format", format]).out));
        assert!(text.len() > 30, "{text:?}");
        assert_eq!(text, markdown);
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
        "Of these checks",
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

/// What is assumed and where rows come from is all there: every key with its value, in few words where a row has some.
#[test]
fn nothing_that_is_assumed_is_left_out() {
    let two_sides = std::fs::read_to_string(root().join("tests/jobs/valid/two-sides.toml"));
    for job in [
        DEMO_JOB.to_string(),
        starter("boss"),
        two_sides.expect("a job"),
    ] {
        let (json, _) = json_on(&job, "check", &[]);
        let html = sheet(&job, &[]);
        for assumed in json["assumed"].as_array().expect("a list") {
            let entry = format!(
                "{} = {}",
                assumed["key"].as_str().expect("a key"),
                assumed["value"].as_str().expect("a value")
            );
            assert!(html.contains(&entry), "{entry}");
        }
        for text in json["not_examined"].as_array().expect("a list") {
            let escaped = insertwright::present::text::html(text.as_str().expect("a text"));
            assert!(html.contains(&format!("<li>{escaped}</li>")), "{escaped}");
        }
        for caution in json["cautions"].as_array().expect("a list") {
            let text = caution["text"].as_str().expect("a text");
            let escaped = insertwright::present::text::html(text);
            assert!(html.contains(&format!("<li>{escaped}</li>")), "{text}");
        }
    }
    let html = sheet(DEMO_JOB, &[]);
    for part in [
        "<h4>Default, common practice, no source</h4>",
        "<b>need.strip = 2, need.hoop = 1.5, ",
        ": reserve required; no source</li>",
        "<b>tightening.lubrication</b>: greased: VDI 2230 friction class B, read in reprints</li>",
        "<b>bond.adhesive</b>: demonstration film: invented for the demonstration (the job&#39;s own row)",
    ] {
        assert!(html.contains(part), "{part}");
    }
}

/// With two sides what both say stands once, and what differs stands under the name of its side.
#[test]
fn two_sides_share_what_they_can() {
    let run = tool(&["sheet", "valid/two-sides.toml", "--scatter", "64"]);
    assert_eq!(run.code, 1, "{}", run.err);
    let html = run.out;
    assert_eq!(
        html.matches(">The flange bears on the insert alone")
            .count(),
        1
    );
    let row = |name: &str| {
        let from = html.find(name).unwrap_or_else(|| panic!("{name}"));
        html[from..from + html[from..].find("</tr>").expect("its end")].to_string()
    };
    assert!(row("Glue layer per side").contains("colspan=\"2\""));
    assert_eq!(row("Load about the face").matches("<td").count(), 2);
    for part in [
        "Preload, drive side",
        "Preload, non-drive side",
        "drive: reserve",
    ] {
        assert!(html.contains(part), "{part}");
    }
}

/// A name that a starter leaves empty is no name.
#[test]
fn an_empty_name_is_left_out() {
    assert!(!sheet(&starter("crank-sleeve"), &[]).contains("by ,"));
    let signed = starter("crank-sleeve").replace("by = \"\"", "by = \"A. B.\"");
    assert!(sheet(&signed, &[]).contains(", by A. B."));
}
