//! Entries of a record, one line each: inline tables of TOML 1.0.

use crate::plain::is_unprintable;

/// A line like `{ cabinet = "B2", mm = 876.3 }` in the making.
#[derive(Default)]
pub(super) struct Line(Vec<String>);

impl Line {
    pub fn text(mut self, key: &str, text: &str) -> Self {
        self.0.push(format!("{key} = {}", quoted(text)));
        self
    }

    /// Left out when empty.
    pub fn filled(self, key: &str, text: &str) -> Self {
        if text.is_empty() {
            self
        } else {
            self.text(key, text)
        }
    }

    pub fn maybe(self, key: &str, text: Option<&str>) -> Self {
        match text {
            Some(text) => self.text(key, text),
            None => self,
        }
    }

    pub fn whole(mut self, key: &str, number: impl Into<u128>) -> Self {
        self.0.push(format!("{key} = {}", number.into()));
        self
    }

    pub fn mm(mut self, mm: f64) -> Self {
        self.0.push(format!("mm = {}", decimal(mm)));
        self
    }

    /// Left out when false.
    pub fn flag(mut self, key: &str, set: bool) -> Self {
        if set {
            self.0.push(format!("{key} = true"));
        }
        self
    }

    /// Texts that are quoted already; left out when there are none.
    pub fn texts(mut self, key: &str, texts: &[String]) -> Self {
        if !texts.is_empty() {
            self.0.push(format!("{key} = [{}]", texts.join(", ")));
        }
        self
    }

    /// Left out when there are none.
    pub fn list(mut self, key: &str, lines: impl IntoIterator<Item = Line>) -> Self {
        let lines: Vec<String> = lines.into_iter().map(Line::finish).collect();
        if !lines.is_empty() {
            self.0.push(format!("{key} = [{}]", lines.join(", ")));
        }
        self
    }

    pub fn finish(self) -> String {
        if self.0.is_empty() {
            return "{}".to_owned();
        }
        format!("{{ {} }}", self.0.join(", "))
    }
}

/// `key = [` with one entry a line.
pub(super) fn block(out: &mut String, key: &str, entries: impl IntoIterator<Item = String>) {
    out.push_str(key);
    out.push_str(" = [\n");
    for entry in entries {
        out.push_str("  ");
        out.push_str(&entry);
        out.push_str(",\n");
    }
    out.push_str("]\n");
}

/// A basic string on one line; what cannot be seen is written by number.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for character in text.chars() {
        match character {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            other if is_unprintable(other) || other == '\u{2028}' || other == '\u{2029}' => {
                out.push_str(&format!("\\U{:08X}", u32::from(other)));
            }
            other => out.push(other),
        }
    }
    out.push('"');
    out
}

/// Millimetres to the tick, 0.0000125 mm, without noise.
fn decimal(mm: f64) -> String {
    let text = format!("{mm:.7}");
    let text = text.trim_end_matches('0');
    if text.ends_with('.') {
        format!("{text}0")
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Length;

    #[test]
    fn any_text_reads_back() {
        for text in [
            "",
            "34 1/2\"",
            "C:\\jobs\\\u{1}",
            "a\nb\tc\rd",
            "\u{202e}x\u{7f}\u{85}\u{2028}",
            "'''\"\"\"#]}",
            "\u{fffe}\u{10ffff}é棚",
        ] {
            let line = format!("x = {}", Line::default().text("a", text).finish());
            assert_eq!(line.lines().count(), 1, "{line:?}");
            let value: toml::Table = toml::from_str(&line).unwrap();
            assert_eq!(value["x"]["a"].as_str(), Some(text));
        }
    }

    #[test]
    fn every_tick_reads_back() {
        for ticks in [0, 1, 2, 79_999, 80_000, 70_104_000, 123_456_789_012] {
            let length = Length::from_ticks(ticks);
            let read: f64 = decimal(length.mm()).parse().unwrap();
            assert_eq!(Length::from_mm(read), Some(length));
        }
        assert_eq!(decimal(876.3), "876.3");
        assert_eq!(decimal(600.0), "600.0");
    }
}
