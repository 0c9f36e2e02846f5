//! The rule book: every limit with its source and history, exceptions before they lapse, and drafts of
//! the next edition.

mod api;
mod draft;
mod edition;
mod exceptions;

#[cfg(test)]
mod tests;

pub(crate) use api::{
    __path_begin_json, __path_edition_json, __path_force_json, __path_outcome_json,
    __path_rules_json,
};
pub(crate) use api::{begin_json, edition_json, force_json, outcome_json, rules_json};
pub(crate) use draft::{
    add_exception, begin, change_limit, change_text, download_draft, drop_draft, page, put_in_force,
};
pub(crate) use edition::{book, download};
