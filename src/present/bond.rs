//! The bench before gluing, as text and as JSON.

use super::report::{
    Amount, Assessed, AssumedReport, CautionReport, Ordered, Paper, PreconditionReport, Report,
    preconditions, worse,
};
use super::text::{self, Layout};
use super::words;
use crate::assess::bond::{self as plan, Cause, Centring, Fit, NoCure, NoProof};
use crate::assess::caution::Caution;
use crate::assess::check::{CheckId, Verdict};
use crate::assess::values::{self, Value};
use crate::job::bench::Mix;
use crate::job::{Job, Side};
use crate::units::display::{System, significant};
use crate::units::{ThermodynamicTemperature, Unit, si};
use serde::Serialize;

/// How the gap stands.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct GapReport {
    pub verdict_centred: &'static str,
    pub verdict_worst: &'static str,
    pub centring: &'static str,
    pub measure_again: bool,
    pub disagrees_with_readings: bool,
    pub text: String,
}

/// Preparation of one surface, or the row in use.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct PreparationReport {
    pub of: String,
    pub steps: Vec<String>,
    pub fail_criterion: String,
}

/// A proof load.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct ProofReport {
    pub exists: bool,
    pub text: String,
}

/// One side.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct BondSide {
    pub side: &'static str,
    pub verdict: &'static str,
    pub preconditions: Vec<PreconditionReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap: Option<GapReport>,
    pub turn: Vec<String>,
    pub mix: Vec<String>,
    pub preparation: Vec<PreparationReport>,
    pub cure: Vec<String>,
    pub galvanic: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub proof_torque: Option<ProofReport>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub proof_pull: Option<ProofReport>,
    pub proof: Vec<String>,
    pub coupon: Vec<String>,
    pub values: Ordered<Amount>,
}

/// The whole report.
pub type BondReport = Paper<BondSide>;

/// Values of a check that belong to the bench as well.
const SHARED: [&str; 8] = [
    "bond.gap.side",
    "bond.gap.diameter",
    "bond.radius",
    "bond.area",
    "bond.volume",
    "bond.axial.force",
    "bond.removal.torque",
    "galvanic.index_difference",
];

/// Cautions that the bench gives whatever the checks say.
const CAUTIONS: [Caution; 2] = [Caution::ProofOnce, Caution::HeatLimit];

impl Paper<BondSide> {
    /// The report of a job and the assessments of its sides.
    pub fn new(job: &Job, assessments: &[Assessed]) -> BondReport {
        let mut plain = Report::new("bond", job, assessments);
        let sides: Vec<(Verdict, BondSide)> = job
            .sides
            .iter()
            .zip(assessments)
            .map(|(side, a)| one_side(side, a, preconditions(&side.assembly.condition)))
            .collect();
        let (overall, worst) = worse(&sides).unwrap_or((Verdict::NotJudged, BondSide::empty()));
        for side in &job.sides {
            for rule in &side.bench.rules {
                let entry = AssumedReport {
                    key: rule.key.clone(),
                    value: rule.value.clone(),
                    source: format!("default: {}", rule.source),
                };
                if !plain.assumed.contains(&entry) {
                    plain.assumed.push(entry);
                }
            }
        }
        let hot = job.sides.iter().any(|s| {
            let c = plan::cure(&s.assembly);
            c.above_row || c.refused.is_some()
        });
        for caution in CAUTIONS {
            let applies = caution != Caution::HeatLimit || hot;
            if applies && !plain.cautions.iter().any(|c| c.id == caution.id()) {
                plain.cautions.push(CautionReport {
                    id: caution.id(),
                    text: words::caution(caution).into(),
                });
            }
        }
        plain
            .not_examined
            .retain(|text| !text.starts_with("[[bond.reading]]"));
        let sides = sides.into_iter().map(|s| s.1).collect();
        plain.around(worst, sides, overall)
    }
}

impl BondSide {
    fn empty() -> BondSide {
        BondSide {
            side: "",
            verdict: Verdict::NotJudged.word(),
            preconditions: Vec::new(),
            gap: None,
            turn: Vec::new(),
            mix: Vec::new(),
            preparation: Vec::new(),
            cure: Vec::new(),
            galvanic: Vec::new(),
            proof_torque: None,
            proof_pull: None,
            proof: Vec::new(),
            coupon: Vec::new(),
            values: Ordered(Vec::new()),
        }
    }
}

/// Shows the values of one side.
struct Show<'a> {
    values: &'a [(&'static str, Amount)],
    system: System,
}

impl Show<'_> {
    fn has(&self, id: &str) -> bool {
        self.values.iter().any(|(k, _)| *k == id)
    }
    fn of(&self, id: &str) -> String {
        self.values
            .iter()
            .find(|(k, _)| *k == id)
            .map_or_else(|| "–".into(), |(_, a)| a.unit.show(a.si, self.system))
    }
}

impl Show<'_> {
    /// A quantity of glue as the bench measures it, to a tenth, whatever the units asked for; less is shown as it is.
    fn bench(&self, id: &str, scale: f64, unit: &str) -> String {
        let found = self.values.iter().find(|(k, _)| *k == id);
        found.map_or_else(
            || "–".into(),
            |(_, a)| {
                let value = a.unit.of(a.si) * scale;
                if value < 0.1 {
                    format!("{} {unit}", significant(value, 2))
                } else {
                    format!("{value:.1} {unit}")
                }
            },
        )
    }
}

/// A temperature in both scales, whatever the units asked for.
fn both(t: ThermodynamicTemperature) -> String {
    format!(
        "{} ({})",
        Unit::Celsius.show(si(t), System::Metric),
        Unit::Celsius.show(si(t), System::Imperial)
    )
}

fn one_side(
    side: &Side,
    assessed: &Assessed,
    preconditions: Vec<PreconditionReport>,
) -> (Verdict, BondSide) {
    let (a, r) = (&side.assembly, &assessed.assessment);
    let verdict = plan::verdict(a, r);
    let mut out = BondSide {
        side: words::side_word(side.name),
        verdict: verdict.word(),
        preconditions,
        ..BondSide::empty()
    };
    // A refused job shows no figure that could be taken for a plan.
    if verdict == Verdict::Refused {
        return (verdict, out);
    }
    let shown = |v: &'static Value| {
        let si = (v.get)(a, r).filter(|v| !v.is_nan())?;
        Some((v.id, Amount { si, unit: v.unit }))
    };
    out.values = Ordered(
        SHARED
            .iter()
            .filter_map(|id| values::find(id))
            .chain(plan::VALUES)
            .filter_map(shown)
            .collect(),
    );
    fill(&mut out, side, assessed, System::Metric);
    (verdict, out)
}

/// The sentences of a side, in a system of units.
fn fill(out: &mut BondSide, side: &Side, assessed: &Assessed, system: System) {
    let show = Show {
        values: &out.values.0,
        system,
    };
    let gap = gap(side, &show);
    let turn = turn(side, assessed, &show);
    let mix = mix(side, &show);
    let preparation = preparation(side);
    let cure = cure(side, &show);
    let galvanic = galvanic(side, assessed, &show);
    let (proof_torque, proof_pull, proof) = proof(side, assessed, &show);
    let coupon = coupon(side, &show);
    out.gap = Some(gap);
    out.turn = turn;
    out.mix = mix;
    out.preparation = preparation;
    out.cure = cure;
    out.galvanic = galvanic;
    out.proof_torque = Some(proof_torque);
    out.proof_pull = Some(proof_pull);
    out.proof = proof;
    out.coupon = coupon;
}

/// Why the plan does not meet, for the line of the verdict.
fn reasons(side: &Side, assessed: &Assessed) -> String {
    let (a, r) = (&side.assembly, &assessed.assessment);
    let verdict = plan::verdict(a, r);
    let all: Vec<&str> = plan::causes(a, r)
        .into_iter()
        .filter(|(v, _)| *v == verdict)
        .map(|(_, cause)| match cause {
            Cause::Gap(Fit::Thick) => "the gap is too thick",
            Cause::Gap(_) => "the gap is starved",
            Cause::GapOffCentre(Fit::Thick) => "off centre the gap is too thick",
            Cause::GapOffCentre(_) => "off centre the gap is starved",
            Cause::Centring => "nothing keeps it on centre (bond.eccentricity or bond.beads)",
            Cause::NoBand => "no band of gaps is known for the adhesive",
            Cause::Measure => "the gap is too little for what measured it",
            Cause::Wall => "this kind of adhesive does not cure on this wall",
            Cause::Galvanic => "insert and frame corrode each other (bond.isolated)",
            Cause::GalvanicOpen => "whether insert and frame corrode each other is open",
            Cause::Cure => "no cure is planned",
            Cause::CureUnknown => "the cure temperature is not known",
            Cause::PreparationUnknown => "the preparation is not known",
            Cause::Precondition => "a precondition is open",
        })
        .collect();
    if all.is_empty() {
        String::new()
    } else {
        format!(": {}", all.join("; "))
    }
}

fn gap(side: &Side, show: &Show<'_>) -> GapReport {
    let a = &side.assembly;
    let g = plan::gap(a);
    let mut text = format!(
        "{} per side, {} on diameter, as the job computes with. Mean with any ply off: {} per side; on centre from {} to {}",
        show.of("bond.gap.side"),
        show.of("bond.gap.diameter"),
        show.of("bond.gap.mean"),
        show.of("bond.gap.narrowest"),
        show.of("bond.gap.widest"),
    );
    if let Some(at) = g.thinnest_at {
        let minutes = si(at).to_degrees() * 2.0;
        let hour = (minutes / 60.0).floor();
        text.push_str(&format!(
            ", narrowest along {}:{:02.0} and across from it",
            if hour < 1.0 { 12.0 } else { hour },
            minutes - 60.0 * hour
        ));
    }
    if show.has("bond.ovality") {
        text.push_str(&format!("; out of round by {}", show.of("bond.ovality")));
    }
    text.push_str(match g.centring {
        Centring::Stated => ". Off centre as far as stated",
        Centring::Beads => ". Off centre until it stops at a bead",
        Centring::Nothing => ". Nothing keeps it on centre, so it may touch on one side",
    });
    text.push_str(&format!(
        " ({}): from {} to {}",
        show.of("bond.eccentricity"),
        show.of("bond.gap.thinnest"),
        show.of("bond.gap.thickest")
    ));
    GapReport {
        verdict_centred: g.fit_centred.word(),
        verdict_worst: g.fit_worst.word(),
        centring: match g.centring {
            Centring::Stated => "stated",
            Centring::Beads => "beads",
            Centring::Nothing => "nothing",
        },
        measure_again: g.measure_again,
        disagrees_with_readings: g.disagrees,
        text,
    }
}

fn gap_advice(side: &Side, system: System) -> Vec<String> {
    let a = &side.assembly;
    let g = plan::gap(a);
    let mut out = Vec::new();
    if g.measure_again {
        out.push(format!(
            "Measure again: the gap is only {} times the instrument's error; {} times is the least that decides anything. A bore gauge settles it (enter it as [instrument.bore])",
            significant(g.over_error.value, 2),
            significant(a.bench.rules.gap_over_error.value, 2)
        ));
    }
    if let Some(band) = super::check::out_of_band(a, system) {
        out.push(format!("The layer that the job computes with {band}"));
    }
    if g.disagrees {
        out.push(
            "What the glue has, by bore and ply, is not the layer that the job computes with: enter it as bond.thickness"
                .into(),
        );
    }
    if g.fit_centred == Fit::Starved {
        out.push("Turn the insert smaller: a starved joint is the commonest error".into());
    }
    if g.fit_centred == Fit::Thick {
        out.push("Make a larger insert, or choose an adhesive made for thicker layers".into());
    }
    if g.fit_worst == Fit::Starved && g.fit_centred != Fit::Starved {
        out.push(
            "Keep it on centre: spacer beads as large as the adhesive's thinnest layer, or a fixture (bond.beads, bond.eccentricity)"
                .into(),
        );
    }
    out
}

fn turn(side: &Side, assessed: &Assessed, show: &Show<'_>) -> Vec<String> {
    if plan::no_cure_on_wall(&side.assembly) {
        return vec![
            "None: this kind of adhesive does not cure on this wall; choose another first".into(),
        ];
    }
    let Some(t) = plan::turn(&side.assembly, &assessed.assessment) else {
        return vec![
            match plan::known(&side.assembly) {
                Some(_) => "The adhesive's row gives no band of gaps: take it from its sheet",
                None => "The adhesive is not known, so neither is its band of gaps: take it from the pack",
            }
            .into(),
        ];
    };
    let mut out = vec![format!(
        "Turn the insert to {} for {} per side{}",
        show.of("bond.turn.diameter"),
        show.of("bond.turn.gap"),
        if t.ply > crate::units::mm(0.0) {
            format!(
                " and a ply of {} per side",
                Unit::Millimetre.show(si(t.ply), show.system)
            )
        } else {
            String::new()
        }
    )];
    if t.ply_assumed {
        out.push(
            "That ply is assumed: carbon meets metal and the job gives none (bond.ply)".into(),
        );
    }
    out.push(match t.limits {
        Some(_) => format!(
            "From {} to {} the whole bore stays in the adhesive's band, on centre",
            show.of("bond.turn.smallest"),
            show.of("bond.turn.largest")
        ),
        None => "No diameter keeps the whole bore in the adhesive's band: the bore is too far out of round".into(),
    });
    out
}

fn mix(side: &Side, show: &Show<'_>) -> Vec<String> {
    let mixed = plan::mix(&side.assembly);
    // A syringe reads tenths of a millilitre, a pocket scale tenths of a gram.
    let volume = |id: &str| show.bench(id, 1e-3, "mL");
    let mass = |id: &str| show.bench(id, 1.0, "g");
    let mut out = vec![format!(
        "To fill: {}. {} {} to {}, squeeze-out and waste counted",
        volume("bond.fill.volume"),
        if mixed == Some(Mix::OnePart) {
            "Take"
        } else {
            "Mix"
        },
        volume("bond.mix.volume.low"),
        volume("bond.mix.volume")
    )];
    if show.has("bond.mix.mass") {
        out.push(format!(
            "By mass: {} are needed; weigh out {}, on a scale that shows tenths of a gram",
            mass("bond.mix.needed"),
            mass("bond.mix.mass")
        ));
    }
    out.push(match mixed {
        Some(Mix::OnePart) => "One part: nothing is mixed".into(),
        Some(Mix::ByMass(x, y)) => format!(
            "At {}:{} by mass that is {} and {}; a pocket scale cannot weigh less than {} in all",
            significant(x.value, 3),
            significant(y.value, 3),
            mass("bond.mix.mass.first"),
            mass("bond.mix.mass.second"),
            mass("bond.mix.least")
        ),
        Some(Mix::ByVolume(x, y)) => format!(
            "At {}:{} by volume that is {} and {}: measure volumes, never weigh to this ratio",
            significant(x.value, 3),
            significant(y.value, 3),
            volume("bond.mix.volume.first"),
            volume("bond.mix.volume.second")
        ),
        None if plan::known(&side.assembly).is_none() => {
            "The adhesive is not known, so neither are ratio and mass: take them from the pack"
                .into()
        }
        None => "The row gives no mixing ratio that can be read: take it from the pack".into(),
    });
    out.push("The pack's own ratio, pot life and least quantity rule".into());
    if !side.bench.adhesive_note.is_empty() {
        out.push(side.bench.adhesive_note.trim_end_matches('.').to_string());
    }
    out
}

fn preparation(side: &Side) -> Vec<PreparationReport> {
    let w = &side.bench;
    let mut out = vec![PreparationReport {
        of: format!("bond.preparation: {}", w.preparation),
        steps: w.steps.clone(),
        fail_criterion: w.fail.clone(),
    }];
    out.extend(w.surfaces.iter().map(|s| PreparationReport {
        of: format!("{}: {}", s.part, s.material),
        steps: s.steps.clone(),
        fail_criterion: s.fail.clone(),
    }));
    out
}

/// Hours as coarse as the rule that they come from.
fn hours(show: &Show<'_>, id: &str) -> String {
    show.values
        .iter()
        .find(|(k, _)| *k == id)
        .map_or_else(|| "–".into(), |(_, a)| significant(a.unit.of(a.si), 2))
}

fn cure(side: &Side, show: &Show<'_>) -> Vec<String> {
    let c = plan::cure(&side.assembly);
    let mut out = Vec::new();
    let limit = c.limit.map(both).unwrap_or_default();
    match c.refused {
        Some(NoCure::AboveFrame) => out.push(format!(
            "No plan: {} is hotter than frame and finish stand, {limit}",
            both(c.temperature)
        )),
        Some(NoCure::NeedsMoreThanFrame) => out.push(format!(
            "No plan: this adhesive needs {}, frame and finish stand {limit}; choose another",
            c.least.map(both).unwrap_or_default()
        )),
        Some(NoCure::NeedsMoreThanPlanned) => out.push(format!(
            "No plan: this adhesive needs {}, and {} is planned (bond.cure_temperature)",
            c.least.map(both).unwrap_or_default(),
            both(c.temperature)
        )),
        Some(NoCure::TooCold) => out.push(format!(
            "No plan: at {} a glue that cures in a room may never cure; {} is the least that is planned with (common practice, no source). Warm the part, or ask the adhesive's maker",
            both(c.temperature),
            both(side.assembly.bench.rules.cure_coldest)
        )),
        None => {
            out.push(format!("Cure at {}", both(c.temperature)));
            match (c.handling, c.full) {
                (Some(_), Some(_)) => out.push(format!(
                    "By the recalled rule for two-part pastes: move it after about {} h, load it after about {} h",
                    hours(show, "bond.cure.handling"),
                    hours(show, "bond.cure.full")
                )),
                _ if plan::known(&side.assembly).is_none() => {
                    out.push("How long: the adhesive is not known, take it from the pack".into());
                }
                _ => out.push("How long: only its maker's sheet says, for this kind".into()),
            }
            if si(c.ramp.0) > 0.0 {
                let minutes = |t| significant(si(t) / 60.0, 2);
                out.push(format!(
                    "Warm up from 20 °C (68 °F) in {} to {} minutes, measured on the part with a contact probe; let it cool in place",
                    minutes(c.ramp.0),
                    minutes(c.ramp.1)
                ));
            }
        }
    }
    match c.limit {
        Some(_) => out.push(format!("Never above {limit}, paint and laminate counted")),
        None => out.push(
            "frame.temperature_limit is not given: ask what frame and finish stand before any heat"
                .into(),
        ),
    }
    if c.above_row {
        out.push("That is hotter than the adhesive's row has data for: ask its maker".into());
    }
    if side.assembly.bond.cure_unknown {
        out.push("The cure temperature is not known; the weakest plausible stands in".into());
    }
    out.push("The adhesive maker's schedule comes first; keep the cup of each mix and try it with a thumbnail".into());
    out
}

fn galvanic(side: &Side, assessed: &Assessed, show: &Show<'_>) -> Vec<String> {
    let a = &side.assembly;
    let Some(check) = assessed.assessment.checks[CheckId::Galvanic.index()] else {
        return vec!["The wall does not conduct: no pair".into()];
    };
    let limit = Unit::Volt.show(si(a.bond.galvanic_limit), show.system);
    let mut out = vec![if a.bond.isolated {
        "Isolated, as declared in bond.isolated".into()
    } else if show.has("galvanic.index_difference") {
        format!(
            "{}: {} between insert and frame, {limit} is the limit there",
            check.verdict.word(),
            show.of("galvanic.index_difference")
        )
    } else {
        "Not judged: a material row has no anodic_index; a wall that does not conduct says conducts = false".into()
    }];
    if plan::ply_asked(a, &assessed.assessment) {
        out.push(
            "Put a thin glass ply or a primer over all of the metal's partner, lapped past the edge; resin alone is no barrier to rely on. Then set bond.isolated and bond.ply"
                .into(),
        );
    }
    if a.frame.material.laminate {
        out.push(
            "After the cure, measure the resistance between insert and frame with a multimeter, dry: above a megohm is asked for (a judgement, no source)"
                .into(),
        );
    }
    out
}

fn proof(
    side: &Side,
    assessed: &Assessed,
    show: &Show<'_>,
) -> (ProofReport, ProofReport, Vec<String>) {
    let (a, r) = (&side.assembly, &assessed.assessment);
    let both = plan::proof(a, r);
    let one = |name: &str, id: &str, unit: Unit, proof: Result<plan::Proof, NoProof>| {
        let part = |what: &str| show.of(&format!("{id}.{what}"));
        let load = proof.and_then(|p| p.load);
        let figures = format!(
            "service asks {}, good glue stands {}, the weakest {}; a proof may use {}",
            part("demand"),
            part("good"),
            part("weak"),
            part("ceiling")
        );
        ProofReport {
            exists: load.is_ok(),
            text: match load {
                Ok(_) => format!("{name} {} ({figures})", show.of(id)),
                Err(NoProof::AdhesiveUnknown) => {
                    format!(
                        "{name}: not judged; the adhesive is not known, so neither is what a good bond stands"
                    )
                }
                Err(NoProof::NotCarried) => format!(
                    "{name}: no such load can be brought in; threads, insert, a solid plug of this thread or the wall would not keep what is required of them under {} ({figures})",
                    proof.map_or_else(|_| "–".into(), |p| unit.show(p.floor, show.system))
                ),
                Err(NoProof::CarriesUnknown) => format!(
                    "{name}: not judged; what threads, insert and a plug carry is not known ({figures})"
                ),
                Err(NoProof::NotComputed) => {
                    format!("{name}: not judged, the model gave no capacity")
                }
                Err(NoProof::DemandTooHigh) => format!(
                    "{name}: no such load exists; what exceeds the service demand enough would use too much of a good bond ({figures})"
                ),
                Err(NoProof::WeakTooNear) => format!(
                    "{name}: no such load exists; what a bad bond stands lies too near to what a good one does ({figures})"
                ),
            },
        }
    };
    let torque = one(
        "Proof torque",
        "bond.proof.torque",
        Unit::NewtonMetre,
        both.map(|b| b.0),
    );
    let pull = one(
        "Proof pull",
        "bond.proof.pull",
        Unit::Newton,
        both.map(|b| b.1),
    );
    let mut out = Vec::new();
    if torque.exists || pull.exists {
        let minutes = significant(si(a.bench.rules.proof_hold) / 60.0, 2);
        out.push(format!(
            "After the full cure: draw a line across insert and frame, put a dial gauge on the insert (without one, watch the line), load slowly, the torque in the tightening direction ({}) and within the wrench's range, hold for {minutes} min, let go, look again. Any shift, any sound: reject",
            words::turning(a.thread.hand)
        ));
        out.push("This is no tightening torque. Load goes in through a dummy: a solid plug of the thread, of the fitting's material, with its shoulder or a locked nut on the insert's own end, never through the working fitting or its flange; the frame is held where it is held in use".into());
        if show.has("bond.proof.torque.preload") {
            out.push(format!(
                "The proof torque tightens such a plug to {} at low friction; threads, insert and plug keep what is required of them under it",
                show.of("bond.proof.torque.preload")
            ));
        }
        out.push(
            "Once, not again: it shows that it held that day, not that it lasts in the wet".into(),
        );
    }
    (torque, pull, out)
}

fn coupon(side: &Side, show: &Show<'_>) -> Vec<String> {
    let rules = &side.assembly.bench.rules;
    let length = |l| Unit::Millimetre.show(si(l), show.system);
    vec![
        format!(
            "From the same mix, surfaces prepared in the same way: a lap {} long and {} wide (ISO 4587, recalled), pulled after the full cure by a test house: no bench has the force",
            length(rules.coupon_overlap),
            length(rules.coupon_width)
        ),
        if show.has("bond.coupon.expected") {
            format!(
                "Expected {}; reject the batch below {}",
                show.of("bond.coupon.expected"),
                show.of("bond.coupon.reject")
            )
        } else {
            "What to expect is not known, as adhesive or preparation is not: take the lap shear strength from the pack".into()
        },
        "Strips thick enough not to yield; three say more than one. At the bench: a ring glued over a stub of the insert's bar, pushed off under a press with a gauge".to_string()
            + &ring(side, show),
        "The faces must show glue on both: bare metal or bare laminate on one face means bad preparation, whatever the load; voids or a sticky patch mean a bad mix".into(),
    ]
}

/// What a ring on a stub is expected to stand, by its own area.
fn ring(side: &Side, show: &Show<'_>) -> String {
    if !show.has("bond.coupon.expected") {
        return String::new();
    }
    let b = &side.assembly.bond;
    let stress = b.adhesive.shear_strength * b.preparation;
    let show = |s| Unit::Megapascal.show(si(s), show.system);
    format!(
        ": {} times its glued area is expected; reject the batch below {}",
        show(stress),
        show(stress * side.assembly.bench.rules.coupon_reject)
    )
}

/// The report as text.
pub fn text(
    report: &BondReport,
    job: &Job,
    system: System,
    layout: Layout,
    assessments: &[Assessed],
) -> String {
    let mut out = text::opening_of(report.command, &report.job, layout);
    let sides = report.printed_sides();
    for ((side, of_job), assessed) in sides.iter().zip(&job.sides).zip(assessments) {
        if sides.len() > 1 {
            out.push_str(&layout.heading(words::side(of_job.name)));
        }
        out.push_str(&one(side, of_job, assessed, system, layout));
    }
    out.push_str(&text::tail(report, system, layout));
    out
}

fn one(
    side: &BondSide,
    of_job: &Side,
    assessed: &Assessed,
    system: System,
    layout: Layout,
) -> String {
    let mut out = String::from("\n");
    if side.verdict == "refused" {
        out.push_str(&layout.paragraph(
            "Verdict: refused. A precondition is not met, so nothing is planned. Take it to the maker or to somebody able to examine it.",
        ));
        out.push_str(&text::precondition_list(&side.preconditions, layout));
        return out;
    }
    let mut side = side.clone();
    fill(&mut side, of_job, assessed, system);
    let side = &side;
    let Some(gap) = &side.gap else { return out };
    out.push_str(&layout.paragraph(&format!(
        "Verdict: {}{}. Gap {} on centre, {} at its worst.",
        side.verdict,
        reasons(of_job, assessed),
        gap.verdict_centred,
        gap.verdict_worst
    )));
    out.push_str(&layout.paragraph(
        "What the adhesive's maker says about gap, preparation, mixing and cure comes before every line here.",
    ));
    out.push_str(&text::precondition_list(&side.preconditions, layout));
    out.push_str(&layout.paragraph(
        "Before gluing, answer the first four for the frame as it stands and for the insert that came out; the other four after the cure.",
    ));
    let mut section = |title: &str, lines: &[String]| {
        out.push_str(&layout.heading(title));
        for line in lines {
            out.push_str(&layout.item("", &format!("{line}.")));
        }
    };
    let mut lines = vec![gap.text.clone()];
    lines.extend(gap_advice(of_job, system));
    section("Gap", &lines);
    section("Size to turn", &side.turn);
    section("Isolation", &side.galvanic);
    section("Mix", &side.mix);
    let mut steps = Vec::new();
    for p in &side.preparation {
        if p.steps.is_empty() {
            steps.push(format!(
                "{}: no steps in the tables; its own source rules",
                p.of
            ));
        }
        for (i, step) in p.steps.iter().enumerate() {
            steps.push(format!("{}, step {}: {step}", p.of, i + 1));
        }
        if !p.fail_criterion.is_empty() {
            steps.push(format!("{}, start again if: {}", p.of, p.fail_criterion));
        }
    }
    section("Preparation", &steps);
    section("Cure", &side.cure);
    let mut lines: Vec<String> = [&side.proof_torque, &side.proof_pull]
        .into_iter()
        .flatten()
        .map(|p| p.text.clone())
        .collect();
    lines.extend(side.proof.iter().cloned());
    section("Proof", &lines);
    section("Coupon", &side.coupon);
    out
}
