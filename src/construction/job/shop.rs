//! The sections on how the shop builds: choices, sizes and relations.

use super::stated;
use super::table::{Reading, Value};
use crate::construction::expression::{Expr, Failure, Value as Known, evaluate};
use crate::construction::names::{self, NameKind, PartName};
use crate::construction::number::Ratio;
use crate::construction::rules::Relation;
use crate::construction::{Answer, Origin, Settings, choices};
use crate::length::Unit;
use toml::de::{DeTable, DeValue};

/// `[construction]`, `[sizes]` or `[relations]`, of the job or of one cabinet.
pub(super) fn rule_section<'i>(
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
pub(super) fn checked<'i>(
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
    let worked = evaluate(&expr, unit, &mut |name| {
        figure += 1_009;
        let is_length = names::find(name).is_none_or(|entry| entry.kind != NameKind::Count);
        Ok::<Known, ()>(Known {
            value: Ratio::whole(figure),
            is_length,
        })
    });
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
