//! One drawn housing: what became of it, and how long it took.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::Instant;

use solidwright::geometry::P3;
use solidwright::solid::SolidError;
use solidwright::solid::evaluate::EvaluateError;
use solidwright::solid::fillet::{Joint, JointState};
use tailpattern::design::Design;
use tailpattern::finding::{Findings, Severity};
use tailpattern::forms::{self, FormError};
use tailpattern::housing::{self, Housing, HousingError};
use tailpattern::params::{self, Source};
use tailpattern::report::joints;

use crate::cast::Cast;
use crate::contact;
use crate::outside::{Outside, outside};
use crate::pieces::{self, Pieces};

/// Names of the steps of [`Row::steps`].
pub(crate) const STEPS: [&str; 8] =
    ["sharp", "filleted", "casting", "pattern", "core", "core box", "trial print", "pattern in pieces"];

/// How far each housing is taken.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Far {
    Rules,
    Sharp,
    Solids,
    /// The casting, held against the finished part.
    Casting,
    /// The pattern with its loose pieces, and what it needs.
    Pattern,
    Forms,
}

/// Why a step gave nothing.
pub(crate) struct Failure {
    /// The kind of error.
    pub(crate) kind: String,
    /// Features, place and all.
    pub(crate) text: String,
    /// Whether the program is at fault, whatever the file says.
    pub(crate) fault: bool,
    /// Where it is, if it is about one place of the solid.
    pub(crate) at: Option<P3>,
}

/// How a step went.
pub(crate) struct Step {
    pub(crate) seconds: f64,
    pub(crate) outcome: Result<(), Failure>,
}

/// What a seed came to.
#[derive(Default)]
pub(crate) struct Row {
    pub(crate) seed: u64,
    /// Codes of the findings that refused it.
    pub(crate) refused: Vec<String>,
    /// In the order of [`STEPS`]; those not reached are left out.
    pub(crate) steps: Vec<Option<Step>>,
    /// Joints of the filleted solid: whole, smaller, sharp.
    pub(crate) joints: [usize; 3],
    /// Places filled with a little metal.
    pub(crate) filled: usize,
    /// What bodies gave up for their fillets, step by step and why, as `build --fillets` prints it.
    pub(crate) given_up: String,
    /// Of those not whole: state and reason, features, place.
    pub(crate) troubles: Vec<(String, String)>,
    pub(crate) outside: Option<Outside>,
    /// The casting beside the finished part.
    pub(crate) cast: Option<Cast>,
    /// The pattern with its loose pieces.
    pub(crate) pieces: Option<Pieces>,
    /// Parts of metal and gap about the place at which the sharp solid has no boundary.
    pub(crate) contact: Option<[[usize; 2]; 3]>,
}

impl Row {
    pub(crate) fn accepted(&self) -> bool {
        self.refused.is_empty()
    }

    fn failures(&self) -> impl Iterator<Item = &Failure> {
        self.steps.iter().flatten().filter_map(|s| s.outcome.as_ref().err())
    }

    pub(crate) fn failed(&self) -> bool {
        self.failures().next().is_some()
    }

    pub(crate) fn faulty(&self) -> bool {
        self.failures().any(|f| f.fault)
    }
}

/// Reads, builds and times one file.
pub(crate) fn measure(seed: u64, text: &str, far: Far) -> Row {
    let mut row = Row { seed, ..Row::default() };
    let design = match catch_unwind(|| design(text)) {
        Ok(Ok(design)) => design,
        Ok(Err(codes)) => {
            row.refused = codes;
            return row;
        }
        Err(panic) => {
            row.steps.push(Some(Step { seconds: 0.0, outcome: Err(panicked(&*panic)) }));
            return row;
        }
    };
    if far == Far::Rules {
        return row;
    }
    let (sharp, _) = timed(|| housing::build_sharp(&design).map_err(|e| of_housing(&e)));
    row.contact = contact_of(&design, &sharp);
    if far == Far::Sharp {
        row.steps.push(Some(sharp));
        return row;
    }
    let (filleted, finished) = timed(|| housing::build(&design).map_err(|e| of_housing(&e)));
    row.steps = vec![Some(sharp), Some(filleted)];
    let Some(finished) = finished else { return row };
    row.count_joints(&finished.joints);
    row.filled = finished.filled_places.len();
    row.given_up = joints::given_up(&finished.demotions, design.units());
    match far {
        Far::Forms => row.forms(&design, &finished),
        Far::Casting => row.casting(&design, &finished),
        Far::Pattern => row.pattern(&design, &finished),
        Far::Rules | Far::Sharp | Far::Solids => {}
    }
    row
}

impl Row {
    fn count_joints(&mut self, joints: &[Joint]) {
        for joint in joints {
            let (place, word) = match joint.state() {
                JointState::Whole => (0, "whole"),
                JointState::Smaller => (1, "smaller"),
                JointState::Sharp => (2, "sharp"),
            };
            self.joints[place] += 1;
            if place > 0 {
                let reason = joint.failure.map_or_else(|| "no reason told".to_owned(), |t| t.to_string());
                let [a, b] = &joint.faces;
                let at = joint.at;
                let text = format!(
                    "{a} and {b}, {:.2} of {:.2} mm, near ({:.2}, {:.2}, {:.2})",
                    joint.made, joint.asked, at.x, at.y, at.z
                );
                self.troubles.push((format!("{word}: {reason}"), text));
            }
        }
    }

    fn forms(&mut self, design: &Design, finished: &Housing) {
        type Maker = fn(&forms::Casting) -> Result<forms::FormPieces, FormError>;
        let (step, casting) = timed(|| forms::casting(design, finished).map_err(|e| of_form(&e)));
        self.steps.push(Some(step));
        let makers: [Maker; 3] = [forms::pattern, forms::core, forms::core_box];
        for make in makers {
            let step = casting.as_ref().map(|c| timed(|| make(c).map_err(|e| of_form(&e))).0);
            self.steps.push(step);
        }
        let (step, _) = timed(|| forms::trial_print(design, finished).map_err(|e| of_form(&e)));
        self.steps.push(Some(step));
        self.in_pieces(casting.as_ref());
        self.cast = casting.as_ref().map(Cast::of);
        self.outside = casting.map(|c| outside(self.seed, finished, c.moulded.casting.solid.tree()));
    }

    /// The casting alone, beside the finished part.
    fn casting(&mut self, design: &Design, finished: &Housing) {
        let (step, casting) = timed(|| forms::casting(design, finished).map_err(|e| of_form(&e)));
        self.steps.push(Some(step));
        self.cast = casting.as_ref().map(Cast::of);
    }

    /// The pattern alone, with its loose pieces.
    fn pattern(&mut self, design: &Design, finished: &Housing) {
        let (step, casting) = timed(|| forms::casting(design, finished).map_err(|e| of_form(&e)));
        self.steps.push(Some(step));
        let made = casting.as_ref().map(|c| timed(|| forms::pattern(c).map_err(|e| of_form(&e))).0);
        self.steps.extend([made, None, None, None]);
        self.in_pieces(casting.as_ref());
    }

    fn in_pieces(&mut self, casting: Option<&forms::Casting>) {
        let made = casting.map(|c| {
            timed(|| {
                let drawing = forms::drawing(c).map_err(|e| of_form(&e))?;
                let form = forms::pattern_in_pieces(c, &drawing.undercuts).map_err(|e| of_form(&e))?;
                Ok(pieces::of(&drawing, &form))
            })
        });
        let (step, pieces) = made.map_or((None, None), |(step, pieces)| (Some(step), pieces));
        self.steps.push(step);
        self.pieces = pieces;
    }
}

/// What membership tells of the place at which a step failed.
fn contact_of(design: &Design, step: &Step) -> Option<[[usize; 2]; 3]> {
    let at = step.outcome.as_ref().err()?.at?;
    Some(contact::parts(&housing::sharp_tree(design).ok()?, at))
}

fn design(text: &str) -> Result<Design, Vec<String>> {
    let codes = |findings: &Findings| {
        findings
            .iter()
            .filter(|f| f.severity() == Severity::Error)
            .map(|f| f.code().to_string())
            .collect::<Vec<_>>()
    };
    let source = Source::from_bytes("drawn.yaml", text.as_bytes().to_vec()).map_err(|f| codes(&f))?;
    let raw = params::read(&source).map_err(|f| codes(&f))?;
    let checked = Design::validate(raw);
    // A refusal that names no error is a fault of the program.
    let told = codes(&checked.findings);
    checked.value.ok_or_else(|| if told.is_empty() { vec!["no error told".to_owned()] } else { told })
}

/// Time that this thread has had a core: what else the machine does is left out. Where the system does not tell, time on
/// the wall.
enum Clock {
    Core(f64),
    Wall(Instant),
}

impl Clock {
    fn now() -> Self {
        core_seconds().map_or_else(|| Self::Wall(Instant::now()), Self::Core)
    }

    fn seconds(&self) -> f64 {
        match self {
            Self::Core(start) => core_seconds().map_or(f64::NAN, |now| now - start),
            Self::Wall(start) => start.elapsed().as_secs_f64(),
        }
    }
}

/// Seconds that this thread has run, by Linux.
fn core_seconds() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9)
}

/// Runs a step against the clock; a panic is a fault.
fn timed<T>(run: impl FnOnce() -> Result<T, Failure>) -> (Step, Option<T>) {
    let start = Clock::now();
    let result = catch_unwind(AssertUnwindSafe(run)).unwrap_or_else(|panic| Err(panicked(&*panic)));
    let seconds = start.seconds();
    match result {
        Ok(value) => (Step { seconds, outcome: Ok(()) }, Some(value)),
        Err(failure) => (Step { seconds, outcome: Err(failure) }, None),
    }
}

fn panicked(panic: &(dyn std::any::Any + Send)) -> Failure {
    let said = panic.downcast_ref::<String>().cloned();
    let said = said.or_else(|| panic.downcast_ref::<&str>().map(|s| (*s).to_owned()));
    Failure { kind: "panic".to_owned(), text: said.unwrap_or_default(), fault: true, at: None }
}

fn of_boundary(error: &EvaluateError) -> (&'static str, bool) {
    match error {
        EvaluateError::Empty => ("nothing left", false),
        EvaluateError::Touching { .. } => ("touch: faces", false),
        EvaluateError::TouchingEdge { .. } => ("touch: along an edge", false),
        EvaluateError::TouchingPoint { .. } => ("touch: in a point", false),
        EvaluateError::Tangent { .. } => ("touch: tangent curve", false),
        EvaluateError::TooNear { .. } => ("too near", false),
        EvaluateError::Open { .. } => ("boundary does not close", true),
    }
}

fn of_solid(error: &SolidError) -> (&'static str, bool) {
    match error {
        SolidError::Unsound(_) => ("unsound solid", true),
        SolidError::Boundary(e) => of_boundary(e),
    }
}

fn of_housing(error: &HousingError) -> Failure {
    let (kind, fault) = match error {
        HousingError::Shape(_) => ("a feature's own shape", false),
        HousingError::Apart { .. } => ("comes apart", false),
        HousingError::Hollow { .. } => ("closed hollow", false),
        HousingError::Solid(e) => of_solid(e),
    };
    let at = if let HousingError::Solid(e) = error { e.place() } else { None };
    Failure { kind: kind.to_owned(), text: error.to_string(), fault, at }
}

fn of_form(error: &FormError) -> Failure {
    let (kind, fault) = match error {
        FormError::Casting(e) => {
            let inner = of_housing(e);
            (format!("as cast, {}", inner.kind), inner.fault)
        }
        FormError::Shape { piece, .. } => (format!("{piece}, a shape of its own"), false),
        FormError::Solid { piece, source } => {
            let (kind, fault) = of_solid(source);
            (format!("{piece}, {kind}"), fault)
        }
        FormError::Apart { piece, .. } => (format!("{piece}, comes apart"), false),
        FormError::CoreApart { .. } => ("core, comes apart".to_owned(), false),
        FormError::Mesh { piece, .. } => (format!("{piece}, no mesh"), true),
        FormError::Bed(_) => ("no way onto the bed".to_owned(), false),
    };
    // Pieces of a print are numbered: one kind for all of them.
    let kind = kind.chars().filter(|c| !c.is_ascii_digit()).collect();
    Failure { kind, text: error.to_string(), fault, at: None }
}
