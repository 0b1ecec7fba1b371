//! A line that says what is going on, for anything that takes over a second; nothing when piped.

use std::io::IsTerminal;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use indicatif::ProgressBar;

/// Shown once a second has passed, until dropped.
pub(crate) struct Progress {
    stop: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Progress {
    pub(crate) fn start(what: &str) -> Progress {
        if !std::io::stderr().is_terminal() {
            return Progress { stop: None, thread: None };
        }
        let (stop, stopped) = channel();
        let what = what.to_string();
        let thread = std::thread::spawn(move || {
            if stopped.recv_timeout(Duration::from_secs(1)) == Err(RecvTimeoutError::Timeout) {
                let bar = ProgressBar::new_spinner().with_message(what);
                bar.enable_steady_tick(Duration::from_millis(120));
                let _ = stopped.recv();
                bar.finish_and_clear();
            }
        });
        Progress { stop: Some(stop), thread: Some(thread) }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}
