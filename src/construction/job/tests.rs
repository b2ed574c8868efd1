use super::keys::SECTIONS;
use super::*;
use crate::cabinet::Style;
use crate::construction::names::PartName;
use crate::construction::{Class, cabinet_key, choices};
use crate::cutlist::{Per, SizeKind};
use crate::length::Length;
use crate::trade::{Axis, Family, Role};
use crate::view::ViewKind;

fn read(text: &str) -> JobFile {
    JobFile::parse(text, "dryfit.toml").unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn problems(text: &str) -> String {
    match JobFile::parse(text, "dryfit.toml") {
        Ok(_) => panic!("no problem in\n{text}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn an_empty_file_says_nothing() {
    let job = read("");
    assert_eq!(job.units, None);
    assert!(job.hints.views.is_empty());
    assert!(job.rules.job.parameters.is_empty());
}

/// The table of keys is what the reader reads: every key with its example is
/// taken, and so is every choice, preset and stated size.
#[test]
fn everything_documented_is_read() {
    let mut text = String::new();
    for section in SECTIONS {
        let heading = section.heading.replace("NAME", "B2");
        text.push_str(&format!("{heading}\n"));
        for key in section.keys {
            text.push_str(&format!("{} = {}\n", key.key, key.example));
        }
        match section.heading {
            "[list.columns]" => {
                for field in crate::cutlist::field_names() {
                    text.push_str(&format!("{field} = \"{field} heading\"\n"));
                }
            }
            "[construction]" => {
                for choice in choices::CHOICES {
                    text.push_str(&format!("{} = \"{}\"\n", choice.key, choice.answers[0].0));
                }
            }
            "[sizes]" => {
                for name in crate::construction::names::NAMES {
                    if name.kind == crate::construction::names::NameKind::Parameter {
                        text.push_str(&format!("{} = \"1/2 in\"\n", name.name));
                    }
                }
            }
            _ => {}
        }
    }
    let job = read(&text);
    assert_eq!(job.name.as_deref(), Some("Glaze room"));
    assert_eq!(job.hints.views.len(), 1);
    assert_eq!(job.rules.runs.len(), 1);
    assert_eq!(job.rules.stacks.len(), 1);
    assert_eq!(job.rules.accessibility.asked.len(), 5);
    assert_eq!(job.rules.job.answers.len(), choices::CHOICES.len());
    for preset in choices::PRESETS {
        read(&format!("[construction]\npreset = \"{}\"", preset.name));
    }
}

#[test]
fn a_whole_job_file() {
    let job = read(
        r#"
[job]
name = "Glaze room"
units = "in"

[tolerance]
default = "1/64"
fronts = "1 mm"
class = "ISO 2768-m"

[drawing]
units = "in"
scale = "1 1/2 in = 1 ft"

[[view]]
file = "sheet-2.dxf"
region = [0, 0.5, 48, 40]
kind = "flat-part"
cabinets = ["B2"]
scale = 12

[list]
units = "mm"
quantity = "job"
sizes = "cut"
[list.columns]
part = "Description"
length = 4
[list.words]
"Gable" = "side"
"loose board" = "shelf"

[construction]
preset = "face-frame-grooved"
back = "applied"

[sizes]
groove.depth = "1/4"
"rabbet.width" = 0.375
overlay = "stile.width / 3"

[relations]
bottom.across = "interior.width + 2 * groove.depth"

[cabinet.B2]
style = "frameless"
same-as = ["B5"]
use = "wall"
[cabinet.B2.sizes]
groove.depth = "3/8"
[cabinet.B2.relations]
side.high = "case.height - 1"
"#,
    );
    assert_eq!(job.units, Some(Unit::Inch));
    let tolerances = &job.rules.tolerances;
    assert_eq!(tolerances.general.ticks() * 64, Length::TICKS_PER_INCH);
    assert_eq!(
        tolerances.families[&Family::Front].ticks(),
        Length::TICKS_PER_MM
    );
    assert_eq!(tolerances.class, Some(Class::Medium));
    assert_eq!(
        job.hints.scale,
        Some((8.0, "dryfit.toml line 13".to_owned()))
    );
    let view = &job.hints.views[0];
    assert_eq!(view.region, Some([0.0, 0.5, 48.0, 40.0]));
    assert_eq!(view.kind, Some(ViewKind::FlatPart));
    assert_eq!((view.scale, view.line), (Some(12.0), 15));
    assert_eq!(job.list.quantity_per, Some(Per::Job));
    assert_eq!(job.list.size_kind, Some(SizeKind::Cut));
    assert_eq!(
        job.list.columns,
        [("length", "4"), ("part", "Description")]
            .map(|(field, column)| (field.to_owned(), column.to_owned()))
    );
    assert_eq!(
        job.list.words,
        [
            ("Gable".to_owned(), Role::Side),
            ("loose board".to_owned(), Role::AdjustableShelf)
        ]
    );
    let rules = &job.rules;
    assert_eq!(rules.job.answers["back"].word, "applied");
    assert_eq!(
        rules.job.parameters["groove.depth"].origin,
        Origin::JobFile { line: 38 }
    );
    assert_eq!(
        rules.job.relations[0].part,
        PartName::Size(Role::Bottom, Axis::Across)
    );
    let own = &rules.cabinets[&cabinet_key("b2")];
    assert_eq!(own.style, Some(Style::Frameless));
    assert_eq!(own.relations.len(), 1);
    assert_eq!(job.rules.uses[&cabinet_key("B5")], Use::Wall);
    assert_eq!(job.hints.names, ["B2", "B5"]);
    assert_eq!(job.same_as, [("B2".to_owned(), vec!["B5".to_owned()])]);
}

/// Every message, with the line and column it points at.
#[test]
fn problems_name_line_and_column() {
    let cases = [
        ("[job", "dryfit.toml:1:5: not well-formed: "),
        ("x = 1", "1:1: a job file takes no `x`"),
        (
            "[jobs]\n",
            "1:2: a job file takes no `jobs`; the nearest is `job`",
        ),
        (
            "job = 1",
            "1:7: `job` is a section; write [job] on a line of its own",
        ),
        (
            "[job]\nunit = \"in\"",
            "2:1: [job] takes no `unit`; the nearest is `units`",
        ),
        (
            "[job]\nzzz = 1",
            "2:1: [job] takes no `zzz`; it takes name, units, notation",
        ),
        (
            "[job]\nname = 3",
            "2:8: `name` takes text in quotes, not a number",
        ),
        (
            "[job]\nunits = \"inches\"",
            "2:9: `units` cannot be `inches`; it is one of in, ft, mm, cm, m",
        ),
        (
            "[view]\nfile = \"a\"",
            "`view` may come more than once; write [[view]] with double brackets",
        ),
        ("view = [1]", "1:9: [[view]] holds keys, not single values"),
        (
            "[[view]]\nkind = \"front\"",
            "1:1: [[view]] does not say which view it means",
        ),
        (
            "[[view]]\nfile = \"a\"\nregion = [0, 0, 1]",
            "3:10: `region` takes four numbers",
        ),
        (
            "[[view]]\nfile = \"a\"\nregion = [5, 0, 1, 1]",
            "3:10: `region` takes four numbers",
        ),
        (
            "[[view]]\nfile = \"a\"\ncabinets = 3",
            "3:12: `cabinets` takes a list of texts, not a number",
        ),
        (
            "[drawing]\nscale = \"big\"",
            "2:9: `big` is not a scale; write 1:12",
        ),
        (
            "[drawing]\nscale = true",
            "2:9: `scale` takes a scale, not true or false",
        ),
        (
            "[tolerance]\ndefault = \"1/32\"",
            "2:11: `default` has no unit; write `1/32 in`",
        ),
        (
            "[tolerance]\ndefault = \"2 in\"",
            "2:11: `default` is not a tolerance; it is at least 0",
        ),
        (
            "[tolerance]\ndefault = \"-1 mm\"",
            "2:11: `default` is not a tolerance; it is at least 0",
        ),
        (
            "[tolerance]\ndefault = \"overlay\"",
            "2:11: `default` cannot depend on `overlay`",
        ),
        (
            "[tolerance]\ndefault = \"1 in / 0\"",
            "2:11: `default` cannot be worked out: this divides by zero",
        ),
        (
            "[tolerance]\nclass = \"x\"",
            "2:9: `x` is not a tolerance class; write f, m, c or v",
        ),
        (
            "[list.columns]\nlenght = \"L\"",
            "2:1: [list.columns] takes no `lenght`; the nearest is `length`",
        ),
        (
            "[list.words]\nGable = \"sidde\"",
            "2:9: `sidde` is not a part; the nearest is `side`",
        ),
        (
            "[list.words]\nGable = \"zz\"",
            "2:9: `zz` is not a part; parts are side, bottom",
        ),
        (
            "[construction]\npreset = \"face-frame\"",
            "2:10: there is no preset `face-frame`; the nearest is `face-frame-",
        ),
        (
            "[construction]\npreset = \"zz\"",
            "2:10: there is no preset `zz`; presets are face-frame-grooved",
        ),
        (
            "[construction]\nbotom = \"under\"",
            "2:1: [construction] takes no `botom`; the nearest is `bottom`",
        ),
        (
            "[construction]\nbottom = \"glued\"",
            "2:10: `bottom` cannot be `glued`; it is one of between, grooved, under",
        ),
        (
            "[sizes]\ngroove.deep = \"1/4 in\"",
            "2:8: [sizes] takes no `groove.deep`; the nearest is `groove.depth`",
        ),
        (
            "[sizes]\nside.high = \"1 in\"",
            "2:6: [sizes] takes no `side.high`; the size of a part is given under [relations]",
        ),
        (
            "[sizes]\ninterior.width = \"1 in\"",
            "2:10: `interior.width` is measured in the drawing and cannot be stated",
        ),
        (
            "[sizes]\noverlay = \"1/2\"",
            "2:11: `overlay` has no unit; write `1/4 in` or `6 mm`, or state `units`",
        ),
        (
            "[sizes]\noverlay = \"1/2 in +\"",
            "2:20: `overlay`: a number or the name of a size is missing here",
        ),
        (
            "[sizes]\noverlay = \"1 in + gapp\"",
            "2:19: no size goes by the name `gapp`; the nearest is `gap`",
        ),
        (
            "[sizes]\noverlay = \"gap-reveal\"",
            "2:12: no size goes by the name `gap-reveal`; put spaces around a minus sign",
        ),
        (
            "[sizes]\noverlay = \"qqqq\"",
            "no size goes by the name `qqqq`; see `dryfit explain job-file` for the names",
        ),
        (
            "[sizes]\noverlay = \"gap * reveal\"",
            "2:16: `overlay`: a length times a length is not a length",
        ),
        (
            "[sizes]\noverlay = \"gap - 1/8\"",
            "2:16: `overlay`: a number without a unit is added to a length",
        ),
        (
            "[sizes]\noverlay = true",
            "2:11: `overlay` takes a size, not true or false",
        ),
        (
            "[relations]\noverlay = \"1 in\"",
            "2:1: `overlay` is not a size of a part; sizes of the shop are stated under [sizes]",
        ),
        (
            "[relations]\nsides.high = \"1 in\"",
            "2:7: `sides.high` is not a size of a part; the nearest is `side.high`",
        ),
        (
            "[relations]\nqq = \"1 in\"",
            "2:1: `qq` is not a size of a part; write a part and a direction",
        ),
        (
            "[cabinet]\nB1 = 3",
            "2:6: `cabinet.B1` is a section; write [cabinet.B1]",
        ),
        (
            "[cabinet.B1]\nstile = \"x\"",
            "2:1: [cabinet.NAME] takes no `stile`; the nearest is `style`",
        ),
        (
            "[cabinet.B1]\n[cabinet.b1]",
            "[cabinet.b1] stands twice, in two spellings",
        ),
        ("[[run]]\nname = \"a\"", "1:1: [[run]] names no cabinets"),
        (
            "[[stack]]\nname = \"a\"",
            "1:1: [[stack]] names no cabinets",
        ),
        (
            "[[run]]\ncabinets = [\"B1\"]\nwall = \"overall.width\"",
            "3:8: `wall` cannot depend on `overall.width`",
        ),
        (
            "[accessibility]\nsinks = [\"B1\"]",
            "2:1: [accessibility] takes no `sinks`; the nearest is `sink`",
        ),
    ];
    for (text, message) in cases {
        let problems = problems(text);
        assert!(problems.contains(message), "{text}\n{problems}");
        assert!(problems.starts_with("dryfit.toml:"), "{problems}");
    }
}

#[test]
fn every_problem_is_said_at_once_in_order() {
    let text = "[job]\nnme = 1\n[sizes]\noverlay = \"1 in +\"\ngap = \"x\"\n";
    let said = problems(text);
    let lines: Vec<_> = said.lines().map(|line| line.split(": ").next()).collect();
    assert_eq!(
        lines,
        [
            Some("dryfit.toml:2:1"),
            Some("dryfit.toml:4:18"),
            Some("dryfit.toml:5:8")
        ]
    );
}

#[test]
fn files_that_cannot_be_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("dryfit.toml");
    let message = |path: &Path| {
        JobFile::load(path, "dryfit.toml")
            .expect_err("unreadable")
            .to_string()
    };
    assert!(message(&path).starts_with("dryfit.toml: cannot be read: "));
    std::fs::write(&path, [0xff, 0xfe]).expect("written");
    assert_eq!(
        message(&path),
        "dryfit.toml: cannot be read: it is not UTF-8 text; save it as UTF-8"
    );
    std::fs::write(&path, vec![b'#'; 2 << 20]).expect("written");
    assert!(message(&path).contains("is far more than a job file has"));
    std::fs::write(&path, "[job]\nname = \"x\"").expect("written");
    assert!(JobFile::load(&path, "dryfit.toml").is_ok());
}

proptest::proptest! {
    #[test]
    fn no_text_panics(text in "\\PC{0,80}") {
        let _ = JobFile::parse(&text, "dryfit.toml");
    }

    #[test]
    fn no_sizes_panic(value in "[0-9a-z .+*/()=\\-\"\\\\]{0,40}") {
        let _ = JobFile::parse(&format!("[sizes]\noverlay = \"{value}\"\n"), "dryfit.toml");
    }
}
