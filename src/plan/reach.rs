//! Takes states and packages of evidence; gives which assembly may have which treatment after which packages have succeeded.

use super::tree::Tree;
use crate::model::assessment::{AssemblyResult, Assessment, State};
use crate::model::economy::{Action, Paid, PlanInputs, Treatment, TreatmentRoute};
use crate::model::governance::TreeKind;
use crate::model::planning::Allowed;
use crate::model::site::Site;

/// Packages that succeeded, one bit each.
pub type Won = u32;
/// Most packages of a site.
pub const MOST: usize = 24;
/// Most packages that may speak to one tree of one assembly.
const MOST_OF_ONE: usize = 12;
/// Weeks of a month.
pub const WEEKS: f64 = 4.345;

/// A package of actions, or a single action that is in none.
#[derive(Debug, Clone)]
pub struct Pack<'a> {
    pub id: String,
    pub actions: Vec<&'a Action>,
    pub cost: f64,
    pub weeks: f64,
    pub chance: f64,
    pub paid: Paid,
}

impl Pack<'_> {
    /// Whole months from its start to its result.
    pub fn months(&self) -> u32 {
        (self.weeks / WEEKS - 1e-9).ceil().max(0.0) as u32
    }
}

/// Weeks along the longest chain of some actions, those before them that are among them included.
pub fn weeks(actions: &[&Action]) -> f64 {
    fn end(a: &Action, all: &[&Action], depth: usize) -> f64 {
        // A chain is no longer than there are actions; circles are refused when the site is read.
        let before = a.after.iter().filter_map(|x| all.iter().find(|b| b.id.text == x.text)).filter(|_| depth > 0);
        a.weeks.si + before.map(|b| end(b, all, depth - 1)).fold(0.0, f64::max)
    }
    actions.iter().map(|a| end(a, actions, actions.len())).fold(0.0, f64::max)
}

/// The packages of a site in order of file, then the actions that are in none.
pub fn packs(plan: &PlanInputs) -> Vec<Pack<'_>> {
    fn pack<'a>(id: &str, actions: Vec<&'a Action>, chance: Option<f64>, paid: Paid) -> Pack<'a> {
        Pack {
            id: id.to_string(),
            weeks: weeks(&actions),
            cost: actions.iter().map(|a| a.cost.si).sum(),
            chance: chance.unwrap_or_else(|| actions.iter().map(|a| a.chance.si).product()),
            paid,
            actions,
        }
    }
    let own = plan.packages.iter().map(|p| {
        let actions = p.actions.iter().filter_map(|a| plan.action(a)).collect();
        pack(&p.id, actions, p.chance.as_ref().map(|c| c.si), p.paid)
    });
    let alone =
        plan.actions.iter().filter(|a| !plan.packages.iter().any(|p| p.actions.iter().any(|x| x.text == a.id.text)));
    own.chain(alone.map(|a| pack(&a.id, vec![a], None, Paid::Start))).collect()
}

/// Which assembly may have which treatment, by index of both lists of the site.
#[derive(Debug, Clone)]
pub struct Reach<'a> {
    pub packs: Vec<Pack<'a>>,
    /// By assembly, then treatment: smallest sets of packages after which it may; `[0]` is today, nothing is never.
    after: Vec<Vec<Vec<Won>>>,
    /// By assembly, then treatment: why.
    why: Vec<Vec<String>>,
    contained: Vec<bool>,
}

/// The tree that must support a route.
pub fn tree_of(route: TreatmentRoute) -> Option<TreeKind> {
    match route {
        TreatmentRoute::Leave => Some(TreeKind::Leave),
        TreatmentRoute::Wash => Some(TreeKind::Wash),
        TreatmentRoute::Present => Some(TreeKind::Present),
        TreatmentRoute::Contained => None,
    }
}

/// State of the top of a tree.
pub fn state_of(r: &AssemblyResult, tree: TreeKind) -> State {
    match tree {
        TreeKind::Leave => r.state,
        TreeKind::Wash => r.wash_state,
        TreeKind::Present => r.present_state,
    }
}

/// Whether one of some smallest sets has succeeded.
pub fn opened(sets: &[Won], won: Won) -> bool {
    sets.iter().any(|s| s & won == *s)
}

/// Smallest sets of packages that make `holds` true, smaller ones first.
fn smallest(relevant: &[usize], holds: &dyn Fn(Won) -> bool) -> Vec<Won> {
    let mut sets: Vec<Won> = (0..1u32 << relevant.len())
        .map(|m| relevant.iter().enumerate().filter(|(k, _)| m >> k & 1 == 1).fold(0, |s, (_, &i)| s | 1 << i))
        .collect();
    sets.sort_by_key(|s| (s.count_ones(), *s));
    let mut out: Vec<Won> = Vec::new();
    for s in sets {
        if !out.iter().any(|o| o & s == *o) && holds(s) {
            out.push(s);
        }
    }
    out
}

impl<'a> Reach<'a> {
    /// Looks at every assembly and treatment of a site.
    ///
    /// # Errors
    /// In words, when there are more packages than can be told apart.
    pub fn new(site: &'a Site, assessment: &Assessment) -> Result<Self, String> {
        let packs = packs(&site.plan);
        if packs.len() > MOST {
            return Err(format!("there are {} packages, at most {MOST} can be weighed", packs.len()));
        }
        let mut reach = Self { packs, after: Vec::new(), why: Vec::new(), contained: Vec::new() };
        reach.contained = site.plan.treatments.iter().map(|t| t.route == TreatmentRoute::Contained).collect();
        for r in &assessment.assemblies {
            let (mut after, mut why) = (Vec::new(), Vec::new());
            for t in &site.plan.treatments {
                let (a, w) = reach.look(site, r, t)?;
                after.push(a);
                why.push(w);
            }
            reach.after.push(after);
            reach.why.push(why);
        }
        Ok(reach)
    }

    fn look(&self, site: &Site, r: &AssemblyResult, t: &Treatment) -> Result<(Vec<Won>, String), String> {
        if !t.assemblies.is_empty() && !t.assemblies.iter().any(|a| a.text == r.id) {
            return Ok((Vec::new(), "not for this assembly".into()));
        }
        let Some(kind) = tree_of(t.route) else {
            return Ok((Vec::new(), "no route: what is left where nothing is supported".into()));
        };
        let Some(tree) = Tree::of(site, r, kind) else {
            return Ok((Vec::new(), format!("no claims of the tree {}", kind.word())));
        };
        let lifts = |won: Won, id: &str| {
            self.packs.iter().enumerate().any(|(i, p)| {
                let claims = p.actions.iter().flat_map(|a| &a.closes).filter(|c| c.assembly.text == r.id);
                won >> i & 1 == 1 && claims.flat_map(|c| &c.claims).any(|c| c.text == id)
            })
        };
        let evidence: Vec<usize> = t
            .evidence
            .iter()
            .filter_map(|e| self.packs.iter().position(|p| p.actions.iter().any(|a| a.id.text == e.text)))
            .collect();
        let asked = evidence.iter().fold(0, |s: Won, i| s | 1 << i);
        let mut relevant: Vec<usize> = (0..self.packs.len())
            .filter(|&i| asked >> i & 1 == 1 || tree.nodes.iter().any(|n| n.may_be_lifted() && lifts(1 << i, &n.id)))
            .collect();
        relevant.dedup();
        if relevant.len() > MOST_OF_ONE {
            return Err(format!(
                "{} packages speak to the tree {} of {}, at most {MOST_OF_ONE} can be weighed",
                relevant.len(),
                kind.word(),
                r.id
            ));
        }
        let sets = smallest(&relevant, &|won| won & asked == asked && tree.holds(&|id| lifts(won, id)));
        let state = state_of(r, kind);
        let top = tree.nodes.last().map_or("", |n| n.id.as_str());
        let names = |s: Won| {
            let ids: Vec<&str> =
                (0..self.packs.len()).filter(|i| s >> i & 1 == 1).map(|i| self.packs[i].id.as_str()).collect();
            ids.join(" and ")
        };
        let all: Won = self.packs.iter().enumerate().fold(0, |s, (i, _)| s | 1 << i);
        let why = if sets == [0] {
            format!("{top} is {}", state.letter())
        } else if sets.is_empty() {
            let beyond: Vec<&str> = tree.blocking(&|id| lifts(all, id)).iter().map(|n| n.id.as_str()).take(6).collect();
            format!("{top} is {}; nothing listed lifts {}", state.letter(), beyond.join(", "))
        } else {
            let sets: Vec<String> = sets.iter().map(|s| names(*s)).collect();
            format!("{top} is {}; after {}", state.letter(), sets.join(", or "))
        };
        Ok((sets, why))
    }

    /// By assembly, then treatment: smallest sets of packages after which it may.
    pub fn after(&self) -> &[Vec<Vec<Won>>] {
        &self.after
    }

    /// Whether an assembly may have a treatment after these packages; what is contained only where nothing else may be.
    pub fn may(&self, assembly: usize, treatment: usize, won: Won) -> bool {
        if self.contained[treatment] {
            return self.is_contained(assembly, won);
        }
        opened(&self.after[assembly][treatment], won)
    }

    /// Why an assembly may have a treatment, or may not.
    pub fn why(&self, assembly: usize, treatment: usize) -> &str {
        &self.why[assembly][treatment]
    }

    /// Whether no treatment of an assembly is supported after these packages.
    pub fn is_contained(&self, assembly: usize, won: Won) -> bool {
        !self.after[assembly].iter().any(|sets| opened(sets, won))
    }

    /// The same as pages and machines read it.
    pub fn allowed(&self, site: &Site, assessment: &Assessment) -> Vec<Allowed> {
        let mut out = Vec::new();
        for (a, r) in assessment.assemblies.iter().enumerate() {
            for (t, treatment) in site.plan.treatments.iter().enumerate() {
                let sets = &self.after[a][t];
                let names = |s: &Won| {
                    (0..self.packs.len()).filter(|i| s >> i & 1 == 1).map(|i| self.packs[i].id.clone()).collect()
                };
                out.push(Allowed {
                    assembly: r.id.clone(),
                    treatment: treatment.id.text.clone(),
                    today: sets == &[0],
                    after: if sets == &[0] { Vec::new() } else { sets.iter().map(names).collect() },
                    why: self.why[a][t].clone(),
                });
            }
        }
        out
    }
}
