//! Prints every printed table and worked example that the formulas are checked against, with its source and how far the
//! program's values are off.

#![allow(clippy::print_stdout, reason = "prints a list")]

use tailpattern::standards::worked::{Worked, all};

fn main() {
    println!("{:<26} {:<14} {:>6} {:>9}  what; source", "subject", "seen", "values", "off by");
    for w in all() {
        let (name, how) = w.source.shown();
        let off = w.off();
        println!("{:<26} {how:<14} {:>6} {off:>9.2e}  {}; {name}", w.subject, w.printed.len(), w.what);
    }
    let named: Vec<&Worked> = all().filter(|w| w.source.is_named()).collect();
    let values: usize = named.iter().map(|w| w.printed.len()).sum();
    println!(
        "\n{} in all; {} rows, columns and worked examples ({values} values) of named documents",
        all().count(),
        named.len()
    );
}
