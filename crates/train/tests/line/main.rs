//! The line: files, survey, checks.

mod checks;
mod checks_of_height;
mod file_properties;
mod files;
mod known;
mod rates;
mod survey;
