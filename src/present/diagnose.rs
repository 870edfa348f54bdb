//! Findings about a job, each under the line that it is about.

use crate::job::{Diagnostic, Document};
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

/// Nobody mends more than so many at a time, and each is looked up in the whole of the text.
const MOST_SHOWN: usize = 100;

/// The findings as text, with colour where asked for.
pub fn render(document: &Document, findings: &[Diagnostic], colour: bool) -> String {
    let renderer = if colour {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let mut out = String::new();
    for finding in findings.iter().take(MOST_SHOWN) {
        let empty = crate::job::document::Source {
            name: String::new(),
            text: String::new(),
        };
        let source = document.sources.get(finding.place.source).unwrap_or(&empty);
        let span = on_boundaries(&source.text, &finding.place.span);
        let group = Group::with_title(Level::ERROR.primary_title(finding.message.as_str()))
            .element(
                Snippet::source(source.text.as_str())
                    .path(source.name.as_str())
                    .line_start(1)
                    .annotation(AnnotationKind::Primary.span(span)),
            )
            .element(Level::HELP.message(finding.help.as_str()));
        out.push_str(&renderer.render(&[group]));
        out.push_str("\n\n");
    }
    let count = findings.len();
    let plural = if count == 1 { "" } else { "s" };
    let shown = if count > MOST_SHOWN {
        format!(", of which the first {MOST_SHOWN} are shown")
    } else {
        String::new()
    };
    out.push_str(&format!(
        "{count} finding{plural}{shown}; nothing was computed.\n"
    ));
    out
}

/// A span inside the text, on character boundaries, at least one character wide where there is one.
fn on_boundaries(text: &str, span: &std::ops::Range<usize>) -> std::ops::Range<usize> {
    let floor = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = floor(span.start);
    let mut end = floor(span.end.max(start));
    if end == start {
        end = text[start..]
            .chars()
            .next()
            .map_or(start, |c| start + c.len_utf8());
    }
    start..end
}
