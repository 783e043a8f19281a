//! `solve`: how far a number of a parameter file can go.

use std::path::PathBuf;

use clap::Args;

use super::completions::Keys;
use super::sweep::plan;
use super::{Exit, complain, say};
use crate::cautions;
use crate::params::vary::KeyPath;
use crate::sweep::axis::{Axis, AxisValues, Link};
use crate::sweep::plan::Plan;
use crate::sweep::solve::{Extreme, Tried, Wanted, extreme};
use crate::words::counted;

/// Find the lowest and highest value of a number for which the part still passes; exit code 1 if it fails at the start.
#[derive(Debug, Args)]
pub(super) struct Solve {
    /// Parameter file
    file: PathBuf,
    /// The number and its range: KEY=from..to, followed by a unit if it is not the file's
    #[arg(long = "for", value_name = "KEY=FROM..TO", value_parser = Keys::Numbers, hide_possible_values = true, allow_hyphen_values = true)]
    key: String,
    /// The condition: a check, as `check` prints it, and its least margin. The default is that no check fails
    #[arg(long, value_name = "CHECK=MARGIN", value_parser = Keys::Margins, hide_possible_values = true)]
    until: Option<String>,
    /// Where to begin. The default is the file's value
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    start: Option<f64>,
    /// A number that depends on others, as in `sweep`
    #[arg(long, value_name = "KEY=FORMULA", value_parser = Keys::Numbers, hide_possible_values = true)]
    link: Vec<String>,
    /// Steps in each direction before bisection. A failure between two steps is not found
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    steps: u32,
    /// Tolerance of the result, in the number's own unit
    #[arg(long, value_name = "VALUE", default_value_t = 0.001)]
    within: f64,
}

impl Solve {
    pub(super) fn run(&self) -> Exit {
        match self.solved() {
            Ok(exit) | Err(exit) => exit,
        }
    }

    fn solved(&self) -> Result<Exit, Exit> {
        let source = plan::source(&self.file)?;
        let axis = self.axis()?;
        let links = self.link.iter().map(|l| Link::parse(l)).collect::<Result<Vec<_>, _>>();
        let links = links.map_err(|e| bad(&e.to_string()))?;
        let (low, high) = axis.ends();
        let (key, unit) = (axis.key.clone(), axis.unit.clone());
        // The range itself says nothing on how many: the plan's rows are not asked for.
        let counted = Axis { spread: AxisValues::List(vec![low, high]), ..axis };
        let mut plan = plan::made(&source, &self.file, vec![counted], links, None)?;
        let wanted = self.wanted()?;
        if let Wanted::Margin { check, .. } = &wanted {
            plan::only(&mut plan, std::slice::from_ref(check), &[])?;
        }
        let start = self.start(&plan, &key, &unit, (low, high))?;
        let whole = key.is_whole();
        let within = if whole { self.within.max(1.0) } else { self.within };
        let ends = std::thread::scope(|scope| {
            let way = |to: f64| {
                let (plan, wanted, steps) = (&plan, &wanted, self.steps);
                scope.spawn(move || extreme(plan, wanted, (start, to), whole, steps, within, &mut |_| ()))
            };
            [low, high].map(way).map(|thread| thread.join().ok())
        });
        for (name, end) in ["lowest", "highest"].into_iter().zip(ends) {
            match end {
                Some(Ok(end)) => say(&told(name, &end, &unit)),
                Some(Err(tried)) => {
                    let why = tried.against.unwrap_or_default();
                    complain(&format!(
                        "the condition is not met at the start value {}: {why}\n",
                        tried.value
                    ));
                    return Ok(Exit::Failed);
                }
                None => return Err(bad("an internal error ended the search")),
            }
        }
        say(&cautions::lines(&cautions::of_solve()));
        Ok(Exit::Done)
    }

    /// The key to vary, from one end of its range to the other.
    fn axis(&self) -> Result<Axis, Exit> {
        let axis = Axis::parse(&self.key).map_err(|e| bad(&e.to_string()))?;
        let AxisValues::Range { count: None, .. } = axis.spread else {
            return Err(bad("--for takes a range: KEY=from..to"));
        };
        if !(self.within.is_finite() && self.within > 0.0) {
            return Err(bad("--within must be a number above zero"));
        }
        Ok(axis)
    }

    /// The start of the search: the `--start` value, else the file's value.
    fn start(&self, plan: &Plan, key: &KeyPath, unit: &str, (low, high): (f64, f64)) -> Result<f64, Exit> {
        let own = plan.template().text_at(key).and_then(|t| t.trim().parse::<f64>().ok());
        let start = self.start.or(own.filter(|_| unit.is_empty())).ok_or_else(|| {
            bad(&format!(
                "the file has no plain number for `{}`; set the start value with --start",
                key.text()
            ))
        })?;
        if (low..=high).contains(&start) {
            Ok(start)
        } else {
            Err(bad(&format!("the start value {start} is not between {low} and {high}")))
        }
    }

    fn wanted(&self) -> Result<Wanted, Exit> {
        let Some(until) = &self.until else { return Ok(Wanted::Feasible) };
        let parts = until.rsplit_once('=').and_then(|(check, margin)| {
            let at_least = margin.trim().parse::<f64>().ok().filter(|x| x.is_finite())?;
            Some(Wanted::Margin { check: check.trim().to_owned(), at_least })
        });
        parts.ok_or_else(|| bad("--until takes CHECK=MARGIN, such as --until wall=0.5"))
    }
}

fn bad(message: &str) -> Exit {
    complain(&format!("error: {message}\n"));
    Exit::BadInput
}

/// A margin with four decimals, never a negative zero.
fn shown(margin: f64) -> String {
    let text = format!("{margin:.4}");
    if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') { "0".to_owned() } else { text }
}

/// One end, in a few lines.
fn told(name: &str, end: &Extreme, unit: &str) -> String {
    let margin = |t: &Tried| match (t.margin, &t.unit) {
        (None, _) => String::new(),
        (Some(m), None) => format!(", least margin {} of its limit", shown(m)),
        (Some(m), Some(unit)) => {
            format!(", margin {}{}", shown(m), if unit == "1" { String::new() } else { format!(" {unit}") })
        }
    };
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let ended = match &end.bad {
        Some(bad) => {
            let why = bad.against.as_deref().unwrap_or_default();
            format!("  limited by {why}, at {}{unit}{}\n", bad.value, margin(bad))
        }
        None => "  the range ends here, and the part still passes\n".to_owned(),
    };
    format!(
        "{name} {}{unit}{}, {} made\n{ended}",
        end.good.value,
        margin(&end.good),
        counted(end.parts, "part")
    )
}
