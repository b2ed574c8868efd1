//! Which cabinet of the list a drawing without a name shows, by its size. The list
//! may hold the very mistake that is looked for, so one size may differ; then the
//! others must point at one cabinet alone. What could be either is said to be.

use super::rows::{Rows, sizes_along};
use super::{Rules, cabinet_key};
use crate::assign::{FORBIDDEN, assign};
use crate::cabinet::{DrawnPart, Measured, MeasuredCabinet};
use crate::cutlist::{CutList, Row};
use crate::length::Length;
use crate::plain::natural;
use crate::trade::{Axis, Family, Role};
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

/// Worth of a size that agrees in all rows that give it.
const SIZE: i64 = 1000;
/// Worth of all other rows together.
const OTHERS: i64 = 400;
/// By how much an assignment must beat every other.
const CLEAR: i64 = 300;
/// Least share of the rows of a size that must agree for it to agree.
const MOST: i64 = SIZE / 2;

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
    let listed = listed(lists);
    if drawn.is_empty() || listed.is_empty() {
        return Vec::new();
    }
    Table::new(&drawn, &listed, rules).taken()
}

/// A cabinet of the list.
struct Listed<'a> {
    name: String,
    rows: Vec<(Role, &'a Row)>,
    /// What its rows say, to tell cabinets listed alike.
    says: Vec<(Role, Vec<Length>)>,
}

fn listed(lists: &[CutList]) -> Vec<Listed<'_>> {
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
            Listed { name, rows, says }
        })
        .filter(|listed| !listed.rows.is_empty())
        .collect();
    out.sort_by(|a, b| natural(&a.name, &b.name));
    out
}

/// How a drawing and a listed cabinet go together.
#[derive(Clone, Copy, Debug, Default)]
struct Fit {
    /// For width, depth and height, how many thousandths of the rows agree; `None`
    /// where nothing can be compared.
    sizes: [Option<i64>; 3],
    /// Whether some of its rows differ, however many agree.
    mixed: [bool; 3],
    others: i64,
}

impl Fit {
    fn agree(&self) -> impl Iterator<Item = Axis> + '_ {
        self.told(|share| share >= MOST)
    }

    fn differ(&self) -> impl Iterator<Item = Axis> + '_ {
        self.told(|share| share < MOST)
    }

    fn told(&self, is: fn(i64) -> bool) -> impl Iterator<Item = Axis> + '_ {
        [Axis::Across, Axis::High, Axis::Deep]
            .into_iter()
            .filter(move |axis| self.size(*axis).is_some_and(is))
    }

    fn size(&self, axis: Axis) -> Option<i64> {
        let at = Axis::ALL.iter().position(|other| *other == axis)?;
        self.sizes.get(at).copied().flatten()
    }

    /// Sizes that agree in some of their rows and differ in others.
    fn partly(&self) -> impl Iterator<Item = Axis> + '_ {
        self.agree().filter(|axis| {
            let at = Axis::ALL.iter().position(|other| other == axis);
            at.and_then(|at| self.mixed.get(at)) == Some(&true)
        })
    }

    fn worth(&self) -> i64 {
        self.sizes.iter().flatten().sum::<i64>() + self.others
    }

    /// Two sizes at least agree and none differs.
    fn is_full(&self) -> bool {
        self.agree().count() >= 2 && self.differ().count() == 0
    }

    fn may_be(&self) -> bool {
        self.agree().count() >= 2
    }
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
            .map(|cabinet| listed.iter().map(|l| fit(cabinet, l, rules)).collect())
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
                        } else if self.fit(d, l).may_be() && may(d, l) {
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
        let last = open == 1 && self.drawn.len() == self.listed.len();
        clear
            .into_iter()
            .enumerate()
            .map(|(d, l)| l.filter(|&l| (last || self.points_at(d, l)) && self.is_one_wide(d, l)))
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
        for l in (0..self.listed.len()).filter(|l| !sure.contains(&Some(*l))) {
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
                    .filter(|l| of.is_empty() && !given.contains(l) && self.fit(d, *l).may_be())
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

/// Drawn sizes nearer than this are the same, millimetres.
const NEAR: f64 = 0.2;

/// True when two drawings show the same cabinet: every size and every part.
fn drawn_same(a: &MeasuredCabinet, b: &MeasuredCabinet) -> bool {
    let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= NEAR,
        (None, None) => true,
        _ => false,
    };
    let sizes = |c: &MeasuredCabinet| {
        [&c.overall, &c.interior]
            .map(|s| [&s.width, &s.height, &s.depth].map(|m| m.known().map(|m| m.span.mm())))
    };
    let mm = |part: &DrawnPart| Axis::ALL.map(|axis| part.span(axis).map(|span| span.mm()));
    let pairs = |a: &[Option<f64>], b: &[Option<f64>]| a.iter().zip(b).all(|(a, b)| near(*a, *b));
    pairs(sizes(a).as_flattened(), sizes(b).as_flattened())
        && a.parts.len() == b.parts.len()
        && a.parts
            .iter()
            .zip(&b.parts)
            .all(|(a, b)| a.role == b.role && pairs(&mm(a), &mm(b)))
}

/// How the rows of a listed cabinet go with a drawn one. Views that contradict each other
/// may not belong together: of those nothing is compared.
fn fit(cabinet: &MeasuredCabinet, listed: &Listed<'_>, rules: &Rules) -> Fit {
    if !cabinet.conflicts.is_empty() {
        return Fit::default();
    }
    let mut shares: [Vec<i64>; 3] = Default::default();
    let (mut rows, mut agree) = (0, 0);
    for (role, row) in &listed.rows {
        if role.family() != Family::Case {
            rows += 1;
            agree += i64::from(drawn_as(cabinet, *role, row, rules));
            continue;
        }
        for (axis, shares) in Axis::ALL.into_iter().zip(&mut shares) {
            shares.extend(share(cabinet, *role, row, axis, rules));
        }
    }
    Fit {
        mixed: shares.each_ref().map(|shares| shares.contains(&0)),
        sizes: shares.map(|shares| {
            let count = i64::try_from(shares.len())
                .ok()
                .filter(|count| *count > 0)?;
            Some(shares.iter().sum::<i64>() / count)
        }),
        others: if rows == 0 {
            OTHERS / 2
        } else {
            OTHERS * agree / rows
        },
    }
}

/// Whether parts of this kind make the size of the case, so that another size of
/// them speaks against it.
fn decides(role: Role, axis: Axis) -> bool {
    match role {
        Role::Side => axis != Axis::Across,
        Role::Bottom | Role::Top => axis != Axis::High,
        Role::Stretcher | Role::ToeKick | Role::BaseRail => axis == Axis::Across,
        _ => false,
    }
}

/// How much smaller than the cabinet a part that makes its size can be across, deep and
/// high, millimetres: a frame, an end panel or a base comes off.
const ROOM: [f64; 3] = [110.0, 90.0, 260.0];

/// How far a row's size along an axis agrees with the drawn cabinet, in thousandths;
/// `None` where it says nothing of it.
fn share(
    cabinet: &MeasuredCabinet,
    role: Role,
    row: &Row,
    axis: Axis,
    rules: &Rules,
) -> Option<i64> {
    // A shelf or a back as drawn speaks for a size, another one not against it.
    let speaks = match role {
        Role::Back => axis != Axis::Deep,
        Role::FixedShelf | Role::AdjustableShelf => axis != Axis::High,
        Role::Divider => axis != Axis::Across,
        _ => false,
    };
    if !speaks && !decides(role, axis) {
        return None;
    }
    let listed = sizes_along(row, role, axis);
    let near = rules.tolerance(Some(role));
    let (overall, interior) = (of(&cabinet.overall, axis), of(&cabinet.interior, axis));
    let spans = || {
        cabinet
            .parts
            .iter()
            .filter(|part| part.role == role && !part.flat)
    };
    let spans = || spans().filter_map(|part| part.span(axis));
    let seen = spans().any(|span| !span.is_lower_bound());
    // A part much smaller than the case does not make its size: it stands beside others.
    let most = |size: &Length| {
        !decides(role, axis)
            || overall.is_some_and(|overall| overall.mm() - size.mm() <= ROOM[axis as usize])
    };
    let mut drawn: Vec<Length> = spans().map(|span| span.length()).filter(most).collect();
    if decides(role, axis) {
        let case = ["case.width", "case.depth", "case.height"];
        let named = cabinet
            .named
            .iter()
            .filter(|size| case.contains(&&*size.name) && size.measure.span.axis == axis);
        drawn.extend(overall);
        drawn.extend(interior.filter(|_| axis == Axis::Across));
        drawn.extend(named.map(|size| size.measure.span.length()));
    }
    if listed.is_empty() || drawn.is_empty() {
        return None;
    }
    let hit = |size: &Length| drawn.iter().any(|at| (*at - *size).abs() <= near);
    // A part let into others is longer than it looks where its ends are not drawn.
    let within = |size: &Length| match (interior, overall) {
        (Some(interior), Some(overall)) => *size >= interior - near && *size <= overall + near,
        _ => false,
    };
    if listed.iter().any(hit) {
        Some(SIZE)
    } else if !seen && axis != Axis::High && listed.iter().any(within) {
        Some(SIZE * 3 / 5)
    } else {
        decides(role, axis).then_some(0)
    }
}

fn of(sizes: &crate::cabinet::Sizes, axis: Axis) -> Option<Length> {
    let size = match axis {
        Axis::Across => &sizes.width,
        Axis::Deep => &sizes.depth,
        Axis::High => &sizes.height,
    };
    size.known().map(|measure| measure.span.length())
}

/// True when a part of this kind is drawn as large as the row says.
fn drawn_as(cabinet: &MeasuredCabinet, role: Role, row: &Row, rules: &Rules) -> bool {
    let near = rules.tolerance(Some(role));
    let Some([along, beside, _]) = role.lie() else {
        return false;
    };
    cabinet
        .parts
        .iter()
        .filter(|part| part.role == role)
        .any(|part| {
            [along, beside].into_iter().all(|axis| {
                let listed = sizes_along(row, role, axis);
                part.span(axis).is_none_or(|span| {
                    listed
                        .iter()
                        .any(|size| (span.length() - *size).abs() <= near)
                })
            })
        })
}
