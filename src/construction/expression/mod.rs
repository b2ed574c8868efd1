//! The small language of relations: ordinary arithmetic on named sizes.
//!
//! `interior.width + 2 * groove.depth`, `(opening.width + 2 * overlay - gap) / 2`.
//! Numbers are whole, decimal (`18.5`), fractions (`1/4`) or mixed (`34 1/2`), each
//! with or without a unit (`34 1/2 in`, `18mm`). A number without a unit is a
//! plain factor; added to a length it is a length in the job's unit.

mod lexer;
mod parser;
mod value;
mod worked;

pub use parser::{parse, parse_relation};
pub use value::{Failure, Value, evaluate};
pub(crate) use worked::spoken;
pub use worked::{Worked, work_out};

use super::number::Ratio;
use crate::length::Unit;

/// Longest expression read, in tokens: bounds depth of the tree and of every
/// walk over it.
pub const MOST_TOKENS: usize = 400;
/// Deepest nesting of parentheses and signs.
pub const DEEPEST: usize = 40;

#[derive(Clone, Debug, PartialEq)]
pub enum Expr {
    Number {
        value: Ratio,
        unit: Option<Unit>,
        /// As written, with the unit.
        text: String,
        at: usize,
    },
    Name {
        name: String,
        /// Byte offset in the expression.
        at: usize,
    },
    Negative {
        inner: Box<Expr>,
        at: usize,
    },
    Binary {
        operator: Operator,
        left: Box<Expr>,
        right: Box<Expr>,
        at: usize,
    },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operator {
    Plus,
    Minus,
    Times,
    Over,
}

impl Operator {
    pub const fn sign(self) -> &'static str {
        match self {
            Operator::Plus => "+",
            Operator::Minus => "\u{2212}",
            Operator::Times => "\u{d7}",
            Operator::Over => "/",
        }
    }

    const fn strength(self) -> u8 {
        match self {
            Operator::Plus | Operator::Minus => 1,
            Operator::Times | Operator::Over => 2,
        }
    }
}

/// An expression that cannot be read or worked out, and where in its text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct ExpressionError {
    /// Byte offset in the expression.
    pub at: usize,
    pub message: String,
}

impl Expr {
    pub const fn at(&self) -> usize {
        match self {
            Expr::Number { at, .. }
            | Expr::Name { at, .. }
            | Expr::Negative { at, .. }
            | Expr::Binary { at, .. } => *at,
        }
    }

    /// Every name used, in order of appearance, repeats left out.
    pub fn names(&self) -> Vec<(&str, usize)> {
        let mut names: Vec<(&str, usize)> = Vec::new();
        self.visit(&mut |expr| {
            if let Expr::Name { name, at } = expr
                && !names.iter().any(|(known, _)| known == name)
            {
                names.push((name, *at));
            }
        });
        names
    }

    fn visit<'a>(&'a self, look: &mut impl FnMut(&'a Expr)) {
        look(self);
        match self {
            Expr::Number { .. } | Expr::Name { .. } => {}
            Expr::Negative { inner, .. } => inner.visit(look),
            Expr::Binary { left, right, .. } => {
                left.visit(look);
                right.visit(look);
            }
        }
    }
}

#[cfg(test)]
mod tests;
