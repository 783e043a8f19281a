//! A table written to Parquet and CSV side by side, and read back from Parquet.
//!
//! Rows come one after another and are written in groups, so that memory does not grow with their number. The files
//! appear under their names only when both are complete.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical};
use parquet::column::reader::ColumnReader;
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::{Type, TypePtr};

use super::store::StoreError;
use crate::export::files::Draft;

/// What a column holds. Whole numbers are always present, the others may be missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Whole numbers.
    Int,
    /// Numbers.
    Real,
    /// Words.
    Text,
}

/// One value of a row.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A whole number.
    Int(i64),
    /// A number, if it is there.
    Real(Option<f64>),
    /// Words, if they are there.
    Text(Option<String>),
}

impl Cell {
    /// Its whole number, or 0.
    pub fn int(&self) -> i64 {
        if let Self::Int(n) = self { *n } else { 0 }
    }

    /// Its number, if it is one.
    pub fn real(&self) -> Option<f64> {
        if let Self::Real(x) = self { *x } else { None }
    }

    /// Its text, if it is one.
    pub fn text(&self) -> Option<String> {
        if let Self::Text(t) = self { t.clone() } else { None }
    }

    fn csv(&self) -> String {
        match self {
            Self::Int(n) => n.to_string(),
            Self::Real(x) => x.map_or_else(String::new, number),
            Self::Text(t) => t.clone().unwrap_or_default(),
        }
    }
}

/// Writes a number so that it reads back unchanged.
fn number(x: f64) -> String {
    let plain = x == 0.0 || (1e-5..1e15).contains(&x.abs());
    if plain { format!("{x}") } else { format!("{x:e}") }
}

/// The columns of a table.
pub type Columns = Vec<(String, Holds)>;

/// A table being written.
pub struct Writer {
    columns: Columns,
    parquet: SerializedFileWriter<Draft>,
    csv: csv::Writer<Draft>,
    group: Vec<Vec<Cell>>,
    path: PathBuf,
}

impl Writer {
    /// Begins PATH.parquet and PATH.csv.
    ///
    /// # Errors
    /// If they cannot be created.
    pub fn begin(path: &Path, columns: Columns) -> Result<Self, StoreError> {
        let properties = WriterProperties::builder().set_compression(Compression::SNAPPY).build();
        let draft = Draft::begin(&path.with_extension("parquet"))?;
        let parquet = SerializedFileWriter::new(
            draft,
            schema(&columns).map_err(|e| wrong(path, &e))?,
            Arc::new(properties),
        );
        let mut csv = csv::Writer::from_writer(Draft::begin(&path.with_extension("csv"))?);
        csv.write_record(columns.iter().map(|c| &c.0)).map_err(|e| StoreError::io(path, e.into()))?;
        let parquet = parquet.map_err(|e| wrong(path, &e))?;
        Ok(Self { columns, parquet, csv, group: Vec::new(), path: path.to_owned() })
    }

    /// Adds a row.
    ///
    /// # Errors
    /// A full disk.
    pub fn push(&mut self, row: Vec<Cell>) -> Result<(), StoreError> {
        let fields = row.iter().map(Cell::csv);
        self.csv.write_record(fields).map_err(|e| StoreError::io(&self.path, e.into()))?;
        self.group.push(row);
        Ok(())
    }

    /// Ends a group of rows.
    ///
    /// # Errors
    /// A full disk.
    pub fn end_group(&mut self) -> Result<(), StoreError> {
        let rows = std::mem::take(&mut self.group);
        if rows.is_empty() {
            return Ok(());
        }
        let path = &self.path;
        let mut group = self.parquet.next_row_group().map_err(|e| wrong(path, &e))?;
        for (k, (_, holds)) in self.columns.iter().enumerate() {
            write_column(&mut group, *holds, rows.iter().map(|r| &r[k])).map_err(|e| wrong(path, &e))?;
        }
        group.close().map(drop).map_err(|e| wrong(path, &e))
    }

    /// Puts both files in place, the Parquet file last.
    ///
    /// # Errors
    /// A full disk.
    pub fn keep(mut self) -> Result<(), StoreError> {
        self.end_group()?;
        let path = self.path;
        let csv = self.csv.into_inner().map_err(|e| StoreError::io(&path, e.into_error()))?;
        csv.keep()?;
        Ok(self.parquet.into_inner().map_err(|e| wrong(&path, &e))?.keep()?)
    }
}

fn wrong(path: &Path, error: &ParquetError) -> StoreError {
    StoreError::Parquet { path: path.with_extension("parquet"), why: error.to_string() }
}

fn schema(columns: &Columns) -> Result<TypePtr, ParquetError> {
    let column = |(name, holds): &(String, Holds)| {
        let (physical, logical, repetition) = match holds {
            Holds::Int => (Physical::INT64, None, Repetition::REQUIRED),
            Holds::Real => (Physical::DOUBLE, None, Repetition::OPTIONAL),
            Holds::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String), Repetition::OPTIONAL),
        };
        let builder = Type::primitive_type_builder(name, physical);
        builder.with_repetition(repetition).with_logical_type(logical).build().map(Arc::new)
    };
    let fields = columns.iter().map(column).collect::<Result<_, _>>()?;
    Type::group_type_builder("row").with_fields(fields).build().map(Arc::new)
}

fn write_column<'c>(
    group: &mut SerializedRowGroupWriter<'_, Draft>,
    holds: Holds,
    cells: impl Iterator<Item = &'c Cell> + Clone,
) -> Result<(), ParquetError> {
    let Some(mut column) = group.next_column()? else { return Ok(()) };
    let there = |yes: bool| i16::from(yes);
    match holds {
        Holds::Int => {
            let values: Vec<i64> = cells.map(Cell::int).collect();
            column.typed::<Int64Type>().write_batch(&values, None, None)?;
        }
        Holds::Real => {
            let levels: Vec<i16> = cells.clone().map(|c| there(c.real().is_some())).collect();
            let values: Vec<f64> = cells.filter_map(Cell::real).collect();
            column.typed::<DoubleType>().write_batch(&values, Some(&levels), None)?;
        }
        Holds::Text => {
            let levels: Vec<i16> = cells.clone().map(|c| there(matches!(c, Cell::Text(Some(_))))).collect();
            let values: Vec<ByteArray> = cells.filter_map(Cell::text).map(|t| t.as_str().into()).collect();
            column.typed::<ByteArrayType>().write_batch(&values, Some(&levels), None)?;
        }
    }
    column.close()
}

/// A Parquet table being read, group by group.
pub struct Reader {
    file: SerializedFileReader<File>,
    path: PathBuf,
    next: usize,
}

impl Reader {
    /// Opens PATH.parquet.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let path = path.with_extension("parquet");
        let file = File::open(&path).map_err(|e| StoreError::io(&path, e))?;
        let file = SerializedFileReader::new(file).map_err(|e| wrong(&path, &e))?;
        Ok(Self { file, path, next: 0 })
    }

    /// The rows of the next group; `None` at the end.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn group(&mut self) -> Result<Option<Vec<Vec<Cell>>>, StoreError> {
        if self.next >= self.file.num_row_groups() {
            return Ok(None);
        }
        let path = self.path.clone();
        let rows = self.read_group(self.next).map_err(|e| wrong(&path, &e))?;
        self.next += 1;
        Ok(Some(rows))
    }

    fn read_group(&self, k: usize) -> Result<Vec<Vec<Cell>>, ParquetError> {
        let group = self.file.get_row_group(k)?;
        let count = usize::try_from(group.metadata().num_rows()).unwrap_or(0);
        let mut rows = vec![Vec::with_capacity(group.num_columns()); count];
        for column in 0..group.num_columns() {
            let cells = read_column(group.get_column_reader(column)?, count)?;
            rows.iter_mut().zip(cells).for_each(|(row, cell)| row.push(cell));
        }
        Ok(rows)
    }
}

fn read_column(reader: ColumnReader, count: usize) -> Result<Vec<Cell>, ParquetError> {
    let mut levels = Vec::new();
    Ok(match reader {
        ColumnReader::Int64ColumnReader(mut r) => {
            let mut values = Vec::new();
            r.read_records(count, None, None, &mut values)?;
            values.into_iter().map(Cell::Int).collect()
        }
        ColumnReader::DoubleColumnReader(mut r) => {
            let mut values = Vec::new();
            r.read_records(count, Some(&mut levels), None, &mut values)?;
            let mut values = values.into_iter();
            levels.iter().map(|l| Cell::Real(if *l > 0 { values.next() } else { None })).collect()
        }
        ColumnReader::ByteArrayColumnReader(mut r) => {
            let mut values: Vec<ByteArray> = Vec::new();
            r.read_records(count, Some(&mut levels), None, &mut values)?;
            let mut values = values.into_iter().map(|b| String::from_utf8_lossy(b.data()).into_owned());
            levels.iter().map(|l| Cell::Text(if *l > 0 { values.next() } else { None })).collect()
        }
        _ => return Err(ParquetError::General("a column of another kind".to_owned())),
    })
}
