//! Writing the tables, a row group at a time, and reading back which results are there.

use std::collections::BTreeSet;
use std::io::Write;
use std::sync::Arc;

use parquet::basic::Compression;
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{ChunkReader, FileReader, SerializedFileReader};
use parquet::file::writer::SerializedFileWriter;
use parquet::record::{Field, RecordWriter};
use parquet::schema::parser::parse_message_type;
use parquet::schema::types::Type;

use super::tables::{Event, Item, Row, Sitting};
use super::{Error, VERSION};
use crate::results::summary::Whole;

/// So many rows wait in memory at most, a table: some twenty megabytes of events.
const GROUP: usize = 1 << 16;

/// How many rows were written.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    /// Rows of sittings.
    pub sittings: u64,
    /// Rows of items.
    pub items: u64,
    /// Rows of events.
    pub events: u64,
}

/// One part of each table, being written.
pub struct Part<W: Write + Send> {
    sittings: Table<Sitting, W>,
    items: Table<Item, W>,
    events: Table<Event, W>,
}

impl<W: Write + Send> Part<W> {
    /// Begins a part on three writers: sittings, items, events.
    ///
    /// # Errors
    /// When a writer takes nothing.
    pub fn new([sittings, items, events]: [W; 3]) -> Result<Self, Error> {
        Ok(Self {
            sittings: Table::new(sittings)?,
            items: Table::new(items)?,
            events: Table::new(events)?,
        })
    }

    /// Adds the rows of a result. Results come in the order of their digests.
    ///
    /// # Errors
    /// When a writer takes no more, or the result's start is no time.
    pub fn add(&mut self, result: &Whole) -> Result<(), Error> {
        let digest: Arc<str> = result.summary.digest.to_string().into();
        self.sittings
            .push(Sitting::new(&result.summary, &digest)?)?;
        let evidence = result.evidence.iter();
        for ((item, events), place) in result.summary.items.iter().zip(evidence).zip(1..) {
            self.items.push(Item::new(item, &digest, place))?;
            for (event, number) in events.iter().zip(1..) {
                self.events
                    .push(Event::new(event, &digest, place, number))?;
            }
        }

        Ok(())
    }

    /// Writes what waits and what closes the files; returns the writers in the same order.
    ///
    /// # Errors
    /// When a writer takes no more.
    pub fn finish(self) -> Result<(Counts, [W; 3]), Error> {
        let (sittings, first) = self.sittings.finish()?;
        let (items, second) = self.items.finish()?;
        let (events, third) = self.events.finish()?;

        Ok((
            Counts {
                sittings,
                items,
                events,
            },
            [first, second, third],
        ))
    }
}

/// One table, being written.
struct Table<R, W: Write + Send> {
    writer: SerializedFileWriter<W>,
    rows: Vec<R>,
    count: u64,
}

impl<R, W> Table<R, W>
where
    R: Row,
    W: Write + Send,
    for<'a> &'a [R]: RecordWriter<R>,
{
    fn new(writer: W) -> Result<Self, Error> {
        let schema = parse_message_type(R::SCHEMA)?;
        let note = KeyValue::new("viva_voicing.dataset".to_owned(), VERSION.to_string());
        let properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_key_value_metadata(Some(vec![note]))
            .build();

        Ok(Self {
            writer: SerializedFileWriter::new(writer, schema.into(), properties.into())?,
            rows: Vec::new(),
            count: 0,
        })
    }

    fn push(&mut self, row: R) -> Result<(), Error> {
        self.rows.push(row);
        if self.rows.len() >= GROUP {
            self.write()?;
        }

        Ok(())
    }

    fn write(&mut self) -> Result<(), Error> {
        if self.rows.is_empty() {
            return Ok(());
        }
        let mut group = self.writer.next_row_group()?;
        self.rows.as_slice().write_to_row_group(&mut group)?;
        let _ = group.close()?;
        self.count += self.rows.len() as u64;
        self.rows.clear();

        Ok(())
    }

    fn finish(mut self) -> Result<(u64, W), Error> {
        self.write()?;

        Ok((self.count, self.writer.into_inner()?))
    }
}

/// Reads which results have rows in a part of any table.
///
/// # Errors
/// When it is no whole Parquet file with a column `result`.
pub fn results_in<R: ChunkReader + 'static>(reader: R) -> Result<BTreeSet<String>, Error> {
    let reader = SerializedFileReader::new(reader)?;
    let schema = reader.metadata().file_metadata().schema();
    let column = schema.get_fields().iter().find(|of| of.name() == "result");
    let Some(column) = column.cloned() else {
        return Err(ParquetError::General("expected a column `result`".to_owned()).into());
    };
    let only = Type::group_type_builder(schema.name())
        .with_fields(vec![column])
        .build()?;
    let mut results = BTreeSet::new();
    for row in reader.get_row_iter(Some(only))? {
        for (_, field) in row?.get_column_iter() {
            if let Field::Str(digest) = field
                && !results.contains(digest)
            {
                let _ = results.insert(digest.clone());
            }
        }
    }

    Ok(results)
}
