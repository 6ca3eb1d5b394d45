mod sets;
use circuit::*;
#[test]
fn warm() {
    let set = sets::large(None);
    for _ in 0..4000 {
        let solver = Solver::new(&set.circuit, SolverOptions::default()).unwrap();
        std::hint::black_box(solver.settled(Start::Warm).unwrap());
    }
}
#[test]
fn cold() {
    let set = sets::large(Some(100.0));
    for _ in 0..600 {
        let solver = Solver::new(&set.circuit, SolverOptions::default()).unwrap();
        std::hint::black_box(solver.settled(Start::Cold).unwrap());
    }
}
