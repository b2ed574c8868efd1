//! Relations against worked examples. Constructed examples are arithmetic made
//! for these tests with exact fractions; published ones name their source.

mod bank;
mod bays;
mod bores;
mod boring;
mod cautions;
mod checks;
mod constructed;
mod cups;
mod drawn;
mod hinges;
mod inferred;
mod leaves;
mod published;

use super::expression::parse;
use super::*;
pub(super) use drawn::Drawn;

/// A length written as in a list: "34 1/2", in inches; "578 mm".
pub(super) fn size(text: &str) -> Length {
    let expr = parse(text).expect(text);
    let worked = super::expression::work_out(
        &expr,
        None,
        &mut |_| Err::<super::expression::Value, ()>(()),
        &|_| String::new(),
        true,
    )
    .expect(text);
    let value = if worked.is_length {
        worked.value
    } else {
        let inch = super::number::Ratio::whole(i128::from(Length::TICKS_PER_INCH));
        worked.value.times(inch).expect(text)
    };
    value.to_length().expect(text)
}

/// Rules as a job file would state them: a preset and parameters.
pub(super) fn rules(preset: &str, parameters: &[(&str, &str)]) -> Rules {
    let mut rules = Rules {
        units: Some(crate::length::Unit::Inch),
        ..Rules::default()
    };
    if !preset.is_empty() {
        let preset = choices::preset(preset).expect(preset);
        rules.job.preset = Some((preset, Origin::JobFile { line: 1 }));
    }
    for (line, (name, value)) in parameters.iter().enumerate() {
        assert!(names::find(name).is_some(), "{name}");
        let stated = Stated {
            expr: parse(value).expect(value),
            origin: Origin::JobFile { line: line + 2 },
        };
        rules.job.parameters.insert((*name).to_owned(), stated);
    }
    rules
}

pub(super) fn answer(rules: &mut Rules, key: &'static str, word: &str) {
    let word = choices::choice(key)
        .and_then(|choice| choice.answer(word))
        .expect(word);
    let origin = Origin::JobFile { line: 1 };
    rules.job.answers.insert(key, Answer { word, origin });
}

/// The values expected for a size written `side.high`, in order.
pub(super) fn expected(rules: &Rules, drawn: &Drawn, key: &str) -> Vec<Length> {
    let Some(names::PartName::Size(role, axis)) = names::part_name(key) else {
        panic!("{key} is not a size of a part");
    };
    let mut values: Vec<Length> = rules
        .expect(&drawn.cabinet, PartSize { role, axis })
        .into_iter()
        .map(|expected| expected.value)
        .collect();
    values.dedup();
    values
}

/// Asserts that a size is expected to be this, and would not be that: the value
/// a person gets by the classic slip.
#[track_caller]
pub(super) fn holds(rules: &Rules, drawn: &Drawn, key: &str, right: &str, wrong: &str) {
    let values = expected(rules, drawn, key);
    assert_eq!(
        values,
        [size(right)],
        "{key} should be {right}: {}",
        why(rules, drawn, key)
    );
    let off = (size(wrong) - size(right)).abs();
    assert!(
        off > rules.tolerances.general,
        "{key} {wrong} would pass as {right}"
    );
}

fn why(rules: &Rules, drawn: &Drawn, key: &str) -> String {
    let Some(names::PartName::Size(role, axis)) = names::part_name(key) else {
        return String::new();
    };
    let size = PartSize { role, axis };
    rules
        .missing(&drawn.cabinet, size)
        .unwrap_or_else(|| format!("{:#?}", rules.expect(&drawn.cabinet, size)))
}

/// A named size's value in ticks.
pub(super) fn scope_value(rules: &Rules, drawn: &Drawn, name: &str) -> super::number::Ratio {
    super::scope::Scope::new(rules, &drawn.cabinet)
        .look_up(name)
        .expect(name)
        .value
        .value
}
