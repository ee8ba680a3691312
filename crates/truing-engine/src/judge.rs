//! One check, step by step. The order of the steps is that of the language reference, see
//! [`crate::reference`].

use truing_model::{DecideRule, Outcome, Relation, Side};

use crate::arithmetic::{Arithmetic, Cause, Ends, Lack, Mode, Stand, Truth};
use crate::decide::{Aim, Asked};
use crate::finding::{NoNumber, Spanned};
use crate::fitness::Unfit;
use crate::flat::FlatReading;
use crate::plan::one_sided;
use crate::program::{FlatCheck, FlatCheckRule, FlatRule, NumberOp, Root, Stretch};
use crate::run::{Position, Runner, both, compare, position};
use crate::sheet::place;
use crate::stand::{Resolved, Stood};

/// What decided, without the lists that a finding has of it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) enum Why {
    /// How the value stands to the limit.
    Stands(Stand),
    /// A logical rule came out so.
    Rule(Truth),
    /// This slot is doubted.
    Doubted(u32),
    /// The meter of this slot is not fit for its reading.
    Unfit(u32, Unfit),
    /// `when` is not met, or not known to be.
    When {
        unmet: bool,
    },
    /// `applies` is unknown, or the rule for another reason than a reading.
    Applies(Cause),
    /// This condition of the limit is not met, or not known to be.
    Condition {
        condition: u32,
        unmet: bool,
    },
    /// A reading is missing.
    Missing,
    /// `applies` is false, or no arm of the limit is about this machine.
    NotThisVariant,
    NotSpecified,
    Property(u32),
    Curve(u32),
    NoNumber(NoNumber),
    /// The rule depends on what another check leaves open.
    Blocked,
}

/// What comes of a check.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Judged<N> {
    /// `None` where the doubles cannot tell.
    pub outcome: Option<Outcome>,
    pub why: Why,
    pub stood: Option<Stood<N>>,
    /// The arm of its limit that is about this machine.
    pub resolved: Option<Resolved>,
    /// Its errors were carried along; else it goes by all that is possible.
    pub linear: bool,
}

impl<N> Judged<N> {
    const fn new(outcome: Outcome, why: Why) -> Self {
        Self { outcome: Some(outcome), why, stood: None, resolved: None, linear: false }
    }

    const fn unclear() -> Self {
        Self { outcome: None, why: Why::Blocked, stood: None, resolved: None, linear: false }
    }
}

/// What a rule by itself comes to.
enum Ruled<N> {
    Stood(Stood<N>),
    Truth(Truth),
    Lack(Lack),
}

/// How far readings are widened under a rule.
pub(crate) const fn mode(rule: DecideRule) -> Mode {
    match rule {
        DecideRule::Simple => Mode::Simple,
        DecideRule::Guarded { k } => Mode::Guarded(k),
        DecideRule::At { .. } => Mode::Full,
    }
}

impl<A: Arithmetic> Runner<'_, A> {
    /// What comes of a check under a decision rule.
    pub fn judge(&mut self, check: &FlatCheck, rule: DecideRule) -> Judged<A::Number> {
        if let Some((id, root)) = check.applies
            && let Some(judged) = self.applies(id, root)
        {
            return judged;
        }
        let resolved = match self.arm(check) {
            Ok(resolved) => resolved,
            Err(judged) => return judged,
        };
        let linear = Asked::of(rule).filter(|_| self.is_linear(check));
        let mut ruled = match linear {
            Some(asked) => self.rule(check, resolved, Mode::Linear(asked)),
            None => Ruled::Lack(Lack::Rough),
        };
        let rough =
            matches!(ruled, Ruled::Lack(Lack::Rough) | Ruled::Truth(Truth::Unknown(Cause::Rough)));
        if rough {
            ruled = self.rule(check, resolved, mode(rule));
        }
        match ruled {
            Ruled::Lack(Lack::Unclear) | Ruled::Truth(Truth::Unclear) => return Judged::unclear(),
            Ruled::Lack(Lack::Missing) | Ruled::Truth(Truth::Unknown(Cause::NotTaken)) => {
                return Judged { resolved, ..Judged::new(Outcome::NotTaken, Why::Missing) };
            }
            _ => {}
        }
        let mut judged = self.blocked(check, &ruled, rule).unwrap_or_else(|| came_out(ruled));
        judged.resolved = resolved;
        judged.linear = !rough;
        judged
    }

    /// Whether the errors of what a check reads can be carried along.
    pub fn is_linear(&self, check: &FlatCheck) -> bool {
        let equality = matches!(
            check.rule,
            FlatCheckRule::Compare { relation: Relation::Equal | Relation::NotEqual, .. }
        );
        let slots = check.root.slots.of(&self.program.slots);
        !check.root.rough && !equality && slots.iter().all(|slot| self.is_single(*slot))
    }

    /// Whether a slot has a single figure or a word, or was not read.
    pub fn is_single(&self, slot: u32) -> bool {
        let flat = self.sheet.flat(slot);
        !flat.has(FlatReading::TAKEN) || flat.has(FlatReading::POINT | FlatReading::WORD)
    }

    fn applies(&mut self, id: u32, root: Root) -> Option<Judged<A::Number>> {
        if let Some(slot) = self.doubted(root.slots) {
            return Some(Judged::new(Outcome::Blocked, Why::Doubted(slot)));
        }
        self.run(root, Mode::Simple);
        match self.truth(id) {
            Truth::True => None,
            Truth::False => Some(Judged::new(Outcome::NotApplicable, Why::NotThisVariant)),
            Truth::Unclear => Some(Judged::unclear()),
            Truth::Unknown(cause) => Some(Judged::new(Outcome::Blocked, Why::Applies(cause))),
        }
    }

    /// The arm of the check's limit, where it has a limit.
    fn arm(&mut self, check: &FlatCheck) -> Result<Option<Resolved>, Judged<A::Number>> {
        let FlatCheckRule::Within { limit, .. } = check.rule else { return Ok(None) };
        let Some(limit) = self.program.limits.get(place(limit)).copied() else {
            return Err(Judged::new(Outcome::Blocked, Why::Blocked));
        };
        self.run(check.arms, Mode::Simple);
        match self.resolve(limit.rule) {
            Ok(Resolved { rule: None, .. }) => {
                Err(Judged::new(Outcome::NotApplicable, Why::NotThisVariant))
            }
            Ok(resolved @ Resolved { rule: Some(FlatRule::NotSpecified), .. }) => {
                let judged = Judged::new(Outcome::NotApplicable, Why::NotSpecified);
                Err(Judged { resolved: Some(resolved), ..judged })
            }
            Ok(resolved) => Ok(Some(resolved)),
            Err(Lack::Unclear) => Err(Judged::unclear()),
            Err(Lack::Property(property)) => {
                Err(Judged::new(Outcome::Blocked, Why::Property(property)))
            }
            Err(_) => Err(Judged::new(Outcome::Blocked, Why::Blocked)),
        }
    }

    fn rule(
        &mut self,
        check: &FlatCheck,
        resolved: Option<Resolved>,
        mode: Mode,
    ) -> Ruled<A::Number> {
        self.run(check.root, mode);
        let stood = match check.rule {
            FlatCheckRule::Logic(logic) => return Ruled::Truth(self.truth(logic)),
            FlatCheckRule::Within { subject, limit, at } => match resolved {
                Some(resolved) => self.stand(resolved, limit, subject, at, mode, check.root),
                None => Err(Lack::Blocked),
            },
            FlatCheckRule::Against { subject, side, edge } => {
                let standard = self.ends(&one_sided(side, edge));
                self.number(subject).and_then(|value| {
                    let aim = Aim { subject, value, standard, service: None, curve: None };
                    self.hold(&aim, mode, check.root)
                })
            }
            FlatCheckRule::Compare { subject, relation, against } => {
                match both(self.number(subject), self.number(against)) {
                    Ok((value, limit)) => {
                        let truth = match mode {
                            Mode::Linear(asked) => self.compare_by(
                                relation,
                                (subject, value),
                                (against, limit),
                                asked,
                                check.root,
                            ),
                            _ => compare::<A>(relation, value, limit),
                        };
                        compared(relation, value, limit, truth)
                    }
                    Err(lack) => Err(lack),
                }
            }
        };
        match stood {
            Ok(stood) => Ruled::Stood(stood),
            Err(lack) => Ruled::Lack(lack),
        }
    }

    /// Whatever keeps the check from being judged, though its readings are there.
    fn blocked(
        &mut self,
        check: &FlatCheck,
        ruled: &Ruled<A::Number>,
        rule: DecideRule,
    ) -> Option<Judged<A::Number>> {
        if let Some(slot) = self.doubted(check.doubtable) {
            return Some(Judged::new(Outcome::Blocked, Why::Doubted(slot)));
        }
        if let Some((slot, unfit)) = self.unfit_for(check, ruled, rule) {
            return Some(Judged::new(Outcome::Blocked, Why::Unfit(slot, unfit)));
        }
        if let Some((id, root)) = check.when {
            self.run(root, Mode::Simple);
            match self.truth(id) {
                Truth::True => {}
                Truth::Unclear => return Some(Judged::unclear()),
                truth => {
                    let unmet = truth == Truth::False;
                    return Some(Judged::new(Outcome::Blocked, Why::When { unmet }));
                }
            }
        }
        self.condition(check)
    }

    fn condition(&mut self, check: &FlatCheck) -> Option<Judged<A::Number>> {
        let FlatCheckRule::Within { limit, .. } = check.rule else { return None };
        let conditions = self.program.limits.get(place(limit))?.conditions;
        let conditions = conditions.of(&self.program.conditions);
        if conditions.is_empty() {
            return None;
        }
        self.run(check.conditions, Mode::Simple);
        for (flat, condition) in conditions.iter().zip(0_u32..) {
            let unmet = match self.number(flat.subject) {
                Err(Lack::Unclear) => return Some(Judged::unclear()),
                Err(_) => false,
                Ok(value) => match position::<A>(value, &self.ends(&flat.band)) {
                    Position::Inside => continue,
                    Position::Unclear => return Some(Judged::unclear()),
                    Position::Below | Position::Above => true,
                    _ => false,
                },
            };
            let why = Why::Condition { condition, unmet };
            return Some(Judged::new(Outcome::Blocked, why));
        }
        None
    }

    /// The first of these slots whose reading is doubted.
    fn doubted(&self, slots: Stretch) -> Option<u32> {
        let mut slots = slots.of(&self.program.slots).iter().copied();
        slots.find(|slot| {
            let flat = self.sheet.flat(*slot);
            flat.has(FlatReading::DOUBTED)
                || flat.has(FlatReading::BANDED)
                    && self.unfit(*slot).is_some_and(|unfit| !unfit.is_of_doubt_only())
        })
    }

    /// A meter that is not fit for what a check asks of it: where the decision rule goes by the
    /// uncertainty and that is not known, or where a diode function does not reach its limit.
    fn unfit_for(
        &self,
        check: &FlatCheck,
        ruled: &Ruled<A::Number>,
        rule: DecideRule,
    ) -> Option<(u32, Unfit)> {
        if rule != DecideRule::Simple {
            let slots = check.root.slots.of(&self.program.slots).iter();
            let mut metered = slots.filter(|slot| {
                self.sheet.flat(**slot).has(FlatReading::UNFIT_FOR_DOUBT | FlatReading::BANDED)
            });
            if let Some(found) = metered.find_map(|slot| Some((*slot, self.unfit(*slot)?))) {
                return Some(found);
            }
        }
        let (Ruled::Stood(stood), Some(NumberOp::Slot(slot))) =
            (ruled, self.program.numbers.get(place(check.rule.subject()?)))
        else {
            return None;
        };
        let test = self.sheet.test_voltage(*slot)?;
        let ends = [stood.standard, stood.service];
        let highs = ends.iter().flatten().filter_map(|ends| A::nearest(ends.high?.0));
        let needed = highs.reduce(f64::max).filter(|needed| *needed >= test)?;
        Some((*slot, Unfit::TestVoltage { test, needed }))
    }
}

/// The outcome of a rule that nothing blocks.
fn came_out<N>(ruled: Ruled<N>) -> Judged<N> {
    match ruled {
        Ruled::Stood(stood) => {
            let outcome = match stood.stand {
                Stand::Within => Outcome::Within,
                Stand::Worn => Outcome::Worn,
                Stand::Outside(side) => Outcome::Outside(side),
                Stand::Spans { .. } => Outcome::Undecided,
                Stand::NotSpecified | Stand::NotThisVariant => Outcome::NotApplicable,
            };
            let why = Why::Stands(stood.stand);
            Judged {
                outcome: Some(outcome),
                why,
                stood: Some(stood),
                resolved: None,
                linear: false,
            }
        }
        Ruled::Truth(truth) => {
            let outcome = match truth {
                Truth::True => Outcome::Within,
                Truth::False => Outcome::Outside(None),
                Truth::Unknown(Cause::NotTaken) => Outcome::NotTaken,
                Truth::Unknown(Cause::Undecided) => Outcome::Undecided,
                Truth::Unknown(Cause::Property(property)) => {
                    return Judged::new(Outcome::Blocked, Why::Property(property));
                }
                Truth::Unknown(Cause::Blocked | Cause::Rough) | Truth::Unclear => Outcome::Blocked,
            };
            Judged::new(outcome, Why::Rule(truth))
        }
        Ruled::Lack(lack) => match lack {
            Lack::NoNumber(cause) => Judged::new(Outcome::Undecided, Why::NoNumber(cause)),
            Lack::Curve(limit) => Judged::new(Outcome::Undecided, Why::Curve(limit)),
            Lack::Property(property) => Judged::new(Outcome::Blocked, Why::Property(property)),
            Lack::Blocked | Lack::Unclear | Lack::Rough => {
                Judged::new(Outcome::Blocked, Why::Blocked)
            }
            Lack::Missing => Judged::new(Outcome::NotTaken, Why::Missing),
        },
    }
}

/// Two quantities against each other.
fn compared<N: Copy>(
    relation: Relation,
    value: N,
    against: N,
    truth: Truth,
) -> Result<Stood<N>, Lack> {
    let side = match relation {
        Relation::Less | Relation::LessOrEqual => Some(Side::High),
        Relation::Greater | Relation::GreaterOrEqual => Some(Side::Low),
        Relation::Equal | Relation::NotEqual => None,
    };
    let stand = match truth {
        Truth::True => Stand::Within,
        Truth::False => Stand::Outside(side),
        Truth::Unclear => return Err(Lack::Unclear),
        Truth::Unknown(Cause::Rough) => return Err(Lack::Rough),
        Truth::Unknown(_) => {
            Stand::Spans { ends: side.map_or(Spanned::Both, Spanned::from), passes: false }
        }
    };
    let open = matches!(relation, Relation::Less | Relation::Greater);
    let end = Some((against, open));
    let ends = match (relation, side) {
        (Relation::Equal, _) => Some(Ends { low: end, high: end }),
        (_, Some(Side::Low)) => Some(Ends { low: end, high: None }),
        (_, Some(Side::High)) => Some(Ends { low: None, high: end }),
        (_, None) => None,
    };
    Ok(Stood {
        stand,
        value: Some(value),
        standard: ends,
        service: None,
        at: None,
        conformance: None,
        point: None,
    })
}
