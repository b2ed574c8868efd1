//! Formatting codes of TEXT and MTEXT stripped to what a person reads.

use super::limits::MAX_TEXT_BYTES;

/// TEXT and ATTRIB: `%%c`, `%%d`, `%%p`, `%%nnn`, `%%%`; switches dropped.
pub fn text(raw: &str) -> String {
    let mut out = String::new();
    percent(shortened(raw), &mut out);
    out
}

fn shortened(raw: &str) -> &str {
    let mut end = raw.len().min(MAX_TEXT_BYTES);
    while !raw.is_char_boundary(end) {
        end -= 1;
    }
    raw.get(..end).unwrap_or_default()
}

fn percent(raw: &str, out: &mut String) {
    let mut rest = raw;
    while let Some((before, after)) = rest.split_once("%%") {
        out.push_str(before);
        rest = code(after, out);
    }
    out.push_str(rest);
}

/// One code after `%%`; gives what follows it.
fn code<'a>(after: &'a str, out: &mut String) -> &'a str {
    let mut chars = after.chars();
    match chars.next() {
        Some('c' | 'C') => out.push('Ø'),
        Some('d' | 'D') => out.push('°'),
        Some('p' | 'P') => out.push('±'),
        Some('u' | 'U' | 'o' | 'O' | 'k' | 'K') => {}
        Some('%') => out.push('%'),
        Some('0'..='9') => {
            let digits = after
                .get(..3)
                .filter(|d| d.bytes().all(|b| b.is_ascii_digit()));
            if let Some(number) = digits.and_then(|d| d.parse::<u8>().ok()) {
                out.push(char::from(number));
                return after.get(3..).unwrap_or_default();
            }
            out.push_str("%%");
            return after;
        }
        _ => {
            out.push_str("%%");
            return after;
        }
    }
    chars.as_str()
}

/// MTEXT and dimension text: paragraphs become `\n`, stacked fractions
/// `a/b` set apart from a whole number before them, all else is dropped.
pub fn mtext(raw: &str) -> String {
    let mut out = String::new();
    let mut rest = shortened(raw);
    while let Some(c) = rest.chars().next() {
        let after = rest.get(c.len_utf8()..).unwrap_or_default();
        rest = match c {
            '\\' => command(after, &mut out),
            '{' | '}' => after,
            '^' => caret(after, &mut out),
            '%' if after.starts_with('%') => code(after.get(1..).unwrap_or_default(), &mut out),
            _ => {
                out.push(c);
                after
            }
        };
    }
    out
}

/// `^I` tab, `^J` line end, `^M` nothing, `^ ` the caret itself.
fn caret<'a>(after: &'a str, out: &mut String) -> &'a str {
    match after.chars().next() {
        Some('I') => out.push(' '),
        Some('J') => out.push('\n'),
        Some('M') => {}
        Some(' ') => out.push('^'),
        _ => {
            out.push('^');
            return after;
        }
    }
    after.get(1..).unwrap_or_default()
}

/// One command after a backslash; gives what follows it.
fn command<'a>(after: &'a str, out: &mut String) -> &'a str {
    let mut chars = after.chars();
    let Some(c) = chars.next() else {
        out.push('\\');
        return "";
    };
    let rest = chars.as_str();
    match c {
        // Paragraph, column, and the line of a dimension text.
        'P' | 'N' | 'X' => out.push('\n'),
        '~' => out.push(' '),
        '\\' | '{' | '}' => out.push(c),
        'L' | 'l' | 'O' | 'o' | 'K' | 'k' => {}
        'S' => return stack(rest, out),
        'A' | 'H' | 'W' | 'Q' | 'T' | 'C' | 'c' | 'F' | 'f' | 'p' => {
            return rest.split_once(';').map_or("", |(_, after)| after);
        }
        _ => {
            out.push('\\');
            out.push(c);
        }
    }
    rest
}

/// `\Supper/lower;` with `/`, `#` (fractions) or `^` (one over the other).
fn stack<'a>(rest: &'a str, out: &mut String) -> &'a str {
    let (body, after) = rest.split_once(';').unwrap_or((rest, ""));
    let mut upper = String::new();
    let mut lower = String::new();
    let mut split = None;
    let mut escaped = false;
    for c in body.chars() {
        let part = if split.is_some() {
            &mut lower
        } else {
            &mut upper
        };
        match c {
            '\\' if !escaped => {
                escaped = true;
                continue;
            }
            '/' | '#' | '^' if !escaped && split.is_none() => split = Some(c),
            _ => part.push(c),
        }
        escaped = false;
    }
    let (upper, lower) = (upper.trim(), lower.trim());
    // Else 3 and a stacked 1/2 would run together into 31/2.
    if out.ends_with(|c: char| c.is_ascii_digit())
        && upper.starts_with(|c: char| c.is_ascii_digit())
    {
        out.push(' ');
    }
    out.push_str(upper);
    if !lower.is_empty() {
        out.push(if split == Some('^') { ' ' } else { '/' });
        out.push_str(lower);
    }
    after
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_codes() {
        assert_eq!(
            text("%%c35 %%p1/32%%d %%uB2 FRONT%%u"),
            "Ø35 ±1/32° B2 FRONT"
        );
        assert_eq!(text("50%% off, %%%, %%065"), "50%% off, %, A");
        assert_eq!(text("%%99"), "%%99");
        assert_eq!(text("%%"), "%%");
    }

    /// DXF Reference, MTEXT; the codes from common practice.
    #[test]
    fn mtext_codes() {
        assert_eq!(mtext(r"{\fArial|b0|i0;\H2.5x;B2}\PFRONT"), "B2\nFRONT");
        assert_eq!(mtext(r"\A1;34\S1/2;\~in"), "34 1/2 in");
        assert_eq!(mtext(r"34 {\H0.7x;\S1#2;}"), "34 1/2");
        assert_eq!(mtext(r"10\S+0.1^-0.2;"), "10+0.1 -0.2");
        assert_eq!(mtext(r"\pxqc;\Lscale\l 1:12"), "scale 1:12");
        assert_eq!(mtext(r"C:\\shop \{a\}"), r"C:\shop {a}");
        assert_eq!(mtext("a^Ib^Jc^ d"), "a b\nc^d");
        assert_eq!(mtext(r"%%c5 \C1;red \unknown"), r"Ø5 red \unknown");
        assert_eq!(mtext(r"cut \H2"), "cut ");
        assert_eq!(mtext("end\\"), "end\\");
    }

    proptest::proptest! {
        #[test]
        fn no_text_panics(raw in ".*", odd in r"[\\SHP;%{}^/#0-9]*") {
            mtext(&raw);
            mtext(&odd);
            text(&raw);
            text(&odd);
        }
    }
}
