//! A key whose kind is known: its value is read, and it is said what happens when the file leaves it out.

use super::Key;
use crate::finding::Finding;
use crate::params::codes;
use crate::params::kinds::Kind;
use crate::params::parameter::{Origin, Parameter};
use crate::params::reference::{About, Entry, Need};
use crate::params::tree::{Content, Member, Node};
use crate::units::Units;

/// A key with its kind; it remains to say what happens when the file leaves it out.
pub struct Ready<'s, 'r, K> {
    pub(super) key: Key<'s, 'r>,
    pub(super) kind: K,
    pub(super) example: &'static str,
}

impl<'r, K: Kind> Ready<'_, 'r, K> {
    /// The key is required.
    pub fn required(mut self) -> Parameter<K::Value> {
        let slot = self.take(Need::Required);
        if slot.is_absent() {
            self.key.sheet.missing(slot.path(), &self.kind.about(), self.example);
        }
        slot
    }

    /// The key is optional.
    pub fn optional(mut self) -> Parameter<K::Value> {
        self.take(Need::Optional)
    }

    /// A trade default stands in and is reported as assumed.
    pub fn or_assume(mut self, value: K::Value, reason: &str, source: &str) -> Parameter<K::Value> {
        let shown = self.kind.show(&value, self.key.sheet.reading.units.unwrap_or(Units::Mm));
        let mut slot = self.take(default(&shown, reason, source));
        self.key.sheet.assume(&mut slot, value, shown, reason, source);
        slot
    }

    /// A default computed from other values is used; `design` computes and reports it.
    pub fn or_derive(mut self, rule: &str, reason: &str, source: &str) -> Parameter<K::Value> {
        self.take(default(rule, reason, source))
    }

    /// It holds an optional list of 1 to `most` such values, sorted; one that stands there twice is an error.
    pub fn several_optional(mut self, most: usize) -> Parameter<Vec<K::Value>>
    where
        K::Value: Ord,
    {
        self.take_several(most, Need::Optional)
    }

    /// It holds a list of 1 to `most` such values; a trade default stands in and is reported as assumed.
    ///
    /// The values are sorted; one that stands there twice is an error.
    pub fn several_or_assume(
        mut self,
        most: usize,
        value: Vec<K::Value>,
        reason: &str,
        source: &str,
    ) -> Parameter<Vec<K::Value>>
    where
        K::Value: Ord,
    {
        let units = self.key.sheet.reading.units.unwrap_or(Units::Mm);
        let shown = value.iter().map(|v| self.kind.show(v, units)).collect::<Vec<_>>().join(", ");
        let mut slot = self.take_several(most, default(&shown, reason, source));
        self.key.sheet.assume(&mut slot, value, shown, reason, source);
        slot
    }

    /// Records the key and reads it, if the file has it.
    fn take(&mut self, need: Need) -> Parameter<K::Value> {
        let (path, member) = self.note(self.kind.about(), need);
        let doc = self.key.key_doc();
        let sheet = &mut *self.key.sheet;
        let Some(member) = member else { return sheet.silent(path, doc) };
        let value = sheet.value(&self.kind, &path, member.place, &member.node);
        let origin = if value.is_some() { Origin::Given } else { Origin::Bad };
        Parameter::new(path, doc, origin, Some(member.node.place), value)
    }

    /// As [`Self::take`], for a list of values.
    fn take_several(&mut self, most: usize, need: Need) -> Parameter<Vec<K::Value>>
    where
        K::Value: Ord,
    {
        let about = About::Several { most, of: Box::new(self.kind.about()) };
        let (path, member) = self.note(about.clone(), need);
        let doc = self.key.key_doc();
        let sheet = &mut *self.key.sheet;
        let Some(member) = member else { return sheet.silent(path, doc) };
        let bad = |path| Parameter::new(path, doc, Origin::Bad, Some(member.place), None);
        let Content::List(items) = &member.node.content else {
            let units = sheet.reading.units.unwrap_or(Units::Mm);
            sheet.wrong_shape(&path, member.place, &member.node, &about.allowed(units));
            return bad(path);
        };
        if items.is_empty() || items.len() > most {
            sheet.bad_length(&path, member, items.len(), &about);
            return bad(path);
        }
        let item = |(i, node): (usize, &Node)| {
            sheet.value(&self.kind, &format!("{path}[{}]", i + 1), node.place, node)
        };
        let read: Vec<_> = items.iter().enumerate().map(item).collect();
        let Some(mut values) = read.into_iter().collect::<Option<Vec<_>>>() else { return bad(path) };
        if let Some(i) = (1..values.len()).find(|i| values[..*i].contains(&values[*i])) {
            let units = sheet.reading.units.unwrap_or(Units::Mm);
            let message = format!("`{}` stands in this list twice", self.kind.show(&values[i], units));
            let place = Some(items[i].place);
            sheet.fault(Finding::error(codes::TWICE, &path, message).at(place).hint("keep one of the two"));
            return bad(path);
        }
        values.sort();
        Parameter::new(path, doc, Origin::Given, Some(member.place), Some(values))
    }

    /// Records the key; returns its path and the file's node.
    fn note(&mut self, about: About, need: Need) -> (String, Option<&'r Member>) {
        let Key { sheet, name: key, doc, .. } = &mut self.key;
        sheet.asked.push(Entry { key, doc, about, need, example: self.example });
        (sheet.path_of(key), sheet.member(key))
    }
}

fn default(value: &str, reason: &str, source: &str) -> Need {
    Need::Default { value: value.to_owned(), reason: reason.to_owned(), source: source.to_owned() }
}
