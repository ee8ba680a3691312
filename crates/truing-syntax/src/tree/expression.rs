//! Expressions: there is one kind of them, for numbers and for logic.

use super::{Figure, LimitExpr, Name};
use crate::span::{Span, Spanned};

/// An expression.
#[derive(Clone, Debug)]
pub struct Expr {
    /// What.
    pub kind: ExprKind,
    /// All of it.
    pub span: Span,
}

impl PartialEq for Expr {
    fn eq(&self, other: &Self) -> bool {
        self.kind == other.kind
    }
}

/// The forms of an expression.
#[derive(Clone, Debug, PartialEq)]
pub enum ExprKind {
    /// `12.4 V`, `10 %`, `2`
    Number(Figure),
    /// `battery_rest`, `ac_output[pair]`, `ac_output` (all of a family)
    Name(Path),
    /// `max(a, b)`, `refer(R, from: T, to: 20 degC, of: copper)`
    Call {
        /// Which function, or a curve's name.
        function: Name,
        /// Its arguments in order.
        arguments: Vec<Argument>,
    },
    /// `-x`, `not p`
    Unary {
        /// Which.
        operator: Spanned<UnaryOperator>,
        /// Of what.
        operand: Box<Expr>,
    },
    /// `a + b`, `a <= b`, `p and q`
    Binary {
        /// Which.
        operator: Spanned<BinaryOperator>,
        /// Left of it.
        left: Box<Expr>,
        /// Right of it.
        right: Box<Expr>,
    },
    /// `x within rest_voltage [at engine_speed]`, `x within 13.6 .. 14.8 V`
    Within {
        /// What is judged.
        subject: Box<Expr>,
        /// Against which limit.
        limit: WithinLimit,
        /// Where on the limit's curve.
        at: Option<Box<Expr>>,
    },
    /// `connector is clean`, `connector is not burnt`, `connector is any of (clean, discoloured)`
    Is {
        /// An observation or a property.
        subject: Path,
        /// The words.
        words: Vec<Name>,
        /// `is not`.
        negated: bool,
    },
    /// `battery_charged passes`
    Passes(Path),
    /// `battery_charged fails`
    Fails(Path),
    /// `any of insulated fails`, `all of (a passes, b passes)`: the family that stands without an
    /// index in each body runs over its members.
    Quantified {
        /// All or any.
        quantifier: Spanned<Quantifier>,
        /// Of these.
        bodies: Vec<Expr>,
    },
    /// `if p then a else b`
    If {
        /// The condition.
        condition: Box<Expr>,
        /// Where it holds.
        then: Box<Expr>,
        /// Where it does not.
        otherwise: Box<Expr>,
    },
    /// `(x)`, kept so that the formatter prints what was written.
    Parens(Box<Expr>),
}

/// A name with its index.
#[derive(Clone, Debug)]
pub struct Path {
    /// The name.
    pub name: Name,
    /// `[pair]`, `[U]`, `[U-V]`
    pub index: Option<Index>,
    /// All of it.
    pub span: Span,
}

impl PartialEq for Path {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name && self.index == other.index
    }
}

/// What stands between the brackets: a family's name (whichever member is meant), a member, a pair
/// of members, or a part of a pair.
#[derive(Clone, Debug, PartialEq)]
pub enum Index {
    /// `[pair]` or `[U]`
    One(Name),
    /// `[U-V]`
    Pair(Name, Name),
    /// `[pair.first]`, `[pair.second]`
    Part(Name, Name),
}

/// An argument with its label, if it has one.
#[derive(Clone, Debug, PartialEq)]
pub struct Argument {
    /// `from:`
    pub label: Option<Name>,
    /// Its value.
    pub value: Expr,
}

/// The limit of a `within`.
#[derive(Clone, Debug, PartialEq)]
pub enum WithinLimit {
    /// By name.
    Named(Name),
    /// Written here.
    Inline(Box<LimitExpr>),
}

/// Operators with one operand.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum UnaryOperator {
    /// `-`
    Negate,
    /// `not`
    Not,
}

/// Operators with two operands.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum BinaryOperator {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
    /// `^`, by a whole number
    Power,
    /// `<`
    Less,
    /// `<=`
    LessOrEqual,
    /// `>`
    Greater,
    /// `>=`
    GreaterOrEqual,
    /// `==`
    Equal,
    /// `!=`
    NotEqual,
    /// `and`
    And,
    /// `or`
    Or,
}

/// How many of a set.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Quantifier {
    /// `all of`
    All,
    /// `any of`
    Any,
}

crate::packed::packed! {
    struct Expr { kind, span }
    enum ExprKind {
        Number(a), Name(a), Call { function, arguments }, Unary { operator, operand },
        Binary { operator, left, right }, Within { subject, limit, at },
        Is { subject, words, negated }, Passes(a), Fails(a), Quantified { quantifier, bodies },
        If { condition, then, otherwise }, Parens(a)
    }
    struct Path { name, index, span }
    enum Index { One(a), Pair(a, b), Part(a, b) }
    struct Argument { label, value }
    enum WithinLimit { Named(a), Inline(a) }
    enum UnaryOperator { Negate, Not }
    enum BinaryOperator {
        Add, Subtract, Multiply, Divide, Power, Less, LessOrEqual, Greater, GreaterOrEqual, Equal,
        NotEqual, And, Or
    }
    enum Quantifier { All, Any }
}
