//! `watch`: keeps the report open in a browser and makes it anew whenever the parameter file is saved.
//!
//! The picture comes first, then what is measured, then the other forms with their sheets. What a save leaves as it was is
//! not made again: the same text nothing, the same part no solid.

mod changes;
mod server;

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::time::Instant;

use clap::Args;
use serde_json::Value;

use super::check::hold;
use super::files::{Loaded, Unusable, load, unreadable};
use super::report::{CHECKED, all_files, counts, scenes};
use super::{Exit, complain, draw, say};
use crate::checks::{self, Checks, Part};
use crate::design::{Design, Form};
use crate::export::sha256;
use crate::finding::{Findings, Hindrance};
use crate::forms::{MadeForms, Product};
use crate::housing::{self, Housing};
use crate::params::Source;
use crate::report::document::html::escaped;
use crate::report::page::{self, DrawnSheet, MadeFiles, PartReport, scene};

use changes::Changes;
use server::News;

/// Keep the report open in a browser, made anew at each save: on this machine only, until Ctrl-C.
///
/// The first line printed is the page's address, `http://127.0.0.1:PORT/` with a port that is free. No other machine can open it.
/// Nothing is written: `report` writes the page, `build` the forms.
#[derive(Debug, Args)]
pub(super) struct Watch {
    /// Parameter file
    file: PathBuf,
}

impl Watch {
    pub(super) fn run(&self) -> Exit {
        let trouble = |told: String| {
            complain(&format!("error: {told}\n"));
            Exit::FileTrouble
        };
        // A mistyped name is told at once; a file that vanishes later may come back.
        if let Err(Unusable::Unreadable(error)) = load(&self.file, hold) {
            return unreadable(&self.file, &error);
        }
        let changes = match Changes::of(&self.file) {
            Ok(changes) => changes,
            Err(error) => return trouble(format!("{} cannot be watched: {error}", self.file.display())),
        };
        // Any free port, on this machine only.
        let listener = match TcpListener::bind(("127.0.0.1", 0)) {
            Ok(listener) => listener,
            Err(error) => return trouble(format!("no port of this machine can be opened: {error}")),
        };
        let name = self.file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
        let news = News::default();
        match server::start(listener, &page::live_page(&name), news.clone()) {
            Ok(address) => {
                say(&format!("{address}\n  open this page in a browser of this machine; Ctrl-C ends\n"));
            }
            Err(error) => return trouble(format!("the page cannot be served: {error}")),
        }
        let mut made = Made { file: self.file.clone(), news, faulty: false, part: None };
        loop {
            made.renew(&changes);
            if !changes.wait() {
                return trouble(format!("{} can be watched no longer", self.file.display()));
            }
        }
    }
}

/// What was made last.
struct Made {
    file: PathBuf,
    news: News,
    /// Whether the page shows faults.
    faulty: bool,
    part: Option<Box<Kept>>,
}

/// A good part with the forms that were made of it.
struct Kept {
    design: Design,
    finished: Housing,
    forms: MadeForms,
    /// The text that it was made of.
    text: String,
    /// Whether the page was told all of it; not if another save came before that.
    whole: bool,
}

/// What was told of a part.
struct Told {
    /// A line for the terminal.
    line: String,
    /// Whether that was all of it.
    whole: bool,
}

impl Made {
    /// Makes what the file says now; stops between two steps if it has changed meanwhile.
    fn renew(&mut self, changes: &Changes) {
        let start = Instant::now();
        let (design, source, findings) = match load(&self.file, hold) {
            Ok(Loaded { design, source: Some(source), findings }) => (design, source, findings),
            Ok(_) => return,
            Err(Unusable::Unreadable(error)) => return self.fault(&self.unreadable(&error)),
            Err(Unusable::Wrong { findings, source }) => {
                return self.fault(&page::faults(&findings, source.as_ref()));
            }
        };
        let text = source.text().to_owned();
        if self.part.as_ref().is_some_and(|kept| kept.whole && kept.text == text) {
            // The page has it all; a fault may have been taken back.
            if std::mem::take(&mut self.faulty) {
                // Told to the page first: who reads the line may ask the page at once.
                self.news.good_again();
                say("the file is good again\n");
            }
            return;
        }
        let mut kept = match Kept::from(self.part.take(), design, text) {
            Ok(kept) => kept,
            Err((old, why)) => {
                self.part = old;
                return self.fault(&format!("<p>{}</p>", escaped(&why.to_string())));
            }
        };
        self.faulty = false;
        let told = kept.told(&self.news, &source, &findings, &|| changes.pending(), start);
        self.news.measuring(false);
        kept.whole = told.as_ref().is_ok_and(|told| told.whole);
        self.part = Some(kept);
        match told {
            Ok(told) => say(&told.line),
            Err(why) => self.fault(&format!("<p>{}</p>", escaped(&why.to_string()))),
        }
    }

    fn unreadable(&self, error: &std::io::Error) -> String {
        let name = self.file.file_name().map_or(Path::new(""), Path::new).display().to_string();
        format!("<p>{} cannot be read: {}</p>", escaped(&name), escaped(&error.to_string()))
    }

    fn fault(&mut self, html: &str) {
        self.faulty = true;
        self.news.faults(html);
        say("the file has errors; the page shows them\n");
    }
}

impl Kept {
    /// A part of a design; what an earlier one has in common with it is taken over.
    fn from(
        old: Option<Box<Self>>,
        design: Design,
        text: String,
    ) -> Result<Box<Self>, (Option<Box<Self>>, Hindrance)> {
        match old {
            Some(old) if old.design.same_part(&design) => {
                let mut forms = old.forms;
                if !old.design.same_print(&design) {
                    forms.drop_trial_print();
                }
                Ok(Box::new(Self { design, finished: old.finished, forms, text, whole: false }))
            }
            old => match housing::build(&design) {
                Ok(finished) => {
                    Ok(Box::new(Self { design, finished, forms: MadeForms::default(), text, whole: false }))
                }
                Err(error) => Err((old, Hindrance::from(&error))),
            },
        }
    }

    /// Tells the news step by step, until all is told or the file has been saved again, which is looked for after each step.
    fn told(
        &self,
        news: &News,
        source: &Source,
        findings: &Findings,
        is_outdated: &dyn Fn() -> bool,
        start: Instant,
    ) -> Result<Told, Hindrance> {
        let product = Product::sharing(&self.design, &self.finished, &self.forms);
        let mut scene =
            page::whole_scene(vec![scene::form(&product, Form::Finished)?], None, self.design.units());
        scene["partial"] = Value::Bool(true);
        news.picture(&scene);
        let pictured = start.elapsed().as_secs_f64();
        let line = |rest: &str| format!("picture in {pictured:.2} s{rest}\n");
        let saved_again = || Ok(Told { line: line(", then saved again"), whole: false });
        if is_outdated() {
            return saved_again();
        }
        news.measuring(true);
        product.prepare(&Form::ALL);
        if is_outdated() {
            return saved_again();
        }
        let groups = checks::each(&product, &Part::of(&CHECKED)).map_err(|e| Hindrance::from(&e))?;
        let hash = sha256(source.text());
        let sections = |forms: &MadeFiles, drawings: &[DrawnSheet]| {
            let (product, groups, hash) = (&product, groups.as_slice(), hash.as_str());
            let report = PartReport { product, groups, forms, drawings, source, hash, warnings: findings };
            page::sections(&report)
        };
        news.sections(&sections(&Vec::new(), &[]));
        let measured = start.elapsed().as_secs_f64();
        if is_outdated() {
            return saved_again();
        }
        // The longest steps: a save that comes meanwhile waits for one of them at most.
        let forms = all_files(&product, &hash);
        if is_outdated() {
            return saved_again();
        }
        let sheets = draw::sheets(&product, source);
        if is_outdated() {
            return saved_again();
        }
        news.sections(&sections(&forms, &sheets));
        let walls = Some(scene::walls(&self.finished.solid)?);
        news.picture(&page::whole_scene(scenes(&product), walls, self.design.units()));
        let all = start.elapsed().as_secs_f64();
        let line = line(&format!(
            ", checks in {measured:.2} s, all in {all:.2} s: {}",
            counts(&groups as &[(Part, Checks)])
        ));
        Ok(Told { line, whole: true })
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;
    use std::time::Duration;

    use super::*;

    fn kept(old: Option<Box<Kept>>, text: &str) -> Box<Kept> {
        Kept::from(old, Design::of_text(text), text.to_owned()).ok().expect("a part")
    }

    /// A save that changes no shape takes the solid over: its faces lie where they lay. One that changes the shape makes a new one.
    #[test]
    fn a_changed_limit_makes_no_solid_anew() {
        let text = include_str!("../../params/minimal.yaml");
        let faces =
            |kept: &Kept| (kept.finished.solid.brep().faces.as_ptr(), kept.finished.solid.mass().volume);
        let first = kept(None, text);
        let before = faces(&first);
        let limited = kept(Some(first), &format!("{text}\nlimits:\n  wall: 3.25\n"));
        assert_eq!(faces(&limited), before, "only a limit was changed");
        let lines = text.lines().map(|line| match line.split_once("overall_length: ") {
            Some((head, _)) => format!("{head}overall_length: 301\n"),
            None => format!("{line}\n"),
        });
        let longer = kept(Some(limited), &lines.collect::<String>());
        assert!(faces(&longer).1 > before.1 + 1000.0, "the longer part is another one");
    }

    /// A save that comes during a step: nothing of the steps behind it is told, and the part does not count as told, so that the
    /// next round tells all of it. Without one all is told.
    #[test]
    fn a_save_between_two_steps_ends_the_outdated_work() {
        let text = include_str!("../../params/minimal.yaml");
        let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
        let kept = kept(None, text);
        // What the page has after each look: a picture, the findings, the drawings.
        for (looks, [measured, drawn, whole]) in [
            (1, [false, false, false]),
            (2, [false, false, false]),
            (3, [true, false, false]),
            (4, [true, false, false]),
            (5, [true, false, false]),
            (6, [true, true, true]),
        ] {
            let (news, looked) = (News::default(), Cell::new(0));
            let is_outdated = || {
                looked.set(looked.get() + 1);
                looked.get() == looks
            };
            let told = kept.told(&news, &source, &Findings::default(), &is_outdated, Instant::now());
            let told = told.expect("a part that can be made");
            let sections = news.told_sections();
            assert_eq!(told.whole, whole, "look {looks}: {}", told.line);
            assert_eq!(told.line.contains("then saved again"), !whole, "look {looks}: {}", told.line);
            assert_eq!(!sections.is_empty(), measured, "look {looks}");
            assert_eq!(sections.contains("Dimensioned drawing of the"), drawn, "look {looks}");
            assert_eq!(looked.get(), looks.min(5), "there are five looks");
        }
    }

    /// A save while nothing waits for one is seen by the next look, and by the wait behind it, once.
    #[test]
    fn a_save_while_it_works_is_seen_and_kept() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("part.yaml");
        std::fs::write(&file, "units: mm").expect("written");
        let changes = Changes::of(&file).expect("watched");
        assert!(!changes.pending(), "nothing has been saved since");
        std::fs::write(&file, "units: in").expect("written");
        let start = Instant::now();
        while !changes.pending() {
            assert!(start.elapsed() < Duration::from_secs(30), "the save is seen");
            std::thread::sleep(Duration::from_millis(1));
        }
        assert!(changes.pending(), "a look leaves it for the wait");
        assert!(changes.wait(), "the wait has it");
        assert!(!changes.pending(), "once");
    }
}
