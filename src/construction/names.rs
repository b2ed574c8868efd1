//! The names relations may use, in the trade's words. One table, used by the
//! reader of the job file, by the reference and by the messages.

use crate::trade::{Axis, Role};
use foldhash::HashMap;
use std::sync::LazyLock;

/// What stands behind a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NameKind {
    /// Measured in the drawing.
    Measured,
    /// Stated by the shop, unless the drawing shows it.
    Parameter,
    /// A count of drawn things, a plain number.
    Count,
}

/// A name and what it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Name {
    pub name: &'static str,
    pub kind: NameKind,
    pub meaning: &'static str,
}

const fn measured(name: &'static str, meaning: &'static str) -> Name {
    Name {
        name,
        kind: NameKind::Measured,
        meaning,
    }
}

const fn parameter(name: &'static str, meaning: &'static str) -> Name {
    Name {
        name,
        kind: NameKind::Parameter,
        meaning,
    }
}

const fn count(name: &'static str, meaning: &'static str) -> Name {
    Name {
        name,
        kind: NameKind::Count,
        meaning,
    }
}

/// Every name besides the sizes of parts (`side.high`, `door.across`).
pub const NAMES: &[Name] = &[
    measured(
        "overall.width",
        "the cabinet with its face frame, without countertop and doors",
    ),
    measured(
        "overall.height",
        "floor or underside to the top of the case, toe kick included",
    ),
    measured(
        "overall.depth",
        "back to front, face frame included, without doors",
    ),
    measured(
        "interior.width",
        "clear between the inner faces of the sides",
    ),
    measured(
        "interior.height",
        "top of the bottom to underside of the top or stretcher",
    ),
    measured(
        "interior.depth",
        "face of the back to the front edge of the case, without face frame",
    ),
    measured(
        "case.width",
        "the case without its face frame, over both sides",
    ),
    measured("case.height", "the case, without a separate base"),
    measured(
        "case.depth",
        "the case without its face frame, back included",
    ),
    measured("frame.width", "the face frame, over both stiles"),
    measured("frame.height", "the face frame, bottom to top"),
    measured(
        "opening.width",
        "the clear opening a door or drawer front covers or fills",
    ),
    measured(
        "opening.height",
        "the clear opening a door or drawer front covers or fills",
    ),
    measured(
        "cover.left",
        "how far a full-overlay front reaches past its opening on the left",
    ),
    measured(
        "cover.right",
        "how far a full-overlay front reaches past its opening on the right",
    ),
    measured(
        "cover.below",
        "how far a full-overlay front reaches past its opening below",
    ),
    measured(
        "cover.above",
        "how far a full-overlay front reaches past its opening above",
    ),
    measured(
        "bay.width",
        "clear width between sides and dividers; the interior width without dividers",
    ),
    measured(
        "toe.setback",
        "how far the toe space goes back into the case, without the face frame",
    ),
    measured("floor.height", "floor to the top of the cabinet's bottom"),
    parameter(
        "toe.height",
        "floor to the underside of the toe space's top edge",
    ),
    parameter(
        "toe.depth",
        "how far the toe space goes back, from the front of the face frame, else of the case",
    ),
    parameter("base.height", "a separate base (plinth) under the case"),
    parameter("base.thickness", "stock of a separate base"),
    parameter(
        "base.setback-side",
        "how far a separate base stays inside the case on each side",
    ),
    parameter(
        "base.setback-back",
        "how far a separate base stays inside the case at the back",
    ),
    parameter("frame.thickness", "stock of the face frame"),
    parameter(
        "frame.overhang",
        "how far the face frame stands past the case on each side",
    ),
    parameter("stile.width", "face width of a stile"),
    parameter("rail.width", "face width of a rail"),
    parameter("mid-stile.width", "face width of a mid-stile"),
    parameter(
        "rail.tenon",
        "length of the tenon at each end of a face-frame rail; 0 when butted",
    ),
    parameter(
        "board.thickness",
        "actual thickness of the case's sheet, for parts whose own is not stated",
    ),
    parameter("side.thickness", "actual thickness of the sides"),
    parameter("bottom.thickness", "actual thickness of the bottom"),
    parameter("top.thickness", "actual thickness of the top"),
    parameter("stretcher.thickness", "actual thickness of a stretcher"),
    parameter(
        "stretcher.width",
        "width of a stretcher, front to back when it lies flat",
    ),
    parameter("divider.thickness", "actual thickness of a divider"),
    parameter("shelf.thickness", "actual thickness of a shelf"),
    parameter("back.thickness", "actual thickness of the back"),
    parameter(
        "groove.depth",
        "depth of the grooves in the sides that hold bottom, top, fixed shelves and dividers",
    ),
    parameter(
        "rabbet.width",
        "how far the back reaches into each side's rabbet",
    ),
    parameter("rabbet.depth", "front-to-back depth of the back's rabbet"),
    parameter(
        "back.groove",
        "depth of the grooves that hold a captured back",
    ),
    parameter(
        "back.inset",
        "rear of the case to the rear face of a captured back",
    ),
    parameter("back.play", "play of a captured back on each edge"),
    parameter(
        "back.scribe",
        "how far the sides run on behind a scribed back",
    ),
    parameter(
        "shelf.clearance",
        "how much shorter an adjustable shelf is at each end",
    ),
    parameter(
        "shelf.setback",
        "how far a shelf stays behind the front edge of the case",
    ),
    parameter(
        "shelf.back-clearance",
        "space between an adjustable shelf and the back",
    ),
    parameter(
        "overlay",
        "how far a door or drawer front reaches over its opening on each edge",
    ),
    parameter(
        "gap",
        "between two doors of a pair, or two fronts side by side or one above the other",
    ),
    parameter(
        "reveal",
        "full-overlay or inset front to the outside of the case, or to the edge of its opening",
    ),
    parameter("door-stile.width", "face width of a door's stiles"),
    parameter("door-rail.width", "face width of a door's rails"),
    parameter("tongue", "length of the tongue at each end of a door rail"),
    parameter(
        "panel.groove",
        "depth of the groove that holds a door panel",
    ),
    parameter(
        "panel.play",
        "how much smaller a door panel is than its grooves allow, both edges together",
    ),
    parameter(
        "slide.clearance",
        "between a drawer box and its opening on each side",
    ),
    parameter(
        "slide.inside-allowance",
        "opening width less inside width of a drawer box on undermount slides",
    ),
    parameter(
        "slide.length",
        "length of the drawer slides, and of boxes made to them",
    ),
    parameter(
        "box.height-clearance",
        "how much lower a drawer box is than its opening",
    ),
    parameter(
        "box.thickness",
        "thickness of drawer box sides, front and back",
    ),
    parameter(
        "box.groove",
        "depth of the groove that holds a drawer box bottom",
    ),
    parameter(
        "box.joint",
        "how far a box front or back reaches into each box side; 0 when butted",
    ),
    parameter("box.bottom-thickness", "thickness of a drawer box bottom"),
    parameter(
        "countertop.overhang-front",
        "countertop past the front of the case",
    ),
    parameter(
        "countertop.overhang-left",
        "countertop past the left of the run",
    ),
    parameter(
        "countertop.overhang-right",
        "countertop past the right of the run",
    ),
    parameter(
        "countertop.overhang-back",
        "countertop past the back of the case",
    ),
    parameter(
        "countertop.built-up",
        "finished thickness of a built-up countertop",
    ),
    parameter(
        "countertop.sheet",
        "thickness of the sheet a countertop is built up from",
    ),
    parameter("strip.width", "width of a build-up strip"),
    parameter(
        "end-panel.beyond",
        "how far a finished end panel stands past the front of the case",
    ),
    parameter(
        "end-panel.scribe",
        "what is added to the depth of finished end panels, to be scribed to the wall",
    ),
    parameter("end-panel.thickness", "thickness of finished end panels"),
    parameter("filler.width", "width of fillers as they will stand"),
    parameter(
        "filler.scribe",
        "what is added to the width of fillers, to be scribed to the wall",
    ),
    parameter("filler.thickness", "thickness of fillers"),
    parameter("access-panel.thickness", "thickness of access panels"),
    parameter(
        "access-panel.lap",
        "how far an access panel laps over each edge of its opening",
    ),
    parameter(
        "front.thickness",
        "thickness of doors, drawer fronts and door frames",
    ),
    parameter("panel.thickness", "thickness of door panels"),
    parameter("toe-kick.thickness", "thickness of toe boards"),
    parameter(
        "band.allowance",
        "what is added to the length of an edge band, in all",
    ),
    parameter("band.front", "edge band on the front edges of case parts"),
    parameter(
        "band.door",
        "edge band on every edge of doors and drawer fronts",
    ),
    parameter("band.shelf", "edge band on the front edges of shelves"),
    parameter(
        "saw.kerf",
        "what a saw cut takes; it never changes a part, and a size off by it is told so",
    ),
    parameter(
        "saw-out.length",
        "what is added to the length of solid parts before they are cut to size",
    ),
    parameter(
        "saw-out.width",
        "what is added to the width of solid parts before they are planed",
    ),
    parameter(
        "hinge.edge",
        "edge of a door to the near edge of the hinge bore",
    ),
    parameter("hinge.bore", "diameter of the hinge bore"),
    parameter(
        "hinge.from-end",
        "end of a door to the centre of its nearest hinge bore",
    ),
    parameter(
        "plate.row",
        "front edge of the case to the row of plate holes",
    ),
    parameter("plate.spacing", "between the two holes of a hinge plate"),
    count("openings", "how many openings the drawing shows"),
    count("doors", "how many doors the drawing shows"),
    count("fronts", "how many doors share the opening"),
    count("drawers", "how many drawer fronts the drawing shows"),
];

/// What a name of an expression stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    Named(&'static Name),
    Part(PartName),
}

/// The name as it stands in the table, and what it means; `None` when no size goes
/// by it.
pub fn look_up(name: &str) -> Option<(&'static str, Meaning)> {
    static ALL: LazyLock<HashMap<String, Meaning>> = LazyLock::new(|| {
        let mut all: HashMap<String, Meaning> = HashMap::default();
        for role in Role::ALL {
            let mut keys = vec![role_key(role)];
            keys.extend(short_key(role).map(str::to_owned));
            for key in keys {
                for size in ["across", "deep", "high", "thick", "count"] {
                    if let Some(part) = size_of(role, size) {
                        all.insert(format!("{key}.{size}"), Meaning::Part(part));
                    }
                }
            }
        }
        for entry in NAMES {
            all.insert(entry.name.to_owned(), Meaning::Named(entry));
        }
        all
    });
    ALL.get_key_value(name)
        .map(|(name, meaning)| (name.as_str(), *meaning))
}

/// The entry for a name.
pub fn find(name: &str) -> Option<&'static Name> {
    match look_up(name)?.1 {
        Meaning::Named(entry) => Some(entry),
        Meaning::Part(_) => None,
    }
}

/// The word a role goes by in relations: its printed word with hyphens.
pub fn role_key(role: Role) -> String {
    role.word().replace(' ', "-")
}

/// A shorter word some roles also go by.
const fn short_key(role: Role) -> Option<&'static str> {
    match role {
        Role::AdjustableShelf => Some("adjustable-shelf"),
        Role::BoxSide => Some("box-side"),
        Role::BoxFront => Some("box-front"),
        Role::BoxBack => Some("box-back"),
        Role::BoxBottom => Some("box-bottom"),
        _ => None,
    }
}

/// The role a word in a relation means, by its printed word or its short form.
pub fn role_by_key(key: &str) -> Option<Role> {
    Role::ALL
        .into_iter()
        .find(|role| short_key(*role) == Some(key) || role_key(*role) == key)
}

/// What is said of a part: its size along an axis, or how many there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PartName {
    Size(Role, Axis),
    Count(Role),
}

fn size_of(role: Role, size: &str) -> Option<PartName> {
    let axis = match size {
        "across" => Axis::Across,
        "deep" => Axis::Deep,
        "high" => Axis::High,
        "thick" => {
            let [_, _, thick] = role.lie()?;
            thick
        }
        "count" => return Some(PartName::Count(role)),
        _ => return None,
    };
    Some(PartName::Size(role, axis))
}

/// Reads `side.high`, `door.across`, `shelf.thick`, `drawer-box.count`.
pub fn part_name(name: &str) -> Option<PartName> {
    match look_up(name)?.1 {
        Meaning::Part(part) => Some(part),
        Meaning::Named(_) => None,
    }
}

/// How a part size is written in relations.
pub fn size_key(role: Role, axis: Axis) -> String {
    format!("{}.{}", role_key(role), axis.word())
}

/// True when the name may stand in an expression.
pub fn is_known(name: &str) -> bool {
    look_up(name).is_some()
}

/// The nearest known name to one that is not known, when one is near.
pub fn nearest(name: &str) -> Option<String> {
    let parts = Role::ALL.into_iter().flat_map(|role| {
        let axes = Axis::ALL.into_iter().map(move |axis| size_key(role, axis));
        axes.chain([format!("{}.count", role_key(role))])
    });
    let known = NAMES.iter().map(|entry| entry.name.to_owned()).chain(parts);
    closest(name, known)
}

/// The most similar of some words, when it is similar enough to be meant.
pub fn closest(word: &str, known: impl IntoIterator<Item = String>) -> Option<String> {
    known
        .into_iter()
        .map(|known| (strsim::jaro_winkler(word, &known), known))
        .filter(|(score, _)| *score >= 0.8)
        .max_by(|(a, left), (b, right)| a.total_cmp(b).then_with(|| right.cmp(left)))
        .map(|(_, known)| known)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_role_has_a_key_that_reads_back() {
        for role in Role::ALL {
            assert_eq!(role_by_key(&role_key(role)), Some(role));
            let key = size_key(role, Axis::Deep);
            assert_eq!(part_name(&key), Some(PartName::Size(role, Axis::Deep)));
        }
    }

    #[test]
    fn thick_follows_how_the_part_lies() {
        assert_eq!(
            part_name("side.thick"),
            Some(PartName::Size(Role::Side, Axis::Across))
        );
        assert_eq!(
            part_name("shelf.thick"),
            Some(PartName::Size(Role::AdjustableShelf, Axis::High))
        );
        assert_eq!(part_name("slide.thick"), None);
    }

    #[test]
    fn names_are_single_and_readable_by_the_expression_reader() {
        for entry in NAMES {
            assert_eq!(part_name(entry.name), None, "{}", entry.name);
            let expr = crate::construction::expression::parse(entry.name).expect(entry.name);
            assert_eq!(expr.names(), [(entry.name, 0)]);
            let times = NAMES
                .iter()
                .filter(|other| other.name == entry.name)
                .count();
            assert_eq!(times, 1, "{}", entry.name);
        }
    }

    #[test]
    fn a_slip_finds_its_neighbour() {
        assert_eq!(nearest("interor.width"), Some("interior.width".to_owned()));
        assert_eq!(nearest("sides.high"), Some("side.high".to_owned()));
        assert_eq!(nearest("zzz"), None);
    }
}
