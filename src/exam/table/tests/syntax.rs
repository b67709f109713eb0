//! Scripts that are no TOML.

use super::{check, check_help, nothing, parse};
use crate::exam::diagnostic::Diagnostics;

#[test]
fn a_right_script_has_no_fault() {
    for script in [
        "",
        "# note",
        "x = 1\r\ny = '♭' # note\r\n",
        "x = [\n  1, # one\n  2,\n]\ny = { a = 1, b = [{ c = 2 }] }",
        "x = { # as TOML 1.1 has it\n  a = 1,\n  b = 2,\n}\n",
        "x = [\n  [true],\n  [ nan ],\n]\n",
        "x = [\n  [\"a = 1\"],\n  '[exam]',\n]\n",
        "x = \"\"\"\n[exam]\ny = 1\n\"\"\"\n",
        "x = '''a''''\ny = \"\"\"b\\\"\"\"\"\"\"",
        "\"a=b\".'c' = \"d\\\\\"\n",
        "[ a . 'b]' . c ] # note\n[[ d ]]\n",
    ] {
        check(script, nothing, &[]);
    }
}

#[test]
fn the_examples_of_the_standard_are_faults() {
    // The lines that TOML v1.0.0 (https://toml.io/en/v1.0.0) calls invalid, from memory.
    check(
        "first = \"Tom\" last = \"Preston-Werner\"",
        nothing,
        &["1:15+23 expected the end of the line, found `last = \"Preston-Werner\"`"],
    );
    check("key = # INVALID", nothing, &["1:7+0 missing value"]);
    check(
        "= \"no key name\"",
        nothing,
        &["1:1+0 missing key before `=`"],
    );
    check(
        "name = \"Tom\"\nname = \"Pradyun\"",
        nothing,
        &["2:1+4 key `name` stands twice"],
    );
    check(
        "spelling = \"favorite\"\n\"spelling\" = \"favourite\"",
        nothing,
        &["2:1+10 key `\"spelling\"` stands twice"],
    );
    check(
        "fruit.apple = 1\nfruit.apple.smooth = true",
        nothing,
        &["2:7+5 `apple` has a value already and can take no keys of its own"],
    );
    check(
        "[fruit]\napple = \"red\"\n\n[fruit]\norange = \"orange\"",
        nothing,
        &["4:2+5 section [fruit] stands twice"],
    );
    check(
        "[fruit]\napple = \"red\"\n\n[fruit.apple]\ntexture = \"smooth\"",
        nothing,
        &["4:8+5 key `apple` stands twice"],
    );
    check(
        "a = .7\nb = 7.\nc = 3.e+20",
        nothing,
        &[
            "1:5+2 expected a number, found `.7`",
            "2:5+2 expected a number, found `7.`",
            "3:5+6 expected a number, found `3.e+20`",
        ],
    );
    check(
        "[product]\ntype = { name = \"Nail\" }\ntype.edible = false",
        nothing,
        &["3:1+4 `type` has a value already and can take no keys of its own"],
    );
    check(
        "fruits = []\n\n[[fruits]]",
        nothing,
        &["3:3+6 key `fruits` stands twice"],
    );
}

#[test]
fn a_missing_quote_is_marked_with_its_text() {
    check(
        "a = \"abc\nb = 1",
        nothing,
        &["1:5+4 missing closing \" of this text"],
    );
    check(
        "a = 'C♯  ",
        nothing,
        &["1:5+3 missing closing ' of this text"],
    );
    check(
        "a = \"x\\\"\n",
        nothing,
        &["1:5+4 missing closing \" of this text"],
    );
    check(
        "a = \"\"\"b\nc = 1",
        nothing,
        &["1:5+10 missing closing \"\"\" of this text"],
    );
    check(
        "a = b\"",
        nothing,
        &["1:5+0 missing opening quote of this text"],
    );
    check(
        "a = hello world",
        nothing,
        &["1:5+11 missing quotes around `hello world`"],
    );
    check(
        "a = [C, E7]",
        nothing,
        &[
            "1:6+1 missing quotes around `C`",
            "1:9+2 missing quotes around `E7`",
        ],
    );
    check(
        "a = true7",
        nothing,
        &["1:5+5 missing quotes around `true7`"],
    );
    check_help(
        "a = 'C”",
        nothing,
        "close it with a straight ', as it was opened",
    );
    check_help("a = “hi”", nothing, "write \"hi\"");
    check_help(
        "a = 'Don't'",
        nothing,
        "a text that holds an apostrophe stands in \"...\"",
    );
    check_help(
        "a = \"The \"Blue\"\"",
        nothing,
        "a quotation mark within a text is written \\\"",
    );
}

#[test]
fn a_missing_bracket_is_marked_where_it_was_opened() {
    check(
        "a = [1, 2",
        nothing,
        &["1:5+1 missing `]`: this `[` is never closed"],
    );
    check(
        "a = [\"x\", \"y\"\nb = 1",
        nothing,
        &["1:5+1 missing `]`: this `[` is never closed"],
    );
    check(
        "a = [1,\n[exam]\nb = 1",
        nothing,
        &["1:5+1 missing `]`: this `[` is never closed"],
    );
    check(
        "a = { b = 1\n[[x]]",
        nothing,
        &["1:5+1 missing `}`: this `{` is never closed"],
    );
    check(
        "a = { b = [1 }",
        nothing,
        &["1:11+1 missing `]`: this `[` is never closed"],
    );
    check("a = [1}", nothing, &["1:7+1 expected `]`, found `}`"]);
    check(
        "a = 1]",
        nothing,
        &["1:6+1 expected the end of the line, found `]`"],
    );
    check(
        "a = ]",
        nothing,
        &["1:5+0 expected a value or a key, found `]`"],
    );
    check(
        "[exam\n",
        nothing,
        &["1:6+0 missing `]` after the name of the section"],
    );
    check(
        "[[exam]\n",
        nothing,
        &["1:8+0 missing `]]` after the name of the section"],
    );
    check("[]", nothing, &["1:2+0 missing name of the section"]);
    check_help("[[exam]", nothing, "write [[exam]]");
}

#[test]
fn a_missing_equals_sign_is_told() {
    check("title \"x\"", nothing, &["1:7+0 missing `=` after `title`"]);
    check("title", nothing, &["1:6+0 missing `=` after `title`"]);
    check("a b = 1", nothing, &["1:3+0 missing `=` after `a`"]);
    check("a: 1", nothing, &["1:2+1 expected `=`, found `:`"]);
    check("a : 1", nothing, &["1:3+1 expected `=`, found `:`"]);
    check("a == 1", nothing, &["1:4+1 expected a value, found `=`"]);
    check("a = { b 1 }", nothing, &["1:9+0 missing `=`"]);
    check(
        "// note",
        nothing,
        &["1:1+2 expected `key = value`, found `// note`"],
    );
    check_help("; note", nothing, "a comment begins with `#`");
    check_help(
        "a b = 1",
        nothing,
        "a key is one word: join its parts with `-` or `_`",
    );
    check_help("title \"x\"", nothing, "write `title = ...`");
}

#[test]
fn a_missing_or_needless_comma_is_told() {
    check(
        "a = [\"x\" \"y\"]",
        nothing,
        &["1:10+0 missing `,` between the items of a list"],
    );
    check(
        "a = [1 2]",
        nothing,
        &["1:6+3 expected one value, found `1 2`"],
    );
    check(
        "a = [1,, 2]",
        nothing,
        &["1:8+1 expected a value, found `,`"],
    );
    check(
        "a = { b = 'x' c = 'y' }",
        nothing,
        &["1:15+0 missing `,` between two `key = value`"],
    );
    check(
        "a = 1,",
        nothing,
        &["1:6+1 expected the end of the line, found `,`"],
    );
}

#[test]
fn a_value_of_no_known_form_is_told() {
    check(
        "a = yes",
        nothing,
        &["1:5+3 expected `true` or `false`, found `yes`"],
    );
    check(
        "a = True",
        nothing,
        &["1:5+4 expected `true`, found `True`"],
    );
    check(
        "a = 3s",
        nothing,
        &["1:5+2 expected a number or a text in quotes, found `3s`"],
    );
    check("a = 1;", nothing, &["1:5+2 expected a value, found `1;`"]);
    check("a = 01", nothing, &["1:5+2 expected a number, found `01`"]);
    check(
        "a = 1__0",
        nothing,
        &["1:5+4 expected a number, found `1__0`"],
    );
    check(
        "a = +-1",
        nothing,
        &["1:5+3 expected a number, found `+-1`"],
    );
    check(
        "a = 2024-13-01",
        nothing,
        &["1:5+10 expected a number, found `2024-13-01`"],
    );
    check(
        "ключ = 1",
        nothing,
        &["1:1+4 expected a key of the letters a to z, digits, `-` and `_`, found `ключ`"],
    );
    check(
        "a = \"\\q\"",
        nothing,
        &["1:6+2 expected a known letter after the backslash of a text"],
    );
    check(
        "a = \"\\u12\"",
        nothing,
        &["1:10+0 expected a known letter after the backslash of a text"],
    );
    check(
        "a = \"x\u{1}\"",
        nothing,
        &["1:7+1 expected a text, found the control character U+0001 in it"],
    );
    check(
        "a = 1 # \u{1}",
        nothing,
        &["1:9+0 expected plain characters in a comment, found a control character"],
    );
    check(
        "a = 1\rb = 2",
        nothing,
        &["1:7+0 expected a line break, found half of one (a lone carriage return)"],
    );
}

#[test]
fn a_key_given_twice_names_its_first_line() {
    check_help(
        "\nx = 1\ny = 2\nx = 3",
        nothing,
        "it stands on line 2 already; delete one of the two",
    );
    check_help(
        "[a]\nx = 1\n[b]\nx = 2\nx = 3",
        nothing,
        "it stands on line 4 already; delete one of the two",
    );
    check_help(
        "[a]\n[b]\n[a]",
        nothing,
        "it stands on line 1 already; join the two, or write [[a]] in both places",
    );
    check_help(
        "[a]\n[[a]]",
        nothing,
        "on line 1 it has other brackets; write the same in both places",
    );
    check(
        "a = { x = 1, x = 2 }",
        nothing,
        &["1:14+1 key `x` stands twice"],
    );
    check(
        "a = 1\na.b = 2",
        nothing,
        &["2:1+1 `a` has a value already and can take no keys of its own"],
    );
}

/// Checks that a script is refused, or read, for how deep it nests.
#[track_caller]
fn check_depth(script: &str, fits: bool) {
    let out = Diagnostics::new();
    assert_eq!(parse(script, &out).is_some(), fits, "{script:.80}");
    let messages: Vec<_> = out
        .into_vec()
        .into_iter()
        .map(|found| found.message)
        .collect();
    if !fits {
        let told = "expected brackets and dotted keys to nest at most 64 deep, found more";
        assert_eq!(messages, [told]);
    }
}

#[test]
fn deep_nesting_is_refused_with_one_line() {
    let lists = |depth: usize| format!("x = {}{}", "[".repeat(depth), "]".repeat(depth));
    check_depth(&lists(64), true);
    check_depth(&lists(65), false);
    check_depth(&lists(100_000), false);
    let tables = |depth: usize| format!("x = {}1{}", "{a=".repeat(depth), "}".repeat(depth));
    check_depth(&tables(64), true);
    check_depth(&tables(65), false);
    let dotted = |depth: usize| format!("{}a = 1", "a.".repeat(depth));
    check_depth(&dotted(64), true);
    check_depth(&dotted(65), false);
    let header = |parts: usize| format!("[{}a]", "a.".repeat(parts - 1));
    check_depth(&header(64), true);
    check_depth(&header(65), false);
    // Dotted keys within braces deepen the tree as braces do.
    check_depth(
        &format!("x = {}1{}", "{a.a.a.a.a.a.a=".repeat(9), "}".repeat(9)),
        true,
    );
    check_depth(
        &format!("x = {}1{}", "{a.a.a.a.a.a.a=".repeat(10), "}".repeat(10)),
        false,
    );
    check_depth(&format!("x = {}", "[".repeat(500_000)), false);
    check_depth(&"[".repeat(500_000), true);
}

#[test]
fn points_of_numbers_do_not_nest() {
    let many = format!("x = [{}]", "1.5, ".repeat(500));
    check(&many, nothing, &[]);
    let many = format!("x = [{}]", "{ a = 1.5, b = 2.5 }, ".repeat(500));
    check(&many, nothing, &[]);
}
