//! Job file text to a [`JobFile`], one section at a time.

use super::keys::{self, Section};
use super::problem::JobFileError;
use super::table::{Reading, Value};
use super::{Accessibility, JobFile, Run, Stack, Use, stated};
use crate::cabinet::Style;
use crate::construction::expression::{Expr, Failure, Value as Known, work_out};
use crate::construction::names::{self, NameKind, PartName};
use crate::construction::number::Ratio;
use crate::construction::rules::Relation;
use crate::construction::tolerance::{Class, FAMILIES, family_key};
use crate::construction::{Answer, Origin, Settings, Stated, cabinet_key, choices};
use crate::cutlist::{Per, SizeKind};
use crate::length::{Length, Notation, Unit};
use crate::view::{ViewHint, ViewKind};
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
    let worked = work_out(&expr, unit, &mut |_| Err(()), &|_| String::new());
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

fn drawing<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
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

fn views<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
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

fn list<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
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
        let column = match value.get_ref() {
            DeValue::Integer(number) => Some(number.as_str().to_owned()),
            _ => reading.text_of(value, field),
        };
        if let Some(column) = column {
            job.list.columns.push((field.to_owned(), column));
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

/// `[construction]`, `[sizes]` or `[relations]`, of the job or of one cabinet.
fn rule_section<'i>(
    reading: &mut Reading<'i>,
    name: &str,
    value: &Value<'i>,
    settings: &mut Settings,
    unit: Option<Unit>,
) {
    let heading = format!("[{name}]");
    let Some(table) = reading.table(value, &heading) else {
        return;
    };
    match name {
        "construction" => construction(reading, table, settings),
        "sizes" => flattened(reading, table, "", &mut |reading, key, at, value| {
            size(reading, key, at, value, settings, unit);
        }),
        _ => flattened(reading, table, "", &mut |reading, key, at, value| {
            relation(reading, key, at, value, settings, unit);
        }),
    }
}

/// Walks dotted keys: `groove.depth` is the key `depth` of a table `groove`.
fn flattened<'i>(
    reading: &mut Reading<'i>,
    table: &DeTable<'i>,
    prefix: &str,
    take: &mut dyn FnMut(&mut Reading<'i>, &str, usize, &Value<'i>),
) {
    for (key, value) in table.iter() {
        let name = if prefix.is_empty() {
            key.get_ref().to_string()
        } else {
            format!("{prefix}.{}", key.get_ref())
        };
        match value.get_ref() {
            // No name has more than two parts; deeper nesting is a slip.
            DeValue::Table(inner) if name.matches('.').count() < 3 => {
                flattened(reading, inner, &name, take);
            }
            _ => take(reading, &name, key.span().start, value),
        }
    }
}

fn construction<'i>(reading: &mut Reading<'i>, table: &DeTable<'i>, settings: &mut Settings) {
    for (key, value) in table.iter() {
        let name = key.get_ref().as_ref();
        let line = reading.line(key.span().start);
        if name == "preset" {
            let Some(text) = reading.text_of(value, name) else {
                continue;
            };
            match choices::preset(&text) {
                Some(preset) => settings.preset = Some((preset, Origin::JobFile { line })),
                None => {
                    let known = choices::PRESETS.map(|preset| preset.name.to_owned());
                    let near = names::closest(&text, known.iter().cloned());
                    reading.problem(
                        value.span().start,
                        format!("there is no preset `{text}`"),
                        near.map_or_else(
                            || format!("presets are {}", known.join(", ")),
                            |near| format!("the nearest is `{near}`"),
                        ),
                    );
                }
            }
            continue;
        }
        let Some(choice) = choices::choice(name) else {
            let known = choices::CHOICES
                .iter()
                .map(|choice| choice.key.to_owned())
                .chain(["preset".to_owned()]);
            reading.unknown_key(key.span().start, name, "[construction]", known);
            continue;
        };
        let Some(text) = reading.text_of(value, name) else {
            continue;
        };
        match choice.answer(&text) {
            Some(word) => {
                let origin = Origin::JobFile { line };
                settings.answers.insert(choice.key, Answer { word, origin });
            }
            None => {
                let answers: Vec<_> = choice.answers.iter().map(|(word, _)| *word).collect();
                reading.problem(
                    value.span().start,
                    format!("`{name}` cannot be `{text}`"),
                    format!("it is one of {}", answers.join(", ")),
                );
            }
        }
    }
}

fn size<'i>(
    reading: &mut Reading<'i>,
    key: &str,
    at: usize,
    value: &Value<'i>,
    settings: &mut Settings,
    unit: Option<Unit>,
) {
    match names::find(key).map(|entry| entry.kind) {
        Some(NameKind::Parameter) => {}
        Some(_) => {
            reading.problem(
                at,
                format!("`{key}` is measured in the drawing and cannot be stated"),
                "relations can use it by its name",
            );
            return;
        }
        None => {
            let advice = if names::part_name(key).is_some() {
                "the size of a part is given under [relations]".to_owned()
            } else {
                names::nearest(key)
                    .map_or_else(String::new, |near| format!("the nearest is `{near}`"))
            };
            reading.problem(at, format!("[sizes] takes no `{key}`"), advice);
            return;
        }
    }
    if let Some(expr) = checked(reading, key, value, unit) {
        let line = reading.line(at);
        settings
            .parameters
            .insert(key.to_owned(), stated(expr, line));
    }
}

fn relation<'i>(
    reading: &mut Reading<'i>,
    key: &str,
    at: usize,
    value: &Value<'i>,
    settings: &mut Settings,
    unit: Option<Unit>,
) {
    let part = match names::part_name(key) {
        Some(part @ PartName::Size(..)) => part,
        _ => {
            let advice = if names::find(key).is_some() {
                "sizes of the shop are stated under [sizes]".to_owned()
            } else {
                names::nearest(key).map_or_else(
                    || "write a part and a direction, such as `bottom.across`".to_owned(),
                    |near| format!("the nearest is `{near}`"),
                )
            };
            reading.problem(at, format!("`{key}` is not a size of a part"), advice);
            return;
        }
    };
    if let Some(expr) = checked(reading, key, value, unit) {
        let line = reading.line(at);
        settings.relations.push(Relation {
            part,
            expr,
            origin: Origin::JobFile { line },
        });
    }
}

/// Reads an expression and looks through it for unknown names and for arithmetic
/// that can never be worked out.
fn checked<'i>(
    reading: &mut Reading<'i>,
    key: &str,
    value: &Value<'i>,
    unit: Option<Unit>,
) -> Option<Expr> {
    let expr = reading.expression(value, key)?;
    let span = value.span();
    let inside = span.start + reading.quotes(&span);
    let mut sound = true;
    for (name, at) in expr.names() {
        if names::is_known(name) {
            continue;
        }
        sound = false;
        let pieces = name.split('-').collect::<Vec<_>>();
        let split_known = (1..pieces.len()).any(|cut| {
            let (left, right) = pieces.split_at(cut);
            names::is_known(&left.join("-")) && names::is_known(&right.join("-"))
        });
        let advice = if split_known {
            "put spaces around a minus sign".to_owned()
        } else {
            names::nearest(name).map_or_else(
                || "see `dryfit explain job-file` for the names".to_owned(),
                |near| format!("the nearest is `{near}`"),
            )
        };
        let at = (inside + at).min(span.end.saturating_sub(1));
        reading.problem(at, format!("no size goes by the name `{name}`"), advice);
    }
    if !sound {
        return None;
    }
    // Different figures for every name, so that no difference happens to be zero.
    let mut figure = 7_919;
    let worked = work_out(
        &expr,
        unit,
        &mut |name| {
            figure += 1_009;
            let is_length = names::find(name).is_none_or(|entry| entry.kind != NameKind::Count);
            Ok::<Known, ()>(Known {
                value: Ratio::whole(figure),
                is_length,
            })
        },
        &|_| String::new(),
    );
    match worked {
        Ok(worked) if !worked.is_length && unit.is_none() => {
            reading.problem(
                span.start,
                format!("`{key}` has no unit"),
                "write `1/4 in` or `6 mm`, or state `units` under [job]",
            );
            None
        }
        Ok(_) => Some(expr),
        Err(Failure::Arithmetic(error)) => {
            reading.expression_problem(inside, &span, key, &error);
            None
        }
        Err(Failure::Name { .. }) => None,
    }
}

fn cabinets<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
    let Some(table) = reading.table(value, "[cabinet.NAME]") else {
        return;
    };
    for (key, value) in table.iter() {
        let name = key.get_ref().as_ref();
        let heading = format!("[cabinet.{name}]");
        let Some(table) = reading.table(value, &heading) else {
            continue;
        };
        let section = Section {
            heading: keys::CABINET.heading,
            ..keys::CABINET
        };
        reading.check_keys(table, &section, &["construction", "sizes", "relations"]);
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

fn runs<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
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

fn stacks<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
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

fn accessibility<'i>(reading: &mut Reading<'i>, value: &Value<'i>, job: &mut JobFile) {
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
