//! How every report is laid out as text for a bench and as Markdown for a file, and what all of them share.

use super::report::{
    Amount, CheckReport, JobReport, Number, Paper, PreconditionReport, SideReport,
};
use crate::units::Unit;
use crate::units::display::{System, significant};
use askama::filters::{Escaper, Html};
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width};
use textwrap::{Options, WordSplitter};

/// How text is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// For a terminal or a pipe, this many columns wide.
    Plain(usize),
    /// Markdown.
    Markdown,
    /// Pieces of HTML, everything in them escaped; [`listed`] puts neighbouring list entries into one list.
    Html,
}

impl Layout {
    /// A heading.
    pub fn heading(self, text: &str) -> String {
        match self {
            // An id behind the title keeps its case: it is there to be typed again.
            Layout::Plain(width) => {
                let (title, id) = match text.rfind(" [") {
                    Some(at) if text.ends_with(']') => text.split_at(at),
                    _ => (text, ""),
                };
                let line = title.to_uppercase() + id;
                format!("\n{}\n", fill(&line, width, ""))
            }
            Layout::Markdown => format!("\n## {}\n\n", markdown(text)),
            Layout::Html => format!("<h3>{}</h3>\n", html(text)),
        }
    }
    /// A paragraph.
    pub fn paragraph(self, text: &str) -> String {
        match self {
            Layout::Plain(width) => format!("{}\n", fill(text, width, "")),
            Layout::Markdown => format!("{}\n", markdown(text)),
            Layout::Html => format!("<p>{}</p>\n", html(text)),
        }
    }
    /// A list entry.
    pub fn item(self, mark: &str, text: &str) -> String {
        match self {
            Layout::Plain(width) => format!("{}\n", fill(text, width, &format!("  {mark}"))),
            Layout::Markdown => {
                let text = markdown(text);
                match mark.trim() {
                    // A line that belongs to the one before it.
                    "" if !mark.is_empty() => format!("  - {text}\n"),
                    "" | "-" => format!("- {text}\n"),
                    _ => format!("- {mark}{text}\n"),
                }
            }
            Layout::Html => {
                let text = html(text);
                match mark.trim() {
                    // A line that belongs to the one before it.
                    "" if !mark.is_empty() => format!("<li class=\"sub\">{text}</li>\n"),
                    "" | "-" => format!("<li>{text}</li>\n"),
                    mark => format!("<li><b>{}</b> {text}</li>\n", html(mark)),
                }
            }
        }
    }
    /// A table; `right` lists the columns that hold numbers.
    pub fn table(self, header: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
        match self {
            Layout::Plain(width) => plain_table(width, header, rows, right),
            Layout::Markdown => {
                let escape = |cell: &str| {
                    markdown(cell)
                        .replace('|', "\\|")
                        .replace(['\n', '\u{a0}'], " ")
                };
                let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
                let mut out = line(header.iter().map(|h| escape(h)).collect());
                let rule = (0..header.len())
                    .map(|i| if right.contains(&i) { "---:" } else { "---" }.to_string())
                    .collect();
                out.push_str(&line(rule));
                for row in rows {
                    out.push_str(&line(row.iter().map(|c| escape(c)).collect()));
                }
                out
            }
            Layout::Html => html_table(header, rows, right),
        }
    }
}

/// A table as HTML, the first cell of a row being its heading.
fn html_table(header: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
    let class = |i: usize| {
        if right.contains(&i) {
            " class=\"figure\""
        } else {
            ""
        }
    };
    let mut out = String::from("<table>\n<thead><tr>");
    for (i, cell) in header.iter().enumerate() {
        out.push_str(&format!(
            "<th scope=\"col\"{}>{}</th>",
            class(i),
            html(cell)
        ));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        for (i, cell) in row.iter().enumerate() {
            let (tag, scope) = if i == 0 {
                ("th", " scope=\"row\"")
            } else {
                ("td", "")
            };
            out.push_str(&format!(
                "<{tag}{scope}{}>{}</{tag}>",
                class(i),
                html(&bound(cell))
            ));
        }
        out.push_str("</tr>\n");
    }
    out + "</tbody>\n</table>\n"
}

/// A text as HTML shows it: no markup in it acts.
pub fn html(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    // Writing into a text cannot fail.
    let _ = Html.write_escaped_str(&mut out, text);
    out
}

/// HTML with its neighbouring list entries put into one list.
pub fn listed(html: &str) -> String {
    let mut out = String::with_capacity(html.len());
    let mut inside = false;
    for line in html.lines() {
        let entry = line.starts_with("<li");
        if entry != inside {
            out.push_str(if entry { "<ul>\n" } else { "</ul>\n" });
            inside = entry;
        }
        out.push_str(line);
        out.push('\n');
    }
    if inside {
        out.push_str("</ul>\n");
    }
    out
}

/// Stands between words that belong on one line, such as a figure and its unit, while lines are filled.
pub const BOND: &str = "\u{a0}";
/// Blank columns between those of a table.
const GAP: usize = 2;

/// A table as text. Figures with their units and ids stay whole as long as there is room for all of them.
fn plain_table(width: usize, header: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
    let each = |change: fn(&str) -> String| -> Vec<Vec<String>> {
        let row = |r: &Vec<String>| r.iter().map(|cell| change(cell)).collect();
        rows.iter().map(row).collect()
    };
    let loose = each(|cell| cell.replace(BOND, " "));
    for rows in [&each(bound), &loose] {
        let free = arranged(width, header, rows, right, 1, None);
        let words = rows.iter().flatten().flat_map(|c| c.split([' ', '\n']));
        if words.into_iter().all(|word| free.contains(word)) {
            return finished(&free);
        }
        let least = longest_words(header, rows);
        let needed = least.iter().sum::<usize>() + GAP * header.len().saturating_sub(1);
        if needed <= width {
            let indent = usize::from(needed < width);
            return finished(&arranged(width, header, rows, right, indent, Some(&least)));
        }
    }
    finished(&arranged(width, header, &loose, right, 1, None))
}

fn arranged(
    width: usize,
    header: &[&str],
    rows: &[Vec<String>],
    right: &[usize],
    indent: usize,
    least: Option<&[usize]>,
) -> String {
    let mut table = Table::new();
    table.load_style(comfy_table::presets::NOTHING);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(width as u16);
    table.set_header(header.iter().map(|h| (*h).to_string()).collect::<Vec<_>>());
    for row in rows {
        table.add_row(row.clone());
    }
    for i in 0..header.len() {
        let Some(column) = table.column_mut(i) else {
            continue;
        };
        let (before, after) = (
            if i == 0 { indent } else { 0 },
            if i + 1 < header.len() { GAP } else { 0 },
        );
        column.set_padding((before as u16, after as u16));
        if right.contains(&i) {
            column.set_cell_alignment(CellAlignment::Right);
        }
        if let Some(least) = least.and_then(|l| l.get(i)) {
            let least = Width::Fixed((least + before + after) as u16);
            column.set_constraint(ColumnConstraint::LowerBoundary(least));
        }
    }
    table.to_string()
}

/// Lines without blanks at their ends.
fn finished(table: &str) -> String {
    let lines = table.lines().map(|l| l.replace(BOND, " "));
    lines.map(|l| format!("{}\n", l.trim_end())).collect()
}

/// The longest word of each column.
fn longest_words(header: &[&str], rows: &[Vec<String>]) -> Vec<usize> {
    (0..header.len())
        .map(|i| {
            let cells = rows.iter().filter_map(|r| r.get(i).map(String::as_str));
            let words = cells.chain([header[i]]).flat_map(|c| c.split([' ', '\n']));
            words.map(wide).max().unwrap_or(0)
        })
        .collect()
}

fn wide(text: &str) -> usize {
    text.chars().count()
}

/// A text in which a figure and its unit are one word.
fn bound(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut figure = false;
    for (i, word) in text.split(' ').enumerate() {
        let unit = word.trim_end_matches(['.', ',', ';', ':', ')', '"']);
        if i > 0 {
            out.push_str(if figure && Unit::SYMBOLS.contains(&unit) {
                BOND
            } else {
                " "
            });
        }
        figure = word.ends_with(|c: char| c.is_ascii_digit());
        out.push_str(word);
    }
    out
}

/// A text in lines of so many columns, the first beginning with a mark. Ids, designations and figures with their
/// units stay whole where a line is long enough.
fn fill(text: &str, width: usize, mark: &str) -> String {
    let rest = " ".repeat(wide(mark));
    let options = Options::new(width)
        .word_splitter(WordSplitter::NoHyphenation)
        .initial_indent(mark)
        .subsequent_indent(&rest);
    textwrap::fill(&bound(text), options).replace(BOND, " ")
}

/// A text as Markdown shows it: nothing that a person wrote becomes a heading, a list, a link, a tag or emphasis.
pub fn markdown(text: &str) -> String {
    let inline = inline(text);
    let first = text.split(' ').next().unwrap_or_default();
    let number = first.strip_suffix(['.', ')']).unwrap_or_default();
    let heads = |mark: char| !first.is_empty() && first.chars().all(|c| c == mark);
    if text.starts_with('>')
        || ['#', '-', '+'].into_iter().any(heads)
        || text.chars().all(|c| c == '=') && heads('=')
    {
        format!("\\{inline}")
    } else if !number.is_empty() && number.chars().all(|c| c.is_ascii_digit()) {
        // A figure and a point would begin a numbered list.
        format!("{number}\\{}", &inline[number.len()..])
    } else {
        inline
    }
}

/// The same for a text that begins no block, such as a cell of a table. The program's own ids in brackets and commands
/// between backticks need no mark.
fn inline(text: &str) -> String {
    let more_than_one = |mark: char| text.matches(mark).count() > 1;
    let single = text.matches('`').count() % 2 == 1;
    let struck = more_than_one('~');
    let letters: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut code = false;
    for (i, &c) in letters.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|i| letters.get(i).copied());
        let after = letters.get(i + 1).copied();
        let inside = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        code ^= c == '`' && !single;
        let acts = match c {
            '`' => single,
            _ if code => false,
            '\\' | '*' | '<' => true,
            '~' => struck,
            '_' => !(inside(before) && inside(after)),
            '(' | '[' | ':' => before == Some(']'),
            _ => false,
        };
        if acts {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// A text from outside a job, such as the name of a file, with what a terminal would act on replaced.
pub fn visible(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() || crate::job::document::acts(c) {
                '\u{fffd}'
            } else {
                c
            }
        })
        .collect()
}

/// A ratio to two significant figures.
pub fn ratio(number: Option<Number>) -> String {
    match number {
        Some(Number(value)) if value.is_finite() => significant(value, 2),
        Some(_) => "no demand".into(),
        None => "–".into(),
    }
}

/// The most figures that are shown to keep two numbers apart.
const MOST_FIGURES: usize = 9;

/// Two numbers with the figures asked for, and more where rounding would hide which is the greater.
fn told_apart(numbers: [f64; 2], figures: [usize; 2]) -> [String; 2] {
    let text = |more: usize| {
        [0, 1].map(|i| significant(numbers[i], (figures[i] + more).min(MOST_FIGURES)))
    };
    let order = numbers[0].partial_cmp(&numbers[1]);
    let tells = |t: &[String; 2]| {
        let [a, b] = [0, 1].map(|i| t[i].parse::<f64>().unwrap_or(numbers[i]));
        a.partial_cmp(&b) == order
    };
    (0..MOST_FIGURES)
        .map(text)
        .find(tells)
        .unwrap_or_else(|| text(0))
}

/// A reserve and what is required of it.
pub fn against(number: Option<Number>, need: f64) -> [String; 2] {
    match number {
        Some(Number(value)) if value.is_finite() => told_apart([value, need], [2, 3]),
        other => [ratio(other), significant(need, 3)],
    }
}

/// Two reserves of one check.
pub fn two_ratios(a: Option<Number>, b: Option<Number>) -> [String; 2] {
    match (a, b) {
        (Some(Number(a)), Some(Number(b))) if a.is_finite() && b.is_finite() => {
            told_apart([a, b], [2, 2])
        }
        _ => [ratio(a), ratio(b)],
    }
}

/// Demand and capacity.
pub fn amounts(a: Option<Amount>, b: Option<Amount>, system: System) -> [String; 2] {
    if let (Some(a), Some(b)) = (a, b) {
        let [(x, unit), (y, _)] = [a, b].map(|v| v.unit.in_system(v.si, system));
        if x.is_finite() && y.is_finite() {
            let unit = if unit == "none" {
                String::new()
            } else {
                format!(" {unit}")
            };
            return told_apart([x, y], [4, 4]).map(|number| number + &unit);
        }
    }
    [amount(a, system), amount(b, system)]
}

/// An amount, or a dash.
pub fn amount(value: Option<Amount>, system: System) -> String {
    value.map_or_else(|| "–".into(), |a| a.unit.show(a.si, system))
}

/// The first lines of every output: what it is about.
pub fn opening(command: &str, report_source: &str, title: Option<&str>, layout: Layout) -> String {
    let what = if report_source == DEMONSTRATION {
        "built-in demonstration job (its data are invented)"
    } else {
        report_source
    };
    let first = format!("insertwright {command}: {what}");
    let mut out = match layout {
        Layout::Plain(_) => layout.paragraph(&first),
        Layout::Markdown => format!("# {}\n\n", markdown(&first)),
        Layout::Html => format!("<h2>{}</h2>\n", html(&first)),
    };
    if let Some(title) = title {
        out.push_str(&layout.paragraph(title));
    }
    out
}

/// The first lines of the report of a job.
pub fn opening_of(command: &str, job: &JobReport, layout: Layout) -> String {
    opening(command, &job.source, job.title.as_deref(), layout)
}

/// The source that the built-in job carries.
pub const DEMONSTRATION: &str = "demonstration";

/// The verdict, what it is taken from, and the lowest reserve where that is another's.
pub fn verdict_line(side: &SideReport) -> String {
    let check = |id: Option<&str>| id.and_then(|id| side.checks.iter().find(|c| c.id == id));
    let (deciding, governing) = (check(side.deciding), check(side.governing));
    let reserve = |c: &CheckReport| {
        let [ratio, need] = against(c.ratio, c.need);
        let divided = c.divided_by.map_or(String::new(), |factor| {
            format!(", divided by {},", significant(factor, 3))
        });
        format!(
            "{} [{}], reserve {ratio}{divided} against {need} required",
            c.title, c.id
        )
    };
    let mut line = side.verdict.to_string();
    match deciding {
        Some(c) if c.decided_by.or(c.reason).is_none() => {
            let governs = governing.is_none_or(|g| g.id == c.id);
            let word = if governs { "Governs" } else { "Decided by" };
            line.push_str(&format!(". {word}: {}", reserve(c)));
        }
        Some(c) => {
            let by = c.decided_by.or(c.reason).unwrap_or_default();
            let what = if c.ratio.is_some() {
                reserve(c)
            } else {
                format!("{} [{}]", c.title, c.id)
            };
            line.push_str(&format!(". Decided by: {what}; {by}"));
        }
        None if side.verdict == "not judged" => {
            let open: Vec<&str> = side
                .preconditions
                .iter()
                .filter(|p| p.state == "unknown")
                .map(|p| p.id)
                .collect();
            line.push_str(&format!(
                ". Decided by what is not known of the part: {}",
                open.join(", ")
            ));
        }
        None => {}
    }
    if let Some(lowest) = governing.filter(|g| deciding.is_none_or(|d| d.id != g.id)) {
        line.push_str(&format!(". Lowest reserve: {}", reserve(lowest)));
    }
    line
}

/// How the state of a precondition is marked.
pub fn mark(state: &str) -> &'static str {
    match state {
        "confirmed" => "[yes] ",
        "failed" => "[NO]  ",
        _ => "[ ? ] ",
    }
}

/// A list of preconditions with their states.
pub fn precondition_list(list: &[PreconditionReport], layout: Layout) -> String {
    let mut out = layout.heading("Before any margin");
    for p in list {
        out.push_str(&layout.item(mark(p.state), &format!("{} ({})", p.text, p.id)));
    }
    out
}

/// What was assumed, what was not examined, sources, overrides and cautions: the end of every report.
pub fn tail<S, T>(report: &Paper<S, T>, system: System, layout: Layout) -> String {
    overrides(report, layout)
        + &assumed(report, system, layout)
        + &sources(report, layout)
        + &row_notes(report, layout)
        + &not_examined(report, layout)
        + &cautions(report.cautions.iter().map(|c| &*c.text), layout)
}

/// What was put over the job.
pub fn overrides<S, T>(report: &Paper<S, T>, layout: Layout) -> String {
    if report.overrides.is_empty() {
        return String::new();
    }
    let mut out = layout.heading("Overrides");
    for text in &report.overrides {
        out.push_str(&layout.item("- ", text));
    }
    out
}

/// What the job does not say.
pub fn assumed<S, T>(report: &Paper<S, T>, system: System, layout: Layout) -> String {
    let mut out = layout.heading("Assumed, because the job does not say");
    if report.assumed.is_empty() {
        out.push_str(&layout.item("", "nothing"));
    }
    // Neighbours with one reason share a line.
    for alike in report.assumed.chunk_by(|a, b| a.source == b.source) {
        let values: Vec<String> = alike
            .iter()
            .map(|a| format!("{} = {}", a.key, a.value.show(system)))
            .collect();
        out.push_str(&layout.item(
            "- ",
            &format!("{} ({})", values.join(", "), alike[0].source),
        ));
    }
    out
}

/// Where the rows in use come from.
pub fn sources<S, T>(report: &Paper<S, T>, layout: Layout) -> String {
    let mut out = layout.heading("Sources of the rows in use");
    for (key, source) in &report.sources {
        out.push_str(&layout.item("- ", &format!("{key}: {source}")));
    }
    out
}

/// What the rows in use warn of, one row once.
pub fn row_notes<S, T>(report: &Paper<S, T>, layout: Layout) -> String {
    if report.row_notes.is_empty() {
        return String::new();
    }
    let mut out = layout.heading("Notes of the rows in use");
    let mut said: Vec<&str> = Vec::new();
    for (_, note) in &report.row_notes {
        if !said.contains(&note.as_str()) {
            said.push(note);
            out.push_str(&layout.item("- ", note));
        }
    }
    out
}

/// What nothing here looks at.
pub fn not_examined<S, T>(report: &Paper<S, T>, layout: Layout) -> String {
    let mut out = layout.heading("Not examined");
    for text in &report.not_examined {
        out.push_str(&layout.item("- ", text));
    }
    out
}

/// A margin as people read it: what is left above the ratio required, or missing from it, to so many figures.
pub fn margin(margin: f64, figures: usize) -> String {
    if margin.is_infinite() {
        return "no demand".into();
    }
    let sign = if margin > 0.0 { "+" } else { "" };
    format!("{sign}{}{BOND}%", significant(margin * 100.0, figures))
}

/// The cautions.
pub fn cautions<'a>(texts: impl Iterator<Item = &'a str>, layout: Layout) -> String {
    let mut out = layout.heading("Cautions");
    for text in texts {
        out.push_str(&layout.item("! ", text));
    }
    out
}
