//! The table of cabinets.

use super::text;
use crate::report::{Report, sizes_table};
use maud::{Markup, html};

pub(super) fn section(report: &Report<'_>) -> Markup {
    let lines = sizes_table::lines(report);
    html! {
        section #cabinets {
            h2 { "Cabinets" }
            @if lines.is_empty() {
                p { "No cabinet could be measured." }
            } @else {
                div.wide role="region" tabindex="0" aria-label="Sizes of the cabinets" {
                    table {
                        caption { "Overall and interior, as drawn and as the listed parts would build them, in " (report.sizes.unit_word()) }
                        thead {
                            tr {
                                th scope="col" { "Cabinet" }
                                th scope="col" { "Size" }
                                th scope="col" { "From" }
                                th.number scope="col" { "Width" }
                                th.number scope="col" { "Height" }
                                th.number scope="col" { "Depth" }
                            }
                        }
                        tbody {
                            @for (index, line) in lines.iter().enumerate() {
                                @let first = index == 0 || lines.get(index - 1).is_some_and(|before| before.cabinet != line.cabinet);
                                tr.first[first] {
                                    th scope="row" {
                                        @if first { (text(line.cabinet)) } @else { span.unseen { (text(line.cabinet)) } }
                                    }
                                    td { (line.place) }
                                    td { (line.from) }
                                    @for index in 0..3 {
                                        @match line.sizes[index] {
                                            Some(size) if line.differs[index] => td.number.disagrees {
                                                (report.sizes.bare(size)) " " span.sign aria-hidden="true" { "✗" } span.unseen { " not as drawn" }
                                            },
                                            Some(size) => td.number { (report.sizes.bare(size)) },
                                            None => td.number { span aria-hidden="true" { "–" } span.unseen { "not known" } },
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
                @let notes = sizes_table::notes(report);
                @if !notes.is_empty() {
                    ul.notes { @for note in &notes { li { (text(note)) } } }
                }
            }
        }
    }
}
