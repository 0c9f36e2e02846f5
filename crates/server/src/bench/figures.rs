//! What is measured of a car once and for all: entered with the car, or later, when a check needs it.

use gradeworthy_reports::words::{System, amount};
use gradeworthy_standards::Scale;
use gradeworthy_store::{Action, CarId, ClientId, Details, Fact};
use gradeworthy_units::{Amount, Length, Reader};
use gradeworthy_workbench::record::{Check, Figures};
use gradeworthy_workbench::rules::RuleBook;
use maud::{Markup, html};

use super::desk::Desk;
use super::{Pass, address};
use crate::entry::{About, Entry, Envelope, entry, entry_json};
use crate::page::text_field;
use crate::refusal::Refusal;

/// What is measured once and for all.
pub(super) const FIGURES: [(&str, &str); 5] = [
    ("Body length", "body_length"),
    ("Truck centres", "truck_centres"),
    ("Wheelbase of a truck", "truck_wheelbase"),
    ("Truck centre to coupler face", "overhang"),
    ("Wheel code", "wheel_code"),
];

/// The form for what is missing or was measured again, open where the check lacks something.
pub(super) fn form(desk: &Desk<'_>, lacking: bool) -> Result<Markup, Refusal> {
    let own = &desk.hand.own.record.car.figures;
    let known = [
        own.body_length,
        own.truck_centres,
        own.truck_wheelbase,
        own.overhang[0],
    ];
    let words = |length: Length| amount(length.into(), System::Both);
    let code = own.wheel_code.map(|code| code.to_string());
    let known = known
        .map(|length| length.map(words))
        .into_iter()
        .chain([code]);
    let id = ClientId::random()?;
    Ok(html! {
        @if desk.caller.may(Action::ChangeCar) {
            details.figures open[lacking] { summary { "What is measured once" }
                form method="post" action={ "/bench/" (desk.hand.row.car) "/figures" } {
                    (desk.hidden(&id))
                    div.row { @for ((label, name), known) in FIGURES.into_iter().zip(known) {
                        div { (text_field(label, name, "", false))
                            span.past { @if let Some(known) = known { "now " (known) } @else { "not known" } } }
                    } }
                    button.quiet { "Enter these" }
                }
            }
        }
    })
}

entry! {
    /// What was measured of a car once and for all; what is left empty stays as it was.
    FiguresSent {
        /// Over the ends of the body, with its unit: '5.5 in'.
        body_length: String,
        /// Between the truck centres.
        truck_centres: String,
        /// Between the axles of a truck.
        truck_wheelbase: String,
        /// From a truck centre to the coupler face.
        overhang: String,
        /// The code of its wheels: '110'.
        wheel_code: String,
        /// The check that the form leads back to.
        #[schema(ignore)]
        check: String,
        /// The pass that the form leads back to.
        #[schema(ignore)]
        pass: String,
    }
}

impl Entry for FiguresSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, about: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let own = about.snapshot.record(about.car)?.record.car;
        let book = about
            .app
            .books()
            .holding(about.snapshot, about.app.today())?;
        let mut figures = own.figures;
        let typed = [
            &*self.body_length,
            &self.truck_centres,
            &self.truck_wheelbase,
            &self.overhang,
            &self.wheel_code,
        ];
        fill_in(&mut figures, own.scale, &book, typed)?;
        Ok(vec![Fact::Described(Box::new(Details {
            scale: own.scale,
            car_type: own.car_type,
            description: own.description,
            tags: own.tags,
            figures,
        }))])
    }

    fn onward(&self, car: CarId) -> String {
        address(
            car,
            Check::from_name(&self.check),
            Pass::from_name(&self.pass),
        )
    }
}

entry_json!(
    figures_json,
    "/api/bench/{car}/figures",
    FiguresSent,
    "bench"
);

/// Puts what is filled in, in the order of [`FIGURES`], into `own`; what is left empty stays as it was.
pub(super) fn fill_in(
    own: &mut Figures,
    scale: Scale,
    book: &RuleBook,
    typed: [&str; 5],
) -> Result<(), Refusal> {
    let reader = Reader::new(book.bare.length).with_ratio(scale.ratio());
    let mut faults = Vec::new();
    let [body, centres, wheelbase, overhang, code] = std::array::from_fn(|place| {
        let (label, _) = FIGURES[place];
        (label, typed[place].trim())
    });
    let mut length = |(label, text): (&str, &str)| {
        if text.is_empty() {
            return None;
        }
        match reader.read(text).map(|typed| typed.amount) {
            Ok(Amount::Length(length)) if length > Length::ZERO => return Some(length),
            Ok(_) => faults.push(format!("{label}: a length of more than nothing is wanted")),
            Err(error) => faults.push(format!("{label}: {error}")),
        }
        None
    };
    own.body_length = length(body).or(own.body_length);
    own.truck_centres = length(centres).or(own.truck_centres);
    own.truck_wheelbase = length(wheelbase).or(own.truck_wheelbase);
    if let Some(both) = length(overhang) {
        own.overhang = [Some(both); 2];
    }
    let (label, text) = code;
    if !text.is_empty() {
        match text.parse::<u16>() {
            Ok(number) if number > 0 => own.wheel_code = Some(number),
            Ok(_) | Err(_) => faults.push(format!("{label}: '{text}' is no code such as 110")),
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Reading { faults })
    }
}
