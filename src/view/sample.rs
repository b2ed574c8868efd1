//! Sheets built by hand, for tests.
#![allow(dead_code)]

use crate::drawing::{
    Dimension, DimensionKind, EntityKind, Evidence, Segment, Sheet, Source, SourceId, Text,
};

#[derive(Clone, Debug)]
pub(crate) struct Draft {
    sheet: Sheet,
    layer: u32,
    block: u32,
    hidden: bool,
}

impl Draft {
    pub fn new(file: &str) -> Self {
        let sheet = Sheet {
            file: file.to_owned(),
            layers: vec!["0".to_owned()],
            block_paths: vec![String::new()],
            ..Sheet::default()
        };
        Draft {
            sheet,
            layer: 0,
            block: 0,
            hidden: false,
        }
    }

    pub fn sheet(self) -> Sheet {
        self.sheet
    }

    /// `$INSUNITS`.
    pub fn units(mut self, code: i64) -> Self {
        self.sheet
            .evidence
            .retain(|e| !matches!(e, Evidence::InsUnits(_)));
        self.sheet.evidence.push(Evidence::InsUnits(code));
        self
    }

    pub fn layer(mut self, name: &str) -> Self {
        self.layer = self.sheet.layers.len() as u32;
        self.sheet.layers.push(name.to_owned());
        self
    }

    pub fn block(mut self, name: &str) -> Self {
        self.block = self.sheet.block_paths.len() as u32;
        self.sheet.block_paths.push(name.to_owned());
        self
    }

    pub fn hidden(mut self, hidden: bool) -> Self {
        self.hidden = hidden;
        self
    }

    fn source(&mut self, kind: EntityKind) -> SourceId {
        let id = self.sheet.sources.len() as u32;
        self.sheet.sources.push(Source {
            kind,
            handle: u64::from(id) + 1,
            layer: self.layer,
            block_path: self.block,
            linetype: 0,
            hidden: self.hidden,
            centre: false,
            position: u64::from(id) + 1,
        });
        id
    }

    pub fn line(mut self, ax: f64, ay: f64, bx: f64, by: f64) -> Self {
        let source = self.source(EntityKind::Line);
        self.sheet.segments.push(Segment {
            a: [ax, ay, 0.0],
            b: [bx, by, 0.0],
            source,
        });
        self
    }

    pub fn rect(self, x: f64, y: f64, w: f64, h: f64) -> Self {
        self.line(x, y, x + w, y)
            .line(x + w, y, x + w, y + h)
            .line(x + w, y + h, x, y + h)
            .line(x, y + h, x, y)
    }

    /// A frameless case: outline, sides, bottom and top of `t`.
    pub fn case(self, x: f64, y: f64, w: f64, h: f64, t: f64) -> Self {
        self.rect(x, y, w, h)
            .line(x + t, y, x + t, y + h)
            .line(x + w - t, y, x + w - t, y + h)
            .line(x + t, y + t, x + w - t, y + t)
            .line(x + t, y + h - t, x + w - t, y + h - t)
    }

    pub fn text(mut self, text: &str, x: f64, y: f64, height: f64) -> Self {
        let source = self.source(EntityKind::Text);
        self.sheet.texts.push(Text {
            text: text.to_owned(),
            at: [x, y, 0.0],
            anchor: [x, y, 0.0],
            height,
            rotation: 0.0,
            source,
        });
        self
    }

    /// A level or upright DIMENSION between two points, its line at `off` beside.
    pub fn dimension(mut self, from: [f64; 2], to: [f64; 2], off: f64, text: Option<&str>) -> Self {
        let source = self.source(EntityKind::Dimension);
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let level = dx.abs() >= dy.abs();
        self.sheet.dimensions.push(Dimension {
            kind: DimensionKind::Linear,
            from: [from[0], from[1], 0.0],
            to: [to[0], to[1], 0.0],
            line_at: if level {
                [to[0], to[1] + off, 0.0]
            } else {
                [to[0] + off, to[1], 0.0]
            },
            angle: if level {
                0.0
            } else {
                std::f64::consts::FRAC_PI_2
            },
            measured: if level { dx.abs() } else { dy.abs() },
            text: text.map(str::to_owned),
            around: None,
            suppressed: false,
            stated: None,
            drawn_text: None,
            drawn_turn: None,
            factor: 1.0,
            factor_origin: "no factor",
            source,
        });
        self
    }

    /// The last text's start, where it is not set from its middle.
    pub fn starting(mut self, x: f64, y: f64) -> Self {
        if let Some(last) = self.sheet.texts.last_mut() {
            last.anchor = [x, y, 0.0];
        }
        self
    }

    /// The direction the last dimension's own text reads in.
    pub fn reading(mut self, turn: f64) -> Self {
        if let Some(last) = self.sheet.dimensions.last_mut() {
            last.drawn_turn = Some(turn);
        }
        self
    }

    /// The last dimension's factor.
    pub fn factor(mut self, factor: f64) -> Self {
        if let Some(last) = self.sheet.dimensions.last_mut() {
            last.factor = factor;
            last.factor_origin = "dimension style";
        }
        self
    }

    /// Everything through `f`, texts turned by `turn` radians.
    fn mapped(mut self, turn: f64, f: impl Fn([f64; 3]) -> [f64; 3]) -> Self {
        for s in &mut self.sheet.segments {
            (s.a, s.b) = (f(s.a), f(s.b));
        }
        for t in &mut self.sheet.texts {
            (t.at, t.anchor) = (f(t.at), f(t.anchor));
            t.rotation += turn;
        }
        for d in &mut self.sheet.dimensions {
            (d.from, d.to, d.line_at) = (f(d.from), f(d.to), f(d.line_at));
            d.angle += turn;
            d.drawn_turn = d.drawn_turn.map(|drawn| drawn + turn);
        }
        for a in &mut self.sheet.arcs {
            a.centre = f(a.centre);
            a.start += turn;
            a.end += turn;
        }
        self
    }

    pub fn turned(self, degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        self.mapped(degrees.to_radians(), |[x, y, z]| {
            [x * cos - y * sin, x * sin + y * cos, z]
        })
    }

    pub fn moved(self, dx: f64, dy: f64, dz: f64) -> Self {
        self.mapped(0.0, |[x, y, z]| [x + dx, y + dy, z + dz])
    }

    pub fn scaled(mut self, k: f64) -> Self {
        for t in &mut self.sheet.texts {
            t.height *= k;
        }
        for d in &mut self.sheet.dimensions {
            d.measured *= k;
        }
        self.mapped(0.0, |p| p.map(|v| v * k))
    }

    /// Drawn upright in space, as seen from the front.
    pub fn stood_up(self) -> Self {
        self.mapped(0.0, |[x, y, _]| [x, 0.0, y])
    }
}
