//! The binary: everything is in the library.

// No input may end in a panic; the tests may.
#![cfg_attr(
    not(test),
    deny(
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::unreachable,
        clippy::todo
    )
)]

fn main() -> std::process::ExitCode {
    insertwright::cli::run()
}
