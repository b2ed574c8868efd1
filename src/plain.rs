//! Plain words for any room: names in a person's order, the file of a path,
//! counts, and text that is safe to print.

use rayon::prelude::*;

/// The last component of a shown path.
pub fn file_name(shown: &str) -> &str {
    shown.rsplit(['/', '\\']).next().unwrap_or(shown)
}

/// "1 row", "3 rows".
pub fn count(number: usize, one: &str) -> String {
    if number == 1 {
        format!("1 {one}")
    } else {
        format!("{number} {one}s")
    }
}

/// True for what must not reach a terminal or an XML file as it is: control
/// characters, and the invisible ones that reorder text.
pub fn is_unprintable(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}'
        )
}

/// Input text for a terminal: one line, nothing that could move the cursor.
pub fn printable(text: &str) -> String {
    text.chars()
        .map(|character| match character {
            '\n' | '\t' | '\r' => ' ',
            other if is_unprintable(other) => '\u{fffd}',
            other => other,
        })
        .collect()
}

/// Does the same with each item of a list or each number of a range, on all cores, and
/// gives what comes of it in their order.
pub fn in_parallel<I, T: Send, R: Send>(items: I, work: impl Fn(T) -> R + Sync + Send) -> Vec<R>
where
    I: Clone + IntoIterator<Item = T, IntoIter: ExactSizeIterator> + IntoParallelIterator<Item = T>,
    <I as IntoParallelIterator>::Iter: IndexedParallelIterator,
{
    // Waking other threads costs more than a few items do.
    const LEAST: usize = 16;
    if items.clone().into_iter().len() <= LEAST {
        return items.into_iter().map(work).collect();
    }
    items.into_par_iter().map(work).collect()
}

/// Orders names as a person does: B2 before B10.
pub fn natural(a: &str, b: &str) -> std::cmp::Ordering {
    // Letters and the number after them, again and again.
    fn pieces(mut rest: &str) -> impl Iterator<Item = (&str, u128)> {
        std::iter::from_fn(move || {
            if rest.is_empty() {
                return None;
            }
            let (letters, more) = rest.split_at(
                rest.find(|c: char| c.is_ascii_digit())
                    .unwrap_or(rest.len()),
            );
            let (digits, more) = more.split_at(
                more.find(|c: char| !c.is_ascii_digit())
                    .unwrap_or(more.len()),
            );
            rest = more;
            let number = digits.bytes().fold(0_u128, |number, digit| {
                number
                    .saturating_mul(10)
                    .saturating_add(u128::from(digit - b'0'))
            });
            Some((letters, number))
        })
    }
    // The text itself decides between `B1` and `B01`.
    pieces(a).cmp(pieces(b)).then_with(|| a.cmp(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_on_all_cores_keeps_its_order() {
        for count in [0_u64, 1, 15, 16, 17, 1000, 1001] {
            let items: Vec<u64> = (0..count).collect();
            let squares: Vec<u64> = items.iter().map(|n| n * n).collect();
            assert_eq!(in_parallel(&items, |n| n * n), squares);
            let roots = in_parallel(0..squares.len(), |n| squares[n].isqrt());
            assert_eq!(roots, items);
        }
    }

    #[test]
    fn names_are_ordered_as_a_person_does() {
        let mut names = ["B10", "W1", "B2", "B1a", "B1", "B01"];
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, ["B01", "B1", "B1a", "B2", "B10", "W1"]);
    }
}
