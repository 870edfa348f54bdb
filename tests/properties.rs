//! What must hold whatever the job: scaling, bounds, order, equilibrium, symmetry, units.

use insertwright::assess::{Assessment, assess, values};
use insertwright::cli::DEMO_JOB;
use insertwright::job::{Document, designation, resolve};
use insertwright::mechanics::pedal::{self, Bearings, Pedalling, Side};
use insertwright::mechanics::seat::{Bears, Ring, RingInput};
use insertwright::mechanics::strip::{self, StripInput, Stripping};
use insertwright::mechanics::thread::{self, Form};
use insertwright::mechanics::tolerance::{self, Class965, UnifiedSeries};
use insertwright::mechanics::torque::{self, Helix};
use insertwright::units::*;
use proptest::prelude::*;

fn config() -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        cases: 256,
        ..ProptestConfig::default()
    }
}

fn near(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * a.abs().max(b.abs()) + 1e-12
}

fn forms() -> impl Strategy<Value = Form> {
    proptest::sample::select(vec![Form::Iso, Form::Whitworth, Form::Cycle])
}

/// A pair of threads with an insert around it, lengths in millimetres.
#[derive(Debug, Clone, Copy)]
struct Pair {
    form: Form,
    major: f64,
    pitch: f64,
    turns: f64,
    wall: f64,
    bore_share: f64,
    insert_shear: f64,
    fitting_shear: f64,
}

fn pairs() -> impl Strategy<Value = Pair> {
    (
        forms(),
        5.0f64..60.0,
        0.03f64..0.15,
        1.0f64..20.0,
        1.05f64..2.5,
        0.0f64..0.8,
        50.0f64..600.0,
        50.0f64..600.0,
    )
        .prop_map(
            |(form, major, pitch_share, turns, wall, bore_share, insert_shear, fitting_shear)| {
                Pair {
                    form,
                    major,
                    pitch: (major * pitch_share).min(6.0),
                    turns,
                    wall,
                    bore_share,
                    insert_shear,
                    fitting_shear,
                }
            },
        )
}

impl Pair {
    fn strip(&self, scale: f64, engagement: f64) -> Stripping {
        let basic = self
            .form
            .basic(mm(self.major * scale), mm(self.pitch * scale));
        strip::stripping(&StripInput {
            basic,
            sizes: basic.sizes(),
            engaged: mm(self.pitch * self.turns * scale * engagement),
            insert_outer: mm(self.major * self.wall * scale),
            fitting_bore: mm(self.major * self.bore_share * scale),
            insert_elastic: (megapascal(68_300.0), number(0.33)),
            fitting_elastic: (megapascal(200_000.0), number(0.29)),
            insert_shear: megapascal(self.insert_shear),
            fitting_shear: megapascal(self.fitting_shear),
        })
    }
    fn helix(&self, scale: f64, thread_friction: f64, seat_friction: f64) -> Helix {
        let basic = self
            .form
            .basic(mm(self.major * scale), mm(self.pitch * scale));
        let lead = thread::lead_angle(basic.pitch, basic.pitch_diameter);
        Helix::new(
            basic.pitch_diameter / 2.0,
            lead,
            torque::friction_angle(number(thread_friction), basic.half_angle, lead),
            number(seat_friction),
            mm(self.major * 0.7 * scale),
        )
    }
}

proptest! {
    #![proptest_config(config())]

    /// Twice as large all over: areas and capacities four times, ratios and factors the same.
    #[test]
    fn stripping_scales(pair in pairs(), s in 0.2f64..5.0) {
        let (one, scaled) = (pair.strip(1.0, 1.0), pair.strip(s, 1.0));
        for (a, b) in [(one.external, scaled.external), (one.internal, scaled.internal)] {
            prop_assert!(near(si(a.area) * s * s, si(b.area), 1e-9));
            prop_assert!(near(si(a.capacity) * s * s, si(b.capacity), 1e-9));
            prop_assert!(near(a.bending.value, b.bending.value, 1e-9));
            prop_assert!(near(a.dilation.value, b.dilation.value, 1e-9));
        }
        prop_assert!(near(one.strength_ratio.value, scaled.strength_ratio.value, 1e-9));
    }

    /// Forces with the square, torques with the cube: the preload of a larger copy under the same stress.
    #[test]
    fn preload_scales(pair in pairs(), s in 0.2f64..5.0, t in 1.0f64..80.0, mu in 0.04f64..0.3) {
        let one = pair.helix(1.0, mu, mu).preload(newton_metre(t));
        let scaled = pair.helix(s, mu, mu).preload(newton_metre(t * s * s * s));
        prop_assert!(near(si(one) * s * s, si(scaled), 1e-9));
        let neck = |f: Force, scale: f64| si(insertwright::mechanics::fitting::neck_axial(f, mm(pair.major * scale), mm(pair.major * pair.bore_share * scale)));
        prop_assert!(near(neck(one, 1.0), neck(scaled, s), 1e-9));
    }

    #[test]
    fn pedalling_scales(p in pedalling(), b in bearings(), s in 0.2f64..5.0) {
        let large = Pedalling { force: p.force * number(s * s), pedal_offset: p.pedal_offset * s, crank: p.crank * s, chainring_radius: p.chainring_radius * s, chainline: p.chainline * s, ..p };
        let wide = Bearings { width: b.width * s, near_outboard: b.near_outboard * s, far_outboard: b.far_outboard * s };
        let (one, scaled) = (pedal::load(&p, &b, Side::Drive, Side::Drive), pedal::load(&large, &wide, Side::Drive, Side::Drive));
        prop_assert!(near(si(one.radial) * s * s, si(scaled.radial), 1e-9));
        prop_assert!(near(si(one.axial) * s * s, si(scaled.axial), 1e-9));
    }

    /// More torque, more preload; more friction, less; and torque from preload is the way back.
    #[test]
    fn preload_is_monotonic(pair in pairs(), t in 1.0f64..80.0, mu in 0.03f64..0.3, more in 1.01f64..2.0) {
        let of = |t: f64, thread: f64, seat: f64| si(pair.helix(1.0, thread, seat).preload(newton_metre(t)));
        let base = of(t, mu, mu);
        prop_assert!(base > 0.0 && base.is_finite());
        prop_assert!(of(t * more, mu, mu) > base);
        prop_assert!(of(t, mu * more, mu) < base);
        prop_assert!(of(t, mu, mu * more) < base);
        let h = pair.helix(1.0, mu, mu);
        prop_assert!(near(si(h.torque(newton(base))), t, 1e-9));
        prop_assert!(h.loosening(newton(base)) < h.torque(newton(base)));
        // What is kept for 1 N is the formulas' own.
        let (f, l, rho, mu_s, r_s) = (newton(base), h.lead, h.friction, h.seat_friction, h.seat_radius);
        let back = torque::preload_from_torque(newton_metre(t), h.r2, l, rho, mu_s, r_s);
        prop_assert!(near(base, si(back), 1e-12));
        let whole = torque::torque_from_preload(f, h.r2, l, rho, mu_s, r_s);
        prop_assert!(near(si(h.torque(f)), si(whole), 1e-12));
        let loosening = torque::loosening_torque(f, h.r2, l, rho, mu_s, r_s);
        prop_assert!(near(si(h.loosening(f)), si(loosening), 1e-9));
        prop_assert!(near(si(h.thread(f)), si(torque::thread_torque(f, h.r2, l, rho)), 1e-12));
        // The shares make up the whole.
        let lead = h.lead;
        let basic = pair.form.basic(mm(pair.major), mm(pair.pitch));
        let parts = si(torque::pitch_torque(newton(base), basic.pitch))
            + si(torque::thread_friction_torque(newton(base), h.r2, lead, h.friction, basic.pitch))
            + si(h.seat(newton(base)));
        prop_assert!(near(parts, t, 1e-9));
    }

    /// More engagement never lowers a capacity.
    #[test]
    fn capacity_grows_with_engagement(pair in pairs(), more in 1.01f64..3.0) {
        let (a, b) = (pair.strip(1.0, 1.0), pair.strip(1.0, more));
        prop_assert!(b.external.capacity > a.external.capacity);
        prop_assert!(b.internal.capacity > a.internal.capacity);
    }

    /// The published factors stay within what they can mean.
    #[test]
    fn factors_are_bounded(k in 1.4f64..4.0, rs in 0.01f64..10.0) {
        let c1 = strip::dilation_published(number(k)).value;
        prop_assert!((0.74..=1.0 + 1e-9).contains(&c1), "{c1}");
        let c2 = strip::bending_external_published(number(rs)).value;
        let c3 = strip::bending_internal_published(number(rs)).value;
        prop_assert!((0.85..=1.2).contains(&c2), "{c2}");
        prop_assert!((0.85..=1.2).contains(&c3), "{c3}");
        prop_assert!(strip::bending_in_use(number(c2)).value <= 1.0);
    }

    /// Whatever the wall, the loss by widening is a factor between 0 and 1; below 1.4 it never exceeds that at 1.4.
    #[test]
    fn dilation_is_a_factor(pair in pairs()) {
        let s = pair.strip(1.0, 1.0);
        for member in [s.external, s.internal] {
            let factor = member.dilation.value;
            prop_assert!(factor > 0.0 && factor <= 1.0 + 1e-9, "{factor}");
            if s.wall.value < strip::THIN_WALL_BELOW {
                prop_assert!(factor <= strip::dilation_published(number(1.4)).value + 1e-9, "{factor}");
            }
        }
        prop_assert!(s.dilation.value <= s.external.dilation.value && s.dilation.value <= s.internal.dilation.value);
    }

    /// A thicker wall is never worse: the factor rises through the join at k = 1.4 without a fall.
    #[test]
    fn a_thicker_wall_is_never_worse(pair in pairs(), a in 1.05f64..2.2, b in 1.05f64..2.2) {
        let (thin, thick) = (a.min(b), a.max(b));
        let of = |wall: f64| Pair { wall, ..pair }.strip(1.0, 1.0);
        let (t, k) = (of(thin), of(thick));
        prop_assert!(t.dilation.value <= k.dilation.value + 1e-9);
    }

    /// The approximation of the guideline lies within 1 % of the exact helix for fine threads.
    #[test]
    fn the_guideline_is_near(d in 20.0f64..60.0, p in 0.8f64..1.5, mu in 0.05f64..0.3) {
        let basic = Form::Iso.basic(mm(d), mm(p));
        let pair = Pair { form: Form::Iso, major: d, pitch: p, turns: 1.0, wall: 1.2, bore_share: 0.0, insert_shear: 1.0, fitting_shear: 1.0 };
        let h = pair.helix(1.0, mu, mu);
        let exact = si(h.torque(newton(1000.0)));
        let arm = 0.16 * si(basic.pitch) + 0.58 * si(basic.pitch_diameter) * mu + si(h.seat_radius) * mu;
        prop_assert!(near(exact, 1000.0 * arm, 0.01), "{exact} against {}", 1000.0 * arm);
    }

    /// Reactions and loads are in balance: forces along both axes, moments about the centre plane.
    #[test]
    fn pedalling_is_in_equilibrium(p in pedalling(), b in bearings(), pressed_drive: bool) {
        let pressed = if pressed_drive { Side::Drive } else { Side::NonDrive };
        let turned = Bearings { near_outboard: b.far_outboard, far_outboard: b.near_outboard, ..b };
        let drive = pedal::load(&p, &b, Side::Drive, pressed);
        let other = pedal::load(&p, &turned, Side::NonDrive, pressed);
        let radial = si(pedal::radial_part(p.force, p.inclination));
        let axial = si(pedal::axial_part(p.force, p.inclination)) * pressed.sign();
        let chain = si(drive.chain);
        prop_assert!(near(si(drive.down) + si(other.down), radial, 1e-9));
        prop_assert!(near(si(drive.rear) + si(other.rear), chain, 1e-9));
        let (y_d, y_n) = (si(b.width / 2.0 + b.near_outboard), -si(b.width / 2.0 + b.far_outboard));
        let (y_p, y_c) = (si(p.pedal_offset) * pressed.sign(), si(p.chainline));
        // The axial part acts at the pedal: below the axis by crank·sin θ, ahead of it by crank·cos θ.
        let (below, ahead) = (si(p.crank) * p.crank_angle.value.sin(), si(p.crank) * p.crank_angle.value.cos());
        let v = si(drive.down) * y_d + si(other.down) * y_n - radial * y_p + axial * below;
        let h = si(drive.rear) * y_d + si(other.rear) * y_n - chain * y_c - axial * ahead;
        let scale = si(p.force) * 0.5;
        prop_assert!(v.abs() < 1e-9 * scale && h.abs() < 1e-9 * scale, "{v} {h}");
    }

    /// Without a chain offset the two sides are mirror images.
    #[test]
    fn sides_mirror(p in pedalling(), b in bearings()) {
        let p = Pedalling { chainline: mm(0.0), ..p };
        for (pressed, mirrored) in [(Side::Drive, Side::NonDrive), (Side::NonDrive, Side::Drive)] {
            let a = pedal::load(&p, &b, Side::Drive, pressed);
            let m = pedal::load(&p, &b, Side::NonDrive, mirrored);
            prop_assert!(near(si(a.down), si(m.down), 1e-12) && near(si(a.rear), si(m.rear), 1e-12));
            prop_assert_eq!(si(a.axial), si(m.axial));
        }
    }

    /// A chain moved to the other side mirrors the loads as well.
    #[test]
    fn a_chain_on_the_other_side_mirrors(p in pedalling(), b in bearings()) {
        let left = Pedalling { chainline: -p.chainline, ..p };
        let a = pedal::load(&p, &b, Side::Drive, Side::Drive);
        let m = pedal::load(&left, &b, Side::NonDrive, Side::NonDrive);
        prop_assert!(near(si(a.radial), si(m.radial), 1e-12));
    }

    /// A seat of two parts: the share is a share, the radius lies in the ring, the area is no larger than it.
    #[test]
    fn a_ring_is_a_ring(inner in 10.0f64..20.0, face in 1.0f64..10.0, glue in 0.05f64..0.5, beyond in 0.1f64..10.0, e_i in 1.0f64..210.0, e_f in 1.0f64..210.0) {
        let input = RingInput {
            inner: mm(inner), outer: mm(inner + face + glue + beyond), face_radius: mm(inner + face), bore_radius: mm(inner + face + glue),
            insert: (megapascal(e_i * 1000.0), number(0.3)), frame: (megapascal(e_f * 1000.0), number(0.3)),
        };
        for bears in [Bears::Insert, Bears::Both, Bears::Frame] {
            let Some(ring) = Ring::new(&input, bears) else { return Err(TestCaseError::fail("no ring")) };
            prop_assert!((0.0..=1.0).contains(&ring.share.value));
            prop_assert!(ring.radius > ring.inner && ring.radius < ring.outer);
            prop_assert!(si(ring.area) <= si(insertwright::mechanics::seat::ring_area(ring.inner, ring.outer)) * (1.0 + 1e-12));
            match bears {
                Bears::Insert => prop_assert_eq!(ring.share.value, 1.0),
                Bears::Frame => prop_assert_eq!(ring.share.value, 0.0),
                Bears::Both => prop_assert!(ring.share.value > 0.0 && ring.share.value < 1.0),
            }
        }
    }

    /// Limits of size: least material below most on the outside, above it on the inside, and both fit.
    #[test]
    fn metric_limits_are_in_order(place in 0usize..7, d_share in 0.0f64..1.0, grade in proptest::sample::select(vec![4u8, 6, 8])) {
        let pitch = [0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0][place];
        let basic = Form::Iso.basic(mm(pitch * 5.0 + d_share * 60.0), mm(pitch));
        let internal = Class965 { pitch_grade: grade, crest_grade: grade, letter: 'H' };
        let external = Class965 { pitch_grade: grade, crest_grade: grade, letter: 'g' };
        let limits = tolerance::metric_limits(&basic, internal, external, designation::exceptions());
        prop_assert!(limits.is_ok(), "{limits:?}");
        if let Ok(l) = limits { ordered(&l)?; }
    }

    #[test]
    fn unified_limits_are_in_order(tpi in 8.0f64..40.0, d_in in 0.2f64..2.0, class in 1u8..=3) {
        prop_assume!(1.0 / tpi < d_in / 4.0);
        let basic = Form::Iso.basic(mm(d_in * 25.4), mm(25.4 / tpi));
        for series in [UnifiedSeries::CoarseOrFine, UnifiedSeries::ConstantPitch] {
            let limits = tolerance::unified_limits(&basic, class, class, series);
            prop_assert!(limits.is_ok(), "{limits:?}");
            if let Ok(l) = limits { ordered(&l)?; }
        }
    }

    /// Sizes of every form are in order.
    #[test]
    fn forms_are_in_order(pair in pairs()) {
        let b = pair.form.basic(mm(pair.major), mm(pair.pitch));
        prop_assert!(b.root <= b.internal_minor && b.internal_minor < b.pitch_diameter && b.pitch_diameter < b.major);
    }
}

proptest! {
    // A whole assessment each: fewer of them.
    #![proptest_config(ProptestConfig { cases: 24, ..config() })]

    /// The same job in inches and in millimetres gives the same results.
    #[test]
    fn units_do_not_matter(flange in 43.0f64..52.0, torque in 20.0f64..60.0, glue in 0.1f64..0.4, engaged in 6.0f64..12.0, force in 500.0f64..2000.0) {
        let metric = demo(&[format!("fitting.flange_diameter={flange} mm"), format!("tightening.torque={torque} N·m"), format!("bond.thickness={glue} mm"), format!("thread.engaged={engaged} mm"), format!("pedalling.force={force} N")]);
        // The units library rounds the pound-force; ask it, so that the same force goes in.
        let unit = |text: &str, kind| parse::read(text, kind).map_or(f64::NAN, |s| s.nominal);
        let (pound, inch_pound) = (unit("1 lbf", Kind::Force), unit("1 in·lbf", Kind::Torque));
        let inch = demo(&[
            format!("fitting.flange_diameter={} in", flange / 25.4),
            format!("tightening.torque={} in·lbf", torque / inch_pound),
            format!("bond.thickness={} thou", glue / 0.0254),
            format!("thread.engaged={} in", engaged / 25.4),
            format!("pedalling.force={} lbf", force / pound),
        ]);
        for value in values::ALL {
            let (a, b) = ((value.get)(&metric.0, &metric.1), (value.get)(&inch.0, &inch.1));
            prop_assert_eq!(a.is_some(), b.is_some());
            if let (Some(a), Some(b)) = (a, b) {
                prop_assert!(a == b || (a - b).abs() <= 1e-6 * a.abs().max(b.abs()), "{}: {a} against {b}", value.id);
            }
        }
        prop_assert_eq!(metric.1.verdict, inch.1.verdict);
    }
}

fn ordered(l: &tolerance::Limits) -> Result<(), TestCaseError> {
    prop_assert!(l.least.external_major < l.most.external_major);
    prop_assert!(l.least.external_pitch < l.most.external_pitch);
    prop_assert!(l.least.internal_minor > l.most.internal_minor);
    prop_assert!(l.least.internal_pitch > l.most.internal_pitch);
    prop_assert!(l.most.external_pitch <= l.most.internal_pitch + mm(1e-4));
    Ok(())
}

fn demo(set: &[String]) -> (insertwright::job::Assembly, Assessment) {
    let (mut document, _) = Document::parse("demonstration", DEMO_JOB);
    for argument in set {
        assert_eq!(document.set(argument), vec![], "{argument}");
    }
    let job = resolve(&document).expect("the job resolves");
    let assembly = job.sides[0].assembly.clone();
    let assessment = assess(&assembly).expect("a seat");
    (assembly, assessment)
}

fn pedalling() -> impl Strategy<Value = Pedalling> {
    (
        100.0f64..3000.0,
        100.0f64..200.0,
        140.0f64..180.0,
        40.0f64..110.0,
        30.0f64..60.0,
        0.0f64..20.0,
        -90.0f64..90.0,
    )
        .prop_map(
            |(force, offset, crank, radius, chainline, inclination, angle)| Pedalling {
                force: newton(force),
                pedal_offset: mm(offset),
                crank: mm(crank),
                chainring_radius: mm(radius),
                chainline: mm(chainline),
                inclination: degree(inclination),
                crank_angle: degree(angle),
            },
        )
}

fn bearings() -> impl Strategy<Value = Bearings> {
    (50.0f64..120.0, -10.0f64..15.0, -10.0f64..15.0).prop_map(|(width, near, far)| Bearings {
        width: mm(width),
        near_outboard: mm(near),
        far_outboard: mm(far),
    })
}

/// The published factors join without a step where their branches meet.
#[test]
fn factors_join() {
    let c1 = |k: f64| strip::dilation_published(number(k)).value;
    let (c2, c3) = (
        |r: f64| strip::bending_external_published(number(r)).value,
        |r: f64| strip::bending_internal_published(number(r)).value,
    );
    let e = 1e-9;
    assert!((c1(1.9 - e) - c1(1.9)).abs() < 1e-3);
    assert!(
        (c1(1.4) - 0.75).abs() < 1e-9,
        "the cap of a thin wall meets the published value"
    );
    assert!((c2(1.0) - c2(1.0 + e)).abs() < 1e-2);
    assert!((c2(2.2 - e) - c2(2.2 + e)).abs() < 1e-6);
    assert!((c3(1.0 - e) - c3(1.0)).abs() < 1e-2);
    assert!((c3(0.4 - e) - c3(0.4 + e)).abs() < 1e-6);
}
