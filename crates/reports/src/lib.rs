//! What people and programs are told about an inspection.
//!
//! [`words`] turns margins, limits and cures into sentences; [`text`] lays them out for a terminal,
//! wide or narrow, with colour only as a second signal; [`wire`] is the same for programs, as JSON
//! and CSV with units in the names; [`drawing`] makes pictures of a car and of its margins.
//!
//! [`climb`] joins bench records to the hill and says what it answers; [`scene`] says what a train in
//! motion does.
//!
//! Pure: text in memory, no files and no terminal.

mod chart;
pub mod words;

pub mod climb;
pub mod drawing;
pub mod scene;
pub mod text;
pub mod wire;
