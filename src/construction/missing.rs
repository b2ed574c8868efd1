//! What would make a size checkable that is not.

use super::expression::Failure;
use super::names::{self, PartName};
use super::number::Ratio;
use super::scope::Lack;
use super::standing::{self, Each, FrontKind};
use super::{Expected, Origin, PartSize, Rules, choices};
use crate::cabinet::MeasuredCabinet;
use crate::trade::Axis;

impl Rules {
    /// What setting or view would make a size of this cabinet checkable; `None`
    /// when it is checkable already. What is only inferred checks nothing.
    pub fn missing(&self, cabinet: &MeasuredCabinet, size: PartSize) -> Option<String> {
        let expected = self.expect(cabinet, size);
        if let Some(first) = expected.first() {
            if !matches!(first.origin, Origin::Inferred { .. }) {
                return None;
            }
            return Some(self.only_inferred(cabinet, first));
        }
        let mut lacks: Vec<Lack> = Vec::new();
        let mut unplaced: Vec<Lack> = Vec::new();
        for candidate in self.candidates(cabinet, size) {
            let scopes = self.scopes(cabinet, candidate.each);
            if scopes.is_empty() {
                unplaced.push(Lack {
                    name: "opening".to_owned(),
                    reason: match candidate.each {
                        Each::Front(FrontKind::Drawer, Some(_)) if !cabinet.openings.is_empty() => {
                            "several drawers may share the opening that is drawn".to_owned()
                        }
                        Each::Bay => "the dividers are not drawn across".to_owned(),
                        Each::Front(FrontKind::Door, _) => {
                            "no opening with a door is drawn".to_owned()
                        }
                        _ => "no opening with a drawer is drawn".to_owned(),
                    },
                    advice: "draw a front elevation with the openings".to_owned(),
                });
            }
            for (scope, _) in scopes {
                match scope.value(candidate.expr) {
                    Err(Failure::Name { why, .. }) => lacks.push(why),
                    Err(Failure::Arithmetic(error)) => lacks.push(Lack {
                        name: names::size_key(size.role, size.axis),
                        reason: error.message,
                        advice: "correct the relation in the job file".to_owned(),
                    }),
                    Ok(_) => {}
                }
            }
        }
        // A relation that applies and lacks something says more than one that does not.
        lacks.extend(unplaced);
        if let Some(lack) = lacks.first() {
            return Some(format!(
                "needs `{}`: {}; {}",
                lack.name, lack.reason, lack.advice
            ));
        }
        Some(self.unanswered(size))
    }

    /// Which settings would turn an inferred relation into a stated one.
    fn only_inferred(&self, cabinet: &MeasuredCabinet, expected: &Expected<'_>) -> String {
        let inferred = |origin: &Origin| matches!(origin, Origin::Inferred { .. });
        let mut settings: Vec<String> = self
            .candidates(cabinet, expected.size)
            .into_iter()
            .flat_map(|candidate| candidate.when.iter().map(|(key, _)| *key))
            .filter_map(|key| {
                let answer = self.answer(cabinet, key)?;
                inferred(&answer.origin).then(|| format!("`{key} = \"{}\"`", answer.word))
            })
            .collect();
        settings.dedup();
        let sizes = expected.used().filter(|(.., origin)| inferred(origin));
        settings.extend(
            sizes.map(|(name, value, _)| {
                format!("`{name} = \"{}\"`", self.print(Ratio::ticks(value)))
            }),
        );
        format!(
            "only this job itself shows it; state {} in the job file if that is the shop's way",
            settings.join(" and ")
        )
    }

    /// Which answer would bring a relation for this size.
    fn unanswered(&self, size: PartSize) -> String {
        let key = names::size_key(size.role, size.axis);
        let mut choices: Vec<&'static str> = Vec::new();
        for read in standing::standing() {
            if read.part == PartName::Size(size.role, size.axis) {
                for (choice, _) in read.standing.when {
                    if !choices.contains(choice) {
                        choices.push(choice);
                    }
                }
            }
        }
        let said: Vec<String> = choices
            .iter()
            .filter_map(|key| choices::choice(key))
            .map(|choice| format!("`{}` ({})", choice.key, choice.meaning))
            .collect();
        if said.is_empty() {
            format!(
                "no relation gives {} of {}; draw the part, or write a relation `{key} = ...` \
                 under [relations] in the job file",
                direction(size.axis),
                size.role.one()
            )
        } else {
            format!(
                "how it is built is not stated; answer {} under [construction] in the job file, \
                 or write a relation `{key} = ...` under [relations]",
                said.join(", ")
            )
        }
    }
}

fn direction(axis: Axis) -> &'static str {
    match axis {
        Axis::Across => "the size across",
        Axis::Deep => "the size front to back",
        Axis::High => "the height",
    }
}
