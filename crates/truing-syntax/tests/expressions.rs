//! Expressions: how operators group, and what each form means.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use truing_syntax::tree::{
    BinaryOperator as B, Expr, ExprKind, Index, Quantifier, UnaryOperator, WithinLimit,
};
use truing_syntax::{FileId, parse_expression};

/// The expression with every grouping shown.
fn grouped(text: &str) -> String {
    match parse_expression(FileId(0), text) {
        Ok(expression) => show(&expression),
        Err(findings) => panic!("{text}: {findings:#?}"),
    }
}

fn show(e: &Expr) -> String {
    let all = |list: &[Expr]| list.iter().map(show).collect::<Vec<_>>().join(", ");
    match &e.kind {
        ExprKind::Number(figure) => match &figure.unit {
            Some(unit) => format!("{}~{}", figure.number, unit.node),
            None => figure.number.to_string(),
        },
        ExprKind::Name(path) => match &path.index {
            None => path.name.node.to_string(),
            Some(Index::One(one)) => format!("{}[{}]", path.name.node, one.node),
            Some(Index::Pair(a, b)) => format!("{}[{}-{}]", path.name.node, a.node, b.node),
            Some(Index::Part(a, b)) => format!("{}[{}.{}]", path.name.node, a.node, b.node),
        },
        ExprKind::Call { function, arguments } => {
            let arguments: Vec<String> = arguments
                .iter()
                .map(|a| match &a.label {
                    Some(label) => format!("{}: {}", label.node, show(&a.value)),
                    None => show(&a.value),
                })
                .collect();
            format!("{}({})", function.node, arguments.join(", "))
        }
        ExprKind::Unary { operator, operand } => match operator.node {
            UnaryOperator::Negate => format!("(-{})", show(operand)),
            UnaryOperator::Not => format!("(not {})", show(operand)),
        },
        ExprKind::Binary { operator, left, right } => {
            let sign = match operator.node {
                B::Add => "+",
                B::Subtract => "-",
                B::Multiply => "*",
                B::Divide => "/",
                B::Power => "^",
                B::Less => "<",
                B::LessOrEqual => "<=",
                B::Greater => ">",
                B::GreaterOrEqual => ">=",
                B::Equal => "==",
                B::NotEqual => "!=",
                B::And => "and",
                B::Or => "or",
            };
            format!("({} {sign} {})", show(left), show(right))
        }
        ExprKind::Within { subject, limit, at } => {
            let limit = match limit {
                WithinLimit::Named(name) => name.node.to_string(),
                WithinLimit::Inline(limit) => format!("<{} conditions>", limit.conditions.len()),
            };
            let at = at.as_ref().map_or(String::new(), |at| format!(" at {}", show(at)));
            format!("({} within {limit}{at})", show(subject))
        }
        ExprKind::Is { subject, words, negated } => {
            let words: Vec<&str> = words.iter().map(|word| &*word.node).collect();
            let not = if *negated { "not " } else { "" };
            format!("({} is {not}{})", subject.name.node, words.join("|"))
        }
        ExprKind::Passes(path) => format!("({} passes)", path.name.node),
        ExprKind::Fails(path) => format!("({} fails)", path.name.node),
        ExprKind::Quantified { quantifier, bodies } => match quantifier.node {
            Quantifier::All => format!("(all {})", all(bodies)),
            Quantifier::Any => format!("(any {})", all(bodies)),
        },
        ExprKind::If { condition, then, otherwise } => {
            format!("(if {} then {} else {})", show(condition), show(then), show(otherwise))
        }
        ExprKind::Parens(inner) => format!("[{}]", show(inner)),
    }
}

#[test]
fn operators_bind_as_in_mathematics() {
    for (text, expected) in [
        ("1 + 2 * 3", "(1 + (2 * 3))"),
        ("1 - 2 - 3", "((1 - 2) - 3)"),
        ("1 / 2 * 3", "((1 / 2) * 3)"),
        ("-x ^ 2", "(-(x ^ 2))"),
        ("-x * y", "((-x) * y)"),
        ("2 ^ 3 ^ 2", "(2 ^ (3 ^ 2))"),
        ("2 ^ -1 * 3", "((2 ^ (-1)) * 3)"),
        ("a + b < c - d", "((a + b) < (c - d))"),
        ("a < b and c < d or e", "(((a < b) and (c < d)) or e)"),
        ("a or b and c", "(a or (b and c))"),
        ("not a < b and c", "((not (a < b)) and c)"),
        ("not not a", "(not (not a))"),
        ("- - a", "(-(-a))"),
        ("(a + b) * c", "([(a + b)] * c)"),
        ("a × b".replace('×', "*").as_str(), "(a * b)"),
        ("x − 1", "(x - 1)"),
    ] {
        assert_eq!(grouped(text), expected, "{text}");
    }
}

#[test]
fn what_stands_behind_its_subject_binds_like_a_comparison() {
    for (text, expected) in [
        ("a + b within lim", "((a + b) within lim)"),
        ("not a within lim", "(not (a within lim))"),
        ("a within lim and b passes", "((a within lim) and (b passes))"),
        (
            "a within lim at speed + 1 rpm or b fails",
            "((a within lim at (speed + 1~rpm)) or (b fails))",
        ),
        ("a within 13.6 .. 14.8 V", "(a within <0 conditions>)"),
        ("a within 13.6 .. 14.8 V at 20 degC", "(a within <1 conditions>)"),
        ("a within min 5 V at speed 1400 ± 100 rpm", "(a within <1 conditions>)"),
        ("a within by speed { 1 rpm : min 5 V } at speed", "(a within <0 conditions> at speed)"),
        ("a within nominal .. top", "(a within <0 conditions>)"),
        ("connector is clean", "(connector is clean)"),
        ("connector is not burnt", "(connector is not burnt)"),
        ("connector is any of (clean, worn)", "(connector is clean|worn)"),
        ("rotor is standard and b passes", "((rotor is standard) and (b passes))"),
    ] {
        assert_eq!(grouped(text), expected, "{text}");
    }
}

#[test]
fn a_quantifier_takes_one_comparison_or_a_list() {
    for (text, expected) in [
        ("any of a fails or any of b fails", "((any (a fails)) or (any (b fails)))"),
        ("all of (a passes, b passes) and c", "((all (a passes), (b passes)) and c)"),
        ("all of x[pair] < 3 V", "(all (x[pair] < 3~V))"),
        ("not any of a fails", "(not (any (a fails)))"),
    ] {
        assert_eq!(grouped(text), expected, "{text}");
    }
}

#[test]
fn choices_chain() {
    assert_eq!(
        grouped("if p then a else if q then b + 1 else c or d"),
        "(if p then a else (if q then (b + 1) else (c or d)))"
    );
    assert_eq!(grouped("1 + (if p then a else b)"), "(1 + [(if p then a else b)])");
}

#[test]
fn calls_and_indices() {
    for (text, expected) in [
        ("max(a) - min(a)", "(max(a) - min(a))"),
        (
            "refer(R, from: T, to: 20 degC, of: copper)",
            "refer(R, from: T, to: 20~degC, of: copper)",
        ),
        ("x[U-V] + x[pair.first] + x[1]", "((x[U-V] + x[pair.first]) + x[1])"),
        ("f()", "f()"),
        ("max (a, b)", "max(a, b)"),
    ] {
        assert_eq!(grouped(text), expected, "{text}");
    }
}

#[test]
fn a_slash_that_touches_letters_belongs_to_the_unit() {
    assert_eq!(grouped("12 V/krpm"), "12~V/krpm");
    assert_eq!(grouped("12 V / gain"), "(12~V / gain)");
    assert_eq!(grouped("12 V/2"), "(12~V / 2)");
    assert_eq!(grouped("3 m^2"), "3~m^2");
    assert_eq!(grouped("3^2"), "(3 ^ 2)");
}

#[test]
fn a_comparison_of_a_comparison_is_refused() {
    for text in [
        "a < b < c",
        "a == b == c",
        "a is b is c",
        "a < b passes",
        "not a < b < c",
        "a within b within c",
    ] {
        let findings = parse_expression(FileId(0), text).unwrap_err();
        assert_eq!(findings[0].slug().0, "chained-comparison", "{text}");
    }
    assert!(parse_expression(FileId(0), "(a < b) == (c < d)").is_ok());
}

#[test]
fn a_list_stands_only_behind_a_quantifier() {
    let findings = parse_expression(FileId(0), "1 + (a, b)").unwrap_err();
    assert!(findings[0].message().contains("any of"));
    let findings = parse_expression(FileId(0), "a + 1 passes").unwrap_err();
    assert!(findings[0].message().contains("name"));
}

#[test]
fn spans_end_with_what_was_written() {
    let text = "a   # one\n + b # two\n";
    let expression = parse_expression(FileId(0), text).unwrap();
    let ExprKind::Binary { left, right, .. } = &expression.kind else { panic!() };
    assert_eq!((left.span.start, left.span.end), (0, 1));
    assert_eq!((right.span.start, right.span.end), (13, 14));
    assert_eq!((expression.span.start, expression.span.end), (0, 14));
}
