//! Papers: labels, tags, slips, record sheets, statements and the monthly report, as PDF.
//!
//! What stands on them is gathered from the record here; how it stands there is decided in
//! `gradeworthy-paper`. A print with something to say about (a text that was cut, a letter the typeface
//! lacks, a code too fine) is shown with those words first and printed on a second asking; programs get
//! them as headers.

mod answer;
mod ask;
mod club_page;
mod gather;
mod month;
mod pages;

#[cfg(test)]
mod tests;

pub use gather::{Gathered, gather_month, gather_papers, gather_statement};

pub(crate) use answer::{
    __path_label, __path_labels, __path_monthly, __path_record_sheet, __path_slip, __path_slips,
    __path_statement, __path_tag,
};
pub(crate) use answer::{label, labels, monthly, record_sheet, slip, slips, statement, tag};
pub(crate) use club_page::{
    __path_drop_sheet_json, __path_keep_sheet_json, __path_set_address_json, __path_sheets_json,
};
pub(crate) use club_page::{
    drop_sheet, drop_sheet_json, keep_sheet, keep_sheet_json, set_address, set_address_json,
    sheets_json,
};
pub(crate) use pages::{car_papers, papers};
