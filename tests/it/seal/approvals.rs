//! What a valid approval is: signature, statement, person, role, date and order, one changed at a time.

use super::*;

fn approvals(bag: &Files) -> Vec<seal::Approval> {
    seal::verify(bag, &[]).approvals
}

#[test]
fn two_approvals_count() {
    let bag = signed();
    assert_eq!(codes(&bag), Vec::<&str>::new());
    let all = approvals(&bag);
    let seen: Vec<(&str, &str, &str, bool)> =
        all.iter().map(|a| (&*a.identity, &*a.role, &*a.meaning, a.binds())).collect();
    assert_eq!(seen, [("QM", "approve", "approved", true), ("RE", "accept", "accepted-with-conditions", true)]);
}

#[test]
fn a_rejection_is_kept_and_binds_as_one() {
    let mut bag = small("1", None).files;
    sign(&mut bag, "RE", "accept", KEYS[1], |s| {
        s.meaning = "rejected".into();
        s.reason = Some("The gap was not measured.".into());
    });
    sign(&mut bag, "QM", "approve", KEYS[0], |_| {});
    let all = approvals(&bag);
    assert!(all.iter().all(seal::Approval::binds));
    assert_eq!((all[0].meaning.as_str(), all[1].meaning.as_str()), ("rejected", "approved"));
}

/// Each change makes the approval invalid, and the bag not intact.
#[test]
fn a_statement_about_something_else_is_not_valid() {
    let changes: [(&str, fn(&mut Statement)); 9] = [
        ("document", |s| s.document = "D-2".into()),
        ("revision", |s| s.revision = "2".into()),
        ("digest", |s| s.digest = "0".repeat(64)),
        ("verdict", |s| s.verdict = "wash-saponified".into()),
        ("conditions", |s| s.conditions = 0),
        ("before it", |s| s.after = vec!["0".repeat(64)]),
        ("declares", |s| s.meaning = "accepted".into()),
        ("declares", |s| s.meaning = "approved with pleasure".into()),
        ("file name", |s| s.person = "RE".into()),
    ];
    for (why, change) in changes {
        let mut bag = small("1", None).files;
        sign(&mut bag, "QM", "approve", KEYS[0], change);
        let a = approvals(&bag).remove(0);
        assert!(!a.valid && !a.authorised && a.why.iter().any(|w| w.text.contains(why)), "{why}: {a:?}");
        assert_eq!(codes(&bag), ["approval"], "{why}");
    }
}

/// Each change leaves a valid signature of somebody who may not sign.
#[test]
fn authority_is_that_of_the_person_on_that_day() {
    let unauthorised: [(&str, &str, &str, &str, fn(&mut Statement)); 6] = [
        ("key is not one of QM", "QM", "approve", KEYS[1], |_| {}),
        ("not in the table", "XX", "approve", KEYS[0], |_| {}),
        ("may not prepare", "QM", "prepare", KEYS[0], |_| {}),
        ("does not accept", "QM", "accept", KEYS[0], |_| {}),
        ("runs from", "QM", "approve", KEYS[0], |s| s.date = day("2028-01-01")),
        ("dated before", "QM", "approve", KEYS[0], |s| s.date = day("2026-03-30")),
    ];
    for (why, person, role, name, change) in unauthorised {
        let mut bag = small("1", None).files;
        sign(&mut bag, person, role, name, change);
        let a = approvals(&bag).remove(0);
        assert!(a.valid && !a.authorised && a.why.iter().any(|w| w.text.contains(why)), "{why}: {a:?}");
        assert!(!a.binds());
    }
}

#[test]
fn a_signature_of_another_purpose_or_over_other_bytes_is_none() {
    let good = signed();
    let file = "signatures/01-approve-QM.json";
    let text = good[file].clone();
    for (why, namespace, bytes) in
        [("made for", "file", text.clone()), ("not over", seal::NAMESPACE, b"other".to_vec())]
    {
        let mut bag = good.clone();
        let sig = SshSig::sign(&key(KEYS[0]), namespace, HashAlg::Sha512, &bytes).expect("a signature");
        bag.insert(format!("{file}.sig"), sig.to_pem(LineEnding::LF).expect("text").into_bytes());
        let a = approvals(&bag).remove(0);
        assert!(!a.valid && a.why.iter().any(|w| w.text.contains(why)), "{a:?}");
    }
    let mut bag = good.clone();
    bag.remove(&format!("{file}.sig"));
    assert!(!approvals(&bag)[0].valid);
    // One approval taken away between two: the later one no longer stands on what it stood on.
    let mut bag = good.clone();
    bag.remove(file);
    bag.remove(&format!("{file}.sig"));
    assert_eq!(codes(&bag), ["approval"]);
    // One of another bag.
    let mut other = small("2", Some(&small("1", None))).files;
    other.extend(good.into_iter().filter(|f| f.0.starts_with("signatures/")));
    assert_eq!(codes(&other), ["approval"]);
}

/// An approval that counts.
fn counted(role: &str, person: &str, meaning: &str, date: &str) -> seal::Approval {
    seal::Approval {
        file: format!("{role}-{person}"),
        identity: person.into(),
        role: role.into(),
        meaning: meaning.into(),
        date: date.into(),
        valid: true,
        authorised: true,
        ..Default::default()
    }
}

/// Codes against an approval that is dated 2026-04-05.
fn against(role: &str, person: &str, meaning: &str, earlier: &[seal::Approval]) -> Vec<&'static str> {
    let s = Statement {
        document: "D-1".into(),
        revision: "1".into(),
        digest: String::new(),
        verdict: "leave".into(),
        conditions: 0,
        role: role.into(),
        meaning: meaning.into(),
        person: person.into(),
        date: day("2026-04-05"),
        reason: None,
        after: Vec::new(),
    };
    seal::out_of_order(&s, earlier).into_iter().map(|w| w.code).collect()
}

#[test]
fn days_roles_and_people_follow_each_other() {
    let none: [&str; 0] = [];
    let prepared = counted("prepare", "PE", "prepared", "2026-04-01");
    let approved = counted("approve", "QM", "approved", "2026-04-05");
    let in_order = [prepared.clone(), counted("review", "QE", "reviewed", "2026-04-02"), approved.clone()];
    assert_eq!(against("accept", "RE", "accepted", &in_order), none);
    // Days never fall.
    let late = counted("approve", "QM", "approved", "2026-04-06");
    assert_eq!(against("accept", "RE", "accepted", std::slice::from_ref(&late)), ["day-order"]);
    // An acceptance comes after an approval that holds.
    assert_eq!(against("accept", "RE", "accepted", &in_order[..2]), ["acceptance-order"]);
    let taken_back = [approved.clone(), counted("approve", "QM", "rejected", "2026-04-05")];
    assert_eq!(against("accept", "RE", "accepted", &taken_back), ["acceptance-order"]);
    let other = seal::Approval { authorised: false, ..approved.clone() };
    assert_eq!(against("accept", "RE", "accepted", &[other]), ["acceptance-order"], "one that does not count is none");
    // A customer may reject at any time, and says why.
    assert_eq!(against("accept", "RE", "rejected", &[]), ["no-reason"]);
    // Whoever prepared neither reviews nor approves, in whatever order.
    assert_eq!(against("review", "PE", "reviewed", std::slice::from_ref(&prepared)), ["same-person"]);
    assert_eq!(against("approve", "PE", "approved", std::slice::from_ref(&prepared)), ["same-person"]);
    assert_eq!(against("prepare", "QM", "prepared", std::slice::from_ref(&approved)), ["same-person"]);
    assert_eq!(against("approve", "QE", "approved", &in_order[..2]), none, "a reviewer may approve");
    // Once is enough, until somebody of that role speaks again.
    assert_eq!(against("approve", "QM", "approved", std::slice::from_ref(&approved)), ["repeated"]);
    assert_eq!(against("approve", "QM", "approved", &taken_back), none);
}
