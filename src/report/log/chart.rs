//! Charts of letters: they read without colour, and in plain ASCII.

use crate::log::series::Step;

/// Letters for heights from low to high.
const SPARKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// The same in ASCII.
const PLAIN_SPARKS: [char; 8] = ['_', '.', ',', '-', '~', '=', '*', '#'];

/// A line of letters as high as the values, from the least to the greatest; a blank where there is none.
pub fn sparkline(values: &[Option<f64>], plain: bool) -> String {
    let known = || values.iter().flatten().copied();
    let least = known().fold(f64::INFINITY, f64::min);
    let most = known().fold(f64::NEG_INFINITY, f64::max);
    let letters = if plain { PLAIN_SPARKS } else { SPARKS };
    let letter = |value: f64| {
        let share = if most > least {
            (value - least) / (most - least)
        } else {
            0.0
        };
        letters[((share * 8.0) as usize).min(7)]
    };
    values
        .iter()
        .map(|value| value.map_or(' ', letter))
        .collect()
}

/// The least and greatest value of a scale that shows the steps, and the limits that lie near them. It spans
/// `least_span` at least, so that the last digit of a meter does not look like a storm.
pub fn scale(steps: &[Step], limits: &[f64], least_span: f64) -> Option<(f64, f64)> {
    let there = || steps.iter().filter(|step| step.count > 0);
    let mut least = there().map(|step| step.least).reduce(f64::min)?;
    let mut most = there().map(|step| step.most).reduce(f64::max)?;
    // A limit far away would press the course flat.
    let reach = 0.5 * (most - least).max(least_span);
    let (low, high) = (least - reach, most + reach);
    for limit in limits.iter().filter(|limit| (low..=high).contains(*limit)) {
        least = least.min(*limit);
        most = most.max(*limit);
    }
    if most - least < least_span {
        let middle = (least + most) / 2.0;
        (least, most) = (middle - least_span / 2.0, middle + least_span / 2.0);
    }
    Some((least, most))
}

/// A chart of so many rows, the highest first: a stroke from the least to the greatest value of each step, a ring at its
/// mean, limits as lines. Labels stand before the first and last row, and where a limit lies.
pub fn band(
    steps: &[Step],
    (limits, least_span): (&[f64], f64),
    rows: usize,
    plain: bool,
    label: impl Fn(f64) -> String,
) -> Vec<String> {
    let Some((least, most)) = scale(steps, limits, least_span) else {
        return Vec::new();
    };
    let row_of = |value: f64| {
        let share = (value - least) / (most - least);
        let from_below = (share * rows as f64) as usize;
        rows - 1 - from_below.min(rows - 1)
    };
    let (ring, stroke, line) = if plain {
        ('o', '|', '-')
    } else {
        ('•', '│', '─')
    };
    let mut cells = vec![vec![' '; steps.len()]; rows];
    let mut names = vec![String::new(); rows];
    names[0] = label(most);
    names[rows - 1] = label(least);
    for limit in limits
        .iter()
        .filter(|limit| (least..=most).contains(*limit))
    {
        let row = row_of(*limit);
        cells[row].fill(line);
        names[row] = label(*limit);
    }
    for (column, step) in steps.iter().enumerate() {
        let Some(mean) = step.mean() else { continue };
        for row in &mut cells[row_of(step.most)..=row_of(step.least)] {
            row[column] = stroke;
        }
        cells[row_of(mean)][column] = ring;
    }
    let wide = names
        .iter()
        .map(|name| name.chars().count())
        .max()
        .unwrap_or(0);
    let edge = if plain { '|' } else { '┤' };
    names
        .iter()
        .zip(cells)
        .map(|(name, cells)| {
            let course: String = cells.into_iter().collect();
            format!("{name:>wide$} {edge}{}", course.trim_end())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{band, sparkline};
    use crate::log::series::Series;

    #[test]
    fn a_sparkline_is_as_high_as_its_values() {
        let values = [Some(1.0), Some(2.0), None, Some(8.0)];
        assert_eq!(sparkline(&values, false), "▁▂ █");
        assert_eq!(sparkline(&values, true), "_. #");
        assert_eq!(sparkline(&[Some(3.0), Some(3.0)], true), "__");
        assert_eq!(sparkline(&[], true), "");
    }

    #[test]
    fn a_chart_shows_the_course_its_limits_and_nothing_in_a_gap() {
        let mut series = Series::new(0);
        for second in (0..10).chain(14..20_i64) {
            series.add(second * 1000, 80.0 + second as f64);
        }
        let steps = series.in_steps(10, 19_000);
        let chart = band(&steps, (&[90.0, 500.0], 1.0), 5, true, |value| {
            format!("{value}")
        });
        assert_eq!(chart.len(), 5);
        assert!(
            chart[0].starts_with("99 |") && chart[4].starts_with("80 |oo"),
            "{chart:?}"
        );
        assert!(chart[2].starts_with("90 |-"), "{chart:?}");
        for line in &chart {
            let cell = line.chars().nth(4 + 5);
            assert!(matches!(cell, None | Some(' ' | '-')), "{chart:?}");
        }
    }
}
