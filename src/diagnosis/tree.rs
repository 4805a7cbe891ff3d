//! A sequence of tests as a tree, and its export.

use serde::Serialize;

use crate::language::Words;

use super::matrix::FaultMatrix;

/// A node of a tree.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum TreeNode {
    /// Do this test and follow its outcome.
    Test {
        /// Index of the test.
        test: usize,
        /// States that are possible here, ascending.
        states: Vec<usize>,
        /// Outcome and the node it leads to, outcomes ascending.
        branches: Vec<(u16, usize)>,
    },
    /// Nothing more to tell apart.
    Leaf {
        /// States that remain, ascending.
        states: Vec<usize>,
    },
}

/// A sequence of tests; node 0 is the root, and branches lead to later nodes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tree {
    /// The nodes.
    pub nodes: Vec<TreeNode>,
}

impl Tree {
    /// Expected cost over the states in the tree, by walking it once per state.
    #[must_use]
    pub fn cost(&self, matrix: &FaultMatrix) -> f64 {
        let all = match self.nodes.first() {
            Some(TreeNode::Test { states, .. } | TreeNode::Leaf { states }) => states.as_slice(),
            None => &[],
        };
        let (mut cost, mut prior) = (0.0, 0.0);
        for &state in all {
            let p = matrix.states()[state].prior;
            prior += p;
            let mut at = 0;
            while let Some(TreeNode::Test { test, branches, .. }) = self.nodes.get(at) {
                cost += p * matrix.tests()[*test].cost;
                let outcome = matrix.outcome(state, *test);
                match branches.iter().find(|(band, _)| *band == outcome) {
                    Some((_, next)) => at = *next,
                    None => break,
                }
            }
        }
        if prior > 0.0 { cost / prior } else { 0.0 }
    }

    /// Most tests on any path.
    #[must_use]
    pub fn depth(&self) -> usize {
        // Branches lead to later nodes, so that one pass from the end suffices.
        let mut depth = vec![0; self.nodes.len()];
        for (at, node) in self.nodes.iter().enumerate().rev() {
            if let TreeNode::Test { branches, .. } = node {
                depth[at] = 1 + branches.iter().map(|&(_, next)| depth[next]).max().unwrap_or(0);
            }
        }
        depth.first().copied().unwrap_or(0)
    }

    /// The tree as indented text, one line a node, in `words`.
    #[must_use]
    pub fn render(&self, matrix: &FaultMatrix, words: Words) -> String {
        let mut text = String::new();
        let mut stack = vec![(0_usize, 0_usize, None::<u16>)];
        while let Some((at, indent, band)) = stack.pop() {
            let Some(node) = self.nodes.get(at) else { continue };
            text.push_str(&"  ".repeat(indent));
            if let Some(band) = band {
                text.push_str(&format!("{band}: "));
            }
            match node {
                TreeNode::Test { test, branches, .. } => {
                    text.push_str(&words.action(&matrix.tests()[*test].name));
                    for &(band, next) in branches.iter().rev() {
                        stack.push((next, indent + 1, Some(band)));
                    }
                }
                TreeNode::Leaf { states } => {
                    let name = |&s: &usize| words.fault(&matrix.states()[s].name);
                    let names: Vec<String> = states.iter().map(name).collect();
                    text.push_str(&format!("[{}]", names.join(", ")));
                }
            }
            text.push('\n');
        }
        text
    }
}
