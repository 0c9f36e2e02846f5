//! An answer for a terminal: the verdict a lead can act on, then what it rests on.

use gradeworthy_train::vehicle::{Provenance, Quantity, Vehicle};

use super::answer::{Answer, Line};
use super::join::Consist;
use super::words;
use crate::text::{Style, wrapped};

/// How many of the numbers the answer leans on are told.
const LEANS: usize = 3;

/// A change of the margin below this is not told: it does not show in two decimals.
const TELLING: f64 = 0.01;

/// How many cars with one complaint are told one by one.
const FEW: usize = 6;

/// Everything a lead needs; `style.everything` adds each number that was not measured.
#[must_use]
pub fn answer(answer: &Answer, consist: &Consist, line: &Line, style: Style) -> String {
    let mut page = Page {
        text: String::new(),
        width: style.width,
    };
    page.hang("", &words::headline(answer, consist));
    if let Some(first) = answer.spots.first() {
        let name = &consist.members[first.vehicle].name;
        page.hang(
            "  ",
            &format!("{name}: {}", words::cause(answer.margin.cause)),
        );
    }
    page.hang("", &verdict(answer));
    page.rest_of_spots(answer, consist);
    page.list(
        "a jerk on the curve",
        answer
            .prone
            .iter()
            .map(|car| words::prone(car, consist, answer.asked.jerk_allowance)),
    );
    if let Some(small) = &answer.small {
        page.text.push('\n');
        page.hang("", &words::small(small));
    }
    page.list("bench", consist.members.iter().flat_map(words::bench));
    page.list("line", line.findings.iter().map(words::line));
    page.leans(answer);
    page.defaults(consist, style.everything);
    page.text.push('\n');
    page.hang("", &foot(answer, consist, line));
    page.text
}

fn verdict(answer: &Answer) -> String {
    let (margin, least) = (answer.margin.margin, answer.asked.least_margin);
    let stands = if margin < 0.0 {
        "a limit is passed"
    } else if margin < least {
        "below"
    } else {
        "at or above"
    };
    format!(
        "{stands}{} the {least:.2} asked for",
        if margin < 0.0 { ": below" } else { "" }
    )
}

fn foot(answer: &Answer, consist: &Consist, line: &Line) -> String {
    format!(
        "{} cars and {} locomotives, {}, on {} ({:.1} m), {} places {:.0} mm apart; \
         quasi-static margins against models, no promise",
        consist.car_count(),
        consist.members.len() - consist.car_count(),
        words::condition(answer.asked.check.condition),
        line.name,
        line.alignment.length(),
        answer.sweep.places.len(),
        answer.asked.check.step_m * 1e3,
    )
}

struct Page {
    text: String,
    width: usize,
}

impl Page {
    fn hang(&mut self, lead: &str, said: &str) {
        let indent = lead.chars().count();
        let room = self.width.saturating_sub(indent.max(2)).max(24);
        for (index, row) in wrapped(said, room).into_iter().enumerate() {
            let own = if index == 0 {
                lead.to_owned()
            } else {
                " ".repeat(indent.max(2))
            };
            self.text += &format!("{own}{row}\n");
        }
    }

    fn list(&mut self, heading: &str, said: impl Iterator<Item = String>) {
        let said: Vec<_> = said.collect();
        if said.is_empty() {
            return;
        }
        self.text += &format!("\n{heading}:\n");
        for one in said.iter().take(FEW) {
            self.hang("  ! ", one);
        }
        if said.len() > FEW {
            self.hang("  ", &format!("and {} more", said.len() - FEW));
        }
    }

    fn rest_of_spots(&mut self, answer: &Answer, consist: &Consist) {
        if answer.spots.len() < 2 {
            return;
        }
        self.text += "\nnext:\n";
        for spot in &answer.spots[1..] {
            let lead = format!("  {}  ", words::number(spot.margin()));
            self.hang(&lead, &words::spot(spot, consist));
        }
    }

    fn leans(&mut self, answer: &Answer) {
        let leans = answer.margin.leans.iter();
        let telling: Vec<_> = leans
            .filter(|lean| lean.change >= TELLING)
            .take(LEANS)
            .collect();
        if telling.is_empty() {
            let said = "no number that was not measured moves the margin by as much as 0.01";
            self.text.push('\n');
            return self.hang("", said);
        }
        self.text += "\nmeasure next, the margin leans on it:\n";
        for lean in telling {
            self.hang("  ", &words::lean(lean, answer.margin.margin));
        }
    }

    fn defaults(&mut self, consist: &Consist, everything: bool) {
        let vehicles = consist.train.vehicles();
        let rows: Vec<_> = Quantity::ALL
            .into_iter()
            .filter_map(|quantity| defaulted(vehicles, quantity))
            .collect();
        let total: usize = rows.iter().map(|row| row.vehicles.len()).sum();
        let head = format!(
            "not measured: {total} numbers of {} kinds on {} vehicles",
            rows.len(),
            vehicles.len()
        );
        self.text.push('\n');
        if !everything {
            self.hang("", &(head + "; --everything lists them"));
            return;
        }
        self.hang("", &(head + ":"));
        for row in rows {
            let all = row.vehicles.len() == vehicles.len();
            let on = if all {
                "all".to_owned()
            } else {
                row.vehicles.join(", ")
            };
            let (assumed, usual) = (row.assumed, row.vehicles.len() - row.assumed);
            let name = words::quantity(row.quantity).0;
            let said = format!("{name} ({assumed} assumed, {usual} usual for the class): {on}");
            self.hang("  ", &said);
        }
    }
}

/// One quantity that was not measured everywhere.
pub(super) struct Defaulted<'a> {
    pub(super) quantity: Quantity,
    pub(super) vehicles: Vec<&'a str>,
    pub(super) assumed: usize,
}

/// Where a quantity was not measured; nothing where it was measured everywhere.
pub(super) fn defaulted(vehicles: &[Vehicle], quantity: Quantity) -> Option<Defaulted<'_>> {
    let mut row = Defaulted {
        quantity,
        vehicles: Vec::new(),
        assumed: 0,
    };
    for vehicle in vehicles {
        let entry = vehicle.entry(quantity);
        let its_own = vehicle.kind() == gradeworthy_train::vehicle::Kind::Locomotive
            || !quantity.is_of_locomotives();
        if its_own && entry.is_unmeasured() {
            row.vehicles.push(vehicle.label());
            row.assumed += usize::from(entry.provenance == Provenance::Assumed);
        }
    }
    (!row.vehicles.is_empty()).then_some(row)
}
