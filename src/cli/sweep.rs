//! `sweep`: what if? And between which values of one entry every margin is kept?

use super::long::{ThreadArgs, watched};
use super::output::Stream;
use super::{
    Failure, JobArgs, OutputArgs, StudyFormat, assess_all, check, code_of, findings_of,
    read_document,
};
use crate::assess::check::Verdict;
use crate::job::vary::{Varied, Varying};
use crate::job::{Document, resolve};
use crate::present::report::caution_reports;
use crate::present::sweep::{self as shown, Swept};
use crate::present::{Report, csv};
use crate::study::Control;
use crate::study::solve::solve;
use crate::study::sweep::{Grid, Of, Range, Row, Sweep, Tally};
use crate::units::Kind;
use crate::units::parse;
use clap::Args;

/// Arguments of `sweep`.
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 1 if anything falls short at any point, or no value keeps every margin; 4 if nothing \
does but something could not be judged; 3 if interrupted (Ctrl-C), with the points done so far. Points that cannot \
be are listed and counted."
)]
pub struct SweepArgs {
    #[command(flatten)]
    job: JobArgs,
    /// Entry and its values, such as fitting.bearing_outboard=0mm..12mm:25; again for a grid
    #[arg(long, value_name = "PATH=FROM..TO:N")]
    vary: Vec<String>,
    /// Result to give: a check (its ratio), a value, window.low, window.high, window.bounds.ID; else the lowest margin
    #[arg(long, value_name = "ID")]
    of: Vec<String>,
    /// Lowest and highest value of an entry that keep every margin; with or without the range to search
    #[arg(long, value_name = "PATH[=FROM..TO]")]
    solve: Vec<String>,
    #[command(flatten)]
    threads: ThreadArgs,
    #[command(flatten)]
    output: OutputArgs<StudyFormat>,
}

/// Values where a range does not say how many.
const USUAL: u64 = 11;
/// The most points that are held at once, for a table or JSON; and that are computed at all: some days of work.
const MOST_HELD: u64 = 100_000;
const MOST: u64 = 10_000_000_000;

/// Runs the command.
pub fn run(args: &SweepArgs) -> Result<u8, Failure> {
    if args.vary.is_empty() && args.solve.is_empty() {
        return Err(Failure::Call(
            "nothing to vary; name an entry and its values, as in --vary fitting.bearing_outboard=0mm..12mm:25, or --solve PATH".into(),
        ));
    }
    if args.output.format == StudyFormat::Csv && args.vary.is_empty() {
        return Err(Failure::Call(
            "CSV has a row for each point; add --vary, or choose another --format".into(),
        ));
    }
    let document = read_document(args.job.job.as_deref(), &args.job.set)?;
    let job = resolve(&document).map_err(|findings| findings_of(&document, &findings))?;
    let assessed = assess_all(&job)?;
    let mut report = Report::new("sweep", &job, &assessed);
    let (varying, grid) = prepared(&document, &args.vary)?;
    // What is varied is not assumed.
    report
        .assumed
        .retain(|a| !varying.kinds().iter().any(|v| v.path == a.key));
    let of = asked(&args.of)?;
    let pool = args.threads.pool()?;
    let refused = report.overall == Verdict::Refused;
    let mut solved = Vec::new();
    for text in args.solve.iter().filter(|_| !refused) {
        let (varying, range, by_ratio) = searched(&document, text)?;
        let found = pool.install(|| solve(&varying, range, by_ratio));
        solved.push((varying, found));
    }
    let sweep = Sweep {
        varying: &varying,
        grid,
        of,
    };
    let mut stream = Stream::new(&args.output.write)?;
    if refused || args.vary.is_empty() {
        let swept = Swept {
            report: &report,
            sweep: None,
            solved: &solved,
            interrupted: false,
        };
        finish(&args.output, &swept, stream)?;
        return Ok(if refused { 1 } else { code_of_solved(&solved) });
    }
    let total = sweep.grid.len().unwrap_or(0);
    if args.output.format != StudyFormat::Csv && total > MOST_HELD {
        return Err(Failure::Call(format!(
            "{total} points are more than a table holds ({MOST_HELD}); add --format csv, which gives them row by row"
        )));
    }
    let tally = if args.output.format == StudyFormat::Csv {
        let columns = shown::columns(&sweep);
        let at_corners = corners(&sweep, &report);
        report.cautions = at_corners;
        let mut open = stream.write(&shown::csv_head(&report, &sweep, &columns))?;
        let mut failure = None;
        let rows = args.output.write.output.is_none();
        let tally = watched(total, "sweep", rows, |control| {
            let each = |row: &Row, out: &mut csv::Rows| {
                shown::csv_row(out, &report.job.source, row, &sweep, &columns);
            };
            let deliver = |rows: csv::Rows| {
                match stream.write(&rows.finish()) {
                    Ok(more) => open = more,
                    Err(e) => failure = Some(e),
                }
                open && failure.is_none()
            };
            pool.install(|| sweep.run(control, each, deliver))
        })?;
        if let Some(failure) = failure {
            return Err(failure);
        }
        if open && tally.points < total {
            stream.write(&format!(
                "# interrupted: {} of {total} points\n",
                tally.points
            ))?;
        }
        stream.finish()?;
        // A reader that has seen enough is no interruption.
        if !open {
            return Ok(code_of_sweep(&tally));
        }
        tally
    } else {
        let mut rows: Vec<Row> = Vec::new();
        let tally = watched(total, "sweep", false, |control| {
            let each = |row: &Row, out: &mut Vec<Row>| out.push(row.clone());
            let deliver = |mut some: Vec<Row>| {
                rows.append(&mut some);
                true
            };
            pool.install(|| sweep.run(control, each, deliver))
        })?;
        let cautions = assessed
            .iter()
            .fold(tally.cautions, |all, a| all.and(a.assessment.cautions));
        report.cautions = caution_reports(cautions);
        let interrupted = tally.points < total;
        let swept = Swept {
            report: &report,
            sweep: Some((&sweep, rows, tally)),
            solved: &solved,
            interrupted,
        };
        finish(&args.output, &swept, stream)?;
        tally
    };
    if tally.points < total {
        eprintln!(
            "interrupted: {} of {total} points are done and given",
            tally.points
        );
        return Ok(3);
    }
    Ok(match (code_of_sweep(&tally), code_of_solved(&solved)) {
        (1, _) | (_, 1) => 1,
        (4, _) | (_, 4) => 4,
        _ => 0,
    })
}

fn finish(
    output: &OutputArgs<StudyFormat>,
    swept: &Swept<'_>,
    mut stream: Stream,
) -> Result<(), Failure> {
    let text = match output.format {
        StudyFormat::Json => check::json(&shown::json(swept))?,
        _ => shown::text(swept, output.system(), output.layout()),
    };
    stream.write(&text)?;
    stream.finish()
}

/// Cautions that apply as stated or at a corner of the grid: those that can be told before the points are.
fn corners(sweep: &Sweep<'_>, report: &Report) -> Vec<crate::present::report::CautionReport> {
    let ranges = &sweep.grid.ranges;
    let ends = Sweep {
        varying: sweep.varying,
        grid: Grid {
            ranges: ranges
                .iter()
                .take(10)
                .map(|r| Range {
                    count: r.count.min(2),
                    ..*r
                })
                .collect(),
        },
        of: Vec::new(),
    };
    let mut cautions = report.cautions.clone();
    if ranges.len() <= 10 {
        let tally = ends.run(&Control::default(), |_, (): &mut ()| {}, |()| true);
        for more in caution_reports(tally.cautions) {
            if !cautions.contains(&more) {
                cautions.push(more);
            }
        }
    }
    cautions
}

fn code_of_sweep(tally: &Tally) -> u8 {
    match tally {
        Tally { short: 1.., .. } => 1,
        // Of nothing but parts that cannot be there is no result.
        Tally {
            not_judged: 1.., ..
        } => 4,
        t if t.impossible == t.points => 1,
        _ => 0,
    }
}

fn code_of_solved(solved: &[(Varying, crate::study::solve::Solved)]) -> u8 {
    let codes = solved.iter().map(|(_, s)| match s.stretches.first() {
        None => 1,
        Some(first) => code_of(first.verdict),
    });
    codes.fold(0, |a, b| match (a, b) {
        (1, _) | (_, 1) => 1,
        (a, b) => a.max(b),
    })
}

/// The job with the entries free, and the grid of their values.
fn prepared(document: &Document, vary: &[String]) -> Result<(Varying, Grid), Failure> {
    let mut paths = Vec::new();
    let mut texts = Vec::new();
    for argument in vary {
        let (path, text) = argument.split_once('=').ok_or_else(|| {
            Failure::Call(format!(
                "--vary {argument}: the values are missing; write --vary {argument}=FROM..TO:N"
            ))
        })?;
        paths.push(path.to_string());
        texts.push(text);
    }
    let mut varying = free(document, &paths, "--vary")?;
    let mut ranges = Vec::new();
    for (entry, text) in varying.kinds().iter().zip(texts) {
        ranges.push(range(entry, text)?);
    }
    let grid = Grid { ranges };
    match grid.len() {
        Some(n) if n <= MOST => {}
        n => {
            let n = n.map_or("more than can be counted".to_string(), |n| n.to_string());
            return Err(Failure::Call(format!(
                "the grid has {n} points; at most {MOST} are computed: take fewer values of each entry"
            )));
        }
    }
    let ends: Vec<(f64, f64)> = grid.ranges.iter().map(|r| (r.from, r.to)).collect();
    varying.check(&ends);
    Ok((varying, grid))
}

fn free(document: &Document, paths: &[String], option: &str) -> Result<Varying, Failure> {
    Varying::new(document, paths).map_err(|findings| {
        let lines: Vec<String> = findings
            .iter()
            .map(|f| format!("{option}: {}; {}", f.message, f.help))
            .collect();
        Failure::Call(lines.join("\n"))
    })
}

/// Reads `FROM..TO:N`.
fn range(entry: &Varied, text: &str) -> Result<Range, Failure> {
    let call = |what: String| Failure::Call(format!("--vary {}={text}: {what}", entry.path));
    let (values, count) = match text.rsplit_once(':') {
        Some((values, count)) => {
            let count = count
                .trim()
                .parse::<u64>()
                .ok()
                .filter(|n| *n > 0)
                .ok_or_else(|| {
                    call(format!(
                        "\"{}\" is not a number of values; write it as in {}=FROM..TO:25",
                        count.trim(),
                        entry.path
                    ))
                })?;
            (values, Some(count))
        }
        None => (text, None),
    };
    let (from, to) = ends(values, entry.kind).map_err(call)?;
    let count = count.unwrap_or(if from == to { 1 } else { USUAL });
    Ok(Range { from, to, count })
}

/// Both ends of a range, or one value.
fn ends(text: &str, kind: Kind) -> Result<(f64, f64), String> {
    let spread = parse::read(text, kind).map_err(|e| format!("{}; {}", e.message, e.help))?;
    if spread.shape == parse::Shape::Normal {
        return Err("a value with ± is no range; write FROM..TO".into());
    }
    Ok((spread.low, spread.high))
}

/// How far from the job's own value is searched where no range is given, either way.
const REACH: f64 = 100.0;

/// One entry free, and the range in which to search.
fn searched(document: &Document, text: &str) -> Result<(Varying, (f64, f64), bool), Failure> {
    let (path, given) = match text.split_once('=') {
        Some((path, range)) => (path, Some(range)),
        None => (text, None),
    };
    let mut varying = free(document, &[path.to_string()], "--solve")?;
    let Some(entry) = varying.kinds().first() else {
        return Err(Failure::Call("--solve names no entry".into()));
    };
    let (range, by_ratio) = match (given, entry.nominal) {
        (Some(text), _) => (
            ends(text, entry.kind)
                .map_err(|e| Failure::Call(format!("--solve {path}={text}: {e}")))?,
            false,
        ),
        // A size that may be zero or below, or a temperature, has no natural reach.
        (None, Some(own)) if own > 0.0 && entry.kind != Kind::Temperature => {
            ((own / REACH, own * REACH), true)
        }
        _ => {
            return Err(Failure::Call(format!(
                "--solve {path}: say where to search, as in --solve {path}=FROM..TO: the job's own value is no measure of that"
            )));
        }
    };
    varying.check(&[range]);
    Ok((varying, range, by_ratio))
}

/// What is asked for; the lowest margin and its check where nothing is.
fn asked(ids: &[String]) -> Result<Vec<Of>, Failure> {
    if ids.is_empty() {
        return Ok(vec![Of::LowestMargin, Of::Governing]);
    }
    ids.iter()
        .map(|id| {
            Of::find(id.trim()).ok_or_else(|| {
                let near = Of::ids().into_iter().min_by_key(|known| strsim::damerau_levenshtein(known, id));
                let near = near.map_or(String::new(), |n| format!("; near is `{n}`"));
                Failure::Call(format!("--of {id}: there is no such result{near}; `insertwright check --format json` shows every id"))
            })
        })
        .collect()
}
