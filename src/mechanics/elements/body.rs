//! One sleeve on one mesh: the four systems, their loads, and what is read off.

use super::element::{Constants, Family, RowStiffness};
use super::fields::{Reading, Unit};
use super::mesh::{Grid, Part, Sizes};
use super::seat::{Ring, contact};
use super::solve::{Bounds, Factor, Model};
use super::{
    AxialUnit, BALANCE, Elements, ElementsError, Hold, Quoted, RingPressure, RockingUnits, Seat,
    SeatPart, Sleeve, TorsionUnits, load,
};
use crate::units::*;
use nalgebra::DMatrix;

/// The least length over which a stress is averaged at an end (m), and in thicknesses of the glue.
/// Invented; the same as in the independent check.
const END_LENGTH: f64 = 1e-3;
const END_THICKNESSES: f64 = 2.0;

/// A sleeve in plain numbers.
pub(super) struct Body {
    sizes: Sizes,
    fitting: Constants,
    insert: Constants,
    /// The adhesive that is there.
    glue: Constants,
    /// Share of the layer that is there.
    filled: f64,
    frame: Constants,
    flanks: f64,
    pitch: f64,
    hold: Hold,
    /// Layers of the seat on insert and frame, N/m³.
    layers: [f64; 2],
    /// Expansions of insert, adhesive, frame, 1/K.
    expansions: [f64; 3],
    end_length: f64,
}

/// Solutions of one system with the worst imbalance among them.
struct Solved {
    sides: Vec<Vec<f64>>,
    residual: f64,
}

/// Share of a wall that the narrowest ring of the seat takes.
const NARROWEST: f64 = 0.05;
const NO_RING: &str =
    "a part of the seat is too narrow on its wall, or stands beside it (on a lip)";

impl Body {
    /// The sizes and constants, if elements can be made of them. The bounds are our own choice: beyond them cells would be
    /// slivers, or a number is a mistake.
    pub(super) fn new(s: &Sleeve) -> Result<Self, ElementsError> {
        let half = |d: Length| 0.5 * si(d);
        let fail = |what| Err(ElementsError::Input(what));
        let thread = (si(s.neck_length), si(s.neck_length + s.engagement));
        let bond = si(s.bond);
        let (outside, eta) = (half(s.outer), si(s.glue_thickness));
        let sizes = Sizes {
            fitting_bore: half(s.fitting.bore),
            neck_radius: half(s.fitting.neck),
            thread_radius: half(s.fitting.core),
            bore: half(s.bore),
            outside,
            frame_bore: outside + eta,
            frame_outside: half(s.frame_outer),
            thread,
            bond,
            insert_end: si(s.insert_length).max(thread.1).max(bond),
            frame_end: bond + si(s.frame_beyond),
            seat_insert: None,
            seat_frame: None,
        };
        let lengths = [
            sizes.fitting_bore,
            sizes.neck_radius,
            sizes.thread_radius,
            sizes.bore,
            outside,
            eta,
            sizes.frame_outside,
            thread.0,
            thread.1,
            bond,
            sizes.insert_end,
            sizes.frame_end,
        ];
        // Up to a kilometre: beyond it numbers are a mistake, and products of them may overflow.
        if !lengths.into_iter().all(|l| (0.0..1e3).contains(&l)) {
            return fail("a length is negative or not a number");
        }
        let least = 1e-4 * sizes.frame_outside;
        if sizes.thread_radius - sizes.fitting_bore < least
            || sizes.neck_radius - sizes.fitting_bore < least
        {
            return fail("the fitting's bore leaves nothing of it");
        }
        if outside - sizes.bore < least || sizes.bore < least {
            return fail("the insert has no wall");
        }
        if eta < 1e-3 * least || sizes.frame_outside - sizes.frame_bore < least {
            return fail("glue or frame have no thickness");
        }
        if sizes.neck_radius > sizes.frame_bore {
            return fail("the neck is wider than the bond");
        }
        if bond < least || thread.1 - thread.0 < bond / 100.0 {
            return fail("bond or thread have no length");
        }
        // Several hundred diameters long, the walls would be drawn far too coarse.
        if sizes.insert_end.max(sizes.frame_end) > 200.0 * sizes.frame_outside {
            return fail("the assembly is too slender");
        }
        let pitch = si(s.pitch);
        let flanks = si(s.flanks);
        if !(pitch > 0.0 && pitch.is_finite() && flanks > 0.0 && flanks.is_finite()) {
            return fail("pitch or flanks");
        }
        if (thread.1 - thread.0) / pitch > 1e4 {
            return fail("the thread has too many turns");
        }
        let filled = 1.0 - si(s.voids);
        if !(filled > 1e-3 && filled <= 1.0) {
            return fail("voids leave no glue");
        }
        let clipped = |part: Option<SeatPart>, from: f64, to: f64| {
            let p = part?;
            let (a, b) = (si(p.inner).max(from), si(p.outer).min(to));
            // What it carries must not get lost with a ring too narrow for a cell. Our own choice: as coarse as the
            // lines of the mesh across a wall are merged.
            Some(
                (b - a > NARROWEST * (to - from))
                    .then_some(((a, b), si(p.layer)))
                    .ok_or(ElementsError::Input(NO_RING)),
            )
        };
        let on_insert = clipped(s.seat_insert, sizes.bore, outside).transpose()?;
        let on_frame = clipped(s.seat_frame, sizes.frame_bore, sizes.frame_outside).transpose()?;
        let layers = [on_insert, on_frame].map(|p| p.map_or(1.0, |(_, k)| k));
        if on_insert.is_none() && on_frame.is_none() {
            return fail("there is no seat");
        }
        if !layers.iter().all(|k| k.is_finite() && *k > 0.0) {
            return fail("the seat's layer");
        }
        let expansions = [s.insert_expansion, s.glue_expansion, s.frame_expansion].map(si);
        if !expansions.iter().all(|a| a.abs() < 1.0) {
            return fail("expansion");
        }
        let sizes = Sizes {
            seat_insert: on_insert.map(|p| p.0),
            seat_frame: on_frame.map(|p| p.0),
            ..sizes
        };
        let end_length = END_LENGTH.max(END_THICKNESSES * eta).min(0.25 * bond);
        Ok(Self {
            sizes,
            fitting: s.fitting.material.constants("the fitting's moduli")?,
            insert: s.insert.constants("the insert's moduli")?,
            glue: s.glue.constants("the adhesive's moduli")?,
            filled,
            frame: s.frame.constants("the frame's moduli")?,
            flanks,
            pitch,
            hold: s.hold,
            layers,
            expansions,
            end_length,
        })
    }

    /// Constants with which a part is stiff.
    fn stiff(&self, part: Part) -> Constants {
        match part {
            Part::Fitting => self.fitting,
            Part::Insert => self.insert,
            Part::Glue => self.glue.times(self.filled),
            Part::Frame => self.frame,
        }
    }
    /// Constants that give the stress in what is there.
    fn there(&self, part: Part) -> Constants {
        match part {
            Part::Glue => self.glue,
            other => self.stiff(other),
        }
    }
    /// Strain without stress of one kelvin less.
    fn shrunk(&self, part: Part) -> f64 {
        let [insert, glue, frame] = self.expansions;
        match part {
            Part::Fitting => 0.0,
            Part::Insert => -insert,
            Part::Glue => -glue,
            Part::Frame => -frame,
        }
    }

    fn held(&self, grid: &Grid, x: f64, r: f64, fitting: bool) -> bool {
        let s = &grid.sizes;
        let near = 1e-9 * s.frame_outside;
        // The glue's corner belongs to the frame as well.
        let frame = !fitting && r > s.frame_bore - near && x < s.frame_end + near;
        frame
            && match self.hold {
                Hold::Inboard => x > s.frame_end - near,
                Hold::Outboard => x < near,
                Hold::FullLength => true,
                Hold::AllRound => r > s.frame_outside - near,
            }
    }

    fn model<'a>(&self, grid: &'a Grid, family: Family, free: bool, flanks: bool) -> Model<'a> {
        let rows = (0..grid.rows.len()).map(|row| {
            let (a, b) = grid.radii(row);
            RowStiffness::new(family, &self.stiff(grid.rows[row].part), a, b)
        });
        let near = 1e-9 * self.sizes.frame_outside;
        let held = |x: f64, r: f64, component: usize, fitting: bool| {
            // On the axis nothing moves across it.
            if family == Family::Even && component == 1 && r < near {
                return true;
            }
            if free {
                return component == 0 && x < near && r > self.sizes.frame_outside - near;
            }
            self.held(grid, x, r, fitting)
        };
        let bounds = Bounds {
            held: &held,
            plane_end: flanks,
            flanks: flanks.then_some(self.flanks),
        };
        Model::new(grid, family, rows.collect(), &bounds)
    }

    /// Everything on the first mesh halved so often. More work or memory than allowed: `TooLarge`, before any is done.
    pub(super) fn level(
        &self,
        times: u32,
        most_work: f64,
        most_bytes: f64,
    ) -> Result<Elements, ElementsError> {
        let whole = Grid::new(&self.sizes, times, true);
        let bare = Grid::new(&self.sizes, times, false);
        let (from, to) = whole.sizes.thread;
        if whole.span(from, to).next().is_none() {
            return Err(ElementsError::Input("the thread is too short"));
        }
        let kept =
            |asked: Option<(f64, f64)>, got: Option<(f64, f64)>| asked.is_none() || got.is_some();
        if !kept(self.sizes.seat_insert, whole.sizes.seat_insert)
            || !kept(self.sizes.seat_frame, whole.sizes.seat_frame)
        {
            return Err(ElementsError::Input(NO_RING));
        }
        let axial = self.model(&whole, Family::Even, false, true);
        let twist = self.model(&bare, Family::Twist, false, false);
        let once = self.model(&bare, Family::Once, false, false);
        let heat = self.model(&bare, Family::Even, true, false);
        let costs = [&axial, &twist, &once, &heat].map(Model::cost);
        let work: f64 = costs.iter().map(|c| c.0).sum();
        let bytes = costs.iter().map(|c| c.1).fold(0.0, f64::max);
        if work > most_work || bytes > most_bytes {
            return Err(ElementsError::TooLarge);
        }
        let reading = Reading::new(&whole, &bare, self.end_length);
        let there = |part: Part| self.there(part);
        let nothing = |_: Part| 0.0;
        let read = |m: &Model, u: &[f64]| reading.read(m, u, &there, &nothing);

        let even = self.axial(&axial)?;
        let mut residual = even.residual;
        let unit = |k: usize| self.axial_unit(&axial, &even, &even.sides[k], &reading);
        let preload = unit(3);
        let shares = self.thread_shares(&axial, &even.sides[3]);

        let (insert, frame) = (whole.sizes.seat_insert, whole.sizes.seat_frame);
        let mut sides = vec![load::threaded(&twist, &shares)];
        sides.extend(insert.map(|ring| load::twisted(&twist, Part::Insert, ring)));
        sides.extend(frame.map(|ring| load::twisted(&twist, Part::Frame, ring)));
        let solved = balanced(&twist, &twist.factor()?, sides)?;
        residual = residual.max(solved.residual);
        let mut units = solved.sides.iter().map(|u| read(&twist, u));
        let torsion = TorsionUnits {
            thread: units.next().ok_or(ElementsError::NotFinite)?,
            seat_insert: insert.and_then(|_| units.next()),
            seat_frame: frame.and_then(|_| units.next()),
        };

        let mut sides = vec![
            load::rocking(&once, 1.0, 0.0),
            load::rocking(&once, 0.0, 1.0),
        ];
        sides.extend(insert.map(|ring| load::tilted(&once, Part::Insert, ring)));
        sides.extend(frame.map(|ring| load::tilted(&once, Part::Frame, ring)));
        let solved = balanced(&once, &once.factor()?, sides)?;
        residual = residual.max(solved.residual);
        let mut units = solved.sides.iter().map(|u| read(&once, u));
        let rocking = RockingUnits {
            force: units.next().ok_or(ElementsError::NotFinite)?,
            moment: units.next().ok_or(ElementsError::NotFinite)?,
            seat_insert: insert.and_then(|_| units.next()),
            seat_frame: frame.and_then(|_| units.next()),
        };

        let shrunk = |part: Part| self.shrunk(part);
        let side = load::free_strain(&heat, |p| self.stiff(p), shrunk);
        let solved = balanced(&heat, &heat.factor()?, vec![side])?;
        residual = residual.max(solved.residual);
        let thermal = reading.read(&heat, &solved.sides[0], &there, &shrunk);

        let share = number(even.share);
        let seat = |f: Option<super::Compliance>, s: f64| f.map_or(0.0, |f| si(f) * s);
        let face =
            seat(preload.insert_face, even.share) + seat(preload.frame_face, 1.0 - even.share);
        let first_turn = preload.turns.first().copied().unwrap_or(number(1.0));
        Ok(Elements {
            stations: reading.stations.iter().map(|&x| from_si(x)).collect(),
            end_length: from_si(self.end_length),
            thread: unit(0),
            seat_insert: insert.map(|_| unit(1)),
            seat_frame: frame.map(|_| unit(2)),
            thread_stiffness: from_si(1.0 / (face - si(preload.fitting_end))),
            first_turn,
            preload,
            seat: Seat {
                share,
                simple_share: number(self.simple_share()),
                rings: even.rings,
            },
            torsion,
            rocking,
            thermal,
            points: reading.points,
            picture: reading.picture,
            halvings: times,
            change: number(f64::INFINITY),
            changed: Quoted::Along,
            settled: false,
            residual: number(residual),
            unknowns: once.size().max(axial.size()),
        })
    }

    /// Section 6 with rigid faces.
    fn simple_share(&self) -> f64 {
        let stiff =
            |ring: Option<(f64, f64)>, k: f64| ring.map_or(0.0, |(a, b)| k * (b * b - a * a));
        let insert = stiff(self.sizes.seat_insert, self.layers[0]);
        insert / (insert + stiff(self.sizes.seat_frame, self.layers[1]))
    }

    /// Pull of the thread, both parts of the seat, and the preload with the flange's own pressure.
    fn axial(&self, m: &Model) -> Result<Even, ElementsError> {
        let g = m.grid;
        let factor = m.factor()?;
        let (insert, frame) = (g.sizes.seat_insert, g.sizes.seat_frame);
        let end = m
            .unknown(g.corner(0, 0), 0)
            .ok_or(ElementsError::NotPositive)?;
        let mut pull = load::none(m);
        pull[end] = -1.0;
        let pressed = |part, ring: Option<(f64, f64)>| {
            ring.map_or_else(|| load::none(m), |ring| load::pressed(m, part, ring))
        };
        let loads = vec![
            pull,
            pressed(Part::Insert, insert),
            pressed(Part::Frame, frame),
        ];
        // The flange: one ring of pressure for each row of cells on the face.
        let first = m.face_start();
        let (mut rows, mut rings, mut forces) = (Vec::new(), Vec::new(), Vec::new());
        for (part, ring, layer) in [
            (Part::Insert, insert, self.layers[0]),
            (Part::Frame, frame, self.layers[1]),
        ] {
            let Some(ring) = ring else { continue };
            for row in g.ring(part, ring) {
                let (a, b) = g.radii(row);
                let area = std::f64::consts::PI * (b * b - a * a);
                rows.push((part, a, b));
                rings.push(Ring { area, layer });
                forces.push(load::pressed(m, part, (a, b)));
            }
        }
        let mut sides: Vec<Vec<f64>> = forces.iter().map(|f| f[first..].to_vec()).collect();
        sides.push(loads[0][first..].to_vec());
        factor.solve_face(&mut sides);
        let meets =
            |f: &[f64], u: &[f64]| f[first..].iter().zip(u).map(|(f, u)| f * u).sum::<f64>();
        let n = rings.len();
        let green = DMatrix::from_fn(n, n, |i, j| meets(&forces[i], &sides[j]));
        let pulled: Vec<f64> = forces.iter().map(|f| meets(f, &sides[n])).collect();
        let pressing = contact(&rings, &green, &pulled)?;
        let mut preload = loads[0].clone();
        for (force, p) in forces.iter().zip(&pressing) {
            for (to, f) in preload[first..].iter_mut().zip(&force[first..]) {
                *to += p * f;
            }
        }
        let share = rows
            .iter()
            .zip(&pressing)
            .filter(|(row, _)| row.0 == Part::Insert);
        let share = share.map(|(_, p)| p).sum();
        let rings = rows.iter().zip(rings.iter().zip(&pressing));
        let rings = rings.map(|(&(part, a, b), (ring, p))| RingPressure {
            part,
            inner: from_si(a),
            outer: from_si(b),
            pressure: from_si(p / ring.area),
        });
        let rings = rings.collect();
        let mut sides = loads.clone();
        sides.push(preload);
        let solved = balanced(m, &factor, sides)?;
        Ok(Even {
            loads,
            sides: solved.sides,
            residual: solved.residual,
            rings,
            share,
        })
    }

    fn axial_unit(&self, m: &Model, even: &Even, u: &[f64], reading: &Reading) -> AxialUnit {
        let meets = |k: usize| even.loads[k].iter().zip(u).map(|(f, u)| f * u).sum::<f64>();
        let unit: Unit = reading.read(m, u, &|p| self.there(p), &|_| 0.0);
        let sizes = &m.grid.sizes;
        AxialUnit {
            unit,
            turns: self.turns(m, u),
            fitting_end: from_si(-meets(0)),
            insert_face: sizes.seat_insert.map(|_| from_si(meets(1))),
            frame_face: sizes.seat_frame.map(|_| from_si(meets(2))),
        }
    }

    /// By how much insert and fitting part at the three nodes of each column along the thread.
    fn slips(&self, m: &Model, u: &[f64]) -> Vec<(f64, f64, [f64; 3])> {
        let g = m.grid;
        let Some(line) = g.thread_line else {
            return Vec::new();
        };
        let (from, to) = g.sizes.thread;
        let each = g.span(from, to).map(|i| {
            let (p, q) = (m.along(i, g.bore_line), m.along(i, line));
            let slip = [0, 1, 2].map(|k| m.moved(u, p[k], 0) - m.moved(u, q[k], 0));
            (g.x[i], g.x[i + 1], slip)
        });
        each.collect()
    }

    /// Force of the thread on each node of the insert's bore, column by column.
    fn thread_shares(&self, m: &Model, u: &[f64]) -> Vec<[f64; 3]> {
        let m30 = [[4.0, 2.0, -1.0], [2.0, 16.0, 2.0], [-1.0, 2.0, 4.0]];
        let each = self.slips(m, u).into_iter().map(|(a, b, slip)| {
            let k = self.flanks * (b - a) / 30.0;
            m30.map(|row| k * row.iter().zip(slip).map(|(m, s)| m * s).sum::<f64>())
        });
        each.collect()
    }

    /// Force in each turn from the first on.
    fn turns(&self, m: &Model, u: &[f64]) -> Vec<Ratio> {
        let (from, to) = m.grid.sizes.thread;
        // A last turn of a millionth is rounding.
        let count = ((to - from) / self.pitch - 1e-6).ceil().max(1.0) as usize;
        let mut turns = vec![0.0; count];
        for (a, b, s) in self.slips(m, u) {
            // Slip is a parabola: integrated by Simpson's rule between the ends of column and turn.
            let slip = |x: f64| {
                let t = 2.0 * (x - a) / (b - a) - 1.0;
                0.5 * t * (t - 1.0) * s[0] + (1.0 - t * t) * s[1] + 0.5 * t * (t + 1.0) * s[2]
            };
            let first = (((a - from) / self.pitch) as usize).min(count - 1);
            for (k, turn) in turns.iter_mut().enumerate().skip(first) {
                let p = (from + k as f64 * self.pitch).max(a);
                let end = if k + 1 == count {
                    to
                } else {
                    from + (k + 1) as f64 * self.pitch
                };
                let q = end.min(b);
                if p >= b {
                    break;
                }
                if q > p {
                    let sum = slip(p) + 4.0 * slip(0.5 * (p + q)) + slip(q);
                    *turn += self.flanks * (q - p) / 6.0 * sum;
                }
            }
        }
        turns.into_iter().map(number).collect()
    }
}

/// Axial solutions: loads and answers of thread, seat on insert, seat on frame; the fourth answer is the preload's.
struct Even {
    loads: Vec<Vec<f64>>,
    sides: Vec<Vec<f64>>,
    residual: f64,
    rings: Vec<RingPressure>,
    share: f64,
}

/// Refinements at most: what is left after them is rounding of the forces themselves.
const REFINEMENTS: u32 = 3;

/// Solves and sees that the forces are in balance; refines where they are not.
fn balanced(model: &Model, factor: &Factor, loads: Vec<Vec<f64>>) -> Result<Solved, ElementsError> {
    let mut sides = loads.clone();
    factor.solve(&mut sides);
    let off = |sides: &[Vec<f64>]| {
        let mut worst = 0.0_f64;
        let mut rests = model.times(sides);
        for (rest, f) in rests.iter_mut().zip(&loads) {
            let (mut most, mut apart) = (0.0_f64, 0.0_f64);
            for (r, f) in rest.iter_mut().zip(f) {
                *r = f - *r;
                most += f.abs();
                apart = apart.max(r.abs());
            }
            if most > 0.0 {
                worst = worst.max(apart / most);
            }
        }
        (worst, rests)
    };
    let (mut worst, mut rests) = off(&sides);
    let mut rounds = 0;
    while worst > 0.1 * BALANCE && rounds < REFINEMENTS {
        rounds += 1;
        factor.solve(&mut rests);
        for (u, d) in sides.iter_mut().zip(&rests) {
            for (u, d) in u.iter_mut().zip(d) {
                *u += d;
            }
        }
        (worst, rests) = off(&sides);
    }
    if sides.iter().flatten().any(|v| !v.is_finite()) {
        return Err(ElementsError::NotFinite);
    }
    if worst > BALANCE {
        return Err(ElementsError::Balance(worst));
    }
    Ok(Solved {
        sides,
        residual: worst,
    })
}
