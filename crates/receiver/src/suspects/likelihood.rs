//! How likely readings are together: a joint Gaussian law in which single readings may be slips.
//!
//! Units of the readings; densities as natural logarithms. Each reading is, with a small chance,
//! a slip that says nothing and may lie anywhere. The sum over which readings are slips takes
//! none, each single one, and then each further one beside the likeliest so far, until more adds
//! nothing; every such choice is counted once. Source: the Gaussian law and its conditionals
//! (closed form); [`chi_square_tail`] by its recurrence. A spread that is no spread (not positive
//! definite, not finite) gives `None`.

use nalgebra::{Cholesky, DMatrix};

/// Logarithm below the largest term at which a sum ends.
const NOTHING: f64 = 14.0;

/// Readings against what is expected of them together.
#[derive(Debug, Clone)]
pub struct Joint {
    /// The inverse of the spread's lower factor, row by row.
    inverse: Vec<f64>,
    /// Diagonal of the precision.
    diagonal: Vec<f64>,
    /// The precision times what each reading is off.
    pull: Vec<f64>,
    /// Natural logarithm of the density of all.
    pub log_density: f64,
    /// Square of the distance in standard deviations.
    pub square: f64,
}

/// What a slip is like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slips {
    /// Chance that a reading is one.
    pub chance: f64,
    /// Natural logarithm of the density of its value.
    pub log_density: f64,
}

impl Joint {
    /// `rest` is what was read less what is expected; `spread` its covariance, row by row.
    pub fn new(rest: &[f64], spread: &[f64]) -> Option<Joint> {
        let count = rest.len();
        if spread.len() != count * count || spread.iter().chain(rest).any(|own| !own.is_finite()) {
            return None;
        }
        let factor = Cholesky::new(DMatrix::from_row_slice(count, count, spread))?;
        let lower = factor.l_dirty();
        let mut inverse = vec![0.0; count * count];
        let mut whitened = Vec::with_capacity(count);
        let mut log_determinant = 0.0;
        for row in 0..count {
            let (before, own) = inverse.split_at_mut(row * count);
            let own = &mut own[..count];
            for (at, other) in before.chunks_exact(count).enumerate() {
                let factor = lower[(row, at)];
                for (own, other) in own.iter_mut().zip(&other[..=at]) {
                    *own -= factor * other;
                }
            }
            let pivot = lower[(row, row)];
            own[row] = 1.0;
            for own in &mut own[..=row] {
                *own /= pivot;
            }
            log_determinant += 2.0 * pivot.ln();
            whitened.push(own.iter().zip(rest).map(|(own, rest)| own * rest).sum());
        }
        let square = whitened.iter().map(|own: &f64| own * own).sum::<f64>();
        let log_density =
            -0.5 * (square + log_determinant + count as f64 * std::f64::consts::TAU.ln());
        let mut diagonal = vec![0.0; count];
        let mut pull = vec![0.0; count];
        for (row, white) in inverse.chunks_exact(count.max(1)).zip(&whitened) {
            for ((own, diagonal), pull) in row.iter().zip(&mut diagonal).zip(&mut pull) {
                *diagonal += own * own;
                *pull += own * white;
            }
        }
        log_density.is_finite().then_some(Joint {
            inverse,
            diagonal,
            pull,
            log_density,
            square,
        })
    }

    /// The precision times what each reading is off.
    pub(super) fn pulls(&self) -> &[f64] {
        &self.pull
    }

    /// Square of how far a shift of all readings is, in standard deviations.
    pub(super) fn square_of(&self, shift: &[f64]) -> f64 {
        let rows = self.inverse.chunks_exact(shift.len().max(1));
        let own = rows.map(|row| row.iter().zip(shift).map(|(a, b)| a * b).sum::<f64>());
        own.map(|own| own * own).sum()
    }

    /// Each reading beside all others: how far it lies from what they foretell, in standard
    /// deviations, and the logarithm of its density there.
    pub fn each(&self) -> Vec<(f64, f64)> {
        self.diagonal
            .iter()
            .zip(&self.pull)
            .map(|(own, pull)| {
                let deviation = pull / own.sqrt();
                let log = 0.5 * (own / std::f64::consts::TAU).ln() - 0.5 * deviation * deviation;
                (deviation, log)
            })
            .collect()
    }

    /// One column of the precision.
    fn column(&self, at: usize) -> Vec<f64> {
        let count = self.pull.len();
        let mut column = vec![0.0; count];
        for row in self.inverse.chunks_exact(count.max(1)).skip(at) {
            let factor = row[at];
            for (own, other) in column.iter_mut().zip(row) {
                *own += factor * other;
            }
        }
        column
    }

    /// Logarithm of the density with slips, and the readings that most likely are slips.
    pub fn with_slips(&self, slips: Slips) -> (f64, Vec<usize>) {
        let anywhere = |_: usize| slips.log_density;
        self.with_moved(slips.chance, &anywhere)
    }

    /// The same where each reading has with this chance a law of its own: the logarithm of its density there.
    pub fn with_moved(&self, chance: f64, log_density: &dyn Fn(usize) -> f64) -> (f64, Vec<usize>) {
        let (diagonal, pull) = (self.diagonal.clone(), self.pull.clone());
        let column = |at: usize| self.column(at);
        sum_over_moved(
            (chance, log_density),
            self.log_density,
            diagonal,
            pull,
            column,
        )
    }
}

/// Logarithm of a Gaussian density with slips, and the readings that most likely are slips.
/// The law is told by the diagonal of its precision, by the precision times what each reading is
/// off, and by the columns of the precision as they are asked for.
pub(super) fn sum_over_slips(
    slips: Slips,
    log_density: f64,
    diagonal: Vec<f64>,
    pull: Vec<f64>,
    column: impl Fn(usize) -> Vec<f64>,
) -> (f64, Vec<usize>) {
    let anywhere = |_: usize| slips.log_density;
    sum_over_moved(
        (slips.chance, &anywhere),
        log_density,
        diagonal,
        pull,
        column,
    )
}

/// The same with the chance that a reading is moved and the logarithm of its density then.
fn sum_over_moved(
    (chance, log_of): (f64, &dyn Fn(usize) -> f64),
    mut log_density: f64,
    mut diagonal: Vec<f64>,
    mut pull: Vec<f64>,
    column: impl Fn(usize) -> Vec<f64>,
) -> (f64, Vec<usize>) {
    let count = pull.len();
    let (slip, sound) = (chance.ln(), (-chance).ln_1p());
    // Of those left out.
    let mut moved = 0.0;
    let mut kept: Vec<usize> = (0..count).collect();
    // Those left out, with the column of each beside those still kept then.
    let mut out: Vec<(usize, f64, Vec<f64>)> = Vec::new();
    let mut best = (count as f64 * sound + log_density, 0);
    let mut terms = vec![best.0];
    while !kept.is_empty() {
        let outside = (out.len() + 1) as f64;
        let others = moved + slip + (count as f64 - outside) * sound;
        let mut likeliest: Option<(usize, f64, f64)> = None;
        for &at in &kept {
            let own = diagonal[at];
            // The density of this reading beside the other kept ones.
            let of_it = 0.5 * (own / std::f64::consts::TAU).ln() - 0.5 * pull[at] * pull[at] / own;
            let without = log_density - of_it;
            let all = others + log_of(at) + without;
            terms.push(all);
            if likeliest.is_none_or(|(_, most, _)| all > most) {
                likeliest = Some((at, all, without));
            }
        }
        let Some((at, most, without)) = likeliest else {
            break;
        };
        if most > best.0 {
            best = (most, out.len() + 1);
        }
        if most < sum_of_logs(&terms) - NOTHING {
            out.push((at, 1.0, Vec::new()));
            break;
        }
        kept.retain(|own| *own != at);
        moved += slip + log_of(at);
        // The spread of the others by themselves.
        let mut own = column(at);
        for (_, pivot, before) in &out {
            let share = before[at] / pivot;
            for &row in &kept {
                own[row] -= before[row] * share;
            }
        }
        let pivot = diagonal[at];
        for &row in &kept {
            diagonal[row] -= own[row] * own[row] / pivot;
            pull[row] -= own[row] * pull[at] / pivot;
        }
        out.push((at, pivot, own));
        log_density = without;
    }
    let mut out: Vec<usize> = out.iter().take(best.1).map(|(at, ..)| *at).collect();
    out.sort_unstable();
    (sum_of_logs(&terms), out)
}

/// Logarithm of the sum of numbers given by their logarithms; minus infinity for none.
pub fn sum_of_logs(logs: &[f64]) -> f64 {
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !most.is_finite() {
        return most;
    }
    most + logs.iter().map(|own| (own - most).exp()).sum::<f64>().ln()
}

/// Chance that the sum of squares of so many Gaussian deviations exceeds this.
pub fn chi_square_tail(square: f64, count: usize) -> f64 {
    if count == 0 || square <= 0.0 {
        return 1.0;
    }
    let half = 0.5 * square;
    let (mut tail, mut degrees) = if count.is_multiple_of(2) {
        ((-half).exp(), 2)
    } else {
        (libm::erfc(half.sqrt()), 1)
    };
    while degrees < count {
        let own = 0.5 * degrees as f64;
        tail += (own * half.ln() - half - libm::lgamma(own + 1.0)).exp();
        degrees += 2;
    }
    tail.clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::{Joint, Slips, chi_square_tail, sum_of_logs};

    #[test]
    fn the_tail_of_chi_square_is_that_of_the_tables() {
        // Critical values of common tables (upper 5 and 1 percent; from memory).
        for (count, at_five, at_one) in [
            (1, 3.841, 6.635),
            (2, 5.991, 9.210),
            (5, 11.070, 15.086),
            (10, 18.307, 23.209),
            (30, 43.773, 50.892),
        ] {
            assert!((chi_square_tail(at_five, count) - 0.05).abs() < 1e-4);
            assert!((chi_square_tail(at_one, count) - 0.01).abs() < 1e-4);
        }
        assert_eq!(chi_square_tail(0.0, 3), 1.0);
        assert_eq!(chi_square_tail(5.0, 0), 1.0);
    }

    #[test]
    fn two_readings_together_are_by_the_closed_form() {
        let (sx, sy, rho) = (2.0f64, 0.5f64, 0.8f64);
        let (x, y) = (1.5, -0.2);
        let joint = Joint::new(&[x, y], &[sx * sx, rho * sx * sy, rho * sx * sy, sy * sy])
            .expect("a spread");
        let one = 1.0 - rho * rho;
        let square = (x * x / (sx * sx) - 2.0 * rho * x * y / (sx * sy) + y * y / (sy * sy)) / one;
        let log = -(std::f64::consts::TAU * sx * sy * one.sqrt()).ln() - 0.5 * square;
        assert!((joint.square - square).abs() < 1e-12);
        assert!((joint.log_density - log).abs() < 1e-12);
        // The conditional law of one beside the other.
        let (deviation, _) = joint.each()[0];
        let expected = (x - rho * sx / sy * y) / (sx * one.sqrt());
        assert!((deviation - expected).abs() < 1e-12);
    }

    #[test]
    fn a_slip_is_left_aside_and_the_sum_is_whole() {
        // Two independent readings: every choice can be written down.
        let slips = Slips {
            chance: 0.02,
            log_density: -(500.0f64.ln()),
        };
        let (sound, wild) = (0.3, 40.0);
        let joint = Joint::new(&[sound, wild], &[1.0, 0.0, 0.0, 1.0]).expect("a spread");
        let gauss = |x: f64| (-0.5 * x * x).exp() / std::f64::consts::TAU.sqrt();
        let mixed = |x: f64| 0.98 * gauss(x) + 0.02 / 500.0;
        let (log, out) = joint.with_slips(slips);
        assert!(
            (log - (mixed(sound) * mixed(wild)).ln()).abs() < 1e-9,
            "{log}"
        );
        assert_eq!(out, [1]);
        let calm = Joint::new(&[0.3, -0.2], &[1.0, 0.0, 0.0, 1.0]).expect("a spread");
        assert_eq!(calm.with_slips(slips).1, [0usize; 0]);
    }

    #[test]
    fn no_law_of_what_is_no_spread() {
        assert!(Joint::new(&[1.0], &[0.0]).is_none());
        assert!(Joint::new(&[f64::NAN], &[1.0]).is_none());
        assert!(Joint::new(&[1.0, 1.0], &[1.0]).is_none());
        assert!(Joint::new(&[1.0, 1.0], &[1.0, 2.0, 2.0, 1.0]).is_none());
        assert_eq!(sum_of_logs(&[]), f64::NEG_INFINITY);
    }
}
