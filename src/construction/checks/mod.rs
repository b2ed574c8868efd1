//! Checks beyond single sizes: counts against openings, runs against walls, stacks
//! against ceilings, slides, hinge bores, built-up tops, toe-space panels and, where
//! the job asks, accessibility figures. Each gives typed results for the audit.

mod accessibility;
mod bores;
mod boring;
mod counts;
mod cups;
mod hinges;
mod notches;
mod places;
mod runs;
mod slides;
mod stacked;
mod stated;
mod strips;
mod toe;
mod tops;
mod walls;

use super::number::Ratio;
use super::rows::Rows;
use super::scope::Scope;
use super::{Origin, Rules, Stated, cabinet_key};
use crate::cabinet::{MeasuredCabinet, Span};
use crate::cutlist::{BoringRow, CutList, Per, Row, RowSource, SizeCell};
use crate::length::Length;
use crate::trade::{Dimension, Role};
use crate::view::Reading;
use std::collections::BTreeMap;

/// What a check is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// Doors and drawer fronts against openings.
    Fronts,
    /// Drawer boxes and their parts against the drawer fronts.
    Drawers,
    /// Parts of drawer boxes against each other.
    DrawerParts,
    /// Sum of a run against its wall.
    Run,
    /// Neighbours in a run share what they should.
    Neighbours,
    /// Sum of a stack against the height it must reach.
    Stack,
    /// Drawer slides and boxes fit the depth.
    Slides,
    HingeBores,
    Countertop,
    /// Openings and panels in the toe space.
    ToeSpace,
    Accessibility,
    /// A stated size against what the drawing shows.
    StatedSize,
}

impl Topic {
    pub const ALL: [Topic; 12] = [
        Topic::Fronts,
        Topic::Drawers,
        Topic::DrawerParts,
        Topic::Run,
        Topic::Neighbours,
        Topic::Stack,
        Topic::Slides,
        Topic::HingeBores,
        Topic::Countertop,
        Topic::ToeSpace,
        Topic::Accessibility,
        Topic::StatedSize,
    ];

    /// What is checked, and what it needs, for the documentation.
    pub const fn meaning(self) -> &'static str {
        match self {
            Topic::Fronts => {
                "where the fronts themselves are not drawn, no more doors and drawer fronts are \
                 listed than the drawn openings hold, as many as the openings of their size take, \
                 and drawer fronts that share one undivided opening fill it with the `gap` between \
                 them; stiles, rails and panels of made doors are as many as the doors need"
            }
            Topic::Drawers => {
                "listed drawer boxes, their parts and slides are as many as the drawer fronts need, \
                 and of each height as many as openings of that height; a front called a false front \
                 needs none"
            }
            Topic::DrawerParts => {
                "listed box sides, fronts, backs and bottoms make whole drawers: two sides, one \
                 front, one back, one bottom"
            }
            Topic::Run => {
                "the cabinets of a `[[run]]`, or those drawn between two walls, with what is `between` \
                 them, or with the fillers and end panels drawn beside them or else listed, are as wide \
                 as its `wall`, or as the drawn walls are apart, or as the one dimension drawn past both \
                 ends of what stands side by side"
            }
            Topic::Neighbours => "neighbours in a `[[run]]` have alike what it says they `share`",
            Topic::Stack => {
                "the cabinets of a `[[stack]]` with what is `between` them reach its `height`; those \
                 drawn one on another between walls, with the listed countertop between them, reach \
                 as high as they are drawn, and no higher than the walls"
            }
            Topic::Slides => {
                "drawer boxes and slides (listed, or `slide.length`) are no longer than the depth \
                 from the front of the frame or case to the back"
            }
            Topic::HingeBores => {
                "bores of a boring list are measured from one edge, lie on the door, are alike on \
                 doors of one size, `hinge.from-end` from its ends, centred `hinge.edge` and half \
                 of `hinge.bore` from the hinge edge, on the hinge side, and clear of fixed shelves, \
                 stretchers and rails; its doors have the sizes and, in a pair, the hinge side of the \
                 cabinet's; circles on drawings of doors are where the list has them, alike on doors of \
                 one size, as far from the edge on all and mirrored on a pair, and plate holes on \
                 drawings of sides (`plate.row`, `plate.spacing`) match the hinges"
            }
            Topic::Countertop => {
                "sheet and strips make `countertop.built-up`; strip lengths and counts follow from \
                 the top's size by the answer to `strips`, or by the way most of them show; edge band covers the built-up edge and, by \
                 the answer to `band-edges`, all edges it goes on; a top over a whole `[[run]]` is as long as its cabinets with their overhangs"
            }
            Topic::ToeSpace => {
                "openings drawn in the toe space, panels listed for them or with 'toe' in their name or \
                 note, and heaters listed for the toe space stay in it, and a heater in the opening \
                 drawn for it; a toe notch written in the note of a side is as high and as deep as the toe space less \
                 the face frame"
            }
            Topic::Accessibility => {
                "the figures asked for under `[accessibility]`, in inches, without tolerance"
            }
            Topic::StatedSize => {
                "a size stated under `[sizes]` is what the drawing shows of it; board may be up to \
                 1/16 in off its drawn thickness, because drawings show it by name"
            }
        }
    }

    /// As it is printed.
    pub const fn word(self) -> &'static str {
        match self {
            Topic::Fronts => "fronts",
            Topic::Drawers => "drawers",
            Topic::DrawerParts => "drawer parts",
            Topic::Run => "run",
            Topic::Neighbours => "neighbours",
            Topic::Stack => "stack",
            Topic::Slides => "slides",
            Topic::HingeBores => "hinge bores",
            Topic::Countertop => "countertop",
            Topic::ToeSpace => "toe space",
            Topic::Accessibility => "accessibility",
            Topic::StatedSize => "stated size",
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    Disagrees,
    /// With the reason in the sentence.
    Unchecked,
    Agrees,
}

impl Verdict {
    /// What a check that could be made comes to.
    pub(super) fn of(agrees: bool) -> Verdict {
        if agrees {
            Verdict::Agrees
        } else {
            Verdict::Disagrees
        }
    }
}

/// A figure of a list, quoted as written.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cell {
    pub source: RowSource,
    /// The part as written.
    pub part: String,
    pub dimension: Dimension,
    /// 1-based; 0 when there is no such column.
    pub column: usize,
    pub text: String,
}

/// A result of one check.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    pub topic: Topic,
    pub verdict: Verdict,
    /// Cabinets it is about, as the list or the job file spells them.
    pub cabinets: Vec<String>,
    /// What was held against what, in one sentence with the numbers.
    pub sentence: String,
    pub expected: Option<Length>,
    pub found: Option<Length>,
    pub tolerance: Option<Length>,
    /// Expected and found counts.
    pub counts: Option<(u32, u32)>,
    /// Listed figures it bears on.
    pub rows: Vec<Cell>,
    /// Drawn distances it used.
    pub drawn: Vec<Span>,
    /// What it rests on.
    pub origin: Origin,
    /// What is taken for granted with it, in a sentence.
    pub assumed: Option<String>,
}

impl Check {
    fn new(topic: Topic, verdict: Verdict, sentence: String) -> Self {
        Check {
            topic,
            verdict,
            cabinets: Vec::new(),
            sentence,
            expected: None,
            found: None,
            tolerance: None,
            counts: None,
            rows: Vec::new(),
            drawn: Vec::new(),
            origin: Origin::Drawn,
            assumed: None,
        }
    }

    fn of(mut self, cabinets: impl IntoIterator<Item = impl Into<String>>) -> Self {
        self.cabinets = cabinets.into_iter().map(Into::into).collect();
        self
    }

    fn resting_on(mut self, origin: Origin) -> Self {
        self.origin = origin;
        self
    }

    fn at_rows(mut self, rows: impl IntoIterator<Item = Cell>) -> Self {
        self.rows = rows.into_iter().collect();
        self
    }

    fn sizes(mut self, expected: Length, found: Length, tolerance: Length) -> Self {
        self.expected = Some(expected);
        self.found = Some(found);
        self.tolerance = Some(tolerance);
        self
    }
}

/// Everything a check may look at.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    pub rules: &'a Rules,
    pub cabinets: &'a [MeasuredCabinet],
    pub lists: &'a [CutList],
    pub views: &'a Reading,
}

/// The facts with rows and cabinets found by name.
struct Desk<'a> {
    rules: &'a Rules,
    cabinets: &'a [MeasuredCabinet],
    lists: &'a [CutList],
    views: &'a Reading,
    rows: Rows<'a>,
    by_name: BTreeMap<String, &'a MeasuredCabinet>,
}

/// Runs every check; disagreements first, in an order that depends on nothing but
/// their content.
pub fn all(facts: &Facts<'_>) -> Vec<Check> {
    let desk = Desk::of(facts);
    let facts = &desk;
    let mut found = Vec::new();
    places::check(facts, &mut found);
    counts::check(facts, &mut found);
    runs::check(facts, &mut found);
    slides::check(facts, &mut found);
    hinges::check(facts, &mut found);
    tops::check(facts, &mut found);
    toe::check(facts, &mut found);
    notches::check(facts, &mut found);
    accessibility::check(facts, &mut found);
    stated::check(facts, &mut found);
    found.sort_by(|a, b| {
        (a.verdict, a.topic, &a.cabinets, &a.sentence, &a.rows).cmp(&(
            b.verdict,
            b.topic,
            &b.cabinets,
            &b.sentence,
            &b.rows,
        ))
    });
    found.dedup();
    found
}

impl<'a> Desk<'a> {
    fn of(facts: &Facts<'a>) -> Self {
        let mut by_name = BTreeMap::new();
        for cabinet in facts.cabinets {
            for name in std::iter::once(&cabinet.id).chain(&cabinet.same_as) {
                by_name.entry(cabinet_key(name)).or_insert(cabinet);
            }
        }
        Desk {
            rules: facts.rules,
            cabinets: facts.cabinets,
            lists: facts.lists,
            views: facts.views,
            rows: Rows::of(facts.lists),
            by_name,
        }
    }

    /// The measured cabinet of this name, or of one it is the same as.
    fn cabinet(&self, name: &str) -> Option<&'a MeasuredCabinet> {
        self.by_name.get(&cabinet_key(name)).copied()
    }

    /// Every cabinet that is drawn, by name, copies included.
    fn named(&self) -> impl Iterator<Item = (&'a str, &'a MeasuredCabinet)> {
        self.cabinets.iter().flat_map(|cabinet| {
            std::iter::once(&cabinet.id)
                .chain(&cabinet.same_as)
                .map(move |name| (name.as_str(), cabinet))
        })
    }

    fn rows(&self) -> impl Iterator<Item = &'a Row> {
        self.lists.iter().flat_map(|list| &list.rows)
    }

    fn borings(&self) -> impl Iterator<Item = &'a BoringRow> {
        self.lists.iter().flat_map(|list| &list.borings)
    }

    /// Rows for a part of one cabinet.
    fn rows_of(&self, name: &str, role: Role) -> impl Iterator<Item = &'a Row> {
        self.rows
            .of_part(&cabinet_key(name), role)
            .to_vec()
            .into_iter()
    }

    /// How many of a part are listed for one cabinet, with the rows; `None` when a
    /// row's count cannot be shared out.
    fn listed(&self, name: &str, role: Role) -> Option<(u32, Vec<&'a Row>)> {
        let mut total = 0_u32;
        let mut rows = Vec::new();
        for row in self.rows_of(name, role) {
            total = total.saturating_add(per_cabinet(row)?);
            rows.push(row);
        }
        Some((total, rows))
    }

    fn scope(&self, cabinet: &'a MeasuredCabinet) -> Scope<'a> {
        Scope::new(self.rules, cabinet)
    }

    /// A named size of a cabinet with where it came from; `None` when it is not
    /// known or only inferred.
    fn size(&self, cabinet: &'a MeasuredCabinet, name: &str) -> Option<(Length, Origin)> {
        self.rules.size(cabinet, name)
    }

    /// A size stated for a run or stack.
    fn free(&self, stated: &Stated) -> Option<Length> {
        let known = super::expression::evaluate(&stated.expr, self.rules.units, &mut |_| Err(()));
        self.rules.length_of(known.ok()?)
    }

    fn show(&self, length: Length) -> String {
        self.rules.print(Ratio::ticks(length))
    }

    /// The general tolerance, for sums.
    fn tolerance(&self, size: Length) -> Length {
        self.rules.tolerance_at(None, size).value
    }
}

/// How many of a row's part one cabinet gets.
pub(super) fn per_cabinet(row: &Row) -> Option<u32> {
    let count = row.quantity.count;
    match row.quantity.per {
        Per::Cabinet => Some(count),
        Per::Job => {
            let cabinets = u32::try_from(row.cabinets.len()).ok()?.max(1);
            count.is_multiple_of(cabinets).then_some(count / cabinets)
        }
    }
}

/// The row's figure of a dimension, the quantity among them.
fn at(row: &Row, dimension: Dimension) -> Cell {
    match row.size(dimension) {
        Some(cell) => of_cell(row, cell),
        None => Cell {
            source: row.source.clone(),
            part: row.part.clone(),
            dimension,
            column: row.quantity.column,
            text: row.quantity.text.clone(),
        },
    }
}

fn of_cell(row: &Row, cell: &SizeCell) -> Cell {
    listed(&row.source, &row.part, cell)
}

fn listed(source: &RowSource, part: &str, cell: &SizeCell) -> Cell {
    Cell {
        source: source.clone(),
        part: part.to_owned(),
        dimension: cell.dimension,
        column: cell.column,
        text: cell.text.clone(),
    }
}

/// "1 door", "2 doors".
fn some(count: u32, role: Role) -> String {
    format!(
        "{count} {}{}",
        role.word(),
        if count == 1 { "" } else { "s" }
    )
}
