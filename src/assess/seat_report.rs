//! The face under the flange: its plane, the ring that bears, what to face off, the width that is left.
//!
//! The gap is that of the coupled model: straight between readings, from the least of them. A cut of depth
//! c takes `c` off the highest place, square to the thread, and leaves `max(g − g_min − c, 0)`; the contact is
//! then solved again at preload low.

use super::caution::{self, Caution, Cautions};
use super::check::{CheckId, Verdict};
use super::closed;
use super::values::{CONTACT, Method, Put, Step, put, titled};
use super::{Evaluation, NoSeat, Raw, SEAT_STIFFNESS_FACTORS, evaluate, need, refusal};
use crate::job::assembly::*;
use crate::job::readings::Widths;
use crate::mechanics::contact::{self, SeatContact};
use crate::mechanics::formula;
use crate::mechanics::pedal::Side;
use crate::mechanics::plane::{self, Plane, Shape as Left, TooFew};
use crate::mechanics::seat::{Bears, Part, Ring};
use crate::units::*;
use std::f64::consts::TAU;

/// Most that is usually faced off a side (mm): common practice, no source.
pub const USUAL_CUT_MM: f64 = 0.3;
/// Good work and the acceptable limit of parallelism of two faces (mm): common practice, no source.
pub const PARALLEL_GOOD_MM: f64 = 0.05;
/// See [`PARALLEL_GOOD_MM`].
pub const PARALLEL_LIMIT_MM: f64 = 0.10;
/// Narrowest seat that is looked at for a smaller flange (mm): common practice, no source.
pub const NARROWEST_SEAT_MM: f64 = 1.5;
/// Widest interval of a reading that settles how a flange bears (mm): common practice, no source.
pub const COARSE_READING_MM: f64 = 0.05;
/// Least depth that a cut by hand is trusted to keep to (mm): common practice, no source.
pub const LEAST_CUT_MM: f64 = 0.02;
/// Least places at which a leaf that goes in all round is a finding.
const PLACES_ALL_ROUND: usize = 6;
/// Trial depths between none and the whole gap.
const TRIALS: u32 = 40;
/// The least preload that a state is computed with (N), as in the coupled model.
const LEAST_PRELOAD_N: f64 = 0.01;

/// How a place bears at preload.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Touch {
    /// Over the whole width of the ring.
    Whole,
    /// Over a part of it.
    Part,
    /// Nowhere.
    None,
}

/// One of twelve places around the ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Hour, 1 to 12.
    pub hour: u32,
    /// Gap there, straight between the readings.
    pub gap: Length,
    /// A reading was taken there.
    pub read: bool,
    /// How it bears at preload, where that could be solved.
    pub touch: Option<Touch>,
}

/// The ring that bears, before and after facing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Preload low.
    pub preload: Force,
    /// Share of the ring that bears as it is.
    pub before: Ratio,
    /// The same with half and with twice the seat's stiffness, the lesser and the greater.
    pub before_range: (Ratio, Ratio),
    /// Least depth that brings the share required; nothing where none does.
    pub depth: Option<Length>,
    /// The same with half and with twice the seat's stiffness.
    pub depth_range: Option<(Length, Length)>,
    /// Depth that cleans the whole ring up: greatest less least gap.
    pub whole: Length,
    /// Depth that the prediction after facing is for.
    pub planned: Length,
    /// It was stated by the user.
    pub stated: bool,
    /// Share of the ring after that.
    pub after: Ratio,
}

/// A flange of another size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SmallerFlange {
    /// Its diameter.
    pub diameter: Length,
    /// Share of its own ring that bears at the same torque, nothing cut.
    pub share: Ratio,
    /// Crushing of the face: reserve and what is required.
    pub crush: Option<(f64, f64)>,
    /// Opening under load: reserve and what is required.
    pub open: Option<(f64, f64)>,
    /// It serves better than facing.
    pub better: bool,
}

/// What the smaller flange comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Flange {
    /// Enough of the ring bears as it is.
    NotNeeded,
    /// The largest smaller one that bears on enough.
    Smaller(SmallerFlange),
    /// None down to this diameter bears on enough.
    None(Length),
}

/// Why the readings do not settle how the flange bears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// At fewer places than a plane needs.
    TooFew,
    /// A leaf goes in at every place that was read, yet the flange must touch somewhere.
    OpenAllRound,
    /// At some place nothing thinner was tried than a leaf that does not go.
    Coarse,
}

/// Does something keep the readings from settling how the flange bears? Nothing is in doubt without readings.
pub fn doubt(a: &Assembly) -> Option<Doubt> {
    let gaps = &a.seat.gaps;
    if gaps.is_empty() {
        None
    } else if plane::places(&readings(a, mm(0.0))) < 3 {
        Some(Doubt::TooFew)
    } else if gaps.iter().all(|g| g.gap.low > mm(0.0)) {
        Some(Doubt::OpenAllRound)
    } else if gaps
        .iter()
        .any(|g| g.gap.high - g.gap.low > mm(COARSE_READING_MM + 1e-6))
    {
        Some(Doubt::Coarse)
    } else {
        None
    }
}

fn readings(a: &Assembly, feeler_error: Length) -> Vec<plane::Reading> {
    a.seat
        .gaps
        .iter()
        .map(|g| {
            let (half, standard) = interval(&g.gap, feeler_error);
            plane::Reading {
                at: g.at,
                value: g.gap.nominal,
                half,
                standard,
            }
        })
        .collect()
}

/// Where the face is high, by the plane through its gaps, and by how much the greatest gap exceeds the least;
/// nothing where the readings show no tilt or do not settle it.
pub fn high_place(a: &Assembly, feeler_error: Length) -> Option<(Angle, Length)> {
    if doubt(a).is_some() {
        return None;
    }
    let plane = plane::fit(&readings(a, feeler_error)).ok()?;
    let gaps = a.seat.gaps.iter().map(|g| si(g.gap.nominal));
    let (least, most) = gaps.fold((f64::INFINITY, 0.0f64), |(l, m), g| (l.min(g), m.max(g)));
    (!plane.is_true()).then(|| (plane.least_at, from_si(most - least)))
}

/// What a cut takes from the part that stands proud.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProudLost {
    /// By how much it stands proud.
    pub proud: Length,
    /// It is the insert that does; else the frame.
    pub insert: bool,
}

/// The face of one side.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// Outer radius of the ring.
    pub outer: Length,
    /// How the flange bears.
    pub bears: Bears,
    /// Flange beyond its support, per side.
    pub unsupported: Length,
    /// Readings with their half intervals.
    pub readings: Vec<plane::Reading>,
    /// The plane through them.
    pub plane: Result<Plane, TooFew>,
    /// Tilt as an angle.
    pub angle: Option<Angle>,
    /// What is left over the plane.
    pub left: Option<Left>,
    /// Why the readings do not settle how the flange bears.
    pub doubt: Option<Doubt>,
    /// The planned cut takes the part that bears below the other, so that this one bears as well.
    pub proud_lost: Option<ProudLost>,
    /// So many places were read that the face must fall away, or touch between them.
    pub falls_away: bool,
    /// The largest arc without a reading.
    pub widest_arc: Angle,
    /// The contact; nothing without readings, or where the model has no answer.
    pub contact: Option<Contact>,
    /// The face clock.
    pub places: Vec<Place>,
    /// A flange of another size.
    pub flange: Option<Flange>,
    /// Verdict on the share that bears.
    pub verdict: Verdict,
    /// Cautions.
    pub cautions: Cautions,
    around: plane::Around,
    side: Side,
    stated: Option<Length>,
}

impl Face {
    /// Largest half interval of the readings.
    pub fn reading_uncertainty(&self) -> Option<Length> {
        self.readings
            .iter()
            .map(|r| r.half)
            .fold(None, |most, half| {
                Some(most.map_or(half, |m| formula::max(m, half)))
            })
    }
    /// Depth that is planned to be cut.
    pub fn planned(&self) -> Length {
        let stated = self.stated.unwrap_or(mm(0.0));
        self.contact.map_or(stated, |c| c.planned)
    }
}

/// Half of a stated spread, or the instrument's for an exact value, with its standard uncertainty.
fn interval(value: &Spread<Length>, error: Length) -> (Length, Length) {
    let half = (value.high - value.low) / 2.0;
    let root3 = 3f64.sqrt();
    match value.shape {
        Shape::Exact => (error, error / root3),
        Shape::Normal => (half, half / 2.0),
        Shape::Rectangular => (half, half / root3),
    }
}

fn widest_arc(readings: &[plane::Reading]) -> f64 {
    let at: Vec<f64> = readings.iter().map(|r| si(r.at)).collect();
    (0..at.len())
        .map(|i| {
            let next = at[(i + 1) % at.len()];
            let arc = (next - at[i]).rem_euclid(TAU);
            if arc == 0.0 { TAU } else { arc }
        })
        .fold(0.0, f64::max)
}

/// Solves the seat with other gaps and another stiffness.
struct Trial<'a> {
    a: &'a Assembly,
    ring: &'a Ring,
    thread_stiffness: Stiffness,
    preload: Force,
}

impl Trial<'_> {
    fn solve(&self, around: &[(f64, f64)], factor: f64) -> Option<contact::Preloaded> {
        let gaps: Vec<contact::GapReading> = around
            .iter()
            .map(|p| contact::GapReading {
                at: from_si(p.0),
                gap: from_si(p.1),
            })
            .collect();
        let part = |p: Option<Part>| {
            p.map(|p| contact::RingPart {
                inner: p.inner,
                outer: p.outer,
                stiffness: p.stiffness * factor,
            })
        };
        SeatContact::new(&contact::Seat {
            insert: part(self.ring.insert),
            frame: part(self.ring.frame),
            gaps: &gaps,
            thread_radius: self.a.thread.basic.pitch_diameter / 2.0,
            thread_stiffness: self.thread_stiffness,
        })
        .ok()?
        .preload_state(self.preload)
        .ok()
    }
    fn share(&self, around: &[(f64, f64)], depth: f64, factor: f64) -> Option<f64> {
        let after = plane::cut(around, from_si(depth));
        self.solve(&after, factor).map(|p| p.contact_fraction.value)
    }
    /// The least depth that brings a share, to a tenth of a micrometre. The share need not grow with every
    /// small cut, so it is looked for from 0 on.
    fn depth(&self, around: &[(f64, f64)], whole: f64, want: f64, factor: f64) -> Option<f64> {
        let enough = |depth: f64| Some(self.share(around, depth, factor)? >= want);
        if enough(0.0)? {
            return Some(0.0);
        }
        let step = |k: u32| whole * f64::from(k) / f64::from(TRIALS);
        let mut high = None;
        for k in 1..=TRIALS {
            if enough(step(k))? {
                high = Some(k);
                break;
            }
        }
        let k = high?;
        let (mut low, mut high) = (step(k - 1), step(k));
        while high - low > 1e-7 {
            let middle = 0.5 * (low + high);
            if enough(middle)? {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(high)
    }
}

/// Looks at the face of one side; `stated` is a depth to face off.
///
/// # Errors
/// [`NoSeat`] where the stated way of bearing leaves no ring.
pub fn face(
    a: &Assembly,
    widths: &Widths,
    feeler_error: Length,
    stated: Option<Length>,
) -> Result<Face, NoSeat> {
    let bears = closed::stated_bearing(a);
    let e = evaluate(a, bears, 1.0)?;
    let outer = e.ring.outer;
    let readings = readings(a, feeler_error);
    let doubt = doubt(a);
    let around: plane::Around = readings.iter().map(|r| (si(r.at), si(r.value))).collect();
    let fitted = plane::fit(&readings);
    let left = fitted.as_ref().ok().map(|p| plane::shape(&readings, p));
    let angle = fitted
        .as_ref()
        .ok()
        .map(|p| plane::tilt_angle(p.tilt, outer));
    let falls_away =
        doubt == Some(Doubt::OpenAllRound) && plane::places(&readings) >= PLACES_ALL_ROUND;
    let trial = e.coupled.map(|c| Trial {
        a,
        ring: &e.ring,
        thread_stiffness: c.thread_stiffness,
        preload: formula::max(e.preloads.low, newton(LEAST_PRELOAD_N)),
    });
    let solved = trial.as_ref().filter(|_| !readings.is_empty());
    let contact = solved.and_then(|t| {
        let want = (doubt != Some(Doubt::TooFew)).then_some(a.need.contact.value);
        contact_of(t, &around, want, stated)
    });
    let places = if readings.is_empty() {
        Vec::new()
    } else {
        places(solved, &around, &e.ring)
    };
    let mut cautions = caution::applying(a, &e, &[None; CheckId::COUNT]);
    cautions.add(Caution::FacingFinal);
    cautions.add(Caution::CleanFace);
    if !readings.is_empty() {
        cautions.add(Caution::SeatStiffness);
    }
    let verdict = verdict(a, contact.as_ref(), doubt);
    let unsupported = crate::mechanics::seat::unsupported(a.fitting.flange_diameter, outer);
    let mut face = Face {
        outer,
        bears,
        unsupported,
        widest_arc: from_si(widest_arc(&readings)),
        readings,
        plane: fitted,
        angle,
        left,
        doubt,
        proud_lost: None,
        falls_away,
        contact,
        places,
        flange: None,
        verdict,
        cautions,
        around,
        side: a.side,
        stated,
    };
    face.proud_lost = proud_lost(a, &face);
    face.flange = smaller_flange(a, &face, widths, &e);
    Ok(face)
}

/// Does the planned cut reach below the face beside the one that bears, under a flange that covers both?
fn proud_lost(a: &Assembly, face: &Face) -> Option<ProudLost> {
    let offset = a.insert.face_offset?;
    let (least, insert) = match face.bears {
        Bears::Insert if face.unsupported > mm(0.0) => (offset.low, true),
        Bears::Frame => (-offset.high, false),
        _ => return None,
    };
    let proud = formula::max(least, mm(0.0));
    (face.planned() > proud).then_some(ProudLost { proud, insert })
}

/// The contact as it is and after a cut; `want` is the share required, nothing where no cut is to be looked for.
fn contact_of(
    t: &Trial<'_>,
    around: &[(f64, f64)],
    want: Option<f64>,
    stated: Option<Length>,
) -> Option<Contact> {
    let (least, most) = around.iter().fold((f64::INFINITY, 0.0f64), |(l, m), p| {
        (l.min(p.1), m.max(p.1))
    });
    let whole = si(plane::whole_depth(from_si(most), from_si(least)));
    let before = t.share(around, 0.0, 1.0)?;
    let look = |factor: f64| want.and_then(|want| t.depth(around, whole, want, factor));
    let depth = look(1.0);
    let mut before_range = (before, before);
    let mut depth_range = depth.map(|d| (d, d));
    for factor in SEAT_STIFFNESS_FACTORS {
        let share = t.share(around, 0.0, factor)?;
        before_range = (before_range.0.min(share), before_range.1.max(share));
        depth_range = depth_range
            .zip(look(factor))
            .map(|((low, high), d)| (low.min(d), high.max(d)));
    }
    let otherwise = if want.is_some() { whole } else { 0.0 };
    let planned = stated.map(si).or(depth).unwrap_or(otherwise);
    Some(Contact {
        preload: t.preload,
        before: number(before),
        before_range: (number(before_range.0), number(before_range.1)),
        depth: depth.map(from_si),
        depth_range: depth_range.map(|(l, h)| (from_si(l), from_si(h))),
        whole: from_si(whole),
        planned: from_si(planned),
        stated: stated.is_some(),
        after: number(t.share(around, planned, 1.0)?),
    })
}

/// The twelve hours with their gaps and how they bear at preload.
fn places(trial: Option<&Trial<'_>>, around: &[(f64, f64)], ring: &Ring) -> Vec<Place> {
    let state = trial.and_then(|t| t.solve(around, 1.0));
    (1..=12u32)
        .map(|hour| {
            let at = TAU * f64::from(hour % 12) / 12.0;
            let gap = plane::between(around, at);
            let near = |p: &(f64, f64)| {
                let apart = (p.0 - at).rem_euclid(TAU);
                apart.min(TAU - apart) < 1e-3
            };
            let touch = state.as_ref().map(|s| {
                let closes = |r: Length| {
                    let rise = si(s.tilt.x) * at.cos() + si(s.tilt.y) * at.sin();
                    si(s.closing) + si(r) * rise > gap
                };
                match (closes(ring.inner), closes(ring.outer)) {
                    (true, true) => Touch::Whole,
                    (false, false) => Touch::None,
                    _ => Touch::Part,
                }
            });
            Place {
                hour,
                gap: from_si(gap),
                read: around.iter().any(near),
                touch,
            }
        })
        .collect()
}

/// Verdict on the share that bears, preconditions first.
fn verdict(a: &Assembly, contact: Option<&Contact>, doubt: Option<Doubt>) -> Verdict {
    let c = &a.condition;
    if refusal(c) {
        return Verdict::Refused;
    }
    // Two places say nothing about a ring, not even that it bears on too little.
    let short = doubt != Some(Doubt::TooFew) && contact.is_some_and(|k| k.before < a.need.contact);
    if c.face_clean == State::Failed || short {
        return Verdict::FallsShort;
    }
    let gate = [
        c.no_crack,
        c.not_moved,
        c.no_crash,
        c.unregulated_use,
        c.face_clean,
    ];
    if contact.is_none() || doubt.is_some() || gate.contains(&State::Unknown) {
        return Verdict::NotJudged;
    }
    // Half the stiffness bears on more, twice on less: what it hangs on is only marginal.
    if contact.is_some_and(|k| k.before_range.0 < a.need.contact) {
        Verdict::Marginal
    } else {
        Verdict::Meets
    }
}

/// Looks for the largest smaller flange that bears on enough without a cut.
fn smaller_flange(a: &Assembly, face: &Face, widths: &Widths, e: &Evaluation) -> Option<Flange> {
    let contact = face.contact.as_ref()?;
    if face.doubt == Some(Doubt::TooFew) {
        return None;
    }
    let want = a.need.contact;
    if contact.before >= want {
        return Some(Flange::NotNeeded);
    }
    let cut_is_hard = contact.depth.is_none_or(|d| d > mm(USUAL_CUT_MM))
        || least_after(face, widths)
            .zip(widths.min)
            .is_some_and(|(left, min)| left < min);
    let mut radius = face.outer;
    let narrowest = e.ring.inner + mm(NARROWEST_SEAT_MM);
    let mut smallest = face.outer;
    loop {
        radius -= mm(0.5);
        if radius < narrowest {
            break;
        }
        let mut other = a.clone();
        other.fitting.flange_diameter = radius * 2.0;
        scale_gaps(&mut other, face, radius);
        let Ok(e) = evaluate(&other, face.bears, 1.0) else {
            break;
        };
        let Some(share) = e.coupled.and_then(|c| c.contact_preload) else {
            break;
        };
        smallest = radius;
        if share < want {
            continue;
        }
        let reserve = |id: CheckId| {
            e.raw[id.index()]
                .as_ref()
                .filter(|r: &&Raw| r.reason.is_none())
                .map(|r| (r.for_verdict, need(&other, id)))
        };
        let (crush, open) = (reserve(CheckId::SeatCrush), reserve(CheckId::SeatOpen));
        let holds = |r: Option<(f64, f64)>| r.is_some_and(|(ratio, need)| ratio >= need);
        return Some(Flange::Smaller(SmallerFlange {
            diameter: radius * 2.0,
            share,
            crush,
            open,
            better: cut_is_hard && holds(crush) && holds(open),
        }));
    }
    Some(Flange::None(smallest * 2.0))
}

/// A tilted face leaves less gap nearer to the axis; what is left over the plane stays.
fn scale_gaps(other: &mut Assembly, face: &Face, radius: Length) {
    let Ok(plane) = &face.plane else { return };
    let share = si(radius) / si(face.outer);
    let gaps: Vec<f64> = other
        .seat
        .gaps
        .iter()
        .map(|g| si(g.gap.nominal) - (1.0 - share) * (si(plane.at(g.at)) - si(plane.middle)))
        .collect();
    let least = gaps.iter().copied().fold(f64::INFINITY, f64::min);
    for (g, gap) in other.seat.gaps.iter_mut().zip(gaps) {
        g.gap = Spread::exact(from_si(gap - least));
    }
}

/// Least width after the planned cut of one side.
fn least_after(face: &Face, widths: &Widths) -> Option<Length> {
    after(widths, &[face]).map(|f| f.least)
}

/// Widths across the faces at one time.
#[derive(Debug, Clone, PartialEq)]
pub struct Across {
    /// Least width.
    pub least: Length,
    /// Greatest width.
    pub greatest: Length,
    /// Greatest less least of the readings; nothing below two.
    pub parallelism: Option<Length>,
}

/// The widths with their limits and what the planned cuts leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Width {
    /// As read, or as stated.
    pub before: Option<Across>,
    /// After the planned cuts.
    pub after: Option<Across>,
    /// The plane through the readings.
    pub plane: Option<Plane>,
    /// Tilt of one face against the other.
    pub angle: Option<Angle>,
    /// Radius over which that tilt is taken.
    pub outer: Length,
    /// Least difference that the readings can tell: expanded uncertainty of a difference of two.
    pub uncertainty: Option<Length>,
    /// Number of readings.
    pub readings: usize,
    /// Limits.
    pub limits: (Option<Length>, Option<Length>),
    /// Verdict on the width after the cuts.
    pub width_verdict: Verdict,
    /// Verdict on the parallelism after the cuts.
    pub parallel_verdict: Verdict,
}

fn across(values: &[f64]) -> Option<Across> {
    let (least, greatest) = values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, g), v| {
            (l.min(*v), g.max(*v))
        });
    (!values.is_empty()).then(|| Across {
        least: from_si(least),
        greatest: from_si(greatest),
        parallelism: (values.len() > 1)
            .then(|| plane::parallelism(from_si(greatest), from_si(least))),
    })
}

/// Widths after the planned cuts of the faces given.
fn after(widths: &Widths, faces: &[&Face]) -> Option<Across> {
    if widths.readings.is_empty() {
        let cut: Length = faces
            .iter()
            .map(|f| f.planned())
            .fold(mm(0.0), |sum, c| sum + c);
        return widths.stated.and_then(|w| across(&[si(w - cut)]));
    }
    let left: Vec<f64> = widths
        .readings
        .iter()
        .map(|w| {
            let cut: f64 = faces
                .iter()
                .map(|f| {
                    // Seen from outside the other side, the clock runs the other way.
                    let at = if f.side == Side::Drive { w.at } else { -w.at };
                    si(plane::taken(&f.around, f.planned(), at))
                })
                .sum();
            si(w.width.nominal) - cut
        })
        .collect();
    across(&left)
}

/// Looks at the widths across the faces, with the planned cuts of every side of the job.
pub fn width(widths: &Widths, faces: &[Face]) -> Width {
    let readings: Vec<plane::Reading> = widths
        .readings
        .iter()
        .map(|w| {
            let (half, standard) = interval(&w.width, widths.error);
            plane::Reading {
                at: w.at,
                value: w.width.nominal,
                half,
                standard,
            }
        })
        .collect();
    let values: Vec<f64> = if readings.is_empty() {
        widths.stated.map(si).into_iter().collect()
    } else {
        readings.iter().map(|r| si(r.value)).collect()
    };
    let outer = faces
        .iter()
        .map(|f| f.outer)
        .fold(mm(0.0), formula::max::<Length>);
    let plane = plane::fit(&readings).ok();
    let worst = readings
        .iter()
        .map(|r| r.standard)
        .fold(None::<Length>, |most, s| {
            Some(most.map_or(s, |m| formula::max(m, s)))
        });
    let refused = faces.iter().any(|f| f.verdict == Verdict::Refused);
    let left = after(widths, &faces.iter().collect::<Vec<_>>());
    let width_verdict = match (&left, widths.min, widths.max) {
        _ if refused => Verdict::Refused,
        (Some(w), min, max) if min.is_some() || max.is_some() => {
            let out = min.is_some_and(|m| w.least < m) || max.is_some_and(|m| w.greatest > m);
            if out {
                Verdict::FallsShort
            } else {
                Verdict::Meets
            }
        }
        _ => Verdict::NotJudged,
    };
    let parallel_verdict = match left.as_ref().and_then(|w| w.parallelism) {
        _ if refused => Verdict::Refused,
        None => Verdict::NotJudged,
        Some(p) if p > mm(PARALLEL_LIMIT_MM) => Verdict::FallsShort,
        Some(p) if p > mm(PARALLEL_GOOD_MM) => Verdict::Marginal,
        Some(_) => Verdict::Meets,
    };
    Width {
        before: across(&values),
        after: left,
        angle: plane.as_ref().map(|p| plane::tilt_angle(p.tilt, outer)),
        outer,
        plane,
        uncertainty: worst.map(|s| s * (2.0 * 2f64.sqrt())),
        readings: readings.len(),
        limits: (widths.min, widths.max),
        width_verdict,
        parallel_verdict,
    }
}

/// The verdict of one side with the widths: a width out of its limits falls short, a face out of parallel is
/// marginal at worst; nothing is lost where no width was given.
pub fn overall(face: &Face, width: &Width) -> Verdict {
    let mut verdict = face.verdict;
    if verdict == Verdict::Refused {
        return verdict;
    }
    if width.width_verdict == Verdict::FallsShort {
        verdict = verdict.worse(Verdict::FallsShort);
    }
    if matches!(
        width.parallel_verdict,
        Verdict::FallsShort | Verdict::Marginal
    ) {
        verdict = verdict.worse(Verdict::Marginal);
    }
    verdict
}

/// How a plane is put through readings.
static PLANE: Method = Method {
    equations: "g(φ) = c + a·cos φ + b·sin φ by least squares over all readings, each with the same weight\ntilt = 2·√(a² + b²); it is high where the plane lies lowest; residual = reading − plane\nuncertainty (k = 2) = 4·√(variance of the rise), from that of the readings",
    source: "least squares and the law of propagation of uncertainty, GUM (recalled)",
    limits: "three places or more; readings independent; what is between them is not seen",
    tends_to: &[&plane::tilt_across::FORMULA],
};
/// How a depth to face off is found.
static FACING: Method = Method {
    equations: "gap left = max(gap − least gap − depth, 0) at every place; the contact is solved again at preload low\np = k_c·max(0, z + ρ·(tx·cos φ + ty·sin φ) − gap left); the least depth whose share in contact is the one required",
    source: "engineering basis, sections 6 and 13",
    limits: "cut square to the thread; straight between the readings; the seat's stiffness is a choice without a source: see its range",
    tends_to: &[&plane::whole_depth::FORMULA],
};
/// How widths after a cut are found.
static CUT: Method = Method {
    equations: "width left = width read − what the planned cut of each face takes off there",
    source: "geometry; the cut as planned for each side",
    limits: "at the places that were read; straight between feeler readings",
    tends_to: &[],
};
/// How a smaller flange is looked for.
static SMALLER: Method = Method {
    equations: "the flange taken smaller by 1 mm of diameter at a time, the gaps at its edge scaled with the tilt\nthe contact is solved again at its own preload low, until the share in contact is the one required",
    source: "engineering basis, section 6",
    limits: "nothing cut; same torque; looked at down to a seat 1.5 mm wide (common practice, no source)",
    tends_to: &[],
};

fn readings_put(symbol: &'static str, readings: &[plane::Reading]) -> Vec<Put> {
    readings
        .iter()
        .flat_map(|r| {
            [
                put("read at", Unit::Degree, r.at),
                put(symbol, Unit::Millimetre, r.value),
            ]
        })
        .collect()
}

/// The ids of every number of the report and what they are, in the order in which they come.
pub static RESULTS: &[(&str, &str)] = &[
    ("seat.plane.tilt", "Tilt of the face across the ring"),
    (
        "seat.plane.tilt.uncertainty",
        "Uncertainty of the tilt, k = 2",
    ),
    ("seat.plane.angle", "Tilt of the face as an angle"),
    (
        "seat.plane.high_at",
        "Where the face is high, clockwise from 12 o'clock",
    ),
    (
        "seat.plane.residual",
        "Root mean square of what is left over the plane",
    ),
    ("seat.plane.residual.largest", "Largest reading less plane"),
    (
        "seat.plane.residual.largest_at",
        "Where the largest reading less plane is",
    ),
    (
        "seat.reading.uncertainty",
        "Largest half interval of the feeler readings",
    ),
    ("preload.low", "Preload at which the contact is solved"),
    (
        "seat.contact.preload",
        "Share of the ring that bears, as it is",
    ),
    (
        "seat.contact.faced",
        "Share of the ring that bears after the planned cut",
    ),
    (
        "seat.facing.depth",
        "Least depth to face off for the share required",
    ),
    ("seat.facing.whole", "Depth that cleans the whole ring up"),
    (
        "seat.facing.planned",
        "Depth that is planned: as stated, else the least for the share, else the whole",
    ),
    (
        "seat.flange.smaller",
        "Largest smaller flange that bears on enough",
    ),
    (
        "seat.flange.smaller.contact",
        "Share of the smaller flange's own ring that bears",
    ),
    ("seat.unsupported", "Flange beyond its support, per side"),
    ("frame.parallelism", "Parallelism of the faces, as read"),
    ("frame.plane.tilt", "Tilt of one face against the other"),
    (
        "frame.plane.angle",
        "Tilt of one face against the other as an angle",
    ),
    (
        "frame.width.after.low",
        "Least width after the planned cuts",
    ),
    (
        "frame.width.after.high",
        "Greatest width after the planned cuts",
    ),
    (
        "frame.parallelism.after",
        "Parallelism after the planned cuts",
    ),
];

/// Every number of the report of one side, with where it comes from.
pub fn results(a: &Assembly, widths: &Widths, face: &Face, width: &Width) -> Vec<Step> {
    let mut out = Vec::new();
    let (length, angle, none) = (Unit::Millimetre, Unit::Degree, Unit::None);
    let gaps = || readings_put("gap", &face.readings);
    let found = |id, unit, value: f64, method, inputs| {
        Step::solved("", unit, value, method, inputs).named(id)
    };
    if let Ok(p) = &face.plane {
        out.push(
            Step::formula("", &plane::tilt_across::FORMULA, vec![si(p.a), si(p.b)])
                .named("seat.plane.tilt"),
        );
        out.push(found(
            "seat.plane.tilt.uncertainty",
            length,
            si(p.tilt_uncertainty),
            &PLANE,
            gaps(),
        ));
        if face.angle.is_some() {
            out.push(
                Step::formula(
                    "",
                    &plane::tilt_angle::FORMULA,
                    vec![si(p.tilt), si(face.outer)],
                )
                .named("seat.plane.angle"),
            );
        }
        out.push(found(
            "seat.plane.high_at",
            angle,
            si(p.least_at),
            &PLANE,
            gaps(),
        ));
        out.push(found(
            "seat.plane.residual",
            length,
            si(p.rms),
            &PLANE,
            gaps(),
        ));
        if let (Some(rest), Some(at)) = (p.residuals.get(p.largest), face.readings.get(p.largest)) {
            out.push(found(
                "seat.plane.residual.largest",
                length,
                si(*rest),
                &PLANE,
                gaps(),
            ));
            out.push(found(
                "seat.plane.residual.largest_at",
                angle,
                si(at.at),
                &PLANE,
                gaps(),
            ));
        }
    }
    if let Some(half) = face.reading_uncertainty() {
        out.push(Step::stated("", length, si(half), "seat.gap").named("seat.reading.uncertainty"));
    }
    if let Some(c) = &face.contact {
        let with = |symbol, value: Length| {
            let mut inputs = gaps();
            inputs.push(put("F0", Unit::Newton, c.preload));
            inputs.push(put(symbol, length, value));
            inputs
        };
        let want = || {
            let mut inputs = gaps();
            inputs.push(put("F0", Unit::Newton, c.preload));
            inputs.push(put("share required", none, a.need.contact));
            inputs
        };
        out.push(found(
            "preload.low",
            Unit::Newton,
            si(c.preload),
            &CONTACT,
            gaps(),
        ));
        let mut as_it_is = gaps();
        as_it_is.push(put("F0", Unit::Newton, c.preload));
        out.push(found(
            "seat.contact.preload",
            none,
            c.before.value,
            &CONTACT,
            as_it_is,
        ));
        out.push(found(
            "seat.contact.faced",
            none,
            c.after.value,
            &FACING,
            with("depth", c.planned),
        ));
        if let Some(depth) = c.depth {
            out.push(found(
                "seat.facing.depth",
                length,
                si(depth),
                &FACING,
                want(),
            ));
        }
        let (least, most) = face
            .around
            .iter()
            .fold((f64::INFINITY, 0.0f64), |(l, m), p| {
                (l.min(p.1), m.max(p.1))
            });
        out.push(
            Step::formula("", &plane::whole_depth::FORMULA, vec![most, least])
                .named("seat.facing.whole"),
        );
        out.push(if c.stated {
            Step::stated("", length, si(c.planned), "--depth").named("seat.facing.planned")
        } else {
            found(
                "seat.facing.planned",
                length,
                si(c.planned),
                &FACING,
                want(),
            )
        });
    }
    if let Some(Flange::Smaller(f)) = &face.flange {
        let mut inputs = gaps();
        inputs.push(put("share required", none, a.need.contact));
        out.push(found(
            "seat.flange.smaller",
            length,
            si(f.diameter),
            &SMALLER,
            inputs.clone(),
        ));
        out.push(found(
            "seat.flange.smaller.contact",
            none,
            f.share.value,
            &SMALLER,
            inputs,
        ));
    }
    out.push(
        Step::formula(
            "",
            &crate::mechanics::seat::unsupported::FORMULA,
            vec![si(a.fitting.flange_diameter), si(face.outer)],
        )
        .named("seat.unsupported"),
    );
    out.extend(width_results(widths, face, width));
    titled(out, RESULTS)
}

/// The same for the widths across the faces.
fn width_results(widths: &Widths, face: &Face, width: &Width) -> Vec<Step> {
    let mut out = Vec::new();
    let read: Vec<Put> = widths
        .readings
        .iter()
        .flat_map(|w| {
            [
                put("read at", Unit::Degree, w.at),
                put("width", Unit::Millimetre, w.width.nominal),
            ]
        })
        .chain(widths.stated.map(|w| put("width", Unit::Millimetre, w)))
        .collect();
    let parallel = |across: &Option<Across>, id| {
        let across = across.as_ref()?;
        across.parallelism?;
        Some(
            Step::formula(
                "",
                &plane::parallelism::FORMULA,
                vec![si(across.greatest), si(across.least)],
            )
            .named(id),
        )
    };
    out.extend(parallel(&width.before, "frame.parallelism"));
    if let Some(p) = &width.plane {
        out.push(
            Step::formula("", &plane::tilt_across::FORMULA, vec![si(p.a), si(p.b)])
                .named("frame.plane.tilt"),
        );
        if width.angle.is_some() {
            out.push(
                Step::formula(
                    "",
                    &plane::tilt_angle::FORMULA,
                    vec![si(p.tilt), si(width.outer)],
                )
                .named("frame.plane.angle"),
            );
        }
    }
    if let Some(after) = &width.after {
        let mut inputs = read;
        inputs.push(put(
            "planned cut of this side",
            Unit::Millimetre,
            face.planned(),
        ));
        for (id, value) in [
            ("frame.width.after.low", after.least),
            ("frame.width.after.high", after.greatest),
        ] {
            out.push(Step::solved("", Unit::Millimetre, si(value), &CUT, inputs.clone()).named(id));
        }
    }
    out.extend(parallel(&width.after, "frame.parallelism.after"));
    out
}
