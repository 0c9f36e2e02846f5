//! A car seen from the side, to tap where it hurts: a row of labelled places over a drawing that says
//! nothing by itself, so that it works without a script, by keyboard and by ear.

use gradeworthy_workbench::record::{Axles, End, Place};
use maud::{Markup, html};

use crate::words::{place_from_key, place_key};

/// The places a crew can tell at a glance, A end to the left as the drawing has it.
pub(super) fn places(axles: Axles, chosen: &str) -> Markup {
    let chosen = place_from_key(chosen).unwrap_or(Place::Car);
    let spot = |place, words: &str, class: &str| spot(place, words, class, place == chosen);
    let wheels: Vec<_> = (1..=axles.count())
        .map(|axle| (Place::Axle(axle), format!("axle {axle}")))
        .collect();
    html! {
        div.carpic {
            div.carbody {
                (drawing())
                (spot(Place::End(End::A), "A end", "end"))
                (spot(Place::Car, "whole car, or not sure", "whole"))
                (spot(Place::End(End::B), "B end, hand brake", "end"))
            }
            div.wheels { @for (place, words) in &wheels { (spot(*place, words, "axle")) } }
        }
    }
}

fn spot(place: Place, words: &str, class: &str, chosen: bool) -> Markup {
    html! {
        label class={ "tick " (class) } {
            input type="radio" name="place" value=(place_key(place)) checked[chosen];
            span { (words) }
        }
    }
}

/// The side of a box car: body, door, ladder at the A end, hand-brake wheel at the B end, couplers.
fn drawing() -> Markup {
    html! {
        svg viewBox="0 0 240 84" preserveAspectRatio="none" aria-hidden="true" focusable="false" {
            rect class="sill" x="0" y="70" width="240" height="6" {}
            rect class="shell" x="4" y="6" width="232" height="64" {}
            rect class="door" x="98" y="12" width="44" height="58" {}
            path class="line" d="M14 12V70M24 12V70M14 24H24M14 36H24M14 48H24M14 60H24" {}
            path class="line" d="M226 14V70M218 22H234" {}
        }
    }
}
