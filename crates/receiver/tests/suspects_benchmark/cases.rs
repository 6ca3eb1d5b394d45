//! Cases drawn from the whole fault table, and what was dropped of it.

use std::collections::BTreeMap;

use receiver::practice::complaint::Complaint;
use receiver::practice::hidden::{Hidden, HiddenFault, drawn_fault, hidden_set};
use receiver::suspects::hypotheses::{Hypotheses, Hypothesis, Suspect};
use receiver::suspects::next::Measurement;

use crate::bench::{Bench, table};
use crate::kept;

/// Draws after which no case is found.
const MOST_DRAWS: u64 = 400;

/// How a case shows: its owner complains, or what is found out of its band by who looks.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    Complained,
    UnderPower,
    Cold,
    ByItself,
    Nothing,
}

/// All ways in which a fault shows.
pub const SHOWN: [Shown; 4] = [
    Shown::Complained,
    Shown::UnderPower,
    Shown::Cold,
    Shown::ByItself,
];

impl Shown {
    pub fn in_words(self) -> &'static str {
        match self {
            Shown::Complained => "of those complained of",
            Shown::UnderPower => "of those found by a reading",
            Shown::Cold => "of those found by ohms",
            Shown::ByItself => "of those found by the part itself",
            Shown::Nothing => "of those that show nothing",
        }
    }
}

/// A hidden set.
pub struct Case {
    pub seed: u64,
    pub hidden: Hidden,
    /// What its owner complains of, all together.
    pub complaint: Complaint,
    /// What each fault shows, in their order.
    pub complaints: Vec<Complaint>,
    /// What each shows to somebody who reads the set, in their order.
    pub met: Vec<Option<Measurement>>,
    /// The oddest reading of a set without a fault.
    pub oddest: Option<Measurement>,
    /// Faults drawn on the way, and whether each was dropped.
    pub drawn: Vec<(String, bool)>,
}

/// Part and row of the fault table.
fn kind(bench: &Bench<'_, '_>, fault: &HiddenFault) -> String {
    let of = match fault.suspect {
        Suspect::Part(part) => bench.model.sheet.parts[part].value.kind().name(),
        Suspect::Tube(tube) if bench.model.sheet.tubes[tube].kind.is_picture_tube => "picture-tube",
        Suspect::Tube(_) => "tube",
        Suspect::Transformer(_) => "power-transformer",
        Suspect::Socket(_) => "tube-socket",
    };
    format!("{of}: {}", fault.fault)
}

/// The case of this seed: so many faults, each of which gives a symptom or moves a reading by itself.
pub fn case(bench: &Bench<'_, '_>, faults: usize, seed: u64) -> Case {
    // Wrong rows of the sheet are put into the sheet itself.
    let is_drawn = |own: &Hypothesis| !own.fault.starts_with("the sheet");
    let healthy = hidden_set(bench.truth, &bench.hypotheses, 0, seed, is_drawn);
    let mut case = Case {
        seed,
        complaint: Complaint::of_healthy(table().len(), seed),
        hidden: healthy,
        complaints: Vec::new(),
        met: Vec::new(),
        oddest: None,
        drawn: Vec::new(),
    };
    let without = bench.readings(&case.hidden).expect("a healthy set");
    if faults == 0 {
        case.oddest = bench.oddest(&without);
        return case;
    }
    let healthy = case.hidden.clone();
    let mut kept = Vec::<HiddenFault>::new();
    let mut complaints: Vec<Complaint> = Vec::new();
    for attempt in 0..MOST_DRAWS {
        let own = seed * MOST_DRAWS + attempt;
        let Some(fault) = drawn_fault(&bench.hypotheses, own, |own| {
            is_drawn(own) && kept.iter().all(|kept| kept.suspect != own.suspect)
        }) else {
            break;
        };
        let alone = case
            .hidden
            .with_only(&bench.hypotheses, std::slice::from_ref(&fault));
        // A set that cannot be solved is none for a bench.
        let Some(with) = bench.readings(&alone) else {
            continue;
        };
        // Nor is one whose leak boils or burns before anybody has read it.
        if bench.burns_out(&fault, own) {
            continue;
        }
        let reach = bench.reach(&with, &without);
        let complaint = Complaint::of(&bench.symptoms, &bench.hypotheses, &fault, reach, own);
        let met = match complaint.is_any() {
            true => None,
            false => bench.shows_in(&alone, &healthy, &fault),
        };
        let shows = complaint.is_any() || met.is_some();
        case.drawn.push((kind(bench, &fault), !shows));
        if shows {
            kept.push(fault);
            complaints.push(complaint);
            case.met.push(met);
        }
        if kept.len() == faults {
            let all = case.hidden.with_only(&bench.hypotheses, &kept);
            if faults > 1 && bench.readings(&all).is_none() {
                kept.pop();
                complaints.pop();
                case.met.pop();
                continue;
            }
            let none = Complaint::default();
            case.complaint = complaints.iter().fold(none, |all, own| all.and(own));
            case.complaints = complaints;
            case.hidden = all;
            return case;
        }
    }
    panic!("no fault that shows");
}

impl Case {
    /// Faults that disturb, by their position among the hypotheses.
    pub fn disturbing(&self) -> Vec<usize> {
        let each = self.hidden.faults.iter().zip(&self.complaints);
        each.filter(|(_, complaint)| complaint.is_any())
            .map(|(fault, _)| fault.hypothesis)
            .collect()
    }

    /// The same set with a good part in the place of one.
    pub fn repaired(&self, hypotheses: &Hypotheses, suspect: Suspect) -> Case {
        let is_left = |at: &usize| self.hidden.faults[*at].suspect != suspect;
        let left: Vec<usize> = (0..self.hidden.faults.len()).filter(is_left).collect();
        let fault = |at: &usize| self.hidden.faults[*at].clone();
        let faults: Vec<HiddenFault> = left.iter().map(fault).collect();
        let complaint = |at: &usize| self.complaints[*at].clone();
        let complaints: Vec<Complaint> = left.iter().map(complaint).collect();
        let none = Complaint::default();
        Case {
            seed: self.seed,
            complaint: complaints.iter().fold(none, |all, own| all.and(own)),
            hidden: self.hidden.with_only(hypotheses, &faults),
            complaints,
            met: left.iter().map(|at| self.met[*at]).collect(),
            oddest: self.oddest,
            drawn: Vec::new(),
        }
    }

    /// How the case shows.
    pub fn shown(&self) -> Shown {
        if self.complaint.is_any() {
            return Shown::Complained;
        }
        match self.met.iter().find_map(|own| *own) {
            Some(Measurement::Read { conditions: 0, .. }) => Shown::UnderPower,
            Some(Measurement::Read { .. }) => Shown::Cold,
            Some(_) => Shown::ByItself,
            None => Shown::Nothing,
        }
    }

    /// The reading that the search begins with, where nobody complains.
    pub fn begins_with(&self) -> Option<Measurement> {
        if self.complaint.is_any() || !kept::is_begun_with_a_reading() {
            return None;
        }
        self.met.iter().find_map(|own| *own).or(self.oddest)
    }
}

/// The hypotheses without any of the kind of this fault.
pub fn without_kind(all: &Hypotheses, fault: &HiddenFault) -> Hypotheses {
    let mut left = all.clone();
    let kind = std::mem::discriminant(&fault.kind);
    for own in &mut left.list {
        if std::mem::discriminant(&own.kind) == kind {
            own.chance = 0.0;
        }
    }
    left
}

/// Shares dropped, kind by kind.
#[derive(Default)]
pub struct Dropped {
    /// By kind: drawn and dropped.
    kinds: BTreeMap<String, (usize, usize)>,
}

impl Dropped {
    pub fn take(&mut self, drawn: &[(String, bool)]) {
        for (kind, is_dropped) in drawn {
            let own = self.kinds.entry(kind.clone()).or_default();
            own.0 += 1;
            own.1 += usize::from(*is_dropped);
        }
    }

    pub fn print(&self) {
        let share = |(drawn, dropped): (usize, usize)| 100.0 * dropped as f64 / drawn.max(1) as f64;
        let (mut slight, mut other) = ((0, 0), (0, 0));
        println!("  dropped, of the drawn ones (they show nothing):");
        let mut kinds: Vec<_> = self.kinds.iter().collect();
        kinds.sort_by_key(|own| std::cmp::Reverse(own.1.0));
        for (kind, own) in kinds {
            let sum = match kind.contains("slightly leaky") {
                true => &mut slight,
                false => &mut other,
            };
            sum.0 += own.0;
            sum.1 += own.1;
            println!("    {kind:<52} {:5} drawn {:5.1} %", own.0, share(*own));
        }
        println!(
            "    slightly leaky paper {:.1} %, all other kinds {:.1} %",
            share(slight),
            share(other)
        );
    }
}
