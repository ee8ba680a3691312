//! Ranges of values, wide rather than narrow.

use truing_model::Interval;

/// From `low` to `high`; an open end is not a value itself.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Range {
    pub low: f64,
    pub high: f64,
    pub low_open: bool,
    pub high_open: bool,
}

impl Range {
    pub const ALL: Range =
        Range { low: f64::NEG_INFINITY, high: f64::INFINITY, low_open: true, high_open: true };

    pub fn closed(low: f64, high: f64) -> Range {
        if low.is_nan() || high.is_nan() {
            return Range::ALL;
        }
        Range { low, high, low_open: low.is_infinite(), high_open: high.is_infinite() }
    }

    pub fn point(value: f64) -> Range {
        Range::closed(value, value)
    }

    pub fn of(interval: &Interval) -> Range {
        let mut range = Range::ALL;
        if let Some(low) = &interval.low {
            (range.low, range.low_open) = (low.value, low.open);
        }
        if let Some(high) = &interval.high {
            (range.high, range.high_open) = (high.value, high.open);
        }
        range
    }

    pub fn is_within(self, outer: Range) -> bool {
        let low =
            self.low > outer.low || (self.low == outer.low && (!outer.low_open || self.low_open));
        let high = self.high < outer.high
            || (self.high == outer.high && (!outer.high_open || self.high_open));
        low && high
    }

    pub fn meets(self, other: Range) -> bool {
        !before(self, other) && !before(other, self)
    }

    pub fn union(self, other: Range) -> Range {
        let (low, low_open) = match self.low.total_cmp(&other.low) {
            std::cmp::Ordering::Less => (self.low, self.low_open),
            std::cmp::Ordering::Equal => (self.low, self.low_open && other.low_open),
            std::cmp::Ordering::Greater => (other.low, other.low_open),
        };
        let (high, high_open) = match self.high.total_cmp(&other.high) {
            std::cmp::Ordering::Greater => (self.high, self.high_open),
            std::cmp::Ordering::Equal => (self.high, self.high_open && other.high_open),
            std::cmp::Ordering::Less => (other.high, other.high_open),
        };
        Range { low, high, low_open, high_open }
    }

    pub fn intersection(self, other: Range) -> Range {
        let (low, low_open) = match self.low.total_cmp(&other.low) {
            std::cmp::Ordering::Greater => (self.low, self.low_open),
            std::cmp::Ordering::Equal => (self.low, self.low_open || other.low_open),
            std::cmp::Ordering::Less => (other.low, other.low_open),
        };
        let (high, high_open) = match self.high.total_cmp(&other.high) {
            std::cmp::Ordering::Less => (self.high, self.high_open),
            std::cmp::Ordering::Equal => (self.high, self.high_open || other.high_open),
            std::cmp::Ordering::Greater => (other.high, other.high_open),
        };
        Range { low, high, low_open, high_open }
    }

    pub fn is_empty(self) -> bool {
        self.low > self.high || (self.low == self.high && (self.low_open || self.high_open))
    }

    /// The hull of what the operation makes of the four corners.
    pub fn corners(self, other: Range, operation: impl Fn(f64, f64) -> f64) -> Range {
        let mut low = f64::INFINITY;
        let mut high = f64::NEG_INFINITY;
        for a in [self.low, self.high] {
            for b in [other.low, other.high] {
                let value = operation(a, b);
                if value.is_nan() {
                    return Range::ALL;
                }
                low = low.min(value);
                high = high.max(value);
            }
        }
        Range::closed(low, high)
    }
}

/// Whether all of `left` lies below all of `right`.
pub(super) fn before(left: Range, right: Range) -> bool {
    left.high < right.low || (left.high == right.low && (left.high_open || right.low_open))
}
