//! Every form of the shipped exam is as its script and the rules of the trade say.

use std::collections::{BTreeMap, BTreeSet};

use viva_voicing::exam::draw;
use viva_voicing::exam::form::Form;
use viva_voicing::exam::script::Exam;
use viva_voicing::theory::symbol;

use super::script::{self, Cells, NAMES};
use super::{content, degrees, ear, keys, root, run, section, shipped, spell, voicing};

/// What the script asks of a form, counted once.
struct Asked {
    exam: Exam,
    cold: Cells,
    groups: BTreeMap<u8, String>,
    run_groups: Cells,
    heard: Cells,
    /// Quality and spacing of each cell.
    heard_cells: Vec<String>,
    written: Cells,
    roots: Vec<(String, Vec<String>)>,
}

impl Asked {
    fn new() -> Self {
        let groups: BTreeMap<u8, String> = (0..12)
            .zip(NAMES)
            .map(|(class, name)| (class, script::group(name)))
            .collect();
        Self {
            exam: shipped(),
            cold: script::counts(0, &["quality", "group", "order"]),
            groups,
            run_groups: script::counts(2, &["group"]),
            heard: script::counts(3, &["quality", "spacing"]),
            heard_cells: script::names(3, &["quality", "spacing"]),
            written: script::counts(4, &["quality"]),
            roots: script::roots(4),
        }
    }

    fn group(&self, class: u8) -> &str {
        &self.groups[&class]
    }
}

fn count(words: impl Iterator<Item = String>) -> Cells {
    let mut out = Cells::new();
    for word in words {
        *out.entry(word).or_default() += 1;
    }
    out
}

/// One root leads to another where it comes again or is its dominant: a fourth up.
fn leads(from: u8, to: u8) -> bool {
    from == to || (from + 5) % 12 == to
}

#[test]
fn ten_thousand_forms_satisfy_their_cells_and_rules() {
    let asked = Asked::new();
    let mut forms = 0;

    for seed in 0..834 {
        let set = draw::draw_set(&asked.exam, seed * 1103).expect("every set can be drawn");
        for form in &set {
            check_numbers(form);
            check_cold(&asked, form);
            check_cycle(form);
            check_keys(&asked, form);
            check_heard(&asked, form);
            check_written(&asked, form);
            check_warm_ups(form);
            forms += 1;
        }
    }

    assert_eq!(forms, 10_008);
}

fn check_numbers(form: &Form) {
    let numbers = form.items.iter().chain(&form.reserve).zip(1..);

    for (item, number) in numbers {
        assert_eq!(item.number, number, "{}", form.code);
    }
    assert_eq!(form.items.len(), 24 + 2 + 4 + 30 + 8);
    assert!(form.items.is_sorted_by_key(|item| item.section));
    assert!(form.warm_ups.iter().all(|item| item.number == 0));
}

/// Every root twice, once in each order; twelve dominants, one on each root; no chord twice; and
/// none follows the one of which it is the next step round the cycle of fourths.
fn check_cold(asked: &Asked, form: &Form) {
    let items = section(form, 0);
    let mut chords = BTreeSet::new();
    let mut in_order = BTreeSet::new();
    let mut dominants = 0u16;

    let cells = count(items.iter().map(|item| {
        let task = voicing(item);
        let quality = symbol::ascii_quality(task.chord.quality);
        let class = root(item);
        let order = match degrees(&task.voicing.hands.right).as_str() {
            "7 3" => "third on top",
            "3 7" => "seventh on top",
            other => panic!("{}: {other} right", form.code),
        };
        assert_eq!(degrees(&task.voicing.hands.left), "1 5", "{}", form.code);
        assert!(chords.insert(task.chord), "{}: a chord twice", form.code);
        assert!(in_order.insert((class, order)), "{}: {class}", form.code);
        if quality == "7" {
            dominants |= 1 << class;
        }
        format!("{quality}, {}, {order}", asked.group(class))
    }));

    assert_eq!(cells, asked.cold, "{}", form.code);
    assert_eq!(in_order.len(), 24, "{}", form.code);
    assert_eq!(dominants, 0xfff, "{}", form.code);
    for pair in items.windows(2) {
        assert!(!leads(root(pair[0]), root(pair[1])), "{}", form.code);
    }
}

/// Two rounds of twelve dominants, each a fourth above the one before, the orders in turn.
fn check_cycle(form: &Form) {
    for (item, first) in section(form, 1).into_iter().zip(["7 3", "3 7"]) {
        let task = run(item);
        assert_eq!(task.chords.len(), 12);
        for pair in task.chords.windows(2) {
            let up = (pair[1].chord.root.class() + 12 - pair[0].chord.root.class()) % 12;
            assert_eq!(up, 5, "{}", form.code);
        }
        let right = |k: usize| degrees(&task.lines[0][k].hands.right);
        assert_eq!(task.lines.len(), 1);
        assert_eq!(right(0), first, "{}", form.code);
        for k in 1..12 {
            assert_ne!(right(k), right(k - 1), "{}", form.code);
        }
    }
}

/// Four keys, each once and as many of each group as asked; ii–V–I in them, the orders in turn.
fn check_keys(asked: &Asked, form: &Form) {
    let items = section(form, 2);
    // The tonic is the root of the last chord.
    let tonic = |item| run(item).chords[2].chord.root.class();
    let tonics: BTreeSet<u8> = items.iter().map(|item| tonic(item)).collect();
    let groups = count(tonics.iter().map(|class| asked.group(*class).to_owned()));

    assert_eq!(tonics.len(), 4, "{}", form.code);
    assert_eq!(groups, asked.run_groups, "{}", form.code);
    for item in items {
        let task = run(item);
        let steps: Vec<u8> = task
            .chords
            .iter()
            .map(|placed| (placed.chord.root.class() + 12 - tonic(item)) % 12)
            .collect();
        let right = |k: usize| degrees(&task.lines[0][k].hands.right);
        assert_eq!(steps, [2, 7, 0], "{}", form.code);
        assert_eq!(right(0), right(2), "{}", form.code);
        assert_ne!(right(0), right(1), "{}", form.code);
    }
}

/// Six of each quality, each of third, fifth and seventh on top twice; roots without replacement
/// in each twelve; none twice running, and none that makes the chord before its dominant.
fn check_heard(asked: &Asked, form: &Form) {
    let items = section(form, 3);
    let mut sounds = BTreeSet::new();
    let qualities = count(items.iter().map(|item| {
        let task = ear(item);
        task.options[0][task.right[0]].clone()
    }));
    let cells = count(
        items
            .iter()
            .map(|item| asked.heard_cells[item.cell].clone()),
    );
    let tops = count(items.iter().map(|item| {
        let task = ear(item);
        let sounded = keys(task);
        let chord = sounded.last().expect("a chord");
        let above = (chord[chord.len() - 1] - chord[0]) % 12;
        let top = match above {
            3 | 4 => 3,
            6 | 7 => 5,
            9..=11 => 7,
            other => panic!("{}: {other} semitones above the root", form.code),
        };
        format!("{} {top}", task.options[0][task.right[0]])
    }));

    assert_eq!(cells, asked.heard, "{}", form.code);
    assert!(qualities.len() == 5 && qualities.values().all(|n| *n == 6));
    assert!(
        tops.len() == 15 && tops.values().all(|n| *n == 2),
        "{tops:?}"
    );
    for twelve in items.chunks(12) {
        let roots: BTreeSet<u8> = twelve.iter().map(|item| root(item)).collect();
        assert_eq!(roots.len(), twelve.len(), "{}", form.code);
    }
    for pair in items.windows(2) {
        assert!(!leads(root(pair[0]), root(pair[1])), "{}", form.code);
    }
    for item in &items {
        assert!(sounds.insert(content(item)), "{}: a sound twice", form.code);
    }
}

/// The roots of the script's lists, as they are written there, and no chord twice.
fn check_written(asked: &Asked, form: &Form) {
    let mut chords = BTreeSet::new();
    let qualities = count(section(form, 4).into_iter().map(|item| {
        let task = spell(item);
        let (quality, roots) = &asked.roots[item.cell];
        assert!(chords.insert(task.chord), "{}", form.code);
        assert!(roots.contains(&task.chord.root.ascii()), "{}", form.code);
        assert_eq!(*quality, symbol::ascii_quality(task.chord.quality));
        quality.clone()
    }));

    assert_eq!(qualities, asked.written, "{}", form.code);
}

/// Three, on three roots, none of them an item of the form or leading to the next or the first.
fn check_warm_ups(form: &Form) {
    let roots: Vec<u8> = form.warm_ups.iter().map(root).collect();
    let different: BTreeSet<u8> = roots.iter().copied().collect();
    let asked: BTreeSet<String> = form.items[..24].iter().map(content).collect();

    assert_eq!((roots.len(), different.len()), (3, 3), "{}", form.code);
    for item in &form.warm_ups {
        assert!(!asked.contains(&content(item)), "{}", form.code);
    }
    for pair in form.warm_ups.windows(2) {
        assert!(!leads(root(&pair[0]), root(&pair[1])), "{}", form.code);
    }
    assert!(!leads(roots[2], root(&form.items[0])), "{}", form.code);
}
