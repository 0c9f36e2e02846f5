//! What is entered on the RIP track: a wait that is over, two reports of one defect.

use gradeworthy_store::{Action, CarId, Fact, Permission, Seq, WaitFor};
use maud::{Markup, html};

use super::Waiting;
use crate::entry::{About, Entry, Envelope, entry, entry_json, form};
use crate::guard::Caller;
use crate::page::{choice, text_field};
use crate::refusal::Refusal;

entry! {
    /// A wait that is over.
    WaitEndSent {
        /// The entry that began it.
        wait: i64,
        /// What came of it; for a question to the owner, his answer.
        note: String,
    }
}

impl Entry for WaitEndSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        Ok(vec![Fact::WaitEnded {
            wait: Seq::from_number(self.wait),
            note: self.note.trim().into(),
        }])
    }
}

entry! {
    /// Two reports of one defect.
    MergeSent {
        /// The entry of the report that no longer counts.
        duplicate: i64,
        /// The entry of the report that stands.
        into: i64,
    }
}

impl Entry for MergeSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        Ok(vec![Fact::Merged {
            duplicate: Seq::from_number(self.duplicate),
            into: Seq::from_number(self.into),
        }])
    }

    fn onward(&self, _: CarId) -> String {
        "/rip-track".to_owned()
    }
}

entry_json!(
    wait_end_json,
    "/api/cars/{car}/wait-ends",
    WaitEndSent,
    "rip track"
);
entry_json!(
    answer_json,
    "/api/cars/{car}/answers",
    WaitEndSent,
    "consent"
);
entry_json!(merge_json, "/api/cars/{car}/merges", MergeSent, "rip track");

/// A form for each wait that the caller may end alone.
pub(super) fn waits(caller: &Caller, own: &Waiting) -> Result<Markup, Refusal> {
    if caller.member.role.may(Action::Hold) != Permission::Yes {
        return Ok(html! {});
    }
    let mut forms = Vec::new();
    for wait in &own.holds.waits {
        let (label, done) = match wait.wait_for {
            WaitFor::Parts => (
                "What came, from which lot (may stay empty)",
                "The parts are here",
            ),
            WaitFor::Owner => ("What the owner answered, and how", "He has answered"),
        };
        let body = html! {
            input type="hidden" name="wait" value=(wait.seq);
            div.row { (text_field(label, "note", "", wait.wait_for == WaitFor::Owner)) button.quiet { (done) } }
        };
        let car = own.row.car.car;
        forms.push(html! {
            details { summary { (done) ": " (wait.what) } (form(car, own.version, "wait-ends", &body)?) }
        });
    }
    Ok(html! { @for form in forms { (form) } })
}

/// The form that makes one of two reports.
pub(super) fn merge(caller: &Caller, own: &Waiting) -> Result<Markup, Refusal> {
    let reports = &own.holds.reports;
    if reports.len() < 2 || !caller.may(Action::MergeReports) {
        return Ok(html! {});
    }
    let shown: Vec<_> = reports
        .iter()
        .map(|own| {
            let (report, seq) = (&own.report, own.seq);
            let note: String = report.note.chars().take(40).collect();
            let words = format!("{}, {} {note}", report.defect, report.place);
            (seq.to_string(), words.trim().to_owned())
        })
        .collect();
    let choices = || {
        shown
            .iter()
            .map(|(seq, words)| (seq.as_str(), words.as_str()))
    };
    let later = shown.last().map_or("", |own| &own.0);
    let body = html! {
        div.row {
            (choice("This report", "duplicate", later, choices()))
            (choice("is the same defect as", "into", "", choices()))
            button.quiet { "Make them one" }
        }
    };
    Ok(html! {
        details { summary { "Two reports of one defect?" }
            (form(own.row.car.car, own.version, "merges", &body)?) }
    })
}
