//! Any bytes as a workbook: no panic, no run of memory.
#![no_main]

use gradeworthy_sheets::{find_header, read_xlsx};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok((sheets, _)) = read_xlsx(bytes) {
        for sheet in &sheets {
            drop(find_header(sheet));
        }
    }
});
