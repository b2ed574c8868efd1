//! Which cabinet of the list a drawing without a name shows, by its size. The list
//! may hold the very mistake that is looked for, so one size may differ; then the
//! others must point at one cabinet alone. What could be either is said to be.

use super::alike::{Fit, drawn_same, fit};
use super::rows::Rows;
use super::{Rules, cabinet_key};
use crate::assign::{FORBIDDEN, assign};
use crate::cabinet::{Measured, MeasuredCabinet};
use crate::cutlist::{CutList, Row};
use crate::length::Length;
use crate::plain::natural;
use crate::trade::{Axis, Role};
use std::collections::{BTreeMap, BTreeSet};

/// A drawing without a name, and what its size says.
#[derive(Clone, Debug, PartialEq)]
pub struct Untitled {
    /// The name it was measured under.
    pub drawn: String,
    /// The cabinets of the list it is taken for: several when they are listed alike
    /// and drawn once.
    pub cabinets: Vec<String>,
    /// Cabinets it may be, when it is taken for none.
    pub rivals: Vec<String>,
    /// False when the views beside its front show another depth than the list, and
    /// nothing but their place links them to it.
    pub whole: bool,
    /// A sentence for a person.
    pub sentence: String,
}

/// By how much an assignment must beat every other.
const CLEAR: i64 = 300;

/// Finds the cabinets of the `lists` the `untitled` among the measured cabinets are.
pub fn by_size(
    measured: &[MeasuredCabinet],
    untitled: &[String],
    lists: &[CutList],
    rules: &Rules,
) -> Vec<Untitled> {
    let drawn: Vec<&MeasuredCabinet> = untitled
        .iter()
        .filter_map(|name| measured.iter().find(|cabinet| cabinet.id == *name))
        .collect();
    if drawn.is_empty() {
        return Vec::new();
    }
    let named: BTreeSet<String> = measured
        .iter()
        .filter(|cabinet| !untitled.contains(&cabinet.id))
        .flat_map(|cabinet| [&cabinet.id].into_iter().chain(&cabinet.same_as))
        .map(|name| cabinet_key(name))
        .collect();
    let listed = listed(lists, &named);
    if listed.is_empty() {
        return Vec::new();
    }
    Table::new(&drawn, &listed, rules).taken()
}

/// A cabinet of the list.
pub(super) struct Listed<'a> {
    pub name: String,
    pub rows: Vec<(Role, &'a Row)>,
    /// What its rows say, to tell cabinets listed alike.
    says: Vec<(Role, Vec<Length>)>,
    /// Views with its name show it already.
    named: bool,
}

/// The cabinets of the lists, in the order of their names; `named` have views of their own.
pub(super) fn listed<'a>(lists: &'a [CutList], named: &BTreeSet<String>) -> Vec<Listed<'a>> {
    let mut names: BTreeMap<String, String> = BTreeMap::new();
    for row in lists.iter().flat_map(|list| &list.rows) {
        for name in &row.cabinets {
            names
                .entry(cabinet_key(name))
                .and_modify(|kept| *kept = kept.clone().min(name.clone()))
                .or_insert_with(|| name.clone());
        }
    }
    let rows = Rows::of(lists);
    let mut out: Vec<Listed<'_>> = names
        .into_iter()
        .map(|(key, name)| {
            let of = |role: Role| rows.of_part(&key, role).iter().map(move |row| (role, *row));
            let rows: Vec<(Role, &Row)> = Role::ALL.into_iter().flat_map(of).collect();
            let mut says: Vec<(Role, Vec<Length>)> = rows
                .iter()
                .map(|(role, row)| (*role, row.sizes.iter().map(|cell| cell.value).collect()))
                .collect();
            says.sort();
            Listed {
                named: named.contains(&key),
                name,
                rows,
                says,
            }
        })
        .filter(|listed| !listed.rows.is_empty())
        .collect();
    out.sort_by(|a, b| natural(&a.name, &b.name));
    out
}

struct Table<'a> {
    drawn: &'a [&'a MeasuredCabinet],
    listed: &'a [Listed<'a>],
    rules: &'a Rules,
    /// By drawing, then by listed cabinet.
    fits: Vec<Vec<Fit>>,
}

impl<'a> Table<'a> {
    fn new(drawn: &'a [&'a MeasuredCabinet], listed: &'a [Listed<'a>], rules: &'a Rules) -> Self {
        let fits = drawn
            .iter()
            .map(|cabinet| {
                listed
                    .iter()
                    .map(|l| fit(cabinet, &l.rows, rules))
                    .collect()
            })
            .collect();
        Table {
            drawn,
            listed,
            rules,
            fits,
        }
    }

    fn fit(&self, drawn: usize, listed: usize) -> Fit {
        let line = self.fits.get(drawn);
        line.and_then(|line| line.get(listed))
            .copied()
            .unwrap_or_default()
    }

    fn is_named(&self, l: usize) -> bool {
        self.listed.get(l).is_some_and(|listed| listed.named)
    }

    /// Cabinets with a drawing of their own that the drawing fits as well as `l`: it may
    /// be another drawing of one of them.
    fn named_rivals(&self, d: usize, l: usize) -> impl Iterator<Item = usize> + '_ {
        (0..self.listed.len())
            .filter(|other| self.is_named(*other))
            .filter(move |other| {
                let theirs = self.fit(d, *other);
                theirs.is_full()
                    && theirs.worth() + CLEAR > self.fit(d, l).worth()
                    && !self.listed_alike(l, *other)
            })
    }

    fn listed_alike(&self, a: usize, b: usize) -> bool {
        match (self.listed.get(a), self.listed.get(b)) {
            (Some(a), Some(b)) => a.says == b.says,
            _ => false,
        }
    }

    fn drawn_alike(&self, a: usize, b: usize) -> bool {
        match (self.drawn.get(a), self.drawn.get(b)) {
            (Some(a), Some(b)) => a.id == b.id || drawn_same(a, b),
            _ => false,
        }
    }

    /// The best assignment of pairs that `may` be, and its worth.
    fn best(&self, may: impl Fn(usize, usize) -> bool) -> (Vec<Option<usize>>, i64) {
        let count = self.listed.len();
        // One more column for each drawing that is taken for none.
        let columns = count + self.drawn.len();
        let cost: Vec<Vec<i64>> = (0..self.drawn.len())
            .map(|d| {
                (0..columns)
                    .map(|l| {
                        if l >= count {
                            0
                        } else if !self.is_named(l) && self.fit(d, l).may_be() && may(d, l) {
                            -self.fit(d, l).worth()
                        } else {
                            FORBIDDEN
                        }
                    })
                    .collect()
            })
            .collect();
        let given: Vec<Option<usize>> = assign(&cost, columns)
            .into_iter()
            .map(|column| (column < count).then_some(column))
            .collect();
        let worth = given
            .iter()
            .enumerate()
            .filter_map(|(d, l)| Some(self.fit(d, (*l)?).worth()))
            .sum();
        (given, worth)
    }

    /// The listed cabinet each drawing surely is.
    fn sure(&self) -> Vec<Option<usize>> {
        let (given, worth) = self.best(|_, _| true);
        // Every assignment that gives the cabinet to no drawing like this one must be
        // clearly worse.
        let clear: Vec<Option<usize>> = given
            .into_iter()
            .enumerate()
            .map(|(d, l)| {
                let l = l?;
                let (_, other) = self.best(|drawn, listed| {
                    !(self.drawn_alike(d, drawn) && self.listed_alike(l, listed))
                });
                (worth - other >= CLEAR).then_some(l)
            })
            .collect();
        let open = clear
            .iter()
            .enumerate()
            .filter(|(d, l)| l.is_none_or(|l| !self.fit(*d, l).is_full()))
            .count();
        // All but one are settled by all their sizes: the last is the one left over.
        let unnamed = (0..self.listed.len()).filter(|l| !self.is_named(*l));
        let last = open == 1 && self.drawn.len() == unnamed.count();
        clear
            .into_iter()
            .enumerate()
            .map(|(d, l)| {
                l.filter(|&l| {
                    (last || self.points_at(d, l))
                        && self.is_one_wide(d, l)
                        && self.named_rivals(d, l).next().is_none()
                })
            })
            .collect()
    }

    /// False where the front is as wide as the list says of nothing and no plan confirms
    /// it: it may be that of several cabinets side by side.
    fn is_one_wide(&self, d: usize, l: usize) -> bool {
        let seen = self.drawn.get(d).map_or(0, |cabinet| cabinet.views.len());
        seen > 2 || self.fit(d, l).differ().all(|axis| axis != Axis::Across)
    }

    /// True when the sizes that agree are those of no other cabinet of the list.
    fn points_at(&self, d: usize, l: usize) -> bool {
        let fit = self.fit(d, l);
        fit.is_full()
            || (0..self.listed.len())
                .filter(|other| !self.listed_alike(l, *other))
                .all(|other| {
                    let theirs: Vec<Axis> = self.fit(d, other).agree().collect();
                    !fit.agree().all(|axis| theirs.contains(&axis))
                })
    }

    fn taken(&self) -> Vec<Untitled> {
        let sure = self.sure();
        let name = |l: usize| self.listed.get(l).map(|l| l.name.clone());
        // Cabinets listed alike and drawn once share the drawing.
        let mut of: Vec<Vec<usize>> = sure.iter().map(|l| l.iter().copied().collect()).collect();
        let left = |l: &usize| !sure.contains(&Some(*l)) && !self.is_named(*l);
        for l in (0..self.listed.len()).filter(left) {
            let alike = |d: &usize| {
                let given = sure.get(*d).copied().flatten();
                given.is_some_and(|given| self.listed_alike(given, l))
            };
            if let Some(views) = (0..sure.len()).rfind(alike).and_then(|d| of.get_mut(d)) {
                views.push(l);
            }
        }
        let given: BTreeSet<usize> = of.iter().flatten().copied().collect();
        self.drawn
            .iter()
            .enumerate()
            .zip(&of)
            .map(|((d, cabinet), of)| {
                let mut cabinets: Vec<String> = of.iter().filter_map(|l| name(*l)).collect();
                cabinets.sort_by(|a, b| natural(a, b));
                let rivals: Vec<String> = (0..self.listed.len())
                    .filter(|l| of.is_empty() && !given.contains(l))
                    .filter(|l| match self.is_named(*l) {
                        true => self.fit(d, *l).is_full(),
                        false => self.fit(d, *l).may_be(),
                    })
                    .filter_map(name)
                    .collect();
                let first = of.first().map(|l| (*l, self.fit(d, *l)));
                let side_differs =
                    first.is_some_and(|(_, fit)| fit.differ().any(|a| a == Axis::Deep));
                let whole = !(side_differs && cabinet.views.len() == 2);
                Untitled {
                    drawn: cabinet.id.clone(),
                    sentence: self.sentence(d, &cabinets, &rivals, first, whole),
                    cabinets,
                    rivals,
                    whole,
                }
            })
            .collect()
    }

    fn sentence(
        &self,
        d: usize,
        cabinets: &[String],
        rivals: &[String],
        first: Option<(usize, Fit)>,
        whole: bool,
    ) -> String {
        let shown = self
            .drawn
            .get(d)
            .map_or_else(String::new, |c| sizes(c, self.rules));
        let Some((l, fit)) = first else {
            return match rivals {
                [] => format!(
                    "it is {shown} as drawn, and no cabinet of the list without a drawing has two of these sizes"
                ),
                [one] => format!(
                    "it is {shown} as drawn; by two of its sizes it may be {one}, but they do not tell it from others"
                ),
                several => format!("it is {shown} as drawn; {} fit equally well", join(several)),
            };
        };
        let nouns = |axes: &mut dyn Iterator<Item = Axis>| -> Vec<String> {
            axes.map(|axis| noun(axis).to_owned()).collect()
        };
        let (agree, differ) = (nouns(&mut fit.agree()), nouns(&mut fit.differ()));
        let mut sentence = format!(
            "{} {} taken to be the cabinet drawn {shown}, by its size, for no name stands with it: {} {} as listed",
            join(cabinets),
            if cabinets.len() == 1 { "is" } else { "are" },
            join(&agree),
            if agree.len() == 1 { "is" } else { "are" },
        );
        let partly = nouns(&mut fit.partly());
        if !partly.is_empty() {
            sentence.push_str(&format!(" ({} not in every row)", join(&partly)));
        }
        if let [differs] = differ.as_slice() {
            sentence.push_str(if self.points_at(d, l) {
                " and no other cabinet of the list has both, but its "
            } else {
                " and it is the only one left, but its "
            });
            sentence.push_str(differs);
            sentence.push_str(" is not");
            if !whole {
                sentence.push_str(", so the view beside the front is not taken for its end");
            }
        }
        let alike = (0..self.drawn.len()).any(|other| other != d && self.drawn_alike(d, other));
        if alike {
            sentence.push_str("; another is drawn just like it, so which is which changes no size");
        }
        sentence
    }
}

/// "width, height and depth" in this order, as far as they are known.
fn sizes(cabinet: &MeasuredCabinet, rules: &Rules) -> String {
    let of = |size: &Measured, word: &str| {
        let length = size.known()?.span.length();
        Some(format!("{} {word}", length.show(rules.notation())))
    };
    let shown: Vec<String> = [
        of(&cabinet.overall.width, "wide"),
        of(&cabinet.overall.height, "high"),
        of(&cabinet.overall.depth, "deep"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if shown.is_empty() {
        "of no size that could be measured".to_owned()
    } else {
        join(&shown)
    }
}

fn noun(axis: Axis) -> &'static str {
    match axis {
        Axis::Across => "width",
        Axis::Deep => "depth",
        Axis::High => "height",
    }
}

/// "A1", "A1 and A2", "A1, A2 and A3".
fn join(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}
