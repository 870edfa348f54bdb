//! Jobs by the thousand: random ones that could be, and a grid of extremes. No panic, no figure that is "not a number",
//! every solved state in equilibrium, and what cannot be solved says so.
//!
//! An ordinary run takes a few hundred of either. A long one, of so many random jobs from a seed:
//!
//!     INSERTWRIGHT_SOAK=1000000 INSERTWRIGHT_SEED=1 cargo test --release soak:: -- --nocapture

use insertwright::assess::check::{Check, Reason};
use insertwright::assess::coupled::balance::Balance;
use insertwright::assess::{Assessed, assess};
use insertwright::job::{Document, Job, resolve};
use insertwright::present::Report;
use insertwright::units::si;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

/// Numbers that depend on the seed and the job's number alone (SplitMix64, Steele, Lea and Flood 2014, from memory).
struct Dice(u64);

impl Dice {
    fn new(seed: u64, job: u64) -> Self {
        let mut dice = Dice(seed ^ job.wrapping_mul(0xD1B5_4A32_D192_ED03));
        dice.bits();
        dice
    }
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    /// As likely in every decade.
    fn scale(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.unit())
    }
    fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }
    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.bits() % all.len() as u64) as usize]
    }
}

/// Threads with major diameter and pitch in mm; those in inches have rows of the built-in table.
const THREADS: [(&str, f64, f64); 12] = [
    ("M5", 5.0, 0.8),
    ("M6", 6.0, 1.0),
    ("M8x1", 8.0, 1.0),
    ("M10", 10.0, 1.5),
    ("M16", 16.0, 2.0),
    ("M24x2", 24.0, 2.0),
    ("M36x1", 36.0, 1.0),
    ("M47x1", 47.0, 1.0),
    ("1/4-20 UNC", 6.35, 1.27),
    ("1.37 in x 24 tpi", 34.8, 1.058),
    ("1-3/8 in x 26 tpi", 34.9, 0.977),
    ("9/16 in x 20 tpi", 14.29, 1.27),
];
const METALS: [&str; 7] = [
    "6061-T6",
    "7075-T6",
    "titanium",
    "steel",
    "stainless-304",
    "brass",
    "unknown",
];
const FRAMES: [&str; 5] = ["carbon-epoxy", "glass-epoxy", "6061-T6", "steel", "unknown"];
const ADHESIVES: [&str; 8] = [
    "toughened-epoxy-paste",
    "untoughened-epoxy",
    "film-epoxy-120C",
    "film-epoxy-175C",
    "methacrylate",
    "anaerobic-retainer",
    "polyurethane",
    "unknown",
];
const LUBRICATION: [&str; 5] = ["greased", "oiled", "dry", "anti-seize", "unknown"];
const HELD: [&str; 4] = ["inboard", "outboard", "full-length", "all-round"];

/// A job that somebody could have: sizes that fit each other, everything else over what a bench meets.
fn random_job(d: &mut Dice) -> String {
    use std::fmt::Write;
    let (thread, major, pitch) = d.of(&THREADS);
    let outer = major * d.between(1.06, 2.2) + 0.6;
    let glue = d.scale(0.03, 2.0);
    let bore = outer + 2.0 * glue;
    let wall = bore * d.between(1.03, 2.5) + 1.0;
    let engaged = d.between(1.5 * pitch, 1.4 * major.max(8.0));
    let setback = if d.chance(0.4) {
        0.0
    } else {
        d.between(0.0, 3.0)
    };
    let length = (setback + engaged) * d.between(0.8, 3.0);
    let flange = outer * d.between(0.95, 1.5) + 1.0;
    let hollow = if d.chance(0.4) {
        0.0
    } else {
        (major - 1.3 * pitch) * d.between(0.2, 0.9)
    };
    // Torque for a preload of a few tenths of the root's yield, give or take.
    let torque = 0.15e-3 * major * major * major * d.scale(1.0, 30.0) * 1e-1;
    let mut text = String::new();
    let yes = |d: &mut Dice| d.of(&["true", "true", "true", "\"unknown\""]);
    writeln!(text, "[thread]\ndesignation = \"{thread}\"\nengaged = \"{engaged:.4} mm\"\nsetback = \"{setback:.4} mm\"").unwrap();
    if d.chance(0.2) {
        writeln!(text, "damaged_turns = {:.2}", d.between(0.0, 2.0)).unwrap();
    }
    writeln!(
        text,
        "[insert]\nmaterial = \"{}\"\nouter_diameter = \"{outer:.4} mm\"\nlength = \"{:.4} mm\"",
        d.of(&METALS),
        length * d.between(1.0, 1.2)
    )
    .unwrap();
    if d.chance(0.8) {
        writeln!(
            text,
            "face_offset = \"{:.3} mm\"",
            d.of(&[-0.2, -0.1, 0.0, 0.03, 0.1, 0.2])
        )
        .unwrap();
    }
    writeln!(text, "[frame]\nmaterial = \"{}\"\nouter_diameter = \"{wall:.4} mm\"\nheld_at = \"{}\"\nwidth = \"{:.3} mm\"", d.of(&FRAMES), d.of(&HELD), d.between(40.0, 120.0)).unwrap();
    text.push_str("[condition]\n");
    for key in [
        "no_crack",
        "not_moved",
        "no_crash",
        "unregulated_use",
        "face_clean",
        "thread_starts_by_hand",
        "prepared",
        "cured",
    ] {
        writeln!(text, "{key} = {}", yes(d)).unwrap();
    }
    writeln!(
        text,
        "[bond]\nadhesive = \"{}\"\nthickness = \"{glue:.4} mm\"\nlength = \"{length:.4} mm\"",
        d.of(&ADHESIVES)
    )
    .unwrap();
    if d.chance(0.5) {
        writeln!(text, "voids = \"{:.1} %\"", d.between(0.0, 60.0)).unwrap();
    }
    if d.chance(0.5) {
        writeln!(
            text,
            "cure_temperature = \"{:.0} °C\"\ncoldest = \"{:.0} °C\"\nhottest = \"{:.0} °C\"",
            d.between(15.0, 130.0),
            d.between(-40.0, 10.0),
            d.between(21.0, 75.0)
        )
        .unwrap();
    }
    writeln!(text, "isolated = {}", d.of(&["true", "false"])).unwrap();
    writeln!(text, "[fitting]\nmaterial = \"{}\"\nbore = \"{hollow:.4} mm\"\nflange_diameter = \"{flange:.4} mm\"\nflange_thickness = \"{:.3} mm\"", d.of(&METALS), d.between(1.0, 6.0)).unwrap();
    let overhang = if d.chance(0.2) {
        0.0
    } else {
        d.between(-15.0, 25.0)
    };
    writeln!(text, "bearing_outboard = \"{overhang:.3} mm\"\n[tightening]\ntorque = \"{torque:.4} N·m\"\nlubrication = \"{}\"", d.of(&LUBRICATION)).unwrap();
    if d.chance(0.2) {
        writeln!(text, "retightened = true").unwrap();
    }
    if d.chance(0.6) {
        writeln!(text, "[pedalling]\nforce = \"{:.1} N\"\npedal_offset = \"{:.1} mm\"\ncrank = \"{:.1} mm\"\nchainring_radius = \"{:.1} mm\"\nchainline = \"{:.1} mm\"", d.scale(1.0, 3000.0), d.between(90.0, 200.0), d.between(100.0, 190.0), d.between(30.0, 120.0), d.between(30.0, 60.0)).unwrap();
    }
    if d.chance(0.6) {
        let force = major * major * d.scale(0.01, 10.0);
        writeln!(text, "[loads]\naxial = \"{:.3} N\"\nradial = \"{:.3} N\"\nmoment = \"{:.4} N·m\"\ntorque = \"{:.4} N·m\"", force * d.between(-1.0, 1.0), force * d.unit(), force * major * 1e-3 * d.unit(), force * major * 2e-4 * d.unit()).unwrap();
    }
    let readings = d.of(&[0, 0, 0, 0, 0, 1, 2, 4, 8]);
    let deep = d.scale(0.002, 0.3);
    for k in 0..readings {
        writeln!(
            text,
            "[[seat.gap]]\nat = \"{:.2} deg\"\ngap = \"{:.4} mm\"",
            (f64::from(k) + 0.9 * d.unit()) * 360.0 / f64::from(readings),
            if d.chance(0.4) { 0.0 } else { deep * d.unit() }
        )
        .unwrap();
    }
    if d.chance(0.2) {
        writeln!(
            text,
            "[[case]]\nname = \"other\"\nkind = \"{}\"\ncoldest = \"-20 °C\"\nhottest = \"50 °C\"",
            d.of(&["rare", "repeated"])
        )
        .unwrap();
    }
    text
}

/// What came of a number of jobs.
#[derive(Default)]
struct Tally {
    jobs: AtomicU64,
    refused: AtomicU64,
    solved: AtomicU64,
    not_converged: AtomicU64,
    worst: [AtomicU64; 4],
    /// Why jobs were refused, and how often.
    reasons: Mutex<BTreeMap<String, u64>>,
}

/// What each residual may be, over the loads: axial, torsion, rocking, seat.
///
/// The first three are exact solutions of linear equations: what is left is rounding, in the solution and in the sum;
/// more of it where next to no thread is engaged.
/// The seat's pressure is integrated to 1e-6 and summed here by rays until the sum stays within some 1e-7.
const BOUNDS: [(&str, f64); 4] = [
    ("axial", 1e-10),
    ("torsion", 1e-10),
    ("rocking", 1e-10),
    ("seat", 1e-5),
];

impl Tally {
    fn judge(&self, text: &str, name: &str) {
        let (document, found) = Document::parse("job.toml", text);
        assert!(found.is_empty(), "{name}: {found:?}\n{text}");
        let job = match resolve(&document) {
            Ok(job) => job,
            Err(found) => {
                assert!(
                    found
                        .iter()
                        .all(|f| !f.message.is_empty() && !f.help.is_empty())
                );
                self.refuse(found.iter().map(|f| f.message.clone()));
                return;
            }
        };
        self.look(&job, text, name);
    }

    fn refuse(&self, why: impl IntoIterator<Item = String>) {
        self.refused.fetch_add(1, Ordering::Relaxed);
        let Ok(mut reasons) = self.reasons.lock() else {
            return;
        };
        for message in why {
            // Figures differ from job to job.
            let words = message.replace(|c: char| c.is_ascii_digit(), "");
            *reasons.entry(words).or_default() += 1;
        }
    }

    fn look(&self, job: &Job, text: &str, name: &str) {
        // The search for the window takes most of the time, and goes through the same solvers again and again.
        let number = self.jobs.fetch_add(1, Ordering::Relaxed);
        if number > 0 && number.is_multiple_of(50_000) {
            println!("{number} jobs so far");
        }
        let each = job.sides.iter().map(|side| match number % 32 {
            0 => Assessed::of(&side.assembly),
            _ => assess(&side.assembly).map(|assessment| Assessed {
                assessment,
                window: None,
            }),
        });
        // An error of a computation is named; nothing else may happen.
        let assessed = match each.collect::<Result<Vec<_>, _>>() {
            Ok(assessed) => assessed,
            Err(e) => {
                self.refuse([e.to_string()]);
                return;
            }
        };
        self.printed(&Report::new("check", job, &assessed), text, name);
        for (side, assessed) in job.sides.iter().zip(&assessed) {
            let r = &assessed.assessment;
            let failed = |c: &&Check| c.reason == Some(Reason::NotConverged);
            let failed = r.checks.iter().flatten().filter(failed).count() as u64;
            self.not_converged.fetch_add(failed, Ordering::Relaxed);
            let Some(balance) = Balance::of(&side.assembly, r) else {
                continue;
            };
            self.solved.fetch_add(1, Ordering::Relaxed);
            let left = [
                balance.axial,
                Some(balance.torsion),
                balance.rocking,
                balance.seat,
            ];
            for ((left, (what, bound)), worst) in left.iter().zip(BOUNDS).zip(&self.worst) {
                let Some(left) = left.map(si) else { continue };
                // Written so that what is not a number fails as well.
                assert!(
                    left < bound,
                    "{name}: {what} is out of balance by {left:e}\n{text}"
                );
                worst.fetch_max(left.to_bits(), Ordering::Relaxed);
            }
        }
    }

    /// Every figure that would be printed is a number, and who has none has a reason.
    fn printed(&self, report: &Report, text: &str, name: &str) {
        for side in report.printed_sides() {
            for (id, amount) in &side.values.0 {
                assert!(!amount.si.is_nan(), "{name}: {id} is not a number\n{text}");
            }
            for c in &side.checks {
                let amounts = [c.demand, c.capacity].into_iter().flatten().map(|a| a.si);
                let ratios = [c.ratio, c.margin].into_iter().flatten().map(|n| n.0);
                for n in amounts.chain(ratios) {
                    assert!(!n.is_nan(), "{name}: {} is not a number\n{text}", c.id);
                }
                let told = c.ratio.is_some() || c.reason.is_some() || c.decided_by.is_some();
                assert!(
                    told,
                    "{name}: {} has neither ratio nor reason\n{text}",
                    c.id
                );
            }
            for bound in side.window.iter().flat_map(|w| &w.bounds) {
                assert!(bound.torque.si.is_finite(), "{name}: {bound:?}\n{text}");
            }
        }
    }

    fn print(&self, title: &str) {
        let count = |n: &AtomicU64| n.load(Ordering::Relaxed);
        println!(
            "{title}: {} jobs looked at, {} refused, {} solved, {} checks not converged",
            count(&self.jobs),
            count(&self.refused),
            count(&self.solved),
            count(&self.not_converged)
        );
        for (why, times) in self
            .reasons
            .lock()
            .iter()
            .flat_map(|reasons| reasons.iter())
        {
            println!("  refused {times} times: {why}");
        }
        for ((what, bound), worst) in BOUNDS.iter().zip(&self.worst) {
            println!(
                "  {what}: {:.2e} of the load at most, bound {bound:.0e}",
                f64::from_bits(count(worst))
            );
        }
    }
}

/// So many random jobs from a seed; the same jobs at every run.
#[test]
fn random_jobs_are_solved_or_say_why() {
    let read = |name: &str| std::env::var(name).ok().and_then(|n| n.parse::<u64>().ok());
    let (count, seed) = (
        read("INSERTWRIGHT_SOAK"),
        read("INSERTWRIGHT_SEED").unwrap_or(1),
    );
    let tally = Tally::default();
    (0..count.unwrap_or(400)).into_par_iter().for_each(|job| {
        let text = random_job(&mut Dice::new(seed, job));
        tally.judge(&text, &format!("job {job} of seed {seed}"));
    });
    tally.print("random jobs");
    let (jobs, solved) = (tally.jobs.into_inner(), tally.solved.into_inner());
    assert!(
        solved * 2 > jobs,
        "{solved} of {jobs}: the jobs are too wild to test anything"
    );
}

/// The corners of what can be asked, each with each.
#[test]
fn extremes_are_solved_or_say_why() {
    let mut jobs = Vec::new();
    for glue in ["0.01 mm", "0.2 mm", "5 mm"] {
        for overhang in ["-50 mm", "0 mm", "200 mm"] {
            for friction in ["0.01", "0.12", "1"] {
                for frame in ["insert/1000", "insert", "insert*1000"] {
                    for gaps in GAPS {
                        for turns in [0.1, 12.0] {
                            for held in ["inboard", "outboard", "all-round"] {
                                jobs.push((glue, overhang, friction, frame, gaps, turns, held));
                            }
                        }
                    }
                }
            }
        }
    }
    // An ordinary run takes a part of them, another one in every row of corners; a long one takes all.
    let every = if std::env::var_os("INSERTWRIGHT_SOAK").is_some() {
        1
    } else {
        7
    };
    let tally = Tally::default();
    jobs.par_iter().step_by(every).for_each(|job| {
        tally.judge(&extreme_job(job), &format!("{job:?}"));
    });
    tally.print("extremes");
    assert!(tally.solved.into_inner() > 0);
}

const GAPS: [&[&str]; 5] = [
    &[],
    &["0.1 mm"],
    // Open at every place that was read.
    &["0.3 mm", "0.4 mm", "0.5 mm", "0.4 mm"],
    &["0 mm", "2 mm", "0 mm", "2 mm"],
    &["0 mm", "0.01 mm", "0.02 mm", "0.01 mm"],
];

type Extreme<'a> = (
    &'a str,
    &'a str,
    &'a str,
    &'a str,
    &'a [&'a str],
    f64,
    &'a str,
);

fn extreme_job((glue, overhang, friction, frame, gaps, turns, held): &Extreme) -> String {
    // What is stiffer than any material would be refused.
    let (insert, modulus) = match *frame {
        "insert/1000" => (70.0, 0.07),
        "insert" => (70.0, 70.0),
        _ => (0.4, 400.0),
    };
    let gaps: String = (gaps.iter().enumerate())
        .map(|(k, gap)| format!("[[seat.gap]]\nat = \"{} deg\"\ngap = \"{gap}\"\n", 90 * k))
        .collect();
    format!(
        r#"
[thread]
designation = "M36x1"
engaged = "{turns} mm"
incomplete = "0 mm"
setback = "1 mm"
[insert]
material = "metal"
outer_diameter = "42 mm"
length = "30 mm"
face_offset = "0 mm"
[frame]
material = "wall"
outer_diameter = "60 mm"
held_at = "{held}"
width = "140 mm"
[condition]
no_crack = true
not_moved = true
no_crash = true
unregulated_use = true
face_clean = true
thread_starts_by_hand = true
prepared = true
cured = true
[bond]
adhesive = "toughened-epoxy-paste"
thickness = "{glue}"
preparation = "abraded-degreased"
isolated = true
[fitting]
material = "steel"
bore = "28 mm"
flange_diameter = "56 mm"
flange_thickness = "4 mm"
bearing_outboard = "{overhang}"
[tightening]
torque = "40 N·m"
thread_friction = "{friction}"
seat_friction = "{friction}"
[pedalling]
force = "1500 N"
pedal_offset = "150 mm"
crank = "170 mm"
chainring_radius = "80 mm"
chainline = "45 mm"
[material.metal]
kind = "metal"
elastic_modulus = "{insert} GPa"
poisson = 0.33
yield = "240 MPa"
tensile = "290 MPa"
expansion = "23 µm/(m·K)"
source = "invented for the test"
[material.wall]
kind = "metal"
elastic_modulus = "{modulus} GPa"
poisson = 0.33
yield = "240 MPa"
tensile = "290 MPa"
expansion = "3 µm/(m·K)"
source = "invented for the test"
{gaps}"#
    )
}
