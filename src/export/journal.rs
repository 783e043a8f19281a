//! A file of lines that grows a line at a time and survives being cut off anywhere.
//!
//! Each line stands behind the first half of its SHA-256, so that a line cut short or damaged is told from a whole one;
//! what follows the last whole line is dropped when the file is opened again.
//!
//! Written here: databases and write-ahead logs from crates bring formats, locks and threads of their own, where one file
//! that a person can read is enough.

use std::fs::{File, OpenOptions};
use std::io::{self, BufRead, BufReader, Seek, SeekFrom, Write};
use std::path::Path;

use super::naming::hex;
use sha2::{Digest, Sha256};

/// A journal open for writing.
#[derive(Debug)]
pub struct Journal {
    file: File,
}

impl Journal {
    /// Opens a journal or makes a new one, and gives its whole lines.
    ///
    /// # Errors
    /// The operating system's.
    pub fn open(path: &Path) -> io::Result<(Self, Vec<String>)> {
        let mut file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)?;
        let (lines, good) = whole_lines(&file)?;
        file.set_len(good)?;
        file.seek(SeekFrom::Start(good))?;
        Ok((Self { file }, lines))
    }

    /// The whole lines of a journal that someone else may be writing.
    ///
    /// # Errors
    /// The operating system's.
    pub fn read(path: &Path) -> io::Result<Vec<String>> {
        Ok(whole_lines(&File::open(path)?)?.0)
    }

    /// Puts a line behind the others: in one call, so that the end of this process can't part it from its sum.
    ///
    /// # Errors
    /// The operating system's.
    pub fn append(&mut self, line: &str) -> io::Result<()> {
        self.file.write_all(format!("{} {line}\n", sum(line)).as_bytes())
    }

    /// Drops all lines.
    ///
    /// # Errors
    /// The operating system's.
    pub fn clear(&mut self) -> io::Result<()> {
        self.file.set_len(0)?;
        self.file.seek(SeekFrom::Start(0)).map(drop)
    }
}

fn sum(line: &str) -> String {
    hex(&Sha256::digest(line.as_bytes())[..16])
}

/// Whole lines up to the first that is not, and where they end.
fn whole_lines(file: &File) -> io::Result<(Vec<String>, u64)> {
    let (mut lines, mut good) = (Vec::new(), 0);
    let mut reader = BufReader::new(file);
    let mut bytes = Vec::new();
    while reader.read_until(b'\n', &mut bytes)? > 0 {
        let text = bytes.strip_suffix(b"\n").and_then(|t| std::str::from_utf8(t).ok());
        let Some((own, line)) = text.and_then(|t| t.split_once(' ')) else { break };
        if own != sum(line) {
            break;
        }
        lines.push(line.to_owned());
        good += bytes.len() as u64;
        bytes.clear();
    }
    Ok((lines, good))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_lines_survive_any_cut_and_any_damage() {
        let dir = tempfile::tempdir().expect("a folder");
        let path = dir.path().join("journal");
        let (mut journal, none) = Journal::open(&path).expect("new");
        assert!(none.is_empty(), "empty");
        for line in ["one", "two and more", "three"] {
            journal.append(line).expect("written");
        }
        let whole = std::fs::read(&path).expect("bytes");
        let ends: Vec<usize> = (0..whole.len()).filter(|i| whole[*i] == b'\n').map(|i| i + 1).collect();
        for cut in 0..whole.len() {
            std::fs::write(&path, &whole[..cut]).expect("cut");
            let (mut journal, lines) = Journal::open(&path).expect("open");
            assert_eq!(lines.len(), ends.iter().filter(|e| **e <= cut).count(), "cut at {cut}");
            journal.append("next").expect("going on");
            assert_eq!(Journal::read(&path).expect("read").len(), lines.len() + 1, "cut at {cut}");
        }
        let mut damaged = whole.clone();
        damaged[ends[0] + 40] ^= 1;
        std::fs::write(&path, &damaged).expect("damaged");
        assert_eq!(Journal::open(&path).expect("open").1, ["one"], "up to the damage");
    }
}
