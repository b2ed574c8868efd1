//! Cabinets of many kinds from parameters, with what is true of them.

use super::model::{Box3, Part};
use crate::trade::Role;

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Head {
    /// A top between the sides, flush with them.
    Top,
    /// A top between the sides, its underside level with the top rail's lower edge.
    LowTop,
    /// A top lying over the sides.
    Over,
    /// Two lying stretchers.
    Flat,
    /// Two standing stretchers.
    Edge,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Back {
    None,
    /// In a rabbet so deep (into the side).
    Rabbet(f64),
    /// In grooves so deep, this far in from the rear, this much play at each edge.
    Groove(f64, f64, f64),
    /// Nailed on from behind.
    Applied,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Toe {
    None,
    /// High, deep (from the front edge of the case).
    Notch(f64, f64),
    /// A base of its own: high, standing back.
    Base(f64, f64),
    /// Sides down to the floor without a notch, a board between them: high, standing back.
    Straight(f64, f64),
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    pub thick: f64,
    pub stile: f64,
    pub rail: f64,
    pub overhang: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fronts {
    None,
    /// Doors over all openings: how many leaves in the lowest.
    Doors(u32),
}

#[derive(Clone, Debug, PartialEq)]
pub struct Cabinet {
    pub w: f64,
    pub h: f64,
    pub d: f64,
    pub t: f64,
    pub frame: Option<Frame>,
    pub toe: Toe,
    pub toe_board: Option<f64>,
    pub joint: f64,
    pub head: Head,
    pub stretcher: f64,
    pub back: Back,
    pub back_t: f64,
    /// Undersides above the top of the bottom, as shares of the interior height.
    pub shelves: Vec<f64>,
    pub shelf_play: f64,
    pub shelf_setback: f64,
    pub divider: bool,
    /// Heights of drawer openings from the top down; the rest is one more opening.
    pub drawers: Vec<f64>,
    pub fronts: Fronts,
    pub front_t: f64,
    pub overlay: f64,
    pub reveal: f64,
    pub gap: f64,
    /// Grooves and rabbets are cut into the boards, as a modeller shows them;
    /// else boards just reach into each other.
    pub cut: bool,
    /// Thick, overhang in front, overhang at the ends.
    pub counter: Option<(f64, f64, f64)>,
}

/// Cuts into sides, bottom and top what other boards take up in them.
fn joints(parts: &mut [Part], back: Back) {
    let groove = match back {
        Back::Groove(_, _, play) => Some(play),
        Back::Rabbet(_) => Some(0.0),
        _ => None,
    };
    let taken: Vec<(Role, [[f64; 2]; 3])> = parts
        .iter()
        .filter(|p| {
            matches!(
                p.role,
                Role::Bottom | Role::Top | Role::Back | Role::FixedShelf
            )
        })
        .map(|p| (p.role, [p.range(0), p.range(1), p.range(2)]))
        .collect();
    for (role, [mut x, y, mut z]) in taken {
        if role == Role::Back {
            let Some(play) = groove else { continue };
            x = [x[0] - play, x[1] + play];
            z = [z[0] - play, z[1] + play];
        }
        for part in parts.iter_mut() {
            let into = match part.role {
                Role::Side => true,
                Role::Bottom | Role::Top => role == Role::Back,
                _ => false,
            };
            if into {
                part.cut(x, y, z);
            }
        }
    }
}

/// What is true of a cabinet.
#[derive(Clone, Debug)]
pub struct Truth {
    pub overall: [f64; 3],
    /// Width, height, depth; `None` where there is no such thing.
    pub interior: [Option<f64>; 3],
    pub parts: Vec<Part>,
    /// Where the cabinet's own frame begins in the model's space.
    pub origin: [f64; 3],
    /// Clear openings of a face frame, wide and high.
    pub openings: Vec<(f64, f64)>,
}

impl Cabinet {
    pub fn build(&self) -> Truth {
        let o = self.frame.map_or(0.0, |f| f.overhang);
        let (t, h) = (self.t, self.h);
        let ft = self.frame.map_or(0.0, |f| f.thick);
        let depth = self.d - ft;
        let k = match self.toe {
            Toe::None => 0.0,
            Toe::Notch(k, _) | Toe::Base(k, _) | Toe::Straight(k, _) => k,
        };
        let (l, r) = (o, self.w - o);
        let (il, ir) = (l + t, r - t);
        let back_y = match self.back {
            Back::None => depth,
            Back::Rabbet(_) => depth - self.back_t,
            Back::Groove(_, setback, _) => depth - setback - self.back_t,
            Back::Applied => depth - self.back_t,
        };
        // An applied back lies behind the sides.
        let side_rear = if self.back == Back::Applied {
            depth - self.back_t
        } else {
            depth
        };
        let floor = match self.frame {
            Some(f) => k + f.rail,
            None => k + t,
        };
        let over = self.head == Head::Over;
        let side_top = if over { h - t } else { h };
        let mut parts = Vec::new();
        for (a, b) in [(l, il), (ir, r)] {
            let boxes = match self.toe {
                Toe::Notch(k, n) => vec![
                    Box3 {
                        x: [a, b],
                        y: [0.0, side_rear],
                        z: [k, side_top],
                    },
                    Box3 {
                        x: [a, b],
                        y: [n, side_rear],
                        z: [0.0, k],
                    },
                ],
                Toe::Straight(..) => vec![Box3 {
                    x: [a, b],
                    y: [0.0, side_rear],
                    z: [0.0, side_top],
                }],
                _ => vec![Box3 {
                    x: [a, b],
                    y: [0.0, side_rear],
                    z: [k, side_top],
                }],
            };
            parts.push(Part {
                role: Role::Side,
                boxes,
            });
        }
        let inside_rear = match self.back {
            Back::Groove(..) => side_rear,
            _ => back_y,
        };
        let j = self.joint;
        parts.push(Part::new(
            Role::Bottom,
            [il - j, ir + j],
            [0.0, inside_rear],
            [floor - t, floor],
        ));
        let top_j = j;
        let ceiling = match self.head {
            Head::Top => {
                parts.push(Part::new(
                    Role::Top,
                    [il - top_j, ir + top_j],
                    [0.0, inside_rear],
                    [h - t, h],
                ));
                h - t
            }
            Head::LowTop => {
                let z = h - self.frame.map_or(t, |f| f.rail);
                parts.push(Part::new(
                    Role::Top,
                    [il - top_j, ir + top_j],
                    [0.0, inside_rear],
                    [z, z + t],
                ));
                z
            }
            Head::Over => {
                parts.push(Part::new(Role::Top, [l, r], [0.0, side_rear], [h - t, h]));
                h - t
            }
            Head::Flat => {
                for y in [[0.0, self.stretcher], [back_y - self.stretcher, back_y]] {
                    parts.push(Part::new(Role::Stretcher, [il, ir], y, [h - t, h]));
                }
                h - t
            }
            Head::Edge => {
                for y in [[0.0, t], [back_y - t, back_y]] {
                    parts.push(Part::new(
                        Role::Stretcher,
                        [il, ir],
                        y,
                        [h - self.stretcher, h],
                    ));
                }
                h - self.stretcher
            }
        };
        let bt = self.back_t;
        match self.back {
            Back::None => {}
            Back::Rabbet(d) => {
                let foot = if k > 0.0 { floor - t } else { 0.0 };
                parts.push(Part::new(
                    Role::Back,
                    [il - d, ir + d],
                    [back_y, back_y + bt],
                    [foot, side_top],
                ));
            }
            Back::Groove(d, _, play) => {
                let e = d - play;
                let top = match self.head {
                    Head::Top | Head::LowTop | Head::Over => ceiling + e,
                    _ => h,
                };
                parts.push(Part::new(
                    Role::Back,
                    [il - e, ir + e],
                    [back_y, back_y + bt],
                    [floor - e, top],
                ));
            }
            Back::Applied => {
                parts.push(Part::new(
                    Role::Back,
                    [l, r],
                    [back_y, back_y + bt],
                    [k, side_top],
                ));
            }
        }
        let clear = ceiling - floor;
        let bays: Vec<[f64; 2]> = if self.divider {
            let mid = (il + ir) / 2.0;
            parts.push(Part::new(
                Role::Divider,
                [mid - t / 2.0, mid + t / 2.0],
                [0.0, back_y],
                [floor, ceiling],
            ));
            vec![[il, mid - t / 2.0], [mid + t / 2.0, ir]]
        } else {
            vec![[il, ir]]
        };
        for share in &self.shelves {
            let z = floor + clear * share;
            for bay in &bays {
                let (role, x) = if self.shelf_play > 0.0 {
                    (
                        Role::AdjustableShelf,
                        [bay[0] + self.shelf_play, bay[1] - self.shelf_play],
                    )
                } else {
                    (Role::FixedShelf, *bay)
                };
                parts.push(Part::new(role, x, [self.shelf_setback, back_y], [z, z + t]));
            }
        }
        match self.toe {
            Toe::Notch(k, n) => {
                if let Some(b) = self.toe_board {
                    parts.push(Part::new(Role::ToeKick, [l, r], [n - b, n], [0.0, k]));
                }
            }
            Toe::Base(k, s) => {
                parts.push(Part::new(Role::BaseRail, [l, r], [s, s + t], [0.0, k]));
                parts.push(Part::new(
                    Role::BaseRail,
                    [l, r],
                    [depth - t, depth],
                    [0.0, k],
                ));
                for x in [[l, il], [ir, r]] {
                    parts.push(Part::new(Role::BaseEnd, x, [s + t, depth - t], [0.0, k]));
                }
            }
            Toe::Straight(k, n) => {
                let board = self.toe_board.unwrap_or(t);
                parts.push(Part::new(Role::ToeKick, [il, ir], [n, n + board], [0.0, k]));
            }
            Toe::None => {}
        }
        let mut openings = Vec::new();
        if let Some(f) = self.frame {
            let y = [-f.thick, 0.0];
            parts.push(Part::new(Role::Stile, [0.0, f.stile], y, [k, h]));
            parts.push(Part::new(
                Role::Stile,
                [self.w - f.stile, self.w],
                y,
                [k, h],
            ));
            let across = [f.stile, self.w - f.stile];
            let mut z = h - f.rail;
            parts.push(Part::new(Role::Rail, across, y, [z, h]));
            let mut heights = self.drawers.clone();
            let rest = z - k - heights.iter().map(|d| d + f.rail).sum::<f64>() - f.rail;
            heights.push(rest);
            for (n, height) in heights.iter().enumerate() {
                let (lo, hi) = (z - height, z);
                parts.push(Part::new(Role::Rail, across, y, [lo - f.rail, lo]));
                z = lo - f.rail;
                openings.push((across[1] - across[0], *height));
                self.front(
                    &mut parts,
                    n == heights.len() - 1,
                    across,
                    [lo, hi],
                    self.overlay,
                    -f.thick,
                );
            }
        } else if self.fronts != Fronts::None {
            let mut z = h - self.reveal;
            for d in &self.drawers {
                let lo = z - d;
                self.front(
                    &mut parts,
                    false,
                    [self.reveal, self.w - self.reveal],
                    [lo, z],
                    0.0,
                    0.0,
                );
                z = lo - self.gap;
            }
            self.front(
                &mut parts,
                true,
                [self.reveal, self.w - self.reveal],
                [k + self.reveal, z],
                0.0,
                0.0,
            );
        }
        if let Some((thick, front, ends)) = self.counter {
            let proud = if self.fronts == Fronts::None {
                0.0
            } else {
                self.front_t
            };
            parts.push(Part::new(
                Role::Countertop,
                [-ends, self.w + ends],
                [-ft - proud - front, depth],
                [h, h + thick],
            ));
        }
        if self.cut {
            joints(&mut parts, self.back);
        }
        let depth_in = (self.back != Back::None).then_some(back_y);
        Truth {
            overall: [self.w, h, self.d],
            interior: [Some(ir - il), Some(clear), depth_in],
            parts,
            origin: [0.0, -ft, 0.0],
            openings,
        }
    }

    fn front(
        &self,
        parts: &mut Vec<Part>,
        lowest: bool,
        x: [f64; 2],
        z: [f64; 2],
        v: f64,
        face: f64,
    ) {
        let Fronts::Doors(leaves) = self.fronts else {
            return;
        };
        let y = [face - self.front_t, face];
        let (x, z) = ([x[0] - v, x[1] + v], [z[0] - v, z[1] + v]);
        if !lowest {
            parts.push(Part::new(Role::DrawerFront, x, y, z));
        } else if leaves == 2 {
            let mid = (x[0] + x[1]) / 2.0;
            parts.push(Part::new(Role::Door, [x[0], mid - self.gap / 2.0], y, z));
            parts.push(Part::new(Role::Door, [mid + self.gap / 2.0, x[1]], y, z));
        } else {
            parts.push(Part::new(Role::Door, x, y, z));
        }
    }
}
