//! Serves a record on a free port of this machine and says where, on its first line of output. It ends
//! when it is killed or interrupted. The tests of the running server start it.
//!
//! Usage: `serve_record FILE [PAGE_COUNT_MAX]`.

#![expect(clippy::print_stdout, reason = "its output is what it is for")]

use std::error::Error;
use std::io::Write;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;

use gradeworthy_server::{App, Settings, serve};
use gradeworthy_store::{Options, Store};
use gradeworthy_workbench::shop::Shop;
use jiff::Timestamp;
use jiff::tz::TimeZone;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let path = PathBuf::from(arguments.next().ok_or("which file?")?);
    let page_count_max = arguments.next().map(|text| text.parse()).transpose()?;
    let options = Options {
        page_count_max,
        ..Options::default()
    };
    let settings = Settings {
        clock: Arc::new(Timestamp::now),
        zone: TimeZone::UTC,
        shop: Shop::default(),
        sample: false,
        backups: None,
        tls: false,
        set_up: None,
    };
    let app = App::new(Store::open(&path, &options)?, settings);
    serve(
        app,
        SocketAddr::from((Ipv4Addr::LOCALHOST, 0)),
        None,
        |address| {
            println!("{address}");
            // Whoever started it and went away does not need the address.
            drop(std::io::stdout().flush());
        },
    )?;
    Ok(())
}
