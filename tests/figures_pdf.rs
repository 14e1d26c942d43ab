//! A candidate's two sheets as a PDF: that it tells what the HTML tells, and keeps to its two sheets.
//!
//! `pdf/reader.rs` reads what our own program writes, not any PDF.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

#[path = "pdf/reader.rs"]
mod reader;

use std::collections::BTreeSet;

use coldtrail_checks::candidate::{candidate, long};
use coldtrail_checks::golden;
use reader::{Pdf, Sheet};
use roxmltree::{Document, ParsingOptions};
use runner::figures::report::candidate::Candidate;
use runner::figures::report::pdf::NoPdf;
use ttf_parser::{Face, GlyphId, OutlineBuilder};

/// Somebody whose name a PDF can show.
fn writable() -> Candidate {
    Candidate {
        name: "Ines \"the\u{7} hand\u{202e}\" O'Neil, Łódź, Ξένια, Жанна".to_owned(),
        ..candidate()
    }
}

/// All that may ever be told, of somebody, in a wide letter.
fn widest() -> Candidate {
    let mut widest = long();
    let words = "W".repeat(300);
    widest.form.clone_from(&words);
    widest.date.clone_from(&words);
    widest.sitting.clone_from(&words);
    widest.notice.clone_from(&words);
    for task in &mut widest.tasks {
        task.title.clone_from(&words);
        task.answer.clone_from(&words);
        task.wall_ms = 600_000_000;
    }
    for one in &mut widest.competencies {
        one.name.clone_from(&words);
    }
    for slip in &mut widest.safety {
        slip.words.clone_from(&words);
        slip.grave = true;
    }
    for trace in &mut widest.traces {
        trace.title.clone_from(&words);
    }
    widest.verdict.as_mut().unwrap().reasons = vec![words; 9];
    widest
}

fn read(candidate: &Candidate) -> Pdf {
    Pdf::read(candidate.pdf().unwrap())
}

fn bare(words: &str) -> String {
    words.chars().filter(|c| !c.is_whitespace()).collect()
}

/// What a reader of the HTML sees, without spaces: `find` is given its elements too.
fn shown(page: &str, mut find: impl FnMut(&str)) -> String {
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    let page = Document::parse_with_options(page, options).unwrap();
    let body = page.descendants().find(|node| node.has_tag_name("body"));
    let mut text = String::new();
    for node in body.unwrap().descendants() {
        if node.is_element() {
            find(node.tag_name().name());
        }
        let parent = node.parent().map_or("", |it| it.tag_name().name());
        if node.is_text() && !["title", "desc", "style"].contains(&parent) {
            text.push_str(&bare(node.text().unwrap_or_default()));
        }
    }
    text
}

#[test]
fn the_pdf_tells_what_the_html_tells() {
    let mut practice = writable();
    practice.verdict = None;
    practice.safety.clear();
    practice.calibration = None;
    practice.traces.clear();
    for candidate in [writable(), practice] {
        let pdf = read(&candidate);
        assert_eq!(pdf.sheets.len(), 2);
        let mut elements: Vec<String> = Vec::new();
        let html = shown(&candidate.html(), |name| elements.push(name.to_owned()));
        let told: String = pdf.sheets.iter().map(Sheet::text).collect();
        assert_eq!(bare(&told), html);
        // And each thing as what it is, to who hears it.
        for (role, element) in [
            ("H1", "h1"),
            ("H2", "h2"),
            ("Table", "table"),
            ("TR", "tr"),
            ("TD", "td"),
            ("TH", "th"),
            ("LI", "li"),
            ("Figure", "svg"),
        ] {
            let count = |element: &str| elements.iter().filter(|name| *name == element).count();
            // A bar has a cell of its own in HTML, with no words in it.
            let bars = if role == "TD" { count("span") } else { 0 };
            assert_eq!(pdf.elements(role), count(element) - bars, "{role}");
        }
    }
}

/// The first sheet ends with the safety record, however much there is, and nothing is left out unsaid.
#[test]
fn nothing_pushes_a_third_sheet_or_runs_off_one() {
    let long = long();
    let pdf = read(&long);
    let [first, second] = &pdf.sheets[..] else {
        panic!("{} sheets", pdf.sheets.len());
    };
    let (one, two) = (first.text(), second.text());
    for words in ["90 tasks", "12 competencies", "37 slips"] {
        assert!(one.contains(words), "{words}: {one}");
    }
    for words in ["5 cases", "Practise next: word", "This certifies nobody"] {
        assert!(two.contains(words), "{words}: {two}");
    }
    assert!(one.contains("Grave. Task 1"));
    // Lines of a paragraph are words apart, to who hears or copies it.
    assert!(one.contains("one standard error, so another form"), "{one}");
    for candidate in [writable(), long, widest()] {
        let pdf = read(&candidate);
        assert_eq!(pdf.sheets.len(), 2);
        for sheet in &pdf.sheets {
            assert_in_its_place(sheet);
        }
    }
}

/// Words are within the margins and on no other words; lines are within the margins.
fn assert_in_its_place(sheet: &Sheet) {
    let (left, right, bottom, top) = (39.0, 556.5, 34.0, 808.0);
    for (x, y) in &sheet.points {
        let inside = (left..right).contains(x) && (bottom..top).contains(y);
        assert!(inside, "a line at {x}, {y}");
    }
    for words in &sheet.words {
        let (from, to) = (words.left, words.left + words.width);
        assert!(from >= left && to <= right, "{words:?}");
        assert!(words.base - 0.2 * words.size >= bottom, "{words:?}");
        assert!(words.base + 0.7 * words.size <= top, "{words:?}");
    }
    for (index, one) in sheet.words.iter().enumerate() {
        for other in &sheet.words[index + 1..] {
            let beside = one.left + one.width <= other.left + 0.05
                || other.left + other.width <= one.left + 0.05;
            let below = one.base - 0.2 * one.size >= other.base + 0.7 * other.size
                || other.base - 0.2 * other.size >= one.base + 0.7 * one.size;
            assert!(beside || below, "{one:?} is on {other:?}");
        }
    }
}

#[test]
fn the_same_report_is_the_same_bytes() {
    let one = writable().pdf().unwrap();
    assert_eq!(one, writable().pdf().unwrap());
    let other = Candidate {
        mark: 63.5,
        ..writable()
    };
    assert_ne!(one, other.pdf().unwrap());
    let pdf = Pdf::read(one);
    for absent in ["/CreationDate", "/ModDate", "/ID", "/JavaScript", "/URI"] {
        assert!(!pdf.says(absent), "{absent}");
    }
    for present in ["/Lang (en)", "/DisplayDocTitle true", "/Marked true"] {
        assert!(pdf.says(present), "{present}");
    }
}

#[test]
fn a_letter_that_the_faces_lack_is_named_and_never_an_empty_box() {
    let letters = |name: &str| {
        let named = Candidate {
            name: name.to_owned(),
            ..candidate()
        };
        match named.pdf() {
            Err(NoPdf::Letters(letters)) => letters,
            other => panic!("{name}: {:?}", other.map(|bytes| bytes.len())),
        }
    };
    assert_eq!(letters("李雷 Li, 李"), BTreeSet::from(['李', '雷']));
    // The files have glyphs for these, and we cannot join them.
    assert_eq!(letters("مي"), BTreeSet::from(['م', 'ي']));
    assert_eq!(letters("a\u{200d}b"), BTreeSet::from(['\u{200d}']));
    let why = candidate().pdf().unwrap_err().to_string();
    for words in ["`李` (U+674E)", "`雷` (U+96F7)", "--html"] {
        assert!(why.contains(words), "{words}: {why}");
    }
    // Wherever it stands, not in names only.
    let mut anywhere = writable();
    anywhere.traces[0].title.push('李');
    assert!(matches!(anywhere.pdf(), Err(NoPdf::Letters(_))));
}

#[test]
fn a_letter_and_its_marks_are_set_as_one() {
    let named = Candidate {
        name: "Nguye\u{302}\u{303}n".to_owned(),
        ..candidate()
    };
    let [first, _] = &read(&named).sheets[..] else {
        panic!("two sheets");
    };
    assert_eq!(first.words[0].text, "Nguyễn");
}

/// A glyph as its outline.
#[derive(Default, Debug, PartialEq)]
struct Outline(Vec<(char, [f32; 4])>);

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.push(('m', [x, y, 0.0, 0.0]));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.0.push(('l', [x, y, 0.0, 0.0]));
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.0.push(('q', [x1, y1, x, y]));
    }
    fn curve_to(&mut self, _: f32, _: f32, _: f32, _: f32, _: f32, _: f32) {
        panic!("these faces have no cubic curves");
    }
    fn close(&mut self) {
        self.0.push(('z', [0.0; 4]));
    }
}

fn outline(face: &Face<'_>, glyph: GlyphId) -> Outline {
    let mut outline = Outline::default();
    face.outline_glyph(glyph, &mut outline);
    outline
}

/// What the text says and what is printed are one: the glyph of each letter is the face's own.
#[test]
fn every_letter_looks_as_it_reads() {
    let pdf = read(&writable());
    let files = ["DejaVuSansCondensed.ttf", "DejaVuSansCondensed-Bold.ttf"];
    for (name, file) in ["R", "B"].into_iter().zip(files) {
        let whole = std::fs::read(golden::path(&format!("runner/fonts/{file}"))).unwrap();
        let whole = Face::parse(&whole, 0).unwrap();
        let font = pdf.font(name);
        let kept = Face::parse(&font.file, 0).unwrap();
        assert!(font.letters.len() > 20);
        assert!(usize::from(kept.number_of_glyphs()) < 200, "not a subset");
        for (glyph, letter) in &font.letters {
            let own = whole.glyph_index(*letter).unwrap();
            let glyph = GlyphId(*glyph);
            assert_eq!(outline(&kept, glyph), outline(&whole, own), "{letter}");
            let advance = f64::from(whole.glyph_hor_advance(own).unwrap());
            let told = font.widths[&glyph.0];
            let per_mille = 1000.0 * advance / f64::from(whole.units_per_em());
            assert!((told - per_mille).abs() < 0.01, "{letter}: {told}");
        }
    }
}
