//! Sheets taken into the record, and the record written out.
//!
//! A file is looked at before anything of it is written: what every column was read as, every cell that
//! is refused with its place, which cars are new, what the record has already. Then it is entered whole,
//! in one transaction, or not at all.

mod api;
mod look;
mod page;
mod uploads;
mod write_out;

#[cfg(test)]
mod tests;

pub(crate) use api::{
    __path_enter_json, __path_let_go_json, __path_look_json, __path_match_json, __path_send_json,
};
pub(crate) use api::{enter_json, let_go_json, look_json, match_json, send_json};
pub(crate) use page::{end, enter, form, let_go, match_columns, send, show};
pub(crate) use uploads::Uploads;
pub(crate) use write_out::{
    __path_cars_csv, __path_readings_csv, __path_record_json, __path_workbook,
};
pub(crate) use write_out::{
    OneAtATime, cars_csv, page as write_out_page, readings_csv, record_json, workbook,
};

/// The most bytes of a file that is taken in. ASSUMED: a sheet of 10,000 cars with 70 readings each has
/// some 6 MB as text; a workbook is smaller.
pub(crate) const FILE_BYTES_MOST: usize = 32 * 1024 * 1024;
