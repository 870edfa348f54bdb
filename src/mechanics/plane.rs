//! A plane through readings around a ring: tilt, where it is high, what is left over and what that means.
//!
//! `g(φ) = c + a·cos φ + b·sin φ`, by least squares, every reading with the same weight.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | φ | place, clockwise from 12 o'clock | deg |
//! | g | reading there: a gap or a width | mm |
//! | c | its middle | mm |
//! | a, b | rise at the ring's outer radius towards 12 and towards 3 o'clock | mm |
//!
//! Source: least squares and the law of propagation of uncertainty (GUM), readings independent.

use super::formula::formula;
use crate::units::*;
use nalgebra::{Cholesky, Const, SMatrix, SVector};
use std::f64::consts::TAU;

formula! { "Tilt across the ring";
source: "geometry: twice the rise at the outer radius"; limits: "readings taken at the outer radius";
fn tilt_across(a: Length, b: Length) -> Length { 2.0 * (a * a + b * b).sqrt() } }
formula! { "Tilt as an angle";
source: "geometry"; limits: "readings taken at the outer radius";
fn tilt_angle(tilt: Length, r_o: Length) -> Angle { atan(num(tilt / (2.0 * r_o))) } }

formula! { "What has to come off to clean the whole ring up";
source: "geometry: the greatest gap less the least"; limits: "the gap taken as straight between the readings";
fn whole_depth(greatest: Length, least: Length) -> Length { greatest - least } }
formula! { "Greatest width less the least";
source: "definition of what is read as parallelism"; limits: "at the places that were read";
fn parallelism(greatest: Length, least: Length) -> Length { greatest - least } }

/// Two places are the same below this angle (rad).
const SAME_PLACE: f64 = 1e-6;

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Place, clockwise from 12 o'clock.
    pub at: Angle,
    /// What was read.
    pub value: Length,
    /// Half of the interval that it stands for.
    pub half: Length,
    /// Its standard uncertainty.
    pub standard: Length,
}

/// Too few places for a plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a plane needs readings at three places")]
pub struct TooFew {
    /// How many distinct places there are.
    pub places: usize,
}

/// The fitted plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Plane {
    /// Middle.
    pub middle: Length,
    /// Rise at the outer radius towards 12 o'clock.
    pub a: Length,
    /// Rise towards 3 o'clock.
    pub b: Length,
    /// Tilt across the ring.
    pub tilt: Length,
    /// Its expanded uncertainty (k = 2), from the readings' own.
    pub tilt_uncertainty: Length,
    /// Where the reading is least: for a gap, where the face is high.
    pub least_at: Angle,
    /// Reading less plane, in the order of the readings.
    pub residuals: Vec<Length>,
    /// Root mean square of them.
    pub rms: Length,
    /// Which is the largest.
    pub largest: usize,
    /// How many distinct places there are.
    pub places: usize,
}

impl Plane {
    /// The plane's own value at a place.
    pub fn at(&self, at: Angle) -> Length {
        let (s, c) = si(at).sin_cos();
        self.middle + self.a * c + self.b * s
    }
    /// Is the tilt no more than the readings can tell?
    pub fn is_true(&self) -> bool {
        self.tilt <= self.tilt_uncertainty
    }
}

/// How many distinct places readings were taken at.
pub fn places(readings: &[Reading]) -> usize {
    let mut angles: Vec<f64> = readings.iter().map(|r| si(r.at).rem_euclid(TAU)).collect();
    angles.sort_by(f64::total_cmp);
    angles.dedup_by(|a, b| (*a - *b).abs() < SAME_PLACE);
    match (angles.first(), angles.last()) {
        (Some(first), Some(last)) if angles.len() > 1 && first + TAU - last < SAME_PLACE => {
            angles.len() - 1
        }
        _ => angles.len(),
    }
}

/// Basis functions at a place: `1, cos φ, sin φ, cos 2φ, sin 2φ`, the first `N` of them.
fn basis<const N: usize>(at: Angle) -> SVector<f64, N> {
    let (s, c) = si(at).sin_cos();
    let all = [1.0, c, s, c * c - s * s, 2.0 * s * c];
    SVector::from_fn(|i, _| all.get(i).copied().unwrap_or(0.0))
}

/// Coefficients and their covariance (m, m²).
fn least_squares<const N: usize>(
    readings: &[Reading],
) -> Option<(SVector<f64, N>, SMatrix<f64, N, N>)> {
    let mut normal = SMatrix::<f64, N, N>::zeros();
    let mut right = SVector::<f64, N>::zeros();
    let mut weighted = SMatrix::<f64, N, N>::zeros();
    for r in readings {
        let row = basis::<N>(r.at);
        let outer = row * row.transpose();
        normal += outer;
        right += row * si(r.value);
        weighted += outer * si(r.standard).powi(2);
    }
    let inverse = Cholesky::<f64, Const<N>>::new(normal)?.inverse();
    Some((inverse * right, inverse * weighted * inverse))
}

/// Fits the plane.
///
/// # Errors
/// [`TooFew`] below three distinct places.
pub fn fit(readings: &[Reading]) -> Result<Plane, TooFew> {
    let places = places(readings);
    let too_few = TooFew { places };
    if places < 3 {
        return Err(too_few);
    }
    let (x, covariance) = least_squares::<3>(readings).ok_or(too_few)?;
    let (a, b) = (x[1], x[2]);
    let rise = a.hypot(b);
    let variance = if rise > 0.0 {
        let (c, s) = (a / rise, b / rise);
        c * c * covariance[(1, 1)] + 2.0 * c * s * covariance[(1, 2)] + s * s * covariance[(2, 2)]
    } else {
        covariance[(1, 1)].max(covariance[(2, 2)])
    };
    let residuals: Vec<f64> = readings
        .iter()
        .map(|r| si(r.value) - x.dot(&basis::<3>(r.at)))
        .collect();
    let largest = (0..residuals.len())
        .max_by(|&i, &j| residuals[i].abs().total_cmp(&residuals[j].abs()))
        .unwrap_or(0);
    let square: f64 = residuals.iter().map(|r| r * r).sum();
    let (a, b): (Length, Length) = (from_si(a), from_si(b));
    Ok(Plane {
        middle: from_si(x[0]),
        a,
        b,
        tilt: tilt_across(a, b),
        tilt_uncertainty: from_si(4.0 * variance.max(0.0).sqrt()),
        least_at: from_si((-si(b)).atan2(-si(a)).rem_euclid(TAU)),
        rms: from_si((square / residuals.len() as f64).sqrt()),
        residuals: residuals.into_iter().map(from_si).collect(),
        largest,
        places,
    })
}

/// What is left over a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Three places: a plane goes through any three, nothing is left over to judge.
    NotSeen,
    /// Every reading lies on the plane within its own half interval.
    Flat,
    /// All but one reading lie on a plane; that one reads more than it.
    OneMore(usize, Length),
    /// All but one reading lie on a plane; that one reads less than it.
    OneLess(usize, Length),
    /// Two lobes explain the readings: the amplitude, and the first of the two opposite places of least reading.
    TwoLobed(Length, Angle),
    /// Four places cannot tell one odd reading from two lobes.
    FourPlaces,
    /// Two lobes would explain the readings, but are no higher than a reading is known to.
    Unsettled,
    /// None of these.
    Irregular,
}

/// Says what is left over a fitted plane.
pub fn shape(readings: &[Reading], plane: &Plane) -> Shape {
    if plane.places < 4 {
        return Shape::NotSeen;
    }
    // A rounding error is not a finding.
    let within = |rest: f64, r: &Reading| rest.abs() <= si(r.half) + 1e-9;
    if readings
        .iter()
        .zip(&plane.residuals)
        .all(|(r, rest)| within(si(*rest), r))
    {
        return Shape::Flat;
    }
    if plane.places == 4 {
        return Shape::FourPlaces;
    }
    let mut odd: Option<(usize, f64, f64)> = None;
    for i in 0..readings.len() {
        let others: Vec<Reading> = (0..readings.len())
            .filter(|&j| j != i)
            .map(|j| readings[j])
            .collect();
        if places(&others) < 4 {
            continue;
        }
        let Ok(rest) = fit(&others) else { continue };
        let fits = others
            .iter()
            .zip(&rest.residuals)
            .all(|(r, left)| within(si(*left), r));
        if fits && odd.is_none_or(|(_, rms, _)| si(rest.rms) < rms) {
            let off = si(readings[i].value - rest.at(readings[i].at));
            odd = Some((i, si(rest.rms), off));
        }
    }
    if let Some((i, _, off)) = odd {
        return if off > 0.0 {
            Shape::OneMore(i, from_si(off))
        } else {
            Shape::OneLess(i, from_si(-off))
        };
    }
    if plane.places >= 6
        && let Some((x, _)) = least_squares::<5>(readings)
        && readings
            .iter()
            .all(|r| within(si(r.value) - x.dot(&basis::<5>(r.at)), r))
    {
        let amplitude = x[3].hypot(x[4]);
        if readings.iter().any(|r| amplitude <= si(r.half)) {
            return Shape::Unsettled;
        }
        let least = (-x[4]).atan2(-x[3]) / 2.0;
        return Shape::TwoLobed(from_si(amplitude), from_si(least.rem_euclid(TAU / 2.0)));
    }
    Shape::Irregular
}

/// A gap around the ring, straight between its places: `(place, gap)` in rising order of place (rad, m).
pub type Around = Vec<(f64, f64)>;

/// The value between the places of such a line.
pub fn between(around: &[(f64, f64)], at: f64) -> f64 {
    let n = around.len();
    let (Some(first), Some(last)) = (around.first(), around.last()) else {
        return 0.0;
    };
    if n == 1 {
        return first.1;
    }
    let at = first.0 + (at - first.0).rem_euclid(TAU);
    let next = around.partition_point(|p| p.0 <= at);
    let before = if next == 0 { *last } else { around[next - 1] };
    let after = if next == n {
        (first.0 + TAU, first.1)
    } else {
        around[next]
    };
    before.1 + (after.1 - before.1) * (at - before.0) / (after.0 - before.0)
}

/// The gap after `depth` has been cut off the highest place, square to the thread: `max(g − g_min − c, 0)`,
/// with a new place wherever the cut runs out.
pub fn cut(around: &[(f64, f64)], depth: Length) -> Around {
    let least = around.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let floor = least + si(depth).max(0.0);
    let mut out = Vec::with_capacity(2 * around.len());
    for (i, &(at, gap)) in around.iter().enumerate() {
        out.push((at, (gap - floor).max(0.0)));
        let Some(&(mut next, other)) = around.get((i + 1) % around.len()) else {
            continue;
        };
        if next <= at {
            next += TAU;
        }
        if (gap - floor) * (other - floor) < 0.0 {
            let there = at + (next - at) * (gap - floor) / (gap - other);
            if there > at + SAME_PLACE && there < next - SAME_PLACE {
                out.push((there, 0.0));
            }
        }
    }
    out
}

/// How much metal the same cut takes at a place; all of it where no gap was read.
pub fn taken(around: &[(f64, f64)], depth: Length, at: Angle) -> Length {
    if around.is_empty() {
        return depth;
    }
    let least = around.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let gap = between(around, si(at)) - least;
    from_si((si(depth) - gap).max(0.0))
}

#[cfg(test)]
mod tests;
