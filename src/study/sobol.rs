//! Which input decides how much of a result: first-order and total indices of Sobol.
//!
//! Two points A and B are drawn; for each input a third is A with that input taken from B. From the model at all of
//! them follow the first-order index after Saltelli et al. 2010, mean of f(B)·(f(AB) − f(A)) over the variance, with
//! the mean taken off first, and the total index after Jansen 1999, mean of (f(A) − f(AB))² over twice the variance
//! (published methods, recalled). The points are those of a Sobol sequence scrambled after Owen: evenly spread, so
//! that few of them say much.
//!
//! The error stated is that of the jackknife over blocks of the sequence. The blocks balance one another, which the
//! jackknife does not see: it overstates rather than understates.

use serde::{Deserialize, Serialize};

/// Blocks that a design is cut into, for its error and to spread it; common practice, no source.
pub const BLOCKS: u32 = 16;
/// The most points of the sequence.
pub const MOST_POINTS: u32 = 1 << 16;
/// Dimensions that the generator has; more are taken from another scrambling of it.
const DIMENSIONS: usize = 256;

/// Which points are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Design {
    /// Points A and as many B: a power of two, at least [`BLOCKS`].
    pub points: u32,
    /// Inputs.
    pub inputs: usize,
    /// Seed of the scrambling.
    pub seed: u64,
}

impl Design {
    /// One of at least so many points.
    pub fn of_at_least(points: u32, inputs: usize, seed: u64) -> Design {
        let points = points.clamp(BLOCKS, MOST_POINTS).next_power_of_two();
        Design {
            points,
            inputs,
            seed,
        }
    }
    /// Can it be the design of a model with so many inputs? It may have been read from a file.
    pub fn fits(&self, inputs: usize) -> bool {
        let range = BLOCKS..=MOST_POINTS;
        self.inputs == inputs && self.points.is_power_of_two() && range.contains(&self.points)
    }
    /// Runs of the model in all.
    pub fn runs(&self) -> u64 {
        u64::from(self.points) * (self.inputs as u64 + 2)
    }
    /// A coordinate of a point of A, or of B with `dimension` counted on from the inputs.
    fn coordinate(&self, point: u32, dimension: usize) -> f64 {
        let folded = self.seed ^ (self.seed >> 32);
        // The odd number next to 2³² over the golden ratio keeps the scramblings apart (common practice, no source).
        let scrambling = (folded as u32)
            .wrapping_add(((dimension / DIMENSIONS) as u32).wrapping_mul(0x9e37_79b9));
        let u = sobol_burley::sample(point, (dimension % DIMENSIONS) as u32, scrambling);
        // The generator's grain is 2⁻²⁴; the middle of a grain is never 0.
        f64::from(u) + 0.5 / (1u32 << 24) as f64
    }
    /// Runs the model over one block. A point at which it fails anywhere is left out whole and counted.
    pub fn block<E>(
        &self,
        block: u32,
        mut f: impl FnMut(&[f64]) -> Result<f64, E>,
    ) -> (Block, Vec<E>) {
        let size = self.points / BLOCKS;
        let mut sums = Block::new(block, self.inputs);
        let mut failed = Vec::new();
        let (mut a, mut b) = (vec![0.0; self.inputs], vec![0.0; self.inputs]);
        let mut mixed = vec![0.0; self.inputs];
        for point in block * size..(block + 1) * size {
            for i in 0..self.inputs {
                a[i] = self.coordinate(point, i);
                b[i] = self.coordinate(point, self.inputs + i);
            }
            let mut all = || -> Result<(f64, f64), E> {
                let (at_a, at_b) = (f(&a)?, f(&b)?);
                for i in 0..a.len() {
                    let own = std::mem::replace(&mut a[i], b[i]);
                    let result = f(&a);
                    a[i] = own;
                    mixed[i] = result?;
                }
                Ok((at_a, at_b))
            };
            match all() {
                Ok((at_a, at_b)) => sums.add(at_a, at_b, &mixed),
                Err(e) => failed.push(e),
            }
        }
        (sums, failed)
    }
}

/// Sums over one block of points, in their order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Which block.
    pub block: u32,
    /// Points counted.
    n: u64,
    /// f(A), f(B), their squares.
    a: f64,
    b: f64,
    aa: f64,
    bb: f64,
    /// f(A)·f(B).
    ab: f64,
    /// By input: f(AB), f(B)·f(AB), (f(A) − f(AB))².
    mixed: Vec<[f64; 3]>,
}

impl Block {
    fn new(block: u32, inputs: usize) -> Block {
        Block {
            block,
            n: 0,
            a: 0.0,
            b: 0.0,
            aa: 0.0,
            bb: 0.0,
            ab: 0.0,
            mixed: vec![[0.0; 3]; inputs],
        }
    }
    /// Can it be the block of a design with so many inputs and at most so many points?
    pub fn fits(&self, inputs: usize, points: u64) -> bool {
        self.mixed.len() == inputs && self.n <= points
    }
    fn add(&mut self, a: f64, b: f64, mixed: &[f64]) {
        self.n += 1;
        self.a += a;
        self.b += b;
        self.aa += a * a;
        self.bb += b * b;
        self.ab += a * b;
        for (sums, &m) in self.mixed.iter_mut().zip(mixed) {
            sums[0] += m;
            sums[1] += b * m;
            sums[2] += (a - m) * (a - m);
        }
    }
    fn absorb(&mut self, other: &Block) {
        self.n += other.n;
        self.a += other.a;
        self.b += other.b;
        self.aa += other.aa;
        self.bb += other.bb;
        self.ab += other.ab;
        for (own, others) in self.mixed.iter_mut().zip(&other.mixed) {
            for (x, y) in own.iter_mut().zip(others) {
                *x += y;
            }
        }
    }
    /// First and total index of each input; nothing where the result does not vary.
    fn indices(&self) -> Option<Vec<[f64; 2]>> {
        let n = self.n as f64;
        let mean = (self.a + self.b) / (2.0 * n);
        let square = (self.aa + self.bb) / (2.0 * n);
        let variance = square - mean * mean;
        // What is left of a constant is rounding.
        if self.n < 2 || variance <= 1e-13 * square {
            return None;
        }
        let index = |[m, bm, jump]: &[f64; 3]| {
            let first = (bm - self.ab - mean * (m - self.a)) / n;
            [first / variance, jump / (2.0 * n) / variance]
        };
        Some(self.mixed.iter().map(index).collect())
    }
}

/// How much of a result's variance an input decides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Index {
    /// Alone.
    pub first: f64,
    /// With everything it does together with others.
    pub total: f64,
    /// Standard error of both.
    pub error: [f64; 2],
}

/// The indices from all blocks of a design, in their order; nothing where the result does not vary.
pub fn indices(blocks: &[Block]) -> Option<Vec<Index>> {
    let all_but = |left_out: Option<usize>| {
        let mut sum = Block::new(0, blocks.first()?.mixed.len());
        for (i, block) in blocks.iter().enumerate() {
            if Some(i) != left_out {
                sum.absorb(block);
            }
        }
        sum.indices()
    };
    let whole = all_but(None)?;
    let m = blocks.len() as f64;
    let partial: Vec<Vec<[f64; 2]>> = (0..blocks.len()).filter_map(|i| all_but(Some(i))).collect();
    let error = |input: usize, which: usize| {
        if partial.len() < 2 {
            return f64::NAN;
        }
        let values = || partial.iter().map(|p| p[input][which]);
        let mean = values().sum::<f64>() / partial.len() as f64;
        let square: f64 = values().map(|v| (v - mean).powi(2)).sum();
        ((m - 1.0) / m * square).sqrt()
    };
    let of = |(i, [first, total]): (usize, &[f64; 2])| Index {
        first: *first,
        total: *total,
        error: [error(i, 0), error(i, 1)],
    };
    Some(whole.iter().enumerate().map(of).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(points: u32, inputs: usize, f: impl Fn(&[f64]) -> f64) -> Vec<Index> {
        let design = Design::of_at_least(points, inputs, 1);
        let blocks: Vec<Block> = (0..BLOCKS)
            .map(|b| design.block(b, |u| Ok::<_, ()>(f(u))).0)
            .collect();
        indices(&blocks).expect("it varies")
    }

    fn compare(found: &[Index], first: &[f64], total: &[f64], tolerance: f64) {
        for (i, index) in found.iter().enumerate() {
            let away = [index.first - first[i], index.total - total[i]];
            assert!(
                away.iter().all(|d| d.abs() < tolerance),
                "input {i}: {index:?} instead of {} and {}",
                first[i],
                total[i]
            );
            // The error stated does not hide what the estimate is off by.
            for (d, e) in away.iter().zip(index.error) {
                assert!(d.abs() <= 4.0 * e + 1e-3, "input {i}: off {d}, stated {e}");
            }
        }
    }

    /// Ishigami's function with a = 7, b = 0.1: indices in closed form (published test function, recalled).
    #[test]
    fn ishigami() {
        use std::f64::consts::PI;
        let f = |u: &[f64]| {
            let x: Vec<f64> = u.iter().map(|u| PI * (2.0 * u - 1.0)).collect();
            x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin()
        };
        let (a, b) = (7.0f64, 0.1f64);
        let v1 = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
        let v2 = a * a / 8.0;
        let v13 = b * b * PI.powi(8) * (1.0 / 18.0 - 1.0 / 50.0);
        let v = v1 + v2 + v13;
        let (first, total) = ([v1 / v, v2 / v, 0.0], [(v1 + v13) / v, v2 / v, v13 / v]);
        compare(&of(1024, 3, f), &first, &total, 0.02);
        compare(&of(65536, 3, f), &first, &total, 0.001);
    }

    /// A sum: each index is its share of the variance, alone and in all.
    #[test]
    fn additive_and_linear() {
        let weight = [4.0, 3.0, 2.0, 1.0, 0.0];
        let f = |u: &[f64]| 1000.0 + u.iter().zip(weight).map(|(u, w)| u * w).sum::<f64>();
        let share: Vec<f64> = weight.iter().map(|w| w * w / 30.0).collect();
        compare(&of(1024, 5, f), &share, &share, 0.005);
    }

    /// Sobol's g-function: a product, indices in closed form (published test function, recalled).
    #[test]
    fn g_function() {
        let a = [0.0, 0.5, 3.0, 9.0, 99.0, 99.0];
        let f = |u: &[f64]| -> f64 {
            let each = u.iter().zip(a);
            each.map(|(u, a)| ((4.0 * u - 2.0).abs() + a) / (1.0 + a))
                .product()
        };
        let part: Vec<f64> = a
            .iter()
            .map(|a: &f64| 1.0 / 3.0 / (1.0 + a).powi(2))
            .collect();
        let variance = part.iter().map(|v| 1.0 + v).product::<f64>() - 1.0;
        let first: Vec<f64> = part.iter().map(|v| v / variance).collect();
        let total: Vec<f64> = part
            .iter()
            .map(|v| v * (variance + 1.0) / (1.0 + v) / variance)
            .collect();
        compare(&of(16384, 6, f), &first, &total, 0.01);
    }

    /// More inputs than the generator has dimensions.
    #[test]
    fn many_inputs() {
        let f = |u: &[f64]| u[0] + u[199];
        let found = of(1024, 200, f);
        assert!((found[0].first - 0.5).abs() < 0.05 && (found[199].first - 0.5).abs() < 0.05);
        assert!(found[100].total < 1e-12);
    }

    #[test]
    fn nothing_varies() {
        let design = Design::of_at_least(64, 2, 1);
        let blocks: Vec<Block> = (0..BLOCKS)
            .map(|b| design.block(b, |_| Ok::<_, ()>(0.1)).0)
            .collect();
        assert_eq!(indices(&blocks), None);
    }

    /// A point at which the model fails is counted and leaves the rest alone.
    #[test]
    fn failures_are_counted() {
        let design = Design::of_at_least(1024, 2, 1);
        let mut failures = 0;
        let blocks: Vec<Block> = (0..BLOCKS)
            .map(|b| {
                let run = |u: &[f64]| {
                    if u[0] > 0.99 {
                        Err(())
                    } else {
                        Ok(u[0] + u[1])
                    }
                };
                let (block, failed) = design.block(b, run);
                failures += failed.len();
                block
            })
            .collect();
        assert!(failures > 5 && failures < 60);
        assert!((indices(&blocks).expect("it varies")[1].total - 0.5).abs() < 0.05);
    }
}
