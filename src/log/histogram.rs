//! Quantiles of any number of values in constant memory, exact to the width of a class.

/// Weights by classes of equal width.
#[derive(Debug, Clone)]
pub struct Histogram {
    least: f64,
    /// Classes in a unit.
    per_unit: f64,
    weights: Vec<u64>,
    total: u64,
}

impl Histogram {
    /// Classes of this width, the middles of the first and last at `least` and about `most`.
    ///
    /// # Range
    /// `most` above `least`, `width` above nought; more than two million classes are cut off at the top.
    pub fn new(least: f64, most: f64, width: f64) -> Self {
        // The inverse of a hundredth is a whole number where it is taken first, and middles come out as 21.45.
        let per_unit = 1.0 / width;
        let classes = libm::ceil((most - least) * per_unit).clamp(1.0, 2e6) as usize + 1;
        Self {
            least,
            per_unit,
            weights: vec![0; classes],
            total: 0,
        }
    }

    /// Adds a value with a weight. Values beyond the ends are counted in the classes at the ends.
    #[inline]
    pub fn add(&mut self, value: f64, weight: u64) {
        let place = (value - self.least) * self.per_unit + 0.5;
        // Cutting off below nought and above the last class is what is wanted.
        let place = (place as usize).min(self.weights.len() - 1);
        self.weights[place] += weight;
        self.total += weight;
    }

    /// All weights together.
    pub fn total(&self) -> u64 {
        self.total
    }

    /// The least value at or below which lies this share of the weight: the middle of its class, so within half a width
    /// of the value itself. None without any weight.
    pub fn quantile(&self, share: f64) -> Option<f64> {
        if self.total == 0 {
            return None;
        }
        let wanted = share * self.total as f64;
        let mut sum = 0;
        for (place, weight) in self.weights.iter().enumerate() {
            sum += weight;
            if *weight > 0 && sum as f64 >= wanted {
                return Some(self.middle(place));
            }
        }
        None
    }

    fn middle(&self, place: usize) -> f64 {
        // Rounded together, so that -30 + 5145 hundredths is 21.45 and not 21.450000000000003.
        libm::round(self.least * self.per_unit + place as f64) / self.per_unit
    }
}

#[cfg(test)]
mod tests {
    use super::Histogram;

    #[test]
    fn quantiles_are_those_of_the_sorted_values() {
        let mut histogram = Histogram::new(-30.0, 60.0, 0.01);
        let mut values: Vec<f64> = (0..1000_u32)
            .map(|n| f64::from(n * 7919 % 5003) / 100.0 - 10.0)
            .collect();
        for value in &values {
            histogram.add(*value, 2);
        }
        values.sort_by(f64::total_cmp);
        for (share, rank) in [(0.05, 50), (0.5, 500), (0.95, 950), (1.0, 1000)] {
            assert_eq!(histogram.quantile(share), Some(values[rank - 1]), "{share}");
        }
        assert_eq!(histogram.total(), 2000);
    }

    #[test]
    fn a_value_between_classes_goes_to_the_nearest() {
        for (value, middle) in [
            (20.004, 20.0),
            (20.006, 20.01),
            (-0.006, -0.01),
            (21.994_9, 21.99),
        ] {
            let mut histogram = Histogram::new(-30.0, 60.0, 0.01);
            histogram.add(value, 1);
            assert_eq!(histogram.quantile(0.5), Some(middle), "{value}");
        }
    }

    #[test]
    fn weights_count_and_values_beyond_the_ends_are_kept() {
        let mut histogram = Histogram::new(0.0, 100.0, 1.0);
        assert_eq!(histogram.quantile(0.5), None);
        histogram.add(10.0, 1);
        histogram.add(20.0, 9);
        assert_eq!(histogram.quantile(0.1), Some(10.0));
        assert_eq!(histogram.quantile(0.11), Some(20.0));
        histogram.add(-5.0, 100);
        histogram.add(1e12, 1000);
        assert_eq!(histogram.quantile(0.0), Some(0.0));
        assert_eq!(histogram.quantile(1.0), Some(100.0));
    }
}
