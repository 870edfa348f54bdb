//! The binary: everything is in the library.

fn main() -> std::process::ExitCode {
    insertwright::cli::run()
}
