//! From the numbers of a written size to its value, or to why it has none or
//! more than one.

use super::flattened;
use super::grammar::{Cursor, Part};
use super::number::Ratio;
use super::parse::{Parsed, UnitSource};
use super::scan::Token;
use super::written::{Feet, Form, Slash, Written};
use super::{Alternative, Length, LengthError, Unit};

/// A cut part is never longer than this many inches; a bigger whole number that
/// splits into a fraction has lost its space and line.
const LONGEST_PART_INCHES: i128 = 144;
/// Nor than this many millimetres.
const LONGEST_PART_MM: i128 = 10_000;

impl Cursor<'_> {
    /// A size that is one number with at most one unit.
    pub(super) fn single(&self, part: &Part, unit: Option<Unit>) -> Result<Parsed, LengthError> {
        let (unit, unit_source) = match unit {
            Some(unit) => (unit, UnitSource::Written),
            None if part.fraction.is_some() && !self.reader.unit.is_imperial() => {
                (Unit::Inch, UnitSource::Fraction)
            }
            None => (self.reader.unit, UnitSource::Default),
        };
        if let Some((whole, digits)) = part.spaced.as_ref().filter(|_| unit.is_imperial()) {
            let readings = flattened::lost_line_after(whole, digits);
            return Err(if readings.is_empty() {
                self.not("it holds two numbers with no fraction line")
            } else {
                self.ambiguous("the fraction line is missing", readings)
            });
        }
        let mut alternatives = self.check_fraction(part)?;
        if part.fraction.is_none() {
            alternatives.extend(self.check_plain(part, unit)?);
        }
        let (length, exact) = self
            .value(part)?
            .to_length(unit)
            .ok_or_else(|| self.out_of_range())?;
        Ok(Parsed {
            length,
            exact,
            unit,
            unit_source,
            step: step(part, unit),
            written: Written {
                unit,
                feet: None,
                form: form(part),
                suffix: self.slice(part.end, self.text.len()),
            },
            alternatives,
        })
    }

    /// Feet, and perhaps inches after them.
    pub(super) fn feet(mut self, feet: Part) -> Result<Parsed, LengthError> {
        self.check_fraction(&feet)?;
        let before = self.at;
        self.skip_spaces();
        if self.peek() == Some(&Token::Hyphen) {
            self.at += 1;
            self.skip_spaces();
        }
        let inches = self.part()?;
        let Some(inches) = inches else {
            self.at = before;
            self.end(true)?;
            let (length, exact) = self
                .value(&feet)?
                .to_length(Unit::Foot)
                .ok_or_else(|| self.out_of_range())?;
            return Ok(Parsed {
                length,
                exact,
                unit: Unit::Foot,
                unit_source: UnitSource::Written,
                step: step(&feet, Unit::Foot),
                written: Written {
                    unit: Unit::Foot,
                    feet: None,
                    form: form(&feet),
                    suffix: self.slice(feet.end, self.text.len()),
                },
                alternatives: Vec::new(),
            });
        };
        self.check_fraction(&inches)?;
        let between = self.slice(feet.end, inches.start);
        self.skip_spaces();
        match self.unit() {
            None | Some(Unit::Inch) => {}
            Some(other) => return Err(self.not(format!("{other} stands after feet"))),
        }
        self.end(true)?;
        let whole_feet = feet.fraction.is_none()
            && feet
                .whole
                .as_ref()
                .is_some_and(|(p, _)| p.mark.is_none() && p.group.is_none());
        if !whole_feet || feet.spaced.is_some() || inches.spaced.is_some() {
            return Err(self.not("feet before inches are a whole number"));
        }
        let inch_value = self.value(&inches)?;
        if inch_value.numerator >= inch_value.denominator.saturating_mul(12) {
            return Err(self.not("the inches after feet reach a foot or more"));
        }
        let total = self.value(&feet)?.numerator.checked_mul(12);
        let (length, exact) = total
            .and_then(|feet| Ratio::new(feet, 1)?.plus(inch_value)?.to_length(Unit::Inch))
            .ok_or_else(|| self.out_of_range())?;
        Ok(Parsed {
            length,
            exact,
            unit: Unit::Inch,
            unit_source: UnitSource::Written,
            step: step(&inches, Unit::Inch),
            written: Written {
                unit: Unit::Inch,
                feet: Some(Feet { between }),
                form: form(&inches),
                suffix: self.slice(inches.end, self.text.len()),
            },
            alternatives: Vec::new(),
        })
    }

    pub(super) fn value(&self, part: &Part) -> Result<Ratio, LengthError> {
        let whole = part.whole.as_ref().map_or(
            Ratio {
                numerator: 0,
                denominator: 1,
            },
            |(p, _)| p.value,
        );
        let fraction =
            match &part.fraction {
                None => Ratio {
                    numerator: 0,
                    denominator: 1,
                },
                Some(f) => Ratio::new(i128::from(f.numerator), i128::from(f.denominator))
                    .ok_or_else(|| LengthError::ZeroDenominator {
                        text: self.text.to_owned(),
                    })?,
            };
        whole.plus(fraction).ok_or_else(|| self.out_of_range())
    }

    /// Refuses fractions that are damaged; gives what a sound one could be the rest of.
    pub(super) fn check_fraction(&self, part: &Part) -> Result<Vec<Alternative>, LengthError> {
        let Some(f) = &part.fraction else {
            return Ok(Vec::new());
        };
        if f.denominator == 0 {
            return Err(LengthError::ZeroDenominator {
                text: self.text.to_owned(),
            });
        }
        let whole = match &part.whole {
            Some((p, _)) => i64::try_from(p.value.numerator).map_err(|_| self.out_of_range())?,
            None => 0,
        };
        let stacked = !matches!(f.slash, Slash::Sign(_));
        let swallowed = if part.whole.is_none() && !stacked {
            flattened::swallowed_whole(&f.numerator_text, f.denominator)
        } else {
            Vec::new()
        };
        if f.numerator >= f.denominator {
            let reason = if f.denominator == 4 && part.whole.is_none() && swallowed.is_empty() {
                "quarters of an inch also name rough stock"
            } else {
                "the fraction is more than a whole, as when its space is lost"
            };
            let mut readings = swallowed;
            if let Some(reading) = flattened::as_mixed(whole, f.numerator, f.denominator)
                && readings.iter().all(|r| r.length != reading.length)
            {
                readings.push(reading);
            }
            return Err(self.ambiguous(reason, readings));
        }
        if !flattened::is_ruled(i128::from(f.denominator)) {
            let readings = if part.whole.is_none() {
                flattened::lost_line_after(&f.numerator_text, &f.denominator_text)
            } else {
                Vec::new()
            };
            return Err(if readings.is_empty() {
                self.not(format!(
                    "no rule is divided into {} parts",
                    f.denominator_text
                ))
            } else {
                self.ambiguous("the fraction line may be out of place", readings)
            });
        }
        Ok(swallowed)
    }

    /// Refuses plain numbers that can be two sizes.
    pub(super) fn check_plain(
        &self,
        part: &Part,
        unit: Unit,
    ) -> Result<Vec<Alternative>, LengthError> {
        let Some((number, digits)) = &part.whole else {
            return Ok(Vec::new());
        };
        if let (Unit::Millimetre, Some(thousands)) = (unit, number.thousands)
            && thousands <= LONGEST_PART_MM
        {
            let mut readings: Vec<Alternative> =
                flattened::number(thousands, unit).into_iter().collect();
            if let Some((length, _)) = number.value.to_length(unit) {
                readings.push(Alternative {
                    text: length.show(super::Notation::Millimetre),
                    length,
                });
            }
            return Err(self.ambiguous(
                "its separator can stand before decimals or after thousands",
                readings,
            ));
        }
        if unit != Unit::Inch || number.mark.is_some() || number.group.is_some() {
            return Ok(Vec::new());
        }
        let mut readings = flattened::lost_line(digits);
        // A unit spelled out was put there on purpose, with the number before its eyes.
        let spelled = self
            .slice(part.end, self.text.len())
            .contains(char::is_alphabetic);
        if spelled {
            return Ok(Vec::new());
        }
        if number.value.numerator <= LONGEST_PART_INCHES || readings.is_empty() {
            return Ok(readings);
        }
        readings.extend(flattened::number(number.value.numerator, unit));
        Err(self.ambiguous(
            "a part this long is unlikely; the fraction may have lost its line",
            readings,
        ))
    }
}

fn step(part: &Part, unit: Unit) -> Length {
    let denominator = match (&part.fraction, &part.whole) {
        (Some(f), _) => i128::from(f.denominator),
        (None, Some((p, _))) => p.value.denominator,
        (None, None) => 1,
    };
    let (length, _) = Ratio::new(1, denominator)
        .and_then(|r| r.to_length(unit))
        .unwrap_or((Length::ZERO, false));
    length.max(Length::from_ticks(1))
}

fn form(part: &Part) -> Form {
    if let Some(f) = &part.fraction {
        return Form::Fraction {
            joiner: if part.whole.is_some() {
                Some(part.joiner.clone())
            } else {
                None
            },
            slash: f.slash,
            denominator: f.denominator,
        };
    }
    let Some((number, _)) = &part.whole else {
        return Form::Whole { group: None };
    };
    let group = if part.spaced.is_some() {
        Some(' ')
    } else {
        number.group
    };
    match number.mark {
        None => Form::Whole { group },
        Some(mark) => Form::Decimal {
            mark,
            places: number.places,
            group,
        },
    }
}
