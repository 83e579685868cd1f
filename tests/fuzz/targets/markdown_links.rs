#![no_main]

libfuzzer_sys::fuzz_target!(init: baybook_fuzz::on_this_thread(), |data: &[u8]| baybook_fuzz::markdown_links(data));
