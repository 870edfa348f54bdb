//! Rows of figures: what no judgement is without as lines that begin with `#`, then names with units, then rows.

use super::report::{Paper, PreconditionReport};
use crate::units::display::System;
use std::fmt::{Display, Write};

/// The first lines: cautions, preconditions of each side, what was assumed, put over the job, and not examined.
pub fn head<'a, S, T>(
    report: &Paper<S, T>,
    sides: impl ExactSizeIterator<Item = (&'a str, &'a [PreconditionReport])>,
) -> String {
    let mut out = String::new();
    for c in &report.cautions {
        remark(&mut out, &format!("caution {}", c.id), &c.text);
    }
    let several = sides.len() > 1;
    for (side, preconditions) in sides {
        let place = if several {
            format!(" ({side} side)")
        } else {
            String::new()
        };
        for p in preconditions {
            let text = format!("{} is {}{place}", p.id, p.state);
            remark(&mut out, "precondition", &text);
        }
    }
    for w in &report.warnings {
        remark(&mut out, &format!("warning {}", w.id), &w.text);
    }
    for a in &report.assumed {
        let text = format!(
            "{} = {} ({})",
            a.key,
            a.value.show(System::Metric),
            a.source
        );
        remark(&mut out, "assumed", &text);
    }
    for text in &report.overrides {
        remark(&mut out, "override", text);
    }
    for text in &report.not_examined {
        remark(&mut out, "not examined", text);
    }
    out
}

/// One line beginning with `#`.
pub fn remark(out: &mut String, what: &str, text: &str) {
    let text = text.replace(['\n', '\r'], " ");
    out.push_str(&format!("# {what}: {text}\n"));
}

/// The name of a column with its unit.
pub fn name(id: &str, unit: &str) -> String {
    if unit == "none" {
        id.to_string()
    } else {
        format!("{id} [{unit}]")
    }
}

/// Rows in the making.
pub struct Rows {
    writer: csv::Writer<Vec<u8>>,
    number: String,
}

impl Default for Rows {
    fn default() -> Rows {
        Rows {
            writer: csv::Writer::from_writer(Vec::new()),
            number: String::new(),
        }
    }
}

// Writing to memory cannot fail, and every row is closed with as many fields as the names have.
impl Rows {
    /// A field; a text that a spreadsheet would take for a formula is marked as text.
    pub fn text(&mut self, text: &str) {
        let _ = if text.starts_with(['=', '+', '-', '@']) {
            self.writer.write_field(format!("'{text}"))
        } else {
            self.writer.write_field(text)
        };
    }
    /// A field with a number, or an empty one.
    pub fn number(&mut self, number: Option<impl Display>) {
        self.number.clear();
        if let Some(number) = number {
            let _ = write!(self.number, "{number}");
        }
        let _ = self.writer.write_field(&self.number);
    }
    /// Ends a row.
    pub fn end(&mut self) {
        let _ = self.writer.write_record(None::<&[u8]>);
    }
    /// What was written.
    pub fn finish(self) -> String {
        let bytes = self.writer.into_inner().unwrap_or_default();
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_marked_and_quoted() {
        let mut rows = Rows::default();
        for text in ["=1+1", "a \"b\", c", ""] {
            rows.text(text);
        }
        rows.number(Some(-0.5));
        rows.number(None::<f64>);
        rows.end();
        assert_eq!(rows.finish(), "'=1+1,\"a \"\"b\"\", c\",,-0.5,\n");
        let mut out = String::new();
        remark(&mut out, "override", "one\ntwo");
        assert_eq!(out, "# override: one two\n");
    }
}
