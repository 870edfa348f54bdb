//! How load and stress run through the joint: turn by turn, along the glue, around the seat. For drawings.

use super::*;
use crate::assess::Assessment;
use crate::mechanics::plane;
use std::f64::consts::TAU;

/// The glue at one place in service at preload high, the job's own case, in the direction that is worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GluePlace {
    /// Distance behind the face.
    pub x: Length,
    /// Shear along the axis, + where the glue holds the insert against a pull outward.
    pub shear: Pressure,
    /// Stress across the layer by rocking, on the side where it is greatest at the face.
    pub peel: Pressure,
}

/// The seat in one direction from the axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    /// Clockwise from 12 o'clock, seen from outside.
    pub at: Angle,
    /// Gap there, straight between the readings.
    pub gap: Length,
    /// From which to which radius insert and frame bear.
    pub bears: [Option<(Length, Length)>; 2],
}

/// The course of load and stress.
#[derive(Debug, Clone)]
pub struct Course {
    /// What each turn carries at preload high, from the face on.
    pub turns: Vec<Force>,
    /// Along the glue.
    pub glue: Vec<GluePlace>,
    /// Around the seat at preload low.
    pub preloaded: Vec<Ray>,
    /// The same under the load of the job's own case.
    pub loaded: Vec<Ray>,
}

/// Directions around the seat.
const RAYS: u32 = 72;
/// The most turns that are listed; a thread of more is no drawing.
const MOST_TURNS: usize = 60;

impl Course {
    /// Of an assembly; nothing where the coupled model has no answer.
    pub fn of(a: &Assembly, r: &Assessment) -> Option<Course> {
        let e = &r.evaluation;
        let model = Model::new(a, &e.geometry, &e.ring, 1.0).ok()?;
        let high = e.preloads.band.high.preload;
        let pitch = a.thread.basic.pitch;
        let forces = FaceForces::preload(high, e.ring.share);
        let turns = (0..model.ladder.turns(pitch).min(MOST_TURNS))
            .map(|turn| model.ladder.turn_load(turn, pitch, &forces))
            .collect();
        let (_, _, fields) = model.served(high, &e.loads)?;
        let peel = fields.rocking.map_or(glue::NOTHING, |r| r.peel);
        let x = model.grid.x().iter();
        let glue = x
            .zip(fields.axial.iter().zip(&peel))
            .map(|(x, (shear, peel))| GluePlace {
                x: from_si(*x),
                shear: from_si(*shear),
                peel: from_si(*peel),
            })
            .collect();
        let seated = model.seated(least_preload(&e.preloads)).ok()?.preload;
        let under = model
            .contact
            .worst_direction(&seated, e.loads.moment, e.loads.axial)
            .ok()?
            .state;
        Some(Course {
            turns,
            glue,
            preloaded: model.rays(seated.closing, seated.tilt),
            loaded: model.rays(under.closing, under.tilt),
        })
    }
}

impl Course {
    /// Where along the glue the middle of its shear lies: half of the area below the curve, signs left out, is on
    /// either side. Nothing where there is no shear.
    pub fn middle_of_shear(&self) -> Option<Length> {
        let part = |pair: &[GluePlace]| {
            let height = (si(pair[0].shear).abs() + si(pair[1].shear).abs()) / 2.0;
            height * si(pair[1].x - pair[0].x)
        };
        let whole: f64 = self.glue.windows(2).map(part).sum();
        let mut passed = 0.0;
        let found = self.glue.windows(2).find(|pair| {
            passed += part(pair);
            passed >= whole / 2.0
        });
        found.filter(|_| whole > 0.0).map(|pair| pair[1].x)
    }
}

impl Model<'_> {
    /// Where the seat bears at an approach and a tilt: along each ray the flange comes down in a straight line.
    fn rays(&self, closing: Length, tilt: contact::Tilt) -> Vec<Ray> {
        let gaps = self.a.seat.gaps.iter();
        let around: plane::Around = gaps.map(|g| (si(g.at), si(g.gap.nominal))).collect();
        let ray = |i: u32| {
            let at = TAU * f64::from(i) / f64::from(RAYS);
            let gap = plane::between(&around, at);
            let down = si(closing) - gap;
            let rise = si(tilt.x) * at.cos() + si(tilt.y) * at.sin();
            let bears = [self.ring.insert, self.ring.frame].map(|part| {
                let (inner, outer) = part.map(|p| (si(p.inner), si(p.outer)))?;
                let touch = if rise == 0.0 { inner } else { -down / rise };
                let (from, to) = match (down + inner * rise > 0.0, down + outer * rise > 0.0) {
                    (true, true) => (inner, outer),
                    (true, false) => (inner, touch),
                    (false, true) => (touch, outer),
                    (false, false) => return None,
                };
                Some((from_si(from), from_si(to)))
            });
            Ray {
                at: from_si(at),
                gap: from_si(gap),
                bears,
            }
        };
        (0..RAYS).map(ray).collect()
    }
}
