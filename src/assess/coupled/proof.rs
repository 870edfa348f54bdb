//! What the glue of a model stands once, fresh and at 20 °C: a torque alone, a pull alone.

use super::{FaceForces, Model};
use crate::mechanics::glue::Limit;
use crate::units::*;

/// How closely a capacity is searched for, relative to itself.
const WIDTH: f64 = 1e-11;

impl Model<'_> {
    /// The torque, put in through the thread, that uses the glue up. Nothing where no torque does, or
    /// where the strengths are not known.
    pub fn torque_capacity(&self) -> Option<Torque> {
        self.once(|torque| (0.0, torque)).map(from_si)
    }

    /// The outward pull, put in through the thread with the seat free, that uses the glue up.
    pub fn pull_capacity(&self) -> Option<Force> {
        self.once(|pull| (pull, 0.0)).map(from_si)
    }

    /// The load at which the use of the glue reaches 1 in the state of tightening.
    fn once(&self, load: impl Fn(f64) -> (f64, f64)) -> Option<f64> {
        let room = celsius(20.0);
        let strengths = self.strengths(room, false, Limit::Ductile)?;
        let thermal = self.thermal_at(room);
        let demand = |x: f64| {
            let (pull, torque) = load(x);
            let forces = FaceForces {
                fitting: from_si(pull),
                insert: from_si(0.0),
                frame: from_si(0.0),
            };
            let f = self.fields(&forces, [torque, 0.0, 0.0], (0.0, 0.0));
            self.demand(&f, &thermal, &strengths)
        };
        if demand(0.0) >= 1.0 {
            return Some(0.0);
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..80 {
            if demand(high) >= 1.0 {
                let found = super::super::root::between(low, high, WIDTH, |x| demand(x) - 1.0);
                return Some(found);
            }
            low = high;
            high *= 2.0;
        }
        None
    }
}
