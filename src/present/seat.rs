//! The report of `seat`.

use super::bench::{Finding, clock, fine, percent, section, size};
use super::report::{
    Amount, JobReport, Ordered, Paper, PreconditionReport, SCHEMA, assumed, caution_reports,
    ledger_entries, preconditions, sources, worse,
};
use super::text::{self, Layout};
use super::words;
use crate::assess::caution::Cautions;
use crate::assess::check::Verdict;
use crate::assess::seat_report::{
    self, COARSE_READING_MM, Contact, Doubt, Face, Flange, LEAST_CUT_MM, PARALLEL_GOOD_MM,
    PARALLEL_LIMIT_MM, Place, Touch, USUAL_CUT_MM, Width,
};
use crate::job::Job;
use crate::job::assembly::State;
use crate::mechanics::plane::Shape;
use crate::units::display::{System, significant};
use crate::units::{Length, Unit, mm, si};
use serde::Serialize;

/// One of the twelve places.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct PlaceReport {
    pub hour: u32,
    pub gap: Amount,
    pub read: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bears: Option<&'static str>,
}

/// One side.
#[derive(Debug, Clone, Serialize)]
#[allow(missing_docs)]
pub struct SeatSide {
    pub side: &'static str,
    pub verdict: &'static str,
    pub preconditions: Vec<PreconditionReport>,
    pub findings: Vec<Finding>,
    pub values: Ordered<Amount>,
    pub places: Vec<PlaceReport>,
}

/// The whole report.
pub type SeatReport = Paper<SeatSide>;

/// What `seat` does not look at.
const NOT_EXAMINED: &[&str] = &[
    "the face between the places that were read: the gap is taken as straight between them",
    "the shape of the fitting's own flange, and play of the thread while the leaves went in",
    "strength: `check` and `torque` judge the job once its face is true",
];

impl Paper<SeatSide> {
    /// The report of a job, its faces in the order of its sides, and its widths.
    pub fn new(job: &Job, faces: &[Face], width: &Width) -> SeatReport {
        let sides: Vec<(Verdict, SeatSide)> = job
            .sides
            .iter()
            .zip(faces)
            .map(|(side, face)| {
                let verdict = seat_report::overall(face, width);
                let refused = verdict == Verdict::Refused;
                let need = side.assembly.need.contact.value;
                let report = SeatSide {
                    side: words::side_word(side.name),
                    verdict: verdict.word(),
                    preconditions: preconditions(&side.assembly.condition),
                    findings: if refused {
                        Vec::new()
                    } else {
                        findings(face, width, need, System::Metric)
                    },
                    values: Ordered(if refused {
                        Vec::new()
                    } else {
                        super::bench::amounts(&seat_report::results(
                            &side.assembly,
                            &job.readings.widths,
                            face,
                            width,
                        ))
                    }),
                    places: if refused {
                        Vec::new()
                    } else {
                        face.places.iter().map(place).collect()
                    },
                };
                (verdict, report)
            })
            .collect();
        let (overall, worst) = worse(&sides).unwrap_or_else(|| {
            let nothing = SeatSide {
                side: "",
                verdict: Verdict::NotJudged.word(),
                preconditions: Vec::new(),
                findings: Vec::new(),
                values: Ordered(Vec::new()),
                places: Vec::new(),
            };
            (Verdict::NotJudged, nothing)
        });
        let mut assumed = assumed(job, None);
        assumed.extend(ledger_entries(&job.readings.seat_ledger));
        let several = sides.len() > 1;
        SeatReport {
            schema: SCHEMA,
            command: "seat",
            job: JobReport::of(job),
            worst,
            sides: sides.into_iter().filter(|_| several).map(|s| s.1).collect(),
            assumed,
            overrides: job.overrides.clone(),
            warnings: Vec::new(),
            not_examined: NOT_EXAMINED.iter().map(|s| (*s).to_string()).collect(),
            cautions: caution_reports(
                faces
                    .iter()
                    .fold(Cautions::default(), |set, f| set.and(f.cautions)),
            ),
            overall,
            sources: sources(job),
            row_notes: Vec::new(),
        }
    }
}

fn place(p: &Place) -> PlaceReport {
    PlaceReport {
        hour: p.hour,
        gap: Amount {
            si: si(p.gap),
            unit: Unit::Millimetre,
        },
        read: p.read,
        bears: p.touch.map(|t| match t {
            Touch::Whole => "whole width",
            Touch::Part => "part of the width",
            Touch::None => "open",
        }),
    }
}

/// The findings that have no number of their own: id, what it says, the numbers behind it.
pub(super) const FINDINGS: &[(&str, &str, &[&str])] = &[
    (
        "seat.plane",
        "Tilt of the face, judged",
        &[
            "seat.plane.tilt",
            "seat.plane.tilt.uncertainty",
            "seat.plane.high_at",
        ],
    ),
    (
        "seat.plane.true",
        "The face is true as far as the readings tell",
        &["seat.plane.tilt", "seat.plane.tilt.uncertainty"],
    ),
    (
        "seat.plane.shape",
        "What is left over the plane",
        &[
            "seat.plane.residual",
            "seat.plane.residual.largest",
            "seat.reading.uncertainty",
        ],
    ),
    (
        "seat.plane.one_sided",
        "Too much of the ring was not read",
        &["seat.plane.tilt"],
    ),
    (
        "seat.plane.falls_away",
        "A leaf goes in at every place",
        &["seat.reading.uncertainty", "seat.facing.whole"],
    ),
    (
        "seat.plane.open",
        "A leaf goes in at every place that was read",
        &["seat.reading.uncertainty", "seat.facing.whole"],
    ),
    (
        "seat.plane.coarse",
        "The leaves were too far apart",
        &["seat.reading.uncertainty"],
    ),
    (
        "seat.facing.open",
        "Why no depth is said",
        &["seat.contact.preload"],
    ),
    (
        "seat.facing.proud",
        "The cut takes away what stands proud",
        &["seat.facing.planned"],
    ),
    (
        "seat.facing.fine",
        "Less than a cut by hand keeps to",
        &["seat.facing.depth", "seat.reading.uncertainty"],
    ),
    (
        "seat.contact",
        "The ring that bears, judged",
        &["seat.contact.preload", "seat.facing.depth"],
    ),
    (
        "seat.facing.much",
        "More than is usually faced off",
        &["seat.facing.planned"],
    ),
    (
        "frame.width",
        "Width across the faces, judged",
        &["frame.width.after.low", "frame.width.after.high"],
    ),
    (
        "frame.plane",
        "Tilt of one face against the other",
        &["frame.plane.tilt", "frame.plane.angle"],
    ),
];

/// What the readings say, one sentence or two each.
pub fn findings(face: &Face, width: &Width, need: f64, system: System) -> Vec<Finding> {
    let mut out = plane_findings(face, system);
    out.extend(contact_findings(face, need, system));
    out.extend(flange_findings(face, system));
    out.extend(width_findings(
        width,
        cut_planned(std::slice::from_ref(face)),
        system,
    ));
    out
}

/// Is anything to be cut off?
fn cut_planned(faces: &[Face]) -> bool {
    faces.iter().any(|f| f.planned() > mm(0.0))
}

fn plane_findings(face: &Face, system: System) -> Vec<Finding> {
    let f = |l: Length| fine(l, system);
    let mut out = Vec::new();
    let plane = match &face.plane {
        Ok(plane) => plane,
        Err(few) => {
            let text = match few.places {
                0 => "no feeler reading is entered: nothing can be said about the face. Write [[seat.gap]] with at and gap, at four places or better at eight.".to_string(),
                n => format!(
                    "readings at {n} place{}: neither the tilt nor where the face is high can be said, nor whether it is flat; a plane needs three places, and four to see anything else",
                    if n == 1 { "" } else { "s" }
                ),
            };
            out.push(Finding::judged("seat.plane", Verdict::NotJudged, text));
            return out;
        }
    };
    let angle = face.angle.map_or(String::new(), |a| {
        format!(", {:.3}°", Unit::Degree.of(si(a)))
    });
    out.push(Finding::plain(
        "seat.plane",
        format!(
            "Tilt {} ± {} across the ring of {}{angle}{}.",
            f(plane.tilt),
            f(plane.tilt_uncertainty),
            size(face.outer * 2.0, system),
            if plane.is_true() {
                String::new()
            } else {
                format!(
                    "; its plane is high, and the gap least, at {}",
                    clock(plane.least_at)
                )
            }
        ),
    ));
    out.push(Finding::plain(
        "seat.plane.true",
        if plane.is_true() {
            "That is within the readings' own uncertainty: they show no tilt."
        } else {
            "That is more than the readings' own uncertainty: the face is tilted to the thread."
        },
    ));
    let largest = plane.residuals.get(plane.largest).copied();
    let at = face.readings.get(plane.largest).map(|r| clock(r.at));
    if let (Some(rest), Some(at)) = (largest, at) {
        out.push(Finding::plain(
            "seat.plane.residual",
            format!(
                "Left over the plane: {} rms, largest {} at {at}; a reading is known to ± {} at worst.",
                f(plane.rms),
                f(rest),
                f(face.reading_uncertainty().unwrap_or(mm(0.0)))
            ),
        ));
    }
    if let Some(left) = face.left {
        out.push(Finding::plain(
            "seat.plane.shape",
            shape(face, left, system),
        ));
    }
    if si(face.widest_arc) > std::f64::consts::PI * (1.0 + 1e-9) {
        out.push(Finding::plain(
            "seat.plane.one_sided",
            "More than half of the ring was not read: tilt and high place are drawn out beyond the readings.",
        ));
    }
    if face.falls_away {
        out.push(Finding::plain(
            "seat.plane.falls_away",
            "A leaf goes in at every place: the face falls away outward and bears nearer to the thread, or touches only between the places. Tilting a cutter cannot mend the first; face it whole, and prove it with blue. The share below is not to be relied on.",
        ));
    } else if face.doubt == Some(Doubt::OpenAllRound) {
        out.push(Finding::plain(
            "seat.plane.open",
            "A leaf goes in at every place that was read, yet the flange must touch somewhere: look what holds it off (a burr, a chip, the thread's end), try a thinner leaf, and read at six places or more.",
        ));
    } else if face.doubt == Some(Doubt::Coarse) {
        out.push(Finding::plain(
            "seat.plane.coarse",
            format!(
                "At a place or more the gap is only known to lie in an interval wider than {} (common practice, no source): try thinner leaves there.",
                f(mm(COARSE_READING_MM))
            ),
        ));
    }
    out
}

fn shape(face: &Face, left: Shape, system: System) -> String {
    let at = |i: usize| {
        face.readings
            .get(i)
            .map_or_else(String::new, |r| clock(r.at))
    };
    match left {
        Shape::NotSeen => {
            "Three places always lie on a plane: whether the face is flat cannot be said.".into()
        }
        Shape::Flat => {
            "Every reading lies on the plane within its own interval: flat, as far as the leaves can tell.".into()
        }
        Shape::OneMore(i, off) => format!(
            "All lie on a plane but the one at {}, which is {} open: a dent there, or one bad reading. Read it again; a cut to its bottom is not needed if the rest of the ring bears.",
            at(i),
            fine(off, system)
        ),
        Shape::OneLess(i, off) => format!(
            "All lie on a plane but the one at {}, which stands {} proud: a blob of paint, a burr or a chip. Clean it off and read again before any cut.",
            at(i),
            fine(off, system)
        ),
        Shape::TwoLobed(amplitude, place) => format!(
            "The face is wavy in two lobes of ± {}, high at {} and opposite: no tilting of a cutter makes it true, it must be faced whole.",
            fine(amplitude, system),
            clock(place)
        ),
        Shape::FourPlaces => {
            "One reading or more lies off the plane. Four places cannot tell a dent or a blob from a face in two lobes: read at eight.".into()
        }
        Shape::Unsettled => {
            "The readings lie off the plane, by no more than the coarsest of them is known to: read again with finer leaves before calling the face wavy.".into()
        }
        Shape::Irregular => {
            "The readings lie on no plane, nor on one with a single odd place, nor in two lobes: clean the face, read again, and if it stays so face it whole.".into()
        }
    }
}

fn contact_findings(face: &Face, need: f64, system: System) -> Vec<Finding> {
    let f = |l: Length| fine(l, system);
    let mut out = Vec::new();
    let need_text = format!("{:.0} %", need * 100.0);
    let Some(c) = &face.contact else {
        if face.planned() > mm(0.0) {
            out.push(Finding::plain(
                "seat.facing.open",
                format!(
                    "What bears after {} is cut off as stated cannot be said; the width counts the whole depth all round.",
                    f(face.planned())
                ),
            ));
        }
        if !face.readings.is_empty() {
            out.push(Finding::judged(
                "seat.contact",
                Verdict::NotJudged,
                "the ring that bears could not be predicted: no thread is engaged, or the contact did not converge",
            ));
        }
        return out;
    };
    out.push(Finding::judged(
        "seat.contact",
        face.verdict,
        format!(
            "{}{} of the ring bears at the low preload of {} ({} to {} with twice and half the seat's stiffness); {need_text} is asked for.",
            if face.doubt.is_some() { "by readings that do not settle it, " } else { "" },
            percent(c.before),
            Unit::Newton.show(si(c.preload), system),
            percent(c.before_range.0),
            percent(c.before_range.1)
        ),
    ));
    match face.doubt {
        // Enough is known to say that the ring bears on too little.
        Some(Doubt::OpenAllRound | Doubt::Coarse) if c.before.value < need => {}
        Some(Doubt::TooFew) => out.push(Finding::plain(
            "seat.facing.open",
            "How deep to face is not said on so few places: read at eight before any cut.",
        )),
        Some(_) => out.push(Finding::plain(
            "seat.facing.open",
            "How deep to face is not said on these readings, and \"nothing\" least of all.",
        )),
        None => {}
    }
    let told = face.doubt.is_none() || (face.doubt != Some(Doubt::TooFew) && c.before.value < need);
    if told {
        out.push(Finding::plain(
            "seat.facing.depth",
            depth(c, &need_text, system),
        ));
    }
    if let Some(d) = c
        .depth
        .filter(|d| told && *d > mm(0.0) && *d < mm(LEAST_CUT_MM))
    {
        out.push(Finding::plain(
            "seat.facing.fine",
            format!(
                "{} is less than the {} that a cut by hand keeps to (common practice, no source), and a reading is known to ± {} at worst: lap it, or look with blue before any cut.",
                f(d),
                f(mm(LEAST_CUT_MM)),
                f(face.reading_uncertainty().unwrap_or(mm(0.0)))
            ),
        ));
    }
    if c.stated || c.depth.is_some_and(|d| d > mm(0.0)) {
        out.push(Finding::plain(
            "seat.contact.faced",
            format!(
                "After {} is cut off the high place{}: {} of the ring bears at the same preload.",
                f(c.planned),
                if c.stated { " as stated" } else { "" },
                percent(c.after)
            ),
        ));
    }
    if let Some(lost) = face.proud_lost {
        let (bears, other) = if lost.insert {
            ("insert", "frame")
        } else {
            ("frame", "insert")
        };
        out.push(Finding::plain(
            "seat.facing.proud",
            format!(
                "The {bears} may stand proud by no more than {}: a cut of {} takes its high place below the {other}, which the flange then bears on as well. What is said above of the ring holds only if the flange clears the {other} after the cut: with a flange of {} or a relieved one, or with the {other} set back first. Else enter what is left as insert.face_offset and judge again.",
                f(lost.proud),
                f(c.planned),
                size(face.outer * 2.0, system)
            ),
        ));
    }
    if c.planned > mm(USUAL_CUT_MM) {
        out.push(Finding::plain(
            "seat.facing.much",
            format!(
                "That is more than the {} a side that is usually faced off (common practice, no source): look at the cause first.",
                f(mm(USUAL_CUT_MM))
            ),
        ));
    }
    out
}

fn depth(c: &Contact, need: &str, system: System) -> String {
    let f = |l: Length| fine(l, system);
    match (c.depth, c.depth_range) {
        (Some(d), _) if d <= mm(0.0) => format!("To face off for {need}: nothing."),
        (Some(d), Some((low, high))) => format!(
            "To face off for {need}: {} at the high place ({} to {} with half and twice the stiffness); {} cleans the whole ring up. Cut less, measure, cut again.",
            f(d),
            f(low),
            f(high),
            f(c.whole)
        ),
        _ => format!(
            "No cut short of the whole ring brings {need}; {} cleans it up.",
            f(c.whole)
        ),
    }
}

fn flange_findings(face: &Face, system: System) -> Vec<Finding> {
    let mut out = Vec::new();
    if face.unsupported > mm(0.0) {
        out.push(Finding::plain(
            "seat.unsupported",
            format!(
                "The outer {} of the flange bears on nothing: a flange of {} serves as well.",
                fine(face.unsupported, system),
                size(face.outer * 2.0, system)
            ),
        ));
    }
    let reserve = |what: &str, r: Option<(f64, f64)>| match r {
        Some((ratio, need)) => format!(
            "{what} keeps {} of {} required",
            significant(ratio, 2),
            significant(need, 2)
        ),
        None => format!("{what} not judged"),
    };
    match &face.flange {
        None | Some(Flange::NotNeeded) => {}
        Some(Flange::Smaller(s)) => {
            let serves = if s.better {
                "Here it serves better than more facing, which would take too much."
            } else {
                "Facing comes first all the same: it keeps the wide ring, and less is cut than is usual or than the width allows, or the smaller ring has too little in hand."
            };
            out.push(Finding::plain(
                "seat.flange.smaller",
                format!(
                    "A flange of {} would bear on {} of its own ring without a cut; {}, {}. {serves}",
                    size(s.diameter, system),
                    percent(s.share),
                    reserve("crushing", s.crush),
                    reserve("opening", s.open)
                ),
            ));
        }
        Some(Flange::None(least)) => out.push(Finding::plain(
            "seat.flange.smaller",
            format!(
                "No smaller flange down to {} bears on enough without a cut: facing it is.",
                size(*least, system)
            ),
        )),
    }
    out
}

fn width_findings(w: &Width, cut: bool, system: System) -> Vec<Finding> {
    let f = |l: Length| fine(l, system);
    let s = |l: Length| size(l, system);
    let mut out = Vec::new();
    let (Some(before), Some(after)) = (&w.before, &w.after) else {
        out.push(Finding::judged(
            "frame.width",
            Verdict::NotJudged,
            "no width is entered: write [[frame.reading]] with at (seen from the drive side) and width",
        ));
        return out;
    };
    let range = |a: &seat_report::Across| {
        if a.parallelism.is_some() {
            format!("{} to {}", s(a.least), s(a.greatest))
        } else {
            s(a.least)
        }
    };
    let limits = match w.limits {
        (None, None) => "no limit is entered (frame.width_min, frame.width_max)".to_string(),
        (min, max) => format!(
            "allowed {} to {}",
            min.map_or("any".into(), s),
            max.map_or("any".into(), s)
        ),
    };
    out.push(Finding::judged(
        "frame.width",
        w.width_verdict,
        format!(
            "width {} now, {}; {limits}.",
            range(before),
            if cut {
                format!("{} after the cuts planned", range(after))
            } else {
                "no cut planned".into()
            }
        ),
    ));
    let Some(parallel) = before.parallelism else {
        out.push(Finding::judged(
            "frame.parallelism",
            Verdict::NotJudged,
            "parallelism needs the width at three places or more",
        ));
        return out;
    };
    let after = after.parallelism.unwrap_or(parallel);
    let told = match w.uncertainty {
        Some(u) if parallel <= u => {
            format!(" That is within what the readings can tell ({}).", f(u))
        }
        _ => String::new(),
    };
    out.push(Finding::judged(
        "frame.parallelism",
        w.parallel_verdict,
        format!(
            "the faces are {} out of parallel now{}; {} is good work, {} the limit (common practice, no source).{told}",
            f(parallel),
            if cut {
                format!(", {} after the cuts", f(after))
            } else {
                String::new()
            },
            f(mm(PARALLEL_GOOD_MM)),
            f(mm(PARALLEL_LIMIT_MM))
        ),
    ));
    if let (Some(p), Some(angle)) = (&w.plane, w.angle) {
        out.push(Finding::plain(
            "frame.plane",
            format!(
                "One face leans {} ± {} against the other, {:.3}°; narrow at {} seen from the drive side.",
                f(p.tilt),
                f(p.tilt_uncertainty),
                Unit::Degree.of(si(angle)),
                clock(p.least_at)
            ),
        ));
    }
    out
}

/// The report as text.
pub fn text(
    report: &SeatReport,
    job: &Job,
    faces: &[Face],
    width: &Width,
    system: System,
    layout: Layout,
) -> String {
    let mut out = text::opening_of(report.command, &report.job, layout);
    for (i, (side, face)) in job.sides.iter().zip(faces).enumerate() {
        if job.sides.len() > 1 {
            out.push_str(&layout.heading(words::side(side.name)));
        } else {
            out.push_str(&layout.paragraph(&format!("The {}.", words::side(side.name))));
        }
        let printed = report.sides.get(i).unwrap_or(&report.worst);
        let verdict = seat_report::overall(face, width);
        out.push('\n');
        out.push_str(&layout.paragraph(&format!("Verdict: {}.", verdict.word())));
        out.push_str(&layout.paragraph(&format!(
            "Do first: {}.",
            first_step(face, width, verdict, &printed.preconditions, side)
        )));
        out.push_str(&text::precondition_list(&printed.preconditions, layout));
        if verdict == Verdict::Refused {
            continue;
        }
        out.push_str(&section(layout, "The face", &plane_findings(face, system)));
        if !face.places.is_empty() {
            out.push_str(&clock_face(face, system, layout));
        }
        out.push_str(&section(
            layout,
            "The ring that bears, and facing",
            &contact_findings(face, side.assembly.need.contact.value, system),
        ));
        out.push_str(&section(
            layout,
            "The flange",
            &flange_findings(face, system),
        ));
    }
    if report.overall != Verdict::Refused {
        let findings = width_findings(width, cut_planned(faces), system);
        out.push_str(&section(layout, "Width across the faces", &findings));
    }
    out.push_str(&text::tail(report, system, layout));
    out
}

/// The one thing to do first.
fn first_step(
    face: &Face,
    width: &Width,
    verdict: Verdict,
    preconditions: &[PreconditionReport],
    side: &crate::job::Side,
) -> String {
    let with = |state: &str| -> Vec<&str> {
        preconditions
            .iter()
            .filter(|p| p.state == state)
            .map(|p| p.id)
            .collect()
    };
    if verdict == Verdict::Refused {
        return format!(
            "stop. {} not met; nothing is said about facing. Take it to the maker or to somebody able to examine it",
            with("failed").join(", ")
        );
    }
    if side.assembly.condition.face_clean != State::Confirmed {
        let again = if face.readings.is_empty() {
            "read the gaps"
        } else {
            "read the gaps again: paint reads as metal"
        };
        return format!("bare and clean the face, enter condition.face_clean, and {again}");
    }
    if face.readings.is_empty() {
        return "read the gap under the flange, finger-tight, at eight places round the clock"
            .into();
    }
    if face.doubt == Some(Doubt::TooFew) {
        return "read the gap at more places before any cut: at three at least, better at eight"
            .into();
    }
    if matches!(face.left, Some(Shape::OneLess(..))) {
        return "clean off what stands proud, and read again before any cut".into();
    }
    if face.falls_away {
        return "mark the seat with blue and look where it bears".into();
    }
    match face.doubt {
        Some(Doubt::OpenAllRound) => {
            return "look what holds the flange off, and try a thinner leaf at every place".into();
        }
        Some(Doubt::Coarse) => {
            return "try thinner leaves where none was tried below one that does not go".into();
        }
        _ => {}
    }
    if width.width_verdict == Verdict::FallsShort {
        return "look at the width before any cut: it does not stay within its limits".into();
    }
    if face
        .contact
        .is_some_and(|c| c.before.value < side.assembly.need.contact.value)
    {
        return match &face.flange {
            Some(Flange::Smaller(s)) if s.better => "try the smaller flange below".into(),
            _ if face.proud_lost.is_some() => {
                "before any cut, settle what the flange bears on after it: see below".into()
            }
            _ => "face it as below, in small cuts, and measure after each".into(),
        };
    }
    let open = with("unknown");
    if !open.is_empty() {
        return format!(
            "look, and enter in [condition] what you find: {}",
            open.join(", ")
        );
    }
    "nothing to face; assemble, and feel under the flange again at full torque".into()
}

/// Rows and columns of the clock face: half height, half width.
const HALF_ROWS: f64 = 7.0;
const HALF_COLUMNS: f64 = 26.0;
/// Columns of one label.
const LABEL: usize = 12;

/// The ring as a clock: at each hour the gap, how it bears, and where it is high and low.
fn clock_face(face: &Face, system: System, layout: Layout) -> String {
    let unit = if system == System::Imperial {
        "thou"
    } else {
        "µm"
    };
    let by = |a: &&Place, b: &&Place| a.gap.value.total_cmp(&b.gap.value);
    let mut high = face.places.iter().min_by(by).map(|p| p.hour);
    let mut low = face.places.iter().max_by(by).map(|p| p.hour);
    if let Ok(plane) = &face.plane {
        // High and low of the plane, at the nearest hour.
        let hour = (Unit::Degree.of(si(plane.least_at)) / 30.0).round() as u32 % 12;
        high = Some(if hour == 0 { 12 } else { hour });
        low = Some((hour + 5) % 12 + 1);
    }
    let even = face.places.windows(2).all(|w| w[0].gap == w[1].gap)
        || face.plane.as_ref().is_ok_and(|p| p.is_true());
    let rows = 2 * HALF_ROWS as usize + 1;
    let columns = 2 * HALF_COLUMNS as usize + LABEL;
    let mut grid = vec![vec![' '; columns]; rows];
    for p in &face.places {
        let number = match system {
            System::Imperial => {
                let (inch, _) = Unit::Millimetre.in_system(si(p.gap), system);
                format!("{:.1}", inch * 1000.0)
            }
            System::Metric => format!("{:.0}", si(p.gap) * 1e6),
        };
        let mark = match p.touch {
            Some(Touch::Whole) => "#",
            Some(Touch::Part) => "+",
            Some(Touch::None) => ".",
            None => "?",
        };
        let end = if even {
            ""
        } else if Some(p.hour) == high {
            " H"
        } else if Some(p.hour) == low {
            " L"
        } else {
            ""
        };
        let about = if p.read { " " } else { "~" };
        let label = format!("{:>2}:{about}{number} {mark}{end}", p.hour);
        let at = std::f64::consts::TAU * f64::from(p.hour % 12) / 12.0;
        let row = (HALF_ROWS * (1.0 - at.cos())).round() as usize;
        let column = (HALF_COLUMNS * (1.0 + at.sin())).round() as usize;
        for (i, c) in label.chars().enumerate() {
            if let Some(cell) = grid.get_mut(row).and_then(|r| r.get_mut(column + i)) {
                *cell = c;
            }
        }
    }
    let mut out = layout.heading("The clock, seen from outside this side");
    if layout == Layout::Markdown {
        out.push_str("```text\n");
    }
    for line in grid {
        let line: String = line.into_iter().collect();
        out.push_str(format!("  {line}").trim_end());
        out.push('\n');
    }
    if layout == Layout::Markdown {
        out.push_str("```\n\n");
    }
    out.push_str(&layout.paragraph(&format!(
        "Gap in {unit}, ~ between readings; H high, L low{}. At the low preload, by the gaps: # bears over the whole width, + over part of it, . open.{}",
        if face.plane.is_ok() { " by the plane through them" } else { "" },
        if face.places.iter().any(|p| p.touch.is_none()) {
            " ? not known."
        } else {
            ""
        }
    )));
    out
}
