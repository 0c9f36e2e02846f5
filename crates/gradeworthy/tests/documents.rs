//! What the documents quote is what the program prints.

use assert_cmd::Command;

fn said(arguments: &[&str]) -> String {
    let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
    let output = command
        .env("NO_COLOR", "1")
        .args(arguments)
        .output()
        .expect("it starts");
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The texts between the fences that are marked as text.
fn quoted(document: &str) -> Vec<&str> {
    let blocks = document.split("```text\n").skip(1);
    blocks
        .filter_map(|block| block.split_once("\n```").map(|(text, _)| text))
        .collect()
}

#[test]
fn the_stories_and_the_first_screen_are_as_printed() {
    let printed = said(&[
        "inspect",
        "--sample",
        "--day",
        "2026-11-25",
        "--width",
        "100",
    ]);
    let stories = quoted(include_str!("../../../docs/STORIES.md"));
    assert_eq!(stories.len(), 12);
    let readme = quoted(include_str!("../../../README.md"));
    assert!(!readme.is_empty());
    for text in stories.into_iter().chain(readme.into_iter().take(1)) {
        assert!(
            printed.contains(text),
            "a document quotes what is no longer printed:\n{text}"
        );
    }
}
