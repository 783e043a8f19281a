//! Readings as people fill them in: two kinds of CSV, told apart by their columns. Every fault is told with its line, and
//! nothing of a file with faults is judged.

use std::collections::BTreeMap;

use super::characteristic::{CharacteristicKind, MeasuringSheet};
use super::table_text::{Separator, plain, serial};
use crate::units::MM_PER_INCH;
use solidwright::geometry::P3;

/// Names of the columns that are read, without the unit at their end.
pub mod column {
    /// The article's number.
    pub const ARTICLE: &str = "article";
    /// The characteristic's number.
    pub const NUMBER: &str = "number";
    /// The reading of a characteristic.
    pub const READING: &str = "reading";
    /// The expanded uncertainty of the reading, instead of the suggested instrument's.
    pub const UNCERTAINTY: &str = "uncertainty";
    /// A remark.
    pub const REMARK: &str = "remark";
    /// The element of a probed point.
    pub const ELEMENT: &str = "element";
    /// The probed place.
    pub const MEASURED: [&str; 3] = ["measured_x", "measured_y", "measured_z"];
}

/// The least uncertainty that is believed, mm: less than that of the best gauge blocks (about 0.00002 mm, from memory).
const LEAST_UNCERTAINTY: f64 = 1e-5;

/// How degrees may be written behind a number.
const DEGREES: [&str; 2] = ["deg", "°"];

/// The remark that lets a reading far off be judged.
pub const CONFIRMED: &str = "confirmed";

/// A fault of a file, with its line; none where it is about the whole file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingFault {
    /// The line, from 1.
    pub line: Option<u64>,
    /// What is wrong, and the way out.
    pub text: String,
    /// Whether it names what the sheet does not have.
    pub unknown: bool,
}

impl ReadingFault {
    /// A fault at a line; places that come of no file have line 0.
    pub(super) fn at(line: u64, text: impl Into<String>) -> Self {
        Self { line: (line > 0).then_some(line), text: text.into(), unknown: false }
    }

    pub(super) fn whole(text: impl Into<String>) -> Self {
        Self { line: None, text: text.into(), unknown: false }
    }
}

/// The reading of a size, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeReading {
    /// Its value, mm, of an angle degrees.
    pub value: f64,
    /// Its expanded uncertainty in the same unit, where the file gives one.
    pub uncertainty: Option<f64>,
    /// Its line.
    pub line: u64,
    /// Whether it is meant although it lies far off.
    pub confirmed: bool,
}

/// A probed place, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProbedPlace {
    /// The place.
    pub at: P3,
    /// Its line.
    pub line: u64,
    /// Whether it is meant although it lies far off.
    pub confirmed: bool,
}

/// All readings of one article.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ArticleReadings {
    /// Sizes by the number of their characteristic.
    pub sizes: BTreeMap<usize, SizeReading>,
    /// What thread gauges said, by number: whether it went as it should.
    pub gauges: BTreeMap<usize, bool>,
    /// Probed places by element.
    pub places: BTreeMap<usize, Vec<ProbedPlace>>,
}

/// Articles in the order in which files name them.
pub type Articles = Vec<(String, ArticleReadings)>;

/// The columns of a file.
struct Columns {
    heads: Vec<String>,
    separator: Separator,
}

/// A column of lengths: its place, and what turns its values into mm.
#[derive(Clone, Copy)]
struct LengthColumn {
    place: usize,
    factor: f64,
}

impl Columns {
    fn place(&self, name: &str) -> Option<usize> {
        self.heads.iter().position(|h| h == name)
    }

    /// Every column that is read stands there once.
    fn once(&self) -> Result<(), Vec<ReadingFault>> {
        let twice = |(k, head): (usize, &String)| {
            (!head.is_empty() && self.heads[..k].contains(head))
                .then(|| ReadingFault::at(1, format!("the column `{head}` is there twice")))
        };
        let faults: Vec<ReadingFault> = self.heads.iter().enumerate().filter_map(twice).collect();
        if faults.is_empty() { Ok(()) } else { Err(faults) }
    }

    /// A column of lengths, whose head ends in its unit.
    fn length(&self, name: &str) -> Result<Option<LengthColumn>, ReadingFault> {
        let [mm, inch] = [("mm", 1.0), ("in", MM_PER_INCH)].map(|(unit, factor)| {
            self.place(&format!("{name}_{unit}")).map(|place| LengthColumn { place, factor })
        });
        if mm.is_some() && inch.is_some() {
            let text =
                format!("both `{name}_mm` and `{name}_in` are there: which one counts? Remove the other");
            return Err(ReadingFault::at(1, text));
        }
        if let Some(column) = mm.or(inch) {
            return Ok(Some(column));
        }
        match self.place(name) {
            Some(_) => Err(ReadingFault::at(
                1,
                format!("the column `{name}` does not say its unit; call it `{name}_mm` or `{name}_in`"),
            )),
            None => Ok(None),
        }
    }
}

/// Reads a file into the articles; on faults these stay as they were.
///
/// # Errors
/// All faults of the file.
pub fn read(text: &str, sheet: &MeasuringSheet, into: &mut Articles) -> Result<(), Vec<ReadingFault>> {
    let text = plain(text).map_err(|fault| vec![fault])?;
    let separator = Separator::of(&text);
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .delimiter(separator.byte())
        .from_reader(text.as_bytes());
    let heads = reader.headers().map_err(|e| vec![ReadingFault::whole(e.to_string())])?.clone();
    let columns = Columns { heads: heads.iter().map(str::to_lowercase).collect(), separator };
    columns.once()?;
    let mut articles = into.clone();
    let mut faults = Vec::new();
    let reading = columns.length(column::READING);
    let kind = match (columns.place(column::NUMBER), &reading, columns.place(column::ELEMENT)) {
        (_, Err(fault), _) => return Err(vec![fault.clone()]),
        (Some(number), Ok(Some(value)), _) => RowKind::Sizes { number, value: *value },
        (_, _, Some(element)) => RowKind::Places { element, at: place_columns(&columns)? },
        _ => return Err(vec![unknown_kind(&columns)]),
    };
    let records: Vec<csv::StringRecord> =
        reader.records().collect::<Result<_, _>>().map_err(|e| vec![ReadingFault::whole(e.to_string())])?;
    let names_articles = columns
        .place(column::ARTICLE)
        .is_some_and(|place| records.iter().any(|r| r.get(place).is_some_and(|name| !name.is_empty())));
    let mut rows = 0;
    let mut known: BTreeMap<String, usize> =
        articles.iter().enumerate().map(|(k, (name, _))| (name.clone(), k)).collect();
    for record in &records {
        let line = record.position().map_or(0, csv::Position::line);
        // Tables from other programs end in rows of separators.
        if record.iter().all(str::is_empty) {
            continue;
        }
        if let Some(fault) = broken(record, line, columns.heads.len()) {
            faults.push(fault);
            continue;
        }
        rows += 1;
        let row = Row { columns: &columns, record, line, sheet, names_articles };
        if let Err(fault) = row.take(&kind, &mut articles, &mut known) {
            faults.push(fault);
        }
    }
    if let Some(fault) = of_another_form(&faults, rows) {
        // A few of them show what is meant.
        let mut shown = 0;
        faults.retain(|f| {
            shown += usize::from(f.unknown);
            !f.unknown || shown <= SHOWN_OF_ANOTHER_FORM
        });
        faults.insert(0, fault);
    }
    faults.extend(articles.iter().flat_map(|(name, article)| doubled(name, sheet, article)));
    if rows == 0 && faults.is_empty() {
        faults.push(ReadingFault::whole("the file has no rows"));
    }
    if faults.is_empty() {
        *into = articles;
        Ok(())
    } else {
        Err(faults)
    }
}

/// What is wrong with a row whatever its columns are.
fn broken(record: &csv::StringRecord, line: u64, columns: usize) -> Option<ReadingFault> {
    if record.iter().any(|cell| cell.contains('\n')) {
        let text = "a quotation mark opens here and closes in another line: remove it";
        return Some(ReadingFault::at(line, text));
    }
    let found = record.len();
    (found != columns).then(|| {
        let text = format!(
            "{found} values under {columns} columns; a decimal comma splits a value in two: write a point"
        );
        ReadingFault::at(line, text)
    })
}

/// Rows that are shown where many name what is not on the sheet.
const SHOWN_OF_ANOTHER_FORM: usize = 3;

/// What to look at where a large part of the rows has no place on this sheet.
fn of_another_form(faults: &[ReadingFault], rows: usize) -> Option<ReadingFault> {
    let unknown = faults.iter().filter(|f| f.unknown).count();
    (unknown > 4 && 4 * unknown > rows).then(|| {
        ReadingFault::whole(format!(
            "{unknown} of {rows} rows name what is not on this sheet: are they readings of another form (`--form`), or of another part?"
        ))
    })
}

/// Places that are there twice, to the last digit: a machine does not probe so.
fn doubled(name: &str, sheet: &MeasuringSheet, article: &ArticleReadings) -> Vec<ReadingFault> {
    let mut out = Vec::new();
    for (element, places) in &article.places {
        let key = |p: &ProbedPlace| [p.at.x, p.at.y, p.at.z].map(f64::to_bits);
        let mut sorted: Vec<&ProbedPlace> = places.iter().collect();
        sorted.sort_by_key(|p| (key(p), p.line));
        for pair in sorted.windows(2).filter(|w| key(w[0]) == key(w[1])) {
            let text = format!(
                "{}: article {name} has this very point already in line {}",
                sheet.elements[*element].name, pair[0].line
            );
            out.push(ReadingFault::at(pair[1].line, text));
        }
    }
    out.sort_by_key(|f| f.line);
    out
}

/// What the rows of a file are.
enum RowKind {
    Sizes { number: usize, value: LengthColumn },
    Places { element: usize, at: [LengthColumn; 3] },
}

fn unknown_kind(columns: &Columns) -> ReadingFault {
    ReadingFault::at(
        1,
        format!(
            "neither sizes (columns `{}` and `{}_mm`) nor probed points (`{}` and `{}_mm` …); the columns are: {}",
            column::NUMBER,
            column::READING,
            column::ELEMENT,
            column::MEASURED[0],
            columns.heads.join(", ")
        ),
    )
}

/// The columns of probed places: those for it where they are there, else plain coordinates.
fn place_columns(columns: &Columns) -> Result<[LengthColumn; 3], Vec<ReadingFault>> {
    for names in [column::MEASURED, ["x", "y", "z"]] {
        let mut found = Vec::new();
        for name in names {
            found.extend(columns.length(name).map_err(|fault| vec![fault])?);
        }
        match found[..] {
            [x, y, z] => return Ok([x, y, z]),
            [] => {}
            _ => {
                let names = names.map(|n| format!("`{n}_mm`")).join(", ");
                return Err(vec![ReadingFault::at(1, format!("of the columns {names} some are missing"))]);
            }
        }
    }
    Err(vec![unknown_kind(columns)])
}

/// A row that is read.
struct Row<'a> {
    columns: &'a Columns,
    record: &'a csv::StringRecord,
    line: u64,
    sheet: &'a MeasuringSheet,
    /// Whether any row of its file names an article.
    names_articles: bool,
}

impl Row<'_> {
    fn text(&self, place: usize) -> &str {
        self.record.get(place).unwrap_or_default()
    }

    fn named(&self, name: &str) -> &str {
        self.columns.place(name).map_or("", |place| self.text(place))
    }

    fn fault(&self, text: impl Into<String>) -> ReadingFault {
        ReadingFault::at(self.line, text)
    }

    fn unknown(&self, text: String) -> ReadingFault {
        ReadingFault { unknown: true, ..self.fault(text) }
    }

    /// A length in mm; none where the cell is empty.
    fn length(&self, column: LengthColumn) -> Result<Option<f64>, ReadingFault> {
        let text = self.text(column.place);
        if text.is_empty() {
            return Ok(None);
        }
        let head = &self.columns.heads[column.place];
        // Where no comma stands between values, one within a value is the decimal sign.
        let pointed = match self.columns.separator {
            Separator::Comma => text.to_owned(),
            Separator::Semicolon | Separator::Tab => text.replace(',', "."),
        };
        let value: f64 = pointed.parse().map_err(|_| {
            let hint = if text.contains(',') { ": write a decimal point" } else { "" };
            self.fault(format!("`{text}` under `{head}` is no number{hint}"))
        })?;
        if value.is_finite() && value.abs() < 1e5 {
            Ok(Some(value * column.factor))
        } else {
            Err(self
                .fault(format!("`{text}` under `{head}` is no length of this part; the head names the unit")))
        }
    }

    /// An angle in degrees, with its unit or without; none where the cell is empty.
    fn angle(&self, column: LengthColumn) -> Result<Option<f64>, ReadingFault> {
        let text = self.text(column.place);
        if text.is_empty() {
            return Ok(None);
        }
        let bare = DEGREES.iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(text).trim_end();
        let pointed = match self.columns.separator {
            Separator::Comma => bare.to_owned(),
            Separator::Semicolon | Separator::Tab => bare.replace(',', "."),
        };
        let value = pointed.parse().ok().filter(|v: &f64| v.is_finite() && v.abs() <= 180.0);
        let fault = || self.fault(format!("`{text}` is no angle; write degrees, as `15.2 deg`"));
        value.map(Some).ok_or_else(fault)
    }

    /// Whether something was measured.
    fn is_filled(&self, kind: &RowKind) -> bool {
        let filled = |place: usize| !self.text(place).is_empty();
        match kind {
            RowKind::Sizes { value, .. } => filled(value.place),
            RowKind::Places { at, .. } => at.iter().any(|column| filled(column.place)),
        }
    }

    fn confirmed(&self) -> bool {
        self.named(column::REMARK).to_lowercase().contains(CONFIRMED)
    }

    /// Takes the row into its article; `known` tells where each article stands in the list.
    fn take(
        &self,
        kind: &RowKind,
        articles: &mut Articles,
        known: &mut BTreeMap<String, usize>,
    ) -> Result<(), ReadingFault> {
        let name = match self.named(column::ARTICLE) {
            // Where no row names one, there is one article.
            "" if !self.names_articles => "1",
            "" if self.is_filled(kind) => {
                return Err(self.fault(
                    "this reading names no article, and other rows do: write its number under `article`",
                ));
            }
            "" => return Ok(()),
            name => name,
        };
        if !known.contains_key(name)
            && let Some(other) = known.keys().find(|k| serial(k) == serial(name)).cloned()
        {
            known.insert(name.to_owned(), known[&other]);
            return Err(self.fault(format!(
                "article `{name}` is written `{other}` elsewhere: are they one? Write its number alike, or tell them apart by more than capitals, zeros and signs"
            )));
        }
        let at = *known.entry(name.to_owned()).or_insert_with(|| {
            articles.push((name.to_owned(), ArticleReadings::default()));
            articles.len() - 1
        });
        let article = &mut articles[at].1;
        match kind {
            RowKind::Sizes { number, value } => self.size(*number, *value, article),
            RowKind::Places { element, at } => self.place(*element, at, article),
        }
    }

    fn size(
        &self,
        number: usize,
        value: LengthColumn,
        article: &mut ArticleReadings,
    ) -> Result<(), ReadingFault> {
        let text = self.text(number);
        let known =
            text.parse().ok().and_then(|n: usize| self.sheet.characteristics.iter().find(|c| c.number == n));
        let Some(c) = known else {
            let most = self.sheet.characteristics.len();
            return Err(
                self.unknown(format!("`{text}` is no number of this sheet; they run from 1 to {most}"))
            );
        };
        let twice = || self.fault(format!("number {} is read twice for one article", c.number));
        if c.kind == CharacteristicKind::Thread {
            let went = match self.text(value.place).to_lowercase().as_str() {
                "" => return Ok(()),
                "go" | "pass" => true,
                "no-go" | "no go" | "fail" => false,
                other => return Err(self.fault(format!("`{other}`: a thread's gauge says `go` or `no-go`"))),
            };
            return if article.gauges.insert(c.number, went).is_some() { Err(twice()) } else { Ok(()) };
        }
        let number = |column: LengthColumn| {
            if c.kind == CharacteristicKind::HalfAngle { self.angle(column) } else { self.length(column) }
        };
        let Some(value) = number(value)? else { return Ok(()) };
        let uncertainty = self.columns.length(column::UNCERTAINTY)?.map(number).transpose()?.flatten();
        if uncertainty.is_some_and(|u| u <= 0.0) {
            return Err(self.fault("an uncertainty is above zero"));
        }
        if uncertainty.is_some_and(|u| u < LEAST_UNCERTAINTY) {
            return Err(self.fault(format!(
                "an uncertainty below {LEAST_UNCERTAINTY} mm is none that a length has; write that of the instrument"
            )));
        }
        let reading = SizeReading { value, uncertainty, line: self.line, confirmed: self.confirmed() };
        if article.sizes.insert(c.number, reading).is_some() { Err(twice()) } else { Ok(()) }
    }

    fn place(
        &self,
        element: usize,
        at: &[LengthColumn; 3],
        article: &mut ArticleReadings,
    ) -> Result<(), ReadingFault> {
        let name = self.text(element);
        let Some(element) = self.sheet.elements.iter().position(|e| e.name.eq_ignore_ascii_case(name)) else {
            let near = self
                .sheet
                .elements
                .iter()
                .max_by(|a, b| strsim::jaro(&a.name, name).total_cmp(&strsim::jaro(&b.name, name)));
            let near = near.map_or(String::new(), |e| format!("; did you mean `{}`?", e.name));
            return Err(self.unknown(format!("`{name}` is no element of this sheet{near}")));
        };
        let mut values = Vec::new();
        for column in at {
            values.extend(self.length(*column)?);
        }
        match values[..] {
            [x, y, z] => {
                let place =
                    ProbedPlace { at: P3::new(x, y, z), line: self.line, confirmed: self.confirmed() };
                article.places.entry(element).or_default().push(place);
                Ok(())
            }
            // A point that was not probed.
            [] => Ok(()),
            _ => Err(self.fault("of the three coordinates some are missing")),
        }
    }
}
