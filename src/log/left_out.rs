//! What could not be used, counted by reason, with the first places of each.

/// Why a row was left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Reason {
    /// The time cannot be read.
    UnreadableTime,
    /// Clocks were put forward over the time.
    NoSuchTime,
    /// The row before has the same time.
    RepeatedTime,
    /// The time lies before that of earlier rows.
    TimeBackwards,
    /// It has fewer or more cells than there are columns.
    CellCount,
    /// No value in it can be used.
    NothingMeasured,
    /// The line is far too long.
    TooLong,
    /// A byte in it belongs to no text.
    NotText,
}

impl Reason {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Self; 8] = [
        Self::UnreadableTime,
        Self::NoSuchTime,
        Self::RepeatedTime,
        Self::TimeBackwards,
        Self::CellCount,
        Self::NothingMeasured,
        Self::TooLong,
        Self::NotText,
    ];

    /// Its name in results.
    pub fn name(self) -> &'static str {
        match self {
            Self::UnreadableTime => "unreadable-time",
            Self::NoSuchTime => "no-such-time",
            Self::RepeatedTime => "repeated-time",
            Self::TimeBackwards => "time-backwards",
            Self::CellCount => "cell-count",
            Self::NothingMeasured => "nothing-measured",
            Self::TooLong => "line-too-long",
            Self::NotText => "not-text",
        }
    }

    /// What is the matter, in a few words.
    pub fn says(self) -> &'static str {
        match self {
            Self::UnreadableTime => "time cannot be read",
            Self::NoSuchTime => {
                "time that no clock showed, because clocks were put forward over it"
            }
            Self::RepeatedTime => "same time as the row before",
            Self::TimeBackwards => "time before that of earlier rows",
            Self::CellCount => "fewer or more cells than there are columns",
            Self::NothingMeasured => "no value that can be used",
            Self::TooLong => "far too long for a row of a table",
            Self::NotText => "bytes that are no text",
        }
    }
}

/// Why a cell was left out of a row that was used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CellReason {
    /// Nothing stands in it.
    Blank,
    /// It is no number.
    NotANumber,
    /// Its unit is of another kind.
    WrongUnit,
    /// No chamber has such a value.
    Impossible,
}

impl CellReason {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Self; 4] = [
        Self::Blank,
        Self::NotANumber,
        Self::WrongUnit,
        Self::Impossible,
    ];

    /// Its name in results.
    pub fn name(self) -> &'static str {
        match self {
            Self::Blank => "blank",
            Self::NotANumber => "not-a-number",
            Self::WrongUnit => "wrong-unit",
            Self::Impossible => "impossible",
        }
    }

    /// What is the matter, in a few words.
    pub fn says(self) -> &'static str {
        match self {
            Self::Blank => "blank",
            Self::NotANumber => "no number",
            Self::WrongUnit => "unit that does not fit",
            Self::Impossible => "value that cannot be",
        }
    }
}

/// A place that could not be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The line, counted from 1.
    pub line: u64,
    /// The column, counted from 1, where one is at fault.
    pub column: Option<usize>,
    /// What stands there, cut short.
    pub text: String,
}

/// A count, and the first places.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Count {
    /// How many.
    pub count: u64,
    /// The first few.
    pub first: Vec<Place>,
}

/// How many places of each reason are kept.
const MOST_PLACES: usize = 3;

/// How much of a text is kept.
const MOST_TEXT: usize = 40;

impl Count {
    /// Counts a place.
    pub fn add(&mut self, line: u64, column: Option<usize>, text: &[u8]) {
        self.count += 1;
        if self.first.len() < MOST_PLACES {
            let text = String::from_utf8_lossy(text);
            self.first.push(Place {
                line,
                column,
                text: text.trim().chars().take(MOST_TEXT).collect(),
            });
        }
    }
}
