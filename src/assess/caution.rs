//! The cautions and when they apply. Their texts belong to the presentation.

use super::check::{Check, CheckId, Note, Verdict};
use super::{Evaluation, closed};
use crate::job::assembly::*;
use crate::mechanics::pedal::Side;

macro_rules! cautions {
    ($($variant:ident $id:literal),* $(,)?) => {
        /// A caution.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[repr(u8)]
        #[allow(missing_docs)]
        pub enum Caution { $($variant),* }
        impl Caution {
            /// All cautions, in the agreed order.
            pub const ALL: &'static [Caution] = &[$(Caution::$variant),*];
            /// Its agreed id.
            pub fn id(self) -> &'static str {
                match self { $(Caution::$variant => $id),* }
            }
        }
    };
}
cautions! {
    MakerFirst "maker-first",
    PlanningAid "planning-aid",
    LocalRules "local-rules",
    NotCovered "not-covered",
    StopCrack "stop-crack",
    StopMoved "stop-moved",
    OutsideScope "outside-scope",
    BondUnseen "bond-unseen",
    BondLost "bond-lost",
    WeakData "weak-data",
    ProofOnce "proof-once",
    UndoWatch "undo-watch",
    HeatLimit "heat-limit",
    IsolateMetal "isolate-metal",
    CleanFace "clean-face",
    FacingFinal "facing-final",
    TorqueState "torque-state",
    Recheck "recheck",
    ShopHazards "shop-hazards",
    OwnerStop "owner-stop",
    SoftWall "soft-wall",
    ThreadAtEnd "thread-at-end",
    SeatStiffness "seat-stiffness",
    SeatUnproven "seat-unproven",
    GlueYields "glue-yields",
    PlyNotChecked "ply-not-checked",
    NotSelfLocking "not-self-locking",
    Precession "precession",
    MakerMissing "maker-missing",
    UndoLocked "undo-locked",
}

/// The cautions that apply to a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Cautions(u32);

impl Cautions {
    /// Adds one.
    pub fn add(&mut self, caution: Caution) {
        self.0 |= 1 << caution as u32;
    }
    /// Does it apply?
    pub fn has(self, caution: Caution) -> bool {
        self.0 & (1 << caution as u32) != 0
    }
    /// Both sets.
    pub fn and(self, other: Cautions) -> Cautions {
        Cautions(self.0 | other.0)
    }
    /// Those that apply, in order.
    pub fn iter(self) -> impl Iterator<Item = Caution> {
        Caution::ALL.iter().copied().filter(move |c| self.has(*c))
    }
    /// Those that belong to every output that judges.
    pub fn always() -> Cautions {
        let mut set = Cautions::default();
        for caution in [
            Caution::MakerFirst,
            Caution::PlanningAid,
            Caution::LocalRules,
            Caution::NotCovered,
            Caution::BondUnseen,
            Caution::BondLost,
            Caution::UndoWatch,
            Caution::TorqueState,
            Caution::ShopHazards,
            Caution::OwnerStop,
        ] {
            set.add(caution);
        }
        set
    }
}

/// Which cautions apply.
pub fn applying(
    a: &Assembly,
    e: &Evaluation,
    checks: &[Option<Check>; CheckId::COUNT],
) -> Cautions {
    let mut set = Cautions::always();
    let mut when = |condition: bool, caution: Caution| {
        if condition {
            set.add(caution);
        }
    };
    let c = &a.condition;
    when(c.no_crack != State::Confirmed, Caution::StopCrack);
    when(c.not_moved != State::Confirmed, Caution::StopMoved);
    when(
        c.unregulated_use != State::Confirmed || c.no_crash == State::Failed,
        Caution::OutsideScope,
    );
    when(c.face_clean != State::Confirmed, Caution::CleanFace);
    when(!a.seat.gaps.is_empty(), Caution::FacingFinal);
    // To tighten again is no advice for a part that is cracked, loose or not looked at.
    let sound = c.no_crack == State::Confirmed && c.not_moved == State::Confirmed;
    when(
        !a.tightening.retightened && sound && !super::refusal(c),
        Caution::Recheck,
    );
    when(a.tightening.maker_torque.is_none(), Caution::MakerMissing);
    when(a.tightening.locker, Caution::UndoLocked);
    let unknown = a.insert.material.unknown
        || a.frame.material.unknown
        || a.fitting.material.unknown
        || a.clamped.is_some_and(|c| c.material.unknown)
        || a.bond.adhesive.unknown
        || a.bond.preparation_unknown
        || a.bond.voids_unknown
        || a.bond.cure_unknown
        || a.tightening.friction_unknown;
    when(unknown, Caution::WeakData);
    when(
        a.cases
            .iter()
            .any(|case| closed::too_hot(&a.bond.adhesive, case.hottest)),
        Caution::HeatLimit,
    );
    let galvanic = checks[CheckId::Galvanic.index()];
    when(
        galvanic.is_some_and(|g| matches!(g.verdict, Verdict::FallsShort | Verdict::NotJudged)),
        Caution::IsolateMetal,
    );
    when(closed::bearing_unproven(a), Caution::SeatUnproven);
    when(
        a.frame.material.laminate
            && (a.frame.material.interlaminar_tension.is_none()
                || a.frame.material.interlaminar_shear.is_none()),
        Caution::PlyNotChecked,
    );
    let coupled = e.coupled.as_ref();
    let soft = |c: &super::coupled::Coupled| c.soft_wall.is_none_or(|f| f.value > 1.0);
    when(coupled.is_some_and(soft), Caution::SoftWall);
    when(
        coupled.is_some_and(|c| c.remarks.has(Note::ThreadAtEnd)),
        Caution::ThreadAtEnd,
    );
    when(!a.seat.gaps.is_empty(), Caution::SeatStiffness);
    let elastic = coupled.and_then(|c| c.service_elastic);
    when(elastic.is_some_and(|r| r.value < 1.0), Caution::GlueYields);
    when(
        !e.preloads.band.high.helix.self_locking(),
        Caution::NotSelfLocking,
    );
    when(
        a.side == Side::Drive && a.thread.hand == Hand::Right && a.purpose == Use::CrankHousing,
        Caution::Precession,
    );
    set
}
