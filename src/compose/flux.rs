//! Takes zones, fluxes and materials; gives the stack of every zone without a blank cell, and what the fluxes are.

use super::desk::Desk;
use super::ink::{self, Cell, cell, strong, table_or, text};
use crate::model::assembly::Wiped;
use crate::model::document::{Block, Table};
use crate::model::processes::Material;

/// Fluxes of the process and of every zone, in order of id.
fn fluxes<'a>(desk: &Desk<'a>) -> Vec<&'a str> {
    let mut ids: Vec<&str> = desk.a.flux_uses.iter().map(|f| f.flux.text.as_str()).collect();
    if let Some(p) = desk.process() {
        ids.extend(p.step.iter().flat_map(|s| s.fluxes.iter().map(|f| f.text.as_str())));
    }
    ids.sort_unstable();
    ids.dedup();
    ids
}

/// Zone by flux: order, dose, heat, wiping; or the proof that the flux never comes; or that it is missing.
pub fn matrix(desk: &Desk) -> Vec<Block> {
    let ids = fluxes(desk);
    if ids.is_empty() || desk.a.zones.is_empty() {
        return vec![ink::says(
            "No flux zone or no flux is listed, so the stack of fluxes is not known. That is a gap: claim C2.1 cannot hold.",
        )];
    }
    let mut head = vec!["Zone".to_string()];
    head.extend(ids.iter().map(|id| match desk.site.material(id) {
        Some(m) => format!("{id} {}", m.kind),
        None => (*id).to_string(),
    }));
    let rows = desk
        .a
        .zones
        .iter()
        .map(|z| {
            let mut row = vec![vec![
                desk.at(z.id.text.clone(), z.at),
                text(format!(", {}{}, ", z.side, if z.coated { ", coated" } else { "" })),
                desk.written(&z.area),
            ]];
            row.extend(ids.iter().map(|id| one(desk, &z.id, id)));
            row
        })
        .collect();
    let caption = "Zone by flux: order, dose of solids, upper control limit, heat, wiping".to_string();
    vec![Block::Table(Table { caption, numeric: vec![false; head.len()], wide: head.len() > 6, head, rows })]
}

fn one(desk: &Desk, zone: &str, flux: &str) -> Cell {
    let Some(f) = desk.a.flux_uses.iter().find(|f| f.zone.text == zone && f.flux.text == flux) else {
        return vec![strong("NOT STATED")];
    };
    if f.order.si <= 0.0 {
        return match &f.absent_proof {
            Some(p) => vec![text("none, shown by "), desk.at(p.text.clone(), p.at)],
            None => vec![strong("none, WITHOUT PROOF")],
        };
    }
    let mut out = vec![text("no. "), desk.written(&f.order)];
    match (&f.dose, &f.dose_ucl) {
        (Some(d), Some(u)) => out.extend([text(": "), desk.written(d), text(", UCL "), desk.written(u)]),
        (Some(d), None) => out.extend([text(": "), desk.written(d)]),
        (None, _) => out.push(text(": dose not known")),
    }
    if let Some(n) = &f.dose_n {
        out.extend([text(", n "), desk.written(n)]);
    }
    match &f.heated_fraction {
        Some(h) if h.si >= 1.0 => out.push(text(", all heated")),
        Some(h) => out.extend([text(", heated share "), desk.written(h)]),
        None => out.push(text(", heat not known")),
    }
    if !f.metered {
        out.push(text(", not metered"));
    }
    match f.wiped {
        Wiped::Never => {}
        Wiped::OnRework => out.push(text(", wiped on rework")),
        Wiped::Always => out.push(text(", wiped")),
    }
    out
}

/// What every flux is.
pub fn materials(desk: &Desk) -> Vec<Block> {
    let rows = fluxes(desk)
        .into_iter()
        .filter_map(|id| desk.site.material(id))
        .map(|m| {
            vec![
                vec![desk.at(m.id.text.clone(), m.at), text(format!(" {}", m.title))],
                cell(m.formulation_rev.as_ref().map_or("not known", |r| r.text.as_str())),
                cell(m.class_letters.as_ref().map_or("not stated", |c| c.text.as_str())),
                desk.written_or(m.halogen.as_ref(), "not stated"),
                acids(desk, m),
                desk.written_or(m.solids.as_ref(), "not stated"),
                desk.written_or(m.softening.as_ref(), "not stated"),
                cell(if m.water_soluble { "yes: must be washed" } else { "no" }),
            ]
        })
        .collect();
    let head =
        ["Flux", "Formulation", "Class", "Halogen", "Acids (deliquescence)", "Solids", "Softening", "Water-soluble"];
    table_or("What the fluxes are", &head, &[3, 5, 6], rows, "No flux of this assembly is described.")
}

fn acids(desk: &Desk, m: &Material) -> Cell {
    if m.acid.is_empty() {
        return cell("list not given");
    }
    let one = |a: &crate::model::processes::Acid| match &a.deliquescence {
        Some(d) => vec![text(format!("{} (", a.name)), desk.written(d), text(")")],
        None => cell(format!("{} (not known)", a.name)),
    };
    ink::joined(m.acid.iter().map(one), ", ")
}

/// Dose of the paste residue per zone or part, where it is calculated.
pub fn paste(desk: &Desk) -> Vec<Block> {
    let rows: Vec<Vec<Cell>> = desk
        .facts("paste_dose")
        .map(|f| vec![cell(f.place.clone()), vec![ink::worked(f.value, &f.unit, f.working)]])
        .collect();
    table_or(
        "Residue of the paste by calculation",
        &["Place", "Dose"],
        &[1],
        rows,
        "No residue of the paste is calculated for this assembly.",
    )
}

/// Climate bins with dew margin and wet hours.
pub fn climate(desk: &Desk) -> Vec<Block> {
    let Some(env) = desk.environment() else {
        return vec![ink::says("The environment of this assembly is not on file.")];
    };
    let flag = |b: bool, name: &str| if b { format!("{name} present") } else { format!("no {name}") };
    let mut line = vec![
        desk.at(env.title.text.clone(), env.at),
        text(format!(", {}; source: {}", if env.outdoor { "outdoors" } else { "indoors" }, env.source)),
    ];
    match &env.logged {
        Some(m) => line.extend([text(", logged for "), desk.written(m)]),
        None => line.push(text(", not logged")),
    }
    line.push(text(". Condensing hours a year: "));
    line.extend(desk.written_or(env.condensing.as_ref(), "not known"));
    line.push(text(". Share of life in standby: "));
    line.extend(desk.written_or(env.standby.as_ref(), "not known"));
    line.push(text(format!(
        ". {}; {}; {}. Largest usual swing of temperature: ",
        flag(env.salt, "salt"),
        flag(env.gas, "corrosive gas"),
        flag(env.dust, "conductive dust")
    )));
    line.extend([desk.written(&env.swing), text(format!(". {} answers for these data.", desk.person(&env.owner)))]);
    let rows = env
        .bin
        .iter()
        .enumerate()
        .map(|(i, b)| {
            vec![
                vec![desk.at(format!("{}", i + 1), b.at)],
                vec![desk.written(&b.t)],
                vec![desk.written(&b.rh)],
                vec![desk.written(&b.hours)],
                cell(if b.powered { "yes" } else { "no" }),
                vec![desk.written(&b.board_rise)],
                by_bin(desk, "dew_margin", i),
                by_bin(desk, "surface_humidity", i),
            ]
        })
        .collect();
    let head =
        ["Bin", "Air", "Humidity", "Hours a year", "Powered", "Board above air", "Dew margin", "Humidity at the board"];
    let mut out = vec![Block::Paragraph(line)];
    out.extend(table_or("Climate in use", &head, &[1, 2, 3, 5, 6, 7], rows, "No climate bin is given."));
    for (name, words) in
        [("dew_margin", "smallest dew margin"), ("wet_hours", "hours a year near or above deliquescence")]
    {
        let whole: Vec<Cell> = desk
            .facts(name)
            .filter(|f| bin_number(&f.place).is_none())
            .map(|f| {
                vec![
                    text(format!(
                        "{words}{}: ",
                        if f.place.is_empty() || f.place == desk.r.id {
                            String::new()
                        } else {
                            format!(" ({})", f.place)
                        }
                    )),
                    ink::worked(f.value, &f.unit, f.working),
                ]
            })
            .collect();
        if !whole.is_empty() {
            out.push(ink::list(whole));
        }
    }
    out
}

/// Bin that a fact's place names: "bin 3", "3".
fn bin_number(place: &str) -> Option<usize> {
    place.trim_start_matches(|c: char| !c.is_ascii_digit()).parse().ok()
}

fn by_bin(desk: &Desk, name: &str, i: usize) -> Cell {
    match desk.w.facts.iter().find(|f| f.assembly == desk.r.id && f.name == name && bin_number(&f.place) == Some(i + 1))
    {
        Some(f) => vec![ink::worked(f.value, &f.unit, f.working)],
        None => cell("not calculated"),
    }
}
