#![no_main]

use libfuzzer_sys::fuzz_target;

// A panic inside a decoder is caught and becomes an error: only one that comes through counts.
fuzz_target!(
    init: std::panic::set_hook(Box::new(|_| ())),
    |bytes: &[u8]| plimsoll_fuzz_targets::voice_clip(bytes)
);
