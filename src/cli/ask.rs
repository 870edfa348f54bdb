//! `new --ask`: asks for what is needed, question by question. "Don't know" is always an answer.

use super::Failure;
use crate::job::{Document, resolve};
use crate::tables;
use crate::units::parse::{self, Kind};
use std::io::BufRead;

/// What an answer may be.
#[derive(Clone, Copy)]
enum Takes {
    /// A quantity of zero or more.
    Quantity(Kind),
    /// A quantity with a sign.
    Signed(Kind),
    Text,
    Choice(&'static [&'static str]),
    Row(&'static str, &'static str),
    Thread,
    Condition,
}

/// What "don't know" comes to.
#[derive(Clone, Copy, PartialEq)]
enum Unknown {
    /// The job says `"unknown"`: the weakest plausible value stands in.
    Written,
    /// The key is left out: its default stands in.
    Default,
    /// It is needed: the job is not complete without it.
    Needed,
}

/// One question.
struct Question {
    key: &'static str,
    ask: &'static str,
    /// How to find it out.
    how: &'static str,
    takes: Takes,
    unknown: Unknown,
    /// Asked for a crank housing alone, for a boss alone, or for both.
    only: Option<&'static str>,
}

const fn q(
    key: &'static str,
    ask: &'static str,
    how: &'static str,
    takes: Takes,
    unknown: Unknown,
) -> Question {
    Question {
        key,
        ask,
        how,
        takes,
        unknown,
        only: None,
    }
}
const fn only(what: &'static str, mut question: Question) -> Question {
    question.only = Some(what);
    question
}

use Kind::{Force, Length, Number, Torque};
use Takes::{Choice, Condition, Quantity as Q, Row, Signed, Text, Thread};
use Unknown::{Default, Needed, Written};

const CRANK: &str = "crank-housing";
const BOSS: &str = "boss";
const DAMAGED: &str = "damaged-sleeve";

const QUESTIONS: &[Question] = &[
    q(
        "job.title",
        "What is this job called?",
        "any words that tell this job from others",
        Text,
        Default,
    ),
    only(
        CRANK,
        q(
            "job.side",
            "Which side is it?",
            "sit on it and look ahead: drive is the rider's right",
            Choice(&["drive", "non-drive"]),
            Default,
        ),
    ),
    q(
        "condition.no_crack",
        "Is it free of cracks?",
        "good light, a loupe round the rim of the insert, the paint around it",
        Condition,
        Written,
    ),
    q(
        "condition.not_moved",
        "Has the insert stayed where it was in the frame?",
        "no cracked paint or glue line round the rim, no powder, no step, no play by hand; a pen line from earlier still meets. If you cannot tell: ?",
        Condition,
        Written,
    ),
    q(
        "condition.no_crash",
        "Is it free of any crash or overload?",
        "ask the owner, and look for marks",
        Condition,
        Written,
    ),
    q(
        "condition.unregulated_use",
        "Does no passenger, child seat, motor or regulated use hang on it?",
        "ask what it carries, and what drives it",
        Condition,
        Written,
    ),
    q(
        "thread.designation",
        "Which thread is it?",
        "measure the old fitting over its crests and count its pitch, then run: insertwright identify --major … --pitch …",
        Thread,
        Needed,
    ),
    q(
        "thread.hand",
        "Hand of the thread?",
        "left where the fitting goes in anticlockwise, seen by somebody who faces it: see which way the old one turns; `insertwright tables threads` says which is usual",
        Choice(&["right", "left"]),
        Needed,
    ),
    q(
        "thread.engaged",
        "Over what length do the two threads overlap?",
        "screw the fitting home by fingers, count the turns from the first bite, and multiply by the pitch",
        Q(Length),
        Needed,
    ),
    q(
        "insert.material",
        "Metal of the insert?",
        "the builder's drawing; a magnet that holds says steel; one that does not says little (aluminium, titanium, brass, stainless): then ?",
        Row("materials", "material"),
        Written,
    ),
    q(
        "insert.outer_diameter",
        "Outer diameter of the insert where it is glued?",
        "a caliper over the insert before it is glued; glued in, the bore's drawing, or the visible ring at the face",
        Q(Length),
        Needed,
    ),
    q(
        "insert.length",
        "Length of the insert?",
        "a depth gauge from its face to its inner end",
        Q(Length),
        Needed,
    ),
    q(
        "insert.face_offset",
        "How far does its face stand proud of the frame's? Minus where it stands back.",
        "a straight edge over both faces and a feeler leaf under it",
        Signed(Length),
        Default,
    ),
    q(
        "frame.material",
        "Material of the wall around it?",
        "look at a cut edge or ask the builder",
        Row("materials", "material"),
        Written,
    ),
    q(
        "frame.outer_diameter",
        "Outer diameter of that wall?",
        "a caliper over the outside; for a panel, twice the distance to its nearest edge",
        Q(Length),
        Needed,
    ),
    only(
        CRANK,
        q(
            "frame.width",
            "Width of the housing across both faces?",
            "a caliper across both faces, at four places",
            Q(Length),
            Needed,
        ),
    ),
    q(
        "bond.adhesive",
        "Class of the glue?",
        "the builder's record or the pack; a row of its class, not its name",
        Row("adhesives", "adhesive"),
        Written,
    ),
    q(
        "bond.thickness",
        "Thickness of the glue layer, per side?",
        "half of what the bore is wider than the insert",
        Q(Length),
        Needed,
    ),
    q(
        "bond.preparation",
        "How were the surfaces prepared?",
        "the builder's record; what nobody saw is not known",
        Row("preparations", "preparation"),
        Written,
    ),
    q(
        "bond.voids",
        "What share of the area has no glue?",
        "tap round the rim, look for glue squeezed out all round; mostly not known",
        Q(Number),
        Written,
    ),
    q(
        "bond.environment",
        "Where does it live?",
        "ask the owner; salt is a coast, salted roads, or sweat on a trainer",
        Choice(&["dry", "indoor", "outdoor", "salt"]),
        Default,
    ),
    q(
        "condition.prepared",
        "Did you see the surfaces prepared so?",
        "yes only for what you saw or did",
        Condition,
        Written,
    ),
    q(
        "condition.cured",
        "Has the glue cured in full?",
        "time and temperature as the adhesive's maker asks; the rest of the mix is hard",
        Condition,
        Written,
    ),
    q(
        "fitting.material",
        "Material of what screws in?",
        "the maker's sheet; a magnet that holds says steel; one that does not says little (aluminium, titanium, brass, stainless): then ?",
        Row("materials", "material"),
        Written,
    ),
    only(
        CRANK,
        q(
            "fitting.bore",
            "Bore through it? Most cups are hollow.",
            "a caliper inside it, at the thread; 0 mm where it is solid",
            Q(Length),
            Needed,
        ),
    ),
    only(
        BOSS,
        q(
            "fitting.bore",
            "Bore through it? 0 mm for a solid screw.",
            "a caliper inside it",
            Q(Length),
            Default,
        ),
    ),
    q(
        "fitting.flange_diameter",
        "Outer diameter of its flange or head?",
        "a caliper over the flange",
        Q(Length),
        Needed,
    ),
    q(
        "fitting.flange_thickness",
        "Thickness of the flange or head?",
        "a caliper across the flange",
        Q(Length),
        Needed,
    ),
    only(
        CRANK,
        q(
            "fitting.bearing_outboard",
            "How far outside the face does the middle of the bearing stand?",
            "from the face to the middle of the bearing, a ruler or the maker's drawing; minus where it sits inside",
            Signed(Length),
            Needed,
        ),
    ),
    q(
        "condition.face_clean",
        "Is the seat bare, clean and free of paint?",
        "bare metal or bare laminate all round; no paint, no old sealant",
        Condition,
        Written,
    ),
    q(
        "condition.thread_starts_by_hand",
        "Does the fitting start by fingers?",
        "three turns with fingers, clean, with a drop of oil (paste for titanium and stainless), before any tool",
        Condition,
        Written,
    ),
    q(
        "tightening.torque",
        "Tightening torque?",
        "the makers' instructions of fitting and frame; the narrower range rules",
        Q(Torque),
        Needed,
    ),
    q(
        "tightening.lubrication",
        "State of thread and seat?",
        "look at the thread: greased, dry, anti-seize",
        Row("friction", "friction"),
        Written,
    ),
    q(
        "tightening.maker_torque",
        "The makers' range of torque?",
        "the makers' instructions of fitting and frame",
        Q(Torque),
        Default,
    ),
    only(
        CRANK,
        q(
            "pedalling.force",
            "Force on one pedal?",
            "`insertwright tables pedalling` lists forces by class of vehicle",
            Q(Force),
            Needed,
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.pedal_offset",
            "From the centre plane to the middle of the pedal?",
            "a ruler from the middle of the frame to the middle of the pedal",
            Q(Length),
            Needed,
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.crank",
            "Length of the crank?",
            "stamped on the crank, or from axis to axis",
            Q(Length),
            Needed,
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.chainring_radius",
            "Pitch radius of the chainring?",
            "half of what the chain's path measures across the chainring",
            Q(Length),
            Needed,
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.chainline",
            "From the centre plane to the chain?",
            "a ruler from the middle of the frame to the middle of the chainring",
            Q(Length),
            Needed,
        ),
    ),
    only(
        BOSS,
        q(
            "loads.axial",
            "Pull on the insert, outward?",
            "what hangs on it, in the direction of the screw; 9.8 N for every kilogram at rest. On the road or at sea the same weight pulls several times as hard: enter what it is at most",
            Signed(Force),
            Default,
        ),
    ),
    only(
        BOSS,
        q(
            "loads.radial",
            "Load across it, at the face?",
            "what hangs on it, across the screw; 9.8 N for every kilogram at rest. On the road or at sea the same weight pulls several times as hard: enter what it is at most",
            Signed(Force),
            Default,
        ),
    ),
    only(
        BOSS,
        q(
            "loads.moment",
            "Moment about its face?",
            "a load that stands off the face, times how far it stands off",
            Signed(Torque),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "tightening.removal_torque",
            "What did it take to undo the fitting?",
            "what a dial or beam wrench showed when it let go, within its range; a click wrench does not tell. Leave it out if it was not measured, and stop at the first shift",
            Q(Torque),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.missing_turns",
            "How many turns are gone all the way round?",
            "from the mouth, count the turns that are gone at 12, 3, 6 and 9 o'clock; the least of the four is what is gone all round",
            Q(Number),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.wear",
            "How much is worn off the crests, per side?",
            "half of what the bore across the crests has grown by",
            Q(Length),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.wall_measured",
            "Thinnest wall of the insert found under its thread? 0 mm where the laminate shows.",
            "with the fitting out: outer diameter less the root, halved; or a thin caliper at the rim",
            Q(Length),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.corrosion",
            "What corrosion was found, in words?",
            "powder, pits, lifted paint; none where there is none",
            Text,
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.cause_known",
            "Is the cause of the damage known?",
            "why did it fail: wrong thread forced in, loose and ridden, corrosion, crash?",
            Condition,
            Default,
        ),
    ),
];

/// What the questions came to.
pub struct Asked {
    /// The job file.
    pub text: String,
    /// Keys that are needed and were not known, with how to find them out.
    pub missing: Vec<(&'static str, &'static str)>,
    /// What is wrong with the job all the same.
    pub wrong: Vec<String>,
}

/// Is this one of the ways to say that one does not know?
fn not_known(answer: &str) -> bool {
    let folded = answer.trim().to_lowercase().replace('’', "'");
    [
        "",
        "?",
        "unknown",
        "don't know",
        "dont know",
        "do not know",
        "not known",
        "dunno",
        "no idea",
        "-",
    ]
    .contains(&folded.as_str())
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_string()).to_string()
}

/// An answer as the value of its key, or what is wrong with it.
fn value(takes: Takes, answer: &str) -> Result<String, String> {
    match takes {
        Text => Ok(quoted(answer)),
        Q(kind) | Signed(kind) => match parse::read(answer, kind) {
            Ok(spread) if spread.low < 0.0 && !matches!(takes, Signed(_)) => {
                Err("this cannot be negative".into())
            }
            Ok(_) => Ok(quoted(answer)),
            Err(e) => Err(format!("{}; {}", e.message, e.help)),
        },
        Choice(words) => words
            .iter()
            .find(|w| w.eq_ignore_ascii_case(answer))
            .map(|w| quoted(w))
            .ok_or_else(|| format!("answer one of: {}", words.join(", "))),
        Condition => match answer.to_lowercase().as_str() {
            "yes" | "y" | "true" => Ok("true".into()),
            "no" | "n" | "false" => Ok("false".into()),
            _ => Err("answer yes, no or ?".into()),
        },
        Thread => crate::job::designation::by_name(answer)
            .map(|_| quoted(answer))
            .map_err(|e| format!("{}; {}", e.message, e.help)),
        Row(table, group) => {
            let found = tables::table(table).and_then(|t| t.row(group, answer));
            found.map(|row| quoted(row.name)).ok_or_else(|| {
                let near = tables::table(table).map_or_else(String::new, |t| {
                    t.near(group, answer).join(", ")
                });
                format!("no such row; the nearest are: {near}; `insertwright tables {table}` lists them all")
            })
        }
    }
}

/// What an answer looks like.
fn answers(takes: Takes) -> String {
    let rows = |table: &str, group: &str| {
        let rows = tables::table(table).map(|t| t.rows()).unwrap_or_default();
        let names: Vec<&str> = rows
            .iter()
            .filter(|r| r.group == group && !r.name.starts_with("unknown"))
            .map(|r| r.name)
            .collect();
        names.join(", ")
    };
    match takes {
        Text => "words".into(),
        Q(kind) | Signed(kind) => match kind {
            Kind::Length => "a length with its unit, such as 12.5 mm, 1/2 in or 12 ± 0.1 mm".into(),
            Kind::Force => "a force with its unit, such as 800 N or 180 lbf".into(),
            Kind::Torque => {
                "a torque with its unit, such as 40 N·m, 350 in·lbf or 35 .. 50 N·m".into()
            }
            _ => "a number, such as 3, 0.1 or 10 %".into(),
        },
        Choice(words) => words.join(", "),
        Condition => "yes, no".into(),
        Thread => "a thread, such as 1.37 in x 24 tpi, M6 or 1/4-20 UNC".into(),
        Row(table, group) => format!("one of {}", rows(table, group)),
    }
}

/// Asks one question until the answer can be read; nothing where it is not known. Every part stands on a line of
/// its own, also where nobody types.
fn ask(
    input: &mut dyn BufRead,
    question: &str,
    how: &str,
    takes: Takes,
    more: &mut bool,
) -> Result<Option<String>, Failure> {
    if !*more {
        return Ok(None);
    }
    let line = |mark: &str, text: &str| {
        let rest = " ".repeat(mark.chars().count());
        let options = textwrap::Options::new(WIDTH)
            .initial_indent(mark)
            .subsequent_indent(&rest);
        eprintln!("{}", textwrap::fill(text, options));
    };
    eprintln!();
    line("", question);
    line("  how:    ", how);
    line(
        "  answer: ",
        &format!("{}; ? where you do not know", answers(takes)),
    );
    loop {
        let mut bytes = Vec::new();
        let read = std::io::Read::take(&mut *input, LONGEST_ANSWER)
            .read_until(b'\n', &mut bytes)
            .map_err(|e| Failure::Call(format!("standard input cannot be read: {e}")))?;
        if read as u64 == LONGEST_ANSWER && !bytes.ends_with(b"\n") {
            return Err(Failure::Call(format!(
                "standard input: an answer goes on after {LONGEST_ANSWER} bytes"
            )));
        }
        if read == 0 {
            *more = false;
            eprintln!("no more answers: this and the rest are taken as not known");
            return Ok(None);
        }
        // What is no text cannot be read as an answer either, and is said so below.
        let answer = String::from_utf8_lossy(&bytes);
        let answer = answer.trim();
        if not_known(answer) {
            return Ok(None);
        }
        match value(takes, answer) {
            Ok(value) => {
                if let (Row("materials", _), Some(state)) = (takes, resolve::bare_name(answer)) {
                    let weaker = state.weaker;
                    let note = format!(
                        "taken as {}; if the temper is not known, answer {weaker}",
                        state.taken_as
                    );
                    line("  note:   ", &note);
                }
                return Ok(Some(value));
            }
            Err(why) => line("  again:  ", &why),
        }
    }
}

/// The longest line that is read as an answer; a device gives lines without an end.
const LONGEST_ANSWER: u64 = 64 << 10;
/// Columns of a question.
const WIDTH: usize = 80;

/// Asks all questions. `kind` is the starter named on the command line, where one was.
pub fn run(kind: Option<&str>, input: &mut dyn BufRead) -> Result<Asked, Failure> {
    let mut more = true;
    eprintln!("One question after another; an empty line or ? means that you do not know.");
    let purpose = match kind {
        Some(BOSS) => BOSS,
        Some(_) => CRANK,
        None => {
            let words = Choice(&[CRANK, BOSS]);
            let said = ask(
                input,
                "What is the insert for?",
                "crank-housing where a crank turns in it (a bottom-bracket shell), boss for a screw",
                words,
                &mut more,
            )?;
            if said.as_deref() == Some("\"boss\"") {
                BOSS
            } else {
                CRANK
            }
        }
    };
    let mut sections: Vec<(&str, Vec<String>)> =
        vec![("job", vec![format!("use = {}", quoted(purpose))])];
    let mut missing = Vec::new();
    for question in QUESTIONS.iter().filter(|q| {
        q.only
            .is_none_or(|only| only == purpose || kind == Some(only))
    }) {
        let (table, key) = question
            .key
            .split_once('.')
            .unwrap_or(("job", question.key));
        let answer = ask(input, question.ask, question.how, question.takes, &mut more)?;
        let line = match answer {
            Some(value) => format!("{key} = {value}"),
            None => match question.unknown {
                Written => format!("{key} = \"unknown\""),
                Default => format!("# {key}: not known; its default stands in"),
                Needed => {
                    let how = question.how;
                    missing.push((question.key, how));
                    format!("# {key} is needed: {how}\n# {key} = \"\"")
                }
            },
        };
        match sections.iter_mut().find(|(name, _)| *name == table) {
            Some((_, lines)) => lines.push(line),
            None => sections.push((table, vec![line])),
        }
    }
    let mut text = String::from("# Written by `insertwright new --ask`.\n");
    for (table, lines) in &sections {
        text.push_str(&format!("\n[{table}]\n{}\n", lines.join("\n")));
    }
    let (document, found) = Document::parse("the job", &text);
    let mut wrong: Vec<String> = found.into_iter().map(|d| d.message).collect();
    if wrong.is_empty()
        && missing.is_empty()
        && let Err(found) = resolve::resolve(&document)
    {
        wrong.extend(
            found
                .into_iter()
                .map(|d| format!("{}; {}", d.message, d.help)),
        );
    }
    Ok(Asked {
        text,
        missing,
        wrong,
    })
}
