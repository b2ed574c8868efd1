//! Changes to the text of a job file, one statement at a time. What a person
//! wrote in it, comments and order, stays as it is.

use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value, value};

/// A job file being changed.
#[derive(Clone, Debug)]
pub struct Draft {
    document: DocumentMut,
}

/// Which view a `[[view]]` speaks of.
#[derive(Clone, Debug, PartialEq)]
pub enum Which {
    Title(String),
    /// Left, bottom, right, top, in drawing units.
    Region([f64; 4]),
}

/// What is said of one view; `None` leaves it as recognised.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Statement {
    pub kind: Option<String>,
    pub cabinets: Option<Vec<String>>,
    pub scale: Option<String>,
}

impl Draft {
    /// # Errors
    /// When the text is no TOML, with what is wrong.
    pub fn new(text: &str) -> Result<Self, String> {
        let document = text
            .parse::<DocumentMut>()
            .map_err(|error| error.to_string())?;
        Ok(Draft { document })
    }

    pub fn text(&self) -> String {
        self.document.to_string()
    }

    /// The text under `[section] key`; empty when it is not stated.
    pub fn stated(&self, section: &str, key: &str) -> String {
        let item = self.document.get(section).and_then(|item| item.get(key));
        item.map(plain).unwrap_or_default()
    }

    /// States `[section] key = "text"`; an empty text takes the statement away.
    ///
    /// # Errors
    /// When the section is written as something else.
    pub fn state(&mut self, section: &str, key: &str, text: &str) -> Result<(), String> {
        if text.is_empty() {
            if let Some(table) = self
                .document
                .get_mut(section)
                .and_then(Item::as_table_like_mut)
            {
                table.remove(key);
            }
            return Ok(());
        }
        let table = self.section(section)?;
        put(table, key, text.into());
        Ok(())
    }

    fn section(&mut self, section: &str) -> Result<&mut dyn toml_edit::TableLike, String> {
        let item = self
            .document
            .entry(section)
            .or_insert_with(|| Item::Table(Table::new()));
        item.as_table_like_mut()
            .ok_or_else(|| format!("`{section}` is no section in the job file"))
    }

    /// Which columns `[list.columns]` gives to which field.
    pub fn columns(&self) -> Vec<(String, String)> {
        let columns = self
            .document
            .get("list")
            .and_then(|list| list.get("columns"))
            .and_then(Item::as_table_like);
        let Some(columns) = columns else {
            return Vec::new();
        };
        let mut all = Vec::new();
        for (field, item) in columns.iter() {
            match item.as_array() {
                Some(array) => all.extend(
                    array
                        .iter()
                        .map(|value| (field.to_owned(), plain_value(value))),
                ),
                None => all.push((field.to_owned(), plain(item))),
            }
        }
        all
    }

    /// Gives a column, by heading or number, to a field; without a field takes
    /// the statement about it away.
    ///
    /// # Errors
    /// When the section is written as something else.
    pub fn column(&mut self, place: &str, field: Option<&str>) -> Result<(), String> {
        let mut columns = self.columns();
        columns.retain(|(_, other)| !other.trim().eq_ignore_ascii_case(place.trim()));
        if let Some(field) = field {
            columns.push((field.to_owned(), place.to_owned()));
        }
        // A section that only holds another needs no heading of its own, unless
        // somebody wrote one.
        let own = match self.document.get("list") {
            None => true,
            Some(item) => item.as_table().is_some_and(Table::is_implicit),
        };
        let list = self.section("list")?;
        let item = list
            .entry("columns")
            .or_insert_with(|| Item::Table(Table::new()));
        let table = item
            .as_table_like_mut()
            .ok_or("`list.columns` is no section in the job file")?;
        let mut fields: Vec<&str> = Vec::new();
        for (field, _) in &columns {
            if !fields.contains(&field.as_str()) {
                fields.push(field);
            }
        }
        let gone: Vec<String> = table
            .iter()
            .map(|(field, _)| field.to_owned())
            .filter(|field| !fields.contains(&field.as_str()))
            .collect();
        for field in gone {
            table.remove(&field);
        }
        for field in fields {
            let places: Vec<Value> = columns
                .iter()
                .filter(|(other, _)| other == field)
                .map(|(_, place)| number_or_text(place))
                .collect();
            let new = match <[Value; 1]>::try_from(places) {
                Ok([one]) => one,
                Err(several) => Value::Array(Array::from_iter(several)),
            };
            put(table, field, new);
        }
        if table.is_empty() {
            list.remove("columns");
        }
        if let Some(list) = self.document.get_mut("list").and_then(Item::as_table_mut) {
            list.set_implicit(own);
            if own && list.is_empty() {
                self.document.remove("list");
            }
        }
        Ok(())
    }

    /// What is said of a view.
    pub fn view(&self, file: &str, which: &Which) -> Statement {
        let Some(table) = self
            .views()
            .and_then(|views| views.iter().find(|table| speaks_of(table, file, which)))
        else {
            return Statement::default();
        };
        let text = |key: &str| table.get(key).map(plain);
        Statement {
            kind: text("kind"),
            scale: text("scale"),
            cabinets: table.get("cabinets").map(|item| match item.as_array() {
                Some(array) => array.iter().map(plain_value).collect(),
                None => vec![plain(item)],
            }),
        }
    }

    fn views(&self) -> Option<&ArrayOfTables> {
        self.document.get("view").and_then(Item::as_array_of_tables)
    }

    /// States what a view shows, in place of what was said of it.
    ///
    /// # Errors
    /// When `view` is written as something else.
    pub fn state_view(
        &mut self,
        file: &str,
        which: &Which,
        said: &Statement,
    ) -> Result<(), String> {
        let item = self
            .document
            .entry("view")
            .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
        let views = item
            .as_array_of_tables_mut()
            .ok_or("`view` is not written as [[view]] in the job file")?;
        let place = views.iter().position(|table| speaks_of(table, file, which));
        if place.is_none() && *said != Statement::default() {
            let mut table = Table::new();
            table.insert("file", value(file));
            match which {
                Which::Title(title) => table.insert("title", value(title.as_str())),
                Which::Region(region) => table.insert(
                    "region",
                    value(Array::from_iter(region.iter().map(|side| rounded(*side)))),
                ),
            };
            views.push(table);
        }
        let place = place.or(views.len().checked_sub(1));
        if let Some(table) = place.and_then(|place| views.get_mut(place)) {
            let mut set = |key: &str, new: Option<Value>| match new {
                Some(new) => put(table, key, new),
                None => {
                    table.remove(key);
                }
            };
            set("kind", said.kind.as_deref().map(Value::from));
            let names = said.cabinets.as_ref();
            set(
                "cabinets",
                names.map(|names| Value::Array(Array::from_iter(names.iter().map(String::as_str)))),
            );
            set("scale", said.scale.as_deref().map(Value::from));
            // One that says no more than which view it means says nothing.
            let idle = table
                .iter()
                .all(|(key, _)| matches!(key, "file" | "title" | "region"));
            if idle && let Some(place) = place {
                views.remove(place);
            }
        }
        if views.is_empty() {
            self.document.remove("view");
        }
        Ok(())
    }
}

/// Puts a value in the place of another, with the comment behind it.
fn put(table: &mut dyn toml_edit::TableLike, key: &str, mut new: Value) {
    if let Some(old) = table.get(key).and_then(Item::as_value) {
        *new.decor_mut() = old.decor().clone();
    }
    match table.get_mut(key) {
        Some(item) => *item = Item::Value(new),
        None => {
            table.insert(key, Item::Value(new));
        }
    }
}

fn speaks_of(table: &Table, file: &str, which: &Which) -> bool {
    let named = table.get("file").map(plain);
    if named.is_some_and(|named| !named.eq_ignore_ascii_case(file)) {
        return false;
    }
    let title = table.get("title").map(plain);
    let region: Option<Vec<f64>> = table
        .get("region")
        .and_then(Item::as_array)
        .map(|array| array.iter().filter_map(number).collect());
    match which {
        Which::Title(wanted) => region.is_none() && title.as_ref() == Some(wanted),
        Which::Region(wanted) => region.is_some_and(|region| {
            let size = (wanted[2] - wanted[0])
                .abs()
                .max((wanted[3] - wanted[1]).abs());
            region.len() == 4
                && region
                    .iter()
                    .zip(wanted)
                    .all(|(a, b)| (a - b).abs() <= 0.02 * size)
        }),
    }
}

fn number(value: &Value) -> Option<f64> {
    value
        .as_float()
        .or_else(|| value.as_integer().map(|whole| whole as f64))
}

/// A side of a region, without digits that mean nothing.
fn rounded(side: f64) -> Value {
    let side = (side * 1000.0).round() / 1000.0;
    if side.fract() == 0.0 && side.abs() < 1e15 {
        Value::from(side as i64)
    } else {
        Value::from(side)
    }
}

fn number_or_text(place: &str) -> Value {
    match place.trim().parse::<i64>() {
        Ok(number) => Value::from(number),
        Err(_) => Value::from(place),
    }
}

fn plain(item: &Item) -> String {
    item.as_value().map(plain_value).unwrap_or_default()
}

fn plain_value(value: &Value) -> String {
    match value {
        Value::String(text) => text.value().clone(),
        other => other.to_string().trim().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::construction::JobFile;

    const WRITTEN: &str = "# ours\n[job]\nname = \"Kiln\" # the big one\n\n[list]\nunits = \"mm\"\n\n[list.columns]\nlength = \"L\" # finished\n";

    fn draft(text: &str) -> Draft {
        Draft::new(text).expect("a draft")
    }

    fn reads(draft: &Draft) -> JobFile {
        JobFile::parse(&draft.text(), "dryfit.toml").expect("a job file")
    }

    #[test]
    fn comments_and_order_stay() {
        let mut draft = draft(WRITTEN);
        draft.state("job", "name", "Kiln \"2\"").expect("stated");
        draft
            .state("tolerance", "default", "1/16 in")
            .expect("stated");
        draft.column("W", Some("width")).expect("stated");
        draft.column("l", Some("height")).expect("stated");
        assert_eq!(
            draft.text(),
            "# ours\n[job]\nname = 'Kiln \"2\"' # the big one\n\n[list]\nunits = \"mm\"\n\n\
             [list.columns]\nwidth = \"W\"\nheight = \"l\"\n\n[tolerance]\ndefault = \"1/16 in\"\n"
        );
        assert_eq!(reads(&draft).list.columns.len(), 2);
        draft.state("tolerance", "default", "").expect("taken away");
        assert_eq!(draft.stated("tolerance", "default"), "");
        assert_eq!(draft.stated("list", "units"), "mm");
    }

    #[test]
    fn columns_one_or_several_for_a_field() {
        let mut draft = draft("");
        draft.column("Old L", Some("unused")).expect("stated");
        draft.column("Old W", Some("unused")).expect("stated");
        draft.column("3", Some("length")).expect("stated");
        assert_eq!(
            draft.text(),
            "[list.columns]\nunused = [\"Old L\", \"Old W\"]\nlength = 3\n"
        );
        assert_eq!(reads(&draft).list.columns.len(), 3);
        draft.column("Old L", None).expect("taken away");
        draft.column("3", None).expect("taken away");
        assert_eq!(draft.text(), "[list.columns]\nunused = \"Old W\"\n");
        draft.column("old w", None).expect("taken away");
        assert_eq!(draft.text(), "");
    }

    #[test]
    fn views_by_title_and_by_region() {
        let mut draft = draft("");
        let title = Which::Title("B2 FRONT".to_owned());
        let region = Which::Region([0.0, -0.5, 48.123_45, 40.0]);
        let front = Statement {
            kind: Some("front".to_owned()),
            ..Statement::default()
        };
        let named = Statement {
            cabinets: Some(vec!["B1".to_owned(), "B\"2".to_owned()]),
            scale: Some("1:12".to_owned()),
            ..Statement::default()
        };
        draft.state_view("a.dxf", &title, &front).expect("stated");
        draft.state_view("a.dxf", &region, &named).expect("stated");
        assert_eq!(
            draft.text(),
            "[[view]]\nfile = \"a.dxf\"\ntitle = \"B2 FRONT\"\nkind = \"front\"\n\n\
             [[view]]\nfile = \"a.dxf\"\nregion = [0, -0.5, 48.123, 40]\ncabinets = [\"B1\", 'B\"2']\nscale = \"1:12\"\n"
        );
        assert_eq!(draft.view("A.dxf", &title), front);
        assert_eq!(draft.view("a.dxf", &region), named);
        assert_eq!(draft.view("b.dxf", &region), Statement::default());
        let file = reads(&draft);
        assert_eq!(file.hints.views.len(), 2);
        assert_eq!(file.hints.views[1].region, Some([0.0, -0.5, 48.123, 40.0]));
        draft
            .state_view("a.dxf", &title, &Statement::default())
            .expect("taken away");
        draft
            .state_view("a.dxf", &region, &Statement::default())
            .expect("taken away");
        assert_eq!(draft.text(), "");
    }

    #[test]
    fn what_is_no_toml_or_written_otherwise_is_said() {
        assert!(Draft::new("[job").is_err());
        let mut odd = draft("list = 3\nview = 4\n");
        assert!(odd.state("list", "units", "in").is_err());
        assert!(odd.column("L", Some("length")).is_err());
        let which = Which::Title("x".to_owned());
        assert!(odd.state_view("a", &which, &Statement::default()).is_err());
    }
}
