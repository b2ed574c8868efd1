//! Walking TOML tables with every problem put down at its line and column.

use super::keys::Section;
use super::problem::{JobProblem, place};
use crate::construction::expression::{Expr, ExpressionError, parse};
use crate::construction::names::closest;
use crate::length::Unit;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value and where it stands.
pub(super) type Value<'i> = Spanned<DeValue<'i>>;

/// Collects problems while a job file is read.
pub(super) struct Reading<'i> {
    pub text: &'i str,
    pub problems: Vec<JobProblem>,
}

impl<'i> Reading<'i> {
    pub fn line(&self, offset: usize) -> usize {
        place(self.text, offset).0
    }

    pub fn problem(
        &mut self,
        offset: usize,
        message: impl Into<String>,
        advice: impl Into<String>,
    ) {
        let (line, column) = place(self.text, offset);
        self.problems.push(JobProblem {
            line,
            column,
            message: message.into(),
            advice: advice.into(),
        });
    }

    /// Names the nearest known key.
    pub fn unknown_key(
        &mut self,
        at: usize,
        key: &str,
        section: &str,
        known: impl IntoIterator<Item = String>,
    ) {
        let known: Vec<String> = known.into_iter().collect();
        let advice = match closest(key, known.iter().cloned()) {
            Some(near) => format!("the nearest is `{near}`"),
            None if known.is_empty() => String::new(),
            None => format!("it takes {}", known.join(", ")),
        };
        self.problem(at, format!("{section} takes no `{key}`"), advice);
    }

    /// Every key of the table that the section does not know is a problem; the
    /// sub-tables named are read elsewhere.
    pub fn check_keys(&mut self, table: &DeTable<'i>, section: &Section, elsewhere: &[&str]) {
        for (key, _) in table.iter() {
            let name = key.get_ref().as_ref();
            let known = section.keys.iter().map(|key| key.key);
            if !known.clone().any(|known| known == name) && !elsewhere.contains(&name) {
                let known: Vec<String> = known
                    .chain(elsewhere.iter().copied())
                    .map(str::to_owned)
                    .collect();
                self.unknown_key(key.span().start, name, section.heading, known);
            }
        }
    }

    pub fn table<'t>(&mut self, value: &'t Value<'i>, heading: &str) -> Option<&'t DeTable<'i>> {
        if let DeValue::Table(table) = value.get_ref() {
            Some(table)
        } else {
            self.problem(
                value.span().start,
                format!("`{}` is a section", heading.trim_matches(['[', ']'])),
                format!("write {heading} on a line of its own and its keys below"),
            );
            None
        }
    }

    /// The tables of a `[[section]]`.
    pub fn tables<'t>(
        &mut self,
        value: &'t Value<'i>,
        heading: &str,
    ) -> Vec<(&'t DeTable<'i>, Range<usize>)> {
        let DeValue::Array(array) = value.get_ref() else {
            self.problem(
                value.span().start,
                format!(
                    "`{}` may come more than once",
                    heading.trim_matches(['[', ']'])
                ),
                format!("write {heading} with double brackets"),
            );
            return Vec::new();
        };
        let mut tables = Vec::new();
        for item in array.iter() {
            match item.get_ref() {
                DeValue::Table(table) => tables.push((table, item.span())),
                _ => self.problem(
                    item.span().start,
                    format!("{heading} holds keys, not single values"),
                    String::new(),
                ),
            }
        }
        tables
    }

    fn wrong(&mut self, value: &Value<'i>, key: &str, wanted: &str, example: &str) {
        self.problem(
            value.span().start,
            format!("`{key}` takes {wanted}, not {}", kind(value.get_ref())),
            format!("such as {key} = {example}"),
        );
    }

    pub fn text_of(&mut self, value: &Value<'i>, key: &str) -> Option<String> {
        match value.get_ref() {
            DeValue::String(text) => Some(text.as_ref().to_owned()),
            _ => {
                self.wrong(value, key, "text in quotes", "\"...\"");
                None
            }
        }
    }

    pub fn texts(&mut self, value: &Value<'i>, key: &str) -> Vec<String> {
        match value.get_ref() {
            DeValue::String(text) => vec![text.as_ref().to_owned()],
            DeValue::Array(array) => array
                .iter()
                .filter_map(|item| self.text_of(item, key))
                .collect(),
            _ => {
                self.wrong(value, key, "a list of texts", "[\"B1\", \"B2\"]");
                Vec::new()
            }
        }
    }

    /// One of the words a key takes, as it stands in the table of keys.
    pub fn one_of(
        &mut self,
        value: &Value<'i>,
        key: &str,
        words: &[&'static str],
    ) -> Option<&'static str> {
        let text = self.text_of(value, key)?;
        let found = words.iter().find(|word| **word == text).copied();
        if found.is_none() {
            self.problem(
                value.span().start,
                format!("`{key}` cannot be `{text}`"),
                format!("it is one of {}", words.join(", ")),
            );
        }
        found
    }

    pub fn unit(&mut self, value: &Value<'i>, key: &str) -> Option<Unit> {
        match self.one_of(value, key, &["in", "ft", "mm", "cm", "m"])? {
            "in" => Some(Unit::Inch),
            "ft" => Some(Unit::Foot),
            "mm" => Some(Unit::Millimetre),
            "cm" => Some(Unit::Centimetre),
            _ => Some(Unit::Metre),
        }
    }

    pub fn scale(&mut self, value: &Value<'i>, key: &str) -> Option<f64> {
        let text = match value.get_ref() {
            DeValue::String(text) => text.as_ref().to_owned(),
            DeValue::Integer(number) => number.as_str().to_owned(),
            DeValue::Float(number) => number.as_str().to_owned(),
            _ => {
                self.wrong(value, key, "a scale", "\"1:12\"");
                return None;
            }
        };
        match super::scale(&text) {
            Ok(scale) => Some(scale),
            Err(message) => {
                self.problem(value.span().start, message, String::new());
                None
            }
        }
    }

    pub fn region(&mut self, value: &Value<'i>, key: &str) -> Option<[f64; 4]> {
        let numbers: Option<Vec<f64>> = match value.get_ref() {
            DeValue::Array(array) => array.iter().map(|item| number(item.get_ref())).collect(),
            _ => None,
        };
        let region = numbers
            .and_then(|numbers| <[f64; 4]>::try_from(numbers).ok())
            .filter(|[left, bottom, right, top]| left < right && bottom < top);
        if region.is_none() {
            self.problem(
                value.span().start,
                format!("`{key}` takes four numbers: left, bottom, right, top"),
                format!("in drawing units, such as {key} = [0, 0, 48, 40]"),
            );
        }
        region
    }

    /// A size, or arithmetic on sizes. Numbers may stand without quotes.
    pub fn expression(&mut self, value: &Value<'i>, key: &str) -> Option<Expr> {
        let span = value.span();
        let (read, inside) = match value.get_ref() {
            DeValue::String(text) => (parse(text), span.start + self.quotes(&span)),
            DeValue::Integer(number) => (parse(number.as_str()), span.start),
            DeValue::Float(number) => (parse(number.as_str()), span.start),
            _ => {
                self.wrong(value, key, "a size", "\"34 1/2 in\"");
                return None;
            }
        };
        match read {
            Ok(expr) => Some(expr),
            Err(error) => {
                self.expression_problem(inside, &span, key, &error);
                None
            }
        }
    }

    /// Puts a problem inside an expression down where it stands in the file.
    pub fn expression_problem(
        &mut self,
        inside: usize,
        span: &Range<usize>,
        key: &str,
        error: &ExpressionError,
    ) {
        let at = (inside + error.at).min(span.end.saturating_sub(1));
        self.problem(at, format!("`{key}`: {}", error.message), String::new());
    }

    /// How many quote marks open the value.
    pub fn quotes(&self, span: &Range<usize>) -> usize {
        let opening = self.text.get(span.clone()).unwrap_or_default();
        if opening.starts_with("\"\"\"") || opening.starts_with("'''") {
            3
        } else {
            usize::from(opening.starts_with(['"', '\'']))
        }
    }
}

fn number(value: &DeValue<'_>) -> Option<f64> {
    let text = match value {
        DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
        DeValue::Float(number) => number.as_str(),
        _ => return None,
    };
    text.replace('_', "")
        .parse()
        .ok()
        .filter(|n: &f64| n.is_finite())
}

fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a section",
    }
}
