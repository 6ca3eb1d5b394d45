//! The joint law of the readings where a fault moves some of them, from that of healthy sets.
//!
//! Units of the readings; densities as natural logarithms. The healthy law is factored once. A
//! fault shifts some readings and changes their spread; the others stay as they were. With `M` the
//! moved ones and `U` the rest, the density is that of `U` among healthy sets, times that of `M`
//! beside `U`; both come from the blocks of the healthy precision (conditionals of the Gaussian
//! law, closed form), so that the work goes with the number of moved readings and not with that of
//! all. A stretch of severities is summed at once as if it were a bell of the same spread along it.
//! A spread that is none gives `None`.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::likelihood::{Slips, sum_over_slips};

/// The readings against healthy sets.
#[derive(Debug, Clone)]
pub struct Base {
    precision: DMatrix<f64>,
    rest: DVector<f64>,
    /// The precision times the rest.
    pull: DVector<f64>,
    log_density: f64,
}

/// How one reading is moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Which reading.
    pub at: usize,
    /// How far its mean is shifted.
    pub shift: f64,
    /// Its spread over that of healthy sets.
    pub goes_with: f64,
    /// Variance of meter and the like in healthy sets: it does not go with the reading.
    pub own: f64,
    /// The same with the fault.
    pub moved_own: f64,
    /// From end to end of a stretch of severities; 0 at a single one.
    pub along: f64,
}

/// The readings against a moved set.
pub struct Moved<'a> {
    base: &'a Base,
    moves: &'a [Move],
    /// Place of each reading among the moved ones.
    place: Vec<Option<usize>>,
    /// What the unmoved ones say of the moved ones among healthy sets, times `goes_with`.
    regress: DMatrix<f64>,
    /// The healthy precision from the moved ones to all.
    rows: DMatrix<f64>,
    /// The same by `inverse`, with its sign turned.
    told: DMatrix<f64>,
    /// Precision of the moved ones beside the others.
    inner: DMatrix<f64>,
    /// What the moved ones are off, beside the others.
    off: DVector<f64>,
    healthy_off: DVector<f64>,
    /// Natural logarithm of the density of all.
    pub log_density: f64,
}

fn half_log_determinant(factor: &Cholesky<f64, Dyn>) -> f64 {
    let diagonal = factor.l_dirty().diagonal();
    diagonal.iter().map(|own| own.ln()).sum()
}

impl Base {
    /// `rest` is what was read less what healthy sets read; `spread` its covariance, row by row.
    pub fn new(rest: &[f64], spread: &[f64]) -> Option<Base> {
        let count = rest.len();
        if spread.len() != count * count || spread.iter().chain(rest).any(|own| !own.is_finite()) {
            return None;
        }
        let factor = Cholesky::new(DMatrix::from_row_slice(count, count, spread))?;
        let rest = DVector::from_row_slice(rest);
        let precision = factor.inverse();
        let pull = &precision * &rest;
        let log_density = -0.5 * (rest.dot(&pull) + count as f64 * std::f64::consts::TAU.ln())
            - half_log_determinant(&factor);
        log_density.is_finite().then_some(Base {
            precision,
            rest,
            pull,
            log_density,
        })
    }

    /// Natural logarithm of the density among healthy sets, with slips.
    pub fn with_slips(&self, slips: Slips) -> f64 {
        sum_over_slips(
            slips,
            self.log_density,
            self.precision.diagonal().iter().copied().collect(),
            self.pull.iter().copied().collect(),
            |at| self.precision.column(at).iter().copied().collect(),
        )
        .0
    }

    /// Square of how far this shift is among healthy sets, in standard deviations.
    pub fn square(&self, shift: &[f64]) -> f64 {
        let shift = DVector::from_column_slice(shift);
        if shift.len() != self.rest.len() {
            return f64::INFINITY;
        }
        shift.dot(&(&self.precision * &shift))
    }

    /// The law with these readings moved, each named once.
    pub fn moved<'a>(&'a self, moves: &'a [Move]) -> Option<Moved<'a>> {
        let (count, moved) = (self.rest.len(), moves.len());
        let mut place = vec![None; count];
        for (own, one) in moves.iter().enumerate() {
            *place.get_mut(one.at)? = Some(own);
        }
        let rows = DMatrix::from_fn(moved, count, |row, at| self.precision[(moves[row].at, at)]);
        let block = DMatrix::from_fn(moved, moved, |row, at| rows[(row, moves[at].at)]);
        let factor = Cholesky::new(block)?;
        // Spread of the moved ones beside the others, among healthy sets.
        let beside = factor.inverse();
        let pull = DVector::from_fn(moved, |own, _| self.pull[moves[own].at]);
        let healthy_off = &beside * &pull;
        let of_others = self.log_density + 0.5 * healthy_off.dot(&pull)
            - half_log_determinant(&factor)
            + 0.5 * moved as f64 * std::f64::consts::TAU.ln();
        let spread = DMatrix::from_fn(moved, moved, |row, at| {
            let (one, other) = (&moves[row], &moves[at]);
            let mut healthy = beside[(row, at)];
            let mut own = one.along * other.along / 12.0;
            if row == at {
                healthy -= one.own;
                own += one.moved_own;
            }
            own + one.goes_with * healthy * other.goes_with
        });
        let inner_factor = Cholesky::new(spread)?;
        let off = DVector::from_fn(moved, |own, _| {
            let one = &moves[own];
            let rest = self.rest[one.at];
            rest - one.shift - one.goes_with * (rest - healthy_off[own])
        });
        let inner = inner_factor.inverse();
        let log_density = of_others
            - 0.5 * (off.dot(&(&inner * &off)) + moved as f64 * std::f64::consts::TAU.ln())
            - half_log_determinant(&inner_factor);
        if !log_density.is_finite() {
            return None;
        }
        let told = -(&beside * &rows);
        let regress = DMatrix::from_fn(moved, count, |own, at| {
            moves[own].goes_with * told[(own, at)]
        });
        Some(Moved {
            base: self,
            moves,
            place,
            regress,
            rows,
            told,
            inner,
            off,
            healthy_off,
            log_density,
        })
    }
}

impl Moved<'_> {
    /// Natural logarithm of the density with slips.
    pub fn with_slips(&self, slips: Slips) -> f64 {
        let inner_off = &self.inner * &self.off;
        let inner_regress = &self.inner * &self.regress;
        let count = self.place.len();
        let mut diagonal = Vec::with_capacity(count);
        let mut pull = Vec::with_capacity(count);
        for (at, place) in self.place.iter().enumerate() {
            match *place {
                Some(own) => {
                    diagonal.push(self.inner[(own, own)]);
                    pull.push(inner_off[own]);
                }
                None => {
                    let rows = self.rows.column(at);
                    let regress = self.regress.column(at);
                    diagonal.push(
                        self.base.precision[(at, at)]
                            + rows.dot(&self.told.column(at))
                            + regress.dot(&inner_regress.column(at)),
                    );
                    pull.push(
                        self.base.pull[at] - rows.dot(&self.healthy_off) - regress.dot(&inner_off),
                    );
                }
            }
        }
        let column = |at: usize| -> Vec<f64> {
            let beside: DVector<f64> = match self.place[at] {
                Some(own) => self.inner.column(own).into_owned(),
                None => -inner_regress.column(at),
            };
            (0..count)
                .map(|other| match (self.place[other], self.place[at]) {
                    (Some(own), _) => beside[own],
                    (None, Some(_)) => -self.regress.column(other).dot(&beside),
                    (None, None) => {
                        self.base.precision[(other, at)]
                            + self.rows.column(other).dot(&self.told.column(at))
                            - self.regress.column(other).dot(&beside)
                    }
                })
                .collect()
        };
        debug_assert_eq!(self.moves.len(), self.off.len());
        super::likelihood::sum_over_slips(slips, self.log_density, diagonal, pull, column).0
    }
}

#[cfg(test)]
mod tests {
    use super::{Base, Move};
    use crate::suspects::likelihood::{Joint, Slips};

    const SLIPS: Slips = Slips {
        chance: 0.02,
        log_density: -6.0,
    };

    /// A spread of five readings that hang together, the meter's own on the diagonal.
    fn healthy() -> (Vec<f64>, Vec<f64>, f64) {
        let loads = [3.0, 2.0, -1.0, 0.5, 0.0];
        let own = 0.4;
        let spread = (0..25)
            .map(|at| {
                let (row, column) = (at / 5, at % 5);
                let common = loads[row] * loads[column];
                common + if row == column { 0.3 + own } else { 0.0 }
            })
            .collect();
        (vec![1.0, -2.0, 0.7, 0.1, 3.0], spread, own)
    }

    /// The whole law written out, as [`Joint`] takes it.
    fn whole(moves: &[Move]) -> Joint {
        let (rest, spread, _) = healthy();
        let of = |at: usize| moves.iter().find(|own| own.at == at);
        let mut wide = Vec::new();
        for row in 0..5 {
            for column in 0..5 {
                let mut own = spread[row * 5 + column];
                let (one, other) = (of(row), of(column));
                if row == column {
                    own -= one.map_or(0.0, |one| one.own);
                }
                own *= one.map_or(1.0, |one| one.goes_with);
                own *= other.map_or(1.0, |one| one.goes_with);
                if row == column {
                    own += one.map_or(0.0, |one| one.moved_own);
                }
                if let (Some(one), Some(other)) = (one, other) {
                    own += one.along * other.along / 12.0;
                }
                wide.push(own);
            }
        }
        let rest: Vec<f64> = rest
            .iter()
            .enumerate()
            .map(|(at, rest)| rest - of(at).map_or(0.0, |own| own.shift))
            .collect();
        Joint::new(&rest, &wide).expect("a spread")
    }

    #[test]
    fn moving_some_readings_is_the_whole_law_written_out() {
        let (rest, spread, own) = healthy();
        let base = Base::new(&rest, &spread).expect("a spread");
        let one = |at: usize, shift: f64, goes_with: f64| Move {
            at,
            shift,
            goes_with,
            own,
            moved_own: own + 0.01 * shift * shift,
            along: 0.5 * shift,
        };
        let cases: [&[Move]; 5] = [
            &[one(1, -2.5, 0.4)],
            &[one(4, 30.0, 3.0)],
            &[one(0, 1.0, 1.2), one(2, -40.0, 0.1)],
            &[one(3, 0.2, 1.0), one(1, 2.0, 0.7), one(0, 9.0, 2.0)],
            &[
                one(0, 1.0, 1.1),
                one(1, 1.0, 0.9),
                one(2, -1.0, 1.0),
                one(3, 6.0, 0.5),
                one(4, -3.0, 2.0),
            ],
        ];
        for moves in cases {
            let quick = base.moved(moves).expect("a spread");
            let whole = whole(moves);
            assert!((quick.log_density - whole.log_density).abs() < 1e-9);
            let (with, _) = whole.with_slips(SLIPS);
            assert!((quick.with_slips(SLIPS) - with).abs() < 1e-9, "{moves:?}");
        }
        let still = Joint::new(&rest, &spread).expect("a spread");
        assert!((base.with_slips(SLIPS) - still.with_slips(SLIPS).0).abs() < 1e-9);
    }

    #[test]
    fn no_law_of_what_is_no_spread() {
        assert!(Base::new(&[1.0], &[0.0]).is_none());
        let (rest, spread, own) = healthy();
        let base = Base::new(&rest, &spread).expect("a spread");
        let beyond = Move {
            at: 9,
            shift: 1.0,
            goes_with: 1.0,
            own,
            moved_own: own,
            along: 0.0,
        };
        assert!(base.moved(&[beyond]).is_none());
        let wild = Move {
            at: 0,
            shift: f64::NAN,
            ..beyond
        };
        assert!(base.moved(&[wild]).is_none());
    }
}
