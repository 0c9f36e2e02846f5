//! Power and trains as files: locomotives with what was measured on them, and the order of a train.
//!
//! [`read_power`] reads the locomotives a club has, [`read_train`] a train as an ordered list of
//! names with how it is to be checked, [`read_train_csv`] the same order as a flat table. Text in,
//! values out; which name is a car of which sheet is for the reader's caller to say.
//!
//! A locomotive's speed and stiffness come from two timings over one distance ([`Locomotive`]):
//! (1) `v_set = L/t_0`, (2) `K = P/(L/t_0 − L/t_1)`.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | L | distance timed over | m |
//! | `t_0`, `t_1` | time running free, and pulling the load | s |
//! | P | the load, as pull on the coupler | N |
//! | `v_set` | speed asked for | m/s |
//! | K | loss of pull per gain of speed | N·s/m |
//!
//! Validity of (2): pull falls off linearly with speed near the setting, and the locomotive's own
//! drag is the same in both runs. The relation is that of [`crate::statics`].
//!
//! Units: SI inside; whatever was typed in files, and kept as typed.

pub(crate) mod document;
mod error;
mod figure;
mod locomotive;
mod order;
mod power_text;
mod train_text;

pub use error::{ConsistFileError, ConsistFileErrors};
pub use figure::Figure;
pub use locomotive::Locomotive;
pub use order::{Member, TrainOrder, tidy_name};
pub use power_text::{read_power, write_power};
pub use train_text::{read_train, read_train_csv, write_train, write_train_csv};
