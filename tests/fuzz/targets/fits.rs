#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| baybook_fuzz::fits(data));
