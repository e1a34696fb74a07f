//! How a record is declared once: its struct, its reading and its schema come from one `record!` text.

use super::raw::{Node, Raw, Table};
use super::{Day, Moment};
use crate::diag::{At, Diagnostic, Log, codes, nearest};
use crate::quantity::{Quantity, Refusal, Unit, compact};

/// Text with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    pub text: String,
    pub at: At,
}

impl std::ops::Deref for Text {
    type Target = str;
    fn deref(&self) -> &str {
        &self.text
    }
}

impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text)
    }
}

/// A reference that was read, to be resolved when all records are known.
#[derive(Debug, Clone)]
pub struct Reference {
    /// Kind of the record that must exist.
    pub to: &'static str,
    pub id: Text,
    /// Kind and id of the record that refers.
    pub from: (String, String),
    pub field: String,
}

/// What a field holds, for the schema and the file reference.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    Text,
    Number,
    Quantity,
    Bool,
    Day,
    Moment,
    Words(&'static [&'static str]),
    List(Box<Kind>),
    Record(&'static str, &'static [FieldSpec]),
}

/// Constraints of a field beyond its type.
#[derive(Debug, Clone, Copy)]
pub struct Spec {
    /// Unit that gives a quantity its dimension and its range its scale.
    pub unit: &'static str,
    pub low: f64,
    pub high: f64,
    /// Kind of record that the text must name.
    pub to: Option<&'static str>,
    /// Must be given, or be listed in `unknown`.
    pub stated: bool,
    /// At least one element, or some text.
    pub filled: bool,
    /// The text is an id.
    pub id: bool,
}

impl Spec {
    pub const fn any() -> Self {
        Self {
            unit: "1",
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
            to: None,
            stated: false,
            filled: false,
            id: false,
        }
    }
    pub const fn id() -> Self {
        Self { id: true, ..Self::any() }
    }
    pub const fn unit(unit: &'static str) -> Self {
        Self { unit, ..Self::any() }
    }
    /// Range in the unit of the field, both ends included.
    pub const fn between(self, low: f64, high: f64) -> Self {
        Self { low, high, ..self }
    }
    pub const fn to(kind: &'static str) -> Self {
        Self { to: Some(kind), ..Self::any() }
    }
    pub const fn stated(self) -> Self {
        Self { stated: true, ..self }
    }
    pub const fn filled(self) -> Self {
        Self { filled: true, ..self }
    }
}

/// One field of a record.
#[derive(Debug, Clone, Copy)]
pub struct FieldSpec {
    pub name: &'static str,
    pub kind: fn() -> Kind,
    pub required: bool,
    pub spec: Spec,
    pub doc: &'static str,
}

impl FieldSpec {
    /// Must be given: neither left out nor listed in `unknown`.
    pub fn required(&self) -> bool {
        self.required || self.spec.filled
    }
}

impl PartialEq for FieldSpec {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

/// What reading collects besides the records.
#[derive(Debug, Default)]
pub struct Reader {
    pub log: Log,
    pub references: Vec<Reference>,
    /// Kind and id of the record being read.
    pub owner: (String, String),
    /// How many quantities and numbers were read (claim C1.6).
    pub quantities: usize,
}

/// A type that a field may have.
pub trait Field: Sized {
    /// True when a record may leave the field out.
    const OPTIONAL: bool = false;
    fn kind() -> Kind;
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self>;
    /// The value of a field that was left out.
    fn absent() -> Option<Self> {
        None
    }
}

/// A record: a table with known fields.
pub trait Record: Sized {
    const KIND: &'static str;
    /// What the record is, in a sentence.
    const ABOUT: &'static str;
    const FIELDS: &'static [FieldSpec];
    fn take(table: &Table, r: &mut Reader) -> Option<Self>;
    fn id(&self) -> Option<&Text>;
    fn at(&self) -> At;
}

fn wrong_type(node: &Node, field: &FieldSpec, wanted: &str) -> Diagnostic {
    Diagnostic::error(
        codes::WRONG_TYPE,
        format!("`{}` must be {wanted}, not {}", field.name, node.raw.name()),
        format!("write {wanted} here"),
    )
    .at(node.at, format!("this is {}", node.raw.name()))
}

impl Field for Text {
    fn kind() -> Kind {
        Kind::Text
    }
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self> {
        let Raw::Text(s) = &node.raw else {
            r.log.push(wrong_type(node, field, "text in quotes"));
            return None;
        };
        let t = Text { text: s.clone(), at: node.at };
        // An empty text is no answer anywhere: a proof, an owner's reason or an action on breach that says nothing.
        if s.trim().is_empty() {
            r.log.push(
                Diagnostic::error(
                    codes::MISSING_FIELD,
                    format!("`{}` is empty", field.name),
                    "write it; nothing can be judged without it",
                )
                .at(node.at, "nothing is written here"),
            );
            return None;
        }
        if field.spec.id && !is_id(s) {
            r.log.push(
                Diagnostic::error(
                    codes::BAD_ID,
                    format!("\"{}\" is not an id", s.escape_debug()),
                    "use 2 to 40 of the characters A-Z a-z 0-9 . _ - and begin with a letter or digit",
                )
                .at(node.at, "not an id"),
            );
            return None;
        }
        if let Some(to) = field.spec.to {
            r.references.push(Reference { to, id: t.clone(), from: r.owner.clone(), field: field.name.to_string() });
        }
        Some(t)
    }
}

/// Ids become names of files and anchors, so they hold nothing that a path or a page could misread.
pub fn is_id(s: &str) -> bool {
    (2..=40).contains(&s.len())
        && s.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'_' | b'-'))
        && s.as_bytes()[0].is_ascii_alphanumeric()
        && !s.contains("..")
        && !s.ends_with('.')
}

impl Field for bool {
    fn kind() -> Kind {
        Kind::Bool
    }
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self> {
        if let Raw::Bool(b) = node.raw {
            return Some(b);
        }
        r.log.push(wrong_type(node, field, "true or false"));
        None
    }
}

impl Field for Day {
    fn kind() -> Kind {
        Kind::Day
    }
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self> {
        let (Raw::Date(s) | Raw::Text(s)) = &node.raw else {
            r.log.push(wrong_type(node, field, "a date such as 2026-03-31"));
            return None;
        };
        let day = Day::parse(s);
        if day.is_none() {
            r.log.push(bad_date(node, field, s, "2026-03-31"));
        }
        day
    }
}

impl Field for Moment {
    fn kind() -> Kind {
        Kind::Moment
    }
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self> {
        let (Raw::Date(s) | Raw::Text(s)) = &node.raw else {
            r.log.push(wrong_type(node, field, "a moment such as 2025-10-06T08:00:00+01:00"));
            return None;
        };
        let m = Moment::parse(s);
        if m.is_none() {
            r.log.push(bad_date(node, field, s, "2025-10-06T08:00:00+01:00, with its offset"));
        }
        m
    }
}

fn bad_date(node: &Node, field: &FieldSpec, s: &str, form: &str) -> Diagnostic {
    Diagnostic::error(
        codes::BAD_DATE,
        format!("`{}` is not a date: {}", field.name, s.escape_debug()),
        format!("write it as {form}"),
    )
    .at(node.at, "no such date")
}

impl Field for Quantity {
    fn kind() -> Kind {
        Kind::Quantity
    }
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self> {
        let spec = &field.spec;
        let free = spec.unit == "*";
        let want = if free { Unit::one() } else { Unit::parse(spec.unit).ok()? };
        let plain = want.dimension() == crate::quantity::Dimension::NONE;
        let q = match &node.raw {
            Raw::Number(v, written) if plain => {
                if !v.is_finite() {
                    r.log.push(
                        Diagnostic::error(
                            codes::BAD_NUMBER,
                            format!("`{}` is not a finite number", field.name),
                            "write a finite number",
                        )
                        .at(node.at, "not finite"),
                    );
                    return None;
                }
                let mut q = Quantity::plain(*v, node.at);
                q.written = written.clone();
                q
            }
            Raw::Number(_, written) => {
                r.log.push(
                    Diagnostic::error(
                        codes::BARE_NUMBER,
                        format!("`{}` needs a unit", field.name),
                        format!("write \"{written} {}\" if that is the unit", spec.unit),
                    )
                    .at(node.at, format!("{} without a unit", want.dimension().name())),
                );
                return None;
            }
            Raw::Text(s) => match Quantity::parse(s, node.at) {
                Ok(q) if !free && !plain && q.dimension() == crate::quantity::Dimension::NONE => {
                    r.log.push(
                        Diagnostic::error(
                            if q.unit.text() == "1" { codes::BARE_NUMBER } else { codes::WRONG_DIMENSION },
                            format!(
                                "`{}` needs {}, and \"{s}\" is {}",
                                field.name,
                                want.dimension().name(),
                                q.dimension().name()
                            ),
                            format!("write it with its unit, for example in {}", spec.unit),
                        )
                        .at(node.at, format!("{} is needed here", want.dimension().name())),
                    );
                    return None;
                }
                // Half a per cent, or a half: nobody can tell.
                Ok(q) if spec.unit == "%" && q.unit.text() == "1" => {
                    r.log.push(
                        Diagnostic::error(
                            codes::BARE_NUMBER,
                            format!("`{}` needs a unit, and \"{s}\" has none", field.name),
                            format!(
                                "write \"{s} %\" if it is per cent, or \"{} %\" if it is a share",
                                compact(q.si * 100.0)
                            ),
                        )
                        .at(node.at, "per cent or a share?"),
                    );
                    return None;
                }
                Ok(q) if !free && q.dimension() != want.dimension() => {
                    r.log.push(
                        Diagnostic::error(
                            codes::WRONG_DIMENSION,
                            format!(
                                "`{}` is {}, and \"{s}\" is {}",
                                field.name,
                                want.dimension().name(),
                                q.dimension().name()
                            ),
                            format!("write {} here, for example in {}", want.dimension().name(), spec.unit),
                        )
                        .at(node.at, format!("this is {}", q.dimension().name())),
                    );
                    return None;
                }
                Ok(q) => q,
                Err(why) => {
                    r.log.push(bad_quantity(node, field, s, &why));
                    return None;
                }
            },
            _ => {
                r.log.push(wrong_type(node, field, if plain { "a number" } else { "a quantity in quotes" }));
                return None;
            }
        };
        let v = want.from_si(q.si);
        let unit = if spec.unit == "1" { String::new() } else { format!(" {}", spec.unit) };
        if !free && (v < spec.low - 1e-9 * spec.low.abs() || v > spec.high + 1e-9 * spec.high.abs()) {
            r.log.push(
                Diagnostic::error(
                    codes::OUT_OF_RANGE,
                    format!(
                        "`{}` is {}, outside {} to {}{}",
                        field.name,
                        q.written,
                        compact(spec.low),
                        compact(spec.high),
                        unit
                    ),
                    "check the value and its unit against the source",
                )
                .at(node.at, "not plausible"),
            );
            return None;
        }
        r.quantities += 1;
        Some(q)
    }
}

fn bad_quantity(node: &Node, field: &FieldSpec, s: &str, why: &Refusal) -> Diagnostic {
    let unit = field.spec.unit;
    let example = if unit == "*" { "8.0 log10 ohm" } else { unit };
    let comma = s.char_indices().find(|(i, c)| *c == ',' && s[i + 1..].starts_with(|d: char| d.is_ascii_digit()));
    let (label, hint) = match why {
        _ if comma.is_some() => {
            ("has a decimal comma".to_string(), format!("write a decimal point: \"{}\"", s.replacen(',', ".", 1)))
        }
        Refusal::NoNumber => (
            "does not begin with a number".to_string(),
            match unit {
                "*" => format!("write a number and a unit, for example \"{example}\""),
                "1" => "write a number".to_string(),
                _ => format!("write a number and a unit, for example \"1.0 {unit}\""),
            },
        ),
        Refusal::NoUnit => ("has no unit".to_string(), format!("add the unit, for example {example}")),
        Refusal::NotFinite => ("is not finite".to_string(), "write a finite number".to_string()),
        Refusal::UnknownUnit { unit: odd, nearest: near } => (
            format!("unit \"{}\" is not known", odd.escape_debug()),
            match nearest(odd, [unit]).or(near.as_deref()) {
                Some(n) => format!("did you mean {n}?"),
                None if unit == "1" => "write a number without a unit".to_string(),
                None => format!("write it in {example}"),
            },
        ),
    };
    Diagnostic::error(
        codes::BAD_QUANTITY,
        format!("`{}` is not a quantity: \"{}\"", field.name, s.escape_debug()),
        hint,
    )
    .at(node.at, label)
}

impl<T: Field> Field for Option<T> {
    const OPTIONAL: bool = true;
    fn kind() -> Kind {
        T::kind()
    }
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self> {
        T::read(node, field, r).map(Some)
    }
    fn absent() -> Option<Self> {
        Some(None)
    }
}

impl<T: Field> Field for Vec<T> {
    const OPTIONAL: bool = true;
    fn kind() -> Kind {
        Kind::List(Box::new(T::kind()))
    }
    fn read(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<Self> {
        let Raw::List(items) = &node.raw else {
            r.log.push(wrong_type(node, field, "a list in square brackets"));
            return None;
        };
        let read: Vec<Option<T>> = items.iter().map(|n| T::read(n, field, r)).collect();
        if field.spec.filled && items.is_empty() {
            r.log.push(
                Diagnostic::error(
                    codes::MISSING_FIELD,
                    format!("`{}` is an empty list", field.name),
                    "name at least one",
                )
                .at(node.at, "nothing is listed here"),
            );
            return None;
        }
        read.into_iter().collect()
    }
    fn absent() -> Option<Self> {
        Some(Vec::new())
    }
}

/// Reads a nested record.
pub fn nested<T: Record>(node: &Node, field: &FieldSpec, r: &mut Reader) -> Option<T> {
    let Raw::Table(t) = &node.raw else {
        r.log.push(wrong_type(node, field, "a table"));
        return None;
    };
    T::take(t, r)
}

/// Checks the keys of a table against the fields: unknown keys, `unknown = [...]`, fields left out.
pub fn check_keys(table: &Table, kind: &str, fields: &[FieldSpec], unknown: &[Text], r: &mut Reader) {
    for (key, _) in &table.entries {
        if fields.iter().all(|f| f.name != key.name) {
            let hint = match nearest(&key.name, fields.iter().map(|f| f.name)) {
                Some(n) => format!("did you mean `{n}`?"),
                None => format!("remove it; the file reference lists the fields of {kind}"),
            };
            r.log.push(
                Diagnostic::error(
                    codes::UNKNOWN_KEY,
                    format!("{kind} has no field `{}`", key.name.escape_debug()),
                    hint,
                )
                .at(key.at, "unknown key"),
            );
        }
    }
    for u in unknown {
        match fields.iter().find(|f| f.name == u.text) {
            None => {
                let hint = match nearest(u, fields.iter().map(|f| f.name)) {
                    Some(n) => format!("did you mean `{n}`?"),
                    None => "list only fields of this record".to_string(),
                };
                r.log.push(
                    Diagnostic::error(codes::UNKNOWN_KEY, format!("{kind} has no field `{}`", u.escape_debug()), hint)
                        .at(u.at, "listed as unknown, but not a field"),
                );
            }
            Some(f) if table.get(f.name).is_some() => r.log.push(
                Diagnostic::error(
                    codes::UNKNOWN_AND_GIVEN,
                    format!("`{}` is listed as unknown and given a value", f.name),
                    "remove one of the two",
                )
                .at(u.at, "listed here"),
            ),
            Some(f) if f.required() => r.log.push(
                Diagnostic::error(
                    codes::MISSING_FIELD,
                    format!("{kind} cannot do without `{}`", f.name),
                    format!("write `{} = ...`; nothing can be judged without it", f.name),
                )
                .at(u.at, "may not be unknown"),
            ),
            Some(_) => {}
        }
    }
    for f in fields {
        let listed = unknown.iter().any(|u| u.text == f.name);
        if table.get(f.name).is_none() && !listed && (f.required() || f.spec.stated) {
            let hint = if f.required() {
                format!("write `{} = ...`: {}", f.name, f.doc)
            } else {
                format!("write `{0} = ...` or `unknown = [\"{0}\"]`", f.name)
            };
            r.log.push(
                Diagnostic::error(codes::MISSING_FIELD, format!("{kind} lacks `{}`", f.name), hint)
                    .at(table.at, format!("in this {kind}")),
            );
        }
    }
}

/// Declares a record: its struct, fields, reading and schema.
///
/// `name: Type = spec, "what it is";` Option and Vec may be left out, all else must be given.
/// Every record also has `unknown`, `source_ref` and `note`.
macro_rules! record {
    ($(#[doc = $about:literal])* $name:ident, $kind:literal { $($field:ident : $ty:ty = $spec:expr, $doc:literal;)* }) => {
        $(#[doc = $about])*
        #[derive(Debug, Clone)]
        pub struct $name {
            /// Where the record begins.
            pub at: $crate::diag::At,
            $(#[doc = $doc] pub $field: $ty,)*
            /// Fields that are not known, by name.
            pub unknown: Vec<$crate::model::Text>,
            /// Document, revision and page that the record was taken from.
            pub source_ref: Option<$crate::model::Text>,
            /// Free text for the reader.
            pub note: Option<$crate::model::Text>,
        }

        impl $crate::model::Record for $name {
            const KIND: &'static str = $kind;
            const ABOUT: &'static str = concat!($($about),*);
            const FIELDS: &'static [$crate::model::FieldSpec] = &[
                $($crate::model::FieldSpec {
                    name: stringify!($field),
                    kind: <$ty as $crate::model::Field>::kind,
                    required: !<$ty as $crate::model::Field>::OPTIONAL,
                    spec: $spec,
                    doc: $doc,
                },)*
                $crate::model::FieldSpec {
                    name: "unknown",
                    kind: <Vec<$crate::model::Text> as $crate::model::Field>::kind,
                    required: false,
                    spec: $crate::model::Spec::any(),
                    doc: "Names of the fields that are not known.",
                },
                $crate::model::FieldSpec {
                    name: "source_ref",
                    kind: <Option<$crate::model::Text> as $crate::model::Field>::kind,
                    required: false,
                    spec: $crate::model::Spec::any(),
                    doc: "Document, revision and page that the record was taken from.",
                },
                $crate::model::FieldSpec {
                    name: "note",
                    kind: <Option<$crate::model::Text> as $crate::model::Field>::kind,
                    required: false,
                    spec: $crate::model::Spec::any(),
                    doc: "Free text for the reader.",
                },
            ];

            #[allow(unused_variables, reason = "a record without an id does not use it")]
            fn take(table: &$crate::model::raw::Table, r: &mut $crate::model::Reader) -> Option<Self> {
                let fields = Self::FIELDS;
                let before = r.owner.clone();
                if let Some($crate::model::raw::Node { raw: $crate::model::raw::Raw::Text(s), .. }) =
                    table.get("id").or_else(|| table.get("refdes"))
                {
                    r.owner = ($kind.to_string(), s.clone());
                } else if before.0.is_empty() {
                    r.owner = ($kind.to_string(), String::new());
                }
                let spec = |n: &str| fields.iter().find(|f| f.name == n).expect("declared above");
                let list = |n: &str, r: &mut $crate::model::Reader| match table.get(n) {
                    Some(node) => <Vec<$crate::model::Text> as $crate::model::Field>::read(node, spec(n), r).unwrap_or_default(),
                    None => Vec::new(),
                };
                let unknown = list("unknown", r);
                $crate::model::record::check_keys(table, $kind, fields, &unknown, r);
                $(let $field = match table.get(stringify!($field)) {
                    Some(node) => <$ty as $crate::model::Field>::read(node, spec(stringify!($field)), r),
                    None => <$ty as $crate::model::Field>::absent(),
                };)*
                let text = |n: &str, r: &mut $crate::model::Reader| match table.get(n) {
                    Some(node) => <$crate::model::Text as $crate::model::Field>::read(node, spec(n), r),
                    None => None,
                };
                let source_ref = text("source_ref", r);
                let note = text("note", r);
                r.owner = before;
                Some(Self { at: table.at, $($field: $field?,)* unknown, source_ref, note })
            }

            fn id(&self) -> Option<&$crate::model::Text> {
                record!(@id self $($field)*)
            }

            fn at(&self) -> $crate::diag::At {
                self.at
            }
        }

        impl $crate::model::Field for $name {
            fn kind() -> $crate::model::Kind {
                $crate::model::Kind::Record($kind, <Self as $crate::model::Record>::FIELDS)
            }
            fn read(
                node: &$crate::model::raw::Node,
                field: &$crate::model::FieldSpec,
                r: &mut $crate::model::Reader,
            ) -> Option<Self> {
                $crate::model::record::nested(node, field, r)
            }
        }
    };
    (@id $self:ident id $($rest:ident)*) => { Some(&$self.id) };
    (@id $self:ident refdes $($rest:ident)*) => { Some(&$self.refdes) };
    (@id $self:ident $($other:ident)*) => { None };
}

/// Declares the words that a field may hold.
macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($variant:ident = $word:literal),* $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $(#[doc = $word] $variant),* }

        impl $name {
            /// All words, in order.
            pub const WORDS: &'static [&'static str] = &[$($word),*];
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),* }
            }
            pub fn from_word(w: &str) -> Option<Self> {
                match w { $($word => Some(Self::$variant),)* _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }

        impl $crate::model::Field for $name {
            fn kind() -> $crate::model::Kind {
                $crate::model::Kind::Words(Self::WORDS)
            }
            fn read(
                node: &$crate::model::raw::Node,
                field: &$crate::model::FieldSpec,
                r: &mut $crate::model::Reader,
            ) -> Option<Self> {
                $crate::model::record::word(node, field, Self::WORDS, r).and_then(|w| Self::from_word(&w))
            }
        }
    };
}

/// Reads one of the words of a field, and proposes the nearest when it is another.
pub fn word(node: &Node, field: &FieldSpec, words: &[&str], r: &mut Reader) -> Option<String> {
    let Raw::Text(s) = &node.raw else {
        r.log.push(wrong_type(node, field, "a word in quotes"));
        return None;
    };
    if words.contains(&s.as_str()) {
        return Some(s.clone());
    }
    let hint = match nearest(s, words.iter().copied()) {
        Some(n) => format!("did you mean \"{n}\"?"),
        None => format!("use one of: {}", words.join(", ")),
    };
    r.log.push(
        Diagnostic::error(
            codes::UNKNOWN_WORD,
            format!("`{}` does not know the word \"{}\"", field.name, s.escape_debug()),
            hint,
        )
        .at(node.at, "unknown word"),
    );
    None
}
