//! Torque and preload: exact statics of the helix, shares, loosening, losses, the tool.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | F | preload | N |
//! | r2 | half of the pitch diameter | mm |
//! | lambda | lead angle | deg |
//! | rho | friction angle of the thread, tan rho = mu_t / cos(alpha_n) | deg |
//! | r_s | effective radius of the seat | mm |
//! | mu_t, mu_s | friction coefficients of thread and seat | none |
//!
//! Terms as in ISO 16047; VDI 2230's approximation serves as a check in the published cases.

use super::formula::formula;
use crate::units::*;

formula! { "Friction angle of the thread";
source: "statics of the helix, friction in the normal section"; limits: "single start; flank angle taken in the normal section";
fn friction_angle(mu_t: Ratio, alpha: Angle, lambda: Angle) -> Angle {
    let alpha_n = atan(tan(alpha) * cos(lambda));
    atan(mu_t / cos(alpha_n))
} }
formula! { "Torque in the thread, tightening";
source: "exact statics of the helix"; limits: "uniform friction";
fn thread_torque(F: Force, r2: Length, lambda: Angle, rho: Angle) -> Torque { F * r2 * tan(lambda + rho) } }
formula! { "Torque under the flange";
source: "friction on the seat at its effective radius"; limits: "uniform pressure";
fn seat_torque(F: Force, mu_s: Ratio, r_s: Length) -> Torque { F * mu_s * r_s } }
formula! { "Preload from torque";
source: "exact statics of the helix; terms of ISO 16047 (recalled)"; limits: "uniform friction, no prevailing torque";
fn preload_from_torque(T: Torque, r2: Length, lambda: Angle, rho: Angle, mu_s: Ratio, r_s: Length) -> Force {
    T / (r2 * tan(lambda + rho) + mu_s * r_s)
} }
formula! { "Torque from preload";
source: "exact statics of the helix; terms of ISO 16047 (recalled)"; limits: "uniform friction, no prevailing torque";
fn torque_from_preload(F: Force, r2: Length, lambda: Angle, rho: Angle, mu_s: Ratio, r_s: Length) -> Torque {
    F * (r2 * tan(lambda + rho) + mu_s * r_s)
} }
formula! { "Part of the torque that makes preload";
source: "work on one turn of the helix"; limits: "single start";
fn pitch_torque(F: Force, P: Length) -> Torque { F * P / (2.0 * PI) } }
formula! { "Part of the torque that thread friction takes";
source: "thread torque less the part that makes preload"; limits: "uniform friction";
fn thread_friction_torque(F: Force, r2: Length, lambda: Angle, rho: Angle, P: Length) -> Torque {
    F * r2 * tan(lambda + rho) - F * P / (2.0 * PI)
} }
formula! { "Torque to loosen";
source: "exact statics of the helix"; limits: "at the stated preload and friction; nothing grown fast";
fn loosening_torque(F: Force, r2: Length, lambda: Angle, rho: Angle, mu_s: Ratio, r_s: Length) -> Torque {
    F * (r2 * tan(rho - lambda) + mu_s * r_s)
} }
formula! { "Preload lost by relaxation";
source: "share of the preload; 5 % after NASA-STD-5020 (recalled), 15 % where part of the seat is on the frame (common practice, no source)";
limits: "a share, whatever the stiffness";
fn relaxation_loss(F: Force, share: Ratio) -> Force { F * share } }
formula! { "Preload lost by embedding";
source: "spring theory of the joint; settling of 3 µm is a scaled default (common practice, no source)";
limits: "settles once; 0 when tightened again";
fn embedding_loss(f_Z: Length, k_t: Stiffness, k_s: Stiffness) -> Force { f_Z * k_t * k_s / (k_t + k_s) } }
formula! { "Preload at low torque and high friction, after the loss";
source: "the larger of the two losses counts"; limits: "never below zero";
fn preload_low(F: Force, loss_relaxation: Force, loss_embedding: Force) -> Force {
    max(F - max(loss_relaxation, loss_embedding), 0.0 * F)
} }
formula! { "Value to set on the tool with a crowfoot in line";
source: "equilibrium of the wrench"; limits: "extension in line with the wrench, hand at its grip";
fn set_on_tool(T: Torque, wrench: Length, extension: Length) -> Torque { T * num(wrench / (wrench + extension)) } }

/// Everything that turns torque into preload at one state of friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Helix {
    /// Half of the pitch diameter.
    pub r2: Length,
    /// Lead angle.
    pub lead: Angle,
    /// Friction angle of the thread.
    pub friction: Angle,
    /// Friction coefficient of the seat.
    pub seat_friction: Ratio,
    /// Effective radius of the seat.
    pub seat_radius: Length,
    /// The thread's torque at a preload of 1 N, tightening; kept, since an assessment asks for it a dozen times.
    thread_of_one: Torque,
    /// The same, loosening.
    loosening_of_one: Torque,
    /// The seat's torque at a preload of 1 N.
    seat_of_one: Torque,
}

/// The preload whose torques a [`Helix`] keeps.
fn one() -> Force {
    newton(1.0)
}

impl Helix {
    /// From half of the pitch diameter, lead angle and friction angle of the thread, friction and radius of the seat.
    pub fn new(
        r2: Length,
        lead: Angle,
        friction: Angle,
        seat_friction: Ratio,
        seat_radius: Length,
    ) -> Helix {
        Helix {
            r2,
            lead,
            friction,
            seat_friction,
            seat_radius,
            thread_of_one: thread_torque(one(), r2, lead, friction),
            loosening_of_one: thread_torque(one(), r2, -lead, friction),
            seat_of_one: seat_torque(one(), seat_friction, seat_radius),
        }
    }
    /// Preload from torque, as [`preload_from_torque()`].
    pub fn preload(&self, torque: Torque) -> Force {
        one() * (torque / (self.thread_of_one + self.seat_of_one))
    }
    /// Torque from preload, as [`torque_from_preload()`].
    pub fn torque(&self, preload: Force) -> Torque {
        (self.thread_of_one + self.seat_of_one) * si(preload / one())
    }
    /// The thread's part of the tightening torque, as [`thread_torque()`].
    pub fn thread(&self, preload: Force) -> Torque {
        self.thread_of_one * si(preload / one())
    }
    /// The seat's part of the torque, as [`seat_torque()`].
    pub fn seat(&self, preload: Force) -> Torque {
        self.seat_of_one * si(preload / one())
    }
    /// Torque to loosen, as [`loosening_torque()`].
    pub fn loosening(&self, preload: Force) -> Torque {
        (self.loosening_of_one + self.seat_of_one) * si(preload / one())
    }
    /// The thread's part of the loosening torque; negative where the thread does not hold itself.
    pub fn loosening_thread(&self, preload: Force) -> Torque {
        self.loosening_of_one * si(preload / one())
    }
    /// Does the thread hold itself against unwinding?
    pub fn self_locking(&self) -> bool {
        self.friction > self.lead
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-12 * want.abs(), "{got} not {want}");
    }

    /// Settling of 3 µm in springs of 100 and 300 N/µm in series, whichever is the thread's.
    #[test]
    fn losses_by_hand() {
        for (thread, seat) in [(1e8, 3e8), (3e8, 1e8)] {
            let loss = embedding_loss(mm(0.003), from_si(thread), from_si(seat));
            close(si(loss), 225.0);
        }
        close(si(relaxation_loss(newton(8000.0), number(0.05))), 400.0);
        let left = |f: f64, a: f64, b: f64| si(preload_low(newton(f), newton(a), newton(b)));
        close(left(10_000.0, 500.0, 300.0), 9500.0);
        close(left(10_000.0, 300.0, 500.0), 9500.0);
        assert_eq!(left(100.0, 500.0, 0.0), 0.0);
    }
}
