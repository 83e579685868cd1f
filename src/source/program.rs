//! The program itself: what it makes of entries may differ from what another build makes of them.

/// The bytes of the running program; `None` where the system does not say where they are.
pub fn program_bytes() -> Option<Vec<u8>> {
    std::env::current_exe().ok().and_then(|path| std::fs::read(path).ok())
}
