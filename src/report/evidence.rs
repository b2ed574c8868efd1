//! The pictures that go with a finding: the view it was measured in, the right
//! distance and the wrong one dimensioned in it.

use super::Report;
use super::svg::{Canvas, Ink, Mark};
use super::words;
use crate::audit::{Finding, MeasuredBetween};
use crate::cabinet::{DrawnPart, MeasuredCabinet, Span};
use crate::length::Length;
use crate::linework::CleanLine;
use crate::trade::Axis;
use crate::view::{View, ViewId};
use geo::{Coord, Rect, coord};

/// A picture and what it shows, in words.
#[derive(Clone, Debug)]
pub struct Picture {
    pub canvas: Canvas,
    pub title: String,
    /// The same as the picture, for those who do not see it.
    pub description: String,
    /// True when the window shows a part of the view only.
    pub cropped: bool,
}

/// Beyond so many findings a list is no longer read picture by picture, and the
/// page would become too large to open.
pub const MOST_PICTURES: usize = 150;

/// Whether the finding of this index comes with a picture.
pub fn has_picture(report: &Report<'_>, index: usize) -> bool {
    let Some(finding) = report.audit.findings.get(index) else {
        return false;
    };
    let taken = finding
        .causes
        .first()
        .and_then(|cause| cause.taken.as_ref());
    let view = finding
        .measured
        .as_ref()
        .or(taken)
        .map(|measured| measured.view);
    index < MOST_PICTURES
        && report.accepted_finding(index).is_none()
        && view.is_some_and(|view| view < report.job.views.views.len())
}

/// The pictures of a finding: the view of the drawn distance, and the view of
/// the distance taken by mistake when that is another one.
pub fn pictures(report: &Report<'_>, finding: &Finding) -> Vec<Picture> {
    let taken = finding
        .causes
        .first()
        .and_then(|cause| cause.taken.as_ref());
    let mut pictures = Vec::new();
    if let Some(measured) = &finding.measured {
        let here = taken.filter(|taken| taken.view == measured.view);
        pictures.extend(picture(report, finding, Some(measured), here));
    }
    if let Some(taken) = taken {
        let shown = finding
            .measured
            .as_ref()
            .is_some_and(|measured| measured.view == taken.view);
        if !shown {
            pictures.extend(picture(report, finding, None, Some(taken)));
        }
    }
    pictures
}

fn picture(
    report: &Report<'_>,
    finding: &Finding,
    measured: Option<&MeasuredBetween>,
    taken: Option<&MeasuredBetween>,
) -> Option<Picture> {
    let id = measured.or(taken)?.view;
    let view = report.job.views.views.get(id)?;
    let cabinet = cabinet(report, finding, id);
    let (window, cropped) = window(view, id, cabinet, [measured, taken]);
    let mut canvas = Canvas::new(window);
    if let Some(part) = measured.and_then(|measured| part(cabinet, measured))
        && let Some(area) = area(part, id)
    {
        canvas.area(area, Ink::Drawn, &part.name);
    }
    canvas.linework(&view.linework);
    let mut description = Vec::new();
    // The wrong distance stands nearer to the view, the right one outside of it.
    if let Some(mark) = wrong(report, finding, measured, taken) {
        description.push(match taken {
            Some(taken) => format!("Dashed: {}, {}.", mark.label, taken.sentence),
            None => format!("Dashed: {}.", mark.label),
        });
        canvas.dimension(mark);
    }
    if let Some(measured) = measured {
        if let Some((mark, lines)) = right(report, finding, measured) {
            for line in lines {
                canvas.line(line, Ink::Drawn);
            }
            description.push(format!("Solid: {}, {}.", mark.label, measured.sentence));
            canvas.dimension(mark);
        } else {
            for line in &measured.lines {
                canvas.line(line, Ink::Drawn);
            }
            description.push(format!("Heavy lines: {}.", measured.sentence));
        }
    }
    if let Some(taken) = taken {
        for line in &taken.lines {
            canvas.line(line, Ink::Listed);
        }
    }
    Some(Picture {
        canvas,
        title: words::view(report.job, id),
        description: description.join(" "),
        cropped,
    })
}

pub(super) fn right<'a>(
    report: &Report<'_>,
    finding: &Finding,
    measured: &'a MeasuredBetween,
) -> Option<(Mark, [&'a CleanLine; 2])> {
    let [a, b] = measured.lines.as_slice() else {
        return None;
    };
    let mut mark = Mark::between(a, b, String::new(), Ink::Drawn)?;
    // A relation may give another size than the distance of its two lines:
    // then the picture says what the lines are, not what follows from them.
    let distance = Length::from_mm(mark.hi - mark.lo)?;
    let drawn = finding
        .drawn
        .filter(|drawn| (*drawn - distance).abs() <= NEAR);
    mark.label = format!("drawn {}", report.sizes.size(drawn.unwrap_or(distance)));
    Some((mark, [a, b]))
}

/// Lines and sizes of one measure may differ by the snap of the linework.
const NEAR: Length = Length::from_ticks(Length::TICKS_PER_MM / 4);

/// The listed distance: between the lines it was taken from, else from where the
/// drawn one starts.
pub(super) fn wrong(
    report: &Report<'_>,
    finding: &Finding,
    measured: Option<&MeasuredBetween>,
    taken: Option<&MeasuredBetween>,
) -> Option<Mark> {
    let label = |length: Length| format!("listed {}", report.sizes.size(length));
    if let Some(taken) = taken
        && let [a, b] = taken.lines.as_slice()
        && let Some(mut mark) = Mark::between(a, b, String::new(), Ink::Listed)
    {
        let distance = Length::from_mm(mark.hi - mark.lo)?;
        let listed = finding
            .listed
            .filter(|listed| (*listed - distance).abs() <= NEAR);
        mark.label = match listed {
            Some(listed) => label(listed),
            None => format!("taken {}", report.sizes.size(distance)),
        };
        return Some(mark);
    }
    let [a, b] = measured?.lines.as_slice() else {
        return None;
    };
    let listed = finding.listed?;
    let mut mark = Mark::between(a, b, label(listed), Ink::Listed)?;
    let distance = Length::from_mm(mark.hi - mark.lo)?;
    // Only where the drawn size is the distance of the two lines does the listed
    // one start at the same line.
    if (finding.drawn? - distance).abs() > NEAR {
        return None;
    }
    mark.hi = mark.lo + listed.mm();
    mark.hi_from = mark.lo_from;
    Some(mark)
}

/// The cabinet of the finding, when this view shows it.
fn cabinet<'a>(
    report: &Report<'a>,
    finding: &Finding,
    view: ViewId,
) -> Option<&'a MeasuredCabinet> {
    let id = finding.cabinet.as_deref()?;
    super::sizes_table::measured(report, id).filter(|cabinet| cabinet.views.contains(&view))
}

/// The drawn part one of whose sizes was measured between these very lines.
fn part<'a>(
    cabinet: Option<&'a MeasuredCabinet>,
    measured: &MeasuredBetween,
) -> Option<&'a DrawnPart> {
    let same = |span: &Span| {
        span.view == measured.view
            && matches!(measured.lines.as_slice(), [a, b] if *a == span.lo.line && *b == span.hi.line)
    };
    cabinet?.parts.iter().find(|part| {
        Axis::ALL
            .iter()
            .any(|axis| part.span(*axis).is_some_and(same))
    })
}

/// Where a part stands in a view, when two of its sizes are seen there.
pub fn area(part: &DrawnPart, view: ViewId) -> Option<Rect<f64>> {
    let (mut x, mut y) = (None, None);
    for axis in Axis::ALL {
        let Some(span) = part.span(axis).filter(|span| span.view == view) else {
            continue;
        };
        let Some(mark) = Mark::between(&span.lo.line, &span.hi.line, String::new(), Ink::Plain)
        else {
            continue;
        };
        *(if mark.level { &mut x } else { &mut y }) = Some((mark.lo, mark.hi));
    }
    let ((left, right), (bottom, top)) = (x?, y?);
    Some(Rect::new(
        coord! { x: left, y: bottom },
        coord! { x: right, y: top },
    ))
}

/// The part of the view worth showing: all of it when it shows one cabinet, else
/// the cabinet with some of its surroundings.
fn window(
    view: &View,
    id: ViewId,
    cabinet: Option<&MeasuredCabinet>,
    between: [Option<&MeasuredBetween>; 2],
) -> (Rect<f64>, bool) {
    let whole = view.extents;
    let mut points: Vec<Coord<f64>> = Vec::new();
    let add = |points: &mut Vec<Coord<f64>>, line: &CleanLine| points.extend([line.a, line.b]);
    for size in cabinet.iter().flat_map(|cabinet| {
        [
            &cabinet.overall.width,
            &cabinet.overall.height,
            &cabinet.overall.depth,
        ]
    }) {
        if let Some(measure) = size.known().filter(|measure| measure.span.view == id) {
            add(&mut points, &measure.span.lo.line);
            add(&mut points, &measure.span.hi.line);
        }
    }
    if view.cabinets.len() < 2 || points.is_empty() {
        return (whole, false);
    }
    for between in between.into_iter().flatten() {
        for line in &between.lines {
            add(&mut points, line);
        }
    }
    points.retain(|point| point.x.is_finite() && point.y.is_finite());
    let Some(focus) = bounds(&points) else {
        return (whole, false);
    };
    let room = 0.06 * focus.width().max(focus.height());
    let focus = Rect::new(
        focus.min() - coord! { x: room, y: room },
        focus.max() + coord! { x: room, y: room },
    );
    if whole.width() <= 1.3 * focus.width() && whole.height() <= 1.3 * focus.height() {
        return (whole, false);
    }
    let window = Rect::new(
        coord! { x: focus.min().x.max(whole.min().x), y: focus.min().y.max(whole.min().y) },
        coord! { x: focus.max().x.min(whole.max().x), y: focus.max().y.min(whole.max().y) },
    );
    (window, true)
}

fn bounds(points: &[Coord<f64>]) -> Option<Rect<f64>> {
    let first = *points.first()?;
    let (mut low, mut high) = (first, first);
    for point in points {
        low = coord! { x: low.x.min(point.x), y: low.y.min(point.y) };
        high = coord! { x: high.x.max(point.x), y: high.y.max(point.y) };
    }
    Some(Rect::new(low, high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    #[test]
    fn right_and_wrong_distance_are_dimensioned() {
        let (job, audit) = (sample::job(), sample::audit());
        let report = Report::new(&job, &audit);
        let pictures = pictures(&report, &audit.findings[0]);
        assert_eq!(pictures.len(), 1);
        assert_eq!(
            pictures[0].description,
            "Dashed: listed 31 in, top of the toe kick to underside of the stretcher. \
             Solid: drawn 34 1/2 in, floor to top edge of the side."
        );
        insta::assert_snapshot!(
            pictures[0]
                .canvas
                .file(&pictures[0].title, &pictures[0].description)
        );
    }

    #[test]
    fn without_a_taken_distance_the_listed_one_starts_where_the_drawn_one_does() {
        let (job, mut audit) = (sample::job(), sample::audit());
        audit.findings[0].causes.clear();
        let report = Report::new(&job, &audit);
        let mark = wrong(
            &report,
            &audit.findings[0],
            audit.findings[0].measured.as_ref(),
            None,
        )
        .unwrap();
        assert_eq!((mark.lo, mark.hi), (0.0, 31.0 * 25.4));
    }

    #[test]
    fn a_finding_without_lines_has_no_picture() {
        let (job, audit) = (sample::job(), sample::audit());
        assert!(pictures(&Report::new(&job, &audit), &audit.findings[2]).is_empty());
    }

    #[test]
    fn a_view_of_a_run_is_cropped_to_the_cabinet() {
        let (mut job, audit) = (sample::job(), sample::audit());
        job.views.views[1].cabinets.push("B3".to_owned());
        job.views.views[1].extents = Rect::new(
            coord! { x: -5000.0, y: 0.0 },
            coord! { x: 5000.0, y: 900.0 },
        );
        let pictures = pictures(&Report::new(&job, &audit), &audit.findings[0]);
        assert!(pictures[0].cropped);
    }
}
