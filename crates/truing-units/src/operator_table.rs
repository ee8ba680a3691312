//! The algebra as a table: every operator on every pair of classes, and what comes of it.

use std::fmt;

use crate::{Catalogue, Kind, Nature, Operator, Refusal, Ty, combine};

/// How a type behaves in the algebra.
#[derive(Copy, Clone, Eq, PartialEq, Ord, PartialOrd, Hash, Debug)]
pub enum Class {
    /// A point of a scale: a temperature, a gauge pressure.
    Point,
    /// The difference of two points of that scale.
    Difference,
    /// An amount of some kind.
    Amount,
    /// A result with a dimension and no kind.
    Plain,
    /// A plain number.
    Number,
}

impl Class {
    /// Every class, in the order of the table.
    pub const ALL: [Class; 5] =
        [Class::Point, Class::Difference, Class::Amount, Class::Plain, Class::Number];

    /// The class of a type.
    pub fn of(ty: Ty, catalogue: &Catalogue) -> Class {
        match ty {
            Ty::RATIO | Ty::Kind(Kind::RATIO) => Class::Number,
            Ty::Plain(_) => Class::Plain,
            Ty::Kind(kind) => match catalogue.kind(kind).nature {
                Nature::Point { .. } => Class::Point,
                Nature::Difference { .. } => Class::Difference,
                Nature::Amount => Class::Amount,
            },
        }
    }

    /// A type of the class; all but the number share the dimension of pressure, so that only the
    /// classes decide.
    fn example(self, catalogue: &Catalogue) -> Ty {
        match self {
            Class::Point => Ty::Kind(Kind::GAUGE_PRESSURE),
            Class::Difference => Ty::Kind(Kind::PRESSURE),
            Class::Amount => Ty::Kind(Kind::STRESS),
            Class::Plain => Ty::Plain(Ty::Kind(Kind::PRESSURE).dimension(catalogue)),
            Class::Number => Ty::RATIO,
        }
    }
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Class::Point => "point",
            Class::Difference => "difference",
            Class::Amount => "amount",
            Class::Plain => "plain",
            Class::Number => "number",
        })
    }
}

/// One cell of the table.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// The operator.
    pub operator: Operator,
    /// The left-hand class.
    pub left: Class,
    /// The right-hand class; the left one again for an operator of one operand.
    pub right: Class,
    /// The class of the result, or why there is none.
    pub outcome: Result<Class, Refusal>,
}

impl fmt::Display for Row {
    /// `point - point = difference`, `point + point: two points cannot be added`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.operator {
            Operator::Power(exponent) => write!(f, "{} ^ {exponent}", self.left)?,
            Operator::Negate => write!(f, "- {}", self.left)?,
            _ => write!(f, "{} {} {}", self.left, self.operator.sign(), self.right)?,
        }
        match &self.outcome {
            Ok(class) => write!(f, " = {class}"),
            Err(refusal) => write!(f, ": {}", refusal.rule()),
        }
    }
}

/// Every operator on every pair of classes of one scale, and what comes of it.
pub fn operator_table() -> Vec<Row> {
    let catalogue = Catalogue::standard();
    let mut rows = Vec::new();
    let mut cell = |operator, left: Class, right: Class| {
        let result =
            combine(&catalogue, operator, left.example(&catalogue), right.example(&catalogue));
        let outcome = result.map(|ty| Class::of(ty, &catalogue));
        rows.push(Row { operator, left, right, outcome });
    };
    for operator in [Operator::Add, Operator::Subtract, Operator::Multiply, Operator::Divide] {
        for left in Class::ALL {
            for right in Class::ALL {
                cell(operator, left, right);
            }
        }
    }
    for operator in [Operator::Power(2), Operator::Negate] {
        for class in Class::ALL {
            cell(operator, class, class);
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table as it is meant to be: the rows and columns are point, difference, amount (of another
    /// kind with the same dimension), plain, number. `x` means nothing.
    const MEANT: [(&str, [&str; 5]); 6] = [
        ("+", ["x p x p x", "p d x d x", "x x a a x", "p d a l x", "x x x x n"]),
        ("-", ["d p x p x", "x d x d x", "x x a a x", "x d a l x", "x x x x n"]),
        ("*", ["x x x x x", "x l l l d", "x l l l a", "x l l l l", "x d a l n"]),
        ("/", ["x x x x x", "x n n n d", "x n n n a", "x n n n l", "x l l l n"]),
        ("^", ["x", "l", "l", "l", "n"]),
        ("- ", ["x", "d", "a", "l", "n"]),
    ];

    fn letter(row: &Row) -> &'static str {
        match row.outcome {
            Ok(Class::Point) => "p",
            Ok(Class::Difference) => "d",
            Ok(Class::Amount) => "a",
            Ok(Class::Plain) => "l",
            Ok(Class::Number) => "n",
            Err(_) => "x",
        }
    }

    #[test]
    fn every_cell_is_as_meant() {
        let table = operator_table();
        let mut cells = table.iter();
        for (operator, lines) in MEANT {
            for (left, line) in Class::ALL.iter().zip(lines) {
                for (right, meant) in Class::ALL.iter().zip(line.split(' ')) {
                    let row = cells.next().unwrap();
                    assert_eq!(row.operator.sign(), operator.trim(), "{row}");
                    let right = if line.len() == 1 { left } else { right };
                    assert_eq!((row.left, row.right), (*left, *right), "{row}");
                    assert_eq!(letter(row), meant, "{row}");
                }
            }
        }
        assert!(cells.next().is_none());
    }

    #[test]
    fn rows_read_as_sentences() {
        let lines: Vec<_> = operator_table().iter().map(Row::to_string).collect();
        assert_eq!(lines[0], "point + point: two points of a scale cannot be added");
        assert_eq!(lines[25], "point - point = difference");
        assert!(lines.contains(&"- point: a point of a scale cannot be scaled".to_owned()));
        assert!(lines.contains(&"amount * number = amount".to_owned()));
    }

    /// The classes decide, whichever scale or kind it is: the table holds for every one of them.
    #[test]
    fn all_scales_follow_the_table() {
        let catalogue = Catalogue::standard();
        for (point, def) in catalogue.kinds() {
            let Nature::Point { difference } = def.nature else { continue };
            let example = |class| match class {
                Class::Point => Some(Ty::Kind(point)),
                Class::Difference => Some(Ty::Kind(difference)),
                Class::Number => Some(Ty::RATIO),
                Class::Amount | Class::Plain => None,
            };
            for row in operator_table() {
                let Some((left, right)) = example(row.left).zip(example(row.right)) else {
                    continue;
                };
                let got = combine(&catalogue, row.operator, left, right);
                assert_eq!(got.is_ok(), row.outcome.is_ok(), "{} {row}", def.name);
            }
        }
    }
}
