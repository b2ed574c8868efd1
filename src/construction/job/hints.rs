//! The sections on reading drawings and lists.

use super::table::{Reading, Value};
use super::{JobFile, keys};
use crate::construction::names;
use crate::cutlist::{Per, SizeKind};
use crate::view::{ViewHint, ViewKind};
use toml::de::DeValue;

pub(super) fn drawing<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[drawing]") else {
        return;
    };
    reading.check_keys(table, &keys::DRAWING, &[]);
    if let Some(value) = table.get("units")
        && let Some(unit) = reading.unit(value, "units")
    {
        let line = reading.line(value.span().start);
        job.hints.units = Some((unit, format!("{} line {line}", job.file)));
    }
    if let Some(value) = table.get("scale")
        && let Some(scale) = reading.scale(value, "scale")
    {
        let line = reading.line(value.span().start);
        job.hints.scale = Some((scale, format!("{} line {line}", job.file)));
    }
}

pub(super) fn views<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    for (table, span) in reading.tables(value, "[[view]]") {
        reading.check_keys(table, &keys::VIEW, &[]);
        let mut get = |key: &str| table.get(key).and_then(|v| reading.text_of(v, key));
        let (file, title) = (get("file"), get("title"));
        let kind = table
            .get("kind")
            .and_then(|v| reading.one_of(v, "kind", keys::KINDS))
            .map(|word| match word {
                "front" => ViewKind::Front,
                "end" => ViewKind::End,
                "section" => ViewKind::Section,
                "plan" => ViewKind::Plan,
                _ => ViewKind::FlatPart,
            });
        let hint = ViewHint {
            file,
            title,
            kind,
            region: table
                .get("region")
                .and_then(|v| reading.region(v, "region")),
            cabinets: table
                .get("cabinets")
                .map(|v| reading.texts(v, "cabinets"))
                .unwrap_or_default(),
            scale: table.get("scale").and_then(|v| reading.scale(v, "scale")),
            units: table.get("units").and_then(|v| reading.unit(v, "units")),
            line: reading.line(span.start),
        };
        if hint.region.is_none() && hint.title.is_none() && hint.file.is_none() {
            reading.problem(
                span.start,
                "[[view]] does not say which view it means",
                "give its `file`, `region` or `title`",
            );
        }
        job.hints.views.push(hint);
    }
}

pub(super) fn list<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[list]") else {
        return;
    };
    reading.check_keys(table, &keys::LIST, &["columns", "words"]);
    if let Some(value) = table.get("units")
        && let Some(unit) = reading.unit(value, "units")
    {
        let line = reading.line(value.span().start);
        job.list.units = Some((unit, format!("{} line {line}", job.file)));
    }
    job.list.sheet = table.get("sheet").and_then(|v| reading.text_of(v, "sheet"));
    job.list.quantity_per = table
        .get("quantity")
        .and_then(|v| reading.one_of(v, "quantity", keys::QUANTITIES))
        .map(|word| {
            if word == "job" {
                Per::Job
            } else {
                Per::Cabinet
            }
        });
    job.list.size_kind = table
        .get("sizes")
        .and_then(|v| reading.one_of(v, "sizes", keys::SIZE_KINDS))
        .map(|word| {
            if word == "cut" {
                SizeKind::Cut
            } else {
                SizeKind::Finished
            }
        });
    if let Some(value) = table.get("columns") {
        columns(reading, value, job);
    }
    if let Some(value) = table.get("words") {
        words(reading, value, job);
    }
}

fn columns<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[list.columns]") else {
        return;
    };
    for (key, value) in table.iter() {
        let field = key.get_ref().as_ref();
        if !crate::cutlist::field_names().any(|known| known == field) {
            let known = crate::cutlist::field_names().map(str::to_owned);
            reading.unknown_key(key.span().start, field, "[list.columns]", known);
            continue;
        }
        let several = match value.get_ref() {
            DeValue::Array(array) => array.iter().collect(),
            _ => vec![value],
        };
        for value in several {
            let column = match value.get_ref() {
                DeValue::Integer(number) => Some(number.as_str().to_owned()),
                _ => reading.text_of(value, field),
            };
            if let Some(column) = column {
                job.list.columns.push((field.to_owned(), column));
            }
        }
    }
}

fn words<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[list.words]") else {
        return;
    };
    for (key, value) in table.iter() {
        let word = key.get_ref().as_ref();
        let Some(text) = reading.text_of(value, word) else {
            continue;
        };
        match names::role_by_key(&text.replace(' ', "-")) {
            Some(role) => job.list.words.push((word.to_owned(), role)),
            None => {
                let roles = crate::trade::Role::ALL.map(names::role_key);
                let advice = match names::closest(&text, roles.iter().cloned()) {
                    Some(near) => format!("the nearest is `{near}`"),
                    None => format!("parts are {}", roles.join(", ")),
                };
                reading.problem(
                    value.span().start,
                    format!("`{text}` is not a part"),
                    advice,
                );
            }
        }
    }
}
