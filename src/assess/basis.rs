//! What stands behind a check: every number on the way to its demand and to its capacity.
//!
//! Nothing is reckoned a second time in another way: a step is a value of [`values`], a formula of the
//! mechanics with the numbers that went in, or what a solver found in the very state that the check is
//! judged in. The last step of a list is the check's own demand or capacity; a test compares them.

use super::check::{Check, CheckId, Note, Verdict};
use super::closed::{self, Loads};
use super::coupled::trace::{GlueSeen, PointSeen, SeatSeen};
use super::coupled::{Model, PressedFace};
use super::values::{self, Put, Step, put};
use super::window::{At, Bound, End, Window};
use super::{Assessment, Reading, evaluate, need, parent as assess_parent, readings, under};
use crate::job::assembly::*;
use crate::mechanics::{
    bond, fitting, glue, ladder, parent as frame, pedal, rocking, seat, strip, thermal, torque,
};
use crate::units::*;

/// Another reading of what the job leaves open, and what the check comes to under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Other {
    /// Which.
    pub reading: Reading,
    /// Reserve; not a number where it is not judged.
    pub ratio: f64,
    /// Verdict.
    pub verdict: Verdict,
}

/// What stands behind a check.
#[derive(Debug, Clone, Default)]
pub struct Basis {
    /// Steps to the demand, the demand last.
    pub demand: Vec<Step>,
    /// Steps to the capacity, the capacity last; nothing where it is 1 by definition.
    pub capacity: Vec<Step>,
    /// Closed forms to compare with.
    pub compare: Vec<Step>,
    /// The other readings that count.
    pub others: Vec<Other>,
    /// Bounds of the torque window that the check sets.
    pub bounds: Vec<Bound>,
}

/// Sources of the methods that a check is judged by, in the order in which they are used.
pub fn methods(id: CheckId) -> Vec<&'static str> {
    macro_rules! sources {
        ($($module:ident :: $name:ident),*) => { [$($module::$name::FORMULA.source),*].as_slice() };
    }
    let contact = [values::CONTACT.source];
    let high = sources!(torque::preload_from_torque);
    let low = sources!(
        torque::preload_from_torque,
        torque::relaxation_loss,
        torque::embedding_loss
    );
    let threads = sources!(strip::thread_demand, strip::capacity);
    let parts: Vec<&[&'static str]> = match id {
        CheckId::StripExternal => {
            vec![high, &contact, threads, sources!(strip::external_area)]
        }
        CheckId::StripInternal => {
            vec![high, &contact, threads, sources!(strip::internal_area)]
        }
        CheckId::Hoop => vec![
            high,
            &contact,
            sources!(strip::thread_demand, strip::hoop_capacity),
        ],
        CheckId::Engagement => vec![
            high,
            &contact,
            threads,
            sources!(strip::hoop_capacity, strip::engagement_needed),
        ],
        CheckId::Neck => vec![
            high,
            &contact,
            sources!(fitting::pried, fitting::neck_equivalent),
        ],
        CheckId::Flange => vec![
            high,
            &contact,
            sources!(fitting::flange_stress, fitting::pried),
        ],
        CheckId::SeatCrush => vec![high, &contact],
        CheckId::SeatOpen => vec![low, &contact],
        CheckId::SeatSlip => vec![low, &contact, sources!(seat::grip)],
        CheckId::TorqueMaker => vec![],
        CheckId::Galvanic => vec![sources!(bond::index_difference)],
        CheckId::FramePullThrough => vec![high, sources!(frame::plug_pull, frame::plug_capacity)],
        CheckId::FrameEdge => vec![sources!(frame::shear_out_capacity)],
        CheckId::BondTightening
        | CheckId::BondRemoval
        | CheckId::BondServiceCold
        | CheckId::BondServiceHot
        | CheckId::BondEndurance
        | CheckId::BondSustained => {
            let ladder = [values::LADDER.source];
            let (torsion, rocking) = ([values::TORSION.source], [values::ROCKING.source]);
            let own: &[&'static str] = match id {
                CheckId::BondTightening | CheckId::BondRemoval => &torsion,
                CheckId::BondSustained => &[],
                _ => &rocking,
            };
            let strength = sources!(glue::effective_shear_strength, glue::cut_strength);
            // Lasting load is judged without the stress of temperature.
            let warmth: &[&'static str] = match id {
                CheckId::BondSustained => &[],
                _ => sources!(thermal::thermal_radial, thermal::thermal_shear),
            };
            return [high, &contact, &ladder, own, warmth, strength].concat();
        }
    };
    parts.concat()
}

macro_rules! by {
    ($title:expr, $module:ident :: $name:ident, $($argument:expr),* $(,)?) => {
        Step::formula($title, &$module::$name::FORMULA, vec![$(si($argument)),*])
    };
}

/// Everything that the steps of one check are made from.
struct Behind<'a> {
    a: &'a Assembly,
    r: &'a Assessment,
    check: &'a Check,
    case: &'a LoadCase,
    loads: Loads,
    /// The job's own case with the pedal of the larger reaction: the values hold for it.
    own: bool,
    model: Option<Model<'a>>,
}

/// What stands behind a check of a side.
pub fn of_check(a: &Assembly, r: &Assessment, window: Option<&Window>, check: &Check) -> Basis {
    let mut out = Basis::default();
    if let Some(window) = window {
        out.bounds = window
            .bounds()
            .filter(|b| b.id == check.id)
            .copied()
            .collect();
    }
    for reading in readings(a, r.evaluation.bears) {
        let of_check = under(a, &r.evaluation, reading, 1.0, |id| id == check.id);
        if let Some(other) = of_check.and_then(|checks| checks[check.id.index()]) {
            out.others.push(Other {
                reading,
                ratio: other.ratio,
                verdict: other.verdict,
            });
        }
    }
    // Of a check that only another reading has, the stated joint has no steps to show.
    let stated = r.evaluation.raw[check.id.index()].is_some();
    let Some(case) = a.cases.get(check.case as usize).filter(|_| stated) else {
        return out;
    };
    let (main, other) = closed::loads(a, case);
    let further = check.notes.has(Note::OtherPedalWorse);
    let behind = Behind {
        a,
        r,
        check,
        case,
        loads: other.filter(|_| further).unwrap_or(main),
        own: check.case == 0 && !further,
        model: Model::new(a, &r.evaluation.geometry, &r.evaluation.ring, 1.0).ok(),
    };
    behind.fill(&mut out);
    out
}

impl Behind<'_> {
    fn value(&self, id: &str) -> Option<Step> {
        value(id, self.a, self.r)
    }
    fn push(&self, to: &mut Vec<Step>, ids: &[&str]) {
        to.extend(ids.iter().filter_map(|id| self.value(id)));
    }
    /// A step of the governing case, under the id of the value where it is that.
    fn id(&self, step: Step, id: &'static str) -> Step {
        if self.own { step.named(id) } else { step }
    }
    fn preload_high(&self) -> Force {
        self.r.evaluation.preloads.band.high.preload
    }
    fn preload_low(&self) -> Force {
        Model::low(&self.r.evaluation.preloads)
    }

    /// The loads of the governing case, as far as there are any.
    fn load_steps(&self, which: &[&'static str]) -> Vec<Step> {
        let (l, direct) = (&self.loads, self.case.loads);
        let pedalled =
            |of: fn(&pedal::PedalLoad) -> Force| l.pedal.as_ref().map_or(newton(0.0), of);
        which
            .iter()
            .map(|id| {
                let step = match *id {
                    "load.moment" => by!(
                        "Moment about the face, in all",
                        pedal::total_moment,
                        l.pedal_moment,
                        direct.moment
                    ),
                    "load.axial" => by!(
                        "Pull outward, in all",
                        pedal::total_force,
                        pedalled(|p| p.axial),
                        direct.axial
                    ),
                    _ => by!(
                        "Load across the axis, in all",
                        pedal::total_force,
                        pedalled(|p| p.radial),
                        direct.radial
                    ),
                };
                self.id(step, id)
            })
            .collect()
    }

    /// The load across the axis as a demand: without its sign.
    fn radial_demand(&self) -> Vec<Step> {
        let mut steps = self.load_steps(&["load.radial"]);
        let v = self.loads.radial;
        let title = "Demand: load across the axis, its magnitude";
        steps.extend((si(v) < 0.0).then(|| by!(title, pedal::force_magnitude, v)));
        steps
    }

    fn contact_inputs(&self, preload: Force) -> Vec<Put> {
        let mut inputs = values::seat_inputs(self.r);
        if let Some(m) = &self.model {
            inputs.push(put("k_t", Unit::NewtonPerMillimetre, m.thread_stiffness));
        }
        inputs.extend([
            put(
                "r2",
                Unit::Millimetre,
                self.a.thread.basic.pitch_diameter / 2.0,
            ),
            put("F0", Unit::Newton, preload),
            put("M", Unit::NewtonMetre, self.loads.moment),
            put("N_ext", Unit::Newton, self.loads.axial),
        ]);
        for g in &self.a.seat.gaps {
            inputs.push(put("gap read at", Unit::Degree, g.at));
            inputs.push(put("gap", Unit::Millimetre, g.gap.nominal));
        }
        inputs
    }
    /// What the contact gives.
    fn contact(&self, title: &'static str, unit: Unit, value: f64, preload: Force) -> Step {
        Step::solved(
            title,
            unit,
            value,
            &values::CONTACT,
            self.contact_inputs(preload),
        )
    }
    fn seat(&self, preload: Force) -> Option<SeatSeen> {
        self.model.as_ref()?.seat_seen(preload, &self.loads)
    }
    /// The prying factor at preload high.
    fn prying(&self, seen: &SeatSeen) -> Step {
        let step = self.contact(
            "Highest line load over that of the preload",
            Unit::None,
            seen.state.prying_factor.value,
            seen.preload,
        );
        self.id(step, "seat.prying_factor")
    }

    fn fill(&self, out: &mut Basis) {
        let a = self.a;
        match self.check.id {
            CheckId::StripExternal => {
                self.thread_demand(out);
                out.capacity = stripped(self.a, self.r, true);
                self.without_turns(out);
            }
            CheckId::StripInternal => {
                self.thread_demand(out);
                out.capacity = stripped(self.a, self.r, false);
                self.without_turns(out);
            }
            CheckId::Hoop => {
                self.thread_demand(out);
                self.push(&mut out.capacity, &["hoop.capacity"]);
                self.without_turns(out);
            }
            CheckId::Engagement => self.engagement(out),
            CheckId::Neck | CheckId::Flange => self.fitting(out),
            CheckId::SeatCrush => self.crush(out),
            CheckId::SeatOpen => self.opening(out),
            CheckId::SeatSlip => self.slip(out),
            CheckId::TorqueMaker => self.maker(out),
            CheckId::Galvanic => {
                self.push(&mut out.demand, &["galvanic.index_difference"]);
                out.capacity.push(Step::stated(
                    "Limit of the environment",
                    Unit::Volt,
                    si(a.bond.galvanic_limit),
                    "bond.environment",
                ));
            }
            CheckId::FramePullThrough => {
                self.push(&mut out.demand, &["frame.pull_through.demand"]);
                self.push(&mut out.capacity, &["frame.pull_through.capacity"]);
            }
            CheckId::FrameEdge => {
                let (radial, _) = assess_parent::worst_radial(a);
                // Of the two pedals the one that gives this load.
                let (main, other) = closed::loads(a, self.case);
                let loads = std::iter::once(main)
                    .chain(other)
                    .find(|l| l.radial.abs() == radial)
                    .unwrap_or(main);
                let behind = Behind {
                    loads,
                    model: None,
                    ..*self
                };
                out.demand.extend(behind.radial_demand());
                self.push(&mut out.capacity, &["frame.edge.capacity"]);
            }
            _ => self.glue(out),
        }
    }

    /// Preload high with prying: what the threads and the wall have to carry.
    fn thread_demand(&self, out: &mut Basis) {
        self.push(&mut out.demand, &["preload.high"]);
        if let Some(seen) = self.seat(self.preload_high()) {
            out.demand
                .extend(self.load_steps(&["load.moment", "load.axial"]));
            out.demand.push(self.prying(&seen));
            out.demand.push(by!(
                "Demand: load on the threads",
                strip::thread_demand,
                self.preload_high(),
                seen.state.prying_factor
            ));
        }
    }

    /// Without an engaged turn the capacity is nothing, and that is why.
    fn without_turns(&self, out: &mut Basis) {
        if self.model.is_none() {
            out.capacity = self.value("thread.engaged_effective").into_iter().collect();
        }
    }

    fn engagement(&self, out: &mut Basis) {
        let g = &self.r.evaluation.geometry;
        let (Some(strip), Some(seen)) = (g.strip, self.seat(self.preload_high())) else {
            self.push(&mut out.capacity, &["thread.engaged_effective"]);
            return;
        };
        self.thread_demand(out);
        let load = strip::thread_demand(self.preload_high(), seen.state.prying_factor);
        let n = &self.a.need;
        let mut members = vec![
            ("strip.external.capacity", n.strip, strip.external.capacity),
            ("strip.internal.capacity", n.strip, strip.internal.capacity),
        ];
        members.extend(g.hoop.map(|hoop| ("hoop.capacity", n.hoop, hoop)));
        let longest = members
            .into_iter()
            .max_by(|x, y| (x.1.value / si(x.2)).total_cmp(&(y.1.value / si(y.2))));
        if let Some((id, need, capacity)) = longest {
            self.push(&mut out.demand, &[id]);
            out.demand.push(by!(
                "Demand: engagement needed",
                strip::engagement_needed,
                g.engaged,
                need,
                load,
                capacity
            ));
        }
        self.push(&mut out.capacity, &["thread.engaged_effective"]);
    }

    fn fitting(&self, out: &mut Basis) {
        if let Some(sigma) = self.a.fitting.material.yield_strength {
            out.capacity.push(Step::stated(
                "Yield strength of the fitting",
                Unit::Megapascal,
                si(sigma),
                "fitting.material",
            ));
        }
        let Some(seen) = self.seat(self.preload_high()) else {
            return;
        };
        let (q, stress) = (seen.state.prying_factor, self.r.evaluation.fitting);
        self.push(&mut out.demand, &["preload.high"]);
        if self.check.id == CheckId::Neck {
            self.push(&mut out.demand, &["neck.stress.axial", "neck.stress.shear"]);
            out.demand
                .extend(self.load_steps(&["load.moment", "load.axial"]));
            out.demand.push(self.prying(&seen));
            let pried = by!("Axial stress with prying", fitting::pried, stress.axial, q);
            let sigma: Pressure = from_si(pried.si);
            out.demand.push(pried);
            out.demand.push(by!(
                "Demand: equivalent stress in the neck, prying counted",
                fitting::neck_equivalent,
                sigma,
                stress.shear
            ));
        } else {
            self.push(&mut out.demand, &["flange.stress"]);
            out.demand
                .extend(self.load_steps(&["load.moment", "load.axial"]));
            out.demand.push(self.prying(&seen));
            out.demand.push(by!(
                "Demand: bending stress of the flange with prying",
                fitting::pried,
                stress.flange,
                q
            ));
        }
    }

    fn crush(&self, out: &mut Basis) {
        let Some(seen) = self.seat(self.preload_high()) else {
            return;
        };
        self.push(&mut out.demand, &["preload.high"]);
        out.demand
            .extend(self.load_steps(&["load.moment", "load.axial"]));
        if let Some((face, _)) = weakest(&seen) {
            out.demand.push(self.contact(
                "Demand: peak pressure on the face with the least reserve",
                Unit::Megapascal,
                si(face.pressure),
                seen.preload,
            ));
            out.capacity.extend(face.strength.map(|s| {
                Step::stated(
                    "Crush strength of that face",
                    Unit::Megapascal,
                    si(s),
                    face.key,
                )
            }));
        }
        out.compare.push(by!(
            "Mean pressure under the preload alone, all parts together",
            seat::mean_pressure,
            seen.preload,
            self.r.evaluation.ring.area
        ));
    }

    fn opening(&self, out: &mut Basis) {
        out.demand.extend(self.load_steps(&["load.moment"]));
        let m = self.loads.moment;
        let title = "Demand: moment about the face, its magnitude";
        out.demand
            .extend((si(m) < 0.0).then(|| by!(title, pedal::moment_magnitude, m)));
        self.push(
            &mut out.capacity,
            &[
                "preload.loss.relaxation",
                "preload.loss.embedding",
                "preload.low",
            ],
        );
        out.capacity.extend(self.load_steps(&["load.axial"]));
        let Some(seen) = self.seat(self.preload_low()) else {
            return;
        };
        if let Some(opens_at) = seen.opens_at {
            let mut step = self.contact(
                "Capacity: moment that opens the seat",
                Unit::NewtonMetre,
                if self.check.capacity == 0.0 {
                    0.0
                } else {
                    opens_at
                },
                seen.preload,
            );
            if let values::Origin::Solved(_, inputs, _) = &mut step.origin {
                inputs.retain(|p| p.symbol != "M");
            }
            out.capacity.push(self.id(step, "seat.moment.open"));
        }
        let ring = &self.r.evaluation.ring;
        if let Some(m) = &self.model {
            out.compare.push(by!(
                "The same for a ring without gaps, in closed form",
                seat::opening_moment,
                seen.preload,
                self.loads.axial,
                m.seat_stiffness,
                m.thread_stiffness,
                ring.outer,
                closed::tilting_stiffness(self.a, ring, m.thread_stiffness)
            ));
        }
        if ring.insert.is_none() || ring.frame.is_none() {
            out.compare.push(by!(
                "The same with the thread's stiffness left out",
                seat::opening_moment_rigid,
                seen.preload,
                ring.inner,
                ring.outer
            ));
        }
    }

    fn slip(&self, out: &mut Basis) {
        out.demand.extend(self.radial_demand());
        self.push(&mut out.capacity, &["preload.low"]);
        out.capacity
            .extend(self.load_steps(&["load.moment", "load.axial"]));
        let Some(seen) = self.seat(self.preload_low()) else {
            return;
        };
        for (title, force) in [
            ("Force on the seat, loaded", seen.state.seat_force),
            ("Force in the thread, loaded", seen.state.thread_force),
        ] {
            out.capacity
                .push(self.contact(title, Unit::Newton, si(force), seen.preload));
        }
        out.capacity.push(by!(
            "Capacity: load that slips the seat",
            seat::grip,
            self.a.tightening.seat_friction.low,
            seen.state.seat_force,
            seen.state.thread_force,
            self.a.thread.basic.half_angle
        ));
    }

    fn maker(&self, out: &mut Basis) {
        let nominal = (
            "Torque of the job, nominal",
            si(self.a.tightening.torque.nominal),
            "tightening.torque",
        );
        let Some((low, high)) = self.a.tightening.maker_torque else {
            return;
        };
        let key = "tightening.maker_torque";
        let (demand, capacity) = if self.check.demand == nominal.1 {
            (nominal, ("Maker's highest torque", si(high), key))
        } else {
            (("Maker's lowest torque", si(low), key), nominal)
        };
        let of = |(title, value, key)| Step::stated(title, Unit::NewtonMetre, value, key);
        out.demand.push(of(demand));
        out.capacity.push(of(capacity));
    }

    fn glue(&self, out: &mut Basis) {
        let preloads = &self.r.evaluation.preloads;
        let seen = self
            .model
            .as_ref()
            .and_then(|m| m.glue_seen(self.check.id, preloads, self.case, &self.loads));
        let Some(seen) = seen else { return };
        let d = &mut out.demand;
        self.glue_forces(&seen, d);
        self.glue_strengths(&seen, d);
        self.glue_point(&seen, d);
        self.glue_demand(&seen, d);
    }

    /// What goes into the glue: preload, loads, forces at the face, torque.
    fn glue_forces(&self, seen: &GlueSeen, d: &mut Vec<Step>) {
        let high = &self.r.evaluation.preloads.band.high;
        if let Some(preload) = seen.preload {
            let end = if preload == high.preload {
                "preload.high"
            } else {
                "preload.low"
            };
            self.push(d, &[end]);
            let service = matches!(
                self.check.id,
                CheckId::BondServiceCold | CheckId::BondServiceHot | CheckId::BondEndurance
            );
            if service {
                d.extend(self.load_steps(&["load.radial", "load.moment", "load.axial"]));
            }
            let f = &seen.forces;
            for (title, force) in [
                ("Force in the thread", f.fitting),
                ("Force of the seat on the insert", f.insert),
                ("Force of the seat on the frame", f.frame),
            ] {
                if si(force) != 0.0 {
                    let mut step = self.contact(title, Unit::Newton, si(force), preload);
                    if !service {
                        without_loads(&mut step);
                    }
                    d.push(step);
                }
            }
            d.push(by!(
                "Net axial force through the glue",
                ladder::net_force,
                f.fitting,
                f.insert
            ));
            if service && si(self.loads.moment) != 0.0 {
                if si(seen.rocking.1) != 0.0 {
                    d.push(self.contact(
                        "Moment that the frame's part of the seat carries",
                        Unit::NewtonMetre,
                        si(seen.rocking.1),
                        preload,
                    ));
                }
                d.push(by!(
                    "Moment that rocks the insert, its magnitude",
                    rocking::moment_left,
                    self.loads.moment.abs(),
                    seen.rocking.1
                ));
            }
        }
        match self.check.id {
            CheckId::BondTightening => self.push(d, &["bond.torsion.torque"]),
            CheckId::BondRemoval => {
                self.push(d, &["bond.removal.torque"]);
                let Some(m) = &self.model else { return };
                let (thread, seat) = m.removal(&self.r.evaluation.preloads);
                let torque = by!(
                    "Torque of undoing that goes through the glue",
                    bond::glue_torque,
                    thread,
                    self.r.evaluation.ring.share,
                    seat
                );
                d.push(torque);
            }
            _ => {}
        }
    }

    /// The factors and the strengths that they leave.
    fn glue_strengths(&self, seen: &GlueSeen, d: &mut Vec<Step>) {
        let row = &self.a.bond.adhesive;
        let (preparation, ageing, warmth) = seen.factors;
        let f = by!(
            "Factor on the glue's strengths in this state",
            glue::knock_down,
            preparation,
            ageing,
            warmth
        );
        let factor: Ratio = from_si(f.si);
        d.push(f);
        let across = by!(
            "Strength across the glue",
            glue::cut_strength,
            factor,
            row.tensile_strength,
            seen.once.share.0
        );
        let along = if seen.ductile {
            by!(
                "Strength along the glue, for an elastic peak",
                glue::effective_shear_strength,
                factor,
                row.shear_strength,
                row.plastic_shear_strain,
                row.shear_modulus
            )
        } else {
            by!(
                "Strength along the glue",
                glue::cut_strength,
                factor,
                row.shear_strength,
                seen.once.share.1
            )
        };
        let other = ageing * warmth;
        self.strength(
            across,
            seen.once.strength.0,
            other,
            seen.once.share.0,
            true,
            d,
        );
        self.strength(
            along,
            seen.once.strength.1,
            other,
            seen.once.share.1,
            false,
            d,
        );
        if let Some(often) = &seen.often {
            let across = by!(
                "Strength across the glue, repeated",
                glue::cut_strength,
                factor,
                row.tensile_strength,
                often.share.0
            );
            let along = by!(
                "Strength along the glue, repeated",
                glue::cut_strength,
                factor,
                row.shear_strength,
                often.share.1
            );
            self.strength(across, often.strength.0, other, often.share.0, true, d);
            self.strength(along, often.strength.1, other, often.share.1, false, d);
        }
    }

    /// The glue's strength, and the laminate's where that is less.
    fn strength(
        &self,
        of_glue: Step,
        used: Pressure,
        other: Ratio,
        share: Ratio,
        across: bool,
        d: &mut Vec<Step>,
    ) {
        let lower = si(used) < of_glue.si * (1.0 - 1e-12);
        d.push(of_glue);
        let m = &self.a.frame.material;
        let (title, ply) = if across {
            (
                "Strength across the first ply, which is less",
                m.interlaminar_tension,
            )
        } else {
            (
                "Shear strength of the first ply, which is less",
                m.interlaminar_shear,
            )
        };
        if let (true, Some(ply)) = (lower, ply) {
            d.push(by!(title, glue::cut_strength, other, ply, share));
        }
    }

    /// The stresses at the worst point.
    fn glue_point(&self, seen: &GlueSeen, d: &mut Vec<Step>) {
        let (a, p) = (self.a, &seen.once);
        let at = |mut inputs: Vec<Put>| {
            inputs.push(put("x", Unit::Millimetre, seen.x));
            inputs
        };
        let mut solved = |title, stress: Pressure, method, inputs: Vec<Put>| {
            if si(stress) != 0.0 {
                d.push(Step::solved(
                    title,
                    Unit::Megapascal,
                    si(stress),
                    method,
                    at(inputs),
                ));
            }
        };
        let mut ladder = values::ladder_inputs(a, self.r);
        ladder.extend([
            put("F_t", Unit::Newton, seen.forces.fitting),
            put("P_i", Unit::Newton, seen.forces.insert),
            put("P_f", Unit::Newton, seen.forces.frame),
        ]);
        // Under repeated load half of what pulsates counts with the static part.
        let (axial_title, rocking_titles) = if seen.often.is_some() {
            (
                "Axial shear at the worst place, x behind the face: the static part and half of what pulsates",
                [
                    "Half the peel of rocking at the worst place: all of it pulsates",
                    "Half the shear of rocking along the axis there: all of it pulsates",
                    "Half the shear of rocking around the axis there: all of it pulsates",
                ],
            )
        } else {
            (
                "Axial shear at the worst place, x behind the face",
                [
                    "Peel of rocking at the worst place",
                    "Shear of rocking along the axis there",
                    "Shear of rocking around the axis there",
                ],
            )
        };
        solved(axial_title, p.axial, &values::LADDER, ladder);
        let mut torsion = values::ladder_inputs(a, self.r);
        torsion.push(put("T_b", Unit::NewtonMetre, seen.torque));
        solved(
            "Torsional shear at the worst place",
            p.torsion,
            &values::TORSION,
            torsion,
        );
        let mut rock = values::rocking_inputs(a, self.r);
        rock.retain(|i| i.symbol != "M_b" && i.symbol != "V_b");
        rock.push(put("V_b", Unit::Newton, self.loads.radial));
        rock.push(put("M_b", Unit::NewtonMetre, seen.rocking.0));
        for (title, stress) in rocking_titles
            .into_iter()
            .zip([p.peel, p.rock_axial, p.rock_hoop])
        {
            solved(title, stress, &values::ROCKING, rock.clone());
        }
        if let Some(t) = seen.thermal_at {
            if let Some(values::Origin::Formula(f, arguments)) =
                values::thermal_radial(a, self.r, t)
            {
                d.push(Step::formula("Radial thermal stress", f, arguments));
            }
            d.push(by!(
                "Thermal shear at the worst place",
                thermal::thermal_shear,
                a.insert.material.expansion,
                a.frame.material.expansion,
                a.bond.cure_temperature,
                t,
                a.bond.adhesive.shear_modulus,
                a.bond.thickness,
                closed::shear_lag(a, self.r.evaluation.geometry.bond_radius),
                a.bond.length,
                seen.x
            ));
        }
    }

    /// Uses, and the demand.
    fn glue_demand(&self, seen: &GlueSeen, d: &mut Vec<Step>) {
        let a = self.a;
        let (once_title, often_title) = if seen.often.is_some() {
            (
                "Use of the static part and half of the pulsating part",
                "Use of half of the pulsating part against the endurance strengths",
            )
        } else {
            ("Use of the glue at its worst point", "")
        };
        used(&seen.once, seen.phi, once_title, d);
        let once = seen.once.usage(seen.phi);
        if let Some(often) = &seen.often {
            used(often, seen.phi, often_title, d);
            d.push(by!(
                "Demand: use under repeated load",
                glue::repeated_use,
                once,
                often.usage(seen.phi)
            ));
            return;
        }
        let Some(mean) = seen.mean else { return };
        let (preparation, ageing, warmth) = seen.factors;
        d.push(by!(
            "Use by the mean shear",
            glue::mean_use,
            ladder::net_force(seen.forces.fitting, seen.forces.insert),
            seen.torque,
            self.r.evaluation.geometry.bond_radius,
            self.r.evaluation.geometry.bond_area,
            a.bond.adhesive.shear_strength,
            glue::knock_down(preparation, ageing, warmth)
        ));
        d.push(by!(
            "Demand: use of the glue",
            glue::greater_use,
            once,
            mean
        ));
    }
}

/// The stresses at a point at its worst angle, and their use of the glue.
fn used(p: &PointSeen, phi: Angle, title: &'static str, d: &mut Vec<Step>) {
    let (across, along, around) = p.at(phi);
    d.push(by!(
        "Stress across the glue there",
        glue::across,
        p.thermal_across,
        p.peel,
        phi
    ));
    d.push(by!(
        "Shear along the axis there, in all",
        glue::shear_along,
        p.axial,
        p.thermal,
        p.rock_axial,
        phi
    ));
    d.push(by!(
        "Shear around the axis there, in all",
        glue::shear_around,
        p.torsion,
        p.rock_hoop,
        phi
    ));
    d.push(by!(
        title,
        glue::point_use,
        across,
        p.strength.0,
        along,
        around,
        p.strength.1
    ));
}

/// The pressed face with the least reserve, of those whose strength is known, and whether it is the wall's.
fn weakest(seen: &SeatSeen) -> Option<(PressedFace, bool)> {
    let reserve = |f: &PressedFace| f.strength.map_or(f64::INFINITY, |s| si(s) / si(f.pressure));
    // The wall's own face comes last; a part between head and face is not its.
    let last = seen.faces.len() - 1;
    seen.faces
        .into_iter()
        .enumerate()
        .filter_map(|(i, f)| Some((f?, i == last)))
        .filter(|(f, _)| f.strength.is_some())
        .min_by(|x, y| reserve(&x.0).total_cmp(&reserve(&y.0)))
}

/// Is it the wall's face whose reserve the check of crushing has?
pub fn wall_crushes(a: &Assembly, r: &Assessment, check: &Check) -> Option<bool> {
    let case = a.cases.get(check.case as usize)?;
    let (main, other) = closed::loads(a, case);
    let loads = other
        .filter(|_| check.notes.has(Note::OtherPedalWorse))
        .unwrap_or(main);
    let e = &r.evaluation;
    let model = Model::new(a, &e.geometry, &e.ring, 1.0).ok()?;
    weakest(&model.seat_seen(e.preloads.band.high.preload, &loads)?).map(|(_, wall)| wall)
}

/// A value as a step.
fn value(id: &str, a: &Assembly, r: &Assessment) -> Option<Step> {
    values::step(values::find(id)?, a, r)
}

/// The steps to what strips one member, that load last.
fn stripped(a: &Assembly, r: &Assessment, external: bool) -> Vec<Step> {
    let mut out = Vec::new();
    let (Some(s), Some(tau_int), Some(tau_ext)) = (
        r.evaluation.geometry.strip,
        a.insert.material.shear_strength,
        a.fitting.material.shear_strength,
    ) else {
        return out;
    };
    let (member, tau, area, factor, capacity) = if external {
        (
            s.external,
            tau_ext,
            "thread.shear_area.external",
            "strip.bending_factor.external",
            "strip.external.capacity",
        )
    } else {
        (
            s.internal,
            tau_int,
            "thread.shear_area.internal",
            "strip.bending_factor.internal",
            "strip.internal.capacity",
        )
    };
    out.extend(value(area, a, r));
    out.push(by!(
        "Force that shears the thread, before losses",
        strip::shear_force,
        tau,
        member.area
    ));
    out.push(by!(
        "Strength of the insert's thread over that of the fitting's",
        strip::strength_ratio,
        tau_int,
        s.internal.area,
        tau_ext,
        s.external.area
    ));
    let published = "Bending factor as published";
    out.push(if external {
        by!(
            published,
            strip::bending_external_published,
            s.strength_ratio
        )
    } else {
        by!(
            published,
            strip::bending_internal_published,
            s.strength_ratio
        )
    });
    out.extend(value(factor, a, r));
    out.extend(dilated(a, r, external));
    out.extend(value(capacity, a, r));
    out
}

/// The steps to the loss by widening of the insert for one member.
fn dilated(a: &Assembly, r: &Assessment, external: bool) -> Vec<Step> {
    let (Some(s), basic) = (r.evaluation.geometry.strip, &a.thread.basic) else {
        return Vec::new();
    };
    if s.wall.value >= strip::THIN_WALL_BELOW {
        return value("strip.dilation_factor", a, r).into_iter().collect();
    }
    let Some(values::Origin::Formula(formula, arguments)) = values::thin_wall(a, r, external)
    else {
        return Vec::new();
    };
    vec![
        by!(
            "Radial give of the insert",
            strip::insert_compliance,
            basic.major,
            s.wall,
            a.insert.material.elastic_modulus,
            a.insert.material.poisson
        ),
        by!(
            "Radial give of the fitting",
            strip::fitting_compliance,
            basic.pitch_diameter,
            Ratio::from(a.fitting.bore / basic.pitch_diameter),
            a.fitting.material.elastic_modulus,
            a.fitting.material.poisson
        ),
        Step::formula(
            "Loss by widening of the insert, this member",
            formula,
            arguments,
        ),
    ]
}

/// What went into a value and has no id of its own, or is worth a look beside it.
pub fn behind_value(id: &str, a: &Assembly, r: &Assessment) -> Vec<Step> {
    let band = &r.evaluation.preloads.band;
    let t = &a.tightening;
    let friction = |mu: Ratio| {
        by!(
            "Friction angle of the thread",
            torque::friction_angle,
            mu,
            a.thread.basic.half_angle,
            r.evaluation.geometry.lead
        )
    };
    let with = |first: Vec<Step>, ids: &[&str]| {
        first
            .into_iter()
            .chain(ids.iter().filter_map(|id| value(id, a, r)))
            .collect::<Vec<_>>()
    };
    let helix = ["thread.lead_angle", "seat.radius_effective"];
    match id {
        "preload.nominal" | "torque.thread_friction" | "torque.seat" | "torque.loosening" => {
            with(vec![friction(t.thread_friction.nominal)], &helix)
        }
        "preload.high" => with(vec![friction(t.thread_friction.low)], &helix),
        "preload.low" => {
            let l = &band.low;
            let before = by!(
                "Preload at low torque and high friction, before the loss",
                torque::preload_from_torque,
                l.torque,
                l.helix.r2,
                l.helix.lead,
                l.helix.friction,
                l.helix.seat_friction,
                l.helix.seat_radius
            );
            with(
                vec![friction(t.thread_friction.high), before],
                &[
                    "thread.lead_angle",
                    "seat.radius_effective",
                    "preload.loss.relaxation",
                    "preload.loss.embedding",
                ],
            )
        }
        "pedal.radial" => a
            .cases
            .first()
            .and_then(|case| reactions(a, case, &r.evaluation.loads))
            .unwrap_or_default(),
        "pedal.moment" | "load.radial" => with(Vec::new(), &["pedal.radial"]),
        "load.moment" => with(Vec::new(), &["pedal.moment"]),
        "load.axial" => with(Vec::new(), &["pedal.axial"]),
        "strip.external.capacity" | "strip.internal.capacity" => {
            let mut steps = stripped(a, r, id == "strip.external.capacity");
            steps.pop();
            steps
        }
        "strip.bending_factor.external" | "strip.bending_factor.internal" => {
            stripped(a, r, id == "strip.bending_factor.external")
                .into_iter()
                .filter(|s| {
                    matches!(s.origin, values::Origin::Formula(f, _)
                        if f.title == strip::strength_ratio::FORMULA.title
                            || f.title == strip::bending_external_published::FORMULA.title
                            || f.title == strip::bending_internal_published::FORMULA.title)
                })
                .collect()
        }
        "seat.share.insert" | "seat.stiffness" => {
            let ring = &r.evaluation.ring;
            let width = ring.outer - ring.inner;
            let part = |there: bool, title, m: &Material| {
                there.then(|| {
                    by!(
                        title,
                        seat::layer_stiffness,
                        m.elastic_modulus,
                        m.poisson,
                        width
                    )
                })
            };
            let insert = "Stiffness per area of the insert's part";
            let frame = "Stiffness per area of the frame's part";
            part(ring.insert.is_some(), insert, &a.insert.material)
                .into_iter()
                .chain(part(ring.frame.is_some(), frame, &a.frame.material))
                .collect()
        }
        "seat.moment.open" | "seat.contact.preload" | "seat.contact.load" => with(
            Vec::new(),
            &["preload.low", "thread.stiffness", "seat.stiffness"],
        ),
        "seat.pressure.peak" | "seat.pull.extra" | "seat.prying_factor" => with(
            Vec::new(),
            &["preload.high", "thread.stiffness", "seat.stiffness"],
        ),
        "neck.stress.equivalent" => with(Vec::new(), &["neck.stress.axial", "neck.stress.shear"]),
        "neck.stress.axial" | "flange.stress" => with(Vec::new(), &["preload.high"]),
        "thread.engagement_needed" => with(
            Vec::new(),
            &[
                "strip.external.capacity",
                "strip.internal.capacity",
                "hoop.capacity",
            ],
        ),
        "bond.soft_wall_factor" => values::wall_ratio(a).into_iter().collect(),
        "bond.thermal.shear.cold" => vec![by!(
            "Shear-lag number of the bond",
            ladder::shear_lag,
            ladder::glue_stiffness(
                r.evaluation.geometry.bond_radius,
                a.bond.adhesive.shear_modulus,
                a.bond.thickness,
                a.bond.voids
            ),
            closed::axial_stiffness(a).0,
            closed::axial_stiffness(a).1,
            a.bond.length
        )],
        _ => Vec::new(),
    }
}

/// The reactions of the bearing, downward and rearward, of the pedal that gives these loads.
fn reactions(a: &Assembly, case: &LoadCase, loads: &Loads) -> Option<Vec<Step>> {
    let (pedalling, of) = (case.pedalling?, loads.pedal?);
    let bearings = closed::bearings(a, case)?;
    let pressed = [a.side, a.side.other()]
        .into_iter()
        .find(|pressed| pedal::load(&pedalling, &bearings, a.side, *pressed) == of)?;
    let l = pedal::levers(&pedalling, &bearings, a.side, pressed);
    let none = newton(0.0);
    let at = |title, radial: Force, chain: Force, couple: Force| {
        by!(
            title,
            pedal::reaction,
            radial,
            l.y_pedal,
            chain,
            l.y_chain,
            l.y_near,
            l.y_far,
            couple
        )
    };
    Some(vec![
        by!(
            "Part of the pedal force in the plane of the wheel",
            pedal::radial_part,
            pedalling.force,
            pedalling.inclination
        ),
        by!(
            "Chain pull",
            pedal::chain_pull,
            pedalling.force,
            pedalling.inclination,
            pedalling.crank,
            pedalling.crank_angle,
            pedalling.chainring_radius
        ),
        at(
            "Downward reaction of the bearing",
            l.radial,
            none,
            l.couple.0,
        ),
        at(
            "Rearward reaction of the bearing",
            none,
            l.chain,
            l.couple.1,
        ),
    ])
}

/// A state without any load from outside.
fn without_loads(step: &mut Step) {
    if let values::Origin::Solved(_, inputs, _) = &mut step.origin {
        inputs.retain(|p| p.symbol != "M" && p.symbol != "N_ext");
    }
}

/// How a bound of the window is found.
static BOUND: values::Method = values::Method {
    equations: "the torque at which the check's reserve, computed by the whole model, is the ratio required\nupper bounds at high torque and low friction, lower bounds at low torque and high friction after the loss",
    source: "engineering basis, section 11",
    limits: "the check alone: every other bound counts beside it; torque at the fitting",
    tends_to: &[],
};

/// The bounds of the window under their ids: `window.low`, `window.high`, `window.bounds.ID`.
pub fn of_window(a: &Assembly, r: &Assessment, window: &Window, id: &str) -> Vec<(CheckId, Step)> {
    let ruling = |end: Option<(Torque, CheckId)>, which: End| {
        end.and_then(|(_, check)| {
            window
                .bounds()
                .find(|b| b.id == check && b.end == which && !b.advice_only)
        })
        .copied()
    };
    let bounds: Vec<Bound> = match id.strip_prefix("window.") {
        Some("low") => ruling(window.low, End::Low).into_iter().collect(),
        Some("high") => ruling(window.high, End::High).into_iter().collect(),
        Some(rest) => window
            .bounds()
            .filter(|b| rest.strip_prefix("bounds.") == Some(b.id.id()))
            .copied()
            .collect(),
        None => Vec::new(),
    };
    bounds
        .iter()
        .filter_map(|b| Some((b.id, bound(a, r, b)?)))
        .collect()
}

/// One bound, the check computed again at its torque.
fn bound(a: &Assembly, r: &Assessment, b: &Bound) -> Option<Step> {
    let At::Torque(torque) = b.at else {
        return None;
    };
    let title = match b.end {
        End::Low => "Lowest torque that keeps the check",
        End::High if si(torque) <= 0.0 => "No torque keeps the check: it is short at every one",
        End::High => "Highest torque that keeps the check",
    };
    if b.id == CheckId::TorqueMaker {
        return Some(Step::stated(
            title,
            Unit::NewtonMetre,
            si(torque),
            "tightening.maker_torque",
        ));
    }
    let mut inputs = vec![Put {
        symbol: "reserve required",
        unit: Unit::None,
        si: need(a, b.id),
    }];
    if si(torque) > 0.0 {
        let mut at = a.clone();
        let factor = (torque / a.tightening.torque.nominal).value;
        at.tightening.torque = a.tightening.torque.map(|t| t * factor);
        let raw = evaluate(&at, r.evaluation.bears, 1.0).ok()?.raw[b.id.index()]?;
        for (symbol, unit, si) in [
            ("demand at that torque", b.id.unit(), raw.demand),
            ("capacity at that torque", b.id.unit(), raw.capacity),
            ("reserve at that torque", Unit::None, raw.ratio),
        ] {
            inputs.push(Put { symbol, unit, si });
        }
    }
    Some(Step::solved(
        title,
        Unit::NewtonMetre,
        si(torque),
        &BOUND,
        inputs,
    ))
}
