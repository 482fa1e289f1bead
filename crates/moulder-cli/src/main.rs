//! The command line of `moulder`.

mod command;
mod common;
mod print;
mod run;
mod trouble;

fn main() -> std::process::ExitCode {
    run::run()
}
