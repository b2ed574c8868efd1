//! Working an expression out, and showing the steps with their numbers.

use super::{Expr, ExpressionError, Operator};
use crate::construction::number::Ratio;
use crate::length::Unit;

/// A value and whether it is a length (in ticks) or a plain number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Value {
    pub value: Ratio,
    pub is_length: bool,
}

/// An expression worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    pub value: Ratio,
    pub is_length: bool,
    /// With names: "interior width + 2 × groove depth".
    pub relation: String,
    /// With numbers: "34 in + 2 × 1/4 in".
    pub numbers: String,
    strength: u8,
}

/// Why an expression has no value here.
#[derive(Clone, Debug, PartialEq)]
pub enum Failure<E> {
    /// A name has no value.
    Name { name: String, why: E },
    /// The arithmetic itself cannot be done.
    Arithmetic(ExpressionError),
}

const STRONGEST: u8 = 9;

/// Works `expr` out. `plain` is the unit of plain numbers added to lengths;
/// `value_of` gives a name's value, `print` a length's text.
///
/// # Errors
/// When a name has no value, or at a division by zero, an overflow, or a mixture
/// of lengths and plain numbers that means nothing.
pub fn work_out<E>(
    expr: &Expr,
    plain: Option<Unit>,
    value_of: &mut impl FnMut(&str) -> Result<Value, E>,
    print: &impl Fn(Ratio) -> String,
) -> Result<Worked, Failure<E>> {
    match expr {
        Expr::Number {
            value, unit, text, ..
        } => {
            let (value, is_length) = match unit {
                Some(unit) => {
                    let ticks = Ratio::whole(i128::from(unit.ticks()));
                    let value = value.times(ticks).ok_or_else(|| overflow(expr))?;
                    (value, true)
                }
                None => (*value, false),
            };
            Ok(Worked {
                value,
                is_length,
                relation: text.clone(),
                numbers: if is_length {
                    print(value)
                } else {
                    text.clone()
                },
                strength: STRONGEST,
            })
        }
        Expr::Name { name, .. } => {
            let known = value_of(name).map_err(|why| Failure::Name {
                name: name.clone(),
                why,
            })?;
            Ok(Worked {
                value: known.value,
                is_length: known.is_length,
                relation: spoken(name),
                numbers: if known.is_length {
                    print(known.value)
                } else {
                    plain_number(known.value)
                },
                strength: STRONGEST,
            })
        }
        Expr::Negative { inner, .. } => {
            let inner = work_out(inner, plain, value_of, print)?;
            let value = inner.value.negated().ok_or_else(|| overflow(expr))?;
            let wrap = |text: &str| format!("\u{2212}{}", bracket(text, inner.strength < 3));
            Ok(Worked {
                value,
                is_length: inner.is_length,
                relation: wrap(&inner.relation),
                numbers: wrap(&inner.numbers),
                strength: 2,
            })
        }
        Expr::Binary {
            operator,
            left,
            right,
            at,
        } => {
            let left = work_out(left, plain, value_of, print)?;
            let right = work_out(right, plain, value_of, print)?;
            combine(*operator, left, right, *at, plain, print).map_err(Failure::Arithmetic)
        }
    }
}

fn overflow<E>(expr: &Expr) -> Failure<E> {
    Failure::Arithmetic(ExpressionError {
        at: expr.at(),
        message: "the number is too large".to_owned(),
    })
}

fn combine(
    operator: Operator,
    mut left: Worked,
    mut right: Worked,
    at: usize,
    plain: Option<Unit>,
    print: &impl Fn(Ratio) -> String,
) -> Result<Worked, ExpressionError> {
    let error = |message: &str| ExpressionError {
        at,
        message: message.to_owned(),
    };
    let sum = matches!(operator, Operator::Plus | Operator::Minus);
    if sum && left.is_length != right.is_length {
        let unit = plain.ok_or_else(|| {
            error(
                "a number without a unit is added to a length; \
                 give it a unit, or state `units` under [job]",
            )
        })?;
        let number = if left.is_length {
            &mut right
        } else {
            &mut left
        };
        number.value = number
            .value
            .times(Ratio::whole(i128::from(unit.ticks())))
            .ok_or_else(|| error("the number is too large"))?;
        number.is_length = true;
        number.numbers = print(number.value);
        number.relation = number.numbers.clone();
        number.strength = STRONGEST;
    }
    let (value, is_length) = match operator {
        Operator::Plus => (left.value.plus(right.value), left.is_length),
        Operator::Minus => (left.value.minus(right.value), left.is_length),
        Operator::Times => {
            if left.is_length && right.is_length {
                return Err(error("a length times a length is not a length"));
            }
            (
                left.value.times(right.value),
                left.is_length || right.is_length,
            )
        }
        Operator::Over => {
            if right.is_length && !left.is_length {
                return Err(error(
                    "a plain number cannot be divided by a length; \
                     a fraction with a unit is written without spaces, such as `1/4 in`",
                ));
            }
            if right.value.is_zero() {
                return Err(error("this divides by zero"));
            }
            (
                left.value.divided_by(right.value),
                left.is_length && !right.is_length,
            )
        }
    };
    let value = value.ok_or_else(|| error("the result is too large"))?;
    let strength = operator.strength();
    // `a - (b + c)` and `a / (b * c)` keep their brackets.
    let right_needs = |right: &Worked| {
        right.strength < strength
            || (right.strength == strength && matches!(operator, Operator::Minus | Operator::Over))
    };
    let join = |a: &str, b: &str| {
        format!(
            "{} {} {}",
            bracket(a, left.strength < strength),
            operator.sign(),
            bracket(b, right_needs(&right))
        )
    };
    Ok(Worked {
        value,
        is_length,
        relation: join(&left.relation, &right.relation),
        numbers: join(&left.numbers, &right.numbers),
        strength,
    })
}

fn bracket(text: &str, needed: bool) -> String {
    if needed {
        format!("({text})")
    } else {
        text.to_owned()
    }
}

/// A name as a person says it: "interior.width" is "interior width".
pub(crate) fn spoken(name: &str) -> String {
    name.replace(['.', '-'], " ")
        .replace("mid stile", "mid-stile")
}

fn plain_number(value: Ratio) -> String {
    if value.denominator() == 1 {
        value.numerator().to_string()
    } else {
        format!("{}/{}", value.numerator(), value.denominator())
    }
}
