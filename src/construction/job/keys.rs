//! Every section and key of the job file, with what it means. One source for
//! the reader, for the reference and for what `dryfit init` writes.

/// What a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    Text,
    /// A size, or arithmetic on sizes.
    Size,
    Unit,
    Scale,
    /// One of these words.
    OneOf(&'static [&'static str]),
    Texts,
    /// Left, bottom, right, top.
    Region,
}

#[derive(Clone, Copy, Debug)]
pub struct Key {
    pub key: &'static str,
    pub takes: Takes,
    pub meaning: &'static str,
    /// As it would stand in the file.
    pub example: &'static str,
}

#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// As it stands in the file, such as `[job]`.
    pub heading: &'static str,
    pub meaning: &'static str,
    pub keys: &'static [Key],
    /// What the section takes besides its keys.
    pub further: &'static str,
}

const fn key(key: &'static str, takes: Takes, meaning: &'static str, example: &'static str) -> Key {
    Key {
        key,
        takes,
        meaning,
        example,
    }
}

pub const NOTATIONS: &[&str] = &["fractions", "decimals"];
pub const KINDS: &[&str] = &["front", "end", "section", "plan", "flat-part"];
pub const QUANTITIES: &[&str] = &["cabinet", "job"];
pub const SIZE_KINDS: &[&str] = &["finished", "cut"];
pub const STYLES: &[&str] = &["face-frame", "frameless"];
pub const SHARED: &[&str] = &["height", "depth", "toe"];
pub const USES: &[&str] = &["base", "wall", "tall", "standing"];
pub const JOB: Section = Section {
    heading: "[job]",
    meaning: "the job as a whole",
    keys: &[
        key(
            "name",
            Takes::Text,
            "name shown in reports",
            "\"Glaze room\"",
        ),
        key(
            "units",
            Takes::Unit,
            "unit of numbers without one in this file, and of printed sizes: in, ft, mm, cm, m",
            "\"in\"",
        ),
        key(
            "notation",
            Takes::OneOf(NOTATIONS),
            "how inches are printed",
            "\"fractions\"",
        ),
    ],
    further: "",
};

pub const TOLERANCE: Section = Section {
    heading: "[tolerance]",
    meaning: "the largest difference that still passes, inclusive",
    keys: &[
        key(
            "default",
            Takes::Size,
            "for every part; 1/32 in when not stated",
            "\"1/32 in\"",
        ),
        key("case", Takes::Size, "for case parts", "\"1/32 in\""),
        key(
            "face-frame",
            Takes::Size,
            "for stiles, rails and mid-stiles",
            "\"1/32 in\"",
        ),
        key(
            "fronts",
            Takes::Size,
            "for doors, drawer fronts and their parts",
            "\"1/32 in\"",
        ),
        key(
            "drawer-boxes",
            Takes::Size,
            "for drawer boxes and their parts",
            "\"1/32 in\"",
        ),
        key(
            "countertops",
            Takes::Size,
            "for countertops and build-up strips",
            "\"1/16 in\"",
        ),
        key(
            "trim",
            Takes::Size,
            "for fillers and end panels",
            "\"1/16 in\"",
        ),
        key(
            "class",
            Takes::OneOf(&["f", "m", "c", "v"]),
            "ISO 2768-1 class, by size, where no family above states a tolerance; \
             that standard is written for metal and sheet metal, choosing it is up to the shop",
            "\"m\"",
        ),
    ],
    further: "",
};

pub const DRAWING: Section = Section {
    heading: "[drawing]",
    meaning: "what the drawings do not say themselves",
    keys: &[
        key("units", Takes::Unit, "what one drawing unit is", "\"in\""),
        key(
            "scale",
            Takes::Scale,
            "true length over drawn length: 1:12, or 1 1/2 in = 1 ft",
            "\"1:12\"",
        ),
    ],
    further: "",
};

pub const VIEW: Section = Section {
    heading: "[[view]]",
    meaning: "a view that is not recognised by itself, once for each",
    keys: &[
        key(
            "file",
            Takes::Text,
            "drawing the view is in",
            "\"sheet-2.dxf\"",
        ),
        key(
            "region",
            Takes::Region,
            "left, bottom, right and top of it, in drawing units",
            "[0, 0, 48, 40]",
        ),
        key(
            "title",
            Takes::Text,
            "text, block or layer it is known by",
            "\"B2 FRONT\"",
        ),
        key("kind", Takes::OneOf(KINDS), "what it shows", "\"front\""),
        key(
            "cabinets",
            Takes::Texts,
            "cabinets it shows, left to right",
            "[\"B2\"]",
        ),
        key("scale", Takes::Scale, "its own scale", "\"1:12\""),
        key("units", Takes::Unit, "its own unit", "\"in\""),
    ],
    further: "",
};

pub const LIST: Section = Section {
    heading: "[list]",
    meaning: "how the cut list is read",
    keys: &[
        key("units", Takes::Unit, "unit of its plain numbers", "\"in\""),
        key(
            "sheet",
            Takes::Text,
            "sheet of the workbook",
            "\"Cut list\"",
        ),
        key(
            "quantity",
            Takes::OneOf(QUANTITIES),
            "what a row's quantity counts: parts for one cabinet, or for the whole job",
            "\"cabinet\"",
        ),
        key(
            "sizes",
            Takes::OneOf(SIZE_KINDS),
            "finished sizes, or cut sizes before edge band",
            "\"finished\"",
        ),
    ],
    further: "",
};

pub const COLUMNS: Section = Section {
    heading: "[list.columns]",
    meaning: "column heading, or 1-based number, for a field; several in brackets",
    keys: &[],
    further: "the fields of a list",
};

pub const WORDS: Section = Section {
    heading: "[list.words]",
    meaning: "further words for parts, each with the role it means",
    keys: &[],
    further: "any word, such as `\"gable\" = \"side\"`",
};

pub const CONSTRUCTION: Section = Section {
    heading: "[construction]",
    meaning: "how the shop puts cabinets together",
    keys: &[key(
        "preset",
        Takes::Text,
        "a named bundle of the answers below; it states no sizes",
        "\"face-frame-grooved\"",
    )],
    further: "the choices below",
};

pub const SIZES: Section = Section {
    heading: "[sizes]",
    meaning: "the shop's own sizes, each a size or arithmetic on sizes",
    keys: &[],
    further: "the stated sizes below",
};

pub const RELATIONS: Section = Section {
    heading: "[relations]",
    meaning: "further relations, each a part's size and the arithmetic that gives it; \
              they go before those of the choices",
    keys: &[],
    further: "a part and a direction (across, deep, high, thick), \
              such as `bottom.across = \"interior.width + 2 * groove.depth\"`",
};

pub const CABINET: Section = Section {
    heading: "[cabinet.NAME]",
    meaning: "what holds for one cabinet in place of the above",
    keys: &[
        key("style", Takes::OneOf(STYLES), "its style", "\"frameless\""),
        key(
            "same-as",
            Takes::Texts,
            "further cabinets built like it",
            "[\"B4\"]",
        ),
        key(
            "use",
            Takes::OneOf(USES),
            "what it is: base, hung on the wall, tall, or standing on another",
            "\"wall\"",
        ),
    ],
    further: "sections of its own, [cabinet.NAME.construction], [cabinet.NAME.sizes] and \
              [cabinet.NAME.relations], with what those of the job take",
};

pub const RUN: Section = Section {
    heading: "[[run]]",
    meaning: "cabinets side by side, once for each run",
    keys: &[
        key(
            "name",
            Takes::Text,
            "name shown in reports",
            "\"north wall\"",
        ),
        key(
            "cabinets",
            Takes::Texts,
            "its cabinets, left to right",
            "[\"B1\", \"B2\"]",
        ),
        key(
            "wall",
            Takes::Size,
            "length of the wall the run must fill",
            "\"120 in\"",
        ),
        key(
            "between",
            Takes::Size,
            "fillers, end panels and gaps in it, all together",
            "\"3 in\"",
        ),
        key(
            "share",
            Takes::Texts,
            "what neighbours must have alike: height, depth, toe",
            "[\"height\", \"depth\", \"toe\"]",
        ),
    ],
    further: "",
};

pub const STACK: Section = Section {
    heading: "[[stack]]",
    meaning: "cabinets standing on one another, once for each",
    keys: &[
        key(
            "name",
            Takes::Text,
            "name shown in reports",
            "\"store wall\"",
        ),
        key(
            "cabinets",
            Takes::Texts,
            "its cabinets, bottom to top",
            "[\"B1\", \"H1\"]",
        ),
        key(
            "height",
            Takes::Size,
            "the height they must reach",
            "\"96 in\"",
        ),
        key(
            "between",
            Takes::Size,
            "countertops and spaces between them, all together",
            "\"1 1/2 in\"",
        ),
    ],
    further: "",
};

pub const ACCESSIBILITY: Section = Section {
    heading: "[accessibility]",
    meaning: "figures of the 2010 ADA Standards to hold sizes against, only when asked; \
              state and local rules may differ",
    keys: &[
        key(
            "work-surface",
            Takes::Texts,
            "cabinets under a kitchen work surface (804.3.2: at most 34 in high)",
            "[\"B2\"]",
        ),
        key(
            "sink",
            Takes::Texts,
            "cabinets under a sink or lavatory (606.3: rim or counter at most 34 in high)",
            "[\"B2\"]",
        ),
        key(
            "dining-surface",
            Takes::Texts,
            "cabinets under a dining or work surface (902.3: 28 to 34 in high)",
            "[\"B2\"]",
        ),
        key(
            "service-counter",
            Takes::Texts,
            "cabinets under a service counter (904.4: at most 36 in high, 36 in long, \
             or 30 in with knee and toe space)",
            "[\"B2\"]",
        ),
        key(
            "knee-space",
            Takes::Texts,
            "cabinets with an open knee space (306.3: 27 in high, 30 in wide, 11 in deep at 9 in, \
             8 in deep at 27 in)",
            "[\"B2\"]",
        ),
        key(
            "counter-thickness",
            Takes::Size,
            "what lies on the cabinets, where it is not drawn",
            "\"1 1/2 in\"",
        ),
    ],
    further: "",
};

/// In the order of the reference.
pub const SECTIONS: &[Section] = &[
    JOB,
    TOLERANCE,
    DRAWING,
    VIEW,
    LIST,
    COLUMNS,
    WORDS,
    CONSTRUCTION,
    SIZES,
    RELATIONS,
    CABINET,
    RUN,
    STACK,
    ACCESSIBILITY,
];
