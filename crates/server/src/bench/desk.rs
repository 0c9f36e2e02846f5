//! The parts of the bench page that one reading may change, each under an id of its own, so that a script
//! can put the new one in place of the old without loading the page again.

use gradeworthy_reports::drawing::{self, Drawing};
use gradeworthy_reports::words::{self as say, System};
use gradeworthy_store::{ClientId, Member, Snapshot, Work};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Finding, Line};
use gradeworthy_workbench::cures::Action;
use gradeworthy_workbench::record::{Check, Measure, Place};
use maud::{Markup, PreEscaped, html};

use super::{InHand, Pass, ending, figures, lately};
use crate::App;
use crate::consent;
use crate::guard::Caller;
use crate::page;
use crate::refusal::Refusal;
use crate::words;

/// What lies on the desk while a page is written: the car, the open check, who looks at it and from where.
pub(super) struct Desk<'a> {
    pub(super) app: &'a App,
    pub(super) caller: &'a Caller,
    pub(super) snapshot: &'a Snapshot<'a>,
    pub(super) members: &'a [Member],
    pub(super) hand: &'a InHand,
    pub(super) check: Check,
    pub(super) pass: Pass,
    /// The reading that has just been entered.
    pub(super) just: Option<(Measure, Place)>,
}

/// A part with its id.
pub(super) struct Part {
    pub(super) id: String,
    pub(super) html: Markup,
}

impl Desk<'_> {
    /// Every part but the fields.
    pub(super) fn parts(&self) -> Result<Vec<Part>, Refusal> {
        let part = |id: &str, html| Part {
            id: id.to_owned(),
            html,
        };
        Ok(vec![
            part("standing", self.standing()),
            part("checks", self.checks()),
            part("judged", self.judged()?),
            part("onward", self.onward()),
            part("picture", self.picture()),
            part("becomes", ending::forms(self)?),
            part("lately", lately::list(self)?),
        ])
    }

    /// The address of a check of this car, in this pass.
    pub(super) fn address(&self, check: Check, pass: Pass) -> String {
        super::address(self.hand.row.car, Some(check), pass)
    }

    /// Verdict and standing, and what the last cure left in doubt.
    fn standing(&self) -> Markup {
        let hand = self.hand;
        let stale = self.checks_that_are(Verdict::Stale);
        html! {
            div id="standing" {
                p { (page::verdict(hand.inspection.verdict)) " under edition " (hand.inspection.edition) " · "
                    (page::standing(self.app, &hand.row.standing)) }
                @if !stale.is_empty() {
                    p { "In doubt since something was changed, to be read again: " strong { (stale.join(", ")) } "." }
                }
            }
        }
    }

    fn checks_that_are(&self, verdict: Verdict) -> Vec<&'static str> {
        let same = |check: &Check| self.hand.inspection.of(*check) == verdict;
        let checks = Check::ALL.into_iter().filter(same);
        checks.map(Check::name).collect()
    }

    fn checks(&self) -> Markup {
        let required = &self.hand.book.bench.required;
        let mut shown = self.pass.checks(&self.hand.book);
        if !shown.contains(&self.check) {
            shown.insert(0, self.check);
        }
        html! {
            section.side id="checks" { h2 { "Checks" }
                nav.pass aria-label="Which checks" { @for pass in Pass::ALL {
                    a href=(self.address(self.check, pass)) aria-current=[(pass == self.pass).then_some("true")] { (pass.words()) }
                } }
                ol.checks { @for check in shown {
                    li { a href=(self.address(check, self.pass)) aria-current=[(check == self.check).then_some("step")] {
                        span { (check.name()) @if required.contains(&check) { " *" } }
                        (page::verdict(self.hand.inspection.of(check)))
                    } }
                } }
                p.more { "* no car is admitted without it" }
            }
        }
    }

    fn judged(&self) -> Result<Markup, Refusal> {
        let lines = self.hand.inspection.lines_of(self.check);
        let place = self.just.map(|(_, place)| place);
        let (open, folded): (Vec<_>, Vec<_>) =
            lines.partition(|line| line.verdict != Verdict::Fit || Some(line.place) == place);
        let findings = &self.hand.inspection.findings;
        let lacking: Vec<_> = findings
            .iter()
            .filter(|own| about(own, self.check))
            .map(ToString::to_string)
            .collect();
        Ok(html! {
            div id="judged" {
                @if !open.is_empty() { (self.lines(&open)) }
                (self.cures()?)
                @if !lacking.is_empty() { ul.lacking { @for own in &lacking { li { (page::sentence(own)) } } } }
                (figures::form(self, !lacking.is_empty() && self.hand.inspection.of(self.check) == Verdict::NotChecked)?)
                @if !folded.is_empty() {
                    details { summary { (folded.len()) " fit, with their margins" } (self.lines(&folded)) }
                }
            }
        })
    }

    fn lines(&self, lines: &[&Line]) -> Markup {
        html! {
            ul.lines { @for line in lines { li {
                @if line.reading.is_some() && (line.lower.is_some() || line.upper.is_some()) {
                    (picture(&drawing::margin(line, System::Both)))
                } @else { (page::verdict(line.verdict)) }
                div { span { (self.line_words(line)) } " " span.more { (line.grounds) } }
            } } }
        }
    }

    /// A judged line as a sentence; a line of the look-over in the words of the rule book.
    fn line_words(&self, line: &Line) -> String {
        match self.look_over(line.place) {
            Some(words) => words.to_owned(),
            None => say::line(line, System::Both),
        }
    }

    pub(super) fn look_over(&self, place: Place) -> Option<&str> {
        let Place::Item(item) = place else {
            return None;
        };
        let index = usize::from(item).checked_sub(1)?;
        let items = &self.hand.book.bench.look_over;
        items.get(index).map(|words| &**words)
    }

    fn cures(&self) -> Result<Markup, Refusal> {
        let hand = self.hand;
        let cures = hand.cures.iter();
        let own: Vec<_> = cures.filter(|cure| cure.check == self.check).collect();
        if own.is_empty() {
            return Ok(html! {});
        }
        let words = self.snapshot.consents(hand.row.car)?;
        let mut ids = Vec::with_capacity(own.len());
        for _ in &own {
            ids.push(ClientId::random()?);
        }
        Ok(html! {
            h3 { "What puts it right" }
            ol.cures { @for (cure, id) in own.iter().zip(&ids) { li {
                p { (page::sentence(&say::cure(cure, System::Both))) }
                @if let Some(then) = say::then(cure) { p { "Then: " (then) "." } }
                @if let Some(caution) = &cure.caution { p.caution { "Caution: " (caution) } }
                @let work = Work::of(cure.kind);
                @let refused = words.contains(&(work, false));
                @if let Some(warning) = consent::warning(&words, &hand.row, &[work]) {
                    p.caution { (page::sentence(&warning)) " "
                        a.aside href={ "/cars/" (hand.row.car) "#consent" } { "Ask the owner" } }
                }
                @let to_be_done = !matches!(cure.action, Action::Lacking(_));
                @if to_be_done && !refused { form method="post" action={ "/bench/" (hand.row.car) "/cures" } {
                    (self.hidden(id))
                    input type="hidden" name="cure" value=(cure.kind.name());
                    input type="hidden" name="place" value=(words::place_key(cure.place));
                    input type="hidden" name="note" value=(say::cure(cure, System::Both));
                    @if let Some(days) = cure.rest_days { input type="hidden" name="rest_days" value=(days); }
                    button.quiet { "This was done" }
                } }
            } } }
        })
    }

    /// What every form of this page sends along.
    pub(super) fn hidden(&self, id: &ClientId) -> Markup {
        html! {
            input type="hidden" name="client_id" value=(id);
            input type="hidden" name="version" value=(self.hand.own.version);
            input type="hidden" name="check" value=(self.check.name());
            input type="hidden" name="pass" value=(self.pass.name());
        }
    }

    /// What comes next, as one large button.
    fn onward(&self) -> Markup {
        let next = self.hand.next(self.pass);
        let done = self.hand.hindrances(self.app).is_empty();
        let verdict = self.hand.inspection.of(next);
        let more = next != self.check && !matches!(verdict, Verdict::Fit | Verdict::Watch);
        html! {
            p.onward id="onward" {
                @if done { a.button href="#becomes" { "The rule book admits it: what becomes of it" } }
                @if more {
                    a.button.quiet[done] href=(self.address(next, self.pass)) { "Next: " (next.name()) }
                }
                @if next == self.check && !done { span.more { "This check is not done yet; it goes on here." } }
            }
        }
    }

    /// The car as the readings of this check make it: the view that shows them first.
    fn picture(&self) -> Markup {
        let (record, inspection) = (&self.hand.own.record, &self.hand.inspection);
        let (side, end, plan) = (
            || drawing::side(record, inspection, System::Both),
            || drawing::end(record, inspection, System::Both),
            || drawing::plan(record, inspection, System::Both),
        );
        let shown = match self.check {
            Check::Wheelsets
            | Check::AxleFit
            | Check::TruckSwing
            | Check::SwivelDrag
            | Check::CouplerAction => plan(),
            Check::Rock | Check::Balance => end(),
            Check::LookOver
            | Check::Spin
            | Check::Seating
            | Check::Droop
            | Check::CouplerHeight
            | Check::Weight
            | Check::CarRoll => side(),
        };
        html! {
            figure.picture id="picture" {
                div.scroll role="region" tabindex="0" aria-label="Drawing of this car" { (picture(&shown)) }
                figcaption { "Drawn from its readings, exaggerated as the picture says." }
            }
        }
    }
}

/// Whether a finding is about this check.
fn about(finding: &Finding, asked: Check) -> bool {
    match finding {
        Finding::Missing { check, .. }
        | Finding::Excused { check, .. }
        | Finding::Unusable { check, .. } => *check == asked,
        Finding::NoLimit { measure } => measure.check() == asked,
        Finding::ScaleWithoutRules { .. } => true,
        Finding::Assumed { .. }
        | Finding::Repeated { .. }
        | Finding::UnknownInstrument { .. }
        | Finding::ExceptionLapsed { .. } => false,
    }
}

/// A drawing in a page.
pub(super) fn picture(drawing: &Drawing) -> Markup {
    // The only text that is not escaped here: reports writes it through an escaping writer of its own.
    PreEscaped(drawing.svg.clone())
}
