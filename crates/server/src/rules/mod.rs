//! The rule book: every limit with its source and history, exceptions before they lapse, and drafts of
//! the next edition.

mod amend;
mod api;
mod draft;
mod edition;
mod exceptions;

#[cfg(test)]
mod tests;

pub(crate) use amend::{
    __path_add_exception_json, __path_change_limit_json, __path_change_text_json, __path_draft_json,
};
pub(crate) use amend::{
    add_exception, add_exception_json, change_limit, change_limit_json, change_text,
    change_text_json, draft_json,
};
pub(crate) use api::{
    __path_begin_json, __path_edition_json, __path_force_json, __path_outcome_json,
    __path_rules_json,
};
pub(crate) use api::{begin_json, edition_json, force_json, outcome_json, rules_json};
pub(crate) use draft::{__path_drop_json, begin, download_draft, drop_draft, drop_json};
pub(crate) use draft::{page, put_in_force};
pub(crate) use edition::{book, download};
