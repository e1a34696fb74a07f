//! Ten thousand seeded changes of a small signed bag: every one is found, and none panics.

use super::*;

struct Lot(u64);

impl Lot {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
}

/// One change; its name, or none when it would change nothing.
fn change(bag: &mut Files, other: &Files, lot: &mut Lot) -> Option<String> {
    let paths: Vec<String> = bag.keys().cloned().collect();
    let path = paths[lot.below(paths.len())].clone();
    let bytes = bag[&path].clone();
    let name = match lot.below(15) {
        0 if !bytes.is_empty() => {
            let mut b = bytes;
            let i = lot.below(b.len());
            b[i] ^= 1 << lot.below(8);
            bag.insert(path.clone(), b);
            format!("flip a bit of {path}")
        }
        1 if !bytes.is_empty() => {
            bag.insert(path.clone(), bytes[..lot.below(bytes.len())].to_vec());
            format!("truncate {path}")
        }
        2 => {
            let mut b = bytes;
            b.push(lot.below(256) as u8);
            bag.insert(path.clone(), b);
            format!("append to {path}")
        }
        3 => {
            // The last approval may be taken away: a bag that was never accepted looks the same.
            if path.starts_with("signatures/02") {
                return None;
            }
            bag.remove(&path);
            format!("delete {path}")
        }
        4 => {
            let folder = ["", "data/", "data/inputs/", "signatures/", "whole/"][lot.below(5)];
            let new = format!("{folder}new-{}", lot.below(1000));
            bag.insert(new.clone(), bytes);
            format!("add {new}")
        }
        5 => {
            bag.remove(&path);
            let new = format!("{path}x");
            bag.insert(new.clone(), bytes);
            format!("rename {path} to {new}")
        }
        6 => {
            let second = paths[lot.below(paths.len())].clone();
            if bag[&second] == bytes {
                return None;
            }
            let b = bag.insert(second.clone(), bytes)?;
            bag.insert(path.clone(), b);
            format!("swap {path} and {second}")
        }
        7 => {
            let b = other.get(&path).filter(|b| **b != bytes)?;
            bag.insert(path.clone(), b.clone());
            format!("{path} of the other revision")
        }
        8 => {
            let info = String::from_utf8(bag["bag-info.txt"].clone()).expect("text");
            let line = lot.below(info.lines().count());
            let changed: String = info
                .lines()
                .enumerate()
                .map(|(i, l)| if i == line { format!("{l}0\n") } else { format!("{l}\n") })
                .collect();
            bag.insert("bag-info.txt".into(), changed.into_bytes());
            format!("line {line} of bag-info.txt")
        }
        9 => {
            let n = 1 + lot.below(2);
            let (from, _) =
                if n == 1 { ("signatures/01-approve-QM.json", 0) } else { ("signatures/02-accept-RE.json", 0) };
            let to = format!("signatures/03-{}.json", if n == 1 { "approve-QM" } else { "accept-RE" });
            bag.insert(to.clone(), bag[from].clone());
            bag.insert(format!("{to}.sig"), bag[&format!("{from}.sig")].clone());
            format!("duplicate {from}")
        }
        10 => {
            let people = String::from_utf8(bag["data/people.json"].clone()).expect("text").replace("2027", "2029");
            bag.insert("data/people.json".into(), people.into_bytes());
            "edit the people".into()
        }
        11 => {
            let upper = path.to_uppercase();
            if upper == path {
                return None;
            }
            bag.remove(&path);
            bag.insert(upper.clone(), bytes);
            format!("{path} in capitals")
        }
        12 => {
            // The same letters, composed the other way.
            let from = "data/inputs/runs/R/r\u{e9}sum\u{e9} 100 %.csv";
            let b = bag.remove(from)?;
            bag.insert("data/inputs/runs/R/re\u{301}sume\u{301} 100 %.csv".into(), b);
            "letters composed otherwise".into()
        }
        13 => {
            let mut text = String::from_utf8(bag["manifest-sha256.txt"].clone()).expect("text");
            let line = text.lines().nth(lot.below(text.lines().count()))?.to_string();
            text =
                if lot.below(2) == 0 { format!("{text}{line}\n") } else { text.replacen(&format!("{line}\n"), "", 1) };
            bag.insert("manifest-sha256.txt".into(), text.into_bytes());
            "a line of the manifest twice, or gone".into()
        }
        _ => {
            let out = ["../../etc/passwd", "/etc/passwd", "data/../../up", "data\\up", "c:up"][lot.below(5)];
            let text = format!(
                "{}{}  {out}\n",
                String::from_utf8(bag["manifest-sha256.txt"].clone()).expect("text"),
                galipot::diag::sha256_hex(&bytes)
            );
            bag.insert("manifest-sha256.txt".into(), text.into_bytes());
            format!("a line that leads to {out}")
        }
    };
    Some(name)
}

#[test]
fn ten_thousand_changes_are_all_found() {
    let mut other = small("2", Some(&small("1", None))).files;
    sign(&mut other, "QM", "approve", KEYS[0], |_| {});
    all_found(&signed(), &other, 10_000);
}

/// A copy cannot hide what was done to it either: its whole says what it must hold and tell.
#[test]
fn five_thousand_changes_of_a_copy_are_all_found() {
    let of = |bag: &Files| seal::redact(bag, "customer").expect("a copy").files;
    all_found(&of(&signed()), &of(&small("2", Some(&small("1", None))).files), 5_000);
}

fn all_found(good: &Files, other: &Files, wanted: usize) {
    let mut lot = Lot(20260331);
    let mut made = 0;
    let mut kinds = std::collections::BTreeSet::new();
    while made < wanted {
        let mut bag = good.clone();
        // Every third bag is sealed anew by somebody who can write manifests: then the approvals give him away.
        let reseal = lot.below(3) == 0;
        let Some(name) = change(&mut bag, other, &mut lot) else { continue };
        let has_all =
            ["bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt"].iter().all(|f| bag.contains_key(*f));
        let name = match reseal && has_all && std::str::from_utf8(&bag["bag-info.txt"]).is_ok() {
            true => {
                super::copies::reseal(&mut bag);
                if bag == *good {
                    continue;
                }
                format!("{name}, sealed anew")
            }
            false => name,
        };
        let report = seal::verify(&bag, &[]);
        assert!(!report.intact(), "not found: {name}");
        let _ = seal::chain(&report, &[seal::verify(other, &[])]);
        let _ = seal::redact(&bag, "lab");
        kinds.insert(name.split(' ').take(2).collect::<Vec<_>>().join(" "));
        made += 1;
    }
    assert!(kinds.len() > 10, "{kinds:?}");
}
