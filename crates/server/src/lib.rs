//! Pages and programs' answers over HTTP: the record, the bench and the reports, put before people.
#![doc = include_str!("../README.md")]

mod app;
mod routes;

mod books;
mod guard;
mod refusal;
mod request;
mod throttle;

mod icon;
mod page;
mod script;
mod stylesheet;
mod words;

mod members;

mod consent;
mod entry;
mod photo;

mod bench;
mod exchange;
mod fleet;
mod hill;
mod jobs;
mod papers;
mod report;
mod rip_track;
mod story;

mod keeping;
mod openapi;

mod sample;
mod serve;
mod tls;

#[cfg(test)]
mod club;

pub use app::{App, Clock, Settings, build_app};
pub use members::{let_in, set_up_address};
pub use papers::{Gathered, gather_month, gather_papers, gather_statement};
pub use sample::{SAMPLE_PASSWORD, fill_with_sample};
pub use serve::{ServeError, serve};
pub use tls::{SelfSigned, Tls, TlsError, self_signed};
