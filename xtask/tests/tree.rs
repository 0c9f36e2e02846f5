//! The house rules on the house itself: the tree is tidy, and every rule is explained.

use std::path::Path;

use xtask::tidy::{self, Rule};

const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/..");

#[test]
fn the_tree_is_tidy() {
    let report = tidy::check(Path::new(ROOT)).unwrap();
    assert!(report.file_count > 0, "no file was read under {ROOT}");
    assert!(report.complaints.is_empty(), "{report}");
}

#[test]
fn every_rule_has_its_heading_in_the_style_guide() {
    let style = std::fs::read_to_string(Path::new(ROOT).join("docs/STYLE.md")).unwrap();
    for rule in Rule::ALL {
        let heading = format!("## {}", rule.heading());
        assert!(
            style.lines().any(|line| line == heading),
            "docs/STYLE.md lacks '{heading}'"
        );
    }
}
