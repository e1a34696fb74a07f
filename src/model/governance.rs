//! Who agreed to what: people, laboratories, protocol, criteria, conditions, assumptions, doubts, waivers.

use super::record::Spec;
use super::{Day, Text};
use crate::quantity::Quantity;

record! {
    /// The manufacturer's site and the rules of the house (`galipot.toml`).
    SiteFacts, "site" {
        id: Text = Spec::id(), "Id of the site.";
        name: Text = Spec::any().filled(), "Name of the manufacturer and site.";
        as_of: Day = Spec::any(), "Day on which all evidence is judged, unless --as-of says otherwise.";
        hv_threshold: Quantity = Spec::unit("V").between(30.0, 1500.0), "Voltage above which a pair is high voltage.";
        regimes: Vec<Quantity> = Spec::unit("V").between(0.5, 1500.0).filled(), "Voltages that part the regimes, low then high.";
        max_conditions: Quantity = Spec::any().between(0.0, 50.0), "Most conditions that a dossier may carry.";
        currency: Option<Text> = Spec::any(), "Label of the currency.";
        retention: Quantity = Spec::unit("years").between(2.0, 100.0), "How long dossiers are kept.";
        retention_basis: Text = Spec::any().filled(), "Why that long.";
    }
}
record! {
    /// A customer.
    Customer, "customer" {
        id: Text = Spec::id(), "Id.";
        name: Text = Spec::any().filled(), "Name.";
        sector: Text = Spec::any().filled(), "Sector.";
        quality_agreement: Text = Spec::any().filled(), "Quality agreement.";
    }
}
words!(/// Side that a person stands on.
Org { Manufacturer = "manufacturer", Customer = "customer", Laboratory = "laboratory", Supplier = "supplier" });
record! {
    /// A person with a role and an authority.
    Person, "person" {
        id: Text = Spec::id(), "Id.";
        name: Text = Spec::any().filled(), "Name.";
        org: Org = Spec::any(), "Side.";
        role: Text = Spec::any().filled(), "Role.";
        customer: Option<Text> = Spec::to("customer"), "Customer that a person of the customer's side speaks for; needed where the site has several.";
        authority: Vec<Text> = Spec::any(), "What the person may sign: prepare, review, approve, accept, waive.";
        keys: Vec<Text> = Spec::any(), "Public keys that the person signs with, each as one line of OpenSSH: algorithm and key.";
        valid_from: Day = Spec::any(), "First day of the authority.";
        valid_to: Day = Spec::any(), "Last day of the authority.";
    }
}
words!(/// Independence of a laboratory.
Independence { Internal = "internal", Supplier = "supplier", Independent = "independent" });
record! {
    /// A method in the scope of a laboratory.
    Scope, "scope" {
        method: Text = Spec::any().filled(), "Method.";
        edition: Text = Spec::any().filled(), "Edition.";
        valid_from: Day = Spec::any(), "First day.";
        valid_to: Day = Spec::any(), "Last day.";
    }
}
record! {
    /// A laboratory, or a measuring place of the house.
    Lab, "lab" {
        id: Text = Spec::id(), "Id.";
        name: Text = Spec::any().filled(), "Name.";
        independence: Independence = Spec::any(), "Independence.";
        accreditation: Option<Text> = Spec::any().stated(), "Number of the accreditation.";
        scope: Vec<Scope> = Spec::any(), "Accredited methods.";
        method_validation: Option<Text> = Spec::any(), "Validation record of an in-house method.";
        approved_by: Option<Text> = Spec::to("person"), "Customer's engineer who accepted the in-house method.";
        sells: Vec<Text> = Spec::to("material"), "Materials that this laboratory's owner sells.";
    }
}
record! {
    /// A measuring instrument and its calibrations.
    Instrument, "instrument" {
        id: Text = Spec::id(), "Id.";
        kind: Text = Spec::any().filled(), "What it measures.";
        certificate: Text = Spec::any().filled(), "Calibration certificate.";
        cal_from: Day = Spec::any(), "First day of the calibration.";
        cal_to: Day = Spec::any(), "Last day of the calibration.";
        post_check: Option<Day> = Spec::any(), "Day of a check after the run that found it in tolerance.";
    }
}
words!(/// What became of a requirement.
Disposition { Open = "open", Complied = "complied", Waived = "waived", NotApplicable = "not_applicable", Forbids = "forbids" });
record! {
    /// A clause of a drawing, order or agreement that touches cleaning.
    Requirement, "requirement" {
        id: Text = Spec::id(), "Id.";
        document: Text = Spec::any().filled(), "Document.";
        document_rev: Text = Spec::any().filled(), "Revision.";
        clause: Text = Spec::any().filled(), "Clause.";
        text: Text = Spec::any().filled(), "What it asks, in our words.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies that it touches.";
        disposition: Disposition = Spec::any(), "What became of it.";
        customer_ref: Option<Text> = Spec::any(), "Customer's letter that waives it.";
        owner: Text = Spec::to("person"), "Owner.";
    }
}
words!(/// How the verdict treats measurement uncertainty.
DecisionRule { Simple = "simple", Guarded = "guarded" });
record! {
    /// A run that the protocol plans, with the claims that it is to speak to.
    Planned, "planned" {
        id: Text = Spec::id(), "Run id, allocated before any data.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies.";
        what: Text = Spec::any().filled(), "What is to be run.";
        fields_independent: Option<Text> = Spec::any(), "Reason why dimensions of different vehicles may be combined at one place.";
    }
}
record! {
    /// The plan that was signed before the data.
    Protocol, "protocol" {
        id: Text = Spec::id(), "Id.";
        version: Text = Spec::any().filled(), "Version.";
        signed_on: Day = Spec::any(), "Day of the signatures.";
        signers: Vec<Text> = Spec::to("person").filled(), "Who signed.";
        criteria_set: Text = Spec::to("criteria_set"), "Criteria.";
        decision_rule: DecisionRule = Spec::any(), "Decision rule.";
        exclusions_rule: Text = Spec::any().filled(), "When a reading may be left out.";
        planned: Vec<Planned> = Spec::any().filled(), "Planned runs.";
    }
}
record! {
    /// A set of criteria that was agreed as a whole.
    CriteriaSet, "criteria_set" {
        id: Text = Spec::id(), "Id.";
        agreed_on: Day = Spec::any(), "Day of agreement.";
        agreed_by: Vec<Text> = Spec::to("person").filled(), "Who agreed.";
        valid_to: Option<Day> = Spec::any(), "Last day.";
    }
}
words!(/// How readings become the one number that is compared.
Statistic {
    Each = "each", Mean = "mean", Ltb = "LTB", Utb = "UTB", Ratio = "ratio", Cpk = "Cpk", Difference = "difference",
    Shift = "shift", UpperLimit = "upper_limit",
});
words!(/// Which way the comparison goes.
Sense { Ge = "ge", Le = "le", In = "in" });
words!(/// What is taken off a value before it is compared.
Guard { None = "none", OneSided = "1.64u", Expanded = "U" });
words!(/// How well the source of a limit is known to galipot's user.
Standing { Agreed = "agreed", Seen = "seen", Memory = "memory", Practice = "practice", Invented = "invented" });
record! {
    /// A limit, with everything that makes it a limit.
    Criterion, "criterion" {
        id: Text = Spec::id(), "Id.";
        quantity: Text = Spec::any().filled(), "What is compared, for example sir.";
        operator: Sense = Spec::any(), "ge, le or in.";
        value: Quantity = Spec::unit("*"), "The limit, or the lower end of a range.";
        upper: Option<Quantity> = Spec::unit("*"), "Upper end of a range.";
        statistic: Statistic = Spec::any(), "Statistic.";
        p: Option<Quantity> = Spec::any().between(0.5, 0.9999), "Share of the population that the bound covers.";
        conf: Option<Quantity> = Spec::any().between(0.5, 0.9999), "Confidence of the bound.";
        min_n: Option<Quantity> = Spec::any().between(1.0, 1e6), "Fewest readings.";
        min_boards: Option<Quantity> = Spec::any().between(1.0, 1e6), "Fewest boards.";
        min_lots: Option<Quantity> = Spec::any().between(1.0, 1000.0), "Fewest lots.";
        spec_low: Option<Quantity> = Spec::unit("*"), "Lower specification limit of a capability.";
        spec_high: Option<Quantity> = Spec::unit("*"), "Upper specification limit of a capability.";
        geometry: Vec<Text> = Spec::any(), "Pattern designs that the limit was agreed for; empty when it is no resistance.";
        window: Vec<Quantity> = Spec::unit("h").between(0.0, 20000.0), "First and last hour of a time series.";
        max_interval: Option<Quantity> = Spec::unit("min").between(0.01, 10000.0), "Longest interval between readings.";
        guard_rule: Guard = Spec::any(), "Guard band.";
        standard: Text = Spec::any().filled(), "Standard, or AABUS.";
        edition: Text = Spec::any().filled(), "Edition.";
        clause: Text = Spec::any().filled(), "Clause.";
        standing: Standing = Spec::any(), "How well the source is known.";
        rationale: Text = Spec::any().filled(), "Why this limit.";
        applies_to: Vec<Text> = Spec::to("claim or gate").filled(), "Claims, or gates of admissibility G1 to G12.";
        assemblies: Vec<Text> = Spec::to("assembly"), "Assemblies; empty for all.";
        set: Text = Spec::to("criteria_set"), "Criteria set.";
    }
}
record! {
    /// How long one kind of evidence counts, agreed with the criteria.
    Age, "age" {
        kind: Text = Spec::any().filled(), "Kind of run, or of audit as handling-audit.";
        months: Quantity = Spec::any().between(1.0, 600.0), "Months from the end of the run or the day of the audit.";
        set: Text = Spec::to("criteria_set"), "Criteria set.";
    }
}
record! {
    /// A limit that must go on holding.
    Condition, "condition" {
        id: Text = Spec::id(), "Id.";
        assembly: Text = Spec::to("assembly"), "Assembly.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims that rest on it.";
        text: Text = Spec::any().filled(), "The condition in one sentence of at most 160 characters.";
        parameter: Text = Spec::any().filled(), "What is watched.";
        sense: Sense = Spec::any(), "ge, le or in.";
        limit: Quantity = Spec::unit("*"), "Limit.";
        verification: Text = Spec::any().filled(), "How it is verified.";
        feed: Option<Text> = Spec::any().stated(), "File in the site that records it, or id of a chart.";
        feed_on: Option<Day> = Spec::any(), "Day of the newest entry of the feed.";
        frequency: Option<Quantity> = Spec::unit("days").between(0.04, 4000.0).stated(), "How often it is verified.";
        owner: Option<Text> = Spec::to("person").stated(), "Owner.";
        due: Option<Day> = Spec::any().stated(), "Day by which it must be reviewed.";
        breach_action: Option<Text> = Spec::any().stated(), "What happens when it is breached.";
        stop_ship: Option<bool> = Spec::any().stated(), "Whether a breach stops shipment.";
        answers: Vec<Text> = Spec::any(), "Runs, bridges, defeaters that it answers.";
        excludes: Vec<Text> = Spec::any(), "Places that it takes out of use: a fabricator, a zone, a part.";
    }
}
words!(/// State of an assumption.
AssumptionStatus { Accepted = "accepted", AcceptedWithLimit = "accepted_with_limit", Open = "open", Falsified = "falsified" });
record! {
    /// Something accepted without a test.
    Assumption, "assumption" {
        id: Text = Spec::id(), "Id.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims that rest on it.";
        text: Text = Spec::any().filled(), "What is assumed.";
        basis: Text = Spec::any().filled(), "Why it may be assumed.";
        falsifier: Text = Spec::any().filled(), "What would show that it is wrong.";
        owner: Text = Spec::to("person"), "Owner.";
        review_on: Day = Spec::any(), "Day of the next review.";
        status: AssumptionStatus = Spec::any(), "State.";
    }
}
words!(/// Kind of doubt.
DoubtKind { Rebut = "rebut", Undercut = "undercut", Undermine = "undermine" });
words!(/// Weight of a doubt.
Severity { Major = "major", Minor = "minor", Note = "note" });
words!(/// What became of a doubt.
DoubtStatus { Open = "open", Refuted = "refuted", Accepted = "accepted", Confirmed = "confirmed" });
record! {
    /// A doubt that a person raised.
    Doubt, "doubt" {
        id: Text = Spec::id(), "Id.";
        assembly: Text = Spec::to("assembly"), "Assembly.";
        claim: Text = Spec::to("claim").filled(), "Claim.";
        kind: DoubtKind = Spec::any(), "Kind.";
        severity: Severity = Spec::any(), "Weight.";
        text: Text = Spec::any().filled(), "The doubt.";
        raised_by: Text = Spec::to("person"), "Who raised it.";
        raised_on: Day = Spec::any(), "When.";
    }
}
record! {
    /// The answer to a doubt, raised by a person or by galipot.
    Answer, "answer" {
        doubt: Text = Spec::any().filled(), "Id of the doubt, as printed.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies for which it is answered.";
        status: DoubtStatus = Spec::any(), "refuted, accepted or confirmed.";
        text: Text = Spec::any().filled(), "The answer.";
        evidence: Vec<Text> = Spec::any(), "Runs, audits, conditions or claims that carry it.";
        waiver: Option<Text> = Spec::to("waiver"), "Waiver of an accepted doubt.";
        by: Text = Spec::to("person"), "Who answers.";
        on: Day = Spec::any(), "When.";
    }
}
record! {
    /// Signed reasoning that carries evidence across a gap of coverage.
    Bridge, "bridge" {
        id: Text = Spec::id(), "Id.";
        run: Text = Spec::to("run"), "Run whose evidence is carried.";
        assembly: Text = Spec::to("assembly"), "Assembly to which it is carried.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims.";
        dimensions: Vec<Text> = Spec::to("dimension").filled(), "Coverage dimensions, K1 to K21.";
        reason: Text = Spec::any().filled(), "Why it may be carried.";
        data_ref: Text = Spec::any().filled(), "Data that support the reason.";
        approved_by: Option<Text> = Spec::to("person").stated(), "Customer's engineer who approved.";
        approved_on: Option<Day> = Spec::any().stated(), "When.";
        expires: Option<Day> = Spec::any().stated(), "Last day.";
    }
}
record! {
    /// The customer's acceptance of a risk that the evidence does not cover.
    Waiver, "waiver" {
        id: Text = Spec::id(), "Id.";
        assembly: Text = Spec::to("assembly"), "Assembly.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims.";
        scope: Text = Spec::any().filled(), "What is accepted.";
        limit_of_use: Text = Spec::any().filled(), "Within which use.";
        customer_authority: Text = Spec::to("person"), "Person of the customer with the authority to waive.";
        from: Day = Spec::any(), "First day.";
        to: Day = Spec::any(), "Last day.";
    }
}
record! {
    /// A reviewer's remark on a dossier, and what became of it.
    Comment, "comment" {
        id: Text = Spec::id(), "Id.";
        assembly: Text = Spec::to("assembly"), "Assembly.";
        by: Text = Spec::to("person"), "Who remarks.";
        raised_on: Day = Spec::any(), "When.";
        section: Text = Spec::any().filled(), "Section of the dossier by its name, for example coverage; `dossier` for all of it.";
        decision: Decision = Spec::any(), "What the reviewer says of the section.";
        text: Option<Text> = Spec::any(), "The remark.";
        digest: Option<Text> = Spec::any(), "Digest of inputs and record of the dossier that it is about.";
        disposition: Option<Text> = Spec::any(), "What was done about it.";
        closed_by: Option<Text> = Spec::to("person"), "Who closed it: the one who raised it, or somebody who may review or approve on that day.";
        closed_on: Option<Day> = Spec::any(), "When it was closed, from raised_on to the day of judgement; an open comment blocks an issue.";
    }
}
words!(/// What a reviewer says of a section.
Decision { Agree = "agree", Question = "question", Object = "object" });
record! {
    /// Proof that the cause of a failed run lies outside the claimed process.
    OutsideCause, "outside_cause" {
        run: Text = Spec::to("run"), "Failed run.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims.";
        assembly: Text = Spec::to("assembly"), "Assembly.";
        cause: Text = Spec::any().filled(), "The cause.";
        proof: Option<Text> = Spec::any().stated(), "Document that shows the cause.";
        condition: Option<Text> = Spec::to("condition").stated(), "Condition that keeps the cause out.";
        repeat: Option<Text> = Spec::any().stated(), "Planned run that repeated the test without the cause.";
        accepted_by: Option<Text> = Spec::to("person").stated(), "Customer's engineer who accepted.";
        accepted_on: Option<Day> = Spec::any().stated(), "When.";
    }
}
words!(/// Weight of an audit finding.
FindingSeverity { Major = "major", Minor = "minor" });
record! {
    /// A finding of an audit.
    Finding, "finding" {
        severity: FindingSeverity = Spec::any(), "Weight.";
        text: Text = Spec::any().filled(), "What was found.";
        flux: Option<Text> = Spec::to("material"), "Flux that was found where none was listed.";
        assemblies: Vec<Text> = Spec::to("assembly"), "Assemblies that it touches; empty for all of the audit.";
        closed_on: Option<Day> = Spec::any().stated(), "Day of closing.";
    }
}
words!(/// Kind of audit.
AuditKind { Handling = "handling", Segregation = "segregation", Rework = "rework", Bench = "bench", Hardware = "hardware" });
record! {
    /// An audit on the floor.
    Audit, "audit" {
        id: Text = Spec::id(), "Id.";
        kind: AuditKind = Spec::any(), "Kind.";
        date: Day = Spec::any(), "Day.";
        auditor: Text = Spec::to("person"), "Auditor.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies whose lines were audited.";
        max_minor: Quantity = Spec::any().between(0.0, 100.0), "Most open minor findings that were agreed to pass.";
        finding: Vec<Finding> = Spec::any(), "Findings.";
        report: Text = Spec::any().filled(), "Report.";
    }
}
record! {
    /// A control chart.
    Chart, "chart" {
        id: Text = Spec::id(), "Id.";
        quantity: Text = Spec::any().filled(), "What is charted.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies.";
        run: Text = Spec::any().filled(), "Run that holds the points.";
        reaction: Option<Text> = Spec::any().stated(), "What is done when a point lies outside.";
        owner: Option<Text> = Spec::to("person").stated(), "Owner.";
        witness_interval: Option<Quantity> = Spec::unit("days").between(1.0, 2000.0), "Interval of the witness coupons.";
        returns_coded: bool = Spec::any(), "Whether returns are coded for residue.";
    }
}
record! {
    /// A change that would re-open claims, and who watches for it.
    Trigger, "trigger" {
        id: Text = Spec::id(), "Id.";
        signal: Text = Spec::any().filled(), "What is watched for.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims that it re-opens.";
        owner: Option<Text> = Spec::to("person").stated(), "Owner.";
        stop_ship: bool = Spec::any(), "Whether it stops shipment.";
    }
}
words!(/// State of a step of acceptance.
AcceptanceStatus { Approved = "approved", NoImpact = "no_impact", Open = "open" });
record! {
    /// First articles, safety files, manuals: acceptance outside the technical claims.
    Acceptance, "acceptance" {
        claim: Text = Spec::to("claim").filled(), "Claim of the group C9.";
        assembly: Text = Spec::to("assembly"), "Assembly.";
        status: AcceptanceStatus = Spec::any(), "State.";
        document: Text = Spec::any().filled(), "Document.";
        by: Option<Text> = Spec::to("person"), "Who.";
        on: Option<Day> = Spec::any(), "When.";
    }
}
record! {
    /// A row of the failure-mode table.
    FailureMode, "failure_mode" {
        id: Text = Spec::id(), "Id.";
        assemblies: Vec<Text> = Spec::to("assembly").filled(), "Assemblies.";
        step: Text = Spec::any().filled(), "Process step.";
        failure: Text = Spec::any().filled(), "Failure.";
        effect: Text = Spec::any().filled(), "Effect.";
        cause: Text = Spec::any().filled(), "Cause.";
        severity: Quantity = Spec::any().between(1.0, 10.0), "Severity 1 to 10.";
        occurrence: Quantity = Spec::any().between(1.0, 10.0), "Occurrence 1 to 10.";
        detection: Quantity = Spec::any().between(1.0, 10.0), "Detection 1 to 10.";
        action: Text = Spec::any().filled(), "Action.";
        owner: Text = Spec::to("person"), "Owner.";
        claims: Vec<Text> = Spec::to("claim").filled(), "Claims.";
    }
}
record! {
    /// A claim of a tree: what is said, how it is judged, what its evidence must cover.
    ClaimSpec, "claim" {
        id: Text = Spec::any().filled(), "Id, for example C3.2.";
        tree: TreeKind = Spec::any(), "Tree.";
        parent: Option<Text> = Spec::any(), "Parent claim; none for the root.";
        title: Text = Spec::any().filled(), "Two or three words.";
        text: Text = Spec::any().filled(), "The claim, a sentence that can be true or false.";
        combine: Option<Combine> = Spec::any(), "How sub-claims combine; only for a claim that has some.";
        rule: Option<Text> = Spec::any(), "Kind of rule of a leaf.";
        check: Option<Text> = Spec::any(), "Which inspection, audit or comparison the rule runs.";
        per: Option<Per> = Spec::any(), "Places that the claim speaks of, one by one.";
        covers: Vec<Text> = Spec::to("dimension"), "Coverage dimensions that its evidence must cover.";
        washed: Option<WashState> = Spec::any(), "Wash history that its evidence must have.";
        phenomenon: Option<Text> = Spec::any(), "Tag that makes two alternatives speak of the same thing.";
        of_process: Option<bool> = Spec::any(), "Speaks of the process or its materials, so its margin does not rank places of the board.";
        after_issue: Option<bool> = Spec::any(), "Judged after issue, so not part of the technical state.";
        optional: Option<bool> = Spec::any(), "Left out unless the customer asks.";
        may_not_apply: Option<bool> = Spec::any(), "Whether a claim on the whole assembly may be stated not to apply.";
        all_na: Option<bool> = Spec::any(), "Whether the claim may rest on sub-claims that all do not apply.";
        standard: Option<Text> = Spec::any(), "Standards to look into, edition to be verified.";
        lever: Option<Text> = Spec::any(), "What usually lifts it, in order of cost.";
    }
}
words!(/// The three trees.
TreeKind { Leave = "leave", Wash = "wash", Present = "present" });
words!(/// How sub-claims combine.
Combine { All = "all", Any = "any" });
words!(/// The places that a claim speaks of.
Per {
    Assembly = "assembly", Open = "open", Body = "body", LowGap = "low_gap", Overlap = "overlap", Zone = "zone",
    LiquidZone = "liquid_zone", CoatedZone = "coated_zone", Pair = "pair", HighVoltage = "high_voltage", Node = "node",
    Rf = "rf", Contact = "contact", Optic = "optic", Thermal = "thermal", Fabricator = "fabricator",
});
words!(/// Wash history of evidence.
WashState { Unwashed = "unwashed", Saponified = "saponified", Water = "water", Any = "any" });
