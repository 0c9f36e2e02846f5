//! The hill: lines, power, make-ups, the climb of one on another, what to change; scenes, in which the
//! train moves with its slack, and the odds of a trip.
//!
//! Everything on these pages is a picture first and numbers under it, and everything works without
//! scripts; `scripts/src/hill.ts` lets the train run.

mod advice;
mod advice_page;
mod api;
mod bytes;
mod climb;
mod climb_page;
mod compare;
mod edit_order;
mod labels;
mod line_rows;
mod lines;
mod make_up;
mod motion_api;
mod odds;
mod odds_page;
mod picture;
mod power;
mod room;
mod save;
mod scene;
mod scene_page;
mod scenes;
mod stage;
mod stock;
mod waiting;

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
pub(crate) use motion_api::{
    __path_odds_json, __path_play_film_json, __path_play_json, __path_save_scene_json,
    __path_scene_json,
};
pub(crate) use motion_api::{odds_json, play_film_json, play_json, save_scene_json, scene_json};
pub(crate) use odds_page::odds;
pub(crate) use power::{locomotive, power, power_new, power_send};
pub(crate) use room::room;
pub(crate) use scene_page::scene;
pub(crate) use scenes::{scene_new, scene_send, scene_show};

#[cfg(test)]
mod motion_tests;
#[cfg(test)]
mod tests;
