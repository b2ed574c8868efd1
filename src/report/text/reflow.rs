//! Markdown that was written wider than a terminal, for a terminal.

use super::page::WIDTH;
use unicode_width::UnicodeWidthStr as _;

/// The text with its paragraphs and list items within 80 columns; blocks between
/// fences stay as they are.
pub(crate) fn reflow(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut paragraph = String::new();
    let mut fenced = false;
    for line in text.lines() {
        let trimmed = line.trim_start();
        if trimmed.starts_with("```") {
            flush(&mut out, &mut paragraph);
            fenced = !fenced;
        }
        let alone = trimmed.is_empty() || trimmed.starts_with(['#', '|']);
        if fenced || alone || trimmed.starts_with("```") {
            flush(&mut out, &mut paragraph);
            out.push_str(line);
            out.push('\n');
        } else if trimmed.starts_with("- ") || paragraph.is_empty() {
            flush(&mut out, &mut paragraph);
            paragraph.push_str(line);
        } else {
            paragraph.push(' ');
            paragraph.push_str(trimmed);
        }
    }
    flush(&mut out, &mut paragraph);
    out
}

fn flush(out: &mut String, paragraph: &mut String) {
    let text = std::mem::take(paragraph);
    if text.is_empty() {
        return;
    }
    let indent = text.len() - text.trim_start().len();
    let hanging = indent
        + if text.trim_start().starts_with("- ") {
            2
        } else {
            0
        };
    let mut line = " ".repeat(indent);
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.width() + 1 + word.width() > WIDTH {
            out.push_str(&line);
            out.push('\n');
            line = " ".repeat(hanging);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(&line);
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paragraphs_and_items_fit_and_examples_stay() {
        let long = "word ".repeat(30);
        let text = format!(
            "# Heading\n\n{long}\n{long}\n\n- {long}\n  more\n  - {long}\n\n```toml\n{long}\n```\n"
        );
        let shown = reflow(&text);
        let mut fenced = false;
        for line in shown.lines() {
            fenced ^= line.starts_with("```");
            assert!(fenced || line.width() <= WIDTH, "{line}");
        }
        assert_eq!(shown.matches("word").count(), text.matches("word").count());
        assert!(
            shown.contains("\n- word") && shown.contains("\n  - word"),
            "{shown}"
        );
        assert!(shown.contains("\n    word"), "{shown}");
        assert!(shown.contains(&format!("```toml\n{long}\n```\n")));
        assert!(shown.contains("more\n  - word"), "{shown}");
    }

    #[test]
    fn a_line_that_begins_with_code_goes_on() {
        assert_eq!(
            reflow("one\n`two` three\n\n`four`\n"),
            "one `two` three\n\n`four`\n"
        );
    }
}
