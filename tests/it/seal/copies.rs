//! Copies for one reader: they hold nothing that is not for him, and verify against the digest of the whole.

use super::*;

#[test]
fn a_copy_holds_nothing_that_is_withheld() {
    let whole = signed();
    let digest = seal::verify(&whole, &[]).digest;
    for (reader, secrets, kept) in [
        (
            "lab",
            &["secret net", "secret price", "text of verdict", "secret pair", "secret wish", "\"leave\"", "CO-1"][..],
            "text of electrical",
        ),
        ("customer", &["secret price", "secret wish"][..], "text of verdict"),
    ] {
        let copy = seal::redact(&whole, reader).expect("a copy");
        assert_eq!(copy.digest, digest);
        let report = seal::verify(&copy.files, &[]);
        assert_eq!(report.problems, [], "{reader}");
        assert_eq!((report.digest.as_str(), report.copy_for.as_deref()), (digest.as_str(), Some(reader)));
        let approvals = if reader == "lab" { 0 } else { 2 };
        assert!(report.approvals.len() == approvals && report.approvals.iter().all(seal::Approval::binds), "{reader}");
        let stands = if reader == "lab" { "not-shown" } else { "issued" };
        assert_eq!(seal::standing(&report, &[]).word(), stands);
        assert!(!report.withheld.is_empty());
        for (path, bytes) in &copy.files {
            let text = String::from_utf8_lossy(bytes);
            for s in secrets {
                assert!(!text.contains(s), "{reader}: {s} in {path}");
            }
        }
        for form in ["data/dossier.html", "data/dossier.md", "data/dossier.typ"] {
            assert!(String::from_utf8_lossy(&copy.files[form]).contains(kept), "{reader} {form}");
        }
        for (path, d) in report.withheld.iter().filter(|w| w.0.starts_with("data/sections/")) {
            let form = format!("data/dossier.{}", path.rsplit('.').next().expect("an ending"));
            assert!(String::from_utf8_lossy(&copy.files[&form]).contains(d.as_str()), "{path} is named by its digest");
        }
        assert!(
            !copy.files.contains_key("data/dossier.pdf") && report.withheld.iter().any(|w| w.0 == "data/dossier.pdf")
        );
        // The record holds what the reader may see, and names the rest by its digest.
        let record: serde_json::Value = serde_json::from_slice(&copy.files["data/record.json"]).expect("JSON");
        assert_eq!(record["document"]["number"], "D-1");
        assert_eq!(record["runs"][0]["id"], "RUN-1");
        assert_eq!(record.get("route").is_some(), reader == "customer");
        for (path, d) in report.withheld.iter().filter(|w| w.0.starts_with("data/record/")) {
            let name = path.trim_start_matches("data/record/").trim_end_matches(".part");
            assert_eq!(record[format!("withheld {name}")]["sha256"], d.as_str());
        }
        assert_eq!(
            report.withheld.iter().filter(|w| w.0.starts_with("data/record/")).count(),
            usize::from(reader == "lab")
        );
        assert!(seal::redact(&copy.files, reader).is_err(), "no copy of a copy");
    }
}

#[test]
fn a_copy_that_was_changed_is_found_out() {
    let whole = signed();
    let copy = seal::redact(&whole, "lab").expect("a copy").files;
    // As somebody would who can write manifests.
    let resealed = |change: &dyn Fn(&mut Files)| {
        let mut files = copy.clone();
        change(&mut files);
        reseal(&mut files);
        codes(&files)
    };
    assert_eq!(resealed(&|_| {}), Vec::<&str>::new());
    assert_eq!(resealed(&|f| drop(f.insert("data/figures/combs.svg".into(), b"<svg></svg>".to_vec()))), ["altered"]);
    assert_eq!(resealed(&|f| drop(f.remove("data/figures/combs.svg"))), ["withheld"]);
    assert_eq!(
        resealed(&|f| drop(f.insert("data/inputs/assemblies/A.toml".into(), b"secret net\n".to_vec()))),
        ["withheld"]
    );
    assert_eq!(resealed(&|f| drop(f.insert("data/new.txt".into(), b"x".to_vec()))), ["unlisted"]);
    assert_eq!(resealed(&|f| drop(f.insert("data/dossier.md".into(), b"all is well\n".to_vec()))), ["form"]);
    let with_section = resealed(&|f| {
        let text = b"\n## electrical\n\nanother text\n".to_vec();
        f.insert("data/sections/002-electrical.md".into(), text);
    });
    assert_eq!(with_section, ["altered", "form"]);
    let with_part = resealed(&|f| drop(f.insert("data/record/001-route.part".into(), b"  \"route\": 1,\n".to_vec())));
    assert_eq!(with_part, ["form", "withheld"]);
    let record = |f: &Files| String::from_utf8(f["data/record.json"].clone()).expect("text");
    assert_eq!(
        resealed(&|f| drop(f.insert("data/record.json".into(), record(f).replace("RUN-1", "RUN-2").into_bytes()))),
        ["form"]
    );
    assert_eq!(resealed(&|f| drop(f.remove("data/record.json"))), ["form"]);
    let signed = resealed(&|f| f.extend(whole.clone().into_iter().filter(|w| w.0.starts_with("signatures/"))));
    assert!(signed.contains(&"withheld"), "{signed:?}");
    assert!(resealed(&|f| drop(f.insert("whole/manifest-sha256.txt".into(), Vec::new()))).contains(&"altered"));
    assert!(resealed(&|f| drop(f.remove("whole/audiences.txt"))).contains(&"missing"));
    let with_people = resealed(&|f| drop(f.insert("data/people.json".into(), whole["data/people.json"].clone())));
    assert_eq!(with_people, ["people", "withheld"], "a laboratory sees no approvals and needs nobody's name");
}

/// Writes the manifests of a changed bag anew, so that BagIt alone finds nothing.
pub fn reseal(files: &mut Files) {
    let line = |(p, b): (&String, &Vec<u8>)| format!("{}  {}\n", galipot::diag::sha256_hex(b), p.replace('%', "%25"));
    let manifest: String = files.iter().filter(|f| f.0.starts_with("data/")).map(line).collect();
    let payload: Vec<usize> = files.iter().filter(|f| f.0.starts_with("data/")).map(|f| f.1.len()).collect();
    let info = String::from_utf8(files["bag-info.txt"].clone()).expect("text");
    let kept: String = info.lines().filter(|l| !l.starts_with("Payload-Oxum")).map(|l| format!("{l}\n")).collect();
    let oxum = format!("{kept}Payload-Oxum: {}.{}\n", payload.iter().sum::<usize>(), payload.len());
    files.insert("bag-info.txt".into(), oxum.into_bytes());
    files.insert("manifest-sha256.txt".into(), manifest.into_bytes());
    let tag = |p: &String| !p.starts_with("data/") && !p.starts_with("signatures/") && p != "tagmanifest-sha256.txt";
    let tags: String = files.iter().filter(|f| tag(f.0)).map(line).collect();
    files.insert("tagmanifest-sha256.txt".into(), tags.into_bytes());
}

/// Somebody who can write manifests cannot make the approvals his own.
#[test]
fn a_bag_sealed_anew_loses_its_approvals() {
    let mut files = signed();
    files.insert("data/inputs/assemblies/A.toml".into(), b"another net\n".to_vec());
    reseal(&mut files);
    let report = seal::verify(&files, &[]);
    assert!(report.approvals.iter().all(|a| !a.valid));
    assert_eq!(codes(&files), ["approval", "information"]);
}
