//! Counts and lengths of time as people say them.

/// A text with a count and a noun, in the plural but for one.
pub fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{} {}", grouped(count), if count == 1 { one } else { many })
}

/// A whole number with its thousands apart.
pub fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// A length of time in the unit that suits it.
pub fn lasting(hours: f64) -> String {
    let minutes = hours * 60.0;
    if minutes < 1.0 {
        counted((minutes * 60.0).round() as u64, "second", "seconds")
    } else if minutes < 119.5 {
        counted(minutes.round() as u64, "minute", "minutes")
    } else if hours < 48.0 {
        format!("{} hours", trimmed(hours))
    } else {
        format!("{} days", trimmed(hours / 24.0))
    }
}

/// How often something comes, behind the word "every": "minute", "18 minutes".
pub fn every(hours: f64) -> String {
    let text = lasting(hours);
    text.strip_prefix("1 ").map_or(text.clone(), str::to_owned)
}

/// A number with one decimal at most.
pub fn trimmed(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}
