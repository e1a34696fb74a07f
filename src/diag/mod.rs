//! Takes nothing; gives the words for bad input: places, diagnostics, codes, did-you-mean.

pub mod codes;
pub mod digest;
mod place;
mod report;
mod suggest;

pub use digest::sha256_hex;
pub use place::{At, FileId, SourceFile, Sources};
pub use report::{Diagnostic, Label, Log, Severity};
pub use suggest::nearest;
