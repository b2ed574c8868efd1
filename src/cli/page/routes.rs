//! What each path of the page does.

use super::desk::{Desk, hold};
use super::draft::{Draft, Statement};
use super::form::{self, Part};
use super::guard::Guard;
use super::http::{Answer, Body, Head, Method, Refused};
use super::kept::{Kept, Source, TableSeen, ViewSeen, said_of};
use super::show::{self, Place, SETTINGS};
use crate::cli::discover::{Held, JOB_FILE};
use crate::construction::job::keys::KINDS;
use crate::cutlist::is_field;
use crate::report::{html_page, html_style};
use std::collections::BTreeMap;

const SCRIPT: &str = include_str!("page.js");
const STYLE: &str = include_str!("page.css");
/// The policy of the report as one file: it brings its style along.
const REPORT_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; \
                             form-action 'none'; frame-ancestors 'none'";

/// What an answer leads to beside being sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Then {
    GoOn,
    End,
}

/// One run of the page.
#[derive(Debug)]
pub struct Room {
    pub guard: Guard,
    pub desk: Desk,
}

/// The fields of a form; the last of each name counts.
type Fields = BTreeMap<String, String>;

impl Room {
    /// Answers a request. Nothing of the body is read before its sender, place
    /// and size are allowed.
    pub fn answer(&self, head: &Head, body: Body<'_>) -> (Answer, Then) {
        let home = self.guard.home();
        let done = self.guard.pass(head).and_then(|rest| {
            let path: Vec<&str> = rest.split('/').collect();
            match head.method {
                Method::Get | Method::Head => Ok((self.get(&path)?, Then::GoOn)),
                Method::Post if path == ["end"] => {
                    Ok((Answer::page(200, show::ended()), Then::End))
                }
                Method::Post => Ok((self.post(&path, head, body)?, Then::GoOn)),
            }
        });
        done.unwrap_or_else(|refused| {
            // Whoever may not know the address is told nothing of it.
            let known = self.guard.pass(head).is_ok();
            let plain = head.header("accept") == Some("text/plain");
            let answer = if known && !plain {
                Answer::page(refused.status, show::refused(&home, &refused))
            } else {
                Answer::text(refused.status, &refused.message)
            };
            (answer, Then::GoOn)
        })
    }

    fn get(&self, path: &[&str]) -> Result<Answer, Refused> {
        let home = self.guard.home();
        match path {
            [""] => Ok(Answer::page(
                200,
                show::start(&home, &self.desk.limits, &self.desk.open()),
            )),
            ["page.css"] => {
                let style = format!("{}{STYLE}", html_style());
                Ok(Answer::new(200, "text/css; charset=utf-8", style))
            }
            ["page.js"] => Ok(Answer::new(200, "text/javascript; charset=utf-8", SCRIPT)),
            ["jobs", number] => self.show(number, |place, job| Ok(show::report(place, job))),
            ["jobs", number, "reading"] => {
                self.show(number, |place, job| Ok(show::reading(place, job, None)))
            }
            ["jobs", number, "job-file"] => self.show(number, |place, job| {
                job.look_again()?;
                Ok(show::job_file(place, job, None))
            }),
            ["jobs", number, "report.html"] => {
                let seen = self.with(number, |job| Ok(job.seen.clone()))?;
                let body = seen.body.as_ref();
                let body = body.ok_or_else(|| Refused::new(404, "this job has no report"))?;
                Ok(
                    Answer::new(200, "text/html; charset=utf-8", html_page(body))
                        .with("Content-Security-Policy", REPORT_POLICY.to_owned()),
                )
            }
            ["jobs", number, "dryfit.toml"] => {
                let draft = self.with(number, |job| Ok(job.draft.clone()))?;
                Ok(
                    Answer::new(200, "application/toml; charset=utf-8", draft).with(
                        "Content-Disposition",
                        format!("attachment; filename=\"{JOB_FILE}\""),
                    ),
                )
            }
            _ => Err(Refused::new(404, "there is no such page")),
        }
    }

    fn post(&self, path: &[&str], head: &Head, body: Body<'_>) -> Result<Answer, Refused> {
        let home = self.guard.home();
        if path == ["jobs"] {
            let number = self.take(head, body)?;
            return Ok(Answer::see(format!("{home}jobs/{number}")));
        }
        let ["jobs", number, what] = path else {
            return Err(Refused::new(404, "there is no such page"));
        };
        if head.length > self.desk.limits.form {
            return Err(Refused::new(413, "a form larger than this page sends"));
        }
        let bytes = body.all()?;
        let fields: Fields = if bytes.is_empty() {
            Fields::new()
        } else {
            let kind = head.header("content-type").unwrap_or_default();
            form::fields(kind, &bytes)?.into_iter().collect()
        };
        let to = |rest: &str| Ok(Answer::see(format!("{home}jobs/{number}/{rest}")));
        match *what {
            "columns" | "views" | "settings" => self.correct(number, what, &fields),
            "text" => self.rewrite(number, &fields),
            "undo" => {
                self.changing(number, &fields, |job| {
                    let saved = job.saved.clone().unwrap_or_default();
                    job.redraft(saved)
                })?;
                to("job-file")
            }
            "save" => {
                let shown = fields.get("shown").map_or("", String::as_str);
                self.changing(number, &fields, |job| job.save(shown))?;
                to("job-file")
            }
            "again" => {
                self.with(number, |job| {
                    job.before = Some(job.seen.brief.clone());
                    let unchanged = !job.changed();
                    // Without corrections of its own it follows the file.
                    if job.look_again()? && unchanged {
                        job.draft = job.saved.clone().unwrap_or_default();
                    }
                    job.check();
                    Ok(())
                })?;
                Ok(Answer::see(format!("{home}jobs/{number}")))
            }
            "close" => {
                self.desk.close(read_number(number)?);
                Ok(Answer::see(home))
            }
            _ => Err(Refused::new(404, "there is no such page")),
        }
    }

    /// Works on a job, alone.
    fn with<T>(
        &self,
        number: &str,
        work: impl FnOnce(&mut Kept) -> Result<T, Refused>,
    ) -> Result<T, Refused> {
        let job = self.desk.job(read_number(number)?)?;
        work(&mut hold(&job))
    }

    fn show(
        &self,
        number: &str,
        page: impl FnOnce(Place<'_>, &mut Kept) -> Result<String, Refused>,
    ) -> Result<Answer, Refused> {
        let home = self.guard.home();
        let place = Place {
            home: &home,
            number: read_number(number)?,
        };
        let page = self.with(number, |job| page(place, job))?;
        Ok(Answer::page(200, page))
    }

    /// Changes a job, if it is still the one the form was made for.
    fn changing(
        &self,
        number: &str,
        fields: &Fields,
        change: impl FnOnce(&mut Kept) -> Result<(), Refused>,
    ) -> Result<(), Refused> {
        let _one_at_a_time = self.desk.work();
        self.with(number, |job| {
            if fields.get("version") != Some(&job.version.to_string()) {
                return Err(Refused::new(
                    409,
                    "this job was changed meanwhile, in another window perhaps; nothing was done. \
                     Load the page again.",
                ));
            }
            change(job)
        })
    }

    /// A job of files that are sent.
    fn take(&self, head: &Head, body: Body<'_>) -> Result<u32, Refused> {
        let limits = &self.desk.limits;
        if head.length > limits.upload {
            let most = usize::try_from(limits.upload).unwrap_or(usize::MAX);
            return Err(Refused::new(
                413,
                format!("more than the {} that are taken at once", form::size(most)),
            ));
        }
        let _one_at_the_door = self.desk.door();
        self.desk.room_for(head.length)?;
        let boundary = form::boundary(head.header("content-type").unwrap_or_default())?;
        let mut names: Vec<String> = Vec::new();
        let parts = form::parts(body, &boundary, limits.files, &mut |name, file| {
            let file = match (name, file) {
                // What a form sends when no file was chosen.
                ("files", Some("")) => return Ok(0),
                ("files", Some(file)) => file_name(file)?,
                _ => return Err(Refused::new(400, format!("a field `{name}`, not a file"))),
            };
            let limit = self.limit(&file)?;
            if names.iter().any(|other| other.eq_ignore_ascii_case(&file)) {
                return Err(Refused::new(
                    422,
                    format!("two files are called {file}; give one another name"),
                ));
            }
            names.push(file);
            Ok(limit)
        })?;
        let mut files = Vec::new();
        for Part { file, bytes, .. } in parts {
            let name = match file.as_deref() {
                Some("") | None => continue,
                Some(file) => file_name(file)?,
            };
            files.push(Held {
                name,
                bytes: bytes.into(),
            });
        }
        if files.iter().all(|file| file.name == JOB_FILE) {
            return Err(Refused::new(
                422,
                "no drawing and no list among the files; send them together",
            ));
        }
        let _one_at_a_time = self.desk.work();
        self.desk.add(Kept::sent(files)?)
    }

    /// Bytes a file of this name may have.
    fn limit(&self, name: &str) -> Result<usize, Refused> {
        let limits = &self.desk.limits;
        if name == JOB_FILE {
            return Ok(limits.job_file);
        }
        let extension = name.rsplit_once('.').map_or("", |(_, extension)| extension);
        match extension.to_ascii_lowercase().as_str() {
            "dxf" => Ok(limits.drawing),
            "csv" | "tsv" | "txt" | "xlsx" | "ods" => Ok(limits.list),
            "dwg" => Err(Refused::new(
                422,
                format!("{name}: a DWG drawing cannot be read; export it as DXF and send that"),
            )),
            _ => Err(Refused::new(
                422,
                format!(
                    "{name} is neither a drawing (.dxf) nor a list (.csv, .tsv, .txt, .xlsx, .ods) \
                     nor a job file ({JOB_FILE})"
                ),
            )),
        }
    }

    fn correct(&self, number: &str, what: &str, fields: &Fields) -> Result<Answer, Refused> {
        let done = self.changing(number, fields, |job| {
            let seen = std::sync::Arc::clone(&job.seen);
            match what {
                "columns" => {
                    let table = fields.get("table").and_then(|table| table.parse().ok());
                    let table: Option<&TableSeen> = table.and_then(|at: usize| seen.tables.get(at));
                    let table = table.ok_or_else(|| Refused::new(400, "no such list"))?;
                    job.change(|draft| columns(draft, table, fields))
                }
                "views" => job.change(|draft| {
                    seen.views
                        .iter()
                        .enumerate()
                        .try_for_each(|(at, view)| one_view(draft, at, view, fields))
                }),
                _ => job.change(|draft| settings(draft, fields)),
            }
        });
        let home = self.guard.home();
        match done {
            Ok(()) => Ok(Answer::see(format!("{home}jobs/{number}/reading#now"))),
            // The page again, with what is wrong; nothing was changed.
            Err(refused) if refused.status == 422 => {
                let answer = self.show(number, |place, job| {
                    Ok(show::reading(place, job, Some(&refused)))
                })?;
                Ok(Answer {
                    status: 422,
                    ..answer
                })
            }
            Err(refused) => Err(refused),
        }
    }

    fn rewrite(&self, number: &str, fields: &Fields) -> Result<Answer, Refused> {
        let text = fields.get("text").cloned().unwrap_or_default();
        let home = self.guard.home();
        match self.changing(number, fields, |job| job.redraft(text.clone())) {
            Ok(()) => Ok(Answer::see(format!("{home}jobs/{number}/job-file"))),
            // With the text as it was sent: it took somebody time to write.
            Err(refused) if refused.status == 422 => {
                let answer = self.show(number, |place, job| {
                    Ok(show::job_file(place, job, Some((&refused, &text))))
                })?;
                Ok(Answer {
                    status: 422,
                    ..answer
                })
            }
            Err(refused) => Err(refused),
        }
    }
}

fn read_number(text: &str) -> Result<u32, Refused> {
    text.bytes()
        .all(|byte| byte.is_ascii_digit())
        .then(|| text.parse().ok())
        .flatten()
        .ok_or_else(|| Refused::new(404, "there is no such page"))
}

/// The last component of a name; nothing that could lead elsewhere. Names are
/// only shown and compared: no path is ever made of one.
fn file_name(given: &str) -> Result<String, Refused> {
    let name = given.rsplit(['/', '\\']).next().unwrap_or_default().trim();
    let sound = !name.is_empty()
        && !name.starts_with('.')
        && name.chars().count() <= 200
        && !name.chars().any(char::is_control);
    if sound {
        Ok(name.to_owned())
    } else {
        Err(Refused::new(422, "a file without a usable name"))
    }
}

/// Puts down what columns hold, where that is not what was read.
fn columns(draft: &mut Draft, table: &TableSeen, fields: &Fields) -> Result<(), String> {
    let outline = &table.now;
    let field_of = |columns: &[crate::cutlist::OutlineColumn], number: usize| {
        columns
            .iter()
            .find(|column| column.number == number)
            .map_or("unused", |column| column.field)
    };
    let heading_of = |number: usize| {
        let mut same = outline.columns.iter().filter(|c| c.number == number);
        let heading = same.next().map_or("", |column| column.heading.trim());
        let others = outline
            .columns
            .iter()
            .filter(|c| c.heading.trim().eq_ignore_ascii_case(heading));
        // A heading that is empty, stands twice or looks like a number cannot
        // name its column.
        let names = !heading.is_empty() && others.count() == 1 && heading.parse::<f64>().is_err();
        names.then(|| heading.to_owned())
    };
    let headless = outline.heading_line.is_none();
    for number in 1..=outline.width {
        let Some(wanted) = fields.get(&format!("c{number}")) else {
            continue;
        };
        let now = field_of(&outline.columns, number);
        // Without headings columns are known by number, all or none.
        if wanted == now && !(headless && wanted != "unused") {
            continue;
        }
        if !is_field(wanted) {
            return Err(format!("`{wanted}` is not something a column can hold"));
        }
        let by_number = number.to_string();
        let place = heading_of(number).filter(|_| !headless);
        let place = place.unwrap_or_else(|| by_number.clone());
        let unaided = table
            .unaided
            .as_ref()
            .map_or("unused", |unaided| field_of(&unaided.columns, number));
        draft.column(&by_number, None)?;
        let stated = (wanted != unaided || headless).then_some(wanted.as_str());
        let stated = stated.filter(|field| !(headless && *field == "unused"));
        draft.column(&place, stated)?;
    }
    Ok(())
}

fn one_view(draft: &mut Draft, at: usize, view: &ViewSeen, fields: &Fields) -> Result<(), String> {
    let field = |letter: char| fields.get(&format!("{letter}{at}")).map(|text| text.trim());
    let (Some(kind), Some(names), Some(scale)) = (field('k'), field('n'), field('s')) else {
        return Ok(());
    };
    if !kind.is_empty() && !KINDS.contains(&kind) {
        return Err(format!("`{kind}` is no kind of view"));
    }
    let before = said_of(draft, view);
    let names: Vec<String> = names
        .split(',')
        .map(str::trim)
        .filter(|name| !name.is_empty())
        .map(str::to_owned)
        .collect();
    let as_recognised = names.is_empty() || (before.cabinets.is_none() && names == view.cabinets);
    let said = Statement {
        kind: (!kind.is_empty()).then(|| kind.to_owned()),
        cabinets: (!as_recognised).then_some(names),
        scale: (!scale.is_empty()).then(|| scale.to_owned()),
    };
    if said == before {
        return Ok(());
    }
    draft.state_view(&view.file, &view.which, &said)
}

fn settings(draft: &mut Draft, fields: &Fields) -> Result<(), String> {
    let places = SETTINGS
        .iter()
        .map(|setting| (setting.name, setting.section, setting.key))
        .chain([("list-sheet", "list", "sheet")]);
    for (name, section, key) in places {
        if let Some(text) = fields.get(name)
            && text.trim() != draft.stated(section, key)
        {
            draft.state(section, key, text.trim())?;
        }
    }
    Ok(())
}

/// Puts the job of a folder on the desk.
///
/// # Errors
/// When its job file cannot be read.
pub fn open_folder(desk: &Desk, folder: &std::path::Path) -> Result<u32, Refused> {
    let job = Kept::folder(folder)?;
    debug_assert!(matches!(job.source, Source::Folder(_)));
    desk.add(job)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_last_component_of_a_name_counts() {
        for (given, name) in [
            ("a.dxf", "a.dxf"),
            ("../../etc/passwd.csv", "passwd.csv"),
            ("C:\\jobs\\list.csv", "list.csv"),
            ("/tmp/<b>.csv", "<b>.csv"),
            ("a..b.csv", "a..b.csv"),
        ] {
            assert_eq!(file_name(given).as_deref(), Ok(name));
        }
        for given in [
            "",
            "..",
            "a/..",
            ".",
            "/",
            "a/",
            ".htaccess",
            "a\u{0}.csv",
            "a\n.csv",
        ] {
            assert!(file_name(given).is_err(), "{given:?}");
        }
        assert!(file_name(&"a".repeat(201)).is_err());
    }

    #[test]
    fn numbers_are_digits_and_nothing_else() {
        assert_eq!(read_number("12"), Ok(12));
        for text in ["", "+1", "-1", "1.0", "..", "99999999999", " 1"] {
            assert!(read_number(text).is_err(), "{text}");
        }
    }
}
