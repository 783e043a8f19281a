//! Parameter files with some of their values changed at random, each within the range that the schema gives it.

#[path = "random.rs"]
mod random;

pub use random::Random;

use tailpattern::params::entries;
use tailpattern::params::kinds::Range;
use tailpattern::params::reference::{About, Entry};

/// A line `key: value # remark` and the keys above it.
struct Place<'a> {
    head: &'a str,
    value: &'a str,
    path: Vec<&'a str>,
}

/// A text with one to six of its values changed: mostly a little, now and then to anywhere in the range.
pub fn changed(text: &str, random: &mut Random) -> String {
    let entries = entries();
    let inch = text.lines().any(|l| l.trim_end() == "units: in");
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let found: Vec<(usize, About)> = places(text)
        .into_iter()
        // Another unit would change all lengths at once, out of their ranges.
        .filter(|(_, place)| place.path != ["units"])
        .filter_map(|(i, place)| Some((i, about(&entries, &place.path)?.clone())))
        .filter(|(_, about)| !matches!(about, About::Text { .. } | About::Section(_) | About::List { .. }))
        .collect();
    // Half of the sets keep near the shipped part, so that a good share of them is one.
    let reach = [0.02, 0.05, 0.15, 0.5][random.below(4)];
    for _ in 0..=random.below(6) {
        let (i, about) = &found[random.below(found.len())];
        let line = lines[*i].clone();
        if let Some(place) = split(&line).filter(|p| !p.1.is_empty())
            && let Some(new) = value(place.1, about, inch, reach, random)
        {
            lines[*i] = format!("{}{new}", place.0);
        }
    }
    lines.join("\n") + "\n"
}

/// A text with about half of its lengths and angles changed, each by at most the share `most` of itself.
pub fn shaken(text: &str, most: f64, random: &mut Random) -> String {
    let entries = entries();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for (i, place) in places(text) {
        let number = match about(&entries, &place.path) {
            Some(About::Length(_) | About::Hole(_) | About::Angle(_)) => place.value,
            _ => continue,
        };
        let end =
            number.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-'))).unwrap_or(number.len());
        let Ok(now) = number[..end].parse::<f64>() else { continue };
        if random.below(2) == 0 && !number.contains('/') {
            let new = now * (1.0 + most * (2.0 * random.unit() - 1.0));
            lines[i] = format!("{}{new:.4}{}", place.head, &number[end..]);
        }
    }
    lines.join("\n") + "\n"
}

/// A line up to its value, and the value without remark.
fn split(line: &str) -> Option<(&str, &str)> {
    let colon = line.find(": ").filter(|_| !line.trim_start().starts_with('#'))?;
    let (head, rest) = line.split_at(colon + 2);
    Some((head, rest.split(" #").next().unwrap_or(rest).trim()))
}

/// Lines with a value, by the indentation of what stands above them.
fn places(text: &str) -> Vec<(usize, Place<'_>)> {
    let mut above: Vec<(usize, &str)> = Vec::new();
    let mut out = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let bare = line.trim_start_matches([' ', '-']);
        let Some(key) = bare.split(':').next().filter(|_| bare.contains(':') && !bare.starts_with('#'))
        else {
            continue;
        };
        let depth = line.len() - bare.len();
        above.retain(|(d, _)| *d < depth);
        let path = above.iter().map(|(_, k)| *k).chain([key]).collect();
        above.push((depth, key));
        if let Some((head, value)) = split(line) {
            out.push((i, Place { head, value, path }));
        }
    }
    out.retain(|(_, p)| !p.value.is_empty() && !p.head.is_empty());
    out
}

fn about<'a>(entries: &'a [Entry], path: &[&str]) -> Option<&'a About> {
    let entry = entries.iter().find(|e| e.key == path[0])?;
    if path.len() == 1 { Some(&entry.about) } else { about(entry.about.children(), &path[1..]) }
}

/// Another value of the same kind; `None` where the present one is not a plain number.
fn value(text: &str, about: &About, inch: bool, reach: f64, random: &mut Random) -> Option<String> {
    match about {
        About::Length(range) | About::Hole(range) => {
            let own = if text.ends_with("in") { Some(25.4) } else { text.ends_with("mm").then_some(1.0) };
            let bare = if inch { 25.4 } else { 1.0 };
            number(text, range, own.unwrap_or(bare), reach, random)
        }
        About::Angle(range) | About::Density(range) => number(text, range, 1.0, reach, random),
        About::Count(range) => {
            let now: f64 = text.parse().ok()?;
            let new = now + [-1.0, 1.0, 2.0][random.below(3)];
            Some(format!("{}", new.clamp(range.least, range.most)))
        }
        About::Flag => Some(if text == "true" { "false" } else { "true" }.to_owned()),
        About::Choice(rows) => Some(rows[random.below(rows.len())].0.to_owned()),
        _ => None,
    }
}

/// A number near the present one or, one time in twelve, anywhere in its range; its unit stays.
fn number(text: &str, range: &Range, unit: f64, reach: f64, random: &mut Random) -> Option<String> {
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    let end = text.find(|c| !digits(c)).unwrap_or(text.len());
    let (now, suffix) = (text[..end].parse::<f64>().ok()?, &text[end..]);
    let (least, most) = (range.least / unit, range.most / unit);
    let new = if random.below(12) == 0 {
        least + (most - least) * random.unit()
    } else {
        // What is zero moves by a share of its range.
        let scale = if now == 0.0 { 0.1 * (most - least) } else { now.abs() };
        (now + scale * reach * (2.0 * random.unit() - 1.0)).clamp(least, most)
    };
    suffix.chars().all(|c| c != '/').then(|| format!("{new:.4}{suffix}"))
}
