//! scratch
#![allow(clippy::all, missing_docs)]
use truing::{Compiled, SuspectRound};
use truing_engine::suspects::{Remedy, Stage};
use truing_job::read_sheet_file;
use truing_tests::place;

#[test]
fn dump() {
    for (name, path) in [("pl-0701","ostrevik-hauler-680"),("pl-0702","ostrevik-hauler-680"),("pl-0703","ostrevik-hauler-680"),("pl-0704","ostrevik-hauler-680"),("pl-0705","tarnwick-trio-300"),("pl-0706","ostrevik-hauler-680")] {
        let c = Compiled::from_path(place::root().join(format!("specs/demo/{path}.truing"))).unwrap();
        let sheet = read_sheet_file(&place::root().join(format!("specs/demo/jobs/{name}.toml"))).unwrap();
        let bound: Vec<_> = (0..sheet.rounds.len()).map(|r| (c.bind(&sheet, r).unwrap(), truing_job::fitted(&sheet, r, c.spec()).unwrap())).collect();
        for n in 1..=bound.len() {
        let rounds: Vec<_> = bound[..n].iter().map(|(s, f)| SuspectRound { sheet: s, fitted: f }).collect();
        let stages = c.suspects(&rounds).unwrap();
        println!("=== {name} rounds {n}");
        let stage = stages.last().unwrap(); {
            let s = c.spec();
            let r = stage.ranking.as_ref().unwrap();
            let rem = |m: &Remedy| match m { Remedy::Fix(f) => s.fix(*f).unwrap().name.clone(), o => format!("{o:?}") };
            println!("  {:?} none {:.3} other {:.3} no_part {:.3} pair {:?}", r.seen, r.none, r.other, r.no_part, r.pair);
            println!("  unused {:?}", r.unused.iter().map(|u| (s.check(u.check).unwrap().label.clone(), u.why)).collect::<Vec<_>>());
            println!("  unexplained {:?}", r.unexplained.iter().map(|u| s.check(*u).unwrap().label.clone()).collect::<Vec<_>>());
            for c in r.cures.iter().take(4) { println!("    cure {} {:.4}", rem(&c.remedy), c.probability); }
            for c in r.faults.iter().take(5) { println!("    fault {} {:.4}", s.fault(c.fault).unwrap().label, c.probability); }
            println!("  rec {:?}", r.recommended);
            if let Some(w) = &r.weighing { println!("  {:?} vs {:?} prior {:.1} total {:.1}", w.leader, w.rival, w.prior_decibans, w.total_decibans); for c in &w.contributions { if c.decibans.abs() > 1.0 { println!("     {} {:?} {:.2} {:.1}", s.check(c.check).unwrap().label, c.band, c.share, c.decibans);} } }
            if let Some(nx) = &r.next { println!("  next {} {:.1} min {:.3} bits then {:?}; others {:?}", s.check(nx.check).unwrap().label, nx.minutes, nx.bits, nx.then.len(), nx.others.iter().map(|o| (s.check(o.check).unwrap().label.clone(), o.minutes, (o.bits*1000.0).round())).collect::<Vec<_>>()); }
            if let Some(p) = &r.proof { println!("  proof {:?} none {:.3} missing {:?} unclear {:?} failed {:?} residual {:?}", p.verdict, p.none, p.missing.iter().map(|x| &s.check(*x).unwrap().label).collect::<Vec<_>>(), p.unclear.iter().map(|x| &s.check(*x).unwrap().label).collect::<Vec<_>>(), p.failed.iter().map(|x| &s.check(*x).unwrap().label).collect::<Vec<_>>(), p.residual.iter().map(|x| (&s.fault(x.fault).unwrap().label, x.probability)).collect::<Vec<_>>()); }
        }
        }
    }
}
