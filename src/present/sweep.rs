//! What a sweep found: rows as CSV and JSON, a table and a plot in text; between which values every margin is kept.

use super::csv;
use super::report::{self, Number, Paper, Report};
use super::text::{self, Layout};
use super::words;
use crate::assess::check::{CheckId, Verdict};
use crate::job::vary::{Varied, Varying};
use crate::study::solve::{End, Solved};
use crate::study::sweep::{Cell, Range, Row, State, Sweep, Tally};
use crate::units::display::{System, significant};
use crate::units::{Kind, Unit};
use serde_json::{Map, Value, json};
use std::fmt::Write;

/// One column of results.
pub struct Column {
    /// Its id.
    pub id: String,
    /// The side, where the job has two.
    pub side: Option<&'static str>,
    /// Its unit.
    pub unit: Unit,
    /// Holds words.
    pub word: bool,
}

impl Column {
    fn name(&self) -> String {
        match self.side {
            Some(side) => format!("{side}: {}", self.id),
            None => self.id.clone(),
        }
    }
}

/// The columns of results, as the cells of a row stand.
pub fn columns(sweep: &Sweep<'_>) -> Vec<Column> {
    let sides = &sweep.varying.job().sides;
    sides
        .iter()
        .flat_map(|side| {
            sweep.of.iter().map(|of| Column {
                id: of.id(),
                side: (sides.len() > 1).then(|| words::side_word(side.name)),
                unit: of.unit(),
                word: of.is_word(),
            })
        })
        .collect()
}

/// The word of what a point came to, and the remark beside it.
fn said(row: &Row, varying: &Varying) -> (&'static str, Option<String>) {
    match &row.state {
        State::Judged(verdict) => {
            let decided = |id: CheckId| format!("{}: decided by {}", verdict.word(), id.id());
            (verdict.word(), row.decided.map(decided))
        }
        State::NotConverged(verdict) => (
            verdict.word(),
            Some("a solver did not converge: what hangs on it is not given".into()),
        ),
        State::Impossible(why) => ("impossible", Some(varying.reason(why))),
        State::NoSeat => (
            "impossible",
            Some("nothing of the face lies under the flange".into()),
        ),
    }
}

/// The first lines of CSV: cautions and what else belongs to every output, then the names of the columns.
pub fn csv_head(report: &Report, sweep: &Sweep<'_>, columns: &[Column]) -> String {
    let sides = report.printed_sides().iter();
    let mut out = csv::head(report, sides.map(|s| (s.side, &s.preconditions[..])));
    let mut names = csv::Rows::default();
    names.text("job");
    for v in sweep.varying.kinds() {
        names.text(&csv::name(&v.path, v.kind.unit().symbol()));
    }
    for c in columns {
        names.text(&csv::name(&c.name(), c.unit.symbol()));
    }
    names.text("verdict");
    names.text("remark");
    names.end();
    out.push_str(&names.finish());
    out
}

/// One row of CSV.
pub fn csv_row(
    out: &mut csv::Rows,
    source: &str,
    row: &Row,
    sweep: &Sweep<'_>,
    columns: &[Column],
) {
    out.text(source);
    for (value, entry) in row.point.iter().zip(sweep.varying.kinds()) {
        out.number(Some(entry.kind.unit().of(*value)));
    }
    for (cell, column) in row.cells.iter().zip(columns) {
        match cell {
            Cell::Number(value) => out.number(Some(column.unit.of(*value))),
            Cell::Word(word) => out.text(word),
            Cell::None => out.text(""),
        }
    }
    let (word, remark) = said(row, sweep.varying);
    out.text(word);
    out.text(&remark.unwrap_or_default());
    out.end();
}

/// All that a report of a sweep is made of.
pub struct Swept<'a> {
    /// The job as stated: preconditions, assumed values, cautions.
    pub report: &'a Report,
    /// The sweep, where entries were varied.
    pub sweep: Option<(&'a Sweep<'a>, Vec<Row>, Tally)>,
    /// What was solved for: its free entry, and what was found.
    pub solved: &'a [(Varying, Solved)],
    /// It was interrupted.
    pub interrupted: bool,
}

impl Swept<'_> {
    fn tally_sentence(&self, sweep: &Sweep<'_>, tally: &Tally) -> String {
        let total = sweep.grid.len().unwrap_or(0);
        let paths: Vec<&str> = sweep
            .varying
            .kinds()
            .iter()
            .map(|v| v.path.as_str())
            .collect();
        let mut parts = vec![format!(
            "{} points over {}",
            tally.points,
            paths.join(" and ")
        )];
        for (count, what) in [
            (tally.short, "falling short"),
            (tally.not_judged, "not judged"),
            (tally.impossible, "impossible"),
            (tally.not_converged, "with a solver that did not converge"),
        ] {
            if count > 0 {
                parts.push(format!("{count} {what}"));
            }
        }
        if self.interrupted {
            parts.push(format!("interrupted, {total} were asked for"));
        }
        if !sweep.varying.fast() {
            parts.push("each read anew from the job, which is slow".into());
        }
        parts.join(", ") + "."
    }
}

/// As JSON.
pub fn json(s: &Swept<'_>) -> Paper<Value> {
    let r = s.report;
    let mut map = Map::new();
    if let Some((sweep, rows, tally)) = &s.sweep {
        let vary: Vec<Value> = sweep
            .varying
            .kinds()
            .iter()
            .zip(&sweep.grid.ranges)
            .map(|(v, range)| vary_json(v, range))
            .collect();
        let columns = columns(sweep);
        let of: Vec<Value> = columns
            .iter()
            .map(|c| match c.side {
                Some(side) => json!({"id": c.id, "side": side, "unit": c.unit.symbol()}),
                None => json!({"id": c.id, "unit": c.unit.symbol()}),
            })
            .collect();
        let rows: Vec<Value> = rows
            .iter()
            .map(|row| row_json(row, sweep, &columns))
            .collect();
        map.insert("vary".into(), vary.into());
        map.insert("of".into(), of.into());
        map.insert("rows".into(), rows.into());
        map.insert(
            "points".into(),
            json!({
                "asked": sweep.grid.len(),
                "done": tally.points,
                "falls_short": tally.short,
                "not_judged": tally.not_judged,
                "impossible": tally.impossible,
                "not_converged": tally.not_converged,
                "interrupted": s.interrupted,
            }),
        );
    }
    if !s.solved.is_empty() {
        let solved: Vec<Value> = s.solved.iter().map(solved_json).collect();
        map.insert("solve".into(), solved.into());
    }
    map.insert("preconditions".into(), json!(r.worst.preconditions));
    let sides = r.sides.iter();
    let sides = sides.map(|side| json!({"side": side.side, "preconditions": side.preconditions}));
    r.clone()
        .around(Value::Object(map), sides.collect(), r.overall)
}

fn amount(value: f64, unit: Unit) -> Value {
    json!(report::Amount { si: value, unit })
}

fn vary_json(v: &Varied, range: &Range) -> Value {
    let unit = v.kind.unit();
    json!({
        "path": v.path,
        "unit": unit.symbol(),
        "from": Number(unit.of(range.from)),
        "to": Number(unit.of(range.to)),
        "count": range.count,
        "stated": v.nominal.map(|n| Number(unit.of(n))),
    })
}

/// A row: the entries, what was asked, the verdict, the remark.
fn row_json(row: &Row, sweep: &Sweep<'_>, columns: &[Column]) -> Value {
    let point = row.point.iter().zip(sweep.varying.kinds());
    let mut out: Vec<Value> = point
        .map(|(value, v)| json!(Number(v.kind.unit().of(*value))))
        .collect();
    out.extend(row.cells.iter().zip(columns).map(|(cell, c)| match cell {
        Cell::Number(value) => json!(Number(c.unit.of(*value))),
        Cell::Word(word) => (*word).into(),
        Cell::None => Value::Null,
    }));
    let (word, remark) = said(row, sweep.varying);
    out.push(word.into());
    out.push(remark.map_or(Value::Null, Value::from));
    out.into()
}

fn solved_json((varying, solved): &(Varying, Solved)) -> Value {
    let Some(v) = varying.kinds().first() else {
        return Value::Null;
    };
    let unit = v.kind.unit();
    let end = |value: f64, end: &End| {
        let mut map = Map::new();
        map.insert("value".into(), json!(Number(unit.of(value))));
        map.insert("unit".into(), unit.symbol().into());
        match end {
            End::Nothing => drop(map.insert("ended_by".into(), Value::Null)),
            End::Check(side, id) => {
                map.insert("ended_by".into(), id.id().into());
                if varying.job().sides.len() > 1 {
                    map.insert("side".into(), words::side_word(*side).into());
                }
            }
            End::Impossible(why) => {
                map.insert("ended_by".into(), "impossible".into());
                map.insert("reason".into(), varying.reason(why).into());
            }
            End::NoSeat => drop(map.insert("ended_by".into(), "impossible".into())),
        }
        Value::Object(map)
    };
    let stretches: Vec<Value> = solved
        .stretches
        .iter()
        .map(|s| json!({"low": end(s.low, &s.below), "high": end(s.high, &s.above), "verdict": s.verdict.word()}))
        .collect();
    json!({
        "path": v.path,
        "stated": v.nominal.map(|n| amount(n, unit)),
        "searched": { "from": amount(solved.range.0, unit), "to": amount(solved.range.1, unit) },
        "keeps": stretches,
        "best": solved.best.as_ref().map(|b| json!({
            "value": Number(unit.of(b.value)),
            "unit": unit.symbol(),
            "falls_short": b.short.1.id(),
            "side": words::side_word(b.short.0),
            "margin": Number(b.margin),
        })),
    })
}

/// The most rows that a table in text shows.
const MOST_ROWS: usize = 200;

/// As text or Markdown.
pub fn text(s: &Swept<'_>, system: System, layout: Layout) -> String {
    let r = s.report;
    let mut out = text::opening_of("sweep", &r.job, layout);
    for side in r.printed_sides() {
        if r.sides.len() > 1 {
            out.push_str(&layout.heading(side.side));
        }
        out.push_str(&text::precondition_list(&side.preconditions, layout));
    }
    if let Some((sweep, rows, tally)) = &s.sweep {
        out.push_str(&layout.heading("What if"));
        out.push_str(&layout.paragraph(&s.tally_sentence(sweep, tally)));
        let columns = columns(sweep);
        out.push_str(&table(sweep, rows, &columns, system, layout));
        let plot = match sweep.grid.ranges.len() {
            1 => lines(sweep, rows, &columns, system),
            2 => map(sweep, rows, system),
            _ => String::new(),
        };
        if !plot.is_empty() {
            out.push('\n');
            match layout {
                Layout::Plain(_) => out.push_str(&plot),
                Layout::Markdown => {
                    let _ = write!(out, "```text\n{plot}```\n");
                }
                Layout::Html => {
                    let _ = writeln!(out, "<pre>{}</pre>", super::text::html(&plot));
                }
            }
        }
        let reasons = remarks(sweep, rows);
        if !reasons.is_empty() {
            out.push_str(&layout.heading("Remarks"));
            for reason in reasons {
                out.push_str(&layout.item("- ", &reason));
            }
        }
    }
    for one in s.solved {
        out.push_str(&solved_text(one, system, layout));
    }
    out.push_str(&text::tail(r, system, layout));
    out
}

fn table(
    sweep: &Sweep<'_>,
    rows: &[Row],
    columns: &[Column],
    system: System,
    layout: Layout,
) -> String {
    let kinds = sweep.varying.kinds();
    // Of a grid the last word of a path has to do; the whole paths stand above.
    let name = |v: &Varied| match kinds.len() {
        1 => v.path.clone(),
        _ => v.path.rsplit('.').next().unwrap_or(&v.path).to_string(),
    };
    let names: Vec<String> = kinds
        .iter()
        .map(name)
        .chain(columns.iter().map(Column::name))
        .chain(["Verdict".to_string()])
        .collect();
    let header: Vec<&str> = names.iter().map(String::as_str).collect();
    let shown: Vec<Vec<String>> = rows
        .iter()
        .take(MOST_ROWS)
        .map(|row| {
            let point = row.point.iter().zip(kinds);
            let cells = row.cells.iter().zip(columns);
            point
                .map(|(value, v)| v.kind.unit().show(*value, system))
                .chain(cells.map(|(cell, c)| match cell {
                    Cell::Number(value) if c.id == "margin" => text::margin(*value, 3),
                    Cell::Number(value) if value.is_infinite() => "no demand".into(),
                    Cell::Number(value) => c.unit.show(*value, system),
                    Cell::Word(word) => (*word).into(),
                    Cell::None => "–".into(),
                }))
                .chain([said(row, sweep.varying).0.to_string()])
                .collect()
        })
        .collect();
    let numbers: Vec<usize> = (0..kinds.len() + columns.len())
        .filter(|i| i.checked_sub(kinds.len()).is_none_or(|c| !columns[c].word))
        .collect();
    let mut out = layout.table(&header, &shown, &numbers);
    if rows.len() > MOST_ROWS {
        out.push_str(&layout.paragraph(&format!(
            "{} further rows are not shown here; --format csv gives all of them.",
            rows.len() - MOST_ROWS
        )));
    }
    out
}

/// How a state is marked in a plot; not by colour.
fn sign(state: &State) -> char {
    match state {
        State::Judged(verdict) | State::NotConverged(verdict) => match verdict {
            Verdict::Meets => 'o',
            Verdict::Marginal => '~',
            Verdict::NotJudged => '?',
            Verdict::FallsShort | Verdict::Refused => 'X',
        },
        State::Impossible(_) | State::NoSeat => ' ',
    }
}

const LEGEND: &str = "o meets   ~ marginal   ? not judged   X falls short   blank: cannot be";

/// The widest axis of a plot and its most lines: 80 columns and a page.
const AXIS: usize = 56;
const MOST_LINES: usize = 60;

/// The first column of numbers over the one entry, value by value, each at its place on a scale.
fn lines(sweep: &Sweep<'_>, rows: &[Row], columns: &[Column], system: System) -> String {
    let Some(c) = columns.iter().position(|c| !c.word) else {
        return String::new();
    };
    let value = |row: &Row| match row.cells.get(c) {
        Some(Cell::Number(value)) if value.is_finite() => Some(*value),
        _ => None,
    };
    let values: Vec<f64> = rows.iter().filter_map(value).collect();
    let (Some(low), Some(high)) = (
        values.iter().copied().reduce(f64::min),
        values.iter().copied().reduce(f64::max),
    ) else {
        return String::new();
    };
    // A margin is read against nothing left.
    let margin = columns[c].id == "margin";
    let (low, high) = if margin {
        (low.min(0.0), high.max(0.0))
    } else {
        (low, high)
    };
    let span = if high > low { high - low } else { 1.0 };
    let at = |value: f64| (((value - low) / span) * (AXIS - 1) as f64).round() as usize;
    let show = |value: f64| {
        if margin {
            text::margin(value, 3).replace(text::BOND, " ")
        } else {
            columns[c].unit.show(value, system)
        }
    };
    let kind = sweep
        .varying
        .kinds()
        .first()
        .map_or(Kind::Number, |v| v.kind);
    let step = rows.len().div_ceil(MOST_LINES).max(1);
    let mut out = format!("{} over {}", columns[c].name(), path(sweep, 0));
    if step > 1 {
        let _ = write!(out, " (every {step}th point)");
    }
    out.push('\n');
    let (left, right) = (show(low), show(high));
    let gap = AXIS.saturating_sub(left.chars().count() + right.chars().count());
    let _ = writeln!(out, "{:>14} |{left}{}{right}|", "", " ".repeat(gap));
    for row in rows.iter().step_by(step) {
        let mut track = vec![' '; AXIS];
        if margin {
            track[at(0.0).min(AXIS - 1)] = ':';
        }
        if let Some(value) = value(row) {
            track[at(value).min(AXIS - 1)] = sign(&row.state);
        }
        let entry = row.point.first().copied().unwrap_or(f64::NAN);
        let track: String = track.into_iter().collect();
        let _ = writeln!(out, "{:>14} |{track}|", kind.unit().show(entry, system));
    }
    if margin {
        let _ = writeln!(out, "{:>15}: no margin left", "");
    }
    let _ = writeln!(out, "{LEGEND}");
    out
}

fn path<'a>(sweep: &'a Sweep<'_>, index: usize) -> &'a str {
    sweep
        .varying
        .kinds()
        .get(index)
        .map_or("", |v| v.path.as_str())
}

/// The verdict over two entries: the first downwards, the second to the right.
fn map(sweep: &Sweep<'_>, rows: &[Row], system: System) -> String {
    let [down, right] = sweep.grid.ranges[..] else {
        return String::new();
    };
    let [Some(first), Some(second)] = [0, 1].map(|i| sweep.varying.kinds().get(i)) else {
        return String::new();
    };
    let (height, width) = (down.count as usize, right.count as usize);
    let (by_line, by_place) = (
        height.div_ceil(MOST_LINES).max(1),
        width.div_ceil(AXIS).max(1),
    );
    // Few places stand apart, so that they can be told.
    let wide = (AXIS / width.div_ceil(by_place)).clamp(1, 3);
    let mut out = format!(
        "Verdict: {} downwards, {} to the right",
        first.path, second.path
    );
    if by_line > 1 || by_place > 1 {
        let _ = write!(out, " (every {by_line}. and {by_place}. point)");
    }
    out.push('\n');
    let (from, to) = (
        second.kind.unit().show(right.from, system),
        second.kind.unit().show(right.to, system),
    );
    let places = width.div_ceil(by_place) * wide;
    let gap = places
        .saturating_sub(from.chars().count() + to.chars().count())
        .max(1);
    let _ = writeln!(out, "{:>14} |{from}{}{to}", "", " ".repeat(gap));
    for line in (0..height).step_by(by_line) {
        let signs: String = (0..width)
            .step_by(by_place)
            .map(|place| {
                rows.get(line * width + place)
                    .map_or(' ', |row| sign(&row.state))
            })
            .map(|sign| format!("{sign:<wide$}"))
            .collect();
        let name = first.kind.unit().show(down.at(line as u64), system);
        let _ = writeln!(out, "{name:>14} |{signs}|");
    }
    let _ = writeln!(out, "{LEGEND}");
    out
}

/// Each remark, with how many points it is about.
fn remarks(sweep: &Sweep<'_>, rows: &[Row]) -> Vec<String> {
    let mut reasons: Vec<(String, usize, f64)> = Vec::new();
    for row in rows {
        if let (_, Some(remark)) = said(row, sweep.varying) {
            let first = row.point.first().copied().unwrap_or(f64::NAN);
            match reasons.iter_mut().find(|(known, ..)| *known == remark) {
                Some((_, count, _)) => *count += 1,
                None => reasons.push((remark, 1, first)),
            }
        }
    }
    let more = reasons.len().saturating_sub(8);
    let mut out: Vec<String> = reasons
        .into_iter()
        .take(8)
        .map(|(reason, count, _)| {
            let points = if count == 1 { "point" } else { "points" };
            format!("{count} {points}: {reason}")
        })
        .collect();
    if more > 0 {
        out.push(format!("{more} further remarks; --format csv gives each"));
    }
    out
}

fn solved_text((varying, solved): &(Varying, Solved), system: System, layout: Layout) -> String {
    let Some(v) = varying.kinds().first() else {
        return String::new();
    };
    let unit = v.kind.unit();
    let show = |value: f64| unit.show(value, system);
    // An end is rounded inwards, so that it holds as printed.
    let inward = |value: f64, end: &End, up: bool| match end {
        End::Nothing => show(value),
        _ => inward(unit, value, system, up),
    };
    let by = |end: &End| match end {
        End::Nothing => "nothing ends it within the range searched".to_string(),
        End::Check(side, id) if varying.job().sides.len() > 1 => {
            format!(
                "beyond it {} [{}] falls short, {} side",
                id.title(),
                id.id(),
                words::side_word(*side)
            )
        }
        End::Check(_, id) => format!("beyond it {} [{}] falls short", id.title(), id.id()),
        End::Impossible(why) => format!("beyond it no such parts can be: {}", varying.reason(why)),
        End::NoSeat => "beyond it nothing of the face lies under the flange".to_string(),
    };
    let mut out = layout.heading("Values that keep every margin");
    out.push_str(&layout.paragraph(&format!("Of {}:", v.path)));
    for s in &solved.stretches {
        out.push_str(&layout.item(
            "- ",
            &format!("lowest {}: {}", inward(s.low, &s.below, true), by(&s.below)),
        ));
        out.push_str(&layout.item(
            "  ",
            &format!(
                "highest {}: {}",
                inward(s.high, &s.above, false),
                by(&s.above)
            ),
        ));
        if s.verdict == Verdict::NotJudged {
            out.push_str(&layout.item(
                "  ",
                "nothing falls short between them, but something is not judged: see `check`",
            ));
        }
    }
    if solved.stretches.len() > 1 {
        out.push_str(&layout.paragraph("Between these stretches something falls short."));
    }
    if solved.stretches.is_empty() {
        out.push_str(&layout.paragraph(&match &solved.best {
            Some(b) => format!(
                "None in the range searched. Best is {}: {} [{}] falls short there by {} %.",
                show(b.value),
                b.short.1.title(),
                b.short.1.id(),
                significant(-100.0 * b.margin, 3)
            ),
            None => "None in the range searched: no value of it makes parts that can be.".into(),
        }));
    }
    let stated = v.nominal.map_or(String::new(), |n| {
        format!("; the job has {}", v.kind.unit().show(n, system))
    });
    out.push_str(&layout.paragraph(&format!(
        "Searched from {} to {}{stated}. A stretch that lies between two of the values looked at is not seen.",
        v.kind.unit().show(solved.range.0, system),
        v.kind.unit().show(solved.range.1, system)
    )));
    out
}

/// Six figures, the last rounded up or down.
fn inward(unit: Unit, value: f64, system: System, up: bool) -> String {
    let (shown, symbol) = unit.in_system(value, system);
    // Nothing has no figures to round.
    if shown.abs() < 1e-100 {
        return unit.show(0.0, system);
    }
    let scale = 10f64.powi(5 - shown.abs().max(f64::MIN_POSITIVE).log10().floor() as i32);
    // What is a round figure but for the last bits stays one.
    let slack = 1e-6;
    let whole = if up {
        (shown * scale - slack).ceil()
    } else {
        (shown * scale + slack).floor()
    };
    let number = significant(whole / scale, 6);
    if symbol == "none" {
        number
    } else {
        format!("{number} {symbol}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_end_is_rounded_inwards() {
        let shown = |metres: f64, up| inward(Unit::Millimetre, metres, System::Metric, up);
        assert_eq!(shown(0.040_219_812_3, true), "40.2199 mm");
        assert_eq!(shown(0.040_219_812_3, false), "40.2198 mm");
        assert_eq!(shown(-0.001_234_567_8, true), "-1.23456 mm");
        assert_eq!(shown(0.0, true), "0 mm");
        assert_eq!(shown(5e-324, false), "0 mm");
    }
}
