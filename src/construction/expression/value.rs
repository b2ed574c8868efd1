//! The value of an expression, without showing the steps.

use super::{Expr, ExpressionError, Operator};
use crate::construction::number::Ratio;
use crate::length::Unit;

/// A value and whether it is a length (in ticks) or a plain number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Value {
    pub value: Ratio,
    pub is_length: bool,
}

/// Why an expression has no value here.
#[derive(Clone, Debug, PartialEq)]
pub enum Failure<E> {
    /// A name has no value.
    Name { name: String, why: E },
    /// The arithmetic itself cannot be done.
    Arithmetic(ExpressionError),
}

/// The value of `expr`. `plain` is the unit of plain numbers added to lengths.
///
/// # Errors
/// When a name has no value, or at a division by zero, an overflow, or a mixture
/// of lengths and plain numbers that means nothing.
pub fn evaluate<'e, E>(
    expr: &'e Expr,
    plain: Option<Unit>,
    value_of: &mut impl FnMut(&'e str) -> Result<Value, E>,
) -> Result<Value, Failure<E>> {
    match expr {
        Expr::Number { value, unit, .. } => {
            number(*value, *unit, expr.at()).map_err(Failure::Arithmetic)
        }
        Expr::Name { name, .. } => value_of(name).map_err(|why| Failure::Name {
            name: name.clone(),
            why,
        }),
        Expr::Negative { inner, at } => {
            let inner = evaluate(inner, plain, value_of)?;
            negated(inner, *at).map_err(Failure::Arithmetic)
        }
        Expr::Binary {
            operator,
            left,
            right,
            at,
        } => {
            let left = evaluate(left, plain, value_of)?;
            let right = evaluate(right, plain, value_of)?;
            arithmetic(*operator, left, right, *at, plain).map_err(Failure::Arithmetic)
        }
    }
}

fn error(at: usize, message: &str) -> ExpressionError {
    ExpressionError {
        at,
        message: message.to_owned(),
    }
}

pub(super) fn number(
    value: Ratio,
    unit: Option<Unit>,
    at: usize,
) -> Result<Value, ExpressionError> {
    let Some(unit) = unit else {
        return Ok(Value {
            value,
            is_length: false,
        });
    };
    in_unit(value, unit, at)
}

fn in_unit(value: Ratio, unit: Unit, at: usize) -> Result<Value, ExpressionError> {
    value
        .times(Ratio::whole(i128::from(unit.ticks())))
        .map(|value| Value {
            value,
            is_length: true,
        })
        .ok_or_else(|| error(at, "the number is too large"))
}

pub(super) fn negated(value: Value, at: usize) -> Result<Value, ExpressionError> {
    value
        .value
        .negated()
        .map(|negative| Value {
            value: negative,
            ..value
        })
        .ok_or_else(|| error(at, "the number is too large"))
}

/// A plain number added to a length, as a length.
pub(super) fn measured(
    value: Value,
    at: usize,
    plain: Option<Unit>,
) -> Result<Value, ExpressionError> {
    let unit = plain.ok_or_else(|| {
        error(
            at,
            "a number without a unit is added to a length; \
             give it a unit, or state `units` under [job]",
        )
    })?;
    in_unit(value.value, unit, at)
}

pub(super) fn arithmetic(
    operator: Operator,
    mut left: Value,
    mut right: Value,
    at: usize,
    plain: Option<Unit>,
) -> Result<Value, ExpressionError> {
    let sum = matches!(operator, Operator::Plus | Operator::Minus);
    if sum && left.is_length != right.is_length {
        let number = if left.is_length {
            &mut right
        } else {
            &mut left
        };
        *number = measured(*number, at, plain)?;
    }
    let (value, is_length) = match operator {
        Operator::Plus => (left.value.plus(right.value), left.is_length),
        Operator::Minus => (left.value.minus(right.value), left.is_length),
        Operator::Times => {
            if left.is_length && right.is_length {
                return Err(error(at, "a length times a length is not a length"));
            }
            (
                left.value.times(right.value),
                left.is_length || right.is_length,
            )
        }
        Operator::Over => {
            if right.is_length && !left.is_length {
                return Err(error(
                    at,
                    "a plain number cannot be divided by a length; \
                     a fraction with a unit is written without spaces, such as `1/4 in`",
                ));
            }
            if right.value.is_zero() {
                return Err(error(at, "this divides by zero"));
            }
            (
                left.value.divided_by(right.value),
                left.is_length && !right.is_length,
            )
        }
    };
    value
        .map(|value| Value { value, is_length })
        .ok_or_else(|| error(at, "the result is too large"))
}
