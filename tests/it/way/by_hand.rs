//! A second look at marks that were entered by hand: the pages say so, and show nothing that nobody
//! recorded.

use viva_voicing::kiosk::invigilator::{Looked, Page};
use viva_voicing::kiosk::words::{ENGLISH, GERMAN};
use viva_voicing::sitting::Sitting;

use super::stage::{Scene, Stage};
use crate::by_hand::{DIGEST, copied, read, table};
use crate::sittings::room::Room;

fn entered() -> Sitting {
    let sitting = Room::calm(21).sit().sitting;
    let of = (sitting.exam(), sitting.form(), sitting.allowance());
    let written = read(&table(&copied(&sitting, DIGEST)), of, Some("Inez")).unwrap();

    Sitting::written_down(
        sitting.exam().clone(),
        sitting.form().clone(),
        sitting.allowance(),
        written,
    )
}

#[test]
fn every_item_entered_by_hand_has_its_page_and_says_so() {
    let mut all = Vec::new();

    for (words, recorded, entry) in [
        (&ENGLISH, "Not recorded", "marked by hand at a piano"),
        (&GERMAN, "Nicht erfasst", "von Hand gewertet"),
    ] {
        let mut stage = Stage::new(Scene {
            words,
            ..Scene::bundled()
        });
        let looked = Looked {
            candidate: "3118".to_owned(),
            sitting: entered(),
            name: "nowhere".to_owned(),
        };
        stage.kiosk.look_at(looked, Some(1));
        stage.says("Entered by hand by Inez");
        let lines = stage.kiosk.review_lines().to_vec();
        let (mut seen, mut told) = (0, 0);
        for (row, line) in lines.iter().enumerate() {
            stage.kiosk.invigilator.page = Some(Page::Item(row));
            let said = stage.sheet().said.join("\n");
            seen += usize::from(said.contains(recorded));
            told += usize::from(said.contains(entry));
            if words.language == ENGLISH.language && line.number % 9 == 1 {
                super::look::keep(&format!("by-hand-{}", line.number), &stage);
            }
            for paper in super::papers() {
                for fault in super::bounds::faults(&stage.on(paper)) {
                    let size = (paper.width, paper.height, paper.enlarged);
                    all.push(format!("{} {size:?}: {fault}", line.number));
                }
            }
        }
        assert!(seen >= 9, "{seen} of {}", lines.len());
        assert!(told >= 18, "{told} of {}", lines.len());
    }
    assert!(all.is_empty(), "{} faults:\n{}", all.len(), all.join("\n"));
}
