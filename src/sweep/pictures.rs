//! Pictures of single rows, one PNG file each in the folder `pictures` of a sweep, named by the row's number.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use solidwright::mesh::{MeshError, triangulate};

use super::plan::Plan;
use super::run::alone;
use super::store::StoreError;
use super::variant::{Maker, Variant};
use crate::drawing::{PictureError, Shown, View, small};
use crate::export::files::{DRAFT_PREFIX, FileError, write_atomic};
use crate::housing::Housing;

/// The folder, within a sweep's own.
const FOLDER: &str = "pictures";

/// Width and height of a picture, pixels: two views side by side are told apart at this size, and a page with a hundred of them
/// stays below 3 MB.
pub const SIZE: (u32, u32) = (720, 300);

/// Chord error of the drawn mesh, mm: well below a pixel on a part of a few hundred millimetres.
const CHORD: f64 = 0.3;

/// Why a row has no picture.
#[derive(Debug, thiserror::Error)]
pub enum RowPictureError {
    /// The part has no mesh.
    #[error("the part can't be meshed: {0}")]
    Mesh(#[from] MeshError),
    /// The mesh can't be drawn.
    #[error(transparent)]
    Picture(#[from] PictureError),
    /// The folder or the disk is at fault.
    #[error(transparent)]
    File(#[from] FileError),
}

/// The file with the picture of a row.
pub fn path(folder: &Path, row: u64) -> PathBuf {
    folder.join(FOLDER).join(format!("{row:09}.png"))
}

/// A part from behind, right and above, and from the left, where stations along the shaft show.
///
/// # Errors
/// If the part cannot be meshed or drawn.
pub fn picture(housing: &Housing) -> Result<Vec<u8>, RowPictureError> {
    let mesh = triangulate(&housing.solid, CHORD)?;
    Ok(small(&[Shown::new(housing.solid.brep(), &mesh)], &[View::RearRightAbove, View::Left], SIZE)?)
}

/// Draws a row's part and writes the picture.
///
/// # Errors
/// See [`RowPictureError`].
pub fn keep(folder: &Path, row: u64, variant: &Variant) -> Result<(), RowPictureError> {
    Ok(write_atomic(&path(folder, row), &picture(variant.housing)?)?)
}

/// Copies the pictures of one sweep's folder into another's: those of a shard into the whole.
///
/// # Errors
/// If a picture cannot be read or put in place.
pub fn take_over(from: &Path, to: &Path) -> Result<(), StoreError> {
    let folder = from.join(FOLDER);
    let entries = match fs::read_dir(&folder) {
        Ok(entries) => entries,
        // A sweep without pictures has no folder for them.
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(StoreError::io(&folder, error)),
    };
    for entry in entries.flatten() {
        let name = entry.file_name();
        if !name.to_string_lossy().starts_with(DRAFT_PREFIX) {
            let bytes = fs::read(entry.path()).map_err(|e| StoreError::io(&entry.path(), e))?;
            write_atomic(&to.join(FOLDER).join(name), &bytes)?;
        }
    }
    Ok(())
}

/// Builds those of the rows again that have no picture yet, without checks, and draws them; `tell` hears of each that has no
/// picture. Rows without a part stay without one.
pub fn make_missing(
    plan: &Plan,
    folder: &Path,
    rows: &[u64],
    threads: usize,
    stop: &AtomicBool,
    tell: &mut (dyn FnMut(u64, &RowPictureError) + Send),
) {
    let missing: Vec<u64> = rows.iter().copied().filter(|row| !path(folder, *row).exists()).collect();
    let mut plan = plan.clone();
    plan.parts.clear();
    let plan = plan;
    let (next, tell) = (AtomicUsize::new(0), Mutex::new(tell));
    let work = || {
        let mut maker = Maker::default();
        while let Some(row) = missing.get(next.fetch_add(1, Ordering::Relaxed)) {
            if stop.load(Ordering::Relaxed) {
                return;
            }
            maker.row(&plan, *row, &mut |_, made| {
                if let Err(error) = keep(folder, *row, made)
                    && let Ok(mut tell) = tell.lock()
                {
                    tell(*row, &error);
                }
            });
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..threads.clamp(1, missing.len().max(1)) {
            scope.spawn(|| alone(work));
        }
    });
}
