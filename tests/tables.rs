//! Every row of every table: where it comes from, that it is read, and that its figures are possible.

use crate::support::{promises, root};
use insertwright::job::{Document, designation, resolve};
use insertwright::tables::{self, fold};
use insertwright::units::parse::{Kind, read};
use std::collections::BTreeMap;

const BASES: [&str; 4] = ["published", "common practice", "from memory", "invented"];

/// The rows of a table file: tables below a group, and elements of arrays of tables.
fn rows(document: &toml::Table) -> Vec<(String, toml::Table)> {
    let mut out = Vec::new();
    for (group, below) in document {
        match below {
            // A table of plain entries is a row by itself.
            toml::Value::Table(row) if row.values().any(|v| !v.is_table()) => {
                out.push((group.clone(), row.clone()));
            }
            toml::Value::Table(named) => out.extend(named.iter().map(|(name, row)| {
                (
                    format!("{group}.{name}"),
                    row.as_table().cloned().unwrap_or_default(),
                )
            })),
            toml::Value::Array(list) => out.extend(list.iter().enumerate().map(|(i, row)| {
                (
                    format!("{group}[{i}]"),
                    row.as_table().cloned().unwrap_or_default(),
                )
            })),
            _ => out.push((group.clone(), toml::Table::new())),
        }
    }
    out
}

/// What is wrong with where the rows of a file come from.
fn unsourced(document: &toml::Table) -> Vec<String> {
    rows(document)
        .into_iter()
        .filter_map(|(name, row)| {
            let text = |key: &str| row.get(key).and_then(toml::Value::as_str).unwrap_or("");
            if text("source").trim().len() < 8 {
                Some(format!("{name}: no source"))
            } else if !BASES.contains(&text("basis")) {
                Some(format!("{name}: basis {:?}", text("basis")))
            } else {
                None
            }
        })
        .collect()
}

fn files() -> Vec<(String, toml::Table)> {
    let mut found: Vec<(String, toml::Table)> = std::fs::read_dir(root().join("tables"))
        .expect("the folder of tables")
        .map(|e| e.expect("a table").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .map(|p| {
            let text = std::fs::read_to_string(&p).expect("a table's text");
            let name = p
                .file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, toml::from_str(&text).expect("a table is TOML"))
        })
        .collect();
    found.sort_by(|a, b| a.0.cmp(&b.0));
    found
}

#[test]
fn every_row_has_source_and_basis() {
    let files = files();
    assert_eq!(
        files.len(),
        tables::ALL.len(),
        "a table file that the program does not know"
    );
    for (file, document) in &files {
        assert!(!rows(document).is_empty(), "{file} has no rows");
        assert_eq!(unsourced(document), Vec::<String>::new(), "{file}");
    }
}

/// The look for sources itself: it must find a row without one, in tables and in arrays.
#[test]
fn a_row_without_source_is_found() {
    let bad = r#"
        [material.a]
        source = "a data sheet, read"
        basis = "published"
        [material.b]
        basis = "published"
        [material.c]
        source = "a data sheet, read"
        basis = "somebody said"
        [[exception]]
        value = "1 µm"
    "#;
    let found = unsourced(&toml::from_str(bad).expect("TOML"));
    assert_eq!(found.len(), 3, "{found:?}");
}

#[test]
fn every_row_is_seen_by_the_program() {
    for (file, document) in files() {
        let table = tables::table(&file).unwrap_or_else(|| panic!("{file} is not a table"));
        let of_groups = |name: &str| name.contains('.') || name.contains('[');
        let named = rows(&document).iter().filter(|r| of_groups(&r.0)).count();
        assert_eq!(table.rows().len(), named, "{file}");
        for row in table.rows() {
            assert!(row.basis().is_some(), "{file} {}", row.name);
            assert!(row.provenance().contains(row.source()));
            let found = table.row(row.group, row.name).map(|r| r.name);
            assert_eq!(found, Some(row.name), "{file}");
        }
    }
    let exceptions = files()
        .into_iter()
        .find(|f| f.0 == "iso965")
        .map(|f| rows(&f.1).iter().filter(|r| r.0.contains('[')).count());
    assert_eq!(
        Some(designation::exceptions().len()),
        exceptions,
        "an exception is not read"
    );
}

/// A source in few words is shorter, found by the whole one, and hides no weakness of it.
#[test]
fn sources_in_few_words_say_how_weak_they_are() {
    let mut seen = 0;
    for row in tables::ALL.iter().flat_map(|table| table.rows()) {
        let Some(short) = row.short() else { continue };
        let (source, name) = (row.source(), row.name);
        assert!(short.len() < source.len(), "{name}");
        assert_eq!(tables::in_short(&row.provenance()), Some(short), "{name}");
        for weakness in ["no source", "recalled", "our own", "assum"] {
            assert!(
                short.contains(weakness) || !source.contains(weakness),
                "{name}: \"{short}\" leaves out \"{weakness}\""
            );
        }
        seen += 1;
    }
    assert!(seen > 50, "{seen}");
    assert_eq!(tables::in_short("something else (published)"), None);
}

/// Every key of a quantity reads as the quantity that it is.
#[test]
fn quantities_parse() {
    let kind = |table: &str, key: &str| -> Option<Kind> {
        Some(match (table, key) {
            ("threads", "pitch") => Kind::Pitch,
            ("threads", "major") => Kind::Length,
            ("threads", k) if k.ends_with("_min") || k.ends_with("_max") => Kind::Length,
            ("iso965", "pitch") => Kind::Pitch,
            ("iso965", "value" | "over" | "up_to") => Kind::Length,
            ("materials" | "adhesives", k)
                if k.contains("modulus")
                    || k.ends_with("strength")
                    || k.starts_with("interlaminar")
                    || ["yield", "tensile", "shear"].contains(&k) =>
            {
                Kind::Stress
            }
            (
                _,
                "poisson"
                | "factor"
                | "ageing_factor"
                | "hot_factor"
                | "endurance_share"
                | "creep_share"
                | "plastic_shear_strain",
            ) => Kind::Number,
            (_, "expansion") => Kind::Expansion,
            (_, "anodic_index" | "limit") => Kind::Potential,
            (_, "density") => Kind::Density,
            (_, "hot_temperature") => Kind::Temperature,
            (_, "gap_min" | "gap_max") => Kind::Length,
            ("friction", "thread" | "seat") => Kind::Number,
            ("pedalling", "force") => Kind::Force,
            ("pedalling", "pedal_offset" | "crank") => Kind::Length,
            ("pedalling", "inclination" | "crank_angle") => Kind::Angle,
            ("bearings", k)
                if k.ends_with("_low") || k.ends_with("_high") || k == "over" || k == "up_to" =>
            {
                Kind::Length
            }
            _ => return None,
        })
    };
    let mut read_count = 0;
    for (file, document) in files() {
        for (name, row) in rows(&document) {
            for (key, value) in &row {
                let Some(kind) = kind(&file, key) else {
                    continue;
                };
                let text = value
                    .as_str()
                    .map_or_else(|| value.to_string(), str::to_string);
                if let Err(e) = read(&text, kind) {
                    panic!("{file} {name} {key} = {text}: {} ({})", e.message, e.help);
                }
                read_count += 1;
            }
        }
    }
    assert!(
        read_count > 500,
        "only {read_count} quantities were looked at"
    );
}

/// The demonstration job with one entry changed.
fn with(set: &[String]) -> Result<(), String> {
    let (mut document, mut found) = Document::parse("demonstration", insertwright::cli::DEMO_JOB);
    for argument in set {
        found.extend(document.set(argument));
    }
    match resolve(&document) {
        Ok(_) if found.is_empty() => Ok(()),
        Ok(_) => Err(format!("{found:?}")),
        Err(more) => Err(format!("{found:?} {more:?}")),
    }
}

/// Rows that a job names go through the job's own reader, under their name and every alias.
#[test]
fn rows_resolve_through_the_job_reader() {
    for (table, group, paths) in [
        (
            &tables::MATERIALS,
            "material",
            &["insert.material", "frame.material", "fitting.material"][..],
        ),
        (&tables::ADHESIVES, "adhesive", &["bond.adhesive"]),
        (&tables::FRICTION, "friction", &["tightening.lubrication"]),
        (&tables::PREPARATIONS, "preparation", &["bond.preparation"]),
    ] {
        for row in table.rows().iter().filter(|r| r.group == group) {
            for path in paths {
                for name in row.list("aliases").into_iter().chain([row.name]) {
                    with(&[format!("{path}={name}")])
                        .unwrap_or_else(|e| panic!("{path} = {name}: {e}"));
                }
            }
        }
    }
}

#[test]
fn threads_and_their_twins_resolve() {
    for row in tables::THREADS.rows() {
        let names = row.list("aliases").into_iter().chain([row.name]);
        for name in names.chain(row.list("twins")) {
            if let Err(e) = designation::by_name(name) {
                panic!("{}: {name}: {e}", row.name);
            }
        }
        for twin in row.list("twins") {
            assert_ne!(fold(twin), fold(row.name), "{} is its own twin", row.name);
        }
    }
}

/// A name or alias leads to one row of its group, whatever its spelling; fits alone go by case.
#[test]
fn names_are_unique_after_folding() {
    for table in tables::ALL.iter().filter(|t| t.name != "bearings") {
        let mut seen: BTreeMap<(&str, String), &str> = BTreeMap::new();
        for row in table.rows() {
            for name in row.list("aliases").into_iter().chain([row.name]) {
                if let Some(other) = seen.insert((row.group, fold(name)), row.name) {
                    assert_eq!(other, row.name, "{}: {name} names two rows", table.name);
                }
            }
        }
    }
}

#[test]
fn material_figures_are_possible() {
    let value = |row: &tables::Row<'_>, key: &str, kind: Kind| -> Option<f64> {
        row.entries()
            .into_iter()
            .find(|(k, _)| *k == key)
            .map(|(_, text)| read(&text, kind).expect("parsed elsewhere").nominal)
    };
    for row in tables::MATERIALS.rows() {
        let name = row.name;
        let stress = |key: &str| value(&row, key, Kind::Stress);
        let poisson = value(&row, "poisson", Kind::Number).expect("every row has it");
        assert!(poisson > 0.0 && poisson < 0.5, "{name}: {poisson}");
        let modulus = stress("elastic_modulus").expect("every row has it");
        assert!((1e9..3e11).contains(&modulus), "{name}: {modulus}");
        let expansion = value(&row, "expansion", Kind::Expansion).expect("every row has it");
        assert!((-2e-6..8e-5).contains(&expansion), "{name}: {expansion}");
        if let (Some(y), Some(t)) = (stress("yield"), stress("tensile")) {
            assert!(y <= t, "{name}: yields above its tensile strength");
        }
        if row.text("kind") == Some("metal") {
            if let (Some(s), Some(t)) = (stress("shear"), stress("tensile")) {
                assert!(
                    (0.5..=0.8).contains(&(s / t)),
                    "{name}: shear/tensile {}",
                    s / t
                );
            }
            if let Some(g) = stress("shear_modulus") {
                let isotropic = modulus / (2.0 * (1.0 + poisson));
                assert!(
                    (0.9..1.1).contains(&(g / isotropic)),
                    "{name}: shear modulus"
                );
            }
        }
        if let Some(index) = value(&row, "anodic_index", Kind::Potential) {
            assert!((0.0..=2.0).contains(&index), "{name}: {index}");
        }
    }
    for row in tables::ADHESIVES.rows() {
        for key in [
            "ageing_factor",
            "hot_factor",
            "endurance_share",
            "creep_share",
        ] {
            let share = value(&row, key, Kind::Number).expect("every row has it");
            assert!(share > 0.0 && share <= 1.0, "{}: {key} {share}", row.name);
        }
        let poisson = value(&row, "poisson", Kind::Number).expect("every row has it");
        assert!(poisson > 0.0 && poisson < 0.5, "{}: {poisson}", row.name);
    }
    for row in tables::FRICTION.rows() {
        for key in ["thread", "seat"] {
            let range = read(row.text(key).unwrap_or(""), Kind::Number).expect("a range");
            assert!(
                range.low > 0.0 && range.low < range.high && range.high <= 1.0,
                "{} {key}",
                row.name
            );
        }
    }
    // The other group of this table holds steps by material, no factors.
    for row in tables::PREPARATIONS
        .rows()
        .iter()
        .filter(|r| r.group == "preparation")
    {
        let factor = value(row, "factor", Kind::Number).expect("every row has it");
        assert!(factor > 0.0 && factor <= 1.0, "{}: {factor}", row.name);
    }
}

/// "unknown" stands for the weakest: no row of its kind may be weaker where strength decides.
#[test]
fn unknown_rows_are_the_weakest() {
    let stress = |row: &tables::Row<'_>, key: &str| {
        row.text(key)
            .map(|t| read(t, Kind::Stress).expect("a stress").nominal)
    };
    let unknown = tables::ADHESIVES
        .row("adhesive", "unknown")
        .expect("the row");
    for row in tables::ADHESIVES.rows() {
        for key in ["shear_strength", "tensile_strength"] {
            assert!(
                stress(&row, key) >= stress(&unknown, key),
                "{} {key}",
                row.name
            );
        }
    }
    let unknown = tables::MATERIALS
        .row("material", "unknown")
        .expect("the row");
    for row in tables::MATERIALS
        .rows()
        .iter()
        .filter(|r| r.text("kind") == Some("metal"))
    {
        if let (Some(given), Some(weakest)) = (stress(row, "yield"), stress(&unknown, "yield")) {
            assert!(
                given >= weakest,
                "{} yields below the unknown metal",
                row.name
            );
        }
    }
    let factor = |row: &tables::Row<'_>| {
        row.entries()
            .into_iter()
            .find(|e| e.0 == "factor")
            .and_then(|e| {
                e.1.parse::<f64>()
                    .ok()
                    .or_else(|| read(&e.1, Kind::Number).ok().map(|s| s.nominal))
            })
    };
    let unknown = tables::PREPARATIONS
        .row("preparation", "unknown")
        .expect("the row");
    // The other group of this table holds steps by material, no factors.
    for row in tables::PREPARATIONS
        .rows()
        .iter()
        .filter(|r| r.group == "preparation")
    {
        assert!(
            factor(row) >= factor(&unknown),
            "{} is weaker than the unknown preparation",
            row.name
        );
    }
}

/// No table promises anything.
#[test]
fn tables_promise_nothing() {
    for (file, document) in files() {
        assert_eq!(
            promises(&document.to_string()),
            Vec::<String>::new(),
            "{file}"
        );
    }
}

/// Jobs are read with the help of the tables, so the tables must not know of jobs.
#[test]
fn tables_and_documents_know_nothing_of_jobs() {
    for file in ["src/tables/mod.rs", "src/document.rs"] {
        let text = std::fs::read_to_string(crate::support::root().join(file)).expect("the file");
        assert!(!text.contains("crate::job"), "{file}");
    }
}

/// The factors on the seat's stiffness stand in the code, beside the loop that runs them, and in the table, beside
/// their source: they are the same.
#[test]
fn the_factors_on_the_seat_s_stiffness_are_those_of_the_table() {
    let of = |name: &str| -> f64 {
        let row = insertwright::tables::DEFAULTS
            .row("default", name)
            .expect("a row");
        let value = row
            .entries()
            .into_iter()
            .find(|e| e.0 == "value")
            .expect("a value");
        value.1.parse().expect("a number")
    };
    let factors = ["seat.stiffness_factor_low", "seat.stiffness_factor_high"].map(of);
    assert_eq!(factors, insertwright::assess::SEAT_STIFFNESS_FACTORS);
}
