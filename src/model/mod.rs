//! The types that pass between stages: data only, no calculation, no judgement.

#[macro_use]
mod record;
pub mod assembly;
pub mod assessment;
pub mod bundle;
pub mod changes;
pub mod document;
pub mod economy;
pub mod evidence;
pub mod governance;
pub mod parts;
pub mod planning;
pub mod processes;
pub mod raw;
pub mod site;
pub mod tables;
pub mod workings;

mod day;
pub use day::{Day, Moment};
pub use record::{Field, FieldSpec, Kind, Reader, Record, Reference, Spec, Text};
