//! What stands at the other end of the output: a terminal with a width and colours, or a file.

use std::io::IsTerminal;

use terminal_size::{Width, terminal_size_of};
use truing::report::Style;

use crate::arguments::ColorChoice;

/// A report is not drawn wider than this, however wide the terminal is: long lines read badly.
const WIDEST: usize = 100;

/// Without a terminal text is drawn as wide as this.
const USUAL: usize = 80;

/// How to draw text on standard output.
pub fn style_of_output(choice: ColorChoice) -> Style {
    let stdout = std::io::stdout();
    Style { color: color(choice, stdout.is_terminal()), width: width(terminal_size_of(&stdout)) }
}

/// How to draw text on standard error.
pub fn style_of_errors(choice: ColorChoice) -> Style {
    let stderr = std::io::stderr();
    Style { color: color(choice, stderr.is_terminal()), width: width(terminal_size_of(&stderr)) }
}

/// The terminal's width; without one, what the COLUMNS variable says.
fn width<H>(size: Option<(Width, H)>) -> usize {
    let columns = match size {
        Some((Width(columns), _)) => Some(usize::from(columns)),
        None => std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok()),
    };
    columns.unwrap_or(USUAL).min(WIDEST)
}

fn color(choice: ColorChoice, terminal: bool) -> bool {
    match choice {
        ColorChoice::Always => true,
        ColorChoice::Never => false,
        ColorChoice::Auto => terminal && !set("NO_COLOR") && !dumb(),
    }
}

/// Set and not empty, as the NO_COLOR convention has it.
fn set(variable: &str) -> bool {
    std::env::var_os(variable).is_some_and(|value| !value.is_empty())
}

fn dumb() -> bool {
    std::env::var_os("TERM").is_some_and(|value| value == "dumb")
}

#[cfg(test)]
mod tests {
    use super::{WIDEST, color, width};
    use crate::arguments::ColorChoice;
    use terminal_size::Width;

    #[test]
    fn a_wide_terminal_is_not_filled() {
        assert_eq!(width(Some((Width(300), ()))), WIDEST);
        assert_eq!(width(Some((Width(72), ()))), 72);
    }

    #[test]
    fn a_choice_goes_before_what_stands_at_the_other_end() {
        assert!(color(ColorChoice::Always, false));
        assert!(!color(ColorChoice::Never, true));
        assert!(!color(ColorChoice::Auto, false));
    }
}
