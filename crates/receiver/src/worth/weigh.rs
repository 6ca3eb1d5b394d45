//! What the work costs and what comes of it, over all outcomes of the three parts.
//!
//! Money, evenings, chances. Each figure is a range whose spread counts as that of a triangle; sums have the sum of the
//! spreads (closed form), and the money of a part that has to be bought comes in with the chance that it is needed and
//! found. Nothing here can fail: the built-in table has a row for each figure that is asked for, and a test holds that.

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

/// A figure that the weighing asks for: each has its row in `data/worth_figures.csv`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AskedFigure {
    /// What the playing set is worth.
    FinishedSet,
    /// What it is worth as it stands.
    SetAsItStands,
    /// What an evening of work counts.
    Evening,
    /// Price of another picture tube.
    AnotherPictureTube,
    /// Price of another power transformer.
    AnotherPowerTransformer,
    /// Price of another flyback.
    AnotherFlyback,
    /// Chance that another picture tube is found.
    PictureTubeFound,
    /// Chance that another power transformer is found.
    PowerTransformerFound,
    /// Chance that another flyback is found.
    FlybackFound,
    /// Price of a small part.
    SmallPart,
    /// Price of an electrolytic.
    Electrolytic,
    /// Price of a class-marked part.
    ClassPart,
    /// Price of cord, fuse or plug.
    SetNeed,
    /// Price of a receiving tube.
    ReceivingTube,
    /// Share of untested receiving tubes that are bad.
    BadTubes,
    /// Evenings to look the set over.
    LookOver,
    /// Evenings for one part.
    EveningsAPart,
    /// Evenings for the first power-up.
    Wake,
    /// Evenings for one fault.
    EveningsAFault,
    /// Faults that are left when the plan is done.
    FaultsLeft,
    /// Evenings to prove the set and hand it on.
    ProveAndHandOn,
}

impl AskedFigure {
    /// All of them.
    pub const ALL: [AskedFigure; 21] = [
        AskedFigure::FinishedSet,
        AskedFigure::SetAsItStands,
        AskedFigure::Evening,
        AskedFigure::AnotherPictureTube,
        AskedFigure::AnotherPowerTransformer,
        AskedFigure::AnotherFlyback,
        AskedFigure::PictureTubeFound,
        AskedFigure::PowerTransformerFound,
        AskedFigure::FlybackFound,
        AskedFigure::SmallPart,
        AskedFigure::Electrolytic,
        AskedFigure::ClassPart,
        AskedFigure::SetNeed,
        AskedFigure::ReceivingTube,
        AskedFigure::BadTubes,
        AskedFigure::LookOver,
        AskedFigure::EveningsAPart,
        AskedFigure::Wake,
        AskedFigure::EveningsAFault,
        AskedFigure::FaultsLeft,
        AskedFigure::ProveAndHandOn,
    ];

    /// The name of its row.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            AskedFigure::FinishedSet => "finished set",
            AskedFigure::SetAsItStands => "set as it stands",
            AskedFigure::Evening => "evening",
            AskedFigure::AnotherPictureTube => "another picture tube",
            AskedFigure::AnotherPowerTransformer => "another power transformer",
            AskedFigure::AnotherFlyback => "another flyback",
            AskedFigure::PictureTubeFound => "picture tube is found",
            AskedFigure::PowerTransformerFound => "power transformer is found",
            AskedFigure::FlybackFound => "flyback is found",
            AskedFigure::SmallPart => "small part",
            AskedFigure::Electrolytic => "electrolytic",
            AskedFigure::ClassPart => "class part",
            AskedFigure::SetNeed => "set need",
            AskedFigure::ReceivingTube => "receiving tube",
            AskedFigure::BadTubes => "tubes that are bad",
            AskedFigure::LookOver => "evenings to look over",
            AskedFigure::EveningsAPart => "evenings a part",
            AskedFigure::Wake => "evenings to wake",
            AskedFigure::EveningsAFault => "evenings a fault",
            AskedFigure::FaultsLeft => "faults left",
            AskedFigure::ProveAndHandOn => "evenings to prove and hand on",
        }
    }
}

/// The figures by their names.
#[derive(Debug, Clone, Copy)]
pub struct Figures<'a>(pub &'a [WorthFigure]);

impl Figures<'_> {
    /// A figure; nothing where its row is not there.
    #[must_use]
    pub fn sum(&self, asked: AskedFigure) -> Sum {
        let mut all = self.0.iter();
        all.find(|own| own.name == asked.name())
            .map_or_else(Sum::default, Sum::of)
    }

    /// The same as one number.
    #[must_use]
    pub fn mean(&self, asked: AskedFigure) -> f64 {
        self.sum(asked).mean
    }

    /// Price of another one of the three parts, and the chance that one is found.
    #[must_use]
    pub fn another(&self, which: Irreplaceable) -> (Sum, f64) {
        let (price, found) = match which {
            Irreplaceable::PictureTube => (
                AskedFigure::AnotherPictureTube,
                AskedFigure::PictureTubeFound,
            ),
            Irreplaceable::PowerTransformer => (
                AskedFigure::AnotherPowerTransformer,
                AskedFigure::PowerTransformerFound,
            ),
            Irreplaceable::Flyback => (AskedFigure::AnotherFlyback, AskedFigure::FlybackFound),
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
        + f64::from(needs.untested_tubes) * figures.mean(AskedFigure::BadTubes);
    let fixed = Sum {
        mean: needs.priced,
        variance: 0.0,
    };
    let parts = fixed
        .plus(
            figures
                .sum(AskedFigure::SmallPart)
                .times(f64::from(needs.small)),
        )
        .plus(
            figures
                .sum(AskedFigure::Electrolytic)
                .times(f64::from(needs.electrolytics)),
        )
        .plus(
            figures
                .sum(AskedFigure::ClassPart)
                .times(f64::from(needs.class_marked)),
        )
        .plus(
            figures
                .sum(AskedFigure::SetNeed)
                .times(f64::from(needs.set_needs)),
        )
        .plus(figures.sum(AskedFigure::ReceivingTube).times(tubes));
    let evenings = figures
        .sum(AskedFigure::LookOver)
        .plus(
            figures
                .sum(AskedFigure::EveningsAPart)
                .times(f64::from(needs.to_fit)),
        )
        .plus(figures.sum(AskedFigure::Wake))
        .plus(
            figures
                .sum(AskedFigure::EveningsAFault)
                .product(figures.sum(AskedFigure::FaultsLeft)),
        )
        .plus(figures.sum(AskedFigure::ProveAndHandOn));
    let mut plays = 1.0;
    let mut all_good = 1.0;
    let mut irreplaceable = Sum::default();
    for (own, good) in three.iter().zip(good) {
        let (price, found) = figures.another(own.which);
        plays *= good + (1.0 - good) * found;
        all_good *= good;
        irreplaceable = irreplaceable.plus(price.with_chance((1.0 - good) * found));
    }
    let stopping = figures.mean(AskedFigure::SetAsItStands);
    let work = evenings.mean * figures.mean(AskedFigure::Evening);
    let cost = parts.mean + irreplaceable.mean + work;
    let finished = figures.mean(AskedFigure::FinishedSet);
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
