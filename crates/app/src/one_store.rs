//! One store of memory for all threads of a server that runs for days.
//!
//! The C library of most Linux systems gives every thread a store of freed memory of its own and seldom hands it back: with
//! 5,000 facts the pages' server held 280 MB of which it used 120 (measured by `crates/app/benches/serve.rs`). It reads
//! how many stores it may have when the program starts (`MALLOC_ARENA_MAX`, mallopt(3)), so the program begins anew, as
//! the same process, with one. On other systems, where somebody has set the number, and where the program cannot be
//! begun anew, nothing is done; nothing here fails.

#[cfg(all(target_os = "linux", target_env = "gnu"))]
const STORES: &str = "MALLOC_ARENA_MAX";

/// Begins the program anew with one store of memory, unless it has begun so.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
pub fn with_one_store() {
    use std::os::unix::process::CommandExt;

    let mut arguments = std::env::args_os();
    let called = arguments.next();
    if std::env::var_os(STORES).is_some() {
        return;
    }
    let Ok(program) = std::env::current_exe() else {
        return;
    };
    let mut anew = std::process::Command::new(program);
    anew.args(arguments).env(STORES, "1");
    if let Some(called) = called {
        anew.arg0(called);
    }
    // It comes back only where that could not be done.
    let _ = anew.exec();
}

/// The same where nothing is to be done.
#[cfg(not(all(target_os = "linux", target_env = "gnu")))]
pub fn with_one_store() {}
