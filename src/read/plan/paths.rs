//! Takes a plan that somebody wrote; reports outcomes that are missing or doubled, and steps that cannot be.

use super::{contradiction, whole};
use crate::diag::{Diagnostic, Log, codes, nearest};
use crate::model::economy::{Early, Economy, LineKind, Path, Plan, PlanInputs, Result, Step};
use crate::model::planning::{BEST, KEEP};
use crate::quantity::Quantity;

pub fn plan(p: &Plan, all: &PlanInputs, e: &Economy, log: &mut Log) {
    if [KEEP, BEST].contains(&p.id.text.as_str()) {
        let text = format!("galipot adds a plan {} itself", p.id);
        log.push(Diagnostic::error(codes::DUPLICATE_ID, text, "give this plan another id").at(p.id.at, "taken"));
    }
    for path in &p.path {
        let months = path.result.iter().map(|x| &x.month).chain(path.step.iter().map(|x| &x.month));
        for q in months.chain(path.early.iter().map(|x| &x.month)) {
            month(q, e, log);
        }
        steps(path, all, log);
        path.early.iter().for_each(|x| early(x, all, log));
    }
    let mut sound = true;
    for path in &p.path {
        for (i, r) in path.result.iter().enumerate() {
            if let Some(first) = path.result[..i].iter().find(|x| x.package.text == r.package.text) {
                sound = false;
                let text = format!("a path of {} has two results of {}", p.id, r.package);
                let hint = "keep one of them: a package comes out once";
                log.push(contradiction(text, hint, r.package.at, "second").at(first.package.at, "first"));
            }
        }
    }
    if sound {
        let paths: Vec<(&Path, Vec<&Result>)> = p.path.iter().map(|x| (x, x.result.iter().collect())).collect();
        outcomes(p, paths, &mut Vec::new(), log);
    }
}

fn month(q: &Quantity, e: &Economy, log: &mut Log) {
    whole("month", q, log);
    if q.si > e.months.si {
        let text = format!("month {} lies after the {} months of the plan", q.written, e.months.written);
        let hint = "write an earlier month, or raise `months` of the economy";
        log.push(contradiction(text, hint, q.at, "after the end"));
    }
}

fn steps(path: &Path, all: &PlanInputs, log: &mut Log) {
    for (i, s) in path.step.iter().enumerate() {
        let same = |x: &&Step| x.assembly.text == s.assembly.text && x.month.si == s.month.si;
        if let Some(first) = path.step[..i].iter().find(same) {
            let text = format!("{} changes twice in month {}", s.assembly, s.month.written);
            log.push(contradiction(text, "keep one of the steps", s.at, "second").at(first.at, "first"));
        }
        let t = all.treatment(&s.treatment);
        if let Some(t) =
            t.filter(|t| !t.assemblies.is_empty() && !t.assemblies.iter().any(|a| a.text == s.assembly.text))
        {
            let text = format!("{} takes the treatment {}, which is not for it", s.assembly, t.id);
            let hint = "take another treatment, or add the assembly to `assemblies` of this one";
            log.push(contradiction(text, hint, s.treatment.at, "not for it").at(t.id.at, "this treatment"));
        }
    }
}

/// Follows the outcomes from one package to the next: each splits the paths that are left in two.
fn outcomes(p: &Plan, paths: Vec<(&Path, Vec<&Result>)>, before: &mut Vec<String>, log: &mut Log) {
    let Some((first, rest)) = paths.split_first() else { return };
    let after = if before.is_empty() { String::new() } else { format!(" after {}", before.join(" and ")) };
    if let Some((done, _)) = paths.iter().find(|x| x.1.is_empty()) {
        if let Some((other, _)) = paths.iter().find(|x| !std::ptr::eq(x.0, *done)) {
            let text = format!("two paths of {} hold the same outcome{after}", p.id);
            let hint = "name on both paths a package that comes out differently, or remove one of them";
            log.push(contradiction(text, hint, other.text.at, "this path").at(done.text.at, "and this one"));
        }
        return;
    }
    let of = |x: &[&Result], id: &str| x.iter().position(|r| r.package.text == id);
    let common: Vec<&&Result> =
        first.1.iter().filter(|r| rest.iter().all(|x| of(&x.1, &r.package).is_some())).collect();
    let month = |x: &[&Result], id: &str| of(x, id).map(|i| x[i].month.si);
    let level = |r: &&&Result| rest.iter().all(|x| month(&x.1, &r.package) == Some(r.month.si));
    let Some(split) = common.iter().find(|r| level(r)).or(common.first()) else {
        let text = format!("no package is named on all paths of {}{after}", p.id);
        let hint = "begin all of them with the package that comes out first, and split them by its success";
        log.push(contradiction(text, hint, first.0.text.at, "one of these paths"));
        return;
    };
    let id = split.package.text.as_str();
    if !level(split) {
        let text = format!("{id} is paid in different months on paths of {}{after}", p.id);
        let hint = "write one month: nothing that came out before tells these paths apart";
        let other = rest.iter().flat_map(|x| &x.1).find(|r| r.package.text == id && r.month.si != split.month.si);
        let d = contradiction(text, hint, other.map_or(split.month.at, |r| r.month.at), "another month");
        log.push(d.at(split.month.at, "one month"));
    }
    for success in [true, false] {
        let half: Vec<(&Path, Vec<&Result>)> = paths
            .iter()
            .filter(|x| x.1.iter().any(|r| r.package.text == id && r.success == success))
            .map(|x| (x.0, x.1.iter().copied().filter(|r| r.package.text != id).collect()))
            .collect();
        let word = if success { "success" } else { "failure" };
        if half.is_empty() {
            let text = format!("{} has no path for {word} of {id}{after}", p.id);
            let hint = "add the path: what is done when the package comes out so";
            log.push(contradiction(text, hint, split.package.at, "only the other outcome has a path"));
        }
        before.push(format!("{word} of {id}"));
        outcomes(p, half, before, log);
        before.pop();
    }
}

fn early(x: &Early, all: &PlanInputs, log: &mut Log) {
    x.machines.iter().for_each(|q| whole("machines", q, log));
    let hint = match all.line(&x.what) {
        _ if all.programme(&x.what).is_some() => match &x.machines {
            Some(_) => "remove `machines`: a programme has none",
            None => return,
        },
        Some(l) => match (l.kind, &x.machines) {
            (LineKind::Batch, Some(_)) => return,
            (LineKind::Batch, None) => "write `machines`: how many are bought",
            (LineKind::Belt, None) if l.conversion.is_some() => return,
            (LineKind::Belt, None) => "write `conversion` of the line, or remove this",
            (LineKind::Belt, Some(_)) => "remove `machines`: a belt is one",
            (LineKind::Outside, _) => "remove it: a house outside needs no payment before its first board",
        },
        None => {
            let known = all.programmes.iter().map(|p| &p.id).chain(all.lines.iter().map(|l| &l.id));
            let hint = match nearest(&x.what, known.map(|t| t.text.as_str())) {
                Some(n) => format!("did you mean `{n}`?"),
                None => "name a programme or a wash line".to_string(),
            };
            let text = format!("no programme and no wash line is called `{}`", x.what.escape_debug());
            log.push(Diagnostic::error(codes::DANGLING_REFERENCE, text, hint).at(x.what.at, "nothing has this id"));
            return;
        }
    };
    let text = format!("{} cannot be paid early like this", x.what);
    log.push(contradiction(text, hint, x.what.at, "paid early"));
}
