//! The direct-current networks of the invented whole sets, for tests and benches.
//!
//! Volts, siemens. The network of each set as it is solved for a reading, and figures drawn
//! about its own: every part within a tenth or so, every tube within a fifth. Fails by a panic
//! where a set cannot be solved, as a test may.
#![allow(dead_code, missing_docs)]

use circuit::operating::{Figure, Operating, Point};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use receiver::whole_set::couple;
use receiver::wiring::{SetModel, Variation};

use crate::whole_sets::{nominal, sheet};

pub struct Whole {
    pub operating: Operating,
    pub figures: Vec<Figure>,
    pub point: Point,
}

pub fn whole(text: &str) -> Whole {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(text);
    let model = SetModel::new(&sheet, catalogue);
    let set = couple(&model, &nominal(), &Variation::none(), &[]).expect("a settled set");
    Whole {
        operating: set.direct.operating,
        figures: set.figures,
        point: set.point,
    }
}

impl Whole {
    /// The middle one of its resistances moved by a tenth.
    pub fn moved(&self) -> Vec<Figure> {
        let mut figures = self.figures.clone();
        let middle = figures.len() / 2;
        let at = (middle..figures.len())
            .find(|&at| matches!(figures[at], Figure::Siemens(siemens) if siemens > 1e-6))
            .expect("a resistance");
        if let Figure::Siemens(siemens) = &mut figures[at] {
            *siemens *= 1.1;
        }
        figures
    }

    /// Drawn sets.
    pub fn drawn(&self, count: usize) -> Vec<Vec<Figure>> {
        let mut random = Pcg64::seed_from_u64(4711);
        (0..count)
            .map(|_| {
                let mut about = |share: f64| 1.0 + share * (2.0 * random.random::<f64>() - 1.0);
                self.figures
                    .iter()
                    .map(|figure| match *figure {
                        Figure::Siemens(siemens) => Figure::Siemens(siemens * about(0.1)),
                        Figure::Source { volts, siemens } => Figure::Source {
                            volts: volts * about(0.05),
                            siemens: siemens * about(0.05),
                        },
                        Figure::Tube(mut state) => {
                            state.strength *= about(0.2);
                            state.cutoff *= about(0.1);
                            state.contact_volts += 0.1 * (about(1.0) - 1.0);
                            Figure::Tube(state)
                        }
                        other => other,
                    })
                    .collect()
            })
            .collect()
    }
}
