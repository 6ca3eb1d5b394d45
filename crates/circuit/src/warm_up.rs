//! The slow warm-up: whole intervals of many cycles solved at once.
//!
//! Inside: volts, amperes, seconds, kelvin. The first cycles are run step by step
//! ([`Solver::march`]). As soon as the state moves smoothly from cycle to cycle, an
//! interval is guessed by a straight line through the last two states and then
//! solved ([`crate::newton`]); the interval grows while the guess stays close to the
//! solution. Fails when even single cycles find no solution.

use crate::cycle::Room;
use crate::error::CircuitError;
use crate::newton::{Ask, Derivative, Linear, Span};
use crate::solver::{GoOn, Solver, WarmMoment};
use crate::state::{SetState, Work};

/// Intervals, in seconds, of the strides from cold to settled.
const STRIDES: [f64; 7] = [0.05, 0.2, 0.8, 3.0, 9.0, 25.0, 80.0];
/// How closely a stride on the way to settled is solved: only its branch matters.
const STRIDE_RELATIVE: f64 = 3e-3;
/// How closely an interval of the warm-up is solved.
const INTERVAL_RELATIVE: f64 = 2e-4;
/// Difference above which an interval is given up and made shorter, over the one it may show.
const WORST: f64 = 2.5;
/// Shortest interval, cycles.
const SHORTEST: f64 = 2.0;

impl<'a> Solver<'a> {
    /// From cold towards settled in long strides.
    pub(crate) fn strides(
        &self,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<SetState, CircuitError> {
        let mut state = self.cold();
        self.march(&mut state, self.coarse()?, (3, 4), room, work)?;
        let mut inverse = None;
        for seconds in STRIDES {
            self.stride(&mut state, seconds, &mut inverse, room, work)?;
        }
        Ok(state)
    }

    /// One long interval, cut where it does not converge.
    fn stride(
        &self,
        state: &mut SetState,
        seconds: f64,
        inverse: &mut Option<Linear>,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<(), CircuitError> {
        let cycle = 1.0 / self.model().circuit.hertz;
        let mut left = seconds;
        let mut now = seconds;
        while left > 1e-9 {
            now = now.min(left);
            let guess = state.clone();
            match self.interval(
                state,
                guess,
                now / cycle,
                STRIDE_RELATIVE,
                inverse,
                room,
                work,
            ) {
                Ok(Some(next)) => {
                    *state = next;
                    left -= now;
                    now *= 2.0;
                }
                _ => {
                    *inverse = None;
                    now *= 0.25;
                    if now < cycle {
                        self.march(state, self.coarse()?, (1, 4), room, work)?;
                        left -= cycle;
                        now = 2.0 * cycle;
                    }
                }
            }
        }
        Ok(())
    }

    /// Solves one interval from a guess; `None` when it does not converge.
    #[allow(clippy::too_many_arguments)]
    fn interval(
        &self,
        from: &SetState,
        guess: SetState,
        cycles: f64,
        relative: f64,
        inverse: &mut Option<Linear>,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<Option<SetState>, CircuitError> {
        let mut next = guess;
        let ask = Ask {
            grid: self.coarse()?,
            span: Span::Cycles { from, cycles },
            derivative: Derivative::AsNeeded,
            relative,
            return_error: f64::INFINITY,
            most: 12,
            with_samples: false,
        };
        let attempt = self.newton(&ask, &mut next, inverse, room, work)?;
        Ok(attempt.converged.then_some(next))
    }

    /// From switch-on at cold through the warm-up. The first cycles are run step by
    /// step; afterwards whole intervals are solved at once. `observe` sees the cycle
    /// at each of `moments` (seconds, rising) and may end the run.
    pub fn warm_up(
        &self,
        moments: &[f64],
        observe: &mut dyn FnMut(WarmMoment<'_, 'a>) -> GoOn,
    ) -> Result<Work, CircuitError> {
        let mut state = self.cold();
        self.warm_up_from(&mut state, moments, observe)
    }

    /// The same from a given state.
    pub fn warm_up_from(
        &self,
        state: &mut SetState,
        moments: &[f64],
        observe: &mut dyn FnMut(WarmMoment<'_, 'a>) -> GoOn,
    ) -> Result<Work, CircuitError> {
        let mut work = Work::default();
        let mut room = Room::new(&self.model().layout);
        let cycle = 1.0 / self.model().circuit.hertz;
        let mut way = Way {
            seconds: 0.0,
            last: None,
            earlier: None,
            cycles: 1.0,
            inverse: None,
        };
        for &moment in moments {
            while way.seconds + 0.5 * cycle < moment {
                let most = (moment - way.seconds) / cycle;
                self.go_on(&mut way, state, most, &mut room, &mut work)?;
            }
            let record = self.record(state, self.coarse()?, &mut room, &mut work)?;
            let wants = observe(WarmMoment {
                seconds: way.seconds,
                state,
                record,
            });
            if wants == GoOn::Enough {
                break;
            }
        }
        Ok(work)
    }

    /// One marched cycle or one solved interval of at most `most` cycles.
    fn go_on(
        &self,
        way: &mut Way,
        state: &mut SetState,
        most: f64,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<(), CircuitError> {
        let cycle = 1.0 / self.model().circuit.hertz;
        let allowed = self.options().guess_error;
        if way.cycles >= SHORTEST
            && most >= SHORTEST
            && let Some((before, before_cycles)) = &way.last
        {
            let cycles = if way.cycles >= most {
                most
            } else if way.cycles <= most - SHORTEST {
                way.cycles
            } else {
                // No short remainder before a moment.
                (0.5 * most).max(SHORTEST)
            };
            let guess = straight_on(before, state, cycles / before_cycles);
            let near = match &way.earlier {
                Some((earlier, earlier_cycles)) => bent_on(
                    (earlier, *earlier_cycles),
                    (before, *before_cycles),
                    state,
                    cycles,
                ),
                None => guess.clone(),
            };
            let solved = self.interval(
                state,
                near,
                cycles,
                INTERVAL_RELATIVE,
                &mut way.inverse,
                room,
                work,
            );
            let next = match solved {
                Ok(Some(next)) => next,
                Ok(None) | Err(CircuitError::Rectifier { .. } | CircuitError::Singular { .. }) => {
                    // Below the shortest interval the next cycle is marched.
                    way.inverse = None;
                    way.cycles = cycles * 0.3;
                    return Ok(());
                }
                Err(error) => return Err(error),
            };
            let error = self.apart(&guess, &next);
            if error > WORST * allowed && cycles > SHORTEST {
                way.cycles = (cycles * (allowed / error).sqrt().max(0.2)).max(SHORTEST);
                return Ok(());
            }
            let factor = (allowed / error.max(1e-6)).sqrt().clamp(0.4, 2.0);
            way.cycles = (cycles * factor).max(way.cycles.min(cycles * factor.max(1.0)));
            way.seconds += cycles * cycle;
            let now = (std::mem::replace(state, next), cycles);
            way.earlier = way.last.replace(now);
            if way.cycles < SHORTEST {
                way.cycles = 1.0;
            }
            return Ok(());
        }
        let before = state.clone();
        self.march(state, self.coarse()?, (1, 8), room, work)?;
        way.seconds += cycle;
        if let Some((earlier, cycles)) = &way.last {
            let error = self.apart(&straight_on(earlier, &before, 1.0 / cycles), state);
            // The error of a straight line grows with the square of its length.
            if error * SHORTEST * SHORTEST < allowed {
                way.cycles = SHORTEST;
            }
        }
        way.last = Some((before, 1.0));
        way.earlier = None;
        Ok(())
    }

    /// Largest difference between two states, relative to sizes that matter.
    fn apart(&self, one: &SetState, other: &SetState) -> f64 {
        let largest = other.electrical.iter().fold(0.0f64, |a, b| a.max(b.abs()));
        let electrical = other
            .electrical
            .iter()
            .zip(&one.electrical)
            .map(|(now, then)| (now - then).abs() / (now.abs() + 0.1 * largest + 1e-9));
        let slow = other
            .siemens
            .iter()
            .zip(&one.siemens)
            .zip(&self.model().layout.slow)
            .map(|((now, then), port)| (now - then).abs() / (now.abs() + 0.1 * port.base_siemens));
        electrical.chain(slow).fold(0.0, f64::max)
    }
}

/// How far a warm-up has come.
struct Way {
    seconds: f64,
    /// The state before this one, and how many cycles lie between.
    last: Option<(SetState, f64)>,
    /// The one before that, and how many cycles lie between those two.
    earlier: Option<(SetState, f64)>,
    /// Cycles that the next interval may have.
    cycles: f64,
    inverse: Option<Linear>,
}

/// The state that a straight line through two states reaches: conductances and
/// emissions by their logarithm.
fn straight_on(before: &SetState, now: &SetState, ratio: f64) -> SetState {
    let mut next = now.clone();
    for (next, before) in next.electrical.iter_mut().zip(&before.electrical) {
        *next += ratio * (*next - before);
    }
    for (next, before) in next
        .siemens
        .iter_mut()
        .zip(&before.siemens)
        .chain(next.emission.iter_mut().zip(&before.emission))
    {
        if *next > 0.0 && *before > 0.0 {
            *next *= (*next / before).powf(ratio).clamp(0.2, 5.0);
        }
    }
    next
}

/// The state that a parabola through three states reaches, as a first guess; each entry bends
/// at most as far as it goes straight on.
fn bent_on(
    (earlier, first): (&SetState, f64),
    (before, second): (&SetState, f64),
    now: &SetState,
    cycles: f64,
) -> SetState {
    let mut next = straight_on(before, now, cycles / second);
    let bend = |earlier: f64, before: f64, now: f64| {
        let (old, new) = ((before - earlier) / first, (now - before) / second);
        let more = (new - old) / (first + second) * cycles * (cycles + second);
        let straight = (new * cycles).abs();
        more.clamp(-straight, straight)
    };
    let rows = earlier.electrical.iter().zip(&before.electrical);
    for (next, ((earlier, before), now)) in
        next.electrical.iter_mut().zip(rows.zip(&now.electrical))
    {
        *next += bend(*earlier, *before, *now);
    }
    let slow = |state: &SetState| -> Vec<f64> {
        state
            .siemens
            .iter()
            .chain(&state.emission)
            .copied()
            .collect()
    };
    let (earlier, before, now) = (slow(earlier), slow(before), slow(now));
    let rows = earlier.iter().zip(&before).zip(&now);
    for (next, ((earlier, before), now)) in
        next.siemens.iter_mut().chain(&mut next.emission).zip(rows)
    {
        if *earlier > 0.0 && *before > 0.0 && *now > 0.0 {
            *next *= bend(earlier.ln(), before.ln(), now.ln())
                .exp()
                .clamp(0.5, 2.0);
        }
    }
    next
}
