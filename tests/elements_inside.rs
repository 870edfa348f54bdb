//! The program's own elements against a general-purpose element library on the same thirteen sleeves.
//!
//! `elements/cases.toml` holds the sleeves, `elements/results.toml` what the library found. Both solve the same
//! bodies, so that what differs is mesh and code alone.

use crate::elements::Case;
use insertwright::mechanics::elements::{
    Elements, Fitting, Hold, Material, SeatPart, Sleeve, Stress, Unit, solve,
};
use insertwright::units::*;

/// Stress away from the ends, of the largest of its sort.
const STRESS: f64 = 0.02;
/// k_t, share of the first turn, means over the ends.
const NUMBER: f64 = 0.02;

impl Case {
    fn maybe(&self, key: &str) -> Option<f64> {
        self.entries.get(key).and_then(toml::Value::as_float)
    }
    fn material(&self, part: &str) -> Material {
        let (e, nu) = (format!("E_{part}"), format!("nu_{part}"));
        Material::isotropic(self.pressure(&e), number(self.get(&nu)), None)
    }
    /// The sleeve; the layer under the flange is so soft that it presses evenly, in the shares of the case.
    fn sleeve(&self) -> Sleeve {
        let s = self.get("seat_share");
        let (bore, outer) = (self.length("d") / 2.0, self.length("D_o") / 2.0);
        let (from, to) = (
            outer + self.length("eta"),
            mm(self.maybe("seat_outer").unwrap_or(self.get("frame_outer")) / 2.0),
        );
        let part = |share: f64, inner: Length, outer: Length| SeatPart {
            inner,
            outer,
            layer: newton(1.0) * share / (outer * outer - inner * inner) / mm(1.0),
        };
        let alpha = |key: &str| from_si(self.get(key));
        Sleeve {
            fitting: Fitting {
                bore: self.length("d_i"),
                neck: self.length("d3"),
                core: self.length("d3"),
                material: self.material("fitting"),
            },
            neck_length: self.length("n"),
            engagement: self.length("L_e"),
            pitch: self.length("P"),
            flanks: self.flanks(),
            bore: self.length("d"),
            outer: self.length("D_o"),
            insert_length: self.length("L"),
            insert: self.material("insert"),
            glue_thickness: self.length("eta"),
            bond: self.length("L"),
            glue: Material::by_shear(self.pressure("G_a"), number(self.get("nu_a"))),
            voids: number(0.0),
            frame_outer: self.length("frame_outer"),
            frame_beyond: mm(self.maybe("frame_beyond").unwrap_or(0.0)),
            frame: self.material("frame"),
            hold: match self.entries["hold"].as_str() {
                Some("inboard") => Hold::Inboard,
                Some("all-round") => Hold::AllRound,
                other => panic!("{}: {other:?}", self.name),
            },
            seat_insert: (s > 0.0).then(|| part(s, bore, outer)),
            seat_frame: (s < 1.0).then(|| part(1.0 - s, from, to)),
            insert_expansion: alpha("a_insert"),
            glue_expansion: alpha("a_a"),
            frame_expansion: alpha("a_frame"),
        }
    }
    fn end_means(&self, load: &str, what: &str) -> Vec<f64> {
        let list = self.found[load]["end_means"][what].as_array();
        list.expect("two means")
            .iter()
            .map(|v| v.as_float().expect("a number"))
            .collect()
    }
}

fn sum(parts: &[(&Unit, f64)]) -> Unit {
    let parts: Vec<_> = parts.iter().map(|(u, f)| (*u, number(*f))).collect();
    Unit::sum(&parts).expect("some parts")
}

/// Every stress that the library gives: load, name, ours under the loads of the case.
/// What is compared: state, what of it, its solution, the stress.
type State = (&'static str, &'static str, Unit, fn(&Stress) -> f64);

fn states(c: &Case, e: &Elements) -> Vec<State> {
    let (force, s) = (c.get("F"), c.get("seat_share"));
    let axial = sum(&[(&e.preload.unit, force)]);
    let (thread, seat) = (c.get("T_thread") / 1e3, c.get("T_seat") / 1e3);
    let mut torsion = vec![(&e.torsion.thread, thread)];
    torsion.extend(e.torsion.seat_insert.as_ref().map(|u| (u, s * seat)));
    torsion.extend(e.torsion.seat_frame.as_ref().map(|u| (u, (1.0 - s) * seat)));
    let torsion = sum(&torsion);
    let rocking = sum(&[
        (&e.rocking.force, c.get("V")),
        (&e.rocking.moment, c.get("M") / 1e3),
    ]);
    let thermal = sum(&[(&e.thermal, c.get("cooling"))]);
    vec![
        ("axial", "shear", axial.clone(), |s| s.along.value / 1e6),
        ("axial", "across", axial, |s| s.across.value / 1e6),
        // Theirs is positive where the glue holds the insert back.
        ("torsion", "shear", torsion, |s| -s.around.value / 1e6),
        ("rocking", "peel", rocking.clone(), |s| {
            -s.across.value / 1e6
        }),
        ("rocking", "along", rocking.clone(), |s| s.along.value / 1e6),
        ("rocking", "around", rocking, |s| s.around.value / 1e6),
        ("thermal", "across", thermal.clone(), |s| {
            s.across.value / 1e6
        }),
        ("thermal", "shear", thermal, |s| s.along.value / 1e6),
    ]
}

#[test]
fn the_elements_agree_with_a_general_purpose_library() {
    let mut wrong = Vec::new();
    for c in Case::all() {
        let start = std::time::Instant::now();
        let e = solve(&c.sleeve()).unwrap_or_else(|error| panic!("{}: {error}", c.name));
        let took = start.elapsed();
        println!(
            "{:20} {} halvings, {} unknowns, change {:.4} ({:?}), residual {:.1e}, {took:.0?}",
            c.name, e.halvings, e.unknowns, e.change.value, e.changed, e.residual.value
        );
        let mut hold = |what: &str, apart: f64, limit: f64| {
            println!("    {what:20} {apart:.4}");
            if apart.is_nan() || apart > limit {
                wrong.push(format!("{} {what}: apart by {apart:.4}", c.name));
            }
        };
        let k_t = e.thread_stiffness.value / 1e3 / c.number_found("axial", "thread_stiffness");
        hold("k_t", (k_t - 1.0).abs(), NUMBER);
        let first = e.first_turn.value / c.number_found("axial", "first_turn");
        hold("first turn", (first - 1.0).abs(), NUMBER);
        let away = c.found["away"].as_float().expect("away");
        let length = c.get("L");
        for (load, what, unit, pick) in states(&c, &e) {
            let theirs = c.along(load, what);
            let ours: Vec<f64> = unit.glue().map(|s| pick(&s)).collect();
            assert_eq!(theirs.len(), ours.len());
            let inner = |k: &usize| {
                let x = length * *k as f64 / (ours.len() - 1) as f64;
                x >= away - 1e-9 && x <= length - away + 1e-9
            };
            let inner: Vec<usize> = (0..ours.len()).filter(inner).collect();
            let scale = inner.iter().map(|&k| theirs[k].abs()).fold(0.0, f64::max);
            let apart = inner
                .iter()
                .map(|&k| (ours[k] - theirs[k]).abs())
                .fold(0.0, f64::max);
            hold(&format!("{load} {what}"), apart / scale, STRESS);
            // The library's means are over a millimetre, whatever the thickness.
            if away == 1.0 {
                let means = unit.end_means().map(|s| pick(&s));
                for (our, their) in means.iter().zip(c.end_means(load, what)) {
                    hold(
                        &format!("{load} {what} end"),
                        (our - their).abs() / scale.max(their.abs()),
                        NUMBER,
                    );
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
