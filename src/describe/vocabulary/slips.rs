//! Misspellings: the known word that a written one is a slip or two away from.

use crate::describe::effort::look;
use crate::describe::vocabulary::Vocabulary;

/// Letters from which a word may be misspelt: shorter ones are too like each other.
const LEAST_LETTERS: usize = 5;
/// Letters from which a word may be misspelt twice.
const TWO_SLIPS_FROM: usize = 9;
/// Letters up to which a word is looked at; no word of the trade is longer.
const MOST_LETTERS: usize = 24;

impl Vocabulary {
    /// Makes ready to correct misspellings of every word learnt so far.
    pub fn finish(&mut self) {
        let mut words: Vec<String> = self
            .known
            .iter()
            .filter(|word| {
                let letters = word.chars().count();
                (LEAST_LETTERS - 1..=MOST_LETTERS).contains(&letters)
                    && word.chars().all(char::is_alphabetic)
            })
            .cloned()
            .collect();
        words.sort();
        for (number, word) in words.iter().enumerate() {
            let letters: Vec<char> = word.chars().collect();
            let slips = if letters.len() >= TWO_SLIPS_FROM - 1 {
                2
            } else {
                1
            };
            for short in shortenings(&letters, slips) {
                let words = self.shortened.entry(short).or_default();
                if words.last() != Some(&(number as u32)) {
                    words.push(number as u32);
                }
            }
        }
        self.correct = words;
    }

    /// The one known word that this one is a misspelling of.
    pub(super) fn correction(&self, word: &str) -> Option<&str> {
        let letters: Vec<char> = word.chars().take(MOST_LETTERS + 1).collect();
        if !(LEAST_LETTERS..=MOST_LETTERS).contains(&letters.len())
            || !letters.iter().all(|c| c.is_alphabetic())
            || self.not_misspelt.contains(word)
        {
            return None;
        }
        let most = if letters.len() >= TWO_SLIPS_FROM {
            2
        } else {
            1
        };
        let mut best: Option<(usize, u32)> = None;
        let mut twice = false;
        for short in shortenings(&letters, most) {
            for &number in self.shortened.get(&short).map_or(&[][..], Vec::as_slice) {
                look(1);
                let candidate = &self.correct[number as usize];
                // Hardly anybody gets the first letter wrong.
                if candidate.chars().next() != word.chars().next() {
                    continue;
                }
                let slips = strsim::osa_distance(word, candidate);
                if slips > most {
                    continue;
                }
                match best {
                    Some((least, known)) if known == number || least < slips => {}
                    Some((least, known)) if least == slips => {
                        twice |= self.key(&self.correct[known as usize]).0 != self.key(candidate).0;
                    }
                    _ => {
                        best = Some((slips, number));
                        twice = false;
                    }
                }
            }
        }
        if !twice {
            return best.map(|(_, number)| self.correct[number as usize].as_str());
        }
        // Of several words the one that differs in nothing but a letter doubled or not: "yelow" is yellow, not below.
        let (least, _) = best?;
        let wanted = undoubled(&letters);
        let mut doubled: Option<u32> = None;
        for short in shortenings(&letters, most) {
            for &number in self.shortened.get(&short).map_or(&[][..], Vec::as_slice) {
                let candidate = &self.correct[number as usize];
                let alike = strsim::osa_distance(word, candidate) == least
                    && undoubled(&candidate.chars().collect::<Vec<char>>()) == wanted;
                match doubled {
                    _ if !alike => {}
                    Some(known) if known != number => return None,
                    _ => doubled = Some(number),
                }
            }
        }
        doubled.map(|number| self.correct[number as usize].as_str())
    }
}

/// A word with every doubled letter written once.
fn undoubled(letters: &[char]) -> Vec<char> {
    let mut single = letters.to_vec();
    single.dedup();
    single
}

/// What is left of a word with up to two letters dropped, the word itself among them, each as a number made of its
/// letters. Words that are up to so many slips apart have one of these in common.
///
/// # Source
/// FNV-1a, as in `knowledge::build`; the numbers only find candidates, whose distance is then worked out.
fn shortenings(letters: &[char], most: usize) -> Vec<u64> {
    let without = |drop: [usize; 2]| {
        let left = letters
            .iter()
            .enumerate()
            .filter(|(at, _)| !drop.contains(at));
        left.fold(14_695_981_039_346_656_037, |hash: u64, (_, c)| {
            (hash ^ u64::from(*c)).wrapping_mul(1_099_511_628_211)
        })
    };
    let none = letters.len();
    let mut all = vec![without([none, none])];
    for one in 0..letters.len() {
        // Of equal letters in a row it does not matter which one is dropped.
        if most == 0 || one > 0 && letters[one] == letters[one - 1] {
            continue;
        }
        all.push(without([one, none]));
        if most > 1 {
            all.extend((one + 1..letters.len()).map(|other| without([one, other])));
        }
    }
    all
}
