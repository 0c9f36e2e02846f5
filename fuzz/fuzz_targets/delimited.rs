//! Any bytes as a text file: no panic, and every place can be asked for.
#![no_main]

use gradeworthy_sheets::{DelimitedOptions, find_header, guess_decimal_mark, read_delimited};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(read) = read_delimited(bytes, DelimitedOptions::default()) {
        for row in read.grid.rows() {
            for (column, cell) in row.cells().enumerate() {
                assert_eq!(row.text(column), cell.text);
            }
        }
        drop(find_header(&read.grid));
        drop(guess_decimal_mark(&read.grid));
    }
});
