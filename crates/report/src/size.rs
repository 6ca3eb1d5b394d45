//! How large a file is, in words.
//!
//! KiB and MiB of 1024. Nothing here fails.

/// A size as people say it.
pub fn size(bytes: usize) -> String {
    let kilobytes = bytes as f64 / 1024.0;
    if kilobytes < 1000.0 {
        format!("{kilobytes:.0} KiB")
    } else {
        format!("{:.1} MiB", kilobytes / 1024.0)
    }
}
