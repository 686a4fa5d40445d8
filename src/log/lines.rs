//! The lines of a file, one after another, in memory that does not grow with the file.
//!
//! Cells never run over the end of a line in a sensor log. Reading by lines, a quotation mark that is never closed costs
//! one line and not the rest of the file, and memory stays bounded: that is why no general reader of CSV is used.

use std::io::{self, Read};

use memchr::memchr;

/// The longest line that is read.
///
/// judgement: loggers with dozens of columns stay below a kilobyte; a longer line is no table.
pub const LONGEST_LINE: usize = 16 * 1024;

/// What is read at once, and also how much of the file can be looked at before it is read.
const BUFFER: usize = 1024 * 1024;

/// A line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line<'a> {
    /// Its number in the file, counted from 1.
    pub number: u64,
    /// What it says, without its end; nothing if it is longer than [`LONGEST_LINE`].
    pub text: &'a [u8],
    /// Whether it is longer than [`LONGEST_LINE`] and was passed over.
    pub too_long: bool,
}

/// Reads lines.
#[derive(Debug)]
pub struct Lines<R> {
    source: R,
    buffer: Vec<u8>,
    start: usize,
    end: usize,
    number: u64,
    ended: bool,
    terminator: u8,
    bytes: u64,
}

impl<R: Read> Lines<R> {
    /// Takes a file, and reads its beginning.
    ///
    /// # Errors
    /// What the operating system says.
    pub fn new(source: R) -> io::Result<Self> {
        let mut lines = Self {
            source,
            buffer: vec![0; BUFFER],
            start: 0,
            end: 0,
            number: 0,
            ended: false,
            terminator: b'\n',
            bytes: 0,
        };
        while !lines.ended && lines.end < lines.buffer.len() {
            lines.fill()?;
        }
        // Some old programs end lines with carriage returns alone.
        let beginning = lines.beginning();
        if memchr(b'\n', beginning).is_none() && memchr(b'\r', beginning).is_some() {
            lines.terminator = b'\r';
        }
        Ok(lines)
    }

    /// What has been read and not been given out; right after [`Lines::new`], the beginning of the file.
    pub fn beginning(&self) -> &[u8] {
        &self.buffer[self.start..self.end]
    }

    /// Whether all of the file is in [`Lines::beginning`].
    pub fn is_whole(&self) -> bool {
        self.ended
    }

    /// Leaves out the first bytes, such as a byte order mark.
    pub fn skip(&mut self, bytes: usize) {
        self.start = (self.start + bytes).min(self.end);
    }

    /// What ends a line.
    pub fn terminator(&self) -> u8 {
        self.terminator
    }

    /// How many bytes of the file have been given out.
    pub fn bytes(&self) -> u64 {
        self.bytes
    }

    /// The next line, or none at the end.
    ///
    /// # Errors
    /// What the operating system says.
    pub fn next_line(&mut self) -> io::Result<Option<Line<'_>>> {
        let mut too_long = false;
        loop {
            if let Some(length) = memchr(self.terminator, &self.buffer[self.start..self.end]) {
                let from = self.start;
                self.start += length + 1;
                return Ok(Some(self.line(from, from + length, length + 1, too_long)));
            }
            if self.ended {
                let (from, to) = (self.start, self.end);
                self.start = self.end;
                if from == to && !too_long {
                    return Ok(None);
                }
                return Ok(Some(self.line(from, to, to - from, too_long)));
            }
            if self.end - self.start > LONGEST_LINE {
                too_long = true;
                self.bytes += (self.end - self.start) as u64;
                self.start = self.end;
            }
            self.make_room();
            self.fill()?;
        }
    }

    fn line(&mut self, from: usize, to: usize, bytes: usize, too_long: bool) -> Line<'_> {
        self.number += 1;
        self.bytes += bytes as u64;
        let too_long = too_long || to - from > LONGEST_LINE;
        let mut text = &self.buffer[from..to];
        if let [head @ .., b'\r'] = text {
            text = head;
        }
        Line {
            number: self.number,
            text: if too_long { &[] } else { text },
            too_long,
        }
    }

    fn make_room(&mut self) {
        if self.start > 0 {
            self.buffer.copy_within(self.start..self.end, 0);
            self.end -= self.start;
            self.start = 0;
        }
    }

    fn fill(&mut self) -> io::Result<()> {
        loop {
            match self.source.read(&mut self.buffer[self.end..]) {
                Ok(0) => self.ended = true,
                Ok(read) => self.end += read,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            }
            return Ok(());
        }
    }
}

/// Where the cells of a line are, without their quotation marks. Returns how many there are; only the first ones find
/// room in `cells`.
pub fn split(line: &[u8], delimiter: u8, cells: &mut [(u32, u32)]) -> usize {
    let mut count = 0;
    let mut start = 0;
    let mut keep = |from: usize, to: usize| {
        if let Some(cell) = cells.get_mut(count) {
            // A line is no longer than sixteen kilobytes.
            *cell = (from as u32, to as u32);
        }
        count += 1;
    };
    if memchr(b'"', line).is_none() {
        for (at, byte) in line.iter().enumerate() {
            if *byte == delimiter {
                keep(start, at);
                start = at + 1;
            }
        }
        keep(start, line.len());
        return count;
    }
    loop {
        let rest = &line[start..];
        let blanks = rest.iter().take_while(|byte| **byte == b' ').count();
        if rest.get(blanks) == Some(&b'"') {
            let from = start + blanks + 1;
            let mut at = from;
            // A doubled mark stands for one inside the cell.
            while at < line.len() {
                if line[at] != b'"' {
                    at += 1;
                } else if line.get(at + 1) == Some(&b'"') {
                    at += 2;
                } else {
                    break;
                }
            }
            keep(from, at.min(line.len()));
            match memchr(delimiter, &line[at.min(line.len())..]) {
                Some(next) => start = at + next + 1,
                None => return count,
            }
        } else {
            match memchr(delimiter, rest) {
                Some(next) => {
                    keep(start, start + next);
                    start += next + 1;
                }
                None => {
                    keep(start, line.len());
                    return count;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{LONGEST_LINE, Lines, split};

    fn cells(line: &str, delimiter: u8) -> Vec<&str> {
        let mut places = [(0, 0); 8];
        let count = split(line.as_bytes(), delimiter, &mut places);
        places[..count]
            .iter()
            .map(|(from, to)| &line[*from as usize..*to as usize])
            .collect()
    }

    #[test]
    fn cells_are_found_with_and_without_quotation_marks() {
        assert_eq!(cells("a,b,,c", b','), ["a", "b", "", "c"]);
        assert_eq!(cells("", b','), [""]);
        assert_eq!(cells("a;\"1,5\";c", b';'), ["a", "1,5", "c"]);
        assert_eq!(cells("\"a,b\", \"c\" ,d", b','), ["a,b", "c", "d"]);
        assert_eq!(cells("\"a\"\"b\",c", b','), ["a\"\"b", "c"]);
        assert_eq!(cells("a,\"lost,b", b','), ["a", "lost,b"]);
        assert_eq!(cells("a,\"b\",", b','), ["a", "b", ""]);
    }

    #[test]
    fn lines_end_in_any_way() {
        for (text, wanted) in [
            ("a\nb\n", vec!["a", "b"]),
            ("a\r\nb", vec!["a", "b"]),
            ("a\rb\r", vec!["a", "b"]),
            ("a\n\nb", vec!["a", "", "b"]),
            ("", vec![]),
        ] {
            let mut lines = Lines::new(text.as_bytes()).expect("memory can be read");
            let mut found = Vec::new();
            while let Some(line) = lines.next_line().expect("memory can be read") {
                assert_eq!(line.number as usize, found.len() + 1);
                found.push(String::from_utf8(line.text.to_vec()).expect("ASCII"));
            }
            assert_eq!(found, wanted);
            assert_eq!(lines.bytes(), text.len() as u64);
        }
    }

    #[test]
    fn a_line_without_end_is_passed_over_and_the_next_one_read() {
        for length in [LONGEST_LINE + 1, 3_000_000] {
            let text = format!("a\n{}\nb", "x".repeat(length));
            let mut lines = Lines::new(text.as_bytes()).expect("memory can be read");
            let mut found = Vec::new();
            while let Some(line) = lines.next_line().expect("memory can be read") {
                found.push((line.number, line.text.len(), line.too_long));
            }
            assert_eq!(found, [(1, 1, false), (2, 0, true), (3, 1, false)]);
        }
    }
}
