//! Drawing against list: findings, causes, coverage. Knows nothing of how they
//! are shown.

mod bench;
mod boards;
mod built;
mod causes;
mod chains;
mod checks;
mod coverage;
mod doubts;
mod findings;
mod fit;
mod flat;
mod further;
mod group;
mod input;
mod joints;
mod knowns;
mod matching;
mod nominal;
mod order;
mod quantity;
mod rooms;
mod rounding;
#[cfg(test)]
mod tests;
mod texts;
mod together;
#[cfg(test)]
mod trial;
mod turned;
mod types;
mod wants;
mod words;

pub use types::*;

use crate::construction::{Origin, cautions};
use crate::trade::Role;
use bench::Bench;
use causes::Ground;
use checks::Check;
use knowns::KnownsByCase;
use std::collections::BTreeMap;

/// Holds the lists against the drawings.
pub fn audit(job: &Job) -> Audit {
    let bench = Bench::new(job);
    let mut matching = matching::match_rows(&bench);
    turned::straighten(&bench, &mut matching);
    let sizes = || {
        let mut checks = checks::check_all(&bench, &matching);
        joints::excuse(&bench, &mut checks);
        checks
    };
    let (mut checks, mut counts) = rayon::join(sizes, || quantity::count_all(&bench, &matching));
    boards::excuse(&bench, &mut checks, &mut counts);
    let counts = counts;
    doubts::raise(&bench, &mut checks, &counts);
    let checks = checks;
    let found = || {
        let mut findings = disagreements(&bench, &checks, &counts);
        findings.extend(findings::drawing(&bench, &checks));
        findings.extend(texts::findings(&bench));
        findings.extend(chains::findings(&bench));
        findings.extend(rooms::findings(&bench));
        findings.extend(input::findings(&bench));
        findings
    };
    let covered = || {
        let mut unchecked = coverage::unchecked(&bench);
        unchecked.extend(quantity::unsure(&bench, &counts));
        (coverage::rows(&bench, &checks, &counts), unchecked)
    };
    let beside = || {
        let (views, sheets) = (coverage::views(&bench), coverage::sheets(&bench));
        (built::cabinets(&bench, &checks), views, sheets)
    };
    let ((mut findings, further), ((mut coverage, mut unchecked), beside)) = rayon::join(
        || rayon::join(found, || further::checks(&bench)),
        || rayon::join(covered, beside),
    );
    let (cabinets, views, sheets) = beside;
    let assumed = further::assumed(&further);
    let in_order = || {
        further::add(
            &bench,
            further,
            &mut findings,
            &mut coverage,
            &mut unchecked,
        );
        order::sort(&mut findings);
        order::name(&mut findings);
    };
    let cautions = || cautions::applicable(&job.rules, &job.cabinets, &job.lists, &job.views);
    let (((), assumptions), cautions) = rayon::join(
        || rayon::join(in_order, || assumptions(&bench, &checks, &counts, assumed)),
        cautions,
    );
    // Thousands of texts are given back meanwhile.
    let (outcome, ()) = rayon::join(
        || outcome(&bench, &findings, &coverage, &unchecked),
        || drop(checks),
    );
    Audit {
        outcome,
        cabinets,
        assumptions,
        views,
        sheets,
        findings,
        coverage,
        unchecked,
        cautions: cautions
            .into_iter()
            .map(|caution| Caution {
                topic: caution.topic,
                text: caution.text,
            })
            .collect(),
    }
}

/// Sizes and numbers that disagree, with their causes.
fn disagreements(
    bench: &Bench<'_>,
    checks: &[Check<'_>],
    counts: &quantity::Counts,
) -> Vec<Finding> {
    let knowns = KnownsByCase::new(bench);
    let groups = group::group(bench, checks, &knowns);
    let ground = Ground::new(bench, checks, &knowns);
    let mut findings = findings::sizes(&ground, &groups, counts);
    findings.extend(findings::quantities(&ground, &groups, counts));
    findings
}

/// Disagreement first; then whether anything was checked at all; then whether
/// everything was.
fn outcome(
    bench: &Bench<'_>,
    findings: &[Finding],
    coverage: &[Covered],
    unchecked: &[String],
) -> Outcome {
    let disagrees = findings
        .iter()
        .any(|finding| finding.kind != FindingKind::Input);
    let (agree, differ, open) = totals(coverage);
    if disagrees || differ > 0 {
        Outcome::Disagrees
    } else if bench.rows.is_empty() || (bench.cases.is_empty() && agree == 0) {
        Outcome::Unusable
    } else if open > 0 || !unchecked.is_empty() || !findings.is_empty() {
        Outcome::Unchecked
    } else {
        Outcome::Agrees
    }
}

/// How many sizes of the rows of some cabinets were decided.
fn decided_for(bench: &Bench<'_>, checks: &[Check<'_>], cabinets: &[String]) -> usize {
    let of = |check: &&Check<'_>| {
        let case = check.case.and_then(|case| bench.cases.get(case));
        case.is_some_and(|case| cabinets.contains(&case.name))
            && check.state != checks::State::Unchecked
    };
    checks.iter().filter(of).count()
}

/// The sizes a front's relation rests on: rules for doors differ in what they take off
/// and where, so that the figures are printed with the rule.
fn conventions(bench: &Bench<'_>, check: &Check<'_>, relation: &str) -> Vec<(Origin, String)> {
    let front = matches!(check.role, Some(Role::Door | Role::DrawerFront));
    let case = check.case.and_then(|case| bench.cases.get(case));
    let Some(case) = case.filter(|_| front) else {
        return Vec::new();
    };
    let named = |name: &&str| {
        relation
            .split(|c: char| !c.is_alphabetic())
            .any(|word| word == *name)
    };
    ["overlay", "gap", "reveal"]
        .into_iter()
        .filter(named)
        .filter_map(|name| {
            let (size, origin) = bench.job.rules.size(case.cabinet, name)?;
            let what = match name {
                "gap" => "gap between fronts",
                "overlay" => "overlay of fronts",
                _ => "reveal of fronts",
            };
            Some((origin, format!("The {what} is {}.", bench.show.size(size))))
        })
        .collect()
}

/// Every rule that decided something, and what was taken for granted.
fn assumptions(
    bench: &Bench<'_>,
    checks: &[Check<'_>],
    counts: &quantity::Counts,
    mut used: BTreeMap<(Origin, String), usize>,
) -> Vec<Assumption> {
    for check in checks {
        if let Some(rule) = check.rule()
            && check.state != checks::State::Unchecked
            && check.span().is_none_or(|span| span.length() != rule.value)
        {
            let relation = rule.relation();
            let sentence = format!(
                "The {} of {} is {relation}.",
                knowns::axis_noun(rule.size.axis),
                rule.size.role.one(),
            );
            *used.entry((rule.origin.clone(), sentence)).or_default() += 1;
            for stated in conventions(bench, check, &relation) {
                *used.entry(stated).or_default() += 1;
            }
        }
    }
    let mut out: Vec<Assumption> = used
        .into_iter()
        .map(|((origin, sentence), decided)| Assumption {
            sentence,
            origin,
            decided,
        })
        .collect();
    let unnamed = bench
        .rows
        .iter()
        .filter(|row| row.cabinets.is_empty())
        .count();
    if let ([case], true) = (bench.cases.as_slice(), unnamed > 0) {
        out.push(Assumption {
            sentence: format!(
                "{} without a cabinet belong to {}, the only one drawn.",
                words::count(unnamed, "row"),
                case.name
            ),
            origin: Origin::Drawn,
            decided: unnamed,
        });
    }
    let taken = bench.job.untitled.iter();
    out.extend(
        taken
            .filter(|of| !of.cabinets.is_empty())
            .map(|of| Assumption {
                sentence: format!("{}.", of.sentence),
                origin: Origin::Drawn,
                decided: decided_for(bench, checks, &of.cabinets),
            }),
    );
    if let Some(sentence) = coverage::uncovered(counts) {
        out.push(Assumption {
            sentence,
            origin: Origin::Drawn,
            decided: 0,
        });
    }
    out
}
