//! Faults shown with their place and their line.

use super::*;

fn fault(span: Range<usize>, message: &str, help: Option<&str>) -> Diagnostic {
    Diagnostic {
        severity: Severity::Fault,
        span,
        message: message.to_owned(),
        help: help.map(str::to_owned),
    }
}

#[track_caller]
fn check_position(source: &str, byte: usize, expected: (usize, usize)) {
    assert_eq!(Lines::new(source).position(byte), expected);
}

#[track_caller]
fn check_mark(source: &str, span: Range<usize>, expected: &str) {
    let rendered = render(&fault(span, "m", None), "f", source);
    let marked = rendered.split_once('\n').map_or("", |(_, rest)| rest);
    assert_eq!(marked, expected);
}

#[test]
fn lines_and_columns_count_from_one() {
    check_position("", 0, (1, 1));
    check_position("ab\ncd", 0, (1, 1));
    check_position("ab\ncd", 2, (1, 3));
    check_position("ab\ncd", 3, (2, 1));
    check_position("ab\ncd", 5, (2, 3));
    check_position("ab\n", 3, (2, 1));
}

#[test]
fn a_column_counts_characters_and_not_bytes() {
    check_position("♭♯x", 6, (1, 3));
    check_position("é = 1\nC♯ = 2", 12, (2, 4));
}

#[test]
fn a_place_inside_a_character_or_past_the_end_is_moved_back() {
    check_position("♭x", 1, (1, 1));
    check_position("♭x", 99, (1, 3));
}

#[test]
fn a_byte_order_mark_has_no_width() {
    check_position("\u{feff}ab", 0, (1, 1));
    check_position("\u{feff}ab", 3, (1, 1));
    check_position("\u{feff}ab", 4, (1, 2));
    check_position("\u{feff}ab\ncd", 7, (2, 2));
}

#[test]
fn every_place_of_a_long_script_agrees_with_counting() {
    let source = "ab♭\n\r\n♯𝄞x = \"é\"\n".repeat(97);
    let lines = Lines::new(&source);
    let (mut line, mut column) = (1, 1);
    for (at, c) in source.char_indices() {
        assert_eq!(lines.position(at), (line, column), "at byte {at}");
        (line, column) = match c {
            '\n' => (line + 1, 1),
            _ => (line, column + 1),
        };
    }
    assert_eq!(lines.position(source.len()), (line, column));
}

#[test]
fn the_end_of_a_script_of_whole_blocks_is_found() {
    check_position(&"x".repeat(512), 512, (1, 513));
}

#[test]
fn a_finding_shows_place_line_mark_and_help() {
    let found = fault(
        17..19,
        "expected 1 to 9, found 12",
        Some("write a smaller number"),
    );
    let source = "[exam]\n  limit = 12\nx = 1\n";
    assert_eq!(
        render(&found, "exams/blue.toml", source),
        "exams/blue.toml:2:11: expected 1 to 9, found 12\n    \
         \x20 limit = 12\n    \
         \x20         ^^\n  \
         help: write a smaller number\n"
    );
    assert_eq!(
        Lines::new(source).plain(&found, "exams/blue.toml"),
        "exams/blue.toml:2:11: expected 1 to 9, found 12\n  help: write a smaller number\n"
    );
}

#[test]
fn a_warning_says_so() {
    let found = Diagnostic {
        severity: Severity::Warning,
        ..fault(0..1, "odd", None)
    };
    assert_eq!(
        render(&found, "f", "x"),
        "f:1:1: warning: odd\n    x\n    ^\n"
    );
}

#[test]
fn the_mark_fits_the_span() {
    check_mark("a = 12", 4..6, "    a = 12\n        ^^\n");
    check_mark("a = 12", 6..6, "    a = 12\n          ^\n");
    check_mark("a = ♭♯ x", 4..10, "    a = ♭♯ x\n        ^^\n");
    check_mark("\ta = 1", 1..2, "     a = 1\n     ^\n");
    check_mark("\u{feff}a = 1", 3..4, "    a = 1\n    ^\n");
    check_mark("\u{feff}a = 1", 0..0, "    a = 1\n    ^\n");
}

#[test]
fn a_span_over_several_lines_is_marked_on_its_first() {
    check_mark("a = [\n1,\n]", 4..10, "    a = [\n        ^\n");
    check_mark("a = [\r\n1,\r\n]", 4..12, "    a = [\n        ^\n");
}

#[test]
fn a_place_on_the_line_break_is_marked_past_the_last_character() {
    check_mark("[exam\nx = 1", 5..5, "    [exam\n         ^\n");
    check_mark("[exam\r\nx = 1", 6..7, "    [exam\n         ^\n");
}

#[test]
fn an_empty_line_is_not_shown() {
    check_mark("a\n\nb", 2..2, "");
    check_mark("a\n", 2..2, "");
}

#[test]
fn a_long_line_is_cut_around_the_mark() {
    let source = format!("{}here{}", "é".repeat(500), "ü".repeat(500));
    let rendered = render(&fault(1000..1004, "m", None), "f", &source);
    let lines: Vec<_> = rendered.lines().collect();
    let shown = format!("    …{}here{}…", "é".repeat(32), "ü".repeat(60));
    assert_eq!(
        lines,
        ["f:1:501: m", &shown, &format!("{}^^^^", " ".repeat(37))]
    );
}

#[test]
fn a_long_mark_ends_with_the_shown_part() {
    let rendered = render(&fault(0..500, "m", None), "f", &"x".repeat(500));
    let last = rendered.lines().last().unwrap_or_default();
    assert_eq!(last.trim(), "^".repeat(96));
}

#[test]
fn control_characters_do_not_reach_the_terminal() {
    let found = fault(0..1, "bad \u{1b}[2J\nname", Some("no\u{7}"));
    let rendered = render(&found, "f", "x\u{1b}[31m\u{202e}");
    assert_eq!(
        rendered,
        "f:1:1: bad \u{fffd}[2J\u{fffd}name\n    x\u{fffd}[31m\u{fffd}\n    ^\n  help: no\u{fffd}\n"
    );
}

#[test]
fn findings_are_sorted_by_place_and_each_stands_once() {
    let out = Diagnostics::new();
    out.warning(3..4, "third", None);
    out.fault(3..4, "second", None);
    out.fault(0..1, "first", None);
    out.fault(3..4, "second", None);
    let messages: Vec<_> = out.into_vec().into_iter().map(|d| d.message).collect();
    assert_eq!(messages, ["first", "second", "third"]);
}

#[test]
fn warnings_are_no_faults() {
    let out = Diagnostics::new();
    assert!(out.is_empty());
    out.warning(0..1, "odd", None);
    assert!(!out.has_faults() && !out.is_empty());
    out.fault(0..1, "wrong", None);
    assert!(out.has_faults());
}

#[test]
fn a_fault_taken_back_is_gone() {
    let out = Diagnostics::new();
    let entry = out.push(fault(0..1, "missing", None));
    out.retract(entry);
    assert!(!out.has_faults() && out.is_empty());
    assert_eq!(out.into_vec(), []);
}

#[test]
fn columns_far_along_one_long_line_are_right() {
    // Counting each from the start of the line would be work by the square of its length.
    let source = "x".repeat(1 << 20);
    let lines = Lines::new(&source);
    for at in (0..source.len()).step_by(5) {
        assert_eq!(lines.position(at), (1, at + 1));
    }
}
