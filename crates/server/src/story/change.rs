//! What is changed about a car: its marks, its owner, its description, its parts; and notes. The car
//! keeps its identity and its story through all of it.

use axum::Extension;
use axum::extract::State;
use gradeworthy_standards::Scale;
use gradeworthy_store::{Action, CarId, Details, Fact, Fitting, Ownership, Part, Version, Work};
use gradeworthy_units::{Amount, Length, Reader};
use gradeworthy_workbench::record::{Axles, CarMark, CarType, End, Place};
use maud::{Markup, html};

use crate::App;
use crate::bench::second_field;
use crate::entry::{About, Entry, Envelope, entry, entry_json, form as entry_form, no_choice};
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::request::Named;
use crate::words::place_from_key;
use crate::{consent, fleet};

entry! {
    /// Other marks or another number, from now on.
    LetterSent {
        /// Reporting marks and number.
        mark: String,
    }
}

impl Entry for LetterSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let mark = CarMark::new(&self.mark);
        let mark = mark.map_err(|_| no_choice(&self.mark, "car's name of 1 to 40 letters"))?;
        Ok(vec![Fact::Lettered(mark)])
    }
}

entry! {
    /// Another owner, from now on.
    OwnSent {
        /// His name; a member of that name then sees the car as his. Empty: not known.
        owner: String,
    }
}

impl Entry for OwnSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, about: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let name = self.owner.trim();
        let members = about.snapshot.members()?;
        let member = members
            .iter()
            .find(|own| own.active && own.name.eq_ignore_ascii_case(name));
        let owner = match member {
            Some(member) => Some(member.name.clone()),
            None => (!name.is_empty()).then(|| name.into()),
        };
        Ok(vec![Fact::Owned(Ownership {
            owner,
            member: member.map(|own| own.id),
        })])
    }
}

entry! {
    /// A part that was fitted.
    FitSent {
        /// The part: 'truck', 'wheelset', 'coupler', 'draft-gear box', 'weight' or 'something else'.
        part: String,
        /// Where: 'end-A', 'axle-2', 'car'.
        place: String,
        /// Maker and kind, as the shop writes it.
        description: String,
        /// Its lot, where known.
        lot: String,
    }
}

impl Entry for FitSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let fitted = Fitted {
            part: &self.part,
            place: &self.place,
            description: &self.description,
            lot: &self.lot,
        };
        Ok(vec![Fact::Fitted(fitted.read()?)])
    }
}

/// A part that was fitted, as it is sent.
pub(crate) struct Fitted<'a> {
    pub(crate) part: &'a str,
    pub(crate) place: &'a str,
    pub(crate) description: &'a str,
    pub(crate) lot: &'a str,
}

impl Fitted<'_> {
    pub(crate) fn read(&self) -> Result<Fitting, Refusal> {
        let description = self.description.trim();
        if description.is_empty() {
            let what = "what was fitted";
            return Err(Refusal::Unfilled { what });
        }
        let lot = Some(self.lot.trim()).filter(|lot| !lot.is_empty());
        Ok(Fitting {
            part: Part::from_name(self.part).ok_or_else(|| no_choice(self.part, "part"))?,
            place: place_from_key(self.place)
                .ok_or_else(|| no_choice(self.place, "place on a car"))?,
            description: description.into(),
            lot: lot.map(Into::into),
        })
    }
}

entry! {
    /// Another description. What is left empty stays as it is; '-' takes it away.
    DescribeSent {
        /// The scale.
        scale: String,
        /// AAR type letters.
        car_type: String,
        /// What the record calls it.
        description: String,
        /// Axles: 2, 4 or 6.
        axles: String,
        /// Length of the body, couplers left out.
        body_length: String,
        /// Length over couplers.
        length_over_couplers: String,
        /// Distance between bolsters.
        truck_centres: String,
        /// Distance between the outer axles of a truck.
        truck_wheelbase: String,
        /// From the A bolster to the coupler's face.
        overhang_a: String,
        /// From the B bolster to the coupler's face.
        overhang_b: String,
        /// Tread code of the wheels, such as 110.
        wheel_code: String,
        /// Material of the side frames.
        frame_material: String,
    }
}

/// A text that stays, is taken away, or is another.
fn set(typed: &str, own: &mut Option<Box<str>>) {
    match typed.trim() {
        "" => {}
        "-" => *own = None,
        other => *own = Some(other.into()),
    }
}

impl DescribeSent {
    fn lengths(&self, about: &About<'_>, details: &mut Details) -> Result<(), Refusal> {
        let bare = about
            .app
            .books()
            .holding(about.snapshot, about.app.today())?
            .bare
            .length;
        let reader = Reader::new(bare).with_ratio(details.scale.ratio());
        let figures = &mut details.figures;
        let [overhang_a, overhang_b] = &mut figures.overhang;
        let own: [(&str, &str, &mut Option<Length>); 6] = [
            ("body length", &self.body_length, &mut figures.body_length),
            (
                "length over couplers",
                &self.length_over_couplers,
                &mut figures.length_over_couplers,
            ),
            (
                "truck centres",
                &self.truck_centres,
                &mut figures.truck_centres,
            ),
            (
                "wheelbase of a truck",
                &self.truck_wheelbase,
                &mut figures.truck_wheelbase,
            ),
            ("A bolster to coupler face", &self.overhang_a, overhang_a),
            ("B bolster to coupler face", &self.overhang_b, overhang_b),
        ];
        let mut faults = Vec::new();
        for (label, typed, figure) in own {
            match typed.trim() {
                "" => {}
                "-" => *figure = None,
                typed => match reader.read(typed).map(|typed| typed.amount) {
                    Ok(Amount::Length(length)) if length > Length::ZERO => *figure = Some(length),
                    Ok(_) => {
                        faults.push(format!("{label}: a length of more than nothing is wanted"))
                    }
                    Err(error) => faults.push(format!("{label}: {error}")),
                },
            }
        }
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Refusal::Reading { faults })
        }
    }
}

impl Entry for DescribeSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, about: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let car = about.snapshot.record(about.car)?.record.car;
        let mut details = Details {
            scale: car.scale,
            car_type: car.car_type,
            description: car.description,
            tags: car.tags,
            figures: car.figures,
        };
        if !self.scale.is_empty() {
            let scale = self.scale.parse::<Scale>();
            details.scale = scale.map_err(|_| no_choice(&self.scale, "scale"))?;
        }
        let mut letters = details.car_type.map(|own| own.as_str().into());
        set(&self.car_type, &mut letters);
        details.car_type = letters.as_deref().map(CarType::new);
        set(&self.description, &mut details.description);
        set(&self.frame_material, &mut details.figures.frame_material);
        if !self.axles.is_empty() {
            let count = self.axles.parse().ok().and_then(Axles::from_count);
            details.figures.axles =
                count.ok_or_else(|| no_choice(&self.axles, "number of axles"))?;
        }
        match self.wheel_code.trim() {
            "" => {}
            "-" => details.figures.wheel_code = None,
            typed => {
                let code = typed.parse::<u16>().ok().filter(|code| *code > 0);
                let code = code.ok_or_else(|| no_choice(typed, "tread code such as 110"))?;
                details.figures.wheel_code = Some(code);
            }
        }
        self.lengths(about, &mut details)?;
        Ok(vec![Fact::Described(details.into())])
    }
}

entry! {
    /// A note.
    NoteSent {
        /// What is to be remembered.
        text: String,
    }
}

impl Entry for NoteSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        Ok(vec![Fact::Noted(self.text.trim().into())])
    }
}

entry_json!(
    letter_json,
    "/api/cars/{car}/letterings",
    LetterSent,
    "fleet"
);
entry_json!(own_json, "/api/cars/{car}/owners", OwnSent, "fleet");
entry_json!(
    describe_json,
    "/api/cars/{car}/descriptions",
    DescribeSent,
    "fleet"
);
entry_json!(fit_json, "/api/cars/{car}/fittings", FitSent, "fleet");
entry_json!(note_json, "/api/cars/{car}/notes", NoteSent, "fleet");

/// The form for a note on a car.
pub(super) fn note_form(car: CarId, version: Version) -> Result<Markup, Refusal> {
    let fields = html! {
        div.row { (text_field("A note", "text", "", true)) button.quiet { "Add it" } }
    };
    Ok(
        html! { details { summary { "Leave a note" } (entry_form(car, version, "notes", &fields)?) } },
    )
}

/// The page with everything that can be changed about a car.
pub(crate) async fn form(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &caller, CarId::from_number(car))?;
        let (car, version) = (row.car, snapshot.version(row.car)?);
        let members = snapshot.members()?;
        let second = second_field(&caller, &members, caller.member.role.may(Action::ChangeCar));
        let words = snapshot.consents(car)?;
        let works = [Work::Wheels, Work::Trucks, Work::Couplers, Work::Weights];
        let warning = consent::warning(&words, &row, &works);
        let axles = snapshot.record(car)?.record.car.figures.axles;
        let owner = row.owner.as_deref().unwrap_or_default();
        let body = html! {
            p { (fleet::what(&row)) " · " a.aside href={ "/cars/" (car) } { "its story" } }
            p { "Whatever is changed here, it stays the same car: its readings, cures and reports go with it." }
            section { h2 { "A part was fitted" }
                @if let Some(warning) = &warning { p.caution { (page::sentence(warning)) } }
                (entry_form(car, version, "fittings", &fit_fields(axles, &second))?) }
            section { h2 { "Other marks or number" } (entry_form(car, version, "letterings", &html! {
                div.row { (text_field("Marks and number", "mark", row.mark.as_str(), true)) (second) button { "Reletter it" } }
            })?) }
            section { h2 { "Another owner" } (entry_form(car, version, "owners", &html! {
                p.more { "The name of a member makes the car his: he sees it under My cars and is asked about it. \
                          A new owner is asked about everything anew." }
                div.row { (text_field("Owner; empty where not known", "owner", owner, false)) (second) button { "Change the owner" } }
            })?) }
            section { h2 { "Another description" } (entry_form(car, version, "descriptions", &describe_fields(&second))?) }
        };
        let title = format!("Change {}", row.mark);
        Ok(page::room(app, &caller, &title, "/fleet", &body))
    })
    .await
}

/// The fields of a part that was fitted.
pub(crate) fn fit_fields(axles: Axles, second: &Markup) -> Markup {
    let ends = End::BOTH.map(Place::End);
    let places = ends
        .into_iter()
        .chain((1..=axles.count()).map(Place::Axle))
        .chain([Place::Car]);
    let places: Vec<_> = places
        .map(|place| (crate::words::place_key(place), place.to_string()))
        .collect();
    let shown = places
        .iter()
        .map(|(key, words)| (key.as_str(), words.as_str()));
    html! {
        div.row {
            (choice("Part", "part", "truck", Part::ALL.iter().map(|own| (own.name(), own.name()))))
            (choice("Where", "place", "end-A", shown))
        }
        div.row {
            (text_field("Maker and kind", "description", "", true))
            (text_field("Lot, where known", "lot", "", false))
        }
        (second)
        button { "Enter the part" }
    }
}

fn describe_fields(second: &Markup) -> Markup {
    let scales = ["", "HO", "N", "O", "S", "TT", "Z"]
        .map(|name| (name, if name.is_empty() { "as it is" } else { name }));
    let axles = [("", "as they are"), ("2", "2"), ("4", "4"), ("6", "6")];
    html! {
        p.more { "What is left empty stays as it is; a hyphen takes it away. A bare number is in the rule book's unit." }
        div.row {
            (text_field("What it is", "description", "", false))
            (text_field("AAR type letters", "car_type", "", false))
            (choice("Scale", "scale", "", scales))
            (choice("Axles", "axles", "", axles))
        }
        div.row {
            (text_field("Body length", "body_length", "", false))
            (text_field("Length over couplers", "length_over_couplers", "", false))
            (text_field("Truck centres", "truck_centres", "", false))
            (text_field("Wheelbase of a truck", "truck_wheelbase", "", false))
        }
        div.row {
            (text_field("A bolster to coupler face", "overhang_a", "", false))
            (text_field("B bolster to coupler face", "overhang_b", "", false))
            (text_field("Wheel code", "wheel_code", "", false))
            (text_field("Side frames are of", "frame_material", "", false))
        }
        (second)
        button { "Change the description" }
    }
}
