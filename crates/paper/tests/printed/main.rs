//! What comes out of the printer, asked of programs that are not ours: `lopdf` reads places and text
//! out of the PDF, `hayro` makes a picture of it, `rxing` reads the codes in that picture.

mod content;
mod read;

use std::sync::LazyLock;

use gradeworthy_paper::{
    Address, First, Frame, Label, LabelSheet, Layout, Note, Paper, Printed, Typing, labels,
    monthly, record_sheets, slips, statement, tags,
};
use gradeworthy_reports::words::System;

fn typed(paper: &str, columns: u16, rows: u16, lengths: [&str; 6]) -> LabelSheet {
    let [width, height, left, top, pitch_across, pitch_down] = lengths.map(str::to_owned);
    let typing = Typing {
        paper: paper.to_owned(),
        columns: columns.to_string(),
        rows: rows.to_string(),
        width,
        height,
        left,
        top,
        pitch_across,
        pitch_down,
    };
    typing.sheet().expect("a sheet")
}

/// A4 measured in millimetres with gaps both ways.
fn a4() -> LabelSheet {
    let lengths = [
        "60 mm", "33.5 mm", "8.25 mm", "11.5 mm", "66.75 mm", "39.6 mm",
    ];
    typed("A4", 3, 7, lengths)
}

/// Letter measured in inches, the labels touching downwards.
fn letter() -> LabelSheet {
    let lengths = ["2 3/8 in", "1.1 in", "5/16 in", "0.55 in", "2 3/4 in", ""];
    typed("Letter", 3, 9, lengths)
}

fn label(number: usize) -> Label {
    Label {
        mark: format!("ZBR {}", 1000 + number),
        what: "40-ft box car, HO".to_owned(),
        owner: Some("member 12".to_owned()),
        judged: None,
        address: content::address(1000 + number),
    }
}

fn sheetful(sheet: LabelSheet, first: First, count: usize) -> Printed {
    let all: Vec<_> = (0..count).map(label).collect();
    let layout = Layout {
        sheet,
        first,
        outlines: true,
    };
    labels(&all, &layout).expect("labels")
}

/// The six papers.
fn six() -> Vec<Printed> {
    static CARS: LazyLock<Vec<content::Car>> = LazyLock::new(|| content::cars(14));
    let cars = &*CARS;
    let quarters = Layout {
        sheet: LabelSheet::quarters(Paper::Letter),
        first: First::default(),
        outlines: true,
    };
    let hung: Vec<_> = cars.iter().map(|car| content::tag(1, car)).collect();
    vec![
        labels(
            &[content::label(1, &cars[6]), label(2)],
            &Layout {
                sheet: a4(),
                first: First::default(),
                outlines: true,
            },
        )
        .expect("labels"),
        tags(&hung, &quarters).expect("tags"),
        slips(&[content::slip()], &quarters).expect("a slip"),
        record_sheets(&[content::sheet(&cars[6])], Paper::A4, System::Both).expect("a sheet"),
        statement(&content::statement(cars), Paper::Letter).expect("a statement"),
        monthly(&content::month(cars), Paper::A4, System::Inch).expect("a report"),
    ]
}

/// Sources: [ISO-216] and [ASME-Y14.1] for the pages, the description of the sheet for the labels.
#[test]
fn labels_stand_within_a_fifth_of_a_millimetre_where_the_sheet_says() {
    let cases = [
        (a4(), First { row: 1, column: 1 }, (210.0, 297.0)),
        (letter(), First { row: 1, column: 1 }, (215.9, 279.4)),
        (a4(), First { row: 4, column: 2 }, (210.0, 297.0)),
    ];
    for (sheet, first, (width, height)) in cases {
        let columns = usize::from(sheet.columns);
        let skipped = usize::from(first.row - 1) * columns + usize::from(first.column - 1);
        let count = sheet.count() + 2;
        let printed = sheetful(sheet, first, count);
        let pages = read::pages(&printed.pdf);
        assert_eq!(pages.len(), printed.pages);
        let mut outlines = Vec::new();
        for page in &pages {
            assert!((page.width_mm - width).abs() < 0.01, "{}", page.width_mm);
            assert!((page.height_mm - height).abs() < 0.01, "{}", page.height_mm);
            outlines.push(page.outlines.clone());
        }
        let expected = |index: usize| {
            let place = index + skipped;
            (place / sheet.count(), sheet.frame(place % sheet.count()))
        };
        let found: usize = outlines.iter().map(Vec::len).sum();
        assert_eq!(found, count);
        for index in 0..count {
            let (page, frame) = expected(index);
            assert!(
                outlines[page].iter().any(|own| close(own, &frame)),
                "{index}: {frame:?}"
            );
        }
        // By hand, from the description alone: the last label of the first sheet.
        let last = sheet.frame(sheet.count() - 1);
        let (x, y) = if sheet.paper == Paper::A4 {
            (8.25 + 2.0 * 66.75, 11.5 + 6.0 * 39.6)
        } else {
            ((0.3125 + 2.0 * 2.75) * 25.4, (0.55 + 8.0 * 1.1) * 25.4)
        };
        assert!((last.x_mm - x).abs() < 1e-9 && (last.y_mm - y).abs() < 1e-9);
    }
}

fn close(one: &Frame, other: &Frame) -> bool {
    let pairs = [
        (one.x_mm, other.x_mm),
        (one.y_mm, other.y_mm),
        (one.width_mm, other.width_mm),
        (one.height_mm, other.height_mm),
    ];
    pairs.iter().all(|(a, b)| (a - b).abs() < 0.2)
}

/// Source: [ISO-18004] by way of a reader of other authors than the writer's.
#[test]
fn every_code_of_a_full_sheet_is_read_back_at_150_dots_an_inch() {
    for sheet in [a4(), letter(), LabelSheet::plain(Paper::A4)] {
        let count = sheet.count();
        let printed = sheetful(sheet, First::default(), count);
        let picture = read::picture(&printed.pdf, 0, 150.0);
        for index in 0..count {
            let text = picture.code_in(&sheet.frame(index));
            let expected = format!("http://192.0.2.7:7700/cars/{}", 1000 + index);
            assert_eq!(text, Some(expected), "label {index}");
        }
    }
}

#[test]
fn codes_of_tags_slips_and_record_sheets_are_read_back() {
    let printed = six();
    let quarter = LabelSheet::quarters(Paper::Letter).frame(0);
    let corner = Frame {
        x_mm: 160.0,
        y_mm: 10.0,
        width_mm: 45.0,
        height_mm: 40.0,
    };
    for (index, frame, number) in [(1, quarter, 1), (2, quarter, 110), (3, corner, 107)] {
        let picture = read::picture(&printed[index].pdf, 0, 150.0);
        let expected = format!("http://192.0.2.7:7700/cars/{number}");
        assert_eq!(picture.code_in(&frame), Some(expected), "{index}");
    }
}

#[test]
fn a_label_without_an_address_says_so_and_holds_the_name() {
    let mut own = label(7);
    own.address = Address::Unknown;
    let layout = Layout {
        sheet: a4(),
        first: First::default(),
        outlines: false,
    };
    let printed = labels(&[own], &layout).expect("a label");
    let text = read::text(&printed.pdf);
    assert!(text.contains("no server address set"), "{text}");
    let picture = read::picture(&printed.pdf, 0, 150.0);
    let held = picture.code_in(&a4().frame(0));
    assert_eq!(held.as_deref(), Some("ZBR 1007; 40-ft box car, HO"));
}

#[test]
fn what_must_be_there_is_there_as_text() {
    let printed = six();
    let said: Vec<String> = printed.iter().map(|own| read::text(&own.pdf)).collect();
    for (index, words) in [
        (
            0,
            &[
                "ZBR 107",
                "ZBR 1002",
                "40-ft box car, HO",
                "Owner: member 12",
                "✕ bad order",
            ][..],
        ),
        (
            1,
            &[
                "Shop tag",
                "BAD ORDER",
                "Found",
                "To do",
                "Caution:",
                "Looked at again by",
            ],
        ),
        (
            2,
            &[
                "WQX 110",
                "BAD ORDER",
                "would not couple",
                "A end",
                "third time tonight",
                "Released by",
            ],
        ),
        (
            3,
            &[
                "ZBR 107",
                "BAD ORDER",
                "coupler height",
                "Sources of the limits",
                "What happened",
                "out by",
            ],
        ),
        (
            4,
            &[
                "Ýmir Þórsson-Öztürk",
                "Your word is wanted",
                "ZBR 107",
                "page 2 of",
            ],
        ),
        (
            5,
            &[
                "Car shop report",
                "Bad-ordered, by defect",
                "coupler height, HO",
                "caliper 2",
                "does not hold",
            ],
        ),
    ] {
        for word in words {
            assert!(
                said[index].contains(word),
                "{index}: no '{word}' in\n{}",
                said[index]
            );
        }
    }
}

/// Source: [ISO-14289-1]: tagged, titled, in a language, with every typeface embedded.
#[test]
fn every_paper_is_tagged_titled_and_carries_its_typefaces() {
    for printed in six() {
        let about = read::about(&printed.pdf);
        assert!(about.tagged && about.structured && about.outlined);
        assert_eq!(about.language, "en");
        assert!(!about.title.is_empty());
        assert!(!about.fonts.is_empty());
        for (name, embedded) in &about.fonts {
            assert!(embedded, "{name}");
            assert!(name.contains("+DejaVuSansCondensed"), "a subset: {name}");
        }
    }
}

#[test]
fn the_same_data_give_the_same_bytes() {
    for (one, other) in six().into_iter().zip(six()) {
        assert!(one == other);
    }
}

#[test]
fn what_does_not_fit_or_cannot_be_drawn_is_said() {
    let mut own = label(1);
    own.mark = "漢字 1".to_owned();
    own.owner = Some("a name that goes on and on ".repeat(6));
    let layout = Layout {
        sheet: a4(),
        first: First::default(),
        outlines: false,
    };
    let printed = labels(&[own], &layout).expect("a label");
    let said: Vec<String> = printed.notes.iter().map(Note::to_string).collect();
    assert!(
        said.iter()
            .any(|own| own.contains("'字' (U+5B57), '漢' (U+6F22)")),
        "{said:?}"
    );
    assert!(
        said.iter()
            .any(|own| own.contains("no room for 'Owner: a name")),
        "{said:?}"
    );
    let text = read::text(&printed.pdf);
    assert!(text.contains('…') && text.contains('\u{fffd}'), "{text}");
}
