//! Long work: threads, progress on standard error, an end at Ctrl-C with what is done so far.

use super::Failure;
use crate::study::Control;
use clap::Args;
use indicatif::{ProgressBar, ProgressState, ProgressStyle};
use rayon::ThreadPool;
use std::fmt::Write;
use std::io::IsTerminal;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// How much of the machine to use.
#[derive(Debug, Args)]
pub struct ThreadArgs {
    /// Threads to work on; left out, as RAYON_NUM_THREADS says, else one per core
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
}

impl ThreadArgs {
    /// The threads.
    ///
    /// # Errors
    /// [`Failure::Computation`] where the system gives none.
    pub fn pool(&self) -> Result<ThreadPool, Failure> {
        rayon::ThreadPoolBuilder::new()
            .num_threads(self.threads.map_or(0, usize::from))
            .build()
            .map_err(|e| Failure::Computation(format!("no threads to work on: {e}")))
    }
}

/// Does work while progress shows on a terminal, and until Ctrl-C asks it to end. `rows` says that the work itself
/// prints to standard output: on the same terminal a progress would stand among the rows.
///
/// # Errors
/// [`Failure::Computation`] where Ctrl-C cannot be heard.
pub fn watched<T>(
    runs: u64,
    what: &'static str,
    rows: bool,
    work: impl FnOnce(&Control) -> T,
) -> Result<T, Failure> {
    let control = Arc::new(Control::default());
    let heard = Arc::clone(&control);
    ctrlc::set_handler(move || {
        // Whoever asks a second time does not want to wait.
        if heard.stop.swap(true, Ordering::Relaxed) {
            std::process::exit(3);
        }
    })
    .map_err(|e| Failure::Computation(format!("Ctrl-C cannot be heard: {e}")))?;
    // Drawn on standard error, and only where that is a terminal.
    let bar = if rows && std::io::stdout().is_terminal() {
        ProgressBar::hidden()
    } else {
        ProgressBar::new(runs)
    };
    let template = format!(
        "{what} {{wide_bar}} {{pos}} of {{len}}, {{rate}} per second, {{eta}} left; Ctrl-C ends it"
    );
    if let Ok(style) = ProgressStyle::with_template(&template) {
        let rate = |state: &ProgressState, out: &mut dyn Write| {
            // A progress that cannot be drawn is no reason to end.
            let _ = write!(out, "{:.0}", state.per_sec());
        };
        bar.set_style(style.with_key("rate", rate));
    }
    let finished = AtomicBool::new(false);
    let result = std::thread::scope(|scope| {
        if !bar.is_hidden() {
            scope.spawn(|| {
                let mut waited = 0;
                while !finished.load(Ordering::Relaxed) {
                    std::thread::sleep(Duration::from_millis(50));
                    waited += 1;
                    // Work that ends at once needs no bar.
                    if waited > 10 {
                        bar.set_position(control.done.load(Ordering::Relaxed));
                    }
                }
            });
        }
        let result = work(&control);
        finished.store(true, Ordering::Relaxed);
        result
    });
    bar.finish_and_clear();
    Ok(result)
}
