//! Finding the fault: what tests can tell, which to do next, and how well a learner went about it.
//!
//! A [`FaultMatrix`] says what every test reads under every state. From it follow the ambiguity
//! groups and the fractions detected and isolated; a [`Sequencer`] finds the test sequence of least
//! expected cost; [`grade`] weighs a learner's path against it. All states are single faults unless
//! the author lists a pair as a state of its own: pairs are simulated, never composed from rows.
//!
//! ```
//! use spoolbench::diagnosis::{FaultMatrix, Sequencer, State, Test};
//!
//! let matrix = FaultMatrix::new(
//!     vec![
//!         State::new("sound", 0.6, "none"),
//!         State::new("fuse blown", 0.3, "replace F1"),
//!         State::new("coil open", 0.1, "replace K1"),
//!     ],
//!     vec![Test::new("lamp H1", 1.0), Test::new("volts at K1", 2.0)],
//!     vec![vec![1, 1], vec![0, 0], vec![1, 0]],
//!     true,
//! )?;
//! let plan = Sequencer::new(&matrix)?.solve();
//! assert!(plan.proven);
//! assert!((plan.cost - (2.0 + 0.4 * 1.0)).abs() < 1e-12);
//! # Ok::<(), spoolbench::diagnosis::DiagnosisError>(())
//! ```

mod bound;
mod census;
mod dictionary;
pub mod evidence;
mod hypothesis;
pub mod interlock;
pub mod lint;
mod matrix;
mod measure;
mod multiple;
mod path;
mod policy;
mod sequence;
mod set;
mod tree;

pub use bound::{cheapest_path_bound, entropy_bits, huffman};
pub use census::TreeCount;
pub use dictionary::{Dictionary, Survey, dictionary, usual_steps};
pub use hypothesis::{Hypothesis, hypotheses, in_full};
pub use matrix::{CELL_LIMIT, DiagnosisError, FaultMatrix, STATE_LIMIT, State, TEST_LIMIT, Test};
pub use measure::{Fraction, Group, Masked, Masking, Pair, Redundant};
pub use multiple::{
    Inspection, Item, SET_LIMIT, best_inspection_with_inference, expected_inspection_cost,
    inspection_by_ratio, minimal_conflicts, minimal_hitting_sets,
};
pub use path::{Bands, GradedStep, Observation, PathGrade, Reading, Verdict, grade, verdict};
pub use policy::{PolicyCost, Rule, first_gains, policy_cost};
pub use sequence::{DEFAULT_BUDGET, GROUP_LIMIT, Sequence, Sequencer, Value};
pub use tree::{Tree, TreeNode};

#[cfg(test)]
mod tests;
