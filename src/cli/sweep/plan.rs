//! Makes a sweep's plan from the command line.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::super::files::unreadable;
use super::super::{Exit, colour, complain};
use super::Sweep;
use crate::checks::{Part, check_named};
use crate::params::Source;
use crate::params::kinds::nearest;
use crate::report::terminal;
use crate::sweep::axis::{Axis, AxisError, Link};
use crate::sweep::goal::Goal;
use crate::sweep::plan::{Draw, Plan, PlanError};
use crate::sweep::sample::Method;
use crate::sweep::variant::{KnownChecks, known};

impl Sweep {
    /// Makes the plan, or prints what is wrong with it.
    pub(super) fn plan(&self) -> Result<Plan, Exit> {
        let file = self.file.as_deref().unwrap_or(Path::new(""));
        let source = source(file)?;
        let axes = read(&self.over, Axis::parse)?;
        let links = read(&self.link, Link::parse)?;
        let method = if self.by == "sobol" { Method::Sobol } else { Method::Latin };
        let draw = self.sample.map(|count| Draw { method, count, seed: self.seed });
        let mut plan = made(&source, file, axes, links, draw)?;
        let named = |g: &Goal| if let Goal::Check(check) = g { Some(check.clone()) } else { None };
        let goals: Vec<String> = self.goals.iter().filter_map(named).collect();
        match self.check.as_slice() {
            [one] if one == "all" || one == "none" => {
                if !goals.is_empty() {
                    all_known(&plan, &goals)?;
                }
                if one == "none" {
                    plan.parts.clear();
                }
            }
            names => only(&mut plan, names, &goals)?,
        }
        Ok(plan)
    }
}

/// The text of a parameter file.
pub(in super::super) fn source(file: &Path) -> Result<Source, Exit> {
    let read = Source::read(file).map_err(|error| unreadable(file, &error))?;
    read.map_err(|findings| {
        complain(&terminal::findings(&findings, None, colour()));
        Exit::BadInput
    })
}

/// Makes a plan for a file, or prints what is wrong with it.
pub(in super::super) fn made(
    source: &Source,
    file: &Path,
    axes: Vec<Axis>,
    links: Vec<Link>,
    draw: Option<Draw>,
) -> Result<Plan, Exit> {
    let folder = file.parent().unwrap_or(Path::new("")).to_owned();
    Plan::new(source, folder, axes, links, draw).map_err(|error| {
        match &error {
            PlanError::File(findings) => complain(&terminal::findings(findings, Some(source), colour())),
            other => complain(&format!("error: {other}\n")),
        }
        Exit::BadInput
    })
}

/// Parses all texts, or prints the error of each bad one.
fn read<T>(texts: &[String], parse: impl Fn(&str) -> Result<T, AxisError>) -> Result<Vec<T>, Exit> {
    let mut good = Vec::new();
    for text in texts {
        match parse(text) {
            Ok(one) => good.push(one),
            Err(error) => complain(&format!("error: {error}\n")),
        }
    }
    if good.len() == texts.len() { Ok(good) } else { Err(Exit::BadInput) }
}

/// Keeps the named checks, and runs only those groups of checks in which the base part has them. The other names must
/// be known too.
pub(in super::super) fn only(plan: &mut Plan, names: &[String], others: &[String]) -> Result<(), Exit> {
    let known = all_known(plan, &[names, others].concat())?;
    plan.checks = names.to_vec();
    plan.parts.retain(|p| names.iter().any(|n| known[n.as_str()].contains(p)));
    Ok(())
}

/// The checks of the base part with their groups, and of all named ones: some find nothing to measure on the base part and may in a row.
fn all_known(plan: &Plan, names: &[String]) -> Result<BTreeMap<&'static str, BTreeSet<Part>>, Exit> {
    let mut known = known(plan).map_err(|fault| {
        complain(&format!("error: the base part, which lists the checks, cannot be built: {fault}\n"));
        Exit::Impossible
    })?;
    for name in names.iter().map(String::as_str) {
        if known.parts.contains_key(name) {
            continue;
        }
        let Some((check, form)) = check_named(name) else { return Err(no_check(&known, name)) };
        if let Some(because) = known.not_made.get(check) {
            complain(&format!("error: `{check}` is not made for this part, because {because}\n"));
            return Err(Exit::BadInput);
        }
        complain(&format!(
            "note: `{check}` finds nothing to measure on the part of the file as it is; rows in which it does are judged by it\n"
        ));
        known.parts.insert(check, Part::of(&[form]).into_iter().collect());
    }
    Ok(known.parts)
}

/// There is no check of that name.
fn no_check(known: &KnownChecks, unknown: &str) -> Exit {
    let list: Vec<&str> = known.parts.keys().copied().collect();
    let near = nearest(unknown, list.iter().copied());
    let near = near.or_else(|| list.iter().copied().find(|n| n.contains(unknown)));
    let near = near.map_or_else(String::new, |n| format!("did you mean `{n}`? "));
    complain(&format!(
        "error: no check of this part is named `{unknown}`; {near}the checks, one on each line (or use `all` or `none` alone):\n  {}\n",
        list.join("\n  ")
    ));
    Exit::BadInput
}
