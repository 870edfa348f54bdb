//! `bond`: gap, size to turn, mix, cure, proof loads and coupon, by hand and by property.

use insertwright::assess::bond::{self, Centring, Fit, NoCure, NoProof};
use insertwright::assess::check::Verdict;
use insertwright::assess::values::{self, Origin};
use insertwright::assess::{Assessment, assess};
use insertwright::job::bench::{Mix, parse_mix};
use insertwright::job::{Document, Job, resolve};
use insertwright::present::bond::{BondReport, text};
use insertwright::present::report::Assessed;
use insertwright::present::text::Layout;
use insertwright::units::{System, number, si};
use proptest::prelude::*;

const BOSS: &str = include_str!("../src/cli/starters/boss.toml");
const DEMONSTRATION: &str = include_str!("../src/cli/starters/demonstration.toml");

fn resolved(text: &str, set: &[&str]) -> Result<Job, Vec<String>> {
    let (mut document, mut found) = Document::parse("test", text);
    for argument in set {
        found.extend(document.set(argument));
    }
    assert!(found.is_empty(), "{found:?}");
    resolve(&document).map_err(|found| found.into_iter().map(|d| d.message).collect())
}

fn job(text: &str, set: &[&str]) -> (Job, Assessment) {
    let job = resolved(text, set).expect("a job that resolves");
    let r = assess(&job.sides[0].assembly).expect("a seat");
    (job, r)
}

fn value((job, r): &(Job, Assessment), id: &str) -> Option<f64> {
    (values::find(id).expect(id).get)(&job.sides[0].assembly, r)
}

fn close(a: f64, b: f64) {
    assert!(
        (a - b).abs() <= 1e-12 * b.abs().max(1e-30),
        "{a} against {b}"
    );
}

/// The boss job without its layer, so that readings give it.
fn without_layer() -> String {
    BOSS.replace("thickness = \"0.2 mm\"\n", "")
}

const READINGS: [&str; 8] = [
    "bond.reading[0].at=12:00",
    "bond.reading[0].depth=3 mm",
    "bond.reading[0].bore=12.44 mm",
    "bond.reading[1].at=3:00",
    "bond.reading[1].depth=3 mm",
    "bond.reading[1].bore=12.32 mm",
    "bond.reading[2].depth=10 mm",
    "bond.reading[2].bore=12.38 mm",
];

#[test]
fn both_ways_of_saying_the_gap_are_there() {
    let j = job(BOSS, &[]);
    close(value(&j, "bond.gap.side").unwrap(), 0.2e-3);
    close(value(&j, "bond.gap.diameter").unwrap(), 0.4e-3);
    close(value(&j, "bond.gap.mean").unwrap(), 0.2e-3);
}

#[test]
fn readings_give_mean_ovality_and_the_clock_of_the_narrowest() {
    let j = job(&without_layer(), &READINGS);
    close(value(&j, "bond.bore.mean").unwrap(), 12.38e-3);
    close(value(&j, "bond.gap.side").unwrap(), 0.19e-3);
    close(value(&j, "bond.ovality").unwrap(), 0.12e-3);
    close(value(&j, "bond.gap.narrowest").unwrap(), 0.16e-3);
    close(value(&j, "bond.gap.widest").unwrap(), 0.22e-3);
    close(
        value(&j, "bond.gap.thinnest_at").unwrap().to_degrees(),
        90.0,
    );
    // Nothing keeps it on centre: it touches.
    assert_eq!(value(&j, "bond.gap.thinnest"), Some(0.0));
    close(value(&j, "bond.gap.thickest").unwrap(), 0.38e-3);
    let g = bond::gap(&j.0.sides[0].assembly);
    assert_eq!((g.fit_centred, g.fit_worst), (Fit::InBand, Fit::Starved));
}

#[test]
fn beads_and_a_stated_offset_limit_how_far_it_goes() {
    let beads: Vec<&str> = READINGS
        .iter()
        .chain(&["bond.beads=0.1 mm"])
        .copied()
        .collect();
    let j = job(&without_layer(), &beads);
    let g = bond::gap(&j.0.sides[0].assembly);
    assert_eq!(g.centring, Centring::Beads);
    close(si(g.worst.0), 0.1e-3);
    assert_eq!(g.fit_worst, Fit::InBand);
    let offset: Vec<&str> = READINGS
        .iter()
        .chain(&["bond.eccentricity=0.07 mm"])
        .copied()
        .collect();
    let g = bond::gap(&job(&without_layer(), &offset).0.sides[0].assembly);
    close(si(g.worst.0), 0.09e-3);
    assert_eq!((g.centring, g.fit_worst), (Centring::Stated, Fit::Starved));
    assert!(resolved(BOSS, &["bond.beads=0.3 mm"]).is_err());
}

#[test]
fn starved_in_band_and_thick_at_the_ends_of_the_row() {
    let fit = |gap: &str| {
        let j = job(
            BOSS,
            &[&format!("bond.thickness={gap}"), "bond.eccentricity=0 mm"],
        );
        bond::gap(&j.0.sides[0].assembly).fit_worst
    };
    assert_eq!(fit("0.099 mm"), Fit::Starved);
    assert_eq!(fit("0.10 mm"), Fit::InBand);
    assert_eq!(fit("0.50 mm"), Fit::InBand);
    assert_eq!(fit("0.501 mm"), Fit::Thick);
}

#[test]
fn a_gap_below_three_errors_is_to_be_read_again() {
    let again = |gap: &str, error: &str| {
        let set = [
            format!("bond.thickness={gap}"),
            format!("instrument.bore.error={error}"),
        ];
        let set: Vec<&str> = set.iter().map(String::as_str).collect();
        bond::gap(&job(BOSS, &set).0.sides[0].assembly).measure_again
    };
    assert!(again("0.2 mm", "0.07 mm"));
    assert!(!again("0.2 mm", "0.05 mm"));
    // Without an instrument the caliper's inside jaws stand in: 0.05 mm.
    let g = |gap: &str| {
        bond::gap(&job(BOSS, &[&format!("bond.thickness={gap}")]).0.sides[0].assembly).measure_again
    };
    assert!(g("0.14 mm") && !g("0.16 mm"));
}

#[test]
fn a_ply_eats_the_gap_of_a_measured_bore_and_not_a_stated_layer() {
    let text = BOSS.replace("thickness = \"0.2 mm\"", "bore = \"12.6 mm\"");
    let j = job(&text, &["bond.ply=0.1 mm"]);
    close(value(&j, "bond.gap.mean").unwrap(), 0.2e-3);
    assert!(bond::gap(&j.0.sides[0].assembly).disagrees);
    let j = job(BOSS, &["bond.ply=0.1 mm"]);
    close(value(&j, "bond.gap.mean").unwrap(), 0.2e-3);
    close(value(&j, "bond.bore.mean").unwrap(), 12.6e-3);
    assert!(!bond::gap(&j.0.sides[0].assembly).disagrees);
}

#[test]
fn the_size_to_turn_by_hand() {
    // Steel in glass: no pair, no ply. Band 0.1 to 0.4 mm in a bore of 42.5 mm.
    let j = job(DEMONSTRATION, &[]);
    close(value(&j, "bond.turn.diameter").unwrap(), 42.0e-3);
    close(value(&j, "bond.turn.smallest").unwrap(), 41.7e-3);
    close(value(&j, "bond.turn.largest").unwrap(), 42.3e-3);
    // Metal in carbon without a barrier: the table's ply of 0.1 mm is left room for.
    let j = job(BOSS, &[]);
    let t = bond::turn(&j.0.sides[0].assembly, &j.1).unwrap();
    assert!(t.ply_assumed);
    close(si(t.diameter), 12.4e-3 - 2.0 * (0.3e-3 + 0.1e-3));
    let j = job(BOSS, &["bond.isolated=true"]);
    let t = bond::turn(&j.0.sides[0].assembly, &j.1).unwrap();
    assert!(!t.ply_assumed && si(t.ply) == 0.0);
    // A bore further out of round than twice the band's width fits nothing.
    let mut oval: Vec<&str> = READINGS.to_vec();
    oval[2] = "bond.reading[0].bore=13.2 mm";
    let j = job(&without_layer(), &oval);
    assert!(
        bond::turn(&j.0.sides[0].assembly, &j.1)
            .unwrap()
            .limits
            .is_none()
    );
}

#[test]
fn mixing_ratios_as_packs_write_them() {
    assert_eq!(parse_mix("one part"), Some(Mix::OnePart));
    assert_eq!(
        parse_mix("2:1 by mass"),
        Some(Mix::ByMass(number(2.0), number(1.0)))
    );
    assert_eq!(
        parse_mix("100:28 by weight"),
        Some(Mix::ByMass(number(100.0), number(28.0)))
    );
    assert_eq!(
        parse_mix("10:1 by volume"),
        Some(Mix::ByVolume(number(10.0), number(1.0)))
    );
    for wrong in [
        "",
        "2:1",
        "2 by mass",
        "0:1 by mass",
        "2:1 by feel",
        "-1:2 by mass",
    ] {
        assert_eq!(parse_mix(wrong), None, "{wrong}");
    }
}

#[test]
fn the_mix_by_hand() {
    // Ring of 12.4 and 12.0 over 14 mm, times 1.5, at 1.2 g/cm³; 6 g is the least at 2:1.
    let j = job(BOSS, &[]);
    let ring = std::f64::consts::PI / 4.0 * (12.4f64.powi(2) - 12.0f64.powi(2)) * 14.0 * 1e-9;
    close(value(&j, "bond.fill.volume").unwrap(), ring);
    close(value(&j, "bond.volume").unwrap(), ring);
    close(value(&j, "bond.mix.volume").unwrap(), ring * 1.5);
    close(value(&j, "bond.mix.volume.low").unwrap(), ring * 1.3);
    close(value(&j, "bond.mix.needed").unwrap(), ring * 1.5 * 1200.0);
    close(value(&j, "bond.mix.least").unwrap(), 6e-3);
    close(value(&j, "bond.mix.mass.first").unwrap(), 4e-3);
    close(value(&j, "bond.mix.mass.second").unwrap(), 2e-3);
    let j = job(BOSS, &["bond.adhesive=methacrylate"]);
    close(
        value(&j, "bond.mix.volume.first").unwrap(),
        ring * 1.5 * 10.0 / 11.0,
    );
    close(
        value(&j, "bond.mix.volume.second").unwrap(),
        ring * 1.5 / 11.0,
    );
    assert_eq!(value(&j, "bond.mix.least"), None);
}

#[test]
fn the_cure_keeps_within_what_the_frame_stands() {
    let cure = |set: &[&str]| bond::cure(&job(BOSS, set).0.sides[0].assembly);
    let c = cure(&[
        "bond.cure_temperature=50 °C",
        "frame.temperature_limit=60 °C",
    ]);
    assert_eq!(c.refused, None);
    close(si(c.handling.unwrap()) / 3600.0, 3.0);
    close(si(c.full.unwrap()) / 3600.0, 21.0);
    close(si(c.ramp.0) / 60.0, 15.0);
    close(si(c.ramp.1) / 60.0, 30.0);
    let c = cure(&[
        "bond.cure_temperature=70 °C",
        "frame.temperature_limit=60 °C",
    ]);
    assert_eq!((c.refused, c.full), (Some(NoCure::AboveFrame), None));
    assert!(c.above_row);
    let film = "bond.adhesive=film-epoxy-120C";
    let c = cure(&[film, "frame.temperature_limit=80 °C"]);
    assert_eq!(c.refused, Some(NoCure::NeedsMoreThanFrame));
    assert_eq!(cure(&[film]).refused, Some(NoCure::NeedsMoreThanPlanned));
    let c = cure(&[film, "bond.cure_temperature=120 °C"]);
    assert_eq!((c.refused, c.full), (None, None));
}

#[test]
fn proof_loads_follow_the_three_conditions() {
    let j = job(DEMONSTRATION, &[]);
    let (t, n) = bond::proof(&j.0.sides[0].assembly, &j.1).unwrap();
    // Here the service demand sets the torque, the weakest bond the pull.
    assert!(1.5 * t.demand > 2.0 * t.weak);
    close(t.load.unwrap(), 1.5 * t.demand);
    close(t.demand, value(&j, "bond.removal.torque").unwrap());
    assert!(2.0 * n.weak > 1.5 * n.demand);
    close(n.load.unwrap(), 2.0 * n.weak);
    close(n.demand, value(&j, "bond.axial.force").unwrap().abs());
    for p in [t, n] {
        assert!(p.load.unwrap() <= 0.5 * p.good && p.load.unwrap() >= 2.0 * p.weak);
        close(p.ceiling, 0.5 * p.good);
    }
}

#[test]
fn there_is_no_proof_load_where_the_conditions_cross() {
    // A removal torque near what the glue stands.
    let j = job(BOSS, &["tightening.removal_torque=30 N·m"]);
    let (t, _) = bond::proof(&j.0.sides[0].assembly, &j.1).unwrap();
    assert_eq!(t.load, Err(NoProof::DemandTooHigh));
    assert_eq!(value(&j, "bond.proof.torque"), None);
}

#[test]
fn nothing_is_planned_from_the_row_of_an_unknown_adhesive() {
    let unknown = ["bond.adhesive=unknown", "bond.cure_temperature=50 °C"];
    let j = job(BOSS, &unknown);
    let a = &j.0.sides[0].assembly;
    assert_eq!(bond::proof(a, &j.1), Err(NoProof::AdhesiveUnknown));
    assert_eq!(bond::gap(a).fit_centred, Fit::NoBand);
    assert_eq!(bond::turn(a, &j.1), None);
    for v in bond::VALUES {
        let planned = [
            "bond.mix.mass",
            "bond.cure",
            "bond.coupon",
            "bond.proof.torque.good",
        ];
        if planned.iter().any(|p| v.id.starts_with(p)) {
            assert_eq!((v.get)(a, &j.1), None, "{}", v.id);
        }
    }
    let (job, assessed, r) = report(BOSS, &unknown);
    let shown = text(&r, &job, System::Metric, Layout::Plain(400), &assessed);
    let own = shown.split("ASSUMED").next().unwrap();
    for wrong in [
        "1:1",
        "Expected",
        "move it after",
        "Turn the insert",
        "in band",
    ] {
        assert!(!own.contains(wrong), "{wrong}: {own}");
    }
    assert!(own.matches("the pack").count() >= 4, "{own}");
}

#[test]
fn a_proof_load_that_thread_or_plug_does_not_carry_is_none() {
    // 11 N·m would draw a screw of M6 beyond twice what its thread stands.
    let j = job(BOSS, &[]);
    let (t, _) = bond::proof(&j.0.sides[0].assembly, &j.1).unwrap();
    assert!(t.floor > 10.0 && t.floor <= t.ceiling);
    assert_eq!(t.load, Err(NoProof::NotCarried));
    assert_eq!(value(&j, "bond.proof.torque"), None);
    let (job, assessed, r) = report(BOSS, &[]);
    let shown = text(&r, &job, System::Metric, Layout::Plain(400), &assessed);
    assert!(shown.contains("Proof torque: no such load can be brought in"));
    // A coarse thread, a short lever of friction: by hand F = T / (r2·tan(λ + ρ) + μ·r_s).
    let j = self::job(DEMONSTRATION, &[]);
    let f = value(&j, "bond.proof.torque.preload").unwrap();
    let strip = value(&j, "strip.internal.capacity");
    assert!(f > 0.0 && strip.is_none_or(|s| s >= 2.0 * f));
}

#[test]
fn below_the_least_temperature_no_cure_is_planned() {
    let cure = |t: &str| {
        bond::cure(&job(BOSS, &[&format!("bond.cure_temperature={t}")]).0.sides[0].assembly)
    };
    let cold = cure("-5 °C");
    assert_eq!(
        (cold.refused, cold.handling, cold.full),
        (Some(NoCure::TooCold), None, None)
    );
    assert_eq!(cure("15 °C").refused, None);
    let set = ["bond.cure_temperature=-5 °C", "bond.eccentricity=0.05 mm"];
    let (job, assessed, r) = report(DEMONSTRATION, &set);
    assert_eq!(r.overall, Verdict::FallsShort);
    let shown = text(&r, &job, System::Metric, Layout::Plain(400), &assessed);
    assert!(
        shown.contains("falls short: no cure is planned."),
        "{shown}"
    );
    assert!(shown.contains("may never cure"));
    let (job, assessed, r) = report(BOSS, &["bond.cure_temperature=17 °C"]);
    let shown = text(&r, &job, System::Metric, Layout::Plain(400), &assessed);
    assert!(shown.contains("move it after about 30 h"), "{shown}");
}

#[test]
fn the_verdict_says_why() {
    let line = |source: &str, set: &[&str]| {
        let (job, assessed, r) = report(source, set);
        text(&r, &job, System::Metric, Layout::Plain(400), &assessed)
    };
    assert!(line(DEMONSTRATION, &[]).contains(
        "Verdict: not judged: nothing keeps it on centre (bond.eccentricity or bond.beads)."
    ));
    assert!(
        line(BOSS, &["bond.beads=0.1 mm"])
            .contains("Verdict: falls short: insert and frame corrode each other")
    );
}

#[test]
fn outward_loads_and_service_torque_enter_the_demand() {
    let j = job(BOSS, &["loads.torque=25 N·m"]);
    assert_eq!(value(&j, "bond.proof.torque.demand"), Some(25.0));
    let own = value(&job(BOSS, &[]), "bond.proof.pull.demand").unwrap();
    let more = job(
        BOSS,
        &[
            "case[0].name=pulled",
            "case[0].kind=rare",
            "case[0].loads.axial=400 N",
        ],
    );
    close(value(&more, "bond.proof.pull.demand").unwrap(), own + 250.0);
}

#[test]
fn good_glue_at_its_capacity_is_used_up() {
    // A torque of twice the capacity per newton metre of voids: half the area, no more than half the torque
    // by the mean, so the capacity must fall.
    let full = job(BOSS, &[]);
    let half = job(BOSS, &["bond.voids=0.5"]);
    for id in ["bond.proof.torque.good", "bond.proof.pull.good"] {
        assert!(value(&half, id).unwrap() < value(&full, id).unwrap());
    }
    // With the glue ductile enough the mean decides: r_b·A·τ_p·preparation, and A·τ_p·preparation.
    let soft = [
        "frame.material=aluminium",
        "adhesive.own.shear_modulus=1 MPa",
        "adhesive.own.poisson=0.4",
        "adhesive.own.shear_strength=2 MPa",
        "adhesive.own.tensile_strength=50 MPa",
        "adhesive.own.plastic_shear_strain=5",
        "adhesive.own.ageing_factor=1",
        "adhesive.own.hot_temperature=60 °C",
        "adhesive.own.hot_factor=1",
        "adhesive.own.endurance_share=1",
        "adhesive.own.creep_share=1",
        "adhesive.own.source=invented for this test",
        "bond.adhesive=own",
    ];
    let j = job(BOSS, &soft);
    let area = value(&j, "bond.area").unwrap();
    let pull = value(&j, "bond.proof.pull.good").unwrap();
    assert!((pull / (area * 2e6 * 0.5) - 1.0).abs() < 1e-6, "{pull}");
    let torque = value(&j, "bond.proof.torque.good").unwrap();
    assert!(
        (torque / (area * 2e6 * 0.5 * 6.1e-3) - 1.0).abs() < 1e-6,
        "{torque}"
    );
}

#[test]
fn the_coupon_by_hand() {
    let j = job(BOSS, &[]);
    close(
        value(&j, "bond.coupon.expected").unwrap(),
        25.0 * 12.5 * 25.0 * 0.5,
    );
    close(
        value(&j, "bond.coupon.reject").unwrap(),
        25.0 * 12.5 * 25.0 * 0.25,
    );
}

#[test]
fn every_figure_of_the_bench_is_computed_again_from_its_explanation() {
    let beads: Vec<&str> = READINGS
        .iter()
        .chain(&["bond.beads=0.1 mm"])
        .copied()
        .collect();
    let isolated = [
        "bond.adhesive=methacrylate",
        "bond.thickness=0.4 mm",
        "bond.eccentricity=0.1 mm",
    ];
    for j in [
        job(DEMONSTRATION, &[]),
        job(BOSS, &isolated),
        job(&without_layer(), &beads),
    ] {
        let a = &j.0.sides[0].assembly;
        for v in bond::VALUES {
            let Some(got) = (v.get)(a, &j.1) else {
                continue;
            };
            let again = match (v.explain)(a, &j.1).unwrap_or_else(|| panic!("{}", v.id)) {
                Origin::Formula(f, arguments) => {
                    assert_eq!(f.result, v.unit, "{}", v.id);
                    (f.eval)(&arguments)
                }
                Origin::Solved(_, _, again) => again,
                Origin::Stated(_) => continue,
            };
            assert!(
                (got - again).abs() <= 1e-12 * got.abs().max(1e-30),
                "{}: {got} {again}",
                v.id
            );
        }
    }
}

fn report(text: &str, set: &[&str]) -> (Job, Vec<Assessed>, BondReport) {
    let job = resolved(text, set).expect("a job that resolves");
    let assessments: Vec<Assessed> = job
        .sides
        .iter()
        .map(|s| Assessed {
            assessment: assess(&s.assembly).expect("a seat"),
            window: None,
        })
        .collect();
    let report = BondReport::new(&job, &assessments);
    (job, assessments, report)
}

#[test]
fn what_decides_the_verdict() {
    let centred = ["bond.eccentricity=0.1 mm"];
    assert_eq!(report(DEMONSTRATION, &centred).2.overall, Verdict::Meets);
    assert_eq!(report(DEMONSTRATION, &[]).2.overall, Verdict::NotJudged);
    let of = |more: &str| report(DEMONSTRATION, &[centred[0], more]).2.overall;
    assert_eq!(of("bond.thickness=0.05 mm"), Verdict::FallsShort);
    assert_eq!(of("frame.temperature_limit=50 °C"), Verdict::FallsShort);
    assert_eq!(of("instrument.bore.error=0.2 mm"), Verdict::NotJudged);
    assert_eq!(of("condition.no_crack=unknown"), Verdict::NotJudged);
    assert_eq!(of("condition.no_crack=false"), Verdict::Refused);
    // Carbon and metal without a barrier.
    assert_eq!(
        report(BOSS, &["bond.beads=0.1 mm"]).2.overall,
        Verdict::FallsShort
    );
}

#[test]
fn a_refused_job_shows_no_figure() {
    let (job, a, r) = report(DEMONSTRATION, &["condition.no_crack=false"]);
    assert!(r.worst.values.0.is_empty() && r.worst.gap.is_none());
    let shown = text(&r, &job, System::Metric, Layout::Plain(80), &a);
    assert!(shown.contains("refused") && !shown.contains("Turn the insert"));
}

#[test]
fn the_text_keeps_to_eighty_columns_and_both_scales_and_careful_words() {
    for units in [System::Metric, System::Imperial] {
        for source in [DEMONSTRATION, BOSS] {
            let (job, a, r) = report(source, &["bond.cure_temperature=50 °C"]);
            let shown = text(&r, &job, units, Layout::Plain(80), &a);
            for line in shown.lines() {
                assert!(line.chars().count() <= 80, "{line}");
            }
            assert!(shown.contains("50 °C (122 °F)"));
            let own = shown.split("ASSUMED").next().unwrap().to_lowercase();
            for word in ["safe", "approved", "certified", "guarantee"] {
                assert!(!own.contains(word), "{word}");
            }
        }
    }
}

#[test]
fn two_sides_are_planned_each_for_itself() {
    let text = format!(
        "{}\n[[side]]\nname = \"drive\"\n[side.bond]\neccentricity = \"0.1 mm\"\n[[side]]\nname = \"non-drive\"\n[side.thread]\nhand = \"right\"\n[side.bond]\nthickness = \"0.05 mm\"\n",
        DEMONSTRATION.replace("side = \"drive\"\n", "")
    );
    let (_, _, r) = report(&text, &[]);
    let verdicts: Vec<(&str, &str)> = r.sides.iter().map(|s| (s.side, s.verdict)).collect();
    assert_eq!(verdicts, [("drive", "meets"), ("non-drive", "falls short")]);
    assert_eq!(
        (r.worst.side, r.overall),
        ("non-drive", Verdict::FallsShort)
    );
}

#[test]
fn json_carries_what_every_command_carries() {
    let (_, _, r) = report(&without_layer(), &READINGS);
    let json = serde_json::to_value(&r).unwrap();
    for key in [
        "schema",
        "command",
        "job",
        "preconditions",
        "values",
        "assumed",
        "overrides",
        "not_examined",
        "cautions",
    ] {
        assert!(json.get(key).is_some(), "{key}");
    }
    let list = |key: &str| json[key].to_string();
    assert!(list("cautions").contains("proof-once"));
    assert!(!list("not_examined").contains("bond.reading"));
    assert!(list("assumed").contains("bench.proof_over_weak"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn gap_and_volume_hold_together(eta in 0.05f64..0.8, d in 9.0f64..30.0, l in 5.0f64..40.0) {
        let set = [
            format!("bond.thickness={eta} mm"),
            format!("insert.outer_diameter={d} mm"),
            format!("bond.length={l} mm"),
        ];
        let set: Vec<&str> = set.iter().map(String::as_str).collect();
        let j = job(BOSS, &set);
        let v = |id: &str| value(&j, id).unwrap();
        prop_assert_eq!(v("bond.gap.diameter"), 2.0 * v("bond.gap.side"));
        let ring = std::f64::consts::PI / 4.0 * ((d + 2.0 * eta).powi(2) - d * d) * l * 1e-9;
        prop_assert!((v("bond.fill.volume") / ring - 1.0).abs() < 1e-9);
        prop_assert!((v("bond.mix.volume") / ring - 1.5).abs() < 1e-9);
        prop_assert!(v("bond.gap.thinnest") <= v("bond.gap.mean"));
        prop_assert!(v("bond.gap.thickest") >= v("bond.gap.mean"));
        // Turning to the size asked for leaves the middle of the band.
        let turned = v("bond.turn.diameter");
        let ply = 0.1e-3;
        prop_assert!(((v("bond.bore.mean") - turned) / 2.0 - ply - v("bond.turn.gap")).abs() < 1e-12);
    }
}
