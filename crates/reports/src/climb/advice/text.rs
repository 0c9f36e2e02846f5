//! Advice for a terminal, after the answer.

use gradeworthy_train::advice::Advice;

use super::super::join::Consist;
use super::words::{Speaker, TELLING};
use super::{Part, Plan, topics};
use crate::text::{Style, wrapped};

/// Everything that is advised, in sentences; `style.everything` lists an order car by car.
#[must_use]
pub fn plan(plan: &Plan, consist: &Consist, asked: f64, margin: f64, style: Style) -> String {
    let mut page = Page {
        text: String::new(),
        width: style.width,
    };
    for topic in topics(plan, consist, asked, margin) {
        let said = topic.said.into_iter().map(|own| own.words);
        page.list(topic.part.heading(), said);
        if let (Part::Order, Some(order)) = (topic.part, &plan.order) {
            let telling = order.best.iter().filter(|own| own.gain >= TELLING);
            page.orders(telling, Speaker { plan, consist }, style);
        }
    }
    if plan.stopped {
        page.text += "\nstopped before the end: what is missing was not looked at\n";
    }
    page.text
}

struct Page {
    text: String,
    width: usize,
}

impl Page {
    /// The orders car by car, where everything is asked for; otherwise how to see them.
    fn orders<'a>(
        &mut self,
        telling: impl Iterator<Item = &'a Advice>,
        speaker: Speaker<'_>,
        style: Style,
    ) {
        for own in telling {
            if !style.everything {
                self.text += "    --everything lists it, car by car\n";
                return;
            }
            let all: Vec<String> = own.changes.iter().map(|own| speaker.change(own)).collect();
            for words in all {
                for row in wrapped(&words, self.width.saturating_sub(4).max(24)) {
                    self.text += &format!("    {row}\n");
                }
            }
        }
    }

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
