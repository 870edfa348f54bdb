//! `self-test`: the published cases on this machine.

use super::check::{envelope, json};
use super::{Failure, Format, OutputArgs, output};
use crate::published::{self, Outcome};
use clap::Args;

/// Arguments of `self-test`.
#[derive(Debug, Args)]
pub struct SelfTestArgs {
    #[command(flatten)]
    output: OutputArgs,
}

/// Runs the command.
pub fn run(args: &SelfTestArgs) -> Result<u8, Failure> {
    let outcomes = published::run_all().map_err(|e| Failure::Computation(e.to_string()))?;
    let failed: Vec<&Outcome> = outcomes.iter().filter(|o| !o.within).collect();
    let count = |status: &str| outcomes.iter().filter(|o| o.status == status).count();
    let layout = args.output.layout();
    let out = if args.output.format == Format::Json {
        let mut out = envelope("self-test");
        out.insert("cases".into(), serde_json::json!(&outcomes));
        out.insert("failed".into(), failed.len().into());
        json(&out)?
    } else {
        let mut out = layout.paragraph("insertwright self-test: tests the program against figures seen in print, recalled or worked out, not a job.");
        let mut subject = "";
        for outcome in &outcomes {
            if outcome.file != subject {
                subject = &outcome.file;
                out.push_str(&layout.heading(subject));
            }
            let mark = if outcome.within { "ok  " } else { "OFF " };
            out.push_str(&layout.item(
                mark,
                &format!(
                    "{}: expected {} within {}, got {} ({}; {})",
                    outcome.name,
                    outcome.expected,
                    outcome.tolerance,
                    outcome.got,
                    outcome.status,
                    outcome.source
                ),
            ));
        }
        out.push('\n');
        out.push_str(&layout.paragraph(&format!(
            "{} cases: {} whose expected value was seen in print, {} recalled, {} worked out; {} outside their tolerance.",
            outcomes.len(),
            count("seen"),
            count("recalled"),
            count("computed"),
            failed.len()
        )));
        out
    };
    output::send(&args.output, &out)?;
    Ok(u8::from(!failed.is_empty()) * 3)
}
