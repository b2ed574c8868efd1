//! Paints a view as SVG: its lines, highlighted rectangles, dimensions stacked
//! outside of it, and labels. Takes view coordinates (millimetres, y up) and
//! never more than one picture's worth of lines, clipped to a window.
//!
//! Weight, dash and words tell things apart, so that a grey print still reads.

use crate::linework::{CleanLine, Linework};
use geo::{Coord, Rect, coord};
use std::fmt::Write;

/// How a stroke or a label looks. The names are CSS classes of [`STYLE`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ink {
    /// A visible edge.
    Edge,
    /// A hidden edge.
    Hidden,
    /// Left out of the measuring.
    Faint,
    /// What the drawing says: heavy and solid.
    Drawn,
    /// What the list says, or a distance taken by mistake: heavy and dashed.
    Listed,
    /// A part or a measure without judgement.
    Plain,
}

impl Ink {
    const fn class(self) -> &'static str {
        match self {
            Ink::Edge => "edge",
            Ink::Hidden => "hidden",
            Ink::Faint => "faint",
            Ink::Drawn => "drawn",
            Ink::Listed => "listed",
            Ink::Plain => "plain",
        }
    }
}

/// The style sheet of every picture; a page holds it once, a file of its own
/// holds it inside.
pub const STYLE: &str = include_str!("svg.css");

/// A distance to be dimensioned outside of the view.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// True: measured from left to right; false: from bottom to top.
    pub level: bool,
    /// Where it starts and ends along its direction, millimetres.
    pub lo: f64,
    pub hi: f64,
    /// Where the extension lines leave the drawn lines, across the direction,
    /// millimetres.
    pub lo_from: f64,
    pub hi_from: f64,
    pub label: String,
    pub ink: Ink,
}

impl Mark {
    /// The distance between two parallel lines; `None` when they are not two
    /// uprights or two levels.
    pub fn between(a: &CleanLine, b: &CleanLine, label: String, ink: Ink) -> Option<Self> {
        let upright = |line: &CleanLine| (line.a.x - line.b.x).abs() <= 1e-6 * reach(line);
        let level = |line: &CleanLine| (line.a.y - line.b.y).abs() <= 1e-6 * reach(line);
        let mark = |level, p: f64, q: f64, p_from, q_from| {
            let ((lo, lo_from), (hi, hi_from)) = if p <= q {
                ((p, p_from), (q, q_from))
            } else {
                ((q, q_from), (p, p_from))
            };
            Mark {
                level,
                lo,
                hi,
                lo_from,
                hi_from,
                label,
                ink,
            }
        };
        if upright(a) && upright(b) {
            let foot = |line: &CleanLine| line.a.y.min(line.b.y);
            Some(mark(true, a.a.x, b.a.x, foot(a), foot(b)))
        } else if level(a) && level(b) {
            let right = |line: &CleanLine| line.a.x.max(line.b.x);
            Some(mark(false, a.a.y, b.a.y, right(a), right(b)))
        } else {
            None
        }
    }
}

fn reach(line: &CleanLine) -> f64 {
    ((line.a.x - line.b.x).abs() + (line.a.y - line.b.y).abs()).max(1.0)
}

/// A picture in the making.
#[derive(Clone, Debug)]
pub struct Canvas {
    window: Rect<f64>,
    /// Pixels for one millimetre.
    scale: f64,
    /// Path data by ink, in pixels of the window.
    strokes: Vec<(Ink, String)>,
    /// Everything else, in drawing order.
    shapes: String,
    /// Numbers of areas, over all lines, and the places they take, pixels.
    numbers: String,
    taken: Vec<Rect<f64>>,
    marks: Vec<Mark>,
}

/// Where along its longer and its shorter side the number of an area may stand, tried
/// in this order.
const ALONG: [f64; 9] = [0.5, 0.25, 0.75, 0.375, 0.625, 0.125, 0.875, 0.06, 0.94];
const ACROSS: [f64; 3] = [0.5, 0.2, 0.8];
/// Font of such a number.
const SMALL: f64 = 11.0;

/// Longest side of the window in pixels.
const LONGEST: f64 = 460.0;
/// Room round the window, and between two dimensions side by side.
const ROOM: f64 = 18.0;
const STACK: f64 = 26.0;
const FONT: f64 = 13.0;
/// From the end of a distance to a label behind it.
const BEHIND: f64 = 8.0;
/// Rough width of a character, for keeping labels inside the picture.
const CHARACTER: f64 = 0.58 * FONT;

impl Canvas {
    /// An empty picture of this part of a view, millimetres.
    pub fn new(window: Rect<f64>) -> Self {
        let side = window.width().max(window.height());
        Canvas {
            window,
            scale: if side > 0.0 && side.is_finite() {
                LONGEST / side
            } else {
                1.0
            },
            strokes: Vec::new(),
            shapes: String::new(),
            numbers: String::new(),
            taken: Vec::new(),
            marks: Vec::new(),
        }
    }

    /// All lines of a view.
    pub fn linework(&mut self, linework: &Linework) {
        for line in linework
            .uprights
            .iter()
            .chain(&linework.levels)
            .chain(&linework.slanted)
        {
            let ink = if line.hidden { Ink::Hidden } else { Ink::Edge };
            self.line(line, ink);
        }
    }

    pub fn line(&mut self, line: &CleanLine, ink: Ink) {
        let Some((a, b)) = clip(line.a, line.b, &self.window) else {
            return;
        };
        let (a, b) = (self.place(a), self.place(b));
        let path = match self.strokes.iter_mut().find(|(other, _)| *other == ink) {
            Some((_, path)) => path,
            None => {
                self.strokes.push((ink, String::new()));
                // Just pushed.
                match self.strokes.last_mut() {
                    Some((_, path)) => path,
                    None => return,
                }
            }
        };
        let _ = write!(
            path,
            "M{} {}L{} {}",
            number(a.x),
            number(a.y),
            number(b.x),
            number(b.y)
        );
    }

    /// A filled rectangle, with a title a pointer or screen reader finds.
    pub fn area(&mut self, area: Rect<f64>, ink: Ink, title: &str) {
        let area = Rect::new(
            limit(area.min(), &self.window),
            limit(area.max(), &self.window),
        );
        let corner = self.place(coord! { x: area.min().x, y: area.max().y });
        let _ = write!(
            self.shapes,
            r#"<rect class="area {}" x="{}" y="{}" width="{}" height="{}"><title>{}</title></rect>"#,
            ink.class(),
            number(corner.x),
            number(corner.y),
            number(area.width() * self.scale),
            number(area.height() * self.scale),
            escape(title)
        );
    }

    /// A circle, as drawn.
    pub fn circle(&mut self, centre: Coord<f64>, radius: f64, ink: Ink) {
        if !inside(centre, &self.window) {
            return;
        }
        let centre = self.place(centre);
        let _ = write!(
            self.shapes,
            r#"<circle class="{}" cx="{}" cy="{}" r="{}"/>"#,
            ink.class(),
            number(centre.x),
            number(centre.y),
            number(radius * self.scale)
        );
    }

    /// A number in an area, where it covers no other one; of narrow areas those that
    /// come first choose first.
    pub fn number_in(&mut self, area: Rect<f64>, text: &str, ink: Ink) {
        let (w, h) = (area.width(), area.height());
        let half = coord! { x: 0.32 * SMALL * text.len() as f64 + 1.0, y: 0.5 * SMALL };
        let places = ACROSS
            .iter()
            .flat_map(|across| ALONG.map(|along| (along, *across)));
        let places: Vec<Rect<f64>> = places
            .map(|(along, across)| {
                if w > h {
                    (along, across)
                } else {
                    (across, along)
                }
            })
            .map(|(x, y)| coord! { x: area.min().x + x * w, y: area.min().y + y * h })
            .filter(|at| inside(*at, &self.window))
            .map(|at| Rect::new(self.place(at) - half, self.place(at) + half))
            .collect();
        let free = |place: &&Rect<f64>| self.taken.iter().all(|other| !meet(place, other));
        let Some(place) = places.iter().find(free).or(places.first()).copied() else {
            return;
        };
        let at = place.center();
        let _ = write!(
            self.numbers,
            r#"<text class="label number {}" x="{}" y="{}">{}</text>"#,
            ink.class(),
            number(at.x),
            number(at.y + SMALL * 0.35),
            escape(text)
        );
        self.taken.push(place);
    }

    /// A dimension, stacked outside in the order of the calls: level ones below
    /// the window, upright ones to its right.
    pub fn dimension(&mut self, mark: Mark) {
        if mark.lo.is_finite() && mark.hi.is_finite() {
            self.marks.push(mark);
        }
    }

    /// Widest the picture gets for its height: for choosing a layout.
    pub fn is_wide(&self) -> bool {
        self.window.width() > 1.6 * self.window.height()
    }

    /// The picture as an `<svg>` element for a page that holds [`STYLE`].
    /// `id` makes its title and description unique within the page.
    pub fn element(&self, id: &str, title: &str, description: &str) -> String {
        self.paint(id, title, description, "")
    }

    /// The picture as an SVG file.
    pub fn file(&self, title: &str, description: &str) -> String {
        let style = format!("<style>{STYLE}</style>");
        let mut text = self.paint("picture", title, description, &style);
        text.push('\n');
        text
    }

    fn paint(&self, id: &str, title: &str, description: &str, style: &str) -> String {
        let (width, height) = (
            self.window.width() * self.scale,
            self.window.height() * self.scale,
        );
        let below = self.marks.iter().filter(|mark| mark.level).count() as f64;
        let beside = self.marks.len() as f64 - below;
        // A label behind its distance may stick out of the window.
        let over = |level: bool, side: f64| {
            let origin = if level {
                self.window.min().x
            } else {
                self.window.min().y
            };
            self.marks
                .iter()
                .filter(|mark| mark.level == level)
                .map(|mark| {
                    let lo = (mark.lo - origin) * self.scale;
                    let hi = (mark.hi - origin) * self.scale;
                    let label = if self.fits(mark) {
                        0.0
                    } else {
                        BEHIND + Self::label_length(mark)
                    };
                    ((-lo).max(0.0), (hi + label - side).max(0.0))
                })
                .fold((0.0_f64, 0.0_f64), |(a, b), (c, d)| (a.max(c), b.max(d)))
        };
        let (left, right) = over(true, width);
        let (bottom_over, top_over) = over(false, height);
        let left = left + ROOM;
        let right = right.max(beside * STACK) + ROOM / 2.0;
        let top = top_over + ROOM;
        let bottom = bottom_over.max(below * STACK) + ROOM / 2.0;
        let mut text = String::new();
        let _ = write!(
            text,
            r#"<svg xmlns="http://www.w3.org/2000/svg" class="picture" role="img" aria-labelledby="{id}-t {id}-d" viewBox="{} {} {} {}" width="{}" height="{}">{style}<title id="{id}-t">{}</title><desc id="{id}-d">{}</desc>"#,
            number(-left),
            number(-top),
            number(left + width + right),
            number(top + height + bottom),
            number(left + width + right),
            number(top + height + bottom),
            escape(title),
            escape(description),
        );
        let mut strokes: Vec<_> = self.strokes.iter().collect();
        strokes.sort_by_key(|(ink, _)| *ink);
        text.push_str(&self.shapes);
        for (ink, path) in strokes {
            let _ = write!(text, r#"<path class="{}" d="{path}"/>"#, ink.class());
        }
        // Labels lie over all lines: the extension of one measure may cross the
        // label of another.
        let mut labels = String::new();
        let (mut stack_below, mut stack_beside) = (0.0, 0.0);
        for mark in &self.marks {
            let stack = if mark.level {
                &mut stack_below
            } else {
                &mut stack_beside
            };
            *stack += STACK;
            self.paint_mark(&mut text, &mut labels, mark, *stack);
        }
        text.push_str(&self.numbers);
        text.push_str(&labels);
        text.push_str("</svg>");
        text
    }

    fn paint_mark(&self, text: &mut String, labels: &mut String, mark: &Mark, away: f64) {
        let height = self.window.height() * self.scale;
        let width = self.window.width() * self.scale;
        // Pixels of a point given along and across the mark's direction.
        let point = |along: f64, across: f64| {
            if mark.level {
                self.place(coord! { x: along, y: across })
            } else {
                self.place(coord! { x: across, y: along })
            }
        };
        let on_line = |along: f64| {
            let place = point(along, 0.0);
            if mark.level {
                coord! { x: place.x, y: height + away }
            } else {
                coord! { x: width + away, y: place.y }
            }
        };
        let class = mark.ink.class();
        let (lo, hi) = (on_line(mark.lo), on_line(mark.hi));
        let _ = write!(
            text,
            r#"<g class="mark {class}"><path class="extension" d=""#
        );
        for (along, from) in [(mark.lo, mark.lo_from), (mark.hi, mark.hi_from)] {
            let (from, to) = (point(along, from), on_line(along));
            let past = if mark.level {
                coord! { x: to.x, y: to.y + 4.0 }
            } else {
                coord! { x: to.x + 4.0, y: to.y }
            };
            let _ = write!(
                text,
                "M{} {}L{} {}",
                number(from.x),
                number(from.y),
                number(past.x),
                number(past.y)
            );
        }
        let _ = write!(
            text,
            r#""/><path class="measure" d="M{} {}L{} {}"/><path class="tick" d=""#,
            number(lo.x),
            number(lo.y),
            number(hi.x),
            number(hi.y)
        );
        for end in [lo, hi] {
            let _ = write!(
                text,
                "M{} {}L{} {}",
                number(end.x - 4.0),
                number(end.y + 4.0),
                number(end.x + 4.0),
                number(end.y - 4.0)
            );
        }
        text.push_str("\"/></g>");
        // As drafters write it: on the line, readable from below or from the
        // right; a label longer than its distance stands behind its end.
        let fits = self.fits(mark);
        let middle = if fits { (lo + hi) / 2.0 } else { hi };
        let at = match (mark.level, fits) {
            (true, true) => coord! { x: middle.x, y: middle.y - 5.0 },
            (true, false) => coord! { x: middle.x + BEHIND, y: middle.y + 0.35 * FONT },
            (false, true) => coord! { x: middle.x - 5.0, y: middle.y },
            (false, false) => coord! { x: middle.x + 0.35 * FONT, y: middle.y - BEHIND },
        };
        let turn = if mark.level {
            String::new()
        } else {
            format!(
                r#" transform="rotate(-90 {} {})""#,
                number(at.x),
                number(at.y)
            )
        };
        let _ = write!(
            labels,
            r#"<g class="mark {class}"><text class="size{}" x="{}" y="{}"{turn}>{}</text></g>"#,
            if fits { "" } else { " behind" },
            number(at.x),
            number(at.y),
            escape(&mark.label)
        );
    }

    fn label_length(mark: &Mark) -> f64 {
        mark.label.chars().count() as f64 * CHARACTER
    }

    fn fits(&self, mark: &Mark) -> bool {
        Self::label_length(mark) + 8.0 <= (mark.hi - mark.lo).abs() * self.scale
    }

    /// Pixels of a place in the view.
    fn place(&self, at: Coord<f64>) -> Coord<f64> {
        coord! {
            x: (at.x - self.window.min().x) * self.scale,
            y: (self.window.max().y - at.y) * self.scale,
        }
    }
}

/// One decimal of a pixel is finer than any screen or printer needs.
fn number(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    // + 0.0 turns -0 into 0.
    format!(
        "{}",
        if rounded.is_finite() {
            rounded + 0.0
        } else {
            0.0
        }
    )
}

fn meet(a: &Rect<f64>, b: &Rect<f64>) -> bool {
    a.min().x < b.max().x && b.min().x < a.max().x && a.min().y < b.max().y && b.min().y < a.max().y
}

fn inside(at: Coord<f64>, window: &Rect<f64>) -> bool {
    at.x >= window.min().x
        && at.x <= window.max().x
        && at.y >= window.min().y
        && at.y <= window.max().y
}

fn limit(at: Coord<f64>, window: &Rect<f64>) -> Coord<f64> {
    coord! {
        x: at.x.clamp(window.min().x, window.max().x),
        y: at.y.clamp(window.min().y, window.max().y),
    }
}

/// The part of a segment inside the window (Liang and Barsky, 1984).
fn clip(a: Coord<f64>, b: Coord<f64>, window: &Rect<f64>) -> Option<(Coord<f64>, Coord<f64>)> {
    let d = b - a;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (step, room) in [
        (-d.x, a.x - window.min().x),
        (d.x, window.max().x - a.x),
        (-d.y, a.y - window.min().y),
        (d.y, window.max().y - a.y),
    ] {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            from = from.max(room / step);
        } else {
            to = to.min(room / step);
        }
    }
    (from <= to).then(|| (a + d * from, a + d * to))
}

/// Text for XML: markup characters as entities, control characters (which XML
/// cannot hold) as the replacement character.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            '\n' | '\t' => escaped.push(character),
            other if super::words::is_unprintable(other) => escaped.push('\u{fffd}'),
            other => escaped.push(other),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window() -> Rect<f64> {
        Rect::new(coord! { x: 0.0, y: 0.0 }, coord! { x: 100.0, y: 50.0 })
    }

    fn line(a: (f64, f64), b: (f64, f64)) -> CleanLine {
        CleanLine {
            a: a.into(),
            b: b.into(),
            hidden: false,
            source: 0,
        }
    }

    #[test]
    fn lines_are_clipped_to_the_window() {
        let (a, b) = clip((-50.0, 25.0).into(), (150.0, 25.0).into(), &window()).unwrap();
        assert_eq!((a.x, b.x), (0.0, 100.0));
        assert!(clip((-5.0, 0.0).into(), (-1.0, 50.0).into(), &window()).is_none());
    }

    #[test]
    fn a_mark_runs_from_the_lower_to_the_higher_line() {
        let mark = Mark::between(
            &line((80.0, 5.0), (80.0, 40.0)),
            &line((20.0, 0.0), (20.0, 40.0)),
            "60 mm".to_owned(),
            Ink::Drawn,
        )
        .unwrap();
        assert!(mark.level);
        assert_eq!(
            (mark.lo, mark.hi, mark.lo_from, mark.hi_from),
            (20.0, 80.0, 0.0, 5.0)
        );
        assert!(
            Mark::between(
                &line((0.0, 0.0), (10.0, 0.0)),
                &line((0.0, 0.0), (0.0, 10.0)),
                String::new(),
                Ink::Drawn
            )
            .is_none()
        );
    }

    #[test]
    fn text_from_input_is_escaped_and_y_points_up() {
        let mut canvas = Canvas::new(window());
        let area = Rect::new(coord! { x: 40.0, y: 40.0 }, coord! { x: 60.0, y: 60.0 });
        canvas.number_in(area, "<script>\u{7}", Ink::Plain);
        let text = canvas.element("v1", "a & b", "\"d\"");
        assert!(text.contains("&lt;script&gt;\u{fffd}</text>"));
        assert!(text.contains("a &amp; b"));
        assert!(!text.contains("<script"));
        // The top of the window is the top of the picture.
        assert!(text.contains(r#"y="3.9""#), "{text}");
    }

    #[test]
    fn a_picture_of_nothing_is_still_a_picture() {
        let point = Rect::new(coord! { x: 1.0, y: 1.0 }, coord! { x: 1.0, y: 1.0 });
        let text = Canvas::new(point).file("nothing", "");
        assert!(!text.contains("NaN") && !text.contains("inf"));
    }

    #[test]
    fn numbers_of_areas_over_each_other_stand_apart() {
        let mut canvas = Canvas::new(Rect::new(
            coord! { x: 0.0, y: 0.0 },
            coord! { x: 600.0, y: 720.0 },
        ));
        let strip = Rect::new(coord! { x: 0.0, y: 340.0 }, coord! { x: 600.0, y: 358.0 });
        let whole = Rect::new(coord! { x: 0.0, y: 0.0 }, coord! { x: 600.0, y: 720.0 });
        for (area, text) in [(strip, "6"), (strip, "12"), (whole, "5")] {
            canvas.number_in(area, text, Ink::Plain);
        }
        assert_eq!(canvas.taken.len(), 3);
        for (index, a) in canvas.taken.iter().enumerate() {
            assert!(canvas.taken.iter().skip(index + 1).all(|b| !meet(a, b)));
        }
        assert_eq!(
            canvas
                .element("v", "t", "d")
                .matches("class=\"label number")
                .count(),
            3
        );
    }
}
