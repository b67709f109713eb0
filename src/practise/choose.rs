//! What is to be practised, strand by strand, and why.

use super::evidence::{Confusion, Evidence, Gap};
use super::source::Source;
use super::{ear, run, spell, voicing};
use crate::exam::chance::Chance;
use crate::exam::script::Kind;
use crate::theory::Quality;

/// What a paper is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Aim {
    /// What was weak, with some of what was sure.
    Weak,
    /// What was sure alone.
    Sure,
}

/// Something that can be asked.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    /// The cell of its section, from 0.
    pub(super) cell: usize,
    /// The root or key it is asked on, and how scripts write it; `None` for any of the cell's.
    pub(super) root: Option<(u8, String)>,
    /// What it must not meet again in the same section: the quality or line, on the root.
    pub(super) twin: Option<(String, u8)>,
    /// As sentences call it.
    pub(super) name: String,
    /// How much it needs practice, 0 to 1.
    pub(super) need: f64,
    /// How often a form of the exam asks it, 0 to 1.
    pub(super) exposure: f64,
    /// How long it lasts.
    pub(super) seconds: f64,
    /// Whether it was asked before.
    pub(super) is_seen: bool,
}

impl Entry {
    /// What practising it is worth: its need, and what the exam asks often counts for more.
    pub(super) fn worth(&self) -> f64 {
        self.need * (0.3 + 0.7 * self.exposure.clamp(0.0, 1.0))
    }

    /// Tells whether practising one is practising the other: the chord in another order, or the
    /// same answer in another spacing.
    pub(super) fn is_like(&self, other: &Self) -> bool {
        match (&self.twin, &other.twin) {
            (Some(one), Some(two)) => one == two,
            _ => self.name == other.name,
        }
    }
}

/// What has come once is worth so much of what it was.
const AGAIN: f64 = 0.7;
/// So many items of a strand are thought of in advance.
const AHEAD: usize = 100;

impl Strand {
    /// Returns the order in which what is weak comes: each time what is worth most, less each time
    /// that it has come.
    pub(super) fn order(&self) -> Vec<usize> {
        let mut worths: Vec<f64> = self.weak.iter().map(Entry::worth).collect();
        let mut order = Vec::with_capacity(AHEAD);
        if worths.is_empty() {
            return order;
        }

        for _ in 0..AHEAD {
            let best = (0..worths.len())
                .max_by(|a, b| worths[*a].total_cmp(&worths[*b]).then(b.cmp(a)))
                .unwrap_or(0);
            order.push(best);
            for (worth, entry) in worths.iter_mut().zip(&self.weak) {
                if entry.is_like(&self.weak[best]) {
                    *worth *= AGAIN;
                }
            }
            // Of like ones another comes next time.
            worths[best] *= 0.99;
        }

        order
    }
}

/// Why a strand is there.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Why {
    /// Chords that came wrong or late.
    Weak,
    /// Chords that came right, near their limit or beyond it.
    Slow,
    /// Chords that are fluent inside the run and not cold: by quality.
    Routine(Vec<(Quality, Gap)>),
    /// Sounds that were confused.
    Confused(Vec<Confusion>),
    /// Sounds that were not named in time, or wrongly in many ways.
    Heard,
    /// Chords that were misspelt.
    Spelt,
    /// Lines that brought little.
    Lines,
    /// Nothing went wrong: the slowest, and what was not asked yet.
    Next,
    /// What was sure.
    Sure,
}

/// A strand of practice: some of what one section of one script asks.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strand {
    pub(super) source: usize,
    pub(super) section: usize,
    pub(super) why: Why,
    /// What is weak, the weakest first.
    pub(super) weak: Vec<Entry>,
    /// What was sure, in drawn order.
    pub(super) sure: Vec<Entry>,
    /// What else there is, to fill a section that could not be drawn by itself.
    pub(super) others: Vec<Entry>,
    /// How much of the time it deserves against others.
    pub(super) weight: f64,
    /// Items of a section, at least and at most.
    pub(super) items: (usize, usize),
    /// Whether hands play.
    pub(super) hands: bool,
    /// Whether no item may follow its neighbour in the cycle.
    pub(super) leaps: bool,
}

/// What was not asked counts for so much of what its margins say.
const UNSEEN: f64 = 0.8;
/// Below this something that was asked counts as sure.
const SURE: f64 = 0.25;
/// What is worth less than this share of what is worth most is left alone.
const SHARE: f64 = 0.4;
/// Weak entries of a strand, at least where there are so many, and at most.
const WEAK: (usize, usize) = (6, 36);
/// So many are practised, however sure they are.
const FEW: usize = 8;
/// Between equals the seed decides: needs are stirred by so much at most.
const STIRRED: usize = 30;

/// Finds the strands; `Kind` by `Kind` each has a file of its own.
pub(super) fn strands(
    sources: &[Source<'_>],
    evidence: &Evidence,
    seed: u64,
    aim: Aim,
) -> Vec<Strand> {
    let mut chance = Chance::new("practise", &[seed]);
    let mut all = Vec::new();
    let mut covered = Covered::default();

    for (at, source) in sources.iter().enumerate() {
        let points = f64::from(source.exam.points().max(1));
        for (index, section) in source.exam.sections.iter().enumerate() {
            let place = Place {
                sources,
                at,
                index,
                evidence,
                aim,
                share: (f64::from(section.points) / points).max(0.05),
            };
            match &section.kind {
                Kind::Voicing(of) => {
                    voicing::strands(&place, of, &mut covered, &mut chance, &mut all)
                }
                Kind::Run(of) => run::strands(&place, of, &mut covered, &mut chance, &mut all),
                Kind::Ear(of) => ear::strands(&place, of, &mut covered, &mut chance, &mut all),
                Kind::Spell(of) => spell::strands(&place, of, &mut covered, &mut chance, &mut all),
                Kind::Panel(_) | Kind::Rest { .. } => {}
            }
        }
    }

    all
}

/// What earlier scripts ask already, as text; a later one does not bring it again.
#[derive(Debug, Default)]
pub(super) struct Covered(Vec<(usize, String)>);

impl Covered {
    /// Notes what a script asks; false where an earlier script asks the same.
    pub(super) fn is_new(&mut self, source: usize, what: String) -> bool {
        if self
            .0
            .iter()
            .any(|(by, known)| *by != source && *known == what)
        {
            return false;
        }
        self.0.push((source, what));

        true
    }
}

/// A section, and what is known.
pub(super) struct Place<'a> {
    pub(super) sources: &'a [Source<'a>],
    pub(super) at: usize,
    pub(super) index: usize,
    pub(super) evidence: &'a Evidence,
    pub(super) aim: Aim,
    /// Its share of the exam's points: time goes where marks were lost.
    pub(super) share: f64,
}

impl Place<'_> {
    pub(super) fn source(&self) -> &Source<'_> {
        &self.sources[self.at]
    }

    pub(super) fn seconds(&self, cell: usize) -> f64 {
        self.source().seconds(self.index, cell)
    }

    /// Returns the need of something. What was not asked is less certain than what was seen; where
    /// nothing went wrong, harder keys that were not asked yet are the next step.
    pub(super) fn need(&self, need: f64, root: u8, is_seen: bool) -> f64 {
        match (is_seen, self.evidence.flawless) {
            (true, _) => need,
            (false, true) => need.max(0.3) + 0.3 * self.source().hardness(root),
            (false, false) => UNSEEN * need,
        }
    }

    /// Sorts entries into what is weak, what was sure and the rest; `None` where nothing is to be
    /// practised.
    pub(super) fn strand(
        &self,
        mut entries: Vec<Entry>,
        why: Why,
        chance: &mut Chance,
    ) -> Option<Strand> {
        for entry in &mut entries {
            entry.need += chance.below(STIRRED) as f64 / 1000.0;
            if self.aim == Aim::Sure {
                entry.need = 1.0 - entry.need;
            }
        }
        entries.sort_by(|a, b| b.worth().total_cmp(&a.worth()));
        let top = entries.first()?.worth();
        let mut strand = Strand {
            source: self.at,
            section: self.index,
            why: match self.aim {
                Aim::Sure => Why::Sure,
                Aim::Weak if self.evidence.flawless => Why::Next,
                Aim::Weak => why,
            },
            weak: Vec::new(),
            sure: Vec::new(),
            others: Vec::new(),
            weight: 0.0,
            items: (1, 24),
            hands: false,
            leaps: false,
        };

        for entry in entries {
            // Where hardly anything went wrong the first few are the weakest all the same.
            let few = strand.weak.len() < FEW;
            let is_needed =
                entry.worth() >= SHARE * top && (entry.need >= SURE || self.evidence.flawless);
            if (few || is_needed) && strand.weak.len() < WEAK.1 {
                strand.weak.push(entry);
            } else if entry.is_seen && entry.need < SURE {
                strand.sure.push(entry);
            } else {
                strand.others.push(entry);
            }
        }
        chance.shuffle(&mut strand.sure);
        if self.aim == Aim::Sure {
            strand.sure.clear();
        }
        let first = strand.weak.len().min(WEAK.0);
        let mean = strand.weak[..first]
            .iter()
            .map(|entry| entry.need)
            .sum::<f64>()
            / first.max(1) as f64;
        strand.weight = mean.max(0.02) * self.share;

        (!strand.weak.is_empty()).then_some(strand)
    }
}
