//! How large a difference still passes.

use crate::length::Length;
use crate::trade::{Family, Role};
use std::collections::BTreeMap;

/// A general tolerance class for linear sizes (ISO 2768-1, table 1).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    Fine,
    Medium,
    Coarse,
    VeryCoarse,
}

/// Printed wherever a class decides.
pub const CLASS_NOTE: &str = "ISO 2768-1 is written for metal removal and sheet metal; \
     the shop chose it here as its tolerance class";

/// Upper end of each range in millimetres, inclusive.
const RANGES: [i64; 8] = [3, 6, 30, 120, 400, 1000, 2000, 4000];

impl Class {
    pub const ALL: [Class; 4] = [Class::Fine, Class::Medium, Class::Coarse, Class::VeryCoarse];

    /// The letter a title block writes.
    pub const fn letter(self) -> &'static str {
        match self {
            Class::Fine => "f",
            Class::Medium => "m",
            Class::Coarse => "c",
            Class::VeryCoarse => "v",
        }
    }

    /// `m`, `ISO 2768-m`, `iso 2768 m`.
    pub fn from_text(text: &str) -> Option<Class> {
        let text = text.trim().to_ascii_lowercase();
        let letter = text
            .strip_prefix("iso")
            .map(|rest| rest.trim_start_matches([' ', '-']))
            .and_then(|rest| rest.strip_prefix("2768"))
            .map(|rest| rest.trim_start_matches("-1").trim_start_matches([' ', '-']))
            .unwrap_or(&text);
        Class::ALL
            .into_iter()
            .find(|class| class.letter() == letter)
    }

    /// Hundredths of a millimetre for each range; zero where the class has none.
    /// Published tables part on class c below 6 mm, so it has none there either.
    const fn hundredths(self) -> [i64; 8] {
        match self {
            Class::Fine => [5, 5, 10, 15, 20, 30, 50, 0],
            Class::Medium => [10, 10, 20, 30, 50, 80, 120, 200],
            Class::Coarse => [0, 0, 50, 80, 120, 200, 300, 400],
            Class::VeryCoarse => [0, 50, 100, 150, 250, 400, 600, 800],
        }
    }

    /// Permitted deviation for a size, to either side; `None` where the class
    /// gives none.
    pub fn deviation(self, size: Length) -> Option<Length> {
        // Below 0.5 mm the deviation stands with the size itself.
        if size.ticks() * 2 < Length::TICKS_PER_MM {
            return None;
        }
        let range = RANGES
            .iter()
            .position(|upper| size.ticks() <= upper * Length::TICKS_PER_MM)?;
        let hundredths = self.hundredths().get(range).copied()?;
        (hundredths > 0).then(|| Length::from_ticks(hundredths * Length::TICKS_PER_MM / 100))
    }
}

/// The tolerance that decided, and where it came from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Allowed {
    /// Largest difference that still passes, inclusive.
    pub value: Length,
    /// "shop tolerance", "tolerance for doors and fronts", "ISO 2768-m".
    pub by: String,
}

/// The tolerances of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tolerances {
    pub general: Length,
    pub families: BTreeMap<Family, Length>,
    pub class: Option<Class>,
}

impl Default for Tolerances {
    /// 1/32 in: honest rounding to 1/16 in passes.
    fn default() -> Self {
        Tolerances {
            general: Length::from_ticks(Length::TICKS_PER_INCH / 32),
            families: BTreeMap::new(),
            class: None,
        }
    }
}

impl Tolerances {
    /// For a part of this role and, where a class is chosen, of this size.
    pub fn at(&self, role: Option<Role>, size: Option<Length>) -> Allowed {
        if let Some((family, value)) =
            role.and_then(|role| self.families.get_key_value(&role.family()))
        {
            return Allowed {
                value: *value,
                by: format!("tolerance for {}", family_words(*family)),
            };
        }
        if let (Some(class), Some(size)) = (self.class, size)
            && let Some(value) = class.deviation(size)
        {
            return Allowed {
                value,
                by: format!("ISO 2768-{}", class.letter()),
            };
        }
        Allowed {
            value: self.general,
            by: "shop tolerance".to_owned(),
        }
    }
}

/// The key a family goes by in the job file.
pub const fn family_key(family: Family) -> &'static str {
    match family {
        Family::Case => "case",
        Family::FaceFrame => "face-frame",
        Family::Front => "fronts",
        Family::DrawerBox => "drawer-boxes",
        Family::Top => "countertops",
        Family::Trim => "trim",
    }
}

pub const FAMILIES: [Family; 6] = [
    Family::Case,
    Family::FaceFrame,
    Family::Front,
    Family::DrawerBox,
    Family::Top,
    Family::Trim,
];

const fn family_words(family: Family) -> &'static str {
    match family {
        Family::Case => "case parts",
        Family::FaceFrame => "face-frame parts",
        Family::Front => "doors and drawer fronts",
        Family::DrawerBox => "drawer boxes",
        Family::Top => "countertops",
        Family::Trim => "fillers and end panels",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(tenths: i64) -> Length {
        Length::from_ticks(tenths * Length::TICKS_PER_MM / 10)
    }

    /// ISO 2768-1:1989, table 1, permissible deviations for linear dimensions;
    /// upper ends of the ranges are inclusive.
    #[test]
    fn class_boundaries() {
        let cases = [
            (Class::Medium, 6000, Some(8)),
            (Class::Medium, 7200, Some(8)),
            (Class::Medium, 10_000, Some(8)),
            (Class::Medium, 10_001, Some(12)),
            (Class::Medium, 3200, Some(5)),
            (Class::Medium, 1200, Some(3)),
            (Class::Medium, 1201, Some(5)),
            (Class::Medium, 180, Some(2)),
            (Class::Coarse, 24_000, Some(40)),
            (Class::Fine, 20_000, Some(5)),
            (Class::Fine, 20_001, None),
            (Class::VeryCoarse, 30, None),
            (Class::Medium, 40_000, Some(20)),
            (Class::Medium, 40_001, None),
            (Class::Medium, 4, None),
            (Class::Coarse, 50, None),
        ];
        for (class, size, tenths) in cases {
            assert_eq!(
                class.deviation(mm(size)),
                tenths.map(mm),
                "{class:?} {size}"
            );
        }
    }

    #[test]
    fn a_class_gives_way_to_a_family_and_falls_back_to_the_shop_tolerance() {
        let mut tolerances = Tolerances {
            class: Class::from_text("ISO 2768-m"),
            ..Tolerances::default()
        };
        let side = tolerances.at(Some(Role::Side), Some(mm(7200)));
        assert_eq!((side.value, &*side.by), (mm(8), "ISO 2768-m"));
        let long = tolerances.at(Some(Role::Side), Some(mm(50_000)));
        assert_eq!(
            (long.value, &*long.by),
            (tolerances.general, "shop tolerance")
        );
        tolerances.families.insert(Family::Front, mm(5));
        let door = tolerances.at(Some(Role::Door), Some(mm(7200)));
        assert_eq!(door.by, "tolerance for doors and drawer fronts");
        assert_eq!(door.value, mm(5));
    }

    #[test]
    fn class_is_read_as_title_blocks_write_it() {
        for text in ["m", "M", "ISO 2768-m", "iso 2768 m", "ISO 2768-1 m"] {
            assert_eq!(Class::from_text(text), Some(Class::Medium), "{text}");
        }
        assert_eq!(Class::from_text("x"), None);
    }
}
