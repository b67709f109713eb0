//! Every page as it was: what it says, what can be pressed where, and a digest of its marks.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};
use viva_voicing::exam::form::Task;
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::words::ENGLISH;
use viva_voicing::kiosk::{Kiosk, Paper};

use super::bounds::visit;
use super::stage::{Scene, Stage};
use crate::cli::check_golden;

/// The sizes that pages are kept at.
fn papers() -> [Paper; 2] {
    [(1280.0, 720.0), (1920.0, 1080.0)].map(|(width, height)| Paper::new(width, height, 1.0, false))
}

/// Writes a page down.
fn keep(out: &mut String, name: &str, stage: &Stage) {
    for paper in papers() {
        let sheet = stage.on(paper);
        // Places to a tenth of a pixel: what is nearer nobody sees.
        let marks: String = sheet
            .marks
            .iter()
            .chain(&sheet.moving)
            .map(|mark| {
                let bounds = mark.bounds();
                format!(
                    "{:.1} {:.1} {:.1} {:.1};",
                    bounds.left, bounds.top, bounds.right, bounds.bottom
                )
            })
            .collect();
        let digest: String = Sha256::digest(marks.as_bytes())
            .iter()
            .take(4)
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let _ = writeln!(
            out,
            "== {name}, {}x{}: {} marks, {digest}",
            paper.width,
            paper.height,
            sheet.marks.len() + sheet.moving.len()
        );
        if paper.height < 1000.0 {
            for said in &sheet.said {
                let _ = writeln!(out, "{said}");
            }
        }
        for target in &sheet.targets {
            let at = target.bounds;
            let _ = writeln!(
                out,
                "[{}] {:.0} {:.0} {:.0} {:.0}",
                target.name, at.left, at.top, at.right, at.bottom
            );
        }
    }
}

#[test]
fn the_pages_there_and_out_are_as_they_were() {
    let mut out = String::new();
    visit(&ENGLISH, &mut |name, stage| keep(&mut out, name, stage));
    check_golden("pages.txt", &out);
}

#[test]
fn the_pages_of_items_are_as_they_were() {
    let mut out = String::new();
    let mut stage = Stage::new(Scene::mixed());
    stage.reach_sitting("3118");

    for kind in ["voicing", "run", "ear", "spell"] {
        let is_open = |kiosk: &Kiosk| match &kiosk.screen {
            Screen::Seat(seat) => seat.item().is_some_and(|item| item.task.word() == kind),
            _ => false,
        };
        stage.sit_until(is_open);
        keep(&mut out, kind, &stage);
        let Screen::Seat(seat) = &stage.kiosk.screen else {
            unreachable!()
        };
        assert!(!matches!(
            seat.item().map(|item| &item.task),
            Some(Task::Panel(_)) | None
        ));
    }
    check_golden("items.txt", &out);
}
