//! Money and plans: the engine, the search for the best plan, closing sets, gates, and the volume.

mod apart;
mod bars;
mod best;
mod commands;
mod input;
mod lines;
mod money;
mod peer;
mod sets;
mod volume;

use crate::builder::{self, Files};
use galipot::model::economy::Uncertain;
use galipot::model::planning::Planning;
use galipot::model::site::Site;
use galipot::pipeline::Assessed;
use galipot::plan::course::{Course, Priced, price};
use galipot::plan::money::Ledger;
use galipot::plan::named::{self, Weighed};
use galipot::plan::prices::Prices;
use galipot::plan::reach::{Reach, packs};
use std::path::Path;
use std::sync::OnceLock;

/// A search that nobody ends early.
const GO_ON: &dyn Fn() -> bool = &|| false;
/// Where the example keeps its lines.
const LINES: &str = "plan/lines.toml";

/// The files of the example.
fn example() -> Files {
    builder::load(Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen"))
}

/// A site that was read.
fn site(files: Files) -> Site {
    match galipot::read::read(files, None, &[]) {
        Ok((site, _)) => site,
        Err((_, problems)) => panic!("{problems:?}"),
    }
}

/// The example, judged once. No claim looks at plan/, so this judgement holds for every change of it.
fn judged() -> &'static Assessed {
    static EXAMPLE: OnceLock<Assessed> = OnceLock::new();
    EXAMPLE.get_or_init(|| builder::assess(example()).unwrap_or_else(|r| panic!("{:?}", r.problems)))
}

fn read_example() -> &'static Site {
    &judged().site
}

/// The plans of the example, weighed once.
fn planning() -> &'static Planning {
    static PLANNING: OnceLock<Planning> = OnceLock::new();
    let weigh = || {
        let a = judged();
        galipot::plan::plan(&a.site, &a.assessment, &|| false).unwrap_or_else(|p| panic!("{p:?}"))
    };
    PLANNING.get_or_init(weigh)
}

/// The prices of a site, ready to price and to weigh.
struct Desk<'a> {
    site: &'a Site,
    p: Prices<'a>,
    b: Ledger,
    reach: Reach<'a>,
}

impl Desk<'_> {
    /// Works at the desk of a site that differs from the example in its plan alone.
    fn at(site: &Site, work: impl FnOnce(&mut Desk)) {
        let all = packs(&site.plan);
        let uncertain: Vec<&Uncertain> =
            site.plan.uncertain.iter().filter(|u| u.parameter.text != galipot::plan::RATE).collect();
        let mut b = Ledger::new("EUR", &uncertain);
        let p = Prices::new(site, &all, None, &mut b).expect("prices");
        let reach = Reach::new(site, &judged().assessment).expect("reach");
        work(&mut Desk { site, p, b, reach });
    }
    fn try_price(&mut self, course: &Course) -> Result<Priced, String> {
        price(&self.p, course, "a test", &mut self.b)
    }
    fn price(&mut self, course: &Course) -> Priced {
        self.try_price(course).expect("a price")
    }
    /// Steps by name.
    fn steps(&self, list: &[(&str, &str, u32)]) -> Vec<(usize, usize, u32)> {
        let find = |s: &(&str, &str, u32)| {
            (self.p.assembly(s.0).expect("an assembly"), self.p.treatment(s.1).expect("a treatment"), s.2)
        };
        list.iter().map(find).collect()
    }
    /// Plan, text and course of every path of the site's plans.
    fn courses(&self) -> Vec<(String, String, Course)> {
        let drafts = self.site.plan.plans.iter().map(|plan| named::draft(&self.p, plan));
        drafts.flat_map(|d| d.paths.into_iter().map(move |(text, c)| (d.id.clone(), text, c))).collect()
    }
    /// The site's plans, weighed.
    fn weighed(&mut self) -> Vec<Weighed> {
        let mut out = Vec::new();
        for plan in &self.site.plan.plans {
            let draft = named::draft(&self.p, plan);
            out.push(named::weigh(&self.p, &self.reach, &draft, None, &mut self.b).expect("a weighed plan"));
        }
        out
    }
}
