//! Times and places as a page says them.

use gradeworthy_workbench::record::{End, Place, Side};
use jiff::Timestamp;
use jiff::civil::Date;

use crate::App;

/// A time in the shop's own zone, to the minute: `2026-11-25 19:40`.
pub(crate) fn time(app: &App, at: Timestamp) -> String {
    let local = app.settings().zone.to_datetime(at);
    let (date, time) = (local.date(), local.time());
    format!("{date} {:02}:{:02}", time.hour(), time.minute())
}

/// How long ago, roughly: `today`, `yesterday`, `12 days ago`.
pub(crate) fn ago(app: &App, at: Timestamp) -> String {
    let days = days_between(app.day_of(at), app.today());
    match days {
        ..=0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        2..=60 => format!("{days} days ago"),
        _ => format!("on {}", app.day_of(at)),
    }
}

pub(crate) fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

/// A place as a form and a program name it: `station-1-2`, `wheel-3-left`, `end-A`.
pub(crate) fn place_key(place: Place) -> String {
    match place {
        Place::Car => "car".to_owned(),
        Place::Axle(axle) => format!("axle-{axle}"),
        Place::Station(axle, station) => format!("station-{axle}-{station}"),
        Place::Wheel(axle, side) => format!("wheel-{axle}-{side}"),
        Place::End(end) => format!("end-{end}"),
        Place::Turn(end, side) => format!("turn-{end}-{side}"),
        Place::Side(side) => format!("side-{side}"),
        Place::Gate(run, gate) => format!("gate-{run}-{gate}"),
        Place::Run(run) => format!("run-{run}"),
        Place::Item(item) => format!("item-{item}"),
    }
}

/// The place with that key.
pub(crate) fn place_from_key(key: &str) -> Option<Place> {
    let mut parts = key.split('-');
    let place = match parts.next()? {
        "car" => Place::Car,
        "axle" => Place::Axle(parts.next()?.parse().ok()?),
        "station" => Place::Station(parts.next()?.parse().ok()?, parts.next()?.parse().ok()?),
        "wheel" => Place::Wheel(parts.next()?.parse().ok()?, side(parts.next()?)?),
        "end" => Place::End(end(parts.next()?)?),
        "turn" => Place::Turn(end(parts.next()?)?, side(parts.next()?)?),
        "side" => Place::Side(side(parts.next()?)?),
        "gate" => Place::Gate(parts.next()?.parse().ok()?, parts.next()?.parse().ok()?),
        "run" => Place::Run(parts.next()?.parse().ok()?),
        "item" => Place::Item(parts.next()?.parse().ok()?),
        _ => return None,
    };
    parts.next().is_none().then_some(place)
}

fn end(text: &str) -> Option<End> {
    End::BOTH.into_iter().find(|end| end.to_string() == text)
}

fn side(text: &str) -> Option<Side> {
    Side::BOTH.into_iter().find(|side| side.to_string() == text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_place_reads_back_from_its_key() {
        let places = [
            Place::Car,
            Place::Axle(4),
            Place::Station(1, 2),
            Place::Wheel(3, Side::Right),
            Place::End(End::B),
            Place::Turn(End::A, Side::Left),
            Place::Side(Side::Left),
            Place::Gate(2, 7),
            Place::Run(1),
            Place::Item(6),
        ];
        for place in places {
            assert_eq!(place_from_key(&place_key(place)), Some(place));
        }
        for wrong in [
            "",
            "axle",
            "axle-x",
            "axle-1-2",
            "end-C",
            "wheel-1-up",
            "station-300-1",
        ] {
            assert_eq!(place_from_key(wrong), None, "{wrong}");
        }
    }
}
