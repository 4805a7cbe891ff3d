//! Times and near misses of names, as authors write them.

use crate::base::SimTime;

/// Units from long to short, with their length [ns].
const UNITS: [(&str, u128); 6] = [
    ("h", 3_600_000_000_000),
    ("min", 60_000_000_000),
    ("s", 1_000_000_000),
    ("ms", 1_000_000),
    ("us", 1_000),
    ("ns", 1),
];

/// A span such as `"10 s"`, `"250 ms"` or `"1 min 30 s"`, to the nanosecond; longer units first.
///
/// # Errors
/// One sentence that says what is wrong.
pub(super) fn parse_duration(text: &str) -> Result<SimTime, String> {
    let bad = || format!("\"{text}\" is no time; write a number and a unit, such as \"10 s\"");
    let mut rest = text.trim();
    if rest.is_empty() || rest.len() > 100 {
        return Err(bad());
    }
    let (mut total, mut shortest) = (0_u128, None);
    while !rest.is_empty() {
        let end = rest
            .find(|c: char| !c.is_ascii_digit() && c != '.')
            .unwrap_or(rest.len());
        let (digits, after) = rest.split_at(end);
        let after = after.trim_start();
        let end = after
            .find(|c: char| c.is_whitespace() || c.is_ascii_digit())
            .unwrap_or(after.len());
        let (unit, next) = after.split_at(end);
        let Some(index) = UNITS.iter().position(|(name, _)| *name == unit) else {
            return Err(bad());
        };
        if shortest.is_some_and(|s| index <= s) {
            return Err(bad());
        }
        shortest = Some(index);
        total = total.saturating_add(nanos(digits, UNITS[index].1).ok_or_else(bad)?);
        rest = next.trim_start();
    }
    u64::try_from(total)
        .map(SimTime::from_nanos)
        .map_err(|_| format!("\"{text}\" is longer than any run"))
}

/// `digits` times `unit` [ns], rounded to the nearest.
fn nanos(digits: &str, unit: u128) -> Option<u128> {
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    if fraction.contains('.') || (whole.is_empty() && fraction.is_empty()) {
        return None;
    }
    let whole = whole.bytes().fold(0_u128, |n, d| {
        n.saturating_mul(10).saturating_add(u128::from(d - b'0'))
    });
    let (mut numerator, mut denominator) = (0_u128, 1_u128);
    for digit in fraction.bytes().take(18) {
        numerator = numerator * 10 + u128::from(digit - b'0');
        denominator *= 10;
    }
    let part = (2 * numerator * unit + denominator) / (2 * denominator);
    Some(whole.saturating_mul(unit).saturating_add(part))
}

/// The candidate closest to `word`: at most two letters away, and never more than half the word.
pub(super) fn nearest<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let word: Vec<char> = word.chars().take(65).collect();
    let most = (word.len() / 2).min(2);
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        let other: Vec<char> = candidate.chars().take(65).collect();
        if word.len() > 64 || other.len() > 64 || word.len().abs_diff(other.len()) > most {
            continue;
        }
        let slips = distance(&word, &other);
        if slips <= most && best.is_none_or(|(least, _)| slips < least) {
            best = Some((slips, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn distance(a: &[char], b: &[char]) -> usize {
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let same = usize::from(!x.eq_ignore_ascii_case(y));
            row.push((last[j] + same).min(last[j + 1] + 1).min(row[j] + 1));
        }
        last = row;
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_are_exact() {
        assert_eq!(parse_duration("12 s"), Ok(SimTime::from_secs(12)));
        assert_eq!(parse_duration("250ms"), Ok(SimTime::from_millis(250)));
        assert_eq!(
            parse_duration("1 min 30.5 s"),
            Ok(SimTime::from_millis(90_500))
        );
        for bad in ["", "12", "s", "1.2.3 s", "-1 s", "1 s 2 min", "1 fortnight"] {
            assert!(parse_duration(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn slips_of_the_pen() {
        assert_eq!(nearest("welde", ["open", "welded"]), Some("welded"));
        assert_eq!(nearest("coil", ["open", "welded"]), None);
    }
}
