//! Every item and every line of every body, each read into its place in the tree.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use truing_syntax::tree::*;
use truing_syntax::{FileId, parse_strict};

fn item(text: &str) -> ItemKind {
    let tree = parse_strict(FileId(0), text).unwrap_or_else(|why| panic!("{text}: {why:#?}"));
    assert_eq!(tree.items.len(), 1, "{text}");
    tree.items.into_iter().next().unwrap().kind
}

macro_rules! read {
    ($kind:ident, $text:expr) => {
        match item($text) {
            ItemKind::$kind(read) => read,
            other => panic!("{other:?}"),
        }
    };
}

#[test]
fn a_spec_says_what_it_is_for() {
    let spec = read!(
        Spec,
        "spec a \"A\" { edition \"1\" machine \"L\" \"M\" 2019 .. 2024 machine \"L\" \"N\" 2019 .. machine \"L\" \"O\" .. 2024 machine \"L\" \"P\" 2020 machine \"L\" \"Q\" decide at 95 % }"
    );
    let years: Vec<_> = spec
        .members
        .iter()
        .filter_map(|member| match member {
            SpecMember::Machine { years, .. } => {
                Some(years.clone().map(|(a, b)| (a.map(|y| y.node), b.map(|y| y.node))))
            }
            _ => None,
        })
        .collect();
    assert_eq!(
        years,
        [
            Some((Some(2019), Some(2024))),
            Some((Some(2019), None)),
            Some((None, Some(2024))),
            Some((Some(2020), Some(2020))),
            None
        ]
    );
    assert!(
        matches!(&spec.members[6], SpecMember::Decide(d) if matches!(d.node, DecideRule::At(_)))
    );
    let decide = |rule: &str| {
        let spec = read!(Spec, &format!("spec a \"A\" {{ decide {rule} }}"));
        let SpecMember::Decide(decide) = &spec.members[0] else { panic!("{rule}") };
        decide.node.clone()
    };
    assert!(matches!(decide("guarded 2"), DecideRule::Guarded(_)));
    assert_eq!(decide("simple"), DecideRule::Simple);
}

#[test]
fn files_sources_families_properties() {
    assert_eq!(&*read!(Library, "library a \"A \\\"b\\\" \\\\ \\n\"").title.node, "A \"b\" \\ \n");
    assert_eq!(&*read!(Source, "source sheet \"S\"").name.node, "sheet");
    assert_eq!(&*read!(Use, "use \"std/pm-charging\"").path.node, "std/pm-charging");
    assert!(
        matches!(read!(Family, "family f = U, V, W").members, FamilyMembers::Listed(m) if m.len() == 3)
    );
    assert!(matches!(read!(Family, "family f = 1, 2").members, FamilyMembers::Listed(_)));
    assert!(matches!(
        read!(Family, "family f = pairs of phase").members,
        FamilyMembers::PairsOf(_)
    ));
    assert!(matches!(read!(Property, "property p \"P\" : count").domain, PropertyDomain::Kind(_)));
    assert!(matches!(
        read!(Property, "property p \"P\" : standard, wound").domain,
        PropertyDomain::Words(_)
    ));
    assert!(read!(Kind, "kind lean \"Lean\" : angle").like.is_some());
    assert_eq!(&*read!(Kind, "kind rate \"Rate\" = N/mm").unit.unwrap().node, "N/mm");
    let click = read!(Unit, "unit click \"Click\" : angle = 15 deg");
    assert_eq!(&*click.value.unit.unwrap().node, "deg");
    assert!(read!(Constant, "constant c").value.is_none());
    assert!(read!(Constant, "constant c \"C\" : torque = 2 * (d + 1 N.m) cite s").value.is_some());
}

#[test]
fn states_and_cautions() {
    assert_eq!(&*read!(Caution, "caution a \"Hot\"").text.node, "Hot");
    let state = read!(State, "state s \"S\" { from a, b takes 5 min caution c, d note \"N\" }");
    assert!(matches!(&state.members[0], StateMember::From(names) if names.len() == 2));
    assert!(matches!(&state.members[2], StateMember::Caution(names) if names.len() == 2));
    assert_eq!(state.members.len(), 4);
    assert!(read!(State, "state s \"S\"").members.is_empty());
}

#[test]
fn readings_and_observations() {
    let reading = read!(
        Reading,
        "reading r[pair] \"R\" : ac_voltage { during s red on \"a\" black on \"b\" with x, y[pair] takes 1 min plausible 0 .. 18 V reduce mean capture max over speed tool \"t\" caution c note \"n\" }"
    );
    assert_eq!(reading.members.len(), 12);
    assert_eq!(&*reading.family.unwrap().node, "pair");
    assert!(matches!(&reading.members[3], ReadingMember::With(paths) if paths.len() == 2));
    assert!(matches!(&reading.members[6], ReadingMember::Reduce(r) if r.node == Reduction::Mean));
    assert!(matches!(&reading.members[7], ReadingMember::Capture(of) if of.node == Extreme::Max));
    let seen = read!(Observation, "observation o[f] \"O\" : clean, worn, standard { during s }");
    assert_eq!((seen.words.len(), seen.members.len()), (3, 1));
    let derived = read!(Derived, "derived d[f] \"D\" : ratio = x[f] / y cite s");
    assert_eq!(derived.cites.len(), 1);
    assert!(derived.kind.is_some() && derived.title.is_some() && derived.family.is_some());
}

#[test]
fn checks() {
    let check = read!(
        Check,
        "check c[f] \"C\" : x[f] within lim at speed { when a passes and b < 3 decide simple applies if rotor is wound advise \"A\" cite s \"1\" note \"N\" }"
    );
    assert_eq!(check.members.len(), 6);
    assert!(matches!(&check.members[0], CheckMember::When(_)));
    assert!(matches!(&check.members[2], CheckMember::AppliesIf(_)));
    // A curve in the rule has braces of its own.
    let check = read!(Check, "check c \"C\" : x within by k { 1 : min 2 } at y { note \"N\" }");
    assert_eq!(check.members.len(), 1);
}

#[test]
fn faults_and_fixes() {
    let fault = read!(
        Fault,
        "fault f[p] \"F\" { odds 8 of 1000 makes a[p] high makes b low 90 % makes c fail makes c fails makes d worn fix x, y caution z note \"N\" }"
    );
    let effects: Vec<Effect> = fault
        .members
        .iter()
        .filter_map(|m| match m {
            FaultMember::Makes { effect, .. } => Some(effect.node),
            _ => None,
        })
        .collect();
    assert_eq!(effects, [Effect::High, Effect::Low, Effect::Fail, Effect::Fail, Effect::Worn]);
    // On one line a word that begins a member is never the unit of the figure before it.
    let fault = read!(Fault, "fault f \"F\" { odds 8 of 1000 fix x }");
    assert!(matches!(&fault.members[0], FaultMember::Odds { of, .. } if of.unit.is_none()));
    let fix =
        read!(Fix, "fix f \"F\" { part \"p\" takes 30 min proves a, b[U] caution c note \"n\" }");
    assert_eq!(fix.members.len(), 5);
}

#[test]
fn what_was_learned() {
    let learned = read!(
        Learned,
        "learned trike { edition \"1\" author 20 cause f 2 cause f[U] 0.25 shows f[U] c[U-V] low 1 of 2 }"
    );
    assert_eq!(&*learned.of.node, "trike");
    assert!(matches!(&learned.members[0], LearnedMember::Edition(text) if &*text.node == "1"));
    // On one line a word that begins a member is never the unit of the figure before it.
    assert!(matches!(&learned.members[1], LearnedMember::Author(figure) if figure.unit.is_none()));
    assert!(matches!(&learned.members[2], LearnedMember::Cause { fault, jobs }
        if fault.index.is_none() && jobs.unit.is_none()));
    assert!(matches!(&learned.members[3], LearnedMember::Cause { fault, .. }
        if fault.index.is_some()));
    assert!(matches!(&learned.members[4], LearnedMember::Shows { effect, seen, judged, .. }
        if effect.node == Effect::Low && seen.number.to_f64() == 1.0 && judged.number.to_f64() == 2.0));
}

#[test]
fn chances_are_figures_or_words() {
    let fault = read!(
        Fault,
        "fault f \"F\" { makes a low always makes b[U] low usually makes c high sometimes makes d worn rarely makes e fail 0.5 makes usually low }"
    );
    let words: Vec<Option<Likelihood>> = fault
        .members
        .iter()
        .filter_map(|m| match m {
            FaultMember::Makes { chance: Some(Chance::Word(word)), .. } => Some(Some(word.node)),
            FaultMember::Makes { .. } => Some(None),
            _ => None,
        })
        .collect();
    use Likelihood as L;
    let said = [L::Always, L::Usually, L::Sometimes, L::Rarely].map(Some);
    assert_eq!(words[..4], said);
    // A figure, and a check that is called like a chance.
    assert_eq!(words[4..], [None, None]);
    assert!(matches!(&fault.members[5], FaultMember::Makes { check, chance: None, .. }
        if &*check.name.node == "usually"));
}

#[test]
fn what_checks_fixes_and_states_say_for_diagnosis() {
    let check =
        read!(Check, "check c \"C\" : x within l { leak 2 % slip 0 bands high, low, worn, fail }");
    assert!(matches!(&check.members[0], CheckMember::Leak(Leak::Even(f)) if f.unit.is_some()));
    assert!(matches!(&check.members[1], CheckMember::Slip(f) if f.unit.is_none()));
    let CheckMember::Bands(bands) = &check.members[2] else { panic!() };
    let bands: Vec<Effect> = bands.iter().map(|band| band.node).collect();
    assert_eq!(bands, [Effect::High, Effect::Low, Effect::Worn, Effect::Fail]);

    let fix = read!(Fix, "fix f \"F\" { part \"p\" part \"q\" price 120 verify 10 min proves a }");
    assert_eq!(fix.members.len(), 5);
    assert!(matches!(&fix.members[2], FixMember::Price(f) if f.unit.is_none()));
    assert!(matches!(&fix.members[3], FixMember::Verify(_)));

    let state = read!(
        State,
        "state s \"S\" { from a stays waived by c[U-V] passes takes 1 waived by d fails }"
    );
    assert!(matches!(&state.members[1], StateMember::Stays));
    assert!(matches!(&state.members[2], StateMember::Waived { check, passes: true }
        if check.index.is_some()));
    assert!(matches!(&state.members[3], StateMember::Takes(f) if f.unit.is_none()));
    assert!(matches!(&state.members[4], StateMember::Waived { passes: false, .. }));
}

#[test]
fn procedures_branch() {
    let procedure = read!(
        Procedure,
        "procedure p \"P\" { take a, b if a fails { stop } else if b fails and not c passes { advise \"x\" } else { suspect d, e caution f } }"
    );
    assert_eq!(procedure.steps.len(), 2);
    let StepKind::If { otherwise: Some(second), .. } = &procedure.steps[1].kind else { panic!() };
    assert_eq!(second.len(), 1);
    let StepKind::If { otherwise: Some(last), .. } = &second[0].kind else { panic!() };
    assert!(matches!(last[0].kind, StepKind::Suspect(_)));
    assert!(matches!(last[1].kind, StepKind::Caution(_)));
}

#[test]
fn cases() {
    let case = read!(
        Case,
        "case c \"C\" { meter m decide at 95 % serial = 4188 connector = burnt x[U] = OL on 60 Mohm y = not taken \"why\" z = 3.1, 3.2 V note \"N\" }"
    );
    assert_eq!(case.members.len(), 8);
    assert!(matches!(&case.members[2], CaseMember::Given { value, .. }
        if matches!(&value.kind, ReadingValueKind::Figure(f) if f.unit.is_none())));
}

#[test]
fn expectations() {
    let case = read!(
        Case,
        "case c \"C\" { expect a within expect a worn expect a outside expect a outside low expect a outside high expect a undecided expect a blocked expect a not taken expect a not applicable expect a passes expect a fails expect a[U] = 2.1 % expect suspect f expect suspect f[U] first expect suspect f first, at least 90 % expect suspect f at least 5 % }"
    );
    let outcomes: Vec<OutcomeWord> = case
        .members
        .iter()
        .filter_map(|m| match m {
            CaseMember::Expect(e) => match &e.node {
                Expectation::Outcome { outcome, .. } => Some(outcome.node),
                _ => None,
            },
            _ => None,
        })
        .collect();
    use OutcomeWord as W;
    assert_eq!(
        outcomes,
        [
            W::Within,
            W::Worn,
            W::Outside,
            W::OutsideLow,
            W::OutsideHigh,
            W::Undecided,
            W::Blocked,
            W::NotTaken,
            W::NotApplicable,
            W::Passes,
            W::Fails
        ]
    );
    let suspects: Vec<(bool, bool)> = case
        .members
        .iter()
        .filter_map(|m| match m {
            CaseMember::Expect(e) => match &e.node {
                Expectation::Suspect { first, at_least, .. } => Some((*first, at_least.is_some())),
                _ => None,
            },
            _ => None,
        })
        .collect();
    assert_eq!(suspects, [(false, false), (true, false), (true, true), (false, true)]);
}

#[test]
fn instruments() {
    let meter = read!(
        Instrument,
        "instrument m \"M\" { measures dc_voltage { range 6 V step 0.001 V accuracy ± 0.5 % + 3 counts or 2 V band 45 .. 500 Hz\n range 0 .. 600 kPa accuracy 1.6 % of span + 0.02 kPa + 2 % of reading + 5 ppm + 1 count\n range 3 V\n band 10 .. 20 Hz\n leads 0.2 ohm ± 0.1 ohm test 3 V input 10 Mohm burden 0.03 ohm technique 1 % capture 1 % + 10 counts or 2 V common gain note \"n\" } valid 18 .. 28 degC widens 5 % calibration 365 d note \"N\" }"
    );
    assert_eq!(meter.members.len(), 4);
    let InstrumentMember::Measures { members, .. } = &meter.members[0] else { panic!() };
    let FunctionMember::Range(first) = &members[0] else { panic!() };
    assert!(first.band.is_some() && first.step.is_some());
    let basis = |line: &RangeLine| -> Vec<AccuracyBasis> {
        line.accuracy.as_ref().unwrap().sums[0].terms.iter().map(|t| t.basis).collect()
    };
    assert_eq!(basis(first), [AccuracyBasis::Reading, AccuracyBasis::Counts]);
    let FunctionMember::Range(second) = &members[1] else { panic!() };
    assert!(second.bottom.is_some());
    use AccuracyBasis as A;
    assert_eq!(basis(second), [A::Span, A::Absolute, A::Reading, A::Reading, A::Counts]);
    // A band that begins a line is the function's.
    let FunctionMember::Range(third) = &members[2] else { panic!() };
    assert!(third.band.is_none());
    assert!(matches!(members[3], FunctionMember::Band { .. }));
    assert_eq!(first.accuracy.as_ref().unwrap().sums.len(), 2);
    assert_eq!(members.len(), 12);
    assert!(matches!(&members[9], FunctionMember::Capture(added) if added.sums.len() == 2));
    assert_eq!(members[10], FunctionMember::Common { gain: true, offset: false });
    assert!(matches!(&meter.members[1], InstrumentMember::Valid { widens: Some(_), .. }));
}

#[test]
fn doc_comments_belong_to_the_item_below() {
    let tree = parse_strict(FileId(0), "## one\n##two\nlimit a\n# none\nlimit b\n").unwrap();
    let doc: Vec<&str> = tree.items[0].doc.iter().map(|line| &*line.node).collect();
    assert_eq!(doc, ["one", "two"]);
    assert!(tree.items[1].doc.is_empty());
}

#[test]
fn keywords_begin_words_and_are_not_parts_of_them() {
    let check = read!(Check, "check c \"C\" : within_x within rest and is_ok is not_ok");
    assert!(matches!(check.rule.kind, ExprKind::Binary { .. }));
    assert_eq!(&*read!(Limit, "limit limit_a").name.node, "limit_a");
    // Words of bodies may be names; reserved words may not.
    read!(Case, "case c \"C\" { note = 3 V meter = 4 V range = 5 V stop = clean }");
    assert!(parse_strict(FileId(0), "reading state \"S\" : k").is_err());
}

#[test]
fn line_ends_and_tabs_of_all_systems() {
    let tree = parse_strict(FileId(0), "limit a =\r\n\tmin 5 V\r\n\r\nlimit b\r\n").unwrap();
    assert_eq!(tree.items.len(), 2);
    assert_eq!(tree.items[0].span.end, 19);
}
