//! The course of a log in a fixed number of steps, for pictures. Each step keeps its least and greatest value, so that a
//! short peak is seen in a long log.

/// How many steps there are at most.
pub const MOST_STEPS: usize = 960;

/// A step of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Its least value.
    pub least: f64,
    /// Its greatest value.
    pub most: f64,
    /// Sum of its values.
    sum: f64,
    /// How many values it has.
    pub count: u64,
}

impl Step {
    const EMPTY: Self = Self {
        least: f64::INFINITY,
        most: f64::NEG_INFINITY,
        sum: 0.0,
        count: 0,
    };

    /// The mean of its values; none if it has none.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.sum / self.count as f64)
    }

    fn join(&mut self, other: &Self) {
        self.least = self.least.min(other.least);
        self.most = self.most.max(other.most);
        self.sum += other.sum;
        self.count += other.count;
    }
}

/// The course of one channel.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    start_ms: i64,
    width_ms: i64,
    steps: Vec<Step>,
}

impl Series {
    /// From this time on. Steps begin a second wide and are joined in pairs when there are too many.
    pub fn new(start_ms: i64) -> Self {
        Self {
            start_ms,
            width_ms: 1000,
            steps: Vec::new(),
        }
    }

    /// Takes the next value.
    #[inline]
    pub fn add(&mut self, at_ms: i64, value: f64) {
        let mut place = ((at_ms - self.start_ms) / self.width_ms) as usize;
        while place >= MOST_STEPS {
            self.halve();
            place = ((at_ms - self.start_ms) / self.width_ms) as usize;
        }
        if place >= self.steps.len() {
            self.steps.resize(place + 1, Step::EMPTY);
        }
        let step = &mut self.steps[place];
        step.least = step.least.min(value);
        step.most = step.most.max(value);
        step.sum += value;
        step.count += 1;
    }

    fn halve(&mut self) {
        self.width_ms *= 2;
        let joined = self.steps.chunks(2).map(|pair| {
            let mut step = pair[0];
            if let Some(second) = pair.get(1) {
                step.join(second);
            }
            step
        });
        self.steps = joined.collect();
    }

    /// The course from the start to `end_ms` in so many equal steps; empty ones where there was nothing.
    pub fn in_steps(&self, count: usize, end_ms: i64) -> Vec<Step> {
        let count = count.max(1);
        let span = (end_ms - self.start_ms).max(1) as f64 + 1.0;
        let mut steps = vec![Step::EMPTY; count];
        for (number, step) in self.steps.iter().enumerate() {
            // The middle of a step says to which of the wider ones it belongs.
            let middle = (number as f64 + 0.5) * self.width_ms as f64;
            let place = ((middle / span * count as f64) as usize).min(count - 1);
            steps[place].join(step);
        }
        steps
    }
}

#[cfg(test)]
mod tests {
    use super::{MOST_STEPS, Series};

    #[test]
    fn a_short_peak_in_a_long_log_is_seen() {
        let mut series = Series::new(0);
        for minute in 0..100_000_i64 {
            series.add(minute * 60_000, if minute == 77_000 { 99.0 } else { 20.0 });
        }
        assert!(series.steps.len() <= MOST_STEPS);
        let steps = series.in_steps(60, 99_999 * 60_000);
        assert_eq!(steps.len(), 60);
        let peaks: Vec<usize> = (0..60).filter(|at| steps[*at].most > 50.0).collect();
        assert_eq!(peaks, [46]);
        assert!(steps.iter().all(|step| step.least == 20.0));
        let count: u64 = steps.iter().map(|step| step.count).sum();
        assert_eq!(count, 100_000);
    }
}
