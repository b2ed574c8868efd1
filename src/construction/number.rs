//! Exact rational numbers for relations: every step is checked, so a hostile
//! job file ends in an error and never in a wrapped or rounded size.

use crate::length::Length;

/// A fraction in lowest terms, denominator above zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ratio {
    over: i128,
    under: i128,
}

impl Ratio {
    pub const ZERO: Ratio = Ratio { over: 0, under: 1 };
    pub const ONE: Ratio = Ratio { over: 1, under: 1 };

    pub const fn whole(value: i128) -> Ratio {
        Ratio {
            over: value,
            under: 1,
        }
    }

    /// `over / under` in lowest terms; `None` when `under` is zero or the
    /// fraction cannot be held.
    pub fn new(over: i128, under: i128) -> Option<Ratio> {
        if under == 0 {
            return None;
        }
        let divisor = greatest_common_divisor(over.unsigned_abs(), under.unsigned_abs());
        let divisor = i128::try_from(divisor).ok()?;
        let (over, under) = (over.checked_div(divisor)?, under.checked_div(divisor)?);
        if under < 0 {
            Some(Ratio {
                over: over.checked_neg()?,
                under: under.checked_neg()?,
            })
        } else {
            Some(Ratio { over, under })
        }
    }

    /// A length as a count of ticks.
    pub fn ticks(length: Length) -> Ratio {
        Ratio::whole(i128::from(length.ticks()))
    }

    pub const fn numerator(self) -> i128 {
        self.over
    }

    pub const fn denominator(self) -> i128 {
        self.under
    }

    pub const fn is_zero(self) -> bool {
        self.over == 0
    }

    pub const fn is_negative(self) -> bool {
        self.over < 0
    }

    pub fn plus(self, other: Ratio) -> Option<Ratio> {
        if self.under == 1 && other.under == 1 {
            return self.over.checked_add(other.over).map(Ratio::whole);
        }
        let left = self.over.checked_mul(other.under)?;
        let right = other.over.checked_mul(self.under)?;
        Ratio::new(
            left.checked_add(right)?,
            self.under.checked_mul(other.under)?,
        )
    }

    pub fn minus(self, other: Ratio) -> Option<Ratio> {
        self.plus(other.negated()?)
    }

    pub fn times(self, other: Ratio) -> Option<Ratio> {
        if self.under == 1 && other.under == 1 {
            return self.over.checked_mul(other.over).map(Ratio::whole);
        }
        Ratio::new(
            self.over.checked_mul(other.over)?,
            self.under.checked_mul(other.under)?,
        )
    }

    /// `None` also when `other` is zero.
    pub fn divided_by(self, other: Ratio) -> Option<Ratio> {
        Ratio::new(
            self.over.checked_mul(other.under)?,
            self.under.checked_mul(other.over)?,
        )
    }

    pub fn negated(self) -> Option<Ratio> {
        Some(Ratio {
            over: self.over.checked_neg()?,
            under: self.under,
        })
    }

    /// Nearest whole number of ticks as a length, halves away from zero.
    pub fn to_length(self) -> Option<Length> {
        let doubled = self.over.checked_mul(2)?;
        let shift = if self.over < 0 {
            self.under.checked_neg()?
        } else {
            self.under
        };
        let rounded = doubled
            .checked_add(shift)?
            .checked_div(self.under.checked_mul(2)?)?;
        i64::try_from(rounded).ok().map(Length::from_ticks)
    }
}

fn greatest_common_divisor(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio(over: i128, under: i128) -> Ratio {
        Ratio::new(over, under).expect("a fraction")
    }

    #[test]
    fn arithmetic_stays_in_lowest_terms() {
        assert_eq!(ratio(1, 4).plus(ratio(1, 4)), Some(ratio(1, 2)));
        assert_eq!(ratio(3, 4).times(ratio(2, 3)), Some(ratio(1, 2)));
        assert_eq!(ratio(1, 2).divided_by(ratio(-1, 4)), Some(Ratio::whole(-2)));
        assert_eq!(ratio(-6, -8), ratio(3, 4));
        assert_eq!(ratio(6, -8).denominator(), 4);
    }

    #[test]
    fn division_by_zero_and_overflow_give_none() {
        assert_eq!(Ratio::new(1, 0), None);
        assert_eq!(Ratio::ONE.divided_by(Ratio::ZERO), None);
        assert_eq!(Ratio::whole(i128::MAX).plus(Ratio::ONE), None);
        assert_eq!(Ratio::whole(i128::MAX).times(Ratio::whole(2)), None);
        assert_eq!(Ratio::whole(i128::MIN).negated(), None);
        assert_eq!(Ratio::new(i128::MIN, -1), None);
    }

    #[test]
    fn lengths_round_to_the_nearest_tick() {
        assert_eq!(ratio(5, 2).to_length(), Some(Length::from_ticks(3)));
        assert_eq!(ratio(-5, 2).to_length(), Some(Length::from_ticks(-3)));
        assert_eq!(ratio(7, 3).to_length(), Some(Length::from_ticks(2)));
        assert_eq!(Ratio::whole(i128::from(i64::MAX) + 1).to_length(), None);
    }
}
