//! Says where a grower's own confirmed cases went into a diagnosis.

use crate::engine::rates::PersonalRate;
use crate::report::cases::learned::moved;
use crate::report::text::Told;
use crate::report::words::{cause_name, unstopped};

/// How many rates are named.
const MOST_NAMED: usize = 2;

/// The line; `None` where every shipped rate stood. It names the rates that moved most.
pub fn personal(told: &Told<'_>) -> Option<String> {
    let rates = &told.diagnosis.personal_rates;
    if rates.is_empty() {
        return None;
    }
    let mut most: Vec<&PersonalRate> = rates.iter().collect();
    let by = |rate: &PersonalRate| (rate.used / rate.shipped).ln().abs();
    most.sort_by(|a, b| by(b).total_cmp(&by(a)).then_with(|| a.cause.cmp(&b.cause)));
    let named: Vec<String> = most
        .iter()
        .take(MOST_NAMED)
        .map(|rate| {
            format!(
                "{}: {}",
                unstopped(cause_name(told.base, &rate.cause)),
                moved(rate)
            )
        })
        .collect();
    Some(format!(
        "Your own confirmed cases count here. How common it is, {}. All of it, and how to switch it off: blockside \
         cases learned.",
        named.join("; ")
    ))
}
