//! Each finding beside its picture.

use super::text;
use crate::audit::{Cause, Finding, RowSize};
use crate::report::evidence::{self, MOST_PICTURES, Picture};
use crate::report::{Report, words};
use maud::{Markup, PreEscaped, html};

pub(super) fn section(report: &Report<'_>) -> Markup {
    let findings = report.audit.findings.iter().enumerate();
    let open: Vec<_> = findings
        .filter(|(index, _)| report.accepted_finding(*index).is_none())
        .collect();
    html! {
        section #findings aria-label="Findings" {
            @if open.is_empty() {
                h2 { "Findings" }
                p { "None." }
            }
            @let unchecked = unchecked(report);
            @if unchecked > 0 {
                p.unchecked-first {
                    span.sign aria-hidden="true" { "? " }
                    a href="#coverage" { (words::count(unchecked, "thing")) " could not be checked" }
                    ": the list of them, with the reasons, stands below."
                }
            }
            @for (place, (index, finding)) in open.iter().enumerate() {
                @if place == 0 { h2 { "Fix this first" } }
                @if place == 1 { h2 { "Then" } }
                (article(report, *index, finding))
            }
        }
    }
}

/// Things that were not checked and are not accepted.
fn unchecked(report: &Report<'_>) -> usize {
    (0..crate::signoff::open::items(report.audit).len())
        .filter(|index| report.accepted_open(*index).is_none())
        .count()
}

fn article(report: &Report<'_>, index: usize, finding: &Finding) -> Markup {
    let id = Report::id(index);
    let pictures = if evidence::has_picture(report, index) {
        evidence::pictures(report, finding)
    } else {
        Vec::new()
    };
    html! {
        article.finding #(id) aria-labelledby=(format!("{id}-name")) {
            h3 #(format!("{id}-name")) { span.id { (id) } " " (text(&finding.message)) }
            div.sides {
                div {
                    @if let Some(row) = &finding.row { (quoted(report, row)) }
                    (figures(report, finding))
                    (causes(&finding.causes))
                    (also(report, finding))
                    @if index >= MOST_PICTURES && finding.measured.is_some() {
                        p.note { "Pictures are drawn for the first " (MOST_PICTURES) " findings." }
                    }
                }
                @for (number, picture) in pictures.iter().enumerate() {
                    (figure(&id, number, picture, index))
                }
            }
        }
    }
}

/// The row as written, the cell that is meant marked.
fn quoted(report: &Report<'_>, row: &RowSize) -> Markup {
    html! {
        p.place {
            @match super::list::anchor(report, &row.row) {
                Some(anchor) => a href=(format!("#{anchor}")) { (text(&words::place(&row.row))) },
                None => (text(&words::place(&row.row))),
            }
            @if !row.text.is_empty() { ", " (row.dimension.word()) }
        }
        p.row {
            @for cell in words::cells(report.job, row) {
                @if cell.meant {
                    mark { span.unseen { "this cell: " } (text(cell.text)) }
                } @else {
                    span { (text(cell.text)) }
                }
                " "
            }
        }
    }
}

fn figures(report: &Report<'_>, finding: &Finding) -> Markup {
    let sizes = report.sizes;
    let drawn = finding.drawn.map(|drawn| sizes.size(drawn));
    let listed = finding.listed.map(|listed| sizes.size(listed));
    let counts = finding.counts;
    html! {
        dl {
            @if let Some(drawn) = drawn.or(counts.map(|(drawn, _)| drawn.to_string())) {
                dt.key-drawn { "drawn" } dd { b { (drawn) } }
            }
            @if let Some(measured) = &finding.measured {
                dt { "measured" }
                dd { (text(&measured.sentence)) ", in " (text(&words::view(report.job, measured.view))) }
            }
            @if let Some(listed) = listed.or(counts.map(|(_, listed)| listed.to_string())) {
                dt.key-listed { "listed" } dd { b { (listed) } }
            }
            @if let Some(difference) = finding.difference {
                dt { "difference" }
                dd {
                    (sizes.difference(difference))
                    @if let Some(tolerance) = finding.tolerance {
                        "; passes up to " (sizes.size(tolerance))
                    }
                }
            }
            @if let Some((relation, origin)) = &finding.relation {
                dt { "by" } dd { (text(relation)) " (" (text(&words::origin(origin))) ")" }
            }
        }
    }
}

fn causes(causes: &[Cause]) -> Markup {
    html! {
        @if !causes.is_empty() {
            h4 { @if causes.len() == 1 { "Likely cause" } @else { "Likely causes, the likeliest first" } }
            ol.causes {
                @for cause in causes {
                    li {
                        (text(&cause.sentence))
                        @if !cause.evidence.is_empty() {
                            ul { @for evidence in &cause.evidence { li { (text(evidence)) } } }
                        }
                    }
                }
            }
        }
    }
}

fn also(report: &Report<'_>, finding: &Finding) -> Markup {
    html! {
        @if !finding.also.is_empty() {
            h4 { "Also affected" }
            ul.also {
                @for size in &finding.also {
                    li {
                        @match super::list::anchor(report, &size.row) {
                            Some(anchor) => a href=(format!("#{anchor}")) { (text(&words::place(&size.row))) },
                            None => (text(&words::place(&size.row))),
                        }
                        ": " (text(&size.part)) ", " (size.dimension.word()) " " b { (text(&size.text)) }
                    }
                }
            }
        }
    }
}

fn figure(id: &str, number: usize, picture: &Picture, index: usize) -> Markup {
    let name = if number == 0 {
        format!("{id}-picture")
    } else {
        format!("{id}-picture-{}", number + 1)
    };
    // The wording for screen readers stands in the caption as well: a
    // description hidden in the picture would not be printed.
    let svg = picture.canvas.element(
        &format!("p{}-{number}", index + 1),
        &words::printable(&picture.title),
        &words::printable(&picture.description),
    );
    html! {
        figure #(name) {
            (PreEscaped(svg))
            figcaption {
                b { (text(&picture.title)) } ". "
                (text(&picture.description))
                @if picture.cropped { " Part of the view." }
                " " a href=(format!("#{id}")) { "Back to " (id) }
            }
        }
    }
}
