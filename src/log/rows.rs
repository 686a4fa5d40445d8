//! Rows of a log, in order of time.

use std::io::{self, Read};

use crate::log::cell::{self, Cell};
use crate::log::channel::{CHANNELS, Channel};
use crate::log::left_out::{CellReason, Count, Reason};
use crate::log::lines::{Lines, split};
use crate::log::opening::{MOST_COLUMNS, Opening, OpeningError, Said, open};
use crate::log::settings::Settings;
use crate::log::stamp::{self, Stamp};
use crate::log::unit::InUnit;
use crate::log::zone::{Moment, Zone};

/// A row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Its line in the file.
    pub line: u64,
    /// When.
    pub moment: Moment,
    /// The value of each channel in the unit that is kept; not a number where there is none.
    pub values: [f64; CHANNELS],
}

/// What could not be used.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Rows by reason, in the order of [`Reason::ALL`].
    pub rows: [Count; 8],
    /// Cells of rows that were used, by channel and reason, in the orders of the lists.
    pub cells: [[Count; 4]; CHANNELS],
}

impl LeftOut {
    /// Rows left out for this reason.
    pub fn of(&self, reason: Reason) -> &Count {
        &self.rows[reason as usize]
    }

    /// Cells of this channel left out for this reason.
    pub fn of_cell(&self, channel: Channel, reason: CellReason) -> &Count {
        &self.cells[channel.index()][reason as usize]
    }

    /// All rows left out.
    pub fn total_rows(&self) -> u64 {
        self.rows.iter().map(|count| count.count).sum()
    }
}

/// Why a log cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum RowsError {
    /// It is no log, or something about it has to be said.
    #[error(transparent)]
    Opening(#[from] OpeningError),
    /// What the operating system says.
    #[error("it cannot be read: {0}")]
    Io(#[from] io::Error),
}

/// Where a column is, and what its cells become.
#[derive(Debug, Clone, Copy)]
struct Target {
    channel: Channel,
    column: usize,
    unit: InUnit,
    believable: (f64, f64),
    /// Values above what is believed, up to this one, are taken as the greatest that is.
    held_up_to: f64,
}

/// Reads rows.
#[derive(Debug)]
pub struct Rows<R> {
    lines: Lines<R>,
    opening: Opening,
    targets: Vec<Target>,
    zone: Zone,
    left_out: LeftOut,
    rows: u64,
    held: u64,
    /// Where the cells of the present line are.
    places: Vec<(u32, u32)>,
    /// A row that waits for the next one to show whether its time can be true.
    waiting: Option<Row>,
    /// The time of the last row given out.
    last: Option<i64>,
    other_units: [u64; CHANNELS],
    offsets: bool,
    clocks: bool,
}

impl<R: Read> Rows<R> {
    /// Opens a log.
    ///
    /// # Errors
    /// It is no log, something about it is not clear, or the operating system refuses.
    pub fn open(
        source: R,
        said: &Said,
        zone: Zone,
        settings: &Settings,
    ) -> Result<Self, RowsError> {
        let mut lines = Lines::new(source)?;
        let opening = open(
            lines.beginning(),
            lines.terminator(),
            lines.is_whole(),
            said,
            settings,
        )?;
        lines.skip(opening.mark);
        for _ in 0..opening.lines_before {
            lines.next_line()?;
        }
        let mut targets = Vec::new();
        for channel in Channel::ALL {
            let place = opening.plan.values[channel.index()].as_ref();
            if let (Some(place), Some(judged)) = (place, settings.channel(channel)) {
                targets.push(Target {
                    channel,
                    column: place.column,
                    unit: place.unit,
                    believable: judged.believable,
                    held_up_to: match channel {
                        Channel::Humidity => settings.numbers.over_range,
                        _ => judged.believable.1,
                    },
                });
            }
        }
        Ok(Self {
            lines,
            opening,
            targets,
            zone,
            left_out: LeftOut::default(),
            rows: 0,
            held: 0,
            places: vec![(0, 0); MOST_COLUMNS],
            waiting: None,
            last: None,
            other_units: [0; CHANNELS],
            offsets: false,
            clocks: false,
        })
    }

    /// How the file is read.
    pub fn opening(&self) -> &Opening {
        &self.opening
    }

    /// The time zone.
    pub fn zone(&self) -> &Zone {
        &self.zone
    }

    /// What could not be used so far.
    pub fn left_out(&self) -> &LeftOut {
        &self.left_out
    }

    /// Rows met so far, those left out among them.
    pub fn rows(&self) -> u64 {
        self.rows
    }

    /// Bytes read so far.
    pub fn bytes(&self) -> u64 {
        self.lines.bytes()
    }

    /// Values above what there can be that a wet meter may show, taken as the greatest there can be.
    pub fn held(&self) -> u64 {
        self.held
    }

    /// Cells of a channel that named a unit other than their column's, and were converted.
    pub fn other_units(&self, channel: Channel) -> u64 {
        self.other_units[channel.index()]
    }

    /// Whether stamps said, so far, how far the clock is from universal time; and whether some did not.
    pub fn offsets_and_clocks(&self) -> (bool, bool) {
        (self.offsets, self.clocks)
    }

    /// The next row that can be used, later than all before; none at the end.
    ///
    /// # Errors
    /// What the operating system says.
    pub fn next_row(&mut self) -> io::Result<Option<Row>> {
        loop {
            let Some(next) = self.read_row()? else {
                let row = self.waiting.take();
                return Ok(row);
            };
            let Some(waiting) = self.waiting else {
                self.waiting = Some(next);
                continue;
            };
            let (before, after) = (waiting.moment.at_ms, next.moment.at_ms);
            if after > before {
                self.waiting = Some(next);
                self.last = Some(before);
                return Ok(Some(waiting));
            }
            if after == before {
                self.leave_out(Reason::RepeatedTime, next);
            } else if self.leapt_ahead(before, after) {
                self.leave_out(Reason::TimeBackwards, waiting);
                self.waiting = Some(next);
            } else {
                self.leave_out(Reason::TimeBackwards, next);
            }
        }
    }

    fn leave_out(&mut self, reason: Reason, row: Row) {
        let text = row.moment.to_string();
        let column = Some(self.opening.plan.stamp.first + 1);
        self.left_out.rows[reason as usize].add(row.line, column, text.as_bytes());
    }

    /// Whether the waiting row leapt far ahead of its neighbours, so that not the next one but this one is wrong.
    fn leapt_ahead(&self, waiting: i64, next: i64) -> bool {
        // judgement: ten times the step of its neighbours, or a day where no row stands before.
        match self.last {
            Some(last) => next > last && waiting - last > 10 * (next - last),
            None => waiting - next > 86_400_000,
        }
    }

    /// The next row whose time and values can be read, whatever its time.
    fn read_row(&mut self) -> io::Result<Option<Row>> {
        let Self {
            lines,
            opening,
            targets,
            zone,
            left_out,
            rows,
            held,
            places,
            waiting,
            last,
            other_units,
            offsets,
            clocks,
        } = self;
        let stamp_place = opening.plan.stamp;
        let columns = opening.plan.columns;
        loop {
            let Some(line) = lines.next_line()? else {
                return Ok(None);
            };
            let number = line.number;
            if line.too_long {
                *rows += 1;
                left_out.rows[Reason::TooLong as usize].add(number, None, b"");
                continue;
            }
            let text = line.text;
            if text.trim_ascii().is_empty() {
                continue;
            }
            *rows += 1;
            let found = split(text, opening.delimiter, places);
            let cell = |column: usize| {
                let (from, to) = places[column.min(MOST_COLUMNS - 1)];
                &text[from as usize..to as usize]
            };
            // Some loggers end each row with what stands between cells.
            let trailing = (columns + 1..=MOST_COLUMNS).contains(&found)
                && (columns..found).all(|column| cell(column).trim_ascii().is_empty());
            if found != columns && !trailing {
                let reason = if memchr::memchr(0, text).is_some() {
                    Reason::NotText
                } else {
                    Reason::CellCount
                };
                left_out.rows[reason as usize].add(number, None, text);
                continue;
            }
            let whole;
            let stamp_text = match stamp_place.second {
                None => cell(stamp_place.first),
                Some(second) => {
                    let (date, time) = (cell(stamp_place.first), cell(second));
                    whole = [date.trim_ascii(), b" ", time.trim_ascii()].concat();
                    &whole
                }
            };
            let column = Some(stamp_place.first + 1);
            let Some(stamp) = stamp::read(stamp_text, opening.form) else {
                let reason = if memchr::memchr(0, text).is_some() {
                    Reason::NotText
                } else {
                    Reason::UnreadableTime
                };
                left_out.rows[reason as usize].add(number, column, stamp_text);
                continue;
            };
            let stamp = match (stamp, stamp_place.offset_s) {
                // The column's name says how far the clock is from universal time.
                (Stamp::Clock(ms), Some(offset)) => {
                    Stamp::Instant(ms - i64::from(offset) * 1000, offset)
                }
                (stamp, _) => stamp,
            };
            match stamp {
                Stamp::Clock(_) => *clocks = true,
                Stamp::Instant(..) => *offsets = true,
            }
            let before = waiting.map(|row| row.moment.at_ms).or(*last);
            let Ok(moment) = zone.moment(stamp, before) else {
                left_out.rows[Reason::NoSuchTime as usize].add(number, column, stamp_text);
                continue;
            };
            let mut values = [f64::NAN; CHANNELS];
            let mut used = false;
            for target in targets.iter() {
                let text = cell(target.column);
                let index = target.channel.index();
                let (value, unit) = match plain_or_read(text, opening.decimal_comma) {
                    Cell::Number(value, unit) => (value, unit),
                    other => {
                        let reason = match other {
                            Cell::Blank => CellReason::Blank,
                            _ => CellReason::NotANumber,
                        };
                        left_out.cells[index][reason as usize].add(
                            number,
                            Some(target.column + 1),
                            text,
                        );
                        continue;
                    }
                };
                let value = match unit {
                    None => target.unit.convert(target.channel, value),
                    Some(unit) if unit.fits(target.channel) => {
                        other_units[index] += u64::from(unit != target.unit);
                        unit.convert(target.channel, value)
                    }
                    Some(_) => {
                        left_out.cells[index][CellReason::WrongUnit as usize].add(
                            number,
                            Some(target.column + 1),
                            text,
                        );
                        continue;
                    }
                };
                let mut value = value;
                if value > target.believable.1 && value <= target.held_up_to {
                    value = target.believable.1;
                    *held += 1;
                }
                if value < target.believable.0 || value > target.believable.1 {
                    left_out.cells[index][CellReason::Impossible as usize].add(
                        number,
                        Some(target.column + 1),
                        text,
                    );
                    continue;
                }
                values[index] = value;
                used = true;
            }
            if !used {
                left_out.rows[Reason::NothingMeasured as usize].add(number, None, text);
                continue;
            }
            return Ok(Some(Row {
                line: number,
                moment,
                values,
            }));
        }
    }
}

/// The quick way for what nearly every cell holds.
#[inline]
fn plain_or_read(text: &[u8], decimal_comma: bool) -> Cell {
    if !decimal_comma && let Some(value) = cell::plain(text) {
        return Cell::Number(value, None);
    }
    cell::read(text, decimal_comma)
}
