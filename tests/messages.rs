//! An inventory of what the program says of input: every error, problem and reason
//! written in the source is asserted by some test.
//!
//! A message counts as asserted when four words in a row of it (all, when it has
//! fewer) stand in a text of a test, in a snapshot, or in a report that is held
//! against what the program says.

mod common;

use common::kept::root;
use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::path::{Path, PathBuf};

/// Rooms whose texts are errors, problems, reasons and the evidence given for them.
/// Of all others the errors are looked at.
const ROOMS: [&str; 4] = ["length", "drawing", "cutlist", "signoff"];
/// Files whose refusals end a request of the page. The one of a fault of its own, in
/// `cli/page/mod.rs`, is not among them: no request provokes it.
const PAGE: [&str; 6] = ["desk", "form", "guard", "http", "kept", "routes"];
/// Fewer words are no message.
const LEAST_WORDS: usize = 3;
/// Words in a row that tell a message from others.
const TELLING: usize = 4;

/// Texts between quotation marks, with the place each starts at; comments are
/// passed over.
fn literals(source: &str) -> Vec<(usize, String)> {
    let bytes = source.as_bytes();
    let mut out = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let rest = &source[at..];
        if rest.starts_with("//") {
            at += rest.find('\n').unwrap_or(rest.len());
        } else if let Some(raw) = raw_literal(source, at) {
            out.push((at, source[raw.0..raw.1].to_owned()));
            at = raw.2;
        } else if rest.starts_with('"') {
            let (text, end) = plain_literal(source, at + 1);
            out.push((at, text));
            at = end;
        } else if rest.starts_with('\'') {
            at += character(rest);
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    out
}

/// Start, end, and end with its marks, of `r"..."` and `r#"..."#`.
fn raw_literal(source: &str, at: usize) -> Option<(usize, usize, usize)> {
    let rest = source[at..].strip_prefix('r')?;
    let before = source[..at].chars().next_back();
    if before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
        return None;
    }
    let marks = rest.len() - rest.trim_start_matches('#').len();
    rest[marks..].strip_prefix('"')?;
    let start = at + 1 + marks + 1;
    let close = format!("\"{}", "#".repeat(marks));
    let end = start + source[start..].find(&close)?;
    Some((start, end, end + close.len()))
}

/// The text of a literal that starts at `from`, and where it is over.
fn plain_literal(source: &str, from: usize) -> (String, usize) {
    let mut text = String::new();
    let mut chars = source[from..].char_indices();
    while let Some((at, c)) = chars.next() {
        match c {
            '"' => return (text, from + at + 1),
            '\\' => match chars.next() {
                Some((next, '\n')) => {
                    let rest = &source[from + next..];
                    let blank = rest.len() - rest.trim_start().len();
                    let (more, end) = plain_literal(source, from + next + blank);
                    return (text + &more, end);
                }
                Some((_, 'n' | 't')) => text.push(' '),
                Some((_, other)) => text.push(other),
                None => break,
            },
            other => text.push(other),
        }
    }
    (text, source.len())
}

/// Length of a character in single marks, or of the mark of a lifetime.
fn character(rest: &str) -> usize {
    let mut chars = rest[1..].chars();
    match chars.next() {
        Some('\\') => 2 + rest[2..].find('\'').unwrap_or(0) + 1,
        Some(c) if chars.next() == Some('\'') => 2 + c.len_utf8(),
        _ => 1,
    }
}

/// What of a file is the program, and what is its test.
fn parted(source: &str) -> (&str, &str) {
    match source.find("#[cfg(test)]\nmod tests {") {
        Some(at) => source.split_at(at),
        None => (source, ""),
    }
}

/// Whether a literal behind this stands in a call that refuses a request.
fn is_refusal(before: &str) -> bool {
    ["Refused::new(", "broken("].iter().any(|call| {
        let since = before.rfind(call).map(|at| &before[at..]);
        since.is_some_and(|since| !since.contains([';', '{', '}']))
    })
}

fn files(folder: &Path, endings: &[&str], out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            if !path.ends_with("node_modules") {
                files(&path, endings, out);
            }
        } else if endings
            .iter()
            .any(|ending| path.extension().is_some_and(|e| e == *ending))
        {
            out.push(path);
        }
    }
    out.sort();
}

fn is_test(path: &Path) -> bool {
    let name = path.file_name().unwrap().to_string_lossy();
    let folder = path.components().any(|part| part.as_os_str() == "tests");
    folder || ["tests.rs", "proofs.rs", "sample.rs"].contains(&&*name)
}

/// One blank between words.
fn even(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Words of a text, without the marks round them.
fn words(text: &str) -> Vec<&str> {
    text.split_whitespace()
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|word| !word.is_empty())
        .collect()
}

/// What a message says between its figures, as rows of words that tell it.
fn telling(message: &str) -> Vec<Vec<&str>> {
    let mut fragments = Vec::new();
    let (mut start, mut depth) = (0, 0);
    for (at, c) in message.char_indices() {
        match c {
            '{' => {
                if depth == 0 {
                    fragments.push(&message[start..at]);
                }
                depth += 1;
            }
            '}' => {
                depth -= 1;
                start = at + 1;
            }
            _ => {}
        }
    }
    fragments.push(&message[start..]);
    let mut rows = Vec::new();
    for fragment in fragments {
        let words = words(fragment);
        if words.len() >= LEAST_WORDS {
            rows.extend(
                words
                    .windows(words.len().min(TELLING))
                    .map(<[&str]>::to_vec),
            );
        }
    }
    rows
}

/// Rows of words in the texts of tests.
#[derive(Default)]
struct Asserted(HashSet<String>);

impl Asserted {
    fn add(&mut self, text: &str) {
        let words = words(text);
        for length in LEAST_WORDS..=TELLING {
            self.0
                .extend(words.windows(length).map(|row| row.join(" ")));
        }
    }

    fn holds(&self, message: &str) -> bool {
        telling(message)
            .iter()
            .any(|row| self.0.contains(&row.join(" ")))
    }
}

/// Messages of the program, each with the file it stands in, and all texts of tests.
fn inventory() -> (BTreeMap<String, BTreeSet<String>>, Asserted) {
    let mut messages: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut asserted = Asserted::default();
    let mut sources = Vec::new();
    files(&root("src"), &["rs"], &mut sources);
    for path in sources {
        let source = std::fs::read_to_string(&path).unwrap();
        let (program, test) = if is_test(&path) {
            ("", &*source)
        } else {
            parted(&source)
        };
        for (_, text) in literals(test) {
            asserted.add(&text);
        }
        let short = path
            .strip_prefix(root("src"))
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        let whole_room = ROOMS.iter().any(|room| short.starts_with(room));
        let of_page = PAGE
            .iter()
            .any(|file| short == format!("cli/page/{file}.rs"));
        for (at, text) in literals(program) {
            let before = program[..at].trim_end();
            let refuses = of_page && is_refusal(before);
            let is_error = before.ends_with("#[error(");
            let is_ours = ["expect(", "panic!(", "assert!("]
                .iter()
                .any(|e| before.ends_with(e));
            if (is_error || whole_room || refuses) && !is_ours && !telling(&text).is_empty() {
                messages
                    .entry(even(&text))
                    .or_default()
                    .insert(short.clone());
            }
        }
    }
    let mut tests = Vec::new();
    files(&root("tests"), &["rs", "mjs"], &mut tests);
    for path in tests {
        for (_, text) in literals(&std::fs::read_to_string(&path).unwrap()) {
            asserted.add(&text);
        }
    }
    let mut kept = vec![root("README.md")];
    files(&root("src"), &["snap"], &mut kept);
    files(&root("src/audit/tests/told"), &["txt"], &mut kept);
    files(&root("reports"), &["txt", "json", "csv", "md"], &mut kept);
    for path in kept {
        asserted.add(&std::fs::read_to_string(&path).unwrap());
    }
    (messages, asserted)
}

#[test]
fn every_message_is_asserted() {
    let (messages, asserted) = inventory();
    assert!(messages.len() > 250, "only {} messages", messages.len());
    let open: String = messages
        .iter()
        .filter(|(message, _)| !asserted.holds(message))
        .map(|(message, files)| {
            let files: Vec<&str> = files.iter().map(String::as_str).collect();
            format!("{}: {message}\n", files.join(", "))
        })
        .collect();
    assert!(open.is_empty(), "no test asserts:\n{open}");
}

#[test]
fn literals_are_told_from_comments_and_characters() {
    let source = "// \"no\"\nlet a = '\"'; let b: &'static str = \"one \\\n    two {x:?} three\"; r#\"a \"raw\" one\"#";
    let texts: Vec<String> = literals(source).into_iter().map(|found| found.1).collect();
    assert_eq!(texts, ["one two {x:?} three", "a \"raw\" one"]);
    assert_eq!(
        telling("at {line}: `{text}` is not a size, {reason}"),
        [["is", "not", "a", "size"]]
    );
}
