//! Any text as the value of a part, under every expectation: reading must end and not panic.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = quantity::read_anything(text);
    }
});
