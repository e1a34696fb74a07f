//! Takes files in memory; gives the places in them that every value and every problem points at.

use std::collections::BTreeMap;

/// Index of a file in [`Sources`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A stretch of bytes in one source file. Lines and columns count from 1; a column counts characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct At {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
    pub line: u32,
    pub column: u32,
}

/// One input file as it was read: its path inside the site (forward slashes), bytes and digest.
#[derive(Debug, Clone)]
pub struct SourceFile {
    pub path: String,
    pub bytes: Vec<u8>,
    /// SHA-256 in lower-case hexadecimal.
    pub sha256: String,
    /// True for the profiles that travel inside the program and for `--set` values.
    pub built_in: bool,
}

/// All input files, sorted by path; the only thing that reading starts from.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
    by_path: BTreeMap<String, u32>,
}

impl Sources {
    /// Adds a file; a second file with the same path replaces the first.
    pub fn add(&mut self, file: SourceFile) -> FileId {
        if let Some(&i) = self.by_path.get(&file.path) {
            self.files[i as usize] = file;
            return FileId(i);
        }
        let i = self.files.len() as u32;
        self.by_path.insert(file.path.clone(), i);
        self.files.push(file);
        FileId(i)
    }

    pub fn get(&self, id: FileId) -> &SourceFile {
        &self.files[id.0 as usize]
    }

    pub fn find(&self, path: &str) -> Option<FileId> {
        self.by_path.get(path).map(|&i| FileId(i))
    }

    /// Files in order of path, with their ids.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.by_path.values().map(|&i| (FileId(i), &self.files[i as usize]))
    }

    /// `path:line` of a place, the form in which every page cites its inputs.
    pub fn cite(&self, at: At) -> String {
        format!("{}:{}", self.get(at.file).path, at.line)
    }

    /// Makes a place from byte offsets; offsets beyond the end are drawn in.
    pub fn at(&self, file: FileId, start: usize, end: usize) -> At {
        let bytes = &self.get(file).bytes;
        let start = start.min(bytes.len());
        let end = end.clamp(start, bytes.len());
        let before = &bytes[..start];
        let line_start = before.iter().rposition(|&b| b == b'\n').map_or(0, |p| p + 1);
        let line = before.iter().filter(|&&b| b == b'\n').count() as u32 + 1;
        let column = String::from_utf8_lossy(&before[line_start..]).chars().count() as u32 + 1;
        At { file, start: start as u32, end: end as u32, line, column }
    }
}
