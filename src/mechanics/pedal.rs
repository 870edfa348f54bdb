//! Statics of pedalling: a rigid spindle on two bearings.
//!
//! y runs along the spindle, 0 at the centre plane, positive to the drive side; v points down and h to
//! the rear in the plane of the wheel. The pressed pedal is the forward one.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | F_p | force on one pedal, inclined from the plane of the wheel | N |
//! | beta | that inclination | deg |
//! | theta | crank below horizontal forward | deg |
//! | y_D, y_N | bearing planes, drive and other side | mm |
//! | y_p, y_c | planes of pedal and chain | mm |
//!
//! Source: equilibrium; forces and angles from ISO 4210-6 (recalled) and JIS D 9301 (read).

use super::formula::formula;
use crate::units::*;

formula! { "Part of the pedal force in the plane of the wheel";
source: "components of a force"; limits: "static";
fn radial_part(F_p: Force, beta: Angle) -> Force { F_p * cos(beta) } }
formula! { "Part of the pedal force along the spindle, outward";
source: "components of a force"; limits: "static";
fn axial_part(F_p: Force, beta: Angle) -> Force { F_p * sin(beta) } }
formula! { "Chain pull";
source: "equilibrium of the crank about the spindle"; limits: "slack side without pull; no inertia";
fn chain_pull(F_p: Force, beta: Angle, crank: Length, theta: Angle, R_chainring: Length) -> Force {
    F_p * cos(beta) * num(crank / R_chainring) * cos(theta)
} }
formula! { "Reaction of one bearing, from two forces and a couple";
source: "moments about the other bearing"; limits: "rigid spindle, bearings free to tilt";
fn reaction(P: Force, y_p: Length, C: Force, y_c: Length, y_near: Length, y_far: Length, K: Force) -> Force {
    P * num((y_p - y_far) / (y_near - y_far)) + C * num((y_c - y_far) / (y_near - y_far)) + K
} }
formula! { "Couple of the axial part, as a force at the bearing";
source: "the axial part acts a crank's length off the axis"; limits: "rigid spindle";
fn couple(A: Force, arm: Length, y_near: Length, y_far: Length) -> Force { 0.0 * A - A * num(arm / (y_near - y_far)) } }
formula! { "Load across the axis";
source: "resultant of the two components"; limits: "static";
fn resultant(R_v: Force, R_h: Force) -> Force { (R_v * R_v + R_h * R_h).sqrt() } }
formula! { "Moment about the face";
source: "load times overhang of the bearing"; limits: "negative for a bearing inside the face";
fn overhang_moment(V: Force, e: Length) -> Torque { V * e } }

formula! { "Pedalling and direct load together";
source: "addition, all taken in the direction of the pedalling load"; limits: "on the conservative side where they act in different directions";
fn total_force(pedalling: Force, direct: Force) -> Force { pedalling + direct } }
formula! { "Pedalling and direct moment together";
source: "addition, all taken in the direction of the pedalling load"; limits: "on the conservative side where they act in different directions; with a bearing inside the face the moment of pedalling is negative, and a positive one entered takes from it";
fn total_moment(pedalling: Torque, direct: Torque) -> Torque { pedalling + direct } }

formula! { "Load across the axis, its magnitude";
source: "definition: the seat has no direction"; limits: "any sign";
fn force_magnitude(V: Force) -> Force { max(V, -V) } }
formula! { "Moment about the face, its magnitude";
source: "definition: the seat has no direction"; limits: "any sign";
fn moment_magnitude(M: Torque) -> Torque { max(M, -M) } }

/// What pedalling is described by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pedalling {
    /// Force on one pedal.
    pub force: Force,
    /// From the centre plane to the force.
    pub pedal_offset: Length,
    /// Crank length.
    pub crank: Length,
    /// Pitch radius of the chainring.
    pub chainring_radius: Length,
    /// Plane of the chain.
    pub chainline: Length,
    /// Inclination of the force from the plane of the wheel.
    pub inclination: Angle,
    /// Crank below horizontal forward.
    pub crank_angle: Angle,
}

/// The two sides of a housing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The rider's right.
    Drive,
    /// The rider's left.
    NonDrive,
}

impl Side {
    /// +1 on the drive side, −1 on the other.
    pub fn sign(self) -> f64 {
        match self {
            Side::Drive => 1.0,
            Side::NonDrive => -1.0,
        }
    }
    /// The other side.
    pub fn other(self) -> Side {
        match self {
            Side::Drive => Side::NonDrive,
            Side::NonDrive => Side::Drive,
        }
    }
}

/// The load that pedalling puts on the insert of one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PedalLoad {
    /// Across the axis.
    pub radial: Force,
    /// Downward component of it.
    pub down: Force,
    /// Rearward component of it.
    pub rear: Force,
    /// Along the axis, outward; only from the pedal of the same side.
    pub axial: Force,
    /// Chain pull.
    pub chain: Force,
}

/// Where the bearings stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearings {
    /// Width of the housing.
    pub width: Length,
    /// Bearing of the side under judgement outside its face.
    pub near_outboard: Length,
    /// Bearing of the other side outside its face.
    pub far_outboard: Length,
}

/// Forces, their places and the couples that make the reaction of one bearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levers {
    /// Part of the pedal force in the plane of the wheel.
    pub radial: Force,
    /// Part of it along the spindle, outward on its own side.
    pub axial: Force,
    /// Chain pull.
    pub chain: Force,
    /// Place of the pedal; the side under judgement lies at positive y.
    pub y_pedal: Length,
    /// Place of the chain.
    pub y_chain: Length,
    /// The bearing of the side under judgement.
    pub y_near: Length,
    /// The other bearing.
    pub y_far: Length,
    /// Couple of the axial part, as a downward and as a rearward force at the bearing.
    pub couple: (Force, Force),
}

/// What acts on the spindle while the pedal of `pressed` is pressed, seen from the insert of `side`.
pub fn levers(pedalling: &Pedalling, bearings: &Bearings, side: Side, pressed: Side) -> Levers {
    let p = pedalling;
    // Everything is mirrored so that the side under judgement lies at positive y.
    let mirror = side.sign();
    let y_near = bearings.width / 2.0 + bearings.near_outboard;
    let y_far = -(bearings.width / 2.0 + bearings.far_outboard);
    let axial = axial_part(p.force, p.inclination);
    // The outward force of the pressed pedal points along its own side.
    let a = mirror * pressed.sign() * axial;
    let arm_v = p.crank * p.crank_angle.value.sin();
    let arm_h = -(p.crank * p.crank_angle.value.cos());
    Levers {
        radial: radial_part(p.force, p.inclination),
        axial,
        chain: chain_pull(
            p.force,
            p.inclination,
            p.crank,
            p.crank_angle,
            p.chainring_radius,
        ),
        y_pedal: mirror * pressed.sign() * p.pedal_offset,
        y_chain: mirror * p.chainline,
        y_near,
        y_far,
        couple: (
            couple(a, arm_v, y_near, y_far),
            couple(a, arm_h, y_near, y_far),
        ),
    }
}

/// Load on the insert of `side` while the pedal of `pressed` is pressed.
pub fn load(pedalling: &Pedalling, bearings: &Bearings, side: Side, pressed: Side) -> PedalLoad {
    let l = levers(pedalling, bearings, side, pressed);
    let none = newton(0.0);
    let at = |pedal: Force, chain: Force, couple: Force| {
        reaction(
            pedal, l.y_pedal, chain, l.y_chain, l.y_near, l.y_far, couple,
        )
    };
    let down = at(l.radial, none, l.couple.0);
    let rear = at(none, l.chain, l.couple.1);
    PedalLoad {
        radial: resultant(down, rear),
        down,
        rear,
        axial: if side == pressed { l.axial } else { none },
        chain: l.chain,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn direct_load_adds_and_the_seat_knows_no_direction() {
        assert_eq!(total_force(newton(3.0), newton(-4.0)), newton(-1.0));
        assert_eq!(
            total_moment(newton_metre(-2.0), newton_metre(5.0)),
            newton_metre(3.0)
        );
        for sign in [-1.0, 1.0] {
            assert_eq!(force_magnitude(newton(7.0 * sign)), newton(7.0));
            assert_eq!(
                moment_magnitude(newton_metre(7.0 * sign)),
                newton_metre(7.0)
            );
            // 1 kN, 10 mm outside the face or inside it.
            let moment = overhang_moment(newton(1000.0), mm(10.0 * sign));
            assert!((si(moment) - 10.0 * sign).abs() < 1e-12);
        }
    }
}
