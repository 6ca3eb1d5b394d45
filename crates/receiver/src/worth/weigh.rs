//! What the work costs and what comes of it, over all outcomes of the three parts.
//!
//! Money, evenings, chances. Each figure is a range whose spread counts as that of a triangle; sums have the sum of the
//! spreads (closed form), and the money of a part that has to be bought comes in with the chance that it is needed and
//! found. Nothing here can fail; a figure that the table lacks counts as nothing and is named.

use parts::{Irreplaceable, WorthFigure};

use super::chance::PartOutlook;

/// A figure with its spread.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Sum {
    /// Expected value.
    pub mean: f64,
    /// Square of the standard deviation.
    pub variance: f64,
}

impl Sum {
    /// Of a triangle over low, usual and high (closed form).
    #[must_use]
    pub fn triangle(low: f64, typical: f64, high: f64) -> Sum {
        let (a, b, c) = (low, high, typical);
        Sum {
            mean: (a + b + c) / 3.0,
            variance: (a * a + b * b + c * c - a * b - a * c - b * c) / 18.0,
        }
    }

    /// Of a figure of the table.
    #[must_use]
    pub fn of(figure: &WorthFigure) -> Sum {
        Sum::triangle(figure.low, figure.typical, figure.high)
    }

    /// The two together, as independent ones.
    #[must_use]
    pub fn plus(self, other: Sum) -> Sum {
        Sum {
            mean: self.mean + other.mean,
            variance: self.variance + other.variance,
        }
    }

    /// So many of the same, whose price goes up and down together.
    #[must_use]
    pub fn times(self, count: f64) -> Sum {
        Sum {
            mean: count * self.mean,
            variance: count * count * self.variance,
        }
    }

    /// The product of two independent ones.
    #[must_use]
    pub fn product(self, other: Sum) -> Sum {
        let mean = self.mean * other.mean;
        let square =
            (self.variance + self.mean * self.mean) * (other.variance + other.mean * other.mean);
        Sum {
            mean,
            variance: square - mean * mean,
        }
    }

    /// It comes in with this chance only.
    #[must_use]
    pub fn with_chance(self, chance: f64) -> Sum {
        let mean = chance * self.mean;
        let square = chance * (self.variance + self.mean * self.mean);
        Sum {
            mean,
            variance: square - mean * mean,
        }
    }

    /// From a tenth to nine tenths of the cases, as of a bell; never below nothing.
    #[must_use]
    pub fn range(self) -> (f64, f64) {
        let wide = 1.2816 * self.variance.max(0.0).sqrt();
        ((self.mean - wide).max(0.0), self.mean + wide)
    }
}

/// The figures by their names.
#[derive(Debug, Clone, Copy)]
pub struct Figures<'a>(pub &'a [WorthFigure]);

impl Figures<'_> {
    /// The figure of a name; nothing where there is none.
    #[must_use]
    pub fn sum(&self, name: &str) -> Sum {
        let mut all = self.0.iter();
        all.find(|own| own.name == name)
            .map_or_else(Sum::default, Sum::of)
    }

    /// The same as one number.
    #[must_use]
    pub fn mean(&self, name: &str) -> f64 {
        self.sum(name).mean
    }

    /// Price of another one of the three parts, and the chance that one is found.
    #[must_use]
    pub fn another(&self, which: Irreplaceable) -> (Sum, f64) {
        let (price, found) = match which {
            Irreplaceable::PictureTube => ("another picture tube", "picture tube is found"),
            Irreplaceable::PowerTransformer => {
                ("another power transformer", "power transformer is found")
            }
            Irreplaceable::Flyback => ("another flyback", "flyback is found"),
        };
        (self.sum(price), self.mean(found))
    }
}

/// What the plan asks for.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct PlanNeeds {
    /// Money for parts that have a price of their own.
    pub priced: f64,
    /// Small parts without one.
    pub small: u32,
    /// Electrolytics without one.
    pub electrolytics: u32,
    /// Class-marked parts without one.
    pub class_marked: u32,
    /// Cord, fuse, plug without one.
    pub set_needs: u32,
    /// Parts to be fitted in all.
    pub to_fit: u32,
    /// Receiving tubes that nobody has tested.
    pub untested_tubes: u32,
    /// Receiving tubes found bad.
    pub bad_tubes: u32,
}

/// What comes of the work.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Chance that the set plays in the end.
    pub plays: f64,
    /// Chance that all three parts are good as they are.
    pub all_good: f64,
    /// Money for the parts of the plan and tubes.
    pub parts: Sum,
    /// Money for the three, as far as they are bad and found.
    pub irreplaceable: Sum,
    /// Evenings of work.
    pub evenings: Sum,
    /// What going on is worth on average, over what it costs.
    pub going_on: f64,
    /// What stopping is worth.
    pub stopping: f64,
    /// What the finished set must be worth for going on to be no loss.
    pub break_even: f64,
}

/// What one does by the figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Advice {
    /// Go on.
    GoOn,
    /// Leave it, or keep it for its parts.
    Stop,
}

impl Outcome {
    /// What one does.
    #[must_use]
    pub fn advice(&self) -> Advice {
        if self.going_on >= self.stopping {
            Advice::GoOn
        } else {
            Advice::Stop
        }
    }
}

/// What comes of a set whose three parts stand so.
#[must_use]
pub fn weigh(figures: Figures<'_>, three: &[PartOutlook; 3], needs: &PlanNeeds) -> Outcome {
    let good: Vec<f64> = three.iter().map(|own| own.good).collect();
    let goods = [good[0], good[1], good[2]];
    weigh_with(figures, three, goods, needs)
}

/// The same with these chances.
#[must_use]
pub(super) fn weigh_with(
    figures: Figures<'_>,
    three: &[PartOutlook; 3],
    good: [f64; 3],
    needs: &PlanNeeds,
) -> Outcome {
    let tubes = f64::from(needs.bad_tubes)
        + f64::from(needs.untested_tubes) * figures.mean("tubes that are bad");
    let fixed = Sum {
        mean: needs.priced,
        variance: 0.0,
    };
    let parts = fixed
        .plus(figures.sum("small part").times(f64::from(needs.small)))
        .plus(
            figures
                .sum("electrolytic")
                .times(f64::from(needs.electrolytics)),
        )
        .plus(
            figures
                .sum("class part")
                .times(f64::from(needs.class_marked)),
        )
        .plus(figures.sum("set need").times(f64::from(needs.set_needs)))
        .plus(figures.sum("receiving tube").times(tubes));
    let evenings = figures
        .sum("evenings to look over")
        .plus(
            figures
                .sum("evenings a part")
                .times(f64::from(needs.to_fit)),
        )
        .plus(figures.sum("evenings to wake"))
        .plus(
            figures
                .sum("evenings a fault")
                .product(figures.sum("faults left")),
        )
        .plus(figures.sum("evenings to prove and hand on"));
    let mut plays = 1.0;
    let mut all_good = 1.0;
    let mut irreplaceable = Sum::default();
    for (own, good) in three.iter().zip(good) {
        let (price, found) = figures.another(own.which);
        plays *= good + (1.0 - good) * found;
        all_good *= good;
        irreplaceable = irreplaceable.plus(price.with_chance((1.0 - good) * found));
    }
    let stopping = figures.mean("set as it stands");
    let work = evenings.mean * figures.mean("evening");
    let cost = parts.mean + irreplaceable.mean + work;
    let finished = figures.mean("finished set");
    // A set that does not play in the end is worth what it was as it stood, and its cost is lost.
    let going_on = plays * finished + (1.0 - plays) * stopping - cost;
    let break_even = if plays > 0.0 {
        (stopping + cost - (1.0 - plays) * stopping) / plays
    } else {
        f64::INFINITY
    };
    Outcome {
        plays,
        all_good,
        parts,
        irreplaceable,
        evenings,
        going_on,
        stopping,
        break_even,
    }
}
