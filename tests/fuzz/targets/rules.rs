#![no_main]

#[path = "../../fuzz_support/mod.rs"]
#[allow(dead_code)]
mod fuzz_support;

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    fuzz_support::rules(data);
});
