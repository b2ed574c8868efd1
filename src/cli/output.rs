//! Writing to standard output so that a closed pipe ends the program quietly.

use super::Trouble;
use crate::report::page::{Page, Tone};
use clap::ValueEnum;
use std::io::{ErrorKind, IsTerminal, Write};

/// When to colour what is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Colour {
    /// On a terminal, unless NO_COLOR is set
    #[default]
    Auto,
    Always,
    Never,
}

impl Colour {
    /// Whether standard output gets colour.
    pub fn on(self) -> bool {
        match self {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => {
                std::io::stdout().is_terminal()
                    && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
            }
        }
    }
}

/// Says on standard error what went wrong; on a terminal within 80 columns.
pub fn complain(text: &str) {
    if !std::io::stderr().is_terminal() {
        eprintln!("dryfit: {text}");
        return;
    }
    let mut page = Page::new(false);
    for (index, line) in text.lines().enumerate() {
        let indent = line.len() - line.trim_start().len();
        let (first, rest) = if index == 0 {
            ("dryfit: ".to_owned(), "  ".to_owned())
        } else {
            (" ".repeat(indent), " ".repeat(indent + 2))
        };
        page.wrapped(Tone::Plain, &first, &rest, line);
    }
    eprint!("{}", page.finish());
}

/// Writes the text to standard output.
///
/// # Errors
/// When it cannot be written. A reader that closed the pipe has seen enough
/// (`dryfit check job | head`) and is no error.
pub fn print(text: &str) -> Result<(), Trouble> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Trouble::Output(error)),
        _ => Ok(()),
    }
}
