//! An overruled level as a new result beside the old one, which stays as it is.

use std::path::Path;

use chrono::{SecondsFormat, Utc};

use super::remark::{self, Report, Total};
use super::{Fault, load};
use crate::results::document;
use crate::results::seal;
use crate::sitting::outcome::outcome;

/// What the name of a reviewed result ends with.
const ENDING: &str = "-review";

/// The date and time, RFC 3339.
pub(super) fn now() -> String {
    Utc::now().to_rfc3339_opts(SecondsFormat::Secs, true)
}

/// Sets an item's level and writes the new result; says what changed by it.
pub(super) fn overrule(
    path: &Path,
    (item, level): (u32, u8),
    (reason, by, at): (&str, &str, &str),
) -> Result<Report, Fault> {
    if path == Path::new("-") {
        return Err(Fault::new(
            "a result from standard input has no folder that a new one could lie in; name the file",
        ));
    }
    let text = load::text(path)?;
    let verified = seal::audit(&text)?;
    let mut stored = document::read(&text, None)?;
    stored.sitting.overrule(item, level, (reason, by, at))?;

    let because = format!("reviewed by {}", by.trim());
    let (changes, now) = {
        let outcome = outcome(&stored.sitting);
        let mut changes = remark::changes::sections(&stored, &outcome);
        changes.extend(remark::changes::items(&stored, &outcome));
        (changes, remark::total(&outcome))
    };
    let was = Total {
        mark: stored.mark.clone(),
        band: stored.band.clone(),
    };
    let name = format!("{}{ENDING}", plain(&remark::stem(path)));
    let beside = remark::beside(path, (&name, &verified), &mut stored, (&because, &changes))?;

    Ok(Report {
        result: path.display().to_string(),
        remark: beside.display().to_string(),
        because,
        was,
        now,
        keeps: None,
        changes,
    })
}

/// The name without what earlier reviews have added to it: the next one only counts on.
fn plain(stem: &str) -> &str {
    let named = match stem.rsplit_once('-') {
        Some((name, number)) if number.parse::<u32>().is_ok() && name.ends_with(ENDING) => name,
        _ => stem,
    };

    named.strip_suffix(ENDING).unwrap_or(stem)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_review_of_a_review_counts_on() {
        let check = |stem: &str, expected: &str| assert_eq!(plain(stem), expected, "{stem}");
        check("r", "r");
        check("r-review", "r");
        check("r-review-2", "r");
        check("r-review-12", "r");
        check("r-2", "r-2");
        check("r-remark", "r-remark");
        check("r-review-remark", "r-review-remark");
    }
}
