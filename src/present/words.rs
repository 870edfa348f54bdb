//! Every sentence that the program says about a result.

use crate::assess::Reading;
use crate::assess::cause::Causes;
use crate::assess::caution::Caution;
use crate::assess::check::{Check, CheckId, Note, Reason, Verdict};
use crate::assess::closed::Holds;
use crate::assess::coupled::crosscheck::NoCrossCheck;
use crate::assess::scatter;
use crate::assess::undo::{Stop, Withheld};
use crate::assess::window::Aim;
use crate::assess::wrench::Warning;
use crate::job;
use crate::job::assembly::{Assembly, Condition, Hand, State};
use crate::job::resolve::HandDoubt;
use crate::job::vary;
use crate::mechanics::elements::Quoted;
use crate::mechanics::pedal::Side;
use crate::mechanics::seat::Bears;
use crate::units::display::significant;
use crate::units::{Angle, System, Torque, Unit, si};

/// A side in words.
pub fn side(side: Side) -> &'static str {
    match side {
        Side::Drive => "drive side (the rider's right)",
        Side::NonDrive => "non-drive side (the rider's left)",
    }
}
/// A side as the agreed word.
pub fn side_word(side: Side) -> &'static str {
    match side {
        Side::Drive => "drive",
        Side::NonDrive => "non-drive",
    }
}

/// Which way to turn, for somebody who faces that side from outside.
pub fn turning(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "clockwise, seen from outside that side (right-hand thread)",
        Hand::Left => "anticlockwise, seen from outside that side (left-hand thread)",
    }
}

/// The same for a side of a job, with what has to be looked at where the job does not say the hand.
pub fn turning_of(side: &job::Side) -> String {
    let way = turning(side.assembly.thread.hand);
    let Some(doubt) = side.hand_doubt() else {
        return way.into();
    };
    let usual = match doubt {
        HandDoubt::Otherwise(Hand::Left) => "the row's usual hand for this side is left",
        HandDoubt::Otherwise(Hand::Right) => "the row's usual hand for this side is right",
        HandDoubt::NoRow => "no row says which hand is usual here",
    };
    format!(
        "{way}. The hand is not stated (thread.hand) and is taken as right-hand; {usual}: see which way the old fitting turns"
    )
}

/// What to set on the wrench, by what sits between it and the fitting.
pub fn on_wrench(a: &Assembly, system: System) -> String {
    let show = |l| Unit::Millimetre.show(si(l), system);
    match a.tightening.crowfoot {
        Some((wrench, extension)) if si(extension) > 0.0 => format!(
            "Set on the wrench, crowfoot straight in line, {} beyond the drive, {} from grip to drive",
            show(extension),
            show(wrench)
        ),
        _ => "Set on the wrench, nothing between it and the fitting".into(),
    }
}

/// What is wrong with the wrench at hand.
pub fn wrench(warning: &Warning, system: System) -> String {
    let show = |t: Torque| Unit::NewtonMetre.show(si(t), system);
    match warning {
        Warning::OutOfRange { set, range } => format!(
            "{} to set lies outside the wrench's range of {} to {}",
            show(*set),
            show(range.0),
            show(range.1)
        ),
        Warning::LowOnScale { set, least } => format!(
            "{} to set lies below {} on the wrench's scale; under that its reading says little",
            show(*set),
            show(*least)
        ),
        Warning::WrongDirection(Hand::Left) => {
            "this left-hand thread is tightened anticlockwise; the wrench measures clockwise alone"
                .into()
        }
        Warning::WrongDirection(Hand::Right) => {
            "this right-hand thread is tightened clockwise; the wrench measures anticlockwise alone"
                .into()
        }
    }
}

/// What bears, in words.
pub fn bears(bears: Bears) -> &'static str {
    match bears {
        Bears::Insert => "on the insert alone",
        Bears::Both => "on insert and frame together",
        Bears::Frame => "on the frame alone",
    }
}

/// What still holds if the glue lets go.
pub fn without_glue(holds: Holds) -> &'static str {
    match holds {
        Holds::Lip => {
            "If the glue lets go, the insert's lip keeps it from going inward; nothing keeps insert and fitting from coming outward together, or from turning"
        }
        Holds::Flange => {
            "If the glue lets go, the flange keeps the insert from going inward; nothing keeps both from coming outward together, or from turning"
        }
        Holds::Nothing => {
            "If the glue lets go, nothing holds insert and fitting: they come out, go in or turn together"
        }
    }
}
/// The agreed word for it.
pub fn holds_word(holds: Holds) -> &'static str {
    match holds {
        Holds::Lip => "lip",
        Holds::Flange => "flange",
        Holds::Nothing => "nothing",
    }
}

/// A clock position for an angle from 12 o'clock, to the half minute of the hour hand.
pub fn clock(at: Angle) -> String {
    let minutes = (si(at).to_degrees() * 2.0).round() as i64;
    let minutes = minutes.rem_euclid(720);
    let hour = if minutes / 60 == 0 { 12 } else { minutes / 60 };
    format!("{hour}:{:02}", minutes % 60)
}

/// The same among what is not examined.
pub const GAPS_NOT_EXAMINED: &str =
    "how the flange really bears: the gaps as read do not settle it";
/// Said wherever the seat is judged by gaps that do not settle it.
pub const GAPS_UNSETTLED: &str = "The gaps under the flange, as read, do not settle how it bears, so what is judged with them is open: see what `seat` says.";

/// A precondition: id, state and what it says.
pub fn preconditions(c: &Condition) -> [(&'static str, State, &'static str); 8] {
    [
        (
            "no_crack",
            c.no_crack,
            "No crack in insert, frame or fitting, looked for in good light",
        ),
        (
            "not_moved",
            c.not_moved,
            "The insert has not moved in the frame (no cracked paint or glue line, powder, step or play; a line across both still meets)",
        ),
        (
            "no_crash",
            c.no_crash,
            "No crash and no overload in its history",
        ),
        (
            "unregulated_use",
            c.unregulated_use,
            "No passenger, child seat, motor or regulated use hangs on this joint",
        ),
        (
            "face_clean",
            c.face_clean,
            "The seat is bare, clean and free of paint",
        ),
        (
            "thread_starts_by_hand",
            c.thread_starts_by_hand,
            "The fitting starts by hand and runs freely",
        ),
        (
            "prepared",
            c.prepared,
            "The surfaces were prepared as the job says",
        ),
        ("cured", c.cured, "The glue has cured in full"),
    ]
}

/// The agreed word for a state.
pub fn state(state: State) -> &'static str {
    match state {
        State::Confirmed => "confirmed",
        State::Failed => "failed",
        State::Unknown => "unknown",
    }
}

/// A caution's text.
pub fn caution(caution: Caution) -> &'static str {
    match caution {
        Caution::MakerFirst => {
            "The instructions of the makers of frame, fitting and adhesive come first; where a figure here differs, follow theirs."
        }
        Caution::PlanningAid => {
            "This is a planning aid. It knows your entries and nothing else; nobody has examined the part."
        }
        Caution::LocalRules => {
            "Law, trade rules and licensed persons where you are decide whether this work is done, and by whom."
        }
        Caution::NotCovered => {
            "Not covered: impact, metal fatigue, fire, hidden damage, and sections that are not round."
        }
        Caution::StopCrack => {
            "A crack in insert, frame or fitting ends the job: do not tighten, do not glue over it. Take it to the maker or to somebody able to examine it."
        }
        Caution::StopMoved => {
            "An insert that has moved in its glue is loose, whatever the figures say: find the cause before anything else."
        }
        Caution::OutsideScope => {
            "Passengers, child seats, motors, regulated use and parts after a crash lie outside what this tool looks at."
        }
        Caution::BondUnseen => "No look, no tap and no margin shows how well the glue has taken.",
        Caution::BondLost => {
            "Ask what holds the part if the glue lets go. If nothing does, ask the frame's maker; do not drill or pin the frame on your own."
        }
        Caution::WeakData => {
            "Something here is not known, and the weakest plausible value stands in for it; a measurement is worth more than a margin."
        }
        Caution::ProofOnce => {
            "A proof load is applied once, slowly, with a line across the joint; it is not a habit."
        }
        Caution::UndoWatch => {
            "When undoing: draw a line across insert and frame, stop at the first shift, and do not reach for a longer bar."
        }
        Caution::HeatLimit => {
            "The hottest temperature lies above what the adhesive's row has data for; nothing is said about the glue there."
        }
        Caution::IsolateMetal => {
            "These two materials corrode each other where it is wet: put an insulating ply or primer between them and seal the edge."
        }
        Caution::CleanFace => {
            "Paint, lacquer or dirt under the flange creeps and takes the clamp with it: bare the seat first."
        }
        Caution::FacingFinal => {
            "What is cut off a face does not come back: measure again before every cut, and keep the width limit in view."
        }
        Caution::TorqueState => {
            "The torque holds for this lubricant on thread and seat, this hand and this direction, with a calibrated wrench."
        }
        Caution::Recheck => {
            "After the first use: where the line across insert and frame still meets, tighten once more to the same torque; else stop."
        }
        Caution::ShopHazards => {
            "Dust of carbon and glass, solvents, uncured resin and the heat of a large mix, and freshly cut edges all do harm: mask, gloves, eyes, air."
        }
        Caution::OwnerStop => {
            "Stop using it at a new creak, a cracked line of paint, white powder, any shift, or after a crash."
        }
        Caution::SoftWall => {
            "The wall is soft against the insert and not held all along: the simple model understates the peel, most where the wall is held at the bond's end. `elements` works it out."
        }
        Caution::ThreadAtEnd => {
            "The thread reaches within 2 mm of the bond's inner end. There finite elements of such a sleeve gave twice the simple model's use of the glue and four times its peel, which no figure here counts: a shorter thread, or a longer bond, keeps clear of it."
        }
        Caution::SeatStiffness => {
            "With gaps under the flange the result hangs on a stiffness that has no source; the worst of half, one and two times it counts. Facing the seat true settles it."
        }
        Caution::SeatUnproven => {
            "A few hundredths decide whether the flange bears on the insert or on the frame. Measure the insert's face against the frame's with a straight edge and feelers, or mark it with blue; until then the worst of the ways counts."
        }
        Caution::GlueYields => {
            "The glue yields at its ends in ordinary service; its plastic part is meant for the rare load, not for every day."
        }
        Caution::PlyNotChecked => {
            "The first ply of the laminate may let go before the glue; its row has no strength across the plies, so it was not looked at."
        }
        Caution::NotSelfLocking => {
            "At the low friction the thread does not hold itself: it can unwind on its own."
        }
        Caution::MakerMissing => {
            "No maker's torque is entered (tightening.maker_torque): what stands here is arithmetic alone. Find the makers' figure of frame and fitting first; it rules."
        }
        Caution::UndoLocked => {
            "Thread locker in a bonded insert: undoing may turn the insert before the thread lets go."
        }
        Caution::Precession => {
            "A right-hand thread on the drive side is unwound by the turning load of pedalling: mark it and look again often."
        }
    }
}

/// Why a check is not judged, and the one thing that would settle it.
pub fn reason(reason: Reason) -> &'static str {
    match reason {
        Reason::InsertMaterialUnknown => "insert.material is unknown: the alloy's name settles it",
        Reason::FrameMaterialUnknown => "frame.material is unknown: the wall's material settles it",
        Reason::FittingMaterialUnknown => {
            "fitting.material is unknown: the alloy's name settles it"
        }
        Reason::AdhesiveUnknown => {
            "bond.adhesive is unknown: its class, from the maker or the tube, settles it"
        }
        Reason::PreparationUnknown => {
            "bond.preparation is unknown: how the surfaces were prepared settles it"
        }
        Reason::VoidsUnknown => {
            "bond.voids is unknown: a tap map can show where glue is missing, never how well the rest holds; enter what it shows"
        }
        Reason::CureUnknown => {
            "bond.cure_temperature is unknown: the temperature at which it set settles it"
        }
        Reason::PreparedUnknown => "condition.prepared is not confirmed",
        Reason::CuredUnknown => "condition.cured is not confirmed",
        Reason::FaceCleanUnknown => "condition.face_clean is not confirmed",
        Reason::StartsByHandUnknown => "condition.thread_starts_by_hand is not confirmed",
        Reason::InsertShearMissing => {
            "the insert's material row has neither shear nor tensile strength"
        }
        Reason::FittingShearMissing => {
            "the fitting's material row has neither shear nor tensile strength"
        }
        Reason::InsertYieldMissing => "the insert's material row has no yield",
        Reason::FittingYieldMissing => "the fitting's material row has no yield",
        Reason::FaceStrengthMissing => {
            "seat.face_strength is missing: a laminate's row has none of its own"
        }
        Reason::FrameShearMissing => {
            "the frame's material row has neither shear nor tensile strength"
        }
        Reason::FramePlyShearMissing => "the frame's material row has no interlaminar_shear",
        Reason::ClampedMaterialUnknown => {
            "clamped.material is unknown: the name of the part's material settles it"
        }
        Reason::AnodicIndexMissing => {
            "a material row has no anodic_index; a wall that does not conduct says conducts = false"
        }
        Reason::NoLoad => "no load is entered: [pedalling] or [loads] is missing",
        Reason::NoEngagement => {
            "no thread is engaged: thread.engaged less thread.incomplete and damage leaves nothing"
        }
        Reason::HotterThanAdhesive => "bond.hottest lies above the adhesive's hot_temperature",
        Reason::SoftWall => {
            "the wall is too soft against the insert for this model: see frame.outer_diameter, or ask somebody able to compute it"
        }
        Reason::NotConverged => "the contact of the seat did not converge",
        Reason::NoElements => {
            "the finite elements have no answer for this assembly: `elements` says why"
        }
    }
}

/// A remark on a check.
pub fn note(note: Note) -> &'static str {
    match note {
        Note::ShearFromTensile => "shear strength taken as 0.6 of the tensile",
        Note::WallUnsupported => "support by glue and frame left out, on the cautious side",
        Note::FlangeApproximate => "flange taken as a strip bent about the neck: approximate",
        Note::OtherPedalWorse => "the pedal of the other side makes this one worse",
        Note::NothingOpens => "no moment and no load across the axis",
        Note::InformsOnly => {
            "for information: some creep is to be expected here; mark it, look for a shift"
        }
        Note::LockerCured => {
            "thread locker has cured in the thread, and the reserve here is for a thread without it: it says nothing of undoing until what that takes is entered (tightening.removal_torque)"
        }
        Note::OutsideBand => {
            "the layer lies outside the adhesive's band of gaps: its strengths do not hold there"
        }
        Note::NoCureOnWall => "this kind of adhesive does not cure on this wall",
        Note::Isolated => "isolated, as declared in bond.isolated",
        Note::ColdOnly => "judged at the coldest alone: the hottest lies above the adhesive's row",
        Note::SoftWall => {
            "verdict with the ratio divided for a soft wall (bond.soft_wall_factor); the ratio itself is as computed"
        }
        Note::WorstBearing => {
            "verdict is the worst of bearing on the insert, on both, on the frame"
        }
        Note::WorstStiffness => {
            "verdict is the worst of half, one and two times the seat's stiffness"
        }
        Note::RestsOnUnknown => "the weakest plausible value stands in for what is unknown",
        Note::SolidScrew => {
            "a solid screw in the bore can raise the radial thermal stress by up to a fifth; left out"
        }
        Note::WallBends => {
            "the wall bends with the insert: elements gave 1.5 times this use of the glue in a wall 1.5 times as stiff in shear as the insert, 1.05 times in one 3 times as stiff; not counted here"
        }
        Note::ThreadAtEnd => {
            "the thread reaches within 2 mm of the bond's inner end: elements gave 2.2 times this use of the glue there; not counted here"
        }
        Note::ElementsUnsettled => {
            "the mesh of the elements did not settle within the work allowed: take the last digits with care"
        }
        Note::ByElements => "judged on finite elements of the assembly (`elements`)",
        Note::PreconditionFailed => "a precondition has failed",
        Note::NotSelfLocking => {
            "the thread does not hold itself: its part of the removal torque is taken as 0"
        }
        Note::NothingPulls => "no outward load, and no preload on the wall's face",
        Note::PushedIn => "pushed inward: the plug is as wide as what reaches furthest out",
        Note::PlugApproximate => {
            "a plug of even shear through a solid wall as thick as the bond is long: approximate"
        }
        Note::ClampedCrushes => "the weaker face is that of the part between head and boss",
    }
}

/// Said of the neck of a fitting in a crank housing whose bore the job leaves out.
pub const TAKEN_AS_SOLID: &str = "fitting.bore is not given and the fitting is taken as solid; the neck of a hollow cup is far weaker: measure its bore";

/// What to do where another reading, and no ratio, decides.
pub fn remedy(note: Note) -> Option<&'static str> {
    match note {
        Note::WorstBearing => Some(
            "measure how far the insert's face stands from the frame's, and enter it with its tolerance in insert.face_offset; until then the worst way of bearing counts",
        ),
        Note::WorstStiffness => Some(
            "face the seat true: with gaps under the flange a stiffness decides that has no source",
        ),
        Note::SoftWall => Some(
            "stiffen the wall, or hold it nearer to the insert; the simple model has no better answer for a wall this soft: ask somebody able to compute it",
        ),
        _ => None,
    }
}

/// Where to stop undoing, or why no torque is named for it.
pub fn stop(stop: &Result<Stop, Withheld>, system: System) -> String {
    const HOLD: &str =
        "hold the insert itself while undoing, or take it to somebody able to examine it";
    let stop = match stop {
        Ok(stop) => stop,
        Err(why) => {
            return format!(
                "no torque at which to stop is named, {}; {HOLD}",
                withheld(*why)
            );
        }
    };
    if si(stop.torque) <= 0.0 {
        return if stop.by_neck {
            "no torque is named: the preload at its high end alone takes up what the fitting's neck stands with its required reserve (neck.removal.limit). Where it does not come with little, take it to somebody able to examine it".into()
        } else {
            format!("no torque leaves the glue the reserve that is required; {HOLD}")
        };
    }
    let ruled_by = if stop.by_neck {
        "the fitting's neck keeps its required reserve no further (neck.removal.limit)"
    } else {
        "the glue keeps its required reserve no further (bond.removal.limit)"
    };
    let open: Vec<&str> = stop.unknown.iter().flatten().map(|r| reason(*r)).collect();
    let rests = if open.is_empty() {
        String::new()
    } else {
        format!(". That torque is not judged: {}", open.join("; "))
    };
    format!(
        "stop at the first shift, sound or powder, at whatever torque. By the figures alone nothing is kept beyond {}: {ruled_by}; that is no torque to work up to, and the glue may let go far below it{rests}",
        Unit::NewtonMetre.show(si(stop.torque), system)
    )
}

/// Why no torque is named at which to stop undoing.
pub fn withheld(why: Withheld) -> &'static str {
    match why {
        Withheld::Refused => "because what was found forbids any figure",
        Withheld::NotPrepared => {
            "because the surfaces were not prepared as the job says (prepared)"
        }
        Withheld::NotCured => "because the glue has not cured (cured)",
        Withheld::NotLooked => {
            "because not all of [condition] that it stands on is confirmed; stop at the first shift, sound or powder"
        }
    }
}

/// Where the torque comes from at which undoing is judged.
pub fn removal_source(stated: bool) -> &'static str {
    if stated {
        "as entered"
    } else {
        "the loosening torque at preload high and high friction; a seized fitting takes far more: enter what it takes (tightening.removal_torque)"
    }
}

/// The torque to aim for in words, or why none is named.
pub fn aim(aim: Aim) -> &'static str {
    match aim {
        Aim::Own(_) => "the job's own torque lies inside",
        Aim::Middle(_) => "the middle; the job's own torque lies outside",
        Aim::UpperEnd(_) => "the upper end; the job's own torque lies above it",
        Aim::LowerEnd(_) => "the lower end; the job's own torque lies below it",
        Aim::NotJudged => "the job is not judged",
        Aim::ShortInside => {
            "inside the bounds, too, a check falls short for what a torque does not change"
        }
        Aim::Empty => "no torque meets every limit",
    }
}

/// What to do about a check that does not meet, for this use and this cause; the most telling thing first.
pub fn advice(id: CheckId, c: &Causes) -> String {
    let mut steps: Vec<&str> = Vec::new();
    let nearer = if c.boss {
        "bring the load nearer to the face, or lessen it"
    } else {
        "choose a fitting whose bearing sits nearer to the face"
    };
    let less =
        "set less torque, not below the makers' range (if the range forbids it, use another part)";
    let more = "raise the torque within the window";
    let onto_insert = "let the flange bear on the insert";
    match id {
        CheckId::StripExternal | CheckId::StripInternal | CheckId::Hoop | CheckId::Engagement
            if c.no_thread =>
        {
            steps.push(
                "engage the thread: as entered, no full turn of it carries (thread.engaged, thread.incomplete, damage)",
            );
        }
        CheckId::StripExternal => steps.extend([
            "engage more thread",
            "use a fitting of stronger metal",
            less,
        ]),
        CheckId::StripInternal => steps.extend([
            "engage more thread",
            "use an insert of stronger metal or with a larger thread",
            less,
        ]),
        CheckId::Hoop => steps.extend([
            "give the insert a thicker wall or a stronger metal",
            "engage more thread",
            less,
        ]),
        CheckId::Neck => steps.extend([
            less,
            "use a fitting with a thicker neck or of stronger metal; a better lubricant raises the preload, so never add one without lowering the torque",
        ]),
        CheckId::Flange => steps.extend([
            "use a fitting with a thicker flange or of stronger metal",
            "bring the seat closer to the neck",
            less,
        ]),
        CheckId::BondTightening => {
            if !c.on_insert {
                steps.push("let the flange bear on the insert, so that the preload closes in metal");
            }
            steps.push(less);
            steps.push("hold the insert itself while tightening");
            steps.push("lengthen the bond, which helps less");
        }
        CheckId::BondRemoval => {
            steps.push("hold the insert itself while undoing");
            steps.push("assemble it with the lubricant its maker names, at the torque for that lubricant; it may then come undone with less");
        }
        CheckId::BondServiceCold if c.cold_by_temperature => {
            steps.push("choose insert and wall whose expansions lie closer: the cold does this more than the load");
            steps.push(if c.warm_cure {
                "ask the adhesive's maker for one that cures nearer to room temperature or gives more"
            } else {
                "ask the adhesive's maker for one that gives more"
            });
        }
        CheckId::BondServiceHot if c.hot_by_temperature => steps.extend([
            "choose insert and wall whose expansions lie closer: the heat does this more than the load",
            "keep it cooler",
        ]),
        CheckId::BondServiceCold => {
            steps.push(nearer);
            if !c.on_insert {
                steps.push(onto_insert);
            }
            steps.push("lengthen the bond");
        }
        CheckId::BondServiceHot => {
            steps.push(nearer);
            steps.push("choose an adhesive with more left at that temperature");
        }
        CheckId::BondEndurance => {
            if c.uneven {
                steps.push("face the seat true");
            }
            if c.cold_by_temperature || c.hot_by_temperature {
                steps.push(
                    "choose insert and wall whose expansions lie closer: temperature takes more of it than the load",
                );
            }
            steps.push(nearer);
            steps.push("lengthen the bond");
        }
        CheckId::BondSustained => steps.push(
            "let the flange bear on the insert: glue creeps under a load that never leaves it",
        ),
        CheckId::SeatCrush => {
            if c.clamped {
                steps.push("put a washer under the head");
            } else if c.wall_crushes {
                steps.push("let the flange bear on the metal of the insert");
            }
            steps.push("widen the ring that bears");
            steps.push(less);
        }
        CheckId::SeatOpen => {
            if c.nothing_left {
                steps.push(
                    "keep some preload: at low torque and high friction all of it is lost. A lubricant that the maker allows, or tightening again after the first use, leaves more",
                );
            }
            if c.uneven {
                steps.push("face the seat true over its whole ring");
            }
            steps.extend((!c.no_window).then_some(more));
            steps.push(nearer);
        }
        CheckId::SeatSlip if c.boss => {
            steps.extend((!c.no_window).then_some(more));
            steps.push("take the load across the axis by a close fit or a dowel");
        }
        CheckId::SeatSlip => steps.push(
            "keep the lubricant and torque the makers name, draw a line across fitting and frame, and look again for a shift or black dust",
        ),
        CheckId::TorqueMaker => steps.push("keep to the maker's torque"),
        CheckId::Galvanic => {
            steps.push("put an insulating ply or primer between the two, and seal the edge");
        }
        CheckId::Engagement => steps.push(
            "engage more thread: a longer fitting, or an insert whose thread begins nearer to the face",
        ),
        CheckId::FramePullThrough => steps.push(
            "spread the pull: a flanged insert from the other side, a bonded plate behind the wall, or a thicker wall",
        ),
        CheckId::FrameEdge => {
            steps.push("move the boss away from the edge, or thicken the wall towards it");
        }
    }
    steps.join("; or ")
}

/// What a check compares, and where that holds.
pub fn judged(id: CheckId) -> (&'static str, &'static str) {
    match id {
        CheckId::StripExternal => (
            "the preload at its high end, raised by the prying of the load, against what strips the fitting's thread",
            "static; the whole ring is taken to carry the highest line load; fatigue of the first thread is not examined",
        ),
        CheckId::StripInternal => (
            "the preload at its high end, raised by the prying of the load, against what strips the insert's thread",
            "static; the whole ring is taken to carry the highest line load; fatigue of the first thread is not examined",
        ),
        CheckId::Hoop => (
            "the preload at its high end, raised by the prying of the load, against what makes the insert's wall yield outward",
            "first yield; support by glue and frame left out, on the cautious side",
        ),
        CheckId::Neck => (
            "tension, raised by the prying of the load, and torsion of tightening in the fitting's neck against its yield",
            "first yield at the outside of the neck; fatigue is not examined",
        ),
        CheckId::Flange => (
            "bending at the root of the fitting's flange, raised by the prying of the load, against its yield",
            "the flange taken as a strip bent about the neck: approximate; first yield",
        ),
        CheckId::BondTightening => (
            "the use of the glue by preload and torque of tightening, at 20 °C with its thermal stress, no ageing",
            "elastic stresses against strengths raised by the glue's ductility; no fillets, no creep; how well it has taken is not seen",
        ),
        CheckId::BondRemoval => (
            "the use of the glue by the torque of undoing alone, at 20 °C with its thermal stress, ageing counted",
            "the loosening torque at high friction stands in for a seized fitting, unless the job states one; a thread locker that has cured is not counted",
        ),
        CheckId::BondServiceCold => (
            "the use of the glue by preload, high or low, whichever is worse, and every load of service, at the coldest",
            "elastic stresses against strengths raised by the glue's ductility: for the rare load; section stays round, frame rigid in rocking",
        ),
        CheckId::BondServiceHot => (
            "the use of the glue by preload, high or low, whichever is worse, and every load of service, at the hottest",
            "elastic stresses against strengths raised by the glue's ductility: for the rare load; section stays round, frame rigid in rocking",
        ),
        CheckId::BondEndurance => (
            "at one point of the glue, the static part with half of the pulsating part against what the glue stands once, and half of the pulsating part against what it stands often; coldest and hottest, whichever is worse",
            "for as many cycles as the adhesive's row holds; cases of the sort `rare` do not count; section stays round, frame rigid in rocking",
        ),
        CheckId::BondSustained => (
            "the use of the glue by the preload that hangs on it for good, at the hottest, against its share for lasting load",
            "only where a part of the seat is on the frame; no thermal stress: it relaxes; no creep law",
        ),
        CheckId::SeatCrush => (
            "the peak pressure on the face under load, at preload high, against what the face stands; of several faces the one with the least reserve",
            "the flange stiff against the seat; the seat's stiffness is a choice without a source",
        ),
        CheckId::SeatOpen => (
            "the moment of the load about the face against the moment that opens the seat, at preload low",
            "the flange stiff against the seat; with gaps the lowest of 72 directions",
        ),
        CheckId::SeatSlip => (
            "the load across the axis against friction of the seat and centring of the thread, at preload low and low friction",
            "micro-slip, not ruin; in a crank housing for information",
        ),
        CheckId::TorqueMaker => (
            "the job's torque against the range of the makers, whichever of its ends is nearer",
            "nothing is computed: the makers' figures are taken as entered, at the fitting",
        ),
        CheckId::Galvanic => (
            "the difference of anodic index between insert and frame against the limit of the environment",
            "says nothing about the rate; where it is dry, or with a barrier as declared, nothing flows",
        ),
        CheckId::Engagement => (
            "the engaged length against the length that stripping and hoop yield need for their own ratios",
            "in proportion: all three capacities grow with the engaged length",
        ),
        CheckId::FramePullThrough => (
            "the force on the wall around the insert against what shears a plug out of it",
            "a solid wall as thick as the bond is long; no panel bending, no core",
        ),
        CheckId::FrameEdge => (
            "the load across the axis against what tears the boss out towards the free edge",
            "two shear planes, even shear; bearing of the bore's wall not looked at",
        ),
    }
}

/// A check that the joint as stated does not have.
const ANOTHER_READING: &str =
    "as stated there is nothing to judge; another reading of what is not known decides";

/// Why a check's verdict is what it is.
pub fn why(check: &Check) -> String {
    if check.notes.has(Note::PreconditionFailed) {
        return "a precondition that it stands on has failed".into();
    }
    match (check.verdict, check.reason) {
        (Verdict::NotJudged, Some(why)) => reason(why).into(),
        (Verdict::NotJudged, None) => "nothing can be said".into(),
        (Verdict::Refused, _) => "a precondition forbids any judgement".into(),
        (Verdict::FallsShort, _) if check.ratio.is_nan() => ANOTHER_READING.into(),
        (Verdict::FallsShort, _) if check.margin() >= 0.0 => {
            "the margin is 0 or more as stated, yet what the verdict is divided by, or another reading, brings it below 0".into()
        }
        (Verdict::FallsShort, _) => "the margin is below 0".into(),
        (Verdict::Marginal, _) if check.ratio.is_nan() => ANOTHER_READING.into(),
        (Verdict::Marginal, _) if check.margin() >= 0.25 => {
            "the margin is 0.25 or more as stated, yet what the verdict is divided by, or another reading, brings it below".into()
        }
        (Verdict::Marginal, _) => "the margin is 0 or more, yet below 0.25".into(),
        (Verdict::Meets, _) if check.margin().is_infinite() => "nothing is asked of it".into(),
        (Verdict::Meets, _) if check.margin() < 0.25 => {
            "the torque lies within the makers' range".into()
        }
        (Verdict::Meets, _) => "the margin is 0.25 or more".into(),
    }
}

/// Another reading of what the job leaves open.
pub fn reading(reading: Reading) -> String {
    match reading {
        Reading::Bearing(way) => format!("bearing {}", bears(way)),
        Reading::Stiffness(factor) => format!("{factor} times the seat's stiffness"),
    }
}

/// What to do where nobody knows the state of thread and seat.
pub const FIND_FRICTION: &str = "find out how thread and seat are lubricated, or clean and lubricate them as the maker says, and enter it (tightening.lubrication)";

/// Where the check of the maker's torque takes its figures from.
pub const MAKER_SOURCE: &str =
    "the job's own entries: tightening.torque against tightening.maker_torque";

/// How a section is read.
pub const SECTION_LEGEND: &str = "lines with arrows: way of the preload; black: glue";
/// What the drawings of the second page show.
pub const OF_GLUE: &str = "Stress in the glue, in service";
/// The same of the turns.
pub const OF_TURNS: &str = "Load of each turn, at the high preload";
/// Above what is assumed and where it comes from.
pub const IN_SHORT: &str = "Reasons and sources in few words; `check` has them in full.";
/// The head of a sheet of a refused job.
pub const STOP: &str = "Stop. Refused, because this is not met:";
/// The same where a precondition that forbids less is not met.
pub const NOT_MET: &str = "Not met; put it right before any work:";
/// The same where nobody has looked.
pub const NOT_CONFIRMED: &str =
    "Not confirmed; look before any work, and enter in [condition] what you find:";
/// Beside a torque to aim for that no maker's figure bounds.
pub const NO_MAKER_HELD: &str = ", no maker's figure was held against it";
/// What a refused job asks for.
pub const TAKE_IT: &str = "Take it to the maker or to somebody able to examine it";
/// The same where `repair` has a route of its own.
pub const SEE_REPAIR: &str = "See what `repair` says, or take it to the maker";
/// The torque on the sheet.
pub const AT_FITTING: &str = "Torque at the fitting";
/// Where the torque on the sheet is another than the job's.
pub const NOT_THE_JOBS_OWN: &str = "Not judged at this torque yet: enter it and check again";
/// How the bounds of a window are read.
pub const WINDOW_LEGEND: &str = "≥ no less than, ≤ no more than; a line shows where a limit is kept; * for information, ? rests on an unknown; dash-dotted: the job's own torque";
/// What is filled in by hand.
pub const BLANKS: &[&str] = &[
    "Torque applied, and turned which way",
    "Wrench, and when it was calibrated",
    "Lubricant on thread and seat",
    "Gaps under the flange, with clock positions",
    "Torque that it took to undo",
    "Glue: batch, date, temperature while it cured",
    "Measured by, date",
    "Worked by, date",
];
/// What a tick and a name are worth.
pub const CLEARS_NOTHING: &str =
    "A tick or a name records what was seen and done. It clears nothing and changes no verdict.";

/// What no command of this version looks at.
pub const NOT_EXAMINED: &[&str] = &[
    "fatigue of the neck and of the first thread",
    "impact, fire, hidden damage, sections that are not round",
    "how well the glue has taken: nothing here can see it",
    "what warmth does to the preload, and cold to the glue's strength",
];
/// What of pedalling is left out.
pub const PEDALLING_NOT_EXAMINED: &str =
    "the load's turn from pedal to pedal (each swings from rest), a push inward";
/// The parent around the insert where it is not judged.
pub const PARENT_NOT_EXAMINED: &str = "pull-through and edge distance of the parent";
/// The edge of the parent where the job does not say how far it is.
pub const EDGE_NOT_EXAMINED: &str =
    "distance of the boss from a free edge: frame.edge_distance is not given";
/// A part between head and boss is looked at as a spring and as a face, no more.
pub const CLAMPED_NOT_EXAMINED: &str =
    "bending, sliding, creep and warmth of the part between head and boss";

/// What is drawn, by name, and what makes it better known.
pub fn contributor(input: &scatter::Input) -> (String, String) {
    let greased = input
        .lubrication
        .as_deref()
        .is_some_and(|l| l.contains("greas") || l.contains("oil"));
    let grease = |part: &str| {
        if greased {
            format!(
                "no torque wrench can split friction from clamp: clean both parts, use fresh lubricant of one kind on {part}, turn slowly to one torque; the spread left is real"
            )
        } else {
            format!(
                "lubricate {part} as its maker says (that raises the preload: `torque` says how much less to set)"
            )
        }
    };
    let own = |name: &str, advice: &str| (name.to_string(), advice.to_string());
    let path = input.path.as_str();
    if input.source == scatter::Source::SeatStiffness {
        return own(
            "the seat's stiffness, for which there is no source,",
            "no reading helps; take up the gaps (face the seat) and it matters no more",
        );
    }
    if let Some(at) = &input.at {
        return (format!("the gap at {at}"), "read it again".into());
    }
    let last = path.rsplit('.').next().unwrap_or(path);
    match last {
        "thread_friction" => ("the thread friction".into(), grease("the thread")),
        "seat_friction" => ("the seat friction".into(), grease("the seat")),
        "torque" if input.source == scatter::Source::Of(vary::Origin::Tool) => own(
            "the wrench's own error",
            "use a wrench with a smaller error, or one that was calibrated lately",
        ),
        "torque" if path.contains("tightening") => own(
            "the torque",
            "tighten with a calibrated wrench, slowly, to one figure",
        ),
        "face_offset" => own(
            "the step between insert and frame",
            "measure it with a straight edge and feelers across both faces",
        ),
        "thickness" if path.contains("bond") => own(
            "the thickness of the glue",
            "measure bore and insert at several places",
        ),
        "bore" if path.contains("bond") => own(
            "the bore for the glue",
            "measure it at several places and depths",
        ),
        "voids" => own(
            "the share without glue",
            "glue a trial joint and cut it open; a tap map of this one shows gaps only",
        ),
        "engaged" => own(
            "the engaged length of the thread",
            "measure it: count the turns",
        ),
        "bearing_outboard" => own("the bearing's distance from the face", "measure it"),
        "force" if path.contains("pedalling") => own(
            "the pedal force",
            "decide by rider and use which force to count on, or weigh the rider",
        ),
        _ if path.starts_with("adhesive.") || path.contains(".adhesive.") => (
            format!("the glue's {} ({path})", last.replace('_', " ")),
            "test coupons of this batch, or ask its maker for limits".into(),
        ),
        _ if path.starts_with("material.") || path.contains(".material.") => (
            format!("the material's {} ({path})", last.replace('_', " ")),
            "ask for the supplier's test report of this stock".into(),
        ),
        _ if path.starts_with("loads.") || path.contains(".loads.") => (
            format!("the load {path}"),
            "find out what it is at most".into(),
        ),
        _ => (path.to_string(), "measure it again".into()),
    }
}

/// Sorts of figures that elements and simple models are compared in, by the beginning of their ids.
pub const FAMILIES: [&str; 8] = [
    "elements.thread_stiffness",
    "elements.first_turn",
    "elements.seat.share",
    "elements.axial",
    "elements.torsion",
    "elements.rocking",
    "elements.thermal",
    "elements.insert.stress",
];

/// Why elements and simple model part in a sort of figure, and which to believe; `above`: the elements have more.
pub fn parted(family: &str, above: bool) -> &'static str {
    match (family, above) {
        ("elements.thread_stiffness", _) => {
            "The walls shear and the faces sink, which bars do not. Believe the elements for the stiffness. What a load adds to the thread was worked out with the simple one."
        }
        ("elements.first_turn", _) => {
            "The walls shear across their thickness, so the load runs in differently. Believe the elements."
        }
        ("elements.seat.share", _) => {
            "The faces give way under the flange and share it anew; the simple share takes them for rigid below their first layer. Believe the elements where both parts stand level, and measure that."
        }
        ("elements.axial", true) => {
            "Face and walls bend under the seat and the load runs in differently than bars let it. Believe the elements: here the simple model is on the wrong side."
        }
        ("elements.axial", false) => {
            "Bars bring the whole shear to the face, where real walls shear and spread it. Believe the elements; the simple model is the careful one."
        }
        ("elements.torsion", true) => {
            "The wall gives way in shear between face and hold. Believe the elements."
        }
        ("elements.torsion", false) => {
            "The walls shear across their thickness and spread the torque. Believe the elements; the simple model is the careful one."
        }
        ("elements.rocking", true) => {
            "The section does not stay round and the frame bends with the insert, which the beam in a rigid frame leaves out. Believe the elements: in this stress the simple model is on the wrong side; the reserves above count all together."
        }
        ("elements.rocking", false) => {
            "The wall takes part of the moment that the beam gives to the glue. Believe the elements; in this stress the simple model is the careful one."
        }
        ("elements.thermal", true) => {
            "The walls pull on each other along the axis too, and bend at their ends. Believe the elements: the simple rings are on the wrong side."
        }
        ("elements.thermal", false) => {
            "Real walls shear across their thickness and give way. Believe the elements; the simple model is the careful one."
        }
        (_, true) => {
            "A bar has no bending and no squeeze; a ring between face, thread and glue has both. Believe the elements, notches of the thread left out."
        }
        (_, false) => "The wall passes its load on sooner than a bar does. Believe the elements.",
    }
}

/// Why elements and simple model cannot be set side by side.
pub fn no_cross_check(e: &NoCrossCheck) -> String {
    match e {
        NoCrossCheck::Model(why) => reason(*why).to_string(),
        other => other.to_string(),
    }
}

/// Said where a picture is asked for and there are no elements.
pub const NO_ELEMENTS: &str =
    "the elements have no answer for this job, or a precondition forbids any figure";

/// The caution of a soft wall where elements have looked at it; `over`: use of the glue over the simple model's.
pub fn soft_wall_by_elements(over: f64) -> String {
    format!(
        "The wall is soft against the insert: the simple model does not hold. Finite elements of this assembly use the glue {} times as much in service, and that counts.",
        significant(over, 2)
    )
}

/// What moved most when the mesh was halved.
pub fn quoted(what: Quoted) -> &'static str {
    match what {
        Quoted::Along => "shear along the axis",
        Quoted::Across => "stress across the glue",
        Quoted::Around => "shear round the axis",
        Quoted::EndMean => "a mean over an end",
        Quoted::ThreadStiffness => "stiffness of the threaded joint",
        Quoted::FirstTurn => "share of the first turn",
    }
}
