//! A sheet of marks that an examiner entered: it says so, and nothing that nobody measured.

use super::*;
use crate::marking::noted::{Heard, Note};
use crate::marking::run::Counts;
use crate::sitting::by_hand::{ByHand, Written};

/// Everything right, two chords apart: one was late and timed, one was another chord.
fn entered() -> Sitting {
    let (exam, form) = drawn();
    let items = form
        .items
        .iter()
        .map(|item| {
            let (note, remark) = match (&item.task, item.number) {
                (Task::Voicing(_), 1) => (Note::Level(2, Some(ms(9500))), "late"),
                (Task::Voicing(_), 2) => (Note::Level(0, None), ""),
                (Task::Voicing(_), _) => (Note::Level(4, None), ""),
                (Task::Run(_), _) => (
                    Note::Run(Counts {
                        harmony: 5,
                        voicing: 4,
                        leading: 3,
                        pace: 4,
                    }),
                    "",
                ),
                (Task::Ear(_), _) => {
                    let answer = right(item).unwrap_or_default();
                    (Note::Heard(vec![Heard::Answer(answer)]), "")
                }
                (Task::Spell(_), _) => (Note::Tones(2), ""),
                (Task::Panel(_), _) => (Note::Credit(Fraction::new(3, 4)), ""),
            };
            let written = Written {
                note,
                voided: None,
                by: "J. Weber".to_owned(),
                remark: remark.to_owned(),
            };
            (item.number, written)
        })
        .collect();

    Sitting::written_down(exam, form, Allowance::NONE, ByHand { items })
}

#[test]
fn a_sheet_says_by_whom_its_marks_were_entered_and_leaves_out_what_is_not_known() {
    let content = of(&entered(), &given(), &[]);

    assert_eq!(content.what, "Mark sheet, marked by hand");
    assert_eq!(content.when, "12 March 2026, 10:21");
    assert_eq!(content.examiners, ["J. Weber"]);
    assert!(content.notes[0].ends_with("the marks were entered by J. Weber."));
    assert_eq!(content.seen, Vec::<String>::new());
    assert_eq!(content.gaps.len(), 1);
    assert!(
        content.gaps[0].starts_with("Left out: "),
        "{:?}",
        content.gaps
    );
    assert!(content.instrument[1].starts_with("The program did not listen: "));
    assert!(!content.instrument.concat().contains("inferred from pitch"));
    assert!(!content.keys[0].legend.contains("inferred from pitch"));
    // One chord was timed: it alone has a place over the items.
    assert_eq!(content.paces[0].points.len(), 1);
    let times = content.keys[0]
        .rows
        .iter()
        .flat_map(|row| &row.cells)
        .flatten();
    assert_eq!(times.filter(|asking| asking.seconds.is_some()).count(), 1);

    let lost: Vec<_> = content.lost.chords.iter().collect();
    assert_eq!(lost.len(), 2);
    assert!(lost.iter().all(|chord| chord.unrecorded));
    let reasons: Vec<&str> = lost.iter().map(|chord| chord.reason.as_str()).collect();
    assert!(
        reasons.contains(&"Late.") && reasons.contains(&"No reason noted."),
        "{reasons:?}"
    );
    assert_eq!(content.runs.rows[0].shares[0], Some(83));
    assert_eq!(content.panel[0].by, "J. Weber");
    let spelt = &content.spelt[0];
    assert_eq!((spelt.percent, spelt.answered.as_str()), (67, "not noted"));
}
