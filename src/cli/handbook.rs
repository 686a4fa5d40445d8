//! `handbook`: look up and compare what the knowledge says.

use crate::cli::args::{Format, HandbookArgs};
use crate::cli::chamber;
use crate::cli::exit::{Exit, Failure, Outcome};
use crate::cli::knowledge::covered;
use crate::cli::new_file::{free, put};
use crate::cli::session::Session;
use crate::engine::id::{CardId, CauseId, SignId};
use crate::engine::knowledge::KnowledgeBase;
use crate::engine::reasoner::Reasoner;
use crate::knowledge::coverage::coverage;
use crate::knowledge::problem::nearest;
use crate::report::handbook::cards::Sheet;
use crate::report::handbook::compare::compare;
use crate::report::handbook::key::{self, Key};
use crate::report::handbook::{Book, Entry, Looked, look_up};
use crate::report::html;
use crate::report::sanitise;

/// The word that asks for two causes side by side.
const COMPARE: &str = "compare";
/// The word that asks for the questions after a sign.
const KEY: &str = "key";
/// The word that asks for a card of the chamber door.
const CARD: &str = "card";

/// Carries out the command.
///
/// # Errors
/// Where nothing or more than one entry fits the words, the two to compare are no causes, or the page cannot be written.
pub fn run(args: &HandbookArgs, session: &Session) -> Outcome {
    if session.format == Format::Json {
        return Err(Failure::usage(
            "the handbook is for reading; `blockside knowledge list KIND --format json` gives every entry to programs",
        ));
    }
    let base = session.full_base()?;
    let book = Book {
        base: &base,
        system: session.system,
        look: session.look,
    };
    if let Some(path) = &args.html {
        free(path)?;
        let text = page(args, book, session)?;
        put(path, &text)?;
        session.write(&format!(
            "Written: {}\n",
            sanitise::line(&path.display().to_string())
        ))?;
        return Ok(Exit::Done);
    }
    let text = match args.words.as_slice() {
        [] => book.front(&coverage(&base, covered(&base, None)?)),
        [first, rest @ ..] if first == COMPARE => {
            let [one, other] = rest else {
                return Err(Failure::usage(format!(
                    "write `blockside handbook {COMPARE} A B` with the ids of two causes, or their names in quotes"
                )));
            };
            let (one, other) = (cause(&base, one)?, cause(&base, other)?);
            if one == other {
                return Err(Failure::usage(format!(
                    "`{one}` cannot be compared with itself"
                )));
            }
            compare(book, one, other)
        }
        [first, rest @ ..] if first == KEY => {
            if rest.is_empty() {
                return Err(Failure::usage(format!(
                    "write `blockside handbook {KEY} WORD` with a sign, or what you call it"
                )));
            }
            let typed = rest.join(" ");
            let sign = first_of(&base, &typed)?;
            let reasoner = Reasoner::new(&base, session.system);
            let key = key::key(&reasoner, &sign).ok_or_else(|| no_key(&typed))?;
            key::text(&key, session.look)
        }
        [first, rest @ ..] if first == CARD => {
            let sheets: Vec<String> = wanted(&base, rest)?
                .into_iter()
                .map(|sheet| book.card(sheet))
                .collect();
            sheets.join("\n")
        }
        words => book.pages(&found(&base, &words.join(" "))?),
    };
    session.write(&text)?;
    Ok(Exit::Done)
}

/// The page of HTML asked for.
fn page(args: &HandbookArgs, book: Book<'_>, session: &Session) -> Result<String, Failure> {
    let base = book.base;
    match args.words.as_slice() {
        [] => {
            let reasoner = Reasoner::new(base, session.system);
            let openings = base.signs.iter().filter(|(_, sign)| sign.opening.is_some());
            let keys: Vec<Key> = openings
                .filter_map(|(id, _)| key::key(&reasoner, id))
                .collect();
            let chamber = args
                .profile
                .as_ref()
                .map(|path| chamber::read(path, base, session))
                .transpose()?;
            Ok(html::handbook(&html::Drawn {
                book,
                keys: &keys,
                chamber: chamber.as_ref(),
            }))
        }
        [first, rest @ ..] if first == CARD => Ok(html::cards(book, &wanted(base, rest)?)),
        _ => Err(Failure::usage(format!(
            "--html writes the whole handbook, or with `{CARD}` the cards; leave out the other words"
        ))),
    }
}

/// The card that is named; all of the knowledge's own if none is.
fn wanted<'k>(base: &'k KnowledgeBase, words: &[String]) -> Result<Vec<Sheet<'k>>, Failure> {
    if words.is_empty() {
        let all = Sheet::all(base);
        if all.is_empty() {
            return Err(Failure::usage(format!(
                "this knowledge has no cards of its own; `blockside handbook {CARD} SPECIES` makes one for a species"
            )));
        }
        return Ok(all);
    }
    let typed = words.join(" ");
    let sheet = Sheet::named(base, &typed).ok_or_else(|| {
        let cards: Vec<&str> = base.cards.keys().map(CardId::as_str).collect();
        let near = nearest(&typed.to_lowercase(), cards.iter().copied())
            .map_or_else(String::new, |near| format!(" did you mean `{near}`?"));
        let own = cards.iter().map(|card| format!("{card}, "));
        Failure::usage(format!(
            "no card is called `{}`;{near} there are {}and one for each species",
            short(&typed),
            own.collect::<String>()
        ))
    })?;
    Ok(vec![sheet])
}

/// The sign with which a key begins. Where several entries fit, the one that growers name as their first complaint.
fn first_of(base: &KnowledgeBase, typed: &str) -> Result<SignId, Failure> {
    let opening = |entry: &&Entry<'_>| match entry {
        Entry::Sign(id) => base
            .signs
            .get(*id)
            .is_some_and(|sign| sign.opening.is_some()),
        _ => false,
    };
    let entries = match look_up(base, typed) {
        Looked::Several(entries, _) if entries.iter().filter(opening).count() == 1 => entries
            .into_iter()
            .filter(|entry| opening(&entry))
            .collect(),
        _ => found(base, typed)?,
    };
    // Where a cause has the same name, the sign is meant: it is what one sees.
    let sign = entries.iter().find(|entry| matches!(entry, Entry::Sign(_)));
    let entry = sign.or(entries.first()).ok_or_else(|| no_key(typed))?;
    key::first_sign(base, *entry).ok_or_else(|| no_key(typed))
}

fn no_key(typed: &str) -> Failure {
    Failure::usage(format!(
        "`{}` is neither a sign nor a cause that shows one; a key begins with what is seen, as in `blockside handbook \
         {KEY} SIGN`",
        short(typed)
    ))
}

fn found<'k>(base: &'k KnowledgeBase, typed: &str) -> Result<Vec<Entry<'k>>, Failure> {
    match look_up(base, typed) {
        Looked::Found(entries) => Ok(entries),
        Looked::Several(entries, count) => {
            let more = match count - entries.len() {
                0 => String::new(),
                more => format!("\nand {more} more"),
            };
            Err(Failure::usage(format!(
                "several entries fit `{}`; name one of them:\n{}{more}",
                short(typed),
                rows(&entries)
            )))
        }
        Looked::Nothing(near) => {
            let hint = if near.is_empty() {
                "`blockside knowledge list signs`, `causes`, `species`, `actions` and `cautions` show all names".to_owned()
            } else {
                format!("did you mean one of these?\n{}", rows(&near))
            };
            Err(Failure::usage(format!(
                "the handbook has nothing called `{}`; {hint}",
                short(typed)
            )))
        }
    }
}

fn cause<'k>(base: &'k KnowledgeBase, typed: &str) -> Result<&'k CauseId, Failure> {
    // Where a sign has the same name, the cause is meant here.
    let causes: Vec<&CauseId> = found(base, typed)?
        .into_iter()
        .filter_map(|entry| match entry {
            Entry::Cause(id) => Some(id),
            _ => None,
        })
        .collect();
    causes.first().copied().ok_or_else(|| {
        Failure::usage(format!(
            "`{}` is no cause; causes are compared with causes",
            short(typed)
        ))
    })
}

fn rows(entries: &[Entry<'_>]) -> String {
    let rows: Vec<String> = entries
        .iter()
        .map(|entry| format!("  {} ({})", entry.id(), entry.kind()))
        .collect();
    rows.join("\n")
}

/// What was typed, short enough to be repeated.
fn short(typed: &str) -> String {
    const MOST: usize = 60;
    let clean = sanitise::line(typed);
    let mut letters = clean.chars();
    let start: String = letters.by_ref().take(MOST).collect();
    if letters.next().is_some() {
        format!("{start}...")
    } else {
        start
    }
}
