//! What a report says once where work can hurt someone. It defers to local codes,
//! makers' instructions and licensed practice, and assumes no figure of its own.

use super::Rules;
use super::job::Use;
use crate::cabinet::{Measured, MeasuredCabinet};
use crate::cutlist::CutList;
use crate::trade::Role;
use crate::view::Reading;

/// When a caution applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    Always,
    /// Parts are cut.
    Cutting,
    /// Sheet stock is named by thickness.
    SheetStock,
    WallHung,
    TallOrStacked,
    /// Heaters, outlets or lights are named, or openings in the toe space.
    Electrical,
    Cooking,
    AccessibilityAsked,
}

impl When {
    /// In plain words, for the documentation.
    pub const fn meaning(self) -> &'static str {
        match self {
            When::Always => "in every report",
            When::Cutting => "where a list has parts to cut",
            When::SheetStock => "where a list gives thicknesses",
            When::WallHung => {
                "where a cabinet is stated to hang on the wall, or is shallow and has no toe space \
                 and no base"
            }
            When::TallOrStacked => {
                "where a cabinet is stated to be tall or to stand on another, or is 60 in high or \
                 higher"
            }
            When::Electrical => {
                "where an access panel is listed or drawn, or the list or the drawing names a \
                 heater, an outlet, a light or wiring"
            }
            When::Cooking => "where the list or the drawing names a cooking appliance",
            When::AccessibilityAsked => "where the job file asks for accessibility figures",
        }
    }
}

/// A caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    pub topic: &'static str,
    pub when: When,
    pub text: &'static str,
}

/// In the order they are printed.
pub const CAUTIONS: &[Caution] = &[
    Caution {
        topic: "scope",
        when: When::Always,
        text: "This report compares numbers. It is not a code, safety, structural or accessibility \
               review. Verify on site before cutting.",
    },
    Caution {
        topic: "sheet thickness",
        when: When::SheetStock,
        text: "Panel thickness varies within the standards it is sold by. Measure the sheets on \
               hand and enter the actual thickness.",
    },
    Caution {
        topic: "wall-hung units",
        when: When::WallHung,
        text: "Fasten wall-hung units into framing or blocking with fasteners made for the purpose, \
               by the maker's instructions and the local code; not into wallboard alone.",
    },
    Caution {
        topic: "tall and free-standing units",
        when: When::TallOrStacked,
        text: "Tall or free-standing units can tip: anchor them. In the United States free-standing \
               bedroom-type clothing storage 27 in high or higher, 30 lb or heavier and with 3.2 \
               cubic feet or more enclosed, made after 1 September 2023, is under 16 CFR part 1261 \
               (ASTM F2057-23); units meant to be permanently attached to the building, bookcases, \
               office and dining furniture are listed as outside its scope.",
    },
    Caution {
        topic: "electricity in cabinets and toe spaces",
        when: When::Electrical,
        text: "For heaters, outlets or lights in toe spaces or cabinets a licensed electrician, the \
               maker's opening sizes and clearances, and the local electrical code decide. No \
               clearance is assumed here.",
    },
    Caution {
        topic: "cooking appliances",
        when: When::Cooking,
        text: "Clearances of cabinets near cooking appliances follow the appliance's instructions \
               and the local code; 30 in to unprotected combustible material is a common figure.",
    },
    Caution {
        topic: "accessibility",
        when: When::AccessibilityAsked,
        text: "Accessibility figures are quoted from the 2010 ADA Standards, in inches. State and \
               local rules may differ, and metric figures printed there are rounded. Holding sizes \
               against them certifies nothing.",
    },
    Caution {
        topic: "saws and routers",
        when: When::Cutting,
        text: "Saws and routers: guards, riving knife, push sticks, eye and ear protection, and \
               training. For shops in the United States see OSHA 29 CFR 1910.213 and OSHA 3157.",
    },
    Caution {
        topic: "wood dust",
        when: When::Cutting,
        text: "Wood dust irritates and sensitises, is listed as a known human carcinogen (NTP; IARC \
               Group 1), and fine dust can burn or explode. Use extraction and suitable respirators.",
    },
];

/// A cabinet is taken to be tall from this height, millimetres (60 in).
const TALL_MM: f64 = 1524.0;
/// A cabinet without toe space may hang when it is no deeper than this (16 in).
const SHALLOW_MM: f64 = 406.4;

const ELECTRICAL: &[&str] = &[
    "heater",
    "outlet",
    "receptacle",
    "socket",
    "light",
    "lights",
    "lighting",
    "led",
    "wiring",
    "electrical",
];
const COOKING: &[&str] = &["range", "cooktop", "oven", "stove", "hood", "hob", "cooker"];

/// The cautions that apply to a job, each once.
pub fn applicable(
    rules: &Rules,
    cabinets: &[MeasuredCabinet],
    lists: &[CutList],
    views: &Reading,
) -> Vec<&'static Caution> {
    let facts = Facts {
        rules,
        cabinets,
        lists,
        views,
    };
    CAUTIONS
        .iter()
        .filter(|caution| facts.met(caution.when))
        .collect()
}

struct Facts<'a> {
    rules: &'a Rules,
    cabinets: &'a [MeasuredCabinet],
    lists: &'a [CutList],
    views: &'a Reading,
}

impl Facts<'_> {
    fn met(&self, when: When) -> bool {
        match when {
            When::Always => true,
            When::Cutting => self.lists.iter().any(|list| !list.rows.is_empty()),
            When::SheetStock => self.lists.iter().flat_map(|list| &list.rows).any(|row| {
                row.size(crate::trade::Dimension::Thickness).is_some() || row.material.is_some()
            }),
            When::WallHung => self.any(&[Use::Wall], |cabinet| {
                let standing = cabinet
                    .named
                    .iter()
                    .any(|size| size.name.starts_with("toe."))
                    || cabinet.parts.iter().any(|part| {
                        matches!(part.role, Role::ToeKick | Role::BaseRail | Role::BaseEnd)
                    });
                let shallow = mm(&cabinet.overall.depth).is_some_and(|depth| depth <= SHALLOW_MM);
                shallow && !standing
            }),
            When::TallOrStacked => {
                !self.rules.stacks.is_empty()
                    || self.any(&[Use::Tall, Use::Standing], |cabinet| {
                        mm(&cabinet.overall.height).is_some_and(|height| height >= TALL_MM)
                    })
            }
            When::Electrical => {
                let panel = |role: Role| role == Role::AccessPanel;
                self.cabinets
                    .iter()
                    .flat_map(|cabinet| &cabinet.parts)
                    .any(|part| panel(part.role))
                    || self
                        .lists
                        .iter()
                        .flat_map(|list| &list.rows)
                        .any(|row| row.role().is_some_and(panel))
                    || self.named(ELECTRICAL)
            }
            When::Cooking => self.named(COOKING),
            When::AccessibilityAsked => !self.rules.accessibility.asked.is_empty(),
        }
    }

    /// True when a cabinet is stated to be one of these, or, where nothing is stated
    /// of it, looks like one.
    fn any(&self, uses: &[Use], looks: impl Fn(&MeasuredCabinet) -> bool) -> bool {
        let stated = |name: &str| self.rules.uses.get(&super::cabinet_key(name)).copied();
        self.rules.uses.values().any(|stated| uses.contains(stated))
            || self
                .cabinets
                .iter()
                .any(|cabinet| stated(&cabinet.id).is_none() && looks(cabinet))
    }

    /// True when a row or a text in a drawing has one of these words.
    fn named(&self, words: &[&str]) -> bool {
        let rows = self.lists.iter().flat_map(|list| &list.rows);
        let listed =
            rows.flat_map(|row| std::iter::once(row.part.as_str()).chain(row.note.as_deref()));
        let drawn = self.views.views.iter().flat_map(|view| {
            let title = view.title.iter().map(|title| title.text.as_str());
            view.texts
                .iter()
                .map(|text| text.text.as_str())
                .chain(title)
        });
        listed.chain(drawn).any(|text| has_word(text, words))
    }
}

fn has_word(text: &str, words: &[&str]) -> bool {
    text.split(|c: char| !c.is_alphanumeric())
        .any(|piece| words.iter().any(|word| piece.eq_ignore_ascii_case(word)))
}

fn mm(measured: &Measured) -> Option<f64> {
    measured.known().map(|measure| measure.span.mm())
}
