//! Takes site and outcomes; gives the derived facts of every assembly.

mod electrical;
mod leakage;
mod moisture;
mod paste;
mod trend;

use super::calc::{Calc, as_given};
use super::work::{Done, In, work};
use crate::model::processes::{Material, MaterialKind};
use crate::model::site::{AssemblyFile, Site};
use crate::model::workings::{Fact, Origin, Workings};
use crate::quantity::Quantity;

/// The assembly whose facts are being derived.
struct Desk<'a> {
    site: &'a Site,
    file: &'a AssemblyFile,
    w: &'a mut Workings,
}

impl<'a> Desk<'a> {
    fn id(&self) -> &'a str {
        &self.file.assembly.id.text
    }

    /// Carries out a calculation on what was written; none when its inputs lie outside its range.
    fn work(&mut self, calc: &'static Calc, subject: &str, unit: &str, inputs: Vec<In>) -> Option<Done> {
        let subject = format!("{} {subject}", self.id());
        let done = work(self.w, calc, &subject, 1, unit, inputs).ok()?;
        let id = self.id().to_string();
        self.w.items[done.id.0 as usize].assemblies = vec![id];
        Some(done)
    }

    /// Enters result `i` of a calculation as a fact.
    fn fact(&mut self, name: &'static str, place: &str, unit: &str, done: &Done, i: usize) {
        self.w.facts.push(Fact {
            assembly: self.id().to_string(),
            name,
            place: place.to_string(),
            value: done.values[i],
            unit: unit.to_string(),
            working: done.id,
        });
    }

    /// Enters a value as it was written.
    fn given(&mut self, name: &'static str, place: &str, unit: &str, q: &Quantity) {
        let inputs = vec![written("given", q, unit)];
        if let Some(done) = self.work(&as_given::CALC, &format!("{place}: {name} as written"), unit, inputs) {
            self.fact(name, place, unit, &done, 0);
        }
    }

    /// Materials whose residue the assembly bears: of its flux uses, or of the steps of its process when it lists none.
    fn fluxes(&self) -> Vec<&'a Material> {
        let (site, file) = (self.site, self.file);
        let mut ids: Vec<&str> =
            file.flux_uses.iter().filter(|u| u.order.si > 0.0).map(|u| u.flux.text.as_str()).collect();
        if ids.is_empty() {
            let process = site.process(&file.assembly.process);
            ids = process.iter().flat_map(|p| &p.step).flat_map(|s| &s.fluxes).map(|f| f.text.as_str()).collect();
        }
        ids.sort_unstable();
        ids.dedup();
        ids.into_iter().filter_map(|id| site.material(id)).filter(|m| m.kind.is_flux()).collect()
    }

    /// The paste of the assembly.
    fn paste(&self) -> Option<&'a Material> {
        self.fluxes().into_iter().find(|m| m.kind == MaterialKind::Paste)
    }
}

/// A quantity of the site as an input, in `unit`.
fn written(symbol: &'static str, q: &Quantity, unit: &str) -> In {
    (symbol, q.in_unit(unit), Origin::Place(q.at))
}

/// Enters the facts of every assembly.
pub fn enter(site: &Site, w: &mut Workings) {
    for file in &site.assemblies {
        let mut desk = Desk { site, file, w };
        electrical::enter(&mut desk);
        leakage::enter(&mut desk);
        moisture::enter(&mut desk);
        paste::enter(&mut desk);
        trend::enter(&mut desk);
    }
}
