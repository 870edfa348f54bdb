//! From a document to assemblies: defaults and table rows filled in, every one of them noted, and the
//! parts checked for being able to exist.

use super::assembly::*;
use super::diagnostic::Diagnostic;
use super::document::{AS_STATED, Document};
use super::ledger::{Fact, Ledger, Why};
use super::possible::{self, Fault};
use super::read::Reader;
use super::record::{OwnRoute, Record};
use crate::document::segment;
use crate::mechanics::pedal::{Pedalling, Side as SideName};
use crate::tables;
use crate::units::parse::{Kind, Shape, Spread};
use crate::units::*;

/// One side of a job, ready to be assessed, with what it rests on.
#[derive(Debug, Clone)]
pub struct Side {
    /// Which side.
    pub name: SideName,
    /// The assembly.
    pub assembly: Assembly,
    /// Assumed values and sources.
    pub ledger: Ledger,
    /// The thread's designation as used.
    pub designation: String,
    /// What the bench needs in words: preparation steps, rules in use.
    pub bench: super::bench::Words,
    /// Where its own entries stand: `side[0].`, or nothing in a job of one side.
    pub prefix: String,
    /// What the job records for the hand-over.
    pub record: Record,
}

/// A whole job.
#[derive(Debug, Clone)]
pub struct Job {
    /// Its title.
    pub title: Option<String>,
    /// Name of the file, `standard input`, or `demonstration`.
    pub source: String,
    /// Overrides as typed.
    pub overrides: Vec<String>,
    /// One side, or both sides of one housing.
    pub sides: Vec<Side>,
    /// Names of the load cases; the first is the job's own.
    pub case_names: Vec<String>,
    /// Tables of the job that `check` does not read, each with what reads it, and rows that nothing names.
    pub not_read: Vec<String>,
    /// What was measured at the bench, for `seat` and `spindle`.
    pub readings: super::Readings,
    /// Repair routes that the job names.
    pub routes: Vec<OwnRoute>,
}

/// Why nobody can tell from the job which way its thread turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HandDoubt {
    /// The thread's row has another usual hand for this side than the one taken.
    Otherwise(Hand),
    /// A crank housing's thread of which no row says the usual hand.
    NoRow,
}

impl Side {
    /// Does the job leave this key out, so that its default stands?
    pub fn left_out(&self, key: &str) -> bool {
        let mut assumed = self.ledger.assumed.iter();
        assumed.any(|a| a.key == key && a.why == Why::Default)
    }
    /// Why the hand of the thread is in doubt, where the job does not state it.
    pub fn hand_doubt(&self) -> Option<HandDoubt> {
        if !self.left_out("thread.hand") {
            return None;
        }
        let taken = self.assembly.thread.hand;
        match super::designation::usual_hand(&self.designation, self.name) {
            Some(usual) => (usual != taken).then_some(HandDoubt::Otherwise(usual)),
            None => (self.assembly.purpose == Use::CrankHousing).then_some(HandDoubt::NoRow),
        }
    }
}

pub(super) const SIDE_WORDS: &[(&str, SideName)] = &[
    ("drive", SideName::Drive),
    ("non-drive", SideName::NonDrive),
];

/// Resolves a document.
///
/// # Errors
/// Every finding there is, each with its place.
pub fn resolve(document: &Document) -> Result<Job, Vec<Diagnostic>> {
    let (mut found, idle) = super::rows::idle(document);
    match resolve_changed(document) {
        Ok(mut job) if found.is_empty() => {
            job.not_read.extend(idle);
            return Ok(job);
        }
        Ok(_) => {}
        Err(more) => found.extend(more),
    }
    found.sort_by_key(|d| (d.place.source, d.place.span.start));
    Err(found)
}

/// Resolves a job with changes put in: a row that nothing names any more was looked through in the job itself.
///
/// # Errors
/// Every finding there is, each with its place.
pub fn resolve_changed(document: &Document) -> Result<Job, Vec<Diagnostic>> {
    let top = [String::new()];
    let mut reader = Reader::new(document, &top);
    let title = reader.text("job.title");
    for key in ["job.note", "job.by", "job.date"] {
        reader.text(key);
    }
    let declared_side = reader.choice("job.side", SIDE_WORDS);
    let elements = reader.elements("side");
    if elements.len() > 2 {
        reader.complain(
            "side[2].name",
            "a housing has two sides",
            "leave the third out",
        );
    }
    let mut plans: Vec<(SideName, Vec<String>)> = Vec::new();
    if elements.is_empty() {
        plans.push((declared_side.unwrap_or(SideName::Drive), top.to_vec()));
    }
    for element in elements.iter().take(2) {
        let path = format!("{element}.name");
        if !reader.has(&path) {
            reader.complain(
                &path,
                "a side without a name",
                "write name = \"drive\" or name = \"non-drive\"",
            );
            continue;
        }
        let Some(name) = reader.choice(&path, SIDE_WORDS) else {
            continue;
        };
        if plans.iter().any(|(other, _)| *other == name) {
            reader.complain(
                &path,
                "both sides have the same name",
                "one is \"drive\", the other \"non-drive\"",
            );
        }
        plans.push((name, vec![format!("{element}."), String::new()]));
    }
    let case_elements = reader.elements("case");
    let mut case_names = vec!["as stated".to_string()];
    for (i, element) in case_elements.iter().enumerate() {
        case_names.push(
            reader
                .text(&format!("{element}.name"))
                .unwrap_or_else(|| format!("case {}", i + 1)),
        );
    }
    let bearings: Vec<Option<Length>> = plans
        .iter()
        .map(|(_, prefixes)| {
            let found = reader.found.len();
            let value = reader.with_prefixes(prefixes, |r| {
                r.quantity("fitting.bearing_outboard", Kind::Length)
            });
            reader.found.truncate(found);
            value.map(|s: Spread<Length>| s.nominal)
        })
        .collect();
    let mut sides = Vec::new();
    let mut found = std::mem::take(&mut reader.found);
    for (i, (name, prefixes)) in plans.iter().enumerate() {
        let mut side_reader = Reader::new(document, prefixes);
        let far = if plans.len() == 2 {
            bearings[1 - i]
        } else {
            None
        };
        let read = read_side(&mut side_reader, *name, prefixes, &case_elements, far);
        for diagnostic in side_reader.found {
            if !found.contains(&diagnostic) {
                found.push(diagnostic);
            }
        }
        if let Some((assembly, designation, bench, record)) = read {
            sides.push(Side {
                name: *name,
                assembly,
                ledger: side_reader.ledger,
                designation,
                bench,
                prefix: prefixes.first().cloned().unwrap_or_default(),
                record,
            });
        }
    }
    let readings = super::readings::read(document).unwrap_or_else(|findings| {
        for diagnostic in findings {
            if !found.contains(&diagnostic) {
                found.push(diagnostic);
            }
        }
        super::Readings::default()
    });
    let routes = super::record::read_routes(document, &mut found);
    check_routes(document, &mut found);
    check_variants(document, &mut found);
    if found.is_empty() && !sides.is_empty() {
        let not_read = [
            ("variant", "[[variant]]: read by `compare`"),
            ("damage", "[damage]: read by `repair`"),
            ("route", "[[route]]: read by `repair`"),
            ("spindle", "[spindle]: read by `spindle`"),
            ("stack", "[stack]: read by `spindle`"),
            ("frame.reading", "[[frame.reading]]: read by `seat`"),
            ("bond.reading", "[[bond.reading]]: read by `bond`"),
        ]
        .into_iter()
        .filter(|(table, _)| {
            document.has_table(table)
                || (0..elements.len()).any(|i| document.has_table(&format!("side[{i}].{table}")))
        })
        .map(|(_, what)| what.to_string())
        .collect();
        return Ok(Job {
            title,
            source: document
                .sources
                .first()
                .map_or_else(String::new, |s| s.name.clone()),
            overrides: document.overrides().map(str::to_string).collect(),
            sides,
            case_names,
            not_read,
            readings,
            routes,
        });
    }
    found.sort_by_key(|d| (d.place.source, d.place.span.start));
    Err(found)
}

/// The paths that routes change must exist.
fn check_routes(document: &Document, found: &mut Vec<Diagnostic>) {
    for i in 0..document.len_of("route") {
        for (path, entry) in document.below(&format!("route[{i}].set.")) {
            let key = path
                .split_once(".set.")
                .map_or("", |(_, k)| k)
                .trim_matches('"');
            if super::schema::pattern_of(key)
                .ok()
                .and_then(|p| super::schema::takes(&p))
                .is_none()
            {
                found.push(Diagnostic {
                    message: format!("`{key}` is not an entry that a route can change"),
                    place: entry.place.clone(),
                    help: "write the whole path of a key, such as \"fitting.flange_diameter\""
                        .into(),
                });
            }
        }
    }
}

/// Every variant must be a job that can be read, and have a name of its own.
fn check_variants(document: &Document, found: &mut Vec<Diagnostic>) {
    let mut names = vec![AS_STATED.to_string()];
    for i in 0..document.len_of("variant") {
        let (variant, mut more) = document.variant(i);
        if names.contains(&variant.name) {
            let of = if variant.name == AS_STATED {
                "the job itself has"
            } else {
                "another variant has"
            };
            found.push(Diagnostic {
                message: format!("{of} the name \"{}\" already", variant.name),
                place: document.place_of_entry(&format!("variant[{i}].name")),
                help: "give each variant a name of its own".into(),
            });
        }
        if let Err(findings) = resolve_changed(&variant.document) {
            more.extend(findings);
        }
        // What is wrong with the job itself is wrong with its variants too, and is said once.
        let own = more.into_iter().filter(|d| !found.contains(d)).map(|d| {
            let message = format!("in the variant \"{}\": {}", variant.name, d.message);
            Diagnostic { message, ..d }
        });
        let own: Vec<Diagnostic> = own.collect();
        found.extend(own);
        names.push(variant.name);
    }
}

/// A default from the table of defaults, in SI, and where it comes from.
pub(crate) fn default(name: &str, kind: Kind) -> (f64, String) {
    let Some(row) = tables::DEFAULTS.row("default", name) else {
        return (f64::NAN, String::new());
    };
    let mut reader = Reader::new(row.document, &[row.prefix()]);
    let value = reader.spread("value", kind).map_or(f64::NAN, |s| s.nominal);
    (value, row.provenance())
}

/// Notes a default that is no plain quantity, or follows from the rest of the job; the row of the key says where it
/// comes from.
pub(super) fn assume(r: &mut Reader<'_>, key: &str, value: impl Into<Fact>) {
    r.ledger
        .note(key, value, Why::Default, source_of_default(key));
}

/// Where a default comes from.
pub(crate) fn source_of_default(name: &str) -> String {
    tables::DEFAULTS
        .row("default", name)
        .map_or_else(String::new, |row| row.provenance())
}

/// A length that may be left out and then follows from the rest of the job.
pub(super) fn length_or(r: &mut Reader<'_>, path: &str, otherwise: Length) -> Length {
    match r.quantity::<Length>(path, Kind::Length) {
        Some(given) => given.nominal,
        None => {
            // What cannot be computed is reported where it comes from.
            if si(otherwise).is_finite() {
                assume(r, path, otherwise);
            }
            otherwise
        }
    }
}

/// One of a few words, or the default, which the ledger notes.
pub(super) fn choice_or<T: Copy>(
    r: &mut Reader<'_>,
    path: &str,
    words: &[(&str, T)],
    otherwise: (&str, T),
) -> T {
    if !r.has(path) {
        assume(r, path, otherwise.0);
    }
    r.choice(path, words).unwrap_or(otherwise.1)
}

pub(super) fn or_default<Q: FromSi + Copy>(
    r: &mut Reader<'_>,
    path: &str,
    kind: Kind,
) -> Spread<Q> {
    let (value, source) = default(path, kind);
    r.or_default(path, kind, value, &source)
}

/// Reads the preconditions.
pub(super) fn read_condition(r: &mut Reader<'_>) -> Condition {
    Condition {
        no_crack: r.condition("condition.no_crack"),
        not_moved: r.condition("condition.not_moved"),
        no_crash: r.condition("condition.no_crash"),
        unregulated_use: r.condition("condition.unregulated_use"),
        face_clean: r.condition("condition.face_clean"),
        thread_starts_by_hand: r.condition("condition.thread_starts_by_hand"),
        prepared: r.condition("condition.prepared"),
        cured: r.condition("condition.cured"),
    }
}

fn read_side(
    r: &mut Reader<'_>,
    side: SideName,
    prefixes: &[String],
    case_elements: &[String],
    other_bearing: Option<Length>,
) -> Option<(Assembly, String, super::bench::Words, Record)> {
    // Pedalled in the job's own case or in any other.
    let pedalled = r.has_table("pedalling")
        || case_elements
            .iter()
            .any(|c| r.document.has_table(&format!("{c}.pedalling")));
    let usual = if r.has_table("pedalling") {
        ("crank-housing", Use::CrankHousing)
    } else {
        ("boss", Use::Boss)
    };
    let uses = [("crank-housing", Use::CrankHousing), ("boss", Use::Boss)];
    let purpose = choice_or(r, "job.use", &uses, usual);
    // A boss without pedalling has no side that matters; of two sides each has its name.
    let sided = purpose == Use::CrankHousing || pedalled;
    if sided && prefixes.len() == 1 && !r.has("job.side") {
        assume(r, "job.side", "drive");
    }
    let condition = read_condition(r);

    let (thread, designation) = super::designation::read_thread(r);
    let basic = thread.basic;

    let insert_material = material(r, "insert.material", "unknown");
    let outer: Length = r
        .needed::<Length>("insert.outer_diameter", Kind::Length, "where it is glued")
        .nominal;
    let insert_length: Length = r
        .needed::<Length>("insert.length", Kind::Length, "of the insert")
        .nominal;
    let face_offset = r.quantity::<Length>("insert.face_offset", Kind::Length);
    // A part that is said to bear on something settles what the offset would.
    if face_offset.is_none() && !r.has("clamped.bears_on") {
        assume(r, "insert.face_offset", mm(0.0));
    }
    let lip = r
        .quantity::<Length>("insert.lip_diameter", Kind::Length)
        .map(|s| s.nominal);
    let frame_material = material(r, "frame.material", "unknown-frame");
    let frame_outer: Length = r
        .needed::<Length>(
            "frame.outer_diameter",
            Kind::Length,
            "of the wall around the insert",
        )
        .nominal;
    let held_at = choice_or(
        r,
        "frame.held_at",
        &[
            ("inboard", HeldAt::Inboard),
            ("outboard", HeldAt::Outboard),
            ("full-length", HeldAt::FullLength),
            ("all-round", HeldAt::AllRound),
        ],
        ("inboard", HeldAt::Inboard),
    );
    let width = if pedalled {
        let width = r
            .needed::<Length>("frame.width", Kind::Length, "across both faces")
            .nominal;
        Some(width)
    } else {
        r.quantity::<Length>("frame.width", Kind::Length)
            .map(|s| s.nominal)
    };
    for key in ["frame.width_min", "frame.width_max"] {
        if let Some(value) = r.quantity::<Length>(key, Kind::Length) {
            r.positive(key, value.nominal);
        }
    }
    let edge_distance = r
        .quantity::<Length>("frame.edge_distance", Kind::Length)
        .map(|s| s.nominal);
    let temperature_limit = r
        .quantity("frame.temperature_limit", Kind::Temperature)
        .map(|s: Spread<ThermodynamicTemperature>| s.nominal);

    let fitting_material = material(r, "fitting.material", "unknown");
    let bore = or_default::<Length>(r, "fitting.bore", Kind::Length).nominal;
    let neck = length_or(r, "fitting.neck_diameter", basic.root);
    let flange: Length = r
        .needed::<Length>(
            "fitting.flange_diameter",
            Kind::Length,
            "of the flange or head",
        )
        .nominal;
    let flange_thickness: Length = r
        .needed::<Length>(
            "fitting.flange_thickness",
            Kind::Length,
            "of the flange or head",
        )
        .nominal;
    let bearing_path = "fitting.bearing_outboard";
    // Without pedalling no bearing is loaded.
    let bearing_outboard: Length = if pedalled || r.has(bearing_path) {
        or_default(r, bearing_path, Kind::Length).nominal
    } else {
        mm(0.0)
    };

    let pair = insert_material.conducts && frame_material.conducts;
    let bond = read_bond(r, outer, insert_length, pair);
    let (bench, bench_words) = super::bench::read(r, &insert_material, &frame_material);
    let seat = read_seat(r, basic.major, flange, frame_outer);
    let clamped = super::boss::read_clamped(r, flange);
    let tightening = read_tightening(r);
    let need = read_need(r, insert_material.steel);
    let tool = super::boss::read_tool(r);
    let damage = super::record::read_damage(r);
    let record = super::record::read_record(r);

    let mut cases = vec![read_case(
        r,
        bearing_outboard,
        other_bearing,
        Repeats::Repeated,
    )];
    for element in case_elements {
        let mut chain = vec![format!("{element}.")];
        chain.extend_from_slice(prefixes);
        let case = r.with_prefixes(&chain, |r| {
            if !r.has("kind") {
                let key = format!("{element}.kind");
                let source = source_of_default("case.kind");
                r.ledger.note(key, "repeated", Why::Default, source);
            }
            let repeats = r.choice(
                "kind",
                &[("repeated", Repeats::Repeated), ("rare", Repeats::Rare)],
            );
            read_case(
                r,
                bearing_outboard,
                other_bearing,
                repeats.unwrap_or(Repeats::Repeated),
            )
        });
        cases.push(case);
    }
    let assembly = Assembly {
        side,
        purpose,
        thread,
        insert: Insert {
            material: insert_material,
            outer_diameter: outer,
            length: insert_length,
            face_offset,
            lip_diameter: lip,
        },
        frame: Frame {
            material: frame_material,
            outer_diameter: frame_outer,
            held_at,
            width,
            edge_distance,
            temperature_limit,
        },
        fitting: Fitting {
            material: fitting_material,
            bore,
            neck_diameter: neck,
            flange_diameter: flange,
            flange_thickness,
            bearing_outboard,
        },
        clamped,
        bond,
        seat,
        tightening,
        tool,
        cases,
        need,
        condition,
        bench,
        damage,
        by_elements: false,
    };
    impossible(r, &assembly, prefixes, case_elements);
    r.found
        .is_empty()
        .then_some((assembly, designation, bench_words, record))
}

/// Complains about what cannot be, each where the job gives it.
fn impossible(r: &mut Reader<'_>, a: &Assembly, prefixes: &[String], case_elements: &[String]) {
    possible::parts(a, |path, case, fault| match (path, case) {
        (_, Some(case)) if case > 0 => {
            let mut chain = vec![format!("{}.", case_elements[case - 1])];
            chain.extend_from_slice(prefixes);
            r.with_prefixes(&chain, |r| r.fault(path, fault));
        }
        // What is wrong with a row was said there.
        ("bond.preparation", _) => {}
        ("tightening.thread_friction" | "tightening.seat_friction", _) if !r.has(path) => {}
        ("bond.thickness", _) => match (r.has(path), r.has("bond.bore")) {
            (true, _) => r.fault(path, Fault::NotPositive),
            (false, true) => r.fault("bond.bore", fault),
            (false, false) => r.complain(
                "bond.reading",
                "the mean bore of the readings is not larger than the insert",
                "check [[bond.reading]] and insert.outer_diameter",
            ),
        },
        _ => r.fault(path, fault),
    });
}

pub(super) fn show<D: uom::si::Dimension + ?Sized>(
    length: uom::si::Quantity<D, uom::si::SI<f64>, f64>,
) -> String {
    Unit::Millimetre.show(si(length), System::Metric)
}

/// A reader on the row that a key names: the job's own row first, then the built-in table.
fn row_reader<'a>(
    r: &mut Reader<'a>,
    path: &str,
    table: &'static tables::Table,
    group: &'static str,
    unknown: &str,
    unknown_allowed: bool,
) -> Option<(Reader<'a>, String)> {
    // An example would be copied: where the weakest row may stand in, that is the one to write.
    let example = if unknown_allowed {
        "unknown"
    } else {
        table.near(group, "").first().copied().unwrap_or("…")
    };
    let name = r.needed_text(path, example)?;
    let is_unknown = name.eq_ignore_ascii_case("unknown");
    if is_unknown && !unknown_allowed {
        r.complain(
            path,
            format!("`{path}` cannot be \"unknown\""),
            "give the state you will work in",
        );
        return None;
    }
    let own = format!("{group}.{}.", segment(&name));
    if !r.document.below(&own).is_empty() {
        let mut reader = Reader::new(r.document, &[own]);
        let source = reader.own_source();
        r.ledger
            .note(path, name.as_str(), Why::OwnRow, source.clone());
        return Some((reader, name));
    }
    let wanted = if is_unknown { unknown } else { name.as_str() };
    let Some(row) = table.row(group, wanted) else {
        let near = table.near(group, &name);
        r.complain(
            path,
            format!("\"{name}\" is not a row of the table {}, nor a row of this job", table.name),
            format!("near are: {}; `insertwright tables {}` lists all, or give a row [{group}.\"{name}\"] of your own", near.join(", "), table.name),
        );
        return None;
    };
    if is_unknown {
        r.ledger
            .note(path, row.name, Why::Unknown, row.provenance());
    }
    Some((
        Reader::new(row.document, &[row.prefix()]),
        row.name.to_string(),
    ))
}

fn keep_source(r: &mut Reader<'_>, use_of: &'static str, row: &mut Reader<'_>, name: &str) {
    let source = row.text("source").unwrap_or_default();
    let basis = row
        .text_quiet("basis")
        .unwrap_or_else(|| "the job's own row".to_string());
    // As in the table: the label whole, where the source does not say it itself.
    let basis = match tables::Basis::from_word(&basis) {
        Some(basis) => basis.label(&source).to_string(),
        None => basis,
    };
    r.ledger
        .sources
        .insert(use_of, format!("{name}: {source} ({basis})"));
    if let Some(note) = row.text_quiet("note") {
        r.ledger.notes.insert(use_of, format!("{name}: {note}"));
    }
}

/// Reads the material that a key names.
pub(super) fn material(r: &mut Reader<'_>, path: &'static str, unknown: &str) -> Material {
    let nothing = Material {
        laminate: false,
        elastic_modulus: from_si(f64::NAN),
        poisson: number(f64::NAN),
        shear_modulus: from_si(f64::NAN),
        axial_modulus: None,
        hoop_modulus: None,
        radial_modulus: None,
        yield_strength: None,
        shear_strength: None,
        shear_from_tensile: false,
        face_strength: None,
        interlaminar_tension: None,
        interlaminar_shear: None,
        expansion: from_si(0.0),
        anodic_index: None,
        conducts: true,
        steel: false,
        unknown: false,
    };
    let is_unknown = r.says_unknown(path);
    let Some((mut row, name)) = row_reader(r, path, &tables::MATERIALS, "material", unknown, true)
    else {
        return nothing;
    };
    let material = Material {
        unknown: is_unknown,
        ..read_material(&mut row)
    };
    if !row.has("kind") {
        let source = source_of_default("material.kind");
        r.ledger
            .note(format!("{path}: kind"), "metal", Why::Default, source);
    }
    if let (true, Some(shear)) = (material.shear_from_tensile, material.shear_strength)
        && path != "frame.material"
    {
        let source = source_of_default(SHEAR_OF_TENSILE);
        r.ledger
            .note(format!("{path}: shear"), shear, Why::Default, source);
    }
    keep_source(r, path, &mut row, &name);
    r.found.append(&mut row.found);
    if let Some(state) = r.text_quiet(path).and_then(|given| {
        let own = format!("material.{}.", segment(&given));
        (r.document.below(&own).is_empty())
            .then(|| bare_name(&given))
            .flatten()
    }) {
        let key = format!("{path}: state");
        r.ledger
            .note(key, state.taken_as, Why::Default, state.note());
    }
    material
}

/// What the bare name of an alloy, without its temper, was taken as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BareName {
    /// The state whose strengths were taken.
    pub taken_as: &'static str,
    /// What to answer where the state is not known.
    pub weaker: &'static str,
}

impl BareName {
    /// What to do about it.
    pub fn note(self) -> String {
        format!(
            "the name alone tells no state, and this is a strong one; if the state is not known, write \"{}\"",
            self.weaker
        )
    }
}

/// The state that a bare name of an alloy was taken as; nothing for a name that says its state.
pub fn bare_name(name: &str) -> Option<BareName> {
    let row = tables::MATERIALS.row("material", name)?;
    let wanted = tables::fold(name);
    row.list("bare_names")
        .iter()
        .any(|bare| tables::fold(bare) == wanted)
        .then_some(BareName {
            taken_as: row.text("taken_as").unwrap_or(row.name),
            weaker: row.text("weaker").unwrap_or("unknown"),
        })
}

/// The row of the share of the tensile strength that stands for the shear strength.
pub(super) const SHEAR_OF_TENSILE: &str = "material.shear_share_of_tensile";

/// Shear modulus of an isotropic material.
pub(super) fn isotropic(elastic_modulus: Pressure, poisson: Ratio) -> Pressure {
    from_si(si(elastic_modulus) / (2.0 * (1.0 + poisson.value)))
}

/// Reads a row of materials.
pub(super) fn read_material(row: &mut Reader<'_>) -> Material {
    let laminate = row
        .choice("kind", &[("metal", false), ("laminate", true)])
        .unwrap_or(false);
    let stress = |row: &mut Reader<'_>, key: &str| -> Option<Pressure> {
        Some(row.quantity::<Pressure>(key, Kind::Stress)?.nominal)
    };
    let elastic_modulus = row
        .needed::<Pressure>("elastic_modulus", Kind::Stress, "elastic modulus")
        .nominal;
    let poisson = row
        .needed::<Ratio>("poisson", Kind::Number, "Poisson's ratio")
        .nominal;
    let shear_modulus =
        stress(row, "shear_modulus").unwrap_or_else(|| isotropic(elastic_modulus, poisson));
    let yield_strength = stress(row, "yield");
    let tensile = stress(row, "tensile");
    if let Some(tensile) = tensile {
        row.positive("tensile", tensile);
    }
    let shear = stress(row, "shear");
    let (share, _) = default(SHEAR_OF_TENSILE, Kind::Number);
    let shear_from_tensile = shear.is_none() && tensile.is_some();
    let shear_strength = shear.or_else(|| tensile.map(|t| t * number(share)));
    let face = stress(row, "face_strength").or(if laminate { None } else { yield_strength });
    let expansion = row
        .quantity::<TemperatureCoefficient>("expansion", Kind::Expansion)
        .map(|s| s.nominal);
    if expansion.is_none() {
        row.needed::<TemperatureCoefficient>("expansion", Kind::Expansion, "thermal expansion");
    }
    let material = Material {
        laminate,
        elastic_modulus,
        poisson,
        shear_modulus,
        axial_modulus: stress(row, "axial_modulus"),
        hoop_modulus: stress(row, "hoop_modulus"),
        radial_modulus: stress(row, "radial_modulus"),
        yield_strength,
        shear_strength,
        shear_from_tensile,
        face_strength: face,
        interlaminar_tension: stress(row, "interlaminar_tension"),
        interlaminar_shear: stress(row, "interlaminar_shear"),
        expansion: expansion.unwrap_or(from_si(0.0)),
        anodic_index: row
            .quantity::<ElectricPotential>("anodic_index", Kind::Potential)
            .map(|s| s.nominal),
        conducts: row.flag("conducts").unwrap_or(true),
        steel: row
            .choice("family", &[("steel", true), ("other", false)])
            .unwrap_or(false),
        unknown: false,
    };
    possible::material(&material, |key, fault| {
        // What follows from another key was said there.
        if row.has(key) {
            row.fault(key, fault);
        }
    });
    material
}

/// An adhesive of which nothing is known yet.
pub(super) fn no_adhesive(unknown: bool) -> Adhesive {
    Adhesive {
        shear_modulus: from_si(f64::NAN),
        poisson: number(f64::NAN),
        shear_strength: from_si(f64::NAN),
        tensile_strength: from_si(f64::NAN),
        plastic_shear_strain: number(0.0),
        ageing_factor: number(1.0),
        hot_temperature: celsius(60.0),
        hot_factor: number(1.0),
        endurance_share: number(1.0),
        creep_share: number(1.0),
        expansion: from_si(0.0),
        gap_min: None,
        gap_max: None,
        mix: None,
        density: None,
        cure_least: None,
        metal_only: false,
        unknown,
    }
}

/// Fills an adhesive from its row.
pub(super) fn read_adhesive(row: &mut Reader<'_>, adhesive: &mut Adhesive) {
    let stress = |row: &mut Reader<'_>, key: &str, meaning: &str| -> Pressure {
        row.needed::<Pressure>(key, Kind::Stress, meaning).nominal
    };
    adhesive.shear_modulus = stress(row, "shear_modulus", "shear modulus");
    adhesive.shear_strength = stress(row, "shear_strength", "shear strength");
    adhesive.tensile_strength = stress(row, "tensile_strength", "strength across the layer");
    adhesive.poisson = row
        .needed::<Ratio>("poisson", Kind::Number, "Poisson's ratio")
        .nominal;
    adhesive.plastic_shear_strain = row
        .needed::<Ratio>("plastic_shear_strain", Kind::Number, "0 is brittle")
        .nominal;
    adhesive.hot_temperature = row
        .needed::<ThermodynamicTemperature>(
            "hot_temperature",
            Kind::Temperature,
            "hottest with data",
        )
        .nominal;
    let part = |row: &mut Reader<'_>, key: &str| -> Ratio {
        row.needed::<Ratio>(key, Kind::Number, "a share from 0 to 1")
            .nominal
    };
    adhesive.ageing_factor = part(row, "ageing_factor");
    adhesive.hot_factor = part(row, "hot_factor");
    adhesive.endurance_share = part(row, "endurance_share");
    adhesive.creep_share = part(row, "creep_share");
    adhesive.expansion = row
        .quantity::<TemperatureCoefficient>("expansion", Kind::Expansion)
        .map_or(from_si(0.0), |s| s.nominal);
    adhesive.gap_min = row
        .quantity::<Length>("gap_min", Kind::Length)
        .map(|s| s.nominal);
    adhesive.gap_max = row
        .quantity::<Length>("gap_max", Kind::Length)
        .map(|s| s.nominal);
    adhesive.mix = super::bench::read_mix(row);
    adhesive.density = row
        .quantity::<MassDensity>("density", Kind::Density)
        .map(|s| s.nominal);
    adhesive.cure_least = row
        .quantity::<ThermodynamicTemperature>("cure_temperature", Kind::Temperature)
        .map(|s| s.nominal);
    adhesive.metal_only = row.flag("metal_only").unwrap_or(false);
    possible::adhesive(adhesive, |key, fault| row.fault(key, fault));
}

/// Reads a row of preparations: the share of the strength that it gives.
pub(super) fn read_preparation(row: &mut Reader<'_>) -> Ratio {
    let factor = row
        .needed::<Ratio>("factor", Kind::Number, "a share from 0 to 1")
        .nominal;
    if let Some(fault) = possible::share(factor, 1.0) {
        row.fault("factor", fault);
    }
    factor
}

/// Reads `[bond]`; `pair` where insert and frame both conduct.
fn read_bond(r: &mut Reader<'_>, insert_outer: Length, insert_length: Length, pair: bool) -> Bond {
    let adhesive_unknown = r.says_unknown("bond.adhesive");
    let mut adhesive = no_adhesive(adhesive_unknown);
    if let Some((mut row, name)) = row_reader(
        r,
        "bond.adhesive",
        &tables::ADHESIVES,
        "adhesive",
        "unknown",
        true,
    ) {
        read_adhesive(&mut row, &mut adhesive);
        if !row.has("expansion") {
            r.ledger.note(
                "bond.adhesive: expansion",
                Fact::Quantity(0.0, Unit::PerKelvin),
                Why::Default,
                source_of_default("adhesive.expansion"),
            );
        }
        keep_source(r, "bond.adhesive", &mut row, &name);
        r.found.append(&mut row.found);
    }
    let thickness = r
        .quantity::<Length>("bond.thickness", Kind::Length)
        .map(|s| s.nominal);
    let bore = r
        .quantity::<Length>("bond.bore", Kind::Length)
        .map(|s| s.nominal);
    let from_bore = bore.map(|b| (b - insert_outer) / 2.0);
    let layer = match (thickness, from_bore) {
        (Some(t), Some(b)) if (t - b).abs() > 0.01 * t.abs() + mm(0.002) => {
            r.complain(
                "bond.thickness",
                format!(
                    "a layer of {} does not agree with the bore, which leaves {} per side",
                    show(t),
                    show(b)
                ),
                "give one of them, or mend the other: thickness is per side",
            );
            t
        }
        (Some(t), _) => t,
        (None, Some(b)) => b,
        (None, None) => match super::bench::mean_bore(r) {
            Some(bore) => {
                let layer = (bore - insert_outer) / 2.0;
                assume(r, "bond.thickness", layer);
                layer
            }
            None => {
                r.complain(
                    "bond.thickness",
                    "`bond.thickness` is missing",
                    "write in [bond]: thickness = \"0.2 mm\"  (per side), or bore = \"…\", or [[bond.reading]]",
                );
                mm(f64::NAN)
            }
        },
    };
    let length = length_or(r, "bond.length", insert_length);
    let voids_unknown = r.says_unknown("bond.voids");
    let voids = unknown_or(r, "bond.voids", Kind::Number, voids_unknown);
    let cure_unknown = r.says_unknown("bond.cure_temperature");
    let cure = unknown_or(r, "bond.cure_temperature", Kind::Temperature, cure_unknown);
    let mut preparation = number(1.0);
    let mut preparation_unknown = r.says_unknown("bond.preparation");
    if r.has("bond.preparation") {
        if let Some((mut row, name)) = row_reader(
            r,
            "bond.preparation",
            &tables::PREPARATIONS,
            "preparation",
            "unknown",
            true,
        ) {
            preparation = read_preparation(&mut row);
            keep_source(r, "bond.preparation", &mut row, &name);
            r.found.append(&mut row.found);
        }
    } else if let Some(row) = tables::PREPARATIONS.row("preparation", "unknown") {
        preparation_unknown = true;
        preparation = Reader::new(row.document, &[row.prefix()])
            .quantity::<Ratio>("factor", Kind::Number)
            .map_or(number(f64::NAN), |s| s.nominal);
        r.ledger.note(
            "bond.preparation",
            "unknown",
            Why::Unknown,
            row.provenance(),
        );
        r.ledger
            .sources
            .insert("bond.preparation", format!("unknown: {}", row.provenance()));
    }
    if pair && !r.has("bond.isolated") {
        assume(r, "bond.isolated", "false");
    }
    let isolated = r.flag("bond.isolated").unwrap_or(false);
    // Only a pair of metals, or metal and carbon, asks where it lives.
    if pair && !isolated && !r.has("bond.environment") {
        assume(r, "bond.environment", "outdoor");
    }
    let environment = r
        .choice(
            "bond.environment",
            &[
                ("dry", Environment::Dry),
                ("indoor", Environment::Indoor),
                ("outdoor", Environment::Outdoor),
                ("salt", Environment::Salt),
            ],
        )
        .unwrap_or(Environment::Outdoor);
    let word = match environment {
        Environment::Dry => "dry",
        Environment::Indoor => "indoor",
        Environment::Outdoor => "outdoor",
        Environment::Salt => "salt",
    };
    let row = tables::GALVANIC.row("environment", word);
    if let (true, Some(row)) = (pair && !isolated, row) {
        r.ledger
            .sources
            .insert("bond.environment", format!("{word}: {}", row.provenance()));
    }
    let galvanic_limit = row
        .and_then(|row| {
            Reader::new(row.document, &[row.prefix()])
                .quantity::<ElectricPotential>("limit", Kind::Potential)
        })
        .map_or(from_si(f64::NAN), |s| s.nominal);
    Bond {
        adhesive,
        length,
        thickness: layer,
        voids: number(voids),
        voids_unknown,
        preparation,
        preparation_unknown,
        isolated,
        environment,
        galvanic_limit,
        cure_temperature: from_si(cure),
        cure_unknown,
    }
}

/// A key that may be left out (its default) or be `"unknown"` (its weakest value).
fn unknown_or(r: &mut Reader<'_>, path: &str, kind: Kind, is_unknown: bool) -> f64 {
    if is_unknown {
        let (value, source) = default(&format!("{path}.unknown"), kind);
        let shown = Fact::Quantity(value, kind.unit());
        r.ledger.note(path, shown, Why::Unknown, source);
        return value;
    }
    let (value, source) = default(path, kind);
    match r.spread(path, kind) {
        Some(given) => given.nominal,
        None => {
            let shown = Fact::Quantity(value, kind.unit());
            r.ledger.note(path, shown, Why::Default, source);
            value
        }
    }
}

/// Where the seat ends that the job does not give.
pub(super) fn seat_end(flange: Length, frame_outer: Length) -> Length {
    if flange < frame_outer {
        flange
    } else {
        frame_outer
    }
}

fn read_seat(
    r: &mut Reader<'_>,
    thread_major: Length,
    flange: Length,
    frame_outer: Length,
) -> Seat {
    let inner = length_or(r, "seat.inner_diameter", thread_major);
    // The flange cuts the ring off wherever the ring is used.
    let outer = length_or(r, "seat.outer_diameter", seat_end(flange, frame_outer));
    let face_strength = r
        .quantity::<Pressure>("seat.face_strength", Kind::Stress)
        .map(|s| s.nominal);
    let mut gaps = Vec::new();
    for element in r.elements("seat.gap") {
        let chain = [format!("{element}.")];
        r.with_prefixes(&chain, |r| {
            if !r.has("at") {
                r.complain(
                    "at",
                    "a feeler reading without its place",
                    "write at = \"4:30\"",
                );
            }
            let at = r.clock("at");
            let gap = r.needed::<Length>("gap", Kind::Length, "goes .. does not go");
            r.not_negative("gap", gap.low);
            if let Some(at) = at {
                if gaps
                    .iter()
                    .any(|g: &GapReading| (g.at - at).abs() < degree(0.01))
                {
                    r.complain(
                        "at",
                        "a second reading at the same place",
                        "keep one of them",
                    );
                }
                gaps.push(GapReading { at, gap });
            }
        });
    }
    gaps.sort_by(|a, b| si(a.at).total_cmp(&si(b.at)));
    if gaps.is_empty() {
        assume(r, "seat.gap", "none");
    }
    Seat {
        inner_diameter: inner,
        outer_diameter: outer,
        face_strength,
        gaps,
    }
}

/// Reads a row of friction: thread and seat.
pub(super) fn read_friction(row: &mut Reader<'_>) -> (Spread<Ratio>, Spread<Ratio>) {
    let mut of = |key: &str| {
        let value = row.needed::<Ratio>(key, Kind::Number, "a range");
        if let Some(fault) = possible::coefficient(&value) {
            row.fault(key, fault);
        }
        value
    };
    (of("thread"), of("seat"))
}

/// A torque wrench's own error, which differs with the torque.
#[derive(Debug, Clone, Copy)]
pub(super) struct ToolErrors {
    limit: Torque,
    to_limit: f64,
    above: f64,
}

impl ToolErrors {
    pub(super) fn from_table() -> ToolErrors {
        ToolErrors {
            limit: from_si(default("tool.error.limit", Kind::Torque).0),
            to_limit: default("tool.error.to_10_Nm", Kind::Number).0,
            above: default("tool.error.above_10_Nm", Kind::Number).0,
        }
    }
    fn of(&self, torque: Torque) -> f64 {
        if torque > self.limit {
            self.above
        } else {
            self.to_limit
        }
    }
    fn source(&self, torque: Torque) -> String {
        source_of_default(if torque > self.limit {
            "tool.error.above_10_Nm"
        } else {
            "tool.error.to_10_Nm"
        })
    }
    /// A torque given as one value, with the error around it: two standard deviations.
    pub(super) fn around(&self, torque: Torque) -> Spread<Torque> {
        let error = self.of(torque);
        Spread {
            nominal: torque,
            low: from_si(si(torque * number(1.0 - error))),
            high: from_si(si(torque * number(1.0 + error))),
            shape: Shape::Normal,
        }
    }
}

fn read_tightening(r: &mut Reader<'_>) -> Tightening {
    let given = r.needed::<Torque>(
        "tightening.torque",
        Kind::Torque,
        "from the makers' instructions, with or without spread",
    );
    let tool = given.shape == Shape::Exact;
    let torque = if tool {
        let errors = ToolErrors::from_table();
        let error = errors.of(given.nominal);
        if si(given.nominal).is_finite() {
            r.ledger.note(
                "tightening.torque: tool error",
                Fact::Text(format!("± {}", percent(number(error)))),
                Why::Default,
                errors.source(given.nominal),
            );
        }
        errors.around(given.nominal)
    } else {
        given
    };
    let mut from_row = (None, None);
    let mut friction_unknown = false;
    let mut locker = false;
    let of_its_own = ["tightening.thread_friction", "tightening.seat_friction"].map(|k| r.has(k));
    if r.has("tightening.lubrication") {
        let noted = r.ledger.assumed.len();
        if let Some((mut row, name)) = row_reader(
            r,
            "tightening.lubrication",
            &tables::FRICTION,
            "friction",
            "unknown",
            true,
        ) {
            let (thread, seat) = read_friction(&mut row);
            locker = row.flag("locker").unwrap_or(false);
            from_row = (Some(thread), Some(seat));
            if of_its_own == [true, true] {
                // Both coefficients are given: the row is named and not used.
                r.ledger.assumed.truncate(noted);
            } else {
                friction_unknown =
                    name == "unknown" && r.document.below("friction.unknown.").is_empty();
                keep_source(r, "tightening.lubrication", &mut row, &name);
            }
            r.found.append(&mut row.found);
        }
    } else if of_its_own != [true, true] {
        r.complain("tightening.lubrication", "`tightening.lubrication` is missing", "write in [tightening]: lubrication = \"greased\", or give thread_friction and seat_friction");
    }
    let friction = |r: &mut Reader<'_>, key: &str, row: Option<Spread<Ratio>>| match r
        .quantity::<Ratio>(key, Kind::Number)
    {
        Some(given) => given,
        None => row.unwrap_or(Spread::exact(number(f64::NAN))),
    };
    if friction_unknown {
        let ranges = [
            ("tightening.thread_friction", from_row.0),
            ("tightening.seat_friction", from_row.1),
        ];
        for ((key, range), given) in ranges.into_iter().zip(of_its_own) {
            if let (Some(range), false) = (range, given) {
                let end = |value: Ratio| display::significant(value.value, 3);
                let value = format!("{} .. {}", end(range.low), end(range.high));
                let source = source_of_default("tightening.friction.unknown");
                r.ledger.note(key, Fact::Text(value), Why::Unknown, source);
            }
        }
    }
    let thread_friction = friction(r, "tightening.thread_friction", from_row.0);
    let seat_friction = friction(r, "tightening.seat_friction", from_row.1);
    let relaxation = match r.quantity::<Ratio>("tightening.relaxation", Kind::Number) {
        Some(given) => Relaxation {
            stated: true,
            on_insert: given.nominal,
            on_frame: given.nominal,
        },
        // Which of them is used depends on what bears; the report notes that one.
        None => Relaxation {
            stated: false,
            on_insert: number(default(RELAXATION_ON_INSERT, Kind::Number).0),
            on_frame: number(default(RELAXATION_ON_FRAME, Kind::Number).0),
        },
    };
    if !r.has("tightening.retightened") {
        assume(r, "tightening.retightened", "false");
    }
    let retightened = r.flag("tightening.retightened").unwrap_or(false);
    // Tightened again after settling, a joint settles no more.
    let embedding: Length = if retightened && !r.has("tightening.embedding") {
        mm(0.0)
    } else {
        or_default::<Length>(r, "tightening.embedding", Kind::Length).nominal
    };
    let removal_torque = r
        .quantity::<Torque>("tightening.removal_torque", Kind::Torque)
        .map(|s| s.nominal);
    let wrench = r
        .quantity::<Length>("tightening.wrench_length", Kind::Length)
        .map(|s| s.nominal);
    let extension = r
        .quantity::<Length>("tightening.extension", Kind::Length)
        .map(|s| s.nominal);
    if extension.is_some() && wrench.is_none() {
        r.complain(
            "tightening.extension",
            "an extension without the wrench that it sits on",
            "write in [tightening]: wrench_length = \"400 mm\"  (grip to drive)",
        );
    }
    let crowfoot = wrench.map(|w| (w, extension.unwrap_or(mm(0.0))));
    let mut maker: Vec<Spread<Torque>> = r
        .quantity::<Torque>("tightening.maker_torque", Kind::Torque)
        .into_iter()
        .collect();
    for element in r.elements("tightening.maker_torque") {
        let range = r.with_prefixes(&[String::new()], |r| {
            r.quantity::<Torque>(&element, Kind::Torque)
        });
        maker.extend(range);
    }
    let maker_torque = maker
        .iter()
        .copied()
        .map(|s| (s.low, s.high))
        .reduce(|a, b| {
            (
                if b.0 > a.0 { b.0 } else { a.0 },
                if b.1 < a.1 { b.1 } else { a.1 },
            )
        });
    Tightening {
        torque,
        tool_error: tool,
        thread_friction,
        seat_friction,
        friction_unknown,
        relaxation,
        embedding,
        retightened,
        removal_torque,
        crowfoot,
        maker_torque,
        locker,
    }
}

/// The row of the share of preload lost with the seat wholly on the insert.
pub(crate) const RELAXATION_ON_INSERT: &str = "tightening.relaxation";
/// The same with any part of it on the frame.
pub(crate) const RELAXATION_ON_FRAME: &str = "tightening.relaxation.on_frame";

/// A share as people write it.
pub(crate) fn percent(share: Ratio) -> String {
    format!("{} %", display::significant(share.value * 100.0, 3))
}

fn read_need(r: &mut Reader<'_>, steel: bool) -> Need {
    let mut one = |key: &str| -> Ratio {
        let path = format!("need.{key}");
        let (value, source) = default(&path, Kind::Number);
        let need: Ratio = match r.quantity::<Ratio>(&path, Kind::Number) {
            Some(given) => given.nominal,
            None => {
                let shown = Fact::Quantity(value, Unit::None);
                r.ledger.note(path.clone(), shown, Why::Default, source);
                number(value)
            }
        };
        need
    };
    Need {
        strip: one("strip"),
        hoop: one("hoop"),
        neck: one("neck"),
        flange: one("flange"),
        bond: one("bond"),
        bond_endurance: one("bond_endurance"),
        crush: one("crush"),
        seat_open: one("seat_open"),
        slip: one("slip"),
        removal: one("removal"),
        contact: one("contact"),
        wall: read_wall(r, steel),
    }
}

/// The row of the wall that shops leave in the insert's metal.
pub(crate) fn wall_row(steel: bool) -> &'static str {
    if steel {
        "need.wall.steel"
    } else {
        "need.wall"
    }
}

/// The wall that a repair must leave. Only repairs ask for it, so that the ledger stays silent about it.
fn read_wall(r: &mut Reader<'_>, steel: bool) -> Length {
    let path = "need.wall";
    r.quantity::<Length>(path, Kind::Length).map_or_else(
        || from_si(default(wall_row(steel), Kind::Length).0),
        |s| s.nominal,
    )
}

fn read_case(
    r: &mut Reader<'_>,
    bearing_outboard: Length,
    other_bearing: Option<Length>,
    repeats: Repeats,
) -> LoadCase {
    let pedalling = r.has_table("pedalling").then(|| {
        let force = r
            .needed::<Force>("pedalling.force", Kind::Force, "on one pedal")
            .nominal;
        let pedal_offset = r
            .needed::<Length>(
                "pedalling.pedal_offset",
                Kind::Length,
                "centre plane to pedal",
            )
            .nominal;
        let crank = r
            .needed::<Length>("pedalling.crank", Kind::Length, "crank length")
            .nominal;
        let chainring_radius = r
            .needed::<Length>("pedalling.chainring_radius", Kind::Length, "pitch radius")
            .nominal;
        let chainline = r
            .needed::<Length>("pedalling.chainline", Kind::Length, "centre plane to chain")
            .nominal;
        let inclination: Angle = or_default(r, "pedalling.inclination", Kind::Angle).nominal;
        let crank_angle: Angle = or_default(r, "pedalling.crank_angle", Kind::Angle).nominal;
        or_default::<Ratio>(r, "pedalling.cycles", Kind::Number);
        Pedalling {
            force,
            pedal_offset,
            crank,
            chainring_radius,
            chainline,
            inclination,
            crank_angle,
        }
    });
    let far = r
        .quantity::<Length>("pedalling.far_bearing_outboard", Kind::Length)
        .map(|s| s.nominal);
    let far_outboard = far.unwrap_or_else(|| {
        let (value, source) = match other_bearing {
            Some(other) => (other, "the other side's fitting.bearing_outboard"),
            None => (bearing_outboard, "the same as fitting.bearing_outboard"),
        };
        if pedalling.is_some() {
            r.ledger.note(
                "pedalling.far_bearing_outboard",
                value,
                Why::Default,
                source,
            );
        }
        value
    });
    let loads = DirectLoads {
        axial: or_default(r, "loads.axial", Kind::Force).nominal,
        radial: or_default(r, "loads.radial", Kind::Force).nominal,
        moment: or_default(r, "loads.moment", Kind::Torque).nominal,
        torque: or_default(r, "loads.torque", Kind::Torque).nominal,
    };
    let temperature = |r: &mut Reader<'_>, short: &str, path: &str| -> ThermodynamicTemperature {
        match r.quantity(short, Kind::Temperature) {
            Some(given) => given.nominal,
            None => or_default::<ThermodynamicTemperature>(r, path, Kind::Temperature).nominal,
        }
    };
    let coldest = temperature(r, "coldest", "bond.coldest");
    let hottest = temperature(r, "hottest", "bond.hottest");
    LoadCase {
        repeats,
        pedalling,
        far_outboard,
        loads,
        coldest,
        hottest,
    }
}
