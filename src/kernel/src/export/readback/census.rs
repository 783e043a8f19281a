//! Counts the entities of a STEP text and follows its references.
//!
//! CAD programs mend a faulty file in silence: they drop faces, turn them, widen tolerances. What the text
//! itself says can't be mended: each number is given once, each reference leads somewhere, each edge is
//! used by two loops in opposite senses, each face by one shell.
//! Does not promise: anything about the geometry.

use std::collections::BTreeMap;

/// What a STEP text holds.
#[derive(Clone, Debug, Default)]
pub struct Census {
    counts: BTreeMap<String, usize>,
    /// What is wrong with it, in the order of entity numbers.
    pub faults: Vec<TextFault>,
}

impl Census {
    /// How many entities of a kind there are; the parts of a complex entity count one each.
    pub fn count(&self, kind: &str) -> usize {
        self.counts.get(kind).copied().unwrap_or(0)
    }
}

/// Something wrong in a text that can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TextFault {
    /// An entity number given twice.
    #[error("entity #{0} is given more than once")]
    Duplicate(u64),
    /// A reference to nothing.
    #[error("entity #{from} refers to #{to}, which does not exist")]
    Dangling {
        /// Who refers.
        from: u64,
        /// To what.
        to: u64,
    },
    /// An edge that is not used once in each sense.
    #[error("edge #{edge} is used {along} times along and {against} times against its direction")]
    EdgeUse {
        /// The edge.
        edge: u64,
        /// Oriented edges `.T.`.
        along: usize,
        /// Oriented edges `.F.`.
        against: usize,
    },
    /// A face, loop or oriented edge that is not used exactly once by what holds it.
    #[error("entity #{entity} is used {uses} times where once is right")]
    Use {
        /// The face, bound, loop or oriented edge.
        entity: u64,
        /// How often.
        uses: usize,
    },
}

/// Why a text could not be taken apart.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CensusError {
    /// The frame of an exchange file is missing.
    #[error("this is not a complete ISO 10303-21 file: no `{0}`")]
    Incomplete(&'static str),
    /// A record that is not `#number=…`.
    #[error("`{0}` is not an entity")]
    NotAnEntity(String),
}

/// One entity.
struct Record {
    kinds: Vec<String>,
    references: Vec<u64>,
    /// The last truth value, which is the sense in oriented things.
    sense: Option<bool>,
}

/// Takes a STEP text apart.
///
/// # Errors
/// [`CensusError`] where the text is no complete exchange file or a record can't be understood; everything
/// milder is in [`Census::faults`].
pub fn census(text: &str) -> Result<Census, CensusError> {
    let statements = statements(text);
    let position = |s: &'static str| statements.iter().position(|t| t == s).ok_or(CensusError::Incomplete(s));
    position("ISO-10303-21")?;
    let data = position("DATA")?;
    position("END-ISO-10303-21")?;
    let end =
        statements[data..].iter().position(|t| t == "ENDSEC").ok_or(CensusError::Incomplete("ENDSEC"))?;

    let mut census = Census::default();
    let mut records: BTreeMap<u64, Record> = BTreeMap::new();
    for statement in &statements[data + 1..data + end] {
        let (id, record) = record(statement)?;
        for kind in &record.kinds {
            *census.counts.entry(kind.clone()).or_default() += 1;
        }
        if records.insert(id, record).is_some() {
            census.faults.push(TextFault::Duplicate(id));
        }
    }
    dangling(&records, &mut census.faults);
    edge_uses(&records, &mut census.faults);
    for (held, holder) in [
        ("ADVANCED_FACE", "CLOSED_SHELL"),
        ("FACE_BOUND", "ADVANCED_FACE"),
        ("FACE_OUTER_BOUND", "ADVANCED_FACE"),
        ("EDGE_LOOP", "BOUND"),
        ("ORIENTED_EDGE", "EDGE_LOOP"),
    ] {
        single_uses(&records, held, holder, &mut census.faults);
    }
    Ok(census)
}

/// The statements of a text without white space and comments, each up to its semicolon. The contents of
/// strings are dropped: nothing here needs them, and they may hold any sign.
fn statements(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut now = String::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '\'' => {
                // A doubled quote ends one string and starts the next, which comes to the same.
                now.push('\'');
                chars.by_ref().find(|c| *c == '\'');
            }
            '/' if chars.peek() == Some(&'*') => {
                let mut star = false;
                chars.next();
                chars.by_ref().find(|c| std::mem::replace(&mut star, *c == '*') && *c == '/');
            }
            ';' => all.push(std::mem::take(&mut now)),
            c if c.is_whitespace() => {}
            c => now.push(c),
        }
    }
    all
}

fn record(statement: &str) -> Result<(u64, Record), CensusError> {
    let fault = || CensusError::NotAnEntity(statement.chars().take(60).collect());
    let (id, body) = statement.strip_prefix('#').and_then(|s| s.split_once('=')).ok_or_else(fault)?;
    let id = id.parse().map_err(|_| fault())?;
    let mut record = Record { kinds: Vec::new(), references: Vec::new(), sense: None };
    for word in body.split_inclusive(['(', ')', ',', '\'']) {
        let (word, stop) = word.split_at(word.len() - usize::from(!word.ends_with(char::is_alphanumeric)));
        if let Some(number) = word.strip_prefix('#') {
            record.references.push(number.parse().map_err(|_| fault())?);
        } else if let ".T." | ".F." = word {
            record.sense = Some(word == ".T.");
        } else if stop == "(" && word.starts_with(|c: char| c.is_ascii_uppercase()) {
            record.kinds.push(word.to_owned());
        }
    }
    if record.kinds.is_empty() { Err(fault()) } else { Ok((id, record)) }
}

fn dangling(records: &BTreeMap<u64, Record>, faults: &mut Vec<TextFault>) {
    for (from, record) in records {
        let missing = record.references.iter().filter(|to| !records.contains_key(to));
        faults.extend(missing.map(|to| TextFault::Dangling { from: *from, to: *to }));
    }
}

fn edge_uses(records: &BTreeMap<u64, Record>, faults: &mut Vec<TextFault>) {
    let mut uses: BTreeMap<u64, (usize, usize)> =
        of_kind(records, "EDGE_CURVE").map(|(id, _)| (id, (0, 0))).collect();
    for (_, oriented) in of_kind(records, "ORIENTED_EDGE") {
        for edge in &oriented.references {
            if let Some((along, against)) = uses.get_mut(edge) {
                *if oriented.sense == Some(true) { along } else { against } += 1;
            }
        }
    }
    let bad = uses.into_iter().filter(|(_, u)| *u != (1, 1));
    faults.extend(bad.map(|(edge, (along, against))| TextFault::EdgeUse { edge, along, against }));
}

fn single_uses(records: &BTreeMap<u64, Record>, held: &str, holder: &str, faults: &mut Vec<TextFault>) {
    let mut uses: BTreeMap<u64, usize> = of_kind(records, held).map(|(id, _)| (id, 0)).collect();
    let holders = records.values().filter(|r| r.kinds.iter().any(|k| k.ends_with(holder)));
    for reference in holders.flat_map(|r| &r.references) {
        if let Some(n) = uses.get_mut(reference) {
            *n += 1;
        }
    }
    let bad = uses.into_iter().filter(|(_, n)| *n != 1);
    faults.extend(bad.map(|(entity, uses)| TextFault::Use { entity, uses }));
}

fn of_kind<'a>(records: &'a BTreeMap<u64, Record>, kind: &'a str) -> impl Iterator<Item = (u64, &'a Record)> {
    records.iter().filter(move |(_, r)| r.kinds.iter().any(|k| k == kind)).map(|(id, r)| (*id, r))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(data: &str) -> String {
        format!("ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n{data}ENDSEC;\nEND-ISO-10303-21;\n")
    }

    const EDGES: &str = "#1=VERTEX_POINT('',#2);\n#2=CARTESIAN_POINT('a;b''#9(',(0.,1.E-5,-2.));\n\
        #3 = EDGE_CURVE ( 'x' , #1,\n #1,#2,.T.);\n/* a ; comment #77 */\n\
        #4=ORIENTED_EDGE('',*,*,#3,.T.);\n#5=ORIENTED_EDGE('',*,*,#3,.F.);\n\
        #6=EDGE_LOOP('',(#4));\n#7=EDGE_LOOP('',(#5));\n#8=FACE_BOUND('',#6,.T.);\n#9=FACE_BOUND('',#7,.T.);\n\
        #10=ADVANCED_FACE('',(#8,#9),#11,.T.);\n#11=(A(#2)B()C(*,$));\n#12=CLOSED_SHELL('',(#10));\n";

    #[test]
    fn counts_what_is_there() {
        let census = census(&file(EDGES)).expect("readable");
        assert_eq!(census.faults, [], "nothing wrong");
        for (kind, count) in [("EDGE_CURVE", 1), ("ORIENTED_EDGE", 2), ("A", 1), ("B", 1), ("C", 1), ("X", 0)]
        {
            assert_eq!(census.count(kind), count, "{kind}");
        }
    }

    #[test]
    fn damage_is_named() {
        let faults = |from: &str, to: &str| {
            let damaged = EDGES.replace(from, to);
            assert_ne!(damaged, EDGES, "the damage must be done");
            census(&file(&damaged)).expect("readable").faults
        };
        assert_eq!(faults("#2=C", "#1=C")[0], TextFault::Duplicate(1), "a number twice");
        let lost = TextFault::Dangling { from: 1, to: 20 };
        assert_eq!(faults("POINT('',#2)", "POINT('',#20)"), [lost], "a reference to nothing");
        let turned = TextFault::EdgeUse { edge: 3, along: 2, against: 0 };
        assert_eq!(faults("#3,.F.", "#3,.T."), [turned], "a turned face");
        let unused = [TextFault::Use { entity: 9, uses: 0 }];
        assert_eq!(faults("(#8,#9)", "(#8)"), unused, "a lost hole");
        assert_eq!(faults("(#10)", "(#10,#10)"), [TextFault::Use { entity: 10, uses: 2 }], "a face twice");
    }

    #[test]
    fn truncated_text_is_refused() {
        let whole = file(EDGES);
        let cut = census(&whole[..whole.len() - 30]).expect_err("cut off");
        assert_eq!(cut, CensusError::Incomplete("END-ISO-10303-21"), "the end is missing");
        let error = census(&file("#1=;\n")).expect_err("an empty record");
        assert_eq!(error, CensusError::NotAnEntity("#1=".to_owned()), "an empty record");
    }
}
