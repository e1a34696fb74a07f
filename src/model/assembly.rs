//! What the assembly is: board, parts, conductor pairs, sensitive functions, flux zones, environment.

use super::record::Spec;
use super::{Day, Text};
use crate::quantity::Quantity;

words!(/// Body class of a part: what its underside does to flux.
BodyClass {
    Chip = "chip", Gull = "gull", Btc = "BTC", Lga = "LGA", Bga = "BGA", Can = "can", Connector = "connector",
    Transformer = "transformer", Relay = "relay", Switch = "switch", Optic = "optic", Mems = "mems",
    Crystal = "crystal", Sensor = "sensor", Other = "other",
});
words!(/// How a value became known.
SourceKind { Measured = "measured", Calculated = "calculated", Datasheet = "datasheet", Drawing = "drawing",
    Contract = "contract", Class = "class", SupplierStatement = "supplier_statement", Estimate = "estimate" });
words!(/// How two conductors face each other.
Geometry { PadPad = "pad_pad", TraceTrace = "trace_trace", PadTrace = "pad_trace", ViaVia = "via_via",
    BodyUnder = "body_under", ConnectorPins = "connector_pins" });
words!(/// Where a conductor pair was taken from; only the layout shows real spacings.
PairSource { Layout = "layout", Schematic = "schematic", Estimate = "estimate" });
words!(/// How much of the street between two conductors carries solder mask.
MaskCover { None = "none", One = "one", Both = "both" });
words!(/// Solder mask over the street under a body.
Street { Masked = "masked", MaskFree = "mask_free", Partial = "partial" });
words!(/// A statement of the maker, or the lack of one.
YesNoUnknown { Yes = "yes", No = "no", Unknown = "unknown" });
words!(/// A side of the board.
Side { Top = "top", Bottom = "bottom" });
words!(/// Whether flux or residue of a zone is wiped.
Wiped { Never = "never", OnRework = "on_rework", Always = "always" });
words!(/// Sectors that ask for more than the product class.
Sector { Safety = "safety", Medical = "medical", Avionic = "avionic", Auto = "auto" });

record! {
    /// One circuit board assembly at one revision.
    Assembly, "assembly" {
        id: Text = Spec::id(), "Id of the assembly.";
        rev: Text = Spec::any().filled(), "Revision of the assembly.";
        product: Text = Spec::any().filled(), "What it is, in plain words.";
        drawing: Text = Spec::any().filled(), "Drawing number.";
        bom_rev: Text = Spec::any().filled(), "Revision of the parts list.";
        layout_rev: Text = Spec::any().filled(), "Revision of the layout.";
        customer: Text = Spec::to("customer"), "Customer who accepts the residue.";
        environment: Text = Spec::to("environment"), "Environment in which it is used.";
        process: Text = Spec::to("process"), "Process that leaves the residue.";
        present_process: Text = Spec::to("process"), "Process used until now.";
        wash_process: Option<Text> = Spec::to("process"), "Process that washes with a saponifier, if one is planned.";
        ipc_class: Quantity = Spec::any().between(1.0, 3.0), "Product class 1, 2 or 3.";
        life: Quantity = Spec::unit("years").between(1.0, 40.0), "Service life.";
        volume: Quantity = Spec::any().between(1.0, 1e6), "Assemblies a year.";
        peak_factor: Option<Quantity> = Spec::any().between(1.0, 2.5).stated(), "Peak month over mean month.";
        panel_up: Quantity = Spec::any().between(1.0, 200.0), "Assemblies on a panel.";
        panel_area: Quantity = Spec::unit("cm2").between(1.0, 5000.0), "Area of the panel, one side.";
        sides: Quantity = Spec::any().between(1.0, 2.0), "Populated sides.";
        sectors: Vec<Sector> = Spec::any(), "Sectors that ask for more than the product class.";
        document: Text = Spec::id(), "Number of the dossier.";
        document_rev: Text = Spec::any().filled(), "Revision of the dossier being drafted.";
        limits_of_use: Vec<Text> = Spec::any(), "Uses that the dossier does not cover, each a sentence.";
        effectivity: Option<Text> = Spec::any().stated(), "Serial numbers or date codes that the dossier covers.";
    }
}
record! {
    /// The bare board.
    Board, "board" {
        laminate: Text = Spec::any().filled(), "Laminate.";
        halogen_free: bool = Spec::any(), "Whether the laminate is free of halogens.";
        mask: Text = Spec::any().filled(), "Solder mask: product, cure and surface under one key.";
        finish: Text = Spec::any().filled(), "Solderable finish, for example ENIG.";
        fabricators: Vec<Text> = Spec::any().filled(), "Fabricators that may supply it.";
        mask_defined: Text = Spec::any().filled(), "SMD, NSMD or mixed.";
        thickness: Option<Quantity> = Spec::unit("mm").between(0.4, 3.2), "Thickness.";
        cti: Option<Quantity> = Spec::unit("V").between(100.0, 600.0), "Comparative tracking index.";
    }
}
record! {
    /// A part, or a group of like parts under the reference designator of the worst one.
    Component, "component" {
        refdes: Text = Spec::any().filled(), "Reference designator of the worst part of the group.";
        like: Vec<Text> = Spec::any(), "Reference designators of the others.";
        part_key: Text = Spec::any().filled(), "Internal part number.";
        body_class: BodyClass = Spec::any(), "Body class.";
        body_x: Option<Quantity> = Spec::unit("mm").between(0.4, 80.0), "Body length.";
        body_y: Option<Quantity> = Spec::unit("mm").between(0.4, 80.0), "Body width.";
        pitch: Option<Quantity> = Spec::unit("mm").between(0.3, 5.08), "Pitch of the terminals.";
        n_io: Quantity = Spec::any().between(1.0, 3000.0), "Number of terminals.";
        land_area: Option<Quantity> = Spec::unit("mm2").between(0.01, 5000.0), "Area of all lands under the body.";
        pad_area: Option<Quantity> = Spec::unit("mm2").between(0.01, 2500.0), "Area of the exposed pads.";
        paste_cover: Option<Quantity> = Spec::unit("%").between(5.0, 100.0), "Share of the exposed pads under paste.";
        paste_volume: Option<Quantity> = Spec::unit("mm3").between(0.001, 500.0), "Paste on the exposed pads, as deposited.";
        land_paste_volume: Option<Quantity> = Spec::unit("mm3").between(0.0, 500.0), "Paste on the other lands, as deposited.";
        void: Option<Quantity> = Spec::unit("%").between(0.0, 60.0), "Voids in the joint of the exposed pads.";
        gap: Option<Quantity> = Spec::unit("um").between(1.0, 5000.0), "Clear height under the body.";
        gap_source: Option<SourceKind> = Spec::any(), "How the gap became known.";
        gap_n: Option<Quantity> = Spec::any().between(1.0, 10000.0), "Number of gaps measured.";
        fill: Option<Quantity> = Spec::unit("%").between(0.0, 120.0), "Share of the cavity that residue fills.";
        street_mask: Option<Street> = Spec::any(), "Solder mask in the street under the body.";
        sealed: Option<bool> = Spec::any(), "Whether flux can enter (relay, switch, connector, sensor).";
        leave_ok: Option<YesNoUnknown> = Spec::any(), "Maker's statement on unwashed residue.";
        wash_ok: Option<YesNoUnknown> = Spec::any(), "Maker's statement on washing.";
        local_max: Option<Quantity> = Spec::unit("degC").between(-40.0, 200.0), "Highest temperature of the place in use.";
        zone: Option<Text> = Spec::to("zone"), "Flux zone in which it stands.";
    }
}
record! {
    /// Two conductors of different potential: the place where migration would happen.
    NetPair, "net_pair" {
        id: Text = Spec::id(), "Id of the pair.";
        net_a: Text = Spec::any().filled(), "First net.";
        net_b: Text = Spec::any().filled(), "Second net.";
        place: Text = Spec::any().filled(), "Reference designator or layer and position.";
        geometry: Geometry = Spec::any(), "How the conductors face each other.";
        v_work: Quantity = Spec::unit("V").between(0.0, 5000.0), "Working voltage.";
        v_peak: Quantity = Spec::unit("V").between(0.0, 5000.0), "Highest voltage in use.";
        dc_fraction: Quantity = Spec::any().between(0.0, 1.0), "Share of the bias that is direct voltage.";
        duty_biased: Quantity = Spec::any().between(0.0, 1.0), "Share of life under bias, standby included.";
        spacing: Quantity = Spec::unit("um").between(50.0, 20000.0), "Smallest spacing after etching.";
        facing: Quantity = Spec::unit("mm").between(0.05, 500.0), "Length over which the conductors face.";
        mask_cover: MaskCover = Spec::any(), "Mask between the conductors.";
        coated: bool = Spec::any(), "Whether coating covers the pair.";
        i_leak_max: Option<Quantity> = Spec::unit("A").between(1e-15, 1e-3), "Leakage that the circuit bears.";
        r_need: Option<Quantity> = Spec::unit("ohm").between(1e3, 1e16), "Resistance that the circuit needs.";
        node: Option<Text> = Spec::to("node"), "Sensitive node that the pair belongs to.";
        guard: Option<bool> = Spec::any(), "Whether a guard stands between.";
        guard_dv: Option<Quantity> = Spec::unit("V").between(0.0, 0.1), "Voltage left across the guard.";
        safety: bool = Spec::any(), "Whether people's safety rests on this spacing.";
        creepage: Option<Quantity> = Spec::unit("mm").between(0.05, 500.0), "Creepage distance present.";
        creepage_required: Option<Quantity> = Spec::unit("mm").between(0.05, 500.0), "Creepage that the purchased standard asks for, residue counted as pollution.";
        creepage_source: Option<Text> = Spec::any(), "Standard, edition and clause of the required creepage.";
        source: PairSource = Spec::any(), "Where the pair was taken from.";
        zone: Option<Text> = Spec::to("zone"), "Flux zone in which it lies.";
    }
}
record! {
    /// A node of high impedance.
    Node, "node" {
        id: Text = Spec::id(), "Id of the node.";
        role: Text = Spec::any().filled(), "What the node does.";
        budget: Quantity = Spec::unit("A").between(1e-15, 1e-3), "Leakage that the node bears.";
        test_method: Text = Spec::any().filled(), "How its error is measured in humidity.";
    }
}
record! {
    /// A structure for radio frequencies.
    Rf, "rf" {
        id: Text = Spec::id(), "Id of the structure.";
        kind: Text = Spec::any().filled(), "Line, antenna, filter, oscillator or coupler.";
        frequency: Quantity = Spec::unit("MHz").between(0.1, 100000.0), "Working frequency.";
        shift_limit: Quantity = Spec::unit("MHz").between(1e-6, 1000.0), "Shift that the function bears.";
    }
}
record! {
    /// A contact that flux must not enter.
    Contact, "contact" {
        id: Text = Spec::id(), "Id of the contact.";
        refdes: Text = Spec::any().filled(), "Part that holds it.";
        sealed: bool = Spec::any(), "Whether it is sealed against flux.";
        order_in_process: Text = Spec::any().filled(), "When in the process it is mounted.";
    }
}
record! {
    /// An optical part, a pressure port or a thermal interface that residue must not reach.
    KeepOut, "keep_out" {
        id: Text = Spec::id(), "Id of the keep-out.";
        kind: KeepOutKind = Spec::any(), "What it protects.";
        refdes: Text = Spec::any().filled(), "Part that it belongs to.";
    }
}
words!(/// What a keep-out protects.
KeepOutKind { Optic = "optic", Port = "port", Thermal = "thermal" });
record! {
    /// An area of the board with its own set of fluxes.
    Zone, "zone" {
        id: Text = Spec::id(), "Id of the zone.";
        side: Side = Spec::any(), "Side of the board.";
        coated: bool = Spec::any(), "Whether coating covers the zone.";
        area: Quantity = Spec::unit("cm2").between(0.001, 5000.0), "Area of the zone.";
    }
}
record! {
    /// One flux in one zone: how much, how heated, in which order. A flux that never comes there has dose 0 and a proof.
    FluxUse, "flux_use" {
        zone: Text = Spec::to("zone"), "Zone.";
        flux: Text = Spec::to("material"), "Flux.";
        order: Quantity = Spec::any().between(0.0, 20.0), "Order in which it comes; 0 when it never comes.";
        dose: Option<Quantity> = Spec::unit("ug/cm2").between(0.0, 100000.0).stated(), "Mean dose of solids.";
        dose_ucl: Option<Quantity> = Spec::unit("ug/cm2").between(0.0, 100000.0), "Upper control limit of the dose.";
        dose_n: Option<Quantity> = Spec::any().between(1.0, 100000.0), "Number of doses weighed.";
        metered: bool = Spec::any(), "Whether the dose is metered, not poured or brushed.";
        heated_fraction: Option<Quantity> = Spec::any().between(0.0, 1.0).stated(), "Share of the zone that reached the deactivation temperature.";
        wiped: Wiped = Spec::any(), "Whether the residue is wiped.";
        absent_proof: Option<Text> = Spec::any(), "Audit or photo that shows that the flux never comes here.";
    }
}
record! {
    /// The reflow that the assembly sees, at its coldest and hottest places.
    Reflow, "reflow" {
        coldest_peak: Quantity = Spec::unit("degC").between(100.0, 300.0), "Peak at the coldest place.";
        hottest_peak: Quantity = Spec::unit("degC").between(100.0, 300.0), "Peak at the hottest place.";
        tal_min: Quantity = Spec::unit("s").between(1.0, 300.0), "Shortest time above liquidus.";
        soak_min: Quantity = Spec::unit("s").between(0.0, 600.0), "Shortest soak.";
        passes: Quantity = Spec::any().between(1.0, 6.0), "Most passes that a joint can see.";
        atmosphere: Text = Spec::any().filled(), "air or nitrogen, with the oxygen class.";
        coldest_place: Text = Spec::any().filled(), "Where the coldest thermocouple sits.";
    }
}
record! {
    /// Coating of the assembly.
    Coating, "coating" {
        material: Text = Spec::to("material"), "Coating material.";
        thickness: Quantity = Spec::unit("um").between(1.0, 500.0), "Dry thickness.";
        over_residue: bool = Spec::any(), "Whether it lies over residue.";
        applied_within: Quantity = Spec::unit("h").between(0.0, 10000.0), "Longest time from solder to coat.";
    }
}
record! {
    /// The pilot build that shows that what is claimed is what is built.
    Pilot, "pilot" {
        assembly_rev: Text = Spec::any().filled(), "Assembly revision that was built.";
        bom_rev: Text = Spec::any().filled(), "Parts list revision that was built.";
        layout_rev: Text = Spec::any().filled(), "Layout revision that was built.";
        built_on: Day = Spec::any(), "Day of the last pilot lot.";
        lots: Quantity = Spec::any().between(1.0, 1000.0), "Number of pilot lots.";
        serials: Text = Spec::any().filled(), "First and last serial number.";
        recipes: Vec<Text> = Spec::any().filled(), "Every recipe used, as recipe:revision.";
        washed: bool = Spec::any(), "Whether any pilot board was washed.";
        traveller: Text = Spec::any().filled(), "Traveller or build record.";
    }
}
record! {
    /// A stencil aperture of a part that matters.
    Aperture, "aperture" {
        refdes: Text = Spec::any().filled(), "Part.";
        shape: ApertureShape = Spec::any(), "Shape.";
        length: Quantity = Spec::unit("mm").between(0.05, 50.0), "Length, or diameter of a circle.";
        width: Option<Quantity> = Spec::unit("mm").between(0.05, 50.0), "Width of a rectangle.";
        foil: Quantity = Spec::unit("um").between(40.0, 300.0), "Thickness of the foil there.";
        transfer: Option<Quantity> = Spec::unit("%").between(1.0, 200.0), "Measured transfer, when the area ratio is low.";
    }
}
words!(/// Shape of an aperture.
ApertureShape { Rectangle = "rectangle", Circle = "circle" });
record! {
    /// A signed statement that a claim does not apply to this assembly.
    NotApplicable, "not_applicable" {
        claim: Text = Spec::to("claim").filled(), "Claim.";
        reason: Text = Spec::any().filled(), "Why it does not apply.";
        proof: Text = Spec::any().filled(), "Document that shows it.";
        by: Text = Spec::to("person"), "Who states it.";
        on: Day = Spec::any(), "When.";
    }
}
record! {
    /// Stretch of climate and the hours a year spent in it.
    Bin, "bin" {
        t: Quantity = Spec::unit("degC").between(-60.0, 125.0), "Air temperature.";
        rh: Quantity = Spec::unit("%RH").between(0.0, 100.0), "Relative humidity.";
        hours: Quantity = Spec::unit("h").between(0.0, 8800.0), "Hours a year.";
        powered: bool = Spec::any(), "Whether the assembly is powered then.";
        board_rise: Quantity = Spec::unit("K").between(-10.0, 60.0), "Board temperature above air; negative when it lags behind.";
    }
}
record! {
    /// Where and how the product is used.
    Environment, "environment" {
        id: Text = Spec::id(), "Id of the environment.";
        title: Text = Spec::any().filled(), "In plain words.";
        outdoor: bool = Spec::any(), "Whether it stands outdoors.";
        source: SourceKind = Spec::any(), "Where the bins come from.";
        logged: Option<Quantity> = Spec::unit("months").between(0.0, 240.0).stated(), "Length of the measured log.";
        bin: Vec<Bin> = Spec::any().filled(), "Climate bins; hours sum to a year.";
        condensing: Option<Quantity> = Spec::unit("h").between(0.0, 8800.0).stated(), "Condensing hours a year, outside the bins.";
        standby: Option<Quantity> = Spec::any().between(0.0, 1.0).stated(), "Share of life in standby.";
        salt: bool = Spec::any(), "Salt present.";
        gas: bool = Spec::any(), "Corrosive gas present.";
        dust: bool = Spec::any(), "Conductive or wetting dust present.";
        swing: Quantity = Spec::unit("K").between(0.0, 200.0), "Largest usual swing of temperature.";
        owner: Text = Spec::to("person"), "Who answers for these data.";
    }
}
