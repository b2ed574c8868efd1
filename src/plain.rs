//! Plain words for any room: names in a person's order, the file of a path,
//! counts, and text that is safe to print.

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

/// Does the same with each item, on all cores, and gives what comes of it in
/// the order of the items.
pub fn in_parallel<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    // A thread costs more than a few items do.
    const LEAST: usize = 16;
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let share = items.len().div_ceil(cores).max(LEAST);
    if items.len() <= share {
        return items.iter().map(work).collect();
    }
    let work = &work;
    std::thread::scope(|scope| {
        let threads: Vec<_> = items
            .chunks(share)
            .map(|chunk| scope.spawn(move || chunk.iter().map(work).collect::<Vec<R>>()))
            .collect();
        threads
            .into_iter()
            .flat_map(|thread| match thread.join() {
                Ok(done) => done,
                Err(panic) => std::panic::resume_unwind(panic),
            })
            .collect()
    })
}

/// Orders names as a person does: B2 before B10.
pub fn natural(a: &str, b: &str) -> std::cmp::Ordering {
    let key = |text: &str| -> Vec<(String, u128)> {
        let mut pieces = vec![(String::new(), 0_u128)];
        let mut in_number = false;
        for character in text.chars() {
            match (character.to_digit(10), pieces.last_mut()) {
                (Some(digit), Some((_, number))) => {
                    *number = number.saturating_mul(10).saturating_add(u128::from(digit));
                    in_number = true;
                }
                (None, _) if in_number => {
                    pieces.push((character.to_string(), 0));
                    in_number = false;
                }
                (None, Some((letters, _))) => letters.push(character),
                (_, None) => {}
            }
        }
        pieces
    };
    // The text itself decides between `B1` and `B01`.
    key(a).cmp(&key(b)).then_with(|| a.cmp(b))
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
        }
    }

    #[test]
    fn names_are_ordered_as_a_person_does() {
        let mut names = ["B10", "W1", "B2", "B1a", "B1", "B01"];
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, ["B01", "B1", "B1a", "B2", "B10", "W1"]);
    }
}
