//! Turning points of a line that goes up and down, with small wiggles left out of account.

/// Which way the line turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// From up to down.
    Peak,
    /// From down to up.
    Trough,
}

/// A turning point, with what goes with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point<T> {
    /// The value.
    pub value: f64,
    /// What goes with it.
    pub with: T,
}

/// Finds turning points: a highest or lowest value is one once the line has come back from it by the threshold. The
/// point at which a line begins is none, since nobody knows what came before.
#[derive(Debug, Clone)]
pub struct Zigzag<T> {
    threshold: f64,
    highest: Option<Point<T>>,
    lowest: Option<Point<T>>,
    /// Whether the highest, and the lowest, is still the point at which the line began.
    begins: (bool, bool),
}

impl<T: Copy> Zigzag<T> {
    /// Turns count from this size.
    pub fn new(threshold: f64) -> Self {
        Self {
            threshold,
            highest: None,
            lowest: None,
            begins: (false, false),
        }
    }

    /// Begins anew, as after a gap.
    pub fn reset(&mut self) {
        self.highest = None;
        self.lowest = None;
    }

    /// Takes the next value; gives a turning point where the line has just come back far enough from it.
    pub fn push(&mut self, value: f64, with: T) -> Option<(Turn, Point<T>)> {
        let here = Point { value, with };
        // Until the first turn both are looked for; from then on only the one that can come next.
        if let Some(highest) = self.highest {
            if value > highest.value {
                self.highest = Some(here);
                self.begins.0 = false;
            } else if value <= highest.value - self.threshold {
                let begin = self.begins.0;
                self.highest = None;
                self.lowest = Some(here);
                self.begins = (false, false);
                return (!begin).then_some((Turn::Peak, highest));
            }
        }
        if let Some(lowest) = self.lowest {
            if value < lowest.value {
                self.lowest = Some(here);
                self.begins.1 = false;
            } else if value >= lowest.value + self.threshold {
                let begin = self.begins.1;
                self.lowest = None;
                self.highest = Some(here);
                self.begins = (false, false);
                return (!begin).then_some((Turn::Trough, lowest));
            }
        }
        if self.highest.is_none() && self.lowest.is_none() {
            self.highest = Some(here);
            self.lowest = Some(here);
            self.begins = (true, true);
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::{Turn, Zigzag};

    fn turns(values: &[f64], threshold: f64) -> Vec<(Turn, f64)> {
        let mut zigzag = Zigzag::new(threshold);
        let found = values
            .iter()
            .filter_map(|value| zigzag.push(*value, ()))
            .map(|(turn, point)| (turn, point.value));
        found.collect()
    }

    #[test]
    fn turns_alternate_and_small_wiggles_are_passed_over() {
        let line = [
            85.0, 86.0, 85.5, 90.0, 89.0, 90.5, 84.0, 84.5, 83.0, 91.0, 80.0,
        ];
        let wanted = [(Turn::Peak, 90.5), (Turn::Trough, 83.0), (Turn::Peak, 91.0)];
        assert_eq!(turns(&line, 3.0), wanted);
    }

    #[test]
    fn a_line_that_only_wiggles_has_no_turn() {
        assert_eq!(turns(&[88.0, 89.0, 87.5, 88.5, 89.5, 88.0], 3.0), []);
        assert_eq!(turns(&[], 3.0), []);
    }
}
