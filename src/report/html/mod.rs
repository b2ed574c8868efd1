//! The report as one self-contained HTML page: no script, no network, readable
//! on paper in grey. Finding, row and picture are linked both ways.

mod coverage;
mod findings;
mod list;
mod sizes;

use super::marks::Marks;
use super::{Report, svg, words};
use crate::audit::{Bin, Outcome};
use crate::signoff::open;
use maud::{DOCTYPE, Markup, PreEscaped, html};

const STYLE: &str = include_str!("page.css");
/// Nothing may be fetched and nothing may run, whatever a name in the input says.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// The inside of a report, in the pieces a page is made of.
#[derive(Clone, Debug, Default)]
pub struct Body {
    pub title: String,
    /// The link that leads past everything above the findings.
    pub skip: String,
    /// What belongs into the page's `<header>`, `<main>` and `<footer>`.
    pub header: String,
    pub main: String,
    pub footer: String,
}

/// The style sheet of reports, pictures included.
pub fn style() -> String {
    format!("{STYLE}{}", svg::STYLE)
}

pub(super) fn render(report: &Report<'_>) -> String {
    page(&body(report))
}

pub(super) fn body(report: &Report<'_>) -> Body {
    let outcome = report.outcome();
    let marks = Marks::of(report);
    let header = html! {
        p.kicker { "Cut list against drawing" }
        h1 { (text(&report.job.name)) }
        p.outcome.(words::outcome(outcome)) {
            span.sign aria-hidden="true" { (sign(outcome)) }
            (report.outcome_sentence())
        }
        (totals(report))
        (contents(report))
    };
    let main = html! {
        (findings::section(report))
        (accepted(report))
        (sizes::section(report))
        (list::section(report, &marks))
        (coverage::section(report))
        (assumptions(report))
        (cautions(report))
        section #totals {
            h2 { "Totals" }
            ul { @for line in super::totals::lines(report) { li { (line) } } }
        }
    };
    let footer = html! {
        p { "Written by dryfit " (env!("CARGO_PKG_VERSION")) ". All sizes in " (report.sizes.unit_word()) " unless marked otherwise." }
    };
    Body {
        title: format!(
            "{}: cut list against drawing",
            words::printable(&report.job.name)
        ),
        skip: html! { a.skip href="#findings" { "Skip to the findings" } }.into_string(),
        header: header.into_string(),
        main: main.into_string(),
        footer: footer.into_string(),
    }
}

/// The report as one file.
pub fn page(body: &Body) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (body.title) }
                style { (PreEscaped(STYLE)) (PreEscaped(svg::STYLE)) }
            }
            body {
                (PreEscaped(&body.skip))
                header { (PreEscaped(&body.header)) }
                main { (PreEscaped(&body.main)) }
                footer { (PreEscaped(&body.footer)) }
            }
        }
    };
    let mut page = page.into_string();
    page.push('\n');
    page
}

/// Text from input: escaped by the template, control characters made visible.
fn text(text: &str) -> String {
    words::printable(text)
}

const fn sign(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Agrees => "✓",
        Outcome::Disagrees | Outcome::Unusable => "✗",
        Outcome::Unchecked => "?",
    }
}

const fn bin_sign(bin: Bin) -> &'static str {
    match bin {
        Bin::Agrees => "✓",
        Bin::Disagrees => "✗",
        Bin::Unchecked => "?",
    }
}

const fn bin_words(bin: Bin) -> &'static str {
    match bin {
        Bin::Agrees => "agrees",
        Bin::Disagrees => "disagrees",
        Bin::Unchecked => "not checked",
    }
}

/// The totals as a bar whose parts are told apart by pattern and words.
fn totals(report: &Report<'_>) -> Markup {
    let covered = &report.audit.coverage;
    let count = |bin| covered.iter().filter(|size| size.bin == bin).count();
    let rows: usize = report.job.lists.iter().map(|list| list.rows.len()).sum();
    html! {
        ul.totals {
            li { b { (report.audit.findings.len()) } " " (if report.audit.findings.len() == 1 { "finding" } else { "findings" }) }
            @for bin in [Bin::Agrees, Bin::Disagrees, Bin::Unchecked] {
                li.(words::bin(bin)) {
                    b { (count(bin)) }
                    " " span aria-hidden="true" { (bin_sign(bin)) } " "
                    (match bin { Bin::Agrees => "agree", Bin::Disagrees => "disagree", Bin::Unchecked => "not checked" })
                }
            }
            li { "of " b { (covered.len()) } " sizes in " b { (rows) } " rows" }
        }
    }
}

fn contents(report: &Report<'_>) -> Markup {
    html! {
        nav aria-label="Contents" {
            ul {
                li { a href="#findings" { "Findings" } }
                li { a href="#cabinets" { "Cabinets" } }
                li { a href="#list" { "Cut list" } }
                li { a href="#coverage" { "What was checked" } }
                @if report.settled.is_some_and(|settled| !settled.entries.is_empty()) { li { a href="#accepted" { "Accepted" } } }
                @if !report.audit.assumptions.is_empty() { li { a href="#assumptions" { "Taken as given" } } }
                @if !report.audit.cautions.is_empty() { li { a href="#cautions" { "Cautions" } } }
            }
        }
    }
}

fn accepted(report: &Report<'_>) -> Markup {
    let open = open::items(report.audit);
    let findings = (0..report.audit.findings.len()).filter_map(|index| {
        let finding = report.audit.findings.get(index)?;
        Some((
            Report::id(index),
            &finding.message,
            report.accepted_finding(index)?,
        ))
    });
    let items = (0..open.len()).filter_map(|index| {
        let item = open.get(index)?;
        Some((
            Report::open_id(index),
            &item.text,
            report.accepted_open(index)?,
        ))
    });
    let accepted: Vec<_> = findings.chain(items).collect();
    let lapsed = report.lapsed();
    html! {
        @if !accepted.is_empty() || !lapsed.is_empty() {
            section #accepted {
                h2 { "Accepted" }
                @if !accepted.is_empty() {
                    dl.accepted {
                        @for (id, says, entry) in &accepted {
                            dt #(id) { span.id { (id) } " " (text(says)) }
                            dd { (text(&words::accepted(entry))) }
                        }
                    }
                }
                @if !lapsed.is_empty() {
                    h3 { "No longer accepted" }
                    ul { @for sentence in &lapsed { li { (text(sentence)) } } }
                }
            }
        }
    }
}

fn assumptions(report: &Report<'_>) -> Markup {
    html! {
        @if !report.audit.assumptions.is_empty() {
            section #assumptions {
                h2 { "Taken as given" }
                p { "The report relies on these. If one is wrong for this job, say so in the job file and check again." }
                table {
                    thead { tr { th scope="col" { "Rule" } th scope="col" { "From" } th.number scope="col" { "Sizes decided" } } }
                    tbody {
                        @for assumption in &report.audit.assumptions {
                            tr {
                                td { (text(&assumption.sentence)) }
                                td { (text(&words::origin(&assumption.origin))) }
                                td.number { (assumption.decided) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn cautions(report: &Report<'_>) -> Markup {
    html! {
        @if !report.audit.cautions.is_empty() {
            section #cautions {
                h2 { "Cautions" }
                ul {
                    @for caution in &report.audit.cautions {
                        li { (caution.text) }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Format, sample};

    fn page() -> String {
        let (job, audit) = (sample::job(), sample::audit());
        Report::new(&job, &audit).render(Format::Html, false)
    }

    /// The first finding and the first open item accepted, one entry lapsed.
    fn page_with_accepted() -> String {
        let (job, audit) = (sample::job(), sample::audit());
        let settled = sample::settled(&job, &audit);
        Report::new(&job, &audit)
            .settled(&settled)
            .render(Format::Html, false)
    }

    #[test]
    fn a_job_with_findings() {
        insta::assert_snapshot!(page().replace(env!("CARGO_PKG_VERSION"), "VERSION"));
    }

    #[test]
    fn nothing_from_input_becomes_markup() {
        let page = page();
        assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
        assert!(!page.contains("<script"));
        // Nothing is fetched.
        assert!(!page.contains("src=") && !page.contains("url("));
        assert!(
            !page
                .replace("http://www.w3.org/2000/svg", "")
                .contains("http://")
        );
    }

    #[test]
    fn every_link_has_its_target_and_every_id_is_one() {
        let links = links_of(&page());
        // Row to finding and finding to row.
        assert!(links.iter().any(|link| link == "#F1"));
        assert!(links.iter().any(|link| link == "#row-0-2"));
        assert!(links.iter().any(|link| link == "#F1-picture"));
        let links = links_of(&page_with_accepted());
        assert!(links.iter().any(|link| link == "#F1"));
        assert!(!links.iter().any(|link| link == "#F1-picture"));
    }

    #[test]
    fn what_is_accepted_stands_by_itself() {
        let page = page_with_accepted();
        let accepted = page.split("id=\"accepted\"").nth(1).unwrap();
        assert!(accepted.contains("accepted by Ada on 2026-01-01, until 2026-06-30: as built"));
        assert!(accepted.contains("the job has nothing of that name any more"));
    }

    /// All links of a page, each with its target.
    fn links_of(page: &str) -> Vec<String> {
        let values = |name: &str| -> Vec<String> {
            page.split(&format!(" {name}=\""))
                .skip(1)
                .filter_map(|rest| rest.split('"').next())
                .map(str::to_owned)
                .collect()
        };
        let ids = values("id");
        let links = values("href");
        assert!(links.len() > 10);
        for link in &links {
            assert!(ids.iter().any(|id| format!("#{id}") == *link), "{link}");
        }
        let mut unique = ids.clone();
        unique.sort();
        unique.dedup();
        assert_eq!(unique.len(), ids.len());
        links
    }
}
