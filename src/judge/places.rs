//! Takes an assembly and the kind of places that a claim speaks of; gives these places and what each needs.

use crate::judge::court::Case;
use crate::model::assembly::{BodyClass, Component, FluxUse, Geometry, KeepOutKind, NetPair};
use crate::model::governance::Per;
use crate::model::processes::MaterialKind;

/// One place that a claim must hold at.
pub struct Place<'a> {
    /// Name as it is printed: part, zone, node, pair, fabricator, or the assembly.
    pub name: String,
    pub per: Per,
    pub component: Option<&'a Component>,
    pub pairs: Vec<&'a NetPair>,
    /// Fluxes that come to the place, in order.
    pub fluxes: Vec<&'a FluxUse>,
    pub coated: bool,
}

/// Whether a body can hold residue where air does not reach.
pub fn traps_flux(class: BodyClass) -> bool {
    use BodyClass::*;
    matches!(class, Chip | Btc | Lga | Bga | Can | Connector | Transformer)
}

impl<'a> Case<'a> {
    /// Voltage above which a pair is high voltage, V.
    pub fn hv_threshold(&self) -> f64 {
        self.site().facts.hv_threshold.si
    }

    /// Fluxes that come to a zone, in the order in which they come.
    pub fn fluxes_of(&self, zone: &str) -> Vec<&'a FluxUse> {
        let mut f: Vec<&FluxUse> =
            self.a.flux_uses.iter().filter(|f| f.zone.text == zone && f.order.si > 0.0).collect();
        f.sort_by(|a, b| a.order.si.total_cmp(&b.order.si).then_with(|| a.flux.text.cmp(&b.flux.text)));
        f
    }

    fn is_paste(&self, f: &FluxUse) -> bool {
        self.material(&f.flux).kind == MaterialKind::Paste
    }

    /// The first flux of a zone, or every paste of the board when no zone is named; without paste, whatever comes first.
    pub fn first_fluxes(&self, zone: Option<&str>) -> Vec<&'a FluxUse> {
        if let Some(z) = zone {
            return self.fluxes_of(z).into_iter().take(1).collect();
        }
        let pastes: Vec<&FluxUse> = self.a.flux_uses.iter().filter(|f| f.order.si > 0.0 && self.is_paste(f)).collect();
        let all = if pastes.is_empty() {
            self.a.zones.iter().filter_map(|z| self.fluxes_of(&z.id).first().copied()).collect()
        } else {
            pastes
        };
        let mut first: Vec<&FluxUse> = Vec::new();
        for f in all {
            if !first.iter().any(|x| x.flux.text == f.flux.text) {
                first.push(f);
            }
        }
        first
    }

    /// Whether a paste of the board comes to a pair: by its zone; where none is stated, or no paste comes, it may.
    fn may_come(&self, paste: &FluxUse, pair: &NetPair, pastes: &[&FluxUse]) -> bool {
        let Some(zone) = &pair.zone else { return true };
        let here = self.fluxes_of(zone);
        let of = |p: &FluxUse| here.iter().any(|f| f.flux.text == p.flux.text);
        of(paste) || !pastes.iter().any(|p| of(p))
    }

    fn zone_coated(&self, zone: Option<&str>) -> bool {
        zone.and_then(|z| self.a.zones.iter().find(|x| x.id.text == z)).is_some_and(|z| z.coated)
    }

    /// Highest field strength of a pair, V/m.
    pub fn field(&self, p: &NetPair) -> f64 {
        p.v_peak.si / p.spacing.si
    }

    /// The places of one kind. `excluded` names conductor pairs and their places that are out of use.
    pub fn places(&self, per: Per, excluded: &dyn Fn(&str) -> bool) -> Vec<Place<'a>> {
        let named = |name: &str, zone: Option<&str>, fluxes: Vec<&'a FluxUse>| Place {
            name: name.to_string(),
            per,
            component: None,
            pairs: Vec::new(),
            fluxes,
            coated: self.zone_coated(zone),
        };
        match per {
            // A test speaks of one paste, so a board with two pastes is two places.
            Per::Assembly => match self.first_fluxes(None).as_slice() {
                [] => vec![named(self.id(), None, Vec::new())],
                [one] => vec![named(self.id(), None, vec![*one])],
                several => {
                    several.iter().map(|f| named(&format!("{} {}", self.id(), f.flux), None, vec![*f])).collect()
                }
            },
            Per::Open => {
                let mut pairs: Vec<&NetPair> = self
                    .a
                    .pairs
                    .iter()
                    .filter(|p| p.geometry != Geometry::BodyUnder && p.v_peak.si <= self.hv_threshold())
                    .filter(|p| !excluded(&p.place) && !excluded(&p.id))
                    .collect();
                // The open surface is named after its narrowest pair: a comb speaks of spacings.
                pairs.sort_by(|a, b| {
                    let narrow = a.spacing.si.total_cmp(&b.spacing.si);
                    narrow.then_with(|| self.field(b).total_cmp(&self.field(a))).then_with(|| a.id.text.cmp(&b.id.text))
                });
                let place = |fluxes: Vec<&'a FluxUse>, pairs: Vec<&'a NetPair>| {
                    pairs.first().map(|narrowest| Place {
                        name: narrowest.place.text.clone(),
                        per,
                        component: None,
                        fluxes,
                        coated: pairs.iter().all(|p| p.coated),
                        pairs: pairs.clone(),
                    })
                };
                let pastes = self.first_fluxes(None);
                if pastes.len() < 2 {
                    return place(pastes, pairs).into_iter().collect();
                }
                let of = |paste: &'a FluxUse| {
                    let mine: Vec<_> = pairs.iter().copied().filter(|p| self.may_come(paste, p, &pastes)).collect();
                    place(vec![paste], if mine.is_empty() { pairs.clone() } else { mine })
                };
                pastes.iter().filter_map(|p| of(p)).collect()
            }
            Per::Body | Per::LowGap => self
                .a
                .components
                .iter()
                .filter(|c| traps_flux(c.body_class))
                .map(|c| Place {
                    name: c.refdes.text.clone(),
                    per,
                    component: Some(c),
                    pairs: self
                        .a
                        .pairs
                        .iter()
                        .filter(|p| p.place.text == c.refdes.text && p.geometry == Geometry::BodyUnder)
                        .collect(),
                    fluxes: self.first_fluxes(c.zone.as_deref()),
                    coated: false,
                })
                .collect(),
            Per::Overlap | Per::LiquidZone => self
                .a
                .zones
                .iter()
                .filter_map(|z| {
                    let fluxes = self.fluxes_of(&z.id);
                    let liquid = fluxes.iter().any(|f| !self.is_paste(f));
                    let comes = if per == Per::Overlap { fluxes.len() > 1 } else { liquid };
                    comes.then(|| named(&z.id, Some(&z.id), fluxes))
                })
                .collect(),
            Per::Zone => self.a.zones.iter().map(|z| named(&z.id, Some(&z.id), self.fluxes_of(&z.id))).collect(),
            Per::CoatedZone => self
                .a
                .zones
                .iter()
                .filter(|z| z.coated)
                .map(|z| named(&z.id, Some(&z.id), self.fluxes_of(&z.id)))
                .collect(),
            Per::Pair | Per::HighVoltage => self
                .a
                .pairs
                .iter()
                .filter(|p| per == Per::Pair || p.v_peak.si > self.hv_threshold() || p.safety)
                .map(|p| Place {
                    pairs: vec![p],
                    coated: p.coated,
                    component: self.a.components.iter().find(|c| c.refdes.text == p.place.text),
                    ..named(&p.id, None, self.first_fluxes(p.zone.as_deref()))
                })
                .collect(),
            Per::Node => self.a.nodes.iter().map(|n| named(&n.id, None, self.first_fluxes(None))).collect(),
            Per::Rf => self.a.rf.iter().map(|n| named(&n.id, None, self.first_fluxes(None))).collect(),
            Per::Contact => self
                .a
                .contacts
                .iter()
                .filter(|c| !c.sealed)
                .map(|c| named(&c.id, None, self.first_fluxes(None)))
                .collect(),
            Per::Optic | Per::Thermal => self
                .a
                .keep_outs
                .iter()
                .filter(|k| (k.kind == KeepOutKind::Thermal) == (per == Per::Thermal))
                .map(|k| named(&k.id, None, self.first_fluxes(None)))
                .collect(),
            Per::Fabricator => {
                self.a.board.fabricators.iter().map(|f| named(f, None, self.first_fluxes(None))).collect()
            }
        }
    }
}
