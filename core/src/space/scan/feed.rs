//! A file on its way to a reader: progress, cancelling, and no line or entry longer than can be right.

use super::watch::Steps;
use std::io::{self, BufRead, BufReader, Read};

/// A line of text or an entry longer than this is not from a scanner, bytes.
const MAX_RECORD: u64 = 1 << 20;

/// Bytes fetched at a time: at 50 MB/s, the slowest disk, 5 ms of work between two looks at the watch.
const BUFFER: usize = 256 * 1024;

/// Reads `inner` and tells how far it has come.
pub(super) struct Feed<'a, R> {
    inner: BufReader<R>,
    steps: &'a Steps<'a>,
    /// Bytes handed on so far, and how many there will be.
    done: u64,
    total: u64,
    /// Bytes handed on since the last whole record; `None` where records have no bound.
    record: Option<u64>,
}

impl<'a, R: Read> Feed<'a, R> {
    /// A feed of plain bytes, `total` of them.
    pub(super) fn bytes(inner: R, total: u64, steps: &'a Steps<'a>) -> Self {
        Self {
            inner: BufReader::with_capacity(BUFFER, inner),
            steps,
            done: 0,
            total: total.max(1),
            record: None,
        }
    }

    /// A feed of lines or entries, each of which ends with [`Self::next_record`].
    pub(super) fn records(inner: R, total: u64, steps: &'a Steps<'a>) -> Self {
        Self { record: Some(0), ..Self::bytes(inner, total, steps) }
    }

    /// The record is whole; another begins.
    pub(super) fn next_record(&mut self) {
        self.record = self.record.map(|_| 0);
    }

    /// Bytes handed on so far.
    pub(super) fn done(&self) -> u64 {
        self.done
    }

    /// The next line, its end included, into `line`; false at the end of the file.
    pub(super) fn line(&mut self, line: &mut Vec<u8>) -> io::Result<bool> {
        line.clear();
        self.next_record();
        Ok(self.read_until(b'\n', line)? > 0)
    }
}

impl<R: Read> BufRead for Feed<'_, R> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.record.is_some_and(|bytes| bytes > MAX_RECORD) {
            return Err(io::Error::new(io::ErrorKind::InvalidData, "a line or entry in it never ends"));
        }
        if self.inner.buffer().is_empty() {
            self.steps.at(self.done as f64 / self.total as f64).map_err(io::Error::other)?;
        }
        self.inner.fill_buf()
    }

    fn consume(&mut self, amount: usize) {
        self.inner.consume(amount);
        self.done += amount as u64;
        if let Some(bytes) = &mut self.record {
            *bytes += amount as u64;
        }
    }
}

impl<R: Read> Read for Feed<'_, R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let from = self.fill_buf()?;
        let count = from.len().min(into.len());
        into[..count].copy_from_slice(&from[..count]);
        self.consume(count);
        Ok(count)
    }
}
