//! The sections on single cabinets and on several together.

use super::shop::{checked, rule_section};
use super::table::{Reading, Value};
use super::{Accessibility, JobFile, Run, Stack, Use, keys, stated};
use crate::cabinet::Style;
use crate::construction::{Settings, Stated, cabinet_key};
use crate::length::Unit;
use toml::de::DeTable;

pub(super) fn cabinets<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[cabinet.NAME]") else {
        return;
    };
    for (key, value) in table.iter() {
        let name = key.get_ref().as_ref();
        let heading = format!("[cabinet.{name}]");
        let Some(table) = reading.table(value, &heading) else {
            continue;
        };
        reading.check_keys(
            table,
            &keys::CABINET,
            &["construction", "sizes", "relations"],
        );
        let mut settings = Settings {
            style: table
                .get("style")
                .and_then(|v| reading.one_of(v, "style", keys::STYLES))
                .map(|word| {
                    if word == "frameless" {
                        Style::Frameless
                    } else {
                        Style::FaceFrame
                    }
                }),
            ..Settings::default()
        };
        for part in ["construction", "sizes", "relations"] {
            if let Some(value) = table.get(part) {
                rule_section(reading, part, value, &mut settings, job.units);
            }
        }
        let further = table
            .get("same-as")
            .map(|v| reading.texts(v, "same-as"))
            .unwrap_or_default();
        let used = table
            .get("use")
            .and_then(|v| reading.one_of(v, "use", keys::USES))
            .map(|word| match word {
                "base" => Use::Base,
                "wall" => Use::Wall,
                "tall" => Use::Tall,
                _ => Use::Standing,
            });
        for name in further.iter().map(String::as_str).chain([name]) {
            if let Some(used) = used {
                job.rules.uses.insert(cabinet_key(name), used);
            }
        }
        if !further.is_empty() {
            job.same_as.push((name.to_owned(), further));
        }
        let twice = job
            .rules
            .cabinets
            .insert(cabinet_key(name), settings)
            .is_some();
        if twice {
            reading.problem(
                key.span().start,
                format!("{heading} stands twice, in two spellings"),
                "put its keys under one heading",
            );
        }
    }
}

/// A size of a run or a stack: names in it have no cabinet to be measured in.
fn free_size<'i>(
    reading: &mut Reading<'i>,
    table: &DeTable<'i>,
    key: &str,
    unit: Option<Unit>,
) -> Option<Stated> {
    let value = table.get(key)?;
    let expr = checked(reading, key, value, unit)?;
    if let Some((name, _)) = expr.names().first() {
        reading.problem(
            value.span().start,
            format!("`{key}` cannot depend on `{name}`"),
            "it is no size of one cabinet; write a size such as `120 in`",
        );
        return None;
    }
    let line = reading.line(value.span().start);
    Some(stated(expr, line))
}

pub(super) fn runs<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let unit = job.units;
    for (table, span) in reading.tables(value, "[[run]]") {
        reading.check_keys(table, &keys::RUN, &[]);
        let cabinets = named_cabinets(reading, table, span.start, "[[run]]");
        let line = reading.line(span.start);
        job.rules.runs.push(Run {
            name: table
                .get("name")
                .and_then(|v| reading.text_of(v, "name"))
                .unwrap_or_else(|| format!("run of line {line}")),
            cabinets,
            wall: free_size(reading, table, "wall", unit),
            between: free_size(reading, table, "between", unit),
            share: shared(reading, table),
            line,
        });
    }
}

fn shared<'i>(reading: &mut Reading<'i>, table: &DeTable<'i>) -> Vec<&'static str> {
    let Some(value) = table.get("share") else {
        return Vec::new();
    };
    let mut known = Vec::new();
    for word in reading.texts(value, "share") {
        match keys::SHARED.iter().find(|shared| **shared == word) {
            Some(word) => known.push(*word),
            None => reading.problem(
                value.span().start,
                format!("neighbours cannot share `{word}`"),
                format!("they share {}", keys::SHARED.join(", ")),
            ),
        }
    }
    known
}

pub(super) fn stacks<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let unit = job.units;
    for (table, span) in reading.tables(value, "[[stack]]") {
        reading.check_keys(table, &keys::STACK, &[]);
        let cabinets = named_cabinets(reading, table, span.start, "[[stack]]");
        let line = reading.line(span.start);
        job.rules.stacks.push(Stack {
            name: table
                .get("name")
                .and_then(|v| reading.text_of(v, "name"))
                .unwrap_or_else(|| format!("stack of line {line}")),
            cabinets,
            height: free_size(reading, table, "height", unit),
            between: free_size(reading, table, "between", unit),
            line,
        });
    }
}

fn named_cabinets<'i>(
    reading: &mut Reading<'i>,
    table: &DeTable<'i>,
    at: usize,
    heading: &str,
) -> Vec<String> {
    let cabinets = table
        .get("cabinets")
        .map(|v| reading.texts(v, "cabinets"))
        .unwrap_or_default();
    if cabinets.is_empty() {
        reading.problem(
            at,
            format!("{heading} names no cabinets"),
            "give its `cabinets` in order",
        );
    }
    cabinets
}

pub(super) fn accessibility<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[accessibility]") else {
        return;
    };
    reading.check_keys(table, &keys::ACCESSIBILITY, &[]);
    let unit = job.units;
    let mut asked = Vec::new();
    for key in keys::ACCESSIBILITY.keys {
        if key.key == "counter-thickness" {
            continue;
        }
        if let Some(value) = table.get(key.key) {
            let line = reading.line(value.span().start);
            asked.push((key.key, reading.texts(value, key.key), line));
        }
    }
    job.rules.accessibility = Accessibility {
        asked,
        counter_thickness: free_size(reading, table, "counter-thickness", unit),
    };
}
