//! Hostile input for the public doors of the rooms: see `properties`.

mod properties;

pub use properties::*;

/// Lets all work be done on the thread that asks for it: an input then always takes the same way, and small folders are
/// not handed from core to core.
///
/// # Panics
/// When it is called twice.
pub fn on_this_thread() {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread();
    pool.build_global().expect("this is the first use of the pool");
}
