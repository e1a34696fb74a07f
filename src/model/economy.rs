//! What washing, leaving and testing cost, what is planned, and which steps cannot be taken back. Amounts are in the site's currency.

use super::record::Spec;
use super::{Day, Text};
use crate::quantity::Quantity;

/// Most that one amount may be.
const MONEY: f64 = 1e9;

record! {
    /// What all plans have in common.
    Economy, "economy" {
        base_date: Day = Spec::any(), "Day of month 0, from which everything is discounted.";
        months: Quantity = Spec::any().between(12.0, 360.0), "Months that a plan looks ahead.";
        rate: Quantity = Spec::any().between(0.0, 1.0), "Discount rate a year: 0.09 is 9 %.";
        escalation: Option<Quantity> = Spec::any().between(-0.2, 0.5), "Rise of all recurring costs a year; none when left out.";
        giveback: Option<Quantity> = Spec::any().between(0.0, 1.0), "Share of a saving that customers get back; none when left out.";
        same_within: Quantity = Spec::any().between(0.0, 0.5), "Plans whose costs differ by less than this share are not told apart.";
        today: Text = Spec::to("treatment"), "Treatment that every assembly has today.";
        draws: Quantity = Spec::any().between(1000.0, 1e7), "Draws of the simulation.";
        seed: Quantity = Spec::any().between(0.0, 9e15), "Seed of the simulation, a whole number.";
        basis: Text = Spec::any().filled(), "Where rate and horizon come from.";
    }
}
record! {
    /// One part of a cost: amount times price.
    Item, "item" {
        text: Text = Spec::any().filled(), "What is paid for.";
        amount: Option<Quantity> = Spec::any().between(0.0, 1e9), "How much of it; 1 when left out.";
        price: Quantity = Spec::any().between(-MONEY, MONEY), "Price of one.";
    }
}
words!(/// Kind of a wash line.
LineKind { Belt = "belt", Batch = "batch", Outside = "outside" });
record! {
    /// Hours that a belt line runs when it has this much to do.
    Shift, "shift" {
        hours: Quantity = Spec::any().between(0.0, 8784.0), "Hours a year that the line is kept running.";
        panels: Quantity = Spec::any().between(0.0, 1e8), "Most panels a year that this is enough for.";
    }
}
record! {
    /// How many boards of an assembly a batch machine takes at once.
    Load, "load" {
        assembly: Text = Spec::to("assembly"), "Assembly.";
        boards: Quantity = Spec::any().between(1.0, 10000.0), "Boards in one load.";
    }
}
record! {
    /// A wash line: one belt, one kind of batch machine, or a house outside.
    WashLine, "wash_line" {
        id: Text = Spec::id(), "Id.";
        kind: LineKind = Spec::any(), "Kind.";
        title: Text = Spec::any().filled(), "What it is.";
        installed_on: Option<Day> = Spec::any(), "Day since which it can be used; not installed when left out.";
        yearly: Vec<Item> = Spec::any(), "Cost a year that falls as long as the line (for batch: one machine) is kept, however little it washes.";
        power: Option<Quantity> = Spec::any().between(0.0, 1000.0), "Connected load of a belt, kW.";
        load_factor: Option<Quantity> = Spec::any().between(0.0, 1.0), "Mean share of that load while it runs.";
        kwh_price: Option<Quantity> = Spec::any().between(0.0, 5.0), "Price of a kWh.";
        water: Option<Quantity> = Spec::any().between(0.0, 100.0), "Water, m3 an hour.";
        water_price: Option<Quantity> = Spec::any().between(0.0, 200.0), "Price of a m3 of water.";
        effluent_share: Option<Quantity> = Spec::any().between(0.0, 1.0), "Share of the water that is discharged; of a batch machine all, when left out.";
        effluent_price: Option<Quantity> = Spec::any().between(0.0, 500.0), "Price of a m3 of effluent.";
        resin: Option<Quantity> = Spec::any().between(0.0, 1000.0), "Ion exchange resin, cost an hour.";
        parts: Option<Quantity> = Spec::any().between(0.0, 1000.0), "Spare parts, cost an hour.";
        crew: Option<Quantity> = Spec::any().between(0.0, 20.0), "People at the line while it runs.";
        wage: Option<Quantity> = Spec::any().between(0.0, 1000.0), "Cost of one person an hour.";
        saponifier: Option<Quantity> = Spec::any().between(0.0, 1000.0), "Saponifier, cost an hour, when any board needs it.";
        saponifier_amount: Option<Quantity> = Spec::any().between(0.0, 1000.0), "The same in litres an hour.";
        conversion: Option<Quantity> = Spec::any().between(0.0, MONEY), "Cost of making a belt fit for saponifier, once.";
        shift: Vec<Shift> = Spec::any(), "Running hours by load, the least first; a belt without any runs as long as its boards need by `panels_an_hour`.";
        panels_an_hour: Option<Quantity> = Spec::any().between(0.01, 1e5), "Panels that a belt can wash in an hour: beside `shift` it tells how little of the running hours is needed, without it the hours follow the boards.";
        load: Vec<Load> = Spec::any(), "Boards that a batch machine takes.";
        per_load: Vec<Item> = Spec::any(), "Cost of one load of a batch machine.";
        load_power: Option<Quantity> = Spec::any().between(0.0, 10000.0), "kWh of one load.";
        load_water: Option<Quantity> = Spec::any().between(0.0, 100.0), "m3 of water of one load.";
        load_saponifier: Option<Quantity> = Spec::any().between(0.0, 1000.0), "Litres of saponifier of one load.";
        cycle: Option<Quantity> = Spec::unit("min").between(1.0, 1440.0), "Time of one load.";
        open_hours: Option<Quantity> = Spec::any().between(1.0, 8784.0), "Hours a year that a batch machine is manned.";
        uptime: Option<Quantity> = Spec::any().between(0.05, 1.0), "Share of these hours in which it can wash.";
        peak: Option<Quantity> = Spec::any().between(1.0, 10.0), "Busiest week over the mean week.";
        machine_price: Option<Quantity> = Spec::any().between(0.0, MONEY), "Price of one batch machine, installed.";
        per_board: Option<Quantity> = Spec::any().between(0.0, 1e5), "Price of one board at a house outside.";
        transport: Option<Quantity> = Spec::any().between(0.0, 1e5), "Transport of one board there and back.";
        delay: Option<Quantity> = Spec::unit("h").between(0.0, 10000.0), "Time from soldering to wash at a house outside.";
        least_lot: Option<Quantity> = Spec::any().between(1.0, 1e6), "Least boards in one order.";
        replace_month: Option<Quantity> = Spec::any().between(0.0, 360.0), "Month in which the line must be replaced if it is still needed.";
        replace_price: Option<Quantity> = Spec::any().between(0.0, MONEY), "Price of the replacement.";
        salvage: Option<Quantity> = Spec::any().between(0.0, MONEY), "What is got for it when it is retired.";
        decommission: Option<Quantity> = Spec::any().between(0.0, MONEY), "What retiring it costs.";
        book_value: Option<Quantity> = Spec::any().between(0.0, MONEY), "Value still in the books: sunk, shown, in no decision.";
        basis: Text = Spec::any().filled(), "Where the numbers come from.";
    }
}
words!(/// Tree of claims that must support a treatment; contained is what is left where no tree does.
TreatmentRoute { Leave = "leave", Wash = "wash", Present = "present", Contained = "contained" });
record! {
    /// What may be done with the residue of an assembly.
    Treatment, "treatment" {
        id: Text = Spec::id(), "Id.";
        title: Text = Spec::any().filled(), "What is done.";
        route: TreatmentRoute = Spec::any(), "Tree of claims that must be supported, or contained.";
        line: Option<Text> = Spec::to("wash_line"), "Line that it needs.";
        saponified: Option<bool> = Spec::any(), "Whether it needs saponifier on that line.";
        lead: Quantity = Spec::any().between(0.0, 120.0), "Months from the decision to the first board.";
        per_board: Option<Quantity> = Spec::any().between(-1e4, 1e5), "Cost of one board besides the line: probing, handling, containment.";
        evidence: Vec<Text> = Spec::to("action"), "Actions that must have succeeded besides the tree.";
        assemblies: Vec<Text> = Spec::to("assembly"), "Assemblies that it is for; all when left out.";
    }
}
record! {
    /// Costs that come with treatments, whatever the number of boards.
    Programme, "programme" {
        id: Text = Spec::id(), "Id.";
        title: Text = Spec::any().filled(), "What it is.";
        treatments: Vec<Text> = Spec::to("treatment").filled(), "It is needed while any assembly has one of these,";
        beside: Vec<Text> = Spec::to("treatment"), "and, when given, while any other has one of these.";
        yearly: Vec<Item> = Spec::any(), "Cost a year.";
        once: Vec<Item> = Spec::any(), "Cost once, when it is decided.";
        basis: Text = Spec::any().filled(), "Where the numbers come from.";
    }
}
record! {
    /// Boards of an assembly in one year of the plan, where they differ from the assembly's own volume.
    Volume, "volume" {
        assembly: Text = Spec::to("assembly"), "Assembly.";
        year: Quantity = Spec::any().between(1.0, 30.0), "Year of the plan, the first is 1.";
        boards: Quantity = Spec::any().between(0.0, 1e7), "Boards in that year.";
    }
}
record! {
    /// Claims of an assembly that an action lifts when it succeeds.
    Closes, "closes" {
        assembly: Text = Spec::to("assembly"), "Assembly.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims.";
    }
}
record! {
    /// A test or another action that may lift claims.
    Action, "action" {
        id: Text = Spec::id(), "Id.";
        text: Text = Spec::any().filled(), "What is done.";
        cost: Quantity = Spec::any().between(0.0, MONEY), "Cost.";
        weeks: Quantity = Spec::any().between(0.0, 500.0), "Weeks until its result.";
        chance: Quantity = Spec::any().between(0.0, 1.0), "Chance that it lifts what it is meant to lift, 0 to 1.";
        closes: Vec<Closes> = Spec::any(), "What it lifts.";
        after: Vec<Text> = Spec::to("action"), "Actions that must be done before it begins.";
        runs: Vec<Text> = Spec::any(), "Runs that it will report.";
        basis: Text = Spec::any().filled(), "Where cost, time and chance come from.";
    }
}
words!(/// When a package is paid.
Paid { Start = "start", End = "end" });
record! {
    /// Actions that are bought together.
    Package, "package" {
        id: Text = Spec::id(), "Id.";
        title: Text = Spec::any().filled(), "What it is.";
        actions: Vec<Text> = Spec::to("action").filled(), "Its actions.";
        chance: Option<Quantity> = Spec::any().between(0.0, 1.0), "Chance that all succeed; the product of their chances when left out.";
        paid: Paid = Spec::any(), "Whether it is paid at its start or with its result.";
    }
}
record! {
    /// How a package comes out on a path.
    Result, "result" {
        package: Text = Spec::to("package"), "Package.";
        success: bool = Spec::any(), "Whether it lifts what it is meant to lift.";
        month: Quantity = Spec::any().between(0.0, 360.0), "Month in which it is paid.";
    }
}
record! {
    /// An assembly changes its treatment.
    Step, "step" {
        assembly: Text = Spec::to("assembly"), "Assembly.";
        treatment: Text = Spec::to("treatment"), "New treatment.";
        month: Quantity = Spec::any().between(0.0, 360.0), "First month of the new treatment.";
    }
}
record! {
    /// Something that a plan pays earlier than it is needed.
    Early, "early" {
        what: Text = Spec::any().filled(), "Id of a programme, or of a wash line for its machines or its conversion.";
        month: Quantity = Spec::any().between(0.0, 360.0), "Month from which it is paid.";
        machines: Option<Quantity> = Spec::any().between(1.0, 100.0), "Number of batch machines.";
    }
}
record! {
    /// What is done on one outcome of the packages.
    Path, "path" {
        text: Text = Spec::any().filled(), "What happens on it.";
        result: Vec<Result> = Spec::any(), "Packages bought on it, each with its outcome.";
        step: Vec<Step> = Spec::any(), "Assemblies that change; the others stay as today.";
        early: Vec<Early> = Spec::any(), "What is paid earlier than needed.";
    }
}
record! {
    /// A plan that somebody wrote, to be weighed beside the best one.
    Plan, "plan" {
        id: Text = Spec::id(), "Id.";
        title: Text = Spec::any().filled(), "What it is.";
        path: Vec<Path> = Spec::any().filled(), "Its paths; together they leave out no outcome, and no outcome is on two.";
    }
}
words!(/// Shape of a distribution.
Shape {
    Triangular = "triangular", Pert = "pert", Normal = "normal", Lognormal = "lognormal", Uniform = "uniform",
    Fixed = "fixed",
});
record! {
    /// How sure a number is.
    Uncertain, "uncertain" {
        parameter: Text = Spec::any().filled(), "What is uncertain: id and name with a dot between them, for example WL-1.kwh_price; docs/plan.md lists them.";
        shape: Shape = Spec::any(), "Shape of the distribution.";
        low: Option<Quantity> = Spec::any(), "Least value (triangular, pert, uniform).";
        mode: Option<Quantity> = Spec::any(), "Most likely value (triangular, pert); value (fixed).";
        high: Option<Quantity> = Spec::any(), "Greatest value (triangular, pert, uniform).";
        mean: Option<Quantity> = Spec::any(), "Mean (normal, lognormal).";
        sd: Option<Quantity> = Spec::any(), "Standard deviation (normal, lognormal).";
        relative: Option<bool> = Spec::any(), "True when all these are factors on the number of the site.";
        basis: Text = Spec::any().filled(), "Who says so, and why.";
    }
}
record! {
    /// A claim that a gate waits for.
    GateClaim, "gate_claim" {
        assembly: Text = Spec::to("assembly"), "Assembly.";
        claim: Text = Spec::to("claim"), "Claim that must be supported, with conditions or without.";
    }
}
record! {
    /// A fact that a gate waits for.
    GateFact, "gate_fact" {
        text: Text = Spec::any().filled(), "What must be true.";
        done_on: Option<Day> = Spec::any(), "Day since which it is true; not yet when left out.";
        proof: Option<Text> = Spec::any(), "What shows it.";
    }
}
record! {
    /// A step that cannot be taken back, with what it waits for.
    Gate, "gate" {
        id: Text = Spec::id(), "Id.";
        title: Text = Spec::any().filled(), "The step.";
        line: Option<Text> = Spec::to("wash_line"), "Line that goes: every assembly must have another supported treatment, on a line that is installed.";
        claim: Vec<GateClaim> = Spec::any(), "Claims that it waits for.";
        fact: Vec<GateFact> = Spec::any(), "Facts that it waits for.";
    }
}

/// What every plan rests on, and the plans. Empty lists where a site has no `plan/`.
#[derive(Debug, Clone, Default)]
pub struct PlanInputs {
    /// None where the site has no plan.
    pub economy: Option<Economy>,
    pub lines: Vec<WashLine>,
    pub treatments: Vec<Treatment>,
    pub programmes: Vec<Programme>,
    pub volumes: Vec<Volume>,
    pub actions: Vec<Action>,
    pub packages: Vec<Package>,
    pub plans: Vec<Plan>,
    pub uncertain: Vec<Uncertain>,
    pub gates: Vec<Gate>,
}

impl PlanInputs {
    pub fn line(&self, id: &str) -> Option<&WashLine> {
        self.lines.iter().find(|x| x.id.text == id)
    }
    pub fn treatment(&self, id: &str) -> Option<&Treatment> {
        self.treatments.iter().find(|x| x.id.text == id)
    }
    pub fn programme(&self, id: &str) -> Option<&Programme> {
        self.programmes.iter().find(|x| x.id.text == id)
    }
    pub fn action(&self, id: &str) -> Option<&Action> {
        self.actions.iter().find(|x| x.id.text == id)
    }
    pub fn package(&self, id: &str) -> Option<&Package> {
        self.packages.iter().find(|x| x.id.text == id)
    }
}
