//! Any bytes as a set sheet: reading must end and not panic.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| receiver::sheet::read_anything(bytes));
