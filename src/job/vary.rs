//! Entries of a resolved job changed quickly, for studies of very many points.
//!
//! The resolver stays the authority on what a job means. A [`Varying`] knows from the document where a number
//! ends up in the assembly and what follows from it; [`Varying::check`] holds that against the resolver at points of
//! the study. Where they differ, or where an entry has no such short way, every point goes through the resolver:
//! slow, and right.

use super::assembly::*;
use super::diagnostic::Diagnostic;
use super::document::{Document, canonical};
use super::possible::{self, Fault};
use super::read::Reader;
use super::resolve::{Job, SHEAR_OF_TENSILE, ToolErrors, default, resolve_changed};
use super::schema::{self, Takes};
use crate::units::parse::{Kind, Shape, Spread};
use crate::units::*;

/// An entry that is varied.
#[derive(Debug, Clone, PartialEq)]
pub struct Varied {
    /// Its path.
    pub path: String,
    /// What it takes.
    pub kind: Kind,
    /// The value of the job, SI base units: as stated, or the default in use; nothing where there is neither.
    pub nominal: Option<f64>,
}

/// Why a point cannot be computed.
#[derive(Debug, Clone, PartialEq)]
pub enum Impossible {
    /// Parts that do not fit: the path concerned and what is wrong.
    Parts(&'static str, Fault),
    /// A value that its entry cannot have: which of those varied, and what is wrong.
    Value(usize, Fault),
    /// What the resolver said.
    Refused(String),
}

/// The assemblies of all sides at one point; kept from point to point.
#[derive(Debug, Clone)]
pub struct Scratch {
    /// One assembly per side, in the order of the job.
    pub sides: Vec<Assembly>,
}

type Set = Box<dyn Fn(&mut Assembly, f64) + Send + Sync>;
type Get = Box<dyn Fn(&Assembly) -> Option<f64> + Send + Sync>;

/// What a value must be, beyond what the list of impossible parts says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Limit {
    None,
    Positive,
    NotNegative,
    Coefficient,
}

impl Limit {
    fn fault(self, value: f64) -> Option<Fault> {
        match self {
            Limit::Positive if value <= 0.0 => Some(Fault::NotPositive),
            Limit::NotNegative if value < 0.0 => Some(Fault::Negative),
            Limit::Coefficient => possible::coefficient(&Spread::exact(number(value))),
            _ => None,
        }
    }
}

/// The place of one number in an assembly.
struct Slot {
    set: Set,
    get: Get,
    limit: Limit,
}

impl Slot {
    fn new(
        set: impl Fn(&mut Assembly, f64) + Send + Sync + 'static,
        get: impl Fn(&Assembly) -> Option<f64> + Send + Sync + 'static,
    ) -> Slot {
        Slot {
            set: Box::new(set),
            get: Box::new(get),
            limit: Limit::None,
        }
    }
    /// An entry that the assembly does not hold.
    fn nowhere() -> Slot {
        Slot::new(|_, _| {}, |_| None)
    }
    fn limited(self, limit: Limit) -> Slot {
        Slot { limit, ..self }
    }
}

/// A plain quantity.
macro_rules! plain {
    ($($place:tt)+) => {
        Slot::new(|a, v| a.$($place)+ = from_si(v), |a| Some(si(a.$($place)+)))
    };
}
/// A quantity that may be absent.
macro_rules! optional {
    ($($place:tt)+) => {
        Slot::new(|a, v| a.$($place)+ = Some(from_si(v)), |a| a.$($place)+.map(si))
    };
}
/// A quantity with a spread, which collapses.
macro_rules! spread {
    ($($place:tt)+) => {
        Slot::new(|a, v| a.$($place)+ = Spread::exact(from_si(v)), |a| Some(si(a.$($place)+.nominal)))
    };
}
/// A quantity of the part under the head, where there is one.
macro_rules! within {
    ($part:ident, |$x:ident| $place:expr) => {
        Slot::new(
            |a, v| {
                if let Some($x) = &mut a.$part {
                    $place = from_si(v);
                }
            },
            |a| a.$part.as_ref().map(|$x| si($place)),
        )
    };
}

/// A number that another follows from.
#[derive(Debug, Clone, Copy)]
enum Input {
    Fixed(f64),
    Varied(usize),
}

impl Input {
    fn get(self, values: &[f64]) -> f64 {
        match self {
            Input::Fixed(value) => value,
            Input::Varied(index) => values.get(index).copied().unwrap_or(f64::NAN),
        }
    }
}

/// What the thickness of the glue follows from.
#[derive(Debug, Clone, Copy)]
enum Layer {
    Stated,
    Bore(Input),
    Readings,
}

/// What the far bearing follows from.
#[derive(Debug, Clone, Copy)]
enum Far {
    Stated,
    OtherSide(Input),
    Own,
}

/// A material of the job's own, and what in it follows from the rest.
#[derive(Clone, Copy)]
struct OwnMaterial {
    part: Part,
    shear_modulus_follows: bool,
    face_follows: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Insert,
    Frame,
    Fitting,
    Clamped,
}

const PARTS: [(Part, &str); 4] = [
    (Part::Insert, "insert.material"),
    (Part::Frame, "frame.material"),
    (Part::Fitting, "fitting.material"),
    (Part::Clamped, "clamped.material"),
];

impl Part {
    fn of(self, a: &Assembly) -> Option<&Material> {
        match self {
            Part::Insert => Some(&a.insert.material),
            Part::Frame => Some(&a.frame.material),
            Part::Fitting => Some(&a.fitting.material),
            Part::Clamped => a.clamped.as_ref().map(|c| &c.material),
        }
    }
    fn of_mut(self, a: &mut Assembly) -> Option<&mut Material> {
        match self {
            Part::Insert => Some(&mut a.insert.material),
            Part::Frame => Some(&mut a.frame.material),
            Part::Fitting => Some(&mut a.fitting.material),
            Part::Clamped => a.clamped.as_mut().map(|c| &mut c.material),
        }
    }
}

/// One side: where the numbers go and what follows from them.
struct Links {
    slots: Vec<(usize, Slot)>,
    layer: Layer,
    bond_length_follows: bool,
    seat_outer_follows: bool,
    clamped_outer_follows: bool,
    far: Vec<Far>,
    materials: Vec<OwnMaterial>,
    own_adhesive: bool,
}

impl Links {
    /// Puts what follows from the numbers that are in place, as the resolver does.
    fn follow(&self, a: &mut Assembly, values: &[f64]) {
        for own in &self.materials {
            let (shear, face) = (own.shear_modulus_follows, own.face_follows);
            if let Some(m) = own.part.of_mut(a) {
                if shear {
                    m.shear_modulus = super::resolve::isotropic(m.elastic_modulus, m.poisson);
                }
                if face {
                    m.face_strength = m.yield_strength;
                }
            }
        }
        let outer = a.insert.outer_diameter;
        match self.layer {
            Layer::Stated => {}
            Layer::Bore(bore) => {
                a.bond.thickness = (from_si::<_>(bore.get(values)) - outer) / 2.0;
            }
            Layer::Readings => {
                if let Some(bore) = super::bench::mean(&a.bench.readings) {
                    a.bond.thickness = (bore - outer) / 2.0;
                }
            }
        }
        if self.bond_length_follows {
            a.bond.length = a.insert.length;
        }
        let flange = a.fitting.flange_diameter;
        if self.seat_outer_follows {
            a.seat.outer_diameter = super::resolve::seat_end(flange, a.frame.outer_diameter);
        }
        if let (true, Some(clamped)) = (self.clamped_outer_follows, &mut a.clamped) {
            clamped.outer_diameter = flange;
        }
        let own = a.fitting.bearing_outboard;
        for (case, far) in a.cases.iter_mut().zip(&self.far) {
            match far {
                Far::Stated => {}
                Far::OtherSide(input) => case.far_outboard = from_si(input.get(values)),
                Far::Own => case.far_outboard = own,
            }
        }
    }

    /// What is wrong with the parts as they are.
    fn fault(&self, a: &Assembly) -> Option<(&'static str, Fault)> {
        let mut first = None;
        possible::parts(a, |path, _, fault| {
            first.get_or_insert((path, fault));
        });
        for own in &self.materials {
            if let Some(m) = own.part.of(a) {
                possible::material(m, |key, fault| {
                    first.get_or_insert((key, fault));
                });
            }
        }
        if self.own_adhesive {
            possible::adhesive(&a.bond.adhesive, |key, fault| {
                first.get_or_insert((key, fault));
            });
        }
        first
    }
}

/// A job with some of its entries free.
pub struct Varying {
    base: Document,
    job: Job,
    varied: Vec<Varied>,
    template: Vec<Assembly>,
    links: Vec<Links>,
    fast: bool,
    drawn: bool,
}

impl Varying {
    /// Prepares a job for changes of the entries at some paths, each of which takes a number.
    ///
    /// # Errors
    /// What is wrong with the job or with a path; the place of a finding about a path means nothing.
    pub fn new(document: &Document, paths: &[String]) -> Result<Varying, Vec<Diagnostic>> {
        let base = document.with(&[]);
        let job = resolve_changed(&base)?;
        let mut with_all = base.clone();
        let mut varied: Vec<Varied> = Vec::new();
        let mut found = Vec::new();
        for path in paths {
            match entry_of(&mut with_all, path) {
                Ok(entry) if varied.iter().any(|v| v.path == entry.path) => {
                    found.push(Diagnostic {
                        message: format!("`{}` is varied twice", entry.path),
                        place: document.place_of_entry(&entry.path),
                        help: "name each entry once".into(),
                    });
                }
                Ok(entry) => varied.push(entry),
                Err(finding) => found.push(finding),
            }
        }
        if !found.is_empty() {
            return Err(found);
        }
        let names: Vec<&str> = varied.iter().map(|v| v.path.as_str()).collect();
        let links: Option<Vec<Links>> = (0..job.sides.len())
            .map(|side| links(&with_all, &job, side, &names))
            .collect();
        let mut fast = links.as_ref().is_some_and(|links| {
            (0..names.len()).all(|i| links.iter().any(|l| l.slots.iter().any(|(at, _)| *at == i)))
        });
        let links = links.unwrap_or_default();
        for (i, entry) in varied.iter_mut().enumerate() {
            entry.nominal = entry.nominal.or_else(|| {
                job.sides
                    .iter()
                    .zip(&links)
                    .flat_map(|(side, l)| l.slots.iter().map(move |slot| (side, slot)))
                    .find(|(_, (at, _))| *at == i)
                    .and_then(|(side, (_, slot))| (slot.get)(&side.assembly))
            });
        }
        let mut template: Vec<Assembly> = job.sides.iter().map(|s| s.assembly.clone()).collect();
        let mut at_base = base.clone();
        for entry in &varied {
            let value = entry.nominal.unwrap_or_else(|| probe(entry.kind));
            // The same path was put in before.
            let _ = at_base.put_number(&entry.path, value);
        }
        match resolve_changed(&at_base) {
            Ok(at_base) => template = at_base.sides.into_iter().map(|s| s.assembly).collect(),
            Err(_) => fast = false,
        }
        Ok(Varying {
            base,
            job,
            varied,
            template,
            links,
            fast,
            drawn: false,
        })
    }

    /// The same for values that are drawn: a torque then is what the screw gets, without the tool's error around it,
    /// and friction that is not known stays so.
    pub fn drawn(mut self) -> Varying {
        self.drawn = true;
        for (side, own) in self.template.iter_mut().zip(&self.job.sides) {
            exactly(side, &own.assembly);
        }
        self
    }

    /// The entries, in the order of the paths.
    pub fn kinds(&self) -> &[Varied] {
        &self.varied
    }

    /// The job as it is stated.
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// Does every entry have a short way, so that a point costs next to nothing?
    pub fn fast(&self) -> bool {
        self.fast
    }

    /// Holds the short way against the resolver: at both ends and the middle of each range, all others as stated, and
    /// at corners of all ranges together. Where they differ, the resolver serves from then on.
    pub fn check(&mut self, ranges: &[(f64, f64)]) {
        if !self.fast {
            return;
        }
        let middle = |(low, high): &(f64, f64)| 0.5 * (low + high);
        let home: Vec<f64> = self
            .varied
            .iter()
            .zip(ranges)
            .map(|(entry, range)| entry.nominal.unwrap_or_else(|| middle(range)))
            .collect();
        let mut points = vec![home.clone()];
        for (i, range) in ranges.iter().enumerate().take(home.len()) {
            for value in [range.0, middle(range), range.1] {
                let mut point = home.clone();
                point[i] = value;
                points.push(point);
            }
        }
        for corner in 0..CORNERS {
            let bits = corner.wrapping_mul(MIXER).rotate_left(29);
            let end = |(i, range): (usize, &(f64, f64))| match bits >> (2 * (i % 32)) & 3 {
                0 => range.0,
                1 => range.1,
                2 => middle(range),
                _ => range.0 + 0.25 * (range.1 - range.0),
            };
            points.push(ranges.iter().enumerate().map(end).collect());
        }
        let mut scratch = self.scratch();
        let agrees = |point: &Vec<f64>| {
            let quick = self.put_quickly(point, &mut scratch);
            match (quick, self.resolved(point)) {
                (Ok(()), Ok(sides)) => sides == scratch.sides,
                (Err(_), Err(_)) => true,
                _ => false,
            }
        };
        self.fast = points.iter().all(agrees);
    }

    /// Room for the assemblies of a point.
    pub fn scratch(&self) -> Scratch {
        Scratch {
            sides: self.template.clone(),
        }
    }

    /// Puts values, SI base units and without spread, in the order of the paths. After an error the scratch serves
    /// for further points, but holds nothing of worth.
    ///
    /// # Errors
    /// [`Impossible`] where the resolver would refuse the job.
    pub fn put(&self, values: &[f64], into: &mut Scratch) -> Result<(), Impossible> {
        if self.fast {
            self.put_quickly(values, into)
        } else {
            into.sides = self.resolved(values)?;
            Ok(())
        }
    }

    fn put_quickly(&self, values: &[f64], into: &mut Scratch) -> Result<(), Impossible> {
        for (i, (value, entry)) in values.iter().zip(&self.varied).enumerate() {
            if !value.is_finite() || possible::no_size(entry.kind, *value) {
                return Err(Impossible::Value(i, Fault::NoSize));
            }
        }
        for (a, links) in into.sides.iter_mut().zip(&self.links) {
            for (i, slot) in &links.slots {
                let value = values.get(*i).copied().unwrap_or(f64::NAN);
                if let Some(fault) = slot.limit.fault(value) {
                    return Err(Impossible::Value(*i, fault));
                }
                (slot.set)(a, value);
            }
            links.follow(a, values);
            if let Some((path, fault)) = links.fault(a) {
                return Err(Impossible::Parts(path, fault));
            }
            if self.drawn {
                a.tightening.torque = torque_drawn(&a.tightening);
            }
        }
        Ok(())
    }

    /// The same by way of the resolver.
    ///
    /// # Errors
    /// What the resolver says first.
    pub fn resolved(&self, values: &[f64]) -> Result<Vec<Assembly>, Impossible> {
        let mut document = self.base.clone();
        for (i, (value, entry)) in values.iter().zip(&self.varied).enumerate() {
            if !value.is_finite() {
                return Err(Impossible::Value(i, Fault::NoSize));
            }
            document
                .put_number(&entry.path, *value)
                .map_err(|finding| Impossible::Refused(finding.message))?;
        }
        let job = resolve_changed(&document).map_err(|findings| {
            let first = findings.into_iter().next();
            Impossible::Refused(first.map_or_else(String::new, |d| d.message))
        })?;
        let mut sides: Vec<Assembly> = job.sides.into_iter().map(|s| s.assembly).collect();
        if self.drawn {
            for (side, own) in sides.iter_mut().zip(&self.job.sides) {
                exactly(side, &own.assembly);
            }
        }
        Ok(sides)
    }

    /// A reason in words.
    pub fn reason(&self, why: &Impossible) -> String {
        match why {
            Impossible::Parts(path, fault) => fault.tell(path).0,
            Impossible::Value(i, fault) => {
                let path = self.varied.get(*i).map_or("", |v| v.path.as_str());
                fault.tell(path).0
            }
            Impossible::Refused(text) => text.clone(),
        }
    }
}

/// How many corners of all ranges together are looked at.
const CORNERS: u64 = 8;
/// Mixes the number of a corner: the odd number next to 2^64 over the golden ratio.
const MIXER: u64 = 0x9e37_79b9_7f4a_7c15;

/// A torque and a friction as a draw has them.
fn exactly(side: &mut Assembly, own: &Assembly) {
    side.tightening.torque = torque_drawn(&side.tightening);
    side.tightening.friction_unknown = own.tightening.friction_unknown;
}

/// The spread that is a tool's error does not count where the torque itself is drawn.
fn torque_drawn(t: &Tightening) -> Spread<Torque> {
    if t.tool_error {
        Spread::exact(t.torque.nominal)
    } else {
        t.torque
    }
}

/// A value for an entry that has none yet, SI base units: anything that a job may hold.
fn probe(kind: Kind) -> f64 {
    match kind {
        Kind::Length => 1.0,
        Kind::Pitch => 1e-3,
        Kind::Temperature => 350.0,
        Kind::Number => 0.5,
        _ => 1.0,
    }
}

/// What is to be varied, put into the document for the first time.
fn entry_of(document: &mut Document, path: &str) -> Result<Varied, Diagnostic> {
    let path = canonical(path.trim());
    let takes = schema::pattern_of(&path)
        .ok()
        .and_then(|pattern| schema::takes(&pattern));
    let stated = document.get(&path).is_some();
    let kind = match takes {
        Some(Takes::Quantity(kind)) => kind,
        Some(_) => {
            return Err(Diagnostic {
                message: format!("`{path}` takes no number"),
                place: document.place_of_entry(&path),
                help: "vary an entry that takes a quantity or a plain number".into(),
            });
        }
        // Where there is no such entry, putting one in says what is wrong.
        None => Kind::Number,
    };
    let mut reader = Reader::new(document, &[String::new()]);
    let nominal = stated
        .then(|| reader.spread(&path, kind).map(|s| s.nominal))
        .flatten()
        .filter(|value| value.is_finite());
    document.put_number(&path, nominal.unwrap_or_else(|| probe(kind)))?;
    Ok(Varied {
        path,
        kind,
        nominal,
    })
}

/// The prefixes of a side, its own first.
fn chain_of(job: &Job, side: usize) -> Vec<String> {
    let own = &job.sides[side].prefix;
    if own.is_empty() {
        vec![String::new()]
    } else {
        vec![own.clone(), String::new()]
    }
}

/// Where the numbers at some paths go on one side of a job; nothing where that takes the resolver.
fn links(document: &Document, job: &Job, side: usize, paths: &[&str]) -> Option<Links> {
    let a = &job.sides[side].assembly;
    let chain = chain_of(job, side);
    let mut r = Reader::new(document, &chain);
    let (thickness, bore) = (r.has("bond.thickness"), r.has("bond.bore"));
    let varied = |reader: &Reader<'_>, key: &str| {
        let full = reader.entry(key).map(|(full, _)| full);
        paths.iter().position(|p| Some(*p) == full.as_deref())
    };
    // Both given must agree, which the resolver says.
    let layer_keys = ["bond.thickness", "bond.bore", "insert.outer_diameter"];
    if thickness && bore && layer_keys.iter().any(|k| varied(&r, k).is_some()) {
        return None;
    }
    let input = |reader: &mut Reader<'_>, key: &str| -> Option<Input> {
        match varied(reader, key) {
            Some(index) => Some(Input::Varied(index)),
            None => reader
                .spread(key, Kind::Length)
                .map(|s| Input::Fixed(s.nominal)),
        }
    };
    let layer = if thickness {
        Layer::Stated
    } else if bore {
        Layer::Bore(input(&mut r, "bond.bore")?)
    } else {
        Layer::Readings
    };
    let other = if job.sides.len() == 2 {
        let mut other = Reader::new(document, &chain_of(job, 1 - side));
        input(&mut other, "fitting.bearing_outboard")
    } else {
        None
    };
    let case_chain = |case: usize| {
        let mut chain = chain.clone();
        if case > 0 {
            chain.insert(0, format!("case[{}].", case - 1));
        }
        chain
    };
    let far = (0..a.cases.len())
        .map(|case| {
            let stated =
                Reader::new(document, &case_chain(case)).has("pedalling.far_bearing_outboard");
            match (stated, other) {
                (true, _) => Far::Stated,
                (false, Some(input)) => Far::OtherSide(input),
                (false, None) => Far::Own,
            }
        })
        .collect();
    let mut links = Links {
        slots: Vec::new(),
        layer,
        bond_length_follows: !r.has("bond.length"),
        seat_outer_follows: !r.has("seat.outer_diameter"),
        clamped_outer_follows: !r.has("clamped.outer_diameter"),
        far,
        materials: Vec::new(),
        own_adhesive: false,
    };
    for (i, path) in paths.iter().enumerate() {
        let parts = schema::parts(path);
        match parts.iter().map(String::as_str).collect::<Vec<_>>()[..] {
            ["material", name, key] => {
                for (part, entry) in PARTS {
                    if r.text_quiet(entry).is_some_and(|text| text.trim() == name)
                        && part.of(a).is_some()
                    {
                        let prefix = path.trim_end_matches(key);
                        let row = Reader::new(document, &[prefix.to_string()]);
                        links.slots.push((i, material_slot(part, key, &row)?));
                        links.materials.push(OwnMaterial {
                            part,
                            shear_modulus_follows: !row.has("shear_modulus"),
                            face_follows: !row.has("face_strength")
                                && part.of(a).is_some_and(|m| !m.laminate),
                        });
                    }
                }
            }
            ["adhesive", name, key]
                if r.text_quiet("bond.adhesive")
                    .is_some_and(|text| text.trim() == name) =>
            {
                links.slots.push((i, adhesive_slot(key)?));
                links.own_adhesive = true;
            }
            ["friction", name, key]
                if r.text_quiet("tightening.lubrication")
                    .is_some_and(|text| text.trim() == name) =>
            {
                let stated = r.has(&format!("tightening.{key}_friction"));
                let slot = match (key, stated) {
                    ("thread", false) => spread!(tightening.thread_friction),
                    ("seat", false) => spread!(tightening.seat_friction),
                    _ => Slot::nowhere(),
                };
                links.slots.push((i, slot.limited(Limit::Coefficient)));
            }
            ["preparation", name, "factor"]
                if r.text_quiet("bond.preparation")
                    .is_some_and(|text| text.trim() == name) =>
            {
                links.slots.push((i, plain!(bond.preparation)));
            }
            [
                "material" | "adhesive" | "friction" | "preparation" | "threads",
                ..,
            ] => {}
            _ => {
                let own = chain
                    .iter()
                    .map(String::as_str)
                    .find_map(|prefix| path.strip_prefix(prefix).filter(|_| !prefix.is_empty()));
                let key = own.unwrap_or(path);
                if let Some(slot) = element_slot(&mut r, path) {
                    links.slots.push((i, slot));
                } else if varied(&r, key) == Some(i)
                    && let Some(slot) = side_slot(key, &r)
                {
                    links.slots.push((i, slot));
                }
                for case in 0..a.cases.len() {
                    let reader = Reader::new(document, &case_chain(case));
                    let prefix = format!("case[{}].", case.wrapping_sub(1));
                    let key = path.strip_prefix(&prefix).or(own).unwrap_or(path);
                    // A case's own word for a temperature comes first.
                    let hidden = key
                        .strip_prefix("bond.")
                        .is_some_and(|short| case > 0 && reader.has(short));
                    if varied(&reader, key) == Some(i)
                        && !hidden
                        && let Some(slot) = case_slot(key, case)
                    {
                        links.slots.push((i, slot));
                    }
                }
            }
        }
    }
    Some(links)
}

fn material_slot(part: Part, key: &str, row: &Reader<'_>) -> Option<Slot> {
    macro_rules! of {
        (|$m:ident| $place:expr) => {
            Slot::new(
                move |a, v| {
                    if let Some($m) = part.of_mut(a) {
                        $place = from_si(v);
                    }
                },
                move |a| part.of(a).map(|$m| si($place)),
            )
        };
    }
    macro_rules! strength {
        ($field:ident) => {
            Slot::new(
                move |a, v| {
                    if let Some(m) = part.of_mut(a) {
                        m.$field = Some(from_si(v));
                    }
                },
                move |a| part.of(a).and_then(|m| m.$field).map(si),
            )
        };
    }
    Some(match key {
        "elastic_modulus" => of!(|m| m.elastic_modulus),
        "poisson" => of!(|m| m.poisson),
        "shear_modulus" => of!(|m| m.shear_modulus),
        "axial_modulus" => strength!(axial_modulus),
        "hoop_modulus" => strength!(hoop_modulus),
        "radial_modulus" => strength!(radial_modulus),
        "expansion" => of!(|m| m.expansion),
        "yield" => strength!(yield_strength),
        "shear" => strength!(shear_strength),
        "face_strength" => strength!(face_strength),
        "interlaminar_tension" => strength!(interlaminar_tension),
        "interlaminar_shear" => strength!(interlaminar_shear),
        "anodic_index" => strength!(anodic_index),
        "tensile" if row.has("shear") => Slot::nowhere().limited(Limit::Positive),
        "tensile" => {
            let share = number(default(SHEAR_OF_TENSILE, Kind::Number).0);
            Slot::new(
                move |a, v| {
                    if let Some(m) = part.of_mut(a) {
                        let tensile: Pressure = from_si(v);
                        m.shear_strength = Some(tensile * share);
                    }
                },
                |_| None,
            )
            .limited(Limit::Positive)
        }
        _ => return None,
    })
}

fn adhesive_slot(key: &str) -> Option<Slot> {
    Some(match key {
        "shear_modulus" => plain!(bond.adhesive.shear_modulus),
        "poisson" => plain!(bond.adhesive.poisson),
        "shear_strength" => plain!(bond.adhesive.shear_strength),
        "tensile_strength" => plain!(bond.adhesive.tensile_strength),
        "plastic_shear_strain" => plain!(bond.adhesive.plastic_shear_strain),
        "ageing_factor" => plain!(bond.adhesive.ageing_factor),
        "hot_temperature" => plain!(bond.adhesive.hot_temperature),
        "hot_factor" => plain!(bond.adhesive.hot_factor),
        "endurance_share" => plain!(bond.adhesive.endurance_share),
        "creep_share" => plain!(bond.adhesive.creep_share),
        "expansion" => plain!(bond.adhesive.expansion),
        "gap_min" => optional!(bond.adhesive.gap_min),
        "gap_max" => optional!(bond.adhesive.gap_max),
        "density" => optional!(bond.adhesive.density),
        "cure_temperature" => optional!(bond.adhesive.cure_least),
        _ => return None,
    })
}

/// A number in an element of an array: a gap, a reading of the bore.
fn element_slot(r: &mut Reader<'_>, path: &str) -> Option<Slot> {
    let (element, key) = path.rsplit_once('.')?;
    let index = |r: &Reader<'_>, array: &str| r.elements(array).iter().position(|e| e == element);
    if let ("gap", Some(_)) = (key, index(r, "seat.gap")) {
        // The assembly holds the gaps in the order of their angle.
        let found = r.found.len();
        let mut order: Vec<(String, f64)> = Vec::new();
        for e in r.elements("seat.gap") {
            let at = r.with_prefixes(&[format!("{e}.")], |r| r.clock("at"));
            order.push((e, at.map_or(f64::NAN, si)));
        }
        r.found.truncate(found);
        order.sort_by(|a, b| a.1.total_cmp(&b.1));
        let at = order.iter().position(|(e, _)| e == element)?;
        return Some(
            Slot::new(
                move |a, v| {
                    if let Some(reading) = a.seat.gaps.get_mut(at) {
                        reading.gap = Spread::exact(from_si(v));
                    }
                },
                move |a| a.seat.gaps.get(at).map(|g| si(g.gap.nominal)),
            )
            .limited(Limit::NotNegative),
        );
    }
    if let ("bore", Some(at)) = (key, index(r, "bond.reading")) {
        return Some(
            Slot::new(
                move |a, v| {
                    if let Some(reading) = a.bench.readings.get_mut(at) {
                        reading.bore = from_si(v);
                    }
                },
                move |a| a.bench.readings.get(at).map(|b| si(b.bore)),
            )
            .limited(Limit::Positive),
        );
    }
    None
}

/// The place of a side's own number.
fn side_slot(key: &str, r: &Reader<'_>) -> Option<Slot> {
    Some(match key {
        "thread.engaged" => spread!(thread.engaged),
        "thread.incomplete" => plain!(thread.incomplete),
        "thread.setback" => plain!(thread.setback),
        "thread.damaged_turns" => plain!(thread.damaged_turns),
        "thread.internal_minor" => plain!(thread.sizes.internal_minor),
        "thread.internal_pitch_diameter" => plain!(thread.sizes.internal_pitch),
        "thread.external_major" => plain!(thread.sizes.external_major),
        "thread.external_pitch_diameter" => plain!(thread.sizes.external_pitch),
        "insert.outer_diameter" => plain!(insert.outer_diameter),
        "insert.length" => plain!(insert.length),
        "insert.face_offset" => Slot::new(
            |a, v| a.insert.face_offset = Some(Spread::exact(from_si(v))),
            |a| a.insert.face_offset.map(|s| si(s.nominal)),
        ),
        "insert.lip_diameter" => optional!(insert.lip_diameter),
        "frame.outer_diameter" => plain!(frame.outer_diameter),
        "frame.width" => optional!(frame.width),
        "frame.edge_distance" => optional!(frame.edge_distance),
        "frame.temperature_limit" => optional!(frame.temperature_limit),
        "bond.length" => plain!(bond.length),
        "bond.thickness" => plain!(bond.thickness),
        // What follows from it is the layer.
        "bond.bore" => Slot::new(
            |_, _| {},
            |a| Some(si(a.insert.outer_diameter + 2.0 * a.bond.thickness)),
        ),
        "bond.voids" => plain!(bond.voids),
        "bond.ply" => plain!(bench.ply),
        "bond.eccentricity" => optional!(bench.eccentricity),
        "bond.beads" => optional!(bench.beads),
        "bond.cure_temperature" => plain!(bond.cure_temperature),
        "fitting.bore" => plain!(fitting.bore),
        "fitting.neck_diameter" => plain!(fitting.neck_diameter),
        "fitting.flange_diameter" => plain!(fitting.flange_diameter),
        "fitting.flange_thickness" => plain!(fitting.flange_thickness),
        "fitting.bearing_outboard" => plain!(fitting.bearing_outboard),
        "clamped.thickness" => within!(clamped, |c| c.thickness),
        "clamped.outer_diameter" => within!(clamped, |c| c.outer_diameter),
        "seat.inner_diameter" => plain!(seat.inner_diameter),
        "seat.outer_diameter" => plain!(seat.outer_diameter),
        "seat.face_strength" => optional!(seat.face_strength),
        "tightening.torque" => {
            let errors = ToolErrors::from_table();
            Slot::new(
                move |a, v| a.tightening.torque = errors.around(from_si(v)),
                |a| Some(si(a.tightening.torque.nominal)),
            )
        }
        "tightening.thread_friction" => spread!(tightening.thread_friction),
        "tightening.seat_friction" => spread!(tightening.seat_friction),
        "tightening.relaxation" => Slot::new(
            |a, v| {
                a.tightening.relaxation = Relaxation {
                    stated: true,
                    on_insert: number(v),
                    on_frame: number(v),
                }
            },
            |a| {
                let relaxation = &a.tightening.relaxation;
                relaxation.stated.then_some(relaxation.on_insert.value)
            },
        ),
        "tightening.embedding" => plain!(tightening.embedding),
        "tightening.removal_torque" => optional!(tightening.removal_torque),
        "tightening.wrench_length" => Slot::new(
            |a, v| {
                if let Some(lengths) = &mut a.tightening.crowfoot {
                    lengths.0 = from_si(v);
                }
            },
            |a| a.tightening.crowfoot.map(|c| si(c.0)),
        ),
        "tightening.extension" => Slot::new(
            |a, v| {
                if let Some(lengths) = &mut a.tightening.crowfoot {
                    lengths.1 = from_si(v);
                }
            },
            |a| a.tightening.crowfoot.map(|c| si(c.1)),
        ),
        "tightening.maker_torque" if r.elements("tightening.maker_torque").is_empty() => Slot::new(
            |a, v| a.tightening.maker_torque = Some((from_si(v), from_si(v))),
            |a| {
                let (low, high) = a.tightening.maker_torque?;
                Some(0.5 * si(low + high))
            },
        ),
        "need.strip" => plain!(need.strip),
        "need.hoop" => plain!(need.hoop),
        "need.neck" => plain!(need.neck),
        "need.flange" => plain!(need.flange),
        "need.bond" => plain!(need.bond),
        "need.bond_endurance" => plain!(need.bond_endurance),
        "need.crush" => plain!(need.crush),
        "need.seat_open" => plain!(need.seat_open),
        "need.slip" => plain!(need.slip),
        "need.removal" => plain!(need.removal),
        "need.contact" => plain!(need.contact),
        "need.wall" => plain!(need.wall),
        _ => return None,
    })
}

/// The place of a number of a load case.
fn case_slot(key: &str, case: usize) -> Option<Slot> {
    macro_rules! of {
        (|$c:ident| $place:expr) => {
            Slot::new(
                move |a, v| {
                    if let Some($c) = a.cases.get_mut(case) {
                        $place = from_si(v);
                    }
                },
                move |a| a.cases.get(case).map(|$c| si($place)),
            )
        };
    }
    macro_rules! pedalled {
        ($field:ident) => {
            Slot::new(
                move |a, v| {
                    if let Some(p) = a.cases.get_mut(case).and_then(|c| c.pedalling.as_mut()) {
                        p.$field = from_si(v);
                    }
                },
                move |a| {
                    let pedalling = a.cases.get(case)?.pedalling.as_ref()?;
                    Some(si(pedalling.$field))
                },
            )
        };
    }
    Some(match key {
        "pedalling.force" => pedalled!(force),
        "pedalling.pedal_offset" => pedalled!(pedal_offset),
        "pedalling.crank" => pedalled!(crank),
        "pedalling.chainring_radius" => pedalled!(chainring_radius),
        "pedalling.chainline" => pedalled!(chainline),
        "pedalling.inclination" => pedalled!(inclination),
        "pedalling.crank_angle" => pedalled!(crank_angle),
        "pedalling.cycles" => Slot::nowhere(),
        "pedalling.far_bearing_outboard" => of!(|c| c.far_outboard),
        "loads.axial" => of!(|c| c.loads.axial),
        "loads.radial" => of!(|c| c.loads.radial),
        "loads.moment" => of!(|c| c.loads.moment),
        "loads.torque" => of!(|c| c.loads.torque),
        "coldest" | "bond.coldest" => of!(|c| c.coldest),
        "hottest" | "bond.hottest" => of!(|c| c.hottest),
        _ => return None,
    })
}

/// Where a spread comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The job states it.
    Stated,
    /// The row of friction that the job names.
    FrictionRow,
    /// The tool's own error, since the job states none.
    Tool,
}

/// An entry that is not known exactly: one independent variable.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncertain {
    /// Its path, to be varied.
    pub path: String,
    /// What it takes.
    pub kind: Kind,
    /// The spread in SI base units. Its shape says how it was stated: normal, low and high two standard deviations
    /// off, cut at four; or rectangular between low and high.
    pub spread: Spread<f64>,
    /// Where it comes from.
    pub origin: Origin,
}

/// Every entry of a job that is not known exactly and that an assessment depends on.
///
/// # Errors
/// What is wrong with the job.
pub fn spreads(document: &Document) -> Result<Vec<Uncertain>, Vec<Diagnostic>> {
    let base = document.with(&[]);
    let job = resolve_changed(&base)?;
    let mut found: Vec<Uncertain> = Vec::new();
    for (path, _) in base.below("") {
        let takes = schema::pattern_of(path)
            .ok()
            .and_then(|pattern| schema::takes(&pattern));
        let Some(Takes::Quantity(kind)) = takes else {
            continue;
        };
        // A range that a maker allows is a limit, and a row of friction counts where it is used.
        if path.ends_with("maker_torque") || path.starts_with("friction.") {
            continue;
        }
        let spread = Reader::new(&base, &[String::new()]).spread(path, kind);
        let Some(spread) = spread.filter(|s| s.shape != Shape::Exact) else {
            continue;
        };
        let used = (0..job.sides.len()).any(|side| {
            // What takes the resolver is used for certain: the layer of glue.
            links(&base, &job, side, &[path]).is_none_or(|l| !l.slots.is_empty())
        });
        if used {
            found.push(Uncertain {
                path: path.to_string(),
                kind,
                spread,
                origin: Origin::Stated,
            });
        }
    }
    for (index, side) in job.sides.iter().enumerate() {
        let r = Reader::new(&base, &chain_of(&job, index));
        let t = &side.assembly.tightening;
        let beside = r
            .entry("tightening.lubrication")
            .map(|(full, _)| full.trim_end_matches("lubrication").to_string());
        for (key, friction) in [
            ("thread_friction", t.thread_friction),
            ("seat_friction", t.seat_friction),
        ] {
            if let (false, Some(beside)) = (r.has(&format!("tightening.{key}")), &beside) {
                found.push(Uncertain {
                    path: format!("{beside}{key}"),
                    kind: Kind::Number,
                    spread: friction.map(si),
                    origin: Origin::FrictionRow,
                });
            }
        }
        if let (true, Some((path, _))) = (t.tool_error, r.entry("tightening.torque")) {
            found.push(Uncertain {
                path,
                kind: Kind::Torque,
                spread: t.torque.map(si),
                origin: Origin::Tool,
            });
        }
    }
    let mut seen: Vec<String> = Vec::new();
    found.retain(|u| {
        let new = !seen.contains(&u.path) && u.spread.shape != Shape::Exact;
        seen.push(u.path.clone());
        new
    });
    Ok(found)
}
