//! Part roles: the closed vocabulary shared by drawings, lists and relations.

use super::Axis;
use serde::{Deserialize, Serialize};

/// What a part is for. Shops write many words for each; the synonym table in
/// [`crate::cutlist`] maps them here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    Side,
    Bottom,
    Top,
    Stretcher,
    Back,
    /// Shelf fixed in a groove or on dowels.
    FixedShelf,
    /// Shelf on pins, with clearance. A bare "shelf" is this.
    AdjustableShelf,
    Divider,
    ToeKick,
    /// Front or back member of a separate base (plinth) under the case.
    BaseRail,
    /// Side member or cross member of a separate base (plinth).
    BaseEnd,
    Stile,
    Rail,
    MidStile,
    Door,
    DoorStile,
    DoorRail,
    DoorPanel,
    DrawerFront,
    /// A drawer box ordered or listed as one thing.
    DrawerBox,
    BoxSide,
    BoxFront,
    BoxBack,
    BoxBottom,
    Filler,
    EndPanel,
    Countertop,
    BuildUpStrip,
    EdgeBand,
    AccessPanel,
    Post,
    Cleat,
    /// Rail tenoned between posts along the front or the back.
    SideRail,
    /// Rail tenoned between posts at an end.
    EndRail,
    Slide,
    /// One board that closes the whole front.
    FrontPanel,
    /// Board on edge that stands on the top along the rear.
    Upstand,
}

/// Roles that are checked by the same kind of relation and share a tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    Case,
    FaceFrame,
    Front,
    DrawerBox,
    Top,
    Trim,
}

impl Role {
    /// Every role, in a fixed order.
    pub const ALL: [Role; 37] = [
        Role::Side,
        Role::Bottom,
        Role::Top,
        Role::Stretcher,
        Role::Back,
        Role::FixedShelf,
        Role::AdjustableShelf,
        Role::Divider,
        Role::ToeKick,
        Role::BaseRail,
        Role::BaseEnd,
        Role::Stile,
        Role::Rail,
        Role::MidStile,
        Role::Door,
        Role::DoorStile,
        Role::DoorRail,
        Role::DoorPanel,
        Role::DrawerFront,
        Role::DrawerBox,
        Role::BoxSide,
        Role::BoxFront,
        Role::BoxBack,
        Role::BoxBottom,
        Role::Filler,
        Role::EndPanel,
        Role::Countertop,
        Role::BuildUpStrip,
        Role::EdgeBand,
        Role::AccessPanel,
        Role::Post,
        Role::Cleat,
        Role::SideRail,
        Role::EndRail,
        Role::Slide,
        Role::FrontPanel,
        Role::Upstand,
    ];

    /// The word printed for this role, singular, lower case.
    pub fn word(self) -> &'static str {
        match self {
            Role::Side => "side",
            Role::Bottom => "bottom",
            Role::Top => "top",
            Role::Stretcher => "stretcher",
            Role::Back => "back",
            Role::FixedShelf => "fixed shelf",
            Role::AdjustableShelf => "shelf",
            Role::Divider => "divider",
            Role::ToeKick => "toe kick",
            Role::BaseRail => "base rail",
            Role::BaseEnd => "base end",
            Role::Stile => "stile",
            Role::Rail => "rail",
            Role::MidStile => "mid-stile",
            Role::Door => "door",
            Role::DoorStile => "door stile",
            Role::DoorRail => "door rail",
            Role::DoorPanel => "door panel",
            Role::DrawerFront => "drawer front",
            Role::DrawerBox => "drawer box",
            Role::BoxSide => "drawer box side",
            Role::BoxFront => "drawer box front",
            Role::BoxBack => "drawer box back",
            Role::BoxBottom => "drawer box bottom",
            Role::Filler => "filler",
            Role::EndPanel => "end panel",
            Role::Countertop => "countertop",
            Role::BuildUpStrip => "build-up strip",
            Role::EdgeBand => "edge band",
            Role::AccessPanel => "access panel",
            Role::Post => "post",
            Role::Cleat => "cleat",
            Role::SideRail => "side rail",
            Role::EndRail => "end rail",
            Role::Slide => "slide",
            Role::FrontPanel => "front panel",
            Role::Upstand => "upstand",
        }
    }

    /// "a side", "an end panel".
    pub fn one(self) -> String {
        let word = self.word();
        let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
            "an"
        } else {
            "a"
        };
        format!("{article} {word}")
    }

    /// The family this role is checked with.
    pub fn family(self) -> Family {
        match self {
            Role::Stile | Role::Rail | Role::MidStile => Family::FaceFrame,
            Role::Door
            | Role::DoorStile
            | Role::DoorRail
            | Role::DoorPanel
            | Role::DrawerFront
            | Role::AccessPanel
            | Role::FrontPanel => Family::Front,
            Role::DrawerBox
            | Role::BoxSide
            | Role::BoxFront
            | Role::BoxBack
            | Role::BoxBottom
            | Role::Slide => Family::DrawerBox,
            Role::Countertop | Role::BuildUpStrip | Role::EdgeBand | Role::Upstand => Family::Top,
            Role::Filler | Role::EndPanel => Family::Trim,
            _ => Family::Case,
        }
    }

    /// How the part lies in its cabinet: the axes of its length, its width and
    /// its thickness, where the trade agrees on them. Shops write the first two
    /// in either order, so this is a default and not a rule.
    pub const fn lie(self) -> Option<[Axis; 3]> {
        use Axis::{Across, Deep, High};
        Some(match self {
            Role::Side | Role::Divider | Role::EndPanel => [High, Deep, Across],
            Role::Bottom
            | Role::Top
            | Role::FixedShelf
            | Role::AdjustableShelf
            | Role::Countertop
            | Role::BoxBottom => [Across, Deep, High],
            // A stretcher lies flat or stands on edge; flat is the default.
            Role::Stretcher | Role::BuildUpStrip => [Across, Deep, High],
            Role::Back | Role::Door | Role::DoorPanel | Role::AccessPanel => [High, Across, Deep],
            Role::ToeKick
            | Role::BaseRail
            | Role::Rail
            | Role::DoorRail
            | Role::DrawerFront
            | Role::BoxFront
            | Role::BoxBack
            | Role::Cleat
            | Role::FrontPanel
            | Role::Upstand
            | Role::SideRail => [Across, High, Deep],
            Role::Stile | Role::MidStile | Role::DoorStile | Role::Post | Role::Filler => {
                [High, Across, Deep]
            }
            Role::BaseEnd | Role::BoxSide | Role::EndRail => [Deep, High, Across],
            Role::DrawerBox => [Deep, Across, High],
            Role::EdgeBand | Role::Slide => return None,
        })
    }
}
