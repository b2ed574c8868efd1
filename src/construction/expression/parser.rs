//! Tokens to a tree, by recursive descent: sums of products of signed values.

use super::lexer::{Token, tokens};
use super::{DEEPEST, Expr, ExpressionError, Operator};

/// Reads one expression.
///
/// # Errors
/// When the text is not one whole expression; the error names the byte offset.
pub fn parse(text: &str) -> Result<Expr, ExpressionError> {
    let tokens = tokens(text)?;
    let mut reader = Reader {
        tokens: &tokens,
        next: 0,
        end: text.len(),
        depth: 0,
    };
    let expr = reader.sum()?;
    reader.finish()?;
    Ok(expr)
}

/// Reads `name = expression`.
///
/// # Errors
/// As [`parse`], and when the left side is not a single name.
pub fn parse_relation(text: &str) -> Result<(String, Expr), ExpressionError> {
    let tokens = tokens(text)?;
    let (name, next) = match tokens.as_slice() {
        [(Token::Name(name), _), (Token::Equals, _), ..] => (name.clone(), 2),
        _ => {
            return Err(ExpressionError {
                at: 0,
                message: "a relation is written `size = arithmetic on other sizes`, \
                          such as `bottom.across = interior.width + 2 * groove.depth`"
                    .to_owned(),
            });
        }
    };
    let mut reader = Reader {
        tokens: &tokens,
        next,
        end: text.len(),
        depth: 0,
    };
    let expr = reader.sum()?;
    reader.finish()?;
    Ok((name, expr))
}

struct Reader<'a> {
    tokens: &'a [(Token, usize)],
    next: usize,
    end: usize,
    depth: usize,
}

impl Reader<'_> {
    fn peek(&self) -> Option<&Token> {
        self.tokens.get(self.next).map(|(token, _)| token)
    }

    fn at(&self) -> usize {
        self.tokens.get(self.next).map_or(self.end, |(_, at)| *at)
    }

    fn error<T>(&self, message: impl Into<String>) -> Result<T, ExpressionError> {
        Err(ExpressionError {
            at: self.at(),
            message: message.into(),
        })
    }

    fn finish(&self) -> Result<(), ExpressionError> {
        match self.peek() {
            None => Ok(()),
            Some(Token::Close) => self.error("this `)` was never opened"),
            Some(Token::Equals) => self.error("only one `=` can stand here, behind the first name"),
            Some(_) => self.error("a sign such as `+` or `*` is missing here"),
        }
    }

    fn sum(&mut self) -> Result<Expr, ExpressionError> {
        let mut left = self.product()?;
        while let Some(Token::Operator(operator @ (Operator::Plus | Operator::Minus))) =
            self.peek().cloned()
        {
            let at = self.at();
            self.next += 1;
            let right = self.product()?;
            left = binary(operator, left, right, at);
        }
        Ok(left)
    }

    fn product(&mut self) -> Result<Expr, ExpressionError> {
        let mut left = self.signed()?;
        while let Some(Token::Operator(operator @ (Operator::Times | Operator::Over))) =
            self.peek().cloned()
        {
            let at = self.at();
            self.next += 1;
            let right = self.signed()?;
            left = binary(operator, left, right, at);
        }
        Ok(left)
    }

    fn signed(&mut self) -> Result<Expr, ExpressionError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return self.error(format!("nested more than {DEEPEST} deep"));
        }
        let at = self.at();
        let expr = match self.peek().cloned() {
            Some(Token::Operator(Operator::Minus)) => {
                self.next += 1;
                Expr::Negative {
                    inner: Box::new(self.signed()?),
                    at,
                }
            }
            Some(Token::Operator(Operator::Plus)) => {
                self.next += 1;
                self.signed()?
            }
            Some(Token::Open) => {
                self.next += 1;
                let inner = self.sum()?;
                if self.peek() != Some(&Token::Close) {
                    return self.error("a `)` is missing here");
                }
                self.next += 1;
                inner
            }
            Some(Token::Number { value, unit, text }) => {
                self.next += 1;
                Expr::Number {
                    value,
                    unit,
                    text,
                    at,
                }
            }
            Some(Token::Name(name)) => {
                self.next += 1;
                Expr::Name { name, at }
            }
            _ => return self.error("a number or the name of a size is missing here"),
        };
        self.depth -= 1;
        Ok(expr)
    }
}

fn binary(operator: Operator, left: Expr, right: Expr, at: usize) -> Expr {
    Expr::Binary {
        operator,
        left: Box::new(left),
        right: Box::new(right),
        at,
    }
}
