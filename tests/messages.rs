//! An inventory of what the program says of input: every error, problem and reason
//! written in the source is asserted by some test, or stands in the list of those
//! that are not yet (`tests/messages/unasserted.txt`, which may only grow shorter).
//!
//! A message counts as asserted when four words in a row of it (all, when it has
//! fewer) stand in a text of a test, in a snapshot, or in a report that is held
//! against what the program says.

mod common;

use common::kept::{assert_current, root};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Rooms whose texts are errors, problems, reasons and the evidence given for them.
/// Of all others the errors are looked at.
const ROOMS: [&str; 4] = ["length", "drawing", "cutlist", "signoff"];
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

/// What a message says between its figures.
fn fragments(text: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut depth = 0;
    for c in text.chars() {
        match c {
            '{' => {
                depth += 1;
                out.push(String::new());
            }
            '}' => depth -= 1,
            _ if depth == 0 => out.last_mut().unwrap().push(c),
            _ => {}
        }
    }
    out.iter()
        .map(|fragment| even(fragment))
        .filter(|fragment| {
            let words = fragment
                .split(' ')
                .filter(|word| word.chars().any(char::is_alphabetic));
            words.count() >= LEAST_WORDS
        })
        .collect()
}

/// Rows of words that are looked for.
fn telling(fragment: &str) -> Vec<String> {
    let words: Vec<&str> = fragment.split(' ').collect();
    if words.len() <= TELLING {
        return vec![fragment.to_owned()];
    }
    words.windows(TELLING).map(|row| row.join(" ")).collect()
}

/// Messages of the program, each with the file it stands in, and all texts of tests.
fn inventory() -> (BTreeMap<String, BTreeSet<String>>, String) {
    let mut messages: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut asserted = String::new();
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
            asserted.push_str(&even(&text));
            asserted.push('\n');
        }
        let short = path
            .strip_prefix(root("src"))
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        let whole_room = ROOMS.iter().any(|room| short.starts_with(room));
        for (at, text) in literals(program) {
            let before = program[..at].trim_end();
            let is_error = before.ends_with("#[error(");
            let is_ours = ["expect(", "panic!(", "assert!("]
                .iter()
                .any(|e| before.ends_with(e));
            if (is_error || whole_room) && !is_ours && !fragments(&text).is_empty() {
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
            asserted.push_str(&even(&text));
            asserted.push('\n');
        }
    }
    let mut kept = vec![root("README.md")];
    files(&root("src"), &["snap"], &mut kept);
    files(&root("reports"), &["txt", "json", "csv", "md"], &mut kept);
    for path in kept {
        asserted.push_str(&even(&std::fs::read_to_string(&path).unwrap()));
        asserted.push('\n');
    }
    (messages, asserted)
}

#[test]
fn every_message_is_asserted_or_listed() {
    let (messages, asserted) = inventory();
    assert!(messages.len() > 250, "only {} messages", messages.len());
    let open: String = messages
        .iter()
        .filter(|(message, _)| {
            let rows = fragments(message);
            let mut rows = rows.iter().flat_map(|fragment| telling(fragment));
            !rows.any(|row| asserted.contains(&row))
        })
        .map(|(message, files)| {
            let files: Vec<&str> = files.iter().map(String::as_str).collect();
            format!("{}: {message}\n", files.join(", "))
        })
        .collect();
    assert_current(&root("tests/messages/unasserted.txt"), &open);
}

#[test]
fn literals_are_told_from_comments_and_characters() {
    let source = "// \"no\"\nlet a = '\"'; let b: &'static str = \"one \\\n    two {x:?} three\"; r#\"a \"raw\" one\"#";
    let texts: Vec<String> = literals(source).into_iter().map(|found| found.1).collect();
    assert_eq!(texts, ["one two {x:?} three", "a \"raw\" one"]);
    assert_eq!(
        fragments("at {line}, it is not a size: {reason}"),
        ["it is not a size:"].map(|text| format!(", {text}"))
    );
}
