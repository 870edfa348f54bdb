//! Findings about a job, each under the line that it is about.

use crate::job::{Diagnostic, Document};
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use std::borrow::Cow;

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
    let sources: Vec<_> = document
        .sources
        .iter()
        .map(|s| (tame(&s.name), tame(&s.text)))
        .collect();
    let empty = (Cow::Borrowed(""), Cow::Borrowed(""));
    for finding in findings.iter().take(MOST_SHOWN) {
        let (name, text) = sources.get(finding.place.source).unwrap_or(&empty);
        let span = on_boundaries(text, &finding.place.span);
        let group = Group::with_title(Level::ERROR.primary_title(tame(&finding.message)))
            .element(
                Snippet::source(text.as_ref())
                    .path(name.as_ref())
                    .line_start(1)
                    .annotation(AnnotationKind::Primary.span(span)),
            )
            .element(Level::HELP.message(tame(&finding.help)));
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

/// The text with a mark in place of the controls from U+0080 to U+009F, which the renderer leaves as they are and a
/// terminal may act on. The mark is as many bytes long, so that every place in the text stays where it was.
fn tame(text: &str) -> Cow<'_, str> {
    let control = |c: char| ('\u{80}'..='\u{9f}').contains(&c);
    if text.contains(control) {
        Cow::Owned(text.replace(control, "\u{bf}"))
    } else {
        Cow::Borrowed(text)
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Every control but the end of a line, in the text, in a key and in a word that is not understood.
    #[test]
    fn no_control_is_shown_as_it_is() {
        for c in ('\0'..='\u{9f}').filter(|c| c.is_control() && !['\n', '\r', '\t'].contains(c)) {
            let escaped = format!("\\u{:04X}", c as u32);
            for text in [
                format!("[frame]\nwidth = \"68 {c}mm\" # {c}\n"),
                format!("[frame]\n\"{escaped}\" = \"68 mm\"\nwidth = \"{escaped}\"\n"),
                format!("seat = \"{c}\" {c}"),
            ] {
                let (document, mut found) = Document::parse("job.toml", &text);
                found.extend(crate::job::resolve(&document).err().unwrap_or_default());
                assert!(!found.is_empty(), "{text:?}");
                let shown = render(&document, &found, false);
                assert!(
                    !shown.chars().any(|c| c.is_control() && c != '\n'),
                    "{text:?}: {shown:?}"
                );
            }
        }
    }

    #[test]
    fn the_mark_leaves_every_place_where_it_was() {
        let text = "[frame]\nwidth = \"68 \u{9b}mm\" # \u{9b}\nbogus = 1\n";
        let (document, found) = Document::parse("job.toml", text);
        assert!(!found.is_empty());
        let shown = render(&document, &found, false);
        assert_eq!(tame(text).len(), text.len());
        assert!(
            shown.contains("width = \"68 \u{bf}mm\" # \u{bf}"),
            "{shown}"
        );
    }
}
