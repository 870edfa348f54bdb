//! `new --ask`: asks for what is needed, question by question. "Don't know" is always an answer.

use super::Failure;
use crate::job::{Document, resolve};
use crate::tables;
use crate::units::parse::{self, Kind};
use std::io::BufRead;

/// What an answer may be.
#[derive(Clone, Copy)]
enum Takes {
    Quantity(Kind),
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
    /// It is needed: how to find it out.
    Needed(&'static str),
}

/// One question.
struct Question {
    key: &'static str,
    ask: &'static str,
    takes: Takes,
    unknown: Unknown,
    /// Asked for a crank housing alone, for a boss alone, or for both.
    only: Option<&'static str>,
}

const fn q(key: &'static str, ask: &'static str, takes: Takes, unknown: Unknown) -> Question {
    Question {
        key,
        ask,
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
use Takes::{Choice, Condition, Quantity as Q, Row, Text, Thread};
use Unknown::{Default, Needed, Written};

const CRANK: &str = "crank-housing";
const BOSS: &str = "boss";
const DAMAGED: &str = "damaged-sleeve";

const QUESTIONS: &[Question] = &[
    q("job.title", "What is this job called?", Text, Default),
    only(
        CRANK,
        q(
            "job.side",
            "Which side is it? drive is the rider's right",
            Choice(&["drive", "non-drive"]),
            Default,
        ),
    ),
    q(
        "condition.no_crack",
        "Is it free of cracks, looked for in good light? yes or no",
        Condition,
        Written,
    ),
    q(
        "condition.not_moved",
        "Has the insert stayed where it was in the frame? yes or no",
        Condition,
        Written,
    ),
    q(
        "condition.no_crash",
        "Is it free of any crash or overload? yes or no",
        Condition,
        Written,
    ),
    q(
        "condition.unregulated_use",
        "Does no passenger, child seat, motor or regulated use hang on it? yes or no",
        Condition,
        Written,
    ),
    q(
        "thread.designation",
        "Which thread? such as \"1.37 in x 24 tpi\" or M6",
        Thread,
        Needed(
            "measure the old fitting over its crests and count its pitch, then run: insertwright identify --major … --pitch …",
        ),
    ),
    q(
        "thread.hand",
        "Hand of the thread? right or left",
        Choice(&["right", "left"]),
        Default,
    ),
    q(
        "thread.engaged",
        "Over what length do the two threads overlap?",
        Q(Length),
        Needed(
            "screw the fitting home by fingers, count the turns from the first bite, and multiply by the pitch",
        ),
    ),
    q(
        "insert.material",
        "Metal of the insert? a row of `tables materials`",
        Row("materials", "material"),
        Written,
    ),
    q(
        "insert.outer_diameter",
        "Outer diameter of the insert where it is glued?",
        Q(Length),
        Needed(
            "a caliper over the insert before it is glued; glued in, the bore's drawing, or the visible ring at the face",
        ),
    ),
    q(
        "insert.length",
        "Length of the insert?",
        Q(Length),
        Needed("a depth gauge from its face to its inner end"),
    ),
    q(
        "insert.face_offset",
        "How far does its face stand proud of the frame's? minus where it stands back",
        Q(Length),
        Default,
    ),
    q(
        "frame.material",
        "Material of the wall around it? a row of `tables materials`",
        Row("materials", "material"),
        Written,
    ),
    q(
        "frame.outer_diameter",
        "Outer diameter of that wall?",
        Q(Length),
        Needed("a caliper over the outside; for a panel, twice the distance to its nearest edge"),
    ),
    only(
        CRANK,
        q(
            "frame.width",
            "Width of the housing across both faces?",
            Q(Length),
            Needed("a caliper across both faces, at four places"),
        ),
    ),
    q(
        "bond.adhesive",
        "Class of the glue? a row of `tables adhesives`",
        Row("adhesives", "adhesive"),
        Written,
    ),
    q(
        "bond.thickness",
        "Thickness of the glue layer, per side?",
        Q(Length),
        Needed("half of what the bore is wider than the insert"),
    ),
    q(
        "bond.preparation",
        "How were the surfaces prepared? a row of `tables preparations`",
        Row("preparations", "preparation"),
        Written,
    ),
    q(
        "bond.voids",
        "Share of the area without glue, such as 10 %?",
        Q(Number),
        Written,
    ),
    q(
        "condition.prepared",
        "Did you see the surfaces prepared so? yes or no",
        Condition,
        Written,
    ),
    q(
        "condition.cured",
        "Has the glue cured in full? yes or no",
        Condition,
        Written,
    ),
    q(
        "fitting.material",
        "Material of what screws in? a row of `tables materials`",
        Row("materials", "material"),
        Written,
    ),
    q(
        "fitting.bore",
        "Bore through it? 0 mm for a solid screw",
        Q(Length),
        Default,
    ),
    q(
        "fitting.flange_diameter",
        "Outer diameter of its flange or head?",
        Q(Length),
        Needed("a caliper over the flange"),
    ),
    q(
        "fitting.flange_thickness",
        "Thickness of the flange or head?",
        Q(Length),
        Needed("a caliper across the flange"),
    ),
    only(
        CRANK,
        q(
            "fitting.bearing_outboard",
            "How far outside the face does the middle of the bearing stand?",
            Q(Length),
            Default,
        ),
    ),
    q(
        "condition.face_clean",
        "Is the seat bare, clean and free of paint? yes or no",
        Condition,
        Written,
    ),
    q(
        "condition.thread_starts_by_hand",
        "Does the fitting start by fingers? yes or no",
        Condition,
        Written,
    ),
    q(
        "tightening.torque",
        "Tightening torque?",
        Q(Torque),
        Needed("the makers' instructions of fitting and frame; the narrower range rules"),
    ),
    q(
        "tightening.lubrication",
        "State of thread and seat? a row of `tables friction`, such as greased or dry",
        Row("friction", "friction"),
        Needed("look at the thread: greased, dry, anti-seize"),
    ),
    q(
        "tightening.maker_torque",
        "The makers' range, such as 35 .. 50 N·m?",
        Q(Torque),
        Default,
    ),
    only(
        CRANK,
        q(
            "pedalling.force",
            "Force on one pedal?",
            Q(Force),
            Needed("`insertwright tables pedalling` lists forces by class of vehicle"),
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.pedal_offset",
            "From the centre plane to the middle of the pedal?",
            Q(Length),
            Needed("a ruler from the middle of the frame to the middle of the pedal"),
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.crank",
            "Length of the crank?",
            Q(Length),
            Needed("stamped on the crank, or from axis to axis"),
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.chainring_radius",
            "Pitch radius of the chainring?",
            Q(Length),
            Needed("half of what the chain's path measures across the chainring"),
        ),
    ),
    only(
        CRANK,
        q(
            "pedalling.chainline",
            "From the centre plane to the chain?",
            Q(Length),
            Needed("a ruler from the middle of the frame to the middle of the chainring"),
        ),
    ),
    only(
        BOSS,
        q(
            "loads.axial",
            "Pull on the insert, outward?",
            Q(Force),
            Default,
        ),
    ),
    only(
        BOSS,
        q(
            "loads.radial",
            "Load across it, at the face?",
            Q(Force),
            Default,
        ),
    ),
    only(
        BOSS,
        q("loads.moment", "Moment about its face?", Q(Torque), Default),
    ),
    only(
        DAMAGED,
        q(
            "damage.missing_turns",
            "How many turns are gone all the way round?",
            Q(Number),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.wear",
            "How much is worn off the crests, per side?",
            Q(Length),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.wall_measured",
            "Thinnest wall of the insert found under its thread? 0 mm where the laminate shows",
            Q(Length),
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.corrosion",
            "What corrosion was found, in words?",
            Text,
            Default,
        ),
    ),
    only(
        DAMAGED,
        q(
            "damage.cause_known",
            "Is the cause of the damage known? yes or no",
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
        "no idea",
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
        Q(kind) => parse::read(answer, kind)
            .map(|_| quoted(answer))
            .map_err(|e| format!("{}; {}", e.message, e.help)),
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

/// Asks one question until the answer can be read; nothing where it is not known.
fn ask(
    input: &mut dyn BufRead,
    prompt: &str,
    takes: Takes,
    more: &mut bool,
) -> Result<Option<String>, Failure> {
    loop {
        if !*more {
            return Ok(None);
        }
        eprint!("{prompt} [? = don't know] ");
        let mut line = String::new();
        let read = input
            .read_line(&mut line)
            .map_err(|e| Failure::Call(format!("standard input cannot be read: {e}")))?;
        if read == 0 {
            *more = false;
            eprintln!("\nno more answers: the rest is taken as not known");
            return Ok(None);
        }
        let answer = line.trim();
        if not_known(answer) {
            return Ok(None);
        }
        match value(takes, answer) {
            Ok(value) => return Ok(Some(value)),
            Err(why) => eprintln!("  {why}"),
        }
    }
}

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
                "What is the insert for? crank-housing or boss",
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
        let line = match ask(input, question.ask, question.takes, &mut more)? {
            Some(value) => format!("{key} = {value}"),
            None => match question.unknown {
                Written => format!("{key} = \"unknown\""),
                Default => format!("# {key}: not known; its default stands in"),
                Needed(how) => {
                    eprintln!("  {} is needed. How to find it out: {how}", question.key);
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
        && let Err(found) = resolve(&document)
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
