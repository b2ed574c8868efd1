//! What a layer's or line style's name says about the lines on it.

/// What kind of line is meant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Cue {
    #[default]
    None,
    /// An edge behind something.
    Hidden,
    /// Centre line, phantom line, cutting plane: marks something, is no edge.
    Centre,
}

/// Anywhere in a name.
const HIDDEN_PARTS: [&str; 12] = [
    "hidden",
    "verdeckt",
    "caché",
    "cachée",
    "oculta",
    "oculto",
    "nascost",
    "verborgen",
    "unsichtbar",
    "skjult",
    "dold",
    "ukryt",
];

/// As a word of a name.
const HIDDEN_WORDS: [&str; 9] = [
    "hid", "hidn", "hidd", "cache", "caches", "cachee", "dashed", "behind", "nevidet",
];

/// Cue of a layer name. Layers called `VISIBLE` or without a known word tell nothing.
pub fn of_layer(name: &str) -> Cue {
    let lower = name.to_lowercase();
    if ["unhidden", "non-hidden", "not hidden", "nonhidden"]
        .iter()
        .any(|no| lower.contains(no))
    {
        return Cue::None;
    }
    let words = || lower.split(|c: char| !c.is_alphabetic());
    if HIDDEN_PARTS.iter().any(|part| lower.contains(part))
        || words().any(|word| HIDDEN_WORDS.contains(&word))
    {
        return Cue::Hidden;
    }
    let centre = [
        "center",
        "centre",
        "centerline",
        "centreline",
        "phantom",
        "mittellinie",
    ];
    if words().any(|word| centre.contains(&word)) {
        return Cue::Centre;
    }
    Cue::None
}

/// Cue of a line style by its name: the styles of the standard files and of
/// their translations. `None` when the name is no known style.
pub fn of_style_name(name: &str) -> Option<Cue> {
    let lower = name.to_lowercase();
    let starts = |list: &[&str]| list.iter().any(|start| lower.starts_with(start));
    let holds = |list: &[&str]| list.iter().any(|part| lower.contains(part));
    if matches!(
        lower.as_str(),
        "continuous" | "bylayer" | "byblock" | "solid" | ""
    ) {
        return Some(Cue::None);
    }
    // ISO 128-20 line types 04 to 15 are chain lines, 02, 03 and 07 dashed or dotted.
    if let Some(number) = lower
        .strip_prefix("acad_iso")
        .and_then(|rest| rest.get(..2))
        .and_then(|two| two.parse::<u32>().ok())
    {
        return Some(match number {
            2 | 3 | 7 => Cue::Hidden,
            _ => Cue::Centre,
        });
    }
    if holds(&[
        "center",
        "centre",
        "phantom",
        "dashdot",
        "dash dot",
        "dash-dot",
        "dash_dot",
        "divide",
        "border",
        "mitte",
        "strichpunkt",
        "chain",
    ]) {
        return Some(Cue::Centre);
    }
    if holds(&HIDDEN_PARTS)
        || holds(&["dashed", "strichlinie", "gestrichelt"])
        || starts(&["dash", "dot", "hid", "cache", "jis_02"])
    {
        return Some(Cue::Hidden);
    }
    None
}

/// Cue of a line style by its pattern: dashes positive, gaps negative, dots 0.
/// Dashes of one length, or dots alone, draw a hidden edge; long and short in
/// turn draw a chain line (ISO 128-20).
pub fn of_pattern(elements: &[f64]) -> Cue {
    if !elements.iter().any(|e| *e < 0.0) {
        return Cue::None;
    }
    let drawn = elements.iter().copied().filter(|e| *e >= 0.0);
    let longest = drawn.clone().fold(0.0, f64::max);
    let shortest = drawn.fold(f64::INFINITY, f64::min);
    if shortest.is_infinite() {
        return Cue::None;
    }
    if shortest < longest * 0.75 {
        Cue::Centre
    } else {
        Cue::Hidden
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn layers() {
        for name in [
            "HIDDEN",
            "A-ELEV-HIDN",
            "Make2D::hidden::curves",
            "verdeckte Kanten",
            "Arêtes cachées",
            "CACHE",
            "ocultas",
            "Dashed lines",
        ] {
            assert_eq!(of_layer(name), Cue::Hidden, "{name}");
        }
        for name in [
            "0", "VISIBLE", "CABINET", "unhidden", "Cachet", "Front", "Kidney",
        ] {
            assert_eq!(of_layer(name), Cue::None, "{name}");
        }
        assert_eq!(of_layer("S-CENTER"), Cue::Centre);
    }

    #[test]
    fn styles() {
        for name in [
            "HIDDEN2",
            "Dashed",
            "DASHEDX2",
            "DOT",
            "ACAD_ISO02W100",
            "VERDECKT",
            "Caché",
        ] {
            assert_eq!(of_style_name(name), Some(Cue::Hidden), "{name}");
        }
        for name in ["CENTER2", "PHANTOM", "DASHDOT", "ACAD_ISO04W100", "DIVIDE"] {
            assert_eq!(of_style_name(name), Some(Cue::Centre), "{name}");
        }
        assert_eq!(of_style_name("Continuous"), Some(Cue::None));
        assert_eq!(of_style_name("LT_3"), None);
        assert_eq!(of_pattern(&[6.35, -3.175]), Cue::Hidden);
        assert_eq!(of_pattern(&[0.0, -1.0]), Cue::Hidden);
        assert_eq!(of_pattern(&[31.75, -6.35, 6.35, -6.35]), Cue::Centre);
        assert_eq!(of_pattern(&[]), Cue::None);
        assert_eq!(of_pattern(&[1.0]), Cue::None);
    }
}
