//! A make-up: cars picked from the fleet and locomotives, in an order that is typed or dragged.

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_store::{Action, ClientId, FleetFilter, FleetRow, HillEdition, HillKind};
use gradeworthy_train::consist::Member;
use gradeworthy_train::consist::{TrainOrder, tidy_name, write_train};
use maud::{Markup, html};

use super::edit_order::{self, Row};
use super::lines::history;
use super::save::{NewEdition, save};
use super::stock::{self, Seat, Who};
use crate::App;
use crate::fleet;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Fields, Named};
use crate::script;

/// Cars that a search shows. ASSUMED: one screen; a longer search is made narrower.
const FOUND: u32 = 30;

/// What stands in the form.
struct Form {
    item: Option<i64>,
    seen: Option<u32>,
    was: String,
    order: TrainOrder,
    rows: Vec<Row>,
    faults: Vec<String>,
    notes: Vec<String>,
    search: String,
    found: Vec<FleetRow>,
    /// A list that was pasted and could not be read; it stays where it can be mended.
    pasted: String,
}

impl Form {
    fn new(order: TrainOrder) -> Self {
        Self {
            item: None,
            seen: None,
            was: String::new(),
            rows: edit_order::rows(&order),
            order,
            faults: Vec::new(),
            notes: Vec::new(),
            search: String::new(),
            found: Vec::new(),
            pasted: String::new(),
        }
    }

    fn of(edition: &HillEdition) -> Result<Self, Refusal> {
        let mut order = stock::order(edition)?;
        order.name = Some(edition.name.to_string());
        Ok(Self {
            item: Some(edition.item),
            seen: Some(edition.edition),
            was: edition.name.to_string(),
            ..Self::new(order)
        })
    }

    /// What a form that was sent holds.
    fn sent(fields: &Fields) -> Self {
        let mut order = edit_order::empty(Vec::new());
        order.name = Some(fields.get("name").to_owned()).filter(|own| !own.is_empty());
        // The settings travel in the form as a train file without vehicles' order of its own.
        if let Ok(kept) = edit_order::import(fields.get("settings")) {
            order = TrainOrder {
                name: order.name,
                members: Vec::new(),
                blocks: Vec::new(),
                ..kept
            };
        }
        let mut form = Self {
            item: fields.get("item").parse().ok(),
            seen: fields.get("seen").parse().ok(),
            was: fields.get("was").to_owned(),
            ..Self::new(order)
        };
        let taken: Vec<&str> = fields
            .iter()
            .filter(|(key, _)| *key == "out")
            .map(|(_, own)| own)
            .collect();
        let turned: Vec<&str> = fields
            .iter()
            .filter(|(key, _)| *key == "turned")
            .map(|(_, own)| own)
            .collect();
        let all = |key: &'static str| {
            fields
                .iter()
                .filter(move |(own, _)| *own == key)
                .map(|(_, own)| own)
        };
        for ((name, position), block) in all("vehicle").zip(all("position")).zip(all("block")) {
            let place = form.rows.len() + 1;
            form.rows.push(Row {
                name: tidy_name(name),
                reversed: turned.contains(&name),
                block: block.to_owned(),
                position: position.parse().unwrap_or(place),
            });
        }
        form.rows = edit_order::ordered(&form.rows);
        form.rows.retain(|row| !taken.contains(&row.name.as_str()));
        form
    }

    /// Puts what was picked or typed behind a position, the rear where none is named.
    fn add(&mut self, fields: &Fields) {
        let picked = fields
            .iter()
            .filter(|(key, _)| *key == "pick")
            .map(|(_, own)| own.to_owned());
        let typed = fields
            .get("add")
            .lines()
            .map(tidy_name)
            .filter(|own| !own.is_empty());
        let mut at = fields
            .get("add_behind")
            .parse()
            .unwrap_or(usize::MAX)
            .min(self.rows.len());
        for name in picked.chain(typed).collect::<Vec<_>>() {
            if self.rows.iter().any(|own| own.name == name) {
                self.notes
                    .push(format!("{name} stands in the train already"));
                continue;
            }
            self.rows.insert(
                at,
                Row {
                    name,
                    reversed: false,
                    block: String::new(),
                    position: 0,
                },
            );
            at += 1;
        }
        for (position, row) in (1..).zip(&mut self.rows) {
            row.position = position;
        }
    }

    fn order(&self) -> TrainOrder {
        edit_order::order(&self.rows, self.order.clone())
    }

    fn page(&self, app: &App, caller: &Caller, below: &Markup) -> Result<Page, Refusal> {
        let snapshot = app.store().snapshot()?;
        let power = stock::power(&snapshot)?;
        let member = |row: &Row| Member {
            name: row.name.clone(),
            reversed: row.reversed,
            line: 0,
        };
        let members: Vec<_> = self.rows.iter().map(member).collect();
        let seats = stock::seats(&snapshot, &members, &power)?;
        let idle: Vec<_> = power
            .iter()
            .filter(|(_, own)| !self.rows.iter().any(|row| row.name == own.name))
            .collect();
        let lines = snapshot.hill(HillKind::Line)?;
        let may = caller.may(Action::MakeUp);
        let identity = ClientId::random()?;
        let troubles: Vec<_> = seats.iter().filter_map(Seat::trouble).collect();
        let named: Vec<_> = lines
            .iter()
            .map(|own| (own.item.to_string(), own.name.to_string()))
            .collect();
        let body = html! {
            @for fault in &self.faults { p.message role="alert" { (page::sentence(fault)) } }
            @for note in &self.notes { p.caution { (page::sentence(note)) } }
            @if let Some(item) = self.item { @if !lines.is_empty() {
                form.row method="get" action="/hill/climb" {
                    input type="hidden" name="train" value=(item);
                    (choice("Line", "line", "", named.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                    button { "Run it up the hill" }
                }
            } }
            @if !troubles.is_empty() { section.troubles { h2 { "What cannot run as it is" }
                ul { @for own in &troubles { li { (own) } } } } }
            form.make-up method="post" action="/hill/trains" {
                input type="hidden" name="client_id" value=(identity);
                @if let Some(item) = self.item { input type="hidden" name="item" value=(item); }
                @if let Some(seen) = self.seen { input type="hidden" name="seen" value=(seen); }
                input type="hidden" name="was" value=(self.was);
                input type="hidden" name="settings" value=(settings(&self.order));
                (text_field("Name", "name", self.order.name.as_deref().unwrap_or(""), true))
                @if may { p.row { button name="what" value="save" { "Save it" }
                    button.quiet name="what" value="order" { "Put in order" } } }
                (self.table(&seats, may))
                @if may { (self.adding(&idle)) (self.ending()) }
            }
            @if may && self.item.is_none() { (import_form(&identity, &self.pasted)) }
            (below)
            (script::HILL.load())
        };
        let title = self
            .order
            .name
            .clone()
            .unwrap_or_else(|| "Make up a train".to_owned());
        Ok(page::room(app, caller, &title, "/hill", &body))
    }

    fn table(&self, seats: &[Seat], may: bool) -> Markup {
        html! {
            p.more { (seats.len()) " vehicles, head first. Type a position to move one; the same block keeps cars together." }
            div.scroll role="region" aria-label="The train" tabindex="0" { table.order {
                tr { th { "Place" } th { "Vehicle" } th { "Turned" } th { "Block" } th { "Take out" } }
                @for (row, seat) in self.rows.iter().zip(seats) { tr data-block=(row.block) {
                    td { input.position type="number" name="position" value=(row.position) min="1" inputmode="numeric"
                        aria-label={ "Position of " (row.name) } readonly[!may];
                        input type="hidden" name="vehicle" value=(row.name); }
                    td { strong { (row.name) } " " (what(seat)) }
                    td { label.tick { input type="checkbox" name="turned" value=(row.name)
                        checked[row.reversed] aria-label={ "Turn " (row.name) }; } }
                    td { input.block type="text" name="block" value=(row.block) aria-label={ "Block of " (row.name) }
                        readonly[!may]; }
                    td { @if may { label.tick { input type="checkbox" name="out" value=(row.name) aria-label={
                        "Take out " (row.name) }; } } }
                } }
            } }
        }
    }

    fn adding(&self, idle: &[&(HillEdition, gradeworthy_train::consist::Locomotive)]) -> Markup {
        html! {
            fieldset { legend { "Add" }
                div.row {
                    (text_field("Behind place (empty: the rear; 0: the head)", "add_behind", "", false))
                    (text_field("Look in the fleet for marks or number", "search", &self.search, false))
                    button.quiet name="what" value="look" { "Look" }
                }
                @if !self.search.is_empty() && self.found.is_empty() { p { "No car's marks hold that." } }
                div.picks {
                    @for row in &self.found {
                        @match stock::why_not(row) {
                            None => label.tick { input type="checkbox" name="pick" value=(row.mark); span { strong {
                                (row.mark) } " " (fleet::what(row)) } },
                            Some(why) => p.more { (row.mark) ": " (why) ", so it may not run." },
                        }
                    }
                    @for (_, own) in idle { label.tick { input type="checkbox" name="pick" value=(own.name); span {
                        strong { (own.name) } " locomotive" } } }
                }
                label.field.wide { span { "Or type names, one a line" } textarea name="add" rows="3" spellcheck="false" {} }
                button.quiet name="what" value="add" { "Add them" }
            }
        }
    }

    fn ending(&self) -> Markup {
        html! { p.row {
            button name="what" value="save" { "Save it" }
            @if self.item.is_some() {
                button.quiet name="what" value="duplicate" { "Duplicate it" }
                button.quiet name="what" value="withdraw" { "Withdraw it" }
            }
        } }
    }
}

/// The settings of an order, without its vehicles, in a form that is read back.
fn settings(order: &TrainOrder) -> String {
    let one = Member {
        name: "X".to_owned(),
        reversed: false,
        line: 0,
    };
    write_train(&TrainOrder {
        members: vec![one],
        blocks: Vec::new(),
        ..order.clone()
    })
}

fn what(seat: &Seat) -> Markup {
    html! {
        @match &seat.who {
            Who::Locomotive => "locomotive",
            Who::Car(row) => {
                span.more { (fleet::what(row)) }
                @match stock::why_not(row) {
                    Some(why) => { " " span.chip.bad { span aria-hidden="true" { "✕" } " " (why.trim_start_matches("it is ")) } }
                    None => { @if let gradeworthy_store::Standing::Limited { restriction } = &row.standing {
                        " " span.chip.watch { span aria-hidden="true" { "△" } " limited" } " " (restriction) } }
                }
            }
            Who::Nobody | Who::Several(_) | Who::Both => span.chip.bad { span aria-hidden="true" { "✕" } " not known" },
        }
    }
}

fn import_form(identity: &ClientId, pasted: &str) -> Markup {
    html! {
        form method="post" action="/hill/trains" {
            input type="hidden" name="client_id" value=(identity);
            details.import open[!pasted.is_empty()] { summary { "Take it from a consist list" }
                p.more { "A name a line, head first; or a table with the columns vehicle, first_end, block; or a train file." }
                label.field.wide { span { "The list" } textarea name="import" rows="8" spellcheck="false" { (pasted) } }
                button.quiet name="what" value="import" { "Read it" }
            }
        }
    }
}

/// An empty form.
pub(crate) async fn train_new(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| Form::new(edit_order::empty(Vec::new())).page(app, &caller, &html! {}))
        .await
}

/// One make-up.
pub(crate) async fn train(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(item): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let edition = snapshot.hill_item(HillKind::MakeUp, item)?;
        let history = history(app, &snapshot, item)?;
        drop(snapshot);
        Form::of(&edition)?.page(app, &caller, &history)
    })
    .await
}

/// Orders, adds, looks, imports, saves, duplicates or withdraws. What cannot be saved stays in the form.
pub(crate) async fn train_send(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let what = fields.get("what");
        let mut form = if what == "import" {
            match edit_order::import(fields.get("import")) {
                Ok(order) => Form::new(order),
                Err(faults) => Form {
                    faults,
                    pasted: fields.get("import").to_owned(),
                    ..Form::new(edit_order::empty(Vec::new()))
                },
            }
        } else {
            Form::sent(&fields)
        };
        form.add(&fields);
        match what {
            "look" => {
                form.search = fields.get("search").to_owned();
                let filter = FleetFilter {
                    mark_part: Some(form.search.as_str().into()),
                    ..FleetFilter::default()
                };
                if !form.search.is_empty() {
                    form.found = app.store().snapshot()?.fleet(&filter, None, FOUND)?;
                    form.found
                        .retain(|row| !form.rows.iter().any(|own| own.name == row.mark.as_str()));
                }
            }
            "save" | "duplicate" | "withdraw" => {
                if let Some(saved) = form.save(app, &caller, &fields)? {
                    let to = if what == "withdraw" {
                        "/hill".to_owned()
                    } else {
                        format!("/hill/trains/{}", saved.item)
                    };
                    return Ok(Redirect::to(&to).into_response());
                }
            }
            _ => {}
        }
        Ok(form.page(app, &caller, &html! {})?.into_response())
    })
    .await
}

impl Form {
    /// Saves it; nothing where the form has to be mended first, and then it says what.
    fn save(
        &mut self,
        app: &App,
        caller: &Caller,
        fields: &Fields,
    ) -> Result<Option<HillEdition>, Refusal> {
        let what = fields.get("what");
        let mut order = self.order();
        let snapshot = app.store().snapshot()?;
        let power = stock::power(&snapshot)?;
        let seats = stock::seats(&snapshot, &order.members, &power)?;
        drop(snapshot);
        let unknown = seats.iter().filter(|seat| !seat.is_known());
        self.faults.extend(unknown.filter_map(Seat::trouble));
        if order.members.is_empty() {
            self.faults
                .push("a train has at least one vehicle: add some".to_owned());
        }
        let mut name = order.name.clone().unwrap_or_default();
        if name.is_empty() {
            self.faults
                .push("the train has no name: give it one".to_owned());
        }
        if !self.faults.is_empty() && what != "withdraw" {
            return Ok(None);
        }
        if what == "duplicate" {
            name = super::advice_page::free_name(app, &name)?;
        }
        order.name = Some(name.clone());
        let same = what != "duplicate" && self.was.eq_ignore_ascii_case(&name);
        Ok(Some(save(
            app,
            caller,
            NewEdition {
                client_id: client_id(fields.get("client_id"))?,
                kind: HillKind::MakeUp,
                name,
                seen: self.seen.filter(|_| same),
                text: write_train(&order),
                readings: None,
                withdrawn: what == "withdraw",
            },
        )?))
    }
}
