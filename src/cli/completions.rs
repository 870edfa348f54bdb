//! `completions` and `man`: made from the same description of the command line that reads it.

use super::{Cli, Failure, WriteArgs, output};
use clap::{Args, CommandFactory};
use clap_complete::Shell;

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// For which shell
    #[arg(value_enum)]
    shell: Shell,
    #[command(flatten)]
    write: WriteArgs,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
pub struct ManArgs {
    /// The page of one command; without it, that of the program
    #[arg(value_name = "COMMAND")]
    command: Option<String>,
    #[command(flatten)]
    write: WriteArgs,
}

/// Runs `completions`.
pub fn completions(args: &CompletionsArgs) -> Result<u8, Failure> {
    let mut command = Cli::command();
    let name = command.get_name().to_string();
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut command, name, &mut script);
    send(&args.write, script)
}

/// Runs `man`.
pub fn man(args: &ManArgs) -> Result<u8, Failure> {
    let mut whole = Cli::command();
    // Sub-commands take the program's name before their own.
    whole.build();
    let page = match args.command.as_deref() {
        None => whole,
        Some(name) => {
            let found = whole.find_subcommand(name).cloned();
            found.ok_or_else(|| {
                let names: Vec<&str> = whole.get_subcommands().map(|c| c.get_name()).collect();
                Failure::Call(format!(
                    "there is no command \"{name}\"; there are: {}",
                    names.join(", ")
                ))
            })?
        }
    };
    let mut out = Vec::new();
    clap_mangen::Man::new(page)
        .render(&mut out)
        .map_err(|e| Failure::Computation(format!("the page cannot be written: {e}")))?;
    send(&args.write, out)
}

fn send(write: &WriteArgs, made: Vec<u8>) -> Result<u8, Failure> {
    let text = String::from_utf8(made)
        .map_err(|e| Failure::Computation(format!("what was made is not text: {e}")))?;
    output::send_to(write, &text)?;
    Ok(0)
}
