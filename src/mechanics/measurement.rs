//! Repeated readings: mean, uncertainty, slope along a length.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | s | standard deviation of one reading, pooled over the places read | mm |
//! | n | readings at a place | none |
//! | a | limit of error of the instrument | mm |
//! | u, U | standard and expanded uncertainty | mm |
//!
//! Source: Guide to the expression of uncertainty in measurement (GUM): type A from the spread (4.2, the
//! pooled deviation of 4.2.4), type B from limits (4.3.7), both combined as root of the sum of squares,
//! expanded with k = 2.

use super::formula::formula;
use crate::units::*;

formula! { "Standard uncertainty of a mean";
source: "GUM 4.2.3 (clauses recalled)"; limits: "readings independent";
fn of_mean(s: Length, n: Ratio) -> Length { s / root(n) } }
formula! { "Standard uncertainty of a limit of error";
source: "GUM 4.3.7, rectangular between its limits (clauses recalled)"; limits: "any value within the limits as likely as another";
fn of_limit(a: Length) -> Length { a / root(3.0) } }
formula! { "Expanded uncertainty of a mean";
source: "GUM 5.1.2 and 6.2.1, k = 2 (clauses recalled)"; limits: "about 95 % where neither part rests on very few readings";
fn expanded(u_mean: Length, u_limit: Length) -> Length { 2.0 * (u_mean * u_mean + u_limit * u_limit).sqrt() } }

/// Mean of values (m).
fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Standard deviation of one reading, pooled over places; nothing where no place was read twice.
pub fn pooled(places: &[Vec<Length>]) -> Option<(Length, usize)> {
    let (mut square, mut freedom) = (0.0, 0usize);
    for place in places.iter().filter(|p| p.len() > 1) {
        let values: Vec<f64> = place.iter().map(|v| si(*v)).collect();
        let middle = mean(&values);
        square += values.iter().map(|v| (v - middle).powi(2)).sum::<f64>();
        freedom += values.len() - 1;
    }
    (freedom > 0).then(|| (from_si((square / freedom as f64).sqrt()), freedom))
}

/// A mean of place means, each place with its own number of readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mean {
    /// The mean.
    pub value: Length,
    /// Standard uncertainty from the spread alone; 0 where the spread is not known.
    pub spread: Length,
    /// Readings in all.
    pub readings: usize,
    /// Greatest less least place mean.
    pub range: Length,
}

/// The mean of the places' means, with the standard deviation `s` of one reading.
pub fn mean_of_places(places: &[Vec<Length>], s: Option<Length>) -> Option<Mean> {
    let means: Vec<f64> = places
        .iter()
        .filter(|p| !p.is_empty())
        .map(|p| mean(&p.iter().map(|v| si(*v)).collect::<Vec<_>>()))
        .collect();
    if means.is_empty() {
        return None;
    }
    let m = means.len() as f64;
    let variance: f64 = places
        .iter()
        .filter(|p| !p.is_empty())
        .map(|p| si(of_mean(s.unwrap_or(from_si(0.0)), number(p.len() as f64))).powi(2))
        .sum();
    let (low, high) = means
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(*v), h.max(*v))
        });
    Some(Mean {
        value: from_si(mean(&means)),
        spread: from_si(variance.sqrt() / m),
        readings: places.iter().map(Vec::len).sum(),
        range: from_si(high - low),
    })
}

/// A straight line along stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Rise from the first station to the last.
    pub rise: Length,
    /// Its expanded uncertainty (k = 2).
    pub uncertainty: Length,
    /// From the first station to the last.
    pub length: Length,
}

/// Least-squares slope through `(station, size, standard uncertainty)`; nothing below two stations.
pub fn slope(points: &[(Length, Length, Length)]) -> Option<Slope> {
    let x: Vec<f64> = points.iter().map(|p| si(p.0)).collect();
    let (low, high) = x
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(*v), h.max(*v))
        });
    let length = high - low;
    if !(length > 0.0 && length.is_finite()) {
        return None;
    }
    let middle = mean(&x);
    let sxx: f64 = x.iter().map(|v| (v - middle).powi(2)).sum();
    let (mut slope, mut variance) = (0.0, 0.0);
    for (x, p) in x.iter().zip(points) {
        let weight = (x - middle) / sxx;
        slope += weight * si(p.1);
        variance += (weight * si(p.2)).powi(2);
    }
    Some(Slope {
        rise: from_si(slope * length),
        uncertainty: from_si(2.0 * variance.sqrt() * length),
        length: from_si(length),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lengths(values: &[f64]) -> Vec<Length> {
        values.iter().map(|v| mm(*v)).collect()
    }
    fn close(got: Length, millimetres: f64) {
        let got = Unit::Millimetre.of(si(got));
        assert!(
            (got - millimetres).abs() < 1e-11,
            "{got} against {millimetres}"
        );
    }

    // Values of a general-purpose numerical library (numpy 2.4.6):
    // v = [23.968, 23.971, 23.969, 23.970]; numpy.std(v, ddof=1), numpy.std(v, ddof=1)/numpy.sqrt(4).
    // 2*numpy.hypot(numpy.std(v, ddof=1)/2, 0.004/numpy.sqrt(3)).
    #[test]
    fn one_place_as_a_numerical_library_has_it() {
        let places = vec![lengths(&[23.968, 23.971, 23.969, 23.970])];
        let (s, freedom) = pooled(&places).expect("repeated");
        close(s, 0.0012909944487358827);
        assert_eq!(freedom, 3);
        let m = mean_of_places(&places, Some(s)).expect("read");
        close(m.value, 23.9695);
        close(m.spread, 0.0006454972243679413);
        close(
            expanded(m.spread, of_limit(mm(0.004))),
            0.004795831523312723,
        );
    }

    // numpy.polyfit([2, 6, 10, 14], [23.971, 23.969, 23.968, 23.964], 1)[0]*12; the uncertainty from
    // scipy.stats.linregress's formula with 0.0025 mm known: 2*0.0025/sqrt(sum((x-8)**2))*12.
    #[test]
    fn slope_as_a_numerical_library_has_it() {
        let points: Vec<_> = [(2.0, 23.971), (6.0, 23.969), (10.0, 23.968), (14.0, 23.964)]
            .iter()
            .map(|(x, y)| (mm(*x), mm(*y), mm(0.0025)))
            .collect();
        let s = slope(&points).expect("a length");
        close(s.rise, -0.0066);
        close(s.uncertainty, 0.006708203932499369);
        close(s.length, 12.0);
        assert!(slope(&points[..1]).is_none());
    }

    #[test]
    fn no_repeats_no_spread() {
        assert!(pooled(&[lengths(&[1.0]), lengths(&[2.0])]).is_none());
        let m = mean_of_places(&[lengths(&[1.0]), lengths(&[2.0])], None).expect("read");
        close(m.value, 1.5);
        close(m.range, 1.0);
        assert_eq!(si(m.spread), 0.0);
        assert!(mean_of_places(&[], None).is_none());
    }
}
