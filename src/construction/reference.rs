//! The reference of the job file, from the tables the reader itself uses. Printed
//! by `dryfit explain job-file` and kept in `docs/job-file.md`.

use super::cautions::CAUTIONS;
use super::checks::Topic;
use super::choices::{CHOICES, PRESETS};
use super::job::keys::{Key, SECTIONS, Takes};
use super::names::{NAMES, NameKind, role_key};
use super::standing::{Each, FrontKind, Ground, STANDING, UNANSWERED};
use crate::trade::Role;
use std::fmt::Write;

/// The whole reference as Markdown that also reads well as plain text.
pub fn job_file() -> String {
    let mut out = String::from(INTRODUCTION);
    sections(&mut out);
    arithmetic(&mut out);
    choices(&mut out);
    names(&mut out);
    relations(&mut out);
    further(&mut out);
    out
}

const INTRODUCTION: &str = "\
# The job file

A job file is a text file called `dryfit.toml` in the job folder, or any file named with
`--job`. It says what the drawings and the list do not say themselves. Everything in it
is optional, and a job whose drawings show enough needs none. `dryfit init DIR` writes one
with what the job itself shows, everything as a comment.

It is a [TOML](https://toml.io) file: sections in brackets, `key = value` below them, texts in
quotes, comments behind `#`. A key that means nothing is an error that names its line.
What is stated on the command line goes before the job file.

";

/// Writes `text` wrapped to about 88 columns, later lines indented.
fn wrapped(out: &mut String, first: &str, later: &str, text: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > 88 {
            let _ = writeln!(out, "{line}");
            line = later.to_owned();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    let _ = writeln!(out, "{line}");
}

fn sections(out: &mut String) {
    out.push_str("## Sections\n\n");
    for section in SECTIONS {
        let _ = writeln!(out, "### `{}`\n", section.heading);
        let mut meaning = section.meaning.to_owned();
        if let Some(first) = meaning.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        wrapped(out, "", "", &format!("{meaning}."));
        out.push('\n');
        for key in section.keys {
            wrapped(out, "- ", "  ", &key_line(key));
        }
        if !section.further.is_empty() {
            let also = if section.keys.is_empty() {
                "Takes"
            } else {
                "Also takes"
            };
            wrapped(out, "- ", "  ", &format!("{also} {}.", section.further));
        }
        if section.heading == "[list.columns]" {
            let fields: Vec<_> = crate::cutlist::field_names().collect();
            wrapped(
                out,
                "- ",
                "  ",
                &format!("Fields are {}.", fields.join(", ")),
            );
        }
        out.push('\n');
    }
}

fn key_line(key: &Key) -> String {
    let takes = match key.takes {
        Takes::OneOf(words) => format!(" One of {}.", words.join(", ")),
        _ => String::new(),
    };
    format!(
        "`{} = {}`: {}.{takes}",
        key.key,
        key.example,
        key.meaning.trim_end_matches('.')
    )
}

fn arithmetic(out: &mut String) {
    out.push_str(
        "## Sizes and arithmetic\n\n\
         A size is a number (`18`, `18.5`, `1/4`, `34 1/2`) with or without a unit (in, \", ft, mm,\n\
         cm, m), or arithmetic on numbers and names with `+ - * /` and parentheses. Numbers are\n\
         exact: `23/32` stays 23/32. A number without a unit is in the unit of `[job]`, or a plain\n\
         factor where it multiplies or divides. `31/2` is refused, because it may be 3 1/2 that\n\
         lost its space. A minus sign stands between spaces.\n\n\
         ```toml\n\
         [job]\n\
         units = \"in\"\n\n\
         [sizes]\n\
         groove.depth = \"1/4\"\n\
         overlay = \"stile.width / 3\"\n\n\
         [relations]\n\
         toe-kick.across = \"case.width - 2 * 1/16\"\n\n\
         [cabinet.B2.sizes]\n\
         groove.depth = \"3/8\"\n\
         ```\n\n",
    );
}

fn choices(out: &mut String) {
    out.push_str("## Choices of `[construction]`\n\n");
    for choice in CHOICES {
        wrapped(
            out,
            "- ",
            "  ",
            &format!("`{}`: {}:", choice.key, choice.meaning),
        );
        for (answer, meaning) in choice.answers {
            wrapped(out, "  - ", "    ", &format!("`\"{answer}\"`: {meaning}"));
        }
    }
    out.push_str("\nPresets, each a bundle of answers:\n\n");
    for preset in PRESETS {
        wrapped(
            out,
            "- ",
            "  ",
            &format!("`{}`: {}.", preset.name, preset.meaning),
        );
        let answers: Vec<String> = preset
            .answers
            .iter()
            .map(|(key, answer)| format!("{key} {answer}"))
            .collect();
        wrapped(out, "  ", "  ", &format!("({})", answers.join(", ")));
    }
    out.push('\n');
}

fn names(out: &mut String) {
    out.push_str("## Names\n\n");
    for (kind, heading) in [
        (
            NameKind::Parameter,
            "Sizes the shop states under `[sizes]`, unless the drawing shows them:",
        ),
        (
            NameKind::Measured,
            "Sizes measured in the drawing, which relations can use:",
        ),
        (NameKind::Count, "Counts, plain numbers:"),
    ] {
        let _ = writeln!(out, "{heading}\n");
        for name in NAMES.iter().filter(|name| name.kind == kind) {
            wrapped(
                out,
                "- ",
                "  ",
                &format!("`{}`: {}", name.name, name.meaning),
            );
        }
        out.push('\n');
    }
    let parts: Vec<String> = Role::ALL.map(|role| format!("`{}`", role_key(role))).into();
    wrapped(
        out,
        "",
        "",
        &format!(
            "A part's size is its name, a dot and `across`, `deep`, `high` or `thick`, such as \
             `side.high`. Parts are {}.",
            parts.join(", ")
        ),
    );
    out.push('\n');
}

fn relations(out: &mut String) {
    out.push_str(
        "## Relations that come with the choices\n\n\
         Where several stand for one size, the answers given decide. A relation is used only\n\
         when every size in it is drawn or stated; its origin is printed with it.\n\n",
    );
    for standing in STANDING {
        let mut conditions: Vec<String> = standing
            .when
            .iter()
            .map(|(key, answers)| {
                let words: Vec<&str> = answers
                    .iter()
                    .map(|answer| match *answer {
                        UNANSWERED => "not answered",
                        answer => answer,
                    })
                    .collect();
                format!("{key} {}", words.join(" or "))
            })
            .collect();
        match standing.each {
            Each::Cabinet => {}
            Each::Bay => conditions.push("for each bay".to_owned()),
            Each::Front(FrontKind::Drawer, Some(_)) => {
                conditions.push("for each drawer alone in its opening".to_owned());
            }
            Each::Front(FrontKind::Drawer, None) => conditions.push("for each drawer".to_owned()),
            Each::Front(FrontKind::Door, Some(1)) => conditions.push("single door".to_owned()),
            Each::Front(FrontKind::Door, Some(2)) => conditions.push("pair of doors".to_owned()),
            Each::Front(FrontKind::Door, _) => conditions.push("for each door".to_owned()),
        }
        match standing.toe {
            Some(true) => conditions.push("with a toe space or a base".to_owned()),
            Some(false) => conditions.push("without toe space and base".to_owned()),
            None => {}
        }
        if let Ground::Geometry(guard) = standing.ground {
            conditions.push(guard.meaning().to_owned());
        }
        let when = if conditions.is_empty() {
            String::new()
        } else {
            format!(" ({})", conditions.join("; "))
        };
        wrapped(
            out,
            "- ",
            "  ",
            &format!("`{} = {}`{when}", standing.left, standing.right),
        );
    }
}

fn further(out: &mut String) {
    out.push_str("\n## Further checks\n\nBesides the sizes of parts:\n\n");
    for topic in Topic::ALL {
        wrapped(
            out,
            "- ",
            "  ",
            &format!("{}: {}.", topic.word(), topic.meaning()),
        );
    }
    out.push_str("\n## Cautions\n\nPrinted once in a report:\n\n");
    for caution in CAUTIONS {
        wrapped(
            out,
            "- ",
            "  ",
            &format!(
                "{}, {}: {}",
                caution.topic,
                caution.when.meaning(),
                caution.text
            ),
        );
    }
}

#[cfg(test)]
mod tests {
    /// The committed reference is what the program prints. To write it anew, run
    /// this test with `WRITE_REFERENCE=1`.
    #[test]
    fn the_committed_reference_is_current() {
        if std::env::var_os("WRITE_REFERENCE").is_some() {
            let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/job-file.md");
            std::fs::write(path, super::job_file()).expect("written");
            return;
        }
        // Not compared by `assert_eq`, which would print both in full.
        let committed = include_str!("../../docs/job-file.md");
        let current = super::job_file();
        let differs = committed
            .lines()
            .zip(current.lines())
            .find(|(committed, current)| committed != current);
        assert!(
            committed == current,
            "write docs/job-file.md anew, it differs at {differs:?}"
        );
    }

    #[test]
    fn the_example_in_it_is_a_job_file() {
        let text = super::job_file();
        let (_, rest) = text.split_once("```toml\n").expect("an example");
        let (example, _) = rest.split_once("```").expect("its end");
        crate::construction::JobFile::parse(example, "dryfit.toml").expect("a job file");
    }
}
