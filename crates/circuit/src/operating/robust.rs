//! What is tried, in order, when plain Newton steps do not settle.
//!
//! Volts, amperes. From a point nearby, where plain steps settle soon or never, the damped steps come before plain ones from
//! cold. 1. Newton steps damped until the next simplified step is shorter (the
//! natural monotonicity test: P. Deuflhard, Newton Methods for Nonlinear Problems, 2004,
//! section 3.3; from memory); matrices whose pivots vanish are solved again with row
//! exchange. 2. Pseudo-transient: every node is given a capacitance in proportion to its
//! conductance and marched with implicit steps that grow as the rest shrinks (C. T. Kelley and
//! D. E. Keyes, SIAM J. Numer. Anal. 35 (1998) 508; from memory). 3. All sources stepped up
//! from nothing. All three end in the plain method, whose test of the balance alone decides.

use super::lanes::{Lane, Lanes, Move};
use super::point::Method;
use crate::dense::dense_solve;

/// Names of all that is tried, in order.
pub(crate) const TRIED: &str = "Newton steps limited by device, damped steps with row exchange, \
                                a pseudo-transient, sources stepped up";

/// Plain steps from cold.
const PLAIN: usize = 60;
/// Plain steps from a point nearby: of some thousand faulty sets none took more than 24 and settled.
pub(super) const PLAIN_NEARBY: usize = 25;
const DAMPED: usize = 80;
const TRANSIENT: usize = 250;
const FINISH: usize = 40;
const SUPPLY_STEPS: usize = 120;
const LEAST_DAMPING: f64 = 1e-4;
/// Longest step of any node in the pseudo-transient, volts.
const LONGEST_STEP: f64 = 50.0;

type Way = fn(&mut Lanes<'_, 1>);

/// Solves lane 0; the method that got there, or the state of the lane. Plain steps from `start` are left out where they were
/// taken already and led nowhere.
pub(crate) fn solve(
    lanes: &mut Lanes<'_, 1>,
    start: Option<&[f64]>,
    are_plain_taken: bool,
) -> Result<Method, Lane> {
    if !are_plain_taken {
        let (first, most) = match start {
            Some(_) => (Move::Exact, PLAIN_NEARBY),
            None => (Move::First, PLAIN),
        };
        lanes.start(0, start);
        lanes.newton(first, most);
        if settled(lanes)? {
            return Ok(Method::Newton);
        }
    }
    if let Some(method) = by_way(lanes, start, (damped, Method::Damped))? {
        return Ok(method);
    }
    if start.is_some() {
        // A start may mislead; from cold is the same problem without it.
        begin(lanes, None);
        lanes.newton(Move::Limited, PLAIN);
        if settled(lanes)? {
            return Ok(Method::Newton);
        }
    }
    let ways: [(Way, Method); 2] = [(transient, Method::Transient), (step_up, Method::SteppedUp)];
    for way in ways {
        if let Some(method) = by_way(lanes, start, way)? {
            return Ok(method);
        }
    }
    Err(lanes.lanes[0])
}

/// One way and what it ends in; `None` where it leads nowhere.
fn by_way(
    lanes: &mut Lanes<'_, 1>,
    start: Option<&[f64]>,
    (way, method): (Way, Method),
) -> Result<Option<Method>, Lane> {
    begin(lanes, start);
    way(lanes);
    if lanes.lanes[0] == Lane::Busy {
        lanes.newton(Move::Exact, FINISH);
    }
    Ok(settled(lanes)?.then_some(method))
}

/// Whether the lane is done; lamps that cannot decide end the search.
fn settled(lanes: &Lanes<'_, 1>) -> Result<bool, Lane> {
    match lanes.lanes[0] {
        Lane::Done => Ok(true),
        Lane::Undecided => Err(Lane::Undecided),
        _ => Ok(false),
    }
}

fn begin(lanes: &mut Lanes<'_, 1>, start: Option<&[f64]>) {
    lanes.start(0, start);
    lanes.lanes[0] = Lane::Busy;
    lanes.supply = 1.0;
    if start.is_none() {
        // One linear solution with every device where it is first taken.
        lanes.newton(Move::First, 1);
        lanes.lanes[0] = Lane::Busy;
    }
}

fn length(step: &[[f64; 1]]) -> f64 {
    step.iter().map(|[value]| value * value).sum::<f64>().sqrt()
}

/// The change of volts for what is left over; with row exchange where a pivot vanishes.
/// `false` when even that finds none.
fn solve_any(lanes: &mut Lanes<'_, 1>, kept: bool) -> bool {
    if kept {
        lanes.solve();
    } else {
        // The stamps are made again: factoring overwrote them.
        lanes.stamp();
        if !solve_exchanged(lanes) {
            return false;
        }
    }
    lanes.left[1..].iter().all(|[value]| value.is_finite())
}

fn solve_exchanged(lanes: &mut Lanes<'_, 1>) -> bool {
    let rows = lanes.plan.nodes.saturating_sub(1);
    let mut square = vec![0.0; rows * rows];
    for row in 0..rows {
        for column in 0..rows {
            if let Some(place) = lanes.plan.pattern.place(row, column) {
                square[row * rows + column] = lanes.values[place][0];
            }
        }
    }
    let mut side: Vec<f64> = lanes.left[1..].iter().map(|[value]| *value).collect();
    // Rows are scaled by their largest entry, so that a large conductance is not taken for
    // a good pivot.
    for (row, side) in square.chunks_exact_mut(rows.max(1)).zip(&mut side) {
        let largest = row.iter().fold(0.0f64, |most, value| most.max(value.abs()));
        if largest > 0.0 {
            row.iter_mut().for_each(|value| *value /= largest);
            *side /= largest;
        }
    }
    if dense_solve(&mut square, &mut side, rows, 1).is_err() {
        return false;
    }
    for (left, value) in lanes.left[1..].iter_mut().zip(side) {
        *left = [value];
    }
    true
}

fn damped(lanes: &mut Lanes<'_, 1>) {
    lanes.stamp_base();
    let mut damping = 1.0f64;
    let mut exchange = false;
    for _ in 0..DAMPED {
        lanes.evaluate(Move::Exact);
        lanes.add_up();
        lanes.stamp();
        let before = lanes.left.clone();
        let kept = !exchange && lanes.factor()[0];
        if !solve_any(lanes, kept) {
            lanes.lanes[0] = Lane::Broken;
            return;
        }
        lanes.iterations[0] += 1;
        let step = lanes.left.clone();
        let from = lanes.volts.clone();
        let long = length(&step[1..]);
        if long < 1e-5 {
            return;
        }
        let mut accepted = false;
        while damping >= LEAST_DAMPING {
            for ((volts, from), step) in lanes.volts.iter_mut().zip(&from).zip(&step).skip(1) {
                volts[0] = from[0] - damping * step[0];
            }
            lanes.evaluate(Move::Exact);
            lanes.add_up();
            let shorter = if kept {
                lanes.solve();
                length(&lanes.left[1..]) <= (1.0 - 0.25 * damping) * long
            } else {
                length(&lanes.left[1..]) <= (1.0 - 0.25 * damping) * length(&before[1..])
            };
            if shorter {
                accepted = true;
                break;
            }
            damping *= 0.5;
        }
        if accepted {
            damping = (2.0 * damping).min(1.0);
            exchange = false;
        } else if exchange {
            lanes.volts.copy_from_slice(&from);
            return;
        } else {
            // The replayed factors may be the fault: once more with row exchange.
            lanes.volts.copy_from_slice(&from);
            exchange = true;
            damping = 1.0;
        }
    }
}

fn transient(lanes: &mut Lanes<'_, 1>) {
    lanes.stamp_base();
    let own: Vec<f64> = lanes
        .plan
        .diagonal
        .iter()
        .map(|&place| lanes.base[place][0].max(1e-6))
        .collect();
    let mut slowness = 10.0f64;
    let mut last = f64::INFINITY;
    for _ in 0..TRANSIENT {
        lanes.evaluate(Move::Limited);
        lanes.add_up();
        let rest = lanes
            .left
            .iter()
            .zip(&own)
            .skip(1)
            .map(|([left], own)| (left / own).abs())
            .fold(0.0f64, f64::max);
        if last.is_finite() {
            slowness = (slowness * (rest / last.max(1e-30)).clamp(0.5, 2.0)).clamp(1e-9, 1e3);
        }
        last = rest;
        lanes.stamp();
        for (&place, own) in lanes.plan.diagonal.iter().zip(&own).skip(1) {
            lanes.values[place][0] += slowness * own;
        }
        let kept = lanes.factor()[0];
        lanes.iterations[0] += 1;
        if !kept {
            slowness *= 10.0;
            continue;
        }
        lanes.solve();
        let longest = lanes.left[1..]
            .iter()
            .map(|[value]| value.abs())
            .fold(0.0f64, f64::max);
        if !longest.is_finite() {
            lanes.lanes[0] = Lane::Broken;
            return;
        }
        let share = (LONGEST_STEP / longest.max(1e-30)).min(1.0);
        for (volts, step) in lanes.volts.iter_mut().zip(&lanes.left).skip(1) {
            volts[0] -= share * step[0];
        }
        if longest < 1e-4 && slowness < 1e-3 {
            return;
        }
    }
}

fn step_up(lanes: &mut Lanes<'_, 1>) {
    lanes.start(0, None);
    let (mut reached, mut by) = (0.0f64, 0.05f64);
    let mut good = lanes.volts.clone();
    for _ in 0..SUPPLY_STEPS {
        let supply = (reached + by).min(1.0);
        lanes.supply = supply;
        lanes.lanes[0] = Lane::Busy;
        lanes.newton(Move::Exact, FINISH);
        if lanes.lanes[0] == Lane::Done {
            reached = supply;
            good.copy_from_slice(&lanes.volts);
            if reached >= 1.0 {
                break;
            }
            by *= 2.0;
        } else {
            lanes.volts.copy_from_slice(&good);
            by *= 0.25;
            if by < 1e-5 {
                break;
            }
        }
    }
    lanes.supply = 1.0;
    lanes.lanes[0] = Lane::Busy;
}
