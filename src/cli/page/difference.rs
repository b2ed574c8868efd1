//! Two texts line by line: what goes, what comes, what stays.

/// What becomes of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    Stays,
    Goes,
    Comes,
}

/// Lines beyond which two texts are shown one after the other.
const MOST: usize = 4_000;

/// All lines of both texts, in order.
pub fn lines<'t>(before: &'t str, after: &'t str) -> Vec<(Fate, &'t str)> {
    let old: Vec<&str> = before.lines().collect();
    let new: Vec<&str> = after.lines().collect();
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let (old_rest, new_rest) = (
        old.get(head..).unwrap_or_default(),
        new.get(head..).unwrap_or_default(),
    );
    let tail = old_rest
        .iter()
        .rev()
        .zip(new_rest.iter().rev())
        .take_while(|(a, b)| a == b)
        .count();
    let old_middle = old_rest.get(..old_rest.len() - tail).unwrap_or_default();
    let new_middle = new_rest.get(..new_rest.len() - tail).unwrap_or_default();
    let mut lines: Vec<(Fate, &str)> = Vec::new();
    lines.extend(old.iter().take(head).map(|line| (Fate::Stays, *line)));
    middle(old_middle, new_middle, &mut lines);
    lines.extend(
        old.iter()
            .skip(old.len() - tail)
            .map(|line| (Fate::Stays, *line)),
    );
    lines
}

/// By the longest common subsequence.
fn middle<'t>(old: &[&'t str], new: &[&'t str], lines: &mut Vec<(Fate, &'t str)>) {
    if old.len().saturating_mul(new.len()) > MOST * MOST {
        lines.extend(old.iter().map(|line| (Fate::Goes, *line)));
        lines.extend(new.iter().map(|line| (Fate::Comes, *line)));
        return;
    }
    let width = new.len() + 1;
    // Common lines from here to both ends.
    let mut common = vec![0_u32; (old.len() + 1) * width];
    for (i, a) in old.iter().enumerate().rev() {
        for (j, b) in new.iter().enumerate().rev() {
            common[i * width + j] = if a == b {
                common[(i + 1) * width + j + 1] + 1
            } else {
                common[(i + 1) * width + j].max(common[i * width + j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    loop {
        match (old.get(i), new.get(j)) {
            (Some(a), Some(b)) if a == b => {
                lines.push((Fate::Stays, a));
                i += 1;
                j += 1;
            }
            (Some(a), next) => {
                let down = common[(i + 1) * width + j];
                let right = next.map(|_| common[i * width + j + 1]);
                if right.is_none_or(|right| down >= right) {
                    lines.push((Fate::Goes, a));
                    i += 1;
                } else if let Some(b) = next {
                    lines.push((Fate::Comes, b));
                    j += 1;
                }
            }
            (None, Some(b)) => {
                lines.push((Fate::Comes, b));
                j += 1;
            }
            (None, None) => return,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn written(before: &str, after: &str) -> String {
        lines(before, after)
            .iter()
            .map(|(fate, line)| match fate {
                Fate::Stays => format!(" {line}\n"),
                Fate::Goes => format!("-{line}\n"),
                Fate::Comes => format!("+{line}\n"),
            })
            .collect()
    }

    #[test]
    fn a_changed_line_and_a_new_one() {
        assert_eq!(
            written(
                "[job]\nunits = \"in\"\n# kept\n",
                "[job]\nunits = \"mm\"\n# kept\nx = 1\n"
            ),
            " [job]\n-units = \"in\"\n+units = \"mm\"\n # kept\n+x = 1\n"
        );
        assert_eq!(written("", "a\nb"), "+a\n+b\n");
        assert_eq!(written("a\nb\n", ""), "-a\n-b\n");
        assert_eq!(written("a\n", "a\n"), " a\n");
    }

    #[test]
    fn very_long_texts_end_in_time() {
        let before: String = (0..9_000).map(|i| format!("a{i}\n")).collect();
        let after: String = (0..9_000).map(|i| format!("b{i}\n")).collect();
        assert_eq!(lines(&before, &after).len(), 18_000);
    }

    proptest! {
        #[test]
        fn both_texts_can_be_read_back(
            old in proptest::collection::vec("[ab]?", 0..12),
            new in proptest::collection::vec("[ab]?", 0..12),
        ) {
            let (old, new) = (old.join("\n"), new.join("\n"));
            let all = lines(&old, &new);
            let side = |gone: Fate| -> Vec<&str> {
                all.iter().filter(|(fate, _)| *fate != gone).map(|(_, line)| *line).collect()
            };
            prop_assert_eq!(side(Fate::Comes), old.lines().collect::<Vec<_>>());
            prop_assert_eq!(side(Fate::Goes), new.lines().collect::<Vec<_>>());
        }
    }
}
