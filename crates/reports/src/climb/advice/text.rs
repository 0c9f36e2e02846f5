//! Advice for a terminal, after the answer.

use super::super::join::Consist;
use super::Plan;
use super::words::{Speaker, TELLING, claim};
use crate::text::{Style, wrapped};

/// Everything that is advised, in sentences; `style.everything` lists an order car by car.
#[must_use]
pub fn plan(plan: &Plan, consist: &Consist, asked: f64, margin: f64, style: Style) -> String {
    let speaker = Speaker { plan, consist };
    let mut page = Page {
        text: String::new(),
        width: style.width,
    };
    page.list("what to move", [speaker.moves(asked)]);
    page.list("helpers", plan.cuts.iter().map(|own| speaker.cut(own)));
    let order = plan.order.best.iter().filter(|own| own.gain >= TELLING);
    page.list(
        "order",
        order.map(|own| {
            let said = if style.everything {
                speaker.advice(own)
            } else {
                speaker.order(own)
            };
            said + claim(plan.order.claim)
        }),
    );
    let set_out = ["the last cars", "the first cars"];
    let each = plan.longest.iter().zip(set_out);
    page.list(
        "length",
        each.map(|(own, set_out)| speaker.longest(own, set_out, asked)),
    );
    page.list("power", [speaker.power(&plan.power)]);
    page.list("a stall", plan.stall.iter().map(|own| speaker.stall(own)));
    let repairs = plan.repairs.best.iter();
    let repairs = repairs.filter(|own| own.gain >= TELLING);
    page.list(
        "repairs that buy the most",
        repairs.map(|own| speaker.advice(own)),
    );
    let measurements = plan.measurements.best.iter();
    page.list(
        "measurements that tell the most",
        measurements.map(|own| speaker.measurement(own, margin)),
    );
    if plan.was_stopped() {
        page.text += "\nstopped before the end: each is the best so far\n";
    }
    page.text
}

struct Page {
    text: String,
    width: usize,
}

impl Page {
    fn list(&mut self, heading: &str, said: impl IntoIterator<Item = String>) {
        for (index, one) in said.into_iter().enumerate() {
            if index == 0 {
                self.text += &format!("\n{heading}:\n");
            }
            let room = self.width.saturating_sub(4).max(24);
            for (row, words) in wrapped(&one, room).into_iter().enumerate() {
                let lead = if row == 0 { "  - " } else { "    " };
                self.text += &format!("{lead}{words}\n");
            }
        }
    }
}
