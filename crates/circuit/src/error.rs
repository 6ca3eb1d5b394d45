//! Why a circuit gave no result, with the evidence.
//!
//! Units: seconds, amperes and relative sizes as each variant says. A failed
//! solution never returns numbers: it returns one of these.

use thiserror::Error;

/// Why there is no result.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CircuitError {
    /// An element was given a value that no part can have.
    #[error("element {element}: {field} is {value}, expected {expected}")]
    Value {
        /// Index of the element in the order in which it was added.
        element: usize,
        /// Which of its figures.
        field: &'static str,
        /// The figure as given.
        value: f64,
        /// What would be right.
        expected: &'static str,
    },
    /// An element names a node, thermal group or body that does not exist.
    #[error("element {element}: {what} {index} does not exist")]
    Missing {
        /// Index of the element.
        element: usize,
        /// What is missing: node, group or body.
        what: &'static str,
        /// Its index.
        index: usize,
    },
    /// Two elements name the same thermal group.
    #[error("element {element}: thermal group {group} already belongs to element {other}")]
    GroupTwice {
        /// Index of the second element.
        element: usize,
        /// Index of the first.
        other: usize,
        /// The group.
        group: usize,
    },
    /// A constant of a tube's law is one that no tube can have.
    #[error("tube law: {field} is {value}, expected {expected}")]
    TubeConstant {
        /// Which constant.
        field: &'static str,
        /// The figure as given.
        value: f64,
        /// What would be right.
        expected: &'static str,
    },
    /// The equations of this circuit have no single solution at one node.
    #[error("node {node} is held by nothing: pivot {pivot:.3e}")]
    Singular {
        /// The node, or one above the last node for the core of a transformer.
        node: usize,
        /// The pivot that was too small.
        pivot: f64,
    },
    /// The rectifiers found no current that suits their voltages within one time step.
    #[error(
        "rectifiers undecided at {seconds:.6} s after {iterations} tries, {volts:.3e} V left over"
    )]
    Rectifier {
        /// Time in the cycle or since switch-on.
        seconds: f64,
        /// Newton iterations made.
        iterations: usize,
        /// The largest difference left.
        volts: f64,
    },
    /// The periodic state was not found.
    #[error("{}", not_settled(*cycles, *worst_state, *relative_change))]
    NotSettled {
        /// Work done, in cycles of the fine grid.
        cycles: f64,
        /// The state that moves most: capacitors and inductors first, then thermal groups.
        worst_state: usize,
        /// Its change over one cycle relative to its size; not a number where the work was used up before a cycle was
        /// whole.
        relative_change: f64,
    },
    /// The time step became smaller than the smallest allowed one.
    #[error("time step of {step_seconds:.3e} s is too small at {seconds:.6} s")]
    StepTooSmall {
        /// Time reached.
        seconds: f64,
        /// The step that was tried.
        step_seconds: f64,
    },
    /// The caller stopped the run.
    #[error("stopped at {seconds:.3} s")]
    Stopped {
        /// Time reached.
        seconds: f64,
    },
    /// The figures given do not belong to the network.
    #[error("branch {branch}: its figure is {found}, expected {expected}")]
    Figure {
        /// Index of the branch.
        branch: usize,
        /// The kind of figure that was given.
        found: &'static str,
        /// The kind that belongs there.
        expected: &'static str,
    },
    /// No volts were found at which the currents of all nodes add up.
    #[error(
        "no operating point: {amperes:.3e} A left over at node {node} after {iterations} iterations; tried {tried}"
    )]
    NoOperatingPoint {
        /// The node where the currents agree least.
        node: usize,
        /// What is left over there, amperes.
        amperes: f64,
        /// Iterations made in all.
        iterations: usize,
        /// Matrices factored in all.
        factorisations: usize,
        /// The methods that were tried, in their order.
        tried: &'static str,
    },
    /// A neon lamp strikes when it is dark and goes out when it is lit.
    #[error(
        "branch {branch}: the lamp strikes when dark and goes out when lit: {volts:.1} V across it, {amperes:.3e} A through it at last"
    )]
    NeonUndecided {
        /// Index of the branch.
        branch: usize,
        /// Volts across it in the last state tried.
        volts: f64,
        /// Amperes through it then.
        amperes: f64,
    },
}

/// Why no settled state was found, in words.
fn not_settled(cycles: f64, worst_state: usize, relative_change: f64) -> String {
    if relative_change.is_nan() {
        return "no settled state: the work that is allowed was used up before a cycle came round"
            .to_owned();
    }
    format!(
        "no settled state after {cycles:.1} cycles of work: state {worst_state} still moves by {relative_change:.3e} of its size in a cycle"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_message_speaks_of_a_number_that_is_none() {
        let told = |relative_change| {
            CircuitError::NotSettled {
                cycles: 3.0,
                worst_state: 2,
                relative_change,
            }
            .to_string()
        };
        assert!(told(0.25).contains("state 2 still moves by 2.500e-1"));
        assert!(!told(f64::NAN).contains("NaN"), "{}", told(f64::NAN));
    }
}
