//! How a shop puts a cabinet together: each choice has a few answers, and each
//! answer brings its relations. A preset is a named bundle of answers.

/// One question about the construction and the answers it may have.
#[derive(Clone, Copy, Debug)]
pub struct Choice {
    pub key: &'static str,
    pub meaning: &'static str,
    /// Answer and what it means.
    pub answers: &'static [(&'static str, &'static str)],
}

/// A named bundle of answers. It states no sizes: those are the shop's own.
#[derive(Clone, Copy, Debug)]
pub struct Preset {
    pub name: &'static str,
    pub meaning: &'static str,
    pub answers: &'static [(&'static str, &'static str)],
}

pub const CHOICES: &[Choice] = &[
    Choice {
        key: "side",
        meaning: "what the sides stand on",
        answers: &[
            ("to-floor", "sides carry the toe kick, or there is none"),
            ("on-base", "the case stands on a separate base"),
        ],
    },
    Choice {
        key: "bottom",
        meaning: "how the bottom meets the sides",
        answers: &[
            ("between", "butted between the sides"),
            (
                "grooved",
                "between the sides, in grooves `groove.depth` deep",
            ),
            ("under", "under the sides, as wide as the case"),
        ],
    },
    Choice {
        key: "top",
        meaning: "how the top meets the sides",
        answers: &[
            ("between", "butted between the sides"),
            (
                "grooved",
                "between the sides, in grooves `groove.depth` deep",
            ),
            ("over", "over the sides, as wide as the case"),
            ("none", "no top: stretchers carry the countertop"),
        ],
    },
    Choice {
        key: "stretcher",
        meaning: "how stretchers meet the sides",
        answers: &[
            ("between", "butted between the sides"),
            (
                "grooved",
                "between the sides, in grooves `groove.depth` deep",
            ),
            ("over", "over the sides, as long as the case is wide"),
        ],
    },
    Choice {
        key: "divider",
        meaning: "how dividers meet bottom and top",
        answers: &[
            ("between", "butted between bottom and top"),
            ("grooved", "in grooves `groove.depth` deep in both"),
        ],
    },
    Choice {
        key: "fixed-shelf",
        meaning: "how fixed shelves meet the sides",
        answers: &[
            ("between", "butted between the sides"),
            ("grooved", "in grooves `groove.depth` deep"),
        ],
    },
    Choice {
        key: "back",
        meaning: "how the back is held",
        answers: &[
            (
                "rabbet",
                "in a rabbet `rabbet.width` wide in each side, behind bottom and top",
            ),
            (
                "captured",
                "in grooves `back.groove` deep in sides, bottom and top",
            ),
            (
                "applied",
                "on the rear edges of the case, as wide as the case",
            ),
            (
                "scribed",
                "as in a rabbet, with the sides running on `back.scribe` behind it, to be scribed \
                 to the wall",
            ),
        ],
    },
    Choice {
        key: "back-end",
        meaning: "where a back that is not captured ends below",
        answers: &[
            ("bottom", "at the underside of the bottom"),
            ("case", "at the lower end of the sides"),
            (
                "toe",
                "at the underside of the bottom over a toe space, else at the lower end of the sides",
            ),
        ],
    },
    Choice {
        key: "toe-kick",
        meaning: "where the toe board stands",
        answers: &[
            (
                "across",
                "in front of both sides, as long as the case is wide",
            ),
            ("between", "between the sides"),
        ],
    },
    Choice {
        key: "frame",
        meaning: "how face-frame rails meet the stiles",
        answers: &[
            ("butted", "butted between the stiles"),
            ("tenoned", "with a tenon `rail.tenon` long at each end"),
        ],
    },
    Choice {
        key: "front",
        meaning: "how doors and drawer fronts sit on their openings",
        answers: &[
            ("overlay", "over the opening by `overlay` on every edge"),
            ("inset", "in the opening, `reveal` smaller on every edge"),
            (
                "full-overlay",
                "over the case to `reveal` from its outside, `gap` between fronts",
            ),
        ],
    },
    Choice {
        key: "door-frame",
        meaning: "how framed doors are made",
        answers: &[
            (
                "cope-and-stick",
                "rails between stiles with a tongue `tongue` long",
            ),
            (
                "mitred",
                "mitred at the corners, rails as long as the door is wide",
            ),
        ],
    },
    Choice {
        key: "drawer-box",
        meaning: "how drawer boxes fit their openings",
        answers: &[
            ("side-mount", "`slide.clearance` on each side"),
            (
                "undermount",
                "inside width is the opening less `slide.inside-allowance`",
            ),
        ],
    },
    Choice {
        key: "box",
        meaning: "how drawer box corners are made",
        answers: &[
            ("butted", "front and back butted between the sides"),
            ("jointed", "front and back reach `box.joint` into each side"),
        ],
    },
    Choice {
        key: "box-bottom",
        meaning: "how drawer box bottoms are held",
        answers: &[
            ("grooved", "in grooves `box.groove` deep on all four sides"),
            ("under", "under the box, as wide and deep as the box"),
        ],
    },
    Choice {
        key: "base",
        meaning: "how a separate base is made",
        answers: &[
            (
                "rails-through",
                "front and back rails run through, ends between them",
            ),
            ("ends-through", "ends run through, rails between them"),
        ],
    },
    Choice {
        key: "end-panel",
        meaning: "how high finished end panels are",
        answers: &[
            ("to-floor", "as high as the cabinet"),
            ("above-toe", "down to the toe space"),
        ],
    },
    Choice {
        key: "band-edges",
        meaning: "which edges of a countertop carry edge band",
        answers: &[
            ("front", "the front edge"),
            ("front-and-ends", "the front edge and both ends"),
            ("all-round", "all four edges"),
        ],
    },
    Choice {
        key: "strips",
        meaning: "how the build-up strips under a countertop meet",
        answers: &[
            (
                "front-and-ends",
                "one along the front, one at each end behind it",
            ),
            (
                "mitred-front",
                "along the front and the ends, mitred at the corners",
            ),
            (
                "all-round",
                "front and back run through, the ends between them",
            ),
            (
                "ends-through",
                "the ends run through, front and back between them",
            ),
            ("mitred", "all round, mitred at the corners"),
        ],
    },
    Choice {
        key: "filler",
        meaning: "how high fillers are",
        answers: &[
            ("to-floor", "as high as the cabinet"),
            ("above-toe", "down to the toe space"),
        ],
    },
];

pub const PRESETS: [Preset; 6] = [
    Preset {
        name: "face-frame-grooved",
        meaning: "face frame; bottom and fixed shelves in grooves, back in a rabbet, \
                  stretchers butted, overlay fronts, side-mount slides",
        answers: &[
            ("side", "to-floor"),
            ("bottom", "grooved"),
            ("top", "grooved"),
            ("stretcher", "between"),
            ("divider", "grooved"),
            ("fixed-shelf", "grooved"),
            ("back", "rabbet"),
            ("back-end", "toe"),
            ("toe-kick", "across"),
            ("frame", "butted"),
            ("front", "overlay"),
            ("door-frame", "cope-and-stick"),
            ("drawer-box", "side-mount"),
            ("box", "butted"),
            ("box-bottom", "grooved"),
            ("end-panel", "to-floor"),
            ("filler", "above-toe"),
        ],
    },
    Preset {
        name: "face-frame-butted",
        meaning: "face frame; case parts butted between the sides, back applied, \
                  overlay fronts, side-mount slides",
        answers: &[
            ("side", "to-floor"),
            ("bottom", "between"),
            ("top", "between"),
            ("stretcher", "between"),
            ("divider", "between"),
            ("fixed-shelf", "between"),
            ("back", "applied"),
            ("back-end", "toe"),
            ("toe-kick", "across"),
            ("frame", "butted"),
            ("front", "overlay"),
            ("door-frame", "cope-and-stick"),
            ("drawer-box", "side-mount"),
            ("box", "butted"),
            ("box-bottom", "grooved"),
            ("end-panel", "to-floor"),
            ("filler", "above-toe"),
        ],
    },
    Preset {
        name: "face-frame-inset",
        meaning: "as face-frame-grooved, with doors and drawer fronts inset in the frame",
        answers: &[
            ("side", "to-floor"),
            ("bottom", "grooved"),
            ("top", "grooved"),
            ("stretcher", "between"),
            ("divider", "grooved"),
            ("fixed-shelf", "grooved"),
            ("back", "rabbet"),
            ("back-end", "toe"),
            ("toe-kick", "across"),
            ("frame", "butted"),
            ("front", "inset"),
            ("door-frame", "cope-and-stick"),
            ("drawer-box", "side-mount"),
            ("box", "butted"),
            ("box-bottom", "grooved"),
            ("end-panel", "to-floor"),
            ("filler", "above-toe"),
        ],
    },
    Preset {
        name: "frameless-captured",
        meaning: "frameless; bottom and top butted between the sides, back captured in grooves, \
                  full-overlay fronts, undermount slides",
        answers: &[
            ("side", "to-floor"),
            ("bottom", "between"),
            ("top", "between"),
            ("stretcher", "between"),
            ("divider", "between"),
            ("fixed-shelf", "between"),
            ("back", "captured"),
            ("toe-kick", "between"),
            ("front", "full-overlay"),
            ("drawer-box", "undermount"),
            ("box", "butted"),
            ("box-bottom", "grooved"),
            ("end-panel", "to-floor"),
            ("filler", "above-toe"),
        ],
    },
    Preset {
        name: "frameless-on-base",
        meaning: "as frameless-captured, standing on a separate base",
        answers: &[
            ("side", "on-base"),
            ("bottom", "between"),
            ("top", "between"),
            ("stretcher", "between"),
            ("divider", "between"),
            ("fixed-shelf", "between"),
            ("back", "captured"),
            ("base", "rails-through"),
            ("front", "full-overlay"),
            ("drawer-box", "undermount"),
            ("box", "butted"),
            ("box-bottom", "grooved"),
            ("end-panel", "to-floor"),
            ("filler", "above-toe"),
        ],
    },
    Preset {
        name: "frameless-applied",
        meaning: "frameless; case parts butted between the sides, back applied over the rear, \
                  full-overlay fronts, undermount slides",
        answers: &[
            ("side", "to-floor"),
            ("bottom", "between"),
            ("top", "between"),
            ("stretcher", "between"),
            ("divider", "between"),
            ("fixed-shelf", "between"),
            ("back", "applied"),
            ("back-end", "toe"),
            ("toe-kick", "between"),
            ("front", "full-overlay"),
            ("drawer-box", "undermount"),
            ("box", "butted"),
            ("box-bottom", "grooved"),
            ("end-panel", "to-floor"),
            ("filler", "above-toe"),
        ],
    },
];

pub fn choice(key: &str) -> Option<&'static Choice> {
    CHOICES.iter().find(|choice| choice.key == key)
}

pub fn preset(name: &str) -> Option<&'static Preset> {
    static NAMED: [Preset; 6] = PRESETS;
    NAMED.iter().find(|preset| preset.name == name)
}

impl Choice {
    /// The answer as it stands in the table.
    pub fn answer(&self, word: &str) -> Option<&'static str> {
        self.answers
            .iter()
            .map(|(answer, _)| *answer)
            .find(|answer| *answer == word)
    }
}

impl Preset {
    pub fn answer(&self, key: &str) -> Option<&'static str> {
        self.answers
            .iter()
            .find(|(choice, _)| *choice == key)
            .map(|(_, answer)| *answer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn presets_answer_only_known_questions_with_known_answers() {
        for preset in PRESETS {
            for (key, answer) in preset.answers {
                let choice = choice(key).expect(key);
                assert!(choice.answer(answer).is_some(), "{key} = {answer}");
            }
        }
    }

    #[test]
    fn words_in_meanings_are_known_names() {
        for choice in CHOICES {
            for (_, meaning) in choice.answers {
                for name in meaning.split('`').skip(1).step_by(2) {
                    assert!(
                        crate::construction::names::find(name).is_some(),
                        "{name} in {}",
                        choice.key
                    );
                }
            }
        }
    }
}
