//! What the drawings of the sheet measure, held against the JSON of the same job.

use crate::support::{json_on, root, sheet, starter};
use insertwright::cli::DEMO_JOB;
use serde_json::Value;
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// The attributes of an element.
type Element = BTreeMap<String, String>;
type Point = (f64, f64);

/// The attributes of every element of a name, in order.
pub fn elements(html: &str, name: &str) -> Vec<Element> {
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

/// A drawing of a sheet, and how it was drawn.
struct Drawing {
    svg: String,
    paper: Element,
}

impl Drawing {
    /// The first of this name.
    fn find(html: &str, name: &str) -> Drawing {
        let at = html.find(&format!("data-drawing=\"{name}\"")).expect(name);
        let from = html[..at].rfind("<svg").expect("its start");
        let to = at + html[at..].find("</svg>").expect("its end");
        let svg = html[from..to].to_string();
        let paper = elements(&svg, "svg").remove(0);
        Drawing { svg, paper }
    }
    fn number(&self, key: &str) -> f64 {
        number(&self.paper, key)
    }
    /// Two numbers in one attribute.
    fn pair(&self, key: &str) -> Point {
        let text = &self.paper[key];
        let (x, y) = text
            .split_once(' ')
            .unwrap_or_else(|| panic!("{key}: {text}"));
        (x.parse().expect("a number"), y.parse().expect("a number"))
    }
    fn all(&self, element: &str) -> Vec<Element> {
        elements(&self.svg, element)
    }
    fn named(&self, element: &str, key: &str, name: &str) -> Element {
        let found = self.all(element).into_iter();
        let mut found = found.filter(|e| e.get(key).is_some_and(|v| v == name));
        found.next().unwrap_or_else(|| panic!("{key}={name}"))
    }
    /// What stands in the group with this attribute.
    fn group(&self, attribute: &str) -> &str {
        let from = self
            .svg
            .find(attribute)
            .unwrap_or_else(|| panic!("{attribute}"));
        &self.svg[from..from + self.svg[from..].find("</g>").expect("its end")]
    }
}

fn number(of: &Element, key: &str) -> f64 {
    of[key]
        .parse()
        .unwrap_or_else(|_| panic!("{key} in {of:?}"))
}

/// The corners of every area, or stroke, of a path.
fn outlines(path: &Element) -> Vec<Vec<Point>> {
    let commands = path["d"]
        .split_inclusive(['M', 'L', 'z'])
        .collect::<String>();
    commands
        .split('M')
        .skip(1)
        .map(|outline| {
            outline
                .trim_end_matches(['z', ' '])
                .split('L')
                .map(|pair| {
                    let (x, y) = pair.trim().split_once([',', ' ']).expect("a pair");
                    (x.trim().parse().expect("x"), y.trim().parse().expect("y"))
                })
                .collect()
        })
        .collect()
}

fn area(corners: &[Point]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    let twice: f64 = corners
        .iter()
        .zip(next)
        .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
        .sum();
    twice.abs() / 2.0
}

fn value(json: &Value, id: &str) -> f64 {
    json["values"][id]["value"]
        .as_f64()
        .unwrap_or_else(|| panic!("{id}"))
}

/// A length that the job states, or that was assumed for it, in mm.
fn length(json: &Value, job: &str, key: &str) -> f64 {
    let assumed = json["assumed"].as_array().expect("a list");
    let found = assumed.iter().find(|a| a["key"] == key);
    let text = match found {
        Some(a) => a["value"].as_str().expect("a text").to_string(),
        None => {
            let job: toml::Value = toml::from_str(job).expect("TOML");
            let mut at = &job;
            for part in key.split('.') {
                at = &at[part];
            }
            at.as_str().expect("a text").to_string()
        }
    };
    let number = text.split(' ').next().expect("a number");
    number.parse().unwrap_or_else(|_| panic!("{key}: {text}"))
}

fn near(a: f64, b: f64, share: f64, what: &str) {
    assert!((a - b).abs() <= share * b.abs(), "{what}: {a} against {b}");
}

fn sample(name: &str) -> String {
    std::fs::read_to_string(root().join("tests").join(name)).expect("a job")
}

/// Jobs that differ in what bears, with and without gaps, with and without a window.
fn jobs() -> Vec<String> {
    vec![
        DEMO_JOB.to_string(),
        DEMO_JOB.replace("\"0.15 ± 0.05 mm", "\"-0.15 ± 0.05 mm"),
        DEMO_JOB.replace("face_offset = \"0.15 ± 0.05 mm\"", "face_offset = \"0 mm\""),
        starter("boss"),
        starter("crank-sleeve"),
        sample("jobs/valid/cases-and-gaps.toml"),
        sample("bench/uneven-seat.toml"),
    ]
}

#[test]
fn bounds_of_the_window_lie_where_the_report_says() {
    let (mut marks, mut beyond) = (0, 0);
    for job in jobs() {
        let (json, _) = json_on(&job, "torque", &[]);
        let window = Drawing::find(&sheet(&job, &[]), "window");
        let (scale, left) = (window.number("data-scale"), window.number("data-left"));
        let torque = |x: f64| (x - left) / scale;
        for bound in json["window"]["bounds"].as_array().expect("bounds") {
            let [id, side] = ["id", "side"].map(|key| bound[key].as_str().expect("a word"));
            let row = window.group(&format!("data-bound=\"{id}\" data-side=\"{side}\""));
            let stated = bound["torque"]["value"]
                .as_f64()
                .expect("a torque")
                .max(0.0);
            let mark = elements(row, "line")
                .into_iter()
                .find(|l| l["class"].contains("mark"));
            match mark {
                Some(mark) => {
                    let drawn = torque(number(&mark, "x1"));
                    assert!(
                        (drawn - stated).abs() < 0.01 * stated + 0.01,
                        "{id}: {drawn} {stated}"
                    );
                    marks += 1;
                }
                // Only what lies beyond the scale has none.
                None => {
                    let ends = window
                        .all("line")
                        .into_iter()
                        .filter(|l| l["class"] == "outline");
                    let end = ends.map(|l| number(&l, "x2")).fold(0.0, f64::max);
                    assert!(stated >= 0.99 * torque(end), "{id}: {stated}");
                    beyond += 1;
                }
            }
            if side == "high" && stated == 0.0 {
                assert!(row.contains("none"), "{row}");
            } else {
                assert!(row.contains(if side == "low" { "≥" } else { "≤" }), "{row}");
            }
        }
        let own = window
            .all("line")
            .into_iter()
            .find(|l| l.contains_key("data-own"))
            .expect("it");
        near(
            torque(number(&own, "x1")),
            number(&own, "data-own"),
            0.01,
            "this job",
        );
        let ends = ["low", "high"].map(|end| json["window"][end]["value"].as_f64());
        if let ([Some(low), Some(high)], false) = (ends, json["window"]["empty"] == true) {
            let block = window.named("rect", "data-name", "window");
            let from = number(&block, "x");
            near(torque(from), low, 0.01, "the window's low end");
            near(
                torque(from + number(&block, "width")),
                high,
                0.01,
                "its high end",
            );
        }
    }
    assert!(marks >= 20 && beyond >= 20, "{marks} {beyond}");
}

#[test]
fn radii_of_the_face_are_those_of_the_job() {
    for job in jobs() {
        let (json, _) = json_on(&job, "check", &[]);
        let face = Drawing::find(&sheet(&job, &[]), "face");
        let scale = face.number("data-scale");
        let radius = |name: &str| number(&face.named("circle", "data-name", name), "r") / scale;
        let (inner, outer) = (radius("seat-inner"), radius("seat-outer"));
        // On both parts the glue between them bears nothing.
        let share = value(&json, "seat.share.insert");
        if share == 0.0 || share == 1.0 {
            let area = PI * (outer * outer - inner * inner);
            near(area, value(&json, "seat.area"), 4e-3, "area of the seat");
        }
        let stated = |key: &str| length(&json, &job, key) / 2.0;
        near(
            radius("insert"),
            stated("insert.outer_diameter"),
            1e-3,
            "insert",
        );
        near(
            radius("flange"),
            stated("fitting.flange_diameter"),
            1e-3,
            "flange",
        );
        // Where the whole seat lies on the insert it begins where the job says.
        if share == 1.0 {
            near(inner, stated("seat.inner_diameter"), 1e-3, "inner edge");
        }
    }
}

/// The grey area over that of the ring is the share that bears.
#[test]
fn contact_covers_the_share_that_bears() {
    let mut partial = 0;
    for job in jobs() {
        let (json, _) = json_on(&job, "check", &[]);
        let face = Drawing::find(&sheet(&job, &[]), "face");
        let scale = face.number("data-scale");
        for state in ["preload", "load"] {
            let grey = &elements(face.group(&format!("data-state=\"{state}\"")), "path")[0];
            let drawn: f64 = outlines(grey).iter().map(|o| area(o)).sum();
            let share = drawn / (scale * scale * value(&json, "seat.area"));
            let stated = value(&json, &format!("seat.contact.{state}"));
            assert!(
                (share - stated).abs() < 0.015,
                "{state}: {share} against {stated}"
            );
            partial += usize::from(stated < 0.9);
        }
    }
    assert!(partial >= 4, "{partial}");
}

/// Lengths of the parts, and which way the preload is drawn.
#[test]
fn the_section_is_to_scale_and_the_way_is_the_one_taken() {
    let mut ways = [0, 0];
    for job in jobs() {
        let (json, _) = json_on(&job, "check", &[]);
        let section = Drawing::find(&sheet(&job, &[]), "section");
        let scale = section.number("data-scale");
        let wide = |name: &str| number(&section.named("rect", "data-name", name), "width") / scale;
        let radius = |name: &str| {
            let top = number(&section.named("rect", "data-name", name), "y");
            (section.number("data-axis") - top) / scale
        };
        let stated = |key: &str| length(&json, &job, key);
        near(wide("insert"), stated("insert.length"), 2e-3, "insert");
        near(wide("glue"), stated("bond.length"), 2e-3, "glue");
        near(
            wide("flange"),
            stated("fitting.flange_thickness"),
            2e-3,
            "flange",
        );
        near(
            radius("insert"),
            stated("insert.outer_diameter") / 2.0,
            2e-3,
            "insert",
        );
        near(
            radius("flange"),
            stated("fitting.flange_diameter") / 2.0,
            2e-3,
            "flange",
        );
        let engaged = wide("thread");
        assert!(
            engaged >= value(&json, "thread.engaged_effective"),
            "{engaged}"
        );
        let share = value(&json, "seat.share.insert");
        let glue = section.named("rect", "data-name", "glue");
        let (over, under) = (
            number(&glue, "y"),
            number(&glue, "y") + number(&glue, "height"),
        );
        for (i, (way, taken)) in [("way", share > 0.0), ("way dashed", share < 1.0)]
            .into_iter()
            .enumerate()
        {
            let attribute = format!("data-way=\"{way}\"");
            assert_eq!(section.svg.contains(&attribute), taken, "{way} at {share}");
            if taken {
                let path = &elements(section.group(&attribute), "path")[0];
                let heights = outlines(path).concat().into_iter().map(|p| p.1);
                let (top, bottom) =
                    heights.fold((f64::MAX, f64::MIN), |(a, b), y| (a.min(y), b.max(y)));
                let crosses = top < over && bottom > under;
                assert_eq!(
                    crosses,
                    i == 1,
                    "{way} from {top} to {bottom}, glue {over} to {under}"
                );
                ways[i] += 1;
            }
        }
    }
    assert!(ways[0] >= 5 && ways[1] >= 2, "{ways:?}");
}

/// What a plot shows, read off with its own scale.
fn read_off(plot: &Drawing, points: &[Point]) -> Vec<Point> {
    let (zero, scale) = (plot.pair("data-zero"), plot.pair("data-scale"));
    points
        .iter()
        .map(|(x, y)| ((x - zero.0) / scale.0, (zero.1 - y) / scale.1))
        .collect()
}

fn bars(plot: &Drawing, key: &str) -> Vec<(Element, [Point; 2])> {
    plot.all("rect")
        .into_iter()
        .filter(|r| r.contains_key(key))
        .map(|r| {
            let [x, y, w, h] = ["x", "y", "width", "height"].map(|k| number(&r, k));
            let ends = read_off(plot, &[(x, y), (x + w, y + h)]);
            (r, [ends[0], ends[1]])
        })
        .collect()
}

#[test]
fn turns_carry_the_preload() {
    for job in jobs() {
        let (json, _) = json_on(&job, "check", &[]);
        let plot = Drawing::find(&sheet(&job, &[]), "turns");
        let loads: Vec<f64> = bars(&plot, "data-turn")
            .iter()
            .map(|(_, [top, _])| top.1)
            .collect();
        assert_eq!(loads.len(), value(&json, "thread.turns").ceil() as usize);
        let sum: f64 = loads.iter().sum();
        near(
            sum,
            value(&json, "preload.high"),
            1e-3,
            "the sum of all turns",
        );
        near(
            loads[0] / sum,
            value(&json, "thread.first_turn_share"),
            0.02,
            "the first turn",
        );
    }
}

#[test]
fn stress_along_the_glue_is_that_of_the_report() {
    for job in jobs() {
        let (json, _) = json_on(&job, "check", &[]);
        let plot = Drawing::find(&sheet(&job, &[]), "glue");
        let curve = |name: &str| {
            let path = plot.named("path", "data-curve", name);
            read_off(&plot, &outlines(&path).concat())
        };
        let peak = |points: &[Point]| points.iter().map(|p| p.1.abs()).fold(0.0, f64::max);
        let (shear, peel) = (curve("shear"), curve("peel"));
        near(
            peak(&shear),
            value(&json, "bond.axial.peak"),
            2e-3,
            "peak of the shear",
        );
        let most = peel.iter().map(|p| p.1).fold(0.0, f64::max);
        near(
            most,
            value(&json, "bond.rocking.peel"),
            0.02,
            "peak of the peel",
        );
        let end = length(&json, &job, "bond.length");
        near(
            shear.last().expect("points").0,
            end,
            1e-3,
            "end of the glue",
        );
        let area: f64 = shear
            .windows(2)
            .map(|p| (p[1].0 - p[0].0) * (p[0].1 + p[1].1) / 2.0)
            .sum();
        let mean = value(&json, "bond.axial.mean");
        assert!(
            (area / end - mean).abs() < 0.01 * peak(&shear),
            "{} {mean}",
            area / end
        );
    }
}

/// The figures of the second page are the values that they name.
#[test]
fn figures_are_the_values_that_they_name() {
    let mut seen = 0;
    for job in jobs() {
        let (json, _) = json_on(&job, "check", &[]);
        let html = sheet(&job, &[]);
        for (at, _) in html.match_indices("<tr data-ids=\"") {
            let row = &html[at + 14..][..html[at + 14..].find("</tr>").expect("its end")];
            let (ids, rest) = row.split_once('"').expect("ids");
            if ids.is_empty() {
                continue;
            }
            let figures = rest.rsplit_once("class=\"figure\">").expect("a figure").1;
            let figures: Vec<&str> = figures.trim_end_matches("</td>").split(" / ").collect();
            let stated: Vec<f64> = ids
                .split(' ')
                .filter_map(|id| json["values"][id]["value"].as_f64())
                .collect();
            assert_eq!(figures.len(), stated.len(), "{ids}: {figures:?}");
            for (figure, stated) in figures.iter().zip(stated) {
                let figure: f64 = figure.parse().expect("a number");
                assert!(
                    (figure - stated).abs() <= 1e-3 * stated.abs(),
                    "{ids}: {figure} {stated}"
                );
                seen += 1;
            }
        }
    }
    assert!(seen > 100, "{seen}");
}

/// Bars of the study: as many samples in each, between the same figures, as its JSON says.
#[test]
fn spreads_are_those_of_the_study() {
    let gaps = sample("bench/uneven-seat.toml");
    for job in [DEMO_JOB, gaps.as_str()] {
        let study = ["--seed", "3"];
        let (json, _) = json_on(
            job,
            "scatter",
            &[&study[..], &["--samples", "200"]].concat(),
        );
        let html = sheet(job, &[&study[..], &["--scatter", "200"]].concat());
        let counts = |drawing: &Drawing| -> Vec<u64> {
            let bars = bars(drawing, "data-bar").into_iter();
            bars.map(|(bar, _)| bar["data-bar"].parse().expect("a count"))
                .collect()
        };
        let margins: Vec<u64> = json["histogram"]
            .as_array()
            .expect("bars")
            .iter()
            .map(|bar| bar["samples"].as_u64().expect("a count"))
            .collect();
        assert_eq!(counts(&Drawing::find(&html, "lowest")), margins);
        let mut drawn = 0;
        for (id, spread) in json["spreads"].as_object().expect("spreads") {
            let name = if id == "preload.high" { "preload" } else { id };
            if !html.contains(&format!("data-drawing=\"{name}\"")) {
                continue;
            }
            let plot = Drawing::find(&html, name);
            let samples: Vec<u64> =
                serde_json::from_value(spread["samples"].clone()).expect("counts");
            assert_eq!(counts(&plot), samples, "{id}");
            let total: u64 = samples.iter().sum();
            assert!(total > 150, "{total}");
            let found = bars(&plot, "data-bar");
            let reach = |key: &str| spread[key].as_f64().expect("an end");
            let (from, to) = (reach("from"), reach("to"));
            assert!((found[0].1[0].0 - from).abs() < 1e-3 * (to - from), "{id}");
            assert!(
                (found.last().expect("bars").1[1].0 - to).abs() < 1e-3 * (to - from),
                "{id}"
            );
            for (n, (_, [top, _])) in samples.iter().zip(&found) {
                let share = 100.0 * *n as f64 / total as f64;
                assert!((top.1 - share).abs() < 0.02, "{id}: {} {share}", top.1);
            }
            drawn += 1;
        }
        assert!(drawn >= 3, "{drawn}");
        // The shares of what decides.
        let shares = Drawing::find(&html, "shares");
        let stated = json["contributors"].as_array().expect("a list");
        for (bar, stated) in shares.all("rect").iter().zip(stated) {
            near(
                number(bar, "data-share"),
                stated["total"].as_f64().expect("a share"),
                1e-9,
                "share",
            );
        }
    }
}

/// What a study keeps counts for is drawn: preload before and after its losses, and the ratios that are lowest beside
/// what they need.
#[test]
fn the_lowest_ratios_are_drawn() {
    let (json, _) = json_on(DEMO_JOB, "scatter", &["--samples", "64"]);
    let html = sheet(DEMO_JOB, &["--scatter", "64"]);
    assert!(
        Drawing::find(&html, "preload")
            .svg
            .contains("data-curve=\"other\"")
    );
    let strength = [
        "strip",
        "hoop",
        "neck",
        "flange",
        "bond",
        "seat.crush",
        "seat.open",
    ];
    let mut order: Vec<(f64, &str)> = json["ratios"]
        .as_object()
        .expect("ratios")
        .iter()
        .filter(|(id, _)| strength.iter().any(|s| id.starts_with(s)))
        .filter(|(id, _)| json["spreads"].get(id.as_str()).is_some())
        .map(|(id, band)| {
            let need = json["need"][id.as_str()].as_f64().expect("a need");
            (
                band["median"].as_f64().expect("a ratio") / need,
                id.as_str(),
            )
        })
        .collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (i, (_, id)) in order.iter().enumerate() {
        let drawn = html.contains(&format!("data-drawing=\"{id}\""));
        assert_eq!(drawn, i < 6, "{id} is number {i}");
    }
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
