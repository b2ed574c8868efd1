//! Job files that fit 80 columns: long comments are broken, those behind a value
//! stand before it.

const WIDTH: usize = 80;

/// The text with every comment within 80 columns. Values are never broken.
pub(super) fn narrow(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.lines() {
        if line.chars().count() <= WIDTH {
            out.push_str(line);
            out.push('\n');
            continue;
        }
        let (value, comment) = match behind_value(line) {
            Some((value, comment)) => (Some(value), comment),
            None => match line.strip_prefix('#') {
                Some(comment) if !is_value(comment) => (None, comment),
                _ => (Some(line), ""),
            },
        };
        broken(&mut out, comment);
        if let Some(value) = value {
            out.push_str(value.trim_end());
            out.push('\n');
        }
    }
    out
}

/// `# key = "value" # comment` at its second `#`, outside of quotes.
fn behind_value(line: &str) -> Option<(&str, &str)> {
    let offset = usize::from(line.starts_with('#'));
    if !is_value(line.get(offset..)?) {
        return None;
    }
    let (mut quoted, mut escaped) = (false, false);
    for (at, character) in line.char_indices().skip(offset) {
        match character {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            '#' if !quoted => return Some((line.get(..at)?, line.get(at + 1..)?)),
            _ => {}
        }
    }
    None
}

/// Whether this is `key = value` or a section's heading rather than a sentence.
fn is_value(text: &str) -> bool {
    let text = text.trim_start();
    if text.starts_with('[') {
        return true;
    }
    text.split_once(" = ").is_some_and(|(key, _)| {
        let key = key.trim();
        key.starts_with('"') || !key.contains(char::is_whitespace)
    })
}

fn broken(out: &mut String, comment: &str) {
    let mut line = String::from("#");
    // Lines of a list stay indented.
    let indent = comment.len() - comment.trim_start().len();
    line.extend(std::iter::repeat_n(' ', indent.saturating_sub(1)));
    let mut empty = true;
    for word in comment.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(&line);
            out.push('\n');
            line = "#".to_owned();
            line.extend(std::iter::repeat_n(' ', indent + 1));
        }
        line.push(' ');
        line.push_str(word);
        empty = false;
    }
    if !empty {
        out.push_str(&line);
        out.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_are_broken_and_values_are_not() {
        let long = "word ".repeat(20);
        let text = format!(
            "[job]\nname = \"{}\"\n# {long}\n# gap = \"1/8 # in\" # {long}\n#   {long}\n# short\n",
            "x".repeat(90)
        );
        let narrow = narrow(&text);
        for line in narrow.lines().filter(|line| !line.starts_with("name")) {
            assert!(line.chars().count() <= WIDTH, "{line}");
        }
        assert!(narrow.contains(&"x".repeat(90)));
        assert!(narrow.contains("word\n# gap = \"1/8 # in\"\n"), "{narrow}");
        assert!(narrow.contains("\n#     word"), "{narrow}");
        assert!(narrow.ends_with("# short\n"));
        let words = |text: &str| text.matches("word").count();
        assert_eq!(words(&narrow), words(&text));
    }

    #[test]
    fn what_is_narrow_stays_as_it_is() {
        let text = "# a\n\n[sizes]\n# gap = \"1/8\" # between doors\n";
        assert_eq!(narrow(text), text);
    }
}
