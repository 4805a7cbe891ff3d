//! Series and parallel: what lies between two rails as a tree.

/// A tree of what lies between two potentials, from the first to the second.
#[derive(Clone, Debug, PartialEq)]
pub enum Tree {
    /// An element, entered at its first end unless turned round.
    Element {
        /// Its number.
        index: usize,
        /// Entered at its second end.
        turned: bool,
    },
    /// An end that leads nowhere, or to where its flag says.
    Open,
    /// One after the other.
    Series(Vec<Tree>),
    /// Side by side.
    Parallel(Vec<Tree>),
}

/// An element as an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edge {
    /// Its number.
    pub index: usize,
    /// Potentials of its ends.
    pub nets: [usize; 2],
    /// Where it comes in the wiring.
    pub order: usize,
    /// Whether it may be cut off at one end when all cannot be in series and parallel.
    pub contact: bool,
}

#[derive(Clone, Debug)]
struct Branch {
    nets: [usize; 2],
    tree: Tree,
}

impl Tree {
    fn turned(self) -> Tree {
        match self {
            Tree::Element { index, turned } => Tree::Element { index, turned: !turned },
            Tree::Open => Tree::Open,
            Tree::Series(list) => Tree::Series(list.into_iter().rev().map(Tree::turned).collect()),
            Tree::Parallel(list) => Tree::Parallel(list.into_iter().map(Tree::turned).collect()),
        }
    }

    /// Where it first comes in the wiring.
    fn order(&self, edges: &[Edge]) -> usize {
        match self {
            Tree::Element { index, .. } => {
                edges.iter().find(|e| e.index == *index).map_or(usize::MAX, |e| e.order)
            }
            Tree::Open => usize::MAX,
            Tree::Series(list) | Tree::Parallel(list) => {
                list.iter().map(|t| t.order(edges)).min().unwrap_or(usize::MAX)
            }
        }
    }

    /// With what comes first in the wiring first among what lies side by side.
    fn sorted(self, edges: &[Edge]) -> Tree {
        match self {
            Tree::Series(list) => Tree::Series(list.into_iter().map(|t| t.sorted(edges)).collect()),
            Tree::Parallel(list) => {
                let mut list: Vec<Tree> = list.into_iter().map(|t| t.sorted(edges)).collect();
                list.sort_by_key(|t| t.order(edges));
                Tree::Parallel(list)
            }
            one => one,
        }
    }

    /// Columns it takes.
    pub fn columns(&self) -> usize {
        match self {
            Tree::Element { .. } => 1,
            Tree::Open => 0,
            Tree::Series(list) => list.iter().map(Tree::columns).sum(),
            Tree::Parallel(list) => list.iter().map(Tree::columns).max().unwrap_or(0),
        }
    }

    /// Paths it takes.
    pub fn rows(&self) -> usize {
        match self {
            Tree::Element { .. } => 1,
            Tree::Open => 0,
            Tree::Series(list) => list.iter().map(Tree::rows).max().unwrap_or(0),
            Tree::Parallel(list) => list.iter().map(Tree::rows).sum(),
        }
    }

    /// Every element, in order.
    #[cfg(test)]
    pub fn elements(&self) -> Vec<usize> {
        match self {
            Tree::Element { index, .. } => vec![*index],
            Tree::Open => Vec::new(),
            Tree::Series(list) | Tree::Parallel(list) => {
                list.iter().flat_map(Tree::elements).collect()
            }
        }
    }
}

/// Most elements between two rails in which an order is sought, and most ends that are cut off for it.
const MOST: usize = 400;
const CUTS: usize = 24;
/// Most elements among which every cut is tried.
const TRIED: usize = 40;

/// The trees side by side between the potentials `from` and `to`, and the ends (element, which end)
/// that had to be cut off to get there.
pub fn trees(edges: &[Edge], from: usize, to: usize) -> (Vec<Tree>, Vec<(usize, usize)>) {
    let mut edges = edges.to_vec();
    let mut cuts = Vec::new();
    let mut fresh = edges.iter().flat_map(|e| e.nets).chain([from, to]).max().unwrap_or(0) + 1;
    // What is shorted by its own wiring hangs by one end.
    for edge in &mut edges {
        if edge.nets[0] == edge.nets[1] {
            cuts.push((edge.index, 1));
            edge.nets[1] = fresh;
            fresh += 1;
        }
    }
    if edges.len() > MOST {
        return apart(&edges);
    }
    let given = edges.clone();
    loop {
        if cuts.len() > CUTS {
            return apart(&given);
        }
        let left = reduce(&edges, from, to);
        if let [one] = left.as_slice() {
            let tree = one.tree.clone();
            let tree = if one.nets[0] == from { tree } else { tree.turned() };
            return (side_by_side(tree.sorted(&edges)), cuts);
        }
        if left.is_empty() {
            return (Vec::new(), cuts);
        }
        let core: Vec<usize> = left.iter().flat_map(|b| b.nets).collect();
        let (k, end) = best_cut(&edges, &core, from, to, fresh);
        cuts.push((edges[k].index, end));
        edges[k].nets[end] = fresh;
        fresh += 1;
    }
}

/// Every element by itself, both its ends cut off: for what has no order to be found in good time.
fn apart(edges: &[Edge]) -> (Vec<Tree>, Vec<(usize, usize)>) {
    let tree =
        |e: &Edge| Tree::Series(vec![Tree::Element { index: e.index, turned: false }, Tree::Open]);
    let cuts = edges.iter().flat_map(|e| [(e.index, 0), (e.index, 1)]).collect();
    (edges.iter().map(tree).collect(), cuts)
}

fn side_by_side(tree: Tree) -> Vec<Tree> {
    match tree {
        Tree::Parallel(list) => list,
        other => vec![other],
    }
}

/// The end to cut off: one after which everything falls into place, else the first contact in what
/// does not.
fn best_cut(
    edges: &[Edge],
    core: &[usize],
    from: usize,
    to: usize,
    fresh: usize,
) -> (usize, usize) {
    let inside = |e: &Edge| e.nets.iter().all(|n| core.contains(n));
    let candidates: Vec<(usize, usize)> = [true, false]
        .into_iter()
        .flat_map(|contact| {
            (0..edges.len())
                .filter(move |&k| edges[k].contact == contact)
                .flat_map(|k| [(k, 1), (k, 0)])
        })
        .collect();
    let tried = if edges.len() > TRIED { 0 } else { candidates.len() };
    for &(k, end) in &candidates[..tried] {
        let mut trial = edges.to_vec();
        trial[k].nets[end] = fresh;
        if reduce(&trial, from, to).len() <= 1 {
            return (k, end);
        }
    }
    let first = candidates.iter().find(|(k, _)| inside(&edges[*k]));
    first.or(candidates.first()).copied().unwrap_or((0, 1))
}

fn reduce(edges: &[Edge], from: usize, to: usize) -> Vec<Branch> {
    let mut list: Vec<Branch> = edges
        .iter()
        .map(|e| Branch { nets: e.nets, tree: Tree::Element { index: e.index, turned: false } })
        .collect();
    while merge_parallel(&mut list)
        || merge_series(&mut list, from, to)
        || open_leaf(&mut list, from, to)
    {}
    list
}

fn merge_parallel(list: &mut Vec<Branch>) -> bool {
    for i in 0..list.len() {
        for j in i + 1..list.len() {
            let (a, b) = (list[i].nets, list[j].nets);
            let turned = a == [b[1], b[0]];
            if a != b && !turned {
                continue;
            }
            let second = list.remove(j);
            let tree = if turned { second.tree.turned() } else { second.tree };
            let first = &mut list[i];
            let mut both = Vec::new();
            for tree in [first.tree.clone(), tree] {
                match tree {
                    Tree::Parallel(many) => both.extend(many),
                    one => both.push(one),
                }
            }
            first.tree = Tree::Parallel(both);
            return true;
        }
    }
    false
}

/// Branches that end at `net`.
fn ends_at(list: &[Branch], net: usize) -> Vec<usize> {
    (0..list.len()).filter(|&k| list[k].nets.contains(&net)).collect()
}

fn inner_nets(list: &[Branch], from: usize, to: usize) -> Vec<usize> {
    let mut nets: Vec<usize> =
        list.iter().flat_map(|b| b.nets).filter(|&n| n != from && n != to).collect();
    nets.sort_unstable();
    nets.dedup();
    nets
}

fn merge_series(list: &mut Vec<Branch>, from: usize, to: usize) -> bool {
    for net in inner_nets(list, from, to) {
        let ends = ends_at(list, net);
        let [i, j] = ends[..] else { continue };
        let second = list.remove(j);
        let first = list[i].clone();
        let (start, before) = if first.nets[1] == net {
            (first.nets[0], first.tree)
        } else {
            (first.nets[1], first.tree.turned())
        };
        let (end, after) = if second.nets[0] == net {
            (second.nets[1], second.tree)
        } else {
            (second.nets[0], second.tree.turned())
        };
        let mut chain = Vec::new();
        for tree in [before, after] {
            match tree {
                Tree::Series(many) => chain.extend(many),
                one => chain.push(one),
            }
        }
        list[i] = Branch { nets: [start, end], tree: Tree::Series(chain) };
        return true;
    }
    false
}

/// A branch with an end that nothing else joins goes on to a rail, through nothing.
fn open_leaf(list: &mut [Branch], from: usize, to: usize) -> bool {
    for net in inner_nets(list, from, to) {
        let ends = ends_at(list, net);
        let [k] = ends[..] else { continue };
        let branch = list[k].clone();
        let (root, tree) = if branch.nets[1] == net {
            (branch.nets[0], branch.tree)
        } else {
            (branch.nets[1], branch.tree.turned())
        };
        let rail = if root == to { from } else { to };
        let mut chain = match tree {
            Tree::Series(many) => many,
            one => vec![one],
        };
        chain.push(Tree::Open);
        list[k] = Branch { nets: [root, rail], tree: Tree::Series(chain) };
        return true;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edge(index: usize, a: usize, b: usize) -> Edge {
        Edge { index, nets: [a, b], order: index, contact: true }
    }

    fn all(trees: &[Tree]) -> Vec<usize> {
        let mut list: Vec<usize> = trees.iter().flat_map(Tree::elements).collect();
        list.sort_unstable();
        list
    }

    #[test]
    fn a_holding_circuit_is_series_and_parallel() {
        // 0 stop, 1 start, 2 holding contact, 3 coil, between potentials 0 and 9.
        let edges = [edge(0, 0, 1), edge(1, 1, 2), edge(2, 2, 1), edge(3, 2, 9)];
        let (trees, cuts) = trees(&edges, 0, 9);
        assert!(cuts.is_empty());
        let e = |index, turned| Tree::Element { index, turned };
        let pair = Tree::Parallel(vec![e(1, false), e(2, true)]);
        assert_eq!(trees, [Tree::Series(vec![e(0, false), pair, e(3, false)])]);
    }

    #[test]
    fn what_leads_nowhere_stays_on_the_sheet() {
        let edges = [edge(0, 0, 1), edge(1, 1, 2), edge(2, 1, 9)];
        let (trees, cuts) = trees(&edges, 0, 9);
        assert!(cuts.is_empty());
        assert_eq!(all(&trees), [0, 1, 2]);
    }

    #[test]
    fn a_bridge_is_cut_once_and_nothing_is_lost() {
        let edges = [edge(0, 0, 1), edge(1, 0, 2), edge(2, 1, 2), edge(3, 1, 9), edge(4, 2, 9)];
        let (trees, cuts) = trees(&edges, 0, 9);
        assert_eq!(cuts.len(), 1);
        assert_eq!(all(&trees), [0, 1, 2, 3, 4]);
    }

    #[test]
    fn a_shorted_contact_hangs_by_one_end() {
        let edges = [edge(0, 0, 0), edge(1, 0, 9)];
        let (trees, cuts) = trees(&edges, 0, 9);
        assert_eq!(cuts, [(0, 1)]);
        assert_eq!(all(&trees), [0, 1]);
    }
}
