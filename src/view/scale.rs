//! What a drawing unit is worth, with the evidence. What the user says comes
//! first, then dimensions against lengths, the header, scale notes, and what a
//! cabinet can look like at all. Contradictions are told, and where nothing
//! decides the worth stays unknown.

use super::notes::ScaleNote;
use super::plausible::{Belief, Look};
use super::witness::{Agreement, Witness, agreements, plain};
use super::{Hints, Scale};
use crate::drawing::{Evidence, Sheet};
use crate::length::{Length, Notation, Unit};

/// Millimetres of a `$INSUNITS` code that a cabinet drawing can be in.
/// DXF Reference, header variables.
pub(super) fn header_unit(code: i64) -> Option<(f64, &'static str)> {
    Some(match code {
        1 => (25.4, "inch"),
        2 => (304.8, "foot"),
        4 => (1.0, "millimetre"),
        5 => (10.0, "centimetre"),
        6 => (1000.0, "metre"),
        10 => (914.4, "yard"),
        14 => (100.0, "decimetre"),
        _ => return None,
    })
}

fn word(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inch",
        Unit::Foot => "foot",
        Unit::Millimetre => "millimetre",
        Unit::Centimetre => "centimetre",
        Unit::Metre => "metre",
    }
}

pub(super) const UNITS: [Unit; 5] = [
    Unit::Millimetre,
    Unit::Inch,
    Unit::Centimetre,
    Unit::Metre,
    Unit::Foot,
];
/// Share of the strips, and how many of them at least, that tell a unit by themselves.
const BORNE_OUT: f64 = 0.7;
const STRIPS: usize = 6;
/// By how much greater a share makes a header's unit unlikely: some strips are as wide
/// as stock at any worth.
const OUTDONE: f64 = 0.4;
/// Units that a bare number on a drawing may be in; feet are never left bare.
const BARE: [Unit; 4] = [Unit::Millimetre, Unit::Inch, Unit::Centimetre, Unit::Metre];

/// Scales drawings are made at: true length over drawn length.
pub(super) const SCALES: [f64; 21] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 16.0, 20.0, 24.0, 25.0, 30.0, 32.0, 48.0,
    50.0, 64.0, 96.0, 100.0,
];

/// The one standard scale within the uncertainty of a ratio.
fn standard(ratio: f64, spread: f64) -> Option<f64> {
    let off = |s: f64| (ratio / s - 1.0).abs();
    let within: Vec<f64> = SCALES
        .iter()
        .copied()
        .chain([0.5, 0.25])
        .filter(|&s| off(s) <= (1.5 * spread).max(1e-3))
        .collect();
    let best = within
        .iter()
        .copied()
        .min_by(|p, q| off(*p).total_cmp(&off(*q)))?;
    let alone = within.iter().all(|&s| (s / best - 1.0).abs() < 1e-9);
    (alone || off(best) <= 1e-3).then_some(best)
}

/// What a drawing unit is worth, millimetres, in any unit at any scale drawings are made at.
pub(super) fn usual_worths() -> impl Iterator<Item = f64> {
    UNITS
        .into_iter()
        .flat_map(|unit| SCALES.into_iter().map(move |scale| unit.mm() * scale))
}

/// Everything that speaks of the worth of a unit, for one sheet or one view.
pub(super) struct Facts<'a> {
    pub hints: &'a Hints,
    /// Unit the job file gives for this view, with its line.
    pub header: Option<i64>,
    /// Feet and inches are the drawing's number format.
    pub imperial_format: bool,
    pub witnesses: Vec<Witness>,
    /// Scale notes, each with its text.
    pub notes: Vec<(ScaleNote, String)>,
    /// Unit that a note gives for all sizes.
    pub unit_note: Option<(Unit, String)>,
    /// No text stands on the sheet: not even which way is up is told.
    pub silent: bool,
    /// The cabinets that titles name, where every view is named.
    pub cabinets: &'a [String],
    pub look: &'a Look,
}

/// A worth, or why there is none, and contradictions met on the way.
pub(super) struct Verdict {
    pub scale: Scale,
    pub conflicts: Vec<String>,
}

pub(super) fn header_code(sheet: &Sheet) -> Option<i64> {
    sheet.evidence.iter().find_map(|e| match e {
        Evidence::InsUnits(code) => Some(*code),
        _ => None,
    })
}

pub(super) fn imperial_format(sheet: &Sheet) -> bool {
    sheet
        .evidence
        .iter()
        .any(|e| matches!(e, Evidence::LinearFormat(3 | 4)))
}

/// The unit the drawing claims to be in.
struct Claim {
    mm: f64,
    /// "header: drawing unit is the inch ($INSUNITS 1)"
    evidence: String,
    /// From the user: not to be doubted.
    sure: bool,
}

impl Facts<'_> {
    fn claim(&self) -> Option<Claim> {
        if let Some((unit, who)) = &self.hints.units {
            return Some(Claim {
                mm: unit.mm(),
                evidence: format!("{who}: drawing unit is the {}", word(*unit)),
                sure: true,
            });
        }
        let code = self.header?;
        header_unit(code).map(|(mm, word)| Claim {
            mm,
            evidence: format!("header: drawing unit is the {word} ($INSUNITS {code})"),
            sure: false,
        })
    }

    fn belief(&self, mm: f64) -> Belief {
        self.look.belief(mm)
    }

    pub fn judge(&self) -> Verdict {
        let claim = self.claim();
        let groups = agreements(&self.witnesses);
        let mut conflicts = Vec::new();
        if let Some((factor, who)) = &self.hints.scale {
            return self.told(*factor, who, claim, &groups, conflicts);
        }
        let trusted = trusted(&groups, claim.as_ref());
        let scale = match (&claim, trusted) {
            (Some(claim), Some(agreement)) => {
                self.claim_and_texts(claim, agreement, &mut conflicts)
            }
            (Some(claim), None) => self.claim_alone(claim, &groups, &mut conflicts),
            (None, Some(agreement)) => self.texts_alone(agreement),
            (None, None) => self.looks_alone(),
        };
        let scale = match scale {
            Scale::Unknown { reason } => self
                .by_list(claim.as_ref(), trusted, &mut conflicts)
                .unwrap_or(Scale::Unknown { reason }),
            // A header that nothing bears out says little against the whole list.
            Scale::Known {
                mm_per_unit,
                evidence,
            } => {
                let mut said = Vec::new();
                // Figures without a unit bear out any.
                let weak = trusted.is_none_or(|group| group.unit.is_none())
                    && claim.as_ref().is_some_and(|claim| !claim.sure)
                    && self.belief(mm_per_unit) != Belief::Good;
                let listed = weak.then(|| self.by_list(claim.as_ref(), trusted, &mut said));
                match listed.flatten() {
                    Some(Scale::Known {
                        mm_per_unit: mm,
                        evidence,
                    }) if (mm / mm_per_unit - 1.0).abs() > 1e-6 => {
                        conflicts.extend(said);
                        self.known(mm, evidence)
                    }
                    _ => self.known(mm_per_unit, evidence),
                }
            }
        };
        Verdict { scale, conflicts }
    }

    /// Nothing in the drawing tells: the worth at which the sizes of the list are drawn,
    /// one of those at which the dimensions say something in a usual unit.
    fn by_list(
        &self,
        claim: Option<&Claim>,
        texts: Option<&Agreement>,
        conflicts: &mut Vec<String>,
    ) -> Option<Scale> {
        if self.silent || claim.is_some_and(|claim| claim.sure) {
            return None;
        }
        let says = |mm: f64| {
            texts.is_none_or(|group| {
                let near = |unit: Unit| (group.ratio * unit.mm() / mm - 1.0).abs() <= 1e-2;
                UNITS.into_iter().any(near)
            })
        };
        let worths = usual_worths().filter(|mm| says(*mm));
        let sizes = &self.hints.sizes;
        let listed = super::listed::worth(&[self.look], sizes, self.cabinets, worths)?;
        let text = listed.sentence();
        if let Some(claim) = claim.filter(|claim| standard(listed.mm / claim.mm, 1e-6).is_none()) {
            conflicts.push(format!("{}, but {text}", claim.evidence));
        }
        Some(self.known(listed.mm, vec![text]))
    }

    /// The user says the scale.
    fn told(
        &self,
        factor: f64,
        who: &str,
        claim: Option<Claim>,
        groups: &[Agreement],
        mut conflicts: Vec<String>,
    ) -> Verdict {
        let said = format!("{who}: lines are drawn at 1:{}", plain(factor));
        let (mm, unit) = match claim {
            Some(claim) => (claim.mm * factor, claim.evidence),
            None => {
                let fits: Vec<Unit> = UNITS
                    .into_iter()
                    .filter(|u| self.belief(u.mm() * factor) == Belief::Good)
                    .collect();
                let unit = match fits.as_slice() {
                    [one] => Some(*one),
                    _ => self.first_choice(&fits),
                };
                match unit {
                    Some(unit) => (unit.mm() * factor, self.looks(unit.mm() * factor, unit)),
                    None => {
                        return Verdict {
                            scale: Scale::Unknown {
                                reason: "the scale is given, but nothing says what the drawing unit is; give it with --units or in the job file".to_owned(),
                            },
                            conflicts,
                        };
                    }
                }
            }
        };
        if let Some(group) = groups.first().filter(|g| g.count >= 2) {
            let agrees = units_of(group, self.unit_note.as_ref().map(|n| n.0))
                .iter()
                .any(|u| (group.ratio * u.mm() / mm - 1.0).abs() <= (2.0 * group.spread).max(1e-3));
            if !agrees {
                conflicts.push(format!(
                    "{said}, but {}; the scale given was used",
                    says(group, self.unit_note.as_ref().map(|n| n.0))
                ));
            }
        }
        if self.belief(mm) == Belief::Poor {
            conflicts.push(format!("{said}, {unit}: {}", self.unlike(mm)));
        }
        Verdict {
            scale: Scale::Known {
                mm_per_unit: mm,
                evidence: vec![unit, said],
            },
            conflicts,
        }
    }

    fn claim_and_texts(
        &self,
        claim: &Claim,
        group: &Agreement,
        conflicts: &mut Vec<String>,
    ) -> Scale {
        let noted = self.unit_note.as_ref().map(|n| n.0);
        let units = self.usual(units_of(group, noted), group.ratio, Some(claim.mm));
        let worth = |u: Unit| group.ratio * u.mm();
        let same = |mm: f64| (mm / claim.mm - 1.0).abs() <= (1.5 * group.spread).max(1e-3);
        let text = says(group, noted);
        let agreeing = units.iter().copied().find(|u| same(worth(*u)));
        let good: Vec<Unit> = units
            .iter()
            .copied()
            .filter(|u| self.belief(self.exact(*u, claim.mm, group)) == Belief::Good)
            .collect();
        if let Some(unit) = agreeing {
            let doubtful = self.belief(claim.mm) == Belief::Poor && !claim.sure;
            // A note speaks for all sizes and may be older than this drawing.
            let any = if group.unit.is_some() {
                units.clone()
            } else {
                self.by_looks(1.0)
            };
            let fits: Vec<Unit> = any
                .into_iter()
                .filter(|u| {
                    !same(worth(*u)) && self.belief(self.exact(*u, u.mm(), group)) == Belief::Good
                })
                .collect();
            match self.first_choice(&fits).filter(|_| doubtful) {
                None if doubtful && group.unit.is_none() => {
                    return Scale::Unknown {
                        reason: format!(
                            "{}, but {}, and {text} without a unit; give the units with --units or in the job file",
                            claim.evidence,
                            self.unlike(claim.mm)
                        ),
                    };
                }
                None => {
                    return self.known(
                        claim.mm,
                        vec![
                            claim.evidence.clone(),
                            format!("{text}, which fits {}", unit.plural()),
                        ],
                    );
                }
                Some(other) => {
                    let mm = self.exact(other, other.mm(), group);
                    conflicts.push(format!(
                        "{}, but {}; {} fit: {}",
                        claim.evidence,
                        self.unlike(claim.mm),
                        other.plural(),
                        self.looks(mm, other)
                    ));
                    return self.known(mm, vec![text, self.looks(mm, other)]);
                }
            }
        }
        // The texts say otherwise than the unit claimed: a scale, or a wrong header.
        let family = |u: Unit| u.is_imperial() == is_imperial(claim.mm);
        let pick = good
            .iter()
            .copied()
            .find(|u| family(*u))
            .or_else(|| good.first().copied())
            .or_else(|| {
                units.iter().copied().find(|u| {
                    (group.unit.is_some() || noted.is_some() || (family(*u) && group.count >= 2))
                        && self.belief(self.exact(*u, claim.mm, group)) != Belief::Poor
                })
            });
        let Some(unit) = pick else {
            if let Some(scale) = self.against_note(claim, group, conflicts) {
                return scale;
            }
            // What the texts say is no cabinet in any unit; what the lines are is one.
            if self.belief(claim.mm) == Belief::Good {
                conflicts.push(format!(
                    "{}, but {text}, and no unit makes that a cabinet; the lines were followed",
                    claim.evidence
                ));
                let mut evidence = vec![claim.evidence.clone()];
                evidence.extend(self.stock(claim.mm));
                return self.known(claim.mm, evidence);
            }
            return Scale::Unknown {
                reason: format!(
                    "{}, but {text}, and no unit makes that a cabinet; give the scale or the units",
                    claim.evidence
                ),
            };
        };
        let mm = self.exact(unit, claim.mm, group);
        let ratio = mm / claim.mm;
        if let Some(scale) = standard(ratio, 1e-6) {
            return self.known(
                mm,
                vec![
                    claim.evidence.clone(),
                    format!(
                        "{text} {}: lines are drawn at {}",
                        unit.plural(),
                        shown_scale(scale)
                    ),
                ],
            );
        }
        if claim.sure {
            conflicts.push(format!(
                "{}, but {text} {}; the unit given was used",
                claim.evidence,
                unit.plural()
            ));
            return self.known(claim.mm, vec![claim.evidence.clone()]);
        }
        let Some(mm) = nice(unit, group) else {
            return Scale::Unknown {
                reason: format!(
                    "{}, but {text} {}, which is no scale that drawings are made at",
                    claim.evidence,
                    unit.plural()
                ),
            };
        };
        conflicts.push(format!(
            "{}, but {text} {}; the texts were followed",
            claim.evidence,
            unit.plural()
        ));
        self.known(
            mm,
            vec![format!("{text} {}", unit.plural()), self.looks(mm, unit)],
        )
    }

    /// Sizes in the header's unit on a sheet whose note gives another: in the note's they
    /// make no cabinet. At full size, or by a factor the dimensions themselves carry,
    /// header and dimensions say the same; else the lines have to bear it out.
    fn against_note(
        &self,
        claim: &Claim,
        group: &Agreement,
        conflicts: &mut Vec<String>,
    ) -> Option<Scale> {
        let (_, note) = self.unit_note.as_ref().filter(|_| group.unit.is_none())?;
        let unit = BARE.into_iter().find(|unit| unit.mm() == claim.mm)?;
        let scale = standard(group.ratio, group.spread).filter(|_| group.count >= 2)?;
        let mm = claim.mm * scale;
        let least = if scale == 1.0 || group.factor.is_some() {
            Belief::Fair
        } else {
            Belief::Good
        };
        if self.belief(mm) < least {
            return None;
        }
        let text = says(group, None);
        conflicts.push(format!(
            "a note says '{note}', but {}, and {text}: in {} that makes a cabinet, by the note it makes none; header and dimensions were followed",
            claim.evidence,
            unit.plural()
        ));
        let drawn = format!(
            "{text} {}: lines are drawn at {}",
            unit.plural(),
            shown_scale(scale)
        );
        Some(self.known(mm, vec![claim.evidence.clone(), drawn]))
    }

    fn claim_alone(
        &self,
        claim: &Claim,
        groups: &[Agreement],
        conflicts: &mut Vec<String>,
    ) -> Scale {
        if let Some(scale) = self.with_note(claim, conflicts) {
            return scale;
        }
        let mut belief = self.belief(claim.mm);
        let rival = UNITS
            .into_iter()
            .any(|u| self.belief(u.mm()) == Belief::Good && self.look.share(u.mm()) >= 0.5);
        if self.doubted(claim.mm) && rival {
            belief = Belief::Poor;
        }
        if belief != Belief::Good
            && !claim.sure
            && let Some((unit, text)) = &self.unit_note
            && unit.is_imperial() != is_imperial(claim.mm)
        {
            return Scale::Unknown {
                reason: format!(
                    "{}, but note '{text}', and strips as wide as stock bear out neither; give the units with --units or in the job file",
                    claim.evidence
                ),
            };
        }
        // One text alone may be the scale, if only that makes it a cabinet.
        if belief == Belief::Poor
            && let [group] = groups
        {
            let noted = self.unit_note.as_ref().map(|n| n.0);
            let fits: Vec<(Unit, f64, f64)> = self
                .usual(units_of(group, noted), group.ratio, Some(claim.mm))
                .into_iter()
                .filter_map(|u| {
                    let mm = group.ratio * u.mm();
                    let scale = standard(mm / claim.mm, group.spread)?;
                    (self.belief(claim.mm * scale) == Belief::Good).then_some((
                        u,
                        claim.mm * scale,
                        scale,
                    ))
                })
                .collect();
            if let [(unit, mm, scale)] = fits.as_slice() {
                return self.known(
                    *mm,
                    vec![
                        claim.evidence.clone(),
                        format!(
                            "{} {}: lines are drawn at {}",
                            says(group, noted),
                            unit.plural(),
                            shown_scale(*scale)
                        ),
                        self.looks(*mm, *unit),
                    ],
                );
            }
        }
        if belief != Belief::Poor || claim.sure {
            let mut evidence = vec![claim.evidence.clone()];
            evidence.extend(self.stock(claim.mm));
            if belief == Belief::Poor {
                conflicts.push(format!("{}, but {}", claim.evidence, self.unlike(claim.mm)));
            }
            return self.known(claim.mm, evidence);
        }
        // A header that is right, with the lines drawn at a scale, explains as much.
        let scaled = |share: f64| {
            SCALES.into_iter().skip(1).any(|scale| {
                let mm = claim.mm * scale;
                self.belief(mm) == Belief::Good && self.look.share(mm) >= share
            })
        };
        match self
            .first_choice(&self.by_looks(1.0))
            .filter(|unit| !scaled(self.look.share(unit.mm())))
        {
            Some(unit) => {
                conflicts.push(format!(
                    "{}, but {}; {} fit: {}",
                    claim.evidence,
                    self.unlike(claim.mm),
                    unit.plural(),
                    self.looks(unit.mm(), unit)
                ));
                self.known(unit.mm(), vec![self.looks(unit.mm(), unit)])
            }
            None => Scale::Unknown {
                reason: format!(
                    "{}, but {}; nothing shows at what scale the lines are drawn: give it with --scale or in the job file",
                    claim.evidence,
                    self.unlike(claim.mm)
                ),
            },
        }
    }

    /// A scale note may mean the lines or only the print; what it would make of
    /// the cabinet decides. `None` without a usable note.
    fn with_note(&self, claim: &Claim, conflicts: &mut Vec<String>) -> Option<Scale> {
        let (ratio, text) = self.ratio_note().filter(|n| n.0 != 1.0)?;
        let (full, scaled) = (self.belief(claim.mm), self.belief(claim.mm * ratio));
        let for_print = format!("'{text}' is for the print: only at full size is this a cabinet");
        let for_lines = format!("note '{text}': lines are drawn at {}", shown_scale(ratio));
        // A wrong header: the note and another unit make a cabinet of it, and
        // the header does not.
        let plain = self.borne_out(ratio);
        let outdone = |mm: f64| {
            let share = self.look.share(mm) + OUTDONE;
            plain.is_some_and(|(unit, scale)| self.look.share(unit.mm() * scale) >= share)
        };
        let stands =
            |belief: Belief, mm: f64| belief == Belief::Good && (claim.sure || !outdone(mm));
        if !stands(full, claim.mm) && !stands(scaled, claim.mm * ratio) && !claim.sure {
            let fits: Vec<(Unit, f64)> = [1.0, ratio]
                .into_iter()
                .flat_map(|s| self.by_looks(s).into_iter().map(move |u| (u, s)))
                .collect();
            let found = match fits.as_slice() {
                [one] => Some(one),
                [] => plain.as_ref(),
                _ => None,
            };
            if let Some((unit, scale)) = found {
                let mm = unit.mm() * scale;
                conflicts.push(format!(
                    "{}, but {}; {} fit: {}",
                    claim.evidence,
                    self.unlike(claim.mm),
                    unit.plural(),
                    self.looks(mm, *unit)
                ));
                let note = if *scale == 1.0 { for_print } else { for_lines };
                return Some(self.known(mm, vec![note, self.looks(mm, *unit)]));
            }
        }
        Some(match full.cmp(&scaled) {
            std::cmp::Ordering::Greater if full == Belief::Good || !self.doubted(claim.mm) => {
                self.known(claim.mm, vec![claim.evidence.clone(), for_print])
            }
            std::cmp::Ordering::Less
                if scaled == Belief::Good || !self.doubted(claim.mm * ratio) =>
            {
                self.known(claim.mm * ratio, vec![claim.evidence.clone(), for_lines])
            }
            _ => Scale::Unknown {
                reason: format!(
                    "'{text}' may be meant for the lines or for the print only, and nothing else tells; give the scale with --scale or in the job file"
                ),
            },
        })
    }

    /// Enough strips to tell, and none as wide as stock at this worth.
    fn doubted(&self, mm: f64) -> bool {
        self.look.strips.len() >= 3 && self.look.share(mm) < 0.05
    }

    /// The one ratio that notes give.
    fn ratio_note(&self) -> Option<(f64, &str)> {
        let mut ratios = self.notes.iter().filter_map(|(note, text)| match note {
            ScaleNote::Ratio(r) => Some((*r, text.as_str())),
            ScaleNote::NotToScale => None,
        });
        let first = ratios.next()?;
        ratios
            .all(|r| (r.0 - first.0).abs() < 1e-9)
            .then_some(first)
    }

    /// No usable header.
    fn texts_alone(&self, group: &Agreement) -> Scale {
        let noted = self.unit_note.as_ref().map(|n| n.0);
        let units = self.usual(units_of(group, noted), group.ratio, None);
        let told = group.unit.is_some() || noted.is_some();
        let candidates: Vec<(Unit, f64, Belief)> = units
            .iter()
            .filter_map(|u| {
                let mm = nice(*u, group)?;
                Some((*u, mm, self.belief(mm)))
            })
            .collect();
        let good: Vec<Unit> = candidates
            .iter()
            .filter(|c| c.2 == Belief::Good)
            .map(|c| c.0)
            .collect();
        let pick = if told && group.count >= 2 {
            candidates.iter().find(|c| c.2 != Belief::Poor).map(|c| c.0)
        } else {
            // Several texts at one ratio: it is enough that one unit makes it a cabinet.
            let possible: Vec<Unit> = candidates
                .iter()
                .filter(|c| c.2 != Belief::Poor)
                .map(|c| c.0)
                .collect();
            match possible.as_slice() {
                [one] if group.count >= 2 => Some(*one),
                _ => self.first_choice(&good),
            }
        };
        let Some((unit, mm, _)) = pick
            .and_then(|u| candidates.iter().find(|c| c.0 == u))
            .copied()
        else {
            return Scale::Unknown {
                reason: format!(
                    "{}; {}, but not in which unit; give the units with --units or in the job file",
                    self.no_header(),
                    says(group, noted)
                ),
            };
        };
        let mut evidence = vec![format!("{} {}", says(group, noted), unit.plural())];
        evidence.extend(self.stock(mm));
        self.known(mm, evidence)
    }

    fn no_header(&self) -> String {
        match self.header {
            None => "the file's header names no unit".to_owned(),
            Some(code) => format!("the file's header names no usable unit ($INSUNITS {code})"),
        }
    }

    /// Nothing but the lines themselves, and perhaps a note.
    fn looks_alone(&self) -> Scale {
        let ratio = self.ratio_note();
        let full = self.by_looks(1.0);
        if let Some((ratio, text)) = ratio.filter(|r| r.0 != 1.0) {
            let scaled = self.by_looks(ratio);
            match (self.first_choice(&full), self.first_choice(&scaled)) {
                (None, Some(unit)) => {
                    let mm = unit.mm() * ratio;
                    return self.known(
                        mm,
                        vec![
                            format!("note '{text}': lines are drawn at {}", shown_scale(ratio)),
                            self.looks(mm, unit),
                        ],
                    );
                }
                (Some(unit), None) => {
                    return self.known(
                        unit.mm(),
                        vec![self.no_header(), self.looks(unit.mm(), unit)],
                    );
                }
                _ => {}
            }
        } else if let Some(unit) = self.first_choice(&full) {
            return self.known(
                unit.mm(),
                vec![self.no_header(), self.looks(unit.mm(), unit)],
            );
        }
        Scale::Unknown {
            reason: format!(
                "{}, and neither dimensions, notes nor panel thicknesses decide what a drawing unit is worth; give it with --units and --scale or in the job file",
                self.no_header()
            ),
        }
    }

    /// Units that the lines alone bear out at a scale. Other units than inches
    /// and millimetres are too rare to be concluded from looks.
    fn by_looks(&self, scale: f64) -> Vec<Unit> {
        [Unit::Inch, Unit::Millimetre]
            .into_iter()
            .filter(|u| {
                let mm = u.mm() * scale;
                self.belief(mm) == Belief::Good && self.look.share(mm) >= 0.45
            })
            .collect()
    }

    /// The one unit, at full size or at the scale of a note, in which nearly all strips are
    /// as wide as stock: then it need be neither inch nor millimetre.
    fn borne_out(&self, ratio: f64) -> Option<(Unit, f64)> {
        let fits = |mm: f64| self.belief(mm) == Belief::Good && self.look.share(mm) >= BORNE_OUT;
        let mut found = UNITS
            .into_iter()
            .flat_map(|unit| [(unit, 1.0), (unit, ratio)])
            .filter(|(unit, scale)| fits(unit.mm() * scale));
        let one = found.next().filter(|_| self.look.strips.len() >= STRIPS)?;
        found.next().is_none().then_some(one)
    }

    /// The only unit that fits; inches and millimetres, which drawings are
    /// mostly in, go before the others.
    fn first_choice(&self, fits: &[Unit]) -> Option<Unit> {
        let common: Vec<Unit> = fits
            .iter()
            .copied()
            .filter(|u| matches!(u, Unit::Inch | Unit::Millimetre))
            .collect();
        match (common.as_slice(), fits) {
            ([one], _) | ([], [one]) => Some(*one),
            _ if self.imperial_format && fits.contains(&Unit::Inch) => Some(Unit::Inch),
            _ => None,
        }
    }

    /// Bare numbers are in inches or millimetres, as far as one of them makes a
    /// cabinet: centimetres and metres are then left only where the file claims them.
    fn usual(&self, units: Vec<Unit>, ratio: f64, claimed: Option<f64>) -> Vec<Unit> {
        let worth = |u: Unit| ratio * u.mm();
        let common = units.len() > 1
            && (self.belief(worth(Unit::Inch)) == Belief::Good
                || self.look.fits(worth(Unit::Millimetre)));
        units
            .into_iter()
            .filter(|u| {
                let claims = claimed.is_some_and(|mm| (mm / u.mm() - 1.0).abs() < 1e-9);
                !common || matches!(u, Unit::Inch | Unit::Millimetre) || claims
            })
            .collect()
    }

    /// The worth made exact: the claimed unit times a standard scale when it is
    /// one, unless the text's own unit is simply drawn at full size.
    fn exact(&self, shown: Unit, claimed: f64, group: &Agreement) -> f64 {
        let mm = group.ratio * shown.mm();
        if standard(group.ratio, group.spread) == Some(1.0) {
            return shown.mm();
        }
        standard(mm / claimed, group.spread)
            .map_or_else(|| nice(shown, group).unwrap_or(mm), |s| s * claimed)
    }

    fn known(&self, mm: f64, evidence: Vec<String>) -> Scale {
        let mut evidence = evidence;
        evidence.dedup();
        Scale::Known {
            mm_per_unit: mm,
            evidence,
        }
    }

    /// "in inches the largest view is 36 in and 3/4 in is met 14 times"
    fn looks(&self, mm: f64, unit: Unit) -> String {
        let size = show(self.look.size * mm, unit.is_imperial());
        let stock = self.look.stock(mm).map_or(String::new(), |(t, n)| {
            format!(
                ", and strips as wide as stock of {} are met {n} times",
                show(t, unit.is_imperial())
            )
        });
        format!(
            "in {} the largest side of a view is {size}{stock}",
            unit.plural()
        )
    }

    fn stock(&self, mm: f64) -> Option<String> {
        let imperial = is_imperial(mm) || self.imperial_format;
        self.look.stock(mm).map(|(t, n)| {
            format!(
                "strips as wide as stock of {} are met {n} times",
                show(t, imperial)
            )
        })
    }

    /// Why this worth makes no cabinet.
    fn unlike(&self, mm: f64) -> String {
        let imperial = is_imperial(mm);
        let size = show(self.look.size * mm, imperial);
        if self.look.share(mm) < 0.1 && !self.look.strips.is_empty() {
            format!("then the largest side of a view is {size} and no strip is as wide as stock")
        } else {
            format!("then the largest side of a view is {size}")
        }
    }
}

fn is_imperial(mm: f64) -> bool {
    let inches = mm / 25.4;
    SCALES.iter().any(|s| (inches - s).abs() < 1e-9) || (mm / 304.8).fract() == 0.0
}

fn show(mm: f64, imperial: bool) -> String {
    let notation = if imperial {
        Notation::InchFraction { denominator: 64 }
    } else {
        Notation::Millimetre
    };
    Length::from_mm(mm).map_or_else(|| format!("{mm} mm"), |l| l.show(notation))
}

fn shown_scale(scale: f64) -> String {
    if scale >= 1.0 {
        format!("1:{}", plain(scale))
    } else {
        format!("{}:1", plain(1.0 / scale))
    }
}

/// The units the numbers of a group can be in.
fn units_of(group: &Agreement, noted: Option<Unit>) -> Vec<Unit> {
    match group.unit.or(noted) {
        Some(unit) => vec![unit],
        None => BARE.to_vec(),
    }
}

/// "7 of 8 dimensions show 12 times what is drawn ('36' over 3 units)"
fn says(group: &Agreement, noted: Option<Unit>) -> String {
    let which = if group.exploded {
        "dimensions (some exploded)"
    } else {
        "dimensions"
    };
    let factor = match group.factor {
        Some((factor, origin)) if factor != 1.0 => {
            format!(", by the factor {} of {origin}", plain(factor))
        }
        _ => String::new(),
    };
    let noted = if noted.is_some() && group.unit.is_none() {
        " by a note"
    } else {
        ""
    };
    format!(
        "{} of {} {which} show {} times what is drawn ('{}' over {} units{factor}){noted}",
        group.count,
        group.of,
        plain(group.ratio),
        group.example.text,
        plain(group.example.measured),
    )
}

/// The group to go by: clearly the most, and never one text alone unless it
/// bears out the unit claimed.
fn trusted<'a>(groups: &'a [Agreement], claim: Option<&Claim>) -> Option<&'a Agreement> {
    let bears_out = |g: &&Agreement| {
        claim.is_some_and(|c| {
            units_of(g, None)
                .iter()
                .any(|u| (g.ratio * u.mm() / c.mm - 1.0).abs() <= (1.5 * g.spread).max(1e-3))
        })
    };
    let first = groups.first()?;
    let rival = groups
        .get(1)
        .is_some_and(|second| second.count == first.count);
    if first.count >= 2 && !rival {
        return Some(first);
    }
    let tied: Vec<&Agreement> = groups.iter().filter(|g| g.count == first.count).collect();
    if let Some(fits) = tied.iter().copied().find(bears_out) {
        return Some(fits);
    }
    // Without a claim, one text alone counts when it is all there is, or the
    // only one at a scale drawings are made at.
    if claim.is_none() {
        let nice_ones: Vec<&Agreement> = tied
            .into_iter()
            .filter(|g| units_of(g, None).iter().any(|u| nice(*u, g).is_some()))
            .collect();
        if let [one] = nice_ones.as_slice() {
            return Some(one);
        }
    }
    None
}

/// The worth made exact: a drawing unit at a standard scale that gives the
/// group's ratio for numbers in `shown`. Full size goes before a scale, the unit
/// shown before another. Else the ratio is a factor the file itself carries.
fn nice(shown: Unit, group: &Agreement) -> Option<f64> {
    let mm = group.ratio * shown.mm();
    UNITS
        .into_iter()
        .filter_map(|unit| Some((standard(mm / unit.mm(), group.spread)?, unit)))
        .map(|(scale, unit)| {
            let worth = scale * unit.mm();
            (
                (scale != 1.0, unit != shown, (worth / mm - 1.0).abs()),
                worth,
            )
        })
        .min_by(|p, q| p.0.partial_cmp(&q.0).unwrap_or(std::cmp::Ordering::Equal))
        .map(|hit| hit.1)
        .or_else(|| group.factor.map(|_| mm))
}
