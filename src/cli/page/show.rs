//! The pages: where files are dropped, the report, how it was read, the job file.

use super::desk::Limits;
use super::difference::Fate;
use super::draft::Draft;
use super::form::size;
use super::http::Refused;
use super::kept::{Brief, Kept, Seen, Source, TableSeen, ViewSeen, said_of};
use crate::construction::job::keys::KINDS;
use crate::report::words;
use crate::view::ViewKind;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// What the pages of a job need to know of where they are.
#[derive(Clone, Copy)]
pub struct Place<'a> {
    /// Path of the start page, with slashes around it.
    pub home: &'a str,
    pub number: u32,
}

impl Place<'_> {
    fn to(&self, rest: &str) -> String {
        format!("{}jobs/{}{rest}", self.home, self.number)
    }
}

/// Text from input: escaped by the template, control characters made visible.
fn text(text: &str) -> String {
    words::printable(text)
}

fn page(home: &str, title: &str, body: Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (text(title)) }
                link rel="icon" href="data:,";
                link rel="stylesheet" href={ (home) "page.css" };
                script src={ (home) "page.js" } defer {}
            }
            body { (body) }
        }
    }
    .into_string()
}

/// Where files are dropped, and the jobs that are open.
pub fn start(home: &str, limits: &Limits, open: &[(u32, String)]) -> String {
    let body = html! {
        header {
            p.kicker { "dryfit, on this machine only" }
            h1 { "Hold a cut list against its drawing" }
        }
        main {
            form #drop method="post" action={ (home) "jobs" } enctype="multipart/form-data"
                data-most=(limits.upload) data-files=(limits.files) {
                p #drop-how { "Drop the drawings (.dxf) and the cut list (.csv, .tsv, .txt, .xlsx, .ods) of one job here, or a folder with them. A job file (dryfit.toml) may be among them." }
                p {
                    label for="files" { "Or choose them:" } " "
                    input #files type="file" name="files" multiple required aria-describedby="drop-how drop-kept"
                        accept=".dxf,.csv,.tsv,.txt,.xlsx,.ods,.toml";
                }
                p { button type="submit" { "Check them" } }
                p #drop-said role="status" {}
                p.note #drop-kept {
                    "The files stay in this machine's memory until the job is closed or dryfit ends. Nothing is sent anywhere else. At most "
                    (size(usize::try_from(limits.upload).unwrap_or(usize::MAX))) " at once."
                }
            }
            section aria-labelledby="open-name" {
                h2 #open-name { "Open jobs" }
                @if open.is_empty() { p { "None." } }
                ul.jobs {
                    @for (number, name) in open {
                        li {
                            a href={ (home) "jobs/" (number) } { (text(name)) }
                            form method="post" action={ (home) "jobs/" (number) "/close" } {
                                button type="submit" aria-label={ "Close " (text(name)) } { "Close" }
                            }
                        }
                    }
                }
            }
            form.end method="post" action={ (home) "end" } {
                button type="submit" { "End dryfit" }
                span.note { " Open jobs are forgotten; job files that were saved stay." }
            }
        }
    };
    page(home, "dryfit on this machine", body)
}

/// What cannot be done, and a way back.
pub fn refused(home: &str, refused: &Refused) -> String {
    let body = html! {
        header { p.kicker { "dryfit, on this machine only" } h1 { "That did not work" } }
        main {
            p.said role="alert" { (lines(&refused.message)) }
            p { a href=(home) { "To the start page" } " – or use the browser's way back; nothing was changed." }
        }
    };
    page(home, "dryfit: that did not work", body)
}

/// The last page; it has no style, for nothing answers any more.
pub fn ended() -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head { meta charset="utf-8"; title { "dryfit has ended" } link rel="icon" href="data:,"; }
            body { main { h1 { "dryfit has ended" } p { "This window can be closed." } } }
        }
    }
    .into_string()
}

/// Text with its line ends.
fn lines(said: &str) -> Markup {
    html! {
        @for (at, line) in said.lines().enumerate() {
            @if at > 0 { br; }
            (text(line))
        }
    }
}

/// The line that leads to the pages of a job.
fn bar(place: Place<'_>, job: &Kept, here: &str) -> Markup {
    let link = |rest: &str, word: &str| {
        html! {
            @if rest == here {
                a href=(place.to(rest)) aria-current="page" { (word) }
            } @else {
                a href=(place.to(rest)) { (word) }
            }
        }
    };
    html! {
        nav.bar aria-label="Job" {
            ul {
                li { a href=(place.home) { "Start" } }
                li { (link("", "Report")) }
                li { (link("/reading", "How it was read")) }
                li { (link("/job-file", if job.changed() { "Job file (not saved)" } else { "Job file" })) }
            }
            form method="post" action=(place.to("/again")) { button type="submit" { "Check again" } }
            form method="post" action=(place.to("/close")) { button type="submit" { "Close this job" } }
        }
    }
}

/// The report of a job.
pub fn report(place: Place<'_>, job: &Kept) -> String {
    let seen = &job.seen;
    let body = html! {
        @match (&seen.body, &seen.trouble) {
            (Some(body), _) => {
                (PreEscaped(&body.skip))
                header {
                    (bar(place, job, ""))
                    (PreEscaped(&body.header))
                }
                main {
                    p { a href=(place.to("/report.html")) download={ (file_name(&job.name)) "-report.html" } { "Save this report as one file" } }
                    (PreEscaped(&body.main))
                }
                footer { (PreEscaped(&body.footer)) }
            }
            (None, trouble) => {
                header { (bar(place, job, "")) p.kicker { "Cut list against drawing" } h1 { (text(&job.name)) } }
                main {
                    p.said role="alert" { (lines(trouble.as_deref().unwrap_or("There is no report."))) }
                    p { a href=(place.to("/reading")) { "See how the files were read" } }
                }
            }
        }
    };
    page(place.home, &format!("{}: report", job.name), body)
}

/// A name that is safe as a file's.
fn file_name(name: &str) -> String {
    let name: String = name
        .chars()
        .map(|c| {
            if c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' ') {
                c
            } else {
                '-'
            }
        })
        .collect();
    name.trim_matches(['.', ' ']).to_owned()
}

/// Columns, views, units, and what correcting them changed.
pub fn reading(place: Place<'_>, job: &Kept, said: Option<&Refused>) -> String {
    let seen = &job.seen;
    let draft = Draft::new(&job.draft).ok();
    let body = html! {
        header {
            (bar(place, job, "/reading"))
            p.kicker { (text(&job.name)) }
            h1 { "How it was read" }
            (effect(seen, job.before.as_ref()))
            nav aria-label="On this page" {
                ul {
                    li { a href="#columns" { "Columns of the list" } }
                    li { a href="#views" { "Views of the drawings" } }
                    li { a href="#settings" { "Units, scale, tolerance" } }
                }
            }
        }
        main {
            @if let Some(said) = said { p.said role="alert" { (lines(&said.message)) } }
            @if let Some(trouble) = &seen.trouble { p.said role="alert" { (lines(trouble)) } }
            @match &draft {
                Some(draft) => {
                    (columns(place, job, seen))
                    (views(place, job, seen, draft))
                    (settings(place, job, seen, draft))
                }
                None => p { "The job file cannot be read, so nothing can be corrected here. " a href=(place.to("/job-file")) { "Correct it first" } "." },
            }
        }
    };
    page(place.home, &format!("{}: how it was read", job.name), body)
}

/// What the last change did to the report.
fn effect(seen: &Seen, before: Option<&Brief>) -> Markup {
    let now = &seen.brief;
    let missing = |from: &Brief, to: &Brief| -> Vec<String> {
        from.findings
            .iter()
            .filter(|(id, _)| to.findings.iter().all(|(other, _)| other != id))
            .map(|(_, message)| message.clone())
            .collect()
    };
    let outcome = seen.outcome.map_or("unusable", words::outcome);
    html! {
        p.outcome.(outcome) #now role="status" {
            @if seen.outcome.is_some() {
                (now.sentence) " " (counts(now))
            } @else {
                "There is no report yet."
            }
        }
        @if let Some(before) = before {
            @let (gone, new) = (missing(before, now), missing(now, before));
            section.effect aria-labelledby="effect-name" {
                h2 #effect-name { "What the last change did" }
                p {
                    "Before: " (counts(before)) " Now: " (counts(now))
                }
                @if gone.is_empty() && new.is_empty() { p { "The findings are the same." } }
                @if !gone.is_empty() {
                    h3 { "Findings gone" }
                    (some(&gone))
                }
                @if !new.is_empty() {
                    h3 { "Findings new" }
                    (some(&new))
                }
            }
        }
    }
}

/// The first of several findings, and how many more there are.
fn some(messages: &[String]) -> Markup {
    const MOST: usize = 8;
    html! {
        ul {
            @for message in messages.iter().take(MOST) { li { (text(message)) } }
            @if messages.len() > MOST { li { "and " (messages.len() - MOST) " more" } }
        }
    }
}

fn counts(brief: &Brief) -> String {
    format!(
        "{}; {} sizes agree, {} disagree, {} not checked.",
        words::count(brief.findings.len(), "finding"),
        brief.agree,
        brief.disagree,
        brief.unchecked
    )
}

/// What columns can hold, in the trade's words; the field's own name otherwise.
fn field_label(field: &str) -> String {
    let label = match field {
        "quantity-per-cabinet" => "quantity for one cabinet",
        "quantity-total" => "quantity for the job",
        "cabinet-count" => "number of cabinets",
        "size" => "several sizes in one cell",
        "number" => "running number",
        "unused" => "not used",
        other => return other.replace('-', " "),
    };
    label.to_owned()
}

fn columns(place: Place<'_>, job: &Kept, seen: &Seen) -> Markup {
    html! {
        section #columns {
            h2 { "Columns of the list" }
            @if seen.tables.is_empty() { p { "No list could be read." } }
            @for (index, table) in seen.tables.iter().enumerate() {
                (columns_of(place, job, index, table))
            }
        }
    }
}

fn columns_of(place: Place<'_>, job: &Kept, index: usize, table: &TableSeen) -> Markup {
    let outline = &table.now;
    let name = match &outline.sheet {
        Some(sheet) => format!("{}, sheet {sheet}", table.file),
        None => table.file.clone(),
    };
    let field_of = |number: usize| {
        outline
            .columns
            .iter()
            .find(|column| column.number == number)
    };
    html! {
        h3 { (text(&name)) }
        p.note {
            @match outline.heading_line {
                Some(line) => { "The headings are in line " (line) ". " },
                None => { "No line with headings was found. " },
            }
            "Say above each column what it holds."
        }
        form.columns method="post" action=(place.to("/columns")) {
            input type="hidden" name="version" value=(job.version);
            input type="hidden" name="table" value=(index);
            div.wide role="region" tabindex="0" aria-label={ "First lines of " (text(&name)) } {
                table {
                    thead {
                        tr {
                            td { span.unseen { "Line" } }
                            @for number in 1..=outline.width {
                                @let column = field_of(number);
                                @let current = column.map_or("unused", |column| column.field);
                                th scope="col" {
                                    select name={ "c" (number) } aria-label={ "Column " (number) " " (text(column.map_or("", |c| c.heading.as_str()))) " holds" } {
                                        @if crate::cutlist::field_names().all(|field| field != current) {
                                            option value=(current) selected { (current) }
                                        }
                                        @for field in crate::cutlist::field_names() {
                                            option value=(field) selected[field == current] { (field_label(field)) }
                                        }
                                    }
                                    @if let Some(because) = column.and_then(|column| column.because.as_ref()) {
                                        br; span.note { (text(because)) }
                                    }
                                }
                            }
                        }
                    }
                    tbody {
                        @for (line, cells) in &outline.lines {
                            tr.head[outline.heading_line == Some(*line)] {
                                th.number scope="row" { (line) }
                                @for at in 0..outline.width {
                                    td { (text(cells.get(at).map_or("", String::as_str))) }
                                }
                            }
                        }
                    }
                }
            }
            p { button type="submit" { "Read the columns so" } }
        }
    }
}

const fn kind_word(kind: ViewKind) -> &'static str {
    match kind {
        ViewKind::Front => "front",
        ViewKind::End => "end",
        ViewKind::Section => "section",
        ViewKind::Plan => "plan",
        ViewKind::FlatPart => "flat part",
        ViewKind::Unknown => "not told",
    }
}

fn views(place: Place<'_>, job: &Kept, seen: &Seen, draft: &Draft) -> Markup {
    html! {
        section #views {
            h2 { "Views of the drawings" }
            @if seen.views.is_empty() { p { "No view was found." } }
            @else {
                p.note { "Say what a view shows where it was recognised wrongly or not at all. Names of cabinets are separated by commas." }
                form method="post" action=(place.to("/views")) {
                    input type="hidden" name="version" value=(job.version);
                    datalist #names { @for name in &seen.names { option value=(text(name)) {} } }
                    div.views {
                        @for (index, view) in seen.views.iter().enumerate() {
                            (one_view(index, view, draft))
                        }
                    }
                    @if seen.more_views > 0 { p.note { "And " (seen.more_views) " more; they are not listed here." } }
                    p { button type="submit" { "Read the views so" } }
                }
            }
        }
    }
}

fn one_view(index: usize, view: &ViewSeen, draft: &Draft) -> Markup {
    let said = said_of(draft, view);
    let cabinets = said.cabinets.as_ref().unwrap_or(&view.cabinets).join(", ");
    let unclear = view.cabinets.is_empty() || view.kind == ViewKind::Unknown;
    html! {
        fieldset.view {
            legend {
                @if unclear { span.sign aria-hidden="true" { "? " } span.unseen { "Not recognised: " } }
                (index + 1) ". " (text(&view.title))
            }
            @if let Some(picture) = &view.picture { div.small { (PreEscaped(picture)) } }
            p {
                label for={ "k" (index) } { "It shows a" } " "
                select #{ "k" (index) } name={ "k" (index) } {
                    option value="" { "as recognised: " (kind_word(view.kind)) }
                    @for kind in KINDS {
                        option value=(kind) selected[said.kind.as_deref() == Some(*kind)] { (kind.replace('-', " ")) }
                    }
                }
            }
            p {
                label for={ "n" (index) } { "of" } " "
                input #{ "n" (index) } name={ "n" (index) } list="names" value=(cabinets) autocomplete="off" spellcheck="false";
            }
            p {
                label for={ "s" (index) } { "at the scale" } " "
                input #{ "s" (index) } name={ "s" (index) } value=(said.scale.as_deref().unwrap_or("")) placeholder="as recognised" autocomplete="off" size="14";
            }
            p.note { (text(&view.size)) ". " (text(&view.kind_evidence)) ". Scale: " (text(&view.scale)) "." }
        }
    }
}

/// A field of the settings: where it stands in the job file and what it takes.
pub struct Setting {
    pub name: &'static str,
    pub section: &'static str,
    pub key: &'static str,
    label: &'static str,
    /// Choices with their words; a text when there are none.
    choices: &'static [(&'static str, &'static str)],
    help: &'static str,
}

const UNITS: &[(&str, &str)] = &[
    ("", "as found"),
    ("in", "inches"),
    ("ft", "feet"),
    ("mm", "millimetres"),
    ("cm", "centimetres"),
    ("m", "metres"),
];

/// Everything the settings form states.
pub const SETTINGS: [Setting; 7] = [
    Setting {
        name: "tolerance",
        section: "tolerance",
        key: "default",
        label: "Largest difference that still passes",
        choices: &[],
        help: "a size such as 1/32 in or 0.8 mm; 1/32 in when empty",
    },
    Setting {
        name: "drawing-units",
        section: "drawing",
        key: "units",
        label: "One drawing unit is",
        choices: UNITS,
        help: "",
    },
    Setting {
        name: "drawing-scale",
        section: "drawing",
        key: "scale",
        label: "Scale of the drawings",
        choices: &[],
        help: "such as 1:12, or 1 1/2 in = 1 ft; as found when empty",
    },
    Setting {
        name: "list-units",
        section: "list",
        key: "units",
        label: "Plain numbers of the list are",
        choices: UNITS,
        help: "",
    },
    Setting {
        name: "list-quantity",
        section: "list",
        key: "quantity",
        label: "Quantities of the list are for",
        choices: &[
            ("", "as found"),
            ("cabinet", "one cabinet"),
            ("job", "the whole job"),
        ],
        help: "",
    },
    Setting {
        name: "list-sizes",
        section: "list",
        key: "sizes",
        label: "Sizes of the list are",
        choices: &[
            ("", "as found"),
            ("finished", "finished sizes"),
            ("cut", "cut sizes, before edge band"),
        ],
        help: "",
    },
    Setting {
        name: "job-units",
        section: "job",
        key: "units",
        label: "Sizes in the report are printed in",
        choices: UNITS,
        help: "",
    },
];

fn settings(place: Place<'_>, job: &Kept, seen: &Seen, draft: &Draft) -> Markup {
    let sheets: Vec<&str> = seen
        .tables
        .iter()
        .filter_map(|table| table.now.sheet.as_deref())
        .collect();
    html! {
        section #settings {
            h2 { "Units, scale, tolerance" }
            form.settings method="post" action=(place.to("/settings")) {
                input type="hidden" name="version" value=(job.version);
                @for setting in &SETTINGS {
                    @let stated = draft.stated(setting.section, setting.key);
                    p {
                        label for=(setting.name) { (setting.label) } " "
                        @if setting.choices.is_empty() {
                            input #(setting.name) name=(setting.name) value=(stated) autocomplete="off"
                                aria-describedby={ (setting.name) "-help" };
                        } @else {
                            select #(setting.name) name=(setting.name) {
                                @for (value, word) in setting.choices {
                                    option value=(value) selected[stated == *value] { (word) }
                                }
                            }
                        }
                        @if !setting.help.is_empty() { " " span.note #{ (setting.name) "-help" } { (setting.help) } }
                    }
                }
                @let sheet = draft.stated("list", "sheet");
                @if sheets.len() > 1 || !sheet.is_empty() {
                    p {
                        label for="list-sheet" { "Sheet of the workbook to read" } " "
                        select #list-sheet name="list-sheet" {
                            option value="" { "all" }
                            @for name in &sheets { option value=(name) selected[sheet == *name] { (text(name)) } }
                            @if !sheet.is_empty() && !sheets.contains(&sheet.as_str()) { option value=(sheet) selected { (text(&sheet)) } }
                        }
                    }
                }
                p { button type="submit" { "Check with these" } }
            }
        }
    }
}

/// The job file: the draft, how it differs from the saved one, saving it.
pub fn job_file(place: Place<'_>, job: &Kept, said: Option<(&Refused, &str)>) -> String {
    let draft = said.map_or(job.draft.as_str(), |(_, text)| text);
    let folder = match &job.source {
        Source::Folder(folder) => Some(folder.display().to_string()),
        Source::Sent(_) => None,
    };
    let body = html! {
        header {
            (bar(place, job, "/job-file"))
            p.kicker { (text(&job.name)) }
            h1 { "Job file" }
            p { "What was corrected is kept in a file called dryfit.toml beside the drawings and the list. With it, the next check reads the job the same way." }
        }
        main {
            @if let Some((said, _)) = said { p.said role="alert" { (lines(&said.message)) } }
            section aria-labelledby="differences-name" {
                h2 #differences-name { "What would change" }
                @if job.changed() {
                    p.note { "+ comes, − goes, against the " @if job.saved.is_some() { "job file as it is" } @else { "empty start: there is no job file yet" } "." }
                    (differences(job))
                } @else if job.draft.is_empty() {
                    p { "Nothing was corrected, so no job file is needed." }
                } @else {
                    p { "Nothing: the job file says it already." }
                }
                p.actions {
                    a.button href=(place.to("/dryfit.toml")) download="dryfit.toml" { "Download dryfit.toml" }
                }
                @if let Some(folder) = &folder {
                    @if job.changed() {
                        form method="post" action=(place.to("/save")) {
                            input type="hidden" name="version" value=(job.version);
                            input type="hidden" name="shown" value=(job.saved_mark());
                            p {
                                button type="submit" {
                                    @if job.saved.is_some() { "Replace dryfit.toml as shown above" } @else { "Save dryfit.toml" }
                                }
                                " in " (text(folder))
                            }
                        }
                        form method="post" action=(place.to("/undo")) {
                            input type="hidden" name="version" value=(job.version);
                            p { button type="submit" { "Take all corrections back" } }
                        }
                    }
                }
            }
            section aria-labelledby="text-name" {
                h2 #text-name { "As text" }
                form method="post" action=(place.to("/text")) {
                    input type="hidden" name="version" value=(job.version);
                    p { label for="text" { "The whole job file; `dryfit explain job-file` lists what it can say." } }
                    textarea #text name="text" rows="18" spellcheck="false" { "\n" (draft) }
                    p { button type="submit" { "Check with this text" } }
                }
            }
        }
    };
    page(place.home, &format!("{}: job file", job.name), body)
}

fn differences(job: &Kept) -> Markup {
    html! {
        div.wide role="region" tabindex="0" aria-label="Lines that change" {
            pre.differences {
                @for (fate, line) in job.differences() {
                    @match fate {
                        Fate::Stays => span { "  " (text(line)) "\n" },
                        Fate::Goes => del { "− " (text(line)) "\n" },
                        Fate::Comes => ins { "+ " (text(line)) "\n" },
                    }
                }
            }
        }
    }
}
