//! The nearest word of a list, for "did you mean".

/// Longest word that is compared [characters]; a longer one is no slip of the pen.
const LONGEST: usize = 64;

/// The candidate closest to `word`: at most two slips away (a letter missing, added, changed, or
/// two neighbours swapped), and never more than half the word. Upper and lower case count as equal
/// only when nothing else differs. Among equals the first candidate wins.
///
/// ```
/// use spoolbench::base::nearest;
/// assert_eq!(nearest("presure", ["flow", "pressure"]), Some("pressure"));
/// assert_eq!(nearest("coil", ["flow", "pressure"]), None);
/// ```
#[must_use]
pub fn nearest<'a, I>(word: &str, candidates: I) -> Option<&'a str>
where
    I: IntoIterator<Item = &'a str>,
{
    let word = letters(word)?;
    let most = (word.len() / 2).min(2);
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        let Some(other) = letters(candidate) else {
            continue;
        };
        let slips = if same_but_case(&word, &other) {
            0
        } else if word.len().abs_diff(other.len()) > most {
            continue;
        } else {
            slips(&word, &other)
        };
        if (slips == 0 || slips <= most) && best.is_none_or(|(least, _)| slips < least) {
            best = Some((slips, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn letters(word: &str) -> Option<Vec<char>> {
    if word.is_empty() || word.len() > 4 * LONGEST {
        return None;
    }
    let letters: Vec<char> = word.chars().collect();
    (letters.len() <= LONGEST).then_some(letters)
}

fn same_but_case(a: &[char], b: &[char]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(x, y)| x.to_lowercase().eq(y.to_lowercase()))
}

/// Optimal string alignment distance: every substring is edited at most once.
fn slips(a: &[char], b: &[char]) -> usize {
    let mut before = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    let mut row = vec![0; b.len() + 1];
    for i in 1..=a.len() {
        row[0] = i;
        for j in 1..=b.len() {
            let changed = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + changed);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(before[j - 2] + 1);
            }
            row[j] = least;
        }
        std::mem::swap(&mut before, &mut last);
        std::mem::swap(&mut last, &mut row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_count_swaps_as_one() {
        let count = |a: &str, b: &str| {
            slips(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>())
        };
        assert_eq!(count("relay", "relay"), 0);
        assert_eq!(count("realy", "relay"), 1);
        assert_eq!(count("kitten", "sitting"), 3);
    }

    #[test]
    fn short_words_are_not_guessed_wildly() {
        assert_eq!(nearest("K1", ["M5", "K2"]), Some("K2"));
        assert_eq!(nearest("K1", ["M5"]), None);
        assert_eq!(nearest("a", ["A"]), Some("A"));
        assert_eq!(nearest("a", ["b"]), None);
        assert_eq!(nearest(&"x".repeat(1_000_000), ["x"]), None);
    }
}
