//! Room that is given back to the system.
//!
//! Allocators keep what was freed for the next time: after a plan of a whole match that is
//! more than a server at rest needs.

/// Gives freed memory back, where the allocator can be asked to: glibc.
pub fn give_back() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    // SAFETY: `malloc_trim` takes a number, touches nothing that is in use, and may be called
    // from any thread (malloc_trim(3)).
    unsafe {
        libc::malloc_trim(0);
    }
}
