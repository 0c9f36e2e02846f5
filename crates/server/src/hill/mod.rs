//! The hill: lines, power, make-ups, the climb of one on another, and what to change.
//!
//! Everything on these pages is a picture first and numbers under it, and everything works without
//! scripts; `scripts/src/hill.ts` lets the train run.

mod advice;
mod advice_page;
mod api;
mod climb;
mod climb_page;
mod compare;
mod edit_order;
mod labels;
mod line_rows;
mod lines;
mod make_up;
mod picture;
mod power;
mod room;
mod save;
mod stage;
mod stock;

pub(crate) use advice_page::apply;
pub(crate) use api::{
    __path_advice_json, __path_climb_json, __path_film_json, __path_hill_json, __path_line_json,
    __path_locomotive_json, __path_make_up_json, __path_save_line_json,
    __path_save_locomotive_json, __path_save_make_up_json,
};
pub(crate) use api::{
    advice_json, climb_json, film_json, hill_json, line_json, locomotive_json, make_up_json,
    save_line_json, save_locomotive_json, save_make_up_json,
};
pub(crate) use climb_page::{climb, end};
pub(crate) use lines::{line, line_form, line_new, line_send};
pub(crate) use make_up::{train, train_new, train_send};
pub(crate) use power::{locomotive, power, power_new, power_send};
pub(crate) use room::room;

#[cfg(test)]
mod tests;
