//! What the assembly is made with: materials, lots, process steps, hidden functions of the wash, segregation.

use super::record::Spec;
use super::{Day, Text};
use crate::quantity::Quantity;

words!(/// Kind of material.
MaterialKind {
    Paste = "paste", WaveFlux = "wave_flux", SelectiveFlux = "sel_flux", CoredWire = "cored_wire", Tacky = "tacky",
    Pen = "pen", Preform = "preform", Saponifier = "saponifier", Wipe = "wipe", Mask = "mask", Finish = "finish",
    Laminate = "laminate", Coating = "coating", Underfill = "underfill", Adhesive = "adhesive", Tim = "tim", Gas = "gas",
});

impl MaterialKind {
    /// Whether it leaves flux residue.
    pub fn is_flux(self) -> bool {
        matches!(
            self,
            Self::Paste
                | Self::WaveFlux
                | Self::SelectiveFlux
                | Self::CoredWire
                | Self::Tacky
                | Self::Pen
                | Self::Preform
        )
    }
}

record! {
    /// An acid of a flux.
    Acid, "acid" {
        name: Text = Spec::any().filled(), "Name of the acid.";
        share: Option<Quantity> = Spec::unit("%").between(0.0, 30.0), "Share of the flux by weight.";
        deliquescence: Option<Quantity> = Spec::unit("%RH").between(30.0, 100.0).stated(), "Deliquescence humidity at 25 degC.";
    }
}
record! {
    /// A material at one revision of its formulation.
    Material, "material" {
        id: Text = Spec::id(), "Internal product key.";
        kind: MaterialKind = Spec::any(), "Kind of material.";
        title: Text = Spec::any().filled(), "What it is.";
        formulation_rev: Option<Text> = Spec::any().stated(), "Revision of the formulation.";
        maker_site: Option<Text> = Spec::any(), "Maker's site.";
        water_soluble: bool = Spec::any(), "Whether its residue must be washed off.";
        class_letters: Option<Text> = Spec::any(), "Flux designator, for example ROL0.";
        halogen: Option<Quantity> = Spec::unit("ppm").between(0.0, 20000.0), "Total halogen.";
        solids: Option<Quantity> = Spec::unit("%").between(0.1, 100.0), "Non-volatile share of the flux by weight.";
        flux_density: Option<Quantity> = Spec::unit("g/cm3").between(0.7, 1.2), "Density of the flux.";
        residue_density: Option<Quantity> = Spec::unit("g/cm3").between(0.9, 1.3), "Density of the residue.";
        softening: Option<Quantity> = Spec::unit("degC").between(40.0, 160.0), "Softening point of the residue.";
        deactivation: Option<Quantity> = Spec::unit("degC").between(80.0, 260.0), "Temperature that spends the activator.";
        deactivation_time: Option<Quantity> = Spec::unit("s").between(1.0, 600.0), "Time needed there.";
        acid: Vec<Acid> = Spec::any(), "Acids of the activator.";
        alloy: Option<Text> = Spec::any(), "Alloy family of a paste or wire: Sn-Ag-Cu, Sn-Pb, Sn-Bi.";
        metal_share: Option<Quantity> = Spec::unit("%").between(50.0, 95.0), "Metal by weight.";
        metal_density: Option<Quantity> = Spec::unit("g/cm3").between(6.0, 12.0), "Density of the alloy.";
        powder_type: Option<Quantity> = Spec::any().between(1.0, 8.0), "Powder type of a paste.";
        storage_area: Option<Text> = Spec::any(), "Where it is kept.";
        document: Option<Text> = Spec::any(), "Data sheet and statement of the supplier.";
    }
}
record! {
    /// A notice of a supplier or a change at home that will re-open claims.
    Change, "change" {
        id: Text = Spec::id(), "Id of the notice.";
        material: Option<Text> = Spec::to("material"), "Material that changes.";
        text: Text = Spec::any().filled(), "What changes.";
        notified_on: Day = Spec::any(), "Day of the notice.";
        effective_on: Day = Spec::any(), "Day from which it holds.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims that it re-opens.";
    }
}
record! {
    /// A lot of a material.
    Lot, "lot" {
        id: Text = Spec::id(), "Lot number.";
        material: Text = Spec::to("material"), "Material.";
        formulation_rev: Text = Spec::any().filled(), "Revision of the formulation of this lot.";
        made_on: Day = Spec::any(), "Day of making.";
        expires_on: Day = Spec::any(), "Last day of use.";
    }
}
words!(/// Kind of process step.
StepKind {
    Print = "print", Inspect = "inspect", Place = "place", Reflow = "reflow", Glue = "glue", Wave = "wave",
    Selective = "selective", Hand = "hand", Rework = "rework", TouchUp = "touch_up", Depanel = "depanel",
    PressFit = "press_fit", Wash = "wash", Bake = "bake", Coat = "coat", CircuitTest = "circuit_test",
    FunctionTest = "function_test", Pack = "pack",
});
impl StepKind {
    /// Whether the step can leave flux on the board.
    pub fn deposits_flux(self) -> bool {
        matches!(self, Self::Print | Self::Wave | Self::Selective | Self::Hand | Self::Rework | Self::TouchUp)
    }
}
words!(/// How boards are cleaned.
WashKind { None = "none", Water = "water", Saponified = "saponified", Outsourced = "outsourced" });
record! {
    /// One step of a process.
    Step, "step" {
        kind: StepKind = Spec::any(), "Kind of step.";
        machine: Text = Spec::any().filled(), "Machine or bench.";
        recipe: Text = Spec::any().filled(), "Recipe or instruction.";
        recipe_rev: Text = Spec::any().filled(), "Revision of the recipe.";
        fluxes: Vec<Text> = Spec::to("material"), "Fluxes that the step can leave.";
        metered: Option<bool> = Spec::any(), "Whether its flux is metered.";
        rate: Option<Quantity> = Spec::unit("%").between(0.0, 100.0), "Share of assemblies that see the step.";
        max_cycles: Option<Quantity> = Spec::any().between(0.0, 10.0), "Most cycles at one place (rework).";
    }
}
record! {
    /// A process at one revision.
    Process, "process" {
        id: Text = Spec::id(), "Id of the process.";
        rev: Text = Spec::any().filled(), "Revision.";
        title: Text = Spec::any().filled(), "In plain words.";
        line: Text = Spec::any().filled(), "Line type and site on which it runs.";
        wash: WashKind = Spec::any(), "How boards are cleaned.";
        step: Vec<Step> = Spec::any().filled(), "Steps in order.";
        wash_agent: Option<Text> = Spec::to("material"), "Agent of the wash.";
        cleanable_gap: Option<Quantity> = Spec::unit("um").between(1.0, 1000.0), "Lowest gap shown to come clean.";
        wash_within: Option<Quantity> = Spec::unit("h").between(0.0, 1000.0), "Longest time from solder to wash.";
        coat_within: Option<Quantity> = Spec::unit("h").between(0.0, 10000.0), "Longest time from solder to coat or pack.";
        storage: Option<Text> = Spec::any(), "How boards are kept until coat or pack.";
    }
}
record! {
    /// Something else that the wash does today, and what will do it tomorrow.
    HiddenFunction, "hidden_function" {
        id: Text = Spec::id(), "Id.";
        what: Text = Spec::any().filled(), "What the wash removes or does.";
        replacement: Option<Text> = Spec::any().stated(), "What takes its place.";
        evidence: Option<Text> = Spec::any().stated(), "What shows that it works.";
    }
}
record! {
    /// How a product already in the field with the old flux is repaired.
    RepairRoute, "repair_route" {
        id: Text = Spec::id(), "Id.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies.";
        route: Text = Spec::any().filled(), "How it is repaired.";
        document: Text = Spec::any().filled(), "Instruction.";
    }
}
