//! The definition of a sweep: a parameter file, the varied keys, and the checks. Every row is determined by the plan
//! and the row's number alone.

use std::path::PathBuf;

use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::axis::{self, Axis, AxisError, Link};
use super::sample::{Method, Samples};
use super::sobol;
use crate::checks::Part;
use crate::design::Design;
use crate::export::hex;
use crate::finding::Findings;
use crate::params::Source;
use crate::params::tree::Node;
use crate::params::vary::{KeyPath, PathError, Template};

/// Greatest number of rows of a sweep.
const MOST_ROWS: u64 = 1_000_000_000;

/// Why there is no plan.
#[derive(Debug, thiserror::Error)]
pub enum PlanError {
    /// An axis or a link.
    #[error(transparent)]
    Axis(#[from] AxisError),
    /// A path that is not in the file.
    #[error(transparent)]
    Path(#[from] PathError),
    /// The file itself.
    #[error("the parameter file cannot be read")]
    File(Findings),
    /// Too many rows.
    #[error("the grid has more than {MOST_ROWS} rows; take fewer values, or draw samples with --sample")]
    TooMany,
    /// Too many axes for the Sobol sequence.
    #[error("the Sobol sequence is available for up to {} axes; use --by latin", sobol::DIMENSIONS)]
    TooManyAxes,
    /// Nothing is varied.
    #[error("nothing is varied; name a parameter with --over, such as --over mount_pad.offset=-20..20/41")]
    NoAxis,
}

/// How samples are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draw {
    /// How they are drawn.
    pub method: Method,
    /// How many.
    pub count: u32,
    /// Seed of the random numbers.
    pub seed: u64,
}

/// A sweep.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The file's name, without folders.
    pub name: String,
    /// SHA-256 of the file and of those that it names.
    pub hash: String,
    /// The folder relative to which files that it names are found.
    pub folder: PathBuf,
    /// The axes.
    pub axes: Vec<Axis>,
    /// The linked values.
    pub links: Vec<Link>,
    /// Names of the checks that are kept; all if empty.
    pub checks: Vec<String>,
    /// The groups of checks that are run.
    pub parts: Vec<Part>,
    samples: Option<Samples>,
    template: Template,
    /// Numbers of the file on which links depend.
    own: Vec<(String, f64)>,
    rows: u64,
}

impl Plan {
    /// A sweep of a file over axes, as a grid or by samples.
    ///
    /// # Errors
    /// The error in them.
    pub fn new(
        source: &Source,
        folder: PathBuf,
        mut axes: Vec<Axis>,
        links: Vec<Link>,
        draw: Option<Draw>,
    ) -> Result<Self, PlanError> {
        let template = Template::new(source).map_err(PlanError::File)?;
        let lengths = template.units().unwrap_or_default();
        for axis in axes.iter_mut().filter(|a| a.unit.is_empty()) {
            axis.shown = axis.key.bare_unit(lengths).to_owned();
        }
        distinct(&axes, &links)?;
        let rows = match draw {
            Some(draw) => {
                let counted = axes
                    .iter()
                    .find(|a| matches!(a.spread, super::axis::AxisValues::Range { count: Some(_), .. }));
                if let Some(axis) = counted {
                    return Err(AxisError::SampledCount(axis.text.clone()).into());
                }
                if draw.method == Method::Sobol && axes.len() > sobol::DIMENSIONS {
                    return Err(PlanError::TooManyAxes);
                }
                u64::from(draw.count)
            }
            None => grid(&axes)?,
        };
        let own =
            links.iter().map(|l| own_numbers(l, &axes, &links, &template)).collect::<Result<Vec<_>, _>>()?;
        let samples = draw.map(|d| Samples::new(d.method, d.count, d.seed, axes.len()));
        let hash = String::new();
        let name = source.name().rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
        let parts = Part::ALL.to_vec();
        let own = own.concat();
        let mut plan =
            Self { name, hash, folder, axes, links, checks: vec![], parts, samples, template, own, rows };
        // Paths into lists that the file does not have are reported now, not once for each row.
        plan.tree(&plan.values(0))?;
        plan.hash = plan.contents(source);
        Ok(plan)
    }

    /// SHA-256 of the file and of those that it names.
    fn contents(&self, source: &Source) -> String {
        let mut all = Sha256::new_with_prefix(source.text().as_bytes());
        let raw = self.tree(&[]).ok().and_then(|tree| self.template.read(&tree).ok());
        let design = raw.and_then(|raw| Design::validate(raw).value).map(|d| d.in_folder(&self.folder));
        for path in design.iter().flat_map(Design::named_files) {
            // A missing file is reported when the part is built.
            all.update(std::fs::read(path).unwrap_or_default());
        }
        hex(&all.finalize())
    }

    /// How many rows it has.
    pub fn rows(&self) -> u64 {
        self.rows
    }

    /// Whether rows are samples, not places of a grid.
    pub fn is_sampled(&self) -> bool {
        self.samples.is_some()
    }

    /// All keys that are set, the axes first.
    pub fn keys(&self) -> impl Iterator<Item = &KeyPath> {
        self.axes.iter().map(|a| &a.key).chain(self.links.iter().map(|l| &l.key))
    }

    /// The values that a row sets, in the order of [`Self::keys`]. The last axis changes fastest.
    pub fn values(&self, row: u64) -> Vec<f64> {
        let values: Vec<f64> = if let Some(samples) = &self.samples {
            let drawn = |(i, axis): (usize, &Axis)| axis.drawn(samples.share(row, i));
            self.axes.iter().enumerate().map(drawn).collect()
        } else {
            let places = axis::places(&self.axes, row);
            places.iter().zip(&self.axes).map(|(p, axis)| axis.value(*p)).collect()
        };
        self.following(&values)
    }

    /// Values of the axes, followed by the linked values.
    pub fn following(&self, axes: &[f64]) -> Vec<f64> {
        let mut values = axes.to_vec();
        for (i, link) in self.links.iter().enumerate() {
            let known = |key: &str| {
                let before = self.keys().take(self.axes.len() + i).position(|k| k.text() == key);
                let own = || self.own.iter().find(|(k, _)| k == key).map_or(0.0, |(_, v)| *v);
                before.and_then(|at| values.get(at).copied()).unwrap_or_else(own)
            };
            let value = link.value(known);
            values.push(value);
        }
        values
    }

    /// The file's tree with these values set.
    ///
    /// # Errors
    /// A path that is not in the file's lists.
    pub fn tree(&self, values: &[f64]) -> Result<Node, PathError> {
        let units = self.axes.iter().map(|a| a.unit.as_str()).chain(std::iter::repeat(""));
        let text = |(value, unit): (&f64, &str)| format!("{value} {unit}").trim().to_owned();
        let texts = values.iter().zip(units).map(text);
        let settings: Vec<(&KeyPath, String)> = self.keys().zip(texts).collect();
        self.template.tree(&settings)
    }

    /// The file, read once.
    pub fn template(&self) -> &Template {
        &self.template
    }

    /// Everything that distinguishes one sweep from another, stored in its folder.
    pub fn identity(&self) -> Value {
        let samples = self.samples.as_ref().map(|s| {
            let method = if s.method == Method::Latin { "latin" } else { "sobol" };
            json!({ "method": method, "count": s.count, "seed": s.seed })
        });
        let lengths = self.template.units().unwrap_or_default();
        let axis = |a: &Axis| json!({ "key": a.key.text(), "unit": a.shown, "values": a.text.split_once('=').map(|v| v.1.trim()) });
        json!({
            "program": concat!("tailpattern ", env!("CARGO_PKG_VERSION")),
            "file": self.name,
            "sha256": self.hash,
            "over": self.axes.iter().map(axis).collect::<Vec<_>>(),
            "link": self.links.iter().map(|l| l.text.as_str()).collect::<Vec<_>>(),
            "link_units": self.keys().skip(self.axes.len()).map(|key| key.bare_unit(lengths)).collect::<Vec<_>>(),
            "sample": samples,
            "parts": self.parts.iter().map(|p| p.name()).collect::<Vec<_>>(),
            "checks": self.checks,
            "rows": self.rows,
        })
    }
}

/// Rejects keys that are set twice.
fn distinct(axes: &[Axis], links: &[Link]) -> Result<(), PlanError> {
    if axes.is_empty() {
        return Err(PlanError::NoAxis);
    }
    let keys: Vec<&KeyPath> = axes.iter().map(|a| &a.key).chain(links.iter().map(|l| &l.key)).collect();
    let twice = keys.iter().enumerate().find(|(i, key)| keys[..*i].contains(key));
    twice.map_or(Ok(()), |(_, key)| Err(AxisError::Twice(key.text().to_owned()).into()))
}

fn grid(axes: &[Axis]) -> Result<u64, PlanError> {
    let mut rows = 1_u64;
    for axis in axes {
        let count = axis.count().ok_or_else(|| AxisError::NoCount(axis.text.clone()))?;
        rows = rows.checked_mul(count).filter(|n| *n <= MOST_ROWS).ok_or(PlanError::TooMany)?;
    }
    Ok(rows)
}

/// Numbers of the file on which a link depends, for keys that are not varied before it.
fn own_numbers(
    link: &Link,
    axes: &[Axis],
    links: &[Link],
    template: &Template,
) -> Result<Vec<(String, f64)>, AxisError> {
    let before = links.iter().take_while(|l| *l != link).map(|l| l.key.text());
    let plain = axes.iter().filter(|a| a.unit.is_empty()).map(|a| a.key.text());
    let varied: Vec<&str> = before.chain(plain).collect();
    let mut own = Vec::new();
    for key in link.sources().filter(|key| !varied.contains(key)) {
        let with_unit = axes.iter().any(|a| a.key.text() == key) || links.iter().any(|l| l.key.text() == key);
        let number = template.text_at(&KeyPath::parse(key)?).and_then(|text| text.trim().parse().ok());
        match number.filter(|_| !with_unit) {
            Some(number) => own.push((key.to_owned(), number)),
            None => return Err(AxisError::NoSource { link: link.text.clone(), key: key.to_owned() }),
        }
    }
    Ok(own)
}
