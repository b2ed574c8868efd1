//! Job file text to a [`JobFile`], one section at a time.

use super::hints::{drawing, list, views};
use super::problem::JobFileError;
use super::shop::rule_section;
use super::table::{Reading, Value};
use super::together::{accessibility, cabinets, runs, stacks};
use super::{JobFile, keys};
use crate::construction::expression::{Failure, evaluate};
use crate::construction::number::Ratio;
use crate::construction::tolerance::{Class, FAMILIES, family_key};
use crate::length::{Length, Notation, Unit};
use toml::de::{DeTable, DeValue};

/// Reads a whole job file, or says everything that is wrong with it.
pub(super) fn read(text: &str, shown: &str) -> Result<JobFile, JobFileError> {
    let mut reading = Reading {
        text,
        problems: Vec::new(),
    };
    let mut job = JobFile {
        file: shown.to_owned(),
        ..JobFile::default()
    };
    match DeTable::parse(text) {
        Ok(table) => sections(&mut reading, table.get_ref(), &mut job),
        Err(error) => {
            let at = error.span().map_or(0, |span| span.start);
            reading.problem(
                at,
                format!("not well-formed: {}", error.message()),
                "a job file is a TOML file; texts stand in quotes",
            );
        }
    }
    if reading.problems.is_empty() {
        return Ok(job);
    }
    reading.problems.sort();
    reading.problems.dedup();
    Err(JobFileError::Unusable {
        file: shown.to_owned(),
        problems: reading.problems,
    })
}

fn sections<'i>(reading: &mut Reading<'i>, root: &DeTable<'i>, job: &mut JobFile) {
    // The job's unit decides what plain numbers mean, wherever it stands.
    if let Some(value) = root.get("job") {
        job_section(reading, value, job);
    }
    for (key, value) in root.iter() {
        match key.get_ref().as_ref() {
            "job" => {}
            "tolerance" => tolerance(reading, value, job),
            "drawing" => drawing(reading, value, job),
            "view" => views(reading, value, job),
            "list" => list(reading, value, job),
            "construction" | "sizes" | "relations" => {
                let unit = job.units;
                rule_section(reading, key.get_ref(), value, &mut job.rules.job, unit);
            }
            "cabinet" => cabinets(reading, value, job),
            "run" => runs(reading, value, job),
            "stack" => stacks(reading, value, job),
            "accessibility" => accessibility(reading, value, job),
            other => {
                let known = keys::SECTIONS
                    .iter()
                    .map(|section| section.heading.trim_matches(['[', ']']).to_owned());
                let known = known
                    .filter(|name| !name.contains('.'))
                    .chain(["cabinet".to_owned()]);
                reading.unknown_key(key.span().start, other, "a job file", known);
            }
        }
    }
    job.hints.names = names_of(job, root);
}

/// Every cabinet the file names, to look for in the drawings.
fn names_of(job: &JobFile, root: &DeTable<'_>) -> Vec<String> {
    let headings = match root.get("cabinet").map(|value| value.get_ref()) {
        Some(DeValue::Table(table)) => table
            .iter()
            .map(|(key, _)| key.get_ref().to_string())
            .collect(),
        _ => Vec::new(),
    };
    let mut names: Vec<String> = headings
        .into_iter()
        .chain(job.same_as.iter().flat_map(|(_, further)| further.clone()))
        .chain(
            job.hints
                .views
                .iter()
                .flat_map(|view| view.cabinets.clone()),
        )
        .chain(job.rules.runs.iter().flat_map(|run| run.cabinets.clone()))
        .chain(
            job.rules
                .stacks
                .iter()
                .flat_map(|stack| stack.cabinets.clone()),
        )
        .collect();
    names.sort();
    names.dedup();
    names
}

fn job_section<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[job]") else {
        return;
    };
    reading.check_keys(table, &keys::JOB, &[]);
    job.name = table.get("name").and_then(|v| reading.text_of(v, "name"));
    job.units = table.get("units").and_then(|v| reading.unit(v, "units"));
    job.rules.units = job.units;
    let notation = table
        .get("notation")
        .and_then(|v| reading.one_of(v, "notation", keys::NOTATIONS));
    let decimals = notation == Some("decimals");
    job.notation = match job.units {
        Some(unit) if !unit.is_imperial() => Some(Notation::Millimetre),
        Some(_) if decimals => Some(Notation::DecimalInch),
        Some(_) => Some(Notation::SIXTY_FOURTHS),
        None if decimals => Some(Notation::DecimalInch),
        None => None,
    };
    job.rules.notation = job.notation;
}

fn tolerance<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[tolerance]") else {
        return;
    };
    reading.check_keys(table, &keys::TOLERANCE, &[]);
    let unit = job.units;
    if let Some(size) = table
        .get("default")
        .and_then(|v| plain_size(reading, v, "default", unit))
    {
        job.rules.tolerances.general = size;
    }
    for family in FAMILIES {
        let key = family_key(family);
        if let Some(size) = table
            .get(key)
            .and_then(|v| plain_size(reading, v, key, unit))
        {
            job.rules.tolerances.families.insert(family, size);
        }
    }
    if let Some(value) = table.get("class")
        && let Some(text) = reading.text_of(value, "class")
    {
        job.rules.tolerances.class = Class::from_text(&text);
        if job.rules.tolerances.class.is_none() {
            reading.problem(
                value.span().start,
                format!("`{text}` is not a tolerance class"),
                "write f, m, c or v, as in ISO 2768-m",
            );
        }
    }
}

/// A tolerance: a size without names, at least nothing and at most an inch.
fn plain_size<'i>(
    reading: &mut Reading<'i>,
    value: &Value<'i>,
    key: &str,
    unit: Option<Unit>,
) -> Option<Length> {
    let expr = reading.expression(value, key)?;
    let worked = evaluate(&expr, unit, &mut |_| Err(()));
    let (message, advice) = match worked {
        Ok(worked) => {
            let factor = if worked.is_length {
                Some(Ratio::ONE)
            } else {
                unit.map(|unit| Ratio::whole(i128::from(unit.ticks())))
            };
            match factor {
                None => (
                    "has no unit".to_owned(),
                    "write `1/32 in` or `0.8 mm`, or state `units` under [job]",
                ),
                Some(factor) => {
                    let length = worked.value.times(factor).and_then(Ratio::to_length);
                    match length {
                        Some(length)
                            if length >= Length::ZERO
                                && length.ticks() <= Length::TICKS_PER_INCH =>
                        {
                            return Some(length);
                        }
                        _ => (
                            "is not a tolerance".to_owned(),
                            "it is at least 0 and at most an inch",
                        ),
                    }
                }
            }
        }
        Err(Failure::Name { name, .. }) => (
            format!("cannot depend on `{name}`"),
            "write a size such as `1/32 in`",
        ),
        Err(Failure::Arithmetic(error)) => (format!("cannot be worked out: {error}"), ""),
    };
    reading.problem(value.span().start, format!("`{key}` {message}"), advice);
    None
}
