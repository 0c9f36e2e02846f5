//! Any text as a reading, in every unit and under every decimal mark: refused with a reason, or an
//! amount of the right dimension with a step that is not negative.

use gradeworthy_standards::Scale;
use gradeworthy_units::{DecimalMark, Reader, Unit};

pub(crate) fn run(bytes: &[u8]) {
    let Ok(text) = str::from_utf8(bytes) else {
        return;
    };
    for unit in Unit::all() {
        for mark in [DecimalMark::Either, DecimalMark::Point, DecimalMark::Comma] {
            let bare = Reader::new(unit).with_mark(mark);
            for reader in [bare, bare.with_ratio(Scale::HO.ratio())] {
                match reader.read(text) {
                    Err(error) => assert!(!error.to_string().is_empty()),
                    Ok(typed) => {
                        assert_eq!(typed.amount.dimension(), unit.dimension());
                        assert_eq!(typed.resolution.dimension(), unit.dimension());
                        assert!(typed.amount.base().is_finite());
                        assert!(typed.resolution.base() >= 0.0, "{typed:?}");
                        assert_eq!(&*typed.text, text.trim());
                    }
                }
            }
        }
    }
}
