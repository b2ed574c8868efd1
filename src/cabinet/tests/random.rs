//! Cabinets drawn from a hat.

use super::shop::{Back, Cabinet, Frame, Fronts, Head, Toe};

/// A small deterministic generator (xorshift), so that a failure can be repeated.
pub struct Hat(u64);

impl Hat {
    pub fn new(seed: u64) -> Hat {
        Hat(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11
    }

    pub fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }

    pub fn one<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len() as u64) as usize]
    }

    /// In steps, so that coincidences happen as they do in a shop.
    pub fn step(&mut self, lo: f64, hi: f64, step: f64) -> f64 {
        lo + step * self.below(((hi - lo) / step) as u64 + 1) as f64
    }

    pub fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
}

pub fn cabinet(hat: &mut Hat) -> Cabinet {
    let inch = 25.4;
    let imperial = hat.chance(50);
    let u = if imperial { inch / 16.0 } else { 1.0 };
    let t = if imperial {
        hat.one(&[0.75 * inch, 0.625 * inch, 23.0 / 32.0 * inch, 0.5 * inch])
    } else {
        hat.one(&[12.0, 15.0, 16.0, 18.0, 19.0, 22.0, 25.0])
    };
    let framed = hat.chance(50);
    let frame = framed.then(|| {
        let stile = hat.one(&[1.25, 1.5, 1.75, 2.0, 2.25]) * inch;
        Frame {
            thick: hat.one(&[0.75 * inch, 0.8125 * inch, 19.0]),
            stile,
            rail: hat.one(&[stile, 1.5 * inch, 2.0 * inch]),
            overhang: hat.one(&[0.0, 0.125 * inch, 0.25 * inch, 0.5 * inch, stile - t]),
        }
    });
    let kind = hat.below(3);
    let (w, h, d) = match kind {
        0 => (
            hat.step(300.0, 1000.0, u),
            hat.step(700.0, 900.0, u),
            hat.step(500.0, 640.0, u),
        ),
        1 => (
            hat.step(300.0, 900.0, u),
            hat.step(380.0, 1000.0, u),
            hat.step(280.0, 400.0, u),
        ),
        _ => (
            hat.step(400.0, 900.0, u),
            hat.step(1500.0, 2300.0, u),
            hat.step(300.0, 640.0, u),
        ),
    };
    let toe_h = hat.step(80.0, 150.0, u);
    let toe = match (kind, hat.below(3)) {
        (1, _) => Toe::None,
        (_, 0) => Toe::Base(toe_h, hat.step(30.0, 70.0, u)),
        (_, 1) if !framed => Toe::None,
        _ => Toe::Notch(toe_h, hat.step(40.0, 80.0, u)),
    };
    let joint = hat.one(&[0.0, 0.25 * inch, 0.375 * inch, 6.0]).min(t / 2.0);
    let head = match (hat.below(5), framed) {
        (0, false) => Head::Over,
        (0 | 1, _) => Head::Top,
        (2, true) => Head::LowTop,
        (3, _) => Head::Edge,
        _ => Head::Flat,
    };
    let back_t = hat.one(&[0.25 * inch, 6.0, 8.0, 12.0, 0.5 * inch]);
    let back = match hat.below(7) {
        0 => Back::None,
        1 | 2 => Back::Groove(
            hat.one(&[6.0, 8.0, 0.25 * inch]).min(t / 2.0),
            hat.one(&[10.0, 20.0, 25.4]),
            hat.one(&[0.0, 1.0]),
        ),
        3 => Back::Applied,
        _ => Back::Rabbet(hat.one(&[0.25 * inch, 0.375 * inch, 10.0]).min(t * 0.6)),
    };
    let drawers = if kind == 0 && hat.chance(50) {
        vec![hat.step(100.0, 160.0, u); hat.one(&[1, 1, 2, 3])]
    } else {
        vec![]
    };
    let shelves = (0..hat.below(4))
        .map(|n| 0.2 + 0.2 * n as f64 + 0.01 * hat.below(10) as f64)
        .collect();
    let fronts = if hat.chance(50) {
        Fronts::Doors(1 + hat.below(2) as u32)
    } else {
        Fronts::None
    };
    let cabinet = Cabinet {
        w,
        h,
        d,
        t,
        frame,
        toe,
        toe_board: hat.one(&[None, Some(0.25 * inch), Some(12.0)]),
        joint,
        head,
        stretcher: hat.one(&[75.0, 88.9, 100.0, 4.0 * inch]),
        back,
        back_t,
        shelves,
        shelf_play: hat.one(&[0.0, 1.0, 1.6, 3.175]),
        shelf_setback: hat.one(&[0.0, 5.0, 12.7, 20.0]),
        divider: hat.chance(25),
        drawers,
        fronts,
        front_t: hat.one(&[0.75 * inch, 18.0, 22.0]),
        overlay: hat.one(&[0.375 * inch, 0.5 * inch, 12.0]),
        reveal: hat.one(&[1.5, 2.0, 1.0]),
        gap: hat.one(&[2.0, 3.0, 3.175]),
        cut: hat.chance(60),
        counter: hat.chance(25).then(|| {
            (
                hat.one(&[30.0, 1.5 * inch, 1.25 * inch]),
                hat.one(&[12.7, 25.0, 20.0]),
                hat.one(&[0.0, 12.7, 25.0]),
            )
        }),
    };
    Cabinet {
        // A board let into the side of nothing or into another board's edge is not built.
        joint: if cabinet.head == Head::Over {
            0.0
        } else {
            cabinet.joint
        },
        ..cabinet
    }
}
