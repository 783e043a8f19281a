//! The only place that writes files: whole or not at all.

use std::fs::{self, File, Permissions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

/// Why a file could not be written. Nothing has been changed then, except that folders may have been made.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The target is a folder.
    #[error("{} is a folder; give the name of a file in it", .0.display())]
    IsFolder(PathBuf),
    /// The target is a device, a socket or the like.
    #[error("{} is not an ordinary file; give another name", .0.display())]
    NotAFile(PathBuf),
    /// The path ends in `..` or is empty.
    #[error("`{}` has no file name; give one", .0.display())]
    NoName(PathBuf),
    /// The target is `-`, by which others mean the standard output.
    #[error(
        "results go to named files, not to the standard output; give a name instead of `-` (`./-` for a file of that name)"
    )]
    Dash,
    /// The target is the file that was read.
    #[error("{} is the parameter file itself; give another name", .0.display())]
    IsInput(PathBuf),
    /// Two results would go into one file.
    #[error("two results would go to {}; give each a name of its own", .0.display())]
    Twice(PathBuf),
    /// The target exists and may not be changed.
    #[error("{} is write-protected; remove it or allow writing", .0.display())]
    Protected(PathBuf),
    /// A part of the path that should be a folder is not one.
    #[error("{} is not a folder; give a path through folders", .0.display())]
    ParentNotAFolder(PathBuf),
    /// The folder can be neither found nor made.
    #[error("the folder {} cannot be made: {source}; make it or choose another", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// No file can be made in the folder.
    #[error("no file can be made in {}: {source}; check its permissions", path.display())]
    Create {
        /// The folder.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The target cannot be looked at.
    #[error("{} cannot be examined: {source}; check the permissions of its folder", path.display())]
    Examine {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The bytes could not be written, or not be put in place.
    #[error("{} cannot be written: {source}; check the free space and permissions", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// A target that has been tested: where to write, and with which permissions.
struct Target {
    file: PathBuf,
    folder: PathBuf,
    permissions: Option<Permissions>,
}

/// Tests that no target is the file that was read, and that no two are one file, by whatever names. Touches nothing.
///
/// # Errors
/// [`FileError::Dash`], [`FileError::IsInput`], [`FileError::Twice`].
pub fn test_distinct(input: &Path, targets: &[&Path]) -> Result<(), FileError> {
    let read = Identity::of(input);
    let mut seen: Vec<Identity> = Vec::with_capacity(targets.len());
    for target in targets {
        if target.as_os_str() == "-" {
            return Err(FileError::Dash);
        }
        let own = Identity::of(target);
        if own.is(&read) {
            return Err(FileError::IsInput(target.to_path_buf()));
        }
        if seen.iter().any(|other| own.is(other)) {
            return Err(FileError::Twice(target.to_path_buf()));
        }
        seen.push(own);
    }
    Ok(())
}

/// What tells whether two paths are one file.
struct Identity {
    /// The path without links and dots, as far as it exists.
    path: PathBuf,
    /// Device and file number, where the file exists and the system has such.
    number: Option<(u64, u64)>,
}

impl Identity {
    fn of(path: &Path) -> Self {
        let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        let real = whole.ancestors().find_map(|there| Some((fs::canonicalize(there).ok()?, there)));
        let path = match real {
            Some((real, there)) if there != whole => {
                real.join(whole.strip_prefix(there).unwrap_or_else(|_| Path::new("")))
            }
            Some((real, _)) => real,
            None => whole,
        };
        #[cfg(unix)]
        let number = fs::metadata(&path).ok().map(|m| {
            use std::os::unix::fs::MetadataExt;
            (m.dev(), m.ino())
        });
        #[cfg(not(unix))]
        let number = None;
        Self { path, number }
    }

    fn is(&self, other: &Self) -> bool {
        self.path == other.path || (self.number.is_some() && self.number == other.number)
    }
}

/// Tests that a file can be written, before a long computation. Leaves no trace: a folder that is missing is made only
/// when something is written.
///
/// # Errors
/// The error that [`write_atomic`] would give, as far as it shows beforehand.
pub fn test_target(path: &Path) -> Result<(), FileError> {
    let target = examine(path)?;
    let there = target.folder.ancestors().find(|a| a.is_dir());
    // The ancestors of a relative path end before the folder in which the program runs.
    let folder = there.unwrap_or(Path::new(".")).to_owned();
    temporary(&Target { folder, ..target }).map(drop)
}

/// Writes a file, replacing an old one of that name in one step: whoever reads sees the old bytes or the
/// new ones, never a part. Makes missing folders, follows symbolic links, keeps an old file's permissions.
///
/// # Errors
/// [`FileError`] where the path can't be a file, the folder can't be made or written to, the old file is
/// write-protected, or the disk refuses.
pub fn write_atomic(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let mut file = Draft::begin(path)?;
    file.write_all(bytes).map_err(|source| FileError::Write { path: path.to_owned(), source })?;
    file.keep()
}

/// Writes several files: all of them are whole on the disk before the first takes its name, so that a full disk leaves no
/// mixture of old and new files behind.
///
/// # Errors
/// As [`write_atomic`]; the first file that fails is told, and no file has changed then, unless the disk refuses a mere
/// change of names.
pub fn write_all_atomic(all: &[(&Path, &[u8])]) -> Result<(), FileError> {
    let mut drafts = Vec::with_capacity(all.len());
    for (path, bytes) in all {
        let mut file = Draft::begin(path)?;
        let failed = |source| FileError::Write { path: path.to_path_buf(), source };
        file.write_all(bytes).map_err(failed)?;
        file.settle()?;
        drafts.push(file);
    }
    drafts.into_iter().try_for_each(Draft::keep)
}

/// A file being written bit by bit; nobody sees it under its name before [`Draft::keep`].
pub struct Draft {
    target: Target,
    file: NamedTempFile,
}

/// How the names of files begin that are not under their own names yet.
pub const DRAFT_PREFIX: &str = ".tailpattern-";

impl Draft {
    /// Begins a file.
    ///
    /// # Errors
    /// As [`write_atomic`].
    pub fn begin(path: &Path) -> Result<Self, FileError> {
        let target = examine(path)?;
        make_folder(&target.folder)?;
        let file = temporary(&target)?;
        Ok(Self { target, file })
    }

    /// Brings all of it to the disk, still under its own name, with the permissions that it will have.
    ///
    /// # Errors
    /// As [`write_atomic`].
    pub fn settle(&self) -> Result<(), FileError> {
        let failed = |source| FileError::Write { path: self.target.file.clone(), source };
        if let Some(permissions) = &self.target.permissions {
            self.file.as_file().set_permissions(permissions.clone()).map_err(failed)?;
        }
        self.file.as_file().sync_all().map_err(failed)
    }

    /// Puts it in place, in one step, once all of it is on the disk.
    ///
    /// # Errors
    /// As [`write_atomic`].
    pub fn keep(self) -> Result<(), FileError> {
        self.settle()?;
        let Self { target, file } = self;
        let failed = |source| FileError::Write { path: target.file.clone(), source };
        file.persist(&target.file).map_err(|e| failed(e.error))?;
        // The new name is on the disk only once the folder is; some file systems can't do this, nor need it.
        if let Ok(folder) = File::open(&target.folder) {
            let _ = folder.sync_all();
        }
        Ok(())
    }
}

impl io::Write for Draft {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

fn examine(path: &Path) -> Result<Target, FileError> {
    if path.file_name().is_none() {
        return Err(if path.is_dir() {
            FileError::IsFolder(path.into())
        } else {
            FileError::NoName(path.into())
        });
    }
    let file = if path.is_symlink() {
        fs::canonicalize(path).map_err(|source| FileError::Examine { path: path.into(), source })?
    } else {
        path.to_owned()
    };
    let folder = match file.parent() {
        Some(p) if !p.as_os_str().is_empty() => p.to_owned(),
        _ => PathBuf::from("."),
    };
    no_obstacle(&folder)?;
    let permissions = match fs::metadata(&file) {
        Ok(m) if m.is_dir() => return Err(FileError::IsFolder(file)),
        Ok(m) if !m.is_file() => return Err(FileError::NotAFile(file)),
        Ok(m) if m.permissions().readonly() => return Err(FileError::Protected(file)),
        Ok(m) => Some(m.permissions()),
        Err(e) if e.kind() == io::ErrorKind::NotFound => None,
        Err(source) => return Err(FileError::Examine { path: file, source }),
    };
    Ok(Target { file, folder, permissions })
}

/// Whether nothing that is not a folder stands where the folder is to be.
fn no_obstacle(folder: &Path) -> Result<(), FileError> {
    match folder.ancestors().find(|a| a.exists() && !a.is_dir()) {
        Some(obstacle) => Err(FileError::ParentNotAFolder(obstacle.to_owned())),
        None => Ok(()),
    }
}

fn make_folder(folder: &Path) -> Result<(), FileError> {
    if folder.is_dir() {
        return Ok(());
    }
    fs::create_dir_all(folder).map_err(|source| FileError::Folder { path: folder.to_owned(), source })
}

/// An empty file beside the target, removed again unless it is put in place.
fn temporary(target: &Target) -> Result<NamedTempFile, FileError> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(DRAFT_PREFIX).suffix(".part");
    // Ordinary permissions, less the process's mask; a temporary file would be its owner's alone.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o644));
    builder
        .tempfile_in(&target.folder)
        .map_err(|source| FileError::Create { path: target.folder.clone(), source })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder() -> tempfile::TempDir {
        tempfile::tempdir().expect("a temporary folder")
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .expect("folder")
            .map(|e| e.expect("entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn writes_into_new_folders_and_leaves_nothing_else() {
        let dir = folder();
        let path = dir.path().join("a/b/part.step");
        write_atomic(&path, b"one").expect("first");
        write_atomic(&path, b"two").expect("again");
        assert_eq!(fs::read(&path).expect("read"), b"two", "the new bytes");
        assert_eq!(names(&dir.path().join("a/b")), ["part.step"], "no temporary file stays");
    }

    #[test]
    fn a_test_leaves_no_trace() {
        let dir = folder();
        test_target(&dir.path().join("a/b/part.step")).expect("possible");
        assert!(names(dir.path()).is_empty(), "nothing written, no folder made");
    }

    #[test]
    fn one_file_by_two_names_is_told() {
        let dir = folder();
        let (input, out) = (dir.path().join("part.yaml"), dir.path().join("new/part.step"));
        fs::write(&input, b"x").expect("input");
        let dotted = dir.path().join("./../").join(dir.path().file_name().expect("a name")).join("part.yaml");
        let error = test_distinct(&input, &[&out, &dotted]).expect_err("the input");
        assert!(matches!(error, FileError::IsInput(_)), "{error}");
        let error = test_distinct(&input, &[&out, &dir.path().join("./new/part.step")]).expect_err("twice");
        assert!(matches!(error, FileError::Twice(_)), "{error}");
        test_distinct(&input, &[&out, &dir.path().join("other.step")]).expect("three files");
        assert!(!dir.path().join("new").exists(), "nothing touched");
    }

    #[test]
    fn folders_and_files_in_the_way_are_named() {
        let dir = folder();
        let file = dir.path().join("file");
        write_atomic(&file, b"x").expect("file");
        let at = |p: &Path| write_atomic(p, b"y").expect_err("must fail");
        assert!(matches!(at(dir.path()), FileError::IsFolder(_)), "a folder");
        assert!(matches!(at(Path::new("..")), FileError::IsFolder(_)), "a folder without a name");
        assert!(matches!(at(Path::new("")), FileError::NoName(_)), "nothing");
        let below = at(&file.join("deeper/part.step"));
        assert!(matches!(&below, FileError::ParentNotAFolder(p) if *p == file), "{below}");
        assert_eq!(fs::read(&file).expect("read"), b"x", "left as it was");
    }

    /// The second target can't be made: the first keeps its old bytes, and no draft stays behind.
    #[test]
    fn all_files_are_written_or_none() {
        let dir = folder();
        let (first, second) =
            (dir.path().join("part.step"), dir.path().join("not a folder").join("part.stl"));
        fs::write(&first, b"old").expect("first");
        fs::write(dir.path().join("not a folder"), b"x").expect("an obstacle");
        let error = write_all_atomic(&[(&first, b"new"), (&second, b"new")]).expect_err("refused");
        assert!(matches!(error, FileError::ParentNotAFolder(_)), "{error}");
        assert_eq!(fs::read(&first).expect("read"), b"old", "left as it was");
        assert_eq!(fs::read_dir(dir.path()).expect("folder").count(), 2, "nothing else is there");
        let third = dir.path().join("third");
        write_all_atomic(&[(&first, b"new"), (&third, b"three")]).expect("written");
        assert_eq!(
            [fs::read(&first), fs::read(&third)].map(|r| r.expect("read")),
            [b"new".to_vec(), b"three".to_vec()]
        );
    }

    #[cfg(unix)]
    mod unix {
        use std::os::unix::fs::{PermissionsExt, symlink};

        use super::*;

        fn mode(path: &Path) -> u32 {
            fs::metadata(path).expect("metadata").permissions().mode() & 0o777
        }

        #[test]
        fn permissions_are_ordinary_or_kept() {
            let dir = folder();
            let path = dir.path().join("part.step");
            write_atomic(&path, b"one").expect("first");
            let reference = dir.path().join("reference");
            fs::write(&reference, b"").expect("reference");
            assert_eq!(mode(&path), mode(&reference) & 0o644, "as other programs make them");
            fs::set_permissions(&path, Permissions::from_mode(0o640)).expect("set");
            write_atomic(&path, b"two").expect("again");
            assert_eq!(mode(&path), 0o640, "kept");
        }

        #[test]
        fn protected_and_special_files_are_left_alone() {
            let dir = folder();
            let path = dir.path().join("part.step");
            write_atomic(&path, b"one").expect("first");
            fs::set_permissions(&path, Permissions::from_mode(0o444)).expect("set");
            let error = write_atomic(&path, b"two").expect_err("protected");
            assert!(matches!(error, FileError::Protected(_)), "{error}");
            let error = write_atomic(Path::new("/dev/null"), b"two").expect_err("a device");
            assert!(matches!(error, FileError::NotAFile(_)), "{error}");
        }

        #[test]
        fn a_second_name_of_the_input_is_told() {
            let dir = folder();
            let (input, other, link) =
                (dir.path().join("part.yaml"), dir.path().join("hard"), dir.path().join("soft"));
            fs::write(&input, b"x").expect("input");
            fs::hard_link(&input, &other).expect("hard link");
            symlink(&input, &link).expect("link");
            for target in [&other, &link] {
                let error = test_distinct(&input, &[target]).expect_err("the input");
                assert!(matches!(error, FileError::IsInput(_)), "{error}");
            }
        }

        #[test]
        fn a_link_stays_a_link() {
            let dir = folder();
            let (real, link) = (dir.path().join("real"), dir.path().join("link"));
            fs::write(&real, b"one").expect("real");
            symlink(&real, &link).expect("link");
            write_atomic(&link, b"two").expect("write");
            assert!(link.is_symlink(), "still a link");
            assert_eq!(fs::read(&real).expect("read"), b"two", "written through");
        }
    }
}
