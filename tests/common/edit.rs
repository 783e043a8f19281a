//! One value of a parameter file changed, found by its path.

/// Spaces before the first letter.
fn indent(line: &str) -> usize {
    line.len() - line.trim_start().len()
}

/// The text with the key at a dotted path set; keys and sections that are missing are put in.
pub fn set(text: &str, path: &str, value: &str) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let keys: Vec<&str> = path.split('.').collect();
    // Where the open section starts and how deep its keys stand.
    let (mut at, mut end, mut depth) = (0, lines.len(), 0);
    for (i, key) in keys.iter().enumerate() {
        let wanted = format!("{key}:");
        let found =
            (at..end).find(|n| indent(&lines[*n]) == depth && lines[*n].trim_start().starts_with(&wanted));
        let last = i + 1 == keys.len();
        let line = match found {
            Some(n) if last => {
                lines[n] = format!("{}{key}: {value}", " ".repeat(depth));
                return lines.join("\n") + "\n";
            }
            Some(n) => n,
            None => {
                let rest = if last { format!(" {value}") } else { String::new() };
                lines.insert(end, format!("{}{key}:{rest}", " ".repeat(depth)));
                end
            }
        };
        at = line + 1;
        let inner = |l: &String| l.trim().is_empty() || l.trim_start().starts_with('#') || indent(l) > depth;
        end = at + lines[at..].iter().take_while(|l| inner(l)).count();
        // Blank lines and remarks behind a section are not its own.
        while end > at && (lines[end - 1].trim().is_empty() || lines[end - 1].trim_start().starts_with('#')) {
            end -= 1;
        }
        depth += 2;
    }
    lines.join("\n") + "\n"
}
