//! Preferred values: the series E6, E12, E24, E48 and E96, the member nearest to a value, and the next one up.
//!
//! Numbers have no unit here: a value in ohms gives an answer in ohms, one in farads an answer in farads.
//! Source: IEC 60063 (from memory). E6, E12 and E24 are lists, because they deviate from the formula (2.7, 3.0, 3.3, 3.6, 3.9,
//! 4.3, 4.7 and 8.2). E48 and E96 follow the formula: 10 to the power i/n, to three figures.
//! Range: any positive finite value whose answer is finite; others give no answer (`None`).
//! Sets made before about 1950 also hold values outside every series (25k, 50k, 0.05 mfd, 20 mfd): common practice then.

/// A series of preferred values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Series {
    /// Six values a decade, for 20 %.
    E6,
    /// Twelve values a decade, for 10 %.
    E12,
    /// 24 values a decade, for 5 %.
    E24,
    /// 48 values a decade, for 2 %.
    E48,
    /// 96 values a decade, for 1 %.
    E96,
}

/// Every second one is E12, every fourth E6.
const E24_TENTHS: [u32; 24] = [
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
];

/// How far below a value the rounding of a calculation may leave a member that is meant, a share.
const ROUNDING: f64 = 1e-9;

impl Series {
    /// The members from 1 to below 10, rising.
    pub fn members(self) -> Vec<f64> {
        self.hundredths()
            .into_iter()
            .map(|hundredths| f64::from(hundredths) / 100.0)
            .collect()
    }

    /// The member nearest to `value` by ratio, in the unit of `value`; `None` unless `value` is positive and finite.
    pub fn nearest(self, value: f64) -> Option<f64> {
        self.around(value)
            .min_by(|one, other| distance(*one, value).total_cmp(&distance(*other, value)))
    }

    /// The smallest member that is not below `value`, in the unit of `value`; one that falls short by a part in
    /// 1,000,000,000 or less, as by the rounding of a calculation, is `value` itself. `None` unless `value` is positive and
    /// finite, and where the next member is too large for a number.
    pub fn at_least(self, value: f64) -> Option<f64> {
        self.around(value)
            .find(|member| *member >= value * (1.0 - ROUNDING))
    }

    /// The members of the decade of a value and of both beside it, rising; none unless it is positive and finite.
    fn around(self, value: f64) -> impl Iterator<Item = f64> {
        let decade = (value.is_finite() && value > 0.0).then(|| value.log10().floor() as i32);
        decade
            .into_iter()
            .flat_map(|decade| decade - 1..=decade + 1)
            .flat_map(move |decade| {
                self.hundredths()
                    .into_iter()
                    .filter_map(move |hundredths| member(hundredths, decade))
            })
    }

    /// Whether `value` is a member, to within a thousandth.
    pub fn holds(self, value: f64) -> bool {
        self.nearest(value)
            .is_some_and(|member| (member / value - 1.0).abs() < 1e-3)
    }

    /// The name: `E12`.
    pub fn name(self) -> &'static str {
        match self {
            Series::E6 => "E6",
            Series::E12 => "E12",
            Series::E24 => "E24",
            Series::E48 => "E48",
            Series::E96 => "E96",
        }
    }

    /// The series made for parts of this tolerance (a fraction, 0.1 for 10 %): the coarsest that covers every value.
    pub fn for_tolerance(fraction: f64) -> Series {
        match fraction {
            wide if wide >= 0.2 => Series::E6,
            wide if wide >= 0.1 => Series::E12,
            wide if wide >= 0.05 => Series::E24,
            wide if wide >= 0.02 => Series::E48,
            _ => Series::E96,
        }
    }

    fn hundredths(self) -> Vec<u32> {
        let every = |step: usize| {
            E24_TENTHS
                .iter()
                .step_by(step)
                .map(|tenths| tenths * 10)
                .collect()
        };
        let formula = |count: u32| {
            let member = |index: u32| {
                (100.0 * 10_f64.powf(f64::from(index) / f64::from(count))).round() as u32
            };
            (0..count).map(member).collect()
        };
        match self {
            Series::E6 => every(4),
            Series::E12 => every(2),
            Series::E24 => every(1),
            Series::E48 => formula(48),
            Series::E96 => formula(96),
        }
    }
}

/// The member `hundredths` / 100 of `decade`, made by way of its decimal text so that 4.7k is exactly 4700.
fn member(hundredths: u32, decade: i32) -> Option<f64> {
    let value: f64 = format!("{hundredths}e{}", decade - 2).parse().ok()?;
    (value.is_finite() && value > 0.0).then_some(value)
}

fn distance(member: f64, value: f64) -> f64 {
    (member.ln() - value.ln()).abs()
}
