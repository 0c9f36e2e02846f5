//! Rust source split, line by line, into code and comment, with the contents of strings blanked.
//!
//! The rules about code must not be set off by a string or a comment that talks about them, nor
//! the rules about comments by code. This is a scanner, not a parser: it knows strings, raw
//! strings, characters, lifetimes and (nested) comments, which is all that the rules ask.

/// One line of Rust source.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// Counted from 1.
    pub(super) number: usize,
    /// The code, with every string literal emptied to `""`.
    pub(super) code: String,
    /// The comment, without its slashes.
    pub(super) comment: String,
}

/// Splits a whole file.
pub(super) fn lines(source: &str) -> Vec<Line> {
    let mut scanner = Scanner::default();
    source
        .lines()
        .enumerate()
        .map(|(index, text)| {
            let mut line = Line {
                number: index + 1,
                ..Line::default()
            };
            scanner.take(text, &mut line);
            line
        })
        .collect()
}

/// What is still open where a line begins.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
enum Inside {
    #[default]
    Code,
    /// `/* … */`, so many deep.
    Comment(usize),
    Text,
    /// `r##"…"##`, closed by a quote and so many hashes.
    RawText(usize),
}

#[derive(Debug, Default)]
struct Scanner {
    inside: Inside,
}

impl Scanner {
    fn take(&mut self, text: &str, line: &mut Line) {
        let mut rest = text;
        while !rest.is_empty() {
            rest = match self.inside {
                Inside::Code => self.code(rest, line),
                Inside::Comment(depth) => self.comment(rest, depth, line),
                Inside::Text => self.text(rest, line),
                Inside::RawText(hashes) => self.raw_text(rest, hashes, line),
            };
        }
    }

    /// Takes one token's worth of code and returns what follows it.
    fn code<'a>(&mut self, rest: &'a str, line: &mut Line) -> &'a str {
        if let Some(comment) = rest.strip_prefix("//") {
            line.comment
                .push_str(comment.trim_start_matches(['/', '!']));
            return "";
        }
        if let Some(after) = rest.strip_prefix("/*") {
            self.inside = Inside::Comment(1);
            return after;
        }
        if let Some(after) = rest.strip_prefix('"') {
            self.inside = Inside::Text;
            line.code.push('"');
            return after;
        }
        let in_word = line
            .code
            .ends_with(|c: char| c.is_alphanumeric() || c == '_');
        if let Some((hashes, after)) = raw_opening(rest).filter(|_| !in_word) {
            self.inside = Inside::RawText(hashes);
            line.code.push('"');
            return after;
        }
        if let Some(after) = character(rest) {
            line.code.push_str("' '");
            return after;
        }
        take_char(rest, &mut line.code)
    }

    fn comment<'a>(&mut self, rest: &'a str, depth: usize, line: &mut Line) -> &'a str {
        if let Some(after) = rest.strip_prefix("/*") {
            self.inside = Inside::Comment(depth + 1);
            return after;
        }
        if let Some(after) = rest.strip_prefix("*/") {
            self.inside = if depth == 1 {
                Inside::Code
            } else {
                Inside::Comment(depth - 1)
            };
            return after;
        }
        take_char(rest, &mut line.comment)
    }

    fn text<'a>(&mut self, rest: &'a str, line: &mut Line) -> &'a str {
        if let Some(after) = rest.strip_prefix('"') {
            self.inside = Inside::Code;
            line.code.push('"');
            return after;
        }
        let after = rest.strip_prefix('\\').unwrap_or(rest);
        take_char(after, &mut String::new())
    }

    fn raw_text<'a>(&mut self, rest: &'a str, hashes: usize, line: &mut Line) -> &'a str {
        let closing = format!("\"{}", "#".repeat(hashes));
        if let Some(after) = rest.strip_prefix(closing.as_str()) {
            self.inside = Inside::Code;
            line.code.push('"');
            return after;
        }
        take_char(rest, &mut String::new())
    }
}

fn take_char<'a>(rest: &'a str, into: &mut String) -> &'a str {
    let mut characters = rest.chars();
    into.extend(characters.next());
    characters.as_str()
}

/// `r"`, `r#"`, `br"`, `cr#"`: the number of hashes, and what follows the quote.
fn raw_opening(rest: &str) -> Option<(usize, &str)> {
    let rest = rest
        .strip_prefix(['b', 'c'])
        .unwrap_or(rest)
        .strip_prefix('r')?;
    let after = rest.trim_start_matches('#');
    let hashes = rest.len() - after.len();
    Some((hashes, after.strip_prefix('"')?))
}

/// A character literal; a lifetime is none.
fn character(rest: &str) -> Option<&str> {
    let inner = rest.strip_prefix('\'')?;
    if let Some(escaped) = inner.strip_prefix('\\') {
        let mut characters = escaped.chars();
        characters.next();
        return characters.as_str().split_once('\'').map(|(_, after)| after);
    }
    let mut characters = inner.chars();
    characters.next();
    characters.as_str().strip_prefix('\'')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(source: &str) -> Vec<(String, String)> {
        lines(source)
            .into_iter()
            .map(|line| (line.code, line.comment))
            .collect()
    }

    fn one(source: &str) -> (String, String) {
        split(source).remove(0)
    }

    #[test]
    fn comments_and_code_part() {
        assert_eq!(
            one("let k = 1; // check gauge"),
            ("let k = 1; ".into(), " check gauge".into())
        );
        assert_eq!(
            one("//! What it decides."),
            (String::new(), " What it decides.".into())
        );
        assert_eq!(
            one("a /* b /* c */ d */ e"),
            ("a  e".into(), " b  c  d ".into())
        );
    }

    #[test]
    fn strings_are_emptied() {
        assert_eq!(one(r#"f("a // \" b")"#).0, r#"f("")"#);
        assert_eq!(one(r##"f(r#"a "b" // c"#, 1)"##).0, r#"f("", 1)"#);
        assert_eq!(one("f(b\"\\\\\") // x"), ("f(b\"\") ".into(), " x".into()));
        let two = split("let s = \"one // two\n three\"; g() // four");
        assert_eq!(two[0], ("let s = \"".into(), String::new()));
        assert_eq!(two[1], ("\"; g() ".into(), " four".into()));
    }

    #[test]
    fn a_quote_mark_as_a_character_opens_no_string() {
        assert_eq!(one("('\"', '\\'', 'a', '\\u{2026}') // x").1, " x");
        assert_eq!(one("fn f<'a>(s: &'a str) {} // y").1, " y");
    }

    #[test]
    fn an_open_comment_runs_on() {
        let two = split("/* one\n * two */ three");
        assert_eq!(two[0], (String::new(), " one".into()));
        assert_eq!(two[1], (" three".into(), " * two ".into()));
    }

    #[test]
    fn a_word_that_ends_in_r_opens_no_raw_string() {
        assert_eq!(one("your\"a\\\"b\" // c").1, " c");
    }
}
