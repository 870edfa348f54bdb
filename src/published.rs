//! Published and worked-out cases as data, run through the mechanics of this program.
//!
//! A case names its source, its inputs and expected value as printed, a tolerance with its reason, and
//! whether the expected value was seen in print, recalled, or worked out. The same code serves the command
//! and the tests. A new case needs no Rust; a new kind of case needs one line in `compute`.

use crate::job::designation::{self, Named};
use crate::job::fits::{self, BearingClass, BearingSize};
use crate::mechanics::thread::{Form, StressArea};
use crate::mechanics::tolerance::{self, Quantity965};
use crate::mechanics::{bond, fit, fitting, pedal, seat, strip, thread, torque};
use crate::units::parse::{self, Kind};
use crate::units::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::f64::consts::PI;

macro_rules! files {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("../tables/published/", $name, ".toml")))),*]
    };
}
/// The files of cases, compiled in.
pub const FILES: &[(&str, &str)] = files![
    "threads",
    "tolerances",
    "limits-metric",
    "limits-unified",
    "stress-areas",
    "shear-areas",
    "stripping",
    "engagement",
    "torque",
    "preload-tables",
    "combined-stress",
    "statics",
    "scatter",
    "tool",
    "units",
    "bond",
    "fits",
];

/// One case as written.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Case {
    pub name: String,
    pub subject: String,
    pub source: String,
    pub status: String,
    pub function: String,
    pub inputs: BTreeMap<String, toml::Value>,
    pub expected: toml::Value,
    pub tolerance: String,
    pub why: String,
    #[serde(default)]
    pub note: String,
}

#[derive(Debug, Deserialize)]
struct File {
    case: Vec<Case>,
}

/// What a case came to.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct Outcome {
    pub file: String,
    pub name: String,
    pub source: String,
    pub status: String,
    pub expected: String,
    pub tolerance: String,
    pub got: String,
    pub within: bool,
}

/// Why a case cannot be run.
#[derive(Debug, thiserror::Error)]
#[error("{file}, {case}: {what}")]
pub struct CaseError {
    file: String,
    case: String,
    what: String,
}

/// All cases, file by file.
///
/// # Errors
/// A file that is not as it should be.
pub fn cases() -> Result<Vec<(&'static str, Case)>, CaseError> {
    let mut all = Vec::new();
    for (file, text) in FILES {
        let parsed: File = toml::from_str(text).map_err(|e| CaseError {
            file: (*file).into(),
            case: String::new(),
            what: e.message().to_string(),
        })?;
        all.extend(parsed.case.into_iter().map(|case| (*file, case)));
    }
    Ok(all)
}

/// Runs every case.
///
/// # Errors
/// A case that cannot be run at all; one outside its tolerance is an outcome.
pub fn run_all() -> Result<Vec<Outcome>, CaseError> {
    cases()?
        .iter()
        .map(|(file, case)| {
            run(file, case).map_err(|what| CaseError {
                file: (*file).into(),
                case: case.name.clone(),
                what,
            })
        })
        .collect()
}

/// Runs one case.
///
/// # Errors
/// What keeps the case from being run at all.
pub fn run(file: &str, case: &Case) -> Result<Outcome, String> {
    let (got, kind) = compute(&case.function, &Inputs(&case.inputs))?;
    let text = |v: &toml::Value| match v {
        toml::Value::String(s) => s.clone(),
        other => other.to_string(),
    };
    let expected_text = text(&case.expected);
    let read = |t: &str| read_result(t, kind);
    let expected = read(&expected_text)?;
    let within = match case.tolerance.strip_suffix('%') {
        Some(percent) => {
            let share: f64 = percent
                .trim()
                .parse()
                .map_err(|_| format!("tolerance {}", case.tolerance))?;
            (got - expected).abs() <= share / 100.0 * expected.abs() * (1.0 + 1e-9)
        }
        None => (got - expected).abs() <= read(&case.tolerance)? * (1.0 + 1e-9),
    };
    // Shown in the unit of the expected value.
    let (number, unit) = expected_text
        .split_once(' ')
        .unwrap_or((&expected_text, ""));
    let scale = number
        .replace('−', "-")
        .parse::<f64>()
        .ok()
        .filter(|n| *n != 0.0)
        .map(|n| expected / n);
    let got = match scale {
        Some(scale) if scale != 0.0 => format!("{} {unit}", display::significant(got / scale, 6)),
        // An expected zero has no scale of its own: one of its unit has.
        _ => {
            let one = read_result(format!("1 {unit}").trim(), kind).unwrap_or(1.0);
            format!("{} {unit}", display::significant(got / one, 6))
        }
    };
    Ok(Outcome {
        file: file.into(),
        name: case.name.clone(),
        source: case.source.clone(),
        status: case.status.clone(),
        expected: expected_text,
        tolerance: case.tolerance.clone(),
        got: got.trim().to_string(),
        within,
    })
}

/// The kind of a result: one of a job's kinds, or one that only results have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ResultKind {
    Plain(Kind),
    Area,
    /// The unit conversion's own.
    Any,
}

/// Reads a printed result in SI base units.
fn read_result(text: &str, kind: ResultKind) -> Result<f64, String> {
    let quantity = |kind: Kind| {
        parse::read(text, kind)
            .map(|s| s.nominal)
            .map_err(|e| format!("{text}: {} {}", e.message, e.help))
    };
    match kind {
        ResultKind::Plain(kind) => quantity(kind),
        ResultKind::Area => area_of(text).ok_or_else(|| format!("{text} is not an area")),
        ResultKind::Any => any(text),
    }
}

/// Reads an area; a job file holds none, so the parser of quantities does not know them.
fn area_of(text: &str) -> Option<f64> {
    let (number, unit) = text.split_once(' ')?;
    let value: f64 = number.parse().ok()?;
    match unit.trim() {
        "mm²" => Some(Area::new::<uom::si::area::square_millimeter>(value).value),
        "in²" => Some(Area::new::<uom::si::area::square_inch>(value).value),
        _ => None,
    }
}

/// Reads a quantity of whatever kind its unit belongs to.
fn any(text: &str) -> Result<f64, String> {
    Kind::ALL
        .into_iter()
        .find_map(|kind| parse::read(text, kind).ok().map(|s| s.nominal))
        .or_else(|| area_of(text))
        .ok_or_else(|| format!("{text} is not a quantity"))
}

/// The inputs of a case.
struct Inputs<'a>(&'a BTreeMap<String, toml::Value>);

impl Inputs<'_> {
    fn text(&self, key: &str) -> Result<String, String> {
        match self.0.get(key) {
            Some(toml::Value::String(s)) => Ok(s.clone()),
            Some(other) => Ok(other.to_string()),
            None => Err(format!("input {key} is missing")),
        }
    }
    fn read(&self, key: &str, kind: Kind) -> Result<f64, String> {
        parse::read(&self.text(key)?, kind)
            .map(|s| s.nominal)
            .map_err(|e| format!("{key}: {}", e.message))
    }
    fn length(&self, key: &str) -> Result<Length, String> {
        self.read(key, Kind::Length).map(from_si)
    }
    fn force(&self, key: &str) -> Result<Force, String> {
        self.read(key, Kind::Force).map(from_si)
    }
    fn torque(&self, key: &str) -> Result<Torque, String> {
        self.read(key, Kind::Torque).map(from_si)
    }
    fn stress(&self, key: &str) -> Result<Pressure, String> {
        self.read(key, Kind::Stress).map(from_si)
    }
    fn angle(&self, key: &str) -> Result<Angle, String> {
        self.read(key, Kind::Angle).map(from_si)
    }
    fn number(&self, key: &str) -> Result<f64, String> {
        self.read(key, Kind::Number)
    }
    fn limits(&self) -> Result<fit::Limits, String> {
        let class = self.text("class")?;
        fits::limits(&class, self.length("nominal")?)
            .map(|row| row.value)
            .ok_or_else(|| format!("no class {class}"))
    }
    fn bearing(&self, size: BearingSize, class: &str) -> Result<Length, String> {
        let class = match self.text(class)?.as_str() {
            "normal" => BearingClass::Normal,
            "P6" => BearingClass::P6,
            "P5" => BearingClass::P5,
            other => return Err(format!("class {other}")),
        };
        fits::bearing_low(size, class, self.length("nominal")?)
            .map(|row| row.value)
            .ok_or_else(|| "no row for this size".to_string())
    }
    fn named(&self) -> Result<Named, String> {
        designation::by_name(&self.text("designation")?).map_err(|e| e.to_string())
    }
    /// A thread by its designation, or by form, diameter and pitch.
    fn thread(&self) -> Result<(thread::Basic, StressArea), String> {
        if self.0.contains_key("designation") {
            let named = self.named()?;
            return Ok((named.basic, named.stress_area));
        }
        let form = match self.text("form")?.as_str() {
            "iso" => Form::Iso,
            "whitworth" => Form::Whitworth,
            "cycle" => Form::Cycle,
            other => return Err(format!("form {other}")),
        };
        let area = if self.text("stress_area").is_ok_and(|t| t == "unified") {
            StressArea::Unified
        } else {
            StressArea::Metric
        };
        Ok((
            form.basic(
                self.length("major")?,
                self.read("pitch", Kind::Pitch).map(from_si)?,
            ),
            area,
        ))
    }
    fn helix(&self) -> Result<torque::Helix, String> {
        let (basic, _) = self.thread()?;
        let lead = thread::lead_angle(basic.pitch, basic.pitch_diameter);
        Ok(torque::Helix::new(
            basic.pitch_diameter / 2.0,
            lead,
            torque::friction_angle(
                number(self.number("thread_friction")?),
                basic.half_angle,
                lead,
            ),
            number(self.number("seat_friction")?),
            seat::effective_radius(
                self.length("seat_inner_diameter")? / 2.0,
                self.length("seat_outer_diameter")? / 2.0,
            ),
        ))
    }
}

/// Computes what a case asks for: the value in SI base units, and its kind.
fn compute(function: &str, i: &Inputs<'_>) -> Result<(f64, ResultKind), String> {
    use Kind::{
        Angle as A, Force as F, Length as L, Number as N, Potential as V, Stress as S, Torque as T,
    };
    let plain = |value: f64, kind: Kind| Ok((value, ResultKind::Plain(kind)));
    let area = |value: Area| Ok((si(value), ResultKind::Area));
    if let Some(which) = function.strip_prefix("limits.") {
        let named = i.named()?;
        let most = named
            .most
            .ok_or("this thread has only its least material limits")?;
        let value = match which {
            "external_major_max" => most.external_major,
            "external_major_min" => named.least.external_major,
            "external_pitch_max" => most.external_pitch,
            "external_pitch_min" => named.least.external_pitch,
            "internal_minor_max" => named.least.internal_minor,
            "internal_minor_min" => most.internal_minor,
            "internal_pitch_max" => named.least.internal_pitch,
            "internal_pitch_min" => most.internal_pitch,
            other => return Err(format!("no limit {other}")),
        };
        return plain(si(value), L);
    }
    let iso = |quantity: Quantity965| -> Result<f64, String> {
        let (basic, _) = i.thread()?;
        let grade = i.number("grade").unwrap_or(6.0) as u8;
        tolerance::iso965(
            quantity,
            grade,
            basic.major,
            basic.pitch,
            designation::exceptions(),
        )
        .map(si)
        .map_err(|e| e.to_string())
    };
    let letter = || i.text("letter").map(|t| t.chars().next().unwrap_or('?'));
    match function {
        "thread.pitch_diameter" => plain(si(i.thread()?.0.pitch_diameter), L),
        "thread.internal_minor" => plain(si(i.thread()?.0.internal_minor), L),
        "thread.root" => plain(si(i.thread()?.0.root), L),
        "thread.lead_angle" => {
            let basic = i.thread()?.0;
            plain(si(thread::lead_angle(basic.pitch, basic.pitch_diameter)), A)
        }
        "thread.stress_area" => {
            let (basic, which) = i.thread()?;
            area(match which {
                StressArea::Metric => thread::stress_area_metric(basic.pitch_diameter, basic.root),
                StressArea::Unified => thread::stress_area_unified(basic.major, basic.pitch),
            })
        }
        "tolerance.td" => plain(iso(Quantity965::Td)?, L),
        "tolerance.td2" => plain(iso(Quantity965::Td2)?, L),
        "tolerance.TD2" => plain(iso(Quantity965::TD2)?, L),
        "tolerance.td1_internal" => plain(iso(Quantity965::TD1)?, L),
        // The standard gives es as a negative deviation.
        "deviation.es" => plain(-iso(Quantity965::Es(letter()?))?, L),
        "deviation.EI" => plain(iso(Quantity965::Ei(letter()?))?, L),
        "shear_area.external" => {
            let n = i.named()?;
            area(strip::external_area(
                n.least.internal_minor,
                n.least.external_pitch,
                i.length("engaged")? / n.basic.pitch,
                n.basic.pitch,
                n.basic.half_angle,
            ))
        }
        "shear_area.internal" => {
            let n = i.named()?;
            area(strip::internal_area(
                n.least.external_major,
                n.least.internal_pitch,
                i.length("engaged")? / n.basic.pitch,
                n.basic.pitch,
                n.basic.half_angle,
            ))
        }
        "strip.c1" => plain(strip::dilation_published(number(i.number("k")?)).value, N),
        "strip.c2" => plain(
            strip::bending_external_published(number(i.number("rs")?)).value,
            N,
        ),
        "strip.c3" => plain(
            strip::bending_internal_published(number(i.number("rs")?)).value,
            N,
        ),
        "engagement.needed_internal" => {
            let basic = i.thread()?.0;
            let one = basic.pitch;
            let per_pitch = strip::internal_area(
                i.length("external_major")?,
                i.length("internal_pitch")?,
                number(1.0),
                one,
                basic.half_angle,
            );
            plain(
                si(strip::engagement_needed(
                    one,
                    number(1.0),
                    i.force("force")?,
                    strip::shear_force(i.stress("shear_strength")?, per_pitch),
                )),
                L,
            )
        }
        "stress.yield_preload_solid" => {
            // VDI 2230's own form, with the plastic section; kept beside the engine as an independent check.
            let basic = i.thread()?.0;
            let d0 = (basic.pitch_diameter + basic.root) / 2.0;
            let a0 = si(thread::stress_area_metric(basic.pitch_diameter, basic.root));
            let lead = si(basic.pitch) / (PI * si(basic.pitch_diameter));
            let twist = 1.5 * si(basic.pitch_diameter) / si(d0)
                * (lead + 1.155 * i.number("thread_friction")?);
            plain(
                a0 * i.number("share")? * si(i.stress("yield")?)
                    / (1.0 + 3.0 * twist * twist).sqrt(),
                F,
            )
        }
        "stress.equivalent_hollow" => {
            let (outer, bore) = (i.length("outer")?, i.length("bore")?);
            let sigma = fitting::neck_axial(i.force("force")?, outer, bore);
            plain(
                si(fitting::neck_equivalent(
                    sigma,
                    fitting::neck_shear(i.torque("torque")?, outer, bore),
                )),
                S,
            )
        }
        "torque.preload_from_torque" => plain(si(i.helix()?.preload(i.torque("torque")?)), F),
        "torque.torque_from_preload" => plain(si(i.helix()?.torque(i.force("preload")?)), T),
        "torque.loosening" => plain(si(i.helix()?.loosening(i.force("preload")?)), T),
        "torque.share_pitch" | "torque.share_thread_friction" | "torque.share_seat" => {
            let h = i.helix()?;
            let pitch = i.thread()?.0.pitch;
            let f = newton(1.0);
            let whole = si(h.torque(f));
            let part = match function {
                "torque.share_pitch" => torque::pitch_torque(f, pitch),
                "torque.share_seat" => h.seat(f),
                _ => torque::thread_friction_torque(f, h.r2, h.lead, h.friction, pitch),
            };
            plain(si(part) / whole, N)
        }
        "torque.seat_radius" => plain(
            si(seat::effective_radius(
                i.length("inner_radius")?,
                i.length("outer_radius")?,
            )),
            L,
        ),
        // The approximations below are the standards' own; they check the engine from outside.
        "torque.vdi" => {
            let arm = 0.16 * i.read("pitch", Kind::Pitch)?
                + 0.58 * si(i.length("pitch_diameter")?) * i.number("thread_friction")?
                + si(i.length("seat_mean_diameter")?) / 2.0 * i.number("seat_friction")?;
            plain(si(i.force("preload")?) * arm, T)
        }
        "torque.nut_factor" => plain(
            si(i.force("force")?) * i.number("nut_factor")? * si(i.length("diameter")?),
            T,
        ),
        "torque.jis_k" => {
            let basic = i.thread()?.0;
            let h = i.helix()?;
            let normal = (basic.half_angle.value.tan() * h.lead.value.cos()).atan();
            let dw = 2.0 * si(h.seat_radius);
            let k = (si(basic.pitch) / PI
                + i.number("thread_friction")? * si(basic.pitch_diameter) / normal.cos()
                + i.number("seat_friction")? * dw)
                / (2.0 * si(basic.major));
            plain(k, N)
        }
        "torque.iso16047_k" => plain(
            si(i.torque("torque")?) / (si(i.force("force")?) * si(i.length("diameter")?)),
            N,
        ),
        "torque.iso16047_thread" => {
            let basic = i.thread()?.0;
            let arm = si(i.torque("thread_torque")?) / si(i.force("force")?)
                - si(basic.pitch) / (2.0 * PI);
            plain(arm / (0.577 * si(basic.pitch_diameter)), N)
        }
        "torque.iso16047_seat" => {
            let db = si(i.length("seat_outer_diameter")? + i.length("seat_inner_diameter")?) / 2.0;
            plain(
                si(i.torque("seat_torque")?) / (0.5 * db * si(i.force("force")?)),
                N,
            )
        }
        "torque.iso16047_total" => {
            let basic = i.thread()?.0;
            let db = si(i.length("seat_outer_diameter")? + i.length("seat_inner_diameter")?) / 2.0;
            let arm =
                si(i.torque("torque")?) / si(i.force("force")?) - si(basic.pitch) / (2.0 * PI);
            plain(arm / (0.577 * si(basic.pitch_diameter) + 0.5 * db), N)
        }
        "statics.kern" => {
            let (ro, ri) = (i.length("outer_radius")?, i.length("inner_radius")?);
            plain(si(seat::opening_moment_rigid(newton(1.0), ri, ro)), L)
        }
        "statics.opening_moment" => plain(
            si(seat::opening_moment_rigid(
                i.force("preload")?,
                i.length("inner_radius")?,
                i.length("outer_radius")?,
            )),
            T,
        ),
        "statics.reaction_near" | "statics.reaction_far" => {
            let (force, span, over) = (i.force("force")?, i.length("span")?, i.length("overhang")?);
            let none = newton(0.0);
            let near = pedal::reaction(
                force,
                span / 2.0 + over,
                none,
                span,
                span / 2.0,
                -span / 2.0,
                none,
            );
            plain(
                si(if function.ends_with("near") {
                    near
                } else {
                    force - near
                }),
                F,
            )
        }
        "statics.pedal_vertical" => plain(
            si(pedal::radial_part(
                i.force("force")?,
                i.angle("inclination")?,
            )),
            F,
        ),
        "statics.pedal_lateral" => plain(
            si(pedal::axial_part(
                i.force("force")?,
                i.angle("inclination")?,
            )),
            F,
        ),
        "statics.chain" => plain(
            si(pedal::chain_pull(
                i.force("force")?,
                i.angle("inclination")?,
                i.length("crank")?,
                i.angle("crank_angle")?,
                i.length("radius")?,
            )),
            F,
        ),
        "statics.crank_torque" => {
            let pull = pedal::chain_pull(
                i.force("force")?,
                i.angle("inclination")?,
                i.length("crank")?,
                i.angle("crank_angle")?,
                mm(1.0),
            );
            plain(si(pull) * si(mm(1.0)), T)
        }
        "scatter.low_from_factor" => plain(si(i.force("high")?) / i.number("factor")?, F),
        "units.convert" => Ok((any(&i.text("from")?)?, ResultKind::Any)),
        "bond.pin_collar_area" => area(bond::area(
            i.length("diameter")? / 2.0,
            i.length("width")?,
            number(0.0),
        )),
        "bond.volkersen_peak" => volkersen(i),
        "bond.lame_press" => press(i),
        "bond.galvanic_difference" => {
            let index = |key: &str| -> Result<ElectricPotential, String> {
                let name = i.text(key)?;
                let row = crate::tables::GALVANIC
                    .row("galvanic", &name)
                    .ok_or_else(|| format!("no row {name}"))?;
                let text = row.text("anodic_index").ok_or("no index")?;
                parse::read(text, V)
                    .map(|s| from_si(s.nominal))
                    .map_err(|e| e.message)
            };
            plain(si(bond::index_difference(index("a")?, index("b")?)), V)
        }
        "tool.crowfoot" => plain(
            si(torque::set_on_tool(
                i.torque("torque")?,
                i.length("length")?,
                i.length("extension")?,
            )),
            T,
        ),
        "fit.shaft_upper" | "fit.hole_upper" => plain(si(i.limits()?.upper), L),
        "fit.shaft_lower" | "fit.hole_lower" => plain(si(i.limits()?.lower), L),
        "fit.it" => {
            let grade = i.number("grade")? as u8;
            let row = fits::standard_tolerance(grade, i.length("nominal")?);
            plain(si(row.ok_or("no such grade")?.value), L)
        }
        "fit.it_formula" => {
            let grade = i.number("grade")? as u8;
            let value = fit::standard_tolerance(grade, i.length("nominal")?);
            plain(si(value.ok_or("no such grade")?), L)
        }
        "bearing.bore_low" => plain(si(i.bearing(BearingSize::Bore, "class")?), L),
        "bearing.outside_low" => plain(si(i.bearing(BearingSize::Outside, "class")?), L),
        "fit.bearing_clearance_low" => {
            let bore = i.bearing(BearingSize::Bore, "bearing_class")?;
            plain(si(bore - i.limits()?.upper), L)
        }
        "fit.bearing_clearance_high" => plain(-si(i.limits()?.lower), L),
        other => Err(format!("no function {other}")),
    }
}

/// Volkersen's flat lap, the larger end.
fn volkersen(i: &Inputs<'_>) -> Result<(f64, ResultKind), String> {
    let stiffness =
        |m: &str, t: &str| -> Result<f64, String> { Ok(si(i.stress(m)?) * si(i.length(t)?)) };
    let (k1, k2) = (
        stiffness("modulus_1", "sheet_1")?,
        stiffness("modulus_2", "sheet_2")?,
    );
    let layer = si(i.stress("shear_modulus")?) / si(i.length("thickness")?);
    let (length, width) = (si(i.length("length")?), si(i.length("width")?));
    let omega = (layer * (1.0 / k1 + 1.0 / k2)).sqrt();
    let per_width = si(i.force("force")?) / width;
    let share = (1.0 / k1) / (1.0 / k1 + 1.0 / k2);
    let end = |share: f64| {
        per_width
            * omega
            * (share / (omega * length).tanh() + (1.0 - share) / (omega * length).sinh())
    };
    Ok((
        end(share).max(end(1.0 - share)),
        ResultKind::Plain(Kind::Stress),
    ))
}

/// Pressure of a press fit, thick cylinders.
fn press(i: &Inputs<'_>) -> Result<(f64, ResultKind), String> {
    let (hub, d, bore) = (
        i.length("hub_diameter")?,
        i.length("diameter")?,
        i.length("bore")?,
    );
    let outward = strip::insert_compliance(
        d,
        hub / d,
        i.stress("outer_modulus")?,
        number(i.number("outer_poisson")?),
    );
    let inward = strip::fitting_compliance(
        d,
        bore / d,
        i.stress("inner_modulus")?,
        number(i.number("inner_poisson")?),
    );
    Ok((
        si(i.length("interference")?) / 2.0 / (si(outward) + si(inward)),
        ResultKind::Plain(Kind::Stress),
    ))
}
