//! The keys of their own that questions have, and what they stand for.

use crate::cli::ask::answers::Which;
use crate::cli::ask::list::Hot;
use crate::cli::ask::walk::Reply;

/// What stands first where one of many is asked for.
pub const NOT_KNOWN: &str = "I do not know";
/// [`ASK_WHY`] as a line of a list.
pub const WHY: &str = "why do you ask?";
/// [`GO_BACK`] as a line of a list.
pub const BACK: &str = "back";
/// [`END`] as a line of a list.
pub const ENOUGH: &str = "enough, show me the result";

/// Puts the check off.
pub const CANNOT: Hot = Hot {
    key: 'c',
    word: "cannot check now",
};
/// Asks back why it is asked.
pub const ASK_WHY: Hot = Hot {
    key: 'w',
    word: "why do you ask?",
};
/// Asks back how things look.
pub const SO_FAR: Hot = Hot {
    key: 't',
    word: "so far?",
};
/// Takes the last answer back.
pub const GO_BACK: Hot = Hot {
    key: 'b',
    word: BACK,
};
/// Ends the walk.
pub const END: Hot = Hot {
    key: 'e',
    word: "enough",
};
/// None of several.
pub const NONE: Hot = Hot {
    key: 'n',
    word: "none of these",
};
/// Says nothing about people.
pub const RATHER_NOT: Hot = Hot {
    key: 'r',
    word: "rather not say",
};
/// Looked, and could not tell.
pub const UNSURE: Hot = Hot {
    key: 'u',
    word: "not sure",
};

/// What a key stands for that is on no line of the list.
pub fn aside(key: char) -> Reply {
    match key {
        'b' => Reply::Back,
        'e' => Reply::Enough,
        'w' => Reply::Why,
        't' => Reply::SoFar,
        'n' => Reply::Which(Which::None),
        'u' => Reply::Which(Which::Unsure),
        _ => Reply::CannotNow,
    }
}

/// What a key does, as a line of a list.
pub fn long_word(hot: &Hot) -> &'static str {
    match hot.key {
        'w' => WHY,
        'e' => ENOUGH,
        _ => hot.word,
    }
}
