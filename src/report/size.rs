//! Sizes as a person reads them: inches as fractions, `34 1/2 in`; metric in
//! millimetres, `876.3 mm`.

use crate::audit::Job;
use crate::length::{Length, Notation};
use crate::signoff::release::snapshot;

/// Prints sizes in the unit of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Printer(Figures);

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Figures {
    Fractions,
    DecimalInches,
    Millimetres,
}

impl Printer {
    pub const INCHES: Printer = Printer(Figures::Fractions);
    pub const DECIMAL_INCHES: Printer = Printer(Figures::DecimalInches);
    pub const MILLIMETRES: Printer = Printer(Figures::Millimetres);

    /// As the job file says; else the unit most sizes of the lists are written
    /// in; without a list, that of the drawing.
    pub fn of(job: &Job) -> Self {
        match (job.rules.notation, job.rules.units) {
            (Some(Notation::InchFraction { .. }), _) => return Printer::INCHES,
            (Some(Notation::DecimalInch), _) => return Printer::DECIMAL_INCHES,
            (Some(Notation::Millimetre), _) => return Printer::MILLIMETRES,
            (None, Some(unit)) if unit.is_imperial() => return Printer::INCHES,
            (None, Some(_)) => return Printer::MILLIMETRES,
            (None, None) => {}
        }
        let cells = || {
            job.lists
                .iter()
                .flat_map(|list| &list.rows)
                .flat_map(|row| &row.sizes)
        };
        let total = cells().count();
        let imperial = cells().filter(|cell| cell.unit.is_imperial()).count();
        let in_inches = if total > 0 {
            2 * imperial >= total
        } else {
            job.sheets.iter().any(drawn_in_inches)
        };
        if in_inches {
            Printer::INCHES
        } else {
            Printer::MILLIMETRES
        }
    }

    /// As a snapshot of a job keeps it.
    pub const fn figures(self) -> snapshot::Figures {
        match self.0 {
            Figures::Fractions => snapshot::Figures::Inches,
            Figures::DecimalInches => snapshot::Figures::DecimalInches,
            Figures::Millimetres => snapshot::Figures::Millimetres,
        }
    }

    /// The other way round.
    pub const fn from_figures(figures: snapshot::Figures) -> Self {
        match figures {
            snapshot::Figures::Inches => Printer::INCHES,
            snapshot::Figures::DecimalInches => Printer::DECIMAL_INCHES,
            snapshot::Figures::Millimetres => Printer::MILLIMETRES,
        }
    }

    pub const fn is_imperial(self) -> bool {
        !matches!(self.0, Figures::Millimetres)
    }

    /// `34 1/2 in`, `34.5 in`, `876.3 mm`.
    pub fn size(self, length: Length) -> String {
        format!("{} {}", self.bare(length), self.unit())
    }

    /// With its sign, for a difference: `+1/8 in`, `-3.2 mm`.
    pub fn difference(self, length: Length) -> String {
        if length > Length::ZERO {
            format!("+{}", self.size(length))
        } else {
            self.size(length)
        }
    }

    /// Without the unit, for drawings and tables that name it once.
    pub fn bare(self, length: Length) -> String {
        match self.0 {
            Figures::Fractions => inches(length),
            Figures::DecimalInches => length.show_bare(Notation::DecimalInch).replace('≈', ""),
            Figures::Millimetres => length.show_bare(Notation::Millimetre).replace('≈', ""),
        }
    }

    /// "inches", "millimetres".
    pub const fn unit_word(self) -> &'static str {
        if self.is_imperial() {
            "inches"
        } else {
            "millimetres"
        }
    }

    /// The unit's abbreviation.
    pub const fn unit(self) -> &'static str {
        if self.is_imperial() { "in" } else { "mm" }
    }
}

fn drawn_in_inches(sheet: &crate::drawing::Sheet) -> bool {
    sheet
        .evidence
        .iter()
        .any(|evidence| matches!(evidence, crate::drawing::Evidence::InsUnits(1 | 2)))
}

/// A fraction where one is exact, down to 1/128; else decimals.
fn inches(length: Length) -> String {
    const FINEST: Notation = Notation::InchFraction { denominator: 128 };
    let fraction = length.show_bare(FINEST);
    if fraction.starts_with('≈') {
        length.show_bare(Notation::DecimalInch).replace('≈', "")
    } else {
        fraction
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inch(count: i64, denominator: i64) -> Length {
        Length::from_ticks(count * Length::TICKS_PER_INCH / denominator)
    }

    #[test]
    fn inches_are_fractions() {
        let print = |length| Printer::INCHES.size(length);
        assert_eq!(print(inch(69, 2)), "34 1/2 in");
        assert_eq!(print(inch(1, 128)), "1/128 in");
        assert_eq!(print(inch(-3, 16)), "-3/16 in");
        assert_eq!(print(inch(34, 1)), "34 in");
        assert_eq!(print(Length::ZERO), "0 in");
    }

    #[test]
    fn what_is_no_fraction_is_printed_in_decimals() {
        let drawn = Length::from_mm(23.29 * 25.4).unwrap();
        assert_eq!(Printer::INCHES.size(drawn), "23.29 in");
        assert_eq!(Printer::INCHES.difference(inch(1, 3)), "+0.3333 in");
    }

    #[test]
    fn millimetres_have_no_noise() {
        let print = |mm| Printer::MILLIMETRES.size(Length::from_mm(mm).unwrap());
        assert_eq!(print(876.3), "876.3 mm");
        assert_eq!(print(720.0), "720 mm");
        assert_eq!(print(-0.8), "-0.8 mm");
        assert_eq!(print(18.000_000_1), "18 mm");
    }

    #[test]
    fn the_job_file_decides() {
        let mut job = crate::report::sample::job();
        assert_eq!(Printer::of(&job), Printer::INCHES);
        job.rules.units = Some(crate::length::Unit::Centimetre);
        assert_eq!(Printer::of(&job), Printer::MILLIMETRES);
        job.rules.notation = Some(Notation::DecimalInch);
        assert_eq!(Printer::of(&job).size(inch(69, 2)), "34.5 in");
    }
}
