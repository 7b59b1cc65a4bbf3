//! Marks as older programs gave them: letters by the run's place in the list, numbers along the run.

/// Letters of the run at `index`: A to Z, then AA, AB and on, as columns are lettered.
pub(super) fn old_letters(index: usize) -> String {
    let mut n = index + 1;
    let mut out = Vec::new();
    while n > 0 {
        n -= 1;
        out.push(char::from(b'A' + (n % 26) as u8));
        n /= 26;
    }
    out.iter().rev().collect()
}

/// The letters and the number of a mark of a piece; `None` where it is none.
pub(super) fn split(mark: &str) -> Option<(&str, usize)> {
    let at = mark.find(|c: char| c.is_ascii_digit())?;
    Some((&mark[..at], mark[at..].parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        let letters: Vec<String> = [0, 25, 26, 27, 701, 702].into_iter().map(old_letters).collect();
        assert_eq!(letters, ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
    }

    #[test]
    fn a_mark_comes_apart_into_letters_and_number() {
        assert_eq!(split("AB12"), Some(("AB", 12)));
        for odd in ["", "A", "A1x", "99999999999999999999999"] {
            assert_eq!(split(odd), None, "{odd}");
        }
        assert_eq!(split("7"), Some(("", 7)));
    }
}
