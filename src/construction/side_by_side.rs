//! Whether a doubtful front shows one cabinet or several side by side: what its sizes say
//! against the list. A width that is listed of neither leaves it open.

use super::alike::{Fit, fit};
use super::untitled::{Listed, listed};
use super::{Rules, cabinet_key};
use crate::cabinet;
use crate::cutlist::CutList;
use crate::view::{Doubt, Reading, Scale, View, ViewId, ViewKind, Way};
use std::collections::{BTreeMap, BTreeSet};

/// The doubts that are to be read in another way than in `first`, by the list; `other`
/// has all of them read the other way.
pub fn ways(
    first: &Reading,
    other: &Reading,
    lists: &[CutList],
    rules: &Rules,
) -> BTreeMap<usize, Way> {
    let listed = listed(lists, &BTreeSet::new());
    let sizes = Sizes {
        listed: &listed,
        rules,
    };
    let pairs = first.doubts.iter().zip(&other.doubts);
    pairs
        .enumerate()
        .filter_map(|(n, (a, b))| {
            let (mut whole, mut pieces) = (sizes.of(first, &a.views), sizes.of(other, &b.views));
            if a.divided {
                std::mem::swap(&mut whole, &mut pieces);
            }
            Some((n, way(&whole, &pieces, a)?))
        })
        .collect()
}

/// A front by itself: its names, and how it goes with each cabinet of the list.
struct Front {
    names: Vec<String>,
    fits: Vec<(String, Fit)>,
}

impl Front {
    /// Width and height are as listed of one cabinet at least.
    fn is_listed(&self) -> bool {
        self.fits.iter().any(|(_, fit)| fit.is_front())
    }

    fn of(&self, name: &str) -> Option<&Fit> {
        let key = cabinet_key(name);
        let mut fits = self.fits.iter();
        fits.find(|(listed, _)| cabinet_key(listed) == key)
            .map(|(_, fit)| fit)
    }
}

/// How the front on which a name stands goes with what the list has under it.
fn named<'a>(fronts: &'a [Front], name: &str) -> Option<&'a Fit> {
    let has = |front: &&Front| front.names.iter().any(|n| n == name);
    fronts.iter().filter(has).find_map(|front| front.of(name))
}

fn way(whole: &[Front], pieces: &[Front], doubt: &Doubt) -> Option<Way> {
    let names: BTreeSet<&String> = whole.iter().flat_map(|front| &front.names).collect();
    let one = matches!(whole, [one] if one.is_listed());
    let all = !pieces.is_empty() && pieces.iter().all(Front::is_listed);
    if doubt.divided {
        // Divided by its lines alone: as one it is a cabinet of the list.
        return (one && !all).then_some(Way::Other);
    }
    if names
        .iter()
        .all(|name| whole.iter().all(|front| front.of(name).is_none()))
    {
        return (all && !one).then_some(Way::Other);
    }
    let differs: Vec<&String> = names
        .iter()
        .copied()
        .filter(|name| named(whole, name).is_some_and(|fit| !fit.is_wide()))
        .collect();
    if differs.is_empty() {
        return None;
    }
    let fits = |name: &String| match named(pieces, name) {
        Some(fit) => fit.is_front(),
        // The names of a title, which tell no places.
        None => pieces
            .iter()
            .any(|front| front.of(name).is_some_and(Fit::is_front)),
    };
    if differs.into_iter().all(fits) {
        Some(Way::Other)
    } else {
        doubt.sure.then_some(Way::Neither)
    }
}

struct Sizes<'a> {
    listed: &'a [Listed<'a>],
    rules: &'a Rules,
}

impl Sizes<'_> {
    fn of(&self, reading: &Reading, views: &[ViewId]) -> Vec<Front> {
        let views = views.iter().filter_map(|view| reading.views.get(*view));
        let front = |view: &View| {
            if view.kind != ViewKind::Front || matches!(view.scale, Scale::Unknown { .. }) {
                return None;
            }
            let mut alone = view.clone();
            alone.cabinets.truncate(1);
            let measured = cabinet::measure(&[alone]);
            let measured = measured.first()?;
            let fits = self.listed.iter();
            Some(Front {
                names: view.cabinets.clone(),
                fits: fits
                    .map(|l| (l.name.clone(), fit(measured, &l.rows, self.rules)))
                    .collect(),
            })
        };
        views.filter_map(front).collect()
    }
}
