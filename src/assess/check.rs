//! The checks there are, what one says, and why one may say nothing.

use crate::units::Unit;

/// Every check, in the order of the agreed list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum CheckId {
    StripExternal,
    StripInternal,
    Hoop,
    Neck,
    Flange,
    BondTightening,
    BondRemoval,
    BondServiceCold,
    BondServiceHot,
    BondEndurance,
    BondSustained,
    SeatCrush,
    SeatOpen,
    SeatSlip,
    TorqueMaker,
    Galvanic,
    Engagement,
    FramePullThrough,
    FrameEdge,
}

/// Does a check decide the verdict, or can it lower it to marginal at most?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    /// Decides.
    Strength,
    /// Lowers to marginal at most; the maker's torque excepted.
    Serviceability,
}

impl CheckId {
    /// All checks.
    pub const ALL: [CheckId; 19] = [
        CheckId::StripExternal,
        CheckId::StripInternal,
        CheckId::Hoop,
        CheckId::Neck,
        CheckId::Flange,
        CheckId::BondTightening,
        CheckId::BondRemoval,
        CheckId::BondServiceCold,
        CheckId::BondServiceHot,
        CheckId::BondEndurance,
        CheckId::BondSustained,
        CheckId::SeatCrush,
        CheckId::SeatOpen,
        CheckId::SeatSlip,
        CheckId::TorqueMaker,
        CheckId::Galvanic,
        CheckId::Engagement,
        CheckId::FramePullThrough,
        CheckId::FrameEdge,
    ];
    /// How many there are.
    pub const COUNT: usize = Self::ALL.len();

    /// Its place in [`Self::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }
    /// Its id.
    pub fn id(self) -> &'static str {
        match self {
            CheckId::StripExternal => "strip.external",
            CheckId::StripInternal => "strip.internal",
            CheckId::Hoop => "hoop",
            CheckId::Neck => "neck",
            CheckId::Flange => "flange",
            CheckId::BondTightening => "bond.tightening",
            CheckId::BondRemoval => "bond.removal",
            CheckId::BondServiceCold => "bond.service.cold",
            CheckId::BondServiceHot => "bond.service.hot",
            CheckId::BondEndurance => "bond.endurance",
            CheckId::BondSustained => "bond.sustained",
            CheckId::SeatCrush => "seat.crush",
            CheckId::SeatOpen => "seat.open",
            CheckId::SeatSlip => "seat.slip",
            CheckId::TorqueMaker => "torque.maker",
            CheckId::Galvanic => "galvanic",
            CheckId::Engagement => "engagement",
            CheckId::FramePullThrough => "frame.pull_through",
            CheckId::FrameEdge => "frame.edge",
        }
    }
    /// The check with this id.
    pub fn from_id(id: &str) -> Option<CheckId> {
        Self::ALL.into_iter().find(|c| c.id() == id)
    }
    /// Its title for a person.
    pub fn title(self) -> &'static str {
        match self {
            CheckId::StripExternal => "Fitting's thread strips",
            CheckId::StripInternal => "Insert's thread strips",
            CheckId::Hoop => "Insert's wall yields outward",
            CheckId::Neck => "Fitting's neck yields",
            CheckId::Flange => "Flange bends",
            CheckId::BondTightening => "Glue while tightening",
            CheckId::BondRemoval => "Glue while undoing",
            CheckId::BondServiceCold => "Glue in service, cold",
            CheckId::BondServiceHot => "Glue in service, hot",
            CheckId::BondEndurance => "Glue under repeated load",
            CheckId::BondSustained => "Glue under lasting load",
            CheckId::SeatCrush => "Face crushes",
            CheckId::SeatOpen => "Seat opens",
            CheckId::SeatSlip => "Seat slips",
            CheckId::TorqueMaker => "Maker's torque",
            CheckId::Galvanic => "Galvanic pair",
            CheckId::Engagement => "Engaged length",
            CheckId::FramePullThrough => "Wall pulled through",
            CheckId::FrameEdge => "Wall torn out to its edge",
        }
    }
    /// Strength or serviceability.
    pub fn sort(self) -> Sort {
        match self {
            CheckId::SeatSlip | CheckId::TorqueMaker | CheckId::Galvanic | CheckId::Engagement => {
                Sort::Serviceability
            }
            _ => Sort::Strength,
        }
    }
    /// Unit of demand and capacity.
    pub fn unit(self) -> Unit {
        match self {
            CheckId::Neck | CheckId::Flange | CheckId::SeatCrush => Unit::Megapascal,
            CheckId::SeatOpen | CheckId::TorqueMaker => Unit::NewtonMetre,
            CheckId::Galvanic => Unit::Volt,
            CheckId::Engagement => Unit::Millimetre,
            id if id.is_bond() => Unit::None,
            _ => Unit::Newton,
        }
    }
    /// One of the glue's checks.
    pub fn is_bond(self) -> bool {
        matches!(
            self,
            CheckId::BondTightening
                | CheckId::BondRemoval
                | CheckId::BondServiceCold
                | CheckId::BondServiceHot
                | CheckId::BondEndurance
                | CheckId::BondSustained
        )
    }
    /// One of the seat's checks.
    pub fn is_seat(self) -> bool {
        matches!(
            self,
            CheckId::SeatCrush | CheckId::SeatOpen | CheckId::SeatSlip
        )
    }
    /// One of the checks of stripping.
    pub fn is_strip(self) -> bool {
        matches!(self, CheckId::StripExternal | CheckId::StripInternal)
    }
    /// The state of the joint that the check looks at.
    pub fn state(self) -> &'static str {
        match self {
            CheckId::BondRemoval => "removal",
            CheckId::BondServiceCold => "service, coldest",
            CheckId::BondServiceHot => "service, hottest",
            CheckId::BondEndurance => "repeated load",
            CheckId::BondSustained => "lasting preload",
            CheckId::SeatOpen | CheckId::SeatSlip => "service, preload low",
            CheckId::Galvanic => "environment",
            CheckId::TorqueMaker => "tightening",
            CheckId::BondTightening => "tightening, preload high",
            CheckId::FramePullThrough => "service, preload high",
            CheckId::FrameEdge => "service",
            _ => "preload high, prying included",
        }
    }
}

/// What a check, or a whole job, comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// At or above what is required with a quarter to spare.
    Meets,
    /// At or above what is required.
    Marginal,
    /// Below what is required.
    FallsShort,
    /// Nothing can be said; the reason stands beside it.
    NotJudged,
    /// A precondition forbids any judgement.
    Refused,
}

impl Verdict {
    /// The agreed word.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Meets => "meets",
            Verdict::Marginal => "marginal",
            Verdict::FallsShort => "falls short",
            Verdict::NotJudged => "not judged",
            Verdict::Refused => "refused",
        }
    }
    /// From a margin, ratio over what is required less one.
    pub fn of_margin(margin: f64) -> Verdict {
        if margin < 0.0 {
            Verdict::FallsShort
        } else if margin < 0.25 {
            Verdict::Marginal
        } else {
            Verdict::Meets
        }
    }
    /// How bad: the greater, the worse.
    pub fn rank(self) -> u8 {
        match self {
            Verdict::Meets => 0,
            Verdict::Marginal => 1,
            Verdict::NotJudged => 2,
            Verdict::FallsShort => 3,
            Verdict::Refused => 4,
        }
    }
    /// The worse of two.
    pub fn worse(self, other: Verdict) -> Verdict {
        if other.rank() > self.rank() {
            other
        } else {
            self
        }
    }
}

/// Why a check is not judged; each names what would settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Reason {
    InsertMaterialUnknown,
    FrameMaterialUnknown,
    FittingMaterialUnknown,
    AdhesiveUnknown,
    PreparationUnknown,
    VoidsUnknown,
    CureUnknown,
    PreparedUnknown,
    CuredUnknown,
    FaceCleanUnknown,
    StartsByHandUnknown,
    InsertShearMissing,
    FittingShearMissing,
    InsertYieldMissing,
    FittingYieldMissing,
    FaceStrengthMissing,
    FrameShearMissing,
    FramePlyShearMissing,
    ClampedMaterialUnknown,
    AnodicIndexMissing,
    NoLoad,
    NoEngagement,
    HotterThanAdhesive,
    SoftWall,
    NotConverged,
    NoElements,
}

/// Remarks that belong to a check's result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
#[allow(missing_docs)]
pub enum Note {
    ShearFromTensile,
    WallUnsupported,
    FlangeApproximate,
    OtherPedalWorse,
    NothingOpens,
    InformsOnly,
    Isolated,
    ColdOnly,
    SoftWall,
    WorstBearing,
    WorstStiffness,
    RestsOnUnknown,
    SolidScrew,
    PreconditionFailed,
    NotSelfLocking,
    NothingPulls,
    PushedIn,
    PlugApproximate,
    ClampedCrushes,
    WallBends,
    ThreadAtEnd,
    ByElements,
    ElementsUnsettled,
    LockerCured,
    OutsideBand,
    NoCureOnWall,
}

impl Note {
    /// All remarks, in the order in which they are printed.
    pub const ALL: &'static [Note] = &[
        Note::ShearFromTensile,
        Note::WallUnsupported,
        Note::FlangeApproximate,
        Note::OtherPedalWorse,
        Note::NothingOpens,
        Note::InformsOnly,
        Note::Isolated,
        Note::ColdOnly,
        Note::SoftWall,
        Note::WorstBearing,
        Note::WorstStiffness,
        Note::RestsOnUnknown,
        Note::SolidScrew,
        Note::PreconditionFailed,
        Note::NotSelfLocking,
        Note::NothingPulls,
        Note::PushedIn,
        Note::PlugApproximate,
        Note::ClampedCrushes,
        Note::WallBends,
        Note::ThreadAtEnd,
        Note::ByElements,
        Note::ElementsUnsettled,
        Note::LockerCured,
        Note::OutsideBand,
        Note::NoCureOnWall,
    ];
}

/// A set of remarks, without an allocation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Notes(u32);

impl Notes {
    /// Adds a note.
    pub fn add(&mut self, note: Note) {
        self.0 |= 1 << note as u32;
    }
    /// Takes a note out.
    pub fn drop(&mut self, note: Note) {
        self.0 &= !(1 << note as u32);
    }
    /// Is the note there?
    pub fn has(self, note: Note) -> bool {
        self.0 & (1 << note as u32) != 0
    }
    /// Both sets.
    pub fn and(self, other: Notes) -> Notes {
        Notes(self.0 | other.0)
    }
}

/// What a verdict is taken from where it is not the ratio.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decider {
    /// A remark: another reading, a soft wall, a failed precondition.
    Note(Note),
    /// What is not known.
    Reason(Reason),
}

/// The result of one check. Demand and capacity are in SI base units of [`CheckId::unit`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// Which check.
    pub id: CheckId,
    /// Demand; not a number where there is none.
    pub demand: f64,
    /// Capacity; not a number where it is not known, infinite where nothing limits it.
    pub capacity: f64,
    /// Capacity over demand; infinite without demand, not a number where nothing can be said.
    pub ratio: f64,
    /// The ratio required.
    pub need: f64,
    /// What the ratio is divided by before it is judged, where a model is known to flatter.
    pub divided_by: Option<f64>,
    /// What it comes to.
    pub verdict: Verdict,
    /// Why it is not judged.
    pub reason: Option<Reason>,
    /// Which load case governs.
    pub case: u16,
    /// Remarks.
    pub notes: Notes,
}

impl Check {
    /// Ratio over what is required, less one.
    pub fn margin(&self) -> f64 {
        self.ratio / self.need - 1.0
    }
    /// What the verdict is taken from where it is not the ratio.
    pub fn decided_by(&self) -> Option<Decider> {
        let stricter =
            self.ratio.is_nan() || self.verdict.rank() > Verdict::of_margin(self.margin()).rank();
        // A ratio that is short of itself, but only with the weakest plausible value, tells of that value.
        if self.verdict == Verdict::FallsShort && self.notes.has(Note::RestsOnUnknown) {
            return Some(Decider::Note(Note::RestsOnUnknown));
        }
        if !stricter {
            return None;
        }
        let note = [
            Note::PreconditionFailed,
            Note::WorstBearing,
            Note::WorstStiffness,
            Note::SoftWall,
        ]
        .into_iter()
        .find(|n| self.notes.has(*n) && self.verdict != Verdict::NotJudged)
        .map(Decider::Note);
        note.or(self.reason.map(Decider::Reason))
    }
    /// The ratio required of what is printed, the divisor counted.
    fn needed(&self) -> f64 {
        self.need * self.divided_by.unwrap_or(1.0)
    }
    /// The greatest demand that keeps the ratio required.
    pub fn demand_kept(&self) -> f64 {
        self.capacity / self.needed()
    }
    /// The least capacity that keeps the ratio required.
    pub fn capacity_kept(&self) -> f64 {
        self.demand * self.needed()
    }
}
