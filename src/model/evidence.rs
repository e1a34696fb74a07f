//! What was tested: vehicles, patterns, builds, runs and the files that hold their readings.

use super::assembly::{BodyClass, Wiped};
use super::record::Spec;
use super::{Day, Moment, Text};
use crate::quantity::Quantity;

words!(/// What a pattern is for.
PatternKind { Comb = "comb", Body = "body", Mixed = "mixed", Control = "control", Positive = "positive" });
record! {
    /// A conductor pattern of a test vehicle.
    Pattern, "pattern" {
        id: Text = Spec::id(), "Id, as in the readings.";
        kind: PatternKind = Spec::any(), "Kind.";
        design: Text = Spec::any().filled(), "Design, as criteria name it.";
        line: Quantity = Spec::unit("um").between(50.0, 2000.0), "Line width.";
        space: Quantity = Spec::unit("um").between(50.0, 20000.0), "Spacing.";
        overlap: Option<Quantity> = Spec::unit("mm").between(0.1, 200.0), "Overlap length of one gap of a comb.";
        gaps: Option<Quantity> = Spec::any().between(1.0, 500.0), "Number of gaps of a comb.";
        squares: Option<Quantity> = Spec::any().between(0.5, 20000.0).stated(), "Squares: facing length over spacing.";
        body_class: Option<BodyClass> = Spec::any(), "Body class over the pattern.";
        gap: Option<Quantity> = Spec::unit("um").between(1.0, 5000.0), "Gap under the body.";
        fill: Option<Quantity> = Spec::unit("%").between(0.0, 120.0), "Share of the cavity that residue fills.";
        v_bias: Quantity = Spec::unit("V").between(0.5, 5000.0), "Bias.";
        v_measure: Quantity = Spec::unit("V").between(0.5, 5000.0), "Voltage of the reading.";
        series_resistor: Option<Quantity> = Spec::unit("ohm").between(0.0, 1e8).stated(), "Resistor that limits the current.";
        direct: bool = Spec::any(), "Whether the bias is continuous direct voltage.";
    }
}
words!(/// Corner of the reflow window.
ProfileCell { Cold = "cold", Nominal = "nominal", Hot = "hot" });
words!(/// How a build was washed.
Washed { No = "no", Water = "water", Saponified = "saponified" });
record! {
    /// A flux on a build: which, at which revision, which lot, how much, how heated.
    BuildFlux, "flux" {
        material: Text = Spec::to("material"), "Flux.";
        formulation_rev: Text = Spec::any().filled(), "Revision of the formulation.";
        lot: Text = Spec::any().filled(), "Lot.";
        dose: Option<Quantity> = Spec::unit("ug/cm2").between(0.0, 100000.0).stated(), "Dose of solids.";
        heated: bool = Spec::any(), "Whether it reached its deactivation temperature.";
    }
}
record! {
    /// Boards built alike: one cell of the test plan.
    Build, "build" {
        id: Text = Spec::id(), "Id.";
        cell: Text = Spec::any().filled(), "Name of the cell.";
        boards: Vec<Text> = Spec::any().filled(), "Boards, as in the readings.";
        line: Text = Spec::any().filled(), "Line type and site.";
        date: Day = Spec::any(), "Day of building.";
        operator: Text = Spec::to("person"), "Who built.";
        flux: Vec<BuildFlux> = Spec::any().filled(), "Fluxes in the order in which they came.";
        profile: Option<ProfileCell> = Spec::any(), "Corner of the reflow window.";
        peak: Option<Quantity> = Spec::unit("degC").between(100.0, 300.0), "Peak temperature.";
        tal: Option<Quantity> = Spec::unit("s").between(1.0, 300.0), "Time above liquidus.";
        soak: Option<Quantity> = Spec::unit("s").between(0.0, 600.0), "Soak.";
        passes: Option<Quantity> = Spec::any().between(1.0, 6.0), "Passes.";
        atmosphere: Option<Text> = Spec::any(), "Atmosphere of the reflow.";
        recipe: Text = Spec::any().filled(), "Oven or bench recipe with revision.";
        rework_cycles: Quantity = Spec::any().between(0.0, 10.0), "Rework cycles done.";
        washed: Washed = Spec::any(), "How it was washed.";
        wash_recipe: Option<Text> = Spec::any(), "Wash recipe with revision.";
        wiped: Wiped = Spec::any(), "Whether it was wiped.";
        aged: bool = Spec::any(), "Whether it was aged before the test.";
        coated: bool = Spec::any(), "Whether it was coated.";
        photos: Vec<Text> = Spec::any(), "Photographs.";
    }
}
record! {
    /// A test vehicle, or the product itself when `assembly` is given.
    Vehicle, "vehicle" {
        id: Text = Spec::id(), "Id.";
        title: Text = Spec::any().filled(), "What it is.";
        assembly: Option<Text> = Spec::to("assembly"), "Assembly, when the vehicle is the product itself.";
        assembly_rev: Option<Text> = Spec::any(), "Its revision.";
        fabricator: Text = Spec::any().filled(), "Fabricator of the board.";
        laminate: Text = Spec::any().filled(), "Laminate.";
        halogen_free: bool = Spec::any(), "Whether the laminate is free of halogens.";
        mask: Text = Spec::any().filled(), "Solder mask.";
        mask_defined: Text = Spec::any().filled(), "SMD, NSMD or mixed.";
        finish: Text = Spec::any().filled(), "Finish.";
        prewashed: bool = Spec::any(), "Whether boards were cleaned before building.";
        bare_ionic: Option<Quantity> = Spec::unit("ug/cm2").between(0.0, 100.0).stated(), "Chloride of the bare board.";
        board_lot: Text = Spec::any().filled(), "Lot of the boards.";
        pattern: Vec<Pattern> = Spec::any(), "Patterns.";
        build: Vec<Build> = Spec::any().filled(), "Builds.";
    }
}
words!(/// What a file of a run holds.
FileRole { Readings = "readings", Chamber = "chamber", Report = "report", Photo = "photo", Log = "log" });
words!(/// The form in which a table is written.
Dialect { Plain = "plain", Semicolon = "semicolon", Tab = "tab", Sheet = "sheet" });
record! {
    /// A file of a run.
    RunFile, "file" {
        path: Text = Spec::any().filled(), "Path from the folder of the run.";
        sha256: Text = Spec::any().filled(), "Digest, as received.";
        role: FileRole = Spec::any(), "What it holds.";
        table: Option<Text> = Spec::any(), "Kind of table in it.";
        dialect: Option<Dialect> = Spec::any(), "Form of the table: plain (comma, point), semicolon (decimal comma), tab, sheet.";
        sheet: Option<Text> = Spec::any(), "Sheet of a spreadsheet.";
        taken_of: Option<Text> = Spec::any(), "Board on a photograph.";
    }
}
record! {
    /// A departure from the method or the plan.
    Deviation, "deviation" {
        id: Text = Spec::id(), "Id.";
        text: Text = Spec::any().filled(), "What departed.";
        impact: Option<Text> = Spec::any().stated(), "What it means for the result.";
        approved_by: Option<Text> = Spec::to("person").stated(), "Who approved.";
    }
}
words!(/// Cause of an event in a series.
CauseKind { Residue = "residue", Foreign = "foreign", Chamber = "chamber", Unknown = "unknown" });
record! {
    /// An event in the readings and its cause, when it is known.
    Event, "event" {
        board: Text = Spec::any().filled(), "Board.";
        pattern: Text = Spec::any().filled(), "Pattern.";
        t: Quantity = Spec::unit("h").between(0.0, 20000.0), "When.";
        cause: CauseKind = Spec::any(), "Cause.";
        proof: Option<Text> = Spec::any().stated(), "Photograph, section or report that shows it.";
        by: Option<Text> = Spec::to("person"), "Who found it.";
    }
}
words!(/// Kind of run; the age table and the dossier speak of these.
RunKind {
    Sir = "sir", Ecm = "ecm", Ionic = "ionic", IncomingIonic = "incoming_ionic", Leakage = "leakage", Rf = "rf",
    Withstand = "withstand", UnderBody = "under_body", Print = "print", Dose = "dose", Profile = "profile",
    CircuitTest = "circuit_test", VisualStudy = "visual_study", Visual = "visual", Coating = "coating",
    DampHeat = "damp_heat", Contact = "contact", Joint = "joint", Lots = "lots", Wash = "wash", Returns = "returns",
    Datasheet = "datasheet",
});
record! {
    /// One run: a test, a study or a set of production data.
    Run, "run" {
        id: Text = Spec::id(), "Id.";
        kind: RunKind = Spec::any(), "Kind.";
        title: Text = Spec::any().filled(), "What was done.";
        protocol: Option<Text> = Spec::to("protocol"), "Protocol that planned it; none for one outside any protocol.";
        builds: Vec<Text> = Spec::to("build"), "Builds.";
        claims: Vec<Text> = Spec::to("claim"), "Claims that a run outside the protocol is offered for.";
        assemblies: Vec<Text> = Spec::to("assembly"), "Assemblies that a run outside the protocol is offered for.";
        lab: Text = Spec::to("lab"), "Laboratory.";
        method: Text = Spec::any().filled(), "Method.";
        method_edition: Text = Spec::any().filled(), "Edition.";
        start: Moment = Spec::any(), "Start.";
        end: Moment = Spec::any(), "End.";
        operator: Text = Spec::to("person"), "Who ran it.";
        analyst: Text = Spec::to("person"), "Who analysed it.";
        second_check: Option<Text> = Spec::to("person").stated(), "Who checked the analysis.";
        analysis_version: Option<Text> = Spec::any().stated(), "Version of the analysis.";
        instruments: Vec<Text> = Spec::to("instrument"), "Instruments.";
        temperature: Option<Quantity> = Spec::unit("degC").between(-80.0, 200.0), "Chamber temperature.";
        humidity: Option<Quantity> = Spec::unit("%RH").between(0.0, 100.0), "Chamber humidity.";
        tolerance_t: Option<Quantity> = Spec::unit("K").between(0.05, 20.0), "Tolerance of the temperature.";
        tolerance_rh: Option<Quantity> = Spec::unit("%RH").between(0.1, 50.0), "Tolerance of the humidity.";
        condensing: bool = Spec::any(), "Whether condensation was part of the test.";
        condensation_seen: bool = Spec::any(), "Whether condensation was seen though it was no part of the test.";
        salt: bool = Spec::any(), "Salt in the test.";
        gas: bool = Spec::any(), "Corrosive gas in the test.";
        dust: bool = Spec::any(), "Dust in the test.";
        interval: Option<Quantity> = Spec::unit("min").between(0.01, 100000.0), "Interval between readings.";
        ceiling: Option<Quantity> = Spec::unit("ohm").between(1e6, 1e17), "Highest resistance that the instrument reads.";
        floor: Option<Quantity> = Spec::unit("ohm").between(1e-3, 1e9), "Lowest.";
        expanded_uncertainty: Option<Quantity> = Spec::unit("*"), "Expanded uncertainty (k = 2), in the unit of the readings.";
        standard_uncertainty: Option<Quantity> = Spec::unit("*"), "Standard uncertainty, in the unit of the readings.";
        controls: Vec<Text> = Spec::any(), "Boards that are unprocessed controls.";
        positive_controls: Vec<Text> = Spec::any(), "Boards that were meant to fail.";
        age_at_start: Option<Quantity> = Spec::unit("h").between(0.0, 100000.0), "Age of the residue at the start.";
        channels_planned: Option<Quantity> = Spec::any().between(1.0, 100000.0).stated(), "Channels planned.";
        dead_channels_explained: Option<Text> = Spec::any(), "Photograph and note on channels without readings.";
        under: Vec<Text> = Spec::to("condition"), "Conditions under which alone the result holds.";
        file: Vec<RunFile> = Spec::any(), "Files.";
        deviation: Vec<Deviation> = Spec::any(), "Departures.";
        event: Vec<Event> = Spec::any(), "Events with their causes.";
        excluded: Option<bool> = Spec::any(), "Whether it is left out.";
        excluded_reason: Option<Text> = Spec::any(), "Why.";
        excluded_by: Option<Text> = Spec::to("person"), "By whom.";
        excluded_on: Option<Day> = Spec::any(), "When.";
        informative: Option<bool> = Spec::any(), "Whether it is shown for information only.";
    }
}
