//! The program: arguments, files, messages and exit codes. It computes nothing.

mod args;
mod came_out;
mod cloth;
mod fit;
mod gallery;
mod lists;
mod make;
mod open;
mod pieces;
mod predict;
mod progress;
mod rehearse;
mod card;
mod repeat;
mod report;
mod starter;
mod swatch;
mod table;
mod timings;
mod trial;
mod yarn;

use std::process::ExitCode;

use clap::{CommandFactory, Parser};

use latchwork::wording::Language;

use args::{Command, Latchwork};

/// What a command came to; the exit code follows from it.
pub(crate) enum Done {
    /// Everything asked for was done.
    Fine,
    /// The design has errors, which were reported.
    Refused,
    /// The request itself could not be carried out.
    Usage(String),
}

fn main() -> ExitCode {
    let asked = match Latchwork::try_parse() {
        Ok(asked) => {
            let language = match asked.language {
                args::Tongue::English => Language::English,
                args::Tongue::Marked => Language::Marked,
            };
            report::speak(language);
            latchwork_web::speak(language);
            asked.command
        }
        Err(text) => {
            report::help(&text);
            return ended(ExitCode::from(u8::try_from(text.exit_code()).unwrap_or(2)));
        }
    };
    let done = match asked {
        Command::Make(a) => make::make(&a),
        Command::Rehearse(a) => rehearse::rehearse(&a),
        Command::New(a) => starter::write(&a),
        Command::Starters(a) => starter::list(&a),
        Command::Show(a) => make::show(&a),
        Command::Fit(a) => fit::fit(&a),
        Command::Yarn(a) => yarn::yarn(&a),
        Command::Cloth(a) => cloth::cloth(&a),
        Command::Open(a) => open::opened(&a),
        Command::Swatch(a) => swatch::swatch(&a),
        Command::CameOut(a) => came_out::came_out(&a),
        Command::Restate(a) => came_out::restated(&a),
        Command::Trial(a) => trial::trial(&a),
        Command::Repeat(a) => repeat::repeat(&a),
        Command::Card(a) => card::card(&a),
        Command::Fabrics { name, design } => lists::fabrics(name.as_deref(), design.as_deref()),
        Command::Rules => lists::rules(),
        Command::Machines => lists::machines(),
        Command::Sizes => lists::sizes(),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Latchwork::command(), "latchwork", &mut script);
            report::say(String::from_utf8_lossy(&script).trim_end());
            Done::Fine
        }
    };
    ended(match done {
        Done::Fine => ExitCode::SUCCESS,
        Done::Refused => ExitCode::from(1),
        Done::Usage(why) => {
            report::tell_line(&why);
            ExitCode::from(2)
        }
    })
}

/// Half an output is a failure.
fn ended(code: ExitCode) -> ExitCode {
    match report::unwritten() {
        None => code,
        Some(why) => {
            report::tell_line(&format!("The output could not be written in full: {why}."));
            ExitCode::from(2)
        }
    }
}
