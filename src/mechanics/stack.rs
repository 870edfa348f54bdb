//! A stack of widths between a spindle's shoulder and its adjuster.
//!
//! Room left `s` = lengths along the spindle − widths of what sits between shoulder and adjuster, with the
//! adjuster backed off. The adjuster then closes `s` down to the end float wanted, as far as it travels.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | s | room left | mm |
//! | t | half of a part's spread | mm |
//! | e | end float wanted | mm |
//! | T, p | travel and pitch of the adjuster | mm |

use super::formula::formula;
use crate::units::*;

formula! { "What the adjuster has to close";
source: "geometry"; limits: "adjuster backed off, parts pressed together";
fn to_close(s: Length, e: Length) -> Length { s - e } }
formula! { "Turns of the adjuster";
source: "geometry: travel over pitch"; limits: "single-start thread";
fn turns(x: Length, p: Length) -> Ratio { num(x / p) } }
formula! { "Travel left on the adjuster";
source: "geometry"; limits: "adjuster backed off at the start";
fn travel_left(T: Length, x: Length) -> Length { T - x } }

/// One width, or several alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Its width with its spread.
    pub width: Spread<Length>,
    /// How many of them, each varying on its own.
    pub count: u32,
    /// Gives room (a length along the spindle) rather than taking it.
    pub gives: bool,
}

/// The stack added up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// Room left at nominal.
    pub nominal: Length,
    /// Least room, every part at its worst end.
    pub low: Length,
    /// Greatest room, every part at its worst end.
    pub high: Length,
    /// Root of the sum of the squared half spreads: the ± about nominal.
    pub rss: Length,
}

/// Adds a stack up.
pub fn add(parts: &[Part]) -> Stack {
    let (mut nominal, mut low, mut high, mut square) = (0.0, 0.0, 0.0, 0.0);
    for part in parts {
        let n = f64::from(part.count);
        let (least, middle, most) = (
            si(part.width.low),
            si(part.width.nominal),
            si(part.width.high),
        );
        if part.gives {
            nominal += n * middle;
            low += n * least;
            high += n * most;
        } else {
            nominal -= n * middle;
            low -= n * most;
            high -= n * least;
        }
        square += n * ((most - least) / 2.0).powi(2);
    }
    Stack {
        nominal: from_si(nominal),
        low: from_si(low),
        high: from_si(high),
        rss: from_si(square.sqrt()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spread(nominal: f64, half: f64) -> Spread<Length> {
        Spread {
            nominal: mm(nominal),
            low: mm(nominal - half),
            high: mm(nominal + half),
            shape: Shape::Normal,
        }
    }
    fn close(got: Length, millimetres: f64) {
        assert!((Unit::Millimetre.of(si(got)) - millimetres).abs() < 1e-9);
    }

    // By hand: 90 − 68 − 2·10 = 2; worst 0.2 + 0.1 + 2·0.05 = 0.4; root of 0.04 + 0.01 + 2·0.0025 = 0.234521.
    #[test]
    fn a_stack_by_hand() {
        let part = |nominal, half, count, gives| Part {
            width: spread(nominal, half),
            count,
            gives,
        };
        let s = add(&[
            part(90.0, 0.1, 1, true),
            part(68.0, 0.2, 1, false),
            part(10.0, 0.05, 2, false),
        ]);
        close(s.nominal, 2.0);
        close(s.low, 1.6);
        close(s.high, 2.4);
        close(s.rss, 0.234_520_787_991);
        assert_eq!(turns(mm(2.0), mm(1.0)).value, 2.0);
    }

    #[test]
    fn the_adjuster_closes_all_but_the_end_float() {
        close(to_close(mm(2.0), mm(0.1)), 1.9);
        close(travel_left(mm(3.0), mm(1.9)), 1.1);
        assert!((turns(mm(1.5), mm(0.75)).value - 2.0).abs() < 1e-12);
    }
}
