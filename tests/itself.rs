//! The drawing held against itself, on a small sheet: one frameless case of the glaze
//! room in three views. Each check is silent on the right drawing and fires on the same
//! drawing with one error in it. Expected sizes are those the lines were written with.

mod common;

use common::{Report, check};

/// A drawing being written, millimetres.
#[derive(Default)]
struct Sheet {
    entities: String,
    handle: u32,
    units: u8,
    /// Drawn lengths are this many times the true ones; 0 is once.
    times: f64,
}

impl Sheet {
    fn entity(&mut self, kind: &str, layer: &str, pairs: &[(i32, String)]) {
        self.handle += 1;
        let mut text = format!("0\n{kind}\n5\n{:X}\n8\n{layer}\n", self.handle + 0x100);
        for (code, value) in pairs {
            let length = matches!(code, 10..=40)
                .then(|| value.parse::<f64>().ok())
                .flatten();
            let value = match length {
                Some(length) if self.times > 0.0 => (length * self.times).to_string(),
                _ => value.clone(),
            };
            text.push_str(&format!("{code}\n{value}\n"));
        }
        self.entities.push_str(&text);
    }

    fn line(&mut self, layer: &str, a: (f64, f64), b: (f64, f64)) {
        let at = |code: i32, v: f64| (code, v.to_string());
        self.entity(
            "LINE",
            layer,
            &[at(10, a.0), at(20, a.1), at(11, b.0), at(21, b.1)],
        );
    }

    fn rect(&mut self, layer: &str, x: f64, y: f64, w: f64, h: f64) {
        let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)];
        for pair in corners.windows(2) {
            self.line(layer, pair[0], pair[1]);
        }
    }

    fn title(&mut self, text: &str, x: f64, y: f64) {
        let at = |code: i32, v: f64| (code, v.to_string());
        self.entity(
            "TEXT",
            "TITLES",
            &[at(10, x), at(20, y), at(40, 40.0), (1, text.to_owned())],
        );
    }

    /// A level dimension with a typed figure, over the front.
    fn dimension(&mut self, from: f64, to: f64, y: f64, text: &str) {
        self.typed((from, 720.0), (to, 720.0), y, text);
    }

    /// A dimension with a typed figure between two points: a level one at a height, or
    /// where one point is over the other an upright one at a place.
    fn typed(&mut self, from: (f64, f64), to: (f64, f64), line: f64, text: &str) {
        let at = |code: i32, v: f64| (code, v.to_string());
        let upright = from.0 == to.0;
        let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
        let (end, text_at, angle) = if upright {
            ((line, to.1), (line, middle.1), 90.0)
        } else {
            ((to.0, line), (middle.0, line), 0.0)
        };
        self.entity(
            "DIMENSION",
            "DIMENSIONS",
            &[
                at(10, end.0),
                at(20, end.1),
                at(11, text_at.0),
                at(21, text_at.1),
                (70, "0".to_owned()),
                (1, text.to_owned()),
                at(13, from.0),
                at(23, from.1),
                at(14, to.0),
                at(24, to.1),
                at(50, angle),
            ],
        );
    }

    fn dxf(&self) -> String {
        format!(
            "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n{}\n0\nENDSEC\n\
             0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
            self.units, self.entities
        )
    }
}

/// What is drawn otherwise than it should be.
struct Drawn {
    /// Gap between the left side and the bottom.
    gap: f64,
    /// Thickness of the bottom in the section, and of all else.
    bottom: f64,
    section_high: f64,
    plan_wide: f64,
}

const RIGHT: Drawn = Drawn {
    gap: 0.0,
    bottom: 18.0,
    section_high: 720.0,
    plan_wide: 600.0,
};

const V: &str = "0";

/// Front, section and plan of K1: 600 wide, 720 high, 560 deep, of 18 with a back of 6.
fn case(drawn: &Drawn) -> Sheet {
    case_times(drawn, 1.0)
}

/// As [`case`], `times` as large.
fn case_times(drawn: &Drawn, times: f64) -> Sheet {
    let mut sheet = Sheet {
        units: 4,
        times,
        ..Sheet::default()
    };
    sheet.rect(V, 0.0, 0.0, 18.0, 720.0);
    sheet.rect(V, 582.0, 0.0, 18.0, 720.0);
    sheet.rect(V, 18.0 + drawn.gap, 0.0, 564.0 - drawn.gap, 18.0);
    sheet.rect(V, 18.0, 702.0, 564.0, 18.0);
    sheet.title("K1 FRONT", 0.0, -120.0);
    let high = drawn.section_high;
    sheet.rect(V, 900.0, 0.0, 554.0, drawn.bottom);
    sheet.rect(V, 900.0, high - 18.0, 554.0, 18.0);
    sheet.rect(V, 1454.0, 0.0, 6.0, high);
    sheet.line(V, (900.0, 0.0), (900.0, high));
    sheet.title("K1 SECTION", 900.0, -120.0);
    let wide = drawn.plan_wide;
    sheet.rect(V, 0.0, 1100.0, 18.0, 554.0);
    sheet.rect(V, wide - 18.0, 1100.0, 18.0, 554.0);
    sheet.rect(V, 0.0, 1654.0, wide, 6.0);
    sheet.rect(V, 18.0, 1100.0, wide - 36.0, 554.0);
    sheet.title("K1 PLAN", 0.0, 980.0);
    sheet
}

const LIST: &str = "Cabinet;Part;Qty;Length (mm);Width (mm);Thickness (mm)\n\
                    K1;Side;2;720;554;18\n\
                    K1;Bottom;1;564;554;18\n\
                    K1;Top;1;564;554;18\n\
                    K1;Back;1;720;600;6\n";

fn report(sheet: &Sheet) -> Report {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("k1.dxf"), sheet.dxf()).unwrap();
    std::fs::write(folder.path().join("list.csv"), LIST).unwrap();
    check(&[folder.path()])
}

/// What the drawing is said to have against itself.
fn contradictions(report: &Report) -> Vec<String> {
    report.json["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|finding| finding["kind"] == "drawing")
        .map(|finding| finding["message"].as_str().unwrap().to_owned())
        .collect()
}

#[track_caller]
fn only(sheet: &Sheet, words: &[&str]) {
    let said = contradictions(&report(sheet));
    assert_eq!(said.len(), 1, "{said:#?}");
    for word in words {
        assert!(said[0].contains(word), "{word}: {}", said[0]);
    }
}

#[track_caller]
fn silent(sheet: &Sheet) -> Report {
    let report = report(sheet);
    assert_eq!(contradictions(&report), Vec::<String>::new());
    report
}

#[test]
fn a_right_drawing_has_nothing_against_itself() {
    let report = silent(&case(&RIGHT));
    assert_eq!(report.findings(), Vec::new());
    assert_eq!(report.size("K1", "overall", "width"), Some(600.0));
    assert_eq!(report.size("K1", "interior", "depth"), Some(554.0));
}

#[test]
fn a_typed_figure_is_held_against_what_is_drawn() {
    let mut sheet = case(&RIGHT);
    sheet.dimension(0.0, 600.0, 800.0, "600");
    sheet.dimension(18.0, 582.0, 760.0, "564");
    silent(&sheet);
    let mut sheet = case(&RIGHT);
    sheet.dimension(0.0, 600.0, 800.0, "600");
    sheet.dimension(18.0, 582.0, 760.0, "546");
    only(&sheet, &["is written '546' where 564 mm is drawn"]);
}

#[test]
fn one_size_in_two_views_is_one_size() {
    let lower = Drawn {
        section_high: 710.0,
        ..RIGHT
    };
    let sheet = case(&lower);
    only(
        &sheet,
        &[
            "the height of K1",
            "720.0 mm",
            "in its front",
            "710.0 mm",
            "in its section",
        ],
    );
    assert_eq!(report(&sheet).size("K1", "overall", "height"), None);
}

#[test]
fn a_board_has_one_thickness_in_all_views() {
    let sheet = case(&Drawn {
        bottom: 19.0,
        ..RIGHT
    });
    only(
        &sheet,
        &["the bottom of K1 is 18.0 mm", "in its front and 19.0 mm"],
    );
}

#[test]
fn a_row_of_figures_adds_up_to_the_one_over_it() {
    let row = |figures: [&str; 3], total: &str| {
        let mut sheet = case(&RIGHT);
        for (place, figure) in figures.iter().enumerate() {
            let from = 200.0 * place as f64;
            sheet.dimension(from, from + 200.0, 760.0, figure);
        }
        sheet.dimension(0.0, 600.0, 800.0, total);
        sheet
    };
    silent(&row(["200", "200", "200"], "600"));
    // Each is right within the tolerance of 1/32 in, their sum is not.
    only(
        &row(["200.7", "200.7", "200.7"], "600"),
        &[
            "'200.7', '200.7' and '200.7' add up to 602.1 mm",
            "written '600'",
        ],
    );
    // One that is not what is drawn is said to be that, once.
    only(
        &row(["200", "210", "200"], "600"),
        &["is written '210' where 200 mm is drawn"],
    );
}

#[test]
fn a_row_of_figures_is_added_up_where_the_scale_is_not_known() {
    let row = |figures: [&str; 2], total: &str| {
        let mut sheet = case_times(&RIGHT, 0.0137);
        sheet.units = 0;
        sheet.dimension(0.0, 200.0, 760.0, figures[0]);
        sheet.dimension(200.0, 600.0, 760.0, figures[1]);
        sheet.dimension(0.0, 600.0, 800.0, total);
        sheet
    };
    let right = report(&row(["610", "305"], "915"));
    let sums = |report: &Report| {
        let said = contradictions(report);
        said.iter()
            .filter(|line| line.contains("add up to"))
            .count()
    };
    assert_eq!(sums(&right), 0, "{:#?}", contradictions(&right));
    let wrong = report(&row(["610", "305"], "951"));
    assert_eq!(sums(&wrong), 1, "{:#?}", contradictions(&wrong));
}

/// The case in inches at a scale, with figures in inches and a note that says otherwise.
fn in_inches(times: f64, figures: [&str; 2], note: &str) -> Sheet {
    let mut sheet = case_times(&RIGHT, times / 25.4);
    sheet.units = 1;
    sheet.dimension(0.0, 600.0, 800.0, figures[0]);
    sheet.typed((600.0, 0.0), (600.0, 720.0), 640.0, figures[1]);
    sheet.title(note, 900.0, -300.0);
    sheet
}

#[test]
fn figures_of_the_headers_unit_are_followed_against_a_note_that_makes_no_cabinet() {
    let note = "3. ALL DIMENSIONS IN MM";
    for times in [1.0, 0.2] {
        let sheet = in_inches(times, ["23.62", "28.35"], note);
        only(
            &sheet,
            &["a note says '3. ALL DIMENSIONS IN MM'", "in inches"],
        );
        let report = report(&sheet);
        let close = |which: &str, dimension: &str, right: f64| {
            let mm = report.size("K1", which, dimension).unwrap();
            assert!((mm - right).abs() <= 0.05, "{which} {dimension}: {mm}");
        };
        close("overall", "width", 600.0);
        close("overall", "height", 720.0);
        close("interior", "depth", 554.0);
    }
    silent(&in_inches(
        0.2,
        ["23.62", "28.35"],
        "3. ALL DIMENSIONS IN INCHES",
    ));
    // Figures that share no scale with the lines decide nothing against the note.
    let sheet = in_inches(0.2, ["23.62", "30.1"], note);
    assert_eq!(report(&sheet).size("K1", "overall", "width"), None);
}

#[test]
fn the_room_inside_and_the_sides_make_the_width() {
    let row = |inside: &str| {
        let mut sheet = case(&RIGHT);
        sheet.dimension(0.0, 18.0, 760.0, "18");
        sheet.dimension(18.0, 582.0, 760.0, inside);
        sheet.dimension(582.0, 600.0, 760.0, "18");
        sheet.dimension(0.0, 600.0, 800.0, "600");
        sheet
    };
    silent(&row("564"));
    // 18 + 560 + 18 is 596.
    only(&row("560"), &["is written '560' where 564 mm is drawn"]);
}

#[test]
fn figures_of_several_views_make_the_width() {
    // The plan is typed with the room inside, the front with the sides and the whole.
    let spread = |sides: [&str; 2], inside: &str, whole: &str| {
        let mut sheet = case(&RIGHT);
        sheet.dimension(0.0, 18.0, 760.0, sides[0]);
        sheet.dimension(582.0, 600.0, 760.0, sides[1]);
        sheet.dimension(0.0, 600.0, 800.0, whole);
        sheet.typed((18.0, 1660.0), (582.0, 1660.0), 1700.0, inside);
        sheet.typed((600.0, 0.0), (600.0, 720.0), 640.0, "720");
        sheet.typed((600.0, 1100.0), (600.0, 1660.0), 640.0, "560");
        sheet
    };
    silent(&spread(["18", "18"], "564", "600"));
    silent(&spread(["18", "18"], "564.5", "600"));
    // Each is right within the tolerance of 1/32 in, their sum is not.
    only(
        &spread(["18.7", "18.6"], "564.7", "600"),
        &[
            "the left side (written '18.7')",
            "the interior width (written '564.7')",
            "the right side (written '18.6')",
            "add up to 602 mm",
            "the overall width (written '600')",
        ],
    );
    // A size without a figure counts as it is drawn.
    let mut sheet = case(&RIGHT);
    sheet.dimension(0.0, 600.0, 800.0, "599.4");
    sheet.typed((18.0, 1660.0), (582.0, 1660.0), 1700.0, "564.6");
    only(
        &sheet,
        &[
            "the left side (drawn 18 mm)",
            "but not to the overall width",
        ],
    );
    // One that is not what is drawn is said to be that, once.
    only(
        &spread(["18", "18"], "546", "600"),
        &["is written '546' where 564 mm is drawn"],
    );
}

#[test]
fn figures_of_several_views_make_the_height_and_the_depth() {
    // Room, board and whole, each from where to where and where its line is.
    let spread = |at: [[(f64, f64); 2]; 3], lines: [f64; 3], figures: [&str; 3]| {
        let mut sheet = case(&RIGHT);
        for (([from, to], line), figure) in at.into_iter().zip(lines).zip(figures) {
            sheet.typed(from, to, line, figure);
        }
        sheet
    };
    let height = |figures| {
        let at = [
            [(900.0, 18.0), (900.0, 702.0)],
            [(18.0, 0.0), (18.0, 18.0)],
            [(600.0, 0.0), (600.0, 720.0)],
        ];
        spread(at, [860.0, -40.0, 640.0], figures)
    };
    silent(&height(["684", "18", "720"]));
    only(
        &height(["684.7", "18.7", "719.5"]),
        &[
            "the bottom (written '18.7')",
            "the interior height (written '684.7')",
            "the top (drawn 18 mm)",
            "the overall height (written '719.5')",
        ],
    );
    let depth = |figures| {
        let at = [
            [(900.0, 720.0), (1454.0, 720.0)],
            [(1454.0, 720.0), (1460.0, 720.0)],
            [(600.0, 1100.0), (600.0, 1660.0)],
        ];
        spread(at, [760.0, 760.0, 640.0], figures)
    };
    silent(&depth(["554", "6", "560"]));
    only(
        &depth(["554.7", "6.5", "559.5"]),
        &[
            "the interior depth (written '554.7')",
            "the back (written '6.5')",
            "the overall depth (written '559.5')",
        ],
    );
}

#[test]
fn room_and_boards_drawn_in_one_view_make_the_whole_drawn_in_another() {
    // The plan is narrower than the front by as much as its room is: in each view they
    // add up, and the two widths contradict each other.
    let narrow = case(&Drawn {
        plan_wide: 590.0,
        ..RIGHT
    });
    let said = contradictions(&report(&narrow));
    assert!(
        said.iter().any(|line| line.contains("width of K1 is")),
        "{said:#?}"
    );
}

#[test]
fn a_board_reaches_the_sides_it_stands_between() {
    let sheet = case(&Drawn { gap: 6.0, ..RIGHT });
    only(
        &sheet,
        &["the bottom of K1 is drawn 6.0 mm", "short of the left side"],
    );
}

/// The front with two doors before it: what they cover is drawn hidden.
fn with_doors(over: f64) -> Sheet {
    let mut sheet = Sheet {
        units: 4,
        ..Sheet::default()
    };
    let hidden = "HIDDEN";
    for (x, y, w, h) in [
        (0.0, 0.0, 18.0, 720.0),
        (582.0, 0.0, 18.0, 720.0),
        (18.0, 0.0, 564.0, 18.0),
        (18.0, 702.0, 564.0, 18.0),
    ] {
        sheet.rect(hidden, x, y, w, h);
    }
    sheet.rect(V, 0.0, 0.0, 600.0, 720.0);
    sheet.rect(V, 2.0, 2.0, 296.0, 716.0);
    sheet.rect(V, 302.0 - over, 2.0, 296.0 + over, 716.0);
    sheet.title("K1 FRONT", 0.0, -120.0);
    sheet.rect(V, 900.0, 0.0, 554.0, 18.0);
    sheet.rect(V, 900.0, 702.0, 554.0, 18.0);
    sheet.rect(V, 1454.0, 0.0, 6.0, 720.0);
    sheet.line(V, (900.0, 0.0), (900.0, 720.0));
    sheet.rect(V, 879.0, 2.0, 19.0, 716.0);
    sheet.title("K1 SECTION", 880.0, -120.0);
    sheet
}

#[test]
fn doors_are_not_drawn_over_each_other() {
    silent(&with_doors(0.0));
    only(
        &with_doors(12.0),
        &["two doors of K1 are drawn over each other by 8.0 mm"],
    );
}
