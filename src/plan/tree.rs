//! Takes a judged tree of claims; gives whether it would be supported if some of its claims were lifted, and what blocks it.

use crate::model::assessment::{AssemblyResult, ClaimResult, State};
use crate::model::governance::{ClaimSpec, Combine, TreeKind};
use crate::model::site::Site;

/// How a claim comes from those below it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    Evidence,
    All,
    Any,
}

/// A claim that bears on the top of its tree.
#[derive(Debug, Clone)]
pub struct Node {
    pub id: String,
    pub from: From,
    /// Indexes of the claims below it, all smaller than its own.
    pub below: Vec<usize>,
    pub state: State,
    /// A claim above evidence that stands lower than those below it: by a doubt, an assumption or conditions of its own.
    pub held: bool,
}

impl Node {
    /// Whether success of an action could lift it: what is contradicted is not lifted by more evidence.
    pub fn may_be_lifted(&self) -> bool {
        self.state == State::NotYet && (self.from == From::Evidence || self.held)
    }
}

/// The claims of one tree of one assembly that bear on its top, those below first, the top last.
#[derive(Debug, Clone)]
pub struct Tree {
    pub nodes: Vec<Node>,
}

fn good(s: State) -> bool {
    matches!(s, State::Supported | State::WithConditions)
}

impl Tree {
    /// The tree of an assembly; none when it has no claims of that tree.
    pub fn of(site: &Site, r: &AssemblyResult, kind: TreeKind) -> Option<Self> {
        let top = r.claims.iter().find(|c| c.tree == kind && c.parent.is_none())?;
        let mut tree = Self { nodes: Vec::new() };
        tree.add(site, r, top);
        Some(tree)
    }

    /// Adds a claim behind those below it, and gives its index.
    fn add(&mut self, site: &Site, r: &AssemblyResult, c: &ClaimResult) -> usize {
        let spec = |c: &ClaimResult| -> Option<&ClaimSpec> {
            site.claims.iter().find(|s| s.tree == c.tree && s.id.text == c.id)
        };
        let bears = |k: &&ClaimResult| {
            k.tree == c.tree
                && k.parent.as_deref() == Some(c.id.as_str())
                && spec(k).is_none_or(|s| s.optional != Some(true))
                && (!k.after_issue || c.after_issue)
        };
        let below: Vec<usize> =
            if c.leaf { Vec::new() } else { r.claims.iter().filter(bears).map(|k| self.add(site, r, k)).collect() };
        let from = match spec(c).and_then(|s| s.combine) {
            _ if c.leaf => From::Evidence,
            Some(Combine::Any) => From::Any,
            _ => From::All,
        };
        let mut node = Node { id: c.id.clone(), from, below, state: c.state, held: false };
        node.held = !c.leaf
            && !good(c.state)
            && c.state != State::NotApplicable
            && self.combined(&node, &|_| false) == Some(true);
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    /// What a claim above evidence has from those below it; none when none of them applies.
    fn combined(&self, node: &Node, lifted: &dyn Fn(&str) -> bool) -> Option<bool> {
        let mut bearing = node.below.iter().filter_map(|&i| self.node_holds(i, lifted)).peekable();
        bearing.peek()?;
        Some(match node.from {
            From::Any => bearing.any(|b| b),
            _ => bearing.all(|b| b),
        })
    }

    fn node_holds(&self, i: usize, lifted: &dyn Fn(&str) -> bool) -> Option<bool> {
        let node = &self.nodes[i];
        if node.state == State::NotApplicable {
            return None;
        }
        if good(node.state) {
            return Some(true);
        }
        let own = node.may_be_lifted() && lifted(&node.id);
        if node.from == From::Evidence {
            return Some(own);
        }
        let below = self.combined(node, lifted)?;
        Some(below && (!node.held || own))
    }

    /// Whether the top would be supported, with conditions or without, if the claims that `lifted` names were.
    pub fn holds(&self, lifted: &dyn Fn(&str) -> bool) -> bool {
        self.node_holds(self.nodes.len() - 1, lifted) == Some(true)
    }

    /// Claims that stand in the way and of which `lifted` lifts none: evidence that is missing or contrary, and
    /// doubts about a claim above.
    pub fn blocking(&self, lifted: &dyn Fn(&str) -> bool) -> Vec<&Node> {
        let mut out = Vec::new();
        self.collect(self.nodes.len() - 1, lifted, &mut out);
        out
    }

    fn collect<'a>(&'a self, i: usize, lifted: &dyn Fn(&str) -> bool, out: &mut Vec<&'a Node>) {
        let node = &self.nodes[i];
        if self.node_holds(i, lifted) != Some(false) {
            return;
        }
        let own = !(node.may_be_lifted() && lifted(&node.id));
        if node.below.is_empty() || (node.held && own) {
            out.push(node);
        }
        node.below.iter().for_each(|&k| self.collect(k, lifted, out));
    }
}
