//! Reading a sheet of 10,000 rows and 60 columns, against the bare work of the libraries under it:
//! the ratio says what faithfulness costs.

use std::hint::black_box;
use std::io::Cursor;

use calamine::{Reader, Xlsx};
use criterion::{Criterion, criterion_group, criterion_main};
use gradeworthy_sheets::{DelimitedStyle, Entry, Table, read, write_delimited, write_xlsx};

const ROWS: usize = 10_000;
const COLUMNS: usize = 60;

fn table() -> Table {
    let hundredths = |row: usize, column: usize| u32::try_from((row * 7 + column) % 100);
    let entry = |row, column| match column {
        0 => Entry::Text(format!("XMPL {row}")),
        _ => Entry::Number(14.0 + f64::from(hundredths(row, column).unwrap_or(0)) / 100.0),
    };
    Table {
        name: "Cars".to_owned(),
        headings: (0..COLUMNS)
            .map(|column| format!("reading {column}"))
            .collect(),
        rows: (0..ROWS)
            .map(|row| (0..COLUMNS).map(|column| entry(row, column)).collect())
            .collect(),
    }
}

fn reading(criterion: &mut Criterion) {
    let table = table();
    let text = write_delimited(&table, DelimitedStyle::default()).expect("writable");
    let workbook = write_xlsx(std::slice::from_ref(&table)).expect("writable");
    let mut group = criterion.benchmark_group("10,000 x 60");
    group.sample_size(10);
    group.bench_function("text: read", |b| {
        b.iter(|| read(black_box(&text)).expect("readable"))
    });
    group.bench_function("text: csv crate alone", |b| {
        b.iter(|| {
            let mut reader = csv::Reader::from_reader(black_box(&text[..]));
            let mut record = csv::StringRecord::new();
            let mut cells = 0;
            while reader.read_record(&mut record).expect("readable") {
                cells += record.len();
            }
            cells
        });
    });
    group.bench_function("workbook: read", |b| {
        b.iter(|| read(black_box(&workbook)).expect("readable"));
    });
    group.bench_function("workbook: calamine alone", |b| {
        b.iter(|| {
            let mut opened = Xlsx::new(Cursor::new(black_box(&workbook[..]))).expect("readable");
            opened.worksheet_range("Cars").expect("readable")
        });
    });
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
