//! A section being read, key by key.
//!
//! Each section of the parameter file is one function that requests its keys from a [`SectionReader`] (see
//! `schema/`). With a file, the reader reads and checks the values; without one, it records which keys were
//! requested. So the reader, the range checks, the suggestions for mistyped keys, the reference and the schema come
//! from one definition.

mod ready;

use super::codes;
use super::kinds::{Fault, Kind, nearest};
use super::parameter::{Assumed, Concern, KeyDoc, Origin, Parameter, ParameterList};
use super::reference::{About, Entry, Need};
use super::tree::{Content, Member, Node};
use crate::finding::{Finding, Findings, Place};
use crate::units::Units;

pub use ready::Ready;

/// A section of the parameter file.
pub trait Section: Sized {
    /// Requests each of its keys from the reader.
    fn read(sheet: &mut SectionReader<'_>) -> Self;
}

/// State shared by all section readers of one file.
pub struct Reading {
    /// Unit of bare lengths; absent until known, or when the file has no valid one.
    pub units: Option<Units>,
    /// Faults so far.
    pub findings: Findings,
    /// Trade defaults taken so far.
    pub assumed: Vec<Assumed>,
    /// All known key paths, to suggest where a misplaced key belongs.
    known: Vec<String>,
    /// The unit of bare lengths to read with, whatever the file says.
    read_as: Option<Units>,
    /// Where the text ends, and with it where a section could be added.
    end: Option<Place>,
}

impl Reading {
    /// A fresh reading that knows these key paths.
    pub fn new(known: Vec<String>) -> Self {
        Self {
            units: None,
            findings: Findings::default(),
            assumed: Vec::new(),
            known,
            read_as: None,
            end: None,
        }
    }

    /// The same reading with another unit of bare lengths than the file's.
    #[must_use]
    pub fn with_bare_lengths_in(self, units: Units) -> Self {
        Self { read_as: Some(units), ..self }
    }
}

/// One section: its members in the file, and the keys requested so far.
pub struct SectionReader<'r> {
    reading: &'r mut Reading,
    /// The section's members; none when it is absent or not a section.
    members: Option<&'r [Member]>,
    /// Whether faults of this section are already covered by another finding.
    muted: bool,
    path: String,
    place: Option<Place>,
    /// What its keys decide, unless they say otherwise.
    concern: Concern,
    asked: Vec<Entry>,
}

/// Lists the keys of a section without reading anything.
pub fn entries_of<S: Section>() -> Vec<Entry> {
    let mut reading = Reading::new(Vec::new());
    let mut sheet = SectionReader {
        reading: &mut reading,
        members: None,
        muted: true,
        path: String::new(),
        place: None,
        concern: Concern::Part,
        asked: Vec::new(),
    };
    S::read(&mut sheet);
    sheet.asked
}

/// Reads the root section of a file.
pub fn read_root<S: Section>(root: &Node, reading: &mut Reading) -> Option<S> {
    if let Content::Section(members) = &root.content {
        let end = root.end();
        reading.end = Some(Place { start: end.saturating_sub(1), end });
        let here =
            Here { muted: false, path: String::new(), place: Some(root.place), concern: Concern::Part };
        return Some(read_section(reading, Some(members), here));
    }
    reading.findings.push(
        Finding::error(codes::WRONG_SHAPE, "file", format!("the file holds {}", root.content.name()))
            .at(Some(root.place))
            .allowed("sections of keys, starting with `units:`")
            .hint("`tailpattern describe` prints a commented parameter file to start from"),
    );
    None
}

/// Where a section stands.
struct Here {
    muted: bool,
    path: String,
    place: Option<Place>,
    concern: Concern,
}

fn read_section<S: Section>(reading: &mut Reading, members: Option<&[Member]>, here: Here) -> S {
    let Here { muted, path, place, concern } = here;
    let mut sheet = SectionReader { reading, members, muted, path, place, concern, asked: Vec::new() };
    let section = S::read(&mut sheet);
    sheet.close();
    section
}

impl<'r> SectionReader<'r> {
    /// Starts the definition of a key: its name and description.
    pub fn key<'s>(&'s mut self, key: &'static str, doc: &'static str) -> Key<'s, 'r> {
        let concern = self.concern;
        Key { sheet: self, name: key, doc, concern }
    }

    /// Sets the unit of the bare lengths that follow.
    pub fn set_units(&mut self, units: Option<Units>) {
        self.reading.units = self.reading.read_as.or(units);
    }

    /// Where a section that this one lacks could be added: at the end of the file, if it stands at the left margin.
    fn room_for_a_section(&self) -> Option<Place> {
        if self.path.is_empty() { self.reading.end.or(self.place) } else { self.place }
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    fn member(&self, key: &str) -> Option<&'r Member> {
        self.members.and_then(|members| members.iter().find(|m| m.key == key))
    }

    fn fault(&mut self, finding: Finding) {
        if !self.muted {
            self.reading.findings.push(finding);
        }
    }

    /// Reports an invalid value, unless another finding covers the cause.
    fn report(&mut self, path: &str, place: Option<Place>, fault: Fault) {
        let Some(code) = fault.code else { return };
        let mut finding = Finding::error(code, path, fault.message).at(place);
        if let Some(allowed) = fault.allowed {
            finding = finding.allowed(allowed);
        }
        if let Some(reason) = fault.reason {
            finding = finding.because(reason);
        }
        if let Some(hint) = fault.hint {
            finding = finding.hint(hint);
        }
        self.fault(finding);
    }

    fn missing(&mut self, path: &str, about: &About, example: &str) {
        let units = self.reading.units.unwrap_or(Units::Mm);
        let (what, place) = match about {
            About::Section(_) => ("this section is required and missing", self.room_for_a_section()),
            _ => ("this key is required and missing", self.place),
        };
        let mut finding =
            Finding::error(codes::MISSING_KEY, path, what).at(place).allowed(about.allowed(units));
        if matches!(about, About::Section(_)) {
            finding = finding.hint(format!("add it here; `tailpattern describe {path}` shows its keys"));
        }
        if !example.is_empty() {
            let key = path.rsplit('.').next().unwrap_or(path);
            finding = finding.hint(format!("add a line such as `{key}: {example}`"));
        }
        self.fault(finding);
    }

    /// Reports the keys that no definition requested.
    fn close(&mut self) {
        // Collected once: the time for a file of nothing but unknown keys must not be quadratic in its length.
        let members = self.members.unwrap_or_default();
        let missing: Vec<_> =
            self.asked.iter().map(|e| e.key).filter(|key| self.member(key).is_none()).collect();
        let all: Vec<_> = self.asked.iter().map(|entry| entry.key).collect();
        for member in members {
            if self.asked.iter().any(|entry| entry.key == member.key) {
                continue;
            }
            let path = self.path_of(&member.key);
            let near = nearest(&member.key, missing.iter().copied())
                .or_else(|| nearest(&member.key, all.iter().copied()));
            let elsewhere = self.elsewhere(&member.key);
            let mut finding = Finding::error(codes::UNKNOWN_KEY, path, "this key is not known here")
                .at(Some(member.place))
                .allowed(all.join(", "));
            if let Some(near) = near {
                finding = finding.hint(format!("did you mean `{near}`?"));
            } else if let Some(elsewhere) = elsewhere {
                finding = finding.hint(format!("it belongs at `{elsewhere}`"));
            }
            self.fault(finding);
        }
    }

    /// Where a key of this name is known.
    fn elsewhere(&self, key: &str) -> Option<String> {
        let known = &self.reading.known;
        known
            .iter()
            .find(|path| path.rsplit('.').next().is_some_and(|k| k.trim_end_matches("[]") == key))
            .cloned()
    }
}

/// A key whose kind is still open.
pub struct Key<'s, 'r> {
    sheet: &'s mut SectionReader<'r>,
    name: &'static str,
    doc: &'static str,
    concern: Concern,
}

impl<'s, 'r> Key<'s, 'r> {
    /// What it decides, with all keys below it that do not say otherwise.
    #[must_use]
    pub fn concerning(self, concern: Concern) -> Self {
        Self { concern, ..self }
    }

    /// It holds a value of this kind; `example` shows one.
    pub fn value<K: Kind>(self, kind: K, example: &'static str) -> Ready<'s, 'r, K> {
        Ready { key: self, kind, example }
    }

    /// It holds a section that must be there.
    pub fn section<S: Section>(mut self) -> S {
        self.note_section::<S>(Need::Required);
        let Key { sheet, name: key, concern, .. } = self;
        let path = sheet.path_of(key);
        if let Some((members, place)) = sheet.section_members::<S>(key, &path) {
            let here = Here { muted: sheet.muted, path, place: Some(place), concern };
            return read_section(sheet.reading, Some(members), here);
        }
        if sheet.member(key).is_none() {
            sheet.missing(&path, &About::Section(Vec::new()), "");
        }
        read_section(sheet.reading, None, Here { muted: true, path, place: sheet.place, concern })
    }

    /// It holds an optional section.
    pub fn optional_section<S: Section>(mut self) -> Option<S> {
        self.note_section::<S>(Need::Optional);
        let Key { sheet, name: key, concern, .. } = self;
        let path = sheet.path_of(key);
        let (members, place) = sheet.section_members::<S>(key, &path)?;
        let here = Here { muted: sheet.muted, path, place: Some(place), concern };
        Some(read_section(sheet.reading, Some(members), here))
    }

    /// It holds a section of which every key has a default, so that it may be left out.
    pub fn default_section<S: Section>(mut self) -> S {
        self.note_section::<S>(Need::Optional);
        let Key { sheet, name: key, concern, .. } = self;
        let path = sheet.path_of(key);
        let found = sheet.section_members::<S>(key, &path);
        let place = found.map(|(_, place)| place).or(sheet.place);
        let here = Here { muted: sheet.muted, path, place, concern };
        read_section(sheet.reading, found.map(|(members, _)| members), here)
    }

    /// It holds a list of sections; with `least` above zero it must be there.
    pub fn list<S: Section>(self, least: usize, most: usize) -> ParameterList<S> {
        let need = if least > 0 { Need::Required } else { Need::Optional };
        let about = About::List { least, most, of: entries_of::<S>() };
        self.sheet.asked.push(Entry {
            key: self.name,
            doc: self.doc,
            about: about.clone(),
            need,
            example: "",
        });
        let Key { sheet, name: key, .. } = self;
        let path = sheet.path_of(key);
        let Some(member) = sheet.member(key) else {
            if least > 0 {
                sheet.missing(&path, &about, "");
            }
            let origin = if sheet.muted || least > 0 { Origin::Bad } else { Origin::Absent };
            return ParameterList { items: Vec::new(), path, place: sheet.place, origin };
        };
        let items = match &member.node.content {
            Content::List(items) => items.as_slice(),
            Content::Nothing if least == 0 => &[],
            _ => {
                sheet.wrong_shape(
                    &path,
                    member.place,
                    &member.node,
                    "a list: one item on each line, after a `-`",
                );
                return ParameterList {
                    items: Vec::new(),
                    path,
                    place: Some(member.place),
                    origin: Origin::Bad,
                };
            }
        };
        if items.len() < least || items.len() > most {
            sheet.bad_length(&path, member, items.len(), &about);
        }
        let read =
            items.iter().take(most).enumerate().map(|(i, node)| sheet.list_item(&path, i, node)).collect();
        ParameterList { items: read, path, place: Some(member.place), origin: Origin::Given }
    }

    fn key_doc(&self) -> KeyDoc {
        KeyDoc { about: self.doc, concern: self.concern }
    }

    fn note_section<S: Section>(&mut self, need: Need) {
        let about = About::Section(entries_of::<S>());
        self.sheet.asked.push(Entry { key: self.name, doc: self.doc, about, need, example: "" });
    }
}

impl<'r> SectionReader<'r> {
    /// The members of a section below this one, and the place of its key.
    fn section_members<S: Section>(&mut self, key: &str, path: &str) -> Option<(&'r [Member], Place)> {
        let member = self.member(key)?;
        if let Content::Section(members) = &member.node.content {
            return Some((members, member.place));
        }
        let wanted = "a section: indented keys on the lines below";
        let fault = shape_fault(path, member.place, &member.node, wanted)?;
        let optional = || entries_of::<S>().iter().all(|entry| !matches!(entry.need, Need::Required));
        self.fault(if member.node.content == Content::Nothing && optional() {
            fault.hint(format!("write `{key}: {{}}` to take the defaults of all its keys"))
        } else {
            fault
        });
        None
    }

    fn list_item<S: Section>(&mut self, path: &str, index: usize, node: &'r Node) -> S {
        let path = format!("{path}[{}]", index + 1);
        if let Content::Section(members) = &node.content {
            let here = Here { muted: self.muted, path, place: Some(node.place), concern: self.concern };
            return read_section(self.reading, Some(members), here);
        }
        self.fault(
            Finding::error(codes::WRONG_SHAPE, &path, format!("this item is {}", node.content.name()))
                .at(Some(node.place))
                .allowed("keys, such as `- station: 40`"),
        );
        let here = Here { muted: true, path, place: Some(node.place), concern: self.concern };
        read_section(self.reading, None, here)
    }

    fn wrong_shape(&mut self, path: &str, key: Place, node: &Node, wanted: &str) {
        if let Some(fault) = shape_fault(path, key, node, wanted) {
            self.fault(fault);
        }
    }

    fn bad_length(&mut self, path: &str, member: &Member, length: usize, about: &About) {
        self.fault(
            Finding::error(codes::LIST_LENGTH, path, format!("the list's length is {length}"))
                .at(Some(member.place))
                .allowed(about.allowed(Units::Mm)),
        );
    }
}

/// The fault of a key that holds something of the wrong shape; none where that has its own finding already.
fn shape_fault(path: &str, key: Place, node: &Node, wanted: &str) -> Option<Finding> {
    let found = &node.content;
    if *found == Content::Refused {
        return None;
    }
    let place = if matches!(found, Content::Value(_)) { node.place } else { key };
    let message = format!("this key holds {}", found.name());
    Some(Finding::error(codes::WRONG_SHAPE, path, message).at(Some(place)).allowed(wanted))
}

impl SectionReader<'_> {
    /// The slot of a key that the file leaves out.
    fn silent<T>(&self, path: String, doc: KeyDoc) -> Parameter<T> {
        let origin = if self.muted { Origin::Bad } else { Origin::Absent };
        Parameter::new(path, doc, origin, self.place, None)
    }

    /// Fills the slot of a key that the file leaves out, and reports the default.
    fn assume<T>(&mut self, slot: &mut Parameter<T>, value: T, shown: String, reason: &str, source: &str) {
        if slot.is_absent() {
            slot.assume(value);
            self.reading.assumed.push(slot.assumed(shown, reason, source));
        }
    }

    /// Reads a node as a value of a kind, or reports why it is invalid.
    fn value<K: Kind>(&mut self, kind: &K, path: &str, key: Place, node: &Node) -> Option<K::Value> {
        let units = self.reading.units;
        let Content::Value(text) = &node.content else {
            let allowed = kind.allowed(units.unwrap_or(Units::Mm));
            self.wrong_shape(path, key, node, &format!("a value: {allowed}"));
            return None;
        };
        let value =
            kind.read(text, units).map_err(|fault| self.report(path, Some(node.place), fault)).ok()?;
        if let Some(doubt) = kind.doubt(text, &value)
            && !self.muted
        {
            let finding = Finding::warning(codes::DOUBTFUL, path, doubt.message).at(Some(node.place));
            self.reading.findings.push(finding.allowed(doubt.meant).hint(doubt.hint));
        }
        Some(value)
    }
}
