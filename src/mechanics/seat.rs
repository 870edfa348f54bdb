//! The seat: which ring bears, its stiffness, its effective radius; closed forms of opening and lever-out.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | r_i, r_o | radii of a ring | mm |
//! | w | width of the whole ring | mm |
//! | k_c | stiffness of a part per area | N/mm³ |
//! | s | share of the insert's part | none |
//! | r2 | radius of the thread | mm |
//!
//! The stiffness is that of a strip on a half-space: a modelling choice without a source. The one-sided
//! solver is in [`contact`](super::contact).

use super::formula::formula;
use crate::units::*;

formula! { "Area of a ring";
source: "geometry"; limits: "full ring";
fn ring_area(r_i: Length, r_o: Length) -> Area { PI * (r_o * r_o - r_i * r_i) } }
formula! { "Area of a seat of two parts";
source: "sum of the parts that bear"; limits: "full rings";
fn seat_area(A_insert: Area, A_frame: Area) -> Area { A_insert + A_frame } }
formula! { "Local stiffness of a seat part per area";
source: "strip on a half-space: a modelling choice without a source"; limits: "flat, elastic; w is the width of the whole ring";
fn layer_stiffness(E: Pressure, nu: Ratio, w: Length) -> LayerStiffness { E / ((1.0 - nu * nu) * w) } }
formula! { "Share of the seat's force on the insert";
source: "two springs side by side under a rigid flange"; limits: "full ring, no gaps";
fn insert_share(k_i: LayerStiffness, A_i: Area, k_f: LayerStiffness, A_f: Area) -> Ratio {
    num(k_i * A_i / (k_i * A_i + k_f * A_f))
} }
formula! { "Effective radius of a ring";
source: "uniform pressure on a ring (the JIS B 1083 form was read)"; limits: "uniform pressure, uniform friction";
fn effective_radius(r_i: Length, r_o: Length) -> Length {
    2.0 / 3.0 * (r_o * r_o * r_o - r_i * r_i * r_i) / (r_o * r_o - r_i * r_i)
} }
formula! { "Effective radius of a seat of two parts";
source: "each part at its own radius, weighted by its share"; limits: "uniform pressure in each part";
fn effective_radius_of_parts(s: Ratio, r_insert: Length, r_frame: Length) -> Length { s * r_insert + (1.0 - s) * r_frame } }
formula! { "Flange beyond what the face supports, per side";
source: "geometry"; limits: "concentric";
fn unsupported(flange_diameter: Length, r_o: Length) -> Length { flange_diameter / 2.0 - r_o } }
formula! { "Pull on the thread if the clamp is lost";
source: "rigid flange pivoting on the supported edge, derived"; limits: "no preload, rigid seat";
fn lever_out_pull(M: Torque, r_o: Length, r2: Length) -> Force {
    let arm = (r_o * r_o + r2 * r2 / 2.0) / r_o;
    max(M, 0.0 * M - M) / arm
} }
formula! { "Highest line load on the thread if the clamp is lost";
source: "rigid flange pivoting on the supported edge, derived"; limits: "no preload, rigid seat";
fn lever_out_line_load(M: Torque, r_o: Length, r2: Length) -> LineLoad {
    max(M, 0.0 * M - M) * ((r_o + r2) / (2.0 * PI * r2 * (r_o * r_o + r2 * r2 / 2.0)))
} }

formula! { "Mean pressure of the seat";
source: "force over area"; limits: "over the whole ring, in contact or not";
fn mean_pressure(F: Force, A: Area) -> Pressure { F / A } }
formula! { "Load across the axis that slips the seat";
source: "engineering basis, section 11: friction of the seat, and the thread's own centring until one side of its flanks comes free"; limits: "low seat friction, preload low, loaded";
fn grip(mu_s: Ratio, P: Force, F_t: Force, alpha: Angle) -> Force { mu_s * P + max(F_t, newton(0.0)) * tan(alpha) / 2.0 } }
formula! { "Tilting stiffness of a part of the seat";
source: "second moment of a ring of springs, derived"; limits: "all of it in contact";
fn tilting(k_c: LayerStiffness, r_i: Length, r_o: Length) -> Torque {
    k_c * PI / 4.0 * (r_o * r_o * r_o * r_o - r_i * r_i * r_i * r_i)
} }
formula! { "Tilting stiffness of the thread ring";
source: "a ring of springs at the pitch radius, derived"; limits: "the axial stiffness spread evenly around";
fn thread_tilting(k_t: Stiffness, r2: Length) -> Torque { k_t * r2 * r2 / 2.0 } }
formula! { "Moment that opens a ring without gaps";
source: "engineering basis, section 6: the pressure first reaches 0 at the edge, derived"; limits: "full ring, no gaps; K_t is the tilting stiffness of seat and thread together, k_s the seat's, k_t the thread's along the axis";
fn opening_moment(F0: Force, N_ext: Force, k_s: Stiffness, k_t: Stiffness, r_o: Length, K_t: Torque) -> Torque {
    num((F0 / k_s - N_ext / (k_s + k_t)) / r_o) * K_t
} }
formula! { "Moment that opens a full ring of one part under a rigid thread";
source: "kern of a ring, derived: pressure linear across it"; limits: "thread's stiffness left out, on the conservative side";
fn opening_moment_rigid(F: Force, r_i: Length, r_o: Length) -> Torque { F * ((r_o * r_o + r_i * r_i) / (4.0 * r_o)) } }

/// One part of the ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Inner radius.
    pub inner: Length,
    /// Outer radius.
    pub outer: Length,
    /// Stiffness per area.
    pub stiffness: LayerStiffness,
}

impl Part {
    /// Area of the part.
    pub fn area(&self) -> Area {
        ring_area(self.inner, self.outer)
    }
}

/// Which parts of the face bear.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bears {
    /// The insert stands proud.
    Insert,
    /// Both faces are flush.
    Both,
    /// The insert stands back.
    Frame,
}

/// What the ring is made from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingInput {
    /// Half of the seat's inner diameter.
    pub inner: Length,
    /// The lesser of flange radius and half of the seat's outer diameter.
    pub outer: Length,
    /// Radius of the insert's face: half its outer diameter, or its lip's.
    pub face_radius: Length,
    /// Where the frame's face begins: the bond bore's radius, or the lip's.
    pub bore_radius: Length,
    /// Elastic modulus and Poisson's ratio of the insert.
    pub insert: (Pressure, Ratio),
    /// Elastic modulus and Poisson's ratio of the frame.
    pub frame: (Pressure, Ratio),
}

/// The ring that bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// The part on the insert, where there is one.
    pub insert: Option<Part>,
    /// The part on the frame, where there is one.
    pub frame: Option<Part>,
    /// Inner radius of what bears.
    pub inner: Length,
    /// Outer radius of what bears.
    pub outer: Length,
    /// Share of the insert.
    pub share: Ratio,
    /// Effective radius for the seat's friction.
    pub radius: Length,
    /// Area of both parts.
    pub area: Area,
}

impl Ring {
    /// The ring for a way of bearing; `None` where nothing of the face lies under the flange.
    pub fn new(input: &RingInput, bears: Bears) -> Option<Ring> {
        let lesser = super::formula::min::<Length>;
        let greater = super::formula::max::<Length>;
        let span = |from: Length, to: Length| (to > from).then_some((from, to));
        let insert = if bears == Bears::Frame {
            None
        } else {
            span(input.inner, lesser(input.outer, input.face_radius))
        };
        let frame = if bears == Bears::Insert {
            None
        } else {
            span(greater(input.inner, input.bore_radius), input.outer)
        };
        let inner = insert.or(frame)?.0;
        let outer = frame.or(insert)?.1;
        let width = outer - inner;
        let part = |ends: Option<(Length, Length)>, elastic: (Pressure, Ratio)| {
            ends.map(|(inner, outer)| Part {
                inner,
                outer,
                stiffness: layer_stiffness(elastic.0, elastic.1, width),
            })
        };
        let insert = part(insert, input.insert);
        let frame = part(frame, input.frame);
        let (share, radius, area) = match (insert, frame) {
            (Some(i), Some(f)) => {
                let share = insert_share(i.stiffness, i.area(), f.stiffness, f.area());
                let radius = effective_radius_of_parts(
                    share,
                    effective_radius(i.inner, i.outer),
                    effective_radius(f.inner, f.outer),
                );
                (share, radius, seat_area(i.area(), f.area()))
            }
            (Some(i), None) => (number(1.0), effective_radius(i.inner, i.outer), i.area()),
            (None, Some(f)) => (number(0.0), effective_radius(f.inner, f.outer), f.area()),
            (None, None) => return None,
        };
        Some(Ring {
            insert,
            frame,
            inner,
            outer,
            share,
            radius,
            area,
        })
    }

    /// Stiffness of the whole seat, the sum of stiffness times area of its parts.
    pub fn stiffness(&self) -> Stiffness {
        [self.insert, self.frame]
            .into_iter()
            .flatten()
            .map(|p| p.stiffness * p.area())
            .fold(from_si(0.0), |a: Stiffness, b| a + b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::f64::consts::{PI, TAU};

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-9 * want.abs(), "{got} not {want}");
    }

    /// The mean of a function around the ring.
    fn around(f: impl Fn(f64) -> f64) -> f64 {
        (0..360).map(|i| f(f64::from(i) * TAU / 360.0)).sum::<f64>() / 360.0
    }

    /// A rigid flange turned about its supported edge: the springs of the thread one by one.
    #[test]
    fn levering_out_spring_by_spring() {
        let (r_o, r2) = (0.022, 0.017);
        let lift = |phi: f64| r_o + r2 * phi.cos();
        for moment in [-30.0, 30.0] {
            let pull = si(lever_out_pull(
                newton_metre(moment),
                from_si(r_o),
                from_si(r2),
            ));
            let line = si(lever_out_line_load(
                newton_metre(moment),
                from_si(r_o),
                from_si(r2),
            ));
            // A spring's force is its lift times the line load at the farthest over the lift there.
            let load = |phi: f64| TAU * r2 * line / lift(0.0) * lift(phi);
            close(around(load), pull);
            close(around(|phi| load(phi) * lift(phi)), 30.0);
        }
    }

    /// Springs of a ring, each at its distance from the axis of tilting.
    #[test]
    fn tilting_spring_by_spring() {
        let moment = |k: f64, r: f64| around(|phi| k * (r * phi.cos()).powi(2));
        let thread = thread_tilting(from_si(2e8), mm(17.0));
        close(si(thread), moment(2e8, 0.017));
        let (k, inner, outer, rings) = (5e13, 0.018, 0.022, 4000);
        let step = (outer - inner) / f64::from(rings);
        let sum: f64 = (0..rings)
            .map(|i| inner + (f64::from(i) + 0.5) * step)
            .map(|r| moment(k * TAU * r * step, r))
            .sum();
        let whole = si(tilting(from_si(k), from_si(inner), from_si(outer)));
        assert!((whole / sum - 1.0).abs() < 1e-7, "{whole} against {sum}");
    }

    /// 1 kN closes a seat of 1 kN/µm by 1 µm; a pull of 200 N over seat and thread opens it by 0.05 µm; the edge of
    /// 19 mm rises that far at 50 µrad, and 2 kN·m for each rad make 0.1 N·m of it.
    #[test]
    fn a_seat_opens_where_its_edge_comes_free() {
        let moment = opening_moment(
            newton(1000.0),
            newton(200.0),
            from_si(1e9),
            from_si(3e9),
            mm(19.0),
            newton_metre(2000.0),
        );
        close(si(moment), 0.1);
        // Under a thread without stiffness the same ring opens at the edge of its kern.
        let (k, inner, outer) = (from_si(5e13), mm(18.0), mm(22.0));
        let area = ring_area(inner, outer);
        close(si(area), PI * (22.0 * 22.0 - 18.0 * 18.0) * 1e-6);
        let tilts = tilting(k, inner, outer);
        let none = newton(0.0);
        let soft = opening_moment(newton(9000.0), none, k * area, from_si(0.0), outer, tilts);
        close(
            si(soft),
            si(opening_moment_rigid(newton(9000.0), inner, outer)),
        );
    }

    #[test]
    fn the_seat_by_hand() {
        close(si(unsupported(mm(40.0), mm(17.0))), 0.003);
        close(si(mean_pressure(newton(8000.0), from_si(40e-6))), 200e6);
        close(si(seat_area(from_si(3e-4), from_si(2e-4))), 5e-4);
        // Friction 0.1 of 1 kN, and half of what flanks of one in two centre with 400 N; flanks that hang free
        // centre nothing.
        let grip = |thread: f64| {
            si(grip(
                number(0.1),
                newton(1000.0),
                newton(thread),
                from_si(0.5f64.atan()),
            ))
        };
        close(grip(400.0), 200.0);
        close(grip(-400.0), 100.0);
    }

    /// Springs side by side: force on the insert's over that on both.
    #[test]
    fn shares_and_radii_of_two_parts() {
        let share = insert_share(from_si(3e13), from_si(1e-4), from_si(1e13), from_si(2e-4));
        close(si(share), 0.6);
        close(
            si(effective_radius_of_parts(number(0.6), mm(10.0), mm(20.0))),
            0.014,
        );
        // Even pressure: the mean of r weighted by r, ring by ring.
        let rings = (0..4000).map(|i| 10.0 + (f64::from(i) + 0.5) * 0.0025);
        let (square, plain) = rings.fold((0.0, 0.0), |(s, p), r| (s + r * r, p + r));
        let radius = si(effective_radius(mm(10.0), mm(20.0))) * 1e3;
        assert!((radius / (square / plain) - 1.0).abs() < 1e-7);
        close(
            si(layer_stiffness(megapascal(91_000.0), number(0.3), mm(4.0))),
            25e12,
        );
    }
}
