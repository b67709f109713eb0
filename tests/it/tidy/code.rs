//! Rust source without its comments and texts, each replaced by blanks, so that places stay.

/// Blanks comments, strings and characters; line breaks stay.
pub(super) fn code(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;

    while let Some(next) = rest.chars().next() {
        let length = skipped(rest, out.chars().next_back());
        if length == 0 {
            out.push(next);
            rest = &rest[next.len_utf8()..];
        } else {
            let (gone, after) = rest.split_at(length);
            // One blank a byte keeps the places.
            out.extend(gone.bytes().map(|b| if b == b'\n' { '\n' } else { ' ' }));
            rest = after;
        }
    }

    out
}

/// How many bytes of comment or text stand at the start.
fn skipped(rest: &str, before: Option<char>) -> usize {
    let in_word = before.is_some_and(|c| c.is_alphanumeric() || c == '_');

    if rest.starts_with("//") {
        rest.find('\n').unwrap_or(rest.len())
    } else if rest.starts_with("/*") {
        comment(rest)
    } else if rest.starts_with('"') {
        string(rest)
    } else if rest.starts_with('\'') {
        character(rest)
    } else if !in_word && (rest.starts_with('r') || rest.starts_with("br")) {
        raw(rest)
    } else {
        0
    }
}

/// A block comment; they nest.
fn comment(rest: &str) -> usize {
    let mut depth = 0;
    let mut at = 0;

    while at < rest.len() {
        if rest[at..].starts_with("/*") {
            depth += 1;
            at += 2;
        } else if rest[at..].starts_with("*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += rest[at..].chars().next().map_or(1, char::len_utf8);
        }
    }

    rest.len()
}

fn string(rest: &str) -> usize {
    let mut escaped = false;

    for (at, sign) in rest.char_indices().skip(1) {
        match sign {
            '"' if !escaped => return at + 1,
            _ => escaped = sign == '\\' && !escaped,
        }
    }

    rest.len()
}

/// A character; an apostrophe before a lifetime is none.
fn character(rest: &str) -> usize {
    let mut signs = rest.char_indices().skip(1);

    match signs.next() {
        Some((_, '\\')) => {
            let _ = signs.next();
            signs
                .find(|(_, sign)| *sign == '\'')
                .map_or(0, |(at, _)| at + 1)
        }
        Some(_) => match signs.next() {
            Some((at, '\'')) => at + 1,
            _ => 0,
        },
        None => 0,
    }
}

fn raw(rest: &str) -> usize {
    let after = rest.trim_start_matches('b').trim_start_matches('r');
    let hashes = after.len() - after.trim_start_matches('#').len();
    let Some(inner) = after[hashes..].strip_prefix('"') else {
        return 0;
    };
    let end = format!("\"{}", "#".repeat(hashes));
    let start = rest.len() - inner.len();

    inner
        .find(&end)
        .map_or(rest.len(), |at| start + at + end.len())
}

/// The line of a place, from 1.
pub(super) fn line(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

/// The places where a word stands that is not part of a longer one.
pub(super) fn words<'a>(text: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    let part = |c: char| c.is_alphanumeric() || c == '_';

    text.match_indices(word)
        .map(|(at, _)| at)
        .filter(move |at| {
            let before = text[..*at].chars().next_back();
            let after = text[at + word.len()..].chars().next();
            let starts = word.starts_with(part);
            let ends = word.ends_with(part);
            !(starts && before.is_some_and(part) || ends && after.is_some_and(part))
        })
}

#[test]
fn comments_and_texts_are_blanked_and_places_stay() {
    let check = |input: &str, expected: &str| assert_eq!(code(input), expected);

    check("a // b\nc", "a     \nc");
    check("a /* b /* c */ d */ e", "a                   e");
    check("f(\"a\\\"b\", c)", "f(      , c)");
    check("r#\"a\" b\"# + r", "          + r");
    check("br\"a\" + for_r\"", "      + for_r ");
    check("'a' '\\'' '\\n' &'a str", "              &'a str");
    check("\"♭\" x", "      x".trim_end());
    check("fn r() {}", "fn r() {}");
}

#[test]
fn a_word_within_a_word_is_not_found() {
    let at = |text, word| words(text, word).collect::<Vec<_>>();

    assert_eq!(at("a.unwrap() unwrap_or()", "unwrap("), [2]);
    assert_eq!(at("my_crate::x crate::y", "crate::"), [12]);
    assert_eq!(line("a\nb\nc", 4), 3);
}
