//! Working an expression out, and showing the steps with their numbers.

use super::value::{Failure, Value, arithmetic, measured, negated, number};
use super::{Expr, ExpressionError, Operator};
use crate::construction::number::Ratio;
use crate::length::Unit;

/// An expression worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    pub value: Ratio,
    pub is_length: bool,
    /// With names: "interior width + 2 × groove depth".
    pub relation: String,
    /// With numbers: "34 in + 2 × 1/4 in"; empty when they are not asked for.
    pub numbers: String,
    strength: u8,
}

const STRONGEST: u8 = 9;

/// Works `expr` out. `plain` is the unit of plain numbers added to lengths;
/// `value_of` gives a name's value, `print` a length's text. The `numbers` are most of
/// the work.
///
/// # Errors
/// When a name has no value, or at a division by zero, an overflow, or a mixture
/// of lengths and plain numbers that means nothing.
pub fn work_out<E>(
    expr: &Expr,
    plain: Option<Unit>,
    value_of: &mut impl FnMut(&str) -> Result<Value, E>,
    print: &impl Fn(Ratio) -> String,
    numbers: bool,
) -> Result<Worked, Failure<E>> {
    let shown = |known: &Value, otherwise: &dyn Fn() -> String| {
        if !numbers {
            String::new()
        } else if known.is_length {
            print(known.value)
        } else {
            otherwise()
        }
    };
    match expr {
        Expr::Number {
            value, unit, text, ..
        } => {
            let known = number(*value, *unit, expr.at()).map_err(Failure::Arithmetic)?;
            let numbers = shown(&known, &|| text.clone());
            Ok(single(known, text.clone(), numbers))
        }
        Expr::Name { name, .. } => {
            let known = value_of(name).map_err(|why| Failure::Name {
                name: name.clone(),
                why,
            })?;
            let numbers = shown(&known, &|| plain_number(known.value));
            Ok(single(known, spoken(name), numbers))
        }
        Expr::Negative { inner, at } => {
            let inner = work_out(inner, plain, value_of, print, numbers)?;
            let known = negated(inner.known(), *at).map_err(Failure::Arithmetic)?;
            let wrap = |text: &str| format!("\u{2212}{}", bracket(text, inner.strength < 3));
            let numbers = numbers.then(|| wrap(&inner.numbers));
            Ok(Worked {
                strength: 2,
                ..single(known, wrap(&inner.relation), numbers.unwrap_or_default())
            })
        }
        Expr::Binary {
            operator,
            left,
            right,
            at,
        } => {
            let left = work_out(left, plain, value_of, print, numbers)?;
            let right = work_out(right, plain, value_of, print, numbers)?;
            combine(*operator, left, right, *at, plain, print, numbers).map_err(Failure::Arithmetic)
        }
    }
}

fn single(known: Value, relation: String, numbers: String) -> Worked {
    Worked {
        value: known.value,
        is_length: known.is_length,
        relation,
        numbers,
        strength: STRONGEST,
    }
}

impl Worked {
    const fn known(&self) -> Value {
        Value {
            value: self.value,
            is_length: self.is_length,
        }
    }
}

fn combine(
    operator: Operator,
    mut left: Worked,
    mut right: Worked,
    at: usize,
    plain: Option<Unit>,
    print: &impl Fn(Ratio) -> String,
    numbers: bool,
) -> Result<Worked, ExpressionError> {
    let sum = matches!(operator, Operator::Plus | Operator::Minus);
    if sum && left.is_length != right.is_length {
        // A plain number added to a length is shown with its unit.
        let number = if left.is_length {
            &mut right
        } else {
            &mut left
        };
        let known = measured(number.known(), at, plain)?;
        let text = print(known.value);
        *number = single(known, text.clone(), text);
    }
    let known = arithmetic(operator, left.known(), right.known(), at, plain)?;
    let strength = operator.strength();
    // `a - (b + c)` and `a / (b * c)` keep their brackets.
    let right_bracket = right.strength < strength
        || (right.strength == strength && matches!(operator, Operator::Minus | Operator::Over));
    let join = |a: &str, b: &str| {
        format!(
            "{} {} {}",
            bracket(a, left.strength < strength),
            operator.sign(),
            bracket(b, right_bracket)
        )
    };
    let numbers = numbers.then(|| join(&left.numbers, &right.numbers));
    Ok(Worked {
        strength,
        ..single(
            known,
            join(&left.relation, &right.relation),
            numbers.unwrap_or_default(),
        )
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
    let mut spoken = String::with_capacity(name.len());
    for (at, c) in name.char_indices() {
        let (before, after) = name.split_at(at);
        let stays = || before.ends_with("mid") && after.starts_with("-stile");
        spoken.push(match c {
            '-' if stays() => '-',
            '.' | '-' => ' ',
            c => c,
        });
    }
    spoken
}

fn plain_number(value: Ratio) -> String {
    if value.denominator() == 1 {
        value.numerator().to_string()
    } else {
        format!("{}/{}", value.numerator(), value.denominator())
    }
}
