#![allow(warnings, missing_docs, clippy::all)]
use truing::*;
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let spec = Compiled::from_path(&path).unwrap();
    let t = std::time::Instant::now();
    for p in &spec.spec().procedures {
        let s = spec.order_study(p).unwrap().unwrap();
        println!("{} {:#?}", p.name, s);
    }
    println!("{:?}", t.elapsed());
    for cut in [1e-1,1e-2, 1e-3, 1e-4, 1e-5] {
        let t = std::time::Instant::now();
        let e = spec.engine_order(&truing::engine::PolicyLimits { cut_off: cut, most: 100000, seed: 1 }).unwrap();
        println!("{e:?} {:?}", t.elapsed());
    }
}
