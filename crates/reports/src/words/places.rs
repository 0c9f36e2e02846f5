//! Several places in few words: `axles 1, 2 and 4, both wheels`.

use gradeworthy_workbench::record::{End, Place, Side};

/// The places in the order given, those that belong together said together.
#[must_use]
pub fn places(all: &[Place]) -> String {
    whole_axles(all)
        .or_else(|| both_wheels(all))
        .or_else(|| both_ends(all))
        .unwrap_or_else(|| {
            let each: Vec<_> = all.iter().map(ToString::to_string).collect();
            each.join(", ")
        })
}

fn whole_axles(all: &[Place]) -> Option<String> {
    let axle = |place: &Place| match place {
        Place::Axle(axle) => Some(*axle),
        _ => None,
    };
    let axles: Option<Vec<u8>> = all.iter().map(axle).collect();
    axles
        .filter(|axles| axles.len() > 1)
        .map(|axles| listed(&axles))
}

fn both_wheels(all: &[Place]) -> Option<String> {
    let axle = |pair: &[Place]| match pair {
        [
            Place::Wheel(one, Side::Left),
            Place::Wheel(other, Side::Right),
        ] if one == other => Some(*one),
        _ => None,
    };
    let axles: Option<Vec<u8>> = all.chunks(2).map(axle).collect();
    let axles = axles.filter(|axles| !axles.is_empty())?;
    Some(format!("{}, both wheels", listed(&axles)))
}

fn both_ends(all: &[Place]) -> Option<String> {
    let ends = [Place::End(End::A), Place::End(End::B)];
    (all == ends).then(|| "both ends".to_owned())
}

/// `axle 1`, `axles 1 and 2`, `axles 1, 2 and 4`.
fn listed(axles: &[u8]) -> String {
    let each: Vec<_> = axles.iter().map(ToString::to_string).collect();
    match each.as_slice() {
        [] => String::new(),
        [only] => format!("axle {only}"),
        [first @ .., last] => format!("axles {} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_that_belong_together_are_said_together() {
        let wheel = Place::Wheel;
        let pair = |axle| [wheel(axle, Side::Left), wheel(axle, Side::Right)];
        assert_eq!(places(&pair(3)), "axle 3, both wheels");
        let eight: Vec<_> = (1..=4).flat_map(pair).collect();
        assert_eq!(places(&eight), "axles 1, 2, 3 and 4, both wheels");
        assert_eq!(
            places(&eight[..3]),
            "axle 1 left, axle 1 right, axle 2 left"
        );
        assert_eq!(places(&[Place::Axle(1), Place::Axle(2)]), "axles 1 and 2");
        assert_eq!(places(&[Place::Axle(1)]), "axle 1");
        assert_eq!(
            places(&[Place::End(End::A), Place::End(End::B)]),
            "both ends"
        );
        assert_eq!(places(&[Place::Car]), "car");
    }
}
