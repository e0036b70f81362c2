//! Where work runs. In a process: on tokio's runtime of one thread, long work beside it. In a page: on the one thread of the page's worker,
//! which has no runtime, no timers and no other threads.

#[cfg(not(target_family = "wasm"))]
pub use process::{pause, spawn, spawn_blocking};
#[cfg(target_family = "wasm")]
pub use worker::{pause, run_until_stalled, spawn, spawn_blocking};

#[cfg(not(target_family = "wasm"))]
mod process {
    use std::time::Duration;

    pub fn spawn(task: impl Future<Output = ()> + Send + 'static) {
        tokio::spawn(task);
    }

    /// Does long work beside the loop. None: it panicked.
    pub async fn spawn_blocking<T: Send + 'static>(
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Option<T> {
        tokio::task::spawn_blocking(work).await.ok()
    }

    pub async fn pause(time: Duration) {
        tokio::time::sleep(time).await;
    }
}

#[cfg(target_family = "wasm")]
mod worker {
    use futures_executor::LocalPool;
    use futures_util::task::LocalSpawnExt;
    use std::cell::RefCell;
    use std::future::Future;
    use std::pin::Pin;
    use std::time::Duration;

    type Task = Pin<Box<dyn Future<Output = ()>>>;

    thread_local! {
        /// Tasks that were spawned since the pool ran.
        static SPAWNED: RefCell<Vec<Task>> = const { RefCell::new(Vec::new()) };
        static POOL: RefCell<LocalPool> = RefCell::new(LocalPool::new());
    }

    pub fn spawn(task: impl Future<Output = ()> + 'static) {
        SPAWNED.with_borrow_mut(|all| all.push(Box::pin(task)));
    }

    /// Does the work at once.
    pub async fn spawn_blocking<T>(work: impl FnOnce() -> T) -> Option<T> {
        Some(work())
    }

    /// Returns at once: in a page nothing changes between two messages.
    pub async fn pause(_: Duration) {}

    /// Runs every task until all of them wait for the next message.
    pub fn run_until_stalled() {
        POOL.with_borrow_mut(|pool| {
            loop {
                let new = SPAWNED.take();
                if new.is_empty() && !pool.try_run_one() {
                    break;
                }
                for task in new {
                    let spawned = pool.spawner().spawn_local(task);
                    spawned.expect("the pool lives as long as the thread");
                }
                pool.run_until_stalled();
            }
        });
    }
}
