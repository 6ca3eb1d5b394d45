//! Every page with 5,000 facts and 300 photographs in the file: its frame and its stored facts.
//!
//! The figure to reach: at most 50 ms in 95 of 100, so the slowest of twenty is looked at. What a page works out later is not
//! in it. Asked through the router without a network; `crates/app/benches/serve.rs` measures the built program.

#[path = "../tests/asked/mod.rs"]
mod asked;
#[path = "../tests/asked/filled.rs"]
mod filled;

use std::sync::OnceLock;

use asked::{Asked, now, one_point};
use divan::{Bencher, black_box};
use tokio::runtime::Runtime;

fn main() {
    divan::main();
}

/// The restoration, filled once.
fn bench() -> &'static Asked {
    static BENCH: OnceLock<Asked> = OnceLock::new();
    BENCH.get_or_init(|| Asked::at(|entering| filled::filled(entering.file, &now())))
}

fn runtime() -> &'static Runtime {
    static RUNTIME: OnceLock<Runtime> = OnceLock::new();
    RUNTIME.get_or_init(|| Runtime::new().expect("a runtime"))
}

/// The addresses of the list of all pages, and of single things.
fn addresses() -> Vec<String> {
    let mut all = vec!["/all".to_owned()];
    all.extend(filled::listed(
        &runtime().block_on(bench().get("/all")).text,
    ));
    all.extend(filled::SINGLE_PAGES.map(str::to_owned));
    let photographs = runtime().block_on(bench().get("/photographs")).text;
    let first = photographs.split("src=\"/photographs/").nth(1);
    let hash = first
        .and_then(|rest| rest.split('/').next())
        .expect("a photograph");
    all.push(format!("/chassis?photo={hash}"));
    all.push(format!("/photographs/{hash}"));
    all.push(format!("/photographs/{hash}/upright"));
    all
}

#[divan::bench(args = addresses(), sample_count = 20, sample_size = 1)]
fn page(bencher: Bencher<'_, '_>, at: &String) {
    bencher.bench_local(|| {
        let answer = runtime().block_on(bench().get(at));
        assert_eq!(answer.status, 200, "{at}");
        black_box(answer.bytes.len())
    });
}

/// Reading the file when the program is started.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn open(bencher: Bencher<'_, '_>) {
    let file = bench().file();
    bencher.bench_local(|| black_box(Asked::opened(file.parent().expect("a folder"))));
}
