//! The drawings on the papers: sound XML, said in words too, nothing outside the sheet, figures where they belong.

use phasewright::papers::plot::{
    Acid, Course, Does, Entry, PlottedStep, PlottedVessel, Window, active_share, composition,
    ph_windows, temperature, titration,
};
use roxmltree::{Document, Node};
use rust_decimal::Decimal;

/// Names that a file may hold: signs of XML, quotes, right to left, a control character, a long one, a picture.
const HOSTILE: [&str; 6] = [
    "</text><script>alert(1)</script>",
    "salt & \"pepper\" <b>'x'",
    "שמן זית (extra) 5",
    "tab\tand\u{1}bell",
    "a material with a name that goes on and on, as some of the names of materials do, and does not end before the sheet does",
    "🌿 乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤乳化剤",
];

fn d(text: &str) -> Decimal {
    text.parse().expect("a number")
}

fn acid(name: &str, pka: f64) -> Acid {
    Acid {
        name: name.into(),
        pka: vec![pka],
    }
}

fn window(name: &str, low: Option<f64>, high: Option<f64>) -> Window {
    Window {
        name: name.into(),
        does: Does::Works,
        low,
        high,
    }
}

fn course(unit: &'static str, warm: [f64; 4], name: &str) -> Course {
    let step = |words: &str, time: Option<&str>| PlottedStep {
        words: words.into(),
        time: time.map(str::to_owned),
    };
    let [room, hot, cool, hand] = warm;
    Course {
        unit,
        steps: vec![
            step(&format!("heat {name} and B"), Some("20 min")),
            step("pour B into A", None),
            step("cool", None),
            step("add C", Some("2 to 3 min")),
            step("cool", None),
            step("fill", None),
        ],
        vessels: vec![
            PlottedVessel {
                name: name.into(),
                at: vec![
                    Some(room),
                    Some(hot),
                    Some(hot),
                    Some(cool),
                    Some(cool),
                    Some(hand),
                    Some(hand),
                ],
            },
            PlottedVessel {
                name: "B".into(),
                at: vec![Some(room), Some(hot), Some(hot), None, None, None, None],
            },
        ],
        entries: vec![
            Entry {
                step: 1,
                name: "B".into(),
                at: Some(hot),
            },
            Entry {
                step: 3,
                name: name.into(),
                at: Some(cool),
            },
            Entry {
                step: 4,
                name: "D".into(),
                at: None,
            },
        ],
    }
}

/// All drawings, with a name in every place where a name can stand.
fn all(name: &str) -> Vec<String> {
    let many: Vec<(String, Decimal)> = (0..12)
        .map(|n| (format!("{name} {n}"), d("8.3333333333")))
        .collect();
    let acids: Vec<Acid> = (0..6)
        .map(|n| acid(name, 2.9 + f64::from(n) * 0.5))
        .collect();
    let windows: Vec<Window> = (0..50)
        .map(|n| {
            window(
                name,
                (n % 3 > 0).then_some(4.0 + f64::from(n) * 0.01),
                (n % 3 < 2).then_some(7.5),
            )
        })
        .collect();
    vec![
        titration(
            &[(0.0, 6.93), (0.5, 6.2), (1.1, 5.7)],
            &[vec![(0.0, 6.95), (1.5, 5.4)], vec![(f64::NAN, 5.0)]],
            &[(1.1, 5.7), (1.7, 5.4), (2.3, 5.1)],
            (5.0, 5.5),
        ),
        titration(&[], &[], &[], (4.5, 5.5)),
        titration(
            &[(0.0, f64::NAN), (f64::INFINITY, 5.0), (0.0, 3.5)],
            &[vec![]],
            &[(0.0, f64::NAN)],
            (11.0, 11.0),
        ),
        active_share(&acids, Some((5.0, 5.5))).expect("acids"),
        active_share(&[acid(name, 4.2)], None).expect("an acid"),
        active_share(&[acid(name, 4.2)], Some((11.5, 12.0))).expect("an acid"),
        ph_windows(&windows, Some((5.0, 5.5))).expect("windows"),
        ph_windows(&windows[..1], None).expect("a window"),
        composition("by kind", &many).expect("parts"),
        composition("the largest", &[(name.to_owned(), d("123.4"))]).expect("a part"),
        temperature(&course("°C", [20.0, 75.0, 38.0, 25.0], name)).expect("a course"),
        temperature(&course("°F", [68.0, 167.0, 100.0, 77.0], name)).expect("a course"),
    ]
}

fn number(node: Node, key: &str) -> f64 {
    node.attribute(key)
        .and_then(|v| v.parse().ok())
        .unwrap_or_else(|| panic!("{key} of {node:?} is a number"))
}

/// Reckoned on the narrow side, as a usual sans-serif prints.
fn width(text: &str, size: f64) -> f64 {
    let em = |c: char| match c {
        '\u{2066}'..='\u{2069}' => 0.0,
        'i' | 'l' | 't' | 'f' | 'r' | '.' | ',' | '(' | ')' | ' ' => 0.3,
        c if c >= '\u{1100}' => 1.0,
        _ => 0.54,
    };
    text.trim().chars().map(em).sum::<f64>() * size
}

fn words_of(svg: &str) -> Vec<(String, f64, f64)> {
    let doc = Document::parse(svg).expect("XML");
    doc.descendants()
        .filter(|n| n.has_tag_name("text"))
        .map(|n| {
            (
                n.text().unwrap_or_default().trim().to_owned(),
                number(n, "x"),
                number(n, "y"),
            )
        })
        .collect()
}

/// Where the axis below has a figure.
fn tick(svg: &str, figure: &str) -> f64 {
    let words = words_of(svg);
    let all: Vec<_> = words.iter().filter(|(w, ..)| w == figure).collect();
    all.iter()
        .max_by(|a, b| a.2.total_cmp(&b.2))
        .unwrap_or_else(|| panic!("{figure} stands at an axis"))
        .1
}

/// Where the axis at the left has a figure.
fn tick_left(svg: &str, figure: &str) -> f64 {
    let words = words_of(svg);
    let all: Vec<_> = words.iter().filter(|(w, ..)| w == figure).collect();
    all.iter()
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or_else(|| panic!("{figure} stands at an axis"))
        .2
}

#[test]
fn every_drawing_is_xml_with_a_title_and_words_and_asks_for_nothing_outside() {
    for name in HOSTILE {
        for svg in all(name) {
            let doc = Document::parse(&svg).unwrap_or_else(|e| panic!("{e}\n{svg}"));
            let root = doc.root_element();
            assert_eq!(root.tag_name().name(), "svg");
            assert_eq!(root.attribute("role"), Some("img"));
            let mut first = root.children().filter(Node::is_element);
            for tag in ["title", "desc"] {
                let said = first
                    .next()
                    .filter(|n| n.has_tag_name(tag))
                    .unwrap_or_else(|| panic!("{tag} stands in front: {svg}"));
                assert!(
                    said.text().is_some_and(|t| t.trim().len() > 10),
                    "{tag} says something: {svg}"
                );
            }
            let drawn = ["text", "line", "polyline", "polygon", "circle", "rect"];
            for n in first {
                assert!(
                    drawn.contains(&n.tag_name().name()),
                    "a drawing is lines, areas and words, not <{}>",
                    n.tag_name().name()
                );
                for a in n.attributes() {
                    assert!(
                        !a.name().starts_with("on") && !a.value().contains("url("),
                        "{}={}",
                        a.name(),
                        a.value()
                    );
                }
            }
            assert!(!svg.contains("href"));
        }
    }
}

#[test]
fn the_words_for_those_who_do_not_see_it_hold_the_names() {
    for name in HOSTILE {
        let said: String = name
            .chars()
            .map(|c| if c.is_control() { ' ' } else { c })
            .collect();
        for svg in &all(name)[3..] {
            let doc = Document::parse(svg).expect("XML");
            let desc = doc
                .descendants()
                .find(|n| n.has_tag_name("desc"))
                .and_then(|n| n.text())
                .unwrap_or_default();
            assert!(desc.contains(said.trim()), "{said:?} in {desc:?}");
        }
    }
}

#[test]
fn nothing_lies_outside_the_sheet() {
    for name in HOSTILE.into_iter().chain(["xanthan gum"]) {
        for svg in all(name) {
            let doc = Document::parse(&svg).expect("XML");
            let sheet: Vec<f64> = doc
                .root_element()
                .attribute("viewBox")
                .expect("a sheet")
                .split(' ')
                .map(|n| n.parse().expect("a number"))
                .collect();
            let (wide, high) = (sheet[2], sheet[3]);
            let inside = |x: f64, y: f64| {
                (-0.5..=wide + 0.5).contains(&x) && (-0.5..=high + 0.5).contains(&y)
            };
            for n in doc.descendants().filter(|n| n.is_element()) {
                match n.tag_name().name() {
                    "text" => {
                        let size = number(n, "font-size");
                        assert!(size >= 10.5, "11 units print 7.8 points high");
                        let (x, y, w) = (
                            number(n, "x"),
                            number(n, "y"),
                            width(n.text().unwrap_or_default(), size),
                        );
                        let (left, right) = match n.attribute("text-anchor") {
                            Some("end") => (x - w, x),
                            Some("middle") => (x - w / 2.0, x + w / 2.0),
                            _ => (x, x + w),
                        };
                        let half = size / 2.0;
                        assert!(
                            inside(left, y - half) && inside(right, y + half),
                            "{:?} at {left}..{right}, {y} of {wide} x {high}",
                            n.text()
                        );
                    }
                    "rect" => {
                        let (x, y) = (number(n, "x"), number(n, "y"));
                        assert!(
                            inside(x, y) && inside(x + number(n, "width"), y + number(n, "height")),
                            "{n:?}"
                        );
                        assert!(
                            number(n, "width") >= 0.0 && number(n, "height") >= 0.0,
                            "{n:?}"
                        );
                    }
                    "circle" => assert!(inside(number(n, "cx"), number(n, "cy")), "{n:?}"),
                    "line" => assert!(
                        inside(number(n, "x1"), number(n, "y1"))
                            && inside(number(n, "x2"), number(n, "y2")),
                        "{n:?}"
                    ),
                    "polyline" | "polygon" => {
                        for p in n.attribute("points").unwrap_or_default().split_whitespace() {
                            let (x, y) = p.split_once(',').expect("a pair");
                            assert!(
                                inside(x.parse().expect("x"), y.parse().expect("y")),
                                "{n:?}"
                            );
                        }
                    }
                    _ => {}
                }
            }
        }
    }
}

#[test]
fn black_and_white_tells_everything() {
    for svg in all("shea butter") {
        let doc = Document::parse(&svg).expect("XML");
        for n in doc.descendants() {
            for key in ["fill", "stroke"] {
                let Some(ink) = n.attribute(key).filter(|v| v.starts_with('#')) else {
                    continue;
                };
                assert!(
                    ink[1..3] == ink[3..5] && ink[3..5] == ink[5..7],
                    "{ink} is a colour"
                );
            }
        }
    }
    // Curves differ in their dashes: the whole one is one path, the others are pieces.
    let whole = |acids: &[Acid]| {
        let svg = active_share(acids, None).expect("acids");
        let doc = Document::parse(&svg).expect("XML");
        doc.descendants()
            .filter(|n| {
                n.has_tag_name("polyline")
                    && n.attribute("points")
                        .is_some_and(|p| p.split(' ').count() > 100)
            })
            .count()
    };
    assert_eq!(whole(&[acid("a", 4.2)]), 1);
    assert_eq!(whole(&[acid("a", 4.2), acid("b", 4.8), acid("c", 5.3)]), 1);
}

#[test]
fn an_acid_is_half_awake_at_its_pka_and_only_ever_falls() {
    let svg = active_share(&[acid("Benzoic Acid", 4.2)], Some((5.0, 5.5))).expect("an acid");
    let doc = Document::parse(&svg).expect("XML");
    let curve = doc
        .descendants()
        .filter(|n| n.has_tag_name("polyline"))
        .map(|n| {
            n.attribute("points")
                .unwrap_or_default()
                .split_whitespace()
                .filter_map(|p| p.split_once(','))
                .collect::<Vec<_>>()
        })
        .find(|p| p.len() > 100)
        .expect("the curve");
    let points: Vec<(f64, f64)> = curve
        .iter()
        .map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y")))
        .collect();
    assert!(
        points
            .windows(2)
            .all(|w| w[1].0 >= w[0].0 && w[1].1 >= w[0].1),
        "down the sheet is less"
    );
    let (from, to) = (tick_left(&svg, "100"), tick_left(&svg, "0"));
    assert!(
        (points[0].1 - from).abs() < 4.0 && (points.last().expect("points").1 - to).abs() < 2.0
    );
    let mark = doc
        .descendants()
        .find(|n| n.has_tag_name("circle"))
        .expect("the mark");
    let unit = tick(&svg, "5") - tick(&svg, "4");
    assert!((number(mark, "cx") - (tick(&svg, "4") + 0.2 * unit)).abs() <= 2.0);
    assert!((number(mark, "cy") - (from + to) / 2.0).abs() <= 2.0);
    // 1/(1 + 10^(5.0 - 4.2)) = 13.7 %, 1/(1 + 10^(5.5 - 4.2)) = 4.8 %, by hand.
    assert!(
        words_of(&svg)
            .iter()
            .any(|(w, ..)| w == "4.8 to 14 % active, pKa 4.2"),
        "{:?}",
        words_of(&svg)
    );
    assert!(
        words_of(&svg)
            .iter()
            .any(|(w, ..)| w == "product: pH 5 to 5.5")
    );
}

#[test]
fn a_window_without_an_end_goes_on_as_an_arrow_and_what_is_missed_is_said() {
    let windows = [
        window("open", None, Some(6.0)),
        window("narrow", Some(5.4), Some(7.0)),
        window("wide", Some(3.0), Some(10.0)),
    ];
    let svg = ph_windows(&windows, Some((5.0, 5.5))).expect("windows");
    let doc = Document::parse(&svg).expect("XML");
    assert_eq!(
        doc.descendants()
            .filter(|n| n.has_tag_name("polygon"))
            .count(),
        1,
        "one end is open"
    );
    let words = words_of(&svg);
    assert_eq!(
        words
            .iter()
            .filter(|(w, ..)| w.ends_with("outside"))
            .map(|(w, ..)| w.as_str())
            .collect::<Vec<_>>(),
        ["5.4 to 7, outside"]
    );
    assert!(words.iter().any(|(w, ..)| w == "6 or below"));
    let order: Vec<f64> = ["open", "narrow", "wide"]
        .iter()
        .map(|n| words.iter().find(|(w, ..)| w == n).expect("named").2)
        .collect();
    assert!(order.is_sorted());
    assert_eq!(ph_windows(&[window("none", None, None)], None), None);
}

#[test]
fn the_bars_of_a_composition_add_up() {
    let parts =
        [("water", "70"), ("oils", "25.5"), ("the rest", "4.5")].map(|(n, p)| (n.to_owned(), d(p)));
    let svg = composition("by kind", &parts).expect("parts");
    let doc = Document::parse(&svg).expect("XML");
    let bars: Vec<(f64, f64)> = doc
        .descendants()
        .filter(|n| n.has_tag_name("rect") && n.attribute("fill") == Some("none"))
        .map(|n| (number(n, "x"), number(n, "x") + number(n, "width")))
        .collect();
    assert_eq!(bars.len(), 3);
    assert_eq!(bars[0].0, tick(&svg, "0"));
    assert!(
        bars.windows(2).all(|w| w[0].1 == w[1].0),
        "each begins where the one before ends"
    );
    assert!((bars[2].1 - tick(&svg, "100")).abs() <= 1.0);
    assert!(words_of(&svg).iter().any(|(w, ..)| w == "together 100 %"));
    assert_eq!(composition("by kind", &[]), None);
}

#[test]
fn the_method_is_drawn_in_the_unit_of_the_file_with_what_goes_in() {
    let svg = temperature(&course("°F", [68.0, 167.0, 100.0, 77.0], "A")).expect("a course");
    let words = words_of(&svg);
    for said in [
        "°F", "A: 167", "B: 167", "100", "77", "+ B", "+ A", "+ D (?)", "20 min", "add C",
    ] {
        assert!(words.iter().any(|(w, ..)| w == said), "{said} in {words:?}");
    }
    // Hotter is higher, later is further right.
    let at = |said: &str| words.iter().find(|(w, ..)| w == said).expect("there");
    assert!(at("A: 167").2 < at("100").2 && at("100").2 < at("77").2);
    assert!(at("+ B").1 < at("+ A").1);
    let doc = Document::parse(&svg).expect("XML");
    assert!(
        doc.descendants().any(|n| n.has_tag_name("desc")
            && n.text().is_some_and(|t| t.contains("A goes in at 100 °F")))
    );
    let unknown = Course {
        vessels: vec![],
        ..course("°C", [20.0, 75.0, 38.0, 25.0], "A")
    };
    assert_eq!(temperature(&unknown), None);
}

#[test]
fn a_titration_shows_each_reading_where_it_was_taken() {
    // pH 6.93 before the acid, 4.58 after 2 g of it, for a target of 4.5 to 5.5.
    let svg = titration(&[(0.0, 6.93), (2.0, 4.58)], &[], &[], (4.5, 5.5));
    let doc = Document::parse(&svg).expect("XML");
    let marks: Vec<(f64, f64)> = doc
        .descendants()
        .filter(|n| n.has_tag_name("circle"))
        .map(|n| (number(n, "cx"), number(n, "cy")))
        .collect();
    assert_eq!(marks.len(), 2);
    assert_eq!(marks[0].0, tick(&svg, "0"));
    assert!((marks[1].0 - tick(&svg, "2")).abs() <= 1.0);
    let unit = tick_left(&svg, "5") - tick_left(&svg, "6");
    assert!((marks[1].1 - (tick_left(&svg, "5") + 0.42 * unit)).abs() <= 2.0);
    for said in ["6.93", "4.58", "target pH 4.5 to 5.5"] {
        assert!(words_of(&svg).iter().any(|(w, ..)| w == said), "{said}");
    }
}

#[test]
fn a_sample_has_squares_beside_the_dots_of_the_batch() {
    let tried = vec![(0.0, 6.4), (1.0, 5.9), (2.0, 5.1)];
    let svg = titration(
        &[(0.0, 6.4), (1.5, 5.5)],
        &[tried],
        &[(1.5, 5.5), (1.8, 5.2)],
        (5.2, 5.2),
    );
    let doc = Document::parse(&svg).expect("XML");
    // Where both began one mark is enough, the batch's.
    let squares: Vec<&str> = doc
        .descendants()
        .filter(|n| n.has_tag_name("polygon"))
        .filter_map(|n| n.attribute("points"))
        .collect();
    assert_eq!(squares.len(), 2, "{svg}");
    let middle = |points: &str| {
        let xs: Vec<f64> = points
            .split_whitespace()
            .filter_map(|p| p.split(',').next()?.parse().ok())
            .collect();
        xs.iter().sum::<f64>() / xs.len() as f64
    };
    assert!(
        (middle(squares[0]) - tick(&svg, "1")).abs() <= 1.5
            && (middle(squares[1]) - tick(&svg, "2")).abs() <= 1.5,
        "{squares:?}"
    );
    let said = doc
        .descendants()
        .find(|n| n.has_tag_name("desc"))
        .and_then(|n| n.text())
        .unwrap_or_default();
    assert!(
        said.contains("The sample: pH 5.1 at what is 2 g for the batch."),
        "{said}"
    );
    assert!(words_of(&svg).iter().any(|(w, ..)| w == "sample"), "{svg}");
}
