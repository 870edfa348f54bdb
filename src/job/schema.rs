//! Every key that a job file may hold: its path, what it takes, what it means, its default.
//!
//! In a path `[]` stands for any element of an array and `*` for a name that the user chooses. The list
//! decides which keys are known, how an override is read, and what a reader is told about a key.

use crate::units::Kind;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// What a key takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// A quantity with its unit; a plain number for [`Kind::Number`].
    Quantity(Kind),
    /// Any text.
    Text,
    /// `true` or `false`.
    Flag,
    /// `true`, `false` or `"unknown"`.
    Condition,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// The name of a row in a table.
    Row(&'static str),
    /// A clock position such as `"4:30"`, or an angle.
    Clock,
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub struct Key {
    /// Its path.
    pub path: &'static str,
    /// What it takes.
    pub takes: Takes,
    /// What it means, in a few words.
    pub meaning: &'static str,
}

const fn key(path: &'static str, takes: Takes, meaning: &'static str) -> Key {
    Key {
        path,
        takes,
        meaning,
    }
}

use Kind::{
    Angle, Density, Expansion, Force, Length, Number, Pitch, Potential, Stress, Temperature, Torque,
};
use Takes::{Choice, Clock, Condition, Flag, Quantity as Q, Row, Text};

/// Tables that each `[[side]]` may hold for itself.
pub const SIDE_TABLES: [&str; 9] = [
    "thread",
    "insert",
    "seat",
    "bond",
    "fitting",
    "tightening",
    "damage",
    "condition",
    "record",
];
/// What each `[[case]]` may hold for itself.
pub const CASE_KEYS: [&str; 4] = ["pedalling.", "loads.", "bond.coldest", "bond.hottest"];

/// Keys that take `"unknown"` beside what they take otherwise; rows and conditions do so anyway.
pub const MAY_BE_UNKNOWN: [&str; 2] = ["bond.voids", "bond.cure_temperature"];

/// The words of `job.side` and of a side's name.
pub const SIDES: &[&str] = &["drive", "non-drive"];

/// Every key, in the order in which a person would fill them in.
pub const KEYS: &[Key] = &[
    key("job.title", Text, "what this job is, for the sheet"),
    key("job.note", Text, "anything worth keeping with the job"),
    key("job.by", Text, "who made the job file"),
    key("job.date", Text, "when"),
    key(
        "job.side",
        Choice(SIDES),
        "the side under judgement: drive is the rider's right",
    ),
    key(
        "job.use",
        Choice(&["crank-housing", "boss"]),
        "what the insert is for",
    ),
    key(
        "side[].name",
        Choice(SIDES),
        "which side of the housing this is",
    ),
    key(
        "thread.designation",
        Text,
        "a row of `tables threads`, or metric (M36x1), or unified (1/4-20 UNC 2A/2B)",
    ),
    key(
        "thread.hand",
        Choice(&["right", "left"]),
        "hand of the thread",
    ),
    key("thread.engaged", Q(Length), "overlap of the two threads"),
    key(
        "thread.incomplete",
        Q(Length),
        "thread without full form in it, both ends together",
    ),
    key(
        "thread.setback",
        Q(Length),
        "from the face to the first thread",
    ),
    key(
        "thread.damaged_turns",
        Q(Number),
        "turns that carry nothing",
    ),
    key(
        "thread.internal_minor",
        Q(Length),
        "measured minor diameter of the insert's thread",
    ),
    key(
        "thread.internal_pitch_diameter",
        Q(Length),
        "measured pitch diameter of the insert's thread",
    ),
    key(
        "thread.external_major",
        Q(Length),
        "measured major diameter of the fitting's thread",
    ),
    key(
        "thread.external_pitch_diameter",
        Q(Length),
        "measured pitch diameter of the fitting's thread",
    ),
    key(
        "insert.material",
        Row("materials"),
        "material of the bonded sleeve or boss",
    ),
    key(
        "insert.outer_diameter",
        Q(Length),
        "outer diameter of the insert where it is glued",
    ),
    key("insert.length", Q(Length), "length of the insert"),
    key(
        "insert.face_offset",
        Q(Length),
        "insert face against frame face, + proud",
    ),
    key(
        "insert.lip_diameter",
        Q(Length),
        "outer diameter of the insert's own lip",
    ),
    key(
        "frame.material",
        Row("materials"),
        "material of the wall around the insert",
    ),
    key(
        "frame.outer_diameter",
        Q(Length),
        "outer diameter of that wall",
    ),
    key(
        "frame.held_at",
        Choice(&["inboard", "outboard", "full-length", "all-round"]),
        "where the frame is held",
    ),
    key(
        "frame.width",
        Q(Length),
        "width of the housing across both faces",
    ),
    key("frame.width_min", Q(Length), "least width allowed"),
    key("frame.width_max", Q(Length), "greatest width allowed"),
    key(
        "frame.reading[].at",
        Clock,
        "clock position of a width reading, seen from the drive side",
    ),
    key("frame.reading[].width", Q(Length), "width there"),
    key(
        "frame.instrument",
        Text,
        "name of the [instrument.NAME] that read the widths; else `caliper`",
    ),
    key(
        "frame.edge_distance",
        Q(Length),
        "from the insert's centre to the nearest free edge",
    ),
    key(
        "frame.temperature_limit",
        Q(Temperature),
        "what the parent and its finish stand",
    ),
    key(
        "condition.no_crack",
        Condition,
        "no crack in insert, frame or fitting",
    ),
    key(
        "condition.not_moved",
        Condition,
        "the insert has not moved in the frame",
    ),
    key(
        "condition.no_crash",
        Condition,
        "no crash or overload in its history",
    ),
    key(
        "condition.unregulated_use",
        Condition,
        "no passengers, child seats, motor or regulated use",
    ),
    key(
        "condition.face_clean",
        Condition,
        "the seat is bare, clean and free of paint",
    ),
    key(
        "condition.thread_starts_by_hand",
        Condition,
        "the fitting starts by hand",
    ),
    key(
        "condition.prepared",
        Condition,
        "the surfaces were prepared as `bond.preparation` says",
    ),
    key("condition.cured", Condition, "the glue is fully cured"),
    key("bond.adhesive", Row("adhesives"), "class of the glue"),
    key("bond.length", Q(Length), "glued length"),
    key(
        "bond.thickness",
        Q(Length),
        "thickness of the glue layer, per side",
    ),
    key("bond.bore", Q(Length), "bore that the insert is glued into"),
    key(
        "bond.reading[].at",
        Clock,
        "clock position of a bore reading",
    ),
    key("bond.reading[].depth", Q(Length), "how deep it was taken"),
    key("bond.reading[].bore", Q(Length), "bore there"),
    key("bond.voids", Q(Number), "share of the area without glue"),
    key(
        "bond.preparation",
        Row("preparations"),
        "how the surfaces were prepared",
    ),
    key("bond.isolated", Flag, "a barrier between metal and carbon"),
    key("bond.ply", Q(Length), "thickness of that barrier"),
    key(
        "bond.eccentricity",
        Q(Length),
        "how far the insert may sit off the bore's centre",
    ),
    key("bond.beads", Q(Length), "size of spacer beads in the glue"),
    key(
        "bond.environment",
        Choice(&["dry", "indoor", "outdoor", "salt"]),
        "where it lives",
    ),
    key(
        "bond.cure_temperature",
        Q(Temperature),
        "temperature at which the glue set",
    ),
    key("bond.coldest", Q(Temperature), "coldest in service"),
    key("bond.hottest", Q(Temperature), "hottest in service"),
    key(
        "fitting.material",
        Row("materials"),
        "material of what screws in",
    ),
    key(
        "fitting.bore",
        Q(Length),
        "bore through the fitting; 0 for a solid screw",
    ),
    key(
        "fitting.neck_diameter",
        Q(Length),
        "outside diameter of the wall under the flange",
    ),
    key(
        "fitting.flange_diameter",
        Q(Length),
        "outer diameter of the flange or head",
    ),
    key(
        "fitting.flange_thickness",
        Q(Length),
        "thickness of the flange or head",
    ),
    key(
        "fitting.bearing_outboard",
        Q(Length),
        "bearing mid-plane outside the face that the flange bears on; − inside",
    ),
    key(
        "clamped.thickness",
        Q(Length),
        "thickness of a part between head and boss",
    ),
    key("clamped.material", Row("materials"), "its material"),
    key("clamped.outer_diameter", Q(Length), "its outer diameter"),
    key(
        "clamped.bears_on",
        Choice(&["insert", "frame", "both"]),
        "what it bears on",
    ),
    key(
        "seat.inner_diameter",
        Q(Length),
        "inner diameter of the ring that the face supports",
    ),
    key(
        "seat.outer_diameter",
        Q(Length),
        "outer diameter of that ring",
    ),
    key(
        "seat.face_strength",
        Q(Stress),
        "crush strength of the face",
    ),
    key(
        "seat.gap[].at",
        Clock,
        "clock position of a feeler reading, seen from outside",
    ),
    key(
        "seat.gap[].gap",
        Q(Length),
        "the gap there: goes .. does not go",
    ),
    key("tightening.torque", Q(Torque), "tightening torque"),
    key(
        "tightening.lubrication",
        Row("friction"),
        "state of thread and seat",
    ),
    key(
        "tightening.thread_friction",
        Q(Number),
        "friction coefficient of the thread, as a range",
    ),
    key(
        "tightening.seat_friction",
        Q(Number),
        "friction coefficient of the seat, as a range",
    ),
    key(
        "tightening.relaxation",
        Q(Number),
        "share of preload lost after tightening",
    ),
    key(
        "tightening.embedding",
        Q(Length),
        "surface settling after tightening",
    ),
    key(
        "tightening.retightened",
        Flag,
        "tightened again after the first use",
    ),
    key(
        "tightening.removal_torque",
        Q(Torque),
        "what it takes to undo",
    ),
    key(
        "tightening.wrench_length",
        Q(Length),
        "length of the wrench, grip to drive",
    ),
    key(
        "tightening.extension",
        Q(Length),
        "crowfoot or extension in line with it",
    ),
    key(
        "tightening.maker_torque",
        Q(Torque),
        "the maker's range, or a list of ranges",
    ),
    key(
        "tightening.maker_torque[]",
        Q(Torque),
        "one of the makers' ranges",
    ),
    key("tool.range", Q(Torque), "range of the torque wrench"),
    key(
        "tool.direction",
        Choice(&["right", "left", "both"]),
        "direction in which it measures",
    ),
    key("pedalling.force", Q(Force), "force on one pedal"),
    key(
        "pedalling.pedal_offset",
        Q(Length),
        "from the centre plane to the force",
    ),
    key("pedalling.crank", Q(Length), "crank length"),
    key(
        "pedalling.chainring_radius",
        Q(Length),
        "pitch radius of the chainring",
    ),
    key(
        "pedalling.chainline",
        Q(Length),
        "from the centre plane to the chain, + towards the drive side",
    ),
    key(
        "pedalling.inclination",
        Q(Angle),
        "of the force from the plane of the wheel",
    ),
    key(
        "pedalling.crank_angle",
        Q(Angle),
        "below horizontal forward",
    ),
    key(
        "pedalling.cycles",
        Q(Number),
        "number of cycles, recorded only",
    ),
    key(
        "pedalling.far_bearing_outboard",
        Q(Length),
        "the far side's bearing outside its face",
    ),
    key(
        "loads.axial",
        Q(Force),
        "direct pull on the insert, + outward",
    ),
    key(
        "loads.radial",
        Q(Force),
        "direct load across the axis, at the face",
    ),
    key("loads.moment", Q(Torque), "direct moment about the face"),
    key(
        "loads.torque",
        Q(Torque),
        "direct torque about the axis in service",
    ),
    key("case[].name", Text, "name of a further load case"),
    key(
        "case[].kind",
        Choice(&["repeated", "rare"]),
        "rare cases count in service and opening, not in endurance",
    ),
    key("case[].coldest", Q(Temperature), "coldest in this case"),
    key("case[].hottest", Q(Temperature), "hottest in this case"),
    key("need.strip", Q(Number), "ratio required of stripping"),
    key(
        "need.hoop",
        Q(Number),
        "ratio required of the insert's hoop yield",
    ),
    key("need.neck", Q(Number), "ratio required of the neck"),
    key("need.flange", Q(Number), "ratio required of the flange"),
    key("need.bond", Q(Number), "ratio required of the glue"),
    key(
        "need.bond_endurance",
        Q(Number),
        "ratio required of the glue in endurance and under lasting load",
    ),
    key("need.crush", Q(Number), "ratio required of the face"),
    key(
        "need.seat_open",
        Q(Number),
        "ratio required against opening",
    ),
    key("need.slip", Q(Number), "ratio required against slip"),
    key(
        "need.removal",
        Q(Number),
        "ratio required of the glue on removal",
    ),
    key(
        "need.contact",
        Q(Number),
        "share of the ring that must bear",
    ),
    key(
        "need.wall",
        Q(Length),
        "wall of the insert that a repair leaves under the thread's root",
    ),
    key("variant[].name", Text, "name of a variant"),
    key("variant[].set.*", Text, "entries that the variant changes"),
    key("damage.missing_turns", Q(Number), "turns that are gone"),
    key(
        "damage.wear",
        Q(Length),
        "depth worn off the crest of the insert's thread, per side",
    ),
    key("damage.corrosion", Text, "what was found"),
    key(
        "damage.wall_measured",
        Q(Length),
        "thinnest wall of the insert found under its thread",
    ),
    key(
        "damage.cause_known",
        Flag,
        "the cause of the damage is known",
    ),
    key("damage.sector[].from", Clock, "start of a damaged sector"),
    key("damage.sector[].to", Clock, "its end, clockwise from there"),
    key("damage.sector[].turns", Q(Number), "turns gone in it"),
    key(
        "route[].name",
        Text,
        "a repair route, built in or of your own; \"any\" stands for all, \"bushing joint\" for the glue of a bushing",
    ),
    key("route[].price", Q(Number), "its price, parts included"),
    key("route[].hours", Q(Number), "its hours"),
    key("route[].rate", Q(Number), "your price of an hour"),
    key(
        "route[].parts",
        Q(Number),
        "price of its parts and material",
    ),
    key("route[].set.*", Text, "entries that the route changes"),
    key(
        "spindle.nominal",
        Q(Length),
        "nominal diameter of the spindle",
    ),
    key(
        "spindle.class",
        Text,
        "ISO 286 class that the spindle is made to, such as h6; judged where it was not read, else compared",
    ),
    key(
        "spindle.instrument",
        Text,
        "name of the [instrument.NAME] that read it; else `micrometer`",
    ),
    key(
        "spindle.reading[].at",
        Q(Length),
        "station of a spindle reading, from any fixed end",
    ),
    key(
        "spindle.reading[].angle",
        Clock,
        "direction across which it was taken, for out-of-round",
    ),
    key(
        "spindle.reading[].size",
        Q(Length),
        "size there; the same station again is a repeat",
    ),
    key(
        "bearing.bore",
        Q(Length),
        "bore of the bearing: nominal, or with a spread as measured, which then replaces the class",
    ),
    key(
        "bearing.class",
        Choice(&["normal", "P0", "P6", "P5"]),
        "its ISO 492 tolerance class; P0 is another name of normal",
    ),
    key("bearing.width", Q(Length), "its width"),
    key("stack.part[].name", Text, "name of a part of the stack"),
    key(
        "stack.part[].width",
        Q(Length),
        "its width, with or without a spread",
    ),
    key(
        "stack.part[].count",
        Q(Number),
        "how many of them there are; each varies on its own",
    ),
    key(
        "stack.part[].side",
        Choice(&["spindle", "housing"]),
        "spindle: a length between its shoulder and the adjuster backed off, which gives room; housing: a width that takes it",
    ),
    key(
        "stack.adjuster_travel",
        Q(Length),
        "how far the adjuster closes from backed off to bottomed",
    ),
    key(
        "stack.adjuster_pitch",
        Q(Pitch),
        "pitch of the adjuster's thread",
    ),
    key(
        "stack.end_float",
        Q(Length),
        "end float wanted after adjusting",
    ),
    key(
        "instrument.*.error",
        Q(Length),
        "limit of error of a measuring instrument: `feeler` (gaps given as one value), `caliper`, `micrometer`, or a name of your own",
    ),
    key("record.object", Text, "what it is: type, serial number"),
    key(
        "record.complaint",
        Text,
        "the complaint in its owner's words",
    ),
    key(
        "record.as_found",
        Text,
        "what was found, with clock positions",
    ),
    key("record.cause", Text, "the cause, or that it was not found"),
    key("record.done", Text, "what was done"),
    key(
        "record.materials",
        Text,
        "glue with batch and date, primer, ply, abrasive, lubricant",
    ),
    key("record.not_checked", Text, "what was not looked at"),
    key("record.by", Text, "who did the work"),
    key("record.date", Text, "when"),
    key(
        "record.instruments",
        Text,
        "instruments used, with calibration date",
    ),
    key("record.recheck", Text, "when to look again"),
    key("record.planned_route", Text, "repair route planned"),
    key("record.actual_route", Text, "repair route taken"),
    key("record.planned_thread", Text, "thread planned"),
    key("record.actual_thread", Text, "thread cut"),
    key(
        "record.planned_torque",
        Q(Torque),
        "torque planned, else tightening.torque",
    ),
    key("record.actual_torque", Q(Torque), "torque applied"),
    key(
        "record.planned_removal_torque",
        Q(Torque),
        "highest torque meant for undoing",
    ),
    key(
        "record.actual_removal_torque",
        Q(Torque),
        "torque that it took to undo",
    ),
    key(
        "record.planned_facing",
        Q(Length),
        "depth to be faced off on this side",
    ),
    key("record.actual_facing", Q(Length), "depth faced off"),
    key(
        "record.planned_width",
        Q(Length),
        "width across the faces planned",
    ),
    key(
        "record.actual_width",
        Q(Length),
        "width found after the work",
    ),
    key(
        "record.planned_gap",
        Q(Length),
        "glue layer per side planned",
    ),
    key("record.actual_gap", Q(Length), "glue layer per side found"),
    key(
        "record.planned_cure_temperature",
        Q(Temperature),
        "cure temperature planned",
    ),
    key(
        "record.actual_cure_temperature",
        Q(Temperature),
        "cure temperature of the part as measured",
    ),
    key(
        "material.*.kind",
        Choice(&["metal", "laminate"]),
        "what sort of material",
    ),
    key("material.*.elastic_modulus", Q(Stress), "elastic modulus"),
    key("material.*.poisson", Q(Number), "Poisson's ratio"),
    key(
        "material.*.shear_modulus",
        Q(Stress),
        "shear modulus, else as of an isotropic material",
    ),
    key(
        "material.*.axial_modulus",
        Q(Stress),
        "elastic modulus along the axis, for `elements`; else elastic_modulus",
    ),
    key(
        "material.*.hoop_modulus",
        Q(Stress),
        "elastic modulus round the axis, for `elements`; else elastic_modulus",
    ),
    key(
        "material.*.radial_modulus",
        Q(Stress),
        "elastic modulus across the wall, for `elements`; else elastic_modulus",
    ),
    key(
        "material.*.family",
        Choice(&["steel", "other"]),
        "what shops leave of it under a new thread: as of steel, or as of other metals",
    ),
    key("material.*.yield", Q(Stress), "yield strength"),
    key("material.*.tensile", Q(Stress), "tensile strength"),
    key(
        "material.*.shear",
        Q(Stress),
        "ultimate shear strength, else 0.6 of the tensile",
    ),
    key(
        "material.*.face_strength",
        Q(Stress),
        "crush strength of a face",
    ),
    key(
        "material.*.interlaminar_tension",
        Q(Stress),
        "tension across the plies",
    ),
    key(
        "material.*.interlaminar_shear",
        Q(Stress),
        "shear between the plies",
    ),
    key("material.*.expansion", Q(Expansion), "thermal expansion"),
    key("material.*.anodic_index", Q(Potential), "anodic index"),
    key(
        "material.*.conducts",
        Flag,
        "conducts; false for glass, wood or plastic, which make no pair with a metal",
    ),
    key("material.*.source", Text, "where the row comes from"),
    key("adhesive.*.shear_modulus", Q(Stress), "shear modulus"),
    key("adhesive.*.poisson", Q(Number), "Poisson's ratio"),
    key("adhesive.*.shear_strength", Q(Stress), "shear strength"),
    key(
        "adhesive.*.tensile_strength",
        Q(Stress),
        "strength across the layer",
    ),
    key(
        "adhesive.*.plastic_shear_strain",
        Q(Number),
        "plastic shear strain; 0 is brittle",
    ),
    key(
        "adhesive.*.ageing_factor",
        Q(Number),
        "share left after ageing",
    ),
    key(
        "adhesive.*.hot_temperature",
        Q(Temperature),
        "hottest temperature with data",
    ),
    key("adhesive.*.hot_factor", Q(Number), "share left there"),
    key(
        "adhesive.*.endurance_share",
        Q(Number),
        "share of static strength for 1e6 cycles at R = 0.1",
    ),
    key(
        "adhesive.*.creep_share",
        Q(Number),
        "share of static strength under lasting load",
    ),
    key("adhesive.*.expansion", Q(Expansion), "thermal expansion"),
    key("adhesive.*.gap_min", Q(Length), "thinnest layer"),
    key("adhesive.*.gap_max", Q(Length), "thickest layer"),
    key("adhesive.*.mix_ratio", Text, "mixing ratio"),
    key("adhesive.*.density", Q(Density), "density"),
    key(
        "adhesive.*.cure_temperature",
        Q(Temperature),
        "the least temperature at which it cures, where a room is too cold",
    ),
    key(
        "adhesive.*.metal_only",
        Flag,
        "cures between metals alone, not on a laminate",
    ),
    key("adhesive.*.source", Text, "where the row comes from"),
    key(
        "friction.*.thread",
        Q(Number),
        "friction coefficient of the thread, as a range",
    ),
    key(
        "friction.*.seat",
        Q(Number),
        "friction coefficient of the seat, as a range",
    ),
    key(
        "friction.*.locker",
        Flag,
        "a thread locker: it cures, and undoing takes more than this row says",
    ),
    key("friction.*.source", Text, "where the row comes from"),
    key(
        "preparation.*.factor",
        Q(Number),
        "share of the strength that this preparation gives",
    ),
    key("preparation.*.source", Text, "where the row comes from"),
    key(
        "threads.*.form",
        Choice(&["iso", "whitworth", "cycle"]),
        "form of the thread",
    ),
    key(
        "threads.*.stress_area",
        Choice(&["metric", "unified"]),
        "which stress area",
    ),
    key("threads.*.major", Q(Length), "basic major diameter"),
    key("threads.*.pitch", Q(Pitch), "pitch"),
    key(
        "threads.*.external_major_min",
        Q(Length),
        "least major diameter of the external thread",
    ),
    key(
        "threads.*.external_pitch_min",
        Q(Length),
        "least pitch diameter of the external thread",
    ),
    key(
        "threads.*.internal_minor_max",
        Q(Length),
        "greatest minor diameter of the internal thread",
    ),
    key(
        "threads.*.internal_pitch_max",
        Q(Length),
        "greatest pitch diameter of the internal thread",
    ),
    key("threads.*.source", Text, "where the row comes from"),
];

/// The tree of all paths: for each pattern its key, if it is an entry.
struct Tree {
    nodes: BTreeMap<String, Option<&'static Key>>,
    children: BTreeMap<String, Vec<&'static str>>,
}

fn tree() -> &'static Tree {
    static TREE: OnceLock<Tree> = OnceLock::new();
    TREE.get_or_init(|| {
        let mut tree = Tree {
            nodes: BTreeMap::new(),
            children: BTreeMap::new(),
        };
        for key in KEYS {
            tree.add("", key);
            if SIDE_TABLES
                .iter()
                .any(|t| key.path.split(['.', '[']).next() == Some(t))
            {
                tree.add("side[].", key);
            }
            if CASE_KEYS.iter().any(|c| key.path.starts_with(c)) {
                tree.add("case[].", key);
            }
        }
        tree
    })
}

impl Tree {
    fn add(&mut self, prefix: &'static str, key: &'static Key) {
        let mut at = prefix.trim_end_matches('.').to_string();
        for part in key.path.split('.') {
            let name = part.trim_end_matches("[]");
            let parent = at.clone();
            let known = self.children.entry(parent.clone()).or_default();
            if !known.contains(&name) {
                known.push(name);
            }
            at = join(&parent, name);
            self.nodes.entry(at.clone()).or_insert(None);
            if part.ends_with("[]") {
                at.push_str("[]");
                self.nodes.entry(at.clone()).or_insert(None);
            }
        }
        self.nodes.insert(at, Some(key));
    }
}

fn join(parent: &str, name: &str) -> String {
    if parent.is_empty() {
        name.to_string()
    } else {
        format!("{parent}.{name}")
    }
}

/// The pattern of `name` below a pattern, if there is such a key.
pub fn child(pattern: &str, name: &str) -> Option<String> {
    let tree = tree();
    [join(pattern, name), join(pattern, "*")]
        .into_iter()
        .find(|p| tree.nodes.contains_key(p))
}
/// What the key at a pattern takes; nothing for a table.
pub fn takes(pattern: &str) -> Option<Takes> {
    entry(pattern).map(|key| key.takes)
}
/// The key at a pattern; nothing for a table.
pub fn entry(pattern: &str) -> Option<&'static Key> {
    tree().nodes.get(pattern).copied().flatten()
}
/// May a reader choose the names below a pattern?
pub fn open_names(pattern: &str) -> bool {
    tree().nodes.contains_key(&join(pattern, "*"))
}
/// Does an array stand at this pattern?
pub fn is_array(pattern: &str) -> bool {
    tree().nodes.contains_key(&format!("{pattern}[]"))
}
/// The keys known below a pattern.
pub fn children(pattern: &str) -> Vec<&'static str> {
    tree().children.get(pattern).map_or_else(Vec::new, |c| {
        c.iter().copied().filter(|k| *k != "*").collect()
    })
}

/// Cuts a path such as `material."6061.T6".yield` into its parts; an index stays with its array.
pub fn parts(path: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for c in path.chars() {
        match c {
            '"' => quoted = !quoted,
            '.' if !quoted => out.push(String::new()),
            c => out.last_mut().into_iter().for_each(|p| p.push(c)),
        }
    }
    out
}

/// The pattern of a path as a user writes it.
///
/// # Errors
/// The pattern of the last table that is known, and the part that is not known in it.
pub fn pattern_of(path: &str) -> Result<String, (String, String)> {
    let mut pattern = String::new();
    for part in parts(path) {
        let (name, indexed) = part
            .split_once('[')
            .map_or((part.as_str(), false), |(n, _)| (n, true));
        let Some(next) = child(&pattern, name.trim()) else {
            return Err((pattern, name.to_string()));
        };
        pattern = next;
        if indexed {
            pattern.push_str("[]");
            if !tree().nodes.contains_key(&pattern) {
                return Err((pattern.clone(), part.clone()));
            }
        }
    }
    Ok(pattern)
}
