//! The app's build: [`app`] makes the whole folder, [`program`] compiles, splits and binds the
//! programs in it, [`seal`] names it and lists its files for the service worker. [`bundle`] is what is
//! handed out.

pub mod app;
pub mod bundle;
mod licences;
mod program;
pub mod seal;

use std::sync::atomic::{AtomicUsize, Ordering};

use anyhow::{Result, bail};

/// Does the same to each of several, as many at once as the machine has cores.
pub(crate) fn all_at_once<T: Sync>(
    all: &[T],
    work: impl Fn(&T) -> Result<()> + Sync,
) -> Result<()> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicUsize::new(0);
    let one = || -> Result<()> {
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = all.get(at) else {
                return Ok(());
            };
            work(item)?;
        }
    };
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(one)).collect();
        for worker in workers {
            match worker.join() {
                Ok(done) => done?,
                Err(_) => bail!("a worker came to a stop"),
            }
        }
        Ok(())
    })
}
